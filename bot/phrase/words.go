package phrase

import (
	"embed"
	"maps"
	"regexp"
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
	idioms  map[string][][]string      // by first word, longest first
	plain   map[string]bool            // what may stand around slots
	in      map[string]map[string]bool // the same by language
}

var loaded = sync.OnceValue(load)

func load() *lists {
	l := &lists{words: map[Reason]map[string]bool{}, phrases: map[Reason][][]string{}, idioms: map[string][][]string{}, plain: map[string]bool{}, in: map[string]map[string]bool{}}
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
					l.idioms[words[0]] = append(l.idioms[words[0]], words)
				case f.Name() == "plain.txt":
					if l.in[tag] == nil {
						l.in[tag] = map[string]bool{}
					}
					for _, w := range words {
						l.plain[w], l.in[tag][w] = true, true
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
	for _, ps := range l.idioms {
		slices.SortFunc(ps, func(a, b []string) int { return len(b) - len(a) })
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

// speech is what a check of one template knows: words that are plain in its
// language, and words of advice that the template itself holds.
type speech struct {
	lang       string
	plain, own map[string]bool
}

func speechOf(t *reply.Template) speech {
	sp := speech{t.Language, plainIn[t.Language], map[string]bool{}}
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

// check finds what may not stand outside the slots.
func (sp speech) check(outside string, names Names) (Reason, string) {
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
	outside = elided.ReplaceAllString(outside, "$1"+gap)
	words := l.withoutIdioms(split(fold(outside)))
	for lang, own := range homographs {
		if sp.lang != lang && l.spoken(words, lang, own) {
			both := maps.Clone(own)
			maps.Copy(both, sp.plain)
			sp.plain = both
		}
	}
	for i, w := range words {
		if w == gap || sp.plain[w] {
			continue
		}
		if l.numberParts(w) {
			return ReasonNumber, w
		}
		if u, unit := quantity.Metric.UnitNamed(w); unit && u.Dim != quantity.Money && !l.plain[w] && !sp.own[w] {
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
			if w != gap && l.words[r][w] && !sp.plain[w] && !(r == ReasonAdvice && sp.own[w]) {
				return r, w
			}
			for _, p := range l.phrases[r] {
				if p[0] == w && i+len(p) <= len(words) && slices.Equal(words[i:i+len(p)], p) {
					return r, strings.Join(p, " ")
				}
			}
		}
	}
	if names != nil {
		for _, n := range names.NamesIn(strings.ReplaceAll(outside, gap, ".")) {
			if l.plain[n] || sp.plain[n] || sp.own[n] || l.inIdiom(n, words) {
				continue
			}
			return ReasonName, n
		}
	}
	for _, w := range words {
		if w != gap && !l.plain[w] && !sp.plain[w] && !sp.own[w] {
			return ReasonWord, w
		}
	}
	return ReasonNone, ""
}

// homographs are plain words of a language that English or another uses for what
// may not stand, and that are let pass where a whole wording is in that language.
var homographs = map[string]map[string]bool{"it": set("per ai serve"), "de": set("hier am"), "pt": set("com")}

// spoken reports whether words are all of one language, and one of them not English.
func (l *lists) spoken(words []string, lang string, homographs map[string]bool) bool {
	foreign := false
	for _, w := range words {
		switch {
		case w == gap, homographs[w]:
		case !l.in[lang][w]:
			return false
		case !l.in["en"][w]:
			foreign = true
		}
	}
	return foreign
}

// inIdiom reports whether a name was found in an idiom alone: it is none of the
// words that are left.
func (l *lists) inIdiom(n string, words []string) bool {
	return !slices.ContainsFunc(strings.Fields(n), func(w string) bool { return slices.Contains(words, w) })
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

// elided is what French, Italian and Portuguese put before a vowel: l', d', dell'.
var elided = regexp.MustCompile(`(?i)(^|[^\pL])(?:l|d|dell|all|nell|dall|qu|un)['’]` + gap)

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

// withoutIdioms takes out what is said without meaning its words: "no worries".
func (l *lists) withoutIdioms(words []string) []string {
	var out []string
next:
	for i := 0; i < len(words); i++ {
		for _, p := range l.idioms[words[i]] {
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
