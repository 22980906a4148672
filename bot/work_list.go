package bot

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/bot/timer"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// named is what a timer is called.
func named(t timer.Timer) string {
	if t.Recipe != "" {
		return t.Recipe
	}
	if t.Span != "" {
		return "timer " + t.Span
	}
	return "timer"
}

// batch is a timer's name with what tells it from another of the same thing.
func batch(t timer.Timer) string {
	if d := detail(t); d != "" {
		return named(t) + " (" + d + ")"
	}
	return named(t)
}

func detail(t timer.Timer) string {
	var out []string
	for _, s := range []string{t.Much, t.Where} {
		if s != "" {
			out = append(out, s)
		}
	}
	return strings.Join(out, ", ")
}

// when is a moment as lists show it: the clock, with the day where it is another.
func when(t, now time.Time, b *answer.Book) string {
	t, now = t.In(b.Zone), now.In(b.Zone)
	switch d := t.Sub(now); {
	case t.Year() == now.Year() && t.YearDay() == now.YearDay():
		return t.Format("15:04")
	case d > -6*24*time.Hour && d < 6*24*time.Hour:
		return t.Format("15:04 Mon")
	}
	return t.Format("15:04 Mon 2 Jan")
}

func momentAt(what string, t, now time.Time, b *answer.Book, from string) answer.Fact {
	t = t.In(b.Zone)
	return answer.Fact{What: what, Time: &t, Unit: "time", From: from, Shown: when(t, now, b)}
}

// how tells where the moments of a timer come from.
func how(t timer.Timer, b *answer.Book) string {
	return strings.TrimSpace(t.Verb+" "+t.Span) + " from " + t.Started.In(b.Zone).Format("15:04")
}

// moments are when a timer may be used, and the ends of its time.
func moments(t timer.Timer, now time.Time, b *answer.Book) []answer.Fact {
	put := func(what string, at time.Time) answer.Fact {
		f := momentAt(what, at, now, b, answer.FromCalculated)
		f.Of, f.At, f.How = t.Recipe, t.Where, how(t, b)
		return f
	}
	what := "ready at"
	if t.Least == 0 {
		what = "at the latest"
	}
	out := []answer.Fact{put(what, t.Ready())}
	if at := t.Latest(); !at.IsZero() {
		out = append(out, put("at the latest", at))
	}
	if at := t.Over(); !at.IsZero() {
		out = append(out, put("never over", at))
	}
	return out
}

// lasting is a length of time as a fact, to the minute.
func lasting(what string, d time.Duration, from string) answer.Fact {
	n := quantity.Int(int64(d.Round(time.Minute) / time.Minute))
	return answer.Fact{What: what, Value: &n, Unit: "min", From: from, Shown: quantity.ShowTime(quantity.RoundTime(n))}
}

// line is a timer in a list.
func line(t timer.Timer, group string, now time.Time, b *answer.Book) answer.Fact {
	what, at := "ready at", t.Ready()
	if t.Least == 0 {
		what = "at the latest"
	}
	f := momentAt(what, at, now, b, answer.FromCalculated)
	f.Of, f.At, f.How, f.Group = t.Recipe, detail(t), how(t, b), group
	if t.Recipe == "" {
		f.At = batch(t)
	}
	return f
}

// mostLines is how many timers a list shows.
const mostLines = 30

// listed answers what runs, what is ready at a time, and what the next shift
// must know.
func (k *Asker) listed(b *answer.Book, m Message, w *answer.Answer, all []timer.Timer) error {
	q := w.Question
	ts := k.filtered(opened(all), b, q)
	slices.SortFunc(ts, func(x, y timer.Timer) int { return cmp.Or(x.Ready().Compare(y.Ready()), cmp.Compare(x.ID, y.ID)) })
	if len(ts) == 0 {
		w.Form = answer.FormTalk
		note(w, "nothing running")
		return nil
	}
	at, given := m.At, false
	if q.Want == question.WantReadyList && q.Clock != nil && (q.Clock.HasTime || q.Clock.Service != "" && len(b.Snap.House.Service) > 0) {
		at, given = b.Moment(q.Clock, m.At, false)
	}
	if q.Want == question.WantReadyList && !given && q.Work.Morning { // by the start of the next day's work
		at, given = b.NextMorning(m.At), true
	}
	var ready, due, later []answer.Fact
	for _, t := range ts {
		switch {
		case t.State == timer.Due || t.State == timer.Handed || t.State == timer.Snoozed:
			due = append(due, line(t, "due", m.At, b))
		case q.Want == question.WantReadyList && !t.Ready().After(at):
			ready = append(ready, line(t, "ready by", m.At, b))
		default:
			later = append(later, line(t, "still running", m.At, b))
		}
	}
	if given {
		w.Title = answer.Title{Size: when(at, m.At, b)}
		f := momentAt("asked", at, m.At, b, answer.FromAsked)
		defer func() { w.Facts = append(w.Facts, f) }()
	}
	if q.Want == question.WantReadyList && len(ready)+len(due) == 0 {
		if given {
			note(w, "nothing ready then", when(at, m.At, b))
		} else {
			note(w, "nothing ready")
		}
	}
	w.Facts = append(append(due, ready...), later...)
	if n := len(w.Facts) - mostLines; n > 0 {
		w.Facts = w.Facts[:mostLines]
		left := quantity.Int(int64(n))
		w.Facts = append(w.Facts, answer.Fact{What: "more timers", Value: &left, Unit: "each", Shown: left.String(), From: answer.FromCalculated})
	}
	return nil
}

