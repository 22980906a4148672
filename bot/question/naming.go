package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// endsName reports whether tokens i to j are the last words of a name, in order.
func (l *lattice) endsName(i, j int, words []string) bool {
	end := words[len(words)-(j-i):]
	for k := i; k < j; k++ {
		if w := end[k-i]; l.tokens[k].fold != w && l.tokens[k].plain != w {
			return false
		}
	}
	return true
}

// turned reports whether tokens i to j are the words, all of them and nothing
// else, in another order.
func (l *lattice) turned(i, j int, words []string) bool {
	if j-i != len(words) {
		return false
	}
	left := slices.Clone(words)
	same := true
	for k := i; k < j; k++ {
		same = same && (l.tokens[k].fold == words[k-i] || l.tokens[k].plain == words[k-i])
		at := slices.IndexFunc(left, func(w string) bool { return w == l.tokens[k].fold || w == l.tokens[k].plain })
		if at < 0 {
			return false
		}
		left = slices.Delete(left, at, at+1)
	}
	return !same
}

// hasNumber reports whether one of the tokens i to j is a number.
func (l *lattice) hasNumber(i, j int) bool {
	return slices.ContainsFunc(l.tokens[i:j], func(t token) bool { return t.number })
}

// runsOn reports whether a name of several words, written out, begins between two
// tokens and goes on past the second.
func (l *lattice) runsOn(from, to int) bool {
	for k := from; k < to; k++ {
		for i := range l.starts[k] {
			if s := &l.starts[k][i]; s.kind == spanName && s.to > to && slices.ContainsFunc(s.names, func(h hit) bool { return !h.part && h.cost == costName }) {
				return true
			}
		}
	}
	return false
}

// headsRecipe reports whether a span means the one recipe whose name it ends: "the
// buns", "a bun", "buns", but not "bun".
func (l *lattice) headsRecipe(sp *span) bool {
	before := ""
	if sp.from > 0 && !l.tokens[sp.from].breaks {
		before = l.tokens[sp.from-1].plain
	}
	if last := l.tokens[sp.to-1].plain; before != "the" && before != "our" && before != "a" && before != "one" && before != "each" && last == name.Singular(last) {
		return false
	}
	return l.endsOne(sp)
}

// endsOne reports whether a span's words end the names of one recipe alone.
func (l *lattice) endsOne(sp *span) bool {
	var of *kb.Recipe
	for _, id := range l.x.byWord[l.tokens[sp.to-1].fold] {
		e := &l.x.entries[id]
		if e.Recipe == nil || len(e.words) < sp.to-sp.from || !l.endsName(sp.from, sp.to, e.words) {
			continue
		}
		if of != nil && of != e.Recipe {
			return false
		}
		of = e.Recipe
	}
	return of != nil
}

// ingredientAt reports whether a span's words write out an ingredient's name; one
// of the larder alone, that no line has, is none where a recipe is meant by it.
func (l *lattice) ingredientAt(sp *span) bool {
	for _, s := range l.starts[sp.from] {
		if s.kind != spanName || s.to != sp.to {
			continue
		}
		for _, h := range s.names {
			e := &l.x.entries[h.id]
			if !h.part && (e.Kind == kb.IngredientName || e.Kind == kb.IngredientAlias) && (e.InBook || e.Item == nil || e.Item.House || !l.headsRecipe(sp)) {
				return true
			}
		}
	}
	return false
}

// recipeAt reports whether a span's words stand in a recipe's name.
func (l *lattice) recipeAt(sp *span) bool {
	for _, s := range l.starts[sp.from] {
		if s.kind != spanName || s.to != sp.to {
			continue
		}
		for _, h := range s.names {
			if l.x.entries[h.id].Recipe != nil {
				return true
			}
		}
	}
	return false
}

