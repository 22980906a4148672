package bank

import (
	"fmt"
	"slices"
	"strings"
)

// makeUnits asks to convert what needs no book.
func (m *maker) makeUnits() (made, bool) {
	n := int64(m.rng.IntN(60) + 1)
	if m.rng.IntN(2) == 0 {
		c := n*5 - 20
		f := quo(mul(whole(c), whole(9)), whole(5))
		f = sum(f, whole(32))
		if m.rng.IntN(2) == 0 {
			text := fmt.Sprintf(m.pick("%d C in F", "%dC to F", "what is %d °C in °F", "%d celsius in fahrenheit"), c)
			return m.converted(text, quantity{f, "°F"}, measured(float64(c), "°C", m.b.spoons), "°C")
		}
		x := n*5 + 30
		back := quo(mul(minus(whole(x), whole(32)), whole(5)), whole(9))
		text := fmt.Sprintf(m.pick("%dF in C", "%d F to C", "whats %d°F in °C", "%d fahrenheit in celsius"), x)
		return m.converted(text, quantity{back, "°C"}, measured(float64(x), "°F", m.b.spoons), "°F")
	}
	type way struct{ from, to, word string }
	w := one(m, []way{{"oz", "g", "g"}, {"lb", "g", "grams"}, {"g", "oz", "oz"}, {"kg", "lb", "lb"}, {"lb", "oz", "oz"}, {"oz", "lb", "pounds"}})
	v := quo(mul(whole(n), rat(massUnits[w.from])), rat(massUnits[w.to]))
	text := fmt.Sprintf(m.pick("%d %s in %s", "%d%s to %s", "what is %d %s in %s", "convert %d %s to %s"), n, w.from, w.word)
	return m.converted(text, quantity{v, w.to}, measured(float64(n), w.from, m.b.spoons), w.from)
}

func (m *maker) converted(text string, q quantity, given measure, from string) (made, bool) {
	w := want("x", q)
	w.What, w.NotUnits = ".", []string{from}
	return single1(text, truth{b: m.b, want: []wanted{w}, asked: []measure{given}, due: []string{"answer"}})
}

// makeWeigh asks what a measure or a count of an ingredient weighs, by the house's densities and piece weights.
func (m *maker) makeWeigh() (made, bool) {
	it := one(m, m.b.larder)
	call := one(m, append([]string{it.name}, it.also...))
	if len(m.b.byName[folded(call)]) > 0 {
		return made{}, false
	}
	n := int64(m.rng.IntN(9) + 1)
	if g := it.piece[""]; g != nil && m.rng.IntN(2) == 0 {
		w := want("x", quantity{mul(whole(n), g), "g"})
		w.What = "."
		text := fill(m.pick("{Q} {I} in grams", "how many grams is {Q} {I}", "what do {Q} {I} weigh"), map[string]string{"I": call, "Q": fmt.Sprint(n)})
		return single1(text, truth{b: m.b, want: []wanted{w}, asked: []measure{{"count", float64(n)}}, due: []string{"answer"}})
	}
	if it.density == nil {
		return made{}, false
	}
	unit := m.pick("ml", "dl", "l", "tbsp", "tsp", "cup")
	_, size := unitOf(unit, m.b.spoons)
	if unit == "ml" {
		n *= 50
	}
	word := unit
	if unit == "cup" && n > 1 {
		word = "cups"
	}
	ml := mul(whole(n), size)
	w := want("x", quantity{mul(ml, it.density), "g"})
	w.What = "."
	text := fill(m.pick("{Q} {I} in g", "{Q} of {I} in grams", "how many g is {Q} {I}", "weight of {Q} {I}", "convert {Q} {I} to grams"),
		map[string]string{"I": call, "Q": fmt.Sprint(n, " ", word)})
	return single1(text, truth{b: m.b, want: []wanted{w}, asked: []measure{{"volume", float(ml)}}, due: []string{"answer"}})
}

func (m *maker) makeAllergens() (made, bool) {
	r := one(m, m.b.recipes)
	set, known := m.b.contains(r)
	if !known {
		return made{}, false
	}
	tr := m.about(r, whole(1))
	tr.lists = append([]string{}, set...)
	text := m.pick("{R} allergens", "allergens in {R}", "what allergens are in the {R}", "allergen info {R}", "which allergens does {R} contain")
	return single1(fill(text, map[string]string{"R": m.nameOf(r)}), tr)
}

