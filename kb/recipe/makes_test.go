package recipe

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

func TestParseMakes(t *testing.T) {
	cm := func(sides ...string) []quantity.Number {
		var out []quantity.Number
		for _, s := range sides {
			out = append(out, num(s))
		}
		return out
	}
	tests := map[string]Makes{
		"1.05 kg":                      {Mass: qty("1.05", quantity.KG)},
		"500 g":                        {Mass: qty("500", quantity.G)},
		"1,5 kg":                       {Mass: qty("1.5", quantity.KG)},
		"24 pieces":                    {Count: num("24"), Piece: "piece"},
		"12":                           {Count: num("12"), Piece: "piece"},
		"20 pieces of 50 g":            {Count: num("20"), Piece: "piece", Each: qty("50", quantity.G), Mass: qty("1000", quantity.G)},
		"20 pieces of 50 g each":       {Count: num("20"), Piece: "piece", Each: qty("50", quantity.G), Mass: qty("1000", quantity.G)},
		"6 loaves of 900 g":            {Count: num("6"), Piece: "loaf", Each: qty("900", quantity.G), Mass: qty("5400", quantity.G)},
		"2 boxes of 4 oz":              {Count: num("2"), Piece: "box", Each: qty("4", quantity.OZ), Mass: qty("8", quantity.OZ)},
		"2 trays of 600 g":             {Count: num("2"), Piece: "tray", Each: qty("600", quantity.G), Mass: qty("1200", quantity.G)},
		"24 pieces (1.2 kg)":           {Count: num("24"), Piece: "piece", Mass: qty("1.2", quantity.KG)},
		"24 pieces (50 g each)":        {Count: num("24"), Piece: "piece", Each: qty("50", quantity.G), Mass: qty("1200", quantity.G)},
		"1 cover":                      {Count: num("1"), Piece: "cover"},
		"8 Covers":                     {Count: num("8"), Piece: "Cover"},
		"30 brioches":                  {Count: num("30"), Piece: "brioche"},
		"4 batches":                    {Count: num("4"), Piece: "batch"},
		"9 glasses":                    {Count: num("9"), Piece: "glass"},
		"3 pastries":                   {Count: num("3"), Piece: "pastry"},
		"½ tray":                       {Count: num("0.5"), Piece: "tray"},
		"fill 24 of dome 45":           {Fill: true, Count: num("24"), Mould: "dome 45", Piece: "dome 45"},
		"Fill 24 of dome 45":           {Fill: true, Count: num("24"), Mould: "dome 45", Piece: "dome 45"},
		"1 frame of 36 x 28 x 2 cm":    {Count: num("1"), Piece: "frame", Frame: cm("36", "28", "2")},
		"2 frames of 36×28×2 cm":       {Count: num("2"), Piece: "frame", Frame: cm("36", "28", "2")},
		"1 frame of 360 x 280 x 20 mm": {Count: num("1"), Piece: "frame", Frame: cm("36", "28", "2")},
		"1 frame of 36 x 28 x 1.5 cm":  {Count: num("1"), Piece: "frame", Frame: cm("36", "28", "1.5")},
		"1 frame of 14 x 10 x 1 in":    {Count: num("1"), Piece: "frame", Frame: cm("35.56", "25.4", "2.54")},
		"fill 24 of dome 45 around 24 of core 25": {Fill: true, Count: num("24"), Mould: "dome 45", Piece: "dome 45",
			CoreCount: num("24"), Core: "core 25"},
	}
	for in, want := range tests {
		got, err := ParseMakes(in)
		if err != nil {
			t.Errorf("ParseMakes(%q): %v", in, err)
			continue
		}
		want.Text = in
		if diff := cmp.Diff(&want, got, same); diff != "" {
			t.Errorf("ParseMakes(%q) (-want +got):\n%s", in, diff)
		}
	}
}

func TestIsCovers(t *testing.T) {
	for in, want := range map[string]bool{"1 cover": true, "8 Covers": true, "8 portions": false, "1 kg": false} {
		mk, err := ParseMakes(in)
		if err != nil || mk.IsCovers() != want {
			t.Errorf("%q covers: %v %v", in, mk.IsCovers(), err)
		}
	}
}

func TestParseMakesFaults(t *testing.T) {
	for _, tt := range []struct{ in, code, write string }{
		{"", CodeMissing, "1.05 kg"},
		{"a lot", CodeMakes, "1.05 kg"},
		{"2 l", CodeUnit, "the mass"},
		{"12 min", CodeUnit, "the mass"},
		{"1,200 g", CodeAmbiguous, "1200 g"},
		{"20 pieces of 50", CodeNoUnit, "50 g"},
		{"20 pieces of 50 ml", CodeUnit, "50 g"},
		{"20 pieces of 1,200 g", CodeAmbiguous, "1200 g"},
		{"4-6 pieces", CodeMakes, "24 pieces"},
		{"0 pieces", CodeMakes, "24 pieces"},
		{"0 g", CodeMakes, "24 pieces"},
		{"20 pieces of 0 g", CodeMakes, "24 pieces"},
		{"24 pieces (1.2 kg", CodeMakes, "24 pieces"},
		{"24 x 50 g", CodeMakes, "20 pieces of 50 g"},
		{"fill dome 45", CodeMakes, "fill 24 of dome 45"},
		{"fill 24 dome 45", CodeMakes, "fill 24 of dome 45"},
		{"fill 2.5 of dome 45", CodeMakes, "fill 24 of dome 45"},
		{"fill 24 of dome 45 around core 25", CodeMakes, "fill 24 of dome 45"},
		{"1 frame of 36 x 28 cm", CodeMakes, "36 x 28 x 2 cm"},
		{"1 frame of 36 x 28 x 2", CodeNoUnit, "36 x 28 x 2 cm"},
		{"1 frame of 36 x 0 x 2 cm", CodeMakes, "36 x 28 x 2 cm"},
		{"1 kg of 50 g", CodeMakes, "1.05 kg"},
		{strings.Repeat("x", 300), CodeMakes, "1.05 kg"},
	} {
		_, err := ParseMakes(tt.in)
		var form *FormError
		if !errors.As(err, &form) || form.Code != tt.code || !strings.Contains(form.Write, tt.write) {
			t.Errorf("ParseMakes(%q): %v", tt.in, err)
		}
	}
}

func FuzzParseMakes(f *testing.F) {
	for _, s := range []string{"1.05 kg", "20 pieces of 50 g", "fill 24 of dome 45 around 24 of core 25", "1 frame of 36 x 28 x 2 cm", "24 pieces (50 g each)", "1,200 g", "½ tray"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		mk, err := ParseMakes(s)
		if err != nil {
			var form *FormError
			if !errors.As(err, &form) || form.Write == "" || form.Text == "" {
				t.Fatalf("%q: %#v", s, err)
			}
			return
		}
		if mk.Mass == nil && mk.Count.Sign() <= 0 || mk.Mass != nil && mk.Mass.N.Sign() <= 0 {
			t.Fatalf("%q makes nothing: %+v", s, mk)
		}
		if mk.Count.Sign() > 0 && mk.Piece == "" || mk.Fill && mk.Mould == "" || mk.Frame != nil && len(mk.Frame) != 3 {
			t.Fatalf("%q is half read: %+v", s, mk)
		}
	})
}
