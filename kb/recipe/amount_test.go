package recipe

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

// same compares numbers and units by what they mean.
var same = cmp.Options{
	cmp.Comparer(func(a, b quantity.Number) bool { return a.Equal(b) }),
	cmp.Comparer(func(a, b quantity.Unit) bool { return a.Equal(b) }),
}

func num(s string) quantity.Number { return quantity.MustDecimal(s) }

func qty(s string, u quantity.Unit) *quantity.Quantity {
	q := quantity.Of(num(s), u)
	return &q
}

func measured(lo, hi string, u quantity.Unit) Amount {
	return Amount{Kind: Measured, Lo: num(lo), Hi: num(hi), Unit: u}
}

func pieces(lo, hi, word string) Amount {
	return Amount{Kind: Pieces, Lo: num(lo), Hi: num(hi), Piece: word, Unit: quantity.Pieces(word)}
}

func percent(lo, hi string, of ...string) Amount {
	return Amount{Kind: PercentOf, Lo: num(lo), Hi: num(hi), Of: of}
}

func unitOf(t *testing.T, m quantity.Measure, s string) quantity.Unit {
	t.Helper()
	u, ok := m.UnitNamed(s)
	if !ok {
		t.Fatalf("no unit %q", s)
	}
	return u
}

func TestParseAmount(t *testing.T) {
	tsp := unitOf(t, quantity.Metric, "tsp")
	weighed := func(a Amount, mass *quantity.Quantity, each bool) Amount {
		a.Mass, a.Each = mass, each
		return a
	}
	start := measured("10", "10", quantity.G)
	start.Text = "10 g"
	tests := map[string]Amount{
		// Masses and volumes.
		"120 g":        measured("120", "120", quantity.G),
		"120g":         measured("120", "120", quantity.G),
		"0.4 g":        measured("0.4", "0.4", quantity.G),
		"1.2 kg":       measured("1.2", "1.2", quantity.KG),
		"1,2 kg":       measured("1.2", "1.2", quantity.KG),
		"1.200 kg":     measured("1.2", "1.2", quantity.KG),
		"½ l":          measured("0.5", "0.5", quantity.L),
		"1½ l":         measured("1.5", "1.5", quantity.L),
		"1 ½ l":        measured("1.5", "1.5", quantity.L),
		"1 1/2 tsp":    measured("1.5", "1.5", tsp),
		"3/4 tsp":      measured("0.75", "0.75", tsp),
		"500 mg":       measured("500", "500", quantity.MG),
		"2 oz":         measured("2", "2", quantity.OZ),
		"2 lb":         measured("2", "2", quantity.LB),
		"3 lb 4 oz":    measured("3.25", "3.25", quantity.LB),
		"5 cl":         measured("5", "5", quantity.CL),
		"1.5 dl":       measured("1.5", "1.5", quantity.DL),
		"20 ml":        measured("20", "20", quantity.ML),
		"2 litres":     measured("2", "2", quantity.L),
		"500 grams":    measured("500", "500", quantity.G),
		"3 KG":         measured("3", "3", quantity.KG),
		"120\u00a0g":   measured("120", "120", quantity.G),
		"  120   g  ":  measured("120", "120", quantity.G),
		"1000000 g":    measured("1000000", "1000000", quantity.G),
		"0 g":          measured("0", "0", quantity.G),
		"1 cup":        measured("1", "1", unitOf(t, quantity.Metric, "cup")),
		"2 tbsp":       measured("2", "2", unitOf(t, quantity.Metric, "tbsp")),
		"8 fl oz":      measured("8", "8", unitOf(t, quantity.Metric, "fl oz")),
		"1 pint":       measured("1", "1", unitOf(t, quantity.Metric, "pint")),
		"1 quart":      measured("1", "1", unitOf(t, quantity.Metric, "quart")),
		"1/2 gallon":   measured("0.5", "0.5", unitOf(t, quantity.Metric, "gallon")),
		"1 UK pint":    measured("1", "1", unitOf(t, quantity.Metric, "UK pint")),
		"3-4 g":        measured("3", "4", quantity.G),
		"3 – 4 g":      measured("3", "4", quantity.G),
		"3 to 4 g":     measured("3", "4", quantity.G),
		"3 g to 4 g":   measured("3", "4", quantity.G),
		"900 g-1.1 kg": measured("900", "1100", quantity.G),
		"1/2-3/4 tsp":  measured("0.5", "0.75", tsp),
		"0.5-1.5 kg":   measured("0.5", "1.5", quantity.KG),
		// Pieces.
		"3":                        pieces("3", "3", ""),
		"½":                        pieces("0.5", "0.5", ""),
		"2 leaves":                 pieces("2", "2", "leaves"),
		"½ pod":                    pieces("0.5", "0.5", "pod"),
		"1 each":                   pieces("1", "1", "each"),
		"1 piece":                  pieces("1", "1", "piece"),
		"2-3 leaves":               pieces("2", "3", "leaves"),
		"2 bay leaves":             pieces("2", "2", "bay leaves"),
		"3 brins":                  pieces("3", "3", "brins"),
		"2 Zweige":                 pieces("2", "2", "Zweige"),
		"5 dots (2 g each)":        weighed(pieces("5", "5", "dots"), qty("2", quantity.G), true),
		"2 leaves (4 g)":           weighed(pieces("2", "2", "leaves"), qty("4", quantity.G), false),
		"2-3 leaves (4-6 g)":       weighed(pieces("2", "3", "leaves"), qty("5", quantity.G), false),
		"1 head (1,2 kg)":          weighed(pieces("1", "1", "head"), qty("1.2", quantity.KG), false),
		"2 (55 g each)":            weighed(pieces("2", "2", ""), qty("55", quantity.G), true),
		"2 half-leaves( 4 g )":     weighed(pieces("2", "2", "half-leaves"), qty("4", quantity.G), false),
		"2 pinches":                pieces("2", "2", "pinches"),
		"10 %":                     {}, // told below
		"2 % of cabbage":           percent("2", "2", "cabbage"),
		"0.9 % of liquids":         percent("0.9", "0.9", "liquids"),
		"0.9 % of Liquids":         percent("0.9", "0.9", "liquids"),
		"2 % of flour + rye flour": percent("2", "2", "flour", "rye flour"),
		"2% of cream 35 %":         percent("2", "2", "cream 35 %"),
		"0.4-0.6 % of milk":        percent("0.4", "0.6", "milk"),
		"2 parts":                  {Kind: Parts, Lo: num("2"), Hi: num("2")},
		"1 part":                   {Kind: Parts, Lo: num("1"), Hi: num("1")},
		"½ part":                   {Kind: Parts, Lo: num("0.5"), Hi: num("0.5")},
		"to taste":                 {Kind: ToTaste},
		"To taste, start 10 g":     {Kind: ToTaste, Start: &start},
		"a pinch":                  {Kind: Pinch},
		"pinch":                    {Kind: Pinch},
		"a few drops":              {Kind: Pinch},
		"a small handful":          {Kind: Pinch},
	}
	delete(tests, "10 %")
	for in, want := range tests {
		got, err := ParseAmount(in, quantity.Metric)
		if err != nil {
			t.Errorf("ParseAmount(%q): %v", in, err)
			continue
		}
		if got.Text != spaces(in) {
			t.Errorf("ParseAmount(%q) has text %q", in, got.Text)
		}
		got.Text = ""
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("ParseAmount(%q) (-want +got):\n%s", in, diff)
		}
	}
}

