package rescue

import (
	"errors"
	"os"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
	"tamis/calc/swap"
)

func num(s string) quantity.Number { return quantity.MustDecimal(s) }

// bowl lays lines down: name, wanted, poured.
func bowl(cells ...string) []Line {
	var out []Line
	for i := 0; i < len(cells); i += 3 {
		out = append(out, Line{Name: cells[i], Wanted: num(cells[i+1]), Poured: num(cells[i+2])})
	}
	return out
}

func adds(b Batch) map[string]string {
	out := map[string]string{}
	for _, a := range b.Lines {
		out[a.Name] = a.Add.String()
	}
	return out
}

func TestRebalance(t *testing.T) {
	crumble := func(salt string) []Line {
		return bowl("buckwheat flour", "200", "200", "butter", "160", "160", "sugar", "120", "120", "salt", "4", salt)
	}
	for _, c := range []struct {
		name                     string
		lines                    []Line
		factor, by, total, toAdd string
		bin                      bool
		add                      map[string]string
	}{
		{"half as much salt again", crumble("6"), "1.5", "salt", "726", "240", false,
			map[string]string{"buckwheat flour": "100", "butter": "80", "sugar": "60", "salt": "0"}},
		{"40 g for 4 g", crumble("40"), "10", "salt", "4840", "4320", true,
			map[string]string{"buckwheat flour": "1800", "butter": "1440", "sugar": "1080", "salt": "0"}},
		{"just under ten times", crumble("39.9"), "9.975", "salt", "4827.9", "4308", false,
			map[string]string{"buckwheat flour": "1795", "butter": "1436", "sugar": "1077", "salt": "0"}},
		{"some still to pour, nothing over", bowl("milk", "500", "500", "cream", "250", "100", "sugar", "80", "0"), "1", "", "830", "230", false,
			map[string]string{"milk": "0", "cream": "150", "sugar": "80"}},
		{"over before the rest went in", bowl("milk", "500", "600", "cream", "250", "0", "sugar", "80", "0"), "1.2", "milk", "996", "396", false,
			map[string]string{"milk": "0", "cream": "300", "sugar": "96"}},
		{"two over", bowl("milk", "500", "600", "cream", "250", "350"), "1.4", "cream", "1050", "100", false,
			map[string]string{"milk": "100", "cream": "0"}},
		{"a third", bowl("milk", "300", "400", "sugar", "100", "0"), "4/3", "milk", "1600/3", "400/3", false,
			map[string]string{"milk": "0", "sugar": "400/3"}},
	} {
		b, err := Rebalance(c.lines, nil)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if !b.Factor.Equal(num(c.factor)) || b.By != c.by || !b.Total.Equal(num(c.total)) || !b.ToAdd.Equal(num(c.toAdd)) || b.Bin != c.bin {
			t.Errorf("%s: factor %s by %q, total %s, to add %s, bin %v", c.name, b.Factor, b.By, b.Total, b.ToAdd, b.Bin)
		}
		if diff := cmp.Diff(c.add, adds(b)); diff != "" {
			t.Errorf("%s (-want +have):\n%s", c.name, diff)
		}
	}
}

func TestLimits(t *testing.T) {
	lines := bowl("milk", "500", "900", "sugar", "100", "0")
	limits := []Limit{{Name: "wide pan", Kind: Pan, Most: num("4000")}, {Name: "batch freezer", Kind: Machine, Most: num("1000"), Least: num("300")}, {Name: "tubs", Kind: Mould}}
	b, err := Rebalance(lines, limits)
	if err != nil {
		t.Fatal(err)
	}
	if len(b.Over) != 1 || b.Over[0].Name != "batch freezer" || !b.Over[0].By.Equal(num("80")) || !b.Over[0].Batches.Equal(num("2")) {
		t.Errorf("1080 g: %+v", b.Over)
	}
	limits[1].Most, limits[1].Least = num("2000"), num("1100")
	if b, err = Rebalance(lines, limits); err != nil || len(b.Over) != 1 || !b.Over[0].By.Equal(num("-20")) {
		t.Errorf("1080 g in a machine that wants 1100: %+v, %v", b.Over, err)
	}
	limits[0].Most = num("-1")
	if _, err := Rebalance(lines, limits); !errors.Is(err, ErrMass) {
		t.Errorf("a pan that takes less than nothing: %v", err)
	}
}

