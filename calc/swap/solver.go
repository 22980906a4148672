package swap

import (
	"fmt"
	"math"
)

// LeastSquares is: find x that makes |Ax − b|² + Ridge·|x|² least, with Lower ≤ x ≤ Upper and, if HasTotal, the sum
// of x exactly Total. Rows of A are what is wished, columns what may move.
type LeastSquares struct {
	A            [][]float64 // rows of equal length, one number a variable
	B            []float64   // one a row
	Lower, Upper []float64   // one a variable; Upper may be +Inf, Lower may not be −Inf
	Total        float64
	HasTotal     bool
	Ridge        float64 // above 0 it makes the answer unique where columns depend on each other
}

// gram is the normal form: least of xᵀGx − 2hᵀx.
type gram struct {
	n      int
	g      []float64 // n × n, with the ridge
	h      []float64
	lo, hi []float64
	total  float64
	sum    bool
	size   float64 // of the gradient, for tolerances
}

const (
	tiny      = 1e-10 // of the problem's own size: a gradient below is 0
	maxSolved = 200   // variables
)

// Solve finds it by an active set: variables at a bound are held there, the rest solved freely, and the one that pulls
// most the wrong way is let go, until none does.
//
//   - Formula: the optimality conditions hold at the answer: with g = Aᵀ(Ax − b) + Ridge·x + λ, g = 0 between the bounds, g ≥ 0 at the
//     lower and g ≤ 0 at the upper one.
//   - Units: the caller's.
//   - Range: up to 200 variables.
//   - Uncertainty: float64; the conditions hold to 1e-7 of the problem's size.
//   - Errors: [ErrProblem] if the parts do not fit together or are not finite; [ErrNoRoom] if the bounds cross or cannot add up to Total;
//     [ErrNotSolved] if columns depend on each other and Ridge is 0.
//   - Source: S-701.
func (p LeastSquares) Solve() ([]float64, error) {
	g, err := p.gram()
	if err != nil {
		return nil, err
	}
	return g.solve()
}

func (p LeastSquares) gram() (*gram, error) {
	n := len(p.Lower)
	if n == 0 || n > maxSolved || len(p.Upper) != n || len(p.B) != len(p.A) {
		return nil, fmt.Errorf("%w: %d lower and %d upper bounds, %d rows, %d right sides", ErrProblem, n, len(p.Upper), len(p.A), len(p.B))
	}
	sound := func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
	q := &gram{n: n, g: make([]float64, n*n), h: make([]float64, n), lo: p.Lower, hi: p.Upper, total: p.Total, sum: p.HasTotal}
	if !sound(p.Total) || !sound(p.Ridge) || p.Ridge < 0 {
		return nil, fmt.Errorf("%w: total %v, ridge %v", ErrProblem, p.Total, p.Ridge)
	}
	for j := range n {
		if !sound(p.Lower[j]) || math.IsNaN(p.Upper[j]) {
			return nil, fmt.Errorf("%w: bounds %v to %v", ErrProblem, p.Lower[j], p.Upper[j])
		}
		if p.Upper[j] < p.Lower[j] {
			return nil, fmt.Errorf("%w: %v to %v", ErrNoRoom, p.Lower[j], p.Upper[j])
		}
		q.g[j*n+j] = p.Ridge
	}
	for i, row := range p.A {
		if len(row) != n || !sound(p.B[i]) {
			return nil, fmt.Errorf("%w: row %d has %d of %d numbers, right side %v", ErrProblem, i, len(row), n, p.B[i])
		}
		for j, a := range row {
			if !sound(a) {
				return nil, fmt.Errorf("%w: %v in row %d", ErrProblem, a, i)
			}
			if a == 0 {
				continue
			}
			q.h[j] += a * p.B[i]
			for k, c := range row {
				q.g[j*n+k] += a * c
			}
		}
	}
	return q, nil
}

// start returns a point within the bounds that has the total.
func (q *gram) start() ([]float64, error) {
	x := make([]float64, q.n)
	rest := q.total
	for j := range x {
		x[j] = math.Min(math.Max(0, q.lo[j]), q.hi[j])
		rest -= x[j]
	}
	if !q.sum {
		return x, nil
	}
	for j := range x {
		to := math.Min(math.Max(x[j]+rest, q.lo[j]), q.hi[j])
		rest -= to - x[j]
		x[j] = to
	}
	if math.Abs(rest) > 1e-9*(1+math.Abs(q.total)) {
		return nil, fmt.Errorf("%w: %v is left of %v", ErrNoRoom, rest, q.total)
	}
	return x, nil
}

type place int8

const (
	free place = iota
	atLower
	atUpper
)

func (q *gram) solve() ([]float64, error) {
	x, err := q.start()
	if err != nil {
		return nil, err
	}
	at := make([]place, q.n)
	for j := range x {
		switch {
		case x[j] <= q.lo[j]:
			at[j] = atLower
		case x[j] >= q.hi[j]:
			at[j] = atUpper
		}
	}
	s := &step{q: q, x: x, at: at, grad: make([]float64, q.n)}
	q.size = s.scale()
	for range 60 * (q.n + 2) {
		moved, err := s.toFreeBest()
		if err != nil {
			return nil, err
		}
		if moved == blocked {
			continue
		}
		if !s.release() {
			return x, nil
		}
	}
	return nil, fmt.Errorf("%w: %d variables", ErrNotSolved, q.n)
}

// step is the state of one solution.
type step struct {
	q    *gram
	x    []float64
	at   []place
	grad []float64
	idle int // steps of no length in a row
	// scratch
	free   []int
	m, rhs []float64
}

type outcome uint8

