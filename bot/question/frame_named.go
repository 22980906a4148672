package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
)

// reread reads words that put together what was said before and now; nil where
// they make no question. Every way through the message asks it: it is read once.
func (s *sense) reread(text string) *Question {
	if q, ok := s.l.again[text]; ok {
		return q
	}
	if s.l.again == nil {
		s.l.again = map[string]*Question{}
	}
	s.l.again[text] = s.readAgain(text)
	return s.l.again[text]
}

func (s *sense) readAgain(text string) *Question {
	ctx := *s.ctx
	ctx.Pending, ctx.Choices, ctx.Last = nil, nil, nil
	meant := Read(s.l.x, text, &ctx, s.l.measure)
	if len(meant) == 0 || meant[0].Missing != MissingNothing {
		return nil
	}
	q := &meant[0] // shared by the ways through the message: what is appended to it is their own
	q.Assumed, q.Unused, q.Strange = slices.Clip(q.Assumed), slices.Clip(q.Unused), slices.Clip(q.Strange)
	return q
}

// besides takes the ingredients that are named with a choice: "the pie one, leek".
func (s *sense) besides(r *reading, of *kb.Recipe) {
	switch r.q.Want {
	case WantAmount, WantCard, WantMakes:
	default:
		return
	}
	label := name.Words(of.Name)
	var more []Item
	for _, i := range s.names {
		sp := s.span(i)
		if !slices.ContainsFunc(s.l.tokens[sp.from:sp.to], func(t token) bool { return !slices.Contains(label, t.fold) }) {
			continue
		}
		it, ok := s.item(i)
		if m, _ := it.match(of); ok && m != noMatch {
			more = append(more, it)
		}
	}
	if len(more) > 0 {
		r.q.Want, r.q.Items = WantAmount, more
	}
}

// justChosen reports whether the message says no more than which recipe.
func (s *sense) justChosen(r *kb.Recipe) bool {
	if len(s.quant) > 0 && s.ordinal() == 0 {
		return false
	}
	label := name.Words(r.Name)
	for _, i := range s.names {
		for k := s.span(i).from; k < s.span(i).to; k++ {
			if !slices.Contains(label, s.l.tokens[k].fold) {
				return false
			}
		}
	}
	return true
}

// frameNamed: the recipe that was asked for, with whatever more: "double", and then
// "crumble, butter". Both are read as one message.
func frameNamed(s *sense) []reading {
	if s.ctx == nil || s.ctx.Pending == nil || s.ctx.Pending.Missing != MissingRecipe || s.ctx.Pending.Say == "" || s.asksAnew() {
		return nil
	}
	if s.ctx.Pending.cues.meets(needRecipe) && len(s.quant)+len(s.names) > 1 {
		return nil // "oven temp?", and then "brioche flour x2": a question of its own
	}
	if !slices.ContainsFunc(s.names, func(i int) bool { return len(s.recipesOf(i, 1)) > 0 }) {
		return nil
	}
	q := s.reread(s.ctx.Pending.Say + " " + s.l.text)
	if q == nil || !q.namesRecipe() || q.Lost {
		return nil
	}
	r := s.reading(q.Want, q.About)
	r.q = *q
	for i := range r.used {
		r.used[i] = true
	}
	r.extra = min(q.Cost, Margin) - s.p.cost - 3*Margin // what was asked stands, whether the recipe has it or not
	for i := range s.p.spans {                          // finish gives back what used words cost
		if sp := s.span(i); sp.kind == spanUnused {
			r.extra += sp.cost - costSpan
		}
	}
	return []reading{r}
}
