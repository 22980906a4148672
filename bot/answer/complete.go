package answer

import (
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
)

// need is how many of each a question must give before it can be worked out.
type need struct {
	targets, agents, brix, celsius, share, counts, amounts int
}

// needs of the craft's questions by kind and topic; "" is any other topic.
var needs = map[question.Want]map[string]need{
	question.WantEvaporated: {"": {targets: 1}},
	question.WantPanFit:     {"": {targets: 1}},
	question.WantAlcoholLeft: {
		"recipe": {targets: 1}, "pan": {amounts: 1, share: 1}},
	question.WantBoils: {
		"point": {brix: 1}, "brix": {celsius: 1}},
	question.WantStage: {
		"is": {celsius: 1}, "at": {celsius: 1}},
	question.WantCrystal: {
		"brix": {brix: 1}, "recipe": {targets: 1}},
	question.WantMixBrix: {
		"sugar": {brix: 2, amounts: 1}, "water": {brix: 2, amounts: 1}, "blend": {brix: 2, amounts: 2}, "square": {brix: 3, amounts: 1},
		"make": {brix: 1, amounts: 1}, "ratio": {brix: 1}, "what": {amounts: 1}},
	question.WantBloom: {"recipe": {targets: 1}},
	question.WantSoak:  {"recipe": {targets: 1}},
	question.WantGelCompare: {
		"": {targets: 1}, "share": {targets: 1}, "compare": {targets: 1}},
	question.WantDose: {
		"recipe": {targets: 1, agents: 1}, "share": {agents: 1, share: 1}, "percent": {agents: 1, share: 1, amounts: 1}, "": {agents: 1, amounts: 2}},
	question.WantSmallDose: {"": {amounts: 1}},
	question.WantUnmould:   {"": {targets: 1}},
	question.WantMelts:     {"recipe": {targets: 1}},
	question.WantDrift:     {"": {celsius: 1}},
	question.WantSeed:      {"": {amounts: 1}},
	question.WantGanache:   {"": {targets: 1}},
	question.WantSiphon: {
		"recipe": {targets: 1}, "given": {amounts: 1}},
	question.WantBrine: {
		"make": {amounts: 1, share: 1}, "equilibrium": {amounts: 1, share: 1}, "inject": {share: 2}, "injection for": {share: 2}},
}

// complete wraps a handler so that it only sees questions that give what it needs.
func complete(h handler) handler {
	return func(b *Book, a *Answer, q *question.Question, at time.Time) {
		if !gives(q) {
			a.asks("ask more", nil)
			return
		}
		h(b, a, q, at)
		if u, ok := askedIn(q); ok && a.Status == StatusAnswer {
			for i := range a.Facts {
				a.Facts[i] = inUnitToo(a.Facts[i], u)
			}
		}
	}
}

// askedIn is the unit of a question that weighs in oz or lb.
func askedIn(q *question.Question) (quantity.Unit, bool) {
	for _, g := range q.Craft.Amounts {
		if imperial(g.Q.Unit) {
			return g.Q.Unit, true
		}
	}
	return quantity.Unit{}, false
}

// inUnitToo puts a mass into another unit and keeps the grams beside it: "13 lb · 5897 g".
func inUnitToo(f Fact, u quantity.Unit) Fact {
	if f.Unit != quantity.G.Symbol || f.HasItems {
		return f
	}
	if f.Value != nil && u.Symbol == quantity.LB.Symbol && f.Value.Less(u.Factor()) {
		u = quantity.OZ
	}
	turn := func(n *quantity.Number) *quantity.Number {
		if n == nil {
			return nil
		}
		t := n.Div(u.Factor())
		return &t
	}
	show := func(n *quantity.Number) string { return quantity.RoundQuantity(quantity.Of(*n, u), nil).String() }
	f.Value, f.Min, f.Max, f.Was, f.PlusMinus = turn(f.Value), turn(f.Min), turn(f.Max), turn(f.Was), turn(f.PlusMinus)
	f.Unit = u.Symbol
	switch {
	case f.Value != nil:
		f.Shown = show(f.Value) + " · " + f.Shown
	case f.Min != nil && f.Max != nil:
		f.Shown = show(f.Min) + " to " + show(f.Max) + " · " + f.Shown
	}
	return f
}

func gives(q *question.Question) bool {
	topics := needs[q.Want]
	n, ok := topics[q.Craft.Topic]
	if !ok {
		n = topics[""]
	}
	c := &q.Craft
	for i := range q.Targets[:min(n.targets, len(q.Targets))] {
		if q.Targets[i].Recipe == nil {
			return false
		}
	}
	given := len(q.Targets) >= n.targets && len(c.Agents) >= n.agents && len(c.Brix) >= n.brix && len(c.Celsius) >= n.celsius &&
		len(c.Share) >= n.share && len(c.Counts) >= n.counts && len(c.Amounts) >= n.amounts
	switch {
	case !given:
		return false
	case q.Want == question.WantAlcoholLeft && c.Topic == "pan":
		return len(c.Amounts) > 1 || len(c.Counts) > 0
	case q.Want == question.WantBloom && c.Topic == "given", q.Want == question.WantSoak && c.Topic == "given":
		return len(c.Amounts) > 0 || len(c.Counts) > 0
	case q.Want == question.WantReduceTo:
		return len(c.Amounts) > 1 || len(c.Amounts) > 0 && len(c.Counts) > 0
	}
	return true
}
