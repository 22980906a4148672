package question

import (
	"slices"
	"strings"
)

// NamesIn returns the names of recipes and foods that a text holds, folded: those
// written out, the words of the recipes' own names, and the foods that the book
// lacks. The longest at each place.
func (x *Lexicon) NamesIn(text string) []string {
	tokens := tokenize(text)
	var out []string
	for i := 0; i < len(tokens); {
		end := 0
		at, ok := int32(0), true
		for j := i; j < len(tokens) && ok && (j == i || !tokens[j].breaks); j++ {
			var next int32
			if next, ok = x.next(at, tokens[j].fold); !ok {
				next, ok = x.next(at, tokens[j].plain)
			}
			if !ok {
				break
			}
			at = next
			if len(x.nodes[at].entries) > 0 {
				end = j + 1
			}
		}
		t := &tokens[i]
		switch {
		case end > 0:
		case len(t.fold) > 3 && len(x.byWord[t.fold]) > 0, isFood(t):
			end = i + 1
		default:
			i++
			continue
		}
		words := make([]string, 0, end-i)
		for _, t := range tokens[i:end] {
			words = append(words, t.plain)
		}
		out = append(out, strings.Join(words, " "))
		i = end
	}
	return out
}

// intersect keeps what stands in both of two sorted lists.
func intersect(a, b []int32) []int32 {
	var out []int32
	for i, j := 0, 0; i < len(a) && j < len(b); {
		switch {
		case a[i] == b[j]:
			out = append(out, a[i])
			i++
			j++
		case a[i] < b[j]:
			i++
		default:
			j++
		}
	}
	return out
}

// ownWord reports whether a word stands in the names of one recipe only and is no
// word of the language: nothing else is called so, "fior" of "fior di latte".
func (l *lattice) ownWord(i int, set []int32) bool {
	t := &l.tokens[i]
	if t.number || isCue(t) || isEnglish(t) || len(set) == 0 {
		return false
	}
	of := l.x.entries[set[0]].Recipe
	return of != nil && !slices.ContainsFunc(set, func(id int32) bool { return l.x.entries[id].Recipe != of })
}
