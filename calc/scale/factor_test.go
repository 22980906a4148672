package scale_test

import (
	"errors"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

func TestFactor(t *testing.T) {
	got, err := scale.Factor(quantity.Of(num("1.5"), quantity.KG), quantity.Grams(num("500")))
	want(t, "1.5 kg to 500 g", got, err, "1/3")
	if _, err := scale.Factor(quantity.Grams(num("500")), quantity.Of(num("1"), quantity.L)); !errors.Is(err, quantity.ErrDimension) {
		t.Errorf("g to l: %v", err)
	}
	for _, c := range [][2]string{{"0", "1"}, {"-1", "1"}, {"1", "-1"}} {
		if _, err := scale.Factor(quantity.Grams(num(c[0])), quantity.Grams(num(c[1]))); !errors.Is(err, scale.ErrRange) {
			t.Errorf("%s to %s g: %v", c[0], c[1], err)
		}
		if _, err := scale.PortionFactor(num(c[0]), quantity.Grams(num("1")), num(c[1]), quantity.Grams(num("1"))); !errors.Is(err, scale.ErrRange) {
			t.Errorf("%s to %s portions: %v", c[0], c[1], err)
		}
	}
}

func TestForMassAndPieces(t *testing.T) {
	h := lodehavn()
	k, err := scale.ForMass(h.brownButter, num("950"))
	want(t, "950 g of brown butter", k, err, "2.5")
	k, err = scale.ForPieces(h.parfait, num("60"))
	want(t, "60 domes", k, err, "2.5")
	total, err := scale.Total(h.parfait, k)
	want(t, "60 domes weigh", total, err, "1740")
	each, err := h.core.PieceMass()
	want(t, "a core weighs", each, err, "9")
	n, err := scale.Pieces(h.tuile, num("0.25"))
	want(t, "a quarter makes", n, err, "11.5")
	spare := *h.tuile
	spare.Spare = num("0.08")
	want(t, "with the spare", scale.WithSpare(&spare, num("2")), nil, "2.16")
	unknown := &scale.Formula{Unknown: "reduced to a Brix of an unknown start"}
	for name, err := range map[string]error{
		"mass below 0":   second(scale.ForMass(h.core, num("-1"))),
		"pieces below 0": second(scale.ForPieces(h.core, num("-1"))),
	} {
		if !errors.Is(err, scale.ErrRange) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"pieces of a mass": second(scale.ForPieces(h.iceCream, num("1"))),
		"count of a mass":  second(scale.Pieces(h.iceCream, num("1"))),
	} {
		if !errors.Is(err, scale.ErrNoPieces) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, err := range map[string]error{
		"for a mass": second(scale.ForMass(unknown, num("1"))),
		"total":      second(scale.Total(unknown, num("1"))),
	} {
		if !errors.Is(err, scale.ErrUnknownMass) {
			t.Errorf("%s of an unknown: %v", name, err)
		}
	}
}

func second(_ quantity.Number, err error) error { return err }

func TestScaled(t *testing.T) {
	h := lodehavn()
	lines := scale.Scaled(h.dish, num("3"))
	want(t, "dome", lines[0].Mass, nil, "87") // 29 g each
	want(t, "domes", lines[0].Count, nil, "3")
	want(t, "tuile", lines[1].Mass, nil, "9")
	want(t, "ice cream", lines[2].Lo, nil, "120")
	if s := lines[3]; s.HasMass || s.Line.Name != "sorrel" || !s.Count.Equal(num("9")) || !s.CountHi.Equal(num("9")) {
		t.Errorf("sorrel: %+v", s)
	}
}
