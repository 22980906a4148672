package rescue

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tamis/calc/reftable"
)

//go:embed data/faults.csv
var faultsCSV []byte

//go:embed data/fault-facts.csv
var faultFactsCSV []byte

// Any is the kind of a fault that happens to everything.
const Any = "any"

// Fault is one way something went wrong: why, how to tell, what helps, when nothing does. Its texts are short English phrases without a number, parted by
// semicolons in the file; ID is their key in a catalogue.
type Fault struct {
	ID                       string
	Fault                    string // "split", "not set"
	Kinds                    []string
	Cause, Test, Remedy, Bin string
	Cautions                 []string // codes that bot words
	Facts                    []Fact
	Source                   string
}

var faults = sync.OnceValue(func() []Fault {
	all, err := parseFaults(faultsCSV, faultFactsCSV)
	if err != nil {
		panic(err)
	}
	return all
})

// parseFaults reads both files and checks every row.
func parseFaults(text, facts []byte) ([]Fault, error) {
	tab, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	var out []Fault
	at := map[string]int{}
	for _, r := range tab.Rows { // id, fault, kinds, cause, test, remedy, bin, cautions, source
		if len(r) != 9 {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		f := Fault{ID: r[0], Fault: r[1], Kinds: strings.Split(r[2], ";"), Cause: r[3], Test: r[4], Remedy: r[5], Bin: r[6], Source: r[8]}
		if r[7] != "" {
			f.Cautions = strings.Split(r[7], ";")
		}
		if _, twice := at[f.ID]; twice || slices.Contains([]string{f.ID, f.Fault, r[2], f.Cause, f.Test, f.Remedy, f.Bin, f.Source}, "") {
			return nil, fmt.Errorf("%w: %q is twice or not all told", ErrData, f.ID)
		}
		at[f.ID] = len(out)
		out = append(out, f)
	}
	if tab, err = reftable.Parse(facts); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	for _, r := range tab.Rows { // id, what, low, high, unit, source
		if len(r) != 6 {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		i, ok := at[r[0]]
		n, err := fact(r[1], r[2], r[3], r[4], r[5])
		if err != nil {
			return nil, err
		}
		if !ok || n == nil || n.Source == "" {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		out[i].Facts = append(out[i].Facts, *n)
	}
	return out, nil
}

// Faults returns what is known of a fault, likeliest first: of one kind of product, or of all if kind is "". What happens to everything ([Any]) is always
// among them.
//
//   - Units: as each Fact says.
//   - Range: the words of [FaultNames] and [FaultKinds], exact.
//   - Uncertainty: common practice but where a source is named; the recipe's own word goes first.
//   - Errors: [ErrNoRemedy] if nothing is known of it: then that is the answer.
//   - Source: each one's own.
func Faults(fault, kind string) ([]Fault, error) {
	var out []Fault
	for _, f := range faults() {
		if f.Fault == fault && (kind == "" || slices.Contains(f.Kinds, kind) || slices.Contains(f.Kinds, Any)) {
			f.Kinds, f.Cautions, f.Facts = slices.Clone(f.Kinds), slices.Clone(f.Cautions), slices.Clone(f.Facts)
			out = append(out, f)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: %.40q of %.40q", ErrNoRemedy, fault, kind)
	}
	return out, nil
}

// FaultNames returns the words of all faults, in the order of the file.
//
//   - Errors: none.
func FaultNames() []string {
	return names(faults(), func(f Fault) string { return f.Fault })
}

// FaultKinds returns the kinds of products that a fault is known of, in the order of the file; of "" all.
//
//   - Errors: none; empty for a word that is no fault.
func FaultKinds(fault string) []string {
	var out []string
	for _, f := range faults() {
		if fault != "" && f.Fault != fault {
			continue
		}
		for _, k := range f.Kinds {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	return out
}

// FaultCautions returns every caution code of the faults, sorted.
//
//   - Errors: none.
func FaultCautions() []string {
	var out []string
	for _, f := range faults() {
		out = append(out, f.Cautions...)
	}
	slices.Sort(out)
	return slices.Compact(out)
}
