package kb

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"sync"

	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Input is a book as its files say it, before anything is resolved. Build reads
// it and changes nothing in it.
type Input struct {
	House    *recipe.House // nil: a house that states nothing
	Larder   *larder.Larder
	Recipes  []File
	Revision int // of the book
	// Faults of house.yaml, larder.yaml and files that could not be read; they put no recipe out.
	Faults []recipe.Fault
	// Fingerprint is a hash over all bytes that the input was read from.
	Fingerprint string
}

// File is one recipe file as parsed.
type File struct {
	Path     string   // in the book, with slashes
	ID       RecipeID // "": the path stands in for it
	Revision int      // the recipe's commits; 0 without a log
	Recipe   *recipe.Recipe
	Faults   []recipe.Fault
}

// entry is one recipe file on its way into the snapshot.
type entry struct {
	file   *File
	r      *recipe.Recipe // variants applied; as far as it could be read if out
	fold   string
	also   []string // folded
	faults []recipe.Fault
	warns  []recipe.Fault
	out    bool
	root   string // why, where the reason lies in another file
	links  []*entry
	lines  []Line
	terms  []term // of the lines, while their amounts are worked out
	core   int    // the line that stands for the core of makes; -1 none
	rec    *Recipe

	variant uint8 // state of applying the change
	bases   int   // it stands on, one on the other
	depth   int   // links below it
	level   int   // while the entries are finished: after those of lower ones

	seen, low int // while circles are looked for
	open      bool
	knot      *entry // the same for all that are in circles with one another; nil: in none

	early    bool     // out before links were looked at
	done     bool     // by this build or one before; nothing in it changes any more
	base     *entry   // that it is based on
	asks     []string // folded names it looks for among recipes, beside those of its lines
	asksNear bool     // it tells names of the book that are near one of its own
	keys     []string // of the ingredients of its lines, "" for links
	outRec   *OutRecipe
}

// builder holds what one Build needs; it is thrown away afterwards.
type builder struct {
	house   *houseNames
	larder  *larder.Larder
	entries []*entry // in order of path
	todo    []*entry // those of them that are not finished yet
	exact   map[string][]*entry
	alias   map[string][]*entry
	words   map[string]*word
	near    *nearest
	making  sync.Mutex // of near, by workers
	root    *builder   // of a worker: whose it is; nothing in that changes while it works

	spellings map[string]map[string]int // of an ingredient: how often the lines write it so
	spelt     map[string]string
	owned     map[string]bool // spellings that are not shared with an older snapshot; nil: all

	faults, warns tolds
}

// word is one written name, folded and looked up once.
type word struct {
	fold string
	item *larder.Item
	key  string // of the ingredient, where it is one
}

// Build makes the snapshot of a book. It never fails: what is wrong puts recipes
// out and is in Faults. If ctx ends early, the rest of the book is missing; ask ctx.Err.
func Build(ctx context.Context, in Input) *Snapshot {
	s := &Snapshot{House: in.House, Larder: in.Larder, Revision: in.Revision, fingerprint: in.Fingerprint}
	if s.House == nil {
		s.House = noHouse
	}
	if s.Larder == nil {
		s.Larder = larder.New(nil)
	}
	b := &builder{
		house: newHouseNames(s.House), larder: s.Larder, words: map[string]*word{},
		spellings: map[string]map[string]int{}, spelt: map[string]string{},
		exact: make(map[string][]*entry, len(in.Recipes)), alias: map[string][]*entry{},
	}
	b.readUnread(in.Faults)
	b.collect(in.Recipes)
	b.todo = b.entries
	b.named()
	b.connect()
	b.finishAll(ctx)
	b.fill(s, in.Faults)
	s.makeIndex(b)
	if ctx.Err() == nil {
		s.keep(b)
	}
	return s
}

// noHouse is what stands in for a house that states nothing.
var noHouse = &recipe.House{Language: "en", Allergens: "EU"}

// readUnread notes whether the house's names are unknown because its file cannot be read.
func (b *builder) readUnread(faults []recipe.Fault) {
	b.house.unread = b.house.empty() && slices.ContainsFunc(faults, func(f recipe.Fault) bool {
		return f.File == houseFile && f.Level == recipe.LevelFault
	})
}

// connect finds what the entries name: twins, bases, links.
func (b *builder) connect() {
	b.sameNames()
	for _, e := range b.todo {
		b.applyVariant(e, nil)
	}
	for _, e := range b.todo {
		e.early = e.out
	}
	for _, e := range b.todo {
		b.checkNames(e)
		b.link(e)
	}
}

// collect makes the entries, in order of path.
func (b *builder) collect(files []File) {
	b.entries = make([]*entry, 0, len(files))
	for i := range files {
		b.entries = append(b.entries, b.entry(&files[i]))
	}
	slices.SortStableFunc(b.entries, func(a, c *entry) int { return strings.Compare(a.file.Path, c.file.Path) })
}

