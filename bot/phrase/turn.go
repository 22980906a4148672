package phrase

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"tamis/bot/reply"
)

// marks part clauses; stops part sentences.
const (
	marks = ",;:–—()\"“”«»¡¿!?.…"
	stops = "!?.…\n"
)

// roles says what each slot of a template is.
func roles(t *reply.Template) []role {
	turned := slices.ContainsFunc(t.Slots, func(s reply.Slot) bool { return s.Means == "what was asked" })
	out := make([]role, len(t.Slots))
	for i, s := range t.Slots {
		counts := s.Text != "" && strings.ContainsRune("0123456789×−-", []rune(s.Text)[0])
		switch {
		case strings.HasPrefix(s.Means, "how much"), strings.HasPrefix(s.Means, "figure"), strings.HasPrefix(s.Text, "×"):
			out[i] = figure
		case s.Means == "what was asked":
			out[i] = named | asked
		case turned:
			out[i] = figure
		case s.Means == "what it is for":
			out[i] = named
			if counts {
				out[i] |= figure
			}
		case counts:
			out[i] = figure
		default:
			out[i] = figure | named
		}
	}
	return out
}

// sentences cuts a text into sentences of clauses. Slots stand as "[[1]]".
func sentences(text string, is []role, own map[string]bool) [][]clause {
	shouts := text == strings.ToUpper(text)
	var all [][]clause
	var cur []clause
	var c clause
	var word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			w := fold(word.String())
			switch n := len([]rune(w)); {
			case own[w]:
				w = "~own"
			case w == "were" && strings.ContainsAny(word.String(), "'’‘"):
				w = "weare" // we're
			case n > 1 && n < 4 && w != "ok" && !shouts && word.String() == strings.ToUpper(word.String()):
				w = "~short" // AI, EL, IO
			}
			c.pieces = append(c.pieces, piece{word: w, raw: word.String()})
			word.Reset()
		}
	}
	end := func(mark rune) {
		flush()
		c.after = mark
		if len(c.pieces) > 0 {
			cur = append(cur, c)
		} else if n := len(cur); n > 0 && (mark == '?' || strings.ContainsRune(",–—-", cur[n-1].after)) {
			cur[n-1].after = mark
		}
		c = clause{}
		if strings.ContainsRune(stops, mark) && len(cur) > 0 {
			all, cur = append(all, cur), nil
		}
	}
	rs := []rune(text)
	for i := 0; i < len(rs); i++ {
		r := rs[i]
		switch {
		case r == '[': // [[12]]
			flush()
			j := i + 2
			for rs[j] != ']' {
				j++
			}
			n, err := strconv.Atoi(string(rs[i+2 : j]))
			if err != nil || n < 1 || n > len(is) {
				n = 1 // badSlots has looked
			}
			c.pieces = append(c.pieces, piece{role: is[n-1], raw: string(rs[i : j+2])})
			i = j + 1
		case unicode.IsLetter(r):
			word.WriteRune(r)
		case (r == '\'' || r == '’' || r == '‘') && word.Len() > 0 && i+1 < len(rs) && (unicode.IsLetter(rs[i+1]) || rs[i+1] == '['):
			if elides[fold(word.String())] { // l'…, d'…, qu'…
				flush()
			} else {
				word.WriteRune('\'')
			}
		case r == '-' && i > 0 && unicode.IsLetter(rs[i-1]) && i+1 < len(rs) && unicode.IsLetter(rs[i+1]):
			flush()
		case r == '\n' || r == '-' || strings.ContainsRune(marks, r):
			end(r)
		default:
			flush()
		}
	}
	end('\n')
	return all
}

// elides are what Romance languages put before a vowel, each a word of its own.
var elides = set("c d j l m n s t qu dell all nell dall sull un quest")

// badTurn returns the first clause that no grammar has, "" if there is none.
func badTurn(text string, t *reply.Template) string {
	if bad := badMarks(text, roles(t)); bad != "" {
		return bad
	}
	bad := badClause(text, t)
	if plain := around.ReplaceAllString(text, "$1"); bad != "" && plain != text {
		return badClause(plain, t)
	}
	return bad
}

// around are brackets with nothing but a slot between: "you need ([[1]])".
var around = regexp.MustCompile(`\((\[\[[0-9]+\]\])\)`)

func badClause(text string, t *reply.Template) string {
	all := sentences(text, roles(t), speechOf(t).own)
	var words []string
	for _, s := range all {
		for _, c := range s {
			for _, p := range c.pieces {
				if p.role == 0 {
					words = append(words, p.word)
				}
			}
		}
	}
	langs := spoken(t.Language, words)
	opening := true // no slot so far
	for _, s := range all {
		bad := ""
		for _, g := range langs {
			if bad = g.badIn(s, opening, langs); bad == "" {
				break
			}
		}
		opening = opening && !slotted(s)
		if bad != "" {
			return bad
		}
	}
	return ""
}

