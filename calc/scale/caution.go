package scale

import "tamis/calc/quantity"

// Caution is the code of something that does not scale in a straight line. Its
// words are the reader's to choose.
type Caution string

// The codes.
const (
	// CautionEvaporation: a reduction in another size of batch, so in another pan
	// or depth, takes another time; the target mass still scales.
	CautionEvaporation Caution = "evaporation"
	// CautionLeavening: much larger or smaller batches want their raising agent tried.
	CautionLeavening Caution = "leavening"
	// CautionLayer: the batch fills a part of a frame, tray, ring or tin, or one of
	// another height: thickness, setting and baking time change.
	CautionLayer Caution = "layer thickness"
	// CautionSpice: strong tastes are tried, not multiplied.
	CautionSpice Caution = "spice"
	// CautionSalt: salt is tried before all of it goes in.
	CautionSalt Caution = "salt"
)

// Cautions returns the codes that hold for factor batches, in the order of the
// constants, by these rules:
//
//   - evaporation: factor ≥ 2 or ≤ 1/2 and the formula has a step with from and to;
//   - leavening, spice, salt: factor ≥ 2 or ≤ 1/2 and a line of that class;
//   - layer thickness: the formula fills a layer and the pieces are not whole.
//
// Only the formula's own lines and steps count; linked formulas are asked by themselves.
//
//   - Range: factor above 0; 0 or less has no caution.
//   - Errors: none.
//   - Source: common practice in kitchens; the limits of 2 and 1/2 are our choice.
func Cautions(f *Formula, factor quantity.Number) []Caution {
	if factor.Sign() <= 0 {
		return nil
	}
	var codes []Caution
	add := func(when bool, c Caution) {
		if when {
			codes = append(codes, c)
		}
	}
	far := !factor.Less(two) || !half.Less(factor)
	add(far && len(f.Steps) > 0, CautionEvaporation)
	add(far && f.hasClass(ClassLeavening), CautionLeavening)
	add(f.isLayer() && !f.Pieces.Mul(factor).IsInt(), CautionLayer)
	add(far && f.hasClass(ClassSpice), CautionSpice)
	add(far && f.hasClass(ClassSalt), CautionSalt)
	return codes
}

var (
	two  = quantity.Int(2)
	half = quantity.Frac(1, 2)
)

func (f *Formula) hasClass(c Class) bool {
	for i := range f.Lines {
		if f.Lines[i].Class == c {
			return true
		}
	}
	return false
}

func (f *Formula) isLayer() bool {
	return f.Layer || (f.Vessel != nil && f.Vessel.Area.Sign() > 0)
}
