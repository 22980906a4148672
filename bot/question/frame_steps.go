package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// verbCues are the words of steps.
var verbCues = cueSet{}.with(cueVerbBake, cueVerbCook, cueVerbSet, cueVerbChill, cueVerbFreeze, cueVerbThaw, cueVerbRest, cueVerbProof, cueVerbChurn,
	cueVerbInfuse, cueVerbDry, cueVerbCure, cueVerbWhip, cueVerbHold, cueVerbStrain, cueVerbOut)

// verbGroups: the verbs of a book that a word of cooks may mean, the nearest first.
var verbGroups = map[cue][]string{
	cueVerbBake:   {"bake", "roast", "dry"},
	cueVerbCook:   {"cook", "boil", "simmer", "poach", "fry", "steam", "braise", "reduce", "caramelise", "heat", "melt", "toast", "temper", "confit", "grill", "sear", "warm", "scald", "bake", "roast", "cure", "pasteurise", "sweat", "blanch", "saute", "reheat"},
	cueVerbSet:    {"set", "chill", "rest"},
	cueVerbChill:  {"chill", "cool", "rest", "set", "refrigerate"},
	cueVerbFreeze: {"freeze", "harden"},
	cueVerbThaw:   {"thaw", "temper", "defrost"},
	cueVerbRest:   {"rest", "stand", "mature", "age", "chill", "proof", "set"},
	cueVerbProof:  {"proof", "prove", "ferment", "retard", "rise", "rest"},
	cueVerbChurn:  {"churn", "freeze"},
	cueVerbInfuse: {"infuse", "steep", "hydrate", "soak", "macerate"},
	cueVerbDry:    {"dry", "dehydrate", "bake"},
	cueVerbCure:   {"cure", "brine", "marinate", "pickle"},
	cueVerbWhip:   {"whip", "whisk", "beat", "knead", "mix", "blend"},
	cueVerbHold:   {"hold"},
	cueVerbStrain: {"strain", "drain", "hang", "press"},
	cueVerbOut:    {"thaw", "temper"},
}

// Verbs of the words in the message: first the words themselves, folded to
// their stem by the word files, then the verbs they may mean.
func (s *sense) verbs() []string { return s.verbsOf(func(int) bool { return true }) }

// verbsOf are the verbs of the spans that fit.
func (s *sense) verbsOf(fits func(i int) bool) []string {
	var out []string
	add := func(v string) {
		if !slices.Contains(out, v) {
			out = append(out, v)
		}
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.meets(verbCues) || !fits(i) || s.setsTimer(i) || s.comesBackOut(i) {
			continue
		}
		if s.leftCold(i) { // "came out of the freezer at 9, when ready"
			if s.any(cueVerbThaw) {
				continue
			}
			sp = &span{kind: spanCue, from: sp.from, to: sp.to, cues: cueSet{}.with(cueVerbThaw)}
		}
		// the very verb first
		for k := sp.from; k < sp.to; k++ {
			for _, st := range stems(s.l.tokens[k].plain) {
				sp.cues.each(func(c cue) {
					if slices.Contains(verbGroups[c], st) {
						add(st)
					}
				})
			}
		}
		sp.cues.each(func(c cue) {
			for _, v := range verbGroups[c] {
				add(v)
			}
		})
	}
	return out
}

// leftCold reports whether the freezer of span i is one that something came out of.
func (s *sense) leftCold(i int) bool {
	sp := s.span(i)
	if !sp.cues.has(cueVerbFreeze) || sp.to != sp.from+1 || s.l.tokens[sp.from].fold != "freezer" {
		return false
	}
	k := sp.from - 1
	for k >= 0 && (isArticle(s.l.tokens[k].plain) || s.l.tokens[k].plain == "of" || s.l.tokens[k].plain == "from" || s.l.tokens[k].plain == "blast") {
		k--
	}
	return k >= 0 && k < sp.from-1 && slices.Contains([]string{"out", "outta", "taken", "took", "came", "pulled"}, s.l.tokens[k].plain)
}

