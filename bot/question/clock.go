package question

import (
	"slices"
	"strconv"
	"strings"

	"tamis/calc/quantity"
)

// addClock finds times of day and days.
func (l *lattice) addClock(i int) {
	tok := l.tokens
	add := func(from, to int, c Clock, cost int) {
		l.add(span{kind: spanClock, from: from, to: to, cost: cost, clock: c})
	}
	l.addSpoken(i)
	t := tok[i]
	at := func(j int) string {
		if j < len(tok) && j >= 0 {
			return tok[j].plain
		}
		return ""
	}
	if t.number {
		h, m, ok := clockNumber(t.plain)
		suffix := at(i + 1)
		switch {
		case ok && (suffix == "am" || suffix == "pm") && h <= 12:
			add(i, i+2, Clock{Hour: h%12 + map[bool]int{true: 12}[suffix == "pm"], Min: m, HasTime: true}, 0)
		case ok && suffix == "h" && strings.ContainsAny(t.plain, ":."):
			add(i, i+2, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, 0)
		case ok && suffix == "oclock":
			add(i, i+2, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, 0)
		case ok && strings.Contains(t.plain, ":"):
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13 && !strings.HasPrefix(t.plain, "0")}, 0)
		case ok && len(t.plain) > 3 && strings.Contains(t.plain, ".") && isPlaceWord(at(i-1)) && !startsUnit(suffix): // "fridge 9.15"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		case ok && len(t.plain) > 3 && strings.Contains(t.plain, ".") && m%5 == 0 && at(i-1) == "for" && !startsUnit(suffix) && l.speaksOfTime(): // "out of the oven for 12.30, when does it go in"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, 0)
		case ok && h <= 12 && at(i-1) == "for" && l.speaksOfTime() && (suffix == "tonight" || suffix == "this" && (at(i+2) == "evening" || at(i+2) == "afternoon" || at(i+2) == "morning")): // "thawed for 7 tonight"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: true}, 0)
		case ok && h <= 12 && (at(i-1) == "for" || at(i-1) == "by") && isTomorrow(suffix) && (l.speaksOfTime() || l.hasWord("latest", "feed", "ripe")) && dayHalf(at(i+2)) != "": // "ripe for 6 tomorrow morning"
			c := Clock{Hour: h % 12, Min: m, HasTime: true}
			if dayHalf(at(i+2)) == "pm" {
				c.Hour += 12
			}
			add(i, i+1, c, 0)
		case ok && len(t.plain) > 3 && strings.Contains(t.plain, ".") && m%5 == 0 && i > 0 && !t.breaks && (isVerb(&tok[i-1]) || at(i-1) == "on") && l.hasWord("when", "whens") && !startsUnit(suffix): // "stock on to simmer 7.30, done when"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		case ok && l.pointed(i) && m%5 == 0 && at(i-1) == "on" && !t.breaks && (i+1 == len(tok) || tok[i+1].breaks): // "stock on 7.30"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		case ok && l.pointed(i) && m%5 == 0 && l.hasWord("went") && l.hasWord("when", "whens") && (i+1 == len(tok) || tok[i+1].breaks): // "herbs went in the milk 11.05, when out"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		case ok && l.pointed(i) && m%5 == 0 && l.hasWord("started", "starting", "began", "begun") && (i+1 == len(tok) || tok[i+1].breaks || slices.Contains([]string{"when", "whens", "done", "ready", "how", "until"}, suffix)): // "started simmering soup 8.50"
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		case ok && isClockPreposition(at(i-1)) && (suffix == "" || tok[min(i+1, len(tok)-1)].breaks || !startsUnit(suffix)):
			add(i, i+1, Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}, costSpan)
		}
		if len(t.plain) == 4 && l.isHours(i) {
			n, _ := strconv.Atoi(t.plain)
			add(i, i+1, Clock{Hour: n / 100, Min: n % 100, HasTime: true}, 0)
		}
		if len(t.plain) == 4 && at(i+1) == "h" || (len(t.plain) == 4 && (at(i-1) == "at" || at(i-1) == "by")) {
			if n, err := strconv.Atoi(t.plain); err == nil && n/100 < 24 && n%100 < 60 {
				to := i + 1
				if at(i+1) == "h" {
					to++
				}
				add(i, to, Clock{Hour: n / 100, Min: n % 100, HasTime: true}, 0)
			}
		}
		return
	}
	if t.plain == "half" && at(i+1) == "past" && i+2 < len(tok) {
		if h, ok := hourWord(at(i + 2)); ok {
			add(i, i+3, Clock{Hour: h, Min: 30, HasTime: true, Half: h < 13}, 0)
		}
	}
	switch t.plain {
	case "noon", "midday":
		add(i, i+1, Clock{Hour: 12, HasTime: true}, 0)
	case "midnight":
		add(i, i+1, Clock{Hour: 0, HasTime: true}, 0)
	case "now":
		add(i, i+1, Clock{Now: true}, costFiller)
	case "tmrw", "tmw", "tmoro", "tmorrow", "tomoz", "tomoro", "tomorow", "tommorow", "tommorrow":
		add(i, i+1, Clock{Day: 1, HasDay: true}, costFiller)
	case "tomorrow", "tomorrows", "morgen", "demain", "manana", "domani", "amanha":
		add(i, i+1, Clock{Day: 1, HasDay: true}, costFiller)
	case "yesterday", "yesterdays", "gestern", "hier", "ayer", "ieri", "ontem":
		add(i, i+1, Clock{Day: -1, HasDay: true}, costFiller)
	case "tonight", "today", "tonights", "todays":
		add(i, i+1, Clock{HasDay: true}, costFiller)
	case "service", "dinner", "lunch":
		add(i, i+1, Clock{Service: t.plain}, costSpan)
	}
	if d := weekday(t.plain); d > 0 {
		add(i, i+1, Clock{Weekday: d, HasDay: true}, 0)
	} else if d = l.shortDay(i); d > 0 {
		add(i, i+1, Clock{Weekday: d, HasDay: true}, 0)
	}
}

