package allergen

import (
	"encoding/csv"
	"errors"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func records(t testing.TB, file string) [][]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[1:]
}

// Every row of testdata/allergens-eu.csv (Regulation (EU) No 1169/2011, annex II as amended by
// Delegated Regulation (EU) No 78/2014, read): number, heading, members, exemptions.
func TestAnnexRowByRow(t *testing.T) {
	rows := records(t, "testdata/allergens-eu.csv")
	if len(rows) != len(eu) {
		t.Fatalf("%d rows, %d classes", len(rows), len(eu))
	}
	words := func(s string) []string {
		return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !(r >= 'a' && r <= 'z') })
	}
	for i, r := range rows {
		c := Classes()[i]
		if strconv.Itoa(c.No) != r[0] || c.Legal != r[1] {
			t.Errorf("class %d %s, annex %s %s", c.No, c.Legal, r[0], r[1])
		}
		// members: each word of ours stands in the annex's cell, and each of its commas is one of ours
		cell := words(r[2])
		for _, m := range c.Members {
			for _, w := range words(m) {
				if !slices.ContainsFunc(cell, func(x string) bool { return x == w || x == w+"s" }) {
					t.Errorf("%s: %s is not in the annex", c.Name, m)
				}
			}
		}
		for _, w := range cell {
			known := slices.Contains([]string{"such", "as", "and", "hybrids", "queensland", "nuts"}, w) // Queensland nut is macadamia
			for _, m := range c.Members {
				known = known || slices.ContainsFunc(words(m), func(x string) bool { return x == w || x+"s" == w })
			}
			if !known {
				t.Errorf("%s: the annex's %q is no member", c.Name, w)
			}
		}
		if got := strings.Join(c.Exempt, "; "); got != r[3] {
			t.Errorf("%s: exempt %q, annex %q", c.Name, got, r[3])
		}
	}
}

// Every row of testdata/allergens-ingredients.csv: each class number is one of the annex, what is listed there of a class that has
// members names one we know; and the traps: what carries no class is a look-alike, an exemption, or sounds like no allergen at all.
func TestIngredientTraps(t *testing.T) {
	for _, r := range records(t, "testdata/allergens-ingredients.csv") {
		name := strings.ToLower(r[0])
		if r[1] != "" {
			for _, no := range strings.Fields(r[1]) {
				n, err := strconv.Atoi(no)
				if err != nil || n < 1 || n > len(eu) {
					t.Errorf("%s: class %q", r[0], no)
				}
			}
			continue
		}
		if len(sounds(name)) == 0 || exempt(name) {
			continue
		}
		for _, s := range sounds(name) {
			if !slices.ContainsFunc(Lookalikes(), func(l Lookalike) bool { return strings.Contains(name, l.Text) && l.SoundsLike == s }) {
				t.Errorf("%s has no class, sounds like %s, and nothing says why", r[0], s)
			}
		}
	}
	// and the other way round: no look-alike is listed with the class it only sounds like
	for _, r := range records(t, "testdata/allergens-ingredients.csv") {
		for _, l := range Lookalikes() {
			if strings.ToLower(r[0]) == l.Text && slices.Contains(strings.Fields(r[1]), strconv.Itoa(classNo(l.SoundsLike))) {
				t.Errorf("%s is of class %s after all", r[0], r[1])
			}
		}
	}
}

// sounds are the classes whose English words, or any letters of them, stand in a name.
func sounds(name string) []string {
	var out []string
	for _, w := range Words() {
		if w.Lang == "en" && len(w.Text) > 2 && strings.Contains(name, w.Text) {
			for _, a := range w.Means {
				if !slices.Contains(out, a.Name) {
					out = append(out, a.Name)
				}
			}
		}
	}
	return out
}

