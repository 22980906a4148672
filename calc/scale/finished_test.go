package scale_test

import (
	"errors"
	"strings"
	"testing"

	"tamis/calc/scale"
)

func TestFinished(t *testing.T) {
	core := &scale.Formula{Name: "core", Lines: []scale.Line{grams("pear", "90")}, Pieces: num("10")}
	unknown := &scale.Formula{Name: "glaze", Unknown: "reduced to 60 °Bx of an unknown start", Pieces: num("10"), Lines: []scale.Line{grams("juice", "500")}}
	stated := *unknown
	stated.Stated, stated.HasStated = num("300"), true
	base := []scale.Line{grams("milk", "800"), grams("sugar", "200")}
	for _, c := range []struct {
		name string
		f    *scale.Formula
		want string
	}{
		{"sum", &scale.Formula{Lines: base}, "1000"},
		{"steps, then loss in %", &scale.Formula{Lines: base, Steps: nums("150", "50"), LossShare: num("0.05")}, "760"},
		{"steps, then loss in g", &scale.Formula{Lines: base, Steps: nums("150", "50"), LossMass: num("40")}, "760"},
		{"a mass in makes stands", &scale.Formula{Lines: base, Steps: nums("999"), Stated: num("940"), HasStated: true}, "940"},
		{"it stands where the sum is unknown", &stated, "300"},
		{"a core is in no mass", &scale.Formula{Lines: append([]scale.Line{coreOf(core, "10")}, base...)}, "1000"},
		{"pieces of a link weigh", &scale.Formula{Lines: []scale.Line{pieces(core, "2.5"), grams("foam", "7.5")}}, "30"},
		{"to taste is in no mass", &scale.Formula{Lines: append([]scale.Line{{Name: "salt"}}, base...)}, "1000"},
	} {
		got, err := c.f.Finished()
		want(t, c.name, got, err, c.want)
	}
}

func TestFinishedErrors(t *testing.T) {
	unknown := &scale.Formula{Name: "glaze", Unknown: "reduced to 60 °Bx of an unknown start", Pieces: num("10")}
	bulk := &scale.Formula{Name: "cream", Lines: []scale.Line{grams("cream", "100")}}
	base := []scale.Line{grams("milk", "100")}
	for _, c := range []struct {
		name string
		f    *scale.Formula
		want error
	}{
		{"unknown", unknown, scale.ErrUnknownMass},
		{"unknown through a piece", &scale.Formula{Lines: []scale.Line{pieces(unknown, "1")}}, scale.ErrUnknownMass},
		{"nothing in a mass", &scale.Formula{Lines: []scale.Line{{Name: "salt"}}}, scale.ErrUnknownMass},
		{"no lines", &scale.Formula{}, scale.ErrUnknownMass},
		{"more leaves", &scale.Formula{Lines: base, Steps: nums("101")}, scale.ErrNegative},
		{"all leaves", &scale.Formula{Lines: base, LossMass: num("100")}, scale.ErrNegative},
		{"loss of all", &scale.Formula{Lines: base, LossShare: num("1")}, scale.ErrRange},
		{"loss below 0", &scale.Formula{Lines: base, LossShare: num("-0.1")}, scale.ErrRange},
		{"states nothing", &scale.Formula{Lines: base, HasStated: true}, scale.ErrRange},
		{"pieces of a mass alone", &scale.Formula{Lines: []scale.Line{pieces(bulk, "1")}}, scale.ErrNoPieces},
	} {
		got, err := c.f.Finished()
		if !errors.Is(err, c.want) || !got.IsZero() {
			t.Errorf("%s: got %s, %v, want %v", c.name, got, err, c.want)
		}
	}
	var reason *scale.UnknownMassError
	_, err := (&scale.Formula{Name: "plate", Lines: []scale.Line{pieces(unknown, "1")}}).Finished()
	if !errors.As(err, &reason) || reason.Formula != "glaze" || reason.Reason != unknown.Unknown || !strings.Contains(err.Error(), reason.Reason) {
		t.Errorf("got %v, want the glaze and its reason", err)
	}
	if _, err := bulk.PieceMass(); !errors.Is(err, scale.ErrNoPieces) {
		t.Errorf("piece of a mass alone: %v", err)
	}
}

