package question

import (
	"slices"
	"strconv"

	"tamis/calc/quantity"
	"tamis/kb"
)

// frameAged: something of a known age, and whether it is still good: "curd made
// 3 days ago still ok?", "is 4 days old stock fine": its use-by is told.
func frameAged(s *sense) []reading {
	age := s.age()
	stays := s.staysCold()
	if !age.some && !stays || s.unsafeSaid() || s.stoodOf().Kind != stoodNot || s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueChange) || len(s.allergens) > 0 || s.saysOf("earliest", "soonest") { // when it may be used first is another question
		return nil
	}
	if age.ago != nil && age.ago.Base().Less(quantity.Int(4*60)) && s.any(cueWent) && !s.l.stood("cold", "made") { // "went in 20 min ago, how long left": it is on
		return nil
	}
	ends := s.l.stood("ends") || s.any(cueUseby) && age.clock != nil && age.clock.Date > 0
	if !stays && !ends && (!s.l.stood("fit") || s.asksWhen() || s.l.stood("asks long")) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || p.talk && !s.saysOf("it", "that", "this", "they", "them", "those") {
			continue
		}
		r := s.start(WantUseBy, "time", p)
		for c := cue(0); int(c) < len(cueNames); c++ {
			r.consumes = r.consumes.with(c)
		}
		for i := range s.p.spans {
			switch sp := s.span(i); {
			case sp.kind == spanClock, sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time:
				r.used[i] = true
			case sp.kind == spanUnused && !sp.food && !s.l.tokens[sp.from].number:
				r.used[i] = true
			case age.clock != nil && age.clock.Date > 0 && s.l.tokens[sp.from].number: // the day of the month
				r.used[i] = true
			}
		}
		if r.q.Place = s.keptIn(); r.q.Place == "" {
			r.q.Place = s.coldDone()
		}
		s.usePlace(&r)
		s.useKept(&r)
		r.q.Clock, r.q.Ago, r.q.Work.Morning = age.clock, age.ago, age.morning
		if age.clock != nil { // "made last night at 9"
			c := *age.clock
			s.halfOfDay(&c)
			r.q.Clock = &c
		}
		if age.clock == nil && age.ago == nil || age.after { // nobody said when: how long it keeps
			r.q.Want, r.q.About, r.q.Ago = WantKeeps, "lookup", nil
		}
		r.extra -= 5
		out = append(out, r)
	}
	return out
}

// stoodIs reports whether a span is a phrase of that role.
func (l *lattice) stoodIs(sp *span, role workRole) bool {
	const most = 16 // words of a phrase; the rest of the message is not looked at
	var words []string
	var at []int
	all := l.stoodSaid()
	for i := sp.from; i < len(l.tokens) && len(words) < most; i++ {
		if w := all[i]; !isArticle(w) {
			words, at = append(words, w), append(at, i)
		} else if i == sp.from {
			return false
		}
	}
	n, _ := stoodWords().longest(words, []workRole{role})
	return n > 0 && at[n-1]+1 == sp.to
}

// saysFit reports whether span i is no more than a word like "fine" that stands in
// the name of some pan, mould, machine or scale too.
func (s *sense) saysFit(i int) bool {
	sp := s.span(i)
	return sp.to == sp.from+1 && s.l.stoodIs(sp, "fit") && !slices.ContainsFunc(sp.names, func(h hit) bool { return !h.part || s.l.x.entries[h.id].Kind < kb.PanName })
}

// staysCold reads "can i leave the brioche in the fridge overnight": how long it keeps there.
func (s *sense) staysCold() bool {
	return s.may() && s.saysOf("leave", "keep", "stay", "sit", "hold", "go", "store", "stand", "live") && s.l.stood("cold") && s.l.stood("long") && !s.l.stood("out", "away", "thing broke") && len(s.quant) == 0
}

// made is when something was made, by the words of a message.
type made struct {
	clock   *Clock
	ago     *quantity.Quantity
	morning bool // "this morning": the hour is not said
	some    bool // it has an age, if not which
	after   bool // "ok after 3 days": nobody says that it is that old
}

