package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
)

// wholeFault are the words of a fault that a recipe's own "if" tells of, where the
// message says all of them: "fat on top of the jus". One word alone says too little.
func (s *sense) wholeFault(r *kb.Recipe) []string {
	for _, f := range r.If {
		var words []string
		for _, w := range name.Words(f.Fault) {
			if IsFault(w, []string{w}) && !slices.Contains(words, w) {
				words = append(words, w)
			}
		}
		if len(words) < 2 {
			continue
		}
		if !slices.ContainsFunc(words, func(w string) bool {
			return !slices.ContainsFunc(s.l.tokens, func(t token) bool { return IsFault(w, []string{t.fold}) })
		}) {
			return words
		}
	}
	return nil
}

// saidFault reports whether span i is made of words of the fault, but for the small ones.
func (s *sense) saidFault(i int, words []string) bool {
	any := false
	for _, t := range s.l.tokens[s.span(i).from:s.span(i).to] {
		if !IsFault(t.fold, []string{t.fold}) {
			continue
		}
		if !slices.ContainsFunc(words, func(w string) bool { return IsFault(w, []string{t.fold}) }) {
			return false
		}
		any = true
	}
	return any
}

// ownLine reports whether a word stands in the name of a line of the recipe: in
// "lumps of gelatine" the lumps are the fault.
func ownLine(r *kb.Recipe, word string) bool {
	lines, _ := (&Item{Names: []string{word}}).Matches(r)
	return len(lines) > 0
}
