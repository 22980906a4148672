package gel_test

import (
	"errors"
	"testing"

	"pgregory.net/rapid"

	"tamis/calc/gel"
	"tamis/calc/quantity"
)

func g(s string) quantity.Number { return quantity.MustDecimal(s) }

func equal(t *testing.T, what string, got quantity.Number, want string) {
	t.Helper()
	if !got.Equal(g(want)) {
		t.Errorf("%s: %s, want %s", what, got, want)
	}
}

func TestConvert(t *testing.T) {
	c, err := gel.Convert(g("10"), g("200"), g("160"))
	if err != nil {
		t.Fatal(err)
	}
	equal(t, "square root", c.BySquareRoot, "11.180")
	equal(t, "leaf for leaf", c.ByLeaf, "12.5")
	for what, e := range map[string]struct{ err, want error }{
		"ungraded leaf": {second(gel.Convert(g("10"), g("200"), g("0"))), gel.ErrBloom},
		"ungraded own":  {second(gel.Convert(g("10"), g("0"), g("200"))), gel.ErrBloom},
		"weak":          {second(gel.Convert(g("10"), g("200"), g("29"))), gel.ErrBloomRange},
		"strong":        {second(gel.Convert(g("10"), g("301"), g("200"))), gel.ErrBloomRange},
		"less":          {second(gel.Convert(g("-1"), g("200"), g("200"))), gel.ErrNegative},
		"grade":         {second(gel.GradeNamed("copper")), gel.ErrGrade},
		"leaf":          {second(gel.Leaves(g("2"), g("0"))), gel.ErrLeaf},
		"leaf count":    {second(gel.LeafCount(g("2"), g("0"))), gel.ErrLeaf},
		"leaves":        {second(gel.Leaves(g("-2"), g("2"))), gel.ErrNegative},
		"grams":         {second(gel.LeafCount(g("-2"), g("2"))), gel.ErrNegative},
		"soak":          {second(gel.Soak(g("-2"))), gel.ErrNegative},
		"hours":         {second(gel.Matured(g("-2"))), gel.ErrNegative},
		"water":         {second(gel.Share(g("2"), g("0"))), gel.ErrNoWater},
		"share":         {second(gel.Share(g("-2"), g("1"))), gel.ErrNegative},
		"agent":         {second(gel.Judge("sand", "firm set", g("2"), g("1"))), gel.ErrAgent},
		"agent's use":   {second(gel.Judge("agar", "glue", g("2"), g("1"))), gel.ErrUse},
		"any":           {second(gel.Judge("custard", "firm set", g("2"), g("1"))), gel.ErrUse},
		"judge water":   {second(gel.Judge("agar", "firm set", g("2"), g("0"))), gel.ErrNoWater},
		"uses":          {second(gel.Uses("sand")), gel.ErrAgent},
		"dose":          {second(gel.Weigh(g("0"), g("1"))), gel.ErrNegative},
		"scale":         {second(gel.Weigh(g("1"), g("0"))), gel.ErrScale},
		"compare":       {second(gel.Compare(gel.Strength{Share: g("1"), Bloom: g("200")}, gel.Strength{Share: g("1")})), gel.ErrBloom},
		"compare range": {second(gel.Compare(gel.Strength{Share: g("1"), Bloom: g("200")}, gel.Strength{Share: g("1"), Bloom: g("500")})), gel.ErrBloomRange},
		"compare 0":     {second(gel.Compare(gel.Strength{}, gel.Strength{Share: g("1")})), gel.ErrNoWater},
	} {
		if !errors.Is(e.err, e.want) {
			t.Errorf("%s: %v, want %v", what, e.err, e.want)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// There and back is the same gelatine: exactly by leaf, within 2 mg and the rounding by the square root;
// the two rules are on the same side, and the plain ratio corrects more.
func TestConvertInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := quantity.Frac(rapid.Int64Range(0, 500_000).Draw(t, "mg"), 1000)
		a, b := quantity.Int(rapid.Int64Range(30, 300).Draw(t, "a")), quantity.Int(rapid.Int64Range(30, 300).Draw(t, "b"))
		c, err := gel.Convert(m, a, b)
		if err != nil {
			t.Fatal(err)
		}
		leaf, err := gel.Convert(c.ByLeaf, b, a)
		if err != nil || !leaf.ByLeaf.Equal(m) {
			t.Fatalf("by leaf %s g came back as %s g, %v", m, leaf.ByLeaf, err)
		}
		root, err := gel.Convert(c.BySquareRoot, b, a)
		if err != nil || g("0.003").Less(root.BySquareRoot.Sub(m).Abs()) {
			t.Fatalf("by root %s g came back as %s g, %v", m, root.BySquareRoot, err)
		}
		if more := c.ByLeaf.Sub(m).Abs(); more.Add(g("0.001")).Less(c.BySquareRoot.Sub(m).Abs()) {
			t.Fatalf("the root corrects more: %+v", c)
		}
		if a.Equal(b) && (!c.ByLeaf.Equal(m) || !c.BySquareRoot.Equal(m)) {
			t.Fatalf("the same Bloom changed the mass: %+v", c)
		}
		if m.IsZero() {
			return
		}
		cmp, err := gel.Compare(gel.Strength{Share: m, Bloom: a}, gel.Strength{Share: c.BySquareRoot, Bloom: b})
		if m.Less(one) {
			return // rounding to 1 mg is no longer small
		}
		if err != nil || cmp.Softer || cmp.Firmer {
			t.Fatalf("converted, but not alike: %+v, %v", cmp, err)
		}
	})
}

