package reduce_test

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
	"tamis/calc/reduce"
)

// A pan of 930 g stands on the scale; 400 g of jus are to become 180 g.
func ExampleStillToLose() {
	n := quantity.Int
	level, err := reduce.StillToLose(n(1250), n(930), n(180))
	fmt.Println(level.Reading, level.ToLose, err)
	_, err = reduce.StillToLose(n(900), n(930), n(180))
	fmt.Println(errors.Is(err, reduce.ErrBelowTare))
	// Output:
	// 1110 140 <nil>
	// true
}

func ExampleToBrix() {
	n := quantity.Int
	r, err := reduce.ToBrix(n(1000), n(15), n(50))
	grams, percent, _ := r.Evaporated()
	fmt.Println(r.Target, grams, percent, err)
	salt, _ := r.Concentrate(quantity.Frac(6, 10))
	fmt.Println(salt, "% salt, was 0.6")
	_, err = reduce.ToBrix(n(1000), n(50), n(15))
	fmt.Println(errors.Is(err, reduce.ErrAboveStart))
	// Output:
	// 300 700 70 <nil>
	// 2 % salt, was 0.6
	// true
}

// Three batches do not fit one pan: they go into two, to the same height.
func ExampleSplit() {
	n := quantity.Int
	r, _ := reduce.To(n(4500), n(1500))
	loads, err := reduce.Split(r, n(1), reduce.HeadRoom(), []reduce.Pan{
		{Name: "wide pan", Tare: n(870), Holds: n(4000)},
		{Name: "sauce pot", Tare: n(1200), Holds: n(5000)},
	})
	for _, l := range loads {
		fmt.Println(l.Pan.Name, l.Start, l.Reading.Fixed(1))
	}
	fmt.Println(err)
	// Output:
	// sauce pot 2500 2033.3
	// wide pan 2000 1536.7
	// <nil>
}

// 500 ml of perry of 6 % vol lose 150 g on an open pan.
func ExampleBoil() {
	perry, _ := reduce.FromStrength(quantity.Int(500), quantity.Int(6))
	a, err := reduce.Boil(perry.Alcohol, perry.Water, quantity.Int(150))
	fmt.Println(a.Start.Fixed(1), a.Left.Fixed(2), a.Low.Fixed(2), a.High.Fixed(2), a.Cautions, err)
	// Output: 23.7 0.6 0.09 4.23 [alcohol stays alcohol vapour burns] <nil>
}

func ExampleRetention() {
	r, err := reduce.Retention(reduce.StirredIn, quantity.Int(45))
	fmt.Println(r.Low, r.High, r.From, r.To, err)
	_, err = reduce.Retention(reduce.StirredIn, quantity.Int(5))
	fmt.Println(errors.Is(err, reduce.ErrNotPublished))
	// Output:
	// 25 35 30 60 <nil>
	// true
}

func ExampleTimeLeft() {
	n := quantity.Int
	f, err := reduce.TimeLeft([]reduce.Weight{{Minute: n(0), Mass: n(1820)}, {Minute: n(6), Mass: n(1700)}, {Minute: n(18), Mass: n(1455)}, {Minute: n(25), Mass: n(1320)}}, n(600), n(1))
	fmt.Println(f.Left.Fixed(0), f.Low.Fixed(0), f.High.Fixed(0), f.RunsAway, err)
	_, err = reduce.TimeLeft([]reduce.Weight{{Minute: n(0), Mass: n(1820)}}, n(600), n(1))
	fmt.Println(errors.Is(err, reduce.ErrFewWeights))
	// Output:
	// 38 55 80 false <nil>
	// true
}
