package question

import "slices"

// placeRunsAt reads "blast chiller runs at", "what should the walk in read": how a cold
// place of the house stands, where nothing is told of it and no food is named.
func (s *sense) placeRunsAt(i int) bool {
	if len(s.quant) > 0 || len(s.names) != 1 || len(s.clock) > 0 || s.any(cueHowlong, cueUseby) {
		return false
	}
	t := s.l.tokens
	runs := s.saysOf("run", "runs", "running", "sit", "sits", "read", "reads", "reading", "show", "shows", "display")
	asks := s.saysOf("what", "whats", "which", "should", "must", "supposed") || s.ends("at") || t[len(t)-1].question
	return runs && asks && (s.ends("at") || s.ends("at", "what") || s.any(cueReading) || s.saysOf("at", "read", "show"))
}

// machineLeast reads "least mix i can put in the churn", "how little can it take": an
// end of what a machine works, of no recipe.
func (s *sense) machineLeast() bool {
	if len(s.quant) > 0 || s.any(cueHowlong, cueTemp) {
		return false
	}
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		return slices.Contains([]string{"least", "most", "little", "minimum", "maximum", "smallest", "biggest", "max", "min"}, t.plain)
	})
}
