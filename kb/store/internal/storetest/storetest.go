// Package storetest holds what every [store.Store] must do: an opened store
// flows in, failures of the test flow out.
package storetest

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
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

const (
	newPath = "recipes/suite/walnut paste.yaml"
	newText = "recipe: walnut paste of the suite\ningredients:\n  - walnut: 200 g # toasted\n  - honey: 50 g\n"
)

// Write checks what a store that takes commits must do. It changes the book.
func Write(t *testing.T, open Open) {
	ctx := t.Context()
	s, house := open(t)
	at := time.Date(2026, 3, 14, 12, 0, 0, 0, time.FixedZone("", 3600))
	head := func() *kb.Snapshot {
		t.Helper()
		h, err := s.Head(ctx, house)
		if err != nil {
			t.Fatal(err)
		}
		return h
	}
	commit := func(files ...store.FileChange) (store.Entry, error) {
		return s.Commit(ctx, house, store.Change{Base: -1, Who: "ida", At: at, Why: "less <sugar>", How: "terminal", Files: files})
	}
	start := head()
	watch, err := s.Watch(ctx, house)
	if err != nil {
		t.Fatal(err)
	}

	e, err := commit(store.FileChange{Path: newPath, Content: newText})
	if err != nil {
		t.Fatal(err)
	}
	if e.Seq != start.Revision+1 || e.Who != "ida" || !e.At.Equal(at) || e.Why != "less <sugar>" || e.How != "terminal" || e.Hash == "" || len(e.Files) != 1 {
		t.Errorf("the entry is %+v", e)
	}
	first := head()
	select {
	case got := <-watch:
		if got != first {
			t.Error("the watcher got another head")
		}
	case <-time.After(10 * time.Second):
		t.Error("the watcher got nothing")
	}
	r, ok := first.RecipeNamed("walnut paste of the suite")
	if !ok || r.Revision != 1 || first.Revision != e.Seq {
		t.Fatalf("the very next head has no new recipe: %v", r)
	}

	t.Run("nothing, elsewhere, faulty", func(t *testing.T) {
		var faulty *store.FaultyError
		for _, c := range []struct {
			name string
			file store.FileChange
			want func(error) bool
		}{
			{"the same bytes", store.FileChange{Path: newPath, Content: newText}, func(err error) bool { return errors.Is(err, store.ErrNothing) }},
			{"none to delete", store.FileChange{Path: "recipes/none.yaml", Deleted: true}, func(err error) bool { return errors.Is(err, store.ErrNothing) }},
			{"outside", store.FileChange{Path: "../x.yaml", Content: newText}, func(err error) bool { return errors.Is(err, store.ErrPath) }},
			{"in the store's own folder", store.FileChange{Path: ".tamis/log", Content: newText}, func(err error) bool { return errors.Is(err, store.ErrPath) }},
			{"hidden", store.FileChange{Path: "recipes/.x/y.yaml", Content: newText}, func(err error) bool { return errors.Is(err, store.ErrPath) }},
			{"no YAML file", store.FileChange{Path: "recipes/x.txt", Content: newText}, func(err error) bool { return errors.Is(err, store.ErrPath) }},
			{"a fault", store.FileChange{Path: "recipes/f.yaml", Content: "recipe: faulty\ningredients:\n  - milk: 3 furlongs per\n  - : 1\n"}, func(err error) bool { return errors.As(err, &faulty) && len(faulty.Faults) > 0 }},
			{"the name of another", store.FileChange{Path: "recipes/f.yaml", Content: newText}, func(err error) bool { return errors.As(err, &faulty) }},
		} {
			if _, err := commit(c.file); !c.want(err) {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		if _, err := commit(); !errors.Is(err, store.ErrNothing) {
			t.Errorf("no file: %v", err)
		}
		if head() != first {
			t.Error("the head has changed")
		}
	})

	t.Run("a rename keeps the id", func(t *testing.T) {
		if _, err := commit(store.FileChange{Path: newPath, Content: "recipe: nut paste of the suite\n" + newText[len("recipe: walnut paste of the suite\n"):]}); err != nil {
			t.Fatal(err)
		}
		renamed, ok := head().Recipe(r.ID)
		if !ok || renamed.Name != "nut paste of the suite" || renamed.Revision != 2 {
			t.Fatalf("after another name: %v", renamed)
		}
		moved := "recipe: nut paste of the suite\n" + newText[len("recipe: walnut paste of the suite\n"):]
		if _, err := commit(store.FileChange{Path: newPath, Deleted: true}, store.FileChange{Path: "recipes/suite/paste.yaml", Content: moved}); err != nil {
			t.Fatal(err)
		}
		again, ok := head().Recipe(r.ID)
		if !ok || again.Revision != 3 {
			t.Fatalf("after another file name: %v", again)
		}
	})

	t.Run("an outdated base", func(t *testing.T) {
		now := head().Revision
		change := store.Change{Base: now - 1, Files: []store.FileChange{{Path: "recipes/suite/paste.yaml", Content: newText}}}
		if _, err := s.Commit(ctx, house, change); !errors.Is(err, store.ErrOutdated) {
			t.Errorf("a file that changed since: %v", err)
		}
		change.Files[0] = store.FileChange{Path: "recipes/suite/other.yaml", Content: "recipe: other of the suite\ningredients:\n  - milk: 1 l\n"}
		if _, err := s.Commit(ctx, house, change); err != nil {
			t.Errorf("a file that did not: %v", err)
		}
		change.Base = now + 50
		if _, err := s.Commit(ctx, house, change); err == nil {
			t.Error("a base that never was")
		}
	})

	t.Run("as it was", func(t *testing.T) {
		then, err := s.At(ctx, house, e.Seq)
		if err != nil {
			t.Fatal(err)
		}
		old, ok := then.Recipe(r.ID)
		if !ok || old.Name != "walnut paste of the suite" || old.Revision != 1 || then.Fingerprint() != first.Fingerprint() {
			t.Errorf("at commit %d: %v", e.Seq, old)
		}
	})

	t.Run("taken off and put back", func(t *testing.T) {
		if _, err := commit(store.FileChange{Path: "recipes/suite/paste.yaml", Deleted: true}); err != nil {
			t.Fatal(err)
		}
		if _, ok := head().Recipe(r.ID); ok {
			t.Error("it is still there")
		}
		if _, err := commit(store.FileChange{Path: "recipes/suite/paste.yaml", Content: newText}); err != nil {
			t.Fatal(err)
		}
		if back, ok := head().Recipe(r.ID); !ok || back.Revision != 5 {
			t.Errorf("put back: %v", back)
		}
		log, err := s.Log(ctx, house, 0)
		if err != nil {
			t.Fatal(err)
		}
		var got []int
		for _, v := range store.History(log, r.ID) {
			got = append(got, v.Number)
			if v.Deleted != (v.Number == 4) {
				t.Errorf("revision %d deleted: %v", v.Number, v.Deleted)
			}
		}
		if len(got) != 5 {
			t.Errorf("revisions %v", got)
		}
	})

	t.Run("many askers and pushers", func(t *testing.T) { crowd(t, s, house) })
	Read(t, func(t *testing.T) (store.Store, store.HouseID) { return s, house })
}

// crowd lets 50 ask while 5 push two files that must agree: every head is of one commit.
func crowd(t *testing.T, s store.Store, house store.HouseID) {
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	var asked atomic.Int64
	var askers, pushers sync.WaitGroup
	for range 50 {
		askers.Go(func() {
			for ctx.Err() == nil {
				h, err := s.Head(t.Context(), house)
				if err != nil {
					t.Error(err)
					return
				}
				a, okA := h.RecipeNamed("left of the suite")
				b, okB := h.RecipeNamed("right of the suite")
				if okA != okB || okA && (!a.Finished.Equal(b.Finished) || a.Revision != b.Revision) {
					t.Error("a head of two commits")
					return
				}
				asked.Add(1)
				time.Sleep(time.Millisecond)
			}
		})
	}
	const pushes = 8
	for p := range 5 {
		pushers.Go(func() {
			for i := range pushes {
				text := func(name string) string {
					return fmt.Sprintf("recipe: %s of the suite\ningredients:\n  - milk: %d g\n", name, 1+p*pushes+i)
				}
				c := store.Change{Base: -1, Who: fmt.Sprint("pusher ", p), Files: []store.FileChange{
					{Path: "recipes/suite/left.yaml", Content: text("left")}, {Path: "recipes/suite/right.yaml", Content: text("right")}}}
				if _, err := s.Commit(t.Context(), house, c); err != nil {
					t.Error(err)
				}
			}
		})
	}
	pushers.Wait()
	stop()
	askers.Wait()
	h, err := s.Head(t.Context(), house)
	if err != nil {
		t.Fatal(err)
	}
	if r, ok := h.RecipeNamed("left of the suite"); !ok || r.Revision != 5*pushes {
		t.Errorf("after %d pushes: %v", 5*pushes, r)
	}
	if asked.Load() == 0 {
		t.Error("nobody asked")
	}
}
