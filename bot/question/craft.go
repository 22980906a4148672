package question

import (
	"bufio"
	"fmt"
	"io/fs"
	"slices"
	"sort"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
)

// Craft is what a question of the pan, the gel, the sugar, chocolate or a cure
// gives besides recipes and amounts. Numbers are in the base unit, in the order of the message.
type Craft struct {
	Topic   string   // what is asked of it, a word of its frame
	Agents  []string // gelling agents as calc/gel names them
	Use     string   // what an agent is for: "fluid gel"
	Kind    string   // of chocolate; a stage of sugar; a way of cooking
	Grades  []string // of leaf gelatine
	Fruit   string   // something that weakens a gel
	State   string   // "thick", "thin"
	Bloom   []quantity.Number
	Brix    []quantity.Number
	Baume   []quantity.Number
	Density []quantity.Number
	Celsius []quantity.Number
	Share   []quantity.Number // %
	Minutes []quantity.Number
	Metres  []quantity.Number // above the sea
	Counts  []quantity.Number
	Amounts []Given // masses and volumes with what they are of
}

// same is equal for questions that give the same.
func (c *Craft) same() string {
	d := *c
	d.Amounts = nil
	var b strings.Builder
	fmt.Fprint(&b, d)
	for _, g := range c.Amounts {
		fmt.Fprintf(&b, "<%s %s", g.Q, g.Item.Text)
	}
	return b.String()
}

// term is a word or phrase of the craft that the message holds.
type term struct {
	kind, name string // "agent", "agar"
	from, to   int    // tokens
	cost       int    // of a correction
	note       string // "agr → agar"
}

// crafts is the files words/LANGUAGE.craft.txt read once.
var crafts = sync.OnceValue(func() *craftTable {
	t := &craftTable{root: &craftNode{}, words: map[string]bool{}}
	files, err := fs.Glob(wordFiles, "words/??.craft.txt")
	if err != nil {
		panic(err) // the pattern is constant
	}
	sort.Strings(files)
	for _, f := range files {
		if err := t.read(f); err != nil {
			panic(err) // embedded data, a test reads it too
		}
	}
	return t
})

type craftTable struct {
	root  *craftNode
	words map[string]bool
}

type craftNode struct {
	next map[string]*craftNode
	is   []term // kind and name
}

