package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// panSays reports whether it is asked what a pan of the house shows: "rondeau, what
// should it say at the end".
func (s *sense) panSays(at int) bool {
	if at < 0 && !s.any(cuePan) || s.any(cueHowlong, cueTemp, cueCost, cueAllergen, cueSwap, cueCapacity) || len(s.clock) > 0 {
		return false
	}
	for _, i := range s.quant { // a weight told is a reading
		if q := s.span(i).q; s.span(i).kind == spanQuantity && (q.Q.Unit.Dim == quantity.Mass || q.Q.Unit.Symbol == "" && quantity.Int(100).Less(q.Q.N)) {
			return false
		}
	}
	if s.l.says("at", "the", "end") && !s.any(cueWhen) {
		return true
	}
	return s.saysOf("say", "says", "show", "shows", "read", "reads", "display") && (s.saysOf("what", "whats", "should", "must", "shall") || s.any(cueHowmuch))
}

// asksReading reads "the casserole should read what": what a pan shows is asked, and
// nothing changed.
func (s *sense) asksReading() bool {
	at, _ := s.panSaid()
	return len(s.quant) == 0 && s.panSays(at) && (s.ends("what") || slices.ContainsFunc([]string{"what", "whats"}, func(w string) bool { return s.l.tokens[0].plain == w }))
}

// framePanShows reads what a pan must show by what is reduced in it, where one recipe
// of the book is taken down in that pan: "copper pan should say what when the quince
// juice is reduced".
func framePanShows(s *sense) []reading {
	at, pan := s.panOf()
	if at < 0 || !s.panSays(at) && !s.any(cueReading) {
		return nil
	}
	for i := range s.quant {
		if s.span(s.quant[i]).kind != spanFactor {
			return nil
		}
	}
	var of []int
	var items []Item
	for _, i := range s.names {
		if i == at {
			continue
		}
		it, ok := s.item(i)
		if o := s.recipesOf(i, 1); !ok || len(o) > 0 && !o[0].part || s.thingOf(i, kb.PanName, kb.MouldName, kb.MachineName, kb.ColdName) != nil {
			return nil
		}
		of, items = append(of, i), append(items, it)
	}
	if len(items) != 1 {
		return nil
	}
	var found *kb.Recipe
	for _, r := range s.l.x.withAll(items) {
		if lines, _ := items[0].Lines(r); len(lines) == 0 || !slices.ContainsFunc(r.Method, func(st recipe.Step) bool {
			return name.Fold(st.In) == pan.Fold && takesDown(&st)
		}) {
			continue
		}
		if found != nil {
			return nil // which of them is not said
		}
		found = r
	}
	if found == nil {
		return nil
	}
	p := pick{targets: []Target{{Recipe: found, Part: true}}}
	r := s.reading(WantReading, "reduce")
	r.q.Targets, r.q.Thing = slices.Clone(p.targets), pan
	r.used[at], r.used[of[0]] = true, true
	r.consumes = plainCues.or(panCues).or(verbCues).with(cueSetready, cueIn)
	r.extra = costPartHead
	return s.sized(r, p)
}

// frameLeftBehind: what is left behind when something is strained, drained or trimmed.
func frameLeftBehind(s *sense) []reading {
	lost := s.strainedOut() || s.l.says("left", "behind") || s.l.says("stays", "behind") || s.l.says("stay", "behind") || s.any(cueLose) || s.saysOf("lost", "loss", "losses", "waste", "wasted", "behind")
	if !lost || s.any(cueHowlong, cueTemp, cueWent, cueTimer) || s.any(cueKeeps) && !s.strainedOut() || !s.any(cueVerbStrain) && !s.l.says("left", "behind") && !s.strainedOut() && !s.saysOf("trim", "trimmed", "trimming") {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || p.targets[0].Recipe == nil || !slices.ContainsFunc(p.targets[0].Recipe.Method, leavesBehind) {
			continue
		}
		for _, r := range s.sized(s.start(WantEvaporated, "reduce", p), p) {
			r.q.Craft.Topic = "behind"
			r.consumes = r.consumes.or(panCues).or(verbCues).with(cueHowmany, cueMakeable, cueIn, cueKeeps, cueWhen)
			for _, i := range s.names { // "how much water drains off"
				if w := s.folded(s.span(i)); (w == "water" || w == "liquid") && !slices.Contains(r.targets, i) {
					r.used[i] = true
				}
			}
			for i := range s.p.spans {
				if w := s.text(i); s.span(i).kind == spanUnused && (w == "behind" || w == "stays" || w == "stay" || w == "strainer" || w == "sieve" || slices.Contains([]string{"lost", "waste", "trim", "throw", "thrown", "bin", "discard", "caught"}, w)) {
					r.used[i] = true
				}
			}
			r.extra -= 3
			out = append(out, r)
		}
	}
	return out
}

// strainedOut reads "how much gets strained out", "how much stays in the sieve", "how
// much bone do i throw away when straining": of what is left, not of what runs through.
func (s *sense) strainedOut() bool {
	t := s.l.tokens
	if !s.any(cueHowmuch, cueWeigh) && !s.saysOf("what", "whats", "much") {
		return false
	}
	strains := false
	for k := range t {
		switch w := t[k].plain; w {
		case "strained", "drained", "trimmed", "filtered", "sieved", "strain", "drain", "trim", "drains", "strains":
			strains = true
			for j := k + 1; j < min(len(t), k+4) && !t[j].breaks; j++ {
				if slices.Contains([]string{"out", "off", "away"}, t[j].plain) && (j+1 == len(t) || t[j+1].plain != "of") {
					return true
				}
			}
		case "straining", "draining", "trimming":
			strains = true
		case "strainer", "sieve", "chinois", "colander", "muslin", "cloth":
			if s.saysOf("stays", "stay", "left", "remains", "remain", "caught", "catches", "catch", "behind", "in") && !s.saysOf("through", "under") && !s.l.says("after", "the", w) && (k > 1 && (t[k-1].plain == "in" || t[k-2].plain == "in")) {
				return true
			}
		}
	}
	return strains && (s.saysOf("discard", "discarded", "thrown", "bin", "binned", "waste") || s.l.says("throw", "away") || s.l.says("throw", "out"))
}

// leavesBehind reports whether a step takes a mass down by what it leaves behind, not
// by what boils off.
func leavesBehind(st recipe.Step) bool {
	switch name.Fold(st.Verb) {
	case "strain", "drain", "trim":
		return st.From != nil && st.To != nil && st.To.Mass != nil
	}
	return false
}

// LeavesBehind is the same for answers.
func LeavesBehind(st *recipe.Step) bool { return leavesBehind(*st) }
