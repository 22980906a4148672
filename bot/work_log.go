package bot

import (
	"math"
	"slices"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
	"tamis/calc/quantity"
	"tamis/kb"
)

// sameLog is how long after a temperature one without a name goes on from it.
const sameLog = 24 * time.Hour

// lastLogged is the temperature that this conversation told last; false: none.
func (k *Asker) lastLogged(m Message) (timer.Reading, bool) {
	if k.timers == nil {
		return timer.Reading{}, false
	}
	rs, err := k.standing()
	if err != nil {
		return timer.Reading{}, false
	}
	for _, r := range slices.Backward(rs) {
		if r.Channel == m.Channel && r.Conversation == string(m.Conversation) && m.At.Sub(r.Told) < sameLog {
			return r, true
		}
	}
	return timer.Reading{}, false
}

// lastRun are the temperatures of the food a question names, else of what this
// conversation told last, oldest first; none where that is a cold place.
func (k *Asker) lastRun(q *question.Question, m Message) []timer.Reading {
	what := ""
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		what = q.Targets[0].Recipe.Name
	} else if r, ok := k.lastLogged(m); ok {
		what = r.Recipe
	}
	if what == "" || k.timers == nil {
		return nil
	}
	all, err := k.standing()
	if err != nil {
		return nil
	}
	var last timer.Reading
	for _, r := range all {
		if r.Recipe == what && r.Channel == m.Channel && m.At.Sub(r.At) < sameLog && !r.At.Before(last.At) {
			last = r
		}
	}
	if last.Recipe == "" {
		return nil
	}
	return runOf(lastTold(all), last)
}

// logged keeps what a message tells of temperatures, all or nothing, and says
// what comes next by the house's code.
func (k *Asker) logged(b *answer.Book, m Message, w *answer.Answer) error {
	rs, asked := k.readings(b, m, w)
	if asked {
		return nil
	}
	all, err := k.standing()
	if err != nil {
		return err
	}
	var fresh []timer.Reading // what was told before is not kept twice
	for _, r := range rs {
		old, ok := toldBefore(all, r)
		if ok && old.Celsius == r.Celsius {
			continue
		}
		if ok {
			note(w, "temperature corrected", tenths(old.Celsius).Fixed(1)+" °C", when(old.At, m.At, b))
		}
		fresh = append(fresh, r)
	}
	if len(fresh) > 0 {
		if _, err = k.timers.Note(fresh...); err != nil {
			return err
		}
		if all, err = k.standing(); err != nil {
			return err
		}
	}
	all = lastTold(all)
	if places(rs) {
		k.placesKept(b, m, w, rs, all)
		return nil
	}
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: rs[0].Recipe}
	var foods []string
	for _, r := range rs {
		n := tenths(r.Celsius)
		f := answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: r.Recipe, From: answer.FromAsked, At: when(r.At, m.At, b)}
		w.Facts = append(w.Facts, f, momentAt("told", r.At, m.At, b, answer.FromAsked))
		if !slices.Contains(foods, r.Recipe) {
			foods = append(foods, r.Recipe)
		}
	}
	for _, r := range rs {
		shown := tenths(r.Celsius).Fixed(1) + " °C"
		if len(foods) > 1 {
			shown = r.Recipe + " " + shown
		}
		note(w, "temperature kept", shown, when(r.At, m.At, b))
	}
	for _, of := range foods {
		var last timer.Reading // the newest that is known, told now or before
		for _, r := range all {
			if r.Recipe == of && r.Channel == m.Channel && m.At.Sub(r.At) < sameLog && !r.At.Before(last.At) {
				last = r
			}
		}
		if last.Recipe == "" { // told of an older day
			for _, r := range rs {
				if r.Recipe == of && !r.At.Before(last.At) {
					last = r
				}
			}
		}
		one := &answer.Answer{}
		k.limits(b, m, one, runOf(all, last))
		if w.Question.Work.Held {
			answer.HotHeld(one, b.Snap.House.FoodCode, last.Celsius)
		}
		if len(foods) > 1 {
			for i := range one.Facts {
				one.Facts[i].Of = of
			}
			naming(one.Notes, of)
			naming(one.Cautions, of)
			w.Title = answer.Title{}
		}
		w.Facts, w.Notes = append(w.Facts, one.Facts...), append(w.Notes, one.Notes...)
		w.Cautions = append(w.Cautions, one.Cautions...)
	}
	if len(foods) > 1 {
		w.BySource()
	}
	slices.SortStableFunc(w.Cautions, func(x, y answer.Phrase) int { // what was missed before what always holds
		return strings.Compare(lastOf(x.Code), lastOf(y.Code))
	})
	return nil
}

func lastOf(code string) string {
	if code == "code first" {
		return "2"
	}
	return "1"
}

// naming lets what is said of a limit begin with the food it is of.
func naming(ps []answer.Phrase, of string) {
	for i := range ps {
		if strings.HasPrefix(ps[i].Code, "limit ") && len(ps[i].Args) > 0 {
			ps[i].Args[0] = of + " " + ps[i].Args[0]
		}
	}
}

