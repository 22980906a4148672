package larder

import (
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/name"
)

// house draws a house's entries: names and synonyms of the built-in larder and
// others, with a few keys.
func drawHouse(t *rapid.T) []*Item {
	var pool []string
	for _, it := range BuiltIn()[:60] {
		pool = append(append(pool, it.Name), it.Also...)
	}
	pool = append(pool, "house blend", "green powder", "cellar thing")
	text := rapid.SampledFrom(pool)
	seen := map[string]bool{}
	var out []*Item
	for range rapid.IntRange(0, 12).Draw(t, "entries") {
		it := &Item{Name: text.Draw(t, "name"), Also: rapid.SliceOfN(text, 0, 4).Draw(t, "also")}
		if seen[name.Fold(it.Name)] { // Parse lets no name stand twice
			continue
		}
		seen[name.Fold(it.Name)] = true
		for _, k := range []mix.Key{mix.Water, mix.Protein, mix.Salt} {
			if rapid.Bool().Draw(t, k.String()) {
				it.Comp = it.Comp.With(k, quantity.Int(rapid.Int64Range(0, 40).Draw(t, "g")))
				it.CompSource[k] = house
			}
		}
		out = append(out, it)
	}
	return out
}

// Whatever a house writes: its names find its entries, every name belongs to one
// item, every item answers to its name, and no built-in item is lost or changed.
func TestOverlayProperties(t *testing.T) {
	before := len(BuiltIn())
	rapid.Check(t, func(t *rapid.T) {
		entries := drawHouse(t)
		l := New(entries)
		for _, h := range entries {
			if got := l.Find(h.Name); got == nil || got.Name != h.Name || !got.House {
				t.Fatalf("Find(%q) = %+v", h.Name, got)
			}
		}
		owner := map[string]*Item{}
		for _, it := range l.Items() {
			if l.Find(it.Name) != it {
				t.Fatalf("%q does not find its item", it.Name)
			}
			f := name.Fold(it.Name)
			if o := owner[f]; o != nil {
				t.Fatalf("%q names two items", it.Name)
			}
			owner[f] = it
		}
		for _, b := range BuiltIn() {
			if got := l.Find(b.Name); got == nil {
				t.Fatalf("%q is lost", b.Name)
			} else if !got.House && (got.Name != b.Name || got.Comp != b.Comp) {
				t.Fatalf("%q became %q", b.Name, got.Name)
			}
		}
		for _, h := range entries {
			checkOverlaid(t, h, l.Find(h.Name))
		}
		if len(BuiltIn()) != before {
			t.Fatal("the built-in larder changed")
		}
	})
}

// checkOverlaid: what the house states is the house's; with water the whole is.
func checkOverlaid(t *rapid.T, h, got *Item) {
	_, whole := h.Comp.Get(mix.Water)
	for k := range mix.NumKeys {
		want, stated := h.Comp.Get(k)
		n, known := got.Comp.Get(k)
		switch {
		case stated && (!known || !n.Equal(want) || got.CompSource[k] != house):
			t.Fatalf("%s: %s is %s, the house says %s", h.Name, k, n, want)
		case whole && !stated && known:
			t.Fatalf("%s: %s is not the house's", h.Name, k)
		case known && got.CompSource[k].From == "":
			t.Fatalf("%s: %s comes from nowhere", h.Name, k)
		}
	}
}
