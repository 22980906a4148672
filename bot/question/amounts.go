package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// tokenRange finds the tokens that the bytes [start, end) cover exactly.
func (l *lattice) tokenRange(start, end int) (from, to int, ok bool) {
	from, to = -1, -1
	for i := range l.tokens {
		t := &l.tokens[i]
		if t.start == start || (from < 0 && t.start > start && t.start < end) {
			from = i
			break
		}
	}
	if from < 0 {
		return 0, 0, false
	}
	for i := from; i < len(l.tokens) && l.tokens[i].start < end; i++ {
		to = i + 1
	}
	if to < 0 || l.tokens[to-1].end > end {
		return 0, 0, false
	}
	return from, to, true
}

// addQuantities finds numbers with and without units, units alone and clock times.
func (l *lattice) addQuantities(m quantity.Measure) {
	for _, q := range quantity.Scan(l.scan, m) {
		from, to, ok := l.tokenRange(q.Start, q.End)
		if !ok || l.labels(from) || l.dropsMinus(q.Start) || q.Words && q.Q.Unit.Symbol == "" && q.Q.N.Less(one) && q.Hi == nil {
			continue // "half" is of a batch: addFactors
		}
		if q.Q.Unit.Symbol == "in" && l.tokens[to-1].plain == "in" && to < len(l.tokens) && !l.tokens[to].breaks && to-1 > from {
			if isArticle(l.tokens[to].plain) || quantity.Int(100).Less(q.Q.N) { // "1450 in the wide pan", "1450 in wide pan" are no 1450 inches
				to, q.Q.Unit = to-1, quantity.Unit{}
			}
		}
		if from > 0 && l.tokens[from].plain == "half" && andWord(l.tokens[from-1].plain) {
			continue // "a pound and half in g" speaks of no inch
		}
		if from > 0 && l.tokens[from-1].plain == "minus" && !l.tokens[from].breaks {
			from--
			q.Q.N = q.Q.N.Neg()
		}
		cost := costSpan
		if q.Weak || q.Words && q.Q.Unit.Symbol == "" && to-from == 1 {
			cost = costSpan + 1 // "a", "one": more often no number
		}
		l.add(span{kind: spanQuantity, from: from, to: to, cost: cost, q: q})
		if last := to - 1; last > from && l.tokens[last-1].end > q.Start && q.Q.Unit.Symbol == "" { // "three dozen rolls", where the book has a "dozen roll"
			if _, ok := l.x.next(0, l.tokens[last].fold); ok {
				for _, short := range quantity.Scan(l.scan[q.Start:l.tokens[last-1].end], m) {
					if short.Start == 0 && short.End == l.tokens[last-1].end-q.Start {
						l.add(span{kind: spanQuantity, from: from, to: last, cost: costSpan, q: short, whole: true})
					}
				}
			}
		}
	}
	for i := range l.tokens {
		if w := l.tokens[i].plain; w == "zero" || w == "nought" || w == "nothing" && i > 0 && (l.tokens[i-1].plain == "times" || l.tokens[i-1].plain == "x") { // no size, and said to be none
			l.add(span{kind: spanQuantity, from: i, to: i + 1, cost: costSpan, q: quantity.Span{Words: true}})
		}
		longest, longestRange := 0, 0
		for _, s := range l.starts[i] {
			if s.q.Hi == nil { // of a range either end may be meant
				longest = max(longest, s.to)
			} else {
				longestRange = max(longestRange, s.to)
			}
		}
		for k := range l.starts[i] { // "300 °C" is no 300, "3 to 5 g" no 3 to 5
			if s := &l.starts[i][k]; (s.to < longest || s.q.Hi != nil && s.to < longestRange) && !s.whole {
				s.cost += costCutShort
			}
		}
		l.addHalf(i, m)
		l.addUnit(i, m)
		l.addPer(i, m)
		l.addClock(i)
	}
}

