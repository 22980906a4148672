package answer

import (
	"fmt"
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// asWritten is a mass in the unit the book writes, where that is oz or lb: told
// before the grams.
func (b *Book) asWritten(f Fact, r *kb.Recipe) []Fact {
	u, ok := b.bookUnit(r)
	if !ok || f.Value == nil || f.Unit != "g" {
		return nil
	}
	if u.Symbol == "lb" && f.Value.Less(quantity.LB.Factor()) {
		u = quantity.OZ
	}
	q, err := quantity.Grams(*f.Value).In(u)
	if err != nil {
		return nil
	}
	w := b.measured(f.What, q)
	w.Of, w.How, w.At, w.Part, w.From = f.Of, f.How, f.At, f.Part, f.From
	return []Fact{w}
}

// bookUnit is the unit in which a recipe writes its masses: oz or lb, if its
// lines or its makes do, or else the recipes it draws on.
func (b *Book) bookUnit(r *kb.Recipe) (quantity.Unit, bool) {
	return writtenUnit(r, map[*kb.Recipe]bool{})
}

func writtenUnit(r *kb.Recipe, seen map[*kb.Recipe]bool) (quantity.Unit, bool) {
	if r == nil || seen[r] {
		return quantity.Unit{}, false
	}
	seen[r] = true
	if r.Makes != nil && r.Makes.Mass != nil {
		u := r.Makes.Mass.Unit
		return u, imperial(u)
	}
	for i := range r.Lines {
		if am := written(&r.Lines[i].Amount); am.Kind == recipe.Measured && am.Unit.Dim == quantity.Mass {
			return am.Unit, imperial(am.Unit)
		}
	}
	for i := range r.Lines {
		if u, ok := writtenUnit(r.Lines[i].Link, seen); ok {
			return u, true
		}
	}
	return quantity.Unit{}, false
}

func imperial(u quantity.Unit) bool { return u.Symbol == "oz" || u.Symbol == "lb" }

func metricVolume(u quantity.Unit) bool {
	switch u.Symbol {
	case "ml", "cl", "dl", "l":
		return true
	}
	return false
}

// volumeShown writes ml below a litre, litres above.
func volumeShown(ml quantity.Number) string {
	if ml.Cmp(quantity.Int(1000)) >= 0 {
		return ml.Div(quantity.Int(1000)).Fixed(3) + " l"
	}
	return quantity.RoundQuantity(quantity.Of(ml, quantity.ML), nil).String()
}

// inUnit gives a line in the unit asked for.
func (b *Book) inUnit(a *Answer, u quantity.Unit, l *kb.Line, am *recipe.Amount, k quantity.Number) (Fact, bool) {
	from, how := FromCalculated, l.Amount.Text
	switch u.Dim {
	case quantity.Mass:
		if !l.HasGrams {
			return Fact{}, false
		}
		q, err := quantity.Grams(l.Grams.Mul(k)).In(u)
		if err != nil {
			return Fact{}, false
		}
		f := b.measured(l.Name, q)
		f.From, f.How = from, how
		return f, true
	case quantity.Volume:
		if am.Kind == recipe.Measured && am.Unit.Dim == quantity.Volume {
			q, err := quantity.Of(am.Middle().Mul(k), am.Unit).In(u)
			if err != nil {
				return Fact{}, false
			}
			f := b.measured(l.Name, q)
			f.From, f.How = from, how
			return f, true
		}
		d, src, ok := b.densityOf(nil, l)
		if !ok || !l.HasGrams {
			return Fact{}, false
		}
		q, err := quantity.Of(l.Grams.Mul(k).Div(d), quantity.ML).In(u)
		if err != nil {
			return Fact{}, false
		}
		f := b.measured(l.Name, q)
		f.From, f.How, f.Source = from, fmt.Sprintf("%s ÷ %s g/ml", how, d), src
		return f, true
	}
	return Fact{}, false
}

// inAsked gives every mass and temperature in the unit that was asked for, where
// the answer has none in it yet: "in ounces", of what was told last.
func (b *Book) inAsked(a *Answer, q *question.Question) {
	if !q.HasUnit || a.Status != StatusAnswer {
		return
	}
	have := unitName(q.Unit)
	from := map[quantity.Dimension]quantity.Unit{quantity.Mass: quantity.G, quantity.Temperature: quantity.Celsius}[q.Unit.Dim]
	if from.Symbol == "" || from.Symbol == q.Unit.Symbol {
		return
	}
	for i := range a.Facts {
		if a.Facts[i].Unit == have {
			return
		}
	}
	turn := func(n *quantity.Number) (*quantity.Number, string) {
		if n == nil {
			return nil, ""
		}
		out, err := quantity.Of(*n, from).In(q.Unit)
		if err != nil {
			return n, ""
		}
		return &out.N, b.measured("", out).Shown
	}
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.Unit != from.Symbol || f.Was != nil || f.PlusMinus != nil {
			continue
		}
		shown := ""
		f.Value, shown = turn(f.Value)
		f.Min, _ = turn(f.Min)
		f.Max, _ = turn(f.Max)
		f.Never, _ = turn(f.Never)
		f.Unit, f.Shown = have, shown
	}
}

// panUnits tells what stands on a scale in the unit in which the house writes its
// pans, or in which the reading was told, where that is oz or lb; the grams after it.
func (b *Book) panUnits(a *Answer, q *question.Question) {
	u := q.Quantity.Unit
	if !imperial(u) {
		for i := range a.Facts {
			for _, n := range []string{a.Facts[i].At, a.Facts[i].Of} {
				if p, ok := b.Snap.Pan(n); ok && n != "" && imperial(p.Empty.Unit) {
					u = p.Empty.Unit
				}
			}
		}
	}
	if !imperial(u) || slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.Unit == "oz" || f.Unit == "lb" }) {
		return
	}
	var out []Fact
	for _, f := range a.Facts {
		if f.Unit == "g" && f.Value != nil && f.Min == nil && f.Max == nil && f.PlusMinus == nil {
			to := u
			if to.Symbol == "lb" && f.Value.Less(quantity.LB.Factor()) {
				to = quantity.OZ
			}
			if v, err := quantity.Grams(*f.Value).In(to); err == nil {
				w := b.measured(f.What, v)
				w.Of, w.At, w.Part, w.How, w.From, w.Source, w.Group = f.Of, f.At, f.Part, f.How, f.From, f.Source, f.Group
				out = append(out, w)
			}
		}
		out = append(out, f)
	}
	a.Facts = out
}

// toldAlready reports whether the very facts were told for another word of the message:
// "leaves of gelatine" are one thing.
func toldAlready(told map[string]bool, fs []Fact) bool {
	key := ""
	for i := range fs {
		f := &fs[i]
		key += f.What + "|" + f.Of + "|" + f.Part + "|" + f.At + "|" + f.Unit + "|" + f.Shown + ";"
	}
	if told[key] {
		return len(fs) > 0
	}
	told[key] = true
	return false
}

// inKilos shows what was asked in kg in kg, however little it is.
func inKilos(a *Answer, q *question.Question) {
	if !q.HasUnit || q.Unit.Symbol != "kg" {
		return
	}
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.Unit != "kg" || !strings.HasSuffix(f.Shown, " g") {
			continue
		}
		if g, err := quantity.ParseQuantity(f.Shown, quantity.Metric, quantity.Book); err == nil {
			f.Shown = g.N.Div(quantity.Int(1000)).String() + " kg"
		}
	}
}
