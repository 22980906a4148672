package store

import (
	"context"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// exactly compares all that snapshots hold but their tables, and of the larder's
// items which they are.
var exactly = cmp.Options{
	cmp.Exporter(func(reflect.Type) bool { return true }),
	cmp.Comparer(func(a, b quantity.Number) bool {
		none := quantity.Number{}
		return (a == none) == (b == none) && a.Equal(b)
	}),
	cmp.Comparer(func(a, b quantity.Unit) bool { return a == b }),
	cmp.Comparer(func(a, b *larder.Item) bool {
		return a == nil && b == nil || a != nil && b != nil && a.Name == b.Name && a.House == b.House
	}),
	// where a line leads; the recipes themselves are compared one by one
	cmp.Comparer(func(a, b *kb.Recipe) bool { return a == nil && b == nil || a != nil && b != nil && a.ID == b.ID }),
	cmp.Comparer(func(a, b *scale.Formula) bool {
		return a == nil && b == nil || a != nil && b != nil && a.Name == b.Name
	}),
}

// recipes are those of a book and their formulas, as values.
func recipes(s *kb.Snapshot) (rs []kb.Recipe, fs []scale.Formula) {
	for _, r := range s.Recipes {
		rs, fs = append(rs, *r), append(fs, *r.Formula)
	}
	return rs, fs
}

func sameBook(t *testing.T, what string, got, want *kb.Snapshot) {
	t.Helper()
	gotRecipes, gotFormulas := recipes(got)
	wantRecipes, wantFormulas := recipes(want)
	for field, pair := range map[string][2]any{
		"recipes": {gotRecipes, wantRecipes}, "formulas": {gotFormulas, wantFormulas}, "out": {got.Out, want.Out}, "faults": {got.Faults, want.Faults}, "warnings": {got.Warnings, want.Warnings},
		"names": {got.Names(), want.Names()}, "house": {got.House, want.House}, "revision": {got.Revision, want.Revision}, "fingerprint": {got.Fingerprint(), want.Fingerprint()},
	} {
		if !sameValue(pair[1], pair[0]) {
			t.Errorf("%s: %s differ: %.2000s", what, field, cmp.Diff(pair[1], pair[0], exactly))
		}
	}
}

// open opens a book with a cache however small it is, and saves it; hits is what
// the cache gave, -1: no cache.
func openCached(t *testing.T, dir, cacheDir string) (s *kb.Snapshot, hits int) {
	t.Helper()
	f := &Folder{book: book{house: Home}, dir: dir, data: filepath.Join(dir, dataDir), build: newBuilder()}
	f.build.cache = newCache(cacheDir, dir)
	f.build.cache.least = 0
	s, err := f.Reload(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	hits = -1
	if k := f.build.cache.compiled(s.House.Spoons); k != nil {
		hits = 0
		for _, b := range f.last.Load().tree {
			if _, ok := k.of(b); ok {
				hits++
			}
		}
	}
	_ = f.SaveCache() // where it cannot, that is what is tested
	return s, hits
}

func plain(t *testing.T, dir string) *kb.Snapshot {
	t.Helper()
	f, err := OpenFolder(t.Context(), Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	s, err := f.Head(t.Context(), Home)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// someBooks are the demo book, one of the bank, and made ones with faults in them.
func someBooks(t *testing.T) map[string]string {
	t.Helper()
	books := map[string]string{}
	at := func(name string, from fs.FS) {
		dir := filepath.Join(t.TempDir(), name)
		if err := os.CopyFS(dir, from); err != nil {
			t.Fatal(err)
		}
		books[name] = dir
	}
	at("demo", demoFS())
	at("kornhuset", os.DirFS("../../testdata/books/kornhuset"))
	at("tidewater", os.DirFS("../../testdata/books/tidewater"))
	for seed := range uint64(3) {
		dir := filepath.Join(t.TempDir(), "made")
		writeMade(t, dir, rand.New(rand.NewPCG(seed, 7)), 80)
		books[fmt.Sprint("made ", seed)] = dir
	}
	return books
}

func writeMade(t *testing.T, dir string, r *rand.Rand, n int) {
	t.Helper()
	if err := os.MkdirAll(filepath.Join(dir, "recipes", "deep"), 0o755); err != nil {
		t.Fatal(err)
	}
	write := func(name, text string) {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("house.yaml", "house: Lodehavn\nspoons: "+[]string{"metric", "US", "Australian", "UK"}[r.IntN(4)]+"\n")
	amounts := []string{"%d g", "%d,5 dl", "%d-900 g", "%d leaves (4 g)", "%d tbsp", "to taste, start %d g", "2/3 cup", "0.%d %% of pear", "a pinch", "%d", "1,200 g", "%d blobs"}
	for i := range n {
		var b strings.Builder
		fmt.Fprintf(&b, "recipe: dish %d\nmakes: %d pieces of 50 g\nloss: %d %%\ningredients:\n  - pear: 400 g\n", i, 1+r.IntN(40), r.IntN(9))
		for k := range 1 + r.IntN(6) {
			text := amounts[r.IntN(len(amounts))]
			if strings.Contains(text, "%d") {
				text = fmt.Sprintf(text, 1+r.IntN(300))
			}
			fmt.Fprintf(&b, "  - %s %d: %s\n", []string{"walnut", "sorrel", "milk", "rye"}[r.IntN(4)], k, strings.ReplaceAll(text, "%%", "%"))
		}
		if i > 0 && r.IntN(2) == 0 {
			fmt.Fprintf(&b, "  - dish %d: %d g\n", r.IntN(i), 1+r.IntN(80))
		}
		fmt.Fprintf(&b, "method:\n  - cook: all of it\n    to: %d °C\n    for: at least %d min\n    where: fridge\nkeeps: [%d days in fridge]\n", 40+r.IntN(60), r.IntN(50), 1+r.IntN(9))
		if r.IntN(12) == 0 {
			b.WriteString("  bad: [\n")
		}
		if r.IntN(9) == 0 {
			b.WriteString("unknown: 1\n")
		}
		write(fmt.Sprintf("recipes/%s%03d.yaml", []string{"", "deep/"}[i%2], i), b.String())
	}
}

func TestBookFromCacheIsTheBook(t *testing.T) {
	for name, dir := range someBooks(t) {
		caches := t.TempDir()
		want := plain(t, dir)
		first, hits := openCached(t, dir, caches)
		sameBook(t, name+", first", first, want)
		if hits != -1 {
			t.Errorf("%s: a cache before there was one", name)
		}
		again, hits := openCached(t, dir, caches)
		sameBook(t, name+", from the cache", again, want)
		files := 0
		for p := range mustScan(t, dir).tree {
			if isRecipe(p) {
				files++
			}
		}
		if hits != files || files < 10 {
			t.Errorf("%s: %d of %d files came from the cache", name, hits, files)
		}
	}
}

func mustScan(t *testing.T, dir string) scanned {
	t.Helper()
	sc, err := scan(t.Context(), os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// Whatever is done to a book between two looks, the second one tells what the
// files say now: also where size and time of a file are as before.
func TestCacheIsNeverStale(t *testing.T) {
	dir, caches := filepath.Join(t.TempDir(), "book"), t.TempDir()
	r := rand.New(rand.NewPCG(3, 3))
	writeMade(t, dir, r, 25)
	openCached(t, dir, caches)
	stamp := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	for step := range 20 {
		sc := mustScan(t, dir)
		paths := slices.DeleteFunc(slices.Sorted(maps.Keys(sc.tree)), func(p string) bool { return !isRecipe(p) })
		p := paths[r.IntN(len(paths))]
		at := filepath.Join(dir, p)
		text := sc.tree[p].content
		var err error
		switch step % 5 {
		case 0, 1: // another number of as many figures
			err = os.WriteFile(at, []byte(strings.Replace(text, "pear: 400 g", fmt.Sprintf("pear: %d g", 401+r.IntN(500)), 1)), 0o644)
		case 2: // two files change places
			q := paths[r.IntN(len(paths))]
			err = os.WriteFile(at, []byte(sc.tree[q].content), 0o644)
			if err == nil {
				err = os.WriteFile(filepath.Join(dir, q), []byte(text), 0o644)
			}
		case 3: // the same bytes mean something else
			err = os.WriteFile(filepath.Join(dir, "house.yaml"), []byte("house: Lodehavn\nspoons: "+[]string{"UK", "US"}[r.IntN(2)]+"\n"), 0o644)
		case 4:
			err = os.Remove(at)
		}
		if err == nil {
			err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
				if err != nil || d.IsDir() {
					return err
				}
				return os.Chtimes(path, stamp, stamp)
			})
		}
		if err != nil {
			t.Fatal(err)
		}
		got, _ := openCached(t, dir, caches)
		sameBook(t, fmt.Sprint("step ", step), got, plain(t, dir))
		if t.Failed() {
			return
		}
	}
}

// A cache that is broken in any way is as good as none.
func TestBrokenCacheIsNone(t *testing.T) {
	dir, caches := filepath.Join(t.TempDir(), "book"), t.TempDir()
	r := rand.New(rand.NewPCG(5, 5))
	writeMade(t, dir, r, 20)
	want := plain(t, dir)
	openCached(t, dir, caches)
	at := newCache(caches, dir).file
	whole, err := os.ReadFile(at)
	if err != nil {
		t.Fatal(err)
	}
	broken := map[string][]byte{"empty": {}, "one byte more": append(slices.Clone(whole), 0), "the first half": whole[:len(whole)/2], "none of it": make([]byte, len(whole))}
	for i := range 15 {
		k := r.IntN(len(whole))
		b := slices.Clone(whole)
		b[k] ^= 1 << r.IntN(8)
		broken[fmt.Sprint("one bit at ", k, " ", i)] = b
		broken[fmt.Sprint("cut at ", k, " ", i)] = whole[:k]
	}
	old := decodeCache(string(whole), program())
	broken["another program's"] = encodeCache("another", old)
	bad := &compiled{spoons: old.spoons, records: maps.Clone(old.records)}
	for p, rec := range bad.records { // whole and checked, with nonsense in it
		rec.packed = rec.packed[:len(rec.packed)/2] + "nonsense"
		bad.records[p] = rec
	}
	for what, b := range broken {
		if err := os.WriteFile(at, b, 0o600); err != nil {
			t.Fatal(err)
		}
		if decodeCache(string(b), program()) != nil {
			t.Errorf("%s is taken for whole", what)
		}
		got, hits := openCached(t, dir, caches)
		if sameBook(t, what, got, want); hits != -1 {
			t.Errorf("%s: it is used", what)
		}
		if _, hits := openCached(t, dir, caches); hits != 20 {
			t.Errorf("%s: not mended", what)
		}
	}
	if err := os.WriteFile(at, encodeCache(program(), bad), 0o600); err != nil {
		t.Fatal(err)
	}
	got, _ := openCached(t, dir, caches)
	sameBook(t, "nonsense that is checked", got, want)

	if err := os.WriteFile(at, whole, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(at, 0o666); err != nil {
		t.Fatal(err)
	}
	if _, hits := openCached(t, dir, caches); hits != -1 {
		t.Error("a file that anybody may write is used")
	}
	if err := os.Remove(at); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(at, 0o700); err != nil {
		t.Fatal(err)
	}
	got, _ = openCached(t, dir, caches)
	sameBook(t, "a folder in its place", got, want)
}

// Without a place to write, and with many at once, the answers are the same.
func TestCacheNeedsNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "book")
	writeMade(t, dir, rand.New(rand.NewPCG(6, 6)), 30)
	want := plain(t, dir)
	inTheWay := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(inTheWay, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	got, hits := openCached(t, dir, filepath.Join(inTheWay, "cache"))
	if sameBook(t, "nowhere to write", got, want); hits != -1 {
		t.Error("from where?")
	}
	caches := t.TempDir()
	var wg sync.WaitGroup
	for range 6 {
		wg.Go(func() {
			for range 5 {
				got, _ := openCached(t, dir, caches)
				if got.Fingerprint() != want.Fingerprint() || len(got.Recipes) != len(want.Recipes) {
					t.Error("another book")
				}
			}
		})
	}
	wg.Wait()
	got, hits = openCached(t, dir, caches)
	if sameBook(t, "after many", got, want); hits != 30 {
		t.Errorf("%d files from the cache", hits)
	}
	if left, err := filepath.Glob(filepath.Join(caches, "*")); err != nil || len(left) != 1 {
		t.Errorf("left behind: %v %v", left, err)
	}
	if s, err := os.ReadDir(filepath.Join(dir, dataDir)); err == nil {
		t.Errorf("something was written into the book: %v", s)
	}
}

// The folder of caches does not grow without end.
func TestCachesAreBounded(t *testing.T) {
	caches := t.TempDir()
	stale := filepath.Join(caches, cacheNew+"123")
	strange := filepath.Join(caches, "mine.txt")
	long := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, p := range []string{stale, strange} {
		if err := os.WriteFile(p, nil, 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(p, long, long); err != nil {
			t.Fatal(err)
		}
	}
	for i := range mostCaches + 4 {
		dir := filepath.Join(t.TempDir(), fmt.Sprint("book", i))
		writeMade(t, dir, rand.New(rand.NewPCG(uint64(i), 6)), 3)
		openCached(t, dir, caches)
	}
	left, err := filepath.Glob(filepath.Join(caches, "*"+cacheSuffix))
	if err != nil || len(left) != mostCaches {
		t.Errorf("%d caches are left, %v", len(left), err)
	}
	if _, err := os.Stat(stale); err == nil {
		t.Error("what a process left is still there")
	}
	if _, err := os.Stat(strange); err != nil {
		t.Error("somebody's own file is gone")
	}
}

func FuzzCache(f *testing.F) {
	const key = "k"
	packed, ok := recipe.Pack("recipes/a.yaml", quantity.Metric, &recipe.Recipe{Name: "tart"}, nil)
	if !ok {
		f.Fatal("cannot be packed")
	}
	f.Add(encodeCache(key, &compiled{records: map[string]record{"recipes/a.yaml": {packed: string(packed)}, "recipes/b.yaml": {packed: "x"}}}), false)
	f.Add([]byte(cacheMagic), true)
	f.Fuzz(func(t *testing.T, data []byte, sealed bool) {
		if sealed { // so that what is behind the checksum is read too
			head := encodeCache(key, &compiled{})
			data = seal(append(head[:len(head)-33:len(head)-33], data...))
		}
		k := decodeCache(string(data), key)
		if k == nil {
			return
		}
		for p, r := range k.records {
			b := &blob{path: p, content: "recipe: a\n", sum: r.sum}
			b.parse(k.spoons, k, recipe.NewUnpacker(k.spoons))
		}
		if again := decodeCache(string(encodeCache(key, k)), key); again == nil || !maps.Equal(again.records, k.records) {
			t.Fatal("written again it is another")
		}
	})
}

func TestLoadHasNoCache(t *testing.T) {
	if _, err := Load(context.Background(), demoFS()); err != nil {
		t.Fatal(err)
	}
	d, err := OpenDemo(t.Context(), Home)
	if err != nil {
		t.Fatal(err)
	}
	if err := d.SaveCache(); err != nil {
		t.Error(err)
	}
}
