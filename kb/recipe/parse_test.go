package recipe

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
	"tamis/kb/yamldoc"
)

var update = flag.Bool("update", false, "write the golden files anew")

func mustParse(t *testing.T, path string) *Recipe {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	r, faults := Parse(filepath.Base(path), data, quantity.Metric)
	if len(faults) > 0 {
		t.Fatalf("%s: %v", path, faults)
	}
	return r
}

// noPos leaves places out of a comparison.
var noPos = cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Pos" }, cmp.Ignore())

func text(a Amount, s string) Amount {
	a.Text = s
	return a
}

// The recipe that the description of the format shows, every key of it.
func TestParseFormatRecipe(t *testing.T) {
	got := mustParse(t, "testdata/book/recipes/brown-butter-ice-cream.yaml")
	yes := true
	start := text(measured("1", "1", quantity.G), "1 g")
	written := map[string]bool{}
	for _, k := range recipeKeys {
		written[k] = k != "plate" && k != "based on" && k != "change"
	}
	for k, w := range written {
		if !w {
			delete(written, k)
		}
	}
	want := &Recipe{
		Name: "brown butter ice cream", Also: []string{"ice cream base", "house ice cream"}, Section: "pastry",
		Makes: &Makes{Text: "20 pieces of 50 g", Mass: qty("1000", quantity.G), Count: num("20"), Piece: "piece", Each: qty("50", quantity.G)},
		Loss:  *qty("2", quantity.Percent),
		Lines: []Line{
			{Name: "milk", Amount: text(measured("540", "540", quantity.G), "540 g")},
			{Name: "cream 35 %", Amount: text(measured("170", "170", quantity.G), "170 g")},
			{Name: "egg yolk", Amount: text(measured("96", "96", quantity.G), "96 g")},
			{Name: "sugar", Amount: text(measured("88", "88", quantity.G), "88 g"), Note: "half with the yolks"},
			{Name: "dextrose", Amount: text(measured("35", "35", quantity.G), "35 g")},
			{Name: "brown butter", Amount: text(measured("70", "70", quantity.G), "70 g")},
			{Name: "stabiliser", Amount: text(percent("0.4", "0.4", "milk"), "0.4 % of milk")},
			{Name: "salt", Amount: Amount{Kind: ToTaste, Start: &start, Text: "to taste, start 1 g"}},
		},
		Method: []Step{
			{Verb: "boil", Words: "milk, cream, half the sugar", Uses: []Use{{Name: "sugar", Share: num("1/2")}}},
			{Verb: "cook", Words: "over the yolks, stirring all the time", To: &Target{Text: "84 °C", Temperature: qty("84", quantity.Celsius)},
				Hold: &Span{Text: "15 s", Exact: minutes("0.25"), Unit: quantity.Second}},
			{Verb: "rest", Words: "covered, label it", Where: "fridge", For: &Span{Text: "at least 8 h", Min: minutes("480"), Unit: quantity.Hour}},
			{Verb: "churn", Words: "in batches", In: "batch freezer", For: &Span{Text: "12 min", Exact: minutes("12"), Unit: quantity.Minute},
				Hands: qty("4", quantity.Minute)},
			{Verb: "freeze", Words: "piped", Where: "freezer", Until: "core -18 °C", UntilCore: qty("-18", quantity.Celsius),
				For: &Span{Text: "at least 6 h", Min: minutes("360"), Unit: quantity.Hour}},
		},
		Keeps: []Keep{
			{Text: "14 days in freezer", Time: qty("14", quantity.Day), Where: "freezer"},
			{Text: "24 h in fridge after thaw", Time: qty("24", quantity.Hour), Where: "fridge", After: "thaw"},
			{Text: "never refreeze"},
		},
		Cautions: []string{"lightly cooked egg"}, Notes: "free text", Written: written,
		Season: &Season{Text: "1 Sep to 30 Nov", FromMonth: 9, FromDay: 1, ToMonth: 11, ToDay: 30},
		Instead: []Instead{
			{Line: "walnuts", Name: "sorrel tuile", Amount: text(pieces("1", "1", "each"), "1 each"), Text: "sorrel tuile 1 each"},
			{Line: "milk", NotPossible: true, Text: "not possible"},
		},
		Spare: *qty("8", quantity.Percent), Density: qty("1.05", quantity.GPerML), Overrun: qty("30", quantity.Percent),
		SharedWith: []Allergen{{"nuts", ""}}, Suits: []string{"vegetarian"}, SuitsStated: true,
		If: []Remedy{{"grainy", "blend at 40 °C, chill again"}}, Pours: &yes, Picture: "ice-cream.jpg",
	}
	if diff := cmp.Diff(want, got, same, noPos); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if p := got.Lines[3].Pos; p != (Pos{"brown-butter-ice-cream.yaml", 10, 5}) {
		t.Errorf("the sugar stands at %+v", p)
	}
}

