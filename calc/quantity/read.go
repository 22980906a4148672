package quantity

import (
	"errors"
	"fmt"
	"math/big"
	"strings"
	"unicode/utf8"
)

// Mode says who wrote a text. Modes may be added: Chat | Signed.
type Mode uint8

// The modes of reading.
const (
	// Book reads figures only and guesses nothing.
	Book Mode = 0
	// Chat reads number words too, and figures grouped without doubt.
	Chat Mode = 1
	// Signed allows a minus before any number; temperatures need no leave.
	Signed Mode = 2
)

var (
	// ErrAmbiguousNumber: a comma or space with exactly three digits after it,
	// which may be a decimal or a thousand. The error is an [*AmbiguousNumber].
	ErrAmbiguousNumber = errors.New("decimal or thousands")
	// ErrSeparator: a number with several separators, which a book writes
	// without. It is also an ErrNumber.
	ErrSeparator = fmt.Errorf("%w: several separators", ErrNumber)
)

// AmbiguousNumber is the error of a number such as "1,200" or "1 200".
type AmbiguousNumber struct {
	Text        string // as written
	AsDecimal   Number // 1.2
	AsThousands Number // 1200
}

// Error names both readings.
func (a *AmbiguousNumber) Error() string {
	return fmt.Sprintf("%q: %v: %v or %v", a.Text, ErrAmbiguousNumber, a.AsDecimal, a.AsThousands)
}

// Is makes errors.Is(err, ErrAmbiguousNumber) true.
func (a *AmbiguousNumber) Is(target error) bool { return target == ErrAmbiguousNumber }

// The longest number: digits of one run, bytes that are looked at.
const (
	maxDigits     = 24
	maxNumberText = 240
	maxTokens     = 48
)

// ReadNumber reads the number at the start of s, after spaces, and returns how
// many bytes of s it took.
//
//   - Figures: "1.2", "1,2", ".5", "½", "1½", "1 1/2", "1/2"; a point is always
//     the decimal point: "1.200" is 1.2.
//   - Words, in Chat: "two and a half", "a dozen", "twenty-four", "three
//     quarters", "2 and a half"; numbers up to 999 999 in English, French, German,
//     Spanish, Italian and Portuguese. "double" and "first" are no numbers.
//   - Several separators that read one way only ("1,200.5", "1.200,5",
//     "1,200,000", "1'200") are clear in Chat and an [ErrSeparator] in Book.
//     "0,200" and "1500,250" can only be decimals and are clear in both.
//   - A minus only with [Signed]. Never exponents, hexadecimals, infinities; at
//     most 24 digits in a run.
//   - Errors: [ErrNumber]; [*AmbiguousNumber] for "1,200" and "1 200", with the
//     length of the whole. On an error n is 0.
func ReadNumber(s string, mode Mode) (n Number, length int, err error) {
	toks := lex(clip(s, maxNumberText), maxTokens)
	r := numberAt(toks, skipSpace(toks, 0), mode)
	if r.end > 0 {
		length = toks[r.end-1].end
	}
	if r.err != nil {
		return Number{}, length, r.err
	}
	return r.n, length, nil
}

// clip cuts s to at most n bytes, between runes.
func clip(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n]
}

// reading is a number found among tokens.
type reading struct {
	n     Number
	end   int  // the token after it; 0 if there is no number
	words bool // some of it is spelt out
	weak  bool // a common word too
	part  bool // a fraction by its name: "half", "three quarters" (of a …)
	many  bool // "a couple", "a dozen" (of …)
	err   error
}

func noNumber() reading { return reading{err: ErrNumber} }

