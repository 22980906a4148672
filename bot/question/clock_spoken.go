package question

import (
	"slices"
	"strconv"
)

// addSpoken finds times of day as they are said: "quarter to six", "10 past 6",
// "half 3", "nine this morning", "8 o clock".
func (l *lattice) addSpoken(i int) {
	c, to, ok := l.spoken(i)
	if !ok {
		return
	}
	l.add(span{kind: spanClock, from: i, to: to, cost: 0, clock: c})
}

func (l *lattice) spoken(i int) (c Clock, to int, ok bool) {
	before := ""
	if i > 0 && !l.tokens[i].breaks {
		before = l.tokens[i-1].plain
	}
	led := isClockPreposition(before) && before != "a" || before == "in" || before == "out"
	h, m, to, sure := l.minutesTo(i, led, before)
	if to == 0 {
		if h, ok = hourWord(l.tokens[i].plain); !ok || h > 12 {
			return Clock{}, 0, false
		}
		to = i + 1
		if !l.tokens[i].number && to < len(l.tokens) && !l.tokens[to].breaks { // "six thirty"
			if n, ok := sayMinutes[l.tokens[to].plain]; ok && led {
				m, to, sure = n, to+1, true
			}
		}
	}
	c = Clock{Hour: h, Min: m, HasTime: true, Half: h < 13}
	half, end := l.dayPart(to)
	switch {
	case (end > to || half != "") && l.tokens[i].number && !sure && slices.Contains([]string{"was", "is", "reads", "read", "showed", "shows", "says", "said", "to", "hit"}, before):
		return Clock{}, 0, false // "fridge was 4 this morning"
	case end > to || half != "":
		to, sure = end, true
	case !sure && led && !l.tokens[i].number: // "ready by seven"
		sure = to == len(l.tokens) || l.tokens[to].breaks || slices.Contains([]string{"when", "what", "how", "sharp", "please", "pls", "latest"}, l.tokens[to].plain)
	}
	switch {
	case half == "am":
		c.Hour, c.Half = c.Hour%12, false
	case half == "pm":
		c.Hour, c.Half = c.Hour%12+12, false
	}
	return c, to, sure
}

// sayMinutes are the minutes behind an hour in words.
var sayMinutes = map[string]int{"fifteen": 15, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50}

// minutesTo reads "quarter to 6", "10 past 6", "half 3"; to is 0 where it is none.
func (l *lattice) minutesTo(i int, led bool, before string) (h, m, to int, sure bool) {
	word := func(k int) string {
		if k >= len(l.tokens) || k > i && l.tokens[k].breaks {
			return ""
		}
		return l.tokens[k].plain
	}
	hour := func(k int) (int, bool) {
		h, ok := hourWord(word(k))
		return h, ok && h > 0 && h < 13
	}
	if word(i) == "half" && led {
		if h, ok := hour(i + 1); ok && (i+2 >= len(l.tokens) || l.tokens[i+2].breaks || !startsUnit(word(i+2)) && !isBatchWord(l.tokens[i+2].fold)) {
			return h, 30, i + 2, true
		}
		return 0, 0, 0, false
	}
	k := i
	if (word(k) == "a" || word(k) == "one") && word(k+1) == "quarter" {
		k++
	}
	n, err := strconv.Atoi(word(k))
	switch {
	case word(k) == "quarter":
		n = 15
	case err == nil:
	default:
		at := slices.Index([]string{"five", "ten", "twenty"}, word(k))
		if at < 0 {
			return 0, 0, 0, false
		}
		n = []int{5, 10, 20}[at]
	}
	k++
	if word(k) == "min" || word(k) == "mins" || word(k) == "minutes" {
		k++
	}
	past := word(k) == "past" || word(k) == "after"
	if n <= 0 || n > 29 || !past && word(k) != "to" && word(k) != "before" {
		return 0, 0, 0, false
	}
	if !past && word(i) != "quarter" && (!led || before == "from" || n%5 != 0) {
		return 0, 0, 0, false // "5 to 10 min" is a range
	}
	h, ok := hour(k + 1)
	if !ok || k+2 < len(l.tokens) && !l.tokens[k+2].breaks && startsUnit(word(k+2)) && word(k+2) != "h" {
		return 0, 0, 0, false
	}
	if past {
		return h, n, k + 2, true
	}
	return (h+11)%12 + map[bool]int{true: 12}[h == 1], 60 - n, k + 2, true
}

// dayPart reads "am", "o clock", "this morning", "tonight" at token i.
func (l *lattice) dayPart(i int) (half string, end int) {
	end = i
	word := func(k int) string {
		if k >= len(l.tokens) || l.tokens[k].breaks {
			return ""
		}
		return l.tokens[k].plain
	}
	if word(end) == "oclock" {
		end++
	} else if word(end) == "o" && word(end+1) == "clock" {
		end += 2
	}
	switch word(end) {
	case "am", "pm":
		return word(end), end + 1
	case "tonight":
		return "pm", end // the day is a word of its own
	case "this", "in":
		k := end + 1
		if word(k) == "the" {
			k++
		}
		switch word(k) {
		case "morning":
			return "am", k + 1
		case "afternoon", "evening":
			return "pm", k + 1
		}
	}
	return "", end
}

// startsThere reports whether a time of day says when something went where it is:
// "in the freezer at 21:30", "in oven 18:05".
func (s *sense) startsThere() bool {
	if s.saysOf("must", "need", "needs", "should", "have", "has", "want") {
		return false
	}
	t := s.l.tokens
	for _, i := range s.clock {
		sp := s.span(i)
		k := sp.from - 1
		if !sp.clock.HasTime || sp.to < len(t) && t[sp.to].plain == "latest" {
			continue
		}
		if k > 0 && t[k].plain == "at" && !t[k+1].breaks {
			k--
		}
		if k < 1 {
			continue
		}
		switch t[k].fold {
		case "fridge", "freezer", "oven", "chiller":
		default:
			continue
		}
		for j := k - 1; j >= max(0, k-3) && !t[j+1].breaks; j-- {
			switch t[j].plain {
			case "in", "into":
				return true
			}
		}
	}
	return false
}
