package kb

import (
	"cmp"

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
	if w.key == "" {
		w.key = ingredientKey(w)
	}
	m := b.spellings[w.key]
	if m == nil {
		m = map[string]int{}
		b.spellings[w.key] = m
	}
	m[text]++
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
	most := 0
	for text, n := range b.spellings[w.key] {
		if n > most || n == most && cmp.Or(cmp.Compare(len(text), len(best)), cmp.Compare(text, best)) < 0 {
			best, most = text, n
		}
	}
	b.spelt[w.key] = best
	return best
}
