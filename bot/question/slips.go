package question

import (
	"slices"
	"strconv"

	"tamis/calc/quantity"
)

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

// countedAs puts right how things are counted before anything is read: "3 time" are
// times, "two full trays" two trays.
func (l *lattice) countedAs() {
	l.timesOf()
	l.backTo()
	l.upToWhat()
	l.setFor()
	l.endsBy()
	for i := 0; i+1 < len(l.tokens); i++ { // "kefir rather than buttermilk"
		if a, b := &l.tokens[i], &l.tokens[i+1]; a.plain == "rather" && b.plain == "than" && !b.breaks {
			a.plain, a.fold, b.plain, b.fold = "instead", "instead", "of", "of"
		}
	}
	for i := 1; i < len(l.tokens); i++ {
		t := &l.tokens[i]
		if t.breaks || !l.countWord(i-1) {
			continue
		}
		switch t.plain {
		case "time":
			if l.tokens[i-1].plain != "one" && l.tokens[i-1].plain != "1" {
				t.plain = "times"
			}
		case "full", "whole", "complete", "entire", "fully":
			if i+1 < len(l.tokens) && !l.tokens[i+1].breaks && (isBatchWord(l.tokens[i+1].fold) || isMouldWord(l.tokens[i+1].fold)) && !l.isNameAt(i) {
				l.tokens = slices.Delete(l.tokens, i, i+1)
			}
		}
	}
}

// sizeWord reports whether a word says a size by itself: "half", "double".
func (s *sense) sizeWord(k int) bool {
	t := &s.l.tokens[k]
	if _, ok := factorWord(t.fold, t.plain); ok {
		return true
	}
	switch t.plain {
	case "half", "quarter", "third", "double", "triple", "twice":
		return true
	}
	return false
}

// backTo reads "back to grams" and "in g again": a unit is asked for, nothing of old.
func (l *lattice) backTo() {
	t := l.tokens
	unit := func(k int) bool {
		if k < 0 || k >= len(t) {
			return false
		}
		_, degree := quantity.TemperatureUnit(t[k].plain)
		return degree || l.writtenUnit(&t[k])
	}
	switch n := len(t); {
	case n == 3 && t[0].plain == "back" && isUnitPreposition(t[1].plain) && unit(2):
		l.tokens = t[1:]
	case n > 1 && n < 4 && t[n-1].plain == "again" && unit(n-2):
		l.tokens = t[:n-1]
	}
}

// countWord reports whether token i counts, in figures or in words.
func (l *lattice) countWord(i int) bool {
	t := &l.tokens[i]
	if t.number {
		return true
	}
	switch t.plain {
	case "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "twenty":
		return true
	}
	return false
}

// isNameAt reports whether a name of the book begins with token i and the next.
func (l *lattice) isNameAt(i int) bool {
	n, ok := l.x.next(0, l.tokens[i].fold)
	if !ok {
		return false
	}
	_, ok = l.x.next(n, l.tokens[i+1].fold)
	return ok
}

// upToWhat reads "up to what temp", "up to how many degrees" as "to what temp": up to
// where is asked, and nothing goes up.
func (l *lattice) upToWhat() {
	t := l.tokens
	for k := 0; k+2 < len(t); k++ {
		if t[k].plain != "up" && t[k].plain != "down" || t[k+1].plain != "to" || t[k+1].breaks || t[k+2].breaks {
			continue
		}
		if t[k+2].plain != "what" && t[k+2].plain != "which" && t[k+2].plain != "how" {
			continue
		}
		hot := slices.ContainsFunc(t[k+2:], func(t token) bool {
			switch t.fold {
			case "temp", "temperature", "degree", "c", "f", "celsius", "fahrenheit", "hot":
				return true
			}
			return false
		})
		if hot || t[k].plain == "up" && k+3 == len(t) && k > 0 && (t[k-1].plain == "cook" || t[k-1].plain == "boil" || t[k-1].plain == "heat") {
			l.tokens = slices.Delete(t, k, k+1)
			return
		}
	}
}

// setFor reads "set 12 min for the kneading": a timer is set.
func (l *lattice) setFor() {
	t := l.tokens
	if len(t) > 2 && t[0].plain == "set" && t[1].number && !t[1].breaks && !t[2].breaks {
		switch t[2].fold {
		case "min", "minute", "hour", "hr", "h", "sec", "second":
			t[0].plain, t[0].fold = "timer", "timer"
		}
	}
}

// endsBy reads "in the fridge 13:20, set by" as "set when": by when is asked.
func (l *lattice) endsBy() {
	t := l.tokens
	n := len(t) - 1
	if n < 3 || t[n].plain != "by" || t[n].breaks || !slices.ContainsFunc(t[:n], func(t token) bool { return t.number || t.plain == "now" }) {
		return
	}
	switch t[n-1].plain {
	case "set", "ready", "done", "firm", "frozen", "out", "baked", "thawed", "proofed", "proved", "finished", "chilled", "cold", "cooked":
		t[n].plain, t[n].fold = "when", "when"
	}
}

// timesOf makes one number of "12 tables of 4", "2 trays of 24": so many in all.
func (l *lattice) timesOf() {
	count := func(k int) int {
		n, err := strconv.Atoi(l.tokens[k].plain)
		if err != nil {
			n = 1 + slices.Index([]string{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}, l.tokens[k].plain)
		}
		if n < 1 || n > 1000 {
			return 0
		}
		return n
	}
	for k := 0; k+3 < len(l.tokens); k++ {
		t := l.tokens[k : k+4]
		if t[1].breaks || t[2].breaks || t[3].breaks || t[2].plain != "of" || !slices.Contains([]string{"tables", "trays", "boxes", "racks", "rows"}, t[1].plain) {
			continue
		}
		a, b := count(k), count(k+3)
		if a == 0 || b < 2 || k+4 < len(l.tokens) && !l.tokens[k+4].breaks && startsUnit(l.tokens[k+4].plain) {
			continue
		}
		all := quantity.Int(int64(a * b))
		n := all.String()
		l.tokens[k] = token{start: t[0].start, end: t[3].end, plain: n, fold: n, number: true, breaks: t[0].breaks, question: t[3].question, counted: &all}
		l.tokens = slices.Delete(l.tokens, k+1, k+4)
	}
}
