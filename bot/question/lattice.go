package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// spanKind tells the spans of the lattice apart.
type spanKind uint8

const (
	spanUnused   spanKind = iota // nothing knows these words
	spanName                     // a name of the book or the larder
	spanCue                      // words that tell what is asked
	spanQuantity                 // a number with or without a unit
	spanFactor                   // ×3, triple, half a batch
	spanUnit                     // a unit without a number: "in grams"
	spanClock                    // a time of day
	spanAllergen                 // a word for an allergen
)

// span covers tokens from ≤ i < to.
type span struct {
	kind     spanKind
	from, to int
	cost     int
	names    []hit
	cues     cueSet
	q        quantity.Span
	factor   quantity.Number
	unit     quantity.Unit
	clock    Clock
	allergen recipe.Allergen
	note     string  // what was corrected: "buter → butter"
	food     bool    // unused: a food word or a word in no list: forbids certainty
	strange  bool    // unused: in no list at all
	whole    bool    // a number that is not cut short by what follows
	own      []int32 // the house's foods that one of the built-in larder may mean
}

// hit is one name that a span may stand for.
type hit struct {
	id   int32
	cost int
	part bool // only a part of the name was written
}

// lattice is a message with all its spans by start.
type lattice struct {
	x       *Lexicon
	text    string
	measure quantity.Measure
	again   map[string]*Question // what was put together with it, once read
	scan    string               // text without the chatter
	tokens  []token
	passed  []string // words of the chatter that are in no list
	starts  [][]span
	fixes   [][]correction    // per token, what a misspelt one may be
	terms   []term            // words of the craft
	slips   map[slipAt]string // what tokens are slips of, once looked for
	heated  map[string][]*kb.Recipe
	said    []string // the words, those for food in doubt put right
	phrases []stoodPhrase
	stand   *Stood // what is said of the state of food, once looked for
}

func newLattice(x *Lexicon, text string, m quantity.Measure) *lattice {
	if len(text) > MaxText {
		text = text[:MaxText]
	}
	l := &lattice{x: x, text: text, measure: m}
	l.tokens, l.scan, l.passed = cutChatter(x, text, tokenize(text))
	l.thumbed()
	l.abroad()
	l.thisMinute()
	l.short()
	l.decimals()
	l.mend()
	l.countedAs()
	l.nameAndHalf(m)
	l.starts = make([][]span, len(l.tokens))
	l.fixes = make([][]correction, len(l.tokens))
	l.addQuantities(m)
	l.addCounted()
	l.addFactors()
	l.addDenied()
	l.addPercent()
	l.addCues()
	l.addLabels()
	l.addAllergens()
	l.addNames()
	l.addPieceWords()
	l.addTypos()
	l.addSlips()
	l.addParts()
	l.ownFood()
	l.overBuiltIn()
	l.addVessels()
	l.addBatches()
	l.addUnused()
	l.addTerms()
	return l
}

func (l *lattice) add(s span) { l.starts[s.from] = append(l.starts[s.from], s) }

// addCues finds the words that tell what is asked.
func (l *lattice) addCues() {
	for i := range l.tokens {
		switch l.tokens[i].plain {
		case "€", "£", "$":
			l.add(span{kind: spanCue, from: i, to: i + 1, cost: costCue, cues: cueSet{}.with(cueCost)})
		}
		n := cues().root
		for j := i; j < len(l.tokens); j++ {
			if j > i && l.tokens[j].breaks {
				break
			}
			m := n.next[l.tokens[j].fold]
			if m == nil {
				m = n.next[l.tokens[j].plain]
			}
			if m == nil && thumbs[l.tokens[j].plain] != "" {
				m = n.next[thumbs[l.tokens[j].plain]]
			}
			if m == nil {
				break
			}
			n = m
			if !n.set.empty() {
				set := n.set
				if i == 0 && j == 0 && set.has(cueNo) && len(l.tokens) > 1 && l.tokens[1].breaks { // "no, the walnut one"
					set = cueSet{}.with(cueNo, cueWhatabout)
				}
				if i == 0 && j == 0 && set.has(cueNo) && l.tookBack() { // "no sorry the walnut one"
					set = cueSet{}.with(cueNo, cueWhatabout)
				}
				if i == j && l.tokens[i].plain == "no" && l.romance() { // "quantos ovos no bolo": in the
					set = cueSet{}.with(cueIn)
				}
				if i == 0 && j == 0 && l.tokens[i].plain == "scale" && len(l.tokens) > 1 { // "scale sorbet to 3 kg"; a scale is read with "the" before it
					set = set.with(cueRescale)
				}
				c := costCue
				if n.lang != "en" {
					if i == j && set == (cueSet{}).with(cueFiller) && l.x.written(l.tokens[i].fold) {
						continue // "stp" is a dish of the house, not a French please
					}
					c += costForeign
				}
				l.add(span{kind: spanCue, from: i, to: j + 1, cost: c, cues: set})
			}
		}
	}
}

