package recipe

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/calc/quantity"
	"tamis/kb/yamldoc"
)

const handWritten = `# the house's own
recipe:  walnut   # since spring
also: [nut cream, "nut, ground"]
makes: 1.2 kg


ingredients:
  # first the wet
  - milk:   540 g      # whole milk, cold
  - "cream: whipped": '120 g'
  - sugar: {amount: 88 g, note: half with the yolks} # keep
  - salt:
      amount: 2 g
      part: glaze
      # even less is fine
  # then the dry
  - gelatine leaf: 2 leaves (4 g)
    
method:
  - cook: slowly
    to: 84 °C   # no more
  - {bake: dark, at: 160 °C}
  - rest: "for long"
    for: at least 8 h
notes: |
  first line
    # no comment
  last line
# the end
`

func hand(t *testing.T, s string) *Text {
	t.Helper()
	x, err := NewText([]byte(s))
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// Every edit changes the bytes it is about and no others.
func TestSplice(t *testing.T) {
	for _, c := range []struct {
		name     string
		edit     func(*Text) error
		old, new string // of the file; old "": new is inserted behind after
		after    string
	}{
		{"an amount", func(x *Text) error { return x.SetAmount(0, "500 g") }, "milk:   540 g      # whole", "milk:   500 g      # whole", ""},
		{"in quotes", func(x *Text) error { return x.SetAmount(1, "90 g") }, "'120 g'", "'90 g'", ""},
		{"in brackets", func(x *Text) error { return x.SetAmount(2, "80 g") }, "{amount: 88 g, note", "{amount: 80 g, note", ""},
		{"a decimal comma in brackets", func(x *Text) error { return x.SetAmount(2, "80,5 g") }, "{amount: 88 g, note", `{amount: "80,5 g", note`, ""},
		{"under the line", func(x *Text) error { return x.SetAmount(3, "3 g") }, "amount: 2 g\n", "amount: 3 g\n", ""},
		{"pieces", func(x *Text) error { return x.SetAmount(4, "3 leaves") }, "2 leaves (4 g)", "3 leaves", ""},
		{"a line at the end", func(x *Text) error { return x.AddLine("honey", "40 g", "") }, "", "  - honey: 40 g\n", "  - gelatine leaf: 2 leaves (4 g)\n"},
		{"a line in its part", func(x *Text) error { return x.AddLine("honey: dark", "40 g", "glaze") }, "", "  - \"honey: dark\": {amount: 40 g, part: glaze}\n", "      part: glaze\n"},
		{"a line less", func(x *Text) error { return x.RemoveLine(0) }, "  - milk:   540 g      # whole milk, cold\n", "", ""},
		{"a long line less", func(x *Text) error { return x.RemoveLine(3) }, "  - salt:\n      amount: 2 g\n      part: glaze\n", "", ""},
		{"a temperature", func(x *Text) error { return x.SetStep(0, "to", "82 °C") }, "to: 84 °C   #", "to: 82 °C   #", ""},
		{"an oven in brackets", func(x *Text) error { return x.SetStep(1, "at", "155 °C") }, "at: 160 °C}", "at: 155 °C}", ""},
		{"a time that was not there", func(x *Text) error { return x.SetStep(1, "for", "12 min") }, "at: 160 °C}", "at: 160 °C, for: 12 min}", ""},
		{"a place that was not there", func(x *Text) error { return x.SetStep(2, "where", "fridge") }, "", "    where: fridge\n", "    for: at least 8 h\n"},
		{"a time", func(x *Text) error { return x.SetStep(2, "for", "6 h") }, "for: at least 8 h", "for: 6 h", ""},
		{"a note less", func(x *Text) error { return x.RemoveKey("notes") }, "notes: |\n  first line\n    # no comment\n  last line\n", "", ""},
		{"a key less", func(x *Text) error { return x.RemoveKey("makes") }, "makes: 1.2 kg\n", "", ""},
		{"makes", func(x *Text) error { return x.SetKey("makes", "1.3 kg") }, "makes: 1.2 kg", "makes: 1.3 kg", ""},
		{"a key that was not there", func(x *Text) error { return x.SetKey("section", "pastry") }, "", "section: pastry\n", "  last line\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			old, fresh := c.old, c.new
			if c.after != "" {
				old, fresh = c.after, c.after+c.new
			}
			if strings.Count(handWritten, old) != 1 {
				t.Fatalf("%q stands %d times", old, strings.Count(handWritten, old))
			}
			for _, eol := range []string{"\n", "\r\n"} {
				for _, bom := range []string{"", "\uFEFF"} {
					was := bom + strings.ReplaceAll(handWritten, "\n", eol)
					x := hand(t, was)
					if err := c.edit(x); err != nil {
						t.Fatal(err)
					}
					want := bom + strings.ReplaceAll(strings.Replace(handWritten, old, fresh, 1), "\n", eol)
					if diff := cmp.Diff(want, string(x.Bytes())); diff != "" {
						t.Errorf("(-want +got):\n%s", diff)
					}
				}
			}
		})
	}
}

