package gel

import (
	_ "embed"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/gelling-agents.csv
var agentsCSV []byte

//go:embed data/gelatine-weakens.csv
var weakensCSV []byte

// Property is what a row of the data file is about.
type Property string

// Properties of an agent.
const (
	Dosage   Property = "dosage"   // % of the water phase, by use
	Hydrate  Property = "hydrate"  // temperature to dissolve it
	Hold     Property = "hold"     // time at that temperature
	Set      Property = "set"      // temperature at which it sets
	Melt     Property = "melt"     // temperature at which it melts again
	Needs    Property = "needs"    // boil, sugar, acid, calcium…
	PH       Property = "ph"       // range in which it works
	Freeze   Property = "freeze"   // weeps or is stable after thawing
	Disperse Property = "disperse" // in what it is stirred in so that it does not clump
	Air      Property = "air"      // how the air gets out
)

var properties = []Property{Dosage, Hydrate, Hold, Set, Melt, Needs, PH, Freeze, Disperse, Air}

// Value is one row: a range, a word or both, with its source.
type Value struct {
	What    Property
	Use     string // of a dosage: "fluid gel"; "any" is a general level of use
	Low     quantity.Number
	High    quantity.Number
	HasLow  bool
	HasHigh bool
	Unit    string
	Text    string // a code: "weeps", "irreversible", "boil"
	Source  string // S-…
	agent   string
}

var sourceID = regexp.MustCompile(`^S-[0-9]{3}$`)

// parseValues reads a data file of agents and checks every row.
func parseValues(text []byte) ([]Value, error) {
	t, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	if want := []string{"agent", "what", "use", "low", "high", "unit", "text", "source"}; !slices.Equal(t.Cols, want) {
		return nil, fmt.Errorf("%w: columns %q, want %q", ErrData, t.Cols, want)
	}
	out := make([]Value, 0, len(t.Rows))
	for i, r := range t.Rows {
		v := Value{agent: r[0], What: Property(r[1]), Use: r[2], Unit: r[5], Text: r[6], Source: r[7]}
		bad := func(why string) ([]Value, error) {
			return nil, fmt.Errorf("%w: row %d (%.40q): %s", ErrData, i+1, r[0], why)
		}
		if v.agent == "" || !slices.Contains(properties, v.What) || !sourceID.MatchString(v.Source) {
			return bad("agent, property or source")
		}
		if v.Low, v.HasLow, err = cell(r[3]); err != nil {
			return bad(err.Error())
		}
		if v.High, v.HasHigh, err = cell(r[4]); err != nil {
			return bad(err.Error())
		}
		switch {
		case v.HasLow && v.HasHigh && v.High.Less(v.Low):
			return bad("low above high")
		case !v.HasLow && !v.HasHigh && v.Text == "":
			return bad("says nothing")
		case (v.HasLow || v.HasHigh) && v.Unit == "":
			return bad("a number without unit")
		case v.What == Dosage && (v.Use == "" || !v.HasLow || !v.HasHigh || v.Low.Sign() <= 0 || hundred.Less(v.High)):
			return bad("a dosage needs a use and both ends within 0 to 100 %")
		}
		out = append(out, v)
	}
	return out, nil
}

func cell(s string) (quantity.Number, bool, error) {
	if s == "" {
		return zero, false, nil
	}
	n, err := quantity.Decimal(s)
	return n, err == nil, err
}

var values = sync.OnceValue(func() []Value {
	v, err := parseValues(agentsCSV)
	if err != nil {
		panic(err)
	}
	return v
})

// Agents returns the names of all agents, in the order of the data file.
//
//   - Formula: table.
//   - Range: agar to methylcellulose; gelatine among them.
//   - Uncertainty: none.
//   - Errors: none.
//   - Source: each row's own.
func Agents() []string {
	var out []string
	for _, v := range values() {
		if !slices.Contains(out, v.agent) {
			out = append(out, v.agent)
		}
	}
	return out
}

// Of returns what is known of one property of an agent. The first value
// answers; further ones are other sources, told beside it. Empty: not known.
//
//   - Formula: table look-up, exact name of the agent without regard to case.
//   - Units: as each [Value] says.
//   - Range: the rows of the data file.
//   - Uncertainty: a range is the spread of kinds and makers; makers' sheets go first.
//   - Errors: [ErrAgent].
//   - Source: each [Value]'s own.
func Of(agent string, what Property) ([]Value, error) {
	name := strings.TrimSpace(agent)
	known := false
	var out []Value
	for _, v := range values() {
		if !strings.EqualFold(v.agent, name) {
			continue
		}
		known = true
		if v.What == what {
			out = append(out, v)
		}
	}
	if !known {
		return nil, fmt.Errorf("%w: %.40q", ErrAgent, agent)
	}
	return out, nil
}

// Weakener is something that softens a gelatine gel or keeps it from setting.
type Weakener struct {
	Code     string // "raw protease", "acid", "alcohol", "salt", "boiling"
	Item     string // of raw protease: the fruit
	Low      quantity.Number
	High     quantity.Number
	HasLow   bool
	HasHigh  bool
	Unit     string
	SourceID string
}

// Weakeners returns what weakens gelatine: raw fruit by name, acid, alcohol, salt, boiling.
//
//   - Formula: table. Low: it matters above; High: it matters below.
//   - Units: pH, % of the water phase, °C.
//   - Range: heating a raw fruit through (80 °C) or tinned fruit takes the protease away.
//   - Uncertainty: the limits are where kitchens begin to notice.
//   - Errors: none.
//   - Source: S-646, S-647, S-648, S-601, by row.
func Weakeners() []Weakener {
	t := reftable.MustParse(weakensCSV)
	out := make([]Weakener, len(t.Rows))
	for i, r := range t.Rows {
		w := Weakener{Code: r[0], Item: r[1], Unit: r[4], SourceID: r[5]}
		w.Low, w.HasLow, _ = cell(r[2])
		w.High, w.HasHigh, _ = cell(r[3])
		out[i] = w
	}
	return out
}
