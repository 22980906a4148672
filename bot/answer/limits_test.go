package answer

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// TestLimits: the codes' figures to the letter. FDA Food Code 2022,
// 3-501.14(A): 57 to 21 °C in 2 h, to 5 °C in 6 h in all. UK Food Hygiene
// Regulations, schedule 4: 8 °C, 63 °C; the tolerances of 4 h and 2 h from memory.
func TestLimits(t *testing.T) {
	for _, c := range []struct {
		code, run string // hour:minute=°C
		want      string // limits in order
		cautions  string
	}{
		{"US Food Code 2022", "15:10=57", "21 °C@17:10 5 °C@21:10 57 °C", ""},
		{"US Food Code 2022", "15:00=80 15:10=57 16:50=21", "5 °C@21:10", ""},
		{"US Food Code 2022", "15:10=57.22 17:10=21.12", "21 °C@17:10 5 °C@21:10", "limit missed"},
		{"US Food Code 2022", "15:10=57.22 16:50=21.11", "5 °C@21:10", ""}, // 135 and 70 °F
		{"US Food Code 2022", "15:10=57 17:10=21 21:10=5", "", ""},
		{"US Food Code 2022", "15:10=57 17:11=30", "21 °C@17:10 5 °C@21:10", "limit missed"},
		{"US Food Code 2022", "15:10=57 16:00=21 21:11=6", "5 °C@21:10", "limit missed"},
		{"US Food Code 2022", "15:10=57 17:30=20 18:00=4", "21 °C@17:10", "limit missed"},
		{"US Food Code 2022", "18:00=30", "2 h 6 h", ""},
		{"US Food Code 2022", "08:00=4 12:00=9", "5 °C", "limit warm"},
		{"UK", "16:00=71", "63 °C", ""},
		{"UK", "16:00=6", "8 °C", ""},
		{"UK", "16:00=70 17:00=40", "8 °C 63 °C @18:00", ""},
		{"UK", "12:00=7 17:00=12", "8 °C 63 °C @16:00", "limit missed"},
		{"UK", "17:00=40", "8 °C 63 °C 2 h 4 h", ""},
	} {
		var run []Logged
		for _, w := range strings.Fields(c.run) {
			var h, m int
			var deg float64
			if _, err := fmt.Sscanf(w, "%d:%d=%f", &h, &m, &deg); err != nil {
				t.Fatal(err)
			}
			run = append(run, Logged{time.Date(2026, 3, 14, h, m, 0, 0, time.UTC), deg})
		}
		a := &Answer{Status: StatusAnswer}
		if !Limits(a, c.code, run, run[len(run)-1].At) {
			t.Fatal("no such code")
		}
		var got []string
		for i, f := range a.Facts {
			switch {
			case f.What != "limit" || f.Group == GroupNote:
			case f.Time != nil && i+1 < len(a.Facts) && a.Facts[i+1].Group == GroupNote:
				got = append(got, a.Facts[i+1].Shown+"@"+f.Shown)
			case f.Time != nil:
				got = append(got, "@"+f.Shown)
			default:
				got = append(got, f.Shown)
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s %s: %s, want %s", c.code, c.run, s, c.want)
		}
		var cautions []string
		for _, p := range a.Cautions {
			if p.Code != "code first" {
				cautions = append(cautions, p.Code)
			}
		}
		if s := strings.Join(slices.Compact(cautions), " "); s != c.cautions {
			t.Errorf("%s %s: cautions %q, want %q", c.code, c.run, s, c.cautions)
		}
	}
	for _, code := range []string{"", "DE", "own control plan"} {
		if a := (&Answer{}); Limits(a, code, []Logged{{time.Now(), 20}}, time.Now()) || len(a.Facts) > 0 {
			t.Errorf("code %q: a limit was invented", code)
		}
	}
}
