package index_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/index/internal/made"
)

// pears is a book of which the fingerprint alone can change.
func pears(fingerprint string) *kb.Snapshot {
	return book(fingerprint, "pear tart", "poached pear", "walnut bread")
}

// kept is an index in a folder, with what it logs.
type kept struct {
	*index.Index
	log *bytes.Buffer
}

// open opens the index of a snapshot and waits until it answers.
func open(t *testing.T, s *kb.Snapshot, dir string, options ...index.Option) kept {
	t.Helper()
	k := kept{log: new(bytes.Buffer)}
	x, err := index.Open(t.Context(), s, dir, slog.New(slog.NewTextHandler(k.log, nil)), options...)
	if err != nil {
		t.Fatal(err)
	}
	k.Index = x
	k.find(t, "pear")
	return k
}

// find searches; the time only keeps a test that waits for a lock from hanging.
func (k kept) find(t *testing.T, text string) []index.Hit {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	hits, err := k.Search(ctx, text, 5)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return hits
}

func (k kept) finds(t *testing.T, text, want string) {
	t.Helper()
	if got := strings.Join(names(k.find(t, text)), ", "); got != want {
		t.Errorf("%q finds %q, want %q", text, got, want)
	}
}

func (k kept) close(t *testing.T) {
	t.Helper()
	if err := k.Close(); err != nil {
		t.Error(err)
	}
}

// folders lists what lies in the index's folder but its lock.
func folders(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	var out []string
	for _, e := range entries {
		if e.Name() != "lock" {
			out = append(out, e.Name())
		}
	}
	return out, err
}

// one returns the only index in dir.
func one(t *testing.T, dir string) string {
	t.Helper()
	found, err := folders(dir)
	if err != nil || len(found) != 1 || !regexp.MustCompile(`^[0-9a-f]{32}$`).MatchString(found[0]) {
		t.Fatalf("%q in the folder of the index, %v", found, err)
	}
	return filepath.Join(dir, found[0])
}

// onDisk reports whether dir holds a whole index of s: read only, it is never built.
func onDisk(t *testing.T, s *kb.Snapshot, dir string) bool {
	t.Helper()
	x := open(t, s, dir, index.ReadOnly())
	defer x.close(t)
	return x.OnDisk()
}

func TestKeptOnDisk(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not", "yet", "there")
	s := pears("one")
	if onDisk(t, s, dir) {
		t.Error("there is an index before there is one")
	}
	if _, err := os.Stat(dir); err == nil {
		t.Error("reading only, it made the folder")
	}
	x := open(t, s, dir)
	if !x.OnDisk() {
		t.Errorf("not on disk: %s", x.log)
	}
	x.finds(t, "pear", "pear tart, poached pear")
	x.close(t)
	built, err := os.Stat(one(t, dir))
	if err != nil {
		t.Fatal(err)
	}
	again := open(t, s, dir)
	defer again.close(t)
	again.finds(t, "pear", "pear tart, poached pear")
	if !again.OnDisk() || again.log.Len() > 0 {
		t.Errorf("on disk %t: %s", again.OnDisk(), again.log)
	}
	if now, err := os.Stat(one(t, dir)); err != nil || !now.ModTime().Equal(built.ModTime()) || !os.SameFile(now, built) {
		t.Error("built again", err)
	}
}

// Memory and disk find the same with the same scores.
func TestDiskAsMemory(t *testing.T) {
	s := madeBook(t, 300)
	x := open(t, s, t.TempDir())
	defer x.close(t)
	m := index.New(s)
	defer m.Close()
	for _, r := range made.Recipes(50) {
		for _, text := range []string{r.Name, made.Mistyped(r), strings.Join(r.Ingredients[:2], " and ")} {
			if d := cmp.Diff(scored(search(t, m, text, 5)), scored(x.find(t, text))); d != "" {
				t.Fatalf("%q (-memory +disk):\n%s", text, d)
			}
		}
	}
}

// An index of other bytes is never used; the new one takes its place.
func TestStaleIsRebuilt(t *testing.T) {
	dir := t.TempDir()
	open(t, pears("one"), dir).close(t)
	old := one(t, dir)
	next := book("two", "pear cake", "pear tart", "walnut bread")
	if onDisk(t, next, dir) {
		t.Error("the old index answers for the new book")
	}
	x := open(t, next, dir)
	defer x.close(t)
	x.finds(t, "pear", "pear cake, pear tart")
	if now := one(t, dir); now == old {
		t.Error("the old index has stayed")
	}
	if !onDisk(t, next, dir) {
		t.Error("the new index is not on disk")
	}
}

// The same bytes, but the book's recipes are not the same: another program read
// them, or the ids are a log's.
func TestSameFingerprintOtherRecipes(t *testing.T) {
	dir := t.TempDir()
	open(t, pears("one"), dir).close(t)
	if onDisk(t, book("one", "pear tart", "quince tart", "walnut bread"), dir) {
		t.Error("the index of other recipes answers")
	}
}

