package larder

import (
	"strings"
	"sync"
	"testing"

	"tamis/kb/name"
)

// What kitchen people say, and what is meant.
func TestKitchenWords(t *testing.T) {
	tests := map[string]string{
		"yolk": "egg yolk", "yolks": "egg yolk", "egg yolks": "egg yolk", "Eggs": "egg", "whites": "", "egg whites": "egg white",
		"caster": "sugar", "caster sugar": "sugar", "sugar": "sugar", "icing sugar": "icing sugar", "powdered sugar": "icing sugar",
		"brown sugar": "brown sugar", "plain flour": "plain flour", "AP flour": "plain flour", "flour": "plain flour", "strong flour": "bread flour",
		"heavy cream": "cream 35 %", "whipping cream": "cream 35 %", "cream": "cream 35 %", "35% cream": "cream 35 %", "double cream": "double cream",
		"single cream": "cream 18 %", "crème fraîche": "crème fraîche", "creme fraiche": "crème fraîche", "half-and-half": "cream 12 %",
		"corn starch": "cornstarch", "cornflour": "cornstarch", "bicarb": "baking soda", "baking powder": "baking powder", "gelatin": "gelatine powder 200 Bloom",
		"gelatine leaves": "gelatine leaf", "leaf gelatin": "gelatine leaf", "milk": "milk", "whole milk": "milk", "buttermilk": "buttermilk",
		"milk powder": "skimmed milk powder", "butter": "butter", "unsalted butter": "butter", "beurre noisette": "brown butter", "ghee": "clarified butter",
		"glucose": "glucose syrup DE 40", "atomised glucose": "glucose powder DE 30", "dextrose": "dextrose", "trimmed": "", "inverted sugar": "invert sugar",
		"walnuts": "walnuts", "walnut": "walnuts", "ground almonds": "almond flour", "praline paste": "hazelnut praline 50 %", "tahini": "tahini",
		"buckwheat": "buckwheat groats", "buckwheat flour": "buckwheat flour", "rye": "rye grains", "sourdough": "sourdough starter", "yeast": "fresh yeast",
		"agar-agar": "agar", "xanthan": "xanthan gum", "pectin": "high-methoxyl pectin", "NH pectin": "amidated pectin", "curing salt": "nitrite curing salt",
		"pink salt": "nitrite curing salt", "vanilla": "vanilla pod", "vanilla bean": "vanilla pod", "sorrel": "sorrel", "pears": "pear", "pear puree": "pear puree",
		"pear purée": "pear puree", "lemon zest": "lemon zest", "juice of lemon": "lemon juice", "cilantro": "coriander leaves", "scallions": "spring onion",
		"eggplant": "aubergine", "zucchini": "courgette", "shrimp": "prawns", "soy sauce": "soy sauce", "miso": "miso", "fish sauce": "fish sauce",
		"dark chocolate 70 %": "dark chocolate 70 %", "70 % chocolate": "dark chocolate 70 %", "cocoa": "cocoa powder", "cocoa nibs": "cocoa nibs",
		"rum": "white rum", "white wine": "white wine", "espresso": "espresso", "water": "water", "oil": "sunflower oil", "salt": "salt", "pepper": "black pepper",
		// French, Spanish, Italian, German, Portuguese
		"jaune d'œuf": "egg yolk", "jaune d'oeuf": "egg yolk", "jaunes": "egg yolk", "nata": "cream 35 %", "farina": "plain flour", "Sahne": "cream 35 %",
		"panna": "cream 35 %", "crème liquide": "cream 35 %", "natas": "cream 35 %", "harina": "plain flour", "Mehl": "plain flour", "farine": "plain flour",
		"farinha": "plain flour", "beurre": "butter", "mantequilla": "butter", "burro": "butter", "manteiga": "butter", "Zucker": "sugar", "zucchero": "sugar",
		"azúcar": "sugar", "açúcar": "sugar", "sucre": "sugar", "Puderzucker": "icing sugar", "sucre glace": "icing sugar", "Eigelb": "egg yolk", "tuorli": "egg yolk",
		"yema": "egg yolk", "gemas": "egg yolk", "huevos": "egg", "uova": "egg", "Eier": "egg", "ovos": "egg", "lait": "milk", "leche": "milk", "latte": "milk",
		"Milch": "milk", "leite": "milk", "sel": "salt", "sal": "salt", "Salz": "salt", "eau": "water", "agua": "water", "acqua": "water", "Wasser": "water",
		"noisettes": "hazelnuts", "Haselnüsse": "hazelnuts", "nocciole": "hazelnuts", "avellanas": "hazelnuts", "avelãs": "hazelnuts", "Blattgelatine": "gelatine leaf",
		"colla di pesce": "gelatine leaf", "Sauerampfer": "sorrel", "oseille": "sorrel", "Birnen": "pear", "poires": "pear", "Walnüsse": "walnuts", "noix": "walnuts",
		"levure chimique": "baking powder", "Hefe": "fresh yeast", "lievito": "fresh yeast", "Trockenhefe": "dried yeast", "Buchweizenmehl": "buckwheat flour",
	}
	l := New(nil)
	for text, want := range tests {
		got := ""
		if it := l.Find(text); it != nil {
			got = it.Name
		}
		if want == "" && text == "whites" {
			continue // "blancs" is French for it, "whites" nobody's name
		}
		if got != want {
			t.Errorf("Find(%q) = %q, want %q", text, got, want)
		}
	}
}

