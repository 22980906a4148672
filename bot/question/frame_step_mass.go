package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// massEnd says which end of a step its mass is asked of.
type massEnd uint8

const (
	massNone   massEnd = iota
	massAfter          // what is left: "sweat to how much", "drained weight"
	massBefore         // what goes in: "weight before draining"
)

// frameStepMass: what a step weighs when it is over, or before it, of any verb:
// "sweat the leek to how much", "what weight after browning". What is reduced in a
// pan on a scale has its own frames.
func frameStepMass(s *sense) []reading {
	if s.any(cueHowlong, cueTemp, cueOven, cueCore, cueReading, cueTare, cueRescue, cueSwap, cueKeeps, cueLose, cueStir) || s.saysOf("behind") || len(s.clock) > 0 || s.strainedOut() {
		return nil
	}
	var out []reading
	for _, p := range s.picksOfOne() {
		at, end, verb := s.weighedSteps(p.targets[0].Recipe)
		if len(at) == 0 {
			continue
		}
		r := s.start(WantStepMass, "reduce", p)
		r.q.MethodAt = at
		r.q.Start = end == massBefore
		r.consumes = r.consumes.or(verbCues).with(cueHowmuch, cueHowmany, cueWeigh, cueTotal, cueOnebatch, cueOnly, cueStart, cueWhen, cueSetready, cueThat, cueConvert)
		s.useStepWords(&r, at)
		s.unit(&r)
		r.extra -= 4
		if !verb {
			r.extra += 3
		}
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// frameVerbTo reads a verb of the recipe's own and "to" or "at" behind it, with no
// word for what is asked: "coffee glaze warm to", "choux dry to ?".
func frameVerbTo(s *sense) []reading {
	at, to := s.ends("at") || s.ends("at", "what"), s.ends("to") || s.ends("to", "what")
	if !at && !to || len(s.clock) > 0 {
		return nil
	}
	var out []reading
	for _, p := range s.picksOfOne() {
		steps := p.targets[0].Recipe.Method
		for i := range steps {
			st := &steps[i]
			k := s.verbAt(st)
			if k < 0 || slices.Contains(p.spans, s.spanAt(k)) || name.Fold(st.Verb) == "reduce" {
				continue
			}
			var r reading
			switch {
			case to && st.To != nil && st.To.Temperature != nil, at && st.At != nil && st.At.Temperature != nil:
				r = s.start(WantSteps, "lookup", p)
				r.q.Verbs, r.q.Temp = []string{name.Fold(st.Verb)}, true
			case to && weighed(st):
				r = s.start(WantStepMass, "reduce", p)
				r.q.MethodAt = []int{i}
			default:
				continue
			}
			r.consumes = r.consumes.or(verbCues)
			s.useStepWords(&r, []int{i})
			r.extra -= 2
			out = append(out, s.sized(r, p)...)
		}
	}
	return out
}

// verbAt is the token that says the verb of a step in any of its forms, −1 if none.
func (s *sense) verbAt(st *recipe.Step) int {
	return slices.IndexFunc(s.l.tokens, func(t token) bool { return slices.Contains(stems(t.plain), name.Fold(st.Verb)) })
}

// weighedSteps are the steps of a recipe whose mass is asked: those of a verb that is
// said, else the one that works what is named.
func (s *sense) weighedSteps(r *kb.Recipe) (at []int, end massEnd, verb bool) {
	var said, named []int
	for i := range r.Method {
		st := &r.Method[i]
		if name.Fold(st.Verb) == "reduce" || !weighed(st) {
			continue
		}
		e, verb := s.massEnd(st)
		if e != massNone {
			said, end = append(said, i), e
		}
		if verb {
			continue
		}
		if s.saysStepOf(st) {
			named = append(named, i)
		}
	}
	if len(said) > 1 { // of several the one that works what is named
		var fit []int
		for _, i := range said {
			if s.saysStepOf(&r.Method[i]) {
				fit = append(fit, i)
			}
		}
		if len(fit) > 0 {
			said = fit
		}
	}
	if len(said) > 0 {
		return said, end, true
	}
	if len(named) == 1 && s.l.saysAny(finishedWeight) {
		return named, massAfter, false
	}
	return nil, massNone, false
}

// weighed reports whether a step has a mass after it that the book gives.
func weighed(st *recipe.Step) bool {
	return takesDown(st) && (st.To.Mass != nil || st.From != nil || len(st.Of) > 0)
}

// takesDown reports whether a step goes to a mass, to half or to °Bx, which is a mass
// where that of the start is known.
func takesDown(st *recipe.Step) bool {
	return st.To != nil && (st.To.Mass != nil || st.To.Half || st.To.Brix != nil)
}

// massEnd reads which mass of a step is asked, by any word for its verb; verb: there
// is such a word.
func (s *sense) massEnd(st *recipe.Step) (end massEnd, verb bool) {
	v := name.Fold(st.Verb)
	for k := range s.l.tokens {
		if slices.Contains(stems(s.l.tokens[k].plain), v) || s.driesOrDrains(k, v) {
			verb = true
			if end = s.massEndAt(k, st); end != massNone {
				return end, true
			}
		}
	}
	return massNone, verb
}

// driesOrDrains reports whether token k is another word for a verb that leaves less
// behind: "strained" of what the book drains.
func (s *sense) driesOrDrains(k int, verb string) bool {
	for _, group := range [][]string{verbGroups[cueVerbDry][:2], verbGroups[cueVerbStrain]} {
		if slices.Contains(group, verb) && slices.ContainsFunc(stems(s.l.tokens[k].plain), func(w string) bool { return slices.Contains(group, w) }) {
			return true
		}
	}
	return false
}

var finishedWeight = []string{"finish weight", "finished weight", "final weight", "end weight", "weight at the end", "weight at end", "weight when done", "weight once done"}

// massEndAt reads which mass is asked of the verb at token k.
func (s *sense) massEndAt(k int, st *recipe.Step) massEnd {
	t := s.l.tokens
	if k+1 < len(t) && !t[k+1].breaks && (t[k+1].plain == "weight" || t[k+1].plain == "wt") && isPast(t[k].plain) { // "drained weight"
		return massAfter
	}
	amount := s.any(cueHowmuch, cueHowmany, cueWeigh, cueTotal) || s.saysOf("weight", "weigh", "weighs", "grams", "g", "left") || s.saysStepOf(st)
	if isPast(t[k].plain) && s.any(cueHowmuch) && s.saysOf("left", "remains") { // "stock strained, how much left"
		return massAfter
	}
	for j := k - 1; j >= 0 && j >= k-4 && !t[j+1].breaks; j-- {
		switch t[j].plain {
		case "after", "once", "when":
			if amount {
				return massAfter
			}
		case "before":
			if amount {
				return massBefore
			}
		}
	}
	for j := k + 1; j < len(t); j++ {
		if t[j].plain != "to" || j+1 == len(t) && k+1 == j { // "dry to" alone asks a time or heat as well
			continue
		}
		if j+1 == len(t) || t[j+1].plain == "what" && s.massWord(j+2) || t[j+1].plain == "which" || t[j+1].plain == "how" && j+2 < len(t) && (t[j+2].plain == "much" || t[j+2].plain == "many") {
			return massAfter
		}
	}
	if s.l.saysAny(finishedWeight) {
		return massAfter
	}
	if s.l.saysAny([]string{"start weight", "starting weight"}) {
		return massBefore
	}
	return massNone
}

// massWord reports whether the message ends at token k or goes on with a word for a mass.
func (s *sense) massWord(k int) bool {
	t := s.l.tokens
	if k >= len(t) || t[k].breaks {
		return true
	}
	return slices.Contains([]string{"weight", "wt", "mass", "grams", "gram", "g", "kg", "in", "for"}, t[k].plain)
}

// saysStepOf reports whether the message names what a step works, by a word of its
// `of:` or of its words.
func (s *sense) saysStepOf(st *recipe.Step) bool {
	words := stepWords(st)
	return slices.ContainsFunc(s.l.tokens, func(t token) bool {
		return len(t.plain) > 3 && slices.Contains(words, t.fold) && !slices.Contains(plainStepWords, t.fold)
	})
}

// plainStepWords are words of a step that name nothing in it.
var plainStepWords = []string{"with", "then", "over", "until", "under", "from", "into", "when", "high", "fine", "well", "after", "before"}

func stepWords(st *recipe.Step) []string {
	out := name.Words(st.Words)
	for _, o := range st.Of {
		out = append(out, name.Words(o)...)
	}
	for i := range out {
		out[i] = name.Singular(out[i])
	}
	return out
}

// useStepWords uses up what the message says of the steps: their verbs, what they
// work, and the words that ask for a mass.
func (s *sense) useStepWords(r *reading, at []int) {
	var words, verbs []string
	for _, i := range at {
		st := &r.q.Targets[0].Recipe.Method[i]
		words, verbs = append(words, stepWords(st)...), append(verbs, name.Fold(st.Verb))
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanName && sp.kind != spanUnused && sp.kind != spanCue {
			continue
		}
		fits := true
		for k := sp.from; k < sp.to && fits; k++ {
			t := &s.l.tokens[k]
			fits = slices.Contains(words, t.fold) || slices.ContainsFunc(verbs, func(v string) bool { return slices.Contains(stems(t.plain), v) || s.driesOrDrains(k, v) }) ||
				sp.kind == spanUnused && slices.Contains([]string{"after", "before", "once", "finish", "finished", "final", "end", "weight", "start", "starting", "down", "left", "wt", "mass", "to", "at", "what"}, t.plain)
		}
		if !fits {
			continue
		}
		if r.used[i] = true; sp.kind == spanName {
			r.extra -= sp.cost - costSpan
		}
	}
}

// saysAny reports whether the message holds one of the phrases, word by word.
func (l *lattice) saysAny(phrases []string) bool {
	return slices.ContainsFunc(phrases, func(p string) bool { return l.says(strings.Fields(p)...) })
}
