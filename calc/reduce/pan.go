package reduce

import (
	"fmt"

	"tamis/calc/quantity"
)

var (
	hundred = quantity.Int(100)
	half    = quantity.Frac(1, 2)
)

// Level is where a pan stands on the way to its target. Masses in g, exact.
type Level struct {
	Content quantity.Number // what is in the pan now
	Reading quantity.Number // what the pan must read when it is done
	ToLose  quantity.Number // still to boil off; 0 if the target is reached
	Over    quantity.Number // what boiling took too much; water that brings the mass back
}

// Reading returns what the scale must show when the pan is done, in g.
//
//   - Formula: reading = tare + target.
//   - Range: tare ≥ 0, target > 0.
//   - Uncertainty: none beyond the scale's.
//   - Errors: [ErrNegative], [ErrTarget].
//   - Source: S-601 (common practice), S-602.
func Reading(tare, target quantity.Number) (quantity.Number, error) {
	if tare.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%w: empty pan %s g", ErrNegative, tare)
	}
	if target.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%w: %s g", ErrTarget, target)
	}
	return tare.Add(target), nil
}

// StillToLose returns where a pan stands, from what the scale shows. All in g.
//
//   - Formula: content = reading − tare; to lose = content − target.
//   - Range: reading ≥ tare ≥ 0, target > 0.
//   - Uncertainty: none beyond the scale's.
//   - Errors: [ErrBelowTare], [ErrNegative], [ErrTarget].
//   - Source: S-602.
func StillToLose(reading, tare, target quantity.Number) (Level, error) {
	must, err := Reading(tare, target)
	if err != nil {
		return Level{}, err
	}
	if reading.Less(tare) {
		return Level{}, fmt.Errorf("%w: %s g on the scale, %s g empty", ErrBelowTare, reading, tare)
	}
	l := Level{Content: reading.Sub(tare), Reading: must}
	if d := l.Content.Sub(target); d.Sign() >= 0 {
		l.ToLose = d
	} else {
		l.Over = d.Neg()
	}
	return l, nil
}

// Reduction is a start and a target, in g, exact.
type Reduction struct {
	Start  quantity.Number
	Target quantity.Number
}

// To returns the reduction from a start to a target mass.
//
//   - Formula: none; the two are checked.
//   - Range: 0 < target ≤ start.
//   - Uncertainty: none.
//   - Errors: [ErrUnknownStart] if start is not above 0; [ErrTarget]; [ErrAboveStart].
//   - Source: S-602.
func To(start, target quantity.Number) (Reduction, error) {
	switch {
	case start.Sign() <= 0:
		return Reduction{}, fmt.Errorf("%w: %s g", ErrUnknownStart, start)
	case target.Sign() <= 0:
		return Reduction{}, fmt.Errorf("%w: %s g", ErrTarget, target)
	case start.Less(target):
		return Reduction{}, fmt.Errorf("%w: %s g to %s g", ErrAboveStart, start, target)
	}
	return Reduction{start, target}, nil
}

// ToHalf returns the reduction of start g by half.
//
//   - Formula: target = start ÷ 2.
//   - Range: start > 0.
//   - Uncertainty: none.
//   - Errors: [ErrUnknownStart].
//   - Source: S-602.
func ToHalf(start quantity.Number) (Reduction, error) { return To(start, start.Mul(half)) }

// ToBrix returns the reduction of start g from one sugar content to another, in °Bx (g per 100 g).
//
//   - Formula: target = start × bx0 ÷ bx1; nothing but water leaves.
//   - Range: 0 < bx0 ≤ bx1 ≤ 100.
//   - Uncertainty: that of the two readings: 1 °Bx in 50 is 2 % of the mass. Alcohol that boils off with the water makes it wrong.
//   - Errors: [ErrUnknownStart]; [ErrShare]; [ErrAboveStart] if bx1 < bx0.
//   - Source: S-602.
func ToBrix(start, bx0, bx1 quantity.Number) (Reduction, error) {
	if bx0.Sign() <= 0 || bx1.Sign() <= 0 || hundred.Less(bx0) || hundred.Less(bx1) {
		return Reduction{}, fmt.Errorf("%w: %s to %s °Bx", ErrShare, bx0, bx1)
	}
	return To(start, start.Mul(bx0).Div(bx1))
}

// Scale returns the reduction of k batches.
//
//   - Formula: start × k, target × k.
//   - Range: k > 0.
//   - Uncertainty: none; the time does not scale.
//   - Errors: [ErrUnknownStart] if k is not above 0.
//   - Source: S-602.
func (r Reduction) Scale(k quantity.Number) (Reduction, error) {
	return To(r.Start.Mul(k), r.Target.Mul(k))
}

// Evaporated returns what has to boil off, in g, and its share of the start in %.
//
//   - Formula: start − target; 100 × (start − target) ÷ start.
//   - Range: any [Reduction] made by this package.
//   - Uncertainty: none.
//   - Errors: [ErrUnknownStart] for the zero value.
//   - Source: S-602.
func (r Reduction) Evaporated() (grams, percent quantity.Number, err error) {
	if r.Start.Sign() <= 0 {
		return grams, percent, fmt.Errorf("%w: %s g", ErrUnknownStart, r.Start)
	}
	grams = r.Start.Sub(r.Target)
	return grams, grams.Div(r.Start).Mul(hundred), nil
}

// Concentrate returns the share of something that does not boil, in %, after
// the reduction: sugar, salt, gelatine, citric, tartaric or malic acid.
//
//   - Formula: share × start ÷ target.
//   - Range: 0 ≤ share ≤ 100 before and after. Not for vinegar: acetic acid leaves with the steam.
//   - Uncertainty: that of the share. Gelatine also weakens with long boiling, which is not counted.
//   - Errors: [ErrShare] if it would be more than all there is; [ErrUnknownStart].
//   - Source: S-602.
func (r Reduction) Concentrate(share quantity.Number) (quantity.Number, error) {
	if r.Start.Sign() <= 0 || r.Target.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%w: %s g", ErrUnknownStart, r.Start)
	}
	after := share.Mul(r.Start).Div(r.Target)
	if share.Sign() < 0 || hundred.Less(after) {
		return quantity.Number{}, fmt.Errorf("%w: %s %% before, %s %% after", ErrShare, share, after)
	}
	return after, nil
}
