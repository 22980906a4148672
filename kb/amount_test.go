package kb_test

import (
	"fmt"
	"strings"
	"testing"

	"tamis/calc/quantity"
)

const testHouse = `house.yaml
house: Lodehavn
spoons: metric
pans:   [{name: wide pan, empty: 870 g, holds: 4 l}]
moulds: [{name: dome 45, cells: 24, volume: 38 ml, count: 4}, {name: core 25, cells: 24, volume: 9 ml, count: 4}]
machines: [{name: batch freezer, batch: 2 kg}]
cold: [{name: fridge, at: 3 °C}]
scales: [{name: bench scale, reads: 1 g, up to: 6 kg}]
`

// The values of this larder are invented for the tests.
const testLarder = `larder.yaml
- ingredient: house milk
  also: [blue milk]
  density: 1.03 g/ml
  pours: true
- ingredient: house sugar
  per 100 g: {water: 0, sugars: 100}
- ingredient: house juice
  brix: 14
  density: 1.05 g/ml
  pours: true
- ingredient: house leaf
  piece: 2 g
- ingredient: house herb
  piece: {sprig: 1 g, bunch: 30 g}
- ingredient: house flour
  pours: false
- ingredient: house water
  per 100 g: {water: 100, sugars: 0}
  density: 1 g/ml
  pours: true
`

// The recipes that the lines of TestAmounts draw on.
var linked = []string{
	"recipes/loaf.yaml\nrecipe: test loaf\nmakes: 6 loaves of 900 g\ningredients:\n  - house flour: 5 kg\n",
	"recipes/dome.yaml\nrecipe: test dome\nmakes: fill 24 of dome 45\ningredients:\n  - house milk: 900 g\n",
	"recipes/foam.yaml\nrecipe: test foam\ndensity: 1.04 g/ml\noverrun: 30 %\npours: true\ningredients:\n  - house milk: 900 g\n",
	"recipes/part.yaml\nrecipe: test part\nmakes: 10 pieces\ningredients:\n  - house sugar: 1 part\n",
}

