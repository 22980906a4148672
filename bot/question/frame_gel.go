package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// strength is a Bloom or a trade grade of the message, with what it counts.
type strength struct {
	from  int // token
	bloom quantity.Number
	grade string
	given *measured // "5" of "5 gold leaves", "10 g" of "10 g 200 bloom"
}

// strengths are the Blooms and grades of the message in order.
func (s *sense) strengths(ms []measured) []strength {
	var out []strength
	for _, m := range ms {
		if m.word == "bloom" {
			out = append(out, strength{from: s.span(m.i).from, bloom: m.n})
		}
	}
	for _, t := range s.terms("grade") {
		out = append(out, strength{from: t.from, grade: t.name})
	}
	slices.SortFunc(out, func(a, b strength) int { return a.from - b.from })
	out = slices.DeleteFunc(out, func(g strength) bool { // "gold 230 bloom": the figure is what is known
		return g.grade != "" && slices.ContainsFunc(out, func(o strength) bool {
			d := o.from - g.from
			return o.grade == "" && d != 0 && d >= -3 && d <= 3 && !s.brokenWords(min(o.from, g.from), max(o.from, g.from))
		})
	})
	for k := range ms {
		m := &ms[k]
		if m.word == "bloom" || m.dim != quantity.Mass && m.dim != quantity.None && m.dim != quantity.Count {
			continue
		}
		to := s.span(m.i).to
		for i := range out { // the strength that stands right behind the amount
			gap := out[i].from - to
			named := slices.ContainsFunc(s.names, func(n int) bool { // "40 creams with 180 bloom leaf" are creams
				return s.span(n).from >= to && s.span(n).to <= out[i].from && s.l.recipeAt(s.span(n)) && !s.inTerm(n, "agent", "form")
			})
			if out[i].given == nil && gap >= 0 && gap <= 3 && !named && !s.l.tokens[out[i].from].breaks {
				out[i].given = m
				break
			}
		}
	}
	return out
}

// brokenWords reports whether a comma, "or" or "instead" stands between two tokens.
func (s *sense) brokenWords(a, b int) bool {
	for k := a + 1; k <= b; k++ {
		if w := s.l.tokens[k].plain; s.l.tokens[k].breaks || w == "instead" || w == "for" || w == "or" || w == "not" || w == "to" || w == "vs" {
			return true
		}
	}
	return false
}

// strengthAt reports whether a bare number is the strength of a gelatine, and no
// size: "bloom 250", "200 bloom".
func (s *sense) strengthAt(i int) bool {
	sp := s.span(i)
	return sp.kind == spanQuantity && sp.q.Q.Unit.Symbol == "" && !sp.q.Q.N.Less(quantity.Int(50)) && sp.q.Q.N.Cmp(quantity.Int(300)) <= 0 && s.numberWord(i) == "bloom"
}

// blooms reads the second of two Blooms without its word: "160 bloom instead of 200".
func (s *sense) blooms(ms []measured) []measured {
	n := 0
	for _, m := range ms {
		if m.word == "bloom" {
			n++
		}
	}
	for k := range ms {
		m := &ms[k]
		if n != 1 || m.dim != quantity.None || m.word == "bloom" || m.n.Less(quantity.Int(50)) || m.n.Cmp(quantity.Int(300)) > 0 {
			continue
		}
		switch s.before(m.i) {
		case "is", "has", "says", "wants", "uses", "on", "takes":
			if !s.ofRecipe(s.span(m.i).from) {
				continue
			}
			m.word, m.of, m.ofAt = "bloom", nil, -1
			return ms
		case "of", "not", "to", "for", "from", "than", "the", "in", "into", "vs":
			m.word, m.of, m.ofAt = "bloom", nil, -1
			return ms
		}
	}
	return ms
}

