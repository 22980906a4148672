package bot

import (
	"context"
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
	"tamis/calc/quantity"
	"tamis/kb"
)

// Timers is the running work of the houses. What Set, Change, Note and Learn
// return is kept; of the temperatures of one Note all or none.
type Timers interface {
	Set(t timer.Timer, now time.Time) (timer.Timer, error)
	Change(id timer.ID, change func(*timer.Timer) error) (timer.Timer, error)
	All(house string) ([]timer.Timer, error)
	Note(rs ...timer.Reading) ([]timer.Reading, error)
	Readings(house string) ([]timer.Reading, error)
	Strike(house string, id timer.ID, who string, now time.Time) (timer.Reading, error)
	Learn(t timer.Trial) (timer.Trial, error)
	Trials(house string) ([]timer.Trial, error)
}

var _ Timers = (*timer.Engine)(nil)

// Speaker says something in a channel that nobody asked for just now.
type Speaker interface {
	// Say returns nil when the text is said. One id is said once: a speaker that
	// knows it has said it says nothing and returns nil.
	Say(ctx context.Context, channel, text, id string) error
}

// Announcer is a Speaker that lays a notice out itself, and rings who it is for.
type Announcer interface {
	Speaker
	// Announce says a notice in a channel, one id once, as Say does; who is whose
	// work it is, "" where it is nobody's or several people's.
	Announce(ctx context.Context, channel string, r Reply, who AuthorID, id string) error
}

// Time lets the asker set timers and keep what is told of running work. With
// speaks, due timers are said in the channel they were set in.
func (k *Asker) Time(t Timers, house string, speaks bool) {
	k.timers, k.house, k.speaks = t, house, speaks
}

// opened are the timers that somebody still has to see to.
func opened(ts []timer.Timer) []timer.Timer {
	return slices.DeleteFunc(slices.Clone(ts), func(t timer.Timer) bool { return !t.Open() })
}

// sensible drops readings about running work where there is none that they
// could mean: "stop" with nothing running drops the question.
func (k *Asker) sensible(qs []question.Question, b *answer.Book, m Message) (kept []question.Question, dropped *question.Question) {
	if !slices.ContainsFunc(qs, func(q question.Question) bool { return q.IsWork() }) {
		return qs, nil
	}
	var ts []timer.Timer
	if k.timers != nil {
		var err error
		if ts, err = k.timers.All(k.house); err != nil {
			return qs, nil // who asks is told that they can't be read
		}
	}
	for i := range qs {
		q := &qs[i]
		drop := false
		switch q.Want {
		case question.WantTaken:
			drop = len(k.taken(ts, b, q, m)) == 0
		case question.WantStop, question.WantSnooze, question.WantCorrect:
			drop = len(k.meant(ts, b, q, m)) == 0 && len(k.here(ts, q, m)) == 0
		case question.WantLeft:
			drop = len(k.meant(ts, b, q, m)) == 0
		case question.WantLogTemp:
			last, _ := k.lastLogged(m)
			drop = q.Work.Carried() && len(q.Targets) == 0 && last == (timer.Reading{})
		case question.WantStrike:
			drop = len(k.strikable(b, q, m)) == 0
		case question.WantNudge:
			drop = len(k.meant(ts, b, q, m)) == 0
		case question.WantTempLog:
			drop = k.nothingTold(q)
		case question.WantShould:
			drop = len(k.lastRun(q, m)) == 0
		case question.WantTrial:
			drop = len(q.Targets) == 0 && len(k.meant(ts, b, q, m)) == 0
		}
		if drop {
			if dropped == nil {
				dropped = q
			}
			continue
		}
		kept = append(kept, *q)
	}
	return kept, dropped
}

