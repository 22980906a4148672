package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/recipe"
)

// busy tells how long the steps asked of keep somebody's hands busy, not how long
// they last: as written, else all of a step that does not wait.
func (b *Book) busy(a *Answer, q *question.Question) {
	r := q.Targets[0].Recipe
	written := func(st *recipe.Step) bool { return st.Hands != nil }
	ps := b.pickSteps(r, q, written)
	if len(ps) > 0 && ps[0].of != r && slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return st.Hands != nil || st.For != nil }) {
		ps = nil // what a part takes is not asked for
	}
	for _, p := range ps {
		f := b.measured(p.step.Verb, *p.step.Hands)
		f.Of, f.How = p.of.Name, "hands"
		a.add(f)
	}
	if len(ps) == 0 {
		for _, p := range b.pickSteps(r, q, func(st *recipe.Step) bool { return st.For != nil && !waits(st) && !verbIs(st, "reduce") }) {
			if p.of != r {
				continue
			}
			f := spanFact(p.step.Verb, p.step.For, "")
			f.Of = r.Name
			a.add(f)
		}
	}
	if len(a.Facts) == 0 {
		a.unknown("no hands", r.Name)
		return
	}
	a.note("hands on")
	a.Title = Title{Recipe: handsOf(ps, r)}
}

// handsOf is the recipe that the steps stand in.
func handsOf(ps []placed, r *kb.Recipe) string {
	if len(ps) > 0 {
		return ps[0].of.Name
	}
	return r.Name
}
