package swap

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Proof is that nothing keeps every hard wish, however many of the ingredients change together. It is a linear program's
// answer, checked with exact numbers: a sum of the wishes that no masses within the bounds can meet.
type Proof struct {
	// Conflict are the hard wishes that cannot be kept together.
	Conflict []Function
	// Blocks are those of them without any one of which the others could be kept. Empty: it takes more than one.
	Blocks []Function
}

// halfspace is c·z ≤ b over the changes z of the actors: one side of a hard wish, divided by what it is measured in.
type halfspace struct {
	what  Function
	c     []float64
	b     float64
	exact func(j int) (least, most quantity.Number) // what c may be for actor j, by what is not known
	limit quantity.Number                           // b, at its most
}

const (
	nudge    = 1e-7
	conflict = 1e-5 // a value of the program above this is no rounding
)

var errProgram = errors.New("linear program not solved")

// prove looks for a proof; nil if there is none.
func (s *search) prove() *Proof {
	rows := s.halfspaces()
	if len(rows) == 0 {
		return nil
	}
	if len(s.actors) == 0 { // nothing may change: what is missing is missing
		p := &Proof{}
		for _, w := range s.wishes {
			if w.hard() && s.gramsOf(s.gone, w.What).AtLeast.Sign() > 0 {
				p.Conflict = append(p.Conflict, w.What)
			}
		}
		return p
	}
	y, value, err := s.conflict(rows)
	if err != nil || value <= conflict || !s.certain(rows, y) {
		return nil
	}
	p := &Proof{}
	for i, r := range rows {
		if y[i] > 1e-9 && !slices.Contains(p.Conflict, r.what) {
			p.Conflict = append(p.Conflict, r.what)
		}
	}
	for _, f := range p.Conflict {
		without := slices.DeleteFunc(slices.Clone(rows), func(r halfspace) bool { return r.what == f })
		if len(without) > 0 {
			if _, v, err := s.conflict(without); err != nil || v > conflict {
				continue
			}
		}
		p.Blocks = append(p.Blocks, f)
	}
	slices.SortFunc(p.Conflict, func(a, b Function) int { return cmp.Compare(a, b) })
	slices.SortFunc(p.Blocks, func(a, b Function) int { return cmp.Compare(a, b) })
	return p
}

// halfspaces are both sides of every hard wish that can be judged.
func (s *search) halfspaces() []halfspace {
	var out []halfspace
	for i, w := range s.wishes {
		if !w.hard() || s.scale[i] == 0 || w.What == GelStrength && !s.before[GelStrength].Exact {
			continue
		}
		for _, side := range []quantity.Number{one, one.Neg()} {
			h := s.side(w, side)
			h.c = make([]float64, len(s.actors))
			for j := range s.actors {
				c, _ := h.exact(j)
				h.c[j] = c.Float()
			}
			h.b = h.limit.Float()
			out = append(out, h)
		}
	}
	return out
}

// side is one side of a wish: ±(Σ value·z − missing) ≤ tolerance, in the wish's own unit. Of gel strength, with
// r = g of gelatine power to a gram of water before: ±(Σ (gel − r·water)·z − missing) ≤ tolerance·r·water after.
func (s *search) side(w Wish, sign quantity.Number) halfspace {
	unit := s.unit(w.What)
	if w.What != GelStrength {
		gone := scaled(s.gramsOf(s.gone, w.What), sign)
		return halfspace{what: w.What, limit: w.tolerance().Add(gone.AtMost.Div(unit)), exact: func(j int) (quantity.Number, quantity.Number) {
			c := scaled(s.per100(s.actors[j].in, w.What), sign.Div(hundred.Mul(unit)))
			return c.AtLeast, c.AtMost
		}}
	}
	before := s.before[GelStrength].Middle().Div(hundred)
	slack := unit.Mul(w.tolerance()).Div(hundred)
	water := s.before[Water]
	scale := unit.Div(hundred).Mul(water.AtLeast)
	if scale.Sign() <= 0 {
		scale = one
	}
	// sign·(gel − before·water) − slack·water, in 1 g
	perGram := func(in *Ingredient) mix.Content {
		g := scaled(s.per100(in, GelStrength), sign.Div(hundred))
		return plus(g, scaled(s.per100(in, Water), sign.Neg().Mul(before).Sub(slack).Div(hundred)))
	}
	rest := slack.Mul(water.AtMost)
	for _, p := range s.gone {
		rest = rest.Add(p.mass.Mul(perGram(p.in).AtMost))
	}
	return halfspace{what: w.What, limit: rest.Div(scale), exact: func(j int) (quantity.Number, quantity.Number) {
		c := scaled(perGram(s.actors[j].in), one.Div(scale))
		return c.AtLeast, c.AtMost
	}}
}

