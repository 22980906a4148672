package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// frameSwap: something is missing, and something else is to stand in.
func frameSwap(s *sense) []reading {
	if s.insteadOfSize() || s.chooses() || s.doubtsIn() || s.outOfAmount() {
		return nil
	}
	if r, ok := s.muchFor(); ok {
		return []reading{r}
	}
	other, not := s.otherNot()
	if !s.any(cueSwap) && !(s.any(cueWithout, cueNo) && s.asksWhat()) && !s.saysNone() && !s.noneToday() && !s.oneForAnother() && !s.someLeft() && !s.mayGoWithout() && !s.goneUse() {
		if not < 0 {
			return nil
		}
	} else {
		not = -1
	}
	var out []reading
	sure := false
	for _, p := range s.picks() {
		base := s.start(WantSwap, "swap", p)
		base, some := s.swapped(base)
		if s.any(cueAllergen) && !s.any(cueSwap) && !s.saysOf("instead", "else") {
			base.extra += 8 // "plate without the cream, what allergens are left"
		}
		if !some || not >= 0 && !s.exchanges(other, not, p) {
			continue
		}
		for _, r := range s.sizedOn(base, p) {
			s.swapWords(&r)
			exact := s.fitOf(&r) == 0 && r.q.To != nil && len(r.q.Items) > 0 // both are named, and one is on its lines
			r.q.Guessed = r.q.Guessed || r.q.Targets[0].Part && !exact
			if s.confirmed(&r, p) { // "praline with almonds instead of hazelnuts"
				r.extra -= costIngredient
				sure = true
			}
			if s.goneUse() {
				r.consumes = r.consumes.with(cueUses, cueSetready, cueVerbOut)
				if exact {
					r.extra -= 2
				}
			}
			if s.hears("poured", "went", "dumped", "tipped", "mistake", "accidentally") {
				r.extra += 4 // it has happened
			}
			if s.noneToday() {
				r.extra -= 3 // it is out, not left out
			}
			if s.mayGoWithout() {
				r.extra -= 4 // it is asked whether, not what is left on the list
				r.q.Allergen = append(r.q.Allergen, eggsOf(r.q.Items)...)
			}
			if len(r.q.Allergen) > 0 && s.saysNone() {
				r.extra -= 6 // "no walnuts in the frangipane, nut free" asks for more than what is in it
			}
			if m := s.fitOf(&r); m > 0 {
				r.extra += m
			}
			if !p.talk && s.inAnother(p) {
				r.extra += costIngredient
			}
			out = append(out, r)
		}
	}
	r := s.reading(WantSwap, "swap") // of no recipe
	if r, some := s.swapped(r); some && len(r.q.Items) > 0 && r.q.Items[0].Larder != nil {
		s.swapWords(&r)
		r.q.Targets, r.q.Missing = []Target{{}}, MissingRecipe
		r.extra += costNoRecipe
		if sure { // a word of it means a recipe
			r.extra += costIngredient
		}
		if s.inRecipeNamed() {
			r.extra += costLostName // "no gelatine, what can I use in the sorbet"
		}
		s.swapOf(&r)
		out = append(out, r)
	}
	return out
}

// swapWords uses up the words that such a question is made of.
func (s *sense) swapWords(r *reading) {
	r.consumes = r.consumes.or(plainCues).or(sizeCues).with(cueSwap, cueWithout, cueNo, cueNot, cueOnly, cueHowmuch, cueHowmany, cueMethod, cueHelp, cueUsable,
		cueFree, cueContain, cueAllergen, cueMakeable, cueIngredients, cueNever, cueGel, cueRescue, cueOr, cueThat, cueStock, cueCard, cuePiece, cueMost, cueNextstep, cueCovers)
	for _, i := range s.allergens { // "nut free"; the milk of "use milk" is no allergen
		if !r.used[i] && (s.barred(i) && s.span(i).from > 0 && s.l.tokens[0].plain != "no" || s.any(cueAllergen)) {
			r.used[i] = true
			if a := s.span(i).allergen; !slices.Contains(r.q.Allergen, a) {
				r.q.Allergen = append(r.q.Allergen, a)
			}
		}
	}
	if s.any(cueSwap) { // "out of hazelnuts, what else"
		r.consumes = r.consumes.with(cueUses)
	}
	s.takeDiets(r)
	for _, i := range s.clock {
		r.used[i] = true
	}
}

