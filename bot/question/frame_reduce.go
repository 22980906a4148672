package question

import (
	"slices"
	"time"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
)

// panCues are the words of a pan on a scale.
var panCues = cueSet{}.with(cueReduce, cueLose, cueReading, cueTare, cuePan, cueWeigh, cueHowmuch, cueSetready, cueTotal, cueVerbCook, cueHalf, cueOnly,
	cueWhen, cueOnebatch, cueCapacity, cueThat, cueYield, cueHowlong, cueCard, cuePercent)

// takePan puts the pan named, or its empty weight, into the question.
func (s *sense) takePan(r *reading, ms []measured) {
	if at, pan := s.panOf(); at >= 0 && !slices.Contains(r.targets, at) {
		r.q.Thing = pan
		r.used[at] = true
		return
	}
	for _, m := range ms {
		if grams(m) && !r.used[m.i] && (s.precededBy(m.i, cuePan) || s.precededBy(m.i, cueTare)) {
			r.q.Quantities = append(r.q.Quantities, inGrams(m))
			r.used[m.i] = true
			return
		}
	}
}

// grams tells a mass, or a bare number large enough to be one.
func grams(m measured) bool {
	return m.dim == quantity.Mass || m.dim == quantity.None && m.n.Cmp(quantity.Int(50)) > 0 && m.word != "bloom" && m.word != "baume"
}

func inGrams(m measured) quantity.Quantity {
	if m.dim == quantity.None {
		return quantity.Grams(m.n)
	}
	return m.q
}

// ratio reads "by half", "to a third", "by 70 %": the share that is left.
func (s *sense) ratio(ms []measured) (left quantity.Number, span int, ok bool) {
	if s.any(cueHalf) {
		return quantity.Frac(1, 2), -1, true
	}
	for k := 0; k+1 < len(s.l.tokens); k++ {
		w := s.l.tokens[k].plain
		if w != "by" && w != "to" && w != "down" {
			continue
		}
		n := k + 1
		if a := s.l.tokens[n].plain; (a == "a" || a == "one" || a == "1") && n+1 < len(s.l.tokens) {
			n++
		}
		var share quantity.Number
		switch s.l.tokens[n].fold {
		case "half":
			share = quantity.Frac(1, 2)
		case "third":
			share = quantity.Frac(1, 3)
		case "quarter":
			share = quantity.Frac(1, 4)
		case "tenth":
			share = quantity.Frac(1, 10)
		default:
			if n+1 == len(s.l.tokens) || s.l.sharesOf(n+1) < 2 {
				continue
			}
			w, ok := shareWords[s.l.tokens[n+1].fold] // "by two thirds"
			if share = quantity.Frac(s.l.sharesOf(n+1)*w[0], max(1, w[1])); !ok || !share.Less(one) {
				continue
			}
			n++
		}
		if w != "to" {
			share = one.Sub(share)
		}
		return share, s.spanAt(n), true
	}
	for _, m := range ms {
		if m.dim != quantity.Share || m.n.Cmp(quantity.Int(100)) >= 0 || m.n.Sign() <= 0 {
			continue
		}
		share := m.n.Div(quantity.Int(100))
		switch s.before(m.i) {
		case "by":
			return one.Sub(share), m.i, true
		case "to":
			return share, m.i, true
		}
	}
	return quantity.Number{}, -1, false
}

// downBy is the token "down" of "3 kg stock down by a third", "down a third"; −1
// if none is there.
func (s *sense) downBy() int {
	t := s.l.tokens
	for k := 0; k+1 < len(t); k++ {
		if t[k].plain != "down" {
			continue
		}
		n := k + 1
		for n < len(t) && slices.Contains([]string{"by", "to", "a", "one"}, t[n].plain) {
			n++
		}
		if n < len(t) {
			if _, ok := shareWords[t[n].plain]; ok {
				return k
			}
			if n > k+1 && n+1 < len(t) && t[n].number && (t[n+1].plain == "%" || t[n+1].plain == "percent" || t[n+1].plain == "pct") {
				return k
			}
		}
	}
	return -1
}

