package kb

import (
	"context"
	"maps"
	"slices"
	"strings"
	"sync"

	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// kept is what a snapshot keeps of its building, so that the next one is made from
// it with work for what changed only. Nothing in it changes.
type kept struct {
	entries       []*entry // in order of path
	exact, alias  map[string][]*entry
	spellings     map[string]map[string]int
	near          *nearest // nil: was not needed
	faults, warns tolds
	words         map[string]bool // folded names of parts and pieces; may hold too many
	vocabulary    *byte           // the same for snapshots whose names are the same
}

func (s *Snapshot) keep(b *builder) {
	s.kept = &kept{entries: b.entries, exact: b.exact, alias: b.alias, spellings: b.spellings, near: b.near, faults: b.faults, warns: b.warns,
		words: map[string]bool{}, vocabulary: new(byte)}
	for _, r := range s.Recipes {
		for i := range r.Lines {
			for _, w := range [2]string{r.Lines[i].Part, r.Lines[i].Amount.Piece} {
				if w != "" {
					s.kept.words[b.word(w).fold] = true
				}
			}
		}
	}
}

// SameNames reports that [Snapshot.Names] of both are the same one by one, but
// for the recipes they lead to. It may miss it, never the other way round.
func (s *Snapshot) SameNames(o *Snapshot) bool {
	return s != nil && o != nil && s.kept != nil && o.kept != nil && s.kept.vocabulary == o.kept.vocabulary
}

// Rebuild makes the same snapshot as [Build] from the one before: what did not
// change, and rests on nothing that did, is shared. Another house or larder, or a
// change that reaches half of the book, is a Build.
func Rebuild(ctx context.Context, was *Snapshot, in Input) *Snapshot {
	if was == nil || was.kept == nil || in.Larder != was.Larder || in.House != was.House && (in.House != nil || was.House != noHouse) {
		return Build(ctx, in)
	}
	r := &redo{was: was, old: was.kept, stale: map[*entry]bool{}, folds: map[string]bool{}}
	b := &builder{house: newHouseNames(was.House)}
	b.readUnread(in.Faults)
	if b.house.unread != was.index.house.unread || !r.compare(in.Recipes) {
		return Build(ctx, in)
	}
	r.spread()
	for {
		if 2*len(r.stale) > len(r.old.entries) || len(r.fresh) > len(r.old.entries) {
			return Build(ctx, in)
		}
		b = r.begin()
		b.connect()
		if !r.respelt(b) {
			break
		}
	}
	b.finishAll(ctx)
	if ctx.Err() != nil {
		return Build(ctx, in)
	}
	s := &Snapshot{House: was.House, Larder: was.Larder, Revision: in.Revision, fingerprint: in.Fingerprint}
	r.fill(s, b, in.Faults)
	return s
}

// redo is one Rebuild.
type redo struct {
	was     *Snapshot
	old     *kept
	fresh   []*File         // new ones and new versions, in order of path
	stale   map[*entry]bool // of the old entries: gone, or to be made again
	removed map[*entry]bool // of those: not made again from their old file
	renamed bool            // the book has other names of recipes
	folds   map[string]bool // these
}

// compare finds the files that changed; false: they cannot be told apart.
func (r *redo) compare(files []File) bool {
	now := make([]*File, len(files))
	for i := range files {
		now[i] = &files[i]
	}
	byPath := func(a, b *File) int { return strings.Compare(a.Path, b.Path) }
	if !slices.IsSortedFunc(now, byPath) {
		slices.SortFunc(now, byPath)
	}
	r.removed = map[*entry]bool{}
	old := r.old.entries
	for len(old) > 0 || len(now) > 0 {
		if len(now) > 1 && now[0].Path == now[1].Path || len(old) > 1 && old[0].file.Path == old[1].file.Path {
			return false
		}
		var e *entry
		var f *File
		if len(now) == 0 || len(old) > 0 && old[0].file.Path <= now[0].Path {
			e = old[0]
		}
		if len(old) == 0 || len(now) > 0 && now[0].Path <= old[0].file.Path {
			f = now[0]
		}
		if e != nil {
			old = old[1:]
		}
		if f != nil {
			now = now[1:]
		}
		if e != nil && f != nil && e.file.same(f) {
			continue
		}
		if e != nil {
			r.stale[e], r.removed[e] = true, true
		}
		if f != nil {
			r.fresh = append(r.fresh, f)
		}
		var before, after []string
		if e != nil {
			before = e.file.names()
		}
		if f != nil {
			after = f.names()
		}
		if !slices.Equal(before, after) {
			r.renamed = true
			for _, n := range slices.Concat(before, after) {
				r.folds[name.Fold(n)] = true
			}
		}
	}
	return true
}

func (f *File) same(o *File) bool {
	return f.Path == o.Path && f.ID == o.ID && f.Revision == o.Revision && f.Recipe == o.Recipe && len(f.Faults) == len(o.Faults) &&
		(len(f.Faults) == 0 || &f.Faults[0] == &o.Faults[0])
}

// names are those of the recipe, as written.
func (f *File) names() []string {
	if f.Recipe == nil {
		return nil
	}
	return append([]string{f.Recipe.Name}, f.Recipe.Also...)
}

// spread finds what names a changed recipe or rests on one.
func (r *redo) spread() {
	if r.renamed {
		for _, e := range r.old.entries {
			if !r.stale[e] && (e.asksNear || r.isAsked(e)) {
				r.stale[e] = true
			}
		}
	}
	r.close()
}

func (r *redo) isAsked(e *entry) bool {
	is := func(f string) bool { return r.folds[f] }
	return is(e.fold) || slices.ContainsFunc(e.also, is) || slices.ContainsFunc(e.asks, is) ||
		slices.ContainsFunc(e.lines, func(l Line) bool { return is(l.Fold) })
}

// close adds all that rest on stale entries.
func (r *redo) close() {
	rests := func(e *entry) bool {
		if e.base != nil && r.stale[e.base] {
			return true
		}
		for _, t := range e.links {
			if t != nil && r.stale[t] {
				return true
			}
		}
		return false
	}
	for more := len(r.stale) > 0; more; {
		more = false
		for _, e := range r.old.entries {
			if !r.stale[e] && rests(e) {
				r.stale[e], more = true, true
			}
		}
	}
}

// begin makes the builder: entries anew for what is stale, the others shared.
func (r *redo) begin() *builder {
	b := &builder{
		house: r.was.index.house, larder: r.was.Larder, words: map[string]*word{},
		spellings: maps.Clone(r.old.spellings), spelt: map[string]string{}, owned: map[string]bool{},
		exact: maps.Clone(r.old.exact), alias: maps.Clone(r.old.alias),
	}
	if !r.renamed {
		b.near = r.old.near
	}
	for _, f := range r.fresh {
		b.todo = append(b.todo, b.entry(f))
	}
	var left []*entry
	for _, e := range r.old.entries {
		switch {
		case !r.stale[e]:
			left = append(left, e)
		case !r.removed[e]:
			b.todo = append(b.todo, b.entry(e.file))
		}
	}
	slices.SortFunc(b.todo, byPath)
	b.entries = merge(left, b.todo, byPath)
	r.patch(b.exact, b.todo, func(e *entry) []string { return []string{e.fold} })
	r.patch(b.alias, b.todo, func(e *entry) []string { return e.also })
	for e := range r.stale { // sums: any order
		for i, k := range e.keys {
			if e.links[i] == nil {
				b.unspell(e.lines[i].Name, k)
			}
		}
	}
	return b
}

func byPath(a, b *entry) int { return strings.Compare(a.file.Path, b.file.Path) }

// patch takes the stale entries out of an index by name and puts those to do in.
func (r *redo) patch(index map[string][]*entry, todo []*entry, names func(*entry) []string) {
	adds := map[string][]*entry{}
	for _, e := range todo {
		for _, f := range names(e) {
			adds[f] = append(adds[f], e)
		}
	}
	touched := map[string]bool{}
	for e := range r.stale {
		for _, f := range names(e) {
			touched[f] = true
		}
	}
	for f := range adds {
		touched[f] = true
	}
	delete(touched, "")
	for f := range touched { // each by itself
		left := slices.DeleteFunc(slices.Clone(index[f]), func(e *entry) bool { return r.stale[e] })
		put(index, f, merge(left, adds[f], byPath))
	}
}

func put[K comparable, V any](index map[K][]V, at K, all []V) {
	if len(all) == 0 {
		delete(index, at)
		return
	}
	index[at] = all
}

// unspell takes one line's spelling out.
func (b *builder) unspell(text, key string) {
	m := b.spellings[key]
	if !b.owned[key] {
		m = maps.Clone(m)
		b.spellings[key], b.owned[key] = m, true
	}
	if m[text]--; m[text] <= 0 {
		delete(m, text)
	}
}

// respelt finds the entries whose ingredients go by another name than before.
func (r *redo) respelt(b *builder) bool {
	changed := map[string]bool{}
	for k := range b.owned {
		if len(b.spellings[k]) == 0 {
			delete(b.spellings, k)
		}
		if mostly(b.spellings[k]) != mostly(r.old.spellings[k]) {
			changed[k] = true
		}
	}
	if len(changed) == 0 {
		return false
	}
	had := len(r.stale)
	for _, e := range r.old.entries {
		if !r.stale[e] && slices.ContainsFunc(e.keys, func(k string) bool { return changed[k] }) {
			r.stale[e] = true
		}
	}
	if len(r.stale) == had {
		return false
	}
	r.close()
	return true
}

// fill makes the snapshot.
func (r *redo) fill(s *Snapshot, b *builder, faults []recipe.Fault) {
	gone := map[*Recipe]bool{}
	for e := range r.stale {
		if e.rec != nil {
			gone[e.rec] = true
		}
	}
	var made []*Recipe
	for _, e := range b.todo {
		if e.rec != nil {
			made = append(made, e.rec)
		}
	}
	slices.SortFunc(made, inOrder)
	s.Recipes = replaced(r.was.Recipes, gone, made)
	b.fillOut(s)
	old := func(t told) bool { return t.by == nil || r.stale[t.by] }
	b.faults = slices.DeleteFunc(slices.Clone(r.old.faults), old)
	b.warns = slices.DeleteFunc(slices.Clone(r.old.warns), old)
	b.tell(b.todo, faults)
	s.Faults, s.Warnings = b.faults.once(), b.warns.once()
	r.index(s, b, gone, made)
	s.kept = &kept{entries: b.entries, exact: b.exact, alias: b.alias, spellings: b.spellings, near: b.near, faults: b.faults, warns: b.warns,
		words: r.old.words, vocabulary: new(byte)}
	if r.sameNames(s, b) {
		s.kept.vocabulary = r.old.vocabulary
	} else {
		s.kept.words = maps.Clone(r.old.words)
		for _, rec := range made {
			for i := range rec.Lines {
				for _, w := range [2]string{rec.Lines[i].Part, rec.Lines[i].Amount.Piece} {
					if w != "" {
						s.kept.words[name.Fold(w)] = true
					}
				}
			}
		}
	}
	s.index.names = sync.OnceValue(func() []Name { return r.names(s) })
	if s.kept.vocabulary != r.old.vocabulary {
		s.index.names = sync.OnceValue(s.allNames)
	}
}

// replaced is all without those gone and with those made; all are in order of name.
func replaced(all []*Recipe, gone map[*Recipe]bool, made []*Recipe) []*Recipe {
	left := make([]*Recipe, 0, len(all)+len(made))
	for _, rec := range all {
		if !gone[rec] {
			left = append(left, rec)
		}
	}
	return merge(left, made, inOrder)
}

// index makes the index of the one before right for s.
func (r *redo) index(s *Snapshot, b *builder, gone map[*Recipe]bool, made []*Recipe) {
	was, x := &r.was.index, &s.index
	x.house = was.house
	x.byID, x.exact, x.named = maps.Clone(was.byID), maps.Clone(was.exact), maps.Clone(was.named)
	x.uses, x.used = maps.Clone(was.uses), maps.Clone(was.used)
	x.outNames(s)
	names, foods, targets := map[string]bool{}, map[string][]*Recipe{}, map[*Recipe][]*Recipe{}
	for e := range r.stale {
		if e.rec != nil {
			delete(x.byID, e.rec.ID)
			delete(x.exact, e.fold)
			delete(x.used, e.rec)
		}
		names[e.fold] = true
		for _, f := range e.also {
			names[f] = true
		}
	}
	for rec := range gone {
		for _, f := range rec.foods() {
			foods[f] = nil
		}
		for i := range rec.Lines {
			if t := rec.Lines[i].Link; t != nil && !gone[t] {
				targets[t] = nil
			}
		}
	}
	for _, e := range b.todo {
		names[e.fold] = true
		for _, f := range e.also {
			names[f] = true
		}
		if e.rec != nil {
			x.byID[e.rec.ID] = e.rec
			x.exact[e.fold] = e.rec
		}
	}
	for _, rec := range made {
		for _, f := range rec.foods() {
			foods[f] = append(foods[f], rec)
		}
		for i := range rec.Lines {
			if t := rec.Lines[i].Link; t != nil && !drawsOn(rec.Lines[:i], t) {
				targets[t] = append(targets[t], rec)
			}
		}
	}
	for f, more := range foods {
		put(x.uses, f, replaced(was.uses[f], gone, more))
	}
	for t, more := range targets {
		put(x.used, t, replaced(was.used[t], gone, more))
	}
	delete(names, "")
	for f := range names {
		all := good(b.exact[f])
		put(x.named, f, append(all, good(b.alias[f])...))
	}
}

// good are the recipes of entries that are in, in order of name.
func good(es []*entry) []*Recipe {
	var out []*Recipe
	for _, e := range es {
		if e.rec != nil {
			out = append(out, e.rec)
		}
	}
	slices.SortFunc(out, inOrder)
	return out
}

// foods are the folded names by which the recipe uses ingredients, each once.
func (r *Recipe) foods() []string {
	var out []string
	add := func(f string) {
		if f != "" && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Link == nil {
			add(l.Fold)
			if l.Item != nil {
				add(name.Fold(l.Item.Name))
			}
		}
	}
	return out
}

// sameNames reports whether the names of s are those of the one before.
func (r *redo) sameNames(s *Snapshot, b *builder) bool {
	if r.renamed {
		return false
	}
	now := map[string]*entry{}
	for _, e := range b.todo {
		now[e.file.Path] = e
	}
	for was := range r.stale {
		e := now[was.file.Path]
		if e == nil || was.outRec != nil || e.outRec != nil || (e.rec == nil) != (was.rec == nil) || e.rec != nil && !r.sameLineNames(s, was.rec, e.rec) {
			return false
		}
		delete(now, was.file.Path)
	}
	for _, e := range now {
		if e.rec != nil || e.outRec != nil {
			return false
		}
	}
	return true
}

// lineName is what a line adds to the names of the book.
type lineName struct {
	text, fold string
	item       *larder.Item
}

// sameLineNames reports whether the lines of two versions of a recipe give the
// book the same names. A line that only one of them has gives none where others
// of the book have it, all written alike.
func (r *redo) sameLineNames(s *Snapshot, was, now *Recipe) bool {
	before, others := was.lineNames()
	after, same := now.lineNames()
	if slices.Equal(before, after) && slices.Equal(others, same) {
		return true
	}
	if !slices.Equal(others, same) {
		return false
	}
	ok := func(all, in []lineName) bool {
		for _, l := range all {
			if !slices.Contains(in, l) && !(r.isShared(r.was, l) && r.isShared(s, l)) {
				return false
			}
		}
		return true
	}
	return ok(before, after) && ok(after, before) && firstAgree(before, after)
}

// firstAgree reports whether no name is written in two ways.
func firstAgree(lists ...[]lineName) bool {
	texts := map[string]string{}
	for _, list := range lists {
		for _, l := range list {
			if t, ok := texts[l.fold]; ok && t != l.text {
				return false
			}
			texts[l.fold] = l.text
		}
	}
	return true
}

// isShared reports whether s has recipes with such a line, all that are named so written alike.
func (r *redo) isShared(s *Snapshot, l lineName) bool {
	if len(s.index.uses[l.fold]) == 0 || r.old.words[l.fold] {
		return false
	}
	key := l.fold
	if l.item != nil {
		key = name.Fold(l.item.Name)
	}
	for text := range s.kept.spellings[key] {
		if text != l.text && name.Fold(text) == l.fold {
			return false
		}
	}
	return true
}

// lineNames are the names of the recipe's own lines, each once, and the words of
// their parts and pieces.
func (r *Recipe) lineNames() (lines []lineName, others []string) {
	for i := range r.Lines {
		l := &r.Lines[i]
		for _, w := range [2]string{l.Part, l.Amount.Piece} {
			if w != "" && !slices.Contains(others, w) {
				others = append(others, w)
			}
		}
		if l.Link == nil {
			if n := (lineName{l.Name, l.Fold, l.Item}); !slices.Contains(lines, n) {
				lines = append(lines, n)
			}
		}
	}
	return lines, others
}

// names are those of the snapshot before, leading to the recipes of s.
func (r *redo) names(s *Snapshot) []Name {
	all := slices.Clone(r.was.index.names())
	for i := range all {
		if n := &all[i]; n.Recipe != nil {
			n.Recipe = s.index.byID[n.Recipe.ID]
		}
	}
	return all
}
