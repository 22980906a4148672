// Package index searches the recipes of a book by words: one snapshot flows in,
// and for a text the recipes that hold its words flow out, nearest first.
//
// It is for what the book's names leave over, and for "something with pear and
// walnut". The snapshot is the truth; the index can be thrown away at any time.
package index
