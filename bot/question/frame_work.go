package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// workParts are the spans of a message about running work by what they give;
// the tokens that are left are words, which a kind must know, every one.
type workParts struct {
	names   []int
	places  []int
	clocks  []int
	times   []int // how long
	temps   []int
	numbers []int // bare
	amounts []int
	batches []int  // "2 batches"
	machine int    // where it goes in, −1
	every   int    // "every 20 min", −1
	service bool   // a time is that of a service
	word    []bool // by token
	asks    bool   // it is a question by its mark or first word
}

// workRest is what a reading of running work costs less than any other: its
// words were all known.
const workRest = 6

// frameWork: what is said of running work. It reads a message only where all
// its words are known from words/work.txt.
func frameWork(s *sense) []reading {
	if len(s.l.tokens) > 24 || len(s.l.tokens) == 0 || s.panReading() {
		return nil
	}
	s = s.workSlips()
	p, ok := s.workParts()
	if !ok {
		return nil
	}
	frames := []func(*sense, *workParts) []reading{
		(*sense).workStrike, (*sense).workNudge, (*sense).workStop, (*sense).workSnooze, (*sense).workTaken, (*sense).workHandover, (*sense).workReady, (*sense).workRunning,
		(*sense).workLeft, (*sense).workLots, (*sense).workCorrect, (*sense).workTemps, (*sense).workShould, (*sense).workTold, (*sense).workLog, (*sense).workTrial, (*sense).workStarted,
	}
	const nudge, ready, correct = 1, 6, 10 // workNudge, workReady, workCorrect
	last := len(frames) - 1
	for i, f := range frames {
		if p.service && i != ready { // only what is ready is asked for by it
			continue
		}
		if p.every >= 0 && i != nudge && i != last {
			continue
		}
		if (len(p.batches) > 0 || p.machine >= 0) && i != last {
			continue // a number of batches is only told of what goes in, and so is a machine
		}
		if rs := f(s, p); len(rs) > 0 {
			if i == correct && len(p.names) == 1 && (s.opensWith("started") || s.opensWith("began")) { // if none of it runs, it has begun now
				for _, r := range s.workStarted(p) {
					r.extra += 3
					rs = append(rs, r)
				}
			}
			return rs
		}
	}
	return nil
}

func (s *sense) workParts() (*workParts, bool) {
	p := &workParts{word: make([]bool, len(s.l.tokens)), machine: -1, every: -1}
	switch s.l.tokens[0].plain {
	case "has", "have", "is", "are", "was", "were", "will", "would", "can", "could", "does", "do", "did", "should", "may":
		p.asks = true
	}
	for i := range s.p.spans {
		sp := s.span(i)
		for k := sp.from; k < sp.to; k++ {
			p.asks = p.asks || s.l.tokens[k].question
		}
		words := false
		switch sp.kind {
		case spanName:
			switch {
			case s.thingOf(i, kb.ColdName) != nil:
				p.places = append(p.places, i)
			case p.machine < 0 && s.thingOf(i, kb.MachineName) != nil && len(s.recipesOf(i, 1)) == 0:
				p.machine = i
			case s.negated(i) || sp.to == sp.from+1 && isVerb(&s.l.tokens[sp.from]) && s.saysOf("timer", "timers", "alarm"):
				return nil, false // "set a timer" is of no recipe with "set" in its name
			default:
				p.names = append(p.names, i)
			}
		case spanClock:
			if sp.clock.HasTime || sp.clock.HasDay && len(s.workDay(sp)) == 0 {
				p.clocks = append(p.clocks, i)
			} else if sp.clock.Service != "" {
				p.clocks, p.service = append(p.clocks, i), true
			} else {
				words = true
			}
		case spanQuantity:
			switch d := sp.q.Q.Unit.Dim; {
			case sp.q.Ambiguous != nil || sp.q.Hi != nil:
				return nil, false
			case d == quantity.Time && p.every < 0 && (s.before(i) == "every" || s.before(i) == "each"):
				p.every = i
			case d == quantity.Time:
				p.times = append(p.times, i)
			case d == quantity.Temperature:
				p.temps = append(p.temps, i)
			case d != quantity.None:
				p.amounts = append(p.amounts, i)
			case s.isHour(i):
				p.clocks = append(p.clocks, i)
			case s.isFour(i):
				p.clocks = append(p.clocks, i)
			case sp.q.Words && sp.to-sp.from == 1 && !s.l.tokens[sp.from].number && len(workWords().phrases[s.l.tokens[sp.from].plain]) > 0:
				words = true
			default:
				p.numbers = append(p.numbers, i)
			}
		case spanFactor: // "2 batches of sour in the walk-in"
			if sp.to-sp.from != 2 || !s.l.tokens[sp.from].number || !isBatchWord(s.l.tokens[sp.from+1].fold) {
				return nil, false
			}
			p.batches = append(p.batches, i)
		case spanAllergen:
			return nil, false
		default:
			words = true
		}
		if words {
			for k := sp.from; k < sp.to; k++ {
				if s.l.tokens[k].number {
					return nil, false
				}
				p.word[k] = true
			}
		}
	}
	return p, true
}