// meant are the timers that a message may mean: by their name, by the one it
// was asked back about, else the one this conversation spoke of last.
func (k *Asker) meant(all []timer.Timer, b *answer.Book, q *question.Question, m Message) []timer.Timer {
	ts := opened(all)
	if q.Work.ID != 0 {
		return slices.DeleteFunc(ts, func(t timer.Timer) bool { return uint64(t.ID) != q.Work.ID })
	}
	if q.Work.Named {
		for _, r := range q.Work.Recipes {
			if found := slices.DeleteFunc(slices.Clone(ts), func(t timer.Timer) bool { return t.Recipe != r.Name }); len(found) > 0 {
				return k.startedAt(found, b, q, m)
			}
		}
		return nil
	}
	var best *timer.Timer
	for i := range ts {
		t := &ts[i]
		if t.Channel != m.Channel {
			continue
		}
		mine := t.Conversation == string(m.Conversation)
		switch {
		case best == nil:
			best = t
		case mine != (best.Conversation == string(m.Conversation)):
			if mine {
				best = t
			}
		case t.Touched.After(best.Touched) || t.Touched.Equal(best.Touched) && t.ID > best.ID:
			best = t
		}
	}
	if best == nil {
		return nil
	}
	if q.Want == question.WantLeft && len(q.Work.Words) == 0 { // all of the channel
		return slices.DeleteFunc(ts, func(t timer.Timer) bool { return t.Channel != m.Channel })
	}
	return []timer.Timer{*best}
}

// startedAt keeps the timers that began at the time the message gives.
func (k *Asker) startedAt(ts []timer.Timer, b *answer.Book, q *question.Question, m Message) []timer.Timer {
	if q.Clock == nil || !q.Clock.HasTime || q.Want == question.WantCorrect || q.Want == question.WantTrial {
		return ts
	}
	at, _ := b.Moment(q.Clock, m.At, true)
	return slices.DeleteFunc(ts, func(t timer.Timer) bool { return !t.Started.Equal(at) })
}

// here are the open timers of a channel where all of them are meant.
func (k *Asker) here(all []timer.Timer, q *question.Question, m Message) []timer.Timer {
	if !q.Work.All {
		return nil
	}
	return slices.DeleteFunc(opened(all), func(t timer.Timer) bool { return t.Channel != m.Channel })
}

// taken are the due timers of a channel that a message takes on; of what it names
// also one that is not due yet.
func (k *Asker) taken(all []timer.Timer, b *answer.Book, q *question.Question, m Message) []timer.Timer {
	due := slices.DeleteFunc(opened(all), func(t timer.Timer) bool {
		if t.Channel != m.Channel || t.State == timer.Running {
			return true
		}
		return q.Work.Named && !slices.ContainsFunc(q.Work.Recipes, func(r *kb.Recipe) bool { return r.Name == t.Recipe })
	})
	if len(due) == 0 && q.Work.Named {
		return k.meant(all, b, q, m)
	}
	return due
}

// worked answers what is about running work; nil where a stands.
func (k *Asker) worked(b *answer.Book, m Message, a *answer.Answer) *answer.Answer {
	if a.Begun != nil && a.Status == answer.StatusAnswer {
		k.begin(b, m, a)
		return nil
	}
	q := a.Question
	if q == nil || !q.IsWork() || !unbuilt(a) {
		return nil
	}
	w := &answer.Answer{Status: answer.StatusAnswer, About: q.About, Question: q, Form: answer.FormWork}
	for _, x := range q.Assumed {
		if x.Code == "read as" {
			w.Assumed = append(w.Assumed, answer.Phrase{Code: x.Code, Args: x.Args})
		}
	}
	if k.timers == nil {
		return unknownWork(w, "no timers here")
	}
	all, err := k.timers.All(k.house)
	if err != nil {
		return unknownWork(w, keptCode(err))
	}
	switch q.Want {
	case question.WantRunning, question.WantReadyList, question.WantHandOver:
		err = k.listed(b, m, w, all)
	case question.WantLeft:
		err = k.left(b, m, w, k.meant(all, b, q, m))
	case question.WantStop, question.WantSnooze, question.WantCorrect, question.WantNudge:
		ts := k.meant(all, b, q, m)
		if stop := k.here(all, q, m); len(stop) > 1 {
			return k.stopAll(b, m, w, stop)
		}
		switch {
		case len(ts) == 0:
			return unknownWork(w, "nothing to mean")
		case len(ts) > 1:
			return k.which(b, m, w, ts)
		}
		err = k.changed(b, m, w, ts[0])
	case question.WantTaken:
		ts := k.taken(all, b, q, m)
		if len(ts) > 1 && q.Work.Named && ts[0].State == timer.Running {
			return k.which(b, m, w, ts)
		}
		err = k.answered(b, m, w, ts)
	case question.WantLots:
		err = k.lots(b, m, w, all)
	case question.WantLogTemp:
		err = k.logged(b, m, w)
	case question.WantStrike:
		err = k.struck(b, m, w)
	case question.WantTempLog:
		err = k.temperatures(b, m, w)
	case question.WantShould:
		err = k.should(b, m, w)
	case question.WantTrial:
		err = k.tried(b, m, w, all)
	case question.WantKilled:
		err = k.killed(b, m, w)
	}
	if err != nil {
		return unknownWork(w, keptCode(err))
	}
	return w
}

