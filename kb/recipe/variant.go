package recipe

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"tamis/kb/name"
	"tamis/kb/yamldoc"
)

const aChange = "change: {sugar: 80 g, milk: {oat drink: 540 g}, walnut: none}"

// changes reads `change:`.
func (p *reader) changes(n yamldoc.Node) []Change {
	if n.Empty() && n.Kind() == yamldoc.Text || !p.faults.Map(n, "change", aChange) {
		return nil
	}
	out := make([]Change, 0, n.Len())
	seen := map[string]bool{}
	for k, v := range n.Entries() {
		c := Change{Pos: p.pos(k)}
		c.Line, c.Bought = cutBought(spaces(k.Text()))
		if !p.named(k, c.Line) {
			continue
		}
		fold := name.Fold(c.Line)
		if seen[fold] {
			p.faults.Add(k, CodeTwice, quoted(c.Line)+" is changed twice.", "one change of each line")
			continue
		}
		seen[fold] = true
		if p.change(&c, v) {
			out = append(out, c)
		}
	}
	return out
}

// change reads the value of one change: none, an amount, keys of the line, or
// another line in its place.
func (p *reader) change(c *Change, v yamldoc.Node) bool {
	switch {
	case v.Kind() == yamldoc.Text && strings.EqualFold(spaces(v.Text()), "none"):
		c.Out = true
	case v.Kind() == yamldoc.Text:
		a, ok := value(p, v, "change", func(s string) (Amount, error) { return ParseAmount(s, p.m) })
		c.Amount = &a
		return ok
	case v.Kind() != yamldoc.Map || v.Len() == 0:
		p.faults.Add(v, yamldoc.CodeKind, "The change of "+quoted(c.Line)+" cannot be read.", aChange)
		return false
	case p.allLineKeys(v):
		l := Line{Pos: c.Pos, Name: c.Line, Bought: c.Bought}
		p.lineKeys(&l, v, plateKeys)
		c.Detail = &l
	default:
		k, amount := v.Entry(0)
		if v.Len() > 1 && !p.changeKeys(v) {
			return false
		}
		l := Line{Pos: p.pos(k)}
		l.Name, l.Bought = cutBought(spaces(k.Text()))
		p.named(k, l.Name)
		p.lineValue(&l, amount, plateKeys)
		for i := 1; i < v.Len(); i++ {
			k, v := v.Entry(i)
			p.lineKey(&l, k, v, plateKeys[1:])
		}
		c.With = &l
	}
	return true
}

func (p *reader) allLineKeys(m yamldoc.Node) bool {
	for k := range m.Entries() {
		if !has(plateKeys, k.Text()) {
			return false
		}
	}
	return true
}

// changeKeys checks that behind another line's name stand only keys of a line.
func (p *reader) changeKeys(m yamldoc.Node) bool {
	for i := 1; i < m.Len(); i++ {
		if k, _ := m.Entry(i); !has(plateKeys[1:], k.Text()) {
			p.faults.Add(k, CodeChange, "One line takes the place of one; "+quoted(k.Text())+" is too much.", "its own entry under change:")
			return false
		}
	}
	return true
}

// ApplyChange makes a whole recipe of a variant and its base, which is whole
// itself; neither of them changes.
//
//   - Keys that the variant writes take the place of the base's whole key; also,
//     picture and notes are not inherited.
//   - change: gives a line of the base another amount or other keys, puts
//     another line in its place (which keeps its part, on and out), takes it
//     out, or adds one at the end.
//   - Faults: a change of a line that the base lacks or has several times.
func ApplyChange(base, variant *Recipe) (*Recipe, []Fault) {
	out := *variant
	written := func(key string) bool { return variant.Written[key] }
	inherit := func(key string, take func()) {
		if !written(key) {
			take()
		}
	}
	inherit("section", func() { out.Section = base.Section })
	inherit("makes", func() { out.Makes = base.Makes })
	inherit("loss", func() { out.Loss = base.Loss })
	inherit("method", func() { out.Method = base.Method })
	inherit("keeps", func() { out.Keeps = base.Keeps })
	inherit("cautions", func() { out.Cautions = base.Cautions })
	inherit("season", func() { out.Season = base.Season })
	inherit("instead", func() { out.Instead = base.Instead })
	inherit("spare", func() { out.Spare = base.Spare })
	inherit("density", func() { out.Density = base.Density })
	inherit("overrun", func() { out.Overrun = base.Overrun })
	inherit("made with shared", func() { out.SharedWith = base.SharedWith })
	inherit("suits", func() { out.Suits, out.SuitsStated = base.Suits, base.SuitsStated })
	inherit("if", func() { out.If = base.If })
	inherit("pours", func() { out.Pours = base.Pours })
	out.Written = maps.Clone(variant.Written)
	if !written("ingredients") && !written("plate") {
		out.Lines, out.IsPlate = slices.Clone(base.Lines), base.IsPlate
	}
	ch := changer{lines: out.Lines, base: base, variant: variant}
	for i := range variant.Change {
		ch.apply(&variant.Change[i])
	}
	out.Lines = slices.DeleteFunc(ch.lines, func(l Line) bool { return l.Name == "" })
	if len(ch.faults) == 0 && len(out.Lines) == 0 {
		ch.fault(variant.Pos, "Nothing is left of the base's lines.", "a change that leaves a line")
	}
	return &out, ch.faults
}

