package question

import (
	"slices"
	"sort"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Lexicon is every name of one snapshot, ready to be found in a message. It is
// made once a snapshot and never changes.
type Lexicon struct {
	entries []entry
	nodes   []nameNode // the root first
	edges   map[edge]int32
	// joined finds a name written without its spaces.
	joined map[string][]int32
	tails  []tail           // of entries, one by one
	lastID map[string]int32 // the words that names end in, numbered from 1
	// byWord: for each folded word the recipes, and the ingredients of the book's
	// lines, (indexes of entries) with it in their names.
	byWord  map[string][]int32
	recipes []*kb.Recipe
	fills   map[string][]int32 // see filled

	spell func() *speller
	holds func() *holders
	own   func() ownFoods
}

// entry is one name.
type entry struct {
	kb.Name
	words []string
}

// tail is what a part of a name is weighed by, kept close together: a common word
// stands in thousands of names.
type tail struct {
	last   int32 // the last word, by lastID
	words  int16
	kind   kb.NameKind
	recipe bool
}

// nameNode is a place in the tree of words; edge leads from one to the next.
type nameNode struct {
	entries []int32
	inner   bool // longer names go on from here
}

type edge struct {
	from int32
	word string
}

// next returns the node that a word leads to, or false.
func (x *Lexicon) next(node int32, word string) (int32, bool) {
	n, ok := x.edges[edge{node, word}]
	return n, ok
}

// NewLexicon indexes the names of a snapshot.
func NewLexicon(names []kb.Name) *Lexicon {
	all := append(slices.Clip(names), lineWords(names)...)
	x := &Lexicon{
		entries: make([]entry, 0, len(all)), nodes: make([]nameNode, 1, 2*len(all)), edges: make(map[edge]int32, 2*len(all)),
		joined: make(map[string][]int32, len(all)), byWord: map[string][]int32{},
		tails: make([]tail, 0, len(all)), lastID: map[string]int32{},
	}
	for _, n := range all {
		if n.Fold == "" {
			continue
		}
		w := strings.Split(n.Fold, " ")
		id := int32(len(x.entries))
		x.entries = append(x.entries, entry{n, w})
		x.tails = append(x.tails, x.tailOf(n, w))
		x.put(w, id)
		for _, v := range variants(w) {
			x.put(v, id)
		}
		if j := strings.Join(w, ""); len(w) > 1 || len(j) > 5 {
			x.joined[j] = append(x.joined[j], id)
		}
		if n.Kind == kb.RecipeName || n.Kind == kb.RecipeAlias || n.Kind == kb.IngredientName && n.InBook || n.Kind >= kb.PanName {
			for _, word := range uniq(w) {
				if len(word) > 1 && !structural(word) {
					x.byWord[word] = append(x.byWord[word], id)
				}
			}
		}
		if n.Kind == kb.RecipeName {
			x.recipes = append(x.recipes, n.Recipe)
		}
	}
	x.fills = x.filled()
	x.spell = sync.OnceValue(func() *speller { return newSpeller(x) })
	x.holds = newHolders(x.recipes)
	x.own = sync.OnceValue(func() ownFoods { return newOwnFoods(x.entries) })
	return x
}

func (x *Lexicon) tailOf(n kb.Name, words []string) tail {
	last := words[len(words)-1]
	id := x.lastID[last]
	if id == 0 {
		id = int32(len(x.lastID) + 1)
		x.lastID[last] = id
	}
	return tail{last: id, words: int16(min(len(words), 1<<14)), kind: n.Kind, recipe: n.Recipe != nil}
}

// With is the lexicon of the same names, one by one, that lead to other
// recipes: a new snapshot of the book (see [kb.Snapshot.SameNames]).
func (x *Lexicon) With(names []kb.Name) *Lexicon {
	y := *x
	y.entries, y.recipes = slices.Clone(x.entries), make([]*kb.Recipe, 0, len(x.recipes))
	at := 0
	for _, n := range names {
		if n.Fold == "" {
			continue
		}
		y.entries[at].Name = n
		at++
		if n.Kind == kb.RecipeName {
			y.recipes = append(y.recipes, n.Recipe)
		}
	}
	y.fills = y.filled()
	y.holds = newHolders(y.recipes)
	entries := y.entries
	y.own = sync.OnceValue(func() ownFoods { return newOwnFoods(entries) })
	return &y
}

// lineWords are the names that lines have of their own: as they are written,
// where no name of the book is so, and the words by which they count ("leaves").
func lineWords(names []kb.Name) []kb.Name {
	seen := make(map[string]bool, len(names)+3)
	seen[""], seen["each"], seen["piece"] = true, true, true
	for _, n := range names {
		seen[n.Fold] = n.Kind != kb.IngredientAlias || seen[n.Fold]
	}
	var out []kb.Name
	addFolded := func(text, f string, item *larder.Item) {
		if !seen[f] {
			seen[f] = true
			out = append(out, kb.Name{Text: text, Fold: f, Kind: kb.IngredientName, Item: item, InBook: true})
		}
	}
	add := func(text string, item *larder.Item) { addFolded(text, name.Fold(text), item) }
	for _, n := range names { // "24 g gelatine is how many leaves"
		if n.Kind == kb.IngredientName && n.Item != nil && n.InBook {
			words := make([]string, 0, len(n.Item.Piece))
			for w := range n.Item.Piece {
				words = append(words, w)
			}
			slices.Sort(words)
			for _, w := range words {
				if _, unit := quantity.Metric.UnitNamed(w); !unit {
					add(w, nil)
				}
			}
		}
	}
	for _, n := range names {
		if n.Kind != kb.RecipeName {
			continue
		}
		for i := range n.Recipe.Lines {
			l := &n.Recipe.Lines[i]
			if l.Part != "" {
				add(l.Part, nil)
			}
			if l.Link != nil {
				continue
			}
			addFolded(l.Name, l.Fold, l.Item)
			if l.Amount.Kind == recipe.Pieces {
				add(l.Amount.Piece, nil)
			}
		}
	}
	return out
}

// structural reports whether a word only joins others.
func structural(word string) bool {
	n := cues().root.next[word]
	if n == nil {
		return false
	}
	return n.set.meets(cueSet{}.with(cueIn, cueFor, cueOf, cueWith, cueFrom, cueAnd, cueOr, cueNot)) || len(word) <= 3 && n.set.has(cueFiller)
}

func uniq(w []string) []string {
	s := slices.Clone(w)
	slices.Sort(s)
	return slices.Compact(s)
}

// variants are the other orders in which a name with a percentage is said:
// "cream 35 %" is "35 % cream" and "cream 35".
func variants(w []string) [][]string {
	n := len(w)
	if n < 3 || w[n-1] != "%" {
		return nil
	}
	base, num := w[:n-2], w[n-2]
	return [][]string{
		append([]string{num, "%"}, base...),
		append(slices.Clone(base), num),
		append([]string{num}, base...),
		append(slices.Clone(base), num, "percent"),
		append([]string{num, "percent"}, base...),
	}
}

func (x *Lexicon) put(w []string, id int32) {
	at := int32(0)
	for _, word := range w {
		next, ok := x.next(at, word)
		if !ok {
			next = int32(len(x.nodes))
			x.nodes = append(x.nodes, nameNode{})
			x.nodes[at].inner = true
			x.edges[edge{at, word}] = next
		}
		at = next
	}
	n := &x.nodes[at]
	if k := len(n.entries); k == 0 || n.entries[k-1] != id {
		n.entries = append(n.entries, id)
	}
}

// Recipes returns the recipes by name, as in the snapshot.
func (x *Lexicon) Recipes() []*kb.Recipe { return x.recipes }

// Nearest returns up to n recipe names that share a word with text or are
// spelt like it, best first: what "I don't have that" offers.
func (x *Lexicon) Nearest(text string, n int) []string {
	type hit struct {
		name  string
		score int
	}
	best := map[*kb.Recipe]int{}
	for _, t := range tokenize(text) {
		if t.number || len(t.fold) < 3 {
			continue
		}
		for _, id := range x.byWord[t.fold] {
			if r := x.entries[id].Recipe; r != nil {
				best[r] += 3
			}
		}
		for _, c := range x.spell().near(t.plain, t.fold, 2) {
			for _, id := range x.byWord[c.word] {
				if r := x.entries[id].Recipe; r != nil {
					best[r]++
				}
			}
		}
	}
	hits := make([]hit, 0, len(best))
	for r, s := range best {
		hits = append(hits, hit{r.Name, s})
	}
	sort.Slice(hits, func(i, j int) bool {
		if hits[i].score != hits[j].score {
			return hits[i].score > hits[j].score
		}
		return hits[i].name < hits[j].name
	})
	out := []string{}
	for _, h := range hits[:min(n, len(hits))] {
		out = append(out, h.name)
	}
	return out
}