// filtered keeps the timers of the verb or place that is asked for.
func (k *Asker) filtered(ts []timer.Timer, b *answer.Book, q *question.Question) []timer.Timer {
	verb := stem(q.Work.Verb)
	if q.Want == question.WantReadyList {
		verb = ""
	}
	return slices.DeleteFunc(ts, func(t timer.Timer) bool {
		if q.Place != "" && !b.IsPlace(t.Where, q.Place) {
			return true
		}
		return verb != "" && q.Place == "" && !slices.Contains(alike(verb), name.Fold(t.Verb))
	})
}

// stem is the verb of "setting", "" where the word names none.
func stem(w string) string {
	if len(strings.Fields(w)) != 1 || w == "running" || w == "going" || w == "ticking" {
		return ""
	}
	s, ok := strings.CutSuffix(w, "ing")
	if !ok {
		return ""
	}
	return s
}

// alike are the verbs of the book that "setting", "freezing" are said of.
func alike(stem string) []string {
	switch stem {
	case "sett":
		return []string{"set", "chill", "rest", "freeze"}
	case "freez":
		return []string{"freeze", "harden", "chill"}
	case "chill", "cool":
		return []string{"chill", "cool", "set", "rest"}
	case "prov", "proof", "ferment":
		return []string{"proof", "prove", "ferment"}
	}
	return []string{stem, stem + "e", strings.TrimRight(stem, stem[len(stem)-1:])}
}

// left tells how long is left, batch by batch.
func (k *Asker) left(b *answer.Book, m Message, w *answer.Answer, ts []timer.Timer) error {
	slices.SortFunc(ts, func(x, y timer.Timer) int { return cmp.Or(x.Ready().Compare(y.Ready()), cmp.Compare(x.ID, y.ID)) })
	if len(ts) == 1 {
		w.Form, w.Title = answer.FormLines, answer.Title{Recipe: named(ts[0])}
	}
	for _, t := range ts[:min(len(ts), mostLines)] {
		ready := line(t, "", m.At, b)
		if len(ts) == 1 && t.Recipe == "" {
			ready.At = detail(t)
		}
		d := t.Ready().Sub(m.At)
		if w.Question.Work.Since {
			f := lasting("been in", m.At.Sub(t.Started), answer.FromClock)
			f.Of, f.At, f.Group = t.Recipe, ready.At, "been in"
			w.Facts = append(w.Facts, f)
			if len(ts) > 1 {
				continue
			}
		}
		if d <= 0 {
			ready.Group = "due"
			w.Facts = append(w.Facts, ready)
			if len(ts) == 1 {
				note(w, "ready since", named(t))
			}
			continue
		}
		f := lasting("time left", d, answer.FromCalculated)
		f.Of, f.At, f.How, f.Group = t.Recipe, ready.At, how(t, b), "left"
		if len(ts) > 1 { // the moment stands in the second line
			f.At = strings.TrimSuffix(ready.Shown+", "+f.At, ", ")
			if t.Recipe == "" {
				f.At = ready.At + ", " + ready.Shown
			}
			ready.Group = answer.GroupNote
		}
		w.Facts = append(w.Facts, f, ready)
	}
	return nil
}

