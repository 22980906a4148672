package question

import (
	"slices"

	"tamis/calc/quantity"
)

// craftFollows are the questions that a bare slot may go on from.
var craftFollows = map[Want]bool{
	WantBoils: true, WantStage: true, WantSyrupScale: true, WantCrystal: true, WantBloom: true, WantSoak: true, WantAgent: true, WantDose: true,
	WantMelts: true, WantUnmould: true, WantTemper: true, WantDrift: true, WantSeed: true, WantSiphon: true, WantBrine: true, WantReduceTo: true, WantAlcoholLeft: true, WantMixBrix: true, WantWeaken: true,
}

// frameCraftFollow: half a thought after a question of the craft: "and milk",
// "80?", "at 1500 m", "and for 700 g": what it names replaces what was said.
func frameCraftFollow(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || !craftFollows[s.ctx.Last.Want] || len(s.l.tokens) > 8 {
		return nil
	}
	for i := range s.p.spans {
		sp := s.span(i)
		switch sp.kind {
		case spanName:
			if !s.inTerm(i, "kind", "thing", "agent", "fruit", "grade", "use", "form") && !(isChocolate(s.ctx.Last.Want) && s.folded(sp) == "milk") {
				return nil
			}
		case spanFactor, spanAllergen:
			return nil
		case spanUnused:
			if sp.food && !s.inTerm(i, "kind", "agent", "fruit", "grade", "use", "stage", "state", "unit") {
				return nil
			}
		}
	}
	last := s.ctx.Last
	r := s.reading(last.Want, last.About)
	q := *last
	q.Assumed, q.Unused, q.Strange, q.Lost, q.Missing, q.Choices = nil, nil, nil, false, MissingNothing, nil
	q.Say, q.cues = s.l.text, last.cues.or(s.cues)
	q.FromTalk = true
	r.q = q
	c := &r.q.Craft
	changed := false
	word := func(kind string, put func(string)) {
		if ts := s.terms(kind); len(ts) > 0 {
			put(ts[0].name)
			s.use(&r, ts...)
			changed = true
		}
	}
	switch last.Want {
	case WantTemper, WantDrift, WantSeed:
		word("kind", func(n string) { c.Kind = n })
		for k := range s.l.tokens { // "and milk": after chocolate it is one
			if w := s.l.tokens[k].plain; w == "milk" || w == "dark" || w == "white" {
				c.Kind, changed = w, true
				s.use(&r, term{from: k, to: k + 1})
			}
		}
		word("state", func(n string) { c.State = n })
	case WantStage:
		word("stage", func(n string) { c.Kind, c.Topic, c.Celsius = n, "stage", nil })
	case WantAgent, WantDose, WantMelts:
		if len(last.Targets) == 0 {
			word("agent", func(n string) { c.Agents = []string{n} })
		}
		word("use", func(n string) { c.Use = n })
	case WantWeaken:
		word("fruit", func(n string) { c.Topic, c.Fruit = "fruit", n })
	case WantBloom:
		word("grade", func(n string) {
			c.Grades, c.Bloom = []string{n, second(c.Grades)}, replaced(c.Bloom, quantity.Number{})
		})
	case WantAlcoholLeft:
		word("cook", func(string) { c.Kind = cookOf(s.terms("cook")) })
	}
	for _, m := range s.measures() {
		if !s.replace(c, m) {
			return nil
		}
		r.used[m.i] = true
		if m.ofAt >= 0 {
			r.used[m.ofAt] = true
		}
		changed = true
	}
	if !changed {
		return nil
	}
	s.useAll(&r, "thing", "unit", "form")
	s.use(&r, s.termsNamed("ask", "now", "altitude", "boils", "stage", "set", "make")...)
	r.consumes = plainCues.or(followCues).or(craftCues).with(cueVerbCook, cueBrixword, cueReading, cueTemp, cueIn, cueExtra, cueCovers)
	if !s.any(cueWhatabout, cueSame, cueAnd, cueFor, cueOr) && len(s.l.tokens) > 3 {
		r.extra += costFromTalk
	}
	return []reading{r}
}

func second(gs []string) string {
	if len(gs) > 1 {
		return gs[1]
	}
	return ""
}

// replaced is ns with its first number changed.
func replaced(ns []quantity.Number, n quantity.Number) []quantity.Number {
	if len(ns) == 0 {
		return nil
	}
	out := slices.Clone(ns)
	out[0] = n
	return out
}

// replace puts a number where one of its kind stood; a bare number where the only one stood.
func (s *sense) replace(c *Craft, m measured) bool {
	single := func(ns *[]quantity.Number) bool {
		if len(*ns) != 1 {
			return false
		}
		*ns = []quantity.Number{m.n}
		return true
	}
	switch m.dim {
	case quantity.Brix:
		return single(&c.Brix)
	case quantity.Temperature:
		return single(&c.Celsius)
	case quantity.Time:
		return single(&c.Minutes)
	case quantity.Density:
		return single(&c.Density)
	case quantity.Share:
		return single(&c.Share)
	case quantity.Length:
		c.Metres = []quantity.Number{m.n.Div(quantity.Int(100))}
		return true
	case quantity.Mass, quantity.Volume:
		return c.replaceAmount(m, m.ofAt >= 0 && s.inTerm(m.ofAt, "agent"))
	case quantity.None:
		switch m.word {
		case "bloom":
			if len(c.Bloom) == 0 {
				return false
			}
			c.Bloom = replaced(c.Bloom, m.n)
			c.Grades = append([]string{""}, second(c.Grades))
			return true
		case "baume":
			return single(&c.Baume)
		}
		if len(c.Bloom) == 2 && m.n.Cmp(quantity.Int(30)) >= 0 && m.n.Cmp(quantity.Int(300)) <= 0 { // asked back: the packet's number
			c.Bloom = replaced(c.Bloom, m.n)
			return true
		}
		for _, ns := range []*[]quantity.Number{&c.Brix, &c.Celsius, &c.Baume, &c.Minutes, &c.Counts} {
			if len(*ns) > 0 {
				return single(ns)
			}
		}
	}
	return false
}

// replaceAmount puts a mass where the last one that can be meant stood: the goal
// after "to", else the liquid of a dose, else the only one.
func (c *Craft) replaceAmount(m measured, agent bool) bool {
	k := 0
	switch n := len(c.Amounts); {
	case n == 0:
		return false
	case agent:
		if c.Topic == "how much" {
			c.Topic = "judge"
		}
	case n > 1 && m.to:
		k = n - 1
	case c.Topic == "judge" || c.Topic == "how much":
		k = 1
	}
	if k >= len(c.Amounts) {
		return false
	}
	out := slices.Clone(c.Amounts)
	out[k].Q = m.q
	if m.of != nil {
		out[k].Item = *m.of
	}
	c.Amounts = out
	return true
}
