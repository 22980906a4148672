package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"tamis/bot/socket"
)

// served waits until a program keeps the book of a data folder.
func served(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: served DATA")
	}
	for range 1500 {
		c, err := socket.Dial(context.Background(), ts.MkAbs(args[0]))
		if err == nil {
			ts.Check(c.Close())
			return
		}
		time.Sleep(20 * time.Millisecond)
	}
	ts.Fatalf("nobody keeps %s", args[0])
}

// eventually runs a program until it says a word: eventually PROGRAM ARG… WORD.
func eventually(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: eventually PROGRAM ARG… WORD")
	}
	last := len(args) - 1
	for range 100 {
		if err := ts.Exec(args[0], args[1:last]...); err == nil && strings.Contains(ts.ReadFile("stdout"), args[last]) {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	ts.Fatalf("%q never came", args[last])
}

// heard is a stream that is read while it is written.
type heard struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.Write(p)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.b.String()
}

// TestHealth asks a serving program for health and metrics, on a book that it
// may write and on one that it may not.
func TestHealth(t *testing.T) {
	for _, writable := range []bool{true, false} {
		dir := filepath.Join(t.TempDir(), "book")
		if code := run(t.Context(), []string{"book", "new", dir}, strings.NewReader(""), io.Discard, io.Discard, os.Getenv); code != 0 {
			t.Fatal(code)
		}
		if !writable { // a file where the data folder would be: root heeds no rights
			if err := os.WriteFile(filepath.Join(dir, ".tamis"), nil, 0o600); err != nil {
				t.Fatal(err)
			}
		}
		ctx, stop := context.WithCancel(t.Context())
		log := &heard{}
		getenv := func(k string) string { return map[string]string{"TAMIS_LISTEN": "127.0.0.1:0", "TAMIS_BOOK": dir}[k] }
		done := make(chan int, 1)
		go func() { done <- run(ctx, []string{"serve"}, strings.NewReader(""), io.Discard, log, getenv) }()
		var at []string
		for at == nil {
			select {
			case code := <-done:
				t.Fatalf("ended with %d: %s", code, log)
			case <-time.After(10 * time.Millisecond):
				at = regexp.MustCompile(`listen=(\S+)`).FindStringSubmatch(log.String())
			}
		}
		get := func(path string) string {
			r, err := http.Get("http://" + at[1] + path)
			if err != nil {
				t.Fatal(err)
			}
			defer r.Body.Close()
			body, err := io.ReadAll(r.Body)
			if err != nil || r.StatusCode != 200 {
				t.Fatalf("%s: %d, %v", path, r.StatusCode, err)
			}
			return string(body)
		}
		var health struct {
			Status string
			Houses map[string]state
		}
		if err := json.Unmarshal([]byte(get("/health")), &health); err != nil {
			t.Fatal(err)
		}
		if h := health.Houses["home"]; health.Status != "ok" || h.Recipes < 50 || h.Writable != writable || (h.Revision == 1) != writable {
			t.Errorf("writable %v: %+v", writable, health)
		}
		if writable {
			var out bytes.Buffer
			if code := run(ctx, []string{"ask", "how much yolk for 3x ice cream base"}, strings.NewReader(""), &out, io.Discard, getenv); code != 0 {
				t.Errorf("%d: %s", code, &out)
			}
			if m := get("/metrics"); !strings.Contains(m, `tamis_answer_seconds_count{house="home",status="answer"} 1`) || !strings.Contains(m, `tamis_book_revision{house="home"} 1`) {
				t.Errorf("metrics:\n%s", m)
			}
			if strings.Contains(log.String()+get("/metrics"), "yolk") {
				t.Error("a message's words are in the log or the metrics")
			}
		} else if !strings.Contains(log.String(), "answered from memory") {
			t.Errorf("not said:\n%s", log)
		}
		stop()
		if code := <-done; code != 0 {
			t.Errorf("ended with %d:\n%s", code, log)
		}
	}
}

// wall is an adapter with one channel.
type wall struct {
	channel string
	said    []string
}

func (w *wall) Serves(channel string) bool { return channel == w.channel }

func (w *wall) Say(_ context.Context, channel, text, _ string) error {
	w.said = append(w.said, channel+": "+text)
	return nil
}

func TestVoices(t *testing.T) {
	v := &voices{desk: &mailbox{}}
	w := &wall{channel: "pastry"}
	v.add(w)
	if !v.serves("pastry") || !v.serves(terminalChannel) || v.serves("bar") {
		t.Error("who speaks where")
	}
	if err := v.Say(t.Context(), "pastry", "domes are due", "1"); err != nil || len(w.said) != 1 || w.said[0] != "pastry: domes are due" {
		t.Errorf("said %q, %v", w.said, err)
	}
	if err := v.Say(t.Context(), "bar", "domes are due", "2"); err == nil {
		t.Error("said where nobody speaks")
	}
}
