package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// moment turns a clock of the message into a time near now: a bare clock time
// is the nearest sensible one, before now for what happened, after it for what is planned.
func (b *Book) moment(c *question.Clock, now time.Time, past bool) (time.Time, bool) {
	if c == nil {
		return now, false
	}
	day := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, b.Zone)
	if c.HasDay {
		day = day.AddDate(0, 0, c.Day)
		if c.Weekday > 0 {
			diff := (c.Weekday - int(now.Weekday()) + 7) % 7
			if past && diff > 0 {
				diff -= 7
			}
			day = day.AddDate(0, 0, diff)
		}
	}
	if c.Month < 0 { // "the 12th": of this month or the one before
		for m := now.Month(); ; m-- {
			if day = time.Date(now.Year(), m, c.Date, 0, 0, 0, 0, b.Zone); day.Day() == c.Date && !day.After(now) {
				break
			}
		}
	}
	if c.Month > 0 { // the nearest such day on that side
		day = time.Date(now.Year(), time.Month(c.Month), c.Date, 0, 0, 0, 0, b.Zone)
		switch {
		case past && day.After(now):
			day = time.Date(now.Year()-1, time.Month(c.Month), c.Date, 0, 0, 0, 0, b.Zone)
		case !past && day.AddDate(0, 0, 1).Before(now):
			day = time.Date(now.Year()+1, time.Month(c.Month), c.Date, 0, 0, 0, 0, b.Zone)
		}
	}
	h, m := c.Hour, c.Min
	if !c.HasTime {
		if c.Service == "" || len(b.Snap.House.Service) == 0 {
			if c.HasDay { // "made yesterday": at this time of that day
				return time.Date(day.Year(), day.Month(), day.Day(), now.Hour(), now.Minute(), now.Second(), 0, b.Zone), true
			}
			return now, c.Now
		}
		s := b.Snap.House.Service[len(b.Snap.House.Service)-1]
		if c.Service == "lunch" {
			s = b.Snap.House.Service[0]
		}
		h, m = int(s)/60, int(s)%60
	}
	best := time.Date(day.Year(), day.Month(), day.Day(), h, m, 0, 0, b.Zone)
	var options []time.Time
	for d := -1; d <= 1; d++ {
		if c.HasDay && d != 0 {
			continue
		}
		for _, hh := range []int{h, h + 12} {
			if hh >= 24 || hh != h && !c.Half {
				continue
			}
			if hh != h && past && c.HasDay && h >= 6 && day.AddDate(0, 0, 1).Before(now) { // "since monday 10:00" is the morning's
				continue
			}
			options = append(options, time.Date(day.Year(), day.Month(), day.Day()+d, hh, m, 0, 0, b.Zone))
		}
	}
	found := false
	for _, t := range options {
		if past && t.After(now) || !past && t.Before(now) {
			continue
		}
		if !found || absDuration(t.Sub(now)) < absDuration(best.Sub(now)) {
			best, found = t, true
		}
	}
	return best, true
}

func absDuration(d time.Duration) time.Duration {
	if d < 0 {
		return -d
	}
	return d
}

func minutes(n quantity.Number) time.Duration { return time.Duration(n.Float() * float64(time.Minute)) }

// momentFact is a moment with its day said where it is not today.
func momentFact(what string, t, now time.Time) Fact {
	f := Fact{What: what, Time: &t, Unit: "time", From: FromCalculated, Shown: showMoment(t, now)}
	return f
}

// showMoment writes the clock and, where it is another day, the day.
func showMoment(t, now time.Time) string {
	if t.Year() == now.Year() && t.YearDay() == now.YearDay() {
		return t.Format("15:04")
	}
	return t.Format("15:04 Mon 2 Jan")
}

// timed are the steps with a time that a question may mean.
func (b *Book) timed(q *question.Question) []placed {
	if n := q.Work.Step; n > 0 { // chosen when asked back
		if r := q.Targets[0].Recipe; n <= len(r.Method) && r.Method[n-1].For != nil {
			return []placed{{&r.Method[n-1], r}}
		}
	}
	has := func(st *recipe.Step) bool { return st.For != nil }
	ps := b.pickSteps(q.Targets[0].Recipe, q, has)
	if len(ps) == 0 && q.Thing != nil && q.Thing.Kind == kb.MachineName && strings.HasSuffix(q.Thing.Fold, "oven") { // another oven than the book's
		ask := *q
		ask.Thing, ask.Oven = nil, true
		ps = b.pickSteps(q.Targets[0].Recipe, &ask, has)
	}
	return ps
}

