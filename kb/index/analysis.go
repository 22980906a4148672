package index

import (
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/blevesearch/bleve/v2/analysis"
	"github.com/blevesearch/bleve/v2/analysis/token/edgengram"
	"github.com/blevesearch/bleve/v2/analysis/tokenizer/unicode"

	"tamis/kb/name"
)

const (
	maxRun    = 3  // words of a name that are one term together
	maxWhole  = 8  // words of a whole name that are one term
	minPrefix = 4  // letters that stand for a longer word
	maxPrefix = 24 // letters of a word that the prefix field keeps
	minFuzzy  = 5  // letters of a word that may be mistyped
	maxFuzzy  = maxPrefix
)

// plainFilter takes case and accents away, singularFilter plurals: together they
// fold words as the names of the book are folded. There are no stop words.
type plainFilter struct{}

func (plainFilter) Filter(text []byte) []byte { return []byte(name.Plain(apart(string(text)))) }

// apart parts words that the tokeniser takes as one, but a cook does not: a:b,
// a_b, a.b, a"b. It keeps the length of the text.
func apart(text string) string {
	if !strings.ContainsAny(text, `:_."`) {
		return text
	}
	b := []byte(text)
	for i, c := range b {
		switch {
		case c == ':', c == '_', c == '"':
			b[i] = ' '
		case c == '.' && (i == 0 || i == len(b)-1 || !isDigit(b[i-1]) || !isDigit(b[i+1])):
			b[i] = ' '
		}
	}
	return string(b)
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

type singularFilter struct{}

func (singularFilter) Filter(in analysis.TokenStream) analysis.TokenStream {
	for _, t := range in {
		w := string(t.Term)
		if s := name.Singular(w); strings.HasPrefix(w, s) {
			t.Term = t.Term[:len(s)]
		} else {
			t.Term = []byte(s)
		}
	}
	return in
}

// nameFilter makes the terms of one name: the words that can stand for it, and
// short runs of words that end in such a word or are an ingredient together.
type nameFilter struct {
	known      func(name string) bool // the larder's
	ingredient bool
	alone      bool // no runs
}

func (f nameFilter) Filter(in analysis.TokenStream) analysis.TokenStream {
	words := make([]string, len(in))
	for i, t := range in {
		words[i] = string(t.Term)
	}
	last := len(words) - 1
	for last > 0 && hasDigit(words[last]) {
		last--
	}
	out := make(analysis.TokenStream, 0, maxRun*len(in))
	for i, w := range words {
		whole := hasDigit(w) || f.stands(w, i == last)
		if whole {
			out = append(out, in[i])
		}
		for n := 2; n <= maxRun && n <= i+1 && !f.alone; n++ {
			if from := i + 1 - n; whole || f.known(strings.Join(words[from:i+1], " ")) {
				out = append(out, run(in[from:i+1]))
			}
		}
	}
	if n := len(in); f.ingredient && !f.alone && n > maxRun && n <= maxWhole {
		out = append(out, run(in))
	}
	return out
}

// stands reports whether a word of a name can stand for the whole. Of an
// ingredient its last word can, and one that is an ingredient by itself: not the
// "brown" of brown sugar.
func (f nameFilter) stands(w string, last bool) bool {
	switch {
	case last:
		return true
	case f.ingredient:
		return f.known(w)
	}
	return utf8.RuneCountInString(w) > 1
}

// wholeFilter makes one term of a name.
type wholeFilter struct{}

func (wholeFilter) Filter(in analysis.TokenStream) analysis.TokenStream {
	switch {
	case len(in) > maxWhole:
		return in[:0]
	case len(in) > 1:
		return analysis.TokenStream{run(in)}
	}
	return in
}

// run makes one term of words that follow one another.
func run(in analysis.TokenStream) *analysis.Token {
	parts := make([]string, len(in))
	for i, t := range in {
		parts[i] = string(t.Term)
	}
	first, last := in[0], in[len(in)-1]
	return &analysis.Token{Term: []byte(strings.Join(parts, " ")), Start: first.Start, End: last.End, Position: first.Position, Type: analysis.Shingle}
}

func hasDigit(w string) bool { return strings.ContainsAny(w, "0123456789") }

// analysers of the fields, for one build. Each may be used by many goroutines.
type analysers struct {
	whole, title, ingredient, titlePrefix, ingredientPrefix, text analysis.Analyzer
}

func newAnalysers(known func(name string) bool) *analysers {
	chain := func(filters ...analysis.TokenFilter) analysis.Analyzer {
		return &analysis.DefaultAnalyzer{
			CharFilters:  []analysis.CharFilter{plainFilter{}},
			Tokenizer:    unicode.NewUnicodeTokenizer(),
			TokenFilters: append([]analysis.TokenFilter{singularFilter{}}, filters...),
		}
	}
	edge := edgengram.NewEdgeNgramFilter(edgengram.FRONT, minPrefix, maxPrefix)
	return &analysers{
		whole:            chain(wholeFilter{}),
		title:            chain(nameFilter{known: known}),
		ingredient:       &remembering{by: chain(nameFilter{known: known, ingredient: true})},
		titlePrefix:      chain(nameFilter{known: known, alone: true}, edge),
		ingredientPrefix: &remembering{by: chain(nameFilter{known: known, ingredient: true, alone: true}, edge)},
		text:             chain(),
	}
}

// remembering keeps what it made of a value: a book has the same ingredients over
// and over. Nobody changes the tokens of a field that has no term vectors.
type remembering struct {
	by   analysis.Analyzer
	seen sync.Map // string to analysis.TokenStream
}

func (r *remembering) Analyze(value []byte) analysis.TokenStream {
	if t, ok := r.seen.Load(string(value)); ok {
		return t.(analysis.TokenStream)
	}
	t := r.by.Analyze(value)
	r.seen.Store(string(value), t)
	return t
}
