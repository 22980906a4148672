package recipe

import (
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tamis/calc/quantity"
)

// The house that the description of the format shows, every key of it.
func TestParseHouse(t *testing.T) {
	data, err := os.ReadFile("testdata/book/house.yaml")
	if err != nil {
		t.Fatal(err)
	}
	got, faults := ParseHouse("house.yaml", data)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	orderBy := Clock(22 * 60)
	want := &House{
		Name: "Lodehavn", Zone: "Europe/Oslo", Language: "en", Currency: "EUR", Altitude: qty("12", quantity.M), FoodCode: "UK", Allergens: "EU",
		Service: []Clock{720, 1110},
		Shifts:  []Shift{{Name: "early", From: 480, To: 960, People: 2, Days: []string{"Tue", "Wed", "Thu", "Fri", "Sat"}}},
		Scales: []Scale{{"bench scale", *qty("1", quantity.G), *qty("6", quantity.KG)},
			{"fine scale", *qty("0.1", quantity.G), *qty("500", quantity.G)}},
		Pans: []Pan{{Name: "wide pan", Empty: *qty("870", quantity.G), Holds: qty("4", quantity.L)}},
		Moulds: []Mould{{Name: "dome 45", Cells: 24, Volume: qty("38", quantity.ML), Count: 4, Trays: num("1")},
			{Name: "core 25", Cells: 24, Volume: qty("9", quantity.ML), Count: 4}},
		Machines: []Machine{
			{Name: "batch freezer", Batch: qty("2", quantity.KG), AtLeast: qty("600", quantity.G),
				Takes: &Span{Text: "12 min", Exact: minutes("12"), Unit: quantity.Minute}},
			{Name: "planetary mixer", Holds: qty("5", quantity.L)}, {Name: "oven", Trays: num("6")}},
		Cold: []Cold{{Name: "fridge", At: *qty("3", quantity.Celsius)}, {"freezer", *qty("-18", quantity.Celsius), num("12")},
			{"blast freezer", *qty("-35", quantity.Celsius), num("5")}},
		Team:      []Role{{"chef", []string{"ingrid", "214"}}, {"pastry chef", []string{"aksel"}}},
		Rules:     Rules{WhoMayPush: []string{"chef", "pastry chef"}},
		Suppliers: []Supplier{{"dairy round", []string{"Mon", "Wed", "Fri"}, &orderBy}},
	}
	if diff := cmp.Diff(want, got, same, noPos); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

func TestHouseDefaults(t *testing.T) {
	for _, in := range []string{"house: Lodehavn\n", "", "house: [\n", "time zone: Nowhere\nallergens: x\nspoons: y\n", "[x]", "spoons: {a: b}"} {
		h, _ := ParseHouse("house.yaml", []byte(in))
		if h == nil || h.Zone != "" || h.Language != "en" || h.Allergens != "EU" || h.Spoons != quantity.Metric {
			t.Errorf("%q: %+v", in, h)
		}
	}
}

func TestHouseWords(t *testing.T) {
	h, faults := ParseHouse("house.yaml", []byte("house: L\npans: [{name: p, empty: 1 kg, holds: 2 cups}]\nspoons: us\nallergens: us\nservice: 18:00\nteam:\n  chef: ingrid\nsuppliers:\n  - name: fish\n    delivers: [monday, Thurs]\nrules: {who may approve: chef, two pairs of eyes: yes}\ncold: [{name: f, at: -18 °C}]\naltitude: -3 m\n"))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	// The measure holds wherever spoons: stands. US cup: 236.5882365 ml (NIST SP 811, see calc/quantity).
	if got := h.Pans[0].Holds.Base(); h.Spoons != quantity.US || !got.Equal(num("473.176473")) {
		t.Errorf("two cups are %v ml", got)
	}
	if h.Allergens != "US" || len(h.Service) != 1 || len(h.Team[0].Members) != 1 || !h.Rules.TwoPairsOfEyes || h.Altitude.N.String() != "-3" {
		t.Errorf("%+v", h)
	}
	if diff := cmp.Diff([]string{"Mon", "Thu"}, h.Suppliers[0].Delivers); diff != "" {
		t.Error(diff)
	}
}

func FuzzParseHouse(f *testing.F) {
	for _, file := range []string{"testdata/book/house.yaml", "testdata/faults/house.yaml", "testdata/faults/house-broken.yaml"} {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		h, faults := ParseHouse("house.yaml", data)
		if h == nil || h.Language == "" || h.Allergens == "" {
			t.Fatalf("no house: %+v", h)
		}
		for _, fault := range faults {
			if fault.Text == "" || fault.Write == "" || fault.Code == "" || fault.File != "house.yaml" {
				t.Fatalf("says too little: %+v", fault)
			}
		}
		for _, c := range h.Service {
			if c < 0 || c > 1440 {
				t.Fatalf("service at %d", c)
			}
		}
	})
}
