package reduce_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/reduce"
)

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

func equal(t *testing.T, what string, got quantity.Number, want string) {
	t.Helper()
	if !got.Equal(g(want)) {
		t.Errorf("%s: %s, want %s", what, got, want)
	}
}

// Common practice, no source: pan 930 g, 400 g reduced to 180 g reads 1110 g.
func TestPanReading(t *testing.T) {
	r, err := reduce.Reading(g("930"), g("180"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "reading", r, "1110")
	l, err := reduce.StillToLose(g("1330"), g("930"), g("180"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "content", l.Content, "400")
	equal(t, "to lose", l.ToLose, "220")
	equal(t, "over", l.Over, "0")
	equal(t, "must read", l.Reading, "1110")
	red, err := reduce.To(g("400"), g("180"))
	if err != nil {
		t.Fatal(err)
	}
	grams, pct, err := red.Evaporated()
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "evaporated", grams, "220")
	equal(t, "evaporated share", pct, "55")
}

func TestPanTooFar(t *testing.T) {
	l, err := reduce.StillToLose(g("1080.5"), g("930"), g("180"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "to lose", l.ToLose, "0")
	equal(t, "over", l.Over, "29.5")
}

func TestTargets(t *testing.T) {
	half, err := reduce.ToHalf(g("1.3"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "half", half.Target, "0.65")
	bx, err := reduce.ToBrix(g("1000"), g("15"), g("50"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "1 kg of 15 °Bx at 50 °Bx", bx.Target, "300")
	three, err := bx.Scale(g("3"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "three batches", three.Target, "900")
}

func TestPanErrors(t *testing.T) {
	is := func(what string, err, want error) {
		t.Helper()
		if !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", what, err, want)
		}
	}
	_, err := reduce.StillToLose(g("929"), g("930"), g("180"))
	is("reading below tare", err, reduce.ErrBelowTare)
	_, err = reduce.Reading(g("-1"), g("180"))
	is("tare below zero", err, reduce.ErrNegative)
	_, err = reduce.Reading(g("930"), g("0"))
	is("no target", err, reduce.ErrTarget)
	_, err = reduce.To(g("0"), g("180"))
	is("unknown start", err, reduce.ErrUnknownStart)
	_, err = reduce.To(g("400"), g("401"))
	is("target above start", err, reduce.ErrAboveStart)
	_, err = reduce.To(g("400"), g("0"))
	is("target 0", err, reduce.ErrTarget)
	_, err = reduce.ToBrix(g("400"), g("50"), g("15"))
	is("thinner by boiling", err, reduce.ErrAboveStart)
	_, err = reduce.ToBrix(g("400"), g("0"), g("15"))
	is("from no sugar", err, reduce.ErrShare)
	_, err = reduce.ToBrix(g("400"), g("10"), g("101"))
	is("over 100", err, reduce.ErrShare)
	r, _ := reduce.To(g("400"), g("100"))
	_, err = r.Concentrate(g("26"))
	is("more salt than pan", err, reduce.ErrShare)
	_, _, err = reduce.Reduction{}.Evaporated()
	is("zero value", err, reduce.ErrUnknownStart)
	_, err = reduce.Reduction{}.Concentrate(g("1"))
	is("zero value", err, reduce.ErrUnknownStart)
}

func mass(t *rapid.T, label string) quantity.Number {
	return quantity.Frac(rapid.Int64Range(1, 20_000_000).Draw(t, label), 1000)
}

// What does not boil weighs the same before and after, to the last digit, and
// reducing to the °Bx that a reduction reached gives its target back.
func TestReductionBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := mass(t, "start")
		target := start.Mul(quantity.Frac(rapid.Int64Range(1, 1000).Draw(t, "of 1000"), 1000))
		r, err := reduce.To(start, target)
		if err != nil {
			t.Fatal(err)
		}
		lost, pct, err := r.Evaporated()
		if err != nil || !lost.Add(r.Target).Equal(r.Start) || !pct.Mul(start).Equal(lost.Mul(quantity.Int(100))) {
			t.Fatalf("%s g of %s g, %s %%, %v", lost, start, pct, err)
		}
		share := quantity.Frac(rapid.Int64Range(1, 100_000).Draw(t, "share"), 1000)
		after, err := r.Concentrate(share)
		if err != nil {
			if share.Mul(start).Cmp(target.Mul(quantity.Int(100))) <= 0 {
				t.Fatalf("refused %s %%: %v", share, err)
			}
			return
		}
		if !share.Mul(start).Equal(after.Mul(target)) {
			t.Fatalf("%s g × %s %% became %s g × %s %%", start, share, target, after)
		}
		back, err := reduce.ToBrix(start, share, after)
		if err != nil || !back.Target.Equal(target) {
			t.Fatalf("back to %s g, want %s g: %v", back.Target, target, err)
		}
	})
}

func TestSplit(t *testing.T) {
	pans := []reduce.Pan{{Name: "small", Tare: g("600"), Holds: g("2000")}, {Name: "wide", Tare: g("870"), Holds: g("4000")},
		{Name: "nameless", Tare: g("1")}, {Name: "tall", Tare: g("1500"), Holds: g("8000")}}
	r, err := reduce.To(g("2100"), g("700"))
	if err != nil {
		t.Fatal(err)
	}
	loads, err := reduce.Split(r, g("1.05"), reduce.HeadRoom(), pans) // 2000 ml: the wide pan holds 2667 ml
	if err != nil || len(loads) != 1 || loads[0].Pan.Name != "wide" {
		t.Fatalf("%+v, %v", loads, err)
	}
	equal(t, "full", loads[0].Full, "2970")
	equal(t, "reading", loads[0].Reading, "1570")

	three, _ := r.Scale(g("3")) // 6000 ml: tall and wide together hold 8000 ml
	loads, err = reduce.Split(three, g("1.05"), reduce.HeadRoom(), pans)
	if err != nil || len(loads) != 2 {
		t.Fatalf("%+v, %v", loads, err)
	}
	equal(t, "tall pan", loads[0].Start, "4200")
	equal(t, "wide pan", loads[1].Start, "2100")
	equal(t, "wide pan reads", loads[1].Reading, "1570")

	ten, _ := r.Scale(g("10"))
	_, err = reduce.Split(ten, g("1.05"), reduce.HeadRoom(), pans)
	var much *reduce.TooMuchError
	if !errors.As(err, &much) || !errors.Is(err, reduce.ErrTooMuch) {
		t.Fatal(err)
	}
	equal(t, "usable × 3", much.Usable.Mul(g("3")), "28000")
	equal(t, "volume", much.Volume, "20000")
	for what, e := range map[string]error{
		"no pan":    second(reduce.Split(r, g("1"), g("0"), pans[2:3])),
		"density":   second(reduce.Split(r, g("0.4"), g("0"), pans)),
		"head-room": second(reduce.Split(r, g("1"), g("1"), pans)),
		"zero":      second(reduce.Split(reduce.Reduction{}, g("1"), g("0"), pans)),
	} {
		want := map[string]error{"no pan": reduce.ErrNoPan, "density": reduce.ErrDensity, "head-room": reduce.ErrShare, "zero": reduce.ErrUnknownStart}[what]
		if !errors.Is(e, want) {
			t.Errorf("%s: %v", what, e)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// The loads add up to the batch exactly, none overfills its pan, and one pan fewer would not do.
func TestSplitBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var pans []reduce.Pan
		for range rapid.IntRange(1, 6).Draw(t, "pans") {
			pans = append(pans, reduce.Pan{Tare: mass(t, "tare"), Holds: mass(t, "holds")})
		}
		r, err := reduce.To(mass(t, "start"), g("0.001"))
		if err != nil {
			t.Fatal(err)
		}
		density := quantity.Frac(rapid.Int64Range(50, 200).Draw(t, "density"), 100)
		loads, err := reduce.Split(r, density, g("0.25"), pans)
		if err != nil {
			if !errors.Is(err, reduce.ErrTooMuch) {
				t.Fatal(err)
			}
			return
		}
		var start, target quantity.Number
		for _, l := range loads {
			start, target = start.Add(l.Start), target.Add(l.Target)
			if l.Pan.Holds.Mul(g("0.75")).Less(l.Start.Div(density)) {
				t.Fatalf("%s ml in a pan of %s ml", l.Start.Div(density), l.Pan.Holds)
			}
			if !l.Full.Sub(l.Pan.Tare).Equal(l.Start) || !l.Reading.Sub(l.Pan.Tare).Equal(l.Target) {
				t.Fatal("readings off the masses")
			}
		}
		if !start.Equal(r.Start) || !target.Equal(r.Target) {
			t.Fatalf("loads come to %s g and %s g, want %s g and %s g", start, target, r.Start, r.Target)
		}
	})
}