// tenths is a temperature as it is shown: to a tenth of a degree.
func tenths(c float64) quantity.Number { return quantity.Frac(int64(math.Round(c*10)), 10) }

// readings are the temperatures that a message tells; true where it is asked
// back, and then nothing is kept.
func (k *Asker) readings(b *answer.Book, m Message, w *answer.Answer) (rs []timer.Reading, asked bool) {
	q := w.Question
	told := q.Work.Told
	if len(told) == 0 {
		one := question.Told{Celsius: *q.Work.Celsius, Clock: q.Clock}
		if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
			one.Of = 1
		}
		told = []question.Told{one}
	}
	ask := func(code string, args ...string) ([]timer.Reading, bool) {
		w.Status, w.Form, w.Ask = answer.StatusAsk, answer.FormTalk, &answer.Phrase{Code: code, Args: args}
		return nil, true
	}
	last, _ := k.lastLogged(m)
	clocks := map[[2]string]int{} // temperatures of one thing without a time
	count := map[[2]string]int{}
	for i := range told {
		t := &told[i]
		r := timer.Reading{House: k.house, Channel: m.Channel, Conversation: string(m.Conversation), Who: string(m.Author),
			Place: t.Place, Celsius: t.Celsius.Float(), At: m.At, Told: m.At}
		switch {
		case t.Place != "":
		case q.Work.Cooled:
			r.Use = answer.UseCooling
		case q.Work.Held:
			r.Use = answer.UseHeld
		}
		switch {
		case t.Of > 0 && t.Of <= len(q.Targets) && q.Targets[t.Of-1].Recipe != nil:
			r.Recipe = q.Targets[t.Of-1].Recipe.Name
		case t.Place == "":
			r.Recipe, r.Place = last.Recipe, last.Place
		}
		r.Place = k.placeName(b, r.Place)
		if t.Clock != nil && (t.Clock.HasTime || t.Clock.HasDay) {
			var ahead bool
			if r.At, ahead = b.Began(t.Clock, q.Say, m.At); ahead {
				return ask("ask past")
			}
		}
		if t.Of == 0 && t.Place == "" && t.Clock != nil && corrects(q.Say) { // of what was told of that moment
			if of, ok := k.toldAt(r); ok {
				r.Recipe, r.Place = of.Recipe, of.Place
			}
		}
		key := [2]string{r.Recipe, placeKey(r.Place)}
		count[key]++
		if t.Clock == nil {
			clocks[key]++
		}
		if choices := k.meantBy(b, t, r); len(choices) > 0 {
			code := "ask temperature"
			if len(choices) == 1 {
				code = "ask label"
			}
			w.Status, w.Form, w.Ask = answer.StatusAsk, answer.FormTalk, &answer.Phrase{Code: code, Args: []string{t.Celsius.String(), r.Place}}
			for _, c := range choices {
				again := *q
				again.Work.Told = slices.Clone(told)
				again.Work.Told[i].Celsius, again.Work.Told[i].Bare, again.Work.Told[i].Label = c.celsius, false, false
				w.Choices = append(w.Choices, c.label)
				w.Pending = append(w.Pending, question.Choice{Label: c.label, Question: &again})
			}
			return nil, true
		}
		rs = append(rs, r)
	}
	for key, n := range clocks {
		if n > 0 && count[key] > 1 {
			return ask("ask told when")
		}
	}
	return rs, false
}

// corrects reports whether a message takes back what was said.
func corrects(say string) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(say)), func(w string) bool {
		return slices.Contains([]string{"wrong", "sorry", "actually", "correction", "no"}, strings.Trim(w, ",.:;!"))
	})
}

// toldAt is the temperature that a channel told last of a moment.
func (k *Asker) toldAt(r timer.Reading) (timer.Reading, bool) {
	all, err := k.standing()
	if err != nil {
		return timer.Reading{}, false
	}
	for _, o := range slices.Backward(all) {
		if o.Channel == r.Channel && o.At.Equal(r.At) {
			return o, true
		}
	}
	return timer.Reading{}, false
}

// sameThing reports whether two temperatures are of one thing in one channel, at
// one moment that was told: the later then stands for both.
func sameThing(x, y timer.Reading) bool {
	if x.At.Equal(x.Told) && y.At.Equal(y.Told) {
		return false // each was told as it was then
	}
	return x.Recipe == y.Recipe && placeKey(x.Place) == placeKey(y.Place) && x.Channel == y.Channel && x.At.Equal(y.At)
}

// toldBefore is what was told last of the same thing at the same moment.
func toldBefore(all []timer.Reading, r timer.Reading) (timer.Reading, bool) {
	for _, o := range slices.Backward(all) {
		if sameThing(o, r) {
			return o, true
		}
	}
	return timer.Reading{}, false
}

// lastTold leaves out what was corrected by telling it again.
func lastTold(all []timer.Reading) []timer.Reading {
	var out []timer.Reading
	for i, r := range all {
		if !slices.ContainsFunc(all[i+1:], func(o timer.Reading) bool { return sameThing(o, r) }) {
			out = append(out, r)
		}
	}
	return out
}

