package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// sizeCues are words that belong to a size, whatever is asked.
var sizeCues = cueSet{}.with(cueBatch, cueOnebatch, cueEnough)

// sized returns the reading with every number put to use as a size of its
// targets, in each way that makes sense; what fits nowhere stays unused.
func (s *sense) sized(r reading, p pick) []reading {
	if f, ok := s.framed(r, p); ok {
		r = f
	}
	out := []reading{r}
	for _, i := range s.quant {
		if r.used[i] || s.strengthAt(i) {
			continue
		}
		if len(out) == 1 { // mostly, and a reading is large
			if out[0].used[i] {
				continue
			}
			if roles := s.roles(out[0], p, i); len(roles) > 0 {
				out = roles
			}
			continue
		}
		var next []reading
		for _, have := range out {
			if have.used[i] {
				next = append(next, have)
				continue
			}
			roles := s.roles(have, p, i)
			next = append(next, roles...)
			if len(roles) == 0 {
				next = append(next, have)
			}
		}
		if len(next) > 16 {
			slices.SortStableFunc(next, func(a, b reading) int { return a.extra - b.extra })
			next = next[:16]
		}
		out = next
	}
	for k := range out {
		out[k].consumes = out[k].consumes.or(sizeCues)
		s.oneMore(&out[k])
		s.onePiece(&out[k])
		s.allMoulds(&out[k], p)
		if ts := out[k].q.Targets; len(ts) == 1 && ts[0].Part && !p.talk && filledIn(ts[0].Recipe, ts[0].Scale.Mould) { // the mould says which is meant
			out[k].extra -= costIngredient
		}
	}
	return out
}

// target returns which of the pick's targets number i belongs to: the one
// right behind it, else the last before it, else the first.
func (s *sense) target(p pick, i int) int {
	best := 0
	for k, sp := range p.spans {
		if sp > i {
			if s.next(i) == sp || s.nextBut(i, cueCovers, cuePiece, cueBatch, cuePortion) == sp {
				return min(k, len(p.targets)-1) // one name may be written in two places
			}
			break
		}
		best = k
	}
	return min(best, len(p.targets)-1)
}

// nextBut is next, passing over one span with the given cues.
func (s *sense) nextBut(i int, cs ...cue) int {
	j := s.next(i)
	if j >= 0 && s.span(j).kind == spanCue && s.span(j).cues.meets(cueSet{}.with(cs...)) {
		return s.next(j)
	}
	return j
}

