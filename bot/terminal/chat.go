package terminal

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"tamis/bot"
	"tamis/bot/answer"
)

// Prompter reads one line of a person. It returns io.EOF at the end and
// ErrStopped where the person broke off.
type Prompter interface {
	Prompt(prompt string) (string, error)
	Remember(line string)
}

// ErrStopped is a line broken off by the person.
var ErrStopped = errors.New("stopped")

// Look is how replies are written: colour or none, and how wide a line may be.
type Look struct {
	Colour bool
	Width  int // columns; 0: not bounded
	// InPlace: what was written can be written over.
	InPlace bool
}

// Due hands what is due to be said to say, one text at a time; a nil Due has
// nothing ever.
type Due func(ctx context.Context, say func(text string) error) error

// lookEvery is how often a chat that waits for a line looks for what is due.
const lookEvery = time.Second

// Chat talks until the input ends: the same answers as one question at a time.
// What is due is said at once at the start, while it waits, and before an answer.
func Chat(ctx context.Context, a Asker, p Prompter, w io.Writer, look Look, who bot.Message, now func() time.Time, log *slog.Logger, due Due) error {
	var mu sync.Mutex // one text at a time
	tell := func(before string) {
		if due == nil {
			return
		}
		err := due(ctx, func(text string) error {
			mu.Lock()
			defer mu.Unlock()
			_, err := fmt.Fprintln(w, before+look.text(text, true))
			return err
		})
		if err != nil && ctx.Err() == nil {
			log.Warn("what is due could not be said", "err", err)
		}
	}
	tell("")
	for ctx.Err() == nil {
		line, err := waitFor(func() (string, error) { return p.Prompt("› ") }, func() { tell("\n") })
		switch {
		case errors.Is(err, io.EOF), errors.Is(err, ErrStopped):
			return nil
		case err != nil:
			return fmt.Errorf("reading a line: %w", err)
		}
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		p.Remember(line)
		tell("")
		m := who
		m.Text, m.At, m.InPlace = line, now(), look.InPlace
		r, err := Safely(ctx, a, m)
		if err != nil {
			log.Error("a question could not be answered", "err", err)
			fmt.Fprintln(w, "Something went wrong with this question; the log says what.")
			continue
		}
		mu.Lock()
		plain := look.Reply(r)
		_, err = fmt.Fprintln(w, plain)
		if err == nil && r.Better != nil {
			if better, ok := r.Better(ctx); ok {
				_, err = fmt.Fprintf(w, "\x1b[%dA\x1b[J%s\n", strings.Count(plain, "\n")+1, look.Reply(better))
			}
		}
		mu.Unlock()
		if err != nil {
			return fmt.Errorf("writing an answer: %w", err)
		}
	}
	return nil
}

// waitFor reads a line and looks for what is due while it waits.
func waitFor(read func() (string, error), look func()) (string, error) {
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		t := time.NewTicker(lookEvery)
		defer t.Stop()
		for {
			select {
			case <-done:
				return
			case <-t.C:
				look()
			}
		}
	}()
	line, err := read()
	close(done)
	<-ended
	return line, err
}

// Reply is a reply as the terminal shows it: the first line of an answer bold,
// cautions yellow, lines broken at the width.
func (l Look) Reply(r bot.Reply) string { return l.text(r.Text, r.Status == answer.StatusAnswer) }

func (l Look) text(text string, answered bool) string {
	var out []string
	for i, line := range strings.Split(Plain(text), "\n") {
		for k, part := range l.wrap(line) {
			switch {
			case !l.Colour:
			case strings.HasPrefix(line, "! "):
				part = "\x1b[33m" + part + "\x1b[0m"
			case i == 0 && k == 0 && answered:
				part = "\x1b[1m" + part + "\x1b[0m"
			}
			out = append(out, part)
		}
	}
	return strings.Join(out, "\n")
}

// Plain takes control characters out: text of a book or a message must not
// steer the terminal.
func Plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || r >= ' ' && r != 0x7f && !(r >= 0x80 && r < 0xa0) {
			return r
		}
		return -1
	}, s)
}

// wrap breaks a line at spaces; what follows is set in under its text.
func (l Look) wrap(line string) []string {
	if l.Width < 20 || utf8.RuneCountInString(line) <= l.Width {
		return []string{line}
	}
	indent := strings.Repeat(" ", min(len(line)-len(strings.TrimLeft(line, " "))+2, 8))
	var out []string
	cur := ""
	for _, word := range strings.SplitAfter(line, " ") {
		if cur != "" && utf8.RuneCountInString(cur)+utf8.RuneCountInString(strings.TrimRight(word, " ")) > l.Width {
			out = append(out, strings.TrimRight(cur, " "))
			cur = indent
		}
		cur += word
	}
	return append(out, strings.TrimRight(cur, " "))
}

// Pipe is a Prompter without a person: lines of a stream, no prompt.
type Pipe struct{ r *bufio.Scanner }

// NewPipe reads lines from r; longer ones than MaxLine end it.
func NewPipe(r io.Reader) *Pipe {
	s := bufio.NewScanner(r)
	s.Buffer(make([]byte, 0, 4096), MaxLine)
	return &Pipe{s}
}

// Prompt returns the next line.
func (p *Pipe) Prompt(string) (string, error) {
	if p.r.Scan() {
		return p.r.Text(), nil
	}
	if err := p.r.Err(); err != nil {
		return "", err
	}
	return "", io.EOF
}

// Remember does nothing: nobody will look back.
func (p *Pipe) Remember(string) {}