// exempt tells whether an exemption of the annex names the product with all its words.
func exempt(name string) bool {
	words := func(s string) []string {
		return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !(r >= 'a' && r <= 'z') })
	}
	for _, c := range eu {
		for _, x := range c.Exempt {
			missing := slices.ContainsFunc(words(name), func(w string) bool {
				return !slices.ContainsFunc(words(x), func(v string) bool { return v == w || v == w+"s" })
			})
			if !missing {
				return true
			}
		}
	}
	return false
}

func TestLists(t *testing.T) {
	if n := EU.Names(); len(n) != 14 || n[0] != Gluten || n[13] != Molluscs {
		t.Errorf("EU %v", n)
	}
	// 21 U.S.C. 321(qq) with the FASTER Act of 2021, from memory
	if d := cmp.Diff([]string{"milk", "eggs", "fish", "crustacean shellfish", "tree nuts", "wheat", "peanuts", "soybeans", "sesame"}, US.Names()); d != "" {
		t.Error(d)
	}
	for _, c := range []struct {
		in, us string
		inside bool
	}{
		{"milk", "milk", true}, {"nuts (walnut)", "tree nuts (walnut)", true}, {"crustaceans", "crustacean shellfish", true}, {"sesame", "sesame", true},
		{"cereals containing gluten (wheat)", "wheat", true}, {"cereals containing gluten (spelt)", "wheat (spelt)", true},
		{"cereals containing gluten (rye)", "cereals containing gluten (rye)", false}, {"cereals containing gluten (barley)", "cereals containing gluten (barley)", false},
		{"cereals containing gluten", "cereals containing gluten", true}, // may be wheat
		{"celery", "celery", false}, {"mustard", "mustard", false}, {"sulphites", "sulphites", false}, {"lupin", "lupin", false}, {"molluscs (squid)", "molluscs (squid)", false},
		{"strawberry", "strawberry", false},
	} {
		if name, in := US.Name(Parse(c.in)); name != c.us || in != c.inside {
			t.Errorf("%s: %s %v, want %s %v", c.in, name, in, c.us, c.inside)
		}
		if name, in := EU.Name(Parse(c.in)); name != c.in || in != (c.in != "strawberry") {
			t.Errorf("%s: %s %v", c.in, name, in)
		}
	}
}

func TestWords(t *testing.T) {
	plain := regexp.MustCompile(`^[\p{Ll}0-9 '-]+$`)
	langs := map[string]map[string]bool{}
	seen := map[string]bool{}
	for _, w := range Words() {
		if seen[w.Lang+w.Text] || !plain.MatchString(w.Text) {
			t.Errorf("%s %q: twice, or not in plain lower case", w.Lang, w.Text)
		}
		seen[w.Lang+w.Text] = true
		if langs[w.Lang] == nil {
			langs[w.Lang] = map[string]bool{}
		}
		for _, a := range w.Means {
			no := classNo(a.Name)
			if no == 0 {
				t.Errorf("%q means %q, no class", w.Text, a.Name)
				continue
			}
			if m := eu[no-1].Members; a.Kind != "" && m != nil && !slices.Contains(m, a.Kind) {
				t.Errorf("%q: %s is no member", w.Text, a)
			}
			langs[w.Lang][a.Name] = true
		}
	}
	for _, l := range []string{"en", "fr", "es", "it", "de", "pt"} {
		if len(langs[l]) != 14 {
			t.Errorf("%s has words for %d of 14 classes", l, len(langs[l]))
		}
	}
	if len(langs) != 6 {
		t.Errorf("languages %v", langs)
	}
	for word, want := range map[string]string{"Dairy": "milk", "lactose": "milk", "tree nuts": "nuts", "gluten": Gluten, "soy": Soybeans, "groundnut": Peanuts, "Schalenfrüchte": Nuts, "shellfish": Crustaceans} {
		if w, ok := Meaning(word); !ok || w.Means[0].Name != want {
			t.Errorf("%s: %v %v", word, w, ok)
		}
	}
	if w, ok := Meaning("buckwheat"); ok {
		t.Errorf("buckwheat means %v", w)
	}
	for _, l := range Lookalikes() {
		if classNo(l.SoundsLike) == 0 || l.Why == "" {
			t.Errorf("%+v", l)
		}
	}
}

