package larder

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/calc/quantity"
)

// writeError is what is wrong with a written value: a code, words for a cook, and what to write.
type writeError struct{ code, text, write string }

func (e *writeError) Error() string { return e.text }

func wrong(code, write, format string, args ...any) error {
	return &writeError{code, fmt.Sprintf(format, args...), write}
}

var fractions = map[rune]quantity.Number{
	'½': quantity.Frac(1, 2), '⅓': quantity.Frac(1, 3), '⅔': quantity.Frac(2, 3), '¼': quantity.Frac(1, 4), '¾': quantity.Frac(3, 4),
	'⅛': quantity.Frac(1, 8), '⅜': quantity.Frac(3, 8), '⅝': quantity.Frac(5, 8), '⅞': quantity.Frac(7, 8), '⅕': quantity.Frac(1, 5),
}

// number reads the number that s begins with ("5.20", "1,2", "1 1/2", "½") and
// returns what follows it.
func number(s string) (quantity.Number, string, error) {
	s = strings.TrimSpace(s)
	digits := func(s string) int {
		i := 0
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
		return i
	}
	none := quantity.Number{}
	i := digits(s)
	if i == 0 {
		r, n := utf8.DecodeRuneInString(s)
		if f, ok := fractions[r]; ok {
			return f, strings.TrimSpace(s[n:]), nil
		}
		return none, s, wrong("no number", "a number first, such as 5.20", "There is no number in %q.", short(s))
	}
	if i > 12 {
		return none, s, wrong("no number", "a smaller number", "The number in %q is too long.", short(s))
	}
	whole, rest := s[:i], s[i:]
	if len(rest) > 1 && (rest[0] == '.' || rest[0] == ',') && digits(rest[1:]) > 0 {
		j := digits(rest[1:])
		places := rest[1 : 1+j]
		if rest[0] == ',' && j == 3 {
			return none, s, wrong("ambiguous number", whole+places+" or "+whole+"."+places, "%q may be a thousand or a fraction.", whole+","+places)
		}
		if j > 9 {
			return none, s, wrong("no number", "fewer decimals", "The number in %q has too many decimals.", short(s))
		}
		n, err := quantity.Decimal(whole + "." + places)
		if err != nil {
			return none, s, wrong("no number", "a number such as 5.20", "%q is no number.", short(s))
		}
		return n, strings.TrimSpace(rest[1+j:]), nil
	}
	n := quantity.MustDecimal(whole)
	if len(rest) > 1 && rest[0] == '/' && digits(rest[1:]) > 0 { // 3/4
		j := digits(rest[1:])
		d, err := quantity.Decimal(rest[1 : 1+j])
		if err != nil || d.IsZero() {
			return none, s, wrong("no number", "a fraction such as 1/2", "%q is no number.", short(s))
		}
		return n.Div(d), strings.TrimSpace(rest[1+j:]), nil
	}
	after := strings.TrimSpace(rest)
	if r, size := utf8.DecodeRuneInString(after); size > 0 {
		if f, ok := fractions[r]; ok {
			return n.Add(f), strings.TrimSpace(after[size:]), nil
		}
	}
	if j := digits(after); j > 0 {
		if len(after) > j && after[j] == '/' && after != rest { // 1 1/2
			f, left, err := number(after)
			if err == nil && f.Less(quantity.Int(1)) {
				return n.Add(f), left, nil
			}
		}
		if j == 3 {
			return none, s, wrong("ambiguous number", whole+after[:j], "%q may be a thousand or two numbers.", whole+" "+after[:j])
		}
		return none, s, wrong("no number", "one number", "%q holds two numbers.", short(s))
	}
	return n, after, nil
}

var units = map[string]quantity.Unit{
	"mg": quantity.MG, "g": quantity.G, "kg": quantity.KG, "oz": quantity.OZ, "lb": quantity.LB,
	"ml": quantity.ML, "cl": quantity.CL, "dl": quantity.DL, "l": quantity.L, "litre": quantity.L, "litres": quantity.L,
	"kJ": quantity.KJ, "kcal": quantity.KCal, "%": quantity.Percent,
}

func unit(word string) (quantity.Unit, bool) {
	if u, ok := units[word]; ok {
		return u, true
	}
	u, ok := units[strings.ToLower(word)]
	return u, ok
}

// measured reads "120 g" or "1 l".
func measured(s string) (quantity.Quantity, error) {
	n, rest, err := number(s)
	if err != nil {
		return quantity.Quantity{}, err
	}
	u, ok := unit(rest)
	if !ok {
		return quantity.Quantity{}, wrong("unknown unit", "a unit such as g, kg, ml or l", "The unit of %q is not known.", short(s))
	}
	return quantity.Of(n, u), nil
}

