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
		case ScaleMass, ScaleVolume: // "make it 8" of what was 6 kg
			for _, q := range quantity.Scan(t.Scale.Text, quantity.Metric) {
				if u := q.Q.Unit; u.Symbol != "" && (u.Dim == quantity.Mass || u.Dim == quantity.Volume) {
					if (u.Symbol == "kg" || u.Symbol == "l") && quantity.Int(49).Less(n) {
						u = map[string]quantity.Unit{"kg": quantity.G, "l": quantity.ML}[u.Symbol]
					}
					return Scale{Kind: k, N: quantity.Of(n, u).Base()}
				}
			}
		}
	}
	return Scale{}
}
