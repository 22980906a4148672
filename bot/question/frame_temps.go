package question

import (
	"slices"
	"strings"

	"tamis/kb"
)

// workTemps: what was told of temperatures: "show the fridge temps today", "jus
// log", "walk-in temps this morning".
func (s *sense) workTemps(p *workParts) []reading {
	if len(p.times)+len(p.temps)+len(p.numbers)+len(p.amounts) > 0 || len(p.names) > 1 {
		return nil
	}
	met, place, kinds, ok := s.coversPlaces(p, "temps", "temps ask", "probe")
	if !ok || met["temps"] == "" && !((place != "" || len(kinds) > 0) && strings.HasPrefix(met["temps ask"], "what w")) { // "what were the fridges this morning"
		return nil
	}
	day := len(p.clocks) > 0 || met["morning"] != "" || met["lastnight"] != "" || met["evening"] != "" || s.saysOf("today", "todays")
	logged := s.saysOf("log", "logs", "logged", "told", "checks", "readings", "round", "sheet", "last")
	shown := s.saysOf("temps", "temperatures") && s.saysOf("show", "list", "give", "see")
	if !day && !logged && !shown {
		return nil // "fridge temp": the house's own figure
	}
	for _, i := range p.clocks {
		if sp := s.span(i); sp.kind != spanClock || sp.clock.HasTime {
			return nil
		}
	}
	r := s.work(WantTempLog, "log", p, met)
	if met["lastnight"] != "" && r.q.Clock == nil {
		r.q.Clock = &Clock{HasDay: true, Day: -1}
	}
	r.q.Place, r.q.Foods = place, kinds
	return s.eachRecipe(r, p)
}

// workShould: where a logged thing should be by now: "what temp should it be now".
func (s *sense) workShould(p *workParts) []reading {
	if len(p.times)+len(p.temps)+len(p.numbers)+len(p.amounts) > 0 || len(p.names) > 1 || len(p.places) > 0 {
		return nil
	}
	met, ok := s.covers(p, false, "should", "by now")
	if !ok || met["should"] == "" || len(p.names) == 0 && met["by now"] == "" && !s.saysOf("it", "that", "they", "this", "i", "we", "next") {
		return nil
	}
	for _, i := range p.clocks {
		if sp := s.span(i); sp.kind != spanClock || sp.clock.HasTime || sp.clock.HasDay {
			return nil
		}
	}
	r := s.work(WantShould, "log", p, met)
	return s.eachRecipe(r, p)
}

// coversPlaces is covers for a message that may name cold places too; place is
// the one it names, kinds are "fridge" and "freezer" where only a kind is said.
func (s *sense) coversPlaces(p *workParts, roles ...workRole) (met map[workRole]string, place string, kinds []string, ok bool) {
	at := make([]int, len(s.l.tokens))
	for i := range s.p.spans {
		for k := s.span(i).from; k < s.span(i).to; k++ {
			at[k] = i
		}
	}
	bare := *p
	bare.word, bare.names = slices.Clone(p.word), nil
	taken := make([]bool, len(s.l.tokens))
	for k := 0; k < len(s.l.tokens); {
		n := 0
		if roles := s.workPhraseAt(k, roles); roles == 0 {
			name, froze, m := s.coldAt(k, at)
			if n = m; m > 0 {
				kind := "fridge"
				if froze {
					kind = "freezer"
				}
				if s.onlyKind(k, m, at) {
					if !slices.Contains(kinds, kind) {
						kinds = append(kinds, kind)
					}
				} else if place != "" && place != name {
					return nil, "", nil, false
				} else {
					place = name
				}
			}
		}
		for j := k; j < k+n; j++ {
			bare.word[j], taken[j] = false, true
		}
		k += max(n, 1)
	}
	for _, i := range p.names { // a word of a place is no recipe
		if !taken[s.span(i).from] {
			bare.names = append(bare.names, i)
		}
	}
	p.names = bare.names
	met, ok = s.covers(&bare, false, roles...)
	return met, place, kinds, ok
}

// workPhraseAt is how many tokens from k on a phrase of one of the roles covers.
func (s *sense) workPhraseAt(k int, roles []workRole) int {
	n := 0
	for _, r := range roles {
		if m := s.workAt(k, string(r)); m > n && (m > 1 || r != "probe") {
			n = m
		}
	}
	return n
}

// onlyKind reports whether n tokens from k on say no more than "fridge" or
// "freezer", of whichever there are.
func (s *sense) onlyKind(k, n int, at []int) bool {
	if n > 1 {
		return false
	}
	switch strings.TrimSuffix(s.l.tokens[k].plain, "s") {
	case "fridge", "freezer":
		t := s.thingOf(at[k], kb.ColdName)
		return t == nil || s.l.tokens[k].plain != s.l.tokens[k].fold || t.Fold == "fridge" || t.Fold == "freezer"
	}
	return false
}
