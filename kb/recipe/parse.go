package recipe

import "tamis/calc/quantity"

// Sizes of book-format, checked before parsing.
const (
	MaxRecipeBytes = 256 << 10
	MaxHouseBytes  = 256 << 10
	MaxLarderBytes = 2 << 20
)

// Parse reads one recipe file. It returns the recipe as far as it could be
// read (nil if not even a name was found) and every fault and warning of the
// file; a fault puts the recipe out.
func Parse(file string, data []byte, m quantity.Measure) (*Recipe, []Fault) {
	panic("being written")
}

// ParseHouse reads house.yaml; it never returns nil: what cannot be read keeps its default.
func ParseHouse(file string, data []byte) (*House, []Fault) {
	panic("being written")
}