// lackingIn are larder names that share no word with anything in a recipe's tree.
func (b *book) lackingIn(r *recipe) []string {
	var tree []string
	var walk func(r *recipe)
	walk = func(r *recipe) {
		tree = append(tree, r.name)
		tree = append(tree, r.also...)
		for _, l := range r.lines {
			tree = append(tree, l.name)
			if it := b.item(l.name); it != nil {
				tree = append(tree, it.also...)
			}
			if to := b.link(l); to != nil {
				walk(to)
			}
		}
	}
	walk(r)
	var out []string
	for _, it := range b.larder {
		far := len(b.byName[folded(it.name)]) == 0
		for _, n := range append([]string{it.name}, it.also...) {
			far = far && !slices.ContainsFunc(tree, func(t string) bool { return related(t, n) })
		}
		if far {
			out = append(out, it.name)
		}
	}
	return out
}

// makeLacking asks for an ingredient the recipe does not have: unknown, never a number.
func (m *maker) makeLacking() (made, bool) {
	r := one(m, m.b.recipes)
	names := m.b.lackingIn(r)
	if len(names) == 0 {
		return made{}, false
	}
	tr := truth{b: m.b, due: []string{"unknown", "ask"}}
	text := m.pick("how much {I} in the {R}", "how much {I} do i put in {R}", "{R} x2, how much {I}", "amount of {I} for 3x {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": one(m, names)}), tr)
}

// makeNobodys asks for a recipe nobody has.
func (m *maker) makeNobodys() (made, bool) {
	it := one(m, m.b.larder)
	if len(m.b.byName[folded(it.name)]) > 0 {
		return made{}, false
	}
	name := invent(m.rng, 8) + " " + invent(m.rng, 6)
	tr := truth{b: m.b, due: []string{"unknown", "ask"}}
	text := m.pick("how much {I} in the {R}", "{R} recipe", "{I} for 2x {R}", "how long does {R} keep", "what temp do i bake {R} at", "{R} allergens", "recipe for {R} x3")
	return single1(fill(text, map[string]string{"R": name, "I": it.name}), tr)
}

// makeThousands writes a number that can be read two ways.
func (m *maker) makeThousands() (made, bool) {
	r := one(m, m.recipes(any1))
	l := one(m, m.b.plainLines(r))
	tr := truth{b: m.b, r: r, due: []string{"ask"}}
	q := fmt.Sprintf("%d,%d00 g", m.rng.IntN(8)+1, m.rng.IntN(9)+1)
	text := m.pick("{Q} {R} {I}", "{Q} of {R}, how much {I}", "need {Q} {R}, {I}?")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q}), tr)
}

// makeNoRecipe names an ingredient of several recipes and no recipe.
func (m *maker) makeNoRecipe() (made, bool) {
	uses := map[string]int{}
	for _, r := range m.b.recipes {
		for _, l := range r.lines {
			uses[l.name]++
		}
	}
	var common []string
	for _, n := range sortedKeys(uses) {
		if uses[n] > 2 && len(m.b.byName[folded(n)]) == 0 {
			common = append(common, n)
		}
	}
	if len(common) == 0 {
		return made{}, false
	}
	q := m.factor()
	text := m.pick("how much {I} for {Q}", "{Q} how much {I}", "{I} {Q}?")
	return single1(fill(text, map[string]string{"I": one(m, common), "Q": q.text}), truth{b: m.b, due: []string{"ask", "unknown"}})
}

// makeAndFor asks again with another size.
func (m *maker) makeAndFor() (made, bool) {
	r := one(m, m.recipes(any1))
	l := one(m, m.b.plainLines(r))
	i, name := m.callsOf(r, l), m.nameOf(r)
	a, b := m.factor(), m.factor()
	first := fill(m.pick("{I} for {Q} {R}", "{R} {Q} {I}", "how much {I} for {Q} {R}"), map[string]string{"R": name, "I": i, "Q": a.text})
	then := fill(m.pick("and for {Q}?", "and {Q}", "{Q}?", "what if i do {Q}", "and if its {Q}"), map[string]string{"Q": b.text})
	return made{lines: []string{first, then}, truth: []truth{m.about(r, a.value, m.amount(r, l, a.value)).askedFor(a), m.about(r, b.value, m.amount(r, l, b.value)).askedFor(b)}}, first != ""
}

