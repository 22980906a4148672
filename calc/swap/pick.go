package swap

import (
	"math"
	"slices"
)

// choice is a set of actors and how far they get: the least of |Az − b|² for changes z of theirs alone, that make good
// the missing mass exactly.
type choice struct {
	off float64
	of  [3]int16
	n   int
}

// keepChoices is how many sets of a size are solved, rounded and verified.
const keepChoices = 24

// shortlist keeps the best choices of one size, best first; of equals the first seen.
type shortlist struct{ all []choice }

func (l *shortlist) worst() float64 {
	if len(l.all) < keepChoices {
		return math.Inf(1)
	}
	return l.all[len(l.all)-1].off
}

func (l *shortlist) add(c choice) {
	at, _ := slices.BinarySearchFunc(l.all, c, func(have, c choice) int {
		if have.off <= c.off {
			return -1
		}
		return 1
	})
	if len(l.all) == keepChoices {
		l.all = l.all[:keepChoices-1]
	}
	l.all = slices.Insert(l.all, at, c)
}

// picker scores sets of actors in closed form: with the total kept, one actor has no freedom, two have one and three have two.
type picker struct {
	n         int
	g         []float64
	h         []float64
	low, high []float64
	d         float64 // the missing mass
	rest      float64 // |b|²
}

func (s *search) picker() (*picker, error) {
	n := len(s.actors)
	low, high := make([]float64, n), make([]float64, n)
	for j, a := range s.actors {
		low[j], high[j] = a.low, a.high
	}
	q, err := LeastSquares{A: s.a, B: s.b, Lower: low, Upper: high, Ridge: s.ridge}.gram()
	if err != nil {
		return nil, err
	}
	p := &picker{n: n, g: q.g, h: q.h, low: low, high: high, d: s.gap.Float()}
	for _, b := range s.b {
		p.rest += b * b
	}
	return p, nil
}

// size scores all sets of that many actors.
func (p *picker) size(n int) []choice {
	var l shortlist
	switch n {
	case 1:
		p.ones(&l)
	case 2:
		p.twos(&l)
	default:
		p.threes(&l)
	}
	return l.all
}

func (p *picker) ones(l *shortlist) {
	for i := range p.n {
		if p.d < p.low[i] || p.d > p.high[i] {
			continue
		}
		off := p.d*(p.g[i*p.n+i]*p.d-2*p.h[i]) + p.rest
		if off < l.worst() {
			l.add(choice{off, [3]int16{int16(i)}, 1})
		}
	}
}

// parabola gives the least of c + 2·b·t + a·t² for t from lo to hi.
func parabola(a, b, c, lo, hi float64) (least, at float64, ok bool) {
	if lo > hi {
		return 0, 0, false
	}
	t := -b / a
	t = math.Min(math.Max(t, lo), hi)
	return c + t*(2*b+a*t), t, true
}

// pair is the best of two actors whose changes add up to d.
func (p *picker) pair(i, j int, d, c, hi, hj float64) (least, zi float64, ok bool) {
	n := p.n
	gii, gjj, gij := p.g[i*n+i], p.g[j*n+j], p.g[i*n+j]
	return parabola(gii+gjj-2*gij, d*(gij-gjj)-hi+hj, c+d*(gjj*d-2*hj),
		math.Max(p.low[i], d-p.high[j]), math.Min(p.high[i], d-p.low[j]))
}

func (p *picker) twos(l *shortlist) {
	eps := 1e-9 * p.d
	for i := range p.n {
		for j := i + 1; j < p.n; j++ {
			off, z, ok := p.pair(i, j, p.d, p.rest, p.h[i], p.h[j])
			if !ok || off >= l.worst() || math.Abs(z) <= eps || math.Abs(p.d-z) <= eps {
				continue
			}
			l.add(choice{off, [3]int16{int16(i), int16(j)}, 2})
		}
	}
}

func (p *picker) threes(l *shortlist) {
	n, d := p.n, p.d
	eps := 1e-9 * d
	worst := l.worst()
	for k := range n {
		gk := p.g[k*n : k*n+n]
		gkk, hk := gk[k], p.h[k]
		base := p.rest + d*(gkk*d-2*hk)
		for i := range k {
			gi := p.g[i*n : i*n+n]
			gik := gk[i]
			a11 := gi[i] + gkk - 2*gik
			b1 := d*(gik-gkk) - p.h[i] + hk
			for j := range i {
				// off = base + 2 b·z + zᵀ A z over z = (zi, zj), zk = d − zi − zj
				gjk := gk[j]
				a22 := p.g[j*n+j] + gkk - 2*gjk
				a12 := gi[j] + gkk - gik - gjk
				b2 := d*(gjk-gkk) - p.h[j] + hk
				det := a11*a22 - a12*a12
				if det <= 0 {
					continue
				}
				zi, zj := (a12*b2-a22*b1)/det, (a12*b1-a11*b2)/det
				off := base + b1*zi + b2*zj // at its least
				if off >= worst {
					continue // no bound makes it better
				}
				zk := d - zi - zj
				if zi < p.low[i] || zi > p.high[i] || zj < p.low[j] || zj > p.high[j] || zk < p.low[k] || zk > p.high[k] {
					var ok bool
					if off, ok = p.edge([3]int{j, i, k}, [3]float64{zj, zi, zk}, eps); !ok || off >= worst {
						continue
					}
				} else if math.Abs(zi) <= eps || math.Abs(zj) <= eps || math.Abs(zk) <= eps {
					continue
				}
				l.add(choice{off, [3]int16{int16(j), int16(i), int16(k)}, 3})
				worst = l.worst()
			}
		}
	}
}

// edge is the best of three actors with one of them at a bound that the free best breaks: the true best is on such a bound.
// A set in which one does not change is no set of three.
func (p *picker) edge(of [3]int, z [3]float64, eps float64) (float64, bool) {
	best, found := math.Inf(1), false
	for m := range of {
		f := of[m]
		var at float64
		switch {
		case z[m] < p.low[f]:
			at = p.low[f]
		case z[m] > p.high[f]:
			at = p.high[f]
		default:
			continue
		}
		i, j := of[(m+1)%3], of[(m+2)%3]
		d := p.d - at
		c := p.rest + at*(p.g[f*p.n+f]*at-2*p.h[f])
		off, zi, ok := p.pair(i, j, d, c, p.h[i]-p.g[f*p.n+i]*at, p.h[j]-p.g[f*p.n+j]*at)
		if !ok || off >= best {
			continue
		}
		best, found = off, math.Abs(at) > eps && math.Abs(zi) > eps && math.Abs(d-zi) > eps
	}
	return best, found
}
