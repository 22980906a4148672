package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/reply"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// pushFlags are what a push and a restore share.
type pushFlags struct {
	why  string
	base int
	yes  bool
}

func (p *program) pushCommand() *cobra.Command {
	var f pushFlags
	c := &cobra.Command{
		Use:   "push FILE…",
		Short: "Write new versions of recipes, house.yaml or larder.yaml into the book",
		Long: "push shows what differs and what follows from it, and writes all the files as one revision. A recipe takes the place of the one of its name;\n" +
			"a new name is a new recipe. At a terminal it asks first, unless --yes stands there. What somebody may not write alone is kept as a proposal for those who may say yes.\n\n" +
			"Exit code 0 only when the revision is durable; 3: the files have faults, nothing is written; 4: kept as a proposal, not written yet.",
		Example: "  tamis book push --book ./book recipes/crumble.yaml --why \"less salt\"\n  tamis book push --book ./book new/*.yaml --as solvei --yes",
		Args:    cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if !c.Flags().Changed("base") {
				f.base = -1
			}
			return p.push(c.Context(), args, f)
		},
	}
	p.pushFlags(c, &f)
	c.Flags().IntVar(&f.base, "base", -1, "the recipe's revision that the files were made from; default the newest")
	return c
}

func (p *program) pushFlags(c *cobra.Command, f *pushFlags) {
	c.Flags().StringVar(&p.as, "as", "", "who writes; the role is what the house's team says")
	c.Flags().StringVar(&p.role, "role", "", "role of who writes")
	c.Flags().StringVar(&f.why, "why", "", "why, for the history")
	c.Flags().BoolVar(&f.yes, "yes", false, "do not ask")
	c.Flags().StringVar(&p.now, "now", "", "moment in place of the clock, RFC 3339 (TAMIS_NOW)")
}

func (p *program) push(ctx context.Context, args []string, f pushFlags) error {
	r, err := p.place().read(ctx)
	if err != nil {
		return err
	}
	head, err := r.Head(ctx, store.Home)
	if err != nil {
		return err
	}
	c := store.Change{Base: -1, Why: f.why, How: store.HowTerminal}
	for _, a := range args {
		fc, err := p.pushed(head, r, a)
		if err != nil {
			return err
		}
		c.Files = append(c.Files, fc)
	}
	if f.base >= 0 {
		if err := p.onBase(ctx, r, head, c.Files, f.base); err != nil {
			return err
		}
	}
	return p.write(ctx, r, head, c, f)
}

// write shows the difference, asks, and commits.
func (p *program) write(ctx context.Context, r reader, head *kb.Snapshot, c store.Change, f pushFlags) error {
	way, who := p.wayOf(head, &c)
	if way == bot.Refused {
		return p.mayNot(head, &c, who)
	}
	c.Who = who
	plan, err := r.Try(ctx, store.Home, c)
	var faulty *store.FaultyError
	switch {
	case errors.As(err, &faulty):
		for _, f := range faulty.Faults {
			fmt.Fprintln(p.out, f)
		}
		p.code = exitFaults
		fmt.Fprintln(p.errOut, "tamis: nothing is written: the change brings "+plural(len(faulty.Faults), "fault"))
		return nil
	case errors.Is(err, store.ErrNothing):
		// a file of the folder itself, edited by hand, differs from the log and not from what answers
		if len(c.Files) > 0 && p.place().dir != "" && way == bot.Written {
			return p.adopt(ctx, r, head, c)
		}
		_, err := fmt.Fprintln(p.out, "Nothing differs from the book.")
		return err
	case err != nil:
		return err
	}
	if err := p.planned(r, plan); err != nil {
		return err
	}
	ask := "Write this into the book?"
	if way != bot.Written {
		ask = "Propose this to " + listed(bot.WhoseYes(&head.House.Rules)) + "?"
	}
	if !f.yes && !p.agreed(ask) {
		p.code = exitFailed
		_, err := fmt.Fprintln(p.out, "Nothing is written.")
		return err
	}
	if way != bot.Written {
		c.Base = plan.Before.Revision
		return p.propose(ctx, c)
	}
	e, err := p.commit(ctx, c)
	if err != nil {
		return err
	}
	return p.written(ctx, e)
}

