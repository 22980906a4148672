package answer

import (
	"time"

	"tamis/calc/foodcode"
	"tamis/calc/quantity"
)

// Logged is a temperature of something, told with its time.
type Logged struct {
	At      time.Time
	Celsius float64
}

// The published limits that are known, to the letter: FDA Food Code 2022,
// 3-501.14(A) (read in 16 Del. Admin. Code 3-501.14) and 3-501.16 (from memory);
// UK Food Hygiene Regulations, schedule 4, paragraphs 2 and 6 (read as WSI
// 2006/31), their tolerances from memory.
const (
	codeUS = "US Food Code 2022"
	codeUK = "UK"

	sourceUSCool = "FDA Food Code 2022, 3-501.14(A)"
	sourceUSHold = "FDA Food Code 2022, 3-501.16"
	sourceUK     = "Food Hygiene Regulations, schedule 4"
)

// Limits adds the next limits of a food code for a run of temperatures, oldest
// first; false where the code is none we have rows for, and then nothing is said.
func Limits(a *Answer, code string, run []Logged, now time.Time) bool {
	if len(run) == 0 {
		return false
	}
	switch code {
	case codeUS:
		coolUS(a, run, now)
	case codeUK:
		limitsUK(a, run, now)
	default:
		return false
	}
	a.caution("code first")
	return true
}

// coolUS: from 57 to 21 °C in 2 h, to 5 °C in 6 h in all; the time runs from the
// last temperature told that was not below 57 °C.
func coolUS(a *Answer, run []Logged, now time.Time) {
	const hot, middle, cold = 57, 21, 5
	last := run[len(run)-1]
	if run[0].Celsius <= cold { // it was cold all along, or has warmed up
		limit(a, cold, "cold holding, at most", sourceUSHold)
		if last.Celsius > cold {
			a.caution("limit warm", degrees(cold))
		}
		a.bySource()
		return
	}
	start, sure := run[0].At, run[0].Celsius >= hot
	for _, r := range run {
		if r.Celsius >= hot {
			start, sure = r.At, true
		}
	}
	if !sure { // a moment would be too late: it passed 57 °C before anybody told
		limitSpan(a, 2*60, degrees(hot)+" to "+degrees(middle), sourceUSCool)
		limitSpan(a, 6*60, degrees(hot)+" to "+degrees(cold), sourceUSCool)
		a.note("limit start", degrees(hot))
		a.bySource()
		return
	}
	// where each limit was met, if it was
	met := func(c float64) (time.Time, bool) {
		for _, r := range run {
			if l := (foodcode.Limit{C: c, F: fahrenheitOf[c]}); !r.At.Before(start) && l.AtMost(r.Celsius) {
				return r.At, true
			}
		}
		return time.Time{}, false
	}
	for _, s := range []struct {
		c     int64
		hours time.Duration
	}{{middle, 2}, {cold, 6}} {
		by := start.Add(s.hours * time.Hour)
		at, ok := met(float64(s.c))
		switch {
		case ok && !at.After(by):
			a.note("limit met", degrees(s.c), at.Format("15:04"))
			f := momentFact("limit met", at, now)
			f.Shown, f.Group = at.Format("15:04"), GroupNote
			a.add(f)
			continue
		case ok || last.At.After(by) || now.After(by):
			a.caution("limit missed", degrees(s.c), by.Format("15:04"))
		}
		limitBy(a, s.c, by, now, sourceUSCool)
	}
	if last.Celsius >= hot {
		limit(a, hot, "hot holding, at least", sourceUSHold)
	}
	a.bySource()
}

// limitsUK: chilled at most 8 °C, hot at least 63 °C; between them the law gives
// no time for cooling, only a tolerance for service, once.
func limitsUK(a *Answer, run []Logged, now time.Time) {
	const hot, cold = 63, 8
	last := run[len(run)-1]
	switch {
	case last.Celsius >= hot:
		limit(a, hot, "hot holding, at least", sourceUK)
	case last.Celsius <= cold:
		limit(a, cold, "chill holding, at most", sourceUK)
	default:
		limit(a, cold, "chill holding, at most", sourceUK)
		limit(a, hot, "hot holding, at least", sourceUK)
		a.note("limit UK cooling")
		since, sure := time.Time{}, false
		hours, was := time.Duration(2), int64(hot)
		for _, r := range run { // from the last time it was right
			switch {
			case r.Celsius >= hot:
				since, sure, hours, was = r.At, true, 2, hot
			case r.Celsius <= cold:
				since, sure, hours, was = r.At, true, 4, cold
			}
		}
		if !sure {
			limitSpan(a, 2*60, "below "+degrees(hot)+", only for service, once", sourceUK)
			limitSpan(a, 4*60, "above "+degrees(cold)+", only for service, once", sourceUK)
			break
		}
		by := since.Add(hours * time.Hour)
		f := momentFact("limit", by, now)
		f.At, f.From, f.Source = "only for service, once", FromReference, sourceUK
		a.add(f)
		if now.After(by) {
			a.caution("limit missed", degrees(was), by.Format("15:04"))
		}
	}
	a.bySource()
}

// fahrenheitOf is what the code prints beside its °C: 70 °F keeps the limit though it is 21.1 °C.
var fahrenheitOf = map[float64]float64{21: 70, 5: 41}

func degrees(c int64) string { return quantity.Int(c).String() + " °C" }

func limit(a *Answer, c int64, what, source string) {
	n := quantity.Int(c)
	a.add(Fact{What: "limit", Value: &n, Unit: "°C", Shown: degrees(c), At: what, From: FromReference, Source: source})
}

// limitSpan is a limit that runs from a moment nobody told.
func limitSpan(a *Answer, minutes int64, what, source string) {
	n := quantity.Int(minutes)
	a.add(Fact{What: "limit", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), At: what, From: FromReference, Source: source})
}

func limitBy(a *Answer, c int64, by, now time.Time, source string) {
	n := quantity.Int(c)
	f := momentFact("limit", by, now)
	f.At, f.From, f.Source = degrees(c)+" or below", FromReference, source
	a.add(f, Fact{What: "limit", Value: &n, Unit: "°C", Shown: degrees(c), At: "at " + f.Shown, From: FromReference, Source: source, Group: GroupNote})
}
