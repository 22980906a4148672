package heat

import (
	_ "embed"
	"fmt"
	"math"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/reftable"
)

// Material is what a food is like to heat. Conductivities in W/(m K), densities in kg/m³, specific
// heats in kJ/(kg K), latent heat in kJ/kg, temperatures in °C.
type Material struct {
	Density       float64 // unfrozen
	DensityFrozen float64 // 0: as unfrozen
	K, KFrozen    float64
	Cp, CpFrozen  float64
	Latent        float64 // of its water
	FreezingPoint float64 // where the first ice forms
}

func (m Material) frozenDensity() float64 {
	if m.DensityFrozen > 0 {
		return m.DensityFrozen
	}
	return m.Density
}

// Makeup is shares of the mass, as Choi and Okos sort them. They need not add to 1: the rest is air of no mass.
type Makeup struct {
	Water, Protein, Fat, Carbohydrate, Fibre, Ash float64
	Ice                                           float64 // of the water, frozen; Water does not count it
}

// LatentOfWater is the heat of melting of ice, kJ/kg, S-803.
const LatentOfWater = 333.6

//go:embed data/choi-okos.csv
var choiOkosCSV []byte

// poly is a + b t + c t².
type poly struct{ a, b, c float64 }

func (p poly) at(t float64) float64 { return p.a + t*(p.b+t*p.c) }

var choiOkos = readChoiOkos(choiOkosCSV)

func readChoiOkos(text []byte) map[string]poly {
	t := reftable.MustParse(text)
	col := func(name string) []float64 {
		v, err := t.Floats(name)
		if err != nil {
			panic(err)
		}
		return v
	}
	a, b, c := col("a"), col("b"), col("c")
	out := map[string]poly{}
	for i, row := range t.Rows {
		out[row[0]+" "+row[1]] = poly{a[i], b[i], c[i]}
	}
	return out
}

// Property is one value of one component.
//
//   - Formula: a + b t + c t².
//   - Units: property "k" W/(m K), "rho" kg/m³, "cp" kJ/(kg K); t in °C.
//   - Range: −40 to 150 °C; component protein, fat, carbohydrate, fibre, ash, water or ice.
//   - Uncertainty: 6 %.
//   - Errors: [ErrRange].
//   - Source: S-801.
func Property(property, component string, t float64) (float64, error) {
	if !(t >= -40 && t <= 150) {
		return 0, fmt.Errorf("%w: %g °C, the table goes from -40 to 150", ErrRange, t)
	}
	if property == "cp" && component == "water" {
		component = "water, 0 to 150 C"
		if t < 0 {
			component = "water, -40 to 0 C"
		}
	}
	p, ok := choiOkos[property+" "+component]
	if !ok {
		return 0, fmt.Errorf("%w: no %s of %s", ErrRange, property, component)
	}
	return p.at(t), nil
}

type share struct {
	name string
	x    float64
}

func (m Makeup) shares() []share {
	return []share{{"water", m.Water}, {"protein", m.Protein}, {"fat", m.Fat}, {"carbohydrate", m.Carbohydrate},
		{"fibre", m.Fibre}, {"ash", m.Ash}, {"ice", m.Ice}}
}

// At returns density, conductivity and specific heat at t, without the heat of melting.
//
//   - Formula: 1/ρ = Σ x/ρi; k = Σ (x ρ/ρi) ki, side by side; c = Σ x ci. Shares are taken of their sum.
//   - Units: kg/m³, W/(m K), kJ/(kg K).
//   - Range: −40 to 150 °C, no air in it.
//   - Uncertainty: 6 % each; conductivity of frozen food 15 %.
//   - Errors: [ErrRange], [ErrComposition].
//   - Source: S-801, S-803.
func (m Makeup) At(t float64) (rho, k, cp float64, err error) {
	var total, volume, kv float64
	for _, s := range m.shares() {
		if !(s.x >= 0) || math.IsInf(s.x, 0) {
			return 0, 0, 0, fmt.Errorf("%w: %s %g", ErrComposition, s.name, s.x)
		}
		if s.x == 0 {
			continue
		}
		r, err := Property("rho", s.name, t)
		if err != nil {
			return 0, 0, 0, err
		}
		ki, _ := Property("k", s.name, t)
		ci, _ := Property("cp", s.name, t)
		total += s.x
		volume += s.x / r
		kv += s.x / r * ki
		cp += s.x * ci
	}
	if total <= 0 {
		return 0, 0, 0, fmt.Errorf("%w: nothing in it", ErrComposition)
	}
	return total / volume, kv / volume, cp / total, nil
}

