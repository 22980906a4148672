package quantity

import "fmt"

// Dimension is what a unit measures.
type Dimension uint8

// The dimensions of a kitchen.
const (
	None        Dimension = iota // a bare number
	Mass                         // base g
	Volume                       // base ml
	Time                         // base min
	Temperature                  // base °C
	Length                       // base cm
	Count                        // base each
	Share                        // base %
	Brix                         // base °Bx
	Energy                       // base kJ
	Density                      // base g/ml
	Money                        // base: the currency itself
)

var dimensionNames = [...]string{"number", "mass", "volume", "time", "temperature", "length", "count", "share", "sugar content", "energy", "density", "money"}

// String returns the word for d: "mass", "volume"…
func (d Dimension) String() string {
	if int(d) < len(dimensionNames) {
		return dimensionNames[d]
	}
	return fmt.Sprintf("dimension %d", d)
}

// Unit is one unit: its symbol, what it measures and how many base units it is.
// Make units with [Measure.UnitNamed] or the variables below; == compares identity,
// [Unit.Equal] compares meaning. The zero Unit is the bare number.
type Unit struct {
	Symbol string    // "g", "fl oz", "°C"
	Dim    Dimension // what it measures
	factor Number    // base units in one; 0 means 1
	offset Number    // base value of 0 of this unit (temperatures)
}

// Units that code needs by name. They are values; nothing changes them.
var (
	G       = Unit{Symbol: "g", Dim: Mass}
	KG      = Unit{Symbol: "kg", Dim: Mass, factor: Int(1000)}
	MG      = Unit{Symbol: "mg", Dim: Mass, factor: Frac(1, 1000)}
	OZ      = Unit{Symbol: "oz", Dim: Mass, factor: MustDecimal("28.349523125")}
	LB      = Unit{Symbol: "lb", Dim: Mass, factor: MustDecimal("453.59237")}
	ML      = Unit{Symbol: "ml", Dim: Volume}
	CL      = Unit{Symbol: "cl", Dim: Volume, factor: Int(10)}
	DL      = Unit{Symbol: "dl", Dim: Volume, factor: Int(100)}
	L       = Unit{Symbol: "l", Dim: Volume, factor: Int(1000)}
	Second  = Unit{Symbol: "s", Dim: Time, factor: Frac(1, 60)}
	Minute  = Unit{Symbol: "min", Dim: Time}
	Hour    = Unit{Symbol: "h", Dim: Time, factor: Int(60)}
	Day     = Unit{Symbol: "d", Dim: Time, factor: Int(1440)}
	Week    = Unit{Symbol: "weeks", Dim: Time, factor: Int(10080)}
	Celsius = Unit{Symbol: "°C", Dim: Temperature}
	// Fahrenheit: °C = (°F − 32) × 5/9.
	Fahrenheit = Unit{Symbol: "°F", Dim: Temperature, factor: Frac(5, 9), offset: Frac(-160, 9)}
	MM         = Unit{Symbol: "mm", Dim: Length, factor: Frac(1, 10)}
	CM         = Unit{Symbol: "cm", Dim: Length}
	M          = Unit{Symbol: "m", Dim: Length, factor: Int(100)}
	Inch       = Unit{Symbol: "in", Dim: Length, factor: MustDecimal("2.54")}
	Each       = Unit{Symbol: "each", Dim: Count}
	Percent    = Unit{Symbol: "%", Dim: Share}
	BrixDegree = Unit{Symbol: "°Bx", Dim: Brix}
	KJ         = Unit{Symbol: "kJ", Dim: Energy}
	// KCal is the thermochemical kilocalorie, 4.184 kJ.
	KCal    = Unit{Symbol: "kcal", Dim: Energy, factor: MustDecimal("4.184")}
	GPerML  = Unit{Symbol: "g/ml", Dim: Density}
	NoUnit  = Unit{}
	perUnit = Int(1)
)

// Currency returns the unit of a currency code such as "EUR".
func Currency(code string) Unit { return Unit{Symbol: code, Dim: Money} }

// Pieces returns the unit of a counted thing by its word: "leaves".
func Pieces(word string) Unit {
	if word == "" {
		return Each
	}
	return Unit{Symbol: word, Dim: Count}
}

// Factor returns how many base units one of u is.
func (u Unit) Factor() Number {
	if u.factor.IsZero() {
		return perUnit
	}
	return u.factor
}

// Equal reports whether u and v mean the same.
func (u Unit) Equal(v Unit) bool {
	return u.Symbol == v.Symbol && u.Dim == v.Dim && u.Factor().Equal(v.Factor()) && u.offset.Equal(v.offset)
}

// Base returns the base unit of d; a currency has none of its own and gives the bare money unit.
func Base(d Dimension) Unit {
	switch d {
	case Mass:
		return G
	case Volume:
		return ML
	case Time:
		return Minute
	case Temperature:
		return Celsius
	case Length:
		return CM
	case Count:
		return Each
	case Share:
		return Percent
	case Brix:
		return BrixDegree
	case Energy:
		return KJ
	case Density:
		return GPerML
	case Money:
		return Unit{Dim: Money}
	}
	return NoUnit
}