// numberAt reads the number that starts at toks[i].
func numberAt(toks []token, i int, mode Mode) reading {
	if i >= len(toks) {
		return noNumber()
	}
	if mode&Signed != 0 && (toks[i].text == "-" || mode&Chat != 0 && toks[i].text == "minus") {
		r := numberAt(toks, skipSpace(toks, i+1), mode&^Signed)
		r.n = r.n.Neg()
		return r
	}
	switch toks[i].kind {
	case digits, vulgar:
		return figuresAt(toks, i, mode)
	case letter:
		if mode&Chat != 0 {
			return wordsAt(toks, i)
		}
	case mark:
		if (toks[i].text == "." || toks[i].text == ",") && isDigits(toks, i+1) && (i == 0 || toks[i-1].kind != digits) {
			return figuresAt(toks, i, mode)
		}
	}
	return noNumber()
}

func isDigits(toks []token, i int) bool { return i < len(toks) && toks[i].kind == digits }

func isText(toks []token, i int, text string) bool { return i < len(toks) && toks[i].text == text }

func vulgarValue(t token) Number {
	r, _ := utf8.DecodeRuneInString(t.text)
	return Frac(vulgars[r][0], vulgars[r][1])
}

// figuresAt reads a number in figures; in Chat with words after it ("2 and a half", "3 dozen").
func figuresAt(toks []token, i int, mode Mode) reading {
	r := plainFigures(toks, i, mode)
	if r.err == nil && mode&Chat != 0 {
		return wordsAfter(toks, r)
	}
	return r
}

func plainFigures(toks []token, i int, mode Mode) reading {
	if toks[i].kind == vulgar {
		if i+1 < len(toks) && (toks[i+1].kind == vulgar || toks[i+1].kind == digits) {
			for i++; i < len(toks) && (toks[i].kind == vulgar || toks[i].kind == digits); {
				i++
			}
			return reading{end: i, err: ErrNumber}
		}
		return reading{n: vulgarValue(toks[i]), end: i + 1}
	}
	if toks[i].kind == mark { // ".5"
		return decimal("0", toks[i+1].text, i+2, toks)
	}
	whole := toks[i].text
	j := i + 1
	if len(whole) > maxDigits {
		return reading{end: j, err: fmt.Errorf("%w: too many digits", ErrNumber)}
	}
	// A fraction: 3/4.
	if isText(toks, j, "/") && isDigits(toks, j+1) {
		n, ok := fraction(toks, i)
		if !ok {
			return reading{end: j + 2, err: fmt.Errorf("%w: not a fraction", ErrNumber)}
		}
		return reading{n: n, end: j + 2}
	}
	// A mixed number: 1½, 1 1/2; in Chat 1-1/2.
	k := skipSpace(toks, j)
	if k < len(toks) && toks[k].kind == vulgar {
		f := plainFigures(toks, k, mode)
		f.n = f.n.Add(integer(whole))
		return f
	}
	if k == j && mode&Chat != 0 && isText(toks, j, "-") {
		k = j + 1
	}
	if k > j && isDigits(toks, k) && isText(toks, k+1, "/") && isDigits(toks, k+2) {
		if f, ok := fraction(toks, k); ok && f.Less(Int(1)) {
			return reading{n: f.Add(integer(whole)), end: k + 3}
		}
	}
	return separated(toks, i, mode)
}

// separated reads figures with points, commas, spaces or apostrophes in them.
func separated(toks []token, i int, mode Mode) reading {
	groups, seps := []string{toks[i].text}, []string{}
	plausible := len(toks[i].text) <= 3 && toks[i].text[0] != '0' // as the first group of a grouped number
	j := i + 1
	for j+1 < len(toks) && toks[j+1].kind == digits {
		sep := toks[j].text
		three := len(toks[j+1].text) == 3
		switch {
		case toks[j].kind == space:
			if sep = " "; !plausible || !three || isText(toks, j+2, "/") {
				sep = ""
			}
		case sep == "'":
			if !plausible || !three {
				sep = ""
			}
		case sep == "." || sep == ",":
		default:
			sep = ""
		}
		if sep == "" {
			break
		}
		groups, seps = append(groups, toks[j+1].text), append(seps, sep)
		j += 2
	}
	bad := reading{end: j, err: fmt.Errorf("%w: separators", ErrNumber)}
	if len(seps) == 0 {
		return reading{n: integer(groups[0]), end: j}
	}
	first, last := seps[0], seps[len(seps)-1]
	if len(seps) == 1 && first != "'" {
		if first == "." || len(groups[1]) != 3 || !plausible {
			return decimal(groups[0], groups[1], j, toks)
		}
		return reading{end: j, err: &AmbiguousNumber{
			Text:        groups[0] + first + groups[1],
			AsDecimal:   decimal(groups[0], groups[1], j, toks).n,
			AsThousands: integer(groups[0] + groups[1]),
		}}
	}
	// Several separators: the last may be the decimal one, the others group.
	grouped, tail := groups, ""
	if first != last && (last == "." || last == ",") {
		grouped, tail = groups[:len(groups)-1], groups[len(groups)-1]
		seps = seps[:len(seps)-1]
	}
	for k, s := range seps {
		if s != first || len(grouped[k+1]) != 3 {
			return bad
		}
	}
	if !plausible {
		return bad
	}
	if mode&Chat == 0 {
		bad.err = ErrSeparator
		return bad
	}
	return decimal(strings.Join(grouped, ""), tail, j, toks)
}

