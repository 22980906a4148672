package store_test

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"tamis/kb/recipe"
	"tamis/kb/store"
	"tamis/kb/store/internal/storetest"
)

func options() store.Options { return store.Options{Now: time.Now} }

func kept(t *testing.T, dir string) *store.Kept {
	t.Helper()
	k, err := store.OpenKept(t.Context(), store.Home, dir, options())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := k.Close(); err != nil {
			t.Error(err)
		}
	})
	return k
}

func smallBook(t *testing.T) string {
	dir := t.TempDir()
	write(t, dir, "house.yaml", "house: Lodehavn\n")
	write(t, dir, "recipes/juice.yaml", "recipe: pear juice\ningredients:\n  - pear: 900 g\n")
	write(t, dir, "recipes/tart.yaml", "recipe: pear tart\ningredients:\n  - pear juice: 300 g\n")
	return dir
}

func read(t *testing.T, dir, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func verified(t *testing.T, dir string) store.Report {
	t.Helper()
	r, err := store.Verify(t.Context(), dir, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range r.Problems {
		t.Error(p)
	}
	return r
}

func TestKept(t *testing.T) {
	dir := smallBook(t)
	k := kept(t, dir)
	storetest.Write(t, func(t *testing.T) (store.Store, store.HouseID) { return k, store.Home })
	head, _ := k.Head(t.Context(), store.Home)
	if r := verified(t, dir); r.Commits != head.Revision || r.Files == 0 || r.LogBytes == 0 {
		t.Errorf("%+v", r)
	}
	// a reader beside the owner sees the same book
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	seen, _ := f.Head(t.Context(), store.Home)
	if seen.Revision != head.Revision || seen.Fingerprint() != head.Fingerprint() {
		t.Errorf("the reader is at %d, the owner at %d", seen.Revision, head.Revision)
	}
	storetest.Read(t, func(t *testing.T) (store.Store, store.HouseID) {
		f, err := store.OpenFolder(t.Context(), store.Home, dir)
		if err != nil {
			t.Fatal(err)
		}
		return f, store.Home
	})
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Commit(t.Context(), store.Home, store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/z.yaml", Content: "recipe: z\n" + water}}}); !errors.Is(err, store.ErrClosed) {
		t.Errorf("a commit to a closed book: %v", err)
	}
	again := kept(t, dir)
	if h, _ := again.Head(t.Context(), store.Home); h.Fingerprint() != head.Fingerprint() || h.Revision != head.Revision {
		t.Error("opened again, it is another book")
	}
}

// The first commit is the book as it was found, bytes that are no text too.
func TestCommitOne(t *testing.T) {
	dir := smallBook(t)
	write(t, dir, "recipes/odd.yaml", "recipe: odd\xff\n"+water)
	k := kept(t, dir)
	log, err := k.Log(t.Context(), store.Home, 0)
	if err != nil || len(log) != 1 || log[0].How != store.HowFile || len(log[0].Files) != 4 {
		t.Fatalf("%+v, %v", log, err)
	}
	if err := os.Remove(filepath.Join(dir, "recipes", "odd.yaml")); err != nil {
		t.Fatal(err)
	}
	then, err := k.At(t.Context(), store.Home, 1)
	if err != nil || len(then.Recipes) != 2 || len(then.Faults) == 0 {
		t.Errorf("at commit 1: %v, %v", then.Faults, err)
	}
	if _, err := store.OpenKept(t.Context(), store.Home, dir, options()); !errors.Is(err, store.ErrOwned) || !strings.Contains(err.Error(), dir) {
		t.Errorf("a second owner: %v", err)
	}
}

func TestAsksNeverWrite(t *testing.T) {
	dir := smallBook(t)
	if _, err := store.OpenFolder(t.Context(), store.Home, dir); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Verify(t.Context(), dir, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, ".tamis")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a reader wrote: %v", err)
	}
}

// Hand edits while nobody owns the book: good ones become a commit, faulty ones
// wait, and the last good version answers.
func TestHandEdits(t *testing.T) {
	dir := smallBook(t)
	if err := kept(t, dir).Close(); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "recipes/juice.yaml", "recipe: pear juice\ningredients:\n  - pear: 850 g\n")
	write(t, dir, "recipes/tart.yaml", "recipe: pear tart\ningredients:\n  - pear juice: 300 gr of\n")
	write(t, dir, "recipes/new.yaml", "recipe: new\ningredient:\n  - milk: 1 l\n")

	f, err := store.OpenFolder(t.Context(), store.Home, dir) // a reader sees it so before any commit has it
	if err != nil {
		t.Fatal(err)
	}
	reader, _ := f.Head(t.Context(), store.Home)
	k := kept(t, dir)
	owner, _ := k.Head(t.Context(), store.Home)
	if owner.Revision != 2 || reader.Revision != 1 {
		t.Errorf("owner at %d, reader at %d", owner.Revision, reader.Revision)
	}
	for name, s := range map[string]interface {
		RecipeNamedMass(string) string
	}{"reader": masses{t, f}, "owner": masses{t, k}} {
		if got := s.RecipeNamedMass("pear juice"); got != "850" {
			t.Errorf("%s: juice %s g", name, got)
		}
		if got := s.RecipeNamedMass("pear tart"); got != "300" {
			t.Errorf("%s: the last good version does not answer: %s", name, got)
		}
		if got := s.RecipeNamedMass("new"); got != "none" {
			t.Errorf("%s: a faulty new recipe answers: %s", name, got)
		}
	}
	for _, file := range []string{"recipes/tart.yaml", "recipes/new.yaml"} {
		if !waits(owner.Faults, file) || !waits(reader.Faults, file) {
			t.Errorf("it is not said that %s waits: %v", file, owner.Faults)
		}
	}
	tart, _ := owner.RecipeNamed("pear tart")
	if tart.Revision != 1 {
		t.Errorf("the tart is at %d", tart.Revision)
	}
	// a push never writes over an edit that waits
	c := store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/tart.yaml", Content: "recipe: pear tart\ningredients:\n  - pear juice: 280 g\n"}}}
	if _, err := k.Commit(t.Context(), store.Home, c); !errors.Is(err, store.ErrEdited) {
		t.Errorf("a push over an edit that waits: %v", err)
	}
	if !strings.Contains(read(t, dir, "recipes/tart.yaml"), "300 gr of") {
		t.Error("the edit is lost")
	}
	// mended by hand
	write(t, dir, "recipes/tart.yaml", "recipe: pear tart\ningredients:\n  - pear juice: 310 g\n")
	if e, err := k.Compare(t.Context()); err != nil || e == nil || e.Seq != 3 || len(e.Files) != 1 || e.How != store.HowFile {
		t.Errorf("mended: %+v, %v", e, err)
	}
	head, _ := k.Head(t.Context(), store.Home)
	if waits(head.Faults, "recipes/tart.yaml") || (masses{t, k}).RecipeNamedMass("pear tart") != "310" {
		t.Error("the mended tart does not answer")
	}
	// what waits can be mended by a push of the very bytes in the folder
	write(t, dir, "recipes/new.yaml", "recipe: new\ningredients:\n  - milk: 1 kg\n")
	c.Files[0] = store.FileChange{Path: "recipes/new.yaml", Content: read(t, dir, "recipes/new.yaml")}
	if e, err := k.Commit(t.Context(), store.Home, c); err != nil || e.Seq != 4 {
		t.Errorf("pushed from the folder: %v", err)
	}
	head, _ = k.Head(t.Context(), store.Home)
	if len(head.Faults) > 0 {
		t.Errorf("still said: %v", head.Faults)
	}
	verified(t, dir)
}

