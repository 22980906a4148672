package allergen

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func drawAllergen(t *rapid.T) Allergen {
	c := rapid.SampledFrom(eu[:]).Draw(t, "class")
	a := Allergen{Name: c.Name}
	if len(c.Members) > 0 && rapid.Bool().Draw(t, "kind?") {
		a.Kind = rapid.SampledFrom(c.Members).Draw(t, "kind")
	}
	return a
}

// drawTree draws nodes, each made from those before it; the last is the dish.
func drawTree(t *rapid.T) []*Node {
	var ns []*Node
	some := func(what string) []Allergen { return rapid.SliceOfN(rapid.Custom(drawAllergen), 0, 2).Draw(t, what) }
	for i := range rapid.IntRange(1, 5).Draw(t, "leaves") {
		n := &Node{Name: fmt.Sprint("leaf ", i), Known: rapid.Bool().Draw(t, "known"), MayContain: some("may")}
		if n.Known {
			n.Contains = some("contains")
		}
		if rapid.Bool().Draw(t, "states diets") {
			n.SuitsStated = true
			n.Suits = rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"vegan", "vegetarian", "halal"}), 0, 3, rapid.ID).Draw(t, "diets")
		}
		ns = append(ns, n)
	}
	for i := range rapid.IntRange(1, 6).Draw(t, "recipes") {
		n := &Node{Name: fmt.Sprint("recipe ", i), Shared: some("shared")}
		for range rapid.IntRange(1, 4).Draw(t, "children") {
			n.Children = append(n.Children, rapid.SampledFrom(ns).Draw(t, "child"))
		}
		ns = append(ns, n)
	}
	return ns
}

// below visits n and everything in it.
func below(n *Node, visit func(*Node)) {
	visit(n)
	for _, c := range n.Children {
		below(c, visit)
	}
}

func has(fs []Found, a Allergen) bool {
	return slices.ContainsFunc(fs, func(f Found) bool { return f.Allergen == a })
}

// An allergen below is always above, what is unknown below is named above, nothing else is; every way leads where it says.
func TestBelowIsAbove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ns := drawTree(t)
		dish := ns[len(ns)-1]
		r, err := Roll(dish)
		if err != nil {
			t.Fatal(err)
		}
		listed, may := map[Allergen]bool{}, map[Allergen]bool{}
		unknown := map[string]bool{}
		below(dish, func(n *Node) {
			for _, a := range n.Contains {
				listed[a] = true
			}
			for _, a := range slices.Concat(n.MayContain, n.Shared) {
				may[a] = true
			}
			if len(n.Children) == 0 && !n.Known {
				unknown[n.Name] = true
			}
		})
		for a := range listed {
			if !has(r.Contains, a) {
				t.Fatalf("%s below, not above", a)
			}
		}
		for a := range may {
			if !has(r.MayContain, a) && !listed[a] {
				t.Fatalf("may contain %s below, not above", a)
			}
		}
		if len(r.Contains) != len(listed) || len(r.NotKnown) != len(unknown) {
			t.Fatalf("%d listed, %d told; %d unknown, %d told", len(listed), len(r.Contains), len(unknown), len(r.NotKnown))
		}
		for _, w := range r.NotKnown {
			if !unknown[w.last()] {
				t.Fatalf("%v is known", w.Path)
			}
		}
		for _, f := range r.Contains {
			for _, w := range f.Ways {
				n := dish
				for _, name := range w.Path {
					i := slices.IndexFunc(n.Children, func(c *Node) bool { return c.Name == name })
					if i < 0 {
						t.Fatalf("no way %v", w.Path)
					}
					n = n.Children[i]
				}
				if !slices.Contains(n.Contains, f.Allergen) {
					t.Fatalf("%s does not list %s", n.Name, f)
				}
			}
		}
		for i := 1; i < len(r.Contains); i++ {
			if classNo(r.Contains[i].Name) < classNo(r.Contains[i-1].Name) {
				t.Fatal("not in the order of the annex")
			}
		}
		again, _ := Roll(dish)
		if d := cmp.Diff(r, again); d != "" {
			t.Fatal(d)
		}
	})
}

// One more line takes nothing away and never makes a part better.
func TestAddingIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ns := drawTree(t)
		dish := ns[len(ns)-1]
		more := *dish
		more.Children = append(slices.Clone(dish.Children), rapid.SampledFrom(ns[:len(ns)-1]).Draw(t, "more"))
		a, _ := Roll(dish)
		b, err := Roll(&more)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range a.Contains {
			if !has(b.Contains, f.Allergen) {
				t.Fatalf("%s is gone", f)
			}
		}
		for _, f := range a.MayContain {
			if !has(b.MayContain, f.Allergen) && !has(b.Contains, f.Allergen) {
				t.Fatalf("may contain %s is gone", f)
			}
		}
		if len(b.NotKnown) < len(a.NotKnown) || len(b.NotListed(EU)) > len(a.NotListed(EU)) {
			t.Fatal("knows more with more in it")
		}
		x := []Allergen{drawAllergen(t)}
		p, _ := without(dish, x)
		q, _ := without(&more, x)
		if q.Holding > p.Holding {
			t.Fatalf("without %v: %v, with more in it %v", x, p.Holding, q.Holding)
		}
		for _, d := range []string{"vegan", "vegetarian", "halal"} {
			s, _ := Suits(dish, d)
			u, _ := Suits(&more, d)
			if u.Verdict == Yes && s.Verdict != Yes || s.Verdict == No && u.Verdict != No {
				t.Fatalf("%s: %v, with more in it %v", d, s.Verdict, u.Verdict)
			}
		}
	})
}

func BenchmarkRoll60Lines(b *testing.B) {
	var leaves, mid []*Node
	for i := range 30 {
		leaves = append(leaves, &Node{Name: fmt.Sprint("leaf ", i), Known: i%4 > 0, Contains: []Allergen{{Name: eu[i%14].Name}}})
	}
	for i := range 11 {
		n := &Node{Name: fmt.Sprint("recipe ", i), Children: slices.Clone(mid[:i/4])}
		for j := len(n.Children); j < 5; j++ {
			n.Children = append(n.Children, leaves[(i*5+j)%30])
		}
		mid = append(mid, n)
	}
	dish := &Node{Name: "dish", Children: mid[6:]}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Roll(dish); err != nil {
			b.Fatal(err)
		}
	}
}
