package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// restItems takes the names that are left as ingredients or parts of the targets.
func (s *sense) restItems(r reading) (reading, bool) {
	r = r.clone()
	without := false
	for i := range s.p.spans {
		sp := s.span(i)
		if s.l.tokens[sp.from].breaks && i > 0 {
			without = false
		}
		if sp.kind == spanCue && !sp.cues.has(cueFiller) {
			if sp.cues.has(cueWithout) || sp.cues.has(cueNot) {
				without = true
				r.consumes = r.consumes.with(cueWithout, cueNot)
				continue
			}
			if !light(sp.cues) && !sp.cues.has(cueAnd) && !andWord(s.l.tokens[sp.from].plain) {
				without = false
			}
		}
		if s.partCue(r, i) { // "butter for the turns"
			r.used[i] = true
			r.q.Parts = append(r.q.Parts, s.folded(sp))
			continue
		}
		if sp.kind == spanFactor {
			without = false // "no make it x1 sugar" puts the size right
		}
		if sp.kind != spanName || r.used[i] {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		if j := s.next(i); (j == i+1 || j == i+2 && s.after(i) == "of") && s.span(j).kind == spanName && !r.used[j] { // "cloves garlic", "leaves of gelatine"
			if of, ok := s.item(j); ok && s.counted(r, of, s.folded(sp)) {
				r.used[i] = true
				continue
			}
		}
		if s.before(i) == "in" && slices.ContainsFunc(r.q.Items, func(it Item) bool { return s.counted(r, it, s.folded(sp)) }) { // "… in leaves"
			r.used[i] = true
			continue
		}
		if i > 0 && len(r.q.Items) > 0 && s.span(i-1).kind == spanName && s.counted(r, r.q.Items[len(r.q.Items)-1], s.folded(sp)) { // "craquelin discs"
			r.used[i] = true
			r.extra -= sp.cost - costSpan
			continue
		}
		if w := s.after(i); (w == "part" || w == "bit" || w == "side" || w == "component") && s.isPart(r, i) { // "the syrup part of the glaze, sugar"
			r.used[i] = true
			r.q.Parts = append(r.q.Parts, s.partNamed(r, i))
			continue
		}
		if s.isPart(r, i) && s.partOfAsked(r, i) && !s.lineItself(r, it) { // "sugar in the soak", where some name ends in that word too
			r.used[i] = true
			r.q.Parts = append(r.q.Parts, s.partNamed(r, i))
			continue
		}
		if s.itself(r, i) && !s.onLine(r, it) && !s.liesOn(r, i) { // "how many tuiles from one batch of tuile"
			r.used[i] = true
			continue
		}
		if s.leadsTo(r, i, it) { // "bay set creams … bay bar recipe": which of them, no line
			r.used[i] = true
			continue
		}
		cost := costLostItem
		for _, t := range r.q.Targets {
			if m, c := it.match(t.Recipe); m != noMatch {
				cost = min(cost, c)
			}
		}
		if without && cost == costLostItem && s.l.recipeAt(sp) && len(r.targets) > 0 {
			continue // "quince sorbet, not cider": another recipe is not meant
		}
		if cost == costLostItem && s.l.recipeAt(sp) && !s.l.ingredientAt(sp) && len(s.names) > 2 {
			continue // another recipe is asked of too
		}
		if cost == costLostItem && s.isPart(r, i) { // "the flour for the dough"
			r.used[i] = true
			if !s.any(cueTotal) && !s.saysOf("altogether", "overall") { // "dough for 45 rolls, flour altogether"
				r.q.Parts = append(r.q.Parts, s.partNamed(r, i))
			}
			continue
		}
		r.used[i] = true
		r.extra += cost
		if len(r.q.Targets) == 1 && !r.q.Targets[0].Part && i > 0 && !without {
			if part, _ := s.linked(i, r.q.Targets[0].Recipe); part != nil {
				r.extra -= max(0, sp.cost-costSpan-1) // "glaze" of a dish that has a mirror glaze on it
			}
		}
		if cost == costItemPart && i > 0 && s.span(i-1).kind == spanUnused && !s.l.tokens[sp.from].breaks {
			r.extra += 2 // "commercial egg whites": some other than the line's
		}
		if without {
			r.q.Exclude = append(r.q.Exclude, it)
			continue
		}
		if cost == costLostItem {
			it.Foreign = true
		}
		r.q.Items = append(r.q.Items, it)
	}
	s.bind(&r)
	return r, len(r.q.Items) > 0
}

// partCue reports whether a word with another meaning stands where a part of a
// target's lines is named: "butter for the turns", "turns butter".
func (s *sense) partCue(r reading, i int) bool {
	sp := s.span(i)
	if sp.kind != spanCue && sp.kind != spanUnused || r.used[i] || light(sp.cues) && sp.kind == spanCue || s.partNamed(r, i) != s.folded(sp) || s.folded(sp) == "" {
		return false
	}
	for k := sp.from - 1; k >= 0 && !s.l.tokens[k+1].breaks; k-- {
		switch s.l.tokens[k].plain {
		case "the", "my", "their":
			continue
		case "for", "in", "of":
			return true
		}
		break
	}
	named := func(j int) bool { return j >= 0 && j < len(s.p.spans) && s.span(j).kind == spanName }
	return named(i-1) && s.before(i) != "" || named(i+1) && s.after(i) != ""
}

// counted reports whether w is the word by which a target's line counts the item.
func (s *sense) counted(r reading, it Item, w string) bool {
	return slices.ContainsFunc(r.q.Targets, func(t Target) bool { return s.countedBy(t.Recipe, it, w) })
}

func (s *sense) countedBy(r *kb.Recipe, it Item, w string) bool {
	if r == nil {
		return false
	}
	lines, _ := it.Lines(r)
	return slices.ContainsFunc(lines, func(l *kb.Line) bool {
		return l.Amount.Piece != "" && name.Singular(name.Fold(l.Amount.Piece)) == name.Singular(w)
	})
}

// isPart reports whether span i names a part of a target's lines.
func (s *sense) isPart(r reading, i int) bool { return s.partNamed(r, i) != "" }

// partNamed is the part of a target's lines that span i names, folded: written
// out, or by the end of its name where one part alone ends so; "" if none.
func (s *sense) partNamed(r reading, i int) string {
	f := s.folded(s.span(i))
	found := ""
	for _, t := range r.q.Targets {
		if t.Recipe == nil {
			continue
		}
		for k := range t.Recipe.Lines {
			part := name.Fold(t.Recipe.Lines[k].Part)
			switch {
			case part == "":
			case part == f:
				return part
			case !strings.HasSuffix(part, " "+f) || part == found:
			case found != "":
				return ""
			default:
				found = part
			}
		}
	}
	return found
}

// leadsTo reports whether span i, only a word of a line, stands right before a name
// of the target that is said once more.
func (s *sense) leadsTo(r reading, i int, it Item) bool {
	n := i + 1
	if n >= len(s.p.spans) || s.span(n).kind != spanName || s.l.tokens[s.span(n).from].breaks || !s.itself(r, n) || s.l.ingredientAt(s.span(n)) || slices.Contains(r.targets, n) {
		return false
	}
	return !s.lineItself(r, it) || slices.ContainsFunc(r.q.Targets, func(t Target) bool { return s.inName(t.Recipe, i) })
}

// partOfAsked reports whether "in", "for" or "of" stands before the part of span i, and
// what is asked of it has been named.
func (s *sense) partOfAsked(r reading, i int) bool {
	if s.any(cueTotal) || len(r.q.Items) == 0 && !slices.ContainsFunc(s.names, func(j int) bool { return j != i && !r.used[j] }) {
		return false
	}
	if n := i + 1; n < len(s.p.spans) && s.span(n).kind == spanName && !r.used[n] && !s.l.tokens[s.span(n).from].breaks {
		return true // "soak sugar"
	}
	k := s.span(i).from - 1
	for k > 0 && isArticle(s.l.tokens[k].plain) {
		k--
	}
	return k >= 0 && slices.Contains([]string{"in", "for", "of", "into"}, s.l.tokens[k].plain)
}

// lineItself reports whether an item is the very name of a line of a target.
func (s *sense) lineItself(r reading, it Item) bool {
	return slices.ContainsFunc(r.q.Targets, func(t Target) bool {
		if t.Recipe == nil {
			return false
		}
		_, exact := it.Matches(t.Recipe)
		return exact
	})
}

// leavesItem reports whether a word for a content that nothing took stands behind
// "and" and an ingredient, and the recipe has a line with that word.
func (s *sense) leavesItem(r *reading) bool {
	contents := cueSet{}.with(cueFatword, cueSugarword, cueSaltword, cueAlcoholword)
	for i := 2; i < len(s.p.spans); i++ {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.meets(contents) || !andWord(s.l.tokens[sp.from-1].plain) && s.l.tokens[sp.from-1].plain != "+" || !r.used[i-2] || s.span(i-2).kind != spanName {
			continue
		}
		word := s.l.tokens[sp.from].fold
		if slices.ContainsFunc(r.q.Targets, func(t Target) bool {
			return t.Recipe != nil && slices.ContainsFunc(t.Recipe.Lines, func(l kb.Line) bool { return hasWord(l.Fold, word) })
		}) {
			return true
		}
	}
	return false
}

// onlyParts reads "double the brioche glaze": the lines of a part, by its name.
func (s *sense) onlyParts(r *reading) {
	for i := range s.p.spans {
		sp := s.span(i)
		if r.used[i] || slices.Contains(r.targets, i) || sp.kind != spanName && sp.kind != spanUnused || s.shunned(i) || !s.isPart(*r, i) {
			continue
		}
		r.used[i] = true
		r.q.Parts = append(r.q.Parts, s.partNamed(*r, i))
	}
}

// bind says of several recipes which one an item is asked of: "sugar in the
// pickle and salt in the brine", "pickle sugar, brine salt". Where one recipe
// is left without, all are asked of all.
func (s *sense) bind(r *reading) {
	if len(r.q.Targets) < 2 || len(r.targets) != len(r.q.Targets) || len(r.q.Items) < 2 {
		return
	}
	of := make([]int, len(r.q.Items))
	has := make([]bool, len(r.q.Targets))
	k := 0
	for i := range s.p.spans {
		if s.span(i).kind != spanName || slices.Contains(r.targets, i) || k >= len(r.q.Items) || s.text(i) != r.q.Items[k].Text {
			continue
		}
		after, before := -1, -1
		for t, at := range r.targets {
			if at > i && (after < 0 || at < r.targets[after]) {
				after = t
			}
			if at < i && (before < 0 || at > r.targets[before]) {
				before = t
			}
		}
		switch {
		case after >= 0 && s.joins(i, r.targets[after]):
			of[k] = after + 1
		case before >= 0:
			of[k] = before + 1
		case after >= 0:
			of[k] = after + 1
		}
		if of[k] > 0 {
			has[of[k]-1] = true
		}
		k++
	}
	if slices.Contains(has, false) {
		return
	}
	for i := range of {
		r.q.Items[i].For = of[i]
	}
	r.extra -= len(r.q.Targets) // each has its own: they are meant
}

// joins reports whether "in", "of" or "for" stands between two spans, and no name.
func (s *sense) joins(i, j int) bool {
	found := false
	for k := i + 1; k < j; k++ {
		sp := s.span(k)
		if sp.kind == spanName {
			return false
		}
		found = found || sp.kind == spanCue && (sp.cues.has(cueIn) || sp.cues.has(cueOf) || sp.cues.has(cueFor))
	}
	return found
}

// onLine reports whether an item stands on a line of a target.
func (s *sense) onLine(r reading, it Item) bool {
	return slices.ContainsFunc(r.q.Targets, func(t Target) bool {
		m, _ := it.match(t.Recipe)
		return m != noMatch
	})
}

// itself reports whether span i names a target once more.
func (s *sense) itself(r reading, i int) bool {
	return slices.ContainsFunc(s.recipesOf(i, 24), func(o option) bool {
		return slices.ContainsFunc(r.q.Targets, func(t Target) bool { return t.Recipe == o.recipe })
	})
}

// allByHave reports whether all is asked for where one thing alone is named, and that with
// what there is of it: "cured trout 4 kg fillet, all of it".
func (s *sense) allByHave(r *reading) bool {
	if !s.any(cueAll) || len(r.q.Items) != 1 || s.any(cueHowmuch, cueHowmany) || !sizedAny(r.q.Targets) {
		return false
	}
	for _, i := range s.quant {
		if j := s.next(i); j == i+1 && s.span(j).kind == spanName && r.used[j] && !slices.Contains(r.targets, j) && s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.Mass && !s.l.tokens[s.span(j).from].breaks {
			return true
		}
	}
	return false
}

// lineWord reports whether some line of the recipe picked has the word in its name.
func (s *sense) lineWord(p pick, word string) bool {
	return len(p.targets) == 1 && p.targets[0].Recipe != nil && slices.ContainsFunc(p.targets[0].Recipe.Lines, func(l kb.Line) bool {
		return slices.Contains(name.Words(l.Name), word)
	})
}

func foreignIn(items []Item, text string) bool {
	return slices.ContainsFunc(items, func(it Item) bool { return it.Foreign && it.Text == text })
}

// liesOn reads "how many g of char go on one char plate": what lies on it, though the
// plate is called by it.
func (s *sense) liesOn(r reading, i int) bool {
	if !s.saysOf("go", "goes") || !s.saysOf("on", "onto") || len(r.targets) != 1 || r.targets[0] <= i || !s.any(cueHowmuch, cueHowmany) || s.before(i) != "of" && !s.precededBy(i, cueHowmuch) {
		return false
	}
	it, ok := s.item(i)
	if !ok {
		return false
	}
	lines, _ := it.Lines(r.q.Targets[0].Recipe)
	return len(lines) > 0
}
