package sugar

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
	"sort"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/solutions-crc.csv
var crcCSV []byte

var crc = sync.OnceValue(func() reftable.Table { return reftable.MustParse(crcCSV) })

// maxBrix is the highest sugar content answered; between 80 and 95 the curve is continued.
const maxBrix = 95.0

// specificVolume holds the coefficients of ml/g at 20 °C in powers of the mass
// fraction, least squares through the sucrose rows of S-617 and water; a test fits them again.
var specificVolume = [5]float64{1.00177163, -0.38670955, 0.01541785, 0.00267473, 0.01153307}

func density(bx float64) float64 {
	v := 0.0
	for _, c := range slices.Backward(specificVolume[:]) {
		v = v*bx/100 + c
	}
	return 1 / v
}

// baumeModulus: °Bé = 145 × (1 − 1 ÷ specific gravity), at 20 °C, S-623.
const baumeModulus = 145.0

func baume(bx float64) float64 { return baumeModulus * (1 - density(0)/density(bx)) }

func densityError(bx float64) float64 {
	if bx > 80 {
		return 0.005 // beyond the table
	}
	return 0.0005
}

// Density returns the density of a sucrose solution at 20 °C.
//
//   - Formula: 1 ÷ polynomial of degree 4 in the mass fraction (specific volume), fitted to the published rows.
//   - Units: °Bx; g/ml.
//   - Range: 0 to 95 °Bx; the rows end at 80. Warm syrup is lighter by about 0.04 % per °C.
//   - Uncertainty: 0.0005 g/ml to 80 °Bx (rows 0.00005), 0.005 above.
//   - Errors: [ErrRange].
//   - Source: S-617; checked against S-618, from which it differs by 0.00005 g/ml at most.
func Density(bx quantity.Number) (Estimate, error) {
	b, err := within("°Bx", bx, 0, maxBrix)
	if err != nil {
		return Estimate{}, err
	}
	return estimate(density(b), densityError(b), 5)
}

// BrixOfDensity returns the °Bx of a sucrose solution of a density at 20 °C.
//
//   - Formula: [Density] solved for °Bx.
//   - Units: g/ml; °Bx.
//   - Range: 0.998 to 1.515 g/ml.
//   - Uncertainty: 0.1 °Bx to 80 °Bx, 0.8 above; alcohol, salt or pulp in it makes the reading wrong.
//   - Errors: [ErrRange].
//   - Source: S-617.
func BrixOfDensity(gPerML quantity.Number) (Estimate, error) {
	d, err := within("g/ml", gPerML, 0.998, density(maxBrix))
	if err != nil {
		return Estimate{}, err
	}
	return brixEstimate(invert(density, d, 0, maxBrix))
}

func brixEstimate(bx float64) (Estimate, error) {
	if bx > 80 {
		return estimate(bx, 0.8, 2)
	}
	return estimate(bx, 0.1, 2)
}

// Baume returns the °Bé of a sucrose solution at 20 °C.
//
//   - Formula: 145 × (1 − density of water ÷ density).
//   - Units: °Bx; °Bé (modulus 145, 20 °C). Old French hydrometers used 144.3, 0.1 to 0.2 °Bé less.
//   - Range: 0 to 95 °Bx.
//   - Uncertainty: 0.1 °Bé; the published table (S-619) is rounder than that and differs by up to 0.31.
//   - Errors: [ErrRange].
//   - Source: S-623, S-617; checked against S-619. The formula answers.
func Baume(bx quantity.Number) (Estimate, error) {
	b, err := within("°Bx", bx, 0, maxBrix)
	if err != nil {
		return Estimate{}, err
	}
	return estimate(baume(b), 0.1, 2)
}

// BrixOfBaume returns the °Bx of a sucrose solution of a °Bé at 20 °C.
//
//   - Formula: [Baume] solved for °Bx.
//   - Units: °Bé (modulus 145, 20 °C); °Bx.
//   - Range: 0 to 49.4 °Bé.
//   - Uncertainty: 0.1 °Bx of the curve to 80 °Bx, 0.8 above; a spindle read to 0.5 °Bé gives 1 °Bx.
//   - Errors: [ErrRange].
//   - Source: S-623, S-617.
func BrixOfBaume(be quantity.Number) (Estimate, error) {
	v, err := within("°Bé", be, 0, baume(maxBrix))
	if err != nil {
		return Estimate{}, err
	}
	return brixEstimate(invert(baume, v, 0, maxBrix))
}