// Spoons, cups and the large volumes follow the house's measure: book-format,
// from 21 CFR 101.9(b)(5)(viii) and the definitions in calc/quantity/testdata.
func TestParseAmountMeasure(t *testing.T) {
	for _, tt := range []struct {
		m    quantity.Measure
		in   string
		want string // ml
	}{
		{quantity.Metric, "1 tsp", "5"}, {quantity.Metric, "1 tbsp", "15"}, {quantity.Metric, "1 cup", "240"},
		{quantity.Australian, "1 tbsp", "20"}, {quantity.Australian, "1 cup", "250"}, {quantity.UK, "1 cup", "240"},
		{quantity.US, "1 tsp", "4.92892"}, {quantity.US, "1 cup", "236.588"}, {quantity.Metric, "1 fl oz", "29.5735"}, {quantity.Metric, "1 pint", "473.176"},
		{quantity.UK, "1 fl oz", "28.4131"}, {quantity.UK, "1 pint", "568.261"}, {quantity.US, "1 gallon", "3785.41"}, {quantity.US, "1 quart", "946.353"},
	} {
		a, err := ParseAmount(tt.in, tt.m)
		if err != nil {
			t.Fatal(err)
		}
		got := a.Lo.Mul(a.Unit.Factor())
		if off := got.Sub(num(tt.want)).Abs(); off.Cmp(num("0.005")) > 0 {
			t.Errorf("%v %s is %s ml, want %s", tt.m, tt.in, got.Fixed(4), tt.want)
		}
	}
}