// lots tells which batches began on a day.
func (k *Asker) lots(b *answer.Book, m Message, w *answer.Answer, all []timer.Timer) error {
	q := w.Question
	day := b.Day(q.Clock, m.At)
	for _, t := range all {
		at := t.Started.In(b.Zone)
		if t.State == timer.Stopped || at.Before(day) || !at.Before(day.AddDate(0, 0, 1)) {
			continue
		}
		if q.Work.Named && !hasWord(t, q.Work.Words) && !slices.ContainsFunc(q.Work.Recipes, func(r *kb.Recipe) bool { return r.Name == t.Recipe }) {
			continue
		}
		f := momentAt("start at", t.Started, m.At, b, answer.FromAsked)
		f.Shown = at.Format("15:04 Mon 2 Jan")
		f.Of, f.At = t.Recipe, detail(t)
		f.Group = "lots"
		w.Facts = append(w.Facts, f)
	}
	if len(w.Facts) == 0 {
		unknownWork(w, "no lots", day.Format("Mon 2 Jan"))
	}
	return nil
}

// hasWord reports whether a timer's recipe has one of the words.
func hasWord(t timer.Timer, words []string) bool {
	have := name.Words(t.Recipe)
	return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(have, w) })
}

// Notice puts what the engine has to say into words.
func (k *Asker) Notice(ctx context.Context, n timer.Notice, now time.Time) (Reply, error) {
	b, err := k.Book(ctx)
	if err != nil {
		return Reply{}, err
	}
	a := &answer.Answer{Status: answer.StatusAnswer, About: "timer", Form: answer.FormWork}
	groups := []timer.Kind{timer.KindOver, timer.KindLatest, timer.KindReady, timer.KindSnoozed, timer.KindAgain, timer.KindHand, timer.KindStir, timer.KindRunning}
	for _, g := range groups {
		for _, it := range n.Items {
			if it.Kind != g {
				continue
			}
			f := line(it.Timer, "notice "+string(g), now, b)
			if g == timer.KindStir {
				from := answer.FromBook
				if !it.Timer.NudgeFrom.IsZero() {
					from = answer.FromAsked
				}
				f = lasting("stir every", it.Timer.Stir, from)
				f.Of, f.At, f.Group = it.Timer.Recipe, detail(it.Timer), "notice stir"
			}
			if g == timer.KindOver {
				f.What, f.Time = "never over", &it.Due
				f.Shown = when(it.Due, now, b)
				a.Cautions = append(a.Cautions, answer.Phrase{Code: "over time", Args: []string{named(it.Timer), it.Timer.Span}})
			}
			if g == timer.KindLatest {
				f.What, f.Time = "at the latest", &it.Due
				f.Shown = when(it.Due, now, b)
			}
			a.Facts = append(a.Facts, f)
			if late := now.Sub(it.Due); g != timer.KindRunning && g != timer.KindHand && g != timer.KindAgain && g != timer.KindSnoozed && late >= 2*time.Minute {
				l := lasting("late", late, answer.FromClock)
				l.Of, l.Group = f.Of, f.Group
				a.Facts = append(a.Facts, l)
			}
		}
	}
	if n.Maybe {
		note(a, "maybe said")
	}
	return Reply{Answer: a, Reply: k.words.In(b.Snap.House.Language).Render(a)}, nil
}

// Speaking is what an engine calls to have its notices said by an adapter.
func (k *Asker) Speaking(s Speaker, now func() time.Time) timer.Speaker { return speaking{k, s, now} }

type speaking struct {
	k   *Asker
	s   Speaker
	now func() time.Time
}

// Speak implements [timer.Speaker].
func (s speaking) Speak(ctx context.Context, n timer.Notice) error {
	r, err := s.k.Notice(ctx, n, s.now())
	if err != nil {
		return fmt.Errorf("wording a notice: %w", err)
	}
	if a, ok := s.s.(Announcer); ok {
		return a.Announce(ctx, n.Channel, r, whose(n), n.ID)
	}
	return s.s.Say(ctx, n.Channel, r.Text, n.ID)
}

// whose is the one person that the work of a notice is of; "" where there are
// several, and of what the next shift takes over.
func whose(n timer.Notice) AuthorID {
	who := ""
	for i, it := range n.Items {
		if n.HandOver() || i > 0 && it.Timer.Who != who {
			return ""
		}
		who = it.Timer.Who
	}
	return AuthorID(who)
}

// NextShift is when the next shift of the house begins after a moment; zero:
// the house names none.
func NextShift(b *answer.Book, after time.Time) time.Time {
	var best time.Time
	after = after.In(b.Zone)
	for _, s := range b.Snap.House.Shifts {
		for d := 0; d <= 7; d++ {
			day := time.Date(after.Year(), after.Month(), after.Day()+d, int(s.From)/60, int(s.From)%60, 0, 0, b.Zone)
			if !day.After(after) || !(len(s.Days) == 0 || slices.Contains(s.Days, day.Format("Mon"))) {
				continue
			}
			if best.IsZero() || day.Before(best) {
				best = day
			}
			break
		}
	}
	return best
}
