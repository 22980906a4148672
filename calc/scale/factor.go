package scale

import (
	"fmt"

	"tamis/calc/quantity"
)

// Factor returns want ÷ have, what a batch is multiplied by to reach want.
//
//   - Units: have and want share a dimension (mass, volume, count…); the result has none.
//   - Range: have above 0, want 0 or more.
//   - Errors: [quantity.ErrDimension]; [ErrRange].
//   - Source: the conversion factor of BC Cook Articulation Committee, Basic
//     Kitchen and Food Service Management (BCcampus).
func Factor(have, want quantity.Quantity) (quantity.Number, error) {
	w, err := want.In(have.Unit)
	if err != nil {
		return quantity.Number{}, err
	}
	if have.N.Sign() <= 0 || w.N.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("from %s to %s: %w", have, want, ErrRange)
	}
	return w.N.Div(have.N), nil
}

// PortionFactor returns what a batch of haveN portions of haveSize is multiplied
// by for wantN portions of wantSize.
//
//   - Units: both sizes of one dimension; the result has none.
//   - Range: what is had above 0, what is wanted 0 or more.
//   - Errors: [quantity.ErrDimension]; [ErrRange].
//   - Source: Wall G., Trade Calculations (cook-training notes, 2007-2012).
func PortionFactor(haveN quantity.Number, haveSize quantity.Quantity, wantN quantity.Number, wantSize quantity.Quantity) (quantity.Number, error) {
	if haveN.Sign() <= 0 || haveSize.N.Sign() <= 0 || wantN.Sign() < 0 || wantSize.N.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("from %s × %s to %s × %s: %w", haveN, haveSize, wantN, wantSize, ErrRange)
	}
	return Factor(haveSize.Scale(haveN), wantSize.Scale(wantN))
}

// ForMass returns the factor that makes a finished mass of grams.
//
//   - Units: grams in g, after losses; 0 or more.
//   - Errors: [ErrRange], and those of [Formula.Finished].
func ForMass(f *Formula, grams quantity.Number) (quantity.Number, error) {
	if grams.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s g of %s: %w", grams, f.Name, ErrRange)
	}
	mass, err := f.Finished()
	if err != nil {
		return quantity.Number{}, err
	}
	return grams.Div(mass), nil
}

// ForPieces returns the factor that makes n pieces (covers, loaves, trays, cells:
// whatever the formula makes).
//
//   - Units: n in pieces; 0 or more.
//   - Errors: [ErrRange]; [ErrNoPieces].
func ForPieces(f *Formula, n quantity.Number) (quantity.Number, error) {
	if n.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s pieces of %s: %w", n, f.Name, ErrRange)
	}
	if f.Pieces.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %w", f.Name, ErrNoPieces)
	}
	return n.Div(f.Pieces), nil
}

// WithSpare returns factor × (1 + spare) of the formula. The spare of linked
// formulas is left alone: each is asked for by itself.
//
//   - Errors: none.
func WithSpare(f *Formula, factor quantity.Number) quantity.Number {
	return factor.Mul(one.Add(f.Spare))
}

// Total returns the finished mass of factor batches.
//
//   - Units: g.
//   - Errors: those of [Formula.Finished].
func Total(f *Formula, factor quantity.Number) (quantity.Number, error) {
	mass, err := f.Finished()
	return mass.Mul(factor), err
}

// Pieces returns how many pieces factor batches make, a fraction left a fraction.
//
//   - Errors: [ErrNoPieces].
func Pieces(f *Formula, factor quantity.Number) (quantity.Number, error) {
	if f.Pieces.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %w", f.Name, ErrNoPieces)
	}
	return f.Pieces.Mul(factor), nil
}

// ScaledLine is a line in another size of batch. Nothing is rounded.
type ScaledLine struct {
	Line *Line // as in one batch
	// Mass in g and the ends of its range (equal to Mass without one); HasMass false: in no mass.
	Mass, Lo, Hi quantity.Number
	HasMass      bool
	// Count in pieces and the ends of its range; 0: not counted.
	Count, CountLo, CountHi quantity.Number
}

// Scaled returns every line of the formula times factor, in its order. A line
// that draws pieces of a formula has that many pieces' finished mass, or none
// where that is unknown.
//
//   - Units: masses in g, counts in pieces.
//   - Range: factor 0 or more.
//   - Errors: none; a line of unknown mass says so in HasMass.
func Scaled(f *Formula, factor quantity.Number) []ScaledLine {
	m := newMasses()
	lines := make([]ScaledLine, len(f.Lines))
	for i := range f.Lines {
		lines[i] = m.scaled(&f.Lines[i], factor)
	}
	return lines
}

func (m *masses) scaled(l *Line, factor quantity.Number) ScaledLine {
	mass, has, err := m.line(l, 0)
	s := ScaledLine{Line: l, HasMass: has && err == nil}
	lo, hi, countLo, countHi := l.ends(mass)
	if s.HasMass {
		s.Mass = mass.Mul(factor)
		s.Lo, s.Hi = s.Mass, s.Mass
		if !lo.Equal(hi) {
			s.Lo, s.Hi = lo.Mul(factor), hi.Mul(factor)
		}
	}
	if !l.Count.IsZero() {
		s.Count, s.CountLo, s.CountHi = l.Count.Mul(factor), countLo.Mul(factor), countHi.Mul(factor)
	}
	return s
}
