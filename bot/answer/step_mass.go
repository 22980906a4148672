package answer

import (
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// stepMass: what steps of the book weigh when they are over, or before them, at the
// size asked.
func stepMass(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	var out []Fact
	for _, i := range q.MethodAt {
		st := &s.recipe.Method[i]
		var start, goal *Fact
		if st.From != nil {
			f := b.mass(a, "start", st.From.Base().Mul(s.factor))
			f.Of, f.How = s.recipe.Name, s.how(st.From.String())
			start = &f
		}
		switch {
		case st.To.Mass != nil:
			f := b.mass(a, st.Verb+" to", st.To.Mass.Base().Mul(s.factor))
			f.Of, f.How = s.recipe.Name, s.how(st.To.Text)
			goal = &f
		case st.To.Half && st.From != nil:
			f := b.mass(a, st.Verb+" to", st.From.Base().Mul(s.factor).Div(quantity.Int(2)))
			f.Of, f.How = s.recipe.Name, "half of "+start.Shown
			goal = &f
		}
		if q.Start {
			start, goal = goal, start
		}
		for _, f := range []*Fact{goal, start} {
			if f == nil {
				continue
			}
			if len(q.MethodAt) > 1 { // which of them it is
				f.At = st.Words
			}
			out = append(out, *f)
		}
	}
	if q.Start && len(out) > 0 && out[0].What != "start" {
		a.unknown("no start", s.recipe.Name)
		return
	}
	a.add(out...)
	a.add(s.facts...)
	a.Title = s.title
}
