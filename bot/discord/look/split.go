package look

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// piece is one line of a message, its mark-up done; of a table: as it stands in
// a code block.
type piece struct {
	text string
	code bool
	item bool // of a list or table, which a head leaves to the rest
}

const (
	fence      = "```"
	fenceOpen  = fence + "\n"
	fenceClose = "\n" + fence
)

// pack puts lines into as few messages of at most so many units as they fill in
// their order. A table that is cut goes on in a code block of its own. Nothing is
// lost; a line is cut only where it is longer than a message.
func pack(ps []piece, most int) []string {
	var out []string
	var cur strings.Builder
	n, open := 0, false
	end := func() {
		if open {
			cur.WriteString(fenceClose)
		}
		if cur.Len() > 0 {
			out = append(out, strings.ReplaceAll(cur.String(), string(glue), " "))
		}
		cur.Reset()
		n, open = 0, false
	}
	put := func(text string, code bool) {
		need := func() int {
			k := units(text)
			switch {
			case code && open:
				k += 1 + len(fenceClose)
			case code:
				k += len(fenceOpen) + len(fenceClose)
			case open:
				k += len(fenceClose)
			}
			if !open && n > 0 || !code && open {
				k++
			}
			return k
		}
		if n > 0 && n+need() > most {
			end()
		}
		write := func(s string) { cur.WriteString(s); n += units(s) }
		switch {
		case code && !open:
			if n > 0 {
				write("\n")
			}
			write(fenceOpen)
			open = true
		case !code && open: // no line break: clients differ in whether they show an empty line there
			write(fenceClose)
			open = false
		case n > 0:
			write("\n")
		}
		write(text)
	}
	for _, p := range ps {
		room := most
		if p.code {
			room -= len(fenceOpen) + len(fenceClose)
		}
		for _, part := range breakLine(p.text, room) {
			put(part, p.code)
		}
	}
	end()
	return out
}

// breakLine cuts a line that is longer than most, at spaces, never between a
// number and its unit and never within mark-up. What has no such place is cut
// between two letters, in a run of digits only if it is nothing else.
func breakLine(s string, most int) []string {
	var out []string
	for units(s) > most {
		at := lastBreak(s, most)
		head, rest := s[:at], s[at:]
		out = append(out, strings.TrimRight(head, " "))
		s = strings.TrimLeft(rest, " "+string(glue))
	}
	return append(out, s)
}

// lastBreak is where to cut: the byte after which the rest begins.
func lastBreak(s string, most int) int {
	var space, bound, letter, any int
	n := 0
	var before, last rune // last: before it, no space
	inTag := false
	for i, r := range s {
		if n += units(string(r)); i > 0 {
			switch {
			case before == ' ' && r != ' ' && !startsList(s[i:]):
				space = i
			case before == glue && unicode.IsDigit(r) && unicode.IsDigit(last):
				bound = i // "1 2 3 4 …": a chain of numbers that no message holds
			case before != '\\' && !inTag && !unicode.In(r, unicode.M, unicode.Cf) && before != '\u200D' && !(unicode.IsDigit(before) && (unicode.IsDigit(r) || r == '.' || r == ',')) && !((before == '.' || before == ',') && unicode.IsDigit(r)) &&
				before != glue && r != glue && before != '*' && r != '*' && r != ' ':
				letter = i
			}
			any = i
		}
		if n > most {
			if r == ' ' && i > 0 && before != ' ' && before != glue && !startsList(s[i+1:]) {
				space = i // what does not fit is the space alone
			}
			break
		}
		switch r {
		case '<':
			inTag = before != '\\'
		case '>':
			inTag = false
		}
		before = r
		if r != ' ' && r != glue {
			last = r
		}
	}
	for _, at := range []int{space, bound, letter, any} {
		if at > 0 {
			return at
		}
	}
	_, size := utf8.DecodeRuneInString(s)
	return size
}

// startsList reports whether a line that begins so would be drawn as a list, a
// heading or a quote.
func startsList(s string) bool {
	if len(s) > 16 {
		s = s[:16]
	}
	return escape(s, true) != escape(s, false)
}
