package quantity_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

// told writes a span as `text: reading`.
func told(text string, s quantity.Span) string {
	out := text[s.Start:s.End] + ": " + s.Q.String()
	if s.Hi != nil {
		out += " to " + s.Hi.String()
	}
	if s.Ambiguous != nil {
		out += " or " + s.Ambiguous.AsThousands.String()
	}
	if s.Words {
		out += ", words"
	}
	if s.Weak {
		out += ", weak"
	}
	return out
}

func toldAll(text string, m quantity.Measure) []string {
	all := []string{}
	for _, s := range quantity.Scan(text, m) {
		all = append(all, told(text, s))
	}
	return all
}

// The whole list of spans, in order.
func TestScan(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string
	}{
		{"how much yolk for 3x ice cream base", []string{"3: 3"}},
		{"x3", []string{"3: 3"}},
		{"parfait × 2", []string{"2: 2"}},
		{"need 2.84 kg syrup", []string{"2.84 kg: 2.84 kg", "2.84: 2.84"}},
		{"320F to C", []string{"320F: 320 °F, weak", "320: 320"}},
		{"bake at 160° for 12 min", []string{"160°: 160 °C, weak", "160: 160", "12 min: 12 min", "12: 12"}},
		{"at 85 °C.", []string{"85 °C: 85 °C", "85: 85"}},
		{"3-4 g", []string{"3-4 g: 3 g to 4 g", "3-4: 3 to 4", "3: 3", "4 g: 4 g", "4: 4"}},
		{"3 to 4 g", []string{"3 to 4 g: 3 g to 4 g", "3 to 4: 3 to 4", "3: 3", "4 g: 4 g", "4: 4"}},
		{"30 min to 1 h", []string{"30 min to 1 h: 30 min to 1 h", "30 min: 30 min", "30: 30", "1 h: 1 h", "1: 1"}},
		{"two to three hundred grams", []string{
			"two to three hundred grams: 200 g to 300 g, words", "two to three hundred: 200 to 300, words", "two: 2, words",
			"three hundred grams: 300 g, words", "three hundred: 300, words"}},
		{"fifty to two hundred", []string{"fifty to two hundred: 50 to 200, words", "fifty: 50, words", "two hundred: 200, words"}},
		{"a dozen to fifteen hundred", []string{"a dozen to fifteen hundred: 12 to 1500, words", "a dozen: 12, words", "fifteen hundred: 1500, words"}},
		{"3half", []string{"3: 3"}},
		{"3 lb 4 oz", []string{"3 lb 4 oz: 3.25 lb", "3 lb: 3 lb", "3: 3", "4 oz: 4 oz", "4: 4"}},
		{"1 kg 200 walnuts", []string{"1 kg 200: 1.2 kg", "1 kg: 1 kg", "1: 1", "200: 200"}},
		{"1h30", []string{"1h30: 1.5 h"}},
		{"1,200 g sugar", []string{"1,200 g: 1.2 g or 1200", "1,200: 1.2 or 1200"}},
		{"2 120 mm rings", []string{"2 120 mm: 2.12 mm or 2120", "2 120: 2.12 or 2120", "2: 2", "120 mm: 120 mm", "120: 120"}},
		{"1,200.5 g", []string{"1,200.5 g: 1200.5 g", "1,200.5: 1200.5"}},
		{"freezer at -18", []string{"-18: -18", "18: 18"}},
		{"-18 °C", []string{"-18 °C: -18 °C", "-18: -18", "18 °C: 18 °C", "18: 18"}},
		{"minus 18 degrees", []string{"minus 18: -18", "18 degrees: 18 °C, weak", "18: 18"}},
		{"- 5 g salt", []string{"5 g: 5 g", "5: 5"}},
		{"two and a half kilos of pears", []string{"two and a half kilos: 2.5 kg, words", "two and a half: 2.5, words"}},
		{"half batch", []string{"half: 0.5, words, weak"}},
		{"half a litre", []string{"half a litre: 0.5 l, words", "half: 0.5, words, weak"}},
		{"a litre of milk", []string{"a litre: 1 l, words"}},
		{"a dozen covers", []string{"a dozen: 12, words"}},
		{"one jus", []string{"one: 1, words, weak"}},
		{"sixty covers", []string{"sixty: 60, words"}},
		{"2x500 g", []string{"2: 2", "500 g: 500 g", "500: 500"}},
		{"36x28x2 cm", []string{"36: 36", "28: 28", "2 cm: 2 cm", "2: 2"}},
		{"30m", []string{"30m: 30 m, weak", "30m: 30 min, weak", "30: 30"}},
		{"12 in the fridge", []string{"12 in: 12 in, weak", "12: 12"}},
		{"24pcs, 12covers", []string{"24pcs: 24 each", "24: 24", "12: 12"}},
		{"½ tsp and 1½ cups", []string{"½ tsp: 0.5 tsp", "½: 0.5", "1½ cups: 1.5 cups", "1½: 1.5"}},
		{"a 16-cm ring", []string{"16-cm: 16 cm", "16: 16"}},
		{"at 22:40", []string{"22: 22", "40: 40"}},
		{"50% more", []string{"50%: 50 %", "50: 50"}},
		// Nothing to find.
		{"double the shortbread", nil},
		{"once it is due, seize the chocolate", nil},
		{"T55 flour, v2.0, 3rd, 14.4.2026, 3,4,5, 1e5, 0x10, 5e3", nil},
		{"demi glace, the third, second tray", nil},
		{"", nil},
		{"½½ \x00\xff …", nil},
	} {
		if got := toldAll(c.text, quantity.Metric); !slices.Equal(got, c.want) {
			t.Errorf("Scan(%q):\n got %q\nwant %q", c.text, got, c.want)
		}
	}
}

