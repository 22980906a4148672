package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// inParts tells of the ingredients asked which part of a dish they are asked of:
// "50 plates, salt in the brine".
func (s *sense) inParts(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	if s.partFor(r) {
		return
	}
	for n := 0; n+1 < len(s.names); n++ {
		i, j := s.names[n], s.names[n+1]
		if !r.used[i] || !r.used[j] || slices.Contains(r.targets, j) || !s.joins(i, j) || s.brokenBetween(i, j) {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		part := s.linkedBelow(j, r.q.Targets[0].Recipe)
		if part == nil || part == r.q.Targets[0].Recipe || !it.Nested(part) && !it.onLineOf(part) {
			continue
		}
		if n+2 < len(s.names) && andWord(s.before(s.names[n+2])) && s.linkedBelow(s.names[n+2], r.q.Targets[0].Recipe) != nil {
			continue // "cream for the parfait and the custard": of both
		}
		for k := range r.q.Items {
			if r.q.Items[k].Text == it.Text {
				r.q.Items[k].In = part
			}
		}
	}
}

// partFor reads "blond cream for 70 plates, yolk?": what is asked behind the size is of
// that part, which is made for so many.
func (s *sense) partFor(r *reading) bool {
	if len(r.targets) != 1 || len(r.q.Items) < 2 || len(s.names) < 3 {
		return false
	}
	i, at := s.names[0], r.targets[0]
	if i >= at || !s.joins(i, at) || s.any(cueAnd) || s.brokenBetween(i, at) {
		return false
	}
	part := s.linkedBelow(i, r.q.Targets[0].Recipe)
	if part == nil || part == r.q.Targets[0].Recipe || r.q.Items[0].Text != s.text(i) {
		return false
	}
	for _, j := range s.names {
		if j != i && j != at && (j < at || !s.brokenBetween(at, j)) {
			return false
		}
	}
	for _, it := range r.q.Items[1:] {
		if !it.Nested(part) && !it.onLineOf(part) {
			return false
		}
	}
	r.q.Items = slices.Clone(r.q.Items[1:])
	for k := range r.q.Items {
		r.q.Items[k].In = part
	}
	return true
}

// onePartOfOther reports whether two recipes with one number are one and what goes on
// it, not two that are both made so often: no "and" stands between them.
func (s *sense) onePartOfOther(p pick) bool {
	if len(p.targets) != 2 || len(p.spans) != 2 || len(s.quant) != 1 || !partOfOther(p) {
		return false
	}
	a, b := s.span(min(p.spans[0], p.spans[1])), s.span(max(p.spans[0], p.spans[1]))
	return !slices.ContainsFunc(s.l.tokens[a.to:b.from], func(t token) bool {
		return andWord(t.plain) || t.plain == "plus" || t.plain == "with" || t.plain == "+"
	})
}

// onLineOf reports whether a line of a recipe is the ingredient.
func (it *Item) onLineOf(r *kb.Recipe) bool {
	lines, _ := it.Lines(r)
	return len(lines) > 0
}

// brokenBetween reports whether a comma or the like stands between two spans.
func (s *sense) brokenBetween(i, j int) bool {
	for k := s.span(i).to; k <= s.span(j).from; k++ {
		if s.l.tokens[k].breaks {
			return true
		}
	}
	return false
}

// linkedBelow is the recipe that span i names, where it goes into r, by itself or
// in what goes into it.
func (s *sense) linkedBelow(i int, r *kb.Recipe) *kb.Recipe {
	if part, _ := s.linked(i, r); part != nil {
		return part
	}
	seen := map[*kb.Recipe]bool{r: true}
	level := []*kb.Recipe{r}
	for len(level) > 0 {
		var below []*kb.Recipe
		for _, o := range level {
			for k := range o.Lines {
				if l := o.Lines[k].Link; l != nil && !seen[l] {
					seen[l] = true
					below = append(below, l)
				}
			}
		}
		for _, o := range below {
			if part, _ := s.linked(i, o); part != nil {
				return part
			}
		}
		level = below
	}
	return nil
}

// inStepOf reads of which step the share is asked where a recipe says how much of a
// line that step takes: "how much of the sugar goes in the milk".
func (s *sense) inStepOf(r *reading) {
	if len(r.q.Targets) == 1 && r.q.Targets[0].Recipe != nil && len(r.q.Items) == 1 {
		s.atStep(r)
		return
	}
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || len(r.q.Items) != 2 || !s.any(cueHowmuch, cueHowmany, cueWeigh) && !s.l.says("goes", "in", "with") && !s.l.says("in", "with") {
		return
	}
	of := r.q.Targets[0].Recipe
	x, y := &r.q.Items[0], &r.q.Items[1]
	i, j := -1, -1
	for _, n := range s.names {
		switch it, _ := s.item(n); {
		case !r.used[n]:
		case it.Text == x.Text && i < 0:
			i = n
		case it.Text == y.Text:
			j = n
		}
	}
	if i < 0 || j < i || s.brokenBetween(i, j) || !slices.ContainsFunc(s.l.tokens[s.span(i).to:s.span(j).from], func(t token) bool {
		return t.plain == "in" || t.plain == "with" || t.plain == "into" || t.plain == "to"
	}) || slices.ContainsFunc(s.l.tokens[s.span(i).to:s.span(j).from], func(t token) bool { return andWord(t.plain) }) {
		return
	}
	takes := func(it *Item, n string) bool { return it.Is(n, s.larderItem(name.Fold(n)).Larder) }
	step := 0
	for k := range of.Method {
		st := &of.Method[k]
		if !slices.ContainsFunc(st.Uses, func(u recipe.Use) bool { return takes(x, u.Name) }) {
			continue
		}
		if !Names(st, y.Text) && !slices.ContainsFunc(y.Names, func(n string) bool { return Names(st, n) }) {
			continue
		}
		if step > 0 {
			return
		}
		step = k + 1
	}
	if step > 0 {
		x.Step = step
		r.q.Items = r.q.Items[:1]
		r.extra -= 2
	}
}

// atStep reads "sugar for the boil", "sugar at the first boil", where the recipe says
// how much of a line that step takes.
func (s *sense) atStep(r *reading) {
	of, x := r.q.Targets[0].Recipe, &r.q.Items[0]
	t := s.l.tokens
	for k := 1; k < len(t); k++ {
		step, n := 0, 0
		for i := range of.Method {
			if st := &of.Method[i]; name.Fold(st.Verb) == t[k].fold {
				n++
				if slices.ContainsFunc(st.Uses, func(u recipe.Use) bool { return x.Is(u.Name, s.larderItem(name.Fold(u.Name)).Larder) }) {
					step = i + 1
				}
			}
		}
		if n != 1 || step == 0 {
			continue
		}
		j := k - 1
		for j > 0 && !t[j+1].breaks && slices.Contains([]string{"the", "a", "first", "second", "initial"}, t[j].plain) {
			j--
		}
		if !t[j+1].breaks && slices.Contains([]string{"for", "at", "in", "into", "during"}, t[j].plain) {
			x.Step = step
			for i := range s.p.spans {
				if sp := s.span(i); sp.from <= k && k < sp.to && sp.kind == spanUnused {
					r.used[i] = true
				}
			}
			return
		}
	}
}
