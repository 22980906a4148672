package timer

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"go.etcd.io/bbolt"
)

// journal is a speaker that remembers in a file what it has said, as a channel does.
type journal struct{ path string }

func (j journal) Speak(_ context.Context, n Notice) error {
	data, err := os.ReadFile(j.path)
	if err != nil && !os.IsNotExist(err) {
		return err
	}
	if bytes.Contains(data, []byte(n.ID+" ")) {
		return nil
	}
	f, err := os.OpenFile(j.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	line := n.ID + " "
	for _, it := range n.Items {
		line += fmt.Sprintf("%d:%s ", it.Timer.ID, it.Kind)
	}
	if _, err := f.WriteString(line + "\n"); err != nil { // one write: whole or not at all
		return err
	}
	return f.Close()
}

// TestKills kills a child that sets timers and speaks without end, again and
// again: every timer it acknowledged is there, and each is heard once.
// TAMIS_KILLS says how often; few times without it.
func TestKills(t *testing.T) {
	if dir := os.Getenv("TAMIS_KILLS_TIMERS"); dir != "" {
		setWithoutEnd(dir)
		return
	}
	kills := 5
	if s := os.Getenv("TAMIS_KILLS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatal(err)
		}
		kills = n
	}
	dir := t.TempDir()
	acknowledged := 0
	repeated := 0
	for i := range kills {
		acknowledged = max(acknowledged, killOne(t, dir, i))
		e := open(t, filepath.Join(dir, FileName), night, Options{})
		all, err := e.All("home")
		if err != nil {
			t.Fatal(err)
		}
		if len(all) < acknowledged {
			t.Fatalf("kill %d: %d timers, %d were acknowledged", i, len(all), acknowledged)
		}
		repeated += len(e.outbox)
		if err := e.Close(); err != nil {
			t.Fatal(err)
		}
	}
	// the last start says what is left
	e := open(t, filepath.Join(dir, FileName), night, Options{})
	defer func() { _ = e.Close() }()
	if err := e.Tick(t.Context(), night.Add(time.Second), journal{filepath.Join(dir, "said")}); err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile(filepath.Join(dir, "said"))
	if err != nil {
		t.Fatal(err)
	}
	heard := map[string]int{}
	for line := range strings.Lines(string(data)) {
		for _, w := range strings.Fields(line)[1:] {
			heard[w]++
		}
	}
	all, _ := e.All("home")
	for _, x := range all {
		if n := heard[fmt.Sprintf("%d:ready", x.ID)]; n != 1 {
			t.Errorf("timer %d was heard %d times", x.ID, n)
		}
	}
	t.Logf("%d kills, %d timers acknowledged, %d there, %d notices were under way at a kill", kills, acknowledged, len(all), repeated)
}

func setWithoutEnd(dir string) {
	e, err := Open(filepath.Join(dir, FileName), night, Options{})
	if err != nil {
		fmt.Println("failed", err)
		return
	}
	s := journal{filepath.Join(dir, "said")}
	for {
		t, err := e.Set(Timer{House: "home", Channel: "pastry", Recipe: "domes", Least: time.Second, Started: night}, night)
		if err != nil {
			fmt.Println("failed", err)
			return
		}
		fmt.Println("done", t.ID)
		if err := e.Tick(context.Background(), night.Add(time.Second), s); err != nil {
			fmt.Println("failed", err)
			return
		}
	}
}

// killOne lets a child work until it is killed and returns the last timer it acknowledged.
func killOne(t *testing.T, dir string, seed int) int {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run=^TestKills$")
	c.Env = append(os.Environ(), "TAMIS_KILLS_TIMERS="+dir)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	wait := time.Duration(rand.New(rand.NewPCG(uint64(seed), 5)).IntN(40_000)) * time.Microsecond
	lines := bufio.NewScanner(out)
	last, killed := 0, false
	for lines.Scan() {
		word, n, _ := strings.Cut(lines.Text(), " ")
		if word == "failed" {
			t.Fatalf("the child: %s", n)
		}
		if word != "done" {
			continue
		}
		if v, err := strconv.Atoi(n); err == nil {
			last = v
		}
		if !killed {
			killed = true
			time.AfterFunc(wait, func() { _ = c.Process.Kill() })
		}
	}
	_ = c.Wait() // it was killed
	if !killed {
		t.Fatal("the child never set a timer")
	}
	return last
}

