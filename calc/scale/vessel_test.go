package scale_test

import (
	"errors"
	"slices"
	"testing"

	"tamis/calc/quantity"
	"tamis/calc/scale"
)

var (
	dome45   = scale.Vessel{Name: "dome 45", Cells: num("24"), Volume: num("38")}
	dome60   = scale.Vessel{Name: "dome 60", Cells: num("10"), Volume: num("67")}
	noVolume = scale.Vessel{Name: "shell", Cells: num("12")}
)

func TestResize(t *testing.T) {
	frame := scale.Box("frame", num("36"), num("28"), num("2"))
	cored := dome45
	cored.Core = num("9")
	for _, c := range []struct {
		what       string
		have, want scale.Vessel
		ratio      string
		basis      scale.Basis
	}{
		{"the same mould", dome45, dome45, "1", scale.ByCells},
		{"the same mould, no volume", noVolume, noVolume, "1", scale.ByCells},
		{"the same mould with a core", dome45, cored, "29/38", scale.ByVolume},
		{"another mould", dome45, dome60, "67/38", scale.ByVolume},
		{"sheet of the same height", frame, scale.Box("sheet", num("60"), num("42"), num("2")), "2.5", scale.ByArea},
		{"sheet, height not said", frame, scale.Box("sheet", num("60"), num("42"), num("0")), "2.5", scale.ByArea},
		{"frame of another height", frame, scale.Box("sheet", num("60"), num("42"), num("3")), "3.75", scale.ByVolume},
		{"ring, no heights", scale.Round("", num("18"), num("0")), scale.Round("", num("24"), num("0")), "16/9", scale.ByArea},
		{"tin: area × height", scale.Round("", num("18"), num("4")), scale.Round("", num("24"), num("6")), "8/3", scale.ByVolume},
		{"frame to dome", frame, dome45, "19/1008", scale.ByVolume},
	} {
		got, basis, err := scale.Resize(c.have, c.want)
		want(t, c.what, got, err, c.ratio)
		if basis != c.basis {
			t.Errorf("%s: by %s, want by %s", c.what, basis, c.basis)
		}
	}
	tooBig := dome45
	tooBig.Core = num("38")
	for _, c := range []struct {
		have, want scale.Vessel
		err        error
	}{
		{dome45, noVolume, scale.ErrNoVolume},
		{noVolume, dome45, scale.ErrNoVolume},
		{dome60, tooBig, scale.ErrCore},
		{scale.Round("", num("18"), num("0")), scale.Round("", num("18"), num("4")), scale.ErrNoVolume},
		{scale.Box("", num("0"), num("4"), num("4")), dome45, scale.ErrNoVolume},
		{dome45, scale.Round("", num("-1"), num("4")), scale.ErrNoVolume},
	} {
		if _, _, err := scale.Resize(c.have, c.want); !errors.Is(err, c.err) {
			t.Errorf("%s to %s: %v, want %v", c.have.Name, c.want.Name, err, c.err)
		}
	}
}

func TestRoundArea(t *testing.T) {
	// π to the digits everyone knows: a ring of 20 cm has 314.159265 cm².
	if got := scale.Round("", num("20"), num("0")).Area.Fixed(6); got != "314.159265" {
		t.Errorf("got %s cm²", got)
	}
}

func TestForMoulds(t *testing.T) {
	h := lodehavn()
	plainDome := &scale.Formula{Name: "mousse", Lines: []scale.Line{grams("cream", "912")}, Pieces: num("24"), Vessel: &dome45}
	bulk := *h.iceCream // 1.05 g/ml, 40 % overrun: 0.75 g/ml
	slab := scale.Box("frame", num("36"), num("28"), num("2"))
	frame := &scale.Formula{Name: "slab", Lines: []scale.Line{grams("cream", "2000")}, Pieces: num("1"), Vessel: &slab}
	unsized := &scale.Formula{Name: "shells", Lines: []scale.Line{grams("dough", "300")}, Pieces: num("12"), Vessel: &noVolume, Density: num("1.2")}
	for _, c := range []struct {
		what   string
		f      *scale.Formula
		want   scale.Vessel
		cells  string
		factor string
		basis  scale.Basis
		sheets string
	}{
		{"same mould", h.parfait, dome45, "60", "2.5", scale.ByCells, "3"},
		{"one tray of it", h.parfait, dome45, "24", "1", scale.ByCells, "1"},
		{"another mould", plainDome, dome60, "40", "335/114", scale.ByVolume, "4"},
		{"another mould around the same core", h.parfait, dome60, "30", "2.5", scale.ByVolume, "3"}, // 30 × 58 of 24 × 29
		{"a bulk mix by density", &bulk, dome45, "25", "0.75", scale.ByDensity, "2"},                // 950 ml × 0.75 = 712.5 g of 950
		{"a frame", frame, scale.Box("sheet", num("60"), num("42"), num("2")), "2", "5", scale.ByArea, "2"},
		{"own mould unsized, by density", unsized, dome60, "10", "2.68", scale.ByDensity, "1"},
	} {
		got, err := scale.ForMoulds(c.f, c.want, num(c.cells))
		want(t, c.what, got.Factor, err, c.factor)
		want(t, c.what+": sheets", got.Sheets, nil, c.sheets)
		if got.Basis != c.basis {
			t.Errorf("%s: by %s, want by %s", c.what, got.Basis, c.basis)
			continue
		}
		n, err := scale.Pieces(got.Formula, got.Factor)
		want(t, c.what+": pieces", n, err, c.cells)
		if (got.Formula == c.f) != (c.basis == scale.ByCells) {
			t.Errorf("%s: the formula itself goes with its own mould alone", c.what)
		}
	}
	noDensity := &scale.Formula{Name: "cream", Lines: frame.Lines}
	noPieces := &scale.Formula{Name: "cream", Lines: frame.Lines, Vessel: &dome45}
	unknown := &scale.Formula{Name: "glaze", Unknown: "reduced", Density: num("1.3")}
	flat := &scale.Formula{Name: "cream", Lines: frame.Lines, Density: num("1"), Overrun: num("-1")}
	for _, c := range []struct {
		f     *scale.Formula
		want  scale.Vessel
		cells string
		err   error
	}{
		{h.parfait, dome45, "0", scale.ErrRange},
		{noDensity, dome45, "1", scale.ErrNoDensity},
		{noDensity, noVolume, "1", scale.ErrNoVolume},
		{plainDome, noVolume, "1", scale.ErrNoVolume},
		{noPieces, dome45, "1", scale.ErrNoPieces},
		{unknown, dome45, "1", scale.ErrUnknownMass},
		{flat, dome45, "1", scale.ErrRange},
		{h.parfait, scale.Vessel{Name: "bead", Volume: num("9")}, "1", scale.ErrCore},
	} {
		if _, err := scale.ForMoulds(c.f, c.want, num(c.cells)); !errors.Is(err, c.err) {
			t.Errorf("%s in %s: %v, want %v", c.f.Name, c.want.Name, err, c.err)
		}
	}
}

