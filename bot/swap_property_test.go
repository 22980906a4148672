package bot_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb"
	"tamis/kb/store"
)

// foods are what the random books are made of.
var foods = []string{"butter", "whole milk", "cream 35 %", "sunflower oil", "caster sugar", "honey", "brown sugar", "dextrose", "plain flour", "cornflour", "whole egg", "egg yolk", "walnut", "almond", "margarine", "oat drink", "soya drink", "coconut milk"}

// randomBook is a house with one recipe; what its ingredients contain is drawn.
func randomBook(t *rapid.T, dir string) (*kb.Snapshot, []string, []int) {
	var larder, recipe strings.Builder
	for _, f := range foods {
		if rapid.IntRange(0, 3).Draw(t, "listed") == 0 {
			continue
		}
		fmt.Fprintf(&larder, "- ingredient: %s\n", f)
		switch rapid.IntRange(0, 4).Draw(t, "contents") {
		case 0: // not stated by the house
		case 1:
			larder.WriteString("  contains: []\n  may contain: [milk, nuts]\n")
		case 2:
			larder.WriteString("  contains: [milk, eggs]\n")
		case 3:
			larder.WriteString("  contains: [nuts (walnut), soybeans]\n")
		case 4:
			larder.WriteString("  contains: []\n")
		}
	}
	names := rapid.Permutation(foods).Draw(t, "lines")[:rapid.IntRange(2, 7).Draw(t, "n")]
	var grams []int
	recipe.WriteString("recipe: harbour bake\ningredients:\n")
	for _, n := range names {
		g := rapid.IntRange(20, 900).Draw(t, "g")
		grams = append(grams, g)
		fmt.Fprintf(&recipe, "  - %s: %d g\n", n, g)
	}
	recipe.WriteString("method:\n  - bake: until brown\n    at: 180 °C\n    for: 30 min\n")
	for path, text := range map[string]string{
		"house.yaml":       "house: Lodehavn\ntime zone: Europe/London\nallergens: EU\nscales: [{name: fine, reads: 0.1 g, up to: 10 kg}]\n",
		"larder.yaml":      larder.String(),
		"recipes/one.yaml": recipe.String(),
	} {
		path = filepath.Join(dir, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f, err := store.OpenFolder(context.Background(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := f.Head(context.Background(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	return s, names, grams
}

func askOf(t *rapid.T, s *kb.Snapshot, text string) bot.Reply {
	k, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return s, nil })
	if err != nil {
		t.Fatal(err)
	}
	r, err := k.Ask(context.Background(), bot.Message{Conversation: "p", At: evening, Text: text, Role: bot.Commis})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestSwapKeepsAllergensOut: nothing that is excluded comes in by a swap: not
// what lists it, not what may hold it, not what is not known.
func TestSwapKeepsAllergensOut(t *testing.T) {
	root, answered := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "book")
		if err != nil {
			t.Fatal(err)
		}
		s, names, _ := randomBook(t, dir)
		out := rapid.SampledFrom(names).Draw(t, "missing")
		x := rapid.SampledFrom([][2]string{{"milk free", "milk"}, {"dairy free", "milk"}, {"nut free", "nuts"}, {"egg free", "eggs"}, {"gluten free", "cereals containing gluten"}, {"soya free", "soybeans"},
			{"guest allergic to milk", "milk"}, {"guest with a nut allergy", "nuts"}}).Draw(t, "excluded")
		text := fmt.Sprintf(rapid.SampledFrom([]string{"no %s for the harbour bake, what instead, %s", "out of %s for the harbour bake, what instead, %s"}).Draw(t, "form"), out, x[0])
		r := askOf(t, s, text)
		if r.Status != answer.StatusAnswer || r.About != "swap" {
			return
		}
		answered++
		for _, f := range r.Facts {
			in := f.At == "with it" || strings.HasPrefix(f.At, "another way") || strings.HasPrefix(f.At, "with it,") || f.Was != nil && f.Value != nil && f.Value.Cmp(*f.Was) > 0
			if f.Unit != "g" || !in {
				continue
			}
			it := s.Larder.Find(f.What)
			if it == nil {
				t.Fatalf("%q: %s is not in the larder", text, f.What)
			}
			if !it.ContainsKnown {
				t.Fatalf("%q: %s comes in, what it contains is not known\n%s", text, f.What, r.Text)
			}
			for _, c := range slices.Concat(it.Contains, it.MayContain) {
				if c.Name == x[1] {
					t.Fatalf("%q: %s brings in %s\n%s", text, f.What, c, r.Text)
				}
			}
		}
	})
	if answered < 5 {
		t.Errorf("only %d swaps were answered: the books give nothing to look at", answered)
	}
}

// TestOverPourRestoresRatios: after a rescue every line stands to every other as
// in the recipe, and the total with them.
func TestOverPourRestoresRatios(t *testing.T) {
	root, answered := t.TempDir(), 0
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp(root, "book")
		if err != nil {
			t.Fatal(err)
		}
		s, names, grams := randomBook(t, dir)
		at := rapid.IntRange(0, len(names)-1).Draw(t, "at")
		poured := grams[at] + rapid.IntRange(1, 5*grams[at]).Draw(t, "over")
		text := fmt.Sprintf("poured %d g %s in the harbour bake by mistake", poured, names[at])
		r := askOf(t, s, text)
		if r.Status != answer.StatusAnswer || r.About != "rescue" {
			t.Fatalf("%q: %s %s\n%s", text, r.Status, r.About, r.Text)
		}
		answered++
		k, seen := float64(poured)/float64(grams[at]), 0
		near := func(what string, got, want float64) {
			if math.Abs(got-want) > 1e-9*want {
				t.Fatalf("%q: %s %v, want %v\n%s", text, what, got, want, r.Text)
			}
		}
		for _, f := range r.Facts {
			i := slices.Index(names, f.What)
			switch {
			case f.What == "factor":
				near("factor", f.Value.Float(), k)
			case f.What == "total":
				near("total", f.Value.Float(), k*f.Was.Float())
			case i >= 0 && f.At == "":
				near(f.What, f.Value.Float(), k*float64(grams[i]))
				seen++
			case i >= 0 && f.At == "then add": // a batch of the old size: all in it, less what was taken out
				near(f.What, f.Value.Float(), float64(grams[i])*(1-1/k))
			}
		}
		if seen != len(names)-1 {
			t.Fatalf("%q: %d lines to add, want %d\n%s", text, seen, len(names)-1, r.Text)
		}
	})
	if answered == 0 {
		t.Error("nothing was answered")
	}
}
