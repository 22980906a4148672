package intake

import (
	"encoding/csv"
	"fmt"
	"os"
	"strings"
	"testing"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

func TestReadLine(t *testing.T) {
	for _, c := range []struct{ in, amount, name, note string }{
		{"200g caster sugar, sifted", "200 g", "caster sugar", "sifted"},
		{"1 1/2 cups buckwheat flour", "1.5 cups", "buckwheat flour", ""},
		{"1½ cups buckwheat flour", "1.5 cups", "buckwheat flour", ""},
		{"2-3 tbsp walnut oil", "2-3 tbsp", "walnut oil", ""},
		{"- 3 egg yolks (large)", "3", "egg yolks", "large"},
		{"2 cloves of garlic", "2 cloves", "garlic", ""},
		{"2 (400 g) tins pears, drained", "2 tins (400 g each)", "pears", "400 g, drained"},
		{"salt to taste", "to taste", "salt", "to taste"},
		{"1⁄2 cup pears, diced", "0.5 cups", "pears", "diced"},
		{"sorrel", "", "sorrel", ""},
		{"a pinch of salt", "a pinch", "salt", ""},
		{"Pinch of ground mace, fresh", "a pinch", "ground mace", "fresh"},
	} {
		l := ReadLine(c.in)
		if l.Amount != c.amount || l.Name != c.name || l.Note != c.note {
			t.Errorf("%s: %q of %q, %q", c.in, l.Amount, l.Name, l.Note)
		}
	}
}

// TestReadTextWhole parts a pasted recipe into its name, what it makes, lines and steps.
func TestReadTextWhole(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"sorrel cake\nMakes 24 pieces\n\n250g plain flour, sifted\na pinch of salt\n1.5 tsp honey\n\n1. Whisk it.\n2) Bake at 170 °C for 35 min.",
			"recipe: sorrel cake\ningredients:\n  - plain flour:\n      amount: 250 g\n      note: sifted\n  - salt: a pinch\n  - honey: 1.5 tsp\nmakes: 24 pieces\nmethod:\n  - whisk: it.\n  - bake: at 170 °C for 35 min.\n"},
		{"pear pie\nserves 4\n1. 200 g flour\n2 pears", "recipe: pear pie\ningredients:\n  - 200 g flour: 1 # ? a count without a weight\n  - pears: 2 # ? a count without a weight\nmakes: 4 portions\n"},
		{"pear pie\nmakes 2 tins\n200 g flour", "recipe: pear pie\ningredients:\n  - flour: 200 g\nmakes: 2 tins\n"},
	} {
		d, err := ReadText(c.in)
		if err != nil {
			t.Fatal(err)
		}
		got, err := d.YAML()
		if err != nil || got != c.want {
			t.Errorf("%q: %v\n%s", c.in, err, got)
		}
	}
}

