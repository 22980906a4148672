package scale_test

import (
	"errors"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

// fraction draws an exact number in [from, to] with a denominator of up to 12.
func fraction(t *rapid.T, what string, from, to int64) quantity.Number {
	d := rapid.Int64Range(1, 12).Draw(t, what+" denominator")
	return quantity.Frac(rapid.Int64Range(from*d, to*d).Draw(t, what), d)
}

// book draws formulas of which each links only to earlier ones; the last is the root.
// lossless: finished mass is the sum of line masses at every level, no cores.
func book(t *rapid.T, lossless bool) *scale.Formula {
	var made []*scale.Formula
	for i := range rapid.IntRange(1, 7).Draw(t, "formulas") {
		f := &scale.Formula{Name: fmt.Sprint("recipe ", i), Pieces: fraction(t, "pieces", 1, 30)}
		f.Lines = []scale.Line{plain("water", fraction(t, "water", 100, 900))}
		for range rapid.IntRange(0, 5).Draw(t, "lines") {
			f.Lines = append(f.Lines, line(t, made, lossless))
		}
		if !lossless {
			f.Steps = []quantity.Number{fraction(t, "step", 0, 40)}
			f.LossShare = fraction(t, "loss", 0, 50).Div(quantity.Int(100))
			f.LossMass = fraction(t, "loss mass", 0, 10)
			if rapid.IntRange(0, 3).Draw(t, "stated") == 0 {
				f.Stated, f.HasStated = fraction(t, "makes", 1, 2000), true
			}
		}
		made = append(made, f)
	}
	return made[len(made)-1]
}

func line(t *rapid.T, made []*scale.Formula, lossless bool) scale.Line {
	l := plain(fmt.Sprint("ingredient ", rapid.IntRange(0, 4).Draw(t, "which")), fraction(t, "mass", 1, 500))
	if len(made) == 0 || rapid.Bool().Draw(t, "plain") {
		return l
	}
	f := rapid.SampledFrom(made).Draw(t, "link")
	l.Name, l.Link = f.Name, f
	if rapid.Bool().Draw(t, "by pieces") {
		l = pieces(f, "1")
		l.Count = fraction(t, "count", 1, 20)
		l.Core = !lossless && rapid.Bool().Draw(t, "core")
	}
	return l
}

// expand adds up by hand what factor batches take, way by way: plain ingredients
// and finished masses of links alike; nothing below a link that is made.
func expand(t *rapid.T, f *scale.Formula, factor quantity.Number, made map[string]bool, sums map[string]quantity.Number) {
	for _, l := range f.Lines {
		if l.Link == nil {
			sums[l.Name] = sums[l.Name].Add(l.Mass.Mul(factor))
			continue
		}
		finished, err := l.Link.Finished()
		if err != nil {
			t.Fatal(err)
		}
		batches := l.Mass.Mul(factor).Div(finished)
		if l.ByPieces {
			batches = l.Count.Mul(factor).Div(l.Link.Pieces)
		}
		sums[l.Link.Name] = sums[l.Link.Name].Add(batches.Mul(finished))
		if !made[l.Link.Name] {
			expand(t, l.Link, batches, made, sums)
		}
	}
}

func same(t *rapid.T, what string, got, want quantity.Number) {
	t.Helper()
	if !got.Equal(want) {
		t.Fatalf("%s: got %s, want %s", what, got, want)
	}
}

func TestScalingComposesAndInverts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := book(t, false)
		a, b := fraction(t, "a", 1, 50), fraction(t, "b", 1, 50)
		first, both := scale.Scaled(f, a), scale.Scaled(f, a.Mul(b))
		for i := range first {
			same(t, "mass", first[i].Mass.Mul(b), both[i].Mass)
			same(t, "count", first[i].Count.Mul(b), both[i].Count)
			same(t, "end", first[i].Hi.Mul(b), both[i].Hi)
		}
		total, err := scale.Total(f, a)
		if err != nil {
			t.Fatal(err)
		}
		back, err := scale.ForMass(f, total)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "by mass and back", back, a)
		n, err := scale.Pieces(f, a)
		if err != nil {
			t.Fatal(err)
		}
		if back, err = scale.ForPieces(f, n); err != nil {
			t.Fatal(err)
		}
		same(t, "by pieces and back", back, a)
		there, err1 := scale.Factor(quantity.Grams(a), quantity.Of(b, quantity.OZ))
		home, err2 := scale.Factor(quantity.Of(b, quantity.OZ), quantity.Grams(a))
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		same(t, "there and home", there.Mul(home), quantity.Int(1))
	})
}

func TestWholeIsSumOfParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := book(t, true)
		factor := fraction(t, "factor", 0, 20)
		leaves, err := scale.Leaves(f, factor)
		if err != nil {
			t.Fatal(err)
		}
		var sum quantity.Number
		for _, l := range leaves {
			sum = sum.Add(l.Mass)
		}
		total, err := scale.Total(f, factor)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "whole", sum, total)
	})
}

func TestRollUpEqualsExpansion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := book(t, false)
		factor := fraction(t, "factor", 1, 20)
		sums := map[string]quantity.Number{}
		expand(t, f, factor, nil, sums)
		leaves, err := scale.Leaves(f, factor)
		if err != nil {
			t.Fatal(err)
		}
		needs, err := scale.Needs(f, factor)
		if err != nil {
			t.Fatal(err)
		}
		if len(leaves)+len(needs) != len(sums) {
			t.Fatalf("%d leaves and %d needs of %d", len(leaves), len(needs), len(sums))
		}
		for _, l := range leaves {
			same(t, l.Name, l.Mass, sums[l.Name])
			var from quantity.Number
			for _, c := range l.From {
				from = from.Add(c.Mass)
			}
			same(t, l.Name+" from its lines", from, l.Mass)
		}
		for _, n := range needs {
			same(t, n.Formula.Name, n.Mass, sums[n.Formula.Name])
			same(t, n.Formula.Name+" in pieces", n.Pieces, n.Batches.Mul(n.Formula.Pieces))
			var from quantity.Number
			for _, d := range n.From {
				from = from.Add(d.Batches)
			}
			same(t, n.Formula.Name+" from what draws it", from, n.Batches)
			of, err := scale.Of(f, factor, n.Formula.Name)
			if err != nil {
				t.Fatal(err)
			}
			same(t, n.Formula.Name+" asked for", of.Mass, n.Mass)
			if over := n.Whole.Sub(n.Batches); over.Sign() < 0 || !over.Less(quantity.Int(1)) || !n.Whole.IsInt() {
				t.Fatalf("%s batches round up to %s", n.Batches, n.Whole)
			}
		}
	})
}

func TestCoversAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := book(t, false)
		b := &scale.Formula{Name: "second dish", Lines: []scale.Line{draws(a, "70"), grams("water", "5")}, Pieces: quantity.Int(3)}
		for _, l := range a.Lines {
			if l.Link != nil {
				b.Lines = append(b.Lines, draws(l.Link, "12"))
			}
		}
		nA, nB := fraction(t, "covers", 0, 90), fraction(t, "covers", 0, 90)
		together, err := scale.ForCovers([]scale.Cover{{Formula: a, N: nA}, {Formula: b, N: nB}})
		if err != nil {
			t.Fatal(err)
		}
		apart := map[*scale.Formula]quantity.Number{}
		for _, c := range []scale.Cover{{Formula: a, N: nA}, {Formula: b, N: nB}} {
			needs, err := scale.ForCovers([]scale.Cover{c})
			if err != nil {
				t.Fatal(err)
			}
			for _, n := range needs {
				apart[n.Formula] = apart[n.Formula].Add(n.Batches)
			}
		}
		if len(together) != len(apart) {
			t.Fatalf("%d together, %d apart", len(together), len(apart))
		}
		for _, n := range together {
			same(t, n.Formula.Name, n.Batches, apart[n.Formula])
		}
	})
}

func TestLimitIsNeverExceeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := book(t, false)
		sums := map[string]quantity.Number{}
		expand(t, f, quantity.Int(1), nil, sums)
		var used []string
		for _, l := range append([]scale.Line{}, f.Lines...) {
			used = append(used, l.Name)
		}
		for i := range 5 {
			if name := fmt.Sprint("ingredient ", i); !sums[name].IsZero() {
				used = append(used, name)
			}
		}
		made := map[string]bool{}
		var left []scale.Left
		for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(used), 1, 3, rapid.ID[string]).Draw(t, "left") {
			left = append(left, scale.Left{Name: name, Amount: fraction(t, name, 0, 5000)})
			made[name] = true // a plain name is no link, so it stops nothing
		}
		limit, err := scale.FromLeft(f, left...)
		if err != nil {
			t.Fatal(err)
		}
		takes := map[string]quantity.Number{}
		expand(t, f, limit.Factor, made, takes)
		hit := false
		for i, l := range left {
			if l.Amount.Less(takes[l.Name]) {
				t.Fatalf("takes %s of %s, %s is left", takes[l.Name], l.Name, l.Amount)
			}
			same(t, "rest of "+l.Name, limit.Rest[i].Amount, l.Amount.Sub(takes[l.Name]))
			hit = hit || l.Name == limit.Name && l.Amount.Equal(takes[l.Name])
		}
		if !hit {
			t.Fatalf("%s limits, and some of it remains", limit.Name)
		}
	})
}

func TestBatchesSumExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		least := fraction(t, "least", 0, 40)
		most := least.Add(fraction(t, "more", 0, 40))
		total := fraction(t, "total", 1, 400)
		fits := func(n int64) bool {
			each := total.Div(quantity.Int(n))
			return !each.Less(least) && !most.Less(each)
		}
		if most.IsZero() {
			t.Skip("no machine")
		}
		split, err := scale.Batches(total, least, most)
		possible := int64(0)
		for n := int64(1); n <= 5000 && possible == 0; n++ {
			if fits(n) {
				possible = n
			} else if total.Div(quantity.Int(n)).Less(least) {
				break
			}
		}
		if possible == 0 {
			var e *scale.SplitError
			if !errors.As(err, &e) {
				t.Fatalf("%s × %s, %v: no number of batches fits", split.N, split.Each, err)
			}
			if less, more := e.Less.N.Mul(e.Less.Each), e.More.N.Mul(e.More.Each); !less.Less(total) || !total.Less(more) {
				t.Fatalf("%s lies not between %s and %s", total, less, more)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		same(t, "sum", split.N.Mul(split.Each), total)
		same(t, "fewest", split.N, quantity.Int(possible))
	})
}

func TestFillingKeepsTheVolume(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		core := fraction(t, "core", 0, 9)
		have := scale.Vessel{Name: "have", Cells: quantity.Int(24), Volume: fraction(t, "have", 10, 99), Core: core}
		other := scale.Vessel{Name: "want", Cells: quantity.Int(10), Volume: fraction(t, "want", 10, 99), Core: core}
		f := book(t, false)
		f.Vessel = &have
		cells := fraction(t, "cells", 1, 90)
		fill, err := scale.ForMoulds(f, other, cells)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "volume", fill.Factor.Mul(f.Pieces).Mul(have.Volume.Sub(core)), cells.Mul(other.Volume.Sub(core)))
		for i, l := range scale.Scaled(fill.Formula, fill.Factor) {
			factor := fill.Factor
			if l.Line.Core {
				factor = cells.Div(f.Pieces)
			}
			same(t, "count", l.Count, f.Lines[i].Count.Mul(factor))
		}
		// And back into its own mould: the batch as written.
		back, err := scale.ForMoulds(fill.Formula, have, f.Pieces)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range scale.Scaled(back.Formula, back.Factor) {
			same(t, "line and back", l.Mass, scale.Scaled(f, quantity.Int(1))[i].Mass)
		}
	})
}

func TestPercentAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := book(t, true)
		lines, err := scale.BakersPercent(f.Lines, "water")
		if err != nil {
			t.Fatal(err)
		}
		percents := make([]quantity.Number, len(lines))
		for i, l := range lines {
			percents[i] = l.Percent
		}
		total, err := f.Finished()
		if err != nil {
			t.Fatal(err)
		}
		masses, err := scale.FromBakersPercent(percents, total)
		if err != nil {
			t.Fatal(err)
		}
		for i, l := range scale.Scaled(f, quantity.Int(1)) {
			same(t, l.Line.Name, masses[i], l.Mass)
		}
		same(t, "sum", quantity.Sum(masses...), total)
	})
}

func TestWholePiecesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		count, each := fraction(t, "count", 0, 200), fraction(t, "each", 0, 90)
		w, err := scale.WholePieces(count, each)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "count", w.Whole.Add(w.Rest), count)
		same(t, "mass", w.Whole.Mul(each).Add(w.RestMass), w.Mass)
		if !w.Whole.IsInt() || w.Rest.Sign() < 0 || !w.Rest.Less(quantity.Int(1)) {
			t.Fatalf("%s and %s", w.Whole, w.Rest)
		}
	})
}
