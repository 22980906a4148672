package answer

import (
	"slices"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
)

// within is what one part of a dish takes of an ingredient, not what all of it does:
// "50 plates, salt in the brine".
func (b *Book) within(a *Answer, q *question.Question, s *sized, it *question.Item) []Fact {
	leaves, err := scale.Leaves(s.formula, s.factor)
	if err != nil {
		return nil
	}
	for _, exact := range []bool{true, false} {
		var out []Fact
		for i := range leaves {
			l := &leaves[i]
			if l.Link != nil || l.Err != nil || !b.leafFits(l, it, exact) {
				continue
			}
			out = append(out, b.withinLeaf(a, q, s, it, l)...)
		}
		if len(out) > 0 {
			a.note("from parts", s.recipe.Name)
			return out
		}
	}
	return nil
}

// withinLeaf is the share of a rolled-up ingredient that comes by one part.
func (b *Book) withinLeaf(a *Answer, q *question.Question, s *sized, it *question.Item, l *scale.Leaf) []Fact {
	var mass, pieces quantity.Number
	var by scale.Leaf
	weighed, counted := true, true
	for _, c := range l.From {
		if !slices.Contains(c.Way, it.In.Name) {
			continue
		}
		if c.Merged {
			return nil // its amount is that of all ways
		}
		weighed, counted = weighed && c.HasMass, counted && c.Count.Sign() > 0
		mass, pieces = mass.Add(c.Mass), pieces.Add(c.Count)
		by.From = append(by.From, c)
	}
	if len(by.From) == 0 {
		return nil
	}
	var out []Fact
	if counted && len(l.Counts) == 1 {
		f := count(l.Name, pieces, plural(l.Counts[0].Word, pieces))
		out = append(out, f)
	}
	if weighed {
		f := b.mass(a, l.Name, mass)
		switch {
		case q.HasUnit && q.Unit.Symbol == "g":
			out = append([]Fact{f}, out...)
		case q.HasUnit && q.Unit.Dim == quantity.Mass:
			if v, err := quantity.Grams(mass).In(q.Unit); err == nil {
				out = append([]Fact{b.measured(l.Name, v)}, out...)
			}
			out = append(out, f)
		default:
			out = append(out, b.asWritten(f, s.recipe)...)
			out = append(out, f)
		}
	}
	part := it.In.Name
	if len(by.From) == len(l.From) {
		part = "" // it comes by no other
	}
	for i := range out {
		out[i].Of, out[i].From, out[i].Part, out[i].How = s.recipe.Name, FromCalculated, part, ways(&by)
	}
	return out
}

// stepShare is what the step asked of takes of a line, as the book says: "uses: {sugar: 1/2}".
func (b *Book) stepShare(s *sized, it *question.Item, lines []*kb.Line) []Fact {
	if it.Step == 0 || it.Step > len(s.recipe.Method) || len(lines) != 1 || !lines[0].HasGrams {
		return nil
	}
	st, l := &s.recipe.Method[it.Step-1], lines[0]
	for _, u := range st.Uses {
		if !it.Is(u.Name, b.Snap.Larder.Find(u.Name)) {
			continue
		}
		g := l.Grams.Mul(s.factor)
		how := u.Share.String() + " of " + g.String() + " g"
		switch {
		case u.Mass != nil:
			g = u.Mass.Base().Mul(s.factor)
			how = s.how(u.Mass.String())
		case u.Share.Sign() > 0:
			g = g.Mul(u.Share)
		default:
			return nil
		}
		n := g
		f := Fact{What: l.Name, Value: &n, Unit: "g", Shown: quantity.ShowMass(quantity.Round(g, b.scales)), Of: s.recipe.Name, At: st.Verb, How: how, From: FromCalculated}
		return []Fact{f}
	}
	return nil
}
