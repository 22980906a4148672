package recipe

import (
	"fmt"
	"slices"
	"strings"

	"tamis/kb/name"
	"tamis/kb/yamldoc"
)

// CheckNames finds the names in a whole recipe that must be lines of it and are
// none (`% of`, `uses`, `of`, `on`), and parts mixed with masses. [Parse] has
// called it for a recipe that is no variant; of a variant it wants the recipe
// that [ApplyChange] made. Lines are named without regard to case, accents,
// hyphens and plural.
func CheckNames(r *Recipe) []Fault {
	c := checker{r: r}
	for i := range r.Lines {
		l := &r.Lines[i]
		amounts := []*Amount{&l.Amount, l.Amount.Start}
		for _, a := range amounts {
			if a == nil || a.Kind != PercentOf || len(a.Of) == 1 && a.Of[0] == "liquids" {
				continue
			}
			for _, of := range a.Of {
				c.line(l.Pos, of, quoted(l.Name)+" is a % of")
			}
		}
		if l.On != "" {
			if c.line(l.Pos, l.On, quoted(l.Name)+" stands on") && name.Fold(l.On) == name.Fold(l.Name) {
				c.fault(l.Pos, CodeNoLine, quoted(l.Name)+" stands on itself.", "on: another line of the plate")
			}
		}
	}
	for i := range r.Method {
		s := &r.Method[i]
		for _, u := range s.Uses {
			c.line(u.Pos, u.Name, fmt.Sprintf("Step %d uses", i+1))
		}
		for _, of := range s.Of {
			c.line(s.Pos, of, fmt.Sprintf("Step %d is of", i+1))
		}
	}
	c.parts()
	return c.faults
}

type checker struct {
	r      *Recipe
	names  map[string]bool // of the lines, folded; made when first needed
	faults []Fault
}

func (c *checker) fault(pos Pos, code, text, write string) {
	if pos.File != c.r.Pos.File { // what a variant took over from its base
		pos = c.r.Pos
	}
	c.faults = append(c.faults, Fault{Level: LevelFault, Code: code, File: pos.File, Line: pos.Line, Column: pos.Column,
		Text: text, Write: write, Recipe: c.r.Name})
}

// line reports whether a line has the name; else it is a fault.
func (c *checker) line(pos Pos, of, what string) bool {
	if len(c.faults) >= yamldoc.MostFaults { // more are not told
		return false
	}
	if c.names == nil {
		c.names = make(map[string]bool, len(c.r.Lines))
		for i := range c.r.Lines {
			c.names[name.Fold(c.r.Lines[i].Name)] = true
		}
	}
	of, _ = cutBought(of)
	fold := name.Fold(of)
	if c.names[fold] {
		return true
	}
	for i := range c.r.Change {
		if ch := &c.r.Change[i]; (ch.Out || ch.With != nil) && name.Fold(ch.Line) == fold {
			c.fault(ch.Pos, CodeNoLine, what+" "+quoted(of)+", which this change takes away.", "method: or the lines that name it anew in the variant, or leave the line in")
			return false
		}
	}
	write := nearestLine(of, c.r.Lines)
	if write == "" {
		write = "the name of one of its lines: " + lineNames(c.r.Lines)
	}
	c.fault(pos, CodeNoLine, what+" "+quoted(of)+", and no line has that name.", write)
	return false
}

// lineNames lists the first few lines.
func lineNames(lines []Line) string {
	var names []string
	for i := range lines {
		if len(names) == 8 {
			return strings.Join(names, ", ") + "…"
		}
		names = append(names, yamldoc.Short(lines[i].Name))
	}
	return strings.Join(names, ", ")
}

// nearestLine returns the line that a name most likely means: one spelt nearly
// like it, or the only one that holds all its words; else "".
func nearestLine(of string, lines []Line) string {
	names := make([]string, 0, min(len(lines), 200))
	for i := range lines[:min(len(lines), 200)] {
		names = append(names, lines[i].Name)
	}
	if near := yamldoc.Nearest(of, names); near != "" {
		return near
	}
	found := ""
	words := name.Words(of)
	for _, n := range names {
		has := name.Words(n)
		if len(words) == 0 || slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(has, w) }) {
			continue
		}
		if found != "" {
			return ""
		}
		found = n
	}
	return found
}

// parts finds masses in a recipe of parts.
func (c *checker) parts() {
	mixed := false
	for i := range c.r.Lines {
		mixed = mixed || c.r.Lines[i].Amount.Kind == Parts
	}
	if !mixed {
		return
	}
	for i := range c.r.Lines {
		l := &c.r.Lines[i]
		a := l.Amount
		if len(c.faults) >= yamldoc.MostFaults {
			return
		}
		if a.Kind == ToTaste && a.Start != nil {
			a = *a.Start
		}
		if a.Kind == Measured || a.Kind == Pieces && a.Mass != nil {
			c.fault(l.Pos, CodeParts, "The recipe is in parts, but "+quoted(l.Name)+" is "+quoted(l.Amount.Text)+".", "all amounts in parts, or all in masses")
		}
	}
}
