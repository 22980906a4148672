package cure_test

import (
	"embed"
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/cure"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed testdata
var files embed.FS

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

func equal(t *testing.T, what string, got quantity.Number, want string) {
	t.Helper()
	if !got.Equal(g(want)) {
		t.Errorf("%s: %s, want %s", what, got, want)
	}
}

func TestEquilibrium(t *testing.T) {
	b, err := cure.Equilibrium(g("1000"), g("960"), g("2"))
	if err != nil || len(b.Cautions) != 3 {
		t.Fatalf("%+v, %v", b, err)
	}
	equal(t, "salt", b.Salt, "40")
	equal(t, "of meat and water", b.OfMeatAndWater, "39.2")
	dry, err := cure.Equilibrium(g("975"), g("0"), g("2.5"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "dry cure", dry.Salt, "25")
	s, err := cure.ComesTo(g("1000"), g("700"), g("40"), g("960"))
	if err != nil || !s.KnowsWater {
		t.Fatalf("%+v, %v", s, err)
	}
	equal(t, "whole", s.Whole, "2")
	// 40 g of salt over 1660 g of water, 700 g of it in the meat: 1.687 % of the meat
	if math.Abs(s.Meat.Float()-1.687) > 0.001 || math.Abs(s.WaterPhase.Float()-2.353) > 0.001 {
		t.Errorf("meat %s, water phase %s", s.Meat.Fixed(3), s.WaterPhase.Fixed(3))
	}
}

// A pumped ham worked out by others, to the milligram that the page's rounding leaves.
func TestInjectionExample(t *testing.T) {
	text, err := files.ReadFile("testdata/pumped-brine.csv")
	if err != nil {
		t.Fatal(err)
	}
	v := map[string]quantity.Number{}
	for _, r := range reftable.MustParse(text).Rows {
		v[r[0]] = g(r[1])
	}
	strength := v["salt in brine"].Div(v["brine"]).Mul(g("100"))
	p, err := cure.Inject(v["meat"], v["pump percent"], strength)
	if err != nil {
		t.Fatal(err)
	}
	for what, d := range map[string]quantity.Number{
		"strength": strength.Sub(v["brine percent salt"]), "brine": p.Brine.Sub(v["brine taken up"]), "salt": p.Salt.Sub(v["salt taken up"]),
	} {
		if g("0.001").Less(d.Abs()) {
			t.Errorf("%s off by %s", what, d.Fixed(5))
		}
	}
	equal(t, "reads", p.Reads, "1320")
}

func TestErrors(t *testing.T) {
	for what, c := range map[string]struct{ err, want error }{
		"no meat":        {second(cure.Equilibrium(g("0"), g("1"), g("2"))), cure.ErrMeat},
		"water":          {second(cure.Equilibrium(g("1"), g("-1"), g("2"))), cure.ErrNegative},
		"too strong":     {second(cure.Equilibrium(g("1"), g("1"), g("27"))), cure.ErrStrength},
		"less":           {second(cure.Equilibrium(g("1"), g("1"), g("-2"))), cure.ErrStrength},
		"no brine":       {second(cure.ComesTo(g("1"), g("0"), g("0"), g("0"))), cure.ErrWater},
		"wet meat":       {second(cure.ComesTo(g("1"), g("2"), g("1"), g("9"))), cure.ErrWater},
		"undissolved":    {second(cure.ComesTo(g("1"), g("0"), g("5"), g("5"))), cure.ErrStrength},
		"salt":           {second(cure.ComesTo(g("1"), g("0"), g("-5"), g("5"))), cure.ErrNegative},
		"brine":          {third(cure.Make(g("-1"), g("5"))), cure.ErrNegative},
		"brine strength": {third(cure.Make(g("1"), g("30"))), cure.ErrStrength},
		"pump":           {second(cure.Inject(g("1"), g("101"), g("5"))), cure.ErrReach},
		"pumped nothing": {second(cure.Inject(g("0"), g("10"), g("5"))), cure.ErrMeat},
		"out of reach":   {second(cure.InjectionFor(g("5"), g("2"))), cure.ErrReach},
		"no pump":        {second(cure.InjectionFor(g("0"), g("2"))), cure.ErrReach},
		"target":         {second(cure.InjectionFor(g("10"), g("-2"))), cure.ErrStrength},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v, want %v", what, c.err, c.want)
		}
	}
}

func second[T any](_ T, err error) error        { return err }
func third[T, U any](_ T, _ U, err error) error { return err }

// Curing salt is refused whatever is wished, and only scales with what the book states.
func TestNitrite(t *testing.T) {
	for _, w := range []cure.Wish{cure.Replace, cure.LeaveOut, cure.WorkOut, cure.OtherAmount, cure.OtherMeat} {
		err := cure.Refuse(w)
		var n *cure.NitriteError
		if !errors.Is(err, cure.ErrNitrite) || !errors.As(err, &n) || n.Wish != w || len(n.Cautions) != 2 {
			t.Errorf("%s: %v", w, err)
		}
	}
	for _, c := range [][2]string{{"0", "1000"}, {"3", "0"}, {"-3", "1000"}} {
		if n, cs, err := cure.FromBook(g(c[0]), g(c[1]), g("500")); !errors.Is(err, cure.ErrNotInBook) || !n.IsZero() || cs != nil {
			t.Errorf("%v: %s, %v", c, n, err)
		}
	}
	if _, _, err := cure.FromBook(g("3"), g("1000"), g("-1")); !errors.Is(err, cure.ErrNegative) {
		t.Error(err)
	}
	n, cs, err := cure.FromBook(g("3"), g("1000"), g("2500"))
	if err != nil || len(cs) != 2 || cs[0] != cure.CautionNitrite {
		t.Error(cs, err)
	}
	equal(t, "curing salt", n, "7.5")
}

// Salt in is salt out; what a brine was made for is what it comes to; injection and its inverse agree.
func TestBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		meat := quantity.Frac(rapid.Int64Range(1000, 20_000_000).Draw(t, "meat mg"), 1000)
		water := quantity.Frac(rapid.Int64Range(0, 20_000_000).Draw(t, "water mg"), 1000)
		percent := quantity.Frac(rapid.Int64Range(1, 400).Draw(t, "percent × 100"), 100)
		b, err := cure.Equilibrium(meat, water, percent)
		if err != nil {
			t.Fatal(err)
		}
		meatWater := meat.Mul(quantity.Frac(rapid.Int64Range(1, 95).Draw(t, "water of the meat"), 100))
		s, err := cure.ComesTo(meat, meatWater, b.Salt, b.Water)
		if err != nil {
			if !errors.Is(err, cure.ErrStrength) { // little water for much meat: it would not dissolve
				t.Fatal(err)
			}
		} else {
			if !s.Whole.Equal(percent) {
				t.Fatalf("made for %s %%, comes to %s %%", percent, s.Whole)
			}
			// salt in the meat and salt in the brine's water are all the salt
			inMeat := s.Meat.Mul(meat).Div(g("100"))
			if !inMeat.Mul(meatWater.Add(water)).Equal(b.Salt.Mul(meatWater)) {
				t.Fatalf("%s g salt in the meat", inMeat)
			}
		}
		pump := quantity.Frac(rapid.Int64Range(500, 5000).Draw(t, "pump × 100"), 100)
		strength, err := cure.InjectionFor(pump, percent)
		if err != nil {
			if !errors.Is(err, cure.ErrReach) {
				t.Fatal(err)
			}
			return
		}
		p, err := cure.Inject(meat, pump, strength)
		if err != nil || !p.OfPumped.Equal(percent) || !p.Reads.Equal(meat.Add(p.Brine)) || !p.OfGreen.Mul(meat).Equal(p.Salt.Mul(g("100"))) {
			t.Fatalf("%+v, %v", p, err)
		}
		salt, w, err := cure.Make(p.Brine, strength)
		if err != nil || !salt.Equal(p.Salt) || !salt.Add(w).Equal(p.Brine) {
			t.Fatalf("%s g salt, %s g water, %v", salt, w, err)
		}
	})
}

