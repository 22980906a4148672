package heat

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

func beef(t testing.TB) Material {
	t.Helper()
	m, err := Makeup{Water: 0.75, Protein: 0.2, Fat: 0.04, Ash: 0.01}.Material(-1.1, 10, -18)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func anyPiece(t *rapid.T) Piece {
	size := func(n string) float64 { return rapid.Float64Range(0.005, 0.3).Draw(t, n) }
	return Piece{Shape: Shape(rapid.IntRange(0, 4).Draw(t, "shape")), Thickness: size("a"), Width: size("b"), Length: size("c")}
}

// grown is the piece k times as large in every size.
func grown(p Piece, k float64) Piece {
	p.Thickness, p.Width, p.Length = p.Thickness*k, p.Width*k, p.Length*k
	return p
}

func TestMonotone(t *testing.T) {
	m := beef(t)
	rapid.Check(t, func(t *rapid.T) {
		p := anyPiece(t)
		a := Air{rapid.Float64Range(3, 300).Draw(t, "h"), rapid.Float64Range(-45, -18).Draw(t, "air")}
		start, final := rapid.Float64Range(2, 40).Draw(t, "start"), rapid.Float64Range(-15, -8).Draw(t, "final")
		k := rapid.Float64Range(1.05, 3).Draw(t, "k")
		time := map[string]func(Piece, Air, float64) (float64, error){
			"plank":  func(p Piece, a Air, s float64) (float64, error) { return Plank(p, m, a) },
			"freeze": func(p Piece, a Air, s float64) (float64, error) { return Freeze(p, m, a, s, final) },
			"cool": func(p Piece, a Air, s float64) (float64, error) {
				return Cool(p, m, Air{a.H, a.Temp + 45}, s+60, 50, Core)
			},
			"thaw": func(p Piece, a Air, s float64) (float64, error) { return Thaw(p, m, Air{a.H, 60 + a.Temp}, -18) },
		}
		for name, f := range time {
			base, err := f(p, a, start)
			if err != nil || !(base > 0) || math.IsInf(base, 0) {
				t.Fatalf("%s: %g, %v", name, base, err)
			}
			if v, _ := f(grown(p, k), a, start); v <= base {
				t.Errorf("%s: larger takes %g, smaller %g", name, v, base)
			}
			if v, _ := f(p, Air{a.H * k, a.Temp}, start); v >= base {
				t.Errorf("%s: more wind takes %g, less %g", name, v, base)
			}
			if v, _ := f(p, a, start+5); v < base-1e-9 {
				t.Errorf("%s: warmer start takes %g, colder %g", name, v, base)
			}
			colder, err := f(p, Air{a.H, a.Temp - 3}, start)
			if name == "thaw" {
				colder, base = base, colder
			}
			if err != nil || colder >= base {
				t.Errorf("%s: colder air takes %g, warmer %g (%v)", name, colder, base, err)
			}
		}
		// Between the ratio of sizes and its square.
		one, _ := Freeze(p, m, a, start, final)
		two, _ := Freeze(grown(p, 2), m, a, start, final)
		if r := two / one; r < 2*0.9 || r > 4*1.1 { // E falls a little with the Biot number
			t.Errorf("twice as thick takes %g times as long", r)
		}
	})
}

// The order of ingredients and the mass of the batch do not matter.
func TestOrderAndMass(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string) int64 { return rapid.Int64Range(1, 500).Draw(t, name) }
		part := func(name string, g int64, water, fat int64) mix.Mixture {
			c := mix.Composition{}.With(mix.Water, quantity.Int(water)).With(mix.Fat, quantity.Int(fat)).With(mix.Sugars, quantity.Int(4)).
				With(mix.Protein, quantity.Int(3)).With(mix.Ash, quantity.Int(1)).With(mix.Alcohol, quantity.Number{})
			m, err := mix.New(name, quantity.Int(g), c)
			if err != nil {
				t.Fatal(err)
			}
			return m
		}
		a, b := part("milk", n("milk"), 88, 3), part("stock", n("stock"), 91, 1)
		twice, err := mix.Blend(a, b).Scale(quantity.Int(2))
		if err != nil {
			t.Fatal(err)
		}
		x, err1 := Known(mix.Blend(a, b))
		for _, other := range []mix.Mixture{mix.Blend(b, a), twice} {
			y, err2 := Known(other)
			if err1 != nil || err2 != nil || math.Abs(x.Water-y.Water)+math.Abs(x.Fat-y.Fat)+math.Abs(x.Carbohydrate-y.Carbohydrate) > 1e-12 {
				t.Fatalf("%+v, %+v, %v %v", x, y, err1, err2)
			}
		}
		if err := Fit(mix.Blend(a, b)); err != nil {
			t.Fatal(err)
		}
	})
}

