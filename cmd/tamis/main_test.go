package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "rewrite the replies in the scripts, README.md and docs")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tamis": main})
}

// TestScripts runs the stories under testdata/script, each a small day of a
// kitchen: files, commands, and what must come back. TAMIS_SCRIPT_BIN names the
// program to run in place of the one inside this test.
func TestScripts(t *testing.T) {
	built := os.Getenv("TAMIS_SCRIPT_BIN")
	if built != "" {
		if _, err := os.Stat(built); err != nil {
			t.Fatal(err)
		}
	}
	as := newAskers(t)
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", filepath.Join(e.WorkDir, ".home")) // each its own, root too
			if built != "" {
				e.Setenv("PATH", filepath.Dir(built)+string(filepath.ListSeparator)+e.Getenv("PATH"))
			}
			books, err := filepath.Abs("../../testdata/books") // the houses of the bank
			e.Setenv("BOOKS", books)
			return err
		},
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"exits": exits, "asked": as.asked,
			"lines": lines, "killed": killed, "served": served, "eventually": eventually,
		},
	})
}

// exits runs a command and wants its exit code: exits 4 tamis ask "sorbet".
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARG…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	err = ts.Exec(args[1], args[2:]...)
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// lines reads the JSON lines of the last command, holds them against the answer
// format, and puts what they state in place of them: a line each and its facts below.
func lines(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) > 0 {
		ts.Fatalf("usage: lines")
	}
	var out bytes.Buffer
	for n, l := range strings.Split(strings.TrimSuffix(ts.ReadFile("stdout"), "\n"), "\n") {
		if err := short(&out, l); err != nil {
			ts.Fatalf("line %d: %v\n%s", n+1, err, l)
		}
	}
	_, err := ts.Stdout().Write(out.Bytes())
	ts.Check(err)
}

// jsonLine is a line out. Pointers tell a missing field from an empty one.
type jsonLine struct {
	Status   string      `json:"status"`
	About    string      `json:"about"`
	Recipe   string      `json:"recipe"`
	Revision *int        `json:"revision"`
	Facts    *[]jsonFact `json:"facts"`
	Text     *string     `json:"text"`
	Words    *[]string   `json:"words"`
	Assumed  *[]string   `json:"assumed"`
	Cautions *[]struct {
		Code string `json:"code"`
		Text string `json:"text"`
	} `json:"cautions"`
	Ask     *string   `json:"ask"`
	Choices *[]string `json:"choices"`
}

type jsonFact struct {
	What   string          `json:"what"`
	Value  json.RawMessage `json:"value"`
	Unit   string          `json:"unit"`
	Items  *[]string       `json:"items"`
	Shown  string          `json:"shown"`
	Min    *float64        `json:"min"`
	Max    *float64        `json:"max"`
	Never  *float64        `json:"never"`
	Was    *float64        `json:"was"`
	Plus   *float64        `json:"plus_minus"`
	Of     string          `json:"of"`
	Part   string          `json:"part"`
	At     string          `json:"at"`
	How    string          `json:"how"`
	From   string          `json:"from"`
	Source string          `json:"source"`
}

var (
	statuses = []string{"answer", "ask", "unknown", "refused", "error"}
	abouts   = []string{"lookup", "scale", "reduce", "convert", "swap", "rescue", "balance", "gel", "time", "timer", "plan", "prep", "order", "stock",
		"plating", "cost", "allergen", "diet", "safety", "log", "history", "change", "card", "help", "talk"}
)

