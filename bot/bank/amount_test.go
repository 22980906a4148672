package bank

import (
	"fmt"
	"math/big"
	"regexp"
	"strings"
)

// form says how a line of a recipe is measured.
type form int

const (
	byNothing form = iota // "to taste", "a pinch"
	byMass                // value in g
	byVolume              // value in ml
	byPiece               // value is a count
	byShare               // value is a fraction of other lines
	byPart                // value is a number of parts
)

// amount is one written AMOUNT of the book format, read without the program's own parser.
type amount struct {
	form    form
	value   *big.Rat // middle of a range
	lo, hi  *big.Rat // both ends of a range, else nil
	unit    string   // unit or piece word as written
	inBook  *big.Rat // value in the written unit
	grams   *big.Rat // mass of all pieces, from brackets
	of      []string // what a share is of
	written string
}

func rat(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic("not a number: " + s)
	}
	return r
}

func whole(n int64) *big.Rat        { return big.NewRat(n, 1) }
func mul(a, b *big.Rat) *big.Rat    { return new(big.Rat).Mul(a, b) }
func quo(a, b *big.Rat) *big.Rat    { return new(big.Rat).Quo(a, b) }
func sum(a, b *big.Rat) *big.Rat    { return new(big.Rat).Add(a, b) }
func minus(a, b *big.Rat) *big.Rat  { return new(big.Rat).Sub(a, b) }
func float(a *big.Rat) float64      { f, _ := a.Float64(); return f }
func half(a, b *big.Rat) *big.Rat   { return quo(sum(a, b), whole(2)) }
func hundredth(r *big.Rat) *big.Rat { return quo(r, whole(100)) }

// Definitions of NIST SP 811, appendix B, for mass; US volumes as the book format writes them.
var massUnits = map[string]string{"mg": "0.001", "g": "1", "kg": "1000", "oz": "28.349523125", "lb": "453.59237"}
var volumeUnits = map[string]string{
	"ml": "1", "cl": "10", "dl": "100", "l": "1000",
	"fl oz": "29.5735", "pint": "473.176", "quart": "946.353", "gallon": "3785.41", "pints": "473.176", "quarts": "946.353", "gallons": "3785.41",
}
var spoonUnits = map[string]map[string]string{
	"metric":     {"tsp": "5", "tbsp": "15", "cup": "240"},
	"US":         {"tsp": "4.92892", "tbsp": "14.7868", "cup": "236.588"},
	"Australian": {"tsp": "5", "tbsp": "20", "cup": "250"},
	"UK":         {"tsp": "5", "tbsp": "15", "cup": "240"},
}

// unitOf returns the form and size of a unit word, by this house's spoons.
func unitOf(word, spoons string) (form, *big.Rat) {
	if m, ok := massUnits[word]; ok {
		return byMass, rat(m)
	}
	if v, ok := volumeUnits[word]; ok {
		return byVolume, rat(v)
	}
	if v, ok := spoonUnits[spoons][strings.TrimSuffix(word, "s")]; ok {
		return byVolume, rat(v)
	}
	return byPiece, nil
}

var fractions = map[rune]string{'½': "1/2", '¼': "1/4", '¾': "3/4", '⅓': "1/3", '⅔': "2/3", '⅛': "1/8"}

var numberHead = regexp.MustCompile(`^(\d+ \d+/\d+|\d+/\d+|\d+[½¼¾⅓⅔⅛]|[½¼¾⅓⅔⅛]|\d+[.,]\d+|\d+)`)

// number reads the number at the head of s and returns the rest.
func number(s string) (*big.Rat, string, bool) {
	m := numberHead.FindString(s)
	if m == "" {
		return nil, s, false
	}
	total := new(big.Rat)
	for _, f := range strings.Fields(m) {
		for r, frac := range fractions {
			if strings.ContainsRune(f, r) {
				total.Add(total, rat(frac))
				f = strings.ReplaceAll(f, string(r), "")
			}
		}
		if f != "" {
			total.Add(total, rat(strings.ReplaceAll(f, ",", ".")))
		}
	}
	return total, strings.TrimSpace(s[len(m):]), true
}

var brackets = regexp.MustCompile(`\(([^)]*)\)`)

// readAmount reads one AMOUNT; every amount of the books that are tested must be readable here.
func readAmount(s, spoons string) (amount, error) {
	a := amount{written: s}
	s = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s), "to taste, start"))
	if s == "to taste" || s == "a pinch" {
		return a, nil
	}
	inside := ""
	if m := brackets.FindStringSubmatch(s); m != nil {
		inside = m[1]
		s = strings.TrimSpace(strings.Replace(s, m[0], "", 1))
	}
	n, rest, ok := number(s)
	if !ok {
		return a, fmt.Errorf("no number in %q", a.written)
	}
	if strings.HasPrefix(rest, "-") {
		hi, after, ok := number(strings.TrimSpace(rest[1:]))
		if !ok {
			return a, fmt.Errorf("no second number in %q", a.written)
		}
		a.lo, a.hi, n, rest = n, hi, half(n, hi), after
	}
	a.inBook, a.value, a.unit = n, n, rest
	switch {
	case strings.HasPrefix(rest, "% of "):
		a.form, a.value, a.unit = byShare, hundredth(n), "%"
		for _, name := range strings.Split(strings.TrimPrefix(rest, "% of "), " + ") {
			a.of = append(a.of, strings.TrimSpace(name))
		}
		return a, nil
	case rest == "part" || rest == "parts":
		a.form = byPart
		return a, nil
	}
	f, size := unitOf(rest, spoons)
	a.form = f
	if size != nil {
		a.value = mul(n, size)
		if a.lo != nil {
			a.lo, a.hi = mul(a.lo, size), mul(a.hi, size)
		}
	}
	if inside == "" {
		return a, nil
	}
	m, word, ok := number(inside)
	if !ok {
		return a, fmt.Errorf("no mass in the brackets of %q", a.written)
	}
	each := strings.HasSuffix(word, " each")
	_, size = unitOf(strings.TrimSuffix(word, " each"), spoons)
	if size == nil {
		return a, fmt.Errorf("no unit in the brackets of %q", a.written)
	}
	a.grams = mul(m, size)
	if each {
		a.grams = mul(a.grams, n)
	}
	return a, nil
}
