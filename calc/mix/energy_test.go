package mix

import (
	"strings"
	"testing"

	"tamis/calc/quantity"
)

// ciqual reads a row of testdata/ciqual-ingredients.csv (Anses 2020, read) as a composition. Its
// carbohydrate includes the polyols; what is neither sugar, starch nor polyol is other
// carbohydrate. "< x" is unknown. Organic acids and glycerol are not in the file: unknown.
func ciqual(t *testing.T, r map[string]string) (c Composition, clean bool) {
	t.Helper()
	clean = true
	num := func(col string) (quantity.Number, bool) {
		s := r[col]
		if s == "traces" || strings.HasPrefix(s, "<") {
			clean = false
			return quantity.Number{}, false
		}
		if s == "" {
			return quantity.Number{}, false
		}
		return dec(s), true
	}
	for k, col := range map[Key]string{Water: "eau_g", Protein: "proteines_g", Fat: "lipides_g", Sugars: "sucres_g", Fibre: "fibres_g", Polyols: "polyols_g", Ash: "cendres_g", Alcohol: "alcool_g"} {
		if n, ok := num(col); ok {
			c = c.With(k, n)
		}
	}
	if all, ok := num("glucides_g"); ok {
		s, _ := c.Get(Sugars)
		p, _ := c.Get(Polyols)
		rest := all.Sub(s).Sub(p)
		if rest.Sign() < 0 { // rounding of the table
			rest = quantity.Number{}
		}
		c = c.With(Starch, rest).With(OtherCarbohydrate, quantity.Number{})
		if _, ok := c.Get(Sugars); !ok {
			c = c.With(Sugars, quantity.Number{})
		}
	}
	return c, clean
}

// Anses computes its "Energie, Règlement UE N° 1169/2011" with the factors of annex XIV, so the
// column is an outside check of them. Two tolerances:
//   - every row with an energy lies within the bounds, give or take 2 kcal + 1 % (values are rounded to three digits; a value
//     below a limit is worked with half of it there);
//   - where all parts in the file are numbers and no organic acid is to be expected (not fruit, juice, cider, soured milk), the
//     lower bound is the value to 2 kcal + 1.5 %.
func TestEnergyAgainstCiqual(t *testing.T) {
	rows, close := 0, 0
	for _, r := range records(t, "testdata/ciqual-ingredients.csv") {
		if r["energie_kcal"] == "" {
			continue
		}
		rows++
		c, clean := ciqual(t, r)
		m := Blend(mustPart(t, Part{Name: r["nom"], Mass: dec("100"), Comp: c}))
		table := dec(r["energie_kcal"])
		slack := dec("2").Add(table.Mul(dec("0.01")))
		e := m.Energy().Kcal
		// 68.5 kcal of red currants: with 3.3 g of them not told in the table, even fat there would give only 60
		if fits := !table.Less(e.AtLeast.Sub(slack)) && !e.AtMost.Add(slack).Less(table); fits == (r["code"] == "13019") {
			t.Errorf("%s: table %s kcal, we say %s", r["nom"], table, e)
		}
		if e.Exact && r["lipides_g"] != "100" {
			t.Errorf("%s: exact without a value for acid", r["nom"])
		}
		if !clean || strings.HasPrefix(r["code"], "13") || r["code"] == "18100" || strings.Contains(r["nom"], "moyen") {
			continue // fruit and cocoa have acids; a mean of foods is no analysis
		}
		close++
		slack = dec("2").Add(table.Mul(dec("0.015")))
		if slack.Less(table.Sub(e.AtLeast).Abs()) {
			t.Errorf("%s: table %s kcal, by factors %s", r["nom"], table, e.AtLeast)
		}
	}
	if rows < 80 || close < 35 {
		t.Errorf("only %d rows with an energy, %d of them close", rows, close)
	}
}

func mustPart(t testing.TB, p Part) Mixture {
	t.Helper()
	m, err := p.Mixture()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Each factor of Regulation (EU) No 1169/2011, annex XIV, from memory but for those that the
// Ciqual test exercises too: kJ and kcal of 1 g.
func TestFactors(t *testing.T) {
	zero := Composition{}
	for k := range NumKeys {
		zero = zero.With(k, quantity.Number{})
	}
	for _, f := range []struct {
		k        Key
		kJ, kcal string
	}{
		{Sugars, "17", "4"}, {Starch, "17", "4"}, {OtherCarbohydrate, "17", "4"}, {Polyols, "10", "2.4"}, {Glycerol, "10", "2.4"}, {Protein, "17", "4"},
		{Fat, "37", "9"}, {Alcohol, "29", "7"}, {Acid, "13", "3"}, {Fibre, "8", "2"}, {Water, "0", "0"}, {Salt, "0", "0"}, {Ash, "0", "0"},
		{Sucrose, "0", "0"}, // counted with the sugars
	} {
		e := mustPart(t, Part{Name: "x", Mass: dec("1"), Comp: zero.With(f.k, dec("100"))}).Energy()
		if e.KJ.String() != f.kJ || e.Kcal.String() != f.kcal {
			t.Errorf("%s: %s kJ, %s kcal", f.k, e.KJ, e.Kcal)
		}
	}
}

func TestStatedEnergy(t *testing.T) {
	kj := dec("1430")
	e := mustPart(t, Part{Name: "paste", Mass: dec("50"), Energy: &kj}).Energy()
	if e.KJ.String() != "715" || !e.Kcal.Exact || e.Kcal.AtLeast.Fixed(1) != "170.9" {
		t.Errorf("%s kJ, %s kcal", e.KJ, e.Kcal)
	}
	// unknown content: at most what pure fat gives
	e = mustPart(t, Part{Name: "something", Mass: dec("10")}).EnergyPer100()
	if e.KJ.String() != "0 to 3700" || e.Kcal.String() != "0 to 900" {
		t.Errorf("%s, %s", e.KJ, e.Kcal)
	}
	// only fibre and acid unknown: the room counts as acid at most
	e = mustPart(t, Part{Name: "s", Mass: dec("100"), Comp: comp(t, "water 90, fat 0, protein 0, sugars 8, starch 0, polyols 0, glycerol 0, other carbohydrate 0, alcohol 0")}).Energy()
	if e.Kcal.String() != "32 to 38" {
		t.Errorf("%s", e.Kcal)
	}
}
