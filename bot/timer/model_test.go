package timer

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// flaky is a speaker with a memory, as a channel has one, that now and then
// fails before or after it has spoken.
type flaky struct {
	said  map[string]bool
	lines []string // timer, kind and due moment, each time one is heard
	fail  int      // 0: speaks; 1: fails before; 2: speaks and fails
}

func (f *flaky) Speak(_ context.Context, n Notice) error {
	if f.fail == 1 {
		return errors.New("not reached")
	}
	if !f.said[n.ID] {
		f.said[n.ID] = true
		for _, it := range n.Items {
			f.lines = append(f.lines, fmt.Sprintf("%d %s %d", it.Timer.ID, strings.ReplaceAll(string(it.Kind), " ", "-"), it.Due.Unix()))
		}
	}
	if f.fail == 2 {
		return errors.New("the answer was lost")
	}
	return nil
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
	rapid.Check(t, func(r *rapid.T) {
		runs++
		path := filepath.Join(dir, fmt.Sprint(runs), FileName)
		now := night
		e, err := Open(path, now, Options{Shift: morning})
		if err != nil {
			r.Fatal(err)
		}
		defer func() { _ = e.Close() }()
		f := &flaky{said: map[string]bool{}}
		model := map[ID]*modelTimer{}
		var ids []ID
		readyHeard := func() {
			for _, l := range f.lines {
				var id ID
				var kind string
				var due int64
				if _, err := fmt.Sscan(l, &id, &kind, &due); err != nil {
					r.Fatal(err)
				}
				m := model[id]
				if Kind(kind) == KindReady && m != nil && due == m.ready.Unix() {
					m.heard = true
				}
				if time.Unix(due, 0).After(now) {
					r.Fatalf("%q was said at %v, before it was due", l, now)
				}
			}
			sorted := slices.Sorted(slices.Values(f.lines))
			if len(slices.Compact(slices.Clone(sorted))) != len(sorted) {
				r.Fatalf("said twice: %v", sorted)
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
