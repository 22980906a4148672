package recipe

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/kb/yamldoc"
)

// ErrSplice is an edit that cannot be made without moving more of the file than
// what it changes; the cook writes the file.
var ErrSplice = errors.New("this cannot be changed in place")

func cannot(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrSplice, fmt.Sprintf(format, args...))
}

// Text is a file of the book as its cook wrote it, for edits that leave all
// other bytes as they are. Every edit is read back: what was not to change has
// not, or the edit fails and the Text is as it was.
type Text struct {
	data []byte
	root yamldoc.Node
	at   []int // offset of each line
}

// NewText reads a file of the book for editing; the bytes are copied.
//
//   - Errors: [ErrSplice] with what is wrong, if the file cannot be read.
func NewText(data []byte) (*Text, error) {
	t := &Text{data: bytes.Clone(data)}
	root, found := yamldoc.Read(t.data, yamldoc.Limits{Bytes: MaxLarderBytes})
	for _, f := range found {
		if !f.Warning {
			return nil, cannot("line %d: %s", f.Line, f.Text)
		}
	}
	if !root.Exists() {
		return nil, cannot("the file is empty")
	}
	t.root = root
	t.at = append(t.at, 0)
	for i := 0; i < len(t.data); i++ {
		switch c := t.data[i]; {
		case c == '\r' && i+1 < len(t.data) && t.data[i+1] == '\n':
		case c == '\n', c == '\r':
			t.at = append(t.at, i+1)
		}
	}
	return t, nil
}

// Bytes returns the file as it is now.
func (t *Text) Bytes() []byte { return bytes.Clone(t.data) }

// line returns line n from 1 without its end.
func (t *Text) line(n int) []byte {
	if n < 1 || n > len(t.at) {
		return nil
	}
	end := len(t.data)
	if n < len(t.at) {
		end = t.at[n]
	}
	return bytes.TrimRight(t.data[t.at[n-1]:end], "\r\n")
}

// offset returns where a node begins.
func (t *Text) offset(n yamldoc.Node) int {
	line := t.line(n.Line())
	at := t.at[n.Line()-1]
	if n.Line() == 1 && bytes.HasPrefix(line, []byte("\uFEFF")) {
		line, at = line[3:], at+3
	}
	for range n.Column() - 1 {
		_, size := utf8.DecodeRune(line)
		line, at = line[size:], at+size
	}
	return at
}

// eol is the line end that the file uses.
func (t *Text) eol() string {
	if i := bytes.IndexByte(t.data, '\n'); i > 0 && t.data[i-1] == '\r' {
		return "\r\n"
	} else if i < 0 && bytes.IndexByte(t.data, '\r') >= 0 {
		return "\r"
	}
	return "\n"
}

// end returns where a text ends that begins at start.
func (t *Text) end(n yamldoc.Node, flow bool) (int, error) {
	start := t.offset(n)
	if start >= len(t.data) || n.Text() == "" && !n.Quoted() {
		return 0, cannot("nothing stands there")
	}
	switch q := t.data[start]; q {
	case '\'', '"':
		for i := start + 1; i < len(t.data); i++ {
			switch {
			case q == '"' && t.data[i] == '\\':
				i++
			case t.data[i] != q:
			case q == '\'' && i+1 < len(t.data) && t.data[i+1] == q:
				i++
			default:
				return i + 1, nil
			}
		}
		return 0, cannot("a quote that is not closed")
	case '|', '>':
		return 0, cannot("words over several lines")
	}
	rest := t.data[start:]
	if i := bytes.IndexAny(rest, "\r\n"); i >= 0 {
		rest = rest[:i]
	}
	for i, c := range rest {
		if c == '#' && i > 0 && (rest[i-1] == ' ' || rest[i-1] == '\t') || flow && bytes.IndexByte([]byte(",[]{}"), c) >= 0 {
			rest = rest[:i]
			break
		}
	}
	rest = bytes.TrimRight(rest, " \t")
	if string(rest) != n.Text() {
		return 0, cannot("words over several lines")
	}
	return start + len(rest), nil
}

// scalar writes words as YAML, in quotes where they need them or had them.
func scalar(s string, flow bool, quote byte) (string, error) {
	if !utf8.ValidString(s) || strings.ContainsFunc(s, func(r rune) bool { return unicode.IsControl(r) || r == 0xfeff || r == 0x2028 || r == 0x2029 }) {
		return "", cannot("words that no line holds")
	}
	if quote == '\'' {
		return "'" + strings.ReplaceAll(s, "'", "''") + "'", nil
	}
	if quote == 0 && plainScalar(s, flow) {
		return s, nil
	}
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`, nil
}

func plainScalar(s string, flow bool) bool {
	switch {
	case s == "", s != strings.TrimSpace(s), strings.EqualFold(s, "null"), s == "~", s == "<<", strings.HasPrefix(s, "---"), strings.HasPrefix(s, "..."):
		return false
	case strings.IndexByte(",[]{}#&*!|>'\"%@`", s[0]) >= 0, (s[0] == '-' || s[0] == '?' || s[0] == ':') && (len(s) == 1 || s[1] == ' '):
		return false
	case strings.Contains(s, ": "), strings.Contains(s, " #"), strings.HasSuffix(s, ":"), strings.ContainsRune(s, '\t'):
		return false
	case flow && strings.ContainsAny(s, ",[]{}:?"):
		return false
	}
	return true
}

// splice puts text in place of the bytes from..to, reads the result back and
// keeps it only if it is want.
func (t *Text) splice(from, to int, text string, want *meaning) error {
	out := make([]byte, 0, len(t.data)+len(text))
	out = append(out, t.data[:from]...)
	out = append(out, text...)
	out = append(out, t.data[to:]...)
	next, err := NewText(out)
	if err != nil {
		return err
	}
	if !valueOf(next.root).equal(want) {
		return cannot("more than that would change")
	}
	*t = *next
	return nil
}

// meaning is a tree without its places: what a file says.
type meaning struct {
	kind  yamldoc.Kind
	text  string
	items []*meaning // of a list; of a mapping keys and values in turn
}

func valueOf(n yamldoc.Node) *meaning {
	// a line break at the end of the file is no part of the last words
	v := &meaning{kind: n.Kind(), text: strings.TrimRight(n.Text(), "\r\n")}
	for _, c := range n.Items() {
		v.items = append(v.items, valueOf(c))
	}
	for k, c := range n.Entries() {
		v.items = append(v.items, valueOf(k), valueOf(c))
	}
	return v
}

func words(s string) *meaning { return &meaning{kind: yamldoc.Text, text: s} }

func (v *meaning) equal(o *meaning) bool {
	if v.kind != o.kind || v.text != o.text || len(v.items) != len(o.items) {
		return false
	}
	for i := range v.items {
		if !v.items[i].equal(o.items[i]) {
			return false
		}
	}
	return true
}

// get returns the value of a key, nil if it is not there.
func (v *meaning) get(key string) *meaning {
	for i := 0; v.kind == yamldoc.Map && i+1 < len(v.items); i += 2 {
		if v.items[i].text == key {
			return v.items[i+1]
		}
	}
	return nil
}

// Scalar writes words as a value of a book's file, in quotes where they need them.
//
//   - Errors: [ErrSplice] for what no line holds, such as a line break.
func Scalar(s string) (string, error) { return scalar(s, false, 0) }
