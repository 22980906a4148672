package sugar_test

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
	"tamis/calc/sugar"
)

func ExampleDensity() {
	d, err := sugar.Density(quantity.Int(60))
	be, _ := sugar.Baume(quantity.Int(60))
	fmt.Println(d.Value.Fixed(3), "g/ml,", be.Value.Fixed(1), "°Bé", err)
	_, err = sugar.Density(quantity.Int(110))
	fmt.Println(errors.Is(err, sugar.ErrRange))
	// Output:
	// 1.286 g/ml, 32.5 °Bé <nil>
	// true
}

// The pear syrup boils at 104 °C at the harbour, 12 m above the sea.
func ExampleBrixBoilingAt() {
	bx, err := sugar.BrixBoilingAt(quantity.Int(104), quantity.Int(12))
	fmt.Println(bx.Value.Fixed(0), "±", bx.PlusMinus.Fixed(0), err)
	// Output: 64 ± 2 <nil>
}

func ExampleStageAt() {
	r, err := sugar.StageAt(quantity.Int(118), quantity.Int(12))
	fmt.Println(r.In[0].Name, r.Cautions, err)
	r, _ = sugar.StageAt(quantity.MustDecimal("116.5"), quantity.Int(12))
	fmt.Println(len(r.In), r.Below.Name, r.Above.Name)
	// Output:
	// firm ball [hot sugar] <nil>
	// 0 soft ball firm ball
}

// Will it crystallise in the fridge?
func ExampleWillCrystallise() {
	for _, bx := range []int64{50, 65, 70} {
		k, err := sugar.WillCrystallise(quantity.Int(bx), quantity.Int(3))
		fmt.Println(bx, k.Verdict, k.Saturation.Fixed(2), err)
	}
	// Output:
	// 50 stays clear 0.55 <nil>
	// 65 at the limit 1.02 <nil>
	// 70 crystallises 1.28 <nil>
}

func ExampleAdjust() {
	poach := sugar.Syrup{Mass: quantity.Int(1500), Brix: quantity.Int(30)}
	water, err := sugar.Adjust(poach, quantity.Int(0), quantity.Int(25))
	fmt.Println(water, err)
	_, err = sugar.Adjust(poach, quantity.Int(0), quantity.Int(40))
	fmt.Println(errors.Is(err, sugar.ErrBetween))
	// Output:
	// 300 <nil>
	// true
}

func ExampleSquare() {
	a, b, err := sugar.Square(quantity.Int(60), quantity.Int(20), quantity.Int(30), quantity.Int(1000))
	fmt.Println(a, b, err)
	// Output: 250 750 <nil>
}

// A refractometer reads the alcohol of a spirit as sugar.
func ExampleApparentBrix() {
	bx, err := sugar.ApparentBrix("ethanol", quantity.Int(10))
	fmt.Println(bx.Value.Fixed(1), err)
	// Output: 4.5 <nil>
}
