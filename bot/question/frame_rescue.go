package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Rescue is what went wrong, as far as numbers say it.
type Rescue struct {
	Poured []Poured
	AllIn  bool // everything else is in already
	Forgot bool // Items[0] was forgotten
	// Short is how much of it was forgotten, or ShortShare of what should go in;
	// both nil: all.
	Short      *quantity.Quantity
	ShortShare *quantity.Number
	State      string // where the product is now, a word of calc/rescue; "" if not said
	// Have and Want are a reading and what it should be, in Unit: °Bx or %.
	Have, Want *quantity.Number
	Unit       quantity.Unit
}

// Poured is how much of an ingredient went in, and how much should have.
type Poured struct {
	Item    Item
	Q       quantity.Quantity
	Factor  *quantity.Number // so many times what was wanted, in place of Q
	Wanted  *quantity.Quantity
	Instead *Item // what should have gone in
}

// frameRescue: something went wrong with a recipe.
func frameRescue(s *sense) []reading {
	if s.ordersBook() || s.l.says("for", "good") || s.l.says("from", "now", "on") || s.saysOf("permanently") {
		return nil // "save that": the change, not the batch
	}
	undone := s.leftUndone()
	wrong := s.any(cueRescue) || undone
	wrongly := s.overFigure()
	poured := s.pouredWords() || wrongly
	twice := s.twiceDeed()
	if s.timesTooMuch() || twice {
		wrong, poured = true, true
	}
	over := !wrong && s.toAdd()
	brix := s.any(cueBrixword) || slices.ContainsFunc(s.quant, func(i int) bool {
		return s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.Brix
	})
	misread := brix && (s.hears("wants", "target") || s.nearly("should", "supposed")) && len(s.quant) > 1
	out := append(s.whereNow(), s.howMuchIn()...)
	if wrong && len(s.quant) == 0 {
		out = append(out, s.chefsFault()...)
	}
	if !wrong && !poured && !misread && !over {
		return append(out, s.chefsFault()...)
	}
	for _, p := range s.picks() {
		r := s.start(WantRescue, "rescue", p)
		r.consumes = r.consumes.or(verbCues).or(sizeCues).with(cueRescue, cueHelp, cueMethod, cueBatchsplit, cueHowmuch, cueContain, cueOnly, cueNot, cueNo, cueSwap, cueChange,
			cueReading, cueBrixword, cueMoulds, cueFill, cueUsable, cueOven, cueWithout, cueExtra, cueCore, cueTemp, cueStart, cueWent, cueSetready, cueWhy, cueThat, cuePercent, cueModifier, cueNet, cueGel)
		if wrongly {
			r.consumes = r.consumes.with(cueCard, cueTotal, cueUses, cueAll, cueHowmany, cueHalf)
		}
		forgot := s.hears("forgot", "forgotten", "forget", "missed", "omitted", "without") && !s.otherDeed() || undone
		switch {
		case forgot && wrong:
			if f, ok := s.forgotten(r); ok {
				if undone {
					f.consumes = f.consumes.with(cueUnsafe, cueNever, cueOnly)
					f.extra -= 6
				}
				out = append(out, f)
				continue
			}
		default:
			if f, ok := s.overPoured(r); ok {
				if over {
					switch {
					case tooMuch(&f.q):
						f.extra -= 8
					case !poured:
						continue // it limits the batch
					}
				}
				if s.timesTooMuch() || twice {
					f.extra -= 8
				}
				if len(f.q.Rescue.Poured) == 1 && f.q.Rescue.Poured[0].Wanted != nil && (s.any(cueSwap, cueNot) || wrongly) { // "put 300 instead of 250": it has happened
					f.extra -= 6
				}
				out = append(out, f)
				continue
			}
			if f, ok := s.misread(r); ok {
				out = append(out, f)
				continue
			}
		}
		if !wrong {
			continue
		}
		s.absorb(&r)
		for _, i := range s.quant {
			r.used[i] = true
			r.extra += 2
		}
		out = append(out, r)
	}
	return out
}

