package yamldoc

import (
	"iter"

	"gopkg.in/yaml.v3"
)

// Kind is what a [Node] is.
type Kind uint8

// The kinds of a [Node].
const (
	None Kind = iota // not there
	Text
	List
	Map
)

// String returns the word for k.
func (k Kind) String() string { return [...]string{"nothing", "text", "list", "mapping"}[k] }

func (k Kind) article() string {
	switch k {
	case List:
		return "a list"
	case Map:
		return "a mapping"
	case Text:
		return "words on one line"
	}
	return "nothing"
}

// Node is one value of a checked tree. The zero Node is not there; asking it
// anything is allowed and gives nothing.
type Node struct{ y *yaml.Node }

// Exists reports whether the node is there.
func (n Node) Exists() bool { return n.y != nil }

// Kind returns what n is.
func (n Node) Kind() Kind {
	if n.y == nil {
		return None
	}
	switch n.y.Kind {
	case yaml.ScalarNode:
		return Text
	case yaml.SequenceNode:
		return List
	case yaml.MappingNode:
		return Map
	}
	return None
}

// Line returns the line n begins on, from 1; 0 if n is not there.
func (n Node) Line() int {
	if n.y == nil {
		return 0
	}
	return n.y.Line
}

// Column returns the column n begins at in characters, from 1; 0 if n is not there.
func (n Node) Column() int {
	if n.y == nil {
		return 0
	}
	return n.y.Column
}

// Text returns the text as written, without the quotes; nothing, `~` and a bare
// null are "". Lists and mappings have none.
func (n Node) Text() string {
	if n.y == nil || n.y.Kind != yaml.ScalarNode || (n.y.Tag == nullTag && n.y.Style == 0) {
		return ""
	}
	return n.y.Value
}

// Quoted reports whether the text stands in quotes or in a block.
func (n Node) Quoted() bool { return n.Kind() == Text && n.y.Style != 0 }

// Flow reports whether a list or mapping is written on one line in brackets.
func (n Node) Flow() bool { return n.y != nil && n.y.Style&yaml.FlowStyle != 0 }

// Empty reports whether n is not there, empty text, or a list or mapping of nothing.
func (n Node) Empty() bool {
	switch n.Kind() {
	case Text:
		return n.Text() == ""
	case List, Map:
		return len(n.y.Content) == 0
	}
	return true
}

// Len returns the number of items of a list or of keys of a mapping.
func (n Node) Len() int {
	switch n.Kind() {
	case List:
		return len(n.y.Content)
	case Map:
		return len(n.y.Content) / 2
	}
	return 0
}

// Item returns item i of a list.
func (n Node) Item(i int) Node { return Node{n.y.Content[i]} }

// Items ranges over a list; anything else has no items.
func (n Node) Items() iter.Seq2[int, Node] {
	return func(yield func(int, Node) bool) {
		if n.Kind() != List {
			return
		}
		for i, c := range n.y.Content {
			if !yield(i, Node{c}) {
				return
			}
		}
	}
}

// Entry returns key and value i of a mapping.
func (n Node) Entry(i int) (key, value Node) {
	return Node{n.y.Content[2*i]}, Node{n.y.Content[2*i+1]}
}

// Entries ranges over keys and values of a mapping in the file's order;
// anything else has none.
func (n Node) Entries() iter.Seq2[Node, Node] {
	return func(yield func(Node, Node) bool) {
		if n.Kind() != Map {
			return
		}
		for i := 0; i+1 < len(n.y.Content); i += 2 {
			if !yield(Node{n.y.Content[i]}, Node{n.y.Content[i+1]}) {
				return
			}
		}
	}
}

// Get returns the value of key in a mapping; the zero Node if it is not there.
func (n Node) Get(key string) Node {
	for k, v := range n.Entries() {
		if k.y.Value == key {
			return v
		}
	}
	return Node{}
}
