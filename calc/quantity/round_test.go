package quantity_test

import (
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

// The scales of the house book's example.
var houseScales = []quantity.Scale{
	{Name: "bench scale", Reads: quantity.Int(1), UpTo: quantity.Int(6000)},
	{Name: "fine scale", Reads: quantity.Frac(1, 10), UpTo: quantity.Int(500)},
}

func TestRound(t *testing.T) {
	small := append([]quantity.Scale{{Name: "spoon scale", Reads: quantity.Frac(1, 100), UpTo: quantity.Int(50)}}, houseScales...)
	crane := append([]quantity.Scale{{Name: "floor scale", Reads: quantity.Int(20), UpTo: quantity.Int(30000)}}, houseScales...)
	broken := append([]quantity.Scale{{Name: "broken", UpTo: quantity.Int(100000)}}, houseScales...)
	for _, c := range []struct {
		exact             string
		scales            []quantity.Scale
		shown, step, name string
		under, few        bool
	}{
		{"288", houseScales, "288 g", "0.1", "fine scale", false, false},
		{"500", houseScales, "500 g", "0.1", "fine scale", false, false},
		{"500.04", houseScales, "500 g", "1", "bench scale", false, false},
		{"11.18033989", houseScales, "11.2 g", "0.1", "fine scale", false, false},
		{"1.96", houseScales, "2 g", "0.1", "fine scale", false, true},
		{"2", houseScales, "2 g", "0.1", "fine scale", false, false},
		{"0.04", houseScales, "0 g", "0.1", "fine scale", true, true},
		{"0.05", houseScales, "0.1 g", "0.1", "fine scale", false, true},
		{"0", houseScales, "0 g", "0.1", "fine scale", false, false},
		{"7000.4", houseScales, "7000 g", "1", "bench scale", false, false},
		{"12345.6", houseScales, "12.346 kg", "1", "bench scale", false, false},
		{"0.125", small, "0.13 g", "0.01", "spoon scale", false, true},
		{"50.004", small, "50 g", "0.1", "fine scale", false, false},
		{"6001", crane, "6000 g", "20", "floor scale", false, false},
		{"90000", crane, "90 kg", "20", "floor scale", false, false},
		{"288.25", broken, "288.3 g", "0.1", "fine scale", false, false},
		{"-12.34", houseScales, "-12.3 g", "0.1", "fine scale", false, false},
		{"1110", nil, "1110 g", "1", "", false, false}, // common practice: pan 930 g + target 180 g
		{"10.4", nil, "10 g", "1", "", false, true},
		{"9.96", nil, "10 g", "0.1", "", false, false},
		{"9999.4", nil, "9999 g", "1", "", false, false},
		{"9999.5", nil, "10 kg", "1", "", false, false},
		{"12500", nil, "12.5 kg", "1", "", false, false},
	} {
		r := quantity.Round(quantity.MustDecimal(c.exact), c.scales)
		if r.String() != c.shown || r.Step.String() != c.step || r.Scale != c.name || r.UnderHalfStep != c.under || r.FewDivisions != c.few || r.Exact.String() != quantity.MustDecimal(c.exact).String() {
			t.Errorf("Round(%s) = %v: %+v", c.exact, r, r)
		}
	}
}

func TestRoundings(t *testing.T) {
	d := quantity.MustDecimal
	for _, c := range []struct {
		r    quantity.Rounding
		want string
	}{
		{quantity.RoundTime(d("90")), "90 min"},
		{quantity.RoundTime(d("0.25")), "15 s"},
		{quantity.RoundTime(d("1.999")), "2 min"},
		{quantity.RoundTime(d("2.4")), "2 min"},
		{quantity.RoundTime(d("0")), "0 min"},
		{quantity.RoundTime(d("180")), "3 h"},
		{quantity.RoundTime(d("181")), "3 h 1 min"},
		{quantity.RoundTime(d("480")), "8 h"},
		{quantity.RoundTime(d("1440")), "24 h"},
		{quantity.RoundTime(d("20160")), "14 days"},
		{quantity.RoundTime(d("-30")), "-30 min"},
		{quantity.RoundTemperature(d("84.06")), "84.1 °C"},
		{quantity.RoundTemperature(d("-18")), "-18 °C"},
		{quantity.RoundMoney(d("5.172")), "5.17"},
		{quantity.RoundShare(d("17.61666667")), "17.6 %"},
		{quantity.RoundShare(d("0.0123456")), "0.0123 %"},
		{quantity.RoundShare(d("99.96")), "100 %"},
		{quantity.RoundShare(d("1234")), "1230 %"},
		{quantity.RoundShare(d("0")), "0 %"},
	} {
		if got := c.r.String(); got != c.want {
			t.Errorf("%v shows %q, want %q", c.r.Exact, got, c.want)
		}
	}
	if got := quantity.ShowMoney(quantity.RoundMoney(d("5.2")), quantity.Currency("EUR")); got != "5.20 EUR" {
		t.Errorf("ShowMoney = %q", got)
	}
	if got := quantity.ShowTemperature(quantity.RoundTemperature(d("320")), quantity.Fahrenheit); got != "320 °F" {
		t.Errorf("ShowTemperature = %q", got)
	}
	if got := quantity.ShowShare(quantity.RoundShare(d("0.4"))); got != "0.4 %" {
		t.Errorf("ShowShare = %q", got)
	}
}

func TestRoundQuantity(t *testing.T) {
	for in, want := range map[string]string{
		"1.23456 kg": "1235 g", "0.5 lb": "0.5 lb", "35.27396 oz": "35.3 oz", "8 oz": "8 oz", "250 mg": "0.3 g",
		"199.4 ml": "199 ml", "2.25 ml": "2.3 ml", "1.2345 l": "1.235 l", "1/3 cup": "0.33 cup", "8 h 30 min": "8 h 30 min", "90 s": "90 s",
		"184.06 °F": "184.1 °F", "50.04 °Bx": "50 °Bx", "12.34 cm": "12.3 cm", "12.3 mm": "12 mm", "4.72 in": "4.7 in", "2.5 leaves": "2.5 leaves", "1/3 each": "0.33 each",
		"1430.4 kJ": "1430 kJ", "1.04567 g/ml": "1.046 g/ml", "5.172 EUR": "5.17 EUR", "2.83951": "2.84", "1/3": "0.3333", "17.61666 %": "17.6 %", "2 weeks": "14 days",
	} {
		q, err := quantity.ParseQuantity(in, quantity.Metric, quantity.Book)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := quantity.RoundQuantity(q, houseScales).String(); got != want {
			t.Errorf("%s shows %q, want %q", in, got, want)
		}
	}
	if r := quantity.RoundQuantity(quantity.Of(quantity.Frac(1, 100), quantity.OZ), houseScales); !r.FewDivisions {
		t.Errorf("0.01 oz, %+v: few divisions not told", r)
	}
}

func TestRoundingProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		exact := quantity.Frac(rapid.Int64Range(0, 2e7).Draw(t, "numerator"), rapid.Int64Range(1, 1000).Draw(t, "denominator"))
		scales := houseScales[:rapid.IntRange(0, 2).Draw(t, "scales")]
		r := quantity.Round(exact, scales)
		off := exact.Sub(r.Shown).Abs().Mul(quantity.Int(2))
		if r.Step.Less(off) || !r.Shown.Div(r.Step).IsInt() {
			t.Fatalf("%v rounds to %v by %v", exact, r.Shown, r.Step)
		}
		if r.UnderHalfStep != (r.Shown.IsZero() && !exact.IsZero()) {
			t.Fatalf("%v: %+v", exact, r)
		}
		if len(scales) == 2 { // the order of the scales does not matter
			turned := quantity.Round(exact, []quantity.Scale{scales[1], scales[0]})
			if turned.Scale != r.Scale || !turned.Shown.Equal(r.Shown) {
				t.Fatalf("%v: %+v and %+v", exact, r, turned)
			}
		}
		// What is shown reads back as what was rounded to.
		q, err := quantity.ParseQuantity(r.String(), quantity.Metric, quantity.Book)
		if err != nil || !q.Base().Equal(r.Shown) {
			t.Fatalf("%q reads as %v, %v, want %v g", r.String(), q, err, r.Shown)
		}
		rt := quantity.RoundTime(exact)
		q, err = quantity.ParseQuantity(rt.String(), quantity.Metric, quantity.Book)
		if err != nil || !q.Base().Equal(rt.Shown) {
			t.Fatalf("%q reads as %v, %v, want %v min", rt.String(), q, err, rt.Shown)
		}
	})
}
