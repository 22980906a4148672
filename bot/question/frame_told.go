package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// Told is one temperature that a message tells.
type Told struct {
	Of      int    // the target it is of, from 1; 0: what was told last in the talk
	Place   string // the cold place it is of, as the house or the cook calls it; "" of food
	Frozen  bool   // the words say that the place is a freezer
	Celsius quantity.Number
	Clock   *Clock
	Bare    bool // neither unit, sign nor decimals: the figure may mean another
	Label   bool // nothing but a place and a small number: that may be which one it is
}

// mostTold is how many temperatures one message tells at most: a morning's round.
const mostTold = 12

// toldMark is one word or number of such a message by what it gives.
type toldMark struct {
	kind  byte // 't' a thing, 'c' a temperature, 'h' a time of day, ',' a break
	place string
	froze bool
	name  int // span of a recipe's name, −1
	c     quantity.Number
	bare  bool
	clock Clock
	maybe bool // an hour that may be a temperature: "fridge at 4"
	unit  quantity.Unit
}

// workTold: temperatures of cold places, and several in one message: "walk-in
// 3.5 at 7:15", "fridge 2 reads 8 C", "jus 57 at 15:10 and 21 at 16:50".
func (s *sense) workTold(p *workParts) []reading {
	if p.asks && !(len(p.places) > 0 && s.saysOf("what")) || len(p.times)+len(p.amounts) > 0 || len(p.temps)+len(p.numbers)+len(p.clocks) == 0 {
		return nil
	}
	marks, met, ok := s.toldMarks()
	if !ok {
		return nil
	}
	told, spans, ok := s.toldOf(marks)
	if !ok || len(told) > mostTold {
		return nil
	}
	places, probe := 0, met["probe"] != "" || met["cools"] != ""
	clocks := 0
	for i := range told {
		if told[i].Place != "" {
			places++
		}
		if told[i].Clock != nil {
			clocks++
		}
	}
	if places == 0 && len(told) < 2 {
		return nil // workLog's
	}
	shared := clocks == 1 && len(told) > 1
	for i := range told { // "walk-in 3.5, freezer -19 at 7:15": one round
		for j := range told {
			if shared && told[j].Clock != nil && told[i].Clock == nil && (told[i].Place != told[j].Place || told[i].Of != told[j].Of) {
				told[i].Clock = told[j].Clock
			}
		}
	}
	r := s.work(WantLogTemp, "log", p, met)
	for i := range told {
		t := &told[i]
		if t.Celsius.Less(quantity.Int(-90)) || quantity.Int(260).Less(t.Celsius) {
			return nil
		}
		if t.Place == "" && t.Bare && t.Clock == nil && !probe && !slices.ContainsFunc(told, func(o Told) bool { return o.Of == t.Of && o.Place == "" && o.Clock != nil }) {
			return nil // a number without a time is no temperature of food
		}
		if t.Clock == nil && len(told) > 1 {
			r.extra++
		}
	}
	if len(told) == 1 && told[0].Bare && told[0].Clock == nil && !probe && !s.saysOf("at", "is") && told[0].Celsius.Less(quantity.Int(13)) {
		told[0].Label = true
	}
	r.q.Clock, r.q.Place, r.q.Work.Told = nil, "", told
	s.workUse(&r)
	if len(spans) == 0 {
		return []reading{r}
	}
	return s.toldRecipes(r, spans)
}

// toldRecipes are the readings by the recipes that the names may mean; of
// several names only the nearest of each.
func (s *sense) toldRecipes(r reading, spans []int) []reading {
	out := []reading{r}
	for n, i := range spans {
		opts := s.recipesOf(i, 24)
		if len(spans) > 1 {
			if len(opts) > 1 && opts[0].cost == opts[1].cost {
				return nil
			}
			opts = opts[:1]
		}
		var next []reading
		for _, base := range out {
			for _, o := range opts {
				one := base.clone()
				one.q.Targets = append(one.q.Targets[:n:n], Target{Recipe: o.recipe, Part: o.part})
				one.extra += o.cost
				next = append(next, one)
			}
		}
		out = next
	}
	return out
}

