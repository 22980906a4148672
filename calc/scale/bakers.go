package scale

import (
	"errors"
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// ErrNoFlour: no line of a formula is the flour that percentages are of.
var ErrNoFlour = errors.New("no flour with a mass")

var hundred = quantity.Int(100)

// BakersLine is a line as a percentage of the flour.
type BakersLine struct {
	Line    *Line
	Percent quantity.Number
	HasMass bool // false: the line is in no mass and has no percentage
}

// BakersPercent returns every line as a percentage of all flour together, in order.
//
//   - Units: %; flour together is 100.
//   - Range: flour are the names or keys of the lines that are flour.
//   - Errors: [ErrNoFlour]; those of [Formula.PieceMass] for lines that draw pieces.
//   - Source: Gisslen W., Professional Baking, chapter on formulas.
func BakersPercent(lines []Line, flour ...string) ([]BakersLine, error) {
	m := newMasses()
	out := make([]BakersLine, len(lines))
	masses := make([]quantity.Number, len(lines))
	var base quantity.Number
	for i := range lines {
		l := &lines[i]
		mass, has, err := m.line(l, 0)
		if err != nil {
			return nil, err
		}
		masses[i], out[i] = mass, BakersLine{Line: l, HasMass: has}
		if has && slices.ContainsFunc(flour, l.is) {
			base = base.Add(mass)
		}
	}
	if base.Sign() <= 0 {
		return nil, fmt.Errorf("%q: %w", flour, ErrNoFlour)
	}
	for i := range out {
		out[i].Percent = masses[i].Mul(hundred).Div(base)
	}
	return out, nil
}

// FromBakersPercent returns the masses of a dough of that total from the
// percentages of all its lines, flour among them.
//
//   - Units: % in; masses in the unit of total.
//   - Range: percentages 0 or more and not all 0; total 0 or more, before loss.
//   - Errors: [ErrRange].
//   - Source: Gisslen W., Professional Baking, chapter on formulas.
func FromBakersPercent(percents []quantity.Number, total quantity.Number) ([]quantity.Number, error) {
	return divide(percents, total)
}

// FromParts returns the masses of a mixture of that total from the parts of all its lines.
//
//   - Units: masses in the unit of total.
//   - Range: parts 0 or more and not all 0; total 0 or more, before loss.
//   - Errors: [ErrRange].
func FromParts(parts []quantity.Number, total quantity.Number) ([]quantity.Number, error) {
	return divide(parts, total)
}

func divide(parts []quantity.Number, total quantity.Number) ([]quantity.Number, error) {
	sum := quantity.Sum(parts...)
	bad := func(n quantity.Number) bool { return n.Sign() < 0 }
	if sum.Sign() <= 0 || bad(total) || slices.ContainsFunc(parts, bad) {
		return nil, fmt.Errorf("%s in parts of %s: %w", total, sum, ErrRange)
	}
	each := total.Div(sum)
	out := make([]quantity.Number, len(parts))
	for i, p := range parts {
		out[i] = p.Mul(each)
	}
	return out, nil
}

// OnePart returns the mass of one part: makes ÷ (1 − loss) ÷ sum of parts.
//
//   - Units: g; loss is a share.
//   - Range: makes and sum of parts above 0; loss 0 to under 1.
//   - Errors: [ErrRange].
//   - Source: the book format, "Ingredients".
func OnePart(makes, loss quantity.Number, parts ...quantity.Number) (quantity.Number, error) {
	sum := quantity.Sum(parts...)
	if makes.Sign() <= 0 || sum.Sign() <= 0 || loss.Sign() < 0 || !loss.Less(one) {
		return quantity.Number{}, fmt.Errorf("%s g, loss %s, %s parts: %w", makes, loss, sum, ErrRange)
	}
	return makes.Div(one.Sub(loss)).Div(sum), nil
}

// PercentOf returns percent of the sum of masses: the amount of a line "2 % of cabbage".
//
//   - Units: % in; the unit of the masses.
//   - Errors: none.
func PercentOf(percent quantity.Number, of ...quantity.Number) quantity.Number {
	return percent.Mul(quantity.Sum(of...)).Div(hundred)
}

// AsPercent returns part as a percentage of whole.
//
//   - Units: both in one unit; the result in %.
//   - Range: whole above 0.
//   - Errors: [ErrRange].
func AsPercent(part, whole quantity.Number) (quantity.Number, error) {
	if whole.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s of %s: %w", part, whole, ErrRange)
	}
	return part.Mul(hundred).Div(whole), nil
}

// WaterTemperature returns how warm the water must be for a dough of the desired
// temperature: desired × 3 − room − flour − friction. Each preferment counts as one
// more: desired × 4 − … − preferment.
//
//   - Units: all in °C, or all in °F; friction is the rise by mixing, a difference in the same degrees.
//   - Range: not checked: a result below freezing asks for ice, one above 50 °C harms yeast.
//   - Errors: none.
//   - Source: San Francisco Baking Institute course notes; the preferment term is common practice.
func WaterTemperature(desired, room, flour, friction quantity.Number, preferments ...quantity.Number) quantity.Number {
	factors := quantity.Int(int64(3 + len(preferments)))
	return desired.Mul(factors).Sub(quantity.Sum(room, flour, friction)).Sub(quantity.Sum(preferments...))
}
