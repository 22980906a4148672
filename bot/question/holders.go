package question

import (
	"slices"
	"strings"
	"sync"

	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
)

// holders finds the recipes that may have a line of an ingredient, by their place
// in Lexicon.recipes, without looking at all of a large book.
type holders struct {
	word map[string][]int32
	item map[*larder.Item][]int32
	link map[*kb.Recipe][]int32
}

// newHolders is made when it is first asked for: few questions need it.
func newHolders(recipes []*kb.Recipe) func() *holders {
	return sync.OnceValue(func() *holders {
		h := &holders{map[string][]int32{}, map[*larder.Item][]int32{}, map[*kb.Recipe][]int32{}}
		for at, r := range recipes {
			for i := range r.Lines {
				l := &r.Lines[i]
				h.words(int32(at), l.Fold)
				h.words(int32(at), l.FoldAs)
				if l.Amount.Piece != "" {
					h.words(int32(at), name.Fold(l.Amount.Piece))
				}
				if l.Item != nil {
					put(h.item, l.Item, int32(at))
				}
				if l.Link != nil {
					put(h.link, l.Link, int32(at))
					for _, a := range l.Link.Also {
						h.words(int32(at), name.Fold(a))
					}
				}
			}
		}
		return h
	})
}

// linking are the recipes that have another on a line, in the book's order.
func (x *Lexicon) linking(part *kb.Recipe) []*kb.Recipe {
	at := x.holds().link[part]
	out := make([]*kb.Recipe, len(at))
	for i, k := range at {
		out[i] = x.recipes[k]
	}
	return out
}

func (h *holders) words(at int32, fold string) {
	for w := range strings.SplitSeq(fold, " ") {
		if w != "" {
			put(h.word, w, at)
		}
	}
}

func put[K comparable](m map[K][]int32, k K, at int32) {
	if all := m[k]; len(all) == 0 || all[len(all)-1] != at {
		m[k] = append(all, at)
	}
}

// of are lists that hold all recipes that may have a line of an item; false where
// only a look at each recipe tells.
func (h *holders) of(it *Item) (lists [][]int32, ok bool) {
	if it.Class != "" {
		return nil, false
	}
	if it.Larder != nil {
		lists = append(lists, h.item[it.Larder])
	}
	if it.Recipe != nil {
		lists = append(lists, h.link[it.Recipe])
	}
	for _, n := range it.Names {
		var rarest []int32
		found := false
		for w := range strings.SplitSeq(n, " ") {
			if w == "" || w == "%" {
				continue
			}
			if some := h.word[w]; !found || len(some) < len(rarest) {
				rarest, found = some, true
			}
		}
		lists = append(lists, rarest)
	}
	return lists, true
}

// withAll are the recipes that may hold all of some items, in the book's order.
func (x *Lexicon) withAll(items []Item) []*kb.Recipe {
	h := x.holds()
	var least [][]int32
	fewest := -1
	for i := range items {
		lists, ok := h.of(&items[i])
		if !ok {
			continue
		}
		n := 0
		for _, l := range lists {
			n += len(l)
		}
		if fewest < 0 || n < fewest {
			least, fewest = lists, n
		}
	}
	if fewest < 0 {
		return x.recipes
	}
	at := slices.Concat(least...)
	slices.Sort(at)
	at = slices.Compact(at)
	out := make([]*kb.Recipe, len(at))
	for i, k := range at {
		out[i] = x.recipes[k]
	}
	return out
}