// TestUnsyncedPages takes the file before and after each change and makes every
// file that a power cut between two syncs can leave: bbolt syncs the pages of a
// change, then writes and syncs one of the two meta pages. So: any subset of the
// changed pages without the meta page, the file grown or not, and all of them
// with the meta page whole or torn. Each opens, and what was acknowledged is there.
func TestUnsyncedPages(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, FileName)
	e := open(t, path, night, Options{})
	page := e.f.db.Info().PageSize
	image := func() []byte {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	states := func() string { return state(t, e) }
	// steps of a night, with enough timers that the tree has several pages
	var last ID
	h := &heard{}
	steps := []func() error{}
	for i := range 14 {
		steps = append(steps, func() error {
			tm := domes(night.Add(time.Duration(i) * time.Minute))
			tm.Much = strings.Repeat("tubs ", 60)
			tm, err := e.Set(tm, night)
			last = tm.ID
			return err
		})
	}
	steps = append(steps,
		func() error {
			_, err := e.Change(last, func(x *Timer) error { x.End(Stopped, night); return nil })
			return err
		},
		func() error { return e.collect(night.Add(6 * time.Hour)) },
		func() error { return e.Tick(t.Context(), night.Add(6*time.Hour), h) },
		func() error {
			_, err := e.Note(Reading{House: "home", Recipe: "jus", Celsius: 57, At: night})
			return err
		},
		func() error { // of one message: both or neither
			_, err := e.Note(Reading{House: "home", Recipe: "jus", Celsius: 21, At: night.Add(time.Hour)}, Reading{House: "home", Place: "walk-in", Celsius: 3.5, At: night})
			return err
		},
	)
	files, most := 0, 0
	scratch := filepath.Join(dir, "scratch", FileName)
	if err := os.MkdirAll(filepath.Dir(scratch), 0o700); err != nil {
		t.Fatal(err)
	}
	try := func(what string, data []byte, allowed ...string) {
		t.Helper()
		files++
		if err := os.WriteFile(scratch, data, 0o600); err != nil {
			t.Fatal(err)
		}
		again, err := Open(scratch, night, Options{})
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		defer func() { _ = again.Close() }()
		if again.Lost() != "" {
			t.Fatalf("%s: %s", what, again.Lost())
		}
		got := state(t, again)
		for _, a := range allowed {
			if got == a {
				return
			}
		}
		t.Fatalf("%s: neither the state before nor the one after:\n%s", what, got)
	}
	for n, step := range steps {
		before, was := image(), states()
		if err := step(); err != nil {
			t.Fatal(err)
		}
		after, is := image(), states()
		grown := append(bytes.Clone(before), make([]byte, len(after)-len(before))...)
		var pages []int
		meta := -1
		for p := 0; p*page < len(after); p++ {
			if bytes.Equal(grown[p*page:(p+1)*page], after[p*page:(p+1)*page]) {
				continue
			}
			if p < 2 {
				if meta >= 0 {
					t.Fatalf("step %d changed both meta pages: it was more than one change", n)
				}
				meta = p
				continue
			}
			pages = append(pages, p)
		}
		if meta < 0 || len(pages) == 0 {
			t.Fatalf("step %d changed meta page %d and pages %v", n, meta, pages)
		}
		most = max(most, len(pages))
		if len(pages) > 10 {
			t.Fatalf("step %d changed %d pages: too many subsets", n, len(pages))
		}
		for set := range 1 << len(pages) {
			data := bytes.Clone(grown)
			for i, p := range pages {
				if set&(1<<i) != 0 {
					copy(data[p*page:], after[p*page:(p+1)*page])
				}
			}
			try(fmt.Sprintf("step %d, pages %b of %v", n, set, pages), data, was)
			if set == 0 {
				try(fmt.Sprintf("step %d, not grown", n), before, was)
			}
		}
		all := bytes.Clone(grown)
		for _, p := range pages {
			copy(all[p*page:], after[p*page:(p+1)*page])
		}
		for torn := 0; torn <= 128; torn += 8 { // the meta page's first bytes hold all of it
			data := bytes.Clone(all)
			copy(data[meta*page:], after[meta*page:meta*page+torn])
			allowed := []string{was, is}
			if torn == 128 {
				copy(data[meta*page:], after[meta*page:(meta+1)*page])
				allowed = []string{is}
			}
			try(fmt.Sprintf("step %d, %d bytes of the meta page", n, torn), data, allowed...)
		}
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	t.Logf("%d steps, %d files, at most %d pages a step", len(steps), files, most)
}

// state is all that a file holds, in words.
func state(t testing.TB, e *Engine) string {
	t.Helper()
	var b strings.Builder
	err := e.f.db.View(func(tx *bbolt.Tx) error {
		return tx.ForEach(func(name []byte, bucket *bbolt.Bucket) error {
			return bucket.ForEach(func(k, v []byte) error {
				fmt.Fprintf(&b, "%s %x %s\n", name, k, v)
				return nil
			})
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A file that can't be read is put aside and said; timers go on from empty.
func TestUnreadable(t *testing.T) {
	for name, spoil := range map[string]func([]byte) []byte{
		"no database": func([]byte) []byte { return []byte("domes 22:40\n") },
		"cut short":   func(d []byte) []byte { return d[:len(d)/4+100] },
		"both metas":  func(d []byte) []byte { clear(d[16:8192]); return d },
		"no JSON": func(d []byte) []byte {
			return bytes.ReplaceAll(d, []byte(`{"id":`), []byte(`{"id";`))
		},
	} {
		t.Run(name, func(t *testing.T) {
			path, e := fresh(t)
			set(t, e, domes(night), night)
			if err := e.Close(); err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, spoil(data), 0o600); err != nil {
				t.Fatal(err)
			}
			e, err = Open(path, night, Options{})
			if err != nil {
				t.Fatal(err)
			}
			defer func() { _ = e.Close() }()
			if e.Lost() == "" {
				t.Error("nothing is said of the lost file")
			}
			if aside, _ := filepath.Glob(path + ".unreadable-*"); len(aside) != 1 {
				t.Errorf("put aside: %v", aside)
			}
			set(t, e, domes(night), night)
		})
	}
}
