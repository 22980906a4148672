package mix

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

// fact is what a mixture really holds, all of it, whether the book states it or not.
type fact struct {
	mass quantity.Number
	of   [numComponents]quantity.Number
}

func (f fact) times(k quantity.Number) fact {
	f.mass = f.mass.Mul(k)
	for i := range f.of {
		f.of[i] = f.of[i].Mul(k)
	}
	return f
}

func (f fact) plus(g fact) fact {
	f.mass = f.mass.Add(g.mass)
	for i := range f.of {
		f.of[i] = f.of[i].Add(g.of[i])
	}
	return f
}

// drawFact draws 100 g of something in tenths of a gram, with its full composition.
func drawFact(t *rapid.T) (fact, Composition, Milk) {
	f := fact{mass: hundred}
	var c Composition
	left := 1000
	tenths := func(k Key, most int, what string) int {
		n := 0
		if rapid.IntRange(0, 2).Draw(t, what+"?") > 0 {
			n = rapid.IntRange(0, most).Draw(t, what)
		}
		c = c.With(k, quantity.Frac(int64(n), 10))
		return n
	}
	order := rapid.Permutation(topKeys[:]).Draw(t, "order")
	for _, k := range order {
		if k == Salt { // drawn within the ash
			continue
		}
		n := tenths(k, left, k.String())
		left -= n
		switch k {
		case Sugars:
			for i, s := range sugarKeys {
				most := n
				if i == len(sugarKeys)-1 {
					c = c.With(s, quantity.Frac(int64(n), 10)) // the five are all sugars
					continue
				}
				n -= tenths(s, most, s.String())
			}
		case Fat:
			for _, s := range fatKeys {
				n -= tenths(s, n, s.String())
			}
		case Ash:
			tenths(Salt, n, "salt")
		}
	}
	for k := range NumKeys {
		f.of[k] = c.per[k]
	}
	f.of[solids] = hundred.Sub(c.per[Water]).Sub(c.per[Alcohol])
	milk := rapid.SampledFrom([]Milk{MilkUnknown, NoMilk, AllMilk}).Draw(t, "milk")
	if milk == NoMilk {
		c = c.With(Lactose, quantity.Number{}).Without(Sugars) // keeps the five from adding up wrongly
		f.of[Lactose] = quantity.Number{}
		s, _ := c.sumOf(sugarKeys[:])
		f.of[Sugars] = s
		c = c.With(Sugars, s)
	} else {
		f.of[milkSolids] = quantity.Sum(c.per[Protein], c.per[Lactose], c.per[Ash])
		if milk == MilkUnknown && rapid.Bool().Draw(t, "no protein of milk") {
			f.of[milkSolids] = c.per[Lactose]
		}
	}
	for _, x := range factors {
		f.of[kilojoule] = f.of[kilojoule].Add(c.per[x.k].Mul(x.kJ))
		f.of[kilocalorie] = f.of[kilocalorie].Add(c.per[x.k].Mul(x.kcal))
	}
	return f, c, milk
}

// hide leaves some keys out.
func hide(t *rapid.T, c Composition) Composition {
	mask := rapid.OneOf(rapid.Just(uint32(0)), rapid.Uint32Range(0, 1<<NumKeys-1)).Draw(t, "hidden")
	for k := range NumKeys {
		if mask&(1<<k) != 0 {
			c = c.Without(k)
		}
	}
	return c
}

// book draws nodes with what they really hold: per 100 g of an ingredient, per batch of a recipe.
type book struct {
	nodes []*Node
	facts []fact
}

func drawBook(t *rapid.T) *book {
	b := &book{}
	for i := range rapid.IntRange(1, 5).Draw(t, "ingredients") {
		f, c, m := drawFact(t)
		b.nodes = append(b.nodes, &Node{Name: fmt.Sprint("ingredient ", i), Comp: hide(t, c), Milk: m})
		b.facts = append(b.facts, f)
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "recipes") {
		n := &Node{Name: fmt.Sprint("recipe ", i)}
		var lines []fact
		for range rapid.IntRange(1, 4).Draw(t, "lines") {
			j := rapid.IntRange(0, len(b.nodes)-1).Draw(t, "of")
			if b.facts[j].mass.IsZero() {
				continue
			}
			g := quantity.Frac(rapid.Int64Range(1, 5000).Draw(t, "g"), 10)
			n.Lines = append(n.Lines, Line{Of: b.nodes[j], Mass: g, HasMass: true})
			lines = append(lines, b.facts[j].times(g.Div(b.facts[j].mass)))
		}
		if len(n.Lines) == 0 {
			continue
		}
		f := b.step(t, n, lines)
		f = b.finish(t, n, f)
		b.nodes, b.facts = append(b.nodes, n), append(b.facts, f)
	}
	return b
}

