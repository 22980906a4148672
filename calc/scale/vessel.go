package scale

import (
	"errors"
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// Errors of vessels.
var (
	// ErrNoVolume: a vessel's fill volume is not known and no area stands in for it.
	ErrNoVolume = errors.New("fill volume is unknown")
	// ErrNoDensity: the formula has no density to turn a volume into a mass.
	ErrNoDensity = errors.New("density is unknown")
	// ErrCore: the core is not smaller than the cell it sits in.
	ErrCore = errors.New("core does not fit")
)

// pi to 38 places. It cancels exactly from ring to ring.
var pi = quantity.MustDecimal("3.14159265358979323846264338327950288419")

// Vessel is what one piece fills: a cell of a mould, a frame, a ring, a tin, a sheet.
type Vessel struct {
	Name string
	// Cells of one mould sheet; 0 is 1 (a frame, a ring, a tin).
	Cells quantity.Number
	// Volume of one cell in ml; 0: of Area and Height.
	Volume quantity.Number
	// Core is the volume in ml that a core takes in one cell and no filling fills;
	// where not every cell has one, their mean.
	Core quantity.Number
	// Area of the base of one cell in cm²; 0: not known.
	Area quantity.Number
	// Height in cm of what is filled; 0: not said.
	Height quantity.Number
}

// Box returns a rectangular frame, tin or sheet.
//
//   - Units: cm; height 0 is not said.
//   - Errors: none; a size of 0 or less has no area.
func Box(name string, length, width, height quantity.Number) Vessel {
	if length.Sign() <= 0 || width.Sign() <= 0 {
		return Vessel{Name: name}
	}
	return Vessel{Name: name, Area: length.Mul(width), Height: height}
}

// Round returns a ring or round tin: area π d² ÷ 4.
//
//   - Units: cm; height 0 is not said.
//   - Errors: none; a diameter of 0 or less has no area.
func Round(name string, diameter, height quantity.Number) Vessel {
	if diameter.Sign() <= 0 {
		return Vessel{Name: name}
	}
	return Vessel{Name: name, Area: pi.Mul(diameter).Mul(diameter).Div(quantity.Int(4)), Height: height}
}

// FillVolume returns the volume that filling takes in one cell: volume, or area
// × height, less the core.
//
//   - Units: ml.
//   - Errors: [ErrNoVolume]; [ErrCore].
func (v Vessel) FillVolume() (quantity.Number, error) {
	whole := v.Volume
	if whole.Sign() <= 0 {
		whole = v.Area.Mul(v.Height)
	}
	if whole.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %w", v.Name, ErrNoVolume)
	}
	if !v.Core.Less(whole) {
		return quantity.Number{}, fmt.Errorf("%s of %s ml, core of %s ml: %w", v.Name, whole, v.Core, ErrCore)
	}
	return whole.Sub(v.Core), nil
}

// Sheets returns how many whole mould sheets hold that many cells.
//
//   - Errors: none; the number of cells per sheet counts as 1 where it is not said.
func (v Vessel) Sheets(cells quantity.Number) quantity.Number {
	if v.Cells.Sign() <= 0 {
		return cells.Ceil()
	}
	return cells.Div(v.Cells).Ceil()
}

// Basis says by what one vessel was compared with another.
type Basis uint8

// The bases.
const (
	ByCells   Basis = iota + 1 // the same mould: cells alone
	ByArea                     // the same height, or one that nobody said
	ByVolume                   // fill volume
	ByDensity                  // fill volume × density against the finished mass
)

// String returns "cells", "area", "volume" or "density".
func (b Basis) String() string {
	if b >= ByCells && b <= ByDensity {
		return [...]string{"cells", "area", "volume", "density"}[b-1]
	}
	return fmt.Sprintf("basis %d", b)
}

// Resize returns how many times the filling of one cell of have goes into one
// cell of want: 1 for the same mould; by area where both have one, no core is
// in play, and want's height is the same or not said; else by fill volume.
//
//   - Errors: [ErrNoVolume]; [ErrCore].
//   - Source: area and volume of prisms and cylinders.
func Resize(have, want Vessel) (quantity.Number, Basis, error) {
	if have.Name != "" && have.Name == want.Name && have.Core.Equal(want.Core) && have.sameSize(want) {
		return one, ByCells, nil
	}
	flat := have.Area.Sign() > 0 && want.Area.Sign() > 0 && have.Core.IsZero() && want.Core.IsZero()
	if flat && (want.Height.IsZero() || want.Height.Equal(have.Height)) {
		return want.Area.Div(have.Area), ByArea, nil
	}
	from, err := have.FillVolume()
	if err != nil {
		return quantity.Number{}, 0, err
	}
	to, err := want.FillVolume()
	if err != nil {
		return quantity.Number{}, 0, err
	}
	return to.Div(from), ByVolume, nil
}

// sameSize reports whether nothing that both say differs.
func (v Vessel) sameSize(w Vessel) bool {
	same := func(a, b quantity.Number) bool { return a.IsZero() || b.IsZero() || a.Equal(b) }
	return same(v.Volume, w.Volume) && same(v.Area, w.Area) && same(v.Height, w.Height)
}