// ready: when something that went in is ready.
func ready(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Want == question.WantTimer && q.Ago != nil {
		b.plainTimer(a, q, now)
		return
	}
	r := q.Targets[0].Recipe
	ps := b.timed(q)
	if up, ok := b.upTo(r, q); ok {
		if several := sameVerb(up, ps); len(several) > 1 { // "proofing now, when in the oven" where the book proofs twice
			whichStep(a, q, r, several)
			return
		}
		b.readyAfter(a, q, r, up, now)
		return
	}
	if len(q.Goal.After) > 0 && slices.ContainsFunc(ps, func(p placed) bool {
		return slices.ContainsFunc(q.Goal.After, func(v string) bool { return verbIs(p.step, v) })
	}) {
		ps = nil // that one is over, and the book has none behind it
	}
	if len(ps) > 0 && ps[0].of != r && len(q.Verbs) == 0 && q.Place == "" && !q.Oven && !r.IsPlate {
		ps = nil // what goes in is this, not what it is made from
	}
	if len(ps) == 0 && len(q.Verbs) > 0 && q.Verbs[0] == "brine" && q.Place == "" && !q.Oven { // "in the brine now": what it lies in, where the book has one time to wait
		in := *q
		in.Verbs = nil
		if w := waiting(b.timed(&in)); len(w) == 1 && w[0].of == r {
			ps = w
		}
	}
	if len(ps) == 0 && q.Place == "bath" { // "went in the bath, when does it come out"
		in := *q
		in.Verbs = nil
		ps = b.timed(&in)
	}
	if len(ps) == 0 {
		b.noStep(a, q, r)
		return
	}
	if len(ps) > 1 && len(q.Verbs) == 0 && q.Place == "" && !q.Oven {
		if hot := onHeat(q, ps); len(hot) > 0 {
			ps = hot
		} else {
			ps = waiting(ps)
		}
	}
	if in := question.Words(q.Say); len(ps) > 1 && len(q.Verbs) == 0 && (q.Want == question.WantStarted || q.Want == question.WantTimer && slices.Contains(in, "in") && !slices.Contains(in, "out")) {
		ps = goingIn(ps)
	}
	if core := coreStep(r); len(ps) > 1 && core != nil && core.For != nil && unmoulding(q.Say) {
		ps = []placed{{core, r}} // what is frozen in its mould is turned out when it is frozen
	}
	if len(ps) > 1 && q.Want == question.WantReady && len(q.Verbs) == 0 && oneBake(ps) {
		b.readyAfter(a, q, r, ps, now) // in at one heat, on at another
		return
	}
	if len(ps) > 1 && distinct(ps) {
		whichStep(a, q, r, ps)
		return
	}
	b.readyAfter(a, q, r, ps[:1], now)
}

// sameVerb are the steps of a chain that the one it begins at may be as well.
func sameVerb(chain, asked []placed) []placed {
	var out []placed
	for _, p := range chain {
		if verbIs(p.step, chain[0].step.Verb) && slices.ContainsFunc(asked, func(o placed) bool { return o.step == p.step }) {
			out = append(out, p)
		}
	}
	return out
}