// isVerb reports whether a word by itself is that of a step.
func isVerb(t *token) bool {
	n := cues().root.next[t.fold]
	return n != nil && n.set.meets(verbCues)
}

// workDay are the words of a span that work.txt reads by itself: "tonight".
func (s *sense) workDay(sp *span) map[workRole]bool {
	var words []string
	for k := sp.from; k < sp.to; k++ {
		words = append(words, s.l.tokens[k].plain)
	}
	n, has := workWords().longest(words, []workRole{"evening", "morning"})
	if n != len(words) {
		return nil
	}
	return has
}

// isHour reports whether a bare number is an hour of the day: "at six".
func (s *sense) isHour(i int) bool {
	n, whole := s.span(i).q.Q.N.Int64()
	if !whole || n < 0 || n > 23 || s.after(i) == "h" {
		return false
	}
	switch s.before(i) {
	case "at", "since", "by", "from", "around":
		return true
	}
	return false
}

// fourDigits is the time of day that a bare number of four figures is read as,
// where it counts nothing: "domes in the freezer 2240".
func (s *sense) fourDigits(i int) (Clock, bool) {
	sp := s.span(i)
	t := &s.l.tokens[sp.from]
	n, whole := sp.q.Q.N.Int64()
	if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.None || sp.to != sp.from+1 {
		return Clock{}, false
	}
	if h, m, ok := clockNumber(t.plain); ok && strings.Contains(t.plain, ".") && len(t.plain) > 3 && (isClockPreposition(s.before(i)) || isPlaceWord(s.before(i))) { // "since 14.30"
		return Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, true
	}
	if !whole || len(t.plain) != 4 || strings.Trim(t.plain, "0123456789") != "" || n/100 > 23 || n%100 > 59 {
		return Clock{}, false
	}
	if k := sp.to; k < len(s.l.tokens) && !s.l.tokens[k].breaks { // "1200 domes"
		if m, _ := workWords().longest([]string{s.l.tokens[k].plain}, []workRole{"filler", "went", "tell", "morning", "evening", "probe"}); m == 0 {
			return Clock{}, false
		}
	}
	return Clock{Hour: int(n / 100), Min: int(n % 100), HasTime: true}, true
}

func (s *sense) isFour(i int) bool {
	_, ok := s.fourDigits(i)
	return ok
}

// covers reports whether every word is one of a kind's, and which roles were met.
// With loose, one word right behind a number is what it counts.
func (s *sense) covers(p *workParts, loose bool, roles ...workRole) (map[workRole]string, bool) {
	roles = append([]workRole{"filler", "lastnight", "morning", "evening"}, roles...)
	met := map[workRole]string{}
	for k := 0; k < len(s.l.tokens); {
		if !p.word[k] {
			k++
			continue
		}
		var words []string
		for j := k; j < len(s.l.tokens) && p.word[j] && (j == k || !s.l.tokens[j].breaks); j++ {
			words = append(words, s.l.tokens[j].plain)
		}
		n, has := workWords().longest(words, roles)
		if n == 0 {
			if s.mixAt(p, k) {
				k++
				continue
			}
			if loose && (k > 0 && !p.word[k-1] && !s.l.tokens[k].breaks && s.isNumber(p, k-1) || s.numberAfter(p, k)) {
				k++
				continue
			}
			return nil, false
		}
		for _, r := range roles {
			if has[r] && met[r] == "" {
				met[r] = strings.Join(words[:n], " ")
			}
		}
		k += n
	}
	return met, true
}

