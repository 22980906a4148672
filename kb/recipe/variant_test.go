package recipe

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

// parse reads a recipe that must be good.
func parse(t *testing.T, file, text string) *Recipe {
	t.Helper()
	r, faults := Parse(file, []byte(text), quantity.Metric)
	if len(faults) > 0 {
		t.Fatalf("%s: %v", file, faults)
	}
	return r
}

// shown writes lines as a cook would read them.
func shown(lines []Line) []string {
	var out []string
	for _, l := range lines {
		s := l.Name + ": " + l.Amount.Written()
		for _, more := range []string{l.Part, l.Note, l.Prep, l.On} {
			if more != "" {
				s += ", " + more
			}
		}
		if l.Bought {
			s = "bought " + s
		}
		out = append(out, s)
	}
	return out
}

const base = `recipe: ice cream base
also: [house ice cream]
section: pastry
makes: 20 pieces of 50 g
loss: 2 %
ingredients:
  - milk: {amount: 540 g, part: mix}
  - egg yolk: 96 g
  - sugar: {amount: 88 g, note: half with the yolks}
  - walnut: 30 g
  - salt: 0.2 % of milk
method:
  - boil: milk, half the sugar
    uses: {sugar: 1/2}
  - churn: in batches
keeps: 14 days in freezer
cautions: [lightly cooked egg]
notes: ours
picture: base.jpg
season: 1 Sep to 30 Nov
spare: 8 %
suits: [vegetarian]
pours: true
`

func TestApplyChange(t *testing.T) {
	b := parse(t, "base.yaml", base)
	before := shown(b.Lines)
	v := parse(t, "oat.yaml", `recipe: oat ice cream
based on: ice cream base
change: {Sugar: 80 g, milk: {oat drink: 540 g}, walnuts: none, miso: 12 g, salt: 2 g, egg yolk: {note: fresh}, bought praline: {amount: 20 g, part: mix}}
makes: 1 kg
suits: []
`)
	got, faults := ApplyChange(b, v)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := []string{"oat drink: 540 g, mix", "egg yolk: 96 g, fresh", "sugar: 80 g, half with the yolks", "salt: 2 g", "miso: 12 g", "bought praline: 20 g, mix"}
	if diff := cmp.Diff(want, shown(got.Lines)); diff != "" {
		t.Errorf("lines (-want +got):\n%s", diff)
	}
	if got.Name != "oat ice cream" || got.Pos.File != "oat.yaml" || got.BasedOn != "ice cream base" || got.Makes.Mass.N.String() != "1" {
		t.Errorf("%+v", got)
	}
	if got.Also != nil || got.Notes != "" || got.Picture != "" {
		t.Errorf("also, notes or picture are inherited: %q %q %q", got.Also, got.Notes, got.Picture)
	}
	if got.Section != "pastry" || got.Loss.N.String() != "2" || len(got.Method) != 2 || len(got.Keeps) != 1 || len(got.Cautions) != 1 || got.Season == nil ||
		got.Spare.N.String() != "8" || got.Pours == nil {
		t.Errorf("a key is not inherited: %+v", got)
	}
	if !got.SuitsStated || len(got.Suits) != 0 {
		t.Errorf("a written key is inherited: %v", got.Suits)
	}
	if got.Lines[0].Pos.File != "oat.yaml" || got.Lines[1].Pos.File != "oat.yaml" || got.Lines[2].Pos.Line != 3 {
		t.Errorf("a changed line stands at %+v", got.Lines[0].Pos)
	}
	if diff := cmp.Diff(before, shown(b.Lines)); diff != "" {
		t.Errorf("the base changed: %s", diff)
	}
	if f := CheckNames(got); len(f) > 0 {
		t.Error(f)
	}
}

