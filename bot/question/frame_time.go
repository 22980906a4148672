package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// clock returns the time of day that the message gives, the days laid over it.
func (s *sense) clockGiven(r *reading) {
	var c Clock
	any := false
	for _, i := range s.clock {
		k := s.span(i).clock
		r.used[i] = true
		any = true
		if k.HasTime && !c.HasTime {
			c.Hour, c.Min, c.Half, c.HasTime = k.Hour, k.Min, k.Half, true
		}
		if k.HasDay && !(c.HasTime && c.HasDay && !k.HasTime && c.Day > 0) { // "at 8:00 tomorrow, in by when tonight": the day beside the time
			c.HasDay, c.Day = true, k.Day
			if k.Weekday > 0 {
				c.Weekday = k.Weekday
			}
		}
		if k.Service != "" {
			c.Service = k.Service
		}
		c.Now = c.Now || k.Now
	}
	if any {
		s.halfOfDay(&c)
		r.q.Clock = &c
	}
}

// halfOfDay lets "last night", "this evening" and "this morning" say which half of
// the day a time is in, and which day.
func (s *sense) halfOfDay(c *Clock) {
	if !c.HasTime {
		return
	}
	late := func() {
		if c.Half && c.Hour < 12 && c.Hour > 3 {
			c.Hour += 12
		}
		c.Half = false
	}
	for k := range s.l.tokens {
		switch {
		case s.workAt(k, "lastnight") > 0:
			if c.Hour > 3 {
				c.HasDay, c.Day = true, -1
			}
			late()
		case s.workAt(k, "morning") > 0 && s.l.tokens[k].plain != "am":
			c.Half = false
		case c.HasDay && c.Day > 0 && s.l.tokens[k].plain == "tonight": // of another time than that of tomorrow
		case s.l.tokens[k].plain == "evening", s.l.tokens[k].plain == "tonight", s.l.tokens[k].plain == "afternoon":
			late()
		}
	}
}

