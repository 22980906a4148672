package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// verbAhead reports whether the verb of span i is what is planned for a time that is
// still to come, while it is asked when something before it has to begin: "churn the
// base at 8:00 tomorrow, into the fridge by when".
func (s *sense) verbAhead(i int) bool {
	sp := s.span(i)
	if sp.kind != spanCue || !sp.cues.meets(verbCues.with(cueOven)) || s.any(cueWent) || !s.asksBefore(i) {
		return false
	}
	wish := false
	for k := sp.from - 1; k >= max(0, sp.from-4) && !s.l.tokens[k+1].breaks; k-- {
		switch s.l.tokens[k].plain {
		case "want", "wanna", "plan", "going", "gonna", "be", "need", "have", "must", "to":
			wish = true
		}
	}
	for j := i + 1; j < len(s.p.spans); j++ {
		o := s.span(j)
		if s.l.tokens[o.from].breaks || o.kind == spanCue && o.cues.meets(verbCues) {
			return false
		}
		if o.kind == spanClock && o.clock.HasTime {
			day := o.clock
			if !day.HasDay && j+1 < len(s.p.spans) && s.span(j+1).kind == spanClock && !s.l.tokens[s.span(j+1).from].breaks {
				day = s.span(j + 1).clock
			}
			ahead := day.HasDay && (day.Day > 0 || day.Weekday > 0)
			by := slices.Contains([]string{"at", "by", "for"}, s.before(j)) || slices.Contains([]string{"at", "by", "for"}, s.l.tokens[o.from].plain)
			return ahead || wish && by
		}
	}
	return false
}

// asksBefore reports whether it is asked when another thing than the verb of span i
// begins: "into the fridge by when", "when must it chill", "proof from when".
func (s *sense) asksBefore(i int) bool {
	t := s.l.tokens
	asks := func(k int) bool {
		return t[k].plain == "when" || t[k].plain == "time" && k > 0 && t[k-1].plain == "what"
	}
	for k := range t {
		if !asks(k) {
			continue
		}
		for j := k + 1; j < min(len(t), k+9) && !t[j].breaks; j++ { // "when must the base go into the fridge"
			switch p := placeWord(&t[j]); {
			case p == "oven":
				return false
			case p != "", s.inColdName(j), s.otherVerb(j, i):
				return true
			}
		}
		for j := k - 1; j >= max(0, k-5) && !t[j+1].breaks; j-- { // "into the fridge by when"
			switch p := placeWord(&t[j]); {
			case p == "oven":
				return false
			case p != "", s.inColdName(j), s.otherVerb(j, i):
				return true
			}
		}
	}
	return false
}

// otherVerb reports whether token k is in a word for a step that is not span i.
func (s *sense) otherVerb(k, i int) bool {
	return slices.ContainsFunc(s.p.spans, func(o span) bool {
		return o.kind == spanCue && o.from != s.span(i).from && o.from <= k && k < o.to && o.cues.meets(verbCues)
	})
}

// inColdName reports whether token k is in the house's name for a cold place.
func (s *sense) inColdName(k int) bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		return s.span(i).from <= k && k < s.span(i).to && s.thingOf(i, kb.ColdName) != nil
	})
}

// beginsAhead reads "going to cure it at 20:00 tonight, when do i take it out": the
// time told is when the step begins, and its end is asked.
func (s *sense) beginsAhead() bool {
	if !s.l.says("take", "it", "out") && !s.l.says("take", "them", "out") && !s.l.says("comes", "out") && !s.l.says("come", "out") || !s.any(cueWhen) && !s.any(cueLatest) || s.saysOf("must", "latest", "by") {
		return false
	}
	return slices.ContainsFunc(s.clock, func(i int) bool {
		if !s.span(i).clock.HasTime || s.before(i) != "at" && s.l.tokens[s.span(i).from].plain != "at" {
			return false
		}
		for j := i - 1; j >= 0 && !s.l.tokens[s.span(j+1).from].breaks; j-- {
			sp := s.span(j)
			if sp.kind != spanCue || !sp.cues.meets(verbCues) || isPast(s.l.tokens[sp.from].plain) {
				continue
			}
			switch s.before(j) {
			case "to", "will", "i", "we", "ill", "well":
				return true
			}
			return false
		}
		return false
	})
}

// saidLength takes the one time said for the step that is planned, where the book
// leaves it that choice: "cured 20 h by 16:00 tomorrow, start when". Any other is
// asked back.
func (s *sense) saidLength(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || len(s.quant) != 1 {
		return
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Time || sp.q.Ambiguous != nil || sp.q.Hi != nil || s.after(i) == "ago" || s.before(i) == "every" {
		return
	}
	n := sp.q.Q.Base()
	for _, v := range r.q.Verbs {
		fits, some := false, false
		for k := range r.q.Targets[0].Recipe.Method {
			st := &r.q.Targets[0].Recipe.Method[k]
			if st.For == nil || name.Fold(st.Verb) != v {
				continue
			}
			if some {
				return // which of two is not said
			}
			some = true
			lo, hi := st.For.Min, st.For.Max
			if st.For.Exact != nil {
				lo, hi = st.For.Exact, st.For.Exact
			}
			if st.For.Never != nil {
				hi = st.For.Never
			}
			fits = lo != nil && !n.Less(*lo) && (hi == nil || !hi.Less(n))
		}
		if fits {
			r.used[i] = true
			r.q.Ago = &sp.q.Q
			return
		}
		if some {
			return
		}
	}
}
