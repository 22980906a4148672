package answer

import (
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// keptThere reports whether "how long in the freezer" asks how long it keeps:
// a cold place without another verb, where the book says it keeps.
func (b *Book) keptThere(q *question.Question) bool {
	if len(q.Targets) != 1 || q.Place == "" && len(q.Verbs) == 0 && keptSaid(q.Targets[0].Recipe, q) == "" || q.Goal.Done || len(q.Goal.Verbs) > 0 {
		return false
	}
	r := q.Targets[0].Recipe
	if place := keptSaid(r, q); place != "" {
		q.Place = place
		return true
	}
	if place := stepPlace(r, q); place != "" && !q.Has("keeps") {
		q.Place = place
		return false
	}
	kept := func(place string) bool {
		return slices.ContainsFunc(r.Keeps, func(k recipe.Keep) bool {
			return k.Time != nil && b.isPlace(k.Where, place)
		})
	}
	if saysAny(q.Say, " thaw ", " thaws ", " thawing ") && slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return verbIs(&s, "thaw") && s.For != nil }) {
		return false // "how long do they thaw in the fridge"
	}
	place := q.Place
	if place == "" {
		switch q.Verbs[0] {
		case "freeze":
			place = "freezer"
		default:
			return false
		}
		// "how long does it freeze" is a step, if the book has one
		if slices.ContainsFunc(r.Method, func(s recipe.Step) bool {
			return slices.ContainsFunc(q.Verbs, func(v string) bool { return verbIs(&s, v) })
		}) {
			return false
		}
		if !kept(place) {
			return false
		}
		q.Place = place
		return true
	}
	for _, v := range q.Verbs { // a verb of its own asks for the step
		if v != "freeze" && v != "chill" && slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return verbIs(&s, v) }) && !q.Has("verb_freeze") && !q.Has("verb_chill") {
			return false
		}
	}
	if q.Has("setready") || q.Has("went") {
		return false
	}
	if saysAny(q.Say, " hrs ", " hours ", " mins ", " minutes ") && slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return s.For != nil && b.isPlace(s.Where, place) }) {
		return false // "how many hrs in the freezer"
	}
	return kept(place)
}

// keptSaid is a place that only the keeping of a recipe knows, where the message
// writes it out: "how long in the dry store".
func keptSaid(r *kb.Recipe, q *question.Question) string {
	if len(q.Verbs) > 0 && slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return verbIs(&st, q.Verbs[0]) }) { // "dry" is a verb too
		return ""
	}
	say := " " + name.Fold(strings.Join(question.Words(q.Say), " ")) + " "
	for _, k := range r.Keeps {
		if k.Time == nil || len(name.Words(k.Where)) < 2 || !strings.Contains(say, " "+name.Fold(k.Where)+" ") {
			continue
		}
		if !slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return sameFold(st.Where, k.Where) }) {
			return k.Where
		}
	}
	return ""
}

// stepPlace is the place of one of the recipe's steps, where the message writes
// it out and the recipe is not kept there: "in the blast freezer" of what freezes
// in that one and keeps in another.
func stepPlace(r *kb.Recipe, q *question.Question) string {
	say := " " + name.Fold(strings.Join(question.Words(q.Say), " ")) + " "
	for i := range r.Method {
		st := &r.Method[i]
		if st.For == nil || len(name.Words(st.Where)) < 2 || !strings.Contains(say, " "+name.Fold(st.Where)+" ") {
			continue
		}
		if !slices.ContainsFunc(r.Keeps, func(k recipe.Keep) bool { return sameFold(k.Where, st.Where) }) {
			return st.Where
		}
	}
	return ""
}