func TestRename(t *testing.T) {
	for _, c := range []struct{ old, want string }{
		{"recipe: crumble\nalso: [base crumble]\n" + oneLine, "recipe: buckwheat crumble\nalso: [base crumble, crumble]\n" + oneLine},
		{"recipe: crumble # ours\n" + oneLine, "recipe: buckwheat crumble # ours\nalso: [crumble]\n" + oneLine},
		{"also: base\nrecipe: crumble\n" + oneLine, "also: [base, crumble]\nrecipe: buckwheat crumble\n" + oneLine},
		{"recipe: crumble\nalso:\n  - base\n" + oneLine, "recipe: buckwheat crumble\nalso:\n  - base\n  - crumble\n" + oneLine},
		{"recipe: 'Crumbles'\nalso: [crumble]\n" + oneLine, "recipe: 'buckwheat crumble'\nalso: [crumble]\n" + oneLine},
		{"recipe: Buckwheat Crumbles\n" + oneLine, "recipe: buckwheat crumble\n" + oneLine},
	} {
		x := hand(t, c.old)
		if err := x.Rename("buckwheat crumble"); err != nil {
			t.Error(err)
		}
		if diff := cmp.Diff(c.want, string(x.Bytes())); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
	}
}

const oneLine = "ingredients:\n- buckwheat flour: 200 g"

