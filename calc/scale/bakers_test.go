package scale_test

import (
	"errors"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

func TestBakersPercent(t *testing.T) {
	h := lodehavn()
	rye := grams("dark rye", "200")
	rye.Key = "rye flour"
	lines := []scale.Line{grams("buckwheat flour", "300"), rye, grams("water", "350"), {Name: "malt"}, grams("salt", "10"), pieces(h.core, "10")}
	got, err := scale.BakersPercent(lines, "buckwheat flour", "rye flour")
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range []string{"60", "40", "70", "0", "2", "18"} {
		want(t, lines[i].Name, got[i].Percent, nil, p)
		if got[i].HasMass != (i != 3) {
			t.Errorf("%s: has a mass %v", lines[i].Name, got[i].HasMass)
		}
	}
	if _, err := scale.BakersPercent(lines, "oat flour"); !errors.Is(err, scale.ErrNoFlour) {
		t.Errorf("no flour: %v", err)
	}
	if _, err := scale.BakersPercent(lines[3:4], "malt"); !errors.Is(err, scale.ErrNoFlour) {
		t.Errorf("flour in no mass: %v", err)
	}
	if _, err := scale.BakersPercent([]scale.Line{pieces(h.brownButter, "1")}, "x"); !errors.Is(err, scale.ErrNoPieces) {
		t.Errorf("pieces of a mass: %v", err)
	}
}

func TestParts(t *testing.T) {
	masses, err := scale.FromParts(nums("3", "2", "1"), num("900"))
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range []string{"450", "300", "150"} {
		want(t, "part", masses[i], nil, m)
	}
	one, err := scale.OnePart(num("570"), num("0.05"), nums("3", "2", "1")...)
	want(t, "one part", one, err, "100")
	want(t, "2 % of 350 g and 150 g", scale.PercentOf(num("2"), nums("350", "150")...), nil, "10")
	p, err := scale.AsPercent(num("12"), num("96"))
	want(t, "12 of 96", p, err, "12.5")

	for name, err := range map[string]error{
		"no parts":         third(scale.FromParts(nil, num("1"))),
		"a part below 0":   third(scale.FromParts(nums("-1", "2"), num("1"))),
		"a total below 0":  third(scale.FromBakersPercent(nums("100"), num("-1"))),
		"makes nothing":    second(scale.OnePart(num("0"), num("0"), num("1"))),
		"loses all":        second(scale.OnePart(num("1"), num("1"), num("1"))),
		"gains":            second(scale.OnePart(num("1"), num("-0.1"), num("1"))),
		"one of no parts":  second(scale.OnePart(num("1"), num("0"))),
		"percent of 0":     second(scale.AsPercent(num("1"), num("0"))),
		"yield of 0":       second(scale.Yield(num("1"), num("0"))),
		"yield below 0":    second(scale.Yield(num("-1"), num("1"))),
		"trim below 0":     second(scale.TrimYield(num("1"), num("-1"))),
		"trim over all":    second(scale.TrimYield(num("1"), num("2"))),
		"buy at 0":         second(scale.ToBuy(num("1"), num("0"))),
		"buy below 0":      second(scale.ToBuy(num("-1"), num("1"))),
		"usable at 0":      second(scale.Usable(num("1"), num("0"))),
		"usable below 0":   second(scale.Usable(num("-1"), num("1"))),
		"cost of nothing":  second(scale.UnitCost(num("1"), num("0"))),
		"cost at no yield": second(scale.EdibleCost(num("1"), num("0"))),
		"no menu price":    second(scale.FoodCost(num("1"), num("0"))),
		"price at 0 %":     second(scale.MenuPrice(num("1"), num("0"))),
		"price at 110 %":   second(scale.MenuPrice(num("1"), num("1.1"))),
	} {
		if !errors.Is(err, scale.ErrRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func third(_ []quantity.Number, err error) error { return err }

func TestWaterTemperature(t *testing.T) {
	c := scale.WaterTemperature(num("24"), num("20"), num("19"), num("6"))
	want(t, "24 °C", c, nil, "27")
	// The same dough in °F, friction as a difference, gives the same water.
	f := func(s string) quantity.Number { return num(s).Mul(num("1.8")).Add(num("32")) }
	got := scale.WaterTemperature(f("24"), f("20"), f("19"), num("6").Mul(num("1.8")))
	want(t, "in °F", got, nil, f("27").String())
	want(t, "with a preferment", scale.WaterTemperature(num("24"), num("20"), num("19"), num("6"), num("22")), nil, "29")
}
