package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// properties are the terms that ask for what is known of an agent.
var properties = []string{"dosage", "set", "melt", "hydrate", "hold", "boil", "freeze", "disperse", "air", "needs", "ph", "about"}

// frameAgent: what is known of a gelling agent; freezing of what a recipe sets.
func frameAgent(s *sense) []reading {
	ms := s.measures()
	asks := s.properties()
	if len(asks) == 0 || s.any(cueSwap, cueUses) || slices.Equal(asks, []string{"needs"}) && (s.any(cueHowmany) || s.any(cueHowmuch) && s.saysOf("i", "we")) { // "how many leaves do i need"
		return nil
	}
	finish := func(r reading) reading {
		r.q.Craft.Topic = strings.Join(asks, ",")
		r.consumes = r.consumes.or(verbCues).with(cueGel, cuePercent, cueSetready, cueHowlong, cueTemp, cueThan, cueRescue, cueIngredients, cueWithout, cueKeeps, cueOven, cueNot, cueExtra, cueReduce)
		s.useAll(&r, "agent", "use")
		for _, k := range asks {
			s.use(&r, s.termsNamed("ask", k)...)
		}
		s.use(&r, s.termsNamed("ask", "boils", "left", "set", "needs", "settled")...)
		s.useAll(&r, "thing")
		s.unit(&r)
		return r
	}
	var out []reading
	if ts := s.terms("agent"); len(ts) > 0 && !s.recipeNamed("agent", "ask", "use", "thing") && len(ms) == 0 {
		if slices.Equal(asks, []string{"hold"}) && s.boilsOwn(ts) {
			return nil // the house's own jelly says how long
		}
		if ts[0].name == "gelatine" && strings.Contains(s.l.text, "str") && !s.says("use") && slices.Equal(asks, []string{"dosage"}) {
			return nil // "how strong is our gelatine": its Bloom
		}
		r := s.craft(WantAgent, "gel", "")
		for _, t := range ts {
			if !slices.Contains(r.q.Craft.Agents, t.name) {
				r.q.Craft.Agents = append(r.q.Craft.Agents, t.name)
			}
		}
		if u := s.terms("use"); len(u) > 0 {
			r.q.Craft.Use = u[0].name
		}
		r = finish(r)
		if s.any(cueHowmuch) && slices.Equal(asks, []string{"dosage"}) && r.q.Craft.Use == "" {
			r.extra += 2
		}
		r.extra--
		for _, i := range s.names {
			if s.any(cuePercent) && !s.inTerm(i, "agent", "use", "thing", "form") && s.l.recipeAt(s.span(i)) {
				r.extra += 5 // a recipe's own share is asked
			}
		}
		return append(out, r)
	}
	if asks[0] != "freeze" || !s.may() || s.any(cueHowlong, cueKeeps, cueWhen, cueTemp, cueWent, cueUnsafe) || len(ms) > 0 {
		return nil
	}
	for _, p := range s.picks() {
		r := finish(s.craftOf(WantAgent, "gel", "", p))
		s.absorb(&r)
		out = append(out, r)
	}
	return out
}

// boilsOwn reports whether a word beside the agent stands for one recipe of the
// house that has it and boils it: "the jelly with agar", not "agar for a jelly".
func (s *sense) boilsOwn(agents []term) bool {
	t := s.l.tokens
	for k := range t {
		if slices.ContainsFunc(agents, func(a term) bool { return a.from <= k && k < a.to }) || k > 0 && (t[k-1].plain == "a" || t[k-1].plain == "an") {
			continue
		}
		own := s.l.headed(t[k].fold)
		if len(own) != 1 || !slices.ContainsFunc(own[0].Method, func(st recipe.Step) bool { return st.For != nil && name.Fold(st.Verb) == "boil" }) {
			continue
		}
		it := Item{Names: []string{t[agents[0].from].fold}}
		if lines, _ := it.Matches(own[0]); len(lines) > 0 {
			return true
		}
	}
	return false
}

// properties are what the message asks of an agent, in order.
func (s *sense) properties() []string {
	var out []string
	add := func(k string) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	boil := false
	for _, t := range s.terms("ask") {
		if slices.Contains(properties, t.name) {
			switch t.name {
			case "boil", "hold":
				boil = true
				if s.any(cueHowlong) {
					add("hold")
				} else {
					add("boil")
				}
			default:
				add(t.name)
			}
		}
		if t.name == "boils" && !boil {
			boil = true
			if s.any(cueHowlong) {
				add("hold")
			} else {
				add("boil")
			}
		}
	}
	if len(out) > 1 { // "does it need boiling": boiling
		out = slices.DeleteFunc(out, func(k string) bool { return k == "needs" || k == "about" })
	}
	if len(out) > 1 && slices.Contains(out, "freeze") { // "set … freeze": freezing
		out = slices.DeleteFunc(out, func(k string) bool { return k == "set" })
	}
	return out
}

