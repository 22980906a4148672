package quantity

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strings"
)

// Number is an exact rational number that never changes once made.
// The zero value is 0.
type Number struct{ r *big.Rat }

var zero = new(big.Rat)

// Errors of this package. Test with errors.Is.
var (
	// ErrNumber: the text is no number.
	ErrNumber = errors.New("not a number")
	// ErrDimension: two quantities of different dimensions met.
	ErrDimension = errors.New("different kinds of unit")
	// ErrUnit: the unit is not known.
	ErrUnit = errors.New("unknown unit")
)

// smalls are the whole numbers that books are full of, made once: numbers do
// not change, so all may share them.
var smalls = func() *[1024]big.Rat {
	var all [1024]big.Rat
	var words [len(all)]big.Word
	for i := range all {
		words[i] = big.Word(i)
		all[i].Num().SetBits(words[i : i+1 : i+1])
	}
	return &all
}()

// Int returns n.
func Int(n int64) Number {
	if n >= 0 && n < int64(len(smalls)) {
		return Number{&smalls[n]}
	}
	r := new(big.Rat) // of denominator 1 as long as none is set
	r.Num().SetInt64(n)
	return Number{r}
}

// most is the size up to which whole numbers are added and multiplied as such.
const most = 1 << 62

// small returns n as a machine's integer; false: it is a fraction, or large.
// Whole numbers are most of a kitchen's, and a fraction's ways cost ten times more.
func (n Number) small() (int64, bool) {
	r := n.r
	if r == nil {
		return 0, true
	}
	if !r.IsInt() {
		return 0, false
	}
	num := r.Num()
	if !num.IsInt64() {
		return 0, false
	}
	i := num.Int64()
	return i, i < most && i > -most
}

// smallBoth is small of both.
func smallBoth(n, m Number) (a, b int64, ok bool) {
	if a, ok = n.small(); ok {
		b, ok = m.small()
	}
	return a, b, ok
}

// Frac returns a/b; b must not be 0.
func Frac(a, b int64) Number { return Number{big.NewRat(a, b)} }

// FromRat returns a copy of r.
func FromRat(r *big.Rat) Number { return Number{new(big.Rat).Set(r)} }

// FromFloat returns f rounded to the given number of decimals: the border where
// a solver's result comes back. It is an error if f is not finite.
func FromFloat(f float64, decimals int) (Number, error) {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return Number{}, fmt.Errorf("%w: %v", ErrNumber, f)
	}
	r, ok := new(big.Rat).SetString(fmt.Sprintf("%.*f", decimals, f))
	if !ok {
		return Number{}, fmt.Errorf("%w: %v", ErrNumber, f)
	}
	return Number{r}, nil
}

// Decimal returns the number that a plain decimal such as "-1.250" or a
// fraction such as "3/4" writes: a sign, figures, then a point and figures or a
// stroke and figures. Longer than 64 characters is no number.
func Decimal(s string) (Number, error) {
	if len(s) > 64 || !plainNumber(s) {
		return Number{}, fmt.Errorf("%w: %.64q", ErrNumber, s)
	}
	if a, b, ok := strings.Cut(s, "/"); ok { // leading zeros would mean octal in a Rat's fraction
		num, _ := new(big.Int).SetString(a, 10)
		den, _ := new(big.Int).SetString(b, 10)
		if den.Sign() == 0 {
			return Number{}, fmt.Errorf("%w: %q", ErrNumber, s)
		}
		return Number{new(big.Rat).SetFrac(num, den)}, nil
	}
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		return Number{}, fmt.Errorf("%w: %q", ErrNumber, s)
	}
	return Number{r}, nil
}

// plainNumber reports that s is [+-] figures [. figures | / figures]; of a
// decimal one side may be empty.
func plainNumber(s string) bool {
	if s != "" && (s[0] == '-' || s[0] == '+') {
		s = s[1:]
	}
	sides, separator := [2]int{}, 0
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			sides[min(separator, 1)]++
		case (c == '.' || c == '/') && separator == 0:
			separator = int(c)
		default:
			return false
		}
	}
	if separator == '/' {
		return sides[0] > 0 && sides[1] > 0
	}
	return sides[0]+sides[1] > 0
}

// MustDecimal is Decimal for constants in code; it panics on a bad one.
func MustDecimal(s string) Number {
	n, err := Decimal(s)
	if err != nil {
		panic(err)
	}
	return n
}

