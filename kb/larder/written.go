package larder

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
	"tamis/kb/yamldoc"
)

func wrong(code, write, format string, args ...any) error {
	return &recipe.FormError{Code: code, Text: fmt.Sprintf(format, args...), Write: write}
}

// number reads the number that s begins with and returns what follows it.
func number(s string) (quantity.Number, string, error) {
	n, length, err := quantity.ReadNumber(s, quantity.Book)
	rest := strings.TrimSpace(s[min(length, len(s)):])
	var two *quantity.AmbiguousNumber
	switch {
	case errors.As(err, &two):
		return n, rest, wrong(recipe.CodeAmbiguous, two.AsThousands.String()+" or "+two.AsDecimal.String(), "“%s” may be a thousand or a fraction.", short(two.Text))
	case err != nil:
		return n, rest, wrong(recipe.CodeNumber, "a number first, such as 5.20", "There is no number that can be read in “%s”.", short(s))
	case quantity.Int(1_000_000_000).Less(n):
		return n, rest, wrong(recipe.CodeNumber, "a smaller number", "The number in “%s” is too large.", short(s))
	}
	return n, rest, nil
}

// unit reads a mass, a volume or an energy.
func unit(word string) (quantity.Unit, bool) {
	u, ok := quantity.Metric.UnitNamed(word)
	if !ok {
		return u, false
	}
	switch u.Dim {
	case quantity.Mass, quantity.Volume, quantity.Energy:
		return u, true
	}
	return u, false
}

// measured reads "120 g" or "1 l".
func measured(s string) (quantity.Quantity, error) {
	n, rest, err := number(s)
	if err != nil {
		return quantity.Quantity{}, err
	}
	u, ok := unit(rest)
	if !ok {
		return quantity.Quantity{}, wrong(recipe.CodeUnit, "a unit such as g, kg, ml or l", "The unit of “%s” is not known.", short(s))
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
		return quantity.Number{}, wrong(recipe.CodeUnit, fmt.Sprintf("a %s, such as 2 %s", u.Dim, u.Symbol), "“%s” is no %s.", short(s), u.Dim)
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
		return n, wrong(recipe.CodeUnit, n.String(), "“%s” has words after the number.", short(s))
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
		return n, wrong(recipe.CodeUnit, "a share such as 88 %", "“%s” is no share in %%.", short(s))
	}
	if quantity.Int(100).Less(n) || n.IsZero() {
		return n, wrong(CodeRange, "a share above 0 % and up to 100 %", "“%s” is not between 0 and 100 %%.", short(s))
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
		return n, wrong(recipe.CodeUnit, "a density such as 0.995 g/ml", "“%s” is no density.", short(s))
	}
	if n.IsZero() || quantity.Int(25).Less(n) {
		return n, wrong(CodeRange, "g in one ml, such as 0.995 g/ml", "A density of %s g/ml is none of a food.", n)
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
		return money, per, wrong(CodePrice, write, "“%s” does not say for how much.", short(s))
	}
	code := rest[:end]
	if len(code) != 3 || strings.IndexFunc(code, func(r rune) bool { return r < 'A' || r > 'Z' }) >= 0 {
		return money, per, wrong(CodePrice, write, "“%s” is no currency code of three capitals.", short(code))
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
		return money, per, wrong(CodePrice, write, "“%s” does not say for how much.", short(s))
	}
	per, err = amount(rest)
	if err != nil {
		return money, per, err
	}
	if per.N.IsZero() {
		return money, per, wrong(CodePrice, write, "“%s” is a price for nothing.", short(s))
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
			return quantity.Quantity{}, wrong(recipe.CodeUnit, "a mass, a volume or pieces", "“%s” is no amount.", short(s))
		}
		return quantity.Of(n, u), nil
	}
	if rest == "each" || rest == "piece" || rest == "pieces" {
		rest = ""
	}
	if !isWords(rest) {
		return quantity.Quantity{}, wrong(recipe.CodeUnit, "a mass, a volume or pieces, such as 1 l or 12 pods", "The unit of “%s” is not known.", short(s))
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

func short(s string) string { return yamldoc.Short(s) }
