package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/peterh/liner"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tamis/bot/terminal"
	"tamis/kb/name"
)

func (p *program) chatCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "chat",
		Short: "Talk with the book: follow-ups, history, completion of recipe names",
		Long: "chat answers line after line; \"and for 5x?\", \"what about the sugar\", \"in ounces\" go on from the line before.\n" +
			"Tab completes recipe names, the arrow keys look back, an empty input (Ctrl-D) ends it. NO_COLOR is honoured.",
		Example: "  tamis chat\n  tamis chat --book ./book --as ida",
		Args:    cobra.NoArgs,
		RunE:    func(c *cobra.Command, _ []string) error { return p.chat(c) },
	}
	f := c.Flags()
	f.StringVar(&p.now, "now", "", "moment in place of the clock, RFC 3339 (TAMIS_NOW)")
	f.StringVar(&p.as, "as", "", "who asks; the role is what the house's team says")
	f.StringVar(&p.role, "role", "", "role of who asks")
	return c
}

func (p *program) chat(c *cobra.Command) (err error) {
	p.speaks = true
	asker, now, who, err := p.speaker(c.Context())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, asker.close()) }()
	look := terminal.Look{}
	if out, ok := p.out.(*os.File); ok && term.IsTerminal(int(out.Fd())) {
		look.Colour = p.getenv("NO_COLOR") == "" && p.getenv("TERM") != "dumb"
		if w, _, err := term.GetSize(int(out.Fd())); err == nil {
			look.Width = w
			look.InPlace = w >= 20 && p.getenv("TERM") != "dumb"
		}
	}
	in, ok := p.in.(*os.File)
	if !ok || !term.IsTerminal(int(in.Fd())) {
		return terminal.Chat(c.Context(), asker, terminal.NewPipe(p.in), p.out, look, who, now, p.log(), asker.tell)
	}
	snap, err := asker.book(c.Context())
	if err != nil {
		return err
	}
	var names []string
	for _, r := range snap.Recipes {
		names = append(names, r.Name)
		names = append(names, r.Also...)
	}
	slices.Sort(names)
	l := newLine(slices.Compact(names), p.historyFile())
	defer l.close()
	fmt.Fprintf(p.out, "%s: %d recipes. Ask; Ctrl-D ends.\n", orElse(snap.House.Name, "The book"), len(snap.Recipes))
	return terminal.Chat(c.Context(), asker, l, p.out, look, who, now, p.log(), asker.tell)
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// historyFile is where the lines of chats are kept; "" where there is no place.
func (p *program) historyFile() string {
	dir := p.getenv("XDG_STATE_HOME")
	if dir == "" {
		home := p.getenv("HOME")
		if home == "" {
			return ""
		}
		dir = filepath.Join(home, ".local", "state")
	}
	return filepath.Join(dir, "tamis", "chat-history")
}

// line edits lines on a terminal, with history and completion.
type line struct {
	s       *liner.State
	history string
}

func newLine(names []string, history string) *line {
	l := &line{liner.NewLiner(), history}
	l.s.SetCtrlCAborts(true)
	l.s.SetTabCompletionStyle(liner.TabPrints)
	l.s.SetWordCompleter(func(text string, pos int) (head string, completions []string, tail string) {
		return complete(names, text, pos)
	})
	if history != "" {
		if f, err := os.Open(history); err == nil {
			_, _ = l.s.ReadHistory(f) // a broken history is no reason not to talk
			_ = f.Close()
		}
	}
	return l
}

// complete offers the names that go on from the words before the cursor: the
// longest run of words that begins a name.
func complete(names []string, text string, pos int) (head string, completions []string, tail string) {
	r := []rune(text)
	before, tail := string(r[:pos]), string(r[pos:])
	starts := []int{0}
	for i, c := range before {
		if c == ' ' {
			starts = append(starts, i+1)
		}
	}
	for _, s := range starts {
		want := name.Plain(before[s:])
		if strings.TrimSpace(want) == "" {
			continue
		}
		for _, n := range names {
			if strings.HasPrefix(name.Plain(n), want) {
				completions = append(completions, n)
			}
		}
		if len(completions) > 0 {
			return before[:s], completions, tail
		}
	}
	return before, nil, tail
}

func (l *line) Prompt(prompt string) (string, error) {
	s, err := l.s.Prompt(prompt)
	switch {
	case errors.Is(err, liner.ErrPromptAborted):
		return "", terminal.ErrStopped
	case errors.Is(err, io.EOF):
		return "", io.EOF
	}
	return s, err
}

func (l *line) Remember(s string) { l.s.AppendHistory(s) }

func (l *line) close() {
	if l.history != "" {
		if err := os.MkdirAll(filepath.Dir(l.history), 0o700); err == nil {
			if f, err := os.OpenFile(l.history, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600); err == nil {
				_, _ = l.s.WriteHistory(f) // lost history is no failure of the talk
				_ = f.Close()
			}
		}
	}
	_ = l.s.Close()
}