// readyAfter is when steps that follow one another are over, the first from its start.
func (b *Book) readyAfter(a *Answer, q *question.Question, r *kb.Recipe, ps []placed, now time.Time) {
	st := ps[0].step
	start := now
	if q.Clock != nil && (q.Clock.HasTime || q.Clock.HasDay) {
		var ahead bool
		start, ahead = b.Began(q.Clock, q.Say, now)
		if f, soon := b.soon(q, start, now, ps); soon {
			ask := *q
			ask.Want = question.WantReady // nothing runs yet
			q, start, ahead = &ask, f, false
		}
		if ahead && (q.Want == question.WantStarted || q.Want == question.WantTimer && start.After(now)) {
			a.asks("ask past", nil)
			return
		}
	}
	if q.Ago != nil && q.Want != question.WantTimer {
		start = now.Add(-minutes(q.Ago.Base()))
	}
	sp, how, ok := spanOf(ps)
	if !ok {
		a.unknown("no such step", r.Name)
		return
	}
	put := func(what string, n *quantity.Number) {
		if n == nil {
			return
		}
		f := momentFact(what, start.Add(minutes(*n)), now)
		f.Of, f.How, f.At = ps[0].of.Name, how, ps[len(ps)-1].step.Where
		a.add(f)
	}
	if n := least(sp); n != nil && start.Before(now) && leftAsked(q.Say) {
		if end := start.Add(minutes(*n)); end.After(now) {
			f := timeToGo(end, now)
			f.Of = ps[0].of.Name
			a.add(f)
		}
	}
	latest := saysAny(q.Say, " latest ", " at most ", " maximum ", " max ")
	if latest { // by when it must be out, before when it may
		put("never over", sp.Never)
		put("at the latest", sp.Max)
		sp.Never, sp.Max = nil, nil
	}
	switch {
	case sp.Exact != nil:
		put("ready at", sp.Exact)
	case sp.Min != nil:
		put("ready at", sp.Min)
		put("at the latest", sp.Max)
	default:
		put("at the latest", sp.Max)
	}
	put("never over", sp.Never)
	for _, p := range ps {
		t := spanFact(p.step.Verb, p.step.For, p.step.Where)
		t.Of = p.of.Name
		a.add(t)
	}
	a.Title = Title{Recipe: ps[0].of.Name}
	if (q.Want == question.WantTimer || q.Want == question.WantStarted) && len(ps) == 1 {
		a.Begun = begun(ps[0], start)
	}
	if len(q.Goal.Verbs) > 0 && q.Ago == nil && (q.Clock == nil || !q.Clock.HasTime && !q.Clock.HasDay) {
		a.note("begun now", st.Verb)
	}
	a.note("ready check")
}

// least is the shortest that a span may last, nil where it has only a longest.
func least(sp recipe.Span) *quantity.Number {
	if sp.Exact != nil {
		return sp.Exact
	}
	return sp.Min
}

// onHeat keeps the steps on a stove, where it is said that something is on: "jus on now".
func onHeat(q *question.Question, ps []placed) []placed {
	say := " " + strings.Join(question.Words(q.Say), " ") + " "
	if !saysOn(q) && !slices.ContainsFunc([]string{" on now ", " on the stove ", " on the heat ", " on the hob ", " on the flame ", " on the fire ", " on the burner ", " just on ", " put on ", " is on "}, func(w string) bool { return strings.Contains(say, w) }) {
		return nil
	}
	var out []placed
	for _, p := range ps {
		if slices.ContainsFunc([]string{"simmer", "boil", "cook", "reduce", "braise", "poach", "stew", "confit", "fry", "steam", "caramelise"}, func(v string) bool { return verbIs(p.step, v) }) && !isOven(p.step) {
			out = append(out, p)
		}
	}
	return out
}

// toldOn reports whether something is told to be on since a time of day: "stock on
// 7.30", not "will go on at 7.30".
func toldOn(q *question.Question) bool {
	return saysOn(q) && !q.Clock.HasDay && !saysAny(q.Say, " will ", " goes ", " going ", " go ", " if ", " tonight ", " shall ", " should ", " want ")
}

// saysOn reports whether a time of day stands behind the "on" of a stove.
func saysOn(q *question.Question) bool {
	if q.Clock == nil || !q.Clock.HasTime {
		return false
	}
	words := question.Words(q.Say)
	for i, w := range words {
		k := i + 1
		if w != "on" || k >= len(words) {
			continue
		}
		for k+1 < len(words) && k < i+4 && slices.Contains([]string{"at", "to", "the", "simmer", "boil", "cook", "reduce", "braise", "stove", "heat", "hob"}, words[k]) {
			k++
		}
		if c := words[k][0]; c >= '0' && c <= '9' {
			return true
		}
	}
	return false
}

// oneBake reports whether steps follow one another in the oven with nothing between them.
func oneBake(ps []placed) bool {
	for i, p := range ps {
		if !isOven(p.step) || i > 0 && (p.of != ps[0].of || stepIndex(p.of, p.step) != stepIndex(p.of, ps[i-1].step)+1) {
			return false
		}
	}
	return true
}