// frameReady: when something that went in is ready; also a timer for it.
func frameReady(s *sense) []reading {
	ago, long := s.spans()
	if i := s.soFar(); i >= 0 && ago == nil && !s.any(cueTimer) && !s.saysOf("if") {
		ago, long = &s.span(i).q.Q, nil
	}
	if _, in := s.goesInFor(); in && !s.any(cueTimer) {
		return nil
	}
	if !s.any(cueTimer) && ago == nil && !((s.clockAt() || s.startsThere()) && (s.any(cueSetready, cueWhen, cueOven) || s.cues.meets(verbCues))) && !(s.any(cueSetready, cueWhen, cueVerbSet, cueHowlong) && s.any(cueWent, cueSetready)) && !(s.any(cueWhen) && s.cues.meets(verbCues)) && s.runsNow() == 0 && !s.wentThen() && !s.doneBy() && !s.intoNow() {
		return nil
	}
	if s.any(cueLatest) && !s.beginsAhead() && !s.any(cueWent) && !s.startsThere() && (s.runsNow() == 0 || s.timed()) || s.finishedSize() {
		return nil
	}
	if s.everySo() || s.saysAbout() && len(s.quant)+len(s.clock) == 0 || s.any(cueHowmuch, cueHowmany, cueAllergen, cueCost, cueWeigh) {
		return nil
	}
	if g, ok := s.goal(); ok && g.clock || s.mustBe() || s.servedAt() && s.any(cueWhen) || s.outAhead() || s.doneFor() || s.clockBy() && !s.clockAt() && ago == nil && !s.any(cueTimer) {
		return nil // the time told is when it must be ready
	}
	var out []reading
	if s.any(cueTimer) && long != nil { // "timer 8 minutes"
		r := s.reading(WantTimer, "timer")
		r.q.Ago, r.q.Work.Much = long, s.reminder()
		s.useSpans(&r)
		r.consumes = plainCues.or(verbCues).with(cueTimer, cueIn, cueWent, cueHowlong)
		for _, i := range s.names {
			r.used[i] = true
			if o := s.recipesOf(i, 2); len(r.q.Targets) == 0 && !isCue(&s.l.tokens[s.span(i).from]) && len(o) > 0 && (len(o) == 1 || !o[0].part) {
				r.q.Targets = []Target{{Recipe: o[0].recipe, Part: o[0].part}}
			}
		}
		r.extra = -1
		out = append(out, r)
	}
	if s.any(cueTimer) && long == nil && ago == nil && !s.any(cueWent) { // "remind me at 17:00 to check the oven"
		r := s.reading(WantTimer, "timer")
		s.clockGiven(&r)
		if r.q.Clock != nil && r.q.Clock.HasTime {
			r.consumes = plainCues.or(verbCues).with(cueTimer, cueIn, cueOven, cueLatest)
			for i := range s.p.spans { // what it is for is whoever's to know
				r.used[i] = r.used[i] || s.span(i).kind == spanName || s.span(i).kind == spanUnused && !s.l.tokens[s.span(i).from].number
			}
			r.q.Work.Much = s.reminder()
			r.extra = -1
			out = append(out, r)
		}
	}
	for _, p := range s.picks() {
		if !p.talk && slices.ContainsFunc(p.spans, s.spokenVerb) {
			continue
		}
		if s.any(cueTimer) && long != nil && !p.talk && isCue(&s.l.tokens[s.span(p.spans[0]).from]) {
			continue // "set a timer for 20 minutes" is of no recipe with "set" in its name
		}
		r := s.start(WantReady, "timer", p)
		r.consumes = r.consumes.or(verbCues).with(cueTimer, cueSetready, cueWent, cueWhen, cueHowlong, cueOven, cueOnebatch)
		if s.wentInAt() || s.intoNow() || s.earliestOut() { // "earliest i can take it out"
			r.consumes = r.consumes.with(cueLatest)
		}
		if s.wentThen() { // "latest out"
			r.consumes = r.consumes.with(cueLatest, cueKeeps, cueGreet)
		}
		if s.runsNow() > 0 || s.beginsAhead() {
			r.consumes = r.consumes.with(cueLatest, cueVerbThaw)
		}
		if s.sizeAt() {
			r.extra += 3
		}
		if s.doneBy() {
			r.consumes = r.consumes.with(cueTimes)
			r.extra -= 4
		}
		r.q.Place = s.placeIn()
		r.q.Oven = s.any(cueOven)
		if s.takeGoal(&r); s.tookOut() {
			r.q.Goal, r.q.Oven = Goal{After: baked()}, false
			if s.outOfOven() >= 0 {
				r.q.Verbs = s.outVerbs()
			}
		}
		s.stepDone(&r, p)
		s.usePlace(&r)
		s.useStates(&r)
		s.clockGiven(&r)
		r.q.Ago = ago
		if p.talk {
			s.sinceTold(&r)
		}
		s.useSpans(&r)
		s.absorb(&r)
		for _, i := range s.names {
			r.used[i] = r.used[i] || s.spokenVerb(i)
			if t := s.thingOf(i, kb.MachineName); t != nil && !r.used[i] {
				r.q.Thing, r.used[i] = t, true
			}
		}
		if s.any(cueTimer) {
			r.q.Want = WantTimer
			r.q.Ago = long
		} else if !s.any(cueWent) && !s.clockAt() && ago == nil {
			r.extra += 2
		}
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// frameUseBy: the date for the label.
func frameUseBy(s *sense) []reading {
	made := false // "good till when, made yesterday"
	for _, i := range s.clock {
		made = made || s.span(i).clock.Now || s.span(i).clock.HasTime || s.ofToday(i)
	}
	thawed := (s.any(cueVerbThaw) || s.saysOf("thawed", "defrosted")) && s.any(cueKeeps) && (len(s.clock) > 0 && !s.clockBy() || s.saysOf("morning", "earlier")) // "thawed at 9, how long are they good"
	if !thawed && (!s.any(cueUseby) || !s.any(cueWent) && !made && s.any(cueKeeps) && !s.any(cueWhen)) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.start(WantUseBy, "time", p)
		if k := len(s.p.spans) - 1; s.any(cueUseby) && !slices.Contains(p.spans, k) && (s.text(k) == "date" || s.text(k) == "dates") { // of the label, no fruit
			r.used[k] = true
		}
		r.consumes = r.consumes.with(cueUseby, cueWent, cueWhen, cueKeeps, cueSetready, cueHowlong, cueVerbChill, cueVerbFreeze, cueVerbThaw)
		if r.q.Place = s.keptIn(); r.q.Place == "" && !thawed {
			r.q.Place = s.coldDone()
		}
		s.usePlace(&r)
		s.useKept(&r)
		s.clockGiven(&r)
		if thawed && !s.any(cueUseby) {
			r.extra--
			if r.q.Clock == nil {
				r.q.Clock = &Clock{HasDay: true}
			}
		}
		out = append(out, r)
	}
	return out
}

// frameLatest: when it must start to be ready in time.
func frameLatest(s *sense) []reading {
	if len(s.clock) == 0 && slices.ContainsFunc(s.cued(cueLatest), s.neededFor) {
		return nil // "curd needed for 30 tarts" asks how much
	}
	place, in := s.goesInFor()
	if s.any(cueHands) || s.saysOf("hands") || s.earliestOut() || s.wentInAt() || s.intoNow() || s.beginsAhead() || s.startWeight() || !in && (s.clockSince() || s.startsThere() || s.runsNow() > 0 && !s.timed()) || s.wentThen() {
		return nil
	}
	steps := s.cues.meets(verbCues) || s.any(cueOven) && s.any(cueWhen)
	backward := s.takenOutFor() || s.clockBy() && steps && !s.any(cueHowmuch, cueHowmany, cueTemp, cueKeeps, cueUnsafe)
	if s.readyFor() {
		backward = true
	}
	if g, ok := s.goal(); (ok && g.clock || s.mustBe() || s.servedAt() && s.any(cueWhen) || s.outAhead()) && !s.any(cueHowmuch, cueHowmany, cueTemp, cueKeeps, cueUnsafe) {
		backward = true
	}
	if !s.any(cueLatest) && !backward && !in && !(len(s.clock) > 0 && s.any(cueSetready) && s.any(cueWhen) && !s.clockAt()) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.start(WantLatest, "plan", p)
		r.consumes = r.consumes.or(verbCues).with(cueLatest, cueSetready, cueWhen, cueHouseService, cueWent, cueHowlong, cuePlan, cueOven)
		if s.outOfOven() >= 0 { // "out of" is no want of anything
			r.consumes = r.consumes.with(cueSwap)
		}
		r.q.Place = s.placeIn()
		r.q.Oven = s.any(cueOven)
		if s.takeGoal(&r); s.mustBeOut() {
			r.q.Goal, r.q.Verbs, r.q.Oven = Goal{After: baked()}, s.outVerbs(), false
		}
		if in {
			r.q.Goal, r.q.Verbs, r.q.Oven, r.q.Place = Goal{Done: true, In: true}, nil, place == "oven", ""
			if place != "oven" {
				r.q.Place = place
			}
		}
		s.usePlace(&r)
		s.useStates(&r)
		s.saidLength(&r)
		s.clockGiven(&r)
		if r.q.Clock == nil || !r.q.Clock.HasTime && r.q.Clock.Service == "" {
			r.extra += 2
		}
		out = append(out, s.sized(r, p)...)
	}
	if len(out) == 0 && backward && len(s.names) == 0 && len(s.quant) == 0 { // "thaw for 18:30 service?" of what?
		r := s.reading(WantLatest, "plan")
		r.consumes = plainCues.or(verbCues).with(cueLatest, cueSetready, cueWhen, cueHouseService, cueWent, cueHowlong)
		r.q.Verbs = s.verbs()
		s.clockGiven(&r)
		r.q.Missing = MissingRecipe
		r.extra += costNoRecipe
		out = append(out, r)
	}
	return out
}