// changer applies changes to the lines of a variant; a line that is out keeps
// its place without a name until the end, so that no change meets another's line.
type changer struct {
	lines         []Line
	base, variant *Recipe
	folds         []string // of the base's lines
	faults        []Fault
}

func (ch *changer) fault(pos Pos, text, write string) {
	ch.faults = append(ch.faults, Fault{Level: LevelFault, Code: CodeChange, File: pos.File, Line: pos.Line, Column: pos.Column,
		Text: text, Write: write, Recipe: ch.variant.Name})
}

func (ch *changer) apply(c *Change) {
	if ch.folds == nil {
		ch.folds = foldLines(ch.lines)
	}
	want := name.Fold(c.Line)
	var at []int
	for i, f := range ch.folds {
		if f == want {
			at = append(at, i)
		}
	}
	switch {
	case c.Out && len(at) > 0:
		for _, i := range at {
			ch.lines[i] = Line{}
		}
	case len(at) > 1:
		ch.fault(c.Pos, fmt.Sprintf("%s stands on %d lines of %s; the change could mean any.", quoted(c.Line), len(at), quoted(ch.base.Name)),
			"all the variant's lines under ingredients: in place of this change")
	case len(at) == 1:
		ch.change(&ch.lines[at[0]], c)
	case c.Amount != nil:
		ch.lines = append(ch.lines, Line{Pos: c.Pos, Name: c.Line, Bought: c.Bought, Amount: *c.Amount})
	case c.Detail != nil && c.Detail.Amount.Kind != NoAmount:
		ch.lines = append(ch.lines, *c.Detail)
	case c.Detail != nil:
		ch.fault(c.Pos, fmt.Sprintf("%s has no line %s, so this one needs an amount.", quoted(ch.base.Name), quoted(c.Line)), ch.nearest(c.Line, "{amount: 12 g, …}"))
	default:
		ch.fault(c.Pos, fmt.Sprintf("%s has no line %s.", quoted(ch.base.Name), quoted(c.Line)), ch.nearest(c.Line, "the name of one of its lines"))
	}
}

func (ch *changer) nearest(line, otherwise string) string {
	if near := nearestLine(line, ch.base.Lines); near != "" {
		return near + ": …"
	}
	return otherwise
}

// change changes the line l in its place.
func (ch *changer) change(l *Line, c *Change) {
	switch {
	case c.Amount != nil:
		l.Amount, l.Pos = *c.Amount, c.Pos
		l.Bought = l.Bought || c.Bought
	case c.Detail != nil:
		d := c.Detail
		l.Pos, l.Bought = c.Pos, l.Bought || c.Bought
		if d.Amount.Kind != NoAmount {
			l.Amount = d.Amount
		}
		put := func(to *string, s string) {
			if s != "" {
				*to = s
			}
		}
		put(&l.Part, d.Part)
		put(&l.Note, d.Note)
		put(&l.Prep, d.Prep)
		put(&l.As, d.As)
		put(&l.On, d.On)
		if d.Out != nil {
			l.Out = d.Out
		}
	case c.With != nil:
		with := *c.With
		if with.Part == "" {
			with.Part = l.Part
		}
		if with.On == "" {
			with.On = l.On
		}
		if with.Out == nil {
			with.Out = l.Out
		}
		*l = with
	}
}

func foldLines(lines []Line) []string {
	out := make([]string, len(lines))
	for i := range lines {
		out[i] = name.Fold(lines[i].Name)
	}
	return out
}
