package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
)

// frameUses: which recipes use something, or go without it.
func frameUses(s *sense) []reading {
	if s.begins("use", "using") && s.oneForAnother() {
		return nil // "use almonds for the hazelnuts in the praline"
	}
	r := s.reading(WantUses, "lookup")
	r.consumes = plainCues.with(cueUses, cueContain, cueHowmany, cueIngredients, cueCard, cueWhere, cueOr)
	onMenu := s.any(cueMenu) && s.any(cueContain) && len(s.names)+len(s.allergens) > 0 // "any sesame on the menu"
	if !onMenu && !s.among(&r) && !s.any(cueUses) {
		return nil
	}
	if onMenu {
		r.consumes = r.consumes.with(cueMenu)
	}
	for _, i := range s.names {
		if it, ok := s.item(i); ok && !r.used[i] {
			if !onMenu && s.selects(s.span(i).from) {
				return nil // "which creams use gelatine" asks for no cream
			}
			if s.shunned(i) {
				r.q.Exclude = append(r.q.Exclude, it)
			} else {
				r.q.Items = append(r.q.Items, it)
			}
			r.used[i] = true
		}
	}
	for _, i := range s.allergens { // "with pear but no egg"
		if s.shunned(i) {
			r.used[i] = true
			r.q.Allergen = append(r.q.Allergen, s.span(i).allergen)
		}
	}
	if len(r.q.Allergen)+len(r.q.Exclude) > 0 {
		s.useBacks(&r)
		r.q.Free = true
		if len(r.q.Items) == 0 && (len(r.q.Exclude) == 0 || slices.ContainsFunc(s.names, func(i int) bool {
			_, n, ok := s.l.allergenAt(s.span(i).from)
			return ok && s.span(i).from+n == s.span(i).to && s.shunned(i)
		})) {
			return nil // "which recipes have no egg": what is free of an allergen is worked out by frameMenuFor
		}
	}
	if len(r.q.Items)+len(r.q.Exclude) == 0 {
		for i := range s.p.spans {
			if it, ok := s.foreign(i); ok && !s.span(i).strange && !r.used[i] {
				if s.shunned(i) {
					return nil
				}
				r.q.Items = append(r.q.Items, it)
				r.used[i] = true
				r.extra -= costFood - 1
			}
		}
	}
	if slices.ContainsFunc(s.names, func(i int) bool {
		w := s.before(i)
		return len(r.q.Among) == 0 && len(s.recipesOf(i, 1)) > 0 && !s.l.ingredientAt(s.span(i)) && (w == "the" || w == "in" || w == "on")
	}) {
		r.extra += 8 // "does anything in the crémeux have egg" is of the crémeux
	}
	if len(r.q.Items)+len(r.q.Exclude) == 0 {
		s.takeAllergens(&r)
		r.consumes = r.consumes.with(cueAllergen, cueMenu)
		r.q.About = "allergen"
		if len(r.q.Allergen) == 0 || s.any(cueFree, cueWithout) {
			return nil
		}
	}
	return []reading{r}
}

// among finds of which recipes alone it is asked: "which ice creams have …", "any
// of the sauces without …". A kind is a part of several recipes' names or a section of the book.
func (s *sense) among(r *reading) bool {
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind == spanCue || sp.kind == spanQuantity || sp.kind == spanFactor || !s.selects(sp.from) {
			continue
		}
		var of []*kb.Recipe
		switch {
		case sp.kind == spanName && (s.after(i) == "recipes" || s.after(i) == "section"), sp.kind == spanUnused && sp.to == sp.from+1:
			for _, rec := range s.l.x.recipes {
				if name.Fold(rec.Section) == s.folded(sp) {
					of = append(of, rec)
				}
			}
		}
		if sp.kind == spanName && len(of) == 0 {
			if of = s.havingAll(sp); len(of) < 2 {
				continue
			}
		}
		if len(of) == 0 {
			continue
		}
		r.q.Among, r.q.AmongText = of, s.text(i)
		r.used[i] = true
		return true
	}
	return false
}

