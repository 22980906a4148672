package store

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

const (
	juice   = "recipe: pear juice\ningredients:\n  - pear: 900 g # ripe ones\n  - sorrel: 20 g\n"
	crumble = "recipe: crumble\ningredients:\n  - buckwheat flour: 200 g\n  - brown butter: 120 g\n"
	tart    = "recipe: pear tart\ningredients:\n  - pear juice: 300 g\n  - crumble: 200 g\n"
	house   = "house: Lodehavn\ntime zone: Europe/Oslo\n"
)

func threeRecipes() map[string]string {
	return map[string]string{"house.yaml": house, "recipes/juice.yaml": juice, "recipes/deep/crumble.yaml": crumble, "recipes/tart.yaml": tart}
}

var clockStart = time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)

// ticking is a clock that a minute passes on at every look.
func ticking() func() time.Time {
	at := clockStart
	return func() time.Time { at = at.Add(time.Minute); return at }
}

func reopenModel(t *testing.T, m *model) (*Kept, error) {
	t.Helper()
	if m.now[dataDir] == nil { // OpenKept makes it, durable, before anything else
		m.now[dataDir] = &node{dir: true}
		m.durable[dataDir] = m.now[dataDir]
	}
	return keep(t.Context(), Home, m.at("."), m.at(dataDir), Options{Now: ticking()})
}

// acked is what a story was told is done: commits, and the files after the last.
type acked struct {
	entries []Entry
}

type step struct {
	name string
	do   func(t *testing.T, m *model, k *Kept) (*Entry, error)
}

func push(files ...FileChange) func(*testing.T, *model, *Kept) (*Entry, error) {
	return func(t *testing.T, _ *model, k *Kept) (*Entry, error) {
		e, err := k.Commit(t.Context(), Home, Change{Base: -1, Who: "ida", How: HowTerminal, Why: "better", Files: files})
		return &e, err
	}
}

// byHand writes files as an editor does, durable, and has them taken over.
func byHand(files map[string]string) func(*testing.T, *model, *Kept) (*Entry, error) {
	return func(t *testing.T, m *model, k *Kept) (*Entry, error) {
		if !m.dead {
			for p, text := range files {
				if text == "" {
					delete(m.now, p)
					delete(m.durable, p)
					continue
				}
				m.put(p, text)
			}
			m.cache = nil
		}
		return k.Compare(t.Context())
	}
}

func content(path, text string) FileChange { return FileChange{Path: path, Content: text} }

// storySteps is a day: pushes of one and of several files, a new folder, a file
// taken off, hand edits, a rename by hand, and a way back.
func storySteps() []step {
	return []step{
		{"push one", push(content("recipes/juice.yaml", strings.Replace(juice, "900 g", "950 g", 1)))},
		{"push several", push(content("recipes/deep/crumble.yaml", strings.Replace(crumble, "200 g", "210 g", 1)),
			content("recipes/new/glaze.yaml", "recipe: glaze\ningredients:\n  - honey: 40 g\n"), content("larder.yaml", "- ingredient: pear\n  density: 1 g/ml\n"))},
		{"adopt", byHand(map[string]string{"recipes/tart.yaml": strings.Replace(tart, "300 g", "310 g", 1)})},
		{"adopt a rename", byHand(map[string]string{"recipes/juice.yaml": "", "recipes/pears/juice.yaml": strings.Replace(juice, "900 g", "950 g", 1)})},
		{"take off", push(FileChange{Path: "recipes/new/glaze.yaml", Deleted: true})},
		{"restore", push(content("recipes/deep/crumble.yaml", crumble))},
		{"push over an adoption", push(content("recipes/tart.yaml", tart))},
	}
}

// play goes through the steps until something fails.
func play(t *testing.T, m *model) (done acked, k *Kept) {
	k, err := reopenModel(t, m)
	if err != nil {
		return done, nil
	}
	done.entries, _ = k.Log(t.Context(), Home, 0)
	for _, s := range storySteps() {
		e, err := s.do(t, m, k)
		if err != nil {
			return done, k
		}
		if e == nil && m.dead { // the power went while the folder was looked through
			return done, k
		}
		if e == nil {
			t.Fatalf("%s made no commit", s.name)
		}
		done.entries = append(done.entries, *e)
	}
	return done, k
}