// makeWhatAbout asks for another ingredient at the size asked before.
func (m *maker) makeWhatAbout() (made, bool) {
	r := one(m, m.recipes(any1))
	ls := m.several(r, 2)
	if len(ls) < 2 || m.b.link(ls[1]) != nil { // the name of a recipe would change the subject
		return made{}, false
	}
	q := m.factor()
	first := fill(m.pick("{I} for {Q} {R}", "{R} {Q} {I}"), map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, ls[0]), "Q": q.text})
	then := fill(m.pick("and the {I}?", "what about {I}", "{I}?", "and {I}"), map[string]string{"I": m.callsOf(r, ls[1])})
	return made{lines: []string{first, then}, truth: []truth{m.about(r, q.value, m.amount(r, ls[0], q.value)).askedFor(q), m.about(r, q.value, m.amount(r, ls[1], q.value)).askedFor(q)}}, first != ""
}

// weigh holds a reply against what is true: wrong as soon as one number of it is.
func (tr truth) weigh(r reply, names []string) (verdict, string) {
	for _, f := range r.Facts {
		if !tr.explains(f) {
			return wrong, "not so: " + f.String()
		}
		if why := tr.b.badlyShown(f); why != "" {
			return wrong, why
		}
	}
	if loose := looseDigits(r, names); len(loose) > 0 {
		return wrong, "numbers in the text that no fact carries: " + strings.Join(loose, ", ")
	}
	if !slices.Contains(tr.due, r.Status) {
		if r.Status != "answer" {
			return missed, r.Status + " where " + strings.Join(tr.due, "/") + " was due"
		}
		for _, f := range r.Facts {
			if len(f.numbers()) > 0 {
				return wrong, "a number where " + strings.Join(tr.due, "/") + " was due: " + f.String()
			}
		}
		return overconfident, "answered where " + strings.Join(tr.due, "/") + " was due"
	}
	if r.Status != "answer" {
		return right, r.Status
	}
	for _, w := range tr.want {
		f, v := find(question{}, w, r, tr.b.spoons)
		if v == wrong {
			return wrong, fmt.Sprintf("%s: wanted %s %s, got %s", w.What, w.Value, w.Unit, f)
		}
		if v == missed {
			return missed, fmt.Sprintf("no fact for %s (%s %s)", w.What, w.Value, w.Unit)
		}
	}
	if named := tr.named(r); len(named) > 0 && len(named) < len(tr.all) && len(r.Assumed) == 0 {
		return wrong, fmt.Sprintf("only %v of %v, and nothing assumed", named, tr.all)
	}
	return tr.weighLists(r)
}

// named are the lines of tr.all that a reply gives.
func (tr truth) named(r reply) []string {
	var out []string
	for _, n := range tr.all {
		if slices.ContainsFunc(r.Facts, func(f fact) bool { return folded(f.What) == folded(n) }) {
			out = append(out, n)
		}
	}
	return out
}

func (tr truth) weighLists(r reply) (verdict, string) {
	if tr.not != "" && slices.ContainsFunc(r.Facts, func(f fact) bool { return folded(f.What) == folded(tr.not) }) {
		return wrong, "named " + tr.not
	}
	if tr.lists == nil {
		return right, ""
	}
	var got []string
	for _, f := range r.Facts {
		if f.What == "contains" {
			got = append(got, f.Items...)
		}
	}
	for _, a := range tr.lists {
		if !slices.ContainsFunc(got, func(g string) bool { return sameAllergen(g, a) }) {
			return wrong, "left out " + a
		}
	}
	for _, g := range got {
		if !slices.ContainsFunc(tr.lists, func(a string) bool { return sameAllergen(g, a) }) {
			return wrong, "not in it: " + g
		}
	}
	return right, ""
}
