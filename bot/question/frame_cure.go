package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// chocolateKind is the kind of chocolate that the message names.
func (s *sense) chocolateKind() string {
	if k := s.terms("kind"); len(k) > 0 {
		return k[0].name
	}
	return ""
}

var chocolateCues = craftCues.or(cueSet{}.with(cueVerbCook, cueVerbThaw, cueTemp, cueRescue, cueOven, cueReading, cueVerbRest, cueVerbSet, cueOnly, cueWhen, cueVerbChill, cueVerbHold, cueThat))

// frameTemper: the temper curve of dark, milk or white chocolate.
func frameTemper(s *sense) []reading {
	if !s.says("ask", "temper") && !(s.says("ask", "melt") && s.says("thing", "chocolate")) || !s.says("kind") && !s.says("thing", "chocolate") {
		return nil
	}
	if len(s.quant) > 0 || s.says("ask", "seed") || s.recipeNamed("kind", "thing", "ask") {
		return nil
	}
	r := s.craft(WantTemper, "lookup", "curve")
	r.q.Craft.Kind = s.chocolateKind()
	s.useAll(&r, "kind", "thing")
	s.use(&r, s.termsNamed("ask", "temper", "melt", "hold")...)
	r.consumes = r.consumes.or(chocolateCues)
	s.takeChocolate(&r)
	s.unit(&r)
	return []reading{r}
}

// takeChocolate uses up names that hold a chocolate's kind: "dark chocolate 64 %".
func (s *sense) takeChocolate(r *reading) {
	for _, i := range s.names {
		if w := strings.Fields(s.folded(s.span(i))); slices.Contains(w, "chocolate") || slices.Contains(w, "couverture") {
			r.used[i] = true
		}
	}
}

// frameDrift: a bowl of tempered chocolate at a temperature: "28 °C and thick".
func frameDrift(s *sense) []reading {
	if !s.says("state") && !s.says("ask", "temper") {
		return nil
	}
	ms := s.measures()
	if counted(ms, quantity.Temperature)+counted(ms, quantity.None) != 1 || counted(ms, quantity.Temperature) == 0 && !s.says("kind") && !s.says("thing", "chocolate") {
		return nil
	}
	if s.recipeNamed("kind", "thing", "ask", "state") || counted(ms, quantity.Mass) > 0 || s.says("agent") {
		return nil
	}
	r := s.craft(WantDrift, "rescue", "")
	r.q.Craft.Kind = s.chocolateKind()
	s.degrees(&r, ms)
	if len(r.q.Craft.Celsius) == 0 || r.q.Craft.Celsius[0].Cmp(quantity.Int(70)) > 0 || r.q.Craft.Celsius[0].Cmp(quantity.Int(10)) < 0 {
		return nil
	}
	if st := s.terms("state"); len(st) > 0 {
		r.q.Craft.State = st[0].name
	}
	if !s.says("thing", "chocolate") && !s.says("kind") {
		r.extra++
		if len(s.names) > 0 || len(s.p.spans) > 6 {
			r.extra += 3
		}
		if !s.says("ask", "temper") && (s.ctx == nil || s.ctx.Last == nil || !isChocolate(s.ctx.Last.Want)) && len(s.names) > 0 {
			return nil
		}
	}
	if s.ctx != nil && s.ctx.Last != nil && isChocolate(s.ctx.Last.Want) && r.q.Craft.Kind == "" {
		r.q.Craft.Kind = s.ctx.Last.Craft.Kind
		r.extra = 0
	}
	s.useAll(&r, "kind", "thing", "state")
	s.use(&r, s.termsNamed("ask", "temper", "now", "left")...)
	r.consumes = r.consumes.or(chocolateCues).with(cueNot)
	s.takeChocolate(&r)
	return []reading{r}
}

func isChocolate(w Want) bool { return w == WantTemper || w == WantDrift || w == WantSeed }

// frameSeed: how much is held back as seed.
func frameSeed(s *sense) []reading {
	if !s.says("ask", "seed") || !s.says("kind") && !s.says("thing", "chocolate") && !s.says("ask", "temper") {
		return nil
	}
	ms := s.measures()
	if counted(ms, quantity.Mass) != 1 || s.recipeNamed("kind", "thing", "ask") {
		return nil
	}
	r := s.craft(WantSeed, "scale", "")
	r.q.Craft.Kind = s.chocolateKind()
	s.takeDims(&r, ms, quantity.Mass)
	s.useAll(&r, "kind", "thing")
	s.use(&r, s.termsNamed("ask", "seed", "temper", "melt", "make")...)
	r.consumes = r.consumes.or(chocolateCues).with(cueExtra, cuePiece)
	s.takeChocolate(&r)
	return []reading{r}
}