// thisMinute makes one "now" of "this minute", "this very second".
func (l *lattice) thisMinute() {
	for k := 0; k+1 < len(l.tokens); k++ {
		n := k + 1
		if l.tokens[n].plain == "very" && n+1 < len(l.tokens) {
			n++
		}
		if l.tokens[k].plain != "this" || !slices.Contains([]string{"minute", "moment", "second", "instant"}, l.tokens[n].plain) || l.tokens[n].breaks {
			continue
		}
		t := &l.tokens[k]
		t.end, t.plain, t.fold, t.question = l.tokens[n].end, "now", "now", l.tokens[n].question
		l.tokens = slices.Delete(l.tokens, k+1, n+1)
	}
}

// pointed reports whether token i is written like an hour with its minutes: "11.05".
func (l *lattice) pointed(i int) bool {
	w := l.tokens[i].plain
	return len(w) > 3 && w[len(w)-3] == '.'
}

// shortDay reads "sun" and "sat", which are words too, where a day is meant: "made
// sat", "from sun", "sun night".
func (l *lattice) shortDay(i int) int {
	day := 0
	switch l.tokens[i].plain {
	case "sat":
		day = 6
	case "sun":
		day = 7
	default:
		return 0
	}
	at := func(j int) string {
		if j < 0 || j >= len(l.tokens) || l.tokens[max(i, j)].breaks {
			return ""
		}
		return l.tokens[j].plain
	}
	switch at(i + 1) {
	case "night", "nite", "morning", "evening", "afternoon", "lunch", "dinner", "service", "am", "pm":
		return day
	case "dried", "out", "in", "on", "there", "by":
		return 0
	}
	switch at(i - 1) {
	case "made", "from", "since", "on", "last", "this", "next", "by", "until", "till", "til", "before", "dated", "baked", "cooked", "prepped", "frozen", "for":
		return day
	}
	return 0
}

