package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// soon is a clock time that lies ahead and is nearer than the same hour was last,
// where no word tells of the past: "mousse into the freezer at 10" at half past nine.
func (b *Book) soon(q *question.Question, past, now time.Time, ps []placed) (time.Time, bool) {
	c := q.Clock
	if q.Want != question.WantReady && (q.Want != question.WantStarted || !asksWhen(q.Say)) || !c.HasTime || c.HasDay {
		return time.Time{}, false
	}
	words := strings.Fields(strings.ToLower(q.Say))
	const far = 6 * time.Hour
	near := 10 * time.Hour
	if toldOn(q) {
		near = 2 * time.Hour // what is told as on was put on
	}
	for _, w := range words {
		if w == "put" && slices.Contains(words, "if") {
			continue // nothing went in yet
		}
		switch w {
		case "since", "went", "put", "started", "was", "were", "been", "last", "yesterday", "seit", "depuis":
			return time.Time{}, false
		}
	}
	if sp, _, ok := spanOf(ps); ok && !toldOn(q) { // what would be over by now is not asked for
		if n := last(sp); n != nil && past.Add(minutes(*n)).Before(now) {
			near = 24 * time.Hour
		}
	}
	f, ok := b.moment(c, now, false)
	return f, ok && f.Sub(now) <= near && now.Sub(past) > far && f.Sub(now) < now.Sub(past)
}

// last is the longest that a span is asked to last, nil where it is open.
func last(sp recipe.Span) *quantity.Number {
	switch {
	case sp.Exact != nil:
		return sp.Exact
	case sp.Max != nil:
		return sp.Max
	}
	return sp.Min
}

// asksWhen reports whether a message asks when, which "tell me when" does not.
func asksWhen(say string) bool {
	words := question.Words(say)
	for i, w := range words {
		if w == "when" && (i == 0 || !slices.Contains([]string{"me", "us", "lmk", "know", "shout", "ring", "ping", "beep", "buzz", "holler", "yell", "out", "alarm", "timer"}, words[i-1])) {
			return true
		}
	}
	return false
}
