// Package made makes books of invented recipes for tests and benchmarks: a
// number flows in, as many recipes of about 1 KB each flow out, the same every time.
package made

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing/fstest"
)

// Recipe is one made recipe.
type Recipe struct {
	Name        string
	Also        []string
	Section     string
	Ingredients []string
	Grams       []int
	Method      []string // verb: words
	Notes       string
}

var (
	things = strings.Fields(`pear walnut sorrel buckwheat apple quince plum cherry rhubarb carrot celeriac leek
		potato mushroom barley rye oat hazelnut almond parsley dill fennel beetroot cabbage kohlrabi
		cod trout mussel honey butter cream buttermilk yoghurt egg chocolate coffee vanilla lemon
		juniper thyme bay mustard horseradish lentil chickpea pumpkin parsnip spinach watercress nettle`)
	looks = strings.Fields(`roast salted smoked pickled braised whipped frozen warm crisp soft bitter sour
		burnt brown white dark wild young old fine coarse`)
	forms = strings.Fields(`tart parfait sorbet custard crumble mousse terrine broth sauce glaze dressing
		bread brioche tuile shortbread dumpling puree salad stew pickle oil powder foam cake wafer`)
	stocked = []string{"caster sugar", "whole milk", "cream 35 %", "egg yolk", "egg white", "wheat flour", "rye flour", "butter",
		"sea salt", "gelatine leaf", "dextrose", "glucose syrup", "honey", "lemon juice", "apple juice", "cider vinegar", "rapeseed oil",
		"walnut", "hazelnut", "almond", "pear puree", "pear", "apple", "sorrel", "buckwheat flour", "buckwheat", "dark chocolate", "vanilla pod",
		"buttermilk", "yoghurt", "shallot", "leek", "potato", "celeriac", "carrot", "thyme", "bay leaf", "juniper berry", "black pepper", "mustard"}
	verbs = strings.Fields(`boil mix whisk cook blend strain chill rest bake fold knead roll freeze warm reduce`)
	said  = strings.Fields(`slowly over the low heat until it holds together and smooth with a spoon then cover
		label stir all time in small pan let cool keep lid on once more by hand for colour no lumps evenly tray half
		rest dry fine sieve edge shine thick thin clean mark turn lift clear quick gentle first last second next`)
	heads = strings.Fields(`ald brak dorn eik fjel grim hav lun mor nes orm rosk skar tind ulv varg vel ost kis bjar`)
	tails = strings.Fields(`aby berg dal eby fell gard holm ik lund mark nor ost rud sund torp und vik wold arn ete`)
)

// Recipes returns n recipes with names of their own.
func Recipes(n int) []Recipe {
	r := rand.New(rand.NewPCG(20, 5))
	out := make([]Recipe, n)
	for i := range out {
		place := heads[i%len(heads)] + tails[i/len(heads)%len(tails)]
		if k := i / len(heads) / len(tails); k > 0 {
			place += " " + heads[k%len(heads)] + tails[k/len(heads)%len(tails)]
		}
		rec := Recipe{
			Name:    strings.Join([]string{pick(r, looks), pick(r, things), pick(r, forms), place}, " "),
			Section: pick(r, []string{"pastry", "cold", "hot", "bread"}),
		}
		for range r.IntN(3) {
			rec.Also = append(rec.Also, strings.Join([]string{pick(r, things), pick(r, things), pick(r, forms)}, " "))
		}
		for _, k := range r.Perm(len(stocked))[:7+r.IntN(6)] {
			rec.Ingredients = append(rec.Ingredients, stocked[k])
			rec.Grams = append(rec.Grams, 5+r.IntN(900))
		}
		for range 6 + r.IntN(4) {
			rec.Method = append(rec.Method, pick(r, verbs)+": "+words(r, 8+r.IntN(8)))
		}
		rec.Notes = words(r, 12)
		out[i] = rec
	}
	return out
}

func pick(r *rand.Rand, of []string) string { return of[r.IntN(len(of))] }

func words(r *rand.Rand, n int) string {
	var b strings.Builder
	for i := range n {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(pick(r, said))
	}
	return b.String()
}

// YAML writes the recipe in the book's form.
func (r Recipe) YAML() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "recipe: %s\n", r.Name)
	if len(r.Also) > 0 {
		fmt.Fprintf(&b, "also: [%s]\n", strings.Join(r.Also, ", "))
	}
	fmt.Fprintf(&b, "section: %s\ningredients:\n", r.Section)
	for i, name := range r.Ingredients {
		fmt.Fprintf(&b, "  - %s: %d g\n", name, r.Grams[i])
	}
	b.WriteString("method:\n")
	for _, m := range r.Method {
		fmt.Fprintf(&b, "  - %s\n", m)
	}
	fmt.Fprintf(&b, "notes: %s\n", r.Notes)
	return []byte(b.String())
}

// Text returns what of the recipe is neither name nor ingredient.
func (r Recipe) Text() string {
	return r.Section + " " + strings.Join(r.Method, " ") + " " + r.Notes
}

// Book returns a book of n recipes as files.
func Book(n int) fstest.MapFS {
	files := fstest.MapFS{"house.yaml": {Data: []byte("house: Lodehavn\n")}}
	for i, r := range Recipes(n) {
		files[fmt.Sprintf("recipes/%06d.yaml", i)] = &fstest.MapFile{Data: r.YAML()}
	}
	return files
}

// Mistyped returns the place word of the i-th recipe's name with two letters
// swapped, as a hurried cook would write it.
func Mistyped(r Recipe) string {
	w := []byte(r.Name[strings.LastIndexByte(r.Name, ' ')+1:])
	w[2], w[3] = w[3], w[2]
	return string(w)
}