// chefsFault reads "my panna cotta is wobbly", where the recipe itself says what
// to do if it is: a word of that which means nothing else here.
func (s *sense) chefsFault() []reading {
	if s.any(cueHowmuch, cueHowmany, cueHowlong, cueTemp) {
		return nil
	}
	var out []reading
	for _, p := range s.picksOfOne() {
		r := s.start(WantRescue, "rescue", p)
		found := false
		of := p.targets[0].Recipe
		whole := s.wholeFault(of)
		for i := range s.p.spans {
			sp := s.span(i)
			if whole != nil && !slices.Contains(r.targets, i) && sp.kind != spanQuantity && s.saidFault(i, whole) {
				r.used[i], found = true, true
				if sp.kind == spanCue {
					r.consumes = r.consumes.or(sp.cues)
				}
				continue
			}
			if sp.kind == spanUnused && !ownLine(of, s.l.tokens[sp.from].fold) && slices.ContainsFunc(of.If, func(f recipe.Remedy) bool {
				return slices.ContainsFunc(name.Words(f.Fault), func(w string) bool { return IsFault(w, []string{s.l.tokens[sp.from].fold}) })
			}) {
				r.used[i], found = true, true
			}
		}
		if !found {
			continue
		}
		if whole != nil {
			r.extra -= 3
		}
		r.consumes = r.consumes.or(verbCues).or(sizeCues).with(cueHelp, cueSetready, cueThat, cueNot, cueNo, cueContain, cueMethod, cueWhy, cueWent, cueRescue)
		for _, i := range s.quant { // "after 6 hours"
			r.used[i] = r.used[i] || s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.Time
		}
		out = append(out, r)
	}
	return out
}

// IsFault reports whether a word of a recipe's own fault is among the words said,
// in another form perhaps: "wobbly", "wobbles".
func IsFault(w string, said []string) bool {
	switch {
	case len(w) < 3, w == "the", w == "too", w == "and", w == "not", w == "has", w == "for", w == "all", w == "its", w == "are", w == "was", w == "but", w == "out", w == "set", w == "mix":
		return false
	case len(w) == 3:
		return slices.Contains(said, w)
	}
	return slices.ContainsFunc(said, func(s string) bool {
		return s == w || (len(s) > 4 || len(w) == 4) && strings.HasPrefix(s, w[:4]) && strings.HasPrefix(w, s[:min(4, len(s))])
	})
}

// twiceSaid reports whether factor i only says once more what two amounts say: "2x
// salt (24 g instead of 12)".
func (s *sense) twiceSaid(i int) bool {
	var ns []quantity.Number
	for _, j := range s.quant {
		if sp := s.span(j); sp.kind == spanQuantity && sp.q.Ambiguous == nil && sp.q.Hi == nil {
			ns = append(ns, sp.q.Q.N)
		}
	}
	return len(ns) == 2 && ns[1].Sign() > 0 && ns[0].Equal(ns[1].Mul(s.span(i).factor))
}

// whereNow goes on from a forgotten ingredient: "it's baked".
func (s *sense) whereNow() []reading {
	if s.ctx == nil || s.ctx.Pending == nil || s.ctx.Pending.Want != WantRescue || !s.ctx.Pending.Rescue.Forgot || len(s.quant) > 0 {
		return nil
	}
	state := s.state()
	if state == "" {
		return nil
	}
	r := s.reading(WantRescue, "rescue")
	r.q = *s.ctx.Pending
	r.q.Say, r.q.FromTalk = s.l.text, true
	r.q.Rescue.State = state
	for i := range s.p.spans {
		r.used[i] = true
	}
	r.consumes = plainCues.or(verbCues).with(cueMoulds, cueFill, cueOven, cueSetready, cueWent, cueTemp, cueStart, cueNet)
	r.extra = -2
	return []reading{r}
}

// howMuchIn goes on from what was poured: "200 g".
func (s *sense) howMuchIn() []reading {
	if s.ctx == nil || s.ctx.Pending == nil || s.ctx.Pending.Want != WantRescue || len(s.quant) != 1 || len(s.names) > 0 {
		return nil
	}
	sp := s.span(s.quant[0])
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Q.Unit.Dim != quantity.Mass && sp.q.Q.Unit.Dim != quantity.Volume {
		return nil
	}
	at := slices.IndexFunc(s.ctx.Pending.Rescue.Poured, func(p Poured) bool { return p.Q.Unit.Symbol == "" && p.Factor == nil })
	again := at < 0 && s.ctx.Pending.Rescue.Forgot && s.ctx.Pending.Rescue.Short != nil
	if at < 0 && !again {
		return nil
	}
	r := s.reading(WantRescue, "rescue")
	r.q = *s.ctx.Pending
	r.q.Say, r.q.FromTalk = s.l.text, true
	if again { // more than the book has was said to be missing
		q := sp.q.Q
		r.q.Rescue.Short = &q
	} else {
		r.q.Rescue.Poured = slices.Clone(r.q.Rescue.Poured)
		r.q.Rescue.Poured[at].Q = sp.q.Q
	}
	r.used[s.quant[0]] = true
	r.consumes = plainCues.or(verbCues).with(cueWent, cueIn)
	r.extra = -2
	return []reading{r}
}

