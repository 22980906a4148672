package question

import "tamis/calc/quantity"

// sizeWords are the words for a share or several of a batch that are put right
// where they are misspelt, more surely right before a word for a batch.
var sizeWords = []string{"double", "half", "quarter", "quadruple", "third", "treble", "triple", "twice"}

// addSlips reads "quater batch", "dubble batch": the size is what a slip must not lose.
func (l *lattice) addSlips() {
	for i := 0; i+1 < len(l.tokens); i++ {
		b := i + 1
		if l.tokens[b].plain == "a" || l.tokens[b].plain == "the" || l.tokens[b].plain == "of" {
			b++
		}
		to, cost := b+1, costFix1
		if len(l.tokens[i].plain) < 4 {
			continue
		}
		if b >= len(l.tokens) || l.tokens[b].breaks || !isBatchWord(l.tokens[b].fold) { // "crumble hlaf butter"
			to, cost = i+1, costFix1+2
		}
		w, ok := l.slipOf(i, sizeWords, func(string) bool { return false })
		if !ok {
			continue
		}
		note := l.tokens[i].plain + " → " + w
		n, ok := factorWord(w, w)
		if !ok {
			f := shareWords[w]
			n = quantity.Frac(f[0], f[1])
		}
		l.add(span{kind: spanFactor, from: i, to: to, cost: cost, factor: n, note: note})
	}
}

// unreadBatch reports whether token i stands right before a word for a batch and
// is no word: what size it means is asked.
func (l *lattice) unreadBatch(i int) bool {
	return i+1 < len(l.tokens) && !l.tokens[i+1].breaks && isBatchWord(l.tokens[i+1].fold) && !isEnglish(&l.tokens[i]) && !isFood(&l.tokens[i]) && !l.tokens[i].number && len(l.tokens[i].plain) > 2
}
