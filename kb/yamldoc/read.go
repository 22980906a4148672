package yamldoc

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"unicode/utf8"

	"gopkg.in/yaml.v3"
)

// Limits bound what is read.
type Limits struct {
	Bytes int // checked before anything is parsed
	Depth int // lists and mappings inside each other; 0: [DefaultDepth]
}

// DefaultDepth is far more than any file of a book needs.
const DefaultDepth = 16

const (
	nullTag  = "!!null"
	mergeTag = "!!merge"
)

var bom = []byte("\uFEFF")

// Read reads one file of a book into a checked tree.
//
//   - A byte order mark at the start is dropped; line ends may be LF or CRLF.
//   - What cannot be read at all gives the zero Node and one fault; otherwise
//     the tree and every fault of form in order of place. Of two documents it is
//     the tree of the first.
//   - Two values a cook cut by a decimal comma inside `{}` are put together
//     again after the fault, so that the rest of the file can be judged.
func Read(data []byte, l Limits) (Node, []Fault) {
	data, fault := checkBytes(data, l.Bytes)
	if fault != nil {
		return Node{}, []Fault{*fault}
	}
	doc, fault := parse(data)
	if doc == nil {
		return Node{}, []Fault{*fault}
	}
	if l.Depth <= 0 {
		l.Depth = DefaultDepth
	}
	w := walker{depth: l.Depth}
	if fault != nil {
		w.faults.Put(*fault)
	}
	if bang, hash := bytes.IndexByte(data, '!') >= 0, bytes.Contains(data, []byte(" #")); bang || hash {
		w.source = newSource(data)
		w.bangs, w.cuts = w.source.bangs(), w.source.cuts()
	}
	root := doc.Content[0]
	w.walk(root, 1, false)
	w.comments(math.MaxInt, 0)
	return Node{root}, w.faults.List()
}

// checkBytes judges size and characters before the parser sees them.
func checkBytes(data []byte, most int) ([]byte, *Fault) {
	if len(data) > most {
		return nil, &Fault{Code: CodeTooLarge, Text: fmt.Sprintf("The file has %d bytes; at most %d are read.", len(data), most),
			Write: "a smaller file, or several"}
	}
	data = bytes.TrimPrefix(data, bom)
	line, start := 1, 0
	for i := 0; i < len(data); {
		c := data[i]
		if c >= ' ' && c < 0x7f || c == '\t' || c == '\r' {
			i++
			continue
		}
		if c == '\n' {
			line, start, i = line+1, i+1, i+1
			continue
		}
		r, n := utf8.DecodeRune(data[i:])
		bad := ""
		switch {
		case r == utf8.RuneError && n <= 1:
			bad = "a byte that is no UTF-8"
		case r < ' ' || r >= 0x7f && r < 0xa0 && r != 0x85 || r == 0xfeff || r == 0xfffe || r == 0xffff:
			bad = fmt.Sprintf("a character that no text holds (U+%04X)", r)
		}
		if bad != "" {
			return nil, &Fault{Code: CodeNotText, Line: line, Column: utf8.RuneCount(data[start:i]) + 1,
				Text: "The file is not plain text: " + bad + ".", Write: "the file again as plain text in UTF-8"}
		}
		i += n
	}
	return data, nil
}

// parse runs the YAML parser over the file's one document. A second one is a
// fault, and the first is returned with it.
func parse(data []byte) (doc *yaml.Node, fault *Fault) {
	// The parser is frozen and read hostile bytes for years; should it still
	// panic on some, that file is faulty and the rest of the book answers.
	defer func() {
		if r := recover(); r != nil {
			doc, fault = nil, &Fault{Code: CodeSyntax, Text: "The file cannot be read as YAML.", Write: "words with : # [ ] { } or quotes in them in \"quotes\""}
		}
	}()
	d := yaml.NewDecoder(bytes.NewReader(data))
	doc = new(yaml.Node)
	if err := d.Decode(doc); errors.Is(err, io.EOF) {
		return nil, &Fault{Code: CodeEmpty, Text: "The file is empty.", Write: "at least its first key"}
	} else if err != nil {
		return nil, syntaxFault(data, err)
	}
	var second yaml.Node
	switch err := d.Decode(&second); {
	case errors.Is(err, io.EOF):
		return doc, nil
	case err == nil:
		return doc, &Fault{Code: CodeDocument, Line: second.Line, Column: 1,
			Text: "A second document begins with ---.", Write: "one recipe a file, without ---"}
	default:
		return nil, syntaxFault(data, err)
	}
}