// mixAt reports whether word k says what state the thing named before it is in:
// "bun dough", "the tuile batter".
func (s *sense) mixAt(p *workParts, k int) bool {
	return k > 0 && !s.l.tokens[k].breaks && mixWord(s.l.tokens[k].plain) && slices.ContainsFunc(p.names, func(i int) bool { return s.span(i).to == k })
}

// isNumber reports whether token k ends a bare number or an amount.
func (s *sense) isNumber(p *workParts, k int) bool {
	for _, list := range [][]int{p.numbers, p.amounts} {
		for _, i := range list {
			if s.span(i).to == k+1 {
				return true
			}
		}
	}
	return false
}

// numberAfter reports whether a bare number ends the message behind word k: "tub 3".
func (s *sense) numberAfter(p *workParts, k int) bool {
	if len(s.l.tokens[k].plain) < 3 || len(p.numbers) != 1 || s.span(p.numbers[0]).from != k+1 {
		return false
	}
	return k == len(s.l.tokens)-2 || s.l.tokens[k+2].breaks || s.l.tokens[k+2].plain == "of" && k == 0
}

// work begins a reading that uses all of the message.
func (s *sense) work(w Want, about string, p *workParts, met map[workRole]string) reading {
	r := s.reading(w, about)
	for i := range r.used {
		r.used[i] = true
	}
	r.extra = -s.p.cost - workRest + costFix1*len(s.slips)
	r.q.Assumed = append(r.q.Assumed, s.slips...)
	s.clockGiven(&r)
	for _, i := range p.clocks {
		if sp := s.span(i); sp.kind == spanQuantity {
			h, _ := sp.q.Q.N.Int64()
			c := Clock{}
			if r.q.Clock != nil {
				c = *r.q.Clock
			}
			c.Hour, c.Min, c.HasTime, c.Half = int(h), 0, true, h < 13
			if four, ok := s.fourDigits(i); ok {
				c.Hour, c.Min, c.Half = four.Hour, four.Min, four.Half
			}
			r.q.Clock = &c
		}
	}
	if c := r.q.Clock; c != nil && c.HasTime {
		_, night := met["lastnight"]
		_, evening := met["evening"]
		_, morning := met["morning"]
		switch {
		case night:
			c.HasDay, c.Day = true, -1
			fallthrough
		case evening:
			if c.Half && c.Hour < 12 {
				c.Hour += 12
			}
			c.Half = false
		case morning:
			c.Half = false
		}
	} else if _, night := met["lastnight"]; night && r.q.Clock == nil {
		r.q.Clock = &Clock{HasDay: true, Day: -1}
	}
	s.workNames(&r, p)
	r.q.Place = s.place()
	if w == WantStarted {
		r.q.Place = s.placeIn()
	}
	r.q.Work.Pronoun = len(p.names) == 0
	if _, morning := met["morning"]; morning && (r.q.Clock == nil || !r.q.Clock.HasTime) {
		r.q.Work.Morning = true
	}
	if v, ok := met["doing"]; ok {
		r.q.Work.Verb = v
	}
	return r
}

func (s *sense) workNames(r *reading, p *workParts) {
	for _, i := range p.names {
		r.q.Work.Named = true
		for k := s.span(i).from; k < s.span(i).to; k++ {
			r.q.Work.Words = append(r.q.Work.Words, s.l.tokens[k].fold)
		}
		for _, o := range s.recipesOf(i, 12) {
			if !slices.Contains(r.q.Work.Recipes, o.recipe) {
				r.q.Work.Recipes = append(r.q.Work.Recipes, o.recipe)
			}
		}
	}
}

// bare reports whether the message gives no more than a name and a time of day.
func (p *workParts) bare() bool {
	return len(p.names) <= 1 && len(p.times) == 0 && len(p.temps) == 0 && len(p.numbers) == 0 && len(p.amounts) == 0
}

func (s *sense) workStop(p *workParts) []reading {
	met, ok := s.covers(p, false, "stop")
	if !ok || met["stop"] == "" || !p.bare() {
		return nil
	}
	r := s.work(WantStop, "timer", p, met)
	r.q.Work.All = len(p.names) == 0 && s.saysOf("all", "everything", "timers")
	return []reading{r}
}

