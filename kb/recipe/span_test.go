package recipe

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

func minutes(s string) *quantity.Number {
	n := num(s)
	return &n
}

func TestParseSpan(t *testing.T) {
	tests := map[string]Span{
		"15 s":                                {Exact: minutes("0.25"), Unit: quantity.Second},
		"12 min":                              {Exact: minutes("12"), Unit: quantity.Minute},
		"12min":                               {Exact: minutes("12"), Unit: quantity.Minute},
		"1.5 h":                               {Exact: minutes("90"), Unit: quantity.Hour},
		"1,5 h":                               {Exact: minutes("90"), Unit: quantity.Hour},
		"½ h":                                 {Exact: minutes("30"), Unit: quantity.Hour},
		"1 h 30 min":                          {Exact: minutes("90"), Unit: quantity.Hour},
		"2 days":                              {Exact: minutes("2880"), Unit: quantity.Day},
		"1 week":                              {Exact: minutes("10080"), Unit: quantity.Week},
		"at least 8 h":                        {Min: minutes("480"), Unit: quantity.Hour},
		"At least 8 h":                        {Min: minutes("480"), Unit: quantity.Hour},
		"at most 8 min":                       {Max: minutes("8"), Unit: quantity.Minute},
		"8 h to 24 h":                         {Min: minutes("480"), Max: minutes("1440"), Unit: quantity.Hour},
		"8-24 h":                              {Min: minutes("480"), Max: minutes("1440"), Unit: quantity.Hour},
		"8 to 24 h":                           {Min: minutes("480"), Max: minutes("1440"), Unit: quantity.Hour},
		"8 h – 2 days":                        {Min: minutes("480"), Max: minutes("2880"), Unit: quantity.Hour},
		"1 day to 3 days":                     {Min: minutes("1440"), Max: minutes("4320"), Unit: quantity.Day},
		"30 min to 60 min, never over 90 min": {Min: minutes("30"), Max: minutes("60"), Never: minutes("90"), Unit: quantity.Minute},
		"at least 8 h, never over 24 h":       {Min: minutes("480"), Never: minutes("1440"), Unit: quantity.Hour},
		"at least 8 h, at most 24 h":          {Min: minutes("480"), Max: minutes("1440"), Unit: quantity.Hour},
		"30 min never over 90 min":            {Exact: minutes("30"), Never: minutes("90"), Unit: quantity.Minute},
		"never over 2 h":                      {Never: minutes("120"), Unit: quantity.Hour},
	}
	for in, want := range tests {
		got, err := ParseSpan(in)
		if err != nil {
			t.Errorf("ParseSpan(%q): %v", in, err)
			continue
		}
		want.Text = in
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("ParseSpan(%q) (-want +got):\n%s", in, diff)
		}
	}
}

func TestParseSpanFaults(t *testing.T) {
	for _, tt := range []struct{ in, code, write string }{
		{"", CodeMissing, "12 min"},
		{"12", CodeNoUnit, "12 min"},
		{"overnight", CodeTime, "at least 8 h"},
		{"3 months", CodeTime, "days or weeks"},
		{"12 g", CodeTime, "12 min"},
		{"until done", CodeTime, "12 min"},
		{"24 h to 8 h", CodeTime, "shorter"},
		{"30 min to 60 min, never over 45 min", CodeTime, "shorter"},
		{"12 min, 14 min", CodeTime, "12 min"},
		{"at least 8 h, at least 9 h", CodeTime, "12 min"},
		{"8 h, at least 9 h", CodeTime, "12 min"},
		{"-3 min", CodeTime, ""},
		{"1,200 min", CodeAmbiguous, "1200 min"},
		{"12:00", CodeTime, ""},
		{strings.Repeat("1 h ", 100), CodeTime, ""},
	} {
		_, err := ParseSpan(tt.in)
		var form *FormError
		if !errors.As(err, &form) || form.Code != tt.code || !strings.Contains(form.Write, tt.write) {
			t.Errorf("ParseSpan(%q): %v", tt.in, err)
		}
	}
}

func TestParseClock(t *testing.T) {
	for in, want := range map[string]Clock{"00:00": 0, "08:00": 480, "8:05": 485, "18:30": 1110, "23:59": 1439, "24:00": 1440} {
		if got, err := ParseClock(in); err != nil || got != want {
			t.Errorf("ParseClock(%q) = %d, %v", in, got, err)
		}
	}
	for _, in := range []string{"", "8", "24:01", "12:60", "12:5", "012:00", "-1:00", "8.30", "12:00 pm", "½:00"} {
		if got, err := ParseClock(in); err == nil {
			t.Errorf("ParseClock(%q) = %d", in, got)
		}
	}
}

