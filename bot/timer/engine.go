package timer

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"go.etcd.io/bbolt"
)

// Speaker says notices where people hear them.
type Speaker interface {
	// Speak returns nil when the notice is said. It may be called again with the
	// same ID, after an error or a restart: one it has said it does not repeat.
	Speak(ctx context.Context, n Notice) error
}

// Options are what an engine must know of its houses.
type Options struct {
	// Shift is when the next shift of a house begins after a moment; zero: it has none.
	Shift func(house string, after time.Time) time.Time
	// Serves reports whether notices for a channel can be said from here; nil: all.
	Serves func(house, channel string) bool
	// Forgetful: the speaker can't tell what it has said before a restart, as a
	// terminal can't. A notice then leaves the outbox before it is said: a kill
	// in the instant between loses that one saying, and the next one (again after
	// ten minutes, the list for the next shift) makes up for it. Otherwise it
	// leaves after, and the speaker knows its ID.
	Forgetful bool
}

// KeepEnded is how long a timer that ended can still be asked for.
const KeepEnded = 30 * 24 * time.Hour

// mostItems is how many timers one notice speaks of: more than fit on a phone.
const mostItems = 20

// Engine keeps the timers of a file. Several goroutines may use it.
type Engine struct {
	o Options
	f *file

	mu       sync.Mutex
	timers   map[ID]*Timer
	readings []Reading
	trials   []Trial
	outbox   []Notice // not yet said, oldest first
	retry    map[uint64]attempt
	due      queue
	forgot   time.Time // when what ended was last dropped
	wake     chan struct{}

	speaking sync.Mutex
}

// attempt is a notice that could not be said.
type attempt struct {
	n    int
	next time.Time
}

// Open opens the file at path, made where there is none, and reads it.
//
//   - Errors: [ErrOwned] where another process has it; the disk's. A file that
//     can't be read is put aside, see [Engine.Lost].
func Open(path string, now time.Time, o Options) (*Engine, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return nil, fmt.Errorf("the data folder: %w", err)
	}
	e := &Engine{o: o, retry: map[uint64]attempt{}, wake: make(chan struct{}, 1)}
	e.clear()
	f, err := openFile(path, now, e.load)
	if err != nil {
		return nil, err
	}
	if f.lost != "" {
		e.clear()
	}
	e.f = f
	for _, t := range e.timers {
		e.place(t)
	}
	return e, nil
}

// serves reports whether a channel can be reached from here.
func (e *Engine) serves(house, channel string) bool {
	return e.o.Serves == nil || e.o.Serves(house, channel)
}

// place queues a timer that can be spoken of from here.
func (e *Engine) place(t *Timer) {
	if e.serves(t.House, t.Channel) {
		e.due.set(t)
	}
}

func (e *Engine) clear() {
	e.timers, e.readings, e.trials, e.outbox = map[ID]*Timer{}, nil, nil, nil
}

func (e *Engine) load(tx *bbolt.Tx) error {
	e.clear()
	return errors.Join(
		each(tx, bucketTimers, func(n uint64, t Timer) { e.timers[ID(n)] = &t }),
		each(tx, bucketOutbox, func(n uint64, o Notice) {
			o.seq, o.Maybe = n, true
			e.outbox = append(e.outbox, o)
		}),
		each(tx, bucketReadings, func(_ uint64, r Reading) { e.readings = append(e.readings, r) }),
		each(tx, bucketTrials, func(_ uint64, t Trial) { e.trials = append(e.trials, t) }),
	)
}

// Close gives the file back.
func (e *Engine) Close() error { return e.f.db.Close() }

// Lost says what could not be read when the file was opened, "" if nothing.
func (e *Engine) Lost() string { return e.f.lost }

// Set starts a timer; it is on the disk when Set returns. What is past at now
// counts as said: who sets it is told so.
func (e *Engine) Set(t Timer, now time.Time) (Timer, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	t.Set, t.Touched = now, now
	t.begin(now)
	err := e.f.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketTimers)
		n, err := b.NextSequence()
		if err != nil {
			return err
		}
		t.ID = ID(n)
		return put(b, n, &t)
	})
	if err != nil {
		return Timer{}, fmt.Errorf("keeping a timer: %w", err)
	}
	e.timers[t.ID] = &t
	e.place(&t)
	e.nudge()
	return t, nil
}

