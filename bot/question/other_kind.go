package question

import "tamis/kb"

// otherKind reports whether span i and the ingredient behind it, which is asked for,
// are together the name of another: "instant yeast" is no yeast of the recipe, and
// the milk of "milk chocolate" no milk.
func (s *sense) otherKind(i int, r reading) bool {
	sp := s.span(i)
	if r.q.Want != WantAmount || i+1 == len(s.p.spans) || sp.kind != spanUnused && sp.kind != spanName {
		return false
	}
	next := s.span(i + 1)
	if next.kind != spanName || !r.used[i+1] || sp.kind == spanUnused && r.used[i] || s.l.tokens[next.from].breaks {
		return false
	}
	for _, t := range r.targets {
		if t == i || t == i+1 {
			return false
		}
	}
	for _, w := range s.l.starts[sp.from] {
		if w.kind != spanName || w.to != next.to || w.note != "" {
			continue
		}
		for _, h := range w.names {
			if e := &s.l.x.entries[h.id]; !h.part && h.cost == costName && (e.Kind == kb.IngredientName || e.Kind == kb.IngredientAlias) {
				return true
			}
		}
	}
	return false
}