// written says which commit it is, and which revisions of which recipes.
func (p *program) written(ctx context.Context, e store.Entry) error {
	r, err := p.place().read(ctx)
	if err != nil {
		return err
	}
	s, err := r.At(ctx, store.Home, e.Seq)
	if err != nil {
		return err
	}
	var names []string
	for _, f := range e.Files {
		if now := recipeAt(s, f.Path); now != nil {
			names = append(names, fmt.Sprintf("%s rev %d", now.Name, now.Revision))
		}
	}
	if len(names) > 6 {
		names = append(names[:6], "…")
	}
	text := strings.Join(names, ", ")
	if text != "" {
		text = ": " + text
	}
	_, err = fmt.Fprintf(p.out, "Written as commit %d%s.\n", e.Seq, text)
	return err
}

// adopt commits files that stand in the book's folder already: who pushes them
// is named, not "file".
func (p *program) adopt(ctx context.Context, r reader, head *kb.Snapshot, c store.Change) error {
	log, err := r.Log(ctx, store.Home, 0)
	if err != nil {
		return err
	}
	if before := len(log); before > 0 {
		was, err := r.At(ctx, store.Home, before)
		if err == nil && was.Fingerprint() != head.Fingerprint() {
			if err := p.difference(was, head, nil); err != nil {
				return err
			}
		}
	}
	e, err := p.commit(ctx, c)
	if errors.Is(err, store.ErrNothing) {
		_, err = fmt.Fprintln(p.out, "Nothing differs from the book.")
		return err
	} else if err != nil {
		return err
	}
	return p.written(ctx, e)
}

// pushed reads a file and finds its place in the book.
func (p *program) pushed(head *kb.Snapshot, r reader, file string) (store.FileChange, error) {
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) && p.place().dir != "" && !filepath.IsAbs(file) { // named as it stands in the book
		data, err = os.ReadFile(filepath.Join(p.place().dir, file))
		if err == nil {
			file = filepath.Join(p.place().dir, file)
		}
	}
	if err != nil {
		return store.FileChange{}, err
	}
	fc := store.FileChange{Content: string(data)}
	if strings.ToValidUTF8(fc.Content, "") != fc.Content {
		fc = store.FileChange{Bytes: data}
	}
	fc.Path = p.pathInBook(head, r, file, data)
	return fc, nil
}

func (p *program) pathInBook(head *kb.Snapshot, r reader, file string, data []byte) string {
	if dir := p.place().dir; dir != "" {
		root, err1 := filepath.Abs(dir)
		at, err2 := filepath.Abs(file)
		if rel, err := filepath.Rel(root, at); err1 == nil && err2 == nil && err == nil && filepath.IsLocal(rel) {
			return filepath.ToSlash(rel)
		}
	}
	base := filepath.Base(file)
	if base == "house.yaml" || base == "larder.yaml" {
		return base
	}
	rec, _ := recipe.Parse(base, data, quantity.Metric)
	if rec != nil {
		for _, o := range head.RecipesNamed(rec.Name) {
			if name.Fold(o.Name) == name.Fold(rec.Name) {
				return o.Pos.File
			}
		}
		for _, o := range head.OutNamed(rec.Name) {
			if len(o.Faults) > 0 && name.Fold(o.Name) == name.Fold(rec.Name) && strings.HasPrefix(o.Faults[0].File, "recipes/") {
				return o.Faults[0].File
			}
		}
		if _, taken := r.Source("recipes/" + base); taken { // another recipe's file
			return "recipes/" + strings.Join(name.Words(rec.Name), "-") + ".yaml"
		}
	}
	return "recipes/" + base
}

