package cost

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"tamis/calc/quantity"
)

var eur = quantity.Currency("EUR")

func dec(s string) quantity.Number                  { return quantity.MustDecimal(s) }
func ptr(s string) *quantity.Number                 { n := dec(s); return &n }
func money(s string) quantity.Quantity              { return quantity.Of(dec(s), eur) }
func q(s string, u quantity.Unit) quantity.Quantity { return quantity.Of(dec(s), u) }
func price(s, per string, u quantity.Unit) *Price   { return &Price{money(s), q(per, u)} }

// The cost and yield rows of testdata/scaling-yield-cost-examples.csv, inputs and answers read in the
// sources named there. Tolerance: the last digit that the source prints.
func TestWorkedExamples(t *testing.T) {
	f, err := os.Open("testdata/scaling-yield-cost-examples.csv")
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
	work := map[string]func() (quantity.Quantity, error){
		// 5 kg at 5.50/kg give 3.8 kg: 1 kg as used
		"C1": func() (quantity.Quantity, error) {
			s, err := Share(q("3.8", quantity.KG), q("5000", quantity.G))
			if err != nil {
				return quantity.Quantity{}, err
			}
			return Good{Price: price("5.50", "1", quantity.KG), Usable: &s}.Cost(q("1", quantity.KG))
		},
		"C3": func() (quantity.Quantity, error) {
			return Good{Price: price("1.86", "1", quantity.LB), Usable: ptr("0.75")}.Cost(q("1", quantity.LB))
		},
		"C5": func() (quantity.Quantity, error) {
			return Good{Price: price("25.00", "15", quantity.LB)}.Cost(q("16", quantity.OZ))
		},
		"C7": func() (quantity.Quantity, error) { return FoodCost(money("2.13"), money("5.95")) },
		"C9": func() (quantity.Quantity, error) { return SellingPrice(money("1.60"), dec("0.40")) },
		"Y1": func() (quantity.Quantity, error) {
			s, err := Share(q("1750", quantity.G), q("2.5", quantity.KG))
			return quantity.Of(s.Mul(dec("100")), quantity.Percent), err
		},
		"Y3": func() (quantity.Quantity, error) {
			s, err := Share(q("4.6", quantity.KG), q("5.2", quantity.KG))
			return quantity.Of(s.Mul(dec("100")), quantity.Percent), err
		},
		"Y5": func() (quantity.Quantity, error) {
			s, err := Share(q("1468", quantity.G), q("1605", quantity.G))
			return quantity.Of(s.Mul(dec("100")), quantity.Percent), err
		},
		"Y7": func() (quantity.Quantity, error) { return Buy(q("20", quantity.LB), dec("0.79")) },
		"Y9": func() (quantity.Quantity, error) { return Usable(q("3", quantity.LB), dec("0.95")) },
	}
	done := 0
	for _, row := range rows[1:] {
		w, ok := work[row[0]]
		if !ok {
			if strings.HasPrefix(row[0], "C") || strings.HasPrefix(row[0], "Y") {
				t.Errorf("row %s is not checked", row[0])
			}
			continue
		}
		done++
		answer := strings.TrimPrefix(strings.Fields(strings.ReplaceAll(row[4], "/", " "))[0], "$")
		decimals := 0
		if i := strings.IndexByte(answer, '.'); i >= 0 {
			decimals = len(answer) - i - 1
		}
		got, err := w()
		if err != nil || got.N.Rat().FloatString(decimals) != answer {
			t.Errorf("%s %s: %s %v, the book says %s", row[0], row[2], got, err, row[4])
		}
	}
	if done != len(work) {
		t.Errorf("%d of %d rows", done, len(work))
	}
}