func TestAmounts(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines string // of the recipe under test; the first is looked at
		grams string // "" none
		from  string
		fluid bool
	}{
		{"a mass", "- house sugar: 120 g", "120", "book", false},
		{"kilos", "- house sugar: 1.2 kg", "1200", "book", false},
		{"pounds, by their definition of 453.59237 g", "- house sugar: 2 lb", "907.18474", "book", false},
		{"a range counts as its middle", "- house sugar: 3-4 g", "3.5", "book", false},
		{"a volume through the house's density", "- house milk: 2 dl", "206", "house", true},
		{"under a synonym", "- blue milk: 100 ml", "103", "house", true},
		{"a volume of something without density has no mass", "- house sugar: 1 dl", "", "", true},
		{"a tablespoon is 15 ml", "- house milk: 2 tbsp", "30.9", "house", true},
		{"pieces by any word", "- house leaf: 3 leaves", "6", "house", false},
		{"pieces by their word", "- house herb: 2 bunches", "60", "house", false},
		{"a word the house does not weigh", "- house herb: 2 pots", "", "", false},
		{"brackets for all", "- house leaf: 2 leaves (5 g)", "5", "book", false},
		{"brackets for each", "- moon dust: 5 dots (2 g each)", "10", "book", false},
		{"a range of pieces", "- house leaf: 2-3 leaves", "5", "house", false},
		{"a range in brackets for each", "- house leaf: 2-3 leaves (2 g each)", "5", "book", false},
		{"unknown pieces", "- moon dust: 3 pots", "", "", false},
		{"to taste", "- house sugar: to taste", "", "", false},
		{"to taste with a start", "- house sugar: to taste, start 10 g", "10", "book", false},
		{"to taste with a start in pieces", "- house leaf: to taste, start 2 leaves", "4", "house", false},
		{"to taste with a start in percent", "- house sugar: to taste, start 2 % of house milk\n  - house milk: 500 g", "10", "calculated", false},
		{"a pinch", "- house sugar: a pinch", "", "", false},
		{"percent", "- house sugar: 2 % of house milk\n  - house milk: 500 g", "10", "calculated", false},
		{"percent of two", "- house sugar: 2 % of house milk + house flour\n  - house milk: 500 g\n  - house flour: 250 g", "15", "calculated", false},
		{"percent of all lines of that name", "- house sugar: 2 % of house milk\n  - house milk: 500 g\n  - house milk: 100 g", "12", "calculated", false},
		{"percent of the same part first", "- house sugar: {amount: 2 % of house milk, part: glaze}\n  - house milk: {amount: 500 g, part: glaze}\n  - house milk: {amount: 100 g, part: base}", "10", "calculated", false},
		{"percent of another part else", "- house sugar: {amount: 2 % of house milk, part: glaze}\n  - house milk: {amount: 100 g, part: base}", "2", "calculated", false},
		{"percent of a percent", "- house sugar: 10 % of house leaf\n  - house leaf: 10 % of house milk\n  - house milk: 500 g", "5", "calculated", false},
		{"percent of a range", "- house sugar: 1-2 % of house milk\n  - house milk: 500 g", "7.5", "calculated", false},
		{"percent of what weighs nothing known", "- house sugar: 2 % of moon dust\n  - moon dust: 3 pots", "", "", false},
		{"percent where one of two weighs nothing known", "- house sugar: 2 % of moon dust + house milk\n  - moon dust: 3 pots\n  - house milk: 100 g", "", "", false},
		{"percent of liquids: what pours or is written in a volume", "- house leaf: 1 % of liquids\n  - house milk: 500 g\n  - house flour: 400 g\n  - house water: 1 dl", "6", "calculated", false},
		{"percent of liquids in its part", "- house leaf: {amount: 1 % of liquids, part: a}\n  - house milk: {amount: 500 g, part: a}\n  - house milk: {amount: 900 g, part: b}", "5", "calculated", false},
		{"a liquid that is a percent of the liquids is not among them", "- house water: 10 % of liquids\n  - house milk: 500 g", "50", "calculated", true},
		{"a link pours if its recipe says so", "- house leaf: 1 % of liquids\n  - test foam: 500 g", "5", "calculated", false},
		{"a link by mass", "- test loaf: 200 g", "200", "book", false},
		{"a link by its word", "- test loaf: 2 loaves", "1800", "calculated", false},
		{"a link by each", "- test loaf: 0.5 each", "450", "calculated", false},
		{"a link by a bare count", "- test loaf: 2", "1800", "calculated", false},
		{"a link by a mould", "- test dome: 2 domes", "75", "calculated", false},
		{"a link by another word with its mass", "- test loaf: 2 slices (40 g each)", "80", "book", false},
		{"a link by volume, air and all: 1.04 / 1.3", "- test foam: 100 ml", "80", "book", true},
		{"a link by volume without density", "- test loaf: 100 ml", "", "", true},
		{"a link by pieces of unknown mass", "- test part: 2 pieces", "", "", false},
		{"bought is no link", "- bought test loaf: 2 loaves", "", "", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := "recipes/x.yaml\nrecipe: under test\ningredients:\n  " + c.lines + "\n"
			s := load(t, book(append(linked, testHouse, testLarder, file)...))
			r, ok := s.RecipeNamed("under test")
			if !ok {
				t.Fatalf("it is out: %v", s.Faults)
			}
			l := r.Lines[0]
			got := ""
			if l.HasGrams {
				got = l.Grams.String()
			}
			if got != c.grams || l.MassFrom != c.from || l.IsLiquid != c.fluid {
				t.Errorf("got %q g from %q, liquid %v; want %q from %q, %v", got, l.MassFrom, l.IsLiquid, c.grams, c.from, c.fluid)
			}
		})
	}
}