// Change changes a timer; the change is on the disk when it returns.
//
//   - Errors: [ErrGone], what change returns, the disk's.
func (e *Engine) Change(id ID, change func(*Timer) error) (Timer, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	old := e.timers[id]
	if old == nil {
		return Timer{}, fmt.Errorf("%w: %d", ErrGone, id)
	}
	t := *old
	if err := change(&t); err != nil {
		return Timer{}, err
	}
	t.ID = id
	if err := e.f.db.Update(func(tx *bbolt.Tx) error { return put(tx.Bucket(bucketTimers), uint64(id), &t) }); err != nil {
		return Timer{}, fmt.Errorf("keeping a timer: %w", err)
	}
	e.timers[id] = &t
	e.place(&t)
	e.nudge()
	return t, nil
}

// nudge wakes a running engine: the next moment may have moved.
func (e *Engine) nudge() {
	select {
	case e.wake <- struct{}{}:
	default:
	}
}

// All are the timers of a house, in order of their setting.
func (e *Engine) All(house string) ([]Timer, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	var out []Timer
	for _, t := range e.timers {
		if t.House == house {
			out = append(out, *t)
		}
	}
	slices.SortFunc(out, func(a, b Timer) int { return cmp.Compare(a.ID, b.ID) })
	return out, nil
}

// Note keeps temperatures that were told in one message: all of them, or none
// where it fails.
func (e *Engine) Note(rs ...Reading) ([]Reading, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	out := slices.Clone(rs)
	err := e.f.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketReadings)
		for i := range out {
			n, err := b.NextSequence()
			if err != nil {
				return err
			}
			out[i].ID = ID(n)
			if err := put(b, n, &out[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("keeping temperatures: %w", err)
	}
	e.readings = append(e.readings, out...)
	return out, nil
}

// Readings are the temperatures told in a house, oldest first told.
func (e *Engine) Readings(house string) ([]Reading, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(e.readings), func(r Reading) bool { return r.House != house }), nil
}

// Strike takes a temperature back: it stays in the file with who did it and when.
//
//   - Errors: [ErrGone] where no temperature of the house has that number; the disk's.
func (e *Engine) Strike(house string, id ID, who string, now time.Time) (Reading, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	i := slices.IndexFunc(e.readings, func(r Reading) bool { return r.House == house && r.ID == id })
	if i < 0 {
		return Reading{}, fmt.Errorf("%w: temperature %d", ErrGone, id)
	}
	r := e.readings[i]
	if !r.Struck.IsZero() { // it is struck out as it was the first time
		return r, nil
	}
	r.Struck, r.StruckBy = now, who
	if err := e.f.db.Update(func(tx *bbolt.Tx) error { return put(tx.Bucket(bucketReadings), uint64(id), &r) }); err != nil {
		return Reading{}, fmt.Errorf("striking out a temperature: %w", err)
	}
	e.readings[i] = r
	return r, nil
}

// Learn keeps how long something took.
func (e *Engine) Learn(t Trial) (Trial, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	n, err := e.append(bucketTrials, func(n uint64) any { t.ID = ID(n); return &t })
	if err != nil {
		return Trial{}, fmt.Errorf("keeping a trial: %w", err)
	}
	t.ID = ID(n)
	e.trials = append(e.trials, t)
	return t, nil
}

// Trials are how long things took in a house, oldest first.
func (e *Engine) Trials(house string) ([]Trial, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(e.trials), func(t Trial) bool { return t.House != house }), nil
}

func (e *Engine) append(bucket []byte, value func(n uint64) any) (n uint64, err error) {
	err = e.f.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucket)
		if n, err = b.NextSequence(); err != nil {
			return err
		}
		return put(b, n, value(n))
	})
	return n, err
}

// Next is when something is to be said next; false: nothing is.
func (e *Engine) Next() (time.Time, bool) {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.next()
}