var permille = func(t *rapid.T, what string) quantity.Number {
	return quantity.Frac(rapid.Int64Range(0, 1000).Draw(t, what), 1000)
}

// step draws what a step takes off some of the lines and returns what is left of all.
func (b *book) step(t *rapid.T, n *Node, lines []fact) fact {
	var pan, rest fact
	var in []InPan
	for i, f := range lines {
		if rapid.Bool().Draw(t, "in pan") {
			share := permille(t, "share of line")
			if share.IsZero() {
				share = one
			}
			in = append(in, InPan{i, share})
			pan, rest = pan.plus(f.times(share)), rest.plus(f.times(one.Sub(share)))
			continue
		}
		rest = rest.plus(f)
	}
	loss := Loss{Step: "step", Pan: in}
	if rapid.Bool().Draw(t, "pan not told") {
		loss.Pan = nil
	}
	switch loss.Kind = LossKind(rapid.IntRange(0, 3).Draw(t, "kind")); loss.Kind {
	case WaterLoss:
		w, a := pan.of[Water].Mul(permille(t, "water lost")), pan.of[Alcohol].Mul(permille(t, "alcohol lost"))
		pan.mass = pan.mass.Sub(w).Sub(a)
		pan.of[Water], pan.of[Alcohol] = pan.of[Water].Sub(w), pan.of[Alcohol].Sub(a)
		pan.of[kilojoule], pan.of[kilocalorie] = pan.of[kilojoule].Sub(a.Mul(alcoholKJ)), pan.of[kilocalorie].Sub(a.Mul(alcoholKcal))
		loss.Mass = w.Add(a)
	case MixtureLoss:
		left := permille(t, "left")
		loss.Mass = pan.mass.Mul(one.Sub(left))
		pan = pan.times(left)
	case LeftBehind: // each line leaves a share of its own behind
		before := pan.mass
		pan = fact{}
		for _, i := range in {
			pan = pan.plus(lines[i.Line].times(i.Share.Mul(permille(t, "left of line"))))
		}
		loss.Mass = before.Sub(pan.mass)
	default:
		return pan.plus(rest)
	}
	n.Losses = []Loss{loss}
	return pan.plus(rest)
}

// finish draws the loss of the whole, or a stated mass.
func (b *book) finish(t *rapid.T, n *Node, f fact) fact {
	switch rapid.IntRange(0, 2).Draw(t, "finish") {
	case 1:
		n.LossShare = permille(t, "loss").Mul(quantity.Frac(9, 10))
		f = f.times(one.Sub(n.LossShare))
	case 2:
		n.HasFinished = true
		if rapid.Bool().Draw(t, "gain") {
			g, _, _ := drawFact(t)
			f = f.plus(g)
		} else {
			f = f.times(permille(t, "kept"))
		}
		n.Finished = f.mass
	}
	return f
}

// What the book does not state stays within bounds that hold the truth, through every nesting, pan and loss; what is called exact is
// exactly true; and the mass is exact.
func TestTruthLiesWithinBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		for i, n := range b.nodes {
			if len(n.Lines) == 0 {
				continue
			}
			w, err := Compose(n, nil)
			if err != nil {
				t.Fatalf("%s: %v", n.Name, err)
			}
			f := b.facts[i]
			if !w.Mass().Equal(f.mass) {
				t.Fatalf("%s: mass %s, truth %s", n.Name, w.Mass(), f.mass)
			}
			for k := range numComponents {
				c := w.content(k)
				if f.of[k].Less(c.AtLeast) || c.AtMost.Less(f.of[k]) {
					t.Fatalf("%s: component %d is %s, we say %s", n.Name, k, f.of[k], c)
				}
				if c.Exact && !c.AtLeast.Equal(f.of[k]) {
					t.Fatalf("%s: component %d is %s, we say exactly %s", n.Name, k, f.of[k], c)
				}
				if c.Exact == (len(c.Missing) > 0) {
					t.Fatalf("%s: component %d exact %v, missing %q", n.Name, k, c.Exact, c.Missing)
				}
			}
		}
	})
}

