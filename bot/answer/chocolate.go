package answer

import (
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/chocolate"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
)

// chocolateKinds are the kinds that have a temper curve.
var chocolateKinds = []string{"dark", "milk", "white"}

// askKind asks which chocolate is meant, the question kept for each choice.
func askKind(a *Answer, q *question.Question) {
	var out []question.Choice
	for _, k := range chocolateKinds {
		q2 := *q
		q2.Craft.Kind = k
		out = append(out, question.Choice{Label: k, Question: &q2})
	}
	a.asks("ask chocolate", out)
}

// temper: melt, cool and work of a chocolate.
func temper(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if q.Craft.Kind == "" {
		askKind(a, q)
		return
	}
	c, err := chocolate.CurveOf(q.Craft.Kind)
	if err != nil {
		askKind(a, q)
		return
	}
	for _, s := range []struct {
		what string
		span chocolate.Span
	}{{"melt to", c.Melt}, {"cool to", c.Cool}, {"work at", c.Work}} {
		lo, hi := s.span.Low, s.span.High
		f := b.between(s.what, &lo, &hi, quantity.Celsius).cite(FromReference, c.Source)
		f.Of = c.Kind + " chocolate"
		a.add(b.degreesIn(q, f))
	}
	a.Title = Title{Recipe: c.Kind + " chocolate"}
	a.note("packet first")
	a.bySource()
}

// drift: what a bowl needs at a temperature.
func drift(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if q.Craft.Kind == "" {
		askKind(a, q)
		return
	}
	v, err := chocolate.Advise(q.Craft.Kind, q.Craft.Celsius[0], q.Craft.State == "thick")
	if err != nil {
		askKind(a, q)
		return
	}
	lo, hi := v.Work.Low, v.Work.High
	f := b.between("work at", &lo, &hi, quantity.Celsius).cite(FromReference, "S-651")
	f.Of = q.Craft.Kind + " chocolate"
	now := b.figure("temperature", q.Craft.Celsius[0], quantity.Celsius)
	now.From = FromAsked
	a.add(b.degreesIn(q, f), now)
	a.note("drift " + string(v.Drift))
	for _, d := range v.Do {
		a.note("do " + string(d))
	}
	a.Title = Title{Recipe: q.Craft.Kind + " chocolate"}
	a.bySource()
}

// seed: what is melted and what is held back.
func seed(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	total := q.Craft.Amounts[0].Q.Base()
	s, err := chocolate.Seeding(total)
	if err != nil || total.IsZero() {
		a.unknown("out of range", total.String()+" g")
		return
	}
	x := b.mass(a, "seed", s.Seed).cite(FromPractice, practice)
	x.How = "a quarter of " + total.String() + " g"
	y := b.mass(a, "melt", s.Melt).cite(FromPractice, practice)
	t := b.mass(a, "total", total)
	t.From = FromAsked
	a.add(x, y, t)
	if c, err := chocolate.CurveOf(q.Craft.Kind); err == nil {
		lo, hi := c.Work.Low, c.Work.High
		w := b.between("work at", &lo, &hi, quantity.Celsius).cite(FromReference, c.Source)
		w.Of = c.Kind + " chocolate"
		a.add(b.degreesIn(q, w))
	}
	a.note("seed out")
	a.bySource()
}

// ganache: fat, water and what they make of it.
func ganache(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
	if err != nil {
		a.unknown("no composition", r.Name)
		return
	}
	g, err := chocolate.Weigh(w.Mixture)
	if err != nil {
		fat, water := w.Per100(mix.Fat), w.Per100(mix.Water)
		a.unknown("ganache unknown", r.Name, strings.Join(few(append(fat.Missing, water.Missing...)), ", "))
		return
	}
	put := func(what string, n quantity.Number, u quantity.Unit) {
		f := b.figure(what, n, u).cite(FromCalculated, "S-653")
		f.Of = r.Name
		a.add(f)
	}
	put("water", g.Water, quantity.Percent)
	put("fat", g.Fat, quantity.Percent)
	ratio := b.figure("fat to water", g.FatPerWater, quantity.NoUnit).cite(FromCalculated, plain)
	ratio.Unit, ratio.Of = "1", r.Name
	ratio.Shown = g.FatPerWater.Fixed(2) + " g fat to each g water"
	a.add(ratio)
	if g.KnowsFats {
		put("cocoa butter", g.CocoaButter, quantity.Percent)
	}
	if g.WaterToBind.Sign() > 0 {
		put("water to bind", g.WaterToBind, quantity.Percent)
	}
	a.note("texture " + textureName(g.Texture))
	for _, e := range g.Effects {
		a.note("ganache " + string(e))
	}
	a.Title = Title{Recipe: r.Name}
	a.bySource()
}

func textureName(t chocolate.Texture) string {
	return [...]string{"firm", "roll", "pipe", "pour"}[t]
}
