package sugar

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrRange: outside what the table or the formula holds for.
	ErrRange = errors.New("outside the published range")
	// ErrNegative: a mass is below zero.
	ErrNegative = errors.New("mass below zero")
	// ErrBetween: the target does not lie between what is mixed.
	ErrBetween = errors.New("target not between the two")
	// ErrSame: both have the same share, so any mixture has.
	ErrSame = errors.New("both the same")
	// ErrStage: no stage of that name.
	ErrStage = errors.New("unknown stage of sugar")
	// ErrSolute: no refractive indices of that solute.
	ErrSolute = errors.New("no refractive indices of this")
)

// Estimate is a value from a table or formula with its uncertainty, in the same unit.
type Estimate struct {
	Value     quantity.Number
	PlusMinus quantity.Number
}

// Caution is a code that bot words for a cook.
type Caution string

// Cautions of this package.
const (
	// CautionHotSugar: boiling syrup sticks and burns deep; deep pan, dry tools, ice water at hand.
	CautionHotSugar Caution = "hot sugar"
	// CautionSucroseOnly: invert sugar, glucose syrup and acid keep more in solution than the table of pure sucrose says.
	CautionSucroseOnly Caution = "sucrose only"
	// CautionBurning: beyond caramel it smokes and can light.
	CautionBurning Caution = "burning sugar"
)

var (
	hundred = quantity.Int(100)
	zero    quantity.Number
)

// estimate is the border from the solvers: rounded once, to the given decimals.
func estimate(value, plusMinus float64, decimals int) (Estimate, error) {
	v, err := quantity.FromFloat(value, decimals)
	if err != nil {
		return Estimate{}, fmt.Errorf("%w: %w", ErrRange, err)
	}
	u, err := quantity.FromFloat(plusMinus, decimals)
	if err != nil {
		return Estimate{}, fmt.Errorf("%w: %w", ErrRange, err)
	}
	return Estimate{v, u}, nil
}

// within returns n as a float if it lies in lo to hi.
func within(what string, n quantity.Number, lo, hi float64) (float64, error) {
	v := n.Float()
	if v < lo || v > hi {
		return 0, fmt.Errorf("%w: %s %s, known from %g to %g", ErrRange, what, n, lo, hi)
	}
	return v, nil
}

// invert finds x in lo to hi with f(x) = y; f rises.
func invert(f func(float64) float64, y, lo, hi float64) float64 {
	for range 60 {
		if mid := (lo + hi) / 2; f(mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
