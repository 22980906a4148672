package bank

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// nobody is a word that no book and no trade knows.
const nobody = "vlorpenquast"

// ablation is one question with one thing taken out or put in.
type ablation struct {
	how  string
	from int // the question it is made of
	q    asked
	want string // a recipe the answer may now come from
}

// TestAblation takes the recipe, the amount or the ingredient out of questions that are answered right, or puts another in:
// the answer changes or becomes a question.
func TestAblation(t *testing.T) {
	counts, bad := map[string]int{}, map[string]int{}
	for _, name := range testBooks {
		b := openBook(t, bookDir(name))
		var whole []result
		for _, res := range wholeBank(t, name) {
			if res.verdict == right && res.q.Expect.Status[0] == "answer" && len(res.q.Expect.Facts) == 1 && slices.Contains([]string{"lookup", "scale"}, res.q.Kind) {
				whole = append(whole, res)
			}
		}
		var cuts []ablation
		var lines []asked
		for i, res := range whole {
			for _, a := range b.ablations(res) {
				a.from, a.q.Who, a.q.Channel = i, "ablation", fmt.Sprint("case ", len(cuts))
				cuts, lines = append(cuts, a), append(lines, a.q)
			}
		}
		for i, r := range conversation(t, bookDir(name), lines) {
			a := cuts[i]
			counts[a.how]++
			if why := unchanged(a, whole[a.from], r, b); why != "" {
				bad[a.how]++
				t.Errorf("%s: %q from %q: %s", a.how, a.q.Text, whole[a.from].q.Text, why)
			}
		}
	}
	for _, how := range sortedKeys(counts) {
		t.Logf("%-28s %4d, unchanged %d", how, counts[how], bad[how])
		if counts[how] < 50 {
			t.Errorf("%s: only %d cases", how, counts[how])
		}
	}
}

func (b *book) ablations(res result) []ablation {
	q := res.q
	one := func(kind string) (named, bool) {
		var found []named
		for _, n := range q.Names {
			if n.Kind == kind {
				found = append(found, n)
			}
		}
		if len(found) != 1 {
			return named{}, false
		}
		return found[0], true
	}
	rec, ok := one("recipe")
	ing, ok2 := one("ingredient")
	r := b.recipe(rec.Name)
	if !ok || !ok2 || r == nil {
		return nil
	}
	with := func(old, put string) asked {
		return asked{Text: strings.Join(strings.Fields(replaceWord(q.Text, old, put)), " "), Role: "commis", Now: q.Now}
	}
	cuts := []ablation{
		{how: "recipe taken out", q: with(rec.Typed, "")},
		{how: "ingredient taken out", q: with(ing.Typed, "")},
		{how: "unknown ingredient put in", q: with(ing.Typed, nobody)},
	}
	if len(b.byName[folded(ing.Name)]) == 0 { // what is a recipe too is asked for itself
		cuts = append(cuts, ablation{how: "unknown recipe put in", q: with(rec.Typed, nobody)})
	}
	if am, ok := one("amount"); ok {
		cuts = append(cuts, ablation{how: "amount taken out", q: with(am.Typed, "")})
	}
	for _, l := range r.lines {
		if b.link(l) == nil && !strings.Contains(folded(l.name), folded(ing.Name)) && !strings.Contains(folded(ing.Name), folded(l.name)) && !related(l.name, ing.Name) {
			cuts = append(cuts, ablation{how: "another ingredient put in", q: with(ing.Typed, l.name)})
			break
		}
	}
	for _, o := range b.recipes {
		if o != r && o.count == nil && r.count == nil && slices.ContainsFunc(o.lines, func(l line) bool { return folded(l.name) == folded(res.r.Facts[0].What) }) {
			cuts = append(cuts, ablation{how: "another recipe put in", q: with(rec.Typed, o.name), want: o.name})
			break
		}
	}
	return cuts
}

// related says whether two names share a word.
func related(a, b string) bool {
	for _, w := range strings.Fields(folded(a)) {
		if slices.Contains(strings.Fields(folded(b)), w) {
			return true
		}
	}
	return false
}

// unchanged says why a changed question was not answered as one, or nothing.
func unchanged(a ablation, before result, r reply, b *book) string {
	if r.Status != "answer" {
		return ""
	}
	w := before.q.Expect.Facts[0]
	if strings.HasPrefix(a.how, "unknown") {
		card := r.About == "card" && strings.Contains(strings.Join(r.Assumed, " "), nobody)
		for _, f := range r.Facts {
			if len(f.numbers()) > 0 && !(card && a.how == "unknown ingredient put in") {
				return "a number for what nobody knows: " + f.String()
			}
		}
		return ""
	}
	if a.want != "" {
		if folded(r.Recipe) != folded(a.want) && r.Recipe != "" {
			return "answered from " + r.Recipe
		}
		return ""
	}
	if a.how == "ingredient taken out" && b.inName(before.q) {
		return "" // "oats crispbread" is oat crispbread: nothing was taken out
	}
	same := len(r.Facts) > 0 && len(before.r.Facts) > 0 && key(r.Facts) == key(before.r.Facts)
	if a.how == "recipe taken out" {
		f, v := find(before.q, w, r, b.spoons)
		same = v == right && len(r.Assumed) == 0 && folded(f.Of) == folded(before.r.Recipe)
	}
	if same {
		return "answered as before: " + r.Facts[0].String()
	}
	return ""
}

func key(facts []fact) string {
	type short struct {
		What, Unit, Of string
		Value          json.RawMessage
		Min, Max       *float64
	}
	var out []short
	for _, f := range facts {
		out = append(out, short{f.What, f.Unit, f.Of, f.Value, f.Min, f.Max})
	}
	s, _ := json.Marshal(out)
	return string(s)
}

// inName reports whether the ingredient typed is a word of the recipe's own name.
func (b *book) inName(q question) bool {
	for _, n := range q.Names {
		if n.Kind != "ingredient" {
			continue
		}
		word := strings.TrimSuffix(folded(n.Typed), "s")
		for _, r := range q.Names {
			if rec := b.recipe(r.Name); r.Kind == "recipe" && rec != nil && slices.Contains(strings.Fields(folded(rec.name)), word) {
				return true
			}
		}
	}
	return false
}
