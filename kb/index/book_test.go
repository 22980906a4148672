package index_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/index/internal/made"
	"tamis/kb/larder"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// book makes a snapshot of recipes with these names; each uses water and, after
// a "/", the ingredients that follow.
func book(fingerprint string, recipes ...string) *kb.Snapshot {
	in := kb.Input{Larder: larder.New(nil), Fingerprint: fingerprint}
	for i, r := range recipes {
		parts := strings.Split(r, "/")
		file := fmt.Sprintf("recipes/%04d.yaml", i)
		rec := &recipe.Recipe{Pos: recipe.Pos{File: file, Line: 1, Column: 1}, Name: parts[0]}
		for _, name := range append([]string{"water"}, parts[1:]...) {
			rec.Lines = append(rec.Lines, recipe.Line{Name: name, Amount: recipe.Amount{
				Kind: recipe.Measured, Lo: quantity.Int(100), Hi: quantity.Int(100), Unit: quantity.G, Text: "100 g"}})
		}
		in.Recipes = append(in.Recipes, kb.File{Path: file, Recipe: rec})
	}
	return kb.Build(context.Background(), in)
}

func madeBook(t testing.TB, n int) *kb.Snapshot {
	t.Helper()
	s, err := store.Load(t.Context(), made.Book(n))
	if err != nil || len(s.Recipes) != n {
		t.Fatal(err, len(s.Recipes), s.Faults)
	}
	return s
}

func search(t testing.TB, x *index.Index, text string, n int) []index.Hit {
	t.Helper()
	hits, err := x.Search(t.Context(), text, n)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return hits
}
