package recipe

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/calc/quantity"
	"tamis/kb/yamldoc"
)

// Codes of the faults and warnings that this package adds to those of yamldoc.
const (
	CodeMissing   = "missing"            // a key or value that must be there
	CodeAmount    = "amount"             // no form of an amount
	CodeUnit      = "wrong kind of unit" // a volume where a mass stands
	CodeNoUnit    = "unit missing"       // a bare 84 where °C or °F stands
	CodeAmbiguous = "ambiguous number"   // 1,200 or 1 200
	CodeNumber    = "number"             // no number, too large, out of range
	CodeMakes     = "makes"              // no form of makes
	CodeTime      = "time"               // no form of a time
	CodeTarget    = "target"             // a `to:` that cannot be reached or read
	CodeSeason    = "season"             // no season
	CodeAllergen  = "unknown allergen"   // none of the names of the book
	CodeVerb      = "verb"               // a step without its verb first
	CodeNoLine    = "no such line"       // a name that must be a line and is none
	CodeParts     = "parts and masses"   // mixed in one recipe
	CodeBoth      = "both"               // two keys of which one must go
	CodeChange    = "change"             // a change that cannot be made
	CodeTwice     = "name twice"         // in one list of house.yaml or one change
	CodeSetting   = "unknown setting"    // a value of house.yaml that is none of its words
)

const (
	longestValue = 200                  // bytes of a value that holds a number
	largestWhole = int64(1_000_000_000) // of any number in a book
)

// FormError is a value that is in none of the book's forms: a short stable
// code, what is wrong in a cook's words, and what to write instead.
type FormError struct{ Code, Text, Write string }

// Error writes text and what to write.
func (e *FormError) Error() string { return e.Text + " Write: " + e.Write }

func bad(code, write, format string, args ...any) error {
	return &FormError{code, fmt.Sprintf(format, args...), write}
}

// quoted shows what a cook wrote, cut to a length that fits.
func quoted(s string) string { return "“" + yamldoc.Short(s) + "”" }

// spaces makes every run of blanks, also the narrow and unbreakable ones that
// editors put in, one plain space, and drops those at the ends.
func spaces(s string) string {
	clean := true
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c >= utf8.RuneSelf || c < ' ' || c == ' ' && (i == 0 || i == len(s)-1 || s[i+1] == ' ') {
			clean = false
			break
		}
	}
	if clean {
		return s
	}
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) }), " ")
}

// readNumber reads the number that s begins with and returns what follows it.
func readNumber(s string) (n quantity.Number, rest string, err error) {
	if n, rest, ok := usualNumber(s); ok {
		return n, rest, nil
	}
	n, length, err := quantity.ReadNumber(s, quantity.Book)
	rest = s[min(length, len(s)):]
	if err != nil {
		return n, rest, numberError(s, err)
	}
	if n.Cmp(quantity.Int(largestWhole)) > 0 {
		return n, rest, bad(CodeNumber, "a smaller number", "The number in %s is too large.", quoted(s))
	}
	return n, strings.TrimLeft(rest, " "), nil
}

