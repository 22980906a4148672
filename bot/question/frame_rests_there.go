package question

import (
	"strings"

	"tamis/kb"
	"tamis/kb/name"
)

// restsThere is where a step of the recipe stands for a time, where the message says
// that place and asks how long: "how long do the crackers sit on the bench", which
// the book tells and no rule of what was left out.
func (s *sense) restsThere(r *kb.Recipe) string {
	if r == nil || !s.any(cueHowlong) || s.place() != "" || s.saysOf("left", "leave", "forgot", "overnight", "still", "ok", "okay", "safe", "can", "may", "sat", "stood", "been", "serve", "service", "out") {
		return ""
	}
	say := " "
	for i := range s.p.spans { // of this half of the message
		say += s.folded(s.span(i)) + " "
	}
	for i := range r.Method {
		if st := &r.Method[i]; st.For != nil && st.Where != "" && strings.Contains(say, " "+name.Fold(st.Where)+" ") {
			return st.Where
		}
	}
	return ""
}

// restsSomewhere reports whether some recipe picked says so.
func (s *sense) restsSomewhere() bool {
	for _, p := range s.picks() {
		if len(p.targets) == 1 && !p.talk && s.restsThere(p.targets[0].Recipe) != "" {
			return true
		}
	}
	return false
}
