package answer

import (
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// goal is what a step takes the pan down to at a size.
type goal struct {
	start, end quantity.Number // g; start 0: not known
	how        string
	from       string
}

// goalOf works out what a step leaves in the pan, be it written as a mass, as half or
// in °Bx. If it cannot, a says why and ok is false.
func (b *Book) goalOf(a *Answer, s *sized, st *recipe.Step) (g goal, ok bool) {
	d, ok := s.recipe.TakesDown(st)
	if !ok || d.End.Sign() <= 0 {
		if st.To != nil && st.To.Brix != nil {
			a.unknown("goal in brix", s.recipe.Name, st.To.Text)
		} else {
			a.unknown("no reduction", s.recipe.Name)
		}
		return g, false
	}
	g = goal{start: d.Start.Mul(s.factor), end: d.End.Mul(s.factor), how: s.how(st.To.Text), from: FromBook}
	switch {
	case st.To.Half:
		g.how = "half of " + g.start.String() + " g"
	case d.ByMakes:
		g.how = s.how(s.recipe.Makes.Text)
		a.assume("goal by makes", st.To.Text)
	case st.To.Brix != nil:
		before := d.End.Mul(st.To.Brix.N).Div(d.Start)
		g.how, g.from = s.how(d.Start.String()+" g × "+before.String()+" ÷ "+st.To.Brix.N.String()), FromCalculated
		if d.Other.Sign() > 0 {
			a.assume("goal by brix", st.To.Text, b.shown(d.Other.Mul(s.factor), quantity.G))
		}
	}
	return g, true
}
