package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

// EditKind is what a change does to a recipe.
type EditKind uint8

// The kinds of changes that plain words can make.
const (
	EditNone   EditKind = iota
	EditAmount          // a line's amount becomes Amount, or goes up or down by it
	EditAdd             // a new line, or more of the one that is there
	EditRemove          // a line goes
	EditStep            // a temperature or time of a step
	EditRename
	EditOff    // the recipe goes
	EditLarder // a value of an ingredient
)

// Edit is a change of the book as somebody said it.
type Edit struct {
	Kind   EditKind
	Item   *Item             // the line; nil where a new one is named by Name
	Name   string            // of a new line, or the recipe's new name
	Amount quantity.Quantity // without a unit: that of the line or step
	By     int               // 1: more by Amount, -1: less by it, 0: it becomes Amount
	Way    int               // with By 0: 1 if it is said to go up to Amount, -1 down to it
	Words  []string          // of the message, folded: a step's verb and a part are among them
}

var (
	addWords    = []string{"add", "put", "include"}
	removeWords = []string{"remove", "delete", "take", "drop", "lose", "scrap", "leave"}
	upWords     = []string{"raise", "increase", "bump"}
	downWords   = []string{"lower", "decrease", "reduce", "cut"}
)

// moreWords make an amount one that comes on top.
var moreWords = []string{"more", "extra", "another", "additional", "further", "in", "into", "less", "to"}

// LongerWords and ShorterWords say of a step that it gets more or less by a time
// or temperature, not that one.
var (
	LongerWords  = []string{"longer", "more", "hotter", "higher", "warmer", "extra"}
	ShorterWords = []string{"shorter", "less", "cooler", "colder", "fewer"}
)

// Edit reads what a change asks for. ok is false where the words do not say it.
func (q *Question) Edit() (e Edit, ok bool) {
	ts := tokenize(q.Say)
	var plain []string
	for _, t := range ts {
		plain = append(plain, t.plain)
		e.Words = append(e.Words, t.fold)
	}
	says := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(plain, w) })
	}
	if says("rename", "call", "renamed") {
		e.Kind, e.Name = EditRename, behindLast(q.Say, ts, "to", "into", "as", "it")
		return e, e.Name != ""
	}
	if len(q.Items) > 0 {
		e.Item = &q.Items[0]
	}
	n, some := q.amount()
	e.Amount = n
	plain = writtenDown(plain)
	first := ""
	for i, w := range plain {
		if i > 0 && ts[i-1].number || slices.Contains(addWords, w) && slices.ContainsFunc(ts[:i], func(t token) bool { return t.number }) {
			continue // "sugar is 90 g now, put it in the book" adds nothing
		}
		if slices.Contains(slices.Concat(addWords, removeWords, upWords, downWords, []string{"set", "change", "make", "update"}), w) {
			first = w
			break
		}
	}
	has := func(list []string) bool { return slices.Contains(list, first) }
	aim := aimOf(plain, ts)
	switch {
	case some && (n.Unit.Dim == quantity.Temperature || n.Unit.Dim == quantity.Time):
		e.Kind = EditStep
		switch {
		case says(LongerWords...), says("by") && has(upWords):
			e.By = 1
		case says(ShorterWords...), says("by") && has(downWords):
			e.By = -1
		}
	case some && e.Item != nil && len(q.Quantities) > 1 && says("from") && says("to"): // "put the salt up from 4 to 5 g"
		e.Kind = EditAmount
	case some && e.Item != nil && aim.said && aim.at && n.Unit.Dim == quantity.None:
		return e, false // "put the cream at 60" may be of its heat
	case some && e.Item != nil && aim.said && (has(addWords) || aim.way != 0): // "put the sugar to 80 g", "bring it down by 10 g"
		e.Kind, e.By, e.Way = EditAmount, aim.by, aim.way
		if e.By != 0 {
			e.Way = 0
		} else if e.Way == 0 && has(addWords) && first != "put" {
			e.Way = 1
		}
	case some && first == "put" && e.Item != nil && saysOrder(plain): // "put 90 g butter in the crisp in the book": what the line becomes
		e.Kind = EditAmount
	case some && has(addWords):
		e.Kind, e.By = EditAdd, 1
		if n := between(q.Say, ts); e.Item == nil || n != "" && name.Fold(n) != name.Fold(e.Item.Text) {
			e.Item, e.Name = nil, n // "rye malt" is not the rye that the larder knows
		}
		return e, e.Item != nil || e.Name != ""
	case some && e.Item != nil:
		e.Kind = EditAmount
		to := slices.Contains(plain, "to")
		switch {
		case has(upWords) && !to, says("more") && !says("less"):
			e.By = 1
		case has(downWords) && !to, says("less", "fewer"):
			e.By = -1
		case has(upWords):
			e.Way = 1
		case has(downWords):
			e.Way = -1
		}
	case some && n.Unit.Dim == quantity.None:
		e.Kind = EditStep // "tuile bakes at 155": the step says of what
	case has(removeWords) && e.Item != nil, says("without") && e.Item != nil:
		e.Kind = EditRemove
	case has(removeWords):
		e.Kind = EditOff
	}
	return e, e.Kind != EditNone
}

