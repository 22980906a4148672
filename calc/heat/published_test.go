package heat

import (
	"math"
	"os"
	"strconv"
	"testing"

	"tamis/calc/reftable"
)

func table(t *testing.T, name string) (reftable.Table, func(col string, row int) float64) {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return tab, func(col string, row int) float64 {
		i, err := tab.Col(col)
		if err != nil {
			t.Fatal(err)
		}
		v, err := strconv.ParseFloat(tab.Rows[row][i], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.5g, published %.5g (allowed %g %%)", what, got, want, share*100)
	}
}

// Singh & Heldman, Introduction to Food Engineering, and Earle, Unit Operations in Food Processing; the file says which was read.
func TestFreezingTimeExamples(t *testing.T) {
	tab, at := table(t, "freezing-time-examples.csv")
	for i, row := range tab.Rows {
		p := Piece{Shape: map[string]Shape{"slab": Slab, "sphere": Sphere}[row[1]], Thickness: at("thickness_or_diameter_m", i)}
		k := at("k_frozen_W_mK", i)
		m := Material{Density: at("rho_kg_m3", i), K: k, KFrozen: k, Cp: 3.5, CpFrozen: 2, Latent: at("latent_kJ_kg", i), FreezingPoint: at("freezing_point_C", i)}
		got, err := Plank(p, m, Air{at("h_W_m2K", i), at("medium_C", i)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0], got*60, at("result_s", i), 0.002)
	}
}

// Cengel, Heat and Mass Transfer, ch. 4: steak and egg.
func TestCoolingTimeExamples(t *testing.T) {
	tab, at := table(t, "cooling-time-examples.csv")
	want := map[string]struct {
		min, target float64
		at          Place
	}{"steak": {93.1, 2, Surface}, "egg": {17.8, 70, Core}}
	for i, row := range tab.Rows {
		w := want[row[0]]
		p := Piece{Shape: map[string]Shape{"slab": Slab, "sphere": Sphere}[row[1]], Thickness: 2 * at("half_thickness_or_radius_m", i)}
		got, err := CoolWith(p, at("k_W_mK", i), at("alpha_m2_s", i), Air{at("h_W_m2K", i), at("T_medium_C", i)}, at("T_initial_C", i), w.target, w.at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row[0], got, w.min, 0.01)
	}
}

// ASHRAE Handbook – Refrigeration (2006), ch. 9, table 3: specific heat and latent heat from the composition.
func TestThermalPropertiesASHRAE(t *testing.T) {
	tab, at := table(t, "thermal-properties-ashrae.csv")
	for i, row := range tab.Rows {
		f := at("fibre_pct", i)
		m := Makeup{Water: at("water_pct", i) / 100, Protein: at("protein_pct", i) / 100, Fat: at("fat_pct", i) / 100,
			Carbohydrate: (at("carbohydrate_pct", i) - f) / 100, Fibre: f / 100, Ash: at("ash_pct", i) / 100}
		got, err := m.Material(at("initial_freezing_C", i), 20, -18)
		if err != nil {
			t.Fatal(err)
		}
		if d := got.Cp - at("cp_above", i); math.Abs(d) > 0.15 {
			t.Errorf("%s: specific heat %.3f, table %.2f", row[0], got.Cp, at("cp_above", i))
		}
		near(t, row[0]+" latent heat", got.Latent, at("latent_heat", i), 0.01)
		if got.CpFrozen < 1.6 || got.CpFrozen > 2.6 || got.KFrozen < 1 || got.KFrozen > 2.3 || got.K < 0.4 || got.K > 0.62 {
			t.Errorf("%s: frozen %.2f kJ/(kg K), %.2f W/(m K); unfrozen %.2f W/(m K)", row[0], got.CpFrozen, got.KFrozen, got.K)
		}
	}
}

// The freezing points of fruit, ASHRAE ch. 19 table 3: with each the ice at −18 °C stays under the water there is.
func TestFreezingPointsFruit(t *testing.T) {
	tab, at := table(t, "freezing-points-fruit.csv")
	for i, row := range tab.Rows {
		near(t, row[0]+" °C", (at("freezing_F", i)-32)/1.8, at("freezing_C", i), 0.01)
		water := at("latent_kJ_kg", i) / LatentOfWater
		ice, err := Makeup{Water: water, Carbohydrate: 1 - water}.IceFraction(at("freezing_C", i), -18)
		if err != nil || ice > water || ice < 0.85*water {
			t.Errorf("%s: ice %.3f of water %.3f, %v", row[0], ice, water, err)
		}
	}
}

// numeric freezes or thaws a slab, cylinder or sphere by an explicit enthalpy scheme: the same physics without any of the formulas.
// It returns the minutes until the core passes stop.
func numeric(shape Shape, r float64, m Material, a Air, start, stop float64) float64 {
	const n = 20
	dx := r / n
	pow := float64(shape)
	ice := func(T float64) float64 { // share of the latent heat still to be paid, as for food: 1 − Tf/T is frozen
		if T >= m.FreezingPoint {
			return 0
		}
		return 1 - m.FreezingPoint/T
	}
	H := func(T float64) float64 { // J/m³
		return m.Density * 1000 * (m.Latent*(1-ice(T)) + T*(m.Cp+(m.CpFrozen-m.Cp)*ice(T)))
	}
	k := func(T float64) float64 { return m.K + (m.KFrozen-m.K)*ice(T) }
	T := make([]float64, n)
	h := make([]float64, n)
	for i := range T {
		T[i], h[i] = start, H(start)
	}
	dt := 0.2 * dx * dx * m.Density * 1000 * min(m.Cp, m.CpFrozen) / max(m.K, m.KFrozen)
	area := func(x float64) float64 { return math.Pow(x, pow) }
	vol := func(i int) float64 {
		return (math.Pow(float64(i+1)*dx, pow+1) - math.Pow(float64(i)*dx, pow+1)) / (pow + 1)
	}
	down := stop < start
	for s := 0.0; s < 1e6; s += dt {
		if down == (T[0] <= stop) {
			return s / 60
		}
		in := 0.0
		for i := range n {
			var out float64
			if i == n-1 {
				out = (T[i] - a.Temp) / (1/a.H + dx/2/k(T[i])) * area(r)
			} else {
				kk := 2 * k(T[i]) * k(T[i+1]) / (k(T[i]) + k(T[i+1]))
				out = kk * (T[i] - T[i+1]) / dx * area(float64(i+1)*dx)
			}
			h[i] += dt * (in - out) / vol(i)
			in = out
		}
		for i := range n {
			lo, hi := -60.0, 160.0
			if g := T[i]; H(g-2) < h[i] && H(g+2) > h[i] {
				lo, hi = g-2, g+2
			}
			for range 26 {
				if mid := (lo + hi) / 2; H(mid) < h[i] {
					lo = mid
				} else {
					hi = mid
				}
			}
			T[i] = (lo + hi) / 2
		}
	}
	return math.NaN()
}

// The methods against the numerical solution: formulas from memory would not hit it by chance.
func TestAgainstNumerical(t *testing.T) {
	m, err := Makeup{Water: 0.75, Protein: 0.2, Fat: 0.04, Ash: 0.01}.Material(-1.1, 10, -18)
	if err != nil {
		t.Fatal(err)
	}
	m.DensityFrozen = m.Density
	for _, c := range []struct {
		p Piece
		h float64
	}{{SlabOf(0.03), 20}, {SlabOf(0.06), 50}, {CylinderOf(0.06), 20}, {CylinderOf(0.1), 40}, {SphereOf(0.06), 20}, {SphereOf(0.08), 50}} {
		a := Air{c.h, -30}
		num := numeric(c.p.Shape, c.p.Thickness/2, m, a, 10, -18)
		pham, err1 := Freeze(c.p, m, a, 10, -18)
		ce, err2 := ClelandEarle(c.p, m, a, 10, -18)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		t.Logf("%v %g m h %g: numerical %.1f, Pham %.1f, Cleland-Earle %.1f min", c.p.Shape, c.p.Thickness, c.h, num, pham, ce)
		near(t, "Pham "+c.p.Shape.String(), pham, num, 0.15)
		near(t, "Cleland-Earle "+c.p.Shape.String(), ce, num, 0.2)
		th := Air{c.h, 12}
		num = numeric(c.p.Shape, c.p.Thickness/2, m, th, -18, 0)
		thaw, err := Thaw(c.p, m, th, -18)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("   thaw: numerical %.1f, formula %.1f", num, thaw)
		near(t, "thaw "+c.p.Shape.String(), thaw, num, 0.2)
	}
}
