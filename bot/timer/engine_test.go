package timer

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.etcd.io/bbolt"
)

// fake is a clock that moves when it is told to.
type fake struct {
	mu    sync.Mutex
	now   time.Time
	waits []waiting
	asked chan struct{} // told that somebody waits; nil: nobody listens
}

type waiting struct {
	at time.Time
	c  chan time.Time
}

func (f *fake) Now() time.Time { f.mu.Lock(); defer f.mu.Unlock(); return f.now }

func (f *fake) After(d time.Duration) <-chan time.Time {
	f.mu.Lock()
	defer f.mu.Unlock()
	c := make(chan time.Time, 1)
	f.waits = append(f.waits, waiting{f.now.Add(d), c})
	select {
	case f.asked <- struct{}{}:
	default: // nobody listens, or it is told already
	}
	return c
}

// pass lets some time go by.
func (f *fake) pass(d time.Duration) { f.mu.Lock(); defer f.mu.Unlock(); f.now = f.now.Add(d) }

// forward moves the clock to the next moment somebody waits for, at most to end.
func (f *fake) forward(end time.Time) bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.waits) == 0 {
		return false
	}
	slices.SortFunc(f.waits, func(a, b waiting) int { return a.at.Compare(b.at) })
	w := f.waits[0]
	f.waits = f.waits[1:]
	if w.at.After(end) {
		w.at = end
	}
	if w.at.After(f.now) {
		f.now = w.at
	}
	w.c <- f.now
	return true
}

// heard is what was said; it does not repeat an ID.
type heard struct {
	mu    sync.Mutex
	said  []Notice
	calls map[string]int
	fail  error
}

func (h *heard) Speak(_ context.Context, n Notice) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.fail != nil {
		return h.fail
	}
	if h.calls == nil {
		h.calls = map[string]int{}
	}
	h.calls[n.ID]++
	if h.calls[n.ID] == 1 {
		h.said = append(h.said, n)
	}
	return nil
}

// words are the notices as short lines.
func (h *heard) words() string {
	var out []string
	for _, n := range h.said {
		for _, it := range n.Items {
			out = append(out, fmt.Sprintf("%s %s: %s %s", n.Made.Format("15:04"), n.Channel, it.Kind, it.Timer.Recipe))
		}
	}
	return strings.Join(out, "\n")
}

var night = time.Date(2026, 3, 14, 22, 40, 0, 0, oslo)

var oslo = func() *time.Location {
	z, err := time.LoadLocation("Europe/Oslo")
	if err != nil {
		panic(err)
	}
	return z
}()

func open(t testing.TB, path string, now time.Time, o Options) *Engine {
	t.Helper()
	e, err := Open(path, now, o)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func fresh(t testing.TB) (string, *Engine) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "data", FileName)
	e := open(t, path, night, Options{Shift: morning})
	t.Cleanup(func() { _ = e.Close() })
	return path, e
}

// morning is the next six o'clock in Oslo.
func morning(_ string, after time.Time) time.Time {
	a := after.In(oslo)
	for d := 0; ; d++ {
		if at := time.Date(a.Year(), a.Month(), a.Day()+d, 6, 0, 0, 0, oslo); at.After(after) {
			return at
		}
	}
}

func domes(start time.Time) Timer {
	return Timer{House: "home", Channel: "pastry", Recipe: "domes", Verb: "freeze", Span: "at least 6 h", Least: 6 * time.Hour, Started: start}
}

func set(t testing.TB, e *Engine, tm Timer, now time.Time) Timer {
	t.Helper()
	tm, err := e.Set(tm, now)
	if err != nil {
		t.Fatal(err)
	}
	return tm
}

func tick(t testing.TB, e *Engine, now time.Time, s Speaker) {
	t.Helper()
	if err := e.Tick(context.Background(), now, s); err != nil {
		t.Fatal(err)
	}
}

