package kb_test

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/kb"
	"tamis/kb/recipe"
)

// readings keeps what was read of files, as the store does.
type readings map[string]kb.File

func (rs readings) input(fsys fstest.MapFS, like kb.Input) kb.Input {
	in := kb.Input{House: like.House, Larder: like.Larder, Faults: like.Faults}
	for _, p := range slices.Sorted(maps.Keys(fsys)) {
		if !strings.HasPrefix(p, "recipes/") {
			continue
		}
		key := p + "\n" + string(fsys[p].Data)
		f, ok := rs[key]
		if !ok {
			r, faults := recipe.Parse(p, fsys[p].Data, like.House.Spoons)
			f = kb.File{Path: p, Recipe: r, Faults: faults}
			rs[key] = f
		}
		in.Recipes = append(in.Recipes, f)
	}
	return in
}

// told is all that a snapshot says, without its pointers.
func told(s *kb.Snapshot) []string {
	out := []string{}
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	names := func(rs []*kb.Recipe) (all []string) {
		for _, r := range rs {
			if got, ok := s.Recipe(r.ID); !ok || got != r {
				say("%s is of another snapshot", r.Name)
			}
			all = append(all, r.Name)
		}
		return all
	}
	for _, f := range slices.Concat(s.Faults, s.Warnings) {
		say("%v %s write %s recipe %s", f.Level, f, f.Write, f.Recipe)
	}
	for _, o := range s.Out {
		say("out %s %q %v named %d", o.Name, o.Also, o.Faults, len(s.OutNamed(o.Name)))
	}
	say("recipes %q", names(s.Recipes))
	for _, r := range s.Recipes {
		say("%s %s %d finished %v %s used in %q", r.ID, r.Name, r.Revision, r.HasFinished, r.Finished, names(s.UsedIn(r)))
		f := r.Formula
		say("formula %s %s %s %v %s %s %v %s %v", f.Name, f.LossShare, f.LossMass, f.HasStated, f.Stated, f.Pieces, f.Steps, f.Unknown, f.Density)
		for i, l := range r.Lines {
			item, link := "", ""
			if l.Item != nil {
				item = l.Item.Name
			}
			if l.Link != nil {
				link = names([]*kb.Recipe{l.Link})[0]
				if f.Lines[i].Link != l.Link.Formula {
					say("the formula leads elsewhere")
				}
			}
			say("line %s %s item %s link %s %s %v %s %s %v key %s core %v pieces %v", l.Name, l.Amount.Text, item, link, l.Grams, l.HasGrams, l.MassFrom, l.MassSource, l.IsLiquid, f.Lines[i].Key, f.Lines[i].Core, f.Lines[i].ByPieces)
			say("uses %q", names(s.UsesOf(l.Name)))
			say("named %q", names(s.RecipesNamed(l.Name)))
		}
		for _, n := range append([]string{r.Name}, r.Also...) {
			say("named %s %q", n, names(s.RecipesNamed(n)))
		}
		for _, l := range r.Losses {
			say("loss %s %v", l.Mass, l.Pan)
		}
	}
	for _, n := range s.Names() {
		to := ""
		if n.Recipe != nil {
			to = names([]*kb.Recipe{n.Recipe})[0]
		}
		if n.Item == nil || n.InBook || n.Item.House {
			say("name %q %q %d %s out %v item %v in %v", n.Text, n.Fold, n.Kind, to, n.Out != nil, n.Item != nil, n.InBook)
		}
	}
	return out
}

// However a book was changed, the snapshot made from the one before is the one
// made afresh.
func TestRebuildIsBuild(t *testing.T) {
	shared, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		fsys := drawnBook(t)
		like := input(fsys)
		rs := readings{}
		s := kb.Build(context.Background(), rs.input(fsys, like))
		for range rapid.IntRange(1, 4).Draw(t, "changes") {
			other := drawnBook(t)
			paths := slices.Sorted(maps.Keys(other))
			for range rapid.IntRange(0, 2).Draw(t, "files") {
				p := rapid.SampledFrom(paths).Draw(t, "file")
				switch {
				case !strings.HasPrefix(p, "recipes/"):
				case rapid.IntRange(0, 5).Draw(t, "off") == 0:
					delete(fsys, p)
				case rapid.IntRange(0, 5).Draw(t, "renamed") == 0:
					fsys["recipes/z"+strings.TrimPrefix(p, "recipes/")] = other[p]
				default:
					fsys[p] = other[p]
				}
			}
			in := rs.input(fsys, like)
			next, fresh := kb.Rebuild(context.Background(), s, in), kb.Build(context.Background(), in)
			if d := cmp.Diff(told(fresh), told(next)); d != "" {
				t.Fatalf("not as made afresh (-afresh +from the one before):\n%s", d)
			}
			for _, r := range next.Recipes {
				all++
				if old, ok := s.Recipe(r.ID); ok && old == r {
					shared++
				}
			}
			s = next
		}
	})
	if all > 50 && shared == 0 {
		t.Error("nothing was ever shared: only builds were compared with builds")
	}
}

