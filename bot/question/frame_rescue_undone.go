package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/recipe"
)

// Words of what was not done, beside "forgot".
var (
	undoneNot  = []string{"didnt", "never", "havent", "hasnt", "wasnt", "werent", "not"}
	undoneDeed = []string{"put", "add", "added", "go", "went", "gone", "get", "got", "make", "made", "pour", "poured", "tip", "tipped", "weigh", "weighed", "stir", "stirred"}
	undoneOops = []string{"oops", "ooops", "oopsie", "whoops", "woops", "ups", "damn", "crap", "argh", "shoot"}
	// undoneBut make it a wish, a fear or a rule: "dont put", "if I never add".
	undoneBut = []string{"dont", "if", "should", "shouldnt", "must", "mustnt", "can", "could", "cant", "will", "wont", "would", "wouldnt", "may", "do", "does", "doesnt", "why", "when", "who", "did", "unless", "remind", "instead", "dislike", "want", "need", "needs"}
	// undonePlace is where a whole dish was not put.
	undonePlace = []string{"fridge", "freezer", "chiller", "cooler", "coolroom", "walk", "ice", "cold", "away", "back", "oven", "blast"}
)

// leftUndone reports whether the message says that something did not go in: "no
// sugar went in the curd", "never added the salt", "left the butter out of the
// choux", "forgot to put the salt in".
func (s *sense) leftUndone() bool {
	t := s.l.tokens
	if s.hears(undoneBut...) || s.any(cueHowmuch, cueHowmany, cueAllergen, cueDiet) || len(s.clock) > 0 {
		return false
	}
	for _, i := range s.quant { // how long it was, or how warm: that is of food in doubt
		if sp := s.span(i); sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.Time || sp.q.Q.Unit.Dim == quantity.Temperature) {
			return false
		}
	}
	deed := func(from, to int) bool {
		for k := from; k < min(to, len(t)); k++ {
			if t[k].breaks && k > from {
				return false
			}
			if slices.Contains(undoneDeed, t[k].plain) {
				return true
			}
		}
		return false
	}
	for k := range t {
		switch w := t[k].plain; {
		case slices.Contains(undoneNot, w):
			if k+1 < len(t) && deed(k+1, k+3) && s.namedAround(k) {
				return !s.putAway()
			}
		case w == "no" && k+2 < len(t) && deed(k+2, k+6): // "no sugar went in"
			return !s.putAway()
		case w == "left":
			for j := k + 1; j+1 < len(t) && j < k+6; j++ { // "left out the butter in the choux", "left the butter out of it"
				if t[j].plain == "out" && (j == k+1 || t[j+1].plain == "of") && s.partOfDish(k) && !s.putAway() {
					return true
				}
			}
		case (w == "forgot" || w == "forgotten") && k+2 < len(t) && t[k+1].plain == "to" && slices.Contains(undoneDeed, t[k+2].plain):
			return !s.putAway()
		case slices.Contains(undoneOops, w) && s.any(cueNo, cueWithout):
			return true
		case w == "missing" && s.state() != "":
			return !s.asksWhat() && !s.hears("use", "for")
		}
	}
	return false
}

// otherDeed reports whether it was not to put something in that was forgotten:
// "forgot to chill the egg".
func (s *sense) otherDeed() bool {
	t := s.l.tokens
	for k := 0; k+2 < len(t); k++ {
		if (t[k].plain == "forgot" || t[k].plain == "forgotten") && t[k+1].plain == "to" {
			return !slices.Contains(undoneDeed, t[k+2].plain) && !slices.Contains([]string{"mix", "fold", "whisk", "include", "use", "throw"}, t[k+2].plain)
		}
	}
	return false
}

// namedAround reports whether an ingredient is named in the thought that token k is in.
func (s *sense) namedAround(k int) bool {
	t := s.l.tokens
	from, to := k, k+1
	for from > 0 && !t[from].breaks {
		from--
	}
	for to < len(t) && !t[to].breaks {
		to++
	}
	return slices.ContainsFunc(s.names, func(i int) bool {
		sp := s.span(i)
		return sp.from >= from && sp.to <= to && s.l.ingredientAt(sp)
	})
}

