package bot

import (
	"slices"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
)

// sameLog is how long after a temperature one without a name goes on from it.
const sameLog = 24 * time.Hour

// lastLogged is what this conversation last told a temperature of, "" if nothing.
func (k *Asker) lastLogged(m Message) string {
	if k.timers == nil {
		return ""
	}
	rs, err := k.timers.Readings(k.house)
	if err != nil {
		return ""
	}
	for _, r := range slices.Backward(rs) {
		if r.Channel == m.Channel && r.Conversation == string(m.Conversation) && m.At.Sub(r.Told) < sameLog {
			return r.Recipe
		}
	}
	return ""
}

// logged keeps a temperature and says what comes next by the house's code.
func (k *Asker) logged(b *answer.Book, m Message, w *answer.Answer) error {
	q := w.Question
	what := ""
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		what = q.Targets[0].Recipe.Name
	} else {
		what = k.lastLogged(m)
	}
	at := m.At
	if q.Clock != nil && (q.Clock.HasTime || q.Clock.HasDay) {
		at, _ = b.Moment(q.Clock, m.At, true)
	}
	if at.After(m.At) {
		w.Status, w.Form, w.Ask = answer.StatusAsk, answer.FormTalk, &answer.Phrase{Code: "ask past"}
		return nil
	}
	r, err := k.timers.Note(timer.Reading{House: k.house, Channel: m.Channel, Conversation: string(m.Conversation), Who: string(m.Author),
		Recipe: what, Celsius: q.Work.Celsius.Float(), At: at, Told: m.At})
	if err != nil {
		return err
	}
	all, err := k.timers.Readings(k.house)
	if err != nil {
		return err
	}
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: what}
	n := *q.Work.Celsius
	f := answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: what, From: answer.FromAsked, At: when(r.At, m.At, b)}
	w.Facts = append(w.Facts, f, momentAt("told", r.At, m.At, b, answer.FromAsked))
	note(w, "temperature kept", f.Shown, when(r.At, m.At, b))
	k.limits(b, m, w, runOf(all, r))
	return nil
}

// runOf are the temperatures of one thing that belong together, oldest first:
// those of a day before the last one.
func runOf(all []timer.Reading, last timer.Reading) []timer.Reading {
	var out []timer.Reading
	for _, r := range all {
		if r.Recipe == last.Recipe && r.Channel == last.Channel && last.At.Sub(r.At) < sameLog && !r.At.After(last.At) {
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
	if !answer.Limits(w, b.Snap.House.FoodCode, logged, m.At.In(b.Zone)) {
		note(w, "no food code")
	}
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
func (k *Asker) recall(b *answer.Book, a *answer.Answer) {
	if k.timers == nil || a.Status != answer.StatusAnswer || a.Question == nil {
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
