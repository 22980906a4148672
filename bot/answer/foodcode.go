package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/foodcode"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// ruleUses are the rows of a code that a question about a rule means, by topic.
var ruleUses = map[string][]foodcode.Use{
	"cool": {foodcode.Cool}, "hot": {foodcode.HotHold, foodcode.HotTolerance}, "cold": {foodcode.ColdHold, foodcode.ColdTolerance},
	"reheat": {foodcode.Reheat}, "date": {foodcode.DateMark}, "egg": {foodcode.Cook}, "pasteurise": {foodcode.Pasteurise},
}

// ruleVerbs are the steps of a recipe that say it themselves.
var ruleVerbs = map[string][]string{
	"cool": {"chill", "cool"}, "hot": {"hold"}, "reheat": {"reheat", "regenerate", "warm"}, "pasteurise": {"pasteurise", "cook", "heat"},
}

// rules answers what the house's food code says of cooling, holding, reheating,
// dating, cooking and pasteurising; the book's own step is told first.
func rules(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	topic := q.Foods[0]
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		r := q.Targets[0].Recipe
		a.Title = Title{Recipe: r.Name}
		b.ownRule(a, q, r, topic)
	}
	own := len(a.Facts)
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	if (topic == "pasteurise" || topic == "egg") && len(q.Targets) == 0 { // published figures of one authority, whatever the house's code
		c, err = foodcode.Named(pasteurCode)
	}
	if err != nil {
		if own == 0 {
			a.unknown("no food code")
			return
		}
		a.note("no food code")
		return
	}
	var found []Fact
	richer := false
	for _, u := range ruleUses[topic] {
		ls, err := c.Limits(u)
		if errors.Is(err, foodcode.ErrNoRule) {
			continue
		}
		for _, l := range ls {
			if topic == "pasteurise" && !pasteurised(l, q.Say) {
				continue
			}
			raised := strings.Contains(l.Rule, "add 3 C") || strings.Contains(l.Rule, "same addition")
			if raised && saysRich(q.Say) {
				found = append(found, raisedFacts(l)...)
				continue
			}
			found = append(found, ruleFacts(l)...)
			if strings.Contains(l.Rule, "add 3 C") {
				richer = true
			}
		}
	}
	if richer { // the same row says it of all milk
		more := rule(quantity.Int(3), "°C", "3 °C", false, "more, from 10 % fat or with sugar", pasteurSource)
		more.Group = GroupNote
		found = append(found, more)
		a.note("pasteurise richer", more.Shown)
	}
	if topic == "reheat" && q.Step > 1 {
		a.note("reheat once")
	}
	switch {
	case len(found) == 0 && topic == "cool": // it has limits of holding, and no time between them
		for _, u := range []foodcode.Use{foodcode.ColdHold, foodcode.HotHold} {
			ls, _ := c.Limits(u)
			for _, l := range ls {
				found = append(found, ruleFacts(l)...)
			}
		}
		a.note("limit UK cooling")
	case len(found) == 0 && own == 0 && topic == "reheat" && q.Step > 1: // no figure, but practice
		a.Form = FormTalk
		a.refuse("unsafe reheated")
		return
	case len(found) == 0 && own == 0:
		a.unknown("no such rule", c.Name)
		return
	case len(found) == 0:
		a.note("no such rule", c.Name)
	}
	if own > 0 && len(found) > 0 {
		a.note("book then code", c.Name)
	}
	a.add(found...)
	a.bySource()
	a.caution("code first")
}

// pasteurCode is the code under which the published heat treatments of egg and milk stand.
const (
	pasteurCode   = "US Food Code 2022"
	pasteurSource = "21 CFR 131.3, 1240.61"
)

