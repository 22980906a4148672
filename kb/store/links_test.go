//go:build unix

package store_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"tamis/kb/store"
)

// Links are followed inside the folder, to plain files; never out of it.
func TestLinks(t *testing.T) {
	dir, outside := t.TempDir(), t.TempDir()
	write(t, outside, "secret.yaml", "recipe: secret\n"+water)
	write(t, dir, "house.yaml", "house: Lodehavn\n")
	write(t, dir, "recipes/a.yaml", "recipe: a\n"+water)
	write(t, dir, "more/b.yaml", "recipe: b\n"+water)
	for link, to := range map[string]string{
		"recipes/b.yaml":       "../more/b.yaml",
		"recipes/out.yaml":     filepath.Join(outside, "secret.yaml"),
		"recipes/up.yaml":      "../../" + filepath.Base(outside) + "/secret.yaml",
		"recipes/nowhere.yaml": "gone.yaml",
		"recipes/loop.yaml":    "loop.yaml",
		"recipes/more":         "../more",
		"recipes/outside":      outside,
	} {
		if err := os.Symlink(to, filepath.Join(dir, filepath.FromSlash(link))); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Mkfifo(filepath.Join(dir, "recipes", "pipe.yaml"), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := store.OpenFolder(t.Context(), store.Home, dir)
	if err != nil {
		t.Fatal(err)
	}
	s, _ := f.Head(t.Context(), store.Home)
	if got := recipeNames(s); got != "a, b" {
		t.Errorf("recipes: %s", got)
	}
	var faulty, warned []string
	for _, f := range s.Faults {
		if f.Code == store.CodeUnreadable {
			faulty = append(faulty, f.File)
		}
		if strings.Contains(f.String(), outside) {
			t.Errorf("a fault tells where the link leads: %s", f)
		}
	}
	for _, f := range s.Warnings {
		if f.Code == store.CodeUnreadable {
			warned = append(warned, f.File)
		}
	}
	want := []string{"recipes/loop.yaml", "recipes/nowhere.yaml", "recipes/out.yaml", "recipes/pipe.yaml", "recipes/up.yaml"}
	if !slices.Equal(faulty, want) || !slices.Equal(warned, []string{"recipes/more"}) {
		t.Errorf("faults: %v\nwarnings: %v", faulty, warned)
	}
}