func TestParts(t *testing.T) {
	for _, c := range []struct {
		name, head, lines, want string
	}{
		{"makes ÷ sum of parts", "makes: 900 g", "- house sugar: 2 parts\n  - house water: 1 part", "600 300"},
		{"makes ÷ (1 − loss) ÷ sum of parts", "makes: 1 kg\nloss: 20 %", "- house sugar: 2 parts\n  - house water: 3 parts", "500 750"},
		{"a loss in grams is added", "makes: 900 g\nloss: 100 g", "- house sugar: 1 part\n  - house water: 1 part", "500 500"},
		{"percent lines are parts of a part", "makes: 1.72 kg", "- house flour: 100 parts\n  - house water: 70 parts\n  - house sugar: 2 % of house flour", "1000 700 20"},
		{"pieces of a known mass are no part and take nothing off", "makes: 1 kg", "- house flour: 3 parts\n  - house water: 2 parts\n  - house leaf: 2 leaves", "600 400 4"},
		{"without a mass there is none", "makes: 4 pieces", "- house flour: 3 parts\n  - house sugar: 2 % of house flour", "? ?"},
		{"a range of parts counts as its middle", "makes: 700 g", "- house flour: 3 parts\n  - house water: 3-5 parts", "300 400"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := load(t, book(testHouse, testLarder, "recipes/x.yaml\nrecipe: under test\n"+c.head+"\ningredients:\n  "+c.lines+"\n"))
			r, ok := s.RecipeNamed("under test")
			if !ok {
				t.Fatalf("it is out: %v", s.Faults)
			}
			var got []string
			for _, l := range r.Lines {
				if l.HasGrams {
					got = append(got, l.Grams.String())
				} else {
					got = append(got, "?")
				}
			}
			if g := strings.Join(got, " "); g != c.want {
				t.Errorf("got %s, want %s", g, c.want)
			}
		})
	}
}

// The sums below are by hand.
func TestFinished(t *testing.T) {
	const two = "- house milk: 800 g\n  - house sugar: 200 g"
	for _, c := range []struct {
		name, head, lines, method, want string
	}{
		{"the sum of the lines", "", two, "", "1000"},
		{"a mass in makes stands", "makes: 950 g", two, "", "950"},
		{"loss in percent", "loss: 2 %", two, "", "980"},
		{"loss in grams", "loss: 40 g", two, "", "960"},
		{"from and to", "", two, "- reduce: it\n    from: 900 g\n    to: 600 g", "700"},
		{"from and to, then loss", "loss: 10 %", two, "- reduce: it\n    from: 900 g\n    to: 600 g", "630"},
		{"to half", "", two, "- reduce: it\n    from: 900 g\n    to: half", "550"},
		{"of its lines", "", two, "- reduce: it\n    of: [house milk]\n    to: 300 g", "500"},
		{"of its lines, as far as used", "", two, "- reduce: it\n    of: [house milk]\n    uses: {house milk: 1/2}\n    to: 300 g", "900"},
		{"to a temperature nothing leaves", "", two, "- cook: it\n    to: 84 °C", "1000"},
		{"juice of 14 °Bx to 56 °Bx is a quarter", "", "- house juice: 1 kg", "- reduce: it\n    from: 1 kg\n    to: 56 °Bx", "250"},
		{"600 g of the kilo: 450 g leave", "", "- house juice: 1 kg", "- reduce: it\n    of: [house juice]\n    from: 600 g\n    to: 56 °Bx", "550"},
		{"200 g sugar in 800 g water is 20 °Bx, to 50 °Bx 400 g", "", "- house water: 800 g\n  - house sugar: 200 g", "- boil: all\n    from: 1 kg\n    to: 50 °Bx", "400"},
		{"nobody knows the °Bx of milk", "", "- house milk: 1 kg", "- reduce: it\n    from: 1 kg\n    to: 56 °Bx", ""},
		{"unless makes says the mass", "makes: 300 g", "- house milk: 1 kg", "- reduce: it\n    from: 1 kg\n    to: 56 °Bx", "300"},
		{"a second reduction starts from something else", "", "- house water: 800 g\n  - house sugar: 200 g", "- boil: all\n    from: 1 kg\n    to: 50 °Bx\n  - boil: all\n    from: 400 g\n    to: 80 °Bx", ""},
		{"lines in no mass are left out", "", "- house milk: 800 g\n  - moon dust: 2 stars", "", "800"},
		{"nothing weighs anything", "", "- moon dust: 2 stars", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := "recipes/x.yaml\nrecipe: under test\n" + c.head + "\ningredients:\n  " + c.lines + "\n"
			if c.method != "" {
				file += "method:\n  " + c.method + "\n"
			}
			s := load(t, book(testHouse, testLarder, file))
			r, ok := s.RecipeNamed("under test")
			if !ok {
				t.Fatalf("it is out: %v", s.Faults)
			}
			got := ""
			if r.HasFinished {
				got = r.Finished.String()
			}
			if got != c.want {
				t.Errorf("got %q g, want %q", got, c.want)
			}
			if !r.HasFinished && r.Formula.Unknown == "" && !strings.Contains(c.name, "nothing weighs") {
				t.Error("it does not say why")
			}
		})
	}
}