// spanAt is the span that holds token k.
func (s *sense) spanAt(k int) int {
	return slices.IndexFunc(s.p.spans, func(sp span) bool { return sp.from <= k && k < sp.to })
}

// useRatio marks every span of "to a third" as used.
func (s *sense) useRatio(r *reading) {
	for i := range s.p.spans {
		switch sp := s.span(i); {
		case sp.kind == spanFactor && sp.factor.Less(one):
			r.used[i] = true
		case sp.kind == spanUnused && sp.to == sp.from+1:
			switch s.l.tokens[sp.from].fold {
			case "half", "third", "quarter", "tenth":
				r.used[i] = true
			}
			if s.l.sharesOf(sp.from) > 1 || sp.to < len(s.l.tokens) && s.l.sharesOf(sp.to) > 1 {
				r.used[i] = true
			}
		}
	}
}

// frameReduceTo: a reduction with its start and goal in the question: "reduce 2 kg
// stock to 600 g in the wide pan, what does it read"; what it does to salt or sugar.
func frameReduceTo(s *sense) []reading {
	down := s.downBy()
	if !s.any(cueReduce, cueHalf, cueLose) && !s.says("ask", "reduce", "evaporated") && down < 0 || s.any(cueAlcoholword) {
		return nil
	}
	ms := s.measures()
	if counted(ms, quantity.Brix) > 0 || counted(ms, quantity.Temperature) > 0 || s.says("unit", "abv") {
		return nil
	}
	r := s.craft(WantReduceTo, "reduce", "reading")
	s.takePan(&r, ms)
	if r.q.Thing == nil && s.written(kb.PanName) != nil {
		r.extra += 3 // "in the sauteuse" is that one, and no word for a pan
	}
	left, at, byRatio := s.ratio(ms)
	var start, goal *measured
	for k := range ms {
		m := &ms[k]
		if start != nil && m.to && m.dim == quantity.None && m.n.Less(start.q.N) && start.dim != quantity.None { // "4 kg stock down to 1.4"
			m.dim, m.q = start.dim, quantity.Of(m.n, start.q.Unit)
			m.n = m.q.Base()
		}
		if r.used[m.i] || !grams(*m) && m.dim != quantity.Volume || m.i == at {
			continue
		}
		if s.withPan(m.i) && (s.any(cuePan) || s.written(kb.PanName) != nil) {
			return nil // framePanGoal
		}
		switch {
		case start == nil && !m.to:
			start = m
		case goal == nil:
			goal = m
		default:
			return nil
		}
	}
	if start == nil || goal == nil && !byRatio {
		return nil
	}
	for _, m := range []*measured{start, goal} {
		if m == nil {
			continue
		}
		g := Given{Q: m.q}
		if m.dim == quantity.None {
			g.Q = quantity.Grams(m.n)
		}
		if m.of != nil {
			g.Item = *m.of
			r.used[m.ofAt] = true
		}
		r.used[m.i] = true
		r.q.Craft.Amounts = append(r.q.Craft.Amounts, g)
	}
	if goal == nil {
		r.q.Craft.Counts = []quantity.Number{left}
		s.useRatio(&r)
		if at >= 0 {
			r.used[at] = true
		}
	}
	if down >= 0 {
		if i := s.spanAt(down); i >= 0 && s.span(i).kind == spanUnused {
			r.used[i] = true
		}
	}
	s.takeDims(&r, ms, quantity.Share)
	s.takeFoods(&r)
	s.unit(&r)
	s.reducedIn(&r)
	r.consumes = r.consumes.or(panCues).with(cueSaltword, cueSugarword, cueGel, cueFrom)
	s.useAll(&r, "thing")
	s.use(&r, s.termsNamed("ask", "reduce", "evaporated", "how salty", "fit", "now")...)
	switch {
	case len(r.q.Craft.Share) > 0:
		r.q.Craft.Topic = "share"
	case s.says("ask", "fit") && s.any(cueCapacity):
		r.q.Craft.Topic = "fit"
	case (s.says("ask", "evaporated") || s.any(cueLose)) && !s.any(cueReading):
		r.q.Craft.Topic = "evaporated"
	}
	r.extra -= 3
	return []reading{r}
}