// runOf are the temperatures of one thing that belong together, oldest first:
// those of a day before the last one.
func runOf(all []timer.Reading, last timer.Reading) []timer.Reading {
	var out []timer.Reading
	for _, r := range all {
		if r.Recipe == last.Recipe && placeKey(r.Place) == placeKey(last.Place) && r.Channel == last.Channel && last.At.Sub(r.At) < sameLog && !r.At.After(last.At) {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, func(x, y timer.Reading) int { return x.At.Compare(y.At) })
	return out
}

// limits says the next limits of the house's food code for a run of temperatures.
func (k *Asker) limits(b *answer.Book, m Message, w *answer.Answer, run []timer.Reading) {
	var logged []answer.Logged
	for _, r := range run {
		logged = append(logged, answer.Logged{At: r.At.In(b.Zone), Celsius: r.Celsius})
	}
	if !answer.LimitsOf(w, b.Snap.House.FoodCode, useOf(run), logged, m.At.In(b.Zone)) {
		note(w, "no food code")
	}
}

// useOf is what the temperatures of a run were last said to be of.
func useOf(run []timer.Reading) string {
	for _, r := range slices.Backward(run) {
		if r.Use != "" {
			return r.Use
		}
	}
	return ""
}

// tried keeps how long something took in this house.
func (k *Asker) tried(b *answer.Book, m Message, w *answer.Answer, all []timer.Timer) error {
	q := w.Question
	ts := k.meant(all, b, q, m)
	t := timer.Trial{House: k.house, Word: q.Work.Hard, Who: string(m.Author), At: m.At}
	switch {
	case len(q.Targets) > 0 && q.Targets[0].Recipe != nil:
		t.Recipe = q.Targets[0].Recipe.Name
	case len(ts) > 0:
		t.Recipe = ts[0].Recipe
	}
	ts = slices.DeleteFunc(ts, func(x timer.Timer) bool { return x.Recipe != t.Recipe })
	verbs := trialVerbs[q.Work.Hard]
	if len(ts) > 0 {
		t.Verb, t.Where = ts[0].Verb, ts[0].Where
	} else if st, of, ok := b.TimedStep(t.Recipe, verbs); ok {
		t.Recipe, t.Verb, t.Where = of, st.Verb, st.Where
	} else {
		unknownWork(w, "no such step", t.Recipe)
		return nil
	}
	switch {
	case q.Work.Minutes != nil:
		t.Took = time.Duration(q.Work.Minutes.Float() * float64(time.Minute))
	case len(ts) == 1:
		at, _ := b.Moment(q.Clock, m.At, true)
		t.Took = at.Sub(ts[0].Started)
	}
	if t.Took <= 0 || t.Took > 60*24*time.Hour {
		w.Status, w.Form, w.Ask = answer.StatusAsk, answer.FormTalk, &answer.Phrase{Code: "ask took", Args: []string{t.Recipe}}
		return nil
	}
	if h := q.Heat.Thick; h != nil {
		t.Thick = h.Float()
	}
	if _, err := k.timers.Learn(t); err != nil {
		return err
	}
	trials, err := k.timers.Trials(k.house)
	if err != nil {
		return err
	}
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: t.Recipe}
	f := lasting(t.Verb, t.Took, answer.FromHouse)
	f.Of, f.At = t.Recipe, t.Where
	w.Facts = append(w.Facts, f)
	if h := q.Heat.Thick; h != nil {
		w.Facts = append(w.Facts, answer.Fact{What: "thick", Value: h, Unit: "cm", Shown: h.Fixed(1) + " cm", Of: t.Recipe, From: answer.FromHouse})
	}
	note(w, "trial kept")
	learned(b, w, trials)
	return nil
}

// trialVerbs are the steps that a word for how something was may end.
var trialVerbs = map[string][]string{
	"hard": {"freeze", "set", "chill"}, "frozen": {"freeze"}, "solid": {"freeze", "set"}, "set": {"set", "chill", "freeze"}, "firm": {"set", "chill", "freeze"},
	"cold": {"chill", "cool"}, "thawed": {"thaw", "temper"}, "soft": {"thaw", "temper", "proof"}, "dry": {"dry", "bake"}, "crisp": {"bake", "dry"},
	"baked": {"bake"}, "cooked": {"cook", "braise", "simmer", "bake"}, "proved": {"proof"}, "proofed": {"proof"}, "risen": {"proof"},
}

// recall adds the house's own trials to an answer about times.
func (k *Asker) recall(b *answer.Book, m Message, a *answer.Answer) {
	if k.timers == nil || a.Status != answer.StatusAnswer || a.Question == nil {
		return
	}
	if q := a.Question; q.Want == question.WantThing && q.Thing != nil && q.Thing.Kind == kb.ColdName {
		k.toldOfPlace(b, m, a)
		return
	}
	switch a.Question.Want {
	case question.WantSteps, question.WantReady, question.WantUnmould, question.WantStarted, question.WantLatest, question.WantHeat:
	default:
		return
	}
	trials, err := k.timers.Trials(k.house)
	if err != nil || len(trials) == 0 {
		return // the book's own time stands without them
	}
	learned(b, a, trials)
}