// oneForAnother reads "honey for sugar in the custard": the recipe has the
// second, not the first.
func (s *sense) oneForAnother() bool {
	if s.any(cueHowmuch, cueHowmany, cueHowlong) && !s.muchAtEnd() {
		return false
	}
	if len(s.names) > 0 && len(s.names) < 3 && len(s.quant) < 2 { // "salted butter for unsalted"
		it, _ := s.item(s.names[0])
		if _, i, ok := s.cutName(&it); ok && it.Larder != nil && (s.before(i) == "for" || s.after(i) == "for" || s.before(i) == "only" || s.before(i) == "got") {
			return true
		}
	}
	for k := 0; k+1 < len(s.names) && len(s.names) > 2; k++ {
		i, next := s.names[k], s.names[k+1]
		f, to := s.span(i).from, s.span(i).to
		if f > 0 && !s.l.tokens[f].breaks && !slices.Contains(swapLeads, s.l.tokens[f-1].plain) {
			continue
		}
		for to < len(s.l.tokens) && slices.Contains(swapFits, s.l.tokens[to].plain) { // "rye flour in for the wheat flour"
			to++
		}
		if to >= len(s.l.tokens) || s.l.tokens[to].plain != "for" {
			continue
		}
		for to++; to < len(s.l.tokens) && slices.Contains(swapArticles, s.l.tokens[to].plain); to++ {
		}
		if sp := s.span(next); to == sp.from && (!s.l.recipeAt(sp) || s.l.ingredientAt(sp)) { // "butter for the crumble, tuile" is no exchange
			return true
		}
	}
	return false
}

// muchAtEnd reports whether "how much" comes behind all names: "kefir for the
// buttermilk in the panna cotta, how much".
func (s *sense) muchAtEnd() bool {
	if len(s.names) < 3 || s.any(cueHowlong) || !s.l.tokens[s.span(s.names[0]).from].breaks && s.span(s.names[0]).from > 1 {
		return false
	}
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.meets(cueSet{}.with(cueHowmuch, cueHowmany)) && i < s.names[len(s.names)-1] {
			return false
		}
	}
	return true
}

var (
	// swapLeads stand before what comes in: "use honey for sugar", "with honey for sugar".
	swapLeads = []string{"use", "using", "take", "put", "try", "add", "with", "w", "is", "are", "would", "will", "does", "but", "and", "the", "some", "do"}
	// swapFits stand between it and "for".
	swapFits = []string{"in", "ok", "okay", "fine", "good", "alright", "work", "works"}
)

// swapArticles may stand between a word and the ingredient that it is about.
var swapArticles = []string{"the", "any", "some", "a", "an", "my", "our", "that", "this", "those", "these", "all"}

// mayGoWithout reads "can I make the curd without butter", "without butter possible?".
func (s *sense) mayGoWithout() bool {
	if !s.any(cueWithout) || len(s.quant) > 0 || len(s.names) < 2 {
		return false
	}
	if s.saysOf("possible", "doable") {
		return true
	}
	if s.saysOf("can", "could", "may") && s.saysOf("be") && s.saysOf("made", "done", "baked", "cooked", "prepared") { // "can the buns be done without butter"
		return true
	}
	return s.may() && s.saysOf("make", "do", "cook", "bake", "prepare", "work", "works", "set") && s.saysOf("i", "we", "you", "it", "does", "will", "would")
}

