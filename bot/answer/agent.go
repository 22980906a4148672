package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// propertyOf is what the word of a question asks of an agent, and how its facts are called.
var propertyOf = map[string]struct {
	property gel.Property
	what     string
}{
	"dosage": {gel.Dosage, "dosage"}, "set": {gel.Set, "sets at"}, "melt": {gel.Melt, "melts at"}, "hydrate": {gel.Hydrate, "hydrate at"},
	"hold": {gel.Hold, "boil"}, "boil": {gel.Needs, "needs"}, "needs": {gel.Needs, "needs"}, "ph": {gel.PH, "ph"},
	"freeze": {gel.Freeze, "freeze"}, "disperse": {gel.Disperse, "disperse"}, "air": {gel.Air, "air"},
}

// agent: what is known of a gelling agent.
func agent(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	agents := q.Craft.Agents
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		r := q.Targets[0].Recipe
		agents = recipeAgents(r)
		b.keptFrozen(a, r)
		a.Title = Title{Recipe: r.Name}
		if len(agents) == 0 && len(a.Words) == 0 {
			a.unknown("not said frozen", r.Name)
			return
		}
	}
	topics := strings.Split(q.Craft.Topic, ",")
	if slices.Contains(topics, "about") {
		topics = []string{"dosage", "hydrate", "set", "melt", "needs", "freeze", "disperse", "air"}
	}
	for _, k := range agents {
		for _, t := range topics {
			b.agentFacts(a, q, k, t)
			if k == "gelatine" && t == "boil" {
				b.boilingWeakens(a)
			}
		}
	}
	if len(a.Facts) == 0 && len(a.Notes) == 0 && len(a.Words) == 0 {
		a.unknown("not known of agent", strings.Join(agents, ", "))
		return
	}
	a.bySource()
}

// boilingWeakens tells above what gelatine loses strength.
func (b *Book) boilingWeakens(a *Answer) {
	for _, w := range gel.Weakeners() {
		if w.Code == "boiling" && w.HasLow {
			n := w.Low
			f := Fact{What: "weakens", Min: &n, Unit: "°C", Shown: "over " + b.shown(n, quantity.Celsius), Of: "gelatine"}
			a.add(f.cite(FromReference, w.SourceID))
		}
	}
}

