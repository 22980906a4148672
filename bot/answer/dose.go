package answer

import (
	"errors"
	"slices"
	"time"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
)

// dose: how much of an agent, and whether a dose is right, by the water that is really there.
func dose(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	k := c.Agents[0]
	var grams, water quantity.Number
	switch c.Topic {
	case "percent":
		b.dosePercent(a, q)
		return
	case "recipe":
		r := q.Targets[0].Recipe
		var ok bool
		if grams, water, ok = b.agentInRecipe(a, r, k); !ok {
			return
		}
		a.Title = Title{Recipe: r.Name}
	case "share": // "is 1 % agar ok for a fluid gel"
		grams, water = c.Share[0], hundred
	default:
		w, mass, ok := b.waterOf(a, &c.Amounts[1])
		if !ok {
			return
		}
		if len(c.Amounts) > 2 { // reduced first: only water leaves
			goal, ok := b.inGrams(a, &c.Amounts[2])
			if !ok {
				return
			}
			if w = w.Sub(mass.Sub(goal)); w.Sign() <= 0 {
				a.unknown("target above start mass", b.shown(goal, quantity.G), b.shown(mass, quantity.G))
				return
			}
		}
		water = w
		if c.Topic == "judge" {
			grams = c.Amounts[0].Q.Base()
		}
	}
	uses, err := gel.Uses(k)
	if err != nil || len(uses) == 0 {
		a.unknown("not known of agent", k)
		return
	}
	if c.Use != "" {
		if !slices.Contains(uses, c.Use) {
			a.note("no use", k, c.Use)
		} else {
			uses = []string{c.Use}
		}
	}
	if k == "gelatine" {
		a.note("at 200 bloom")
	}
	if c.Topic == "how much" {
		b.howMuch(a, k, uses, water, c.Amounts[1].Q.Base())
	} else {
		b.judge(a, k, uses, grams, water)
	}
	b.needsOf(a, k)
	a.bySource()
}

// agentInRecipe is the agent and the water of a recipe's finished mass.
func (b *Book) agentInRecipe(a *Answer, r *kb.Recipe, k string) (grams, water quantity.Number, ok bool) {
	for i := range r.Lines {
		if l := &r.Lines[i]; l.HasGrams && l.Link == nil && agentOf(l.Item, l.Name) == k {
			grams = grams.Add(l.Grams)
		}
	}
	if grams.IsZero() {
		a.unknown("no such line", k, r.Name)
		return grams, water, false
	}
	per, known := b.recipeContent(r, mix.Water)
	if !known {
		a.unknown("no water phase", r.Name)
		return grams, water, false
	}
	before := quantity.Number{}
	for i := range r.Lines {
		if l := &r.Lines[i]; l.HasGrams && !isCore(r, i) {
			before = before.Add(l.Grams)
		}
	}
	for _, l := range r.Losses {
		before = before.Sub(l.Mass)
	}
	return grams, per.Mul(before).Div(hundred), true
}

// inLeaves turns a dosage of gold leaf strength into leaves of the house's gelatine.
func (b *Book) inLeaves(a *Answer, uses []string, water quantity.Number) []Fact {
	h := ofItem(b.houseGelatine("leaf"))
	if h.leaf.IsZero() || h.bloom.IsZero() {
		return nil
	}
	var out []Fact
	for _, u := range uses {
		v, err := gel.Judge("gelatine", u, quantity.Number{}, water)
		if err != nil {
			continue
		}
		var ends [2]quantity.Number
		for i, g := range []quantity.Number{v.LowGrams, v.HighGrams} {
			k, err := gel.Convert(g, quantity.Int(200), h.bloom)
			if err != nil {
				return nil
			}
			if ends[i], err = gel.LeafCount(k.BySquareRoot, h.leaf); err != nil {
				return nil
			}
		}
		f := Fact{What: "gelatine", Min: &ends[0], Max: &ends[1], Unit: "leaves", At: u, Shown: ends[0].Fixed(1) + " to " + ends[1].Fixed(1) + " leaves"}
		out = append(out, f.cite(FromCalculated, "S-631"))
	}
	a.assume("house leaf", h.name+", "+h.bloom.String()+" Bloom", h.leaf.String()+" g")
	return out
}

// howMuch are the doses for so much water, one use a line.
func (b *Book) howMuch(a *Answer, k string, uses []string, water quantity.Number, given ...quantity.Number) {
	var low, high quantity.Number
	if k == "gelatine" && a.Question.Craft.State == "leaves" {
		a.add(b.inLeaves(a, uses, water)...)
	}
	for _, u := range uses {
		v, err := gel.Judge(k, u, quantity.Number{}, water)
		if err != nil {
			continue
		}
		lo, hi := v.LowGrams, v.HighGrams
		f := b.between(k, &lo, &hi, quantity.G)
		f.At = u
		a.add(f.cite(FromCalculated, v.Source))
		if low.IsZero() || lo.Less(low) {
			low = lo
		}
		if high.Less(hi) {
			high = hi
		}
	}
	for _, u := range uses {
		v, err := gel.Judge(k, u, quantity.Number{}, water)
		if err != nil {
			continue
		}
		lo, hi := v.Low, v.High
		f := b.between("dosage", &lo, &hi, quantity.Percent)
		f.At = u
		a.add(f.cite(FromReference, v.Source))
	}
	if len(given) == 0 || !given[0].Equal(water) {
		b.waterFact(a, water)
	}
	switch s, ok := b.finest(low); {
	case len(uses) == 1:
		b.weighable(a, k, low)
	case ok && high.Less(s.Reads.Mul(quantity.Int(gel.Divisions))): // whatever it is for
		b.weighable(a, k, high)
	}
}

