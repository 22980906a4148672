package calc_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"tamis/calc/cure"
	"tamis/calc/gel"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/calc/reftable"
	"tamis/calc/sugar"
)

// point is one published number and what is computed for it.
type point struct {
	at                  string
	published, computed float64
}

func (p point) difference() float64 { return p.computed - p.published }

// comparison is a published table against the calculation.
type comparison struct {
	what, source, unit string
	allowed            float64
	note               string // which of two sources answers
	points             []point
}

func (c comparison) worst() point {
	w := c.points[0]
	for _, p := range c.points {
		if math.Abs(p.difference()) > math.Abs(w.difference()) {
			w = p
		}
	}
	return w
}

// shown is at most eight rows, evenly spread, first and last among them.
func (c comparison) shown() []point {
	const most = 8
	if len(c.points) <= most {
		return c.points
	}
	out := make([]point, most)
	for i := range out {
		out[i] = c.points[i*(len(c.points)-1)/(most-1)]
	}
	return out
}

// rough writes a difference with two significant digits: more would hang on the processor.
func rough(f float64) string {
	if math.Abs(f) < 1e-9 {
		return "0"
	}
	return strconv.FormatFloat(f, 'f', max(0, 1-int(math.Floor(math.Log10(math.Abs(f))))), 64)
}

