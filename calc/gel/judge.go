package gel

import (
	"fmt"
	"math"
	"strings"

	"tamis/calc/quantity"
)

// Where says on which side of a dosage a dose lies.
type Where uint8

// Sides of a dosage.
const (
	Below Where = iota
	In
	Above
)

// String returns a short name for logs.
func (w Where) String() string { return [...]string{"below", "in", "above"}[w] }

// Share returns an agent's share of the water phase, in %, exact.
//
//   - Formula: 100 × grams ÷ water. The water is what is there when it sets: after reducing, with what soaked leaves bring.
//   - Units: g, %.
//   - Range: grams ≥ 0, water > 0.
//   - Uncertainty: that of the water; juice is 85 to 92 % water, cream of 35 % fat 59 %.
//   - Errors: [ErrNegative]; [ErrNoWater] if there is none or it is not known (0).
//   - Source: S-602.
func Share(grams, water quantity.Number) (quantity.Number, error) {
	if grams.Sign() < 0 {
		return zero, fmt.Errorf("%w: %s g", ErrNegative, grams)
	}
	if water.Sign() <= 0 {
		return zero, fmt.Errorf("%w: %s g", ErrNoWater, water)
	}
	return grams.Div(water).Mul(hundred), nil
}

// Verdict is a dose against the dosage of a use.
type Verdict struct {
	Agent, Use          string
	Share               quantity.Number // % of the water phase
	Low, High           quantity.Number // the dosage, %
	LowGrams, HighGrams quantity.Number // of this water
	Where               Where
	Source              string
	Others              []Value // what other sources say of this use, and general levels
	Needs               []Value
}

// Judge says whether grams of an agent are right for a use in so much water:
// "is 4 g agar right for 350 g of juice as a fluid gel".
//
//   - Formula: [Share] against the first dosage of that use.
//   - Units: g, %.
//   - Range: the agents and uses of the data file.
//   - Uncertainty: the dosage is the spread of kitchens; sugar, acid, calcium and milk move it.
//   - Errors: [ErrAgent], [ErrUse], [ErrNegative], [ErrNoWater].
//   - Source: that of the dosage, in [Verdict].
func Judge(agent, use string, grams, water quantity.Number) (Verdict, error) {
	share, err := Share(grams, water)
	if err != nil {
		return Verdict{}, err
	}
	all, err := Of(agent, Dosage)
	if err != nil {
		return Verdict{}, err
	}
	v := Verdict{Share: share}
	for _, d := range all {
		switch own := strings.EqualFold(d.Use, strings.TrimSpace(use)); {
		case own && v.Source == "":
			v.Agent, v.Use, v.Low, v.High, v.Source = d.agent, d.Use, d.Low, d.High, d.Source
		case own || d.Use == "any":
			v.Others = append(v.Others, d)
		}
	}
	if v.Source == "" {
		return Verdict{}, fmt.Errorf("%w: %.40q of %.40q", ErrUse, use, agent)
	}
	v.LowGrams, v.HighGrams = v.Low.Mul(water).Div(hundred), v.High.Mul(water).Div(hundred)
	switch {
	case share.Less(v.Low):
		v.Where = Below
	case v.High.Less(share):
		v.Where = Above
	default:
		v.Where = In
	}
	v.Needs, err = Of(agent, Needs)
	return v, err
}

// Uses returns the uses that an agent has a dosage for, in the order of the data file.
//
//   - Formula: table; "any" is left out.
//   - Range: the agents of the data file.
//   - Uncertainty: none.
//   - Errors: [ErrAgent].
//   - Source: each row's own.
func Uses(agent string) ([]string, error) {
	all, err := Of(agent, Dosage)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, d := range all {
		if n := len(out); d.Use != "any" && (n == 0 || out[n-1] != d.Use) {
			out = append(out, d.Use)
		}
	}
	return out, nil
}

// Strength is gelatine in water. Bloom 0: not known.
type Strength struct {
	Share quantity.Number // % of the water phase
	Bloom quantity.Number
}

// Comparison is one gel against another.
type Comparison struct {
	A, B Strength
	// Ratio is A over B, by share and the square root of the Bloom; to three decimals.
	Ratio quantity.Number
	// Softer, Firmer: A against B; neither within 5 %.
	Softer, Firmer bool
	// SameBloom: neither Bloom is known, both were taken for the same gelatine.
	SameBloom bool
}

// Compare says whether gelatine gel a is softer or firmer than b, such as the house's own recipe.
//
//   - Formula: ratio = share a × √Bloom a ÷ (share b × √Bloom b). Strength itself goes about with its square.
//   - Units: %, Bloom in g.
//   - Range: shares above 0; both Blooms known or neither.
//   - Uncertainty: 5 % counts as alike. Acid, alcohol, fat and sugar are not in it: compare like with like.
//   - Errors: [ErrNoWater] if a share is not above 0; [ErrBloom] if only one is known; [ErrBloomRange].
//   - Source: S-631.
func Compare(a, b Strength) (Comparison, error) {
	if a.Share.Sign() <= 0 || b.Share.Sign() <= 0 {
		return Comparison{}, fmt.Errorf("%w: %s %% and %s %%", ErrNoWater, a.Share, b.Share)
	}
	c := Comparison{A: a, B: b, SameBloom: a.Bloom.IsZero() && b.Bloom.IsZero()}
	ratio := a.Share.Div(b.Share).Float()
	if !c.SameBloom {
		for _, s := range []Strength{a, b} {
			if err := checkBloom(s.Bloom); err != nil {
				return Comparison{}, err
			}
		}
		ratio *= math.Sqrt(a.Bloom.Div(b.Bloom).Float())
	}
	n, err := quantity.FromFloat(ratio, 3)
	if err != nil {
		return Comparison{}, err
	}
	c.Ratio, c.Softer, c.Firmer = n, ratio < 0.95, ratio > 1.05
	return c, nil
}