// A percent chain as long as a book may write is a fault, not a stack of numbers.
func TestPercentChain(t *testing.T) {
	lines := "  - house milk: 100 g\n"
	before := "house milk"
	for i := range 40 {
		lines += fmt.Sprintf("  - dust %d: 33.3333333 %% of %s\n", i, before)
		before = fmt.Sprintf("dust %d", i)
	}
	lines = "  - last: 50 % of " + before + "\n" + lines
	s := load(t, book(testHouse, testLarder, "recipes/x.yaml\nrecipe: under test\ningredients:\n"+lines))
	if len(s.Out) != 1 || s.Faults[0].Code != "percent" {
		t.Errorf("got %v", s.Faults)
	}
}

// Fractions with ever new denominators add up to numbers of thousands of digits.
func TestFineFractions(t *testing.T) {
	var lines strings.Builder
	n := 0
	for d := 100003; n < 400; d += 2 {
		if isPrime(d) {
			fmt.Fprintf(&lines, "  - dust %d: 1/%d g\n", n, d)
			n++
		}
	}
	s := load(t, book(testHouse, testLarder, "recipes/x.yaml\nrecipe: under test\ningredients:\n"+lines.String()))
	if len(s.Out) != 1 || s.Faults[0].Code != "numbers too fine" {
		t.Errorf("%d recipes in, %d out, faults %.300v", len(s.Recipes), len(s.Out), s.Faults)
	}
}

func isPrime(n int) bool {
	for d := 2; d*d <= n; d++ {
		if n%d == 0 {
			return false
		}
	}
	return true
}

func TestFormula(t *testing.T) {
	s := load(t, book(testHouse, testLarder,
		"recipes/core.yaml\nrecipe: test core\nmakes: fill 24 of core 25\ningredients:\n  - house juice: 216 g\n",
		`recipes/x.yaml
recipe: under test
makes: fill 24 of dome 45 around 12 of core 25
density: 1.1 g/ml
overrun: 10 %
spare: 8 %
loss: 2 %
ingredients:
  - blue milk: {amount: 600 g, part: base}
  - house leaf: 2-3 leaves
  - test core: 12 pieces
  - house sugar: 20-30 g
`))
	r, ok := s.RecipeNamed("under test")
	if !ok {
		t.Fatal(s.Faults)
	}
	core, _ := s.RecipeNamed("test core")
	f := r.Formula
	num := func(what string, got quantity.Number, want string) {
		t.Helper()
		if got.String() != want {
			t.Errorf("%s is %s, want %s", what, got, want)
		}
	}
	num("pieces", f.Pieces, "24")
	num("spare", f.Spare, "0.08")
	num("loss", f.LossShare, "0.02")
	num("density", f.Density, "1.1")
	num("overrun", f.Overrun, "0.1")
	num("cell", f.Vessel.Volume, "38")
	num("core in a cell", f.Vessel.Core, "4.5") // 9 ml in every second one
	if f.Word != "dome 45" || f.Layer {
		t.Errorf("word %q, layer %v", f.Word, f.Layer)
	}
	if l := f.Lines[0]; l.Name != "blue milk" || l.Ingredient() != "house milk" || l.Part != "base" {
		t.Errorf("milk: %+v", l)
	}
	leaf := f.Lines[1]
	num("leaves", leaf.Count, "2.5")
	num("leaves, low", leaf.CountLo, "2")
	num("leaves, high", leaf.CountHi, "3")
	num("mass, low", leaf.Lo, "4")
	num("mass, high", leaf.Hi, "6")
	if leaf.Word != "leaf" {
		t.Errorf("word of the count is %q", leaf.Word)
	}
	if c := f.Lines[2]; !c.Core || c.Link != core.Formula || !c.ByPieces || !c.Count.Equal(quantity.Int(12)) {
		t.Errorf("core: %+v", c)
	}
	num("sugar, low", f.Lines[3].Lo, "20")
	num("sugar, high", f.Lines[3].Hi, "30")
	// (600 + 5 + 25) × 0.98, the core left out
	num("finished", r.Finished, "617.4")
}

