package store

import (
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func proposalsOf(d disk) *Proposals {
	return &Proposals{open: func(bool) (disk, func() error, error) { return d, func() error { return nil }, nil }}
}

func salted(n int) Proposal {
	return Proposal{Who: fmt.Sprintf("cook %d", n), Why: "more salt", Base: 1, Files: []FileChange{content("recipes/a.yaml", fmt.Sprintf("recipe: a\ningredients:\n  - salt: %d g\n", n))}}
}

func TestProposals(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "data")
	ps := OpenProposals(dir)
	if all, err := ps.All(); err != nil || all != nil {
		t.Errorf("before there are any: %v, %v", all, err)
	}
	if err := ps.Settle(1, "yes"); !errors.Is(err, ErrNoProposal) {
		t.Error(err)
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("reading makes a folder")
	}
	for n := 1; n <= 3; n++ {
		if p, err := ps.Keep(salted(n)); err != nil || p.ID != n {
			t.Fatal(p, err)
		}
	}
	if err := ps.Settle(3, "yes"); err != nil {
		t.Fatal(err)
	}
	if err := ps.Settle(3, "yes"); !errors.Is(err, ErrNoProposal) {
		t.Errorf("settled twice: %v", err)
	}
	again := OpenProposals(dir)
	all, err := again.All()
	if err != nil || len(all) != 2 || all[1].ID != 2 || all[1].Files[0].Content != salted(2).Files[0].Content {
		t.Errorf("%+v, %v", all, err)
	}
	if p, err := again.Keep(salted(4)); err != nil || p.ID != 4 {
		t.Errorf("a number is used again: %d, %v", p.ID, err)
	}
	if err := os.WriteFile(filepath.Join(dir, "proposals", "2.json"), []byte(`{"id": 2, "wh`), 0o644); err != nil {
		t.Fatal(err)
	}
	all, err = again.All()
	if err == nil || !strings.Contains(err.Error(), "2.json") || len(all) != 2 {
		t.Errorf("a damaged file: %+v, %v", all, err)
	}
}

func TestProposalsBounded(t *testing.T) {
	ps := OpenProposals(t.TempDir())
	for n := range MostProposalsOf {
		p := salted(n)
		p.Who = "jonte"
		for range 2 { // the second time it is the same
			if kept, err := ps.Keep(p); err != nil || kept.ID != n+1 {
				t.Fatal(kept.ID, err)
			}
		}
	}
	p := salted(99)
	p.Who = "jonte"
	if _, err := ps.Keep(p); !errors.Is(err, ErrManyProposals) {
		t.Error(err)
	}
	if _, err := ps.Keep(salted(99)); err != nil {
		t.Error(err)
	}
}

// Several processes keep and settle at once: no number twice, one settles.
func TestProposalsTogether(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	var mu sync.Mutex
	ids := map[int]int{}
	for n := range 8 {
		wg.Go(func() {
			p, err := OpenProposals(dir).Keep(salted(n))
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Error(err)
			}
			ids[p.ID]++
		})
	}
	wg.Wait()
	if len(ids) != 8 {
		t.Fatalf("%v", ids)
	}
	one := slices.Sorted(maps.Keys(ids))[0]
	won := 0
	for range 8 {
		wg.Go(func() {
			err := OpenProposals(dir).Settle(one, "yes")
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				won++
			} else if !errors.Is(err, ErrNoProposal) {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if won != 1 {
		t.Errorf("%d settled it", won)
	}
}

// TestProposalsCrash stops the power at every operation of keeping three and
// settling one.
func TestProposalsCrash(t *testing.T) {
	day := func(m *model) (kept map[int]string, settled bool) {
		ps := proposalsOf(m.at("."))
		kept = map[int]string{}
		for n := 1; n <= 3; n++ {
			p, err := ps.Keep(salted(n))
			if err != nil {
				return kept, false
			}
			kept[p.ID] = p.Who
		}
		return kept, ps.Settle(2, "yes") == nil
	}
	whole := newModel(nil)
	if kept, settled := day(whole); len(kept) != 3 || !settled {
		t.Fatal(kept, settled)
	}
	const ways = 12
	for n := 1; n <= whole.ops; n++ {
		for way := range ways {
			m := newModel(nil)
			m.crashAt = n
			kept, settled := day(m)
			var r *rand.Rand
			if way > 0 {
				r = rand.New(rand.NewPCG(uint64(n), uint64(way)))
			}
			ps := proposalsOf(m.crashed(r).at("."))
			all, err := ps.All()
			if err != nil {
				t.Fatalf("crash at %d, way %d: %v", n, way, err)
			}
			found := map[int]string{}
			for _, p := range all {
				found[p.ID] = p.Who
			}
			for id, who := range kept {
				if id == 2 && len(kept) == 3 && found[2] == "" { // settled, or about to be
					continue
				}
				if found[id] != who {
					t.Fatalf("crash at %d, way %d: proposal %d is gone: %v", n, way, id, found)
				}
			}
			if settled && found[2] != "" {
				t.Fatalf("crash at %d, way %d: settled and waits", n, way)
			}
			p, err := ps.Keep(salted(9))
			if err != nil || kept[p.ID] != "" {
				t.Fatalf("crash at %d, way %d: the next is %d of %v: %v", n, way, p.ID, kept, err)
			}
		}
	}
	t.Logf("%d operations, %d ways each", whole.ops, ways)
}

func TestProposalDiskFull(t *testing.T) {
	m := newModel(nil)
	ps := proposalsOf(m.at("."))
	if _, err := ps.Keep(salted(1)); err != nil {
		t.Fatal(err)
	}
	for from := 1; from < 12; from++ {
		m.refuseFrom, m.full = m.ops+from, errors.New("no space left on device")
		_, err := ps.Keep(salted(2))
		m.refuseFrom = 0
		if err == nil {
			break
		}
		all, aerr := ps.All()
		if aerr != nil || len(all) == 0 || cmp.Diff(all[0].Files, salted(1).Files) != "" {
			t.Errorf("full from operation %d: %+v, %v", from, all, aerr)
		}
	}
}
