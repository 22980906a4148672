package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

// mayStand reports whether it is asked beforehand how long something may be out or
// on the pass, not told that it was.
func (s *sense) mayStand() bool {
	if !s.any(cueHowlong) && !s.saysOf("max", "maximum", "longest") || len(s.quant)+len(s.clock) > 0 {
		return false
	}
	if s.saysOf("been", "stood", "sat", "left", "was", "were", "since", "still", "overnight", "night", "ago", "yesterday", "forgot", "forgotten", "lunch", "morning", "broke", "failed", "died", "cut") {
		return false
	}
	return s.saysOf("pass", "out", "outside", "counter", "bench", "lamp", "side", "table", "plate")
}

// stoodAsked are the readings of how long something may stand, one for each recipe
// that may be meant.
func (s *sense) stoodAsked(base reading) []reading {
	var out []reading
	for _, p := range s.picks() {
		if p.talk && len(s.names) > 0 || len(p.targets) != 1 {
			continue
		}
		r := base.clone()
		r.q.Targets, r.q.Stands = slices.Clone(p.targets), true
		r.q.FromTalk = p.talk
		r.extra += p.cost
		out = append(out, r)
	}
	return out
}

// heldFor reads that something was held hot for so long, or since then, and that
// it is asked whether it is still good: "held hot for 3 hours, still ok?".
func (s *sense) heldFor() (long *quantity.Quantity, ok bool) {
	byBook := s.atHold()
	if s.any(cueHowlong, cueLatest, cueTimer, cueChange) || byBook < 0 && !s.saysOf("held", "holding", "hold", "kept", "bain", "well", "been", "lamp") || s.any(cueVerbChill, cueVerbFreeze, cueVerbThaw) {
		return nil, false
	}
	if byBook < 0 && !s.saysOf("held", "holding") && !s.saysOf("hot", "warm", "hold", "bain", "well", "lamp") {
		return nil, false
	}
	if !s.saysOf("ok", "okay", "good", "fine", "safe", "serve", "serving", "use", "using", "usable", "alright", "still", "bin", "chuck", "throw", "toss", "dump", "sell", "selling", "send", "sending", "edible", "continue") {
		return nil, false
	}
	at := false
	for _, i := range s.quant {
		sp := s.span(i)
		switch {
		case i == byBook: // as warm as the book holds it
		case sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time && sp.q.Ambiguous == nil:
			long = &sp.q.Q
		case sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.Temperature || sp.q.Q.Unit.Dim == quantity.None && s.before(i) == "at"):
			at = true
		default:
			return nil, false
		}
	}
	if at && long != nil { // so warm, and so long: the book's own hold is another
		return nil, true
	}
	since := slices.ContainsFunc(s.clock, func(i int) bool { return s.span(i).clock.HasTime && s.before(i) == "since" })
	return long, long != nil || since
}

// atHold is the number that is the temperature at which a recipe that may be meant is
// held by the book, −1 if none: "hollandaise at 63 for 2 h".
func (s *sense) atHold() int {
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil || sp.q.Q.Unit.Dim != quantity.Temperature && sp.q.Q.Unit.Symbol != "" {
			continue
		}
		for _, p := range s.picks() {
			if p.talk || len(p.targets) != 1 || p.targets[0].Recipe == nil {
				continue
			}
			for k := range p.targets[0].Recipe.Method {
				st := &p.targets[0].Recipe.Method[k]
				if name.Fold(st.Verb) == "hold" && st.For != nil && st.At != nil && st.At.Temperature != nil && sameTemp(*st.At.Temperature, sp.q.Q) {
					return i
				}
			}
		}
	}
	return -1
}
