package index_test

import (
	"bufio"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/store"
)

func load(t testing.TB, dir string) *kb.Snapshot {
	t.Helper()
	s, err := store.Load(context.Background(), os.DirFS(dir))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range s.Faults {
		t.Fatalf("%s: %s", dir, f)
	}
	return s
}

func names(hits []index.Hit) []string {
	out := []string{}
	for _, h := range hits {
		out = append(out, h.Recipe.Name)
	}
	return out
}

// asked is one line of queries.txt with the lines about it.
type asked struct {
	line    int
	text    string
	want    []string
	more    bool
	missing []string // nil: not said
	read    []index.Correction
}

func queries(t *testing.T, file string) []asked {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []asked
	in := bufio.NewScanner(f)
	for n := 1; in.Scan(); n++ {
		line := strings.TrimSpace(in.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		text, want, ok := cutLast(line, " -> ")
		if ok {
			a := asked{line: n, text: text, want: []string{}}
			want, a.more = strings.CutSuffix(want, " ...")
			if want != "-" {
				a.want = strings.Split(want, " | ")
			}
			out = append(out, a)
			continue
		}
		if len(out) == 0 {
			t.Fatalf("%s:%d: no line before", file, n)
		}
		last := &out[len(out)-1]
		if words, ok := strings.CutPrefix(line, "missing "); ok {
			last.missing = strings.Split(words, ", ")
		} else if words, ok := strings.CutPrefix(line, "read "); ok {
			from, to, _ := strings.Cut(words, " = ")
			last.read = append(last.read, index.Correction{From: from, To: to})
		} else {
			t.Fatalf("%s:%d: what is %q?", file, n, line)
		}
	}
	if len(out) == 0 {
		t.Fatalf("%s asks nothing", file)
	}
	return out
}

func cutLast(s, sep string) (before, after string, found bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return "", "", false
	}
	return s[:i], s[i+len(sep):], true
}

// The search tests are data: testdata/search/CASE/{book/,queries.txt}.
func TestSearch(t *testing.T) {
	cases, err := filepath.Glob("testdata/search/*/queries.txt")
	if err != nil || len(cases) == 0 {
		t.Fatal("no cases", err)
	}
	for _, file := range cases {
		dir := filepath.Dir(file)
		t.Run(filepath.Base(dir), func(t *testing.T) {
			x := index.New(load(t, filepath.Join(dir, "book")))
			defer x.Close()
			for _, a := range queries(t, file) {
				hits, err := x.Search(t.Context(), a.text, 10)
				if err != nil {
					t.Fatal(err)
				}
				got := names(hits)
				if a.more && len(got) > len(a.want) {
					got = got[:len(a.want)]
				}
				if d := cmp.Diff(a.want, got); d != "" {
					t.Errorf("%s:%d: %q (-want +got):\n%s", file, a.line, a.text, d)
					continue
				}
				if len(hits) == 0 {
					continue
				}
				if d := cmp.Diff(a.missing, hits[0].Missing); a.missing != nil && d != "" {
					t.Errorf("%s:%d: %q, missing (-want +got):\n%s", file, a.line, a.text, d)
				}
				if d := cmp.Diff(a.read, hits[0].Corrected); a.read != nil && d != "" {
					t.Errorf("%s:%d: %q, corrected (-want +got):\n%s", file, a.line, a.text, d)
				}
			}
		})
	}
}
