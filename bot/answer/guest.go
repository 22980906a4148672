package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/kb"
	"tamis/kb/recipe"
)

// guestRisks are the cautions of ingredients that are told, by who is to eat.
// Those of raw food of animals for guests at risk are of 3-801.11 (adopted text
// read in Washington's WAC 246-215-03800); the rest is common practice.
var guestRisks = map[string][]string{
	"egg":       {"raw egg"},
	"pregnancy": {"raw egg", "raw milk", "uncooked meat", "uncooked poultry", "uncooked fish", "uncooked shellfish", "uncooked flour", "alcohol"},
	"child":     {"raw egg", "raw milk", "uncooked meat", "uncooked poultry", "uncooked fish", "uncooked shellfish", "uncooked flour", "alcohol", "honey for infants"},
	"old":       {"raw egg", "raw milk", "uncooked meat", "uncooked poultry", "uncooked fish", "uncooked shellfish", "uncooked flour"},
	"dry":       {"alcohol"},
}

// riskCautions are the usual cautions by what an ingredient is.
var riskCautions = map[string]string{
	"raw egg": "hazard raw egg", "raw milk": "guest raw", "uncooked meat": "guest raw", "uncooked poultry": "guest raw",
	"uncooked fish": "guest raw", "uncooked shellfish": "guest raw", "uncooked flour": "hazard raw flour", "alcohol": "guest alcohol", "honey for infants": "guest honey",
	pasteurisedEgg: "guest pasteurised",
}

// guests tells what of a recipe and its parts is a risk for a guest: which
// ingredient, of which recipe, and the step of that recipe that heats it, if
// there is one. It never says that a dish is safe.
func guests(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		a.asks("ask recipe", nil)
		return
	}
	r := q.Targets[0].Recipe
	var risks []string
	for _, w := range q.Foods {
		for _, x := range guestRisks[w] {
			if !slices.Contains(risks, x) {
				risks = append(risks, x)
			}
		}
	}
	drink := slices.Contains(q.Foods, "drink")
	if drink && !slices.Contains(risks, "alcohol") {
		risks = append(risks, "alcohol")
	}
	var sources []string
	var raw, rest []Fact
	found, later := map[string]bool{}, false
	for _, of := range b.recipesUnder(&question.Question{Targets: []question.Target{{Recipe: r}}}) {
		for i := range of.Lines {
			l := &of.Lines[i]
			risk := riskOf(l, risks)
			if risk == "" {
				continue
			}
			f := Fact{What: l.Name, Shown: "some", From: FromBook}
			if l.HasGrams {
				f = b.mass(a, l.Name, l.Grams)
			}
			f.Of, f.At = of.Name, "1 batch"
			list := &rest
			if risk != "alcohol" && risk != "honey for infants" {
				st := heats(of, risk)
				switch {
				case st != nil:
					f.At += ", its step: " + stepHead(b, st)
				default:
					list = &raw
					f.At += ", no step of its own cooks it"
					later = later || of != r
				}
				if st != nil && risk != "raw egg" && risk != pasteurisedEgg {
					continue // braised, baked: what a cook knows
				}
			}
			found[risk] = true
			*list = append(*list, f)
		}
	}
	a.add(append(raw, rest...)...) // what nothing cooks stands first
	cautionsOf(a, r)
	for _, risk := range append(risks, pasteurisedEgg) {
		if !found[risk] {
			continue
		}
		a.caution(riskCautions[risk])
		s := hazardSources["raw egg"]
		switch risk {
		case "uncooked flour":
			s = hazardSources["raw flour"]
		case "alcohol":
			s = citation("S-607")
		case "honey for infants":
			s = "common practice"
		}
		if !slices.Contains(sources, s) {
			sources = append(sources, s)
		}
	}
	a.Title = Title{Recipe: r.Name}
	switch {
	case slices.Contains(risks, "alcohol") && !found["alcohol"] && (drink || len(risks) == 1):
		a.note("no alcohol listed", r.Name)
	case len(found) == 0:
		a.note("guest none", r.Name)
	}
	if later && len(found) > 0 {
		a.note("guest later")
	}
	a.note("no promise")
	if len(sources) > 0 {
		a.note("by source", sources...)
	}
}

// riskOf is the first of the risks that a line's ingredient has.
func riskOf(l *kb.Line, risks []string) string {
	if l.Link != nil || l.Item == nil {
		return ""
	}
	for _, x := range risks {
		if slices.Contains(l.Item.Cautions, x) || x == "alcohol" && l.Item.Category == "alcohol" {
			return x
		}
		if x == "raw egg" && l.Item.Category == "egg" {
			return pasteurisedEgg
		}
	}
	return ""
}

// pasteurisedEgg is the risk of an egg that was heated before it came.
const pasteurisedEgg = "pasteurised egg"

// heats is the step of a recipe that heats what it is made of: for egg as where
// an egg is swapped ([cooks]), else any step of cooking; nil: none does.
func heats(r *kb.Recipe, risk string) *recipe.Step {
	for i := range r.Method {
		st := &r.Method[i]
		if cooks(st) || risk != "raw egg" && risk != pasteurisedEgg && slices.Contains([]string{"cook", "boil", "simmer", "braise", "poach", "steam", "grill", "confit", "blanch", "sear"}, st.Verb) {
			return st
		}
	}
	return nil
}

// stepHead is a step in short: its verb and where it gets to.
func stepHead(b *Book, st *recipe.Step) string {
	out := st.Verb
	switch {
	case st.To != nil && st.To.Temperature != nil:
		out += " to " + st.To.Text
	case st.UntilCore != nil:
		out += " until " + st.Until
	case st.At != nil && st.At.Text != "":
		out += " at " + st.At.Text
	}
	if st.For != nil {
		out += ", " + strings.TrimSpace(spanFact(st.Verb, st.For, "").Shown)
	}
	return out
}
