package answer

import (
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/kb/name"
)

// namedBelow makes the answer one of the recipe that all its steps stand in, where
// the message writes that one out and only hints at the dish it goes into: "cure
// time of the trout in the brine", with a trout plate in the book.
func (b *Book) namedBelow(a *Answer, q *question.Question) {
	if len(q.Targets) != 1 || !q.Targets[0].Part || len(a.Facts) == 0 || len(a.Words) > 0 {
		return
	}
	of := a.Facts[0].Of
	if of == "" || of == q.Targets[0].Recipe.Name || slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.Of != of }) {
		return
	}
	r, ok := b.Snap.RecipeNamed(of)
	say := " " + strings.Join(name.Words(q.Say), " ") + " "
	if !ok || !slices.ContainsFunc(append([]string{r.Name}, r.Also...), func(n string) bool {
		return strings.Contains(say, " "+strings.Join(name.Words(n), " ")+" ")
	}) {
		return
	}
	a.Recipe, a.Title = r, Title{Recipe: r.Name}
}