func (s *sense) roles(r reading, p pick, i int) []reading {
	sp := s.span(i)
	if len(p.targets) == 0 {
		return nil
	}
	k := s.target(p, i)
	var out []reading
	put := func(sc Scale, cost int, spans ...int) {
		c := r.clone()
		if c.q.Targets[k].Scale.Kind != ScaleNone {
			if sc.Kind == ScaleGiven && c.q.Targets[k].Scale.Kind == ScaleGiven {
				sc.Given = append(slices.Clone(c.q.Targets[k].Scale.Given), sc.Given...)
			} else if c.q.Targets[k].Scale.Kind == sc.Kind && len(p.targets) == 1 && s.more(i) {
				sc.N = sc.N.Add(c.q.Targets[k].Scale.N) // "12 pieces + 12 more"
			} else if was := c.q.Targets[k].Scale; sc.Kind == ScaleFactor && (was.Kind == ScaleCount || was.Kind == ScalePieces) && sp.kind == spanFactor && len(p.targets) == 1 && s.prev(i) >= 0 && slices.Contains(p.spans, s.prev(i)) { // "24 inserts x2"
				was.N = was.N.Mul(sc.N)
				sc = was
			} else if was := c.q.Targets[k].Scale; was.Kind != sc.Kind || was.Mould == sc.Mould && !was.N.Equal(sc.N) || len(p.targets) > 1 {
				return // which of two sizes is meant is not ours to choose
			}
		}
		if sc.Kind == ScaleCount && s.gramsPerhaps(i, sc.N, r.q.Targets[k].Recipe, p) {
			return
		}
		sc.Text = s.text(i)
		s.missing(i, &sc)
		c.q.Targets[k].Scale = sc
		if p.talk || len(p.targets) > 1 && s.single() && !s.ofThatOne(p, k, i) {
			for n := range c.q.Targets {
				c.q.Targets[n].Scale = sc
			}
		}
		c.used[i] = true
		for _, u := range spans {
			if u >= 0 {
				c.used[u] = true
			}
		}
		c.extra += cost
		out = append(out, c)
	}
	if sp.kind == spanFactor && s.ofAnother(i) {
		return nil
	}
	if sp.kind == spanFactor {
		if sc, ok := s.ofThat(p, i); ok {
			put(sc, 0)
			return out
		}
		put(Scale{Kind: ScaleFactor, N: sp.factor}, 0)
		return out
	}
	if a, hi := sp.q.Ambiguous, sp.q.Hi; a != nil || hi != nil && hi.Unit.Symbol == sp.q.Q.Unit.Symbol {
		c := r.clone()
		c.used[i] = true
		c.q.Missing = MissingNumber
		if a != nil {
			c.q.Choices = s.numbers(i, a.AsDecimal, a.AsThousands)
		} else { // "30 to 40 tuiles" is no size
			c.q.Choices = s.numbers(i, sp.q.Q.N, hi.N)
		}
		return append(out, c)
	}
	if u := sp.q.Q.Unit; u.Symbol == "%" && s.before(i) == "at" && slices.Contains(p.spans, s.spanAt(sp.from-2)) && sp.q.Q.N.Sign() > 0 { // "pickled fennel at 60 %"
		put(Scale{Kind: ScaleFactor, N: sp.q.Q.N.Div(quantity.Int(100))}, 1)
		return out
	}
	if s.shareOfTarget(p, i) {
		put(Scale{Kind: ScaleFactor, N: sp.q.Q.N.Div(quantity.Int(100))}, 1)
		return out
	}
	next, prev := s.next(i), s.prev(i)
	if sp.q.Q.Unit.Symbol != "" {
		next = s.pastPack(s.nextBut(i, cueUsable)) // "3 kg peeled celeriac", "1 kg carton of yolk"
	}
	isTarget := func(j int) bool { return j >= 0 && slices.Contains(p.spans, j) }
	itemAt := func(j int) (Item, bool) {
		if j < 0 || isTarget(j) || s.span(j).kind != spanName || r.used[j] {
			return Item{}, false
		}
		return s.item(j)
	}
	left := s.any(cueOnly, cueMakeable, cueWith, cueFrom, cueEnough, cueIn)
	isLeft := false // "only 300 g butter left" is of the butter, never a size
	given := func(it Item, j int, cost int) {
		m, c := it.match(r.q.Targets[k].Recipe)
		if m == noMatch {
			return
		}
		isLeft = isLeft || s.any(cueOnly) && j == i+1
		g := Given{Item: it, Q: sp.q.Q}
		if q, ok := s.bareGrams(i, &it, r.q.Targets[k].Recipe); ok { // "with 600 cream"
			g.Q, g.Bare = q, true
		}
		put(Scale{Kind: ScaleGiven, Given: []Given{g}, Only: s.any(cueOnly, cueMakeable)}, cost+c, j)
	}
	if j, said := s.handed(i, itemAt); j >= 0 {
		it, _ := itemAt(j)
		if s.inHand(r.q.Targets[k].Recipe, &it, i, j, said, put); len(out) > 0 {
			return out
		}
	}
	switch sp.q.Q.Unit.Dim {
	case quantity.Mass, quantity.Volume:
		kind, v := ScaleMass, sp.q.Q.Base()
		if sp.q.Q.Unit.Dim == quantity.Volume {
			kind = ScaleVolume
		}
		told := 0
		if it, ok := s.nutsAt(next); ok {
			given(it, next, 1)
		} else if it, ok := itemAt(next); ok {
			cost := 1
			if left {
				cost = 0
			}
			if isTarget(prev) && prev == i-1 && s.listsOn(next) && !s.any(cueOnly, cueMakeable, cueWith, cueFrom, cueEnough) { // "dressing 250 g oil and vinegar": so much of it
				cost = 6
			}
			given(it, next, cost)
		} else if b := i - 2; i > 1 && s.span(i-1).kind == spanCue && s.span(i-1).cues.has(cueOnly) && leftWord(s.l.tokens[s.span(i-1).from].plain) && s.span(b).kind == spanName && !isTarget(b) && !isTarget(next) { // "butter left 100 g"
			if it, ok := itemAt(b); ok {
				given(it, b, 0)
			}
		} else if b := s.isSoMuch(i); b >= 0 && !isTarget(b) { // "starter is 510 g, lunch loaf, water"
			if it, ok := itemAt(b); ok {
				given(it, b, 0)
				isLeft = isLeft || len(out) > 0
			}
		} else if b := s.runsLow(i); b >= 0 && !isTarget(b) { // "last of the butter, 165 g"
			if it, ok := itemAt(b); ok {
				given(it, b, 0)
				isLeft = true
			}
		} else if it, ok := itemAt(prev); ok && !isTarget(next) {
			cost := 3
			if s.any(cueOnly, cueMakeable) {
				cost = 1
			}
			if s.tells(i, prev, p) {
				cost, told = 0, 4
			}
			if sp.q.Hi == nil {
				given(it, prev, cost)
			} else if m, _ := it.match(r.q.Targets[k].Recipe); m != noMatch {
				isLeft = true // "crumble, salt 4 to 5 g" is of the salt
			}
		}
		cost := 2 + told
		if isTarget(next) && r.q.Targets[k].Part && !p.talk { // "5 kg cucumber" of what pickled cucumber is made of
			if it, ok := s.item(next); ok {
				if m, _ := it.match(r.q.Targets[k].Recipe); m == exactMatch && (s.any(cueHowmuch, cueHowmany) || s.clauseTells(next, p)) {
					more := 0
					if s.l.x.linesWith(&it, 2) > 2 {
						more = costIngredient // goes into many: of which is not said
					}
					given(it, -1, more)
					cost += 3
				}
			}
		}
		switch {
		case isTarget(next), s.precededBy(i, cueFor, cueYield, cueMakeable), p.talk && len(s.names) == 0:
			cost = 0
		case isTarget(prev):
			cost = 1
		}
		if _, ok := itemAt(next); ok && next == i+1 && isTarget(prev) && prev == i-1 && s.any(cueHowmany) && s.after(next) == "how" { // "baguettes 5 kg flour how many"
			cost += 6
		}
		if s.any(cueOnly) && !(isTarget(prev) && prev == i-1 && s.after(i) == "only") { // "caramel 470 g only" is no more than a small size
			cost += 4
		}
		if isTarget(next) && r.q.Targets[k].Part && s.clauseTells(next, p) && len(out) > 0 {
			cost += 3
		}
		if _, ok := itemAt(next); ok && (next == i+1 || slices.Contains(packs, name.Singular(s.after(i))) || next == i+2 && (s.after(i) == "of" || s.span(i+1).kind == spanCue && s.span(i+1).cues.has(cueUsable))) && (!isTarget(prev) || prev != i-1 && s.any(cueYield, cueMakeable, cueHowmany)) {
			cost += 4 // "200 g butter", "200 g of butter": of the butter
		}
		if !isLeft && (isTarget(next) || !s.tooLittle(r.q.Targets[k].Recipe, p, sp)) {
			put(Scale{Kind: kind, N: v}, cost)
		}
	case quantity.Count:
		if m := s.mouldElsewhere(isTarget); m >= 0 && s.precededBy(m, cueIn) { // "in half dome 55, 24 pieces"
			put(Scale{Kind: ScaleCells, N: sp.q.Q.N, Mould: s.thingOf(m, kb.MouldName)}, 0, m)
		}
		put(Scale{Kind: ScalePieces, N: sp.q.Q.N}, 0) // "90 pieces"
		if it, ok := itemAt(next); ok && left {
			given(it, next, 1)
		}
	case quantity.None:
		s.counts(r, p, k, i, &out, put, given, itemAt, isTarget)
	}
	return out
}

