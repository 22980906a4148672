package siphon

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrBottle: the size of the bottle is not known.
	ErrBottle = errors.New("size of the siphon not known")
	// ErrNegative: there is less than nothing of the mixture.
	ErrNegative = errors.New("below zero")
	// ErrDensity: a density that no mixture has.
	ErrDensity = errors.New("density outside 0.5 to 2 g/ml")
)

// Caution is a code that bot words for a cook.
type Caution string

// Cautions of this package.
const (
	// CautionOverfull: more than the bottle's size leaves the gas no room; never close it so.
	CautionOverfull Caution = "siphon overfull"
	// CautionPressure: let the gas out before opening, only the maker's parts, only as many chargers as the maker allows.
	CautionPressure Caution = "siphon under pressure"
	// CautionGas: nitrous oxide is for food in a ventilated room; the charger and the nozzle get freezing cold.
	CautionGas Caution = "nitrous oxide"
	// CautionHot: over 75 °C; the maker's limit holds, steam adds to the pressure.
	CautionHot Caution = "siphon too hot"
)

// ChargerGrams is the gas in one charger, g of nitrous oxide, S-649.
const ChargerGrams = 8

// Fill is one mixture spread over bottles.
type Fill struct {
	Bottles     quantity.Number // whole
	Volume      quantity.Number // of the mixture in each, ml
	Mass        quantity.Number // of the mixture in each, g
	Most        quantity.Number // that may go into one bottle, g
	Chargers    quantity.Number // into each bottle, whole
	AllChargers quantity.Number
	Cautions    []Caution
}

// Charge returns how a mixture goes into siphons of a size.
//
//   - Formula: bottles = ⌈mass ÷ density ÷ size⌉, filled alike; chargers in each = ⌈size ÷ 500 ml⌉, one more where the mixture has
//     little fat to hold the gas.
//   - Units: g, g/ml, ml. size is the bottle's nominal volume, which leaves the room for gas above itself.
//   - Range: density 0.5 to 2 g/ml, not whipped.
//   - Uncertainty: one charger; the maker's number goes first and is never gone over.
//   - Errors: [ErrBottle], [ErrNegative], [ErrDensity].
//   - Source: S-601 (chargers per half litre), S-602.
func Charge(mass, density, size quantity.Number, lean bool) (Fill, error) {
	if err := check(mass, density, size); err != nil {
		return Fill{}, err
	}
	volume := mass.Div(density)
	f := Fill{Bottles: volume.Div(size).Ceil(), Most: size.Mul(density), Cautions: []Caution{CautionPressure, CautionGas}}
	if f.Bottles.IsZero() {
		return f, nil
	}
	f.Volume, f.Mass = volume.Div(f.Bottles), mass.Div(f.Bottles)
	f.Chargers = size.Div(quantity.Int(500)).Ceil()
	if lean {
		f.Chargers = f.Chargers.Add(quantity.Int(1))
	}
	f.AllChargers = f.Chargers.Mul(f.Bottles)
	return f, nil
}

// Fits says whether a mixture at a temperature goes into one siphon, by cautions.
//
//   - Formula: overfull if mass ÷ density > size; too hot above 75 °C.
//   - Units: g, g/ml, ml, °C.
//   - Range: density 0.5 to 2 g/ml.
//   - Uncertainty: that of the density.
//   - Errors: [ErrBottle], [ErrNegative], [ErrDensity].
//   - Source: S-601.
func Fits(mass, density, size, celsius quantity.Number) ([]Caution, error) {
	if err := check(mass, density, size); err != nil {
		return nil, err
	}
	out := []Caution{CautionPressure, CautionGas}
	if size.Less(mass.Div(density)) {
		out = append(out, CautionOverfull)
	}
	if quantity.Int(75).Less(celsius) {
		out = append(out, CautionHot)
	}
	return out, nil
}

func check(mass, density, size quantity.Number) error {
	switch {
	case size.Sign() <= 0:
		return fmt.Errorf("%w: %s ml", ErrBottle, size)
	case mass.Sign() < 0:
		return fmt.Errorf("%w: %s g", ErrNegative, mass)
	case density.Less(quantity.Frac(1, 2)) || quantity.Int(2).Less(density):
		return fmt.Errorf("%w: %s", ErrDensity, density)
	}
	return nil
}
