package question

import (
	"slices"

	"tamis/calc/quantity"
)

// asksPrice reads "how much a kilo is butter", "cream how much a litre", "what is
// butter per kilo": a price, where no other unit is asked for.
func (s *sense) asksPrice() bool {
	t := s.l.tokens
	if len(s.names) == 0 {
		return false
	}
	for k := 2; k < len(t); k++ {
		if !slices.Contains([]string{"kilo", "kg", "kilogram", "litre", "liter", "l", "lb", "pound"}, t[k].plain) || t[k].breaks {
			continue
		}
		at := k - 1
		if !slices.Contains([]string{"a", "per", "the", "by"}, t[at].plain) {
			continue
		}
		if t[at].plain == "the" && t[at-1].plain == "by" {
			at--
		}
		end := k+1 == len(t) || t[k+1].breaks
		if !end && !slices.Contains([]string{"is", "are", "for", "today", "now", "pls", "please"}, t[k+1].plain) || s.saysOf("in", "into", "to") {
			continue
		}
		if at > 1 && t[at-1].plain == "much" && t[at-2].plain == "how" {
			return end && s.span(s.names[0]).from < at || !end
		}
		// "what is butter a kilo", "how much is butter by the kilo"
		if n := s.spanAt(at - 1); end && n >= 0 && s.span(n).kind == spanName && s.asksWhatIs(s.span(n).from) {
			return true
		}
	}
	return false
}

// asksWhatIs reports whether "what is" or "how much is" stands right before token k.
func (s *sense) asksWhatIs(k int) bool {
	t := s.l.tokens
	for k > 0 && isArticle(t[k-1].plain) {
		k--
	}
	if k > 0 && t[k-1].plain == "whats" {
		return true
	}
	return k > 1 && (t[k-1].plain == "is" || t[k-1].plain == "are") && (t[k-2].plain == "what" || k > 2 && t[k-2].plain == "much" && t[k-3].plain == "how")
}

// usePriceUnit uses up the unit that a price is asked by.
func (s *sense) usePriceUnit(r *reading) {
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanUnit || sp.kind == spanQuantity && !s.l.tokens[sp.from].number {
			r.used[i] = true
		}
	}
}

// amountOfCost takes the amount of "what do 2 kg of butter cost".
func (s *sense) amountOfCost(r *reading) {
	if len(r.q.Items) != 1 || len(r.q.Targets) > 0 || len(s.quant) != 1 || r.used[s.quant[0]] {
		return
	}
	i := s.quant[0]
	sp := s.span(i)
	q := sp.q.Q
	if sp.kind != spanQuantity || sp.q.Hi != nil || sp.q.Ambiguous != nil || q.N.Sign() <= 0 {
		return
	}
	switch q.Unit.Dim {
	case quantity.Mass, quantity.Volume, quantity.Count:
	case quantity.None:
		q.Unit = quantity.Each
	default:
		return
	}
	r.q.Quantity, r.q.HasQty, r.used[i] = q, true, true
}
