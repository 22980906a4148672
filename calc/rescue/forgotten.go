package rescue

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/forgotten.csv
var forgottenCSV []byte

//go:embed data/sensitive.csv
var sensitiveCSV []byte

// Verdict is what may be done: a code.
type Verdict string

// The verdicts.
const (
	AddNow     Verdict = "add now"
	WarmAgain  Verdict = "warm again" // all or most of it, then go on from there
	InAPart    Verdict = "part"       // dissolved or mixed into a part first
	ServeWith  Verdict = "serve with" // it stays as it is, what is missing comes beside it
	StartAgain Verdict = "start again"
	Refuse     Verdict = "refuse" // unsafe without it; nobody serves it
)

var verdicts = []Verdict{AddNow, WarmAgain, InAPart, ServeWith, StartAgain, Refuse}

// Fact is a number of a remedy: "melt at" 50 to 60 °C. A bound that is not set is not known.
type Fact struct {
	What            string
	Low, High       quantity.Number
	HasLow, HasHigh bool
	Unit            string
	Source          string
}

// Forgotten is what may be done about a forgotten ingredient.
type Forgotten struct {
	Kind, State string
	Verdict     Verdict
	How         []string // codes that bot words, in order
	Fact        *Fact
	Source      string
}

// Hurt is what warming does to something in the mixture.
type Hurt struct {
	What  string
	How   string          // a code: "it melts"
	Above quantity.Number // °C where it begins
	Lost  bool            // it is past where it is lost altogether
	// Source is a row of calc/SOURCES.md.
	Source string
}

type sensitive struct {
	what, hurt, source string
	fact               Fact
}

var forgotten = sync.OnceValue(func() []Forgotten {
	all, err := parseForgotten(forgottenCSV)
	if err != nil {
		panic(err)
	}
	return all
})

var sensitives = sync.OnceValue(func() []sensitive {
	all, err := parseSensitive(sensitiveCSV)
	if err != nil {
		panic(err)
	}
	return all
})

// fact reads the number of a row; nil if it has none.
func fact(what, low, high, unit, source string) (*Fact, error) {
	f := &Fact{What: what, Unit: unit, Source: source}
	if low == "" && high == "" {
		if what != "" || unit != "" {
			return nil, fmt.Errorf("%w: no number for %q", ErrData, what)
		}
		return nil, nil
	}
	for _, c := range []struct {
		cell string
		to   *quantity.Number
		has  *bool
	}{{low, &f.Low, &f.HasLow}, {high, &f.High, &f.HasHigh}} {
		if c.cell == "" {
			continue
		}
		n, err := quantity.Decimal(c.cell)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrData, err)
		}
		*c.to, *c.has = n, true
	}
	if what == "" || unit == "" || f.HasLow && f.HasHigh && f.High.Less(f.Low) {
		return nil, fmt.Errorf("%w: %q from %s to %s %q", ErrData, what, low, high, unit)
	}
	return f, nil
}

