package kb_test

import (
	"context"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"
	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

func build(in kb.Input) *kb.Snapshot { return kb.Build(context.Background(), in) }

// input parses a book's files the way the store does, in order of path.
func input(fsys fstest.MapFS) kb.Input {
	var in kb.Input
	var m quantity.Measure
	if f := fsys["house.yaml"]; f != nil {
		var faults []recipe.Fault
		in.House, faults = recipe.ParseHouse("house.yaml", f.Data)
		in.Faults = append(in.Faults, faults...)
		m = in.House.Spoons
	}
	var items []*larder.Item
	if f := fsys["larder.yaml"]; f != nil {
		var faults []recipe.Fault
		items, faults = larder.Parse("larder.yaml", f.Data)
		in.Faults = append(in.Faults, faults...)
	}
	in.Larder = larder.New(items)
	paths, _ := fs.Glob(fsys, "recipes/*.yaml")
	for _, p := range paths {
		r, faults := recipe.Parse(p, fsys[p].Data, m)
		in.Recipes = append(in.Recipes, kb.File{Path: p, Recipe: r, Faults: faults})
	}
	return in
}

func madeInput(t testing.TB, n int) kb.Input {
	t.Helper()
	files := []string{testHouse, testLarder}
	for i := range n {
		f := fmt.Sprintf("recipes/%03d.yaml\nrecipe: dish %d\nalso: [thing %d]\nmakes: %d pieces\ningredients:\n  - house milk: %d g\n", i, i, i%7, 1+i%5, 100+i)
		if i > 0 {
			f += fmt.Sprintf("  - dish %d: 1 piece\n  - thing %d: 3 g\n", (i*i)%i, i%9)
		}
		files = append(files, f)
	}
	return input(book(files...))
}

// drawnBook draws a small book in which all may go wrong: names twice, aliases
// shared, circles, amounts of every form, losses, reductions, variants.
func drawnBook(t *rapid.T) fstest.MapFS {
	n := rapid.IntRange(1, 9).Draw(t, "recipes")
	fsys := book(testHouse, testLarder)
	rarely := func(label string) bool { return rapid.IntRange(0, 24).Draw(t, label) == 17 } // rapid likes small numbers
	from := func(label string, usual []string, odd ...string) string {
		if rarely("odd " + label) {
			return rapid.SampledFrom(odd).Draw(t, label)
		}
		return rapid.SampledFrom(usual).Draw(t, label)
	}
	for i := range n {
		var b strings.Builder
		k := i
		if rarely("twin") {
			k = 0
		}
		fmt.Fprintf(&b, "recipe: dish %d\n", k)
		if rarely("also") {
			fmt.Fprintf(&b, "also: [alias %d]\n", rapid.IntRange(0, 1).Draw(t, "alias"))
		}
		b.WriteString(from("makes", []string{"", "makes: 12 pieces\n", "makes: 6 loaves of 90 g\n", "makes: fill 24 of dome 45\n"},
			"makes: fill 24 of dome 45 around 24 of core 25\n", "makes: fill 2 of dome 99\n", "makes: 900 g\n"))
		b.WriteString(from("loss", []string{"", "", "loss: 10 %\n", "loss: 7 g\n"}, "loss: 99.9 %\n"))
		b.WriteString(from("density", []string{"", "density: 1.1 g/ml\n", "density: 1.1 g/ml\noverrun: 30 %\n"}, "density: 0 g/ml\n"))
		if rapid.IntRange(0, 7).Draw(t, "variant") == 5 {
			fmt.Fprintf(&b, "based on: dish %d\nchange: {house milk: %d g, house leaf: 3 g}\n", rapid.IntRange(0, 9).Draw(t, "base"), rapid.IntRange(1, 99).Draw(t, "g"))
		} else {
			b.WriteString("ingredients:\n")
			if !rarely("parts") {
				fmt.Fprintf(&b, "  - house milk: %d g\n", rapid.IntRange(300, 900).Draw(t, "g"))
			}
			for range rapid.IntRange(0, 5).Draw(t, "lines") {
				what := from("what", []string{"house sugar", "house leaf", "house herb", "moon dust"}, "alias 0", "alias 1", "bought dish 1", "dish 5", "house milk")
				forms := []string{"120 g", "0.35 kg", "3-4 g", "1/3 kg", "2 dl", "3 pieces", "1", "2-3 leaves", "5 dots (2 g each)", "to taste", "to taste, start 10 g", "2 % of house milk", "1.5 % of liquids", "a pinch"}
				if i > 0 && rapid.Bool().Draw(t, "link") {
					what = fmt.Sprintf("dish %d", rapid.IntRange(0, i-1).Draw(t, "to"))
					forms = []string{"120 g", "30-40 g", "1/7 kg", "2 dl", "5 dots (2 g each)", "2 % of house milk", "3 each"}
				}
				fmt.Fprintf(&b, "  - %s: %s\n", what, from("amount", forms, "3 slices", "2 parts", "1,200 g"))
			}
		}
		b.WriteString(from("method", []string{"", "", "method:\n  - reduce: it\n    from: 300 g\n    to: 200 g\n", "method:\n  - reduce: it\n    of: [house milk]\n    to: half\n    in: wide pan\n"},
			"method:\n  - boil: it\n    to: 60 °Bx\n    from: 120 g\n", "method:\n  - boil: it\n    in: nowhere\n"))
		fsys[fmt.Sprintf("recipes/%d.yaml", i)] = &fstest.MapFile{Data: []byte(b.String())}
	}
	return fsys
}

type tb interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

// checkSnapshot checks what holds of every book, however wrong.
func checkSnapshot(t tb, in kb.Input, s *kb.Snapshot) {
	t.Helper()
	good := map[*kb.Recipe]bool{}
	for _, r := range s.Recipes {
		good[r] = true
	}
	named := 0
	for _, f := range in.Recipes {
		if f.Recipe != nil && len(s.RecipesNamed(f.Recipe.Name)) == 0 && len(s.OutNamed(f.Recipe.Name)) == 0 && foldable(f.Recipe.Name) {
			t.Errorf("%s is neither in nor out", f.Path)
		}
		if f.Recipe != nil && foldable(f.Recipe.Name) {
			named++
		}
	}
	if named != len(s.Recipes)+len(s.Out) {
		t.Errorf("%d files with names, %d in, %d out", named, len(s.Recipes), len(s.Out))
	}
	for _, o := range s.Out {
		if len(o.Faults) == 0 {
			t.Errorf("%q is out for no reason", o.Name)
		}
		for _, f := range o.Faults {
			if f.Level != recipe.LevelFault || f.Text == "" || f.Write == "" || f.File == "" || f.Code == "" {
				t.Errorf("a fault says too little: %+v", f)
			}
		}
	}
	state := map[*kb.Recipe]int{}
	var visit func(r *kb.Recipe)
	visit = func(r *kb.Recipe) {
		switch state[r] {
		case 1:
			t.Fatalf("a circle of links through %q", r.Name)
		case 2:
			return
		}
		state[r] = 1
		for i, l := range r.Lines {
			if f := r.Formula.Lines[i]; (l.Link == nil) != (f.Link == nil) || l.Link != nil && l.Link.Formula != f.Link {
				t.Errorf("%q line %d: formula and recipe do not agree on the link", r.Name, i)
			}
			if l.Link == nil {
				continue
			}
			if !good[l.Link] || !slices.Contains(s.UsedIn(l.Link), r) {
				t.Errorf("%q draws on %q, which is not in or does not know it", r.Name, l.Link.Name)
			}
			visit(l.Link)
		}
		state[r] = 2
	}
	for _, r := range s.Recipes {
		visit(r)
		checkMass(t, r)
	}
}

func foldable(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool { return r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' })
}

// checkMass works the finished mass of r out again from its lines: the whole
// is the sum of its parts, through links too.
func checkMass(t tb, r *kb.Recipe) {
	t.Helper()
	f := r.Formula
	var sum quantity.Number
	for i, l := range r.Lines {
		if l.Link != nil && l.HasGrams && f.Lines[i].ByPieces && l.MassFrom == "calculated" {
			want := l.Link.Finished.Div(l.Link.Formula.Pieces).Mul(f.Lines[i].Count)
			if !l.Grams.Equal(want) {
				t.Errorf("%q: %s of %q weigh %s g, not %s", r.Name, f.Lines[i].Count, l.Link.Name, want, l.Grams)
			}
		}
		if l.HasGrams && !f.Lines[i].Core {
			sum = sum.Add(l.Grams)
		}
	}
	one := quantity.Int(1)
	want := sum.Sub(quantity.Sum(f.Steps...)).Mul(one.Sub(f.LossShare)).Sub(f.LossMass)
	if f.HasStated {
		want = f.Stated
	}
	if r.HasFinished && !r.Finished.Equal(want) {
		t.Errorf("%q: finished %s g, its parts come to %s", r.Name, r.Finished, want)
	}
	if !r.HasFinished || r.Finished.Sign() > 0 {
		return
	}
	t.Errorf("%q weighs %s g", r.Name, r.Finished)
}

func TestDrawnBooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := input(drawnBook(t))
		s := build(in)
		checkSnapshot(t, in, s)
		if a, b := checkLines(s), checkLines(build(in)); a != b {
			t.Errorf("twice the same book, not the same:\n%s\n%s", a, b)
		}
	})
}

