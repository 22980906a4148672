package bank

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
)

// makeTwoLines calls an ingredient by a word that two lines of the recipe share: both are told, or it is asked which.
func (m *maker) makeTwoLines() (made, bool) {
	type pairOf struct {
		r    *recipe
		word string
		all  []string
	}
	var found []pairOf
	for _, r := range m.b.recipes {
		heads := map[string][]string{}
		for _, l := range m.b.plainLines(r) {
			fields := strings.Fields(l.name)
			head := folded(fields[len(fields)-1])
			if len(head) > 3 && len(m.b.byName[head]) == 0 && m.b.item(head) == nil && !slices.Contains(heads[head], l.name) {
				heads[head] = append(heads[head], l.name)
			}
		}
		for _, h := range sortedKeys(heads) {
			if len(heads[h]) > 1 {
				found = append(found, pairOf{r, h, heads[h]})
			}
		}
	}
	if len(found) == 0 {
		return made{}, false
	}
	p, q := one(m, found), m.factor()
	tr := m.about(p.r, q.value).askedFor(q)
	tr.all, tr.due = p.all, []string{"answer", "ask"}
	text := m.pick("{I} for {Q} {R}", "{R} {Q} {I}", "how much {I} in {Q} {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(p.r), "I": p.word, "Q": q.text}), tr)
}

// makeSharedWord calls a recipe by a word that several share: it is asked which, or said which was taken.
func (m *maker) makeSharedWord() (made, bool) {
	heads := map[string][]*recipe{}
	for _, r := range m.b.recipes {
		fields := strings.Fields(r.name)
		if head := folded(fields[len(fields)-1]); len(fields) > 1 && len(head) > 3 && !strings.ContainsAny(head, "0123456789%") && m.b.item(head) == nil {
			heads[head] = append(heads[head], r)
		}
	}
	var words []string
	for _, h := range sortedKeys(heads) {
		if len(heads[h]) > 1 && len(m.b.byName[h]) == 0 {
			words = append(words, h)
		}
	}
	if len(words) == 0 {
		return made{}, false
	}
	w := one(m, words)
	of := heads[w]
	var both []string
	for _, l := range m.b.plainLines(of[0]) {
		if m.b.link(l) != nil {
			continue
		}
		here := m.b.amountsOf(of[0], l.name, "", whole(1))
		there := m.b.amountsOf(of[1], l.name, "", whole(1))
		if len(there) > 0 && here[len(here)-1].value.Cmp(there[len(there)-1].value) != 0 {
			both = append(both, l.name)
		}
	}
	if len(both) == 0 {
		return made{}, false
	}
	q := m.factor()
	text := m.pick("{I} for {Q} {R}", "how much {I} in the {R}", "{R} {Q} {I}")
	return single1(fill(text, map[string]string{"R": w, "I": one(m, both), "Q": q.text}), truth{b: m.b, due: []string{"ask", "unknown"}})
}

// makeAbsurd asks for sizes that make no sense.
func (m *maker) makeAbsurd() (made, bool) {
	r := one(m, m.recipes(any1))
	l := one(m, m.b.plainLines(r))
	text := m.pick("{R} {Q} {I}", "{Q} {R} {I}", "{I} for {Q} {R}", "{Q} of {R}, {I}?")
	q := m.pick("x0", "0x", "x 20000", "x100000", "-2x", "minus 3 kg", "0 g", "-500 g", "300 °C", "40 min", "0 kg", "x -4")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q}), truth{b: m.b, due: []string{"ask", "unknown", "refused"}})
}

// makeForNobody asks for a number of people of what makes no portions.
func (m *maker) makeForNobody() (made, bool) {
	rs := m.recipes(func(r *recipe) bool { return r.count == nil })
	r := one(m, rs)
	l, q := one(m, m.b.plainLines(r)), m.count()
	text := m.pick("{R} for {Q}, {I}", "{I} for {R} for {Q} people", "{R} for {Q} guests how much {I}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), truth{b: m.b, due: []string{"ask", "unknown"}})
}

func (m *maker) makeTwoRecipes() (made, bool) {
	rs := m.recipes(any1)
	r, s := one(m, rs), one(m, rs)
	if r == s || related(r.name, s.name) {
		return made{}, false
	}
	l, k := one(m, m.b.plainLines(r)), one(m, m.b.plainLines(s))
	if related(l.name, k.name) || m.b.link(l) != nil || m.b.link(k) != nil {
		return made{}, false
	}
	text := m.pick("{I} in {R} and {J} in {S}", "how much {I} for {R} and how much {J} for {S}", "{R} {I}, {S} {J}")
	tr := m.about(r, whole(1), m.amount(r, l, whole(1)), m.amount(s, k, whole(1)))
	tr.more = []truth{m.about(s, whole(1), m.amount(s, k, whole(1)))}
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "S": m.nameOf(s), "I": m.callsOf(r, l), "J": m.callsOf(s, k)}), tr)
}

