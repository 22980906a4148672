package phrase

import (
	"fmt"
	"slices"
	"strings"
	"sync"
)

// A grammar says which words of one language may stand where: alone in a clause,
// before a figure, before a name, between two slots, after one. What it has no
// turn for is not said. See words/en.txt for the notation.
type grammar struct {
	ids  map[string]int32
	core int32 // ids above are guests: words of other languages
	nets map[string]*net
	inv  map[int32]bool // no clause with a slot begins with these
}

// net is a set of word sequences, as an automaton without loops.
type net struct {
	next  []map[int32][]int32
	final []bool
}

// most words of a clause; a set of places in it is one uint64.
const mostWords = 60

// languages that have a grammar.
var languages = [...]string{"en", "de", "es", "fr", "it", "pt"}

var grammars = sync.OnceValue(func() map[string]*grammar {
	all := map[string]*grammar{}
	for _, lang := range languages {
		data, err := wordFiles.ReadFile("words/" + lang + ".txt")
		if err == nil {
			all[lang], err = readGrammar(string(data))
		}
		if err != nil {
			panic("bot/phrase: words/" + lang + ".txt: " + err.Error())
		}
	}
	return all
})

// kinds of lines in a grammar.
var parts = []string{
	"alone", "hail", "offer", "tail", "lead", "before figure", "before name", "start figure", "start name", "after figure", "after name",
	"figure figure", "figure name", "figure asked", "name figure", "name name",
}

func readGrammar(text string) (*grammar, error) {
	g := &grammar{ids: map[string]int32{}, nets: map[string]*net{}, inv: map[int32]bool{}}
	for _, p := range parts {
		g.nets[p] = &net{next: []map[int32][]int32{nil}, final: []bool{false}}
	}
	classes := map[string]node{}
	add := func(n *net, p string) error {
		tree, err := parse(p, classes)
		if err != nil {
			return err
		}
		for _, end := range g.build(n, tree, []int32{0}) {
			if end == 0 {
				return fmt.Errorf("%q may be nothing", p)
			}
			n.final[end] = true
		}
		return nil
	}
	var guests []string
	for i, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if name, rest, ok := strings.Cut(line, "="); ok && strings.HasPrefix(line, "@") {
			n, err := parse(rest, classes)
			if err != nil {
				return nil, fmt.Errorf("line %d: %w", i+1, err)
			}
			classes[strings.TrimSpace(name)] = n
			continue
		}
		tag, rest, _ := strings.Cut(line, ":")
		if tag == "never first" {
			for _, w := range strings.Fields(rest) {
				g.inv[g.id(w)] = true
			}
			continue
		}
		if tag == "guest" {
			guests = append(guests, strings.Split(rest, ";")...)
			continue
		}
		n := g.nets[tag]
		if n == nil {
			return nil, fmt.Errorf("line %d: no part %q", i+1, tag)
		}
		for _, p := range strings.Split(rest, ";") {
			if p = strings.TrimSpace(p); p == "" {
				continue
			}
			if err := add(n, p); err != nil {
				return nil, fmt.Errorf("line %d: %w", i+1, err)
			}
		}
	}
	g.core = int32(len(g.ids))
	for _, p := range guests {
		if err := add(g.nets["alone"], strings.TrimSpace(p)); err != nil {
			return nil, err
		}
	}
	return g, nil
}

func (g *grammar) id(w string) int32 {
	n, ok := g.ids[w]
	if !ok {
		n = int32(len(g.ids) + 1)
		g.ids[w] = n
	}
	return n
}

// node is a piece of a pattern: a word, or the sequences it may be.
type node struct {
	word string
	alts [][]node
}

// parse reads "you (need|want) [the]": a group of alternatives, a piece that may
// be missing, @class.
func parse(s string, classes map[string]node) (node, error) {
	toks := strings.Fields(strings.NewReplacer("(", " ( ", ")", " ) ", "[", " [ ", "]", " ] ", "|", " | ").Replace(s))
	n, rest, err := alternatives(toks, classes)
	if err == nil && len(rest) > 0 {
		err = fmt.Errorf("%q: %q is one too many", s, rest[0])
	}
	return n, err
}