// entry takes in one file.
func (b *builder) entry(f *File) *entry {
	e := &entry{file: f, r: f.Recipe}
	for _, w := range f.Faults {
		if w.Level == recipe.LevelWarning {
			e.warns = append(e.warns, w)
			continue
		}
		if w.Recipe == "" && f.Recipe != nil {
			w.Recipe = f.Recipe.Name
		}
		e.faults = append(e.faults, w)
	}
	e.out = len(e.faults) > 0
	if e.r == nil {
		e.out, e.r = true, &recipe.Recipe{Pos: recipe.Pos{File: f.Path}}
	}
	e.fold = b.word(e.r.Name).fold
	if f.Recipe != nil && e.fold == "" && !e.out {
		e.fault(e.r.Pos, codeName, "The recipe's name has no letter or digit.", "recipe: NAME")
	}
	for _, a := range e.r.Also { // a variant does not inherit them
		if f := b.word(a).fold; f != "" && f != e.fold && !slices.Contains(e.also, f) {
			e.also = append(e.also, f)
		}
	}
	return e
}

// named notes the names of all entries.
func (b *builder) named() {
	for _, e := range b.entries {
		if e.fold != "" {
			b.exact[e.fold] = append(b.exact[e.fold], e)
		}
		for _, f := range e.also {
			b.alias[f] = append(b.alias[f], e)
		}
	}
}

// sameNames puts out recipes that share one name.
func (b *builder) sameNames() {
	for _, e := range b.todo {
		same := b.exact[e.fold]
		if len(same) < 2 {
			continue
		}
		var others []string
		for _, o := range same {
			if o != e && len(others) < maxShown {
				others = append(others, o.file.Path)
			}
		}
		e.fault(e.r.Pos, codeSameName, "Another file has a recipe named "+quote(e.r.Name)+" too: "+strings.Join(others, ", ")+". Both are out.",
			"another name in one of them")
	}
}

// finish resolves one recipe; all that it draws on are finished before it.
func (b *builder) finish(e *entry) {
	e.faults = dropDoubles(e.faults)
	b.outLinks(e)
	if e.out {
		return
	}
	rec := &Recipe{plain: name.Plain(e.r.Name), Recipe: e.r, ID: e.file.ID, Revision: e.file.Revision}
	if rec.ID == "" {
		rec.ID = RecipeID(e.file.Path)
	}
	b.amounts(e)
	if !e.out {
		b.formula(e, rec)
	}
	if e.out {
		return
	}
	rec.Lines = e.lines
	e.rec = rec
	if mass, err := rec.Formula.Finished(); err == nil {
		rec.Finished, rec.HasFinished = mass, true
	}
	b.warnings(e)
	e.terms = nil
}

// fill puts the good recipes, the ones that are out and all that is to say into s.
func (b *builder) fill(s *Snapshot, faults []recipe.Fault) {
	for _, e := range b.entries {
		if e.rec != nil {
			s.Recipes = append(s.Recipes, e.rec)
		}
	}
	slices.SortFunc(s.Recipes, inOrder) // good recipes have names of their own
	b.fillOut(s)
	b.tell(b.entries, faults)
	s.Faults, s.Warnings = b.faults.once(), b.warns.once()
}

// inOrder compares recipes by name: without regard to case and accents first.
func inOrder(a, b *Recipe) int {
	return cmp.Or(strings.Compare(a.plain, b.plain), strings.Compare(a.Name, b.Name))
}

// fillOut puts the recipes that are out into s.
func (b *builder) fillOut(s *Snapshot) {
	for _, e := range b.entries {
		if e.rec == nil && e.fold != "" {
			if e.outRec == nil {
				e.outRec = &OutRecipe{Name: e.r.Name, Also: slices.Clone(e.r.Also), Faults: slices.Clone(e.faults)}
			}
			s.Out = append(s.Out, e.outRec)
		}
	}
	s.Out = byName(s.Out, func(o *OutRecipe) string { return o.Name })
}

// word folds text and looks it up in the larder, once for each spelling.
func (b *builder) word(text string) *word {
	w, ok := b.words[text]
	if !ok && b.root != nil {
		w, ok = b.root.words[text]
	}
	if !ok {
		w = &word{fold: name.Fold(text)}
		w.item = b.larder.Find(text)
		b.words[text] = w
	}
	return w
}

// byName returns all in order of name: without regard to case and accents first.
func byName[T any](all []T, nameOf func(T) string) []T {
	type keyed struct {
		plain, text string
		v           T
	}
	ks := make([]keyed, len(all))
	for i, v := range all {
		text := nameOf(v)
		ks[i] = keyed{name.Plain(text), text, v}
	}
	slices.SortStableFunc(ks, func(a, b keyed) int {
		return cmp.Or(strings.Compare(a.plain, b.plain), strings.Compare(a.text, b.text))
	})
	out := make([]T, len(ks))
	for i := range ks {
		out[i] = ks[i].v
	}
	return out
}

func dropDoubles(fs []recipe.Fault) []recipe.Fault {
	type place struct {
		file, code, text string
		line, column     int
	}
	seen := make(map[place]bool, len(fs))
	return slices.DeleteFunc(fs, func(f recipe.Fault) bool {
		p := place{f.File, f.Code, f.Text, f.Line, f.Column}
		if f.Line == 0 || !seen[p] {
			seen[p] = true
			return false
		}
		return true
	})
}
