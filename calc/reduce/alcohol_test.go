package reduce

import (
	"embed"
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed testdata
var files embed.FS

func table(t *testing.T, name string) reftable.Table {
	t.Helper()
	text, err := files.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
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

// Two published sets against each other: van Laar and Antoine constants (Perry's
// Handbook, read as quoted) against the measured table (Carey & Lewis 1932). They
// differ by up to 0.0104 in y and 0.55 °C; the table answers.
func TestPublishedConstantsAgainstMeasuredTable(t *testing.T) {
	tab := reftable.MustParse(vleCSV)
	x, y, boils := tab.MustFloats("x"), tab.MustFloats("y"), tab.MustFloats("T_C")
	for i := range x {
		if x[i] == 0 || x[i] == 1 {
			continue
		}
		alpha, at := modelVolatility(x[i])
		got := alpha * x[i] / (1 + (alpha-1)*x[i])
		if math.Abs(got-y[i]) > 0.0105 || math.Abs(at-boils[i]) > 0.55 {
			t.Errorf("x %.4f: model y %.4f at %.2f °C, table %.4f at %.2f °C", x[i], got, at, y[i], boils[i])
		}
		if got := vapour(x[i]); math.Abs(got-y[i]) > 1e-9 {
			t.Errorf("x %.4f: y %.6f, the table answers %.4f", x[i], got, y[i])
		}
	}
	for i, want := range tab.MustFloats("liquid_mass_pct") {
		if got := moleFraction(want / 100); math.Abs(got-x[i]) > 0.0001 {
			t.Errorf("%.2f %% by mass: x %.4f, table %.4f", want, got, x[i])
		}
	}
}

// Perry's Handbook, section 13, simple batch distillation (read as quoted): 100 mol
// of 18 mol % ethanol boiled down to 6 mol % leave 70.0 mol, 4.2 mol of it ethanol;
// the area under 1/(y − x) is 0.358, read off a plot.
func TestBatchDistillationExample(t *testing.T) {
	area := quad.Fixed(func(x float64) float64 { return 1 / (vapour(x) - x) }, 0.06, 0.18, 200, nil, 0)
	if math.Abs(area-0.358) > 0.005 {
		t.Errorf("area %.4f, published 0.358", area)
	}
	lost := 13.8*molEthanol + 16.2*molWater
	a, err := Boil(num(t, 18*molEthanol), num(t, 82*molWater), num(t, lost))
	if err != nil {
		t.Fatal(err)
	}
	if left := a.Left.Float() / molEthanol; math.Abs(left-4.2) > 0.1 {
		t.Errorf("%.3f mol ethanol left, published 4.2", left)
	}
}

// The same integral by another road: Gauss–Legendre over ln x of the Rayleigh
// equation, in moles, where Boil steps in mass.
func TestBoilAgainstQuadrature(t *testing.T) {
	for _, c := range []struct{ alcohol, water, lost float64 }{
		{74, 662, 30}, {74, 662, 184}, {74, 662, 368}, {300, 600, 200}, {300, 600, 500}, {500, 400, 300}, {5, 995, 100}, {800, 150, 400},
	} {
		a, err := Boil(num(t, c.alcohol), num(t, c.water), num(t, c.lost))
		if err != nil {
			t.Fatal(err)
		}
		n0 := c.alcohol/molEthanol + c.water/molWater
		left := a.Left.Float()
		water := c.alcohol + c.water - c.lost - left
		n1 := left/molEthanol + water/molWater
		x0, x1 := c.alcohol/molEthanol/n0, left/molEthanol/n1
		// The corrections have corners at the rows of the table: many points.
		ln := quad.Fixed(func(s float64) float64 { x := math.Exp(s); return x / (vapour(x) - x) }, math.Log(x1), math.Log(x0), 4000, nil, 0)
		if got := math.Log(n0 / n1); math.Abs(got-ln) > 2e-5+0.001/left { // Left is rounded to 1 mg
			t.Errorf("%v: ln of moles %.7f, by quadrature %.7f", c, got, ln)
		}
	}
}

// The integrator against a known answer, and against what has none.
func TestBoilErrorControl(t *testing.T) {
	rate := func(_, y float64) float64 { return -2 * y } // known answer: y = e^(−2t)
	got, err := integrate(rate, 0, 3, 1, 1e-11)
	if err != nil || math.Abs(got-math.Exp(-6)) > 1e-9 {
		t.Errorf("e^−6: %.12f, %v", got, err)
	}
	if _, err := integrate(func(t, _ float64) float64 { return 1 / (t * t) }, 1, 0, 0, 1e-12); !errors.Is(err, ErrSolver) {
		t.Errorf("a pole: %v", err)
	}
}

func TestBoilErrors(t *testing.T) {
	n := quantity.MustDecimal
	for _, c := range []struct {
		a, w, l string
		want    error
	}{
		{"-1", "10", "1", ErrNegative}, {"1", "-10", "1", ErrNegative}, {"1", "10", "-1", ErrNegative},
		{"1", "10", "11", ErrBoiledDry}, {"0", "0", "0", ErrBoiledDry}, {"95", "5", "1", ErrStrength},
	} {
		if a, err := Boil(n(c.a), n(c.w), n(c.l)); !errors.Is(err, c.want) || !a.Left.IsZero() {
			t.Errorf("%+v: %v", c, err)
		}
	}
	a, err := Boil(n("0"), n("100"), n("40"))
	if err != nil || !a.Water.Equal(n("60")) || len(a.Cautions) != 0 {
		t.Errorf("water alone: %+v, %v", a, err)
	}
}

// Alcohol, water and vapour balance to the last digit; more boiling leaves less;
// boiling twice is boiling once; the range is in order.
func TestBoilProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		alcohol := quantity.Frac(rapid.Int64Range(1000, 1_000_000).Draw(t, "alcohol mg"), 1000)
		water := alcohol.Mul(quantity.Frac(rapid.Int64Range(200, 100_000).Draw(t, "water per 1000"), 1000))
		both := alcohol.Add(water)
		share := rapid.Int64Range(0, 950).Draw(t, "lost per 1000")
		lost := both.Mul(quantity.Frac(share, 1000))
		a, err := Boil(alcohol, water, lost)
		if err != nil {
			t.Fatal(err)
		}
		if !a.Left.Add(a.Water).Add(lost).Equal(both) || a.Water.Sign() < 0 || water.Less(a.Water) {
			t.Fatalf("balance: %+v", a)
		}
		if a.Left.Less(a.Low) || a.High.Less(a.Left) || alcohol.Less(a.High) || a.Low.Sign() < 0 {
			t.Fatalf("range: %+v", a)
		}
		more, err := Boil(alcohol, water, lost.Add(both.Mul(quantity.Frac(1, 100))))
		if err != nil || a.Left.Less(more.Left) {
			t.Fatalf("more boiling: %s g then %s g, %v", a.Left, more.Left, err)
		}
		first, err := Boil(alcohol, water, lost.Mul(quantity.Frac(1, 2)))
		if err != nil {
			t.Fatal(err)
		}
		if first.Left.Less(quantity.Frac(1, 10)) { // rounding to 1 mg is no longer small
			return
		}
		twice, err := Boil(first.Left, first.Water, lost.Mul(quantity.Frac(1, 2)))
		if err != nil {
			t.Fatal(err)
		}
		// Both are rounded to 1 mg, and the first rounding goes through the second half.
		if d := twice.Left.Sub(a.Left).Abs(); quantity.MustDecimal("0.003").Less(d) {
			t.Fatalf("in two: %s g, in one: %s g", twice.Left, a.Left)
		}
	})
}