// written reports whether a word is a whole name of the book or larder.
func (x *Lexicon) written(word string) bool {
	at, ok := x.next(0, word)
	return ok && len(x.nodes[at].entries) > 0
}

// tookBack reports whether the first word takes back what was said, not what follows.
func (l *lattice) tookBack() bool {
	if len(l.tokens) < 2 {
		return false
	}
	switch l.tokens[1].plain {
	case "sorry", "wait", "actually", "oops", "nope":
		return true
	}
	return false
}

// romance reports whether the message asks in Portuguese, where "no" is "in the".
func (l *lattice) romance() bool {
	return slices.ContainsFunc(l.tokens, func(t token) bool {
		switch t.plain {
		case "quanto", "quantos", "quanta", "quantas", "quais", "qual":
			return true
		}
		return false
	})
}

// addPieceWords lets a word for a piece stand for no more than that, where no
// line of the book counts by it.
func (l *lattice) addPieceWords() {
	for i := range l.tokens {
		switch l.tokens[i].fold {
		case "leaf", "sprig", "pod", "stick", "clove", "sheet", "bulb", "stalk", "bunch", "yolk", "white":
		default:
			continue
		}
		cost := 1
		switch name := l.isName(i); {
		case name && (l.tokens[i].fold == "yolk" || l.tokens[i].fold == "white" || l.tokens[i].fold == "leaf"):
			continue
		case name:
			cost++ // "3 sticks of butter", where cinnamon is counted in sticks
		}
		l.add(span{kind: spanCue, from: i, to: i + 1, cost: cost, cues: cueSet{}.with(cuePiece)})
	}
}

// addNames finds names written out, in any order of their percentage, joined or split.
func (l *lattice) addNames() {
	for i := range l.tokens {
		l.walkNames(i, i, 0, 0, "")
		joined := ""
		for j := i; j < len(l.tokens) && j < i+5; j++ {
			if j > i && l.tokens[j].breaks {
				break
			}
			joined += l.tokens[j].fold
			if j == i && len(l.tokens[i].plain) <= 3 {
				continue
			}
			ids := l.x.joined[joined]
			if len(ids) == 0 && l.tokens[j].plain != l.tokens[j].fold {
				ids = l.x.joined[joined[:len(joined)-len(l.tokens[j].fold)]+l.tokens[j].plain]
			}
			if len(ids) > 0 {
				l.addHits(i, j+1, ids, costJoined, false, "")
			}
		}
	}
}

// walkNames follows the name trie from token j; cost and note carry corrections made on the way.
func (l *lattice) walkNames(i, j int, at int32, cost int, note string) {
	n := &l.x.nodes[at]
	if j > i && len(n.entries) > 0 && !(j > i+1 && andWord(l.tokens[j-1].plain)) { // "oil n vinegar" is no "oil n"
		l.addHits(i, j, n.entries, cost, false, note)
	}
	if j == len(l.tokens) || !n.inner || j > i && l.tokens[j].breaks {
		return
	}
	t := &l.tokens[j]
	if m, ok := l.x.next(at, t.fold); ok {
		l.walkNames(i, j+1, m, cost, note)
	}
	if t.plain != t.fold {
		if m, ok := l.x.next(at, t.plain); ok {
			l.walkNames(i, j+1, m, cost, note)
		}
	}
	if j > i && (t.fold == "and" || t.plain == "n") { // "pear & sorrel", however the book joins them
		if m, ok := l.x.next(at, "and"); ok && t.plain == "n" {
			l.walkNames(i, j+1, m, cost, note)
		}
		if t.plain != "and" {
			l.walkNames(i, j+1, at, cost+costJoined, note)
		}
	}
	if len(l.fixes[j]) == 0 || cost >= costFix2 {
		return
	}
	for _, f := range l.fixes[j] {
		if m, ok := l.x.next(at, f.word); ok && f.name {
			l.walkNames(i, j+1, m, cost+l.fixCost(j, f), appendNote(note, t.plain, f.word))
		}
	}
}

