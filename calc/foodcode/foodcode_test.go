package foodcode

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tamis/calc/reftable"
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

func at(h float64, c float64) Reading {
	return Reading{noon.Add(time.Duration(h * float64(time.Hour))), c}
}

// Every row of the shared table (FDA Food Code 2022, 9 CFR 590.570, 21 CFR 1240.61, UK Food Hygiene Regulations) to the letter.
func TestRowsToTheLetter(t *testing.T) {
	text, err := os.ReadFile("testdata/food-safety-limits.csv")
	if err != nil {
		t.Fatal(err)
	}
	tab, err := reftable.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]Limit{}
	for _, ls := range codes {
		for _, l := range ls {
			have[l.ID] = l
		}
	}
	if len(have) != len(tab.Rows) {
		t.Errorf("%d rows, published %d", len(have), len(tab.Rows))
	}
	for _, r := range tab.Rows {
		l, ok := have[r[0]]
		c, f := fmt.Sprintf("%g", l.C), fmt.Sprintf("%g", l.F)
		if l.From != 0 {
			c, f = fmt.Sprintf("%g -> %g", l.From, l.C), fmt.Sprintf("%g -> %g", l.FromF, l.F)
		}
		if r[3] == "" { // given in °C alone
			f = ""
		}
		if !ok || l.Rule != r[1] || c != strings.Trim(r[2], "<>- ") || f != strings.Trim(r[3], "<>- ") || l.Authority != r[5] || l.Read != (r[6] == "R") {
			t.Errorf("%v: %+v", r, l)
		}
		if r[4] == "" {
			if l.Time != 0 {
				t.Errorf("%s: time %v", r[0], l.Time)
			}
			continue
		}
		var n float64
		var unit string
		if _, err := fmt.Sscanf(r[4], "%g %s", &n, &unit); err != nil {
			t.Fatal(err)
		}
		per := map[string]time.Duration{"h": time.Hour, "min": time.Minute, "s": time.Second, "days": 24 * time.Hour}[strings.Trim(unit, ",")]
		if l.Time != time.Duration(n*float64(per)) {
			t.Errorf("%s: %v, published %s", r[0], l.Time, r[4])
		}
	}
}

func TestCooling(t *testing.T) {
	us, err := Named("US Food Code 2022")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		run         []Reading
		now         float64
		first, last State
	}{
		"in time":              {[]Reading{at(0, 57), at(1.7, 21), at(5.5, 5)}, 6, Met, Met},
		"70 °F is the limit":   {[]Reading{at(0, 57.3), at(2, 21.11), at(6, 5)}, 7, Met, Met},
		"open":                 {[]Reading{at(0, 90), at(1, 57), at(2, 40)}, 2, Open, Open},
		"first one missed":     {[]Reading{at(0, 57), at(2.1, 22)}, 2.1, Missed, Open},
		"late reading":         {[]Reading{at(0, 57), at(2.1, 20)}, 2.1, Missed, Open},
		"nobody measured":      {[]Reading{at(0, 57)}, 2.01, Missed, Open},
		"at the very moment":   {[]Reading{at(0, 57), at(2, 22)}, 2, Missed, Open},
		"second missed":        {[]Reading{at(0, 60), at(2, 20), at(6.5, 6)}, 6.5, Met, Missed},
		"warmed up once more":  {[]Reading{at(0, 60), at(1, 40), at(1.5, 74), at(3, 21)}, 3, Met, Open},
		"135 °F not yet begun": {[]Reading{at(0, 57.22)}, 1, Open, Open},
	} {
		got, err := us.Cooling(c.run, noon.Add(time.Duration(c.now*float64(time.Hour))))
		if err != nil || len(got) != 2 || got[0].State != c.first || got[1].State != c.last {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	if _, err := us.Cooling([]Reading{at(0, 50)}, noon); !errors.Is(err, ErrStart) {
		t.Error(err)
	}
	if _, err := us.Cooling([]Reading{at(1, 60), at(0, 50)}, noon); !errors.Is(err, ErrReadings) {
		t.Error(err)
	}
	if got, err := us.CoolingFromRoom([]Reading{at(0, 20), at(4, 5)}, noon.Add(5*time.Hour)); err != nil || len(got) != 1 || got[0].State != Met {
		t.Errorf("%+v, %v", got, err)
	}
}

// A lower reading, or an earlier one, never turns what was met into a miss.
func TestColderIsNeverWorse(t *testing.T) {
	us, _ := Named("US Food Code 2022")
	rapid.Check(t, func(t *rapid.T) {
		h, c := rapid.Float64Range(0, 8).Draw(t, "h"), rapid.Float64Range(0, 56).Draw(t, "c")
		now := noon.Add(8 * time.Hour)
		a, _ := us.Cooling([]Reading{at(0, 60), at(h, c)}, now)
		b, _ := us.Cooling([]Reading{at(0, 60), at(h*0.9, c-1)}, now)
		for i := range a {
			if a[i].State == Met && b[i].State != Met {
				t.Fatalf("%+v then %+v", a[i], b[i])
			}
		}
	})
}

func TestCodes(t *testing.T) {
	if _, err := Named(""); !errors.Is(err, ErrNoCode) {
		t.Error(err)
	}
	if _, err := Named("Norsk"); !errors.Is(err, ErrUnknownCode) {
		t.Error(err)
	}
	uk, err := Named("UK")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := uk.Cooling([]Reading{at(0, 60)}, noon); !errors.Is(err, ErrNoRule) {
		t.Errorf("the UK rows give no cooling time: %v", err)
	}
	if l, err := uk.Limits(ColdHold); err != nil || l[0].C != 8 {
		t.Error(l, err)
	}
}

func TestLastDayAndUseBy(t *testing.T) {
	us, _ := Named("US Food Code 2022")
	oslo, err := time.LoadLocation("Europe/Oslo")
	if err != nil {
		t.Skip("no zone data")
	}
	day, _, err := us.LastDay(time.Date(2026, 3, 25, 23, 30, 0, 0, oslo)) // over the change of clocks
	if err != nil || day.Format("2006-01-02 15:04") != "2026-03-31 00:00" {
		t.Error(day, err)
	}
	frozen := Until{noon.Add(14 * 24 * time.Hour), Quality, "keeps"}
	th := Thawed(frozen, noon, 24*time.Hour)
	code := Until{noon.Add(7 * 24 * time.Hour), Safety, "the code"}
	first, safe, ok, err := UseBy(code, th)
	if err != nil || !ok || first.From != "thawed" || safe.From != "the code" {
		t.Error(first, safe, ok, err)
	}
	if late := Thawed(frozen, frozen.At.Add(-time.Hour), 24*time.Hour); late != frozen {
		t.Errorf("thawing lengthened it: %+v", late)
	}
	if _, _, _, err := UseBy(); !errors.Is(err, ErrNoRule) {
		t.Error(err)
	}
}

func FuzzParse(f *testing.F) {
	f.Add(limitsCSV)
	f.Add([]byte("a,b\n1,2\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := parse(text)
		if err != nil && m != nil {
			t.Fatal("rows beside an error")
		}
	})
}

func ExampleCode_Cooling() {
	us, _ := Named("US Food Code 2022")
	now := noon.Add(100 * time.Minute)
	checks, err := us.Cooling([]Reading{{noon, 57}, {now, 21}}, now)
	for _, c := range checks {
		fmt.Println(c.C, "°C by", c.By.Format("15:04"), c.State)
	}
	fmt.Println(err)
	// Output:
	// 21 °C by 14:00 met
	// 5 °C by 18:00 open
	// <nil>
}
