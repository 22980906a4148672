package bank

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"regexp"
	"slices"
	"strings"
)

// made is one made-up question: the lines of its conversation, each with what holds for it.
type made struct {
	kind  string
	lines []string
	truth []truth
	who   []string // who says each line, where it is not one person
	after []int    // minutes from the first line, where time passes
}

// maker makes questions about one book, always the same ones from one seed.
type maker struct {
	b   *book
	rng *rand.Rand
}

func (m *maker) pick(from ...string) string { return from[m.rng.IntN(len(from))] }

func one[T any](m *maker, from []T) T { return from[m.rng.IntN(len(from))] }

// said is how much is asked for: the words, and what they come to.
type said struct {
	text  string
	value *big.Rat
	unit  string
}

var factors = []said{{"x2", whole(2), ""}, {"2x", whole(2), ""}, {"x3", whole(3), ""}, {"3 x", whole(3), ""}, {"x 4", whole(4), ""}, {"times 5", whole(5), ""},
	{"double", whole(2), ""}, {"triple", whole(3), ""}, {"x1.5", rat("1.5"), ""}, {"1,5x", rat("1.5"), ""}, {"x 2.5", rat("2.5"), ""}, {"×6", whole(6), ""},
	{"two and a half batches", rat("2.5"), ""}, {"3 batches", whole(3), ""}, {"four times", whole(4), ""}, {"half a batch", rat("1/2"), ""}, {"0.5x", rat("1/2"), ""},
	{"a quarter batch", rat("1/4"), ""}, {"1/2 batch", rat("1/2"), ""}, {"x7", whole(7), ""}, {"x 12", whole(12), ""}, {"ten times", whole(10), ""}}

func (m *maker) factor() said { return one(m, factors) }

// mass is a mass a kitchen could ask for, in one of its spellings.
func (m *maker) mass() said {
	n := int64(m.rng.IntN(39) + 2)
	kilo, tenth := whole(1000), big.NewRat(n*1000, 10)
	switch m.rng.IntN(8) {
	case 0:
		return said{fmt.Sprintf("%d g", n*50), whole(n * 50), "g"}
	case 1:
		return said{fmt.Sprintf("%dg", n*25), whole(n * 25), "g"}
	case 2:
		return said{fmt.Sprintf("%d kg", n), mul(whole(n), kilo), "g"}
	case 3:
		return said{fmt.Sprintf("%d.%d kg", n/10, n%10), tenth, "g"}
	case 4:
		return said{fmt.Sprintf("%d,%dkg", n/10, n%10), tenth, "g"}
	case 5:
		return said{fmt.Sprintf("%d lb", n), mul(whole(n), rat(massUnits["lb"])), "g"}
	case 6:
		return said{fmt.Sprintf("%d oz", n*2), mul(whole(n*2), rat(massUnits["oz"])), "g"}
	}
	return said{"half a kilo", whole(500), "g"}
}

var countWords = map[int64]string{6: "half a dozen", 12: "a dozen", 20: "twenty", 24: "2 dozen", 40: "forty", 60: "sixty"}

func (m *maker) count() said {
	n := one(m, []int64{6, 8, 10, 12, 15, 18, 20, 24, 30, 36, 40, 45, 48, 50, 60, 75, 90, 120, 150})
	if w := countWords[n]; w != "" && m.rng.IntN(3) == 0 {
		return said{w, whole(n), ""}
	}
	return said{fmt.Sprint(n), whole(n), ""}
}

// runsOn says whether a name ends in a number that would run into the amount after it.
func runsOn(template, name, amount string) bool {
	return strings.Contains(template, "{R} {Q}") && digit(name[len(name)-1]) && digit(amount[0])
}

// fill puts names and amounts into a template; names keep a mark so that noise knows them. What cannot be told apart is empty.
func fill(template string, slots map[string]string) string {
	if slots["R"] != "" && slots["Q"] != "" && runsOn(template, slots["R"], slots["Q"]) {
		return ""
	}
	for k, v := range slots {
		if k != "Q" {
			v = "\x01" + v + "\x02"
		}
		template = strings.ReplaceAll(template, "{"+k+"}", v)
	}
	return template
}

// noise is what thumbs do to a line: case, spaces, a friendly word, an emoji, a slip in a long name.
func (m *maker) noise(s string) string {
	switch m.rng.IntN(15) {
	case 0, 1, 2:
		s = m.slipName(s)
	case 3:
		s = plain(s)
	case 4:
		s = hyphen.ReplaceAllString(s, "$1 $2") // of a word; a minus stays, or nothing is absurd any more
	}
	s = strings.NewReplacer("\x01", "", "\x02", "").Replace(s)
	switch m.rng.IntN(12) {
	case 0:
		s = strings.ToUpper(s)
	case 1:
		first := []rune(s)[:1]
		s = strings.ToUpper(string(first)) + s[len(string(first)):]
	case 2:
		s = strings.ToLower(s)
	}
	if m.rng.IntN(8) == 0 {
		s = strings.Replace(s, " ", "  ", 2)
	}
	switch m.rng.IntN(10) {
	case 0:
		s = m.pick("hey ", "quick one: ", "chef, ", "sorry, ", "morning, ", "pls ", "ok so ") + s
	case 1:
		s += m.pick(" pls", " please", " right?", " again", " for tonight", " mate", " cheers", " thx", " thanks", " chef", " asap", " ta")
	case 2:
		s += m.pick(" 🙏", " 😅", " 👍", " 🥐", "!!", "...", " ??", " ?")
	case 3:
		s += "?"
	}
	return s
}