func (l *lattice) fixCost(j int, f correction) int {
	c := costFix1
	if f.edits > 1 {
		c = costFix2
	}
	if isEnglish(&l.tokens[j]) && l.heardAs(j) == "" {
		c += costFixEnglish
	}
	return c
}

func appendNote(note, from, to string) string {
	s := from + " → " + to
	if note != "" {
		return note + ", " + s
	}
	return s
}

func (l *lattice) addHits(i, j int, ids []int32, cost int, part bool, note string) {
	for k := range l.starts[i] { // the same words may reach a name in two ways
		s := &l.starts[i][k]
		if s.kind == spanName && s.to == j && s.note == note {
			for _, id := range ids {
				if !slices.ContainsFunc(s.names, func(h hit) bool { return h.id == id }) {
					s.names = append(s.names, hit{id, cost, part})
				}
			}
			s.cost = min(s.cost, costSpan+cost)
			return
		}
	}
	if l.tokens[i].number && j > i+1 && l.recipeRunsOn(i+1, j) {
		return // "35 panna plates", where the larder has a panna 35 %
	}
	s := span{kind: spanName, from: i, to: j, cost: costSpan + cost, note: note}
	article := l.tokens[i].plain == "the" && j > i+1
	for _, id := range ids {
		if article && !strings.HasPrefix(strings.ToLower(l.x.entries[id].Text), "the ") {
			continue // "the noir" is no thé noir
		}
		s.names = append(s.names, hit{id, cost, part})
	}
	if len(s.names) == 0 {
		return
	}
	l.add(s)
}

// covered reports whether some span other than a filler already explains token i.
func (l *lattice) covered(i int) bool {
	for k := max(0, i-6); k <= i; k++ {
		for _, s := range l.starts[k] {
			if s.from <= i && i < s.to {
				return true
			}
		}
	}
	return false
}

// addTypos looks for corrections of the words that nothing explains, and then
// walks the names once more with them.
func (l *lattice) addTypos() {
	any := false
	for i := range l.tokens {
		t := &l.tokens[i]
		if !l.isName(i) {
			for _, long := range shortFor()[t.fold] {
				if l.x.spell().knows(long) {
					l.fixes[i] = append(l.fixes[i], correction{long, 1, true})
				}
			}
			if len(l.fixes[i]) > 0 {
				any = true
				continue
			}
		}
		if heard := l.heardAs(i); heard != "" {
			l.fixes[i] = []correction{{heard, 1, true}}
			any = true
			continue
		}
		if t.number || len(t.plain) <= 3 || l.covered(i) || isFood(t) || l.x.spell().knows(t.fold) || l.x.spell().knows(t.plain) {
			continue
		}
		most := 2
		if isEnglish(t) {
			most = 1
		}
		l.fixes[i] = l.x.spell().near(t.plain, t.fold, most)
		if isEnglish(t) { // "sell" is no slip of "sel", nor "wait" of another language's milk
			l.fixes[i] = slices.DeleteFunc(l.fixes[i], func(f correction) bool {
				return len(f.word) <= 3 || f.name && len(l.x.byWord[f.word]) == 0 && len(l.x.joined[f.word]) == 0
			})
		}
		if !slices.ContainsFunc(l.fixes[i], func(f correction) bool { return !f.name || len(l.x.byWord[f.word]) > 0 }) { // nothing that the book writes
			l.fixes[i] = append(l.fixes[i], l.x.spell().begun(t.plain, func(w string) bool { return len(l.x.byWord[w]) > 0 })...)
		}
		if len(l.fixes[i]) > 8 {
			l.fixes[i] = l.fixes[i][:8]
		}
		any = any || len(l.fixes[i]) > 0
	}
	if !any {
		return
	}
	for i := range l.tokens {
		for k := i; k < min(i+6, len(l.tokens)); k++ {
			if len(l.fixes[k]) > 0 {
				l.walkNames(i, i, 0, 0, "")
				break
			}
		}
		for _, f := range l.fixes[i] {
			if ids := l.x.joined[f.word]; f.name && len(ids) > 0 {
				l.addHits(i, i+1, ids, l.fixCost(i, f)+costJoined, false, appendNote("", l.tokens[i].plain, f.word))
			}
			if n := cues().root.next[f.word]; n != nil && !n.set.empty() && len(f.word) > 3 && !l.foodMeant(i, f, n.set) {
				l.add(span{kind: spanCue, from: i, to: i + 1, cost: costFixCue + l.fixCost(i, f) - costFix1, cues: n.set, note: appendNote("", l.tokens[i].plain, f.word)})
			}
		}
	}
}

