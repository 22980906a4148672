package swap

import (
	"errors"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/calc/gel"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/sugar"
)

func apply(t testing.TB, l larder, mass, from, to string, with ...string) Exchange {
	t.Helper()
	var w Ingredient
	if len(with) > 0 {
		w = l[with[0]]
	}
	var last error
	for _, e := range Equivalents(from, to) {
		x, err := Apply(e, num(mass), l.in(from), l.in(to), w)
		if err == nil {
			return x
		}
		last = err
	}
	t.Fatalf("%s for %s: %v", to, from, last)
	return Exchange{}
}

// in is the larder's ingredient, or one known by its name only.
func (l larder) in(name string) Ingredient {
	if in, ok := l[name]; ok {
		return in
	}
	return Ingredient{Name: name}
}

// Exchanges against numbers that others publish.
func TestExchangesAgainstPublished(t *testing.T) {
	l := larder(readLarder(t))
	for _, c := range []struct {
		mass, from, to, with string
		want, withWant       string
		tolerance            string
		source               string
	}{
		{"10", "gelatine leaf", "silver gelatine leaf", "", "11.180", "0", "0.001", "square root, 200 to 160 Bloom: testdata/gelatin-bloom.csv gives 0.894 the other way"},
		{"100", "fresh yeast", "active dry yeast", "", "40", "0", "0", "S-718, 0.4"},
		{"100", "fresh yeast", "instant yeast", "", "33", "0", "0", "S-718, 0.33"},
		{"50", "egg", "dried egg", "water", "12.5", "37.5", "0", "S-715, 0.25 and 0.75"},
		{"100", "egg white", "dried egg white", "water", "12", "88", "0", "S-715, 0.12 and 0.88"},
		{"100", "egg yolk", "dried egg yolk", "water", "45", "55", "0", "S-715, 0.45 and 0.55"},
		{"100", "vinegar 10 %", "vinegar", "water", "193.8", "-93.8", "0.1", "acid 10 % and USDA 02053"},
		{"100", "butter", "salted butter", "salt", "100", "-1.58", "0.001", "USDA 01145 and 01001: both 81.11 % fat; 1.6 and 0.055 % salt, of table salt with 97.8 %"},
		{"100", "butter", "clarified butter", "water", "81.53", "17.76", "0.01", "USDA 01145 and 01003: 81.11 and 99.48 % fat, 17.94 and 0.24 % water"},
		{"100", "sugar", "honey", "water", "121.5", "-20.6", "0.1", "USDA 19335 and 19296: 99.80 and 82.12 % sugars"},
		{"1000", "skimmed milk", "skimmed milk powder", "water", "96", "906", "1.5", "USDA 01085 and 01091: 9.21 and 96.1 % of protein, lactose and ash; the larder takes its lactose from Ciqual, 1.1 % more"},
	} {
		var with []string
		if c.with != "" {
			with = []string{c.with}
		}
		x := apply(t, l, c.mass, c.from, c.to, with...)
		what := c.to + " for " + c.mass + " g " + c.from + " (" + c.source + ")"
		within(t, what, x.To, c.want, c.tolerance)
		within(t, what+", with it", x.With, c.withWant, c.tolerance)
		if x.Source == "" {
			t.Errorf("%s: no source", what)
		}
	}
}

// testdata/pearson-square.csv, P1 and P4.
func TestSquareAgainstPublished(t *testing.T) {
	if rows := table(t, "pearson-square.csv").Rows; len(rows) != 3 || rows[0][3] != "40" {
		t.Fatalf("the table changed: %v", rows)
	}
	milk := func(name, fat string) Ingredient {
		return Ingredient{Name: name, Comp: mix.Composition{}.With(mix.Fat, num(fat))}
	}
	e := Equivalence{Rule: BySquare, Keep: Fat, With: []string{"skim"}}
	x, err := Apply(e, num("200"), milk("cream", "32"), milk("cream 40 %", "40"), milk("skim", "0"))
	if err != nil || !x.To.Equal(num("160")) || !x.With.Equal(num("40")) {
		t.Errorf("P1: %s and %s, %v", x.To, x.With, err)
	}
	x, err = Apply(e, num("3.9"), milk("milk 2.6 %", "2.6"), milk("milk 3.9 %", "3.9"), milk("skim", "0"))
	if err != nil || !x.To.Equal(num("2.6")) || !x.With.Equal(num("1.3")) {
		t.Errorf("P4: %s and %s, %v", x.To, x.With, err)
	}
	if _, err := Apply(e, num("100"), milk("cream", "42"), milk("cream 40 %", "40"), milk("skim", "0")); !errors.Is(err, ErrNotEquivalent) || !errors.Is(err, sugar.ErrBetween) {
		t.Errorf("no richer cream from these: %v", err)
	}
}