// tooLittle reports whether an amount is no size of a recipe but of a line that
// is named too: "crumble, salt 5 g".
func (s *sense) tooLittle(r *kb.Recipe, p pick, sp *span) bool {
	if r == nil || !r.HasFinished || sp.q.Q.Unit.Dim != quantity.Mass || !sp.q.Q.Base().Mul(quantity.Int(50)).Less(r.Finished) || s.any(cueOnly, cueMakeable) {
		return false
	}
	for i := range s.p.spans {
		if u := s.span(i); u.kind == spanUnused && u.food && s.l.isName(u.from) {
			return true
		}
	}
	return s.namesItem(r, p)
}

// namesItem reports whether the message names an ingredient of a recipe.
func (s *sense) namesItem(r *kb.Recipe, p pick) bool {
	return r != nil && slices.ContainsFunc(s.names, func(i int) bool {
		it, ok := s.item(i)
		if !ok || slices.Contains(p.spans, i) {
			return false
		}
		m, _ := it.match(r)
		return m != noMatch
	})
}

// leftWord reports whether a word between an ingredient and an amount says that no
// more is there: "butter left 100 g", "butter down to 200 g", "butter only 80 g".
func leftWord(w string) bool { return w == "left" || w == "down" || w == "only" || w == "just" }

// numbers are the choices between two numbers that span i may be.
func (s *sense) numbers(i int, a, b quantity.Number) []Choice {
	sp := s.span(i)
	from, to := s.l.tokens[sp.from].start, s.l.tokens[sp.to-1].end
	var out []Choice
	for _, n := range [2]quantity.Number{a, b} {
		label := n.String() + unitSuffix(sp.q.Q.Unit)
		out = append(out, Choice{Label: label, Text: s.l.text[:from] + label + s.l.text[to:]})
	}
	return out
}