// frameGanache: fat, water and what they make of a ganache of the book.
func frameGanache(s *sense) []reading {
	if !s.says("ask", "ganache") || s.any(cueRescue) && !s.may() || s.any(cueWhen, cueUnsafe) {
		return nil
	}
	named := false
	for _, t := range s.l.tokens {
		named = named || t.plain == "ganache" || t.plain == "ganaches"
	}
	if !named || len(s.quant) > 0 || s.any(cueHowlong, cueTemp) {
		return nil
	}
	ask := ""
	for _, t := range s.terms("ask") {
		if t.name == "ganache" {
			ask = strings.ToLower(s.l.text[s.l.tokens[t.from].start:s.l.tokens[t.to-1].end])
			break
		}
	}
	if ask == "keep" && s.any(cueHowlong) {
		return nil // the book says
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.craftOf(WantGanache, "balance", "", p)
		r.extra--
		s.use(&r, s.termsNamed("ask", "ganache", "softer", "share")...)
		r.consumes = r.consumes.or(verbCues).with(cueRescue, cueFatword, cueWaterword, cueBalance, cuePercent, cueAnd, cueSetready)
		s.useAll(&r, "thing")
		out = append(out, r)
	}
	return out
}

// frameSiphon: how much goes into a siphon, how many chargers.
func frameSiphon(s *sense) []reading {
	named := s.says("ask", "siphon")
	var bottle *kb.Name
	at := -1
	for _, i := range s.names {
		if t := s.thingOf(i, kb.MachineName); t != nil && s.inTerm(i, "ask") {
			bottle, at = t, i
		}
	}
	if !named && !s.says("ask", "charger") {
		return nil
	}
	ms := s.measures()
	if !s.says("ask", "charger", "fit") && len(s.quant) == 0 && !s.any(cueFill, cueHowmuch, cueHowmany) {
		return nil
	}
	size := -1 // "in the 1 l siphon": the bottle's
	for k, m := range ms {
		if j := s.next(m.i); m.dim == quantity.Volume && j >= 0 && s.inTerm(j, "ask") && s.inNamed(j, "siphon") {
			size = k
		}
	}
	finish := func(r reading) reading {
		if at >= 0 {
			r.q.Thing = bottle
			r.used[at] = true
		}
		if size >= 0 {
			r.q.Quantity, r.q.HasQty = ms[size].q, true
			r.used[ms[size].i] = true
		}
		s.takeDims(&r, ms, quantity.Temperature)
		s.use(&r, s.termsNamed("ask", "siphon", "charger", "fit", "make", "needs", "evaporated", "left")...)
		s.useAll(&r, "thing")
		r.consumes = r.consumes.with(cueFill, cueCapacity, cueVerbHold, cueKeeps, cueCovers, cueBatch, cueIn, cueEnough, cuePiece, cueOnly, cueMakeable, cueYes, cueCost)
		return r
	}
	var out []reading
	r := finish(s.craft(WantSiphon, "scale", "given"))
	s.takeDims(&r, ms, quantity.Volume, quantity.Mass)
	if len(r.q.Craft.Amounts) > 0 && !s.recipeNamed("ask", "thing") {
		s.takeFoods(&r)
		out = append(out, r)
	}
	for _, p := range s.picks() {
		if p.talk && len(out) > 0 || at >= 0 && slices.Contains(p.spans, at) {
			continue
		}
		r := s.craftOf(WantSiphon, "scale", "recipe", p)
		s.chargersAsked(&r)
		r = finish(r)
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// inNamed reports whether span i lies in the term of that name.
func (s *sense) inNamed(i int, name string) bool {
	sp := s.span(i)
	return slices.ContainsFunc(s.l.terms, func(t term) bool { return t.name == name && t.from <= sp.from && sp.to <= t.to })
}

// chargersAsked keeps a line of chargers in a recipe to the amount question.
func (s *sense) chargersAsked(r *reading) {
	for _, t := range r.q.Targets {
		if t.Recipe == nil {
			continue
		}
		for i := range t.Recipe.Lines {
			if strings.Contains(strings.ToLower(t.Recipe.Lines[i].Name), "charger") && !s.says("ask", "siphon") {
				r.extra += 4
			}
		}
	}
}

// frameBrine: salt for an equilibrium brine or cure, a brine from nothing, injection.
func frameBrine(s *sense) []reading {
	if !s.says("ask", "equilibrium", "brine", "inject") && !(s.any(cueVerbCure) && s.any(cuePercent)) || s.says("ask", "nitrite") {
		return nil
	}
	ms := s.measures()
	shares, masses := counted(ms, quantity.Share), counted(ms, quantity.Mass)+counted(ms, quantity.Volume)
	if shares == 0 || masses == 0 && !(s.says("ask", "inject") && shares == 2) || s.recipeNamed("ask", "thing") {
		return nil
	}
	topic := ""
	switch {
	case s.says("ask", "inject") && shares == 2 && masses <= 1:
		topic = "inject"
	case shares != 1:
		return nil
	case masses == 1 && s.says("ask", "brine") && !s.says("ask", "equilibrium") && !s.meatOf(ms):
		topic = "make"
	case masses <= 2:
		topic = "equilibrium"
	default:
		return nil
	}
	r := s.craft(WantBrine, "scale", topic)
	s.takeDims(&r, ms, quantity.Share, quantity.Mass, quantity.Volume)
	if topic == "equilibrium" && len(r.q.Craft.Amounts) == 2 && isWater(r.q.Craft.Amounts[0].Item) {
		a := r.q.Craft.Amounts
		a[0], a[1] = a[1], a[0]
	}
	if topic == "inject" && s.targetShare(ms) {
		r.q.Craft.Topic = "injection for"
	}
	s.useAll(&r, "thing")
	s.use(&r, s.termsNamed("ask", "equilibrium", "brine", "inject", "make", "add", "how salty", "dosage")...)
	s.takeFoods(&r)
	r.consumes = r.consumes.or(verbCues).with(cuePercent, cueSaltword, cueWaterword, cueYield, cueTotal, cueIn, cueMethod, cueCovers)
	r.extra -= 3
	return []reading{r}
}

// meatOf reports whether an amount is of something other than water, salt or brine.
func (s *sense) meatOf(ms []measured) bool {
	for _, m := range ms {
		if m.of != nil && !isWater(*m.of) && !s.inTerm(m.ofAt, "ask") && !slices.Contains(m.of.Names, "salt") {
			return true
		}
	}
	return false
}

func isWater(it Item) bool { return slices.Contains(it.Names, "water") }

// targetShare tells "10 % pump to reach 1.5 %": the second share is the goal.
func (s *sense) targetShare(ms []measured) bool {
	for _, m := range ms {
		if m.dim == quantity.Share && (m.to || s.before(m.i) == "for") {
			return true
		}
	}
	return s.says("ask", "how salty") && !s.says("ask", "equilibrium")
}

// frameNitrite: curing salt asked to be worked out, replaced or left out; the book's own recipe may be scaled.
func frameNitrite(s *sense) []reading {
	if !s.says("ask", "nitrite") {
		return nil
	}
	wish := ""
	switch {
	case s.any(cueWithout) || s.any(cueNot) || s.any(cueNo) || s.skips():
		wish = "leave out"
	case s.any(cueSwap):
		wish = "replace"
	case s.any(cueFewer, cueExtra, cueChange):
		wish = "other amount"
	case s.any(cueHowmuch, cueHowmany, cuePercent) || len(s.quant) > 0 || s.says("ask", "dosage", "add", "make"):
		wish = "work out"
	default:
		return nil
	}
	if wish == "work out" {
		for _, p := range s.picks() { // the book's recipe, in the book's proportion
			for _, t := range p.targets {
				if t.Recipe != nil && hasNitrite(t) {
					return nil
				}
			}
		}
	}
	r := s.craft(WantNitrite, "safety", wish)
	for i := range s.p.spans {
		if k := s.span(i).kind; k == spanName || k == spanQuantity || k == spanFactor || k == spanUnused && s.span(i).food {
			r.used[i] = true
		}
	}
	s.use(&r, s.termsNamed("ask", "nitrite")...)
	r.consumes = r.consumes.or(verbCues).or(sizeCues).with(cueWithout, cueNot, cueNo, cueSwap, cueFewer, cueExtra, cueChange, cuePercent, cueDiet, cueFree, cueUnsafe, cueKeeps, cueCovers, cueMakeable, cueSaltword)
	r.extra -= 3
	return []reading{r}
}

// skips reports "skip", "leave out" and the like.
func (s *sense) skips() bool {
	for _, t := range s.l.tokens {
		switch t.plain {
		case "skip", "omit", "leave", "less", "half":
			return true
		}
	}
	return false
}

// hasNitrite reports whether a recipe's own lines hold curing salt.
func hasNitrite(t Target) bool {
	for i := range t.Recipe.Lines {
		if it := t.Recipe.Lines[i].Item; it != nil && slices.Contains(it.Cautions, "curing salt") {
			return true
		}
	}
	return false
}
