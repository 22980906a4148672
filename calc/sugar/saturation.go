package sugar

import (
	_ "embed"
	"fmt"
	"sync"

	"gonum.org/v1/gonum/interp"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/sucrose-solubility.csv
var solubilityCSV []byte

// solubility is g of sucrose in 100 g of water against °C.
var solubility = sync.OnceValue(func() func(float64) float64 {
	t := reftable.MustParse(solubilityCSV)
	var c interp.FritschButland
	if err := c.Fit(t.MustFloats("T_C"), t.MustFloats("g_per_100g_water")); err != nil {
		panic(err)
	}
	return c.Predict
})

// vavrinecz is the other published solubility, mass % at t °C: the check on the table.
func vavrinecz(t float64) float64 { return 64.397 + 0.07251*t + 0.0020569*t*t - 9.035e-6*t*t*t }

// Saturation returns the °Bx at which sucrose solution is saturated.
//
//   - Formula: 100 s ÷ (100 + s), s g per 100 g water by monotone cubic between the published rows.
//   - Units: °C; °Bx.
//   - Range: 0 to 100 °C, sucrose alone.
//   - Uncertainty: 0.5 °Bx: a second table (S-622) differs by 0.25 at most, Vavrinecz' equation (S-621) by 0.6. The table answers.
//   - Errors: [ErrRange].
//   - Source: S-625; checked against S-621 and S-622.
func Saturation(celsius quantity.Number) (Estimate, error) {
	c, err := within("°C", celsius, 0, 100)
	if err != nil {
		return Estimate{}, err
	}
	s := solubility()(c)
	return estimate(100*s/(100+s), 0.5, 2)
}

// Crystals says what a syrup will do at a temperature.
type Crystals uint8

// What a syrup does, from safe to sure. Codes that bot words.
const (
	StaysClear  Crystals = iota // under saturation
	AtTheLimit                  // saturated within the uncertainty of the tables
	MaySeed                     // over saturation: a crystal, a scratch or a stir starts it
	Crystallise                 // far over: it starts by itself
)

// String returns a short name for logs.
func (c Crystals) String() string {
	return [...]string{"stays clear", "at the limit", "may seed", "crystallises"}[c]
}

// Keeping is what a syrup does at a temperature.
type Keeping struct {
	Verdict    Crystals
	Saturated  Estimate        // °Bx at that temperature
	Saturation quantity.Number // sugar per water over what the water can hold
	Cautions   []Caution
}

// WillCrystallise says whether a sucrose syrup crystallises at a temperature.
//
//   - Formula: supersaturation = (bx ÷ (100 − bx)) ÷ (s ÷ 100); clear under 0.975, at the limit to 1.025, may seed to 1.2, beyond that by itself.
//   - Units: °Bx, °C.
//   - Range: 0 to 95 °Bx, 0 to 100 °C, sucrose alone.
//   - Uncertainty: 2.5 % of the supersaturation, which is the band called the limit. That 1.2 starts by itself is from memory (S-624).
//   - Errors: [ErrRange].
//   - Source: S-625, S-624.
func WillCrystallise(bx, celsius quantity.Number) (Keeping, error) {
	b, err := within("°Bx", bx, 0, maxBrix)
	if err != nil {
		return Keeping{}, err
	}
	sat, err := Saturation(celsius)
	if err != nil {
		return Keeping{}, err
	}
	ratio := 100 * b / (100 - b) / solubility()(celsius.Float())
	n, err := quantity.FromFloat(ratio, 3)
	if err != nil {
		return Keeping{}, fmt.Errorf("%w: %w", ErrRange, err)
	}
	k := Keeping{Saturated: sat, Saturation: n, Cautions: []Caution{CautionSucroseOnly}}
	switch {
	case ratio < 0.975:
		k.Verdict = StaysClear
	case ratio <= 1.025:
		k.Verdict = AtTheLimit
	case ratio <= 1.2:
		k.Verdict = MaySeed
	default:
		k.Verdict = Crystallise
	}
	return k, nil
}
