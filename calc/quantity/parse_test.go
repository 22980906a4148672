package quantity_test

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

const bothModes = 99

func TestParseQuantity(t *testing.T) {
	for _, c := range []struct {
		in   string
		m    quantity.Measure
		mode quantity.Mode // bothModes: the same in both
		want string
	}{
		{"1,2kg", quantity.Metric, bothModes, "1.2 kg"},
		{"500gr", quantity.Metric, bothModes, "500 g"},
		{"120 g", quantity.Metric, bothModes, "120 g"},
		{"1.200 kg", quantity.Metric, bothModes, "1.2 kg"},
		{"½ l", quantity.Metric, bothModes, "0.5 l"},
		{"1/3 kg", quantity.Metric, bothModes, "1/3 kg"},
		{"3 lb 4 oz", quantity.Metric, bothModes, "3.25 lb"},
		{"3lbs4oz", quantity.Metric, bothModes, "3.25 lb"},
		{"1 kg 200 g", quantity.Metric, bothModes, "1.2 kg"},
		{"1.5 dl", quantity.Metric, bothModes, "1.5 dl"},
		{"2 cups", quantity.US, bothModes, "2 cups"},
		{"1 cup", quantity.US, bothModes, "1 cup"},
		{"85°C", quantity.Metric, bothModes, "85 °C"},
		{"85 º C", quantity.Metric, bothModes, "85 °C"},
		{"85 ℃", quantity.Metric, bothModes, "85 °C"},
		{"85 degrees celsius", quantity.Metric, bothModes, "85 °C"},
		{"-18 °C", quantity.Metric, bothModes, "-18 °C"},
		{"−35 °C", quantity.Metric, bothModes, "-35 °C"},
		{"320 °F", quantity.Metric, bothModes, "320 °F"},
		{"90 min", quantity.Metric, bothModes, "90 min"},
		{"15 s", quantity.Metric, bothModes, "15 s"},
		{"1 h 30", quantity.Metric, bothModes, "1.5 h"},
		{"1h30", quantity.Metric, bothModes, "1.5 h"},
		{"0 h 30 min", quantity.Metric, bothModes, "0.5 h"},
		{"1h05", quantity.Metric, bothModes, "13/12 h"},
		{"1 h 30 min", quantity.Metric, bothModes, "1.5 h"},
		{"2 days 6 h", quantity.Metric, bothModes, "2.25 d"},
		{"0.4 %", quantity.Metric, bothModes, "0.4 %"},
		{"50 °Bx", quantity.Metric, bothModes, "50 °Bx"},
		{"1.05 g/ml", quantity.Metric, bothModes, "1.05 g/ml"},
		{"1430 kJ", quantity.Metric, bothModes, "1430 kJ"},
		{"5.20 EUR", quantity.Metric, bothModes, "5.2 EUR"},
		{"1 fl. oz.", quantity.UK, bothModes, "1 fl oz"},
		{"2 c. à s.", quantity.Metric, bothModes, "2 tbsp"},
		{"2 UK pints", quantity.Metric, bothModes, "2 UK pints"},
		{"3", quantity.Metric, bothModes, "3"},
		{"24 pieces", quantity.Metric, bothModes, "24 each"},
		{" 12\tmin. ", quantity.Metric, bothModes, "12 min"},
		{"2 leaves", quantity.Metric, quantity.Book, "2 leaves"},
		{"½ pod", quantity.Metric, quantity.Book, "0.5 pod"},
		{"3 half-leaves", quantity.Metric, quantity.Book, "3 half-leaves"},
		{"85 C", quantity.Metric, quantity.Chat, "85 °C"},
		{"320F", quantity.Metric, quantity.Chat, "320 °F"},
		{"minus 18 C", quantity.Metric, quantity.Chat, "-18 °C"},
		{"1 kg 200", quantity.Metric, quantity.Chat, "1.2 kg"},
		{"two and a half kilos", quantity.Metric, quantity.Chat, "2.5 kg"},
		{"half a litre", quantity.Metric, quantity.Chat, "0.5 l"},
		{"half litre", quantity.Metric, quantity.Chat, "0.5 l"},
		{"a litre", quantity.Metric, quantity.Chat, "1 l"},
		{"a kilo and a half", quantity.Metric, quantity.Chat, "1.5 kg"},
		{"an hour and a half", quantity.Metric, quantity.Chat, "1.5 h"},
		{"three quarters of an hour", quantity.Metric, quantity.Chat, "0.75 h"},
		{"a couple of litres", quantity.Metric, quantity.Chat, "2 l"},
		{"2 hours and 15 minutes", quantity.Metric, quantity.Chat, "2.25 h"},
		{"deux heures et demie", quantity.Metric, quantity.Chat, "2.5 h"},
		{"zwei Esslöffel", quantity.Metric, quantity.Chat, "2 tbsp"},
		{"fifty percent", quantity.Metric, quantity.Chat, "50 %"},
		{"16-cm", quantity.Metric, quantity.Chat, "16 cm"},
	} {
		for _, mode := range []quantity.Mode{quantity.Book, quantity.Chat} {
			if c.mode != bothModes && c.mode != mode {
				continue
			}
			q, err := quantity.ParseQuantity(c.in, c.m, mode)
			if err != nil || q.String() != c.want {
				t.Errorf("mode %d: ParseQuantity(%q) = %v, %v, want %s", mode, c.in, q, err, c.want)
			}
		}
	}
}

