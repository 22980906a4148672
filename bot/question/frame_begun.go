package question

import "tamis/calc/quantity"

// startedOn reports whether the "on" at token k is that of a stove: "stock on 7.30",
// not "done on 7.30".
func (s *sense) startedOn(k int) bool {
	if k == 0 {
		return false
	}
	switch s.l.tokens[k-1].plain {
	case "ready", "done", "finished", "due", "by", "later", "service":
		return false
	}
	return true
}

// coldDone is the cold place that a word of what was done with it names: "froze
// today".
func (s *sense) coldDone() string {
	if s.saysOf("froze", "frozen", "blastfroze", "deepfroze") && !s.saysOf("thawed", "defrosted", "thaw", "fridge") {
		return "freezer"
	}
	return ""
}

// doneBy reads "made 20:00, rested by?": when what began at the hour told is over.
func (s *sense) doneBy() bool {
	t := s.l.tokens
	n := len(t) - 1
	if n < 2 || !s.any(cueWent) || t[n].plain != "by" && t[n].plain != "when" {
		return false
	}
	k := n - 1
	if t[k].plain == "by" || t[k].plain == "at" {
		k--
	}
	if w := t[k].plain; t[n].breaks || !finishedState(w) && w != "ready" && w != "done" && (!isPast(w) || !isVerb(&t[k])) {
		return false
	}
	for _, i := range s.clock {
		if s.span(i).clock.HasTime && s.span(i).to <= k {
			return true
		}
	}
	return false
}

// sizeAt reports whether a bare number was taken for a count where "out at" makes an
// hour of it.
func (s *sense) sizeAt() bool {
	for _, i := range s.quant {
		f := s.span(i).from
		if s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.None && f > 1 && s.l.tokens[f-1].plain == "at" && s.l.tokens[f-2].plain == "out" {
			return true
		}
	}
	return false
}
