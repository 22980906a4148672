package question

import (
	"context"
	"slices"
	"testing"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/store"
)

// TestHolders: of every name of the demo, and of two beside each other, the recipes
// that may hold all are all that do when each recipe is looked at.
func TestHolders(t *testing.T) {
	d, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	book, err := d.Head(context.Background(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	x := NewLexicon(book.Names())
	var items []Item
	for _, e := range x.entries {
		l := newLattice(x, e.Text, quantity.Metric)
		for _, p := range l.paths(4) {
			s := newSense(l, p, nil)
			for _, i := range s.names {
				if it, ok := s.item(i); ok {
					items = append(items, it)
				}
			}
		}
	}
	if len(items) < 300 {
		t.Fatalf("only %d items", len(items))
	}
	holds := func(r *kb.Recipe, its []Item) bool {
		return !slices.ContainsFunc(its, func(it Item) bool { lines, _ := it.Matches(r); return len(lines) == 0 })
	}
	found := 0
	for i := range items {
		its := []Item{items[i], items[(i*7+3)%len(items)]}[:1+i%2]
		may := x.withAll(its)
		for _, r := range x.recipes {
			if holds(r, its) {
				found++
				if !slices.Contains(may, r) {
					t.Errorf("%v: %s holds them and was not found", its, r.Name)
				}
			}
		}
		if len(may) > 0 && !slices.IsSortedFunc(may, func(a, b *kb.Recipe) int { return slices.Index(x.recipes, a) - slices.Index(x.recipes, b) }) {
			t.Errorf("%v: not in the book's order", its)
		}
	}
	if found < 500 {
		t.Errorf("only %d found", found)
	}
}
