package question

import (
	"slices"

	"tamis/calc/quantity"
)

// Goal is the step of a method up to which a time is counted.
type Goal struct {
	Verbs []string // of that step, the nearest meaning first; none: no such step is said
	Done  bool     // until it is over, not until it may begin; without Verbs of the step asked about
	Whole bool     // until the whole recipe is ready: "brioche for 17:30, proof from when"
	After []string // verbs of the step that is over: "out of the oven at 2"
	In    bool     // asked when it goes in, to come out at the time told
}

func (g *Goal) same() string {
	out := ""
	for _, v := range g.Verbs {
		out += "," + v
	}
	for _, v := range g.After {
		out += "-" + v
	}
	if g.Done {
		out += "!"
	}
	if g.Whole {
		out += "*"
	}
	if g.In {
		out += "<"
	}
	return out
}

// aim is where a message says the goal of a time.
type aim struct {
	at    int // the span of its verb
	word  string
	done  bool // the clock behind it is when that step is over
	clock bool // a clock stands right behind it
}

// goal finds the step that a message asks or tells the time until: "when can I
// bake", "ready to bake at 14:00", "baked for 18:00, rest from when".
func (s *sense) goal() (aim, bool) {
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.meets(verbCues) && !sp.cues.has(cueOven) {
			continue
		}
		word, before := s.goalWords(sp.from)
		by := s.clockBehind(i)
		switch {
		case s.verbAhead(i):
			return aim{at: i, clock: true}, true
		case word == "ready":
			return aim{at: i, word: word, clock: by != ""}, true
		case word == "before" && !isPast(s.l.tokens[sp.from].plain):
			return aim{at: i, word: word, clock: by != ""}, true
		case (word == "can" || word == "earliest") && before:
			return aim{at: i, word: word}, true
		case sp.cues.has(cueOven) && s.any(cueWhen, cueLatest) && !s.any(cueVerbBake) && max(s.runsNow(), s.runsSince()) > 0 && max(s.runsNow(), s.runsSince()) < sp.from: // "proving from now, when in the oven"
			return aim{at: i, word: "can"}, true
		case by != "" && (by != "at" || s.any(cueLatest)) && s.others(i) && (isPast(s.l.tokens[sp.from].plain) || s.outOf(sp.from)):
			return aim{at: i, done: true, clock: true}, true
		case by != "" && (by != "at" || s.any(cueLatest)) && s.others(i) && (s.l.tokens[sp.from].plain == "in" || s.l.tokens[sp.from].plain == "into"): // "in the oven by 18:00, rest from when"
			return aim{at: i, clock: true}, true
		}
	}
	return aim{}, false
}

// goalWords looks back from a verb at token k for what makes it a goal: "ready"
// to it, "can" do it, "before" it, the "earliest" of it. asked: a word for when
// stands before that.
func (s *sense) goalWords(k int) (word string, asked bool) {
	for j := k - 1; j >= 0 && j >= k-6 && !s.l.tokens[j+1].breaks; j-- {
		switch w := s.l.tokens[j].plain; w {
		case "ready", "before":
			for i := j + 1; i < k; i++ {
				switch s.l.tokens[i].plain {
				case "to", "for", "the", "go", "goes", "going", "in", "into", "be", "i", "we", "you", "they", "it", "can":
				default:
					if w != "before" || !s.l.namedAt(i) || !slices.ContainsFunc(s.l.tokens[i:k], func(t token) bool { return t.plain == "go" || t.plain == "goes" || t.plain == "going" }) { // "before the loaf goes in the oven", not "before it thaws"
						return "", false
					}
				}
			}
			return w, true
		case "can", "could", "may":
			for i := max(0, j-5); i < j; i++ {
				switch s.l.tokens[i].plain {
				case "when", "soon", "earliest", "soonest", "time", "whens":
					return "can", true
				}
			}
			return "", false
		case "do", "does", "should", "must", "shall": // "stock on at 6:30, when do i strain": told when it began
			if j > 0 && s.l.tokens[j-1].plain == "when" && s.beganBefore(j-1) {
				return "can", true
			}
		case "earliest", "soonest":
			if j >= k-4 {
				return "earliest", true
			}
			return "", false
		case "since", "from", "at", "now", "is", "are", "been", "in", "resting":
			if w == "in" && s.l.tokens[k].plain != "in" {
				continue
			}
			return "", false
		}
	}
	return "", false
}