// aiming is what stands before the figure of a change: whether it is the line's
// new amount or a difference, and which way that goes.
type aiming struct {
	said    bool
	at      bool // "at", which a heat may have too
	by, way int
}

// aimOf reads the words before the last figure: "to 80 g", "at 80 g", "down to 80
// g" is what a line becomes; "by 10 g" with a way, "down 10 g" is what it moves by.
func aimOf(plain []string, ts []token) (a aiming) {
	i := len(ts) - 1
	for i >= 0 && !ts[i].number {
		i--
	}
	word := func(k int) string {
		if k < 0 {
			return ""
		}
		return plain[k]
	}
	ways := map[string]int{"up": 1, "down": -1}
	switch w := word(i - 1); w {
	case "to", "at":
		a.said, a.at, a.way = true, w == "at", ways[word(i-2)]
	case "by":
		a.by = ways[word(i-2)]
		if a.by == 0 { // "put the sugar down by 10 g", "put down the sugar by 10 g"
			up, down := slices.Contains(plain[:i], "up"), slices.Contains(plain[:i], "down")
			if up != down {
				a.by = 1
				if down {
					a.by = -1
				}
			}
		}
		a.said, a.way = a.by != 0, a.by
	case "up", "down":
		a.said, a.by, a.way = true, ways[w], ways[w]
	default: // "put crumble butter 160 g": behind what it is of
		if len(plain) == 0 {
			break
		}
		_, unit := quantity.Metric.UnitNamed(plain[len(plain)-1])
		a.said = i > 2 && plain[0] == "put" && (i == len(plain)-1 || i == len(plain)-2 && unit) &&
			!slices.ContainsFunc(plain, func(w string) bool { return slices.Contains(moreWords, w) })
	}
	return a
}

// amount is the last quantity said: "from 5 to 6 g" is 6 g.
func (q *Question) amount() (quantity.Quantity, bool) {
	switch {
	case len(q.Quantities) > 0:
		return q.Quantities[len(q.Quantities)-1], true
	case q.HasQty:
		return q.Quantity, true
	}
	return quantity.Quantity{}, false
}

// behindLast returns the words of the message behind the last of some words.
func behindLast(text string, ts []token, words ...string) string {
	for _, w := range words {
		for i := len(ts) - 2; i > 0; i-- {
			if ts[i].plain == w {
				return clean(text[ts[i].end:])
			}
		}
	}
	return ""
}

// between returns the words between a quantity and where it goes: "12 g rye malt to the crumble".
func between(text string, ts []token) string {
	from := -1
	for i, t := range ts {
		switch {
		case t.number:
			from = i + 1
		case from >= 0 && i > from && slices.Contains([]string{"to", "in", "into"}, t.plain):
			start := ts[from-1].end
			if _, unit := quantity.Metric.UnitNamed(ts[from].plain); unit {
				start = ts[from].end
			}
			s := clean(text[start:t.start])
			s = strings.TrimPrefix(s, "of ")
			return strings.TrimPrefix(strings.TrimPrefix(s, "more "), "extra ")
		}
	}
	return ""
}

func clean(s string) string { return strings.Trim(strings.TrimSpace(s), " .!?,;:\"'“”") }

// Mentions reports whether the words of the message hold a name: all its words,
// or its last one, which says what it is.
func Mentions(words []string, text string) bool {
	of := name.Words(text)
	if len(of) == 0 {
		return false
	}
	all := true
	for _, w := range of {
		all = all && slices.Contains(words, w)
	}
	return all || slices.Contains(words, of[len(of)-1])
}

// Words are the words of a message, folded.
func Words(text string) []string {
	var out []string
	for _, t := range tokenize(text) {
		out = append(out, t.fold)
	}
	return out
}
