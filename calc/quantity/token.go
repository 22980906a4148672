package quantity

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

type kind uint8

const (
	space  kind = iota // a run of spaces within a line
	digits             // a run of 0-9
	letter             // a run of letters
	vulgar             // ½ and its kin
	symbol             // ° % / € …: may be part of a unit's name
	mark               // any other single rune
)

// token is a piece of text with its bytes' place in it.
type token struct {
	kind       kind
	start, end int
	text       string // folded: lower case, no accents
}

// lex cuts s into at most limit tokens.
func lex(s string, limit int) []token {
	toks := make([]token, 0, min(limit, len(s)/2+1))
	for i := 0; i < len(s) && len(toks) < limit; {
		r, w := utf8.DecodeRuneInString(s[i:])
		j := i + w
		t := token{kind: kindOf(r), start: i}
		switch t.kind {
		case digits:
			for j < len(s) && s[j] >= '0' && s[j] <= '9' {
				j++
			}
			t.text = s[i:j]
		case space, letter:
			for j < len(s) {
				r, w := utf8.DecodeRuneInString(s[j:])
				if k := kindOf(r); k != t.kind && (t.kind != letter || !unicode.Is(unicode.Mn, r)) {
					break
				}
				j += w
			}
			if t.kind == letter {
				t.text = fold(s[i:j])
			}
		case symbol:
			if t.text = s[i:j]; r == 'º' || r == '˚' {
				t.text = "°"
			} else if r == '⁄' || r == '∕' {
				t.text = "/"
			}
		default:
			switch r {
			case '–', '—', '‐', '‑', '‒', '−':
				t.text = "-"
			case '’':
				t.text = "'"
			default:
				t.text = s[i:j]
			}
		}
		t.end = j
		toks = append(toks, t)
		i = j
	}
	return toks
}

func kindOf(r rune) kind {
	switch {
	case r >= '0' && r <= '9':
		return digits
	case r == '\n' || r == '\r' || r == '\v' || r == '\f' || r == '\u2028' || r == '\u2029':
		return mark
	case unicode.IsSpace(r):
		return space
	case strings.ContainsRune("°º˚%℃℉/⁄∕€£″", r):
		return symbol
	case unicode.IsLetter(r):
		return letter
	}
	if _, ok := vulgars[r]; ok {
		return vulgar
	}
	return mark
}

var vulgars = map[rune][2]int64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4},
	'⅕': {1, 5}, '⅖': {2, 5}, '⅗': {3, 5}, '⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6},
	'⅐': {1, 7}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8}, '⅑': {1, 9}, '⅒': {1, 10},
}

// plain maps the accented Latin letters of the kitchen's languages to plain ones.
var plain = func() map[rune]string {
	m := map[rune]string{'ß': "ss", 'æ': "ae", 'œ': "oe", 'ø': "o", 'đ': "d", 'ł': "l", 'ı': "i"}
	for base, accented := range map[string]string{
		"a": "àáâãäåāăą", "c": "çćč", "e": "èéêëēęě", "g": "ğ", "i": "ìíîïī", "n": "ñńň",
		"o": "òóôõöō", "s": "śšş", "u": "ùúûüūů", "y": "ýÿ", "z": "źżž",
	} {
		for _, r := range accented {
			m[r] = base
		}
	}
	return m
}()

// fold writes a word in lower case without accents.
func fold(s string) string {
	simple := true
	for i := 0; i < len(s); i++ {
		if c := s[i]; c >= utf8.RuneSelf || (c >= 'A' && c <= 'Z') {
			simple = false
			break
		}
	}
	if simple {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		r = unicode.ToLower(r)
		switch p, ok := plain[r]; {
		case ok:
			b.WriteString(p)
		case unicode.Is(unicode.Mn, r): // a combining accent
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