func TestGoodCost(t *testing.T) {
	cream := Good{Name: "cream", Price: price("5.20", "1", quantity.KG), Density: ptr("0.995")}
	milk := Good{Name: "milk", Price: price("1.20", "1", quantity.L), Density: ptr("1.03")}
	egg := Good{Name: "egg", Price: price("0.30", "1", quantity.Each), PieceMass: ptr("50")}
	pear := Good{Name: "pear", Price: price("2.64", "1", quantity.KG), Usable: ptr("0.88"), PieceMass: ptr("180")}
	yolk := Good{Name: "egg yolk", Price: egg.Price, PieceMass: egg.PieceMass, Usable: ptr("0.36")} // part of an egg
	for _, c := range []struct {
		g      Good
		amount quantity.Quantity
		want   string
		err    error
	}{
		{cream, q("170", quantity.G), "0.884", nil},
		{cream, q("1", quantity.L), "5.174", nil},
		{milk, q("515", quantity.G), "0.6", nil},
		{milk, q("5", quantity.DL), "0.6", nil},
		{egg, q("3", quantity.Pieces("eggs")), "0.9", nil},
		{egg, q("96", quantity.G), "0.576", nil},
		{egg, q("100", quantity.ML), "", ErrNoDensity},
		{pear, q("3", quantity.KG), "9", nil},
		{pear, q("2", quantity.Each), "1.08", nil},
		{yolk, q("96", quantity.G), "1.6", nil},
		{Good{Name: "x"}, q("1", quantity.G), "", ErrNoPrice},
		{Good{Price: price("1", "1", quantity.KG)}, q("1", quantity.L), "", ErrNoDensity},
		{Good{Price: price("1", "1", quantity.L)}, q("1", quantity.KG), "", ErrNoDensity},
		{Good{Price: price("1", "1", quantity.Each)}, q("1", quantity.KG), "", ErrNoPieceMass},
		{Good{Price: price("1", "1", quantity.KG)}, q("1", quantity.Each), "", ErrNoPieceMass},
		{Good{Price: price("1", "0", quantity.KG)}, q("1", quantity.G), "", ErrPrice},
		{Good{Price: price("-1", "1", quantity.KG)}, q("1", quantity.G), "", ErrPrice},
		{Good{Price: &Price{q("1", quantity.G), q("1", quantity.KG)}}, q("1", quantity.G), "", ErrPrice},
		{Good{Price: price("1", "1", quantity.Hour)}, q("1", quantity.G), "", ErrPrice},
		{Good{Price: price("1", "1", quantity.KG), Usable: ptr("0")}, q("1", quantity.G), "", ErrUsable},
		{Good{Price: price("1", "1", quantity.KG), Usable: ptr("1.01")}, q("1", quantity.G), "", ErrUsable},
		{cream, q("1", quantity.Minute), "", quantity.ErrDimension},
	} {
		got, err := c.g.Cost(c.amount)
		if !errors.Is(err, c.err) || c.err == nil && got.N.String() != c.want {
			t.Errorf("%s of %s: %s %v, want %s %v", c.amount, c.g.Name, got, err, c.want, c.err)
		}
	}
}

func line(g *Good, amount string, u quantity.Unit) Line {
	return Line{Good: g, Amount: q(amount, u), HasAmount: true}
}

func link(r *Recipe, amount string, u quantity.Unit) Line {
	return Line{Of: r, Amount: q(amount, u), HasAmount: true}
}

