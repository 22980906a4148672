package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"sync"
	"time"

	"github.com/spf13/cobra"

	"tamis/bot"
	"tamis/kb"
	"tamis/kb/index"
	"tamis/kb/store"
)

// program is one run: its streams, its settings and how it ends.
type program struct {
	in     io.Reader
	out    io.Writer
	errOut io.Writer
	getenv func(string) string
	code   int

	book, now, as, role string
	json                bool

	kept   *keeper // the book that head opened
	speaks bool    // due timers are said: somebody sits here
}

// useError is wrong use of the command: exit code 2.
type useError struct{ error }

func (p *program) exit(err error) int {
	fmt.Fprintln(p.errOut, "tamis: "+err.Error())
	var use useError
	if errors.As(err, &use) || strings.HasPrefix(err.Error(), "unknown command") || strings.HasPrefix(err.Error(), "unknown flag") ||
		strings.HasPrefix(err.Error(), "unknown shorthand flag") || strings.HasPrefix(err.Error(), "flag needs an argument") || strings.HasPrefix(err.Error(), "invalid argument") ||
		strings.HasPrefix(err.Error(), "requires at least") || strings.HasPrefix(err.Error(), "accepts ") || strings.HasPrefix(err.Error(), "required flag") {
		return exitWrongUse
	}
	return exitFailed
}

func (p *program) root() *cobra.Command {
	c := &cobra.Command{
		Use:           "tamis",
		Short:         "Answers a kitchen's questions from the house recipe book",
		Long:          "tamis knows the house recipe book and never guesses a number.\nWithout --book it answers from the demo book inside.",
		SilenceUsage:  true,
		SilenceErrors: true,
		Example:       "  tamis ask \"how much yolk for 3x ice cream base\"\n  tamis ask --book ./book \"shortbread for 40\"\n  tamis book check ./book",
		RunE: func(c *cobra.Command, args []string) error {
			return c.Help()
		},
	}
	c.PersistentFlags().StringVar(&p.book, "book", "", "folder of the house book (TAMIS_BOOK; default: the demo book)")
	c.CompletionOptions.HiddenDefaultCmd = true
	c.AddCommand(p.askCommand(), p.chatCommand(), p.bookCommand(), p.serveCommand())
	return c
}

// setting is the flag's value, else the environment's.
func (p *program) setting(flag, env string) string {
	if flag != "" {
		return flag
	}
	return p.getenv(env)
}

// clock returns the moment in place of the clock, if one is set.
func (p *program) clock() (func() time.Time, error) {
	s := p.setting(p.now, "TAMIS_NOW")
	if s == "" {
		return time.Now, nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil {
		return nil, useError{fmt.Errorf("--now %q is no time such as 2026-03-14T22:40:00+01:00", s)}
	}
	return func() time.Time { return t }, nil
}

func (p *program) log() *slog.Logger {
	level := slog.LevelInfo
	if s := p.getenv("TAMIS_LOG"); s != "" {
		if err := level.UnmarshalText([]byte(s)); err != nil {
			level = slog.LevelInfo
		}
	}
	o := &slog.HandlerOptions{Level: level}
	if p.getenv("TAMIS_LOG_FORMAT") == "json" {
		return slog.New(slog.NewJSONHandler(p.errOut, o))
	}
	return slog.New(slog.NewTextHandler(p.errOut, o))
}

// head opens the book and returns what gives its newest snapshot.
func (p *program) head(ctx context.Context) (bot.Head, error) {
	s, err := p.place().read(ctx)
	if err != nil {
		return nil, err
	}
	p.kept = &keeper{p: p, r: s}
	return p.kept.Head, nil
}

// asker opens the book for one who sits at the terminal.
func (p *program) asker(ctx context.Context, now func() time.Time) (*bot.Asker, *desk, error) {
	head, err := p.head(ctx)
	if err != nil {
		return nil, nil, err
	}
	asker, err := p.newAsker(head)
	if err != nil {
		return nil, nil, err
	}
	asker.Keep(p.kept, store.HowTerminal)
	if dir := p.workFolder(); dir != "" {
		asker.Propose(store.OpenProposals(dir), p.speaks)
	}
	d := p.newDesk(asker, now)
	asker.Time(d, string(store.Home), p.speaks)
	return asker, d, nil
}

// newAsker makes what answers from a book, with the search and the model of the settings.
func (p *program) newAsker(head bot.Head) (*bot.Asker, error) {
	options := []bot.Option{bot.WithSearch(search())}
	if bounds, err := p.bounds(); err != nil {
		return nil, err
	} else if bounds != nil {
		options = append(options, bounds)
	}
	switch m, err := p.model(); {
	case err != nil:
		return nil, err
	case m != nil:
		options = append(options, bot.WithPhraser(m))
		switch first := p.getenv("TAMIS_MODEL_FIRST"); first {
		case "", "wording":
		case "template":
			options = append(options, bot.WithTemplateFirst())
		default:
			return nil, useError{fmt.Errorf("TAMIS_MODEL_FIRST %q is neither wording nor template", first)}
		}
	}
	return bot.NewAsker(head, options...)
}

// search looks words up in an index of the snapshot, made in memory when first
// needed and kept until the book changes.
func search() bot.Search {
	var (
		mu   sync.Mutex
		snap *kb.Snapshot
		x    *index.Index
	)
	return func(ctx context.Context, s *kb.Snapshot, text string, n int) ([]*kb.Recipe, error) {
		mu.Lock()
		if snap != s {
			if x != nil {
				_ = x.Close() // nothing of it is kept
			}
			snap, x = s, index.New(s)
		}
		now := x
		mu.Unlock()
		hits, err := now.Search(ctx, text, n)
		if err != nil {
			return nil, err
		}
		var out []*kb.Recipe
		for _, h := range hits {
			out = append(out, h.Recipe)
		}
		return out, nil
	}
}
