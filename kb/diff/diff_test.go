package diff_test

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/store"
)

const base = `recipe: crumble
makes: 420 g
ingredients:
  - buckwheat flour: 200 g
  - brown butter: 120 g
  - sugar: 60 g
  - salt: {amount: 2 g, part: top}
  - sugar: {amount: 40 g, part: top}
method:
  - mix: flour and butter
  - rest: covered
    for: 30 min
  - bake: till dark
    at: 160 °C
    for: 12 min
keeps: [5 days in dry store]
`

func parse(t testing.TB, text string) *kb.Recipe {
	t.Helper()
	s := book(t, map[string]string{"recipes/x.yaml": text})
	r, ok := s.Recipe("recipes/x.yaml")
	if !ok {
		t.Fatal(s.Faults)
	}
	return r
}

func book(t testing.TB, files map[string]string) *kb.Snapshot {
	t.Helper()
	m := fstest.MapFS{"house.yaml": {Data: []byte("house: Lodehavn\n")}}
	for p, text := range files {
		m[p] = &fstest.MapFile{Data: []byte(text)}
	}
	s, err := store.Load(t.Context(), m)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// says writes a difference in short lines.
func says(d diff.Recipe) string {
	var out []string
	for i := range d.Lines {
		l := &d.Lines[i]
		was, now := "–", "–"
		if l.Was != nil {
			was = l.Was.Amount.Text
		}
		if l.Now != nil {
			now = l.Now.Amount.Text
		}
		if !l.Amount() {
			now += " else"
		}
		out = append(out, strings.TrimSpace(fmt.Sprintf("%s %s: %s → %s", l.Part, l.Name, was, now)))
	}
	for _, s := range d.Steps {
		out = append(out, fmt.Sprintf("%d %s %s: %s → %s", s.Number, s.Verb, s.Key, s.Was, s.Now))
	}
	for _, k := range d.Keys {
		out = append(out, fmt.Sprintf("%s: %s → %s", k.Key, k.Was, k.Now))
	}
	return strings.Join(out, "\n")
}

func TestOf(t *testing.T) {
	for _, c := range []struct {
		name       string
		old, fresh string // in base
		want       string
	}{
		{"nothing", "", "", ""},
		{"a comment", "brown butter: 120 g", "brown butter:   120 g # ours", ""},
		{"an amount", "brown butter: 120 g", "brown butter: 130 g", "brown butter: 120 g → 130 g"},
		{"one of two alike", "- sugar: 60 g", "- sugar: 55 g", "sugar: 60 g → 55 g"},
		{"a line less", "  - brown butter: 120 g\n", "", "brown butter: 120 g → –"},
		{"a line more", "  - sugar: 60 g\n", "  - sugar: 60 g\n  - rye flour: 20 g\n", "rye flour: – → 20 g"},
		{"another in its place", "brown butter: 120 g", "butter: 120 g", "brown butter: 120 g → –\nbutter: – → 120 g"},
		{"another part", "- salt: {amount: 2 g, part: top}", "- salt: 2 g", "salt: 2 g → 2 g else"},
		{"a note", "- salt: {amount: 2 g, part: top}", "- salt: {amount: 2 g, part: top, note: fine}", "top salt: 2 g → 2 g else"},
		{"a temperature", "160 °C", "155 °C", "3 bake at: 160 °C → 155 °C"},
		{"words", "till dark", "till brown", "3 bake words: till dark → till brown"},
		{"a step less", "  - rest: covered\n    for: 30 min\n", "", "2 rest : rest: covered, for 30 min → "},
		{"a step more", "keeps", "  - cool: on the tray\nkeeps", "4 cool :  → cool: on the tray"},
		{"keys", "makes: 420 g", "makes: 400 g\nsection: pastry", "section:  → pastry\nmakes: 420 g → 400 g"},
		{"a name", "recipe: crumble", "recipe: dark crumble", "recipe: crumble → dark crumble"},
		{"keeps", "5 days", "4 days", "keeps: 5 days in dry store → 4 days in dry store"},
	} {
		text := base
		if c.old != "" {
			if strings.Count(base, c.old) == 0 {
				t.Fatalf("%q is not in the base", c.old)
			}
			text = strings.Replace(base, c.old, c.fresh, 1)
		}
		d := diff.Of(parse(t, base), parse(t, text))
		if diff := cmp.Diff(c.want, says(d)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
		if d.Empty() != (c.want == "") {
			t.Errorf("%s: empty %v", c.name, d.Empty())
		}
	}
}

func TestNewAndOff(t *testing.T) {
	r := parse(t, base)
	if d := diff.Of(nil, r); d.Empty() || len(d.Lines) != 5 || d.Name() != "crumble" || d.Lines[0].Was != nil {
		t.Error("a new recipe")
	}
	if d := diff.Of(r, nil); d.Empty() || len(d.Lines) != 5 || d.Name() != "crumble" || d.Lines[0].Now != nil {
		t.Error("one that is off")
	}
}

func TestBooks(t *testing.T) {
	files := map[string]string{
		"recipes/a.yaml": base,
		"recipes/b.yaml": "recipe: tart\ningredients:\n  - crumble: 100 g\n  - pear: 200 g\n",
		"recipes/c.yaml": "recipe: plate\nmakes: 1 cover\ningredients:\n  - tart: 120 g\n",
		"recipes/d.yaml": "recipe: off\ningredients:\n  - pear: 1 g\n",
	}
	was := book(t, files)
	files["recipes/a.yaml"] = strings.Replace(base, "120 g", "110 g", 1)
	files["recipes/e.yaml"] = "recipe: new\ningredients:\n  - pear: 1 g\n"
	delete(files, "recipes/d.yaml")
	now := book(t, files)
	var got []string
	for _, d := range diff.Books(was, now) {
		got = append(got, d.Name())
	}
	if diff := cmp.Diff([]string{"crumble", "new", "off"}, got); diff != "" {
		t.Error(diff)
	}
	r, _ := now.RecipeNamed("crumble")
	got = nil
	for _, u := range diff.Touched(now, r) {
		got = append(got, u.Name)
	}
	if diff := cmp.Diff([]string{"plate", "tart"}, got); diff != "" {
		t.Error(diff)
	}
}

func TestThree(t *testing.T) {
	with := func(pairs ...string) *kb.Recipe {
		return parse(t, strings.NewReplacer(pairs...).Replace(base))
	}
	for _, c := range []struct {
		name         string
		mine, theirs *kb.Recipe
		both         []string
	}{
		{"other lines", with("200 g", "210 g"), with("120 g", "110 g"), nil},
		{"one line", with("200 g", "210 g"), with("200 g", "220 g"), []string{"buckwheat flour"}},
		{"the same change", with("200 g", "210 g"), with("200 g", "210 g"), nil},
		{"one taken out", with("  - buckwheat flour: 200 g\n", ""), with("200 g", "220 g"), []string{"buckwheat flour"}},
		{"one step", with("160 °C", "155 °C"), with("160 °C", "150 °C", "12 min", "10 min"), []string{"bake: at"}},
		{"a key", with("420 g", "400 g"), with("420 g", "410 g"), []string{"makes"}},
	} {
		three := diff.Three(parse(t, base), c.mine, c.theirs)
		if diff := cmp.Diff(c.both, three.Both); diff != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, diff)
		}
		if three.Mine.Empty() || three.Theirs.Empty() {
			t.Errorf("%s: one side is empty", c.name)
		}
	}
}