// frameBloom: gelatine of another strength, in a recipe or by itself; leaves and powder.
func frameBloom(s *sense) []reading {
	ms := s.blooms(s.measures())
	st := s.strengths(ms)
	gel := s.says("agent", "gelatine")
	if len(st) == 1 && s.ownLeafWeighed() {
		return nil
	}
	forms := len(s.terms("form")) > 0 && s.says("form", "powder") && s.says("form", "leaf")
	powder := gel && s.says("form", "powder") && !s.any(cueHowmuch)
	if len(st) == 0 && !(gel && forms) && !(gel && s.otherLeaf()) && !powder || len(st) > 2 {
		return nil
	}
	if !gel && !slices.ContainsFunc(st, func(x strength) bool { return x.bloom.Sign() > 0 }) && !s.says("form") {
		return nil
	}
	about := "gel"
	if s.any(cueSwap) {
		about = "swap"
	}
	finish := func(r reading) reading {
		r.consumes = r.consumes.or(verbCues).with(cueSwap, cueGel, cueConvert, cueReduce, cueOnly, cueWith, cueThan, cuePiece, cueMoulds, cueSame, cueIn, cueChange, cueNot, cueUses, cueStir)
		if len(st) == 2 && (s.ofRecipe(st[0].from) || s.ofRecipe(st[1].from)) {
			r.consumes = r.consumes.with(cueCard, cueMethod)
		}
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "unit", "grade", "form")
		s.use(&r, s.termsNamed("ask", "bloom", "softer", "dosage", "make", "mix")...)
		for _, m := range ms {
			if m.word == "bloom" {
				r.used[m.i] = true
			}
		}
		s.unit(&r)
		if s.says("form", "powder") {
			r.q.Craft.Kind = "powder"
		}
		if s.any(cueHowmany) && s.says("form", "leaf") || s.countsLeaves() {
			r.q.Craft.State = "leaves"
		}
		return r
	}
	set := func(r *reading, fresh, old strength) {
		r.q.Craft.Bloom = []quantity.Number{fresh.bloom, old.bloom}
		r.q.Craft.Grades = []string{fresh.grade, old.grade}
	}
	fresh, old, which := s.oldAndNew(st)
	var out []reading
	for _, p := range s.picks() {
		if s.inTermAny(p.spans, "agent", "grade", "form") {
			continue
		}
		r := s.craftOf(WantBloom, about, "recipe", p)
		set(&r, fresh, old)
		r = finish(r)
		if len(st) == 0 {
			r.extra-- // of a strength that is asked back
			r.consumes = r.consumes.with(cueFewer, cueMakeable)
		}
		s.absorb(&r)
		out = append(out, s.sizedOn(r, p)...)
	}
	r := s.craft(WantBloom, about, "given")
	if !which && len(st) == 1 && st[0].given != nil { // "10 g of 200 bloom": what is asked is the house's own
		fresh, old = strength{}, st[0]
	}
	set(&r, fresh, old)
	amount := old.given
	if amount == nil {
		amount = fresh.given
	}
	if amount == nil {
		for k := range ms {
			if m := &ms[k]; m.word != "bloom" && (m.dim == quantity.Mass || m.dim == quantity.None && (m.word == "leaf" || m.word == "sheet" || gel) || m.dim == quantity.Count) {
				amount = m
				break
			}
		}
	}
	if amount != nil && !s.recipeNamed("agent", "grade", "form") {
		r.used[amount.i] = true
		if amount.ofAt >= 0 && s.inTerm(amount.ofAt, "agent", "grade", "form") {
			r.used[amount.ofAt] = true
		}
		if amount.dim == quantity.Mass {
			r.q.Craft.Amounts = []Given{{Q: amount.q}}
		} else {
			r.q.Craft.Counts = []quantity.Number{amount.n}
		}
		r = finish(r)
		r.extra -= 2
		out = append(out, r)
	}
	return out
}

// otherLeaf tells "another leaf", "a different gelatine": of a strength that is not said.
func (s *sense) otherLeaf() bool {
	for _, t := range s.l.tokens {
		switch t.plain {
		case "another", "different", "other", "unknown", "unmarked", "ungraded", "noname":
			return true
		}
	}
	return false
}

func (s *sense) countsLeaves() bool {
	for i := range s.p.spans {
		if s.span(i).kind == spanCue && s.span(i).cues.has(cueHowmany) && s.next(i) >= 0 {
			j := s.next(i)
			return s.inTerm(j, "form", "grade") || s.inTerm(j, "agent") && strings.Contains(s.text(j), "lea")
		}
	}
	return false
}

func (s *sense) inTermAny(spans []int, kinds ...string) bool {
	return slices.ContainsFunc(spans, func(i int) bool { return s.inTerm(i, kinds...) })
}