// A last line without an end, and a list that is not indented.
func TestSpliceAtTheEnd(t *testing.T) {
	x := hand(t, "recipe: crumble\n"+oneLine)
	for _, err := range []error{x.AddLine("salt", "2 g", ""), x.AddLine("brown butter", "120 g", ""), x.SetAmount(1, "to taste, start 1 g"), x.SetKey("makes", "300 g")} {
		if err != nil {
			t.Fatal(err)
		}
	}
	want := "recipe: crumble\n" + oneLine + "\n- salt: to taste, start 1 g\n- brown butter: 120 g\nmakes: 300 g"
	if diff := cmp.Diff(want, string(x.Bytes())); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestSetChange(t *testing.T) {
	const head = "recipe: oat cream\nbased on: cream\n"
	for _, c := range []struct{ old, line, amount, want string }{
		{head + "change: {sugar: 80 g, milk: {oat drink: 540 g}}\n", "Sugar", "85 g", head + "change: {sugar: 85 g, milk: {oat drink: 540 g}}\n"},
		{head + "change: {sugar: 80 g}\n", "walnut", "none", head + "change: {sugar: 80 g, walnut: none}\n"},
		{head + "change:\n  sugar: 80 g # less\n", "walnut", "20 g", head + "change:\n  sugar: 80 g # less\n  walnut: 20 g\n"},
		{head + "change:\n  sugar: {amount: 80 g, part: top}\n", "sugar", "70 g", head + "change:\n  sugar: {amount: 70 g, part: top}\n"},
		{head, "walnut", "20 g", head + "change:\n  walnut: 20 g\n"},
	} {
		x := hand(t, c.old)
		if err := x.SetChange(c.line, c.amount); err != nil {
			t.Errorf("%s: %v", c.want, err)
			continue
		}
		if diff := cmp.Diff(c.want, string(x.Bytes())); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
	}
	x := hand(t, head+"change: {milk: {oat drink: 540 g}}\n")
	if err := x.SetChange("milk", "500 g"); !errors.Is(err, ErrSplice) {
		t.Errorf("a line that another stands in for: %v", err)
	}
}

func TestSetLarder(t *testing.T) {
	const old = "# ours\n- ingredient: pear puree\n  also: [puree of pear]\n  per 100 g: {water: 84, sugars: 10}  # by the maker\n  brix: 12\n- ingredient: walnut\n  contains: [nuts (walnut)]\n"
	for _, c := range []struct {
		name  string
		path  []string
		value string
		want  string
	}{
		{"pear purée", []string{"brix"}, "11", strings.Replace(old, "brix: 12", "brix: 11", 1)},
		{"puree of pear", []string{"per 100 g", "sugars"}, "9.5", strings.Replace(old, "sugars: 10", "sugars: 9.5", 1)},
		{"pear puree", []string{"per 100 g", "fibre"}, "2", strings.Replace(old, "sugars: 10", "sugars: 10, fibre: 2", 1)},
		{"pear puree", []string{"costs"}, "4.10 EUR/kg", strings.Replace(old, "brix: 12\n", "brix: 12\n  costs: 4.10 EUR/kg\n", 1)},
		{"sorrel", []string{"usable"}, "70 %", old + "- ingredient: sorrel\n  usable: 70 %\n"},
		{"sorrel", []string{"per 100 g", "water"}, "90", old + "- ingredient: sorrel\n  per 100 g: {water: 90}\n"},
	} {
		x := hand(t, old)
		if err := x.SetLarder(c.name, c.path, c.value); err != nil {
			t.Errorf("%s %v: %v", c.name, c.path, err)
			continue
		}
		if diff := cmp.Diff(c.want, string(x.Bytes())); diff != "" {
			t.Errorf("%s %v (-want +got):\n%s", c.name, c.path, diff)
		}
	}
}

func TestSpliceRefuses(t *testing.T) {
	const several = "recipe: x\ningredients:\n  - milk: 540 g\n    \n  - sugar: {amount: 80 g,\n      note: a\n      b}\nmethod:\n  - cook: in two\n      lines\n"
	x := hand(t, several)
	for name, edit := range map[string]func() error{
		"no such line":        func() error { return x.SetAmount(7, "1 g") },
		"no such step":        func() error { return x.SetStep(4, "to", "80 °C") },
		"words over lines":    func() error { return x.SetStep(0, "cook", "fast") },
		"a line break":        func() error { return x.SetAmount(0, "1 g\nmalt: 2 g") },
		"no change":           func() error { return x.SetLarder("milk", []string{"brix"}, "3") },
		"brackets over lines": func() error { return hand(t, "recipe: x\nalso: [a,\n  b]\n").addAlso("c") },
		"the only line":       func() error { return hand(t, "recipe: x\n"+oneLine).RemoveLine(0) },
		"no such key":         func() error { return x.RemoveKey("loss") },
		"lines in brackets":   func() error { return hand(t, "recipe: x\ningredients: [{milk: 1 g}, {salt: 2 g}]\n").RemoveLine(0) },
	} {
		if err := edit(); !errors.Is(err, ErrSplice) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if string(x.Bytes()) != several {
		t.Error("an edit that failed has changed the file")
	}
	for _, bad := range []string{"", "a: [", "recipe: x\nrecipe: y\n", "recipe: \x00"} {
		if _, err := NewText([]byte(bad)); !errors.Is(err, ErrSplice) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// bookFiles are the recipes of all books that come with the program and its tests.
func bookFiles(t testing.TB) map[string]string {
	out := map[string]string{}
	for _, top := range []string{"../store/demo/recipes", "../../testdata/books"} {
		err := filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || filepath.Ext(p) != ".yaml" || !strings.Contains(p, "recipes") {
				return err
			}
			data, err := os.ReadFile(p)
			out[p] = string(data)
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if len(out) < 50 {
		t.Fatalf("%d files", len(out))
	}
	return out
}

// Every line and step of every book can be edited, and edited back to the same bytes.
func TestSpliceBooks(t *testing.T) {
	edits, refused := 0, map[string]int{}
	for file, was := range bookFiles(t) {
		r, _ := Parse(file, []byte(was), quantity.Metric)
		if r == nil {
			t.Fatalf("%s cannot be read", file)
		}
		there := func(what string, edit, back func(*Text) error) {
			x := hand(t, was)
			if err := edit(x); err != nil {
				refused[what+": "+err.Error()]++
				return
			}
			if string(x.Bytes()) == was {
				t.Errorf("%s, %s: nothing has changed", file, what)
			}
			if err := back(x); err != nil {
				t.Errorf("%s, %s: and back: %v", file, what, err)
			} else if diff := cmp.Diff(was, string(x.Bytes())); diff != "" {
				t.Errorf("%s, %s: other bytes:\n%s", file, what, diff)
			}
			edits++
		}
		own := r.Lines
		if r.BasedOn != "" {
			own = nil
		}
		for i := range own {
			there("amount", func(x *Text) error { return x.SetAmount(i, "1234 g") }, func(x *Text) error { return x.SetAmount(i, own[i].Amount.Text) })
		}
		if len(own) > 0 {
			there("line", func(x *Text) error { return x.AddLine("zz", "1 g", "") }, func(x *Text) error { return x.RemoveLine(len(own)) })
		}
		for i := range r.Method {
			if s := &r.Method[i]; s.For != nil {
				there("time", func(x *Text) error { return x.SetStep(i, "for", "1234 min") }, func(x *Text) error { return x.SetStep(i, "for", s.For.Text) })
			}
		}
		there("name", func(x *Text) error { return x.SetKey("recipe", "zz") }, func(x *Text) error { return x.SetKey("recipe", r.Name) })
	}
	for why, n := range refused {
		t.Logf("%d × %s", n, why)
	}
	if edits < 500 {
		t.Errorf("only %d edits", edits)
	}
}

// made is a recipe file as somebody might write it, and what it says.
func made(t *rapid.T) string {
	pick := func(label string, from ...string) string { return rapid.SampledFrom(from).Draw(t, label) }
	var s strings.Builder
	eol := pick("eol", "\n", "\n", "\r\n")
	put := func(l string) { s.WriteString(l + eol) }
	put("recipe: " + pick("name", "crème", "'a ''b'''", `"x: y"`, "nut cake # ours"))
	put("ingredients:")
	pad := pick("pad", "", "  ", "    ")
	for i := range rapid.IntRange(1, 6).Draw(t, "lines") {
		if rapid.Bool().Draw(t, "comment") {
			put(pad + "# comment - with: colon")
		}
		n := pick("ingredient", "milk", "crème 35 %", "'egg yolk'", `"salt, fine"`) + " " + string(rune('a'+i))
		if n[0] == '\'' || n[0] == '"' {
			n = strings.Trim(n, `'"ab cdef`) + string(rune('a'+i))
		}
		switch rapid.IntRange(0, 3).Draw(t, "form") {
		case 0:
			put(pad + "- " + n + ":  120 g" + pick("tail", "", " # dear", "  "))
		case 1:
			put(pad + "- " + n + ": {amount: '120 g', note: \"a, b\"}" + pick("tail", "", " # dear"))
		case 2:
			put(pad + "- " + n + ":")
			put(pad + "    amount: 120 g # inside")
			put(pad + "    note: |")
			put(pad + "      # of the note")
			put(pad + "      last")
		default:
			put(pad + "- " + n + ": \"120 g\"")
		}
		if rapid.Bool().Draw(t, "blank") {
			put("")
		}
	}
	out := s.String()
	if rapid.Bool().Draw(t, "no end") {
		out = strings.TrimRight(out, "\r\n")
	}
	return out
}

func spliceProperty(t *rapid.T) {
	was := made(t)
	x, err := NewText([]byte(was))
	if err != nil {
		t.Fatalf("%v in\n%s", err, was)
	}
	n := x.root.Get("ingredients").Len()
	i := rapid.IntRange(0, n-1).Draw(t, "line")
	amount := rapid.SampledFrom([]string{"5 g", "1,2 kg", "2 leaves (4 g)", "to taste, start 1 g", "½ l", "2 % of milk"}).Draw(t, "amount")
	if err := x.SetAmount(i, amount); err != nil {
		t.Fatalf("%v in\n%s", err, was)
	}
	now := string(x.Bytes())
	// what is the same at both ends is all but one value
	a, b := was, now
	for a != "" && b != "" && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for a != "" && b != "" && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a) > len(`"120 g"`) || strings.ContainsAny(a+b, "\r\n") {
		t.Fatalf("%q became %q in\n%s", a, b, was)
	}
	if err := x.SetAmount(i, "120 g"); err != nil {
		t.Fatal(err)
	}
	if err := x.AddLine("added", amount, ""); err != nil {
		t.Fatalf("%v in\n%s", err, was)
	}
	if err := x.RemoveLine(n); err != nil {
		t.Fatalf("%v in\n%s", err, x.Bytes())
	}
	if got := string(x.Bytes()); strings.TrimRight(strings.ReplaceAll(got, `"`, ""), "\r\n") != strings.TrimRight(strings.ReplaceAll(was, `"`, ""), "\r\n") {
		t.Fatalf("there and back:\n%q\n%q", was, got)
	}
}

func TestSpliceProperty(t *testing.T) { rapid.Check(t, spliceProperty) }

// FuzzSplice edits anything that can be read: it never panics, and an edit that
// is made is read back as what it was meant to be.
func FuzzSplice(f *testing.F) {
	f.Add(handWritten, "500 g", 2)
	f.Add("recipe: x\n"+oneLine, "a: b # c", 0)
	f.Add("recipe: x\ningredients: [{milk: 1 g}]\n", "{", 0)
	f.Fuzz(func(t *testing.T, s, value string, i int) {
		if len(s) > 4096 {
			return
		}
		for _, edit := range []func(*Text) error{
			func(x *Text) error { return x.SetAmount(i, value) },
			func(x *Text) error { return x.AddLine(value, "1 g", value) },
			func(x *Text) error { return x.RemoveLine(i) },
			func(x *Text) error { return x.SetStep(i, "to", value) },
			func(x *Text) error { return x.Rename(value) },
			func(x *Text) error { return x.SetChange(value, value) },
			func(x *Text) error { return x.SetLarder(value, []string{"per 100 g", "fat"}, value) },
		} {
			x, err := NewText([]byte(s))
			if err != nil {
				return
			}
			if err := edit(x); err != nil {
				if !errors.Is(err, ErrSplice) || string(x.Bytes()) != s {
					t.Fatalf("%v", err)
				}
				continue
			}
			if _, found := yamldoc.Read(x.Bytes(), yamldoc.Limits{Bytes: MaxLarderBytes}); len(found) > 0 {
				for _, f := range found {
					if !f.Warning {
						t.Fatalf("an edit made %v of\n%s", f, s)
					}
				}
			}
		}
	})
}