func TestMassless(t *testing.T) {
	h := lodehavn()
	f := &scale.Formula{Lines: []scale.Line{
		{Name: "salt"}, grams("milk", "1"), counted("thyme", "2", "sprig", ""), {Name: "salt", Part: "glaze"}, pieces(h.core, "1"), coreOf(h.core, "1"),
		{Name: "brown butter", Link: h.brownButter},
	}}
	if got := strings.Join(f.Massless(), ","); got != "salt,thyme,brown butter" {
		t.Errorf("got %q", got)
	}
}

// A chain of n links, and a circle: neither hangs, and both say so.
func TestDepth(t *testing.T) {
	chain := func(links int, piece bool) *scale.Formula {
		f := &scale.Formula{Name: "0", Lines: []scale.Line{grams("water", "10")}, Pieces: num("1")}
		for range links {
			l := draws(f, "10")
			if piece {
				l = pieces(f, "1")
			}
			f = &scale.Formula{Name: f.Name + "'", Lines: []scale.Line{l}, Pieces: num("1")}
		}
		return f
	}
	for _, piece := range []bool{true, false} {
		if leaf, err := scale.Of(chain(64, piece), num("2"), "water"); err != nil || !leaf.Mass.Equal(num("20")) {
			t.Errorf("64 links, by piece %v: %s, %v", piece, leaf.Mass, err)
		}
		if _, err := scale.Needs(chain(65, piece), num("1")); !errors.Is(err, scale.ErrDepth) {
			t.Errorf("65 links, by piece %v: %v", piece, err)
		}
	}
	if _, err := chain(65, true).Finished(); !errors.Is(err, scale.ErrDepth) {
		t.Errorf("65 links by piece: %v", err)
	}
	// The long way is found even when a short one to the same formula came first.
	deep := chain(60, false)
	long := deep
	for range 10 {
		long = &scale.Formula{Name: "x", Lines: []scale.Line{draws(long, "1")}}
	}
	both := &scale.Formula{Name: "both", Lines: []scale.Line{draws(deep, "1"), draws(long, "1")}}
	if _, err := scale.Leaves(both, num("1")); !errors.Is(err, scale.ErrDepth) {
		t.Errorf("short way first: %v", err)
	}

	a := &scale.Formula{Name: "a", Pieces: num("1")}
	b := &scale.Formula{Name: "b", Pieces: num("1"), Lines: []scale.Line{pieces(a, "1"), pieces(a, "1")}}
	a.Lines = []scale.Line{pieces(b, "1"), pieces(b, "1")}
	if _, err := a.Finished(); !errors.Is(err, scale.ErrDepth) {
		t.Errorf("circle: %v", err)
	}
	if _, err := scale.Leaves(a, num("1")); !errors.Is(err, scale.ErrDepth) {
		t.Errorf("circle: %v", err)
	}
	if _, err := scale.FromLeft(a, scale.Left{Name: "b", Amount: num("1")}); !errors.Is(err, scale.ErrDepth) {
		t.Errorf("circle: %v", err)
	}
	if got := scale.Scaled(a, num("1")); got[0].HasMass || !got[0].Count.Equal(num("1")) {
		t.Errorf("circle: %+v", got[0])
	}
}

// A part that two lines of every level share has 2^60 ways to it.
func TestSharedPartsDoNotExplode(t *testing.T) {
	f := &scale.Formula{Name: "stock", Lines: []scale.Line{grams("bones", "3"), grams("water", "7")}, Pieces: num("10")}
	for range 60 {
		half := draws(f, "5")
		f = &scale.Formula{Name: f.Name + "'", Lines: []scale.Line{half, pieces(f, "5")}, Pieces: num("10")}
	}
	leaves, err := scale.Leaves(f, num("1"))
	if err != nil {
		t.Fatal(err)
	}
	want(t, "bones", leaves[0].Mass, nil, "3")
	if from := leaves[0].From; len(from) != 1 || !from[0].Merged || len(from[0].Way) != 61 || !from[0].Mass.Equal(num("3")) {
		t.Errorf("got %d contributions, first merged %v over %d formulas", len(from), from[0].Merged, len(from[0].Way))
	}
	limit, err := scale.FromLeft(f, scale.Left{Name: "water", Amount: num("14")})
	want(t, "limit", limit.Factor, err, "2")
}
