package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// upTo are the steps with a time from the one that a question is about up to the
// goal that it names, in the recipe's own order; false where it names none, or
// none that the method has.
func (b *Book) upTo(r *kb.Recipe, q *question.Question) ([]placed, bool) {
	timed := func(from, to int) []placed {
		var out []placed
		for i := from; i < to; i++ {
			if r.Method[i].For != nil {
				out = append(out, placed{&r.Method[i], r})
			}
		}
		return out
	}
	if len(q.Goal.After) > 0 { // what follows a step that is over
		last := -1
		for i := range r.Method {
			if slices.ContainsFunc(q.Goal.After, func(v string) bool { return verbIs(&r.Method[i], v) }) {
				last = i
			}
		}
		if last < 0 {
			return nil, false
		}
		to := len(r.Method)
		for i := last + 1; i < len(r.Method) && to == len(r.Method); i++ {
			if slices.ContainsFunc(q.Goal.Verbs, func(v string) bool { return verbIs(&r.Method[i], v) }) {
				to = i
			}
		}
		ps := timed(last+1, to)
		if to < len(r.Method) {
			return ps, len(ps) > 0
		}
		if q.Want == question.WantReady && len(ps) > 1 {
			ps = ps[:1]
		}
		return ps, len(ps) > 0
	}
	goal := -1
	for _, v := range q.Goal.Verbs {
		for i := range r.Method {
			if goal < 0 && verbIs(&r.Method[i], v) {
				goal = i
			}
		}
		for i := max(goal, 0); q.Oven && q.Goal.Done && goal >= 0 && i < len(r.Method); i++ { // after the oven, not before it
			if verbIs(&r.Method[i], v) {
				goal = i
			}
		}
	}
	if goal < 0 {
		return nil, false
	}
	to := goal
	if q.Goal.Done {
		to++
	}
	from := -1
	if len(q.Verbs) > 0 || q.Place != "" || q.Oven {
		for _, p := range b.timed(q) {
			if from = stepIndex(r, p.step); from >= to {
				from = -1
			}
			if from >= 0 {
				break
			}
		}
	} else if ps := timed(0, to); len(ps) > 0 { // the last before it that needs nobody
		from = stepIndex(r, ps[len(ps)-1].step)
		for _, p := range ps {
			if waits(p.step) {
				from = stepIndex(r, p.step)
			}
		}
	}
	if from < 0 {
		return nil, false
	}
	ps := timed(from, to)
	if q.Want != question.WantLatest { // what is done by hand after it is for the cook to begin
		for len(ps) > 1 && !waits(ps[len(ps)-1].step) {
			ps = ps[:len(ps)-1]
		}
	}
	return ps, true
}

// waits reports whether a step goes by itself: in a place, by a verb of waiting or of heat.
func waits(st *recipe.Step) bool {
	if st.Where != "" || isOven(st) {
		return true
	}
	return slices.ContainsFunc([]string{"set", "rest", "stand", "chill", "cool", "freeze", "thaw", "temper", "proof", "prove", "ferment", "infuse", "steep", "hydrate", "soak", "macerate",
		"cure", "brine", "pickle", "marinate", "dry", "hang", "strain", "drain", "hold", "simmer", "braise", "steam", "poach", "boil"}, func(v string) bool { return verbIs(st, v) })
}

// stepIndex is where a step stands in a recipe's method, −1 where it is none of it.
func stepIndex(r *kb.Recipe, st *recipe.Step) int {
	for i := range r.Method {
		if &r.Method[i] == st {
			return i
		}
	}
	return -1
}

// spanOf is the time of steps that follow one another: from the sum of their
// least to the sum of their longest; false where one of several has only a longest.
func spanOf(ps []placed) (sp recipe.Span, how string, ok bool) {
	if len(ps) == 1 {
		return *ps[0].step.For, ps[0].step.Verb + " " + ps[0].step.For.Text, true
	}
	var least, most quantity.Number
	exact, open := true, false
	for i, p := range ps {
		f := p.step.For
		lo := f.Exact
		if lo == nil {
			lo, exact = f.Min, false
		}
		if lo == nil {
			return sp, "", false
		}
		hi := f.Exact
		if hi == nil {
			hi = f.Max
		}
		least = least.Add(*lo)
		if hi == nil {
			open = true
		} else {
			most = most.Add(*hi)
		}
		if i > 0 {
			how += " + "
		}
		how += p.step.Verb + " " + f.Text
	}
	switch {
	case exact:
		sp.Exact = &least
	case open:
		sp.Min = &least
	default:
		sp.Min, sp.Max = &least, &most
	}
	return sp, how, true
}

// startsAll are all timed steps of a recipe where it is asked when to start, and with
// nothing in particular: "baguettes for 18:00, when do i start the dough".
func startsAll(r *kb.Recipe, q *question.Question) []placed {
	words := question.Words(q.Say)
	if len(q.Verbs) > 0 || q.Place != "" || q.Oven || q.Goal.Done || q.Goal.In || q.Goal.Whole || len(q.Goal.After) > 0 || len(q.Goal.Verbs) > 0 || r.IsPlate ||
		!slices.ContainsFunc(words, func(w string) bool { return w == "start" || w == "begin" || w == "started" || w == "begun" }) {
		return nil
	}
	var out []placed
	for i := range r.Method {
		if st := &r.Method[i]; st.For != nil && (st.For.Exact != nil || st.For.Min != nil) && name.Fold(st.Verb) != "hold" {
			out = append(out, placed{st, r})
		}
	}
	return out
}
