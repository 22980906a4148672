package answer

import (
	"tamis/bot/question"
	"tamis/calc/quantity"
)

// dosePercent: so much per cent of an agent, of a mass that is given.
func (b *Book) dosePercent(a *Answer, q *question.Question) {
	c := &q.Craft
	mass, ok := b.inGrams(a, &c.Amounts[0])
	if !ok {
		return
	}
	f := b.mass(a, c.Agents[0], mass.Mul(c.Share[0]).Div(hundred)).cite(FromCalculated, plain)
	f.How = c.Share[0].String() + " % of " + b.shown(mass, quantity.G)
	a.add(f)
}
