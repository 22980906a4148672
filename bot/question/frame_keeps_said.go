package question

import (
	"slices"
	"strings"

	"tamis/kb/name"
)

// stillGood are words for food that is as it should be.
var stillGood = []string{"good", "ok", "okay", "okey", "fine", "alright", "safe", "usable", "useable", "edible", "fresh", "crisp", "crispy", "crunchy", "nice"}

// goodHowLong reads "how long are they ok", "how long is the curd fine in the fridge":
// how long it keeps, whatever word for good is used.
func (s *sense) goodHowLong() bool {
	if s.any(cueHowlong) && (s.l.says("got", "to", "use") || s.l.says("have", "to", "use") || s.saysOf("stale")) && len(s.quant)+len(s.clock) == 0 {
		return true
	}
	if !s.any(cueHowlong) || !s.saysOf(stillGood...) || len(s.quant)+len(s.clock) > 0 || s.saysOf("to", "pass", "counter", "bench", "lamp", "side", "table", "plate", "plates", "plated", "room", "proofer", "prover") {
		return false
	}
	if s.any(cueTemp, cueOven, cueVerbOut, cueVerbHold, cueWent, cueAllergen, cueFree) || s.l.stood("out", "away", "broke") {
		return false // how long it may stand
	}
	if s.any(cueVerbBake, cueVerbCook, cueVerbSet, cueVerbRest, cueVerbProof, cueVerbChurn, cueVerbInfuse, cueVerbDry, cueVerbCure, cueVerbWhip, cueVerbStrain) {
		return false // "how long is fine to rest it"
	}
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		switch t.plain {
		case "is", "are", "its", "theyre", "be", "stay", "stays", "there":
			return true
		}
		return false
	})
}

// onlyKept reads "crisps in the tin how long": a place where the recipe keeps and
// where no step of it takes place.
func (s *sense) onlyKept(p pick) bool {
	if !s.any(cueHowlong) || s.cues.meets(verbCues) || len(s.quant)+len(s.clock) > 0 || s.any(cueTemp, cueOven, cueWent, cueSetready) || len(p.targets) != 1 || p.targets[0].Recipe == nil {
		return false
	}
	r := p.targets[0].Recipe
	place, _, _ := s.keptPlace(r)
	if place == "" {
		return false
	}
	for i := range r.Method {
		st := &r.Method[i]
		if step := name.Fold(st.Where + " " + st.In + " " + st.Words); slices.ContainsFunc(name.Words(place), func(w string) bool { return hasWord(step, w) }) {
			return false
		}
	}
	return true
}

// asksKeeping reports whether "still ok" stands beside a question of how long it keeps
// or on which day of that it is: "still ok on day 2, how long does it keep".
func (s *sense) asksKeeping() bool {
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.has(cueUnsafe) && s.l.tokens[sp.from].plain != "still" {
			return false
		}
	}
	_, day := s.onDay()
	return day || s.any(cueKeeps) && s.any(cueHowlong)
}

// onDay reads "day 2", "its third day", "day three"; at is the word for day.
func (s *sense) onDay() (at int, ok bool) {
	t := s.l.tokens
	for k := range t {
		if t[k].plain != "day" {
			continue
		}
		if k+1 < len(t) && !t[k+1].breaks && (t[k+1].number || s.l.isNumberWord(k+1)) && !strings.ContainsAny(t[k+1].plain, ":.") {
			return k, true
		}
		if k > 0 && !t[k].breaks && slices.Contains([]string{"2nd", "3rd", "4th", "5th", "6th", "nd", "rd", "th", "second", "third", "fourth", "fifth", "sixth"}, t[k-1].plain) {
			return k, true
		}
	}
	return -1, false
}

// ofToday reports whether the day of span i is that on which something was made:
// "todays pickle", "made today", not "for today".
func (s *sense) ofToday(i int) bool {
	c := s.span(i).clock
	if !c.HasDay || c.Day > 0 || c.Weekday > 0 || c.Service != "" {
		return false
	}
	switch s.before(i) {
	case "for", "by", "till", "until", "til", "to", "before":
		return false
	}
	return true
}
