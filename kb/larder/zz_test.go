package larder

import (
	"fmt"
	"math"
	"testing"

	"tamis/calc/mix"
)

func TestZZ(t *testing.T) {
	f := map[mix.Key]float64{mix.Fat: 37, mix.Alcohol: 29, mix.Protein: 17, mix.Sugars: 17, mix.Starch: 17, mix.OtherCarbohydrate: 17, mix.Acid: 13, mix.Polyols: 10, mix.Glycerol: 10, mix.Fibre: 8}
	n := 0
	for _, it := range BuiltIn() {
		if it.Energy == nil {
			continue
		}
		e := 0.0
		for k, v := range f {
			if x, ok := it.Comp.Get(k); ok {
				e += v * x.Float()
			}
		}
		n++
		d := e - it.Energy.Float()
		if math.Abs(d) > math.Max(60, 0.12*it.Energy.Float()) {
			fmt.Printf("%-32s stated %.0f computed %.0f total %s cat %s\n", it.Name, it.Energy.Float(), e, it.Comp.Total().Fixed(1), it.Category)
		}
	}
	fmt.Println(n)
	for _, it := range BuiltIn() {
		if _, ok := it.Comp.Get(mix.Water); !ok {
			continue
		}
		unk := ""
		for k := range mix.NumKeys {
			if _, ok := it.Comp.Get(k); !ok {
				unk += k.String() + " "
			}
		}
		tot := it.Comp.Total().Float()
		if tot > 101 || (tot < 97 && unk == "") {
			fmt.Printf("TOTAL %-32s %.1f unknown: %s\n", it.Name, tot, unk)
		}
	}
}

func TestZZ2(t *testing.T) {
	for _, k := range []mix.Key{mix.Fat, mix.Salt, mix.Sugars, mix.Alcohol, mix.Lactose, mix.MilkFat, mix.Fibre} {
		fmt.Print("\n", k, ": ")
		for _, it := range BuiltIn() {
			if _, ok := it.Comp.Get(k); !ok {
				fmt.Print(it.Name, "; ")
			}
		}
	}
}
