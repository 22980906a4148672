package cost

import (
	"errors"
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// Recipe is one batch of a recipe as numbers. Recipes may share others; nothing changes
// one while it is in use.
type Recipe struct {
	Name  string
	Lines []Line
	// Finished mass of the batch in g; HasFinished false: not known.
	Finished    quantity.Number
	HasFinished bool
	// Pieces (or covers) of the batch; 0: a mass alone.
	Pieces quantity.Number
}

// Line is one line: a Good, or Of another recipe.
type Line struct {
	Good *Good
	Of   *Recipe
	// Amount as used: a mass, a volume or a count; of a recipe a mass of its finished mass, or a count of its
	// pieces. HasAmount false: to taste, a pinch.
	Amount    quantity.Quantity
	HasAmount bool
	// Mass in g of a line that is counted, where the book gives it in brackets; it stands before the good's piece mass.
	Mass    quantity.Number
	HasMass bool
}

// Name is what the line is of.
func (l Line) Name() string {
	if l.Of != nil {
		return l.Of.Name
	}
	return l.Good.Name
}

// Missing is something whose cost is not known.
type Missing struct {
	Way []string // recipes from the asked one down, last the ingredient
	Err error    // ErrNoPrice, ErrNoDensity, ErrNoPieceMass, ErrNoAmount, ErrNoYield…
}

// LineCost is what one line of the asked recipe costs.
type LineCost struct {
	Name string
	Money
}

// Money is an exact sum. AtLeast: something in it has no known cost, so it is a minimum.
type Money struct {
	Sum     quantity.Quantity
	AtLeast bool
}

// Batch is what one batch costs.
type Batch struct {
	Money
	Lines   []LineCost // in order
	Missing []Missing  // each ingredient once, in order of first use
	recipe  *Recipe
}

// Of returns what one batch of a recipe costs, through all levels, in the given currency.
//
//   - Errors: [ErrCircle]; [ErrCurrency]. What has no price is no error: it is in Missing, and the sum is a minimum.
func Of(r *Recipe, currency quantity.Unit) (Batch, error) {
	c := coster{currency: currency, done: map[*Recipe]*Batch{}}
	b, err := c.batch(r)
	if err != nil {
		return Batch{}, err
	}
	return *b, nil
}

type coster struct {
	currency quantity.Unit
	done     map[*Recipe]*Batch
}

func (c *coster) batch(r *Recipe) (*Batch, error) {
	if b, ok := c.done[r]; ok {
		if b == nil {
			return nil, fmt.Errorf("%w: %s", ErrCircle, r.Name)
		}
		return b, nil
	}
	c.done[r] = nil
	b := &Batch{Money: Money{Sum: quantity.Of(quantity.Number{}, c.currency)}, recipe: r}
	for _, l := range r.Lines {
		lc, missing, err := c.line(l)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		lc.AtLeast = len(missing) > 0
		b.Lines = append(b.Lines, lc)
		b.Sum.N = b.Sum.N.Add(lc.Sum.N)
		for _, m := range missing {
			b.addMissing(m)
		}
	}
	b.AtLeast = len(b.Missing) > 0
	c.done[r] = b
	return b, nil
}

// addMissing keeps the first way to each ingredient and reason.
func (b *Batch) addMissing(m Missing) {
	if !slices.ContainsFunc(b.Missing, func(x Missing) bool {
		return x.Way[len(x.Way)-1] == m.Way[len(m.Way)-1] && errors.Is(x.Err, m.Err)
	}) {
		b.Missing = append(b.Missing, m)
	}
}

func (c *coster) line(l Line) (LineCost, []Missing, error) {
	lc := LineCost{Name: l.Name(), Money: Money{Sum: quantity.Of(quantity.Number{}, c.currency)}}
	if l.Of == nil {
		sum, err := l.good()
		if err != nil {
			return lc, []Missing{{[]string{lc.Name}, err}}, nil
		}
		if !sum.Unit.Equal(c.currency) {
			return lc, nil, fmt.Errorf("%w: %s costs %s, the house counts in %s", ErrCurrency, lc.Name, sum.Unit.Symbol, c.currency.Symbol)
		}
		lc.Sum = sum
		return lc, nil, nil
	}
	b, err := c.batch(l.Of)
	if err != nil {
		return lc, nil, err
	}
	batches, err := l.batches()
	if err != nil {
		return lc, []Missing{{[]string{lc.Name}, err}}, nil
	}
	lc.Sum = b.Sum.Scale(batches)
	var missing []Missing
	if !batches.IsZero() {
		for _, m := range b.Missing {
			missing = append(missing, Missing{append([]string{lc.Name}, m.Way...), m.Err})
		}
	}
	return lc, missing, nil
}

// good is the cost of a line of something bought.
func (l Line) good() (quantity.Quantity, error) {
	if !l.HasAmount {
		if l.Good.Price == nil {
			return quantity.Quantity{}, ErrNoPrice
		}
		return quantity.Quantity{}, ErrNoAmount
	}
	g := *l.Good
	if l.HasMass && l.Amount.Unit.Dim == quantity.Count {
		if g.Price != nil && g.Price.Per.Unit.Dim != quantity.Count {
			return g.Cost(quantity.Grams(l.Mass))
		}
		if g.PieceMass == nil && !l.Amount.N.IsZero() {
			each := l.Mass.Div(l.Amount.N)
			g.PieceMass = &each
		}
	}
	return g.Cost(l.Amount)
}

// batches of the linked recipe that the line draws.
func (l Line) batches() (quantity.Number, error) {
	if !l.HasAmount {
		return quantity.Number{}, ErrNoAmount
	}
	a, r := l.Amount, l.Of
	if a.Unit.Dim == quantity.Count && r.Pieces.Sign() > 0 {
		return a.Base().Div(r.Pieces), nil
	}
	mass := a.Base()
	switch {
	case a.Unit.Dim == quantity.Mass:
	case l.HasMass:
		mass = l.Mass
	default:
		return quantity.Number{}, ErrNoYield
	}
	if !r.HasFinished || r.Finished.Sign() <= 0 {
		return quantity.Number{}, ErrNoYield
	}
	return mass.Div(r.Finished), nil
}

// PerPiece returns the cost of one piece, or cover.
//
//   - Errors: [ErrNoYield] if the batch is no number of pieces.
func (b Batch) PerPiece() (Money, error) {
	if b.recipe == nil || b.recipe.Pieces.Sign() <= 0 {
		return Money{}, ErrNoYield
	}
	return b.times(one.Div(b.recipe.Pieces)), nil
}

// PerMass returns the cost of g grams of the finished mass.
//
//   - Errors: [ErrNoYield] if the finished mass is not known.
func (b Batch) PerMass(g quantity.Number) (Money, error) {
	if b.recipe == nil || !b.recipe.HasFinished || b.recipe.Finished.Sign() <= 0 {
		return Money{}, ErrNoYield
	}
	return b.times(g.Div(b.recipe.Finished)), nil
}

// Times returns the cost of n batches.
func (b Batch) Times(n quantity.Number) Money { return b.times(n) }

func (m Money) times(n quantity.Number) Money {
	return Money{Sum: m.Sum.Scale(n), AtLeast: m.AtLeast}
}

// FoodCost returns cost ÷ selling price as a percentage.
//
//   - Units: both in one currency, price without tax; the result is in %.
//   - Errors: [ErrCurrency]; [ErrZero] if the price is 0.
//   - Source: Wall G., Trade Calculations (cook-training notes): cost 2.13, price 5.95 is 35.8 %.
func FoodCost(cost, price quantity.Quantity) (quantity.Quantity, error) {
	if !cost.Unit.Equal(price.Unit) {
		return quantity.Quantity{}, fmt.Errorf("%w: %s and %s", ErrCurrency, cost.Unit.Symbol, price.Unit.Symbol)
	}
	if price.N.Sign() <= 0 {
		return quantity.Quantity{}, ErrZero
	}
	return quantity.Of(cost.N.Div(price.N).Mul(quantity.Int(100)), quantity.Percent), nil
}

// SellingPrice returns the price at which cost is the given share of it: cost ÷ share.
//
//   - Units: share above 0, 0.40 for 40 %; the result is in cost's currency.
//   - Errors: [ErrZero].
func SellingPrice(cost quantity.Quantity, share quantity.Number) (quantity.Quantity, error) {
	if share.Sign() <= 0 {
		return quantity.Quantity{}, ErrZero
	}
	return cost.Scale(one.Div(share)), nil
}
