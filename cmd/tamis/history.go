package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/intake"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

func (p *program) verifyCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "verify",
		Short:   "Check the history line by line, and that the files are as it says",
		Long:    "verify reads the log of commits, checks every hash, and compares the folder with the last commit. It writes nothing.\n\nExit code 0 only when history and files agree.",
		Example: "  tamis book verify --book ./book",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			at := p.place()
			if at.dir == "" {
				_, err := fmt.Fprintln(p.out, "The demo book inside the program is as it came: no commits.")
				return err
			}
			r, err := store.Verify(c.Context(), at.dir, at.data)
			if err != nil {
				return err
			}
			for _, s := range append(slices.Clone(r.Notes), r.Problems...) {
				if _, err := fmt.Fprintln(p.out, s); err != nil {
					return err
				}
			}
			if len(r.Problems) > 0 {
				p.code = exitFailed
				return nil
			}
			per := ""
			if r.Commits > 0 {
				per = fmt.Sprintf(", %d bytes a commit", r.LogBytes/r.Commits)
			}
			_, err = fmt.Fprintf(p.out, "%s, %s, %d bytes of history%s: all agree.\n", plural(r.Commits, "commit"), plural(r.Files, "file"), r.LogBytes, per)
			return err
		},
	}
}

func (p *program) historyCommand() *cobra.Command {
	var asJSON bool
	c := &cobra.Command{
		Use:     "history RECIPE",
		Short:   "List the revisions of a recipe, newest first",
		Example: "  tamis book history --book ./book crumble\n  tamis book history --book ./book crumble --json",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			_, revs, err := p.revisionsOf(c.Context(), strings.Join(args, " "))
			if err != nil {
				return err
			}
			return p.listRevisions(revs, asJSON)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "as a JSON list")
	return c
}

// jsonRevision is one revision as settings describe it.
type jsonRevision struct {
	Revision int    `json:"revision"`
	Who      string `json:"who"`
	At       string `json:"at"`
	Why      string `json:"why"`
	How      string `json:"how"`
}

func (p *program) listRevisions(revs []store.Revision, asJSON bool) error {
	out := make([]jsonRevision, 0, len(revs))
	for _, r := range slices.Backward(revs) {
		out = append(out, jsonRevision{r.Number, r.Entry.Who, r.Entry.At.Format(time.RFC3339), r.Entry.Why, r.Entry.How})
	}
	if asJSON {
		e := json.NewEncoder(p.out)
		e.SetEscapeHTML(false)
		return e.Encode(out)
	}
	if len(out) == 0 {
		_, err := fmt.Fprintln(p.out, "No commit yet: the book is as it was found.")
		return err
	}
	for _, r := range out {
		who := r.Who
		if who == "" {
			who = "by hand"
		}
		if _, err := fmt.Fprintln(p.out, strings.TrimRight(fmt.Sprintf("%3d  %s  %s  %s", r.Revision, r.At, who, r.Why), " ")); err != nil {
			return err
		}
	}
	return nil
}

// revisionsOf finds a recipe by a name it has or had, and its revisions.
func (p *program) revisionsOf(ctx context.Context, text string) (reader, []store.Revision, error) {
	r, err := p.place().read(ctx)
	if err != nil {
		return nil, nil, err
	}
	head, err := r.Head(ctx, store.Home)
	if err != nil {
		return nil, nil, err
	}
	log, err := r.Log(ctx, store.Home, 0)
	if err != nil {
		return nil, nil, err
	}
	id, err := findRecipe(head, log, text)
	if err != nil {
		return nil, nil, err
	}
	return r, store.History(log, id), nil
}

// findRecipe finds a recipe by its name, another of its names, or one it had once.
func findRecipe(head *kb.Snapshot, log []store.Entry, text string) (kb.RecipeID, error) {
	if r, ok := head.RecipeNamed(text); ok {
		return r.ID, nil
	}
	if rs := head.RecipesNamed(text); len(rs) > 1 {
		return "", fmt.Errorf("%q may be %s or %s", text, rs[0].Name, rs[1].Name)
	}
	if id, ok := store.Once(log, func(content string) bool { return called(content, text) }); ok {
		return id, nil
	}
	return "", fmt.Errorf("the book has and had no recipe %q", text)
}

// called reports whether a recipe file has a name.
func called(content, text string) bool {
	r, _ := recipe.Parse("", []byte(content), quantity.Metric)
	return r != nil && (name.Fold(r.Name) == name.Fold(text) || slices.ContainsFunc(r.Also, func(a string) bool { return name.Fold(a) == name.Fold(text) }))
}

