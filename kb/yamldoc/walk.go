package yamldoc

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"gopkg.in/yaml.v3"
)

// walker checks a parsed tree once, in the file's order.
type walker struct {
	source source
	depth  int
	bangs  []place // of `!` that may begin a tag, still to come
	cuts   []cut   // still to come
	// last is the plain text that a comment may follow. lastKey: it is a key
	// with a value still to come; lastBare: a key without a value.
	last              *yaml.Node
	lastKey, lastBare bool
	faults            Faults
}

func (w *walker) walk(y *yaml.Node, depth int, isKey bool) {
	n := Node{y}
	if y.Kind == yaml.AliasNode {
		w.faults.Add(n, CodeAlias, "A value that begins with * points to another place; a book has no such thing.",
			fmt.Sprintf(`the value itself, or "*%s" in quotes`, Short(y.Value)))
		// What follows sees a plain text in its place.
		*y = yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: "*" + y.Value, Line: y.Line, Column: y.Column}
		return
	}
	if y.Anchor != "" {
		w.faults.Add(n, CodeAnchor, "A value that begins with & names a place; a book has no such thing.",
			fmt.Sprintf(`the value without &%s, or in quotes`, Short(y.Anchor)))
	}
	if y.Style&yaml.TaggedStyle != 0 || w.bangAt(y.Line, y.Column) {
		w.faults.Add(n, CodeTag, "A value that begins with ! has a YAML type; a book has no such thing.", "the value without the !, or in quotes")
		y.Style &^= yaml.TaggedStyle
		if y.Tag == nullTag {
			y.Tag = "!!str"
		}
	}
	if y.Kind == yaml.ScalarNode {
		w.scalar(y, isKey)
		return
	}
	w.comments(y.Line, y.Column)
	if w.lastKey { // `key: #words` before a list or mapping: nothing is lost
		w.last, w.lastKey = nil, false
	}
	if depth > w.depth {
		w.faults.Add(n, CodeNesting, fmt.Sprintf("Lists and mappings stand more than %d deep inside each other.", w.depth), "less brackets or indentation")
		y.Content = nil
		return
	}
	if y.Kind == yaml.MappingNode {
		w.decimalCommas(y)
		w.keys(y)
	}
	for i, c := range y.Content {
		w.walk(c, depth+1, y.Kind == yaml.MappingNode && i%2 == 0)
	}
}

// bangAt reports whether a `!` stands at the place; places come in order.
func (w *walker) bangAt(line, column int) bool {
	for len(w.bangs) > 0 {
		b := w.bangs[0]
		if b.line == line && b.column == column {
			return true
		}
		if b.line > line || b.line == line && b.column > column {
			return false
		}
		w.bangs = w.bangs[1:]
	}
	return false
}

// keys looks for keys that are no text, merge keys and duplicates.
func (w *walker) keys(y *yaml.Node) {
	var seen map[string]int
	if len(y.Content) > 32 {
		seen = make(map[string]int, len(y.Content)/2)
	}
	for i := 0; i+1 < len(y.Content); i += 2 {
		k := y.Content[i]
		n := Node{k}
		if k.Kind == yaml.AliasNode { // told by walk
			continue
		}
		if k.Kind != yaml.ScalarNode {
			w.faults.Add(n, CodeKey, fmt.Sprintf("A key is one or a few words, not a %s.", n.Kind()), "WORDS: VALUE")
			*k = yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Line: k.Line, Column: k.Column}
			continue
		}
		if k.Tag == nullTag && k.Value != "" {
			k.Tag = "!!str" // a key called null or ~
		}
		if k.Tag == mergeTag {
			w.faults.Add(n, CodeMergeKey, "The key << takes in another mapping; a book has no such thing.", "the keys themselves")
			continue
		}
		if k.Value == "" {
			w.faults.Add(n, CodeKey, "A key is missing before the colon.", "WORDS: VALUE")
			continue
		}
		first := -1
		if seen != nil {
			if j, ok := seen[k.Value]; ok {
				first = j
			} else {
				seen[k.Value] = i
			}
		} else {
			for j := 0; j < i; j += 2 {
				if y.Content[j].Value == k.Value {
					first = j
					break
				}
			}
		}
		if first >= 0 {
			w.faults.Add(n, CodeDuplicateKey, fmt.Sprintf("The key “%s” stands twice; the first is on line %d.", Short(k.Value), y.Content[first].Line),
				"the key once")
		}
	}
}

