package question

import (
	"tamis/calc/quantity"
	"tamis/kb"
)

// frameHoldsAll reads "3.2 kg plum, lemon and pectin": of one ingredient it tells how
// much there is, others are asked, and one recipe alone of the book has them all.
func frameHoldsAll(s *sense) []reading {
	if len(s.quant) != 1 || len(s.names) < 3 || s.ctx != nil && len(s.ctx.Targets) > 0 || s.namesRecipe() || len(s.units)+len(s.clock)+len(s.allergens) > 0 {
		return nil
	}
	for i := range s.p.spans {
		switch sp := s.span(i); {
		case sp.kind == spanUnused && (sp.food || s.l.tokens[sp.from].number):
			return nil
		case sp.kind == spanCue && !sp.cues.meets(plainCues.with(cueHowmuch, cueHowmany, cueAnd, cueWhatabout, cueFor, cueWith, cueOnly)):
			return nil
		}
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil || sp.q.Q.Unit.Dim != quantity.Mass && sp.q.Q.Unit.Dim != quantity.Volume {
		return nil
	}
	have := s.next(i)
	if have < 0 || s.span(have).kind != spanName {
		have = s.prev(i)
	}
	if have < 0 || s.span(have).kind != spanName {
		return nil
	}
	var items []Item
	var given Item
	for _, j := range s.names {
		it, ok := s.item(j)
		if !ok || s.thingOf(j, kb.PanName, kb.MouldName, kb.MachineName, kb.ColdName) != nil {
			return nil
		}
		if j == have {
			given = it
			continue
		}
		items = append(items, it)
	}
	var found *kb.Recipe
	cost := 0
	asked := append([]Item{given}, items...)
	for _, r := range s.l.x.withAll(asked) {
		exact, c := 0, 0
		all := true
		for _, it := range asked {
			m, k := it.match(r)
			if all = m == exactMatch || m == partMatch; !all {
				break
			}
			if m == exactMatch {
				exact++
			}
			c += k
		}
		if !all || exact < 2 {
			continue
		}
		if found != nil {
			return nil // which of them is not said
		}
		found, cost = r, c
	}
	if found == nil {
		return nil
	}
	r := s.reading(WantAmount, "scale")
	r.q.Targets = []Target{{Recipe: found, Part: true, Scale: Scale{Kind: ScaleGiven, Given: []Given{{Item: given, Q: sp.q.Q}}, Only: true, Text: s.text(i)}}}
	r.q.Items = items
	r.used[i] = true
	for _, j := range s.names {
		r.used[j] = true
	}
	r.consumes = plainCues.with(cueHowmuch, cueHowmany, cueAnd, cueWhatabout, cueFor, cueWith, cueOnly)
	r.extra = cost - 3
	return []reading{r}
}