// addPer reads "per kilo" as one kilo.
func (l *lattice) addPer(i int, m quantity.Measure) {
	switch l.tokens[i].plain {
	case "per", "each", "every", "pro", "par", "por":
	default:
		return
	}
	if i+1 == len(l.tokens) || l.tokens[i+1].breaks {
		return
	}
	u, ok := m.UnitNamed(l.tokens[i+1].plain)
	if !ok || u.Dim != quantity.Mass && u.Dim != quantity.Volume {
		return
	}
	switch u.Symbol {
	case "g", "mg", "ml":
		return // a share, not a size
	}
	l.add(span{kind: spanQuantity, from: i, to: i + 2, cost: costSpan, q: quantity.Span{Q: quantity.Quantity{N: one, Unit: u}}})
}

// dropsMinus reports whether a minus stands right before the number at byte i
// with nothing before it that it could join: then the number is negative.
func (l *lattice) dropsMinus(i int) bool {
	if i == 0 || i >= len(l.text) || !isDigit(l.text[i]) {
		return false
	}
	for _, minus := range []string{"-", "−", "–"} {
		if before, ok := strings.CutSuffix(l.text[:i], minus); ok {
			return before == "" || strings.HasSuffix(before, " ") || strings.HasSuffix(before, "x")
		}
	}
	return false
}

// addUnit: unit words may stand alone as the unit asked for; single letters only after "in" or "to".
func (l *lattice) addUnit(i int, m quantity.Measure) {
	for n := min(2, len(l.tokens)-i); n >= 1; n-- {
		words := make([]string, 0, 2)
		for k := i; k < i+n; k++ {
			words = append(words, l.tokens[k].plain)
		}
		s := strings.Join(words, " ")
		if words[0] == "°" {
			s = strings.Join(words, "")
		}
		after := i > 0 && (isUnitPreposition(l.tokens[i-1].plain) || strings.ContainsAny(l.text[l.tokens[i-1].end:l.tokens[i].start], "=>→")) // "165 c = f"
		u, ok := m.UnitNamed(s)
		if (!ok || u.Dim == quantity.Money) && after {
			u, ok = quantity.TemperatureUnit(s)
		}
		if !ok || (len(s) == 1 && !after && s != "g" && s != "%") {
			continue
		}
		if s == "in" && !after {
			continue // a word, not inches: "in a 24 cm tin"
		}
		if s == "%" || u.Dim == quantity.Share {
			continue // a cue
		}
		if u.Dim == quantity.Time && !after {
			continue // "how many hours": a cue
		}
		l.add(span{kind: spanUnit, from: i, to: i + n, cost: costSpan, unit: u})
		return
	}
}

func isUnitPreposition(w string) bool {
	switch w {
	case "in", "to", "into", "as", "en", "em", "zu", "many", "a", "of", "wie", "viele":
		return true
	}
	return false
}