// leftAsked reports whether it is asked how long something still takes.
func leftAsked(say string) bool {
	return saysAny(say, " how much longer ", " how long left ", " how long till ", " how long until ", " how long til ", " time left ", " how long more ", " how much time ", " how long have they got ", " how long ha it got ", " how long have we got ", " how long have i got ", " how many minute ", " how many more minute ", " how many min ", " how many more min ", " minute left ", " min left ", " hour left ", " long to go ", " much to go ", " still to go ", " have they got left ", " ha it got left ") ||
		saysAny(say, " how long do they have ", " how long doe it have ") && !saysAny(say, " have to ")
}

// timeToGo is how long it is until a moment, in minutes.
func timeToGo(until, now time.Time) Fact {
	n := quantity.Int(int64(until.Sub(now) / time.Minute))
	return Fact{What: "time left", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), From: FromClock}
}

// whichStep asks back which of several steps is meant.
func whichStep(a *Answer, q *question.Question, r *kb.Recipe, ps []placed) {
	var choices []question.Choice
	for _, p := range ps {
		label := p.step.Verb
		if slices.ContainsFunc(ps, func(o placed) bool { return o.step != p.step && o.step.Verb == p.step.Verb }) {
			label += ": " + p.step.For.Text
		}
		q2 := *q
		q2.Verbs = []string{p.step.Verb}
		for i := range r.Method {
			if &r.Method[i] == p.step {
				q2.Work.Step = i + 1
			}
		}
		choices = append(choices, question.Choice{Label: label, Question: &q2})
	}
	a.asks("ask step", choices, r.Name)
}

// goingIn keeps the steps that something is put in for, not those it is taken
// out for.
func goingIn(ps []placed) []placed {
	in := slices.DeleteFunc(slices.Clone(ps), func(p placed) bool { return verbIs(p.step, "thaw") || verbIs(p.step, "temper") })
	if hot := slices.DeleteFunc(slices.Clone(in), func(p placed) bool { // what is only mixed or rests goes nowhere
		return !verbIs(p.step, "bake") && !verbIs(p.step, "roast") && !verbIs(p.step, "steam") && !verbIs(p.step, "freeze") && !verbIs(p.step, "proof") && p.step.Where == ""
	}); len(hot) > 0 {
		return hot
	}
	if len(in) == 0 {
		return ps
	}
	return in
}

func unmoulding(say string) bool {
	say = strings.ToLower(say)
	return slices.ContainsFunc([]string{"unmould", "unmold", "demould", "demold", "turn out", "turned out"}, func(w string) bool { return strings.Contains(say, w) })
}

// begun is a step of the book with its start.
func begun(p placed, start time.Time) *Begun {
	sp := p.step.For
	length := func(n *quantity.Number) time.Duration {
		if n == nil {
			return 0
		}
		return minutes(*n)
	}
	g := &Begun{Recipe: p.of, Verb: p.step.Verb, Span: sp.Text, Where: p.step.Where, Start: start,
		Least: length(sp.Min), Most: length(sp.Max), Never: length(sp.Never)}
	if sp.Exact != nil {
		g.Least = minutes(*sp.Exact)
	}
	if e := p.step.StirEvery; e != nil {
		g.Stir = minutes(e.Base())
	}
	if g.Where == "" {
		g.Where = p.step.In
	}
	return g
}

