package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// handBehind are words behind an ingredient and its amount that say so much is there.
var handBehind = sortedPhrases(
	"left", "left over", "leftover", "remaining", "only", "max", "tops", "thats it", "that is it", "and thats it", "thats all", "that is all", "thats the lot", "thats all there is", "is it", "is all",
	"is all there is", "is all i have", "is all we have", "is all ive got", "is all weve got", "is all i got", "is all we got", "is what we have", "is what i have", "is all thats left", "all thats left", "all i have", "all we have", "all ive got", "all weve got", "all we got", "all i got",
	"is left", "are left", "still left", "to use up", "to use", "to finish", "to finish off", "to get rid of", "on hand", "in hand", "to hand", "in stock", "in house", "on the shelf",
	"came in", "came", "has come in", "come in", "arrived", "has arrived", "have arrived", "delivered", "was delivered", "landed", "turned up", "showed up", "got delivered", "just arrived", "just came in", "just came", "in the walkin", "in the walk in", "in the fridge", "in the freezer", "in the store",
)

// handPlace are words for where it is.
var handPlace = sortedPhrases("in the walkin", "in the walk in", "in walkin", "in the coldroom", "in the cold room", "in the cellar", "in the larder", "in the store", "in the storeroom", "in the fridge", "in the freezer", "in house", "in stock", "on the shelf", "here", "in here")

// handBefore are words right before an amount that say no more is there.
var handBefore = sortedPhrases("only", "just", "only got", "only have", "only had", "just got", "just have", "have only", "have just", "i have", "we have", "ive got", "weve got", "i got", "we got", "have", "got", "down to", "found", "there is", "theres", "theres only", "found only", "were down to", "only found", "left with", "use up", "using up", "need to use", "have to use", "to use up", "got to use", "gotta use")

// sortedPhrases splits phrases into words, the longest first.
func sortedPhrases(list ...string) [][]string {
	out := make([][]string, len(list))
	for i, p := range list {
		out[i] = strings.Fields(p)
	}
	slices.SortStableFunc(out, func(a, b []string) int { return len(b) - len(a) })
	return out
}

// saidAt is how many tokens from k on are one of the phrases, 0 if none.
func (l *lattice) saidAt(k int, phrases [][]string) int {
	for _, p := range phrases {
		if k < 0 || k+len(p) > len(l.tokens) {
			continue
		}
		i := 0
		for i < len(p) && l.tokens[k+i].plain == p[i] && (i == 0 || !l.tokens[k+i].breaks) {
			i++
		}
		if i == len(p) {
			return i
		}
	}
	return 0
}

// saidUpTo is where one of the phrases begins that ends right before token k, −1 if none does.
func (l *lattice) saidUpTo(k int, phrases [][]string) int {
	for _, p := range phrases {
		if l.saidAt(k-len(p), [][]string{p}) > 0 && !l.tokens[k].breaks {
			return k - len(p)
		}
	}
	return -1
}

// handed finds the ingredient of which amount i tells what there is, by a word that
// limits it: "only 450 buttermilk", "cream 1350 left", "plums 5 kg came in"; −1 if
// none. spans are those of the words that say so.
func (s *sense) handed(i int, itemAt func(int) (Item, bool)) (item int, spans []int) {
	sp, t := s.span(i), s.l.tokens
	joined := func(j int) bool { // side by side, with no comma between
		if j < 0 || j >= len(s.p.spans) {
			return false
		}
		_, ok := itemAt(j)
		return ok && !t[s.span(max(i, j)).from].breaks
	}
	take := func(from, to int) []int {
		var out []int
		for j := range s.p.spans {
			if u := s.span(j); u.from < to && u.to > from && u.kind != spanName {
				out = append(out, j)
			}
		}
		return out
	}
	behind := func(k int) (from, to int, ok bool) { // the words at token k, a comma may stand before them
		n := s.l.saidAt(k, handBehind)
		if n == 0 {
			return 0, 0, false
		}
		if w := t[k+n-1].plain; k+n < len(t) && !t[k+n].breaks && (w == "use" || w == "finish" || w == "only" && s.l.tokens[k+n].number) {
			return 0, 0, false // "to use in the crumble"
		}
		return k, k + n, true
	}
	rest := func(from, to, after int) []int { // with the place where it is
		return append(take(from, to), take(after, after+s.l.saidAt(after, handPlace))...)
	}
	next := i + 1
	if next < len(s.p.spans) && s.span(next).kind == spanCue && s.span(next).cues.has(cueOf) { // "only 450 of buttermilk"
		next++
	}
	if joined(next) {
		if f := s.l.saidUpTo(sp.from, handBefore); f >= 0 {
			return next, rest(f, sp.from, s.span(next).to)
		}
		if from, to, ok := behind(s.span(next).to); ok && !joined(i-1) {
			return next, rest(from, to, to)
		}
		return -1, nil
	}
	if !joined(i - 1) {
		return -1, nil
	}
	if from, to, ok := behind(sp.to); ok {
		return i - 1, rest(from, to, to)
	}
	if f := s.l.saidUpTo(s.span(i-1).from, handBefore); f >= 0 { // "only buttermilk 450"
		return i - 1, rest(f, s.span(i-1).from, sp.to)
	}
	return -1, nil
}

// leastGrams is the smallest bare number that is taken for grams: fewer may be
// packs or litres.
var leastGrams = quantity.Int(20)