func (n Number) rat() *big.Rat {
	if n.r == nil {
		return zero
	}
	return n.r
}

// Rat returns a copy that the caller may change.
func (n Number) Rat() *big.Rat { return new(big.Rat).Set(n.rat()) }

// Add returns n + m.
func (n Number) Add(m Number) Number {
	if a, b, ok := smallBoth(n, m); ok {
		return Int(a + b)
	}
	return Number{new(big.Rat).Add(n.rat(), m.rat())}
}

// Sub returns n − m.
func (n Number) Sub(m Number) Number {
	if a, b, ok := smallBoth(n, m); ok {
		return Int(a - b)
	}
	return Number{new(big.Rat).Sub(n.rat(), m.rat())}
}

// Mul returns n × m.
func (n Number) Mul(m Number) Number {
	if a, b, ok := smallBoth(n, m); ok && max(a, -a) < 1<<31 && max(b, -b) < 1<<31 {
		return Int(a * b)
	}
	return Number{new(big.Rat).Mul(n.rat(), m.rat())}
}

// Div returns n ÷ m. Like integer division it panics if m is 0: ask IsZero first.
func (n Number) Div(m Number) Number {
	if a, b, ok := smallBoth(n, m); ok && b != 0 && a%b == 0 {
		return Int(a / b)
	}
	return Number{new(big.Rat).Quo(n.rat(), m.rat())}
}

// Neg returns −n.
func (n Number) Neg() Number { return Number{new(big.Rat).Neg(n.rat())} }

// Abs returns |n|.
func (n Number) Abs() Number { return Number{new(big.Rat).Abs(n.rat())} }

// Cmp returns −1, 0 or 1 as n is less than, equal to or greater than m.
func (n Number) Cmp(m Number) int {
	if n.r == m.r {
		return 0
	}
	if a, b, ok := smallBoth(n, m); ok {
		return cmp.Compare(a, b)
	}
	return n.rat().Cmp(m.rat())
}

// Less reports n < m.
func (n Number) Less(m Number) bool { return n.Cmp(m) < 0 }

// Equal reports n = m.
func (n Number) Equal(m Number) bool { return n.Cmp(m) == 0 }

// Sign returns −1, 0 or 1.
func (n Number) Sign() int { return n.rat().Sign() }

// IsZero reports n = 0.
func (n Number) IsZero() bool { return n.Sign() == 0 }

// IsInt reports whether n is whole.
func (n Number) IsInt() bool { return n.rat().IsInt() }

// Float returns the nearest float64: the border into solvers and JSON.
func (n Number) Float() float64 { f, _ := n.rat().Float64(); return f }

// Floor returns the greatest whole number ≤ n.
func (n Number) Floor() Number {
	r := n.rat()
	q := new(big.Int).Div(r.Num(), r.Denom()) // Euclidean: floors, the denominator is positive
	return Number{new(big.Rat).SetInt(q)}
}

// Ceil returns the least whole number ≥ n.
func (n Number) Ceil() Number { return n.Neg().Floor().Neg() }

// RoundTo returns the multiple of step nearest to n, halves away from 0; step must be > 0.
func (n Number) RoundTo(step Number) Number {
	q := n.Abs().Div(step).Add(Frac(1, 2)).Floor().Mul(step)
	if n.Sign() < 0 {
		return q.Neg()
	}
	return q
}

// Int64 returns n as an integer and whether that is exact.
func (n Number) Int64() (int64, bool) {
	r := n.rat()
	if !r.IsInt() || !r.Num().IsInt64() {
		return 0, false
	}
	return r.Num().Int64(), true
}

// String writes n exactly: as a plain decimal where one ends within 12
// places ("1.25"), else as a fraction ("1/3"). Decimal reads it back.
func (n Number) String() string {
	r := n.rat()
	if r.IsInt() {
		return r.Num().String()
	}
	if p, exact := r.FloatPrec(); exact && p <= 12 {
		return r.FloatString(p)
	}
	return r.String()
}

// Fixed writes n with at most the given decimals, halves away from 0, trailing
// zeros dropped.
func (n Number) Fixed(decimals int) string {
	s := n.rat().FloatString(decimals)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return s
}

// Sum returns the sum of ns.
func Sum(ns ...Number) Number {
	var s Number
	for _, n := range ns {
		s = s.Add(n)
	}
	return s
}