// A core is one thing a cell: it follows the cells, the filling follows the volume.
func TestCoresFollowTheCells(t *testing.T) {
	h := lodehavn()
	fill, err := scale.ForMoulds(h.parfait, dome60, num("30"))
	if err != nil {
		t.Fatal(err)
	}
	lines := scale.Scaled(fill.Formula, fill.Factor)
	want(t, "cores", lines[4].Count, nil, "30")
	want(t, "cream", lines[0].Mass, nil, "1050")
	leaf, err := scale.Of(fill.Formula, fill.Factor, "pear purée")
	want(t, "purée", leaf.Mass, err, "250")
	want(t, "the book's own cores", h.parfait.Lines[4].Count, nil, "24")
}

func TestVolume(t *testing.T) {
	f := lodehavn().iceCream
	v, err := f.Volume()
	want(t, "950 g at 0.75 g/ml", v, err, "3800/3")
	_, err = (&scale.Formula{}).Volume()
	if !errors.Is(err, scale.ErrNoDensity) {
		t.Error(err)
	}
	want(t, "sheets of a ring", scale.Round("ring", num("20"), num("4")).Sheets(num("2.5")), nil, "3")
	if s := scale.Basis(9).String(); s != "basis 9" {
		t.Error(s)
	}
}

func TestCautions(t *testing.T) {
	raised := scale.Line{Name: "yeast", Class: scale.ClassLeavening}
	spiced := scale.Line{Name: "long pepper", Class: scale.ClassSpice}
	salted := scale.Line{Name: "salt", Class: scale.ClassSalt}
	slab := scale.Box("frame", num("36"), num("28"), num("2"))
	all := &scale.Formula{Lines: []scale.Line{salted, spiced, raised}, Steps: nums("100"), Pieces: num("2"), Layer: true}
	framed := &scale.Formula{Lines: []scale.Line{grams("cream", "100")}, Pieces: num("1"), Vessel: &slab}
	far := []scale.Caution{scale.CautionEvaporation, scale.CautionLeavening, scale.CautionSpice, scale.CautionSalt}
	for _, c := range []struct {
		f      *scale.Formula
		factor string
		want   []scale.Caution
	}{
		{all, "1", nil}, {all, "1.5", nil}, {all, "2", far}, {all, "0.5", far}, {all, "0", nil}, {all, "-2", nil},
		{all, "1.75", []scale.Caution{scale.CautionLayer}},
		{all, "0.25", []scale.Caution{scale.CautionEvaporation, scale.CautionLeavening, scale.CautionLayer, scale.CautionSpice, scale.CautionSalt}},
		{framed, "3", nil}, {framed, "1.5", []scale.Caution{scale.CautionLayer}},
		{lodehavn().iceCream, "20", nil},
	} {
		if got := scale.Cautions(c.f, num(c.factor)); !slices.Equal(got, c.want) {
			t.Errorf("× %s: got %v, want %v", c.factor, got, c.want)
		}
	}
	for height, caution := range map[string]bool{"2": false, "0": false, "4": true} {
		fill, err := scale.ForMoulds(framed, scale.Box("sheet", num("60"), num("42"), num(height)), quantity.Int(1))
		if err != nil || slices.Contains(fill.Cautions, scale.CautionLayer) != caution {
			t.Errorf("to a height of %s cm: %v, %v", height, fill.Cautions, err)
		}
	}
}