// may reports whether the message asks whether something may be done.
func (s *sense) may() bool {
	for _, t := range s.l.tokens[:min(3, len(s.l.tokens))] {
		switch t.plain {
		case "can", "does", "will", "may", "could", "should", "is", "do", "would":
			return true
		}
	}
	return false
}

// frameDose: how much of an agent for so much liquid, and whether a dose is right.
func frameDose(s *sense) []reading {
	agents := s.terms("agent")
	ms := s.measures()
	if s.says("ask", "weigh small") && !s.says("use") {
		if r, ok := s.smallDose(ms, agents); ok {
			return []reading{r}
		}
	}
	if len(agents) == 0 || s.bareLeaf(agents) || s.says("unit", "bloom") || s.any(cueSwap, cueMakeable) || s.says("ask", "soak", "softer") {
		return nil
	}
	finish := func(r reading) reading {
		r.q.Craft.Agents = []string{agents[0].name}
		if u := s.terms("use"); len(u) > 0 {
			r.q.Craft.Use = u[0].name
		}
		r.consumes = r.consumes.or(verbCues).with(cueGel, cuePercent, cueEnough, cueReduce, cueHalf, cueOnly, cueIn, cueYes, cueTotal, cueOven, cueThan, cueRescue, cueMakeable)
		s.useAll(&r, "agent", "use", "thing", "form")
		s.use(&r, s.termsNamed("ask", "dosage", "set", "reduce", "needs", "weigh small", "make", "bloom")...)
		if s.countsLeaves() || s.any(cueHowmany) && s.says("form", "leaf") {
			r.q.Craft.State = "leaves"
		}
		return r
	}
	if r, ok := s.dosePercent(ms, agents); ok {
		r = finish(r)
		s.takeFoods(&r)
		r.extra -= 2
		return []reading{r}
	}
	var out []reading
	var dose, liquid, goal *measured
	for k := range ms {
		m := &ms[k]
		if m.dim != quantity.Mass && m.dim != quantity.Volume {
			continue
		}
		switch {
		case m.ofAt >= 0 && s.inTerm(m.ofAt, "agent") && dose == nil:
			dose = m
		case liquid == nil:
			liquid = m
		case goal == nil && (m.to || s.any(cueReduce)):
			goal = m
		default:
			return nil
		}
	}
	var unit *measured // "per litre"
	if liquid == nil {
		for _, i := range s.units {
			if u := s.span(i).unit; (u.Dim == quantity.Volume || u.Dim == quantity.Mass) && (s.before(i) == "per" || s.before(i) == "a") {
				unit = &measured{i: i, dim: u.Dim, q: quantity.Of(one, u), n: u.Factor(), ofAt: -1}
				liquid = unit
				s.massOf(liquid)
				break
			}
		}
	}
	if liquid != nil && dose == nil && liquid.ofAt < 0 && (s.before(liquid.i) == "is" || s.before(liquid.i) == "are") {
		liquid = nil // "how many leaves is 20 g"
		ms = nil
	}
	if liquid != nil && !s.recipeNamed("agent", "use", "ask", "thing") || liquid != nil && dose != nil {
		r := s.craft(WantDose, "gel", "how much")
		if dose != nil {
			r.q.Craft.Topic = "judge"
			r.q.Craft.Amounts = append(r.q.Craft.Amounts, Given{Q: dose.q})
			r.used[dose.i], r.used[dose.ofAt] = true, true
		} else {
			r.q.Craft.Amounts = append(r.q.Craft.Amounts, Given{})
		}
		for _, m := range []*measured{liquid, goal} {
			if m == nil {
				continue
			}
			g := Given{Q: m.q}
			if m.ofAt >= 0 && !s.inTerm(m.ofAt, "agent", "use") {
				g.Item = *m.of
				r.used[m.ofAt] = true
			}
			r.used[m.i] = true
			r.q.Craft.Amounts = append(r.q.Craft.Amounts, g)
		}
		r = finish(r)
		s.takeFoods(&r)
		if dose == nil && !s.any(cueHowmuch, cueHowmany) && !s.says("ask", "dosage") && !s.says("use") {
			r.extra += 6
		}
		if dose == nil && s.partHolds(agents[0]) {
			r.extra += 9 // "2 kg buckthorn fluid gel": part of the name of the house's own
		}
		if dose == nil && s.talkHas(agents[0]) {
			r.extra += 6 // "how much agar for 500 g": of the recipe just spoken of
		}
		if dose == nil && liquid.of != nil && (!s.says("use") || s.ownUse()) && s.ownGel(agents[0], liquid.of) {
			r.extra += 9 // "2 kg pear juice into gel": the house has its own
		}
		r.extra -= 2
		out = append(out, r)
	}
	if dose == nil && liquid == nil && counted(ms, quantity.Share) == 1 && len(ms) == 1 && (s.says("ask", "dosage") || s.says("use") || s.any(cueEnough)) && !s.recipeNamed("agent", "use", "ask", "thing") {
		r := finish(s.craft(WantDose, "gel", "share"))
		s.takeDims(&r, ms, quantity.Share)
		r.extra -= 2
		out = append(out, r)
	}
	if dose == nil && len(ms) == 0 && s.says("ask", "dosage") && !s.any(cueHowmuch, cueHowmany) {
		for _, p := range s.picks() {
			if s.inTermAny(p.spans, "agent", "form") {
				continue
			}
			r := finish(s.craftOf(WantDose, "gel", "recipe", p))
			out = append(out, r)
		}
	}
	return out
}