var one = quantity.Int(1)

func TestLeavesInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := quantity.Frac(rapid.Int64Range(0, 1000).Draw(t, "n"), rapid.Int64Range(1, 12).Draw(t, "of"))
		leaf := quantity.Frac(rapid.Int64Range(1, 5000).Draw(t, "leaf mg"), 1000)
		m, err := gel.Leaves(n, leaf)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := gel.LeafCount(m, leaf); err != nil || !back.Equal(n) {
			t.Fatalf("%s leaves came back as %s, %v", n, back, err)
		}
	})
}

// "Is 4 g agar right for 350 g of juice as a fluid gel": by the water that is really there.
func TestJudge(t *testing.T) {
	v, err := gel.Judge("Agar", "fluid gel", g("4"), g("308")) // juice of 12 °Bx
	if err != nil || v.Where != gel.Above || v.Source != "S-601" || len(v.Others) != 2 || len(v.Needs) != 1 || v.Needs[0].Text != "boil" {
		t.Errorf("%+v, %v", v, err)
	}
	equal(t, "lowest", v.LowGrams, "1.848")
	equal(t, "highest", v.HighGrams, "3.696")
	for grams, want := range map[string]gel.Where{"1.847": gel.Below, "1.848": gel.In, "3.696": gel.In, "3.697": gel.Above} {
		if v, err := gel.Judge("agar", "fluid gel", g(grams), g("308")); err != nil || v.Where != want {
			t.Errorf("%s g: %s, %v", grams, v.Where, err)
		}
	}
}

// Every dosage of every agent: its ends are in, a little outside is out, and the grams give the shares back.
func TestJudgeEverything(t *testing.T) {
	for _, agent := range gel.Agents() {
		uses, err := gel.Uses(agent)
		if err != nil {
			t.Fatal(err)
		}
		for _, use := range uses {
			rapid.Check(t, func(t *rapid.T) {
				water := quantity.Frac(rapid.Int64Range(1, 10_000_000).Draw(t, "water mg"), 1000)
				v, err := gel.Judge(agent, use, quantity.Number{}, water)
				if err != nil || v.Where != gel.Below {
					t.Fatalf("nothing of it: %+v, %v", v, err)
				}
				for _, c := range []struct {
					grams quantity.Number
					want  gel.Where
				}{{v.LowGrams, gel.In}, {v.HighGrams, gel.In}, {v.LowGrams.Mul(g("0.999")), gel.Below}, {v.HighGrams.Mul(g("1.001")), gel.Above}} {
					got, err := gel.Judge(agent, use, c.grams, water)
					if err != nil || got.Where != c.want || !got.Share.Mul(water).Equal(c.grams.Mul(quantity.Int(100))) {
						t.Fatalf("%s g in %s g: %+v, %v", c.grams, water, got, err)
					}
				}
			})
		}
	}
}