func TestAlcoholLostIsASplit(t *testing.T) {
	n := quantity.MustDecimal
	wine := mix.Composition{}.With(mix.Water, n("86")).With(mix.Alcohol, n("10.5")).With(mix.Sugars, n("0.6"))
	m, err := mix.New("wine", n("1000"), wine)
	if err != nil {
		t.Fatal(err)
	}
	alcohol, ok := AlcoholLost(m, n("200"))
	direct, err := Boil(n("105"), n("860"), n("200"))
	if !ok || err != nil || !alcohol.Equal(n("105").Sub(direct.Left)) {
		t.Fatalf("%s g, %v, %v", alcohol, ok, err)
	}
	out, err := m.LoseWaterAndAlcohol(n("200").Sub(alcohol), alcohol)
	if err != nil || !out.Mass().Equal(n("800")) {
		t.Fatalf("%s g, %v", out.Mass(), err)
	}
	if _, ok := AlcoholLost(m, n("990")); ok {
		t.Error("a pan boiled dry is answered")
	}
	unknown, _ := mix.Unknown("something", n("100"))
	if _, ok := AlcoholLost(unknown, n("10")); ok {
		t.Error("a pan of unknown content is answered")
	}
}

// OIML R 22, all rows: density within 0.01 kg/m³, mass % within 0.001.
func TestStrengthAgainstOIML(t *testing.T) {
	tab := table(t, "alcohol-strength-oiml.csv")
	abv, mass, density, perL := tab.MustFloats("abv_pct"), tab.MustFloats("mass_pct"), tab.MustFloats("density_kg_m3"), tab.MustFloats("ethanol_g_per_L")
	for i := range abv {
		s, err := FromStrength(quantity.Int(1000), num(t, abv[i]))
		if err != nil {
			t.Fatal(err)
		}
		w := 100 * s.Alcohol.Float() / s.Mass.Float()
		if math.Abs(s.Density.Float()*1000-density[i]) > 0.011 || math.Abs(w-mass[i]) > 0.001 || math.Abs(s.Alcohol.Float()-perL[i]) > 0.006 {
			t.Errorf("%.0f %% vol: %.2f kg/m³, %.3f %%, %.2f g/l; table %.2f, %.3f, %.2f", abv[i], s.Density.Float()*1000, w, s.Alcohol.Float(), density[i], mass[i], perL[i])
		}
		back, err := ToStrength(s.Alcohol, s.Water)
		if err != nil || math.Abs(back.Float()-abv[i]) > 0.002 {
			t.Errorf("%.0f %% vol comes back as %s, %v", abv[i], back, err)
		}
	}
}

