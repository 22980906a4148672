package swap_test

import (
	"errors"
	"fmt"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/swap"
)

// of lays a composition down: name of the key, g in 100 g.
func of(keysAndGrams ...string) mix.Composition {
	var c mix.Composition
	for i := 0; i < len(keysAndGrams); i += 2 {
		k, ok := mix.KeyNamed(keysAndGrams[i])
		if !ok {
			panic(keysAndGrams[i])
		}
		c = c.With(k, quantity.MustDecimal(keysAndGrams[i+1]))
	}
	return c
}

var (
	cream   = swap.Ingredient{Name: "cream 35 %", Category: "dairy", Comp: of("water", "59", "fat", "35", "protein", "2")}
	cream40 = swap.Ingredient{Name: "cream 40 %", Category: "dairy", Comp: of("water", "54.4", "fat", "40", "protein", "1.9")}
	milk    = swap.Ingredient{Name: "milk", Category: "dairy", Comp: of("water", "87.6", "fat", "3.6", "protein", "3.3")}
	sorrel  = swap.Ingredient{Name: "sorrel", Category: "herb", Comp: of("water", "93", "fat", "0.7", "protein", "2")}
)

// No cream of 35 %: there is cream of 40 % and milk. The masses come out on the house's scales, the total to the gram.
func ExampleFind() {
	recipe := swap.Recipe{Lines: []swap.Line{
		{Ingredient: cream, Mass: quantity.Int(500)},
		{Ingredient: sorrel, Mass: quantity.Int(60)},
	}}
	scales := []quantity.Scale{{Name: "bench scale", Reads: quantity.Int(1), UpTo: quantity.Int(6000)}}
	res, err := swap.Find(recipe, []swap.Missing{{Line: 0}},
		[]swap.Candidate{{Ingredient: cream40, Allowed: true}, {Ingredient: milk, Allowed: true}},
		[]swap.Wish{{What: swap.Fat, Tolerance: quantity.Frac(2, 100)}, {What: swap.Water}, {What: swap.Protein}},
		swap.Options{Scales: scales, Most: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range res.Offers[0].Changes {
		fmt.Printf("%s: %s g, was %s g\n", c.Name, c.Now, c.Was)
	}
	for _, e := range res.Offers[0].Effects {
		if e.What == swap.Fat {
			fmt.Printf("fat: %s g, was %s g: %s\n", e.After, e.Before, e.Keeps)
		}
	}
	// Output:
	// cream 35 %: 0 g, was 500 g
	// cream 40 %: 439 g, was 0 g
	// milk: 61 g, was 0 g
	// fat: 178.216 g, was 175.42 g: kept
}

// What keeps a preserve safe is never swapped.
func ExampleFind_locked() {
	acid := swap.Ingredient{Name: "vinegar", Comp: of("water", "95", "acid", "5")}
	pickle := swap.Recipe{Lines: []swap.Line{
		{Ingredient: acid, Mass: quantity.Int(400), Lock: swap.PreserveAcid},
		{Ingredient: sorrel, Mass: quantity.Int(600)},
	}}
	_, err := swap.Find(pickle, []swap.Missing{{Line: 0}}, nil, []swap.Wish{{What: swap.Acid}}, swap.Options{})
	var locked *swap.LockedError
	if errors.As(err, &locked) {
		fmt.Println(locked.Line, "|", locked.Reason)
	}
	// Output:
	// vinegar | acid of a preserve
}

// What the cream does in the recipe, and how much of it all.
func ExampleDuties() {
	recipe := swap.Recipe{Lines: []swap.Line{
		{Ingredient: cream, Mass: quantity.Int(200)},
		{Ingredient: milk, Mass: quantity.Int(500)},
	}}
	duties, err := swap.Duties(recipe, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, d := range duties {
		if d.KnowsShare {
			fmt.Printf("%s: %s g, %s %%\n", d.What, d.Grams, d.Share.Fixed(1))
		}
	}
	// Output:
	// water: 118 g, 21.2 %
	// fat: 70 g, 79.5 %
	// protein: 4 g, 19.5 %
}

// 10 g of gold leaf, and only silver in the drawer: by the square root, and leaf for leaf beside it.
func ExampleApply() {
	gold := swap.Ingredient{Name: "gelatine leaf", Gelatine: true, Bloom: quantity.Int(200)}
	silver := swap.Ingredient{Name: "silver gelatine leaf", Gelatine: true, Bloom: quantity.Int(160)}
	for _, e := range swap.Equivalents(gold.Name, silver.Name) {
		x, err := swap.Apply(e, quantity.Int(10), gold, silver, swap.Ingredient{})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %s g; leaf for leaf %s g\n", e.Rule, x.To, x.ByLeaf)
	}
	// Output:
	// bloom: 11.18 g; leaf for leaf 12.5 g
}

// 340 g of 500 g of cream: 0.68 of the recipe, or 160 g to swap.
func ExampleShort() {
	recipe := swap.Recipe{Lines: []swap.Line{
		{Ingredient: cream, Mass: quantity.Int(500)},
		{Ingredient: milk, Mass: quantity.Int(250)},
	}}
	s, err := swap.Short(recipe, 0, quantity.Int(340))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("factor %s: %s g and %s g; or swap %s g\n", s.Factor, s.Lines[0], s.Lines[1], s.Rest)
	// Output:
	// factor 0.68: 340 g and 170 g; or swap 160 g
}
