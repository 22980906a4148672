package swap_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"tamis/calc/swap"
)

// drawProblem draws a problem with room: bounds around a point that has the total.
func drawProblem(t *rapid.T, maxN int) swap.LeastSquares {
	n := rapid.IntRange(1, maxN).Draw(t, "n")
	m := rapid.IntRange(1, 8).Draw(t, "m")
	p := swap.LeastSquares{Ridge: 1e-6, HasTotal: rapid.Bool().Draw(t, "total?")}
	num := rapid.Float64Range(-2, 2)
	for range m {
		row := make([]float64, n)
		for j := range row {
			row[j] = num.Draw(t, "a")
		}
		p.A = append(p.A, row)
		p.B = append(p.B, num.Draw(t, "b"))
	}
	for range n {
		x := rapid.Float64Range(0, 3).Draw(t, "x")
		p.Total += x
		p.Lower = append(p.Lower, x-rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "down"))
		p.Upper = append(p.Upper, x+rapid.SampledFrom([]float64{0, 0.5, 3, math.Inf(1)}).Draw(t, "up"))
	}
	return p
}

func value(p swap.LeastSquares, x []float64) float64 {
	var sum float64
	for i, row := range p.A {
		r := -p.B[i]
		for j, a := range row {
			r += a * x[j]
		}
		sum += r * r
	}
	for _, v := range x {
		sum += p.Ridge * v * v
	}
	return sum
}

// The optimality conditions of Karush, Kuhn and Tucker, worked out from the problem itself: they prove the answer best.
func TestOptimalityConditions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 8)
		x, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		var sum float64
		grad := make([]float64, len(x))
		for i, row := range p.A {
			r := -p.B[i]
			for j, a := range row {
				r += a * x[j]
			}
			for j, a := range row {
				grad[j] += a * r
			}
		}
		const close = 1e-7
		least, most := math.Inf(-1), math.Inf(1) // where λ must lie
		for j := range x {
			grad[j] += p.Ridge * x[j]
			sum += x[j]
			if x[j] < p.Lower[j]-close || x[j] > p.Upper[j]+close {
				t.Fatalf("x%d = %v outside %v to %v", j, x[j], p.Lower[j], p.Upper[j])
			}
			if x[j] > p.Lower[j]+close { // it may fall: that must not help
				most = math.Min(most, -grad[j])
			}
			if x[j] < p.Upper[j]-close { // it may rise
				least = math.Max(least, -grad[j])
			}
		}
		if p.HasTotal {
			if math.Abs(sum-p.Total) > close {
				t.Fatalf("sum %v, want %v", sum, p.Total)
			}
		} else {
			least, most = math.Max(least, 0), math.Min(most, 0)
		}
		if least > most+1e-6 {
			t.Fatalf("no multiplier: %v to %v; x %v, gradient %v", least, most, x, grad)
		}
	})
}

// Against gonum: without bounds in the way, the total is put in by hand and the rest solved by its QR.
func TestAgainstGonum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 5)
		n := len(p.Lower)
		for j := range n {
			p.Lower[j], p.Upper[j] = -1e6, 1e6
		}
		x, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		// rows: A, and the ridge as √ridge·x = 0
		rows, free := len(p.A)+n, n
		if p.HasTotal {
			free--
		}
		if free == 0 {
			return
		}
		a, b := mat.NewDense(rows, free, nil), mat.NewDense(rows, 1, nil)
		fill := func(i int, row []float64, right float64) {
			last := 0.0
			if p.HasTotal { // x_last = total − the others
				last = row[n-1]
				right -= last * p.Total
			}
			for j := range free {
				a.Set(i, j, row[j]-last)
			}
			b.Set(i, 0, right)
		}
		for i, row := range p.A {
			fill(i, row, p.B[i])
		}
		for j := range n {
			row := make([]float64, n)
			row[j] = math.Sqrt(p.Ridge)
			fill(len(p.A)+j, row, 0)
		}
		var sol mat.Dense
		if err := sol.Solve(a, b); err != nil {
			t.Skip("gonum finds it too badly conditioned")
		}
		want := make([]float64, n)
		rest := p.Total
		for j := range free {
			want[j] = sol.At(j, 0)
			rest -= want[j]
		}
		if p.HasTotal {
			want[n-1] = rest
		}
		have, best := value(p, x), value(p, want)
		if have > best+1e-7*(1+best) {
			t.Fatalf("ours %v at %v, gonum's %v at %v", have, x, best, want)
		}
	})
}

// Against trying every point of a grid.
func TestAgainstGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t, 3)
		n := len(p.Lower)
		for j := range n {
			p.Upper[j] = math.Min(p.Upper[j], p.Lower[j]+4)
		}
		x, err := p.Solve()
		if errors.Is(err, swap.ErrNoRoom) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		have := value(p, x)
		const steps = 12
		try := make([]float64, n)
		var walk func(j int, sum float64)
		walk = func(j int, sum float64) {
			if j == n-1 && p.HasTotal {
				try[j] = p.Total - sum
				if try[j] < p.Lower[j] || try[j] > p.Upper[j] {
					return
				}
				j++
			}
			if j == n {
				if v := value(p, try); v < have-1e-7*(1+have) {
					t.Fatalf("%v is better at %v than %v at %v", v, try, have, x)
				}
				return
			}
			for s := range steps + 1 {
				try[j] = p.Lower[j] + (p.Upper[j]-p.Lower[j])*float64(s)/steps
				walk(j+1, sum+try[j])
			}
		}
		walk(0, 0)
	})
}

func TestSolveErrors(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name string
		p    swap.LeastSquares
		want error
	}{
		{"nothing", swap.LeastSquares{}, swap.ErrProblem},
		{"bounds of two lengths", swap.LeastSquares{Lower: []float64{0}, Upper: []float64{1, 2}}, swap.ErrProblem},
		{"a short row", swap.LeastSquares{A: [][]float64{{1}}, B: []float64{1}, Lower: []float64{0, 0}, Upper: []float64{1, 1}}, swap.ErrProblem},
		{"not a number", swap.LeastSquares{A: [][]float64{{math.NaN()}}, B: []float64{1}, Lower: []float64{0}, Upper: []float64{1}}, swap.ErrProblem},
		{"no lower bound", swap.LeastSquares{Lower: []float64{-inf}, Upper: []float64{inf}}, swap.ErrProblem},
		{"an infinite total", swap.LeastSquares{Lower: []float64{0}, Upper: []float64{inf}, HasTotal: true, Total: inf}, swap.ErrProblem},
		{"bounds that cross", swap.LeastSquares{Lower: []float64{2}, Upper: []float64{1}}, swap.ErrNoRoom},
		{"too little for the total", swap.LeastSquares{Lower: []float64{0, 0}, Upper: []float64{1, 1}, Total: 3, HasTotal: true, Ridge: 1}, swap.ErrNoRoom},
		{"too much for the total", swap.LeastSquares{Lower: []float64{2, 2}, Upper: []float64{3, 3}, Total: 3, HasTotal: true, Ridge: 1}, swap.ErrNoRoom},
		{"two of one kind, no ridge", swap.LeastSquares{A: [][]float64{{1, 1}}, B: []float64{1}, Lower: []float64{-5, -5}, Upper: []float64{5, 5}}, swap.ErrNotSolved},
	} {
		if x, err := c.p.Solve(); !errors.Is(err, c.want) || x != nil {
			t.Errorf("%s: %v, %v, want %v", c.name, x, err, c.want)
		}
	}
}
