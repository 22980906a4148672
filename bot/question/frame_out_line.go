package question

import (
	"slices"
	"strings"

	"tamis/kb"
)

// frameOutLine: how long a part of a plate may be on it or out of the cold, where
// the plate's own line says so: "how long can the parfait sit on the pear plate",
// "parfait out how long".
func frameOutLine(s *sense) []reading {
	minutes := s.saysOf("min", "mins", "minutes")
	if !s.any(cueHowlong) && !minutes && !s.saysOf("limit", "max", "maximum", "longest", "long") || len(s.quant)+len(s.clock) > 0 || s.any(cueTemp, cueOven, cueCore, cueWent, cueHowmuch, cueHands, cueSwap, cueRescue) || s.any(cueHowmany) && !minutes {
		return nil
	}
	if s.saysOf("been", "was", "were", "since", "left", "forgot", "ago", "in", "into", "until", "till") {
		return nil
	}
	if !s.any(cueVerbOut) && !s.saysOf("out", "on") {
		return nil
	}
	var out []reading
	for _, i := range s.names {
		for _, o := range s.recipesOf(i, 3) {
			if o.recipe.IsPlate || !s.outLines(o.recipe, nil) {
				continue
			}
			dish, at := s.dishOf(o.recipe, i)
			where, on := s.standsOn(o.recipe, dish)
			if !s.any(cueVerbOut) && !s.saysOf("out") && !on || dish != nil && !s.outLines(o.recipe, dish) {
				continue
			}
			r := s.reading(WantSteps, "time")
			r.q.Targets, r.targets = []Target{{Recipe: o.recipe, Part: o.part}}, []int{i}
			r.used[i] = true
			r.extra = o.cost - 2
			if dish != nil {
				r.q.Targets, r.targets = []Target{{Recipe: dish}}, []int{at}
				r.used[at] = true
			}
			for _, k := range where {
				r.used[k] = true
			}
			r.q.Time, r.q.Stands = true, true
			r.consumes = plainCues.with(cueHowlong, cueHowmany, cueVerbOut, cueVerbRest, cueKeeps, cueCovers, cuePlating, cueMost, cueUnsafe, cueVerbHold, cueModifier)
			out = append(out, r)
		}
	}
	return out
}

// outLines reports whether a line of a dish, or of any where none is given, says how
// long a recipe may be out.
func (s *sense) outLines(part, dish *kb.Recipe) bool {
	for _, r := range s.l.x.linking(part) {
		if dish != nil && r != dish {
			continue
		}
		if slices.ContainsFunc(r.Lines, func(l kb.Line) bool { return l.Link == part && l.Out != nil }) {
			return true
		}
	}
	return false
}

// dishOf is the dish named besides span i that a recipe goes on.
func (s *sense) dishOf(part *kb.Recipe, i int) (*kb.Recipe, int) {
	for _, j := range s.names {
		if j == i {
			continue
		}
		for _, o := range s.recipesOf(j, 3) {
			if !o.part && slices.ContainsFunc(o.recipe.Lines, func(l kb.Line) bool { return l.Link == part }) {
				return o.recipe, j
			}
		}
	}
	return nil, -1
}

// standsOn reports whether a recipe is said to be on a plate, on the dish that is
// named or on what its line stands on; where are the spans that name the last.
func (s *sense) standsOn(part, dish *kb.Recipe) (where []int, on bool) {
	t := s.l.tokens
	for k := range t {
		if t[k].plain != "on" {
			continue
		}
		j := k + 1
		for j < len(t) && slices.Contains(swapArticles, t[j].plain) {
			j++
		}
		if j >= len(t) {
			continue
		}
		if slices.Contains([]string{"plate", "plates", "dish", "pass"}, t[j].plain) {
			on = true
		}
		i := s.spanAt(j)
		if i < 0 {
			continue
		}
		if dish != nil && s.span(i).kind == spanName && slices.ContainsFunc(s.recipesOf(i, 3), func(o option) bool { return o.recipe == dish }) {
			on = true
		}
		w := s.folded(s.span(i))
		for _, r := range s.l.x.linking(part) {
			if slices.ContainsFunc(r.Lines, func(l kb.Line) bool {
				return l.Link == part && l.On != "" && strings.Contains(" "+strings.ToLower(l.On)+" ", " "+w+" ")
			}) {
				where, on = append(where, i), true
				break
			}
		}
	}
	return where, on
}

// heldAtWhat reports whether it is asked at what something is held where it waits,
// not told that it was: "what temp is the jus held at on the pass".
func (s *sense) heldAtWhat() bool {
	if !s.any(cueTemp) || !s.any(cueVerbHold) || len(s.quant)+len(s.clock) > 0 {
		return false
	}
	return !s.saysOf("been", "was", "were", "since", "still", "left", "ok", "okay", "safe", "good", "fine", "overnight", "night", "all", "ago", "yesterday", "serve", "use")
}