func TestParseMethodAndLines(t *testing.T) {
	r := mustParse(t, "testdata/book/recipes/pear-compote.yaml")
	steps := []Step{
		{Verb: "hold", Words: "the pears in water", For: &Span{Text: "at most 20 min", Max: minutes("20"), Unit: quantity.Minute}},
		{Verb: "simmer", Words: "lid ajar", In: "wide pan", Of: []string{"pear", "sugar"}, To: &Target{Text: "half", Half: true},
			StirEvery: qty("5", quantity.Minute), Caution: "it spits"},
		{Verb: "reduce", Words: "to a thick syrup", From: qty("1.1", quantity.KG), To: &Target{Text: "65 °Bx", Brix: qty("65", quantity.BrixDegree)},
			At: &Place{Text: "104 °C to 106 °C", Temperature: qty("104", quantity.Celsius), Hi: qty("106", quantity.Celsius)}},
		{Verb: "bake", Words: "in the moulds", At: &Place{Text: "150 °C fan", Temperature: qty("150", quantity.Celsius)},
			Until: "core 78 °C", UntilCore: qty("78", quantity.Celsius), For: &Span{Text: "1 h 30 min", Exact: minutes("90"), Unit: quantity.Hour},
			With: "steam 30 %", Humidity: "30 %", Speed: "2"},
		{Verb: "proof", Words: "covered", At: &Place{Text: "room"},
			Ahead: &Span{Text: "1 day to 3 days", Min: minutes("1440"), Max: minutes("4320"), Unit: quantity.Day},
			Uses:  []Use{{Name: "pectin", Share: num("1")}, {Name: "lemon juice", Mass: qty("5", quantity.G)}, {Name: "vanilla", Share: num("1/2")}}},
	}
	if diff := cmp.Diff(steps, r.Method, same, noPos); diff != "" {
		t.Errorf("method (-want +got):\n%s", diff)
	}
	if l := r.Lines[6]; l.Name != "walnut core" || !l.Bought {
		t.Errorf("bought line: %+v", l)
	}
	if l := r.Lines[0]; l.Prep != "peeled" || l.Part != "fruit" || !l.Amount.Lo.Equal(num("1.2")) {
		t.Errorf("line: %+v", l)
	}
	if !r.SuitsStated || len(r.Suits) != 0 || r.Loss.Unit.Dim != quantity.Mass || len(r.Keeps) != 1 || len(r.Also) != 1 {
		t.Errorf("%+v", r)
	}
}

