package answer

import (
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// shareOf: an ingredient beside all that goes into a recipe, by mass.
func shareOf(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	r, it := q.Targets[0].Recipe, &q.Items[0]
	lines, exact := it.Lines(r)
	if len(lines) == 0 {
		b.lacks(a, q, []string{it.Text})
		return
	}
	var all quantity.Number
	for i := range r.Lines {
		if l := &r.Lines[i]; l.HasGrams {
			all = all.Add(l.Grams)
		} else {
			a.unknown("unknown mass", r.Name, l.Name)
			return
		}
	}
	at := "of all that goes in"
	if len(q.Items) > 1 { // "of the juice"
		var ok bool
		if at, all, ok = b.shareBase(a, q); !ok {
			return
		}
	}
	if all.Sign() <= 0 {
		a.unknown("unknown mass", r.Name, it.Text)
		return
	}
	for _, group := range groups(lines) {
		var of quantity.Number
		for _, l := range group {
			of = of.Add(l.Grams)
		}
		share := of.Mul(hundred).Div(all)
		a.add(Fact{What: group[0].Name, Value: &share, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(share)), Of: r.Name, At: at,
			How: b.mass(a, "", of).Shown + " of " + b.mass(a, "", all).Shown, From: FromCalculated})
		if !exact {
			a.assume("item part", it.Text, group[0].Name)
		}
	}
	a.Title = Title{Recipe: r.Name}
}

// shareBase is what a share is asked of, one line or several that the word may mean,
// and its mass; the lines are told in the reply.
func (b *Book) shareBase(a *Answer, q *question.Question) (at string, mass quantity.Number, ok bool) {
	r, it := q.Targets[0].Recipe, &q.Items[1]
	lines, _ := it.Lines(r)
	if len(lines) == 0 {
		b.lacks(a, q, []string{it.Text})
		return "", mass, false
	}
	for _, group := range groups(lines) {
		for _, l := range group {
			mass = mass.Add(l.Grams)
		}
		if at == "" {
			at = "of " + group[0].Name
		} else {
			at += " + " + group[0].Name
		}
	}
	return at, mass, true
}
