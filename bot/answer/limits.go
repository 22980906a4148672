package answer

import (
	"errors"
	"regexp"
	"strings"
	"time"

	"tamis/calc/foodcode"
	"tamis/calc/quantity"
)

// Logged is a temperature of something, told with its time.
type Logged struct {
	At      time.Time
	Celsius float64
}

// What a run of temperatures was said to be of: food that is put to cool, food
// that is held hot; nothing was said.
const (
	UseCooling = "cooling"
	UseHeld    = "held hot"
)

// Limits adds the next limits of a food code for a run of temperatures, oldest
// first; false where the code is none we have rows for, and then nothing is said.
func Limits(a *Answer, code string, run []Logged, now time.Time) bool {
	return LimitsOf(a, code, "", run, now)
}

// LimitsOf is Limits where it was said what the temperatures are of.
func LimitsOf(a *Answer, code, use string, run []Logged, now time.Time) bool {
	c, err := foodcode.Named(code)
	if err != nil || len(run) == 0 {
		return false
	}
	l := codeLimits{Answer: a, now: now, last: run[len(run)-1].Celsius}
	for _, r := range run {
		l.run = append(l.run, foodcode.Reading{At: r.At, Celsius: r.Celsius})
	}
	var ok bool
	if l.cold, ok = row(c, foodcode.ColdHold, func(x foodcode.Limit) bool { return !strings.Contains(x.Rule, "egg") }); !ok {
		return false
	}
	if l.hot, ok = row(c, foodcode.HotHold, nil); !ok {
		return false
	}
	checks, err := c.Cooling(l.run, now)
	switch {
	case errors.Is(err, foodcode.ErrNoRule) && use == UseCooling && !l.warming():
		l.cooled(c)
	case errors.Is(err, foodcode.ErrNoRule):
		l.holding(c, use == UseHeld)
	case l.cold.AtMost(run[0].Celsius): // it was cold all along, or has warmed up
		l.held(l.cold, "cold holding, at most")
		if !l.cold.AtMost(l.last) {
			a.caution("limit warm", degreesOf(l.cold.C))
		}
	case errors.Is(err, foodcode.ErrStart): // a moment would be too late: it passed the start before anybody told
		rows, _ := c.Limits(foodcode.Cool)
		for _, r := range rows {
			if r.From != 0 {
				l.span(r.Time, fall(r), authority(r))
			}
		}
		a.note("limit start", degreesOf(rows[0].From))
		for _, k := range checks { // whenever it began, that is over
			a.caution("limit missed", degreesOf(k.C), k.By.Format("15:04"))
		}
	case err != nil:
		return false
	default:
		l.cooling(checks)
	}
	a.bySource()
	a.caution("code first")
	return true
}

// row is the first row of a use that fits.
func row(c foodcode.Code, u foodcode.Use, fits func(foodcode.Limit) bool) (foodcode.Limit, bool) {
	ls, err := c.Limits(u)
	if err != nil {
		return foodcode.Limit{}, false
	}
	for _, l := range ls {
		if fits == nil || fits(l) {
			return l, true
		}
	}
	return foodcode.Limit{}, false
}

// codeLimits says how a run of temperatures stands to a code.
type codeLimits struct {
	*Answer
	run       []foodcode.Reading
	last      float64 // °C
	now       time.Time
	cold, hot foodcode.Limit
}

// cooling: each limit of the fall with its moment, met, missed or open.
func (l *codeLimits) cooling(checks []foodcode.Check) {
	for _, k := range checks {
		switch k.State {
		case foodcode.Met:
			l.note("limit met", degreesOf(k.C), k.At.Format("15:04"))
			f := momentFact("limit met", k.At, l.now)
			f.Shown, f.Group = k.At.Format("15:04"), GroupNote
			l.add(f)
			continue
		case foodcode.Missed:
			l.caution("limit missed", degreesOf(k.C), k.By.Format("15:04"))
		}
		l.by(k)
	}
	if l.hot.AtLeast(l.last) {
		l.held(l.hot, "hot holding, at least")
	}
}

// cooled is of what is put to cool under a code that gives no time for it: the
// cold it must come to, and how long it has been since it was hot. The tolerance
// for what is held hot is none of its limits; past it the answer says that this
// is long.
func (l *codeLimits) cooled(c foodcode.Code) {
	l.held(l.cold, "chill holding, at most")
	if !l.cold.AtMost(l.last) {
		l.note("limit UK cooling")
	}
	l.since(c)
}

// warming reports whether it was cold and is not any more.
func (l *codeLimits) warming() bool {
	was := false
	for _, r := range l.run {
		was = l.cold.AtMost(r.Celsius) || was && !l.hot.AtLeast(r.Celsius)
	}
	return was && !l.cold.AtMost(l.last)
}