func TestParsePlate(t *testing.T) {
	r := mustParse(t, "testdata/book/recipes/parfait-plate.yaml")
	want := []Line{
		{Name: "brown butter parfait", Amount: text(pieces("1", "1", "each"), "1 each"),
			Out: &Span{Text: "30 min to 60 min, never over 90 min", Min: minutes("30"), Max: minutes("60"), Never: minutes("90"), Unit: quantity.Minute}},
		{Name: "buckwheat tuile", Amount: text(pieces("1", "1", "each"), "1 each"), On: "brown butter parfait",
			Out: &Span{Text: "at most 8 min", Max: minutes("8"), Unit: quantity.Minute}},
		{Name: "sorrel", Amount: text(pieces("3", "3", "leaves"), "3 leaves"), On: "buckwheat tuile", As: "sorrel tops"},
	}
	if diff := cmp.Diff(want, r.Lines, same, noPos); diff != "" || !r.IsPlate || !r.Makes.IsCovers() {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// Forms that stand in the description of the format as words, one by one.
func TestParseForms(t *testing.T) {
	const head = "recipe: x\ningredients:\n  - milk: 100 g\n  - walnuts: 5 g\n"
	for _, in := range []string{
		"loss: 40 g", "makes: 1 frame of 36 x 28 x 2 cm", "season: 1 Nov to 28 Feb", "instead: {milk: {oat drink: 100 g}}", "instead: [{walnuts: cream 35 % 100 g}]",
		"instead: [{walnuts: pecans}]", "keeps: 3 days", "keeps:", "also:", "notes: |\n  one\n  two", "if: {grainy: blend}", "pours: no", "spare: 0 %",
		"method:\n  - strain: it\n    from: 100 g\n    to: 80 g", "method:\n  - boil: it\n    of: [milk, walnuts]\n    to: 80 g",
		"method:\n  - bake: it\n    at: 350 °F", "method:\n  - bake: it\n    at: oven, 160 °C", "method:\n  - bake: it\n    at: 160-170 °C",
		"method:\n  - chill: it\n    to: -18 °C", "method:\n  - cook: it\n    to: 82 °C to 84 °C", "method:\n  - cook: it\n    to: 82-84 °C",
		"method:\n  - cook:\n    for: 3 min\n    hold: 8 h to 24 h", "method:\n  - cook: it\n    until: thick", "method:\n  - mix: it\n    uses: {milk: 1/3}",
		"made with shared: [nuts (walnut), milk]", "suits: []",
	} {
		if _, faults := Parse("x.yaml", []byte(head+in+"\n"), quantity.Metric); len(faults) > 0 {
			t.Errorf("%q: %v", in, faults)
		}
	}
}

func TestKeepsInWords(t *testing.T) {
	r := parse(t, "x.yaml", "recipe: x\ningredients:\n  - milk: 1 g\nkeeps: 3 days in fridge, 14 days in freezer, never refreeze\n")
	if len(r.Keeps) != 3 || r.Keeps[1].Where != "freezer" || r.Keeps[2].Text != "never refreeze" {
		t.Errorf("%+v", r.Keeps)
	}
}

// Each faulty file in testdata/faults gives the lines of its golden file.
func TestFaultsGolden(t *testing.T) {
	files, err := filepath.Glob("testdata/faults/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no files", err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			var faults []Fault
			var b strings.Builder
			if strings.HasPrefix(filepath.Base(file), "house") {
				_, faults = ParseHouse(filepath.Base(file), data)
			} else {
				var r *Recipe
				r, faults = Parse(filepath.Base(file), data, quantity.Metric)
				if r == nil {
					fmt.Fprintln(&b, "no name")
				} else {
					fmt.Fprintf(&b, "%s, also %q\n", r.Name, r.Also)
				}
			}
			for _, f := range faults {
				fmt.Fprintf(&b, "%s [%s, %s]\n", f, f.Level, f.Code)
			}
			golden := strings.TrimSuffix(file, ".yaml") + ".txt"
			if *update {
				if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), b.String()); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// A file that is no YAML keeps its name; one without a name has no recipe.
func TestNameOfBrokenFile(t *testing.T) {
	for in, want := range map[string]string{
		"recipe: pear compote\nnotes: a: b\n":                    "pear compote",
		"\uFEFFrecipe: \"pear  compote\" # ours\nnotes: [\n":     "pear compote",
		"also: [x\nrecipe: crème\r\n":                            "crème",
		"recipe: caf\xe9\n":                                      "caf",
		"notes: [\n":                                             "",
		"recipe: a\nrecipe: b\nx: [":                             "a",
		"recipe: " + strings.Repeat("long ", 100) + "\nnotes: [": "",
		"# recipe: no\nnotes: [\n  recipe: no\n":                 "",
		"recipe: big\n" + strings.Repeat("x", MaxRecipeBytes):    "big",
	} {
		r, faults := Parse("x.yaml", []byte(in), quantity.Metric)
		got := ""
		if r != nil {
			got = r.Name
		}
		if got != want || len(faults) == 0 {
			t.Errorf("%.40q is %q, want %q (%d faults)", in, got, want, len(faults))
		}
		for _, f := range faults {
			if f.Recipe != got {
				t.Errorf("%.40q: the fault is of %q", in, f.Recipe)
			}
		}
	}
}

// A faulty recipe keeps its names and what could be read.
func TestFaultyRecipeKeepsNames(t *testing.T) {
	r, faults := Parse("x.yaml", []byte("recipe: pear compote\nalso: [pear jam]\ningredients:\n  - pear: 1,200 g\n  - sugar: 80 g\n"), quantity.Metric)
	if r == nil || r.Name != "pear compote" || len(r.Also) != 1 || len(r.Lines) != 2 || len(faults) != 1 {
		t.Fatalf("%+v %v", r, faults)
	}
	if f := faults[0]; f.Line != 4 || f.Column != 11 || f.Code != CodeAmbiguous || f.Recipe != "pear compote" || f.Level != LevelFault {
		t.Errorf("%+v", f)
	}
}

// CRLF and a byte order mark change nothing.
func TestLineEnds(t *testing.T) {
	data, err := os.ReadFile("testdata/book/recipes/pear-compote.yaml")
	if err != nil {
		t.Fatal(err)
	}
	plain, _ := Parse("x.yaml", data, quantity.Metric)
	dos, faults := Parse("x.yaml", append([]byte("\uFEFF"), bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n"))...), quantity.Metric)
	if diff := cmp.Diff(plain, dos, same); diff != "" || len(faults) > 0 {
		t.Errorf("%v %s", faults, diff)
	}
}

// Hostile recipes give a fault and no more than a few hundred.
func TestHostileRecipes(t *testing.T) {
	const head = "recipe: x\ningredients:\n  - milk: 1 g\n"
	for name, in := range map[string]string{
		"oversize":       head + "notes: " + strings.Repeat("x", MaxRecipeBytes),
		"NUL":            head + "notes: \x00",
		"no UTF-8":       head + "notes: \xff",
		"brackets":       head + "notes: " + strings.Repeat("[", 100_000),
		"aliases":        "recipe: &a x\nalso: [*a, *a, *a]\ningredients:\n  - milk: 1 g\n",
		"bad lines":      "recipe: x\ningredients:\n" + strings.Repeat("  - milk: 1,200 g\n", 10_000),
		"bad names":      head + "method:\n" + strings.Repeat("  - mix: it\n    of: [a]\n", 5_000),
		"bad percents":   "recipe: x\ningredients:\n" + strings.Repeat("  - a: 1 % of b + c + d\n", 5_000),
		"unknown keys":   head + strings.Repeat("zz", 1000) + ": 1\n",
		"a huge amount":  "recipe: x\ningredients:\n  - milk: " + strings.Repeat("9", 100_000) + "\n",
		"a huge makes":   head + "makes: " + strings.Repeat("1/", 50_000) + "\n",
		"a huge name":    "recipe: x\ningredients:\n  - " + strings.Repeat("n", 100_000) + ": 3 h\n",
		"a huge list":    "recipe: x\nkeeps: [" + strings.Repeat("1 x,", 50_000) + "]\n",
		"a huge instead": head + "instead: [{milk: \"" + strings.Repeat("1 ", 100_000) + "1,200\"}]\n",
		"huge change":    "recipe: x\nbased on: y\nchange: {" + strings.Repeat("\"", 2) + ": 1, a: {" + strings.Repeat("b: 1,", 40_000) + "}}\n",
	} {
		t.Run(name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			_, faults := Parse("x.yaml", []byte(in), quantity.Metric)
			runtime.ReadMemStats(&after)
			if mib := (after.TotalAlloc - before.TotalAlloc) >> 20; mib > 200 { // all that was ever allocated
				t.Errorf("%d MiB for a file of %d KiB", mib, len(in)>>10)
			}
			if len(faults) == 0 {
				t.Fatal("no fault")
			}
			total := 0
			for _, f := range faults {
				total += len(f.Text) + len(f.Write)
			}
			if len(faults) > 2*yamldoc.MostFaults || total > 1<<20 {
				t.Errorf("%d faults, %d bytes", len(faults), total)
			}
		})
	}
}

func FuzzParseRecipe(f *testing.F) {
	files, _ := filepath.Glob("testdata/*/*.yaml")
	more, _ := filepath.Glob("testdata/*/*/*.yaml")
	for _, file := range append(files, more...) {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, faults := Parse("x.yaml", data, quantity.Metric)
		if r == nil && len(faults) == 0 {
			t.Fatal("neither a recipe nor a fault")
		}
		for i, fault := range faults {
			if fault.Text == "" || fault.Write == "" || fault.Code == "" || fault.File != "x.yaml" || fault.Level == "" {
				t.Fatalf("says too little: %+v", fault)
			}
			if i > 0 && fault.Line < faults[i-1].Line {
				t.Fatal("faults out of order")
			}
		}
		if r == nil || len(faults) > 0 {
			return
		}
		if r.BasedOn == "" && len(r.Lines) == 0 {
			t.Fatal("no lines and no fault")
		}
		for _, l := range r.Lines {
			if l.Name == "" || l.Amount.Kind == NoAmount {
				t.Fatalf("half a line: %+v", l)
			}
		}
		for _, s := range r.Method {
			if s.Verb == "" {
				t.Fatalf("a step without a verb: %+v", s)
			}
		}
	})
}

func BenchmarkParse(b *testing.B) {
	data, err := os.ReadFile("testdata/book/recipes/brown-butter-ice-cream.yaml")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		if _, faults := Parse("x.yaml", data, quantity.Metric); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
}