// decimal makes whole.frac; j is the token after it.
func decimal(whole, frac string, j int, toks []token) reading {
	if len(whole)+len(frac) > maxDigits {
		return reading{end: j, err: fmt.Errorf("%w: too many digits", ErrNumber)}
	}
	if j < len(toks) && toks[j].kind == vulgar {
		return reading{end: j, err: fmt.Errorf("%w: a decimal and a fraction", ErrNumber)}
	}
	if frac == "" {
		return reading{n: integer(whole), end: j}
	}
	r, _ := new(big.Rat).SetString(whole + "." + frac)
	return reading{n: Number{r}, end: j}
}

func integer(s string) Number {
	i, _ := new(big.Int).SetString(s, 10)
	return Number{new(big.Rat).SetInt(i)}
}

// fraction reads toks[i] / toks[i+2].
func fraction(toks []token, i int) (Number, bool) {
	num, den := toks[i].text, toks[i+2].text
	if len(num) > maxDigits || len(den) > maxDigits || strings.Trim(den, "0") == "" ||
		isText(toks, i+3, "/") && isDigits(toks, i+4) {
		return Number{}, false
	}
	return integer(num).Div(integer(den)), true
}

// wordsAt reads a number that starts with a word.
func wordsAt(toks []token, i int) reading {
	w := toks[i].text
	best := noNumber()
	take := func(r reading) {
		if r.err == nil && r.end > best.end {
			r.words = true
			best = r
		}
	}
	if f := partAt(toks, i); f.err == nil {
		f.weak = f.end == i+1 && commonWords[w]
		// "half a dozen"
		if k := skipJoin(toks, f.end); k < len(toks) {
			if (toks[k].text == "a" || toks[k].text == "an") && k+1 < len(toks) {
				k = skipSpace(toks, k+1)
			}
			if k < len(toks) && dozens[toks[k].text] {
				f.n, f.end, f.part, f.many, f.weak = f.n.Mul(Int(12)), k+1, false, true, false
			}
		}
		take(f)
	}
	if dozens[w] {
		take(reading{n: Int(12), end: i + 1, many: true})
	}
	if w == "couple" {
		take(reading{n: Int(2), end: i + 1, many: true, weak: true})
	}
	if w == "a" || w == "an" {
		k := skipSpace(toks, i+1)
		switch {
		case k >= len(toks) || k == i+1:
		case dozens[toks[k].text] || toks[k].text == "couple":
			r := wordsAt(toks, k)
			r.weak = false
			take(r)
		case toks[k].text == "hundred" || toks[k].text == "thousand":
			take(wordsAt(toks, k))
		}
	}
	if w == "anderthalb" {
		take(reading{n: Frac(3, 2), end: i + 1})
	}
	if stem, ok := strings.CutSuffix(w, "einhalb"); ok {
		if u, ok := languages[2].words[stem]; ok && u.class == unitWord {
			take(reading{n: Int(u.v).Add(Frac(1, 2)), end: i + 1})
		}
	}
	for _, l := range languages {
		v, end, count := l.cardinal(toks, i)
		if count == 0 {
			continue
		}
		r := reading{n: Int(v), end: end, weak: count == 1 && commonWords[w]}
		take(wordsAfter(toks, spokenDecimal(toks, r, l)))
	}
	return best
}

