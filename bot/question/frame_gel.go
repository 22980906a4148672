package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// strength is a Bloom or a trade grade of the message, with what it counts.
type strength struct {
	from  int // token
	bloom quantity.Number
	grade string
	given *measured // "5" of "5 gold leaves", "10 g" of "10 g 200 bloom"
}

// strengths are the Blooms and grades of the message in order.
func (s *sense) strengths(ms []measured) []strength {
	var out []strength
	for _, m := range ms {
		if m.word == "bloom" {
			out = append(out, strength{from: s.span(m.i).from, bloom: m.n})
		}
	}
	for _, t := range s.terms("grade") {
		out = append(out, strength{from: t.from, grade: t.name})
	}
	slices.SortFunc(out, func(a, b strength) int { return a.from - b.from })
	for k := range ms {
		m := &ms[k]
		if m.word == "bloom" || m.dim != quantity.Mass && m.dim != quantity.None && m.dim != quantity.Count {
			continue
		}
		to := s.span(m.i).to
		for i := range out { // the strength that stands right behind the amount
			gap := out[i].from - to
			if out[i].given == nil && gap >= 0 && gap <= 3 && !s.l.tokens[out[i].from].breaks {
				out[i].given = m
				break
			}
		}
	}
	return out
}

// blooms reads the second of two Blooms without its word: "160 bloom instead of 200".
func (s *sense) blooms(ms []measured) []measured {
	n := 0
	for _, m := range ms {
		if m.word == "bloom" {
			n++
		}
	}
	for k := range ms {
		m := &ms[k]
		if n != 1 || m.dim != quantity.None || m.word == "bloom" || m.n.Less(quantity.Int(50)) || m.n.Cmp(quantity.Int(300)) > 0 {
			continue
		}
		switch s.before(m.i) {
		case "of", "not", "to", "for", "from", "than", "the", "in", "into", "vs":
			m.word, m.of, m.ofAt = "bloom", nil, -1
			return ms
		}
	}
	return ms
}

// frameBloom: gelatine of another strength, in a recipe or by itself; leaves and powder.
func frameBloom(s *sense) []reading {
	ms := s.blooms(s.measures())
	st := s.strengths(ms)
	gel := s.says("agent", "gelatine")
	forms := len(s.terms("form")) > 0 && s.says("form", "powder") && s.says("form", "leaf")
	powder := gel && s.says("form", "powder") && !s.any(cueHowmuch)
	if len(st) == 0 && !(gel && forms) && !(gel && s.otherLeaf()) && !powder || len(st) > 2 {
		return nil
	}
	if !gel && !slices.ContainsFunc(st, func(x strength) bool { return x.bloom.Sign() > 0 }) && !s.says("form") {
		return nil
	}
	about := "gel"
	if s.any(cueSwap) {
		about = "swap"
	}
	finish := func(r reading) reading {
		r.consumes = r.consumes.or(verbCues).with(cueSwap, cueGel, cueConvert, cueReduce, cueOnly, cueWith, cueThan, cuePiece, cueMoulds, cueSame, cueIn, cueChange, cueNot, cueUses, cueStir)
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "unit", "grade", "form")
		s.use(&r, s.termsNamed("ask", "bloom", "softer", "dosage", "make", "mix")...)
		for _, m := range ms {
			if m.word == "bloom" {
				r.used[m.i] = true
			}
		}
		s.unit(&r)
		if s.says("form", "powder") {
			r.q.Craft.Kind = "powder"
		}
		if s.any(cueHowmany) && s.says("form", "leaf") || s.countsLeaves() {
			r.q.Craft.State = "leaves"
		}
		return r
	}
	set := func(r *reading, fresh, old strength) {
		r.q.Craft.Bloom = []quantity.Number{fresh.bloom, old.bloom}
		r.q.Craft.Grades = []string{fresh.grade, old.grade}
	}
	fresh, old, which := s.oldAndNew(st)
	var out []reading
	for _, p := range s.picks() {
		if s.inTermAny(p.spans, "agent", "grade", "form") {
			continue
		}
		r := s.craftOf(WantBloom, about, "recipe", p)
		set(&r, fresh, old)
		r = finish(r)
		if len(st) == 0 {
			r.extra-- // of a strength that is asked back
			r.consumes = r.consumes.with(cueFewer, cueMakeable)
		}
		s.absorb(&r)
		out = append(out, s.sized(r, p)...)
	}
	r := s.craft(WantBloom, about, "given")
	if !which && len(st) == 1 && st[0].given != nil { // "10 g of 200 bloom": what is asked is the house's own
		fresh, old = strength{}, st[0]
	}
	set(&r, fresh, old)
	amount := old.given
	if amount == nil {
		amount = fresh.given
	}
	if amount == nil {
		for k := range ms {
			if m := &ms[k]; m.word != "bloom" && (m.dim == quantity.Mass || m.dim == quantity.None && (m.word == "leaf" || m.word == "sheet" || gel) || m.dim == quantity.Count) {
				amount = m
				break
			}
		}
	}
	if amount != nil && !s.recipeNamed("agent", "grade", "form") {
		r.used[amount.i] = true
		if amount.ofAt >= 0 && s.inTerm(amount.ofAt, "agent", "grade", "form") {
			r.used[amount.ofAt] = true
		}
		if amount.dim == quantity.Mass {
			r.q.Craft.Amounts = []Given{{Q: amount.q}}
		} else {
			r.q.Craft.Counts = []quantity.Number{amount.n}
		}
		r = finish(r)
		r.extra -= 2
		out = append(out, r)
	}
	return out
}