// ownGel reports whether a recipe of the book has both the agent and what it is
// to set on its lines, and the message the word that its name ends in.
func (s *sense) ownGel(t term, of *Item) bool {
	agent := Item{Names: []string{s.l.tokens[t.from].fold}}
	return slices.ContainsFunc(s.l.x.recipes, func(r *kb.Recipe) bool {
		words := name.Words(r.Name)
		last := words[len(words)-1]
		if !slices.ContainsFunc(s.l.tokens, func(t token) bool { return t.fold == last }) {
			return false
		}
		if lines, _ := agent.Matches(r); len(lines) == 0 {
			return false
		}
		_, exact := of.Matches(r)
		return exact
	})
}

// partHolds reports whether several words are part of the name of a recipe that has
// that agent.
func (s *sense) partHolds(t term) bool {
	agent := Item{Names: []string{s.l.tokens[t.from].fold}}
	return slices.ContainsFunc(s.names, func(i int) bool {
		sp := s.span(i)
		return sp.to-sp.from > 1 && slices.ContainsFunc(s.recipesOf(i, 4), func(o option) bool {
			lines, _ := agent.Matches(o.recipe)
			return len(lines) > 0
		})
	})
}

// ownUse reports whether what it is for is what the house calls a recipe of its own: "jam".
func (s *sense) ownUse() bool {
	return slices.ContainsFunc(s.names, func(i int) bool { return s.inTerm(i, "use") && s.l.recipeAt(s.span(i)) })
}

// talkHas reports whether a recipe spoken of before has a line of that agent.
func (s *sense) talkHas(t term) bool {
	if s.ctx == nil {
		return false
	}
	word := s.l.tokens[t.from].fold
	for _, k := range s.ctx.Targets {
		if k.Recipe == nil {
			continue
		}
		it := Item{Names: []string{word}}
		if lines, _ := it.Matches(k.Recipe); len(lines) > 0 {
			return true
		}
	}
	return false
}

// smallDose: "how do I weigh 0.3 g xanthan".
func (s *sense) smallDose(ms []measured, agents []term) (reading, bool) {
	r := s.craft(WantSmallDose, "gel", "")
	for _, m := range ms {
		if m.dim == quantity.Mass && m.n.Less(quantity.Int(5)) && len(r.q.Craft.Amounts) == 0 {
			s.take(&r, m)
		}
	}
	if len(r.q.Craft.Amounts) == 0 || !s.any(cueMethod) && !s.premix() {
		return r, false
	}
	if len(agents) > 0 {
		r.q.Craft.Agents = []string{agents[0].name}
	}
	s.takeFoods(&r)
	s.useAll(&r, "agent")
	s.use(&r, s.termsNamed("ask", "weigh small", "make", "mix")...)
	r.consumes = r.consumes.with(cueReading, cueMethod, cueWeigh, cueFewer, cueBatch)
	for _, i := range s.names {
		r.used[i] = true
	}
	return r, true
}

func (s *sense) premix() bool {
	for _, t := range s.l.tokens {
		switch t.plain {
		case "premix", "small", "smallest", "little", "tiny", "how", "measure":
			return true
		}
	}
	return false
}

