package mix

import (
	"fmt"
	"testing"

	"tamis/calc/quantity"
)

// A dish of 60 lines over three levels, 12 recipes with reductions and stated masses, 30 ingredients of
// which a third leaves keys out; nothing is kept between rounds.
func dish60(t testing.TB) *Node {
	var leaves []*Node
	for i := range 30 {
		c := comp(t, "water 59.13, fat 30.07, milk fat 29.5, cocoa butter 0, protein 2.31, sugars 4.17, sucrose 1.01, lactose 3.16, glucose 0, fructose 0, maltose 0, starch 0.4, fibre 0.21, polyols 0, glycerol 0, other carbohydrate 0.1, salt 0.11, acid 0.13, ash 0.52, alcohol 0")
		c = c.With(Water, quantity.Frac(int64(4000+i*37), 100))
		if i%3 == 0 {
			c = c.Without(Starch).Without(Acid).Without(Ash).Without(Glucose).Without(MilkFat)
		}
		leaves = append(leaves, &Node{Name: fmt.Sprint("ingredient ", i), Comp: c, Milk: Milk(i % 3)})
	}
	n := 0
	recipe := func(lines int, of ...*Node) *Node {
		r := &Node{Name: fmt.Sprint("recipe ", n), LossShare: dec("0.02")}
		for i := range lines {
			r.Lines = append(r.Lines, Line{Of: of[(i+n)%len(of)], Mass: quantity.Frac(int64(1000+i*173+n*31), 7), HasMass: true})
		}
		if n%2 == 0 {
			r.Losses = []Loss{{Step: "reduce", Mass: dec("20.5"), Pan: all(0, 1)}}
		}
		n++
		return r
	}
	var low, mid []*Node
	for range 7 {
		low = append(low, recipe(5, leaves...)) // 35 lines
	}
	for range 4 {
		mid = append(mid, recipe(5, append(low[:n%4:n%4], leaves...)...)) // 20 lines
	}
	return recipe(5, append(mid, low...)...)
}

func BenchmarkCompose60Lines(b *testing.B) {
	d := dish60(b)
	w, err := Compose(d, nil)
	if err != nil || w.Mass().IsZero() {
		b.Fatal(w.Mass(), err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Compose(d, nil); err != nil {
			b.Fatal(err)
		}
	}
}
