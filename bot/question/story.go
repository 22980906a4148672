package question

import "slices"

// story finds a clause that only tells what goes on in the room, with a number in it,
// where nothing that is asked can depend on a count: "table of 12 just walked in,
// pastry cream goes to what temp". It returns the spans of the clause.
func (s *sense) story(r *reading) (from, to int) {
	switch r.q.Want {
	case WantSteps, WantKeeps, WantWhere, WantMethod, WantAllergens, WantDiet:
	default:
		return 0, 0
	}
	if len(r.targets) == 0 || sizedAny(r.q.Targets) {
		return 0, 0
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanQuantity || sp.q.Q.Unit.Symbol != "" || !sp.q.Q.N.IsInt() || sp.q.Hi != nil || sp.q.Ambiguous != nil {
			continue
		}
		from, to = i, i+1
		for from > 0 && !s.l.tokens[s.span(from).from].breaks {
			from--
		}
		for to < len(s.p.spans) && !s.l.tokens[s.span(to).from].breaks {
			to++
		}
		room := false
		item, _ := s.handed(i, s.item) // "only 450 walnut left, how long does the crumble keep"
		for j := from; j < to; j++ {
			u := s.span(j)
			switch u.kind {
			case spanName:
				if j != item || slices.Contains(r.targets, j) {
					return 0, 0
				}
				room = true
			case spanAllergen, spanFactor, spanUnit:
				return 0, 0
			case spanQuantity:
				if j != i {
					return 0, 0
				}
			case spanUnused:
				if u.food && !u.strange {
					return 0, 0
				}
			}
			for k := u.from; k < u.to; k++ {
				room = room || roomWord(s.l.tokens[k].fold)
			}
		}
		if room && (from > 0 || to < len(s.p.spans)) {
			return from, to
		}
	}
	return 0, 0
}

// roomWord reports whether a word is of guests and where they sit.
func roomWord(w string) bool {
	switch w {
	case "table", "party", "group", "booking", "booked", "cover", "guest", "pax", "people", "top", "walkin", "seated", "reservation", "customer", "diner", "ticket", "order", "wedding", "banquet", "bus", "coach":
		return true
	}
	return false
}

// toldOnly uses up a story and says which number was passed over.
func (s *sense) toldOnly(r *reading) {
	from, to := s.story(r)
	if from == to {
		return
	}
	r.used = slices.Clone(r.used)
	for j := from; j < to; j++ {
		sp := s.span(j)
		if sp.kind == spanQuantity {
			r.q.Assumed = append(slices.Clone(r.q.Assumed), Assumption{"passed over", []string{s.text(j)}})
		}
		r.used[j] = true
	}
}