// spokenDecimal reads the "point five" of "two point five".
func spokenDecimal(toks []token, r reading, l *language) reading {
	k := skipSpace(toks, r.end)
	if !isText(toks, k, "point") {
		return r
	}
	place := Int(1)
	for n := 0; n < 6; n++ {
		k = skipSpace(toks, k+1)
		if k >= len(toks) || l.words[toks[k].text].class != unitWord {
			break
		}
		place = place.Div(Int(10))
		r.n, r.end, r.weak = r.n.Add(place.Mul(Int(l.words[toks[k].text].v))), k+1, false
	}
	return r
}

// partAt reads a fraction by its name: "half", "a quarter", "three quarters", "2 thirds".
func partAt(toks []token, i int) reading {
	if i >= len(toks) {
		return noNumber()
	}
	w := toks[i].text
	count, k := int64(1), i
	switch {
	case halves[w]:
		return reading{n: Frac(1, 2), end: i + 1, part: true, words: true}
	case w == "quarter" || w == "viertel":
		return reading{n: Frac(1, 4), end: i + 1, part: true, words: true}
	case w == "dreiviertel":
		return reading{n: Frac(3, 4), end: i + 1, part: true, words: true}
	case ones[w]:
	case toks[i].kind == digits && len(w) <= 2:
		count = integer(w).rat().Num().Int64()
	case toks[i].kind == letter:
		found := false
		for _, l := range languages {
			if n, ok := l.words[w]; ok && n.class == unitWord && n.v > 0 {
				count, found = n.v, true
				break
			}
		}
		if !found {
			return noNumber()
		}
	default:
		return noNumber()
	}
	k = skipJoin(toks, i+1)
	if k == i+1 || k >= len(toks) {
		return noNumber()
	}
	d, ok := parts[toks[k].text]
	if !ok && halves[toks[k].text] {
		d, ok = 2, count == 1
	}
	if !ok || count == 0 {
		return noNumber()
	}
	return reading{n: Frac(count, d), end: k + 1, part: true, words: true}
}

// wordsAfter extends a number by the words after it: "and a half", "dozen", "quarters".
func wordsAfter(toks []token, r reading) reading {
	k := skipJoin(toks, r.end)
	if k >= len(toks) || r.err != nil || k == r.end && !dozens[toks[k].text] {
		return r
	}
	w := toks[k].text
	switch {
	case dozens[w]:
		r.n, r.end, r.words, r.weak, r.many = r.n.Mul(Int(12)), k+1, true, false, true
	case parts[w] > 0 && r.n.IsInt() && (r.n.Cmp(Int(1)) == 0 || strings.HasSuffix(w, "s") || sameInPlural[w]):
		r.n, r.end, r.words, r.weak, r.part = r.n.Div(Int(parts[w])), k+1, true, false, true
	case ands[w] && r.n.IsInt():
		if f := fractionAfterAnd(toks, skipSpace(toks, k+1)); f.err == nil {
			r.n, r.end, r.words, r.weak = r.n.Add(f.n), f.end, r.words || f.words, false
		}
	}
	return r
}

// fractionAfterAnd reads what follows "two and": a part by name, 1/2 or ½, under 1.
func fractionAfterAnd(toks []token, i int) reading {
	if i >= len(toks) {
		return noNumber()
	}
	f := partAt(toks, i)
	if f.err != nil && (toks[i].kind == vulgar || isDigits(toks, i) && isText(toks, i+1, "/") && isDigits(toks, i+2)) {
		f = plainFigures(toks, i, Book)
	}
	if f.err != nil || f.n.Cmp(Int(1)) >= 0 {
		return noNumber()
	}
	return f
}
