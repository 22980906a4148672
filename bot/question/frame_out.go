package question

import "slices"

// goesInFor reads that something is to come out at the time told and that it is
// asked when it goes in for that, and the place, where one is said: "out from the
// oven at 14:00, what time in".
func (s *sense) goesInFor() (place string, ok bool) {
	if place, ok := s.inPlaceFor(); ok {
		return place, true
	}
	out, ok := s.outAtClock()
	if !ok {
		return "", false
	}
	in, ok := s.asksIn()
	if !ok || in != "" && out != "" && in != out { // "out of the oven at 2, when in the freezer"
		return "", false
	}
	if out == "" {
		out = in
	}
	return out, true
}

// inPlaceFor reads "when must the dome be in the freezer for 19:00": it goes in
// there to be ready then. "By 19:00" it is only to be in.
func (s *sense) inPlaceFor() (place string, ok bool) {
	t := s.l.tokens
	for _, i := range s.clock {
		k := s.span(i).from
		if p := s.inPlaceBehind(i); p != "" {
			return p, true
		}
		if k < 5 || !s.span(i).clock.HasTime || t[k].breaks || t[k-1].plain != "for" || placeWord(&t[k-2]) == "" {
			continue
		}
		j := k - 3
		for j > 0 && slices.Contains([]string{"the", "blast", "deck", "combi", "pastry", "a", "our"}, t[j].plain) {
			j--
		}
		if j < 1 || t[j].plain != "in" && t[j].plain != "into" || !slices.Contains([]string{"be", "go", "goes", "them", "it"}, t[j-1].plain) {
			continue
		}
		if slices.ContainsFunc(t[:j], func(w token) bool { return w.plain == "when" || w.plain == "latest" }) {
			return placeWord(&t[k-2]), true
		}
	}
	return "", false
}

// inPlaceBehind reads "want to roll the pastry at 14:00, when must it be in the fridge":
// the time told is that of the work after it.
func (s *sense) inPlaceBehind(i int) string {
	t := s.l.tokens
	sp := s.span(i)
	if !sp.clock.HasTime || sp.from < 3 || t[sp.from].breaks || t[sp.from-1].plain != "at" && t[sp.from-1].plain != "by" {
		return ""
	}
	wants := false
	for j := sp.from - 2; j > 0 && !t[j+1].breaks; j-- {
		wants = wants || t[j].plain == "to" && slices.Contains([]string{"want", "wants", "need", "needs", "plan", "going"}, t[j-1].plain)
	}
	for k := sp.to; wants && k+2 < len(t); k++ {
		if t[k].plain != "when" && t[k].plain != "latest" {
			continue
		}
		for j := k + 1; j+1 < len(t); j++ {
			if (t[j].plain == "in" || t[j].plain == "into") && slices.Contains([]string{"be", "go", "goes"}, t[j-1].plain) {
				n := j + 1
				for n+1 < len(t) && isArticle(t[n].plain) {
					n++
				}
				return placeWord(&t[n])
			}
		}
	}
	return ""
}

// placeWord is the place that a word stands for: what bakes, or is cold.
func placeWord(t *token) string {
	switch t.fold {
	case "oven", "fridge", "freezer":
		return t.fold
	}
	return ""
}

// outAtClock reports whether something is to be out at the time told, and out of
// what: "out of the oven at 14:00", not "came out at 14:00".
func (s *sense) outAtClock() (place string, ok bool) {
	t := s.l.tokens
	for _, i := range s.clock {
		sp := s.span(i)
		if !sp.clock.HasTime {
			continue
		}
		place := ""
		k := sp.from
		for k >= 0 && (k == sp.from || !t[k+1].breaks) {
			w := t[k].plain
			if p := placeWord(&t[k]); p != "" {
				place = p
			} else if w != "at" && w != "by" && w != "for" && w != "before" && w != "of" && w != "from" && w != "the" && w != "my" && w != "blast" && w != "deck" && w != "combi" && w != "pastry" && k != sp.from {
				break
			}
			k--
		}
		if k < 0 || t[k].plain != "out" || t[k+1].breaks {
			continue
		}
		told := false
		for j := k - 1; j >= max(0, k-3) && !t[j+1].breaks; j-- {
			switch t[j].plain {
			case "came", "took", "taken", "just", "was", "were", "pulled", "since", "went", "got":
				told = true
			}
		}
		if !told {
			return place, true
		}
	}
	return "", false
}