var lineOf = regexp.MustCompile(`line (\d+): `)

var (
	fromParser = regexp.MustCompile(`^did not find expected (key|node|'-'|'|<)`)
	blockEnds  = regexp.MustCompile(`^did not find expected (key|'-')`)
)

// firstBad finds the line at which the parser gives up where it tells only
// where the list or mapping began: the first line with which the file's
// beginning fails in the same way. Large files keep the line they have.
func firstBad(data []byte, msg string, line int) int {
	if len(data) > 64<<10 {
		return line
	}
	var ends []int
	for i, c := range data {
		if c == '\n' || i == len(data)-1 {
			ends = append(ends, i+1)
		}
	}
	return 1 + sort.Search(len(ends)-1, func(i int) bool {
		err := yaml.Unmarshal(data[:ends[i]], new(yaml.Node))
		return err != nil && err.Error() == msg
	})
}

// syntaxFault words the parser's error for a cook.
func syntaxFault(data []byte, err error) *Fault {
	msg := strings.TrimPrefix(err.Error(), "yaml: ")
	f := &Fault{Code: CodeSyntax}
	if m := lineOf.FindStringSubmatchIndex(msg); m != nil {
		f.Line, _ = strconv.Atoi(msg[m[2]:m[3]])
		msg = msg[:m[0]] + msg[m[1]:]
	}
	src := newSource(data)
	if fromParser.MatchString(msg) { // it counts lines from 0 and leaves the first out
		f.Line++
	}
	if blockEnds.MatchString(msg) {
		f.Line = firstBad(data, err.Error(), f.Line)
	}
	f.Line = min(f.Line, len(src.lines))
	line := src.line(f.Line)
	f.Write = `the words in quotes, such as notes: "stir: then rest"`
	switch {
	case strings.Contains(msg, "unknown anchor"):
		f.Code = CodeAlias
		f.Text = "A value that begins with * points to another place; a book has no such thing."
		if i := bytes.IndexByte(data, '*'); f.Line == 0 && i >= 0 {
			f.Line = 1 + bytes.Count(data[:i], []byte("\n"))
		}
	case strings.Contains(msg, "exceeded max depth"):
		f.Code = CodeNesting
		f.Text = "Too many lists or mappings inside each other."
		f.Write = "less brackets or indentation"
	case strings.Contains(msg, "mapping values are not allowed"):
		f.Text = "There is a second colon, or the line is indented differently from the one before."
	case strings.Contains(msg, "tab character") || strings.HasPrefix(strings.TrimLeft(line, " "), "\t"):
		f.Text = "The line is indented with a tab."
		f.Write = "spaces in place of the tab"
	case strings.Contains(msg, "cannot start any token"):
		f.Text = "A value begins with a character that YAML keeps for itself (@ ` % or a tab)."
	case strings.Contains(line, " #") && strings.Contains(msg, "did not find expected"):
		f.Text = "What stands after ` #` is a comment, and the rest of the line is missing."
	case strings.Contains(msg, "',' or"):
		f.Text = "A bracket that opens here is not closed, or a comma is missing."
		f.Write = "the closing bracket, a comma between the values, or the words in quotes"
	case strings.Contains(msg, "unexpected end of stream"), strings.Contains(msg, "unexpected document indicator"):
		f.Text = "A quote that opens here is not closed."
		f.Write = "the closing quote, or all the words in quotes"
	case blockEnds.MatchString(msg):
		f.Text = "The line does not fit what stands above it: its indentation, dash, colon or quotes."
		f.Write = "the same indentation as its neighbours, or the words in quotes"
	default:
		f.Text = "This is no YAML: " + msg + "."
	}
	f.Text += " (The line may be a little off.)"
	if f.Line == 0 {
		f.Text = strings.TrimSuffix(f.Text, " (The line may be a little off.)")
	}
	return f
}
