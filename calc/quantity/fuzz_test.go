package quantity_test

import (
	"testing"

	"tamis/calc/quantity"
)

var seeds = []string{
	"1,2kg", "½ l", "1 1/2 tsp", "3 lb 4 oz", "1,200 g", "1 200", "1.200,5", "two and a half kilos", "quatre-vingt-dix-sept", "zweihundertfünfzig g", "half a dozen",
	"-18 °C", "1h30", "3-4 g", "3 to 4 g", "2x500 g", "36x28x2 cm", "c. à s.", "5 g/cm3", "\x00\xff", "٣", "1/0", "1'200", "minus 18 degrees", "2 120 mm rings", "é½é",
}

func FuzzReadNumber(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, uint8(quantity.Chat))
	}
	f.Fuzz(func(t *testing.T, s string, m uint8) {
		mode := quantity.Mode(m) & (quantity.Chat | quantity.Signed)
		n, length, err := quantity.ReadNumber(s, mode)
		if length < 0 || length > len(s) {
			t.Fatalf("%q: took %d bytes", s, length)
		}
		if err != nil {
			if !n.IsZero() {
				t.Fatalf("%q: %v beside %v", s, n, err)
			}
			return
		}
		if length == 0 || n.Sign() < 0 && mode&quantity.Signed == 0 {
			t.Fatalf("%q: %v of %d bytes", s, n, length)
		}
		again, l2, err := quantity.ReadNumber(s[:length], mode)
		if err != nil || l2 != length || !again.Equal(n) {
			t.Fatalf("%q is %v, but %q alone is %v, %v", s, n, s[:length], again, err)
		}
	})
}

func FuzzParseQuantity(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, uint8(0), uint8(0))
		f.Add(s, uint8(1), uint8(quantity.Chat))
	}
	f.Fuzz(func(t *testing.T, s string, measure, m uint8) {
		custom := quantity.Measure(measure % 4)
		q, err := quantity.ParseQuantity(s, custom, quantity.Mode(m)&(quantity.Chat|quantity.Signed))
		if err != nil {
			if !same(q, quantity.Quantity{}) {
				t.Fatalf("%q: %v beside %v", s, q, err)
			}
			return
		}
		again, err := quantity.ParseQuantity(q.String(), custom, quantity.Book|quantity.Signed)
		if err != nil || !same(again, q) {
			t.Fatalf("%q is %v, which reads as %v, %v", s, q, again, err)
		}
		if lo, hi, err := quantity.ParseRange(s, custom, quantity.Mode(m)); err == nil {
			t.Fatalf("%q is %v and a range from %v to %v", s, q, lo, hi)
		}
	})
}

func FuzzScan(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, uint8(0))
	}
	for _, s := range hostile(300) {
		f.Add(s, uint8(1))
	}
	f.Fuzz(func(t *testing.T, s string, measure uint8) {
		if err := checkSpans(s, quantity.Measure(measure%4)); err != nil {
			t.Fatalf("%q: %v", s, err)
		}
	})
}
