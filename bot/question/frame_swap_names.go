package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// What an exchange names: two forms of one thing, amounts of one of them, and
// words that are short for a name.

// otherNot finds "almonds not hazelnuts": the spans of both, -1 where there is none.
func (s *sense) otherNot() (i, j int) {
	if s.any(cueHowmuch, cueHowmany, cueHowlong, cueAllergen, cueUses, cueWhy) {
		return -1, -1
	}
	for k, i := range s.names {
		to := s.span(i).to
		if k+1 == len(s.names) || to >= len(s.l.tokens) || s.l.tokens[to].plain != "not" {
			continue
		}
		for to++; to < len(s.l.tokens) && slices.Contains(swapArticles, s.l.tokens[to].plain); to++ {
		}
		if j := s.names[k+1]; to == s.span(j).from {
			return i, j
		}
	}
	return -1, -1
}

// exchanges reports whether the recipe of a pick has what is said not to be, and
// has not what is said to be.
func (s *sense) exchanges(i, not int, p pick) bool {
	if len(p.targets) != 1 || p.targets[0].Recipe == nil || slices.Contains(p.spans, i) || slices.Contains(p.spans, not) {
		return false
	}
	in, ok := s.item(i)
	out, is := s.item(not)
	if !ok || !is || in.Larder == nil {
		return false
	}
	has, _ := in.match(p.targets[0].Recipe)
	lacks, _ := out.match(p.targets[0].Recipe)
	return has == noMatch && lacks != noMatch
}

// inAnother reports whether another name than that of a pick is said to be what
// it is in: "use butter for cream in the crumble".
func (s *sense) inAnother(p pick) bool {
	in := func(i int) bool {
		k := s.span(i).from - 1
		for k > 0 && slices.Contains(swapArticles, s.l.tokens[k].plain) {
			k--
		}
		return k >= 0 && s.l.tokens[k].plain == "in"
	}
	return !slices.ContainsFunc(p.spans, in) && slices.ContainsFunc(s.names, func(i int) bool { return in(i) && s.l.recipeAt(s.span(i)) })
}

// confirmed reports whether a word that names an ingredient too means the recipe
// of a pick: the very ingredient that is missing is on its lines, and no word
// says that it is this which is missing or comes in.
func (s *sense) confirmed(r *reading, p pick) bool {
	if p.talk || len(p.targets) != 1 || !p.targets[0].Part || len(r.q.Items) == 0 || !s.l.ingredientAt(s.span(p.spans[0])) || s.onlyHere(p) {
		return false
	}
	if m, _ := r.q.Items[0].match(p.targets[0].Recipe); m != exactMatch {
		return false
	}
	missing, to, barred := s.swapRole(p.spans[0], false)
	return !to && !barred && (!missing || s.before(p.spans[0]) == "for")
}

// amountIn reads number i as the amount of what is missing, where it stands before
// its name or is that of the line; an amount of what comes in is no size of the
// recipe. It reports whether the number belongs to a name of the exchange.
func (s *sense) amountIn(r *reading, i, missing int, named func(int) bool) bool {
	q := s.span(i).q
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || q.Ambiguous != nil || q.Q.Unit.Dim == quantity.None {
		return false
	}
	next, prev := s.next(i), s.prev(i)
	for k := s.span(i).to; next >= 0 && k < s.span(next).from; k++ { // "for 3 kg using almonds" is of the recipe
		if w := s.l.tokens[k].plain; w != "of" && !slices.Contains(swapArticles, w) {
			next = -1
		}
	}
	given := false
	switch {
	case next == missing:
		given = true
	case named(next):
	case prev == missing && named(prev):
		lines, _ := r.q.Items[0].Lines(r.q.Targets[0].Recipe)
		given = len(lines) == 1 && lines[0].HasGrams && q.Q.Unit.Dim == quantity.Mass && lines[0].Grams.Equal(q.Q.Base())
	case named(prev):
	default:
		return false
	}
	r.used[i] = true
	if given {
		r.q.Targets[0].Scale = Scale{Kind: ScaleGiven, Given: []Given{{Item: r.q.Items[0], Q: q.Q}}, Text: s.text(i)}
		return true
	}
	r.extra += costNumber
	r.q.Lost = true
	r.q.Unused = append(r.q.Unused, s.text(i))
	return true
}

