package swap

import (
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

func table(t testing.TB, name string) reftable.Table {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return tab
}

func within(t *testing.T, what string, have quantity.Number, want, tolerance string) {
	t.Helper()
	if num(tolerance).Less(have.Sub(num(want)).Abs()) {
		t.Errorf("%s: %s, published %s ± %s", what, have, want, tolerance)
	}
}

// The worked example of an ice-cream mix (testdata/ice-cream-freezing-example.csv; Goff H.D., University of Guelph): 20.66 g of
// sucrose equivalent in 100 g of mix, and 0.474 °C by the milk's salts, in 60 g of water.
func TestFreezingPowerOfTheWorkedExample(t *testing.T) {
	zeros := mix.Composition{}
	for k := range mix.NumKeys {
		zeros = zeros.With(k, zero)
	}
	lactose := num("5.45").Add(num("1.53")) // 0.545 of 10 g, 0.765 of 2 g
	milk := Ingredient{Name: "milk and whey solids", Milk: mix.AllMilk,
		Comp: zeros.With(mix.Lactose, lactose.Div(num("0.12"))).With(mix.Sugars, lactose.Div(num("0.12"))).With(mix.Protein, hundred.Sub(lactose.Div(num("0.12"))))}
	de := num("42")
	syrup := Ingredient{Name: "corn syrup solids", Milk: mix.NoMilk, DE: &de, Comp: zeros.With(mix.OtherCarbohydrate, hundred)}
	sugar := Ingredient{Name: "sucrose", Milk: mix.NoMilk, Comp: zeros.With(mix.Sucrose, hundred).With(mix.Sugars, hundred)}
	got := gramsOf([]part{{&milk, num("12")}, {&sugar, num("12")}, {&syrup, num("4")}}, FreezingPower)
	if !got.Exact {
		t.Fatalf("%+v", got)
	}
	salts := num("12").Mul(num("0.395"))
	within(t, "sucrose equivalent without the salts", got.AtLeast.Sub(salts), "20.66", "0.005")
	within(t, "°C by the salts", salts.Mul(num("0.060")).Div(num("0.6")), "0.474", "0.001")
}

// Sweetness of every sugar is the table's (data/relative-sweetness.csv), and both published columns agree within 10 %.
func TestSweetness(t *testing.T) {
	l := larder(readLarder(t))
	for _, c := range []struct{ name, want, tolerance string }{
		{"fructose", "173.3", "2"}, {"lactose", "16", "2"}, {"sugar", "100", "1"},
		{"dextrose", "67.5", "0.1"},     // 74.3 × 90.9 % of glucose
		{"invert sugar", "95.6", "0.1"}, // 4 + 37 × 1.733 + 37 × 0.743
		{"trehalose", "40.7", "0.1"},    // S-705, from memory: 45 of 90.5 %
		{"sorbitol", "49.75", "0.01"},   // 50 of 99.5 %
	} {
		got := l[c.name].Per100(Sweetness)
		if !got.Exact {
			t.Errorf("%s: %+v", c.name, got)
			continue
		}
		within(t, c.name, got.AtLeast, c.want, c.tolerance)
	}
	for _, name := range Sweeteners() {
		s, ok := SweetenerNamed(name)
		if !ok || s.Name != name || s.SweetHigh.Less(s.SweetLow) {
			t.Errorf("%q: %+v", name, s)
		}
	}
	tab, err := reftable.Parse(sweetnessCSV)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range tab.Rows {
		if r[1] == "" || r[2] == "" || strings.Contains(r[2], "-") {
			continue
		}
		a, b := num(r[1]), num(r[2])
		if b.Mul(num("0.1")).Less(a.Sub(b).Abs()) {
			t.Errorf("%s: %s and %s", r[0], a, b)
		}
	}
	// g for g, ideal: the molar factor of the same table
	for k, name := range map[mix.Key]string{mix.Glucose: "glucose (dextrose anhydrous)", mix.Fructose: "fructose", mix.Sucrose: "sucrose", mix.Maltose: "maltose", mix.Lactose: "lactose"} {
		s, _ := SweetenerNamed(name)
		if f := sweeteners().freeze[k]; !f.Mul(hundred).Equal(s.Freezing) {
			t.Errorf("%s: factor %s, molar %s", name, f, s.Freezing)
		}
	}
}

// What is not told apart lies between the least and the most sweet it may be; a stated value goes first.
func TestUnknownSugarsLieBetween(t *testing.T) {
	in := Ingredient{Name: "puree", Milk: mix.NoMilk, Comp: mix.Composition{}.With(mix.Sugars, num("10")).With(mix.Sucrose, num("4")).
		With(mix.Polyols, zero).With(mix.Glycerol, zero)}
	c := in.Per100(Sweetness)
	within(t, "least", c.AtLeast, "4.96", "0") // 4 + 6 × 0.16, as lactose
	within(t, "most", c.AtMost, "14.398", "0") // 4 + 6 × 1.733, as fructose
	if c.Exact || len(c.Missing) != 1 || c.Missing[0] != "puree" {
		t.Errorf("%+v", c)
	}
	other := Ingredient{Name: "other", Milk: mix.NoMilk, Comp: mix.Composition{}.With(mix.Sugars, num("90.5")).With(mix.Polyols, zero).With(mix.Glycerol, zero)}
	for _, k := range sugarKeys {
		other.Comp = other.Comp.With(k, zero)
	}
	if c := other.Per100(Sweetness); c.Exact || !c.AtLeast.Equal(num("14.48")) || !c.AtMost.Equal(num("156.8365")) {
		t.Errorf("90.5 g of a sugar that is none of the five: %s", c)
	}
	other.Comp = other.Comp.With(mix.Sucrose, num("88")) // 2.5 g of 90.5 are not told apart
	if c := other.Per100(Sweetness); !c.Exact || !c.AtLeast.Equal(num("90.5")) {
		t.Errorf("nearly all told apart: %s", c)
	}
	stated := num("8")
	in.Sweetness, in.Freezing = &stated, &stated
	for _, f := range []Function{Sweetness, FreezingPower} {
		if c := in.Per100(f); !c.Exact || !c.AtLeast.Equal(stated) {
			t.Errorf("%s stated: %+v", f, c)
		}
	}
	polyol := Ingredient{Name: "polyol", Milk: mix.NoMilk, Comp: mix.Composition{}.With(mix.Polyols, hundred).With(mix.Sugars, zero)}
	c = polyol.Per100(FreezingPower)
	within(t, "least of any polyol", c.AtLeast, "99", "0")
	within(t, "most of any polyol", c.AtMost, "280", "0")
}

// testdata/gelatin-bloom.csv: the factors 250 to 200, 160 to 200, 225 to 180.
func TestGelStrengthIsTheSquareRoot(t *testing.T) {
	tab := table(t, "gelatin-bloom.csv")
	done := 0
	for _, r := range tab.Rows {
		pair, ok := strings.CutPrefix(r[0], "factor ")
		if !ok {
			continue
		}
		from, to, _ := strings.Cut(strings.TrimSuffix(pair, " Bloom"), " -> ")
		a, b := Ingredient{Bloom: num(from), Gelatine: true}, Ingredient{Bloom: num(to), Gelatine: true}
		within(t, r[0], a.Per100(GelStrength).AtLeast.Div(b.Per100(GelStrength).AtLeast), r[1], "0.0005")
		done++
	}
	if done != 3 {
		t.Errorf("%d rows", done)
	}
	unknown := Ingredient{Name: "leaf", Gelatine: true}.Per100(GelStrength)
	if unknown.Exact || unknown.AtLeast.IsZero() {
		t.Errorf("an ungraded leaf: %+v", unknown)
	}
	if c := (Ingredient{Name: "milk"}).Per100(GelStrength); !c.Exact || !c.AtMost.IsZero() {
		t.Errorf("no gelatine: %+v", c)
	}
}

// Every function of a known mixture is between its bounds, and knowing more never widens them.
func TestBoundsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		full := mix.Composition{}
		left := 1000
		for _, k := range []mix.Key{mix.Water, mix.Fat, mix.Protein, mix.Starch, mix.Fibre, mix.Polyols, mix.Glycerol, mix.OtherCarbohydrate, mix.Acid, mix.Ash, mix.Alcohol} {
			n := rapid.IntRange(0, left).Draw(t, k.String())
			left -= n
			full = full.With(k, quantity.Frac(int64(n), 10))
		}
		sugars := zero
		for _, k := range sugarKeys {
			n := rapid.IntRange(0, left).Draw(t, k.String())
			left -= n
			full = full.With(k, quantity.Frac(int64(n), 10))
			sugars = sugars.Add(quantity.Frac(int64(n), 10))
		}
		full = full.With(mix.Sugars, sugars).With(mix.Salt, zero).With(mix.MilkFat, zero).With(mix.CocoaButter, zero)
		less := full
		for k := range mix.NumKeys {
			if rapid.IntRange(0, 2).Draw(t, "hide "+k.String()) == 0 {
				less = less.Without(k)
			}
		}
		milk := rapid.SampledFrom([]mix.Milk{mix.MilkUnknown, mix.NoMilk, mix.AllMilk}).Draw(t, "milk")
		for f := range Total {
			if f == Emulsifier {
				continue
			}
			is, may := Ingredient{Comp: full, Milk: milk}.Per100(f), Ingredient{Comp: less, Milk: milk}.Per100(f)
			if is.AtLeast.Less(may.AtLeast) || may.AtMost.Less(is.AtMost) {
				t.Fatalf("%s: %s, knowing less %s", f, is, may)
			}
			if may.Exact && !may.AtLeast.Equal(may.AtMost) {
				t.Fatalf("%s: exact from %s to %s", f, may.AtLeast, may.AtMost)
			}
		}
	})
}