// TestLabelledLines measures the reader against open lines with hand-made labels:
// TASTEset (see testdata/ingredient-lines.csv for citation and licence).
func TestLabelledLines(t *testing.T) {
	data, err := os.ReadFile("testdata/ingredient-lines.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(data)))
	r.Comment, r.LazyQuotes = '#', true
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	var q, u, n, several rate
	for _, row := range rows[1:] {
		get := func(c string) string { return row[col[c]] }
		l := ReadLine(get("text"))
		if get("multiple_foods") != "" {
			several.add(true, len(l.Doubts) > 0, len(l.Doubts) > 0)
			continue
		}
		q.add(get("quantity") != "", l.Number != "", sameNumber(get("quantity"), l.Number))
		u.add(get("unit") != "", l.Unit != "", strings.EqualFold(get("unit"), l.Unit))
		if testing.Verbose() && (get("quantity") != l.Number && !sameNumber(get("quantity"), l.Number) || !strings.EqualFold(get("unit"), l.Unit)) {
			t.Logf("amount: %q read as %q %q, labelled %q %q", get("text"), l.Number, l.Unit, get("quantity"), get("unit"))
		}
		right := strings.Contains(" "+name.Fold(l.Name)+" ", " "+name.Fold(get("food"))+" ")
		n.add(get("food") != "", l.Name != "", right)
		if !right && testing.Verbose() {
			t.Logf("name: %q read as %q, labelled %q", get("text"), l.Name, get("food"))
		}
	}
	t.Logf("quantity %s; unit %s; name %s; lines of several foods with a doubt %s", q, u, n, several)
	if q.precision() < 0.95 || q.recall() < 0.94 || u.precision() < 0.95 || u.recall() < 0.92 || n.recall() < 0.98 {
		t.Error("the reader reads worse than it did")
	}
}

type rate struct{ labelled, read, right int }

func (r *rate) add(labelled, read, right bool) {
	if labelled {
		r.labelled++
	}
	if read {
		r.read++
	}
	if labelled && read && right {
		r.right++
	}
}

func (r rate) precision() float64 { return float64(r.right) / float64(max(1, r.read)) }
func (r rate) recall() float64    { return float64(r.right) / float64(max(1, r.labelled)) }
func (r rate) String() string {
	return fmt.Sprintf("precision %.1f %%, recall %.1f %%", 100*r.precision(), 100*r.recall())
}

func sameNumber(a, b string) bool {
	clean := func(s string) string { return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u2044", "/")), "") }
	if clean(a) == clean(b) {
		return true
	}
	x, i, err1 := quantity.ReadNumber(strings.ReplaceAll(a, "\u2044", "/"), quantity.Chat)
	y, j, err2 := quantity.ReadNumber(b, quantity.Chat)
	return err1 == nil && err2 == nil && i == len(strings.ReplaceAll(a, "\u2044", "/")) && j == len(b) && x.Equal(y)
}

const aText = "Walnut paste:\n200 g walnuts, toasted\n2 tbsp honey\nGrind the walnuts and stir in the honey while they are warm.\n"

func TestReadText(t *testing.T) {
	d, err := ReadText(aText)
	if err != nil || d.Name != "Walnut paste" || len(d.Lines) != 2 || len(d.Steps) != 1 {
		t.Fatalf("%+v, %v", d, err)
	}
	text, err := d.YAML()
	if err != nil {
		t.Fatal(err)
	}
	r, faults := recipe.Parse("x.yaml", []byte(text), quantity.Metric)
	for _, f := range faults {
		if f.Level == recipe.LevelFault {
			t.Error(f)
		}
	}
	if r == nil || len(r.Lines) != 2 || r.Lines[0].Amount.Text != "200 g" || r.Lines[0].Note != "toasted" || r.Method[0].Verb != "grind" {
		t.Errorf("%s", text)
	}
}

func TestReadCSV(t *testing.T) {
	for _, text := range []string{
		"recipe,ingredient,amount,unit,part,price\ncrumble,buckwheat flour,200,g,,1\n,brown butter,120,g,top,2\ntart,pear,2,,,\n",
		"recipe;ingredient;amount;unit;part;price\ncrumble;buckwheat flour;200;g;;1\n;brown butter;120;g;top;2\ntart;pear;2;;;\n",
	} {
		ds, err := ReadCSV(text)
		if err != nil || len(ds) != 2 || len(ds[0].Lines) != 2 || ds[0].Lines[1].Part != "top" || ds[0].Lines[0].Amount != "200 g" || ds[1].Lines[0].Amount != "2" {
			t.Errorf("%+v, %v", ds, err)
		}
		if len(ds) > 0 && len(ds[0].Doubts) != 1 {
			t.Errorf("the column nobody reads is not said: %v", ds[0].Doubts)
		}
	}
	if _, err := ReadCSV("a,b\n1,2\n"); err == nil {
		t.Error("a table without ingredients")
	}
}

func TestJSONLD(t *testing.T) {
	in := "recipe: pear glaze\nalso: [glaze]\nsection: pastry\nmakes: 400 g\ningredients:\n  - pear juice: 300 g\n  - honey: {amount: 40 g, note: dark}\nmethod:\n  - boil: all of it\n    to: 104 °C\n"
	r, _ := recipe.Parse("x.yaml", []byte(in), quantity.Metric)
	data, err := WriteJSONLD(r)
	if err != nil {
		t.Fatal(err)
	}
	ds, err := ReadJSONLD(data)
	if err != nil || len(ds) != 1 {
		t.Fatal(err)
	}
	d := ds[0]
	if d.Name != "pear glaze" || d.Makes != "400 g" || len(d.Lines) != 2 || d.Lines[1].Amount != "40 g" || d.Lines[1].Name != "honey" || d.Lines[1].Note != "dark" || len(d.Steps) != 1 {
		t.Errorf("%+v", d)
	}
	graph := `{"@context":"https://schema.org","@graph":[{"@type":"WebPage"},{"@type":["Recipe","Thing"],"name":"x","recipeYield":["4","4 portions"],"recipeIngredient":"1 pear",
"recipeInstructions":[{"@type":"HowToSection","itemListElement":[{"@type":"HowToStep","text":"Peel it."}]}]}]}`
	if ds, err = ReadJSONLD([]byte(graph)); err != nil || len(ds) != 1 || ds[0].Makes != "4 portions" || len(ds[0].Steps) != 1 || len(ds[0].Lines) != 1 {
		t.Errorf("%+v, %v", ds, err)
	}
	if _, err := ReadJSONLD([]byte(`{"@type":"Person"}`)); err == nil {
		t.Error("a person is no recipe")
	}
}

// FuzzIntake reads anything; a draft that can be written is a file the book can read.
func FuzzIntake(f *testing.F) {
	f.Add(aText)
	f.Add("recipe,ingredient,amount\nx,y,1 g\n")
	f.Add(`{"@type":"Recipe","name":"a","recipeIngredient":["1 g b"]}`)
	f.Add("x\n1 g a: b # c\n")
	f.Fuzz(func(t *testing.T, s string) {
		var all []Draft
		if d, err := ReadText(s); err == nil {
			all = append(all, d)
		}
		if ds, err := ReadCSV(s); err == nil {
			all = append(all, ds...)
		}
		if ds, err := ReadJSONLD([]byte(s)); err == nil {
			all = append(all, ds...)
		}
		for i := range all {
			text, err := all[i].YAML()
			if err != nil {
				continue
			}
			if _, err := recipe.NewText([]byte(text)); err != nil && !strings.Contains(err.Error(), "stands twice") && !strings.Contains(err.Error(), "or null") {
				t.Fatalf("%v\n%s", err, text)
			}
		}
	})
}
