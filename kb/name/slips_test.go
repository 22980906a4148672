package name_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/kb/name"
)

func TestSlips(t *testing.T) {
	for _, c := range []struct {
		a, b string
		most int
		n    int
		ok   bool
	}{
		{"butter", "butter", 0, 0, true},
		{"buter", "butter", 1, 1, true},
		{"bttuer", "butter", 2, 2, true},
		{"utbter", "butter", 2, 2, true},
		{"bu\u00df", "bus", 1, 1, true},
		{"walnut", "wlanut", 1, 1, true},
		{"walnut", "hazelnut", 2, 0, false},
		{"", "four", 4, 4, true},
		{strings.Repeat("a", 60), strings.Repeat("a", 61), 1, 1, true},
	} {
		n, ok := name.Slips(c.a, c.b, c.most)
		if ok != c.ok || ok && n != c.n {
			t.Errorf("Slips(%q, %q, %d) = %d, %v; want %d, %v", c.a, c.b, c.most, n, ok, c.n, c.ok)
		}
	}
}

// A limit only cuts off: what is found within it is the same with none, and it
// is the same from both sides.
func TestSlipsProperties(t *testing.T) {
	words := rapid.StringMatching(`[abü]{0,8}`)
	rapid.Check(t, func(t *rapid.T) {
		a, b, most := words.Draw(t, "a"), words.Draw(t, "b"), rapid.IntRange(0, 9).Draw(t, "most")
		all, ok := name.Slips(a, b, 20)
		if !ok || (all == 0) != (a == b) {
			t.Fatalf("%q, %q: %d, %v", a, b, all, ok)
		}
		if back, _ := name.Slips(b, a, 20); back != all {
			t.Fatalf("%d there, %d back", all, back)
		}
		if n, ok := name.Slips(a, b, most); ok != (all <= most) || ok && n != all {
			t.Fatalf("within %d: %d, %v; without: %d", most, n, ok, all)
		}
	})
}