func TestParseKeep(t *testing.T) {
	tests := map[string]Keep{
		"14 days in freezer":         {Time: qty("14", quantity.Day), Where: "freezer"},
		"14 days in the freezer":     {Time: qty("14", quantity.Day), Where: "freezer"},
		"24 h in fridge after thaw":  {Time: qty("24", quantity.Hour), Where: "fridge", After: "thaw"},
		"24 h after thaw in fridge":  {Time: qty("24", quantity.Hour), Where: "fridge", After: "thaw"},
		"7 days in dry store":        {Time: qty("7", quantity.Day), Where: "dry store"},
		"2 h at room temperature":    {Time: qty("2", quantity.Hour), Where: "room temperature"},
		"3 days after opening":       {Time: qty("3", quantity.Day), After: "opening"},
		"3 days once open":           {Time: qty("3", quantity.Day), After: "open"},
		"2 weeks":                    {Time: qty("2", quantity.Week)},
		"2 months in freezer":        {Time: qty("60", quantity.Day), Where: "freezer"},
		"never refreeze":             {},
		"same day only, in the cold": {},
	}
	for in, want := range tests {
		got, err := ParseKeep(in)
		if err != nil {
			t.Errorf("ParseKeep(%q): %v", in, err)
			continue
		}
		want.Text = in
		if diff := cmp.Diff(want, got, same); diff != "" {
			t.Errorf("ParseKeep(%q) (-want +got):\n%s", in, diff)
		}
	}
	for _, in := range []string{"", "14 in freezer", "14 g in freezer", "14 days freezer", "1,200 h in fridge", "3 days in fridge in freezer", "3 days after thaw after opening"} {
		_, err := ParseKeep(in)
		var form *FormError
		if !errors.As(err, &form) || form.Write == "" {
			t.Errorf("ParseKeep(%q): %v", in, err)
		}
	}
}

func TestParseSeason(t *testing.T) {
	for in, want := range map[string]Season{
		"1 Sep to 30 Nov":             {FromMonth: 9, FromDay: 1, ToMonth: 11, ToDay: 30},
		"1 Nov to 28 Feb":             {FromMonth: 11, FromDay: 1, ToMonth: 2, ToDay: 28},
		"15 September to 29 february": {FromMonth: 9, FromDay: 15, ToMonth: 2, ToDay: 29},
	} {
		want.Text = in
		got, err := ParseSeason(in)
		if err != nil {
			t.Errorf("ParseSeason(%q): %v", in, err)
		} else if diff := cmp.Diff(&want, got); diff != "" {
			t.Errorf("ParseSeason(%q): %s", in, diff)
		}
	}
	for _, in := range []string{"", "autumn", "Sep to Nov", "31 Sep to 1 Nov", "0 Sep to 1 Nov", "1 Sep", "1 Sep to 30 Nov to 1 Dec", "1 Sem to 30 Nov", "001 Sep to 1 Nov"} {
		if got, err := ParseSeason(in); err == nil {
			t.Errorf("ParseSeason(%q) = %+v", in, got)
		}
	}
}

// The 14 names are those of annex II of Regulation (EU) No 1169/2011, in the
// book's short form (book-format).
func TestParseAllergen(t *testing.T) {
	if n := len(Allergens()); n != 14 {
		t.Errorf("%d allergens", n)
	}
	for _, a := range Allergens() {
		if got, err := ParseAllergen(a); err != nil || got != (Allergen{Name: a}) {
			t.Errorf("ParseAllergen(%q) = %v, %v", a, got, err)
		}
	}
	for in, want := range map[string]Allergen{
		"nuts (walnut)": {"nuts", "walnut"}, "Nut (walnut)": {"nuts", "walnut"}, "egg": {"eggs", ""}, "MILK": {"milk", ""},
		"cereals containing gluten (wheat)": {"cereals containing gluten", "wheat"}, "nuts(pecan)": {"nuts", "pecan"},
	} {
		got, err := ParseAllergen(in)
		if err != nil || got != want {
			t.Errorf("ParseAllergen(%q) = %v, %v", in, got, err)
		}
	}
	for in, write := range map[string]string{
		"gluten": "cereals containing gluten", "walnuts": "nuts (walnut)", "soy": "soybeans", "lupins seeds": "one of", "celary": "celery", "": "one of",
		"milk (": "nuts (walnut)", "nuts ()": "nuts (walnut)", "Sulfites": "sulphites", "butter": "milk", "shellfish": "crustaceans, or molluscs",
	} {
		_, err := ParseAllergen(in)
		var form *FormError
		if !errors.As(err, &form) || !strings.Contains(form.Write, write) {
			t.Errorf("ParseAllergen(%q): %v", in, err)
		}
	}
	for word, write := range meant {
		if a, _, found := strings.Cut(write, ", or "); found {
			write = a
		}
		if _, err := ParseAllergen(write); err != nil {
			t.Errorf("%s leads to %q: %v", word, write, err)
		}
	}
}

func FuzzParseSpan(f *testing.F) {
	for _, s := range []string{"15 s", "at least 8 h", "30 min to 60 min, never over 90 min", "8-24 h", "1 h 30 min", "½ h", "1,5 h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		sp, err := ParseSpan(s)
		if err != nil {
			var form *FormError
			if !errors.As(err, &form) || form.Write == "" || form.Text == "" {
				t.Fatalf("%q: %#v", s, err)
			}
			return
		}
		last := quantity.Number{}
		ends := 0
		for _, n := range []*quantity.Number{sp.Exact, sp.Min, sp.Max, sp.Never} {
			if n == nil {
				continue
			}
			if ends++; n.Less(last) {
				t.Fatalf("%q runs backwards: %+v", s, sp)
			}
			last = *n
		}
		if ends == 0 || sp.Unit.Dim != quantity.Time {
			t.Fatalf("%q is no time: %+v", s, sp)
		}
	})
}
