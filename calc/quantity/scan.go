package quantity

import (
	"errors"
	"sort"
)

// MaxScan is how many bytes of a text [Measure.Scan] looks at.
const MaxScan = 4000

// Span is a quantity found in a text. Spans may overlap: each is one way to
// read that piece, and the reader of the sentence chooses.
type Span struct {
	Start, End int              // bytes in the text
	Q          Quantity         // what stands there; of a range the lower end
	Hi         *Quantity        // the upper end of a range, else nil
	Ambiguous  *AmbiguousNumber // both readings of "1,200"; Q is then the decimal one
	Words      bool             // some of the number is spelt out
	Weak       bool             // the number or the unit is a common word or a bare letter too
}

// Scan finds the quantities in free text as people write it: bare numbers,
// numbers with a unit, ranges, amounts of several parts, number words.
//
//   - Spans come in order of Start, the longest first.
//   - A bare number may be negative as well as positive ("-18"); of the others
//     only temperatures are.
//   - C, F, a degree sign or "degrees" without a letter after a number give a
//     Weak temperature (the latter two read as °C); "m" gives metres and minutes.
//   - No span: ordinals (3rd), figures inside words (T55), dates (14.4.2026).
//   - Range: the first 4,000 bytes of text; time grows with its length only.
func (m Measure) Scan(text string) []Span {
	text = clip(text, MaxScan)
	s := scanner{reader: reader{m: m, mode: Chat, text: text, toks: lex(text, MaxScan)}}
	for i := 0; i < len(s.toks); {
		i = s.at(i)
	}
	sort.SliceStable(s.spans, func(a, b int) bool {
		x, y := s.spans[a], s.spans[b]
		if x.Start != y.Start {
			return x.Start < y.Start
		}
		return x.End > y.End
	})
	return s.spans
}

// Scan finds the quantities in text; see [Measure.Scan].
func Scan(text string, m Measure) []Span { return m.Scan(text) }

type scanner struct {
	reader
	spans []Span
	list  []amount
}

// at adds the spans that start at toks[i] and returns where to go on.
func (s *scanner) at(i int) int {
	t := s.toks[i]
	if t.kind == space || t.kind == symbol || s.inside(i) {
		return i + 1
	}
	signed := t.text == "minus" || t.text == "-" && isDigits(s.toks, i+1) && (i == 0 || s.toks[i-1].kind == space || s.toks[i-1].text == "(")
	if t.kind == mark && t.text != "." && t.text != "," && !signed {
		return i + 1
	}
	if (t.text == "." || t.text == ",") && i > 0 && s.toks[i-1].kind != space {
		return i + 1
	}
	r := s.number(i)
	if r.err != nil && signed {
		return i + 1 // the number behind the minus has its own turn
	}
	if r.err != nil {
		var both *AmbiguousNumber
		if errors.As(r.err, &both) {
			s.ambiguous(i, r, both)
			if s.toks[i+1].kind != space {
				return r.end
			}
			// "2 120 mm rings": the first number alone is a reading as well.
			r = reading{n: integer(t.text), end: i + 1}
			s.read(i, r)
			return i + 1
		}
		return max(r.end, i+1)
	}
	if signed {
		s.negative(i, r)
		return i + 1
	}
	s.read(i, r)
	if r.part { // the "a" of "half a litre" is no number of its own
		k := skipSpace(s.toks, r.end)
		if isText(s.toks, k, "of") {
			k = skipSpace(s.toks, k+1)
		}
		if isText(s.toks, k, "a") || isText(s.toks, k, "an") {
			return k + 1
		}
	}
	return r.end
}

// inside reports that toks[i] goes on a word: the 55 of "T55", the b of "2b"; not the 3 of "x3".
func (s *scanner) inside(i int) bool {
	if i == 0 {
		return false
	}
	switch t, before := s.toks[i], s.toks[i-1]; {
	case t.kind == mark:
		return false
	case before.kind == letter:
		hex := i >= 2 && s.toks[i-2].text == "0" && t.kind == digits
		return before.text != "x" || hex
	case t.kind == letter:
		return before.kind == digits
	case before.text == "." || before.text == "," || before.text == "'":
		return i >= 2 && s.toks[i-2].kind == digits // the rest of "v2.0"
	}
	return false
}