// A change of amounts in a larger book touches little; the names stay the same.
func TestRebuildShares(t *testing.T) {
	fsys := fstest.MapFS{}
	for i := range 60 {
		text := fmt.Sprintf("recipe: dish %d\ningredients:\n  - milk: %d g\n  - butter: 20 g\n", i, 100+i)
		if i%3 == 2 {
			text += fmt.Sprintf("  - dish %d: 50 g\n", i-1)
		}
		fsys[fmt.Sprintf("recipes/%02d.yaml", i)] = &fstest.MapFile{Data: []byte(text)}
	}
	like := input(fsys)
	if like.House == nil {
		like.House = &recipe.House{Language: "en", Allergens: "EU"}
	}
	rs := readings{}
	was := kb.Build(context.Background(), rs.input(fsys, like))
	for _, c := range []struct {
		what, text string
		anew       int
		sameNames  bool
	}{
		{"an amount", "recipe: dish 1\ningredients:\n  - milk: 7 g\n  - butter: 20 g\n", 2, true},
		{"a line that others have", "recipe: dish 1\ningredients:\n  - milk: 7 g\n", 2, true},
		{"a new ingredient", "recipe: dish 1\ningredients:\n  - milk: 7 g\n  - walnut: 9 g\n", 2, false},
		{"a new name", "recipe: dish one\ningredients:\n  - milk: 7 g\n", 2, false},
	} {
		fsys["recipes/01.yaml"] = &fstest.MapFile{Data: []byte(c.text)}
		in := rs.input(fsys, like)
		s := kb.Rebuild(context.Background(), was, in)
		if d := cmp.Diff(told(kb.Build(context.Background(), in)), told(s)); d != "" {
			t.Errorf("%s: not as made afresh:\n%s", c.what, d)
		}
		anew := 0
		for _, r := range s.Recipes {
			if old, ok := was.Recipe(r.ID); !ok || old != r {
				anew++
			}
		}
		if anew != c.anew || s.SameNames(was) != c.sameNames {
			t.Errorf("%s: %d made anew, want %d; same names %v, want %v", c.what, anew, c.anew, s.SameNames(was), c.sameNames)
		}
		was = s
	}
}

// An ingredient goes by the spelling that most lines have: one line more or less
// may change it in recipes that nobody touched.
func TestRebuildRespells(t *testing.T) {
	fsys := book(testHouse)
	for i := range 30 {
		what := "butter"
		switch {
		case i < 3:
			what = "moon dust"
		case i < 5:
			what = "Moon Dust"
		}
		fsys[fmt.Sprintf("recipes/%02d.yaml", i)] = &fstest.MapFile{Data: fmt.Appendf(nil, "recipe: dish %d\ningredients:\n  - %s: 20 g\n", i, what)}
	}
	like := input(fsys)
	rs := readings{}
	was := kb.Build(context.Background(), rs.input(fsys, like))
	fsys["recipes/02.yaml"] = &fstest.MapFile{Data: []byte("recipe: dish 2\ningredients:\n  - Moon Dust: 20 g\n")}
	in := rs.input(fsys, like)
	s := kb.Rebuild(context.Background(), was, in)
	if d := cmp.Diff(told(kb.Build(context.Background(), in)), told(s)); d != "" {
		t.Errorf("not as made afresh:\n%s", d)
	}
	before, _ := was.RecipeNamed("dish 0")
	after, _ := s.RecipeNamed("dish 0")
	butter, _ := s.RecipeNamed("dish 9")
	if before.Formula.Lines[0].Key != "moon dust" || after.Formula.Lines[0].Key != "Moon Dust" {
		t.Errorf("%q became %q", before.Formula.Lines[0].Key, after.Formula.Lines[0].Key)
	}
	if old, _ := was.RecipeNamed("dish 9"); old != butter {
		t.Error("a recipe without it was made anew")
	}
}

// A variant is written anew while its base is out for a link: it is told of the
// link in both ways of making the book. Found by TestRebuildIsBuild.
func TestRebuildVariantOfWhatIsOut(t *testing.T) {
	fsys := fstest.MapFS{"house.yaml": {Data: []byte("house: Lodehavn\n")}}
	write := func(name, text string) { fsys["recipes/"+name+".yaml"] = &fstest.MapFile{Data: []byte(text)} }
	write("a", "recipe: crumble\ningredients:\n  - rye: 200 g\n")
	write("b", "recipe: crumble\ningredients:\n  - rye: 300 g\n")
	write("base", "recipe: tart\ningredients:\n  - crumble: 100 g\n  - pear: 50 g\n")
	write("variant", "recipe: walnut tart\nbased on: tart\nchange: {pear: 60 g}\n")
	for i := range 6 { // so that less than half of the book changes
		write(fmt.Sprint("other", i), fmt.Sprintf("recipe: sorrel %d\ningredients:\n  - sorrel: 10 g\n", i))
	}
	like, rs := input(fsys), readings{}
	was := kb.Build(context.Background(), rs.input(fsys, like))
	write("variant", "recipe: walnut tart\nbased on: tart\nchange: {pear: 70 g}\n")
	in := rs.input(fsys, like)
	if d := cmp.Diff(told(kb.Build(context.Background(), in)), told(kb.Rebuild(context.Background(), was, in))); d != "" {
		t.Error(d)
	}
}