func TestParseAmountFaults(t *testing.T) {
	for _, tt := range []struct{ in, code, write string }{
		{"", CodeMissing, "to taste"},
		{"1,200 g", CodeAmbiguous, "1200 g, or 1.2 g"},
		{"1 200 g", CodeAmbiguous, "1200 g, or 1.2 g"},
		{"1\u00a0200 g", CodeAmbiguous, "1200 g, or 1.2 g"},
		{"2 leaves (1,200 g)", CodeAmbiguous, "1200 g"},
		{"1,200.5 g", CodeAmbiguous, "1200.5"},
		{"1,200,000 g", CodeAmbiguous, "one decimal point"},
		{"3-1,200 g", CodeAmbiguous, "1200 g"},
		{"10 %", CodeAmount, "10 % of NAME"},
		{"10 % flour", CodeAmount, "10 % of NAME"},
		{"2 % of flour +", CodeAmount, "flour + rye flour"},
		{"4-3 g", CodeAmount, "smaller number first"},
		{"3- g", CodeAmount, "3-4 g"},
		{"3 min", CodeUnit, "120 g"},
		{"3 h", CodeUnit, "120 g"},
		{"10 cm", CodeUnit, "120 g"},
		{"84 °C", CodeUnit, "120 g"},
		{"2 leaves (4 ml)", CodeUnit, "2 leaves (4 g)"},
		{"2 leaves (2 sprigs)", CodeUnit, "2 leaves (4 g)"},
		{"2 leaves (4 g", CodeAmount, "2 leaves (4 g)"},
		{"2 leaves (4 g) soaked", CodeAmount, "2 leaves (4 g)"},
		{"120 g (4 leaves)", CodeAmount, "note:"},
		{"120 g, chopped", CodeAmount, "{amount: 120 g, prep: …}"},
		{"1,2 kg, chopped", CodeAmount, "{amount: 1,2 kg, prep: …}"},
		{"120 g chopped", CodeAmount, "{amount: 120 g, note: chopped}"},
		{"2 leaves, soaked", CodeAmount, "{amount: 2 leaves, prep: …}"},
		{"2 leaves 4", CodeAmount, "120 g"},
		{"about 120 g", CodeAmount, "120 g"},
		{"~120 g", CodeAmount, "120 g"},
		{"two leaves", CodeAmount, "2 leaves"},
		{"a dozen leaves", CodeAmount, "12 leaves"},
		{"half a litre", CodeAmount, "0.5 l"},
		{"a kilo", CodeAmount, "1 kg"},
		{"-5 g", CodeAmount, "120 g"},
		{"some", CodeAmount, "120 g"},
		{"g 120", CodeAmount, "120 g"},
		{"to taste, 10 g", CodeAmount, "to taste, start 10 g"},
		{"to taste, start to taste", CodeAmount, "to taste, start 10 g"},
		{"to taste, start 1,200 g", CodeAmbiguous, "1200 g"},
		{"99999999999 g", CodeNumber, "smaller"},
		{"1/0 g", CodeNumber, "1/2"},
		{strings.Repeat("9", 300) + " g", CodeAmount, "120 g"},
		{"1e3 g", CodeAmount, ""},
	} {
		a, err := ParseAmount(tt.in, quantity.Metric)
		var form *FormError
		if !errors.As(err, &form) {
			t.Errorf("ParseAmount(%q) = %+v, %v, want a FormError", tt.in, a, err)
			continue
		}
		if form.Code != tt.code || !strings.Contains(form.Write, tt.write) || form.Text == "" {
			t.Errorf("ParseAmount(%q): %s: %v", tt.in, form.Code, form)
		}
	}
}

