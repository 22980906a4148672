package question

import "tamis/calc/quantity"

// Context is what was said before in the conversation.
type Context struct {
	Last    *Question // the last question that named something
	Targets []Target
	Items   []Item
	Choices []Choice  // offered by the last line, if it asked back
	Pending *Question // the question asked back
}

// scaleLike returns the count n in the kind of count used before.
func (c *Context) scaleLike(n quantity.Number) Scale {
	for _, t := range c.Targets {
		switch k := t.Scale.Kind; k {
		case ScaleFactor, ScalePieces, ScaleCovers, ScaleFor, ScaleCount, ScaleCells, ScaleSheets:
			return Scale{Kind: k, N: n, Mould: t.Scale.Mould}
		}
	}
	return Scale{}
}