// usualNumber reads the "120" of "120 g" and the "0.4" of "0.4 %", which most
// numbers of a book are, without cutting s into tokens.
func usualNumber(s string) (n quantity.Number, rest string, ok bool) {
	const most = 9 // digits, so that no number is too large
	var digits, over int64
	under, i := int64(1), 0
	for ; i < len(s) && i <= most; i++ {
		c := s[i]
		if c == '.' && i > 0 && over == 0 {
			over = 1
			continue
		}
		if c < '0' || c > '9' {
			break
		}
		digits = digits*10 + int64(c-'0')
		if over == 1 {
			under *= 10
		}
	}
	if i == 0 || i > most || s[i-1] == '.' || i < len(s) && !isLetter(s[i]) &&
		(s[i] != ' ' || i+1 == len(s) || !isLetter(s[i+1]) && s[i+1] != '%') {
		return n, s, false
	}
	if under == 1 {
		return quantity.Int(digits), strings.TrimLeft(s[i:], " "), true
	}
	return quantity.Frac(digits, under), strings.TrimLeft(s[i:], " "), true
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

// startsNumber reports whether s begins like a number.
func startsNumber(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	if r < utf8.RuneSelf {
		return r >= '0' && r <= '9' || (r == '.' || r == ',') && len(s) > 1 && s[1] >= '0' && s[1] <= '9'
	}
	return unicode.Is(unicode.No, r)
}

// numberError words an error of package quantity for the value s.
func numberError(s string, err error) error {
	var form *FormError
	var both *quantity.AmbiguousNumber
	switch {
	case errors.As(err, &form):
		return form
	case errors.As(err, &both):
		return bad(CodeAmbiguous, strings.Replace(s, both.Text, both.AsThousands.String(), 1)+", or "+strings.Replace(s, both.Text, both.AsDecimal.String(), 1),
			"%s may be a thousand or a decimal.", quoted(both.Text))
	case errors.Is(err, quantity.ErrSeparator):
		return bad(CodeAmbiguous, "the digits with one decimal point and nothing else, such as 1200.5", "The number in %s has several separators.", quoted(s))
	}
	return bad(CodeNumber, "a number such as 120, 1.2 or 1/2", "The number in %s cannot be read.", quoted(s))
}

// parseQuantity reads the whole of s as one quantity of a dimension. write is
// an example of what stands there.
func parseQuantity(s string, m quantity.Measure, dim quantity.Dimension, write string) (quantity.Quantity, error) {
	text := spaces(s)
	if text == "" {
		return quantity.Quantity{}, bad(CodeMissing, write, "The value is missing.")
	}
	if len(text) > longestValue {
		return quantity.Quantity{}, bad(CodeNumber, write, "The value is too long.")
	}
	if startsNumber(text) {
		n, rest, err := readNumber(text)
		if err != nil {
			return quantity.Quantity{}, err
		}
		if u, ok := shortUnit(rest); ok && u.Dim == dim {
			return quantity.Of(n, u), nil
		}
		if rest == "" {
			return quantity.Quantity{}, bad(CodeNoUnit, write, "The unit is missing after %s.", quoted(text))
		}
	}
	q, err := quantity.ParseQuantity(text, m, quantity.Book|quantity.Signed)
	switch {
	case errors.Is(err, quantity.ErrUnit) && dim == quantity.Temperature && !strings.ContainsAny(text, "°℃℉"):
		return q, bad(CodeNoUnit, strings.TrimRight(text, " °CFcf")+" °C, or °F", "°C or °F is missing in %s.", quoted(text))
	case errors.Is(err, quantity.ErrUnit), err == nil && q.Unit.Dim == quantity.Count && dim != quantity.Count:
		return q, bad(CodeUnit, write, "%s is not a %s.", quoted(text), dim)
	case err != nil:
		return q, numberError(text, err)
	case q.Unit.Dim != dim:
		return q, bad(CodeUnit, write, "%s is a %s; here stands a %s.", quoted(text), q.Unit.Dim, dim)
	case q.N.Abs().Cmp(quantity.Int(largestWhole)) > 0:
		return q, bad(CodeNumber, "a smaller number", "The number in %s is too large.", quoted(text))
	}
	return q, nil
}

// shortUnit returns the unit of the commonest symbols, without looking further.
func shortUnit(s string) (quantity.Unit, bool) {
	switch s {
	case "g":
		return quantity.G, true
	case "kg":
		return quantity.KG, true
	case "mg":
		return quantity.MG, true
	case "ml":
		return quantity.ML, true
	case "cl":
		return quantity.CL, true
	case "dl":
		return quantity.DL, true
	case "l":
		return quantity.L, true
	case "oz":
		return quantity.OZ, true
	case "lb":
		return quantity.LB, true
	case "s":
		return quantity.Second, true
	case "min":
		return quantity.Minute, true
	case "h":
		return quantity.Hour, true
	case "d", "day", "days":
		return quantity.Day, true
	case "%":
		return quantity.Percent, true
	case "°C":
		return quantity.Celsius, true
	}
	return quantity.Unit{}, false
}

// writeNumber writes n so that readNumber reads it back: 1.25, 1/3, 2 1/3.
func writeNumber(n quantity.Number) string {
	s := n.String()
	if !strings.Contains(s, "/") || n.Less(quantity.Int(1)) {
		return s
	}
	whole := n.Floor()
	return whole.String() + " " + n.Sub(whole).Rat().RatString()
}
