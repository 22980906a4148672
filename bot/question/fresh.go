package question

import (
	"slices"

	"tamis/kb"
)

// Fresh is the context with the recipes and ingredients of a newer book in place
// of those it was made with: what is asked next is answered from that book. A
// recipe that the book no longer has stays as it was.
func (c *Context) Fresh(s *kb.Snapshot) *Context {
	if c == nil {
		return nil
	}
	out := *c
	seen := map[*Question]*Question{}
	out.Targets, out.Items, out.Choices = freshTargets(s, c.Targets), freshItems(s, c.Items), freshChoices(s, c.Choices, seen)
	out.Last, out.Pending, out.Pan = c.Last.fresh(s, seen), c.Pending.fresh(s, seen), c.Pan.fresh(s, seen)
	return &out
}

func (q *Question) fresh(s *kb.Snapshot, seen map[*Question]*Question) *Question {
	if q == nil {
		return nil
	}
	if n, ok := seen[q]; ok {
		return n
	}
	n := *q
	seen[q] = &n
	n.Also = q.Also.fresh(s, seen)
	n.Targets, n.Items = freshTargets(s, q.Targets), freshItems(s, q.Items)
	n.Work.Recipes = slices.Clone(q.Work.Recipes)
	for i, r := range n.Work.Recipes {
		n.Work.Recipes[i] = freshRecipe(s, r)
	}
	return &n
}

func freshRecipe(s *kb.Snapshot, r *kb.Recipe) *kb.Recipe {
	if r == nil {
		return nil
	}
	if now, ok := s.Recipe(r.ID); ok {
		return now
	}
	return r
}

func freshTargets(s *kb.Snapshot, ts []Target) []Target {
	out := slices.Clone(ts)
	for i := range out {
		out[i].Recipe = freshRecipe(s, out[i].Recipe)
	}
	return out
}

func freshItems(s *kb.Snapshot, items []Item) []Item {
	out := slices.Clone(items)
	for i := range out {
		out[i].Recipe = freshRecipe(s, out[i].Recipe)
		if l := out[i].Larder; l != nil {
			if now := s.Larder.Find(l.Name); now != nil {
				out[i].Larder = now
			}
		}
	}
	return out
}

func freshChoices(s *kb.Snapshot, cs []Choice, seen map[*Question]*Question) []Choice {
	out := slices.Clone(cs)
	for i := range out {
		out[i].Recipe, out[i].Question = freshRecipe(s, out[i].Recipe), out[i].Question.fresh(s, seen)
	}
	return out
}