// bareGrams reads the number of span i as grams of what a recipe weighs; ok is
// false where it may count pieces or packs.
func (s *sense) bareGrams(i int, it *Item, r *kb.Recipe) (quantity.Quantity, bool) {
	sp := s.span(i)
	if r == nil || sp.q.Q.Unit.Symbol != "" || sp.q.Words || sp.q.Hi != nil || sp.q.Ambiguous != nil || sp.q.Q.N.Less(leastGrams) {
		return quantity.Quantity{}, false
	}
	lines, _ := it.Lines(r)
	if len(lines) != 1 || !lines[0].HasGrams || lines[0].Link != nil && !isUnitMass(lines[0]) {
		return quantity.Quantity{}, false
	}
	l := lines[0]
	switch l.Amount.Kind {
	case recipe.Measured, recipe.PercentOf, recipe.Parts:
	default:
		return quantity.Quantity{}, false
	}
	if l.Amount.Kind == recipe.Measured && l.Amount.Unit.Dim != quantity.Mass {
		return quantity.Quantity{}, false
	}
	g := quantity.Grams(sp.q.Q.N)
	each, counted := pieceOf(it, l)
	if !counted {
		return g, true
	}
	// what has pieces too is weighed only where so many would be far too many
	batches := sp.q.Q.N.Mul(each).Div(l.Grams)
	few := name.Singular(it.Text) == strings.ToLower(it.Text)
	return g, few && quantity.Int(5).Less(batches) && sp.q.Q.N.Less(l.Grams.Mul(quantity.Int(5)))
}

func isUnitMass(l *kb.Line) bool {
	return l.Amount.Kind == recipe.Measured && l.Amount.Unit.Dim == quantity.Mass
}

// pieceOf is what one piece of an ingredient weighs, where the larder knows it.
func pieceOf(it *Item, l *kb.Line) (quantity.Number, bool) {
	of := l.Item
	if of == nil {
		of = it.Larder
	}
	if of == nil {
		return quantity.Number{}, false
	}
	g, ok := of.Piece[""]
	return g, ok && g.Sign() > 0
}

// inHand puts what there is of an ingredient as the size: a mass or volume as it
// stands, a bare number as grams where the recipe weighs it.
func (s *sense) inHand(r *kb.Recipe, it *Item, i, j int, said []int, put func(Scale, int, ...int)) {
	sp := s.span(i)
	m, c := it.match(r)
	if m == noMatch || sp.q.Hi != nil || sp.q.Ambiguous != nil {
		return
	}
	given := Given{Item: *it, Q: sp.q.Q}
	switch sp.q.Q.Unit.Dim {
	case quantity.Mass, quantity.Volume:
	case quantity.None:
		g, ok := s.bareGrams(i, it, r)
		if !ok {
			return
		}
		given.Q, given.Bare = g, true
	default:
		return
	}
	put(Scale{Kind: ScaleGiven, Given: []Given{given}, Only: true}, c, append(said, j)...)
}

// mostBatches is how many batches a bare number beside an ingredient may mean.
var mostBatches = quantity.Int(50)

// gramsPerhaps reports whether number i stands beside an ingredient that a recipe
// weighs, and is too large for batches of it: "butter 300 crumble" may be grams of
// either, and is asked.
func (s *sense) gramsPerhaps(i int, n quantity.Number, r *kb.Recipe, p pick) bool {
	if r == nil || pieceWord(r) != "" || n.Less(mostBatches) || s.l.tokens[s.span(i).from].short != nil {
		return false
	}
	for _, j := range [2]int{i - 1, i + 1} {
		if j >= 0 && j < len(s.p.spans) && s.span(j).kind == spanUnused && s.span(j).food && s.l.isName(s.span(j).from) && !s.l.tokens[s.span(max(i, j)).from].breaks {
			return true // the ingredient, passed over
		}
		if j < 0 || j >= len(s.p.spans) || s.span(j).kind != spanName || slices.Contains(p.spans, j) || s.l.tokens[s.span(max(i, j)).from].breaks {
			continue
		}
		it, ok := s.item(j)
		if !ok {
			continue
		}
		if lines, _ := it.Lines(r); len(lines) > 0 && lines[0].HasGrams {
			return true
		}
	}
	return false
}

// countedOut reports whether number i counts the ingredient behind it, which a
// recipe's line counts too or the larder knows the weight of; "3 lemon curds" does not.
func (s *sense) countedOut(i int, it *Item, r *kb.Recipe, isTarget func(int) bool) bool {
	j := i + 1
	if r == nil || s.next(i) != j || s.span(i).q.Q.Unit.Symbol != "" || s.l.tokens[s.span(j).from].breaks {
		return false
	}
	if !slices.ContainsFunc(s.names, func(k int) bool { return k != j && !isTarget(k) }) {
		return false // "panna cotta 50 leaves?": nothing else is asked
	}
	lines, _ := it.Lines(r)
	if len(lines) != 1 || lines[0].Link != nil {
		return false
	}
	if _, ok := pieceOf(it, lines[0]); !ok && lines[0].Amount.Piece == "" {
		return false
	}
	if k := j + 1; k < len(s.p.spans) && isTarget(k) && !s.l.tokens[s.span(k).from].breaks {
		w := s.l.tokens[s.span(j).to-1].plain
		return w != name.Singular(w) // "lemon curds"
	}
	return true
}

// packs hold an ingredient as it is bought: "1 kg carton of yolk".
var packs = []string{"carton", "bag", "pack", "packet", "tub", "tin", "can", "box", "bottle", "bucket", "brick", "sack", "crate", "punnet", "pouch", "tray", "case"}

// pastPack is span j, or the name behind "of" where j is the word for what holds it or
// for a piece of it: "1.8 kg side of trout fillet".
func (s *sense) pastPack(j int) int {
	if j < 0 || s.span(j).to != s.span(j).from+1 || !slices.Contains(packs, s.l.tokens[s.span(j).from].fold) && s.span(j).kind != spanUnused || s.after(j) != "of" {
		return j
	}
	if n := s.next(j); n >= 0 && s.span(n).kind == spanName {
		return n
	}
	return j
}
