package bank

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// production makes a question of one kind, or nothing where the book has no matter for it.
type production struct {
	kind   string
	weight int
	make   func(m *maker) (made, bool)
}

var productions = []production{
	{"amount", 4, (*maker).makeAmount}, {"factor", 6, (*maker).makeFactor}, {"mass", 4, (*maker).makeMass}, {"pieces", 4, (*maker).makePieces},
	{"covers", 3, (*maker).makeCovers}, {"left", 3, (*maker).makeLeft}, {"several", 3, (*maker).makeSeveral}, {"card", 2, (*maker).makeCard},
	{"without", 1, (*maker).makeWithout}, {"yield", 2, (*maker).makeYield}, {"nested", 2, (*maker).makeNested}, {"time", 3, (*maker).makeTime},
	{"heat", 2, (*maker).makeHeat}, {"keeps", 2, (*maker).makeKeeps}, {"units", 2, (*maker).makeUnits}, {"weigh", 3, (*maker).makeWeigh},
	{"allergens", 2, (*maker).makeAllergens}, {"lacking", 3, (*maker).makeLacking}, {"nobody's", 2, (*maker).makeNobodys},
	{"thousands", 1, (*maker).makeThousands}, {"no recipe", 1, (*maker).makeNoRecipe}, {"and for", 3, (*maker).makeAndFor}, {"what about", 2, (*maker).makeWhatAbout},
	{"two lines", 2, (*maker).makeTwoLines}, {"shared word", 2, (*maker).makeSharedWord}, {"absurd", 2, (*maker).makeAbsurd}, {"for nobody", 1, (*maker).makeForNobody},
	{"two recipes", 2, (*maker).makeTwoRecipes}, {"two people", 2, (*maker).makeTwoPeople}, {"forgotten", 1, (*maker).makeForgotten}, {"moulds", 1, (*maker).makeMoulds},
	{"cost", 2, (*maker).makeCost},
}

func (m *maker) next() made {
	total := 0
	for _, p := range productions {
		total += p.weight
	}
	for {
		n := m.rng.IntN(total)
		for _, p := range productions {
			if n -= p.weight; n >= 0 {
				continue
			}
			if q, ok := p.make(m); ok {
				q.kind = p.kind
				for i, l := range q.lines {
					q.lines[i] = m.noise(l)
				}
				return q
			}
			break
		}
	}
}

func single1(text string, tr truth) (made, bool) {
	return made{lines: []string{text}, truth: []truth{tr}}, text != ""
}

func (m *maker) makeAmount() (made, bool) {
	r := one(m, m.recipes(any1))
	l := one(m, m.b.plainLines(r))
	text := m.pick("how much {I} in {R}", "{I} in the {R}?", "{R} {I}", "what's the {I} for {R}", "{R}: {I}", "how much {I} goes into {R}", "amount of {I} for the {R}",
		"tell me the {I} of {R}", "need the {I} for {R}", "{I} {R} how much")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l)}), m.about(r, whole(1), m.amount(r, l, whole(1))))
}

func (m *maker) makeFactor() (made, bool) {
	r := one(m, m.recipes(any1))
	l, q := one(m, m.b.plainLines(r)), m.factor()
	text := m.pick("{Q} {R} {I}", "{R} {Q}, {I}", "how much {I} for {Q} {R}", "{I} for {Q} {R}", "doing {R} {Q}, how much {I}", "{R} {Q} {I}?", "i want {Q} {R}. {I}?",
		"{I} {Q} {R}", "making {Q} of {R}, what {I} do i need")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), m.about(r, q.value, m.amount(r, l, q.value)).askedFor(q))
}