// addFactors finds ×3, 3x, 3 times, triple, half a batch, 2 batches.
func (l *lattice) addFactors() {
	tok := l.tokens
	isTimes := func(i int) bool {
		return i >= 0 && i < len(tok) && (tok[i].plain == "x" || tok[i].plain == "times" || tok[i].plain == "fold" || tok[i].plain == "fois" || tok[i].plain == "veces" || tok[i].plain == "volte" || tok[i].plain == "mal" || tok[i].plain == "vezes" || tok[i].plain == "gange" || tok[i].plain == "ganger" || tok[i].plain == "keer")
	}
	add := func(from, to int, n quantity.Number, cost int) {
		if from > 0 && !tok[from].breaks && deny(tok[from-1].plain) && !(from == 1 && to == len(tok) && tok[0].plain == "no") { // "not x2 but x3"; "no x2" puts right
			l.add(span{kind: spanCue, from: from - 1, to: to, cost: costCue, cues: cueSet{}.with(cueFiller)})
			return
		}
		l.add(span{kind: spanFactor, from: from, to: to, cost: cost, factor: n})
	}
	batchEnd := func(i int) int { // end of "batches", "of the recipe", at i; 0 if none
		j := i
		for j < len(tok) && (tok[j].plain == "of" || tok[j].plain == "a" || tok[j].plain == "the" || tok[j].plain == "full" || tok[j].plain == "whole" || tok[j].plain == "single" || tok[j].plain == "normal") && j < i+3 {
			j++
		}
		if j < len(tok) && isBatchWord(tok[j].fold) {
			return j + 1
		}
		return 0
	}
	for i := range tok {
		for _, s := range slices.Clone(l.starts[i]) { // "75 % of a batch", "250 % batch"
			if s.kind == spanQuantity && s.q.Q.Unit.Dim == quantity.Share && s.q.Hi == nil && s.q.Ambiguous == nil && s.q.Q.N.Sign() > 0 {
				if b := batchEnd(s.to); b > 0 {
					add(i, b, s.q.Q.N.Div(quantity.Int(100)), costSpan)
				}
			}
		}
		for _, s := range l.starts[i] {
			if s.kind != spanQuantity || s.q.Q.Unit.Symbol != "" || s.q.Hi != nil || s.q.Ambiguous != nil {
				continue
			}
			n := s.q.Q.N
			if isTimes(s.to) {
				to := s.to + 1
				if b := batchEnd(to); b > 0 {
					to = b
				}
				if !(s.to+1 < len(tok) && tok[s.to+1].number && !tok[s.to+1].breaks) { // not "36 x 28"
					add(i, to, n, costSpan)
				}
			}
			if isTimes(i-1) && !(i-2 >= 0 && tok[i-2].number && (isTimes(s.to) || s.to < len(tok) && isLength(tok[s.to].plain))) {
				to := s.to
				if b := batchEnd(to); b > 0 {
					to = b
				}
				add(i-1, to, n, costSpan)
			}
			if b := batchEnd(s.to); b > 0 {
				add(i, b, n, costSpan)
			}
			if i > 1 && tok[i-1].plain == "by" && l.divides(i) && (s.to == len(tok) || tok[s.to].breaks) && n.Sign() > 0 { // "divide the flatbread by 4"
				l.add(span{kind: spanFactor, from: i - 1, to: s.to, cost: 0, factor: one.Div(n)})
			}
			if s.to < len(tok) && tok[s.to].plain == "of" && i > 1 && andWord(tok[i-1].plain) && slices.ContainsFunc(tok[:i], func(t token) bool { return isBatchWord(t.fold) }) { // "3 batches of sable and 2 of flatbread"
				l.add(span{kind: spanFactor, from: i, to: s.to, cost: 0, factor: n})
			}
			if s.to+2 < len(tok) && isBatchWord(tok[s.to].fold) { // "1 batch and a half"
				if j := l.andHalf(s.to + 1); j > 0 {
					add(i, j, n.Add(quantity.Frac(1, 2)), 0)
				}
			}
		}
		if l.takenBack(i) {
			continue
		}
		if isBatchWord(tok[i].fold) && (i == 0 || !tok[i-1].number) { // "a batch and a half"
			if j := l.andHalf(i + 1); j > 0 {
				add(i, j, quantity.Frac(3, 2), 0)
			}
		}
		if n, ok := factorWord(tok[i].fold, tok[i].plain); ok {
			add(i, i+1, n, costSpan+1)
			if b := batchEnd(i + 1); b > 0 {
				add(i, b, n, costSpan)
			}
		}
		switch {
		case l.sharesOf(i) > 1: // the third of "two thirds"
		case shareWords[tok[i].plain] != [2]int64{}:
			w := shareWords[tok[i].plain]
			l.addShare(i, i+1, quantity.Frac(w[0], w[1]), batchEnd)
		case shareWords[tok[i].fold] != [2]int64{}:
			w := shareWords[tok[i].fold]
			l.addShare(i, i+1, quantity.Frac(w[0], w[1]), batchEnd)
		}
		if i+1 < len(tok) {
			switch tok[i].plain + " " + tok[i+1].fold {
			case "three quarter":
				l.addShare(i, i+2, quantity.Frac(3, 4), batchEnd)
			case "two third":
				l.addShare(i, i+2, quantity.Frac(2, 3), batchEnd)
			}
		}
	}
}

// divides reports whether "divide" stands before token i.
func (l *lattice) divides(i int) bool {
	return slices.ContainsFunc(l.tokens[:i], func(t token) bool { return t.plain == "divide" || t.plain == "divided" || t.plain == "dividing" })
}

