package question

import "slices"

// stepAsks are the words that ask for a time, a temperature or how long it keeps.
var stepAsks = cueSet{}.with(cueHowlong, cueTemp, cueCore, cueOven, cueKeeps)

// half is one of two questions in a message.
type half struct {
	q    *Question
	cost int
}

// frameBoth reads two things asked of one recipe in one message: an amount and a
// time, a temperature or how long it keeps, or two of the latter: "flour for 60
// brioche, and what temp the oven". Each is read by itself; a size is of both.
func frameBoth(s *sense) []reading {
	if !s.cues.meets(stepAsks) || len(s.p.spans) < 4 {
		return nil
	}
	var out []reading // one of each recipe: which is meant may have to be asked
	for m := 1; m < len(s.p.spans); m++ {
		sp := s.span(m)
		if !s.l.tokens[sp.from].breaks && !(sp.kind == spanCue && sp.cues.has(cueAnd)) || !s.halves(m) {
			continue
		}
		for _, p := range s.shared() {
			r, ok := s.both(m, p)
			if !ok {
				continue
			}
			k := slices.IndexFunc(out, func(o reading) bool { return o.q.Targets[0].Recipe == r.q.Targets[0].Recipe })
			switch {
			case k < 0:
				out = append(out, r)
			case r.extra < out[k].extra:
				out[k] = r
			}
		}
	}
	return out
}

// halves reports whether something is asked on either side of span m, and a time,
// a temperature or how long it keeps on one of them.
func (s *sense) halves(m int) bool {
	asks := func(from, to int) (step, name bool) {
		for i := from; i < to; i++ {
			sp := s.span(i)
			step = step || s.asksStep(i)
			name = name || sp.kind == spanName
		}
		return
	}
	step1, name1 := asks(0, m)
	step2, name2 := asks(m, len(s.p.spans))
	return step1 && (step2 || name2) || step2 && name1
}

// asksStep reports whether span i asks for a time, a temperature or how long it
// keeps; the "times" of "times 5" does not.
func (s *sense) asksStep(i int) bool {
	sp := s.span(i)
	return sp.kind == spanCue && sp.cues.meets(stepAsks) && (sp.to > sp.from+1 || s.l.tokens[sp.from].plain != "times")
}

// shared are the recipes that both halves may be of: the one that is named, else
// that of the talk.
func (s *sense) shared() []pick {
	const few = 4
	var out []pick
	for _, p := range s.picks() {
		if len(p.targets) != 1 || len(p.spans) > 1 {
			continue
		}
		out = append(out, p)
	}
	slices.SortStableFunc(out, func(a, b pick) int { return a.cost - b.cost })
	return out[:min(few, len(out))]
}

// both reads the spans before and from m on as questions of their own.
func (s *sense) both(m int, p pick) (reading, bool) {
	a, ok := s.half(0, m, p)
	if !ok {
		return reading{}, false
	}
	b, ok := s.half(m, len(s.p.spans), p)
	if !ok || a.q.Targets[0].Recipe != b.q.Targets[0].Recipe || a.q.FromTalk != b.q.FromTalk {
		return reading{}, false
	}
	switch {
	case a.q.Want == WantAmount && b.q.Want == WantAmount:
		return reading{}, false
	case a.q.Want == WantSteps && b.q.Want == WantSteps && !otherStep(a.q, b.q): // "bake temp and time"
		return reading{}, false
	}
	x, y := &a.q.Targets[0].Scale, &b.q.Targets[0].Scale
	switch { // a size is of both
	case x.Kind == ScaleNone:
		*x = *y
	case y.Kind == ScaleNone:
		*y = *x
	case a.q.FromTalk:
	default:
		return reading{}, false
	}
	first, second := *a.q, *b.q
	for _, q := range []*Question{&first, &second} {
		q.Assumed = slices.DeleteFunc(slices.Clone(q.Assumed), func(as Assumption) bool { return as.Code == "read as" || as.Code == "passed over" })
		if q.Want == WantAmount && q.Targets[0].Scale.Kind != ScaleNone {
			q.About = "scale"
		}
		q.Say = s.l.text
	}
	if first.Want != WantAmount && second.Want == WantAmount { // amounts first
		first, second = second, first
	}
	first.Also = &second
	r := s.reading(first.Want, first.About)
	first.cues = s.cues
	r.q = first
	r.targets = slices.Clone(p.spans)
	base := 0 // of the spans alone: a name read in pieces costs its price here too
	for i := range s.p.spans {
		r.used[i] = true
		if sp := s.span(i); sp.kind == spanUnused {
			base += costSpan
		} else {
			base += sp.cost
		}
	}
	const told = 3 // it leaves nothing out that is asked
	r.extra = a.cost + b.cost - p.cost - told - base
	for _, i := range p.spans {
		r.extra -= s.span(i).cost
	}
	return r, true
}

// otherStep reports whether two questions ask of different steps, each with its own word.
func otherStep(a, b *Question) bool {
	name := func(q *Question) string {
		switch {
		case len(q.Verbs) > 0:
			return q.Verbs[0]
		case q.Oven:
			return "bake"
		}
		return ""
	}
	return name(a) != "" && name(b) != "" && name(a) != name(b)
}

// half reads the spans from from to to as a question of the recipe of p.
func (s *sense) half(from, to int, p pick) (half, bool) {
	part := path{}
	add := func(i int) {
		part.spans = append(part.spans, *s.span(i))
		part.cost += s.span(i).cost
	}
	for _, i := range p.spans {
		if i < from {
			add(i)
		}
	}
	asks := false
	for i := from; i < to; i++ {
		add(i)
		asks = asks || s.asksStep(i)
	}
	for _, i := range p.spans {
		if i >= to {
			add(i)
		}
	}
	sub := newSense(s.l, part, s.ctx)
	sub.limit = s.limit
	var best half
	frames := []frame{frameAmount}
	if asks {
		frames = []frame{frameSteps, frameKeeps}
	}
	for _, f := range frames {
		for _, r := range f(sub) {
			q := sub.finish(r)
			if q.Want == WantSteps && !q.Time && !q.Temp || len(q.Targets) != 1 || q.Targets[0].Recipe != p.targets[0].Recipe || q.FromTalk != p.talk ||
				q.Lost || q.Guessed && q.Want != WantAmount || len(q.Strange) > 0 || q.Modified != "" || q.Missing != MissingNothing {
				continue
			}
			if q.Want == WantAmount && slices.ContainsFunc(q.Items, func(it Item) bool { return it.Foreign }) {
				continue
			}
			if best.q == nil || q.Cost < best.cost {
				best = half{q, q.Cost}
			}
		}
	}
	const dear = 8
	if best.q == nil || best.cost > dear+p.cost {
		return half{}, false
	}
	return best, true
}