func (p *program) showCommand() *cobra.Command {
	var at int
	var linked bool
	c := &cobra.Command{
		Use:     "show RECIPE",
		Short:   "Print a recipe's file as it is, or as it was at a revision",
		Example: "  tamis book show --book ./book crumble --at 2",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			text := strings.Join(args, " ")
			r, revs, err := p.revisionsOf(c.Context(), text)
			if err != nil {
				return err
			}
			if at == 0 {
				head, err := r.Head(c.Context(), store.Home)
				if err != nil {
					return err
				}
				if now, ok := head.RecipeNamed(text); ok {
					if linked {
						data, err := intake.WriteJSONLD(written(now))
						if err != nil {
							return err
						}
						_, err = p.out.Write(data)
						return err
					}
					content, _ := r.Source(now.Pos.File)
					_, err = fmt.Fprint(p.out, content)
					return err
				}
			}
			rev, err := revision(revs, at, text)
			if err != nil {
				return err
			}
			_, err = fmt.Fprint(p.out, rev.Content)
			return err
		},
	}
	c.Flags().IntVar(&at, "at", 0, "the recipe's revision; default the newest")
	c.Flags().BoolVar(&linked, "json-ld", false, "the newest as schema.org/Recipe in JSON-LD")
	return c
}

// written is a recipe with the lines that its variant's changes come to.
func written(r *kb.Recipe) *recipe.Recipe {
	out := *r.Recipe
	out.Lines = nil
	for i := range r.Lines {
		out.Lines = append(out.Lines, r.Lines[i].Line)
	}
	return &out
}

func (p *program) draftCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "draft FILE",
		Short: "Turn pasted lines, CSV or JSON-LD into drafts of recipes",
		Long: "draft reads ingredient lines (.txt), a table with an ingredient column (.csv) or schema.org/Recipe (.json, .jsonld) and prints files of the book.\n" +
			"What it is not sure of stands behind # ? on its line: look at it, then push the file.",
		Example: "  tamis book draft old-table.csv\n  tamis book draft pasted.txt > recipes/pear-glaze.yaml",
		Args:    cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			data, err := os.ReadFile(args[0])
			if err != nil {
				return err
			}
			var ds []intake.Draft
			switch strings.ToLower(filepath.Ext(args[0])) {
			case ".csv", ".tsv":
				ds, err = intake.ReadCSV(string(data))
			case ".json", ".jsonld":
				ds, err = intake.ReadJSONLD(data)
			default:
				var d intake.Draft
				d, err = intake.ReadText(string(data))
				ds = []intake.Draft{d}
			}
			if err != nil {
				return fmt.Errorf("%s: %w", args[0], err)
			}
			for i := range ds {
				text, err := ds[i].YAML()
				if err != nil {
					return fmt.Errorf("%s: draft %d: %w", args[0], i+1, err)
				}
				if i > 0 {
					text = "---\n" + text
				}
				if _, err := fmt.Fprint(p.out, text); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// revision finds a revision that has the recipe; 0: the newest one.
func revision(revs []store.Revision, at int, text string) (*store.Revision, error) {
	for i := len(revs) - 1; i >= 0; i-- {
		switch r := &revs[i]; {
		case at == 0 && !r.Deleted:
			return r, nil
		case r.Number == at && r.Deleted:
			return nil, fmt.Errorf("at revision %d %s was taken off", at, text)
		case r.Number == at:
			return r, nil
		}
	}
	return nil, fmt.Errorf("%w: %s has revisions 1 to %d, not %d", store.ErrNoRevision, text, len(revs), at)
}

func (p *program) restoreCommand() *cobra.Command {
	var at int
	var f pushFlags
	c := &cobra.Command{
		Use:     "restore RECIPE --at N",
		Short:   "Write a recipe as it was at a revision, as a new revision",
		Long:    "restore writes an old version of a recipe as a new commit; nothing of the history goes away. It brings back a recipe that was taken off, too.",
		Example: "  tamis book restore --book ./book crumble --at 2",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			text := strings.Join(args, " ")
			r, revs, err := p.revisionsOf(c.Context(), text)
			if err != nil {
				return err
			}
			rev, err := revision(revs, at, text)
			if err != nil {
				return err
			}
			head, err := r.Head(c.Context(), store.Home)
			if err != nil {
				return err
			}
			last := revs[len(revs)-1]
			if f.why == "" {
				f.why = fmt.Sprintf("as at revision %d", rev.Number)
			}
			ch := store.Change{Base: -1, Why: f.why, How: store.HowTerminal, Files: []store.FileChange{{Path: last.Path, Content: rev.Content}}}
			return p.write(c.Context(), r, head, ch, f)
		},
	}
	c.Flags().IntVar(&at, "at", 0, "the recipe's revision")
	if err := c.MarkFlagRequired("at"); err != nil {
		panic(err) // the flag stands above
	}
	p.pushFlags(c, &f)
	return c
}

func (p *program) exportCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "export DIR",
		Short:   "Write the whole book and its history into another folder; overwrites nothing",
		Long:    "export writes house.yaml, larder.yaml and all recipes as they are, and history.jsonl with every commit, a line each.",
		Example: "  tamis book export --book ./book ./copy",
		Args:    cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			r, err := p.place().read(c.Context())
			if err != nil {
				return err
			}
			if err := r.Export(args[0]); err != nil {
				return err
			}
			_, err = fmt.Fprintf(p.out, "The book is in %s.\n", filepath.Clean(args[0]))
			return err
		},
	}
}