// frameMelts: whether a gel holds at a temperature.
func frameMelts(s *sense) []reading {
	if !s.says("ask", "melt") {
		return nil
	}
	ms := s.measures()
	if s.says("kind") || s.says("thing", "chocolate") || s.any(cueHowlong) && s.any(cueVerbHold) {
		return nil // "hold at 83 for how long"
	}
	finish := func(r reading) reading {
		s.degrees(&r, ms)
		s.useAll(&r, "agent")
		s.use(&r, s.termsNamed("ask", "melt", "set")...)
		r.consumes = r.consumes.or(verbCues).with(cueTemp, cueGel, cuePlating, cueOven, cueOnly, cueCore, cueKeeps, cuePortion, cueCovers)
		return r
	}
	var out []reading
	if ts := s.terms("agent"); len(ts) > 0 && !s.recipeNamed("agent", "ask") {
		r := finish(s.craft(WantMelts, "gel", "agent"))
		r.q.Craft.Agents = []string{ts[0].name}
		if len(r.q.Craft.Celsius) > 0 {
			r.extra--
			out = append(out, r)
		}
		return out
	}
	for _, p := range s.picks() {
		r := finish(s.craftOf(WantMelts, "gel", "recipe", p))
		if len(r.q.Craft.Celsius) == 0 && !s.may() && !s.any(cueTemp) {
			continue
		}
		if len(r.q.Craft.Celsius) == 0 {
			r.extra++
		}
		out = append(out, r)
	}
	return out
}

// frameUnmould: has it set (hours in the fridge), can it be unmoulded (core): two answers.
func frameUnmould(s *sense) []reading {
	mould, set := s.says("ask", "unmould"), s.says("ask", "settled")
	if !mould && !set || s.any(cueWhen, cueWent, cueTimer, cueLatest) || s.timed() {
		return nil
	}
	ms := s.measures()
	var out []reading
	for _, p := range s.picks() {
		r := s.craftOf(WantUnmould, "time", "set", p)
		if mould {
			r.q.Craft.Topic = "unmould"
		}
		s.takeDims(&r, ms, quantity.Time)
		s.degrees(&r, ms)
		s.use(&r, s.termsNamed("ask", "unmould", "settled", "now", "set", "left")...)
		r.consumes = r.consumes.or(verbCues).with(cueSetready, cueCore, cueTemp, cueHowlong, cueYes, cueReading, cueNot, cueRescue, cueMoulds, cueEnough, cueAnd)
		r.q.Place = s.place()
		s.usePlace(&r)
		if len(r.q.Craft.Minutes)+len(r.q.Craft.Celsius) == 0 {
			r.extra++
		} else {
			r.extra--
		}
		out = append(out, r)
	}
	return out
}

// timed reports whether a clock time stands in the message.
func (s *sense) timed() bool {
	return slices.ContainsFunc(s.clock, func(i int) bool { return s.span(i).clock.HasTime })
}

// frameWeaken: what weakens gelatine: raw fruit, acid, alcohol, salt, boiling.
func frameWeaken(s *sense) []reading {
	if !s.says("agent", "gelatine") || s.any(cueHowmuch, cueHowmany, cueSwap) || len(s.quant) > 0 || s.recipeNamed("agent", "fruit", "ask", "form") {
		return nil
	}
	fruit := s.terms("fruit")
	if len(fruit) == 0 && !s.says("ask", "weaken") || len(fruit) > 0 && !s.says("ask", "weaken", "set", "settled") {
		return nil
	}
	r := s.craft(WantWeaken, "gel", "all")
	if len(fruit) > 0 {
		r.q.Craft.Topic, r.q.Craft.Fruit = "fruit", fruit[0].name
	}
	s.useAll(&r, "agent", "fruit", "form", "thing")
	s.use(&r, s.termsNamed("ask", "weaken", "set", "settled", "make", "boils", "boil")...)
	r.consumes = r.consumes.or(verbCues).with(cueGel, cueAlcoholword, cueSaltword, cueRescue, cueYes, cueUses, cueNot, cueNever)
	return []reading{r}
}

// bareLeaf reports whether the only agent is "leaf", said beside a recipe: that
// may be any leaf of its lines.
func (s *sense) bareLeaf(agents []term) bool {
	return len(agents) == 1 && agents[0].to-agents[0].from == 1 && s.l.tokens[agents[0].from].fold == "leaf" && s.l.writesRecipe()
}

// writesRecipe reports whether the message writes out some recipe's name.
func (l *lattice) writesRecipe() bool {
	for i := range l.starts {
		for k := range l.starts[i] {
			if s := &l.starts[i][k]; s.kind == spanName && l.exactRecipe(i, s.to) {
				return true
			}
		}
	}
	return false
}
