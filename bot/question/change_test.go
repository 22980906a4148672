package question

import (
	"strings"
	"testing"

	"tamis/calc/quantity"
)

func TestEdit(t *testing.T) {
	g := func(n int64) quantity.Quantity { return quantity.Grams(quantity.Int(n)) }
	salt := []Item{{Text: "salt", Names: []string{"salt"}}}
	for _, c := range []struct {
		say   string
		items []Item
		qs    []quantity.Quantity
		want  Edit
	}{
		{"salt in the crumble is now 6 g", salt, []quantity.Quantity{g(6)}, Edit{Kind: EditAmount, Amount: g(6)}},
		{"set the crumble salt to 6 g", salt, []quantity.Quantity{g(6)}, Edit{Kind: EditAmount, Amount: g(6)}},
		{"lower the salt from 6 g to 5 g", salt, []quantity.Quantity{g(6), g(5)}, Edit{Kind: EditAmount, Amount: g(5)}},
		{"raise the crumble salt by 1 g", salt, []quantity.Quantity{g(1)}, Edit{Kind: EditAmount, Amount: g(1), By: 1}},
		{"2 g less salt in the crumble from now on", salt, []quantity.Quantity{g(2)}, Edit{Kind: EditAmount, Amount: g(2), By: -1}},
		{"add 2 g salt to the crumble", salt, []quantity.Quantity{g(2)}, Edit{Kind: EditAdd, Amount: g(2), By: 1}},
		{"add 2 g smoked salt to the crumble", salt, []quantity.Quantity{g(2)}, Edit{Kind: EditAdd, Name: "smoked salt", Amount: g(2), By: 1}},
		{"add 12 g of rye malt to the crumble", nil, []quantity.Quantity{g(12)}, Edit{Kind: EditAdd, Name: "rye malt", Amount: g(12), By: 1}},
		{"remove the salt from the crumble", salt, nil, Edit{Kind: EditRemove}},
		{"delete the crumble", nil, nil, Edit{Kind: EditOff}},
		{"crumble bakes at 155 °C from today", nil, []quantity.Quantity{quantity.Of(quantity.Int(155), quantity.Celsius)}, Edit{Kind: EditStep, Amount: quantity.Of(quantity.Int(155), quantity.Celsius)}},
		{"rename the crumble to dark crumble.", nil, nil, Edit{Kind: EditRename, Name: "dark crumble"}},
		{"the crumble is to change", nil, nil, Edit{}},
	} {
		q := Question{Want: WantChange, Say: c.say, Items: c.items, Quantities: c.qs}
		e, ok := q.Edit()
		if ok != (c.want.Kind != EditNone) {
			t.Errorf("%s: read %v", c.say, ok)
			continue
		}
		if !ok {
			continue
		}
		if e.Kind != c.want.Kind || e.By != c.want.By || e.Name != c.want.Name || e.Amount.String() != c.want.Amount.String() {
			t.Errorf("%s: %+v", c.say, e)
		}
		if line := c.items != nil && c.want.Name == ""; (e.Item != nil) != line {
			t.Errorf("%s: item %v", c.say, e.Item)
		}
	}
}

func TestMentions(t *testing.T) {
	words := Words("Who changed the yolks in it?")
	for text, want := range map[string]bool{"egg yolk": true, "yolk": true, "egg": false, "": false} {
		if Mentions(words, text) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

// FuzzEdit reads any order: it ends, and a name it finds stands in the message.
func FuzzEdit(f *testing.F) {
	for _, s := range []string{"add 2 g salt to the crumble", "rename it to", "add 12 to", "½ more", "call it x", "add 3 g to in into"} {
		f.Add(s, int64(2))
	}
	f.Fuzz(func(t *testing.T, s string, n int64) {
		q := Question{Want: WantChange, Say: s, Quantities: []quantity.Quantity{quantity.Grams(quantity.Int(n))}}
		if e, ok := q.Edit(); ok && e.Name != "" && !strings.Contains(s, e.Name) {
			t.Fatalf("%q is not in %q", e.Name, s)
		}
	})
}
