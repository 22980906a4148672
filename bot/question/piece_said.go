package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

// pieceSaid takes the word that the larder counts an item by, where it is said behind
// its name or alone: "4 fennel bulbs in kg", "bunch of parsley weighs what".
func (s *sense) pieceSaid(r *reading) {
	if len(r.q.Items) != 1 || r.q.Items[0].Larder == nil || r.q.HasQty && (r.q.Quantity.Unit.Symbol != "" || r.q.Quantity.N.Sign() <= 0) {
		return
	}
	take := func(w string) bool {
		if m, ok := r.q.Items[0].Larder.Piece[w]; !ok || w == "" || m.Sign() <= 0 {
			return false
		}
		n := one
		if r.q.HasQty {
			n = r.q.Quantity.N
		}
		r.q.Quantity, r.q.HasQty = quantity.Of(n, quantity.Pieces(w)), true
		return true
	}
	if said := name.Words(r.q.Items[0].Text); len(said) > 1 && (take(name.Singular(said[0])) || take(name.Singular(said[len(said)-1]))) { // "garlic clove", where the larder knows it by that name too
		return
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.to != sp.from+1 || r.used[i] {
			continue
		}
		w := s.l.tokens[sp.from].fold
		if !s.besideItem(sp.from, r) {
			continue // "how much minced garlic is one clove" asks for no weight of one
		}
		if take(name.Singular(w)) {
			r.used[i] = true
			return
		}
	}
}

// besideItem reports whether token k stands right beside a name that is used: "fennel
// bulb", "bunch of parsley".
func (s *sense) besideItem(k int, r *reading) bool {
	return slices.ContainsFunc(s.names, func(j int) bool {
		sp := s.span(j)
		if !r.used[j] {
			return false
		}
		if sp.to == k && !s.l.tokens[k].breaks {
			return true
		}
		at := k + 1
		if at < len(s.l.tokens) && s.l.tokens[at].plain == "of" {
			at++
		}
		return sp.from == at && !s.l.tokens[at].breaks
	})
}

// leafHere reports whether the message names a food that is counted in leaves.
func (s *sense) leafHere() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		it, ok := s.item(i)
		return ok && it.Larder != nil && it.Larder.Bloom != nil
	})
}

// ownLeafWeighed reads "what do 5 bronze leaves weigh", "33 g of bronze leaf in leaves":
// the house's own leaf is weighed or counted, and no other meant in its place.
func (s *sense) ownLeafWeighed() bool {
	if len(s.quant) > 1 || s.any(cueSwap) || s.saysOf("instead", "swap", "replace", "equals", "equivalent", "worth", "bloom") || s.l.writesRecipe() {
		return false
	}
	own := false
	for i := range s.l.starts { // however the words are read
		for k := range s.l.starts[i] {
			if sp := &s.l.starts[i][k]; sp.kind == spanName && sp.to > sp.from+1 {
				own = own || slices.ContainsFunc(sp.names, func(h hit) bool {
					e := &s.l.x.entries[h.id]
					return !h.part && e.Item != nil && e.Item.House && e.Item.Bloom != nil && len(e.Item.Piece) > 0
				})
			}
		}
	}
	if !own {
		return false
	}
	mass := slices.ContainsFunc(s.l.starts, func(at []span) bool {
		return slices.ContainsFunc(at, func(sp span) bool { return sp.kind == spanUnit && sp.unit.Dim == quantity.Mass })
	})
	if len(s.quant) == 0 {
		return s.any(cueWeigh)
	}
	switch q := s.span(s.quant[0]).q.Q; q.Unit.Dim {
	case quantity.None, quantity.Count:
		return s.any(cueWeigh) || mass
	case quantity.Mass:
		leaf, _ := s.leavesAsked()
		return leaf != "" && (s.any(cueHowmany) || s.l.says("in", "leaves") || s.l.says("in", "sheets") || s.l.says("to", "leaves") || s.l.says("as", "leaves"))
	}
	return false
}
