package bank

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

// testBooks are the three books the bank asks about.
var testBooks = []string{"fjordkro", "tidewater", "kornhuset"}

func bookDir(name string) string {
	if name == "demo" {
		return filepath.Join(root, "kb", "store", "demo")
	}
	return filepath.Join(root, "testdata", "books", name)
}

func openBook(t testing.TB, dir string) *book {
	t.Helper()
	b, err := readBook(dir)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// result is a question with what came back.
type result struct {
	book    string
	q       question
	r       reply
	verdict verdict
	why     string
}

func askBank(t testing.TB, name, dir string, qs []question) []result {
	t.Helper()
	b := openBook(t, dir)
	names := b.names()
	var in []asked
	for _, q := range qs {
		in = append(in, q.line())
	}
	var out []result
	for i, r := range conversation(t, dir, in) {
		v, why := judge(qs[i], r, b.spoons)
		if v == right {
			if loose := looseDigits(r, names); len(loose) > 0 {
				v, why = wrong, "numbers in the text that no fact carries: "+strings.Join(loose, ", ")
			}
		}
		out = append(out, result{name, qs[i], r, v, why})
	}
	return out
}

var (
	wholeMu    sync.Mutex
	wholeBanks = map[string][]result{}
)

// wholeBank is what the bank of a book got from that book, asked once for all tests.
func wholeBank(t testing.TB, name string) []result {
	t.Helper()
	wholeMu.Lock()
	defer wholeMu.Unlock()
	if wholeBanks[name] == nil {
		wholeBanks[name] = askBank(t, name, bookDir(name), bankOf(t, name))
	}
	return wholeBanks[name]
}

// tally counts verdicts.
type tally struct{ asked, right, wrong, missed, over int }

func (t *tally) add(v verdict) {
	t.asked++
	switch v {
	case right:
		t.right++
	case wrong:
		t.wrong++
	case missed:
		t.missed++
	case overconfident:
		t.over++
	}
}

func (t tally) share() float64 { return 100 * float64(t.right) / float64(max(t.asked, 1)) }

func (t tally) String() string {
	return fmt.Sprintf("asked %d, right %d (%.1f %%), wrong numbers %d, missed %d, overconfident %d", t.asked, t.right, t.share(), t.wrong, t.missed, t.over)
}

// TestBank asks the whole bank. Failures of the half to work on are told; of the held half only the count is.
func TestBank(t *testing.T) {
	var halves [2]tally
	kinds := map[string]*tally{}
	var report strings.Builder
	for _, name := range testBooks {
		for _, res := range wholeBank(t, name) {
			if kinds[res.q.Kind] == nil {
				kinds[res.q.Kind] = &tally{}
			}
			kinds[res.q.Kind].add(res.verdict)
			if res.q.held() {
				halves[1].add(res.verdict)
				continue
			}
			halves[0].add(res.verdict)
			if res.verdict != right {
				fmt.Fprintf(&report, "%s\n", res)
			}
		}
	}
	if path := os.Getenv("TAMIS_BANK_REPORT"); path != "" {
		if err := os.WriteFile(path, []byte(report.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, k := range sortedKeys(kinds) {
		t.Logf("%-10s %s", k, kinds[k])
	}
	t.Logf("work half: %s\n%s", halves[0], report.String())
	t.Logf("held half: %s", halves[1])
	for i, half := range []string{"work", "held"} {
		h := halves[i]
		if h.wrong > 0 || h.share() < 95 || float64(h.over) > 0.01*float64(h.asked) {
			t.Errorf("the %s half wants no wrong number, 95 %% right, at most 1 %% overconfident: %s", half, h)
		}
	}
}

func (res result) String() string {
	var facts []string
	for _, f := range res.r.Facts {
		facts = append(facts, f.String())
	}
	if len(facts) > 4 {
		facts = append(facts[:4], fmt.Sprintf("… %d more", len(facts)-4))
	}
	got := strings.Join(facts, "; ")
	if res.r.Status != "answer" {
		got = fmt.Sprintf("%.90q %v", res.r.Text, res.r.Choices)
	}
	return fmt.Sprintf("[%s] %s %q: %s\n    due: %s\n    got: %s %s %s", res.verdict, res.q.ID, res.q.Text, res.why, res.q.Why, res.r.Status, res.r.Recipe, got)
}

func sortedKeys[V any](m map[string]V) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