func unitSuffix(u quantity.Unit) string {
	if u.Symbol == "" {
		return ""
	}
	return " " + u.Symbol
}

// single reports whether the message gives one size only.
func (s *sense) single() bool { return len(s.quant) == 1 }

// listsOn reports whether one more thing is joined to the name of span i: "oil and vinegar".
func (s *sense) listsOn(i int) bool {
	k := s.span(i).to
	if k+1 >= len(s.l.tokens) || s.l.tokens[k].breaks || !andWord(s.l.tokens[k].plain) {
		return false
	}
	j := s.spanAt(k + 1)
	return j >= 0 && s.span(j).kind == spanName
}

func (s *sense) counts(r reading, p pick, k, i int, outs *[]reading, put func(Scale, int, ...int), given func(Item, int, int), itemAt func(int) (Item, bool), isTarget func(int) bool) {
	sp := s.span(i)
	n := sp.q.Q.N
	rec := r.q.Targets[k].Recipe
	next := s.next(i)
	word := s.after(i)
	var cs cueSet
	if next >= 0 && s.span(next).kind == spanCue {
		cs = s.span(next).cues
	}
	if (word == "whole" || word == "full") && next >= 0 && s.next(next) >= 0 && s.thingOf(s.next(next), kb.MouldName) != nil { // "two whole dome 45 moulds"
		next = s.next(next)
		cs, word = cueSet{}, s.text(next)
	}
	if word == "instead" && next == len(s.p.spans)-1 { // "96 instead"
		cs, word = cueSet{}, ""
	}
	switch {
	case s.after(i) == "am" || s.after(i) == "pm":
		return // an hour
	case s.before(i) == "at" && quantity.Int(40).Less(n) && cs.empty():
		return // "bake at 165" is no size
	case s.before(i) == "to" && cs.empty() && next < 0 && !s.any(cueRescale) && s.namesItem(rec, p):
		return // "the salt in the crumble to 3" is of the salt
	case cs.has(cuePan) && next == i+1 && pieceWord(rec) == "" && word != name.Singular(word):
		return // "custard 24 pots": how much goes into one is not said
	case next == i+1 && s.span(next).strange && !s.l.tokens[s.span(next).from].breaks:
		return // "3 qtz domes" may be three of anything
	case !n.IsInt() && one.Less(n) && (cs.has(cueCovers) || rec != nil && rec.Makes != nil && rec.Makes.IsCovers()):
		return // nobody serves 14.5 covers: a price, perhaps
	}
	// "40 dome 45", "3 sheets of dome 45"
	if next >= 0 && s.span(next).kind == spanName {
		if t := s.mouldFor(next, rec); t != nil {
			kind := ScaleCells
			if s.allOf(i) { // "all three dome 60", "all the four of them"
				kind = ScaleSheets
			}
			if a := next + 1; isMouldWord(name.Singular(s.after(next))) || a < len(s.p.spans) && s.after(next) != "" && s.span(a).kind == spanCue && s.span(a).cues.has(cueMoulds) { // "3 bar 85 moulds", "3 bar 85 moluds"
				put(Scale{Kind: ScaleSheets, N: n, Mould: t}, 0, next, s.next(next))
				return
			}
			if own := name.Words(s.text(next)); kind == ScaleCells && len(own) > 1 && isMouldWord(own[len(own)-1]) { // a mould that is called so: "3 bar moulds"
				kind = ScaleMoulds
			}
			put(Scale{Kind: kind, N: n, Mould: t, Named: s.span(next).from == sp.to && s.folded(s.span(next)) == t.Fold && endsInDigit(t.Fold)}, 0, next)
		}
	}
	if cs.has(cueMoulds) && (s.after(next) == "of" || name.Singular(word) == "sheet" && s.next(next) == next+1) { // "3 sheets of gelatine", "9 sheets gelatine"
		if it, ok := itemAt(s.next(next)); ok && s.thingOf(s.next(next), kb.MouldName) == nil {
			if m, _ := it.match(rec); m != noMatch && (s.after(next) == "of" || it.Larder != nil && it.Larder.Bloom != nil || s.countedBy(rec, it, "sheet")) {
				given(it, s.next(next), 0)
				return
			}
		}
	}
	if next == i+1 && word != "" { // "3 bunches basil"
		j := s.next(next)
		if it, ok := itemAt(j); ok && s.countedBy(rec, it, s.l.tokens[s.span(next).from].fold) {
			given(it, j, 0)
			if n := len(*outs); n > 0 {
				(*outs)[n-1].used[next] = true
				return
			}
		}
	}
	if m := s.mouldElsewhere(isTarget); m >= 0 && s.ofThem(i) { // "in savarin 12, 24 of them"
		put(Scale{Kind: ScaleCells, N: n, Mould: s.thingOf(m, kb.MouldName)}, 0, m)
		return
	}
	if m := s.mouldElsewhere(isTarget); m >= 0 && m < i && isCell(word) { // "one dome 45 mould, all 20 cells"
		put(Scale{Kind: ScaleCells, N: n, Mould: s.thingOf(m, kb.MouldName)}, 0, m, next)
		return
	}
	if m := s.mouldElsewhere(isTarget); m >= 0 && m < i && s.allOf(i) && s.any(cueFill) { // "mini bell, fill all 3"
		put(Scale{Kind: ScaleSheets, N: n, Mould: s.thingOf(m, kb.MouldName)}, 0, m)
		return
	}
	if cs.has(cueMoulds) {
		var mould *kb.Name
		m := s.next(next)
		if m >= 0 && s.span(m).kind == spanName {
			mould = s.mouldFor(m, rec)
		}
		if mould == nil {
			m = -1
			for _, j := range s.names {
				if t := s.thingOf(j, kb.MouldName); t != nil && !isTarget(j) {
					mould, m = t, j
				}
			}
		}
		f := name.Singular(word)
		switch {
		case pieceWord(rec) == f:
			put(Scale{Kind: ScalePieces, N: n}, 0, next)
		case isCell(f) || f == "ring":
			put(Scale{Kind: ScaleCells, N: n, Mould: mould}, 0, next, m)
		case mould == nil && (f == "tin" || f == "mould" || f == "mold" || f == "mat"):
			put(Scale{Kind: ScaleMoulds, N: n}, 0, next, m)
		default:
			put(Scale{Kind: ScaleSheets, N: n, Mould: mould}, 0, next, m)
		}
		return
	}
	if pw := pieceWord(rec); pw != "" && word != "" && name.Singular(word) == pw {
		put(Scale{Kind: ScalePieces, N: n}, 0, next)
		return
	}
	switch {
	case cs.has(cueCovers):
		put(Scale{Kind: ScaleCovers, N: n}, 0, next)
	case cs.has(cuePortion):
		put(Scale{Kind: ScaleFor, N: n}, 0, next)
	case s.coversAhead(i):
		put(Scale{Kind: ScaleFor, N: n}, 0, i-1)
		return
	case cs.has(cuePiece):
		cost := 0
		if pieceWord(rec) == "" {
			cost = 3 // it makes none
		}
		put(Scale{Kind: ScalePieces, N: n}, cost, next)
	case next == i+1 && !isTarget(next) && s.span(next).kind == spanName && n.IsInt() && !s.ofBook(next) && (s.itself(r, next) || s.inName(rec, next)): // "ganache 200 truffles"
		put(Scale{Kind: ScaleCount, N: n}, 0, next)
	case isTarget(next) && n.Sign() > 0 && (n.Less(one) || !n.IsInt()): // "½ tuile" and "one and a half" are of a batch
		put(Scale{Kind: ScaleFactor, N: n}, 0)
	case s.batchesSaid(i) && (isTarget(next) || isTarget(s.prev(i))): // "3 malt ices.. batches": what is counted comes behind
		put(Scale{Kind: ScaleFactor, N: n}, 0)
		return
	case isTarget(next) && isBatchWord(name.Singular(s.after(next))): // "two dome batches"
		put(Scale{Kind: ScaleFactor, N: n}, 0, s.spanAt(s.span(next).to))
	case isTarget(next):
		put(Scale{Kind: ScaleCount, N: n}, 0)
	case p.talk && s.ctx != nil && s.precededBy(i, cueFor) && pieceWord(rec) == "" && rec != nil && !rec.Makes.IsCovers() && s.batchesBefore():
		put(Scale{Kind: ScaleFactor, N: n}, 0) // "3 custards", "for 4 actually"
	case s.precededBy(i, cueFor, cueEnough):
		put(Scale{Kind: ScaleFor, N: n}, 0)
	}
	counted := false // "8 leaves curd", "mayo 10 yolks": what there is of a line that is counted
	if it, ok := itemAt(next); ok && !s.span(i).q.Words || ok && s.any(cueOnly, cueMakeable) {
		cost := 3
		if counted = s.countedOut(i, &it, rec, isTarget); counted {
			cost = 0
		} else if s.any(cueOnly, cueMakeable, cueWith, cueFrom) || s.has(i) && next == i+1 || s.saysOf("else", "rest") && next == i+1 {
			cost = 0
		}
		if !isUnitCount(sp.q.Q.Unit) || cost == 0 {
			given(it, next, cost)
		}
	}
	if !isTarget(next) && !s.precededBy(i, cueFor, cueEnough) && cs.empty() || cs.has(cueExtra) {
		if j, loose := s.ahead(i, isTarget); j >= 0 { // "4 extra pear plates"
			put(Scale{Kind: ScaleCount, N: n}, loose)
		} else if _, item := itemAt(next); !item && len(s.quant) == 1 && !p.talk && (rec.Makes.IsCovers() || pieceWord(rec) != "") && sp.q.Q.Unit.Symbol == "" && !sp.q.Words {
			put(Scale{Kind: ScaleFor, N: n}, 4) // "we do 80 tonight"
		}
	}
	if prev := s.prev(i); isTarget(prev) && !counted && !s.any(cueCapacity) && !cs.has(cueCovers) && !isTarget(next) && !s.precededBy(i, cueFor, cueEnough) {
		kind := ScaleCount
		if n.Less(one) && n.Sign() > 0 {
			kind = ScaleFactor
		}
		cost := 5
		switch {
		case s.ofThem(i): // "natillas, 30 of them"
			cost = 0
		case rec != nil && rec.Makes.IsCovers() && n.IsInt() && one.Less(n): // "pear plate 40"
			cost = 1
		}
		put(Scale{Kind: kind, N: n}, cost)
	}
	if p.talk && s.ctx != nil && !isTarget(next) && cs.empty() {
		if q := s.ctx.Pending; q != nil && q.Missing == MissingSize && isBatchWord(name.Singular(q.Sized)) { // "how many batches?"
			put(Scale{Kind: ScaleFactor, N: n}, 0)
		} else if sc := s.ctx.scaleLike(n); sc.Kind != ScaleNone {
			put(sc, 0)
		} else {
			put(Scale{Kind: ScaleCount, N: n}, 2)
		}
	}
}

