package answer

import (
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/swap"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// swapAlone works out an exchange of one amount that is of no recipe, such as
// salted butter for 250 g of unsalted: only where the contents of the two settle
// it, not where it depends on what it does in a recipe. It reports whether it did.
func (b *Book) swapAlone(a *Answer, q *question.Question) bool {
	if q.Lost || q.Have == nil || q.To == nil || q.To.Larder == nil || len(q.Items) != 1 || q.Items[0].Larder == nil || q.Items[0].Larder == q.To.Larder {
		return false
	}
	mass, ok := b.alone(q.Have)
	if !ok || mass.Sign() <= 0 {
		return false
	}
	from, to := q.Items[0].Larder, q.To.Larder
	w := &swapping{b: b, a: a, q: q, factor: quantity.Int(1), item: from, mass: mass}
	for _, e := range swap.Equivalents(from.TradeName(), to.TradeName()) {
		if e.Rule == swap.ByDosage || e.Rule == swap.ByBloom || w.barsTo() {
			continue
		}
		w.r = oneLine(from, mass, nil)
		x, with, ok := w.apply(e, to, mass)
		if !ok {
			continue
		}
		w.r = oneLine(from, mass, with)
		w.line = &w.r.Lines[0]
		a.Recipe, a.Title = nil, Title{}
		w.exchange(e, x, to, with, 0)
		w.changes(to.Name, to)
		a.note("swap alone", from.Name)
		a.caution("swap")
		return true
	}
	return false
}

// alone is the mass of an amount that stands on no line.
func (b *Book) alone(g *question.Given) (quantity.Number, bool) {
	switch g.Q.Unit.Dim {
	case quantity.Mass:
		return g.Q.Base(), true
	case quantity.Volume:
		if d, _, ok := b.densityOf(&g.Item, nil); ok {
			return g.Q.Base().Mul(d), true
		}
	case quantity.None, quantity.Count:
		if m, ok := b.pieceMass(&g.Item, nil, g.Q.Unit.Symbol); ok {
			return g.Q.N.Mul(m), true
		}
	}
	return quantity.Number{}, false
}

// oneLine is a recipe of an ingredient and what goes with it: no recipe of the
// book, for what an exchange says of its own.
func oneLine(it *larder.Item, mass quantity.Number, with *larder.Item) *kb.Recipe {
	r := &kb.Recipe{Recipe: &recipe.Recipe{}}
	put := func(it *larder.Item, g quantity.Number) {
		r.Lines = append(r.Lines, kb.Line{Line: recipe.Line{Name: it.Name}, Fold: name.Fold(it.Name), Item: it, Grams: g, HasGrams: true})
	}
	put(it, mass)
	if with != nil {
		put(with, quantity.Number{})
	}
	return r
}