// Going back by hand to the version before the last commit is a hand edit, not a
// commit that was cut off.
func TestHandUndo(t *testing.T) {
	dir := smallBook(t)
	k := kept(t, dir)
	was := read(t, dir, "recipes/juice.yaml")
	c := store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/juice.yaml", Content: strings.Replace(was, "900", "800", 1)}}}
	if _, err := k.Commit(t.Context(), store.Home, c); err != nil {
		t.Fatal(err)
	}
	if err := k.Close(); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "recipes/juice.yaml", was)
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	again := kept(t, dir)
	for _, s := range []store.Store{f, again} {
		if got := (masses{t, s}).RecipeNamedMass("pear juice"); got != "900" {
			t.Errorf("%T answers %s g", s, got)
		}
	}
	if log, _ := again.Log(t.Context(), store.Home, 2); len(log) != 1 || log[0].How != store.HowFile {
		t.Errorf("%+v", log)
	}
}

type masses struct {
	t *testing.T
	s store.Store
}

func (m masses) RecipeNamedMass(name string) string {
	h, err := m.s.Head(m.t.Context(), store.Home)
	if err != nil {
		m.t.Fatal(err)
	}
	r, ok := h.RecipeNamed(name)
	if !ok {
		return "none"
	}
	return r.Finished.String()
}

func waits(fs []recipe.Fault, file string) bool {
	for _, f := range fs {
		if f.File == file && f.Code == store.CodeWaiting {
			return true
		}
	}
	return false
}