// measuredAs is measured with a wanted dimension, given in unit u.
func measuredAs(s string, u quantity.Unit) (quantity.Number, error) {
	q, err := measured(s)
	if err != nil {
		return quantity.Number{}, err
	}
	if q, err = q.In(u); err != nil {
		return quantity.Number{}, wrong("wrong unit", fmt.Sprintf("a %s, such as 2 %s", u.Dim, u.Symbol), "%q is no %s.", short(s), u.Dim)
	}
	return q.N, nil
}

// bare reads a number with nothing behind it, or with one of the allowed words.
func bare(s string, allowed ...string) (quantity.Number, error) {
	n, rest, err := number(s)
	if err != nil {
		return n, err
	}
	for _, a := range allowed {
		if rest == a {
			return n, nil
		}
	}
	if rest != "" {
		return n, wrong("wrong unit", n.String(), "%q has words after the number.", short(s))
	}
	return n, nil
}

// share reads "88 %" as 0.88.
func share(s string) (quantity.Number, error) {
	n, rest, err := number(s)
	if err != nil {
		return n, err
	}
	if rest != "%" {
		return n, wrong("wrong unit", "a share such as 88 %", "%q is no share in %%.", short(s))
	}
	if quantity.Int(100).Less(n) || n.IsZero() {
		return n, wrong("out of range", "a share above 0 % and up to 100 %", "%q is not between 0 and 100 %%.", short(s))
	}
	return n.Div(quantity.Int(100)), nil
}

// density reads "0.995 g/ml" in g/ml.
func density(s string) (quantity.Number, error) {
	n, rest, err := number(s)
	if err != nil {
		return n, err
	}
	switch strings.ReplaceAll(strings.ToLower(rest), " ", "") {
	case "g/ml", "kg/l":
	case "g/l":
		n = n.Div(quantity.Int(1000))
	default:
		return n, wrong("wrong unit", "a density such as 0.995 g/ml", "%q is no density.", short(s))
	}
	if n.IsZero() || quantity.Int(25).Less(n) {
		return n, wrong("out of range", "g in one ml, such as 0.995 g/ml", "A density of %s g/ml is none of a food.", n)
	}
	return n, nil
}

// price reads "5.20 EUR/kg", "3.10 EUR per 500 g", "0.32 EUR each", "4.20 EUR per 12 pods".
func price(s string) (money, per quantity.Quantity, err error) {
	const write = "a price such as 5.20 EUR/kg or 3.10 EUR per 500 g"
	n, rest, err := number(s)
	if err != nil {
		return money, per, err
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r == '/' || unicode.IsSpace(r) })
	if end < 0 {
		return money, per, wrong("price", write, "%q does not say for how much.", short(s))
	}
	code := rest[:end]
	if len(code) != 3 || strings.IndexFunc(code, func(r rune) bool { return r < 'A' || r > 'Z' }) >= 0 {
		return money, per, wrong("price", write, "%q is no currency code of three capitals.", short(code))
	}
	money = quantity.Of(n, quantity.Currency(code))
	rest = strings.TrimSpace(rest[end:])
	switch {
	case rest == "each":
		return money, quantity.Of(quantity.Int(1), quantity.Each), nil
	case strings.HasPrefix(rest, "/"):
		rest = "1 " + strings.TrimSpace(rest[1:])
	case strings.HasPrefix(rest, "per "):
		rest = strings.TrimSpace(rest[4:])
		if _, _, err := number(rest); err != nil {
			rest = "1 " + rest
		}
	default:
		return money, per, wrong("price", write, "%q does not say for how much.", short(s))
	}
	per, err = amount(rest)
	if err != nil {
		return money, per, err
	}
	if per.N.IsZero() {
		return money, per, wrong("price", write, "%q is a price for nothing.", short(s))
	}
	return money, per, nil
}

// amount reads a mass, a volume, or a count with or without a word ("12 pods").
func amount(s string) (quantity.Quantity, error) {
	n, rest, err := number(s)
	if err != nil {
		return quantity.Quantity{}, err
	}
	if u, ok := unit(rest); ok {
		if u.Dim != quantity.Mass && u.Dim != quantity.Volume {
			return quantity.Quantity{}, wrong("wrong unit", "a mass, a volume or pieces", "%q is no amount.", short(s))
		}
		return quantity.Of(n, u), nil
	}
	if rest == "each" || rest == "piece" || rest == "pieces" {
		rest = ""
	}
	if !isWords(rest) {
		return quantity.Quantity{}, wrong("unknown unit", "a mass, a volume or pieces, such as 1 l or 12 pods", "The unit of %q is not known.", short(s))
	}
	return quantity.Of(n, quantity.Pieces(rest)), nil
}

// isWords reports whether s is letters, spaces and hyphens, and short.
func isWords(s string) bool {
	if len(s) > 40 {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && r != ' ' && r != '-' && r != '\'' {
			return false
		}
	}
	return true
}

func short(s string) string {
	if utf8.RuneCountInString(s) <= 60 {
		return s
	}
	return string([]rune(s)[:60]) + "…"
}