// eggsOf is the allergen of a thing made of egg: what goes without egg is not made
// good by another part of it.
func eggsOf(items []Item) []recipe.Allergen {
	if len(items) != 1 || items[0].Larder == nil {
		return nil
	}
	for _, a := range items[0].Larder.Contains {
		if a.Name == "eggs" {
			return []recipe.Allergen{a}
		}
	}
	return nil
}

// someLeft reads "340 of 700 g cream left": how much there is of what is asked for.
func (s *sense) someLeft() bool {
	t := s.l.tokens
	of := func(k int) bool { return k < len(t) && t[k].plain == "of" }
	for k := range t {
		if t[k].number && k+2 < len(t) && (of(k+1) && t[k+2].number || of(k+2) && k+3 < len(t) && t[k+3].number) {
			return s.hears("left", "short", "only")
		}
	}
	return false
}

// fitOf is what it costs that the recipe has not what is missing.
func (s *sense) fitOf(r *reading) int {
	if len(r.q.Items) == 0 {
		return 2
	}
	m, cost := r.q.Items[0].match(r.q.Targets[0].Recipe)
	if m == noMatch {
		return costLostItem - 2 // that it lacks it is the answer
	}
	return cost
}

// saysNone reports whether the message begins with what there is not: "no
// gelatine for the dome".
func (s *sense) saysNone() bool {
	t := s.l.tokens
	return len(t) > 2 && t[0].plain == "no" && !t[1].breaks && !s.l.tookBack() && len(s.quant) == 0 && !s.any(cueHowmuch, cueHowmany, cueCard, cueMethod, cueHowlong)
}

// noneToday reports whether the message begins with what there is none of today: what
// may stand in is asked, whatever the size.
func (s *sense) noneToday() bool {
	t := s.l.tokens
	return len(t) > 2 && t[0].plain == "no" && !t[1].breaks && len(s.names) > 1 && s.saysOf("today", "tonight", "delivered") && !s.any(cueHowmuch, cueHowmany, cueMethod, cueHowlong)
}

// asksWhat reports whether the message asks what to do: "no dextrose, what now".
func (s *sense) asksWhat() bool {
	for i := range s.l.tokens {
		switch s.l.tokens[i].plain {
		case "what", "whats", "wat", "help", "instead", "else", "que", "quoi", "was", "cosa":
			return true
		}
	}
	return false
}