func (s *sense) workSnooze(p *workParts) []reading {
	met, ok := s.covers(p, false, "snooze")
	if !ok || met["snooze"] == "" || len(p.names) > 1 || len(p.clocks)+len(p.temps)+len(p.amounts) > 0 || len(p.times)+len(p.numbers) > 1 {
		return nil
	}
	if len(p.times)+len(p.numbers) == 0 && !strings.HasPrefix(met["snooze"], "snooze") && met["snooze"] != "later" && met["snooze"] != "not yet" {
		return nil
	}
	if len(p.numbers) == 1 && s.ofThem(p.numbers[0]) {
		return nil // "need 40 of them" are no minutes
	}
	r := s.work(WantSnooze, "timer", p, met)
	r.q.Work.Minutes = s.workMinutes(p, true)
	return []reading{r}
}

// workMinutes is the time that the message gives, in minutes; a bare number too
// where that can be meant, and "4 h 20".
func (s *sense) workMinutes(p *workParts, bare bool) *quantity.Number {
	var n quantity.Number
	switch {
	case len(p.times) > 0:
		for _, i := range p.times {
			n = n.Add(s.span(i).q.Q.Base())
		}
		if len(p.numbers) == 1 && s.span(p.numbers[0]).from == s.span(p.times[0]).to {
			n = n.Add(s.span(p.numbers[0]).q.Q.N)
		}
	case bare && len(p.numbers) == 1:
		n = s.span(p.numbers[0]).q.Q.N
	default:
		return nil
	}
	return &n
}

func (s *sense) workTaken(p *workParts) []reading {
	met, ok := s.covers(p, false, "taken")
	if !ok || met["taken"] == "" || !p.bare() || len(p.clocks) > 0 || p.asks {
		return nil
	}
	for _, i := range p.names { // "out of fresh yeast": there is none
		if f := s.span(i).from; f > 1 && s.l.tokens[f-1].plain == "of" && s.l.tokens[f-2].plain == "out" {
			return nil
		}
	}
	return []reading{s.work(WantTaken, "timer", p, met)}
}

func (s *sense) workHandover(p *workParts) []reading {
	met, ok := s.covers(p, false, "handover")
	if !ok || met["handover"] == "" || !p.bare() || len(p.names)+len(p.clocks) > 0 {
		return nil
	}
	return []reading{s.work(WantHandOver, "timer", p, met)}
}

func (s *sense) workReady(p *workParts) []reading {
	met, ok := s.covers(p, false, "ready")
	if !ok || met["ready"] == "" || !p.bare() || len(p.names) > 0 || len(p.clocks) > 2 {
		return nil
	}
	return []reading{s.work(WantReadyList, "timer", p, met)}
}

func (s *sense) workRunning(p *workParts) []reading {
	roles := []workRole{"running", "doing"}
	if len(p.places) == 1 {
		roles = append(roles, "inside")
	}
	met, ok := s.covers(p, false, roles...)
	if !ok || met["running"] == "" || !p.bare() || len(p.names)+len(p.clocks) > 0 {
		return nil
	}
	inside := len(p.places) == 1 && s.before(p.places[0]) != "" && s.saysOf("in") // "what's in the blast freezer"
	if met["doing"] == "" && !inside && !strings.Contains(met["running"], "timer") && !strings.HasPrefix(met["running"], "whats going") && met["running"] != "whats on" && met["running"] != "what is on" {
		return nil
	}
	return []reading{s.work(WantRunning, "timer", p, met)}
}

func (s *sense) workLeft(p *workParts) []reading {
	met, ok := s.covers(p, false, "left", "until", "doing")
	if !ok || !p.bare() || len(p.clocks) > 0 || s.runsNow() > 0 {
		return nil
	}
	if met["left"] == "" { // "is the base ready"
		switch met["until"] {
		case "ready", "done", "set", "frozen":
		default:
			return nil
		}
		if !p.asks || len(p.names) != 1 {
			return nil
		}
	}
	past := false
	switch met["left"] { // "when did the domes go in"
	case "when was", "when were", "when did":
		switch met["until"] {
		case "put in", "go in", "go into", "went in":
			past = true
		default:
			return nil
		}
	}
	if len(p.names) == 0 && met["until"] == "" && len(s.l.tokens) > 5 {
		return nil
	}
	r := s.work(WantLeft, "timer", p, met)
	r.q.Work.Verb = ""
	if strings.HasPrefix(met["left"], "how long ha") && met["until"] == "been in" || past {
		r.q.Work.Since = true
	}
	return []reading{r}
}