// Offsets are bytes of the text as given, behind letters of several bytes too.
func TestScanOffsets(t *testing.T) {
	text := "crème brûlée: 2½ l, puis 85 °C à cœur"
	var got []string
	for _, s := range quantity.Scan(text, quantity.Metric) {
		got = append(got, text[s.Start:s.End])
	}
	want := []string{"2½ l", "2½", "85 °C", "85"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// hostile are texts that a slow reader would choke on.
func hostile(size int) map[string]string {
	fill := func(s string) string { return strings.Repeat(s, size/len(s)+1)[:size] }
	return map[string]string{
		"figures": fill("9"), "points": fill("1."), "commas": fill("1,000,"), "spaces": fill("1 000 "), "slashes": fill("1/"), "dashes": fill("1-"),
		"halves": fill("½"), "ranges": fill("1 to 2 to "), "ands": fill("one and "), "hundreds": fill("one hundred and "), "letters": fill("zweihundert"), "parts": fill("1 h 1 min "),
		"dozens": fill("a dozen "), "degrees": fill("1 degrees "), "spoons": fill("1 c a "), "minus": fill("-"), "minus words": fill("minus "), "blank": fill(" "), "accents": fill("e\u0301"), "nul": fill("\x00"), "x": fill("2x"),
	}
}

func TestScanHostile(t *testing.T) {
	for name, text := range hostile(20000) {
		spans := quantity.Scan(text, quantity.Metric)
		if len(spans) > 8*quantity.MaxScan {
			t.Errorf("%s: %d spans", name, len(spans))
		}
		for _, s := range spans {
			if s.End > quantity.MaxScan {
				t.Errorf("%s: a span ends at %d", name, s.End)
				break
			}
		}
	}
}

// checkSpans holds what is true of any text.
func checkSpans(text string, m quantity.Measure) error {
	spans := quantity.Scan(text, m)
	for i, s := range spans {
		if s.Start < 0 || s.Start >= s.End || s.End > len(text) {
			return fmt.Errorf("span %d: %d to %d of %d", i, s.Start, s.End, len(text))
		}
		if i > 0 && (spans[i-1].Start > s.Start || spans[i-1].Start == s.Start && spans[i-1].End < s.End) {
			return fmt.Errorf("span %d out of order", i)
		}
		piece := text[s.Start:s.End]
		if s.Hi != nil {
			if lo, err := s.Q.In(s.Hi.Unit); err != nil || !lo.N.Less(s.Hi.N) {
				return fmt.Errorf("%q: from %v to %v", piece, s.Q, s.Hi)
			}
			continue
		}
		if s.Ambiguous != nil || s.Weak || len(piece) > 160 {
			continue
		}
		q, err := quantity.ParseQuantity(piece, m, quantity.Chat|quantity.Signed)
		if err != nil || !same(q, s.Q) {
			return fmt.Errorf("%q: found as %v, read alone as %v, %v", piece, s.Q, q, err)
		}
	}
	return nil
}

// A printed quantity is found in a sentence, at its place.
func TestScanFindsWhatIsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMeasure(t)
		q := anyQuantity(t, m)
		if q.Unit.Dim == quantity.Count && !q.Unit.Equal(quantity.Each) {
			return // the words of counted things belong to the reader of the sentence
		}
		if q.N.Sign() == 0 {
			return
		}
		before := rapid.SampledFrom([]string{"", "so ", "crème: ", "(", "the parfait wants "}).Draw(t, "before")
		after := rapid.SampledFrom([]string{"", ".", " please", ", thanks", "?", ")"}).Draw(t, "after")
		text := before + q.String() + after
		for _, s := range quantity.Scan(text, m) {
			if s.Start == len(before) && s.End == len(before)+len(q.String()) && s.Hi == nil && same(s.Q, q) {
				return
			}
		}
		t.Fatalf("%q: %v not found: %q", text, q, toldAll(text, m))
	})
}

func TestScanIndifferent(t *testing.T) {
	texts := []string{"how much yolk for 3x ice cream", "3 lb 4 oz of pears", "two and a half kilos to 85 °C", "3 to 4 g", "2 120 mm rings", "half a dozen, 1h30", "cook to 320f"}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "text")
		other := indifferent(t, text)
		a, b := quantity.Scan(text, quantity.Metric), quantity.Scan(other, quantity.Metric)
		if len(a) != len(b) {
			t.Fatalf("%q: %q\n%q: %q", text, toldAll(text, quantity.Metric), other, toldAll(other, quantity.Metric))
		}
		for i := range a {
			if !same(a[i].Q, b[i].Q) || (a[i].Hi == nil) != (b[i].Hi == nil) || a[i].Weak != b[i].Weak || a[i].Words != b[i].Words {
				t.Fatalf("%q: %q\n%q: %q", text, told(text, a[i]), other, told(other, b[i]))
			}
		}
	})
}
