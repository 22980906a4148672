package heat

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Medium is what is around the food.
type Medium uint8

// The media.
const (
	StillAir  Medium = iota // a fridge or freezer cabinet
	MovingAir               // a blast chiller, an air-blast freezer
	IceWater                // ice and water, stirred now and then
)

// Surface coefficients, W/(m² K): least, usual, most, S-809.
var coefficients = [...][3]float64{
	StillAir:  {5, 8, 12},
	MovingAir: {15, 25, 50},
	IceWater:  {100, 250, 500},
}

// Coefficient returns the surface heat transfer coefficient of a medium: least, usual and most, W/(m² K).
// Foil, paper and a lid lie within the range.
//
//   - Source: S-809.
func Coefficient(m Medium) (least, usual, most float64) {
	c := coefficients[min(int(m), len(coefficients)-1)]
	return c[0], c[1], c[2]
}

// KitchenFactor is what a well-made estimate may be wrong by either way in a kitchen, S-809.
const KitchenFactor = 1.5

// Estimate is a time with the range it may lie in, min.
type Estimate struct {
	Minutes, Min, Max float64
	Doubts            []Doubt // where the method is used beyond what it was made for
}

// PlusMinus is the larger distance to an end of the range.
func (e Estimate) PlusMinus() float64 { return max(e.Minutes-e.Min, e.Max-e.Minutes) }

// Doubt is a code that bot words for a cook.
type Doubt string

// The doubts.
const (
	DoubtAir   Doubt = "air warmer than the method was made for"      // over −15 °C to freeze, under 5 °C to thaw
	DoubtFinal Doubt = "core warmer than the method was made for"     // over −8 °C
	DoubtBiot  Doubt = "thin or thick for the method"                 // Biot number outside its range
	DoubtStart Doubt = "warmer going in than the method was made for" // over 40 °C
)

// Doubts says where a freezing estimate leaves the range that Pham's method was fitted to.
//
//   - Range: any.
//   - Source: S-804.
func Doubts(p Piece, m Material, a Air, start, final float64) []Doubt {
	var out []Doubt
	if a.Temp > -15 {
		out = append(out, DoubtAir)
	}
	if final > -8 {
		out = append(out, DoubtFinal)
	}
	if bi := a.H * p.smallest() / 2 / m.KFrozen; bi < 0.02 || bi > 11 {
		out = append(out, DoubtBiot)
	}
	if start > 40 {
		out = append(out, DoubtStart)
	}
	return out
}

// over works f out at the least, usual and most coefficient and widens the range to the kitchen's factor.
func over(md Medium, temp float64, f func(Air) (float64, error)) (Estimate, error) {
	least, usual, most := Coefficient(md)
	var t [3]float64
	for i, h := range []float64{least, usual, most} {
		v, err := f(Air{H: h, Temp: temp})
		if err != nil {
			return Estimate{}, err
		}
		t[i] = v
	}
	return Estimate{Minutes: t[1], Max: max(t[0], t[1]*KitchenFactor), Min: min(t[2], t[1]/KitchenFactor)}, nil
}

// FreezeIn estimates the freezing of a piece in a medium whose coefficient is only roughly known.
//
//   - Formula: [Freeze] at the least, usual and most coefficient; at least a factor of 1.5 either way.
//   - Units: °C; min.
//   - Range: as [Freeze].
//   - Uncertainty: the range.
//   - Errors: as [Freeze].
//   - Source: S-804, S-809.
func FreezeIn(p Piece, m Material, md Medium, air, start, final float64) (Estimate, error) {
	e, err := over(md, air, func(a Air) (float64, error) { return Freeze(p, m, a, start, final) })
	if err == nil {
		_, usual, _ := Coefficient(md)
		e.Doubts = Doubts(p, m, Air{usual, air}, start, final)
	}
	return e, err
}