// termsNamed returns the terms of a kind with one of the names.
func (s *sense) termsNamed(kind string, names ...string) []term {
	var out []term
	for _, t := range s.l.terms {
		if t.kind == kind && slices.Contains(names, t.name) {
			out = append(out, t)
		}
	}
	return out
}

// frameEvaporated: what boils off a recipe's reduction.
func frameEvaporated(s *sense) []reading {
	down, water := s.goesDownTo(), s.waterGoes()
	if !s.any(cueLose) && !s.says("ask", "evaporated") && !down && !water || s.any(cueReading, cueTare) || s.waterGoesIn() {
		return nil
	}
	for _, m := range s.measures() {
		if grams(m) {
			return nil // a reading
		}
	}
	if s.moreOfFood() {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.craftOf(WantEvaporated, "reduce", "", p)
		r.consumes = r.consumes.or(panCues)
		if down {
			r.consumes = r.consumes.with(cueChange)
			r.extra -= 3
		}
		if water {
			r.consumes = r.consumes.with(cueSwap, cueVerbOut, cueVerbThaw, cueOnebatch, cueBatch)
			r.extra -= 3
		}
		if s.l.says("boil", "off") || s.l.says("boils", "off") || s.saysOf("evaporate", "evaporates") {
			r.extra-- // no reading is told to compare with
		}
		s.useAll(&r, "thing")
		s.use(&r, s.termsNamed("ask", "evaporated", "reduce")...)
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// moreOfFood reads "how much more egg white": of a food that is named, not of what is to be lost.
func (s *sense) moreOfFood() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		return s.before(i) == "more" && s.l.ingredientAt(s.span(i)) && !s.l.recipeAt(s.span(i)) && !s.any(cueReduce)
	})
}

// waterGoes reads "how many water go out", "how much water must leave": what boils off.
func (s *sense) waterGoes() bool {
	return s.waterGo("out", "off", "away", "from", "when") && s.any(cueHowmuch, cueHowmany, cueLose)
}

// waterGoesIn reads "how much water goes in": an ingredient.
func (s *sense) waterGoesIn() bool { return s.waterGo("in", "into") }

// waterGo reports whether water is said to go where one of the words says, or to
// leave, which is out.
func (s *sense) waterGo(where ...string) bool {
	t := s.l.tokens
	for k := range t {
		if w := t[k].fold; w != "water" && w != "liquid" && w != "moisture" {
			continue
		}
		for j := k + 1; j < min(len(t), k+6) && !t[j].breaks; j++ {
			switch t[j].plain {
			case "leave", "leaves", "leaving":
				return where[0] == "out"
			case "go", "goes", "going", "come", "comes", "steam", "steams", "cook", "cooks", "boil", "boils":
				return j+1 < len(t) && !t[j+1].breaks && slices.Contains(where, t[j+1].plain)
			}
		}
	}
	return false
}

// goesDownTo reads "the veloute goes down to how much", which asks and changes nothing.
func (s *sense) goesDownTo() bool {
	t := s.l.tokens
	for k := 2; k+1 < len(t); k++ {
		asks := t[k+1].plain == "what" || t[k+1].plain == "how" && k+2 < len(t) && t[k+2].plain == "much"
		if asks && t[k].plain == "to" && t[k-1].plain == "down" && len(s.quant) == 0 && len(s.names) <= 1 {
			return true
		}
	}
	return false
}

