package scale

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// maxDepth is how many links a formula may be deep. A book allows no circle, so
// this only keeps a formula built wrongly from hanging.
const maxDepth = 64

// Errors of this package. Test with errors.Is.
var (
	// ErrUnknownMass: the finished mass cannot be known; see [UnknownMassError].
	ErrUnknownMass = errors.New("finished mass is unknown")
	// ErrNegative: more leaves in steps and loss than goes in.
	ErrNegative = errors.New("more leaves than goes in")
	// ErrNoPieces: the formula makes a mass alone, no pieces.
	ErrNoPieces = errors.New("makes no pieces")
	// ErrDepth: links are nested deeper than 64, or form a circle.
	ErrDepth = errors.New("links are nested too deep")
	// ErrRange: an argument is outside the range that the function states.
	ErrRange = errors.New("out of range")
)

// UnknownMassError says of which formula the finished mass is unknown, and why.
// It is an [ErrUnknownMass].
type UnknownMassError struct {
	Formula string // name of the formula
	Reason  string // as the formula's Unknown says; "" if no line of it has a mass
}

// Error implements error.
func (e *UnknownMassError) Error() string {
	reason := e.Reason
	if reason == "" {
		reason = "no line has a mass"
	}
	return fmt.Sprintf("%s: %v: %s", e.Formula, ErrUnknownMass, reason)
}

// Unwrap makes errors.Is(err, ErrUnknownMass) true.
func (e *UnknownMassError) Unwrap() error { return ErrUnknownMass }

// Finished returns the mass that one batch leaves: the mass in makes where it
// states one, else (sum of line masses − sum of steps) × (1 − loss share) − loss
// mass. Core lines and lines in no mass are left out; [Formula.Massless] names the latter.
//
//   - Units: g, of one batch; above 0.
//   - Errors: [ErrUnknownMass] (also of a linked formula drawn by the piece);
//     [ErrNegative] if nothing would be left; [ErrNoPieces] if a line draws pieces
//     of a formula that makes none; [ErrRange] if the loss share is not in 0 to
//     under 1; [ErrDepth].
//   - Source: the book format, "Makes".
func (f *Formula) Finished() (quantity.Number, error) {
	return newMasses().finished(f, 0)
}

// PieceMass returns the finished mass of one piece.
//
//   - Units: g a piece.
//   - Errors: [ErrNoPieces], and those of [Formula.Finished].
func (f *Formula) PieceMass() (quantity.Number, error) {
	return newMasses().piece(f, 0)
}

// Massless names, in order and each once, the lines that are in no mass: those
// whose part in the finished mass is not known. Core lines are not among them.
func (f *Formula) Massless() []string {
	var names []string
	seen := map[string]bool{}
	for i := range f.Lines {
		l := &f.Lines[i]
		if l.HasMass || l.drawsPieces() || l.Core || seen[l.Name] {
			continue
		}
		seen[l.Name] = true
		names = append(names, l.Name)
	}
	return names
}

// masses works out finished masses, each formula once a call, so that a part
// shared by many does not cost its whole tree again.
type masses struct {
	done map[*Formula]result
}

type result struct {
	mass quantity.Number
	err  error
}

func newMasses() *masses { return &masses{done: map[*Formula]result{}} }

func (m *masses) finished(f *Formula, depth int) (quantity.Number, error) {
	if depth > maxDepth {
		return quantity.Number{}, fmt.Errorf("%s: %w", f.Name, ErrDepth)
	}
	if r, ok := m.done[f]; ok {
		return r.mass, r.err
	}
	mass, err := m.work(f, depth)
	m.done[f] = result{mass, err}
	return mass, err
}

func (m *masses) work(f *Formula, depth int) (quantity.Number, error) {
	if f.HasStated {
		if f.Stated.Sign() <= 0 {
			return quantity.Number{}, fmt.Errorf("%s: stated mass of %s g: %w", f.Name, f.Stated, ErrRange)
		}
		return f.Stated, nil
	}
	if f.Unknown != "" {
		return quantity.Number{}, &UnknownMassError{f.Name, f.Unknown}
	}
	if f.LossShare.Sign() < 0 || !f.LossShare.Less(one) {
		return quantity.Number{}, fmt.Errorf("%s: loss share %s: %w", f.Name, f.LossShare, ErrRange)
	}
	in := make([]quantity.Number, 0, len(f.Lines))
	for i := range f.Lines {
		l := &f.Lines[i]
		if l.Core {
			continue
		}
		mass, ok, err := m.line(l, depth)
		if err != nil {
			return quantity.Number{}, err
		}
		if ok {
			in = append(in, mass)
		}
	}
	sum := quantity.Sum(in...)
	if sum.IsZero() {
		return quantity.Number{}, &UnknownMassError{Formula: f.Name}
	}
	left := sum.Sub(quantity.Sum(f.Steps...)).Mul(one.Sub(f.LossShare)).Sub(f.LossMass)
	if left.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %s g go in: %w", f.Name, sum, ErrNegative)
	}
	return left, nil
}

// line returns the mass of one line in one batch of its formula, and whether it has one.
func (m *masses) line(l *Line, depth int) (quantity.Number, bool, error) {
	if l.HasMass {
		return l.Mass, true, nil
	}
	if !l.drawsPieces() {
		return quantity.Number{}, false, nil
	}
	each, err := m.piece(l.Link, depth+1)
	if err != nil {
		return quantity.Number{}, false, err
	}
	return each.Mul(l.Count), true, nil
}

func (m *masses) piece(f *Formula, depth int) (quantity.Number, error) {
	mass, err := m.finished(f, depth)
	if err != nil {
		return quantity.Number{}, err
	}
	if f.Pieces.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %w", f.Name, ErrNoPieces)
	}
	return mass.Div(f.Pieces), nil
}

var one = quantity.Int(1)