// badIn returns the first clause of a sentence that is no turn of the grammar.
func (g *grammar) badIn(s []clause, opening bool, langs []*grammar) string {
	asks := s[len(s)-1].after == '?'
	var last role // of the last slot so far
	for i, c := range s {
		for _, p := range c.pieces {
			if asks && p.role&figure != 0 {
				return c.String() + "?" // a figure in a question is in doubt
			}
		}
		joined := i > 0 && isRange(s[i-1], c)
		if slices.ContainsFunc(langs, func(g *grammar) bool { words, ok := g.words(c); return ok && g.alone(words) }) {
			continue // a greeting of one language, the rest in another
		}
		if joined || !g.says(c, 0) && (i == 0 || last == 0 || !strings.ContainsRune(",–—)", s[i-1].after) || !g.says(c, last)) && !(last == 0 && (g.offers(s) || opening && g.hails(c))) {
			return c.String()
		}
		for _, p := range c.pieces {
			if p.role != 0 {
				last = p.role
			}
		}
	}
	return ""
}

// offers reports whether a sentence without slots offers help: "if you need
// anything, ask". Beside a figure an "if" would be a condition.
func (g *grammar) offers(s []clause) bool {
	some := false
	for _, c := range s {
		words, ok := g.words(c)
		if !ok {
			return false
		}
		offer := g.nets["offer"].cover(words, 1)&(1<<len(words)) != 0
		if some = some || offer; !offer && !g.alone(words) {
			return false
		}
	}
	return some
}

func slotted(s []clause) bool {
	return slices.ContainsFunc(s, func(c clause) bool {
		return slices.ContainsFunc(c.pieces, func(p piece) bool { return p.role != 0 })
	})
}

// words are the words of a clause without slots.
func (g *grammar) words(c clause) ([]int32, bool) {
	var words []int32
	for _, p := range c.pieces {
		id, ok := g.ids[p.word]
		if p.role != 0 || !ok || len(words) == mostWords {
			return nil, false
		}
		words = append(words, id)
	}
	return words, true
}

// hails reports whether a clause is said before a figure and never after one:
// "right away".
func (g *grammar) hails(c clause) bool {
	words, ok := g.words(c)
	return ok && g.nets["hail"].cover(words, 1)&(1<<len(words)) != 0
}

// isRange reports whether two clauses are two figures with a dash between.
func isRange(a, b clause) bool {
	return strings.ContainsRune("–—-", a.after) && a.pieces[len(a.pieces)-1].role&figure != 0 && b.pieces[0].role&figure != 0
}

func (c clause) String() string {
	var b strings.Builder
	for i, p := range c.pieces {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(p.raw)
	}
	return b.String()
}

// slotAt is the index of the first slot behind i.
func slotAt(rs []rune, i int) int {
	m := slotMark.FindStringSubmatch(string(rs[i:]))
	n, err := strconv.Atoi(m[1])
	if err != nil {
		return 0
	}
	return n - 1
}

// badMarks finds marks that no plain sentence has, and points that leave a
// figure open.
func badMarks(text string, is []role) string {
	text = strings.ReplaceAll(text, "...", "…")
	rs := []rune(text)
	before := func(i int) rune { // what stands before i, blanks apart
		for i--; i >= 0; i-- {
			if rs[i] != ' ' {
				return rs[i]
			}
		}
		return '\n'
	}
	after := func(i int) rune {
		for i++; i < len(rs); i++ {
			if rs[i] != ' ' {
				return rs[i]
			}
		}
		return '\n'
	}
	for i, r := range rs {
		b, a := before(i), after(i)
		bad := false
		switch r {
		case '…':
			// "let me check… [[2]]", where no figure has been said
			bad = b == ']' || !unicode.IsLetter(b) || a == '[' && (strings.Contains(string(rs[:i]), "[[") || is[slotAt(rs, i)]&figure != 0)
		case '.', ',', ';':
			bad = i == 0 || rs[i-1] == ' ' || rs[i-1] == '\n' || strings.ContainsRune(":(-¡¿\"“«", b)
		case '?', '!':
			bad = !unicode.IsLetter(b) && !strings.ContainsRune("])\"”»!.,–", b) || r == '?' && strings.ContainsRune("!)", b)
		case ':':
			bad = !unicode.IsLetter(b) && !strings.ContainsRune("])\"”»", b)
		case '–', '—', '-':
			glued := i > 0 && i+1 < len(rs) && unicode.IsLetter(rs[i-1]) && unicode.IsLetter(rs[i+1])
			bad = !glued && (!unicode.IsLetter(b) && !strings.ContainsRune("])\"”»!?.", b) || !unicode.IsLetter(a) && !strings.ContainsRune("[(¡¿\"“«,.", a) || i == 0 || rs[i-1] != ' ' || i+1 == len(rs) || rs[i+1] != ' ' && rs[i+1] != ',' && rs[i+1] != '.')
			if r == '—' && !glued && unicode.IsLetter(b) && unicode.IsLetter(a) {
				bad = false
			}
		case '(':
			bad = !unicode.IsLetter(b) && !strings.ContainsRune("].,:;!?\n–—", b) || a == ')'
		case ')':
			bad = strings.ContainsRune(".,;:–—-(", b)
		}
		if bad {
			return string(rs[max(0, i-4):min(len(rs), i+5)])
		}
	}
	if strings.Count(text, "(") != strings.Count(text, ")") || strings.Contains(text, "!!!") || strings.Contains(text, "??") {
		return "()"
	}
	return ""
}