// AeratedDensity returns density ÷ (1 + overrun).
//
//   - Units: g/ml.
//   - Errors: [ErrNoDensity]; [ErrRange] if the overrun is below 0.
//   - Source: definition of overrun, University of Guelph, Ice Cream Technology e-book.
func (f *Formula) AeratedDensity() (quantity.Number, error) {
	if f.Density.Sign() <= 0 {
		return quantity.Number{}, fmt.Errorf("%s: %w", f.Name, ErrNoDensity)
	}
	if f.Overrun.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%s: overrun %s: %w", f.Name, f.Overrun, ErrRange)
	}
	return f.Density.Div(one.Add(f.Overrun)), nil
}

// Volume returns what the finished mass of one batch fills, air included.
//
//   - Units: ml.
//   - Errors: those of [Formula.Finished] and [Formula.AeratedDensity].
func (f *Formula) Volume() (quantity.Number, error) {
	density, err := f.AeratedDensity()
	if err != nil {
		return quantity.Number{}, err
	}
	mass, err := f.Finished()
	if err != nil {
		return quantity.Number{}, err
	}
	return mass.Div(density), nil
}

// Filling is a formula fitted to cells of a vessel.
type Filling struct {
	// Formula to scale by Factor: the one given, or for another vessel a copy
	// whose pieces are the new cells and whose cores stay as many a cell.
	Formula *Formula
	Factor  quantity.Number
	Basis   Basis
	Cells   quantity.Number // to fill
	Sheets  quantity.Number // whole mould sheets, rounded up
	// Cautions are those of [Cautions], and of a layer that gets another height.
	Cautions []Caution
}

// ForMoulds fits a formula to that many cells of a vessel. The mould that the
// formula fills scales by cells; a frame, sheet or ring of the same height by
// area; another by fill volume, less the core; and where the formula says no
// vessel of its own, by fill volume × aerated density against its finished mass.
// A want without a core keeps the formula's.
//
//   - Units: cells in pieces, above 0; a tray of a mould is its Cells.
//   - Errors: [ErrRange]; [ErrNoVolume]; [ErrNoDensity]; [ErrCore]; [ErrNoPieces];
//     those of [Formula.Finished].
//   - Source: the book format, "Makes".
func ForMoulds(f *Formula, want Vessel, cells quantity.Number) (Filling, error) {
	if cells.Sign() <= 0 {
		return Filling{}, fmt.Errorf("%s cells of %s: %w", cells, want.Name, ErrRange)
	}
	if f.Vessel == nil {
		return forDensity(f, want, cells)
	}
	if f.Pieces.Sign() <= 0 {
		return Filling{}, fmt.Errorf("%s: %w", f.Name, ErrNoPieces)
	}
	if want.Core.IsZero() {
		want.Core = f.Vessel.Core
	}
	ratio, basis, err := Resize(*f.Vessel, want)
	if _, bad := f.Vessel.FillVolume(); errors.Is(bad, ErrNoVolume) && err != nil {
		return forDensity(f, want, cells)
	}
	if err != nil {
		return Filling{}, err
	}
	factor := ratio.Mul(cells).Div(f.Pieces)
	if basis == ByCells {
		return f.filling(f, want, factor, basis, cells), nil
	}
	return f.filling(f.fit(want, cells, factor), want, factor, basis, cells), nil
}

func forDensity(f *Formula, want Vessel, cells quantity.Number) (Filling, error) {
	each, err := want.FillVolume()
	if err != nil {
		return Filling{}, err
	}
	batch, err := f.Volume()
	if err != nil {
		return Filling{}, err
	}
	factor := each.Mul(cells).Div(batch)
	return f.filling(f.fit(want, cells, factor), want, factor, ByDensity, cells), nil
}

func (f *Formula) filling(fitted *Formula, v Vessel, factor quantity.Number, basis Basis, cells quantity.Number) Filling {
	cautions := Cautions(fitted, factor)
	if basis >= ByVolume && f.isLayer() && !slices.Contains(cautions, CautionLayer) {
		cautions = append(cautions, CautionLayer)
	}
	return Filling{fitted, factor, basis, cells, v.Sheets(cells), cautions}
}

// fit copies f so that factor batches fill cells of v. Cores are one thing a
// cell, whatever its size, so they follow the cells and not the filling.
func (f *Formula) fit(v Vessel, cells, factor quantity.Number) *Formula {
	g := *f
	g.Vessel, g.Word, g.Pieces = &v, v.Name, cells.Div(factor)
	if f.Pieces.Sign() <= 0 {
		return &g
	}
	k := g.Pieces.Div(f.Pieces)
	g.Lines = make([]Line, len(f.Lines))
	for i, l := range f.Lines {
		if l.Core {
			l.Mass, l.Lo, l.Hi = l.Mass.Mul(k), l.Lo.Mul(k), l.Hi.Mul(k)
			l.Count, l.CountLo, l.CountHi = l.Count.Mul(k), l.CountLo.Mul(k), l.CountHi.Mul(k)
		}
		g.Lines[i] = l
	}
	return &g
}
