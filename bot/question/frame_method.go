package question

import "strconv"

// frameMethod: the steps, or one of them.
func frameMethod(s *sense) []reading {
	step, at := s.stepNumber()
	if !s.any(cueMethod, cueNextstep, cuePlating) && step == 0 {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		about := "lookup"
		if s.any(cuePlating) && !s.any(cueMethod, cueNextstep) && step == 0 {
			about = "plating"
		}
		r := s.start(WantMethod, about, p)
		r.consumes = r.consumes.or(verbCues).with(cueMethod, cueNextstep, cuePlating, cueCard, cueAll, cueOven, cueStir)
		switch {
		case step != 0:
			r.q.Step = step
			r.consumes = r.consumes.with(cueNumber1)
			if at >= 0 {
				r.used[at] = true
			}
		case s.any(cueNextstep):
			r.q.Next = true
			r.q.Verbs = append(s.afterVerb(), s.verbs()...)
			if p.talk && s.ctx != nil && s.ctx.Last != nil && s.ctx.Last.Want == WantMethod && len(r.q.Verbs) == 0 {
				r.q.Step, r.q.Next = max(s.ctx.Last.Step, 0)+1, false
			}
		}
		s.absorb(&r)
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// stepNumber reads "step 4", "the last step"; at is the number's span, if it has one.
func (s *sense) stepNumber() (step, at int) {
	for i := range s.l.tokens {
		if s.l.tokens[i].fold != "step" {
			continue
		}
		if i > 0 {
			switch s.l.tokens[i-1].plain {
			case "first":
				return 1, -1
			case "second":
				return 2, -1
			case "third":
				return 3, -1
			case "last", "final":
				return -1, -1
			}
		}
		if i+1 < len(s.l.tokens) && s.l.tokens[i].plain == "step" {
			if n, err := strconv.Atoi(s.l.tokens[i+1].plain); err == nil && n > 0 && n < 100 {
				for k := range s.p.spans {
					if s.span(k).from == i+1 {
						return n, k
					}
				}
			}
		}
	}
	return 0, -1
}

// afterVerb is the verb that stands behind "after": "after the fold".
func (s *sense) afterVerb() []string {
	for i := range s.l.tokens {
		if s.l.tokens[i].plain != "after" {
			continue
		}
		for j := i + 1; j < len(s.l.tokens) && j < i+4; j++ {
			switch w := s.l.tokens[j].plain; w {
			case "the", "i", "we", "you", "it":
			default:
				return stems(w)
			}
		}
	}
	return nil
}
