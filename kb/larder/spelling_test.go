package larder

import (
	"cmp"
	"slices"
	"strings"
	"testing"

	"tamis/kb/name"
)

// The spellings that lie ready are the names of the items, folded and in order.
func TestSpellings(t *testing.T) {
	type spelling struct {
		text  string
		item  *Item
		alias bool
	}
	left := map[spelling]int{}
	for _, it := range BuiltIn() {
		left[spelling{it.Name, it, false}]++
		for _, a := range it.Also {
			left[spelling{a, it, true}]++
		}
	}
	all := Spellings()
	for _, s := range all {
		left[spelling{s.Text, s.Item, s.Alias}]--
		if f := name.Fold(s.Text); s.Fold != f {
			t.Errorf("%q lies folded as %q, is %q", s.Text, s.Fold, f)
		}
		if p := name.Plain(s.Text); s.Plain != p {
			t.Errorf("%q lies plain as %q, is %q", s.Text, s.Plain, p)
		}
	}
	for s, n := range left {
		if n != 0 {
			t.Errorf("%q of %s stands %d times too few", s.text, s.item.Name, n)
		}
	}
	if !slices.IsSortedFunc(all, func(a, b Spelling) int {
		return cmp.Or(strings.Compare(a.Plain, b.Plain), strings.Compare(a.Text, b.Text))
	}) {
		t.Error("the spellings are out of order")
	}
}
