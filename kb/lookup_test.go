package kb_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/kb"
	"tamis/kb/name"
)

func lookupBook(t testing.TB) *kb.Snapshot {
	return load(t, book(testHouse, testLarder,
		"recipes/a.yaml\nrecipe: pear sorbet\nalso: [base, house sorbet]\nmakes: 1 kg\ningredients:\n  - house juice: 900 g\n  - blue milk: 100 g\n",
		"recipes/b.yaml\nrecipe: walnut ice cream\nalso: [base, walnut]\nmakes: 1 kg\ningredients:\n  - house milk: 900 g\n  - moon dust: 3 stars\n",
		"recipes/c.yaml\nrecipe: winter coupe\nmakes: 1 cover\ningredients:\n  - pear sorbet: 40 g\n  - walnut ice cream: 40 g\n  - pear sorbet: 10 g\n",
		"recipes/d.yaml\nrecipe: autumn coupe\nmakes: 1 cover\ningredients:\n  - pear sorbet: 40 g\n",
		"recipes/e.yaml\nrecipe: crème noyer\nalso: [walnut cream, base]\ningredient:\n  - x: 1 g\n",
	))
}

func names(rs []*kb.Recipe) []string {
	var out []string
	for _, r := range rs {
		out = append(out, r.Name)
	}
	return out
}

func TestLookups(t *testing.T) {
	s := lookupBook(t)
	for _, c := range []struct{ ask, want string }{
		{"pear sorbet", "pear sorbet"},
		{"Pear-Sorbets", "pear sorbet"},
		{"house sorbet", "pear sorbet"},
		{"base", ""}, // shared
		{"walnut", "walnut ice cream"},
		{"creme noyer", ""}, // out
		{"", ""},
		{"house milk", ""},
	} {
		got := ""
		if r, ok := s.RecipeNamed(c.ask); ok {
			got = r.Name
		}
		if got != c.want {
			t.Errorf("RecipeNamed(%q) is %q, want %q", c.ask, got, c.want)
		}
	}
	for _, c := range []struct {
		what      string
		got, want []string
	}{
		{"recipes", names(s.Recipes), []string{"autumn coupe", "pear sorbet", "walnut ice cream", "winter coupe"}},
		{"named base", names(s.RecipesNamed("bases")), []string{"pear sorbet", "walnut ice cream"}},
		{"named nothing", names(s.RecipesNamed("nothing")), nil},
		{"uses of milk, by any of its names", names(s.UsesOf("house milk")), []string{"pear sorbet", "walnut ice cream"}},
		{"uses of blue milk", names(s.UsesOf("Blue Milk")), []string{"pear sorbet", "walnut ice cream"}},
		{"uses of what no larder knows", names(s.UsesOf("moon dust")), []string{"walnut ice cream"}},
		{"uses of nothing", names(s.UsesOf("nothing")), nil},
	} {
		if d := cmp.Diff(c.want, c.got); d != "" {
			t.Errorf("%s: %s", c.what, d)
		}
	}
	sorbet, _ := s.RecipeNamed("pear sorbet")
	if d := cmp.Diff([]string{"autumn coupe", "winter coupe"}, names(s.UsedIn(sorbet))); d != "" {
		t.Errorf("used in: %s", d)
	}
	if r, ok := s.Recipe(sorbet.ID); !ok || r != sorbet {
		t.Error("not found by its id")
	}
	if _, ok := s.Recipe("recipes/e.yaml"); ok {
		t.Error("a recipe that is out is found by its id")
	}
	if out := s.OutNamed("walnut creams"); len(out) != 1 || out[0].Name != "crème noyer" || len(out[0].Faults) == 0 {
		t.Errorf("out: %+v", out)
	}
	if p, ok := s.Pan("Wide Pans"); !ok || p.Empty.String() != "870 g" {
		t.Errorf("pan: %+v", p)
	}
	if m, ok := s.Mould("dome-45"); !ok || m.Cells != 24 {
		t.Errorf("mould: %+v", m)
	}
	if m, ok := s.Machine("batch freezer"); !ok || m.Batch.String() != "2 kg" {
		t.Errorf("machine: %+v", m)
	}
	if c, ok := s.Cold("fridge"); !ok || c.At.String() != "3 °C" {
		t.Errorf("cold: %+v", c)
	}
	for _, f := range []func(string) bool{
		func(n string) bool { _, ok := s.Pan(n); return ok },
		func(n string) bool { _, ok := s.Mould(n); return ok },
		func(n string) bool { _, ok := s.Machine(n); return ok },
		func(n string) bool { _, ok := s.Cold(n); return ok },
	} {
		if f("bench scale") || f("") {
			t.Error("a pan, mould, machine or cold place is found that is none")
		}
	}
}

