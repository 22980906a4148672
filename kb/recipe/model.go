package recipe

import (
	"strings"

	"tamis/calc/quantity"
)

// Pos is a place in a file of the book; Line and Column count from 1, 0 is unknown.
type Pos struct {
	File         string
	Line, Column int
}

// Recipe is one recipe file as written: nothing resolved, nothing computed.
type Recipe struct {
	Pos     Pos
	Name    string   // `recipe:`
	Also    []string // other names
	Section string
	Makes   *Makes // nil: not written
	// Loss of the mass before loss: a share (unit %) or a mass; zero value: none.
	Loss        quantity.Quantity
	Lines       []Line // `ingredients:` or `plate:`
	IsPlate     bool   // lines came from `plate:`
	Method      []Step
	Keeps       []Keep
	Cautions    []string
	Notes       string
	BasedOn     string // variant: the base's name; Change and Written say what differs
	Change      []Change
	Written     map[string]bool // top-level keys that stand in the file
	Season      *Season
	Instead     []Instead
	Spare       quantity.Quantity  // %
	Density     *quantity.Quantity // g/ml, unaerated
	Overrun     *quantity.Quantity // %
	SharedWith  []Allergen         // `made with shared:`
	Suits       []string
	SuitsStated bool // `suits:` is written, though it may be empty
	If          []Remedy
	Pours       *bool // nil: not written
	Picture     string
}

// Line is one line of ingredients or of a plate.
type Line struct {
	Pos    Pos
	Name   string // as written, without "bought"
	Bought bool   // `bought NAME`: never a link
	Amount Amount
	Part   string
	Note   string
	Prep   string
	As     string // name on cards
	On     string // plate: stands on this line
	Out    *Span  // plate: minutes out before service
}

// AmountKind tells the forms of an amount apart.
type AmountKind uint8

// The forms of an amount.
const (
	NoAmount  AmountKind = iota
	Measured             // a mass or a volume: Lo, Hi in Unit
	Pieces               // a count of Piece
	PercentOf            // Lo, Hi % of the lines Of
	Parts                // Lo, Hi parts
	ToTaste              // Start, or nothing
	Pinch                // a pinch and the like: no mass
)

// Amount is an amount as written.
type Amount struct {
	Kind   AmountKind
	Lo, Hi quantity.Number // equal unless a range is written
	Unit   quantity.Unit   // of Measured; of Pieces the piece word's unit
	Piece  string          // the word after a count as written: "leaves"; "" for a bare count
	// Mass in brackets after a count: of one piece (Each) or of all. Range: its middle.
	Mass *quantity.Quantity
	Each bool
	Of   []string // PercentOf: names of lines; the single name "liquids" is all liquid lines
	// Start of "to taste, start 10 g"; nil if none is written.
	Start *Amount
	Text  string // as the cook wrote it
}

// Middle is what the amount counts as.
func (a Amount) Middle() quantity.Number {
	if a.Lo.Equal(a.Hi) {
		return a.Lo
	}
	return a.Lo.Add(a.Hi).Div(quantity.Int(2))
}

// IsRange reports whether two ends are written.
func (a Amount) IsRange() bool { return !a.Lo.Equal(a.Hi) }

// Makes is what a recipe yields, as written.
type Makes struct {
	Text  string
	Mass  *quantity.Quantity // all of it, where a mass stands: "1.05 kg", "20 pieces of 50 g"
	Count quantity.Number    // pieces, loaves, covers, trays, cells; 0: a mass alone
	Piece string             // the word in the singular: "piece", "loaf", "cover", "tray", "frame"; the mould's name for a fill
	Each  *quantity.Quantity // "of 50 g"
	// Fill: `fill 24 of dome 45 around 24 of core 25`.
	Fill      bool
	Mould     string
	Core      string
	CoreCount quantity.Number
	// Frame: `1 frame of 36 x 28 x 2 cm`, in cm; nil: none.
	Frame []quantity.Number
}

// IsCovers reports whether the recipe makes covers (a dish).
func (m *Makes) IsCovers() bool { return m != nil && strings.EqualFold(m.Piece, "cover") }

// Step is one step of the method.
type Step struct {
	Pos   Pos
	Verb  string // the first key
	Words string // its value
	// To and From as written; at most one of the fields of a Target is set.
	To   *Target
	From *quantity.Quantity // a mass
	Of   []string           // what is in the pan
	At   *Place             // at: oven, bath, room
	For  *Span              // minutes
	Hold *Span              // minutes; when the verb is `hold` the words are in Words
	// Until: words, or a core temperature.
	Until     string
	UntilCore *quantity.Quantity
	Where     string
	In        string             // machine, pan or mould of house.yaml
	Hands     *quantity.Quantity // minutes; nil: not written
	StirEvery *quantity.Quantity
	Uses      []Use
	Ahead     *Span
	Caution   string
	With      string
	Speed     string
	Humidity  string
}

// Target is the `to:` of a step.
type Target struct {
	Text        string
	Temperature *quantity.Quantity // a range: the upper end in TemperatureHi
	TempHi      *quantity.Quantity
	Mass        *quantity.Quantity
	Brix        *quantity.Quantity
	Half        bool
}

// Place is the `at:` of a step: a temperature (range: Hi too), else words.
type Place struct {
	Text        string
	Temperature *quantity.Quantity
	Hi          *quantity.Quantity
}

// Span is a time as the book gives it, in minutes; nil ends are open.
// "12 min" has Exact; "at least 8 h" Min; "at most 8 min" Max; "30 min to 60
// min, never over 90 min" Min, Max and Never.
type Span struct {
	Text  string
	Exact *quantity.Number
	Min   *quantity.Number
	Max   *quantity.Number
	Never *quantity.Number
	Unit  quantity.Unit // as written, of the first time in it
}

// Use says how much of a line a step takes: a share of it (1 is all) or an amount.
type Use struct {
	Pos   Pos
	Name  string
	Share quantity.Number
	Mass  *quantity.Quantity
}

// Keep is one `keeps:` entry: how long, where, after what. Time nil: words only ("never refreeze").
type Keep struct {
	Text  string
	Time  *quantity.Quantity // h, d, weeks; a month counts as 30 d
	Where string             // "freezer", "fridge", "dry store"; "" if none
	After string             // "thaw", "opening"
}

// Season is `1 Sep to 30 Nov`; it may run over new year.
type Season struct {
	Text               string
	FromMonth, FromDay int
	ToMonth, ToDay     int
}

// Instead is the chef's word on a missing line.
type Instead struct {
	Pos         Pos
	Line        string // the line that is missing
	Name        string // what takes its place
	Amount      Amount
	NotPossible bool
	Text        string // the chef's words, as written
}

// Remedy is one `if:` entry.
type Remedy struct{ Fault, Words string }

// Change is one entry of a variant's `change:`.
type Change struct {
	Pos    Pos
	Line   string // of the base, without "bought"; a name the base lacks is added at the end
	Bought bool
	Out    bool // `none`
	Amount *Amount
	Detail *Line // the mapping form {amount:, part:, …} of the same line
	With   *Line // another line in its place
}

// Allergen is one allergen name, with the kind that may follow: nuts (walnut).
type Allergen struct{ Name, Kind string }

// String writes the allergen as the book does.
func (a Allergen) String() string {
	if a.Kind == "" {
		return a.Name
	}
	return a.Name + " (" + a.Kind + ")"
}
