package heat

import (
	"fmt"
	"math"
	"slices"
)

// Shape is what a piece of food is like.
type Shape uint8

// The shapes.
const (
	Slab           Shape = iota // cold from both faces; a tray poured to a depth
	Cylinder                    // long: the ends do not count
	Sphere                      // a ball
	Brick                       // three edges
	FiniteCylinder              // a puck, a tub, a log with ends
)

// String is the shape in a word.
func (s Shape) String() string {
	return [...]string{"slab", "cylinder", "sphere", "brick", "finite cylinder"}[s]
}

// Piece is a shape and its full sizes in m, cold on every face.
type Piece struct {
	Shape Shape
	// Thickness of a slab, diameter of a cylinder, sphere or finite cylinder, first edge of a brick.
	Thickness float64
	// Width is the second edge of a brick.
	Width float64
	// Length is the third edge of a brick, the height of a finite cylinder.
	Length float64
}

// SlabOf is a slab cold from both faces, thickness in m.
func SlabOf(thickness float64) Piece { return Piece{Shape: Slab, Thickness: thickness} }

// CylinderOf is a long cylinder, diameter in m.
func CylinderOf(diameter float64) Piece { return Piece{Shape: Cylinder, Thickness: diameter} }

// SphereOf is a ball, diameter in m.
func SphereOf(diameter float64) Piece { return Piece{Shape: Sphere, Thickness: diameter} }

// BrickOf is a block, three edges in m in any order.
func BrickOf(a, b, c float64) Piece { return Piece{Shape: Brick, Thickness: a, Width: b, Length: c} }

// FiniteCylinderOf is a cylinder with ends, diameter and height in m.
func FiniteCylinderOf(diameter, height float64) Piece {
	return Piece{Shape: FiniteCylinder, Thickness: diameter, Length: height}
}

// Resting is the piece with one cold face only: a slab of depth on something that takes no heat behaves
// like a slab of twice the depth.
func Resting(depth float64) Piece { return SlabOf(2 * depth) }

func (p Piece) check() error {
	sizes := []float64{p.Thickness}
	switch p.Shape {
	case Slab, Cylinder, Sphere:
	case Brick:
		sizes = append(sizes, p.Width, p.Length)
	case FiniteCylinder:
		sizes = append(sizes, p.Length)
	default:
		return fmt.Errorf("%w: no such shape", ErrRange)
	}
	for _, s := range sizes {
		if !(s >= 0.001 && s <= 2) { // Resting doubles
			return fmt.Errorf("%w: %g m", ErrSize, s)
		}
	}
	return nil
}

// smallest is the least full size, which the shape factor and the Biot number are taken from.
func (p Piece) smallest() float64 {
	switch p.Shape {
	case Brick:
		return min(p.Thickness, p.Width, p.Length)
	case FiniteCylinder:
		return min(p.Thickness, p.Length)
	}
	return p.Thickness
}

// EquivalentDimensions returns E, how many directions the heat leaves by: 1 slab, 2 cylinder, 3 sphere.
//
//   - Formula: E = G1 + G2 E1 + G3 E2, Ei = X/βi + (1−X) Ai/βi^ni with X = x/(Bi^1.34 + x), x = 2.32/βi^1.77,
//     Bi = h × smallest size ÷ k; A, n = 0.73, 2.50 and 0.50, 3.69.
//   - Units: h in W/(m² K), k in W/(m K).
//   - Range: sizes 1 mm to 1 m, h and k over 0.
//   - Uncertainty: 5 % against numerical solutions.
//   - Errors: [ErrSize], [ErrRange].
//   - Source: S-804.
func (p Piece) EquivalentDimensions(h, k float64) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if !(h > 0) || !(k > 0) {
		return 0, fmt.Errorf("%w: h %g, k %g", ErrRange, h, k)
	}
	bi := h * p.smallest() / k
	e := func(beta, a, n float64) float64 {
		x := 2.32 / math.Pow(beta, 1.77)
		w := x / (math.Pow(bi, 1.34) + x)
		return w/beta + (1-w)*a/math.Pow(beta, n)
	}
	e1 := func(b float64) float64 { return e(b, 0.73, 2.50) }
	e2 := func(b float64) float64 { return e(b, 0.50, 3.69) }
	switch p.Shape {
	case Slab:
		return 1, nil
	case Cylinder:
		return 2, nil
	case Sphere:
		return 3, nil
	case FiniteCylinder:
		if p.Length < p.Thickness {
			return 1 + 2*e1(p.Thickness/p.Length), nil
		}
		return 2 + e2(p.Length/p.Thickness), nil
	}
	d := []float64{p.Thickness, p.Width, p.Length}
	slices.Sort(d)
	return 1 + e1(d[1]/d[0]) + e2(d[2]/d[0]), nil
}