// pouredWords reports whether the message says that something went in.
func (s *sense) pouredWords() bool {
	return (len(s.quant) > 0 || len(s.names) > 2) && s.hears("poured", "pour", "put", "added", "dumped", "tipped", "threw", "chucked", "weighed", "went") && (s.any(cueSwap, cueNot, cueRescue) || s.hears("shouldve", "meant") || s.nearly("should", "supposed"))
}

// toAdd reads "i put 30 g salt in one smoked butter, how much butter to add": what
// went into a batch that stands there, and what is to go to it still.
func (s *sense) toAdd() bool {
	t := s.l.tokens
	k := slices.IndexFunc(t, func(w token) bool {
		return slices.Contains([]string{"put", "poured", "added", "dumped", "tipped", "threw", "chucked"}, w.plain)
	})
	if k < 0 || !s.hears("much") && !s.any(cueHowmuch) || len(s.quant) == 0 || s.span(s.quant[0]).from < k {
		return false
	}
	if t[k].plain == "put" && (k == 0 || !slices.Contains([]string{"i", "we", "he", "she", "they", "someone", "somebody", "ive", "weve", "have", "has"}, t[k-1].plain)) {
		return false // an order
	}
	in := slices.ContainsFunc(t[k:], func(w token) bool { return w.plain == "in" || w.plain == "into" || w.plain == "to" })
	more := false
	for j := k + 1; j < len(t); j++ {
		switch t[j].plain {
		case "add":
			more = more || t[j-1].plain == "to" || t[j-1].plain == "i" || t[j-1].plain == "we"
		case "more", "extra", "further":
			more = more || t[j-1].plain == "much"
		}
	}
	return in && more
}

// tooMuch reports whether what went in is more than the recipe has of it.
func tooMuch(q *Question) bool {
	t := &q.Targets[0]
	factor := one
	switch t.Scale.Kind {
	case ScaleNone:
	case ScaleFactor:
		factor = t.Scale.N
	default:
		return false
	}
	if len(q.Rescue.Poured) != 1 || len(q.Items) != 1 || q.Rescue.Poured[0].Q.Unit.Dim != quantity.Mass {
		return false
	}
	lines, _ := q.Rescue.Poured[0].Item.Lines(t.Recipe)
	sum := quantity.Number{}
	for _, l := range lines {
		if !l.HasGrams {
			return false
		}
		sum = sum.Add(l.Grams.Mul(factor))
	}
	return len(lines) > 0 && sum.Less(q.Rescue.Poured[0].Q.Base())
}

// timesTooMuch reads "ten times the salt in the crumble": nobody makes ten
// batches of salt.
func (s *sense) timesTooMuch() bool {
	if s.any(cueHowmuch, cueHowmany) || len(s.quant) != 1 || s.span(s.quant[0]).kind != spanFactor {
		return false
	}
	t := s.l.tokens
	if s.didTwice() {
		return true
	}
	if !slices.ContainsFunc(t[1:], func(w token) bool { return w.plain == "times" }) || !s.hears("the") || s.span(s.quant[0]).factor.Less(quantity.Int(2)) {
		return false
	}
	i := s.next(s.quant[0])
	if i < 0 || s.span(i).kind != spanName {
		return false
	}
	if s.precededBy(s.quant[0], cueFor) && s.l.recipeAt(s.span(i)) {
		return false // "salt for 4 times the house loaf"
	}
	if len(s.names) > 1 && !s.l.ingredientAt(s.span(i)) && s.names[len(s.names)-1] > i && !s.joins(i, s.names[len(s.names)-1]) {
		return false // "three times the milk ice, sugar" is of the ice
	}
	_, ok := s.item(i)
	return ok
}

