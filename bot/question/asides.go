package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
)

// asides cuts the clauses that tell of people and of the day, not of food:
// "the inspector is standing here", "it's friday and we are full". A clause with
// a name of the book, a food, an allergen, a size, a question word or a word that
// could bear on safety or on a change is none, and neither is the whole message.
func (c *chatter) asides() {
	if c.warned() {
		return
	}
	timed := c.timed()
	type part struct{ from, to int }
	var found []part
	rest := false
	for from := 0; from < len(c.t); {
		to := c.partEnd(from)
		if !c.cutAlready(from, to) {
			if c.aside(from, to, timed) {
				found = append(found, part{from, to})
			} else {
				rest = rest || c.asks(from, to)
			}
		}
		from = to
	}
	if !rest {
		return
	}
	for _, p := range found {
		for k := p.from; k < p.to; k++ {
			if t := &c.t[k]; !c.out[k] && c.unknown(t) {
				c.passed = append(c.passed, c.text[t.start:t.end])
			}
		}
		c.cut(p.from, p.to)
		if p.to < len(c.t) {
			c.t[p.to].breaks = true
		}
	}
}

// Aside reports whether a sentence tells of people or of the day only, not of
// food: "bit slammed here".
func Aside(x *Lexicon, sentence string) bool {
	if len(sentence) > MaxText {
		return false
	}
	t := tokenize(sentence)
	c := &chatter{x: x, text: sentence, t: t, out: make([]bool, len(t))}
	return len(t) > 0 && c.clauseEnd(0) == len(t) && !c.warned() && c.aside(0, len(t), c.timed())
}

// partEnd is where the part of a clause that begins at token i ends: at a break,
// before a word that joins and before a question word.
func (c *chatter) partEnd(i int) int {
	end := c.clauseEnd(i)
	for k := i + 1; k < end; k++ {
		switch c.t[k].plain {
		case "and", "but", "so", "because", "cause", "cos", "coz", "cuz":
			if k > i+1 {
				return k
			}
		case "how", "what", "whats", "which", "where", "hows":
			return k
		}
		if c.signBefore(k) {
			return k
		}
	}
	return end
}

// signBefore reports whether something that parts two thoughts and is no break
// stands before token k: a dash, a stop behind a short word, a picture.
func (c *chatter) signBefore(k int) bool {
	sign := c.text[c.t[k-1].end:c.t[k].start]
	return strings.Contains(sign, " - ") || strings.HasPrefix(sign, ". ") && !c.t[k].number || strings.ContainsFunc(sign, func(r rune) bool { return r >= 0x2190 })
}

func (c *chatter) cutAlready(from, to int) bool {
	return !slices.Contains(c.out[from:to], false)
}

// warned reports whether the message may be about safety, a change of the book or
// something else where no word is to be lost.
func (c *chatter) warned() bool {
	ask, topic := false, false
	for i := range c.t {
		end := c.clauseEnd(i)
		set, n := c.cuesAt(i, end)
		if set.meets(cueSet{}.with(cueUnsafe, cueChange, cueHistory)) && !set.has(cueFiller) && c.at(i, end, "idle") < n {
			return true
		}
		ask = ask || c.safety(i, end, "rule ask")
		for _, r := range []workRole{"rule hot", "rule cold", "rule cool", "rule reheat", "rule date", "rule egg", "rule pasteurise", "kill"} {
			topic = topic || c.safety(i, end, r)
		}
		for _, r := range []workRole{"guest pregnancy", "guest child", "guest old", "guest dry", "raw egg", "infused oil", "dry ice", "liquid nitrogen"} {
			if c.safety(i, end, r) {
				return true
			}
		}
	}
	return ask && topic
}

func (c *chatter) safety(i, end int, role workRole) bool {
	var words []string
	for k := i; k < end && k < i+5; k++ {
		words = append(words, c.t[k].plain)
	}
	n, _ := safetyWords().longest(words, []workRole{role})
	return n > 0
}

// timed reports whether the message asks for a time that a clock in it may set.
func (c *chatter) timed() bool {
	for i := range c.t {
		if c.out[i] {
			continue
		}
		set, n := c.cuesAt(i, c.clauseEnd(i))
		if n == 0 || c.at(i, c.clauseEnd(i), "idle") >= n {
			continue
		}
		if set.meets(cueSet{}.with(cueKeeps, cueUseby, cueWhen, cueSetready, cueWent, cueTimer, cueLatest, cuePlan, cueUnsafe, cuePrep)) && !set.has(cueFiller) {
			return true
		}
	}
	return false
}