// batchesBefore reports whether batches were counted before.
func (s *sense) batchesBefore() bool {
	return len(s.ctx.Targets) == 1 && (s.ctx.Targets[0].Scale.Kind == ScaleCount || s.ctx.Targets[0].Scale.Kind == ScaleFactor)
}

func isMouldWord(w string) bool {
	switch w {
	case "mould", "mold", "tray", "sheet", "mat", "tin", "pan", "frame", "grid", "plaque":
		return true
	}
	return false
}

func isUnitCount(u quantity.Unit) bool { return u.Dim == quantity.None }

// pieceWord is the folded word of one piece of r, "" where it makes none.
func pieceWord(r *kb.Recipe) string {
	if r == nil || r.Makes == nil || r.Makes.Count.IsZero() {
		return ""
	}
	return name.Fold(r.Makes.Piece)
}

// precededBy reports whether the words right before span i, fillers and days
// passed over, hold one of the cues.
func (s *sense) precededBy(i int, cs ...cue) bool {
	want := cueSet{}.with(cs...)
	for j := i - 1; j >= 0; j-- {
		sp := s.span(j)
		if sp.kind == spanCue && sp.cues.meets(want) {
			return true
		}
		if sp.kind == spanCue && light(sp.cues) || sp.kind == spanClock {
			continue
		}
		return false
	}
	return false
}

