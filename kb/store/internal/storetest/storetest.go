// Package storetest holds what every [store.Store] must do: an opened store
// flows in, failures of the test flow out.
package storetest

import (
	"context"
	"errors"
	"sync"
	"testing"
	"time"

	"tamis/kb"
	"tamis/kb/store"
)

// Open opens a store anew, on the same bytes each time, and says which house it keeps.
type Open func(t *testing.T) (store.Store, store.HouseID)

// Read checks all that does not write.
func Read(t *testing.T, open Open) {
	ctx := t.Context()
	s, house := open(t)

	t.Run("head", func(t *testing.T) {
		a, err := s.Head(ctx, house)
		if err != nil || a == nil {
			t.Fatal(a, err)
		}
		if a.House == nil || a.Larder == nil || a.Fingerprint() == "" {
			t.Error("a snapshot lacks its house, larder or fingerprint")
		}
		if b, err := s.Head(ctx, house); err != nil || a != b {
			t.Error("nothing has changed, but the head is another", err)
		}
	})

	t.Run("the same bytes, the same book", func(t *testing.T) {
		a, _ := s.Head(ctx, house)
		other, sameHouse := open(t)
		b, err := other.Head(ctx, sameHouse)
		if err != nil {
			t.Fatal(err)
		}
		if a.Fingerprint() != b.Fingerprint() {
			t.Error("two fingerprints")
		}
		if x, y := said(a), said(b); x != y {
			t.Errorf("two books:\n%s\n%s", x, y)
		}
	})

	t.Run("another house", func(t *testing.T) {
		other := house + " of somebody else"
		_, headErr := s.Head(ctx, other)
		_, atErr := s.At(ctx, other, 0)
		_, commitErr := s.Commit(ctx, other, store.Change{})
		_, logErr := s.Log(ctx, other, 0)
		_, watchErr := s.Watch(ctx, other)
		for _, err := range []error{headErr, atErr, commitErr, logErr, watchErr} {
			if !errors.Is(err, store.ErrNoHouse) {
				t.Errorf("got %v, want ErrNoHouse", err)
			}
		}
	})

	t.Run("revisions", func(t *testing.T) {
		head, _ := s.Head(ctx, house)
		at, err := s.At(ctx, house, head.Revision)
		if err != nil || at.Fingerprint() != head.Fingerprint() {
			t.Error("the head's revision is not the head", err)
		}
		for _, n := range []int{-1, head.Revision + 1} {
			if _, err := s.At(ctx, house, n); !errors.Is(err, store.ErrNoRevision) {
				t.Errorf("revision %d: got %v, want ErrNoRevision", n, err)
			}
		}
	})

	t.Run("log", func(t *testing.T) {
		head, _ := s.Head(ctx, house)
		log, err := s.Log(ctx, house, 0)
		if err != nil || len(log) != head.Revision {
			t.Fatalf("%d commits at revision %d, %v", len(log), head.Revision, err)
		}
		for i, e := range log {
			if e.Seq != i+1 || i > 0 && e.Prev != log[i-1].Hash {
				t.Errorf("commit %d is %d after %q", i+1, e.Seq, e.Prev)
			}
		}
		if rest, err := s.Log(ctx, house, head.Revision); err != nil || len(rest) != 0 {
			t.Errorf("%d commits after the head, %v", len(rest), err)
		}
	})

	t.Run("watch ends with its context", func(t *testing.T) {
		ctx, cancel := context.WithCancel(ctx)
		c, err := s.Watch(ctx, house)
		if err != nil {
			t.Fatal(err)
		}
		select {
		case head, open := <-c:
			t.Fatalf("nothing has changed, but something came: %v %v", head, open)
		default:
		}
		cancel()
		select {
		case _, open := <-c:
			if open {
				t.Error("something came in place of the end")
			}
		case <-time.After(10 * time.Second):
			t.Error("the channel is still open")
		}
	})

	t.Run("many at once", func(t *testing.T) {
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				for range 20 {
					head, err := s.Head(ctx, house)
					if err != nil || len(head.Names()) == 0 && len(head.Recipes) > 0 {
						t.Error("no head, or one without names", err)
						return
					}
					watch, cancel := context.WithCancel(ctx)
					if _, err := s.Watch(watch, house); err != nil {
						t.Error(err)
					}
					cancel()
				}
			})
		}
		wg.Wait()
	})
}

// ReadOnly checks that a store for reading takes no commit and keeps its head.
func ReadOnly(t *testing.T, open Open) {
	s, house := open(t)
	before, err := s.Head(t.Context(), house)
	if err != nil {
		t.Fatal(err)
	}
	c := store.Change{Who: "ida", Why: "less salt", How: "terminal", Files: []store.FileChange{{Path: "recipes/x.yaml", Content: "recipe: x\n"}}}
	if _, err := s.Commit(t.Context(), house, c); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("got %v, want ErrReadOnly", err)
	}
	if after, err := s.Head(t.Context(), house); err != nil || after != before {
		t.Error("the head has changed", err)
	}
}

// said is all that a snapshot has to say of its recipes.
func said(s *kb.Snapshot) string {
	out := ""
	for _, r := range s.Recipes {
		out += "in " + string(r.ID) + " " + r.Name + " " + r.Finished.String() + "\n"
	}
	for _, o := range s.Out {
		out += "out " + o.Name + "\n"
	}
	for _, f := range s.Faults {
		out += f.String() + "\n"
	}
	for _, f := range s.Warnings {
		out += f.String() + "\n"
	}
	return out
}
