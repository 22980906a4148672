package bot

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
)

// standing are the temperatures of the house that nobody took back.
func (k *Asker) standing() ([]timer.Reading, error) {
	all, err := k.timers.Readings(k.house)
	return standing(all), err
}

func standing(all []timer.Reading) []timer.Reading {
	return slices.DeleteFunc(slices.Clone(all), func(r timer.Reading) bool { return !r.Struck.IsZero() })
}

// strikable are the temperatures that a message may take back, the newest first:
// of this channel, told within a day, with the figure, the time and the thing that
// it names; where it names none, the one that this conversation told last.
func (k *Asker) strikable(b *answer.Book, q *question.Question, m Message) []timer.Reading {
	if k.timers == nil {
		return nil
	}
	all, err := k.standing()
	if err != nil {
		return nil // who asks is told that they can't be read
	}
	if q.Work.ID != 0 {
		return slices.DeleteFunc(all, func(r timer.Reading) bool { return uint64(r.ID) != q.Work.ID })
	}
	of := ""
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		of = q.Targets[0].Recipe.Name
	}
	var at time.Time
	if q.Clock != nil && q.Clock.HasTime {
		at, _ = b.Moment(q.Clock, m.At, true)
	}
	named := of != "" || q.Place != "" || q.Work.Celsius != nil || !at.IsZero()
	var out []timer.Reading
	for _, r := range slices.Backward(lastTold(all)) {
		switch {
		case r.Channel != m.Channel, m.At.Sub(r.Told) >= sameLog:
		case of != "" && r.Recipe != of, q.Place != "" && placeKey(r.Place) != placeKey(q.Place):
		case q.Work.Celsius != nil && tenths(r.Celsius).Cmp(tenths(q.Work.Celsius.Float())) != 0:
		case !at.IsZero() && !r.At.Equal(at):
		case !named && r.Conversation != string(m.Conversation):
		default:
			out = append(out, r)
		}
	}
	if len(out) > 1 && (q.Work.Last || !named) {
		out = out[:1]
	}
	return out
}

// thing is what a temperature is of, with its figure and time.
func (k *Asker) thing(b *answer.Book, m Message, r timer.Reading) string {
	of := r.Place
	if of == "" {
		of = r.Recipe
	}
	return strings.TrimSpace(of + " " + tenths(r.Celsius).Fixed(1) + " °C at " + when(r.At, m.At, b))
}

// struck takes a temperature back; what is left of its run is judged anew.
func (k *Asker) struck(b *answer.Book, m Message, w *answer.Answer) error {
	rs := k.strikable(b, w.Question, m)
	if len(rs) == 0 {
		unknownWork(w, "nothing to strike")
		return nil
	}
	if len(rs) > 1 || w.Question.Work.Unsure {
		w.Status, w.Form, w.Ask = answer.StatusAsk, answer.FormTalk, &answer.Phrase{Code: "ask strike"}
		for _, r := range rs[:min(len(rs), 9)] {
			q := *w.Question
			q.Work.ID, q.Work.Unsure = uint64(r.ID), false
			label := k.thing(b, m, r)
			w.Choices = append(w.Choices, label)
			w.Pending = append(w.Pending, question.Choice{Label: label, Question: &q})
		}
		return nil
	}
	r, err := k.timers.Strike(k.house, rs[0].ID, string(m.Author), m.At)
	if err != nil {
		return err
	}
	w.Form = answer.FormLines
	k.tellStruck(b, m, w, []timer.Reading{r})
	all, err := k.standing()
	if err != nil {
		return err
	}
	for _, o := range all { // what it stood in place of does not come back
		if o.ID < r.ID && sameThing(o, r) {
			if _, err := k.timers.Strike(k.house, o.ID, string(m.Author), m.At); err != nil {
				return err
			}
		}
	}
	if all, err = k.standing(); err != nil {
		return err
	}
	if r.Recipe == "" {
		return nil
	}
	w.Title = answer.Title{Recipe: r.Recipe}
	var last timer.Reading
	for _, o := range lastTold(all) {
		if o.Recipe == r.Recipe && o.Channel == m.Channel && m.At.Sub(o.At) < sameLog && !o.At.Before(last.At) {
			last = o
		}
	}
	if last.Recipe == "" {
		note(w, "nothing left told")
		return nil
	}
	k.limits(b, m, w, runOf(lastTold(all), last))
	note(w, "told last", tenths(last.Celsius).Fixed(1)+" °C", when(last.At, m.At, b))
	n := tenths(last.Celsius)
	w.Facts = append(w.Facts, answer.Fact{What: "temperature", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: last.Recipe, At: when(last.At, m.At, b), From: answer.FromAsked, Group: answer.GroupNote},
		noted(momentAt("told", last.At, m.At, b, answer.FromAsked)))
	return nil
}

func noted(f answer.Fact) answer.Fact {
	f.Group = answer.GroupNote
	return f
}

// tellStruck says which temperatures were taken back.
func (k *Asker) tellStruck(b *answer.Book, m Message, w *answer.Answer, rs []timer.Reading) {
	for _, r := range rs {
		n := tenths(r.Celsius)
		of := r.Place
		if of == "" {
			of = r.Recipe
		}
		f := answer.Fact{What: "struck out", Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", Of: of, At: when(r.At, m.At, b), From: answer.FromAsked, Group: answer.GroupNote}
		w.Facts = append(w.Facts, f, noted(momentAt("told", r.At, m.At, b, answer.FromAsked)), noted(momentAt("struck out", r.Struck, m.At, b, answer.FromAsked)))
		note(w, "temperature struck", k.thing(b, m, r), when(r.Struck, m.At, b))
	}
}

// nudged gives a running timer the cook's own nudges, or none any more.
func (k *Asker) nudged(b *answer.Book, m Message, w *answer.Answer, t timer.Timer) error {
	every := time.Duration(0)
	if n := w.Question.Work.Every; n != nil {
		every = time.Duration(n.Float() * float64(time.Minute))
		if every < time.Minute || every > 24*time.Hour {
			w.Status, w.Ask = answer.StatusAsk, &answer.Phrase{Code: "ask when"}
			return nil
		}
	}
	if !t.ToldReady.IsZero() || !t.Ready().After(m.At) {
		unknownWork(w, "nudge over", named(t))
		return nil
	}
	t, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.Nudge(every, m.At); return nil })
	if err != nil {
		return err
	}
	w.Form, w.Title = answer.FormLines, answer.Title{Recipe: named(t)}
	if every == 0 {
		w.Form = answer.FormTalk
		note(w, "nudge off", named(t))
		return nil
	}
	f := lasting("stir every", every, answer.FromAsked)
	f.Of = t.Recipe
	ready := momentAt("ready at", t.Ready(), m.At, b, answer.FromCalculated)
	ready.Of, ready.How = t.Recipe, how(t, b)
	w.Facts = append(w.Facts, noted(f), ready)
	note(w, "nudge every", f.Shown)
	if !k.speaks {
		note(w, "nudge kept")
	}
	return nil
}
