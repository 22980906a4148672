package heat_test

import (
	"fmt"

	"tamis/calc/heat"
)

// A stock of 95 % water, 10 cm deep in a fridge at 3 °C: far too slow for two hours to 21 °C.
func ExampleCoolDepth() {
	stock := heat.Makeup{Water: 0.95, Protein: 0.04, Ash: 0.01}
	m, err := stock.Material(-0.5, 40, -18)
	if err != nil {
		fmt.Println(err)
		return
	}
	e, err := heat.CoolDepth(0.10, m, heat.StillAir, 3, 57, 21)
	fmt.Printf("%.0f min, %.0f to %.0f, %v\n", e.Minutes, e.Min, e.Max, err)
	// Output:
	// 538 min, 312 to 1532, <nil>
}

func ExampleFitted() {
	domes := []heat.Trial{{Thickness: 0.03, Minutes: 260}, {Thickness: 0.03, Minutes: 240}, {Thickness: 0.03, Minutes: 280}}
	e, err := heat.Fitted(domes, 0.06)
	fmt.Printf("%.0f min, %.0f to %.0f, %v\n", e.Minutes, e.Min, e.Max, err)
	// Output:
	// 735 min, 480 to 1120, <nil>
}
