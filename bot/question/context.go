package question

import (
	"time"

	"tamis/calc/quantity"
)

// Context is what was said before in the conversation.
type Context struct {
	Last    *Question // the last question that named something
	Targets []Target
	Items   []Item
	Choices []Choice  // offered by the last line, if it asked back
	Pending *Question // the question asked back
	Pan     *Question // the reduction asked about last
	// Readings are what the scale showed under the pan of Pan, oldest first.
	Readings []Weighing
}

// Weighing is one reading of a scale under a pan, told at a moment.
type Weighing struct {
	At      time.Time
	Reading quantity.Number // g
}

// scaleLike returns the count n in the kind of count used before.
func (c *Context) scaleLike(n quantity.Number) Scale {
	for _, t := range c.Targets {
		switch k := t.Scale.Kind; k {
		case ScaleFactor, ScalePieces, ScaleCovers, ScaleFor, ScaleCount, ScaleCells, ScaleMoulds, ScaleSheets:
			return Scale{Kind: k, N: n, Mould: t.Scale.Mould}
		}
	}
	return Scale{}
}