// TestCrash stops the power at every operation of a day's work, with what was
// not synced gone, there, or partly there, and looks at what the next start finds.
func TestCrash(t *testing.T) {
	whole := newModel(threeRecipes())
	all, k := play(t, whole)
	if want := 1 + len(storySteps()); len(all.entries) != want {
		t.Fatalf("%d commits, want %d", len(all.entries), want)
	}
	allowed := allVersions(all.entries)
	after := map[int]map[string]string{}
	for n := 0; n <= len(all.entries); n++ {
		tr, _ := k.led.at(n)
		after[n] = texts(tr)
	}
	const ways = 12
	hit := map[string]int{}
	for n := 1; n <= whole.ops; n++ {
		m := newModel(threeRecipes())
		m.crashAt = n
		done, _ := play(t, m) // the same day whatever is left of it afterwards
		for way := range ways {
			var r *rand.Rand
			if way > 0 {
				r = rand.New(rand.NewPCG(uint64(n), uint64(way)))
			}
			left := m.crashed(r)
			for p, text := range left.files() {
				if !allowed[p][text] {
					t.Fatalf("crash at %d, way %d: %s is torn: %q", n, way, p, text)
				}
			}
			again, err := reopenModel(t, left)
			if err != nil {
				t.Fatalf("crash at %d, way %d: %v", n, way, err)
			}
			log, _ := again.Log(t.Context(), Home, 0)
			if len(log) < len(done.entries) {
				t.Fatalf("crash at %d, way %d: %d of %d acknowledged commits are there", n, way, len(log), len(done.entries))
			}
			if diff := cmp.Diff(hashes(done.entries), hashes(log[:len(done.entries)])); diff != "" {
				t.Fatalf("crash at %d, way %d: other commits (-acknowledged +found):\n%s", n, way, diff)
			}
			if diff := cmp.Diff(texts(again.led.tree), left.files()); diff != "" {
				t.Fatalf("crash at %d, way %d: the folder is not the log's (-log +folder):\n%s", n, way, diff)
			}
			// no commit nobody made: what was found is a prefix of the day, and at most the hand edit under way
			if len(log) <= len(all.entries) {
				if diff := cmp.Diff(after[len(log)], texts(again.led.tree)); diff != "" {
					t.Fatalf("crash at %d, way %d: not a state of the day (-day +found):\n%s", n, way, diff)
				}
			}
			if _, err := readLedger(left.at(dataDir)); err != nil {
				t.Fatalf("crash at %d, way %d: the log does not verify: %v", n, way, err)
			}
			if _, err := again.Commit(t.Context(), Home, Change{Base: -1, Files: []FileChange{content("recipes/last.yaml", "recipe: last\ningredients:\n  - milk: 1 g\n")}}); err != nil {
				t.Fatalf("crash at %d, way %d: no commit after it: %v", n, way, err)
			}
			hit[fmt.Sprintf("after %d commits", len(done.entries))]++
		}
	}
	if len(hit) < len(storySteps()) {
		t.Errorf("the crashes hit only %v", hit)
	}
	t.Logf("%d operations %v, %d ways each; hit %v", whole.ops, whole.kinds, ways, hit)
}

func hashes(log []Entry) []string {
	out := make([]string, len(log))
	for i := range log {
		out[i] = log[i].Hash
	}
	return out
}

// allVersions is what each file may hold: any version that was ever whole.
func allVersions(log []Entry) map[string]map[string]bool {
	out := map[string]map[string]bool{}
	for _, e := range log {
		for _, f := range e.Files {
			if out[f.Path] == nil {
				out[f.Path] = map[string]bool{}
			}
			out[f.Path][f.text()] = true
		}
	}
	return out
}

func texts(t tree) map[string]string {
	out := map[string]string{}
	for p, b := range t {
		out[p] = b.content
	}
	return out
}

// TestCrashWhileMending crashes the start-up that mends an earlier crash.
func TestCrashWhileMending(t *testing.T) {
	whole := newModel(threeRecipes())
	play(t, whole)
	for n := 1; n <= whole.ops; n++ {
		m := newModel(threeRecipes())
		m.crashAt = n
		done, _ := play(t, m)
		for second := 1; ; second++ {
			left := m.crashed(rand.New(rand.NewPCG(uint64(n), 7)))
			left.crashAt = second
			if _, err := reopenModel(t, left); err == nil {
				break // it came through
			}
			last := left.crashed(rand.New(rand.NewPCG(uint64(second), 9)))
			k, err := reopenModel(t, last)
			if err != nil {
				t.Fatalf("crash at %d, then at %d: %v", n, second, err)
			}
			log, _ := k.Log(t.Context(), Home, 0)
			if len(log) < len(done.entries) || !slices.Equal(hashes(done.entries), hashes(log[:len(done.entries)])) {
				t.Fatalf("crash at %d, then at %d: acknowledged commits are lost", n, second)
			}
		}
	}
}