// What one way adds the other takes away; nothing differs from itself.
func TestProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		draw := func(label string) *kb.Recipe {
			var s strings.Builder
			s.WriteString("recipe: made\ningredients:\n")
			for range rapid.IntRange(1, 8).Draw(rt, label) {
				fmt.Fprintf(&s, "  - %s: %d g\n", rapid.SampledFrom([]string{"pear", "walnut", "sorrel", "honey"}).Draw(rt, "name"), rapid.IntRange(1, 4).Draw(rt, "g"))
			}
			return parse(t, s.String())
		}
		a, b := draw("a"), draw("b")
		if d := diff.Of(a, a); !d.Empty() {
			rt.Fatal("it differs from itself", says(d))
		}
		count := func(d diff.Recipe) (more, less, other int) {
			for i := range d.Lines {
				switch l := &d.Lines[i]; {
				case l.Was == nil:
					more++
				case l.Now == nil:
					less++
				default:
					other++
				}
			}
			return
		}
		m1, l1, o1 := count(diff.Of(a, b))
		m2, l2, o2 := count(diff.Of(b, a))
		if m1 != l2 || l1 != m2 || o1 != o2 {
			rt.Fatalf("%d %d %d and back %d %d %d", m1, l1, o1, m2, l2, o2)
		}
		if len(b.Lines)-len(a.Lines) != m1-l1 {
			rt.Fatal("lines got lost")
		}
	})
}
