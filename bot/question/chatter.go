package question

import (
	"slices"
	"strings"
	"sync"

	"tamis/kb"
)

var chatterWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/chatter.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	return t
})

// chatter finds what is said beside the question: it is cut out before the
// message is read, so that no word of it is taken for a size, a time or a step.
// Everything that could bear on an answer stays.
type chatter struct {
	x      *Lexicon
	text   string
	t      []token
	out    []bool   // by token: cut
	passed []string // words of it that are in no list
}

// cutChatter returns the tokens without the chatter and the text with blanks in
// its place, byte for byte as long.
func cutChatter(x *Lexicon, text string, tokens []token) (kept []token, scan string, passed []string) {
	c := &chatter{x: x, text: text, t: tokens, out: make([]bool, len(tokens))}
	c.spoken()
	doubt := inDoubt(x, text, tokens) // no word of it is passed over
	for i := range c.t {
		if c.out[i] {
			continue
		}
		end := c.clauseEnd(i)
		if n := c.at(i, end, "cry"); n > 0 && !c.cry(i, i+n, end) {
			c.cut(i, i+n)
			continue
		}
		if !doubt {
			c.turns(i, end)
		}
		c.crew(i, end)
		c.doubled(i, end)
		c.repeated(i, end)
		c.numbers(i, end)
	}
	c.called()
	if !doubt {
		c.asides()
	}
	if !slices.Contains(c.out, true) {
		return tokens, text, nil
	}
	blank := []byte(text)
	breaks, question := false, false
	for i, t := range c.t {
		if c.out[i] {
			for k := t.start; k < t.end; k++ {
				blank[k] = ' '
			}
			breaks = breaks || t.breaks
			question = question || t.question
			continue
		}
		if question && len(kept) > 0 {
			kept[len(kept)-1].question = true
		}
		t.breaks = t.breaks || breaks
		breaks, question = false, false
		kept = append(kept, t)
	}
	if question && len(kept) > 0 {
		kept[len(kept)-1].question = true
	}
	return kept, string(blank), c.passed
}

// clauseEnd is where the clause of token i ends.
func (c *chatter) clauseEnd(i int) int {
	for i++; i < len(c.t) && !c.t[i].breaks; i++ {
	}
	return i
}

// at is how many tokens from i on a phrase of one of the roles covers.
func (c *chatter) at(i, end int, roles ...workRole) int {
	if i < 0 || i >= end {
		return 0
	}
	words := make([]string, 0, 5)
	for k := i; k < end && k < i+5; k++ {
		words = append(words, c.t[k].plain)
	}
	n, _ := chatterWords().longest(words, roles)
	return n
}

func (c *chatter) cut(from, to int) {
	for k := from; k < to; k++ {
		c.out[k] = true
	}
}

// says reports whether token i stands in the clause and is one of the words.
func (c *chatter) says(i, end int, words ...string) bool {
	return i >= 0 && i < end && slices.Contains(words, c.t[i].plain)
}

// back moves from over the given words right before it in the clause.
func (c *chatter) back(from int, words ...string) int {
	for from > 0 && !c.t[from].breaks && slices.Contains(words, c.t[from-1].plain) {
		from--
	}
	return from
}

// tail moves to over what may follow a count of turns.
func (c *chatter) tail(to, end int) int {
	for n := c.at(to, end, "tail"); n > 0; n = c.at(to, end, "tail") {
		to += n
	}
	return to
}

// spoken cuts the signs that a phone writes out: they end a clause as the signs do.
func (c *chatter) spoken() {
	for i := range c.t {
		n := c.at(i, c.clauseEnd(i), "spoken")
		if n == 0 || i == 0 {
			continue
		}
		c.cut(i, i+n)
		if i+n < len(c.t) {
			c.t[i+n].breaks = true
		}
		if c.t[i].plain == "question" {
			c.t[i].question = true
		}
	}
}