// makeTwoPeople lets two people talk at once in one channel.
func (m *maker) makeTwoPeople() (made, bool) {
	a, ok := m.makeAndFor()
	b, ok2 := m.makeAndFor()
	if !ok || !ok2 {
		return made{}, false
	}
	return made{lines: []string{a.lines[0], b.lines[0], a.lines[1], b.lines[1]}, truth: []truth{a.truth[0], b.truth[0], a.truth[1], b.truth[1]},
		who: []string{"first", "second", "first", "second"}}, true
}

// makeForgotten goes on within the half hour, or after it, when nothing is remembered.
func (m *maker) makeForgotten() (made, bool) {
	q, ok := m.makeAndFor()
	if !ok {
		return made{}, false
	}
	q.after = []int{0, 29}
	if m.rng.IntN(2) == 0 {
		q.after = []int{0, 31}
		q.truth[1] = truth{b: m.b, due: []string{"ask", "unknown"}}
	}
	return q, true
}

func (m *maker) makeMoulds() (made, bool) {
	rs := m.recipes(func(r *recipe) bool {
		return strings.HasPrefix(r.makes, "fill ") && !strings.Contains(r.makes, "around")
	})
	if len(rs) == 0 {
		return made{}, false
	}
	r := one(m, rs)
	l := one(m, m.b.plainLines(r))
	mould := m.b.moulds[makesFill.FindStringSubmatch(r.makes)[2]]
	n := int64(m.rng.IntN(8) + 1)
	k := quo(whole(n*mould.cells), r.count)
	q := said{fmt.Sprint(n), whole(n), ""}
	text := m.pick("fill {Q} "+mould.name+" with {R}, {I}", "{R} in {Q} "+mould.name+", how much {I}", "{I} to fill {Q} "+mould.name+" with {R}")
	return single1(fill(text, map[string]string{"R": m.nameOf(r), "I": m.callsOf(r, l), "Q": q.text}), m.about(r, k, m.amount(r, l, k)).askedFor(q))
}

// cost is the price of a batch by the house's prices, each amount divided by what is usable of it.
func (b *book) cost(r *recipe) (*big.Rat, bool) {
	total := new(big.Rat)
	for _, l := range r.lines {
		if l.amount.form == byNothing {
			return nil, false
		}
		if to := b.link(l); to != nil {
			c, ok := b.cost(to)
			n, ok2 := b.drawn(r, l)
			if !ok || !ok2 {
				return nil, false
			}
			total.Add(total, mul(c, n))
			continue
		}
		it := b.item(l.name)
		switch {
		case it == nil:
			return nil, false
		case it.perPiece != nil && l.amount.form == byPiece:
			total.Add(total, mul(l.amount.value, it.perPiece))
		case it.price != nil:
			g, ok := b.grams(r, l)
			if !ok {
				return nil, false
			}
			total.Add(total, mul(quo(g, it.usable), it.price))
		default:
			return nil, false
		}
	}
	return total, true
}

func (m *maker) makeCost() (made, bool) {
	rs := m.recipes(func(r *recipe) bool { _, ok := m.b.cost(r); return ok })
	if len(rs) == 0 {
		return made{}, false
	}
	r := one(m, rs)
	c, _ := m.b.cost(r)
	text := m.pick("cost of a batch of {R}", "what does a batch of {R} cost", "{R} cost per batch", "how much does one batch of {R} cost us")
	return single1(fill(text, map[string]string{"R": m.nameOf(r)}), m.about(r, whole(1), want("cost", quantity{c, m.b.currency})))
}
