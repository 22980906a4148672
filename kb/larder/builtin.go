package larder

import (
	"sync"

	"tamis/kb/name"
)

// builtin is the embedded larder, decoded. Nothing in it changes.
type builtin struct {
	all    []*Item          // in order of name
	names  map[string]*Item // names and synonyms, folded
	titles map[string]*Item // names only
}

// builtIn decodes the embedded data, once.
var builtIn = sync.OnceValue(decode)

// BuiltIn returns the items of the built-in larder in order of name; the caller
// must not change them.
func BuiltIn() []*Item { return builtIn().all }

func (b *builtin) items() []*Item           { return b.all }
func (b *builtin) find(folded string) *Item { return b.names[folded] }

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
	if it := b.titles[f]; it != nil {
		return it, nameIsName
	}
	if it := b.names[f]; it != nil {
		return it, nameIsSynonym
	}
	for _, s := range h.Also {
		if it := b.titles[name.Fold(s)]; it != nil {
			return it, synonymIsName
		}
	}
	for _, s := range h.Also {
		if it := b.names[name.Fold(s)]; it != nil {
			return it, synonymIsSynonym
		}
	}
	return nil, 0
}