func unknownWork(w *answer.Answer, code string, args ...string) *answer.Answer {
	w.Status, w.Form, w.Facts, w.Notes = answer.StatusUnknown, answer.FormTalk, nil, nil
	w.Why = &answer.Phrase{Code: code, Args: args}
	return w
}

// keptCode says why running work could not be kept or read.
func keptCode(err error) string {
	if errors.Is(err, timer.ErrOwned) {
		return "timers elsewhere"
	}
	return "timers not kept"
}

func note(a *answer.Answer, code string, args ...string) {
	a.Notes = append(a.Notes, answer.Phrase{Code: code, Args: args})
}

// begin sets the timer that an answer is about, and says whether it is kept.
func (k *Asker) begin(b *answer.Book, m Message, a *answer.Answer) {
	g := a.Begun
	if k.timers == nil {
		note(a, "no timers here")
		return
	}
	all, err := k.timers.All(k.house)
	if err != nil {
		note(a, keptCode(err))
		return
	}
	t := timer.Timer{
		House: k.house, Channel: m.Channel, Conversation: string(m.Conversation), Who: string(m.Author),
		Verb: g.Verb, Span: g.Span, Least: g.Least, Most: g.Most, Never: g.Never, Stir: g.Stir,
		Started: g.Start, Where: g.Where, Much: a.Question.Work.Much,
	}
	if n := a.Question.Work.Every; n != nil { // the cook's own nudges
		t.Stir, t.NudgeFrom = time.Duration(n.Float()*float64(time.Minute)), t.Started
		f := lasting("stir every", t.Stir, answer.FromAsked)
		f.Of = t.Recipe
		if g.Recipe != nil {
			f.Of = g.Recipe.Name
		}
		a.Facts = append(a.Facts, noted(f))
		note(a, "nudge every", f.Shown)
	}
	if g.Recipe != nil {
		t.Recipe = g.Recipe.Name
	}
	if p := a.Question.Place; p != "" && g.Where == "" {
		t.Where = p
	}
	n := 1
	for _, o := range opened(all) {
		if o.Recipe != t.Recipe || t.Recipe == "" || o.Verb != t.Verb {
			continue
		}
		if o.Started.Equal(t.Started) && o.Much == t.Much && o.Channel == t.Channel {
			note(a, "timer already")
			return
		}
		n++
	}
	if t, err = k.timers.Set(t, m.At); err != nil {
		note(a, keptCode(err))
		return
	}
	brief, _ := k.timers.(interface{ Brief() bool })
	switch {
	case brief != nil && brief.Brief():
		note(a, "timer brief")
	case !t.Ready().After(m.At):
		note(a, "timer past")
	case k.speaks:
		note(a, "timer set")
	default:
		note(a, "timer noted")
	}
	if n > 1 {
		note(a, "timer batches", t.Recipe, t.Started.In(b.Zone).Format("15:04"))
		a.Facts = append(a.Facts, momentAt("start at", t.Started, m.At, b, answer.FromAsked))
	}
}

// which asks back which of several batches is meant.
func (k *Asker) which(b *answer.Book, m Message, w *answer.Answer, ts []timer.Timer) *answer.Answer {
	w.Status, w.Form = answer.StatusAsk, answer.FormTalk
	w.Ask = &answer.Phrase{Code: "ask batch"}
	for _, t := range ts[:min(len(ts), 9)] {
		q := *w.Question
		q.Work.ID = uint64(t.ID)
		label := batch(t) + ", " + when(t.Started, m.At, b)
		w.Choices = append(w.Choices, label)
		w.Pending = append(w.Pending, question.Choice{Label: label, Question: &q})
	}
	return w
}