// waiting keeps the steps that "went in" may mean: into the oven, where there is
// such a step, else into a place where it sits by itself.
func waiting(ps []placed) []placed {
	var out []placed
	for _, p := range ps {
		if isOven(p.step) {
			out = append(out, p)
		}
	}
	if len(out) > 0 {
		return out
	}
	for _, p := range ps {
		if p.step.Where != "" || isOven(p.step) {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return ps
	}
	return out
}

func distinct(ps []placed) bool {
	for _, p := range ps[1:] {
		if p.step.For.Text != ps[0].step.For.Text {
			return true
		}
	}
	return false
}

// takingOut reports whether it is asked when to take something out.
func takingOut(q *question.Question) bool {
	if q.Goal.In || len(q.Verbs) > 0 && q.Verbs[0] != "thaw" && q.Verbs[0] != "freeze" {
		return false
	}
	say := " " + strings.Join(question.Words(q.Say), " ") + " "
	return slices.ContainsFunc([]string{" out of freezer ", " out the freezer ", " out of the blast ", " out of blast ", " out when ", " when out ", " take out ", " take them out", " take it out", " taken out", " come out", " comes out", " out of the freezer", " pull "}, func(w string) bool { return strings.Contains(say, w) })
}

// latest: when it must start to be ready in time.
func latest(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		b.latestOf(a, q)
		return
	}
	r := q.Targets[0].Recipe
	end, ok := b.moment(q.Clock, now, false)
	if c := q.Clock; c != nil && !c.HasTime && c.Service == "" && c.HasDay && (c.Day > 0 || c.Weekday > 0) && len(b.Snap.House.Service) > 0 { // "for tomorrow" is no hour
		if slices.Contains(question.Words(q.Say), "morning") {
			a.asks("ask when", nil, r.Name)
			return
		}
		day := *c
		day.Service = "dinner"
		end, ok = b.moment(&day, now, false)
		a.assume("service")
	}
	if !ok && len(b.Snap.House.Service) > 0 {
		end, ok = b.moment(&question.Clock{Service: "dinner"}, now, false)
		a.assume("service")
	}
	if !ok {
		a.asks("ask when", nil, r.Name)
		return
	}
	if takingOut(q) { // what comes out for a service thaws
		ask := *q
		ask.Verbs, ask.Place = []string{"thaw", "temper"}, ""
		if ps := b.timed(&ask); len(ps) > 0 {
			q = &ask
		}
	}
	if up, ok := b.upTo(r, q); ok {
		b.startFor(a, up, end, now, q.Ago)
		return
	}
	if all := startsAll(r, q); len(all) > 1 {
		b.startFor(a, all, end, now, nil)
		return
	}
	ps := b.timed(q)
	if len(ps) > 0 && ps[0].of != r && len(q.Verbs) == 0 && q.Place == "" && !q.Oven && !r.IsPlate {
		ps = nil // when this is begun, not what it is made from
	}
	if len(ps) == 0 && q.FromTalk && len(q.Verbs) > 0 { // not of what was spoken of: of what then
		b.latestOf(a, q)
		return
	}
	if len(ps) == 0 {
		a.unknown("no such step", r.Name)
		return
	}
	if len(q.Verbs) == 0 { // what may last so long at most says when it may begin, not by when it must
		if ps = slices.DeleteFunc(slices.Clone(ps), func(p placed) bool { return p.step.For.Exact == nil && p.step.For.Min == nil }); len(ps) == 0 {
			a.unknown("no such step", r.Name)
			return
		}
	}
	if len(ps) > 1 && len(q.Verbs) == 0 && q.Place == "" && !q.Oven {
		if ps = waiting(ps); len(ps) > 1 && !(q.Goal.In && oneBake(ps)) {
			whichStep(a, q, r, ps)
			return
		}
	}
	if q.Goal.Whole {
		if through := throughOven(ps[len(ps)-1]); len(through) > 1 {
			b.startFor(a, through, end, now, nil)
			b.after(a, through[len(through)-1])
			return
		}
	}
	if len(ps) > 1 && (q.Oven || q.Goal.In) && oneBake(ps) { // in at one heat, on at another
		b.startFor(a, ps, end, now, nil)
		return
	}
	b.startFor(a, ps[len(ps)-1:], end, now, q.Ago)
	if !q.Goal.Done {
		b.after(a, ps[len(ps)-1])
	}
}

// throughOven are the timed steps from one on to the last that is baked after it.
func throughOven(p placed) []placed {
	out := []placed{p}
	oven := 0
	for k := stepIndex(p.of, p.step) + 1; k > 0 && k < len(p.of.Method); k++ {
		if st := &p.of.Method[k]; st.For != nil {
			if out = append(out, placed{st, p.of}); isOven(st) {
				oven = len(out)
			}
		}
	}
	return out[:max(oven, 1)]
}

// after tells what still comes after a step and takes its time, for what is told
// may be when all is to be done.
func (b *Book) after(a *Answer, p placed) {
	var said []string
	i := stepIndex(p.of, p.step)
	for k := i + 1; i >= 0 && k < len(p.of.Method); k++ {
		st := &p.of.Method[k]
		if st.For == nil || !waits(st) || verbIs(st, "thaw") || verbIs(st, "hold") {
			continue
		}
		f := spanFact(st.Verb, st.For, st.Where)
		f.Of, f.Group = p.of.Name, GroupNote
		a.add(f)
		said = append(said, st.Verb+" "+st.For.Text)
	}
	if len(said) > 0 {
		a.note("comes after", strings.Join(said, ", "))
	}
}