// putInstead reads "put 300 sugar instead of 250": that is no wish, it has happened.
func (s *sense) putInstead() bool {
	if !s.hears("put", "poured", "tipped", "dumped") {
		return false
	}
	t := s.l.tokens
	for k := 2; k < len(t); k++ {
		if t[k].number && t[k-1].plain == "of" && t[k-2].plain == "instead" {
			return true
		}
	}
	return false
}

// hears reports whether one of the words stands in the message.
func (s *sense) hears(words ...string) bool {
	return slices.ContainsFunc(s.l.tokens, func(t token) bool { return slices.Contains(words, t.plain) })
}

// nearly is hears, where a letter may be wrong: "shuld".
func (s *sense) nearly(words ...string) bool {
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		return slices.ContainsFunc(words, func(w string) bool { _, ok := name.Slips(w, t.plain, 1); return ok })
	})
}

// forgotten reads "forgot the gelatine, it's in the moulds".
func (s *sense) forgotten(r reading) (reading, bool) {
	r = r.clone()
	for _, i := range s.names {
		if r.used[i] {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		if m, _ := it.match(r.q.Targets[0].Recipe); m == noMatch {
			continue
		}
		r.used[i] = true
		if len(r.q.Items) == 0 {
			r.q.Items = []Item{it}
		}
	}
	if len(r.q.Items) == 0 {
		return r, false
	}
	r.q.Rescue.Forgot = true
	r.q.Rescue.State = s.state()
	for _, i := range s.names { // "in the dome 45"
		if !s.l.counts(s.span(i).from) { // "half the sugar", where the larder has "half"
			r.used[i] = true
		}
	}
	for _, i := range s.quant { // "half the sugar", "40 g of the sugar"
		sp := s.span(i)
		next := s.next(i)
		if next < 0 || s.span(next).kind != spanName || !r.used[next] || r.q.Items[0].Text != s.text(next) {
			continue
		}
		switch d := sp.q.Q.Unit.Dim; {
		case sp.kind == spanFactor && sp.factor.Less(one) && sp.factor.Sign() > 0:
			n := sp.factor
			r.q.Rescue.ShortShare = &n
		case sp.kind == spanQuantity && sp.q.Ambiguous == nil && sp.q.Hi == nil && (d == quantity.Mass || d == quantity.Volume || d == quantity.None):
			q := sp.q.Q
			r.q.Rescue.Short = &q
		default:
			continue
		}
		r.used[i] = true
		r.extra -= 4 // no size of the recipe
	}
	return r, true
}

// state is where the product is now, from the words of the message.
func (s *sense) state() string {
	words := []struct {
		state string
		any   []string
	}{
		{"baked", []string{"baked", "oven"}},
		{"frozen", []string{"frozen", "freezer", "churned", "churning", "froze"}},
		{"in moulds", []string{"mould", "moulds", "mold", "molds", "poured", "tins", "ring", "rings", "cups", "glasses", "frame", "filled"}},
		{"in jars", []string{"jar", "jars", "bottled", "bottle", "bottles"}},
		{"set", []string{"set", "setting", "gelled"}},
		{"foam", []string{"foam", "whipped", "folded", "mousse", "fold", "whipping"}},
		{"fermenting", []string{"fermenting", "fermented"}},
		{"shaped dough", []string{"shaped", "proofing", "rolled"}},
		{"dough", []string{"dough", "kneaded", "mixing"}},
		{"batter", []string{"batter"}},
		{"curing", []string{"curing", "cure"}},
		{"hot liquid", []string{"hot", "boiling", "boiled", "stove", "heat", "warm"}},
		{"cold liquid", []string{"cold", "chilled", "cooled", "fridge", "resting", "rested", "liquid"}},
		{"cooked", []string{"cooked"}},
	}
	for _, w := range words {
		if s.hears(w.any...) {
			return w.state
		}
	}
	return ""
}

// overPoured reads "40 g salt in the crumble, not 4", "poured cream instead of milk", "double the salt by mistake".
func (s *sense) overPoured(r reading) (reading, bool) {
	r = r.clone()
	rec := r.q.Targets[0].Recipe
	type amount struct {
		i int
		q quantity.Quantity
	}
	var free []amount
	for _, i := range s.quant {
		sp := s.span(i)
		switch {
		case r.used[i]:
		case sp.kind == spanFactor:
			if len(s.quant) > 1 && r.q.Targets[0].Scale.Kind == ScaleNone && slices.Contains(r.targets, s.next(i)) { // "300 g instead of 250 in 2x crumble"
				r.q.Targets[0].Scale = Scale{Kind: ScaleFactor, N: sp.factor, Text: s.text(i)}
				r.used[i] = true
			} else if s.twiceSaid(i) {
				r.used[i] = true
			}
		case s.before(i) == "for" && sp.q.Q.Unit.Symbol == "" && sp.q.Ambiguous == nil && r.q.Targets[0].Scale.Kind == ScaleNone && sp.q.Q.N.Sign() > 0: // "in the soup for 20"
			r.q.Targets[0].Scale = Scale{Kind: ScaleFor, N: sp.q.Q.N, Text: s.text(i)}
			r.used[i] = true
		case sp.q.Ambiguous != nil || sp.q.Q.Unit.Dim == quantity.Temperature || sp.q.Q.Unit.Dim == quantity.Time || sp.q.Q.Unit.Dim == quantity.Brix:
			return r, false
		default:
			free = append(free, amount{i, sp.q.Q})
		}
	}
	var like quantity.Quantity // the amount with a unit
	for _, a := range free {
		if a.q.Unit.Dim == quantity.Mass || a.q.Unit.Dim == quantity.Volume {
			like = a.q
			break
		}
	}
	withUnit := func(q quantity.Quantity) quantity.Quantity {
		if q.Unit.Dim == quantity.None || q.Unit.Dim == quantity.Length { // "186 in the base"
			q.Unit = bareUnit(q.N, like)
		}
		return q
	}
	var items []int
	for _, i := range s.names {
		if r.used[i] {
			continue
		}
		if _, ok := s.item(i); ok {
			items = append(items, i)
		}
	}
	if p, spans, ok := s.byDeed(rec); ok && (len(free) > 0 || s.twiceDeed()) && len(free) < 3 { // "salted the brine with 150 g instead of 120"
		for _, i := range s.quant { // "double salted … 12 g in"
			if sp := s.span(i); sp.kind == spanFactor && !r.used[i] && s.twiceDeed() {
				n := sp.factor
				r.used[i], p.Factor = true, &n
			}
		}
		if len(free) > 0 {
			p.Q, p.Factor = withUnit(free[0].q), nil
			r.used[free[0].i] = true
			free = free[1:]
		}
		for _, i := range spans {
			r.used[i] = true
		}
		r.q.Rescue.AllIn = s.allIn()
		r.q.Rescue.Poured = append(r.q.Rescue.Poured, p)
	}
	for n, i := range items {
		it, _ := s.item(i)
		m, _ := it.match(rec)
		var p Poured
		p.Item = it
		if s.allIn() {
			r.q.Rescue.AllIn = true
		}
		for k, a := range free { // the number before the name, or right behind it
			if nx := s.nextBut(a.i, cueExtra); nx == i || s.prev(a.i) == i && (nx < 0 || a.i == i+1 && s.span(nx).kind == spanCue) {
				if p.Q = s.countIn(a.q, &it, rec); p.Q.Unit.Symbol == "" {
					p.Q = withUnit(a.q)
				}
				r.used[a.i] = true
				free = slices.Delete(free, k, k+1)
				break
			}
		}
		if p.Q.Unit.Symbol == "" {
			for _, f := range s.quant {
				if sp := s.span(f); sp.kind == spanFactor && !r.used[f] && (s.next(f) == i || len(items) == 1) {
					n := sp.factor
					p.Factor = &n
					r.used[f] = true
					break
				}
			}
		}
		missing, _, _ := s.swapRole(i, n == 0)
		missing = missing && !(s.before(i) == "more" && s.hears("much")) // "how much more butter"
		switch {
		case missing && len(r.q.Rescue.Poured) > 0: // "cream instead of milk"
			last := &r.q.Rescue.Poured[len(r.q.Rescue.Poured)-1]
			last.Instead = &it
			r.used[i] = true
			continue
		case m == noMatch && p.Q.Unit.Symbol == "" && p.Factor == nil && len(items) == 1:
			return r, false
		}
		if p.Q.Unit.Symbol == "" && p.Factor == nil && n == 0 && (len(items) == 1 || len(items) == 2 && s.precededBy(items[1], cueHowmuch) || s.behindFigures(items[1])) && len(free) == 2 && s.any(cueNot, cueSwap, cueRescue) { // "too much salt, 20 instead of 8 g"
			w := withUnit(free[1].q)
			p.Q, p.Wanted = withUnit(free[0].q), &w
			if q := s.countIn(free[0].q, &it, rec); q.Unit.Symbol != "" && free[1].q.Unit.Symbol == "" {
				w = quantity.Of(free[1].q.N, q.Unit)
				p.Q = q
			}
			r.used[free[0].i], r.used[free[1].i] = true, true
			free = nil
		}
		if p.Q.Unit.Symbol == "" && p.Factor == nil && (n+1 >= len(items) || m != noMatch && len(r.q.Rescue.Poured) > 0 && (s.askedHere(i) || s.behindFigures(i))) {
			if m != noMatch && len(r.q.Rescue.Poured) > 0 && (s.askedHere(i) || i == len(s.p.spans)-1 || s.any(cueHowmuch) || s.behindFigures(i)) { // "…, can I save it? flour?", "…, how much flour to fix it"
				r.used[i] = true
				r.q.Items = append(r.q.Items, it)
			}
			continue
		}
		if m == noMatch && it.Larder == nil {
			r.extra += 6 // the "base" of "ice cream base" is no food
		}
		r.used[i] = true
		r.q.Rescue.Poured = append(r.q.Rescue.Poured, p)
	}
	if len(r.q.Rescue.Poured) == 0 {
		return r, false
	}
	for k, a := range free { // "not 4", "instead of 250"
		if k > 0 || len(r.q.Rescue.Poured) != 1 {
			return r, false
		}
		w := withUnit(a.q)
		if u := r.q.Rescue.Poured[0].Q.Unit; u.Equal(quantity.Each) && a.q.Unit.Symbol == "" {
			w = quantity.Of(a.q.N, u)
		}
		r.q.Rescue.Poured[0].Wanted = &w
		r.used[a.i] = true
	}
	return r, true
}

// bareUnit is the unit of a number without one beside an amount that has one: "1
// kg … not 900" are grams, "1 kg … not 2" are kilos.
func bareUnit(n quantity.Number, like quantity.Quantity) quantity.Unit {
	u := like.Unit
	if u.Symbol == "" {
		return quantity.G
	}
	small := n.Less(quantity.Int(10))
	switch {
	case u.Equal(quantity.KG) && !small:
		return quantity.G
	case u.Equal(quantity.L) && !small:
		return quantity.ML
	case u.Equal(quantity.G) && n.Less(one) && !like.N.Less(n.Mul(quantity.Int(100))): // "300 g … not 0.3"
		return quantity.KG
	case u.Equal(quantity.ML) && n.Less(one) && !like.N.Less(n.Mul(quantity.Int(100))):
		return quantity.L
	}
	return u
}

// misread reads "reads 34 brix, should be 28".
func (s *sense) misread(r reading) (reading, bool) {
	var found []int
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
			continue
		}
		switch sp.q.Q.Unit.Dim {
		case quantity.Brix, quantity.Share, quantity.None:
			found = append(found, i)
		case quantity.Mass, quantity.Volume:
		default:
			return r, false
		}
	}
	brix := s.any(cueBrixword) || slices.ContainsFunc(found, func(i int) bool { return s.span(i).q.Q.Unit.Dim == quantity.Brix })
	if len(found) != 2 || !brix && !slices.ContainsFunc(found, func(i int) bool { return s.span(i).q.Q.Unit.Dim == quantity.Share }) {
		return r, false
	}
	r = r.clone()
	have, want := s.span(found[0]).q.Q.N, s.span(found[1]).q.Q.N
	r.q.Rescue.Have, r.q.Rescue.Want = &have, &want
	if brix {
		r.q.Rescue.Unit = quantity.BrixDegree
	}
	r.used[found[0]], r.used[found[1]] = true, true
	for _, i := range s.quant {
		if sp := s.span(i); !r.used[i] && sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Mass {
			r.q.Targets[0].Scale = Scale{Kind: ScaleMass, N: sp.q.Q.Base(), Text: s.text(i)}
			r.used[i] = true
			break
		}
	}
	s.absorb(&r)
	return r, true
}
