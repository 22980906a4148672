package swap

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tamis/calc/gel"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/equivalents.csv
var equivalentsCSV []byte

// Rule is how an exchange is worked out.
type Rule string

// The rules.
const (
	ByFactor Rule = "factor" // a fixed share by mass
	ByKeep   Rule = "keep"   // as much as brings the same of one function
	BySquare Rule = "square" // two together weigh the same and bring the same: Pearson's square
	ByBloom  Rule = "bloom"  // gelatine of another strength
	ByDosage Rule = "dosage" // another gelling agent or starch, by its dosage for a use
)

// Code names what an exchange changes or asks for; bot words it.
type Code string

// MethodFact is a number of the method: "water at" 41 to 46 °C.
type MethodFact struct {
	What      string
	Low, High quantity.Number
	Unit      string
}

// Equivalence is one exchange that the trade knows.
type Equivalence struct {
	From, To string // as asked
	Rule     Rule
	Keep     Function // of ByKeep and BySquare
	// Factor of ByFactor: g for 1 g; Low to High where the trade differs, else both are Factor.
	Factor, Low, High quantity.Number
	// With are the names of what goes in, or below 0 comes off, with it; any one of them. Empty: nothing.
	With       []string
	WithKeep   Function        // what it makes up for, of ByKeep
	WithFactor quantity.Number // of ByFactor, g for 1 g
	// Use and the agents as calc/gel names them, of ByDosage.
	Use, AgentFrom, AgentTo string
	Changes, Method         []Code
	Fact                    *MethodFact
	Source                  string
}

type equivalent struct {
	from, to []string
	Equivalence
}

var equivalents = sync.OnceValue(func() []equivalent {
	all, err := parseEquivalents(equivalentsCSV)
	if err != nil {
		panic(err)
	}
	return all
})

// parseEquivalents reads the data file and checks every row.
func parseEquivalents(text []byte) ([]equivalent, error) {
	tab, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	var out []equivalent
	for i, cells := range tab.Rows {
		r := row{}
		for j, name := range tab.Cols {
			r[name] = cells[j]
		}
		e, err := r.equivalent()
		if err != nil {
			return nil, fmt.Errorf("%w: row %d, %s to %s: %w", ErrData, i+1, r["from"], r["to"], err)
		}
		out = append(out, e)
	}
	return out, nil
}

// row is one row of a data file by column.
type row map[string]string

func (r row) number(col string, to *quantity.Number) error {
	if r[col] == "" {
		return nil
	}
	n, err := quantity.Decimal(r[col])
	*to = n
	return err
}

func (r row) function(col string, to *Function) error {
	f, ok := FunctionNamed(r[col])
	if !ok {
		return fmt.Errorf("%s %q", col, r[col])
	}
	*to = f
	return nil
}

func list(cell, by string) []string {
	if cell == "" {
		return nil
	}
	return strings.Split(cell, by)
}

func codes(cell string) []Code {
	var out []Code
	for _, c := range list(cell, ";") {
		out = append(out, Code(c))
	}
	return out
}

func (r row) equivalent() (equivalent, error) {
	e := equivalent{from: list(r["from"], "|"), to: list(r["to"], "|")}
	e.Rule, e.With, e.Source = Rule(r["rule"]), list(r["with"], "|"), r["source"]
	e.Changes, e.Method = codes(r["changes"]), codes(r["method"])
	for col, to := range map[string]*quantity.Number{"factor": &e.Factor, "low": &e.Low, "high": &e.High, "with_factor": &e.WithFactor} {
		if err := r.number(col, to); err != nil {
			return e, err
		}
	}
	if e.Low.IsZero() {
		e.Low, e.High = e.Factor, e.Factor
	}
	if r["fact"] != "" {
		e.Fact = &MethodFact{What: r["fact"], Unit: r["fact_unit"]}
		if err := r.number("fact_low", &e.Fact.Low); err != nil {
			return e, err
		}
		if err := r.number("fact_high", &e.Fact.High); err != nil {
			return e, err
		}
	}
	if len(e.from) == 0 || len(e.to) == 0 || e.Source == "" {
		return e, fmt.Errorf("name or source missing")
	}
	return e, r.rule(&e)
}