func TestFunctionNames(t *testing.T) {
	for f := range NumFunctions {
		got, ok := FunctionNamed(f.String())
		if !ok || got != f {
			t.Errorf("%d is %q, read back as %d", f, f, got)
		}
	}
	if _, ok := FunctionNamed("taste"); ok {
		t.Error("taste is a function")
	}
	_ = Function(200).String()
	if c := (Ingredient{Name: "x"}).Per100(NumFunctions); c.Exact {
		t.Errorf("of no function: %+v", c)
	}
}

func TestDuties(t *testing.T) {
	l := larder(readLarder(t))
	r := iceCream(t, l)
	duties, err := Duties(r, 4) // dextrose
	if err != nil {
		t.Fatal(err)
	}
	share := map[Function]string{}
	for _, d := range duties {
		if d.KnowsShare {
			share[d.What] = d.Share.Fixed(1)
		}
	}
	for f, want := range map[Function]string{Sugars: "22.2", Sweetness: "22.5", FreezingPower: "28.3"} {
		if share[f] != want {
			t.Errorf("%s: %s %%, want %s", f, share[f], want)
		}
	}
	if _, ok := share[Fat]; ok {
		t.Error("dextrose brings fat")
	}
	if _, err := Duties(r, 99); err == nil {
		t.Error("no line 99")
	}
}
