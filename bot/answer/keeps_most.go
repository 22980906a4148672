package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/recipe"
)

// mostKept is how many recipes are told beside the one that keeps longest.
const mostKept = 4

// keepsMost: what of the book keeps longest, or shortest, in one place or in any of
// its own; what starts with thawing is left out.
func keepsMost(b *Book, a *Answer, q *question.Question, _ time.Time) {
	type kept struct {
		of   *kb.Recipe
		keep *recipe.Keep
	}
	var all []kept
	for _, r := range b.asked(q) {
		var best *recipe.Keep
		for i := range r.Keeps {
			k := &r.Keeps[i]
			if k.Time == nil || k.After != "" || q.Place != "" && !b.isPlace(k.Where, q.Place) {
				continue
			}
			if best == nil || best.Time.Base().Less(k.Time.Base()) != q.Shortest && best.Time.Base().Cmp(k.Time.Base()) != 0 {
				best = k
			}
		}
		if best != nil {
			all = append(all, kept{r, best})
		}
	}
	if len(all) == 0 {
		a.unknown("no keeps at all")
		return
	}
	slices.SortStableFunc(all, func(x, y kept) int {
		if c := x.keep.Time.Base().Cmp(y.keep.Time.Base()); c != 0 {
			if q.Shortest {
				return c
			}
			return -c
		}
		return strings.Compare(x.of.Name, y.of.Name)
	})
	a.Form = FormLines
	for i, k := range all {
		if i > mostKept && k.keep.Time.Base().Cmp(all[0].keep.Time.Base()) != 0 {
			break
		}
		f := b.measured("keeps", *k.keep.Time)
		f.Shown, f.Of, f.At, f.How = keepShown(*k.keep.Time), k.of.Name, k.keep.Where, k.keep.Text
		a.add(f)
	}
	a.caution("keeps")
}
