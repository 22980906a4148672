package chocolate

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/temper.csv
var temperCSV []byte

// Span is a range of temperatures in °C.
type Span struct{ Low, High quantity.Number }

// Curve is how a kind of chocolate is tempered.
type Curve struct {
	Kind             string
	Melt, Cool, Work Span
	Source           string // S-…
}

var curves = sync.OnceValue(func() []Curve {
	t := reftable.MustParse(temperCSV)
	out := make([]Curve, len(t.Rows))
	for i, r := range t.Rows {
		n := func(c int) quantity.Number { return quantity.MustDecimal(r[c]) }
		out[i] = Curve{r[0], Span{n(1), n(2)}, Span{n(3), n(4)}, Span{n(5), n(6)}, r[7]}
	}
	return out
})

// CurveOf returns the temper curve of a kind. The curve on the packet goes before it.
//
//   - Formula: table.
//   - Units: °C.
//   - Range: dark, milk, white.
//   - Uncertainty: 1 °C at work; a second source (S-652) melts milk and white chocolate at 40 °C, 5 °C lower.
//   - Errors: [ErrKind].
//   - Source: S-651 (answers), S-652.
func CurveOf(kind string) (Curve, error) {
	for _, c := range curves() {
		if strings.EqualFold(c.Kind, strings.TrimSpace(kind)) {
			return c, nil
		}
	}
	return Curve{}, fmt.Errorf("%w: %.40q", ErrKind, kind)
}

// Seed is a batch of chocolate split into what is melted and what is held back. In g, exact.
type Seed struct {
	Melt quantity.Number
	Seed quantity.Number // tempered pieces, stirred in
}

// Seeding splits a batch for the seeding method.
//
//   - Formula: seed = total ÷ 4, melt the rest.
//   - Units: g.
//   - Range: total ≥ 0; the seed itself in temper, the melt at its melting temperature.
//   - Uncertainty: kitchens use a quarter to a third; take unmelted seed out at working temperature.
//   - Errors: [ErrNegative].
//   - Source: S-601; a quarter in S-652, a third in S-654.
func Seeding(total quantity.Number) (Seed, error) {
	if total.Sign() < 0 {
		return Seed{}, fmt.Errorf("%w: %s g", ErrNegative, total)
	}
	s := total.Mul(quantity.Frac(1, 4))
	return Seed{Melt: total.Sub(s), Seed: s}, nil
}

// Drift is where a bowl of tempered chocolate has got to. Codes that bot words.
type Drift string

// States of a bowl.
const (
	InTemper      Drift = "in temper"
	OverSeeded    Drift = "over-crystallised" // thick although warm enough
	TooCold       Drift = "too cold"          // unstable crystals come
	TooWarm       Drift = "too warm"          // seed is melting
	LostTemper    Drift = "out of temper"     // no stable crystal is left
	NotSeeded     Drift = "not seeded"        // cold and thin
	MaybeScorched Drift = "scorched"
	formVMeltsAt        = 34 // °C, S-650
)

// Do is one thing to do. Codes that bot words.
type Do string

// What to do.
const (
	GoOn         Do = "go on"
	TestOnPaper  Do = "test on paper"         // shiny and set in a few minutes
	WarmToWork   Do = "warm to working range" // in short bursts, never over it
	AddWarm      Do = "stir in warm untempered chocolate"
	CoolStirring Do = "cool while stirring"
	AddSeed      Do = "stir in seed"
	TemperAgain  Do = "melt and temper again"
	TasteFirst   Do = "taste and look for grains"
)

// Advice is what a temperature and a look at the bowl say.
type Advice struct {
	Drift Drift
	Do    []Do // in order
	Work  Span // °C
}

// Advise says what a drifting bowl needs: "28 °C and thick".
//
//   - Formula: over the melting range scorched; over 34 °C out of temper; over the working range too warm; in it in temper, or
//     over-crystallised if thick; under it too cold if thick, not seeded if thin.
//   - Units: °C.
//   - Range: dark, milk, white; tempered before.
//   - Uncertainty: 1 °C of the thermometer is the width of the working range: the paper decides.
//   - Errors: [ErrKind].
//   - Source: S-651, S-650 (34 °C), S-601 (what to do).
func Advise(kind string, celsius quantity.Number, thick bool) (Advice, error) {
	c, err := CurveOf(kind)
	if err != nil {
		return Advice{}, err
	}
	a := Advice{Work: c.Work}
	switch {
	case c.Melt.High.Less(celsius):
		a.Drift, a.Do = MaybeScorched, []Do{TasteFirst, TemperAgain}
	case quantity.Int(formVMeltsAt).Less(celsius):
		a.Drift, a.Do = LostTemper, []Do{TemperAgain}
	case c.Work.High.Less(celsius):
		a.Drift, a.Do = TooWarm, []Do{CoolStirring, AddSeed, TestOnPaper}
	case !celsius.Less(c.Work.Low) && !thick:
		a.Drift, a.Do = InTemper, []Do{GoOn}
	case !celsius.Less(c.Work.Low):
		a.Drift, a.Do = OverSeeded, []Do{AddWarm, TestOnPaper}
	case thick:
		a.Drift, a.Do = TooCold, []Do{WarmToWork, AddWarm, TestOnPaper}
	default:
		a.Drift, a.Do = NotSeeded, []Do{WarmToWork, AddSeed, TestOnPaper}
	}
	return a, nil
}