// One ingredient under several names is summed under the name that most lines
// have, or the house's own.
func TestSpelling(t *testing.T) {
	s := load(t, book(testHouse, testLarder,
		"recipes/a.yaml\nrecipe: one\ningredients:\n  - Moon dust: 1 g\n  - blue milk: 1 g\n",
		"recipes/b.yaml\nrecipe: two\ningredients:\n  - moon dusts: 1 g\n  - blue milk: 1 g\n",
		"recipes/c.yaml\nrecipe: three\ningredients:\n  - moon dusts: 1 g\n  - house milk: 1 g\n",
	))
	for _, r := range s.Recipes {
		if a, b := r.Formula.Lines[0].Ingredient(), r.Formula.Lines[1].Ingredient(); a != "moon dusts" || b != "house milk" {
			t.Errorf("%s: %q and %q", r.Name, a, b)
		}
	}
}

// However deep or tangled a book is, it is told and does not hang.
func TestDeepBooks(t *testing.T) {
	chain := func(n int, line func(i int) string) []string {
		files := []string{testHouse, testLarder, "recipes/0.yaml\nrecipe: dish 0\ningredients:\n  - house milk: 100 g\n"}
		for i := 1; i < n; i++ {
			files = append(files, fmt.Sprintf("recipes/%d.yaml\nrecipe: dish %d\n%s", i, i, line(i)))
		}
		return files
	}
	for _, c := range []struct {
		name string
		n    int
		line func(i int) string
		in   int
		code string // of the first fault
	}{
		{"a chain of links", 100, func(i int) string { return fmt.Sprintf("ingredients:\n  - dish %d: 10 g\n", i-1) }, 61, "nested too deep"},
		{"a chain of pieces of a third", 60, func(i int) string {
			return fmt.Sprintf("makes: 3 pieces\ningredients:\n  - dish %d: %s\n", i-1, map[bool]string{true: "10 g", false: "1 piece"}[i == 1])
		}, 60, ""},
		{"a chain of variants", 250, func(i int) string { return fmt.Sprintf("based on: dish %d\nchange: {house milk: %d g}\n", i-1, i) }, 201, "nested too deep"},
		{"each draws twice on the one before", 60, func(i int) string {
			return fmt.Sprintf("ingredients:\n  - dish %d: 10 g\n  - dish %d: 5 g\n", i-1, i-1)
		}, 60, ""},
		{"a knot of all", 120, func(i int) string {
			var b strings.Builder
			b.WriteString("ingredients:\n")
			for j := 1; j < 120; j++ {
				fmt.Fprintf(&b, "  - dish %d: 1 g\n", j)
			}
			return b.String()
		}, 1, "circle of links"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := load(t, book(chain(c.n, c.line)...))
			if len(s.Recipes) != c.in || len(s.Out) != c.n-c.in {
				t.Errorf("%d in, %d out, want %d in; first fault %.1v", len(s.Recipes), len(s.Out), c.in, s.Faults)
			}
			found := c.code == ""
			for _, f := range s.Faults {
				found = found || f.Code == c.code
			}
			if !found || c.code == "" && len(s.Faults) > 0 {
				t.Errorf("faults: %.300v", s.Faults)
			}
			for _, r := range s.Recipes {
				if !r.HasFinished {
					t.Errorf("%s weighs nothing known", r.Name)
				}
			}
		})
	}
}
