package heat

import (
	"fmt"
	"math"
)

// Place is where in the piece a temperature is meant.
type Place uint8

// The places.
const (
	Core    Place = iota // the middle, the last to follow
	Surface              // the first; of brick and finite cylinder the middle of the face of the smallest size
	Average              // of the whole
)

// terms of the series; at the Fourier numbers of kitchens two or three matter.
const terms = 24

// body is one direction of a shape: its roots and what each term brings.
type body struct {
	zeta, amp [terms]float64
	core      bool
}

// soon is the Fourier number before which a core has felt nothing (1 part in 10^7) and the series of this length swings.
const soon = 0.006

func bisect(lo, hi float64, f func(float64) float64) float64 {
	up := f(hi) > 0
	for range 60 {
		m := (lo + hi) / 2
		if (f(m) > 0) == up {
			hi = m
		} else {
			lo = m
		}
	}
	return (lo + hi) / 2
}

// newBody solves the eigenvalue equation of a slab, cylinder or sphere.
func newBody(s Shape, bi float64, at Place) body {
	b := body{core: at == Core}
	for i := range terms {
		n := float64(i)
		var z float64
		switch s {
		case Cylinder:
			lo := 0.0
			if i > 0 {
				lo = bisect(n*math.Pi, (n+0.5)*math.Pi, math.J1)
			}
			hi := bisect((n+0.5)*math.Pi, (n+1)*math.Pi, math.J0)
			z = bisect(lo, hi, func(z float64) float64 { return z*math.J1(z) - bi*math.J0(z) })
			j0, j1 := math.J0(z), math.J1(z)
			c := 2 / z * j1 / (j0*j0 + j1*j1)
			b.amp[i] = c * [...]float64{1, j0, 2 * j1 / z}[at]
		case Sphere:
			z = bisect(n*math.Pi+1e-9, (n+1)*math.Pi-1e-9, func(z float64) float64 { return math.Sin(z)*(1-bi) - z*math.Cos(z) })
			sn, cs := math.Sin(z), math.Cos(z)
			c := 4 * (sn - z*cs) / (2*z - math.Sin(2*z))
			b.amp[i] = c * [...]float64{1, sn / z, 3 * (sn - z*cs) / (z * z * z)}[at]
		default:
			z = bisect(n*math.Pi, n*math.Pi+math.Pi/2, func(z float64) float64 { return z*math.Sin(z) - bi*math.Cos(z) })
			sn := math.Sin(z)
			c := 4 * sn / (2*z + math.Sin(2*z))
			b.amp[i] = c * [...]float64{1, math.Cos(z), sn / z}[at]
		}
		b.zeta[i] = z
	}
	return b
}

// left is the share of the temperature difference that is left at a Fourier number.
func (b *body) left(fo float64) float64 {
	if b.core && fo < soon {
		return 1
	}
	var sum float64
	for i := range terms {
		sum += b.amp[i] * math.Exp(-b.zeta[i]*b.zeta[i]*fo)
	}
	return min(sum, 1)
}

// direction is a body of a half size.
type direction struct {
	body
	r float64
}

func directions(p Piece, h, k float64, at Place) []direction {
	one := func(s Shape, size float64, at Place) direction {
		r := size / 2
		return direction{newBody(s, h*r/k, at), r}
	}
	inner := at // across the other sizes a surface point lies in the middle
	if at == Surface {
		inner = Core
	}
	switch p.Shape {
	case Brick:
		small := p.smallest()
		used := false
		var out []direction
		for _, d := range []float64{p.Thickness, p.Width, p.Length} {
			if d == small && !used {
				used = true
				out = append(out, one(Slab, d, at))
				continue
			}
			out = append(out, one(Slab, d, inner))
		}
		return out
	case FiniteCylinder:
		round, flat := at, inner
		if p.Length < p.Thickness {
			round, flat = inner, at
		}
		return []direction{one(Cylinder, p.Thickness, round), one(Slab, p.Length, flat)}
	}
	return []direction{one(p.Shape, p.Thickness, at)}
}

