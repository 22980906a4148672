package heat

import (
	"fmt"
	"math"
)

// Air is what the food is cooled or thawed in.
type Air struct {
	H    float64 // surface heat transfer coefficient, W/(m² K)
	Temp float64 // °C
}

func (a Air) check() error {
	if !(a.H > 0 && a.H <= 20000) || !(a.Temp >= -200 && a.Temp <= 150) {
		return fmt.Errorf("%w: h %g W/(m² K) at %g °C", ErrRange, a.H, a.Temp)
	}
	return nil
}

func (m Material) check() error {
	for _, v := range []float64{m.Density, m.K, m.KFrozen, m.Cp, m.CpFrozen, m.Latent} {
		if !(v > 0) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: a property that is not above 0", ErrRange)
		}
	}
	if !(m.FreezingPoint < 1 && m.FreezingPoint > -60) {
		return fmt.Errorf("%w: freezing point %g °C", ErrRange, m.FreezingPoint)
	}
	return nil
}

func ready(p Piece, m Material, a Air) error {
	if err := p.check(); err != nil {
		return err
	}
	if err := m.check(); err != nil {
		return err
	}
	return a.check()
}

// Plank is the time in which the latent heat alone leaves: a lower bound for the kitchen.
//
//   - Formula: ρ L ÷ (Tf − Ta) × (P a/h + R a²/k), P = 1/(2E), R = 1/(8E), a the smallest size.
//   - Units: min.
//   - Range: air below the freezing point.
//   - Uncertainty: reads 20 to 40 % low, as it leaves out the cooling before and after.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-802.
func Plank(p Piece, m Material, a Air) (float64, error) {
	if err := ready(p, m, a); err != nil {
		return 0, err
	}
	if a.Temp >= m.FreezingPoint {
		return 0, fmt.Errorf("%w: it freezes at %.1f °C and the air has %g °C", ErrNever, m.FreezingPoint, a.Temp)
	}
	e, err := p.EquivalentDimensions(a.H, m.KFrozen)
	if err != nil {
		return 0, err
	}
	d := p.smallest()
	s := m.Density * m.Latent * 1000 / (m.FreezingPoint - a.Temp) * (d/(2*a.H) + d*d/(8*m.KFrozen)) / e
	return s / 60, nil
}

// Freeze is the time until the core is at final, by Pham's method.
//
//   - Formula: (r ÷ E h)(ΔH1/ΔT1 + ΔH2/ΔT2)(1 + Bi/2) with Tfm = 1.8 + 0.263 Tc + 0.105 Ta, ΔH1 = ρ c (Ti − Tfm),
//     ΔH2 = ρs (L + cs (Tfm − Tc)), ΔT1 = (Ti + Tfm)/2 − Ta, ΔT2 = Tfm − Ta, Bi = h r/ks, r half the smallest size.
//   - Units: min; °C.
//   - Range: foods with more than 55 % water, Bi 0.02 to 11, start up to 40 °C, final −30 to −8 °C, air −45 to −15 °C; outside
//     it is worked out all the same, with [Doubts].
//   - Uncertainty: 10 % against measurements of known h and properties; a factor of 1.5 in a kitchen.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-802, S-804.
func Freeze(p Piece, m Material, a Air, start, final float64) (float64, error) {
	if err := ready(p, m, a); err != nil {
		return 0, err
	}
	if !(final > a.Temp) {
		return 0, fmt.Errorf("%w: core at %g °C in air of %g °C", ErrNever, final, a.Temp)
	}
	if !(final <= m.FreezingPoint) || !(start > final) || start > 150 {
		return 0, fmt.Errorf("%w: from %g °C to a core of %g °C", ErrRange, start, final)
	}
	mean := 1.8 + 0.263*final + 0.105*a.Temp
	if mean <= a.Temp {
		return 0, fmt.Errorf("%w: air of %g °C is too warm to freeze in", ErrNever, a.Temp)
	}
	from := max(start, mean) // what is already colder has no cooling before
	e, err := p.EquivalentDimensions(a.H, m.KFrozen)
	if err != nil {
		return 0, err
	}
	r := p.smallest() / 2
	h1 := m.Density * m.Cp * 1000 * (from - mean)
	h2 := m.frozenDensity() * 1000 * (m.Latent + m.CpFrozen*max(0, mean-final))
	s := r / (e * a.H) * (h1/((from+mean)/2-a.Temp) + h2/(mean-a.Temp)) * (1 + a.H*r/m.KFrozen/2)
	return s / 60, nil
}

