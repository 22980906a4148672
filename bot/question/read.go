package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// most coverings that are looked at, and most readings that are returned.
const (
	mostPaths    = 24
	mostReadings = 32
)

// Read returns the readings of a message, cheapest first. None means that
// nothing asked for was recognised.
func Read(x *Lexicon, text string, ctx *Context, m quantity.Measure) []Question {
	l := newLattice(x, text, m)
	if len(l.tokens) == 0 {
		return nil
	}
	var out []Question
	for _, p := range l.paths(mostPaths) {
		s := newSense(l, p, ctx)
		for _, f := range frames {
			for _, r := range f(s) {
				out = append(out, s.finish(r))
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Question) int { return a.Cost - b.Cost })
	return out[:min(mostReadings, len(out))]
}

// OutRecipe returns the name of a faulty recipe that the message writes out, "" if none.
func OutRecipe(x *Lexicon, text string) string {
	l := newLattice(x, text, quantity.Metric)
	for _, p := range l.paths(4) {
		if n := newSense(l, p, nil).outRecipe(); n != "" {
			return n
		}
	}
	return ""
}

// Leftover returns the words of a message that say what it is about and that
// no word file knows: what a search may look for.
func Leftover(x *Lexicon, text string) string {
	l := newLattice(x, text, quantity.Metric)
	var words []string
	for _, p := range l.paths(1) {
		for i := range p.spans {
			switch sp := &p.spans[i]; sp.kind {
			case spanUnused, spanName, spanAllergen:
				if !l.tokens[sp.from].number {
					words = append(words, l.text[l.tokens[sp.from].start:l.tokens[sp.to-1].end])
				}
			}
		}
	}
	return strings.Join(words, " ")
}
