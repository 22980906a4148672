package question

import (
	"slices"

	"tamis/calc/quantity"
)

// startsAt reports whether words lead to span i as where something begins: "starting
// from 15 brix", "out of 12 brix juice".
func (s *sense) startsAt(i int) bool {
	k := s.span(i).from - 1
	for k >= 0 && slices.Contains([]string{"at", "a", "the", "with", "juice", "is"}, s.l.tokens[k].plain) {
		k--
	}
	if k < 0 {
		return false
	}
	switch s.l.tokens[k].plain {
	case "from", "starting", "start", "starts", "begins", "beginning":
		return true
	case "of":
		return k > 0 && s.l.tokens[k-1].plain == "out"
	}
	return false
}

// wantsEnd reports whether a mass is what there is to be at the end: the degree that
// is aimed at stands beside it, or it is wanted: "300 g syrup at 60 brix", "300 g wanted".
func (s *sense) wantsEnd(mass, start, goal int) bool {
	t := s.l.tokens
	m, g := s.span(mass), s.span(goal)
	for k := m.to; k < len(t) && k < m.to+3 && !t[k].breaks; k++ {
		switch t[k].plain {
		case "wanted", "needed", "finished", "required":
			return true
		}
	}
	if start == goal || start > mass && start < goal { // "15 to 60 brix" in one, "2 kg 12 brix want 40"
		return false
	}
	if g.to == m.from && !t[m.from].breaks { // "60 brix 500 g"
		return true
	}
	if g.from < m.to || g.from > m.to+4 {
		return false
	}
	for k := m.to; k < g.from; k++ {
		if t[k].breaks {
			return false
		}
		switch t[k].plain {
		case "to", "from", "down", "reduce", "reduced", "until", "till", "for", "target", "into":
			return false // "1 kg juice to 60 brix" begins with it
		}
	}
	return true
}

// frameBrixAt: what degree a mass of something has when so much of it is left: "2 kg
// at 12 brix down to 600 g, what brix".
func frameBrixAt(s *sense) []reading {
	asked := false
	for i := range s.p.spans { // the word without a number
		switch sp := s.span(i); sp.kind {
		case spanCue:
			asked = asked || sp.cues.has(cueBrixword)
		case spanUnit:
			asked = asked || sp.unit.Dim == quantity.Brix
		}
	}
	if !asked {
		return nil
	}
	r := s.reading(WantBrixTarget, "reduce")
	r.q.Craft.Topic = "at"
	r.consumes = plainCues.or(sugarCues).with(cueReduce, cueOnly, cueWent, cueWhen, cueStart, cueReading, cueWeigh, cueYield, cueTotal, cueLatest)
	var masses []quantity.Quantity
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil {
			return nil
		}
		switch sp.q.Q.Unit.Dim {
		case quantity.Brix:
			r.q.Quantities = append(r.q.Quantities, sp.q.Q)
		case quantity.Mass:
			masses = append(masses, sp.q.Q)
		default:
			return nil
		}
		r.used[i] = true
	}
	if len(masses) != 2 || len(r.q.Quantities) != 1 {
		return nil
	}
	if masses[0].Base().Less(masses[1].Base()) { // "300 g left of 1 kg"
		slices.Reverse(masses)
	}
	r.q.Quantity, r.q.HasQty, r.q.DownTo = masses[0], true, &masses[1]
	s.unitsOf(&r, quantity.Brix)
	for i := range s.p.spans { // whatever it is: sugar is sugar
		if _, ok := s.foreign(i); ok {
			r.used[i] = true
		}
	}
	for _, i := range s.names {
		r.used[i] = true
	}
	for _, i := range s.clock {
		r.used[i] = r.used[i] || s.span(i).clock.Now
	}
	r.extra = -2
	return []reading{r}
}