// oldAndNew sorts the strengths into the one to be used and the one it stands
// for; which is false where nothing says which is which.
func (s *sense) oldAndNew(st []strength) (fresh, old strength, which bool) {
	between := func(a, b int, words ...string) bool {
		for k := a; k < b; k++ {
			if slices.Contains(words, s.l.tokens[k].plain) {
				return true
			}
		}
		return false
	}
	switch len(st) {
	case 0:
		return
	case 1:
		before := strings.Builder{}
		for _, t := range s.l.tokens[:st[0].from] {
			before.WriteString(" " + t.plain)
		}
		if strings.HasSuffix(before.String(), " instead of") || strings.Contains(before.String(), " not the ") {
			return strength{}, st[0], true
		}
		if st[0].given != nil && !s.saidTo(st[0].given.i) {
			return strength{}, st[0], false
		}
		return st[0], strength{}, true
	}
	a, b := st[0], st[1]
	switch { // "gelatine is 200 bloom today, recipe is 180"
	case s.ofRecipe(a.from) && !s.ofRecipe(b.from):
		return b, a, true
	case s.ofRecipe(b.from) && !s.ofRecipe(a.from):
		return a, b, true
	}
	switch {
	case between(a.from, b.from, "instead", "place", "rather", "not", "replaces", "replace", "than"):
		return a, b, true
	case a.given != nil && b.given == nil:
		return b, a, true
	case b.given != nil && a.given == nil:
		return a, b, true
	case between(a.from, b.from, "to", "into", "for", "in", "with", "as", "by", "vs"):
		return b, a, true
	case between(0, a.from, "have", "got", "with", "using", "only"):
		return a, b, true
	}
	return b, a, true
}

// ofRecipe reports whether a number at token k is told to be the recipe's or the
// book's: "recipe is 180", "the book says 240".
func (s *sense) ofRecipe(k int) bool {
	for j := k - 1; j >= max(0, k-4); j-- {
		switch s.l.tokens[j].plain {
		case "recipe", "recipes", "book", "books", "card":
			return true
		}
		if s.l.tokens[j+1].breaks {
			return false
		}
	}
	return false
}

// frameSoak: the water that soaked gelatine carries.
func frameSoak(s *sense) []reading {
	if !s.says("ask", "soak") || !s.says("agent", "gelatine") || s.any(cueHowlong, cueSwap) {
		return nil
	}
	ms := s.measures()
	finish := func(r reading) reading {
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "thing", "form")
		s.use(&r, s.termsNamed("ask", "soak", "left", "weigh small", "bloom")...)
		r.consumes = r.consumes.with(cueVerbInfuse, cueGel, cueExtra, cueYield)
		return r
	}
	var out []reading
	r := s.craft(WantSoak, "gel", "given")
	for _, m := range ms {
		switch {
		case len(r.q.Craft.Amounts)+len(r.q.Craft.Counts) > 0:
		case m.dim == quantity.Mass:
			r.q.Craft.Amounts = []Given{{Q: m.q}}
			r.used[m.i] = true
		case m.dim == quantity.None:
			r.q.Craft.Counts = []quantity.Number{m.n}
			r.used[m.i] = true
		}
	}
	if len(r.q.Craft.Amounts)+len(r.q.Craft.Counts) > 0 {
		r = finish(r)
		out = append(out, r)
	}
	if len(out) == 0 {
		for _, p := range s.picks() {
			if s.inTermAny(p.spans, "agent", "form") {
				continue
			}
			r := finish(s.craftOf(WantSoak, "gel", "recipe", p))
			out = append(out, s.sized(r, p)...)
		}
	}
	return out
}

// frameGelCompare: gelatine in the water phase; softer or firmer than another of the house.
func frameGelCompare(s *sense) []reading {
	compare := s.says("ask", "softer")
	share := s.says("ask", "share") && s.says("agent", "gelatine") || s.any(cueGel) && s.says("agent", "gelatine") && s.any(cuePercent)
	if !compare && !share || s.any(cueSwap) || s.says("unit", "bloom") || s.says("kind") {
		return nil
	}
	ms := s.measures()
	var out []reading
	for _, p := range s.picks() {
		if s.inTermAny(p.spans, "agent", "form", "thing") {
			continue
		}
		r := s.craftOf(WantGelCompare, "gel", "share", p)
		if compare {
			r.q.Craft.Topic = "compare"
		}
		for _, m := range ms {
			if m.dim == quantity.Mass || m.dim == quantity.Volume {
				s.take(&r, m)
			}
		}
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "form")
		s.use(&r, s.termsNamed("ask", "softer", "share", "set", "bloom")...)
		if len(r.q.Craft.Amounts) == 0 && len(s.terms("thing")) > 0 {
			s.use(&r, s.termsNamed("thing", "water", "liquid")...)
		}
		r.consumes = r.consumes.or(verbCues).with(cueGel, cuePercent, cueThan, cueSame, cueFewer, cueWaterword, cueFrom, cueExtra, cueStock)
		if len(s.terms("agent")) == 0 && len(p.targets) < 2 {
			r.extra += 2
		}
		out = append(out, r)
	}
	return out
}
