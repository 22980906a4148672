package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
)

// frameKeeps: how long it keeps.
func frameKeeps(s *sense) []reading {
	thawed := s.thawed()
	good := s.any(cueHowlong) && (s.ends("good") || s.ends("good", "for") || thawed && (s.saysOf("good", "fine", "ok", "usable", "okay") || s.thawedThing())) // "how long is mayo good"
	hold := s.holdsCold()
	day, onDay := s.onDay()
	onDay = onDay && s.l.stood("fit") && !s.unsafeSaid()
	good = good || hold || onDay || s.goodHowLong()
	if !s.any(cueKeeps) && !good && !s.any(cueHowlong) {
		return nil
	}
	if s.asksUntil() || s.outOfFridge() && !thawed { // "how long can it stay out of the fridge"
		return nil
	}
	thawed = thawed || strings.Contains(s.place(), "freezer") && s.placeIn() == "" // "how long does it keep out of the freezer"
	var out []reading
	for _, p := range s.picks() {
		if !s.any(cueKeeps) && !good && !s.onlyKept(p) {
			continue
		}
		r := s.start(WantKeeps, "lookup", p)
		if hold {
			r.consumes = r.consumes.with(cueCapacity, cueFill, cuePiece)
		}
		if onDay { // "still ok on day 2"
			r.consumes = r.consumes.with(cueUnsafe, cueHowmany, cueThat)
			for i := range s.p.spans {
				r.used[i] = r.used[i] || s.span(i).kind != spanName && s.span(i).from <= day+1 && s.span(i).to > day-1
			}
			r.extra -= 4
		}
		r.consumes = r.consumes.with(cueKeeps, cueHowlong, cueWhere, cueVerbChill, cueVerbFreeze, cueVerbHold, cueHowmany, cueVerbThaw, cueWhen, cueBatch, cueOnebatch)
		r.q.Place, r.q.Thawed = s.place(), thawed
		if thawed {
			r.consumes = r.consumes.with(cueVerbOut, cueSetready, cueWent)
			if r.q.Place = s.placeIn(); r.q.Place == "freezer" {
				r.q.Place = ""
			}
			r.extra--
		}
		if r.q.Place == "" && s.any(cueVerbFreeze) && !thawed {
			r.q.Place = "freezer"
		}
		s.usePlace(&r)
		s.useKept(&r)
		if !s.any(cueHowlong, cueHowmany) {
			r.extra++
		}
		if s.saysOf("life") && !s.saysOf("where") { // "life of the tuiles in the dry store" asks how long, not where
			r.extra -= 5
		}
		if good {
			r.extra -= 2
		}
		if s.any(cueVerbProof, cueVerbCure, cueVerbInfuse, cueVerbDry, cueVerbRest) { // "how many days to ferment"
			r.extra += 4
		}
		if s.inHeat() { // "how long do they stay in the bath"
			r.extra += 8
		}
		s.dropTimes(&r)
		s.absorb(&r)
		out = append(out, r)
	}
	return out
}

// outOfFridge reports whether something is said to be out of a fridge.
func (s *sense) outOfFridge() bool {
	return strings.Contains(s.place(), "fridge") && s.placeIn() == ""
}

// holdsCold reads "hold how many hrs in the fridge": held in the cold is kept.
func (s *sense) holdsCold() bool {
	return s.saysOf("hold", "holds") && s.any(cueHowlong) && s.place() != "" && len(s.quant) == 0 && !s.saysOf("hot", "warm", "capacity", "before", "need", "needs", "must")
}

// thawed reports whether it is asked of what has been thawed.
func (s *sense) thawed() bool {
	for k := range s.l.tokens {
		switch s.l.tokens[k].plain {
		case "thawed", "defrosted":
			return true
		case "thawing", "thaw", "defrosting", "defrost":
			if k > 0 && s.l.tokens[k-1].plain == "after" || k > 1 && s.l.tokens[k-1].plain == "the" && s.l.tokens[k-2].plain == "after" {
				return true
			}
		case "once", "after":
			for j := k + 1; j < min(len(s.l.tokens), k+5); j++ {
				if s.l.tokens[j].plain == "out" && j+1 < len(s.l.tokens) && s.placeIn() == "" && s.place() != "" {
					return true
				}
			}
		}
	}
	return false
}

// thawedThing reports whether "thawed" stands before what it is said of: "thawed domes".
func (s *sense) thawedThing() bool {
	return slices.ContainsFunc(s.names, func(i int) bool {
		w := s.before(i)
		return w == "thawed" || w == "defrosted"
	})
}

// inHeat reports whether a thing is said to be in something that heats it.
func (s *sense) inHeat() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		switch s.l.tokens[k].plain {
		case "bath", "oven", "steamer", "dehydrator", "smoker", "waterbath":
			return s.saysOf("in", "into")
		}
	}
	return false
}

