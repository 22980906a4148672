package larder

import (
	"sync"

	"tamis/kb/name"
)

// builtin is the embedded larder. What it gives out does not change any more.
type builtin struct {
	all    []*Item          // in order of name; complete after whole or at
	lazy   []lazy           // of each item of all, what is not read yet; empty: nothing
	byName map[string]int32 // names and synonyms, folded, to the place in all
	titles map[string]int32 // names only
	rest   sync.Once
}

type lazy struct {
	once          sync.Once
	values, names string
}

// builtIn opens the embedded data, once.
var builtIn = sync.OnceValue(decode)

// BuiltIn returns the items of the built-in larder in order of name; the caller
// must not change them.
func BuiltIn() []*Item { return builtIn().whole() }

// at returns item i, complete.
func (b *builtin) at(i int32) *Item {
	if int(i) < len(b.lazy) {
		l := &b.lazy[i]
		l.once.Do(func() { complete(b.all[i], l.values, l.names) })
	}
	return b.all[i]
}

// whole returns all items, complete.
func (b *builtin) whole() []*Item {
	b.rest.Do(func() {
		for i := range b.all {
			b.at(int32(i))
		}
	})
	return b.all
}

// find returns the item of a folded name, complete, or nil.
func (b *builtin) find(folded string) *Item { return b.get(b.byName, folded) }

func (b *builtin) get(names map[string]int32, folded string) *Item {
	i, ok := names[folded]
	if !ok {
		return nil
	}
	return b.at(i)
}

// The ways a house entry meets a built-in item, nearest first.
const (
	nameIsName = iota
	nameIsSynonym
	synonymIsName
	synonymIsSynonym
)

// match returns the built-in item that h is laid over, or nil, and how near it is.
func (b *builtin) match(h *Item) (*Item, int) {
	f := name.Fold(h.Name)
	if it := b.get(b.titles, f); it != nil {
		return it, nameIsName
	}
	if it := b.find(f); it != nil {
		return it, nameIsSynonym
	}
	for _, s := range h.Also {
		if it := b.get(b.titles, name.Fold(s)); it != nil {
			return it, synonymIsName
		}
	}
	for _, s := range h.Also {
		if it := b.find(name.Fold(s)); it != nil {
			return it, synonymIsSynonym
		}
	}
	return nil, 0
}