func (e *Engine) next() (at time.Time, ok bool) {
	at, ok = e.due.first()
	for _, n := range e.outbox {
		if when := e.retry[n.seq].next; e.serves(n.House, n.Channel) && (!ok || when.Before(at)) {
			at, ok = when, true
		}
	}
	return at, ok
}

// most is the longest that a running engine sleeps: a clock that is put forward
// is noticed after it.
const most = time.Second

// Run says what is due until ctx ends. Errors of the disk and of the speaker go
// to failed and are tried again.
func (e *Engine) Run(ctx context.Context, c Clock, s Speaker, failed func(error)) error {
	for {
		now := c.Now()
		if err := e.Tick(ctx, now, s); err != nil && ctx.Err() == nil {
			failed(err)
		}
		wait := most
		if at, ok := e.Next(); ok {
			wait = max(min(at.Sub(now), most), time.Millisecond)
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-e.wake:
		case <-c.After(wait):
		}
	}
}

// Tick says everything that is due at now. What is due is written to the outbox
// with the timers' new state in one step, then said, then taken out of the
// outbox: a stop between loses nothing, and what may have been said keeps its ID.
func (e *Engine) Tick(ctx context.Context, now time.Time, s Speaker) error {
	e.speaking.Lock()
	defer e.speaking.Unlock()
	if err := e.collect(now); err != nil {
		return err
	}
	var errs []error
	for _, n := range e.waiting(now) {
		if ctx.Err() != nil {
			return errors.Join(append(errs, ctx.Err())...)
		}
		n.Items = e.still(n.Items)
		if len(n.Items) == 0 {
			if err := e.done(n); err != nil {
				errs = append(errs, err)
			}
			continue
		}
		if err := e.speak(ctx, s, n, now); err != nil {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

// speak says one notice and takes it out of the outbox.
func (e *Engine) speak(ctx context.Context, s Speaker, n Notice, now time.Time) error {
	if !e.o.Forgetful {
		if err := s.Speak(ctx, n); err != nil {
			e.failed(n, now)
			return fmt.Errorf("saying %s: %w", n.ID, err)
		}
		return e.done(n)
	}
	n.Maybe = false // it is out of the outbox before anybody hears it
	if err := e.done(n); err != nil {
		return err
	}
	if err := s.Speak(ctx, n); err != nil {
		return errors.Join(fmt.Errorf("saying %s: %w", n.ID, err), e.back(n, now))
	}
	return nil
}

// back puts a notice that could not be said into the outbox again.
func (e *Engine) back(n Notice, now time.Time) error {
	e.mu.Lock()
	err := e.f.db.Update(func(tx *bbolt.Tx) error { return put(tx.Bucket(bucketOutbox), n.seq, &n) })
	if err == nil {
		e.outbox = append(e.outbox, n)
	}
	e.mu.Unlock()
	if err != nil {
		return fmt.Errorf("keeping a notice: %w", err)
	}
	e.failed(n, now)
	return nil
}

// collect moves what is due into the outbox.
func (e *Engine) collect(now time.Time) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	var ids []ID
	if ids = e.due.upTo(now); len(ids) == 0 {
		return nil
	}
	changed := map[ID]*Timer{}
	var notices []Notice
	for _, id := range ids {
		t := *e.timers[id]
		it, some := t.fire(now, func(after time.Time) time.Time {
			if e.o.Shift == nil {
				return time.Time{}
			}
			return e.o.Shift(t.House, after)
		})
		if !some {
			continue
		}
		changed[id] = &t
		notices = join(notices, t.House, t.Channel, now, it)
	}
	for i := range notices {
		if notices[i].HandOver() {
			e.beside(&notices[i], changed)
		}
	}
	err := e.f.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(bucketTimers)
		for _, id := range ids {
			if t := changed[id]; t != nil {
				if err := put(b, uint64(id), t); err != nil {
					return err
				}
			}
		}
		out := tx.Bucket(bucketOutbox)
		for i := range notices {
			n, err := out.NextSequence()
			if err != nil {
				return err
			}
			notices[i].seq = n
			notices[i].ID = noticeID(e.f.born, n)
			if err := put(out, n, &notices[i]); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("keeping what is due: %w", err)
	}
	for id, t := range changed {
		e.timers[id] = t
		e.place(t)
	}
	e.outbox = append(e.outbox, notices...)
	return e.forget(now)
}

// join adds an item to the notice of its channel: one message for all that is
// due at once, hand-overs apart.
func join(ns []Notice, house, channel string, now time.Time, it Item) []Notice {
	hand := it.Kind == KindHand
	for i := range ns {
		if n := &ns[i]; n.House == house && n.Channel == channel && n.HandOver() == hand && len(n.Items) < mostItems {
			n.Items = append(n.Items, it)
			return ns
		}
	}
	return append(ns, Notice{House: house, Channel: channel, Made: now, Items: []Item{it}})
}

// beside adds what else runs in the channel to a list for the next shift.
func (e *Engine) beside(n *Notice, changed map[ID]*Timer) {
	var more []Item
	for id, t := range e.timers {
		if changed[id] != nil || t.House != n.House || t.Channel != n.Channel || !t.Open() || t.State == Handed {
			continue
		}
		more = append(more, Item{Timer: *t, Kind: KindRunning, Due: t.Ready()})
	}
	slices.SortFunc(more, func(a, b Item) int {
		return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Timer.ID, b.Timer.ID))
	})
	n.Items = append(n.Items, more[:min(len(more), mostItems)]...)
}

