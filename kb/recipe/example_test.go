package recipe_test

import (
	"fmt"

	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

// A faulty file tells where, what, and what to write; its name is kept.
func ExampleParse() {
	data := []byte(`recipe: pear compote
ingredients:
  - pear: 1,200 g
  - sugar: {amount: 1,5 kg, nott: brown}
`)
	r, faults := recipe.Parse("pear-compote.yaml", data, quantity.Metric)
	fmt.Println(r.Name)
	for _, f := range faults {
		fmt.Println(f)
	}
	// Output:
	// pear compote
	// pear-compote.yaml:3:11: “1,200” may be a thousand or a decimal. Write: 1200 g, or 1.2 g
	// pear-compote.yaml:4:21: A comma inside { } parts two values: “1,5 kg” was read as two. Write: "1,5 kg" in quotes, or with a point
	// pear-compote.yaml:4:29: The key “nott” is not known here. Write: note:
}

func ExampleParseAmount() {
	for _, s := range []string{"1,2 kg", "1 1/2 tsp", "2-3 leaves (4-6 g)", "0.9 % of liquids", "to taste, start 10 g", "2 l of"} {
		a, err := recipe.ParseAmount(s, quantity.Metric)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(a.Written())
	}
	// Output:
	// 1.2 kg
	// 1.5 tsp
	// 2-3 leaves (5 g)
	// 0.9 % of liquids
	// to taste, start 10 g
	// Words behind the amount have their own key: “2 l of”. Write: {amount: 2 l, note: of}
}

// A variant takes over what it does not write.
func ExampleApplyChange() {
	base, _ := recipe.Parse("base.yaml", []byte(`recipe: ice cream base
makes: 1 kg
ingredients:
  - milk: 540 g
  - sugar: 88 g
  - walnut: 30 g
`), quantity.Metric)
	oat, _ := recipe.Parse("oat.yaml", []byte(`recipe: oat ice cream
based on: ice cream base
change: {sugar: 80 g, milk: {oat drink: 540 g}, walnut: none, miso: 12 g}
`), quantity.Metric)
	whole, faults := recipe.ApplyChange(base, oat)
	fmt.Println(whole.Name, "makes", whole.Makes.Text, faults)
	for _, l := range whole.Lines {
		fmt.Println("-", l.Name, l.Amount.Written())
	}
	// Output:
	// oat ice cream makes 1 kg []
	// - oat drink 540 g
	// - sugar 80 g
	// - miso 12 g
}