// Where nothing is lost on the way, what a batch needs of plain ingredients
// through all levels weighs what the batch weighs.
func TestWholeIsSumOfLeaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "recipes")
		files := []string{testHouse, testLarder}
		for i := range n {
			var b strings.Builder
			fmt.Fprintf(&b, "recipes/%d.yaml\nrecipe: dish %d\nmakes: %d pieces\ningredients:\n  - house milk: %d g\n", i, i, rapid.IntRange(1, 40).Draw(t, "pieces"), rapid.IntRange(1, 900).Draw(t, "g"))
			for range rapid.IntRange(0, 4).Draw(t, "lines") {
				amount := rapid.SampledFrom([]string{"%d g", "%d pieces", "%d each", "%d/7 kg"}).Draw(t, "form")
				what := rapid.SampledFrom([]string{"house sugar", "house leaf"}).Draw(t, "what")
				if i > 0 && rapid.Bool().Draw(t, "link") {
					what = fmt.Sprintf("dish %d", rapid.IntRange(0, i-1).Draw(t, "to"))
				} else if what == "house sugar" {
					amount = "%d g"
				}
				fmt.Fprintf(&b, "  - %s: "+amount+"\n", what, rapid.IntRange(1, 30).Draw(t, "n"))
			}
			files = append(files, b.String())
		}
		s := build(input(book(files...)))
		if len(s.Recipes) != n {
			t.Fatalf("%v", s.Faults)
		}
		for _, r := range s.Recipes {
			roll, err := scale.RollUp(scale.Batch{Formula: r.Formula, Factor: quantity.Int(1)})
			if err != nil {
				t.Fatal(err)
			}
			var sum quantity.Number
			for _, l := range roll.Leaves() {
				if l.Link == nil {
					sum = sum.Add(l.Mass)
				}
			}
			if !sum.Equal(r.Finished) {
				t.Fatalf("%q weighs %s g, its leaves %s", r.Name, r.Finished, sum)
			}
		}
	})
}

