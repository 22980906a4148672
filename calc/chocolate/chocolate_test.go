package chocolate_test

import (
	"embed"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/chocolate"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed testdata data
var files embed.FS

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

var (
	dark  = mix.Composition{}.With(mix.Water, g("1")).With(mix.Fat, g("42")).With(mix.CocoaButter, g("42")).With(mix.MilkFat, g("0")).With(mix.Sugars, g("28"))
	cream = mix.Composition{}.With(mix.Water, g("59")).With(mix.Fat, g("35")).With(mix.CocoaButter, g("0")).With(mix.MilkFat, g("35")).With(mix.Sugars, g("3.1"))
)

func blend(t interface{ Fatal(...any) }, chocolateGrams, creamGrams quantity.Number) mix.Mixture {
	a, err := mix.New("dark chocolate", chocolateGrams, dark)
	if err != nil {
		t.Fatal(err)
	}
	b, err := mix.New("cream", creamGrams, cream)
	if err != nil {
		t.Fatal(err)
	}
	return mix.Blend(a, b)
}

func TestWeigh(t *testing.T) {
	for _, c := range []struct {
		chocolate, cream string
		texture          chocolate.Texture
		effects          []chocolate.Effect
	}{
		{"300", "300", chocolate.Pour, []chocolate.Effect{chocolate.EffectKeepsLess}},
		{"400", "250", chocolate.Roll, []chocolate.Effect{chocolate.EffectKeepsLess}},
		{"500", "250", chocolate.Roll, []chocolate.Effect{chocolate.EffectKeepsLess}}, // 20.3 % water
		{"900", "300", chocolate.Firm, []chocolate.Effect{chocolate.EffectSplits}},
		{"100", "300", chocolate.Pour, []chocolate.Effect{chocolate.EffectKeepsLess, chocolate.EffectSoft}},
		{"0", "300", chocolate.Pour, []chocolate.Effect{chocolate.EffectKeepsLess, chocolate.EffectNoCocoa}},
	} {
		w, err := chocolate.Weigh(blend(t, g(c.chocolate), g(c.cream)))
		if err != nil || w.Texture != c.texture || !slices.Equal(w.Effects, c.effects) {
			t.Errorf("%s : %s: %s %v water %s fat %s, %v", c.chocolate, c.cream, w.Texture, w.Effects, w.Water.Fixed(1), w.Fat.Fixed(1), err)
		}
	}
	unknown, _ := mix.Unknown("something", g("100"))
	if _, err := chocolate.Weigh(unknown); !errors.Is(err, chocolate.ErrUnknown) {
		t.Error(err)
	}
	dry, _ := mix.New("fat", g("100"), mix.Composition{}.With(mix.Water, g("0")).With(mix.Fat, g("100")))
	if _, err := chocolate.Weigh(dry); !errors.Is(err, chocolate.ErrUnknown) {
		t.Error(err)
	}
	plain, _ := mix.New("spread", g("100"), mix.Composition{}.With(mix.Water, g("15")).With(mix.Fat, g("30")))
	w, err := chocolate.Weigh(plain)
	if err != nil || w.KnowsFats || w.KnowsSugars || !slices.Equal(w.Effects, []chocolate.Effect{chocolate.EffectNotKnown}) {
		t.Errorf("%+v, %v", w, err)
	}
}

// The guide for ganaches that keep (read): one made to its shares is at the water limit and does not split here.
func TestGuide(t *testing.T) {
	text, err := files.ReadFile("testdata/ganache-guide.csv")
	if err != nil {
		t.Fatal(err)
	}
	tab := reftable.MustParse(text)
	p := map[string]quantity.Number{}
	for _, r := range tab.Rows {
		p[r[0]] = g(r[1])
	}
	c := mix.Composition{}.With(mix.Water, p["water at most"]).With(mix.Sugars, p["sugars about"]).With(mix.CocoaButter, p["cocoa butter about"]).
		With(mix.MilkFat, p["milk fat about"]).With(mix.Fat, p["cocoa butter about"].Add(p["milk fat about"]))
	m, err := mix.New("ganache", g("1000"), c)
	if err != nil {
		t.Fatal(err)
	}
	w, err := chocolate.Weigh(m)
	if err != nil || len(w.Effects) != 0 || w.Texture != chocolate.Roll || !w.WaterToBind.IsZero() {
		t.Errorf("%+v, %v", w, err)
	}
	m, err = mix.New("ganache", g("1000"), c.With(mix.Water, p["water at most"].Add(g("0.1"))))
	if err != nil {
		t.Fatal(err)
	}
	if w, err = chocolate.Weigh(m); err != nil || !slices.Equal(w.Effects, []chocolate.Effect{chocolate.EffectKeepsLess}) {
		t.Errorf("a little wetter: %+v, %v", w, err)
	}
}

// Shares times mass give the grams back; the water to bind brings the ratio to the limit exactly.
func TestWeighBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := quantity.Frac(rapid.Int64Range(1, 5_000_000).Draw(t, "chocolate mg"), 1000)
		b := quantity.Frac(rapid.Int64Range(1, 5_000_000).Draw(t, "cream mg"), 1000)
		m := blend(t, a, b)
		w, err := chocolate.Weigh(m)
		if err != nil {
			t.Fatal(err)
		}
		fat, water := a.Mul(g("0.42")).Add(b.Mul(g("0.35"))), a.Mul(g("0.01")).Add(b.Mul(g("0.59")))
		all := a.Add(b)
		if !w.Fat.Mul(all).Equal(fat.Mul(g("100"))) || !w.Water.Mul(all).Equal(water.Mul(g("100"))) || !w.CocoaButter.Add(w.MilkFat).Equal(w.Fat) {
			t.Fatalf("%+v", w)
		}
		if slices.Contains(w.Effects, chocolate.EffectSplits) {
			if w.WaterToBind.Sign() <= 0 || !fat.Div(water.Add(w.WaterToBind)).Equal(g("2.5")) {
				t.Fatalf("%+v", w)
			}
		} else if !w.WaterToBind.IsZero() {
			t.Fatalf("%+v", w)
		}
	})
}

