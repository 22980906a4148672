package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// askers are programs that answer one line after the other, one for each book,
// for scripts that only ask: a start for each question would be most of the time.
type askers struct {
	mu   sync.Mutex
	dir  string
	of   map[string]*asker
	next int
}

type asker struct {
	in  io.WriteCloser
	out *bufio.Reader
}

func newAskers(t *testing.T) *askers {
	as := &askers{dir: t.TempDir(), of: map[string]*asker{}}
	t.Cleanup(func() {
		as.mu.Lock()
		defer as.mu.Unlock()
		for _, a := range as.of {
			_ = a.in.Close() // it ends with its input
		}
	})
	return as
}

// asked is a question of its own to the built program, as "exec tamis ask" puts
// it: asked [--now T] [--json] [--book DIR] QUESTION. It fails where it is not answered.
func (as *askers) asked(ts *testscript.TestScript, neg bool, args []string) {
	var now, book string
	asJSON := false
	for len(args) > 1 {
		switch {
		case args[0] == "--json":
			asJSON, args = true, args[1:]
		case args[0] == "--now" && len(args) > 2:
			now, args = args[1], args[2:]
		case args[0] == "--book" && len(args) > 2:
			book, args = ts.MkAbs(args[1]), args[2:]
		default:
			ts.Fatalf("usage: asked [--now T] [--json] [--book DIR] QUESTION")
		}
	}
	if len(args) != 1 {
		ts.Fatalf("usage: asked [--now T] [--json] [--book DIR] QUESTION")
	}
	line, err := as.line(ts, book, now, args[0])
	ts.Check(err)
	var got struct{ Status, Text string }
	ts.Check(json.Unmarshal(line, &got))
	out := got.Text + "\n"
	if asJSON {
		out = string(line)
	}
	_, err = io.WriteString(ts.Stdout(), out)
	ts.Check(err)
	if answered := asJSON || got.Status == "answer"; answered == neg {
		ts.Fatalf("status %q:\n%s", got.Status, got.Text)
	}
}

func (as *askers) line(ts *testscript.TestScript, book, now, text string) ([]byte, error) {
	as.mu.Lock()
	defer as.mu.Unlock()
	a := as.of[book]
	if a == nil {
		var err error
		if a, err = as.start(ts, book); err != nil {
			return nil, err
		}
		as.of[book] = a
	}
	as.next++
	q := map[string]string{"text": text, "role": "owner", "channel": fmt.Sprint("script ", as.next)}
	if now != "" {
		q["now"] = now
	}
	b, err := json.Marshal(q)
	if err != nil {
		return nil, err
	}
	if _, err := a.in.Write(append(b, '\n')); err != nil {
		return nil, err
	}
	return a.out.ReadBytes('\n')
}

func (as *askers) start(ts *testscript.TestScript, book string) (*asker, error) {
	bin := "tamis"
	for _, d := range filepath.SplitList(ts.Getenv("PATH")) {
		if p := filepath.Join(d, bin); isFile(p) {
			bin = p
			break
		}
	}
	args := []string{"ask", "--json", "-"}
	if book != "" {
		args = append(args, "--book", book)
	}
	c := exec.Command(bin, args...)
	home := as.dir
	if book != "" {
		home = ts.Getenv("HOME")
	}
	c.Env = append(os.Environ(), "HOME="+home)
	c.Stderr = os.Stderr
	in, err := c.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := c.StdoutPipe()
	if err != nil {
		return nil, err
	}
	if err := c.Start(); err != nil {
		return nil, err
	}
	if book != "" { // the folder goes when the script is over
		ts.Defer(func() {
			as.mu.Lock()
			defer as.mu.Unlock()
			delete(as.of, book)
			_ = in.Close()
			if err := c.Wait(); err != nil {
				ts.Logf("%v", err)
			}
		})
	}
	return &asker{in: in, out: bufio.NewReader(out)}, nil
}

func isFile(p string) bool {
	s, err := os.Stat(p)
	return err == nil && s.Mode().IsRegular()
}
