package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
)

// costBuiltIn is added to a food of the built-in larder that a recipe of the house
// is more likely meant by: "pickled onions" of a pickled red onion.
const costBuiltIn = 12

// breads are what a bread is made in.
var breads = []string{"loaf", "bun", "roll", "baguette", "bread"}

// overBuiltIn makes foods that no line of the book has dearer where their words are
// those of one recipe of the house, and reads a recipe's name with what it makes
// behind it, "sourdough loaf", as that recipe.
func (l *lattice) overBuiltIn() {
	for i := range l.starts {
		for k := range l.starts[i] {
			sp := l.starts[i][k]
			if !l.builtIn(&sp) {
				continue
			}
			switch {
			case l.partOfOne(&sp):
				l.starts[i][k].cost += costBuiltIn
			default:
				own := l.namesBefore(&sp)
				if own == nil {
					continue
				}
				l.starts[i][k].cost += costBuiltIn
				l.add(span{kind: spanName, from: sp.from, to: sp.to, cost: costSpan + 1, names: own})
			}
		}
	}
}

// builtIn reports whether a span of several words is a food of the built-in larder
// that no line of the book has.
func (l *lattice) builtIn(sp *span) bool {
	return sp.kind == spanName && sp.to-sp.from > 1 && len(sp.names) > 0 && !slices.ContainsFunc(sp.names, func(h hit) bool {
		e := &l.x.entries[h.id]
		return h.part || e.Kind != kb.IngredientName && e.Kind != kb.IngredientAlias || e.InBook || e.Item == nil || e.Item.House
	})
}

// partOfOne reports whether the words of a span are, in their order, of the names of
// one recipe, to the end of one.
func (l *lattice) partOfOne(sp *span) bool {
	var of *kb.Recipe
	for _, t := range l.starts[sp.from] {
		if t.kind != spanName || t.to != sp.to {
			continue
		}
		for _, h := range t.names {
			e := &l.x.entries[h.id]
			if !h.part || e.Recipe == nil || e.words[len(e.words)-1] != l.tokens[sp.to-1].fold || !l.inOrder(sp.from, sp.to, e.words) {
				continue
			}
			if of != nil && of != e.Recipe {
				return false
			}
			of = e.Recipe
		}
	}
	return of != nil
}

// namesBefore are the names of a recipe that a span writes out but for its last word.
func (l *lattice) namesBefore(sp *span) []hit {
	for _, t := range l.starts[sp.from] {
		if t.kind != spanName || t.to != sp.to-1 {
			continue
		}
		var own []hit
		for _, h := range t.names {
			if e := &l.x.entries[h.id]; !h.part && (e.Kind == kb.RecipeName || e.Kind == kb.RecipeAlias) && isPieceOf(e.Recipe, l.tokens[sp.to-1].fold) {
				own = append(own, hit{h.id, costSpan + 1, false})
			}
		}
		if own != nil {
			return own
		}
	}
	return nil
}

// isPieceOf reports whether a word is what a recipe is made in, or bread of what is
// made in loaves.
func isPieceOf(r *kb.Recipe, word string) bool {
	w := name.Singular(pieceWord(r))
	return w != "" && (w == name.Singular(word) || word == "bread" && slices.Contains(breads, w))
}
