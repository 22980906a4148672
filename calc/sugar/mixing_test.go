package sugar_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/sugar"
)

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

// Pearson's square against published worked examples (testdata/pearson-square.csv has them in words).
func TestSquareExamples(t *testing.T) {
	// P1, University of Guelph: 160 kg cream of 40 % with skim of 0 % to 32 %: 40 kg skim.
	skim, err := sugar.Adjust(sugar.Syrup{Mass: g("160"), Brix: g("40")}, g("0"), g("32"))
	if err != nil || !skim.Equal(g("40")) {
		t.Errorf("P1: %s, %v", skim, err)
	}
	cream, rest, err := sugar.Square(g("40"), g("0"), g("32"), g("200"))
	if err != nil || !cream.Equal(g("160")) || !rest.Equal(g("40")) {
		t.Errorf("P1 by the square: %s and %s, %v", cream, rest, err)
	}
	// P4: milk of 3.9 % with skim to 2.6 %: 3.9 l are 2.6 l and 1.3 l.
	milk, rest, err := sugar.Square(g("3.9"), g("0"), g("2.6"), g("3.9"))
	if err != nil || !milk.Equal(g("2.6")) || !rest.Equal(g("1.3")) {
		t.Errorf("P4: %s and %s, %v", milk, rest, err)
	}
	// P3: 4.6 kg of fat to 100 kg of skim milk of 0.1 % make 4.5 % (printed with one decimal).
	whole, err := sugar.Blend(sugar.Syrup{Mass: g("100"), Brix: g("0.1")}, sugar.Syrup{Mass: g("4.6"), Brix: g("100")})
	if err != nil || g("0.05").Less(whole.Brix.Sub(g("4.5")).Abs()) {
		t.Errorf("P3: %s, %v", whole.Brix.Fixed(3), err)
	}
}

func mass(t *rapid.T, label string) quantity.Number {
	return quantity.Frac(rapid.Int64Range(0, 50_000_000).Draw(t, label), 1000)
}

func share(t *rapid.T, label string) quantity.Number {
	return quantity.Frac(rapid.Int64Range(0, 100_000).Draw(t, label), 1000)
}

// Mass, sugar and water balance to the last digit.
func TestMixingBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := sugar.Syrup{Mass: mass(t, "a"), Brix: share(t, "a °Bx")}, sugar.Syrup{Mass: mass(t, "b"), Brix: share(t, "b °Bx")}
		both, err := sugar.Blend(a, b)
		if err != nil {
			t.Fatal(err)
		}
		if !both.Mass.Equal(a.Mass.Add(b.Mass)) || !both.Sugar().Equal(a.Sugar().Add(b.Sugar())) || !both.Water().Equal(a.Water().Add(b.Water())) {
			t.Fatalf("%+v and %+v are not %+v", a, b, both)
		}
		if a.Mass.IsZero() || b.Mass.IsZero() || a.Brix.Equal(b.Brix) {
			return
		}
		ofA, ofB, err := sugar.Square(a.Brix, b.Brix, both.Brix, both.Mass)
		if err != nil || !ofA.Equal(a.Mass) || !ofB.Equal(b.Mass) {
			t.Fatalf("the square undoes the blend: %s and %s, %v", ofA, ofB, err)
		}
		add, err := sugar.Adjust(a, b.Brix, both.Brix)
		if err != nil || !add.Equal(b.Mass) {
			t.Fatalf("%s g of b to add, want %s g: %v", add, b.Mass, err)
		}
	})
}

func TestMakeBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total, bx := mass(t, "total"), share(t, "°Bx")
		s, w, err := sugar.Make(total, bx)
		if err != nil || !s.Add(w).Equal(total) || !s.Mul(quantity.Int(100)).Equal(total.Mul(bx)) {
			t.Fatalf("%s g sugar, %s g water, %v", s, w, err)
		}
	})
}

func TestMixingErrors(t *testing.T) {
	for what, c := range map[string]struct{ err, want error }{
		"same":       {third(sugar.Square(g("50"), g("50"), g("50"), g("1"))), sugar.ErrSame},
		"outside":    {third(sugar.Square(g("50"), g("20"), g("51"), g("1"))), sugar.ErrBetween},
		"below":      {third(sugar.Square(g("50"), g("20"), g("19"), g("1"))), sugar.ErrBetween},
		"over 100":   {third(sugar.Square(g("101"), g("20"), g("30"), g("1"))), sugar.ErrRange},
		"less":       {third(sugar.Square(g("50"), g("20"), g("30"), g("-1"))), sugar.ErrNegative},
		"water up":   {second(sugar.Adjust(sugar.Syrup{Mass: g("1"), Brix: g("30")}, g("0"), g("40"))), sugar.ErrBetween},
		"sugar down": {second(sugar.Adjust(sugar.Syrup{Mass: g("1"), Brix: g("30")}, g("100"), g("20"))), sugar.ErrBetween},
		"to itself":  {second(sugar.Adjust(sugar.Syrup{Mass: g("1"), Brix: g("30")}, g("40"), g("40"))), sugar.ErrBetween},
		"no mass":    {second(sugar.Adjust(sugar.Syrup{Mass: g("-1"), Brix: g("30")}, g("40"), g("35"))), sugar.ErrNegative},
		"no share":   {second(sugar.Adjust(sugar.Syrup{Mass: g("1"), Brix: g("-30")}, g("40"), g("35"))), sugar.ErrRange},
		"make":       {third(sugar.Make(g("-1"), g("30"))), sugar.ErrNegative},
		"make 101":   {third(sugar.Make(g("1"), g("101"))), sugar.ErrRange},
		"blend":      {second(sugar.Blend(sugar.Syrup{Mass: g("-1")})), sugar.ErrNegative},
		"blend 101":  {second(sugar.Blend(sugar.Syrup{Brix: g("101")})), sugar.ErrRange},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v, want %v", what, c.err, c.want)
		}
	}
	if n, err := sugar.Adjust(sugar.Syrup{Mass: g("1"), Brix: g("30")}, g("0"), g("30")); err != nil || !n.IsZero() {
		t.Errorf("there already: %s, %v", n, err)
	}
}

func second[T any](_ T, err error) error        { return err }
func third[T, U any](_ T, _ U, err error) error { return err }