// stopAll stops all that runs in a channel, once that was said twice.
func (k *Asker) stopAll(b *answer.Book, m Message, w *answer.Answer, ts []timer.Timer) *answer.Answer {
	n := quantity.Int(int64(len(ts)))
	w.Form = answer.FormTalk
	if !w.Question.Work.Late {
		q := *w.Question
		q.Work.Late = true
		w.Status, w.Ask = answer.StatusAsk, &answer.Phrase{Code: "ask stop all", Args: []string{n.String()}}
		label := "stop all " + n.String()
		w.Choices, w.Pending = []string{label}, []question.Choice{{Label: label, Question: &q}}
		return w
	}
	var names []string
	for _, t := range ts {
		t, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.End(timer.Stopped, m.At); return nil })
		if err != nil {
			return unknownWork(w, keptCode(err))
		}
		w.Facts = append(w.Facts, momentAt("start at", t.Started, m.At, b, answer.FromAsked))
		names = append(names, batch(t))
	}
	note(w, "timers stopped", strings.Join(names, "; "))
	return w
}

// changed stops, snoozes or corrects one timer.
func (k *Asker) changed(b *answer.Book, m Message, w *answer.Answer, t timer.Timer) error {
	q := w.Question
	w.Form = answer.FormTalk
	switch q.Want {
	case question.WantStop:
		t, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.End(timer.Stopped, m.At); return nil })
		if err != nil {
			return err
		}
		w.Facts = append(w.Facts, momentAt("start at", t.Started, m.At, b, answer.FromAsked))
		note(w, "timer stopped", named(t), when(t.Started, m.At, b))
	case question.WantSnooze:
		length := 10 * time.Minute
		if n := q.Work.Minutes; n != nil {
			length = time.Duration(n.Float() * float64(time.Minute))
		}
		if length <= 0 || length > 7*24*time.Hour {
			w.Status, w.Ask = answer.StatusAsk, &answer.Phrase{Code: "ask when"}
			return nil
		}
		until := m.At.Add(length)
		t, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.Delay(until, m.At); return nil })
		if err != nil {
			return err
		}
		w.Form = answer.FormLines
		f := momentAt("again at", until, m.At, b, answer.FromCalculated)
		f.Of = t.Recipe
		w.Facts = append(w.Facts, f)
		w.Title = answer.Title{Recipe: named(t)}
	case question.WantNudge:
		return k.nudged(b, m, w, t)
	case question.WantCorrect:
		var start time.Time
		if q.Ago != nil {
			start = m.At.Add(-time.Duration(q.Ago.Base().Float() * float64(time.Minute)))
		} else {
			var ahead bool
			if start, ahead = b.Began(q.Clock, q.Say, m.At); ahead {
				start = m.At.Add(time.Minute)
			}
		}
		if start.After(m.At) {
			w.Status, w.Ask = answer.StatusAsk, &answer.Phrase{Code: "ask past"}
			return nil
		}
		t, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.Restart(start, m.At); return nil })
		if err != nil {
			return err
		}
		w.Form = answer.FormLines
		w.Facts = append(w.Facts, moments(t, m.At, b)...)
		f := momentAt("start at", t.Started, m.At, b, answer.FromAsked)
		w.Facts = append(w.Facts, f)
		w.Title = answer.Title{Recipe: named(t)}
		note(w, "timer corrected", when(t.Started, m.At, b))
	}
	return nil
}

// answered takes due timers on.
func (k *Asker) answered(b *answer.Book, m Message, w *answer.Answer, ts []timer.Timer) error {
	w.Form = answer.FormTalk
	var names []string
	for _, t := range ts {
		if _, err := k.timers.Change(t.ID, func(t *timer.Timer) error { t.End(timer.Answered, m.At); return nil }); err != nil {
			return err
		}
		if n := named(t); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	note(w, "timer taken", strings.Join(names, ", "))
	return nil
}