// What the index says of itself is believed only if it fits.
func TestManifestMustFit(t *testing.T) {
	for key, value := range map[string]any{"format": 0, "fingerprint": "two", "recipes": 4, "key": "0", "files": []int{}} {
		t.Run(key, func(t *testing.T) {
			dir := t.TempDir()
			s := pears("one")
			open(t, s, dir).close(t)
			file := filepath.Join(one(t, dir), "tamis.json")
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			m := map[string]any{}
			if err := json.Unmarshal(data, &m); err != nil {
				t.Fatal(err)
			}
			if _, ok := m[key]; !ok {
				t.Fatalf("no %q in %s", key, data)
			}
			m[key] = value
			if data, err = json.Marshal(m); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(file, data, 0o644); err != nil {
				t.Fatal(err)
			}
			repaired(t, s, dir)
		})
	}
}

// repaired checks that a broken index is not used and that opening it mends it.
func repaired(t *testing.T, s *kb.Snapshot, dir string) {
	t.Helper()
	if onDisk(t, s, dir) {
		t.Error("the broken index answers")
	}
	x := open(t, s, dir)
	defer x.close(t)
	x.finds(t, "pear", "pear tart, poached pear")
	if !x.OnDisk() {
		t.Errorf("not on disk: %s", x.log)
	}
	one(t, dir)
	if !onDisk(t, s, dir) {
		t.Error("the index is not mended")
	}
}

// Whatever happens to a file of the index, it is built again.
func TestCorruptIsRebuilt(t *testing.T) {
	harm := map[string]func(file string, data []byte) error{
		"cut":      func(f string, d []byte) error { return os.WriteFile(f, d[:len(d)/2], 0o644) },
		"emptied":  func(f string, d []byte) error { return os.WriteFile(f, nil, 0o644) },
		"longer":   func(f string, d []byte) error { return os.WriteFile(f, append(d, 0), 0o644) },
		"gone":     func(f string, _ []byte) error { return os.Remove(f) },
		"a folder": func(f string, _ []byte) error { return errors.Join(os.Remove(f), os.Mkdir(f, 0o755)) },
		"one bit": func(f string, d []byte) error {
			d[len(d)/2] ^= 1
			return os.WriteFile(f, d, 0o644)
		},
	}
	s := pears("one")
	whole := t.TempDir()
	open(t, s, whole).close(t)
	var files []string
	err := filepath.WalkDir(one(t, whole), func(path string, e os.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			rel, _ := filepath.Rel(whole, path)
			files = append(files, rel)
		}
		return err
	})
	if err != nil || len(files) < 4 {
		t.Fatal(files, err)
	}
	for what, do := range harm {
		for _, file := range files {
			if what == "longer" && filepath.Base(file) == "tamis.json" {
				continue // a byte more than JSON is covered by "cut"
			}
			t.Run(what+"/"+filepath.Base(file), func(t *testing.T) {
				dir := t.TempDir()
				if err := os.CopyFS(dir, os.DirFS(whole)); err != nil {
					t.Fatal(err)
				}
				path := filepath.Join(dir, file)
				data, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if err := do(path, data); err != nil {
					t.Fatal(err)
				}
				repaired(t, s, dir)
			})
		}
	}
	t.Run("one more", func(t *testing.T) {
		dir := t.TempDir()
		if err := os.CopyFS(dir, os.DirFS(whole)); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(one(t, dir), "store", "more"), nil, 0o644); err != nil {
			t.Fatal(err)
		}
		repaired(t, s, dir)
	})
	t.Run("a file instead", func(t *testing.T) {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(one(t, whole))), []byte("x"), 0o644); err != nil {
			t.Fatal(err)
		}
		repaired(t, s, dir)
	})
}

// What a process left that ended while it built goes; what is not the index's stays.
func TestLeftOvers(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"new-123", "old-9/x", "0123456789abcdef0123456789abcdef", "new-recipes", "mine"} {
		if err := os.MkdirAll(filepath.Join(dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	s := pears("one")
	x := open(t, s, dir)
	defer x.close(t)
	found, err := folders(dir)
	if err != nil || len(found) != 3 || found[1] != "mine" || found[2] != "new-recipes" {
		t.Errorf("%q, %v", found, err)
	}
}

// Where nothing can be kept, memory answers and the log says so once.
func TestNoFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	x := open(t, pears("one"), filepath.Join(file, "index"))
	defer x.close(t)
	x.finds(t, "pear", "pear tart, poached pear")
	if x.OnDisk() || strings.Count(x.log.String(), "\n") != 1 {
		t.Errorf("on disk %t, log:\n%s", x.OnDisk(), x.log)
	}
}

func TestNotOnDisk(t *testing.T) {
	dir := t.TempDir()
	for what, x := range map[string]kept{
		"no fingerprint": open(t, pears(""), dir),
		"no folder":      open(t, pears("one"), ""),
	} {
		x.finds(t, "walnut", "walnut bread")
		if x.OnDisk() {
			t.Errorf("%s: on disk", what)
		}
		x.close(t)
	}
	if found, err := folders(dir); len(found) > 0 || err != nil {
		t.Errorf("%q, %v", found, err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if x, err := index.Open(ctx, pears("one"), dir, nil); x != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%v, %v; want the context's error", x, err)
	}
}

// Closing while it builds leaves nothing that looks like an index.
func TestClosedWhileBuilding(t *testing.T) {
	dir := t.TempDir()
	s := madeBook(t, 1500)
	x, err := index.Open(t.Context(), s, dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := x.Close(); err != nil {
		t.Fatal(err)
	}
	found, err := folders(dir)
	if err != nil || len(found) > 0 && !onDisk(t, s, dir) {
		t.Errorf("%q, %v", found, err)
	}
}
