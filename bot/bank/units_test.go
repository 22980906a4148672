package bank

import (
	"encoding/json"
	"math"
	"strings"
	"time"
)

// measure is a number in the base unit of its kind: g, ml, min, °C, or a count.
type measure struct {
	kind  string
	value float64
}

var plainUnits = map[string]measure{
	"mg": {"mass", .001}, "g": {"mass", 1}, "kg": {"mass", 1000}, "oz": {"mass", 28.349523125}, "lb": {"mass", 453.59237},
	"ml": {"volume", 1}, "cl": {"volume", 10}, "dl": {"volume", 100}, "l": {"volume", 1000},
	"fl oz": {"volume", 29.5735}, "pint": {"volume", 473.176}, "quart": {"volume", 946.353}, "gallon": {"volume", 3785.41},
	"s": {"time", 1. / 60}, "min": {"time", 1}, "h": {"time", 60}, "d": {"time", 1440}, "day": {"time", 1440}, "week": {"time", 10080},
	"%": {"share", 1}, "°bx": {"share", 1}, "g/ml": {"density", 1}, "kj": {"kj", 1}, "kcal": {"kcal", 1},
	"eur": {"money", 1}, "dkk": {"money", 1}, "usd": {"money", 1},
}

// measured brings a number and its unit to its base unit; a unit that is none is a word for pieces.
func measured(n float64, unit, spoons string) measure {
	u := strings.ToLower(strings.TrimSpace(unit))
	switch u {
	case "°c":
		return measure{"heat", n}
	case "°f":
		return measure{"heat", (n - 32) / 1.8}
	}
	for _, name := range []string{u, strings.TrimSuffix(u, "s")} {
		if m, ok := plainUnits[name]; ok {
			return measure{m.kind, n * m.value}
		}
		if f, size := unitOf(name, spoons); f == byVolume {
			return measure{"volume", n * float(size)}
		}
	}
	return measure{"count", n}
}

// near compares two measures; only the same kind can be near.
func (m measure) near(o measure, share float64) bool {
	if m.kind != o.kind {
		return false
	}
	if m.kind == "heat" { // half a degree, or what four digits leave
		return math.Abs(m.value-o.value) <= min(0.6, 100*share)
	}
	return math.Abs(m.value-o.value) <= share*math.Abs(o.value)+1e-9
}

// tolerance is the share a wanted value may be missed by, and whether only the day counts.
func (w wanted) tolerance() (share float64, sameDay bool) {
	share = 0.006
	if len(w.Tol) == 0 {
		return share, false
	}
	if json.Unmarshal(w.Tol, &share) == nil {
		return share, false
	}
	var day struct {
		SameDay bool `json:"same_day"`
	}
	_ = json.Unmarshal(w.Tol, &day)
	return 0.006, day.SameDay
}

func (w wanted) number() (float64, bool) {
	var n float64
	err := json.Unmarshal(w.Value, &n)
	return n, err == nil
}

// fits says whether a fact gives the wanted value; comparable is false where the two measure different things.
func (w wanted) fits(f fact, spoons string) (fits, comparable bool) {
	share, sameDay := w.tolerance()
	if w.Unit == "time" {
		var want string
		_ = json.Unmarshal(w.Value, &want)
		a, err := time.Parse(time.RFC3339, want)
		b, err2 := time.Parse(time.RFC3339, f.moment())
		if err != nil || err2 != nil {
			return false, false
		}
		b = b.In(a.Location())
		if sameDay {
			return a.Format(time.DateOnly) == b.Format(time.DateOnly), true
		}
		return a.Sub(b).Abs() <= time.Minute, true
	}
	n, ok := w.number()
	if !ok || f.Unit == "time" {
		return false, false
	}
	want := measured(n, w.Unit, spoons)
	ends := f.numbers()
	if f.Min != nil && f.Max != nil {
		ends = append(ends, (*f.Min+*f.Max)/2)
	}
	for _, v := range ends {
		got := measured(v, f.Unit, spoons)
		if got.kind != want.kind {
			continue
		}
		comparable = true
		if got.near(want, share) {
			return true, true
		}
	}
	return false, comparable
}
