package kb

import (
	"cmp"
	"context"
	"slices"
	"strings"

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

	seen, low, knot int // while circles are looked for; knot: the circles it is in, 0 none
	open            bool
}

// builder holds what one Build needs; it is thrown away afterwards.
type builder struct {
	house   *houseNames
	larder  *larder.Larder
	entries []*entry // in order of path
	exact   map[string][]*entry
	alias   map[string][]*entry
	words   map[string]*word
	near    *nearest

	spellings map[string]map[string]int // of an ingredient: how often the lines write it so
	spelt     map[string]string
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
		s.House = &recipe.House{Language: "en", Allergens: "EU"}
	}
	if s.Larder == nil {
		s.Larder = larder.New(nil)
	}
	b := &builder{
		house: newHouseNames(s.House), larder: s.Larder, words: map[string]*word{},
		spellings: map[string]map[string]int{}, spelt: map[string]string{},
		exact: make(map[string][]*entry, len(in.Recipes)), alias: map[string][]*entry{},
	}
	b.house.unread = b.house.empty() && slices.ContainsFunc(in.Faults, func(f recipe.Fault) bool {
		return f.File == houseFile && f.Level == recipe.LevelFault
	})
	b.collect(in.Recipes)
	b.sameNames()
	b.applyVariants()
	b.index()
	for _, e := range b.entries {
		b.checkNames(e)
		b.link(e)
	}
	order := b.order()
	for _, e := range order {
		if ctx.Err() != nil {
			break
		}
		b.finish(e)
	}
	b.fill(s, in.Faults)
	s.makeIndex(b)
	return s
}

// collect makes the entries, in order of path.
func (b *builder) collect(files []File) {
	for i := range files {
		f := &files[i]
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
		b.entries = append(b.entries, e)
	}
	slices.SortStableFunc(b.entries, func(a, c *entry) int { return strings.Compare(a.file.Path, c.file.Path) })
}

// sameNames puts out recipes that share one name.
func (b *builder) sameNames() {
	for _, e := range b.entries {
		if e.fold != "" {
			b.exact[e.fold] = append(b.exact[e.fold], e)
		}
	}
	for _, e := range b.entries {
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

// index notes the other names, once variants have theirs.
func (b *builder) index() {
	for _, e := range b.entries {
		for _, a := range e.r.Also {
			f := b.word(a).fold
			if f == "" || f == e.fold || slices.Contains(e.also, f) {
				continue
			}
			e.also = append(e.also, f)
			b.alias[f] = append(b.alias[f], e)
		}
	}
}

// finish resolves one recipe; all that it draws on are finished before it.
func (b *builder) finish(e *entry) {
	e.faults = dropDoubles(e.faults)
	b.outLinks(e)
	if e.out {
		return
	}
	rec := &Recipe{Recipe: e.r, ID: e.file.ID, Revision: e.file.Revision}
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
	for _, f := range faults {
		s.add(f)
	}
	for _, e := range b.entries {
		for _, f := range e.faults {
			s.add(f)
		}
		for _, f := range e.warns {
			s.add(f)
		}
		switch {
		case e.rec != nil:
			s.Recipes = append(s.Recipes, e.rec)
		case e.fold != "":
			s.Out = append(s.Out, &OutRecipe{Name: e.r.Name, Also: slices.Clone(e.r.Also), Faults: slices.Clone(e.faults)})
		}
	}
	s.Recipes = byName(s.Recipes, func(r *Recipe) string { return r.Name })
	s.Out = byName(s.Out, func(o *OutRecipe) string { return o.Name })
	s.Faults = sorted(s.Faults)
	s.Warnings = sorted(s.Warnings)
	for _, r := range s.Recipes {
		for i, l := range r.Lines {
			if l.Link != nil && !slices.ContainsFunc(r.Lines[:i], func(o Line) bool { return o.Link == l.Link }) {
				l.Link.UsedIn = append(l.Link.UsedIn, r)
			}
		}
	}
	for _, r := range s.Recipes {
		r.UsedIn = slices.Clip(r.UsedIn)
	}
}

func (s *Snapshot) add(f recipe.Fault) {
	if f.Level == recipe.LevelWarning {
		s.Warnings = append(s.Warnings, f)
		return
	}
	s.Faults = append(s.Faults, f)
}

// word folds text and looks it up in the larder, once for each spelling.
func (b *builder) word(text string) *word {
	w, ok := b.words[text]
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

// sorted orders faults by place. What a variant inherits from its base stands in
// one place of one file and is listed once.
func sorted(fs []recipe.Fault) []recipe.Fault {
	slices.SortStableFunc(fs, func(a, b recipe.Fault) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column),
			cmp.Compare(a.Code, b.Code), cmp.Compare(a.Text, b.Text))
	})
	return slices.Clip(dropDoubles(fs))
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