func lf(name string, contains ...string) *Node {
	n := &Node{Name: name, Known: true}
	for _, c := range contains {
		n.Contains = append(n.Contains, Parse(c))
	}
	return n
}

func ways(fs []Found) []string {
	var out []string
	for _, f := range fs {
		for _, w := range f.Ways {
			s := f.String() + ": " + strings.Join(w.Path, " → ")
			if w.Shared {
				s += " (shared)"
			}
			out = append(out, s)
		}
	}
	return out
}

func plate() *Node {
	butter, egg, paste := lf("butter", "milk"), lf("egg", "eggs"), &Node{Name: "walnut paste"}
	flour := lf("flour", "cereals containing gluten (wheat)")
	choc := lf("couverture", "soybeans")
	choc.MayContain = []Allergen{{Name: Milk}, {Nuts, "hazelnut"}}
	brown := &Node{Name: "brown butter", Children: []*Node{butter}}
	ice := &Node{Name: "ice cream", Children: []*Node{lf("cream", "milk"), egg, brown}}
	crumble := &Node{Name: "crumble", Children: []*Node{flour, butter, lf("walnut", "nuts (walnut)")}, Shared: []Allergen{{Name: Sesame}}}
	sorbet := &Node{Name: "pear sorbet", Children: []*Node{lf("pear"), lf("sugar"), lf("water")}}
	return &Node{Name: "pear plate", Children: []*Node{ice, crumble, sorbet, choc, {Name: "praline", Children: []*Node{paste}}}}
}

func TestRoll(t *testing.T) {
	r, err := Roll(plate())
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{
		"cereals containing gluten (wheat): crumble → flour",
		"eggs: ice cream → egg",
		"soybeans: couverture",
		"milk: ice cream → cream", "milk: ice cream → brown butter → butter", "milk: crumble → butter",
		"nuts (walnut): crumble → walnut",
	}, ways(r.Contains)); d != "" {
		t.Error(d)
	}
	// milk of the couverture is not told again as a may
	if d := cmp.Diff([]string{"nuts (hazelnut): couverture", "sesame: crumble (shared)"}, ways(r.MayContain)); d != "" {
		t.Error(d)
	}
	if len(r.NotKnown) != 1 || strings.Join(r.NotKnown[0].Path, " → ") != "praline → walnut paste" {
		t.Errorf("not known %v", r.NotKnown)
	}
	if d := cmp.Diff([]string{Crustaceans, Fish, Peanuts, Celery, Mustard, Sulphites, Lupin, Molluscs}, r.NotListed(EU)); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff([]string{"fish", "crustacean shellfish", "peanuts"}, r.NotListed(US)); d != "" {
		t.Error(d)
	}
}

func TestRollCircleAndManyWays(t *testing.T) {
	n := &Node{Name: "a"}
	n.Children = []*Node{{Name: "b", Children: []*Node{n}}}
	if _, err := Roll(n); !errors.Is(err, ErrCircle) {
		t.Error(err)
	}
	if _, err := Suits(n, "vegan"); !errors.Is(err, ErrCircle) {
		t.Error(err)
	}
	if _, err := PartsWithout(n, nil); !errors.Is(err, ErrCircle) {
		t.Error(err)
	}
	// 2^40 ways: kept short, and said
	low := lf("butter", "milk")
	for i := range 40 {
		low = &Node{Name: "r" + strconv.Itoa(i), Children: []*Node{{Name: "x" + strconv.Itoa(i), Children: []*Node{low}}, {Name: "y" + strconv.Itoa(i), Children: []*Node{low}}}}
	}
	r, err := Roll(low)
	if err != nil || len(r.Contains) != 1 || len(r.Contains[0].Ways) != maxWays || !r.Contains[0].More {
		t.Errorf("%v %d ways", err, len(r.Contains[0].Ways))
	}
}

