package diff

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMerge(t *testing.T) {
	const base = "recipe: crumble\ningredients:\n  - flour: 200 g # dark\n  - butter: 120 g\n  - salt: 5 g\n"
	edit := func(old, new string) string { return strings.Replace(base, old, new, 1) }
	for _, c := range []struct{ name, mine, theirs, want string }{
		{"one hand", edit("5 g", "6 g"), base, edit("5 g", "6 g")},
		{"the other", base, edit("5 g", "6 g"), edit("5 g", "6 g")},
		{"neighbours", edit("120 g", "130 g"), edit("5 g", "6 g"), strings.Replace(edit("5 g", "6 g"), "120 g", "130 g", 1)},
		{"the same", edit("5 g", "6 g"), edit("5 g", "6 g"), edit("5 g", "6 g")},
		{"a line added by each, apart", edit("  - flour", "  - malt: 3 g\n  - flour"), base + "notes: new\n", edit("  - flour", "  - malt: 3 g\n  - flour") + "notes: new\n"},
		{"the same line", edit("5 g", "6 g"), edit("5 g", "7 g"), ""},
		{"changed and taken out", edit("5 g", "6 g"), edit("  - salt: 5 g\n", ""), ""},
		{"both at the end", base + "notes: a\n", base + "notes: b\n", ""},
	} {
		got, ok := Merge(base, c.mine, c.theirs)
		if ok != (c.want != "") || got != c.want {
			t.Errorf("%s: %v\n%s", c.name, ok, got)
		}
	}
}

// What only one side changed is kept, whichever it is; and the sides may be exchanged.
func TestMergeProperties(t *testing.T) {
	text := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{"a\n", "b\n", "c\n", "d\n"}), 0, 12).Draw(t, "lines"), "")
	})
	rapid.Check(t, func(t *rapid.T) {
		base, mine, theirs := text.Draw(t, "base"), text.Draw(t, "mine"), text.Draw(t, "theirs")
		if got, ok := Merge(base, mine, base); !ok || got != mine {
			t.Fatalf("mine alone: %q", got)
		}
		if got, ok := Merge(base, base, theirs); !ok || got != theirs {
			t.Fatalf("theirs alone: %q", got)
		}
		if got, ok := Merge(base, mine, mine); !ok || got != mine {
			t.Fatalf("both the same: %q", got)
		}
		x, okx := Merge(base, mine, theirs)
		y, oky := Merge(base, theirs, mine)
		if okx != oky || x != y {
			t.Fatalf("exchanged: %q %v, %q %v", x, okx, y, oky)
		}
	})
}
