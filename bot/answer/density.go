package answer

import (
	"tamis/bot/question"
	"tamis/calc/quantity"
)

// recipeDensity is what the book states of a mix, with its overrun.
func (b *Book) recipeDensity(a *Answer, q *question.Question) {
	r := q.Targets[0].Recipe
	add := func(what string, v *quantity.Quantity) {
		if v != nil {
			f := b.measured(what, *v)
			f.Of, f.From = r.Name, FromBook
			a.add(f)
		}
	}
	if len(q.Content) > 0 {
		switch q.Content[0].Name {
		case "loss":
			add("loss", &r.Loss)
			a.Title = Title{Recipe: r.Name}
			return
		case "aerated":
			if r.Density != nil && r.Overrun != nil {
				by := quantity.Int(1).Add(r.Overrun.N.Div(quantity.Int(100)))
				f := b.measured("density", quantity.Of(r.Density.N.Div(by), r.Density.Unit))
				f.Of, f.From, f.At, f.How = r.Name, FromCalculated, "with its overrun", r.Density.String()+" ÷ "+by.String()
				a.add(f)
				add("overrun", r.Overrun)
				a.Title = Title{Recipe: r.Name}
				return
			}
			add("density", r.Density)
			if r.Density == nil {
				a.unknown("no density", r.Name)
			}
			a.Title = Title{Recipe: r.Name}
			return
		}
		add("overrun", r.Overrun)
	}
	add("density", r.Density)
	switch {
	case len(q.Content) > 0 && r.Overrun == nil:
		a.unknown("no overrun", r.Name)
		return
	case len(q.Content) == 0:
		if r.Density == nil {
			a.unknown("no density", r.Name)
			return
		}
		add("overrun", r.Overrun)
	}
	a.Title = Title{Recipe: r.Name}
}