func TestCautions(t *testing.T) {
	lines := bowl("pork", "1000", "1200", "curing salt", "25", "25")
	lines[1].Lock = swap.CuringSalt
	b, err := Rebalance(lines, nil)
	if err != nil || !slices.Equal(b.Cautions, []Caution{SafetyLine}) {
		t.Errorf("%v, %v", b.Cautions, err)
	}
	b, err = Rebalance(bowl("flour", "1000", "1000", "salt", "4", "8"), nil)
	if err != nil || !slices.Equal(b.Cautions, []Caution{MixWell}) {
		t.Errorf("%v, %v", b.Cautions, err)
	}
	lines[0].Poured = num("1000")
	if b, err = Rebalance(lines, nil); err != nil || b.Cautions != nil {
		t.Errorf("all as it was to be: %v, %v", b.Cautions, err)
	}
}

func drawBowl(t *rapid.T) []Line {
	n := rapid.IntRange(1, 8).Draw(t, "lines")
	var out []Line
	for i := range n {
		out = append(out, Line{
			Name:   string(rune('a' + i)),
			Wanted: quantity.Frac(int64(rapid.IntRange(1, 99999).Draw(t, "wanted")), int64(rapid.IntRange(1, 99).Draw(t, "of"))),
			Poured: quantity.Frac(int64(rapid.IntRange(0, 99999).Draw(t, "poured")), 10),
		})
	}
	return out
}

// The answer restores the recipe's ratios exactly, takes nothing out of the bowl, and is the smallest batch that does.
func TestRebalanceRestoresTheRatios(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := drawBowl(t)
		b, err := Rebalance(lines, nil)
		if err != nil {
			t.Fatal(err)
		}
		var total, toAdd quantity.Number
		tight := b.Factor.Equal(one)
		for i, a := range b.Lines {
			if a.Add.Sign() < 0 {
				t.Fatalf("%s: %s g to add", a.Name, a.Add)
			}
			if !a.Now.Div(lines[i].Wanted).Equal(b.Factor) || !a.Now.Equal(lines[i].Poured.Add(a.Add)) {
				t.Fatalf("%s: %s g of %s, factor %s", a.Name, a.Now, lines[i].Wanted, b.Factor)
			}
			tight = tight || a.Add.IsZero()
			total, toAdd = total.Add(a.Now), toAdd.Add(a.Add)
		}
		if !tight || !total.Equal(b.Total) || !toAdd.Equal(b.ToAdd) || !b.Poured.Add(b.ToAdd).Equal(b.Total) {
			t.Fatalf("%+v", b)
		}
		// the order of the lines changes nothing
		turned := slices.Clone(lines)
		slices.Reverse(turned)
		c, err := Rebalance(turned, nil)
		if err != nil || !c.Factor.Equal(b.Factor) || c.By != b.By || !c.Total.Equal(b.Total) {
			t.Fatalf("%s by %s, turned round %s by %s, %v", b.Factor, b.By, c.Factor, c.By, err)
		}
		if diff := cmp.Diff(adds(b), adds(c)); diff != "" {
			t.Fatal(diff)
		}
	})
}

