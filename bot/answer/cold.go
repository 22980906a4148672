package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/calc/foodcode"
	"tamis/calc/quantity"
)

// coldHold is a code's limit for a fridge.
func coldHold(c foodcode.Code) (foodcode.Limit, bool) {
	return row(c, foodcode.ColdHold, func(l foodcode.Limit) bool { return !strings.Contains(l.Rule, "egg") })
}

// ColdRight reports whether a temperature in °C of a fridge is within the limit
// of a food code; true where the code is none we have rows for.
func ColdRight(code string, celsius float64) bool {
	c, err := foodcode.Named(code)
	if err != nil {
		return true
	}
	l, ok := coldHold(c)
	return !ok || l.AtMost(celsius)
}

// ColdLimit adds the limit of a food code for a fridge, and where one is too warm
// how long the code bears that; false where the code is none we have rows for,
// and then nothing is said.
func ColdLimit(a *Answer, code string, warm bool, group string) bool {
	c, err := foodcode.Named(code)
	if err != nil {
		return false
	}
	l, ok := coldHold(c)
	if !ok {
		return false
	}
	f := limitFact(l, "cold holding, at most")
	f.Group = group
	a.add(f)
	if tol, ok := row(c, foodcode.ColdTolerance, nil); ok && warm {
		one := codeLimits{Answer: &Answer{}}
		one.span(tol.Time, "above "+degreesOf(tol.C)+", only for service, once", authority(tol))
		for _, f := range one.Facts {
			f.Group = group
			a.add(f)
		}
	}
	a.bySource()
	return true
}

// HotHeld adds the limit of a food code for food that is held hot, where a
// temperature in °C is below it, and that it is; nothing without a code.
func HotHeld(a *Answer, code string, celsius float64) {
	c, err := foodcode.Named(code)
	if err != nil {
		return
	}
	l, ok := row(c, foodcode.HotHold, nil)
	if !ok || l.AtLeast(celsius) {
		return
	}
	f := limitFact(l, "hot holding, at least")
	if !slices.ContainsFunc(a.Facts, func(o Fact) bool { return o.What == f.What && o.At == f.At }) {
		a.add(f)
		a.bySource()
	}
	a.Cautions = append([]Phrase{{Code: "held cool", Args: []string{degreesOf(l.C)}}}, a.Cautions...)
}

// ByNow says where a run of temperatures, oldest first, must stand at a moment
// by a food code: what holds now, what comes next and what is left until then.
// False where the code is none we have rows for. Between two limits the code
// says nothing, and so does this.
func ByNow(a *Answer, code, use string, run []Logged, now time.Time) bool {
	if !LimitsOf(a, code, use, run, now) {
		return false
	}
	c, err := foodcode.Named(code)
	if err != nil {
		return false
	}
	var rs []foodcode.Reading
	for _, r := range run {
		rs = append(rs, foodcode.Reading{At: r.At, Celsius: r.Celsius})
	}
	checks, err := c.Cooling(rs, now)
	switch {
	case errors.Is(err, foodcode.ErrStart):
		a.note("should unknown")
		return true
	case err != nil: // a code without a time says so itself
		return true
	}
	holds := -1 // the last limit whose time is over
	for i, k := range checks {
		if !now.Before(k.By) {
			holds = i
		}
		if k.State == foodcode.Open && now.Before(k.By) {
			f := timeLeft(k.By.Sub(now))
			f.At = "to " + degreesOf(k.C)
			a.add(f)
		}
	}
	switch {
	case slices.ContainsFunc(checks, func(k foodcode.Check) bool { return k.State == foodcode.Missed }):
	case holds >= 0:
		f := limitFact(checks[holds].Limit, "now")
		f.Group = GroupNote
		a.add(f)
		a.note("should now", degreesOf(checks[holds].C))
	case checks[0].State == foodcode.Open:
		a.note("should not yet", degreesOf(checks[0].C), checks[0].By.Format("15:04"))
	}
	return true
}

// timeLeft is what is left until a limit, to the minute.
func timeLeft(d time.Duration) Fact {
	n := quantity.Int(int64(d.Round(time.Minute) / time.Minute))
	return Fact{What: "time left", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), From: FromCalculated}
}
