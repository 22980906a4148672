package quantity

import (
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"
)

// maxQuantityText is the longest text that can be one quantity.
const maxQuantityText = 160

// ParseQuantity reads s, the whole of it, as one number with its unit:
// "1,2kg", "½ l", "3 lb 4 oz", "85 °C", "1h30", "half a litre" (Chat).
//
//   - A number alone has [NoUnit].
//   - Several parts are summed in the first part's unit: "3 lb 4 oz" is 3.25 lb.
//     The last unit may be missing after hours and minutes ("1h30") and, in
//     Chat, before three digits after kg and l ("1 kg 200").
//   - In Book a word that is no unit is the word of a counted thing: "2 leaves";
//     in Chat it is an [ErrUnit].
//   - A minus stands before temperatures, else only with [Signed].
//   - The bare letters C and F are temperatures in Chat; in Book an ErrUnit.
//   - Errors: those of [ReadNumber]; [ErrUnit].
func ParseQuantity(s string, m Measure, mode Mode) (Quantity, error) {
	p, i, err := m.reader(s, mode)
	if err != nil {
		return Quantity{}, err
	}
	r := p.number(i)
	if r.err != nil {
		return Quantity{}, wrap(r.err, s)
	}
	for _, a := range p.amounts(r, nil) {
		if p.ends(a.end) {
			if !p.mayBe(a.q) {
				return Quantity{}, fmt.Errorf("%w: %q is less than nothing", ErrNumber, s)
			}
			return a.q, nil
		}
	}
	return Quantity{}, fmt.Errorf("%w: %q", ErrUnit, strings.TrimSpace(s[p.toks[r.end-1].end:]))
}

// ParseRange reads s, the whole of it, as a range: "3-4 g", "2–3 leaves",
// "8 h to 24 h"; the rules are those of [ParseQuantity]. Where the first unit
// is missing it is the second's.
//
//   - Errors: those of ParseQuantity; [ErrNumber] if s is no range or lo is not
//     less than hi; [ErrDimension].
func ParseRange(s string, m Measure, mode Mode) (lo, hi Quantity, err error) {
	p, i, err := m.reader(s, mode)
	if err != nil {
		return lo, hi, err
	}
	r := p.number(i)
	if r.err != nil {
		return lo, hi, wrap(r.err, s)
	}
	err = fmt.Errorf("%w: %q is no range", ErrNumber, s)
	for _, a := range p.amounts(r, nil) {
		k, ok := p.to(a.end)
		if !ok {
			continue
		}
		r2 := p.number(k)
		if r2.err != nil {
			err = wrap(r2.err, s)
			continue
		}
		for _, b := range p.amounts(r2, nil) {
			if !p.ends(b.end) {
				continue
			}
			lo, hi, ok := span(a.q, b.q)
			if !ok {
				if a.q.Unit.Dim != b.q.Unit.Dim && !a.q.Unit.Equal(NoUnit) {
					err = fmt.Errorf("%w: %q", ErrDimension, s)
				}
				continue
			}
			if !p.mayBe(lo) {
				return Quantity{}, Quantity{}, fmt.Errorf("%w: %q is less than nothing", ErrNumber, s)
			}
			return lo, hi, nil
		}
	}
	return Quantity{}, Quantity{}, err
}

// span makes a range of two amounts; it is false if they do not rise or do not fit.
func span(a, b Quantity) (lo, hi Quantity, ok bool) {
	if a.Unit.Equal(NoUnit) {
		a.Unit = b.Unit
	}
	in, err := a.In(b.Unit)
	if err != nil || !in.N.Less(b.N) {
		return a, b, false
	}
	return a, b, true
}

func wrap(err error, s string) error {
	if errors.Is(err, ErrAmbiguousNumber) {
		return err
	}
	return fmt.Errorf("%w in %q", err, s)
}

// reader reads quantities out of tokens.
type reader struct {
	m    Measure
	mode Mode
	text string
	toks []token
}

// reader cuts s and returns the first token that is no space.
func (m Measure) reader(s string, mode Mode) (*reader, int, error) {
	if len(s) > maxQuantityText {
		return nil, 0, fmt.Errorf("%w: more than %d bytes", ErrNumber, maxQuantityText)
	}
	toks := lex(s, maxQuantityText)
	return &reader{m, mode, s, toks}, skipSpace(toks, 0), nil
}

// ends reports that only spaces, or the point of an abbreviation, stand from toks[i] on.
func (p *reader) ends(i int) bool {
	if i > 0 && p.toks[i-1].kind == letter {
		i = skipDot(p.toks, i)
	}
	return skipSpace(p.toks, i) == len(p.toks)
}

// mayBe refuses what is below 0 and no temperature, unless signs are allowed.
func (p *reader) mayBe(q Quantity) bool {
	return q.N.Sign() >= 0 || q.Unit.Dim == Temperature || p.mode&Signed != 0
}

// to skips the word or dash between the ends of a range.
func (p *reader) to(i int) (int, bool) {
	k := skipSpace(p.toks, i)
	if k >= len(p.toks) {
		return 0, false
	}
	switch p.toks[k].text {
	case "-":
	case "to", "bis", "a", "ate", "al":
		if p.toks[k].text == "to" || p.mode&Chat != 0 {
			break
		}
		return 0, false
	default:
		return 0, false
	}
	k = skipSpace(p.toks, k+1)
	return k, k < len(p.toks)
}