// waiting are the notices to be said now.
func (e *Engine) waiting(now time.Time) []Notice {
	e.mu.Lock()
	defer e.mu.Unlock()
	var out []Notice
	for _, n := range e.outbox {
		wait := e.retry[n.seq].next.Sub(now)
		if e.serves(n.House, n.Channel) && (wait <= 0 || wait > time.Minute) { // more: the clock went back
			out = append(out, n)
		}
	}
	return out
}

// still are the items whose timers nobody has ended since.
func (e *Engine) still(items []Item) []Item {
	e.mu.Lock()
	defer e.mu.Unlock()
	return slices.DeleteFunc(slices.Clone(items), func(it Item) bool {
		t := e.timers[it.Timer.ID]
		return t == nil || !t.Open()
	})
}

// failed puts a notice off: twice as long each time, a minute at most.
func (e *Engine) failed(n Notice, now time.Time) {
	e.mu.Lock()
	defer e.mu.Unlock()
	a := e.retry[n.seq]
	a.next = now.Add(min(time.Second<<min(a.n, 6), time.Minute))
	a.n++
	e.retry[n.seq] = a
	for i := range e.outbox {
		if e.outbox[i].seq == n.seq {
			e.outbox[i].Maybe = true
		}
	}
}

// done takes a notice that was said out of the outbox.
func (e *Engine) done(n Notice) error {
	e.mu.Lock()
	defer e.mu.Unlock()
	if err := e.f.db.Update(func(tx *bbolt.Tx) error { return tx.Bucket(bucketOutbox).Delete(key(n.seq)) }); err != nil {
		a := e.retry[n.seq] // it was said: the speaker knows its ID when it comes again
		a.next = n.Made.Add(time.Minute)
		e.retry[n.seq] = a
		return fmt.Errorf("noting that %s was said: %w", n.ID, err)
	}
	e.outbox = slices.DeleteFunc(e.outbox, func(o Notice) bool { return o.seq == n.seq })
	delete(e.retry, n.seq)
	return nil
}

// forget drops what ended long ago.
func (e *Engine) forget(now time.Time) error {
	if d := now.Sub(e.forgot); d >= 0 && d < time.Hour {
		return nil
	}
	e.forgot = now
	var old []ID
	for id, t := range e.timers {
		if !t.Open() && now.Sub(t.Ended) > KeepEnded {
			old = append(old, id)
		}
	}
	if len(old) == 0 {
		return nil
	}
	err := e.f.db.Update(func(tx *bbolt.Tx) error {
		for _, id := range old {
			if err := tx.Bucket(bucketTimers).Delete(key(uint64(id))); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("dropping timers that ended: %w", err)
	}
	for _, id := range old {
		delete(e.timers, id)
		e.due.drop(id)
	}
	return nil
}
