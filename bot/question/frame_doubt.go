package question

import (
	"slices"
	"sync"
	"unicode/utf8"

	"tamis/calc/quantity"
	"tamis/kb"
)

// Stood is what a message says of the state of food, whatever dish it is.
type Stood struct {
	Kind    StoodKind
	Celsius *quantity.Number // what was measured, if it was
	Minutes *quantity.Number // how long, if said
}

// StoodKind is why food is in doubt.
type StoodKind string

// The reasons; each has its own words in the message catalogue.
const (
	StoodOut       StoodKind = "out"       // out of the cold, or warm, for too long
	StoodCold      StoodKind = "cold"      // the fridge or freezer failed
	StoodHot       StoodKind = "hot"       // held hot, not hot enough
	StoodCore      StoodKind = "core"      // it did not reach its temperature
	StoodReheated  StoodKind = "reheated"  // heated once more
	StoodRefrozen  StoodKind = "refrozen"  // thawed and frozen once more
	StoodDelivery  StoodKind = "delivery"  // came in warm
	StoodSpoilt    StoodKind = "spoilt"    // smells, mould, slime
	StoodNose      StoodKind = "nose"      // only its smell or looks speak for it
	StoodPast      StoodKind = "past date" // past its date
	stoodNot       StoodKind = ""
	stoodHoursLeft           = 60 // minutes from which a time is too long to pass over
)

var stoodWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/stood.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	bare := &workTable{phrases: map[string][]workPhrase{}}
	for _, list := range t.phrases {
		for _, p := range list {
			words := slices.DeleteFunc(slices.Clone(p.words), isArticle)
			for r := range p.roles {
				bare.add(words, r)
			}
		}
	}
	return bare
})

// isArticle reports whether a word may stand in a phrase for the state of food or
// not: "on the side", "on my side", "on side".
func isArticle(w string) bool {
	switch w {
	case "the", "a", "an", "my", "our", "your", "his", "her", "their", "teh", "th":
		return true
	}
	return false
}

// stoodAt is where the first phrase of a role stands from token k on; −1 if none does.
func (l *lattice) stoodAt(k int, role workRole) (from, to int) {
	for _, p := range l.stoodPhrases() {
		if p.from >= k && p.role == role {
			return p.from, p.to
		}
	}
	return -1, -1
}

// stoodPhrase is where the longest phrase of a role stands.
type stoodPhrase struct {
	from, to int
	role     workRole
}

// stoodPhrases are those of a message, looked for once: many are asked after.
func (l *lattice) stoodPhrases() []stoodPhrase {
	if l.phrases != nil {
		return l.phrases
	}
	l.phrases = []stoodPhrase{}
	var words []string
	var at []int
	for i, w := range l.stoodSaid() {
		if !isArticle(w) {
			words, at = append(words, w), append(at, i)
		}
	}
	for i := range words {
		start := len(l.phrases)
		for _, p := range stoodWords().phrases[words[i]] {
			n := len(p.words)
			if n > len(words)-i || !slices.Equal(p.words, words[i:i+n]) || l.openAir(words[i:i+n]) && l.peopleOutside(words[i:i+n]) {
				continue
			}
			to := at[i+n-1] + 1
			for role := range p.roles { // the order is nobody's business: each role is kept once
				j := slices.IndexFunc(l.phrases[start:], func(o stoodPhrase) bool { return o.role == role })
				if j < 0 {
					l.phrases = append(l.phrases, stoodPhrase{at[i], to, role})
				} else {
					l.phrases[start+j].to = max(l.phrases[start+j].to, to)
				}
			}
		}
	}
	return l.phrases
}

// openAir reports whether a phrase names a place where guests sit too.
func (l *lattice) openAir(phrase []string) bool {
	switch phrase[len(phrase)-1] {
	case "outside":
		return len(phrase) == 1
	case "terrace", "patio", "deck", "lawn", "balcony", "garden", "courtyard", "marquee", "tent":
		return true
	}
	return false
}

// peopleOutside reports whether it is people who are in that place: "guests outside".
func (l *lattice) peopleOutside(place []string) bool {
	return slices.ContainsFunc(l.tokens, func(t token) bool {
		if slices.Contains(place, t.plain) {
			return false
		}
		switch t.fold {
		case "guest", "people", "person", "pax", "cover", "customer", "table", "terrace", "seated", "smoker", "driver", "party", "garden", "diner":
			return true
		}
		return false
	})
}