// pasteurised reports whether a row is of what the message names; all rows are
// where it names nothing of them.
func pasteurised(l foodcode.Limit, say string) bool {
	words := strings.Fields(strings.ToLower(say))
	has := func(ws ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool {
			return slices.Contains(ws, strings.TrimSuffix(strings.Trim(w, ".,?!"), "s"))
		})
	}
	milk, mix, yolk, white, whole := has("milk", "cream") && !has("ice"), has("mix", "eggnog", "custard", "ice", "gelato"), has("yolk"), has("white", "albumen"), (has("egg") || has("whole") && !has("milk", "cream")) && !has("yolk", "white")
	switch {
	case !milk && !mix && !yolk && !white && !whole:
		return true
	case strings.HasPrefix(l.ID, "milk"):
		return milk
	case strings.HasPrefix(l.ID, "eggnog"):
		return mix
	case strings.Contains(l.Rule, "yolk"):
		return yolk
	case strings.Contains(l.Rule, "albumen"):
		return white
	}
	return whole
}

// saysRich reports whether it is asked of nothing but cream (which has more than 10 % fat) or sweetened milk.
func saysRich(say string) bool {
	words := strings.Fields(strings.ToLower(say))
	has := func(ws ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(ws, strings.Trim(w, ".,?!")) })
	}
	return has("cream", "creams") && !has("milk", "ice") || has("milk") && has("sweetened", "sweet", "sugared", "sugar")
}

// raisedFacts are the figures of a row of milk for cream and what is sweetened: 3 °C (5 °F) more.
func raisedFacts(l foodcode.Limit) []Fact {
	how := degreesOf(l.C) + " + " + degreesOf(3)
	l.C, l.F = l.C+3, l.F+5
	out := ruleFacts(l)
	for i := range out {
		out[i].At += ", from 10 % fat or with sugar"
	}
	out[0].How, out[0].From = how, FromCalculated
	return out
}

// ownRule adds the book's own figures for it.
func (b *Book) ownRule(a *Answer, q *question.Question, r *kb.Recipe, topic string) {
	if in := question.Words(q.Say); topic == "cold" && (slices.Contains(in, "out") || slices.Contains(in, "outside")) { // how it keeps in the cold says nothing of it
		b.outFacts(a, r, q.Say)
		return
	}
	if topic == "date" || topic == "cold" {
		for _, k := range r.Keeps {
			if k.Time == nil {
				continue
			}
			f := b.measured("keeps", *k.Time)
			f.Shown, f.Of, f.At, f.How = keepShown(*k.Time), r.Name, strings.TrimSpace(k.Where+after(k.After)), k.Text
			a.add(f)
		}
		return
	}
	for i := range r.Method {
		st := &r.Method[i]
		for _, v := range ruleVerbs[topic] {
			if !verbIs(st, v) {
				continue
			}
			ask := *q
			ask.Oven, ask.Core, ask.Verbs = false, false, []string{v}
			for _, f := range append(b.tempFacts(a, &ask, st), b.timeFacts(st, &ask)...) {
				f.Of = r.Name
				a.add(f)
			}
			break
		}
	}
}

// ruleFacts are the figures of a row: its temperature, its time, the time to get there.
func ruleFacts(l foodcode.Limit) []Fact {
	source := authority(l)
	span := func(d time.Duration, most bool, at string) Fact {
		n := quantity.Frac(int64(d/time.Millisecond), 60000)
		shown := quantity.ShowTime(quantity.RoundTime(n))
		switch {
		case d%(24*time.Hour) == 0:
			shown = quantity.Int(int64(d/(24*time.Hour))).String() + " days"
		case d < time.Minute:
			shown = quantity.Frac(int64(d/time.Millisecond), 1000).Fixed(2) + " s"
		case d%time.Minute != 0:
			shown = n.Fixed(1) + " min"
		}
		return rule(n, "min", shown, most, at, source)
	}
	t := decimal(l.C)
	temp := func(most bool, at string) Fact { return rule(t, "°C", degreesOf(l.C), most, at, source) }
	switch l.Use {
	case foodcode.Cool:
		if l.From != 0 {
			return []Fact{span(l.Time, true, fall(l))}
		}
		return []Fact{span(l.Time, true, "made from room temperature, to "+degreesOf(l.C))}
	case foodcode.ColdHold:
		if strings.Contains(l.Rule, "egg") {
			return []Fact{temp(true, "raw eggs in the shell, at most")}
		}
		return []Fact{temp(true, "cold, at most")}
	case foodcode.HotHold:
		return []Fact{temp(false, "hot, at least")}
	case foodcode.ColdTolerance:
		return []Fact{span(l.Time, true, "above "+degreesOf(l.C)+", only for service, once")}
	case foodcode.HotTolerance:
		return []Fact{span(l.Time, true, "below "+degreesOf(l.C)+", only for service, once")}
	case foodcode.DateMark:
		return []Fact{span(l.Time, true, "kept at "+degreesOf(l.C)+" or below, the day of making is day 1")}
	case foodcode.Reheat:
		return []Fact{temp(false, "reheating, at least"), span(l.Time, false, "held there"), span(l.Within, true, "to get there, at most")}
	}
	what := l.Rule
	if i := strings.IndexAny(what, "(,"); i > 0 {
		what = strings.TrimSpace(what[:i])
	}
	f, h := temp(false, what), span(l.Time, false, what)
	h.Value, h.Min = h.Min, nil
	f.Shown, h.Group = f.Shown+" · "+h.Shown, GroupNote // the pair is one line
	return []Fact{f, h}
}

