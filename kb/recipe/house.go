package recipe

import "tamis/calc/quantity"

// House is house.yaml as written.
type House struct {
	Pos       Pos
	Name      string
	Zone      string // IANA name; "" is UTC
	Language  string // "en"
	Currency  string // "EUR"
	Altitude  *quantity.Quantity
	FoodCode  string // as written; "" none
	Allergens string // "EU" or "US"
	Spoons    quantity.Measure
	Service   []Clock
	Shifts    []Shift
	Scales    []Scale
	Pans      []Pan
	Moulds    []Mould
	Machines  []Machine
	Cold      []Cold
	Team      []Role // in file order
	Rules     Rules
	Suppliers []Supplier
}

// Clock is a time of day in minutes after midnight.
type Clock int

// Shift is a working shift.
type Shift struct {
	Name     string
	From, To Clock
	People   int
	Days     []string // Mon…Sun; empty: every day
}

// Scale is a weighing scale.
type Scale struct {
	Name        string
	Reads, UpTo quantity.Quantity
}

// Pan is a pan with its tare.
type Pan struct {
	Pos   Pos
	Name  string
	Empty quantity.Quantity
	Holds *quantity.Quantity
}

// Mould is a sheet of moulds; Volume is of one cell.
type Mould struct {
	Pos    Pos
	Name   string
	Cells  int
	Volume *quantity.Quantity
	Count  int // sheets the house has; 0: not written
	Trays  quantity.Number
}

// Machine is a machine; nil: not written.
type Machine struct {
	Pos     Pos
	Name    string
	Batch   *quantity.Quantity // most at once
	AtLeast *quantity.Quantity // least at once
	Takes   *Span
	Holds   *quantity.Quantity
	Trays   quantity.Number
}

// Cold is a cold place.
type Cold struct {
	Name  string
	At    quantity.Quantity
	Trays quantity.Number
}

// Role is one role of the team with its account ids or names.
type Role struct {
	Name    string
	Members []string
}

// Rules are the house's rules. A nil list is a rule that the house does not
// state; an empty one lets nobody.
type Rules struct {
	WhoMayRead     []string
	WhoMayPropose  []string
	WhoMayPush     []string
	WhoMayApprove  []string
	WhoMaySettings []string // of house.yaml
	TwoPairsOfEyes bool
	ChangesToldIn  string // a channel
}

// Supplier delivers.
type Supplier struct {
	Name     string
	Delivers []string
	OrderBy  *Clock
}
