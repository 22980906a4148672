package index

import (
	"context"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/blevesearch/bleve/v2/analysis/tokenizer/unicode"
	api "github.com/blevesearch/bleve_index_api"

	"tamis/kb/name"
)

const (
	maxText  = 4 << 10 // bytes of a text that are read
	maxWords = 32      // different words of it
	maxNear  = 6       // terms of one field that a mistyped word may mean
	maxSmall = 4       // letters of a word that may be a small word of the language
)

// word is one word of the text.
type word struct {
	written string
	folded  string
}

// wordsOf splits a text as names are split; each word is taken once.
func wordsOf(text string) []word {
	if len(text) > maxText {
		text = text[:maxText]
	}
	text = apart(strings.ToValidUTF8(text, " "))
	var out []word
	for _, t := range unicode.NewUnicodeTokenizer().Tokenize([]byte(text)) {
		w := word{written: text[t.Start:t.End]}
		w.folded = name.Singular(name.Plain(w.written))
		if w.folded == "" || slices.ContainsFunc(out, func(o word) bool { return o.folded == w.folded }) {
			continue
		}
		if out = append(out, w); len(out) == maxWords {
			break
		}
	}
	return out
}

// joined is the term that the words make as a run.
func joined(words []word) string {
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = w.folded
	}
	return strings.Join(parts, " ")
}

// term is a word or run of words in a field.
type term struct {
	field string
	text  string
	boost float64
}

// part is one or more words of the text that mean one thing, with all terms of
// the index that it may be.
type part struct {
	words []word
	names []term // in names: any of them makes a recipe a hit
	more  []term // elsewhere: they only raise a hit
	// ingredient: it is written as an ingredient's name is.
	ingredient bool
	// guessed: no name holds the words as they are written.
	guessed bool
	// rare: few recipes have it, though in no name.
	rare bool
}

// boosts of fields: a title says more than an alias, that more than an ingredient.
var boosts = []struct {
	field string
	boost float64
}{{fieldTitle, 8}, {fieldAlias, 5}, {fieldIngredient, 3}}

const (
	boostText   = 1
	boostWhole  = 20 // a word
	boostPrefix = 2
	nearShare   = 0.5 // of the boost that a mistyped word keeps
	runShare    = 0.5 // of the boost that words get for standing together
)

// lookup asks the dictionaries of one reader.
type lookup struct {
	ctx     context.Context
	reader  api.IndexReader
	recipes int
	known   func(word string) bool   // spelt right
	item    func(name string) string // the larder's own name for it, folded, or ""
	fields  map[string]api.FieldDictContains
	err     error
}

// count returns the number of recipes that have the term in the field.
func (l *lookup) count(field, text string) uint64 {
	if l.err != nil {
		return 0
	}
	r, err := l.reader.TermFieldReader(l.ctx, []byte(text), field, false, false, false)
	if err != nil {
		l.err = err
		return 0
	}
	n := r.Count()
	l.err = r.Close()
	return n
}

// has reports whether any recipe has the term in the field.
func (l *lookup) has(field, text string) bool {
	if l.err != nil {
		return false
	}
	d, ok := l.fields[field]
	if !ok {
		r, can := l.reader.(api.IndexReaderContains)
		if !can {
			return l.count(field, text) > 0
		}
		if d, l.err = r.FieldDictContains(field); l.err != nil {
			return false
		}
		if l.fields == nil {
			l.fields = map[string]api.FieldDictContains{}
		}
		l.fields[field] = d
	}
	var found bool
	found, l.err = d.Contains([]byte(text))
	return found
}

// names returns the terms that a word or run is in the names of the book.
func (l *lookup) names(text string) []term {
	var out []term
	for _, f := range boosts {
		if l.has(f.field, text) {
			out = append(out, term{f.field, text, f.boost})
		}
	}
	return out
}

// ingredient returns the terms of an ingredient of the book, by its name there
// or by any name the larder has for it.
func (l *lookup) ingredient(text string) []term {
	var out []term
	if l.has(fieldIngredient, text) {
		out = append(out, term{fieldIngredient, text, 3})
	}
	if it := l.item(text); it != "" && it != text && l.has(fieldIngredient, it) {
		out = append(out, term{fieldIngredient, it, 3})
	}
	return out
}

// near returns the terms that a mistyped word may mean: one letter more, less,
// other, or two swapped, the first letter right.
func (l *lookup) near(w string) []term {
	first, size := utf8.DecodeRuneInString(w)
	reader, ok := l.reader.(api.IndexReaderFuzzy)
	if l.err != nil || !ok || first == utf8.RuneError {
		return nil
	}
	// the field of prefixes has the words of all names, so one search is enough
	d, err := reader.FieldDictFuzzy(fieldPrefix, w, 1, w[:size])
	if err != nil {
		l.err = err
		return nil
	}
	defer d.Close()
	var out []term
	for range maxNear {
		e, err := d.Next()
		if err != nil || e == nil {
			l.err = err
			break
		}
		for _, t := range l.names(e.Term) {
			t.boost *= nearShare
			out = append(out, t)
		}
	}
	return out
}

