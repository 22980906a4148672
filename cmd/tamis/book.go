package main

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"tamis/kb/recipe"
	"tamis/kb/store"
)

func (p *program) bookCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "book",
		Short: "Check a house book, begin one, change it and look back",
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, args []string) error { return c.Help() },
	}
	var asJSON bool
	check := &cobra.Command{
		Use:     "check [DIR]",
		Short:   "List all faults and warnings of a book",
		Long:    "check lists every fault and warning of a book with its place and what to write instead.\nExit code 3: the book has faults.",
		Example: "  tamis book check ./book\n  tamis book check --json ./book",
		Args:    cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				p.book = args[0]
			}
			return p.check(c, asJSON)
		},
	}
	check.Flags().BoolVar(&asJSON, "json", false, "an object a line")
	begin := &cobra.Command{
		Use:     "new DIR",
		Short:   "Write the demo book into a folder, to begin from; overwrites nothing",
		Example: "  tamis book new ./book",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if err := store.WriteDemo(args[0]); err != nil {
				return err
			}
			_, err := fmt.Fprintf(p.out, "The demo book is in %s. Ask it: tamis ask --book %s \"how much yolk for 3x ice cream base\"\n", args[0], args[0])
			return err
		},
	}
	c.AddCommand(check, begin, p.pushCommand(), p.verifyCommand(), p.historyCommand(), p.showCommand(), p.restoreCommand(), p.exportCommand(), p.draftCommand())
	return c
}

func (p *program) check(c *cobra.Command, asJSON bool) error {
	head, err := p.head(c.Context())
	if err != nil {
		return err
	}
	s, err := head(c.Context())
	if err != nil {
		return err
	}
	all := append(append([]recipe.Fault{}, s.Faults...), s.Warnings...)
	e := json.NewEncoder(p.out)
	e.SetEscapeHTML(false)
	for _, f := range all {
		if asJSON {
			err = e.Encode(f)
		} else {
			_, err = fmt.Fprintf(p.out, "%s: %s\n", f.Level, f)
		}
		if err != nil {
			return err
		}
	}
	if len(s.Faults) > 0 {
		p.code = exitFaults
	}
	if asJSON {
		return nil
	}
	_, err = fmt.Fprintf(p.out, "%s, %d out; %s, %s\n", plural(len(s.Recipes), "recipe"), len(s.Out), plural(len(s.Faults), "fault"), plural(len(s.Warnings), "warning"))
	return err
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