// allMoulds reads "fill all the dome 60 moulds", "fill the dome 60".
func (s *sense) allMoulds(r *reading, p pick) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Scale.Kind != ScaleNone || !s.any(cueFill, cueMoulds, cueAll) && !s.saysOf("every") {
		return
	}
	for _, j := range s.names {
		if r.used[j] || slices.Contains(p.spans, j) || j > 0 && s.span(j-1).kind == spanCue && s.span(j-1).cues.has(cueHowmany) {
			continue // "how many pucks does one mousse fill" asks for them
		}
		if t := s.mouldFor(j, r.q.Targets[0].Recipe); t != nil {
			sc := Scale{Kind: ScaleSheets, N: one, Mould: t, Text: s.text(j)}
			if s.every(j) {
				sc.All = true
			} else if !s.any(cueFill, cueMoulds) {
				return
			} else {
				r.extra += 2
			}
			r.q.Targets[0].Scale = sc
			r.used[j] = true
			return
		}
	}
	if s.any(cueFill) && s.any(cueAll) && s.any(cueMoulds) {
		r.q.Targets[0].Scale = Scale{Kind: ScaleSheets, All: true}
	}
}

// every reports whether all of what span j names is meant: "in every dome 60",
// "all the dome 60 moulds".
func (s *sense) every(j int) bool {
	if s.any(cueAll) && s.any(cueFill, cueMoulds) {
		return true
	}
	for k := s.span(j).from - 1; k >= 0 && k >= s.span(j).from-3; k-- {
		switch s.l.tokens[k].plain {
		case "all", "every":
			return true
		case "the", "our", "my", "of":
		default:
			return false
		}
	}
	return false
}

