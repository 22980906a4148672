package sugar

import (
	"fmt"

	"tamis/calc/quantity"
)

// Syrup is a mass in g with its sugar content in °Bx. Sugar is 100 °Bx, water 0.
type Syrup struct {
	Mass quantity.Number
	Brix quantity.Number
}

// Sugar is the sugar in s, in g, exact.
//
//   - Formula: mass × °Bx ÷ 100.
//   - Units: g.
//   - Range: any syrup.
//   - Uncertainty: that of the °Bx.
//   - Errors: none.
//   - Source: S-602.
func (s Syrup) Sugar() quantity.Number { return s.Mass.Mul(s.Brix).Div(hundred) }

// Water is what is not sugar in s, in g, exact.
//
//   - Formula: mass − sugar.
//   - Units: g.
//   - Range: any syrup; of a puree it is everything but its dissolved solids.
//   - Uncertainty: that of the °Bx.
//   - Errors: none.
//   - Source: S-602.
func (s Syrup) Water() quantity.Number { return s.Mass.Sub(s.Sugar()) }

func brixes(all ...quantity.Number) error {
	for _, b := range all {
		if b.Sign() < 0 || hundred.Less(b) {
			return fmt.Errorf("%w: %s °Bx", ErrRange, b)
		}
	}
	return nil
}

func masses(all ...quantity.Number) error {
	for _, m := range all {
		if m.Sign() < 0 {
			return fmt.Errorf("%w: %s g", ErrNegative, m)
		}
	}
	return nil
}

// Blend returns syrups poured together.
//
//   - Formula: mass = Σ masses, °Bx = 100 × Σ sugar ÷ mass.
//   - Units: g, °Bx.
//   - Range: 0 to 100 °Bx each; nothing together has 0 °Bx.
//   - Uncertainty: none beyond the syrups'.
//   - Errors: [ErrNegative], [ErrRange].
//   - Source: S-602.
func Blend(all ...Syrup) (Syrup, error) {
	var sugar quantity.Number
	var out Syrup
	for _, s := range all {
		if err := masses(s.Mass); err != nil {
			return Syrup{}, err
		}
		if err := brixes(s.Brix); err != nil {
			return Syrup{}, err
		}
		out.Mass, sugar = out.Mass.Add(s.Mass), sugar.Add(s.Sugar())
	}
	if !out.Mass.IsZero() {
		out.Brix = sugar.Div(out.Mass).Mul(hundred)
	}
	return out, nil
}

// Square returns how much of two things of different share makes a total of a
// share between them (Pearson's square): syrups, creams, brines, spirits by mass.
//
//   - Formula: a = total × (target − b) ÷ (a − b), the rest is b.
//   - Units: shares in %, °Bx; total in g, or any unit that adds up.
//   - Range: shares 0 to 100, target between both.
//   - Uncertainty: none beyond the shares'. Volumes of alcohol do not add up.
//   - Errors: [ErrSame], [ErrBetween], [ErrRange], [ErrNegative].
//   - Source: S-602; checked against S-626.
func Square(shareA, shareB, target, total quantity.Number) (ofA, ofB quantity.Number, err error) {
	if err := brixes(shareA, shareB, target); err != nil {
		return zero, zero, err
	}
	if err := masses(total); err != nil {
		return zero, zero, err
	}
	if shareA.Equal(shareB) {
		return zero, zero, fmt.Errorf("%w: %s", ErrSame, shareA)
	}
	part := target.Sub(shareB).Div(shareA.Sub(shareB))
	if part.Sign() < 0 || quantity.Int(1).Less(part) {
		return zero, zero, fmt.Errorf("%w: %s from %s and %s", ErrBetween, target, shareA, shareB)
	}
	ofA = total.Mul(part)
	return ofA, total.Sub(ofA), nil
}

// Make returns the sugar and water of a syrup from nothing.
//
//   - Formula: sugar = total × °Bx ÷ 100, water the rest.
//   - Units: g.
//   - Range: 0 to 100 °Bx.
//   - Uncertainty: none; what boils off while it dissolves is not counted.
//   - Errors: [ErrNegative], [ErrRange].
//   - Source: S-602.
func Make(total, bx quantity.Number) (sugar, water quantity.Number, err error) {
	if err := masses(total); err != nil {
		return zero, zero, err
	}
	if err := brixes(bx); err != nil {
		return zero, zero, err
	}
	s := Syrup{total, bx}
	return s.Sugar(), s.Water(), nil
}

// Adjust returns what must be added to a syrup, of something else, to bring it to a target.
//
//   - Formula: added = mass × (target − °Bx) ÷ (°Bx added − target). Sugar is 100 °Bx, water 0.
//   - Units: g, °Bx.
//   - Range: 0 to 100 °Bx; 0 g if it is there already.
//   - Uncertainty: 1 °Bx misread in 30 is 3 % of the sugar.
//   - Errors: [ErrBetween] if adding that never gets there; [ErrNegative], [ErrRange].
//   - Source: S-602.
func Adjust(s Syrup, with, target quantity.Number) (quantity.Number, error) {
	if err := masses(s.Mass); err != nil {
		return zero, err
	}
	if err := brixes(s.Brix, with, target); err != nil {
		return zero, err
	}
	if target.Equal(s.Brix) {
		return zero, nil
	}
	need, gain := target.Sub(s.Brix), with.Sub(target)
	if gain.IsZero() || need.Sign() != gain.Sign() {
		return zero, fmt.Errorf("%w: %s °Bx to %s °Bx with %s °Bx", ErrBetween, s.Brix, target, with)
	}
	return s.Mass.Mul(need).Div(gain), nil
}
