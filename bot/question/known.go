package question

import (
	_ "embed"
	"strings"
	"sync"

	"tamis/kb/name"
)

// English words, sorted, one a line (SCOWL, size small, American and British
// spellings; notice in words/english.LICENSE). A word in it is no typo.
//
//go:embed words/english.txt
var englishWords string

// Words of food and trade in several languages, sorted and folded, one a line.
// A word in it is never taken for another, and one that the book lacks is never passed over.
//
//go:embed words/food.txt
var foodWords string

// listed reports whether w is a line of a sorted list.
func listed(list, w string) bool {
	if w == "" || strings.IndexByte(w, '\n') >= 0 {
		return false
	}
	lo, hi := 0, len(list)
	for lo < hi {
		mid := lo + (hi-lo)/2
		start := strings.LastIndexByte(list[:mid], '\n') + 1
		end := strings.IndexByte(list[start:], '\n')
		if end < 0 {
			end = len(list)
		} else {
			end += start
		}
		switch line := list[start:end]; {
		case line == w:
			return true
		case line < w:
			lo = end + 1
		default:
			hi = start
		}
	}
	return false
}

func isEnglish(t *token) bool { return listed(englishWords, t.plain) || listed(englishWords, t.fold) }

func isFood(t *token) bool { return listed(foodWords, t.plain) || listed(foodWords, t.fold) }

// shortFor is what cooks write short, by the word (words/short.txt).
var shortFor = sync.OnceValue(func() map[string][]string {
	data, err := wordFiles.ReadFile("words/short.txt")
	if err != nil {
		panic(err) // embedded
	}
	m := map[string][]string{}
	for _, line := range strings.Split(string(data), "\n") {
		if short, long, ok := strings.Cut(line, ": "); ok && !strings.HasPrefix(line, "#") {
			for w := range strings.SplitSeq(long, ";") {
				m[name.Singular(short)] = append(m[name.Singular(short)], name.Singular(strings.TrimSpace(w)))
			}
		}
	}
	return m
})