// swapped fills in what is missing, what is to stand in, how much there is and
// what must not come in.
func (s *sense) swapped(r reading) (reading, bool) {
	r = r.clone()
	barred, free := s.bars(false), slices.Clone(r.used)
	if _, not := s.otherNot(); not >= 0 && len(r.q.Targets) > 0 { // it is what is missing
		barred = slices.DeleteFunc(barred, func(b bar) bool { return b.to > s.span(not).from && b.from < s.span(not).to })
	}
	s.takeBars(&r, barred)
	type named struct {
		i       int
		it      Item
		missing bool // a word says that it is what is missing
		to      bool // a word says that it is what there is
		barred  bool
	}
	var all []named
	first := true
	for i := range s.p.spans {
		if s.span(i).kind != spanName || r.used[i] {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		if s.nameOf(i, &r) {
			r.used[i] = true
			continue
		}
		if t := s.l.tokens[s.span(i).from:s.span(i).to]; slices.ContainsFunc(t, func(t token) bool { return t.plain == "for" }) {
			return r, false // "butter for cream" is two, whatever names hold both
		}
		n := named{i: i, it: it}
		n.missing, n.to, n.barred = s.swapRole(i, first)
		first = false
		all = append(all, n)
	}
	if len(all) == 0 {
		for i := range s.p.spans { // a food that the book lacks
			if it, ok := s.foreign(i); ok && !s.span(i).strange && !r.used[i] && !s.l.isName(s.span(i).from) {
				n := named{i: i, it: it}
				n.missing, n.to, n.barred = s.swapRole(i, first)
				all = append(all, n)
				r.extra -= costFood - 1
				break
			}
		}
	}
	if len(all) == 0 {
		if it, ok := s.barredLine(&r, barred, free); ok { // "a guest cant have walnut, swap?"
			r.q.Items = append(r.q.Items, it)
			return r, true
		}
	}
	for k := range all {
		if it, i, ok := s.cutName(&all[k].it); ok && len(all) == 1 { // "salted butter for unsalted"
			n := named{i: i, it: it}
			n.missing, n.to, n.barred = s.swapRole(i, false)
			if w := s.after(i); !n.missing && (w == "for" || w == "instead") || s.before(i) == "only" { // "salted for unsalted butter"
				n.to, n.missing, all[k].missing = true, false, true
			}
			if n.missing || n.to {
				all = append(all, n)
			}
			break
		}
	}
	if len(all) == 0 || len(all) > 3 {
		return r, false
	}
	inRecipe := func(it *Item) bool {
		if len(r.q.Targets) == 0 || r.q.Targets[0].Recipe == nil {
			return false
		}
		m, _ := it.match(r.q.Targets[0].Recipe)
		return m != noMatch
	}
	missing := slices.IndexFunc(all, func(n named) bool { return n.missing && !n.barred })
	if missing < 0 {
		missing = slices.IndexFunc(all, func(n named) bool { return !n.to && !n.barred && inRecipe(&n.it) })
	}
	if missing < 0 {
		missing = slices.IndexFunc(all, func(n named) bool { return !n.to && !n.barred })
	}
	if missing >= 0 && !inRecipe(&all[missing].it) && !(all[missing].missing && s.saysWhich()) { // "swap caster for icing in the tuile", which has icing sugar
		if other := slices.IndexFunc(all, func(n named) bool { return !n.barred && inRecipe(&n.it) }); other >= 0 && len(all) == 2 {
			missing = other
		}
	}
	for k := range all {
		n := &all[k]
		r.used[n.i] = true
		switch {
		case k == missing:
			r.q.Items = append(r.q.Items, n.it)
		case n.barred:
			r.q.bar(n.it)
		case r.q.To == nil:
			it := n.it
			r.q.To = &it
		default:
			return r, false
		}
	}
	if r.q.To != nil && r.q.To.Larder == nil && len(r.q.Items) > 0 { // "no vanilla pods, only paste"
		if i := slices.IndexFunc(all, func(n named) bool { return n.it.Text == r.q.To.Text }); i >= 0 {
			if it, ok := s.sameFirst(&r.q.Items[0], all[i].i); ok {
				r.q.To = &it
			}
		}
	}
	if r.q.To != nil && len(r.q.Items) > 0 && len(r.q.Targets) == 1 && sameLines(r.q.To, &r.q.Items[0], r.q.Targets[0].Recipe) { // "3 leaves of gelatine"
		r.q.To = nil
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanQuantity || len(r.q.Items) == 0 {
			continue
		}
		switch d := sp.q.Q.Unit.Dim; {
		case d != quantity.Mass && d != quantity.Volume && !(d == quantity.None && (s.any(cueOnly) || s.someLeft())):
			continue
		case r.q.Have != nil: // "340 of 500 left": the second is what the recipe asks for
			r.used[i] = true
			continue
		}
		if missing >= 0 && !s.any(cueOnly) && !s.someLeft() && s.amountIn(&r, i, all[missing].i, func(j int) bool {
			return j >= 0 && slices.ContainsFunc(all, func(n named) bool { return n.i == j })
		}) {
			continue
		}
		if !s.any(cueOnly) && !s.someLeft() && !(s.next(i) >= 0 && s.span(s.next(i)).kind == spanName && len(r.q.Targets) == 0) {
			continue
		}
		q := sp.q.Q
		if q.Unit.Dim == quantity.None {
			q.Unit = quantity.G
			if len(r.q.Targets) == 1 { // "short of yolks, only 5"
				if n := s.countIn(sp.q.Q, &r.q.Items[0], r.q.Targets[0].Recipe); n.Unit.Symbol != "" {
					q = n
				}
			}
		}
		r.used[i] = true
		r.q.Have = &Given{Item: r.q.Items[0], Q: q}
	}
	return r, true
}

// swapRole tells from the words around a name what it is in a swap.
func (s *sense) swapRole(i int, first bool) (missing, to, barred bool) {
	from := s.span(i).from
	word := func(k int) string {
		if k < 0 || k >= len(s.l.tokens) {
			return ""
		}
		return s.l.tokens[k].plain
	}
	k := from - 1
	for k >= 0 && (slices.Contains(swapArticles, word(k)) || s.l.tokens[k].number || word(k) == "g" || word(k) == "kg" || word(k) == "ml" || word(k) == "l") {
		k--
	}
	switch w := word(k); w {
	case "of":
		switch word(k - 1) {
		case "instead", "place", "out", "lieu", "short", "shy":
			missing = true
		}
	case "no", "missing", "without", "lack", "lacking", "replace", "replacing", "replaced", "more", "got", "swap", "substitute", "sub", "subbing", "swapping", "change", "switch", "switching", "trade", "have":
		switch {
		case w == "sub", w == "substitute", w == "subbing": // "sub honey for sugar", "substitute sugar with honey"
			to = s.later(i, "for")
			missing = !to
		case w == "without" && !first, w == "no" && !first:
			barred = true
		case w == "got", w == "have":
			neg := slices.Contains(swapNegatives, word(k-1)) || word(k-2) == "can" && word(k-1) == "not"
			missing, to = neg, !neg
		default:
			missing = true
		}
	case "for":
		if word(k-1) == "alternative" || word(k-1) == "alternatives" {
			missing = true
			break
		}
		if !first { // "use milk for cream", but "swap cream for milk"
			if s.begins("swap", "change", "switch", "trade", "exchange") {
				to = true
			} else {
				missing = true
			}
		}
	case "not": // "almonds not hazelnuts"
		missing = !first
	case "than":
		missing = word(k-1) == "rather" || word(k-1) == "else" || word(k-1) == "other" // "something else than butter"
	case "with", "w", "by", "to", "use", "using", "into", "durch", "mit", "par", "con", "por":
		if w == "to" && (word(k-1) == "alternative" || word(k-1) == "alternatives") {
			missing = true
			break
		}
		to = !s.l.tokens[k+1].breaks // "what can i use, rye flour is finished"
	}
	after := word(s.span(i).to)
	switch after {
	case "ran", "run", "missing", "finished", "gone", "out", "is", "are", "left", "short", "86d":
		next := word(s.span(i).to + 1)
		if (after == "is" || after == "are") && (next == "all" || next == "run") {
			next = word(s.span(i).to + 2)
		}
		if after != "is" && after != "are" && after != "left" || next == "out" || next == "gone" || next == "finished" || next == "off" {
			missing = missing || !to
		}
	case "instead":
		to = !missing
	}
	return missing, to, barred
}

// swapNegatives make what stands behind "have" or "got" what is missing.
var swapNegatives = []string{"no", "not", "havent", "dont", "hasnt", "aint", "cant", "cannot", "doesnt", "isnt", "wont", "never"}

// saysWhich reports whether the words leave no doubt which of two is missing:
// "use milk for cream", but not "swap milk for cream".
func (s *sense) saysWhich() bool {
	return !s.begins("swap", "swapping", "substitute", "substituting", "sub", "subbing", "change", "switch", "switching", "trade", "exchange")
}

// later reports whether a word stands behind span i.
func (s *sense) later(i int, word string) bool {
	for k := s.span(i).to; k < len(s.l.tokens); k++ {
		if s.l.tokens[k].plain == word {
			return true
		}
	}
	return false
}

// begins reports whether one of the words stands anywhere before the first name.
func (s *sense) begins(words ...string) bool {
	end := len(s.l.tokens)
	if len(s.names) > 0 {
		end = s.span(s.names[0]).from
	}
	for i := range min(end, len(s.l.tokens)) {
		if slices.Contains(words, s.l.tokens[i].plain) {
			return true
		}
	}
	return false
}

// swapFollow adds to the last swap what a further line says: what must not come
// in, what is there instead.
func (s *sense) swapFollow(r reading) reading {
	if len(s.names) > 1 && (s.saysNone() || s.any(cueSwap)) {
		return r // a question of its own
	}
	without := s.any(cueWithout, cueNot, cueFree, cueAllergen, cueNo)
	s.takeBars(&r, s.bars(true))
	for _, i := range s.allergens {
		if without && !r.used[i] {
			r.used[i] = true
			r.q.Allergen = append(slices.Clone(r.q.Allergen), s.span(i).allergen)
		}
	}
	s.takeDiets(&r)
	if len(s.names) == 0 && len(r.q.Items) > 0 && (s.any(cueOnly) || s.hears("left", "have", "got")) { // "I only have 100 g left"
		for _, i := range s.quant {
			if sp := s.span(i); sp.kind == spanQuantity && sp.q.Ambiguous == nil && (sp.q.Q.Unit.Dim == quantity.Mass || sp.q.Q.Unit.Dim == quantity.Volume) && !r.used[i] {
				r.q.Have = &Given{Item: r.q.Items[0], Q: sp.q.Q}
				r.used[i] = true
			}
		}
	}
	for _, i := range s.names {
		it, ok := s.item(i)
		if r.used[i] || !ok {
			continue
		}
		if _, to, barred := s.swapRole(i, false); barred || without && !to {
			r.q.bar(it)
		} else {
			r.q.To = &it
		}
		r.used[i] = true
	}
	return r
}

// bar keeps an ingredient out, and the allergen of that name with it: who says
// "without milk" does not want butter.
func (q *Question) bar(it Item) {
	q.Exclude = append(slices.Clone(q.Exclude), it)
	if a, ok := it.Allergen(); ok {
		q.Allergen = append(slices.Clone(q.Allergen), a)
	}
}

// insteadOfSize reports whether "instead" speaks of a size or an amount, not of
// an ingredient: "instead of 2 batches do 4", "butter 310 g instead".
func (s *sense) insteadOfSize() bool {
	for _, i := range s.quant {
		sp := s.span(i)
		if w := s.after(i); w == "instead" && s.span(i).to+1 == len(s.l.tokens) {
			return true
		}
		if f := sp.from; f > 1 && sp.kind == spanFactor && s.l.tokens[f-1].plain == "of" && s.l.tokens[f-2].plain == "instead" {
			return true
		}
	}
	_, _, over := s.planned()
	return over || s.insteadOfMould()
}

// insteadOfMould reports whether "instead" speaks of another mould or pan: "in the
// muffin tin instead".
func (s *sense) insteadOfMould() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		return s.after(i) == "instead" && s.thingOf(i, kb.MouldName, kb.PanName) != nil
	})
}

// doubtsIn reports whether it is asked that something is not in a recipe: "no nuts
// in the crumble?", "no egg in the curd right".
func (s *sense) doubtsIn() bool {
	if !s.saysNone() || s.asksWhat() || s.any(cueSwap) || s.saysOf("left") || !strings.HasSuffix(strings.TrimSpace(s.l.text), "?") && !s.endsAsking() {
		return false
	}
	if len(s.names)+len(s.allergens) > 2 {
		return false // "no strong flour in the brioche, plain flour ok?"
	}
	for k := 2; k < len(s.l.tokens) && k < 5; k++ {
		if s.l.tokens[k].plain == "in" {
			return true
		}
	}
	return false
}

// inRecipeNamed reports whether "in" or "for" stands before a recipe written out.
func (s *sense) inRecipeNamed() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		o := s.recipesOf(i, 1)
		return len(o) > 0 && !o[0].part && !s.ofBook(i) && s.precededBy(i, cueIn, cueFor)
	})
}
