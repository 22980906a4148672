package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb/name"
)

// packWords are what a thing is bought in.
var packWords = []string{"pack", "packet", "bag", "carton", "tub", "box", "tin", "bottle", "sack", "bucket", "case"}

// packs is in how many packs an amount is bought, where they are asked for and the
// larder gives their size: whole ones, a fact for each size. None of what the larder
// gives no pack of, or whose pack is measured in another way than can be told.
func (b *Book) packs(q *question.Question, fs []Fact) []Fact {
	if !slices.ContainsFunc(question.Words(q.Say), func(w string) bool { return slices.Contains(packWords, name.Singular(w)) }) {
		return nil
	}
	var out []Fact
	for _, f := range fs {
		item := b.Snap.Larder.Find(f.What)
		if item == nil || f.Value == nil || f.Unit != "g" {
			continue
		}
		for _, p := range item.Packs {
			size := p.Base()
			switch {
			case p.Unit.Dim == quantity.Mass:
			case p.Unit.Dim == quantity.Volume && item.Density != nil:
				size = size.Mul(*item.Density)
			default:
				continue
			}
			if size.Sign() <= 0 {
				continue
			}
			c := count("packs", f.Value.Div(size).Ceil(), "")
			c.Of, c.At, c.From, c.How = f.What, p.String(), FromCalculated, f.Shown+" ÷ "+p.String()
			out = append(out, c)
		}
		break
	}
	return out
}