// endsTo reports whether the message ends with "to": "blended up to?" asks to what.
func (s *sense) endsTo() bool { return s.l.tokens[len(s.l.tokens)-1].plain == "to" }

// wentThen reports whether something is told to have gone in at a time that is
// past: "went in cure 20:00 last night, latest out".
func (s *sense) wentThen() bool {
	return s.any(cueWent) && s.saysOf("went", "put", "started") && slices.ContainsFunc(s.clock, func(i int) bool { return s.span(i).clock.HasTime }) &&
		(s.saysOf("yesterday", "earlier") || s.l.says("last", "night") || s.l.says("this", "morning"))
}

// frameRefused: food that stood too long; a change of the book.
func frameRefused(s *sense) []reading {
	var out []reading
	long, held := s.heldFor()
	if s.unsafeSaid() && !s.takenOutFor() && !s.cooksThere() && !s.heldAtWhat() && !s.restsSomewhere() || s.leftOut() || held || s.asksThere() {
		r := s.reading(WantUnsafe, "safety")
		r.consumes = plainCues.or(verbCues).or(sizeCues).with(cueUnsafe, cueKeeps, cueHowlong, cueFree, cueWhen, cueWent, cueSetready, cueCapacity, cueReading, cueOnly, cueContain, cueHowmuch, cueCovers, cuePlating, cueUseby, cueTemp, cueWhere, cuePan, cueNot, cueNo, cueSwap, cueRescue, cueOven, cueHowmany, cueVerbOut)
		for i := range s.p.spans {
			if k := s.span(i).kind; k == spanName || k == spanQuantity || k == spanClock {
				r.used[i] = true
			}
		}
		for _, p := range s.picks() {
			if !p.talk && len(r.q.Targets) == 0 {
				r.q.Targets = slices.Clone(p.targets)
			}
		}
		r.extra = -2
		var may []reading
		if s.mayStand() || s.asksThere() {
			one := r.clone()
			one.q.Targets = nil
			may = s.stoodAsked(one)
		}
		if held {
			may = s.stoodAsked(r)
			for i := range may {
				may[i].q.Stands, may[i].q.Ago = false, long
				s.clockGiven(&may[i])
			}
		}
		if out = append(out, may...); len(may) == 0 {
			out = append(out, r)
		}
	}
	book := s.ordersBook()
	order := s.imperative() || s.becomes() || book
	if (s.any(cueChange) || order || s.removal()) && !s.putInstead() && !s.goesDownTo() && !s.asksReading() && !(len(s.quant) > 0 && s.resizesIt(s.quant[len(s.quant)-1])) && !(len(s.quant) == 0 && s.l.says("up", "to") && s.endsTo()) {
		for _, p := range s.picks() {
			if s.removal() && !order && !s.any(cueChange) && !s.namesLineOf(p) {
				continue
			}
			r := s.start(WantChange, "change", p)
			r.consumes = r.consumes.with(cueChange, cueYield, cueOnebatch, cueCard)
			if order || s.removal() {
				r.consumes = r.consumes.with(cueVerbSet, cueWithout)
				r.extra -= 3
			}
			if book {
				r.consumes = r.consumes.with(cueRescue, cueContain, cueUses, cueThat, cueKeeps, cueWhere)
				r.extra -= 4
			}
			for i := range s.p.spans {
				sp := s.span(i)
				switch {
				case r.used[i]:
				case sp.kind == spanQuantity && sp.q.Hi != nil && s.before(i) != "from": // no one value
				case sp.kind == spanQuantity && sp.q.Q.Unit.Symbol == "" && s.before(i) == "for": // "note down the sugar for 3 domes"
				case sp.kind == spanQuantity:
					r.used[i] = true
					r.q.Quantities = append(r.q.Quantities, sp.q.Q)
					if sp.q.Hi != nil { // "from 4 to 5 g"
						r.q.Quantities = append(r.q.Quantities, *sp.q.Hi)
					}
				case sp.kind == spanName:
					if it, ok := s.item(i); ok {
						r.used[i] = true
						r.q.Items = append(r.q.Items, it)
					}
				}
			}
			out = append(out, r)
		}
	}
	return out
}

