package allergen

import (
	_ "embed"
	"encoding/csv"
	"slices"
	"strings"
	"sync"
)

// Word is a word that people use for an allergen.
type Word struct {
	Text  string // in lower case, with its accents
	Lang  string // en, fr, es, it, de, pt
	Means []Allergen
	// Part: it names a part of the class (lactose). Wider: people may mean more by it than the list.
	Part, Wider bool
}

// Lookalike is an ingredient whose name sounds like an allergen that it is not.
type Lookalike struct {
	Text, SoundsLike, Why string
}

//go:embed words.csv
var wordsCSV string

//go:embed lookalikes.csv
var lookalikesCSV string

func rows(s string) [][]string {
	r := csv.NewReader(strings.NewReader(s))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		panic(err) // embedded: a test reads it
	}
	return all[1:]
}

var words = sync.OnceValue(func() []Word {
	var ws []Word
	for _, r := range rows(wordsCSV) {
		w := Word{Lang: r[0], Text: r[1], Part: r[3] == "part", Wider: r[3] == "wider"}
		for _, a := range strings.Split(r[2], ";") {
			w.Means = append(w.Means, Parse(a))
		}
		ws = append(ws, w)
	}
	return ws
})

var lookalikes = sync.OnceValue(func() []Lookalike {
	var ls []Lookalike
	for _, r := range rows(lookalikesCSV) {
		ls = append(ls, Lookalike{r[0], r[1], r[2]})
	}
	return ls
})

// Words returns the words for allergens in English, French, Spanish, Italian, German and
// Portuguese. One word may stand under several languages.
func Words() []Word { return slices.Clone(words()) }

// Lookalikes returns names that sound like an allergen and are none of that class, longest first, so that the first
// one found in a text is the right one.
func Lookalikes() []Lookalike {
	ls := slices.Clone(lookalikes())
	slices.SortStableFunc(ls, func(a, b Lookalike) int { return len(b.Text) - len(a.Text) })
	return ls
}

// Meaning returns the entry of a word in any of the languages, English first. The word is
// compared in lower case; folding accents and plurals is the caller's matter.
func Meaning(word string) (Word, bool) {
	word = strings.ToLower(strings.TrimSpace(word))
	for _, w := range words() {
		if w.Text == word {
			return w, true
		}
	}
	return Word{}, false
}

// Parse reads an allergen as the book writes it: "nuts (walnut)". Text without brackets is a bare name.
func Parse(s string) Allergen {
	s = strings.TrimSpace(s)
	if name, kind, ok := strings.Cut(s, "("); ok && strings.HasSuffix(kind, ")") {
		return Allergen{strings.TrimSpace(name), strings.TrimSpace(strings.TrimSuffix(kind, ")"))}
	}
	return Allergen{Name: s}
}
