package bank

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

var shownNumber = regexp.MustCompile(`^(-?\d+(?:\.\d+)?) ?(mg|g|kg|ml|cl|dl|l|°C|°F|%)$`)

// badlyShown says where the number people read is not the fact's value rounded to what a scale can show.
func (b *book) badlyShown(f fact) string {
	n, ok := f.number()
	m := shownNumber.FindStringSubmatch(strings.TrimSpace(f.Shown))
	if !ok || m == nil || f.From == "asked" {
		return ""
	}
	shown, _ := strconv.ParseFloat(m[1], 64)
	got, is := measured(shown, m[2], b.spoons), measured(n, f.Unit, b.spoons)
	if got.kind != is.kind {
		return fmt.Sprintf("%s is shown as %q", f, f.Shown)
	}
	step := 0.02 * math.Abs(is.value)
	switch got.kind {
	case "mass":
		step = b.step(is.value)
	case "heat":
		step = 1
	case "volume":
		step = max(step, 1)
	}
	if math.Abs(got.value-is.value) > step/2+1e-6 {
		return fmt.Sprintf("%s is shown as %q, a step of the scale is %g", f, f.Shown, step)
	}
	return ""
}

// step is what the finest scale of the house that holds a mass can show.
func (b *book) step(grams float64) float64 {
	best := math.Inf(1)
	for _, s := range b.scales {
		if float(s.upTo) >= grams {
			best = math.Min(best, float(s.reads))
		}
	}
	if math.IsInf(best, 1) {
		for _, s := range b.scales {
			best = math.Min(best, float(s.reads)*math.Ceil(grams/float(s.upTo)))
		}
	}
	return best
}