// framePanFit: "does 3x perry reduction fit the wide pan".
func framePanFit(s *sense) []reading {
	if !s.says("ask", "fit") || !s.any(cueCapacity, cuePan, cueBatchsplit) && !s.pansNamed() && (!s.any(cueVessel) || len(s.quant) == 0) {
		return nil
	}
	for _, i := range s.names {
		if s.thingOf(i, kb.MouldName, kb.MachineName) != nil {
			return nil
		}
	}
	at, pan := s.panOf()
	var out []reading
	for _, p := range s.picks() {
		if at >= 0 && slices.Contains(p.spans, at) {
			continue
		}
		r := s.craftOf(WantPanFit, "reduce", "", p)
		if at >= 0 {
			r.q.Thing = pan
			r.used[at] = true
		}
		r.consumes = r.consumes.or(panCues).with(cueBatchsplit, cueEnough, cueMakeable, cueMoulds, cueHowmany, cueVessel)
		s.use(&r, s.termsNamed("ask", "fit", "reduce")...)
		s.useAll(&r, "thing")
		if at < 0 && !s.any(cuePan, cueVessel) && !reducedInPan(p.targets) {
			r.extra += costLostName // "tarts, how many in one go" is of no pan
		} else if at < 0 && !s.any(cuePan, cueVessel) {
			r.extra += 3
		}
		if s.may() {
			r.extra--
		}
		if p.talk && s.ctx != nil {
			for k := range r.q.Targets {
				r.q.Targets[k].Scale = s.ctx.Targets[k].Scale
			}
			out = append(out, s.resized(r, p)...)
			continue
		}
		out = append(out, s.sized(r, p)...)
	}
	return out
}

func (s *sense) pansNamed() bool {
	at, _ := s.panOf()
	return at >= 0
}