// asksIn reports whether it is asked when something goes in or is begun, and into
// what: "when in", "what time do I put them in the oven", "in oven at what time".
func (s *sense) asksIn() (place string, ok bool) {
	t := s.l.tokens
	asks := func(k int) bool {
		w := t[k].plain
		return w == "when" || w == "whens" || w == "time" && k > 0 && t[k-1].plain == "what"
	}
	for k := range t {
		switch t[k].plain {
		case "in", "into", "start", "begin":
		case "on":
			if !s.putsOn(k) {
				continue
			}
		default:
			continue
		}
		place, end := "", k+1
		for end < len(t) && !t[end].breaks {
			if p := placeWord(&t[end]); p != "" {
				place = p
			} else if w := t[end].plain; w != "the" && w != "my" && w != "blast" && w != "deck" && w != "combi" && w != "pastry" && w != "it" && w != "them" {
				break
			}
			end++
		}
		if place == "" {
			end = k + 1
		}
		for j := end; j < min(len(t), end+3); j++ { // "in by when", "in oven at what time"
			if asks(j) {
				return place, true
			}
			if w := t[j].plain; w != "at" && w != "by" && w != "what" {
				break
			}
		}
		if end < len(t) && !t[end].breaks && (t[end].plain == "at" || t[end].plain == "by") && (end+1 == len(t) || t[end+1].breaks) && t[k].plain != "on" {
			if k > 0 && !t[k].breaks && place == "" { // "oven in at?"
				place = placeWord(&t[k-1])
			}
			return place, true
		}
		if end < len(t) && !t[end].breaks && (t[end].plain == "at" || t[end].number) {
			continue // "when … in at 2": that is when it began
		}
		if w := t[k].plain; (w == "start" || w == "begin") && end < len(t) && !t[end].breaks && !slices.Contains([]string{"it", "them", "baking", "please", "chef"}, t[end].plain) {
			continue // "when do i start the batter": of another step
		}
		for j := k - 1; j >= max(0, k-7) && !t[j+1].breaks; j-- {
			if asks(j) {
				return place, true
			}
			if placeWord(&t[j]) != "" || t[j].plain == "out" || t[j].number {
				break
			}
		}
	}
	return "", false
}

// putsOn reports whether the "on" of token k is that of a stove: "put it on when",
// "on when", "when do i put it on".
func (s *sense) putsOn(k int) bool {
	t := s.l.tokens
	if k+1 < len(t) && !t[k+1].breaks {
		return t[k+1].plain == "when" || t[k+1].plain == "by" || t[k+1].plain == "at"
	}
	return k > 0 && slices.ContainsFunc(t[max(0, k-3):k], func(w token) bool { return w.plain == "put" || w.plain == "goes" || w.plain == "go" })
}

// runsNow is the token of the "now" from which a step is said to run, 0 where none
// is: "proving from now, when does it go in the oven".
func (s *sense) runsNow() int {
	t := s.l.tokens
	for k := 1; k < len(t); k++ {
		if t[k].plain != "now" || t[k].breaks {
			continue
		}
		back := 2
		if t[k-1].plain == "from" { // "proofing the rolls from now"
			back = 5
		}
		for j := k - 1; j >= max(0, k-back) && !t[j+1].breaks; j-- {
			if w := t[j].plain; len(w) > 5 && w[len(w)-3:] == "ing" && (isVerb(&t[j]) || s.mendedVerb(j)) {
				return k
			}
		}
	}
	return 0
}

// mendedVerb reports whether token k is a slip of a verb: "prvoing".
func (s *sense) mendedVerb(k int) bool {
	return slices.ContainsFunc(s.p.spans, func(sp span) bool {
		return sp.kind == spanCue && sp.note != "" && sp.from == k && sp.cues.meets(verbCues)
	})
}
