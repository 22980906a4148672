package kb

import (
	"cmp"
	"math/bits"
	"slices"
	"strings"
	"unicode/utf8"

	"tamis/kb/name"
)

// nearest finds the names closest to a misspelt one.
type nearest struct {
	names  []nearName
	byWord map[string][]int32
}

type nearName struct {
	text    string // as written
	fold    string
	letters uint64 // which letters it has, a bit each
	length  int
	recipe  bool
}

// nearestNames are all names of the larder and of recipes.
func (b *builder) nearestNames() *nearest {
	if b.root != nil {
		b.root.making.Lock()
		defer b.root.making.Unlock()
		return b.root.nearestNames()
	}
	if b.near != nil {
		return b.near
	}
	b.near = &nearest{byWord: map[string][]int32{}}
	seen := map[string]bool{}
	for _, e := range b.entries {
		for _, n := range append([]string{e.r.Name}, e.r.Also...) {
			b.near.add(n, true, seen)
		}
	}
	for _, it := range b.larder.Items() {
		b.near.add(it.Name, false, seen)
		for _, a := range it.Also {
			b.near.add(a, false, seen)
		}
	}
	return b.near
}

func (n *nearest) add(text string, isRecipe bool, seen map[string]bool) {
	f := name.Fold(text)
	if f == "" || seen[f] {
		return
	}
	seen[f] = true
	for _, w := range strings.Fields(f) {
		n.byWord[w] = append(n.byWord[w], int32(len(n.names)))
	}
	n.names = append(n.names, nearName{text, f, letters(f), utf8.RuneCountInString(f), isRecipe})
}

// find returns up to three names near fold: a few letters away, else those that
// have all its words and more, or two of its words and no other. Ties keep the
// order of names.
func (n *nearest) find(fold string, recipesOnly bool) []string {
	type hit struct{ i, d int }
	var hits []hit
	length, set := utf8.RuneCountInString(fold), letters(fold)
	most := min(max(length/4, 1), 3)
	for i := range n.names {
		c := &n.names[i]
		if recipesOnly && !c.recipe || c.fold == fold || c.length > length+most || c.length < length-most || bits.OnesCount64(c.letters^set) > 2*most {
			continue
		}
		if d, ok := name.Slips(fold, c.fold, most); ok {
			hits = append(hits, hit{i, d})
		}
	}
	if len(hits) == 0 && fold != "" {
		words := strings.Fields(fold)
		tried := map[int32]bool{}
		for _, w := range words {
			for _, i := range n.byWord[w][:min(len(n.byWord[w]), 200)] {
				c := &n.names[i]
				if tried[i] || recipesOnly && !c.recipe || c.fold == fold {
					continue
				}
				tried[i] = true
				theirs := strings.Fields(c.fold)
				if shared := common(words, theirs); shared == len(words) || shared == len(theirs) && shared > 1 {
					hits = append(hits, hit{int(i), len(words) + len(theirs) - 2*shared})
				}
			}
		}
	}
	slices.SortFunc(hits, func(a, b hit) int { return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.i, b.i)) })
	var out []string
	for _, h := range hits[:min(len(hits), maxShown)] {
		out = append(out, clip(n.names[h.i].text))
	}
	return out
}

func (b *builder) nearestRecipes(fold string) []string { return b.nearestNames().find(fold, true) }

func letters(s string) uint64 {
	var set uint64
	for _, r := range s {
		if r != ' ' {
			set |= 1 << (uint32(r) % 64)
		}
	}
	return set
}

func common(a, b []string) int {
	n := 0
	for _, w := range a {
		if slices.Contains(b, w) {
			n++
		}
	}
	return n
}
