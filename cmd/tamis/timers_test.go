package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/bot/timer"
)

// TestTimersElsewhere: a file that another program holds is not waited for, and
// it is said that nothing was kept.
func TestTimersElsewhere(t *testing.T) {
	dir := t.TempDir()
	e, err := timer.Open(filepath.Join(dir, timer.FileName), time.Now(), timer.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ask := func(text string) string {
		var said, wrong bytes.Buffer
		getenv := func(key string) string {
			return map[string]string{"TAMIS_NOW": moment, "TAMIS_DATA": dir}[key]
		}
		run(t.Context(), []string{"ask", text}, strings.NewReader(""), &said, &wrong, getenv)
		return said.String()
	}
	for _, text := range []string{"tuile in, tell me", "what's ready"} {
		if got := ask(text); !strings.Contains(got, "Another tamis keeps the timers") {
			t.Errorf("%s: %q", text, got)
		}
	}
	if all, err := e.All("home"); err != nil || len(all) > 0 {
		t.Errorf("%v, %v", all, err)
	}
	if err := e.Close(); err != nil {
		t.Fatal(err)
	}
	if got := ask("tuile in, tell me"); !strings.Contains(got, "Kept.") {
		t.Errorf("given back, it says %q", got)
	}
}