// stoodList are the longer words for where food was and what befell it, in order.
var stoodList = sync.OnceValue(func() []string {
	var out []string
	for _, list := range stoodWords().phrases {
		for _, p := range list {
			if !p.roles["out"] && !p.roles["away"] && !p.roles["thing"] && !p.roles["neglect"] && !p.roles["long"] && !p.roles["delivery"] && !p.roles["broke"] {
				continue
			}
			for _, w := range p.words {
				if utf8.RuneCountInString(w) >= 5 {
					out = append(out, w)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
})

// stoodSaid are the words of the message, the slips in those for food in doubt put right.
func (l *lattice) stoodSaid() []string {
	if len(l.said) != len(l.tokens) {
		l.said = make([]string, len(l.tokens))
		fixes := l.fixes // "brocken" is as near to a wine, and no less a fridge that broke
		l.fixes = make([][]correction, len(l.tokens))
		defer func() { l.fixes = fixes }()
		for k := range l.tokens {
			l.said[k] = l.tokens[k].plain
			if w, ok := l.slipOf(k, stoodList(), func(w string) bool { return len(stoodWords().phrases[w]) > 0 }); ok {
				l.said[k] = w
			}
		}
	}
	return l.said
}

func (l *lattice) stood(roles ...workRole) bool {
	return slices.ContainsFunc(roles, func(r workRole) bool { k, _ := l.stoodAt(0, r); return k >= 0 })
}

// stoodNear reports whether a phrase of one role is followed, or led, by one of
// another, with at most gap tokens and no break between them.
func (l *lattice) stoodNear(a, b workRole, gap int) bool {
	for from, to := l.stoodAt(0, a); from >= 0; from, to = l.stoodAt(from+1, a) {
		for f, t := l.stoodAt(0, b); f >= 0; f, t = l.stoodAt(f+1, b) {
			if f >= to && f-to <= gap && !l.brokenBetween(to-1, f) || from >= t && from-t <= gap && !l.brokenBetween(t-1, from) {
				return true
			}
		}
	}
	return false
}

// brokenBetween reports whether a comma or stop stands after token a and up to b.
func (l *lattice) brokenBetween(a, b int) bool {
	for k := a + 1; k <= b; k++ {
		if l.tokens[k].breaks {
			return true
		}
	}
	return false
}

// frameStood: food that stood too long, was not cold, not cooked through, heated
// twice, smells: refused with the rule, whatever dish it is.
func frameStood(s *sense) []reading {
	if len(s.l.tokens) > 40 {
		return nil
	}
	if s.leftUndone() {
		return nil // "left out the sugar in the curd, still hot": it never went in
	}
	st := s.stoodOf()
	if st.Kind == stoodNot {
		return nil
	}
	if _, held := s.heldFor(); held && st.Kind == StoodOut { // what the book lets stand hot is looked up
		return nil
	}
	r := s.reading(WantUnsafe, "safety")
	r.q.Stood = st
	for i := range r.used {
		r.used[i] = true
	}
	for c := cue(0); int(c) < len(cueNames); c++ {
		r.consumes = r.consumes.with(c)
	}
	for _, p := range s.picks() {
		if (!p.talk || st.Kind == StoodCore) && len(p.targets) == 1 && len(r.q.Targets) == 0 {
			r.q.Targets = slices.Clone(p.targets)
		}
	}
	r.extra = -s.p.cost - 6
	return []reading{r}
}

// stoodOf is what the message says of the state of the food.
func (s *sense) stoodOf() Stood {
	l := s.l
	if l.stand == nil {
		l.stand = &Stood{}
		*l.stand = s.stoodKind()
	}
	if l.stand.Kind != stoodNot || s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen) {
		return *l.stand
	}
	return s.coreLow()
}

// stoodKind is read from the words alone: it is the same whatever way through
// the message is taken.
func (s *sense) stoodKind() Stood {
	l := s.l
	long, minutes := s.stoodLong()
	judge := l.stood("judge")
	st := Stood{Minutes: minutes}
	kind := func(k StoodKind) Stood { st.Kind = k; return st }
	ahead := s.asksAhead()
	switch {
	case l.stood("past") && !s.asksDate():
		return kind(StoodPast)
	case !ahead && l.stoodNear("thing", "broke", 2) && (judge || long):
		return kind(StoodCold)
	case !ahead && s.warmThing():
		return kind(StoodCold)
	case !ahead && long && judge && l.stoodNear("none", "thing", 0):
		return kind(StoodCold)
	case !ahead && judge && s.coldThingAt(&st):
		return st
	case (l.stoodNear("reheated", "again", 3) || l.stoodNear("reheat", "more", 4)) && (s.may() || judge) && !l.stood("asks long", "asks temp"):
		return kind(StoodReheated)
	case l.stood("thawed") && l.stood("refrozen") && !l.stood("asks long") && !s.asksWhen():
		return kind(StoodRefrozen)
	case judge && s.heldAt(&st):
		return st
	case !ahead && s.neverChilled() && (judge || long):
		return kind(StoodOut)
	case !ahead && l.stoodNear("hot", "while", 6) && judge:
		return kind(StoodOut)
	case judge && l.stoodNear("delivery", "warm", 4):
		return kind(StoodDelivery)
	case judge && s.deliveryAt(&st):
		return st
	case long && !ahead && (s.leftLying() || judge && s.leftSince(minutes != nil)):
		return kind(StoodOut)
	case l.stood("out") || l.stood("away"):
		neglect := l.stood("neglect") && judge && !l.stood("asks much")
		switch {
		case ahead || s.asksWhen() && !l.stood("neglect"):
		case s.fermenting():
		case l.stood("process") && !l.stood("neglect") && (s.asksWhen() || l.stood("asks long") || !judge):
		case long && (judge || l.stood("neglect") || l.stood("away")) || neglect, minutes != nil && long && !l.stood("process", "asks much"):
			return kind(StoodOut)
		}
	}
	switch {
	case l.stood("spoilt") && (judge || s.may()):
		return kind(StoodSpoilt)
	case l.stood("nose") && (l.stood("neglect") || long || judge && !l.stood("asks long")):
		return kind(StoodNose)
	}
	return Stood{}
}

// leftLying reads "left the custard out", "forgot it out there": not "left the salt
// out of the caramel".
func (s *sense) leftLying() bool {
	t := s.l.tokens
	for k := range t {
		switch t[k].plain {
		case "left", "leaving", "forgot", "forgotten", "kept":
		default:
			continue
		}
		for j := k + 1; j < min(len(t), k+7) && !t[j].breaks; j++ {
			if t[j].plain == "out" && (j+1 == len(t) || t[j+1].plain != "of") {
				return true
			}
		}
	}
	return false
}

// inDoubt reports whether words for food in doubt stand in a message, before
// anything else of it is read.
func inDoubt(x *Lexicon, text string, tokens []token) bool {
	l := &lattice{x: x, text: text, tokens: tokens, starts: make([][]span, len(tokens)), fixes: make([][]correction, len(tokens))}
	s := &sense{l: l}
	return l.stood("spoilt", "nose", "past", "reheat", "reheated") || l.stoodNear("thing", "broke", 2) || l.stoodNear("delivery", "warm", 4) || s.neverChilled() ||
		l.stood("thawed") && l.stood("refrozen") || l.stood("out", "away") && l.stood("judge") && l.stood("long", "neglect") || l.stood("core") && l.stood("reached") && l.stood("judge")
}

// leftSince reports whether something was left or forgotten for so long or since
// then, with no cold place beside it: "left by the sink since 2".
func (s *sense) leftSince(timed bool) bool {
	return s.saysOf("left", "forgot", "forgotten") && (timed || s.saysOf("since")) && !s.l.stood("cold", "kept", "process", "asks much")
}

// warmThing reads "warm fridge this morning".
func (s *sense) warmThing() bool {
	for from, to := s.l.stoodAt(0, "thing"); from >= 0; from, to = s.l.stoodAt(to, "thing") {
		if from > 0 && !s.l.tokens[from].breaks && slices.Contains([]string{"warm", "broken", "dead", "busted"}, s.l.stoodSaid()[from-1]) {
			return true
		}
	}
	return false
}

// stoodLong reports whether the message says that it took long, and how long.
func (s *sense) stoodLong() (long bool, minutes *quantity.Number) {
	for k := range s.l.tokens {
		for i := range s.l.starts[k] {
			sp := &s.l.starts[k][i]
			switch {
			case sp.kind == spanQuantity && sp.q.Ambiguous == nil && sp.q.Q.Unit.Dim == quantity.Time:
				if m := sp.q.Q.Base(); minutes == nil || minutes.Less(m) {
					minutes = &m
				}
			}
		}
	}
	long = s.l.stood("long") || s.thereFromTo() || minutes != nil && !minutes.Less(quantity.Int(stoodHoursLeft))
	return long, minutes
}

// asksAhead reports whether it is asked how long something may or must be so,
// not told that it was.
func (s *sense) asksAhead() bool {
	return s.l.stood("asks long") && !s.l.stood("neglect")
}

// asksDate reports whether it is asked when something is out of date.
func (s *sense) asksDate() bool {
	return s.asksWhen() || s.l.stood("asks long") || s.saysOf("date") && s.saysOf("what")
}

// asksWhen reports whether "when" asks: not "warm when i came in".
func (s *sense) asksWhen() bool {
	t := s.l.tokens
	for k := range t {
		switch t[k].plain {
		case "when", "whens":
			if k+1 == len(t) || t[k].plain == "whens" {
				return true
			}
			switch t[k+1].plain {
			case "do", "does", "can", "could", "should", "is", "are", "will", "to", "must", "would", "did", "shall":
				return true
			}
			if k > 0 && slices.Contains([]string{"by", "til", "till", "until", "from"}, t[k-1].plain) || t[k+1].breaks {
				return true
			}
		case "time":
			if k > 0 && t[k-1].plain == "what" {
				return true
			}
		}
	}
	return false
}

// coldThingAt reads "fridge was at 14 this morning, pate ok?".
func (s *sense) coldThingAt(st *Stood) bool {
	from, to := s.l.stoodAt(0, "thing")
	if from < 0 {
		return false
	}
	verb := -1 // "fridge 2 was at 9": the figure comes after it
	for k := to; k < min(len(s.l.tokens), to+4); k++ {
		switch s.l.tokens[k].plain {
		case "was", "were", "reads", "read", "says", "said", "showing", "shows", "at", "hit", "went", "climbed", "crept", "got", "is", "up":
			verb = k
		}
		if verb >= 0 {
			break
		}
	}
	if verb < 0 {
		return false
	}
	c := s.degreesAfter(verb+1, 4)
	if c == nil || c.Sign() <= 0 {
		return false
	}
	if s.asksWhen() && s.l.tokens[verb].plain == "at" && verb+1 < len(s.l.tokens) && s.l.pointed(verb+1) && s.l.isHour(verb+1) { // "in the fridge at 6.30 when can we churn"
		return false
	}
	for k := from; k < to; k++ {
		if w := s.l.tokens[k].fold; w == "freezer" {
			return false
		}
	}
	st.Kind, st.Celsius = StoodCold, c
	return len(s.names) > 0 || s.ctx != nil && len(s.ctx.Targets) > 0
}

// deliveryAt reads "fish delivery at 9c, take it?".
func (s *sense) deliveryAt(st *Stood) bool {
	from, to := s.l.stoodAt(0, "delivery")
	if from < 0 {
		return false
	}
	if st.Celsius = s.degreesAfter(to, 4); st.Celsius == nil {
		return false
	}
	st.Kind = StoodDelivery
	return true
}

// heldAt reads "holding the jus at 45 all afternoon, fine?".
func (s *sense) heldAt(st *Stood) bool {
	_, to := s.l.stoodAt(0, "held")
	if to < 0 || s.l.stood("asks temp", "asks long") {
		return false
	}
	if st.Celsius = s.degreesAfter(to, 7); st.Celsius == nil || st.Celsius.Less(quantity.Int(9)) || !s.l.stood("long") && st.Minutes == nil {
		return false
	}
	st.Kind = StoodHot
	return true
}

// fermenting reports whether it is asked how something stands warm on purpose:
// "can the sour ferment overnight on the bench".
func (s *sense) fermenting() bool {
	return s.l.stood("ferment") && !s.l.stood("neglect") && (s.may() || s.asksWhen() || s.l.stood("asks long"))
}

// degreesAfter is a temperature, or a bare number that may be one, at most gap
// tokens after token k.
func (s *sense) degreesAfter(k, gap int) *quantity.Number {
	for j := k; j < min(len(s.l.tokens), k+gap); j++ {
		for i := range s.l.starts[j] {
			sp := &s.l.starts[j][i]
			if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Words {
				continue
			}
			if sp.q.Q.Unit.Dim == quantity.Temperature {
				if c, err := sp.q.Q.In(quantity.Celsius); err == nil {
					return &c.N
				}
			}
		}
		if j > 0 && !s.l.tokens[j].breaks && slices.Contains([]string{"since", "from", "till", "until", "til"}, s.l.tokens[j-1].plain) {
			continue // "in the van since 9" is a time of day
		}
		if _, _, spoken := s.l.spoken(j); spoken || !s.l.tokens[j].number {
			continue // "fridge at 9 tonight" is a time of day
		}
		next := ""
		if j+1 < len(s.l.tokens) && !s.l.tokens[j+1].breaks {
			next = s.l.tokens[j+1].plain
		}
		for i := range s.l.starts[j] {
			sp := &s.l.starts[j][i]
			if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.to != j+1 || sp.q.Q.Unit.Symbol != "" {
				continue
			}
			if _, unit := quantity.Metric.UnitNamed(next); unit && next != "c" && next != "in" || next == "am" || next == "pm" || next == "oclock" {
				continue
			}
			n := sp.q.Q.N
			return &n
		}
	}
	return nil
}

// neverChilled reads "the compote never went in the fridge", "forgot to chill the stock".
func (s *sense) neverChilled() bool {
	l := s.l
	for from, to := l.stoodAt(0, "never"); from >= 0; from, to = l.stoodAt(from+1, "never") {
		for k := to; k < min(len(l.tokens), to+7); k++ {
			if l.tokens[k].breaks && k > to {
				break
			}
			if f, _ := l.stoodAt(k, "chilled"); f == k && !isArticle(l.tokens[k].plain) {
				return true
			}
			if f, _ := l.stoodAt(k, "between"); f != k && !l.namedAt(k) && !isArticle(l.tokens[k].plain) {
				break
			}
		}
	}
	return false
}

// namedAt reports whether a name of the book covers token k.
func (l *lattice) namedAt(k int) bool {
	for j := max(0, k-5); j <= k; j++ {
		if slices.ContainsFunc(l.starts[j], func(sp span) bool { return sp.kind == spanName && sp.to > k }) {
			return true
		}
	}
	return false
}

// coreLow reads "parfait core only got to 60, is that fine": below what the book
// says, or not reached at all.
func (s *sense) coreLow() Stood {
	l := s.l
	core := l.stood("core")
	judge := l.stood("judge") || s.saysOf("enough", "done")
	if !judge || l.stood("chilled") || s.any(cueHowlong) {
		return Stood{}
	}
	book := s.bookHeat(core)
	if l.stood("raw") && (book != nil || core) || l.stood("pink") && book != nil {
		return Stood{Kind: StoodCore}
	}
	for from, to := l.stoodAt(0, "reached"); from >= 0; from, to = l.stoodAt(from+1, "reached") {
		strong := to-from > 1 || s.saysOf("only", "stuck", "never", "stalled", "barely")
		if !core && !strong {
			continue
		}
		c := s.degreesAfter(to, 3)
		if c == nil {
			continue
		}
		short := s.notReached(from, to)
		switch {
		case book != nil && (short || c.Less(*book)):
			return Stood{Kind: StoodCore, Celsius: c}
		case book == nil && core && strong && c.Less(quantity.Int(75)) && quantity.Int(30).Less(*c):
			return Stood{Kind: StoodCore, Celsius: c}
		}
	}
	if core && book != nil { // "parfait probe 62, good enough"
		if from, to := l.stoodAt(0, "core"); from >= 0 {
			if c := s.degreesAfter(to, 3); c != nil && c.Less(*book) && quantity.Int(20).Less(*c) {
				return Stood{Kind: StoodCore, Celsius: c}
			}
		}
	}
	return Stood{}
}

// notReached reports whether the phrase of those tokens says that a figure was not reached.
func (s *sense) notReached(from, to int) bool {
	for k := max(0, from-1); k < to; k++ {
		switch s.l.tokens[k].plain {
		case "didnt", "never", "not", "wont", "doesnt", "below", "under", "short", "past":
			return true
		}
	}
	return false
}

// bookHeat is the temperature that the book wants of the recipe that is meant: a
// core temperature, or that of food with egg, meat or fish in it.
func (s *sense) bookHeat(core bool) *quantity.Number {
	for _, p := range s.picksOfOne() {
		if n := heatOf(p.targets[0].Recipe, core); n != nil {
			return n
		}
	}
	return nil
}

// heatOf is the highest temperature of the method that makes a dish safe to eat,
// as far as the book says one: a core's, or what egg, meat or fish is cooked to.
func heatOf(r *kb.Recipe, core bool) *quantity.Number {
	var most, cooked *quantity.Number
	for i := range r.Method {
		st := &r.Method[i]
		if st.UntilCore != nil {
			if c, err := st.UntilCore.In(quantity.Celsius); err == nil && (most == nil || most.Less(c.N)) {
				most = &c.N
			}
		}
		if st.To == nil || st.To.Temperature == nil || st.Verb == "freeze" || st.Verb == "chill" || st.Verb == "cool" {
			continue
		}
		c, err := st.To.Temperature.In(quantity.Celsius)
		if err != nil || c.N.Less(quantity.Int(54)) || quantity.Int(95).Less(c.N) {
			continue
		}
		if cooked == nil || cooked.Less(c.N) {
			cooked = &c.N
		}
	}
	switch {
	case most != nil:
		return most
	case core || slices.ContainsFunc(r.Lines, func(l kb.Line) bool {
		return l.Item != nil && slices.Contains([]string{"egg", "meat", "fish", "shellfish"}, l.Item.Category)
	}):
		return cooked
	}
	return nil
}
