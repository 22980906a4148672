package answer_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"tamis/bot/answer"
)

// estimated is the first estimate of a reply, nil where none is made.
func estimated(r []answer.Fact) *answer.Fact {
	for i := range r {
		if f := &r[i]; f.PlusMinus != nil && f.Unit == "min" {
			return f
		}
	}
	return nil
}

// TestHeatHoldsForAnySize: an estimate lies in its range, all of it is over 0, what is thicker takes no less, colder air no longer.
func TestHeatHoldsForAnySize(t *testing.T) {
	a := demoAsker(t)
	rapid.Check(t, func(rt *rapid.T) {
		op := rapid.SampledFrom([]string{"how long to freeze the mushroom stock %.1f cm thick at %d", "potato puree %.1f cm balls, how long to freeze at %d °C",
			"how long does the braised leek %.1f cm deep take to cool to 21 at %d"}).Draw(rt, "what")
		mm := rapid.IntRange(5, 200).Draw(rt, "mm")
		more := rapid.IntRange(1, 200).Draw(rt, "more")
		air := rapid.IntRange(-38, -15).Draw(rt, "air")
		at := func(mm, air int) *answer.Fact {
			text := fmt.Sprintf(op, float64(mm)/10, air)
			f := estimated(ask(rt, a, "heat", evening, text).Facts)
			if f == nil {
				rt.Fatalf("%s: no estimate", text)
			}
			if f.Min.Sign() <= 0 || f.Value.Less(*f.Min) || f.Max.Less(*f.Value) {
				rt.Fatalf("%s: %s is not between %s and %s", text, f.Value, f.Min, f.Max)
			}
			return f
		}
		f := at(mm, air)
		if g := at(mm+more, air); g.Value.Less(*f.Value) {
			rt.Fatalf("%d mm takes %s min, %d mm %s", mm, f.Value, mm+more, g.Value)
		}
		if g := at(mm, air-2); f.Value.Less(*g.Value) {
			rt.Fatalf("colder air takes longer: %s, then %s min", f.Value, g.Value)
		}
	})
}