// ClelandEarle is the time until the core is at final by another published method, for comparison with [Freeze].
//
//   - Formula: ΔH10 ÷ ((Tf − Ta) E) × (P D/h + R D²/ks) × (1 − 1.65 Ste/ks × ln((Tc − Ta)/(−10 − Ta))), P and R by regression
//     on Ste, Pk and Bi of slab, cylinder and sphere; other shapes as a slab with E.
//   - Units: min; °C; D the smallest size, ΔH10 the enthalpy between the freezing point and −10 °C.
//   - Range: 0.1 < Ste < 0.6, Pk < 0.55, 0.5 < Bi < 22, core to −10 °C or below, air below −10 °C.
//   - Uncertainty: 10 %.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-804.
func ClelandEarle(p Piece, m Material, a Air, start, final float64) (float64, error) {
	if err := ready(p, m, a); err != nil {
		return 0, err
	}
	if a.Temp >= -10 || final <= a.Temp {
		return 0, fmt.Errorf("%w: core at %g °C in air of %g °C", ErrNever, final, a.Temp)
	}
	if final >= m.FreezingPoint || start < m.FreezingPoint {
		return 0, fmt.Errorf("%w: from %g °C to a core of %g °C", ErrRange, start, final)
	}
	cl, cs := m.Density*m.Cp*1000, m.frozenDensity()*m.CpFrozen*1000
	dH := m.frozenDensity()*m.Latent*1000 + cs*(m.FreezingPoint+10)
	ste, pk := cs*(m.FreezingPoint-a.Temp)/dH, cl*(start-m.FreezingPoint)/dH
	d := p.smallest()
	bi := a.H * d / m.KFrozen
	var P, R, e float64
	switch p.Shape {
	case Cylinder:
		P, R, e = 0.3751+0.0999*pk+ste*(0.4008*pk+0.0710/bi-0.5865), 0.0133+ste*(0.0415*pk+0.3957), 1
	case Sphere:
		P, R, e = 0.1084+0.0924*pk+ste*(0.2310*pk-0.3114/bi+0.6739), 0.0784+ste*(0.0386*pk-0.1694), 1
	default:
		P, R = 0.5072+0.2018*pk+ste*(0.3224*pk+0.0105/bi+0.0681), 0.1684+ste*(0.2740*pk-0.0135)
		var err error
		if e, err = p.EquivalentDimensions(a.H, m.KFrozen); err != nil {
			return 0, err
		}
	}
	s := dH / ((m.FreezingPoint - a.Temp) * e) * (P*d/a.H + R*d*d/m.KFrozen)
	s *= 1 - 1.65*ste/m.KFrozen*math.Log((final-a.Temp)/(-10-a.Temp))
	return s / 60, nil
}

// Thaw is the time until the core is at 0 °C, by a regression made for thawing: the thawed skin insulates.
//
//   - Formula: ΔH10 ÷ ((Ta − Tf) E) × (P D/h + R D²/k), P = ½(0.7754 + 2.2828 Ste Pk), R = ⅛(0.4271 + 2.122 Ste − 1.4847 Ste²),
//     Ste = c (Ta − Tf)/ΔH10, Pk = cs (Tf − Ti)/ΔH10, all by volume, D the smallest size.
//   - Units: min; °C.
//   - Range: air 5 to 46 °C, start at −10 °C or below, 0.6 < Bi < 57; outside it is worked out all the same, with [Doubts].
//   - Uncertainty: 15 % against measurements; a factor of 1.5 in a kitchen.
//   - Errors: [ErrSize], [ErrRange], [ErrNever].
//   - Source: S-807.
func Thaw(p Piece, m Material, a Air, start float64) (float64, error) {
	if err := ready(p, m, a); err != nil {
		return 0, err
	}
	if a.Temp <= 0 {
		return 0, fmt.Errorf("%w: air of %g °C does not thaw it", ErrNever, a.Temp)
	}
	if !(start < m.FreezingPoint) || start < -60 {
		return 0, fmt.Errorf("%w: from %g °C", ErrRange, start)
	}
	cl, cs := m.Density*m.Cp*1000, m.frozenDensity()*m.CpFrozen*1000
	dH := m.Density*m.Latent*1000 + cl*(0-m.FreezingPoint) + cs*max(0, m.FreezingPoint+10)
	ste := cl * (a.Temp - m.FreezingPoint) / dH
	pk := cs * (m.FreezingPoint - start) / dH
	P := (0.7754 + 2.2828*ste*pk) / 2
	R := (0.4271 + 2.1220*ste - 1.4847*ste*ste) / 8
	if R <= 0 {
		return 0, fmt.Errorf("%w: %g °C is too hot to thaw in", ErrRange, a.Temp)
	}
	e, err := p.EquivalentDimensions(a.H, m.K)
	if err != nil {
		return 0, err
	}
	d := p.smallest()
	s := dH / ((a.Temp - m.FreezingPoint) * e) * (P*d/a.H + R*d*d/m.K)
	return s / 60, nil
}