// beganBefore reports whether a time of day with no word for a goal stands before
// token k: when what is spoken of began.
func (s *sense) beganBefore(k int) bool {
	return slices.ContainsFunc(s.clock, func(i int) bool {
		sp := s.span(i)
		if sp.to > k || !sp.clock.HasTime && !sp.clock.Now {
			return false
		}
		switch s.before(i) {
		case "for", "by", "before", "until", "till", "til", "to":
			return false
		}
		return slices.ContainsFunc(s.names, func(n int) bool { // it is said of something, not of guests
			return n < i && len(s.recipesOf(n, 1)) > 0
		})
	})
}

// wholeFor reports whether the time told is that of the recipe, and a step of it is
// asked about behind that.
func (s *sense) wholeFor(r *reading) bool {
	for _, i := range s.clock {
		k := s.span(i).from - 1
		if k < 1 || !s.span(i).clock.HasTime && s.span(i).clock.Service == "" || s.l.tokens[k].plain != "for" && s.l.tokens[k].plain != "by" {
			continue
		}
		if j := s.spanAt(k - 1); j < 0 || s.span(j).kind != spanName || !slices.Contains(r.targets, j) {
			continue
		}
		for j := i + 1; j < len(s.p.spans); j++ {
			if sp := s.span(j); sp.kind == spanCue && sp.cues.meets(verbCues) {
				return true
			}
		}
	}
	return false
}

// others reports whether another word of a step stands in the message than span i.
func (s *sense) others(i int) bool {
	for j := range s.p.spans {
		if sp := s.span(j); j != i && sp.kind == spanCue && (sp.cues.meets(verbCues) || sp.cues.has(cueOven)) {
			return true
		}
	}
	return false
}

// clockBehind is the word that leads to a clock right behind span i: "at", "for", "by".
func (s *sense) clockBehind(i int) string {
	if i+1 >= len(s.p.spans) {
		return ""
	}
	for j := i + 1; j < len(s.p.spans) && j <= i+3; j++ {
		sp := s.span(j)
		if sp.kind == spanClock && (sp.clock.HasTime || sp.clock.Service != "") {
			for k := sp.from; k >= max(0, sp.from-1); k-- {
				switch w := s.l.tokens[k].plain; w {
				case "at", "by", "for", "before":
					return w
				}
			}
			return ""
		}
		switch s.l.tokens[sp.from].plain {
		case "at", "by", "for", "before":
			continue
		}
		if sp.kind != spanCue || s.l.tokens[sp.from].breaks || sp.cues.meets(verbCues) {
			return ""
		}
	}
	return ""
}

// outOf reports whether token k and those before it say that something comes out
// of the oven.
func (s *sense) outOf(k int) bool {
	for j := max(0, k-3); j < min(len(s.l.tokens), k+3); j++ {
		if s.l.tokens[j].plain == "out" && j+1 < len(s.l.tokens) {
			for i := j + 1; i < min(len(s.l.tokens), j+4); i++ {
				switch s.l.tokens[i].plain {
				case "of", "the", "from":
					continue
				case "oven", "ovens":
					return true
				}
				break
			}
		}
	}
	return false
}

// outOfOven is the place of the words that something comes out of the oven, −1
// where there are none.
func (s *sense) outOfOven() int {
	for k := range s.l.tokens {
		if s.l.tokens[k].plain == "out" && s.outOf(k) {
			return k
		}
	}
	return -1
}

// isPast reports whether a word of a step says that it is over: "baked", "frozen".
func isPast(w string) bool {
	switch w {
	case "set", "frozen", "beaten", "spun", "risen", "hung", "thawed", "baked":
		return true
	}
	return len(w) > 4 && w[len(w)-2:] == "ed"
}