func TestParseQuantityBad(t *testing.T) {
	for _, c := range []struct {
		in   string
		mode quantity.Mode
		want error
	}{
		{"", bothModes, quantity.ErrNumber},
		{"g", bothModes, quantity.ErrNumber},
		{"-5 g", bothModes, quantity.ErrNumber},
		{"-5", bothModes, quantity.ErrNumber},
		{"1,200 g", bothModes, quantity.ErrAmbiguousNumber},
		{"1 200 g", bothModes, quantity.ErrAmbiguousNumber},
		{"1e3 g", bothModes, quantity.ErrUnit},
		{"0x10 g", bothModes, quantity.ErrUnit},
		{"5 m3", bothModes, quantity.ErrUnit},
		{"5 g 3 g", bothModes, quantity.ErrUnit},
		{"1 oz 0.01 lb", bothModes, quantity.ErrUnit},
		{"1 °C 1 °F", bothModes, quantity.ErrUnit},
		{"a kilo and five quarters", quantity.Chat, quantity.ErrUnit},
		{"3 lb 4 oz and a half", quantity.Chat, quantity.ErrUnit},
		{"4 oz 3 lb", bothModes, quantity.ErrUnit},
		{"1 lb 20 oz", bothModes, quantity.ErrUnit},
		{"1 kg 200 ml", bothModes, quantity.ErrUnit},
		{"1 h 75", bothModes, quantity.ErrUnit},
		{"3-4 g", bothModes, quantity.ErrUnit},
		{"5 g\n", bothModes, quantity.ErrUnit},
		{"5 big eggs", bothModes, quantity.ErrUnit},
		{"5 T", bothModes, quantity.ErrUnit},
		{"5 grams!", bothModes, quantity.ErrUnit},
		{"1,200.5 g", quantity.Book, quantity.ErrSeparator},
		{"85 C", quantity.Book, quantity.ErrUnit},
		{"85°", bothModes, quantity.ErrUnit},
		{"two kilos", quantity.Book, quantity.ErrNumber},
		{"1 kg 200", quantity.Book, quantity.ErrUnit},
		{"2 leaves", quantity.Chat, quantity.ErrUnit},
		{"5" + strings.Repeat(" ", 200) + "g", bothModes, quantity.ErrNumber},
	} {
		for _, mode := range []quantity.Mode{quantity.Book, quantity.Chat} {
			if c.mode != bothModes && c.mode != mode {
				continue
			}
			if q, err := quantity.ParseQuantity(c.in, quantity.Metric, mode); !errors.Is(err, c.want) {
				t.Errorf("mode %d: ParseQuantity(%.40q) = %v, %v, want %v", mode, c.in, q, err, c.want)
			}
		}
	}
}

