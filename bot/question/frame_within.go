package question

import (
	"slices"

	"tamis/kb"
)

// inParts tells of the ingredients asked which part of a dish they are asked of:
// "50 plates, salt in the brine".
func (s *sense) inParts(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
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
