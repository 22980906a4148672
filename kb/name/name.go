// Package name folds the names people write to one form, so that case,
// accents, hyphens and plural make no difference: text flows in, its folded
// words flow out.
package name

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// letters that do not come apart into a base letter and marks.
var ligatures = map[rune]string{
	'œ': "oe", 'æ': "ae", 'ø': "o", 'ß': "ss", 'ł': "l", 'đ': "d", 'ð': "d", 'þ': "th", 'ı': "i",
}

// plurals that no rule makes singular.
var irregular = map[string]string{
	"leaves": "leaf", "loaves": "loaf", "halves": "half", "knives": "knife", "calves": "calf",
	"geese": "goose", "dice": "die", "mice": "mouse",
}

// Fold returns the folded form: [Words] joined by single spaces.
func Fold(s string) string { return strings.Join(Words(s), " ") }

// Words returns the folded words of s. A word is a run of letters, or a run of
// digits with decimal separators inside, or a single %, °, × or fraction sign; all
// else (hyphens, apostrophes between words, brackets) parts words and is dropped.
func Words(s string) []string {
	var out []string
	for _, w := range Split(s) {
		out = append(out, Singular(w))
	}
	return out
}

// Split returns the words of s like Words but keeps plurals.
func Split(s string) []string {
	s = Plain(s)
	var out []string
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case unicode.IsLetter(r):
			j := i
			for j < len(s) {
				r, n := utf8.DecodeRuneInString(s[j:])
				if unicode.IsLetter(r) {
					j += n
					continue
				}
				break
			}
			out = append(out, s[i:j])
			i = j
		case r >= '0' && r <= '9':
			j := i
			for j < len(s) && (s[j] >= '0' && s[j] <= '9' || (s[j] == '.' || s[j] == ',') && j+1 < len(s) && s[j+1] >= '0' && s[j+1] <= '9') {
				j++
			}
			out = append(out, s[i:j])
			i = j
		case r == '%' || r == '°' || r == '×' || unicode.Is(unicode.No, r):
			out = append(out, s[i:i+n])
			i += n
		default:
			i += n
		}
	}
	return out
}

// Plain returns s in lower case without accents; an apostrophe inside a word
// disappears ("chef's" is "chefs").
func Plain(s string) string {
	ascii := true
	for i := 0; i < len(s); i++ {
		if s[i] >= utf8.RuneSelf {
			ascii = false
			break
		}
	}
	if ascii && !strings.Contains(s, "'") {
		return strings.ToLower(s)
	}
	var b strings.Builder
	b.Grow(len(s))
	for _, r := range norm.NFD.String(strings.ToLower(s)) {
		switch {
		case unicode.Is(unicode.Mn, r), r == '\'', r == '’', r == '\u00ad', r == '\u200b':
		default:
			if l, ok := ligatures[r]; ok {
				b.WriteString(l)
			} else {
				b.WriteRune(r)
			}
		}
	}
	return b.String()
}

// Singular folds a lower-case word's plural away. Not always the dictionary's
// singular, but one word and its plural always fold to the same.
func Singular(w string) string {
	if s, ok := irregular[w]; ok {
		w = s
	}
	if utf8.RuneCountInString(w) <= 3 {
		return w
	}
	switch {
	case strings.HasSuffix(w, "ies") && len(w) > 4:
		w = w[:len(w)-3] + "y"
	case strings.HasSuffix(w, "ss"), strings.HasSuffix(w, "us"), strings.HasSuffix(w, "is"):
	case strings.HasSuffix(w, "s"):
		w = w[:len(w)-1]
	}
	switch {
	case strings.HasSuffix(w, "ie") && len(w) > 3:
		w = w[:len(w)-2] + "y"
	case len(w) > 3 && (strings.HasSuffix(w, "che") || strings.HasSuffix(w, "she") || strings.HasSuffix(w, "sse") || strings.HasSuffix(w, "xe") || strings.HasSuffix(w, "oe")):
		w = w[:len(w)-1]
	}
	return w
}
