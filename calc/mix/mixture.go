package mix

import (
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// component is a Key or one of the sums that cannot be had from the keys of a
// whole, only part by part.
type component uint8

const (
	solids component = component(NumKeys) + iota
	milkSolids
	kilojoule
	kilocalorie
	numComponents
)

type set uint32

func only(k component) set         { return 1 << k }
func (s set) has(k component) bool { return s&only(k) != 0 }

// span is lo to lo+gap.
type span struct{ lo, gap quantity.Number }

// Mixture is a mass of something and what is known of it. It is a value; every
// method returns a new one. The zero value is nothing at all.
type Mixture struct {
	mass    quantity.Number
	of      [numComponents]span
	unknown set // not exact
	open    set // without upper bound
	doubts  []doubt
}

// doubt is a part that leaves components unknown.
type doubt struct {
	name string
	of   set
}

// New returns mass g of an ingredient called name.
//
//   - Errors: [ErrMass] if mass is negative.
func New(name string, mass quantity.Number, c Composition) (Mixture, error) {
	return Part{Name: name, Mass: mass, Comp: c}.Mixture()
}

// Unknown returns mass g of something called name of which nothing is known.
//
//   - Errors: [ErrMass].
func Unknown(name string, mass quantity.Number) (Mixture, error) {
	return New(name, mass, Composition{})
}

// Mass is the mass in g.
func (m Mixture) Mass() quantity.Number { return m.mass }

// Grams returns how much of k is in the whole, in g.
func (m Mixture) Grams(k Key) Content { return m.content(component(k)) }

// Per100 returns how much of k is in 100 g. Of a mixture without mass nothing is known.
func (m Mixture) Per100(k Key) Content { return m.per100(m.Grams(k)) }

// per100 turns a content of the whole into one of 100 g.
func (m Mixture) per100(c Content) Content {
	if m.mass.IsZero() {
		return Content{Open: true, Missing: c.Missing}
	}
	return c.scaled(hundred.Div(m.mass))
}

func (m Mixture) content(k component) Content {
	s := m.of[k]
	c := Content{AtLeast: s.lo, AtMost: s.lo, Exact: !m.unknown.has(k), Open: m.open.has(k)}
	if !s.gap.IsZero() {
		c.AtMost = s.lo.Add(s.gap)
	}
	if !c.Exact {
		c.Missing = m.missing(only(k))
	}
	return c
}

// missing names the parts that leave one of the components unknown.
func (m Mixture) missing(of set) []string {
	var names []string
	for _, d := range m.doubts {
		if d.of&of != 0 {
			names = append(names, d.name)
		}
	}
	return names
}

// Solids returns the total solids: all but water and alcohol, in g.
func (m Mixture) Solids() Content { return m.content(solids) }

// SolidsPer100 returns the total solids of 100 g.
func (m Mixture) SolidsPer100() Content { return m.per100(m.Solids()) }

// MilkSolidsNotFat returns the protein, lactose and ash that come from milk, in g.
// A part of which it is not known whether it is milk ([MilkUnknown]) counts with its lactose
// at least; salted butter counts its salt with the ash.
func (m Mixture) MilkSolidsNotFat() Content { return m.content(milkSolids) }

// MilkSolidsNotFatPer100 returns them in 100 g.
func (m Mixture) MilkSolidsNotFatPer100() Content { return m.per100(m.MilkSolidsNotFat()) }

// Composition returns the keys that are known exactly, per 100 g: the mixture as
// an ingredient of something else.
func (m Mixture) Composition() Composition {
	var c Composition
	if m.mass.IsZero() {
		return c
	}
	for k := range NumKeys {
		if p := m.Per100(k); p.Exact {
			c = c.With(k, p.AtLeast)
		}
	}
	return c
}

// Blend returns all parts together. Every component is the exact sum of the
// parts'; what one of them does not state is not exact in the sum.
func Blend(parts ...Mixture) Mixture {
	var b Mixture
	add := make([]quantity.Number, 0, len(parts))
	sum := func(get func(*Mixture) quantity.Number) quantity.Number {
		add = add[:0]
		for i := range parts {
			if n := get(&parts[i]); !n.IsZero() {
				add = append(add, n)
			}
		}
		switch len(add) {
		case 0:
			return quantity.Number{}
		case 1:
			return add[0]
		}
		return quantity.Sum(add...)
	}
	b.mass = sum(func(m *Mixture) quantity.Number { return m.mass })
	for k := range numComponents {
		b.of[k] = span{
			lo:  sum(func(m *Mixture) quantity.Number { return m.of[k].lo }),
			gap: sum(func(m *Mixture) quantity.Number { return m.of[k].gap }),
		}
	}
	for i := range parts {
		b.unknown |= parts[i].unknown
		b.open |= parts[i].open
		for _, d := range parts[i].doubts {
			b.addDoubt(d)
		}
	}
	return b
}

// addDoubt adds to the doubts of a mixture under construction.
func (m *Mixture) addDoubt(d doubt) {
	for i := range m.doubts {
		if m.doubts[i].name == d.name {
			m.doubts[i].of |= d.of
			return
		}
	}
	m.doubts = append(m.doubts, d)
}

// doubting returns a copy with one more doubt; m's own list is not touched.
func (m Mixture) doubting(name string, of set) Mixture {
	if of == 0 {
		return m
	}
	m.unknown |= of
	m.doubts = slices.Clone(m.doubts)
	m.addDoubt(doubt{name, of})
	return m
}

// Scale returns k times the mixture. Nothing times anything is nothing, and known.
//
//   - Errors: [ErrMass] if k is negative.
func (m Mixture) Scale(k quantity.Number) (Mixture, error) {
	switch {
	case k.Sign() < 0:
		return Mixture{}, fmt.Errorf("%w: factor %s", ErrMass, k)
	case k.IsZero():
		return Mixture{}, nil
	case k.Equal(one):
		return m, nil
	}
	m.mass = m.mass.Mul(k)
	for i, s := range m.of {
		if !s.lo.IsZero() {
			m.of[i].lo = s.lo.Mul(k)
		}
		if !s.gap.IsZero() {
			m.of[i].gap = s.gap.Mul(k)
		}
	}
	return m, nil
}

var one = quantity.Int(1)

// Take returns mass g of the same mixture; more than there is means making it
// more than once.
//
//   - Errors: [ErrMass]; [ErrNoMass] if the mixture has no mass to draw on.
func (m Mixture) Take(mass quantity.Number) (Mixture, error) {
	if mass.Sign() < 0 {
		return Mixture{}, fmt.Errorf("%w: %s g", ErrMass, mass)
	}
	if mass.IsZero() {
		return Mixture{}, nil
	}
	if m.mass.IsZero() {
		return Mixture{}, fmt.Errorf("%w: %s g of nothing", ErrNoMass, mass)
	}
	return m.Scale(mass.Div(m.mass))
}
