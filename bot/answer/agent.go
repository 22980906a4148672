package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/quantity"
	"tamis/kb"
)

// propertyOf is what the word of a question asks of an agent, and how its facts are called.
var propertyOf = map[string]struct {
	property gel.Property
	what     string
}{
	"dosage": {gel.Dosage, "dosage"}, "set": {gel.Set, "sets at"}, "melt": {gel.Melt, "melts at"}, "hydrate": {gel.Hydrate, "hydrate at"},
	"hold": {gel.Hold, "boil"}, "boil": {gel.Needs, "needs"}, "needs": {gel.Needs, "needs"}, "ph": {gel.PH, "ph"},
	"freeze": {gel.Freeze, "freeze"}, "disperse": {gel.Disperse, "disperse"}, "air": {gel.Air, "air"},
}

// agent: what is known of a gelling agent.
func agent(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	agents := q.Craft.Agents
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		r := q.Targets[0].Recipe
		agents = recipeAgents(r)
		b.keptFrozen(a, r)
		a.Title = Title{Recipe: r.Name}
		if len(agents) == 0 && len(a.Words)+len(a.Facts) == 0 {
			a.unknown("not said frozen", r.Name)
			return
		}
	}
	topics := strings.Split(q.Craft.Topic, ",")
	if slices.Contains(topics, "about") {
		topics = []string{"dosage", "hydrate", "set", "melt", "needs", "freeze", "disperse", "air"}
	}
	for _, k := range agents {
		for _, t := range topics {
			b.agentFacts(a, q, k, t)
			if k == "gelatine" && t == "boil" {
				b.boilingWeakens(a)
			}
		}
	}
	if len(a.Facts) == 0 && len(a.Notes) == 0 && len(a.Words) == 0 {
		a.unknown("not known of agent", strings.Join(agents, ", "))
		return
	}
	a.bySource()
}

// boilingWeakens tells above what gelatine loses strength.
func (b *Book) boilingWeakens(a *Answer) {
	for _, w := range gel.Weakeners() {
		if w.Code == "boiling" && w.HasLow {
			n := w.Low
			f := Fact{What: "weakens", Min: &n, Unit: "°C", Shown: "over " + b.shown(n, quantity.Celsius), Of: "gelatine"}
			a.add(f.cite(FromReference, w.SourceID))
		}
	}
}

// recipeAgents are the gelling agents on a recipe's own lines, else in its parts.
func recipeAgents(r *kb.Recipe) []string {
	var out []string
	var walk func(r *kb.Recipe, depth int)
	walk = func(r *kb.Recipe, depth int) {
		for i := range r.Lines {
			l := &r.Lines[i]
			if l.Link != nil {
				if depth < 4 && !isCore(r, i) {
					walk(l.Link, depth+1)
				}
				continue
			}
			if k := agentOf(l.Item, l.Name); k != "" && !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	walk(r, 0)
	return out
}

// keptFrozen quotes what the book itself says of freezing.
func (b *Book) keptFrozen(a *Answer, r *kb.Recipe) {
	for _, k := range r.Keeps {
		if k.Where == "freezer" || strings.Contains(k.Text, "freeze") {
			if k.Time == nil {
				a.Words = append(a.Words, k.Text)
				continue
			}
			a.add(b.keepFact(r, k))
		}
	}
	if len(a.Words)+len(a.Facts) > 0 && len(recipeAgents(r)) > 0 {
		a.note("the book first")
	}
}

// agentFacts adds what is known of one property: the first source answers, the others stand beside it.
func (b *Book) agentFacts(a *Answer, q *question.Question, agent, topic string) {
	p, ok := propertyOf[topic]
	if !ok {
		return
	}
	vs, err := gel.Of(agent, p.property)
	if err != nil {
		return
	}
	if topic == "dosage" && q.Craft.Use != "" {
		if own := slices.DeleteFunc(slices.Clone(vs), func(v gel.Value) bool { return v.Use != q.Craft.Use }); len(own) > 0 {
			vs = own
		}
	}
	if len(vs) == 0 && !strings.Contains(q.Craft.Topic, "about") {
		a.note("not known of agent", agent+", "+p.what)
	}
	for i, v := range vs {
		other := i > 0 && slices.ContainsFunc(vs[:i], func(o gel.Value) bool { return o.Use == v.Use && (o.HasLow || o.HasHigh) })
		b.valueFact(a, q, agent, p.what, v, other)
	}
}

func (b *Book) valueFact(a *Answer, q *question.Question, agent, what string, v gel.Value, other bool) {
	if !v.HasLow && !v.HasHigh {
		a.note("agent "+strings.ReplaceAll(what, " at", "")+" "+v.Text, agent)
		if v.Text != "" { // words have a source too
			a.add(Fact{What: what, HasItems: true, Items: []string{v.Text}, Of: agent}.cite(FromReference, v.Source))
		}
		return
	}
	var lo, hi *quantity.Number
	if v.HasLow {
		lo = &v.Low
	}
	if v.HasHigh {
		hi = &v.High
	}
	u := quantity.Unit{Symbol: strings.TrimSuffix(v.Unit, " above set"), Dim: quantity.Count}
	switch v.Unit {
	case "%", "% solids":
		u = quantity.Percent
	case "°C":
		u = quantity.Celsius
	case "min":
		u = quantity.Minute
	}
	f := b.between(what, lo, hi, u)
	if lo == nil || hi == nil {
		n, word := lo, "from "
		if lo == nil {
			n, word = hi, "up to "
		}
		f.Shown = word + b.shown(*n, u)
		if u.Dim == quantity.Count {
			f.Shown = word + n.String() + " " + u.Symbol
		}
	} else if u.Dim == quantity.Count {
		f.Shown = lo.String() + " to " + hi.String() + " " + u.Symbol
	}
	f.Of = agent
	var at []string
	for _, s := range []string{v.Use, v.Text} {
		if s != "" && s != "any" {
			at = append(at, s)
		}
	}
	if v.Use == "any" {
		at = append(at, "any use")
	}
	if strings.HasSuffix(v.Unit, "above set") {
		at = append(at, "above where it sets")
	}
	if v.Unit == "% solids" {
		at = append(at, "solids")
	}
	if other && what != "needs" {
		at = append(at, "another source")
	}
	f.At = strings.Join(at, ", ")
	f = f.cite(FromReference, v.Source)
	a.add(b.degreesIn(q, f))
}