func TestNames(t *testing.T) {
	s := lookupBook(t)
	all := s.Names()
	for i, n := range all {
		if n.Fold != name.Fold(n.Text) {
			t.Errorf("%q is folded as %q", n.Text, n.Fold)
		}
		if i > 0 && (name.Plain(all[i-1].Text) > name.Plain(n.Text) || all[i-1].Text == n.Text && all[i-1].Kind > n.Kind) {
			t.Errorf("%q stands before %q", all[i-1].Text, n.Text)
		}
	}
	var got []string
	for _, n := range all {
		// The built-in larder has names of its own; they are not this test's.
		if n.Item != nil && !n.Item.House {
			continue
		}
		got = append(got, fmt.Sprintf("%s %d %v", n.Text, n.Kind, n.InBook))
	}
	want := []string{
		fmt.Sprintf("autumn coupe %d false", kb.RecipeName),
		fmt.Sprintf("base %d false", kb.RecipeAlias),
		fmt.Sprintf("base %d false", kb.RecipeAlias),
		fmt.Sprintf("base %d false", kb.OutName),
		fmt.Sprintf("batch freezer %d false", kb.MachineName),
		fmt.Sprintf("bench scale %d false", kb.ScaleName),
		fmt.Sprintf("blue milk %d true", kb.IngredientAlias),
		fmt.Sprintf("core 25 %d false", kb.MouldName),
		fmt.Sprintf("crème noyer %d false", kb.OutName),
		fmt.Sprintf("dome 45 %d false", kb.MouldName),
		fmt.Sprintf("fridge %d false", kb.ColdName),
		fmt.Sprintf("house flour %d false", kb.IngredientName),
		fmt.Sprintf("house herb %d false", kb.IngredientName),
		fmt.Sprintf("house juice %d true", kb.IngredientName),
		fmt.Sprintf("house leaf %d false", kb.IngredientName),
		fmt.Sprintf("house milk %d true", kb.IngredientName),
		fmt.Sprintf("house sorbet %d false", kb.RecipeAlias),
		fmt.Sprintf("house sugar %d false", kb.IngredientName),
		fmt.Sprintf("house water %d false", kb.IngredientName),
		fmt.Sprintf("moon dust %d true", kb.IngredientName),
		fmt.Sprintf("pear sorbet %d false", kb.RecipeName),
		fmt.Sprintf("walnut %d false", kb.RecipeAlias),
		fmt.Sprintf("walnut cream %d false", kb.OutName),
		fmt.Sprintf("walnut ice cream %d false", kb.RecipeName),
		fmt.Sprintf("wide pan %d false", kb.PanName),
		fmt.Sprintf("winter coupe %d false", kb.RecipeName),
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// What a caller does with a returned list must not reach the snapshot.
func TestListsAreCopies(t *testing.T) {
	s := lookupBook(t)
	before := s.Names()
	clear(s.Names())
	clear(s.RecipesNamed("base"))
	clear(s.UsesOf("house milk"))
	clear(s.OutNamed("base"))
	if d := cmp.Diff(len(before), len(s.Names())); d != "" || s.Names()[0].Text == "" || s.RecipesNamed("base")[0] == nil || s.UsesOf("house milk")[0] == nil || s.OutNamed("base")[0] == nil {
		t.Error("a returned list is the snapshot's own")
	}
}

// A book says the same whatever order its files come in.
func TestOrderOfFiles(t *testing.T) {
	in := madeInput(t, 40)
	a := checkLines(build(in))
	slices.Reverse(in.Recipes)
	if d := cmp.Diff(a, checkLines(build(in))); d != "" {
		t.Error(d)
	}
}
