package mix

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

const dry = ", fat 0, protein 0, starch 0, fibre 0, polyols 0, glycerol 0, other carbohydrate 0, acid 0, ash 0, salt 0, alcohol 0"

func leaf(t testing.TB, name, c string) *Node { return &Node{Name: name, Comp: comp(t, c)} }

func of(n *Node, mass string) Line { return Line{Of: n, Mass: dec(mass), HasMass: true} }

func compose(t *testing.T, n *Node, s Split) Whole {
	t.Helper()
	w, err := Compose(n, s)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func all(lines ...int) []InPan {
	var p []InPan
	for _, l := range lines {
		p = append(p, InPan{Line: l})
	}
	return p
}

func TestComposeNested(t *testing.T) {
	milk, sugar, butter := leaf(t, "milk", "water 90, fat 4, sugars 5"), leaf(t, "sugar", "water 0, sugars 100"+dry), leaf(t, "butter", "water 16, fat 82, sugars 1")
	// brown butter: 250 g butter cooked down by its 40 g of water, makes 200 g: 10 g stay in the pan alike
	brown := &Node{Name: "brown butter", Lines: []Line{of(butter, "250")}, Losses: []Loss{{Step: "cook", Mass: dec("40"), Pan: all(0)}}, Finished: dec("200"), HasFinished: true}
	base := &Node{Name: "base", Lines: []Line{of(milk, "600"), of(sugar, "100"), of(brown, "100")}, LossShare: dec("0.02")}
	w := compose(t, base, nil)
	if !w.Mass().Equal(dec("784")) { // 800 × 0.98
		t.Errorf("mass %s", w.Mass())
	}
	// brown butter: 205 g fat and 0 to 1 g water (alcohol of butter is not stated) in 210 g
	fat := dec("24").Add(dec("205").Div(dec("210")).Mul(dec("100"))).Mul(dec("0.98"))
	if got := w.Grams(Fat); !got.Exact || !got.AtLeast.Equal(fat) {
		t.Errorf("fat %s, want %s", got, fat)
	}
	if got := w.Grams(Water); got.Exact {
		t.Errorf("water %s though alcohol of the pan is not stated", got)
	}
	butter.Comp = butter.Comp.With(Alcohol, quantity.Number{})
	w = compose(t, base, nil)
	want(t, "water", w.Grams(Water), "529.2") // 540 × 0.98; the butter's 40 g went
	if len(w.Doubts) != 0 {
		t.Errorf("doubts %v", w.Doubts)
	}
}

func TestComposeLosses(t *testing.T) {
	bones, water, wine := leaf(t, "bones", ""), leaf(t, "water", "water 100"), leaf(t, "wine", "water 87, alcohol 10, sugars 1, fat 0, acid 0.6, salt 0")
	salt := leaf(t, "salt", "salt 100, ash 100, water 0"+", fat 0, sugars 0, alcohol 0")
	base := func(ls ...Loss) *Node {
		return &Node{Name: "jus", Lines: []Line{of(bones, "500"), of(water, "1000"), of(wine, "200"), of(salt, "10")}, Losses: ls}
	}
	// wine alone is reduced: alcohol goes with the water, how much only a split says
	half := Loss{Step: "reduce", Mass: dec("100"), Pan: all(2)}
	w := compose(t, base(half), nil)
	want(t, "alcohol", w.Grams(Alcohol), "0 to 520") // 20 of the wine, 500 g of bones unknown
	want(t, "salt", w.Grams(Salt), "10 to 510")
	split := func(pan Mixture, lost quantity.Number) (quantity.Number, bool) {
		want(t, "pan", pan.Grams(Water), "174")
		want(t, "pan's alcohol", pan.Grams(Alcohol), "20")
		return dec("16"), true
	}
	n := base(half)
	n.Lines = n.Lines[1:]
	n.Losses[0].Pan = all(1)
	w = compose(t, n, split)
	want(t, "alcohol", w.Grams(Alcohol), "4")
	want(t, "water", w.Grams(Water), "1090")

	// no `of`: the pan is unknown, so water and alcohol are
	n.Losses[0].Pan = nil
	w = compose(t, n, split)
	want(t, "water", w.Grams(Water), "1074 to 1094")
	want(t, "alcohol", w.Grams(Alcohol), "0 to 20")
	want(t, "salt", w.Grams(Salt), "10")
	if d := cmp.Diff([]string{"jus: reduce"}, w.Grams(Water).Missing); d != "" {
		t.Error(d)
	}

	// more water than the pan can hold: said, and the total stays within bounds
	n.Losses[0] = Loss{Step: "reduce", Mass: dec("199"), Pan: all(1)}
	w = compose(t, n, nil)
	if len(w.Doubts) != 1 || !errors.Is(w.Doubts[0].Err, ErrNotEnough) || w.Doubts[0].Recipe != "jus" {
		t.Errorf("doubts %v", w.Doubts)
	}
	if !w.Mass().Equal(dec("1011")) {
		t.Errorf("mass %s", w.Mass())
	}

	// a pan whose water is not stated
	n = base(Loss{Step: "roast", Mass: dec("50"), Pan: all(0)})
	n.Lines[0].Of = leaf(t, "bones", "alcohol 0, fat 10")
	w = compose(t, n, nil)
	if len(w.Doubts) != 1 || !errors.Is(w.Doubts[0].Err, ErrUnknown) {
		t.Errorf("doubts %v", w.Doubts)
	}
	want(t, "fat", w.Grams(Fat), "50")
	want(t, "water", w.Grams(Water), "1174 to 1574") // the rest of the bones may be 450 g of water, of which 50 went

	// strained: of unknown composition
	n = base(Loss{Step: "strain", Kind: LeftBehind, Mass: dec("450")})
	n.Lines[0].Of = leaf(t, "bones", "water 40, alcohol 0, salt 0")
	w = compose(t, n, nil)
	want(t, "mass", Content{AtLeast: w.Mass(), Exact: true}, "1260")
	want(t, "water", w.Grams(Water), "924 to 1260")
	want(t, "salt", w.Grams(Salt), "0 to 10")
}

func TestComposePans(t *testing.T) {
	water, sugar := leaf(t, "water", "water 100"), leaf(t, "sugar", "sugars 100")
	n := &Node{Name: "syrup", Lines: []Line{of(water, "200"), of(sugar, "100")}, Losses: []Loss{
		{Step: "reduce", Mass: dec("60"), Pan: []InPan{{0, dec("1/2")}, {1, quantity.Number{}}}},
		{Step: "boil", Mass: dec("90"), Pan: []InPan{{0, dec("1/2")}}}, // the other half
	}}
	w := compose(t, n, nil)
	want(t, "water", w.Grams(Water), "50")
	if len(w.Doubts) != 0 {
		t.Errorf("doubts %v", w.Doubts)
	}
	// all of it together again: known, since both pots are in it
	n.Losses = append(n.Losses, Loss{Step: "finish", Mass: dec("50"), Pan: all(0, 1)})
	w = compose(t, n, nil)
	want(t, "water", w.Grams(Water), "0")
	// the sugar alone was cooked with water before: nobody knows what is in that pan
	n.Losses[2].Pan = all(1)
	w = compose(t, n, nil)
	if got := w.Grams(Water); got.Exact {
		t.Errorf("water %s of a pan that cannot be", got)
	}
	// a half, then a quarter, then what is left
	thirds := &Node{Name: "stock", Lines: []Line{of(water, "400")}, Losses: []Loss{
		{Step: "a", Mass: dec("200"), Pan: []InPan{{0, dec("1/2")}}},
		{Step: "b", Mass: dec("90"), Pan: []InPan{{0, dec("1/4")}}},
		{Step: "c", Mass: dec("101"), Pan: []InPan{{0, dec("1/4")}}},
	}}
	w = compose(t, thirds, nil)
	if len(w.Doubts) != 1 || w.Doubts[0].Step != "c" || !w.Mass().Equal(dec("9")) {
		t.Errorf("%s g, doubts %v", w.Mass(), w.Doubts)
	}
	// three halves
	n.Losses = []Loss{{Step: "a", Mass: dec("1"), Pan: []InPan{{0, dec("3/4")}}}, {Step: "b", Mass: dec("1"), Pan: []InPan{{0, dec("3/4")}}}}
	if w = compose(t, n, nil); w.Grams(Water).Exact {
		t.Error("more of a line in the pans than there is")
	}
}

func TestComposeEdges(t *testing.T) {
	water, salt := leaf(t, "water", "water 100"), leaf(t, "salt", "salt 100, ash 100, water 0, sugars 0, fat 0")
	// a stated mass above the lines is a gain nobody wrote down
	n := &Node{Name: "rice", Lines: []Line{of(water, "100")}, Finished: dec("110"), HasFinished: true}
	w := compose(t, n, nil)
	want(t, "water", w.Grams(Water), "100 to 110")
	// to taste
	n = &Node{Name: "brine", Lines: []Line{of(water, "100"), {Of: salt}}}
	w = compose(t, n, nil)
	want(t, "salt", w.Grams(Salt), "at least 0")
	want(t, "fat", w.Grams(Fat), "0")
	if !w.Mass().Equal(dec("100")) {
		t.Errorf("mass %s", w.Mass())
	}
	// pieces with their cores: 24 domes of 900 g filling around 24 cores of 216 g
	core := &Node{Name: "gel", Lines: []Line{of(water, "240")}, Finished: dec("216"), HasFinished: true}
	dome := &Node{Name: "dome", Lines: []Line{of(leaf(t, "cream", "water 60, fat 35"), "900"), {Of: core, Batches: dec("1"), Core: true}}}
	plate := &Node{Name: "plate", Lines: []Line{{Of: dome, Batches: dec("1/24")}}}
	w = compose(t, dome, nil)
	want(t, "filling", w.Grams(Fat), "315")
	if !w.Mass().Equal(dec("900")) || !w.WithCores().Mass().Equal(dec("1116")) {
		t.Errorf("dome %s g, with cores %s g", w.Mass(), w.WithCores().Mass())
	}
	w = compose(t, plate, nil)
	if !w.WithCores().Mass().Equal(dec("46.5")) {
		t.Errorf("one dome %s g", w.WithCores().Mass())
	}
	want(t, "water", w.WithCores().Grams(Water), "31.5") // 22.5 + 9
	// errors
	n.Lines[0].Of = n
	if _, err := Compose(n, nil); !errors.Is(err, ErrCircle) {
		t.Errorf("circle: %v", err)
	}
	unknown := &Node{Name: "glaze", Lines: []Line{of(water, "1")}, NoMass: "reduced to 60 °Bx"}
	if _, err := Compose(&Node{Name: "x", Lines: []Line{of(unknown, "5")}}, nil); !errors.Is(err, ErrNoMass) {
		t.Errorf("mass not known: %v", err)
	}
	if _, err := Compose(&Node{Name: "x", Lines: []Line{of(water, "5")}, LossMass: dec("6")}, nil); !errors.Is(err, ErrMass) {
		t.Errorf("loses more than it has: %v", err)
	}
	if _, err := Compose(&Node{Name: "x", Lines: []Line{of(water, "5")}, Losses: []Loss{{Step: "reduce", Mass: dec("6")}}}, nil); !errors.Is(err, ErrNotEnough) {
		t.Errorf("boils more than it has: %v", err)
	}
}