// cuesAt is what the longest phrase at token i asks, and how long it is.
func (c *chatter) cuesAt(i, end int) (cueSet, int) {
	var set cueSet
	length := 0
	n := cues().root
	for k := i; k < end; k++ {
		m := n.next[c.t[k].fold]
		if m == nil {
			m = n.next[c.t[k].plain]
		}
		if m == nil {
			break
		}
		n = m
		if !n.set.empty() {
			set, length = n.set, k+1-i
		}
	}
	return set, length
}

// asks reports whether tokens from to to hold anything that says something.
func (c *chatter) asks(from, to int) bool {
	for i := from; i < to; i++ {
		if c.out[i] {
			continue
		}
		if set, _ := c.cuesAt(i, to); c.t[i].number || !set.has(cueFiller) {
			return true
		}
	}
	return false
}

// harmless are the cues that a clause about people may hold.
var harmless = plainCues.with(cueYes, cueNo, cueNot, cueHelp, cueNever, cueCovers, cueMenu)

// ofFood are the cues that a clause with "it" may use of food.
var ofFood = verbCues.with(cueWent, cueRescue, cueSwap, cueLose, cueKeeps, cueSetready, cueOnly, cueTimer, cueReduce, cueAll, cueCard, cueFree)

// aside reports whether tokens from to to tell of people or of the day only.
func (c *chatter) aside(from, to int, timed bool) bool {
	if c.t[to-1].question || to < len(c.t) && !c.t[to].breaks && c.says(to-1, to, "to", "at", "for", "in", "of", "with", "from", "until", "till", "til", "by", "on", "into", "is", "are") {
		return false
	}
	if c.says(from, to, "how", "what", "whats", "which", "where", "hows") {
		return false
	}
	i := from
	rush, rushEnd := c.stateAs("rush", from-1, to) // "bit slammed here"
	for rushEnd == 0 && i < to && c.at(i, to, "person") == 0 && !c.says(i, to, "it", "its", "this", "thats") {
		set, n := c.cuesAt(i, to)
		lead := n > 0 && set.meets(cueSet{}.with(cueFiller, cueAnd, cueGreet, cueThanks, cueYes, cueNo)) || c.says(i, to, "because", "cause", "cos", "coz", "cuz", "but", "so", "btw", "anyway", "omg", "ugh", "argh", "damn") || c.out[i]
		if !lead && (i >= from+3 || c.t[i].number || !isEnglish(&c.t[i]) || n > 0) && c.at(i+1, to, "agent") == 0 && !c.oclock(i, to) {
			return false
		}
		i++
	}
	if i == to {
		return false
	}
	state, stateEnd := i, i
	if rushEnd > 0 {
		i, state, stateEnd = rush, rush, rushEnd
	} else if c.at(i, to, "person") == 0 {
		if state, stateEnd = c.state(i, to); stateEnd == 0 {
			return false
		}
	}
	it, clash := false, false
	counted := slices.Contains(c.out[from:to], true)
	for k := from; k < to; {
		if k == state && stateEnd > k {
			k = stateEnd
			continue
		}
		n, same := c.idleAt(k, from, to, timed)
		if set, length := c.cuesAt(k, to); n == 0 && counted && k > i && k+length == to && only(set, verbCues.with(cueMethod)) {
			n = length // "20 years i bake"
		}
		if n == 0 {
			return false
		}
		clash = clash || same
		it = it || k > i && c.says(k, to, "it", "them", "that", "those", "these", "they", "this", "one", "ones", "want", "wants", "wanted", "need", "needs", "needed", "give", "send", "get", "gets")
		k += n
	}
	return !(it && clash) // "we left it standing" may be of the food, "i want the whole recipe" of the question
}

// state is where "so busy" of "it's so busy" stands; 0, 0 where there is none.
func (c *chatter) state(i, end int) (from, to int) { return c.stateAs("state", i, end) }

func (c *chatter) stateAs(role workRole, i, end int) (from, to int) {
	for k := i + 1; k < end && k < i+6; k++ {
		if n := c.at(k, end, role); n > 0 {
			return k, k + n
		}
		if !c.says(k, end, "is", "so", "too", "very", "really", "such", "a", "already", "like", "just", "fucking", "bloody", "damn", "absolute", "absolutely", "pure", "total", "totally", "my", "going", "getting", "still", "super", "quite", "bit", "pretty", "proper") {
			break
		}
	}
	return 0, 0
}

// oclock reports whether token i belongs to a time of day in figures: "8 o clock".
func (c *chatter) oclock(i, end int) bool {
	switch {
	case c.t[i].number:
		return strings.Contains(c.t[i].plain, ":") || c.says(i+1, end, "oclock", "pm", "am") || c.says(i+1, end, "o") && c.says(i+2, end, "clock")
	case c.says(i, end, "o"):
		return c.says(i+1, end, "clock")
	}
	return c.says(i, end, "clock", "oclock", "pm", "am")
}

