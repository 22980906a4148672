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

// list is the forbidden words and phrases of one reason, folded; idioms may
// stand anyhow.
type lists struct {
	words   map[Reason]map[string]bool
	phrases map[Reason][][]string
	idioms  [][]string
	common  map[string]bool
}

var loaded = sync.OnceValue(load)

func load() *lists {
	l := &lists{words: map[Reason]map[string]bool{}, phrases: map[Reason][][]string{}, common: map[string]bool{}}
	files, err := wordFiles.ReadDir("words")
	if err != nil {
		panic("bot/phrase: " + err.Error())
	}
	for _, f := range files {
		data, err := wordFiles.ReadFile("words/" + f.Name())
		if err != nil {
			panic("bot/phrase: " + err.Error())
		}
		for _, line := range strings.Split(string(data), "\n") {
			tag, rest, ok := strings.Cut(line, ":")
			if !ok || strings.HasPrefix(line, "#") {
				continue
			}
			for _, p := range strings.Split(rest, ";") {
				words := strings.Fields(fold(p))
				switch {
				case len(words) == 0:
				case tag == "idiom":
					l.idioms = append(l.idioms, words)
				case tag == "common":
					for _, w := range words {
						l.common[w] = true
					}
				case len(words) == 1:
					m := l.words[Reason(tag)]
					if m == nil {
						m = map[string]bool{}
						l.words[Reason(tag)] = m
					}
					m[words[0]] = true
				default:
					l.phrases[Reason(tag)] = append(l.phrases[Reason(tag)], words)
				}
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
func fold(s string) string { return name.Plain(strings.NewReplacer("’", "'", "‘", "'").Replace(s)) }

// allowed are the words that a template itself holds.
type allowed map[string]bool

func wordsOf(t *reply.Template) allowed {
	m := allowed{}
	for _, s := range t.Slots {
		for _, w := range split(fold(s.Text)) {
			if w != "not" && w != "never" {
				m[w] = true
			}
		}
	}
	return m
}

// split returns the words of a folded text; the gap is one.
func split(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && string(r) != gap })
}

// order in which the lists are looked at: the plainest reason first.
var order = []Reason{ReasonNumber, ReasonUnit, ReasonClock, ReasonCompare, ReasonNegation, ReasonAdvice, ReasonMeta}

// check finds what may not stand outside the slots.
func (ok allowed) check(outside string, names Names) (Reason, string) {
	l := loaded()
	if n := spelled.FindString(outside); n != "" {
		return ReasonNumber, n
	}
	if n := numberIn(outside); n != "" {
		return ReasonNumber, n
	}
	for _, w := range strings.FieldsFunc(outside, func(r rune) bool { return !unicode.IsLetter(r) }) {
		if len(w) > 1 && w == strings.ToUpper(w) && roman.MatchString(w) {
			return ReasonNumber, w
		}
	}
	text := fold(outside)
	words := l.withoutIdioms(split(text))
	for _, w := range words {
		if w == gap {
			continue
		}
		if l.numberParts(w) {
			return ReasonNumber, w
		}
		switch w {
		case "ii", "iii", "iv", "vi", "vii", "viii", "ix", "xi", "xii":
			return ReasonNumber, w
		}
		if u, unit := quantity.Metric.UnitNamed(w); unit && u.Dim != quantity.Money && !plainWord[w] && !ok[w] {
			return ReasonUnit, w
		}
	}
	for _, r := range order {
		for i, w := range words {
			if w != gap && l.words[r][w] && !ok[w] {
				return r, w
			}
			for _, p := range l.phrases[r] {
				if i+len(p) <= len(words) && slices.Equal(words[i:i+len(p)], p) {
					return r, strings.Join(p, " ")
				}
			}
		}
	}
	if names != nil {
		for _, n := range names.NamesIn(strings.ReplaceAll(outside, gap, ".")) {
			if w := strings.Fields(n); len(w) == 1 && (l.common[w[0]] || len(w[0]) < 3) {
				continue
			}
			return ReasonName, n
		}
	}
	return ReasonNone, ""
}

// plainWord are words that are units too and say nothing here.
var plainWord = set("in a an as at it c f g l m s h d t to me al se de el un no so ca can or and ha bar ton tons are us")

// withoutIdioms takes out what is said without meaning its words: "no worries".
func (l *lists) withoutIdioms(words []string) []string {
	var out []string
next:
	for i := 0; i < len(words); i++ {
		for _, p := range l.idioms {
			if i+len(p) <= len(words) && slices.Equal(words[i:i+len(p)], p) {
				i += len(p) - 1
				continue next
			}
		}
		out = append(out, words[i])
	}
	return out
}

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
