package scale

import "tamis/calc/quantity"

// Formula is one recipe as numbers, for one batch; all masses in g.
// A Formula is built once and not changed while in use; links form no circle.
type Formula struct {
	Name  string
	Lines []Line
	// Steps are the masses that leave the pan, one entry a step with from and to.
	Steps []quantity.Number
	// LossShare of the mass before loss, 0 to under 1; LossMass in g scales with the batch.
	LossShare quantity.Number
	LossMass  quantity.Number
	// Stated is the finished mass that the book's makes fixes; HasStated tells whether it does.
	Stated    quantity.Number
	HasStated bool
	// Unknown says why the finished mass cannot be known ("reduced to 60 °Bx of an unknown start"); "" if it can.
	Unknown string
	// Pieces of one batch (pieces, covers, cells, trays); 0: a mass alone.
	Pieces quantity.Number
	Word   string          // of one piece: "piece", "cover", "dome 45"
	Spare  quantity.Number // share, 0.08 for 8 %

	// Vessel is what one piece fills (a cell of a mould, a frame); nil: not said.
	Vessel *Vessel
	// Density in g/ml before any air; 0: not known. Overrun is a share, 0.3 for 30 %.
	Density quantity.Number
	Overrun quantity.Number
	// Layer: a piece is a layer in something of fixed area (a frame, tray, ring, tin).
	Layer bool
}

// Line is one line of a formula.
type Line struct {
	Name string
	Part string
	// Key names the ingredient where lines write it differently ("cream", "cream 35 %"); "": Name.
	Key string
	// Mass of the line in one batch, its middle where a range is written; HasMass false: in no mass.
	Mass    quantity.Number
	HasMass bool
	// Lo and Hi are the ends of a range (equal to Mass else).
	Lo, Hi quantity.Number
	// Count of pieces as written (a range's middle); 0: not counted.
	Count quantity.Number
	// CountLo and CountHi are the ends of a counted range; both 0: Count alone.
	CountLo, CountHi quantity.Number
	// Word of the count, the same for one and many ("leaf"); counts of two words are never summed.
	Word string
	// Link is the recipe this line draws on; nil: a plain ingredient.
	Link *Formula
	// ByPieces: the line draws Count pieces of Link; else Mass g of its finished mass.
	ByPieces bool
	// Core: a line that fills no volume and is in no mass of the filling (`around` in makes).
	Core bool
	// Class tells what does not scale in a straight line.
	Class Class
}

// Class says how an ingredient answers to scaling.
type Class uint8

// The classes that [Cautions] looks at.
const (
	ClassNone      Class = iota
	ClassLeavening       // raises a dough or batter
	ClassSpice           // strong in taste: spices, chilli, essences
	ClassSalt            // salt and what is mostly salt
)

// Ingredient returns what the line is of: the linked formula's name, else its
// key, else its name. Lines with the same one are summed.
func (l *Line) Ingredient() string {
	switch {
	case l.Link != nil:
		return l.Link.Name
	case l.Key != "":
		return l.Key
	}
	return l.Name
}

// is reports whether the line is of the ingredient named.
func (l *Line) is(name string) bool { return l.Ingredient() == name || l.Name == name }

// drawsPieces reports whether the line draws pieces of a linked formula.
func (l *Line) drawsPieces() bool { return l.Link != nil && l.ByPieces }

// ends returns the ends of the line's mass and of its count.
func (l *Line) ends(mass quantity.Number) (lo, hi, countLo, countHi quantity.Number) {
	lo, hi, countLo, countHi = l.Lo, l.Hi, l.CountLo, l.CountHi
	if lo.IsZero() && hi.IsZero() {
		lo, hi = mass, mass
	}
	if countLo.IsZero() && countHi.IsZero() {
		countLo, countHi = l.Count, l.Count
	}
	return lo, hi, countLo, countHi
}