// Taking out ends at the wanted size in the recipe's ratios; what is taken and what stays is all there was.
func TestTakeOutRestoresTheRatios(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := drawBowl(t)
		full, err := Rebalance(lines, nil)
		if err != nil {
			t.Fatal(err)
		}
		size := full.Factor.Mul(quantity.Frac(int64(rapid.IntRange(1, 20).Draw(t, "twentieths")), 20))
		out, err := TakeOut(lines, size, nil)
		if full.By == "" {
			if !errors.Is(err, ErrNotOver) {
				t.Fatalf("nothing over: %v", err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if !out.Out.Add(out.Keep).Equal(full.Poured) || out.Out.Sign() < 0 || out.Bin != full.Bin {
			t.Fatalf("%s out, %s stay of %s", out.Out, out.Keep, full.Poured)
		}
		for i, a := range out.Lines {
			stayed := lines[i].Poured.Mul(out.Share)
			if a.Add.Sign() < 0 || !stayed.Add(a.Add).Equal(lines[i].Wanted.Mul(size)) {
				t.Fatalf("%s: %s stayed, %s added, wanted %s × %s", a.Name, stayed, a.Add, lines[i].Wanted, size)
			}
		}
		if size.Equal(full.Factor) && (!out.Out.IsZero() || !cmp.Equal(adds(full), adds(out.Batch))) {
			t.Fatalf("at full size %s g are taken out", out.Out)
		}
	})
}

func TestTakeOutErrors(t *testing.T) {
	lines := bowl("milk", "500", "600", "sugar", "100", "100")
	for _, size := range []string{"0", "-1", "1.3"} {
		if _, err := TakeOut(lines, num(size), nil); !errors.Is(err, ErrMass) {
			t.Errorf("size %s: %v", size, err)
		}
	}
	out, err := TakeOut(lines, one, []Limit{{Name: "bowl", Most: num("550")}})
	if err != nil || !out.Out.Equal(num("350/3")) || len(out.Over) != 1 {
		t.Errorf("%s out, over %v, %v", out.Out, out.Over, err)
	}
}

func TestPourErrors(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines []Line
		want  error
	}{
		{"no lines", nil, ErrNoLine},
		{"one name twice", bowl("milk", "1", "1", "milk", "1", "1"), ErrTwice},
		{"less than nothing poured", bowl("milk", "1", "-1"), ErrMass},
		{"less than nothing wanted", bowl("milk", "-1", "1"), ErrMass},
		{"weighs nothing", bowl("milk", "0", "0"), ErrMass},
		{"not in the recipe", bowl("milk", "10", "10", "salt", "0", "5"), ErrForeign},
	} {
		if _, err := Rebalance(c.lines, nil); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
		if _, err := TakeOut(c.lines, one, nil); !errors.Is(err, c.want) {
			t.Errorf("%s, taking out: %v, want %v", c.name, err, c.want)
		}
		if _, err := Foreign(c.lines, one, one); !errors.Is(err, c.want) {
			t.Errorf("%s, foreign: %v, want %v", c.name, err, c.want)
		}
	}
}

// Salt for sugar: the salt line is over by it; what is foreign is another question.
func TestWrongPoured(t *testing.T) {
	lines := bowl("milk", "500", "500", "sugar", "100", "0", "salt", "2", "0")
	wrong, err := Pour(lines, "salt", num("100"))
	if err != nil {
		t.Fatal(err)
	}
	if !lines[2].Poured.IsZero() {
		t.Error("the caller's lines were changed")
	}
	b, err := Rebalance(wrong, nil)
	if err != nil || !b.Factor.Equal(num("50")) || !b.Bin {
		t.Errorf("factor %s, bin %v, %v", b.Factor, b.Bin, err)
	}
	if _, err := Pour(lines, "cinnamon", one); !errors.Is(err, ErrForeign) {
		t.Errorf("cinnamon: %v", err)
	}
	if _, err := Pour(lines, "salt", num("-1")); !errors.Is(err, ErrMass) {
		t.Errorf("less than nothing: %v", err)
	}
}