// Cool is the time in which a place in the piece comes from start to target: cooling without freezing, or warming.
//
//   - Formula: the series of the heat equation in slab, cylinder and sphere with 24 terms; brick and finite cylinder as products.
//   - Units: min; conductivity, density and specific heat of the unfrozen food; °C.
//   - Range: nothing freezes or melts, nothing flows inside; any Biot number over 0.
//   - Uncertainty: exact for what it assumes; a factor of 1.5 in a kitchen.
//   - Errors: [ErrSize], [ErrRange], [ErrNever] where the target lies at or beyond the air.
//   - Source: S-808.
func Cool(p Piece, m Material, a Air, start, target float64, at Place) (float64, error) {
	if !(m.K > 0) || !(m.Density > 0) || !(m.Cp > 0) {
		return 0, fmt.Errorf("%w: a property that is not above 0", ErrRange)
	}
	return CoolWith(p, m.K, m.K/(m.Density*m.Cp*1000), a, start, target, at)
}

// CoolWith is [Cool] with the conductivity and the thermal diffusivity given.
//
//   - Formula: as [Cool].
//   - Units: k W/(m K), alpha m²/s; min; °C.
//   - Range: as [Cool].
//   - Uncertainty: as [Cool].
//   - Errors: as [Cool].
//   - Source: S-808.
func CoolWith(p Piece, k, alpha float64, a Air, start, target float64, at Place) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if err := a.check(); err != nil {
		return 0, err
	}
	if !(k > 0) || !(alpha > 0) || at > Average || math.IsNaN(start) || math.IsNaN(target) {
		return 0, fmt.Errorf("%w: k %g, diffusivity %g", ErrRange, k, alpha)
	}
	if start == target {
		return 0, nil
	}
	share := (target - a.Temp) / (start - a.Temp)
	if start == a.Temp || !(share > 1e-9) || share >= 1 {
		return 0, fmt.Errorf("%w: from %g to %g °C in %g °C", ErrNever, start, target, a.Temp)
	}
	dirs := directions(p, a.H, k, at)
	left := func(s float64) float64 {
		f := 1.0
		for i := range dirs {
			f *= dirs[i].left(alpha * s / (dirs[i].r * dirs[i].r))
		}
		return f
	}
	hi := 60.0
	for left(hi) > share {
		if hi *= 2; hi > 1e9 {
			return 0, fmt.Errorf("%w: not within thirty years", ErrNever)
		}
	}
	lo := 0.0
	for range 80 {
		if mid := (lo + hi) / 2; left(mid) > share {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi / 60, nil
}

// Stirred is the time in which a liquid that is kept mixed comes from start to target.
//
//   - Formula: ρ c × volume ÷ (h × cold area) × ln((start − air) ÷ (target − air)).
//   - Units: volumeOverArea is m³ of food per m² of cold surface: half the thickness of a slab cold on both faces; min.
//   - Range: kept stirred, nothing freezes.
//   - Uncertainty: that of h; a factor of 1.5 in a kitchen.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-808.
func Stirred(volumeOverArea float64, m Material, a Air, start, target float64) (float64, error) {
	if !(volumeOverArea > 0 && volumeOverArea <= 1) {
		return 0, fmt.Errorf("%w: %g m", ErrSize, volumeOverArea)
	}
	if err := a.check(); err != nil {
		return 0, err
	}
	if !(m.Density > 0) || !(m.Cp > 0) {
		return 0, fmt.Errorf("%w: a property that is not above 0", ErrRange)
	}
	share := (target - a.Temp) / (start - a.Temp)
	if start == a.Temp || !(share > 1e-9) || share > 1 {
		return 0, fmt.Errorf("%w: from %g to %g °C in %g °C", ErrNever, start, target, a.Temp)
	}
	return -math.Log(share) * m.Density * m.Cp * 1000 * volumeOverArea / a.H / 60, nil
}