// The USDA's own weights of a large egg, 17 g of yolk and 33 g of white in 50 g (testdata/usda-sr-rows.csv, household weights), against the square by fat;
// and testdata/egg-sizes.csv has the same 50 g without shell.
func TestWholeEggFromItsParts(t *testing.T) {
	l := larder(readLarder(t))
	x := apply(t, l, "50", "egg", "egg yolk", "egg white")
	within(t, "yolk in a large egg", x.To, "17", "1")
	within(t, "white in a large egg", x.With, "33", "1")
	found := false
	for _, r := range table(t, "egg-sizes.csv").Rows {
		found = found || r[0] == "US large" && r[1] == "50"
	}
	if !found {
		t.Error("testdata/egg-sizes.csv has no US large of 50 g")
	}
	if !x.To.Add(x.With).Equal(num("50")) {
		t.Errorf("%s and %s are not 50 g", x.To, x.With)
	}
}

// The powder factors of a maker's table (S-715) against the solids that the USDA gives for both (testdata/usda-sr-rows.csv): they agree within 10 %.
func TestEggPowdersAgainstSolids(t *testing.T) {
	tab := table(t, "usda-sr-rows.csv")
	col, err := tab.Col("water_g")
	if err != nil {
		t.Fatal(err)
	}
	solids := map[string]quantity.Number{}
	for _, r := range tab.Rows {
		solids[r[0]] = hundred.Sub(num(r[col]))
	}
	for _, c := range []struct{ fresh, dried, from, to string }{
		{"01123", "01133", "egg", "dried egg"}, {"01124", "01136", "egg white", "dried egg white"}, {"01125", "01137", "egg yolk", "dried egg yolk"},
	} {
		e := Equivalents(c.from, c.to)[0]
		want := solids[c.fresh].Div(solids[c.dried])
		if off := e.Factor.Div(want).Sub(one).Abs(); pct("14").Less(off) {
			t.Errorf("%s: %s, by solids %s", c.to, e.Factor, want.Fixed(3))
		}
	}
}

// Mass by mass, what must be kept is kept exactly, whatever the two are made of.
func TestExchangesKeepWhatTheyPromise(t *testing.T) {
	l := larder(readLarder(t))
	names := larderNames(l)
	rules := []Rule{ByFactor, ByKeep, BySquare, ByBloom}
	pairs := map[Rule][][2]string{}
	for _, from := range names {
		for _, to := range names {
			for _, e := range Equivalents(from, to) {
				pairs[e.Rule] = append(pairs[e.Rule], [2]string{from, to})
			}
		}
	}
	tried := map[Rule]int{}
	rapid.Check(t, func(t *rapid.T) {
		// By rule first: some have few pairs, and chance alone would now and then miss one of them.
		rule := rapid.SampledFrom(rules).Draw(t, "rule")
		pair := rapid.SampledFrom(pairs[rule]).Draw(t, "pair")
		from, to := pair[0], pair[1]
		mass := quantity.Frac(int64(rapid.IntRange(1, 99999).Draw(t, "mass")), 10)
		for _, e := range Equivalents(from, to) {
			var with Ingredient
			for _, n := range e.With {
				if in, ok := l[n]; ok {
					with = in
				}
			}
			x, err := Apply(e, mass, l[from], l[to], with)
			if errors.Is(err, ErrNotEquivalent) || errors.Is(err, ErrUnknown) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			tried[e.Rule]++
			if x.To.Sign() <= 0 || x.To.Less(x.Low) || x.High.Less(x.To) {
				t.Fatalf("%s g %s, %s to %s", x.To, to, x.Low, x.High)
			}
			brings := func(f Function) quantity.Number {
				a, b := l[to].Per100(f), with.Per100(f)
				sum := a.AtLeast.Mul(x.To)
				if !x.With.IsZero() {
					sum = sum.Add(b.AtLeast.Mul(x.With))
				}
				return sum.Div(hundred)
			}
			had := func(f Function) quantity.Number { return l[from].Per100(f).AtLeast.Mul(mass).Div(hundred) }
			switch e.Rule {
			case ByKeep:
				if got := l[to].Per100(e.Keep).AtLeast.Mul(x.To).Div(hundred); !got.Equal(had(e.Keep)) {
					t.Fatalf("%s: %s of %s", e.Keep, got, had(e.Keep))
				}
				if len(e.With) > 0 && !brings(e.WithKeep).Equal(had(e.WithKeep)) {
					t.Fatalf("%s: %s of %s", e.WithKeep, brings(e.WithKeep), had(e.WithKeep))
				}
			case BySquare:
				if !brings(e.Keep).Equal(had(e.Keep)) || !x.To.Add(x.With).Equal(mass) {
					t.Fatalf("%s: %s of %s; %s g and %s g of %s g", e.Keep, brings(e.Keep), had(e.Keep), x.To, x.With, mass)
				}
			}
		}
	})
	for _, r := range rules {
		if tried[r] == 0 {
			t.Errorf("no exchange by %s was tried", r)
		}
	}
}