func TestParseQuantitySigned(t *testing.T) {
	q, err := quantity.ParseQuantity("-5 g", quantity.Metric, quantity.Book|quantity.Signed)
	if err != nil || q.String() != "-5 g" {
		t.Errorf("-5 g: %v, %v", q, err)
	}
	if q, err := quantity.ParseQuantity("-1 h 30", quantity.Metric, quantity.Book|quantity.Signed); !errors.Is(err, quantity.ErrUnit) {
		t.Errorf("-1 h 30: %v, %v; the minus of a sum is not clear", q, err)
	}
}

// Whose measure is said outweighs the house's.
func TestQualifiedMeasures(t *testing.T) {
	for _, c := range []struct {
		said string
		m    quantity.Measure
		bare string
	}{
		{"US cup", quantity.US, "cup"}, {"american tablespoon", quantity.US, "tbsp"}, {"UK pint", quantity.UK, "pint"}, {"imperial gallon", quantity.UK, "gallon"},
		{"british fl oz", quantity.UK, "fl oz"}, {"Australian tbsp", quantity.Australian, "tbsp"},
	} {
		want, _ := c.m.UnitNamed(c.bare)
		for _, house := range []quantity.Measure{quantity.Metric, quantity.US, quantity.Australian, quantity.UK} {
			if got, ok := house.UnitNamed(c.said); !ok || !got.Factor().Equal(want.Factor()) {
				t.Errorf("%s in a %v house: %v ml, want %v", c.said, house, got.Factor(), want.Factor())
			}
		}
	}
}

func TestParseRange(t *testing.T) {
	for _, c := range []struct{ in, lo, hi string }{
		{"3-4 g", "3 g", "4 g"}, {"3–4 g", "3 g", "4 g"}, {"3 - 4 g", "3 g", "4 g"}, {"3 to 4 g", "3 g", "4 g"},
		{"2-3 leaves", "2 leaves", "3 leaves"}, {"8 h to 24 h", "8 h", "24 h"}, {"30 min to 1 h", "30 min", "1 h"},
		{"1½-2 tsp", "1.5 tsp", "2 tsp"}, {"-20 to -18 °C", "-20 °C", "-18 °C"}, {"3-4", "3", "4"},
	} {
		lo, hi, err := quantity.ParseRange(c.in, quantity.Metric, quantity.Book)
		if err != nil || lo.String() != c.lo || hi.String() != c.hi {
			t.Errorf("ParseRange(%q) = %v, %v, %v, want %s, %s", c.in, lo, hi, err, c.lo, c.hi)
		}
	}
	for in, want := range map[string]error{
		"4-3 g": quantity.ErrNumber, "3-3 g": quantity.ErrNumber, "3 g": quantity.ErrNumber, "3 g to 4 ml": quantity.ErrDimension,
		"1-1,200 g": quantity.ErrAmbiguousNumber, "1,200-2 g": quantity.ErrAmbiguousNumber, "3-": quantity.ErrNumber, "": quantity.ErrNumber, "-3-4 g": quantity.ErrNumber,
		"1-1/2 tsp": quantity.ErrNumber, "3-4 g 5": quantity.ErrNumber,
	} {
		if lo, hi, err := quantity.ParseRange(in, quantity.Metric, quantity.Book); !errors.Is(err, want) {
			t.Errorf("ParseRange(%q) = %v, %v, %v, want %v", in, lo, hi, err, want)
		}
	}
}