// otherLeaf tells "another leaf", "a different gelatine": of a strength that is not said.
func (s *sense) otherLeaf() bool {
	for _, t := range s.l.tokens {
		switch t.plain {
		case "another", "different", "other", "unknown", "unmarked", "ungraded", "noname":
			return true
		}
	}
	return false
}

func (s *sense) countsLeaves() bool {
	for i := range s.p.spans {
		if s.span(i).kind == spanCue && s.span(i).cues.has(cueHowmany) && s.next(i) >= 0 {
			j := s.next(i)
			return s.inTerm(j, "form", "grade") || s.inTerm(j, "agent") && strings.Contains(s.text(j), "lea")
		}
	}
	return false
}

func (s *sense) inTermAny(spans []int, kinds ...string) bool {
	return slices.ContainsFunc(spans, func(i int) bool { return s.inTerm(i, kinds...) })
}

// oldAndNew sorts the strengths into the one to be used and the one it stands
// for; which is false where nothing says which is which.
func (s *sense) oldAndNew(st []strength) (fresh, old strength, which bool) {
	between := func(a, b int, words ...string) bool {
		for k := a; k < b; k++ {
			if slices.Contains(words, s.l.tokens[k].plain) {
				return true
			}
		}
		return false
	}
	switch len(st) {
	case 0:
		return
	case 1:
		before := strings.Builder{}
		for _, t := range s.l.tokens[:st[0].from] {
			before.WriteString(" " + t.plain)
		}
		if strings.HasSuffix(before.String(), " instead of") || strings.Contains(before.String(), " not the ") {
			return strength{}, st[0], true
		}
		if st[0].given != nil && !s.saidTo(st[0].given.i) {
			return strength{}, st[0], false
		}
		return st[0], strength{}, true
	}
	a, b := st[0], st[1]
	switch {
	case between(a.from, b.from, "instead", "place", "rather", "not", "replaces", "replace", "than"):
		return a, b, true
	case a.given != nil && b.given == nil:
		return b, a, true
	case b.given != nil && a.given == nil:
		return a, b, true
	case between(a.from, b.from, "to", "into", "for", "in", "with", "as", "by", "vs"):
		return b, a, true
	case between(0, a.from, "have", "got", "with", "using", "only"):
		return a, b, true
	}
	return b, a, true
}