// TestDiskFull lets the disk be full from every operation on: what was
// acknowledged stays, nothing is torn, and with room again the work goes on.
func TestDiskFull(t *testing.T) {
	whole := newModel(threeRecipes())
	all, _ := play(t, whole)
	allowed := allVersions(all.entries)
	for _, failure := range []error{syscall.ENOSPC, syscall.EIO} {
		for n := 1; n <= whole.ops; n++ {
			for _, once := range []bool{true, false} {
				m := newModel(threeRecipes())
				if once {
					m.refuse[n] = failure
				} else {
					m.refuseFrom, m.full = n, failure
				}
				done, k := play(t, m)
				m.refuseFrom = 0
				for p, text := range m.files() {
					if !allowed[p][text] {
						t.Fatalf("%v at %d: %s is torn: %q", failure, n, p, text)
					}
				}
				if k != nil {
					_, err := k.Commit(t.Context(), Home, Change{Base: -1, Files: []FileChange{content("recipes/last.yaml", "recipe: last\ningredients:\n  - milk: 1 g\n")}})
					if err != nil && !errors.Is(err, ErrReadOnly) {
						t.Fatalf("%v at %d: with room again: %v", failure, n, err)
					}
				}
				again, err := reopenModel(t, m)
				if err != nil {
					t.Fatalf("%v at %d: opened again: %v", failure, n, err)
				}
				log, _ := again.Log(t.Context(), Home, 0)
				if len(log) < len(done.entries) || !slices.Equal(hashes(done.entries), hashes(log[:len(done.entries)])) {
					t.Fatalf("%v at %d: acknowledged commits are lost", failure, n)
				}
				if diff := cmp.Diff(texts(again.led.tree), m.files()); diff != "" {
					t.Fatalf("%v at %d: the folder is not the log's (-log +folder):\n%s", failure, n, diff)
				}
			}
		}
	}
}

