package main

import (
	"bytes"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// killed talks to a program and kills it, without a warning, as soon as it has
// written a word: killed LINES WORD tamis chat …. What it wrote is stdout.
func killed(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 3 {
		ts.Fatalf("usage: killed LINES WORD PROGRAM ARG…")
	}
	path := ""
	for _, dir := range filepath.SplitList(ts.Getenv("PATH")) {
		if p, err := exec.LookPath(filepath.Join(dir, args[2])); err == nil {
			path = p
			break
		}
	}
	c := exec.Command(path, args[3:]...)
	for _, name := range []string{"PATH", "HOME", "TMPDIR", "WORK", "TAMIS_DATA", "TAMIS_BOOK"} {
		c.Env = append(c.Env, name+"="+ts.Getenv(name))
	}
	c.Dir = ts.MkAbs(".")
	in, err := c.StdinPipe()
	ts.Check(err)
	out := &watched{word: args[1], met: make(chan struct{})}
	c.Stdout, c.Stderr = out, ts.Stderr()
	ts.Check(c.Start())
	_, err = io.WriteString(in, ts.ReadFile(args[0]))
	ts.Check(err)
	select { // its input stays open: it would talk on
	case <-out.met:
	case <-time.After(30 * time.Second):
		ts.Logf("%s", out.String())
	}
	ts.Check(c.Process.Kill())
	_ = c.Wait() // it was killed
	said := out.String()
	if !strings.Contains(said, args[1]) {
		ts.Fatalf("%q was not written before the kill:\n%s", args[1], said)
	}
	_, err = io.WriteString(ts.Stdout(), said)
	ts.Check(err)
}

// watched is written to until a word has come.
type watched struct {
	mu   sync.Mutex
	b    bytes.Buffer
	word string
	met  chan struct{}
	done bool
}

func (w *watched) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.b.Write(p)
	if !w.done && strings.Contains(w.b.String(), w.word) {
		w.done = true
		close(w.met)
	}
	return len(p), nil
}

func (w *watched) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.b.String()
}