// comesBackOut reports whether the "come out" of span i is of what is told to have
// gone in, and no thawing: "tarts went in at 8:40 when do they come out".
func (s *sense) comesBackOut(i int) bool {
	sp := s.span(i)
	if !sp.cues.has(cueVerbThaw) || sp.to-sp.from != 2 || s.l.tokens[sp.to-1].plain != "out" || !strings.HasPrefix(s.l.tokens[sp.from].plain, "c") {
		return false
	}
	return s.any(cueWent) || s.hears("in") && s.clockAt()
}

// setsTimer reports whether the "set" of span i is what is done with a timer, no
// step: "brioche in, set me a timer", "set one up".
func (s *sense) setsTimer(i int) bool {
	sp := s.span(i)
	if s.l.tokens[sp.from].plain != "set" || sp.to != sp.from+1 {
		return false
	}
	set := false
	for k := sp.to; k < len(s.l.tokens) && k < sp.to+5 && !s.l.tokens[k].breaks; k++ {
		switch w := s.l.tokens[k].plain; w {
		case "me", "us", "my":
			set = true
		case "timer", "timers", "alarm", "reminder", "clock", "countdown":
			return true
		case "a", "an", "the", "one", "another", "up", "off", "new", "kitchen", "that":
		default:
			return set && s.any(cueTimer)
		}
	}
	return set && s.any(cueTimer)
}

// stems are the verbs that a word may be a form of.
func stems(w string) []string {
	out := []string{w}
	cut := func(suffix string, add ...string) {
		if len(w) > len(suffix)+2 && w[len(w)-len(suffix):] == suffix {
			base := w[:len(w)-len(suffix)]
			for _, a := range add {
				out = append(out, base+a)
			}
			if n := len(base); n > 2 && base[n-1] == base[n-2] {
				out = append(out, base[:n-1])
			}
		}
	}
	cut("ing", "", "e")
	cut("ed", "", "e")
	cut("s", "")
	switch w {
	case "frozen", "froze":
		out = append(out, "freeze")
	case "beaten":
		out = append(out, "beat")
	case "spun":
		out = append(out, "churn")
	case "rise", "risen":
		out = append(out, "proof")
	case "hung":
		out = append(out, "hang")
	case "held":
		out = append(out, "hold")
	}
	return out
}