func want(t testing.TB, got, want string) {
	t.Helper()
	if got != strings.TrimSpace(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A timer speaks when it is due, once more after ten minutes, and goes to the
// next shift; each once, however often it is looked at.
func TestNight(t *testing.T) {
	path, e := fresh(t)
	h := &heard{}
	set(t, e, domes(night), night)
	set(t, e, Timer{House: "home", Channel: "bread", Recipe: "rye", Least: time.Hour, Most: 2 * time.Hour, Never: 3 * time.Hour, Started: night}, night)
	for at := night; at.Before(night.Add(12 * time.Hour)); at = at.Add(5 * time.Minute) {
		tick(t, e, at, h)
		tick(t, e, at, h)
		if at.Minute() == 0 { // a restart each hour
			if err := e.Close(); err != nil {
				t.Fatal(err)
			}
			e = open(t, path, at, Options{Shift: morning})
		}
	}
	want(t, h.words(), `
23:40 bread: ready rye
23:50 bread: again rye
00:40 bread: latest rye
00:50 bread: again rye
01:40 bread: over rye
01:50 bread: again rye
04:40 pastry: ready domes
04:50 pastry: again domes
06:00 pastry: hand over domes
06:00 bread: hand over rye`)
	for id, n := range h.calls {
		if n != 1 {
			t.Errorf("%s was said %d times", id, n)
		}
	}
	_ = e.Close()
}

// What comes due while nothing runs is said at once, the gravest thing only.
func TestDown(t *testing.T) {
	path, e := fresh(t)
	h := &heard{}
	set(t, e, Timer{House: "home", Channel: "bread", Recipe: "rye", Least: time.Hour, Most: 2 * time.Hour, Never: 3 * time.Hour, Stir: 20 * time.Minute, Started: night}, night)
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	back := night.Add(150 * time.Minute)
	e = open(t, path, back, Options{})
	defer func() { _ = e.Close() }()
	tick(t, e, back, h)
	tick(t, e, back, h)
	want(t, h.words(), "01:10 bread: latest rye")
	if due := h.said[0].Items[0].Due; !due.Equal(night.Add(2 * time.Hour)) {
		t.Errorf("due %v", due)
	}
}

// Nudges come until it is ready; those missed are not made up for.
func TestStir(t *testing.T) {
	_, e := fresh(t)
	h := &heard{}
	set(t, e, Timer{House: "home", Channel: "hot", Recipe: "soup", Most: 3 * time.Hour, Stir: 30 * time.Minute, Started: night}, night)
	for _, m := range []int{30, 31, 100, 120, 180} {
		tick(t, e, night.Add(time.Duration(m)*time.Minute), h)
	}
	want(t, h.words(), `
23:10 hot: stir soup
00:20 hot: stir soup
00:40 hot: stir soup
01:40 hot: ready soup`)
}

func TestCorrectSnoozeAnswer(t *testing.T) {
	_, e := fresh(t)
	h := &heard{}
	a := set(t, e, domes(night), night)
	b := set(t, e, domes(night.Add(time.Minute)), night.Add(time.Minute))
	if _, err := e.Change(a.ID, func(x *Timer) error { x.Restart(night.Add(-30*time.Minute), night); return nil }); err != nil {
		t.Fatal(err)
	}
	at := night.Add(330 * time.Minute)
	tick(t, e, at, h)
	if _, err := e.Change(a.ID, func(x *Timer) error { x.Delay(at.Add(20*time.Minute), at); return nil }); err != nil {
		t.Fatal(err)
	}
	tick(t, e, at.Add(15*time.Minute), h) // the second saying is off
	tick(t, e, at.Add(20*time.Minute), h)
	if _, err := e.Change(a.ID, func(x *Timer) error { x.End(Answered, at); return nil }); err != nil {
		t.Fatal(err)
	}
	tick(t, e, at.Add(31*time.Minute), h) // b is ready; a is off the list
	want(t, h.words(), `
04:10 pastry: ready domes
04:30 pastry: snoozed domes
04:41 pastry: ready domes`)
	if last := h.said[2].Items[0].Timer.ID; last != b.ID {
		t.Errorf("timer %d spoke, want %d", last, b.ID)
	}
	if _, err := e.Change(99, func(*Timer) error { return nil }); !errors.Is(err, ErrGone) {
		t.Errorf("changing what is not there: %v", err)
	}
}

// What is past when it is set is not said again; what lies ahead is.
func TestSetLate(t *testing.T) {
	_, e := fresh(t)
	h := &heard{}
	set(t, e, Timer{House: "home", Channel: "pastry", Recipe: "base", Least: 10 * time.Hour, Most: 24 * time.Hour, Never: 48 * time.Hour, Started: night.Add(-11 * time.Hour)}, night)
	for m := range 15 * 60 {
		tick(t, e, night.Add(time.Duration(m)*time.Minute), h)
	}
	want(t, h.words(), `
11:40 pastry: latest base
11:50 pastry: again base`)
}

// A speaker that fails is asked again, with the same ID, less and less often.
func TestSpeakerFails(t *testing.T) {
	path, e := fresh(t)
	h := &heard{fail: errors.New("no connection")}
	set(t, e, domes(night), night)
	at := night.Add(6 * time.Hour)
	if err := e.Tick(context.Background(), at, h); err == nil {
		t.Fatal("a failed saying is no error")
	}
	if err := e.Tick(context.Background(), at, h); err != nil {
		t.Fatalf("it is tried again at once: %v", err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	e = open(t, path, at, Options{})
	defer func() { _ = e.Close() }()
	h.fail = nil
	tick(t, e, at.Add(time.Second), h)
	tick(t, e, at.Add(2*time.Second), h)
	want(t, h.words(), "04:40 pastry: ready domes")
	if !h.said[0].Maybe {
		t.Error("it may have been said before the restart, and the notice does not tell")
	}
}

// For a speaker without a memory a notice leaves the outbox before it is said:
// a restart right after the saying repeats nothing, and a failed one comes back.
func TestForgetful(t *testing.T) {
	path, e := fresh(t)
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	o := Options{Forgetful: true}
	e = open(t, path, night, o)
	set(t, e, domes(night), night)
	h := &heard{fail: errors.New("a closed pipe")}
	at := night.Add(6 * time.Hour)
	if err := e.Tick(t.Context(), at, h); err == nil {
		t.Fatal("a failed saying is no error")
	}
	h.fail = nil
	tick(t, e, at.Add(2*time.Second), speakerFunc(func(ctx context.Context, n Notice) error {
		if err := h.Speak(ctx, n); err != nil {
			return err
		}
		left := 0
		return e.f.db.View(func(tx *bbolt.Tx) error {
			left = tx.Bucket(bucketOutbox).Stats().KeyN
			if left > 0 {
				t.Error("it is still in the outbox while it is said")
			}
			return nil
		})
	}))
	want(t, h.words(), "04:40 pastry: ready domes")
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	e = open(t, path, at, o)
	defer func() { _ = e.Close() }()
	tick(t, e, at.Add(3*time.Second), h)
	want(t, h.words(), "04:40 pastry: ready domes")
}

type speakerFunc func(ctx context.Context, n Notice) error

func (f speakerFunc) Speak(ctx context.Context, n Notice) error { return f(ctx, n) }

// Who ends a timer while its notice waits hears nothing of it.
func TestEndedBeforeSaid(t *testing.T) {
	_, e := fresh(t)
	h := &heard{fail: errors.New("no connection")}
	a := set(t, e, domes(night), night)
	at := night.Add(6 * time.Hour)
	_ = e.Tick(context.Background(), at, h) // it can't be said
	if _, err := e.Change(a.ID, func(x *Timer) error { x.End(Stopped, at); return nil }); err != nil {
		t.Fatal(err)
	}
	h.fail = nil
	tick(t, e, at.Add(time.Minute), h)
	want(t, h.words(), "")
	if _, ok := e.Next(); ok {
		t.Error("something still waits")
	}
}

// A channel that is not served from here keeps its notices.
func TestServes(t *testing.T) {
	path, e := fresh(t)
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	h := &heard{}
	only := func(c string) Options {
		return Options{Serves: func(_, channel string) bool { return channel == c }}
	}
	e = open(t, path, night, only("terminal"))
	set(t, e, domes(night), night)
	if at, ok := e.Next(); ok {
		t.Errorf("it would speak at %v", at)
	}
	tick(t, e, night.Add(7*time.Hour), h)
	want(t, h.words(), "")
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	e = open(t, path, night, only("pastry"))
	defer func() { _ = e.Close() }()
	tick(t, e, night.Add(7*time.Hour), h)
	want(t, h.words(), "05:40 pastry: ready domes")
}

// The clock going back says nothing twice and loses nothing.
func TestClockBack(t *testing.T) {
	_, e := fresh(t)
	h := &heard{}
	set(t, e, domes(night), night)
	tick(t, e, night.Add(6*time.Hour), h)
	tick(t, e, night.Add(5*time.Hour), h) // back an hour
	tick(t, e, night.Add(6*time.Hour), h)
	tick(t, e, night.Add(6*time.Hour+SayAgain), h)
	want(t, h.words(), `
04:40 pastry: ready domes
04:50 pastry: again domes`)
}

// Hours are hours over the nights when clocks change: six of them from 23:00
// end at 06:00 in March and at 04:00 in October in Oslo (Go's zone data; the
// EU's directive 2000/84/EC puts both changes at 01:00 UTC).
func TestSummerTime(t *testing.T) {
	for _, c := range []struct{ start, want string }{
		{"2026-03-28T23:00:00+01:00", "2026-03-29T06:00:00+02:00"},
		{"2026-10-24T23:00:00+02:00", "2026-10-25T04:00:00+01:00"},
		{"2026-06-01T23:00:00+02:00", "2026-06-02T05:00:00+02:00"},
	} {
		start, err := time.Parse(time.RFC3339, c.start)
		if err != nil {
			t.Fatal(err)
		}
		tm := domes(start)
		if got := tm.Ready().In(oslo).Format(time.RFC3339); got != c.want {
			t.Errorf("six hours from %s: %s, want %s", c.start, got, c.want)
		}
	}
}

// Run sleeps until something is due and says it within a second.
func TestRun(t *testing.T) {
	_, e := fresh(t)
	h := &heard{}
	c := &fake{now: night, asked: make(chan struct{}, 1)}
	ctx, stop := context.WithCancel(t.Context())
	slow := domes(night)
	slow.Least = 40 * time.Minute
	set(t, e, slow, night)
	set(t, e, Timer{House: "home", Channel: "hot", Recipe: "tuile", Least: 12 * time.Minute, Started: night}, night)
	ended := make(chan error)
	go func() { ended <- e.Run(ctx, c, h, func(err error) { t.Error(err) }) }()
	end := night.Add(time.Hour)
	for c.Now().Before(end) {
		if c.forward(end) {
			continue
		}
		select { // the engine is at work
		case <-c.asked:
		case err := <-ended:
			t.Fatal(err)
		}
	}
	stop()
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	want(t, h.words(), `
22:52 hot: ready tuile
23:02 hot: again tuile
23:20 pastry: ready domes
23:30 pastry: again domes`)
}

// Only one process has the file; another is told at once.
func TestOwned(t *testing.T) {
	path, _ := fresh(t)
	if _, err := Open(path, night, Options{}); !errors.Is(err, ErrOwned) {
		t.Errorf("opened twice: %v", err)
	}
}

func TestKept(t *testing.T) {
	path, e := fresh(t)
	if _, err := e.Note(Reading{House: "home", Recipe: "jus", Celsius: 57, At: night}); err != nil {
		t.Fatal(err)
	}
	if _, err := e.Learn(Trial{House: "home", Recipe: "domes", Verb: "freeze", Took: 260 * time.Minute, At: night}); err != nil {
		t.Fatal(err)
	}
	set(t, e, domes(night), night)
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	e = open(t, path, night, Options{})
	defer func() { _ = e.Close() }()
	rs, _ := e.Readings("home")
	ts, _ := e.Trials("home")
	all, _ := e.All("home")
	other, _ := e.All("elsewhere")
	if len(rs) != 1 || rs[0].Celsius != 57 || len(ts) != 1 || ts[0].Took != 260*time.Minute || len(all) != 1 || all[0].ID != 1 || len(other) != 0 {
		t.Errorf("%v %v %v %v", rs, ts, all, other)
	}
	at := night.Add(6 * time.Hour)
	if _, err := e.Change(1, func(x *Timer) error { x.End(Stopped, at); return nil }); err != nil {
		t.Fatal(err)
	}
	set(t, e, domes(at), at)
	tick(t, e, at.Add(KeepEnded+24*time.Hour), &heard{})
	if all, _ = e.All("home"); len(all) != 1 || all[0].ID != 2 {
		t.Errorf("what ended a month ago is still there: %v", all)
	}
}

// TestStrike: a temperature that is taken back stays in the file with who did it
// and when, is struck out once, and is there after the file was opened again.
func TestStrike(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	e := open(t, path, night, Options{})
	rs, err := e.Note(Reading{House: "h", Channel: "c", Recipe: "jus", Celsius: 57, At: night, Told: night}, Reading{House: "h", Channel: "c", Recipe: "jus", Celsius: 40, At: night, Told: night})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := e.Strike("other", rs[0].ID, "ida", night); !errors.Is(err, ErrGone) {
		t.Errorf("another house: %v, want ErrGone", err)
	}
	later := night.Add(time.Minute)
	if _, err := e.Strike("h", rs[0].ID, "ida", later); err != nil {
		t.Fatal(err)
	}
	if r, err := e.Strike("h", rs[0].ID, "ben", later.Add(time.Hour)); err != nil || r.StruckBy != "ida" || !r.Struck.Equal(later) {
		t.Errorf("a second time: %+v, %v", r, err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	e = open(t, path, later, Options{})
	defer func() { _ = e.Close() }()
	all, err := e.Readings("h")
	if err != nil || len(all) != 2 {
		t.Fatalf("%d temperatures, %v; want both", len(all), err)
	}
	if !all[0].Struck.Equal(later) || all[0].StruckBy != "ida" || all[0].Celsius != 57 || !all[1].Struck.IsZero() {
		t.Errorf("kept as %+v", all)
	}
}

// TestNudge: the cook's own nudges are counted from when they were asked for, end
// when it is ready, and can be taken off.
func TestNudge(t *testing.T) {
	tm := Timer{House: "h", Least: time.Hour, Started: night}
	tm.begin(night)
	tm.Nudge(20*time.Minute, night.Add(5*time.Minute))
	var at []time.Duration
	for {
		when, kind, ok := tm.plan()
		if !ok || kind != KindStir {
			break
		}
		at = append(at, when.Sub(night))
		tm.said(kind, when, nil)
	}
	if want := []time.Duration{25 * time.Minute, 45 * time.Minute}; !slices.Equal(at, want) {
		t.Errorf("nudges at %v, want %v", at, want)
	}
	if when, kind, ok := tm.plan(); !ok || kind != KindReady || !when.Equal(night.Add(time.Hour)) {
		t.Errorf("then %v at %v", kind, when)
	}
	tm.Nudge(0, night.Add(50*time.Minute))
	if _, kind, _ := tm.plan(); kind != KindReady {
		t.Errorf("without nudges: %v", kind)
	}
}