// onBase checks that nobody changed the recipes since the revision they were
// made from; else it shows what both sides changed, and nothing is written.
func (p *program) onBase(ctx context.Context, r reader, head *kb.Snapshot, files []store.FileChange, base int) error {
	log, err := r.Log(ctx, store.Home, 0)
	if err != nil {
		return err
	}
	for i := range files {
		f := &files[i]
		now := recipeAt(head, f.Path)
		if now == nil || now.Revision == base {
			continue
		}
		var then *store.Revision
		revs := store.History(log, now.ID)
		for k := range revs {
			if revs[k].Number == base {
				then = &revs[k]
			}
		}
		if then == nil {
			return useError{fmt.Errorf("%s has no revision %d; it is at %d", now.Name, base, now.Revision)}
		}
		was, err := r.At(ctx, store.Home, then.Entry.Seq)
		if err != nil {
			return err
		}
		plan, err := r.Try(ctx, store.Home, store.Change{Base: -1, Files: []store.FileChange{*f}})
		if errors.Is(err, store.ErrNothing) {
			continue
		} else if err != nil {
			return err
		}
		old, _ := was.Recipe(now.ID)
		mine, _ := plan.After.Recipe(now.ID)
		three := diff.Three(old, mine, now)
		fmt.Fprintf(p.out, "%s has changed since revision %d; it is at %d.\n\nChanged since then:\n", now.Name, base, now.Revision)
		if err := p.show(was, head, []diff.Recipe{three.Theirs}); err != nil {
			return err
		}
		fmt.Fprintln(p.out, "\nYour change:")
		if err := p.show(was, plan.After, []diff.Recipe{three.Mine}); err != nil {
			return err
		}
		if len(three.Both) > 0 {
			fmt.Fprintf(p.out, "\nBoth changed: %s.\n", strings.Join(three.Both, ", "))
		}
		return fmt.Errorf("%w revision %d; nothing is written. Put your change on revision %d and push that", store.ErrOutdated, base, now.Revision)
	}
	return nil
}

// recipeAt is the recipe of a file.
func recipeAt(s *kb.Snapshot, path string) *kb.Recipe {
	for _, r := range s.Recipes {
		if r.Pos.File == path {
			return r
		}
	}
	return nil
}

// difference writes what differs between two states of the book; paths are the
// files that were changed, nil: whatever differs.
func (p *program) difference(was, now *kb.Snapshot, paths []string) error {
	ds := diff.Books(was, now)
	var follow []diff.Recipe
	if paths != nil {
		ds, follow = diff.Own(ds, paths)
	}
	if len(ds) == 0 {
		_, err := fmt.Fprintln(p.out, "No recipe reads differently.")
		return err
	}
	for i := range ds {
		if i > 0 {
			fmt.Fprintln(p.out)
		}
		var last []diff.Recipe
		if i == len(ds)-1 {
			last = follow
		}
		if err := p.show(was, now, ds[i:i+1], last...); err != nil {
			return err
		}
	}
	return nil
}

// planned writes what a plan changes: recipes one by one, then the other files.
func (p *program) planned(r reader, plan *store.Plan) error {
	others := slices.DeleteFunc(plan.Paths(), func(path string) bool { return path != "house.yaml" && path != "larder.yaml" })
	if len(others) == 0 || len(plan.Paths()) > len(others) {
		if err := p.difference(plan.Before, plan.After, plan.Paths()); err != nil || len(others) == 0 {
			return err
		}
		fmt.Fprintln(p.out)
	}
	words, err := reply.NewCatalogue()
	if err != nil {
		return err
	}
	was, now := answer.ForDifference(plan.Before), answer.ForDifference(plan.After)
	_, follow := diff.Own(diff.Books(plan.Before, plan.After), plan.Paths())
	a := answer.Difference(was, now, nil, follow...)
	bot.OtherFiles(a, plan, r.Source, was, now)
	_, err = fmt.Fprintln(p.out, words.In(plan.After.House.Language).Render(a).Text)
	return err
}

func (p *program) show(was, now *kb.Snapshot, ds []diff.Recipe, follow ...diff.Recipe) error {
	words, err := reply.NewCatalogue()
	if err != nil {
		return err
	}
	a := answer.Difference(answer.ForDifference(was), answer.ForDifference(now), ds, follow...)
	_, err = fmt.Fprintln(p.out, words.In(now.House.Language).Render(a).Text)
	return err
}

// agreed asks at a terminal; what comes from a script is meant.
func (p *program) agreed(ask string) bool {
	f, ok := p.in.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return true
	}
	fmt.Fprint(p.out, ask+" yes or no: ")
	line, err := bufio.NewReader(f).ReadString('\n')
	if err != nil && line == "" {
		return false
	}
	switch strings.ToLower(strings.TrimSpace(line)) {
	case "y", "yes":
		return true
	}
	return false
}
