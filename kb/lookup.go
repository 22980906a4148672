package kb

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// index finds recipes and names by folded name.
type index struct {
	byID  map[RecipeID]*Recipe
	named map[string][]*Recipe // by name and by alias, names first
	exact map[string]*Recipe
	out   map[string][]*OutRecipe
	uses  map[string][]*Recipe
	used  map[*Recipe][]*Recipe // that draw on it
	house *houseNames
	names func() []Name
}

func (s *Snapshot) makeIndex(b *builder) {
	x := &s.index
	x.house = b.house
	var wg sync.WaitGroup
	wg.Go(func() { x.uses = usesOf(s.Recipes) })
	wg.Go(func() { x.used = usedIn(s.Recipes) })
	x.byID = make(map[RecipeID]*Recipe, len(s.Recipes))
	x.named = make(map[string][]*Recipe, 2*len(s.Recipes))
	x.exact = make(map[string]*Recipe, len(s.Recipes))
	for _, r := range s.Recipes {
		x.byID[r.ID] = r
		f := b.word(r.Name).fold
		x.exact[f] = r
		x.named[f] = append(x.named[f], r)
	}
	for _, r := range s.Recipes {
		for _, a := range r.Also {
			f := b.word(a).fold
			if f != "" && !slices.Contains(x.named[f], r) {
				x.named[f] = append(x.named[f], r)
			}
		}
	}
	x.outNames(s)
	x.names = sync.OnceValue(s.allNames)
	wg.Wait()
}

// usesOf finds, by folded name, the recipes with an ingredient of that name.
func usesOf(recipes []*Recipe) map[string][]*Recipe {
	all := map[string]*[]*Recipe{}
	of := func(fold string) *[]*Recipe {
		rs := all[fold]
		if rs == nil {
			rs = new([]*Recipe)
			all[fold] = rs
		}
		return rs
	}
	items := map[*larder.Item]*[]*Recipe{}
	for _, r := range recipes {
		use := func(rs *[]*Recipe) {
			if n := len(*rs); n == 0 || (*rs)[n-1] != r {
				*rs = append(*rs, r)
			}
		}
		for i := range r.Lines {
			l := &r.Lines[i]
			if l.Link != nil {
				continue
			}
			use(of(l.Fold))
			if l.Item == nil {
				continue
			}
			rs := items[l.Item]
			if rs == nil {
				rs = of(name.Fold(l.Item.Name))
				items[l.Item] = rs
			}
			use(rs)
		}
	}
	out := make(map[string][]*Recipe, len(all))
	for f, rs := range all {
		if f != "" {
			out[f] = *rs
		}
	}
	return out
}

// usedIn finds the recipes that draw on each.
func usedIn(recipes []*Recipe) map[*Recipe][]*Recipe {
	used := make(map[*Recipe][]*Recipe, len(recipes))
	for _, r := range recipes {
		for i := range r.Lines {
			if l := r.Lines[i].Link; l != nil && !drawsOn(r.Lines[:i], l) {
				used[l] = append(used[l], r)
			}
		}
	}
	return used
}

// outNames finds the recipes that are out.
func (x *index) outNames(s *Snapshot) {
	x.out = make(map[string][]*OutRecipe, len(s.Out))
	for _, o := range s.Out {
		for _, n := range append([]string{o.Name}, o.Also...) {
			f := name.Fold(n)
			if f != "" && !slices.Contains(x.out[f], o) {
				x.out[f] = append(x.out[f], o)
			}
		}
	}
}

// drawsOn reports whether one of the lines is the recipe to.
func drawsOn(lines []Line, to *Recipe) bool {
	for i := range lines {
		if lines[i].Link == to {
			return true
		}
	}
	return false
}

// UsedIn returns the recipes that link to r, in order of name.
func (s *Snapshot) UsedIn(r *Recipe) []*Recipe { return slices.Clone(s.index.used[r]) }

// Fingerprint is the hash of all bytes the book was read from: equal
// fingerprints, equal books.
func (s *Snapshot) Fingerprint() string { return s.fingerprint }

// Recipe returns the recipe with that id.
func (s *Snapshot) Recipe(id RecipeID) (*Recipe, bool) {
	r, ok := s.index.byID[id]
	return r, ok
}

// RecipeNamed returns the recipe of that name, or else the one that alone has it
// as an alias.
func (s *Snapshot) RecipeNamed(text string) (*Recipe, bool) {
	f := name.Fold(text)
	if r, ok := s.index.exact[f]; ok {
		return r, true
	}
	if rs := s.index.named[f]; len(rs) == 1 {
		return rs[0], true
	}
	return nil, false
}

// RecipesNamed returns all recipes with that name or alias: the one of that
// name first, then in order of name.
func (s *Snapshot) RecipesNamed(text string) []*Recipe {
	return slices.Clone(s.index.named[name.Fold(text)])
}

// OutNamed returns the recipes with that name or alias that are out, in order of name.
func (s *Snapshot) OutNamed(text string) []*OutRecipe {
	return slices.Clone(s.index.out[name.Fold(text)])
}

