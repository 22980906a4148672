package texture

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

func exactly(s string) mix.Content {
	n := quantity.MustDecimal(s)
	return mix.Content{AtLeast: n, AtMost: n, Exact: true}
}

func profile(of map[Cause]string) Profile {
	var p Profile
	for c, s := range of {
		lo, hi, bounded := strings.Cut(s, " to ")
		p.Of[c], p.Known[c] = exactly(lo), true
		if bounded {
			p.Of[c] = mix.Content{AtLeast: quantity.MustDecimal(lo), AtMost: quantity.MustDecimal(hi)}
		}
	}
	return p
}

func told(cs []Change) string {
	var out []string
	for _, c := range cs {
		way := "-"
		if c.Up {
			way = "+"
		}
		if len(c.Against) > 0 {
			way = "?"
		}
		out = append(out, fmt.Sprintf("%d%s", c.Trait, way))
	}
	return strings.Join(out, " ")
}

func TestCompare(t *testing.T) {
	for _, c := range []struct {
		name     string
		was, now map[Cause]string
		want     string
	}{
		{"nothing", map[Cause]string{Gelatine: "1"}, map[Cause]string{Gelatine: "1"}, ""},
		{"less gelatine: softer, melts sooner", map[Cause]string{Gelatine: "1.2"}, map[Cause]string{Gelatine: "0.9"}, "0- 1-"},
		{"too little to tell", map[Cause]string{Gelatine: "1.2"}, map[Cause]string{Gelatine: "1.25"}, ""},
		{"cream for oil: firmer cold, melts later", map[Cause]string{HardFat: "0"}, map[Cause]string{HardFat: "12"}, "0+ 1+"},
		{"fat goes, gelatine comes: they pull apart", map[Cause]string{HardFat: "12", Gelatine: "1"}, map[Cause]string{HardFat: "8", Gelatine: "1.3"}, "0? 1?"},
		{"more sugar in a frozen mix: softer, melts sooner", map[Cause]string{Freezing: "25"}, map[Cause]string{Freezing: "32"}, "1- 2-"},
		{"starch thickens", map[Cause]string{Starch: "3"}, map[Cause]string{Starch: "5"}, "0+ 3+"},
		{"bounds that overlap tell nothing", map[Cause]string{Solids: "20 to 30"}, map[Cause]string{Solids: "28 to 34"}, ""},
		{"bounds that do not overlap do", map[Cause]string{Solids: "20 to 24"}, map[Cause]string{Solids: "28 to 34"}, "3+"},
		{"not known before", map[Cause]string{}, map[Cause]string{Starch: "5"}, ""},
	} {
		if got := told(Compare(profile(c.was), profile(c.now))); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// Going back turns every direction that is told round, where the change is large either way.
func TestCompareBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p, q Profile
		for c := range NumCauses {
			n := rapid.Int64Range(1, 40).Draw(t, "was")
			m := n * rapid.SampledFrom([]int64{1, 2, 3}).Draw(t, "times")
			p.Of[c], q.Of[c] = exactly(fmt.Sprint(n)), exactly(fmt.Sprint(m))
			p.Known[c], q.Known[c] = true, rapid.Bool().Draw(t, "known")
		}
		there, back := Compare(p, q), Compare(q, p)
		if len(there) != len(back) {
			t.Fatalf("%v and back %v", there, back)
		}
		for i := range there {
			a, b := there[i], back[i]
			if a.Trait != b.Trait || len(a.Against) == 0 && a.Up == b.Up {
				t.Fatalf("%v and back %v", a, b)
			}
		}
	})
}
