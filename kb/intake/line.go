package intake

import (
	"slices"
	"strings"
	"unicode"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Line is one ingredient line of a draft.
type Line struct {
	Text   string // as it came
	Amount string // in the book's form; "" where none was found
	Number string // of the amount, as written
	Unit   string // as written; "" for a bare count
	Name   string
	Note   string
	Part   string
	Doubts []string // what a cook must look at

	weighed bool // a count with its weight
}

// pieces are words that are counted and are no unit of measure.
var pieces = func() map[string]bool {
	out := map[string]bool{}
	for w := range strings.FieldsSeq("bag ball bar bottle box bunch bundle can carton clove container cube cup dash drop ear envelope fillet glass handful head inch jar jigger " +
		"knob leaf loaf log package packet part piece pinch pkg pod portion pot rasher rib roll round scoop sheet shot sleeve slice splash sprig sprinkle square stalk " +
		"stem stick strip tin tub tube twist wedge") {
		out[w] = true
	}
	return out
}()

// behind are words that end a name: what follows is a note.
var behind = []string{" to taste", " for garnish", " for serving", " for dusting", " for sprinkling", " for decoration", " for topping", " for brushing", " as needed", " if desired", " if needed", " optional", " plus ", " or to taste", " at room temperature"}

// ReadLine reads a line such as "200g caster sugar, sifted". What it cannot
// place is a doubt, never a guess.
func ReadLine(text string) Line {
	l := Line{Text: oneLine(text)}
	s := strings.NewReplacer("\u2044", "/", "\u00a0", " ", "\u202f", " ", "–", "-", "—", "-").Replace(l.Text)
	s = strings.TrimLeft(s, " \t-*•·▢□☐")
	var notes []string
	s, notes = brackets(s)
	s = l.amount(s)
	if i := strings.IndexAny(s, ",;"); i >= 0 {
		notes = append(notes, strings.TrimSpace(s[i+1:]))
		s = s[:i]
	}
	low := strings.ToLower(s)
	cut := len(s)
	for _, w := range behind {
		if i := strings.Index(low+" ", w); i > 0 && i < cut && len(low) == len(s) {
			cut = i
		}
	}
	if rest := strings.TrimSpace(s[cut:]); rest != "" {
		notes = append(notes, rest)
	}
	l.Name = strings.Trim(strings.Join(strings.Fields(s[:cut]), " "), " .*-:")
	if len(notes) > 0 {
		l.weight(notes[0])
	}
	notes = slices.DeleteFunc(notes, func(n string) bool { return n == "" })
	l.Note = strings.Join(notes, ", ")
	l.doubt()
	return l
}

// brackets takes what stands in round brackets out of a line.
func brackets(s string) (rest string, notes []string) {
	for {
		i := strings.IndexByte(s, '(')
		if i < 0 {
			return s, notes
		}
		j := strings.IndexByte(s[i:], ')')
		if j < 0 {
			return s[:i], append(notes, strings.TrimSpace(s[i+1:]))
		}
		notes = append(notes, strings.TrimSpace(s[i+1:i+j]))
		s = strings.TrimSpace(s[:i]) + " " + strings.TrimSpace(s[i+j+1:])
	}
}

// amount reads number and unit at the beginning and returns what follows them.
func (l *Line) amount(s string) string {
	s = strings.TrimSpace(s)
	for _, pinch := range []string{"a pinch of ", "pinch of "} {
		if len(s) > len(pinch) && strings.EqualFold(s[:len(pinch)], pinch) {
			l.Amount, l.Unit = "a pinch", "pinch"
			return s[len(pinch):]
		}
	}
	lead := ""
	for _, w := range []string{"about ", "approx. ", "approximately ", "ca. ", "scant ", "heaped ", "heaping "} {
		if strings.HasPrefix(strings.ToLower(s), w) {
			lead, s = strings.TrimSpace(w), s[len(w):]
			l.Doubts = append(l.Doubts, lead)
		}
	}
	n, length, err := quantity.ReadNumber(s, quantity.Chat)
	if err != nil || length == 0 || n.Sign() <= 0 {
		return s
	}
	l.Number = strings.TrimSpace(s[:length])
	hi := n
	rest := strings.TrimSpace(s[length:])
	for _, dash := range []string{"-", "to "} {
		if after, ok := strings.CutPrefix(rest, dash); ok {
			if m, k, err := quantity.ReadNumber(strings.TrimSpace(after), quantity.Chat); err == nil && k > 0 && n.Less(m) {
				hi = m
				rest = strings.TrimSpace(strings.TrimSpace(after)[k:])
				l.Number = strings.TrimSpace(s[:len(s)-len(rest)])
			}
		}
	}
	word, after := firstWord(rest)
	two, afterTwo := firstWord(after)
	var unit quantity.Unit
	known := false
	if unit, known = unitNamed(word + " " + two); known && two != "" {
		l.Unit, rest = word+" "+two, afterTwo
	} else if unit, known = unitNamed(word); known {
		l.Unit, rest = word, after
	} else if pieces[name.Singular(strings.ToLower(strings.TrimRight(word, ".")))] && strings.TrimSpace(after) != "" {
		l.Unit, rest = word, after
	}
	number := n.String()
	if !hi.Equal(n) {
		number += "-" + hi.String()
	}
	switch {
	case known:
		l.Amount = number + " " + unit.Symbol
	case l.Unit != "":
		l.Amount = number + " " + strings.ToLower(l.Unit)
	default:
		l.Amount = number
	}
	if _, err := recipe.ParseAmount(l.Amount, quantity.Metric); err != nil {
		l.Doubts = append(l.Doubts, "the amount "+l.Amount)
		l.Amount = ""
	}
	rest = strings.TrimSpace(rest)
	if cut, ok := strings.CutPrefix(strings.ToLower(rest), "of "); ok {
		rest = rest[len(rest)-len(cut):]
	}
	return rest
}

// weight takes the mass in brackets of "2 (400 g) tins" as that of each.
func (l *Line) weight(note string) {
	_, measured := unitNamed(l.Unit)
	q, err := quantity.ParseQuantity(strings.TrimSuffix(note, " each"), quantity.Metric, quantity.Chat)
	if err != nil || l.Number == "" || measured || q.Unit.Dim != quantity.Mass {
		return
	}
	amount := l.Amount + " (" + q.String() + " each)"
	if _, err := recipe.ParseAmount(amount, quantity.Metric); err == nil {
		l.Amount, l.weighed = amount, true
	}
}

// firstWord cuts the first word off; digits that stick to a unit were cut before.
func firstWord(s string) (word, rest string) {
	s = strings.TrimSpace(s)
	i := strings.IndexFunc(s, func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' })
	if i < 0 {
		return s, ""
	}
	return s[:i], s[i:]
}

// unitNamed is a unit of mass or volume.
func unitNamed(s string) (quantity.Unit, bool) {
	u, ok := quantity.Metric.UnitNamed(strings.TrimRight(s, "."))
	if !ok {
		u, ok = quantity.Metric.UnitNamed(strings.ToLower(strings.TrimRight(s, ".")))
	}
	return u, ok && (u.Dim == quantity.Mass || u.Dim == quantity.Volume)
}

func measuredUnit(s string) bool {
	_, ok := unitNamed(s)
	return ok
}

// doubt notes what a cook must look at.
func (l *Line) doubt() {
	low := " " + strings.ToLower(l.Name) + " "
	for _, w := range []string{" or ", " and ", " & ", "/"} {
		if strings.Contains(low, w) {
			l.Doubts = append(l.Doubts, "several ingredients")
			break
		}
	}
	switch {
	case l.Name == "":
		l.Doubts = append(l.Doubts, "no name")
	case l.Amount == "" && strings.Contains(strings.ToLower(l.Text), "to taste"):
		l.Amount = "to taste"
	case l.Amount == "":
		l.Doubts = append(l.Doubts, "no amount")
	case l.Amount == "a pinch": // has no weight in the book either
	case !l.weighed && !measuredUnit(l.Unit):
		l.Doubts = append(l.Doubts, "a count without a weight")
	}
}