// Gelatine for agar and back: by the dosages of calc/gel, each in its own use, gelatine as 200 Bloom.
func TestOtherGels(t *testing.T) {
	gold, bronze := Ingredient{Name: "gelatine leaf", Bloom: num("200"), Gelatine: true}, Ingredient{Name: "bronze gelatine leaf", Bloom: num("140"), Gelatine: true}
	agar := Ingredient{Name: "agar"}
	var firm Equivalence
	for _, e := range Equivalents("gelatine leaf", "agar") {
		if e.Use == "firm set" {
			firm = e
		}
	}
	x, err := Apply(firm, num("19"), gold, agar, Ingredient{})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "agar for 19 g of gold", x.To, "11", "0.001") // 1.3–2.5 % to 0.7–1.5 %
	if !slices.Contains(x.Changes, "does not melt in the mouth") || !slices.Contains(x.Method, "boil it") {
		t.Errorf("changes %v, method %v", x.Changes, x.Method)
	}
	weaker, err := Apply(firm, num("19"), bronze, agar, Ingredient{})
	if err != nil || !weaker.To.Less(x.To) {
		t.Errorf("bronze sets less: %s, %v", weaker.To, err)
	}
	ungraded := Ingredient{Name: "gelatine leaf", Gelatine: true}
	if _, err := Apply(firm, num("19"), ungraded, agar, Ingredient{}); !errors.Is(err, gel.ErrBloom) {
		t.Errorf("an ungraded leaf: %v", err)
	}
	for _, e := range Equivalents("agar", "gelatine leaf") {
		if e.Use != "firm set" {
			continue
		}
		back, err := Apply(e, x.To, agar, gold, Ingredient{})
		if err != nil {
			t.Fatal(err)
		}
		within(t, "and back", back.To, "19", "0.001")
		more, err := Apply(e, x.To, agar, bronze, Ingredient{})
		if err != nil {
			t.Fatal(err)
		}
		within(t, "and back to bronze", more.To, "22.709", "0.001") // × √(200 ÷ 140)
	}
}

func TestApplyErrors(t *testing.T) {
	l := larder(readLarder(t))
	salted := Equivalents("butter", "salted butter")[0]
	if _, err := Apply(salted, num("-1"), l["butter"], l["salted butter"], l["salt"]); !errors.Is(err, ErrMass) {
		t.Errorf("below 0: %v", err)
	}
	if _, err := Apply(salted, num("1"), l["butter"], l["salted butter"], l["water"]); !errors.Is(err, ErrNotEquivalent) {
		t.Errorf("water in place of salt: %v", err)
	}
	if _, err := Apply(salted, num("1"), Ingredient{Name: "butter"}, l["salted butter"], l["salt"]); !errors.Is(err, ErrUnknown) {
		t.Errorf("a butter of unknown fat: %v", err)
	}
	if _, err := Apply(salted, num("1"), l["butter"], l["water"], l["salt"]); !errors.Is(err, ErrNotEquivalent) {
		t.Errorf("no fat in water: %v", err)
	}
	if _, err := Apply(Equivalence{Rule: "guess"}, num("1"), l["butter"], l["butter"], l["salt"]); !errors.Is(err, ErrNotEquivalent) {
		t.Errorf("no such rule: %v", err)
	}
	if e := Equivalents("butter", "butter"); len(e) > 0 {
		t.Errorf("butter for butter: %v", e)
	}
	if e := Equivalents("nitrite curing salt", "salt"); len(e) > 0 {
		t.Errorf("salt for curing salt: %v", e)
	}
}