// recipeAgents are the gelling agents on a recipe's own lines, else in its parts.
func recipeAgents(r *kb.Recipe) []string {
	var out []string
	var walk func(r *kb.Recipe, depth int)
	walk = func(r *kb.Recipe, depth int) {
		for i := range r.Lines {
			l := &r.Lines[i]
			if l.Link != nil {
				if depth < 4 && !isCore(r, i) {
					walk(l.Link, depth+1)
				}
				continue
			}
			if k := agentOf(l.Item, l.Name); k != "" && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	walk(r, 0)
	return out
}

// keptFrozen quotes what the book itself says of freezing.
func (b *Book) keptFrozen(a *Answer, r *kb.Recipe) {
	for _, k := range r.Keeps {
		if k.Where == "freezer" || strings.Contains(k.Text, "freeze") {
			a.Words = append(a.Words, k.Text)
		}
	}
	if len(a.Words) > 0 && len(recipeAgents(r)) > 0 {
		a.note("the book first")
	}
}

// agentFacts adds what is known of one property: the first source answers, the others stand beside it.
func (b *Book) agentFacts(a *Answer, q *question.Question, agent, topic string) {
	p, ok := propertyOf[topic]
	if !ok {
		return
	}
	vs, err := gel.Of(agent, p.property)
	if err != nil {
		return
	}
	if topic == "dosage" && q.Craft.Use != "" {
		if own := slices.DeleteFunc(slices.Clone(vs), func(v gel.Value) bool { return v.Use != q.Craft.Use }); len(own) > 0 {
			vs = own
		}
	}
	if len(vs) == 0 && !strings.Contains(q.Craft.Topic, "about") {
		a.note("not known of agent", agent+", "+p.what)
	}
	for i, v := range vs {
		other := i > 0 && slices.ContainsFunc(vs[:i], func(o gel.Value) bool { return o.Use == v.Use && (o.HasLow || o.HasHigh) })
		b.valueFact(a, q, agent, p.what, v, other)
	}
}

func (b *Book) valueFact(a *Answer, q *question.Question, agent, what string, v gel.Value, other bool) {
	if !v.HasLow && !v.HasHigh {
		a.note("agent "+strings.ReplaceAll(what, " at", "")+" "+v.Text, agent)
		if v.Text != "" { // words have a source too
			a.add(Fact{What: what, HasItems: true, Items: []string{v.Text}, Of: agent}.cite(FromReference, v.Source))
		}
		return
	}
	var lo, hi *quantity.Number
	if v.HasLow {
		lo = &v.Low
	}
	if v.HasHigh {
		hi = &v.High
	}
	u := quantity.Unit{Symbol: strings.TrimSuffix(v.Unit, " above set"), Dim: quantity.Count}
	switch v.Unit {
	case "%", "% solids":
		u = quantity.Percent
	case "°C":
		u = quantity.Celsius
	case "min":
		u = quantity.Minute
	}
	f := b.between(what, lo, hi, u)
	if lo == nil || hi == nil {
		n, word := lo, "from "
		if lo == nil {
			n, word = hi, "up to "
		}
		f.Shown = word + b.shown(*n, u)
		if u.Dim == quantity.Count {
			f.Shown = word + n.String() + " " + u.Symbol
		}
	} else if u.Dim == quantity.Count {
		f.Shown = lo.String() + " to " + hi.String() + " " + u.Symbol
	}
	f.Of = agent
	var at []string
	for _, s := range []string{v.Use, v.Text} {
		if s != "" && s != "any" {
			at = append(at, s)
		}
	}
	if v.Use == "any" {
		at = append(at, "any use")
	}
	if strings.HasSuffix(v.Unit, "above set") {
		at = append(at, "above where it sets")
	}
	if v.Unit == "% solids" {
		at = append(at, "solids")
	}
	if other && what != "needs" {
		at = append(at, "another source")
	}
	f.At = strings.Join(at, ", ")
	f = f.cite(FromReference, v.Source)
	a.add(b.degreesIn(q, f))
}

// dose: how much of an agent, and whether a dose is right, by the water that is really there.
func dose(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	k := c.Agents[0]
	var grams, water quantity.Number
	switch c.Topic {
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

// melts: whether a gel holds at a temperature.
func melts(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	agents := q.Craft.Agents
	if q.Craft.Topic == "recipe" {
		r := q.Targets[0].Recipe
		agents = recipeAgents(r)
		if len(agents) == 0 {
			a.unknown("no gelling agent", r.Name)
			return
		}
		a.Title = Title{Recipe: r.Name}
	}
	for _, k := range agents {
		if len(q.Craft.Celsius) > 0 {
			if s, ok := stateAt(k, q.Craft.Celsius[0]); ok {
				a.note("melt "+s.String(), q.Craft.Celsius[0].String()+" °C", k)
			}
		}
		b.agentFacts(a, q, k, "melt")
	}
	for _, t := range q.Craft.Celsius {
		f := b.figure("temperature", t, quantity.Celsius)
		f.From = FromAsked
		a.add(f)
	}
	if !slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.From != FromAsked }) && len(a.Notes) == 0 {
		a.unknown("not known of agent", strings.Join(agents, ", "))
		return
	}
	a.bySource()
}

// stateAt is what a set gel of an agent is at a temperature, by its first melting row.
func stateAt(agent string, t quantity.Number) (gel.State, bool) {
	if agent == "gelatine" {
		return gel.At(t), true
	}
	vs, err := gel.Of(agent, gel.Melt)
	if err != nil || len(vs) == 0 || vs[0].Unit != "°C" || !vs[0].HasLow {
		return gel.Holds, false
	}
	v := vs[0]
	switch {
	case t.Less(v.Low):
		return gel.Holds, true
	case v.HasHigh && v.High.Less(t):
		return gel.Melted, true
	}
	return gel.Softens, true
}

// unmould: has it set is told by hours, can it be unmoulded by the core.
func unmould(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	a.Title = Title{Recipe: r.Name}
	gelled := slices.Contains(recipeAgents(r), "gelatine")
	core, set := coreStep(r), setStep(r)
	if core == nil && set == nil {
		a.unknown("no such step", r.Name)
		return
	}
	if q.Craft.Topic == "unmould" && core != nil {
		b.coreFacts(a, q, r, core)
	}
	if set != nil {
		b.setFacts(a, q, r, set, gelled && set.Where != "" && isFridge(set.Where))
	}
	if q.Craft.Topic != "unmould" && core != nil && core != set {
		b.coreFacts(a, q, r, core)
	}
	if core == nil && len(q.Craft.Celsius) > 0 && gelled {
		a.note("melt "+gel.At(q.Craft.Celsius[0]).String(), q.Craft.Celsius[0].String()+" °C", "gelatine")
	}
	if core != nil && set != nil {
		a.note("set is not frozen")
	}
}

func isFridge(where string) bool {
	return strings.Contains(where, "fridge") || strings.Contains(where, "cold")
}

// coreStep is the last step that waits for a core temperature below zero.
func coreStep(r *kb.Recipe) *recipe.Step {
	for i := len(r.Method) - 1; i >= 0; i-- {
		if st := &r.Method[i]; st.UntilCore != nil && st.UntilCore.Base().Sign() <= 0 {
			return st
		}
	}
	return nil
}

// setStep is the step in which a recipe sets: by its verb, else the longest in the cold.
func setStep(r *kb.Recipe) *recipe.Step {
	for _, verbs := range [][]string{{"set"}, {"chill", "rest"}, {"freeze"}} {
		for i := len(r.Method) - 1; i >= 0; i-- {
			st := &r.Method[i]
			if st.For != nil && slices.ContainsFunc(verbs, func(v string) bool { return verbIs(st, v) }) && (st.Where != "" || verbs[0] == "set") {
				return st
			}
		}
	}
	return nil
}

func (b *Book) coreFacts(a *Answer, q *question.Question, r *kb.Recipe, st *recipe.Step) {
	f := b.measured("core", *st.UntilCore)
	f.Of, f.At = r.Name, st.Where
	a.add(f)
	for _, t := range q.Craft.Celsius {
		g := b.figure("core", t, quantity.Celsius)
		g.From, g.At = FromAsked, "now"
		a.add(g)
		if t.Cmp(st.UntilCore.Base()) <= 0 {
			a.note("cold enough")
		} else {
			a.note("not cold enough")
		}
	}
	if len(q.Craft.Celsius) == 0 {
		a.note("probe it")
	}
}

func (b *Book) setFacts(a *Answer, q *question.Question, r *kb.Recipe, st *recipe.Step, gelled bool) {
	f := spanFact(st.Verb, st.For, st.Where)
	f.Of = r.Name
	a.add(f)
	least := st.For.Min
	if least == nil {
		least = st.For.Exact
	}
	for _, m := range q.Craft.Minutes {
		g := b.figure("so far", m, quantity.Minute)
		g.From = FromAsked
		a.add(g)
		if least != nil {
			if m.Cmp(*least) >= 0 {
				a.note("set by the book")
			} else {
				l := b.figure("time left", least.Sub(m), quantity.Minute)
				l.Of = r.Name
				a.add(l)
				a.note("not set by the book")
			}
		}
		if gelled {
			if mt, err := gel.Matured(m.Div(quantity.Int(60))); err == nil {
				a.note("gelatine " + mt.String())
			}
		}
	}
}