// startFor is when steps that follow one another must start to be over at a moment.
func (b *Book) startFor(a *Answer, ps []placed, end, now time.Time, said *quantity.Quantity) {
	sp, how, ok := spanOf(ps)
	if !ok {
		a.unknown("no such step", ps[0].of.Name)
		return
	}
	n := least(sp)
	if n == nil {
		n = sp.Max
	}
	if len(ps) == 1 {
		how = sp.Text
	}
	if said != nil && len(ps) == 1 { // "cured 22 h by 16:00": what the book leaves to choose
		m := said.Base()
		n, how = &m, said.String()
	}
	start := end.Add(-minutes(*n))
	f := momentFact("start at", start, now)
	f.Of, f.How, f.At = ps[0].of.Name, showMoment(end, now)+" − "+how, ps[0].step.Where
	a.add(f)
	e := momentFact("ready at", end, now)
	e.From = FromAsked
	a.add(e)
	for _, p := range ps {
		t := spanFact(p.step.Verb, p.step.For, p.step.Where)
		t.Of = p.of.Name
		a.add(t)
	}
	a.note("for moment", e.Shown)
	if start.Before(now) {
		a.note("too late")
	}
	a.Title = Title{Recipe: ps[0].of.Name}
}

// latestOf asks which recipe is meant: one with such a step.
func (b *Book) latestOf(a *Answer, q *question.Question) {
	var found []*kb.Recipe
	for _, r := range b.Snap.Recipes {
		for i := range r.Method {
			st := &r.Method[i]
			if st.For != nil && len(q.Verbs) > 0 && verbIs(st, q.Verbs[0]) {
				found = append(found, r)
				break
			}
		}
	}
	if len(found) > 8 {
		found = nil
	}
	a.asks("ask recipe", candidates(found))
}

// plainTimer: "timer 8 minutes": when that is over.
func (b *Book) plainTimer(a *Answer, q *question.Question, now time.Time) {
	if q.Ago == nil && q.Clock != nil && q.Clock.HasTime { // "remind me at 17:00"
		at, _ := b.moment(q.Clock, now, false)
		if !at.After(now) {
			a.asks("ask when", nil, "")
			return
		}
		a.Recipe = nil
		a.add(momentFact("ready at", at, now))
		a.Begun = &Begun{Start: now, Least: at.Sub(now), Span: "at " + showMoment(at, now)}
		return
	}
	if q.Ago == nil || q.Ago.Base().Sign() <= 0 {
		a.asks("ask when", nil, "")
		return
	}
	a.Recipe = nil
	f := momentFact("ready at", now.Add(minutes(q.Ago.Base())), now)
	f.How = q.Ago.String()
	d := b.measured("asked", *q.Ago)
	d.From = FromAsked
	a.add(f, d)
	a.note("from now", d.Shown)
	a.Begun = &Begun{Start: now, Least: minutes(q.Ago.Base()), Span: q.Ago.String()}
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		a.Begun.Recipe, a.Recipe = q.Targets[0].Recipe, q.Targets[0].Recipe
		a.Title = Title{Recipe: a.Recipe.Name}
	}
}

// Day is the day that a clock of the message means, near now.
func (b *Book) Day(c *question.Clock, now time.Time) time.Time {
	now = now.In(b.Zone)
	day := time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, b.Zone)
	if c == nil {
		return day
	}
	day = day.AddDate(0, 0, c.Day)
	if c.Weekday > 0 {
		diff := (c.Weekday - int(now.Weekday()) + 7) % 7
		if diff > 0 {
			diff -= 7
		}
		day = day.AddDate(0, 0, diff)
	}
	return day
}

// Began is when something happened that a message tells of, and whether that must
// still be to come: on a day ahead, or at an hour that lies just ahead and was
// almost a day ago, where nothing says "since".
func (b *Book) Began(c *question.Clock, say string, now time.Time) (at time.Time, ahead bool) {
	at, _ = b.Moment(c, now, true)
	since := slices.Contains(strings.Fields(strings.ToLower(say)), "since")
	return at, at.After(now) || c.HasTime && !c.HasDay && !since && now.Sub(at) > 20*time.Hour
}

// Moment is the time that a clock of the message means: before now for what
// happened, after it for what is to come.
func (b *Book) Moment(c *question.Clock, now time.Time, past bool) (time.Time, bool) {
	return b.moment(c, now.In(b.Zone), past)
}