func FuzzBuild(f *testing.F) {
	archives, err := filepath.Glob("testdata/check/*.txtar")
	if err != nil || len(archives) == 0 {
		f.Fatal("no archives", err)
	}
	for _, file := range archives {
		a, err := txtar.ParseFile(file)
		if err != nil {
			f.Fatal(err)
		}
		var house, stock []byte
		var recipes [][]byte
		for _, file := range a.Files {
			switch {
			case file.Name == "house.yaml":
				house = file.Data
			case file.Name == "larder.yaml":
				stock = file.Data
			case strings.HasSuffix(file.Name, ".yaml"):
				recipes = append(recipes, file.Data)
			}
		}
		for i := 0; i < len(recipes); i += 3 {
			var three [3][]byte
			copy(three[:], recipes[i:])
			f.Add(house, stock, three[0], three[1], three[2])
		}
	}
	f.Fuzz(func(t *testing.T, house, stock, a, b, c []byte) {
		fsys := fstest.MapFS{"house.yaml": {Data: house}, "larder.yaml": {Data: stock}}
		for i, data := range [][]byte{a, b, c} {
			fsys[fmt.Sprintf("recipes/%d.yaml", i)] = &fstest.MapFile{Data: data}
		}
		in := input(fsys)
		s := build(in)
		for i := range in.Recipes { // names without a Latin letter or digit: the count cannot be checked here
			if r := in.Recipes[i].Recipe; r != nil && !foldable(r.Name) {
				return
			}
		}
		checkSnapshot(t, in, s)
		s.Names()
	})
}