func (m *maker) makeMass() (made, bool) {
	r := one(m, m.recipes(func(r *recipe) bool { _, ok := m.b.finished(r); return ok }))
	l, q := one(m, m.b.plainLines(r)), m.mass()
	f, _ := m.b.finished(r)
	k := quo(q.value, f)
	text := m.pick("{Q} {R} {I}", "{Q} of {R}, how much {I}", "how much {I} for {Q} of {R}", "need {Q} {R}, {I}?", "{R} {Q} {I}", "{I} for {Q} {R}", "make me {Q} of {R}: {I}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), m.about(r, k, m.amount(r, l, k)).askedFor(q))
}

func (m *maker) makePieces() (made, bool) {
	rs := m.recipes(inPieces)
	if len(rs) == 0 {
		return made{}, false
	}
	r := one(m, rs)
	l, q := one(m, m.b.plainLines(r)), m.count()
	k := quo(q.value, r.count)
	text := m.pick("{Q} {R} {I}", "{Q} {R}, how much {I}", "how much {I} for {Q} {R}", "i need {Q} {R}. {I}?", "{I} for {Q} {R}", "{R} {Q} pieces {I}", "{R}, {Q} pcs, {I}", "enough {I} for {Q} {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), m.about(r, k, m.amount(r, l, k)).askedFor(q))
}

func (m *maker) makeCovers() (made, bool) {
	rs := m.recipes(func(r *recipe) bool { return r.countWord == "cover" })
	if len(rs) == 0 {
		return made{}, false
	}
	r := one(m, rs)
	l, q := one(m, m.b.plainLines(r)), m.count()
	k := quo(q.value, r.count)
	text := m.pick("{Q} covers {R} {I}", "{R} for {Q}, {I}", "how much {I} for {Q} covers of {R}", "{I} for {Q} {R}", "{R} {Q} pax how much {I}", "{Q} {R} {I}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), m.about(r, k, m.amount(r, l, k)).askedFor(q))
}

func (m *maker) makeLeft() (made, bool) {
	r := one(m, m.recipes(any1))
	ls := m.several(r, 2)
	if len(ls) < 2 || ls[0].amount.form != byMass && ls[0].amount.form != byShare {
		return made{}, false
	}
	g, _ := m.b.grams(r, ls[0])
	q := m.mass()
	k := quo(q.value, g)
	deep, known, _ := m.b.rolled(r, ls[0].name, whole(1))
	if ls[0].part != "" || k.Cmp(whole(40)) > 0 || !known || deep.Cmp(g) != 0 {
		return made{}, false
	}
	text := m.pick("only {Q} {I} left, {R}, how much {J}", "{Q} of {I} left for the {R}, {J}?", "i have {Q} {I} left. {R}. how much {J}", "just {Q} {I} left, {J} for {R}?")
	slots := map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, ls[0]), "J": m.callsOf(r, ls[1]), "Q": q.text}
	return single1(fill(text, slots), m.about(r, k, m.amount(r, ls[1], k)).askedFor(q))
}

func (m *maker) makeSeveral() (made, bool) {
	r := one(m, m.recipes(any1))
	ls := m.several(r, 2)
	if len(ls) < 2 {
		return made{}, false
	}
	q := m.factor()
	text := m.pick("{I} and {J} for {Q} {R}", "{R} {Q}: {I}, {J}", "{Q} {R} {I} + {J}", "how much {I} and how much {J} for {Q} {R}", "{R} {Q} {I} & {J}")
	slots := map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, ls[0]), "J": m.callsOf(r, ls[1]), "Q": q.text}
	return single1(fill(text, slots), m.about(r, q.value, m.amount(r, ls[0], q.value), m.amount(r, ls[1], q.value)).askedFor(q))
}

func (m *maker) cardOf(r *recipe, k *big.Rat) truth {
	tr := m.about(r, k)
	for _, l := range m.b.plainLines(r) {
		if l.part == "" {
			tr.want = append(tr.want, m.amount(r, l, k))
		}
	}
	return tr
}