// number reads a number at toks[i] with its sign, and "a" where a unit follows.
func (p *reader) number(i int) reading {
	if i >= len(p.toks) {
		return noNumber()
	}
	switch t := p.toks[i].text; {
	case t == "-", t == "minus" && p.mode&Chat != 0:
		return numberAt(p.toks, i, p.mode|Signed)
	case p.mode&Chat != 0 && (t == "a" || t == "an"):
		if r := numberAt(p.toks, i, p.mode); r.err == nil {
			return r
		}
		k := skipSpace(p.toks, i+1)
		if u, ok := p.m.unitAt(p.toks, k); ok && k > i+1 && (!u.weak || len(p.toks[k].text) > 2) {
			return reading{n: Int(1), end: i + 1, words: true, weak: true}
		}
	}
	return numberAt(p.toks, i, p.mode)
}

// amount is a quantity that starts with a number already read.
type amount struct {
	q    Quantity
	end  int
	weak bool
}

// amounts appends every quantity that the number r begins, shortest first:
// alone, with its unit, with further parts.
func (p *reader) amounts(r reading, list []amount) []amount {
	if last := p.toks[r.end-1].text; last != "a" && last != "an" {
		list = append(list, amount{q: Quantity{N: r.n}, end: r.end, weak: r.weak})
	}
	for _, u := range p.units(r) {
		a := amount{Quantity{r.n, u.unit}, u.end, u.weak}
		if !u.glued {
			list = append(list, a)
		}
		list = p.parts(a, u.glued, list)
	}
	return list
}

// units returns the units that may follow the number r.
func (p *reader) units(r reading) []foundUnit {
	k := skipSpace(p.toks, r.end)
	if p.mode&Chat != 0 {
		if r.part || r.many { // half a litre, three quarters of an hour, a couple of litres
			if isText(p.toks, k, "of") {
				k = skipSpace(p.toks, k+1)
			}
			if r.part && (isText(p.toks, k, "a") || isText(p.toks, k, "an")) {
				k = skipSpace(p.toks, k+1)
			}
		}
		if k == r.end && isText(p.toks, k, "-") { // a 16-cm ring
			k++
		}
	}
	if k >= len(p.toks) {
		return nil
	}
	u, ok := p.m.unitAt(p.toks, k)
	if ok {
		if t := p.toks[k].text; t == "m" && u.end == k+1 && p.mode&Chat != 0 { // 30m
			return []foundUnit{u, {Minute, u.end, true, u.glued}}
		}
		return []foundUnit{u}
	}
	t := p.toks[k]
	if t.kind != letter {
		return nil
	}
	if p.mode&Chat != 0 {
		if tu, ok := TemperatureUnit(t.text); ok && !glued(p.toks, k+1) {
			return []foundUnit{{tu, k + 1, true, false}}
		}
		return nil
	}
	if utf8.RuneCountInString(t.text) < 2 {
		return nil
	}
	end := k + 1
	for end+1 < len(p.toks) && p.toks[end].text == "-" && p.toks[end+1].kind == letter {
		end += 2
	}
	if glued(p.toks, end) {
		return nil
	}
	return []foundUnit{{Pieces(p.text[t.start:p.toks[end-1].end]), end, false, false}}
}

// parts appends what a quantity of several parts may be: "3 lb 4 oz", "1h30",
// "1 kg 200", "an hour and a half". must: without a further part a is nothing.
func (p *reader) parts(a amount, must bool, list []amount) []amount {
	for n := 0; n < 3; n++ {
		k := skipSpace(p.toks, a.end)
		spaced := k > a.end
		if p.mode&Chat != 0 && k < len(p.toks) && ands[p.toks[k].text] {
			k = skipSpace(p.toks, k+1)
			if f := partAt(p.toks, k); f.err == nil && n == 0 && f.n.Less(Int(1)) {
				if next := p.units(f); len(next) == 0 {
					list = append(list, amount{Quantity{a.q.N.Add(f.n), a.q.Unit}, f.end, a.weak})
				}
			}
		}
		if k >= len(p.toks) || p.toks[k].kind == mark || a.q.Unit.Dim == Temperature || a.q.N.Sign() < 0 {
			return list
		}
		r := numberAt(p.toks, k, p.mode&^Signed)
		if r.err != nil || r.part {
			return list
		}
		found := false
		for _, u := range p.units(r) {
			if u.unit.Dim != a.q.Unit.Dim || u.glued || !smaller(r.n, u.unit, a.q.Unit) {
				continue
			}
			sum, err := a.q.Add(Quantity{r.n, u.unit})
			if err != nil {
				continue
			}
			a, found = amount{sum, u.end, a.weak && u.weak}, true
			list = append(list, a)
			break
		}
		if found {
			continue
		}
		if n > 0 || r.words || r.end != k+1 || p.toks[k].kind != digits {
			return list
		}
		sub, width, ok := impliedUnit(a.q.Unit)
		if !ok || len(p.toks[k].text) != width || (width == 3 && (p.mode&Chat == 0 || !spaced)) || letterAt(p.toks, r.end) {
			return list
		}
		if !smaller(r.n, sub, a.q.Unit) {
			return list
		}
		if sum, err := a.q.Add(Quantity{r.n, sub}); err == nil {
			list = append(list, amount{sum, r.end, a.weak})
		}
		return list
	}
	return list
}

// smaller reports that n of u is less than one of v.
func smaller(n Number, u, v Unit) bool {
	return u.Factor().Less(v.Factor()) && n.Mul(u.Factor()).Less(v.Factor())
}

// impliedUnit is the unit of figures after u without one, and how many figures they must be.
func impliedUnit(u Unit) (Unit, int, bool) {
	switch {
	case u.Equal(Hour):
		return Minute, 2, true
	case u.Equal(Minute):
		return Second, 2, true
	case u.Equal(KG):
		return G, 3, true
	case u.Equal(L):
		return ML, 3, true
	}
	return Unit{}, 0, false
}

func letterAt(toks []token, k int) bool { return k < len(toks) && toks[k].kind == letter }
