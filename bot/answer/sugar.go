package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/calc/sugar"
	"tamis/kb"
)

// boilIDs are what boiling points of syrups stand on.
var boilIDs = []string{"S-612", "S-614", "S-616"}

// boils: the boiling point of water or a syrup, or the °Bx that boils at a temperature.
func boils(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	m, from := b.altitude(q)
	var f Fact
	switch q.Craft.Topic {
	case "point":
		bx := q.Craft.Brix[0]
		e, err := sugar.BoilingPoint(bx, m)
		if err != nil {
			a.unknown("out of range", bx.String()+" °Bx")
			return
		}
		f = b.degreesIn(q, b.estimate("boiling point", e, quantity.Celsius).cite(FromCalculated, boilIDs...))
		f.At = bx.String() + " °Bx"
		a.add(f)
		if !bx.IsZero() {
			a.caution("hot sugar")
		}
	case "brix":
		t := q.Craft.Celsius[0]
		e, err := sugar.BrixBoilingAt(t, m)
		if err != nil {
			a.unknown("out of range", t.String()+" °C")
			return
		}
		f = b.estimate("brix", e, quantity.BrixDegree).cite(FromCalculated, boilIDs...)
		f.At = "boils at " + t.String() + " °C"
		a.add(f)
		a.caution("hot sugar")
	default:
		e, err := sugar.WaterBoils(m)
		if err != nil {
			a.unknown("out of range", m.String()+" m")
			return
		}
		a.add(b.degreesIn(q, b.estimate("boiling point", e, quantity.Celsius).cite(FromCalculated, "S-616", "S-604")))
	}
	b.altitudeFact(a, m, from)
	a.bySource()
}

// stageFact is one stage of cooked sugar.
func (b *Book) stageFact(q *question.Question, s sugar.Stage) Fact {
	lo, hi := s.Low, s.High
	f := b.between(s.Name, &lo, &hi, quantity.Celsius).cite(FromReference, "S-620")
	return b.degreesIn(q, f)
}

// stages: of cooked sugar, by name, by temperature, or all.
func stages(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	m, from := b.altitude(q)
	switch q.Craft.Topic {
	case "stage":
		s, err := sugar.StageNamed(q.Craft.Kind, m)
		if err != nil {
			a.unknown("no stage", q.Craft.Kind)
			return
		}
		a.add(b.stageFact(q, s))
	case "is", "at":
		t := q.Craft.Celsius[0]
		r, err := stageAt(t, m)
		if err != nil {
			a.unknown("out of range", m.String()+" m")
			return
		}
		b.stageOf(a, q, r, t, m)
	default:
		all, err := sugar.Stages(m)
		if err != nil {
			a.unknown("out of range", m.String()+" m")
			return
		}
		for _, s := range all {
			a.add(b.stageFact(q, s))
		}
	}
	b.altitudeFact(a, m, from)
	a.caution("hot sugar")
	a.bySource()
}

// stageAt is the stage at a temperature; between whole degrees, as °F turned into
// °C are, the stage on either side holds: the chart has whole degrees.
func stageAt(t, m quantity.Number) (sugar.StageReading, error) {
	r, err := sugar.StageAt(t, m)
	for _, n := range []quantity.Number{t.Floor(), t.Ceil()} {
		if err != nil || len(r.In) > 0 || t.IsInt() {
			return r, err
		}
		if o, err := sugar.StageAt(n, m); err == nil && len(o.In) > 0 {
			return o, nil
		}
	}
	return r, err
}

