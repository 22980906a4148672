package recipe

import (
	"strings"

	"tamis/calc/quantity"
)

const aSpan = "12 min, at least 8 h, 8 h to 24 h, or 30 min to 60 min, never over 90 min"

// ParseSpan reads a time as the book gives it.
//
//   - Forms: `12 min`, `1 h 30 min`, `at least 8 h`, `at most 8 min`, `8 h to 24
//     h`, each with `, never over 90 min` behind it or not.
//   - Units of the result: minutes.
//   - Errors: [*FormError].
func ParseSpan(s string) (Span, error) {
	text := spaces(s)
	sp := Span{Text: text}
	if text == "" {
		return sp, bad(CodeMissing, aSpan, "The time is missing.")
	}
	if len(text) > longestValue {
		return sp, bad(CodeTime, aSpan, "The time is too long: %s.", quoted(text))
	}
	low := strings.ToLower(text)
	for clause := range strings.SplitSeq(low, ", ") {
		if err := sp.clause(strings.TrimSpace(clause)); err != nil {
			return sp, err
		}
	}
	return sp, sp.order()
}

func (sp *Span) clause(s string) error {
	if before, never, ok := strings.Cut(s, "never over "); ok {
		if before = strings.TrimSpace(before); before != "" {
			if err := sp.clause(before); err != nil {
				return err
			}
		}
		return sp.set(&sp.Never, never, "never over")
	}
	if rest, ok := strings.CutPrefix(s, "at least "); ok {
		return sp.set(&sp.Min, rest, "at least")
	}
	if rest, ok := strings.CutPrefix(s, "at most "); ok {
		return sp.set(&sp.Max, rest, "at most")
	}
	if lo, hi, ok := splitRange(s); ok {
		if _, rest, err := readNumber(lo); err == nil && rest == "" { // 8-24 h
			if _, unit, err := readNumber(hi); err == nil {
				lo += " " + unit
			}
		}
		if err := sp.set(&sp.Min, lo, "from"); err != nil {
			return err
		}
		return sp.set(&sp.Max, hi, "to")
	}
	return sp.set(&sp.Exact, s, "exactly")
}

// splitRange cuts `8 h to 24 h` and `8-24 h`.
func splitRange(s string) (lo, hi string, ok bool) {
	for _, sep := range []string{" to ", "–", "—", "-"} {
		if lo, hi, ok = strings.Cut(s, sep); ok && lo != "" {
			return strings.TrimSpace(lo), strings.TrimSpace(hi), true
		}
	}
	return s, "", false
}

func (sp *Span) set(end **quantity.Number, s, what string) error {
	if *end != nil || what == "exactly" && (sp.Min != nil || sp.Max != nil || sp.Never != nil) || what != "exactly" && what != "never over" && sp.Exact != nil {
		return bad(CodeTime, aSpan, "The time says “%s” besides something else: %s.", what, quoted(sp.Text))
	}
	q, err := parseTime(s)
	if err != nil {
		return err
	}
	if sp.Exact == nil && sp.Min == nil && sp.Max == nil && sp.Never == nil {
		sp.Unit = q.Unit
	}
	n := q.Base()
	*end = &n
	return nil
}

// order checks that the ends rise.
func (sp *Span) order() error {
	var before *quantity.Number
	for _, n := range []*quantity.Number{sp.Exact, sp.Min, sp.Max, sp.Never} {
		if n == nil {
			continue
		}
		if before != nil && n.Less(*before) {
			return bad(CodeTime, "the shorter time first", "The time %s runs backwards.", quoted(sp.Text))
		}
		before = n
	}
	return nil
}

// parseTime reads one time with its unit.
func parseTime(s string) (quantity.Quantity, error) {
	q, err := parseQuantity(s, quantity.Metric, quantity.Time, aSpan)
	if form, ok := err.(*FormError); ok && (form.Code == CodeNumber || form.Code == CodeUnit) {
		write := aSpan
		low := strings.ToLower(s)
		switch {
		case strings.Contains(low, "month"):
			write = "days or weeks, such as 90 days"
		case strings.Contains(low, "year"):
			write = "days or weeks, such as 365 days"
		case strings.Contains(low, "overnight"):
			write = "at least 8 h"
		}
		return q, bad(CodeTime, write, "%s is no time.", quoted(s))
	}
	if err == nil && q.N.Sign() < 0 {
		return q, bad(CodeTime, aSpan, "%s is less than no time.", quoted(s))
	}
	return q, err
}

// parseMinutes reads one time into minutes.
func parseMinutes(s string) (quantity.Quantity, error) {
	q, err := parseTime(spaces(s))
	if err != nil {
		return q, err
	}
	return q.In(quantity.Minute)
}

// ParseClock reads a time of day on the 24-hour clock: 08:00, 18:30; 24:00 ends
// a day.
//
//   - Errors: [*FormError].
func ParseClock(s string) (Clock, error) {
	text := spaces(s)
	h, m, ok := strings.Cut(text, ":")
	if ok && len(h) >= 1 && len(h) <= 2 && len(m) == 2 {
		hours, ok1 := twoDigits(h)
		minutes, ok2 := twoDigits(m)
		if ok1 && ok2 && minutes < 60 && (hours < 24 || hours == 24 && minutes == 0) {
			return Clock(hours*60 + minutes), nil
		}
	}
	return 0, bad(CodeTime, "hours and minutes, such as 08:00 or 18:30", "%s is no time of day.", quoted(text))
}

func twoDigits(s string) (int, bool) {
	n := 0
	for i := range len(s) {
		if s[i] < '0' || s[i] > '9' {
			return 0, false
		}
		n = n*10 + int(s[i]-'0')
	}
	return n, true
}