// havingAll are the recipes that have all words of a span in one of their names, in
// the order of the book.
func (s *sense) havingAll(sp *span) []*kb.Recipe {
	count := map[*kb.Recipe]int{}
	for k := sp.from; k < sp.to; k++ {
		for _, id := range s.l.x.byWord[s.l.tokens[k].fold] {
			if e := &s.l.x.entries[id]; (e.Kind == kb.RecipeName || e.Kind == kb.RecipeAlias) && count[e.Recipe] == k-sp.from {
				count[e.Recipe]++
			}
		}
	}
	var of []*kb.Recipe
	for _, r := range s.l.x.recipes {
		if count[r] == sp.to-sp.from {
			of = append(of, r)
		}
	}
	return of
}

// selects reports whether the words before token k pick out some of a kind.
func (s *sense) selects(k int) bool {
	t := s.l.tokens
	for j := k - 1; j >= 0 && !t[j+1].breaks; j-- {
		switch t[j].plain {
		case "which", "what", "any":
			return true
		case "of", "the", "our", "your", "those", "these", "all":
		default:
			return false
		}
	}
	return false
}

// shunned reports whether what span i names is to be avoided.
func (s *sense) shunned(i int) bool { return s.negated(i) || s.barred(i) }

// barred reports whether the food of span i is one to go without: "no egg", "egg
// free", "don't have egg", "not made with egg".
func (s *sense) barred(i int) bool {
	if j := i + 1; j < len(s.p.spans) && s.span(j).kind == spanCue && s.span(j).cues.has(cueFree) {
		return true
	}
	wished := -1 // a word that asks for it: what stands close before may take that back
	for j := i - 1; j >= 0 && !s.l.tokens[s.span(j+1).from].breaks; j-- {
		sp := s.span(j)
		switch {
		case sp.kind != spanCue && sp.kind != spanAllergen:
			return false
		case s.takesBack(j):
			return s.l.tokens[sp.to-1].plain != "no" || s.listed(j+1, i) // "no sorry the walnut one" bars nothing
		case wished >= 0 && j < wished-2:
			return false
		case wished < 0 && sp.cues.meets(cueSet{}.with(cueWith, cueUses)):
			wished = j
		}
	}
	return false
}

// listed reports whether between spans i and j stand only more of a list: "no egg and milk".
func (s *sense) listed(i, j int) bool {
	for k := i; k < j; k++ {
		if sp := s.span(k); sp.kind != spanAllergen && !(sp.kind == spanCue && (sp.cues.has(cueAnd) || sp.cues.has(cueOr) || s.l.tokens[sp.from].plain == "any")) {
			return false
		}
	}
	return true
}

// takesBack reports whether a word of span j takes back: "without", "have no", "don't".
func (s *sense) takesBack(j int) bool {
	sp := s.span(j)
	return sp.kind == spanCue && (sp.cues.meets(cueSet{}.with(cueWithout, cueNot, cueNo, cueFree)) ||
		slices.ContainsFunc(s.l.tokens[sp.from:sp.to], func(t token) bool { return deny(strings.ReplaceAll(t.plain, "'", "")) }))
}

// useBacks uses up the words that take back.
func (s *sense) useBacks(r *reading) {
	r.consumes = r.consumes.with(cueWithout, cueNot, cueNo, cueFree)
	for j := range s.p.spans {
		if s.takesBack(j) {
			r.used[j] = true
		}
	}
}

// chooses reports whether some of the book's recipes are asked for: "which ones have no milk".
func (s *sense) chooses() bool {
	r := s.reading(WantUses, "")
	return s.any(cueUses) && s.saysOf("which", "recipes", "dishes", "desserts", "ones") || s.among(&r)
}

// wished reports whether the allergen of span i is asked for, not avoided:
// "something with walnut".
func (s *sense) wished(i int) bool {
	if s.barred(i) {
		return false
	}
	if j := i + 1; j < len(s.p.spans) && s.span(j).kind == spanCue && s.span(j).cues.has(cueAllergen) && !s.l.tokens[s.span(j).from].breaks {
		return false // "guest with nut allergy"
	}
	for j := i - 1; j >= 0; j-- {
		sp := s.span(j)
		if sp.kind != spanCue {
			return false
		}
		if sp.cues.meets(cueSet{}.with(cueWithout, cueNot, cueNo, cueFree, cueAllergen)) {
			return false
		}
		if sp.cues.has(cueWith) || sp.cues.has(cueContain) && !s.takesBack(j) {
			return true
		}
		if w := s.l.tokens[sp.to-1].plain; sp.cues.has(cueUses) && (w == "with" || w == "using" || w == "contains" || w == "has") {
			return true
		}
	}
	return false
}