func alternatives(toks []string, classes map[string]node) (node, []string, error) {
	n := node{alts: [][]node{nil}}
	for len(toks) > 0 {
		last := len(n.alts) - 1
		t := toks[0]
		switch {
		case t == "|":
			n.alts = append(n.alts, nil)
			toks = toks[1:]
		case t == "(" || t == "[":
			inner, rest, err := alternatives(toks[1:], classes)
			if err != nil {
				return n, nil, err
			}
			end := map[string]string{"(": ")", "[": "]"}[t]
			if len(rest) == 0 || rest[0] != end {
				return n, nil, fmt.Errorf("%q without %q", t, end)
			}
			if t == "[" {
				inner.alts = append(inner.alts, nil)
			}
			n.alts[last] = append(n.alts[last], inner)
			toks = rest[1:]
		case t == ")" || t == "]":
			return n, toks, nil
		case strings.HasPrefix(t, "@"):
			c, ok := classes[t]
			if !ok {
				return n, nil, fmt.Errorf("no class %q", t)
			}
			n.alts[last] = append(n.alts[last], c)
			toks = toks[1:]
		default:
			n.alts[last] = append(n.alts[last], node{word: t})
			toks = toks[1:]
		}
	}
	return n, nil, nil
}

// build lets a pattern begin in states from and returns where it ends.
func (g *grammar) build(n *net, p node, from []int32) []int32 {
	if p.word != "" {
		to := n.state()
		n.edges(from, g.id(p.word), to)
		return []int32{to}
	}
	var ends []int32
	shared := int32(-1)
	for _, seq := range p.alts {
		if len(seq) == 1 && seq[0].word != "" {
			if shared < 0 {
				shared = n.state()
				ends = append(ends, shared)
			}
			n.edges(from, g.id(seq[0].word), shared)
			continue
		}
		at := from
		for _, piece := range seq {
			at = g.build(n, piece, at)
		}
		ends = append(ends, at...)
	}
	slices.Sort(ends)
	return slices.Compact(ends)
}

func (n *net) state() int32 {
	n.next, n.final = append(n.next, nil), append(n.final, false)
	return int32(len(n.next) - 1)
}

func (n *net) edges(from []int32, w, to int32) {
	for _, f := range from {
		if n.next[f] == nil {
			n.next[f] = map[int32][]int32{}
		}
		if !slices.Contains(n.next[f][w], to) {
			n.next[f][w] = append(n.next[f][w], to)
		}
	}
}

// ends are the places where a sequence that begins at words[at] may end.
func (n *net) ends(words []int32, at int) uint64 {
	var room [2][64]int32
	var ends uint64
	cur := append(room[0][:0], 0)
	for i := at; i < len(words) && len(cur) > 0; i++ {
		to := room[(i-at+1)%2][:0]
		for _, s := range cur {
			for _, t := range n.next[s][words[i]] {
				to = append(to, t)
				if n.final[t] {
					ends |= 1 << (i + 1)
				}
			}
		}
		cur = to
	}
	return ends
}

// cover adds the places that are reached from set by one sequence after another.
func (n *net) cover(words []int32, set uint64) uint64 {
	for i := range words {
		if set&(1<<i) != 0 {
			set |= n.ends(words, i)
		}
	}
	return set
}

// through reports whether a sequence leads from a place of set to the end.
func (n *net) through(words []int32, set uint64) bool {
	for i := range words {
		if set&(1<<i) != 0 && n.ends(words, i)&(1<<len(words)) != 0 {
			return true
		}
	}
	return false
}

// role is what a slot may be: a figure, a name, or either.
type role int

const (
	figure role = 1 << iota
	named
	asked // a name that a figure is made from: "200 ml"
)

// piece is a word, or a slot where role is set.
type piece struct {
	word string
	role role
	raw  string
}

// clause is what stands between two marks.
type clause struct {
	pieces []piece
	after  rune // the mark behind it
}

// says reports whether a clause is a turn of the grammar. A clause that goes on
// from an earlier one of its sentence ("[[1]], chef, for [[2]]") is given the role
// of the last slot there, others 0.
func (g *grammar) says(c clause, before role) bool {
	var room [mostWords]int32
	words := room[:0]
	start, goesOn := true, before != 0
	for _, p := range c.pieces {
		if p.role == 0 {
			id, ok := g.ids[p.word]
			if !ok || len(words) == mostWords {
				return false
			}
			words = append(words, id)
			continue
		}
		switch {
		case goesOn && !g.goesOn(before, words, p.role):
			return false
		case goesOn:
		case start && !g.opens(words, p.role) || !start && !g.joins(before, words, p.role):
			return false
		}
		before, words, start, goesOn = p.role, words[:0], false, false
	}
	switch {
	case goesOn:
		return g.closes(before, words)
	case start:
		return g.alone(words) || c.after == ':' && g.opens(words, figure)
	case g.closes(before, words):
		return true
	}
	return c.after == ':' && (g.joins(before, words, figure) || g.nets["alone"].cover(words, 1)&(1<<len(words)) != 0)
}

// goesOn reports whether words may stand between a slot of an earlier clause and
// the first of this.
func (g *grammar) goesOn(a role, words []int32, b role) bool {
	set := g.nets["tail"].cover(words, 1) | g.nets["alone"].cover(words, 1)
	for i := range words {
		if set&(1<<i) != 0 && g.joins(a, words[i:], b) {
			return true
		}
	}
	return false
}

