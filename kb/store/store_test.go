package store_test

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"tamis/kb"
	"tamis/kb/recipe"
	"tamis/kb/store"
	"tamis/kb/store/internal/storetest"
)

func TestDemo(t *testing.T) {
	open := func(t *testing.T) (store.Store, store.HouseID) {
		d, err := store.OpenDemo(t.Context(), store.Home)
		if err != nil {
			t.Fatal(err)
		}
		return d, store.Home
	}
	storetest.Read(t, open)
	storetest.ReadOnly(t, open)
}

func TestFolder(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "house.yaml", "house: Lodehavn\n")
	write(t, dir, "recipes/a.yaml", "recipe: pear water\ningredients:\n  - pear juice: 900 g\n")
	write(t, dir, "recipes/b.yaml", "recipe: faulty\n")
	open := func(t *testing.T) (store.Store, store.HouseID) {
		f, err := store.OpenFolder(t.Context(), "lodehavn", dir)
		if err != nil {
			t.Fatal(err)
		}
		return f, "lodehavn"
	}
	storetest.Read(t, open)
	storetest.ReadOnly(t, open)
}

// The demo book is part of the program: it has no faults and nothing odd about it.
func TestDemoIsClean(t *testing.T) {
	d, err := store.OpenDemo(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	s, err := d.Head(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range slices.Concat(s.Faults, s.Warnings) {
		t.Error(f.Level, f)
	}
	if len(s.Recipes) < 14 {
		t.Errorf("%d recipes", len(s.Recipes))
	}
	base, ok := s.RecipeNamed("ice cream base")
	if !ok || !slices.ContainsFunc(base.Lines, func(l kb.Line) bool { return l.Name == "egg yolk" && l.HasGrams }) {
		t.Error("no ice cream base with yolks")
	}
}

func write(t *testing.T, dir, name, content string) {
	t.Helper()
	at := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

func recipeNames(s *kb.Snapshot) string {
	var out []string
	for _, r := range s.Recipes {
		out = append(out, r.Name)
	}
	return strings.Join(out, ", ")
}

const water = "ingredients:\n  - pear juice: 900 g\n"

func TestNoBook(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "file", "")
	for _, at := range []string{filepath.Join(dir, "missing"), filepath.Join(dir, "file")} {
		_, err := store.OpenFolder(t.Context(), store.Home, at)
		if !errors.Is(err, store.ErrNoBook) || !strings.Contains(err.Error(), at) {
			t.Errorf("%s: %v", at, err)
		}
	}
}

func TestWhichFiles(t *testing.T) {
	s, err := store.Load(t.Context(), fstest.MapFS{
		"house.yaml":                  {Data: []byte("house: Lodehavn\n")},
		"other.yaml":                  {Data: []byte("recipe: beside\n" + water)},
		"recipes/a.yaml":              {Data: []byte("recipe: a\n" + water)},
		"recipes/deep/er/b.yaml":      {Data: []byte("recipe: b\n" + water)},
		"recipes/c.yml":               {Data: []byte("recipe: c\n" + water)},
		"recipes/notes.txt":           {Data: []byte("recipe: d\n" + water)},
		"recipes/.e.yaml":             {Data: []byte("recipe: e\n" + water)},
		"recipes/.hidden/f.yaml":      {Data: []byte("recipe: f\n" + water)},
		".tamis/recipes/g.yaml":       {Data: []byte("recipe: g\n" + water)},
		"recipes/z.yaml/in.yaml":      {Data: []byte("recipe: h\n" + water)},
		"recipes/Größe und Maß.yaml":  {Data: []byte("recipe: i\n" + water)},
		"recipes/deep/er/b.yaml.orig": {Data: []byte("recipe: j\n" + water)},
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := recipeNames(s); got != "a, b, h, i" {
		t.Errorf("got %s", got)
	}
	if r, ok := s.Recipe("recipes/deep/er/b.yaml"); !ok || r.Name != "b" {
		t.Error("a recipe's id is not its path")
	}
	if len(s.Faults) > 0 {
		t.Error(s.Faults)
	}
}

// badFS fails to open some files and to list one folder.
type badFS struct{ fstest.MapFS }

func (b badFS) Open(name string) (fs.File, error) {
	if strings.Contains(name, "bad") || name == "larder.yaml" {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return b.MapFS.Open(name)
}

func (b badFS) Stat(name string) (fs.FileInfo, error) { return b.MapFS.Stat(name) }

func (b badFS) ReadDir(name string) ([]fs.DirEntry, error) {
	if strings.Contains(name, "bad") {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrPermission}
	}
	return b.MapFS.ReadDir(name)
}

func TestUnreadable(t *testing.T) {
	s, err := store.Load(t.Context(), badFS{fstest.MapFS{
		"house.yaml":         {Data: []byte("house: Lodehavn\n")},
		"larder.yaml":        {Data: []byte("- ingredient: milk\n")},
		"recipes/a.yaml":     {Data: []byte("recipe: a\n" + water)},
		"recipes/bad.yaml":   {Data: []byte("recipe: b\n" + water)},
		"recipes/bad/x.yaml": {Data: []byte("recipe: c\n" + water)},
		"recipes/z.yaml":     {Data: []byte("recipe: z\n" + water)},
	}})
	if err != nil {
		t.Fatal(err)
	}
	if got := recipeNames(s); got != "a, z" {
		t.Errorf("recipes: %s", got)
	}
	var got []string
	for _, f := range s.Faults {
		got = append(got, f.Code+" "+f.File)
	}
	if want := []string{"unreadable larder.yaml", "unreadable recipes/bad", "unreadable recipes/bad.yaml"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// A file above the limit is a fault and is not read to its end.
func TestLargeFile(t *testing.T) {
	big := []byte("recipe: big\nnotes: |\n" + strings.Repeat("  much to say\n", recipe.MaxRecipeBytes/10))
	s, err := store.Load(t.Context(), fstest.MapFS{"house.yaml": {Data: []byte("house: L\n")}, "recipes/big.yaml": {Data: big}})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Recipes) != 0 || len(s.Faults) == 0 || s.Faults[0].File != "recipes/big.yaml" {
		t.Errorf("%v", s.Faults)
	}
}

func TestReload(t *testing.T) {
	dir := t.TempDir()
	write(t, dir, "house.yaml", "house: Lodehavn\n")
	write(t, dir, "recipes/a.yaml", "recipe: a\n"+water)
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	c, err := f.Watch(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	before, _ := f.Head(t.Context(), store.Home)
	if again, err := f.Reload(t.Context()); err != nil || again != before {
		t.Error("the same bytes, another head", err)
	}
	write(t, dir, "recipes/b.yaml", "recipe: b\n"+water)
	if _, err := f.Reload(t.Context()); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "recipes/c.yaml", "recipe: c\n"+water)
	last, err := f.Reload(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if head, _ := f.Head(t.Context(), store.Home); head != last || recipeNames(last) != "a, b, c" {
		t.Errorf("the head has %s", recipeNames(head))
	}
	if recipeNames(before) != "a" {
		t.Error("the old snapshot has changed")
	}
	select {
	case got := <-c:
		if got != last {
			t.Errorf("a slow watcher got %s, not the latest", recipeNames(got))
		}
	case <-time.After(10 * time.Second):
		t.Error("the watcher got nothing")
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Reload(t.Context()); !errors.Is(err, store.ErrNoBook) {
		t.Errorf("got %v, want ErrNoBook", err)
	}
	if head, err := f.Head(t.Context(), store.Home); err != nil || head != last {
		t.Error("the last good book does not answer", err)
	}
}

func TestFingerprint(t *testing.T) {
	fsys := func() fstest.MapFS {
		return fstest.MapFS{
			"house.yaml":     {Data: []byte("house: L\n")},
			"recipes/a.yaml": {Data: []byte("recipe: a\n" + water)},
			"recipes/b.yaml": {Data: []byte("recipe: b\n" + water)},
		}
	}
	seen := map[string]string{}
	for what, change := range map[string]func(fstest.MapFS){
		"as it is": func(fstest.MapFS) {},
		"house":    func(m fstest.MapFS) { m["house.yaml"].Data = []byte("house: M\n") },
		"larder":   func(m fstest.MapFS) { m["larder.yaml"] = &fstest.MapFile{} },
		"one byte": func(m fstest.MapFS) { m["recipes/a.yaml"].Data = append(m["recipes/a.yaml"].Data, '\n') },
		"a path":   func(m fstest.MapFS) { m["recipes/c.yaml"] = m["recipes/b.yaml"]; delete(m, "recipes/b.yaml") },
		"one less": func(m fstest.MapFS) { delete(m, "recipes/b.yaml") },
		"exchanged": func(m fstest.MapFS) {
			m["recipes/a.yaml"], m["recipes/b.yaml"] = m["recipes/b.yaml"], m["recipes/a.yaml"]
		},
		"no house":   func(m fstest.MapFS) { delete(m, "house.yaml") },
		"house of 0": func(m fstest.MapFS) { m["house.yaml"].Data = nil },
	} {
		m := fsys()
		change(m)
		s, err := store.Load(t.Context(), m)
		if err != nil {
			t.Fatal(err)
		}
		if other, twice := seen[s.Fingerprint()]; twice {
			t.Errorf("%q and %q have one fingerprint", what, other)
		}
		seen[s.Fingerprint()] = what
	}
	m := fsys()
	m["recipes/note.txt"] = &fstest.MapFile{Data: []byte("not of the book")}
	s, err := store.Load(t.Context(), m)
	if err != nil || seen[s.Fingerprint()] != "as it is" {
		t.Error("a file that is not read changes the fingerprint", err)
	}
}

func TestEndedContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := store.OpenDemo(ctx, store.Home); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if _, err := store.OpenFolder(ctx, store.Home, t.TempDir()); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}

func TestWriteDemo(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "book")
	if err := store.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	d, err := store.OpenDemo(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	written, _ := f.Head(t.Context(), store.Home)
	inside, _ := d.Head(t.Context(), store.Home)
	if written.Fingerprint() != inside.Fingerprint() {
		t.Error("what was written is not the demo book")
	}

	err = store.WriteDemo(dir)
	if !errors.Is(err, store.ErrInTheWay) || !strings.Contains(err.Error(), dir) {
		t.Errorf("a second time: %v", err)
	}
}

// Whatever is in the way: the error names it, it keeps its bytes, and nothing new stands beside it.
func TestWriteDemoInTheWay(t *testing.T) {
	for _, c := range []struct{ name, file string }{
		{"the house", "house.yaml"},
		{"a file where a folder is to be", "recipes"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			write(t, dir, c.file, "mine")
			err := store.WriteDemo(dir)
			if !errors.Is(err, store.ErrInTheWay) || !strings.Contains(err.Error(), filepath.Join(dir, c.file)) {
				t.Errorf("got %v", err)
			}
			got, err := os.ReadFile(filepath.Join(dir, c.file))
			if err != nil || string(got) != "mine" {
				t.Errorf("it holds %q now, %v", got, err)
			}
			if all, err := os.ReadDir(dir); err != nil || len(all) != 1 {
				t.Errorf("%v stand in the folder, %v", all, err)
			}
		})
	}
	t.Run("a link out of the folder", func(t *testing.T) {
		dir, outside := t.TempDir(), t.TempDir()
		if err := os.Symlink(outside, filepath.Join(dir, "recipes")); err != nil {
			t.Fatal(err)
		}
		if err := store.WriteDemo(dir); err == nil {
			t.Error("it was written through the link")
		}
		for at, want := range map[string]int{dir: 1, outside: 0} {
			if all, err := os.ReadDir(at); err != nil || len(all) != want {
				t.Errorf("%v stand in %s, %v", all, at, err)
			}
		}
	})
	t.Run("beside other files", func(t *testing.T) {
		dir := t.TempDir()
		write(t, dir, "recipes/mine.yaml", "recipe: mine\n"+water)
		if err := store.WriteDemo(dir); err != nil {
			t.Fatal(err)
		}
		f, err := store.OpenFolder(t.Context(), store.Home, dir)
		if err != nil {
			t.Fatal(err)
		}
		s, _ := f.Head(t.Context(), store.Home)
		if _, ok := s.RecipeNamed("mine"); !ok {
			t.Error("the cook's own recipe is gone")
		}
	})
}