// short writes what one line states; an error where it breaks the answer format.
func short(out *bytes.Buffer, line string) error {
	var l jsonLine
	d := json.NewDecoder(strings.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(&l); err != nil {
		return err
	}
	switch {
	case d.More():
		return errors.New("more than one object")
	case !slices.Contains(statuses, l.Status):
		return fmt.Errorf("status %q", l.Status)
	case !slices.Contains(abouts, l.About):
		return fmt.Errorf("about %q", l.About)
	case l.Facts == nil || l.Text == nil || l.Words == nil || l.Assumed == nil || l.Cautions == nil || l.Ask == nil || l.Choices == nil:
		return errors.New("a field is missing")
	case *l.Text == "":
		return errors.New("no text")
	case (l.Recipe == "") != (l.Revision == nil):
		return errors.New("recipe and revision go together")
	case (l.Status == "ask") != (*l.Ask != ""):
		return errors.New("status ask and a question back go together")
	case l.Status == "refused" && (l.About == "safety" || l.About == "time"): // the rule, or the method's limit, has figures
		for _, f := range *l.Facts {
			if f.From != "reference" && f.From != "book" && f.From != "house" && !(f.From == "calculated" && l.About == "time") {
				return fmt.Errorf("refused, and yet %s is from %s", f.What, f.From)
			}
		}
	case l.Status != "answer" && l.Status != "ask" && len(*l.Facts) > 0:
		return errors.New("facts without an answer")
	}
	fmt.Fprintf(out, "%s %s", l.Status, l.About)
	if l.Recipe != "" {
		fmt.Fprintf(out, ", %s rev %d", l.Recipe, *l.Revision)
	}
	for _, s := range []struct {
		name string
		list []string
	}{{"assumed", *l.Assumed}, {"words", *l.Words}, {"choices", *l.Choices}} {
		if len(s.list) > 0 {
			fmt.Fprintf(out, ", %s [%s]", s.name, strings.Join(s.list, " | "))
		}
	}
	for _, c := range *l.Cautions {
		if c.Code == "" || c.Text == "" {
			return fmt.Errorf("caution %+v", c)
		}
		fmt.Fprintf(out, ", caution %s", c.Code)
	}
	out.WriteByte('\n')
	for _, f := range *l.Facts {
		if err := f.write(out, *l.Text); err != nil {
			return err
		}
	}
	return nil
}

func (f jsonFact) write(out *bytes.Buffer, text string) error {
	fmt.Fprintf(out, "  %s", f.What)
	bounds := f.Min != nil || f.Max != nil || f.Never != nil
	switch {
	case f.What == "":
		return errors.New("a fact without a name")
	case f.Items != nil && (len(f.Value) > 0 || bounds):
		return fmt.Errorf("%s: items and numbers", f.What)
	case f.Items == nil && len(f.Value) == 0 && !bounds:
		return fmt.Errorf("%s: no value", f.What)
	case f.Items == nil && f.Unit == "" && f.What != "factor": // the one pure number
		return fmt.Errorf("%s: no unit", f.What)
	case f.From == "":
		return fmt.Errorf("%s: from nowhere", f.What)
	case f.Shown != "" && f.Items == nil && !strings.Contains(text, f.Shown):
		return fmt.Errorf("%s: shown %q, but not in the text", f.What, f.Shown)
	}
	if f.Items != nil {
		fmt.Fprintf(out, " = [%s]", strings.Join(*f.Items, " | "))
	}
	if len(f.Value) > 0 {
		var at time.Time
		var n float64
		if f.Unit == "time" {
			if err := json.Unmarshal(f.Value, &at); err != nil {
				return fmt.Errorf("%s: %w", f.What, err)
			}
			fmt.Fprintf(out, " = %s", at.Format(time.RFC3339))
		} else {
			if err := json.Unmarshal(f.Value, &n); err != nil {
				return fmt.Errorf("%s: %w", f.What, err)
			}
			fmt.Fprintf(out, " = %s", f.Value)
		}
	}
	for _, b := range []struct {
		name string
		n    *float64
	}{{"min", f.Min}, {"max", f.Max}, {"never", f.Never}, {"was", f.Was}, {"plus or minus", f.Plus}} {
		if b.n != nil {
			fmt.Fprintf(out, " %s %s", b.name, strconv.FormatFloat(*b.n, 'g', -1, 64))
		}
	}
	if f.Unit != "" && f.Unit != "time" {
		fmt.Fprintf(out, " %s", f.Unit)
	}
	for _, s := range []struct{ name, text string }{{"of", f.Of}, {"part", f.Part}, {"at", f.At}, {"how", f.How}, {"from", f.From}} {
		if s.text != "" {
			fmt.Fprintf(out, ", %s %s", s.name, s.text)
		}
	}
	out.WriteByte('\n')
	return nil
}