// 1.2 kg of trout in 1.2 kg of water, to end at 2 %.
func ExampleEquilibrium() {
	b, err := cure.Equilibrium(quantity.Int(1200), quantity.Int(1200), quantity.Int(2))
	fmt.Println(b.Salt.Fixed(1), "of all,", b.OfMeatAndWater, "of meat and water", err)
	_, err = cure.Equilibrium(quantity.Int(1200), quantity.Int(1200), quantity.Int(40))
	fmt.Println(errors.Is(err, cure.ErrStrength))
	// Output:
	// 49 of all, 48 of meat and water <nil>
	// true
}

func ExampleInject() {
	p, err := cure.Inject(quantity.Int(3000), quantity.Int(10), quantity.Int(15))
	fmt.Println(p.Brine, "g brine,", p.Salt, "g salt,", p.OfPumped.Fixed(2), "%, must weigh", p.Reads, err)
	// Output: 300 g brine, 45 g salt, 1.36 %, must weigh 3300 <nil>
}

// "No curing salt left, plain salt instead?"
func ExampleRefuse() {
	err := cure.Refuse(cure.Replace)
	fmt.Println(err, errors.Is(err, cure.ErrNitrite))
	// Output: curing salt is locked to the book: replace true
}

func ExampleFromBook() {
	n, cautions, err := cure.FromBook(quantity.Int(12), quantity.Int(5000), quantity.Int(8000))
	fmt.Println(n, cautions, err)
	// Output: 19.2 [curing salt local code] <nil>
}
