package mix

import (
	"errors"
	"slices"

	"tamis/calc/quantity"
)

// pot is what cooks together: one line to begin with, several once a step had them in one pan.
type pot struct {
	lines []int
	m     Mixture
}

func blendPots(pots []pot) Mixture {
	ms := make([]Mixture, len(pots))
	for i, p := range pots {
		ms[i] = p.m
	}
	return Blend(ms...)
}

// pan takes the lines in a pan out of the pots and returns them as one. It is not known what is
// in the pan if it holds a part of what cooked together before.
func pan(pots []pot, in []InPan) (rest []pot, p pot, known bool) {
	share := map[int]quantity.Number{}
	for _, i := range in {
		s := i.Share
		if s.IsZero() {
			s = one
		}
		if s.Sign() < 0 || one.Less(s) {
			return pots, pot{}, false
		}
		share[i.Line] = s
	}
	var ms []Mixture
	for _, q := range pots {
		n := 0
		for _, l := range q.lines {
			if s, ok := share[l]; ok && (s.Equal(one) || len(q.lines) == 1) {
				n++
			}
		}
		switch {
		case n == 0 && !slices.ContainsFunc(q.lines, func(l int) bool { _, ok := share[l]; return ok }):
			rest = append(rest, q)
		case n < len(q.lines):
			return pots, pot{}, false
		default:
			m := q.m
			if s := share[q.lines[0]]; !s.Equal(one) {
				left, _ := m.Scale(one.Sub(s))
				rest = append(rest, pot{lines: q.lines, m: left})
				m, _ = m.Scale(s)
			}
			ms = append(ms, m)
			p.lines = append(p.lines, q.lines...)
		}
	}
	p.m = Blend(ms...)
	return rest, p, len(ms) > 0
}

// lose takes what a step takes away out of the pots.
func (c *composer) lose(n *Node, pots []pot, l Loss) ([]pot, error) {
	if l.Mass.IsZero() {
		return pots, nil
	}
	rest, p, known := pan(pots, l.Pan)
	if !known { // it may hold anything of all pots
		for _, q := range pots {
			p.lines = append(p.lines, q.lines...)
		}
		rest, p.m = nil, blendPots(pots)
	}
	m, err := c.loss(n, p.m, l, known)
	if err != nil {
		return nil, err
	}
	return append(rest, pot{lines: p.lines, m: m}), nil
}

func (c *composer) loss(n *Node, m Mixture, l Loss, known bool) (Mixture, error) {
	name := n.Name + ": " + l.Step
	switch {
	case l.Kind == MixtureLoss && known:
		return m.LoseMixture(l.Mass)
	case l.Kind == WaterLoss:
		out, err := c.boil(name, m, l.Mass, known)
		if err == nil || errors.Is(err, ErrMass) {
			return out, err
		}
		c.doubts = append(c.doubts, Doubt{n.Name, l.Step, err})
		if errors.Is(err, ErrUnknown) {
			return m.LoseBoiled(name, l.Mass)
		}
	}
	return m.LeaveBehind(name, l.Mass)
}

// boil takes g of water and alcohol off a pan.
func (c *composer) boil(name string, m Mixture, g quantity.Number, known bool) (Mixture, error) {
	if !known {
		return m.LoseBoiled(name, g)
	}
	a := m.Grams(Alcohol)
	if a.Exact && a.AtLeast.IsZero() {
		return m.LoseWater(g)
	}
	if c.split != nil {
		if alcohol, ok := c.split(m, g); ok {
			return m.LoseWaterAndAlcohol(g.Sub(alcohol), alcohol)
		}
	}
	return m.LoseBoiled(name, g)
}
