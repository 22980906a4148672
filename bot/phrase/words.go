package phrase

import (
	"embed"
	"slices"
	"strings"
	"sync"
	"unicode"

	"tamis/bot/reply"
	"tamis/calc/quantity"
	"tamis/kb/name"
)

//go:embed words/*.txt
var wordFiles embed.FS

// lists are the words and phrases that are told by name when a wording is kept
// back, folded; pieces are what number words are put together of.
type lists struct {
	words   map[Reason]map[string]bool
	phrases map[Reason][][]string
}

var loaded = sync.OnceValue(load)

func load() *lists {
	l := &lists{words: map[Reason]map[string]bool{}, phrases: map[Reason][][]string{}}
	data, err := wordFiles.ReadFile("words/lists.txt")
	if err != nil {
		panic("bot/phrase: " + err.Error())
	}
	for _, line := range strings.Split(string(data), "\n") {
		tag, rest, ok := strings.Cut(line, ":")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		r := Reason(tag)
		if l.words[r] == nil {
			l.words[r] = map[string]bool{}
		}
		for _, p := range strings.Split(rest, ";") {
			switch words := strings.Fields(fold(p)); len(words) {
			case 0:
			case 1:
				l.words[r][words[0]] = true
			default:
				l.phrases[r] = append(l.phrases[r], words)
			}
		}
	}
	return l
}

func set(words string) map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields(words) {
		m[w] = true
	}
	return m
}

// fold is lower case without accents; apostrophes go, so that "don't" is dont.
func fold(s string) string { return name.Plain(apostrophes.Replace(s)) }

var apostrophes = strings.NewReplacer("’", "'", "‘", "'")

// speech is what a check of one template knows: words of advice that the
// template itself holds.
type speech struct{ own map[string]bool }

func speechOf(t *reply.Template) speech {
	sp := speech{map[string]bool{}}
	for _, s := range t.Slots {
		for _, w := range split(fold(s.Text)) {
			if loaded().words[ReasonAdvice][w] {
				sp.own[w] = true
			}
		}
	}
	return sp
}

// split returns the words of a folded text; the gap is one.
func split(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && string(r) != gap })
}

// order in which the lists are looked at: the plainest reason first.
var order = []Reason{ReasonNumber, ReasonUnit, ReasonClock, ReasonCompare, ReasonNegation, ReasonAdvice, ReasonMeta}

// reasonOf says by which list a wording is kept back that the grammar has no turn
// for; ReasonNone: by none, it is the turn.
func (sp speech) reasonOf(outside string, names Names) (Reason, string) {
	l := loaded()
	if n := spelled.FindString(outside); n != "" {
		return ReasonNumber, n
	}
	if n := numberIn(outside); n != "" {
		return ReasonNumber, n
	}
	if n := romanIn(outside); n != "" {
		return ReasonNumber, n
	}
	words := split(fold(outside))
	for i, w := range words {
		if w == gap {
			continue
		}
		if l.numberParts(w) {
			return ReasonNumber, w
		}
		if u, unit := quantity.Metric.UnitNamed(w); unit && u.Dim != quantity.Money && !knows(w) && !sp.own[w] {
			return ReasonUnit, w
		}
		if i+1 < len(words) && words[i+1] != gap { // "with out", "on e"
			if r := l.reason(w + words[i+1]); r != ReasonNone && r != ReasonMeta {
				return r, w + " " + words[i+1]
			}
		}
	}
	for _, r := range order {
		for i, w := range words {
			if w != gap && l.words[r][w] && !(r == ReasonAdvice && sp.own[w]) {
				return r, w
			}
			for _, p := range l.phrases[r] {
				if p[0] == w && i+len(p) <= len(words) && slices.Equal(words[i:i+len(p)], p) {
					return r, strings.Join(p, " ")
				}
			}
		}
	}
	if n := foreignName(outside, names); n != "" {
		return ReasonName, n
	}
	for _, w := range words {
		if w != gap && !knows(w) {
			return ReasonWord, w
		}
	}
	return ReasonNone, ""
}

// foreignName finds the name of a food or recipe outside the slots. A word that
// a grammar has is plain, whatever a book calls by it.
func foreignName(outside string, names Names) string {
	if names == nil {
		return ""
	}
	for _, n := range names.NamesIn(strings.ReplaceAll(outside, gap, ".")) {
		if !knows(n) {
			return n
		}
	}
	return ""
}

// reason is why a word may not stand, ReasonNone where no list has it.
func (l *lists) reason(w string) Reason {
	for _, r := range order {
		if l.words[r][w] {
			return r
		}
	}
	return ReasonNone
}

// romanIn finds a Roman numeral: capitals, an "I" that is not the speaker, or a
// small one of several letters.
func romanIn(outside string) string {
	words := split(outside)
	for i, w := range words {
		switch {
		case w == "I":
			next := ""
			if i+1 < len(words) {
				next = words[i+1]
			}
			if !speaks[next] {
				return w
			}
		case len(w) > 1 && w == strings.ToUpper(w) && roman.MatchString(w):
			return w
		}
		switch strings.ToLower(w) {
		case "ii", "iii", "iv", "vii", "viii", "ix", "xi", "xii":
			return w
		case "vi":
			if i+1 == len(words) || !strings.HasPrefix(words[i+1], "serv") {
				return w
			}
		}
	}
	return ""
}

// speaks are what follows the "I" of one who speaks.
var speaks = set("have ve ll m d am make get got can would will do see found find put scaled hope need want read measured looked checked know did had give love")

// numberParts reports whether a word is put together of number words:
// "fourhundred", "zweimal".
func (l *lists) numberParts(w string) bool {
	if len(w) < 5 {
		return false
	}
	parts := l.words["part"]
	n := len(w)
	reach := make([]int, n+1) // 1: by number words, 2: at least one of them
	reach[0] = 1
	for i := 0; i < n; i++ {
		if reach[i] == 0 {
			continue
		}
		for j := i + 2; j <= n && j <= i+12; j++ {
			p := w[i:j]
			switch {
			case parts[p]:
				reach[j] = 2
			case (i > 0 && reach[i] == 2) && l.words["joint"][p]:
				reach[j] = max(reach[j], reach[i])
			}
		}
	}
	return reach[n] == 2
}
