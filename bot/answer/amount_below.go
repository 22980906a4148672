package answer

import (
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
)

// nested answers what only a linked recipe holds, from the roll-up.
func (b *Book) nested(a *Answer, q *question.Question, s *sized, it *question.Item) ([]Fact, bool) {
	roll, err := scale.RollUp(scale.Batch{Formula: s.formula, Factor: s.factor})
	if err != nil {
		return nil, false
	}
	leaves := roll.Leaves()
	if out := b.needs(a, s, it, roll, true); len(out) > 0 {
		return out, true
	}
	exact, head := false, false
	for i := range leaves {
		if leaves[i].Link == nil {
			exact = exact || b.leafFits(&leaves[i], it, true)
			head = head || it.Heads(leaves[i].Name)
		}
	}
	if !exact && !head {
		if out := b.needs(a, s, it, roll, false); len(out) > 0 {
			return out, true
		}
	}
	var out []Fact
	for i := range leaves {
		l := &leaves[i]
		if l.Link != nil || !b.leafFits(l, it, exact) || !exact && head && !it.Heads(l.Name) {
			continue
		}
		if l.Err != nil {
			b.sizeError(a, s.recipe, l.Err)
			return nil, true
		}
		var fs []Fact
		for _, c := range l.Counts {
			f := count(l.Name, c.N, plural(c.Word, c.N))
			f.Of, f.From = s.recipe.Name, FromCalculated
			fs = append(fs, f)
		}
		if l.HasMass {
			f := b.mass(a, l.Name, l.Mass)
			f.Of, f.From, f.How = s.recipe.Name, FromCalculated, ways(l)
			if q.HasUnit && q.Unit.Dim == quantity.Mass && q.Unit.Symbol != "g" {
				if v, err := quantity.Grams(l.Mass).In(q.Unit); err == nil {
					m := b.measured(l.Name, v)
					m.Of, m.From = s.recipe.Name, FromCalculated
					fs = append([]Fact{m}, fs...)
				}
			}
			if q.HasUnit && q.Unit.Symbol == "g" {
				fs = append([]Fact{f}, fs...)
			} else {
				if !q.HasUnit {
					fs = append(fs, b.asWritten(f, s.recipe)...)
				}
				fs = append(fs, f)
			}
		}
		if l.Massless {
			a.note("at least", l.Name)
		}
		out = append(out, fs...)
	}
	if len(out) == 0 {
		return nil, false
	}
	a.note("from parts", s.recipe.Name)
	return out, true
}

// needs answers with linked recipes further down that the item names.
func (b *Book) needs(a *Answer, s *sized, it *question.Item, roll *scale.Roll, exact bool) []Fact {
	var out []Fact
	for _, n := range roll.Needs() {
		r := b.recipeOf(n.Formula)
		if r == nil || exact && (it.Part || it.Recipe != r) || !exact && !it.Means(r.Name, nil, r) {
			continue
		}
		if n.Pieces.Sign() > 0 {
			f := count(r.Name, n.Pieces, "")
			f.Of, f.From, f.How = s.recipe.Name, FromCalculated, "through its parts"
			out = append(out, f)
		}
		if n.HasMass {
			f := b.mass(a, r.Name, n.Mass)
			f.Of, f.From, f.How = s.recipe.Name, FromCalculated, "through its parts"
			out = append(out, f)
		}
	}
	if len(out) > 0 {
		a.note("from parts", s.recipe.Name)
	}
	return out
}

// ways names the recipes that a roll-up came through.
func ways(l *scale.Leaf) string {
	var w []string
	for _, c := range l.From {
		if len(c.Way) > 0 {
			s := strings.Join(c.Way, " → ")
			if !slices.Contains(w, s) {
				w = append(w, s)
			}
		}
	}
	if len(w) > 3 {
		w = append(w[:3], "…")
	}
	return strings.Join(w, "; ")
}

// leafFits reports whether a rolled-up ingredient is the item.
func (b *Book) leafFits(l *scale.Leaf, it *question.Item, exact bool) bool {
	item := b.Snap.Larder.Find(l.Name)
	if exact {
		return it.Is(l.Name, item)
	}
	return it.Means(l.Name, item, nil)
}

// leaf finds the rolled-up ingredient that an item means in a recipe.
func (b *Book) leaf(r *kb.Recipe, it *question.Item) *scale.Leaf {
	leaves, err := scale.Leaves(r.Formula, quantity.Int(1))
	if err != nil {
		return nil
	}
	for _, exact := range []bool{true, false} {
		for i := range leaves {
			if b.leafFits(&leaves[i], it, exact) {
				return &leaves[i]
			}
		}
	}
	return nil
}

// alsoBelow is the roll-up of an ingredient that stands on a line and in a linked recipe too.
func (b *Book) alsoBelow(a *Answer, s *sized, it *question.Item, lines []*kb.Line) (Fact, bool) {
	if lines[0].Link != nil || !it.NestedExact(s.recipe) {
		return Fact{}, false
	}
	leaf, err := scale.Of(s.formula, s.factor, ingredientOf(s.recipe, lines[0]))
	if err != nil || !leaf.HasMass || leaf.Err != nil || leaf.Massless {
		return Fact{}, false
	}
	var own quantity.Number
	for _, l := range lines {
		own = own.Add(l.Grams.Mul(s.factor))
	}
	if leaf.Mass.Equal(own) {
		return Fact{}, false
	}
	f := b.mass(a, lines[0].Name, leaf.Mass)
	f.Of, f.From, f.How, f.At = s.recipe.Name, FromCalculated, ways(&leaf), "with its parts"
	a.note("with parts", lines[0].Name)
	return f, true
}

// ingredientOf is the name under which a line is rolled up.
func ingredientOf(r *kb.Recipe, l *kb.Line) string {
	for i := range r.Lines {
		if &r.Lines[i] == l && i < len(r.Formula.Lines) {
			return r.Formula.Lines[i].Ingredient()
		}
	}
	return l.Name
}

// headed are the linked lines whose names end in an ingredient that stands further
// down: the cured trout of the plate beside the trout that was cured.
func (b *Book) headed(a *Answer, q *question.Question, s *sized, it *question.Item) []Fact {
	var out []Fact
	for _, l := range it.HeadedBy(s.recipe) {
		out = append(out, b.lineFacts(a, q, s, []*kb.Line{l})...)
	}
	return out
}