// partOfDish reports whether what is named behind token k is an ingredient, and
// another name tells of what; how long it was says that it stood somewhere.
func (s *sense) partOfDish(k int) bool {
	if s.hears("overnight", "night", "hours", "hour", "long", "since", "morning", "yesterday", "lunch", "counter", "bench", "side") || len(s.clock) > 0 {
		return false
	}
	for n, i := range s.names {
		if sp := s.span(i); sp.from > k {
			return s.l.ingredientAt(sp) && n+1 < len(s.names)
		}
	}
	return false
}

// putAway reports whether a place is said where something was to go, not where it
// is: "forgot to put it in the fridge", but not "it's in the fridge".
func (s *sense) putAway() bool {
	t := s.l.tokens
	for k := range t {
		if !slices.Contains(undonePlace, t[k].plain) {
			continue
		}
		is := false
		for j := max(0, k-4); j < k; j++ {
			is = is || slices.Contains([]string{"its", "it", "already", "now", "still", "is", "are", "hot", "from"}, t[j].plain)
		}
		if !is {
			return true
		}
	}
	return false
}

// didTwice reads "doubled the salt in the crumble" and "tipped the sugar in
// twice": it has happened.
func (s *sense) didTwice() bool {
	i := s.quant[0]
	var item int
	switch s.l.tokens[s.span(i).from].plain {
	case "doubled", "tripled", "trebled", "quadrupled":
		item = s.next(i)
	case "twice":
		if !s.hears("put", "added", "dumped", "tipped", "poured", "went", "threw", "weighed", "chucked") {
			return false
		}
		item = slices.IndexFunc(s.p.spans, func(sp span) bool { return sp.kind == spanName && s.l.ingredientAt(&sp) })
	default:
		return false
	}
	if item < 0 || s.span(item).kind != spanName || !s.l.ingredientAt(s.span(item)) {
		return false
	}
	return len(s.names) > 1
}

// restRight reads "the rest is right": everything else is in as the recipe says.
func (s *sense) restRight() bool {
	t := s.l.tokens
	for k := 0; k+1 < len(t); k++ { // "nothing else changed", "the rest the same"
		if (t[k].plain == "rest" || t[k].plain == "else") && slices.ContainsFunc(t[k+1:min(len(t), k+4)], func(w token) bool {
			return w.plain == "changed" || w.plain == "unchanged" || w.plain == "same"
		}) {
			return true
		}
	}
	for k := 0; k+2 < len(t); k++ {
		if (t[k].plain == "rest" || t[k].plain == "else") && (t[k+1].plain == "is" || t[k+1].plain == "as") && slices.Contains([]string{"right", "correct", "fine", "ok", "good", "it", "usual"}, t[k+2].plain) {
			return true
		}
	}
	return false
}

// askedHere reports whether "how much" stands before span i, names and small words
// between: "how much more cream, buttermilk and sugar".
func (s *sense) askedHere(i int) bool {
	for j := i - 1; j >= 0; j-- {
		switch sp := s.span(j); {
		case sp.kind == spanCue && (sp.cues.meets(cueSet{}.with(cueHowmuch, cueHowmany)) || sp.cues.has(cueLose) && s.l.tokens[sp.from].plain == "how"):
			return true
		case sp.kind == spanCue && (light(sp.cues) || sp.cues.has(cueAnd)), sp.kind == spanName:
		default:
			return false
		}
	}
	return false
}

// countIn reads a bare number as pieces of what a recipe counts, or weighs so that
// pieces fit it and grams do not: "4 eggs went in, not 3"; no unit where it does not.
func (s *sense) countIn(q quantity.Quantity, it *Item, r *kb.Recipe) quantity.Quantity {
	if q.Unit.Symbol != "" || q.N.Sign() <= 0 || r == nil {
		return quantity.Quantity{}
	}
	lines, _ := it.Lines(r)
	if len(lines) == 0 {
		return quantity.Quantity{}
	}
	l := lines[0]
	if l.Amount.Kind == recipe.Pieces && l.Link == nil {
		return quantity.Of(q.N, quantity.Each)
	}
	each, ok := pieceOf(it, l)
	if !ok || !l.HasGrams {
		return quantity.Quantity{}
	}
	ten := quantity.Int(10)
	fits := func(n quantity.Number) bool { return n.Mul(ten).Cmp(l.Grams) >= 0 && n.Cmp(l.Grams.Mul(ten)) <= 0 }
	if fits(q.N.Mul(each)) && !fits(q.N) {
		return quantity.Of(q.N, quantity.Each)
	}
	return quantity.Quantity{}
}
