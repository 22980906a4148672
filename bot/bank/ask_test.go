package bank

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
)

// asked is one line in.
type asked struct {
	Text    string `json:"text"`
	Who     string `json:"who,omitempty"`
	Role    string `json:"role,omitempty"`
	Channel string `json:"channel,omitempty"`
	Now     string `json:"now,omitempty"`
}

// reply is one line out, with what a check needs of it.
type reply struct {
	Status   string    `json:"status"`
	About    string    `json:"about"`
	Recipe   string    `json:"recipe"`
	Facts    []fact    `json:"facts"`
	Text     string    `json:"text"`
	Words    []string  `json:"words"`
	Assumed  []string  `json:"assumed"`
	Cautions []caution `json:"cautions"`
	Ask      string    `json:"ask"`
	Choices  []string  `json:"choices"`
}

type caution struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

type fact struct {
	What   string          `json:"what"`
	Value  json.RawMessage `json:"value"`
	Unit   string          `json:"unit"`
	Shown  string          `json:"shown"`
	Min    *float64        `json:"min"`
	Max    *float64        `json:"max"`
	Never  *float64        `json:"never"`
	Of     string          `json:"of"`
	Part   string          `json:"part"`
	At     string          `json:"at"`
	Was    any             `json:"was"`
	Plus   *float64        `json:"plus_minus"`
	From   string          `json:"from"`
	Source string          `json:"source"`
	How    string          `json:"how"`
	Items  []string        `json:"items"`
}

// number returns the value where it is a number.
func (f fact) number() (float64, bool) {
	var n float64
	if len(f.Value) == 0 || f.Unit == "time" || json.Unmarshal(f.Value, &n) != nil {
		return 0, false
	}
	return n, true
}

// numbers returns value, min, max and never, those that are there.
func (f fact) numbers() []float64 {
	var out []float64
	if n, ok := f.number(); ok {
		out = append(out, n)
	}
	for _, p := range []*float64{f.Min, f.Max, f.Never} {
		if p != nil {
			out = append(out, *p)
		}
	}
	return out
}

func (f fact) moment() string {
	var s string
	if f.Unit != "time" || json.Unmarshal(f.Value, &s) != nil {
		return ""
	}
	return s
}

func (f fact) String() string {
	s := f.What
	if len(f.Value) > 0 {
		s += " = " + string(f.Value)
	}
	for _, p := range []struct {
		name string
		at   *float64
	}{{"min", f.Min}, {"max", f.Max}, {"never", f.Never}} {
		if p.at != nil {
			s += fmt.Sprintf(" %s %g", p.name, *p.at)
		}
	}
	if f.Items != nil {
		s += " = [" + strings.Join(f.Items, ", ") + "]"
	}
	s += " " + f.Unit
	if f.Of != "" {
		s += " of " + f.Of
	}
	return s
}

var root = filepath.Join("..", "..")

// program builds cmd/tamis once and returns the path of it; TAMIS_BANK_BIN names a ready one.
var program = sync.OnceValues(func() (string, error) {
	if bin := os.Getenv("TAMIS_BANK_BIN"); bin != "" {
		return bin, nil
	}
	watchSources()
	dir, err := os.MkdirTemp("", "tamis-bank")
	if err != nil {
		return "", err
	}
	bin := filepath.Join(dir, "tamis")
	out, err := exec.Command("go", "build", "-o", bin, filepath.Join(root, "cmd", "tamis")).CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("%w\n%s", err, out)
	}
	return bin, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	if os.Getenv("TAMIS_BANK_BIN") == "" {
		if bin, err := program(); err == nil {
			_ = os.RemoveAll(filepath.Dir(bin))
		}
	}
	os.Exit(code)
}

// watchSources looks at every source file, so that the test cache knows what a built program was made from.
func watchSources() {
	for _, dir := range []string{"cmd", "bot", "calc", "kb", "prompts"} {
		_ = filepath.WalkDir(filepath.Join(root, dir), func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				_, _ = os.Stat(path)
			}
			return nil
		})
	}
}

// conversation is what one process answered, in order, without a change of the book.
func conversation(t testing.TB, dir string, lines []asked) []reply {
	t.Helper()
	copied := filepath.Join(t.TempDir(), "book")
	if err := os.CopyFS(copied, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	before := listing(t, copied)
	replies := talk(t, copied, lines)
	if after := listing(t, copied); !slices.Equal(before, after) {
		t.Errorf("asking changed the book: %v, before %v", after, before)
	}
	return replies
}

// talk is what one process answered, in order, for a book that it may change; a line that is no reply is a failed test.
func talk(t testing.TB, dir string, lines []asked) []reply {
	t.Helper()
	bin, err := program()
	if err != nil {
		t.Fatal(err)
	}
	var in bytes.Buffer
	enc := json.NewEncoder(&in)
	for _, l := range lines {
		if err := enc.Encode(l); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.CommandContext(t.Context(), bin, "ask", "--book", dir, "--json", "-")
	cmd.Env = slices.DeleteFunc(os.Environ(), func(e string) bool { return strings.HasPrefix(e, "TAMIS_") })
	if bounds != "" {
		cmd.Env = append(cmd.Env, "TAMIS_BOUNDS="+bounds)
	}
	cmd.Stdin = &in
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the program ended with %v after %d lines out\n%.2000s", err, bytes.Count(out, []byte("\n")), stderr.String())
	}
	var replies []reply
	sc := bufio.NewScanner(bytes.NewReader(out))
	sc.Buffer(nil, 16<<20)
	for sc.Scan() {
		var r reply
		if err := json.Unmarshal(sc.Bytes(), &r); err != nil {
			t.Fatalf("line out %d: %v\n%.500s", len(replies)+1, err, sc.Bytes())
		}
		replies = append(replies, r)
	}
	if len(replies) != len(lines) {
		t.Fatalf("%d lines in, %d lines out", len(lines), len(replies))
	}
	return replies
}

func listing(t testing.TB, dir string) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if info, err := d.Info(); err == nil && !d.IsDir() {
			out = append(out, fmt.Sprint(path, " ", info.Size(), " ", info.ModTime().UnixNano()))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