func (b *Book) waterFact(a *Answer, water quantity.Number) {
	w := b.figure("water", water, quantity.G)
	w.At = "really there"
	a.add(w)
}

// judge says whether a dose lies in the dosage of its uses.
func (b *Book) judge(a *Answer, k string, uses []string, grams, water quantity.Number) {
	var first gel.Verdict
	for i, u := range uses {
		v, err := gel.Judge(k, u, grams, water)
		if err != nil {
			code := "not known of agent"
			if errors.Is(err, gel.ErrNoWater) {
				code = "no water phase"
			}
			a.unknown(code, k)
			return
		}
		if i == 0 {
			first = v
			f := b.figure(k, v.Share, quantity.Percent).cite(FromCalculated, plain)
			f.At, f.How = "of the water", grams.String()+" g in "+water.Fixed(0)+" g water"
			a.add(f)
		}
		lo, hi := v.LowGrams, v.HighGrams
		if g := b.between(k, &lo, &hi, quantity.G).cite(FromCalculated, v.Source); !b.asShare(a) {
			g.At = u
			a.add(g)
		}
		plo, phi := v.Low, v.High
		p := b.between("dosage", &plo, &phi, quantity.Percent).cite(FromReference, v.Source)
		p.At = u
		a.add(p)
		a.note("dose "+v.Where.String(), u)
	}
	for _, o := range first.Others {
		if o.HasLow && o.HasHigh && o.Use != "any" {
			lo, hi := o.Low, o.High
			f := b.between("dosage", &lo, &hi, quantity.Percent).cite(FromReference, o.Source)
			f.At = o.Use + ", another source"
			a.add(f)
		}
	}
	if !water.Equal(hundred) || !b.asShare(a) {
		own := b.figure(k, grams, quantity.G)
		own.From, own.At = FromAsked, "given"
		b.waterFact(a, water)
		a.add(own)
		b.weighable(a, k, grams)
	}
}

// asShare reports whether a share was asked about, not a mass.
func (b *Book) asShare(a *Answer) bool { return a.Question.Craft.Topic == "share" }

// needsOf tells what an agent does not set without.
func (b *Book) needsOf(a *Answer, k string) {
	vs, err := gel.Of(k, gel.Needs)
	if err != nil {
		return
	}
	for _, v := range vs {
		if !v.HasLow && !v.HasHigh && v.Text != "" {
			a.note("agent needs "+v.Text, k)
			return
		}
	}
}

// weighable adds how to weigh a dose that the scales cannot.
func (b *Book) weighable(a *Answer, k string, grams quantity.Number) {
	s, ok := b.finest(grams)
	if !ok || grams.Sign() <= 0 {
		return
	}
	d, err := gel.Weigh(grams, s.Reads)
	if err != nil || !d.Small {
		return
	}
	a.caution("small dose", k)
	if d.Premix != nil && k != "gelatine" { // leaves are counted, not rubbed into sugar
		p := d.Premix
		x := b.figure("premix", p.Weigh, quantity.G).cite(FromPractice, practice)
		x.At = "for " + b.shown(grams, quantity.G)
		x.How = p.Parts.String() + " × " + grams.String() + " g"
		y := b.figure(k, p.Agent, quantity.G).cite(FromPractice, practice)
		y.At = "into the premix"
		z := b.figure("sugar", p.Carrier, quantity.G).cite(FromPractice, practice)
		z.At = "into the premix"
		t := b.figure("sugar", p.Brings, quantity.G).cite(FromPractice, practice)
		t.At = "off the recipe's sugar"
		a.add(x, y, z, t)
	}
	n := d.Batches
	f := count("batches", n, "")
	f = f.cite(FromPractice, practice)
	f.At = "smallest that weighs honestly"
	a.add(f)
}

// smallDose: how to weigh a dose that is too small for the scale.
func smallDose(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	g := q.Craft.Amounts[0].Q.Base()
	k := "agent"
	switch {
	case len(q.Craft.Agents) > 0:
		k = q.Craft.Agents[0]
	case q.Craft.Amounts[0].Item.Text != "":
		k = q.Craft.Amounts[0].Item.Text
	}
	if len(b.scales) == 0 {
		a.unknown("no scales")
		return
	}
	b.weighable(a, k, g)
	if len(a.Facts) == 0 {
		a.add(b.mass(a, k, g))
		a.note("weighs well")
		return
	}
	a.note("common practice")
}
