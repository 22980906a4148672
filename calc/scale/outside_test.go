package scale_test

// Worked examples that others published: this file is written from the
// statements of the two tables in testdata alone.

import (
	"encoding/csv"
	"os"
	"regexp"
	"strings"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

// table reads the rows of a reference file by id, and its columns by name.
func table(t *testing.T, file string) map[string]map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	byID := map[string]map[string]string{}
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, cell := range row {
			m[rows[0][i]] = cell
		}
		byID[m["id"]] = m
	}
	return byID
}

var numeral = regexp.MustCompile(`[0-9]+(\.[0-9]+)?`)

// check compares with every number of the published answer, up to the remark in
// brackets, within half a unit of the last digit that the source prints.
func check(t *testing.T, answer string, got ...quantity.Number) {
	t.Helper()
	printed := numeral.FindAllString(strings.SplitN(answer, "(", 2)[0], -1)
	if len(printed) != len(got) {
		t.Fatalf("published %q holds %d numbers, computed %d", answer, len(printed), len(got))
	}
	for i, p := range printed {
		tolerance := quantity.Frac(1, 2)
		if _, decimals, ok := strings.Cut(p, "."); ok {
			for range decimals {
				tolerance = tolerance.Div(quantity.Int(10))
			}
		}
		if off := got[i].Sub(num(p)).Abs(); tolerance.Less(off) {
			t.Errorf("got %s, published %s of %q", got[i].Fixed(6), p, answer)
		}
	}
}

