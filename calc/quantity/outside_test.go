package quantity_test

// Checks against things outside. Nothing here repeats a number of this package:
// expected values come from testdata/units.csv, whose header names its sources,
// and from the program `units` (GNU Units, Debian package units).

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"tamis/calc/quantity"
)

// TestUnitsTable checks every row of testdata/units.csv.
func TestUnitsTable(t *testing.T) {
	f, err := os.Open("testdata/units.csv")
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
	// How each row is written here, and under whose measure.
	written := map[string]struct {
		text string
		m    quantity.Measure
	}{
		"oz avoirdupois":              {"1 oz", quantity.Metric},
		"US fl oz":                    {"1 fl oz", quantity.US},
		"US tablespoon":               {"1 tbsp", quantity.US},
		"US pint":                     {"1 pint", quantity.US},
		"US gallon":                   {"1 gallon", quantity.US},
		"imperial pint":               {"1 pint", quantity.UK},
		"metric cup":                  {"1 cup", quantity.Australian},
		"Australian tablespoon":       {"1 tbsp", quantity.Australian},
		"Japanese cup":                {"1 Japanese cup", quantity.Metric},
		"kcal (thermochemical)":       {"1 kcal", quantity.Metric},
		"stick of butter (US, 4 oz)":  {"4 oz", quantity.Metric},
		"US label cup (21 CFR 101.9)": {"1 cup", quantity.Metric},
		"US label teaspoon":           {"1 tsp", quantity.Metric},
		"US label oz":                 {"1 oz", quantity.Metric},
	}
	seen := 0
	for _, row := range rows[1:] {
		name, unit, value := row[0], row[1], row[2]
		w, ok := written[name]
		if !ok {
			t.Errorf("row %q: not checked", name)
			continue
		}
		seen++
		q, err := quantity.ParseQuantity(w.text, w.m, quantity.Book)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		to, ok := w.m.UnitNamed(unit)
		if !ok {
			t.Errorf("%s: no unit %q", name, unit)
			continue
		}
		got, err := q.In(to)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		want := quantity.MustDecimal(value)
		switch name {
		case "US label oz":
			// The labelling rule counts an ounce as 28 g; the ounce of the trade,
			// which this package keeps, is the first row. They meet in whole grams.
			if !got.N.RoundTo(quantity.Int(1)).Equal(want) {
				t.Errorf("%s in whole grams = %v, want %v", name, got.N, want)
			}
		case "stick of butter (US, 4 oz)": // printed to the milligram
			if !got.N.RoundTo(quantity.Frac(1, 1000)).Equal(want) {
				t.Errorf("%s = %v %s, want %v", name, got.N, unit, want)
			}
		default:
			if !got.N.Equal(want) {
				t.Errorf("%s = %v %s, want %v", name, got.N, unit, want)
			}
		}
	}
	if seen != len(written) {
		t.Errorf("%d rows checked of the %d known", seen, len(written))
	}
}

// TestUnitsProgram compares with GNU Units.
func TestUnitsProgram(t *testing.T) {
	program, err := exec.LookPath("units")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("the program units is missing: install the Debian package units")
		}
		t.Log("not checked: the program units (Debian package units) is missing")
		return
	}
	const m, us, uk, au = quantity.Metric, quantity.US, quantity.UK, quantity.Australian
	for _, c := range []struct {
		text string // as written here
		m    quantity.Measure
		to   string // wanted unit, as written here
		from string // the same for the program
		want string
	}{
		{"1 oz", m, "g", "1 oz", "g"},
		{"8 oz", m, "g", "8 oz", "g"},
		{"1 lb", m, "g", "1 lb", "g"},
		{"3 lb 4 oz", m, "kg", "3 lb + 4 oz", "kg"},
		{"2.5 kg", m, "lb", "2.5 kg", "lb"},
		{"750 g", m, "oz", "750 g", "oz"},
		{"250 mg", m, "g", "250 mg", "g"},
		{"2 cl", m, "ml", "2 cl", "ml"},
		{"1.5 dl", m, "l", "1.5 dl", "l"},
		{"1 tsp", us, "ml", "1 ustsp", "ml"},
		{"1 1/2 tbsp", us, "ml", "1.5 ustbsp", "ml"},
		{"1 cup", us, "ml", "1 uscup", "ml"},
		{"½ cup", us, "fl oz", "0.5 uscup", "usfloz"},
		{"3 fl oz", us, "cl", "3 usfloz", "cl"},
		{"1 pint", us, "ml", "1 uspint", "ml"},
		{"1 quart", us, "ml", "1 usquart", "ml"},
		{"1 gallon", us, "l", "1 usgallon", "l"},
		{"1 fl oz", uk, "ml", "1 brfloz", "ml"},
		{"1 pint", uk, "ml", "1 brpint", "ml"},
		{"1 quart", uk, "ml", "1 brquart", "ml"},
		{"1 gallon", uk, "l", "1 brgallon", "l"},
		{"1 cup", au, "ml", "1 metriccup", "ml"},
		{"1 Japanese cup", m, "ml", "1 japancup", "ml"},
		{"90 min", m, "h", "90 min", "hour"},
		{"1h30", m, "s", "1 hour + 30 min", "s"},
		{"14 days", m, "h", "14 day", "hour"},
		{"2 weeks", m, "d", "2 week", "day"},
		{"12 in", m, "cm", "12 inch", "cm"},
		{"36 cm", m, "in", "36 cm", "inch"},
		{"45 mm", m, "cm", "45 mm", "cm"},
		{"1.2 m", m, "in", "1.2 m", "inch"},
		{"100 kcal", m, "kJ", "100 kcal", "kJ"},
		{"1430 kJ", m, "kcal", "1430 kJ", "kcal"},
		{"1.05 g/ml", m, "kg/l", "1.05 g/ml", "kg/l"},
		{"320 °F", m, "°C", "tempF(320)", "tempC"},
		{"0 °F", m, "°C", "tempF(0)", "tempC"},
		{"-18 °C", m, "°F", "tempC(-18)", "tempF"},
		{"84 °C", m, "°F", "tempC(84)", "tempF"},
	} {
		cmd := exec.Command(program, "-o", "%.15g", "-t", c.from, c.want)
		cmd.Env = append(os.Environ(), "LC_ALL=C", "UNITS_ENGLISH=US")
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Errorf("units %q %q: %v: %s", c.from, c.want, err, out)
			continue
		}
		want, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
		if err != nil {
			t.Errorf("units %q %q: %s", c.from, c.want, out)
			continue
		}
		q, err := quantity.ParseQuantity(c.text, c.m, quantity.Book)
		if err != nil {
			t.Error(err)
			continue
		}
		to, ok := c.m.UnitNamed(c.to)
		if !ok {
			t.Errorf("no unit %q", c.to)
			continue
		}
		got, err := q.In(to)
		if err != nil {
			t.Error(err)
			continue
		}
		if g := got.N.Float(); math.Abs(g-want) > 1e-6*math.Abs(want) {
			t.Errorf("%s = %v %s, units says %v", c.text, g, c.to, want)
		}
	}
}