func TestPartsWithout(t *testing.T) {
	dish := plate()
	get := func(excluded ...string) map[string]Holding {
		var x []Allergen
		for _, e := range excluded {
			x = append(x, Parse(e))
		}
		ps, err := PartsWithout(dish, x)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]Holding{}
		for _, p := range ps {
			out[p.Name] = p.Holding
		}
		return out
	}
	if d := cmp.Diff(map[string]Holding{"ice cream": Holds, "crumble": Holds, "pear sorbet": NotListed, "couverture": MayHold, "praline": NotKnown}, get("milk", "nuts")); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(map[string]Holding{"ice cream": NotListed, "crumble": MayHold, "pear sorbet": NotListed, "couverture": NotListed, "praline": NotKnown}, get("sesame")); d != "" {
		t.Error(d)
	}
	if got := get("nuts (hazelnut)"); got["crumble"] != NotListed || got["couverture"] != MayHold {
		t.Errorf("hazelnut: %v", got)
	}
	dish.Shared = []Allergen{{Name: Fish}}
	if got := get("fish"); got["pear plate"] != MayHold {
		t.Errorf("shared by the dish: %v", got)
	}
	leaf, err := PartsWithout(lf("butter", "milk"), []Allergen{{Name: Milk}})
	if err != nil || len(leaf) != 1 || leaf[0].Holding != Holds {
		t.Errorf("%v %v", leaf, err)
	}
}

func TestMatch(t *testing.T) {
	for _, c := range []struct {
		listed, excluded string
		is, may          bool
	}{
		{"nuts (walnut)", "nuts", true, false}, {"nuts", "nuts (walnut)", false, true}, {"nuts (walnut)", "nuts (almond)", false, false},
		{"cereals containing gluten (spelt)", "cereals containing gluten (wheat)", true, false}, {"cereals containing gluten (rye)", "cereals containing gluten (wheat)", false, false},
		{"cereals containing gluten (rye)", "cereals containing gluten", true, false}, {"peanuts", "nuts", false, false},
	} {
		if is, may := Match(Parse(c.listed), []Allergen{Parse(c.excluded)}); is != c.is || may != c.may {
			t.Errorf("%s without %s: %v %v", c.listed, c.excluded, is, may)
		}
	}
}

func TestSuits(t *testing.T) {
	says := func(name string, diets ...string) *Node { return &Node{Name: name, Suits: diets, SuitsStated: true} }
	salad := &Node{Name: "salad", Children: []*Node{says("leaves", "vegan"), says("cheese", "vegetarian")}}
	for _, c := range []struct {
		n             *Node
		diet          string
		want          Verdict
		lacks, silent string
	}{
		{salad, "vegetarian", Yes, "", ""}, // vegan is vegetarian by its meaning
		{salad, "vegan", No, "cheese", ""},
		{&Node{Name: "plate", Children: []*Node{salad, {Name: "dust"}}}, "vegetarian", Unknown, "", "dust"},
		{&Node{Name: "plate", Children: []*Node{salad, {Name: "dust"}}}, "vegan", No, "salad cheese", "dust"},
		{&Node{Name: "plate", Children: []*Node{{Name: "dust"}}, SuitsStated: true, Suits: []string{"halal"}}, "halal", Yes, "", ""}, // the recipe's own word
		{says("gelatine leaf"), "vegetarian", No, "", ""},
		{&Node{Name: "water"}, "vegan", Unknown, "", ""},
	} {
		s, err := Suits(c.n, c.diet)
		if err != nil {
			t.Fatal(err)
		}
		path := func(ws []Way) string {
			if len(ws) == 0 {
				return ""
			}
			return strings.Join(ws[0].Path, " ")
		}
		if s.Verdict != c.want || path(s.Lacks) != c.lacks || path(s.Silent) != c.silent {
			t.Errorf("%s %s: %+v", c.n.Name, c.diet, s)
		}
	}
	if d := cmp.Diff([]string{"vegan", "vegetarian"}, Diets(salad)); d != "" {
		t.Error(d)
	}
}