// takeGoal puts the goal into the question; what is left of the verbs are those
// of the step that runs.
func (s *sense) takeGoal(r *reading) {
	g, ok := s.goal()
	if !ok {
		r.q.Verbs, r.q.Goal.Done = s.verbs(), s.overBy()
		r.q.Goal.Whole = !r.q.Goal.Done && s.wholeFor(r)
		s.restedFor(r)
		return
	}
	sp := s.span(g.at)
	r.q.Goal.Done = g.done
	if sp.cues.has(cueOven) {
		r.q.Goal.Verbs = []string{"bake", "roast"}
		r.q.Oven = false
		for i := range s.p.spans {
			r.q.Oven = r.q.Oven || i != g.at && s.span(i).kind == spanCue && s.span(i).cues.has(cueOven)
		}
	} else {
		r.q.Goal.Verbs = s.verbsOf(func(i int) bool { return i == g.at })
	}
	r.q.Verbs = s.verbsOf(func(i int) bool { return i != g.at })
	for k := sp.from; k < sp.to; k++ {
		if w := s.l.tokens[k].fold; r.q.Place != "" && (w == "fridge" || w == "freezer") && !slices.ContainsFunc(s.p.spans, func(o span) bool {
			return o.from != sp.from && slices.ContainsFunc(s.l.tokens[o.from:o.to], func(t token) bool { return t.fold == "fridge" || t.fold == "freezer" })
		}) {
			r.q.Place = ""
		}
	}
}

// restedFor takes what is to be over after the oven at the time told: "carved at
// 12:30, rested, latest in the oven". What is cut has rested.
func (s *sense) restedFor(r *reading) {
	if !r.q.Oven || s.outOfOven() >= 0 || !s.any(cueLatest) && !s.startAsked() && !s.any(cueWhen) {
		return
	}
	waits := cueSet{}.with(cueVerbRest, cueVerbChill, cueVerbSet)
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.meets(waits) && isPast(s.l.tokens[sp.from].plain) {
			r.q.Goal = Goal{Verbs: s.verbsOf(func(j int) bool { return j == i }), Done: true}
			r.q.Verbs = s.verbsOf(func(j int) bool { return j != i })
			return
		}
	}
	if slices.ContainsFunc(s.l.tokens, func(t token) bool { return isCut(t.plain) }) && len(r.q.Verbs) == 0 {
		r.q.Goal = Goal{Verbs: []string{"rest", "cool", "stand"}, Done: true}
	}
}

// isCut reports whether a word says that something has been cut up, which rests before.
func isCut(w string) bool { return w == "carved" || w == "sliced" || w == "portioned" }

// tookOut reports whether something has come out of the oven: "out of the oven
// at 2", not "when is it out of the oven".
func (s *sense) tookOut() bool {
	k := s.outOfOven()
	if k < 0 { // "out at 15:00", "came out 20 min ago", of bread
		for _, i := range s.quant {
			if f := s.span(i).from; s.after(i) == "ago" && f > 0 && s.l.tokens[f-1].plain == "out" && s.place() == "" {
				return true
			}
		}
		return slices.ContainsFunc(s.clock, func(i int) bool {
			f := s.span(i).from
			return s.span(i).clock.HasTime && f >= 2 && s.l.tokens[f-2].plain == "out" && (s.l.tokens[f-1].plain == "at" || s.l.tokens[f-1].plain == "since") && s.placeIn() == s.place() && s.place() == ""
		})
	}
	for j := max(0, k-2); j < k; j++ {
		switch s.l.tokens[j].plain {
		case "came", "just", "took", "taken", "since":
			return true
		}
	}
	for j := k; j < min(len(s.l.tokens), k+5); j++ {
		if j > k && s.l.tokens[j].breaks {
			break
		}
		if w := s.l.tokens[j].plain; w == "oven" || w == "ovens" {
			i := s.spanAt(j)
			if by := s.clockBehind(i); by == "at" {
				return true
			}
			for n := i + 1; n < min(len(s.p.spans), i+3); n++ {
				if sp := s.span(n); sp.kind == spanQuantity && s.after(n) == "ago" || sp.kind == spanClock && sp.clock.Now {
					return true
				}
			}
		}
	}
	return false
}

// mustBeOut reports whether it is asked by when something has to be out of the
// oven, for a time that is given elsewhere.
func (s *sense) mustBeOut() bool {
	k := s.outOfOven()
	if k < 0 || s.clockBehind(s.spanAt(k)) != "" {
		return false
	}
	for j := max(0, k-5); j < k; j++ {
		switch s.l.tokens[j].plain {
		case "when", "latest", "must", "has", "have":
			for i := k; i < min(len(s.l.tokens), k+4); i++ {
				if w := s.l.tokens[i].plain; (w == "oven" || w == "ovens") && s.clockBehind(s.spanAt(i)) == "" {
					return true
				}
			}
		}
	}
	return false
}

