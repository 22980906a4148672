package rescue

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
	"tamis/calc/sugar"
)

// Reading is a measured share against the wanted one: °Bx, or % of sugar, salt, acid, fat.
type Reading struct {
	Mass quantity.Number // g
	Have quantity.Number // % or °Bx
	Want quantity.Number
}

// Correction brings a reading to what is wanted.
type Correction struct {
	Add   quantity.Number // g of what was given
	Total quantity.Number // g in the end
	// Out and In keep the mass instead: take Out g of the mixture out and put In g of the other in its place.
	Out, In quantity.Number
	// Bin: the corrected batch would be BinFactor times what there is, or more.
	Bin bool
}

// Correct returns how much of something to add where a batch is measured too sweet, too salty, too sour, or too little so: of water, of unsalted base,
// of sugar, by its own share.
//
//   - Formula: add = mass × (want − have) ÷ (with − want); with the mass kept, out = in = mass × (want − have) ÷ (with − have).
//   - Units: g; shares in % or °Bx, all alike.
//   - Range: shares 0 to 100, want between have and with.
//   - Uncertainty: one in the last figure of a reading of 30 is 3 % of the correction; what a tongue says is no reading.
//   - Errors: [ErrMass]; [ErrNever] if adding that never gets there.
//   - Source: S-602; when to bin S-721.
func Correct(r Reading, with quantity.Number) (Correction, error) {
	if r.Mass.Sign() <= 0 {
		return Correction{}, fmt.Errorf("%w: %s g", ErrMass, r.Mass)
	}
	add, err := sugar.Adjust(sugar.Syrup{Mass: r.Mass, Brix: r.Have}, with, r.Want)
	if errors.Is(err, sugar.ErrBetween) {
		return Correction{}, fmt.Errorf("%w: from %s to %s with %s", ErrNever, r.Have, r.Want, with)
	}
	if err != nil {
		return Correction{}, fmt.Errorf("%w: %w", ErrMass, err)
	}
	c := Correction{Add: add, Total: r.Mass.Add(add)}
	if !add.IsZero() {
		c.Out = r.Mass.Mul(r.Want.Sub(r.Have)).Div(with.Sub(r.Have))
		c.In = c.Out
	}
	c.Bin = !c.Total.Less(r.Mass.Mul(quantity.Int(BinFactor)))
	return c, nil
}
