package calc_test

import (
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var sourceID = regexp.MustCompile(`\bS-[0-9]{3}\b`)

type source struct{ id, status, what, from string }

func sources(t *testing.T) []source {
	t.Helper()
	text, err := os.ReadFile("SOURCES.md")
	if err != nil {
		t.Fatal(err)
	}
	var out []source
	for line := range strings.Lines(string(text)) {
		if !strings.HasPrefix(line, "| S-") {
			continue
		}
		cells := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(cells) != 4 {
			t.Fatalf("a row of %d cells: %s", len(cells), line)
		}
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		out = append(out, source{cells[0], cells[1], cells[2], cells[3]})
	}
	return out
}

// cited collects the numbers that code and data name; tests and this list do not count.
func cited(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	err := fs.WalkDir(os.DirFS("."), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasSuffix(path, "_test.go") || !strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, ".csv") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, id := range sourceID.FindAllString(string(text), -1) {
			out[id] = append(out[id], path)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// No number without a row, no row without a use, and every row says what, from where and how it is known.
func TestSources(t *testing.T) {
	named := cited(t)
	if len(named) == 0 {
		t.Fatal("nothing names a source")
	}
	known := map[string]bool{}
	for _, s := range sources(t) {
		if known[s.id] {
			t.Errorf("%s has two rows", s.id)
		}
		known[s.id] = true
		if !slices.Contains([]string{"read", "memory", "practice", "ours"}, s.status) || s.what == "" || s.from == "" {
			t.Errorf("%s: status %q, what %q, source %q", s.id, s.status, s.what, s.from)
		}
		if len(named[s.id]) == 0 {
			t.Errorf("%s: nothing names it", s.id)
		}
	}
	for id, where := range named {
		if !known[id] {
			t.Errorf("%s is named in %s and has no row", id, where[0])
		}
	}
}