// frameAlcohol: what is left of the alcohol after reducing or cooking.
func frameAlcohol(s *sense) []reading {
	if !s.any(cueAlcoholword) && !s.says("thing", "alcohol") || s.any(cueDiet, cueFree, cueAllergen) {
		return nil
	}
	if !s.any(cueReduce, cueHalf, cueLose) && !s.says("ask", "left", "reduce", "evaporated") && !s.says("cook") {
		return s.alcoholIn()
	}
	ms := s.measures()
	finish := func(r reading) reading {
		r.consumes = r.consumes.or(panCues).or(verbCues).with(cueAlcoholword, cueOven, cueOnly, cueKeeps, cuePortion, cueStir)
		s.useAll(&r, "thing", "cook")
		s.use(&r, s.termsNamed("ask", "left", "reduce", "evaporated", "abv", "time left")...)
		s.use(&r, s.termsNamed("unit", "abv")...)
		if t := s.terms("cook"); len(t) > 0 {
			r.q.Craft.Kind = cookOf(t)
		}
		s.takeDims(&r, ms, quantity.Time)
		return r
	}
	var out []reading
	if counted(ms, quantity.Share)+counted(ms, quantity.None) > 0 && counted(ms, quantity.Mass)+counted(ms, quantity.Volume) > 0 {
		r := s.craft(WantAlcoholLeft, "reduce", "pan")
		left, at, byRatio := s.ratio(ms)
		for _, m := range ms {
			if m.i == at {
				r.used[m.i] = true
				continue
			}
			switch {
			case m.dim == quantity.Share:
				s.take(&r, m)
			case m.dim == quantity.None && m.word == "abv":
				r.q.Craft.Share = append(r.q.Craft.Share, m.n)
				r.used[m.i] = true
			case m.dim == quantity.Mass || m.dim == quantity.Volume:
				s.take(&r, m)
			}
		}
		if byRatio {
			r.q.Craft.Counts = []quantity.Number{left}
			s.useRatio(&r)
		}
		s.takeFoods(&r)
		if len(r.q.Craft.Share) == 1 && (len(r.q.Craft.Amounts) == 2 || len(r.q.Craft.Amounts) == 1 && byRatio) {
			r = finish(r)
			r.extra -= 3
			out = append(out, r)
		}
	}
	if s.says("cook") && len(out) == 0 && !s.recipeNamed("thing", "cook") {
		r := finish(s.craft(WantAlcoholLeft, "reduce", "cooking"))
		s.takeFoods(&r)
		if counted(ms, quantity.Time) == 0 && r.q.Craft.Kind == "stirred" {
			r.extra += 2
		}
		out = append(out, r)
	}
	for _, p := range s.picks() {
		r := finish(s.craftOf(WantAlcoholLeft, "reduce", "recipe", p))
		s.absorb(&r)
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// alcoholIn: "any alcohol in the butter sauce": what the finished recipe holds.
func (s *sense) alcoholIn() []reading {
	if len(s.quant) > 0 {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.craftOf(WantContent, "balance", "", p)
		r.q.Content = []Content{{Name: "alcohol", Key: mix.Alcohol}}
		r.consumes = r.consumes.with(cueAlcoholword, cuePercent, cuePer100, cueOnebatch)
		s.use(&r, s.termsNamed("thing", "alcohol")...)
		out = append(out, r)
	}
	return out
}

// cookOf is the way of cooking that the terms say, the narrowest first.
func cookOf(ts []term) string {
	for _, n := range []string{"flamed", "overnight", "off heat", "not stirred", "baked", "stirred"} {
		if slices.ContainsFunc(ts, func(t term) bool { return t.name == n }) {
			return n
		}
	}
	return ""
}

// frameNow: "1320 now": the pan that is being reduced reads so much; how long still.
func frameNow(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || (len(s.units) > 0 || s.converts()) && !s.any(cueReading) { // "1.2 lb to g" is no pan
		return nil
	}
	last := s.ctx.Last
	switch last.Want {
	case WantReading, WantNow, WantReduceTo, WantBrixTarget:
	default: // something else was asked in between
		if last = s.ctx.Pan; last == nil || !s.says("ask", "now") && !s.any(cueReading) {
			return nil
		}
	}
	var now, before *measured
	var minutes *measured
	ms := s.measures()
	for k := range ms {
		switch m := &ms[k]; {
		case m.dim == quantity.Time && minutes == nil:
			minutes = m
		case grams(*m) && now == nil:
			now = m
		case grams(*m) && before == nil:
			before, now = now, m
		default:
			return nil
		}
	}
	if now == nil || now.to && before == nil && !s.says("ask", "now") || before != nil && (minutes == nil || !s.says("ask", "ago")) {
		return nil
	}
	for i := range s.p.spans {
		switch sp := s.span(i); sp.kind {
		case spanName:
			t := s.thingOf(i, kb.PanName)
			if t == nil || last.Thing == nil || t.Text != last.Thing.Text {
				return nil // another pan: a reading of its own
			}
		case spanFactor, spanAllergen:
			return nil
		case spanUnused:
			if sp.food {
				return nil
			}
		case spanCue:
			if !sp.cues.meets(plainCues.or(panCues).with(cueWhatabout, cueWent, cueExtra, cueAnd, cueSetready, cueTimes)) {
				return nil
			}
		}
	}
	r := s.reading(WantNow, "reduce")
	q := *last
	q.Want, q.About, q.Say, q.cues = WantNow, "reduce", s.l.text, s.cues
	q.Assumed, q.Unused, q.Strange, q.Lost, q.Missing, q.Choices = nil, nil, nil, false, MissingNothing, nil
	q.FromTalk = true
	q.Quantity, q.HasQty = inGrams(*now), true
	q.Readings = s.ctx.Readings
	if last.Want != WantNow {
		q.Craft.Kind = wantNames[last.Want]
	}
	if last.Want == WantBrixTarget && len(last.Quantities) >= 2 && last.Quantities[1].N.Sign() > 0 {
		q.Craft.Amounts = []Given{{Q: last.Quantity}}
		q.Craft.Counts = []quantity.Number{last.Quantities[0].N.Div(last.Quantities[1].N)}
		q.Quantities = nil
	}
	if last.Want == WantReading && len(last.Targets) == 0 { // a pan and what is to be left in it
		q.Craft.Amounts = []Given{{Q: last.Quantity}, {Q: last.Quantity}}
	}
	r.q = q
	r.used[now.i] = true
	if minutes != nil {
		r.used[minutes.i] = true
	}
	r.q.Craft.Minutes, r.q.QuantityHi = nil, nil
	if before != nil {
		r.used[before.i] = true
		r.q.Craft.Minutes = []quantity.Number{minutes.n}
		prev := inGrams(*before)
		r.q.QuantityHi = &prev
	}
	for i := range s.p.spans {
		if s.span(i).kind == spanClock || s.thingOf(i, kb.PanName) != nil {
			r.used[i] = true
		}
	}
	r.q.Craft.Topic = ""
	if s.any(cueHowlong, cueWhen) || s.says("ask", "time left") {
		r.q.Craft.Topic = "time"
	} else if s.any(cueLose) {
		r.q.Craft.Topic = "lose"
	}
	r.consumes = plainCues.or(panCues).with(cueWhatabout, cueWent, cueExtra, cueAnd, cueSetready, cueTimes)
	s.useAll(&r, "thing")
	s.use(&r, s.termsNamed("ask", "now", "ago", "time left", "left", "evaporated")...)
	r.extra -= 4
	return []reading{r}
}

// frameAfter: "how salty is the jus after reducing": what the finished recipe holds.
func frameAfter(s *sense) []reading {
	if !s.any(cueReduce) || len(s.quant) > 0 || s.any(cueReading, cueTare, cueLose, cuePan) {
		return nil
	}
	var found []Content
	for _, c := range contents {
		if s.any(c.cue) {
			found = append(found, c.content)
		}
	}
	var spans []int
	for _, i := range s.names {
		if c, ok := contentNames[s.folded(s.span(i))]; ok {
			found = append(found, c)
			spans = append(spans, i)
		}
	}
	if len(found) == 0 {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if slices.ContainsFunc(spans, func(i int) bool { return slices.Contains(p.spans, i) }) {
			continue
		}
		r := s.craftOf(WantContent, "balance", "", p)
		r.q.Content = found
		r.q.Per = Per100
		for _, i := range spans {
			r.used[i] = true
		}
		for _, c := range contents {
			r.consumes = r.consumes.with(c.cue)
		}
		r.consumes = r.consumes.with(cueReduce, cuePercent, cueOnly)
		s.use(&r, s.termsNamed("ask", "left", "reduce", "how salty", "ago")...)
		out = append(out, r)
	}
	return out
}

// wantNames keeps which kind of reduction a reported reading belongs to.
var wantNames = map[Want]string{WantReading: "recipe", WantReduceTo: "given", WantBrixTarget: "brix"}

// SamePan reports whether two questions are about one reduction in one pan.
func (q *Question) SamePan(o *Question) bool {
	if o == nil || len(q.Targets) != 1 || len(o.Targets) != 1 || q.Targets[0].Recipe != o.Targets[0].Recipe {
		return false
	}
	if (q.Thing == nil) != (o.Thing == nil) || q.Thing != nil && q.Thing.Text != o.Thing.Text {
		return false
	}
	a, b := q.Targets[0].Scale, o.Targets[0].Scale
	return a.Kind == b.Kind && a.N.Equal(b.N)
}

// Weighings are the readings of the pan with the one told at the moment, oldest first.
func (q *Question) Weighings(at time.Time) []Weighing {
	out := slices.Clone(q.Readings)
	out = slices.DeleteFunc(out, func(w Weighing) bool { return !w.At.Before(at) }) // told twice: the last holds
	if q.Want == WantNow && len(q.Craft.Minutes) > 0 && q.QuantityHi != nil {
		ago := time.Duration(q.Craft.Minutes[0].Float() * float64(time.Minute))
		before := Weighing{at.Add(-ago), q.QuantityHi.Base()}
		out = slices.DeleteFunc(out, func(w Weighing) bool { return !w.At.Before(before.At) })
		out = append(out, before)
	}
	if q.HasQty {
		out = append(out, Weighing{at, q.Quantity.Base()})
	}
	return out
}
