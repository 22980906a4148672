package larder_test

import (
	"fmt"

	"tamis/calc/mix"
	"tamis/kb/larder"
)

func ExampleLarder_Find() {
	l := larder.New(nil)
	it := l.Find("jaune d'œuf")
	water, _ := it.Comp.Get(mix.Water)
	fmt.Println(it.Name, water, "g water in 100 g from", it.CompSource[mix.Water].Source)
	piece := it.Piece[""]
	fmt.Println("one is", piece, "g from", it.PieceOrigin.Source)
	// Output:
	// egg yolk 52.31 g water in 100 g from usda:01125
	// one is 17 g from usda:01125/1 large
}

// A house's entry lies over the built-in item: what it states is the house's,
// the rest is the larder's.
func ExampleNew() {
	house, faults := larder.Parse("larder.yaml", []byte(`
- ingredient: house butter
  also: [butter]
  costs: 9.40 EUR/kg
  per 100 g: {salt: 0.8}
`))
	l := larder.New(house)
	it := l.Find("unsalted butter")
	fat, _ := it.Comp.Get(mix.Fat)
	salt, _ := it.Comp.Get(mix.Salt)
	fmt.Println(len(faults), it.Name, it.Price, "per", it.PricePer)
	fmt.Println("fat", fat, it.CompSource[mix.Fat].From, "salt", salt, it.CompSource[mix.Salt].From)
	// Output:
	// 0 house butter 9.4 EUR per 1 kg
	// fat 81.11 larder salt 0.8 house
}

func ExampleParse() {
	_, faults := larder.Parse("larder.yaml", []byte("- ingredient: cream\n  contians: [milk]\n"))
	fmt.Println(faults[0])
	// Output:
	// larder.yaml:2:3: The key “contians” is not known here. Write: contains:
}
