package reduce

import (
	_ "embed"
	"math"
	"sort"
	"sync"

	"tamis/calc/reftable"
)

//go:embed data/ethanol-water-vle.csv
var vleCSV []byte

// Molar masses in g/mol (IUPAC 2021).
const (
	molEthanol = 46.069
	molWater   = 18.015
)

// Van Laar constants of ethanol (1) in water (2) at 1 atm, and Antoine constants
// (mmHg, °C) of both, as Perry's Handbook prints them: S-604. They give the shape
// of the curve between the rows of the measured table (S-603), which answers.
const (
	laarA12, laarA21 = 1.6798, 0.9227
	oneAtmosphere    = 760.0 // mmHg
)

func antoineEthanol(t float64) float64 { return math.Pow(10, 8.1122-1592.864/(t+226.184)) }
func antoineWater(t float64) float64   { return math.Pow(10, 8.07131-1730.63/(t+233.426)) }

// antoineSlope is d ln p ÷ dt.
func antoineSlope(b, c, t float64) float64 { return math.Ln10 * b / ((t + c) * (t + c)) }

// vanLaar returns the activity coefficients of ethanol and water at mole fraction x of ethanol.
func vanLaar(x float64) (ethanol, water float64) {
	a, b := laarA12*x, laarA21*(1-x)
	d := (a + b) * (a + b)
	return math.Exp(laarA12 * b * b / d), math.Exp(laarA21 * a * a / d)
}

// modelVolatility returns the relative volatility of ethanol and the boiling
// point in °C by the two published sets of constants alone.
func modelVolatility(x float64) (alpha, boils float64) {
	ge, gw := vanLaar(x)
	t := 88.0          // between 78 and 100 °C, where the mixture boils
	var pe, pw float64 // partial pressures over the mole fractions
	for step := 1.0; math.Abs(step) > 1e-9; {
		pe, pw = ge*antoineEthanol(t), gw*antoineWater(t)
		slope := x*pe*antoineSlope(1592.864, 226.184, t) + (1-x)*pw*antoineSlope(1730.63, 233.426, t)
		step = (oneAtmosphere - x*pe - (1-x)*pw) / slope // Newton: the sum is convex in t, this converges
		t += step
	}
	return pe / pw, t
}

// correction is the logarithm of measured ÷ modelled volatility at the rows of the table.
type correction struct{ x, lnRatio []float64 }

var measured = sync.OnceValue(func() correction {
	t := reftable.MustParse(vleCSV)
	x, y := t.MustFloats("x"), t.MustFloats("y")
	var c correction
	for i := range x {
		if x[i] <= 0 || x[i] >= 1 {
			continue // pure liquids have no relative volatility
		}
		alpha := y[i] / (1 - y[i]) * (1 - x[i]) / x[i]
		model, _ := modelVolatility(x[i])
		c.x = append(c.x, x[i])
		c.lnRatio = append(c.lnRatio, math.Log(alpha/model))
	}
	return c
})

// at is linear between the rows and level beyond the first and the last.
func (c correction) at(x float64) float64 {
	i := sort.SearchFloat64s(c.x, x)
	switch {
	case i == 0:
		return c.lnRatio[0]
	case i == len(c.x):
		return c.lnRatio[i-1]
	}
	w := (x - c.x[i-1]) / (c.x[i] - c.x[i-1])
	return c.lnRatio[i-1]*(1-w) + c.lnRatio[i]*w
}

// volatility returns the relative volatility of ethanol over water at mole
// fraction x in the boiling liquid at 1 atm: the table at its rows, the model between.
func volatility(x float64) float64 {
	alpha, _ := modelVolatility(x)
	return alpha * math.Exp(measured().at(x))
}

// vapour returns the mole fraction of ethanol in the vapour.
func vapour(x float64) float64 {
	a := volatility(x)
	return a * x / (1 + (a-1)*x)
}

// moleFraction turns a mass fraction of ethanol in ethanol and water into a mole fraction.
func moleFraction(w float64) float64 {
	return w / molEthanol / (w/molEthanol + (1-w)/molWater)
}
