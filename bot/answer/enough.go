package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
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
		each, how := b.perCover(d, s.recipe)
		if each.Sign() <= 0 {
			continue
		}
		f := count("covers", total.Div(each).Floor(), "")
		f.Of, f.At, f.From, f.How = s.recipe.Name, d.Name, FromCalculated, how+" a cover"
		out = append(out, f)
	}
	return out
}

// perCover is how much of a recipe a cover of a dish takes, in g; 0 if none.
func (b *Book) perCover(dish, r *kb.Recipe) (quantity.Number, string) {
	var each quantity.Number
	if dish == r || !dish.Makes.IsCovers() || dish.Makes.Count.IsZero() {
		return each, ""
	}
	var how []string
	for i := range dish.Lines {
		if l := &dish.Lines[i]; l.Link == r && l.HasGrams {
			each = each.Add(l.Grams)
			how = append(how, l.Amount.Text)
		}
	}
	return each.Div(dish.Makes.Count), strings.Join(how, " + ")
}

// askPlate asks back where so many covers take another number of pieces than
// one each, by the one dish that has them.
func (b *Book) askPlate(a *Answer, r *kb.Recipe, covers quantity.Number) bool {
	piece, err := r.Formula.PieceMass()
	if err != nil || piece.Sign() <= 0 || a.Question == nil {
		return false
	}
	var dish *kb.Recipe
	var each quantity.Number
	for _, d := range b.Snap.Recipes {
		n, _ := b.perCover(d, r)
		switch {
		case n.Sign() <= 0:
		case dish != nil:
			return false
		default:
			dish, each = d, n.Div(piece)
		}
	}
	if dish == nil || each.Equal(quantity.Int(1)) || !each.IsInt() {
		return false
	}
	choice := func(label string, n quantity.Number) question.Choice {
		q := *a.Question
		q.Targets = slices.Clone(q.Targets)
		for i := range q.Targets {
			if q.Targets[i].Recipe == r {
				q.Targets[i].Scale = question.Scale{Kind: question.ScalePieces, N: n, Text: covers.String()}
			}
		}
		return question.Choice{Label: label, Question: &q}
	}
	a.asks("ask plate", []question.Choice{
		choice(sizeText(covers, "cover")+" of "+dish.Name, covers.Mul(each)),
		choice(sizeText(covers, r.Formula.Word)+" of "+r.Name, covers),
	})
	return true
}
