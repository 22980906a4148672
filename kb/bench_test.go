package kb

import (
	"context"
	"fmt"
	"testing"

	"tamis/calc/quantity"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// madeBook returns n made recipes of 9 lines each: masses, volumes, pieces, a
// range, % of a line, and a link to an earlier recipe in two of three.
func madeBook(n int) Input {
	var items []*larder.Item
	density, leaf := quantity.MustDecimal("1.03"), map[string]quantity.Number{"": quantity.Int(2)}
	names := []string{"pear", "walnut", "sorrel", "buckwheat", "brown sugar", "cream", "milk", "butter", "barley", "leek", "dill", "rye"}
	for i := range 120 {
		it := &larder.Item{Name: fmt.Sprintf("%s %d", names[i%len(names)], i), House: true, Density: &density, Piece: leaf}
		items = append(items, it)
	}
	in := Input{House: &recipe.House{Pans: []recipe.Pan{{Name: "wide pan"}}}, Larder: larder.New(items), Fingerprint: fmt.Sprint(n)}
	for i := range n {
		file := fmt.Sprintf("recipes/%05d.yaml", i)
		r := &recipe.Recipe{Pos: recipe.Pos{File: file, Line: 1, Column: 1}, Name: fmt.Sprintf("%s dish %d", names[i%len(names)], i), Also: []string{fmt.Sprintf("dish %d", i)}}
		line := func(text string, a recipe.Amount) {
			r.Lines = append(r.Lines, recipe.Line{Pos: recipe.Pos{File: file, Line: len(r.Lines) + 4, Column: 5}, Name: text, Amount: a})
		}
		item := func(k int) string { return items[(i*7+k*13)%len(items)].Name }
		for k := range 4 {
			line(item(k), mass(int64(100+(i*31+k*17)%400)))
		}
		line(item(4), recipe.Amount{Kind: recipe.Measured, Lo: quantity.Int(2), Hi: quantity.Int(2), Unit: quantity.DL, Text: "2 dl"})
		line(item(5), recipe.Amount{Kind: recipe.Pieces, Lo: quantity.Int(2), Hi: quantity.Int(3), Unit: quantity.Pieces("leaves"), Piece: "leaves", Text: "2-3 leaves"})
		line(item(6), recipe.Amount{Kind: recipe.PercentOf, Lo: quantity.Frac(1, 2), Hi: quantity.Frac(1, 2), Of: []string{item(0)}, Text: "0.5 % of it"})
		line(item(7), recipe.Amount{Kind: recipe.ToTaste, Text: "to taste"})
		if i%3 != 0 && i > 20 {
			j := i - 1 - (i*i)%20
			line(fmt.Sprintf("dish %d", j), mass(50))
		}
		if i%2 == 0 {
			grams := quantity.Grams(quantity.Int(900))
			r.Makes = &recipe.Makes{Text: "900 g", Mass: &grams}
		}
		r.Method = []recipe.Step{{Verb: "boil", In: "wide pan", Pos: recipe.Pos{File: file, Line: 14}}}
		in.Recipes = append(in.Recipes, File{Path: file, Recipe: r})
	}
	return in
}

func mass(g int64) recipe.Amount {
	return recipe.Amount{Kind: recipe.Measured, Lo: quantity.Int(g), Hi: quantity.Int(g), Unit: quantity.G, Text: fmt.Sprintf("%d g", g)}
}

func benchmarkBuild(b *testing.B, n int) {
	in := madeBook(n)
	b.ReportAllocs()
	for b.Loop() {
		s := Build(context.Background(), in)
		if len(s.Faults) > 0 || len(s.Recipes) != n {
			b.Fatal(len(s.Recipes), s.Faults[0])
		}
	}
}

func BenchmarkBuild300(b *testing.B)   { benchmarkBuild(b, 300) }
func BenchmarkBuild10000(b *testing.B) { benchmarkBuild(b, 10000) }

func BenchmarkNames10000(b *testing.B) {
	s := Build(context.Background(), madeBook(10000))
	for b.Loop() {
		s.allNames()
	}
}
