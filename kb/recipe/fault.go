package recipe

import "fmt"

// Level tells a fault (the recipe is out) from a warning (it stays in).
type Level string

// The levels of a [Fault].
const (
	LevelFault   Level = "fault"
	LevelWarning Level = "warning"
)

// Fault is one thing wrong in the book: where, what, and what to write instead.
// Its JSON form is a line of `tamis book check --json`.
type Fault struct {
	Level  Level  `json:"level"`
	Code   string `json:"code"` // short stable words: "unknown key", "circle of links"
	File   string `json:"file"`
	Line   int    `json:"line"`   // 0 unknown
	Column int    `json:"column"` // 0 unknown
	Text   string `json:"text"`   // what is wrong, in a cook's words
	Write  string `json:"write"`  // what to write instead
	// Recipe is the name of the recipe that is out because of it, where there is one.
	Recipe string `json:"recipe,omitempty"`
}

// String writes the fault as file:line:column: text. Write: …
func (f Fault) String() string {
	s := f.File
	if f.Line > 0 {
		s += fmt.Sprintf(":%d", f.Line)
		if f.Column > 0 {
			s += fmt.Sprintf(":%d", f.Column)
		}
	}
	s += ": " + f.Text
	if f.Write != "" {
		s += " Write: " + f.Write
	}
	return s
}