// decimalCommas finds `{amount: 1,2 kg}`, which YAML reads as two keys, and
// puts the two ends together again.
func (w *walker) decimalCommas(y *yaml.Node) {
	if y.Style&yaml.FlowStyle == 0 {
		return
	}
	out := y.Content[:min(2, len(y.Content))]
	for i := 2; i+1 < len(y.Content); i += 2 {
		key, value := y.Content[i], y.Content[i+1]
		lastKey, lastValue := out[len(out)-2], out[len(out)-1]
		before := lastValue
		if isNull(lastValue) && !isNull(value) { // `{cream 33,5 %: 3 g}`: the key was cut
			before = lastKey
		} else if !isNull(value) {
			before = nil
		}
		if before == nil || !plain(before) || !plain(key) || !endsInDigit(before.Value) || !startsWithDigit(key.Value) ||
			strings.Contains(before.Value, ",") {
			out = append(out, key, value)
			continue
		}
		whole := before.Value + "," + key.Value
		w.faults.Add(Node{before}, CodeDecimalComma, fmt.Sprintf("A comma inside { } parts two values: “%s” was read as two.", Short(whole)),
			fmt.Sprintf(`"%s" in quotes, or with a point`, Short(whole)))
		before.Value = whole
		if before == lastKey {
			out[len(out)-1] = value
		}
	}
	y.Content = out
}

func isNull(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && y.Style == 0 && y.Tag == nullTag
}

func plain(y *yaml.Node) bool {
	return y.Kind == yaml.ScalarNode && y.Style == 0 && y.Anchor == "" && y.Value != ""
}

func endsInDigit(s string) bool { return s[len(s)-1] >= '0' && s[len(s)-1] <= '9' }

func startsWithDigit(s string) bool { return s[0] >= '0' && s[0] <= '9' }

// comments gives every comment that may have cut off words, up to a place, to
// the last plain text that begins before it.
func (w *walker) comments(line, column int) {
	for len(w.cuts) > 0 {
		c := w.cuts[0]
		if c.line > line || c.line == line && c.column >= column {
			return
		}
		w.cuts = w.cuts[1:]
		if w.last != nil && w.endsAt(c) {
			w.faults.Warn(Node{w.last}, CodeCutOff, fmt.Sprintf("What stands after # is a comment: “%s” is not read.", Short(c.after)),
				fmt.Sprintf(`the words in quotes: "%s"`, strings.TrimSpace(Short(w.last.Value)+" "+Short(c.after))))
		}
		w.last = nil
	}
}

// scalar remembers y as the last text before a comment. A key counts only if
// its value is missing, as in `picture: #3`.
func (w *walker) scalar(y *yaml.Node, isKey bool) {
	switch {
	case isNull(y):
		if w.lastKey {
			w.lastKey, w.lastBare = false, true
		}
	default:
		if y.Style&yaml.DoubleQuotedStyle != 0 && strings.ContainsFunc(y.Value, hidden) {
			w.faults.Add(Node{y}, CodeNotText, "The quotes hold a character that cannot be seen.", "the words without \\ codes")
			y.Value = strings.Map(func(r rune) rune {
				if hidden(r) {
					return -1
				}
				return r
			}, y.Value)
		}
		w.comments(y.Line, y.Column)
		w.last, w.lastKey, w.lastBare = y, isKey, false
		if y.Style != 0 {
			w.last = nil
		}
	}
}

// hidden reports a control character, or one that turns the direction of
// writing: escapes in double quotes can make them.
func hidden(r rune) bool {
	return unicode.IsControl(r) && r != '\n' && r != '\t' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 || r == 0xfeff
}

// endsAt reports whether the last plain text ends at the comment: nothing but
// its words stands between its start and the comment.
func (w *walker) endsAt(c cut) bool {
	if w.lastKey {
		return false
	}
	want := strings.Fields(w.last.Value)
	if w.lastBare && len(want) > 0 {
		want[len(want)-1] += ":"
	}
	var got []string
	for l := w.last.Line; l <= c.line; l++ {
		s := w.source.line(l)
		if l == c.line {
			s = c.before
		}
		if l == w.last.Line {
			s = s[offset(s, w.last.Column):]
		}
		if got = append(got, strings.Fields(s)...); len(got) > len(want) {
			return false
		}
	}
	return slices.Equal(got, want)
}
