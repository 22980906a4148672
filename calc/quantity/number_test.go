package quantity_test

import (
	"errors"
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

func TestDecimal(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"1.250", "1.25"}, {"-0.5", "-0.5"}, {"+3", "3"}, {".5", "0.5"}, {"5.", "5"},
		{"3/4", "0.75"}, {"1/3", "1/3"}, {"-2/6", "-1/3"}, {"010/3", "10/3"}, {"007", "7"},
	} {
		n, err := quantity.Decimal(c.in)
		if err != nil || n.String() != c.want {
			t.Errorf("Decimal(%q) = %v, %v, want %s", c.in, n, err, c.want)
		}
	}
	for _, bad := range []string{
		"", ".", "-", "1e3", "0x10", "0b11/1", "0b11", "0o7", "1_000", "inf", "NaN", "1/0", "1/", "/2", "1.5/2", "1/2/3", " 1", "1 ", "--1", "1p2", "½",
		"11111111111111111111111111111111111111111111111111111111111111111",
	} {
		if n, err := quantity.Decimal(bad); !errors.Is(err, quantity.ErrNumber) {
			t.Errorf("Decimal(%q) = %v, %v, want ErrNumber", bad, n, err)
		}
	}
}

func TestFromFloat(t *testing.T) {
	for _, f := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, err := quantity.FromFloat(f, 3); !errors.Is(err, quantity.ErrNumber) {
			t.Errorf("FromFloat(%v): %v", f, err)
		}
	}
	n, err := quantity.FromFloat(0.1+0.2, 6)
	if err != nil || !n.Equal(quantity.Frac(3, 10)) {
		t.Errorf("FromFloat(0.1+0.2) = %v, %v", n, err)
	}
}

func TestZeroValues(t *testing.T) {
	var n quantity.Number
	if !n.IsZero() || n.String() != "0" || !n.Add(quantity.Int(2)).Equal(quantity.Int(2)) {
		t.Errorf("the zero Number is %v", n)
	}
	var q quantity.Quantity
	if q.String() != "0" || !q.Unit.Equal(quantity.NoUnit) {
		t.Errorf("the zero Quantity is %v", q)
	}
}

func TestRoundTo(t *testing.T) {
	for _, c := range []struct{ n, step, want string }{
		{"1.25", "0.1", "1.3"}, {"-1.25", "0.1", "-1.3"}, {"2.5", "5", "5"}, {"2.4", "5", "0"},
		{"1/3", "0.01", "0.33"}, {"7", "2", "8"}, {"0", "1", "0"},
	} {
		got := quantity.MustDecimal(c.n).RoundTo(quantity.MustDecimal(c.step))
		if got.String() != c.want {
			t.Errorf("%s to %s = %v, want %s", c.n, c.step, got, c.want)
		}
	}
}

func number(t *rapid.T, label string) quantity.Number {
	return quantity.Frac(rapid.Int64Range(-1e9, 1e9).Draw(t, label), rapid.Int64Range(1, 1e6).Draw(t, label+" denominator"))
}

func TestNumberProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := number(t, "a"), number(t, "b"), number(t, "c")
		before := a.String()
		if !a.Add(b).Mul(c).Equal(a.Mul(c).Add(b.Mul(c))) {
			t.Fatalf("(%v+%v)×%v does not distribute", a, b, c)
		}
		if !a.Sub(b).Add(b).Equal(a) || !b.IsZero() && !a.Div(b).Mul(b).Equal(a) {
			t.Fatalf("%v and %v: no inverse", a, b)
		}
		if !quantity.Sum(a, b, c).Equal(c.Add(a).Add(b)) {
			t.Fatal("Sum depends on the order")
		}
		if f := a.Floor(); !f.IsInt() || a.Less(f) || !a.Less(f.Add(quantity.Int(1))) {
			t.Fatalf("Floor(%v) = %v", a, f)
		}
		if u := a.Ceil(); !u.IsInt() || u.Less(a) || !u.Sub(quantity.Int(1)).Less(a) {
			t.Fatalf("Ceil(%v) = %v", a, u)
		}
		step := quantity.Frac(1, rapid.Int64Range(1, 1000).Draw(t, "step"))
		r := a.RoundTo(step)
		if !r.Div(step).IsInt() || step.Less(a.Sub(r).Abs().Mul(quantity.Int(2))) || !a.Neg().RoundTo(step).Equal(r.Neg()) {
			t.Fatalf("%v to %v = %v", a, step, r)
		}
		back, err := quantity.Decimal(a.String())
		if err != nil || !back.Equal(a) {
			t.Fatalf("Decimal(%q) = %v, %v", a.String(), back, err)
		}
		if rat := a.Rat(); rat.SetInt64(7) == nil || a.String() != before {
			t.Fatal("a Number changed")
		}
	})
}

// Whole numbers take a short way; it leads where the long one does, at the edges
// of a machine's integers too.
func TestShortWayOfWholeNumbers(t *testing.T) {
	edges := []int64{0, 1, 1023, 1024, 1<<31 - 1, 1 << 31, 1<<62 - 1, 1 << 62, math.MaxInt64, math.MinInt64}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string) *big.Rat {
			n := rapid.OneOf(rapid.SampledFrom(edges), rapid.Int64(), rapid.Int64Range(-2000, 2000)).Draw(t, label)
			if rapid.Bool().Draw(t, label+" below 0") {
				n = -n
			}
			return big.NewRat(n, rapid.SampledFrom([]int64{1, 1, 1, 3, 8}).Draw(t, label+" over"))
		}
		a, b := draw("a"), draw("b")
		n, m := quantity.FromRat(a), quantity.FromRat(b)
		if a.IsInt() && a.Num().IsInt64() {
			n = quantity.Int(a.Num().Int64())
		}
		check := func(what string, got quantity.Number, want *big.Rat) {
			if got.Rat().Cmp(want) != 0 || got.Rat().String() != want.String() {
				t.Fatalf("%s %s %s = %s, not %s", a, what, b, got, want)
			}
		}
		check("+", n.Add(m), new(big.Rat).Add(a, b))
		check("-", n.Sub(m), new(big.Rat).Sub(a, b))
		check("×", n.Mul(m), new(big.Rat).Mul(a, b))
		if b.Sign() != 0 {
			check("÷", n.Div(m), new(big.Rat).Quo(a, b))
		}
		if n.Cmp(m) != a.Cmp(b) || n.Sign() != a.Sign() || n.Rat().Cmp(a) != 0 || m.Rat().Cmp(b) != 0 {
			t.Fatalf("%s and %s compare as %d, or have changed", a, b, n.Cmp(m))
		}
	})
}
