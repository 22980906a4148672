package store

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"tamis/kb/recipe"
)

// A folder of more than a book can hold is cut off where it is too much, and it is said.
func TestTooLargeBook(t *testing.T) {
	fsys := fstest.MapFS{}
	for i := range 20 {
		fsys[fmt.Sprintf("recipes/%02d.yaml", i)] = &fstest.MapFile{Data: []byte(strings.Repeat("#", 100))}
	}
	for _, c := range []struct {
		most  int64
		files int
		said  bool
	}{{2000, 20, false}, {1999, 19, true}, {950, 9, true}} {
		l := &loader{fsys: fsys, most: c.most}
		files := l.readAll(t.Context(), l.recipes())
		said := len(l.faults) == 1 && l.faults[0].Code == CodeBookSize && l.faults[0].Level == recipe.LevelFault
		if len(files) != c.files || said != c.said {
			t.Errorf("of %d bytes: %d files, faults %v", c.most, len(files), l.faults)
		}
	}
}
