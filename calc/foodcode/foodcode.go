// Package foodcode applies the published limits of a food code: a code's name and temperatures told flow in, the limits to the
// letter flow out, met, open or missed.
//
// A code without rows is an error and no limit is ever invented. The local code and the person in charge decide, always.
package foodcode

import (
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"time"

	"tamis/calc/reftable"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrNoCode: the house names no food code.
	ErrNoCode = errors.New("the house names no food code")
	// ErrUnknownCode: a code that we have no rows for.
	ErrUnknownCode = errors.New("no limits known of this food code")
	// ErrNoRule: the code has rows, but none for this.
	ErrNoRule = errors.New("the rows of this food code have no such limit")
	// ErrReadings: temperatures that are not in order of time.
	ErrReadings = errors.New("temperatures are not in order of time")
	// ErrStart: no reading was hot enough to start the clock, so it ran before anybody measured.
	ErrStart = errors.New("it is not known when the cooling began")
)

// Use is what a limit is for.
type Use string

// The uses.
const (
	Cool          Use = "cool"
	ColdHold      Use = "cold"
	HotHold       Use = "hot"
	ColdTolerance Use = "cold tolerance" // above the cold limit, once
	HotTolerance  Use = "hot tolerance"  // below the hot limit, once
	DateMark      Use = "date"
	Cook          Use = "cook"
	Reheat        Use = "reheat"
	Pasteurise    Use = "pasteurise"
)

// Limit is one row. Both temperatures are the code's own figures: 21 °C and 70 °F, though 70 °F is 21.1 °C.
type Limit struct {
	ID, Rule, Authority string
	Use                 Use
	From, FromF         float64 // of a fall: where the clock starts; 0 if not told
	C, F                float64
	Time                time.Duration // 0: none
	Within              time.Duration // to get there; 0: none
	Read                bool          // seen in a stored copy of the regulation; else from memory
}

func celsius(f float64) float64 { return (f - 32) / 1.8 }

// AtMost reports whether a temperature in °C is at or under the limit, as the code prints it in °C or in °F.
//
//   - Source: S-811.
func (l Limit) AtMost(c float64) bool { return c <= max(l.C, celsius(l.F))+1e-6 }

// AtLeast reports whether a temperature in °C is at or over the limit, as printed in °C or in °F.
//
//   - Source: S-811.
func (l Limit) AtLeast(c float64) bool { return c >= min(l.C, celsius(l.F))-1e-6 }

// started reports whether the clock of a fall has not begun yet: the food is still at or over From.
func (l Limit) started(c float64) bool { return c >= min(l.From, celsius(l.FromF))-1e-6 }

//go:embed data/limits.csv
var limitsCSV []byte

var codes = mustLimits(limitsCSV)

func mustLimits(text []byte) map[string][]Limit {
	m, err := parse(text)
	if err != nil {
		panic(err)
	}
	return m
}

func parse(text []byte) (map[string][]Limit, error) {
	t, err := reftable.Parse(text)
	if err != nil {
		return nil, err
	}
	if len(t.Cols) != 12 {
		return nil, fmt.Errorf("%w: %d columns of limits", reftable.ErrTable, len(t.Cols))
	}
	out := map[string][]Limit{}
	for _, r := range t.Rows {
		n := func(i int) float64 {
			if r[i] == "" {
				return 0
			}
			v, e := strconv.ParseFloat(r[i], 64)
			if e != nil || v < -300 || v > 1e9 {
				err = fmt.Errorf("%w: %q in %s", reftable.ErrValue, r[i], r[2])
			}
			return v
		}
		secs := func(i int) time.Duration { return time.Duration(n(i) * float64(time.Second)) }
		l := Limit{ID: r[2], Rule: r[3], Use: Use(r[1]), From: n(4), FromF: n(5), C: n(6), F: n(7), Time: secs(8), Within: secs(9), Authority: r[10], Read: r[11] == "R"}
		if err != nil {
			return nil, err
		}
		out[r[0]] = append(out[r[0]], l)
	}
	return out, nil
}

// Code is a food code that we have rows for.
type Code struct {
	Name string
	rows []Limit
}

// Named returns a code by the name that house.yaml gives: "US Food Code 2022" or "UK".
//
//   - Errors: [ErrNoCode] for "", [ErrUnknownCode].
//   - Source: S-811.
func Named(name string) (Code, error) {
	switch name {
	case "":
		return Code{}, ErrNoCode
	case "US Food Code 2022":
		return Code{name, codes["US"]}, nil
	case "UK":
		return Code{name, codes["UK"]}, nil
	}
	return Code{}, fmt.Errorf("%w: %q", ErrUnknownCode, name)
}