// takenOutFor reports whether it is asked when to take something out for a
// service: "when do the domes come out of the freezer for dinner".
func (s *sense) takenOutFor() bool {
	return s.any(cueWhen) && s.saysOf("out") && !s.saysOf("left", "overnight", "since") && (s.clockBy() || s.servedAt() || s.saysOf("service", "dinner", "lunch"))
}

// cooksThere reports whether "on the stove" says no more than where something is
// being cooked: "stock on the stove since 9, when can I strain it".
func (s *sense) cooksThere() bool {
	if !s.any(cueTimer, cueVerbCook, cueReduce, cueLatest, cueSetready, cueVerbStrain, cueStir) || s.saysOf("left", "leave", "forgot", "overnight", "night", "still", "ok", "okay", "safe", "good", "off", "serve", "yesterday", "all", "sat", "stood", "been") {
		return false
	}
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.has(cueUnsafe) && s.l.tokens[sp.to-1].plain != "stove" {
			return false
		}
	}
	return true
}

// leftOut reports whether somebody asks to leave a recipe out of the cold: "can
// I leave the ganache out". How long one may be out, and leaving something out
// of a recipe, are other questions.
func (s *sense) leftOut() bool {
	if s.any(cueHowlong, cueWithout) || s.any(cueVerbOut) && len(s.quant) == 0 {
		return false
	}
	for _, i := range s.quant { // "for 2 hours"
		if s.span(i).kind != spanQuantity || s.span(i).q.Q.Unit.Dim != quantity.Time {
			return false
		}
	}
	at := -1
	for i, t := range s.l.tokens {
		switch t.plain {
		case "leave", "leaving", "left", "keep", "keeping":
			at = i
		case "out":
			if at < 0 || i-at > 6 || i+1 < len(s.l.tokens) && s.l.tokens[i+1].plain == "of" {
				continue
			}
			for _, k := range s.names {
				if sp := s.span(k); sp.from > at && sp.to <= i && s.l.recipeAt(sp) && !s.l.ingredientAt(sp) {
					return true
				}
			}
		}
	}
	return false
}

