package yamldoc

import (
	"fmt"
	"slices"
	"strings"
)

// Codes of the faults and warnings that this package finds.
const (
	CodeTooLarge     = "too large"
	CodeNotText      = "not text"
	CodeEmpty        = "empty file"
	CodeSyntax       = "not yaml"
	CodeNesting      = "too deep"
	CodeDuplicateKey = "duplicate key"
	CodeDocument     = "second document"
	CodeAnchor       = "anchor"
	CodeAlias        = "alias"
	CodeTag          = "tag"
	CodeMergeKey     = "merge key"
	CodeKey          = "key is no text"
	CodeDecimalComma = "decimal comma"
	CodeCutOff       = "words cut off"
	CodeUnknownKey   = "unknown key"
	CodeKind         = "wrong form"
	CodeMany         = "many faults"
)

// Fault is one thing wrong in a file: where, what, and what to write instead.
type Fault struct {
	Code         string
	Line, Column int // from 1; 0 unknown
	Text         string
	Write        string
	Warning      bool // the file still counts
}

// MostFaults is how many faults are told of one file; a hostile file could
// have one every few bytes.
const MostFaults = 200

// Faults collects faults. The zero value is empty and ready.
type Faults struct{ list []Fault }

// Add adds a fault at n.
func (f *Faults) Add(n Node, code, text, write string) {
	f.Put(Fault{Code: code, Line: n.Line(), Column: n.Column(), Text: text, Write: write})
}

// Warn adds a warning at n.
func (f *Faults) Warn(n Node, code, text, write string) {
	f.Put(Fault{Code: code, Line: n.Line(), Column: n.Column(), Text: text, Write: write, Warning: true})
}

// Put adds faults as they are, up to [MostFaults].
func (f *Faults) Put(faults ...Fault) {
	for _, one := range faults {
		switch {
		case len(f.list) < MostFaults:
			f.list = append(f.list, one)
		case len(f.list) == MostFaults:
			f.list = append(f.list, Fault{Code: CodeMany, Line: one.Line, Column: one.Column,
				Text: fmt.Sprintf("There are more than %d faults in the file; the others are not told.", MostFaults), Write: "these first"})
		}
	}
}

// List returns what was collected in order of place.
func (f *Faults) List() []Fault {
	slices.SortStableFunc(f.list, func(a, b Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return f.list
}

// Keys adds an "unknown key" fault for each key of mapping m that is not in
// known, with the nearest known one.
func (f *Faults) Keys(m Node, known []string) {
	for k := range m.Entries() {
		if slices.Contains(known, k.Text()) {
			continue
		}
		f.UnknownKey(k, known)
	}
}

// UnknownKey adds the fault of one key that is not in known.
func (f *Faults) UnknownKey(k Node, known []string) {
	if k.y != nil && k.y.Tag == mergeTag { // told with the file's form
		return
	}
	write := "one of: " + strings.Join(known, ", ")
	if near := Nearest(k.Text(), known); near != "" {
		write = near + ":"
	}
	f.Add(k, CodeUnknownKey, fmt.Sprintf("The key “%s” is not known here.", Short(k.Text())), write)
}

// Text returns n's text; a list or mapping is a fault, what names what stands there.
func (f *Faults) Text(n Node, what string) (string, bool) {
	if n.Kind() == Text {
		return n.Text(), true
	}
	f.Add(n, CodeKind, fmt.Sprintf("%s is a few words on one line, not a %s.", what, n.Kind()), what+": WORDS")
	return "", false
}

// Map reports whether n is a mapping; else it is a fault.
func (f *Faults) Map(n Node, what, write string) bool {
	if n.Kind() == Map {
		return true
	}
	f.Add(n, CodeKind, fmt.Sprintf("%s has keys with values under it, not %s.", what, n.Kind().article()), write)
	return false
}

// Seq reports whether n is a list; else it is a fault.
func (f *Faults) Seq(n Node, what, write string) bool {
	if n.Kind() == List {
		return true
	}
	f.Add(n, CodeKind, fmt.Sprintf("%s is a list, not %s.", what, n.Kind().article()), write)
	return false
}

// Short cuts s to a length that fits in a message.
func Short(s string) string {
	const most = 60
	n := 0
	for i := range s {
		if n == most {
			return s[:i] + "…"
		}
		n++
	}
	return s
}