// toldOf sorts marks into temperatures with what they are of and when; spans
// are the names of recipes in order.
func (s *sense) toldOf(marks []toldMark) (out []Told, spans []int, ok bool) {
	var cur Told
	some, clockFirst := false, false // cur has its temperature; the message gives times first
	thing, after := false, false     // cur names its thing; a time stands behind that
	flush := func() {
		out = append(out, cur)
		cur = Told{Of: cur.Of, Place: cur.Place, Frozen: cur.Frozen}
		some, thing, after = false, false, false
	}
	for k := range marks {
		m := &marks[k]
		if m.maybe {
			m.kind = 'h'
			if !some && thing && !after && cur.Place != "" && !slices.ContainsFunc(marks[k+1:], func(o toldMark) bool { return o.kind == 'c' && !o.maybe }) {
				m.kind = 'c'
			}
		}
		switch m.kind {
		case 't':
			if some {
				flush()
			}
			if thing {
				return nil, nil, false
			}
			thing = true
			cur.Of, cur.Place, cur.Frozen = 0, m.place, m.froze
			if m.name >= 0 {
				cur.Of = 1 + slices.Index(spans, m.name)
				if cur.Of == 0 {
					spans = append(spans, m.name)
					cur.Of = len(spans)
				}
			}
		case 'c':
			if some {
				flush()
			}
			cur.Celsius, cur.Bare, some = m.c, m.bare, true
			if m.unit.Dim == quantity.Temperature {
				q, err := quantity.Quantity{N: m.c, Unit: m.unit}.In(quantity.Celsius)
				if err != nil {
					return nil, nil, false
				}
				cur.Celsius = q.N
			}
		case 'h':
			if some && (cur.Clock != nil || clockFirst) {
				flush()
			}
			if cur.Clock != nil {
				return nil, nil, false
			}
			clockFirst = clockFirst || !some && len(out) == 0
			c := m.clock
			cur.Clock, after = &c, thing
		}
	}
	if !some {
		return nil, nil, false
	}
	flush()
	return out, spans, true
}

// toldMarks reads the message mark by mark; false where a word is none of such
// a message.
func (s *sense) toldMarks() (marks []toldMark, met map[workRole]string, ok bool) {
	met = map[workRole]string{}
	roles := []workRole{"filler", "probe", "cools", "lastnight", "morning", "evening", "place word"}
	at := make([]int, len(s.l.tokens)) // the span that a token belongs to
	for i := range s.p.spans {
		for k := s.span(i).from; k < s.span(i).to; k++ {
			at[k] = i
		}
	}
	for k := 0; k < len(s.l.tokens); {
		i := at[k]
		sp := s.span(i)
		if place, froze, n := s.coldAt(k, at); n > 0 {
			k += n
			if k < len(s.l.tokens) && s.isLabel(k, at) {
				place += " " + s.l.tokens[k].plain
				k++
			}
			marks = append(marks, toldMark{kind: 't', place: place, froze: froze, name: -1})
			continue
		}
		switch sp.kind {
		case spanName:
			if len(s.recipesOf(i, 1)) == 0 || s.negated(i) {
				return nil, nil, false
			}
			marks = append(marks, toldMark{kind: 't', name: i})
			k = sp.to
			continue
		case spanClock:
			if !sp.clock.HasTime && !sp.clock.HasDay && !sp.clock.Now {
				return nil, nil, false
			}
			if len(marks) > 0 && !sp.clock.HasTime && marks[len(marks)-1].kind == 'h' { // "7:15 today"
				c := &marks[len(marks)-1].clock
				c.HasDay, c.Day, c.Weekday = sp.clock.HasDay, sp.clock.Day, sp.clock.Weekday
				k = sp.to
				continue
			}
			marks = append(marks, toldMark{kind: 'h', clock: sp.clock})
			k = sp.to
			continue
		case spanQuantity:
			if sp.q.Ambiguous != nil || sp.q.Hi != nil || sp.q.Words && sp.q.Q.Unit.Dim == quantity.None && len(workWords().phrases[s.l.tokens[k].plain]) > 0 {
				break
			}
			d := sp.q.Q.Unit.Dim
			if d != quantity.None && d != quantity.Temperature {
				return nil, nil, false
			}
			m := toldMark{kind: 'c', name: -1, c: sp.q.Q.N, unit: sp.q.Q.Unit}
			_, whole := m.c.Int64()
			m.bare = d == quantity.None && whole && m.c.Sign() >= 0
			if c, ok := s.fourDigits(i); ok {
				m.kind, m.clock = 'h', c
			} else if d == quantity.None && s.isHour(i) {
				h, _ := m.c.Int64()
				m.maybe, m.clock = true, Clock{Hour: int(h), HasTime: true, Half: h < 13}
			}
			marks = append(marks, m)
			k = sp.to
			continue
		case spanFactor, spanAllergen, spanUnit:
			return nil, nil, false
		}
		if s.l.tokens[k].fold == "and" { // "&" too
			k++
			continue
		}
		var words []string
		for j := k; j < len(s.l.tokens) && (j == k || !s.l.tokens[j].breaks); j++ {
			words = append(words, s.l.tokens[j].plain)
		}
		n, has := workWords().longest(words, roles)
		if n == 0 || s.l.tokens[k].number {
			return nil, nil, false
		}
		for _, r := range roles {
			if has[r] && met[r] == "" {
				met[r] = strings.Join(words[:n], " ")
			}
		}
		s.halfDay(marks, has)
		k += n
	}
	return marks, met, true
}