func (r row) rule(e *equivalent) error {
	switch e.Rule {
	case ByFactor:
		if e.Factor.Sign() <= 0 || e.Factor.Less(e.Low) || e.High.Less(e.Factor) || (len(e.With) == 0) != e.WithFactor.IsZero() {
			return fmt.Errorf("factor %s, %s to %s, %s with it", e.Factor, e.Low, e.High, e.WithFactor)
		}
	case ByKeep:
		if err := r.function("keep", &e.Keep); err != nil {
			return err
		}
		if len(e.With) > 0 {
			return r.function("with_keep", &e.WithKeep)
		}
	case BySquare:
		if len(e.With) == 0 {
			return fmt.Errorf("nothing to square with")
		}
		return r.function("keep", &e.Keep)
	case ByBloom:
	case ByDosage:
		var ok bool
		e.Use = r["keep"]
		if e.AgentFrom, e.AgentTo, ok = strings.Cut(r["agents"], ">"); !ok || e.Use == "" {
			return fmt.Errorf("agents %q for %q", r["agents"], e.Use)
		}
		_, err := e.doses()
		return err
	default:
		return fmt.Errorf("rule %q", e.Rule)
	}
	return nil
}

// matches reports that a name is one of the patterns, whose stars stand for anything.
func matches(patterns []string, name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return fits(p, name) })
}

func fits(pattern, name string) bool {
	head, rest, star := strings.Cut(pattern, "*")
	if !star {
		return pattern == name
	}
	after, ok := strings.CutPrefix(name, head)
	if !ok {
		return false
	}
	for i := 0; i <= len(after); i++ {
		if fits(rest, after[i:]) {
			return true
		}
	}
	return false
}

// Equivalents returns the exchanges that the trade knows of one ingredient for another; the first answers, [Apply] tells
// which of them is possible with the two at hand.
//
//   - Units: as each says.
//   - Range: larder names. None for an ingredient in its own place.
//   - Uncertainty: that of the trade: Low to High where it differs.
//   - Errors: none; empty if there is none.
//   - Source: each one's own.
func Equivalents(from, to string) []Equivalence {
	if from == to {
		return nil
	}
	var out []Equivalence
	for _, e := range equivalents() {
		if matches(e.from, from) && matches(e.to, to) {
			e.From, e.To = from, to
			out = append(out, e.Equivalence)
		}
	}
	return out
}

// Substitutes returns which of the given names the trade knows as a substitute, in the order given, each once.
//
//   - Range: larder names.
//   - Errors: none.
func Substitutes(from string, names []string) []string {
	var out []string
	for _, n := range names {
		if len(Equivalents(from, n)) > 0 && !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// Codes returns every code of the exchanges, sorted: what they change and what they ask for.
//
//   - Errors: none.
func Codes() (changes, method []Code) {
	for _, e := range equivalents() {
		changes, method = append(changes, e.Changes...), append(method, e.Method...)
	}
	slices.Sort(changes)
	slices.Sort(method)
	return slices.Compact(changes), slices.Compact(method)
}

// doses are the dosages of both agents for the use, the first of each.
func (e *Equivalence) doses() ([2]gel.Value, error) {
	var out [2]gel.Value
	for i, agent := range []string{e.AgentFrom, e.AgentTo} {
		all, err := gel.Of(agent, gel.Dosage)
		if err != nil {
			return out, err
		}
		at := slices.IndexFunc(all, func(v gel.Value) bool { return v.Use == e.Use && v.HasLow && v.HasHigh && v.Low.Sign() > 0 })
		if at < 0 {
			return out, fmt.Errorf("%s: %w: %s", agent, gel.ErrUse, e.Use)
		}
		out[i] = all[at]
	}
	return out, nil
}
