package cure

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of curing salt. Test with errors.Is.
var (
	// ErrNitrite: curing salt is locked to the book; see [NitriteError].
	ErrNitrite = errors.New("curing salt is locked to the book")
	// ErrNotInBook: the book's recipe states no curing salt or no meat to scale by.
	ErrNotInBook = errors.New("curing salt not in the book's recipe")
)

// Wish is what was asked about curing salt with nitrite.
type Wish string

// Wishes that are refused, whatever the numbers.
const (
	Replace     Wish = "replace"      // by plain salt, celery, another brand or strength
	LeaveOut    Wish = "leave out"    // it keeps the food safe
	WorkOut     Wish = "work out"     // a dose the book does not have
	OtherAmount Wish = "other amount" // more or less than the book
	OtherMeat   Wish = "other meat"   // the book's recipe for something else
)

// NitriteError is a refusal with what was wished and the cautions that go with it.
type NitriteError struct {
	Wish     Wish
	Cautions []Caution
}

// Error says it in English for the log; bot words it for a cook.
func (e *NitriteError) Error() string { return fmt.Sprintf("%v: %s", ErrNitrite, e.Wish) }

// Unwrap returns ErrNitrite.
func (e *NitriteError) Unwrap() error { return ErrNitrite }

// Refuse returns the refusal of a wish about curing salt. There is no other
// answer: too little does not keep botulism off, too much poisons.
//
//   - Formula: none.
//   - Range: every wish.
//   - Uncertainty: none.
//   - Errors: always a [NitriteError] (errors.Is [ErrNitrite]).
//   - Source: S-601; limits are the local code's and the book's, none is told here.
func Refuse(w Wish) error {
	return &NitriteError{Wish: w, Cautions: []Caution{CautionNitrite, CautionLocalCode}}
}

// FromBook returns the curing salt for more or less meat of the book's own
// recipe, in its own proportion: the only thing that is done with it.
//
//   - Formula: book's curing salt × meat ÷ book's meat.
//   - Units: g; of the same curing salt as the book names, for the same meat and method.
//   - Range: book's recipe states both; meat ≥ 0.
//   - Uncertainty: none; weigh it on the fine scale.
//   - Errors: [ErrNotInBook]; [ErrNegative].
//   - Source: the house's book; S-602.
func FromBook(bookSalt, bookMeat, meat quantity.Number) (quantity.Number, []Caution, error) {
	if bookSalt.Sign() <= 0 || bookMeat.Sign() <= 0 {
		return zero, nil, fmt.Errorf("%w: %s g for %s g", ErrNotInBook, bookSalt, bookMeat)
	}
	if meat.Sign() < 0 {
		return zero, nil, fmt.Errorf("%w: %s g", ErrNegative, meat)
	}
	return bookSalt.Mul(meat).Div(bookMeat), []Caution{CautionNitrite, CautionLocalCode}, nil
}