// frameSteps: times and temperatures of the book.
func frameSteps(s *sense) []reading {
	to := (s.asksTo() || s.takesTo()) && !s.any(cueHowlong, cueTemp, cueOven, cueCore, cueStir, cueReduce)
	stands := s.outLimit() || s.any(cueHowlong) && s.outOfFridge() && s.any(cueKeeps)
	bare := !s.any(cueHowlong, cueTemp, cueOven, cueCore, cueStir, cueHands) && !to && !stands
	if bare && !s.cues.meets(verbCues) {
		return nil
	}
	aim, aimed := s.goal()
	aimed = aimed && aim.word == "before" && s.any(cueHowlong)
	until := s.untilState()
	var out []reading
	for _, p := range s.picks() {
		about := "time"
		r := s.start(WantSteps, about, p)
		r.q.Temp = to || s.any(cueTemp, cueCore) || s.any(cueOven) && !s.any(cueHowlong)
		r.q.Time = s.any(cueHowlong, cueHands) || !r.q.Temp && s.any(cueWhen)
		r.q.Oven = s.any(cueOven)
		r.q.Core = s.any(cueCore)
		if s.any(cueOven) && s.any(cueHowlong) && s.ovenAnd() { // "oven and mins"
			r.q.Temp = true
		}
		if s.any(cueOven) && !s.any(cueTemp, cueCore, cueHowlong) { // the oven is where it is, or at what: nothing else may be asked
			switch {
			case s.any(cueStir):
				r.q.Temp, r.q.Time = false, true
			case s.any(cueTimer, cueSetready, cueWhen, cueWent, cueHowmany, cueHowmuch), s.opensYesNo() && !s.saysOf("at"):
				r.extra += 6
			}
		}
		if r.q.Temp && !r.q.Time {
			r.q.About = "lookup"
		}
		if r.q.Temp && !r.q.Time && s.asksMinutes() { // "temp and mins"
			r.q.Time = true
		}
		if s.any(cueStir) && !r.q.Temp && !r.q.Time {
			r.q.Time = true
		}
		if s.saysOf("cores") && sizedAny(r.q.Targets) || s.saysOf("cores") && len(s.quant) > 0 { // "cores for 60 parfaits" are things
			r.extra += 9
		}
		if bare && s.any(cueMost) && s.saysOf("longest", "shortest", "maximum", "minimum", "max", "min", "most", "least") && s.cues.meets(verbCues) { // "longest the trout can cure"
			r.q.Time = true
		} else if bare && !s.any(cueWhen) { // "tartar sauce rest", "bake the tuile at"
			r.extra += 5
			r.q.Guessed = true
			if p.talk && s.namesLine() { // "and the gel?" of the plates just listed
				r.extra += 6
			}
			if s.ends("to") || s.ends("it", "to") {
				r.extra -= 2 // "boil it to ?"
			}
			if s.ends("at") || s.ends("to") || s.ends("at", "what") || s.ends("to", "what") {
				r.q.Temp = true
			} else {
				r.q.Time = true
			}
			if len(s.quant) > 0 {
				r.extra += 4
			}
		}
		if s.ends("at", "least") || s.ends("at", "most") { // the book's own bounds are told anyway
			r.consumes = r.consumes.with(cueMost, cueKeeps)
		}
		for i := range s.p.spans { // "how long max"
			if sp := s.span(i); sp.kind == spanUnused && s.any(cueHowlong) && slices.Contains([]string{"max", "maximum", "min", "minimum", "longest", "shortest"}, s.l.tokens[sp.from].plain) {
				r.used[i] = true
			}
		}
		if r.q.Verbs = s.verbs(); aimed { // "how long before I bake": of what comes first
			r.q.Goal.Verbs = s.verbsOf(func(i int) bool { return i == aim.at })
			r.q.Verbs = s.verbsOf(func(i int) bool { return i != aim.at })
			if s.span(aim.at).cues.has(cueOven) {
				r.q.Goal.Verbs, r.q.Oven = baked(), false
			}
		}
		if until != nil { // "how long in the fridge before it is set": of that step
			r.q.Verbs, r.q.Goal = until, Goal{Done: true}
			s.useStates(&r)
			for i := range s.p.spans {
				r.used[i] = r.used[i] || s.span(i).kind == spanUnused && states[s.l.tokens[s.span(i).from].plain] != nil
			}
			r.consumes = r.consumes.with(cueKeeps, cueMost)
			r.extra -= 2
		}
		if s.saysOf("pasteurise", "pasteurize", "pasteurising", "pasteurizing", "pasteurisation", "pasteurization") { // baking is none
			r.q.Verbs = []string{"pasteurise", "cook", "heat", "simmer", "boil"}
		}
		if s.saysOf("ago") { // when it is ready, not how long it takes
			r.extra += 4
		}
		if s.any(cueReduce) && s.any(cueHowlong) && !s.any(cueReading, cueLose, cueTare) { // "how long to reduce the jus"
			r.q.Verbs = append([]string{"reduce"}, r.q.Verbs...)
			r.consumes = r.consumes.with(cueReduce)
		}
		if s.any(cueHowlong) && s.afterOven() { // "rest after the oven": it is out of it
			r.q.Oven = false
		}
		r.q.Place = s.place()
		if stands || s.any(cueVerbOut, cueVerbThaw) {
			r.q.Place = s.placeIn()
		}
		if there := s.restsThere(p.targets[0].Recipe); there != "" && !stands {
			r.q.Place, r.q.Oven, r.q.Temp, r.q.Time = there, false, false, true
			r.consumes = r.consumes.with(cueUnsafe, cueOven)
		}
		if stands {
			r.q.Time, r.q.Temp, r.q.Stands = true, false, true
			r.consumes = r.consumes.with(cueMost, cueKeeps, cueUnsafe, cuePlating)
		}
		s.usePlace(&r)
		if s.mustFreeze() {
			r.q.Place = ""
		}
		if r.q.Time && s.inHeat() { // "how long do they stay in the bath"
			r.consumes = r.consumes.with(cueKeeps)
			if s.saysOf("bath", "waterbath") {
				r.q.Place = "bath"
			}
		}
		for _, i := range s.allergens { // "for the nuts in the praline"
			if it, ok := s.nutsAt(i); ok && !r.used[i] && len(r.q.Targets) == 1 {
				if m, _ := it.match(r.q.Targets[0].Recipe); m != noMatch {
					r.used[i] = true
				}
			}
		}
		for _, i := range s.names {
			if t := s.thingOf(i, kb.PanName, kb.MouldName); t != nil && !r.used[i] && len(r.q.Targets) == 1 && usesVessel(r.q.Targets[0].Recipe, t.Text) { // "cornbread in the skillet 12, temp"
				r.used[i] = true
			}
			if t := s.thingOf(i, kb.MachineName); t != nil && !r.used[i] {
				r.used[i] = true
				if until == nil {
					r.q.Oven = r.q.Oven || t.Text == "oven"
					r.q.Thing = t
				}
			}
		}
		r.consumes = r.consumes.or(verbCues).with(cueHowlong, cueTemp, cueOven, cueCore, cueStir, cueOnebatch, cueSetready, cueMost)
		if s.any(cueHands) {
			r.consumes = r.consumes.with(cueHands, cueHowmuch, cueHowmany, cueTotal)
		}
		if p.talk && s.saysOf("run", "runs", "running", "set") && s.written(kb.ColdName) != nil {
			r.extra += 6 // "the blast freezer runs at what temp": it, not what is in it
		}
		if s.any(cueWhen) && r.q.Time && !s.any(cueHowlong) {
			r.extra += 3
			r.consumes = r.consumes.with(cueWhen)
		}
		if i, kind := s.offMachine(); r.q.Temp && !r.q.Time && kind != nil && r.q.Thing == nil {
			r.q.Thing, r.used[i] = kind, true
			r.consumes = r.consumes.with(cueYield)
		}
		if s.takesTo() {
			r.consumes = r.consumes.with(cueModifier, cueLose)
			if s.takesWhat() && goesToMass(r.q.Targets[0].Recipe) {
				r.extra += 4 // that is taken to a weight
			}
		}
		s.dropTimes(&r)
		s.unitTemp(&r)
		s.sameStep(&r, p)
		s.atTemp(&r)
		s.mustStay(&r)
		for _, i := range s.quant { // "hold time at 83"
			if sp := s.span(i); !r.used[i] && sp.kind == spanQuantity && sp.q.Q.Unit.Symbol == "" && s.before(i) == "at" && quantity.Int(30).Less(sp.q.Q.N) && s.cues.meets(verbCues) {
				r.used[i] = true
			}
		}
		s.takeHeated(&r)
		s.absorb(&r)
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// afterOven reports whether a waiting verb is asked of what has come out of the oven.
func (s *sense) afterOven() bool {
	if !s.any(cueVerbRest, cueVerbChill, cueVerbSet) || s.any(cueVerbBake) {
		return false
	}
	t := s.l.tokens
	for k := range t {
		if w := t[k].plain; w != "oven" && w != "ovens" {
			continue
		}
		j := k - 1
		for j >= 0 && !t[j+1].breaks && slices.Contains([]string{"the", "hot", "deck", "combi", "of"}, t[j].plain) {
			j--
		}
		if j >= 0 && !t[j+1].breaks && slices.Contains([]string{"after", "out", "from", "off"}, t[j].plain) {
			return true
		}
	}
	return false
}

// outLimit reads "never-over limit out of the freezer", "max time out": the longest
// that something may be out of the cold.
func (s *sense) outLimit() bool {
	if !s.saysOf("limit", "limits", "maximum", "max", "longest", "never", "most") || len(s.quant)+len(s.clock) > 0 || s.any(cueTemp, cueWent, cueSwap, cueUses, cueYield, cueBatch, cueOnebatch, cueHowmuch, cueHowmany, cuePiece) {
		return false
	}
	t := s.l.tokens
	for k := range t {
		switch {
		case t[k].plain == "outside":
			return true
		case t[k].plain == "out": // "out of one batch" is of no time
			return k+1 == len(t) || t[k+1].breaks || t[k+1].plain != "of" && t[k+1].plain != "from" || s.place() != "" && s.placeIn() == ""
		}
	}
	return false
}

// offMachine reads "come off the mixer", "out of the mixer": a kind of machine
// that the house has, where no one of them is named.
func (s *sense) offMachine() (span int, kind *kb.Name) {
	for _, i := range s.names {
		sp := s.span(i)
		if w := s.before(i); sp.to != sp.from+1 || w != "the" && w != "off" && w != "of" {
			continue
		}
		if k := sp.from; !slices.ContainsFunc(s.l.tokens[max(0, k-3):k], func(t token) bool {
			return t.plain == "off" || t.plain == "out" || t.plain == "leave" || t.plain == "leaves"
		}) {
			continue
		}
		w := s.l.tokens[sp.from].fold
		for _, h := range sp.names {
			if e := &s.l.x.entries[h.id]; e.Kind == kb.MachineName && h.part && strings.HasSuffix(e.Fold, " "+w) {
				return i, &kb.Name{Text: w, Fold: w, Kind: kb.MachineName}
			}
		}
	}
	return 0, nil
}

// takesTo reads "how dark do we take the sugar", "how hot do i boil it": up to
// where something is heated.
func (s *sense) takesTo() bool {
	t := s.l.tokens
	if s.takesWhat() {
		return true
	}
	for k := 0; k+2 < len(t); k++ {
		if t[k].plain != "how" || t[k+1].plain != "dark" && t[k+1].plain != "brown" {
			continue
		}
		for j := k + 2; j < min(len(t), k+6) && !t[j].breaks; j++ {
			switch t[j].plain {
			case "take", "taking", "took", "taken", "cook", "cooked", "boil", "caramelise", "caramelize", "push", "go", "bring":
				return true
			}
		}
	}
	return false
}

// takesWhat reads "what do i take it to", "take the syrup to what".
func (s *sense) takesWhat() bool {
	t := s.l.tokens
	for k := range t {
		switch t[k].plain {
		case "take", "takes", "taking", "bring", "cook", "boil", "heat", "get":
		default:
			continue
		}
		for j := k + 1; j < len(t) && !t[j].breaks; j++ {
			if t[j].plain != "to" && t[j].plain != "too" {
				continue
			}
			if end := j+1 == len(t) || t[j+1].breaks; !end {
				return t[j+1].plain == "what" && (j+2 == len(t) || t[j+2].breaks)
			}
			return slices.ContainsFunc(t[:k], func(t token) bool { return t.plain == "what" || t.plain == "whats" })
		}
	}
	return false
}

// usesVessel reports whether a step of the recipe is done in that pan or mould.
func usesVessel(r *kb.Recipe, vessel string) bool {
	return r != nil && slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return name.Fold(st.In) == name.Fold(vessel) })
}

