package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// nameAndHalf reads what is counted with "and a half" behind its name: "a gravy and a
// half" is one and a half of it, "two and a half" where two stands before. The number
// comes to stand before the name, and "and a half" goes.
func (l *lattice) nameAndHalf(m quantity.Measure) {
	for i := 1; i < len(l.tokens); i++ {
		to := l.andHalf(i)
		if to == 0 && l.tokens[i].plain == "plus" && i+2 < len(l.tokens) && l.tokens[i+1].plain == "a" && l.tokens[i+2].plain == "half" {
			to = i + 3
		}
		if to == 0 || !l.endsHalf(to, m) {
			continue
		}
		from := l.namedUpTo(i)
		if from == i || l.tokens[from].number {
			continue
		}
		at, n, ok := l.countBefore(from, m)
		if !ok {
			continue
		}
		n = n.Add(quantity.Frac(1, 2))
		half := token{start: l.tokens[i].start, end: l.tokens[to-1].end, plain: n.String(), fold: n.String(), number: true, counted: &n}
		l.write(half.start, half.end, strings.Repeat(" ", half.end-half.start))
		if to < len(l.tokens) {
			l.tokens[to].breaks = l.tokens[to].breaks || l.tokens[i].breaks
		} else if l.tokens[to-1].question {
			l.tokens[i-1].question = true
		}
		l.tokens = slices.Delete(l.tokens, i, to)
		if at < from { // "two" goes where "2.5" comes
			c := l.tokens[at]
			l.write(c.start, c.end, strings.Repeat(" ", c.end-c.start))
			half.start, half.end, half.breaks = c.start, c.end, c.breaks
			l.tokens[at] = half
			continue
		}
		half.start, half.end = l.tokens[from].start, l.tokens[from].start // it has no place of its own
		half.breaks, l.tokens[from].breaks = l.tokens[from].breaks, false
		l.tokens = slices.Insert(l.tokens, from, half)
		i++
	}
}

// endsHalf reports whether "and a half" is over at token i and no half of what follows:
// "a gravy and a half kilo", "one gravy and half the cordial".
func (l *lattice) endsHalf(i int, m quantity.Measure) bool {
	if i == len(l.tokens) || l.tokens[i].breaks {
		return true
	}
	t := &l.tokens[i]
	switch t.plain {
	case "of", "a", "an", "the", "my", "our", "that", "this", "dozen", "full", "each", "portion", "portions", "and", "more", "less":
		return t.plain == "and" && i+1 < len(l.tokens) && l.tokens[i+1].plain != "half"
	case "in", "into", "on", "for", "at", "to", "with", "from", "as":
		return true
	}
	if _, unit := m.UnitNamed(t.plain); unit || t.number || isBatchWord(t.fold) || isMouldWord(t.fold) || shareWords[t.plain] != [2]int64{} {
		return false
	}
	return !slices.ContainsFunc(l.x.byWord[t.fold], func(id int32) bool { return l.x.entries[id].Recipe != nil })
}

// namedUpTo is where the words begin that stand before token to and are all of one name
// of a recipe or an ingredient; to where there are none.
func (l *lattice) namedUpTo(to int) int {
	var set []int32
	at := to
	for k := to - 1; k >= 0 && k >= to-6; k-- {
		var ids []int32
		for _, id := range l.x.byWord[l.tokens[k].fold] {
			if l.x.entries[id].Kind < kb.PanName {
				ids = append(ids, id)
			}
		}
		if k == to-1 && len(ids) == 0 && len(l.tokens[k].plain) > 4 && !isEnglish(&l.tokens[k]) { // "a gravvy and a half"
			for _, f := range l.x.spell().near(l.tokens[k].plain, l.tokens[k].fold, 1) {
				ids = append(ids, l.x.byWord[f.word]...)
			}
		}
		if len(set) > 0 && len(ids) > 0 {
			ids = intersect(set, ids)
		}
		if len(ids) == 0 {
			break
		}
		set, at = ids, k
		if l.tokens[k].breaks {
			break
		}
	}
	return at
}

// countBefore is the number that stands before the name at token from: one where only an
// article does, or nothing. ok is false where a name so counted is no number of it: "2 kg
// of gravy", "half a gravy", "half the gravy".
func (l *lattice) countBefore(from int, m quantity.Measure) (at int, n quantity.Number, ok bool) {
	if from == 0 || l.tokens[from].breaks {
		return from, one, true
	}
	at = from - 1
	switch w := l.tokens[at].plain; w {
	case "a", "an", "one":
		if at > 0 && !l.tokens[at].breaks && (shareWords[l.tokens[at-1].plain] != [2]int64{} || l.countWord(at-1)) {
			return at, n, false
		}
		return at, one, true
	case "of":
		b := at - 1
		if b < 1 || !isBatchWord(l.tokens[b].fold) {
			return at, n, false
		}
		return l.countBefore(b, m)
	case "the", "my", "our", "half", "double", "triple":
		return at, n, false
	}
	if _, unit := m.UnitNamed(l.tokens[at].plain); unit && l.tokens[at].plain != "in" || isBatchWord(l.tokens[at].fold) || shareWords[l.tokens[at].plain] != [2]int64{} {
		return at, n, false
	}
	for _, q := range quantity.Scan(l.tokens[at].plain, m) {
		if q.Start == 0 && q.End == len(l.tokens[at].plain) && q.Q.Unit.Symbol == "" && q.Hi == nil && q.Ambiguous == nil {
			return at, q.Q.N, q.Q.N.IsInt() && q.Q.N.Sign() > 0 && q.Q.N.Less(quantity.Int(100)) && (at == 0 || !l.tokens[at-1].number || l.tokens[at].breaks)
		}
	}
	return from, one, true
}

// addCounted adds the numbers that [lattice.nameAndHalf] put before names.
func (l *lattice) addCounted() {
	for i := range l.tokens {
		if n := l.tokens[i].counted; n != nil {
			l.add(span{kind: spanQuantity, from: i, to: i + 1, cost: costSpan, q: quantity.Span{Q: quantity.Quantity{N: *n}}})
		}
	}
}

// ofThatOne reports whether number i stands right before target k, and another target
// before both: "a gravy and half a cordial" is half of the one alone.
func (s *sense) ofThatOne(p pick, k, i int) bool {
	if k >= len(p.spans) || s.next(i) != p.spans[k] {
		return false
	}
	return slices.ContainsFunc(p.spans, func(sp int) bool { return sp >= 0 && sp < i })
}