// UsesOf returns the recipes that have the ingredient on a line, by that name or
// another of its names in the larder, in order of name. Links do not count: see
// [Snapshot.UsedIn].
func (s *Snapshot) UsesOf(ingredient string) []*Recipe {
	f := name.Fold(ingredient)
	if it := s.Larder.Find(ingredient); it != nil {
		if all := s.index.uses[name.Fold(it.Name)]; len(all) > 0 {
			return slices.Clone(all)
		}
	}
	return slices.Clone(s.index.uses[f])
}

// Pan returns the house's pan of that name.
func (s *Snapshot) Pan(text string) (recipe.Pan, bool) {
	if p := s.index.house.pan(name.Fold(text)); p != nil {
		return *p, true
	}
	return recipe.Pan{}, false
}

// Mould returns the house's mould of that name.
func (s *Snapshot) Mould(text string) (recipe.Mould, bool) {
	if m := s.index.house.mould(name.Fold(text)); m != nil {
		return *m, true
	}
	return recipe.Mould{}, false
}

// Machine returns the house's machine of that name.
func (s *Snapshot) Machine(text string) (recipe.Machine, bool) {
	if m := s.index.house.machine(name.Fold(text)); m != nil {
		return *m, true
	}
	return recipe.Machine{}, false
}

// Cold returns the house's cold place of that name.
func (s *Snapshot) Cold(text string) (recipe.Cold, bool) {
	if i, ok := s.index.house.cold[name.Fold(text)]; ok {
		return s.House.Cold[i], true
	}
	return recipe.Cold{}, false
}

// Names returns every name of the book: recipes and their aliases, recipes that
// are out, the larder's names and synonyms, names of lines, pans, moulds,
// machines, cold places and scales. In order of text, then kind.
func (s *Snapshot) Names() []Name { return slices.Clone(s.index.names()) }

func (s *Snapshot) allNames() []Name {
	var all []Name
	for _, r := range s.Recipes {
		all = append(all, Name{Text: r.Name, Kind: RecipeName, Recipe: r})
		for _, a := range r.Also {
			all = append(all, Name{Text: a, Kind: RecipeAlias, Recipe: r})
		}
	}
	for _, o := range s.Out {
		for _, n := range append([]string{o.Name}, o.Also...) {
			all = append(all, Name{Text: n, Kind: OutName, Out: o})
		}
	}
	inBook := map[*larder.Item]bool{}
	lines := map[string]bool{}
	for _, r := range s.Recipes {
		for i := range r.Lines {
			switch l := &r.Lines[i]; {
			case l.Link != nil:
			case l.Item != nil:
				inBook[l.Item] = true
			case !lines[l.Fold]:
				lines[l.Fold] = true
				all = append(all, Name{Text: l.Name, Kind: IngredientName, InBook: true})
			}
		}
	}
	builtIn := map[*larder.Item]bool{}
	for _, it := range larder.BuiltIn() {
		builtIn[it] = true
	}
	here := make(map[*larder.Item]bool, len(builtIn))
	for _, it := range s.Larder.Items() {
		if builtIn[it] {
			here[it] = true
			continue
		}
		all = append(all, Name{Text: it.Name, Kind: IngredientName, Item: it, InBook: inBook[it]})
		for _, a := range it.Also {
			all = append(all, Name{Text: a, Kind: IngredientAlias, Item: it, InBook: inBook[it]})
		}
	}
	all = append(all, houseOf(s.House)...)
	for i := range all {
		all[i].Fold = name.Fold(all[i].Text)
	}
	slices.SortStableFunc(all, func(a, b Name) int { return cmp.Compare(a.Kind, b.Kind) })
	return withSpellings(byName(all, func(n Name) string { return n.Text }), here, inBook)
}

// withSpellings merges the names of the built-in items, which lie ready in
// order, into those of the book.
func withSpellings(book []Name, here, inBook map[*larder.Item]bool) []Name {
	spellings := larder.Spellings()
	out := make([]Name, 0, len(book)+len(spellings))
	plain := make([]string, len(book))
	for i := range book {
		plain[i] = name.Plain(book[i].Text)
	}
	at := 0
	for i := range spellings {
		sp := &spellings[i]
		if !here[sp.Item] {
			continue
		}
		n := Name{Text: sp.Text, Fold: sp.Fold, Kind: IngredientName, Item: sp.Item, InBook: inBook[sp.Item]}
		if sp.Alias {
			n.Kind = IngredientAlias
		}
		for at < len(book) && cmp.Or(strings.Compare(plain[at], sp.Plain), strings.Compare(book[at].Text, sp.Text), cmp.Compare(book[at].Kind, n.Kind)) <= 0 {
			out = append(out, book[at])
			at++
		}
		out = append(out, n)
	}
	return append(out, book[at:]...)
}

func houseOf(h *recipe.House) []Name {
	var all []Name
	for _, p := range h.Pans {
		all = append(all, Name{Text: p.Name, Kind: PanName})
	}
	for _, m := range h.Moulds {
		all = append(all, Name{Text: m.Name, Kind: MouldName})
	}
	for _, m := range h.Machines {
		all = append(all, Name{Text: m.Name, Kind: MachineName})
	}
	for _, c := range h.Cold {
		all = append(all, Name{Text: c.Name, Kind: ColdName})
	}
	for _, c := range h.Scales {
		all = append(all, Name{Text: c.Name, Kind: ScaleName})
	}
	return all
}
