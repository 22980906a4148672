package question

import "slices"

// thereFromTo reads "on the table from 12 to 17:00": the hours that something was
// out of the cold.
func (s *sense) thereFromTo() bool {
	t := s.l.tokens
	for _, p := range s.l.stoodPhrases() {
		if k := p.to; p.role != "out" || t[p.from].plain == "buffet" || k+3 >= len(t) || t[k].breaks || t[k].plain != "from" || !t[k+1].number {
			continue
		}
		for j := p.to + 2; j < min(len(t)-1, p.to+6) && !t[j].breaks; j++ {
			if slices.Contains([]string{"to", "till", "until", "til"}, t[j].plain) && (t[j+1].number || t[j+1].plain == "now") {
				return true
			}
		}
	}
	return false
}

// asksThere reads "how long can the cream be on the terrace", "how long is it ok on the
// plate": how long it may stand there, not a step's time.
func (s *sense) asksThere() bool {
	if !s.any(cueHowlong) || !s.l.stood("out") && !s.saysOf("plate", "plates") || len(s.quant)+len(s.clock) > 0 || s.saysOf("before", "after", "until", "till", "cool", "cooling") {
		return false
	}
	if s.any(cueTemp, cueOven, cueWent, cueKeeps, cueVerbBake, cueVerbCook, cueVerbSet, cueVerbProof, cueVerbChurn, cueVerbInfuse, cueVerbDry, cueVerbCure, cueVerbWhip, cueVerbStrain, cueVerbThaw, cueVerbHold, cueVerbRest, cueVerbOut) || s.l.stood("process", "cold") {
		return false
	}
	return s.saysOf(stillGood...) || s.saysOf("can", "may", "could") && s.saysOf("be")
}
