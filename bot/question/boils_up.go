package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// boilsUp reports whether it is heat that takes a syrup from one °Bx to a higher, and no
// sugar: "boiled up to 60 brix", "bring it to 60, what is left".
func (s *sense) boilsUp() bool {
	if s.saysOf("add", "adds", "adding", "added", "sweeten", "stir", "sugar", "dextrose", "glucose") || s.l.says("top", "up") {
		return false
	}
	if s.saysOf("left", "remains", "remain", "remaining", "stove", "hob", "heat", "flame", "burner") {
		return true
	}
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		return slices.ContainsFunc([]string{"boil", "cook", "simmer", "bubbl", "steam", "evaporat", "thicken", "reduc", "concentrat"}, func(w string) bool { return strings.HasPrefix(t.plain, w) })
	})
}

// brixKnown is the °Bx that the larder gives what is named, where one alone is.
func (s *sense) brixKnown() (Item, *quantity.Quantity) {
	var found Item
	var brix *quantity.Quantity
	for _, i := range s.names {
		it, ok := s.item(i)
		if !ok || it.Part || it.Larder == nil || it.Larder.Brix == nil {
			continue
		}
		if brix != nil {
			return Item{}, nil
		}
		q := quantity.Of(*it.Larder.Brix, quantity.BrixDegree)
		found, brix = it, &q
	}
	return found, brix
}