// goesToMass reports whether a recipe is taken down to a weight.
func goesToMass(r *kb.Recipe) bool {
	return r != nil && slices.ContainsFunc(r.Method, func(st recipe.Step) bool {
		return name.Fold(st.Verb) == "reduce" && takesDown(&st)
	})
}

// opensYesNo reports whether the message begins as a question that is answered by
// yes or no: "are the buns in the oven".
func (s *sense) opensYesNo() bool {
	switch s.l.tokens[0].plain {
	case "is", "are", "did", "do", "does", "have", "has", "were", "was", "can", "could":
		return true
	}
	return false
}

// asksMinutes reports whether minutes are asked for beside a temperature.
func (s *sense) asksMinutes() bool {
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		switch t.plain {
		case "min", "mins", "minutes", "minutos", "minuti", "minuten", "time", "tiempo", "temps", "tempo", "zeit", "long":
			return t.plain != "temps" && t.plain != "tempo" // temperatures, in English
		}
		return false
	})
}

// mustFreeze reports whether it is asked how long something has to be in the
// freezer, not how long it may.
func (s *sense) mustFreeze() bool {
	return slices.ContainsFunc(s.p.spans, func(sp span) bool {
		if sp.kind != spanCue || !sp.cues.has(cueVerbFreeze) {
			return false
		}
		switch s.l.tokens[sp.from].plain {
		case "need", "needs", "must", "has", "have":
			return true
		}
		return false
	})
}