func TestUnitNamed(t *testing.T) {
	for want, words := range map[string]string{
		"g":    "g, gr, gm, gram, grams, grammes, Gramm, gramos, grammi, gramas, G",
		"kg":   "kg, KG, kilo, kilos, kilogramme, quilos, chilo",
		"mg":   "mg, milligrams",
		"oz":   "oz, oz., ounce, ounces",
		"lb":   "lb, lbs, pound, pounds",
		"ml":   "ml, mL, millilitre, milliliters",
		"cl":   "cl, centilitres",
		"dl":   "dl, décilitre",
		"l":    "l, L, litre, liters, litros, Liter, litri",
		"tsp":  "tsp, teaspoon, teaspoons, TL, Teelöffel, cuillère à café, CUILLERES A CAFE, c. à c., cucharadita, cucchiaino, colher de chá",
		"tbsp": "tbsp, Tbsp., tablespoons, EL, Eßlöffel, Esslöffel, cuillère à soupe, cuillères  à soupe, c. à s., cucharada, cucchiaio, cucchiai, colher de sopa, colheres de sopa",
		"cups": "cup, cups", "fl oz": "fl oz, fl. oz., fluid ounces, floz", "pints": "pint, pints, pt", "quarts": "quart, qt", "gallons": "gallon, gal",
		"s": "s, sec, seconds, Sekunden", "min": "min, mins, minutes, Minuten, minuti", "h": "h, hr, hrs, hours, heures, Stunden, horas",
		"d": "d, day, days, jours, Tage, días", "weeks": "week, weeks, semaines, Wochen",
		"°C": "°C, ° C, ºc, ℃, celsius, degrees C, deg C, degrees celsius", "°F": "°F, fahrenheit, degrees F",
		"mm": "mm", "cm": "cm, centimetres", "m": "m, metres", "in": "in, inch, inches",
		"%": "%, percent, per cent, Prozent", "°Bx": "°Bx, bx, brix, ° brix, degrees brix", "kJ": "kJ, KJ", "kcal": "kcal", "each": "each, pieces, pcs", "g/ml": "g/ml, g / ml, g/cm3, kg/l",
		"EUR": "EUR, €, euros", "GBP": "GBP, £", "US cups": "US cup", "UK pints": "imperial pints, UK pint", "metric cups": "metric cup",
	} {
		for _, w := range strings.Split(words, ", ") {
			if u, ok := quantity.Metric.UnitNamed(w); !ok || u.Symbol != want {
				t.Errorf("UnitNamed(%q) = %q, %v, want %q", w, u.Symbol, ok, want)
			}
		}
	}
	for _, w := range []string{"", "C", "F", "T", "t", "x", "grammar", "g g", "5 g", "g!", "°", "degrees", "Pfund", "livre", "cal", "kilo gram", "imperial cup", "US g", "US", strings.Repeat("g", 70)} {
		if u, ok := quantity.Metric.UnitNamed(w); ok {
			t.Errorf("UnitNamed(%q) = %q, want none", w, u.Symbol)
		}
	}
	for w, want := range map[string]string{"C": "°C", "c": "°C", " F ": "°F", "°c": "°C", "degrees F": "°F", "celsius": "°C"} {
		if u, ok := quantity.TemperatureUnit(w); !ok || u.Symbol != want {
			t.Errorf("TemperatureUnit(%q) = %q, %v", w, u.Symbol, ok)
		}
	}
	for _, w := range []string{"g", "°", "K", "", "°Bx"} {
		if u, ok := quantity.TemperatureUnit(w); ok {
			t.Errorf("TemperatureUnit(%q) = %q, want none", w, u.Symbol)
		}
	}
}