// number writes a float with up to five significant digits, never as an exponent.
func number(f float64) string {
	if f == 0 {
		return "0"
	}
	decimals := max(0, 4-int(math.Floor(math.Log10(math.Abs(f)))))
	s := strconv.FormatFloat(f, 'f', min(decimals, 6), 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

func load(t *testing.T, path string) reftable.Table {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(path, err)
	}
	return tab
}

func num(t *testing.T, f float64) quantity.Number {
	t.Helper()
	n, err := quantity.FromFloat(f, 6)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

// columns compares one column of a table, computed from another one.
func columns(t *testing.T, tab reftable.Table, x, y, unitOfX string, f func(quantity.Number) (float64, error)) []point {
	t.Helper()
	xs, ys := tab.MustFloats(x), tab.MustFloats(y)
	out := make([]point, len(xs))
	for i := range xs {
		v, err := f(num(t, xs[i]))
		if err != nil {
			t.Fatalf("%s at %g: %v", y, xs[i], err)
		}
		out[i] = point{number(xs[i]) + " " + unitOfX, ys[i], v}
	}
	return out
}

// value takes the middle of an estimate.
func value(e sugar.Estimate, err error) (float64, error) { return e.Value.Float(), err }

// comparisons are all that is told in docs/calculations.md; the packages' own tests ask more.
func comparisons(t *testing.T) []comparison {
	return append(append(alcoholComparisons(t), sugarComparisons(t)...), otherComparisons(t)...)
}

func alcoholComparisons(t *testing.T) []comparison {
	oiml := load(t, "reduce/testdata/alcohol-strength-oiml.csv")
	strength := func(abv quantity.Number) reduce.Strength {
		s, err := reduce.FromStrength(quantity.Int(1000), abv)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	crc := load(t, "reduce/testdata/solutions-crc-ethanol.csv")
	vle := load(t, "reduce/data/ethanol-water-vle.csv")
	var vapour []point
	for i, w := range vle.MustFloats("liquid_mass_pct") {
		if w == 0 || w > 85 { // nothing to boil off; beyond the range of Boil
			continue
		}
		// The first 10 g of vapour off a tonne: its alcohol is what the pan lost.
		alcohol := num(t, w*10_000)
		a, err := reduce.Boil(alcohol, quantity.Int(1_000_000).Sub(alcohol), quantity.Int(10))
		if err != nil {
			t.Fatal(err)
		}
		vapour = append(vapour, point{number(w) + " % in the liquid", vle.MustFloats("vapour_mass_pct")[i], 10 * a.Start.Sub(a.Left).Float()})
	}
	const ethanol, water = 46.069, 18.015
	a, err := reduce.Boil(num(t, 18*ethanol), num(t, 82*water), num(t, 13.8*ethanol+16.2*water))
	if err != nil {
		t.Fatal(err)
	}
	var kept []point
	for _, r := range load(t, "reduce/data/alcohol-retention-usda.csv").Rows {
		minutes := quantity.Number{}
		if r[1] != "" {
			minutes = quantity.MustDecimal(r[1])
		}
		k, err := reduce.Retention(reduce.Method(r[0]), minutes)
		if err != nil {
			t.Fatal(err)
		}
		kept = append(kept, point{strings.TrimSpace(r[0] + " " + r[1]), quantity.MustDecimal(r[2]).Float(), k.Low.Float()})
	}
	return []comparison{
		{"Mass share of alcohol from strength by volume", "S-606", "%", 0.001, "", columns(t, oiml, "abv_pct", "mass_pct", "% vol", func(abv quantity.Number) (float64, error) {
			s := strength(abv)
			return 100 * s.Alcohol.Float() / s.Mass.Float(), nil
		})},
		{"Density of ethanol and water", "S-606", "kg/m³", 0.011, "", columns(t, oiml, "abv_pct", "density_kg_m3", "% vol", func(abv quantity.Number) (float64, error) {
			return 1000 * strength(abv).Density.Float(), nil
		})},
		{"Density of ethanol and water, second source", "S-617", "g/ml", 0.0004, "The formula of S-606 answers.", columns(t, crc, "mass_pct", "density", "% by mass", func(w quantity.Number) (float64, error) {
			// through the strength by volume that this mass share has, so two roundings
			abv, err := reduce.ToStrength(w, quantity.Int(100).Sub(w))
			return strength(abv).Density.Float(), err
		})},
		{"Alcohol in the first vapour", "S-603", "% by mass", 0.02, "The measured table answers and its rows are met; the van Laar equation of S-604 shapes the curve between its rows and differs from it by up to 0.0104 in mole fraction.", vapour},
		{"Batch distillation, worked example", "S-605", "mol ethanol", 0.1, "100 mol of 18 mol % boiled down to 70.0 mol; the example's integral was read off a plot.",
			[]point{{"left of 18 mol", 4.2, a.Left.Float() / ethanol}}},
		{"Alcohol retained, by method", "S-607", "%", 0, "A look-up: the rows are what is answered.", kept},
	}
}

func sugarComparisons(t *testing.T) []comparison {
	crc, err := load(t, "sugar/data/solutions-crc.csv").Where("solute", "sucrose")
	if err != nil {
		t.Fatal(err)
	}
	density := func(bx quantity.Number) (float64, error) { return value(sugar.Density(bx)) }
	rise := func(bx quantity.Number) (float64, error) { return value(sugar.BoilingRise(bx)) }
	saturated := func(c quantity.Number) (float64, error) {
		v, err := value(sugar.Saturation(c))
		return v, err
	}
	toWater := func(c quantity.Number) (float64, error) {
		v, err := saturated(c)
		return 100 * v / (100 - v), err
	}
	var stages []point
	for i, r := range load(t, "sugar/testdata/candy-stages-second.csv").Rows {
		s, err := sugar.StageNamed(r[0], quantity.Number{})
		if err != nil {
			t.Fatal(err)
		}
		tab := load(t, "sugar/testdata/candy-stages-second.csv")
		stages = append(stages, point{r[0] + ", from", tab.MustFloats("C_low")[i], s.Low.Float()}, point{r[0] + ", to", tab.MustFloats("C_high")[i], s.High.Float()})
	}
	var byStage []point
	conc := load(t, "sugar/testdata/stage-concentrations.csv")
	for i, r := range conc.Rows {
		s, err := sugar.StageNamed(r[0], quantity.Number{})
		if err != nil {
			t.Fatal(err)
		}
		v, err := value(sugar.BrixBoilingAt(s.Low.Add(s.High).Div(quantity.Int(2)), quantity.Number{}))
		if err != nil {
			t.Fatal(err)
		}
		byStage = append(byStage, point{r[0], conc.MustFloats("percent")[i], v})
	}
	var altitude []point
	for h := int64(0); h <= 2500; h += 500 {
		v, err := value(sugar.WaterBoils(quantity.Int(h)))
		if err != nil {
			t.Fatal(err)
		}
		altitude = append(altitude, point{fmt.Sprint(h, " m"), 100 - float64(h)/305, v})
	}
	skim, err := sugar.Adjust(sugar.Syrup{Mass: quantity.Int(160), Brix: quantity.Int(40)}, quantity.Number{}, quantity.Int(32))
	if err != nil {
		t.Fatal(err)
	}
	milk, _, err := sugar.Square(quantity.MustDecimal("3.9"), quantity.Number{}, quantity.MustDecimal("2.6"), quantity.MustDecimal("3.9"))
	if err != nil {
		t.Fatal(err)
	}
	return []comparison{
		{"Density of syrup", "S-617", "g/ml", 0.0001, "This table answers; the polynomial is fitted to it.", columns(t, crc, "mass_pct", "density", "°Bx", density)},
		{"Density of syrup, second source", "S-618", "kg/m³", 0.1, "", columns(t, load(t, "sugar/testdata/sucrose-density-brix.csv"), "brix", "density_kg_m3", "°Bx", func(bx quantity.Number) (float64, error) {
			v, err := density(bx)
			return 1000 * v, err
		})},
		{"Baumé", "S-619", "°Bé", 0.32, "The definition (S-623) with the density answers; the printed table steps unevenly at 50 to 60 °Bx.", columns(t, load(t, "sugar/testdata/brix-baume.csv"), "brix", "baume", "°Bx", func(bx quantity.Number) (float64, error) {
			return value(sugar.Baume(bx))
		})},
		{"Refractometer", "S-617", "°Bx", 0.06, "The curve goes through the rows; that it does, and back, is what is checked.", refractometer(t, crc)},
		{"Boiling point above water", "S-612", "°C", 0.005, "This table answers, so its rows are met; Norrish's equation (S-613) says up to 1.3 °C less.", columns(t, load(t, "sugar/data/sucrose-boiling-point-elevation.csv"), "sucrose_mass_pct", "elevation_C", "°Bx", rise)},
		{"Boiling point above water, strong syrup", "S-614", "°C", 0.005, "Continues the table above; its rows are met.", columns(t, load(t, "sugar/data/boiling-point-high.csv"), "sucrose_mass_pct", "elevation_C", "°Bx", rise)},
		{"Water at altitude", "S-615", "°C", 0.15, "1 °C in 305 m against the standard atmosphere (S-616), which answers.", altitude},
		{"Stages of sugar, second chart", "S-615", "°C", 8, "The chart from memory (S-620) answers: 8 °C apart where thread begins, 3 °C elsewhere.", stages},
		{"Sugar at the stages", "S-620", "%", 6, "Charts give rounder and higher shares than the boiling-point table, which answers.", byStage},
		{"Solubility of sucrose", "S-625", "g in 100 g water", 0.15, "This table answers, so its rows are met; Vavrinecz' equation (S-621) differs by up to 0.6 °Bx. °Bx is shown to 0.01, which is the difference.", columns(t, load(t, "sugar/data/sucrose-solubility.csv"), "T_C", "g_per_100g_water", "°C", toWater)},
		{"Solubility of sucrose, second source", "S-622", "°Bx", 0.25, "", columns(t, load(t, "sugar/testdata/sucrose-solubility-second.csv"), "T_C", "mass_pct", "°C", saturated)},
		{"Two streams to a share between", "S-626", "kg or l", 0, "", []point{{"skim to 160 kg cream, 40 to 32 %", 40, skim.Float()}, {"milk of 3.9 % in 3.9 l of 2.6 %", 2.6, milk.Float()}}},
	}
}

// refractometer goes from the printed index back to the °Bx of its row.
func refractometer(t *testing.T, crc reftable.Table) []point {
	var out []point
	n := crc.MustFloats("n")
	for i, bx := range crc.MustFloats("mass_pct") {
		v, err := value(sugar.BrixOfIndex(num(t, n[i])))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, point{"index " + number(n[i]), bx, v})
	}
	return out
}

func otherComparisons(t *testing.T) []comparison {
	var bloom []point
	for _, r := range load(t, "gel/data/gelatin-bloom.csv").Rows {
		pair, ok := strings.CutPrefix(r[0], "factor ")
		if !ok {
			continue
		}
		from, to, _ := strings.Cut(strings.TrimSuffix(pair, " Bloom"), " -> ")
		c, err := gel.Convert(quantity.Int(1), quantity.MustDecimal(from), quantity.MustDecimal(to))
		if err != nil {
			t.Fatal(err)
		}
		bloom = append(bloom, point{from + " to " + to + " Bloom", quantity.MustDecimal(r[1]).Float(), c.BySquareRoot.Float()})
	}
	pan, err := reduce.Reading(quantity.Int(930), quantity.Int(180))
	if err != nil {
		t.Fatal(err)
	}
	ham := map[string]quantity.Number{}
	for _, r := range load(t, "cure/testdata/pumped-brine.csv").Rows {
		ham[r[0]] = quantity.MustDecimal(r[1])
	}
	p, err := cure.Inject(ham["meat"], ham["pump percent"], ham["salt in brine"].Div(ham["brine"]).Mul(quantity.Int(100)))
	if err != nil {
		t.Fatal(err)
	}
	return []comparison{
		{"Gelatine by the square root of the Bloom", "S-630", "g for 1 g", 0.0006, "", bloom},
		{"Pan of 930 g, 400 g reduced to 180 g", "S-601", "g", 0, "Common practice, no source.", []point{{"reading", 1110, pan.Float()}}},
		{"Pumped ham", "S-657", "g", 0.001, "", []point{{"brine taken up", ham["brine taken up"].Float(), p.Brine.Float()}, {"salt taken up", ham["salt taken up"].Float(), p.Salt.Float()}}},
	}
}

// Every comparison holds within what it allows.
func TestPublishedAgainstComputed(t *testing.T) {
	for _, c := range comparisons(t) {
		if len(c.points) == 0 {
			t.Errorf("%s compares nothing", c.what)
			continue
		}
		for _, p := range c.points {
			if d := math.Abs(p.difference()); !(d <= c.allowed+1e-12) {
				t.Errorf("%s at %s: computed %.6g, published %.6g, allowed %.3g", c.what, p.at, p.computed, p.published, c.allowed)
			}
		}
	}
}
