package answer

import (
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
)

// enough: what a size needs of an ingredient, beside what is there of it.
func enough(b *Book, a *Answer, q *question.Question, at time.Time) {
	a.Form = FormLines
	var aside Answer
	aside.Question = q
	s, ok := b.size(&aside, &q.Targets[0])
	if !ok {
		b.size(a, &q.Targets[0]) // says why
		return
	}
	amounts(b, a, q, at)
	if a.Status != StatusAnswer || len(a.Facts) == 0 || a.Facts[0].Value == nil {
		return
	}
	left, ok := b.left(a, q.Targets[0].Recipe, q.Have)
	if !ok {
		return
	}
	lim, err := scale.FromLeft(q.Targets[0].Recipe.Formula, left)
	if err != nil {
		b.sizeError(a, q.Targets[0].Recipe, err)
		return
	}
	need := a.Facts[0]
	needed := left.Amount.Mul(s.factor).Div(lim.Factor) // with what its parts need
	rest := left.Amount.Sub(needed)
	word := "over"
	if rest.Sign() < 0 {
		word, rest = "short", rest.Neg()
	}
	f := Fact{What: word, Value: &rest, Unit: "each", Shown: short(rest)}
	if !left.ByCount {
		f = b.mass(a, word, rest)
		needs := b.mass(a, need.What, needed)
		f.How = q.Have.Q.String() + " − " + needs.Shown
	}
	f.Of, f.From = need.Of, FromCalculated
	facts := []Fact{need, f}
	if word == "short" {
		a.note("not enough", q.Items[0].Text)
		if n, err := scale.Pieces(s.formula, lim.Factor); err == nil {
			whole := n.Floor()
			p := count("pieces", whole, plural(s.formula.Word, whole))
			p.At, p.Unit, p.Of, p.From = p.Unit, "each", need.Of, FromCalculated
			facts = append(facts, p)
		}
	} else {
		a.note("enough", q.Items[0].Text)
	}
	a.Facts = append(facts, a.Facts[1:]...)
}

// coversOf is how many covers of each dish a size of one of its parts does.
func (b *Book) coversOf(s *sized) []Fact {
	total, err := scale.Total(s.formula, s.factor)
	if err != nil || s.recipe.Makes.IsCovers() {
		return nil
	}
	var out []Fact
	for _, d := range b.Snap.Recipes {
		if !d.Makes.IsCovers() || d.Makes.Count.IsZero() {
			continue
		}
		var each quantity.Number
		var how []string
		for i := range d.Lines {
			if l := &d.Lines[i]; l.Link == s.recipe && l.HasGrams {
				each = each.Add(l.Grams)
				how = append(how, l.Amount.Text)
			}
		}
		if each.Sign() <= 0 {
			continue
		}
		n := total.Mul(d.Makes.Count).Div(each).Floor()
		f := count("covers", n, "")
		f.Of, f.At, f.From, f.How = s.recipe.Name, d.Name, FromCalculated, strings.Join(how, " + ")+" a cover"
		out = append(out, f)
	}
	return out
}