// allOf reports whether "all" stands before number i: "all 3", "all the three".
func (s *sense) allOf(i int) bool {
	for k := s.span(i).from - 1; k >= 0 && !s.l.tokens[k+1].breaks; k-- {
		switch s.l.tokens[k].plain {
		case "all":
			return true
		case "the", "our", "my", "of", "these", "those":
		default:
			return false
		}
	}
	return false
}

// endsInDigit reports whether a mould is called by its size: a plain word may be what
// is made in it as well.
func endsInDigit(w string) bool { return w != "" && w[len(w)-1] >= '0' && w[len(w)-1] <= '9' }

// isCell reports whether a word is for one place of a mould.
func isCell(w string) bool {
	switch name.Singular(w) {
	case "cell", "cavity", "hole", "hollow":
		return true
	}
	return false
}

// mouldElsewhere is the one span that names a mould and is no target, −1 if none.
func (s *sense) mouldElsewhere(isTarget func(int) bool) int {
	at := -1
	for _, j := range s.names {
		if s.thingOf(j, kb.MouldName) != nil && !isTarget(j) && !(j > 0 && s.span(j-1).kind == spanCue && s.span(j-1).cues.has(cueHowmany)) { // "how many pucks" asks for them
			if at >= 0 {
				return -1
			}
			at = j
		}
	}
	return at
}

