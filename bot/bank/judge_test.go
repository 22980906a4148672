package bank

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// verdict is what one reply was worth.
type verdict string

const (
	right         verdict = "right"
	wrong         verdict = "wrong number"
	missed        verdict = "missed"
	overconfident verdict = "overconfident"
)

// judge holds a reply against what was due, and says why.
func judge(q question, r reply, spoons string) (verdict, string) {
	e := q.Expect
	if !slices.Contains(e.Status, r.Status) {
		switch {
		case r.Status != "answer":
			return missed, fmt.Sprintf("%s where %s was due", r.Status, strings.Join(e.Status, "/"))
		case slices.Contains(e.AboutAny, r.About):
			return right, "said as " + r.About
		}
		return overconfident, "answered where " + strings.Join(e.Status, "/") + " was due"
	}
	if e.NoNumbers {
		for _, f := range r.Facts {
			if len(f.numbers()) > 0 {
				return overconfident, "gave a number: " + f.String()
			}
		}
	}
	if r.Status == "ask" && len(e.Choices) > 0 && !offers(r, e.Choices) {
		return missed, "asked, but not about " + strings.Join(e.Choices, " / ")
	}
	if r.Status != "answer" {
		return right, r.Status
	}
	if v, why := judgeFacts(q, r, spoons); v != right {
		return v, why
	}
	if v, why := judgeItems(e, r); v != right {
		return v, why
	}
	if e.Recipe != "" && r.Recipe != "" && !matches(e.Recipe, r.Recipe) {
		return wrong, "from another recipe: " + r.Recipe
	}
	return judgeWords(e, r)
}

func offers(r reply, names []string) bool {
	for _, n := range names {
		for _, c := range append(slices.Clone(r.Choices), r.Ask) {
			if strings.Contains(folded(c), folded(n)) || len(c) > 3 && strings.Contains(folded(n), folded(c)) {
				return true
			}
		}
	}
	return false
}

// matches tries an expression on a name with and without its accents.
func matches(expression, name string) bool {
	re := regexp.MustCompile("(?i)" + expression)
	return re.MatchString(name) || re.MatchString(plain(name))
}

func judgeFacts(q question, r reply, spoons string) (verdict, string) {
	absent := ""
	for _, w := range q.Expect.Facts {
		f, v := find(q, w, r, spoons)
		switch v {
		case wrong:
			return wrong, fmt.Sprintf("%s: wanted %s %s, got %s", w.What, w.Value, w.Unit, f)
		case missed:
			absent = fmt.Sprintf("no fact for %s (%s %s)", w.What, w.Value, w.Unit)
			continue
		}
		if f.Shown != "" && !strings.Contains(r.Text, f.Shown) {
			return missed, fmt.Sprintf("the text does not show %q", f.Shown)
		}
		if own := q.Kind != "convert" && !ownUnit(w, f); own {
			return missed, fmt.Sprintf("%s is given in %s, the book writes %s", w.What, f.Unit, w.Unit)
		}
	}
	if absent != "" {
		return missed, absent
	}
	return right, ""
}

// ownUnit says whether a book in oz, lb and °F is answered in what it writes.
func ownUnit(w wanted, f fact) bool {
	ounces := []string{"oz", "lb"}
	switch {
	case slices.Contains(ounces, w.Unit):
		return f.Unit != "g" && f.Unit != "kg"
	case w.Unit == "°F":
		return f.Unit == "°F"
	}
	return true
}

// find looks for the fact that gives a wanted value: the first that can be compared must be it.
func find(q question, w wanted, r reply, spoons string) (fact, verdict) {
	depth := 1
	if slices.Contains([]string{"swap", "gel", "rescue"}, q.Kind) {
		depth = 3
	}
	var other *fact
	for _, alt := range append([]wanted{w}, w.Or...) {
		alt.What, alt.Tol = w.What, w.Tol
		seen := 0
		for _, f := range r.Facts {
			if !matches(w.What, f.What) || w.What == "." && f.From == "asked" || w.excludes(f, spoons) {
				continue
			}
			ok, comparable := alt.fits(f, spoons)
			if !comparable {
				continue
			}
			seen++
			if ok && seen <= depth {
				return f, right
			}
			if other == nil {
				other = &f
			}
		}
	}
	if other != nil {
		return *other, wrong
	}
	return fact{}, missed
}

// excludes says whether a fact only gives back what was asked to be converted.
func (w wanted) excludes(f fact, spoons string) bool {
	for _, u := range w.NotUnits {
		if u == f.Unit || u == strings.TrimSuffix(f.Unit, "s") {
			return true
		}
	}
	return false
}

// kinships are names of one allergen, as the EU and the US list it and people say it.
var kinships = [][]string{{"milk", "dairy", "lactose"}, {"gluten", "wheat", "cereals containing gluten"}, {"nuts", "tree nuts"},
	{"soybeans", "soy", "soya"}, {"sulphites", "sulfites", "sulphur dioxide"}, {"crustaceans", "shellfish", "crustacean shellfish"}, {"molluscs", "mollusks"}}

func sameAllergen(listed, name string) bool {
	has := func(n string) bool {
		return regexp.MustCompile(`(^|[^a-z])` + regexp.QuoteMeta(single(n)) + `s?($|[^a-z])`).MatchString(folded(strings.NewReplacer("(", " ", ")", " ").Replace(listed)))
	}
	if has(name) {
		return true
	}
	for _, kin := range kinships {
		if slices.Contains(kin, name) && slices.ContainsFunc(kin, has) {
			return true
		}
	}
	return false
}

func judgeItems(e expected, r reply) (verdict, string) {
	what := ""
	if e.Items != nil {
		what = e.Items.What
	}
	var lists [][]string
	var contains, suits []string
	for _, f := range r.Facts {
		if f.Items == nil {
			continue
		}
		if matches(what, f.What) {
			lists = append(lists, f.Items)
		}
		switch f.What {
		case "contains":
			contains = append(contains, f.Items...)
		case "suits":
			suits = append(suits, f.Items...)
		}
	}
	if e.NoSuits != "" && slices.Contains(suits, e.NoSuits) {
		return wrong, "said to suit " + e.NoSuits
	}
	for _, n := range e.NotItems {
		if slices.ContainsFunc(contains, func(c string) bool { return sameAllergen(c, n) }) {
			return wrong, "named " + n
		}
	}
	if e.Items == nil {
		return right, ""
	}
	if e.Items.AnyList && len(lists) == 0 {
		return missed, "no list"
	}
	for _, n := range e.Items.Names {
		named := slices.ContainsFunc(lists, func(l []string) bool {
			return slices.ContainsFunc(l, func(s string) bool { return strings.Contains(folded(s), folded(n)) })
		})
		named = named || slices.ContainsFunc(r.Facts, func(f fact) bool { return strings.Contains(folded(f.What), folded(n)) })
		if !named {
			return missed, "not named: " + n
		}
	}
	for _, n := range e.Items.Contains {
		if !slices.ContainsFunc(contains, func(c string) bool { return sameAllergen(c, n) }) {
			if len(contains) == 0 {
				return missed, "no list of what it contains"
			}
			return wrong, "left out " + n
		}
	}
	return right, ""
}

func judgeWords(e expected, r reply) (verdict, string) {
	for _, w := range e.Says {
		if !strings.Contains(strings.ToLower(r.Text), strings.ToLower(w)) {
			return missed, "the text lacks " + w
		}
	}
	if e.Caution != "" && !slices.ContainsFunc(r.Cautions, func(c caution) bool { return c.Code == e.Caution }) {
		return missed, "no caution " + e.Caution
	}
	return right, r.Status
}