// The book's own table of spoons and cups, which rounds the US ones to six figures.
func TestMeasuresAsTheBookPrintsThem(t *testing.T) {
	for _, c := range []struct {
		m    quantity.Measure
		unit string
		ml   string
	}{
		{quantity.Metric, "tsp", "5"}, {quantity.Metric, "tbsp", "15"}, {quantity.Metric, "cup", "240"},
		{quantity.US, "tsp", "4.92892"}, {quantity.US, "tbsp", "14.7868"}, {quantity.US, "cup", "236.588"},
		{quantity.Australian, "tsp", "5"}, {quantity.Australian, "tbsp", "20"}, {quantity.Australian, "cup", "250"},
		{quantity.UK, "tsp", "5"}, {quantity.UK, "tbsp", "15"}, {quantity.UK, "cup", "240"},
		{quantity.Metric, "fl oz", "29.5735"}, {quantity.Metric, "pint", "473.176"}, {quantity.Australian, "quart", "946.353"}, {quantity.US, "gallon", "3785.41"},
	} {
		u, ok := c.m.UnitNamed(c.unit)
		if !ok {
			t.Errorf("%v %s: no unit", c.m, c.unit)
			continue
		}
		decimals := 0
		if _, after, ok := strings.Cut(c.ml, "."); ok {
			decimals = len(after)
		}
		if got := u.Factor().Fixed(decimals); got != c.ml {
			t.Errorf("%v %s = %v ml, %s as printed, want %s", c.m, c.unit, u.Factor(), got, c.ml)
		}
	}
}

func TestMeasureNamed(t *testing.T) {
	for _, s := range []string{"metric", "US", "us", "Australian", "UK"} {
		if m, ok := quantity.MeasureNamed(s); !ok || !strings.EqualFold(m.String(), s) {
			t.Errorf("MeasureNamed(%q) = %v, %v", s, m, ok)
		}
	}
	if m, ok := quantity.MeasureNamed("imperial"); ok {
		t.Errorf("MeasureNamed(imperial) = %v", m)
	}
}

func TestInRefuses(t *testing.T) {
	for _, c := range []struct {
		q  quantity.Quantity
		to quantity.Unit
	}{
		{quantity.Of(quantity.Int(1), quantity.KG), quantity.L},
		{quantity.Of(quantity.Int(1), quantity.NoUnit), quantity.G},
		{quantity.Of(quantity.Int(1), quantity.Currency("EUR")), quantity.Currency("GBP")},
	} {
		if got, err := c.q.In(c.to); !errors.Is(err, quantity.ErrDimension) {
			t.Errorf("%v in %s = %v, %v", c.q, c.to.Symbol, got, err)
		}
	}
}

// unitNames are written units, at least one of each kind.
var unitNames = []string{
	"g", "kg", "mg", "oz", "lb", "ml", "cl", "dl", "l", "tsp", "tbsp", "cup", "fl oz", "pint", "quart", "gallon", "US cup", "UK pint", "Australian tbsp", "metric cup", "Japanese cup",
	"s", "min", "h", "d", "week", "°C", "°F", "mm", "cm", "m", "in", "each", "%", "°Bx", "kJ", "kcal", "g/ml", "EUR", "NOK",
}

func anyQuantity(t *rapid.T, m quantity.Measure) quantity.Quantity {
	n := quantity.Frac(rapid.Int64Range(0, 1e9).Draw(t, "numerator"), rapid.Int64Range(1, 1e6).Draw(t, "denominator"))
	if rapid.Bool().Draw(t, "decimal") {
		n = n.RoundTo(quantity.Frac(1, 1000))
	}
	name := rapid.SampledFrom(append([]string{"", "leaves", "pod"}, unitNames...)).Draw(t, "unit")
	u, ok := m.UnitNamed(name)
	if !ok && name != "" {
		u = quantity.Pieces(name)
	}
	if u.Dim == quantity.Temperature && rapid.Bool().Draw(t, "below 0") {
		n = n.Neg()
	}
	return quantity.Of(n, u)
}

func anyMeasure(t *rapid.T) quantity.Measure {
	return rapid.SampledFrom([]quantity.Measure{quantity.Metric, quantity.US, quantity.Australian, quantity.UK}).Draw(t, "measure")
}

func same(a, b quantity.Quantity) bool { return a.N.Equal(b.N) && a.Unit.Equal(b.Unit) }

