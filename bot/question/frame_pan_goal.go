package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// withPan reports whether an amount is what a scale shows with the pan on it: "pot
// reads 3 kg", "the milk pot at 3 kg".
func (s *sense) withPan(i int) bool {
	if s.precededBy(i, cueReading) {
		return true
	}
	k := s.prev(i)
	isPan := func(j int) bool {
		return j >= 0 && (s.span(j).kind == spanCue && s.span(j).cues.has(cuePan) || s.thingOf(j, kb.PanName) != nil)
	}
	if k >= 0 && s.span(k).kind == spanCue && s.span(k).cues.has(cueWeigh) {
		return isPan(s.prev(k))
	}
	switch s.before(i) {
	case "says", "say", "saying", "sez":
		return true
	case "at":
		return isPan(k) || k >= 0 && s.text(k) == s.before(i) && isPan(s.prev(k))
	}
	return false
}

// goalInPan reports whether an amount is what is to be in the pan at the end: "need
// 900 g in it", "down to 2 kg", "1 kg left".
func (s *sense) goalInPan(i int) bool {
	switch s.after(i) {
	case "left", "net":
		return true
	case "in", "inside", "into":
		if t := s.span(i).to + 1; t < len(s.l.tokens) && slices.Contains([]string{"it", "there", "the", "that", "pan", "pot"}, s.l.tokens[t].plain) {
			return true
		}
	}
	switch s.before(i) {
	case "to", "want", "need", "needs", "target", "goal", "until", "till", "wanted":
		return true
	}
	return s.saidTo(i)
}

// framePanGoal: a pan on the scale, what it reads with what is in it and what is to
// be left in it, without a recipe: "milk pot reads 3 kg full, need 900 g in it, how
// much to lose".
func framePanGoal(s *sense) []reading {
	if !s.any(cueLose) && !s.goesOff() {
		return nil
	}
	at, pan := s.panSaid()
	if at < 0 && !s.any(cuePan) {
		return nil
	}
	r := s.reading(WantNow, "reduce")
	tare, now, goal := s.tareTold(at), -1, -1
	if tare < 0 && at < 0 {
		tare = s.emptyTold()
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if i == tare {
			continue
		}
		switch {
		case sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil:
			return nil
		case now < 0 && s.withPan(i):
			now = i
		case goal < 0 && s.goalInPan(i):
			goal = i
		default:
			return nil
		}
	}
	if now < 0 || goal < 0 {
		return nil
	}
	mass := func(i int) (quantity.Quantity, bool) {
		r.used[i] = true
		switch q := s.span(i).q.Q; {
		case q.Unit.Dim == quantity.Mass:
			return q, true
		case q.Unit.Symbol == "" && q.N.Cmp(quantity.Int(100)) > 0:
			return quantity.Grams(q.N), true
		}
		return quantity.Quantity{}, false
	}
	read, ok := mass(now)
	left, ok2 := mass(goal)
	if !ok || !ok2 {
		return nil
	}
	if tare >= 0 {
		empty, ok := mass(tare)
		if !ok {
			return nil
		}
		r.q.Quantities = []quantity.Quantity{empty}
	}
	r.q.Quantity, r.q.HasQty = read, true
	r.q.Craft.Kind, r.q.Craft.Topic = "given", "lose"
	r.q.Craft.Amounts = []Given{{Q: left}, {Q: left}}
	if at >= 0 {
		r.q.Thing, r.used[at] = pan, true
	}
	for i := range s.p.spans { // whatever is in it; a recipe written out has a goal of its own
		switch sp := s.span(i); {
		case r.used[i]:
		case sp.kind == spanName && slices.ContainsFunc(s.recipesOf(i, 1), func(o option) bool { return !o.part }):
			return nil
		case sp.kind == spanName && s.thingOf(i, kb.PanName, kb.MouldName, kb.MachineName) == nil, sp.kind == spanUnused && sp.food && !sp.strange && !s.l.tokens[sp.from].number:
			r.used[i] = true
		}
	}
	r.consumes = plainCues.or(panCues).or(verbCues).with(cueAll, cueNet, cueWithoutpan, cueContain, cueExtra, cueFill, cueStart)
	s.use(&r, s.termsNamed("ask", "now", "evaporated", "reduce", "left")...)
	s.useAll(&r, "thing")
	r.extra -= 3
	return []reading{r}
}

// goesOff reads "how much must go", "how much has to come off", with nothing that it goes into.
func (s *sense) goesOff() bool {
	t := s.l.tokens
	for k := 2; k < len(t); k++ {
		if w := t[k].plain; w != "go" && w != "come" && w != "leave" || !s.any(cueHowmuch) {
			continue
		}
		if k+1 == len(t) || t[k+1].breaks || slices.Contains([]string{"off", "out", "away", "still"}, t[k+1].plain) {
			return true
		}
	}
	return false
}

// emptyTold is the amount of "empty 1.2 kg", "pot empty 1.2 kg", "1.2 kg empty"; −1 if none.
func (s *sense) emptyTold() int {
	for _, i := range s.quant {
		if s.precededBy(i, cueTare) || s.after(i) == "empty" {
			return i
		}
	}
	return -1
}

// startWeight reads "start weight of the jus", "what weight does it start at before
// reducing": what goes into the pan, and no hour at which work begins.
func (s *sense) startWeight() bool {
	if s.any(cueHowlong, cueTemp) || len(s.clock) > 0 {
		return false
	}
	for k := range s.l.tokens {
		if w := s.l.tokens[k].plain; strings.HasPrefix(w, "start") && s.any(cueWeigh, cueStart) && s.hears("weight", "mass", "weigh", "weighs", "grams", "heavy") {
			return true
		}
	}
	return s.any(cueStart) && s.any(cueWeigh)
}
