package scale_test

import (
	"errors"
	"fmt"
	"strings"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

func ExampleFormula_Finished() {
	f := &scale.Formula{
		Name:      "pear glaze",
		Lines:     []scale.Line{grams("pear juice", "900"), grams("sugar", "300")},
		Steps:     nums("400"), // reduce: from 1200 g to 800 g
		LossShare: num("0.02"),
	}
	fmt.Println(f.Finished())
	f.Steps = nums("1300")
	_, err := f.Finished()
	fmt.Println(errors.Is(err, scale.ErrNegative))
	// Output:
	// 784 <nil>
	// true
}

func ExampleFormula_PieceMass() {
	f := &scale.Formula{Name: "sable", Lines: []scale.Line{grams("buckwheat flour", "300"), grams("butter", "180")}, Pieces: num("40")}
	fmt.Println(f.PieceMass())
	// Output: 12 <nil>
}

func ExampleFormula_Massless() {
	f := &scale.Formula{Lines: []scale.Line{grams("sorrel", "80"), {Name: "salt"}}}
	fmt.Println(f.Massless())
	// Output: [salt]
}

func ExampleFormula_AeratedDensity() {
	fmt.Println((&scale.Formula{Density: num("1.05"), Overrun: num("0.4")}).AeratedDensity())
	// Output: 0.75 <nil>
}

func ExampleFormula_Volume() {
	f := &scale.Formula{Lines: []scale.Line{grams("mix", "900")}, Density: num("1.05"), Overrun: num("0.4")}
	fmt.Println(f.Volume())
	// Output: 1200 <nil>
}

func ExampleFactor() {
	fmt.Println(scale.Factor(quantity.Grams(num("600")), quantity.Of(num("1.5"), quantity.KG)))
	_, err := scale.Factor(quantity.Grams(num("600")), quantity.Of(num("1"), quantity.L))
	fmt.Println(err)
	// Output:
	// 2.5 <nil>
	// different kinds of unit: l is a volume, g a mass
}

func ExamplePortionFactor() {
	fmt.Println(scale.PortionFactor(num("20"), quantity.Grams(num("150")), num("30"), quantity.Grams(num("120"))))
	// Output: 1.2 <nil>
}

func ExampleForMass() {
	fmt.Println(scale.ForMass(lodehavn().brownButter, num("950")))
	// Output: 2.5 <nil>
}

func ExampleForPieces() {
	h := lodehavn()
	fmt.Println(scale.ForPieces(h.parfait, num("60")))
	_, err := scale.ForPieces(h.iceCream, num("60"))
	fmt.Println(err)
	// Output:
	// 2.5 <nil>
	// brown butter ice cream: makes no pieces
}

func ExampleWithSpare() {
	f := &scale.Formula{Spare: num("0.08")}
	fmt.Println(scale.WithSpare(f, num("2")))
	// Output: 2.16
}

func ExampleTotal() {
	fmt.Println(scale.Total(lodehavn().brownButter, num("2.5")))
	// Output: 950 <nil>
}

func ExamplePieces() {
	fmt.Println(scale.Pieces(lodehavn().tuile, num("0.5")))
	// Output: 23 <nil>
}

func ExampleScaled() {
	for _, l := range scale.Scaled(lodehavn().iceCream, num("3")) {
		fmt.Println(l.Line.Name, l.Mass)
	}
	// Output:
	// milk 1620
	// cream 35 % 510
	// egg yolk 288
	// sugar 264
	// brown butter 228
}

func ExampleLeaves() {
	leaves, _ := scale.Leaves(lodehavn().iceCream, num("2"))
	for _, l := range leaves {
		fmt.Println(l.Name, l.Mass, strings.Join(l.From[0].Way, " → "))
	}
	// Output:
	// milk 1080 brown butter ice cream
	// cream 35 % 340 brown butter ice cream
	// egg yolk 192 brown butter ice cream
	// sugar 176 brown butter ice cream
	// butter 200 brown butter ice cream → brown butter
}

func ExampleOf() {
	h := lodehavn()
	yolk, _ := scale.Of(h.dish, num("95"), "egg yolk")
	fmt.Println(yolk.Mass)
	for _, c := range yolk.From {
		fmt.Println(c.Mass, strings.Join(c.Way, " → "))
	}
	_, err := scale.Of(h.dish, num("95"), "cocoa")
	fmt.Println(err)
	// Output:
	// 859
	// 475 pear plate → parfait
	// 384 pear plate → brown butter ice cream
	// cocoa: not used
}

func ExampleNeeds() {
	needs, _ := scale.Needs(lodehavn().dish, num("30"))
	for _, n := range needs {
		fmt.Println(n.Formula.Name, n.Mass.Fixed(1), "g,", n.Batches.Fixed(3), "batches, whole:", n.Whole)
	}
	// Output:
	// parfait 870 g, 1.25 batches, whole: 2
	// brown butter 195.8 g, 0.515 batches, whole: 1
	// pear core 270 g, 1.25 batches, whole: 2
	// buckwheat tuile 90 g, 0.652 batches, whole: 1
	// brown butter ice cream 1200 g, 1.263 batches, whole: 2
}

func ExampleForCovers() {
	h := lodehavn()
	coupe := &scale.Formula{Name: "coupe", Lines: []scale.Line{draws(h.iceCream, "95")}, Pieces: num("1")}
	needs, _ := scale.ForCovers([]scale.Cover{{Formula: h.dish, N: num("38")}, {Formula: coupe, N: num("14")}})
	for _, n := range needs {
		if n.Formula == h.iceCream {
			fmt.Println(n.Formula.Name, n.Mass, n.Batches)
		}
	}
	// Output: brown butter ice cream 2850 3
}

func ExampleRollUp() {
	h := lodehavn()
	roll, _ := scale.RollUp(scale.Batch{Formula: h.iceCream, Factor: num("1")}, scale.Batch{Formula: h.brownButter, Factor: num("1")})
	butter, _ := roll.Of("butter")
	fmt.Println(butter.Mass)
	// Output: 600
}

func ExampleRollUpCovers() {
	roll, _ := scale.RollUpCovers([]scale.Cover{{Formula: lodehavn().dish, N: num("24")}})
	cream, _ := roll.Of("pear purée")
	fmt.Println(cream.Mass)
	// Output: 200
}

func ExampleFromLeft() {
	limit, _ := scale.FromLeft(lodehavn().iceCream,
		scale.Left{Name: "egg yolk", Amount: num("240")}, scale.Left{Name: "butter", Amount: num("200")})
	fmt.Println(limit.Factor, limit.Name)
	fmt.Println(limit.Rest[0].Name, limit.Rest[0].Amount)
	// Output:
	// 2 butter
	// egg yolk 48
}

func ExampleResize() {
	fmt.Println(scale.Resize(scale.Round("", num("18"), num("4")), scale.Round("", num("24"), num("4"))))
	fmt.Println(scale.Resize(scale.Box("", num("30"), num("20"), num("3")), scale.Box("", num("40"), num("30"), num("2"))))
	// Output:
	// 16/9 area <nil>
	// 4/3 volume <nil>
}

func ExampleBox() {
	fmt.Println(scale.Box("frame", num("36"), num("28"), num("2")).FillVolume())
	// Output: 2016 <nil>
}

func ExampleRound() {
	fmt.Println(scale.Round("ring", num("20"), num("0")).Area.Fixed(2))
	// Output: 314.16
}

func ExampleVessel_FillVolume() {
	fmt.Println(scale.Vessel{Name: "dome 45", Volume: num("38"), Core: num("9")}.FillVolume())
	// Output: 29 <nil>
}

func ExampleVessel_Sheets() {
	fmt.Println(scale.Vessel{Name: "dome 45", Cells: num("24")}.Sheets(num("50")))
	// Output: 3
}

func ExampleForMoulds() {
	h := lodehavn()
	fill, _ := scale.ForMoulds(h.parfait, scale.Vessel{Name: "dome 60", Cells: num("10"), Volume: num("67")}, num("30"))
	cream := scale.Scaled(fill.Formula, fill.Factor)[0]
	cores := scale.Scaled(fill.Formula, fill.Factor)[4]
	fmt.Println(fill.Factor, "by", fill.Basis, "in", fill.Sheets)
	fmt.Println(cream.Line.Name, cream.Mass, "and", cores.Count, "of", cores.Line.Name)
	// Output:
	// 2.5 by volume in 3
	// cream 35 % 1050 and 30 of pear core
}

func ExampleBatches() {
	split, _ := scale.Batches(num("4500"), num("600"), num("2000"))
	fmt.Println(split.N, "×", split.Each)
	_, err := scale.Batches(num("2200"), num("1500"), num("2000"))
	fmt.Println(err)
	// Output:
	// 3 × 1500
	// 2200 in batches of 1500 to 2000: no batches fit the machine: possible are 1 × 2000 or 2 × 1500
}

func ExampleWholePieces() {
	eggs, _ := scale.WholePieces(num("2.5"), num("50"))
	fmt.Println(eggs.Whole, "whole,", eggs.Rest, "of another; or weigh", eggs.Mass, "g")
	// Output: 2 whole, 0.5 of another; or weigh 125 g
}

func ExampleBakersPercent() {
	lines, _ := scale.BakersPercent([]scale.Line{grams("buckwheat flour", "200"), grams("rye flour", "300"), grams("water", "340")}, "buckwheat flour", "rye flour")
	for _, l := range lines {
		fmt.Println(l.Line.Name, l.Percent)
	}
	// Output:
	// buckwheat flour 40
	// rye flour 60
	// water 68
}

func ExampleFromBakersPercent() {
	fmt.Println(scale.FromBakersPercent(nums("100", "68", "2"), num("850")))
	// Output: [500 340 10] <nil>
}

func ExampleFromParts() {
	fmt.Println(scale.FromParts(nums("3", "2", "1"), num("900")))
	// Output: [450 300 150] <nil>
}

func ExampleOnePart() {
	fmt.Println(scale.OnePart(num("570"), num("0.05"), nums("3", "2", "1")...))
	// Output: 100 <nil>
}

func ExamplePercentOf() {
	fmt.Println(scale.PercentOf(num("2"), num("350"), num("150")))
	// Output: 10
}

func ExampleAsPercent() {
	fmt.Println(scale.AsPercent(num("12"), num("96")))
	// Output: 12.5 <nil>
}

func ExampleWaterTemperature() {
	fmt.Println(scale.WaterTemperature(num("24"), num("20"), num("19"), num("6")))
	// Output: 27
}

func ExampleYield() {
	fmt.Println(scale.Yield(num("850"), num("1000")))
	// Output: 0.85 <nil>
}

func ExampleTrimYield() {
	fmt.Println(scale.TrimYield(num("1000"), num("150")))
	// Output: 0.85 <nil>
}

func ExampleToBuy() {
	fmt.Println(scale.ToBuy(num("680"), num("0.85")))
	// Output: 800 <nil>
}

func ExampleUsable() {
	fmt.Println(scale.Usable(num("800"), num("0.85")))
	// Output: 680 <nil>
}

func ExampleUnitCost() {
	fmt.Println(scale.UnitCost(num("18"), num("2.5")))
	// Output: 7.2 <nil>
}

func ExampleEdibleCost() {
	fmt.Println(scale.EdibleCost(num("5.10"), num("0.85")))
	// Output: 6 <nil>
}

func ExampleFoodCost() {
	fmt.Println(scale.FoodCost(num("3.30"), num("12")))
	// Output: 0.275 <nil>
}

func ExampleMenuPrice() {
	fmt.Println(scale.MenuPrice(num("3.30"), num("0.275")))
	// Output: 12 <nil>
}

func ExampleCautions() {
	f := &scale.Formula{Lines: []scale.Line{{Name: "long pepper", Class: scale.ClassSpice}}, Steps: nums("300")}
	fmt.Println(scale.Cautions(f, num("4")))
	fmt.Println(scale.Cautions(f, num("1.2")))
	// Output:
	// [evaporation spice]
	// []
}
