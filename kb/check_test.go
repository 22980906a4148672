package kb_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"

	"tamis/kb"
	"tamis/kb/store"
)

var update = flag.Bool("update", false, "write the want parts of testdata/check anew")

// TestCheck compares what `book check` has to say about small books with what
// their archives want: faults, warnings, and which recipes are in and out.
func TestCheck(t *testing.T) {
	files, err := filepath.Glob("testdata/check/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no archives", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			last := len(a.Files) - 1
			if a.Files[last].Name != "want" {
				t.Fatal("the last file must be want")
			}
			fsys := fstest.MapFS{}
			for _, f := range a.Files[:last] {
				fsys[f.Name] = &fstest.MapFile{Data: f.Data, Mode: 0o644}
			}
			got := checkLines(load(t, fsys))
			if *update {
				a.Files[last].Data = []byte(got)
				if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if d := cmp.Diff(string(a.Files[last].Data), got); d != "" {
				t.Errorf("want (-) and got (+):\n%s", d)
			}
		})
	}
}

func load(t testing.TB, fsys fstest.MapFS) *kb.Snapshot {
	t.Helper()
	s, err := store.Load(context.Background(), fsys)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func checkLines(s *kb.Snapshot) string {
	var b strings.Builder
	for _, f := range s.Faults {
		fmt.Fprintf(&b, "%s [%s] %s\n", f.Level, f.Code, f)
	}
	for _, f := range s.Warnings {
		fmt.Fprintf(&b, "%s [%s] %s\n", f.Level, f.Code, f)
	}
	for _, r := range s.Recipes {
		mass := "?"
		if r.HasFinished {
			mass = r.Finished.String()
		}
		fmt.Fprintf(&b, "in: %s, %s g\n", r.Name, mass)
	}
	for _, o := range s.Out {
		fmt.Fprintf(&b, "out: %s, %d faults\n", o.Name, len(o.Faults))
	}
	return b.String()
}

// book makes a book's files of "path\ncontent" texts.
func book(files ...string) fstest.MapFS {
	fsys := fstest.MapFS{}
	for _, f := range files {
		path, content, _ := strings.Cut(f, "\n")
		fsys[path] = &fstest.MapFile{Data: []byte(content), Mode: 0o644}
	}
	return fsys
}
