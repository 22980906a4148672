package main

import (
	"errors"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"

	"tamis/bot/answer"
	"tamis/bot/terminal"
)

func (p *program) askCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "ask [flags] QUESTION",
		Short: "Answer one question, or JSON lines from standard input",
		Long: "ask answers one question from the house book.\n\nWith --json the answer is one line of JSON; with --json - questions are read\n" +
			"as JSON lines from standard input, one answer a line.\n\nExit code 4: not answered (unknown, asked back, refused).",
		Example: "  tamis ask \"how much yolk for 3x ice cream base\"\n  tamis ask --book ./book only 180 g yolk left, how many domes\n" +
			"  tamis ask --json \"200 ml cream in g\"\n  tamis ask --json - < questions.jsonl",
		RunE: func(c *cobra.Command, args []string) error { return p.ask(c, args) },
	}
	f := c.Flags()
	f.StringVar(&p.now, "now", "", "moment in place of the clock, RFC 3339 (TAMIS_NOW)")
	f.StringVar(&p.as, "as", "", "who asks; the role is what the house's team says")
	f.StringVar(&p.role, "role", "", "role of who asks")
	f.BoolVar(&p.json, "json", false, "answer as JSON")
	return c
}

func (p *program) ask(c *cobra.Command, args []string) (err error) {
	if p.getenv("GOGC") == "" { // reading a large book makes much that stays, and the run is short
		defer debug.SetGCPercent(debug.SetGCPercent(400))
	}
	asker, now, m, err := p.speaker(c.Context())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, asker.close()) }()
	if p.json && len(args) == 1 && args[0] == "-" {
		return terminal.Lines(c.Context(), asker, p.in, p.out, terminal.Defaults{Who: p.as, Role: p.role, Now: now}, p.log())
	}
	text := strings.TrimSpace(strings.Join(args, " "))
	if text == "" {
		return useError{fmt.Errorf("what is the question? Write: tamis ask \"how much yolk for 3x ice cream base\"")}
	}
	m.At, m.Text = now(), text
	r, err := terminal.Safely(c.Context(), asker, m)
	if err != nil {
		return err
	}
	if p.json {
		return terminal.JSON(p.out, r)
	}
	if _, err := fmt.Fprintln(p.out, r.Text); err != nil {
		return err
	}
	if r.Status != answer.StatusAnswer {
		p.code = exitNotAnswered
	}
	return nil
}
