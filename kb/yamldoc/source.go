package yamldoc

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// source is the file's text by line.
type source struct{ lines [][]byte }

func newSource(data []byte) source {
	lines := make([][]byte, 0, bytes.Count(data, []byte("\n"))+1)
	for len(data) > 0 {
		i := bytes.IndexAny(data, "\r\n")
		if i < 0 {
			lines = append(lines, data)
			break
		}
		lines = append(lines, data[:i])
		if data[i] == '\r' && i+1 < len(data) && data[i+1] == '\n' {
			i++
		}
		data = data[i+1:]
	}
	return source{lines}
}

// line returns line n from 1, without its end; "" outside the file.
func (s source) line(n int) string {
	if n < 1 || n > len(s.lines) {
		return ""
	}
	return string(s.lines[n-1])
}

// place is a line and column from 1.
type place struct{ line, column int }

// bangs returns where a `!` stands that may begin a tag.
func (s source) bangs() []place {
	var out []place
	for i, l := range s.lines {
		column, seen := 1, 0
		for {
			at := bytes.IndexByte(l[seen:], '!')
			if at < 0 {
				break
			}
			at += seen
			column += utf8.RuneCount(l[seen:at])
			if at == 0 || strings.IndexByte(" \t[{,", l[at-1]) >= 0 {
				out = append(out, place{i + 1, column})
			}
			seen = at + 1
			column++
		}
	}
	return out
}

// offset returns the byte offset of a column in a line.
func offset(line string, column int) int {
	for i := range line {
		if column--; column == 0 {
			return i
		}
	}
	return len(line)
}

// cut is a place where ` #` may have cut off words.
type cut struct {
	line, column  int
	before, after string
}

// cuts returns all places with exactly one space, a # and something right
// behind it; at most a few, so that a file full of them costs nothing.
func (s source) cuts() []cut {
	const most = 100
	var out []cut
	for i, l := range s.lines {
		at := bytes.Index(l, []byte(" #"))
		if at <= 0 || l[at-1] == ' ' || l[at-1] == '\t' || at+2 >= len(l) || strings.IndexByte(" \t#", l[at+2]) >= 0 || l[0] == '#' {
			continue
		}
		if out = append(out, cut{i + 1, utf8.RuneCount(l[:at]) + 2, string(l[:at]), string(l[at+1:])}); len(out) == most {
			break
		}
	}
	return out
}
