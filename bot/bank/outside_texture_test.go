package bank

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// Outside checks of the direction of texture between two revisions, asked of the built program in the talk of a chef. Directions
// only: what is expected is of published fact, named at each case.

// directions are what a reply tells: "set", "melt", "frozen", "flow" to '+' (firmer, later, harder, thicker) or '-'.
func directions(text string) map[string]string {
	out := map[string]string{}
	for _, l := range strings.Split(text, "\n") {
		for start, d := range map[string]string{
			"Firmer from the fridge": "set+", "Softer from the fridge": "set-", "Melts later": "melt+", "Melts sooner": "melt-",
			"Harder from the freezer": "frozen+", "Softer from the freezer": "frozen-", "Thicker": "flow+", "Thinner": "flow-",
		} {
			if strings.HasPrefix(l, start+" (") {
				out[d[:len(d)-1]] = d[len(d)-1:]
			}
		}
	}
	return out
}

// The ways a recipe is made; only their steps differ.
const (
	setInFridge = "method:\n  - set: covered\n    where: fridge\n    for: at least 6 h\n"
	frozen      = "method:\n  - churn: cold\n    for: 12 min\n  - freeze: in tubs\n    where: freezer\n    for: at least 6 h\n"
	cooked      = "method:\n  - cook: gently\n    to: 82 °C\n  - set: covered\n    where: fridge\n    for: at least 6 h\n"
	baked       = "method:\n  - bake: dark\n    at: 160 °C\n    for: 12 min\n"
	poured      = ""
)

func recipeOf(name, lines, steps string) string {
	s := "recipe: " + name + "\ningredients:\n"
	for _, l := range strings.Split(lines, ", ") {
		s += "  - " + l + "\n"
	}
	return s + steps
}

// revision is a recipe as it was and as it is pushed.
type revision struct {
	name, steps, was, now string
}

// pushed is what the difference says of each revision, and what is answered to the question about texture; nothing is written.
func pushed(t *testing.T, revisions []revision) (shown, asking []reply) {
	t.Helper()
	var recipes []string
	var in []asked
	for i, r := range revisions {
		recipes = append(recipes, recipeOf(r.name, r.was, r.steps))
		for _, s := range []string{"```\n" + recipeOf(r.name, r.now, r.steps) + "```", "what does that do to the texture?", "no"} {
			in = append(in, asked{Text: s, Who: "ida", Channel: fmt.Sprint(i), Now: "2026-03-14T12:00:00+01:00"})
		}
	}
	house := "house: Lodehavn annex\ntime zone: Europe/Oslo\nteam: {chef: [ida]}\nrules: {who may push: [chef]}\n"
	larder := "- ingredient: gold gelatine\n  bloom: 200\n- ingredient: silver gelatine\n  bloom: 160\n- ingredient: nameless gelatine\n"
	recipes = append(recipes, recipeOf("quince set", "water: 300 g, agar: 3 g", poured), recipeOf("gelatine base", "water: 94 g, gelatine leaf: 6 g", poured))
	rs := talk(t, folder(t, house, larder, recipes...), in)
	for i, r := range revisions {
		if rs[3*i].Status != "ask" || rs[3*i].About != "change" || rs[3*i+2].Status != "answer" {
			t.Errorf("%s, %s to %s: %s %s", r.name, r.was, r.now, rs[3*i].Status, rs[3*i].Text)
		}
		shown, asking = append(shown, rs[3*i]), append(asking, rs[3*i+1])
	}
	return shown, asking
}