func mixture(t *testing.T, g map[mix.Key]string) mix.Mixture {
	t.Helper()
	var c mix.Composition
	for k, v := range g {
		c = c.With(k, quantity.MustDecimal(v))
	}
	m, err := mix.New("mix", quantity.Int(100), c)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestFitRefuses(t *testing.T) {
	for what, g := range map[string]map[mix.Key]string{
		"sugars":  {mix.Water: "60", mix.Fat: "5", mix.Sugars: "22", mix.Alcohol: "0"},
		"fat":     {mix.Water: "60", mix.Fat: "30", mix.Sugars: "3", mix.Alcohol: "0"},
		"alcohol": {mix.Water: "85", mix.Fat: "0", mix.Sugars: "3", mix.Alcohol: "12"},
		"water":   {mix.Water: "40", mix.Fat: "10", mix.Sugars: "10", mix.Alcohol: "0"},
	} {
		err := Fit(mixture(t, g))
		var r *RichError
		if !errors.Is(err, ErrRich) || !errors.As(err, &r) || r.What != what {
			t.Errorf("%s: %v", what, err)
		}
	}
	if err := Fit(mixture(t, map[mix.Key]string{mix.Water: "70"})); !errors.Is(err, ErrComposition) {
		t.Errorf("fat and sugars unknown: %v", err)
	}
}

// Leighton (1927), read by the shared table from memory: 15 g sucrose in 100 g water 0.90, 27 g 1.67, 51 g 3.20 °C. The CRC table
// reads up to 0.1 °C less in this range, and so does the formula.
func TestFreezingPoint(t *testing.T) {
	for g, want := range map[float64]float64{15: 0.90, 27: 1.67, 51: 3.20} {
		s := 100 * g / (100 + g)
		n := func(f float64) quantity.Number { v, _ := quantity.FromFloat(f, 6); return v }
		m, err := mix.New("syrup", quantity.Int(100), mix.Composition{}.With(mix.Sucrose, n(s)).With(mix.Sugars, n(s)).With(mix.Water, n(100-s)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := FreezingPoint(m)
		if err != nil || math.Abs(got+want) > 0.12 {
			t.Errorf("%g g in 100 g of water: %.2f °C, table -%.2f (%v)", g, got, want, err)
		}
	}
}

func TestFitted(t *testing.T) {
	tr := []Trial{{0.03, 240}, {0.03, 300}, {0.03, 260}}
	e, err := Fitted(tr, 0.06)
	if err != nil || e.Min != 480 || e.Max != 1200 || e.Minutes < 700 || e.Minutes > 760 {
		t.Errorf("%+v, %v", e, err)
	}
	if e, err = Fitted(tr, 0.03); err != nil || e.Min != 240 || e.Max != 300 || e.Minutes != 260 {
		t.Errorf("same thickness: %+v, %v", e, err)
	}
	if _, err = Fitted(tr[:2], 0.03); !errors.Is(err, ErrTrials) {
		t.Error(err)
	}
	if _, err = Fitted(tr, 0.5); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
}

func TestErrors(t *testing.T) {
	m, a := beef(t), Air{20, -30}
	for name, c := range map[string]struct {
		err  error
		want error
	}{
		"no size":      {second(Freeze(SlabOf(0), m, a, 10, -18)), ErrSize},
		"NaN size":     {second(Freeze(SlabOf(math.NaN()), m, a, 10, -18)), ErrSize},
		"warm air":     {second(Freeze(SlabOf(.03), m, Air{20, 3}, 10, -18)), ErrNever},
		"air as core":  {second(Freeze(SlabOf(.03), m, Air{20, -18}, 10, -18)), ErrNever},
		"no wind":      {second(Freeze(SlabOf(.03), m, Air{0, -30}, 10, -18)), ErrRange},
		"cold thaw":    {second(Thaw(SlabOf(.03), m, Air{20, 0}, -18)), ErrNever},
		"thawed":       {second(Thaw(SlabOf(.03), m, Air{20, 5}, 3)), ErrRange},
		"cool to air":  {second(Cool(SlabOf(.03), m, Air{20, 5}, 90, 5, Core)), ErrNever},
		"brick no len": {second(Plank(Piece{Shape: Brick, Thickness: .03}, m, a)), ErrSize},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v", name, c.err)
		}
	}
}

func second(_ float64, err error) error { return err }

// A cube lies between a sphere and its slab, and a long brick goes to a rod.
func TestEquivalentDimensions(t *testing.T) {
	e := func(p Piece, h float64) float64 {
		v, err := p.EquivalentDimensions(h, 1.6)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	near(t, "cube in still air", e(BrickOf(.01, .01, .01), 0.1), 3, 0.02)
	near(t, "wide brick", e(BrickOf(.02, 1, 1), 20), 1, 0.03)
	near(t, "long log", e(FiniteCylinderOf(.02, 1), 20), 2, 0.02)
	near(t, "thin puck", e(FiniteCylinderOf(1, .01), 20), 1, 0.03)
	if a, b := e(BrickOf(.03, .05, .09), 20), e(BrickOf(.09, .03, .05), 20); a != b {
		t.Errorf("the order of edges matters: %g, %g", a, b)
	}
}

func FuzzChoiOkosNeverPanics(f *testing.F) {
	f.Add("cp", "water", -3.0, 0.7, 0.2, 0.05)
	f.Fuzz(func(t *testing.T, prop, comp string, temp, water, fat, h float64) {
		if v, err := Property(prop, comp, temp); err == nil && math.IsNaN(v) {
			t.Fatal("not a number")
		}
		m, err := Makeup{Water: water, Fat: fat}.Material(-1, 20, -18)
		if err != nil {
			return
		}
		v, err := Freeze(SlabOf(h), m, Air{h, -temp}, temp, -10)
		if err == nil && !(v >= 0) {
			t.Fatalf("%g min", v)
		}
	})
}

func BenchmarkFreezeIn(b *testing.B) {
	m := beef(b)
	for b.Loop() {
		if _, err := FreezeIn(BrickOf(.03, .05, .1), m, StillAir, -25, 10, -18); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCoolDepth(b *testing.B) {
	m := beef(b)
	for b.Loop() {
		if _, err := CoolDepth(.1, m, StillAir, 3, 57, 21); err != nil {
			b.Fatal(err)
		}
	}
}
