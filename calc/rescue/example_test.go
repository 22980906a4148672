package rescue_test

import (
	"fmt"

	"tamis/calc/quantity"
	"tamis/calc/rescue"
)

// 600 g of milk went in where 500 were wanted: a batch of 1.2, and what it still needs.
func ExampleRebalance() {
	b, err := rescue.Rebalance([]rescue.Line{
		{Name: "milk", Wanted: quantity.Int(500), Poured: quantity.Int(600)},
		{Name: "cream 35 %", Wanted: quantity.Int(250)},
		{Name: "sugar", Wanted: quantity.Int(80)},
	}, []rescue.Limit{{Name: "batch freezer", Kind: rescue.Machine, Most: quantity.Int(900)}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("factor %s by %s, %s g\n", b.Factor, b.By, b.Total)
	for _, a := range b.Lines {
		fmt.Printf("%s: add %s g\n", a.Name, a.Add)
	}
	fmt.Printf("%s: %s g over, %s goes\n", b.Over[0].Name, b.Over[0].By, b.Over[0].Batches)
	// Output:
	// factor 1.2 by milk, 996 g
	// milk: add 0 g
	// cream 35 %: add 300 g
	// sugar: add 96 g
	// batch freezer: 96 g over, 2 goes
}

// Ten times the salt: bin it. What it costs is 520 g of what is in the bowl.
func ExampleRebalance_bin() {
	b, err := rescue.Rebalance([]rescue.Line{
		{Name: "buckwheat flour", Wanted: quantity.Int(200), Poured: quantity.Int(200)},
		{Name: "butter", Wanted: quantity.Int(280), Poured: quantity.Int(280)},
		{Name: "salt", Wanted: quantity.Int(4), Poured: quantity.Int(40)},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("bin:", b.Bin, b.Poured, "g; cautions:", b.Cautions)
	// Output:
	// bin: true 520 g; cautions: [mix well]
}

// The same milk, and no room for a larger batch: take some out and top up.
func ExampleTakeOut() {
	t, err := rescue.TakeOut([]rescue.Line{
		{Name: "milk", Wanted: quantity.Int(500), Poured: quantity.Int(600)},
		{Name: "sugar", Wanted: quantity.Int(90), Poured: quantity.Int(90)},
	}, quantity.Int(1), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("take %s g out, add %s g sugar, %s g in the end\n", t.Out, t.Lines[1].Add, t.Total)
	// Output:
	// take 115 g out, add 15 g sugar, 590 g in the end
}

// A sorbet base reads 34 °Bx and should read 28: how much water.
func ExampleCorrect() {
	c, err := rescue.Correct(rescue.Reading{Mass: quantity.Int(1400), Have: quantity.Int(34), Want: quantity.Int(28)}, quantity.Int(0))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("add %s g, %s g in all\n", c.Add, c.Total)
	// Output:
	// add 300 g, 1700 g in all
}

// The mould is filled and the gelatine still lies there.
func ExampleForgotToAdd() {
	f, err := rescue.ForgotToAdd("gelatine", "in moulds")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s, %s %s to %s %s\n", f.Verdict, f.Fact.What, f.Fact.Low, f.Fact.High, f.Fact.Unit)
	for _, h := range rescue.Warming(f.Fact.Low, "whipped cream", "custard") {
		fmt.Printf("%s: %s, from %s °C\n", h.What, h.How, h.Above)
	}
	// Output:
	// warm again, melt at 50 to 60 °C
	// whipped cream: it melts, from 10 °C
}

func ExampleFaults() {
	all, err := rescue.Faults("seized", "chocolate")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(all[0].Cause)
	fmt.Println(all[0].Bin)
	// Output:
	// a little water or steam got in
	// it smells burnt
}
