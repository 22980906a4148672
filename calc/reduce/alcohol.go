package reduce

import (
	"fmt"
	"math"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Caution is a code that bot words for a cook.
type Caution string

// Cautions of this package.
const (
	// CautionAlcoholStays: some alcohol is always left; a guest who avoids it is told. Never "alcohol-free".
	CautionAlcoholStays Caution = "alcohol stays"
	// CautionFlammable: alcohol vapour over a flame can light.
	CautionFlammable Caution = "alcohol vapour burns"
)

// Alcohol is what boiling leaves of it. Masses in g to 1 mg.
type Alcohol struct {
	Start     quantity.Number // before
	Left      quantity.Number // after, by the equilibrium of ethanol and water alone
	Low, High quantity.Number // what sugar, salt, fat and a simmer below the boil make of it
	Water     quantity.Number // left with Left: what was there less what boiled off as water
	// LeftShare, LowShare and HighShare are % of Start.
	LeftShare, LowShare, HighShare quantity.Number
	Cautions                       []Caution
}

// The range around the equilibrium. Off an open pan under the boil vapour must
// cross still air, through which ethanol diffuses 0.102 ÷ 0.219 times as fast as
// water (S-608). What is dissolved drives ethanol out a little (S-610); how far is
// an estimate of ours (S-609).
const (
	slowest = 0.102 / 0.219
	fastest = 1.50
)

// maxStrength is the highest mass share of alcohol in alcohol and water that is answered.
const maxStrength = 0.90

const milligram = 3 // decimals of a g

// Boil returns what is left of the alcohol when lost g of vapour have left an open pan.
//
//   - Formula: differential (Rayleigh) distillation, d ln A ÷ d ln V = w_vapour ÷ w_liquid, with A the alcohol and V alcohol and
//     water in the pan; vapour by the measured equilibrium at 101.3 kPa between whose rows the van Laar equation gives the shape;
//     integrated by Dormand–Prince steps, local error under 1e-10 of A.
//   - Units: g.
//   - Range: alcohol up to 90 % by mass of alcohol and water, lost less than both together, an open pan at the boil, no lid.
//   - Uncertainty: Low to High: relative volatility × 1.50 (sugar, salt) and × 0.47 (open pan under the boil, the usual case: nearer
//     High than Left). Solids that soak it up and fat hold more; a lid that drips back loses more for the same mass.
//   - Errors: [ErrNegative], [ErrBoiledDry], [ErrStrength].
//   - Source: S-603 (equilibrium), S-604 (shape), S-608, S-609 and S-610 (range); checked against S-605.
func Boil(alcohol, water, lost quantity.Number) (Alcohol, error) {
	if alcohol.Sign() < 0 || water.Sign() < 0 || lost.Sign() < 0 {
		return Alcohol{}, fmt.Errorf("%w: %s g alcohol, %s g water, %s g lost", ErrNegative, alcohol, water, lost)
	}
	both := alcohol.Add(water)
	if !lost.Less(both) {
		return Alcohol{}, fmt.Errorf("%w: %s g of %s g", ErrBoiledDry, lost, both)
	}
	if alcohol.IsZero() {
		return Alcohol{Water: water.Sub(lost)}, nil
	}
	v0, a0 := both.Float(), alcohol.Float()
	if a0/v0 > maxStrength {
		return Alcohol{}, fmt.Errorf("%w: %s g alcohol in %s g", ErrStrength, alcohol, both)
	}
	out := Alcohol{Start: alcohol, Cautions: []Caution{CautionAlcoholStays, CautionFlammable}}
	v1 := both.Sub(lost)
	for _, c := range []struct {
		factor      float64
		mass, share *quantity.Number
	}{{1, &out.Left, &out.LeftShare}, {fastest, &out.Low, &out.LowShare}, {slowest, &out.High, &out.HighShare}} {
		left, err := distil(a0, v0, v1.Float(), c.factor)
		if err != nil {
			return Alcohol{}, err
		}
		n, err := quantity.FromFloat(left, milligram)
		if err != nil {
			return Alcohol{}, err
		}
		n = clamp(n, alcohol, v1, lost)
		*c.mass, *c.share = n, n.Div(alcohol).Mul(hundred)
	}
	out.Water = v1.Sub(out.Left)
	return out, nil
}

// clamp keeps the milligram of rounding from breaking the balance: no more
// alcohol than there was or than the pan holds, no less than if only alcohol had left.
func clamp(n, start, pan, lost quantity.Number) quantity.Number {
	for _, most := range []quantity.Number{start, pan} {
		if most.Less(n) {
			n = most
		}
	}
	if least := start.Sub(lost); n.Less(least) {
		n = least
	}
	return n
}

// distil integrates ln A over ln V from v0 to v1 with the relative volatility times factor.
func distil(a0, v0, v1, factor float64) (float64, error) {
	ratio := func(lnV, lnA float64) float64 {
		w := math.Min(math.Exp(lnA-lnV), 1)
		x := moleFraction(w)
		alpha := volatility(x) * factor
		yx := alpha / (1 + (alpha-1)*x) // y ÷ x
		y := yx * x
		return yx * (molEthanol*x + molWater*(1-x)) / (molEthanol*y + molWater*(1-y))
	}
	lnA, err := integrate(ratio, math.Log(v0), math.Log(v1), math.Log(a0), 1e-10)
	return math.Exp(lnA), err
}

// AlcoholLost tells how many of the lost g that boil off a pan are alcohol; it is a
// [mix.Split]. Not known (false) where the pan's alcohol or water is not.
//
//   - Formula: start less Left of [Boil].
//   - Units: g.
//   - Range: as [Boil].
//   - Uncertainty: as [Boil]: this is the middle of its range.
//   - Errors: none; false stands for all of Boil's.
//   - Source: S-603, S-604.
func AlcoholLost(pan mix.Mixture, lost quantity.Number) (quantity.Number, bool) {
	a, w := pan.Grams(mix.Alcohol), pan.Grams(mix.Water)
	if !a.Exact || !w.Exact {
		return quantity.Number{}, false
	}
	left, err := Boil(a.AtLeast, w.AtLeast, lost)
	if err != nil {
		return quantity.Number{}, false
	}
	return a.AtLeast.Sub(left.Left), true
}

var _ mix.Split = AlcoholLost