// refraction is the refractive index of one solute's solutions against mass %.
type refraction struct{ percent, index []float64 }

// at is linear between rows for the others; their rows are 1 to 4 % apart.
func (r refraction) at(p float64) float64 {
	i := max(1, min(sort.SearchFloat64s(r.percent, p), len(r.percent)-1))
	w := (p - r.percent[i-1]) / (r.percent[i] - r.percent[i-1])
	return r.index[i-1]*(1-w) + r.index[i]*w
}

const waterIndex = 1.3330 // at 589 nm and 20 °C, S-617

var sucroseRefraction = sync.OnceValue(func() refraction {
	// Between rows the specific refraction (Lorentz–Lorenz) is all but straight; the index is not.
	r, err := refractionOf("sucrose")
	if err != nil {
		panic(err)
	}
	for i, n := range r.index {
		r.index[i] = (n*n - 1) / (n*n + 2) / density(r.percent[i])
	}
	return r
})

func refractionOf(solute string) (refraction, error) {
	rows, err := crc().Where("solute", solute)
	if err != nil || len(rows.Rows) == 0 {
		return refraction{}, fmt.Errorf("%w: %q", ErrSolute, solute)
	}
	return refraction{append([]float64{0}, rows.MustFloats("mass_pct")...), append([]float64{waterIndex}, rows.MustFloats("n")...)}, nil
}

// index returns the refractive index of a sucrose solution.
func index(bx float64) float64 {
	a := sucroseRefraction().at(bx) * density(bx) // (n² − 1) ÷ (n² + 2)
	return math.Sqrt((1 + 2*a) / (1 - a))
}

// BrixOfIndex returns what a refractometer shows for a refractive index: the
// °Bx of the sucrose solution that bends light as much.
//
//   - Formula: specific refraction (Lorentz–Lorenz) linear between the published rows, times [Density], solved for °Bx.
//   - Units: index at 589 nm, 20 °C; °Bx.
//   - Range: 1.3330 to 1.4906 (80 °Bx).
//   - Uncertainty: 0.1 °Bx; the rows have four decimals.
//   - Errors: [ErrRange].
//   - Source: S-617.
func BrixOfIndex(n quantity.Number) (Estimate, error) {
	v, err := within("refractive index", n, waterIndex, index(80))
	if err != nil {
		return Estimate{}, err
	}
	return estimate(invert(index, v, 0, 80), 0.1, 2)
}

// Solutes returns what [ApparentBrix] has refractive indices of.
//
//   - Formula: names of the table, in its order.
//   - Range: citric acid, ethanol, the sugars, glycerol, salt.
//   - Uncertainty: none.
//   - Errors: none.
//   - Source: S-617.
func Solutes() []string {
	names, err := crc().Text("solute")
	if err != nil {
		panic(err)
	}
	return slices.Compact(names)
}

// ApparentBrix returns what a refractometer shows for a solution of one thing
// that is not sucrose, in mass %: it reads everything as sucrose.
//
//   - Formula: the index of the published rows (linear between) looked up among sucrose solutions.
//   - Units: mass % of the solute; °Bx.
//   - Range: the rows of the solute, up to an index of 80 °Bx.
//   - Uncertainty: 0.2 °Bx. Mixtures add up roughly; pulp and fat blur the line, and a hot sample reads low.
//   - Errors: [ErrSolute], [ErrRange].
//   - Source: S-617.
func ApparentBrix(solute string, percent quantity.Number) (Estimate, error) {
	r, err := refractionOf(solute)
	if err != nil {
		return Estimate{}, err
	}
	p, err := within(solute+" %", percent, 0, r.percent[len(r.percent)-1])
	if err != nil {
		return Estimate{}, err
	}
	n := r.at(p)
	if n > index(80) {
		return Estimate{}, fmt.Errorf("%w: %s %% %s reads above 80 °Bx", ErrRange, percent, solute)
	}
	return estimate(invert(index, n, 0, 80), 0.2, 2)
}
