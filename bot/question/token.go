package question

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

// MaxText is the longest message that is read, in bytes; the rest is not.
const MaxText = 4000

// token is one word, number or sign of a message.
type token struct {
	start, end int              // bytes in the message
	plain      string           // lower case, no accents
	fold       string           // plural folded away
	number     bool             // digits or a fraction sign
	breaks     bool             // a comma, stop or line end stands before it
	question   bool             // a question mark stands right behind it
	was        string           // what was written, where a slip is put right
	short      *shortfall       // of a number that is what is missing
	counted    *quantity.Number // of a number that was said in two places
}

// tokenize cuts text into tokens; each knows its bytes in text.
func tokenize(text string) []token {
	var (
		out    []token
		breaks bool
		word   strings.Builder
		start  = -1
	)
	flush := func(end int) {
		if start < 0 {
			return
		}
		p := word.String()
		word.Reset()
		if p != "" {
			out = append(out, token{start: start, end: end, plain: p, fold: name.Singular(p), breaks: breaks})
			breaks = false
		}
		start = -1
	}
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRuneInString(text[i:])
		switch {
		case unicode.IsLetter(r) || unicode.Is(unicode.Mn, r):
			if start < 0 {
				start = i
			}
			plainRune(&word, r)
		case (r == '\'' || r == '’') && start >= 0:
			// "chef's" is one word
		case r >= '0' && r <= '9':
			flush(i)
			j := i
			for j < len(text) && (isDigit(text[j]) || (strings.IndexByte(".,:", text[j]) >= 0 && j+1 < len(text) && isDigit(text[j+1]))) {
				j++
			}
			out = append(out, token{start: i, end: j, plain: text[i:j], fold: text[i:j], number: true, breaks: breaks})
			breaks = false
			i = j
			continue
		case unicode.Is(unicode.No, r):
			flush(i)
			out = append(out, token{start: i, end: i + n, plain: string(r), fold: string(r), number: true, breaks: breaks})
			breaks = false
		case r == '%' || r == '°' || r == '€' || r == '£' || r == '$':
			flush(i)
			out = append(out, token{start: i, end: i + n, plain: string(r), fold: string(r), breaks: breaks})
			breaks = false
		case r == '&' || r == '+':
			flush(i)
			out = append(out, token{start: i, end: i + n, plain: string(r), fold: "and", breaks: breaks})
			breaks = false
		case r == '×' || r == '*':
			flush(i)
			out = append(out, token{start: i, end: i + n, plain: "x", fold: "x", breaks: breaks})
			breaks = false
		default:
			flush(i)
			switch r {
			case '.':
				if n := len(out); n == 0 || len(out[n-1].plain) > 3 || out[n-1].number || n > 1 && out[n-2].number && metricWord(out[n-1].plain) { // "no. 2"; "1.8 kg. puree"
					breaks = true
				}
			case ',', ';', '!', ':', '\n', '(', ')', '–', '—':
				breaks = true
			case '?':
				breaks = true
				if len(out) > 0 {
					out[len(out)-1].question = true
				}
			}
		}
		i += n
	}
	flush(len(text))
	return out
}

// metricWord reports whether a word is a unit that is written without a stop.
func metricWord(w string) bool {
	switch w {
	case "g", "kg", "mg", "ml", "cl", "dl", "l":
		return true
	}
	return false
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// plainRune writes r in lower case and without its accents.
func plainRune(b *strings.Builder, r rune) {
	r = unicode.ToLower(r)
	if r < utf8.RuneSelf {
		b.WriteRune(r)
		return
	}
	if unicode.Is(unicode.Mn, r) {
		return
	}
	switch r {
	case 'œ':
		b.WriteString("oe")
	case 'æ':
		b.WriteString("ae")
	case 'ß':
		b.WriteString("ss")
	case 'ø':
		b.WriteByte('o')
	case 'ł':
		b.WriteByte('l')
	case 'đ', 'ð':
		b.WriteByte('d')
	case 'þ':
		b.WriteString("th")
	case 'ı':
		b.WriteByte('i')
	default:
		for _, c := range norm.NFD.String(string(r)) {
			if !unicode.Is(unicode.Mn, c) {
				b.WriteRune(c)
			}
		}
	}
}