// rule is one limit of a published rule: at most or at least so much.
func rule(n quantity.Number, unit, shown string, most bool, at, source string) Fact {
	f := Fact{What: "limit", Unit: unit, Shown: shown, At: at, From: FromReference, Source: source}
	if most {
		f.Max = &n
	} else {
		f.Min = &n
	}
	return f
}

// standsByBook answers by the book where it says how long something may be out
// before service or be held; false where it says nothing.
func (b *Book) standsByBook(a *Answer, q *question.Question, now time.Time) bool {
	r := q.Targets[0].Recipe
	var holds []placed
	for i := range r.Method {
		if st := &r.Method[i]; name.Fold(st.Verb) == "hold" && st.For != nil && (st.For.Max != nil || st.For.Never != nil) {
			holds = append(holds, placed{st, r})
		}
	}
	long := time.Duration(0)
	switch {
	case q.Stands:
	case q.Ago != nil:
		long = minutes(q.Ago.Base())
	case q.Clock != nil && q.Clock.HasTime:
		since, _ := b.Moment(q.Clock, now, true)
		long = now.Sub(since)
	default:
		return false
	}
	a.Form = FormLines
	if q.Stands && b.outFacts(a, r, q.Say) {
		a.About = "time"
		return true
	}
	if len(holds) != 1 {
		return false
	}
	st := holds[0].step
	if b.heldOver(a, r, st, long) {
		return true
	}
	f := spanFact("hold", st.For, st.Where)
	f.Of = r.Name
	a.add(f)
	for _, t := range b.tempFacts(a, &question.Question{}, st) {
		t.Of = r.Name
		a.add(t)
	}
	a.Title = Title{Recipe: r.Name}
	a.note("no promise")
	a.caution("code first")
	return true
}

// heldOver refuses what was held longer than the book lets it be.
func (b *Book) heldOver(a *Answer, r *kb.Recipe, st *recipe.Step, long time.Duration) bool {
	most := st.For.Max
	if most == nil {
		most = st.For.Never
	}
	if most == nil || long <= minutes(*most) {
		return false
	}
	shown := quantity.ShowTime(quantity.RoundTime(*most))
	a.add(Fact{What: "hold", Unit: "min", Max: most, Shown: shown, Of: r.Name, How: st.For.Text, From: FromBook})
	a.Status, a.Form, a.Recipe = StatusRefused, FormTalk, nil
	a.Why = phrase("unsafe held", shown)
	return true
}

// heldLonger is heldOver for the one hold of the recipe that is spoken of.
func (b *Book) heldLonger(a *Answer, q *question.Question) bool {
	if q.Stood.Minutes == nil || len(q.Targets) != 1 || q.Targets[0].Recipe == nil {
		return false
	}
	r := q.Targets[0].Recipe
	for i := range r.Method {
		if st := &r.Method[i]; name.Fold(st.Verb) == "hold" && st.For != nil {
			return b.heldOver(a, r, st, minutes(*q.Stood.Minutes))
		}
	}
	return false
}