// sharesOf is how many of the shares at token i are told: 2 of "two thirds"; 1 where
// no number stands before it.
func (l *lattice) sharesOf(i int) int64 {
	t := &l.tokens[i]
	if i == 0 || t.plain == t.fold || t.breaks {
		return 1
	}
	for n, w := range []string{"two", "three", "four", "five"} {
		if b := l.tokens[i-1].plain; b == w || b == string(rune('2'+n)) {
			return int64(n) + 2
		}
	}
	return 1
}

// deny reports whether a word before a size takes it back.
func deny(w string) bool {
	switch w {
	case "not", "dont", "doesnt", "isnt", "arent", "hasnt", "havent", "never", "nicht", "no", "non", "nao", "pas", "without":
		return true
	}
	return false
}

// takenBack reads "don't double it", "not halved": a size that is not meant, and
// one word that tells nothing.
func (l *lattice) takenBack(i int) bool {
	if i == 0 || l.tokens[i].breaks {
		return false
	}
	if !deny(l.tokens[i-1].plain) {
		return false
	}
	if _, ok := factorWord(l.tokens[i].fold, l.tokens[i].plain); !ok && !strings.HasPrefix(l.tokens[i].plain, "halv") {
		return false
	}
	to := i + 1
	if to < len(l.tokens) && (l.tokens[to].plain == "it" || l.tokens[to].plain == "that" || l.tokens[to].plain == "the") && !l.tokens[to].breaks {
		to++
	}
	l.add(span{kind: spanCue, from: i - 1, to: to, cost: costCue, cues: cueSet{}.with(cueFiller)})
	return true
}

// isLength reports whether a word is a unit of length: "36 x 28 cm".
func isLength(w string) bool {
	u, ok := quantity.Metric.UnitNamed(w)
	return ok && u.Dim == quantity.Length
}

// measures reports whether token i is a number, a unit or a word for a batch.
func (l *lattice) measures(i int) bool {
	t := &l.tokens[i]
	_, unit := quantity.Metric.UnitNamed(t.plain)
	return t.number || unit || isBatchWord(t.fold) || l.isNumberWord(i) || t.plain == "one" || t.plain == "a"
}

// addShare adds a fraction of a batch: "half", "half a batch", "a third of the recipe".
func (l *lattice) addShare(from, to int, n quantity.Number, batchEnd func(int) int) {
	if and := from - 1; and > 0 && (andWord(l.tokens[and].plain) || l.tokens[and].plain == "a" && andWord(l.tokens[and-1].plain)) {
		if l.tokens[and].plain == "a" {
			and--
		}
		if and == 0 || l.measures(and-1) {
			return // "two and a half", not "tuiles and half the crumble"
		}
	}
	if from > 0 && (l.tokens[from-1].plain == "a" || l.tokens[from-1].plain == "one") {
		from--
	}
	if from > 0 && l.tokens[from-1].plain == "by" {
		if by, ok := l.changedBy(from - 1); ok {
			n := map[int]quantity.Number{-1: one.Sub(n), 0: n, 1: one.Add(n)}[by]
			l.add(span{kind: spanFactor, from: from - 1, to: to, cost: costSpan, factor: n})
		}
		return // "reduce by half" is of a pan
	}
	if to, by := l.moreOrLess(to); by != 0 { // "a third less"
		l.add(span{kind: spanFactor, from: from, to: to, cost: costSpan, factor: one.Add(n.Mul(quantity.Int(int64(by))))})
		return
	}
	if from > 0 && !l.tokens[from].breaks && (l.tokens[from-1].plain == "minus" || l.tokens[from-1].plain == "less") { // "minus a third"
		l.add(span{kind: spanFactor, from: from - 1, to: to, cost: costSpan, factor: one.Sub(n)})
		return
	}
	l.add(span{kind: spanFactor, from: from, to: to, cost: costSpan + 1, factor: n})
	if b := batchEnd(to); b > 0 {
		l.add(span{kind: spanFactor, from: from, to: b, cost: costSpan, factor: n})
	}
}