// neededFor reports whether the cue of span i is the "needed for" of a size: "curd
// needed for 30 tarts".
func (s *sense) neededFor(i int) bool {
	sp := s.span(i)
	if !sp.cues.has(cueLatest) || s.l.tokens[sp.from].plain != "needed" || i+1 >= len(s.p.spans) {
		return false
	}
	n := s.span(i + 1)
	return n.kind == spanFactor || n.kind == spanQuantity && n.q.Q.Unit.Dim != quantity.Time
}

// dividedBy reads "divide the crumble by 4": a share of it, not in how many goes.
func (s *sense) dividedBy() bool {
	return s.saysOf("divide", "divided", "dividing") && slices.ContainsFunc(s.quant, func(i int) bool {
		return s.span(i).kind == spanFactor && s.l.tokens[s.span(i).from].plain == "by"
	})
}

// cued are the spans with a cue.
func (s *sense) cued(c cue) []int {
	var out []int
	for i := range s.p.spans {
		if s.span(i).kind == spanCue && s.span(i).cues.has(c) {
			out = append(out, i)
		}
	}
	return out
}

// readyFor reports whether "ready for 6am", "done by 18:00" is said of what is still
// to be begun: not "is it ready by 18:00".
func (s *sense) readyFor() bool {
	if s.saysOf("will", "is", "are", "be", "been", "was", "were") || s.any(cueHowmuch, cueHowmany, cueTemp, cueKeeps, cueUnsafe, cueHowlong) {
		return false
	}
	return slices.ContainsFunc(s.clock, func(i int) bool {
		k := s.span(i).from
		return s.span(i).clock.HasTime && k > 2 && !s.l.tokens[k].breaks && (s.l.tokens[k-1].plain == "for" || s.l.tokens[k-1].plain == "by") && (s.l.tokens[k-2].plain == "ready" || s.l.tokens[k-2].plain == "done")
	})
}

// outAhead reports whether it is asked when something has to be out of the oven for
// a day that is still to come: "sliced at 9 tomorrow".
func (s *sense) outAhead() bool {
	return s.mustBeOut() && !s.any(cueWent) && slices.ContainsFunc(s.clock, func(i int) bool { return s.span(i).clock.Day > 0 || s.span(i).clock.Weekday > 0 })
}

// baked are the verbs of what comes out of an oven.
func baked() []string { return []string{"bake", "roast"} }

// mustBe reports whether something has to be so at a time of day: "must be thawed
// at 19:15".
func (s *sense) mustBe() bool {
	for _, i := range s.clock {
		k := s.span(i).from
		if !s.span(i).clock.HasTime || k < 2 || k < 3 && s.l.tokens[k-1].plain != "ready" || s.l.tokens[k].breaks {
			continue
		}
		if s.startAsked() && (isCut(s.l.tokens[k-1].plain) || isCut(s.l.tokens[k-2].plain)) { // "to be sliced at 12:30, when in the oven"
			return true
		}
		switch w := s.l.tokens[k-1].plain; {
		case w == "at", w == "by", w == "for", w == "before":
			k -= 2
		case w == "ready" && s.asksStart(): // "granita ready 19:00, in the freezer by?"
			return true
		default:
			continue
		}
		if k > 2 && s.l.tokens[k-1].plain == "for" { // "hard for dinner at 19:00"
			switch s.l.tokens[k].plain {
			case "dinner", "service", "lunch", "supper", "tea", "brunch":
				k -= 2
			}
		}
		switch w := s.l.tokens[k].plain; {
		case finishedState(w) && s.asksStart() && !s.any(cueVerbThaw): // "mousse hard at 16:30, start freezing by?"
			return true
		case w == "finish" || w == "ready" && s.any(cueWhen): // "peppers finish at 11:00, when in the oven"
			return true
		case (w == "finished" || w == "done" || w == "over") && s.startAsked() && !s.saysOf("was", "were", "got", "already", "just"): // "simmer finished at 16:00, put it on when"
			return true
		case w == "ready" || w == "done" || w == "finished":
		case s.l.tokens[k-1].plain == "be" && (s.any(cueWhen) || s.asksStart()): // "has to be ripe at 7, mix when"
		case !isPast(w) || !isVerb(&s.l.tokens[k]):
			continue
		}
		for j := k - 1; j >= max(0, k-4) && !s.l.tokens[j+1].breaks; j-- {
			switch s.l.tokens[j].plain {
			case "must", "need", "needs", "needed", "has", "have", "should", "gotta", "want", "wants":
				return true
			}
		}
	}
	return false
}