// What is not exact in something that is used is not exact in what uses it, and the known part never vanishes unless a step took it.
func TestUnknownSpreads(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := drawBook(t)
		for _, n := range b.nodes {
			if n.Lines == nil || n.HasFinished && n.Finished.IsZero() || len(n.Losses) > 0 && n.Losses[0].Kind != WaterLoss {
				continue
			}
			w, err := Compose(n, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range n.Lines {
				below, err := Compose(l.Of, nil)
				if err != nil {
					t.Fatal(err)
				}
				for k := range numComponents {
					if k == component(Water) || k == component(Alcohol) || below.Mass().IsZero() || w.Mass().IsZero() {
						continue
					}
					if !below.content(k).Exact && w.content(k).Exact {
						t.Fatalf("component %d of %s is not known, of %s it is %s", k, l.Of.Name, n.Name, w.content(k))
					}
				}
			}
		}
	})
}

func drawMixture(t *rapid.T) Mixture {
	_, c, milk := drawFact(t)
	m, err := Part{Name: rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "name"), Mass: quantity.Frac(rapid.Int64Range(0, 9999).Draw(t, "mg"), 7), Comp: hide(t, c), Milk: milk}.Mixture()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func same(t *rapid.T, what string, a, b Mixture) {
	if !a.mass.Equal(b.mass) || a.unknown != b.unknown || a.open != b.open {
		t.Fatalf("%s: mass %s and %s, unknown %b and %b", what, a.mass, b.mass, a.unknown, b.unknown)
	}
	for k := range numComponents {
		if !a.of[k].lo.Equal(b.of[k].lo) || !a.of[k].gap.Equal(b.of[k].gap) {
			t.Fatalf("%s: component %d: %s and %s", what, k, a.content(k), b.content(k))
		}
	}
}

// Mass, water, fat, each sugar and all else: exactly the same after splitting, blending and nesting in any order.
func TestConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ms := rapid.SliceOfN(rapid.Custom(drawMixture), 1, 6).Draw(t, "parts")
		whole := Blend(ms...)
		for k := range numComponents {
			var lo, hi []quantity.Number
			for _, m := range ms {
				c := m.content(k)
				lo, hi = append(lo, c.AtLeast), append(hi, c.AtMost)
			}
			if c := whole.content(k); !c.AtLeast.Equal(quantity.Sum(lo...)) || !c.AtMost.Equal(quantity.Sum(hi...)) {
				t.Fatalf("component %d is %s, not the sum", k, c)
			}
		}
		i := rapid.IntRange(0, len(ms)).Draw(t, "cut")
		same(t, "nested", whole, Blend(Blend(ms[:i]...), Blend(ms[i:]...)))
		if whole.mass.IsZero() {
			return
		}
		share := permille(t, "share")
		if share.IsZero() || share.Equal(one) {
			return
		}
		a, err := whole.Take(whole.mass.Mul(share))
		if err != nil {
			t.Fatal(err)
		}
		b, err := whole.LoseMixture(a.mass)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "split", whole, Blend(a, b))
	})
}

// Knowing more never widens the bounds; adding something never lowers what is there.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, full, milk := drawFact(t)
		less := hide(t, full)
		k := Key(rapid.IntRange(0, int(NumKeys)-1).Draw(t, "key"))
		more := less.With(k, full.per[k])
		a, b := Part{Comp: less, Milk: milk}.hundred(), Part{Comp: more, Milk: milk}.hundred()
		for c := range numComponents {
			x, y := a.content(c), b.content(c)
			if y.AtLeast.Less(x.AtLeast) || x.AtMost.Less(y.AtMost) || x.Exact && !y.Exact {
				t.Fatalf("component %d was %s and is %s with %s known", c, x, y, k)
			}
		}
		m := drawMixture(t)
		for c := range numComponents {
			if x, y := m.content(c), Blend(m, a).content(c); y.AtLeast.Less(x.AtLeast) || y.Exact && !x.Exact {
				t.Fatalf("component %d was %s and is %s with more added", c, x, y)
			}
		}
	})
}