// ofThem reports whether "of them" follows number i.
func (s *sense) ofThem(i int) bool {
	t := s.span(i).to
	if t+1 >= len(s.l.tokens) || s.l.tokens[t].plain != "of" {
		return false
	}
	switch s.l.tokens[t+1].plain {
	case "them", "em", "those", "these":
		return true
	}
	return false
}

// ahead finds a target within three spans after i with only words between that
// stand for no name or number, and counts those.
func (s *sense) ahead(i int, isTarget func(int) bool) (at, loose int) {
	for j := i + 1; j < len(s.p.spans) && j <= i+3; j++ {
		if s.l.tokens[s.span(j).from].breaks {
			break
		}
		switch sp := s.span(j); {
		case isTarget(j):
			return j, loose
		case sp.kind == spanCue || sp.kind == spanUnused && !sp.food && !sp.strange: // "3 qtz domes" may be 3 of anything
			loose++
		default:
			return -1, 0
		}
	}
	return -1, 0
}

// nutsAt is "nuts" as an ingredient: whichever the recipe has.
func (s *sense) nutsAt(i int) (Item, bool) {
	if i < 0 || s.span(i).kind != spanAllergen || s.span(i).allergen.Kind != "" || s.span(i).allergen.Name != "nuts" {
		return Item{}, false
	}
	return Item{Text: s.text(i), Names: []string{s.folded(s.span(i))}, Class: "nuts", Part: true}, true
}

// filledIn reports whether a recipe is filled into a mould.
func filledIn(r *kb.Recipe, m *kb.Name) bool {
	return r != nil && m != nil && r.Makes != nil && r.Makes.Fill && name.Fold(r.Makes.Mould) == m.Fold
}
