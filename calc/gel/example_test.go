package gel_test

import (
	"errors"
	"fmt"

	"tamis/calc/gel"
	"tamis/calc/quantity"
)

// The set cream takes 10 g of 200 Bloom; the shop only has 160.
func ExampleConvert() {
	n := quantity.Int
	c, err := gel.Convert(n(10), n(200), n(160))
	fmt.Println(c.BySquareRoot.Fixed(2), c.ByLeaf, err)
	_, err = gel.Convert(n(10), n(200), n(0))
	fmt.Println(errors.Is(err, gel.ErrBloom))
	// Output:
	// 11.18 12.5 <nil>
	// true
}

func ExampleGrades() {
	for _, g := range gel.Grades() {
		fmt.Println(g.Name, g.BloomLow, g.BloomHigh, g.Leaf, "g")
	}
	// Output:
	// bronze 125 155 3.3 g
	// silver 160 160 2.5 g
	// gold 190 220 2 g
	// platinum 235 265 1.7 g
}

// Is 4 g agar right for 350 g of pear juice of 12 °Bx as a fluid gel?
func ExampleJudge() {
	v, err := gel.Judge("agar", "fluid gel", quantity.Int(4), quantity.Int(308))
	fmt.Println(v.Share.Fixed(2), v.Low, v.High, v.Where, v.LowGrams.Fixed(1), v.HighGrams.Fixed(1), v.Needs[0].Text, err)
	// Output: 1.3 0.6 1.2 above 1.8 3.7 boil <nil>
}

// Softer than your set cream: 0.9 % against 1.2 %.
func ExampleCompare() {
	n := quantity.MustDecimal
	c, err := gel.Compare(gel.Strength{Share: n("0.9"), Bloom: n("200")}, gel.Strength{Share: n("1.2"), Bloom: n("200")})
	fmt.Println(c.Softer, c.Ratio, err)
	// Output: true 0.75 <nil>
}

// 0.4 g of xanthan on a scale that shows 0.1 g.
func ExampleWeigh() {
	n := quantity.MustDecimal
	d, err := gel.Weigh(n("0.4"), n("0.1"))
	fmt.Println(d.Small, d.Steps, "steps; premix", d.Premix.Agent, "in", d.Premix.Carrier, "weigh", d.Premix.Weigh, "or", d.Batches, "batches", err)
	// Output: true 4 steps; premix 2 in 18 weigh 4 or 5 batches <nil>
}

func ExampleOf() {
	melts, err := gel.Of("agar", gel.Melt)
	for _, v := range melts {
		fmt.Println(v.Low, v.HasHigh, v.High, v.Source)
	}
	fmt.Println(err)
	// Output:
	// 80 true 90 S-633
	// 80 false 0 S-632
	// <nil>
}
