package answer

import (
	"time"

	"tamis/bot/question"
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
		if _, known := s.recipe.TakesDown(st); !known && len(q.MethodAt) > 1 && !q.Start {
			continue // the others are told
		}
		if !q.Start || st.To.Brix == nil {
			g, ok := b.goalOf(a, &s, st)
			if !ok {
				return
			}
			f := b.mass(a, st.Verb+" to", g.end)
			f.Of, f.How, f.From = s.recipe.Name, g.how, g.from
			goal = &f
			if start == nil && g.start.Sign() > 0 {
				f := b.mass(a, "start", g.start)
				f.Of = s.recipe.Name
				start = &f
			}
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