// moreOrLess reads "more", "less", "as much again" at token i: where it ends, and
// whether it adds (1) or takes away (-1); 0 where it is none.
func (l *lattice) moreOrLess(i int) (to, by int) {
	if i >= len(l.tokens) || l.tokens[i].breaks {
		return i, 0
	}
	at := func(k int) string {
		if k < len(l.tokens) && !l.tokens[k].breaks {
			return l.tokens[k].plain
		}
		return ""
	}
	switch l.tokens[i].plain {
	case "more", "extra", "again", "bigger", "larger", "mas", "mehr", "plus", "piu", "mais":
		return i + 1, 1
	case "less", "fewer", "smaller", "menos", "weniger", "moins", "meno":
		return i + 1, -1
	case "as":
		if (at(i+1) == "much" || at(i+1) == "many") && at(i+2) == "again" {
			return i + 3, 1
		}
	}
	return i, 0
}

// addPercent reads "20 % more", "ten percent less" as a factor.
func (l *lattice) addPercent() {
	hundred := quantity.Int(100)
	for i := range l.tokens {
		for _, s := range slices.Clone(l.starts[i]) {
			if s.kind != spanQuantity || s.q.Hi != nil || s.q.Ambiguous != nil {
				continue
			}
			end := s.to
			switch {
			case s.q.Q.Unit.Dim == quantity.Share:
			case s.q.Q.Unit.Symbol == "" && end < len(l.tokens) && (l.tokens[end].plain == "percent" || l.tokens[end].plain == "pct"):
				end++
			default:
				continue
			}
			if last := end == len(l.tokens) || l.tokens[end].breaks; last && i > 0 {
				switch n := s.q.Q.N.Div(hundred); {
				case i > 1 && n.Sign() > 0 && l.tokens[i-1].plain == "plus": // "plus 20 percent"
					l.add(span{kind: spanFactor, from: i - 1, to: end, cost: costSpan, factor: one.Add(n)})
				case n.Sign() < 0 && n.Neg().Less(one) && l.tokens[i].plain == "minus":
					l.add(span{kind: spanFactor, from: i, to: end, cost: costSpan, factor: one.Add(n)})
				}
			}
			if i > 0 && l.tokens[i-1].plain == "+" && s.q.Q.N.Sign() > 0 { // "+50 %"
				l.add(span{kind: spanFactor, from: i - 1, to: end, cost: costSpan, factor: one.Add(s.q.Q.N.Div(hundred))})
			}
			if i > 0 && l.tokens[i-1].plain == "by" && s.q.Q.N.Sign() > 0 {
				if by, ok := l.changedBy(i - 1); ok && by != 0 { // "up by 20 %"
					l.add(span{kind: spanFactor, from: i - 1, to: end, cost: costSpan, factor: one.Add(s.q.Q.N.Div(hundred).Mul(quantity.Int(int64(by))))})
				}
			}
			if to, by := l.moreOrLess(end); by != 0 && s.q.Q.N.Sign() > 0 {
				l.add(span{kind: spanFactor, from: i, to: to, cost: costSpan, factor: one.Add(s.q.Q.N.Div(hundred).Mul(quantity.Int(int64(by))))})
			}
		}
	}
}

// changedBy reads the word before "by" at token i as a change of size: -1 takes
// away ("cut by a third"), 1 adds, 0 multiplies ("scale by a half").
func (l *lattice) changedBy(i int) (by int, ok bool) {
	for k := i - 1; k >= 0 && k > i-6; k-- {
		switch l.tokens[k].plain {
		case "cut", "shrink", "lower", "drop", "down", "smaller", "less":
			return -1, true
		case "scale", "scaled", "multiply", "multiplied", "times":
			return 0, true
		case "increase", "increased", "raise", "up", "bump", "bigger", "more":
			return 1, true
		}
	}
	return 0, false
}

func isBatchWord(w string) bool {
	switch w {
	case "batch", "batche", "recipe", "mix", "lot", "fournee", "recette", "receta", "ricetta", "rezept", "receita", "fornada", "rezepte", "ricette", "ansatz", "ansatze", "charge", "infornata", "tanda", "hornada", "lote", "dose", "dosi", "run", "round", "size":
		return true
	}
	return false
}