func TestCompare(t *testing.T) {
	c, err := gel.Compare(gel.Strength{Share: g("0.9"), Bloom: g("200")}, gel.Strength{Share: g("1.2"), Bloom: g("200")})
	if err != nil || !c.Softer || c.Firmer || c.SameBloom {
		t.Errorf("%+v, %v", c, err)
	}
	equal(t, "ratio", c.Ratio, "0.75")
	c, err = gel.Compare(gel.Strength{Share: g("1.1")}, gel.Strength{Share: g("1")})
	if err != nil || !c.Firmer || !c.SameBloom {
		t.Errorf("%+v, %v", c, err)
	}
	c, err = gel.Compare(gel.Strength{Share: g("1.02")}, gel.Strength{Share: g("1")})
	if err != nil || c.Firmer || c.Softer {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestAt(t *testing.T) {
	for c, want := range map[string]gel.State{"-18": gel.Holds, "24.9": gel.Holds, "25": gel.Softens, "35": gel.Softens, "35.1": gel.Melted} {
		if s := gel.At(g(c)); s != want {
			t.Errorf("%s °C: %s", c, s)
		}
	}
}

func TestWeigh(t *testing.T) {
	d, err := gel.Weigh(g("2"), g("0.1"))
	if err != nil || d.Small || d.Premix != nil || !d.Batches.Equal(one) {
		t.Errorf("20 divisions: %+v, %v", d, err)
	}
	d, err = gel.Weigh(g("0.4"), g("0.1"))
	if err != nil || !d.Small {
		t.Fatal(err)
	}
	equal(t, "steps", d.Steps, "4")
	equal(t, "agent", d.Premix.Agent, "2")
	equal(t, "carrier", d.Premix.Carrier, "18")
	equal(t, "weigh", d.Premix.Weigh, "4")
	equal(t, "brings", d.Premix.Brings, "3.6")
	equal(t, "batches", d.Batches, "5")
	equal(t, "grams", d.Grams, "2")
	d, _ = gel.Weigh(g("0.05"), g("0.1"))
	equal(t, "parts", d.Premix.Parts, "100")
	d, _ = gel.Weigh(g("0.0001"), g("1"))
	if d.Premix != nil || !d.Small {
		t.Errorf("%+v", d)
	}
}

// The premix holds exactly the dose in what is weighed of it, everything weighed is 20 divisions or more, and one batch fewer would be small.
func TestWeighBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dose := quantity.Frac(rapid.Int64Range(1, 1_000_000).Draw(t, "dose mg"), 1000)
		step := quantity.Frac(1, rapid.SampledFrom([]int64{1, 2, 5, 10, 100, 1000}).Draw(t, "step"))
		least := step.Mul(quantity.Int(gel.Divisions))
		d, err := gel.Weigh(dose, step)
		if err != nil || d.Small != dose.Less(least) || d.Grams.Less(least) || !d.Grams.Equal(dose.Mul(d.Batches)) {
			t.Fatalf("%+v, %v", d, err)
		}
		if d.Small && !dose.Mul(d.Batches.Sub(one)).Less(least) {
			t.Fatalf("fewer batches do: %+v", d)
		}
		if p := d.Premix; p != nil {
			all := p.Agent.Add(p.Carrier)
			if !p.Weigh.Mul(p.Agent).Equal(dose.Mul(all)) || !p.Weigh.Equal(dose.Add(p.Brings)) || p.Weigh.Less(least) || p.Agent.Less(least) || all.Less(p.Weigh) {
				t.Fatalf("%+v", *p)
			}
		}
	})
}
