package swap

import (
	"os"
	"testing"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

func num(s string) quantity.Number { return quantity.MustDecimal(s) }

// readLarder reads testdata/ingredients.csv.
func readLarder(t testing.TB) map[string]Ingredient {
	t.Helper()
	text, err := os.ReadFile("testdata/ingredients.csv")
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]Ingredient{}
	for _, r := range tab.Rows {
		in := Ingredient{Name: r[0], Category: r[1], Milk: mix.NoMilk}
		if r[1] == "dairy" {
			in.Milk = mix.AllMilk
		}
		for i, col := range tab.Cols[2:] {
			cell := r[i+2]
			if cell == "" || col == "source" {
				continue
			}
			n, err := quantity.Decimal(cell)
			if err != nil {
				t.Fatalf("%s, %s: %v", r[0], col, err)
			}
			switch k, ok := mix.KeyNamed(col); {
			case ok:
				in.Comp = in.Comp.With(k, n)
			case col == "de":
				in.DE = &n
			case col == "bloom":
				in.Bloom, in.Gelatine = n, true
			default:
				t.Fatalf("column %q", col)
			}
		}
		out[in.Name] = Complete(in)
	}
	return out
}

type larder map[string]Ingredient

// line is a line of the recipe; "!" before the name lets it move.
func (l larder) line(t testing.TB, name, mass string) Line {
	t.Helper()
	move := name[0] == '!'
	if move {
		name = name[1:]
	}
	in, ok := l[name]
	if !ok {
		t.Fatalf("no %s in testdata/ingredients.csv", name)
	}
	return Line{Ingredient: in, Mass: num(mass), Move: move}
}

func (l larder) recipe(t testing.TB, namesAndMasses ...string) Recipe {
	t.Helper()
	var r Recipe
	for i := 0; i < len(namesAndMasses); i += 2 {
		r.Lines = append(r.Lines, l.line(t, namesAndMasses[i], namesAndMasses[i+1]))
	}
	return r
}

func (l larder) candidates(t testing.TB, names ...string) []Candidate {
	t.Helper()
	var out []Candidate
	for _, n := range names {
		in, ok := l[n]
		if !ok {
			t.Fatalf("no %s in testdata/ingredients.csv", n)
		}
		out = append(out, Candidate{Ingredient: in, Allowed: true})
	}
	return out
}

var houseScales = []quantity.Scale{
	{Name: "bench scale", Reads: quantity.Int(1), UpTo: quantity.Int(6000)},
	{Name: "fine scale", Reads: quantity.Frac(1, 10), UpTo: quantity.Int(500)},
}

// iceCream is our own base: with a missing sugar it is the hardest case, everything in it does several things.
func iceCream(t testing.TB, l larder) Recipe {
	return l.recipe(t, "!milk", "1150", "!cream 35 %", "150", "!skimmed milk powder", "50", "!sugar", "186", "dextrose", "86",
		"!egg yolk", "150", "!butter", "110", "salt", "3")
}
