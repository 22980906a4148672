package question

import (
	"slices"

	"tamis/calc/quantity"
)

// framed reads the sides of another frame than the recipe's own: "frame 40 x 30
// x 1.5 cm", "in 30x20 but 3 cm high". Without a unit they are in cm.
func (s *sense) framed(r reading, p pick) (reading, bool) {
	if len(p.targets) != 1 || r.q.Targets[0].Scale.Kind != ScaleNone {
		return r, false
	}
	if m := r.q.Targets[0].Recipe.Makes; m == nil || len(m.Frame) == 0 {
		return r, false
	}
	t := s.l.tokens
	by := func(k int) bool {
		return k < len(t) && (t[k].plain == "x" || t[k].plain == "by" || t[k].plain == "par" || t[k].plain == "por")
	}
	for i := range t {
		length, ok := side(t, i)
		if !ok || !by(i+1) {
			continue
		}
		width, ok := side(t, i+2)
		if !ok {
			continue
		}
		end := i + 3
		sides := []quantity.Number{length, width}
		if h, ok := side(t, i+4); ok && by(i+3) {
			sides = append(sides, h)
			end = i + 5
		}
		unit := quantity.CM
		if u, ok := lengthUnit(t, end); ok {
			unit, end = u, end+1
		}
		for k := range sides {
			sides[k] = sides[k].Mul(unit.Factor()).Div(quantity.CM.Factor())
		}
		spans := [][2]int{{i, end}}
		if len(sides) == 2 {
			if h, from, to, ok := height(t, end); ok {
				sides = append(sides, h)
				spans = append(spans, [2]int{from, to})
			}
		}
		r = r.clone()
		for j := range s.p.spans {
			sp := s.span(j)
			if slices.ContainsFunc(spans, func(in [2]int) bool { return sp.from >= in[0] && sp.to <= in[1] }) {
				r.used[j] = true
			}
		}
		r.q.Targets[0].Scale = Scale{Kind: ScaleFrame, N: one, Sides: sides, Text: s.l.text[t[i].start:t[end-1].end]}
		r.consumes = r.consumes.with(cueMoulds, cueTimes, cueIn, cueCapacity)
		return r, true
	}
	return r, false
}

// side is the number at token k.
func side(t []token, k int) (quantity.Number, bool) {
	if k >= len(t) || !t[k].number {
		return quantity.Number{}, false
	}
	q, err := quantity.ParseQuantity(t[k].plain, quantity.Metric, quantity.Chat)
	return q.N, err == nil && q.N.Sign() > 0
}

// height reads "3 cm high" at or behind token i.
func height(t []token, i int) (h quantity.Number, from, to int, ok bool) {
	for k := i; k < len(t) && k < i+4; k++ {
		n, isNumber := side(t, k)
		if !isNumber {
			continue
		}
		u, isLength := lengthUnit(t, k+1)
		if !isLength || k+2 >= len(t) {
			return h, 0, 0, false
		}
		switch t[k+2].plain {
		case "high", "deep", "thick", "tall", "height", "hoch", "haut", "alto":
			return n.Mul(u.Factor()).Div(quantity.CM.Factor()), k, k + 3, true
		}
	}
	return h, 0, 0, false
}

func lengthUnit(t []token, i int) (quantity.Unit, bool) {
	if i >= len(t) || !isLength(t[i].plain) {
		return quantity.Unit{}, false
	}
	return quantity.Metric.UnitNamed(t[i].plain)
}