// Limits returns the code's rows for a use, in the order of the table.
//
//   - Errors: [ErrNoRule].
//   - Source: S-811.
func (c Code) Limits(u Use) ([]Limit, error) {
	var out []Limit
	for _, l := range c.rows {
		if l.Use == u {
			out = append(out, l)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: %s, %s", ErrNoRule, c.Name, u)
	}
	return out, nil
}

// Reading is a temperature told.
type Reading struct {
	At      time.Time
	Celsius float64
}

// State is how a limit stands.
type State uint8

// The states.
const (
	Open   State = iota // still to be met
	Met                 // a reading in time shows it
	Missed              // its time is over and no reading in time shows it
)

// String is the state in a word.
func (s State) String() string { return [...]string{"open", "met", "missed"}[s] }

// Check is a limit with its time.
type Check struct {
	Limit
	State State
	By    time.Time
	At    time.Time // the first reading that shows it; zero if none
}

// Cooling says how the code's limits for cooling cooked food stand at a moment.
//
//   - Formula: the clock starts at the last reading that was not yet below 57 °C (the safe side: it may have fallen later); a limit is met by
//     the first reading at or under it, if not after its time.
//   - Units: °C.
//   - Range: readings in order of time, of one food.
//   - Errors: [ErrReadings]; [ErrNoRule]; [ErrStart] where even the first reading was below 57 °C; with it
//     the limits that are missed whenever it began, of a run that never rises.
//   - Source: S-811.
func (c Code) Cooling(run []Reading, now time.Time) ([]Check, error) {
	all, err := c.Limits(Cool)
	if err != nil {
		return nil, err
	}
	start := -1
	for i, r := range run {
		if i > 0 && r.At.Before(run[i-1].At) {
			return nil, ErrReadings
		}
		if all[0].started(r.Celsius) {
			start = i
		}
	}
	var out []Check
	if start < 0 {
		if len(run) == 0 || rises(run) { // being heated, perhaps
			return nil, ErrStart
		}
		for _, l := range all {
			if k := check(l, run[0], run[1:], now); l.From != 0 && !l.AtMost(run[0].Celsius) && k.State == Missed {
				out = append(out, k)
			}
		}
		return out, ErrStart
	}
	for _, l := range all {
		if l.From != 0 { // what was never hot has its own row
			out = append(out, check(l, run[start], run[start+1:], now))
		}
	}
	return out, nil
}

// rises reports whether any reading is above the one before.
func rises(run []Reading) bool {
	for i := 1; i < len(run); i++ {
		if run[i].Celsius > run[i-1].Celsius {
			return true
		}
	}
	return false
}

// CoolingFromRoom does it for food made from ingredients at room temperature; the first reading starts the clock.
//
//   - Units: °C.
//   - Errors: [ErrReadings], [ErrNoRule], [ErrStart] without a reading.
//   - Source: S-811.
func (c Code) CoolingFromRoom(run []Reading, now time.Time) ([]Check, error) {
	all, err := c.Limits(Cool)
	if err != nil {
		return nil, err
	}
	if len(run) == 0 {
		return nil, ErrStart
	}
	for i := 1; i < len(run); i++ {
		if run[i].At.Before(run[i-1].At) {
			return nil, ErrReadings
		}
	}
	var out []Check
	for _, l := range all {
		if l.From == 0 {
			out = append(out, check(l, run[0], run, now))
		}
	}
	return out, nil
}

func check(l Limit, start Reading, after []Reading, now time.Time) Check {
	k := Check{Limit: l, By: start.At.Add(l.Time)}
	for _, r := range after {
		if l.AtMost(r.Celsius) {
			k.At = r.At
			break
		}
	}
	last := now
	if n := len(after); n > 0 && after[n-1].At.After(last) {
		last = after[n-1].At
	}
	switch {
	case !k.At.IsZero() && !k.At.After(k.By):
		k.State = Met
	case !k.At.IsZero() || last.After(k.By):
		k.State = Missed
	default: // a reading at the very last moment that is still above has missed it
		for _, r := range after {
			if r.At.Equal(k.By) {
				k.State = Missed
			}
		}
	}
	return k
}

// LastDay returns the last calendar day on which dated food may be used, in the zone of made: the day of making is day 1.
//
//   - Range: kept at the limit's temperature or below all the time; time frozen is not counted here.
//   - Errors: [ErrNoRule].
//   - Source: S-811.
func (c Code) LastDay(made time.Time) (time.Time, Limit, error) {
	ls, err := c.Limits(DateMark)
	if err != nil {
		return time.Time{}, Limit{}, err
	}
	days := int(ls[0].Time / (24 * time.Hour))
	y, m, d := made.Date()
	return time.Date(y, m, d+days-1, 0, 0, 0, 0, made.Location()), ls[0], nil
}

// Concern keeps quality apart from safety.
type Concern uint8

// The concerns.
const (
	Safety Concern = iota
	Quality
)

// Until is a moment after which something is not used, and why.
type Until struct {
	At      time.Time
	Concern Concern
	From    string // "the code", "keeps", "thawed" or the name of a part
}

// UseBy returns the earliest end, and the earliest for safety alone (false if none is about safety). Of two at one moment the first holds.
//
//   - Errors: [ErrNoRule] with nothing given.
//   - Source: S-812.
func UseBy(ends ...Until) (first, safe Until, hasSafe bool, err error) {
	if len(ends) == 0 {
		return first, safe, false, fmt.Errorf("%w: nothing says how long it keeps", ErrNoRule)
	}
	first = ends[0]
	for _, e := range ends {
		if e.At.Before(first.At) {
			first = e
		}
		if e.Concern == Safety && (!hasSafe || e.At.Before(safe.At)) {
			safe, hasSafe = e, true
		}
	}
	return first, safe, hasSafe, nil
}

// Thawed is the end of food taken out of the freezer: its clock in the fridge starts at the thaw, and it never outlives the end it had frozen.
//
//   - Source: S-812.
func Thawed(frozen Until, out time.Time, keeps time.Duration) Until {
	if e := out.Add(keeps); e.Before(frozen.At) {
		return Until{At: e, Concern: frozen.Concern, From: "thawed"}
	}
	return frozen
}
