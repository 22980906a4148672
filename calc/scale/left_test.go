package scale_test

import (
	"errors"
	"testing"

	"tamis/calc/scale"
)

func g(name, amount string) scale.Left { return scale.Left{Name: name, Amount: num(amount)} }

func n(name, amount, word string) scale.Left {
	return scale.Left{Name: name, Amount: num(amount), ByCount: true, Word: word}
}

func TestFromLeft(t *testing.T) {
	h := lodehavn()
	twice := grams("butter", "50")
	twice.Part = "finish"
	rich := *h.iceCream
	rich.Lines = append([]scale.Line{twice}, h.iceCream.Lines...)
	eggs := &scale.Formula{Name: "sponge", Lines: []scale.Line{counted("egg", "4", "egg", "50"), grams("sugar", "120"), counted("egg", "1", "egg", ""), {Name: "sugar"}}}
	for _, c := range []struct {
		what   string
		f      *scale.Formula
		left   []scale.Left
		factor string
		name   string
		rest   []string
	}{
		{"one", h.iceCream, []scale.Left{g("egg yolk", "240")}, "2.5", "egg yolk", []string{"0"}},
		{"the scarcer of two", h.iceCream, []scale.Left{g("milk", "2000"), g("sugar", "44")}, "0.5", "sugar", []string{"1730", "0"}},
		{"equal: the first named", h.iceCream, []scale.Left{g("sugar", "88"), g("milk", "540")}, "1", "sugar", []string{"0", "0"}},
		{"none left", h.iceCream, []scale.Left{g("sugar", "0"), g("milk", "1")}, "0", "sugar", []string{"0", "1"}},
		{"only inside a link", h.iceCream, []scale.Left{g("butter", "250")}, "2.5", "butter", []string{"0"}},
		{"a line and inside a link", &rich, []scale.Left{g("butter", "300")}, "2", "butter", []string{"0"}},
		{"a link that is made", h.iceCream, []scale.Left{g("brown butter", "190")}, "2.5", "brown butter", []string{"0"}},
		{"made, so its butter is for the rest", &rich, []scale.Left{g("brown butter", "76"), g("butter", "60")}, "1", "brown butter", []string{"0", "10"}},
		{"made, and all its butter is in it", h.iceCream, []scale.Left{g("butter", "5"), g("brown butter", "76")}, "1", "brown butter", []string{"5", "0"}},
		{"pieces of a link", h.dish, []scale.Left{n("parfait", "7", ""), n("buckwheat tuile", "5", "")}, "5", "buckwheat tuile", []string{"2", "0"}},
		{"grams of a link drawn by pieces", h.dish, []scale.Left{g("parfait", "290")}, "10", "parfait", []string{"0"}},
		{"pieces counted", h.dish, []scale.Left{n("sorrel", "10", "leaf")}, "10/3", "sorrel", []string{"0"}},
		{"counted on two lines", eggs, []scale.Left{n("egg", "12", ""), g("sugar", "600")}, "2.4", "egg", []string{"0", "312"}},
	} {
		got, err := scale.FromLeft(c.f, c.left...)
		want(t, c.what, got.Factor, err, c.factor)
		if got.Name != c.name {
			t.Errorf("%s: %q limits, want %q", c.what, got.Name, c.name)
		}
		for i, r := range c.rest {
			if i < len(got.Rest) {
				want(t, c.what+": rest of "+c.left[i].Name, got.Rest[i].Amount, nil, r)
			}
		}
	}

	open := *h.iceCream
	open.Lines = append([]scale.Line{{Name: "brown butter", Link: h.brownButter}}, h.iceCream.Lines...)
	bulkByPiece := &scale.Formula{Lines: []scale.Line{pieces(h.brownButter, "1")}}
	unknown := &scale.Formula{Name: "glaze", Unknown: "reduced", Lines: []scale.Line{grams("juice", "9")}}
	for _, c := range []struct {
		what string
		f    *scale.Formula
		left []scale.Left
		want error
	}{
		{"nothing named", h.dish, nil, scale.ErrRange},
		{"below 0", h.dish, []scale.Left{g("sugar", "-1")}, scale.ErrRange},
		{"not in it", h.dish, []scale.Left{g("sugar", "1"), g("cocoa", "1")}, scale.ErrNotUsed},
		{"itself", h.dish, []scale.Left{g("pear plate", "1")}, scale.ErrNotUsed},
		{"grams of leaves", h.dish, []scale.Left{g("sorrel", "10")}, scale.ErrNoAmount},
		{"bunches of leaves", h.dish, []scale.Left{n("sorrel", "10", "bunch")}, scale.ErrNoAmount},
		{"pieces of sugar", h.dish, []scale.Left{n("sugar", "10", "")}, scale.ErrNoAmount},
		{"to taste alone", &scale.Formula{Lines: []scale.Line{{Name: "salt"}}}, []scale.Left{g("salt", "10")}, scale.ErrNoAmount},
		{"grams, and one counted without a mass", eggs, []scale.Left{g("egg", "100")}, scale.ErrNoAmount},
		{"through a link to taste", &open, []scale.Left{g("butter", "100")}, scale.ErrOpen},
		{"through an unknown", &scale.Formula{Lines: []scale.Line{draws(unknown, "5")}}, []scale.Left{g("juice", "100")}, scale.ErrUnknownMass},
		{"pieces of a mass", bulkByPiece, []scale.Left{n("brown butter", "1", "")}, scale.ErrNoPieces},
	} {
		if got, err := scale.FromLeft(c.f, c.left...); !errors.Is(err, c.want) || got.Name != "" {
			t.Errorf("%s: %+v, %v, want %v", c.what, got, err, c.want)
		}
	}
}
