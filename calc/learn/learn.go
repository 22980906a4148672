// Package learn sums up a house's own trials of a step: times flow in, how many, the shortest, the longest and the middle one flow out, and how
// they stand to the book's time. It never changes the book.
package learn

import (
	"errors"
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrFew: fewer trials than [Enough].
	ErrFew = errors.New("too few trials")
	// ErrTime: a time that is not above 0.
	ErrTime = errors.New("a trial's time is not above 0")
)

// Enough is how many trials are needed before they are told beside the book.
const Enough = 3

// Summary is what trials of one step in one place come to, in minutes.
type Summary struct {
	N                      int
	Least, Middle, Longest quantity.Number
}

// Of sums trials up.
//
//   - Formula: least, median (mean of the middle two of an even number) and longest.
//   - Units: min.
//   - Range: [Enough] trials or more, of one step in one place.
//   - Uncertainty: none beyond the clocks'; three trials show no more than three.
//   - Errors: [ErrFew], [ErrTime].
//   - Source: S-814.
func Of(minutes []quantity.Number) (Summary, error) {
	for _, m := range minutes {
		if m.Sign() <= 0 {
			return Summary{}, fmt.Errorf("%w: %s min", ErrTime, m)
		}
	}
	if len(minutes) < Enough {
		return Summary{}, fmt.Errorf("%w: %d of %d", ErrFew, len(minutes), Enough)
	}
	in := slices.Clone(minutes)
	slices.SortFunc(in, func(a, b quantity.Number) int { return a.Cmp(b) })
	n := len(in)
	return Summary{N: n, Least: in[0], Middle: in[(n-1)/2].Add(in[n/2]).Div(quantity.Int(2)), Longest: in[n-1]}, nil
}

// Against is how trials stand to the book's time.
type Against string

// The ways.
const (
	Unknown Against = ""
	Within  Against = "within"
	Quicker Against = "quicker" // every one under the book's least
	Slower  Against = "slower"  // every one over the book's longest, or over its exact time
	Mixed   Against = "mixed"   // some within, some not
)

// Against compares with the book's least and longest time, nil where it gives none; an exact time is both.
//
//   - Formula: none; the ends are compared.
//   - Units: min.
//   - Range: at least one end given, else Unknown.
//   - Uncertainty: none.
//   - Errors: none.
//   - Source: S-814.
func (s Summary) Against(least, longest *quantity.Number) Against {
	under := least != nil && s.Longest.Less(*least)
	over := longest != nil && longest.Less(s.Least)
	some := least != nil && s.Least.Less(*least) || longest != nil && longest.Less(s.Longest)
	switch {
	case least == nil && longest == nil || s.N == 0:
		return Unknown
	case under:
		return Quicker
	case over:
		return Slower
	case some:
		return Mixed
	}
	return Within
}