// IceFraction is the mass of ice in 1 kg of food at t.
//
//   - Formula: (xw − 0.4 xp)(1 − tf/t) below the initial freezing point tf, the second term being bound water.
//   - Units: kg/kg, °C.
//   - Range: tf below 0; t down to −40 °C.
//   - Uncertainty: a tenth; more just below the freezing point.
//   - Errors: [ErrRange].
//   - Source: S-803.
func (m Makeup) IceFraction(freezingPoint, t float64) (float64, error) {
	if !(freezingPoint < 0) || !(t >= -60) {
		return 0, fmt.Errorf("%w: freezing point %g °C, food at %g °C", ErrRange, freezingPoint, t)
	}
	if t >= freezingPoint {
		return 0, nil
	}
	free := max(0, m.Water+m.Ice-0.4*m.Protein)
	return free * (1 - freezingPoint/t), nil
}

// Material returns what the food is like above freezing at warm and frozen at cold.
//
//   - Formula: [Makeup.At] at both, with [Makeup.IceFraction] at cold; latent heat = water × 333.6 kJ/kg.
//   - Units: °C.
//   - Range: cold from −40 °C to the freezing point, warm up to 150 °C.
//   - Uncertainty: as those two.
//   - Errors: [ErrRange], [ErrComposition].
//   - Source: S-801, S-803.
func (m Makeup) Material(freezingPoint, warm, cold float64) (Material, error) {
	rho, k, cp, err := m.At(max(warm, 0))
	if err != nil {
		return Material{}, err
	}
	ice, err := m.IceFraction(freezingPoint, cold)
	if err != nil {
		return Material{}, err
	}
	f := m
	f.Water, f.Ice = m.Water+m.Ice-ice, ice
	rs, ks, cs, err := f.At(min(cold, freezingPoint))
	if err != nil {
		return Material{}, err
	}
	return Material{Density: rho, DensityFrozen: rs, K: k, KFrozen: ks, Cp: cp, CpFrozen: cs,
		Latent: (m.Water + m.Ice) * LatentOfWater, FreezingPoint: freezingPoint}, nil
}

// What a mix may hold for an estimate, g in 100 g, S-806. Pham's method was made for foods with more than
// 55 g of water; in a sweet, fat or spirituous mix the freezing goes on far below the first ice.
const (
	MostSugars  = 15
	MostFat     = 20
	MostAlcohol = 1
	LeastWater  = 55
)

// Known turns a mixture into a makeup. What is not exact is taken in the middle of its bounds.
//
//   - Formula: carbohydrate is what water, protein, fat, fibre and ash leave of 100 g; salt lies in the ash.
//   - Units: shares of the mass.
//   - Range: water and fat known within 10 g in 100 g.
//   - Uncertainty: as the table it comes from.
//   - Errors: [ErrComposition] with the names that leave it open.
//   - Source: S-801.
func Known(m mix.Mixture) (Makeup, error) {
	for _, k := range []mix.Key{mix.Water, mix.Fat} {
		c := m.Per100(k)
		if d, ok := c.PlusMinus(); !ok || d.Float() > 5 {
			return Makeup{}, fmt.Errorf("%w: %s of %s", ErrComposition, k, strings.Join(c.Missing, ", "))
		}
	}
	g := func(k mix.Key) float64 { return m.Per100(k).AtLeast.Float() } // what is not stated falls to carbohydrate
	mid := func(k mix.Key) float64 { return m.Per100(k).Middle().Float() }
	out := Makeup{Water: mid(mix.Water), Fat: mid(mix.Fat), Protein: g(mix.Protein), Fibre: g(mix.Fibre), Ash: max(g(mix.Ash), g(mix.Salt))}
	// All that is neither of these is carbohydrate; alcohol beyond a trace has been refused.
	out.Carbohydrate = max(0, 100-out.Water-out.Fat-out.Protein-out.Fibre-out.Ash)
	for _, p := range []*float64{&out.Water, &out.Fat, &out.Protein, &out.Fibre, &out.Ash, &out.Carbohydrate} {
		*p /= 100
	}
	return out, nil
}

