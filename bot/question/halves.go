package question

import (
	"slices"

	"tamis/calc/quantity"
)

// andHalf is where "and a half" ends that begins at token i, 0 where it does not.
func (l *lattice) andHalf(i int) int {
	if i+1 >= len(l.tokens) || l.tokens[i].breaks {
		return 0
	}
	if !andWord(l.tokens[i].plain) {
		return 0
	}
	j := i + 1
	if (l.tokens[j].plain == "a" || l.tokens[j].plain == "one") && j+1 < len(l.tokens) {
		j++
	}
	if l.tokens[j].plain != "half" || j+1 < len(l.tokens) && isBatchWord(l.tokens[j+1].fold) { // "1 kg and half a batch"
		return 0
	}
	return j + 1
}

func andWord(w string) bool { return w == "and" || w == "n" || w == "&" }

// addHalf reads "a kilo and a half", "2 litres and a half", "two dozen and a half".
func (l *lattice) addHalf(i int, m quantity.Measure) {
	if l.tokens[i].fold == "dozen" {
		l.addHalfDozen(i)
		return
	}
	l.addNumberHalf(i)
	u, ok := m.UnitNamed(l.tokens[i].plain)
	if !ok || u.Dim != quantity.Mass && u.Dim != quantity.Volume || len(l.tokens[i].plain) < 2 {
		return
	}
	to := l.andHalf(i + 1)
	if to == 0 {
		return
	}
	from, n := i, one
	for k := max(0, i-3); k < i; k++ {
		for _, s := range l.starts[k] {
			if s.kind == spanQuantity && s.to == i+1 && s.q.Hi == nil && s.q.Ambiguous == nil && s.q.Q.Unit.Symbol == u.Symbol {
				from, n = k, s.q.Q.N
			}
		}
	}
	if from == i && i > 0 && (l.tokens[i-1].plain == "a" || l.tokens[i-1].plain == "one") && !l.tokens[i].breaks {
		from--
	}
	l.add(span{kind: spanQuantity, from: from, to: to, cost: costSpan, q: quantity.Span{Q: quantity.Quantity{N: n.Add(quantity.Frac(1, 2)), Unit: u}}})
}

// addNumberHalf reads "one n a half", "2 & a half".
func (l *lattice) addNumberHalf(i int) {
	if i+1 >= len(l.tokens) || l.tokens[i+1].plain != "n" && l.tokens[i+1].plain != "&" {
		return
	}
	to := l.andHalf(i + 1)
	if to == 0 {
		return
	}
	for _, s := range slices.Clone(l.starts[i]) {
		if s.kind == spanQuantity && s.to == i+1 && s.q.Hi == nil && s.q.Ambiguous == nil && s.q.Q.Unit.Symbol == "" && s.q.Q.N.IsInt() {
			s.to, s.cost = to, costSpan
			s.q.Q.N = s.q.Q.N.Add(quantity.Frac(1, 2))
			l.add(s)
			return
		}
	}
}

// addHalfDozen reads "two dozen and a half": six more.
func (l *lattice) addHalfDozen(i int) {
	to := l.andHalf(i + 1)
	if to == 0 || l.tokens[i].plain == "dozens" {
		return
	}
	for k := max(0, i-3); k <= i; k++ {
		for _, s := range slices.Clone(l.starts[k]) {
			if s.kind == spanQuantity && s.to == i+1 && s.q.Hi == nil && s.q.Ambiguous == nil && s.q.Q.Unit.Symbol == "" && quantity.Int(11).Less(s.q.Q.N) {
				s.to, s.cost = to, costSpan
				s.q.Q.N = s.q.Q.N.Add(quantity.Int(6))
				l.add(s)
			}
		}
	}
}