// At the factor given, what does not belong is at most the share asked for, and exactly it where the batch had to grow.
func TestForeign(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := drawBowl(t)
		grams := quantity.Frac(int64(rapid.IntRange(1, 9999).Draw(t, "grams")), 10)
		most := quantity.Frac(int64(rapid.IntRange(1, 1000).Draw(t, "most")), 10)
		h, err := Foreign(lines, grams, most)
		if err != nil {
			t.Fatal(err)
		}
		share := grams.Div(h.Total).Mul(hundred)
		if most.Less(share) || h.Factor.Less(one) || one.Less(h.Factor) && !share.Equal(most) {
			t.Fatalf("%s %% at factor %s, asked for %s", share, h.Factor, most)
		}
		if h.Bin != !h.Factor.Less(num("10")) {
			t.Fatalf("factor %s, bin %v", h.Factor, h.Bin)
		}
	})
	for _, most := range []string{"0", "-1", "100.1"} {
		if _, err := Foreign(bowl("milk", "1", "1"), one, num(most)); !errors.Is(err, ErrMass) {
			t.Errorf("at most %s %%: %v", most, err)
		}
	}
}

// testdata/pearson-square.csv, P1 (University of Guelph, Standardization problems): 160 kg of cream of 40 % brought to 32 % with skim milk.
func TestCorrectAgainstPublished(t *testing.T) {
	text, err := os.ReadFile("testdata/pearson-square.csv")
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Correct(Reading{Mass: num("160"), Have: num("40"), Want: num("32")}, zero)
	if err != nil || !c.Add.Equal(num(tab.Rows[0][3])) || !c.Total.Equal(num("200")) {
		t.Errorf("%+v, %v, published %s", c, err, tab.Rows[0][3])
	}
	// P4: 2.6 l of milk of 3.9 % and 1.3 l of skim make 3.9 l of 2.6 %
	c, err = Correct(Reading{Mass: num("2.6"), Have: num("3.9"), Want: num("2.6")}, zero)
	if err != nil || !c.Add.Equal(num("1.3")) {
		t.Errorf("%+v, %v", c, err)
	}
}

// Nothing is made or lost: what was dissolved before, and what comes in, is there after, at the wanted share.
func TestCorrectBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		share := func(what string) quantity.Number {
			return quantity.Frac(int64(rapid.IntRange(0, 1000).Draw(t, what)), 10)
		}
		r := Reading{Mass: quantity.Frac(int64(rapid.IntRange(1, 99999).Draw(t, "mass")), 10), Have: share("have"), Want: share("want")}
		with := share("with")
		c, err := Correct(r, with)
		between := r.Have.Less(r.Want) && r.Want.Less(with) || with.Less(r.Want) && r.Want.Less(r.Have)
		if r.Have.Equal(r.Want) {
			if err != nil || !c.Add.IsZero() || !c.Out.IsZero() {
				t.Fatalf("right already: %+v, %v", c, err)
			}
			return
		}
		if !between {
			if !errors.Is(err, ErrNever) {
				t.Fatalf("%s to %s with %s: %v", r.Have, r.Want, with, err)
			}
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Mass.Mul(r.Have).Add(c.Add.Mul(with)); !got.Equal(c.Total.Mul(r.Want)) {
			t.Fatalf("%s in, %s at the wanted share", got, c.Total.Mul(r.Want))
		}
		if got := r.Mass.Sub(c.Out).Mul(r.Have).Add(c.In.Mul(with)); !got.Equal(r.Mass.Mul(r.Want)) || !c.Out.Equal(c.In) || r.Mass.Less(c.Out) {
			t.Fatalf("kept at %s g: %+v", r.Mass, c)
		}
	})
	for _, r := range []Reading{{Mass: zero, Have: one, Want: one}, {Mass: one, Have: num("-1"), Want: one}, {Mass: one, Have: one, Want: num("101")}} {
		if _, err := Correct(r, zero); !errors.Is(err, ErrMass) {
			t.Errorf("%+v: %v", r, err)
		}
	}
	if c, err := Correct(Reading{Mass: num("100"), Have: num("30"), Want: num("3")}, zero); err != nil || !c.Bin {
		t.Errorf("ten times as much: %+v, %v", c, err)
	}
}