// A commit whose files cannot be written is kept, said, and written later.
func TestFolderFullLogNot(t *testing.T) {
	m := newModel(threeRecipes())
	k, err := reopenModel(t, m)
	if err != nil {
		t.Fatal(err)
	}
	m.refuseFrom, m.full = m.ops+3, syscall.ENOSPC // the line and its sync, then nothing
	e, err := k.Commit(t.Context(), Home, Change{Base: -1, Files: []FileChange{content("recipes/juice.yaml", strings.Replace(juice, "900", "800", 1))}})
	if err != nil || e.Seq != 2 {
		t.Fatal(e.Seq, err)
	}
	if n := k.Notices(); len(n) != 1 || !strings.Contains(n[0], "no space left") {
		t.Errorf("notices: %q", n)
	}
	head, _ := k.Head(t.Context(), Home)
	if r, _ := head.RecipeNamed("pear juice"); r.Finished.String() != "820" {
		t.Errorf("the head is not the commit's: %s", r.Finished)
	}
	if _, err := k.Commit(t.Context(), Home, Change{Base: -1, Files: []FileChange{content("recipes/tart.yaml", tart+"\n")}}); !errors.Is(err, ErrReadOnly) {
		t.Errorf("a commit on a folder that lags behind: %v", err)
	}
	m.refuseFrom = 0
	if _, err := k.Commit(t.Context(), Home, Change{Base: -1, Files: []FileChange{content("recipes/tart.yaml", tart+"\n")}}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(m.text("recipes/juice.yaml"), "800") {
		t.Error("the folder never got the first commit")
	}
}

// A torn tail is dropped and said; a bit turned anywhere else is an error with its line.
func TestDamagedLog(t *testing.T) {
	m := newModel(threeRecipes())
	all, _ := play(t, m)
	log := m.now[dataDir+"/"+logFile]
	raw := slices.Clone(log.data)
	r := rand.New(rand.NewPCG(1, 2))
	for range 600 {
		at, bit := r.IntN(len(raw)), byte(1)<<r.IntN(8)
		bad := slices.Clone(raw)
		bad[at] ^= bit
		entries, good, err := readLog(bad)
		line := 1 + strings.Count(string(raw[:at]), "\n")
		var damage *LogError
		switch {
		case at == len(raw)-1: // the end of the last line: it is not whole
			if err != nil || len(entries) != len(all.entries)-1 || good == len(raw) {
				t.Fatalf("the last byte turned: %d commits, %v", len(entries), err)
			}
		case !errors.As(err, &damage):
			t.Fatalf("byte %d, bit %08b: %v", at, bit, err)
		case damage.Line != line:
			t.Fatalf("byte %d of line %d: %v", at, line, err)
		case len(entries) != line-1:
			t.Fatalf("byte %d of line %d: %d commits before it", at, line, len(entries))
		}
	}
	lastLine := strings.LastIndex(strings.TrimSuffix(string(raw), "\n"), "\n") + 1
	for cut := lastLine; cut < len(raw); cut += 7 {
		log.data, log.durable = slices.Clone(raw[:cut]), slices.Clone(raw[:cut])
		m.cache = nil
		k, err := reopenModel(t, m)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		notices := strings.Join(k.Notices(), "\n")
		if got := strings.Contains(notices, "not whole"); got != (cut > lastLine) {
			t.Errorf("cut at %d: notices %q", cut, notices)
		}
		if _, err := readLedger(m.at(dataDir)); err != nil {
			t.Errorf("cut at %d: %v", cut, err)
		}
	}
	log.data = append(slices.Clone(raw[:len(raw)/2]), raw[len(raw)/2+1:]...)
	m.cache = nil
	before := maps.Clone(m.files())
	if _, err := reopenModel(t, m); err == nil || !strings.Contains(err.Error(), "damaged at line") {
		t.Errorf("a lost byte: %v", err)
	}
	if diff := cmp.Diff(before, m.files()); diff != "" {
		t.Errorf("a damaged log was answered with writing: %s", diff)
	}
}

// A clock that goes back is said; order, ids and revisions come from the log.
func TestClockGoesBack(t *testing.T) {
	m := newModel(threeRecipes())
	k, err := reopenModel(t, m)
	if err != nil {
		t.Fatal(err)
	}
	for i, at := range []time.Time{clockStart.Add(time.Hour), clockStart.Add(-48 * time.Hour), clockStart.Add(2 * time.Hour)} {
		c := Change{Base: -1, At: at, Files: []FileChange{content("recipes/juice.yaml", strings.Replace(juice, "900", fmt.Sprint(901+i), 1))}}
		e, err := k.Commit(t.Context(), Home, c)
		if err != nil || e.Seq != i+2 || !e.At.Equal(at) {
			t.Fatal(e.Seq, e.At, err)
		}
		if n := k.Notices(); (len(n) == 1 && strings.Contains(n[0], "clock")) != (i == 1) {
			t.Errorf("commit %d: %q", e.Seq, n)
		}
	}
	if r, _ := k.base.RecipeNamed("pear juice"); r.Revision != 4 || r.Finished.String() != "923" {
		t.Errorf("revision %d of %s g", r.Revision, r.Finished)
	}
}

// FuzzLog: whatever stands in the log, reading it ends, and what it gives can be
// written to the same bytes.
func FuzzLog(f *testing.F) {
	m := newModel(threeRecipes())
	m.put(dataDir+"/"+logFile, "")
	k, err := keep(context.Background(), Home, m.at("."), m.at(dataDir), Options{Now: ticking()})
	if err == nil {
		_, err = k.Commit(context.Background(), Home, Change{Base: -1, Why: "<&>\u2028", Files: []FileChange{content("recipes/x.yaml", "recipe: x\ningredients:\n  - milk: 1 g\n")}})
	}
	if err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(m.text(dataDir + "/" + logFile)))
	f.Add([]byte("{}\n"))
	f.Add([]byte(`{"seq":1,"prev":"","who":"","at":"0001-01-01T00:00:00Z","why":"","how":"","files":null,"hash":""}` + "\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		entries, good, err := readLog(data)
		if good > len(data) || err == nil && strings.Contains(string(data[good:]), "\n") {
			t.Fatal("whole lines are left over")
		}
		var again []byte
		for i := range entries {
			line, err := entries[i].line()
			if err != nil {
				t.Fatal(err)
			}
			again = append(again, line...)
		}
		if string(again) != string(data[:good]) {
			t.Fatal("other bytes")
		}
	})
}