// exactRecipe reports whether tokens i to j write out a recipe's name: then no
// longer name is meant.
func (l *lattice) exactRecipe(i, j int) bool {
	for k := range l.starts[i] {
		s := &l.starts[i][k]
		if s.kind != spanName || s.to != j {
			continue
		}
		for _, h := range s.names {
			if kind := l.x.entries[h.id].Kind; !h.part && h.cost == costName && (kind == kb.RecipeName || kind == kb.RecipeAlias) {
				return true
			}
		}
	}
	return false
}

// sharedName are the recipes that have span i for another name of theirs, where
// several have and none is called so.
func (s *sense) sharedName(i int) []*kb.Recipe {
	var out []*kb.Recipe
	for _, h := range s.span(i).names {
		e := &s.l.x.entries[h.id]
		switch {
		case h.part || h.cost != costName:
		case e.Kind == kb.RecipeName:
			return nil
		case e.Kind == kb.RecipeAlias && !slices.Contains(out, e.Recipe):
			out = append(out, e.Recipe)
		}
	}
	if len(out) < 2 || s.tellsWhich(i, out) {
		return nil
	}
	return out
}

// tellsWhich reports whether a word beside span i stands in the own name of one of the
// recipes: "glaze temperature, the bramble one".
func (s *sense) tellsWhich(i int, of []*kb.Recipe) bool {
	sp := s.span(i)
	for k := range s.l.tokens {
		if k >= sp.from && k < sp.to {
			continue
		}
		n := 0
		for _, r := range of {
			if slices.Contains(name.Words(r.Name), s.l.tokens[k].fold) && !structural(s.l.tokens[k].fold) {
				n++
			}
		}
		if n == 1 {
			return true
		}
	}
	return false
}

// mixOf reports whether it is asked what is in a recipe whose name span i ends:
// "the butter in the bun dough" of a cardamom bun. What is done with bread dough
// is asked of any bread.
func (s *sense) mixOf(i int, r reading) bool {
	rec := r.q.Targets[0].Recipe
	switch {
	case rec == nil, r.q.Want != WantShareOf && r.q.Want != WantAmount && r.q.Want != WantContent, len(r.q.Items) == 0 && r.q.Want != WantContent, s.before(i) != "the" && s.before(i) != "our":
		return false
	}
	last := s.folded(s.span(i))
	return slices.ContainsFunc(append([]string{rec.Name}, rec.Also...), func(n string) bool {
		w := name.Words(n)
		return len(w) > 0 && w[len(w)-1] == last
	})
}

// mixFor reports whether "for" or "of" and a recipe stand right behind span i.
func (s *sense) mixFor(i int, r reading) bool {
	k := s.span(i).to
	if k+1 >= len(s.l.tokens) || s.l.tokens[k].breaks || s.l.tokens[k].plain != "for" && s.l.tokens[k].plain != "of" {
		return false
	}
	if k++; isArticle(s.l.tokens[k].plain) {
		k++
	}
	return k < len(s.l.tokens) && slices.Contains(r.targets, s.spanAt(k))
}

// mixWord reports whether a word says what state a recipe is in.
func mixWord(w string) bool {
	switch w {
	case "batter", "dough", "mix", "mixture":
		return true
	}
	return false
}

// recipeRunsOn reports whether a recipe's name of several words begins at token from
// and goes on behind token to.
func (l *lattice) recipeRunsOn(from, to int) bool {
	at := int32(0)
	for k := from; k < len(l.tokens) && (k == from || !l.tokens[k].breaks); k++ {
		next, ok := l.x.next(at, l.tokens[k].fold)
		if !ok {
			return false
		}
		at = next
		if k >= to && slices.ContainsFunc(l.x.nodes[at].entries, func(id int32) bool { return l.x.entries[id].Recipe != nil && l.x.entries[id].Kind <= kb.RecipeAlias }) {
			return true
		}
	}
	return false
}

