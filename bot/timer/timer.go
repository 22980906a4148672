package timer

import (
	"time"
)

// ID numbers the timers of a file; none is used twice.
type ID uint64

// State is how far a timer has come.
type State string

// The states. A timer that runs, is due or was handed over is open.
const (
	Running  State = "running"
	Due      State = "due"         // it was said that the time is there
	Snoozed  State = "snoozed"     // said, and to be said again
	Handed   State = "handed over" // nobody answered; the next shift was told
	Answered State = "answered"    // somebody took it on
	Stopped  State = "stopped"
)

// Timer is one batch of something that takes its time.
type Timer struct {
	ID           ID     `json:"id"`
	House        string `json:"house"`
	Channel      string `json:"channel"`
	Conversation string `json:"conversation"`
	Who          string `json:"who,omitempty"`
	Recipe       string `json:"recipe,omitempty"` // "": a plain timer
	Verb         string `json:"verb,omitempty"`   // the step's, as the book has it
	Span         string `json:"span,omitempty"`   // its time as the book writes it
	// Least, Most and Never are counted from Started; 0: the book gives none. An
	// exact time is Least alone.
	Least time.Duration `json:"least,omitempty"`
	Most  time.Duration `json:"most,omitempty"`
	Never time.Duration `json:"never,omitempty"`
	Stir  time.Duration `json:"stir,omitempty"` // a nudge every so often until it is ready
	// Much and Where are in the cook's words or the book's: "3 tubs", "freezer".
	Much  string `json:"much,omitempty"`
	Where string `json:"where,omitempty"`

	Started time.Time `json:"started"` // when it went in
	Set     time.Time `json:"set"`     // when that was told
	Touched time.Time `json:"touched"` // when somebody last spoke of it, or it spoke
	Ended   time.Time `json:"ended"`   // when it was answered or stopped
	State   State     `json:"state"`

	// What was said: zero where it was not.
	ToldReady  time.Time `json:"told_ready"`
	ToldLatest time.Time `json:"told_latest"`
	ToldOver   time.Time `json:"told_over"`
	ToldAgain  time.Time `json:"told_again"`
	Nudged     int       `json:"nudged,omitempty"` // nudges that are past
	NudgeFrom  time.Time `json:"nudge_from"`       // since when they are counted, where the cook asked for them; zero: from the start, by the book
	Snooze     time.Time `json:"snooze"`           // when to say it again
	HandAt     time.Time `json:"hand_at"`          // when the next shift is told
}

// Open reports whether somebody still has to see to it.
func (t *Timer) Open() bool {
	switch t.State {
	case Running, Due, Snoozed, Handed:
		return true
	}
	return false
}

// Ready is when it may be used: after its least time; where the book has only a
// longest one, then.
func (t *Timer) Ready() time.Time {
	if t.Least > 0 {
		return t.Started.Add(t.Least)
	}
	if t.Most > 0 {
		return t.Started.Add(t.Most)
	}
	return t.Started.Add(t.Never)
}

// Latest is the end of its longest time, zero where that is none or the same as Ready.
func (t *Timer) Latest() time.Time {
	if t.Most > 0 && t.Least > 0 && t.Most != t.Least {
		return t.Started.Add(t.Most)
	}
	return time.Time{}
}

// Over is when it is past what the book never allows.
func (t *Timer) Over() time.Time {
	if t.Never > 0 && (t.Least > 0 || t.Most > 0) {
		return t.Started.Add(t.Never)
	}
	return time.Time{}
}

// Kind is why something is said of a timer.
type Kind string

// The kinds, the gravest last.
const (
	KindRunning Kind = "running" // listed beside others in a hand-over
	KindStir    Kind = "stir"
	KindHand    Kind = "hand over"
	KindAgain   Kind = "again"
	KindSnoozed Kind = "snoozed"
	KindReady   Kind = "ready"
	KindLatest  Kind = "latest"
	KindOver    Kind = "over"
)

var graver = map[Kind]int{KindStir: 1, KindHand: 2, KindAgain: 3, KindSnoozed: 4, KindReady: 5, KindLatest: 6, KindOver: 7}

// SayAgain is how long after the first time a timer speaks once more.
const SayAgain = 10 * time.Minute

// plan is what is to be said next of a timer, and when; false: nothing.
func (t *Timer) plan() (at time.Time, kind Kind, ok bool) {
	if !t.Open() {
		return at, kind, false
	}
	put := func(when time.Time, k Kind) {
		if !when.IsZero() && (!ok || when.Before(at) || when.Equal(at) && graver[k] > graver[kind]) {
			at, kind, ok = when, k, true
		}
	}
	if t.ToldReady.IsZero() {
		put(t.Ready(), KindReady)
		if t.Stir > 0 {
			if n := t.nudges().Add(time.Duration(t.Nudged+1) * t.Stir); n.Before(t.Ready()) {
				put(n, KindStir)
			}
		}
	}
	if t.ToldLatest.IsZero() {
		put(t.Latest(), KindLatest)
	}
	if t.ToldOver.IsZero() {
		put(t.Over(), KindOver)
	}
	switch t.State {
	case Snoozed:
		put(t.Snooze, KindSnoozed)
	case Due:
		if t.ToldAgain.IsZero() {
			put(lastOf(t.ToldReady, t.ToldLatest, t.ToldOver).Add(SayAgain), KindAgain)
		}
		put(t.HandAt, KindHand)
	}
	return at, kind, ok
}

func lastOf(ts ...time.Time) time.Time {
	out := ts[0]
	for _, t := range ts[1:] {
		if t.After(out) {
			out = t
		}
	}
	return out
}

