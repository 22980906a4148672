package question_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// heatBrief is a heat question in one line, "" where another is asked.
func heatBrief(text string) string {
	qs := read(text)
	if len(qs) == 0 || qs[0].Want != question.WantHeat {
		return ""
	}
	h := qs[0].Heat
	out := []string{h.Op}
	put := func(name string, n *quantity.Number) {
		if n != nil {
			out = append(out, name+n.Fixed(2))
		}
	}
	put("", h.Thick)
	put("was ", h.Was)
	put("at ", h.Air)
	put("from ", h.From)
	put("to ", h.To)
	for _, s := range []string{h.Shape, h.In, qs[0].Place} {
		if s != "" {
			out = append(out, s)
		}
	}
	if len(qs[0].Targets) > 0 && qs[0].Targets[0].Recipe != nil {
		out = append(out, qs[0].Targets[0].Recipe.Name)
	}
	return strings.Join(slices.DeleteFunc(out, func(s string) bool { return s == "" }), ", ")
}

// TestHeatAsked: sizes in cm, temperatures by what stands before them; and what asks something else.
func TestHeatAsked(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"if I pour the mushroom stock 6 cm instead of 3", "6, was 3, mushroom stock"},
		{"mushroom stock from 3 cm to 6 cm deep, how long", "6, was 3, mushroom stock"},
		{"if i pour it 60 mm not 30", "6, was 3"},
		{"how long to freeze 45 mm walnut domes at -22", "freeze, 4.5, at -22, dome, walnut dome"},
		{"how long will 4 l of jus 10 cm deep take to cool to 21", "cool, 10, to 21, mushroom jus"},
		{"how long will 4 l of jus take to cool to 21", "cool, to 21, mushroom jus"},
		{"jus 10cm deep how long to cool from 80 to 5", "cool, 10, from 80, to 5, mushroom jus"},
		{"jus 5 cm deep in an ice bath, how long til its cold", "cool, 5, ice, mushroom jus"},
		{"how long to thaw a 5 cm block of jus in the fridge", "thaw, 5, fridge, mushroom jus"},
		{"potato puree 3 cm balls how long to freeze at -30 °C", "freeze, 3, at -30, ball, potato purée"},
		{"how long for jus to cool to 5 in the fridge, 4 cm deep", "cool, 4, to 5, fridge, mushroom jus"},
		{"how long does a 2 inch slab of jus take to freeze", "freeze, 5.08, mushroom jus"},
		{"cool the jus to 21, 20 cm pot, how long", "cool, to 21, mushroom jus"},
		{"how long do the domes freeze", ""},
		{"how long does the custard take to cool", ""},
		{"how many domes of 45 mm can I freeze", ""},
		{"roll the shortcrust 3 mm thick", ""},
		{"jus 57 at 15:10", ""},
		{"domes hard after 5 h at 4 cm", ""},
	} {
		if got := heatBrief(c.text); got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

// FuzzHeat reads any sizes and temperatures: what is read is what was written, and nothing panics.
func FuzzHeat(f *testing.F) {
	f.Add("how long to freeze", int64(45), int64(30), int64(-22), "cm")
	f.Add("if I pour it", int64(0), int64(-5), int64(1000), "mm")
	f.Add("jus how long to cool from", int64(1), int64(1), int64(1), "inch")
	f.Fuzz(func(t *testing.T, words string, a, b, c int64, unit string) {
		if len(words) > 200 || len(unit) > 20 {
			return
		}
		heatBrief(fmt.Sprintf("%s %d %s", words, a, unit))
		heatBrief(fmt.Sprintf("%s %d %s instead of %d, jus", words, a, unit, b))
		heatBrief(fmt.Sprintf("jus %d %s deep, %s, from %d to %d at %d", a, unit, words, b, c, a))
	})
}