func (t *craftTable) read(file string) error {
	data, err := wordFiles.ReadFile(file)
	if err != nil {
		return err
	}
	sc := bufio.NewScanner(strings.NewReader(string(data)))
	sc.Buffer(nil, 1<<20)
	for n := 1; sc.Scan(); n++ {
		line := strings.TrimSpace(sc.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		tag, list, ok := strings.Cut(line, ":")
		kind, of, two := strings.Cut(strings.TrimSpace(tag), " ")
		if !ok || !two {
			return fmt.Errorf("%s:%d: want KIND NAME: phrases", file, n)
		}
		for _, p := range strings.Split(list, ";") {
			t.add(name.Words(p), term{kind: kind, name: of})
		}
	}
	return sc.Err()
}

func (t *craftTable) add(words []string, k term) {
	if len(words) == 0 {
		return
	}
	n := t.root
	for _, w := range words {
		t.words[w] = true
		if n.next == nil {
			n.next = map[string]*craftNode{}
		}
		m := n.next[w]
		if m == nil {
			m = &craftNode{}
			n.next[w] = m
		}
		n = m
	}
	if !slices.Contains(n.is, k) {
		n.is = append(n.is, k)
	}
}

// addTerms finds the craft's words; of those of one kind that overlap the longest
// stands, and one phrase may be several terms.
func (l *lattice) addTerms() {
	for i := range l.tokens {
		l.walkTerms(i, i, crafts().root, 0, "")
	}
	slices.SortStableFunc(l.terms, func(a, b term) int {
		if a.cost != b.cost {
			return a.cost - b.cost
		}
		if d := (b.to - b.from) - (a.to - a.from); d != 0 {
			return d
		}
		return a.from - b.from
	})
	kept := l.terms[:0:0]
	for _, t := range l.terms {
		if !slices.ContainsFunc(kept, func(o term) bool {
			return o.kind == t.kind && o.from < t.to && t.from < o.to && (o.name == t.name || o.from != t.from || o.to != t.to || o.cost < t.cost)
		}) {
			kept = append(kept, t)
		}
	}
	slices.SortStableFunc(kept, func(a, b term) int { return a.from - b.from })
	l.terms = kept
}

func (l *lattice) walkTerms(i, j int, n *craftNode, cost int, note string) {
	if j > i {
		for _, k := range n.is {
			k.from, k.to, k.cost, k.note = i, j, cost, note
			l.terms = append(l.terms, k)
		}
	}
	if j == len(l.tokens) || len(n.next) == 0 || j > i && l.tokens[j].breaks {
		return
	}
	t := &l.tokens[j]
	if m := n.next[t.fold]; m != nil {
		l.walkTerms(i, j+1, m, cost, note)
	} else if m := n.next[t.plain]; m != nil {
		l.walkTerms(i, j+1, m, cost, note)
	}
	if cost > 0 {
		return
	}
	if i == j && l.inLongName(j) { // "cota" of a panna cotta is no iota
		return
	}
	for _, f := range l.fixes[j] {
		if m := n.next[f.word]; m != nil {
			l.walkTerms(i, j+1, m, l.fixCost(j, f), appendNote(note, t.plain, f.word))
		}
	}
}

// inLongName reports whether token k is a slip within a recipe's name of several words.
func (l *lattice) inLongName(k int) bool {
	for i := max(0, k-4); i <= k; i++ {
		for _, sp := range l.starts[i] {
			if sp.kind == spanName && sp.to-sp.from > 1 && sp.to > k && sp.note != "" && l.recipeAt(&sp) {
				return true
			}
		}
	}
	return false
}

// terms returns the message's terms of a kind, in order.
func (s *sense) terms(kind string) []term {
	var out []term
	for _, t := range s.l.terms {
		if t.kind == kind {
			out = append(out, t)
		}
	}
	return out
}

// says reports whether the message holds one of the named terms of a kind.
func (s *sense) says(kind string, names ...string) bool {
	return slices.ContainsFunc(s.l.terms, func(t term) bool {
		return t.kind == kind && (len(names) == 0 || slices.Contains(names, t.name))
	})
}

// use marks the spans that terms cover as used.
func (s *sense) use(r *reading, ts ...term) {
	for _, t := range ts {
		for i := range s.p.spans {
			if sp := s.span(i); t.from <= sp.from && sp.to <= t.to && !r.used[i] {
				r.used[i] = true
				if sp.kind == spanName { // a part of a name costs: here it is the word itself
					r.extra -= sp.cost - costSpan
				}
			}
		}
		if t.note == "" || s.noted(*r, t.note) {
			continue
		}
		r.extra += t.cost
		from, to, _ := strings.Cut(t.note, " → ")
		r.q.Assumed = append(r.q.Assumed, Assumption{"read as", []string{from, to}})
	}
}

// noted reports whether a correction is told already, or will be with its span.
func (s *sense) noted(r reading, note string) bool {
	for i := range s.p.spans {
		if s.span(i).note == note && (r.used[i] || s.span(i).kind == spanCue) {
			return true
		}
	}
	from, _, _ := strings.Cut(note, " → ")
	return slices.ContainsFunc(r.q.Assumed, func(a Assumption) bool { return a.Code == "read as" && a.Args[0] == from })
}

// useAll marks all terms of the kinds as used.
func (s *sense) useAll(r *reading, kinds ...string) {
	for _, k := range kinds {
		s.use(r, s.terms(k)...)
	}
}

// houseItem is the house's own ingredient of that folded name, nil if there is none.
func (s *sense) houseItem(folded string) *larder.Item {
	at, ok := int32(0), true
	for _, w := range strings.Fields(folded) {
		if at, ok = s.l.x.next(at, w); !ok {
			return nil
		}
	}
	for _, id := range s.l.x.nodes[at].entries {
		if it := s.l.x.entries[id].Item; it != nil && it.House {
			return it
		}
	}
	return nil
}

// measured is one number of the message with its unit, or the word that stands for one.
type measured struct {
	i      int // span
	dim    quantity.Dimension
	n      quantity.Number // in the base unit
	hi     *quantity.Number
	q      quantity.Quantity
	word   string // "bloom", "baume", or the word counted
	of     *Item  // what a mass or count is of
	ofAt   int    // its span, −1 where there is none
	to     bool   // "to", "down to" stands before it
	clause bool   // a comma stands before it
}

// measures reads every number of the message that stands for itself.
func (s *sense) measures() []measured {
	var out []measured
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
			continue
		}
		m := measured{i: i, q: sp.q.Q, dim: sp.q.Q.Unit.Dim, n: sp.q.Q.Base(), ofAt: -1}
		if sp.q.Hi != nil {
			hi := sp.q.Hi.Base()
			m.hi = &hi
		}
		m.to = s.saidTo(i)
		m.clause = s.l.tokens[sp.from].breaks
		switch m.dim {
		case quantity.None:
			m.word = s.numberWord(i)
		case quantity.Mass, quantity.Volume:
			s.massOf(&m)
		}
		if m.dim == quantity.None && m.word != "bloom" && m.word != "baume" {
			s.massOf(&m)
		}
		out = append(out, m)
	}
	return out
}

