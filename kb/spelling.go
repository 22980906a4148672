package kb

import (
	"cmp"
	"maps"

	"tamis/kb/name"
)

// An ingredient may stand under several names: a line says "cream", another
// "cream 35 %". Sums show one of them: the house's own name for it, else the
// spelling that most lines have.

// ingredientKey is the same for all names of one ingredient.
func ingredientKey(w *word) string {
	if w.item != nil {
		return name.Fold(w.item.Name)
	}
	return w.fold
}

// spell counts one line's spelling.
func (b *builder) spell(text string, w *word) {
	k := b.key(w)
	m := b.spellings[k]
	switch {
	case m == nil:
		m = map[string]int{}
		b.spellings[k] = m
	case b.owned != nil && !b.owned[k]:
		m = maps.Clone(m)
		b.spellings[k] = m
	}
	if b.owned != nil {
		b.owned[k] = true
	}
	m[text]++
}

func (b *builder) key(w *word) string {
	if w.key == "" {
		w.key = ingredientKey(w)
	}
	return w.key
}

// spelling returns the one name of a line's ingredient.
func (b *builder) spelling(l *Line) string {
	if l.Item != nil && l.Item.House {
		return l.Item.Name
	}
	w := b.word(l.Name)
	best, ok := b.spelt[w.key]
	if ok {
		return best
	}
	best = mostly(b.spellings[w.key])
	b.spelt[w.key] = best
	return best
}

// mostly returns the spelling that most lines have; of equal ones the shortest.
func mostly(spellings map[string]int) (best string) {
	most := 0
	for text, n := range spellings {
		if n > most || n == most && cmp.Or(cmp.Compare(len(text), len(best)), cmp.Compare(text, best)) < 0 {
			best, most = text, n
		}
	}
	return best
}
