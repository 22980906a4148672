package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
)

// askedFirst puts the facts of the lines that are asked for first.
func askedFirst(a *Answer, q *question.Question, r *kb.Recipe) {
	asked := func(f *Fact) bool {
		return slices.ContainsFunc(q.Items, func(it question.Item) bool {
			lines, _ := it.Lines(r)
			return slices.ContainsFunc(lines, func(l *kb.Line) bool { return l.Name == f.What })
		})
	}
	slices.SortStableFunc(a.Facts, func(x, y Fact) int {
		switch i, j := asked(&x), asked(&y); {
		case i && !j:
			return -1
		case j && !i:
			return 1
		}
		return 0
	})
}

// shortOf is how much of a line was forgotten: all of it, if nothing else is said.
func (b *Book) shortOf(a *Answer, q *question.Question, r *kb.Recipe, l *kb.Line, all quantity.Number) (quantity.Number, bool) {
	switch {
	case q.Rescue.ShortShare != nil:
		return all.Mul(*q.Rescue.ShortShare), true
	case q.Rescue.Short == nil:
		return all, true
	}
	g, ok := b.gramsOf(a, r, l, &q.Items[0], *q.Rescue.Short)
	if ok && all.Less(g) {
		a.asks("ask short", nil, l.Name, quantity.ShowMass(quantity.Round(all, b.scales)))
		return g, false
	}
	return g, ok
}
