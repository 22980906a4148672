package question

import (
	"strings"
	"sync"
)

var safetyWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/safety.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	return t
})

// safetyTopics are the hazards that have a caution of their own; plain ones are
// asked about with any word of leave, the others only where safety is meant: a
// meringue is mostly just baked.
var safetyTopics = []struct {
	name  string
	plain bool
}{{"raw egg", true}, {"raw flour", true}, {"infused oil", true}, {"vacuum", true}, {"sous vide", true}, {"sabayon", false}}

// frameSafety: whether raw egg, an oil with garlic, a vacuum bag… is all right.
func frameSafety(s *sense) []reading {
	if s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueDiet) || len(s.l.tokens) > 24 {
		return nil
	}
	safe, may := s.safetyPhrase("ask"), s.safetyPhrase("ask may")
	if !safe && !may {
		return nil
	}
	var found []string
	for _, t := range safetyTopics {
		if s.safetyPhrase(t.name) && (safe || t.plain) {
			found = append(found, t.name)
		}
	}
	if len(found) == 0 {
		return nil
	}
	for _, i := range s.names { // the book's own recipe of that name is asked about
		if o := s.recipesOf(i, 1); !safe && len(o) > 0 && !o[0].part && s.any(cueKeeps, cueHowlong) {
			return nil
		}
	}
	r := s.reading(WantCaution, "safety")
	for i := range r.used {
		r.used[i] = true
	}
	r.extra = -s.p.cost - 4
	r.q.Foods = found
	for _, i := range s.names {
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part && len(r.q.Targets) == 0 {
			r.q.Targets = []Target{{Recipe: o[0].recipe}}
		}
	}
	return []reading{r}
}

// safetyPhrase reports whether a phrase of that role stands in the message.
func (s *sense) safetyPhrase(role string) bool {
	words := make([]string, len(s.l.tokens))
	for k := range words {
		words[k] = s.l.tokens[k].plain
	}
	for k := range words {
		if n, _ := safetyWords().longest(words[k:], []workRole{workRole(role)}); n > 0 {
			return true
		}
	}
	return false
}

// readPhrases reads a file of phrases by role.
func readPhrases(file string) (*workTable, error) {
	data, err := wordFiles.ReadFile(file)
	if err != nil {
		return nil, err
	}
	t := &workTable{phrases: map[string][]workPhrase{}}
	return t, t.read(file, strings.NewReader(string(data)))
}