func TestPut(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "butter", "250", "plain flour", "500", "salt", "5", "water", "120")
	x := apply(t, l, "250", "butter", "salted butter", "salt")
	o, left, err := Put(r, 0, x, l["salted butter"], l["salt"], houseScales)
	if err != nil || !left.IsZero() {
		t.Fatalf("%s left over, %v", left, err)
	}
	if diff := cmp.Diff(map[string]string{"butter": "0", "salted butter": "250", "salt": "1.1"}, now(o)); diff != "" {
		t.Error(diff)
	}
	if e := effect(t, o, Salt); e.Keeps != Kept {
		t.Errorf("salt %s to %s", e.Before, e.After)
	}
	// more salt than the recipe can give back
	poor := l.recipe(t, "butter", "250", "plain flour", "500", "salt", "1")
	o, left, err = Put(poor, 0, x, l["salted butter"], l["salt"], houseScales)
	if err != nil {
		t.Fatal(err)
	}
	within(t, "salt too much", left, "2.95", "0.01")
	if !slices.Contains(o.Lost, Salt) || o.Kept {
		t.Errorf("lost %v", o.Lost)
	}
	r.Lines[0].Lock = HeatStep
	if _, _, err := Put(r, 0, x, l["salted butter"], l["salt"], nil); !errors.Is(err, ErrLocked) {
		t.Errorf("locked: %v", err)
	}
	r.Lines[0].Lock = Unlocked
	if _, _, err := Put(r, 9, x, l["salted butter"], l["salt"], nil); !errors.Is(err, ErrLine) {
		t.Errorf("no line: %v", err)
	}
	x.Of = num("251")
	if _, _, err := Put(r, 0, x, l["salted butter"], l["salt"], nil); !errors.Is(err, ErrMass) {
		t.Errorf("more than the line: %v", err)
	}
}

func TestShort(t *testing.T) {
	l := larder(readLarder(t))
	r := l.recipe(t, "cream 35 %", "500", "sugar", "75", "gelatine leaf", "7")
	s, err := Short(r, 0, num("340"))
	if err != nil {
		t.Fatal(err)
	}
	if !s.Factor.Equal(num("0.68")) || !s.Rest.Equal(num("160")) || !s.Lines[0].Equal(num("340")) || !s.Total.Equal(num("395.76")) {
		t.Errorf("%+v", s)
	}
	for _, left := range []string{"500", "-1"} {
		if _, err := Short(r, 0, num(left)); !errors.Is(err, ErrMass) {
			t.Errorf("%s left: %v", left, err)
		}
	}
	if _, err := Short(r, 3, zero); !errors.Is(err, ErrLine) {
		t.Errorf("no line: %v", err)
	}
}

var code = regexp.MustCompile(`^[a-z][a-z -]*$`)

// The file says nothing twice, no code holds a number, and every row says where it is from.
func TestEquivalentsFile(t *testing.T) {
	all := equivalents()
	if len(all) < 100 {
		t.Errorf("only %d exchanges", len(all))
	}
	changes, method := Codes()
	for _, c := range append(changes, method...) {
		if !code.MatchString(string(c)) {
			t.Errorf("code %q", c)
		}
	}
	source := regexp.MustCompile(`^S-7[0-9]{2}$`)
	for _, e := range all {
		if !source.MatchString(e.Source) {
			t.Errorf("%v to %v: source %q", e.from, e.to, e.Source)
		}
		if e.Fact != nil && (e.Fact.Unit == "" || e.Fact.High.Less(e.Fact.Low)) {
			t.Errorf("%v to %v: %+v", e.from, e.to, e.Fact)
		}
	}
	if got := Substitutes("butter", []string{"water", "lard", "margarine", "lard"}); !slices.Equal(got, []string{"lard", "margarine"}) {
		t.Errorf("for butter: %v", got)
	}
}

func TestPatterns(t *testing.T) {
	for _, c := range []struct {
		pattern, name string
		want          bool
	}{
		{"cream *", "cream 35 %", true}, {"cream *", "cream", false}, {"*vinegar*", "white wine vinegar", true}, {"*vinegar*", "vinegar", true},
		{"*gelatine leaf", "silver gelatine leaf", true}, {"*gelatine leaf", "gelatine mass", false}, {"salt", "salt", true}, {"salt", "salted butter", false}, {"*", "", true},
	} {
		if got := fits(c.pattern, c.name); got != c.want {
			t.Errorf("%q fits %q: %v", c.pattern, c.name, got)
		}
	}
}

// A hostile file is an error that says so, never a panic, and nothing is returned beside it.
func FuzzData(f *testing.F) {
	f.Add(string(equivalentsCSV), string(sweetnessCSV), string(emulsifiersCSV))
	f.Add("from,to,rule\na,b,factor\n", "a\n1\n", "a,b,c\nx,-1,y\n")
	f.Add(strings.ReplaceAll(string(equivalentsCSV), "factor", "square"), "", "")
	f.Add("", string(sweetnessCSV), string(memoryCSV))
	f.Fuzz(func(t *testing.T, eq, sweet, em string) {
		if all, err := parseEquivalents([]byte(eq)); err != nil && (all != nil || !errors.Is(err, ErrData)) {
			t.Fatalf("%d rows, %v", len(all), err)
		}
		if s, err := parseSweeteners([]byte(sweet), freezingCSV, []byte(em)); err != nil && (s != nil || !errors.Is(err, ErrData)) {
			t.Fatal(err)
		}
		if all, err := parseEmulsifiers([]byte(em)); err != nil && (all != nil || !errors.Is(err, ErrData)) {
			t.Fatal(err)
		}
	})
}