func (s *sense) workLots(p *workParts) []reading {
	met, ok := s.covers(p, false, "lots")
	if !ok || met["lots"] == "" || !p.bareButNames() || len(p.clocks) == 0 || s.any(cueUseby) || s.saysOf("label") && s.saysOf("date") || // a label asks for a date
		len(p.names) > 0 && s.l.stood("fit") && !s.saysOf("which", "what") { // "custard made monday, still fine"
		return nil
	}
	for _, i := range p.clocks {
		if sp := s.span(i); sp.kind != spanClock || sp.clock.HasTime {
			return nil
		}
	}
	return []reading{s.work(WantLots, "timer", p, met)}
}

func (p *workParts) bareButNames() bool {
	return len(p.names) <= 2 && len(p.times) == 0 && len(p.temps) == 0 && len(p.numbers) == 0 && len(p.amounts) == 0
}

func (s *sense) workCorrect(p *workParts) []reading {
	met, ok := s.covers(p, false, "went", "correct")
	if !ok || p.asks || met["went"] == "" && met["correct"] == "" || len(p.names) > 0 && met["correct"] == "" || len(p.clocks) == 0 && len(p.times) == 0 {
		return nil
	}
	if len(p.temps)+len(p.numbers)+len(p.amounts) > 0 || len(p.names) > 1 {
		return nil
	}
	ago, long := s.spans()
	if long != nil && ago == nil {
		return nil
	}
	r := s.work(WantCorrect, "timer", p, met)
	if ago == nil && (r.q.Clock == nil || !r.q.Clock.HasTime) {
		return nil
	}
	r.q.Ago = ago
	r.q.Work.Late = met["correct"] != ""
	return []reading{r}
}

// workLog: "jus 57 at 15:10", "21 at 16:50", "jus is 57 °C".
func (s *sense) workLog(p *workParts) []reading {
	met, ok := s.covers(p, false, "probe", "cools")
	if !ok || p.asks || len(p.names) > 1 || len(p.times)+len(p.amounts) > 0 || len(p.temps)+len(p.numbers) != 1 {
		return nil
	}
	var c quantity.Number
	switch {
	case len(p.temps) == 1:
		q, err := s.span(p.temps[0]).q.Q.In(quantity.Celsius)
		if err != nil {
			return nil
		}
		c = q.N
	default: // a bare number needs a time behind it, and the name before it
		i := p.numbers[0]
		if said := s.saysTemp(i); !said && (len(p.clocks) == 0 || len(p.names) == 1 && p.names[0] > i || p.clocks[0] < i) {
			return nil
		}
		c = s.span(i).q.Q.N
	}
	if c.Less(quantity.Int(-60)) || quantity.Int(260).Less(c) {
		return nil
	}
	if len(p.names) == 1 && len(s.recipesOf(p.names[0], 1)) == 0 || len(p.names) == 0 && len(p.clocks) == 0 && (len(p.numbers) == 0 || !s.saysTemp(p.numbers[0])) {
		return nil
	}
	if len(p.names) == 1 && len(p.clocks) == 0 && met["probe"] == "" && met["cools"] == "" && len(s.l.tokens) > 5 && !(len(s.l.tokens) < 9 && s.saysOf("is", "its", "are")) {
		return nil
	}
	r := s.work(WantLogTemp, "log", p, met)
	r.q.Work.Celsius = &c
	s.workUse(&r)
	return s.eachRecipe(r, p)
}

// workUse says what the temperatures of a message are of: food put to cool, or held hot.
func (s *sense) workUse(r *reading) {
	for k := range s.l.tokens {
		r.q.Work.Cooled = r.q.Work.Cooled || s.workAt(k, "cools") > 0
	}
	r.q.Work.Held = !r.q.Work.Cooled && (s.safetyPhrase("rule hot") || s.saysOf("holding", "held"))
}

