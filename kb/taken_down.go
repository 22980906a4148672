package kb

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// TakenDown is what a step that goes to a mass, to half or to °Bx leaves in the pan,
// of one batch.
type TakenDown struct {
	Start quantity.Number // g before it; 0: the book does not say
	End   quantity.Number // g after it
	// ByMakes: End is what makes states, before any loss; the °Bx at the start are not known.
	ByMakes bool
	// Other is what makes would have left in the pan, in g, where that is not End; 0: it agrees, or says nothing of it.
	Other quantity.Number
}

// TakesDown returns the masses of a step of the method. ok is false where the book
// does not fix what is left: no mass, or °Bx from a start of unknown °Bx with nothing
// in makes that says it.
func (r *Recipe) TakesDown(st *recipe.Step) (d TakenDown, ok bool) {
	if st.To == nil || st.To.Mass == nil && !st.To.Half && st.To.Brix == nil {
		return d, false
	}
	if st.From != nil {
		d.Start = st.From.Base()
	}
	made, byMakes := r.madeBy(st)
	for i := range r.Losses {
		l := &r.Losses[i]
		if l.Step != st {
			continue
		}
		d.Start, d.End = l.Start, l.Start.Sub(l.Mass)
		if off := made.Sub(d.End); st.To.Brix != nil && byMakes && nearEnough.Less(off.Mul(hundred).Div(d.End).Abs()) {
			d.Other = made
		}
		return d, true
	}
	if st.To.Brix != nil && byMakes {
		d.End, d.ByMakes = made, true
		return d, true
	}
	return d, false
}

// nearEnough is by how many percent makes may differ from what °Bx leave and still
// say the same: books round.
var nearEnough = quantity.Int(1)

// madeBy is what makes says is in the pan after a step: where it is the last that
// takes something out and all that has a mass is in the pan by then.
func (r *Recipe) madeBy(st *recipe.Step) (quantity.Number, bool) {
	f := r.Formula
	if f == nil || !f.HasStated {
		return quantity.Number{}, false
	}
	after := false
	for i := range r.Method {
		o := &r.Method[i]
		if after && o.To != nil && (o.To.Mass != nil || o.To.Half || o.To.Brix != nil) {
			return quantity.Number{}, false
		}
		after = after || o == st
	}
	var all, in []quantity.Number
	for i := range r.Lines {
		l := &r.Lines[i]
		if !l.HasGrams || f.Lines[i].Core {
			continue
		}
		all = append(all, l.Grams)
		if slices.ContainsFunc(st.Of, func(o string) bool { o = name.Fold(o); return o == l.Fold || o == name.Fold(l.Name) }) {
			in = append(in, l.Grams)
		}
	}
	switch {
	case len(st.Of) > 0 && len(in) == len(all):
	case len(st.Of) == 0 && st.From != nil && covers(st.From.Base(), all):
	default:
		return quantity.Number{}, false
	}
	return f.Stated.Add(f.LossMass).Div(one.Sub(f.LossShare)), true
}

// covers reports whether a mass is what lines come to together, or more.
func covers(mass quantity.Number, lines []quantity.Number) bool {
	sum, ok := sumOf(lines)
	return ok && sum.Mul(quantity.Frac(98, 100)).Cmp(mass) <= 0
}
