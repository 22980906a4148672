package scale_test

import (
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

func num(s string) quantity.Number { return quantity.MustDecimal(s) }

func nums(s ...string) []quantity.Number {
	out := make([]quantity.Number, len(s))
	for i := range s {
		out[i] = num(s[i])
	}
	return out
}

func plain(name string, grams quantity.Number) scale.Line {
	return scale.Line{Name: name, Mass: grams, HasMass: true, Lo: grams, Hi: grams}
}

func grams(name, g string) scale.Line { return plain(name, num(g)) }

func counted(name, n, word, each string) scale.Line {
	l := scale.Line{Name: name, Count: num(n), Word: word}
	if each != "" {
		l.Mass, l.HasMass = num(n).Mul(num(each)), true
	}
	return l
}

func draws(f *scale.Formula, g string) scale.Line {
	l := grams(f.Name, g)
	l.Link = f
	return l
}

func pieces(f *scale.Formula, n string) scale.Line {
	return scale.Line{Name: f.Name, Link: f, ByPieces: true, Count: num(n), Word: f.Word}
}

func want(t *testing.T, what string, got quantity.Number, err error, exact string) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
	} else if !got.Equal(num(exact)) {
		t.Errorf("%s: got %s, want %s", what, got, exact)
	}
}

// The house's dish: a cover is one dome of parfait around a core, a tuile and ice cream.
type house struct {
	brownButter, iceCream, core, parfait, tuile, dish *scale.Formula
}

func lodehavn() house {
	var h house
	h.brownButter = &scale.Formula{Name: "brown butter", Lines: []scale.Line{grams("butter", "500")}, Steps: nums("100"), LossShare: num("0.05")} // 380 g
	h.iceCream = &scale.Formula{Name: "brown butter ice cream", Lines: []scale.Line{
		grams("milk", "540"), grams("cream 35 %", "170"), grams("egg yolk", "96"), grams("sugar", "88"), draws(h.brownButter, "76"),
	}, Stated: num("950"), HasStated: true, Density: num("1.05"), Overrun: num("0.4")}
	h.core = &scale.Formula{Name: "pear core", Lines: []scale.Line{grams("pear purée", "200"), grams("sugar", "16")}, Pieces: num("24"), Word: "piece"} // 9 g
	h.parfait = &scale.Formula{Name: "parfait", Lines: []scale.Line{
		grams("cream 35 %", "420"), grams("egg yolk", "120"), grams("sugar", "96"), draws(h.brownButter, "60"), coreOf(h.core, "24"),
	}, Pieces: num("24"), Word: "dome 45", Vessel: &scale.Vessel{Name: "dome 45", Cells: num("24"), Volume: num("38"), Core: num("9")}}
	h.tuile = &scale.Formula{Name: "buckwheat tuile", Lines: []scale.Line{grams("buckwheat flour", "60"), grams("sugar", "40"), draws(h.brownButter, "38")}, Pieces: num("46"), Word: "piece"} // 3 g
	h.dish = &scale.Formula{Name: "pear plate", Lines: []scale.Line{
		pieces(h.parfait, "1"), pieces(h.tuile, "1"), draws(h.iceCream, "40"), counted("sorrel", "3", "leaf", ""),
	}, Pieces: num("1"), Word: "cover"}
	return h
}

func coreOf(f *scale.Formula, n string) scale.Line {
	l := pieces(f, n)
	l.Core = true
	return l
}