// TestTextureByPublishedFact: each change of one thing goes the way the books say, or nothing is told of it. A want of "+" or "-"
// must be told so; "0" must not be told; "not-" and "not+" must not be told that way.
func TestTextureByPublishedFact(t *testing.T) {
	t.Parallel()
	cases := []struct {
		source         string
		steps          string
		was, now, want string
	}{
		// Gelatin Manufacturers Institute of America, Gelatin Handbook (from memory): gel strength goes with the square of the
		// concentration, the melting point rises with it.
		{"gelatine", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 500 g, sugar: 60 g, gelatine leaf: 5 g", "set- melt- frozen0"},
		{"gelatine", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 5 g", "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "set+ melt+ frozen0"},
		{"gelatine in less water", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 400 g, sugar: 60 g, gelatine leaf: 8 g", "set+ melt+"},
		// gelatin-bloom.csv, Gelatin Handbook: equal strength by the square root of the Bloom, 8 g of 200 Bloom as 8.9 g of 160.
		{"a weaker gelatine", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, silver gelatine: 8 g", "set- melt-"},
		{"a weaker gelatine, made up for", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, silver gelatine: 8.9 g", "set0 melt0"},
		{"a weaker gelatine, more than made up for", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, silver gelatine: 10 g", "set+ melt+"},
		{"no strength known", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, nameless gelatine: 5 g", "set0 melt0"},
		{"two strengths", setInFridge, "water: 500 g, silver gelatine: 4 g, gold gelatine: 4 g", "water: 500 g, gold gelatine: 8 g", "setnot- meltnot-"},
		{"two strengths, and back", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, silver gelatine: 6 g, gold gelatine: 3 g", "setnot- meltnot-"},
		{"leaves that nobody weighed", setInFridge, "water: 500 g, gold gelatine: 8 g", "water: 500 g, gold gelatine: 4 leaves", "set0 melt0"},
		{"in a part of it now", setInFridge, "water: 500 g, gelatine leaf: 6 g", "water: 406 g, gelatine base: 100 g", "set0 melt0"},
		{"half in a part of it now", setInFridge, "water: 500 g, gelatine leaf: 6 g", "water: 453 g, gelatine base: 50 g, gelatine leaf: 3 g", "set0 melt0"},
		{"agar in a part of it", poured, "quince set: 100 g, water: 200 g, gelatine leaf: 6 g", "quince set: 200 g, water: 100 g, gelatine leaf: 4 g", "set0 melt0"},
		{"nothing left of it", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 500 g, sugar: 60 g", "set- melt-"},
		// Review of gelling agents, table 6 (PMC6961714; gelling-agents.csv): agar melts above 80 °C and is firm and brittle, gelatine
		// above 40 °C; gellan, carrageenan, pectin and egg set too. Less gelatine beside one of them tells nothing.
		{"agar for gelatine", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 500 g, sugar: 60 g, agar: 5 g", "setnot- meltnot-"},
		{"agar for half the gelatine", setInFridge, "water: 500 g, gelatine leaf: 8 g", "water: 500 g, gelatine leaf: 4 g, agar: 3 g", "setnot- meltnot-"},
		{"iota carrageenan for half", setInFridge, "water: 500 g, gelatine leaf: 8 g", "water: 500 g, gelatine leaf: 4 g, iota carrageenan: 3 g", "setnot- meltnot-"},
		{"gellan for half", setInFridge, "water: 500 g, gelatine leaf: 8 g", "water: 500 g, gelatine leaf: 4 g, gellan: 3 g", "setnot- meltnot-"},
		{"pectin for half", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 500 g, sugar: 60 g, gelatine leaf: 4 g, pectin: 6 g", "setnot- meltnot-"},
		{"gelatine for agar", setInFridge, "water: 500 g, sugar: 60 g, agar: 5 g", "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "setnot+ meltnot+"},
		// Imeson A. (ed.), Thickening and Gelling Agents for Food (from memory): 0.5 % of xanthan is thicker than 3 % of maize starch.
		{"xanthan for starch", poured, "water: 500 g, butter: 60 g, cornflour: 15 g", "water: 500 g, butter: 60 g, xanthan: 3 g", "flownot- setnot-"},
		{"xanthan for some starch", poured, "water: 500 g, cornflour: 15 g", "water: 500 g, cornflour: 5 g, xanthan: 3 g", "flownot- setnot-"},
		{"starch for xanthan", poured, "water: 500 g, xanthan: 3 g", "water: 500 g, cornflour: 15 g", "flownot+ setnot+"},
		// Belitz, Grosch, Schieberle, Food Chemistry, ch. 4 (from memory): starch that gelatinises thickens.
		{"starch", cooked, "water: 500 g, sugar: 40 g, cornflour: 15 g", "water: 500 g, sugar: 40 g, cornflour: 30 g", "flow+ set+"},
		{"starch", poured, "milk: 500 g, cornflour: 30 g", "milk: 500 g, cornflour: 15 g", "flow-"},
		{"sugar in a starched sauce", poured, "water: 500 g, cornflour: 20 g", "water: 500 g, cornflour: 20 g, sugar: 200 g", "flow+ set0"}, // a syrup is thicker than water
		{"less starch, more water", poured, "water: 400 g, cornflour: 24 g", "water: 600 g, cornflour: 24 g", "flow- set-"},
		// Goff & Hartel, Ice Cream, 7th ed., ch. 6 (sweetener-freezing-factors.csv): a gram of dextrose lowers the freezing point as
		// 1.9 g of sucrose, of a syrup solid as DE/100; salts and alcohol lower it too; Leighton (1927): more sugar in 100 g of water,
		// lower.
		{"dextrose for sugar", frozen, "milk: 500 g, cream 35 %: 200 g, sugar: 100 g", "milk: 500 g, cream 35 %: 200 g, dextrose: 100 g", "frozen- meltnot+"},
		{"maltodextrin for sugar", frozen, "milk: 500 g, cream 35 %: 200 g, sugar: 100 g", "milk: 500 g, cream 35 %: 200 g, maltodextrin: 100 g", "frozen+ meltnot-"},
		{"fructose for sugar", frozen, "water: 500 g, sugar: 150 g", "water: 500 g, fructose: 150 g", "frozen- meltnot+"},
		{"more sugar", frozen, "water: 500 g, sugar: 120 g", "water: 500 g, sugar: 180 g", "frozen- meltnot+"},
		{"more water", frozen, "water: 500 g, sugar: 150 g", "water: 650 g, sugar: 150 g", "frozen+ meltnot-"},
		{"salt", frozen, "milk: 500 g, sugar: 100 g, salt: 1 g", "milk: 500 g, sugar: 100 g, salt: 6 g", "frozen- meltnot+"},
		{"spirit", frozen, "water: 500 g, sugar: 120 g", "water: 470 g, sugar: 120 g, vodka: 30 g", "frozen- meltnot+"},
		{"no freezer in it", setInFridge, "water: 500 g, sugar: 60 g, gelatine leaf: 8 g", "water: 500 g, sugar: 160 g, gelatine leaf: 8 g", "frozen0 melt0"},
		// Belitz, Grosch, Schieberle, ch. 14 (from memory): at 5 °C most of milk fat and nearly all cocoa butter and coconut fat
		// (melting at 23 to 26 °C) are solid, sunflower oil is liquid.
		{"oil for butter", setInFridge, "cream 35 %: 200 g, butter: 60 g, sunflower oil: 40 g", "cream 35 %: 200 g, sunflower oil: 100 g", "set- melt-"},
		{"butter for oil", setInFridge, "cream 35 %: 200 g, sunflower oil: 100 g", "cream 35 %: 200 g, sunflower oil: 40 g, butter: 60 g", "set+ melt+"},
		{"cocoa butter for butter", setInFridge, "cream 35 %: 200 g, butter: 60 g", "cream 35 %: 200 g, cocoa butter: 60 g", "set+ melt+"},
		{"coconut fat for butter", setInFridge, "cream 35 %: 200 g, butter: 60 g", "cream 35 %: 200 g, coconut oil: 60 g", "setnot- meltnot-"},
		{"butter for coconut fat", setInFridge, "cream 35 %: 200 g, coconut oil: 60 g", "cream 35 %: 200 g, butter: 60 g", "setnot+ meltnot+"},
		// gelling-agents.csv: egg sets by heat and does not melt again. More of it in a cooked custard is no softer.
		{"more egg", cooked, "cream 35 %: 400 g, milk: 100 g, sugar: 60 g, whole egg: 100 g", "cream 35 %: 400 g, milk: 100 g, sugar: 60 g, whole egg: 250 g", "setnot- flownot-"},
		{"less egg", cooked, "cream 35 %: 400 g, milk: 100 g, sugar: 60 g, whole egg: 250 g", "cream 35 %: 400 g, milk: 100 g, sugar: 60 g, whole egg: 100 g", "setnot+ flownot+"},
		{"more yolk", cooked, "milk: 400 g, sugar: 60 g, cornflour: 20 g, egg yolk: 60 g", "milk: 400 g, sugar: 60 g, cornflour: 10 g, egg yolk: 160 g", "setnot- flownot-"},
		// Pulling apart, unknown, and baked: nothing is told.
		{"gelatine against fat", setInFridge, "cream 35 %: 400 g, gelatine leaf: 5 g", "cream 35 %: 250 g, milk: 150 g, gelatine leaf: 8 g", "set0 melt0"},
		{"an ingredient nobody knows", setInFridge, "water: 500 g, gelatine leaf: 5 g", "water: 300 g, zembic jelly: 200 g, gelatine leaf: 5 g", "set0 melt0 flow0"},
		{"baked", baked, "buckwheat flour: 200 g, butter: 120 g, salt: 2 g", "buckwheat flour: 200 g, butter: 180 g, salt: 2 g", "set0 melt0 frozen0 flow0"},
		{"nothing", setInFridge, "water: 500 g, gelatine leaf: 8 g", "water: 500 g, gelatine leaf: 8.1 g", "set0 melt0 frozen0 flow0"},
	}
	var revisions []revision
	for i, c := range cases {
		revisions = append(revisions, revision{soup(i%soups) + []string{"", " mark", " twin"}[i/soups], c.steps, c.was, c.now})
	}
	shown, asking := pushed(t, revisions)
	for i, c := range cases {
		name := fmt.Sprintf("%s: %s to %s", c.source, c.was, c.now)
		got := directions(shown[i].Text)
		if again := directions(asking[i].Text); !maps.Equal(got, again) {
			t.Errorf("%s: the difference tells %v, the question after it %v", name, got, again)
		}
		for _, w := range strings.Fields(c.want) {
			at := strings.IndexAny(w, "+-0")
			trait, want := w[:at], w[at:]
			trait, not := strings.CutSuffix(trait, "not")
			told := got[trait]
			if not && told == want || !not && want == "0" && told != "" || !not && want != "0" && told != want {
				t.Errorf("%s: told %v, want %s\n%s", name, got, w, shown[i].Text)
			}
		}
		if len(got) > 0 && !strings.Contains(asking[i].Text, "Directions only") {
			t.Errorf("%s: no word that it is a direction only\n%s", name, asking[i].Text)
		}
		for _, r := range []reply{shown[i], asking[i]} {
			for _, wrong := range unfounded(r) {
				t.Errorf("%s: no fact carries %q\n%s", name, wrong, r.Text)
			}
		}
	}
}

// figures is a line of a difference: what is now, and what was.
var figures = regexp.MustCompile(`^([0-9.,]+) (%|g|leaves)  (.+?)(?: \((?:of the water, )?was ([0-9.]+)(?: ([%g]|leaves))?\))?$`)

// unfounded are the lines of a difference with a digit that no fact carries: what it says of texture has no digit at all.
func unfounded(r reply) []string {
	var out []string
	for _, l := range strings.Split(r.Text, "\n") {
		if !strings.ContainsAny(strings.ReplaceAll(l, "cream 35 %", ""), "0123456789") || l == "1  yes" || l == "2  no" || strings.HasPrefix(l, "!") {
			continue
		}
		m := figures.FindStringSubmatch(l)
		gone := strings.HasPrefix(l, "0  ") // taken out
		if !gone && (m == nil || !slices.ContainsFunc(r.Facts, func(f fact) bool { return carries(f, m) })) {
			out = append(out, l)
		}
	}
	return out
}

// carries reports whether a fact is what the line says, to three digits.
func carries(f fact, line []string) bool {
	like := func(shown string, v float64) bool {
		n, err := strconv.ParseFloat(shown, 64)
		return err == nil && math.Abs(n-v) <= 0.006*math.Abs(v)+1e-9
	}
	now, ok := f.number()
	if !ok || f.Unit != line[2] || !strings.HasPrefix(line[3], f.What) || !like(line[1], now) && f.Shown != line[1]+" "+line[2] {
		return false
	}
	if line[4] != "" && line[5] != line[2] { // a fact's was is in the fact's own unit
		return f.Was == nil
	}
	was, _ := f.Was.(float64)
	return line[4] == "" || like(line[4], was)
}

// TestTextureGoesBack: of random revisions the way back is told turned round, the same recipe in another order or another size tells
// nothing.
func TestTextureGoesBack(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(20260314, 8))
	pool := []struct {
		name string
		most int
	}{{"water", 600}, {"milk", 600}, {"cream 35 %", 400}, {"sugar", 200}, {"dextrose", 80}, {"butter", 120}, {"sunflower oil", 80}, {"cocoa butter", 60},
		{"gelatine leaf", 12}, {"cornflour", 40}, {"salt", 8}, {"vodka", 60}, {"honey", 90}, {"egg yolk", 120}, {"agar", 6}, {"xanthan", 5}, {"coconut oil", 80}}
	random := func() map[string]int {
		m := map[string]int{"water": 200 + rng.IntN(400)}
		for range 2 + rng.IntN(5) {
			p := pool[rng.IntN(len(pool))]
			m[p.name] = 1 + rng.IntN(p.most)
		}
		return m
	}
	lines := func(m map[string]int, times int, turned bool) string {
		names := slices.Sorted(maps.Keys(m))
		if turned {
			slices.Reverse(names)
		}
		var out []string
		for _, n := range names {
			out = append(out, fmt.Sprintf("%s: %d g", n, times*m[n]))
		}
		return strings.Join(out, ", ")
	}
	steps := []string{setInFridge, frozen, cooked, poured}
	var revisions []revision
	const pairs = 40
	for i := range pairs {
		a := random()
		b := maps.Clone(a)
		if i%4 == 0 {
			b = random()
		}
		for range 1 + rng.IntN(2) { // a revision changes a line or two
			p := pool[rng.IntN(len(pool))]
			if _, has := b[p.name]; has && rng.IntN(3) == 0 && p.name != "water" {
				delete(b, p.name)
			} else {
				b[p.name] = 1 + rng.IntN(p.most)
			}
		}
		how := steps[i%len(steps)]
		head := soup(i%soups) + []string{"", " mark"}[i/soups]
		b["milk"]++ // never the same
		revisions = append(revisions,
			revision{head + " one", how, lines(a, 1, false), lines(b, 1, false)},
			revision{head + " two", how, lines(b, 1, false), lines(a, 1, false)},
			revision{head + " three", how, lines(a, 1, false), lines(a, 2+rng.IntN(5), true)})
	}
	shown, _ := pushed(t, revisions)
	turned := map[string]string{"+": "-", "-": "+"}
	told := 0
	for i := 0; i < len(revisions); i += 3 {
		there, back, scaled := directions(shown[i].Text), directions(shown[i+1].Text), directions(shown[i+2].Text)
		for trait := range there {
			there[trait] = turned[there[trait]]
		}
		told += len(there)
		if !maps.Equal(there, back) {
			t.Errorf("%s to %s: %v there (turned round), %v back\n%s\n%s", revisions[i].was, revisions[i].now, there, back, shown[i].Text, shown[i+1].Text)
		}
		if len(scaled) > 0 {
			t.Errorf("%s to %s: the same in another size, and %v", revisions[i+2].was, revisions[i+2].now, scaled)
		}
	}
	if told < pairs/2 {
		t.Errorf("only %d directions told of %d revisions", told, pairs)
	}
}
