package bank

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// makeBook writes a book of random recipes: names of syllables with shared head words, masses, volumes, pieces, percents, links.
func makeBook(t testing.TB, dir string, seed uint64) {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 3))
	fresh := map[string]bool{}
	word := func() string {
		for {
			if w := invent(rng, 5+rng.IntN(4)); !fresh[w] {
				fresh[w] = true
				return w
			}
		}
	}
	var heads, kinds, stuff []string
	for range 12 {
		heads, kinds = append(heads, word()), append(kinds, word())
	}
	var larder strings.Builder
	allergens := []string{"milk", "eggs", "nuts (walnut)", "fish", "celery", "mustard", "sesame", "soybeans"}
	for i := range 60 {
		name := word()
		if i%3 == 0 {
			name = kinds[rng.IntN(len(kinds))] + " " + word()
		}
		stuff = append(stuff, name)
		fmt.Fprintf(&larder, "- ingredient: %s\n", name)
		if i%4 == 0 {
			fmt.Fprintf(&larder, "  also: [%s]\n", word())
		}
		fmt.Fprintf(&larder, "  density: %.2f g/ml\n  piece: %d g\n", 0.4+rng.Float64(), 5+rng.IntN(90))
		if rng.IntN(3) == 0 {
			fmt.Fprintf(&larder, "  contains: [%s]\n", allergens[rng.IntN(len(allergens))])
		} else {
			larder.WriteString("  contains: []\n")
		}
	}
	write := func(path, text string) {
		t.Helper()
		path = filepath.Join(dir, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("larder.yaml", larder.String())
	write("house.yaml", `house: Grid
time zone: Europe/Oslo
currency: EUR
service: [12:00, 18:00]
scales: [{name: near scale, reads: 1 g, up to: 10 kg}, {name: small scale, reads: 0.1 g, up to: 500 g}]
pans: [{name: flat pan, empty: 800 g, holds: 4 l}]
moulds: [{name: cup 70, cells: 12, volume: 70 ml, count: 4}]
rules: {who may push: [chef]}
`)
	var recipes []string
	for i := range 30 {
		name := word() + " " + heads[rng.IntN(len(heads))]
		if i%5 == 0 {
			name = word()
		}
		write(fmt.Sprintf("recipes/r%02d.yaml", i), makeRecipe(rng, name, word, stuff, recipes))
		recipes = append(recipes, name)
	}
}

func makeRecipe(rng *rand.Rand, name string, word func() string, stuff, recipes []string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "recipe: %s\n", name)
	if rng.IntN(3) == 0 {
		fmt.Fprintf(&b, "also: [%s]\n", word())
	}
	var lines strings.Builder
	used := map[string]bool{}
	total, first := 0.0, ""
	for range 3 + rng.IntN(7) {
		s := stuff[rng.IntN(len(stuff))]
		if used[s] {
			continue
		}
		used[s] = true
		g := 10 + rng.IntN(990)
		switch rng.IntN(8) {
		case 0:
			fmt.Fprintf(&lines, "  - %s: %d %% of %s\n", s, 2+rng.IntN(60), first)
			if first == "" {
				lines.Reset()
				delete(used, s)
			}
			continue
		case 1:
			fmt.Fprintf(&lines, "  - %s: %d pieces\n", s, 1+rng.IntN(12))
		case 2:
			fmt.Fprintf(&lines, "  - %s: %d ml\n", s, g)
		case 3:
			fmt.Fprintf(&lines, "  - %s: %d.%d kg\n", s, rng.IntN(3), 1+rng.IntN(9))
		default:
			fmt.Fprintf(&lines, "  - %s: %d g\n", s, g)
		}
		total += float64(g)
		if first == "" {
			first = s
		}
	}
	if len(recipes) > 3 && rng.IntN(3) == 0 {
		fmt.Fprintf(&lines, "  - %s: %d g\n", recipes[rng.IntN(len(recipes))], 50+rng.IntN(400))
	}
	switch rng.IntN(4) {
	case 0:
		fmt.Fprintf(&b, "makes: %d pieces\n", 4+4*rng.IntN(20))
	case 1:
		fmt.Fprintf(&b, "makes: %.0f g\n", total)
	}
	fmt.Fprintf(&b, "loss: %d %%\ningredients:\n%s", rng.IntN(12), lines.String())
	verbs := []string{"boil", "cook", "bake", "simmer"}
	fmt.Fprintf(&b, "method:\n  - mix: all of it\n    for: %d min\n  - %s: as always\n    for: %d min\n", 2+rng.IntN(8), verbs[rng.IntN(len(verbs))], 5+rng.IntN(90))
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&b, "    at: %d °C\n", 100+5*rng.IntN(25))
	}
	fmt.Fprintf(&b, "keeps: %d days in fridge\n", 1+rng.IntN(14))
	return b.String()
}
