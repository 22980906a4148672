package scale

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// ErrNoSplit: no number of batches keeps within the machine; see [SplitError].
var ErrNoSplit = errors.New("no batches fit the machine")

// Split is a number of equal batches; N × Each is the total exactly.
type Split struct{ N, Each quantity.Number }

// SplitError says what a machine could do instead. It is an [ErrNoSplit].
type SplitError struct {
	Total, Min, Max quantity.Number
	// Less is the largest split under the total (N 0: there is none), More the smallest over it.
	Less, More Split
}

// Error implements error.
func (e *SplitError) Error() string {
	text := fmt.Sprintf("%s in batches of %s to %s: %v: possible are ", e.Total, e.Min, e.Max, ErrNoSplit)
	if !e.Less.N.IsZero() {
		text += fmt.Sprintf("%s × %s or ", e.Less.N, e.Less.Each)
	}
	return text + fmt.Sprintf("%s × %s", e.More.N, e.More.Each)
}

// Unwrap makes errors.Is(err, ErrNoSplit) true.
func (e *SplitError) Unwrap() error { return ErrNoSplit }

// Batches returns the fewest equal batches that keep within a machine's least and
// most. Where equal ones cannot, unequal ones cannot either: one batch fewer is
// over the most, and the smallest of so many or more is under the least.
//
//   - Units: all three in one unit, of mass, volume or count.
//   - Range: total above 0; least 0 or more; most above 0 and not under least.
//   - Errors: [ErrRange]; [ErrNoSplit] with what is possible.
func Batches(total, least, most quantity.Number) (Split, error) {
	if total.Sign() <= 0 || least.Sign() < 0 || most.Sign() <= 0 || most.Less(least) {
		return Split{}, fmt.Errorf("%s in batches of %s to %s: %w", total, least, most, ErrRange)
	}
	n := total.Div(most).Ceil()
	each := total.Div(n)
	if !each.Less(least) {
		return Split{n, each}, nil
	}
	e := &SplitError{Total: total, Min: least, Max: most, More: Split{n, least}}
	if fewer := n.Sub(one); fewer.Sign() > 0 {
		e.Less = Split{fewer, most}
	}
	return Split{}, e
}

// Whole is a count of pieces told honestly: 2.5 eggs are 2 eggs and half of a
// third, which is weighed: 25 g of it, or 125 g beaten in all.
type Whole struct {
	Count quantity.Number // exact
	Whole quantity.Number // whole pieces
	Rest  quantity.Number // of one more, 0 to under 1
	// Mass of all and RestMass of the rest in g; HasMass false: a piece's mass is not known.
	Mass, RestMass quantity.Number
	HasMass        bool
}

// WholePieces divides a count into whole pieces and a rest to weigh.
//
//   - Units: each is the mass of one piece in g; 0 is not known.
//   - Range: both 0 or more.
//   - Errors: [ErrRange].
func WholePieces(count, each quantity.Number) (Whole, error) {
	if count.Sign() < 0 || each.Sign() < 0 {
		return Whole{}, fmt.Errorf("%s pieces of %s g: %w", count, each, ErrRange)
	}
	w := Whole{Count: count, Whole: count.Floor(), HasMass: each.Sign() > 0}
	w.Rest = count.Sub(w.Whole)
	w.Mass, w.RestMass = count.Mul(each), w.Rest.Mul(each)
	return w, nil
}
