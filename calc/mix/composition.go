package mix

import "tamis/calc/quantity"

// Key is one component of a composition.
type Key uint8

// The keys of book-format's `per 100 g`, in its order. Milk fat and cocoa butter
// are parts of Fat; sucrose to maltose are parts of Sugars.
const (
	Water Key = iota
	Fat
	MilkFat
	CocoaButter
	Protein
	Sugars
	Sucrose
	Glucose
	Fructose
	Lactose
	Maltose
	Starch
	Fibre
	Polyols
	Glycerol
	OtherCarbohydrate
	Salt
	Acid
	Ash
	Alcohol
	NumKeys // how many there are
)

var keyNames = [NumKeys]string{
	"water", "fat", "milk fat", "cocoa butter", "protein", "sugars", "sucrose", "glucose", "fructose", "lactose", "maltose",
	"starch", "fibre", "polyols", "glycerol", "other carbohydrate", "salt", "acid", "ash", "alcohol",
}

// String returns the key as book-format writes it.
func (k Key) String() string { return keyNames[k] }

// KeyNamed returns the key with that exact name.
func KeyNamed(s string) (Key, bool) {
	for k, n := range keyNames {
		if n == s {
			return Key(k), true
		}
	}
	return 0, false
}

// Composition is g per 100 g for each key that is known. The zero value knows
// nothing. It is a value: With returns a changed copy.
type Composition struct {
	per   [NumKeys]quantity.Number
	known uint32
}

// Get returns the g of k in 100 g and whether that is known.
func (c Composition) Get(k Key) (quantity.Number, bool) { return c.per[k], c.known&(1<<k) != 0 }

// With returns c with k set to n g per 100 g.
func (c Composition) With(k Key, n quantity.Number) Composition {
	c.per[k], c.known = n, c.known|1<<k
	return c
}

// Without returns c with k unknown.
func (c Composition) Without(k Key) Composition {
	c.per[k], c.known = quantity.Number{}, c.known&^(1<<k)
	return c
}

// IsEmpty reports whether nothing is known.
func (c Composition) IsEmpty() bool { return c.known == 0 }
