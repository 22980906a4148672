package question

import (
	"slices"

	"tamis/kb"
)

// amountOnOne reads "shrimp on one trout plate", "egg in one dome": of what stands on
// a line of the recipe the amount in one is asked, no allergen.
func (s *sense) amountOnOne(r *reading) bool {
	if s.any(cueAllergen, cueContain, cueFree, cueShared, cueDiet, cueWithout) || len(r.targets) != 1 || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || len(s.allergens) != 1 {
		return false
	}
	one := false
	for k := s.span(s.allergens[0]).to; k < len(s.l.tokens); k++ {
		switch s.l.tokens[k].plain {
		case "one", "1", "per", "each", "every", "single":
			one = true
		}
	}
	sp := s.span(s.allergens[0])
	return one && slices.ContainsFunc(r.q.Targets[0].Recipe.Lines, func(l kb.Line) bool { return hasWord(l.Fold, s.l.tokens[sp.to-1].fold) })
}

// mayContainAny reads "may contain anything", "might the crisp have something in it":
// what may be in it is asked, whatever it is.
func (s *sense) mayContainAny() bool {
	return s.saysOf("may", "might", "could") && s.saysOf("contain", "contains") && s.saysOf("anything", "something", "what", "whats", "else") && len(s.allergens) == 0
}
