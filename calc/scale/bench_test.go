package scale_test

import (
	"fmt"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

// menuDish is a dish of 60 lines nested three deep: 4 parts of the plate, each of 2
// parts, each drawing on one shared part, with losses, steps and uneven masses.
func menuDish() *scale.Formula {
	lines, n := 0, 0
	fill := func(name string, plainLines int, links ...*scale.Formula) *scale.Formula {
		f := &scale.Formula{Name: name, Pieces: num("24"), LossShare: num("0.03"), Steps: nums("17.5")}
		for i := range plainLines {
			f.Lines = append(f.Lines, plain(fmt.Sprint("ingredient ", (n*5+i)%23), quantity.Frac(int64(1000+37*n+11*i), 7)))
		}
		for i, l := range links {
			if i%2 == 0 {
				f.Lines = append(f.Lines, draws(l, "83.3"))
			} else {
				f.Lines = append(f.Lines, pieces(l, "7"))
			}
		}
		n++
		lines += len(f.Lines)
		return f
	}
	shared := fill("shared", 3)
	var plate []*scale.Formula
	for i := range 4 {
		a, b := fill(fmt.Sprint("a", i), 4, shared), fill(fmt.Sprint("b", i), 3, shared)
		plate = append(plate, fill(fmt.Sprint("part ", i), 2, a, b))
	}
	dish := fill("dish", 1, plate...)
	dish.Pieces = quantity.Int(1)
	if lines < 60 {
		panic(fmt.Sprintf("%d lines", lines))
	}
	return dish
}

func BenchmarkLeaves(b *testing.B) {
	f := menuDish()
	for b.Loop() {
		if _, err := scale.Leaves(f, num("42")); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNeeds(b *testing.B) {
	f := menuDish()
	for b.Loop() {
		if _, err := scale.Needs(f, num("42")); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkScaled(b *testing.B) {
	f := menuDish()
	for b.Loop() {
		scale.Scaled(f, num("42"))
	}
}

func BenchmarkFromLeft(b *testing.B) {
	f := menuDish()
	left := []scale.Left{{Name: "ingredient 3", Amount: num("4000")}, {Name: "ingredient 7", Amount: num("2500")}}
	for b.Loop() {
		if _, err := scale.FromLeft(f, left...); err != nil {
			b.Fatal(err)
		}
	}
}
