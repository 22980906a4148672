package cost

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrNoPrice: nobody stated what it costs.
	ErrNoPrice = errors.New("no price")
	// ErrNoDensity: a price by volume meets an amount by mass, or the other way round.
	ErrNoDensity = errors.New("no density")
	// ErrNoPieceMass: a price by mass or volume meets a count, or the other way round.
	ErrNoPieceMass = errors.New("no mass of a piece")
	// ErrNoAmount: the line has no amount (to taste).
	ErrNoAmount = errors.New("no amount")
	// ErrNoYield: the mass or number of pieces that a recipe makes is not known.
	ErrNoYield = errors.New("not known how much the recipe makes")
	// ErrPrice: a price is negative, or for no amount, or no money.
	ErrPrice = errors.New("no such price")
	// ErrUsable: a usable share is not above 0 and at most 1.
	ErrUsable = errors.New("usable share not between 0 and 1")
	// ErrCurrency: two currencies in one sum.
	ErrCurrency = errors.New("two currencies")
	// ErrCircle: a recipe is an ingredient of itself.
	ErrCircle = errors.New("recipe within itself")
	// ErrZero: a division by a count or a selling price of 0.
	ErrZero = errors.New("divided by nothing")
)

// Price is money for an amount: 3.10 EUR for 500 g.
type Price struct {
	Money quantity.Quantity // of a currency
	Per   quantity.Quantity // a mass, a volume or a count above 0
}

func (p Price) check() error {
	if p.Money.Unit.Dim != quantity.Money || p.Money.N.Sign() < 0 || p.Per.N.Sign() <= 0 {
		return fmt.Errorf("%w: %s for %s", ErrPrice, p.Money, p.Per)
	}
	switch p.Per.Unit.Dim {
	case quantity.Mass, quantity.Volume, quantity.Count:
		return nil
	}
	return fmt.Errorf("%w: for a %s", ErrPrice, p.Per.Unit.Dim)
}

// Good is an ingredient as it is bought.
type Good struct {
	Name  string
	Price *Price // nil: not stated
	// Usable is the share left after trimming, above 0 to 1; nil: all of it.
	Usable    *quantity.Number
	Density   *quantity.Number // g/ml; nil: not known
	PieceMass *quantity.Number // g; nil: not known
}

// Buy returns how much to buy for an amount as used.
//
//		bought = amount ÷ usable
//
//	  - Units: those of the amount; usable is a share, above 0 to 1.
//	  - Errors: [ErrUsable].
//	  - Source: A P quantity = E P quantity ÷ yield, Gisslen, Professional Cooking, chapter on food cost (from memory).
func Buy(amount quantity.Quantity, usable quantity.Number) (quantity.Quantity, error) {
	if usable.Sign() <= 0 || one.Less(usable) {
		return quantity.Quantity{}, fmt.Errorf("%w: %s", ErrUsable, usable)
	}
	return amount.Scale(one.Div(usable)), nil
}

// Usable returns what is left of a bought amount after trimming: amount × usable.
//
//   - Errors: [ErrUsable].
func Usable(bought quantity.Quantity, usable quantity.Number) (quantity.Quantity, error) {
	if usable.Sign() <= 0 || one.Less(usable) {
		return quantity.Quantity{}, fmt.Errorf("%w: %s", ErrUsable, usable)
	}
	return bought.Scale(usable), nil
}

// Share returns part ÷ whole of two masses: the usable share from a weighing.
//
//   - Errors: [quantity.ErrDimension]; [ErrZero].
func Share(part, whole quantity.Quantity) (quantity.Number, error) {
	p, err := part.In(whole.Unit)
	if err != nil {
		return quantity.Number{}, err
	}
	if whole.N.IsZero() {
		return quantity.Number{}, ErrZero
	}
	return p.N.Div(whole.N), nil
}

var one = quantity.Int(1)

// Bought is the amount of the good to buy for an amount as used.
func (g Good) Bought(amount quantity.Quantity) (quantity.Quantity, error) {
	if g.Usable == nil {
		return amount, nil
	}
	return Buy(amount, *g.Usable)
}

// Cost returns what an amount as used costs.
//
//		cost = amount ÷ usable × price ÷ amount the price is for
//
//	  - Units: amount is a mass, a volume or a count; the result is in the price's currency.
//	  - Errors: [ErrNoPrice], [ErrPrice], [ErrUsable], [ErrNoDensity], [ErrNoPieceMass]; [quantity.ErrDimension]
//	    if the amount is none of the three.
func (g Good) Cost(amount quantity.Quantity) (quantity.Quantity, error) {
	if g.Price == nil {
		return quantity.Quantity{}, ErrNoPrice
	}
	if err := g.Price.check(); err != nil {
		return quantity.Quantity{}, err
	}
	bought, err := g.Bought(amount)
	if err != nil {
		return quantity.Quantity{}, err
	}
	n, err := g.as(bought, g.Price.Per.Unit.Dim)
	if err != nil {
		return quantity.Quantity{}, err
	}
	return g.Price.Money.Scale(n.Div(g.Price.Per.Base())), nil
}

// as returns q in the base unit of another dimension: g, ml or each.
func (g Good) as(q quantity.Quantity, dim quantity.Dimension) (quantity.Number, error) {
	n := q.Base()
	if q.Unit.Dim == dim {
		return n, nil
	}
	switch q.Unit.Dim { // to g
	case quantity.Mass:
	case quantity.Volume:
		if g.Density == nil || g.Density.Sign() <= 0 {
			return n, ErrNoDensity
		}
		n = n.Mul(*g.Density)
	case quantity.Count:
		if g.PieceMass == nil || g.PieceMass.Sign() <= 0 {
			return n, ErrNoPieceMass
		}
		n = n.Mul(*g.PieceMass)
	default:
		return n, fmt.Errorf("%w: a %s has no price", quantity.ErrDimension, q.Unit.Dim)
	}
	switch dim { // from g
	case quantity.Volume:
		if g.Density == nil || g.Density.Sign() <= 0 {
			return n, ErrNoDensity
		}
		n = n.Div(*g.Density)
	case quantity.Count:
		if g.PieceMass == nil || g.PieceMass.Sign() <= 0 {
			return n, ErrNoPieceMass
		}
		n = n.Div(*g.PieceMass)
	}
	return n, nil
}
