package question

import (
	"fmt"
	"strings"
	"sync"

	"tamis/kb/name"
	"tamis/kb/recipe"
)

// allergenTable finds the words for allergens.
var allergenTable = sync.OnceValue(func() map[string]recipe.Allergen {
	data, err := wordFiles.ReadFile("words/allergens.txt")
	if err != nil {
		panic(err) // embedded
	}
	t := map[string]recipe.Allergen{}
	for n, line := range strings.Split(string(data), "\n") {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		class, list, ok := strings.Cut(line, ":")
		if !ok {
			panic(fmt.Sprintf("words/allergens.txt:%d: no colon", n+1))
		}
		a := recipe.Allergen{Name: class}
		if c, kind, ok := strings.Cut(class, " ("); ok {
			a = recipe.Allergen{Name: c, Kind: strings.TrimSuffix(kind, ")")}
		}
		for _, p := range strings.Split(list, ";") {
			if k := name.Fold(p); k != "" {
				if _, twice := t[k]; !twice {
					t[k] = a
				}
			}
		}
	}
	return t
})

// allergenAt returns the allergen that the words at token i name, the longest first.
func (l *lattice) allergenAt(i int) (a recipe.Allergen, n int, ok bool) {
	for n := min(3, len(l.tokens)-i); n >= 1; n-- {
		var w []string
		for k := i; k < i+n; k++ {
			w = append(w, l.tokens[k].fold)
		}
		if a, ok := allergenTable()[strings.Join(w, " ")]; ok {
			return a, n, true
		}
	}
	return recipe.Allergen{}, 0, false
}

// addAllergens lets words for allergens stand for them.
func (l *lattice) addAllergens() {
	for i := range l.tokens {
		if a, n, ok := l.allergenAt(i); ok {
			l.add(span{kind: spanAllergen, from: i, to: i + n, cost: costSpan, allergen: a})
		}
	}
}

// ofAllergens reports whether an allergen or a word for allergies stands in the message.
func (l *lattice) ofAllergens() bool {
	for k := range l.tokens {
		if _, _, ok := l.allergenAt(k); ok {
			return true
		}
		if n := cues().root.next[l.tokens[k].fold]; n != nil && n.set.meets(cueSet{}.with(cueAllergen, cueDiet)) {
			return true
		}
	}
	return false
}