// slipName misspells one long word of a name so that no other word of the book is as near.
func (m *maker) slipName(s string) string {
	start := strings.Index(s, "\x01")
	end := strings.Index(s, "\x02")
	if start < 0 || end < start {
		return s
	}
	fields := strings.Fields(s[start+1 : end])
	i := m.rng.IntN(len(fields))
	w := fields[i]
	if len(w) < 7 || plain(w) != w {
		return s
	}
	at := 2 + m.rng.IntN(len(w)-4)
	var bad string
	switch m.rng.IntN(3) {
	case 0:
		bad = w[:at] + w[at+1:]
	case 1:
		bad = w[:at] + w[at:at+1] + w[at:]
	default:
		bad = w[:at] + w[at+1:at+2] + w[at:at+1] + w[at+2:]
	}
	for _, other := range m.b.names() {
		for _, o := range strings.Fields(folded(other)) {
			if o != single(strings.ToLower(w)) && distance(strings.ToLower(bad), o) <= 2 {
				return s
			}
		}
	}
	fields[i] = bad
	return s[:start+1] + strings.Join(fields, " ") + s[end:]
}

// nameOf is one of the names of a recipe that is of no other recipe and no ingredient.
func (m *maker) nameOf(r *recipe) string {
	names := []string{r.name}
	for _, a := range r.also {
		if len(m.b.byName[folded(a)]) == 1 && m.b.item(a) == nil {
			names = append(names, a)
		}
	}
	return one(m, names)
}

// callsOf is one of the ways to call a line of a recipe: its name, an alias of the larder, or a head word no other line has.
func (m *maker) callsOf(r *recipe, l line) string {
	calls := []string{l.name}
	if m.b.link(l) != nil {
		return l.name
	}
	if it := m.b.item(l.name); it != nil {
		for _, a := range it.also {
			if m.b.alone(r, l, a) {
				calls = append(calls, a)
			}
		}
	}
	fields := strings.Fields(l.name)
	if head := fields[len(fields)-1]; len(fields) > 1 && len(head) > 3 && m.b.alone(r, l, head) {
		calls = append(calls, head)
	}
	return one(m, calls)
}

// alone says whether a call can mean only this line of the recipe, and no recipe.
func (b *book) alone(r *recipe, l line, call string) bool {
	if len(b.byName[folded(call)]) > 0 {
		return false
	}
	for _, o := range r.lines {
		if folded(o.name) == folded(l.name) {
			continue
		}
		if related(o.name, call) {
			return false
		}
	}
	it := b.item(call) // an exact name of something else means that
	return it == nil || it == b.item(l.name)
}

// plainLines are the lines that have an amount and are each the only one of their name in the recipe's whole tree.
func (b *book) plainLines(r *recipe) []line {
	var out []line
	for _, l := range r.lines {
		if l.amount.form == byNothing || l.amount.lo != nil || len(b.amountsOf(r, l.name, "", whole(1))) == 0 {
			continue
		}
		out = append(out, l)
	}
	return out
}

// recipes lists the recipes that pass a test and have a line to ask for.
func (m *maker) recipes(test func(*recipe) bool) []*recipe {
	var out []*recipe
	for _, r := range m.b.recipes {
		if test(r) && len(m.b.plainLines(r)) > 1 {
			out = append(out, r)
		}
	}
	return out
}

func any1(*recipe) bool { return true }

// inPieces says whether a bare count of a recipe means its pieces.
func inPieces(r *recipe) bool {
	return r.count != nil && r.countWord != "cover" && r.countWord != "frame" && r.countWord != "tray"
}

func (m *maker) about(r *recipe, k *big.Rat, ws ...wanted) truth {
	return truth{b: m.b, r: r, k: k, want: ws, due: []string{"answer"}}
}

func (m *maker) amount(r *recipe, l line, k *big.Rat) wanted {
	return want(l.name, m.b.amountsOf(r, l.name, "", k)...)
}

func (tr truth) askedFor(s said) truth {
	tr.asked = slices.Clone(tr.asked)
	unit := s.unit
	tr.asked = append(tr.asked, measured(float(s.value), unit, tr.b.spoons))
	return tr
}

// several picks n different lines.
func (m *maker) several(r *recipe, n int) []line {
	lines := slices.Clone(m.b.plainLines(r))
	m.rng.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	var out []line
	for _, l := range lines {
		if len(out) < n && !slices.ContainsFunc(out, func(o line) bool { return related(o.name, l.name) }) {
			out = append(out, l)
		}
	}
	return out
}

var hyphen = regexp.MustCompile(`(\pL)-(\pL)`)
