package sugar

import (
	_ "embed"
	"math"
	"sync"

	"gonum.org/v1/gonum/interp"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/sucrose-boiling-point-elevation.csv
var riseCSV []byte

//go:embed data/boiling-point-high.csv
var highCSV []byte

// rise is the boiling-point elevation in °C against °Bx: monotone cubic through the published rows.
var rise = sync.OnceValue(func() func(float64) float64 {
	low, high := reftable.MustParse(riseCSV), reftable.MustParse(highCSV)
	var c interp.FritschButland
	x := append(append([]float64{0}, low.MustFloats("sucrose_mass_pct")...), high.MustFloats("sucrose_mass_pct")...)
	y := append(append([]float64{0}, low.MustFloats("elevation_C")...), high.MustFloats("elevation_C")...)
	if err := c.Fit(x, y); err != nil {
		panic(err)
	}
	return c.Predict
})

// riseError: the rows themselves lie up to 0.3 °C off theory below 30 °Bx, where they are
// read too high, and the coarse rows above 90 °Bx are a chart's.
func riseError(bx float64) float64 {
	switch {
	case bx < 60:
		return 0.3
	case bx <= 82:
		return 0.6
	case bx <= 90:
		return 1.5
	}
	return 4
}

// theoreticalRise is Norrish's water activity (S-613) put into the vapour pressure of water: the check on the table.
func theoreticalRise(bx float64) float64 {
	sucrose, water := bx/342.296, (100-bx)/18.015
	x := sucrose / (sucrose + water)
	activity := (1 - x) * math.Exp(-6.47*x*x)
	return boilsAt(760/activity) - boilsAt(760)
}

// boilsAt is the Antoine equation of water solved for °C; pressure in mmHg.
func boilsAt(mmHg float64) float64 { return 1730.63/(8.07131-math.Log10(mmHg)) - 233.426 }

// pressureAt is the standard atmosphere in mmHg at metres above the sea.
func pressureAt(metres float64) float64 { return 760 * math.Pow(1-2.25577e-5*metres, 5.25588) }

// drop is how much lower water boils at an altitude than at the sea, °C.
func drop(metres float64) float64 { return boilsAt(760) - boilsAt(pressureAt(metres)) }

// Altitudes answered, m.
const (
	minAltitude = -430
	maxAltitude = 5500
)

const weather = 0.5 // °C between a high and a low of 15 hPa each way

// WaterBoils returns the boiling point of water at an altitude.
//
//   - Formula: standard atmosphere p = 101 325 × (1 − 2.25577e-5 h)^5.25588 put into the Antoine equation; 100 °C at the sea.
//   - Units: m above the sea; °C.
//   - Range: −430 to 5500 m.
//   - Uncertainty: 0.5 °C, the weather's.
//   - Errors: [ErrRange].
//   - Source: S-616, S-604; checked against S-615 (1 °C in 305 m), from which it differs by 0.1 °C at 2500 m.
func WaterBoils(metres quantity.Number) (Estimate, error) {
	h, err := within("altitude", metres, minAltitude, maxAltitude)
	if err != nil {
		return Estimate{}, err
	}
	return estimate(100-drop(h), weather, 2)
}

// BoilingRise returns by how many °C a sucrose solution boils above water.
//
//   - Formula: monotone cubic (Fritsch–Butland) between the published rows.
//   - Units: °Bx; °C.
//   - Range: 0 to 95 °Bx, sucrose alone; glucose and invert sugar raise it by more than as much sucrose.
//   - Uncertainty: 0.3 °C under 60 °Bx, 0.6 to 82, 1.5 to 90, 4 above. Norrish's equation (S-613) gives less:
//     0.25 lower at 22 °Bx, 1.3 at 74, 0.65 at 82. The table answers.
//   - Errors: [ErrRange].
//   - Source: S-612 (to 82 °Bx), S-614 (above); checked against S-613.
func BoilingRise(bx quantity.Number) (Estimate, error) {
	b, err := within("°Bx", bx, 0, maxBrix)
	if err != nil {
		return Estimate{}, err
	}
	return estimate(rise()(b), riseError(b), 2)
}

// BoilingPoint returns at what temperature a syrup boils at an altitude.
//
//   - Formula: [WaterBoils] + [BoilingRise]; at 2000 m the rise is 3 % smaller, which is not counted.
//   - Units: °Bx, m; °C.
//   - Range: 0 to 95 °Bx, −430 to 5500 m.
//   - Uncertainty: both together, as root of the sum of squares.
//   - Errors: [ErrRange].
//   - Source: S-612, S-614, S-616, S-604.
func BoilingPoint(bx, metres quantity.Number) (Estimate, error) {
	b, err := within("°Bx", bx, 0, maxBrix)
	if err != nil {
		return Estimate{}, err
	}
	h, err := within("altitude", metres, minAltitude, maxAltitude)
	if err != nil {
		return Estimate{}, err
	}
	return estimate(100-drop(h)+rise()(b), math.Hypot(weather, riseError(b)), 2)
}

// BrixBoilingAt returns the °Bx of a syrup that boils at a temperature at an altitude.
//
//   - Formula: [BoilingPoint] solved for °Bx.
//   - Units: °C, m; °Bx.
//   - Range: 1.0 °C above water's boiling point (about 30 °Bx) to 43 °C (95 °Bx).
//   - Uncertainty: that of the temperature (0.5 °C and the table's) over the slope: 9 °Bx at 102 °C, 2 at 104, 1 at 112, 1.5 at 130.
//   - Errors: [ErrRange].
//   - Source: S-612, S-614, S-616, S-604.
func BrixBoilingAt(celsius, metres quantity.Number) (Estimate, error) {
	h, err := within("altitude", metres, minAltitude, maxAltitude)
	if err != nil {
		return Estimate{}, err
	}
	water := 100 - drop(h)
	c, err := within("°C", celsius, water+1, water+rise()(maxBrix))
	if err != nil {
		return Estimate{}, err
	}
	bx := invert(rise(), c-water, 0, maxBrix)
	slope := (rise()(min(bx+0.5, maxBrix)) - rise()(bx-0.5)) / (min(bx+0.5, maxBrix) - (bx - 0.5))
	return estimate(bx, math.Hypot(weather, riseError(bx))/slope, 2)
}
