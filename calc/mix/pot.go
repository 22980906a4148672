package mix

import (
	"errors"
	"slices"

	"tamis/calc/quantity"
)

// pot is what cooks together: one line to begin with, several once a step had them in one pan.
type pot struct {
	lines []int
	share quantity.Number // of its line, while it is fresh
	fresh bool            // one line, in no pan yet
	m     Mixture
}

func blendPots(pots []pot) Mixture {
	ms := make([]Mixture, len(pots))
	for i, p := range pots {
		ms[i] = p.m
	}
	return Blend(ms...)
}

// pan takes the lines in a pan out of the pots and returns them as one. A share of a line draws on
// what of it is in no pan yet. It is not known what is in the pan if it holds a part
// of what cooked together before.
func pan(pots []pot, in []InPan) (rest []pot, p pot, known bool) {
	want := map[int]quantity.Number{}
	for _, i := range in {
		s := i.Share
		if s.IsZero() {
			s = one
		}
		if s.Sign() < 0 || one.Less(s) {
			return pots, pot{}, false
		}
		want[i.Line] = s
	}
	var ms []Mixture
	for _, q := range pots {
		if q.fresh {
			l := q.lines[0]
			s, ok := want[l]
			if !ok {
				rest = append(rest, q)
				continue
			}
			if s.Equal(one) {
				s = q.share
			} else {
				delete(want, l)
			}
			if q.share.Less(s) {
				return pots, pot{}, false
			}
			if s.Less(q.share) {
				left := q
				left.share = q.share.Sub(s)
				left.m, _ = q.m.Scale(left.share.Div(q.share)) // a share is never below 0
				q.m, _ = q.m.Scale(s.Div(q.share))
				rest = append(rest, left)
			}
			ms, p.lines = append(ms, q.m), append(p.lines, l)
			continue
		}
		n := 0
		for _, l := range q.lines {
			if s, ok := want[l]; ok && s.Equal(one) {
				n++
			}
		}
		switch n {
		case 0:
			rest = append(rest, q)
		case len(q.lines):
			ms, p.lines = append(ms, q.m), append(p.lines, q.lines...)
		default:
			return pots, pot{}, false
		}
	}
	for l, s := range want { // a share that no fresh line could give
		if !s.Equal(one) || !slices.Contains(p.lines, l) {
			return pots, pot{}, false
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
	if known && p.m.mass.Less(l.Mass) { // the book's pan cannot hold that much
		c.doubts = append(c.doubts, Doubt{n.Name, l.Step, p.m.canLose(l.Mass)})
		known = false
	}
	if !known { // it may hold anything of all pots
		rest, p = nil, pot{m: blendPots(pots)}
		for _, q := range pots {
			p.lines = append(p.lines, q.lines...)
		}
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
