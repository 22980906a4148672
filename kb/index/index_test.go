package index_test

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/kb/index"
	"tamis/kb/index/internal/made"
	"tamis/kb/name"
)

// Recipes that are equally near stand in order of name, also where the list is cut.
func TestEqualInOrderOfName(t *testing.T) {
	var all []string
	for _, a := range "dacbfe" {
		for _, b := range "zyx" {
			all = append(all, "tart "+string(a)+string(b))
		}
	}
	x := index.New(book("1", all...))
	defer x.Close()
	slices.Sort(all)
	for _, n := range []int{1, 5, 18, 1000} {
		if d := cmp.Diff(all[:min(n, len(all))], names(search(t, x, "tarts", n))); d != "" {
			t.Errorf("%d (-want +got):\n%s", n, d)
		}
	}
	if hits := search(t, x, "tart", 0); len(hits) != 0 {
		t.Errorf("none wanted, %d given", len(hits))
	}
	if hits := search(t, x, "tart", -1); len(hits) != 0 {
		t.Errorf("none wanted, %d given", len(hits))
	}
}

// A title says more than an alias, an alias more than an ingredient; the method
// only raises.
func TestFieldsInOrder(t *testing.T) {
	x := index.New(load(t, "testdata/order/book"))
	defer x.Close()
	want := []string{"sorrel", "green sauce", "brown sauce", "white sauce"} // the brown one's method says it too
	if d := cmp.Diff(want, names(search(t, x, "sorrel", 9))); d != "" {
		t.Error(d)
	}
}

func TestEmptyBook(t *testing.T) {
	x := index.New(book("1"))
	defer x.Close()
	if hits := search(t, x, "pear tart", 5); len(hits) != 0 {
		t.Error(names(hits))
	}
}

// Each recipe is the first that its name finds.
func TestNameFindsRecipe(t *testing.T) {
	s := madeBook(t, 300)
	x := index.New(s)
	defer x.Close()
	for _, r := range s.Recipes {
		for _, text := range []string{r.Name, strings.ToUpper(r.Name), "where is " + r.Name + "?"} {
			if hits := search(t, x, text, 3); len(hits) == 0 || hits[0].Recipe != r {
				t.Fatalf("%q finds %q first", text, names(hits))
			}
		}
	}
}

// A recipe is found though one word of its name has a letter wrong, as far as the
// word is not another one of the book.
func TestTypoFindsRecipe(t *testing.T) {
	s := madeBook(t, 300)
	x := index.New(s)
	defer x.Close()
	words := map[string]bool{}
	for _, r := range s.Recipes {
		for _, w := range name.Words(r.Name + " " + strings.Join(r.Also, " ")) {
			words[w] = true
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(s.Recipes).Draw(t, "recipe")
		ws := strings.Fields(r.Name)
		i := rapid.IntRange(0, len(ws)-1).Draw(t, "word")
		w := []byte(ws[i])
		k := rapid.IntRange(1, len(w)-1).Draw(t, "letter")
		switch rapid.IntRange(0, 3).Draw(t, "typo") {
		case 0:
			w = slices.Delete(w, k, k+1)
		case 1:
			w[k] = 'x'
		case 2:
			w = slices.Insert(w, k, 'x')
		default:
			if k > 1 {
				w[k-1], w[k] = w[k], w[k-1]
			}
		}
		typed := name.Fold(string(w))
		if len(typed) < 5 || words[typed] || s.Larder.Find(typed) != nil {
			t.Skip("too short, or a word itself")
		}
		ws[i] = string(w)
		text := strings.Join(ws, " ")
		hits, err := x.Search(context.Background(), text, 10)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(hits, func(h index.Hit) bool { return h.Recipe == r }) {
			t.Fatalf("%q finds %q", text, names(hits))
		}
	})
}

// A word that the caller knows is never read as another.
func TestKnownWords(t *testing.T) {
	s := book("1", "rich butterscotch", "mustard seed")
	for _, c := range []struct {
		text  string
		known bool
		want  []string
	}{
		{"butterscotsh", false, []string{"rich butterscotch"}},
		{"butterscotsh", true, []string{}},
		{"buttersc", false, []string{"rich butterscotch"}},
		{"buttersc", true, []string{}},
	} {
		x := index.New(s, index.Known(func(w string) bool { return c.known && w == name.Fold(c.text) }))
		if d := cmp.Diff(c.want, names(search(t, x, c.text, 5))); d != "" {
			t.Errorf("%q, known %t (-want +got):\n%s", c.text, c.known, d)
		}
		x.Close()
	}
}

// Searches wait for the build as long as their context, and no longer.
func TestSearchWaitsForBuild(t *testing.T) {
	s := madeBook(t, 1500)
	x := index.New(s)
	defer x.Close()
	ctx, cancel := context.WithCancel(t.Context())
	waits := make(chan error)
	go func() {
		_, err := x.Search(ctx, "pear", 1)
		waits <- err
	}()
	cancel()
	if err := <-waits; err != nil && !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want the context's error", err)
	}
	if _, err := x.Search(ctx, "pear", 1); !errors.Is(err, context.Canceled) {
		t.Errorf("%v, want the context's error", err)
	}
	if hits := search(t, x, "pear", 1); len(hits) != 1 {
		t.Error("nothing found after the build")
	}
}