// startAsked reports whether it is asked when to begin, with nothing said of another
// place than an oven.
func (s *sense) startAsked() bool {
	place, in := s.asksIn()
	return s.asksStart() || in && (place == "" || place == "oven")
}

// finishedState reports whether a word says what food is like when a step is over.
func finishedState(w string) bool {
	switch w {
	case "hard", "firm", "set", "frozen", "cold", "solid", "chilled", "cooled", "rested", "proofed", "proved", "risen", "baked":
		return true
	}
	return false
}

// useStates uses up the word for what food is like when a step is over: "when is
// it hard", whatever else the book calls so.
func (s *sense) useStates(r *reading) {
	for i := range s.p.spans {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanUnused && sp.kind != spanName || sp.to != sp.from+1 || !finishedState(s.l.tokens[sp.from].plain) {
			continue
		}
		behind := i + 1
		for behind < len(s.p.spans) && (slices.Contains([]string{"at", "by", "for", "before", "dinner", "service", "lunch"}, s.l.tokens[s.span(behind).from].plain)) {
			behind++
		}
		if behind == len(s.p.spans) || s.span(behind).kind == spanClock || s.after(i) == "when" || s.before(i) == "is" || s.before(i) == "it" {
			r.used[i] = true
		}
	}
}

// asksStart reports whether it is asked when something has to begin: "start
// freezing by?", "when do i start", "begin at what time".
func (s *sense) asksStart() bool {
	t := s.l.tokens
	if s.l.says("last", "chance") || s.l.says("last", "moment") {
		return true
	}
	if n := len(t) - 1; n > 1 && t[n].plain == "by" && (placeWord(&t[n-1]) != "" || t[n-1].plain == "in" || t[n-1].plain == "on") && !s.hears("out") { // "in the fridge by?"
		return true
	}
	for k := range t {
		switch t[k].plain {
		case "start", "begin", "starting":
		default:
			continue
		}
		for j := k - 1; j >= max(0, k-5); j-- {
			switch t[j].plain {
			case "when", "latest", "must", "time":
				return true
			}
			if t[j+1].breaks {
				break
			}
		}
		for j := k + 1; j < min(len(t), k+5); j++ {
			switch w := t[j].plain; {
			case w == "when", w == "latest", w == "time" && t[j-1].plain == "what", w == "by" && (j+1 == len(t) || t[j+1].plain == "when" || t[j+1].plain == "what"):
				return true
			}
		}
	}
	return false
}

// overBy reports whether the step that is spoken of is to be over at the time
// told: "frozen by 15:00", not "for 15:00".
func (s *sense) overBy() bool {
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.meets(verbCues) && isPast(s.l.tokens[sp.from].plain) && s.clockBehind(i) != "" {
			return true
		}
	}
	return s.mustBe()
}

// spokenVerb reports whether the name of span i stands where a verb does: "when
// can i slice".
func (s *sense) spokenVerb(i int) bool {
	k := s.span(i).from
	if k < 2 || s.span(i).to != k+1 || s.l.tokens[k].breaks {
		return false
	}
	switch s.l.tokens[k-1].plain {
	case "i", "we", "you", "u", "they":
	default:
		return false
	}
	switch s.l.tokens[k-2].plain {
	case "can", "could", "may", "do", "should", "must", "shall":
		return true
	}
	return false
}

// placeIn is the cold place that something is in, not one that it comes out of.
func (s *sense) placeIn() string {
	place := s.place()
	if place == "" {
		return ""
	}
	for k := range s.l.tokens {
		if s.l.tokens[k].plain != "out" && s.l.tokens[k].plain != "outside" {
			continue
		}
		for j := k + 1; j < min(len(s.l.tokens), k+5) && !s.l.tokens[j].breaks; j++ {
			switch s.l.tokens[j].fold {
			case "of", "the", "from", "pastry", "blast", "walk", "in":
				continue
			case "fridge", "freezer":
				return ""
			}
			break
		}
	}
	return place
}

// outVerbs are the verbs of the message but those of "come out".
func (s *sense) outVerbs() []string {
	return s.verbsOf(func(i int) bool { return !s.span(i).cues.meets(cueSet{}.with(cueVerbThaw, cueVerbOut, cueVerbBake)) })
}
