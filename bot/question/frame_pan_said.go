package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
)

// panSaid is the pan that the message names, if only by a word that means a pan
// anyway and that one pan of the house alone has: "the kettle" of a soup kettle.
func (s *sense) panSaid() (int, *kb.Name) {
	if at, pan := s.panOf(); at >= 0 {
		return at, pan
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.has(cuePan) {
			continue
		}
		for k := sp.from; k < sp.to; k++ {
			switch s.l.tokens[k].fold {
			case "pan", "pot":
				continue // any of them
			}
			var pan *kb.Name
			several := false
			for _, id := range s.l.x.byWord[s.l.tokens[k].fold] {
				if e := &s.l.x.entries[id]; e.Kind == kb.PanName {
					several = several || pan != nil && pan.Text != e.Text
					pan = &e.Name
				}
			}
			if pan != nil && !several {
				return i, pan
			}
		}
	}
	return -1, nil
}

// framePanSaid: what a pan weighs that is named by a word, and what is in a pan
// that stands on the scale: "copper pan says 2250 with syrup in it, whats the syrup".
func framePanSaid(s *sense) []reading {
	at, pan := s.panSaid()
	if at < 0 {
		return nil
	}
	if s.span(at).kind == spanCue && len(s.names)+len(s.quant) == 0 && s.any(cueTare, cueWeigh, cueCapacity) {
		r := s.reading(WantThing, "lookup")
		r.q.Thing = pan
		r.used[at] = true
		r.consumes = plainCues.with(cueHowmuch, cueHowmany, cueTare, cueWeigh, cueCapacity, cuePan, cueTotal)
		r.targets = []int{at}
		s.unit(&r)
		return []reading{r}
	}
	asks := s.any(cueHowmuch, cueNet, cueWithoutpan) || s.hears("whats", "what", "net")
	in := s.any(cueIn, cueWith) || s.hears("in", "inside", "full", "with", "w", "net")
	if len(s.quant) != 1 || !asks || !in || s.any(cueLose, cueReduce, cueSetready, cueHowlong, cueCost, cueTemp, cueHalf) {
		return nil
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil || !s.any(cueReading, cueWeigh, cueNet, cueWithoutpan) && !s.hears("says", "say", "shows", "show", "reads", "at", "weighs", "scale") {
		return nil
	}
	if s.l.atEnd() && s.l.writesRecipe() {
		return nil // "weighed 5 kg at the start, what at the end"
	}
	if w := s.before(i); w == "with" || w == "w" {
		return nil // "with 2 kg caramel in it, what does it weigh"
	}
	if s.goesInto(i, at) {
		return nil
	}
	if n := s.next(i); n == i+1 && (s.span(n).kind == spanName && n != at || s.span(n).kind == spanUnused && s.span(n).food) {
		return nil
	}
	q := sp.q.Q
	switch {
	case q.Unit.Dim == quantity.Mass:
	case q.Unit.Symbol == "" && q.N.Cmp(quantity.Int(100)) > 0:
		q = quantity.Grams(q.N)
	default:
		return nil
	}
	r := s.reading(WantReading, "reduce")
	r.q.Thing, r.q.Net = pan, true
	r.q.Quantity, r.q.HasQty = q, true
	r.used[at], r.used[i] = true, true
	for j := range s.p.spans { // whatever is in it
		switch x := s.span(j); {
		case x.kind == spanName && !slices.ContainsFunc(x.names, func(h hit) bool { return s.l.x.entries[h.id].Kind >= kb.PanName && !h.part }):
			r.used[j] = true
		case x.kind == spanUnused && x.food && !x.strange && !s.l.tokens[x.from].number:
			r.used[j] = true
		}
	}
	r.consumes = plainCues.or(verbCues).with(cueHowmuch, cueNet, cueWithoutpan, cueWeigh, cueReading, cueTare, cuePan, cueTotal, cueIn, cueWith, cueContain, cueCapacity, cueOnly, cueIngredients, cueWithout)
	r.extra -= 2
	return []reading{r}
}

// goesInto reports whether an amount is told to be in the pan, not read off the
// scale: "1.5 kg in the wide pan, what should it say".
func (s *sense) goesInto(i, pan int) bool {
	return pan > i && (s.after(i) == "in" || s.after(i) == "into") && !s.precededBy(i, cueReading) && !s.precededBy(i, cueWeigh)
}