func TestSeeding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := quantity.Frac(rapid.Int64Range(0, 9_000_000).Draw(t, "mg"), 1000)
		s, err := chocolate.Seeding(total)
		if err != nil || !s.Melt.Add(s.Seed).Equal(total) || !s.Seed.Mul(g("3")).Equal(s.Melt) {
			t.Fatalf("%+v, %v", s, err)
		}
	})
	if _, err := chocolate.Seeding(g("-1")); !errors.Is(err, chocolate.ErrNegative) {
		t.Error(err)
	}
}

// Every row of the table is in order, and a second source is within 1.1 °C at work and 5 °C at melting; the first answers.
func TestCurves(t *testing.T) {
	text, err := files.ReadFile("testdata/temper-second.csv")
	if err != nil {
		t.Fatal(err)
	}
	other := reftable.MustParse(text)
	for i, r := range other.Rows {
		c, err := chocolate.CurveOf(" " + strings.ToUpper(r[0]))
		if err != nil {
			t.Fatal(err)
		}
		if !c.Cool.High.Less(c.Work.High) || !c.Work.High.Less(c.Melt.Low) || g("34").Less(c.Work.High) { // above 34 °C no stable crystal is left, S-650
			t.Errorf("%+v", c)
		}
		for _, d := range []struct{ own, other, allowed float64 }{
			{c.Work.Low.Float(), other.MustFloats("work_low")[i], 1.11},
			{c.Work.High.Float(), other.MustFloats("work_high")[i], 1.11},
			{c.Melt.Low.Float(), other.MustFloats("melt")[i], 5},
		} {
			if math.Abs(d.own-d.other) > d.allowed {
				t.Errorf("%s: %g °C, the second source %g °C", r[0], d.own, d.other)
			}
		}
	}
	text, err = files.ReadFile("data/temper.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range reftable.MustParse(text).Rows {
		c, err := chocolate.CurveOf(r[0])
		if err != nil || !c.Melt.Low.Equal(g(r[1])) || !c.Melt.High.Equal(g(r[2])) || !c.Cool.Low.Equal(g(r[3])) || !c.Cool.High.Equal(g(r[4])) ||
			!c.Work.Low.Equal(g(r[5])) || !c.Work.High.Equal(g(r[6])) || c.Source != r[7] {
			t.Errorf("%v: %+v, %v", r, c, err)
		}
	}
	if _, err := chocolate.CurveOf("carob"); !errors.Is(err, chocolate.ErrKind) {
		t.Error(err)
	}
}

func TestAdvise(t *testing.T) {
	for _, c := range []struct {
		kind, at string
		thick    bool
		want     chocolate.Drift
		first    chocolate.Do
	}{
		{"dark", "28", true, chocolate.TooCold, chocolate.WarmToWork},
		{"dark", "28", false, chocolate.NotSeeded, chocolate.WarmToWork},
		{"dark", "31.5", false, chocolate.InTemper, chocolate.GoOn},
		{"dark", "31.5", true, chocolate.OverSeeded, chocolate.AddWarm},
		{"dark", "33", false, chocolate.TooWarm, chocolate.CoolStirring},
		{"dark", "34.1", false, chocolate.LostTemper, chocolate.TemperAgain},
		{"dark", "52", false, chocolate.LostTemper, chocolate.TemperAgain},
		{"white", "52", false, chocolate.MaybeScorched, chocolate.TasteFirst},
		{"white", "31", false, chocolate.TooWarm, chocolate.CoolStirring},
	} {
		a, err := chocolate.Advise(c.kind, g(c.at), c.thick)
		if err != nil || a.Drift != c.want || len(a.Do) == 0 || a.Do[0] != c.first || !a.Work.Low.Less(a.Work.High) {
			t.Errorf("%+v: %+v, %v", c, a, err)
		}
	}
	if _, err := chocolate.Advise("carob", g("30"), false); !errors.Is(err, chocolate.ErrKind) {
		t.Error(err)
	}
}

func ExampleWeigh() {
	n := quantity.Int
	a, _ := mix.New("dark chocolate", n(900), dark)
	b, _ := mix.New("cream", n(300), cream)
	w, err := chocolate.Weigh(mix.Blend(a, b))
	fmt.Println("fat", w.Fat.Fixed(1), "water", w.Water.Fixed(1), w.Texture, w.Effects, "water to bind", w.WaterToBind.Fixed(0), err)
	_, err = chocolate.Weigh(mix.Mixture{})
	fmt.Println(errors.Is(err, chocolate.ErrUnknown))
	// Output:
	// fat 40.3 water 15.5 firm [splits easily] water to bind 7 <nil>
	// true
}

// 28 °C and thick.
func ExampleAdvise() {
	a, err := chocolate.Advise("dark", quantity.Int(28), true)
	fmt.Println(a.Drift, a.Do, a.Work.Low, a.Work.High, err)
	// Output: too cold [warm to working range stir in warm untempered chocolate test on paper] 31 32 <nil>
}

func ExampleSeeding() {
	s, err := chocolate.Seeding(quantity.Int(1200))
	fmt.Println(s.Melt, s.Seed, err)
	// Output: 900 300 <nil>
}