// A variant of a variant: the second change finds what the first made.
func TestApplyChangeTwice(t *testing.T) {
	b := parse(t, "base.yaml", base)
	one, faults := ApplyChange(b, parse(t, "1.yaml", "recipe: one\nbased on: ice cream base\nchange: {walnut: {pecan: 30 g}}\n"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	two, faults := ApplyChange(one, parse(t, "2.yaml", "recipe: two\nbased on: one\nchange: {pecan: 20 g, walnut: 5 g}\n"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	want := []string{"milk: 540 g, mix", "egg yolk: 96 g", "sugar: 88 g, half with the yolks", "pecan: 20 g", "salt: 0.2 % of milk", "walnut: 5 g"}
	if diff := cmp.Diff(want, shown(two.Lines)); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if two.Name != "two" || two.Section != "pastry" {
		t.Errorf("%+v", two)
	}
}

func TestApplyChangeFaults(t *testing.T) {
	double := strings.Replace(base, "  - walnut: 30 g\n", "  - walnut: 30 g\n  - sugar: 5 g\n", 1)
	for _, tt := range []struct {
		name, base, change string
		want               []string
	}{
		{"none of a line that is not there", base, "pear: none", []string{"3:10 change"}},
		{"another in place of a line that is not there", base, "milks powder: {oat: 5 g}", []string{"3:10 change"}},
		{"more about a line that is not there", base, "pear: {note: ripe}", []string{"3:10 change"}},
		{"a line that stands twice", double, "sugar: 80 g", []string{"3:10 change"}},
		{"a line that stands twice, out", double, "sugar: none, egg yolk: 3 g, salt: 1 g", []string{"3:10 no such line"}}, // uses
		{"what uses: names is gone", base, "sugar: none", []string{"3:10 no such line"}},
		{"what uses: names is another", base, "sugar: {honey: 80 g}", []string{"3:10 no such line"}},
		{"what a % is of is gone", base, "milk: {oat drink: 540 g}", []string{"3:10 no such line"}},
		{"a % of a line it lacks", base, "salt: 2 % of flour", []string{"3:10 no such line"}},
		{"nothing left", base, "milk: none, egg yolk: none, sugar: none, walnut: none, salt: none", []string{"1:1 change"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			v := parse(t, "v.yaml", "recipe: v\nbased on: ice cream base\nchange: {"+tt.change+"}\n")
			got, faults := ApplyChange(parse(t, "base.yaml", tt.base), v)
			if len(faults) == 0 {
				faults = CheckNames(got)
			}
			var told []string
			for _, f := range faults {
				told = append(told, strings.TrimPrefix(f.String()[:strings.Index(f.String(), ": ")], "v.yaml:")+" "+f.Code)
				if f.File != "v.yaml" || f.Recipe != "v" || f.Write == "" {
					t.Errorf("%+v", f)
				}
			}
			if diff := cmp.Diff(tt.want, told); diff != "" {
				t.Errorf("%v (-want +got):\n%s", faults, diff)
			}
		})
	}
}

// A variant may bring lines of its own; a plate keeps on: and out:.
func TestApplyChangeOfPlate(t *testing.T) {
	b := parse(t, "plate.yaml", "recipe: plate\nmakes: 1 cover\nplate:\n  - parfait: 1 each\n  - tuile: 1 each\n    on: parfait\n    out: at most 8 min\n")
	v := parse(t, "v.yaml", "recipe: v\nbased on: plate\nchange: {tuile: {sorrel: 3 leaves}}\n")
	got, faults := ApplyChange(b, v)
	if len(faults) > 0 || !got.IsPlate || got.Lines[1].On != "parfait" || got.Lines[1].Out == nil {
		t.Errorf("%+v %v", got, faults)
	}
	own := parse(t, "own.yaml", "recipe: own\nbased on: plate\ningredients:\n  - pear: 1 each\n")
	got, faults = ApplyChange(b, own)
	if len(faults) > 0 || got.IsPlate || len(got.Lines) != 1 || got.Makes == nil {
		t.Errorf("%+v %v", got, faults)
	}
}

func TestCheckNamesFolds(t *testing.T) {
	r := parse(t, "x.yaml", "recipe: x\ningredients:\n  - Crème-fraîche: 10 g\n  - bought walnut: 5 g\n  - salt: 2 % of creme fraiche + walnuts\n  - water: 1 l\n  - acid: 1 % of liquids\nmethod:\n  - mix: it\n    uses: {Salts: all}\n    of: [bought walnut]\n")
	if f := CheckNames(r); len(f) > 0 {
		t.Error(f)
	}
}
