// Package lethality adds up what heat has done: a log of temperatures with the D and z of an organism flow in, equivalent minutes and
// log reductions flow out.
//
// It is information for the person in charge. Nothing here ever says that food is safe.
package lethality

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrOrganism: no published row of D and z for it.
	ErrOrganism = errors.New("no published D and z for that organism")
	// ErrRange: a D or z that is not above 0, or a temperature that no kitchen has.
	ErrRange = errors.New("outside what the arithmetic holds for")
	// ErrReadings: fewer than two temperatures, or not in order of time.
	ErrReadings = errors.New("two temperatures or more, in order of time, are needed")
)

// Resistance is how an organism dies: D minutes for a tenfold fall at Ref °C, ten times faster for each Z °C more.
type Resistance struct {
	D, Ref, Z float64
}

// Organism returns the published row of an organism.
//
//   - Units: min, °C.
//   - Range: spores of Clostridium botulinum (proteolytic), the only row that the references hold: D at 121.1 °C 0.21 min, z 10 °C.
//   - Errors: [ErrOrganism]: no value is invented.
//   - Source: S-813.
func Organism(name string) (Resistance, error) {
	if name == "Clostridium botulinum" {
		return Resistance{D: 0.21, Ref: 121.1, Z: 10}, nil
	}
	return Resistance{}, fmt.Errorf("%w: %q", ErrOrganism, name)
}

func (r Resistance) check(t float64) error {
	if !(r.D > 0) || !(r.Z > 0) || math.IsInf(r.D+r.Z, 0) || !(t >= -50 && t <= 300) || !(r.Ref >= -50 && r.Ref <= 300) {
		return fmt.Errorf("%w: D %g min, z %g °C, %g °C", ErrRange, r.D, r.Z, t)
	}
	return nil
}

// At is D at another temperature.
//
//   - Formula: D × 10^((Ref − t)/z).
//   - Units: min, °C.
//   - Errors: [ErrRange].
//   - Source: S-813.
func (r Resistance) At(t float64) (float64, error) {
	if err := r.check(t); err != nil {
		return 0, err
	}
	return r.D * math.Pow(10, (r.Ref-t)/r.Z), nil
}

// Equivalent turns minutes at one temperature into minutes at another.
//
//   - Formula: minutes × 10^((t − to)/z).
//   - Units: min, °C.
//   - Errors: [ErrRange].
//   - Source: S-813.
func Equivalent(minutes, t, to, z float64) (float64, error) {
	if !(minutes >= 0) || math.IsInf(minutes, 0) {
		return 0, fmt.Errorf("%w: %g min", ErrRange, minutes)
	}
	if err := (Resistance{1, to, z}).check(t); err != nil {
		return 0, err
	}
	return minutes * math.Pow(10, (t-to)/z), nil
}

// Reading is a temperature of a run.
type Reading struct {
	At      time.Time
	Celsius float64
}

// Run adds a log up: F, the equivalent minutes at Ref, and the tenfold falls F ÷ D. Between two readings the colder one counts, so a gap in
// the log never adds heat that nobody measured.
//
//   - Formula: F = Σ Δt × 10^((min(t1, t2) − Ref)/z).
//   - Units: min, °C.
//   - Range: the coldest spot of the food.
//   - Errors: [ErrReadings], [ErrRange].
//   - Source: S-813.
func (r Resistance) Run(log []Reading) (f, falls float64, err error) {
	if len(log) < 2 {
		return 0, 0, ErrReadings
	}
	for i, x := range log {
		if err := r.check(x.Celsius); err != nil {
			return 0, 0, err
		}
		if i == 0 {
			continue
		}
		d := x.At.Sub(log[i-1].At)
		if d < 0 {
			return 0, 0, ErrReadings
		}
		f += d.Minutes() * math.Pow(10, (min(x.Celsius, log[i-1].Celsius)-r.Ref)/r.Z)
	}
	return f, f / r.D, nil
}
