package answer

import (
	"time"

	"tamis/bot/question"
	"tamis/kb/name"
)

// rescues: the numbers first, then the chef's own word on what went wrong.
func rescues(b *Book, a *Answer, q *question.Question, _ time.Time) {
	r := q.Targets[0].Recipe
	switch {
	case len(q.Rescue.Poured) > 0:
		b.poured(a, q)
		return
	case q.Rescue.Forgot:
		b.forgot(a, q)
		return
	case q.Rescue.Have != nil:
		b.corrected(a, q)
		return
	}
	a.Form = FormWords
	said := name.Words(q.Say)
	best, at := 0, -1
	for i, f := range r.If {
		n := 0
		for _, w := range name.Words(f.Fault) {
			if question.IsFault(w, said) {
				n++
			}
		}
		if n > best {
			best, at = n, i
		}
	}
	if at < 0 {
		if !b.faulty(a, q) {
			a.unknown("no remedy", r.Name)
		}
		return
	}
	a.Words = append(a.Words, r.If[at].Words)
	a.Title = Title{Recipe: r.Name}
}