// alone reports whether words are turns that stand by themselves, three at most
// and one of a single word: "yeah" and "right" are, "yeah right" is not.
func (g *grammar) alone(words []int32) bool {
	n := g.nets["alone"]
	done := uint64(1) << len(words)
	var reach [2]uint64 // by how many turns are single words
	reach[0] = 1
	for range 3 {
		var next [2]uint64
		for i := range words {
			for k := range reach {
				if reach[k]&(1<<i) == 0 {
					continue
				}
				ends := n.ends(words, i)
				single := ends & (1 << (i + 1))
				next[k] |= ends &^ single
				if k == 0 {
					next[1] |= single
				}
			}
		}
		if (next[0]|next[1])&done != 0 {
			return true
		}
		reach = next
	}
	return false
}

// of returns the nets of a part for the roles a slot may have.
func (g *grammar) of(part string, r role) []*net {
	var nets []*net
	if r&figure != 0 {
		nets = append(nets, g.nets[part+" figure"])
	}
	if r&named != 0 {
		nets = append(nets, g.nets[part+" name"])
	}
	return nets
}

// opens reports whether words may lead to the first slot of a clause.
func (g *grammar) opens(words []int32, r role) bool {
	if len(words) == 0 {
		return true
	}
	if g.inv[words[0]] {
		return false
	}
	if r&figure == 0 && g.alone(words) { // "good [[1]]" would weigh it generously
		return true
	}
	hail := g.nets["alone"].cover(words, 1)
	lead := g.nets["lead"].cover(words, hail)
	for _, n := range g.of("start", r) {
		if n.through(words, hail) {
			return true
		}
	}
	for _, n := range g.of("before", r) {
		if n.through(words, lead) {
			return true
		}
	}
	return false
}

// joins reports whether words may stand between two slots with no mark between.
func (g *grammar) joins(a role, words []int32, b role) bool {
	if len(words) == 0 {
		return a&figure != 0 && b&named != 0
	}
	for _, x := range []role{figure, named} {
		for _, y := range []role{figure, named} {
			if a&x == 0 || b&y == 0 {
				continue
			}
			if x == figure && b&asked != 0 && g.nets["figure asked"].through(words, 1) {
				return true
			}
			link := g.nets[x.String()+" "+y.String()]
			if x == named && link.through(words, 1) {
				return true
			}
			if x == figure && link.through(words, g.nets["after figure"].cover(words, 1)) {
				return true
			}
			if x == named && y == figure {
				set := g.nets["lead"].cover(words, 1|g.nets["after name"].ends(words, 0))
				if g.nets["before figure"].through(words, set) {
					return true
				}
			}
		}
	}
	return false
}

// closes reports whether words may stand behind the last slot of a clause.
func (g *grammar) closes(r role, words []int32) bool {
	set := uint64(1)
	for _, n := range g.of("after", r) {
		set |= n.ends(words, 0)
	}
	return g.nets["tail"].cover(words, set)&(1<<len(words)) != 0
}

func (r role) String() string {
	if r == figure {
		return "figure"
	}
	return "name"
}

// knows reports whether any grammar has the word.
func knows(w string) bool {
	for _, g := range grammars() {
		if g.ids[w] != 0 {
			return true
		}
	}
	return false
}

// falseFriends are plain words of a language that English or another uses for
// what may not stand: a rate, yesterday, an address.
var falseFriends = set("per par por hier am com ai die um prima on in an so was also fast gut no")

// foreign are words that English has in a turn or two and others often.
var foreign = set("per")

// spoken are the languages a wording may be in: that of the house, English, and
// any of which it holds two words that English has not: one may be a slip or a
// trick.
func spoken(house string, words []string) []*grammar {
	all := grammars()
	var out []*grammar
	if g := all[house]; g != nil {
		out = append(out, g)
	}
	en := all["en"]
	if house != "en" {
		out = append(out, en)
	}
	var signs [len(languages)]int // words of each that English has not
	var sure [len(languages)]bool // one of them is nobody's limit, number or unit
	for i, w := range words {
		if id := en.ids[w]; id != 0 && id <= en.core && !foreign[w] || slices.Contains(words[:i], w) {
			continue
		}
		for k, lang := range languages {
			if id := all[lang].ids[w]; id != 0 && id <= all[lang].core {
				signs[k]++
				sure[k] = sure[k] || !falseFriends[w] && loaded().reason(w) == ReasonNone
			}
		}
	}
	for k, lang := range languages {
		if g := all[lang]; signs[k] > 1 && sure[k] && !slices.Contains(out, g) {
			out = append(out, g)
		}
	}
	return out
}
