package cost_test

import (
	"fmt"

	"tamis/calc/cost"
	"tamis/calc/quantity"
)

func n(s string) quantity.Number { return quantity.MustDecimal(s) }

// How many kg of pears to buy for 3 kg peeled, at 88 % usable.
func ExampleBuy() {
	pears, _ := cost.Buy(quantity.Of(n("3"), quantity.KG), n("0.88"))
	fmt.Println(pears.N.Fixed(2), pears.Unit.Symbol)
	// Output: 3.41 kg
}

// The price of the sorrel is missing: the sum is a minimum and names it.
func ExampleOf() {
	eur := quantity.Currency("EUR")
	butter := &cost.Good{Name: "butter", Price: &cost.Price{Money: quantity.Of(n("9.20"), eur), Per: quantity.Of(n("1"), quantity.KG)}}
	sorrel := &cost.Good{Name: "sorrel"}
	sauce := &cost.Recipe{Name: "sorrel butter", Pieces: n("10"), Lines: []cost.Line{
		{Good: butter, Amount: quantity.Of(n("250"), quantity.G), HasAmount: true},
		{Good: sorrel, Amount: quantity.Of(n("40"), quantity.G), HasAmount: true},
	}}
	b, _ := cost.Of(sauce, eur)
	each, _ := b.PerPiece()
	fmt.Println("at least", b.AtLeast, b.Sum, "a batch,", each.Sum, "a portion; missing:", b.Missing[0].Way, b.Missing[0].Err)
	// Output: at least true 2.3 EUR a batch, 0.23 EUR a portion; missing: [sorrel] no price
}

// What a dish costs as a share of its price.
func ExampleFoodCost() {
	eur := quantity.Currency("EUR")
	share, _ := cost.FoodCost(quantity.Of(n("4.20"), eur), quantity.Of(n("14"), eur))
	fmt.Println(share)
	// Output: 30 %
}
