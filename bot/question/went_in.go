package question

// earliestOut reads "put the trout in the cure just now, when can i take it out
// earliest": it is asked of what went in.
func (s *sense) earliestOut() bool {
	return s.any(cueWent) && s.saysOf("earliest", "soonest") && s.saysOf("out") && s.saysOf("put", "went", "now")
}

// intoNow reads "crumble into the oven, when do i take it out": it goes in now.
func (s *sense) intoNow() bool {
	return len(s.clock) == 0 && s.saysOf("when") && s.any(cueOven) && s.saysOf("into", "just", "now", "went") && !s.saysOf("must", "should", "need", "have", "service", "dinner", "lunch", "latest")
}

// wentInAt reports whether the one time told is when something went in: "went in the
// cure at 16:00, earliest i can take it out".
func (s *sense) wentInAt() bool {
	if len(s.clock) != 1 || !s.span(s.clock[0]).clock.HasTime || s.span(s.clock[0]).clock.HasDay && s.span(s.clock[0]).clock.Day > 0 {
		return false
	}
	if t, k := s.l.tokens, s.span(s.clock[0]).from; k > 1 && !t[k].breaks && placeWord(&t[k-1]) != "" && s.any(cueWhen, cueSetready) { // "to fridge 16:45, when is it set"
		j := k - 2
		for j > 0 && isArticle(t[j].plain) {
			j--
		}
		if t[j].plain == "to" || t[j].plain == "into" {
			return true
		}
	}
	if t, k := s.l.tokens, s.span(s.clock[0]).from; k > 3 && t[k-1].plain == "at" && isVerb(&t[k-2]) && t[k-3].plain == "to" && t[k-4].plain == "went" { // "went to rest at 8:15"
		return true
	}
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.has(cueWent) && s.l.tokens[sp.from].plain == "went" {
			return i < s.clock[0] && s.clock[0]-i < 5 && s.before(s.clock[0]) == "at"
		}
	}
	return false
}
