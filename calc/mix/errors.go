package mix

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrMass: a mass or a factor is negative.
	ErrMass = errors.New("mass below zero")
	// ErrNotEnough: more is taken away than can be there.
	ErrNotEnough = errors.New("not that much there")
	// ErrUnknown: it is not known whether that much is there.
	ErrUnknown = errors.New("not known how much is there")
	// ErrNoMass: the mass of a batch is not known, so nothing can be drawn from it by mass.
	ErrNoMass = errors.New("mass of the batch not known")
	// ErrCircle: a recipe is an ingredient of itself.
	ErrCircle = errors.New("recipe within itself")
)

// LossError tells what was to be taken away and what is there, in g.
type LossError struct {
	What  Key
	Lost  quantity.Number
	There Content
	Err   error // ErrNotEnough or ErrUnknown
}

// Error says it in English for the log; bot words it for a cook.
func (e *LossError) Error() string {
	return fmt.Sprintf("%v: %s g of %s to take from %s g", e.Err, e.Lost, e.What, e.There)
}

// Unwrap returns ErrNotEnough or ErrUnknown.
func (e *LossError) Unwrap() error { return e.Err }