// An edit that puts another recipe out waits; with the other's edit both are taken.
func TestHandEditsTogether(t *testing.T) {
	dir := smallBook(t)
	write(t, dir, "house.yaml", "house: Lodehavn\npans:\n  - {name: wide pan, empty: 870 g, holds: 4 l}\n")
	write(t, dir, "recipes/pan.yaml", "recipe: pan pears\ningredients:\n  - pear: 300 g\nmethod:\n  - boil: all\n    in: wide pan\n")
	k := kept(t, dir)
	write(t, dir, "house.yaml", "house: Lodehavn\npans:\n  - {name: broad pan, empty: 870 g, holds: 4 l}\n")
	write(t, dir, "recipes/juice.yaml", "recipe: pear juice\ningredients:\n  - pear: 910 g\n")
	e, err := k.Compare(t.Context())
	if err != nil || e == nil || len(e.Files) != 1 || e.Files[0].Path != "recipes/juice.yaml" {
		t.Fatalf("%+v, %v", e, err)
	}
	if (masses{t, k}).RecipeNamedMass("pan pears") != "300" {
		t.Error("the pan's recipe is out")
	}
	write(t, dir, "recipes/pan.yaml", "recipe: pan pears\ningredients:\n  - pear: 300 g\nmethod:\n  - boil: all\n    in: broad pan\n")
	if e, err = k.Compare(t.Context()); err != nil || e == nil || len(e.Files) != 2 {
		t.Fatalf("%+v, %v", e, err)
	}
	for _, p := range []string{"house.yaml", "recipes/juice.yaml", "recipes/tart.yaml", "recipes/pan.yaml"} {
		if err := os.Remove(filepath.Join(dir, filepath.FromSlash(p))); err != nil {
			t.Fatal(err)
		}
	}
	if e, err := k.Compare(t.Context()); err != nil || e != nil {
		t.Errorf("a folder that lost everything became a commit: %+v, %v", e, err)
	}
	if (masses{t, k}).RecipeNamedMass("pear juice") != "910" {
		t.Error("with an empty folder the last version does not answer")
	}
}

// Editors write a new file and rename it over the old one; what they hide is not theirs to commit.
func TestFollow(t *testing.T) {
	dir := smallBook(t)
	k := kept(t, dir)
	ctx, stop := context.WithCancel(t.Context())
	got := make(chan *store.Entry, 100)
	var wg sync.WaitGroup
	wg.Go(func() {
		err := k.Follow(ctx, dir, time.After, func(e *store.Entry, _ []recipe.Fault, err error) {
			if err != nil {
				t.Error(err)
			}
			got <- e
		})
		if err != nil {
			t.Error(err)
		}
	})
	defer wg.Wait()
	defer stop()
	next := func(what string) *store.Entry {
		t.Helper()
		for {
			select {
			case e := <-got:
				if e != nil {
					return e
				}
			case <-time.After(20 * time.Second):
				t.Fatalf("%s was not seen", what)
			}
		}
	}
	<-got // the look at the start
	write(t, dir, "recipes/.juice.yaml.swp", "half")
	write(t, dir, "recipes/juice.yaml~", "recipe: pear juice\ningredients:\n  - pear: 840 g\n")
	if err := os.Rename(filepath.Join(dir, "recipes/juice.yaml~"), filepath.Join(dir, "recipes/juice.yaml")); err != nil {
		t.Fatal(err)
	}
	if e := next("a rename over the file"); len(e.Files) != 1 || e.Files[0].Path != "recipes/juice.yaml" || !strings.Contains(e.Files[0].Content, "840") {
		t.Errorf("%+v", e)
	}
	write(t, dir, "recipes/new folder/glaze.yaml", "recipe: glaze\n"+water)
	if e := next("a file in a new folder"); len(e.Files) != 1 || e.Files[0].Path != "recipes/new folder/glaze.yaml" {
		t.Errorf("%+v", e)
	}
	write(t, dir, "recipes/new folder/glaze.yaml", "recipe: glaze\nsection: pastry\n"+water)
	if e := next("an edit in the new folder"); !strings.Contains(e.Files[0].Content, "pastry") {
		t.Errorf("%+v", e)
	}
	// the store's own writing is no hand edit
	if _, err := k.Commit(ctx, store.Home, store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/own.yaml", Content: "recipe: own\n" + water}}}); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "larder.yaml", "- ingredient: pear juice concentrate\n  density: 1.3 g/ml\n")
	if e := next("the larder"); len(e.Files) != 1 || e.Files[0].Path != "larder.yaml" {
		t.Errorf("%+v", e)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := smallBook(t)
	write(t, dir, ".tamis", "a file where the folder is to be")
	_, err := store.OpenKept(t.Context(), store.Home, dir, options())
	if !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("%v", err)
	}
	if os.Geteuid() == 0 {
		t.Log("root may write anywhere; the rest is skipped")
		return
	}
	dir = smallBook(t)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if _, err := store.OpenKept(t.Context(), store.Home, dir, options()); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("%v", err)
	}
}

