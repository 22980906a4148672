package larder

import (
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// The places a value comes from, as Origin.From says them.
const (
	FromHouse    = "house"           // the house's larder.yaml
	FromTable    = "larder"          // built in, worked out from the row that Source names
	FromPractice = "common practice" // built in, how kitchens and makers do it; no single source
	FromMemory   = "from memory"     // built in, a published value that could not be read again
	FromNature   = "by nature"       // built in, follows from what the thing is: no lactose in sugar
)

// Origin says where a value comes from.
type Origin struct {
	// From is one of the constants above, "" where nothing is known.
	From   string
	Source string // row ids of the references with the rule, "" where there is none
}

// Item is one ingredient, the house's word laid over the built-in one.
// A nil pointer, nil slice or nil map means: not known.
type Item struct {
	Name  string
	Also  []string // synonyms, English first, then kitchen words of other languages
	House bool     // the house's larder.yaml has an entry
	Under string   // of a house entry: the built-in item it is laid over; "" if none
	Pos   recipe.Pos

	Comp       mix.Composition
	CompOrigin Origin              // of water, else of the first key known
	CompSource [mix.NumKeys]Origin // per key

	DE           *quantity.Number // dextrose equivalent
	DEOrigin     Origin
	Brix         *quantity.Number // °Bx
	BrixOrigin   Origin
	Energy       *quantity.Number // kJ per 100 g, stated
	EnergyOrigin Origin
	Bloom        *quantity.Number // g
	BloomOrigin  Origin
	// Strength is the alcohol by volume at 20 °C in %, where that is how the thing is sold.
	Strength       *quantity.Number
	StrengthOrigin Origin

	Density       *quantity.Number // g/ml
	DensityOrigin Origin

	// Piece masses in g: by folded piece word; "" for any word.
	Piece       map[string]quantity.Number
	PieceOrigin Origin

	Pours *bool

	// Contains: nil unknown, empty none. MayContain likewise. ContainsKnown is
	// false too where an entry could be read only in part.
	Contains       []recipe.Allergen
	ContainsKnown  bool
	ContainsOrigin Origin
	MayContain     []recipe.Allergen

	Suits      []string // vegetarian, vegan, halal, kosher…: only what is stated
	SuitsKnown bool

	Usable       *quantity.Number // share that is left after trimming, 0 to 1
	UsableOrigin Origin
	PartOf       map[string]quantity.Number // share of the whole it is a part of, by folded name
	PartOfOrigin Origin

	Price     *quantity.Quantity // money …
	PricePer  quantity.Quantity  // … for this mass, volume or count
	Packs     []quantity.Quantity
	Supplier  string
	Keeps     []recipe.Keep
	Category  string   // one of [Categories]; for swaps
	Cautions  []string // codes of [CautionCodes]
	AnimalWay string   // gelatine's origin and the like, as stated: "pork", "fish", "rennet"
}

// TradeName is the name under which tables know the item: the built-in one's,
// whatever the house calls it.
func (it *Item) TradeName() string {
	if it.Under != "" {
		return it.Under
	}
	return it.Name
}
