package larder

import "tamis/kb/recipe"

// Larder is all ingredients a house knows. It does not change once made.
type Larder struct {
	items []*Item // the house's and the built-in, in order of name
}

// Parse reads a house's larder.yaml into the entries as written.
func Parse(file string, data []byte) ([]*Item, []recipe.Fault) {
	panic("being written")
}

// New lays the house's entries over the built-in larder.
func New(house []*Item) *Larder {
	panic("being written")
}

// Find returns the item with that name or synonym (folded), or nil: the
// house's entries first, names before synonyms.
func (l *Larder) Find(name string) *Item {
	panic("being written")
}

// Items returns all items in order of name; the caller must not change them.
func (l *Larder) Items() []*Item { return l.items }