// cry reports whether a cry goes on with what it is about: "no time left for the cod".
func (c *chatter) cry(from, to, end int) bool {
	return c.says(to, end, "left", "of", "in", "for", "on", "to")
}

// ordinals are the words for a place in a row.
var ordinals = []string{"first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth", "twentieth", "hundredth", "thousandth", "millionth", "umpteenth", "nth"}

// ordinal is how many tokens from i on are one: "third", "3rd".
func (c *chatter) ordinal(i, end int) int {
	switch {
	case i < end && slices.Contains(ordinals, c.t[i].plain):
		return 1
	case i+1 < end && c.t[i].number && c.t[i].end == c.t[i+1].start && c.says(i+1, end, "st", "nd", "rd", "th"):
		return 2
	}
	return 0
}

// turns: "third time i ask today", "my third shift", "for the 3rd time".
func (c *chatter) turns(i, end int) {
	n := c.ordinal(i, end)
	if n == 0 {
		return
	}
	of := c.at(i+n, end, "turn")
	if of == 0 {
		of = c.at(i+n, end, "turn of mine")
		if to := i + n + of; of == 0 || !c.says(i-1, end, "my", "our", "his", "her") && !c.says(to, end, "here", "alone", "on", "back") && !c.says(to+1, end, "a", "this") {
			return
		}
	}
	from := c.back(i, "the", "my", "our", "his", "her", "your", "a", "like", "already", "only", "just")
	from = c.back(from, "for", "is", "its", "this", "thats", "on", "after")
	c.cut(from, c.tail(i+n+of, end))
}

// share is how many tokens from i on say a share: "half", "two thirds".
func (c *chatter) share(i, end int) int {
	switch {
	case i >= end:
		return 0
	case c.says(i, end, "half", "third", "quarter"):
		return 1
	case c.says(i, end, "two", "three") && c.says(i+1, end, "thirds", "quarters"):
		return 2
	}
	return 0
}

// crew: "half the team is sick", "a third of us".
func (c *chatter) crew(i, end int) {
	n := c.share(i, end)
	if n == 0 {
		return
	}
	k := i + n
	if c.says(k, end, "of") {
		k++
	}
	for c.says(k, end, "the", "my", "our", "your", "this", "that", "his", "all", "whole") {
		k++
	}
	of := c.at(k, end, "crew")
	from := c.back(i, "a", "one", "over", "more", "than", "about", "like", "only")
	if of == 0 && !c.says(from-1, end, "for", "to", "feed", "feeds", "serve", "with") && !c.eats(i, end) {
		of = c.at(k, end, "guests")
	}
	if of > 0 && (c.named(k+of-1) || k+of < end && c.named(k+of)) { // "half the house brioche", "half the night soup"
		return
	}
	if of > 0 && (k > i+n || of > 1 || !c.says(k, end, "day", "night", "house", "time", "week", "shift", "line")) {
		c.cut(from, k+of)
	}
}

// doubled: "double shift", "triple checked", "half asleep".
func (c *chatter) doubled(i, end int) {
	half := c.says(i, end, "half")
	if _, ok := factorWord(c.t[i].fold, c.t[i].plain); !ok && !half {
		return
	}
	n := c.at(i+1, end, "doubled")
	if m := c.at(i+1, end, "halved"); half && m > n {
		n = m
	}
	if n > 0 && !c.named(i+n) && !(i+1+n < end && c.named(i+1+n)) {
		c.cut(c.back(i, "a", "the", "my", "our", "another"), i+1+n)
	}
}

// times is how many tokens from i on count times: "3 times", "100x", "twice".
func (c *chatter) times(i, end int) int {
	switch {
	case c.says(i, end, "twice", "thrice"):
		return 1
	case c.says(i, end, "hundred", "hundreds", "thousand", "thousands", "million", "dozen", "dozens") && c.says(i+1, end, "times", "of"):
		if c.says(i+1, end, "of") && !c.says(i+2, end, "times") {
			return 0
		}
		if c.says(i+1, end, "of") {
			return 3
		}
		return 2
	case (i < end && c.t[i].number || c.small(i, end)) && c.says(i+1, end, "times", "time", "x"):
		return 2
	}
	return 0
}