// age is read from the words alone, whatever way through the message was taken.
func (s *sense) age() made {
	t := s.l.tokens
	before := func(k int) string {
		if k == 0 || t[k].breaks {
			return ""
		}
		return t[k-1].plain
	}
	wasMade := s.l.stood("made")
	keeps := s.l.stood("cold", "kept") && s.l.stood("fit") && !s.l.stood("out", "away", "process", "asks long") && !s.asksWhen()
	since := s.l.stood("fit") && !s.l.stood("out", "away", "broke") && (s.l.stood("cold", "kept") || s.l.says("in", "since"))
	var m made
	for k := range t {
		for i := range s.l.starts[k] {
			sp := &s.l.starts[k][i]
			switch {
			case sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Time && sp.q.Ambiguous == nil && (sp.to < len(t) || keeps || before(k) == "after"):
				if w := t[min(sp.to, len(t)-1)].plain; w == "old" || w == "ago" || w == "olds" || w == "back" {
					q := sp.q.Q
					m.ago, m.some = &q, true
				} else if (keeps || before(k) == "after" && s.l.stood("fit") && !s.l.stood("out", "away", "process", "asks long")) && !sp.q.Q.Base().Less(quantity.Int(24*60)) { // "2 days in the fridge", "ok after 3 days"
					q := sp.q.Q
					m.ago, m.some, m.after = &q, true, before(k) == "after"
				}
			case sp.kind == spanClock:
				c := sp.clock
				switch before(k) {
				case "for", "by", "till", "until", "til", "to", "before":
					continue // what it is wanted for
				}
				lead := before(k)
				if lead == "last" || lead == "this" {
					lead = before(k - 1)
				}
				past := c.Day < 0 || c.Weekday > 0 || c.HasTime
				w := t[k].plain
				whose := len(w) > 4 && w[len(w)-1] == 's' && (c.Day < 0 || c.Weekday > 0) // "yesterdays custard"
				if c.Day > 0 || c.Service != "" || c.Now || !past && (w != "today" && w != "todays" || !wasMade) || !wasMade && !whose && lead != "from" && !(lead == "since" && since) {
					continue
				}
				if m.clock == nil {
					m.clock = &Clock{}
				}
				if c.HasDay {
					m.clock.HasDay, m.clock.Day, m.clock.Weekday = true, c.Day, c.Weekday
				}
				if c.HasTime && !m.clock.HasTime {
					m.clock.HasTime, m.clock.Hour, m.clock.Min, m.clock.Half = true, c.Hour, c.Min, c.Half
				}
			}
		}
		if d, mo := s.l.dateAt(k); d > 0 && !(mo < 0 && m.clock != nil) && (mo > 0 || before(k) == "the" || before(k) == "on") && (mo < 0 && before(k-1) == "from" || wasMade || before(k) == "from" || before(k) == "on" || before(k) == "dated") {
			m.clock = &Clock{HasDay: true, Date: d, Month: mo}
		}
	}
	if m.some {
		m.clock = nil
		return m
	}
	if m.clock != nil {
		m.some = true
		return m
	}
	from, to := s.l.stoodAt(0, "day")
	if from < 0 || !wasMade && before(from) != "from" && !(before(from) == "since" && since) {
		return m
	}
	m.some = true
	switch t[to-1].plain {
	case "night", "nite":
		m.clock = &Clock{HasDay: true, Day: -1}
	case "week", "day", "earlier":
	default:
		m.clock, m.morning = &Clock{HasDay: true}, true
	}
	return m
}

// says reports whether those words stand together.
func (l *lattice) says(words ...string) bool {
	for k := 0; k+len(words) <= len(l.tokens); k++ {
		i := 0
		for i < len(words) && l.tokens[k+i].plain == words[i] {
			i++
		}
		if i == len(words) {
			return true
		}
	}
	return false
}

// dateAt reads "22 nov", "nov 22", "22nd of november" at token k; 0 if none is there.
// Of "the 22nd" no month is said: −1.
func (l *lattice) dateAt(k int) (day, month int) {
	at := func(j int) string {
		if j < len(l.tokens) && (j == k || !l.tokens[j].breaks) {
			return l.tokens[j].plain
		}
		return ""
	}
	d := func(j int) int {
		n, err := strconv.Atoi(at(j))
		if err != nil || n < 1 || n > 31 {
			return 0
		}
		return n
	}
	if m := monthNamed(at(k)); m > 0 && d(k+1) > 0 {
		return d(k + 1), m
	}
	n := d(k)
	if n == 0 {
		return 0, 0
	}
	nth := false
	for j := k + 1; j <= k+3; j++ {
		switch w := at(j); w {
		case "st", "nd", "rd", "th":
			nth = true
		case "of":
		default:
			if m := monthNamed(w); m > 0 {
				return n, m
			}
			j = k + 3
		}
	}
	if nth {
		return n, -1
	}
	return 0, 0
}

// monthNamed is the number of a month, written out or by its first letters; 0 if it is none.
func monthNamed(w string) int {
	for i, m := range [...]string{"january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"} {
		if w == m || w == m[:3] && w != "may" || w == "sept" && i == 8 {
			return i + 1
		}
	}
	return 0
}

// unsafeSaid reports whether a word for food in doubt stands in the message that
// is not taken back by where the food is or what it is doing there: "in the
// fridge overnight", "proofing since lunch", "made yesterday, still ok?".
func (s *sense) unsafeSaid() bool {
	if !s.any(cueUnsafe) {
		return false
	}
	weak := true
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind == spanCue && sp.cues.has(cueUnsafe) {
			weak = weak && s.l.stoodIs(sp, "weak")
		}
	}
	switch {
	case s.fermenting():
		return false
	case !weak || s.l.stood("out", "away"):
		return true
	case s.l.stood("asks temp") || s.l.stood("asks much") && !s.l.stood("long"):
		return false
	case s.l.stood("cold", "process"):
		return false
	case s.l.stood("neglect"):
		return true
	case s.asksKeeping():
		return false
	}
	return !s.age().some
}