// muchFor reads "how much vanilla paste for 2 pods": what stands for an amount
// of another, in no recipe.
func (s *sense) muchFor() (reading, bool) {
	none := reading{}
	if !s.any(cueHowmuch, cueHowmany) || len(s.quant) != 1 || s.any(cueHowmany) && !s.any(cueHowmuch, cueSwap) {
		return none, false // "how many eggs for 450 g yolk" are counted, not exchanged
	}
	n := s.quant[0]
	var named []int
	for i := range s.p.spans { // "extract" beside "vanilla pod" may be no name
		if sp := s.span(i); sp.kind == spanName || sp.kind == spanUnused && !sp.strange && i < n {
			named = append(named, i)
		}
	}
	if len(named) != 2 {
		return none, false
	}
	i, j := named[0], named[1]
	sp := s.span(n)
	if s.next(n) != j || sp.kind != spanQuantity || sp.q.Ambiguous != nil || s.before(n) != "for" && s.before(n) != "of" && s.before(n) != "replace" {
		return none, false
	}
	in, _ := s.item(i)
	out, is := s.item(j)
	ok := false
	if !is {
		return none, false
	}
	if in.Larder == nil || in.Part { // "paste" beside "vanilla pod"
		if in, ok = s.sameFirst(&out, i); !ok {
			return none, false
		}
	} else if out.Larder == nil || out.Part {
		if out, ok = s.sameFirst(&in, j); !ok {
			return none, false
		}
	}
	if in.Larder == nil || out.Larder == nil || in.Larder == out.Larder || !s.any(cueSwap) && !twoForms(&in, &out) {
		return none, false // "how much butter for 3 eggs" is of a recipe
	}
	r := s.reading(WantSwap, "swap")
	r.q.Targets, r.q.Missing = []Target{{}}, MissingRecipe
	r.q.Items, r.q.To = []Item{out}, &in
	r.q.Have = &Given{Item: out, Q: sp.q.Q}
	r.used[i], r.used[j], r.used[n] = true, true, true
	r.consumes = plainCues.with(cueHowmuch, cueHowmany, cueSwap, cuePiece, cueUses)
	return r, true
}

// twoForms reports whether two ingredients are two forms of one: they have a word in common.
func twoForms(a, b *Item) bool {
	words := name.Words(a.Larder.Name)
	return slices.ContainsFunc(name.Words(b.Larder.Name), func(w string) bool { return slices.Contains(words, w) })
}

// sameFirst is the ingredient that span i is the last word of, with the first
// word of another: "paste" beside "vanilla pod".
func (s *sense) sameFirst(of *Item, i int) (Item, bool) {
	words, sp := strings.Fields(of.Text), s.span(i)
	if len(words) < 2 || sp.to != sp.from+1 {
		return Item{}, false
	}
	it := s.larderItem(name.Fold(words[0]) + " " + s.folded(sp))
	return it, it.Larder != nil
}

// larderItem is the ingredient of a folded name.
func (s *sense) larderItem(folded string) Item {
	at, ok := int32(0), true
	for _, w := range strings.Fields(folded) {
		if at, ok = s.l.x.next(at, w); !ok {
			return Item{}
		}
	}
	for _, id := range s.l.x.nodes[at].entries {
		if e := &s.l.x.entries[id]; e.Item != nil && e.Recipe == nil {
			return Item{Text: folded, Names: []string{e.Fold}, Larder: e.Item, InBook: e.InBook}
		}
	}
	return Item{}
}

// barredLine is the line of the one recipe that what must not come in speaks of,
// where nothing else is named: what is to be exchanged. used are the spans that
// were in use before.
func (s *sense) barredLine(r *reading, bars []bar, used []bool) (Item, bool) {
	if len(bars) != 1 || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || !s.any(cueSwap) {
		return Item{}, false
	}
	b := bars[0]
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanName && !used[i] && sp.from >= b.from && sp.from < b.to {
			it, ok := s.item(i)
			if m, _ := it.match(r.q.Targets[0].Recipe); ok && m != noMatch {
				return it, true
			}
		}
	}
	it := Item{Text: b.allergen.String(), Class: b.allergen.Name}
	if m, _ := it.match(r.q.Targets[0].Recipe); b.allergen.Kind != "" || m == noMatch {
		return Item{}, false
	}
	return it, true
}

// cutName finds an ingredient of which only the first word is said, for the last
// is that of another: "unsalted" beside "salted butter".
func (s *sense) cutName(of *Item) (Item, int, bool) {
	words := strings.Fields(of.Text)
	if len(words) < 2 {
		return Item{}, 0, false
	}
	head := name.Singular(strings.ToLower(words[len(words)-1]))
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.to != sp.from+1 || sp.kind != spanUnused && !(sp.kind == spanCue && sp.cues.has(cueModifier)) {
			continue
		}
		if it := s.larderItem(s.l.tokens[sp.from].fold + " " + head); it.Larder != nil {
			return it, i, true
		}
	}
	return Item{}, 0, false
}

// swapOf takes the one amount of an exchange that is of no recipe: "salted
// butter for unsalted, 250 g".
func (s *sense) swapOf(r *reading) {
	if r.q.Have != nil || r.q.To == nil || len(s.quant) != 1 || r.used[s.quant[0]] {
		return
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Q.Unit.Dim != quantity.Mass && sp.q.Q.Unit.Dim != quantity.Volume {
		return
	}
	r.q.Have = &Given{Item: r.q.Items[0], Q: sp.q.Q}
	r.used[i] = true
}

// sameLines reports whether two items are the same lines of a recipe.
func sameLines(a, b *Item, r *kb.Recipe) bool {
	if r == nil {
		return false
	}
	x, _ := a.Lines(r)
	y, _ := b.Lines(r)
	return len(x) > 0 && slices.Equal(x, y)
}