func parseForgotten(text []byte) ([]Forgotten, error) {
	tab, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	var out []Forgotten
	for _, r := range tab.Rows { // kind, state, verdict, how, fact, low, high, unit, source
		if len(r) != 9 {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		f := Forgotten{Kind: r[0], State: r[1], Verdict: Verdict(r[2]), How: strings.Split(r[3], ";"), Source: r[8]}
		if f.Kind == "" || f.State == "" || r[3] == "" || f.Source == "" || !slices.Contains(verdicts, f.Verdict) {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		if f.Fact, err = fact(r[4], r[5], r[6], r[7], r[8]); err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

func parseSensitive(text []byte) ([]sensitive, error) {
	tab, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	var out []sensitive
	for _, r := range tab.Rows { // what, low, high, unit, hurt, source
		if len(r) != 6 || r[4] == "" || r[5] == "" {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		f, err := fact(r[0], r[1], r[2], r[3], r[5])
		if err != nil {
			return nil, err
		}
		if f == nil {
			return nil, fmt.Errorf("%w: no number of %q", ErrData, r[0])
		}
		out = append(out, sensitive{r[0], r[4], r[5], *f})
	}
	return out, nil
}

// ForgotToAdd returns what may be done about an ingredient of a kind that is missing in a product in a state: the mould is filled and the gelatine
// still lies there.
//
//   - Units: as each Fact says.
//   - Range: the kinds and states of [ForgottenKinds] and [ForgottenStates].
//   - Uncertainty: common practice; the recipe's own steps go before it.
//   - Errors: [ErrNoRemedy] if nothing is known of that pair: ask, do not guess.
//   - Source: each one's own.
func ForgotToAdd(kind, state string) (Forgotten, error) {
	for _, f := range forgotten() {
		if f.Kind == kind && f.State == state {
			return f, nil
		}
	}
	return Forgotten{}, fmt.Errorf("%w: %.40q in %.40q", ErrNoRemedy, kind, state)
}

// ForgottenKinds returns the kinds of ingredients that [ForgotToAdd] knows, in the order of the file.
//
//   - Errors: none.
func ForgottenKinds() []string {
	return names(forgotten(), func(f Forgotten) string { return f.Kind })
}

// ForgottenStates returns the states of a product that [ForgotToAdd] knows, in the order of the file.
//
//   - Errors: none.
func ForgottenStates() []string {
	return names(forgotten(), func(f Forgotten) string { return f.State })
}

// names lists each name once, in order.
func names[T any](all []T, of func(T) string) []string {
	var out []string
	for _, v := range all {
		if n := of(v); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	return out
}

// Warming returns what is hurt in a mixture that is warmed again: those of the given names, of [Sensitive], that it is too warm for.
//
//   - Units: °C.
//   - Range: names of [Sensitive]; others are not known and not told.
//   - Uncertainty: 2 to 5 °C, by acid, sugar and time.
//   - Errors: none; empty if nothing is hurt.
//   - Source: each one's own.
func Warming(to quantity.Number, of ...string) []Hurt {
	var out []Hurt
	for _, s := range sensitives() {
		if !s.fact.HasLow || to.Less(s.fact.Low) || !slices.Contains(of, s.what) {
			continue
		}
		out = append(out, Hurt{What: s.what, How: s.hurt, Above: s.fact.Low, Lost: s.fact.HasHigh && !to.Less(s.fact.High), Source: s.source})
	}
	return out
}

// Sensitive returns the names that [Warming] knows, in the order of the file.
//
//   - Errors: none.
func Sensitive() []string {
	return names(sensitives(), func(s sensitive) string { return s.what })
}

// Step is one step of the method, as far as a forgotten ingredient asks.
type Step struct {
	Uses []string // names of the lines that go in
	Adds []string // names of [Sensitive] that are in from here on
}

// Since is what happened after the step where an ingredient belongs.
type Since struct {
	At     int      // index of the step; -1: no step names it
	Passed int      // steps since, up to where the cook is now
	In     []string // of [Sensitive], what is in the product now, in order
}

// Belongs finds the step where an ingredient belongs and what is in the product by now, for [Warming].
//
//   - Units: none.
//   - Range: now is the index of the last step done.
//   - Errors: [ErrNoLine] if now is no step.
func Belongs(steps []Step, name string, now int) (Since, error) {
	if now < 0 || now >= len(steps) {
		return Since{}, fmt.Errorf("%w: step %d of %d", ErrNoLine, now, len(steps))
	}
	s := Since{At: -1}
	for i := range steps {
		if s.At < 0 && slices.Contains(steps[i].Uses, name) {
			s.At = i
		}
		if i > now {
			continue
		}
		for _, a := range steps[i].Adds {
			if !slices.Contains(s.In, a) {
				s.In = append(s.In, a)
			}
		}
	}
	if s.At >= 0 {
		s.Passed = max(now-s.At, 0)
	}
	return s, nil
}
