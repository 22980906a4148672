package kb

import (
	"strings"
	"unicode/utf8"

	"tamis/kb/recipe"
)

// The codes of the faults and warnings that need more than one file to see.
const (
	codeName         = "name"
	codeSameName     = "two recipes with one name"
	codeNoBase       = "no such recipe"
	codeSharedAlias  = "shared alias"
	codeVariants     = "circle of variants"
	codeDeep         = "nested too deep"
	codeCircle       = "circle of links"
	codeOut          = "link is out"
	codeNoName       = "no such name"
	codePieces       = "piece word"
	codePercent      = "percent"
	codeFrom         = "from"
	codeLoss         = "loss"
	codeCore         = "core"
	codeFine         = "numbers too fine"
	codeUnknown      = "unknown ingredient"
	codeAliasLink    = "alias turns an ingredient into a link"
	codeMakes        = "mass off makes"
	codePan          = "does not fit its pan"
	codeDensity      = "no density"
	maxShown         = 3   // names in a list of suggestions
	maxDepth         = 60  // links below links; calc/scale follows 64
	maxVariants      = 200 // variants of variants
	maxPercentChain  = 16  // % of lines that are % lines
	maxBits          = 4096
	longestNameShown = 60
)

// fault puts the recipe out.
func (e *entry) fault(at recipe.Pos, code, text, write string) {
	e.out = true
	e.faults = append(e.faults, e.say(recipe.LevelFault, at, code, text, write))
}

// warn tells and leaves the recipe in.
func (e *entry) warn(at recipe.Pos, code, text, write string) {
	e.warns = append(e.warns, e.say(recipe.LevelWarning, at, code, text, write))
}

func (e *entry) say(level recipe.Level, at recipe.Pos, code, text, write string) recipe.Fault {
	if at.File == "" {
		at.File = e.file.Path
	}
	f := recipe.Fault{Level: level, Code: code, File: at.File, Line: at.Line, Column: at.Column, Text: text, Write: write}
	if level == recipe.LevelFault {
		f.Recipe = e.r.Name
	}
	return f
}

// why is the reason that whatever links to e repeats.
func (e *entry) why() string {
	switch {
	case e.root != "":
		return e.root
	case len(e.faults) == 0:
		return e.file.Path + " cannot be read"
	}
	f := e.faults[0]
	f.Write = ""
	return strings.TrimSuffix(f.String(), ".")
}

// quote puts a name from the book into quotes, short and on one line.
func quote(s string) string { return "“" + clip(s) + "”" }

func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if utf8.RuneCountInString(s) <= longestNameShown {
		return s
	}
	return string([]rune(s)[:longestNameShown]) + "…"
}

// list writes the first few names, each quoted.
func list(names []string) string {
	var q []string
	for _, n := range names[:min(len(names), maxShown)] {
		q = append(q, quote(n))
	}
	if len(names) > maxShown {
		q = append(q, "…")
	}
	return strings.Join(q, ", ")
}