// stageOf says in which stage a temperature lies, and of the stage asked whether it is that.
func (b *Book) stageOf(a *Answer, q *question.Question, r sugar.StageReading, t, m quantity.Number) {
	asked, err := sugar.StageNamed(q.Craft.Kind, m)
	has := q.Craft.Topic == "is" && err == nil
	for _, s := range r.In {
		a.add(b.stageFact(q, s))
	}
	if has && !slices.ContainsFunc(r.In, func(s sugar.Stage) bool { return s.Name == asked.Name }) {
		f := b.stageFact(q, asked)
		a.Facts = append([]Fact{f}, a.Facts...)
		code := "stage over"
		if t.Less(asked.Low) {
			code = "stage under"
		}
		a.note(code, asked.Name)
	} else if has {
		a.note("stage yes", asked.Name)
	}
	add := func(s *sugar.Stage) {
		if !has || s.Name != asked.Name {
			a.add(b.stageFact(q, *s))
		}
	}
	if len(r.In) == 0 {
		switch {
		case r.Below != nil && r.Above != nil:
			a.note("between stages", r.Below.Name, r.Above.Name)
			add(r.Below)
			add(r.Above)
		case r.Above != nil:
			a.note("before stages", r.Above.Name)
			add(r.Above)
		case r.Below != nil:
			a.note("past stages", r.Below.Name)
			add(r.Below)
		}
	}
	for _, c := range r.Cautions {
		a.caution(string(c))
	}
}

// syrupScale: °Bx, °Bé and density into one another.
func syrupScale(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	var bx sugar.Estimate
	var err error
	given := ""
	switch {
	case len(c.Brix) > 0:
		bx, given = sugar.Estimate{Value: c.Brix[0]}, c.Brix[0].String()+" °Bx"
	case len(c.Baume) > 0:
		bx, err = sugar.BrixOfBaume(c.Baume[0])
		given = c.Baume[0].String() + " °Bé"
	case len(c.Density) > 0:
		bx, err = sugar.BrixOfDensity(c.Density[0])
		given = c.Density[0].String() + " g/ml"
	default:
		a.asks("ask brix", nil)
		return
	}
	if err != nil {
		a.unknown("out of range", given)
		return
	}
	brix := b.estimate("brix", bx, quantity.BrixDegree).cite(FromCalculated, "S-617")
	if len(c.Baume) > 0 {
		brix = brix.cite(FromCalculated, "S-623", "S-617")
	}
	be, errBe := sugar.Baume(bx.Value)
	de, errDe := sugar.Density(bx.Value)
	if errBe != nil || errDe != nil {
		a.unknown("out of range", given)
		return
	}
	bf := b.estimate("baumé", be, baume).cite(FromCalculated, "S-623", "S-617")
	df := b.estimate("density", de, quantity.GPerML).cite(FromCalculated, "S-617")
	brix.At, bf.At, df.At = "", "at 20 °C", "at 20 °C"
	switch c.Topic {
	case "baume":
		a.add(bf, df)
	case "density":
		a.add(df, bf)
		if len(c.Brix) == 0 {
			a.add(brix)
		}
	default:
		a.add(brix)
		if len(c.Baume) > 0 {
			a.add(df)
		} else {
			a.add(bf)
		}
	}
	a.note("sucrose alone")
	a.bySource()
}

// dissolved is the °Bx of a finished recipe: of its method's goal, else sugars in sugars and water.
func (b *Book) dissolved(r *kb.Recipe) (bx quantity.Number, from string, ok bool) {
	for i := len(r.Method) - 1; i >= 0; i-- {
		if t := r.Method[i].To; t != nil && t.Brix != nil {
			return t.Brix.N, FromBook, true
		}
	}
	w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
	if err != nil {
		return bx, "", false
	}
	s, okS := narrow(w.Per100(mix.Sugars))
	water, okW := narrow(w.Per100(mix.Water))
	if !okS || !okW || s.Add(water).Sign() <= 0 {
		return bx, "", false
	}
	return s.Mul(hundred).Div(s.Add(water)), FromCalculated, true
}

// recipeBrix tells the °Bx of a finished recipe.
func (b *Book) recipeBrix(a *Answer, r *kb.Recipe) {
	bx, from, ok := b.dissolved(r)
	if !ok {
		a.note("no brix", r.Name)
		return
	}
	f := b.figure("brix", bx, quantity.BrixDegree)
	f.Of, f.From = r.Name, from
	if from == FromCalculated {
		f.How = "sugars in sugars and water"
		a.note("brix read")
	}
	a.add(f)
}

