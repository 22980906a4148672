package question

import (
	"slices"
	"strconv"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// shortfall is how many there are of what is counted, and how many there must be.
type shortfall struct {
	have, need int
}

var (
	// thereBefore and thereBehind are words about a count that say so many are there.
	thereBefore = sortedPhrases("only", "just", "only have", "only got", "have", "got", "ive got", "weve got", "i have", "we have", "i got", "we got", "have only", "got only", "only about", "there is", "there are", "theres", "theres only", "theres still", "there are still", "there are only", "still have", "still got", "already have", "already got", "already made", "made", "left with", "down to", "were down to", "were at", "saved")
	thereBehind = sortedPhrases("left", "are left", "is left", "left over", "remaining", "remain", "done", "are done", "made", "are made", "ready", "are ready", "set", "are set", "baked", "shaped", "frozen", "piped", "filled", "rolled", "cooked", "plated", "already", "done already", "made already", "survived", "were saved", "are ok", "are good", "are fine", "still good", "still ok", "on hand", "in stock", "there")
	// needBefore and needBehind are those that say so many are wanted.
	needBefore = sortedPhrases("need", "needs", "we need", "i need", "but need", "needing", "want", "we want", "booked for", "booked", "booking for", "bookings for", "were booked for", "order for", "orders for", "order is for", "order is", "must be", "must have", "have to have", "have to be", "should be", "should have", "supposed to be", "supposed to have", "required", "need to have", "need to be", "out of")
	needBehind = sortedPhrases("needed", "are needed", "wanted", "booked", "are booked", "ordered", "are ordered", "required", "to serve")
	// restAsked are words for what is missing of the two.
	restAsked = sortedPhrases("for the rest", "for what is missing", "for whats missing", "for the missing", "for the missing ones", "for the diff", "for the difference", "for those missing", "for the others", "for the remaining ones", "for the shortfall", "for the gap", "to make up the rest", "to make up the difference", "to make up the diff", "to make the rest", "to make up the numbers", "to make up", "for the ones missing")
	// lossTold are what happened to the others; a name may follow.
	lossTold  = sortedPhrases("dropped", "binned", "lost", "smashed", "burnt", "burned", "ruined", "broke", "someone dropped", "someone binned", "somebody dropped", "somebody binned", "someone burnt", "someone burned", "i dropped", "i binned", "we dropped", "we lost", "just dropped", "he dropped", "she dropped", "they dropped", "he binned", "she binned", "they binned", "commis dropped", "the commis dropped", "someone knocked over", "knocked over")
	lostThing = sortedPhrases("tray", "trays", "batch", "batches", "lot", "sheet", "sheets", "half", "few", "load", "some", "couple", "bunch", "box", "boxes")
	lossBy    = sortedPhrases("went on the floor", "went on floor", "fell on the floor", "hit the floor", "on the floor", "fell", "got dropped", "went in the bin", "got binned", "got burnt", "burnt", "was dropped", "were dropped", "is on the floor", "went over")
)

// short reads "only 12 left need 30": of two counts of the same pieces, one there and
// one needed, what is missing is the size. The words that say so are cut out, and the
// missing number stands in their place.
func (l *lattice) short() {
	t := l.tokens
	type count struct {
		at, from, to, noun int // the number, and all that belongs to it; its noun ends at noun
	}
	var have, need []count
	lost := l.lossStory()
	for i := range t {
		if !t[i].number || i < len(lost) && lost[i] {
			continue
		}
		n, err := strconv.Atoi(t[i].plain)
		if err != nil || n <= 0 {
			return
		}
		noun, ok := l.countedNoun(i)
		if !ok {
			return
		}
		c := count{i, i, noun, noun}
		hb, nb := l.saidUpTo(i, thereBefore), l.saidUpTo(i, needBefore)
		ha, na := l.saidAt(noun, thereBehind), l.saidAt(noun, needBehind)
		if ha > 0 && noun+ha < len(t) && !t[noun+ha].breaks && l.leftStanding(noun+ha) {
			return
		}
		if ha > 0 && !l.closes(noun+ha) || na > 0 && !l.closes(noun+na) {
			return // "12 set menus"
		}
		switch there, wanted := hb >= 0 || ha > 0, nb >= 0 || na > 0; {
		case wanted && !there || nb >= 0 && (hb < 0 || nb <= hb) && ha == 0: // "have to have 30"
			if nb >= 0 {
				c.from = nb
			}
			c.to += na
			need = append(need, c)
		case there && !wanted:
			if hb >= 0 {
				c.from = hb
			}
			c.to += ha
			c.to += l.saidAt(c.to, handPlace)
			have = append(have, c)
		default:
			return
		}
	}
	if len(have) != 1 || len(need) != 1 {
		return
	}
	h, w := have[0], need[0]
	a, _ := strconv.Atoi(t[h.at].plain)
	b, _ := strconv.Atoi(t[w.at].plain)
	if a >= b || l.measuresElse() || !l.sameNoun(h.at+1, h.noun, w.at+1, w.noun) || l.ofItem(min(h.from, w.from)) || l.asksMissing() {
		return
	}
	out := make([]bool, len(t))
	copy(out, lost)
	for _, c := range []count{h, w} {
		for k := c.from; k < c.to; k++ {
			out[k] = true
		}
	}
	keep := w // of two nouns the longer is kept
	if h.noun-h.at > w.noun-w.at {
		keep = h
	}
	for k := keep.at + 1; k < keep.noun; k++ {
		out[k] = false
	}
	out[keep.at] = false
	for k := range t {
		if n := l.saidAt(k, restAsked); n > 0 {
			for j := k; j < k+n; j++ {
				out[j] = true
			}
		}
	}
	l.cutTo(out, keep.at, shortfall{a, b})
}

// closes reports whether what is said of a count ends before token k.
func (l *lattice) closes(k int) bool {
	if k >= len(l.tokens) || l.tokens[k].breaks {
		return true
	}
	for _, phrases := range [][][]string{needBefore, thereBefore, needBehind, thereBehind, handPlace, restAsked} {
		if l.saidAt(k, phrases) > 0 {
			return true
		}
	}
	switch l.tokens[k].plain {
	case "so", "how", "but", "and", "for", "we", "i", "tonight", "tonite", "today", "tomorrow", "now", "what", "whats", "pls", "please", "in", "by", "chef", "only":
		return true
	}
	return false
}

// cutTo drops tokens; the number at token at becomes that of the missing pieces.
func (l *lattice) cutTo(out []bool, at int, s shortfall) {
	var kept []token
	breaks, question := false, false
	for k, t := range l.tokens {
		if out[k] || k == at {
			l.write(t.start, t.end, blanks(t.end-t.start))
		}
		if out[k] {
			breaks, question = breaks || t.breaks, question || t.question
			continue
		}
		t.breaks = t.breaks || breaks && len(kept) > 0
		breaks = false
		if k != at {
			kept = append(kept, t)
			continue
		}
		n := strconv.Itoa(s.need - s.have)
		end := t.end
		if room := t.end - t.start; room < len(n) {
			end = t.start + len(n)
		}
		if end > len(l.scan) {
			return
		}
		t.plain, t.fold, t.short = n, n, &s
		t.start, t.end = end-len(n), end
		l.write(t.start, end, n)
		kept = append(kept, t, token{start: end, end: end, plain: "pieces", fold: "piece"})
	}
	if question && len(kept) > 0 {
		kept[len(kept)-1].question = true
	}
	l.tokens = kept
}

func blanks(n int) string { return string(slices.Repeat([]byte{' '}, n)) }

// countedNoun is where the noun behind number i ends: words of a recipe's name, or a
// word for pieces; ok is false where it counts something else, a unit say.
func (l *lattice) countedNoun(i int) (to int, ok bool) {
	t := l.tokens
	to = i + 1
	own := true
	for to < len(t) && to <= i+4 && !t[to].breaks {
		w := &t[to]
		if l.saidAt(to, thereBehind) > 0 || l.saidAt(to, needBehind) > 0 || l.saidAt(to, needBefore) > 0 || l.saidAt(to, thereBefore) > 0 || l.saidAt(to, handPlace) > 0 {
			return to, own
		}
		switch w.plain {
		case "piece", "pieces", "pcs", "pc", "of", "them", "those", "good", "ones":
			to++
			continue
		case "so", "how", "but", "and", "tonight", "tonite", "today", "tomorrow", "for", "what", "whats", "by", "at", "now", "pls", "please", "we", "i", "in":
			if next, _ := l.wordOf(&t[min(to+1, len(t)-1)]); (w.plain == "and" || w.plain == "of") && next && to+1 < len(t) {
				return to, false // "30 tuiles and domes": how many of which
			}
			return to, own
		}
		recipe, item := l.wordOf(w)
		if !recipe || w.number {
			return to, to > i+1 && own && !item && !w.number // "need 30 panna cottas how much"
		}
		own = !item || to > i+1 && own // "20 walnut" counts walnuts, "20 walnut domes" domes
		to++
	}
	return to, own
}

// wordOf reports whether a word stands in a recipe's name, and whether alone it is
// an ingredient and no recipe.
func (l *lattice) wordOf(t *token) (recipe, item bool) {
	for _, w := range [2]string{t.fold, t.plain} {
		for _, id := range l.x.byWord[w] {
			e := &l.x.entries[id]
			recipe = recipe || e.Recipe != nil && (e.Kind == kb.RecipeName || e.Kind == kb.RecipeAlias)
			if e.Recipe != nil && e.Recipe.Makes != nil && name.Fold(e.Recipe.Makes.Piece) == t.fold {
				recipe = true
			}
		}
		if at, ok := l.x.next(0, w); ok {
			whole := false
			for _, id := range l.x.nodes[at].entries {
				e := &l.x.entries[id]
				whole = whole || e.Kind == kb.RecipeName || e.Kind == kb.RecipeAlias
				item = item || e.Kind == kb.IngredientName || e.Kind == kb.IngredientAlias || e.Kind == kb.MouldName
			}
			item = item && !whole
		}
	}
	return recipe, item
}

// sameNoun reports whether two nouns may count the same pieces: one is not said, or
// they share a word.
func (l *lattice) sameNoun(a, aTo, b, bTo int) bool {
	if a == aTo || b == bTo {
		return true
	}
	for i := a; i < aTo; i++ {
		for j := b; j < bTo; j++ {
			if l.tokens[i].fold == l.tokens[j].fold {
				return true
			}
		}
	}
	return false
}

// ofItem reports whether an ingredient stands right before token k: "butter only 300
// left need 500" counts no pieces.
func (l *lattice) ofItem(k int) bool {
	for k > 0 && (isArticle(l.tokens[k-1].plain) || l.tokens[k-1].plain == "is" || l.tokens[k-1].plain == "but" || l.tokens[k-1].plain == "and") {
		k--
	}
	if k == 0 {
		return false
	}
	t := &l.tokens[k-1]
	if isFood(t) {
		recipe, item := l.wordOf(t)
		return !recipe || item
	}
	_, item := l.wordOf(t)
	return item
}

// measuresElse reports whether degrees, minutes, sugar or strength are spoken of:
// then the two numbers may be of those.
func (l *lattice) measuresElse() bool {
	return slices.ContainsFunc(l.tokens, func(t token) bool {
		switch t.plain {
		case "brix", "bx", "bloom", "degrees", "degree", "deg", "temp", "temperature", "core", "percent", "reads", "reading", "scale", "min", "mins", "minutes", "hours", "hrs", "bake", "oven":
			return true
		}
		return false
	})
}

// asksMissing reports whether the missing number itself is asked: "how many more".
func (l *lattice) asksMissing() bool {
	for k := range l.tokens {
		if l.saidAt(k, sortedPhrases("how many more", "how many short", "how many missing", "how many are missing", "how many to make", "how many do i need", "how many left")) > 0 {
			return true
		}
	}
	return false
}

// leftStanding reports whether "left" is followed by where something stands: that is
// food in doubt, and nothing of it is cut.
func (l *lattice) leftStanding(k int) bool {
	switch l.tokens[k].plain {
	case "out", "on", "outside", "standing", "sitting", "uncovered", "open", "warm", "overnight", "at", "by", "since", "over":
		return true
	}
	return false
}

// lossStory marks the words that tell how the others were lost: "dropped 2 trays of",
// "tray went on the floor". A name in it is kept.
func (l *lattice) lossStory() []bool {
	t := l.tokens
	out := make([]bool, len(t))
	mark := func(from, to int) {
		for k := from; k < to; k++ {
			out[k] = true
		}
	}
	thing := func(k int) int { // "a tray of", "2 trays", "the"
		j := k
		for j < len(t) && j < k+2 && (isArticle(t[j].plain) || l.countWord(j) || t[j].plain == "whole" || t[j].plain == "full") {
			j++
		}
		n := l.saidAt(j, lostThing)
		if n == 0 {
			if j > k && l.countWord(j-1) {
				return 0 // "dropped 2 domes": counts what is lost
			}
			return j - k
		}
		j += n
		if j < len(t) && (t[j].plain == "of" || t[j].plain == "with") {
			j++
		}
		return j - k
	}
	for i := 0; i < len(t); i++ {
		if n := l.saidAt(i, lossTold); n > 0 {
			end := i + n + thing(i+n)
			mark(i, end)
			i = end - 1
			continue
		}
		if n := l.saidAt(i, lostThing); n > 0 {
			j := i + n
			if j < len(t) && t[j].plain == "of" {
				j++
			}
			for k := j; k < len(t) && k <= j+3; k++ {
				if by := l.saidAt(k, lossBy); by > 0 {
					from := i
					for from > 0 && (isArticle(t[from-1].plain) || l.countWord(from-1)) {
						from--
					}
					mark(from, j)
					mark(k, k+by)
					break
				}
				if recipe, _ := l.wordOf(&t[k]); !recipe {
					break
				}
			}
		}
	}
	return out
}

// missing puts what a size was counted from into it.
func (s *sense) missing(i int, sc *Scale) {
	if d := s.l.tokens[s.span(i).from].short; d != nil {
		sc.Have, sc.Need = quantity.Int(int64(d.have)), quantity.Int(int64(d.need))
	}
}