// addParts finds parts of names: runs of words that all stand in one recipe's or line's name.
func (l *lattice) addParts() {
	for i := range l.tokens {
		var set []int32
		cost, note := 0, ""
		for j := i; j < len(l.tokens) && j < i+6; j++ {
			if j > i && l.tokens[j].breaks {
				break
			}
			ids, c, n := l.wordNames(j)
			if len(ids) == 0 && len(set) > 0 && j+1 < len(l.tokens) && len(l.tokens[j].plain) <= 3 && structural(l.tokens[j].fold) {
				continue // "pâte de fruit"
			}
			if len(ids) == 0 {
				break
			}
			if j == i {
				set = ids
			} else {
				set = intersect(set, ids)
			}
			if len(set) == 0 {
				break
			}
			if c > 0 {
				cost += c
				note = appendNote(note, l.tokens[j].plain, n)
			}
			l.addPart(i, j+1, set, cost, note)
		}
	}
}

// wordNames are the names with token j in them, as written or corrected.
func (l *lattice) wordNames(j int) (ids []int32, cost int, word string) {
	t := &l.tokens[j]
	if len(t.fold) < 2 {
		return nil, 0, ""
	}
	if ids = l.x.byWord[t.fold]; len(ids) > 0 {
		return ids, 0, ""
	}
	if ids = l.x.byWord[t.plain]; len(ids) > 0 {
		return ids, 0, ""
	}
	for _, f := range l.fixes[j] {
		if ids = l.x.byWord[f.word]; len(ids) > 0 {
			return ids, l.fixCost(j, f), f.word
		}
	}
	return nil, 0, ""
}

func (l *lattice) addPart(i, j int, set []int32, cost int, note string) {
	const most = 24 // more than anyone can choose from
	s := span{kind: spanName, from: i, to: j, note: note}
	var said []int32 // the words said that some name ends in
	for k := i; k < j; k++ {
		for _, w := range [2]string{l.tokens[k].fold, l.tokens[k].plain} {
			if id := l.x.lastID[w]; id > 0 {
				said = append(said, id)
			}
		}
	}
	own := j == i+1 && cost == 0 && l.ownWord(i, set)
	plural := j == i+1 && note == "" && l.tokens[i].plain != l.tokens[i].fold && strings.HasSuffix(l.tokens[i].plain, "s")
	alone := j == i+1 && (isCue(&l.tokens[i]) || l.tokens[i].number)
	for _, id := range set {
		e := &l.x.tails[id]
		if int(e.words) <= j-i {
			if (e.kind < kb.PanName || (e.kind == kb.PanName || e.kind == kb.MachineName) && !l.hasNumber(i, j)) && l.turned(i, j, l.x.entries[id].words) && !l.recipeThenLine(i, j, l.x.entries[id].Recipe) {
				s.names = append(s.names, hit{id, cost + costTurned, false})
			}
			continue // written out: the trie has it
		}
		if e.kind >= kb.PanName && alone {
			continue // "pan" is no pan's name, 12 no mould's
		}
		c := cost + costPart
		if own || slices.Contains(said, e.last) {
			c = cost + costPartHead
		}
		if j-i > 1 && l.endsName(i, j, l.x.entries[id].words) {
			c = cost + costPartEnd
		}
		c += costPartWord * (int(e.words) - (j - i))
		if plural && !slices.Contains(said, e.last) {
			c += costPart // "whites" are none of a white chocolate
		}
		if !e.recipe {
			c = cost + costItemPart
		}
		if j-i > 1 && !l.inOrder(i, j, l.x.entries[id].words) {
			c += costTurned
		}
		if len(s.names) < most {
			s.names = append(s.names, hit{id, c, true})
		}
	}
	if len(s.names) == 0 || l.exactRecipe(i, j) {
		return
	}
	s.cost = s.names[0].cost
	for _, h := range s.names {
		s.cost = min(s.cost, h.cost)
	}
	s.cost += costSpan
	l.add(s)
}