// imperative reports whether the message is an order to change the book: "set
// mayo mustard to 30 g", "add 2 g salt to the crumble", "make the sugar in the
// cordial 850 g".
func (s *sense) imperative() bool {
	if len(s.l.tokens) < 4 || len(s.quant) == 0 || len(s.names) == 0 {
		return false
	}
	verb, supposed := "", false
	for k := 0; k < min(6, len(s.l.tokens)); k++ {
		switch w := s.l.tokens[k].plain; w {
		case "set", "add", "remove", "delete", "put", "update", "adjust", "change", "raise", "lower", "increase", "decrease", "cut", "bump", "drop", "make", "write", "note", "enter":
			verb = w
		case "pls", "please", "chef", "can", "could", "you", "u", "lets", "hey", "ok", "we":
			continue
		case "if", "should", "suppose", "i", "what", "whatif": // "if i put the sugar to 80 g": shown as the change that it would be
			supposed = supposed || w == "if" || w == "should" || w == "suppose"
			continue
		case "happens", "about":
			if k == 1 {
				continue
			}
		}
		break
	}
	if verb == "" {
		return false
	}
	last := s.quant[len(s.quant)-1]
	if verb == "cut" && s.cutsBatch(last) || s.resizesIt(last) {
		return false
	}
	if supposed && (verb == "add" || verb == "make" || verb == "write" || verb == "note" || verb == "enter" || s.before(last) != "to" || len(s.quant) != 1) {
		return false
	}
	if verb == "write" || verb == "note" || verb == "enter" { // "write 230 g butter in the crumble": a line of the book, no size
		sp := s.span(last)
		return sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Mass && len(s.quant) == 1 && len(s.names) > 1 && len(s.clock) == 0 && !s.any(cueHowmuch, cueHowmany, cueUseby, cueOnly, cueReading, cueCard, cueCovers)
	}
	end := s.l.tokens[len(s.l.tokens)-1].plain
	atEnd := s.span(last).to == len(s.l.tokens) || s.span(last).to == len(s.l.tokens)-1 && (end == "please" || end == "pls" || end == "chef" || end == "thanks")
	if s.span(last).kind == spanQuantity && s.span(last).q.Q.Unit.Dim == quantity.Mass && verb != "make" {
		if at := s.prev(last); at > s.names[0] && s.span(at).kind == spanName { // "set the roll salt 11 g"
			return true
		}
	}
	if verb == "make" { // "make 850 g cordial" is a size
		for _, t := range s.l.tokens[s.span(last).to:] {
			switch t.plain {
			case "from", "tonight", "today", "now", "on", "in", "the", "tomorrow", "please", "pls", "recipe", "book":
			default:
				return false
			}
			atEnd = true
		}
		return atEnd && len(s.names) >= 2 && s.names[0] < last
	}
	for _, t := range s.l.tokens[1:] {
		if t.plain == "to" || t.plain == "from" || t.plain == "at" {
			return true
		}
	}
	return false
}