// No name of the larder is a word that a question is made of: "more" is no blackberry.
func TestNoNameIsAQuestionWord(t *testing.T) {
	words := `the a an and or of in on at to for from by with without per is are was were be been do does did has have had can could may might must
		shall should will would i me my we us our you your he she it they them their this that these those who what which when where why how
		much many more most less least few some any no not none all both each every other another same such than then there here now today tomorrow
		one two three four five six seven eight nine ten half double triple quarter dozen
		make makes making take need use put add set rest bake cook boil chill freeze thaw fill keep hold start stop wait go come get give show tell find
		batch batches piece pieces cover covers plate plates tray trays mould moulds pan pans bar bars cup cups spoon spoons gram grams kilo litre
		recipe recipes scale stock cost price total time timer minute minutes hour hours day days week order list card plan prep step steps part parts
		hot cold warm big small large medium fine new old good bad early late left right up down out over under again back please thanks
		sale rape pain pane pan col met lab germ ail tee rind fine lie son plus pour sans avec une des les mit ohne und oder der die das con sin para com sem`
	l := New(nil)
	for w := range strings.FieldsSeq(words) {
		if it := l.Find(w); it != nil {
			t.Errorf("%q is a name of %s", w, it.Name)
		}
	}
}

// Reading values when first asked for is safe for many at once.
func TestFindFromManyAtOnce(t *testing.T) {
	base := decode()
	l := lay(nil, base)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for _, n := range []string{"butter", "milk", "egg", "pear", "sel", "rum"} {
				if it := l.Find(n); it == nil || it.Comp.IsEmpty() || it.CompOrigin.From == "" {
					t.Errorf("%s: %+v", n, it)
				}
			}
			if n := len(l.Items()); n != len(base.all) || l.Items()[n-1].Comp.IsEmpty() && l.Items()[0].Comp.IsEmpty() {
				t.Errorf("%d items", n)
			}
		})
	}
	wg.Wait()
}

// The words of a name come in any case, with or without accents, hyphens and plural.
func TestFindFolds(t *testing.T) {
	l := New(nil)
	for _, pair := range [][2]string{{"CRÈME-FRAÎCHE", "creme fraiche"}, {"Egg-Yolks", "egg yolk"}, {"jaune d’œuf", "jaune d'oeuf"}, {"açúcar", "acucar"}} {
		a, b := l.Find(pair[0]), l.Find(pair[1])
		if a == nil || a != b {
			t.Errorf("%q and %q: %v, %v", pair[0], pair[1], a, b)
		}
		if name.Fold(pair[0]) != name.Fold(pair[1]) {
			t.Errorf("%q and %q fold apart", pair[0], pair[1])
		}
	}
	if it := l.Find(""); it != nil {
		t.Errorf("nothing is %s", it.Name)
	}
}