// A log that somebody else wrote to is not written to.
func TestForeignLog(t *testing.T) {
	dir := smallBook(t)
	k := kept(t, dir)
	at := filepath.Join(dir, ".tamis", "log")
	f, err := os.OpenFile(at, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString("from elsewhere"); err != nil {
		t.Fatal(err)
	}
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := k.Commit(t.Context(), store.Home, store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/z.yaml", Content: "recipe: z\n" + water}}}); !errors.Is(err, store.ErrReadOnly) {
		t.Errorf("%v", err)
	}
}

// A damaged log: readers answer from the folder and say so; nobody writes.
func TestDamagedLogOfAFolder(t *testing.T) {
	dir := smallBook(t)
	if err := kept(t, dir).Close(); err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(dir, ".tamis", "log")
	raw := read(t, dir, ".tamis/log")
	if err := os.WriteFile(at, []byte(strings.Replace(raw, "900 g", "901 g", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	head, _ := f.Head(t.Context(), store.Home)
	if head.Revision != 0 || len(head.Recipes) != 2 || len(head.Faults) != 1 || head.Faults[0].Code != store.CodeLog || !strings.Contains(head.Faults[0].Text, "line 1") {
		t.Errorf("%d, %v", head.Revision, head.Faults)
	}
	var bad *store.LogError
	if _, err := store.OpenKept(t.Context(), store.Home, dir, options()); !errors.As(err, &bad) || bad.Line != 1 {
		t.Errorf("%v", err)
	}
	if r, err := store.Verify(t.Context(), dir, ""); err != nil || len(r.Problems) != 1 {
		t.Errorf("%+v, %v", r, err)
	}
}

// TestKills kills a child that pushes without end, again and again: every commit
// it was told of is there, and history and folder agree after the next start.
// TAMIS_KILLS says how often; few times without it.
func TestKills(t *testing.T) {
	if dir := os.Getenv("TAMIS_KILLS_CHILD"); dir != "" {
		pushWithoutEnd(dir)
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
	var dir string
	hit := map[string]int{}
	commits, acknowledged := 0, 0
	for i := range kills {
		if i%killsOfABook == 0 {
			dir, commits, acknowledged = smallBook(t), commits+acknowledged, 0
		}
		acknowledged = max(acknowledged, killOne(t, dir, i))
		r, err := store.Verify(t.Context(), dir, "")
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case r.Commits < acknowledged:
			t.Fatalf("kill %d: %d commits, %d were acknowledged", i, r.Commits, acknowledged)
		case len(r.Notes) > 0:
			hit["in a line of the log"]++
		case len(r.Problems) > 0:
			hit["between log and folder"]++
		case r.Commits > acknowledged:
			hit["between folder and acknowledgement"]++
		default:
			hit["between two pushes"]++
		}
		k, err := store.OpenKept(t.Context(), store.Home, dir, options())
		if err != nil {
			t.Fatalf("kill %d: %v", i, err)
		}
		if err := k.Close(); err != nil {
			t.Fatal(err)
		}
		verified(t, dir)
		if t.Failed() {
			t.Fatalf("kill %d", i)
		}
	}
	t.Logf("%d kills, %d commits: %v", kills, commits+acknowledged, hit)
}

// killsOfABook is after how many kills a new book is begun: each kill is looked at
// with the whole log, which gets longer and longer.
const killsOfABook = 100

// killOne lets a child push until it is killed and returns the last commit it was told of.
func killOne(t *testing.T, dir string, seed int) int {
	t.Helper()
	c := exec.Command(os.Args[0], "-test.run=^TestKills$")
	c.Env = append(os.Environ(), "TAMIS_KILLS_CHILD="+dir)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	wait := time.Duration(rand.New(rand.NewPCG(uint64(seed), 3)).IntN(60_000)) * time.Microsecond
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
		t.Fatal("the child never pushed")
	}
	return last
}

func pushWithoutEnd(dir string) {
	k, err := store.OpenKept(context.Background(), store.Home, dir, options())
	if err != nil {
		fmt.Println("failed", err)
		return
	}
	for i := 0; ; i++ {
		text := func(name string) string {
			return fmt.Sprintf("recipe: %s\ningredients:\n  - pear: %d g\nnotes: %s\n", name, 1+i, strings.Repeat("a word ", 200*(i%7)))
		}
		e, err := k.Commit(context.Background(), store.Home, store.Change{Base: -1, Who: "child", How: store.HowTerminal, Files: []store.FileChange{
			{Path: "recipes/a.yaml", Content: text("a " + strconv.Itoa(os.Getpid()))}, {Path: "recipes/b.yaml", Content: text("b " + strconv.Itoa(os.Getpid()))}}})
		if err != nil {
			fmt.Println("failed", err)
			return
		}
		fmt.Println("done", e.Seq)
	}
}