// saidTo reports whether a goal is meant: "to 600 g", "down to 50".
func (s *sense) saidTo(i int) bool {
	f := s.span(i).from
	for k := f - 1; k >= 0 && k >= f-2; k-- {
		switch s.l.tokens[k].plain {
		case "to", "until", "till", "reach", "get", "at":
			return s.l.tokens[k].plain != "at"
		case "about", "around", "only", "just", "a":
			continue
		}
		return false
	}
	return false
}

// numberWord is the word right behind a bare number, "bloom" and "baume" also where they stand before it.
func (s *sense) numberWord(i int) string {
	sp := s.span(i)
	for _, t := range s.l.terms {
		if t.kind != "unit" {
			continue
		}
		if t.from == sp.to && !(t.from < len(s.l.tokens) && s.l.tokens[t.from].breaks) {
			return t.name
		}
	}
	if sp.to < len(s.l.tokens) && s.l.tokens[sp.to].plain == "be" && strings.HasPrefix(strings.ToLower(s.l.text[s.l.tokens[sp.to].start:]), "bé") {
		return "baume"
	}
	for _, t := range s.l.terms {
		if t.kind == "unit" && t.to == sp.from && (sp.to >= len(s.l.tokens) || !s.unitAt(sp.to)) {
			return t.name
		}
	}
	if sp.to < len(s.l.tokens) && !s.l.tokens[sp.to].breaks {
		return s.l.tokens[sp.to].fold
	}
	return ""
}

func (s *sense) unitAt(tok int) bool {
	return slices.ContainsFunc(s.l.terms, func(t term) bool { return t.kind == "unit" && t.from == tok })
}

// massOf finds what a mass or count is of: the name, food word or term behind it.
func (s *sense) massOf(m *measured) {
	j := s.next(m.i)
	if j < 0 {
		return
	}
	if it, ok := s.itemOrFood(j); ok {
		m.of, m.ofAt = &it, j
	}
}