// drawAmount draws any amount that a book can hold.
func drawAmount(t *rapid.T, inner bool) Amount {
	number := rapid.Custom(func(t *rapid.T) quantity.Number {
		switch rapid.IntRange(0, 2).Draw(t, "number") {
		case 0:
			return quantity.Int(rapid.Int64Range(0, 1_000_000).Draw(t, "whole"))
		case 1:
			return quantity.Frac(rapid.Int64Range(0, 999_999).Draw(t, "thousandths"), 1000)
		}
		return quantity.Frac(rapid.Int64Range(1, 500).Draw(t, "over"), rapid.Int64Range(1, 64).Draw(t, "under"))
	})
	word := rapid.SampledFrom([]string{"leaves", "pod", "each", "pieces", "dots", "bay leaves", "Zweige", "half-leaves", "gousses", "é"})
	name := rapid.SampledFrom([]string{"flour", "rye flour", "cream 35 %", "crème", "milk"})
	a := Amount{}
	a.Lo = number.Draw(t, "lo")
	a.Hi = a.Lo
	if rapid.Bool().Draw(t, "range") {
		a.Hi = a.Lo.Add(number.Draw(t, "wider"))
	}
	most := 5
	if inner {
		most = 3
	}
	switch rapid.IntRange(0, most).Draw(t, "kind") {
	case 0:
		a.Kind = Measured
		m := quantity.Metric
		a.Unit, _ = m.UnitNamed(rapid.SampledFrom([]string{"mg", "g", "kg", "oz", "lb", "ml", "cl", "dl", "l", "tsp", "tbsp", "cup", "fl oz", "pint",
			"quart", "gallon", "UK pint", "US cup", "metric cup"}).Draw(t, "unit"))
	case 1:
		a.Kind = Pieces
		if rapid.Bool().Draw(t, "word") {
			a.Piece = word.Draw(t, "piece")
		}
		a.Unit = quantity.Pieces(a.Piece)
		if rapid.Bool().Draw(t, "weighed") {
			q := quantity.Of(number.Draw(t, "mass"), rapid.SampledFrom([]quantity.Unit{quantity.G, quantity.KG, quantity.OZ}).Draw(t, "of"))
			a.Mass, a.Each = &q, rapid.Bool().Draw(t, "each")
		}
	case 2:
		a.Kind = PercentOf
		a.Of = rapid.SliceOfN(name, 1, 3).Draw(t, "names")
		if rapid.Bool().Draw(t, "liquids") {
			a.Of = []string{"liquids"}
		}
	case 3:
		a.Kind = Parts
	case 4:
		a = Amount{Kind: ToTaste}
		if rapid.Bool().Draw(t, "start") {
			s := drawAmount(t, true)
			a.Start = &s
		}
	case 5:
		a = Amount{Kind: Pinch}
	}
	return a
}

// ParseAmount reads what Written writes: the same amount, whatever it is.
func TestAmountWrittenIsReadBack(t *testing.T) {
	noText := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Text" }, cmp.Ignore())
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom([]quantity.Measure{quantity.Metric, quantity.US, quantity.Australian, quantity.UK}).Draw(t, "measure")
		a := drawAmount(t, false)
		if a.Kind == Measured {
			a.Unit, _ = m.UnitNamed(a.Unit.Symbol)
		}
		if a.Start != nil && a.Start.Kind == Measured {
			a.Start.Unit, _ = m.UnitNamed(a.Start.Unit.Symbol)
		}
		got, err := ParseAmount(a.Written(), m)
		if err != nil {
			t.Fatalf("%q: %v", a.Written(), err)
		}
		if diff := cmp.Diff(a, got, same, noText); diff != "" {
			t.Fatalf("%q (-drawn +read):\n%s", a.Written(), diff)
		}
	})
}

func TestMiddle(t *testing.T) {
	a, err := ParseAmount("3-4 g", quantity.Metric)
	if err != nil || !a.IsRange() || !a.Middle().Equal(num("3.5")) {
		t.Errorf("%v %v", a.Middle(), err)
	}
}

func FuzzParseAmount(f *testing.F) {
	for _, s := range []string{"120 g", "1,200 g", "1 1/2 tsp", "2-3 leaves (4-6 g)", "2 % of flour + rye flour", "to taste, start 10 g", "a pinch", "3 lb 4 oz",
		"½ pod", "900 g-1.1 kg", "2 fl oz", "1 UK pint", "5 dots (2 g each)", "a dozen", "~3", "1/3-2/3 cup"} {
		f.Add(s, uint8(0))
	}
	noText := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Text" }, cmp.Ignore())
	f.Fuzz(func(t *testing.T, s string, measure uint8) {
		m := quantity.Measure(measure % 4)
		a, err := ParseAmount(s, m)
		if err != nil {
			var form *FormError
			if !errors.As(err, &form) || form.Write == "" || form.Text == "" || form.Code == "" || len(form.Text) > 1000 {
				t.Fatalf("%q: %#v", s, err)
			}
			return
		}
		if a.Lo.Sign() < 0 || a.Hi.Less(a.Lo) || a.Kind == NoAmount {
			t.Fatalf("%q is %+v", s, a)
		}
		b, err := ParseAmount(a.Written(), m)
		if err != nil {
			t.Fatalf("%q written %q: %v", s, a.Written(), err)
		}
		if diff := cmp.Diff(a, b, same, noText); diff != "" {
			t.Fatalf("%q written %q (-read +read back):\n%s", s, a.Written(), diff)
		}
	})
}