// shareWords are words for a part of a batch, or a batch and a part.
var shareWords = map[string][2]int64{
	"half": {1, 2}, "halve": {1, 2}, "halved": {1, 2}, "demi": {1, 2}, "moitie": {1, 2}, "mitad": {1, 2}, "meta": {1, 2}, "metade": {1, 2},
	"halfte": {1, 2}, "halb": {1, 2}, "halbe": {1, 2}, "halber": {1, 2}, "halbes": {1, 2}, "halben": {1, 2}, "mezzo": {1, 2}, "mezza": {1, 2}, "medio": {1, 2},
	"media": {1, 2}, "meio": {1, 2}, "meia": {1, 2}, "anderthalb": {3, 2}, "third": {1, 3}, "tiers": {1, 3}, "tercio": {1, 3}, "terzo": {1, 3}, "terco": {1, 3},
	"drittel": {1, 3}, "quarter": {1, 4}, "viertel": {1, 4}, "cuarto": {1, 4}, "quart": {1, 4},
	"haf": {1, 2}, "hlf": {1, 2}, "qtr": {1, 4}, "qrtr": {1, 4}, "fifth": {1, 5}, "sixth": {1, 6}, "seventh": {1, 7}, "eighth": {1, 8}, "tenth": {1, 10}, "halv": {1, 2},
}

// factorWord reads a word that multiplies.
func factorWord(fold, plain string) (quantity.Number, bool) {
	for _, w := range [2]string{fold, plain} {
		switch w {
		case "double", "dubble", "doubled", "twice", "doubling", "dbl", "doble", "doppelt", "doppelte", "doppelten", "doppeltes", "doppio", "doppia", "dobro", "dupla", "duplo", "dobrar", "dobrada", "dobrado", "doblar", "doblada", "doblado", "raddoppiare", "raddoppiata", "raddoppiato", "verdoppeln", "verdoppelt", "doubler", "doublee", "doublez", "dobbelt", "dubbel", "zweimal", "zweifach", "zweifache":
			return quantity.Int(2), true
		case "triple", "tripled", "thrice", "treble", "tripling", "tripple", "dreifach", "dreifache", "dreimal", "triplo", "tripla", "triplar", "triplicar", "tripler", "triplee", "triplicare", "verdreifachen", "verdreifacht", "tredobbelt":
			return quantity.Int(3), true
		case "quadruple", "quad", "vierfach", "vierfache", "viermal", "cuadruple", "quadruplo":
			return quantity.Int(4), true
		case "quintuple":
			return quantity.Int(5), true
		}
	}
	return quantity.Number{}, false
}

// addDenied reads "96 not 90", "96 instead of 90", "not 2, 3": a bare number that is
// taken back beside another size, in a message that says little else.
func (l *lattice) addDenied() {
	const most = 7 // words of a message that only puts a size right
	if len(l.tokens) > most {
		return
	}
	sizes := 0
	for i := range l.starts {
		if slices.ContainsFunc(l.starts[i], func(s span) bool { return s.kind == spanQuantity || s.kind == spanFactor }) && (i == 0 || !slices.ContainsFunc(l.starts[i-1], func(s span) bool { return s.kind == spanFactor && s.to > i })) {
			sizes++
		}
	}
	if sizes != 2 {
		return
	}
	for i := 1; i < len(l.tokens); i++ {
		from := i - 1
		if i > 0 && (l.isName(i-1) || isFood(&l.tokens[i-1])) {
			return // "butter 40 g not 4" is of the butter
		}
		switch {
		case l.tokens[i].breaks:
			continue
		case l.tokens[from].plain == "not":
		case l.tokens[from].plain == "of" && from > 0 && l.tokens[from-1].plain == "instead":
			from--
		default:
			continue
		}
		for _, s := range slices.Clone(l.starts[i]) {
			if s.kind == spanFactor || s.kind == spanQuantity && s.q.Q.Unit.Symbol == "" && s.q.Hi == nil && (s.to == len(l.tokens) || l.tokens[s.to].breaks) {
				l.add(span{kind: spanCue, from: from, to: s.to, cost: costCue, cues: cueSet{}.with(cueFiller)})
			}
		}
	}
}