// idleAt is how many tokens from i on say nothing in a clause about people, 0 if
// they may mean something; clash: they would ask something elsewhere.
func (c *chatter) idleAt(i, from, end int, timed bool) (n int, clash bool) {
	t := &c.t[i]
	if c.out[i] {
		return 1, false
	}
	if c.at(i+1, end, "agent") > 0 && !t.number {
		return 1, false
	}
	if n := c.at(i, end, "held"); n > 0 {
		return 0, false
	}
	if t.number || c.small(i, end) && !c.says(i, end, "one") {
		return c.idleNumber(i, from, end, timed), false
	}
	if c.says(i, end, "yesterday", "tomorrow") || weekday(t.plain) > 0 {
		if timed {
			return 0, false
		}
		return 1, false
	}
	if _, _, allergen := (&lattice{x: c.x, tokens: c.t[:end]}).allergenAt(i); allergen || isFood(t) || c.nearName(t) {
		return 0, false
	}
	if _, ok := factorWord(t.fold, t.plain); ok || shareWords[t.plain] != [2]int64{} {
		return 0, false
	}
	set, length := c.cuesAt(i, end)
	if n := max(c.at(i, end, "idle"), c.at(i, end, "person")); n > 0 && n >= length && !c.head(i) {
		return n, set.meets(ofFood) && !set.has(cueFiller) && t.plain != "now"
	}
	if c.named(i) || c.isUnit(t) || length == 0 && crafts().words[t.fold] && !isEnglish(t) {
		return 0, false
	}
	if length > 0 {
		if !only(set, harmless) && !(set.has(cueWithout) && i+length < end) {
			return 0, false
		}
		return length, false
	}
	return 1, false
}

// only reports whether set holds none but the cues of of.
func only(set, of cueSet) bool {
	for i := range set {
		if set[i]&^of[i] != 0 {
			return false
		}
	}
	return true
}

// idleNumber is how many tokens of a number that is no size: a time of day, a
// table, minutes late, money.
func (c *chatter) idleNumber(i, from, end int, timed bool) int {
	if c.says(i-1, end, "table", "tbl", "room", "seat", "ticket") {
		return 1
	}
	if timed {
		return 0
	}
	if c.says(i-1, end, "at") && len(c.t[i].plain) < 3 && (i+1 == end || !c.counted(i+1)) { // "he comes at 3"
		return 1
	}
	if c.oclock(i, end) {
		n := 1
		for i+n < end && c.oclock(i+n, end) {
			n++
		}
		return n
	}
	if c.says(i+1, end, "euro", "euros", "bucks", "quid", "dollars", "eur", "€", "kroner") {
		return 2
	}
	if c.says(i+1, end, "min", "mins", "minutes", "minute", "hours", "hour", "hrs", "days", "weeks", "months") {
		for k := from; k < end; k++ {
			if c.at(k, end, "waited") > 0 {
				return 2
			}
		}
	}
	return 0
}

// named reports whether token i is a word of a name of the book.
func (c *chatter) named(i int) bool {
	t := &c.t[i]
	for _, w := range [2]string{t.fold, t.plain} {
		if len(w) < 3 {
			continue
		}
		if len(c.x.byWord[w]) > 0 {
			return true
		}
		if at, ok := c.x.next(0, w); ok && len(c.x.nodes[at].entries) > 0 {
			return true
		}
	}
	return false
}

// head reports whether token i ends a name of the book or goes on with the next
// one as words of one name do.
func (c *chatter) head(i int) bool {
	t := &c.t[i]
	for _, w := range [2]string{t.fold, t.plain} {
		for _, id := range c.x.byWord[w] {
			words := c.x.entries[id].words
			if words[len(words)-1] == w {
				return true
			}
			if i+1 < len(c.t) && slices.Contains(words, c.t[i+1].fold) && c.t[i+1].fold != w {
				return true
			}
		}
	}
	return false
}

// nearName reports whether a word that is in no list may be a slip of one in a name.
func (c *chatter) nearName(t *token) bool {
	if !c.unknown(t) || len(t.plain) < 4 {
		return false
	}
	return slices.ContainsFunc(c.x.spell().near(t.plain, t.fold, 2), func(f correction) bool { return f.name })
}

// unknown reports whether a word is in no list.
func (c *chatter) unknown(t *token) bool {
	return !t.number && len(t.plain) > 2 && !isEnglish(t) && !isFood(t) && !cues().words[t.fold] && !cues().words[t.plain] && len(chatterWords().phrases[t.plain]) == 0
}

func (c *chatter) isUnit(t *token) bool {
	if len(t.plain) < 2 || t.plain == "in" {
		return t.plain == "g" || t.plain == "l"
	}
	u, ok := quantity.Metric.UnitNamed(t.plain)
	return ok && u.Dim != quantity.Time && u.Dim != quantity.Money
}
