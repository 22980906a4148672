package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
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
		if isCore(r, i) && !slices.Contains(lines, &r.Lines[i]) { // what is set into it is no part of the mix
			a.note("without its core", r.Name)
			continue
		}
		if l := &r.Lines[i]; l.HasGrams {
			all = all.Add(l.Grams)
		} else {
			a.unknown("unknown mass", r.Name, l.Name)
			return
		}
	}
	at := "of all that goes in"
	own := b.ownShare(r, lines, q)
	a.add(own...)
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
	if len(own) > 0 && len(q.Items) > 1 { // the book says it of that very line
		a.Title = Title{Recipe: r.Name}
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

// ownShare is what the book itself writes as a percentage: of the line it is of, where
// that is what is asked or nothing else is.
func (b *Book) ownShare(r *kb.Recipe, lines []*kb.Line, q *question.Question) []Fact {
	if len(lines) != 1 || lines[0].Amount.Kind != recipe.PercentOf || len(lines[0].Amount.Of) == 0 || lines[0].Amount.IsRange() {
		return nil
	}
	of := lines[0].Amount.Of
	if len(q.Items) > 1 && !slices.ContainsFunc(of, func(n string) bool { return q.Items[1].Means(n, b.Snap.Larder.Find(n), nil) }) {
		return nil
	}
	n := lines[0].Amount.Lo
	return []Fact{{What: lines[0].Name, Value: &n, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(n)), Of: r.Name, At: "of " + strings.Join(of, " + "), How: lines[0].Amount.Text, From: FromBook}}
}