// Fit reports whether an estimate may be made for the mix at all.
//
//   - Range: sugars at most 15, fat at most 20, alcohol at most 1, water at least 55 g in 100 g.
//   - Errors: [RichError]; [ErrComposition] where it is not known whether it is within.
//   - Source: S-806.
func Fit(m mix.Mixture) error {
	for _, l := range []struct {
		k    mix.Key
		most float64
	}{{mix.Alcohol, MostAlcohol}, {mix.Sugars, MostSugars}, {mix.Fat, MostFat}} {
		c := m.Per100(l.k)
		if lo := c.AtLeast.Float(); lo > l.most {
			return &RichError{What: l.k.String(), Per100: lo, Limit: l.most}
		}
	}
	w := m.Per100(mix.Water)
	if !w.Open && w.AtMost.Float() < LeastWater {
		return &RichError{What: "water", Per100: w.AtMost.Float(), Limit: LeastWater, NotEnough: true}
	}
	for _, l := range []struct {
		k    mix.Key
		most float64
	}{{mix.Alcohol, MostAlcohol}, {mix.Sugars, MostSugars}, {mix.Fat, MostFat}} {
		if c := m.Per100(l.k); c.Open || c.AtMost.Float() > l.most {
			if l.k == mix.Alcohol && !c.Open && c.AtLeast.IsZero() {
				continue // tables leave out alcohol where there is none
			}
			return fmt.Errorf("%w: %s of %s", ErrComposition, l.k, strings.Join(c.Missing, ", "))
		}
	}
	if w.Open || w.AtLeast.Float() < LeastWater {
		return fmt.Errorf("%w: water of %s", ErrComposition, strings.Join(w.Missing, ", "))
	}
	return nil
}

// FreezingPoint is where the first ice forms in a mix.
//
//   - Formula: ln(xw) = −(6010 ÷ 8.314)(1/T − 1/273.15), xw the mole fraction of the water that is not bound to sugar (5 molecules a
//     disaccharide, 2.5 a simple sugar); salt twice its moles, other ash 60 g a mole of ions, acid 192 g a mole.
//   - Units: °C.
//   - Range: to about −10 °C.
//   - Uncertainty: 0.1 °C for sugar in water, 0.4 °C for a mix.
//   - Errors: [ErrComposition] where the mix holds no water.
//   - Source: S-805.
func FreezingPoint(m mix.Mixture) (float64, error) {
	g := func(k mix.Key) float64 { return m.Per100(k).AtLeast.Float() }
	water := g(mix.Water) / 18.015
	if water <= 0 {
		return 0, fmt.Errorf("%w: water", ErrComposition)
	}
	double := g(mix.Sucrose) + g(mix.Lactose) + g(mix.Maltose)
	simple := g(mix.Glucose) + g(mix.Fructose)
	double += max(0, m.Per100(mix.Sugars).Middle().Float()-double-simple)
	d, s := double/342.3, simple/180.16
	salt := g(mix.Salt)
	moles := d + s + g(mix.Polyols)/182.2 + g(mix.Glycerol)/92.09 + g(mix.Alcohol)/46.07 + g(mix.Acid)/192.1 +
		1.85*salt/58.44 + max(0, g(mix.Ash)-salt)/60
	free := water - 5*d - 2.5*s
	if free <= 0 {
		return 0, fmt.Errorf("%w: more sugar than its water can hold", ErrComposition)
	}
	x := free / (free + moles)
	t := 1 / (1/273.15 - math.Log(x)*8.314/6010)
	return min(t-273.15, -0.01), nil
}
