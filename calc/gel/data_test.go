package gel

import (
	"embed"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed testdata
var files embed.FS

func table(t *testing.T, name string) reftable.Table {
	t.Helper()
	text, err := files.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return reftable.MustParse(text)
}

// Every row of the review article's table (read) is among what is told of its agent, number by number.
func TestAgentsHoldTheReviewTable(t *testing.T) {
	names := map[string][]string{
		"agar": {"agar"}, "kappa carrageenan": {"kappa carrageenan"}, "iota carrageenan": {"iota carrageenan"}, "sodium alginate": {"sodium alginate"},
		"HM pectin": {"hm pectin"}, "LM pectin": {"lm pectin"}, "gellan": {"low-acyl gellan"}, "gelatin": {"gelatine"}, "egg": {"egg white", "egg yolk", "whole egg"},
	}
	tab := table(t, "gelling-agents.csv")
	for _, r := range tab.Rows {
		for _, agent := range names[r[0]] {
			for what, cell := range map[Property]string{Set: r[1], Melt: r[2]} {
				if cell == "" {
					continue
				}
				vs, err := Of(agent, what)
				if err != nil {
					t.Fatal(err)
				}
				if !slices.ContainsFunc(vs, func(v Value) bool { return v.Source == "S-632" && says(v, cell) }) {
					t.Errorf("%s %s: the table says %q, the data %+v", agent, what, cell, vs)
				}
			}
		}
		if len(names[r[0]]) == 0 {
			t.Errorf("row %q is not checked", r[0])
		}
	}
}

// says compares a value with a cell such as "<35", ">80" or "irreversible".
func says(v Value, cell string) bool {
	if n, ok := strings.CutPrefix(cell, "<"); ok {
		return v.HasHigh && !v.HasLow && v.High.Equal(quantity.MustDecimal(n))
	}
	if n, ok := strings.CutPrefix(cell, ">"); ok {
		return v.HasLow && !v.HasHigh && v.Low.Equal(quantity.MustDecimal(n))
	}
	return strings.HasSuffix(cell, v.Text) && v.Text != ""
}

// Every agent that was asked for is there with what a cook needs first.
func TestAgentsComplete(t *testing.T) {
	for _, a := range []string{"agar", "gelatine", "HM pectin", "lm pectin", "xanthan", "xanthan with locust bean gum", "kappa carrageenan", "iota carrageenan",
		"low-acyl gellan", "high-acyl gellan", "sodium alginate", "locust bean gum", "maize starch", "potato starch", "methylcellulose"} {
		for _, p := range []Property{Dosage, Hydrate, Disperse} {
			if v, err := Of(a, p); err != nil || len(v) == 0 {
				t.Errorf("%s: no %s, %v", a, p, err)
			}
		}
	}
	for _, a := range []string{"agar", "low-acyl gellan", "maize starch", "potato starch", "kappa carrageenan"} {
		if v, err := Of(a, Freeze); err != nil || len(v) == 0 || v[0].Text != "weeps" {
			t.Errorf("%s after thawing: %+v, %v", a, v, err)
		}
	}
	if hold, _ := Of("agar", Hold); len(hold) != 1 || !hold[0].Low.Equal(one) || hold[0].Unit != "min" { // common practice: agar boils 1 min
		t.Errorf("agar boils %+v", hold)
	}
	for _, a := range Agents() {
		uses, err := Uses(a)
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]bool{}
		for _, u := range uses {
			if seen[u] {
				t.Errorf("%s: use %q in two places", a, u)
			}
			seen[u] = true
		}
	}
	codes := map[string]bool{}
	for _, w := range Weakeners() {
		codes[w.Code] = true
		if !sourceID.MatchString(w.SourceID) || (w.Code == "raw protease") == (w.Item == "") {
			t.Errorf("%+v", w)
		}
	}
	if len(codes) != 5 {
		t.Errorf("weakeners %v", codes)
	}
}

// Two gelatine sources on full strength; the code says nearly from the later end of the first, full from the test's 17 h.
func TestMaturedAgainstSources(t *testing.T) {
	tab := table(t, "gelatine-maturing.csv")
	low, high := tab.MustFloats("hours_low"), tab.MustFloats("hours_high")
	for i, c := range tab.MustFloats("celsius") {
		late, _ := quantity.FromFloat(high[i], 0)
		m, err := Matured(late)
		if err != nil || c == 5 && m < Nearly || c == 10 && m != Full {
			t.Errorf("%g °C, %s h: %s, %v", c, late, m, err)
		}
		early, _ := quantity.FromFloat(low[i]-0.5, 1)
		if m, _ := Matured(early); c == 5 && m != Gaining || c == 10 && m == Full {
			t.Errorf("%g °C, %s h: %s", c, early, m)
		}
	}
}

