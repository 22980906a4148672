package answer

import (
	"slices"
	"time"

	"tamis/bot/question"
	"tamis/calc/foodcode"
	"tamis/calc/quantity"
)

// The sources of the usual cautions. The rules of the FDA Food Code 2022 on
// vacuum packing (3-502.12), on garlic in oil as food that needs time and
// temperature control (1-201.10) are
// cited from memory, that on raw egg for those at risk (3-801.11) was read in an
// adopted text (Washington, WAC 246-215-03800); the heat treatments of egg were read in a stored copy of
// 9 CFR 590.570, table I, and 3-401.11 is from memory.
var hazardSources = map[string]string{
	"raw egg":     "FDA Food Code 2022, 3-801.11",
	"raw flour":   "US FDA, advice on raw flour",
	"infused oil": "FDA Food Code 2022, 1-201.10",
	"vacuum":      "FDA Food Code 2022, 3-502.12",
	"sous vide":   "FDA Food Code 2022, 3-401.11 and 3-502.12",
	"sabayon":     "9 CFR 590.570, table I",
	// the alert is cited from memory; of dry ice no rule was read
	"liquid nitrogen": "US FDA, safety alert on liquid nitrogen at the point of sale, 2018 (from memory)",
	"dry ice":         "common practice",
	"alcohol":         "USDA Retention Factors, Release 6",
}

// eggHeat are the rows of published heat treatments that a dish with egg is told.
var eggHeat = []struct{ id, of string }{{"liq-3", "whole egg"}, {"liq-13", "egg yolk"}, {"liq-15", "egg yolk with sugar"}, {"liq-1", "egg white"}}

// eggFacts are heat treatments of egg: a temperature and how long it is held.
func eggFacts() []Fact {
	c, err := foodcode.Named(pasteurCode)
	if err != nil {
		return nil
	}
	var out []Fact
	for _, e := range eggHeat {
		l, ok := row(c, foodcode.Pasteurise, func(l foodcode.Limit) bool { return l.ID == e.id })
		if !ok {
			continue
		}
		c, m := decimal(l.C), quantity.Frac(int64(l.Time/time.Millisecond), 60000)
		t := Fact{What: "cook to", Value: &c, Unit: "°C", At: e.of, From: FromReference, Source: authority(l)}
		h := Fact{What: "hold", Value: &m, Unit: "min", At: e.of, From: FromReference, Source: authority(l), Shown: m.Fixed(1) + " min"}
		t.Shown, h.Group = degreesOf(l.C)+" · "+h.Shown, GroupNote // the pair is one line
		out = append(out, t, h)
	}
	return out
}

// hazards gives the usual caution for what has a hazard of its own; it never
// says that something is safe.
func hazards(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if a.Recipe != nil {
		a.Title = Title{Recipe: a.Recipe.Name}
		if slices.Contains(q.Foods, "infused oil") { // how long the book itself lets it keep, and where
			b.ownRule(a, q, a.Recipe, "cold")
		}
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
	if eggs && (a.Recipe != nil || q.Temp) { // figures are for a dish of the book or where asked for, not for any dish
		a.add(eggFacts()...)
		if !slices.Contains(sources, hazardSources["sabayon"]) {
			sources = append(sources, hazardSources["sabayon"])
		}
		a.note("egg figures")
	}
	a.note("no promise")
	a.note("by source", sources...)
}