const (
	reached outcome = iota // the best of the free ones
	blocked                // one of them ran into a bound and is held there now
)

// scale is what a gradient is measured against.
func (s *step) scale() float64 {
	big := 1e-300
	for j, h := range s.q.h {
		big = math.Max(big, math.Abs(h))
		for k := range s.q.n {
			big = math.Max(big, math.Abs(s.q.g[j*s.q.n+k]*s.x[k]))
		}
	}
	return big
}

func (s *step) gradient() {
	n := s.q.n
	for j := range n {
		sum := -s.q.h[j]
		for k, x := range s.x {
			sum += s.q.g[j*n+k] * x
		}
		s.grad[j] = sum
	}
}

// toFreeBest moves the free variables towards the best that the total allows them.
func (s *step) toFreeBest() (outcome, error) {
	s.free = s.free[:0]
	for j, p := range s.at {
		if p == free {
			s.free = append(s.free, j)
		}
	}
	s.gradient()
	f := len(s.free)
	if f == 0 || s.q.sum && f == 1 {
		return reached, nil
	}
	d, err := s.direction()
	if err != nil {
		return reached, err
	}
	// how far until a bound
	far, hit := 1.0, -1
	for i, j := range s.free {
		var room float64
		switch {
		case d[i] < 0:
			room = (s.q.lo[j] - s.x[j]) / d[i]
		case d[i] > 0:
			room = (s.q.hi[j] - s.x[j]) / d[i]
		default:
			continue
		}
		if room < far {
			far, hit = math.Max(room, 0), i
		}
	}
	for i, j := range s.free {
		s.x[j] += far * d[i]
	}
	if hit < 0 {
		s.gradient()
		return reached, nil
	}
	if far > 0 {
		s.idle = 0
	} else {
		s.idle++
	}
	j := s.free[hit]
	if d[hit] < 0 {
		s.x[j], s.at[j] = s.q.lo[j], atLower
	} else {
		s.x[j], s.at[j] = s.q.hi[j], atUpper
	}
	return blocked, nil
}

// direction solves G_ff d = −gradient, of sum 0 where the total is kept.
func (s *step) direction() ([]float64, error) {
	f, n := len(s.free), s.q.n
	s.m = append(s.m[:0], make([]float64, f*f)...)
	s.rhs = append(s.rhs[:0], make([]float64, 2*f)...)
	d, ones := s.rhs[:f], s.rhs[f:]
	for i, j := range s.free {
		d[i], ones[i] = -s.grad[j], 1
		for k, l := range s.free {
			s.m[i*f+k] = s.q.g[j*n+l]
		}
	}
	if !cholesky(s.m, f) {
		return nil, fmt.Errorf("%w: columns depend on each other", ErrNotSolved)
	}
	back(s.m, f, d)
	if s.q.sum {
		back(s.m, f, ones)
		var sd, so float64
		for i := range d {
			sd, so = sd+d[i], so+ones[i]
		}
		lambda := sd / so
		var drift float64
		for i := range d {
			d[i] -= lambda * ones[i]
			drift += d[i]
		}
		for i := range d { // the sum is kept to the last bit that float64 has
			d[i] -= drift / float64(f)
		}
	}
	return d, nil
}

// release lets go of a held variable that pulls into the room; false if none does.
func (s *step) release() bool {
	var lambda float64
	if s.q.sum {
		if len(s.free) == 0 {
			return s.releasePair()
		}
		var sum float64
		for _, j := range s.free {
			sum += s.grad[j]
		}
		lambda = -sum / float64(len(s.free))
	}
	best, most := -1, tiny*s.q.size
	for j, p := range s.at {
		pull := s.grad[j] + lambda
		if p == atLower {
			pull = -pull
		}
		if p == free || s.q.lo[j] == s.q.hi[j] || pull <= most {
			continue
		}
		best = j
		if s.idle > s.q.n { // least index against going round in circles
			break
		}
		most = pull
	}
	if best < 0 {
		return false
	}
	s.at[best] = free
	return true
}

// releasePair lets go of two where nothing is free and the total is kept.
func (s *step) releasePair() bool {
	up, down := -1, -1 // the one that gains most by rising, and by falling
	for j, p := range s.at {
		if s.q.lo[j] == s.q.hi[j] {
			continue
		}
		if p == atLower && (up < 0 || s.grad[j] < s.grad[up]) {
			up = j
		}
		if p == atUpper && (down < 0 || s.grad[j] > s.grad[down]) {
			down = j
		}
	}
	if up < 0 || down < 0 || s.grad[down]-s.grad[up] <= tiny*s.q.size {
		return false
	}
	s.at[up], s.at[down] = free, free
	return true
}

// cholesky factors the f × f matrix in place into its lower triangle.
func cholesky(m []float64, f int) bool {
	for i := range f {
		for j := 0; j <= i; j++ {
			sum := m[i*f+j]
			for k := range j {
				sum -= m[i*f+k] * m[j*f+k]
			}
			if i != j {
				m[i*f+j] = sum / m[j*f+j]
				continue
			}
			if sum <= 0 || math.IsNaN(sum) {
				return false
			}
			m[i*f+i] = math.Sqrt(sum)
		}
	}
	return true
}

// back solves L Lᵀ v = v in place.
func back(m []float64, f int, v []float64) {
	for i := range f {
		for k := range i {
			v[i] -= m[i*f+k] * v[k]
		}
		v[i] /= m[i*f+i]
	}
	for i := f - 1; i >= 0; i-- {
		for k := i + 1; k < f; k++ {
			v[i] -= m[k*f+i] * v[k]
		}
		v[i] /= m[i*f+i]
	}
}