var degreeWords = wordSet("° degrees degree deg grad degres grados gradi graus")

var ordinals = wordSet("st nd rd th er eme e")

// bare reports whether the number that starts at toks[i] may stand alone.
func (s *scanner) bare(i int, r reading) bool {
	if r.weak {
		switch s.toks[i].text {
		case "one", "half", "quarter", "couple":
		default:
			return false
		}
	}
	if r.end < len(s.toks) && s.toks[r.end].kind == letter && s.toks[r.end-1].kind == digits {
		next := s.toks[r.end].text
		if next == "x" {
			return s.toks[r.end-1].text != "0" || !isDigits(s.toks, r.end+1)
		}
		return !ordinals[next] && !(r.end+1 < len(s.toks) && s.toks[r.end+1].kind == digits)
	}
	return true
}

func (s *scanner) add(i, end int, sp Span) {
	sp.Start, sp.End = s.toks[i].start, s.toks[end-1].end
	s.spans = append(s.spans, sp)
}

// read adds what the number r at toks[i] begins.
func (s *scanner) read(i int, r reading) {
	s.list = s.amounts(r, s.list[:0])
	for _, a := range s.list {
		if a.end > r.end || s.bare(i, r) {
			s.add(i, a.end, Span{Q: a.q, Words: r.words, Weak: a.weak})
		}
		s.ranges(i, a, r)
	}
	if k := skipSpace(s.toks, r.end); k < len(s.toks) && !glued(s.toks, k+1) {
		if degreeWords[s.toks[k].text] {
			if _, ok := s.m.unitAt(s.toks, k); !ok {
				s.add(i, k+1, Span{Q: Quantity{r.n, Celsius}, Words: r.words, Weak: true})
			}
		}
	}
}

// ranges adds the ranges whose lower end is a.
func (s *scanner) ranges(i int, a amount, r reading) {
	k, ok := s.to(a.end)
	if !ok || a.end == r.end && !s.bare(i, r) {
		return
	}
	r2 := s.number(k)
	if r2.err != nil {
		return
	}
	// "two to three hundred", "one to two dozen": the word counts for both.
	if m := multiplier(s.toks[r2.end-1]); m > 0 && a.end == r.end && multiplier(s.toks[r.end-1]) == 0 && a.q.N.Mul(Int(m)).Less(r2.n) {
		a.q.N = a.q.N.Mul(Int(m))
	}
	for _, b := range s.amounts(r2, nil) {
		if b.end == r2.end && !s.bare(k, r2) {
			continue
		}
		if lo, hi, ok := span(a.q, b.q); ok && (s.mayBe(lo) || lo.Unit.Equal(NoUnit)) {
			s.add(i, b.end, Span{Q: lo, Hi: &hi, Words: r.words || r2.words, Weak: b.weak})
		}
	}
}

// multiplier is what a word at the end of a number multiplies, or 0.
func multiplier(t token) int64 {
	switch {
	case dozens[t.text]:
		return 12
	case t.text == "hundred":
		return 100
	case t.text == "thousand":
		return 1000
	}
	return 0
}

// negative adds a bare number below 0, and temperatures.
func (s *scanner) negative(i int, r reading) {
	for _, a := range s.amounts(r, nil) {
		if a.end == r.end && s.bare(i, r) || a.q.Unit.Dim == Temperature {
			s.add(i, a.end, Span{Q: a.q, Words: r.words, Weak: a.weak})
		}
		if a.q.Unit.Dim == Temperature || a.end == r.end {
			s.ranges(i, a, r)
		}
	}
}

// ambiguous adds the readings of "1,200", alone and with a unit.
func (s *scanner) ambiguous(i int, r reading, both *AmbiguousNumber) {
	r.err, r.n = nil, both.AsDecimal
	for _, a := range s.amounts(r, nil) {
		if a.end > r.end || s.bare(i, r) {
			s.add(i, a.end, Span{Q: a.q, Ambiguous: both, Weak: a.weak})
		}
	}
}
