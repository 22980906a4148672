package look

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// glue is a space where no message may be cut; no text from outside holds it.
const glue = '\uE000'

// clean takes out of a text what must not reach a screen: control characters,
// marks that turn the direction of writing, and our own glue.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n':
			return r
		case r == '\t', r == '\u2028', r == '\u2029', r == '\u00A0', r == '\u202F':
			return ' '
		case r == glue, r == utf8.RuneError, unicode.IsControl(r), r >= '\u202A' && r <= '\u202E', r >= '\u2066' && r <= '\u2069',
			r == '\u200B', r == '\u200E', r == '\u200F', r == '\u061C', r == '\uFEFF':
			return -1
		}
		return r
	}, s)
}

// escape makes one line of anybody's text mean nothing but itself. atStart: it
// begins a line of the message.
func escape(s string, atStart bool) string {
	var b strings.Builder
	s = clean(s)
	for i, r := range s {
		switch r {
		case '\\', '*', '_', '~', '`', '|', '<', '[', ']':
			b.WriteByte('\\')
		case ':': // no link is made of it, and no emoji
			if strings.HasPrefix(s[i:], "://") {
				b.WriteByte('\\')
			}
		}
		b.WriteRune(r)
		if r == '@' {
			b.WriteRune('\u200B') // so that "@everyone" is not even drawn as a mention
		}
	}
	out := b.String()
	if !atStart {
		return out
	}
	trimmed := strings.TrimLeft(out, " ")
	indent := out[:len(out)-len(trimmed)]
	switch {
	case trimmed == "":
		return out
	case strings.ContainsRune("#>-+", rune(trimmed[0])): // headings, quotes, lists, small print
		return indent + "\\" + trimmed
	}
	if n := strings.IndexFunc(trimmed, func(r rune) bool { return r < '0' || r > '9' }); n > 0 && (trimmed[n] == '.' || trimmed[n] == ')') && (n+1 == len(trimmed) || trimmed[n+1] == ' ') {
		return indent + trimmed[:n] + "\\" + trimmed[n:] // a numbered list renumbers
	}
	return out
}

// bind puts glue in place of the spaces that hold a number to its unit or sign:
// "450 g", "× 3", "1 1/2 cups", "10 h to".
func bind(s string) string {
	words := strings.Split(s, " ")
	var b strings.Builder
	for i, w := range words {
		b.WriteString(w)
		if i+1 == len(words) {
			break
		}
		if endsInNumber(w) || isSign(w) && startsWithNumber(words[i+1]) {
			b.WriteRune(glue)
		} else {
			b.WriteByte(' ')
		}
	}
	return b.String()
}

func endsInNumber(w string) bool {
	w = strings.TrimRight(w, `*\`)
	r, _ := utf8.DecodeLastRuneInString(w)
	return unicode.IsDigit(r) || unicode.Is(unicode.No, r)
}

func startsWithNumber(w string) bool {
	r, _ := utf8.DecodeRuneInString(strings.TrimLeft(w, `*\`))
	return unicode.IsDigit(r) || unicode.Is(unicode.No, r)
}

func isSign(w string) bool {
	w = strings.Trim(w, `*\`)
	switch w {
	case "×", "x", "+", "-", "−", "–", "±", "=", "<", ">", "≤", "≥", "~", "≈", "€", "$", "£":
		return true
	}
	return false
}

// tight is a text whose spaces are all glue.
func tight(s string) string { return strings.ReplaceAll(s, " ", string(glue)) }

// columns is how wide a text stands in a code block: wide letters and pictures
// take two columns, marks none.
func columns(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case width.LookupRune(r).Kind() == width.EastAsianWide || width.LookupRune(r).Kind() == width.EastAsianFullwidth:
			n += 2
		default:
			n++
		}
	}
	return n
}

// units is the length of a text as a message counts it. The documentation says
// "characters" and not which; UTF-16 units are never fewer than code points.
func units(s string) int {
	n := 0
	for _, r := range s {
		n++
		if r > 0xFFFF {
			n++
		}
	}
	return n
}

// cut shortens a text to so many units, an ellipsis included.
func cut(s string, most int) string {
	if units(s) <= most {
		return s
	}
	n, end := 0, 0
	for i, r := range s {
		if n += units(string(r)); n > most-1 {
			break
		}
		end = i + utf8.RuneLen(r)
	}
	return strings.TrimRight(s[:end], " ") + "…"
}