// becomes reads "roll salt to 10 g": a line and what it is to be.
func (s *sense) becomes() bool {
	if len(s.quant) != 1 || len(s.names) < 2 || s.any(cueReduce, cueRescale, cueHowmuch, cueHowmany, cueLose, cueBrixword) {
		return false
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Mass || s.before(i) != "to" && s.before(i) != "becomes" && s.before(i) != "become" {
		return false
	}
	for k := len(s.names) - 1; k > 0; k-- {
		if n := s.span(s.names[k]); n.to == sp.from-1 {
			return s.l.ingredientAt(n) && !s.l.exactRecipe(n.from, n.to)
		}
	}
	return false
}

// removal reads "remove the anchovy from the terrine".
func (s *sense) removal() bool {
	if len(s.names) < 2 || len(s.quant) > 0 {
		return false
	}
	for k := range min(3, len(s.l.tokens)) {
		switch s.l.tokens[k].plain {
		case "remove", "delete", "scrap", "drop", "take", "strike":
			for _, t := range s.l.tokens[k+1:] {
				if t.plain == "from" || t.plain == "out" {
					return true
				}
			}
			return false
		case "pls", "please", "chef", "can", "could", "you", "u", "lets":
		default:
			return false
		}
	}
	return false
}

// namesLineOf reports whether another name is a line of the pick's recipe.
func (s *sense) namesLineOf(p pick) bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		if slices.Contains(p.spans, i) || len(p.targets) != 1 {
			return false
		}
		it, ok := s.item(i)
		if !ok {
			return false
		}
		lines, _ := it.Matches(p.targets[0].Recipe)
		return len(lines) > 0
	})
}

// spans are the times that the message gives: how long ago something went in,
// and how long something is to run.
func (s *sense) spans() (ago, long *quantity.Quantity) {
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Time || sp.q.Ambiguous != nil {
			continue
		}
		if s.after(i) == "ago" {
			ago = &sp.q.Q
		} else {
			long = &sp.q.Q
		}
	}
	return ago, long
}

// soFar is the time that something has run already, −1 where none is told: "resting
// for 7 hours, when can I churn", "freezing since 15 min".
func (s *sense) soFar() int {
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Time || sp.q.Ambiguous != nil || sp.from < 2 || s.l.tokens[sp.from].breaks {
			continue
		}
		w := s.l.tokens[sp.from-2].plain
		switch s.l.tokens[sp.from-1].plain {
		case "since":
			return i
		case "for":
			if isVerb(&s.l.tokens[sp.from-2]) && (strings.HasSuffix(w, "ing") || isPast(w)) || s.saysOf("been") {
				return i
			}
		}
	}
	return -1
}

// useSpans uses those times up.
func (s *sense) useSpans(r *reading) {
	for _, i := range s.quant {
		if sp := s.span(i); sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time {
			r.used[i] = true
			if s.after(i) == "ago" && s.span(i+1).kind == spanUnused {
				r.used[i+1] = true
			}
		}
	}
}