func TestParseValuesRefuses(t *testing.T) {
	const head = "agent,what,use,low,high,unit,text,source\n"
	for name, text := range map[string]string{
		"other columns":   "agent,what\nagar,set\n",
		"no agent":        head + ",set,,1,2,°C,,S-601\n",
		"property":        head + "agar,colour,,1,2,°C,,S-601\n",
		"no source":       head + "agar,set,,1,2,°C,,\n",
		"source":          head + "agar,set,,1,2,°C,,S-61\n",
		"number":          head + "agar,set,,1e3,2,°C,,S-601\n",
		"upside down":     head + "agar,set,,3,2,°C,,S-601\n",
		"says nothing":    head + "agar,set,,,,°C,,S-601\n",
		"no unit":         head + "agar,set,,1,2,,,S-601\n",
		"dosage, one end": head + "agar,dosage,firm set,1,,%,,S-601\n",
		"dosage, no use":  head + "agar,dosage,,1,2,%,,S-601\n",
		"dosage of 0":     head + "agar,dosage,firm set,0,2,%,,S-601\n",
		"dosage over all": head + "agar,dosage,firm set,1,101,%,,S-601\n",
		"no table":        "",
	} {
		if v, err := parseValues([]byte(text)); !errors.Is(err, ErrData) || v != nil {
			t.Errorf("%s: %+v, %v", name, v, err)
		}
	}
}

// The reader never panics; what it lets through keeps its promises.
func FuzzParseValues(f *testing.F) {
	f.Add(agentsCSV)
	f.Add([]byte("agent,what,use,low,high,unit,text,source\nagar,dosage,firm set,0.7,1.5,%,,S-601\n"))
	f.Add([]byte("agent,what,use,low,high,unit,text,source\nagar,set,,1/3,,°C,,S-601\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		vs, err := parseValues(text)
		if err != nil {
			if vs != nil {
				t.Fatal("values beside an error")
			}
			return
		}
		for _, v := range vs {
			if v.agent == "" || !sourceID.MatchString(v.Source) || v.HasLow && v.HasHigh && v.High.Less(v.Low) {
				t.Fatalf("%+v", v)
			}
			if v.What == Dosage && (v.Low.Sign() <= 0 || v.Use == "") {
				t.Fatalf("%+v", v)
			}
		}
	})
}

// Bloom: the definition and the factors of the table, all rows.
func TestBloomTable(t *testing.T) {
	tab := reftable.MustParse(bloomCSV)
	leaves := 0
	for _, r := range tab.Rows {
		switch {
		case strings.HasPrefix(r[0], "factor "):
			from, to, _ := strings.Cut(strings.TrimSuffix(strings.TrimPrefix(r[0], "factor "), " Bloom"), " -> ")
			c, err := Convert(quantity.Int(1), quantity.MustDecimal(from), quantity.MustDecimal(to))
			if err != nil || math.Abs(c.BySquareRoot.Float()-quantity.MustDecimal(r[1]).Float()) > 0.0006 {
				t.Errorf("%s: %s, table %s, %v", r[0], c.BySquareRoot, r[1], err)
			}
		case strings.HasSuffix(r[0], " leaf"):
			leaves++
			g, err := GradeNamed(strings.ToUpper(strings.TrimSuffix(r[0], " leaf")))
			if err != nil || g.Leaf.String()+" g" != quantity.MustDecimal(strings.TrimSuffix(r[2], " g")).String()+" g" {
				t.Errorf("%v: %+v, %v", r, g, err)
			}
		case r[0] == "Bloom test: gelatin %": // 7.5 g in 105 g water are 6.67 % of the whole
			whole := quantity.MustDecimal("7.5").Div(quantity.MustDecimal("112.5")).Mul(hundred)
			if math.Abs(whole.Float()-6.67) > 0.005 {
				t.Errorf("%s %%", whole)
			}
		case r[0] == "usual range of Bloom":
			if r[1] != minBloom.String()+"-"+maxBloom.String() {
				t.Errorf("%v", r)
			}
		case r[0] == "Bloom test: maturing":
			if m, err := Matured(quantity.Int(17)); m != Full || err != nil {
				t.Errorf("%v: %s", r, m)
			}
		case r[0] != "Bloom test: plunger":
			t.Errorf("row %v is not checked", r)
		}
	}
	if leaves != 4 {
		t.Errorf("%d grades", leaves)
	}
	// Why leaf for leaf holds for graded leaves: mass × Bloom is equal within 9 % of its mean, mass × √Bloom is not.
	lo, hi, rootLo, rootHi := math.Inf(1), 0.0, math.Inf(1), 0.0
	for _, g := range Grades() {
		p, r := g.Bloom.Mul(g.Leaf).Float(), g.Leaf.Float()*math.Sqrt(g.Bloom.Float())
		lo, hi, rootLo, rootHi = min(lo, p), max(hi, p), min(rootLo, r), max(rootHi, r)
	}
	if hi/lo > 1.17 || rootHi/rootLo < 1.4 {
		t.Errorf("mass × Bloom from %.0f to %.0f, mass × √Bloom from %.1f to %.1f", lo, hi, rootLo, rootHi)
	}
	// Common practice, no source: two leaves of the strongest grade weigh about 3.3 g.
	p, _ := GradeNamed("platinum")
	two, err := Leaves(quantity.Int(2), p.Leaf)
	if err != nil || math.Abs(two.Float()-3.3) > 0.15 {
		t.Errorf("two leaves weigh %s g, %v", two, err)
	}
}
