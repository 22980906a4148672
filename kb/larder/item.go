package larder

import (
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// Origin says where a value comes from.
type Origin struct {
	// From: "house" (larder.yaml), "larder" (built in, Source names the row), "common practice", "from memory".
	From   string
	Source string // row id of the references, "" where there is none
}

// Item is one ingredient, the house's word laid over the built-in one.
type Item struct {
	Name  string
	Also  []string // synonyms, English first, then kitchen words of other languages
	House bool     // the house's larder.yaml has an entry
	Pos   recipe.Pos

	Comp       mix.Composition
	CompOrigin Origin
	CompSource [mix.NumKeys]Origin // per key; CompOrigin where the whole came from one place

	DE     *quantity.Number // dextrose equivalent
	Brix   *quantity.Number // °Bx
	Energy *quantity.Number // kJ per 100 g, stated
	Bloom  *quantity.Number

	Density       *quantity.Number // g/ml
	DensityOrigin Origin

	// Piece masses in g: by folded piece word; "" for any word.
	Piece       map[string]quantity.Number
	PieceOrigin Origin

	Pours *bool

	// Contains: nil unknown, empty none. MayContain likewise.
	Contains       []recipe.Allergen
	ContainsKnown  bool
	ContainsOrigin Origin
	MayContain     []recipe.Allergen

	Suits      []string // vegetarian, vegan, halal, kosher…: only what is stated
	SuitsKnown bool

	Usable *quantity.Number // share that is left after trimming, 0 to 1
	PartOf map[string]quantity.Number

	Price     *quantity.Quantity // money …
	PricePer  quantity.Quantity  // … for this mass, volume or count
	Packs     []quantity.Quantity
	Supplier  string
	Keeps     []recipe.Keep
	Category  string // "dairy", "nuts"…; for swaps
	Cautions  []string
	AnimalWay string // gelatine's origin and the like, as stated
}