func TestClose(t *testing.T) {
	s := madeBook(t, 300)
	never := index.New(s)
	building := index.New(s)
	building.Start()
	built := index.New(s)
	search(t, built, "pear", 1)
	for what, x := range map[string]*index.Index{"never begun": never, "building": building, "built": built} {
		for range 2 {
			if err := x.Close(); err != nil {
				t.Errorf("%s: %v", what, err)
			}
		}
		if _, err := x.Search(t.Context(), "pear", 1); !errors.Is(err, index.ErrClosed) {
			t.Errorf("%s: %v, want ErrClosed", what, err)
		}
		if x.OnDisk() {
			t.Errorf("%s: still on disk", what)
		}
	}
}

// Many ask at once, while it is built and while it is closed.
func TestManyAtOnce(t *testing.T) {
	x := index.New(madeBook(t, 300))
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for k := range 20 {
				hits, err := x.Search(t.Context(), "something with pear and walnut", 5)
				if err != nil && !errors.Is(err, index.ErrClosed) {
					t.Error(err)
				}
				if err == nil && len(hits) == 0 {
					t.Error("nothing found")
				}
				if i == 7 && k == 15 {
					x.Close()
				}
			}
		})
	}
	wg.Wait()
}

// Building again gives the same hits with the same scores.
func TestSameAgain(t *testing.T) {
	s := madeBook(t, 300)
	a, b := index.New(s), index.New(s)
	defer a.Close()
	defer b.Close()
	for _, r := range made.Recipes(60) {
		for _, text := range []string{r.Name, made.Mistyped(r), strings.Join(r.Ingredients[:2], " and "), r.Notes} {
			x, y := search(t, a, text, 10), search(t, b, text, 10)
			if d := cmp.Diff(scored(x), scored(y)); d != "" {
				t.Fatalf("%q:\n%s", text, d)
			}
		}
	}
}

type hitScore struct {
	Name  string
	Score float64
}

func scored(hits []index.Hit) []hitScore {
	var out []hitScore
	for _, h := range hits {
		out = append(out, hitScore{h.Recipe.Name, h.Score})
	}
	return out
}

const signs = `+-~*?^"\/:()[]{}<>=&|!`

// Whatever is asked: no panic, no more than n, best first, and signs are no
// query language.
func FuzzSearch(f *testing.F) {
	for _, s := range []string{
		"", "brown butter ice cream", "sorrle sorbet", "title:pear^8 +sorbet -walnut", `"pear sorbet"~2`, "/pe.r/", "pe*", "(pear", `\`,
		"crème brûlée", "CRE\u0301ME", "œuf", "梨のタルト", "\x00\xff\xfe", "pear\u200bsorbet", "35 %", "½ l", strings.Repeat("pear ", 3000), strings.Repeat("é", 5000),
		"something with pear and walnut", "icecream", "walnut short bread", "a.b:c_d", "1.5 kg",
	} {
		f.Add(s)
	}
	s := load(f, "testdata/search/names/book")
	x := index.New(s)
	f.Cleanup(func() { x.Close() })
	f.Fuzz(func(t *testing.T, text string) {
		hits := search(t, x, text, 4)
		if len(hits) > 4 {
			t.Fatalf("%d hits", len(hits))
		}
		for i, h := range hits {
			if i > 0 && (h.Score > hits[i-1].Score || h.Score == hits[i-1].Score && slices.Index(s.Recipes, h.Recipe) < slices.Index(s.Recipes, hits[i-1].Recipe)) {
				t.Fatalf("out of order: %v", scored(hits))
			}
			if len(h.Matched) == 0 || !(h.Score > 0) {
				t.Fatalf("%q is no hit: %v", h.Recipe.Name, h)
			}
			for _, c := range h.Corrected {
				if !slices.Contains(h.Matched, c.From) || utf8.RuneCountInString(c.From) < 4 || c.To == "" {
					t.Fatalf("corrected %v of %q", c, h.Matched)
				}
			}
		}
		plain := strings.Map(func(r rune) rune {
			if strings.ContainsRune(signs, r) {
				return ' '
			}
			return r
		}, text)
		if d := cmp.Diff(scored(hits), scored(search(t, x, plain, 4))); d != "" {
			t.Fatalf("signs change what is found:\n%s", d)
		}
	})
}

// Whatever a recipe is called, it can be indexed, and its name finds it.
func FuzzName(f *testing.F) {
	for _, s := range []string{"pear tart", "Crème brûlée", "x", "no. 2", "35 %", "chef's jus", "梨のタルト", "a/b", "und", "\u0301", "2", "ice-cream 2.0 (new)"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if strings.Contains(text, "/") || len(text) > 200 {
			t.Skip()
		}
		s := book("1", text, "brown butter")
		x := index.New(s)
		defer x.Close()
		hits := search(t, x, text, 2)
		if r, ok := s.RecipeNamed(text); ok && utf8.ValidString(text) && letters(text) {
			if len(hits) == 0 || hits[0].Recipe != r {
				t.Fatalf("%q finds %q", text, names(hits))
			}
		}
	})
}

// letters reports whether all of the name's words are of the Latin alphabet and
// one of them is long enough to be looked for.
func letters(text string) bool {
	long := false
	for _, w := range name.Words(text) {
		for _, r := range w {
			if r < 'a' || r > 'z' {
				return false
			}
		}
		long = long || len(w) > 2
	}
	return long && !strings.ContainsFunc(text, func(r rune) bool { return r >= utf8.RuneSelf })
}