func TestBatch(t *testing.T) {
	butter := &Good{Name: "butter", Price: price("9", "1", quantity.KG)}
	walnut, salt := &Good{Name: "walnut", Price: price("14", "1", quantity.KG)}, &Good{Name: "salt"}
	brown := &Recipe{Name: "brown butter", Lines: []Line{line(butter, "250", quantity.G)}, Finished: dec("200"), HasFinished: true}
	tuile := &Recipe{Name: "tuile", Lines: []Line{link(brown, "40", quantity.G), line(walnut, "60", quantity.G), {Good: salt}}, Pieces: dec("30")}
	dish := &Recipe{Name: "plate", Lines: []Line{link(tuile, "2", quantity.Each), link(brown, "10", quantity.G)}, Pieces: dec("1")}
	b, err := Of(dish, eur)
	if err != nil {
		t.Fatal(err)
	}
	// brown butter 2.25 a batch of 200 g; tuile 0.45 + 0.84 = 1.29 for 30; plate 0.086 + 0.1125
	if b.Sum.N.String() != "0.1985" || !b.AtLeast {
		t.Errorf("%s at least %v", b.Sum, b.AtLeast)
	}
	if d := cmp.Diff([]string{"tuile", "salt"}, b.Missing[0].Way); d != "" || len(b.Missing) != 1 || !errors.Is(b.Missing[0].Err, ErrNoPrice) {
		t.Errorf("missing %v", b.Missing)
	}
	if len(b.Lines) != 2 || b.Lines[0].Sum.N.String() != "0.086" || !b.Lines[0].AtLeast || b.Lines[1].AtLeast {
		t.Errorf("lines %v", b.Lines)
	}
	b, err = Of(brown, eur)
	if err != nil || b.AtLeast {
		t.Fatal(b, err)
	}
	if m, err := b.PerMass(dec("100")); err != nil || m.Sum.N.String() != "1.125" {
		t.Errorf("100 g: %v %v", m, err)
	}
	if _, err := b.PerPiece(); !errors.Is(err, ErrNoYield) {
		t.Errorf("piece of no pieces: %v", err)
	}
	b, _ = Of(tuile, eur)
	if m, err := b.PerPiece(); err != nil || m.Sum.N.String() != "0.043" || !m.AtLeast {
		t.Errorf("a tuile: %v %v", m, err)
	}
	if m := b.Times(dec("2")); m.Sum.N.String() != "2.58" {
		t.Errorf("two batches: %v", m)
	}
	if _, err := b.PerMass(dec("1")); !errors.Is(err, ErrNoYield) {
		t.Errorf("mass not known: %v", err)
	}
}

func TestBatchMissing(t *testing.T) {
	salt := &Good{Name: "salt", Price: price("1", "1", quantity.KG)}
	sorrel := &Good{Name: "sorrel"}
	noMass := &Recipe{Name: "glaze", Lines: []Line{line(sorrel, "10", quantity.G)}}
	r := &Recipe{Name: "x", Lines: []Line{
		{Good: salt},                     // to taste
		line(sorrel, "5", quantity.G),    // no price
		line(sorrel, "7", quantity.G),    // told once
		link(noMass, "5", quantity.G),    // mass of the batch not known
		{Of: noMass},                     // to taste
		link(noMass, "2", quantity.Each), // no pieces
		line(salt, "3", quantity.Each),   // no piece mass
		line(salt, "100", quantity.G),    // 0.1
	}}
	b, err := Of(r, eur)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, m := range b.Missing {
		got = append(got, strings.Join(m.Way, "/")+": "+m.Err.Error())
	}
	if d := cmp.Diff([]string{"salt: no amount", "sorrel: no price", "glaze: not known how much the recipe makes", "glaze: no amount", "salt: no mass of a piece"}, got); d != "" {
		t.Error(d)
	}
	if b.Sum.N.String() != "0.1" || !b.AtLeast {
		t.Errorf("%v", b.Money)
	}
	// a mass in brackets stands before the piece mass, and prices by piece go by the count
	pod := &Good{Name: "pod", Price: price("300", "1", quantity.KG), PieceMass: ptr("4")}
	l := line(pod, "2", quantity.Pieces("pods"))
	l.Mass, l.HasMass = dec("6"), true
	leaf := &Good{Name: "leaf", Price: price("0.10", "1", quantity.Each)}
	k := line(leaf, "2", quantity.Pieces("leaves"))
	k.Mass, k.HasMass = dec("4"), true
	b, err = Of(&Recipe{Name: "y", Lines: []Line{l, k}}, eur)
	if err != nil || b.AtLeast || b.Sum.N.String() != "2" {
		t.Errorf("%v %v", b, err)
	}
	// errors
	c := &Recipe{Name: "c"}
	c.Lines = []Line{link(c, "1", quantity.G)}
	if _, err := Of(c, eur); !errors.Is(err, ErrCircle) {
		t.Error(err)
	}
	if _, err := Of(&Recipe{Name: "d", Lines: []Line{line(salt, "1", quantity.G)}}, quantity.Currency("NOK")); !errors.Is(err, ErrCurrency) {
		t.Error(err)
	}
	if _, err := FoodCost(money("1"), quantity.Of(dec("1"), quantity.Currency("NOK"))); !errors.Is(err, ErrCurrency) {
		t.Error(err)
	}
	if _, err := FoodCost(money("1"), money("0")); !errors.Is(err, ErrZero) {
		t.Error(err)
	}
	if _, err := SellingPrice(money("1"), dec("0")); !errors.Is(err, ErrZero) {
		t.Error(err)
	}
	if _, err := Buy(q("1", quantity.KG), dec("0")); !errors.Is(err, ErrUsable) {
		t.Error(err)
	}
}

