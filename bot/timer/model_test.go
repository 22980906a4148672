package timer

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// flaky is a speaker with a memory, as a channel has one, that now and then
// fails before or after it has spoken.
type flaky struct {
	said  map[string]bool
	lines []line   // each time one is heard
	wrong []string // what stands where it should not
	fail  int      // 0: speaks; 1: fails before; 2: speaks and fails
}

func (f *flaky) Speak(_ context.Context, n Notice) error {
	if f.fail == 1 {
		return errors.New("not reached")
	}
	if !f.said[n.ID] {
		f.said[n.ID] = true
		for _, it := range n.Items {
			if it.Kind == KindRunning { // listed for the next shift, not said to be due
				if !n.HandOver() || !it.Due.Equal(it.Timer.Ready()) {
					f.wrong = append(f.wrong, fmt.Sprintf("timer %d listed as running, due %v, in %+v", it.Timer.ID, it.Due, n))
				}
				continue
			}
			f.lines = append(f.lines, line{it.Timer.ID, it.Kind, it.Due.Unix()})
		}
	}
	if f.fail == 2 {
		return errors.New("the answer was lost")
	}
	return nil
}

// line is what is heard of a timer.
type line struct {
	id   ID
	kind Kind
	due  int64
}

// modelTimer is what the model knows of a timer: when it is ready, and whether
// that has been heard, ended, or been put off.
type modelTimer struct {
	ready  time.Time
	open   bool
	silent bool // past when it was set: the answer said it
	heard  bool
}

// TestModel sets, stops, corrects, snoozes and crashes at random: whatever
// happens, each ready moment of an open timer is heard once, never early, and
// every timer that was acknowledged is there.
func TestModel(t *testing.T) {
	dir := t.TempDir()
	runs := 0
	first := filepath.Join(dir, "first", FileName) // each run begins with a copy of an empty file
	if err := open(t, first, night, Options{}).Close(); err != nil {
		t.Fatal(err)
	}
	empty, err := os.ReadFile(first)
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(r *rapid.T) {
		runs++
		path := filepath.Join(dir, fmt.Sprint(runs), FileName)
		if err := errors.Join(os.Mkdir(filepath.Dir(path), 0o700), os.WriteFile(path, empty, 0o600)); err != nil {
			r.Fatal(err)
		}
		now := night
		e, err := Open(path, now, Options{Shift: morning})
		if err != nil {
			r.Fatal(err)
		}
		defer func() { _ = e.Close() }()
		// A crash here is of the program, not of the power: what is written is read
		// again, synced or not. What a power cut leaves is TestUnsyncedPages.
		e.f.db.NoSync = true
		f := &flaky{said: map[string]bool{}}
		model := map[ID]*modelTimer{}
		var ids []ID
		looked, seen := 0, map[line]bool{} // of what was heard
		readyHeard := func() {
			if len(f.wrong) > 0 {
				r.Fatal(f.wrong[0])
			}
			for ; looked < len(f.lines); looked++ {
				l := f.lines[looked]
				m := model[l.id]
				if l.kind == KindReady && m != nil && l.due == m.ready.Unix() {
					m.heard = true
				}
				if time.Unix(l.due, 0).After(now) {
					r.Fatalf("%v was said at %v, before it was due", l, now)
				}
				if seen[l] {
					r.Fatalf("said twice: %v of %v", l, f.lines)
				}
				seen[l] = true
			}
		}
		pick := func() (ID, *modelTimer) {
			if len(ids) == 0 {
				r.Skip("none yet")
			}
			id := ids[rapid.IntRange(0, len(ids)-1).Draw(r, "which")]
			return id, model[id]
		}
		crash := func() {
			if err := e.f.db.Close(); err != nil { // nothing is written at the end
				r.Fatal(err)
			}
			if e, err = Open(path, now, Options{Shift: morning}); err != nil {
				r.Fatal(err)
			}
			e.f.db.NoSync = true
		}
		r.Repeat(map[string]func(*rapid.T){
			"set": func(r *rapid.T) {
				tm := domes(now.Add(-time.Duration(rapid.IntRange(0, 120).Draw(r, "ago")) * time.Minute))
				tm.Least = time.Duration(rapid.IntRange(1, 90).Draw(r, "least")) * time.Minute
				tm, err := e.Set(tm, now)
				if err != nil {
					r.Fatal(err)
				}
				model[tm.ID] = &modelTimer{ready: tm.Ready(), open: true, silent: !tm.Ready().After(now)}
				ids = append(ids, tm.ID)
			},
			"stop": func(r *rapid.T) {
				id, m := pick()
				if _, err := e.Change(id, func(x *Timer) error { x.End(Stopped, now); return nil }); err != nil {
					r.Fatal(err)
				}
				m.open = false
			},
			"correct": func(r *rapid.T) {
				id, m := pick()
				if !m.open {
					r.Skip("ended")
				}
				start := now.Add(-time.Duration(rapid.IntRange(1, 60).Draw(r, "start")) * time.Minute)
				x, err := e.Change(id, func(x *Timer) error { x.Restart(start, now); return nil })
				if err != nil {
					r.Fatal(err)
				}
				if !x.Ready().Equal(m.ready) {
					*m = modelTimer{ready: x.Ready(), open: true, silent: !x.Ready().After(now)}
				}
			},
			"snooze": func(r *rapid.T) {
				id, m := pick()
				if !m.open {
					r.Skip("ended")
				}
				if _, err := e.Change(id, func(x *Timer) error { x.Delay(now.Add(7*time.Minute), now); return nil }); err != nil {
					r.Fatal(err)
				}
				m.silent = m.silent || !m.heard // it is heard as a snooze instead
			},
			"wait": func(r *rapid.T) {
				now = now.Add(time.Duration(rapid.IntRange(1, 40*60).Draw(r, "seconds")) * time.Second)
				f.fail = rapid.SampledFrom([]int{0, 0, 0, 1, 2}).Draw(r, "speaker")
				_ = e.Tick(context.Background(), now, f) // the speaker may fail
			},
			"crash": func(*rapid.T) { crash() },
			"": func(r *rapid.T) {
				readyHeard()
				all, err := e.All("home")
				if err != nil || len(all) != len(model) {
					r.Fatalf("%d timers, %d were set (%v)", len(all), len(model), err)
				}
				for _, x := range all {
					if m := model[x.ID]; x.Open() != m.open || !x.Ready().Equal(m.ready) {
						r.Fatalf("timer %d is %s ready %v, want open %v ready %v", x.ID, x.State, x.Ready(), m.open, m.ready)
					}
				}
			},
		})
		// with a speaker that works, all that is due is heard
		f.fail = 0
		now = now.Add(2 * time.Hour)
		for range 3 {
			if err := e.Tick(context.Background(), now, f); err != nil {
				r.Fatal(err)
			}
			now = now.Add(2 * time.Minute)
		}
		readyHeard()
		for id, m := range model {
			if m.open && !m.heard && !m.silent {
				r.Fatalf("timer %d, ready %v, was never heard: %v", id, m.ready, f.lines)
			}
		}
	})
}
