package quantity

import "fmt"

// Quantity is an exact amount of a unit. The zero value is the bare number 0.
type Quantity struct {
	N    Number
	Unit Unit
}

// Of returns n of u.
func Of(n Number, u Unit) Quantity { return Quantity{n, u} }

// Grams returns n g.
func Grams(n Number) Quantity { return Quantity{n, G} }

// Base returns q's amount in the base unit of its dimension.
func (q Quantity) Base() Number { return q.N.Mul(q.Unit.Factor()).Add(q.Unit.offset) }

// In returns q in unit u.
//
//   - Errors: [ErrDimension] if q and u measure different things.
func (q Quantity) In(u Unit) (Quantity, error) {
	if q.Unit.Dim != u.Dim || (u.Dim == Money && q.Unit.Symbol != u.Symbol) {
		return Quantity{}, fmt.Errorf("%w: %s is a %s, %s a %s", ErrDimension, q.Unit.Symbol, q.Unit.Dim, u.Symbol, u.Dim)
	}
	if q.Unit.Equal(u) {
		return q, nil
	}
	return Quantity{q.Base().Sub(u.offset).Div(u.Factor()), u}, nil
}

// Scale returns q × k. Temperatures do not scale; the caller asks for none.
func (q Quantity) Scale(k Number) Quantity { return Quantity{q.N.Mul(k), q.Unit} }

// Add returns q + p in q's unit.
//
//   - Errors: [ErrDimension].
func (q Quantity) Add(p Quantity) (Quantity, error) {
	p, err := p.In(q.Unit)
	if err != nil {
		return Quantity{}, err
	}
	return Quantity{q.N.Add(p.N), q.Unit}, nil
}

// String writes q exactly: "1/3 kg", "2.5 leaves", "85 °C", "1 cup".
// [ParseQuantity] reads it back under the same measure, in the book's mode, as
// long as a number has at most 24 figures on each side.
func (q Quantity) String() string {
	symbol := q.Unit.Symbol
	if symbol == "" {
		return q.N.String()
	}
	if one := singulars[symbol]; one != "" && q.N.Abs().Cmp(Int(1)) <= 0 {
		symbol = one
	}
	return q.N.String() + " " + symbol
}

// singulars are the symbols that are words, for one or less of them.
var singulars = func() map[string]string {
	m := map[string]string{"weeks": "week", "metric cups": "metric cup", "Japanese cups": "Japanese cup"}
	for _, s := range []string{"cups", "pints", "quarts", "gallons"} {
		for _, whose := range []string{"", "US ", "UK ", "Australian "} {
			m[whose+s] = whose + s[:len(s)-1]
		}
	}
	return m
}()
