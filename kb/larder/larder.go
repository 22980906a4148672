package larder

import (
	"slices"
	"strings"

	"tamis/kb/name"
)

// Larder is all ingredients a house knows. It does not change once made.
type Larder struct {
	items  []*Item // the house's and the built-in, in order of name
	byName map[string]*Item
	base   *builtin        // answers what byName does not
	stands map[*Item]*Item // for built-in items that are not as built in: what stands in their place, or nil
}

// New lays the house's entries over the built-in larder. A house entry overlays
// the built-in item that its name or a synonym names, the name first. Of several
// entries for one built-in item each takes its data, and the nearest its names.
// A name the house uses for one thing is no longer a synonym of another.
func New(house []*Item) *Larder { return lay(house, builtIn()) }

func lay(house []*Item, base *builtin) *Larder {
	l := &Larder{byName: make(map[string]*Item, 4*len(house)), base: base, stands: map[*Item]*Item{}}
	under := make([]*Item, len(house)) // the built-in item below each entry
	heir := map[*Item]int{}            // the entry that takes a built-in item's names
	best := map[*Item]int{}
	for i, h := range house {
		b, rank := base.match(h)
		if under[i] = b; b == nil {
			continue
		}
		if _, ok := heir[b]; !ok || rank < best[b] {
			heir[b], best[b] = i, rank
		}
	}
	laid := make([]*Item, len(house))
	for i, h := range house {
		laid[i] = overlay(h, under[i])
		l.claim(h.Name, laid[i]) // names before synonyms, earlier entries before later
	}
	for i, h := range house {
		for _, s := range h.Also {
			l.claim(s, laid[i])
		}
	}
	l.setAside(heir)
	for i, it := range laid {
		if b := under[i]; b != nil && heir[b] == i {
			for _, s := range append([]string{b.Name}, b.Also...) {
				if l.claim(s, it) {
					it.Also = append(it.Also, s)
				}
			}
		}
	}
	l.items = append(l.items, laid...)
	for _, b := range base.all { // not yet complete: see Items
		s, ok := l.stands[b]
		switch {
		case !ok:
			l.items = append(l.items, b)
		case s != nil:
			l.items = append(l.items, s)
		}
	}
	slices.SortStableFunc(l.items, func(a, b *Item) int { return strings.Compare(a.Name, b.Name) })
	return l
}

// claim gives text to it and reports whether it was free.
func (l *Larder) claim(text string, it *Item) bool {
	f := name.Fold(text)
	if _, taken := l.byName[f]; taken || f == "" {
		return false
	}
	l.byName[f] = it
	return true
}

// setAside notes the built-in items that the house overlays, and takes the names
// that the house uses from the others. One without any name left is out.
func (l *Larder) setAside(heir map[*Item]int) {
	robbed := map[*Item]bool{}
	for f := range l.byName { // order does not matter: each item is remade from l.byName alone
		if b := l.base.find(f); b != nil {
			robbed[b] = true
		}
	}
	for b := range robbed {
		var left []string
		for _, s := range append([]string{b.Name}, b.Also...) {
			if _, taken := l.byName[name.Fold(s)]; !taken {
				left = append(left, s)
			}
		}
		if len(left) == 0 {
			l.stands[b] = nil
			continue
		}
		c := *b
		c.Name, c.Also = left[0], left[1:]
		l.stands[b] = &c
	}
	for b := range heir {
		l.stands[b] = nil
	}
}

// Find returns the item with that name or synonym (folded), or nil: the
// house's entries first, names before synonyms.
func (l *Larder) Find(text string) *Item {
	f := name.Fold(text)
	if it, ok := l.byName[f]; ok {
		return it
	}
	it := l.base.find(f)
	if it == nil {
		return nil
	}
	if s, ok := l.stands[it]; ok {
		return s
	}
	return it
}

// Items returns all items in order of name; the caller must not change them.
func (l *Larder) Items() []*Item {
	l.base.whole()
	return l.items
}