func (m *maker) makeCard() (made, bool) {
	r, q := one(m, m.recipes(any1)), m.factor()
	text := m.pick("whole recipe {R} {Q}", "{R} {Q} everything", "{Q} {R} full recipe", "{Q} {R}", "all of {R} {Q}", "ingredients for {Q} {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "Q": q.text}), m.cardOf(r, q.value).askedFor(q))
}

func (m *maker) makeWithout() (made, bool) {
	r, q := one(m, m.recipes(any1)), m.factor()
	ls := m.several(r, 1)
	tr := m.cardOf(r, q.value).askedFor(q)
	tr.not = ls[0].name
	tr.want = slices.DeleteFunc(tr.want, func(w wanted) bool { return matches(w.What, ls[0].name) })
	text := m.pick("{R} {Q} without the {I}", "{Q} {R} no {I}", "{Q} {R} but not the {I}", "everything for {Q} {R} except {I}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, ls[0]), "Q": q.text}), tr)
}

func (m *maker) makeYield() (made, bool) {
	r := one(m, m.recipes(func(r *recipe) bool { _, ok := m.b.finished(r); return ok && r.countWord != "cover" }))
	f, _ := m.b.finished(r)
	text := m.pick("total weight of {R}", "how much does one batch of {R} weigh in total", "what's the total of one batch {R}", "{R} total weight", "finished weight of a batch of {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r)}), m.about(r, whole(1), want("total", quantity{f, "g"})))
}

// makeNested asks for what only a linked recipe holds.
func (m *maker) makeNested() (made, bool) {
	type deep struct {
		r    *recipe
		name string
	}
	var all []deep
	for _, r := range m.b.recipes {
		for _, l := range r.lines {
			to := m.b.link(l)
			if to == nil {
				continue
			}
			for _, in := range to.lines {
				_, known, found := m.b.rolled(r, in.name, whole(1))
				if found && known && !slices.ContainsFunc(r.lines, func(o line) bool { return related(o.name, in.name) }) && len(m.b.byName[folded(in.name)]) == 0 {
					all = append(all, deep{r, in.name})
				}
			}
		}
	}
	if len(all) == 0 {
		return made{}, false
	}
	d, q := one(m, all), m.factor()
	g, _, _ := m.b.rolled(d.r, d.name, q.value)
	w := want(d.name, quantity{g, "g"})
	if it := m.b.item(d.name); it != nil && it.density != nil {
		w = want(d.name, quantity{g, "g"}, quantity{quo(g, it.density), "ml"})
	}
	text := m.pick("{I} for {Q} {R}", "how much {I} in {Q} {R}", "{R} {Q}, {I}?")
	tr := m.about(d.r, q.value, w).askedFor(q)
	for n, inBook := range m.b.piecesRolled(d.r, d.name, q.value) {
		_ = n
		tr.want[0].Or = append(tr.want[0].Or, want(d.name, inBook))
	}
	return single1(fill(text, map[string]string{"R": m.nameOf(d.r), "I": d.name, "Q": q.text}), tr)
}

// piecesRolled is a rolled-up ingredient as a count, where one linked line counts it.
func (b *book) piecesRolled(r *recipe, name string, k *big.Rat) []quantity {
	total, found := new(big.Rat), false
	for _, l := range r.lines {
		to := b.link(l)
		n, ok := b.drawn(r, l)
		if to == nil || !ok {
			continue
		}
		for _, in := range to.lines {
			if folded(in.name) == folded(name) && in.amount.form == byPiece {
				total.Add(total, mul(mul(in.amount.value, n), k))
				found = true
			}
		}
		for _, deep := range b.piecesRolled(to, name, mul(n, k)) {
			total.Add(total, deep.value)
			found = true
		}
	}
	if !found {
		return nil
	}
	return []quantity{{total, "each"}}
}

// timed is a verb of a method with its one written time or temperature.
type timed struct {
	r    *recipe
	verb string
	key  string
	sp   span
	kind string
}

func (m *maker) timed(keys ...string) []timed {
	var out []timed
	for _, r := range m.b.recipes {
		seen := map[string]int{}
		for _, s := range r.steps {
			seen[s.verb]++
		}
		for _, s := range r.steps {
			for _, k := range keys {
				sp, kind, ok := readSpan(s.keys[k])
				if ok && seen[s.verb] == 1 && (kind == "time" || kind == "heat") {
					out = append(out, timed{r, s.verb, k, sp, kind})
				}
			}
		}
	}
	return out
}

func (d timed) want() wanted {
	w := wanted{What: "^" + d.verb, Unit: "min", Tol: []byte(fmt.Sprint(exact))}
	if d.kind == "heat" {
		w.Unit = "°C"
	}
	n := d.sp.value
	for _, p := range []*float64{d.sp.least, d.sp.most} {
		if n == nil {
			n = p
		}
	}
	w.Value = []byte(fmt.Sprint(*n))
	return w
}

var kitchenVerbs = []string{"bake", "cook", "boil", "simmer", "rest", "chill", "proof", "freeze", "braise", "steep", "soak", "fry", "roast", "reduce", "infuse"}

func (m *maker) makeTime() (made, bool) {
	all := slices.DeleteFunc(m.timed("for"), func(d timed) bool { return d.kind != "time" || !slices.Contains(kitchenVerbs, d.verb) })
	if len(all) == 0 {
		return made{}, false
	}
	d := one(m, all)
	text := m.pick("how long do i V {R}", "how long to V the {R}", "{R}, V how long", "V time {R}", "how many minutes do i V {R}")
	return single1(fill(strings.Replace(text, "V", d.verb, 1), map[string]string{"R": m.nameOf(d.r)}), m.about(d.r, whole(1), d.want()))
}

func (m *maker) makeHeat() (made, bool) {
	all := slices.DeleteFunc(m.timed("at", "to"), func(d timed) bool { return d.kind != "heat" || !slices.Contains(kitchenVerbs, d.verb) })
	if len(all) == 0 {
		return made{}, false
	}
	d := one(m, all)
	text := m.pick("what temp do i V {R} at", "V temp {R}", "what temperature to V the {R}", "{R}: V at what temp", "how hot do i V the {R}")
	return single1(fill(strings.Replace(text, "V", d.verb, 1), map[string]string{"R": m.nameOf(d.r)}), m.about(d.r, whole(1), d.want()))
}

func (m *maker) makeKeeps() (made, bool) {
	var all []*recipe
	for _, r := range m.b.recipes {
		if len(r.keeps) > 0 {
			if _, _, ok := readSpan(r.keeps[0]); ok {
				all = append(all, r)
			}
		}
	}
	if len(all) == 0 {
		return made{}, false
	}
	r := one(m, all)
	sp, _, _ := readSpan(r.keeps[0])
	w := wanted{What: "^keeps$", Unit: "min", Value: []byte(fmt.Sprint(*sp.value)), Tol: []byte(fmt.Sprint(exact))}
	text := m.pick("how long does {R} keep", "{R} shelf life", "how long is {R} good for", "{R} keeps?", "how long can i keep {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r)}), m.about(r, whole(1), w))
}