// crystal: will a syrup crystallise at a temperature.
func crystal(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	t, label, ok := b.placeTemp(q)
	if !ok {
		if q.Place != "" {
			a.asks("ask degrees", nil)
			return
		}
		t = quantity.Int(20)
		a.assume("room at", "20 °C")
	}
	if t.Sign() < 0 {
		a.unknown("out of range", t.String()+" °C")
		return
	}
	at := b.showDegrees(q, t)
	if label != "" {
		at = label + ", " + at
	}
	bx, from := quantity.Number{}, FromAsked
	switch q.Craft.Topic {
	case "brix":
		bx = q.Craft.Brix[0]
	case "recipe":
		r := q.Targets[0].Recipe
		if bx, from, ok = b.dissolved(r); !ok {
			a.unknown("no brix", r.Name)
			return
		}
		a.Title = Title{Recipe: r.Name}
	default:
		e, err := sugar.Saturation(t)
		if err != nil {
			a.unknown("out of range", at)
			return
		}
		f := b.estimate("saturation", e, quantity.BrixDegree).cite(FromReference, "S-625")
		f.At = at
		a.add(f)
		a.note("sucrose alone")
		a.bySource()
		return
	}
	k, err := sugar.WillCrystallise(bx, t)
	if err != nil {
		a.unknown("out of range", bx.String()+" °Bx")
		return
	}
	sat := b.estimate("saturation", k.Saturated, quantity.BrixDegree).cite(FromReference, "S-625")
	sat.At = at
	own := b.figure("brix", bx, quantity.BrixDegree)
	own.From = from
	over := b.figure("supersaturation", k.Saturation, quantity.NoUnit).cite(FromCalculated, "S-625")
	over.Unit = "1"
	over.Shown = k.Saturation.Fixed(2)
	a.add(sat, own, over)
	a.note("crystals " + k.Verdict.String())
	for _, c := range k.Cautions {
		a.caution(string(c))
	}
	a.bySource()
}

// mixBrix: what to add, mix or weigh for a °Bx.
func mixBrix(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	mass := make([]quantity.Number, len(c.Amounts))
	for i := range c.Amounts {
		m, ok := b.syrupMass(a, &c.Amounts[i], i, c)
		if !ok {
			return
		}
		mass[i] = m
	}
	var err error
	switch c.Topic {
	case "sugar", "water":
		with := hundred
		if c.Topic == "water" {
			with = quantity.Number{}
		}
		var add quantity.Number
		if add, err = sugar.Adjust(sugar.Syrup{Mass: mass[0], Brix: c.Brix[0]}, with, c.Brix[1]); err == nil {
			f := b.mass(a, c.Topic, add).cite(FromCalculated, plain)
			f.How = mass[0].String() + " × (" + c.Brix[1].String() + " − " + c.Brix[0].String() + ") ÷ (" + with.String() + " − " + c.Brix[1].String() + ")"
			total := b.mass(a, "total", mass[0].Add(add)).cite(FromCalculated, plain)
			total.At = c.Brix[1].String() + " °Bx"
			a.add(f, total)
		}
	case "blend":
		var s sugar.Syrup
		if s, err = sugar.Blend(sugar.Syrup{Mass: mass[0], Brix: c.Brix[0]}, sugar.Syrup{Mass: mass[1], Brix: c.Brix[1]}); err == nil {
			t := b.mass(a, "total", s.Mass).cite(FromCalculated, plain)
			a.add(b.figure("brix", s.Brix, quantity.BrixDegree).cite(FromCalculated, plain), t)
		}
	case "square":
		b.square(a, c.Brix, mass[0])
		return
	case "make":
		var su, wa quantity.Number
		if su, wa, err = sugar.Make(mass[0], c.Brix[0]); err == nil {
			x, y := b.mass(a, "sugar", su).cite(FromCalculated, plain), b.mass(a, "water", wa).cite(FromCalculated, plain)
			x.How = mass[0].String() + " g × " + c.Brix[0].String() + " %"
			a.add(x, y)
		}
	case "ratio":
		f := b.figure("brix", c.Brix[0], quantity.BrixDegree).cite(FromCalculated, plain)
		f.At = c.Use + " sugar to water by mass"
		a.add(f)
	case "what":
		b.brixOfMix(a, c, mass)
		return
	}
	if c.Use != "" {
		a.assume("ratio by mass", c.Use)
	}
	if err != nil {
		b.mixError(a, c, err)
		return
	}
	a.note("brix read")
}