// inOrder reports whether tokens i to j stand in a name in the order they are said.
func (l *lattice) inOrder(i, j int, words []string) bool {
	at := 0
	for k := i; k < j; k++ {
		t := &l.tokens[k]
		n := slices.IndexFunc(words[at:], func(w string) bool {
			return w == t.fold || w == t.plain || slices.ContainsFunc(l.fixes[k], func(f correction) bool { return f.word == w })
		})
		if n < 0 {
			if structural(t.fold) {
				continue
			}
			return false
		}
		at += n + 1
	}
	return true
}

// isCue reports whether a word by itself tells what is asked.
func isCue(t *token) bool {
	n := cues().root.next[t.fold]
	return n != nil && !n.set.empty()
}

// addUnused lets every token stand for nothing, at a price.
func (l *lattice) addUnused() {
	for i := range l.tokens {
		t := &l.tokens[i]
		s := span{kind: spanUnused, from: i, to: i + 1}
		switch {
		case t.number && l.labels(i):
			s.cost = costLoose
		case t.number, l.isNumberWord(i):
			s.cost = costNumber
		case l.shareBy(i):
			s.cost = costNumber
		case l.vague(i):
			s.cost, s.food, s.strange = costNumber, true, true
		case len(t.plain) == 1:
			s.cost = costLetter
		case l.counts(i):
			s.cost = costLostName // "double" is no idle word
		case l.isUnit(i):
			s.cost = costUnit
		case isFood(t) || l.isName(i) || l.heardAs(i) != "":
			s.cost, s.food = costFood, true
		case len(l.x.byWord[t.fold]) > 0 && len(t.fold) > 2:
			s.cost = costNameWord
		case isEnglish(t) || cues().words[t.fold] || cues().words[t.plain]:
			s.cost = costLoose
		case len(t.plain) <= 3:
			s.cost, s.strange = costShort, true
		default:
			s.cost, s.food, s.strange = costStrange, true, true
		}
		l.add(s)
	}
}

// isNumberWord reports whether token i begins a number written in words that is
// more than one: "three", but not "a" and "one".
func (l *lattice) isNumberWord(i int) bool {
	return slices.ContainsFunc(l.starts[i], func(s span) bool { return s.kind == spanQuantity && s.q.Words && one.Less(s.q.Q.N) })
}

// shareBy reports whether token i is the share of "by a third".
func (l *lattice) shareBy(i int) bool {
	if _, ok := shareWords[l.tokens[i].plain]; !ok || i == 0 {
		return false
	}
	b := l.tokens[i-1].plain
	return b == "by" || i > 1 && (b == "a" || b == "one") && l.tokens[i-2].plain == "by"
}

// vague reports whether token i says how many and does not: "infinite batches",
// "x infinity".
func (l *lattice) vague(i int) bool {
	switch l.tokens[i].plain {
	case "infinity", "infinite", "infinitely", "endless", "countless", "zillion", "gazillion", "umpteen", "nan", "unlimited":
		return true
	case "few", "several", "some", "many", "loads":
		return i+1 < len(l.tokens) && !l.tokens[i+1].breaks && l.tokens[i+1].plain == "batches"
	}
	return false
}