// frameSoak: the water that soaked gelatine carries.
func frameSoak(s *sense) []reading {
	if !s.says("ask", "soak") || !s.says("agent", "gelatine") || s.any(cueHowlong, cueSwap) {
		return nil
	}
	ms := s.measures()
	finish := func(r reading) reading {
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "thing", "form")
		s.use(&r, s.termsNamed("ask", "soak", "left", "weigh small", "bloom")...)
		r.consumes = r.consumes.with(cueVerbInfuse, cueGel, cueExtra, cueYield)
		return r
	}
	var out []reading
	r := s.craft(WantSoak, "gel", "given")
	for _, m := range ms {
		switch {
		case len(r.q.Craft.Amounts)+len(r.q.Craft.Counts) > 0:
		case m.dim == quantity.Mass:
			r.q.Craft.Amounts = []Given{{Q: m.q}}
			r.used[m.i] = true
		case m.dim == quantity.None:
			r.q.Craft.Counts = []quantity.Number{m.n}
			r.used[m.i] = true
		}
	}
	if len(r.q.Craft.Amounts)+len(r.q.Craft.Counts) > 0 {
		r = finish(r)
		out = append(out, r)
	}
	if len(out) == 0 {
		for _, p := range s.picks() {
			if s.inTermAny(p.spans, "agent", "form") {
				continue
			}
			r := finish(s.craftOf(WantSoak, "gel", "recipe", p))
			out = append(out, s.sized(r, p)...)
		}
	}
	return out
}

// frameGelCompare: gelatine in the water phase; softer or firmer than another of the house.
func frameGelCompare(s *sense) []reading {
	compare := s.says("ask", "softer")
	share := s.says("ask", "share") && s.says("agent", "gelatine") || s.any(cueGel) && s.says("agent", "gelatine") && s.any(cuePercent)
	if !compare && !share || s.any(cueSwap) || s.says("unit", "bloom") || s.says("kind") {
		return nil
	}
	ms := s.measures()
	var out []reading
	for _, p := range s.picks() {
		if s.inTermAny(p.spans, "agent", "form", "thing") {
			continue
		}
		r := s.craftOf(WantGelCompare, "gel", "share", p)
		if compare {
			r.q.Craft.Topic = "compare"
		}
		for _, m := range ms {
			if m.dim == quantity.Mass || m.dim == quantity.Volume {
				s.take(&r, m)
			}
		}
		s.use(&r, s.termsNamed("agent", "gelatine")...)
		s.useAll(&r, "form")
		s.use(&r, s.termsNamed("ask", "softer", "share", "set", "bloom")...)
		if len(r.q.Craft.Amounts) == 0 && len(s.terms("thing")) > 0 {
			s.use(&r, s.termsNamed("thing", "water", "liquid")...)
		}
		r.consumes = r.consumes.or(verbCues).with(cueGel, cuePercent, cueThan, cueSame, cueFewer, cueWaterword, cueFrom, cueExtra, cueStock)
		if len(s.terms("agent")) == 0 && len(p.targets) < 2 {
			r.extra += 2
		}
		out = append(out, r)
	}
	return out
}

// properties are the terms that ask for what is known of an agent.
var properties = []string{"dosage", "set", "melt", "hydrate", "hold", "boil", "freeze", "disperse", "air", "needs", "ph", "about"}

// frameAgent: what is known of a gelling agent; freezing of what a recipe sets.
func frameAgent(s *sense) []reading {
	ms := s.measures()
	asks := s.properties()
	if len(asks) == 0 {
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
		return append(out, r)
	}
	if asks[0] != "freeze" || !s.may() || s.any(cueHowlong, cueWhen, cueTemp, cueWent, cueUnsafe) || len(ms) > 0 {
		return nil
	}
	for _, p := range s.picks() {
		r := finish(s.craftOf(WantAgent, "gel", "", p))
		s.absorb(&r)
		out = append(out, r)
	}
	return out
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
	if len(agents) == 0 || s.says("unit", "bloom") || s.any(cueSwap, cueMakeable) || s.says("ask", "soak", "softer") {
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
		if dose == nil && s.talkHas(agents[0]) {
			r.extra += 6 // "how much agar for 500 g": of the recipe just spoken of
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
	if s.says("kind") || s.says("thing", "chocolate") {
		return nil
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