// absorb passes over the names of the recipe's own lines: "what do I take the sugar to".
func (s *sense) absorb(r *reading) {
	for _, i := range s.names {
		if r.used[i] {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		for _, t := range r.q.Targets {
			if m, _ := it.match(t.Recipe); m != noMatch {
				r.used[i] = true
				r.extra++
				break
			}
		}
	}
}

// unitTemp takes "in fahrenheit".
func (s *sense) unitTemp(r *reading) {
	if !r.q.HasUnit {
		s.unit(r)
	}
}

// trailing are words behind a question that ask nothing.
var trailing = []string{"again", "please", "pls", "plz", "thanks", "thx", "ta", "chef", "mate", "pal", "now"}

// ends reports whether the message ends in those words.
func (s *sense) ends(words ...string) bool {
	n := len(s.l.tokens)
	for n > len(words) && slices.Contains(trailing, s.l.tokens[n-1].plain) {
		n--
	}
	if n -= len(words); n < 0 {
		return false
	}
	for i, w := range words {
		if s.l.tokens[n+i].plain != w {
			return false
		}
	}
	return true
}

// ovenAnd reports whether the oven is the first of two things asked: "oven + mins".
func (s *sense) ovenAnd() bool {
	for k := 0; k+2 < len(s.l.tokens); k++ {
		if s.l.tokens[k].plain == "oven" && (andWord(s.l.tokens[k+1].plain) || s.l.tokens[k+1].plain == "+") {
			return true
		}
	}
	for i := range s.p.spans { // "oven for the sablé + minutes"
		if sp := s.span(i); sp.kind == spanCue && sp.cues.has(cueHowlong) && i > 0 && s.any(cueOven) {
			if w := s.l.tokens[sp.from-1].plain; andWord(w) || w == "+" || w == "plus" || w == "with" {
				return true
			}
		}
	}
	return false
}

// namesLine reports whether a word for a step is a word of a line of the recipe of the talk.
func (s *sense) namesLine() bool {
	if s.ctx == nil || s.ctx.Last == nil {
		return false
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.meets(verbCues) || sp.to != sp.from+1 {
			continue
		}
		for _, t := range s.ctx.Last.Targets {
			if t.Recipe != nil && slices.ContainsFunc(t.Recipe.Lines, func(l kb.Line) bool { return hasWord(l.Fold, s.l.tokens[sp.from].fold) }) {
				return true
			}
		}
	}
	return false
}

// inStep takes a word that only one step of the recipe holds for that step, where
// no step is told by its verb: "terrine in the bath 10 min ago, when out".
func (s *sense) inStep(i int, q *Question) bool {
	if !ofTime(q.Want) && q.Want != WantSteps || len(q.Targets) != 1 || q.Targets[0].Recipe == nil {
		return false
	}
	if !s.any(cueWhen, cueLatest, cueHowlong, cueSetready, cueWent) && len(s.clock) == 0 {
		return false // "sugar in the sorbet" after a time was asked
	}
	word := name.Singular(s.text(i))
	if len(word) < 4 || s.inRecipeName(word) {
		return false
	}
	var verb string
	told := false
	for _, st := range q.Targets[0].Recipe.Method {
		told = told || slices.Contains(q.Verbs, st.Verb)
		if !slices.ContainsFunc(name.Words(st.Words), func(w string) bool { return name.Singular(w) == word }) && (len(st.Verb) < 4 || !strings.HasPrefix(word, st.Verb)) { // "the soaker" of "soak"
			continue
		}
		if verb != "" {
			return false
		}
		verb = st.Verb
	}
	if verb == "" || told && !slices.Contains(q.Verbs, verb) || !told && q.Want == WantSteps {
		return false
	}
	q.Verbs = []string{verb}
	return true
}

// inRecipeName reports whether a name of some recipe holds a word.
func (s *sense) inRecipeName(word string) bool {
	return slices.ContainsFunc(s.l.x.byWord[word], func(id int32) bool { return s.l.x.entries[id].Recipe != nil })
}
