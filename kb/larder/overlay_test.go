package larder

import (
	"slices"
	"testing"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// made builds a built-in larder for tests: names, then synonyms.
func made(items ...*Item) *builtin {
	b := &builtin{byName: map[string]int32{}, titles: map[string]int32{}}
	for i, it := range items {
		b.all = append(b.all, it)
		b.titles[name.Fold(it.Name)] = int32(i)
		for _, s := range append([]string{it.Name}, it.Also...) {
			b.byName[name.Fold(s)] = int32(i)
		}
	}
	return b
}

func comp(pairs ...any) mix.Composition {
	var c mix.Composition
	for i := 0; i < len(pairs); i += 2 {
		c = c.With(pairs[i].(mix.Key), quantity.MustDecimal(pairs[i+1].(string)))
	}
	return c
}

func num(s string) *quantity.Number { n := quantity.MustDecimal(s); return &n }

func butterAndMilk() *builtin {
	milk := []recipe.Allergen{{Name: "milk"}}
	return made(
		&Item{Name: "butter", Also: []string{"unsalted butter", "beurre"}, Comp: comp(mix.Water, "16", mix.Fat, "82", mix.Salt, "0.1"), Energy: num("3000"),
			Contains: milk, ContainsKnown: true, Density: num("0.96"), DensityOrigin: Origin{FromTable, "x"}},
		&Item{Name: "milk", Also: []string{"whole milk", "lait"}, Contains: milk, ContainsKnown: true},
	)
}

func parsed(t *testing.T, yaml string) []*Item {
	t.Helper()
	items, faults := Parse("larder.yaml", []byte(yaml))
	if len(faults) != 0 {
		t.Fatalf("faults: %v", faults)
	}
	return items
}

func TestOverlay(t *testing.T) {
	get := func(it *Item, k mix.Key) string {
		n, ok := it.Comp.Get(k)
		if !ok {
			return "unknown"
		}
		return n.String()
	}
	tests := []struct {
		name, yaml        string
		water, fat, salt  string
		energy, dens, has bool
	}{
		{"other keys one by one", "- ingredient: Unsalted-Butter\n  costs: 9 EUR/kg", "16", "82", "0.1", true, true, true},
		{"a part of the composition", "- ingredient: butter\n  per 100 g: {salt: 2}", "16", "82", "2", true, true, true},
		{"water brings the whole", "- ingredient: butter\n  per 100 g: {water: 15}", "15", "unknown", "unknown", false, true, true},
		{"sugars bring the whole", "- ingredient: butter\n  per 100 g: {sugars: 0}", "unknown", "unknown", "unknown", false, true, true},
		{"brix brings the whole", "- ingredient: butter\n  brix: 3", "unknown", "unknown", "unknown", false, true, true},
		{"contains none", "- ingredient: butter\n  contains: []", "16", "82", "0.1", true, true, false},
		{"by synonym", "- ingredient: house butter\n  also: [beurre]\n  density: 0.9 g/ml", "16", "82", "0.1", true, true, true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l := lay(parsed(t, tt.yaml), butterAndMilk())
			it := l.Find("beurre")
			if it == nil || !it.House || l.Find("butter") != it {
				t.Fatalf("not laid over butter: %+v", it)
			}
			if w, f, s := get(it, mix.Water), get(it, mix.Fat), get(it, mix.Salt); w != tt.water || f != tt.fat || s != tt.salt {
				t.Errorf("water %s fat %s salt %s", w, f, s)
			}
			if (it.Energy != nil) != tt.energy || (it.Density != nil) != tt.dens || (len(it.Contains) > 0) != tt.has || !it.ContainsKnown {
				t.Errorf("energy %v density %v contains %v", it.Energy, it.Density, it.Contains)
			}
			if len(l.Items()) != 2 {
				t.Errorf("%d items, want 2", len(l.Items()))
			}
			if l.Find("lait").House {
				t.Error("milk became the house's")
			}
		})
	}
}

func TestHouseNamesWin(t *testing.T) {
	l := lay(parsed(t, `
- ingredient: goat milk
  also: [milk]
- ingredient: lait
  contains: [soybeans]
- ingredient: spread
  also: [unsalted butter]
- ingredient: butter
  supplier: round
`), butterAndMilk())
	for _, tt := range []struct{ find, want string }{
		{"milk", "goat milk"},  // a house synonym beats a built-in name
		{"Lait", "lait"},       // a house name beats a built-in synonym
		{"whole milk", "lait"}, // a name meets the synonym nearer than a synonym the name
		{"unsalted butter", "spread"},
		{"butter", "butter"}, {"beurre", "butter"}, {"buerre", ""},
	} {
		got := ""
		if it := l.Find(tt.find); it != nil {
			got = it.Name
		}
		if got != tt.want {
			t.Errorf("Find(%q) = %q, want %q", tt.find, got, tt.want)
		}
	}
	if s := l.Find("spread"); s.Density == nil || s.Supplier != "" {
		t.Errorf("spread takes the built-in butter's data, not the house's: %+v", s)
	}
	seen := map[string]string{}
	for _, it := range l.Items() {
		for _, s := range append([]string{it.Name}, it.Also...) {
			f := name.Fold(s)
			if other, twice := seen[f]; twice && other != it.Name {
				t.Errorf("%q belongs to %q and %q", s, other, it.Name)
			}
			seen[f] = it.Name
			if l.Find(s) != it {
				t.Errorf("Find(%q) is not its item %q", s, it.Name)
			}
		}
	}
}

func TestRobbedItemKeepsItsOtherNames(t *testing.T) {
	// The entry's own name meets butter, so milk loses the name that the house gives away.
	l := lay(parsed(t, "- ingredient: butter\n  also: [milk]"), butterAndMilk())
	if got := l.Find("whole milk"); got == nil || got.Name != "whole milk" || got.House {
		t.Errorf("whole milk: %+v", got)
	}
	if l.Find("milk") != l.Find("butter") {
		t.Error("milk is not the house's butter")
	}
	l = lay(parsed(t, "- ingredient: butter\n  also: [milk, whole milk, lait]"), butterAndMilk())
	if len(l.Items()) != 1 {
		t.Errorf("an item without a name left stays: %v", l.Items())
	}
}

func TestPartlyReadContainsHidesNothing(t *testing.T) {
	items, faults := Parse("larder.yaml", []byte("- ingredient: butter\n  contains: [nuts, creamy]"))
	if len(faults) != 1 {
		t.Fatalf("faults: %v", faults)
	}
	it := lay(items, butterAndMilk()).Find("butter")
	if it.ContainsKnown || !slices.Contains(it.Contains, recipe.Allergen{Name: "milk"}) || !slices.Contains(it.Contains, recipe.Allergen{Name: "nuts"}) {
		t.Errorf("contains %v known %v", it.Contains, it.ContainsKnown)
	}
}

func TestNewDoesNotChangeTheHouse(t *testing.T) {
	house := parsed(t, "- ingredient: butter\n  also: [house butter]")
	base := butterAndMilk()
	for range 2 {
		if got := lay(house, base).Find("butter").Also; len(got) != 3 {
			t.Errorf("also: %v", got)
		}
	}
	if len(house[0].Also) != 1 || len(base.all[0].Also) != 2 || base.all[0].House {
		t.Error("an entry or a built-in item changed")
	}
}
