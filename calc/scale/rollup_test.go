package scale_test

import (
	"errors"
	"strings"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

func names(needs []scale.Need) string {
	var s []string
	for _, n := range needs {
		s = append(s, n.Formula.Name)
	}
	return strings.Join(s, ", ")
}

func TestNeeds(t *testing.T) {
	h := lodehavn()
	needs, err := scale.Needs(h.dish, num("48"))
	if err != nil {
		t.Fatal(err)
	}
	if got := names(needs); got != "parfait, brown butter, pear core, buckwheat tuile, brown butter ice cream" {
		t.Fatalf("got %s", got)
	}
	// 48 domes are 2 batches; 48 tuiles 48/46; 48 × 40 g of 950 g ice cream.
	want(t, "parfait", needs[0].Batches, nil, "2")
	want(t, "parfait", needs[0].Pieces, nil, "48")
	want(t, "parfait", needs[0].Mass, nil, "1392")
	want(t, "core", needs[2].Pieces, nil, "48")
	want(t, "tuile", needs[3].Batches, nil, "24/23")
	want(t, "tuile", needs[3].Whole, nil, "2")
	want(t, "ice cream", needs[4].Mass, nil, "1920")
	want(t, "ice cream", needs[4].Whole, nil, "3")
	// Brown butter: 60 × 2 + 38 × 24/23 + 76 × 1920/950.
	butter := num("120").Add(num("912/23")).Add(num("153.6"))
	want(t, "brown butter", needs[1].Mass, nil, butter.String())
	want(t, "brown butter", needs[1].Batches, nil, butter.Div(num("380")).String())
	var from []string
	for _, d := range needs[1].From {
		from = append(from, d.Formula.Name+" "+d.Batches.String())
	}
	if got := strings.Join(from, ", "); got != "parfait 6/19, buckwheat tuile 12/115, brown butter ice cream 192/475" {
		t.Errorf("brown butter from %s", got)
	}
}

func TestForCovers(t *testing.T) {
	h := lodehavn()
	coupe := &scale.Formula{Name: "coupe", Lines: []scale.Line{draws(h.iceCream, "95"), pieces(h.tuile, "2")}, Pieces: num("2"), Word: "cover"}
	needs, err := scale.ForCovers([]scale.Cover{{Formula: h.dish, N: num("24")}, {Formula: coupe, N: num("10")}})
	if err != nil {
		t.Fatal(err)
	}
	if got := names(needs); got != "pear plate, parfait, brown butter, pear core, buckwheat tuile, brown butter ice cream, coupe" {
		t.Fatalf("got %s", got)
	}
	want(t, "plate", needs[0].Batches, nil, "24")
	want(t, "coupe", needs[6].Batches, nil, "5")
	want(t, "tuile", needs[4].Pieces, nil, "34") // 24 + 5 × 2
	want(t, "ice cream", needs[5].Mass, nil, "1435")
	if _, err := scale.ForCovers([]scale.Cover{{Formula: h.brownButter, N: num("3")}}); !errors.Is(err, scale.ErrNoPieces) {
		t.Errorf("covers of a mass: %v", err)
	}
	if _, err := scale.ForCovers([]scale.Cover{{Formula: h.dish, N: num("-3")}}); !errors.Is(err, scale.ErrRange) {
		t.Errorf("covers below 0: %v", err)
	}
	if none, err := scale.ForCovers(nil); err != nil || len(none) != 0 {
		t.Errorf("no covers: %v, %v", none, err)
	}
}

func TestLeaves(t *testing.T) {
	h := lodehavn()
	leaves, err := scale.Leaves(h.dish, num("1"))
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, l := range leaves {
		got = append(got, l.Name)
	}
	// In order of first use: the plate's own lines come first, then each part as it is first drawn.
	if s := strings.Join(got, ", "); s != "sorrel, cream 35 %, egg yolk, sugar, butter, pear purée, buckwheat flour, milk" {
		t.Errorf("got %s", s)
	}
	sorrel := leaves[0]
	if sorrel.HasMass || !sorrel.Massless || len(sorrel.Counts) != 1 || sorrel.Counts[0].Word != "leaf" || !sorrel.Counts[0].N.Equal(num("3")) {
		t.Errorf("sorrel: %+v", sorrel)
	}
	yolk := leaves[2]
	want(t, "yolk", yolk.Mass, nil, num("5").Add(num("96").Mul(num("40")).Div(num("950"))).String())
	if s := ways(yolk); s != "pear plate → parfait: 5; pear plate → brown butter ice cream: 384/95" {
		t.Errorf("yolk from %s", s)
	}
	// One line of one formula, by each of its ways.
	if s := ways(leaves[4]); s != "pear plate → parfait → brown butter: 125/38; "+
		"pear plate → buckwheat tuile → brown butter: 25/23; pear plate → brown butter ice cream → brown butter: 80/19" {
		t.Errorf("butter from %s", s)
	}
}

func ways(l scale.Leaf) string {
	var s []string
	for _, c := range l.From {
		s = append(s, strings.Join(c.Way, " → ")+": "+c.Mass.String())
	}
	return strings.Join(s, "; ")
}

func TestOf(t *testing.T) {
	h := lodehavn()
	butter, err := scale.Of(h.iceCream, num("2.5"), "butter")
	want(t, "butter", butter.Mass, err, "250") // 76 of 380 g, so 100 of 500 g a batch
	if s := strings.Join(butter.From[0].Way, " → "); s != "brown butter ice cream → brown butter" {
		t.Errorf("way %s", s)
	}
	// A linked formula has an amount too, found however deep.
	brown, err := scale.Of(h.dish, num("24"), "brown butter")
	want(t, "brown butter", brown.Mass, err, num("60").Add(num("38").Mul(num("24")).Div(num("46"))).Add(num("76.8")).String())
	if brown.Link != h.brownButter || len(brown.From) != 3 {
		t.Errorf("brown butter: link %v, %d lines", brown.Link, len(brown.From))
	}
	var missing *scale.NotUsedError
	if _, err := scale.Of(h.dish, num("1"), "cocoa"); !errors.As(err, &missing) || missing.Ingredient != "cocoa" || !errors.Is(err, scale.ErrNotUsed) {
		t.Errorf("cocoa: %v", err)
	}
	if _, err := scale.Of(h.dish, num("-1"), "sugar"); !errors.Is(err, scale.ErrRange) {
		t.Errorf("a factor below 0: %v", err)
	}
}

func TestSameIngredientOnSeveralLines(t *testing.T) {
	cream := grams("cream", "30")
	cream.Key, cream.Part = "cream 35 %", "glaze"
	salt := scale.Line{Name: "salt"}
	range1 := grams("salt", "3.5")
	range1.Lo, range1.Hi = num("3"), num("4")
	leaf := counted("sorrel", "2.5", "leaf", "0.5")
	leaf.CountLo, leaf.CountHi = num("2"), num("3")
	f := &scale.Formula{Name: "f", Lines: []scale.Line{
		grams("cream 35 %", "100"), cream, range1, salt, leaf, counted("sorrel", "1", "bunch", "30"), grams("sorrel", "4"),
	}}
	for _, name := range []string{"cream 35 %", "cream"} {
		got, err := scale.Of(f, num("2"), name)
		exact := "260"
		if name == "cream" {
			exact = "60" // the name written, letter for letter
		}
		want(t, name, got.Mass, err, exact)
	}
	leaves, err := scale.Leaves(f, num("2"))
	if err != nil || len(leaves) != 3 {
		t.Fatalf("%d leaves, %v", len(leaves), err)
	}
	if c := leaves[0]; c.Name != "cream 35 %" || len(c.From) != 2 || c.From[1].Part != "glaze" {
		t.Errorf("cream: %+v", c)
	}
	s := leaves[1]
	want(t, "salt", s.Mass, nil, "7")
	want(t, "salt from", s.Lo, nil, "6")
	want(t, "salt to", s.Hi, nil, "8")
	if !s.HasMass || !s.Massless {
		t.Errorf("salt: a mass %v, and a line without %v", s.HasMass, s.Massless)
	}
	sorrel := leaves[2]
	if len(sorrel.Counts) != 2 || !sorrel.Uncounted || sorrel.Massless {
		t.Fatalf("sorrel: %+v", sorrel)
	}
	want(t, "sorrel", sorrel.Mass, nil, "70.5")
	want(t, "leaves", sorrel.Counts[0].N, nil, "5")
	want(t, "bunches", sorrel.Counts[1].N, nil, "2")
	scaled := scale.Scaled(f, num("2"))
	want(t, "leaves from", scaled[4].CountLo, nil, "4")
	want(t, "leaves to", scaled[4].CountHi, nil, "6")
}

// What hangs on an unknown amount says so; the rest is answered.
func TestUnknownLinks(t *testing.T) {
	oil := &scale.Formula{Name: "sorrel oil", Lines: []scale.Line{grams("oil", "100"), grams("sorrel", "50")}}
	glaze := &scale.Formula{Name: "glaze", Unknown: "reduced to 60 °Bx", Lines: []scale.Line{grams("pear juice", "500"), draws(oil, "30")}, Pieces: num("10")}
	f := &scale.Formula{Name: "plate", Pieces: num("1"), Lines: []scale.Line{
		grams("pear", "80"), draws(glaze, "20"), {Name: "sorrel oil", Link: oil}, grams("oil", "5"),
	}}
	needs, err := scale.Needs(f, num("3"))
	if err != nil || names(needs) != "glaze, sorrel oil" {
		t.Fatalf("%s, %v", names(needs), err)
	}
	if !errors.Is(needs[0].Err, scale.ErrUnknownMass) || !needs[0].HasMass || !needs[0].Mass.Equal(num("60")) {
		t.Errorf("glaze: the mass is known, the batches are not: %+v", needs[0])
	}
	if needs[1].Err == nil || needs[1].Batches.Sign() != 0 {
		t.Errorf("oil: %+v", needs[1])
	}
	leaves, err := scale.Leaves(f, num("3"))
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range leaves {
		known := l.Name == "pear"
		if (l.Err == nil) != known {
			t.Errorf("%s: %v", l.Name, l.Err)
		}
		if has := l.Name == "pear" || l.Name == "oil"; l.HasMass != has {
			t.Errorf("%s: has a mass %v, %s", l.Name, l.HasMass, l.Mass)
		}
	}
	// Drawn by mass and by the piece, its mass is not known either.
	both := &scale.Formula{Name: "tray", Pieces: num("1"), Lines: []scale.Line{draws(glaze, "20"), pieces(glaze, "2")}}
	if needs, err := scale.Needs(both, num("1")); err != nil || needs[0].HasMass || !needs[0].Batches.Equal(num("0.2")) {
		t.Errorf("glaze both ways: %+v, %v", needs[0], err)
	}
	// By the piece the batches are known, though the mass of a piece is not.
	f.Lines[1] = pieces(glaze, "1")
	juice, err := scale.Of(f, num("3"), "pear juice")
	want(t, "juice by the piece", juice.Mass, err, "150")
	if juice.Err != nil {
		t.Error(juice.Err)
	}
	if s := scale.Scaled(f, num("3"))[1]; s.HasMass || !s.Count.Equal(num("3")) {
		t.Errorf("%+v", s)
	}
	bulk := &scale.Formula{Name: "p", Lines: []scale.Line{pieces(oil, "1")}}
	leaf, err := scale.Of(bulk, quantity.Int(1), "oil")
	if err != nil || !errors.Is(leaf.Err, scale.ErrNoPieces) {
		t.Errorf("pieces of a mass: %v, %v", err, leaf.Err)
	}
}
