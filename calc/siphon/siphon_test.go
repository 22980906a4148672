package siphon_test

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/siphon"
)

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

func TestCharge(t *testing.T) {
	for _, c := range []struct {
		mass, density, size                 string
		lean                                bool
		bottles, most, chargers, allOfThese string
	}{
		{"500", "1", "500", false, "1", "500", "1", "1"},
		{"500", "1", "500", true, "1", "500", "2", "2"},
		{"501", "1", "500", false, "2", "500", "1", "2"},
		{"1000", "1.05", "1000", false, "1", "1050", "2", "2"},
		{"200", "1", "250", false, "1", "250", "1", "1"},
		{"0", "1", "500", false, "0", "500", "0", "0"},
	} {
		f, err := siphon.Charge(g(c.mass), g(c.density), g(c.size), c.lean)
		if err != nil || !f.Bottles.Equal(g(c.bottles)) || !f.Most.Equal(g(c.most)) || !f.Chargers.Equal(g(c.chargers)) || !f.AllChargers.Equal(g(c.allOfThese)) {
			t.Errorf("%+v: %+v, %v", c, f, err)
		}
	}
}

func TestFits(t *testing.T) {
	for _, c := range []struct {
		mass, celsius string
		want          []siphon.Caution
	}{
		{"525", "4", nil},
		{"526", "4", []siphon.Caution{siphon.CautionOverfull}},
		{"500", "76", []siphon.Caution{siphon.CautionHot}},
	} {
		got, err := siphon.Fits(g(c.mass), g("1.05"), g("500"), g(c.celsius))
		want := append([]siphon.Caution{siphon.CautionPressure, siphon.CautionGas}, c.want...)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
}

func TestErrors(t *testing.T) {
	for _, c := range []struct {
		mass, density, size string
		want                error
	}{{"1", "1", "0", siphon.ErrBottle}, {"-1", "1", "500", siphon.ErrNegative}, {"1", "0.4", "500", siphon.ErrDensity}, {"1", "2.1", "500", siphon.ErrDensity}} {
		if _, err := siphon.Charge(g(c.mass), g(c.density), g(c.size), false); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
		if _, err := siphon.Fits(g(c.mass), g(c.density), g(c.size), g("4")); !errors.Is(err, c.want) {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// The bottles hold the mixture exactly, none is overfull, and one bottle fewer would be.
func TestChargeBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mass := quantity.Frac(rapid.Int64Range(1, 20_000_000).Draw(t, "mg"), 1000)
		density := quantity.Frac(rapid.Int64Range(500, 2000).Draw(t, "density"), 1000)
		size := quantity.Int(rapid.SampledFrom([]int64{250, 500, 1000}).Draw(t, "size"))
		f, err := siphon.Charge(mass, density, size, rapid.Bool().Draw(t, "lean"))
		if err != nil || !f.Mass.Mul(f.Bottles).Equal(mass) || f.Most.Less(f.Mass) || size.Less(f.Volume) {
			t.Fatalf("%+v, %v", f, err)
		}
		if fewer := f.Bottles.Sub(quantity.Int(1)); !f.Most.Mul(fewer).Less(mass) {
			t.Fatalf("%s bottles do", fewer)
		}
	})
}

// 1.3 kg of walnut foam into half-litre siphons.
func ExampleCharge() {
	f, err := siphon.Charge(quantity.Int(1300), quantity.MustDecimal("1.04"), quantity.Int(500), false)
	fmt.Println(f.Bottles, "bottles of", f.Mass.Fixed(0), "g,", f.AllChargers, "chargers", f.Cautions, err)
	cautions, _ := siphon.Fits(quantity.Int(1300), quantity.MustDecimal("1.04"), quantity.Int(500), quantity.Int(4))
	fmt.Println(cautions)
	// Output:
	// 3 bottles of 433 g, 3 chargers [siphon under pressure nitrous oxide] <nil>
	// [siphon under pressure nitrous oxide siphon overfull]
}