// A nested batch costs exactly what its lines cost; a missing price below always makes it a minimum; twice the amounts cost twice.
func TestCostIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var total quantity.Number
		missing := map[string]bool{}
		factor := quantity.Int(rapid.Int64Range(1, 5).Draw(t, "factor"))
		var a, b *Recipe
		for i := range rapid.IntRange(1, 5).Draw(t, "levels") {
			ra, rb := &Recipe{Name: fmt.Sprint("r", i), HasFinished: true}, &Recipe{Name: fmt.Sprint("r", i), HasFinished: true}
			if a != nil { // all of the level below
				ra.Lines, rb.Lines = append(ra.Lines, Line{Of: a, Amount: quantity.Grams(a.Finished), HasAmount: true}), append(rb.Lines, Line{Of: b, Amount: quantity.Grams(b.Finished), HasAmount: true})
			}
			for j := range rapid.IntRange(1, 4).Draw(t, "lines") {
				g := &Good{Name: fmt.Sprint("g", i, j)}
				mass := quantity.Frac(rapid.Int64Range(0, 9999).Draw(t, "mass"), 7)
				if rapid.Bool().Draw(t, "priced") {
					p := rapid.Int64Range(0, 9999).Draw(t, "cents")
					g.Price = &Price{quantity.Of(quantity.Frac(p, 100), eur), quantity.Of(quantity.Int(1), quantity.KG)}
					u := quantity.Frac(rapid.Int64Range(1, 100).Draw(t, "usable"), 100)
					g.Usable = &u
					total = total.Add(mass.Div(u).Mul(quantity.Frac(p, 100)).Div(quantity.Int(1000)))
				} else {
					missing[g.Name] = true
				}
				ra.Lines = append(ra.Lines, Line{Good: g, Amount: quantity.Grams(mass), HasAmount: true})
				rb.Lines = append(rb.Lines, Line{Good: g, Amount: quantity.Grams(mass.Mul(factor)), HasAmount: true})
			}
			ra.Finished = quantity.Int(rapid.Int64Range(1, 999).Draw(t, "finished"))
			rb.Finished = ra.Finished.Mul(factor)
			a, b = ra, rb
		}
		x, err := Of(a, eur)
		if err != nil {
			t.Fatal(err)
		}
		y, err := Of(b, eur)
		if err != nil {
			t.Fatal(err)
		}
		if !x.Sum.N.Equal(total) || !y.Sum.N.Equal(total.Mul(factor)) {
			t.Fatalf("%s and %s, want %s × %s", x.Sum, y.Sum, total, factor)
		}
		if x.AtLeast != (len(missing) > 0) || len(x.Missing) != len(missing) {
			t.Fatalf("missing %v, told %v", missing, x.Missing)
		}
	})
}

func BenchmarkOf60Lines(b *testing.B) {
	var goods []*Good
	for i := range 30 {
		goods = append(goods, &Good{Name: fmt.Sprint("good ", i), Price: &Price{quantity.Of(quantity.Frac(int64(100+i*7), 100), eur), q("1", quantity.KG)}, Usable: ptr("0.88")})
	}
	var rs []*Recipe
	for i := range 12 {
		r := &Recipe{Name: fmt.Sprint("recipe ", i), Finished: quantity.Frac(int64(5000+i), 7), HasFinished: true}
		for j := range 5 {
			if j < i/4 {
				r.Lines = append(r.Lines, link(rs[i-1-j], "50", quantity.G))
				continue
			}
			r.Lines = append(r.Lines, line(goods[(i*5+j)%30], "33.3", quantity.G))
		}
		rs = append(rs, r)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Of(rs[11], eur); err != nil {
			b.Fatal(err)
		}
	}
}
