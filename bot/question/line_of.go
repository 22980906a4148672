package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
)

// recipeThenLine reports whether tokens i to j are a recipe written out and a line of it
// behind, where an amount is asked: "panna cotta buttermilk in ml" is of the buttermilk,
// though the recipe's whole name has the same words.
func (l *lattice) recipeThenLine(i, j int, of *kb.Recipe) bool {
	if of == nil || !l.asksAmount() {
		return false
	}
	for _, s := range l.starts[i] {
		if s.kind != spanName || s.to >= j || !slices.ContainsFunc(s.names, func(h hit) bool { return !h.part && l.x.entries[h.id].Recipe == of }) {
			continue
		}
		for _, t := range l.starts[s.to] {
			if t.kind != spanName || t.to != j {
				continue
			}
			if slices.ContainsFunc(t.names, func(h hit) bool {
				e := &l.x.entries[h.id]
				return !h.part && e.Recipe == nil && slices.ContainsFunc(of.Lines, func(ln kb.Line) bool { return ln.Fold == e.Fold || ln.Item != nil && ln.Item == e.Item })
			}) {
				return true
			}
		}
	}
	return false
}

// asksAmount reports whether a unit of an amount or "how much" stands in the message.
func (l *lattice) asksAmount() bool {
	for k := range l.tokens {
		switch l.tokens[k].plain {
		case "much", "many":
			return true
		}
		if u, ok := quantity.Metric.UnitNamed(l.tokens[k].plain); ok && k > 0 && isUnitPreposition(l.tokens[k-1].plain) && (u.Dim == quantity.Mass || u.Dim == quantity.Volume) {
			return true
		}
	}
	return false
}

// byWeight reports whether the book writes the one item asked for by weight.
func (s *sense) byWeight(r reading) bool {
	lines, _ := r.q.Items[0].Lines(r.q.Targets[0].Recipe)
	return len(lines) > 0 && !slices.ContainsFunc(lines, func(l *kb.Line) bool { return l.Amount.Unit.Dim != quantity.Mass })
}
