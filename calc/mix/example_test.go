package mix_test

import (
	"errors"
	"fmt"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

func grams(s string) quantity.Number { return quantity.MustDecimal(s) }

// Cream states its fat, the walnut paste does not: the sum says "at least" and names it.
func ExampleBlend() {
	cream, _ := mix.New("cream 35 %", grams("200"), mix.Composition{}.With(mix.Water, grams("59")).With(mix.Fat, grams("35")))
	paste, _ := mix.New("walnut paste", grams("50"), mix.Composition{}.With(mix.Water, grams("3")))
	b := mix.Blend(cream, paste)
	fat := b.Grams(mix.Fat)
	fmt.Println("water", b.Grams(mix.Water), "g")
	fmt.Println("fat at least", fat.AtLeast, "g, at most", fat.AtMost, "g; not known of", fat.Missing)
	// Output:
	// water 119.5 g
	// fat at least 70 g, at most 118.5 g; not known of [walnut paste]
}

// A pear syrup is boiled down; only water goes.
func ExampleMixture_LoseWater() {
	syrup, _ := mix.New("pear syrup", grams("800"), mix.Composition{}.With(mix.Water, grams("75")).With(mix.Sugars, grams("25")))
	syrup, _ = syrup.LoseWater(grams("300"))
	fmt.Println(syrup.Mass(), "g,", syrup.Per100(mix.Sugars), "g sugars in 100 g")
	_, err := syrup.LoseWater(grams("400"))
	fmt.Println(errors.Is(err, mix.ErrNotEnough), err)
	// Output:
	// 500 g, 40 g sugars in 100 g
	// true not that much there: 400 g of water to take from 300 g
}

// Butter is browned: its water goes, and 6 g of the stated mass stay in the pan alike.
func ExampleCompose() {
	butter := &mix.Node{Name: "butter", Milk: mix.AllMilk, Comp: mix.Composition{}.
		With(mix.Water, grams("16")).With(mix.Fat, grams("82")).With(mix.Alcohol, grams("0"))}
	brown := &mix.Node{
		Name:     "brown butter",
		Lines:    []mix.Line{{Of: butter, Mass: grams("250"), HasMass: true}},
		Losses:   []mix.Loss{{Step: "cook", Mass: grams("40"), Pan: []mix.InPan{{Line: 0}}}},
		Finished: grams("204"), HasFinished: true,
	}
	w, err := mix.Compose(brown, nil)
	fmt.Println(w.Mass(), "g,", w.Per100(mix.Fat).AtLeast.Fixed(2), "% fat,", w.Per100(mix.Water), "% water", err)
	// Output:
	// 204 g, 97.62 % fat, 0 % water <nil>
}

// Something to taste weighs nothing in the book, and what it brings is open.
func ExamplePart_ToTaste() {
	salt := mix.Part{Name: "salt", Comp: mix.Composition{}.With(mix.Salt, grams("100"))}
	water, _ := mix.New("water", grams("500"), mix.Composition{}.With(mix.Water, grams("100")))
	b := mix.Blend(water, salt.ToTaste())
	fmt.Println(b.Mass(), "g, salt", b.Grams(mix.Salt))
	// Output:
	// 500 g, salt at least 0
}
