package answer

import (
	"tamis/bot/question"
)

// leftBehind: what a straining, draining or trimming leaves, at the size asked.
func leftBehind(b *Book, a *Answer, q *question.Question) {
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	for i := range r.Method {
		st := &r.Method[i]
		if !question.LeavesBehind(st) {
			continue
		}
		from, to := st.From.Base().Mul(s.factor), st.To.Mass.Base().Mul(s.factor)
		f := b.mass(a, "left behind", from.Sub(to))
		f.Of, f.From, f.How = r.Name, FromCalculated, st.From.String()+" − "+st.To.Mass.String()
		start, end := b.mass(a, "start", from), b.mass(a, st.Verb+" to", to)
		start.Of, end.Of = r.Name, r.Name
		a.add(f, start, end)
	}
	a.add(s.facts...)
	a.Title = s.title
}