// two returns the terms of two words that are written as one.
func (l *lookup) two(w string) []term {
	for i := range w {
		if i == 0 {
			continue
		}
		if found := l.names(w[:i] + " " + w[i:]); len(found) > 0 {
			return found
		}
	}
	return nil
}

// parts reads the words of a text, the longest name of an ingredient first.
func (l *lookup) parts(words []word) []part {
	var out []part
	for i := 0; i < len(words) && l.err == nil; {
		p := l.run(words[i:])
		if p == nil {
			p = l.single(words[i:])
		}
		out = append(out, *p)
		i += len(p.words)
	}
	return out
}

// runs returns what the words are together: a recipe of just that name comes
// first, one that has them side by side before one that has them apart.
func (l *lookup) runs(words []word) []part {
	var out []part
	for i := range words {
		for n := 1; n <= maxWhole && i+n <= len(words); n++ {
			text := joined(words[i : i+n])
			var names []term
			if l.has(fieldWhole, text) {
				names = append(names, term{fieldWhole, text, float64(boostWhole * n)})
			}
			for _, f := range boosts[:2] {
				if n > 1 && n <= maxRun && l.has(f.field, text) {
					names = append(names, term{f.field, text, f.boost * runShare})
				}
			}
			if len(names) > 0 {
				out = append(out, part{names: names})
			}
		}
	}
	return out
}

// run reads several words that are one ingredient, or nil.
func (l *lookup) run(words []word) *part {
	for n := min(maxWhole, len(words)); n > 1; n-- {
		text := joined(words[:n])
		found := l.ingredient(text)
		if len(found) == 0 || l.small(words[0].folded) {
			continue
		}
		p := &part{words: words[:n], ingredient: true}
		for _, f := range boosts[:2] {
			if l.has(f.field, text) {
				p.names = append(p.names, term{f.field, text, f.boost})
			}
		}
		p.names = append(p.names, found...)
		return p
	}
	return nil
}

// single reads the first word, with the second if one name writes them together.
func (l *lookup) single(words []word) *part {
	w := words[0].folded
	p := &part{words: words[:1]}
	if n := l.count(fieldText, w); n > 0 {
		p.more = append(p.more, term{fieldText, w, boostText})
		p.rare = n <= max(1, uint64(l.recipes)/10) && utf8.RuneCountInString(w) > maxSmall
	}
	names := l.names(w)
	if len(words) > 1 && (len(names) == 0 || len(l.names(words[1].folded)) == 0) {
		if both := l.names(w + words[1].folded); len(both) > 0 {
			return &part{words: words[:2], names: both, ingredient: hasField(both, fieldIngredient)}
		}
	}
	for _, t := range l.ingredient(w) {
		p.ingredient = true
		if !slices.Contains(names, t) {
			names = append(names, t)
		}
	}
	switch {
	case len(names) > 0 && (hasDigit(w) || l.small(w)):
		p.more, p.ingredient = append(p.more, names...), false
	case len(names) > 0:
		p.names = names
	case len(p.more) == 0 && !hasDigit(w) && !l.known(w):
		l.guess(p, w)
	}
	return p
}

// guess reads a word that nobody knows: mistyped, or the beginning of a word.
func (l *lookup) guess(p *part, w string) {
	n := utf8.RuneCountInString(w)
	if n >= minFuzzy && n <= maxFuzzy {
		if p.names = l.two(w); len(p.names) > 0 {
			p.ingredient = hasField(p.names, fieldIngredient)
			if whole := p.names[0].text; l.has(fieldWhole, whole) {
				p.more = append(p.more, term{fieldWhole, whole, boostWhole})
			}
			return
		}
		p.names = l.near(w)
	}
	p.guessed = true
	if n >= minPrefix && n <= maxPrefix && l.has(fieldPrefix, w) {
		p.names = append(p.names, term{fieldPrefix, w, boostPrefix})
	}
}

// small reports whether a short word is one of the language rather than of the
// kitchen: no ingredient, and in the words of more recipes than in their names.
func (l *lookup) small(w string) bool {
	if utf8.RuneCountInString(w) > maxSmall || l.item(w) != "" {
		return false
	}
	var most uint64
	for _, f := range boosts {
		most = max(most, l.count(f.field, w))
	}
	return l.count(fieldText, w) > most
}

func hasField(ts []term, field string) bool {
	return slices.ContainsFunc(ts, func(t term) bool { return t.field == field })
}
