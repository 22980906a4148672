package answer

import (
	"slices"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// The sources of the usual cautions. The rules of the FDA Food Code 2022 on
// vacuum packing (3-502.12), on garlic in oil as food that needs time and
// temperature control (1-201.10) and on raw egg for those at risk (3-801.11) are
// cited from memory; the heat treatments of egg were read in a stored copy of
// 9 CFR 590.570, table I, and 3-401.11 is from memory.
var hazardSources = map[string]string{
	"raw egg":     "FDA Food Code 2022, 3-801.11",
	"raw flour":   "US FDA, advice on raw flour",
	"infused oil": "FDA Food Code 2022, 1-201.10",
	"vacuum":      "FDA Food Code 2022, 3-502.12",
	"sous vide":   "FDA Food Code 2022, 3-401.11 and 3-502.12",
	"sabayon":     "9 CFR 590.570, table I",
}

// eggHeat are heat treatments of egg: °C, held so many minutes.
var eggHeat = []struct {
	of          string
	c10, tenths int64 // tenths of °C and of minutes
}{
	{"whole egg", 600, 35}, {"egg yolk", 600, 62}, {"egg yolk with sugar", 622, 62}, {"egg white", 567, 35},
}

// hazards gives the usual caution for what has a hazard of its own; it never
// says that something is safe.
func hazards(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if a.Recipe != nil {
		a.Title = Title{Recipe: a.Recipe.Name}
		cautionsOf(a, a.Recipe)
	}
	var sources []string
	eggs := false
	for _, h := range q.Foods {
		a.caution("hazard " + h)
		if c := hazardSources[h]; !slices.Contains(sources, c) {
			sources = append(sources, c)
		}
		eggs = eggs || h == "raw egg" || h == "sabayon"
	}
	if eggs && a.Recipe != nil { // figures are for a dish of the book, not for any dish
		for _, e := range eggHeat {
			t := b.figure("cook to", quantity.Frac(e.c10, 10), quantity.Celsius)
			t.At, t.From, t.Source = e.of, FromReference, "9 CFR 590.570, table I"
			h := b.figure("hold", quantity.Frac(e.tenths, 10), quantity.Minute)
			h.At, h.From, h.Source = e.of, FromReference, "9 CFR 590.570, table I"
			h.Shown = quantity.Frac(e.tenths, 10).Fixed(1) + " min"
			t.Shown, h.Group = t.Shown+" · "+h.Shown, GroupNote // the pair is one line
			a.add(t, h)
		}
		if !slices.Contains(sources, hazardSources["sabayon"]) {
			sources = append(sources, hazardSources["sabayon"])
		}
		a.note("egg figures")
	}
	a.note("no promise")
	a.note("by source", sources...)
}
