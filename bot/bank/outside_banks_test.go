package bank

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestOutsideBanks asks banks over books of houses that somebody invented who had
// read the two formats and nothing of the program; what is due was worked out by
// their own scripts. They are no longer unseen: README.md beside them has what came at
// first sight.
func TestOutsideBanks(t *testing.T) {
	dir := filepath.Join(root, "testdata", "outside")
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	banks := 0
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		banks++
		t.Run(e.Name(), func(t *testing.T) {
			sum, report := askOutside(t, filepath.Join(dir, e.Name()))
			t.Logf("%s\n%s", sum, report)
			if sum.asked < 250 || sum.wrong > 0 || sum.share() < 95 || float64(sum.over) > 0.01*float64(sum.asked) {
				t.Errorf("wants no wrong number, 95 %% right, at most 1 %% overconfident")
			}
		})
	}
	if banks < 6 {
		t.Errorf("%d banks", banks)
	}
}

func askOutside(t *testing.T, dir string) (sum tally, report string) {
	t.Helper()
	qs := readQuestions(t, filepath.Join(dir, "questions.jsonl"))
	copied := filepath.Join(t.TempDir(), "book") // a change that is agreed to is written
	if err := os.CopyFS(copied, os.DirFS(filepath.Join(dir, "book"))); err != nil {
		t.Fatal(err)
	}
	b := openBook(t, copied)
	var in []asked
	for _, q := range qs {
		in = append(in, q.line())
	}
	var w strings.Builder
	for i, r := range talk(t, copied, in) {
		v, why := judge(qs[i], r, b.spoons)
		sum.add(v)
		if v != right {
			fmt.Fprintf(&w, "%s\n", result{filepath.Base(dir), qs[i], r, v, why})
		}
	}
	return sum, w.String()
}

// readQuestions reads a file of questions, one a line.
func readQuestions(t testing.TB, path string) []question {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []question
	sc := bufio.NewScanner(f)
	sc.Buffer(nil, 1<<20)
	for sc.Scan() {
		var q question
		if err := json.Unmarshal(sc.Bytes(), &q); err != nil {
			t.Fatalf("%s, line %d: %v", path, len(out)+1, err)
		}
		out = append(out, q)
	}
	if err := sc.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}