func TestParsePrintIdentity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMeasure(t)
		q := anyQuantity(t, m)
		back, err := quantity.ParseQuantity(q.String(), m, quantity.Book)
		if err != nil || !same(back, q) {
			t.Fatalf("%q reads as %v, %v", q.String(), back, err)
		}
	})
}

func TestInRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMeasure(t)
		q := anyQuantity(t, m)
		u, _ := m.UnitNamed(rapid.SampledFrom(unitNames).Draw(t, "to"))
		there, err := q.In(u)
		if q.Unit.Dim != u.Dim {
			if !errors.Is(err, quantity.ErrDimension) {
				t.Fatalf("%v in %s: %v", q, u.Symbol, err)
			}
			return
		}
		if errors.Is(err, quantity.ErrDimension) && u.Dim == quantity.Money {
			return
		}
		back, err2 := there.In(q.Unit)
		if err != nil || err2 != nil || !same(back, q) {
			t.Fatalf("%v is %v is %v: %v, %v", q, there, back, err, err2)
		}
		if !there.Base().Equal(q.Base()) {
			t.Fatalf("%v and %v differ in the base unit", q, there)
		}
	})
}

func TestSumOfParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pair := rapid.SampledFrom([][2]quantity.Unit{
			{quantity.LB, quantity.OZ}, {quantity.KG, quantity.G}, {quantity.L, quantity.ML}, {quantity.Hour, quantity.Minute}, {quantity.Day, quantity.Hour},
		}).Draw(t, "units")
		per, _ := quantity.Of(quantity.Int(1), pair[0]).In(pair[1])
		most, _ := per.N.Int64()
		a := quantity.Of(quantity.Int(rapid.Int64Range(1, 999).Draw(t, "a")), pair[0])
		b := quantity.Of(quantity.Int(rapid.Int64Range(0, most-1).Draw(t, "b")), pair[1])
		want, err := a.Add(b)
		if err != nil {
			t.Fatal(err)
		}
		got, err := quantity.ParseQuantity(a.String()+" "+b.String(), quantity.Metric, quantity.Book)
		if err != nil || !same(got, want) {
			t.Fatalf("%v %v reads as %v, %v", a, b, got, err)
		}
	})
}

// accented gives letters an accent; folding must take it away again.
var accented = strings.NewReplacer("e", "é", "a", "à", "o", "ö", "u", "ü", "i", "i\u0301", "n", "ñ")

// indifferent writes s otherwise: capitals, accents, more spaces.
func indifferent(t *rapid.T, s string) string {
	switch rapid.IntRange(0, 2).Draw(t, "case") {
	case 1:
		s = strings.ToUpper(s)
	case 2:
		s = strings.ToTitle(s[:1]) + s[1:]
	}
	if rapid.Bool().Draw(t, "accents") {
		s = accented.Replace(s)
	}
	if rapid.Bool().Draw(t, "spaces") {
		s = "  " + strings.ReplaceAll(s, " ", " \t ") + " "
	}
	return s
}

func TestParseIndifferent(t *testing.T) {
	texts := []string{
		"2 cups", "1 fl oz", "3 lb 4 oz", "85 degrees celsius", "two and a half kilos", "1 h 30 min", "half a dozen", "a litre", "three quarters of an hour",
		"one hundred and twenty grams", "1 1/2 teaspoons", "12 minutes", "2 colheres de sopa", "vierundzwanzig g", "quatre-vingt-dix ml", "5 uk pints", "1.05 g/ml", "0,4 %", "minus 18 c",
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(texts).Draw(t, "text")
		want, err := quantity.ParseQuantity(s, quantity.US, quantity.Chat)
		if err != nil {
			t.Fatal(err)
		}
		other := indifferent(t, s)
		got, err := quantity.ParseQuantity(other, quantity.US, quantity.Chat)
		if err != nil || !same(got, want) {
			t.Fatalf("%q is %v, %q is %v, %v", s, want, other, got, err)
		}
	})
}