// since tells how long it is from the last time it was hot to the last reading,
// while it has not come to the cold before.
func (l *codeLimits) since(c foodcode.Code) {
	var hot time.Time
	for _, r := range l.run {
		switch {
		case l.hot.AtLeast(r.Celsius):
			hot = r.At
		case l.cold.AtMost(r.Celsius) && r != l.run[len(l.run)-1]:
			hot = time.Time{}
		}
	}
	end := l.run[len(l.run)-1].At
	if hot.IsZero() || !end.After(hot) {
		return
	}
	n := quantity.Int(int64(end.Sub(hot) / time.Minute))
	f := Fact{What: "cool", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), At: "since " + degreesOf(l.hot.C), From: FromCalculated, Group: GroupNote}
	l.add(f)
	l.note("cool since", f.Shown, degreesOf(l.hot.C))
	if tol, ok := row(c, foodcode.HotTolerance, nil); ok && end.Sub(hot) > tol.Time {
		l.caution("cool slow")
	}
}

// holding is of a code that gives no time for cooling: cold, hot, and between
// them only its tolerance, once, from the last time it was right. That is for what
// is kept hot or shown; where nobody said that it is, the answer says what else holds.
func (l *codeLimits) holding(c foodcode.Code, hot bool) {
	switch {
	case l.hot.AtLeast(l.last):
		l.held(l.hot, "hot holding, at least")
		return
	case l.cold.AtMost(l.last):
		l.held(l.cold, "chill holding, at most")
		l.since(c)
		return
	}
	l.held(l.cold, "chill holding, at most")
	l.held(l.hot, "hot holding, at least")
	warm, hasWarm := row(c, foodcode.ColdTolerance, nil)
	cooled, hasCooled := row(c, foodcode.HotTolerance, nil)
	var since time.Time
	var was foodcode.Limit
	for _, r := range l.run {
		switch {
		case hasCooled && l.hot.AtLeast(r.Celsius):
			since, was = r.At, cooled
		case hasWarm && l.cold.AtMost(r.Celsius):
			since, was = r.At, warm
		}
	}
	if !hot && was.Use != foodcode.ColdTolerance {
		l.note("limit UK either")
	}
	if since.IsZero() {
		if hasCooled {
			l.span(cooled.Time, "below "+degreesOf(cooled.C)+", only for service, once", authority(cooled))
		}
		if hasWarm {
			l.span(warm.Time, "above "+degreesOf(warm.C)+", only for service, once", authority(warm))
		}
		return
	}
	by := since.Add(was.Time)
	f := momentFact("limit", by, l.now)
	f.At, f.From, f.Source = "only for service, once", FromReference, authority(was)
	l.add(f)
	if l.now.After(by) {
		l.caution("limit missed", degreesOf(was.C), by.Format("15:04"))
	}
}

func (l *codeLimits) held(r foodcode.Limit, what string) { l.add(limitFact(r, what)) }

// span is a limit that runs from a moment nobody told.
func (l *codeLimits) span(d time.Duration, what, source string) {
	n := quantity.Int(int64(d / time.Minute))
	l.add(Fact{What: "limit", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), At: what, From: FromReference, Source: source})
}

func (l *codeLimits) by(k foodcode.Check) {
	f := momentFact("limit", k.By, l.now)
	f.At, f.From, f.Source = degreesOf(k.C)+" or below", FromReference, authority(k.Limit)
	g := limitFact(k.Limit, "at "+f.Shown)
	g.Group = GroupNote
	l.add(f, g)
}

// limitFact is the temperature of a row.
func limitFact(r foodcode.Limit, at string) Fact {
	n := decimal(r.C)
	return Fact{What: "limit", Value: &n, Unit: "°C", Shown: degreesOf(r.C), At: at, From: FromReference, Source: authority(r)}
}

// fall is what a row of cooling runs over: "57 °C to 21 °C".
func fall(r foodcode.Limit) string { return degreesOf(r.From) + " to " + degreesOf(r.C) }

// decimal is a figure of a table; tenths at the finest.
func decimal(v float64) quantity.Number {
	if v < 0 {
		return quantity.Frac(int64(v*10-0.5), 10)
	}
	return quantity.Frac(int64(v*10+0.5), 10)
}

func degreesOf(c float64) string { return decimal(c).Fixed(1) + " °C" }

// subsection is the number of one sentence or paragraph of a section.
var subsection = regexp.MustCompile(`\(\d\)$| para \d$`)

// authority is where a row stands, as answers name it; what was not read in a
// stored copy of the regulation says so.
func authority(r foodcode.Limit) string {
	s := subsection.ReplaceAllString(r.Authority, "")
	s = strings.NewReplacer("FDA Food Code ", "FDA Food Code 2022, ", "Food Hygiene Regs sched. 4", "Food Hygiene Regulations, schedule 4",
		"9 CFR 590.570", "9 CFR 590.570, table I").Replace(s)
	switch {
	case r.Read:
	case r.Use == foodcode.ColdTolerance || r.Use == foodcode.HotTolerance:
		s += " (tolerance from memory)"
	default:
		s += " (from memory)"
	}
	return s
}
