package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// lineMatch is how well an item fits a recipe.
type lineMatch uint8

const (
	noMatch lineMatch = iota
	nestedMatch
	partMatch
	exactMatch
)

// Matches returns the lines of r that it means: those of that name or synonym,
// else those with its words in their name.
func (it *Item) Matches(r *kb.Recipe) (lines []*kb.Line, exact bool) {
	var part []*kb.Line
	for i := range r.Lines {
		l := &r.Lines[i]
		switch it.fits(l.Fold, l.FoldAs, l.Item, l.Link) {
		case exactMatch:
			lines = append(lines, l)
		case partMatch:
			part = append(part, l)
		default:
			if it.Class != "" && l.Item != nil && slices.ContainsFunc(l.Item.Contains, func(a recipe.Allergen) bool { return a.Name == it.Class }) {
				part = append(part, l)
				break
			}
			if l.Amount.Piece != "" && l.Link == nil && slices.Contains(it.Names, name.Fold(l.Amount.Piece)) {
				part = append(part, l)
			}
		}
	}
	if len(lines) > 0 {
		return lines, true
	}
	return part, false
}

func (it *Item) fits(line, as string, item *larder.Item, link *kb.Recipe) lineMatch {
	if item != nil && item == it.Larder {
		return exactMatch
	}
	if link != nil && link == it.Recipe && !it.Part {
		return exactMatch
	}
	best := noMatch
	for _, f := range [2]string{line, as} {
		if f == "" {
			continue
		}
		for _, want := range it.Names {
			if f == want {
				return exactMatch
			}
			if best == noMatch && containsWords(f, want) && !(it.InBook && item != nil && item != it.Larder && !isHead(f, want)) {
				best = partMatch
			}
		}
	}
	if best == noMatch && link != nil {
		for _, a := range link.Also {
			f := name.Fold(a)
			if slices.Contains(it.Names, f) {
				return exactMatch
			}
			if slices.ContainsFunc(it.Names, func(want string) bool { return containsWords(f, want) }) {
				best = partMatch // "helado" of "helado ahumado"
			}
		}
	}
	return best
}

// hasWord reports whether w is one of the words of s.
func hasWord(s, w string) bool {
	for {
		i := strings.Index(s, w)
		if i < 0 || w == "" {
			return false
		}
		end := i + len(w)
		if (i == 0 || s[i-1] == ' ') && (end == len(s) || s[end] == ' ') {
			return true
		}
		s = s[end:]
	}
}

// isHead reports whether want ends have's name: "flour" of "rye flour", "cream"
// of "cream 35 %", but not "egg" of "egg yolk".
func isHead(have, want string) bool {
	have = strings.TrimRight(have, "0123456789.,% ")
	return have == want || strings.HasSuffix(have, " "+want)
}

// containsWords reports whether all words of want stand in have.
func containsWords(have, want string) bool {
	for w := range strings.SplitSeq(want, " ") {
		if w == "%" {
			continue
		}
		if !hasWord(have, w) {
			return false
		}
	}
	return want != ""
}

// Lines returns the lines of r that answer for the item: like Matches, but none
// where only part of a line's name fits and a recipe below holds the very ingredient.
func (it *Item) Lines(r *kb.Recipe) (lines []*kb.Line, exact bool) {
	lines, exact = it.Matches(r)
	if !exact && len(lines) > 0 && (it.NestedExact(r) || it.headBelow(r, lines)) {
		return nil, false
	}
	return lines, exact
}

// Heads reports whether a name ends in the item's: bone of "veal bone", not of "bone stock".
func (it *Item) Heads(have string) bool {
	f := name.Fold(have)
	return slices.ContainsFunc(it.Names, func(want string) bool { return isHead(f, want) })
}

// HeadedBy returns the linked lines of r whose names end in the item's.
func (it *Item) HeadedBy(r *kb.Recipe) []*kb.Line {
	var out []*kb.Line
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Link != nil && it.Heads(l.Name) {
			out = append(out, l)
		}
	}
	return out
}

// headBelow reports whether none of r's lines that hold the item's words ends in
// them, where one further down does: "bones" are what the bone stock is made from.
func (it *Item) headBelow(r *kb.Recipe, lines []*kb.Line) bool {
	if slices.ContainsFunc(lines, func(l *kb.Line) bool { return l.Link == nil || it.Heads(l.Name) }) {
		return false
	}
	return it.below(r, func(k *kb.Recipe) bool {
		return slices.ContainsFunc(k.Lines, func(l kb.Line) bool { return l.Link == nil && it.Heads(l.Name) })
	})
}

// NestedExact reports whether a recipe below r holds the very ingredient.
func (it *Item) NestedExact(r *kb.Recipe) bool {
	return it.below(r, func(k *kb.Recipe) bool {
		_, exact := it.Matches(k)
		return exact
	})
}

// Nested reports whether a recipe below r holds the item.
func (it *Item) Nested(r *kb.Recipe) bool {
	return it.below(r, func(k *kb.Recipe) bool {
		lines, _ := it.Matches(k)
		return len(lines) > 0
	})
}

func (it *Item) below(r *kb.Recipe, holds func(*kb.Recipe) bool) bool {
	seen := map[*kb.Recipe]bool{}
	var walk func(r *kb.Recipe, top bool) bool
	walk = func(r *kb.Recipe, top bool) bool {
		if seen[r] {
			return false
		}
		seen[r] = true
		if !top && holds(r) {
			return true
		}
		for i := range r.Lines {
			if k := r.Lines[i].Link; k != nil && walk(k, false) {
				return true
			}
		}
		return false
	}
	return walk(r, true)
}

// match says how an item fits a recipe and what that costs.
func (it *Item) match(r *kb.Recipe) (lineMatch, int) {
	if it.Foreign {
		return noMatch, costLostItem
	}
	if r == nil { // nothing to compare with yet
		return exactMatch, 0
	}
	lines, exact := it.Matches(r)
	switch {
	case exact:
		return exactMatch, 0
	case len(lines) > 0 && (it.NestedExact(r) || it.headBelow(r, lines)):
		return nestedMatch, costItemNested
	case len(lines) > 0:
		return partMatch, costItemPart
	case it.Nested(r):
		return nestedMatch, costItemNested
	}
	return noMatch, costLostItem
}

// linesWith is how many recipes have a line of that very item; it counts no further
// than to one over most.
func (x *Lexicon) linesWith(it *Item, most int) int {
	n := 0
	for _, r := range x.withAll([]Item{*it}) {
		if _, exact := it.Matches(r); exact {
			if n++; n > most {
				break
			}
		}
	}
	return n
}

// Is reports whether a name, or the larder's item of that name, is what the cook named in full.
func (it *Item) Is(lineName string, item *larder.Item) bool {
	return it.fits(name.Fold(lineName), "", item, nil) == exactMatch
}

// Means reports whether a name holds the cook's words, or is what was named.
func (it *Item) Means(lineName string, item *larder.Item, link *kb.Recipe) bool {
	return it.fits(name.Fold(lineName), "", item, link) != noMatch
}

// Allergen returns the allergen that the cook's word is too, if it is one.
func (it *Item) Allergen() (recipe.Allergen, bool) {
	for _, n := range it.Names {
		if a, ok := allergenTable()[n]; ok {
			return a, true
		}
	}
	a, ok := allergenTable()[name.Fold(it.Text)]
	return a, ok
}

// isName reports whether token i by itself is a name of the book or the larder.
func (l *lattice) isName(i int) bool {
	for _, s := range l.starts[i] {
		if s.kind == spanName && s.to == i+1 && s.note == "" {
			return true
		}
	}
	return false
}
