package mix

import (
	"fmt"

	"tamis/calc/quantity"
)

// Content is what is known of one component: between AtLeast and AtMost. Exact
// is false wherever some part of the mixture does not state the component; what
// those parts are called is in Missing. An unknown share is never 0.
//
//   - Units: g, g per 100 g, or kJ or kcal, as the method that returns it says.
//   - Source: the upper bound is 100 g less what is known of the same part; it is
//     as sound as the table or label it comes from.
type Content struct {
	AtLeast quantity.Number
	AtMost  quantity.Number // no meaning if Open
	Exact   bool
	// Open: no upper bound, because something of no stated mass (to taste) brings it.
	Open bool
	// Missing names the parts that do not state it, in order of first use.
	Missing []string
}

// Middle is halfway between the bounds; AtLeast if the content is open.
func (c Content) Middle() quantity.Number {
	if c.Open {
		return c.AtLeast
	}
	return c.AtLeast.Add(c.AtMost).Div(quantity.Int(2))
}

// PlusMinus is half the distance between the bounds: the uncertainty of Middle.
// It is 0 and false if the content is open.
func (c Content) PlusMinus() (quantity.Number, bool) {
	if c.Open {
		return quantity.Number{}, false
	}
	return c.AtMost.Sub(c.AtLeast).Div(quantity.Int(2)), true
}

// String writes the content with exact numbers: "12", "at least 12", "12 to 14".
func (c Content) String() string {
	switch {
	case c.Exact:
		return c.AtLeast.String()
	case c.Open:
		return "at least " + c.AtLeast.String()
	}
	return fmt.Sprintf("%s to %s", c.AtLeast, c.AtMost)
}

// scaled returns c × k, k ≥ 0.
func (c Content) scaled(k quantity.Number) Content {
	c.AtLeast, c.AtMost = c.AtLeast.Mul(k), c.AtMost.Mul(k)
	return c
}