func TestWorkedExamples(t *testing.T) {
	portions := func(n string) quantity.Quantity { return quantity.Of(num(n), quantity.Each) }
	grams := func(n string) quantity.Quantity { return quantity.Grams(num(n)) }
	percent := func(n quantity.Number) quantity.Number { return n.Mul(quantity.Int(100)) }
	one := func(n quantity.Number, err error) []quantity.Number {
		if err != nil {
			t.Fatal(err)
		}
		return []quantity.Number{n}
	}
	share := func(n quantity.Number, err error) []quantity.Number {
		return []quantity.Number{percent(one(n, err)[0])}
	}
	many := func(n []quantity.Number, err error) []quantity.Number {
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	compute := map[string]func() []quantity.Number{
		"S1": func() []quantity.Number { return one(scale.Factor(portions("25"), portions("60"))) },
		"S3": func() []quantity.Number { return one(scale.Factor(portions("75"), portions("300"))) },
		"S5": func() []quantity.Number { return one(scale.Factor(portions("8"), portions("18"))) },
		"S7": func() []quantity.Number {
			return one(scale.PortionFactor(num("35"), grams("185"), num("50"), quantity.Of(num("0.230"), quantity.KG)))
		},
		"S9": func() []quantity.Number {
			lb := quantity.LB.Factor()
			f := &scale.Formula{Name: "card", Pieces: num("100"), Lines: []scale.Line{plain("ingredient", num("1.25").Mul(lb))}}
			factor := one(scale.ForPieces(f, num("348")))[0]
			return []quantity.Number{scale.Scaled(f, factor)[0].Mass.Div(lb)}
		},
		"Y1": func() []quantity.Number {
			return share(scale.TrimYield(num("2500"), num("750")))
		},
		"Y3": func() []quantity.Number { return share(scale.Yield(num("4.6"), num("5.2"))) },
		"Y5": func() []quantity.Number { return share(scale.Yield(num("1468"), num("1605"))) },
		"Y7": func() []quantity.Number { return one(scale.ToBuy(num("20"), num("0.79"))) },
		"Y9": func() []quantity.Number { return one(scale.Usable(num("3"), num("0.95"))) },
		"C1": func() []quantity.Number {
			yield := one(scale.Yield(num("3.8"), num("5")))[0]
			return one(scale.EdibleCost(num("5.50"), yield))
		},
		"C3": func() []quantity.Number { return one(scale.EdibleCost(num("1.86"), num("0.75"))) },
		"C5": func() []quantity.Number { return one(scale.UnitCost(num("25"), num("15"))) },
		"C7": func() []quantity.Number { return share(scale.FoodCost(num("2.13"), num("5.95"))) },
		"C9": func() []quantity.Number { return one(scale.MenuPrice(num("1.60"), num("0.40"))) },
		"B1": func() []quantity.Number {
			return many(scale.FromBakersPercent(nums("100", "67", "2", "1"), num("73").Mul(num("390"))))
		},
		"B3": func() []quantity.Number {
			return many(scale.FromBakersPercent(nums("100", "277.5"), num("3000")))[:1]
		},
		"B5": func() []quantity.Number {
			lines, err := scale.BakersPercent([]scale.Line{plain("sugar", num("1.5")), plain("flour", num("3"))}, "flour")
			if err != nil {
				t.Fatal(err)
			}
			return []quantity.Number{lines[0].Percent}
		},
		"W1": func() []quantity.Number {
			return []quantity.Number{scale.WaterTemperature(num("75"), num("65"), num("65"), num("8"))}
		},
	}
	notCovered := map[string]string{} // id: why; every row of this table is covered

	rows := table(t, "scaling-yield-cost-examples.csv")
	for id, row := range rows {
		f, covered := compute[id]
		if why, ok := notCovered[id]; ok == covered {
			t.Errorf("row %s (%s): covered %v, left out because %q", id, row["kind"], covered, why)
		}
		if covered {
			t.Run(id, func(t *testing.T) { check(t, row["answer"], f()...) })
		}
	}
	for id := range compute {
		if rows[id] == nil {
			t.Errorf("no row %s", id)
		}
	}
}

// The working factor's remark in brackets: 4.35 lb are 4 lb 5.6 oz.
func TestWorkedExamplePoundsAndOunces(t *testing.T) {
	answer := table(t, "scaling-yield-cost-examples.csv")["S9"]["answer"]
	_, remark, ok := strings.Cut(answer, "(")
	if !ok {
		t.Fatalf("no remark in %q", answer)
	}
	lb := num("3.48").Mul(num("1.25"))
	oz, err := quantity.Of(lb.Sub(lb.Floor()), quantity.LB).In(quantity.OZ)
	if err != nil {
		t.Fatal(err)
	}
	check(t, remark, lb.Floor(), oz.N)
}

func TestOverrunExamples(t *testing.T) {
	rows := table(t, "overrun-examples.csv")
	notCovered := map[string]string{"O3": "density of a mix from its composition: not this package's"}
	compute := map[string]func(t *testing.T){
		// 1 l of mix at 1090 g with the overrun of O1 weighs 560 g: the printed
		// overrun of 94.6 % gives it within its own rounding.
		"O1": func(t *testing.T) {
			printed := num(numeral.FindString(rows["O1"]["answer"]))
			f := &scale.Formula{Name: "mix", Density: num("1.090"), Overrun: printed.Div(num("100"))}
			got, err := f.AeratedDensity()
			if err != nil {
				t.Fatal(err)
			}
			if off := got.Sub(num("0.560")).Abs(); num("0.0003").Less(off) {
				t.Errorf("got %s g/ml, published 560 g a litre", got.Fixed(5))
			}
		},
		// A cup of net 110 g of mix holds 104.8 g at 5 % overrun, 134.8 g with the 30 g cup.
		"O5": func(t *testing.T) {
			f := &scale.Formula{Name: "mix", Density: num("1.10"), Overrun: num("0.05")}
			got, err := f.AeratedDensity()
			if err != nil {
				t.Fatal(err)
			}
			net := got.Mul(num("100"))
			check(t, rows["O5"]["answer"], net, net.Add(num("30")))
		},
	}
	for id := range rows {
		f, covered := compute[id]
		if why, ok := notCovered[id]; ok == covered {
			t.Errorf("row %s: covered %v, left out because %q", id, covered, why)
		}
		if covered {
			t.Run(id, f)
		}
	}
}
