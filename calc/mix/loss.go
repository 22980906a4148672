package mix

import (
	"fmt"

	"tamis/calc/quantity"
)

// LoseMixture returns the mixture after mass g of it were lost as they are: what
// sticks to the bowl. What is left has the same composition.
//
//   - Errors: [ErrMass]; [ErrNotEnough] if the mixture weighs less.
func (m Mixture) LoseMixture(mass quantity.Number) (Mixture, error) {
	if err := m.canLose(mass); err != nil {
		return Mixture{}, err
	}
	if mass.IsZero() {
		return m, nil
	}
	return m.Take(m.mass.Sub(mass))
}

// canLose checks a mass that is to go.
func (m Mixture) canLose(mass quantity.Number) error {
	if mass.Sign() < 0 {
		return fmt.Errorf("%w: %s g", ErrMass, mass)
	}
	if m.mass.Less(mass) {
		return fmt.Errorf("%w: %s g of %s g", ErrNotEnough, mass, m.mass)
	}
	return nil
}

// LoseWater returns the mixture after g of water boiled or dried away. The
// caller knows what was in the pan and that nothing boils with it.
//
//   - Errors: [ErrMass]; a [LossError] with [ErrNotEnough] if there cannot be that much
//     water, with [ErrUnknown] if it is not known whether there is.
func (m Mixture) LoseWater(g quantity.Number) (Mixture, error) {
	return m.LoseWaterAndAlcohol(g, quantity.Number{})
}

// LoseWaterAndAlcohol returns the mixture after both went, in g.
//
//   - Errors: as LoseWater, of either.
func (m Mixture) LoseWaterAndAlcohol(water, alcohol quantity.Number) (Mixture, error) {
	if err := m.canLoseKey(Water, water); err != nil {
		return Mixture{}, err
	}
	if err := m.canLoseKey(Alcohol, alcohol); err != nil {
		return Mixture{}, err
	}
	m.mass = m.mass.Sub(water).Sub(alcohol)
	m.of[Water].lo = m.of[Water].lo.Sub(water)
	m.of[Alcohol].lo = m.of[Alcohol].lo.Sub(alcohol)
	if !alcohol.IsZero() {
		m.of[kilojoule].lower(alcohol.Mul(alcoholKJ), alcohol.Mul(alcoholKJ))
		m.of[kilocalorie].lower(alcohol.Mul(alcoholKcal), alcohol.Mul(alcoholKcal))
	}
	return m, nil
}

func (m Mixture) canLoseKey(k Key, g quantity.Number) error {
	if g.Sign() < 0 {
		return fmt.Errorf("%w: %s g of %s", ErrMass, g, k)
	}
	there := m.Grams(k)
	switch {
	case !there.AtLeast.Less(g):
		return nil
	case !there.Open && there.AtMost.Less(g):
		return &LossError{k, g, there, ErrNotEnough}
	}
	return &LossError{k, g, there, ErrUnknown}
}

// LoseBoiled returns the mixture after g of water and alcohol went and nobody
// knows how much of each, or what the pan held: both stay within bounds, named
// after step. What does not boil keeps its grams.
//
//   - Errors: [ErrMass]; a [LossError] with [ErrNotEnough] if both together cannot be g.
func (m Mixture) LoseBoiled(step string, g quantity.Number) (Mixture, error) {
	if g.Sign() < 0 {
		return Mixture{}, fmt.Errorf("%w: %s g", ErrMass, g)
	}
	if g.IsZero() {
		return m, nil
	}
	w, a := m.Grams(Water), m.Grams(Alcohol)
	anyWater, anyAlcohol := quantity.Number{}, g // the least water and the most alcohol in the loss
	if !a.Open && a.AtMost.Less(g) {
		anyAlcohol = a.AtMost
		anyWater = g.Sub(a.AtMost)
	}
	if !w.Open && w.AtMost.Less(anyWater) || m.mass.Less(g) {
		return Mixture{}, &LossError{Water, g, w, ErrNotEnough}
	}
	m.mass = m.mass.Sub(g)
	m.of[Water].lower(g, anyWater)
	if anyAlcohol.IsZero() {
		return m.doubting(step, only(component(Water))), nil
	}
	m.of[Alcohol].lower(anyAlcohol, quantity.Number{})
	m.of[kilojoule].lower(anyAlcohol.Mul(alcoholKJ), quantity.Number{})
	m.of[kilocalorie].lower(anyAlcohol.Mul(alcoholKcal), quantity.Number{})
	return m.doubting(step, only(component(Water))|only(component(Alcohol))|only(kilojoule)|only(kilocalorie)), nil
}

// lower takes up to most off the lower bound and at least least off the upper one.
func (s *span) lower(most, least quantity.Number) {
	hi := atLeastZero(s.lo.Add(s.gap).Sub(least))
	s.lo = atLeastZero(s.lo.Sub(most))
	s.gap = atLeastZero(hi.Sub(s.lo))
}

// LeaveBehind returns the mixture after mass g of unknown composition stayed behind in a
// sieve, on a board: named after step, everything is unknown within bounds but what was not in it at all.
//
//   - Errors: [ErrMass]; [ErrNotEnough].
func (m Mixture) LeaveBehind(step string, mass quantity.Number) (Mixture, error) {
	if err := m.canLose(mass); err != nil {
		return Mixture{}, err
	}
	if mass.IsZero() {
		return m, nil
	}
	m.mass = m.mass.Sub(mass)
	var touched set
	for k := range numComponents {
		s := &m.of[k]
		if s.lo.IsZero() && s.gap.IsZero() && !m.open.has(k) {
			continue // none of it was there
		}
		touched |= only(k)
		most, cap := mass, m.mass
		switch k {
		case kilojoule:
			most, cap = mass.Mul(maxKJ), m.mass.Mul(maxKJ)
		case kilocalorie:
			most, cap = mass.Mul(maxKcal), m.mass.Mul(maxKcal)
		}
		s.lower(most, quantity.Number{})
		if hi := s.lo.Add(s.gap); cap.Less(hi) {
			s.gap = atLeastZero(cap.Sub(s.lo))
		}
	}
	return m.doubting(step, touched), nil
}

// toTaste returns what the mixture, called name, brings when its mass is not stated.
func (m Mixture) toTaste(name string) Mixture {
	var t Mixture
	for k := range numComponents {
		if s := m.of[k]; !s.lo.IsZero() || !s.gap.IsZero() || m.open.has(k) {
			t.open |= only(k)
		}
	}
	t.unknown = t.open
	if t.unknown != 0 {
		t.doubts = []doubt{{name, t.unknown}}
	}
	return t
}

func atLeastZero(n quantity.Number) quantity.Number {
	if n.Sign() < 0 {
		return quantity.Number{}
	}
	return n
}