// ThawIn estimates the thawing of a piece in a medium.
//
//   - Formula: [Thaw] as in [FreezeIn].
//   - Units: °C; min.
//   - Range: as [Thaw].
//   - Uncertainty: the range.
//   - Errors: as [Thaw].
//   - Source: S-807, S-809.
func ThawIn(p Piece, m Material, md Medium, air, start float64) (Estimate, error) {
	e, err := over(md, air, func(a Air) (float64, error) { return Thaw(p, m, a, start) })
	if err == nil && air < 5 {
		e.Doubts = []Doubt{DoubtAir}
	}
	return e, err
}

// CoolDepth estimates the cooling of a container filled to a depth, lid off.
//
//   - Formula: between a liquid that mixes itself ([Stirred]) and one that does not flow ([Cool], core); both faces cold. The
//     value is their geometric mean; the range has the ends of the coefficient, and of a pan on a shelf that takes no heat.
//   - Units: depth m; °C; min.
//   - Range: depth 1 mm to 1 m, nothing freezes.
//   - Uncertainty: the range.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-808, S-809.
func CoolDepth(depth float64, m Material, md Medium, air, start, target float64) (Estimate, error) {
	if !(depth >= 0.001 && depth <= 1) {
		return Estimate{}, fmt.Errorf("%w: %g m", ErrSize, depth)
	}
	stirred, err := over(md, air, func(a Air) (float64, error) { return Stirred(depth/2, m, a, start, target) })
	if err != nil {
		return Estimate{}, err
	}
	still, err := over(md, air, func(a Air) (float64, error) { return Cool(SlabOf(depth), m, a, start, target, Core) })
	if err != nil {
		return Estimate{}, err
	}
	_, usual, _ := Coefficient(md)
	shelf, err := Cool(Resting(depth), m, Air{usual, air}, start, target, Core)
	if err != nil {
		return Estimate{}, err
	}
	return Estimate{Minutes: math.Sqrt(stirred.Minutes * still.Minutes), Min: stirred.Min, Max: max(still.Max, shelf)}, nil
}

// Trial is one time that the house logged for a piece of a thickness.
type Trial struct {
	Thickness float64 // m
	Minutes   float64
}

// Fitted works a time out from at least three trials of the house: the only way for a mix rich in sugar, fat or spirit.
//
//   - Formula: each trial × (thickness ÷ its thickness)^n, n = 1 and 2; the value is the median at n = 1.5, the range from the
//     least to the most of all.
//   - Units: m, min.
//   - Range: same mix, same place; a thickness a third to three times the trials'.
//   - Uncertainty: the range.
//   - Errors: [ErrTrials], [ErrSize], [ErrRange].
//   - Source: S-802 (one and two are the limits of Plank's equation).
func Fitted(trials []Trial, thickness float64) (Estimate, error) {
	if len(trials) < 3 {
		return Estimate{}, fmt.Errorf("%w: %d", ErrTrials, len(trials))
	}
	if !(thickness >= 0.001 && thickness <= 1) {
		return Estimate{}, fmt.Errorf("%w: %g m", ErrSize, thickness)
	}
	e := Estimate{Min: math.Inf(1)}
	var mids []float64
	for _, t := range trials {
		r := thickness / t.Thickness
		if !(t.Thickness > 0) || !(t.Minutes > 0) || math.IsInf(t.Minutes, 0) || r > 3 || r < 1.0/3 {
			return Estimate{}, fmt.Errorf("%w: a trial of %g min at %g m", ErrRange, t.Minutes, t.Thickness)
		}
		mids = append(mids, t.Minutes*math.Pow(r, 1.5))
		e.Min = min(e.Min, t.Minutes*min(r, r*r))
		e.Max = max(e.Max, t.Minutes*max(r, r*r))
	}
	slices.SortFunc(mids, cmp.Compare[float64])
	e.Minutes = (mids[(len(mids)-1)/2] + mids[len(mids)/2]) / 2
	return e, nil
}