// counts reports whether a factor begins at token i.
func (l *lattice) counts(i int) bool {
	return slices.ContainsFunc(l.starts[i], func(s span) bool { return s.kind == spanFactor && s.to == i+1 })
}

// isUnit reports whether token i is a unit of mass or volume.
func (l *lattice) isUnit(i int) bool {
	return slices.ContainsFunc(l.starts[i], func(s span) bool {
		return s.kind == spanUnit && s.to == i+1 && (s.unit.Dim == quantity.Mass || s.unit.Dim == quantity.Volume)
	})
}

// path is one way to cover the message, its spans in order.
type path struct {
	spans []span
	cost  int
}

// step is a covering up to some token: its last span and the step before.
type step struct {
	cost, spans int
	sig         uint64 // of the spans that are no mere words
	prev        int32
	pos         int
	s           *span
}

func (a *step) cheaper(b *step) bool {
	return a.cost < b.cost || a.cost == b.cost && a.spans < b.spans
}

// paths returns the cheapest coverings, best first, at most n. Of coverings
// that differ only in mere words the cheapest is kept, of equal ones that with
// fewer spans.
func (l *lattice) paths(n int) []path {
	nodes := make([][]step, len(l.tokens)+1)
	nodes[0] = []step{{}}
	for pos := 0; pos < len(l.tokens); pos++ {
		here := prune(nodes[pos], n)
		nodes[pos] = here
		whole, fixed, ending := l.longestName(pos)
		for k := range l.starts[pos] {
			s := &l.starts[pos][k]
			broken := 0
			switch {
			case s.to < whole:
				broken = costBroken
			case s.to < fixed:
				broken = costBroken / 2
			case s.to < ending:
				broken = costBrokenEnd
			}
			for i := range here {
				next := step{here[i].cost + s.cost + broken, here[i].spans + 1, mark(here[i].sig, s), int32(i), pos, s}
				nodes[s.to] = append(nodes[s.to], next)
			}
		}
	}
	end := prune(nodes[len(l.tokens)], n)
	out := make([]path, 0, len(end))
	for _, e := range end {
		p := path{cost: e.cost, spans: make([]span, 0, e.spans)}
		for st := e; st.s != nil; st = nodes[st.pos][st.prev] {
			p.spans = append(p.spans, *st.s)
		}
		slices.Reverse(p.spans)
		out = append(out, p)
	}
	return out
}

// tailIsOwn reports whether a name of the larder alone, on no line of the book,
// ends in a recipe's name: "basil pesto", where the house has a pesto.
func (l *lattice) tailIsOwn(s *span, h hit) bool {
	if e := &l.x.entries[h.id]; e.Recipe != nil || e.InBook || e.Item == nil || e.Item.House {
		return false
	}
	return slices.ContainsFunc(l.starts[s.to-1], func(t span) bool {
		return t.kind == spanName && t.to == s.to && slices.ContainsFunc(t.names, func(h hit) bool { return !h.part && h.cost == costName && l.x.entries[h.id].Recipe != nil })
	})
}

// longestName is where the longest name of several words ends that begins at
// token pos: as written, with slips put right, as the last words of a longer one;
// pos where there is none.
func (l *lattice) longestName(pos int) (whole, fixed, ending int) {
	whole, fixed, ending = pos, pos, pos
	for i := range l.starts[pos] {
		s := &l.starts[pos][i]
		if s.kind != spanName || s.to-s.from < 2 {
			continue
		}
		for _, h := range s.names {
			switch {
			case h.part:
				if e := &l.x.entries[h.id]; s.note == "" && len(e.words) > s.to-s.from && l.endsName(s.from, s.to, e.words) {
					ending = max(ending, s.to)
				}
			case l.tailIsOwn(s, h): // may be read in pieces too
			case h.cost == costName:
				whole = max(whole, s.to)
			case h.cost <= costFix1 && (s.note != "" || !l.runsOn(pos+1, s.to) && !l.exactRecipe(pos, pos+1)):
				fixed = max(fixed, s.to)
			}
		}
	}
	return whole, fixed, ending
}
