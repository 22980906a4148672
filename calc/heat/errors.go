package heat

import (
	"errors"
	"fmt"
)

// Errors of this package. Test with errors.Is; [RichError] also with errors.As.
var (
	// ErrRich: a mix for which the method was never made: rich in sugar, fat or spirit, or poor in water.
	ErrRich = errors.New("no estimate for a mix this rich")
	// ErrComposition: what the mix is made of is not known well enough.
	ErrComposition = errors.New("what it is made of is not known well enough")
	// ErrSize: a thickness, depth or length that no kitchen has.
	ErrSize = errors.New("size outside 1 mm to 1 m, or not given")
	// ErrRange: a temperature or a property outside what the method holds for.
	ErrRange = errors.New("outside what the method holds for")
	// ErrNever: in that air it never gets there.
	ErrNever = errors.New("it never gets that cold or that warm in there")
	// ErrTrials: fewer than three trials of the house.
	ErrTrials = errors.New("fewer than three trials")
)

// RichError says what there is too much (or, of water, too little) of.
type RichError struct {
	What      string  // "sugars", "fat", "alcohol" or "water"
	Per100    float64 // g per 100 g, at least (of water at most)
	Limit     float64 // g per 100 g
	NotEnough bool    // of water
}

// Error says it in a cook's words.
func (e *RichError) Error() string {
	word := "over"
	if e.NotEnough {
		word = "under"
	}
	return fmt.Sprintf("%v: %s %.3g g in 100 g, %s the limit of %g; log three batches of your own instead", ErrRich, e.What, e.Per100, word, e.Limit)
}

// Is makes errors.Is(err, ErrRich) true.
func (e *RichError) Is(target error) bool { return target == ErrRich }