// saysTemp reports whether a bare number is said as a temperature: "soup is at
// 65", "its 40 now". What may be an hour is none.
func (s *sense) saysTemp(i int) bool {
	n := s.span(i).q.Q.N
	probe := s.saysOf("core", "temp", "temperature", "probe", "reads", "holding", "held", "sits", "on", "in")
	goesOn := s.ctx != nil && s.ctx.Last != nil && s.ctx.Last.Want == WantLogTemp // "its 21 now", of what was just told
	if !quantity.Int(24).Less(n) && !goesOn || !s.saysOf("is", "its", "are", "now") && !probe {
		return false
	}
	before := s.before(i)
	if s.after(i) == "now" && i > 0 && s.span(i-1).kind == spanName && s.span(i-1).to == s.span(i).from { // "stew 58 now"
		before = "now"
	}
	end := s.span(i).to
	name := i > 0 && s.span(i-1).kind == spanName && s.span(i-1).to == s.span(i).from && len(s.recipesOf(i-1, 1)) > 0
	switch before {
	case "core", "temp", "temperature", "probe", "reads", "holding":
		return end == len(s.l.tokens)
	}
	if name && s.saysOf("core", "temp", "temperature") { // "temp of soup 64"
		return end == len(s.l.tokens)
	}
	if name && before != "now" && end < len(s.l.tokens) { // "soup 64 on the pass"
		w := s.l.tokens[end].plain
		return (w == "in" || w == "on") && s.workAt(end, "probe") == len(s.l.tokens)-end
	}
	switch before {
	case "at", "is", "its", "to", "now":
		if end == len(s.l.tokens) || end == len(s.l.tokens)-1 && s.l.tokens[end].plain == "now" {
			return true
		}
		w := s.l.tokens[end].plain // "stew is 55 in the well"
		return (w == "in" || w == "on") && s.workAt(end, "probe") == len(s.l.tokens)-end
	}
	return false
}

// eachRecipe is a reading for each recipe that the name may mean.
func (s *sense) eachRecipe(r reading, p *workParts) []reading {
	if len(p.names) == 0 {
		return []reading{r}
	}
	var out []reading
	for _, o := range s.recipesOf(p.names[0], 24) {
		one := r.clone()
		one.q.Targets = []Target{{Recipe: o.recipe, Part: o.part}}
		one.extra += o.cost
		out = append(out, one)
	}
	return out
}

// workTrial: "domes were hard at 4 h 20".
func (s *sense) workTrial(p *workParts) []reading {
	met, ok := s.covers(p, false, "hard")
	if !ok || p.asks || len(p.names) > 1 || len(p.temps) > 0 || len(p.numbers) > 1 || len(p.amounts) > 1 || s.l.stood("ends") {
		return nil
	}
	var thick *quantity.Number
	for _, i := range p.amounts { // "hard after 5 h at 4 cm"
		q := s.span(i).q.Q
		if q.Unit.Dim != quantity.Length {
			return nil
		}
		t := q.Base()
		thick = &t
	}
	if len(p.names) == 0 && !s.saysOf("it", "they", "them", "those") || s.saysOf("timer", "timers", "alarm") {
		return nil
	}
	word := met["hard"]
	for k := range s.l.tokens { // the word for how it was, not the one for when
		if w := s.l.tokens[k].plain; p.word[k] && w != "after" && w != "in" && w != "took" && w != "only" {
			if n, has := workWords().longest([]string{w}, []workRole{"hard"}); n > 0 && has["hard"] {
				word = w
				break
			}
		}
	}
	n := s.workMinutes(p, false)
	if word == "" || n == nil && len(p.clocks) == 0 || len(p.numbers) == 1 && n == nil {
		return nil
	}
	switch word {
	case "after", "in", "took", "only took":
		if word == "after" || word == "in" {
			return nil
		}
	}
	ago, _ := s.spans()
	if ago != nil || slices.ContainsFunc(p.clocks, func(i int) bool { w := s.before(i); return w == "for" || w == "by" || w == "before" }) { // "thawed for 7 tonight" is still to be
		return nil
	}
	r := s.work(WantTrial, "log", p, met)
	r.q.Work.Minutes, r.q.Work.Hard, r.q.Heat.Thick = n, word, thick
	return s.eachRecipe(r, p)
}