// WrittenOut is the one recipe whose whole name a text has, nil if none or several.
func (x *Lexicon) WrittenOut(text string, m quantity.Measure) *kb.Recipe {
	var found *kb.Recipe
	l := newLattice(x, text, m)
	for _, p := range l.paths(1) {
		for i := range p.spans {
			for _, h := range p.spans[i].names {
				e := &x.entries[h.id]
				if h.part || p.spans[i].note != "" || e.Kind != kb.RecipeName && e.Kind != kb.RecipeAlias || e.Recipe == found {
					continue
				}
				if found != nil {
					return nil
				}
				found = e.Recipe
			}
		}
	}
	return found
}

// headWord reports whether the word at k ends the name of a recipe: "gel" of a
// pear gel, which is a verb as well.
func (s *sense) headWord(k int) bool {
	w := s.l.tokens[k].fold
	return slices.ContainsFunc(s.l.x.byWord[w], func(id int32) bool {
		e := &s.l.x.entries[id]
		return e.Recipe != nil && len(e.words) > 1 && e.words[len(e.words)-1] == w
	})
}

// dishNot reports whether the verb of span i, after a food or a part of a name, is
// the end of a dish that the house has not: "sorrel gel".
func (s *sense) dishNot(i int, r reading) bool {
	sp := s.span(i)
	if i == 0 || sp.to != sp.from+1 || s.l.tokens[sp.from].breaks || s.span(i-1).kind != spanName || !s.headWord(sp.from) {
		return false
	}
	return !slices.Contains(r.targets, i-1) || len(r.q.Targets) == 1 && r.q.Targets[0].Part
}

// modified returns a target's name with the word before it, where that is a
// food or an unknown word that belongs to nothing else.
func (s *sense) modified(r reading) string {
	for _, i := range r.targets {
		if i == 0 || s.l.tokens[s.span(i).from].breaks {
			continue
		}
		b := s.span(i - 1)
		part := len(r.q.Targets) > 0 && r.q.Targets[0].Part
		switch {
		case b.kind == spanUnused && r.used[i-1]:
			continue // it says something else: "5 cm deep leek"
		case b.kind == spanUnused && len(s.text(i-1)) > 3 && (b.food || part && !s.l.tokens[b.from].number):
		case b.kind == spanName && part && !s.l.recipeAt(b) && (r.used[i-1] && len(r.q.Items) > 1 && r.q.Items[0].Text == s.text(i-1) || r.q.Want == WantKeeps): // "oat bread salt"
		case b.kind == spanCue && b.cues.has(cueModifier) && !b.cues.meets(r.consumes):
		case b.kind == spanAllergen && !s.any(aboutAllergens...) && (b.allergen.Kind != "" || part): // "pistachio ice cream" is another than the book's
		case b.kind == spanName && r.used[i-1] && foreignIn(r.q.Items, s.text(i-1)):
		default:
			continue
		}
		return s.text(i-1) + " " + s.text(i)
	}
	return ""
}

// namesTarget reports whether span i is another name, or a part of the name, of the
// one recipe that is meant, which is written out elsewhere.
func (s *sense) namesTarget(i int, r reading) bool {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Part || r.q.FromTalk {
		return false
	}
	again := slices.ContainsFunc(r.targets, func(j int) bool { return s.folded(s.span(j)) == s.folded(s.span(i)) }) // "is the crumble called nut crumble"
	return slices.ContainsFunc(s.span(i).names, func(h hit) bool {
		e := &s.l.x.entries[h.id]
		return e.Recipe != nil && e.Recipe == r.q.Targets[0].Recipe && (h.part || !again && (e.Kind == kb.RecipeName || e.Kind == kb.RecipeAlias))
	})
}

// picksOfOne are the picks of one recipe that is known.
func (s *sense) picksOfOne() []pick {
	return slices.DeleteFunc(s.picks(), func(p pick) bool { return len(p.targets) != 1 || p.targets[0].Recipe == nil })
}