// conflict looks for weights y ≥ 0 of the halfspaces, of sum 1 at most, so that their sum cannot be met: the greatest of
// (least of Σ y·c·z over all masses) − Σ y·b. It is above 0 if and only if the wishes cannot be kept together.
//
// As a linear program over y, λ⁺, λ⁻, μ (of actors with a finite bound) and slacks, with t = z − low ≥ 0:
//
// Masses are counted in shares of E, all that may move.
//
//	greatest λ·E − Σ μ·room − Σ y·(b − c·low), with λ − μ_j ≤ Σ y·c_j for every actor j and Σ y ≤ 1
func (s *search) conflict(rows []halfspace) (y []float64, value float64, err error) {
	n, m := len(s.actors), len(rows)
	var capped []int
	all := s.gap.Float()
	for j, a := range s.actors {
		all -= a.low
		if !math.IsInf(a.high, 1) {
			capped = append(capped, j)
		}
	}
	lambda, mu, slack := m, m+2, m+2+len(capped)
	cols := slack + n + 1
	a := mat.NewDense(n+1, cols, nil)
	cost := make([]float64, cols)
	right := make([]float64, n+1)
	basic := make([]int, n+1)
	for i, r := range rows {
		b := r.b
		for j := range n {
			a.Set(j, i, -r.c[j]*all)
			b -= r.c[j] * s.actors[j].low
		}
		cost[i] = b
		a.Set(n, i, 1)
	}
	cost[lambda], cost[lambda+1] = -1, 1
	for j := range n {
		a.Set(j, lambda, 1)
		a.Set(j, lambda+1, -1)
		a.Set(j, slack+j, 1)
		// a little, different for each, so that no two rows bind at once and the simplex cannot go round in circles; what comes of
		// it is checked with exact numbers
		basic[j], right[j] = slack+j, nudge*float64(j+1)/float64(n)
	}
	for i, j := range capped {
		a.Set(j, mu+i, -1)
		cost[mu+i] = (s.actors[j].high - s.actors[j].low) / all
	}
	a.Set(n, slack+n, 1)
	right[n], basic[n] = 1, slack+n
	least, x, err := simplex(cost, a, right, basic)
	if err != nil {
		return nil, 0, err
	}
	return x[:m], -least, nil
}

// budget counts down how often a matrix is looked at, and panics when it is used up: gonum's simplex has no limit of its own and can go
// round in circles.
type budget struct {
	mat.Matrix
	left int
}

func (b *budget) At(i, j int) float64 {
	if b.left--; b.left < 0 {
		panic("no end")
	}
	return b.Matrix.At(i, j)
}

// simplex is gonum's, with its panics, endless rounds and half answers turned into errors.
func simplex(c []float64, a mat.Matrix, b []float64, basic []int) (least float64, x []float64, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%w: %v", errProgram, r)
		}
	}()
	m, n := a.Dims()
	least, x, err = lp.Simplex(c, &budget{a, 8*m*n + 6*(m+n)*m}, b, 1e-10, basic)
	if err != nil {
		return 0, nil, fmt.Errorf("%w: %w", errProgram, err)
	}
	if len(x) != len(c) || math.IsNaN(least) || math.IsInf(least, 0) {
		return 0, nil, errProgram
	}
	return least, x, nil
}

// certain checks a conflict with exact numbers: the weighted sum of the halfspaces, at its least over all masses within the
// bounds and all values that the compositions allow, is above what they allow.
func (s *search) certain(rows []halfspace, y []float64) bool {
	price := make([]quantity.Number, len(s.actors))
	var allowed, start quantity.Number
	for i, r := range rows {
		w, err := quantity.FromFloat(math.Max(y[i], 0), 9)
		if err != nil {
			return false
		}
		if w.IsZero() {
			continue
		}
		allowed = allowed.Add(w.Mul(r.limit))
		for j := range price {
			least, most := r.exact(j)
			price[j] = price[j].Add(w.Mul(least))
			start = start.Add(w.Mul(most).Mul(s.actors[j].start))
		}
	}
	least, ok := s.cheapest(price)
	return ok && allowed.Less(least.Sub(start))
}

// cheapest is the least of Σ price·mass over all masses of the actors that keep the recipe's mass: the cheapest first, each as far
// as it may go.
func (s *search) cheapest(price []quantity.Number) (quantity.Number, bool) {
	order := make([]int, len(s.actors))
	rest := s.gap
	for j, a := range s.actors {
		order[j] = j
		rest = rest.Add(a.start)
	}
	slices.SortStableFunc(order, func(a, b int) int { return price[a].Cmp(price[b]) })
	var sum quantity.Number
	for _, j := range order {
		take := rest
		if most := s.actors[j].most; most != nil && most.Less(take) {
			take = *most
		}
		sum, rest = sum.Add(price[j].Mul(take)), rest.Sub(take)
	}
	return sum, rest.IsZero()
}