// itemOrFood is span j as an ingredient, known or not.
func (s *sense) itemOrFood(j int) (Item, bool) {
	switch s.span(j).kind {
	case spanName:
		if s.thingOf(j, kb.PanName, kb.MouldName, kb.MachineName, kb.ColdName, kb.ScaleName) != nil {
			if s.partOfPan(j) && s.inTerm(j, "thing") { // "2 kg stock" where the house has a stock pot
				return Item{Text: s.text(j), Names: []string{s.folded(s.span(j))}, Foreign: true}, true
			}
			return Item{}, false
		}
		return s.item(j)
	case spanUnused:
		return s.foreign(j)
	}
	return Item{}, false
}

// take puts a measured number into the question and marks it as used.
func (s *sense) take(r *reading, m measured) {
	if r.used[m.i] {
		return
	}
	c := &r.q.Craft
	r.used[m.i] = true
	switch m.dim {
	case quantity.Brix:
		c.Brix = append(c.Brix, m.n)
	case quantity.Temperature:
		c.Celsius = append(c.Celsius, m.n)
	case quantity.Share:
		c.Share = append(c.Share, m.n)
	case quantity.Time:
		c.Minutes = append(c.Minutes, m.n)
	case quantity.Density:
		c.Density = append(c.Density, m.n)
	case quantity.Length:
		c.Metres = append(c.Metres, m.n.Div(quantity.Int(100)))
	case quantity.Mass, quantity.Volume:
		g := Given{Q: m.q}
		if m.of != nil {
			g.Item = *m.of
			r.used[m.ofAt] = true
		}
		c.Amounts = append(c.Amounts, g)
	case quantity.None:
		switch m.word {
		case "bloom":
			c.Bloom = append(c.Bloom, m.n)
		case "baume":
			c.Baume = append(c.Baume, m.n)
		default:
			c.Counts = append(c.Counts, m.n)
		}
	}
}

// takeDims takes every number of the given dimensions.
func (s *sense) takeDims(r *reading, ms []measured, dims ...quantity.Dimension) {
	for _, m := range ms {
		if slices.Contains(dims, m.dim) {
			s.take(r, m)
		}
	}
}

// counted returns how many numbers are of the dimension.
func counted(ms []measured, dim quantity.Dimension) int {
	n := 0
	for _, m := range ms {
		if m.dim == dim {
			n++
		}
	}
	return n
}

// takeFoods takes the names and food words that are left as ingredients.
func (s *sense) takeFoods(r *reading) {
	for i := range s.p.spans {
		if r.used[i] || s.inTerm(i, "agent") {
			continue
		}
		if it, ok := s.itemOrFood(i); ok {
			r.q.Items = append(r.q.Items, it)
			r.used[i] = true
		}
	}
}

// inTerm reports whether span i lies in a term of one of the kinds.
func (s *sense) inTerm(i int, kinds ...string) bool {
	sp := s.span(i)
	return slices.ContainsFunc(s.l.terms, func(t term) bool {
		return slices.Contains(kinds, t.kind) && t.from <= sp.from && sp.to <= t.to
	})
}

// craftCues are the words that a question of the craft may hold without meaning more.
var craftCues = plainCues.with(cueHowmuch, cueHowmany, cueTemp, cueWhen, cueContain, cueConvert, cueOnebatch, cueWeigh, cueOr, cueOnly, cueEnough, cueMethod, cueUses, cueHowlong)

// craft begins a reading without a recipe.
func (s *sense) craft(w Want, about, topic string) reading {
	r := s.reading(w, about)
	r.q.Craft.Topic = topic
	r.consumes = craftCues
	return r
}

// craftOf begins a reading on a pick.
func (s *sense) craftOf(w Want, about, topic string, p pick) reading {
	r := s.start(w, about, p)
	r.q.Craft.Topic = topic
	r.consumes = r.consumes.or(craftCues)
	return r
}

// recipeNamed reports whether a name outside the terms can only be a recipe's.
func (s *sense) recipeNamed(kinds ...string) bool {
	for _, i := range s.names {
		if s.inTerm(i, kinds...) {
			continue
		}
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part {
			return true
		}
	}
	return false
}