// clockAt reports whether a time of day is given as when something began: "at
// 14:50", "since 9", not "for 18:30" or "by 6".
func (s *sense) clockAt() bool {
	for _, i := range s.clock {
		sp := s.span(i)
		if !sp.clock.HasTime {
			continue
		}
		for k := sp.from; k >= max(0, sp.from-1); k-- {
			switch s.l.tokens[k].plain {
			case "on":
				if k < sp.from && !s.startedOn(k) {
					continue
				}
				return !s.any(cueLatest)
			case "at", "since", "from", "um", "seit", "depuis", "desde", "dalle", "alle":
				return !s.any(cueLatest) || s.startsThere()
			}
		}
	}
	return false
}

// clockSince reports whether a number says since when something runs.
func (s *sense) clockSince() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		if w := s.l.tokens[k-1].plain; s.l.tokens[k].number && !s.l.tokens[k].breaks && (w == "since" || w == "from" && (k < 2 || s.l.tokens[k-2].plain != "back")) {
			return true
		}
	}
	return false
}

// clockBy reports whether a time of day is given as when something must be done: "by 15:30".
func (s *sense) clockBy() bool {
	for _, i := range s.clock {
		sp := s.span(i)
		if !sp.clock.HasTime {
			continue
		}
		from := sp.from
		if i > 0 && s.span(i-1).kind == spanClock && !s.span(i-1).clock.HasTime && !s.l.tokens[from].breaks { // "for tomorrow 19:00"
			from = s.span(i - 1).from
		}
		for from > 0 && !s.l.tokens[from].breaks && slices.Contains([]string{"service", "dinner", "lunch", "the", "our"}, s.l.tokens[from-1].plain) { // "for dinner service 19:00"
			from--
		}
		for k := from; k >= max(0, from-1); k-- {
			switch s.l.tokens[k].plain {
			case "by", "for", "before", "bis", "avant", "antes":
				return true
			}
		}
	}
	return false
}

// doneFor reports whether something is to be so for a bare number, which may be an
// hour or guests: "thawed for 7 tonight".
func (s *sense) doneFor() bool {
	for k := 2; k < len(s.l.tokens); k++ {
		if t := &s.l.tokens[k]; t.number && !t.breaks && s.l.tokens[k-1].plain == "for" && isPast(s.l.tokens[k-2].plain) && isVerb(&s.l.tokens[k-2]) && !s.any(cueWent) {
			u := s.spanAt(k)
			return s.span(u).kind != spanQuantity || s.span(u).q.Q.Unit.Dim == quantity.None
		}
	}
	return false
}

// servedAt reports whether a time of day is when something is served: "on plates at 19:00".
func (s *sense) servedAt() bool {
	for _, i := range s.clock {
		f := s.span(i).from
		if !s.span(i).clock.HasTime || f < 2 || s.l.tokens[f-1].plain != "at" {
			continue
		}
		switch s.l.tokens[f-2].plain {
		case "plate", "plates", "plated", "plating", "served", "serve", "serving", "table", "pass", "service", "up":
			return true
		}
	}
	return false
}

// reminder is what a timer is to remind of, as written: "check the oven".
func (s *sense) reminder() string {
	for k := 0; k+1 < len(s.l.tokens); k++ {
		if s.l.tokens[k].plain != "to" || s.l.tokens[k+1].number {
			continue
		}
		to := len(s.l.tokens)
		for i := range s.p.spans { // up to the time
			if sp := s.span(i); sp.from > k && sp.from < to && (sp.kind == spanClock && !sp.clock.Now || sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time) {
				to = sp.from
			}
		}
		for to > k+1 {
			switch s.l.tokens[to-1].plain {
			case "at", "in", "by", "on", "around", "for", "after":
				to--
				continue
			}
			break
		}
		if to > k+1 {
			return s.l.text[s.l.tokens[k+1].start:s.l.tokens[to-1].end]
		}
		return ""
	}
	return ""
}
