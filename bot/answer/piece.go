package answer

import (
	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// pieceMass returns the mass of one piece in g. A bare count is of the one word that the
// larder counts by, where it has no other: 4 fennel are 4 bulbs.
func (b *Book) pieceMass(it *question.Item, l *kb.Line, word string) (quantity.Number, bool) {
	item := itemOf(it, l)
	if item == nil {
		return quantity.Number{}, false
	}
	if m, ok := item.Piece[name.Fold(word)]; ok {
		return m, true
	}
	if m, ok := item.Piece[""]; ok || len(item.Piece) != 1 || word != "" && name.Fold(word) != "each" && name.Fold(word) != "piece" {
		return m, ok
	}
	for _, m := range item.Piece {
		return m, true
	}
	return quantity.Number{}, false
}