// halfDay lets "this evening" say which half of the day the time before it is in.
func (s *sense) halfDay(marks []toldMark, has map[workRole]bool) {
	if len(marks) == 0 || marks[len(marks)-1].kind != 'h' && !marks[len(marks)-1].maybe {
		return
	}
	c := &marks[len(marks)-1].clock
	switch {
	case !c.HasTime:
	case has["evening"], has["lastnight"]:
		if c.Half && c.Hour < 12 {
			c.Hour += 12
		}
		c.Half = false
		if has["lastnight"] {
			c.HasDay, c.Day = true, -1
		}
	case has["morning"]:
		c.Half = false
	}
}

// coldAt reads a cold place at token k: its name, whether it is a freezer, how
// many tokens it takes. A word right before it says which: "bar fridge".
func (s *sense) coldAt(k int, at []int) (place string, froze bool, n int) {
	if i := at[k]; s.span(i).kind == spanName && s.span(i).from == k {
		if t := s.thingOf(i, kb.ColdName); t != nil && len(s.recipesOf(i, 1)) == 0 {
			return t.Text, s.coldWords(k) == "freezer", s.span(i).to - k
		}
	}
	if role := s.coldWords(k); role != "" {
		return s.coldText(k, k, role), role == "freezer", s.coldLen(k)
	}
	if k+1 >= len(s.l.tokens) || s.l.tokens[k+1].breaks || s.l.tokens[k].number || len(s.l.tokens[k].plain) < 3 || s.span(at[k]).kind == spanClock {
		return "", false, 0
	}
	if m, _ := workWords().longest([]string{s.l.tokens[k].plain}, []workRole{"filler", "probe", "morning", "evening"}); m > 0 {
		return "", false, 0
	}
	if role := s.coldWords(k + 1); role != "" && s.span(at[k]).to == k+1 {
		if i := at[k+1]; s.span(i).kind == spanName && s.thingOf(i, kb.ColdName) != nil && s.span(i).to > k+2 {
			return "", false, 0
		}
		return s.coldText(k, k+1, role), role == "freezer", 1 + s.coldLen(k+1)
	}
	return "", false, 0
}

// coldWords is the role of a phrase for a cold place at token k: "fridge",
// "freezer" or none.
func (s *sense) coldWords(k int) string {
	best, role := 0, ""
	for _, r := range []string{"fridge", "freezer"} {
		if n := s.workAt(k, r); n > best {
			best, role = n, r
		}
	}
	return role
}

func (s *sense) coldLen(k int) int { return max(s.workAt(k, "fridge"), s.workAt(k, "freezer")) }

func (s *sense) coldText(from, k int, role string) string {
	end := k + s.workAt(k, role) - 1
	return strings.ToLower(s.l.text[s.l.tokens[from].start:s.l.tokens[end].end])
}

// workAt is how many tokens from k on a phrase of work.txt of that role covers.
func (s *sense) workAt(k int, role string) int {
	words := make([]string, 0, 4)
	for j := k; j < min(len(s.l.tokens), k+4); j++ {
		if j > k && s.l.tokens[j].breaks {
			break
		}
		words = append(words, s.l.tokens[j].plain)
	}
	n, _ := workWords().longest(words, []workRole{workRole(role)})
	return n
}

// isLabel reports whether the number at token k says which place it is, as the
// temperature comes behind it: "fridge 2 reads 8".
func (s *sense) isLabel(k int, at []int) bool {
	t := &s.l.tokens[k]
	if !t.number || t.breaks || len(t.plain) > 2 || strings.Trim(t.plain, "0123456789") != "" {
		return false
	}
	if sp := s.span(at[k]); sp.kind == spanClock || sp.kind == spanQuantity && (sp.q.Q.N.Sign() < 0 || sp.to > k+1) {
		return false
	}
	for j := k + 1; j < len(s.l.tokens); j++ {
		sp := s.span(at[j])
		colon := j == k+1 && strings.Contains(s.l.text[t.end:s.l.tokens[j].start], ":") // "fridge 1: 3.2"
		switch {
		case s.l.tokens[j].breaks && !colon, s.coldWords(j) != "", sp.kind == spanName:
			return false
		case sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Temperature:
			return true
		case sp.kind == spanQuantity:
			return !s.isHour(at[j]) || s.isHourBefore(j, at)
		}
	}
	return false
}

// isHourBefore reports whether another number follows an hour: "fridge 2 at 7 3.5".
func (s *sense) isHourBefore(k int, at []int) bool {
	for j := k + 1; j < len(s.l.tokens); j++ {
		if s.span(at[j]).kind == spanQuantity {
			return true
		}
	}
	return false
}
