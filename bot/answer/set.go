package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// melts: whether a gel holds at a temperature.
func melts(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	agents := q.Craft.Agents
	if q.Craft.Topic == "recipe" {
		r := q.Targets[0].Recipe
		agents = recipeAgents(r)
		if len(agents) == 0 {
			a.unknown("no gelling agent", r.Name)
			return
		}
		a.Title = Title{Recipe: r.Name}
	}
	for _, k := range agents {
		if len(q.Craft.Celsius) > 0 {
			if s, ok := stateAt(k, q.Craft.Celsius[0]); ok {
				a.note("melt "+s.String(), q.Craft.Celsius[0].String()+" °C", k)
			}
		}
		b.agentFacts(a, q, k, "melt")
	}
	for _, t := range q.Craft.Celsius {
		f := b.figure("temperature", t, quantity.Celsius)
		f.From = FromAsked
		a.add(f)
	}
	if !slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.From != FromAsked }) && len(a.Notes) == 0 {
		a.unknown("not known of agent", strings.Join(agents, ", "))
		return
	}
	a.bySource()
}

// stateAt is what a set gel of an agent is at a temperature, by its first melting row.
func stateAt(agent string, t quantity.Number) (gel.State, bool) {
	if agent == "gelatine" {
		return gel.At(t), true
	}
	vs, err := gel.Of(agent, gel.Melt)
	if err != nil || len(vs) == 0 || vs[0].Unit != "°C" || !vs[0].HasLow {
		return gel.Holds, false
	}
	v := vs[0]
	switch {
	case t.Less(v.Low):
		return gel.Holds, true
	case v.HasHigh && v.High.Less(t):
		return gel.Melted, true
	}
	return gel.Softens, true
}

// unmould: has it set is told by hours, can it be unmoulded by the core.
func unmould(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	a.Title = Title{Recipe: r.Name}
	gelled := slices.Contains(recipeAgents(r), "gelatine")
	core, set := coreStep(r), setStep(r)
	if core == nil && set == nil {
		a.unknown("no such step", r.Name)
		return
	}
	if q.Craft.Topic == "unmould" && core != nil {
		b.coreFacts(a, q, r, core)
	}
	if set != nil {
		b.setFacts(a, q, r, set, gelled && set.Where != "" && isFridge(set.Where))
	}
	if q.Craft.Topic != "unmould" && core != nil && core != set {
		b.coreFacts(a, q, r, core)
	}
	if core == nil && len(q.Craft.Celsius) > 0 && gelled {
		a.note("melt "+gel.At(q.Craft.Celsius[0]).String(), q.Craft.Celsius[0].String()+" °C", "gelatine")
	}
	if core != nil && set != nil {
		a.note("set is not frozen")
	}
}

func isFridge(where string) bool {
	return strings.Contains(where, "fridge") || strings.Contains(where, "cold")
}

// coreStep is the last step that waits for a core temperature below zero.
func coreStep(r *kb.Recipe) *recipe.Step {
	for i := len(r.Method) - 1; i >= 0; i-- {
		if st := &r.Method[i]; st.UntilCore != nil && st.UntilCore.Base().Sign() <= 0 {
			return st
		}
	}
	return nil
}

// setStep is the step in which a recipe sets: by its verb, else the longest in the cold.
func setStep(r *kb.Recipe) *recipe.Step {
	for _, verbs := range [][]string{{"set"}, {"chill", "rest"}, {"freeze"}} {
		for i := len(r.Method) - 1; i >= 0; i-- {
			st := &r.Method[i]
			if st.For != nil && slices.ContainsFunc(verbs, func(v string) bool { return verbIs(st, v) }) && (st.Where != "" || verbs[0] == "set") {
				return st
			}
		}
	}
	return nil
}

func (b *Book) coreFacts(a *Answer, q *question.Question, r *kb.Recipe, st *recipe.Step) {
	f := b.measured("core", *st.UntilCore)
	f.Of, f.At = r.Name, st.Where
	a.add(f)
	for _, t := range q.Craft.Celsius {
		g := b.figure("core", t, quantity.Celsius)
		g.From, g.At = FromAsked, "now"
		a.add(g)
		if t.Cmp(st.UntilCore.Base()) <= 0 {
			a.note("cold enough")
		} else {
			a.note("not cold enough")
		}
	}
	if len(q.Craft.Celsius) == 0 {
		a.note("probe it")
	}
}

func (b *Book) setFacts(a *Answer, q *question.Question, r *kb.Recipe, st *recipe.Step, gelled bool) {
	f := spanFact(st.Verb, st.For, st.Where)
	f.Of = r.Name
	a.add(f)
	least := st.For.Min
	if least == nil {
		least = st.For.Exact
	}
	for _, m := range q.Craft.Minutes {
		g := b.figure("so far", m, quantity.Minute)
		g.From = FromAsked
		a.add(g)
		if least != nil {
			if m.Cmp(*least) >= 0 {
				a.note("set by the book")
			} else {
				l := b.figure("time left", least.Sub(m), quantity.Minute)
				l.Of = r.Name
				a.add(l)
				a.note("not set by the book")
			}
		}
		if gelled {
			if mt, err := gel.Matured(m.Div(quantity.Int(60))); err == nil {
				a.note("gelatine " + mt.String())
			}
		}
	}
}
