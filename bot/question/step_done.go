package question

import (
	"slices"
	"strings"

	"tamis/kb/name"
)

// byHand are steps that are over when they are told of: "shaped at 3:15".
var byHand = []string{"mix", "knead", "shape", "roll", "divide", "fold", "fill", "spread", "pipe", "wrap", "press", "laminate", "portion", "ball", "scale"}

// stepDone reads "shaped the loaves at 3:15, when into the oven": what follows a
// step of the hands that was over then, up to the one that is asked about.
func (s *sense) stepDone(r *reading, p pick) {
	rec := p.targets[0].Recipe
	if rec == nil || len(p.targets) != 1 || len(s.clock) == 0 || !s.any(cueWhen) {
		return
	}
	verb := func(k int, past bool) string {
		w := s.l.tokens[k].plain
		for i := range rec.Method {
			v := name.Fold(rec.Method[i].Verb)
			if past && slices.Contains(byHand, v) && (w == v+"ed" || w == v+"d" || w == v+v[len(v)-1:]+"ed") || !past && w == v {
				return v
			}
		}
		return ""
	}
	done, at := "", -1
	for k := range s.l.tokens {
		if v := verb(k, true); v != "" && s.clockSoon(k) {
			done, at = v, k
		}
	}
	if done == "" {
		return
	}
	var to []string
	for k := at + 1; k < len(s.l.tokens); k++ {
		if v := verb(k, false); v != "" && v != done {
			to = []string{v}
		}
	}
	if to == nil && s.any(cueOven) {
		to = baked()
	}
	r.q.Goal, r.q.Verbs, r.q.Oven, r.q.Place = Goal{After: []string{done}, Verbs: to}, []string{done}, false, ""
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanUnused && sp.to == sp.from+1 && (sp.from == at || slices.Contains(to, s.l.tokens[sp.from].plain)) {
			r.used[i] = true
		}
	}
}

// clockSoon reports whether a time of day that has been stands within five words behind token k.
func (s *sense) clockSoon(k int) bool {
	return slices.ContainsFunc(s.clock, func(i int) bool {
		sp := s.span(i)
		if !sp.clock.HasTime || sp.from <= k || sp.from > k+5 || slices.ContainsFunc(s.l.tokens[k+1:sp.from+1], func(t token) bool { return t.breaks }) {
			return false
		}
		return !slices.Contains([]string{"by", "for", "before", "until", "till"}, s.l.tokens[sp.from-1].plain)
	})
}

// runsSince is the token behind "proofing since 3:30", from which a step is told to
// run; 0 where none is.
func (s *sense) runsSince() int {
	t := s.l.tokens
	for _, i := range s.clock {
		k := s.span(i).from
		if !s.span(i).clock.HasTime || k < 2 || t[k].breaks || t[k-1].plain != "since" && t[k-1].plain != "from" {
			continue
		}
		for j := k - 2; j >= max(0, k-5) && !t[j+1].breaks; j-- {
			if strings.HasSuffix(t[j].plain, "ing") && len(t[j].plain) > 5 && isVerb(&t[j]) {
				return k
			}
		}
	}
	return 0
}
