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
}

// Line is one line of a formula.
type Line struct {
	Name string
	Part string
	// Mass of the line in one batch, its middle where a range is written; HasMass false: in no mass.
	Mass    quantity.Number
	HasMass bool
	// Lo and Hi are the ends of a range (equal to Mass else).
	Lo, Hi quantity.Number
	// Count of pieces as written; 0: not counted.
	Count quantity.Number
	// Link is the recipe this line draws on; nil: a plain ingredient.
	Link *Formula
	// ByPieces: the line draws Count pieces of Link; else Mass g of its finished mass.
	ByPieces bool
	// Core: a line that fills no volume and is in no mass of the filling (`around` in makes).
	Core bool
}
