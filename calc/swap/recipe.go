package swap

import (
	"fmt"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Line is one ingredient of the recipe. Lines of no mass (to taste, a pinch) are left out.
type Line struct {
	Ingredient
	Mass quantity.Number // g
	Lock Lock            // why it is never swapped; "" if it may be
	// Move: it may be raised or lowered to make good what is missing. A locked line never moves.
	Move bool
	// Left is how much of it there is in all, g; nil: plenty.
	Left *quantity.Number
}

// Recipe is one batch as it is weighed.
type Recipe struct{ Lines []Line }

// Mass is the sum of the lines, in g.
//
//   - Errors: none.
func (r Recipe) Mass() quantity.Number {
	all := make([]quantity.Number, len(r.Lines))
	for i := range r.Lines {
		all[i] = r.Lines[i].Mass
	}
	return quantity.Sum(all...)
}

// Missing is a line of which there is not enough.
type Missing struct {
	Line int             // index in Lines
	Left quantity.Number // g that are there, from 0 to less than the line; they are used
}

// Candidate is something the house has.
type Candidate struct {
	Ingredient
	// Allowed: the caller has looked at allergens, diets, links, shared equipment and the chef's word, and it may come in.
	Allowed bool
	// Unknown: something of that is not known. It does not come in.
	Unknown bool
	// Lock: it may not be put in for anything (curing salt).
	Lock Lock
	Left *quantity.Number // g there are; nil: plenty
}

// Wish is a function to be kept.
type Wish struct {
	What Function
	// Weight against the other wishes; 0 is 1.
	Weight float64
	// Tolerance as a share of what there was (0.05 is 5 %), or of the function's floor where there was little. Above 0 the wish
	// is hard: an answer that misses it says so, and it may be proved that none keeps it. 0: as near as may be.
	Tolerance quantity.Number
}

// softTolerance is what counts as kept where a wish gives no tolerance. Our choice: S-707.
var softTolerance = pct("5")

func (w Wish) hard() bool { return w.Tolerance.Sign() > 0 }

func (w Wish) tolerance() quantity.Number {
	if w.hard() {
		return w.Tolerance
	}
	return softTolerance
}

// Options of a search.
type Options struct {
	Scales []quantity.Scale // of the house; none: 1 g from 10 g up, 0.1 g under it
	// Most is how many answers are given; 0 is 5.
	Most int
	// Changes is how many ingredients may change besides the missing ones, 1 to 3; 0 is 3.
	Changes int
}

// Limits of a search.
const (
	MaxLines      = 60
	MaxCandidates = 120
)

// deficit is what is missing of all missing lines, checked.
func (r Recipe) deficit(missing []Missing) ([]quantity.Number, error) {
	if len(r.Lines) > MaxLines {
		return nil, fmt.Errorf("%w: %d lines", ErrTooMany, len(r.Lines))
	}
	for _, l := range r.Lines {
		if l.Mass.Sign() < 0 || l.Left != nil && l.Left.Sign() < 0 {
			return nil, fmt.Errorf("%w: %s", ErrMass, l.Name)
		}
	}
	if len(missing) == 0 {
		return nil, ErrNothing
	}
	out := make([]quantity.Number, len(r.Lines))
	for _, m := range missing {
		if m.Line < 0 || m.Line >= len(r.Lines) || !out[m.Line].IsZero() {
			return nil, fmt.Errorf("%w: %d", ErrLine, m.Line)
		}
		l := &r.Lines[m.Line]
		if l.Lock != Unlocked {
			return nil, &LockedError{l.Name, l.Lock}
		}
		gap := l.Mass.Sub(m.Left)
		if m.Left.Sign() < 0 || gap.Sign() <= 0 {
			return nil, fmt.Errorf("%w: %s g of %s g %s left", ErrMass, m.Left, l.Mass, l.Name)
		}
		out[m.Line] = gap
	}
	return out, nil
}

// part is a mass of an ingredient; a change may be below zero.
type part struct {
	in   *Ingredient
	mass quantity.Number
}

// gramsOf sums a function over parts, exactly, within bounds.
func gramsOf(parts []part, f Function) mix.Content {
	return sumOf(parts, func(in *Ingredient) mix.Content { return in.Per100(f) })
}

func sumOf(parts []part, per100 func(*Ingredient) mix.Content) mix.Content {
	var lo, hi []quantity.Number
	c := mix.Content{Exact: true}
	for _, p := range parts {
		if p.mass.IsZero() {
			continue
		}
		v := per100(p.in)
		if v.Exact && v.AtLeast.IsZero() {
			continue
		}
		k := p.mass.Div(hundred)
		if v.Exact {
			n := v.AtLeast.Mul(k)
			lo, hi = append(lo, n), append(hi, n)
			continue
		}
		s := scaled(v, k)
		lo, hi = append(lo, s.AtLeast), append(hi, s.AtMost)
		c.Exact = false
		c.Missing = append(c.Missing, p.in.Name)
	}
	c.AtLeast = quantity.Sum(lo...)
	if c.AtMost = c.AtLeast; !c.Exact {
		c.AtMost = quantity.Sum(hi...)
	}
	return c
}

// perWater turns grams of gelatine power into g in 100 g of water; not exact where water is not.
func perWater(gelatine, water mix.Content) mix.Content {
	if water.AtLeast.Sign() <= 0 {
		return mix.Content{Open: true, Missing: water.Missing}
	}
	c := mix.Content{
		AtLeast: gelatine.AtLeast.Div(water.AtMost).Mul(hundred),
		AtMost:  gelatine.AtMost.Div(water.AtLeast).Mul(hundred),
		Exact:   gelatine.Exact && water.Exact,
	}
	if !c.Exact {
		c.Missing = append(append(c.Missing, gelatine.Missing...), water.Missing...)
	}
	return c
}

func (r Recipe) parts() []part {
	out := make([]part, len(r.Lines))
	for i := range r.Lines {
		out[i] = part{&r.Lines[i].Ingredient, r.Lines[i].Mass}
	}
	return out
}
