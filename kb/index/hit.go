package index

import (
	"slices"
	"strings"

	"tamis/kb"
)

// Hit is a recipe that holds words of the text.
type Hit struct {
	Recipe *kb.Recipe
	Score  float64 // compares hits of one search, nothing else
	// Matched and Missing are the words of the text that the recipe holds and
	// that it does not, as they were written; words that are one name are one entry.
	Matched []string
	Missing []string
	// Corrected are those matched that were read as another word.
	Corrected []Correction
}

// Correction is a word that was read as another: mistyped, or cut short.
type Correction struct{ From, To string }

// held are the terms of one recipe, field by field.
type held struct {
	terms map[string]map[string]bool
	words []string // of names, in order: a prefix may begin them
}

func (a *analysers) held(r *kb.Recipe, text bool) held {
	h := held{terms: map[string]map[string]bool{}}
	for _, v := range a.values(entryOf(r)) {
		if v.field == fieldWhole || v.field == fieldPrefix || v.field == fieldText && !text {
			continue
		}
		if h.terms[v.field] == nil {
			h.terms[v.field] = map[string]bool{}
		}
		for _, t := range v.by.Analyze([]byte(v.text)) {
			w := string(t.Term)
			h.terms[v.field][w] = true
			if v.field != fieldText && !strings.Contains(w, " ") {
				h.words = append(h.words, w)
			}
		}
	}
	slices.Sort(h.words)
	return h
}

// find returns the word of the recipe that the part is, if it is there.
func (h held) find(p part) (string, bool) {
	for _, t := range allTerms(p) {
		if t.field == fieldPrefix {
			i := slices.IndexFunc(h.words, func(w string) bool { return strings.HasPrefix(w, t.text) })
			if i >= 0 {
				return h.words[i], true
			}
		} else if h.terms[t.field][t.text] {
			return t.text, true
		}
	}
	return "", false
}

// explain says which parts of the text the recipe holds.
func (a *analysers) explain(r *kb.Recipe, parts []part) Hit {
	hit := Hit{Recipe: r}
	inText := func(p part) bool { return hasField(p.more, fieldText) }
	has := a.held(r, slices.ContainsFunc(parts, inText))
	for _, p := range parts {
		written := make([]string, len(p.words))
		for i, w := range p.words {
			written[i] = w.written
		}
		said := strings.Join(written, " ")
		to, ok := has.find(p)
		if !ok {
			hit.Missing = append(hit.Missing, said)
			continue
		}
		hit.Matched = append(hit.Matched, said)
		if p.guessed {
			hit.Corrected = append(hit.Corrected, Correction{From: said, To: to})
		}
	}
	return hit
}
