package quantity_test

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

func ExampleParseQuantity() {
	for _, s := range []string{"1,2kg", "½ l", "3 lb 4 oz", "1h30", "2 leaves", "-18 °C"} {
		q, err := quantity.ParseQuantity(s, quantity.Metric, quantity.Book)
		fmt.Println(q, err)
	}
	// Output:
	// 1.2 kg <nil>
	// 0.5 l <nil>
	// 3.25 lb <nil>
	// 1.5 h <nil>
	// 2 leaves <nil>
	// -18 °C <nil>
}

// What a cook types may spell numbers out.
func ExampleParseQuantity_chat() {
	for _, s := range []string{"two and a half kilos", "half a litre", "320F", "zwölf Esslöffel"} {
		q, err := quantity.ParseQuantity(s, quantity.Metric, quantity.Chat)
		fmt.Println(q, err)
	}
	// Output:
	// 2.5 kg <nil>
	// 0.5 l <nil>
	// 320 °F <nil>
	// 12 tbsp <nil>
}

func ExampleParseRange() {
	lo, hi, err := quantity.ParseRange("3-4 g", quantity.Metric, quantity.Book)
	fmt.Println(lo, hi, err)
	_, _, err = quantity.ParseRange("4-3 g", quantity.Metric, quantity.Book)
	fmt.Println(errors.Is(err, quantity.ErrNumber))
	// Output:
	// 3 g 4 g <nil>
	// true
}

func ExampleReadNumber() {
	n, length, err := quantity.ReadNumber("1½ tsp salt", quantity.Book)
	fmt.Println(n, length, err)
	// Output: 1.5 3 <nil>
}

// A comma or space with exactly three digits is never guessed.
func ExampleReadNumber_ambiguous() {
	_, _, err := quantity.ReadNumber("1,200 g", quantity.Chat)
	var both *quantity.AmbiguousNumber
	if errors.As(err, &both) {
		fmt.Println(both.AsDecimal, "or", both.AsThousands)
	}
	// Output: 1.2 or 1200
}

func ExampleScan() {
	text := "need 3-4 g salt for half a litre"
	for _, s := range quantity.Scan(text, quantity.Metric) {
		if s.Hi != nil {
			fmt.Printf("%q: %v to %v\n", text[s.Start:s.End], s.Q, s.Hi)
		} else {
			fmt.Printf("%q: %v\n", text[s.Start:s.End], s.Q)
		}
	}
	// Output:
	// "3-4 g": 3 g to 4 g
	// "3-4": 3 to 4
	// "3": 3
	// "4 g": 4 g
	// "4": 4
	// "half a litre": 0.5 l
	// "half": 0.5
}

func ExampleMeasure_UnitNamed() {
	for _, m := range []quantity.Measure{quantity.Metric, quantity.US, quantity.Australian} {
		u, _ := m.UnitNamed("tablespoon")
		fmt.Println(m, u.Factor(), "ml")
	}
	// Output:
	// metric 15 ml
	// US 14.78676478125 ml
	// Australian 20 ml
}

func ExampleQuantity_In() {
	q := quantity.Of(quantity.Int(8), quantity.OZ)
	g, _ := q.In(quantity.G)
	fmt.Println(g)
	_, err := q.In(quantity.ML)
	fmt.Println(errors.Is(err, quantity.ErrDimension))
	// Output:
	// 226.796185 g
	// true
}

// The finest scale that holds the mass decides, and it is told.
func ExampleRound() {
	scales := []quantity.Scale{
		{Name: "bench scale", Reads: quantity.Int(1), UpTo: quantity.Int(6000)},
		{Name: "fine scale", Reads: quantity.Frac(1, 10), UpTo: quantity.Int(500)},
	}
	for _, exact := range []string{"1110.4", "11.18033989", "1.26", "0.04"} {
		r := quantity.Round(quantity.MustDecimal(exact), scales)
		fmt.Println(r, "on the", r.Scale, r.FewDivisions, r.UnderHalfStep)
	}
	// Output:
	// 1110 g on the bench scale false false
	// 11.2 g on the fine scale false false
	// 1.3 g on the fine scale true false
	// 0 g on the fine scale true true
}

func ExampleShowMass() {
	for _, g := range []int64{1110, 9999, 12500} {
		fmt.Println(quantity.ShowMass(quantity.Round(quantity.Int(g), nil)))
	}
	// Output:
	// 1110 g
	// 9999 g
	// 12.5 kg
}

func ExampleShowTime() {
	for _, minutes := range []string{"0.25", "90", "510", "20160"} {
		fmt.Println(quantity.ShowTime(quantity.RoundTime(quantity.MustDecimal(minutes))))
	}
	// Output:
	// 15 s
	// 90 min
	// 8 h 30 min
	// 14 days
}

func ExampleRoundShare() {
	fmt.Println(quantity.RoundShare(quantity.MustDecimal("17.61666667")))
	// Output: 17.6 %
}

func ExampleShowMoney() {
	fmt.Println(quantity.ShowMoney(quantity.RoundMoney(quantity.MustDecimal("5.196")), quantity.Currency("EUR")))
	// Output: 5.20 EUR
}
