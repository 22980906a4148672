package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// reduceVolume: a reduction told by volume and asked in one, "4 l wine to a quarter,
// how many ml": no density is needed for what a measure shows.
func (b *Book) reduceVolume(a *Answer, q *question.Question) bool {
	in := q.Craft.Amounts
	if !q.HasUnit || q.Unit.Dim != quantity.Volume || len(q.Targets) > 0 || len(in) == 0 || q.Thing != nil || q.Craft.Topic == "share" || q.Craft.Topic == "fit" ||
		slices.ContainsFunc(in, func(g question.Given) bool { return g.Q.Unit.Dim != quantity.Volume }) {
		return false
	}
	start, share := in[0].Q.Base(), quantity.Number{}
	switch {
	case start.Sign() <= 0:
		return false
	case len(in) == 2:
		share = in[1].Q.Base().Div(start)
	case len(q.Craft.Counts) == 1:
		share = q.Craft.Counts[0]
	}
	if share.Sign() <= 0 || share.Cmp(quantity.Int(1)) >= 0 {
		return false
	}
	ml := func(what string, n quantity.Number, from string) Fact {
		u := q.Unit
		f := b.measured(what, quantity.Of(n.Div(quantity.Of(quantity.Int(1), u).Base()), u))
		f.From = from
		return f
	}
	left, off := ml("total", start.Mul(share), FromCalculated), ml("evaporated", start.Mul(quantity.Int(1).Sub(share)), FromCalculated)
	left.How, off.How = in[0].Q.String()+" × "+share.String(), in[0].Q.String()+" × "+quantity.Int(1).Sub(share).String()
	if q.Craft.Topic == "evaporated" {
		a.add(off, left)
	} else {
		a.add(left, off)
	}
	a.add(ml("start", start, FromAsked))
	return true
}