func (b *Book) mixError(a *Answer, c *question.Craft, err error) {
	code := "out of range"
	if errors.Is(err, sugar.ErrBetween) || errors.Is(err, sugar.ErrSame) {
		code = "not between"
	}
	var bx []string
	for _, n := range c.Brix {
		bx = append(bx, n.String()+" °Bx")
	}
	a.unknown(code, strings.Join(bx, ", "))
}

// syrupMass is an amount in g; a volume of syrup by the density of its °Bx.
func (b *Book) syrupMass(a *Answer, g *question.Given, i int, c *question.Craft) (quantity.Number, bool) {
	if g.Q.Unit.Dim == quantity.Volume && i < len(c.Brix) && c.Topic != "what" {
		bx := c.Brix[i]
		if c.Topic == "square" {
			bx = c.Brix[len(c.Brix)-1]
		}
		if e, err := sugar.Density(bx); err == nil {
			a.assume("density of brix", bx.String()+" °Bx")
			return g.Q.Base().Mul(e.Value), true
		}
	}
	return b.inGrams(a, g)
}

// square: two syrups for a total between them; the goal is the last °Bx.
func (b *Book) square(a *Answer, bx []quantity.Number, total quantity.Number) {
	ends, goal := bx[:2], bx[2]
	x, y, err := sugar.Square(ends[0], ends[1], goal, total)
	if err != nil {
		a.unknown("not between", goal.String()+" °Bx")
		return
	}
	for i, n := range []quantity.Number{x, y} {
		f := b.mass(a, "syrup", n).cite(FromCalculated, plain)
		f.At = ends[i].String() + " °Bx"
		a.add(f)
	}
	t := b.mass(a, "total", total)
	t.From = FromAsked
	g := b.figure("brix", goal, quantity.BrixDegree)
	g.From = FromAsked
	a.add(t, g)
}

// brixOfMix: the °Bx of sugar, water and things of known sugar poured together.
func (b *Book) brixOfMix(a *Answer, c *question.Craft, mass []quantity.Number) {
	var all []sugar.Syrup
	for i := range c.Amounts {
		it := &c.Amounts[i].Item
		bx, ok := b.brixOfItem(it)
		if !ok {
			a.unknown("no brix", it.Text)
			return
		}
		all = append(all, sugar.Syrup{Mass: mass[i], Brix: bx})
	}
	s, err := sugar.Blend(all...)
	if err != nil {
		a.unknown("out of range", "")
		return
	}
	a.add(b.figure("brix", s.Brix, quantity.BrixDegree).cite(FromCalculated, plain), b.mass(a, "total", s.Mass).cite(FromCalculated, plain))
	a.note("brix read")
}

func (b *Book) brixOfItem(it *question.Item) (quantity.Number, bool) {
	switch {
	case slices.Contains(it.Names, "water"):
		return quantity.Number{}, true
	case it.Larder == nil || it.Part:
		return quantity.Number{}, false
	case it.Larder.Brix != nil:
		return *it.Larder.Brix, true
	}
	if su, ok := it.Larder.Comp.Get(mix.Sugars); ok {
		if w, ok := it.Larder.Comp.Get(mix.Water); ok && su.Add(w).Cmp(quantity.Int(95)) >= 0 {
			return su, true
		}
	}
	return quantity.Number{}, false
}