// frameKeepsThere: "and in the fridge?", "and frozen?" after how long something keeps.
func frameKeepsThere(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || s.ctx.Last.Want != WantKeeps || !s.ctx.Last.namesRecipe() || len(s.l.tokens) > 7 ||
		s.saysOf("cold", "hot", "warm", "temp", "temps", "temperature", "degrees", "whats", "is", "are", "set", "where", "which", "many", "big", "running", "setting", "log") {
		return nil
	}
	if s.saysOf("at") && !s.saysOf("most") {
		return nil
	}
	r := s.reading(WantKeeps, "lookup")
	r.q.Targets, r.q.FromTalk = slices.Clone(s.ctx.Last.Targets), true
	r.q.Place, r.q.Thawed = s.place(), s.thawed()
	kept, from, to := s.keptPlace(s.ctx.Last.Targets[0].Recipe)
	if kept != "" {
		r.q.Place = kept
	}
	most := false
	var other []option // "and the curd in the freezer"
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.from >= from && sp.to <= to {
			continue
		}
		switch sp.kind {
		case spanName:
			if o := s.recipesOf(i, 4); len(o) > 0 && len(other) == 0 && !s.negated(i) {
				other = o
			} else if s.thingOf(i, kb.ColdName) == nil {
				return nil
			}
			r.used[i] = true
		case spanCue:
			if !sp.cues.meets(plainCues.with(cueHowlong, cueKeeps, cueVerbFreeze, cueVerbChill, cueVerbThaw, cueOr, cueMost)) {
				return nil
			}
			most = most || sp.cues.has(cueMost)
			if sp.cues.has(cueVerbFreeze) && r.q.Place == "" {
				r.q.Place = "freezer"
			}
			if sp.cues.has(cueVerbChill) && r.q.Place == "" {
				r.q.Place = "fridge"
			}
		case spanUnused:
			if sp.food || sp.strange {
				return nil
			}
		default:
			return nil
		}
	}
	both := s.saysOf("fridge") && s.saysOf("freezer", "frozen")
	if r.q.Thawed || both {
		r.q.Place = ""
	}
	if most && !s.any(cueHowlong) {
		return nil
	}
	if r.q.Place == "" && !r.q.Thawed && !both && !most || s.saysOf("to") { // "how long at most"
		return nil
	}
	for i := range r.used {
		r.used[i] = true
	}
	r.consumes = plainCues.with(cueHowlong, cueKeeps, cueVerbFreeze, cueVerbChill, cueVerbThaw, cueOr, cueMost)
	r.extra = -s.p.cost - 2 // it goes on from what was just asked
	if len(other) == 0 {
		return []reading{r}
	}
	var out []reading
	for _, o := range other {
		one := r.clone()
		one.q.Targets, one.q.FromTalk = []Target{{Recipe: o.recipe, Part: o.part}}, false
		one.extra += o.cost
		out = append(out, one)
	}
	return out
}

// frameKeepsMost: what of the book keeps longest or shortest, whatever was spoken
// of before: "what keeps longest", "which ice cream goes off first".
func frameKeepsMost(s *sense) []reading {
	short := s.saysOf("shortest", "least", "first", "soonest", "quickest", "fastest")
	if !short && !s.saysOf("longest", "most", "best", "longer") || !s.any(cueKeeps, cueUseby) || len(s.quant)+len(s.clock)+len(s.units) > 0 || len(s.l.tokens) > 12 {
		return nil
	}
	if !s.saysOf("what", "whats", "which", "anything", "everything", "thing", "something", "item", "recipe", "recipes") || s.saysOf("it", "this", "how") || s.saysOf("that") && s.saysOf("does", "will", "would", "can") {
		return nil
	}
	r := s.reading(WantKeepsMost, "lookup")
	r.q.Whole, r.q.Shortest, r.q.Place = true, short, s.place()
	if r.q.Place == "" && s.saysOf("frozen", "freezing") {
		r.q.Place = "freezer"
	}
	if s.among(&r) && name.Fold(r.q.Among[0].Section) == name.Fold(r.q.AmongText) && !s.saysOf("our", "recipes", "section", "ours", "we") {
		return nil // "which bread keeps the longest" asks of any bread, not of a section of the book
	}
	for i := range s.p.spans {
		switch sp := s.span(i); {
		case r.used[i] && len(s.havingAll(sp)) < 2 && s.text(i) == name.Singular(s.text(i)):
			return nil // "which bread keeps longest" is of all the world's
		case r.used[i]:
		case sp.kind == spanName:
			if s.thingOf(i, kb.ColdName) == nil || len(s.recipesOf(i, 1)) > 0 && len(r.q.Among) == 0 {
				return nil // of that recipe
			}
			r.used[i] = true
		case sp.kind == spanUnused && (sp.food || sp.strange):
			return nil
		case sp.kind == spanUnused:
			r.used[i] = true
		}
	}
	r.consumes = plainCues.with(cueKeeps, cueMost, cueUseby, cueVerbFreeze, cueVerbChill, cueWhere, cueCard, cueUses, cueMenu, cueNumber1, cueAll, cueContain, cueSetready)
	r.extra = -2
	return []reading{r}
}

// keptPlace is the place that a recipe keeps in and that the message writes out,
// with its tokens: "in the bread box".
func (s *sense) keptPlace(r *kb.Recipe) (place string, from, to int) {
	for _, k := range r.Keeps {
		words := name.Words(k.Where)
		for f := 0; len(words) > 0 && f+len(words) <= len(s.l.tokens); f++ {
			same := true
			for j, w := range words {
				same = same && s.l.tokens[f+j].fold == w
			}
			if same {
				return k.Where, f, f + len(words)
			}
		}
	}
	return "", 0, 0
}

// useKept takes the place where the recipe itself says that it keeps, "dry store",
// whatever else its words may mean.
func (s *sense) useKept(r *reading) {
	if r.q.Place != "" || r.q.Thawed || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	kept, from, to := s.keptPlace(r.q.Targets[0].Recipe)
	if kept == "" {
		return
	}
	r.q.Place = kept
	r.extra -= 4 // "how many days for the loaf in the bread bin" converts no bread
	for i := range s.p.spans {
		if sp := s.span(i); sp.from >= from && sp.to <= to {
			r.used[i] = true
			if sp.kind == spanCue {
				r.consumes = r.consumes.or(sp.cues)
			}
		}
	}
}