// fire marks as said everything of t that is due at now, and returns the gravest
// of it with the moment it fell due; shift is the next shift's start after now.
func (t *Timer) fire(now time.Time, shift func(time.Time) time.Time) (Item, bool) {
	var out Item
	some := false
	for {
		at, kind, ok := t.plan()
		if !ok || at.After(now) {
			break
		}
		if !some || graver[kind] > graver[out.Kind] {
			out.Kind, out.Due = kind, at
		}
		some = true
		t.said(kind, now, shift)
	}
	if some {
		t.Touched = now
		out.Timer = *t
	}
	return out, some
}

func (t *Timer) said(kind Kind, now time.Time, shift func(time.Time) time.Time) {
	due := func() {
		t.State, t.ToldAgain, t.HandAt = Due, time.Time{}, time.Time{}
	}
	switch kind {
	case KindStir:
		t.Nudged = int(now.Sub(t.nudges()) / t.Stir)
	case KindReady:
		t.ToldReady = now
		due()
	case KindLatest:
		t.ToldLatest = now
		due()
	case KindOver:
		t.ToldOver = now
		due()
	case KindSnoozed:
		t.Snooze, t.ToldReady = time.Time{}, now
		due()
	case KindAgain:
		t.ToldAgain = now
		if shift != nil {
			t.HandAt = shift(now)
		}
	case KindHand:
		t.State, t.HandAt = Handed, time.Time{}
	}
}

// begin fits what was said to the start: what lies ahead is still to be said,
// and what lay behind when it was told has been said by the answer.
func (t *Timer) begin(now time.Time) {
	t.State, t.Snooze, t.HandAt, t.ToldAgain = Running, time.Time{}, time.Time{}, time.Time{}
	past := func(told *time.Time, at time.Time) {
		*told = time.Time{}
		if !at.IsZero() && !at.After(now) {
			*told, t.ToldAgain = now, now // who sets it is told in the answer
			t.State = Due
		}
	}
	past(&t.ToldReady, t.Ready())
	past(&t.ToldLatest, t.Latest())
	past(&t.ToldOver, t.Over())
	t.Nudged = 0
	if !t.NudgeFrom.IsZero() {
		t.NudgeFrom = t.Started
	}
	if t.Stir > 0 && now.After(t.Started) {
		t.Nudged = int(now.Sub(t.Started) / t.Stir)
	}
}

// nudges is since when they are counted.
func (t *Timer) nudges() time.Time {
	if t.NudgeFrom.IsZero() {
		return t.Started
	}
	return t.NudgeFrom
}

// Restart gives a timer another start, told at now.
func (t *Timer) Restart(start, now time.Time) {
	t.Started, t.Touched = start, now
	t.begin(now)
}

// Delay says it again at until.
func (t *Timer) Delay(until, now time.Time) {
	t.State, t.Snooze, t.Touched, t.HandAt, t.ToldAgain = Snoozed, until, now, time.Time{}, time.Time{}
	if t.ToldReady.IsZero() { // put off before it was due: the later moment counts
		t.ToldReady = now
	}
}

// Nudge gives a timer a nudge every so often until it is ready, the first one so
// long after now; 0: none.
func (t *Timer) Nudge(every time.Duration, now time.Time) {
	t.Stir, t.Touched, t.Nudged, t.NudgeFrom = every, now, 0, now
}

// End closes a timer as answered or stopped.
func (t *Timer) End(as State, now time.Time) {
	t.State, t.Ended, t.Touched = as, now, now
}

// Item is one timer that a notice speaks of, as it was then.
type Item struct {
	Timer Timer     `json:"timer"`
	Kind  Kind      `json:"kind"`
	Due   time.Time `json:"due"` // when it should have been said
}

// Notice is something to be said in a channel. The same notice keeps its ID
// whatever happens between: a speaker that knows it has said it says nothing.
type Notice struct {
	ID      string    `json:"id"`
	House   string    `json:"house"`
	Channel string    `json:"channel"`
	Made    time.Time `json:"made"`
	Items   []Item    `json:"items"`
	// Maybe: the program ended while it was being said; it may have been heard.
	Maybe bool `json:"-"`
	seq   uint64
}

// HandOver reports whether it is the list for the next shift.
func (n *Notice) HandOver() bool { return len(n.Items) > 0 && n.Items[0].Kind == KindHand }

// Reading is a temperature that somebody told.
type Reading struct {
	ID           ID        `json:"id"`
	House        string    `json:"house"`
	Channel      string    `json:"channel"`
	Conversation string    `json:"conversation"`
	Who          string    `json:"who,omitempty"`
	Recipe       string    `json:"recipe,omitempty"` // "": of a place
	Place        string    `json:"place,omitempty"`  // a fridge or freezer, as the house or the cook calls it
	Celsius      float64   `json:"celsius"`
	Use          string    `json:"use,omitempty"` // what it was said to be of: put to cool, held hot
	At           time.Time `json:"at"`
	Told         time.Time `json:"told"`
	// Struck is when somebody took it back; it stays in the file and in lists.
	Struck   time.Time `json:"struck"`
	StruckBy string    `json:"struck_by,omitempty"`
}

// Trial is how long something took in this house.
type Trial struct {
	ID     ID            `json:"id"`
	House  string        `json:"house"`
	Recipe string        `json:"recipe"`
	Verb   string        `json:"verb"`
	Where  string        `json:"where,omitempty"`
	Took   time.Duration `json:"took"`
	Thick  float64       `json:"thick,omitempty"` // cm; 0: not told
	Word   string        `json:"word,omitempty"`  // what was seen: "hard"
	Who    string        `json:"who,omitempty"`
	At     time.Time     `json:"at"`
}
