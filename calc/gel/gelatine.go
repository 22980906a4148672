package gel

import (
	_ "embed"
	"fmt"
	"math"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/gelatin-bloom.csv
var bloomCSV []byte

// Bloom strengths of gelatines on sale, g.
var (
	minBloom = quantity.Int(30)
	maxBloom = quantity.Int(300)
)

// Grade is a trade grade of leaf gelatine. No standard fixes them.
type Grade struct {
	Name      string // "gold"
	BloomLow  quantity.Number
	BloomHigh quantity.Number
	Leaf      quantity.Number // g
	Bloom     quantity.Number // the middle
}

var grades = sync.OnceValue(func() []Grade {
	t := reftable.MustParse(bloomCSV)
	var out []Grade
	for _, r := range t.Rows {
		name, ok := strings.CutSuffix(r[0], " leaf")
		if !ok {
			continue
		}
		low, high, isRange := strings.Cut(r[1], "-")
		if !isRange {
			high = low
		}
		g := Grade{Name: name, BloomLow: quantity.MustDecimal(low), BloomHigh: quantity.MustDecimal(high),
			Leaf: quantity.MustDecimal(strings.TrimSuffix(r[2], " g"))}
		g.Bloom = g.BloomLow.Add(g.BloomHigh).Div(quantity.Int(2))
		out = append(out, g)
	}
	return out
})

// Grades returns the trade grades, weakest first.
//
//   - Formula: table; Bloom is the middle of its range.
//   - Units: Bloom in g, leaf in g.
//   - Range: bronze, silver, gold, platinum.
//   - Uncertainty: a maker's leaf may weigh 10 % more or less; the house's own weight goes first.
//   - Errors: none.
//   - Source: S-630.
func Grades() []Grade { return append([]Grade(nil), grades()...) }

// GradeNamed returns one trade grade.
//
//   - Formula: exact name, without regard to case.
//   - Units: as [Grades].
//   - Range: as [Grades].
//   - Uncertainty: as [Grades].
//   - Errors: [ErrGrade].
//   - Source: S-630.
func GradeNamed(name string) (Grade, error) {
	for _, g := range grades() {
		if strings.EqualFold(g.Name, strings.TrimSpace(name)) {
			return g, nil
		}
	}
	return Grade{}, fmt.Errorf("%w: %.40q", ErrGrade, name)
}

// Leaves returns the mass of leaves, in g, exact.
//
//   - Formula: count × mass of a leaf.
//   - Units: g.
//   - Range: count ≥ 0, leaf > 0.
//   - Uncertainty: that of the leaf.
//   - Errors: [ErrNegative], [ErrLeaf].
//   - Source: S-602.
func Leaves(count, leaf quantity.Number) (quantity.Number, error) {
	if count.Sign() < 0 {
		return zero, fmt.Errorf("%w: %s leaves", ErrNegative, count)
	}
	if leaf.Sign() <= 0 {
		return zero, fmt.Errorf("%w: %s g", ErrLeaf, leaf)
	}
	return count.Mul(leaf), nil
}

// LeafCount returns how many leaves weigh grams, not rounded. Powder of the same Bloom weighs the same.
//
//   - Formula: grams ÷ mass of a leaf.
//   - Units: g, leaves.
//   - Range: grams ≥ 0, leaf > 0.
//   - Uncertainty: that of the leaf.
//   - Errors: [ErrNegative], [ErrLeaf].
//   - Source: S-602.
func LeafCount(grams, leaf quantity.Number) (quantity.Number, error) {
	if grams.Sign() < 0 {
		return zero, fmt.Errorf("%w: %s g", ErrNegative, grams)
	}
	if leaf.Sign() <= 0 {
		return zero, fmt.Errorf("%w: %s g", ErrLeaf, leaf)
	}
	return grams.Div(leaf), nil
}

// Conversion is a gelatine put in place of another, in g, by both rules.
type Conversion struct {
	From, To quantity.Number // Bloom
	Mass     quantity.Number // of the first
	// BySquareRoot is what weighs the same strength by the makers' rule, to 1 mg. It
	// holds for gelatine weighed out, leaf or powder, near the strength of the Bloom test
	// (6.67 %), and answers. Plain ratio over-corrects there.
	BySquareRoot quantity.Number
	// ByLeaf is what as many whole leaves of the other grade weigh, exact. It holds
	// where both are graded leaves of the trade, made so that a leaf is a leaf.
	ByLeaf quantity.Number
}

// Convert returns how much gelatine of another Bloom sets as firmly.
//
//   - Formula: by square root m × √(B1 ÷ B2); leaf for leaf m × B1 ÷ B2.
//   - Units: g; Bloom in g.
//   - Range: 30 to 300 Bloom. At 1 to 2 % in dairy test the strength: neither rule was made there.
//   - Uncertainty: the two rules differ by √(B1 ÷ B2): 12 % from 200 to 160. Grades are ranges: 5 % more.
//   - Errors: [ErrBloom] if a Bloom is 0, that is not known: an ungraded leaf is asked back; [ErrBloomRange]; [ErrNegative].
//   - Source: S-631 (square root), S-630 (leaf for leaf).
func Convert(mass, fromBloom, toBloom quantity.Number) (Conversion, error) {
	if mass.Sign() < 0 {
		return Conversion{}, fmt.Errorf("%w: %s g", ErrNegative, mass)
	}
	for _, b := range []quantity.Number{fromBloom, toBloom} {
		if err := checkBloom(b); err != nil {
			return Conversion{}, err
		}
	}
	ratio := fromBloom.Div(toBloom)
	root, err := quantity.FromFloat(mass.Float()*math.Sqrt(ratio.Float()), 3)
	if err != nil {
		return Conversion{}, err
	}
	return Conversion{From: fromBloom, To: toBloom, Mass: mass, BySquareRoot: root, ByLeaf: mass.Mul(ratio)}, nil
}

func checkBloom(b quantity.Number) error {
	if b.IsZero() {
		return ErrBloom
	}
	if b.Less(minBloom) || maxBloom.Less(b) {
		return fmt.Errorf("%w: %s", ErrBloomRange, b)
	}
	return nil
}

// Soaked is gelatine with the cold water it carries, in g.
type Soaked struct {
	Gelatine  quantity.Number
	Water     quantity.Number
	PlusMinus quantity.Number // of the water
}

// Soak returns the water that soaked leaves bring along, squeezed out by hand.
//
//   - Formula: water = 5 × gelatine.
//   - Units: g.
//   - Range: leaves soaked cold; powder brings what was weighed in.
//   - Uncertainty: once the gelatine's mass, more or less; weigh the squeezed leaves where it matters.
//   - Errors: [ErrNegative].
//   - Source: S-601.
func Soak(gelatine quantity.Number) (Soaked, error) {
	if gelatine.Sign() < 0 {
		return Soaked{}, fmt.Errorf("%w: %s g", ErrNegative, gelatine)
	}
	return Soaked{Gelatine: gelatine, Water: gelatine.Mul(quantity.Int(5)), PlusMinus: gelatine}, nil
}

// State is what a gelatine gel is at a temperature. Codes that bot words.
type State uint8

// States of a gelatine gel.
const (
	Holds   State = iota // a gel, if it has set
	Softens              // within the melting range
	Melted
)

// String returns a short name for logs.
func (s State) String() string { return [...]string{"holds", "softens", "melted"}[s] }

// At returns what a gelatine gel is at a temperature. That it holds does not say that it has set: see [Matured].
//
//   - Formula: holds under 25 °C, softens to 35 °C, melted above.
//   - Units: °C, of the core.
//   - Range: any temperature; below 0 °C it is hard because it is frozen, not because it is set.
//   - Uncertainty: 3 °C, by Bloom and share; published melting ranges run from 25 to 40 °C.
//   - Errors: none.
//   - Source: S-601; S-633 and S-632 say up to 40.
func At(core quantity.Number) State {
	switch {
	case core.Less(quantity.Int(25)):
		return Holds
	case quantity.Int(35).Less(core):
		return Melted
	}
	return Softens
}

// Maturity is how far a gelatine gel has come in the fridge. Codes that bot words.
type Maturity uint8

// Maturities of a gelatine gel.
const (
	Gaining Maturity = iota // it may be set already and still gains strength
	Nearly                  // as strong as it gets, at 5 °C
	Full                    // as strong as it gets, even at 10 °C
)

// String returns a short name for logs.
func (m Maturity) String() string { return [...]string{"gaining", "nearly full", "full"}[m] }

// Matured returns how strong a gelatine gel is after hours at fridge temperature. The recipe's own set time goes first.
//
//   - Formula: gaining under 8 h, nearly to 17 h, full from 17 h.
//   - Units: h since the middle was cold.
//   - Range: hours ≥ 0, 2 to 10 °C; deep moulds take hours to get cold first.
//   - Uncertainty: sources say 5 to 8 h at 5 °C and 15 to 20 h at 10 °C; the later end of the first, the test's 17 h of the second.
//   - Errors: [ErrNegative].
//   - Source: S-640, S-630.
func Matured(hours quantity.Number) (Maturity, error) {
	switch {
	case hours.Sign() < 0:
		return Gaining, fmt.Errorf("%w: %s h", ErrNegative, hours)
	case hours.Less(quantity.Int(8)):
		return Gaining, nil
	case hours.Less(quantity.Int(17)):
		return Nearly, nil
	}
	return Full, nil
}
