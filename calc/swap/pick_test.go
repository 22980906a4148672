package swap

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The closed forms for one, two and three agree with the active set on every set of actors, and the best set is found.
func TestPickerFindsTheBestSets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 7).Draw(t, "n")
		m := rapid.IntRange(2, 6).Draw(t, "m")
		num := rapid.Float64Range(-1, 1)
		p := LeastSquares{Ridge: 1e-5, HasTotal: true, Total: rapid.Float64Range(0.5, 2).Draw(t, "gap")}
		for range m {
			row := make([]float64, n)
			for j := range row {
				row[j] = num.Draw(t, "a")
			}
			p.A, p.B = append(p.A, row), append(p.B, num.Draw(t, "b"))
		}
		for range n {
			p.Lower = append(p.Lower, -rapid.SampledFrom([]float64{0, 0, 0.4, 3}).Draw(t, "in it"))
			p.Upper = append(p.Upper, rapid.SampledFrom([]float64{0.3, 1, math.Inf(1)}).Draw(t, "left"))
		}
		q, err := p.gram()
		if err != nil {
			t.Fatal(err)
		}
		pk := &picker{n: n, g: q.g, h: q.h, low: p.Lower, high: p.Upper, d: p.Total}
		for _, b := range p.B {
			pk.rest += b * b
		}
		for size := 1; size <= 3; size++ {
			best, bestSet := math.Inf(1), []int(nil)
			for _, set := range subsets(n, size) {
				off, z, ok := solveSet(p, set)
				if !ok || least(z) < 1e-7 { // a set in which one does not change is a smaller set
					continue
				}
				if off < best {
					best, bestSet = off, set
				}
			}
			list := pk.size(size)
			if len(list) == 0 {
				if !math.IsInf(best, 1) {
					t.Fatalf("size %d: nothing picked, %v has %v", size, bestSet, best)
				}
				continue
			}
			if got := list[0].off; got > best+1e-7 {
				t.Fatalf("size %d: picked %v at %v, %v has %v", size, list[0], got, bestSet, best)
			}
			for _, c := range list {
				set := make([]int, c.n)
				for i := range set {
					set[i] = int(c.of[i])
				}
				off, _, ok := solveSet(p, set)
				if !ok || math.Abs(off-c.off) > 1e-6*(1+off) {
					t.Fatalf("%v scored %v, solved %v (%v)", set, c.off, off, ok)
				}
			}
		}
	})
}

func least(z []float64) float64 {
	out := math.Inf(1)
	for _, v := range z {
		out = math.Min(out, math.Abs(v))
	}
	return out
}

func subsets(n, size int) [][]int {
	if size == 0 {
		return [][]int{nil}
	}
	var out [][]int
	for last := size - 1; last < n; last++ {
		for _, s := range subsets(last, size-1) {
			out = append(out, append(append([]int(nil), s...), last))
		}
	}
	return out
}

func solveSet(p LeastSquares, set []int) (off float64, z []float64, ok bool) {
	s := LeastSquares{B: p.B, Total: p.Total, HasTotal: true, Ridge: p.Ridge}
	for _, j := range set {
		s.Lower, s.Upper = append(s.Lower, p.Lower[j]), append(s.Upper, p.Upper[j])
	}
	for _, row := range p.A {
		var r []float64
		for _, j := range set {
			r = append(r, row[j])
		}
		s.A = append(s.A, r)
	}
	z, err := s.Solve()
	if err != nil {
		return 0, nil, false
	}
	for i, row := range s.A {
		r := -s.B[i]
		for j, a := range row {
			r += a * z[j]
		}
		off += r * r
	}
	for _, v := range z {
		off += s.Ridge * v * v
	}
	return off, z, true
}