// smallWords are the numbers that people write out.
var smallWords = []string{"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

func (c *chatter) small(i, end int) bool { return c.says(i, end, smallWords...) }

// repeated: "100 times i asked you", "asked you twice already".
func (c *chatter) repeated(i, end int) {
	n := c.times(i, end)
	if n == 0 {
		return
	}
	k := i + n
	for c.says(k, end, "already", "today", "now", "that", "before", "yesterday", "over") {
		k++
	}
	if c.says(k, end, "i", "we", "he", "she", "they", "you", "ive", "weve", "chef") || c.at(k, end, "said") > 0 {
		for c.says(k, end, "i", "we", "he", "she", "they", "you", "ive", "weve", "chef", "have", "had", "did", "must", "already", "to") {
			k++
		}
		if m := c.at(k, end, "said"); m > 0 {
			c.cut(c.back(i, "a", "like", "about", "the", "for"), c.tail(k+m, end))
			return
		}
	}
	if to := c.tail(i+n, end); to < end && !c.ends(to, end) {
		return // "asked twice the crumble" may be a size
	}
	b := i - 1
	for b >= 0 && c.says(b, end, "you", "him", "her", "them", "everyone", "everybody", "this", "that", "the", "same", "question", "already", "today", "now", "like", "about", "a", "it", "me", "us", "u") && !c.t[b+1].breaks {
		b--
	}
	if b < 0 || c.t[b+1].breaks || c.at(b, b+1, "said plainly") == 0 {
		return
	}
	from := c.back(b, "i", "we", "he", "she", "they", "you", "ive", "weve", "have", "had", "already", "must", "chef", "been", "was")
	c.cut(from, c.tail(i+n, end))
}

// ends reports whether a new thought begins at token i.
func (c *chatter) ends(i, end int) bool {
	return i >= end || c.says(i, end, "how", "what", "whats", "which", "when", "where", "and", "but", "so", "please", "pls") || c.at(i, end, "person") > 0
}

// numbers: years, telephone numbers, people of the team, years of work.
func (c *chatter) numbers(i, end int) {
	if !c.t[i].number && !c.small(i, end) {
		return
	}
	for _, is := range []func(i, end int) (from, to int){c.aYear, c.allDay, c.aPhone, c.broken, c.things, c.staff, c.longAgo, c.wage, c.ofBreak, c.weather, c.ticket, c.machine, c.joined} {
		if from, to := is(i, end); to > from {
			c.cut(from, to)
			return
		}
	}
}

// aYear: "since 2019", "covid 2020", "summer 2021".
func (c *chatter) aYear(i, end int) (from, to int) {
	w := c.t[i].plain
	if len(w) != 4 || w < "1900" || w > "2099" || strings.ContainsAny(w, ".,:") || !c.t[i].number {
		return 0, 0
	}
	from = c.back(i, "the", "year", "summer", "winter", "spring", "autumn", "fall", "christmas", "easter", "season", "covid", "lockdown", "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december", "early", "late", "vintage", "menu", "of", "pandemic", "corona")
	if i+1 < end && (c.counted(i+1) && (from == i || !isBatchWord(c.t[i+1].fold)) || c.says(i+1, end, "to", "x")) {
		return 0, 0
	}
	if c.says(from-1, end, "since", "in", "from", "until", "till", "before", "after", "back", "around") && !c.t[from].breaks {
		from--
		from = c.back(from, "back", "ever", "already")
	}
	if from == i && !c.says(i+1, end, "already", "season", "menu", "covid", "edition") {
		return 0, 0
	}
	return from, i + 1
}

// counted reports whether token i is what a size counts: a unit, a name, covers.
func (c *chatter) counted(i int) bool {
	t := &c.t[i]
	n := cues().root.next[t.fold]
	return t.number || c.isUnit(t) || isBatchWord(t.fold) || c.named(i) || n != nil && n.set.meets(cueSet{}.with(cueCovers, cuePiece, cuePortion, cueMoulds, cueBatch))
}

// allDay: "24/7".
func (c *chatter) allDay(i, end int) (from, to int) {
	if i+1 < end && (c.t[i].plain == "24" || c.t[i].plain == "7") && c.t[i+1].plain == "7" && c.text[c.t[i].end:c.t[i+1].start] == "/" {
		return i, i + 2
	}
	return 0, 0
}

// aPhone: many figures in a row that count nothing.
func (c *chatter) aPhone(i, end int) (from, to int) {
	if i > 0 && c.t[i-1].number && !c.t[i].breaks {
		return 0, 0
	}
	figures, k := 0, i
	for ; k < end && c.t[k].number; k++ {
		if strings.ContainsAny(c.t[k].plain, ".,:") {
			return 0, 0
		}
		figures += len(c.t[k].plain)
	}
	if k < end && (c.counted(k) || c.says(k, end, "x", "times", "fold")) || c.says(i-1, end, "x", "times") || figures > 16 {
		return 0, 0
	}
	called := c.says(i-1, end, "call", "phone", "ring", "tel", "number", "nr", "text", "mobile", "on", "me")
	if figures < 7 && !(called && figures > 5) {
		return 0, 0
	}
	if called || strings.HasPrefix(c.t[i].plain, "0") || k > i+2 && !c.thousands(i, k) {
		return i, k
	}
	return 0, 0
}

// broken: "the waiter broke 6 plates".
func (c *chatter) broken(i, end int) (from, to int) {
	if !c.says(i-1, end, "broke", "broken", "smashed", "dropped", "washed", "lost", "cracked") || c.t[i].breaks || !c.says(i+1, end, "plates", "glasses", "bowls", "cups", "plate", "glass", "knives", "forks", "spoons") {
		return 0, 0
	}
	return i - 1, i + 2
}

// things: "2 things", "3 questions".
func (c *chatter) things(i, end int) (from, to int) {
	if !c.says(i+1, end, "things", "questions") || c.says(i-1, end, "x") {
		return 0, 0
	}
	return i, i + 2
}

// joined: "two tables joined", "party of 5 cancelled", where another number says how
// many there are now.
func (c *chatter) joined(i, end int) (from, to int) {
	from, to = i, i+1
	switch {
	case c.says(i+1, end, "tables", "table", "parties", "bookings", "groups", "tops"):
		to++
	case c.says(i-1, end, "of") && c.says(i-2, end, "table", "party", "group", "booking") && !c.t[i].breaks && !c.t[i-1].breaks:
		from = c.back(i-2, "a", "the", "another", "one", "that")
	default:
		return 0, 0
	}
	for c.says(to, end, "just", "have", "has", "got", "were", "was", "are", "now", "all") {
		to++
	}
	if !c.says(to, end, "joined", "merged", "cancelled", "canceled", "added", "left", "walked", "pulled", "moved", "combined") {
		return 0, 0
	}
	to++
	for c.says(to, end, "together", "up", "on", "out", "in", "off", "tonight", "today", "forces") {
		to++
	}
	if to != end {
		return 0, 0
	}
	for k := range c.t {
		if k < from && c.t[k].number && (c.says(k+1, len(c.t), "now") || c.says(k-1, len(c.t), "now", "it", "actually", "its")) || k >= to && c.t[k].number && c.says(k-1, len(c.t), "now", "it", "its") {
			return from, to
		}
	}
	return 0, 0
}

// thousands reports whether tokens from to to are one number in groups of three.
func (c *chatter) thousands(from, to int) bool {
	for k := from + 1; k < to; k++ {
		if len(c.t[k].plain) != 3 {
			return false
		}
	}
	return true
}

// eats reports whether the clause of token i says that somebody is served.
func (c *chatter) eats(i, end int) bool {
	from := i
	for from > 0 && !c.t[from].breaks {
		from--
	}
	for k := from; k < end; k++ {
		if c.says(k, end, "eat", "eats", "eating", "want", "wants", "wanted", "order", "orders", "ordered", "feed", "feeds", "hungry", "dinner", "lunch", "breakfast", "brunch", "meal", "get", "gets", "having", "asked", "serve") {
			return true
		}
	}
	return false
}

// staff: "shift of 6 people", "3 cooks", "we are 4 in the kitchen".
func (c *chatter) staff(i, end int) (from, to int) {
	if c.says(i-1, end, "of") && c.says(i-2, end, "shift", "team", "crew", "brigade", "staff", "squad", "section") {
		from = c.back(i-2, "a", "the", "our", "my", "small", "whole")
		if c.says(from-1, end, "for", "feed", "feeds") || c.eats(i, end) {
			return 0, 0
		}
		to = i + 1
		if c.says(to, end, "people", "persons", "cooks", "chefs", "guys", "ppl") {
			to++
		}
		return from, to
	}
	if c.says(i-1, end, "for", "feed", "feeds", "serve") {
		return 0, 0
	}
	if c.eats(i, end) || len(c.t[i].plain) > 2 {
		return 0, 0
	}
	if n := c.at(i+1, end, "staff"); n > 0 {
		if of := i + 1 + n; c.says(of, end, "menu", "meal", "meals", "table", "hat", "hats") {
			return 0, 0
		}
		return i, i + 1 + n
	}
	b := c.back(i, "only", "just", "like", "already", "now")
	if !c.says(b-1, end, "are", "were", "is", "im", "been", "weve", "theyre") && !c.small(i, end) {
		return 0, 0
	}
	if n := c.at(i+1, end, "staff tail"); n > 0 && (n > 1 || c.says(b-2, end, "we", "they") || c.says(b-1, end, "were")) {
		return i, i + 1 + n
	}
	return 0, 0
}

// longAgo: "20 years i make this", "for 3 years".
func (c *chatter) longAgo(i, end int) (from, to int) {
	if !c.says(i+1, end, "year", "years", "yrs", "yr", "decade", "decades", "summers", "winters") || c.says(i+2, end, "old", "olds") {
		return 0, 0
	}
	return c.back(i, "for", "after", "over", "almost", "about", "like", "since", "nearly", "my", "in"), i + 2
}

// wage: "12 euro an hour".
func (c *chatter) wage(i, end int) (from, to int) {
	k := i + 1
	if c.says(k, end, "euro", "euros", "bucks", "quid", "dollars", "eur", "€", "kroner", "pounds") {
		k++
	} else if !c.says(i-1, end, "€", "$", "£") {
		return 0, 0
	}
	if !c.says(k, end, "an", "a", "per", "the") || !c.says(k+1, end, "hour", "day", "night", "shift", "week", "month") {
		return 0, 0
	}
	return c.back(i, "€", "$", "£", "for", "paid", "earn", "get", "only"), k + 2
}

// ofBreak: "10 minutes left on my break".
func (c *chatter) ofBreak(i, end int) (from, to int) {
	if !c.says(i+1, end, "min", "mins", "minutes", "minute", "hour", "hours") || !c.says(i+2, end, "left", "more", "to") {
		return 0, 0
	}
	k := i + 3
	for c.says(k, end, "go", "on", "of", "in", "for", "until", "till", "my", "the", "our", "this", "smoke", "lunch") {
		k++
	}
	if !c.says(k, end, "break", "shift", "holiday", "duty") {
		return 0, 0
	}
	return c.back(i, "i", "have", "got", "only", "just", "we", "ive", "weve"), k + 1
}

// weather: "it is 35 degrees in here", unless it is asked what the air works on.
func (c *chatter) weather(i, end int) (from, to int) {
	k := i + 1
	if c.says(k, end, "°") {
		k++
	}
	if c.says(k, end, "degrees", "degree", "deg", "c", "celsius", "grad", "grados", "graus") {
		k++
	}
	if c.says(k, end, "c", "celsius") {
		k++
	}
	from = c.back(i, "is", "its", "it", "already", "about", "like", "almost", "over", "kitchen", "the", "our", "this", "hits", "outside", "in", "here")
	if k == i+1 || from == i || !c.says(from, i, "it", "its", "kitchen", "outside") && !c.says(from+1, i, "kitchen") {
		return 0, 0
	}
	if !c.says(from, i, "kitchen") && !c.says(from+1, i, "kitchen") && !c.says(k, end, "outside", "out", "here") && !(c.says(k, end, "in") && c.says(k+1, end, "here", "the", "this") && (k+2 == end || c.says(k+2, end, "kitchen"))) {
		return 0, 0
	}
	for j := range c.t {
		if set, _ := c.cuesAt(j, len(c.t)); set.meets(cueSet{}.with(cueVerbProof, cueVerbSet, cueVerbRest, cueVerbOut, cueVerbHold, cueVerbThaw, cueVerbCure, cueUnsafe, cueKeeps, cueGel)) {
			return 0, 0
		}
	}
	for c.says(k, end, "in", "the", "this", "here", "out", "there", "outside", "kitchen", "today", "tonight", "now", "already") {
		k++
	}
	return from, k
}

// ticket: "T4" before what it orders, "table 21 x2".
func (c *chatter) ticket(i, end int) (from, to int) {
	table := c.says(i-1, end, "t") && c.t[i-1].end == c.t[i].start && len(c.t[i].plain) < 3
	switch {
	case table && (i < 2 || c.t[i-1].breaks || strings.ContainsAny(c.text[c.t[i-2].end:c.t[i-1].start], "/|\n-")) && (i+1 < len(c.t) && (c.t[i+1].number || c.small(i+1, end) || c.t[i+1].breaks || c.says(i+1, end, "wants", "has", "is", "orders"))):
		return i - 1, i + 1
	case c.says(i-1, end, "table", "tbl") && c.says(i+1, end, "x") && i+2 < end && c.t[i+2].number:
		return i + 1, i + 3
	}
	return 0, 0
}

// machine: "the oven has 8 trays but …": what the house has, not what is asked.
func (c *chatter) machine(i, end int) (from, to int) {
	b := c.back(i, "only", "just", "about", "room", "for")
	if !c.says(b-1, end, "has", "holds", "takes", "fits", "have") || b < 2 || c.t[b-1].breaks {
		return 0, 0
	}
	if k := c.thing(b - 2); !k || i+1 >= len(c.t) {
		return 0, 0
	}
	to = i + 1
	if to < end && !c.says(to, end, "but", "and", "so") {
		to++
	}
	if to < end && !c.says(to, end, "but", "and", "so") {
		return 0, 0
	}
	return c.back(b-2, "the", "our", "my", "this", "big", "small", "deck", "combi"), to
}

// thing reports whether token i ends the name of a machine or a cold place.
func (c *chatter) thing(i int) bool {
	for _, w := range [2]string{c.t[i].fold, c.t[i].plain} {
		for _, id := range c.x.byWord[w] {
			if e := &c.x.entries[id]; (e.Kind == kb.MachineName || e.Kind == kb.ColdName) && e.words[len(e.words)-1] == w {
				return true
			}
		}
	}
	return false
}

// called cuts a name that is called first: "hey …".
func (c *chatter) called() {
	if len(c.t) < 4 || c.at(0, 2, "call") != 1 || c.t[1].number || c.t[1].breaks {
		return
	}
	t := &c.t[1]
	if len(t.plain) > 2 && !isEnglish(t) && !isFood(t) && !isCue(t) && !cues().words[t.fold] && !cues().words[t.plain] && !c.named(1) && !c.nearName(t) {
		c.cut(1, 2)
	}
}