// isHours reports whether four figures behind "for" or "since" may be a time of
// day: to five minutes, in the hours that a kitchen works, and counting nothing.
// What else the message says decides whether they are: "thaw domes for 1830".
func (l *lattice) isHours(i int) bool {
	if i == 0 || l.tokens[i].breaks {
		return false
	}
	switch l.tokens[i-1].plain {
	case "for", "since", "from", "before", "until", "till", "til":
	default:
		return false
	}
	n, err := strconv.Atoi(l.tokens[i].plain)
	if err != nil || n/100 < 5 || n/100 > 23 || n%100 > 59 || n%5 != 0 {
		return false
	}
	if i+1 == len(l.tokens) || l.tokens[i+1].breaks {
		return true
	}
	switch l.tokens[i+1].plain {
	case "service", "sharp", "tonight", "today", "tomorrow", "please", "pls", "chef", "when", "what", "how", "latest", "earliest", "start", "by":
		return true
	}
	return false
}

// speaksOfTime reports whether a word of the message asks for a time of day.
func (l *lattice) speaksOfTime() bool {
	return slices.ContainsFunc(l.tokens, func(t token) bool {
		switch t.plain {
		case "when", "whens", "latest", "earliest", "oven", "ready", "start", "service", "serving", "thaw", "thawed", "defrosted", "proof", "prove", "freeze", "frozen", "set", "baked", "churned", "rested", "proofed", "proved":
			return true
		}
		return false
	})
}

// hasWord reports whether one of the words stands in the message.
func (l *lattice) hasWord(words ...string) bool {
	return slices.ContainsFunc(l.tokens, func(t token) bool { return slices.Contains(words, t.plain) })
}

func isTomorrow(w string) bool {
	switch w {
	case "tomorrow", "tmrw", "tmw", "tmoro", "tmorrow", "tomoz", "tomoro", "tomorow", "tommorow", "tommorrow":
		return true
	}
	return false
}

// dayHalf is the half of the day that a word behind it names, "" if none.
func dayHalf(w string) string {
	switch w {
	case "morning", "am", "early":
		return "am"
	case "evening", "night", "afternoon", "pm":
		return "pm"
	}
	return ""
}

// hourWord reads the hour of "half past ten".
func hourWord(w string) (int, bool) {
	if h, err := strconv.Atoi(w); err == nil {
		return h, h >= 0 && h < 24
	}
	h := slices.Index([]string{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}, w)
	return h + 1, h >= 0
}

func isClockPreposition(w string) bool {
	switch w {
	case "at", "by", "before", "until", "till", "til", "since", "from", "around", "um", "a", "vers", "alle", "las", "as":
		return true
	}
	return false
}

// isPlaceWord reports whether a word before a number with a point makes it a
// time of day: something went in there.
func isPlaceWord(w string) bool {
	switch w {
	case "fridge", "freezer", "oven", "in", "out", "blast", "started", "went":
		return true
	}
	return false
}

func startsUnit(w string) bool {
	_, ok := quantity.Metric.UnitNamed(w)
	return ok
}

// clockNumber reads "18:30", "18.30", "6".
func clockNumber(s string) (h, m int, ok bool) {
	hs, ms, two := strings.Cut(strings.ReplaceAll(s, ".", ":"), ":")
	h, err := strconv.Atoi(hs)
	if err != nil || h > 24 {
		return 0, 0, false
	}
	if two {
		m, err = strconv.Atoi(ms)
		if err != nil || m > 59 || len(ms) != 2 {
			return 0, 0, false
		}
	}
	return h % 24, m, true
}

func weekday(w string) int {
	for i, d := range [...]string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"} {
		if w == d || w == d+"s" || (len(w) == 3 && w == d[:3] && w != "sun" && w != "sat") {
			return i + 1
		}
	}
	return 0
}

// isHour reports whether token i may be an hour of the day.
func (l *lattice) isHour(i int) bool {
	return slices.ContainsFunc(l.starts[i], func(s span) bool { return s.kind == spanClock && s.clock.HasTime })
}
