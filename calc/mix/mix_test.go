package mix

import (
	"encoding/csv"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

func dec(s string) quantity.Number { return quantity.MustDecimal(s) }

// comp reads "water 59, milk fat 35".
func comp(t testing.TB, s string) Composition {
	t.Helper()
	var c Composition
	for _, kv := range strings.Split(s, ",") {
		kv = strings.TrimSpace(kv)
		if kv == "" {
			continue
		}
		i := strings.LastIndexByte(kv, ' ')
		k, ok := KeyNamed(kv[:i])
		if !ok {
			t.Fatalf("no key %q", kv[:i])
		}
		c = c.With(k, dec(kv[i+1:]))
	}
	return c
}

func part(t testing.TB, name, mass, c string) Mixture {
	t.Helper()
	m, err := New(name, dec(mass), comp(t, c))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func want(t *testing.T, what string, got Content, s string) {
	t.Helper()
	if got.String() != s {
		t.Errorf("%s: got %s (missing %q), want %s", what, got, got.Missing, s)
	}
}

func records(t testing.TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, row := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

// The worked mass balances of testdata/pearson-square.csv (University of Guelph,
// Standardization problems; Earle, Unit Operations in Food Processing, example 2.1; a
// milk-standardisation leaflet), all read. Their composition comes from the statement.
func TestPearsonSquare(t *testing.T) {
	fat := func(m Mixture) quantity.Number { return m.Per100(Fat).AtLeast }
	for _, r := range records(t, "testdata/pearson-square.csv") {
		switch r["id"] {
		case "P1": // 160 kg of cream at 40 % and the answer in kg of skim milk make 32 %
			b := Blend(part(t, "cream", "160000", "fat 40"), part(t, "skim milk", r["answer"]+"000", "fat 0"))
			if !fat(b).Equal(dec("32")) {
				t.Errorf("P1: %s %% fat", fat(b))
			}
		case "P3": // 4.6 kg of fat to 100 kg of skim milk
			b := Blend(part(t, "skim milk", "100000", "water 90.5, protein 3.5, sugars 5.1, fat 0.1, ash 0.8"),
				part(t, "fat", "4600", "fat 100, water 0, protein 0, sugars 0, ash 0"))
			for k, w := range map[Key]string{Water: "86.5", Protein: "3.3", Sugars: "4.9", Ash: "0.8", Fat: "4.5"} {
				if got := b.Per100(k); !got.Exact || got.AtLeast.Fixed(1) != w {
					t.Errorf("P3: %s of %s, want %s", got, k, w)
				}
			}
		case "P4": // 2.6 parts at 3.9 % and 1.3 at 0 % make 2.6 %
			b := Blend(part(t, "milk", "2600", "fat 3.9"), part(t, "skim milk", "1300", "fat 0"))
			if !fat(b).Equal(dec("2.6")) || !b.Mass().Equal(dec("3900")) {
				t.Errorf("P4: %s %% fat in %s g", fat(b), b.Mass())
			}
		default:
			t.Errorf("row %s is not checked", r["id"])
		}
	}
}

func TestBounds(t *testing.T) {
	cream := "water 59, fat 35, milk fat 35, protein 2.1, lactose 3.1, sugars 3.1, ash 0.5" // book-format's example
	for _, c := range []struct {
		comp string
		k    Key
		want string
	}{
		{cream, Water, "59"},
		{cream, Alcohol, "0 to 0.3"},                         // what is left of 100
		{cream, Sucrose, "0"},                                // the sugars are all lactose
		{cream, CocoaButter, "0"},                            // the fat is all milk fat
		{"sugars 100, sucrose 100", Water, "0"},              // nothing is left
		{"sugars 100", Sucrose, "0 to 100"},                  // sugars given, which is not
		{"sugars 0", Lactose, "0"},                           // a part of nothing
		{"sucrose 40, glucose 10", Sugars, "50 to 100"},      // fructose… not given
		{"milk fat 30", Fat, "30 to 100"},                    // other fat not given
		{"fat 60, milk fat 0", CocoaButter, "0 to 60"},       //
		{"water 90", Water, "90"},                            //
		{"fat 80, sugars 0", Water, "0 to 20"},               // never 20 by difference
		{"salt 98, ash 99.9", Water, "0 to 0.1"},             // salt lies in the ash
		{"water 60, fat 41", Protein, "0 to 1"},              // contradiction of 1 g rules out nothing up to 1 g
		{"water 50, fat 40, salt 8", Ash, "0 to 10"},         // the salt may lie in it
		{"water 60, fat 40", Protein, "0 to 0"},              // at most 0 and yet not exact: carbohydrate by difference fills every 100
		{"water 60, other carbohydrate 40", Acid, "0 to 40"}, // and hides acid
		{"water 60, other carbohydrate 40", Polyols, "0 to 40"},
		{"water 60, other carbohydrate 40", Glycerol, "0 to 40"},
		{"water 60, other carbohydrate 40", Starch, "0 to 40"},
		{"water 60, other carbohydrate 40", Sugars, "0 to 0"},
		{"", Water, "0 to 100"},                                                 //
		{"sucrose 1, glucose 2, fructose 3, lactose 0, maltose 0", Sugars, "6"}, // all five known
	} {
		want(t, c.comp+": "+c.k.String(), comp(t, c.comp).Bounds(c.k), c.want)
	}
}

func TestMissingIsNamed(t *testing.T) {
	b := Blend(part(t, "cream", "100", "water 59, fat 35"), part(t, "paste", "50", ""), part(t, "oil", "10", "fat 100"))
	c := b.Grams(Fat)
	if c.Exact || !c.AtLeast.Equal(dec("45")) || !c.AtMost.Equal(dec("95")) {
		t.Errorf("fat %+v", c)
	}
	if d := cmp.Diff([]string{"paste"}, c.Missing); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"cream", "paste"}, b.Grams(Protein).Missing); d != "" {
		t.Error(d)
	}
	if _, ok := b.Composition().Get(Fat); ok {
		t.Error("an unknown fat became a known one")
	}
}

func TestLosses(t *testing.T) {
	stock := part(t, "stock", "1000", "water 95, salt 1, alcohol 0, sugars 0, fat 0, protein 3, ash 2, starch 0, fibre 0, polyols 0, glycerol 0, other carbohydrate 0, acid 0")
	m, err := stock.LoseWater(dec("600"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "mass", Content{AtLeast: m.Mass(), Exact: true}, "400")
	want(t, "water", m.Grams(Water), "350")
	want(t, "salt", m.Per100(Salt), "2.5")
	want(t, "solids", m.SolidsPer100(), "12.5")

	_, err = stock.LoseWater(dec("951"))
	if le := (*LossError)(nil); !errors.Is(err, ErrNotEnough) || !errors.As(err, &le) || le.What != Water {
		t.Errorf("951 g of 950: %v", err)
	}
	_, err = part(t, "pulp", "100", "sugars 10").LoseWater(dec("5"))
	if !errors.Is(err, ErrUnknown) {
		t.Errorf("unknown water: %v", err)
	}
	_, err = stock.LoseWater(dec("-1"))
	if !errors.Is(err, ErrMass) {
		t.Errorf("negative: %v", err)
	}

	wine := part(t, "wine", "1000", "water 87, alcohol 10, sugars 1, fat 0, protein 0, starch 0, fibre 0, polyols 0, glycerol 0, other carbohydrate 0, acid 0.5")
	m, err = wine.LoseWaterAndAlcohol(dec("300"), dec("90"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "alcohol", m.Grams(Alcohol), "10")
	want(t, "water", m.Grams(Water), "570")
	want(t, "kcal", m.Energy().Kcal, "125") // 10 × 7 + 10 × 4 + 5 × 3
	m, err = wine.LoseBoiled("reduce", dec("390"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "alcohol", m.Grams(Alcohol), "0 to 100")
	want(t, "water", m.Grams(Water), "480 to 580")
	want(t, "acid", m.Grams(Acid), "5")
	want(t, "kcal", m.Energy().Kcal, "55 to 755")
	if got := m.Grams(Water).Missing; len(got) != 1 || got[0] != "reduce" {
		t.Errorf("missing %q", got)
	}

	m, err = stock.LeaveBehind("strain", dec("100"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "water", m.Grams(Water), "850 to 900")
	want(t, "salt", m.Grams(Salt), "0 to 10")
	want(t, "alcohol", m.Grams(Alcohol), "0") // none was there, none stays
	m, err = stock.LoseMixture(dec("100"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "water", m.Per100(Water), "95")
	if _, err = stock.LoseMixture(dec("1001")); !errors.Is(err, ErrNotEnough) {
		t.Errorf("more than all: %v", err)
	}
}

func TestToTaste(t *testing.T) {
	salt := Part{Name: "salt", Comp: comp(t, "salt 100, water 0, fat 0, sugars 0, ash 100")}.ToTaste()
	b := Blend(part(t, "milk", "100", "water 89, fat 3.3, salt 0.2"), salt)
	want(t, "salt", b.Grams(Salt), "at least 0.2")
	want(t, "fat", b.Grams(Fat), "3.3")
	want(t, "water", b.Grams(Water), "89")
	if got := b.Grams(Salt).Missing; len(got) != 1 || got[0] != "salt" {
		t.Errorf("missing %q", got)
	}
	if _, ok := b.Grams(Salt).PlusMinus(); ok {
		t.Error("an open content has no uncertainty")
	}
}

func TestMilkSolids(t *testing.T) {
	// ice-cream mix by hand: 600 g milk (protein 3.3, lactose 4.8, ash 0.7 → 8.8 %), 100 g milk powder (35, 53, 8 → 96 %), 100 g sugar
	milk := Part{Name: "milk", Mass: dec("600"), Milk: AllMilk, Comp: comp(t, "protein 3.3, lactose 4.8, ash 0.7")}
	powder := Part{Name: "milk powder", Mass: dec("100"), Milk: AllMilk, Comp: comp(t, "protein 35, lactose 53, ash 8")}
	sugar := Part{Name: "sugar", Mass: dec("100"), Milk: NoMilk}
	var ms []Mixture
	for _, p := range []Part{milk, powder, sugar} {
		m, err := p.Mixture()
		if err != nil {
			t.Fatal(err)
		}
		ms = append(ms, m)
	}
	want(t, "MSNF", Blend(ms...).MilkSolidsNotFat(), "148.8")
	want(t, "MSNF with something", Blend(append(ms, part(t, "biscuit", "10", "protein 8, lactose 1, ash 1"))...).MilkSolidsNotFat(), "148.9 to 149.8")
}

func TestTake(t *testing.T) {
	m := part(t, "syrup", "300", "sugars 50, water 50")
	twice, err := m.Take(dec("600")) // two batches
	if err != nil {
		t.Fatal(err)
	}
	want(t, "water", twice.Grams(Water), "300")
	if _, err := (Mixture{}).Take(dec("1")); !errors.Is(err, ErrNoMass) {
		t.Errorf("of nothing: %v", err)
	}
	if _, err := m.Take(dec("-1")); !errors.Is(err, ErrMass) {
		t.Errorf("negative: %v", err)
	}
	if z, err := m.Take(dec("0")); err != nil || !z.Grams(Fat).Exact {
		t.Errorf("nothing of it: %v %v", z.Grams(Fat), err)
	}
	if _, err := New("x", dec("-1"), Composition{}); !errors.Is(err, ErrMass) {
		t.Errorf("negative: %v", err)
	}
	if c := (Mixture{}).Per100(Water); c.Exact || !c.Open {
		t.Errorf("100 g of nothing: %v", c)
	}
}