// A second source for the density: CRC Handbook, all rows, within 0.0003 g/ml (0.03 %).
func TestStrengthAgainstCRC(t *testing.T) {
	tab := table(t, "solutions-crc-ethanol.csv")
	for i, w := range tab.MustFloats("mass_pct") {
		if got, want := ethanolWaterDensity(w/100), tab.MustFloats("density")[i]; math.Abs(got-want) > 0.0003 {
			t.Errorf("%.1f %% by mass: %.5f g/ml, CRC %.4f", w, got, want)
		}
	}
}

func TestStrengthErrors(t *testing.T) {
	n := quantity.MustDecimal
	if _, err := FromStrength(n("-1"), n("12")); !errors.Is(err, ErrNegative) {
		t.Error(err)
	}
	for _, v := range []string{"-1", "100.1"} {
		if _, err := FromStrength(n("1"), n(v)); !errors.Is(err, ErrStrength) {
			t.Error(v, err)
		}
	}
	if _, err := ToStrength(n("0"), n("0")); !errors.Is(err, ErrStrength) {
		t.Error(err)
	}
	if _, err := ToStrength(n("-1"), n("2")); !errors.Is(err, ErrNegative) {
		t.Error(err)
	}
}

// USDA retention factors, release 6: every row exactly, and nothing between rows but the rows.
func TestRetention(t *testing.T) {
	tab := reftable.MustParse(retentionCSV)
	for _, row := range tab.Rows {
		minutes := quantity.Int(7) // must not matter where the method has no time
		if row[1] != "" {
			minutes = quantity.MustDecimal(row[1])
		}
		r, err := Retention(Method(row[0]), minutes)
		want := quantity.MustDecimal(row[2])
		if err != nil || !r.Low.Equal(want) || !r.High.Equal(want) {
			t.Errorf("%v: %+v, %v", row, r, err)
		}
	}
	r, err := Retention(StirredIn, quantity.Int(45))
	if err != nil || !r.Low.Equal(quantity.Int(25)) || !r.High.Equal(quantity.Int(35)) || !r.From.Equal(quantity.Int(30)) || !r.To.Equal(quantity.Int(60)) {
		t.Errorf("45 min: %+v, %v", r, err)
	}
	for _, c := range []struct {
		m Method
		n int64
	}{{StirredIn, 14}, {StirredIn, 151}, {BakedNotStirred, 24}, {BakedNotStirred, 26}, {"fried", 10}} {
		if _, err := Retention(c.m, quantity.Int(c.n)); !errors.Is(err, ErrNotPublished) {
			t.Errorf("%s, %d min: %v", c.m, c.n, err)
		}
	}
}

func BenchmarkBoil(b *testing.B) {
	for b.Loop() {
		if _, err := Boil(quantity.Int(75), quantity.Int(660), quantity.Int(500)); err != nil {
			b.Fatal(err)
		}
	}
}
