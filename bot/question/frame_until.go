package question

import "slices"

// states are what food is like when a step is over, and the verbs of that step,
// the nearest first.
var states = map[string][]string{
	"set": {"set"}, "firm": {"set", "freeze", "chill"}, "jellied": {"set"}, "gelled": {"set"},
	"hard": {"freeze", "harden", "set"}, "frozen": {"freeze", "harden"}, "solid": {"freeze", "set"},
	"cold": {"chill", "cool", "set"}, "chilled": {"chill", "cool"}, "cooled": {"cool", "chill"},
	"rested": {"rest"}, "proofed": {"proof", "prove"}, "proved": {"proof", "prove"}, "risen": {"proof", "prove", "ferment"},
	"thawed": {"thaw", "defrost", "temper"}, "infused": {"infuse", "steep"}, "cured": {"cure", "brine"},
	"unmould": {"freeze", "set", "chill"}, "unmoulding": {"freeze", "set", "chill"}, "unmoulded": {"freeze", "set", "chill"},
	"machine": {"rest", "mature", "age", "chill", "infuse"}, "churner": {"rest", "mature", "age", "chill", "infuse"},
}

// untilState are the verbs of the step that is over when food is as it is asked:
// "how long in the fridge before it is set", nil where nothing so is asked.
func (s *sense) untilState() []string {
	if !s.any(cueHowlong) {
		return nil
	}
	t := s.l.tokens
	for k := range t {
		switch t[k].plain {
		case "before", "until", "till", "til":
		default:
			continue
		}
		for j := k + 1; j < len(t) && j <= k+6 && !t[j].breaks; j++ {
			if v := states[t[j].plain]; v != nil {
				if s.worksUntil(j) {
					return nil
				}
				return v
			}
			switch t[j].plain {
			case "it", "its", "is", "they", "theyre", "are", "the", "this", "i", "we", "you", "can", "has", "have", "fully", "gets", "get", "really", "properly", "goes", "go", "in", "into", "them", "be", "ice", "cream", "all":
			default:
				if !s.l.namedAt(j) {
					j = len(t)
				}
			}
		}
	}
	return nil
}

// worksUntil reports whether the step that lasts until the state of token k is said:
// "how long do i cook it until set".
func (s *sense) worksUntil(k int) bool {
	return slices.ContainsFunc(s.p.spans, func(sp span) bool {
		return sp.kind == spanCue && (k < sp.from || k >= sp.to) && sp.cues.meets(cueSet{}.with(cueVerbCook, cueVerbBake, cueVerbInfuse, cueVerbWhip, cueVerbChurn, cueVerbDry, cueVerbProof))
	})
}

// asksUntil reports whether it is asked how long something takes until a step is
// over or the next begins, not how long it may stay.
func (s *sense) asksUntil() bool {
	if s.untilState() != nil {
		return true
	}
	g, ok := s.goal()
	return ok && g.word == "before" && s.any(cueHowlong)
}
