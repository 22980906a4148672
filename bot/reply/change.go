package reply

import (
	"strings"

	"tamis/bot/answer"
)

// changes writes a difference: the number that is, its name, and what was.
func (w *Words) changes(b *block, a *answer.Answer) {
	b.as(KindHeading, w.heading(a.Title))
	several, of := false, ""
	for i := range a.Facts {
		if f := &a.Facts[i]; f.Of != "" && f.Group != answer.GroupNote && f.Group != "running" {
			several = several || of != "" && f.Of != of
			of = f.Of
		}
	}
	group := ""
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.Group == answer.GroupNote {
			continue
		}
		if f.Group != group {
			group = f.Group
			b.as(KindGroup, w.say("group "+group))
		}
		if f.HasItems {
			items := strings.Join(f.Items, ", ")
			if items == "" {
				items = w.say("nothing")
			}
			label := w.label(f.What)
			if f.What == "recipes" {
				label = w.say("change touches")
			}
			b.put(Line{Kind: KindSet, Text: label + ": " + items, Lead: label, Rest: items})
			continue
		}
		s := f.Shown + "  " + w.label(f.What)
		if f.Group == "running" {
			s = strings.Join(strings.Fields(f.Shown+"  "+f.Of+" "+f.Part), " ")
			if f.At != "" {
				s += " (" + f.At + ")"
			}
			b.put(Line{Kind: KindRow, Text: s, Lead: f.Shown, Rest: after(s, f.Shown), At: f.Time})
			continue
		}
		var tail []string
		if f.Part != "" {
			tail = append(tail, f.Part)
		}
		if f.WasShown != "" {
			tail = append(tail, w.say("change was", f.WasShown))
		}
		if several && f.Of != "" {
			tail = append(tail, f.Of)
		}
		if len(tail) > 0 {
			s += " (" + strings.Join(tail, ", ") + ")"
		}
		b.put(Line{Kind: KindFigure, Text: s, Lead: f.Shown, Rest: after(s, f.Shown), At: f.Time})
	}
	for _, s := range a.Words {
		b.as(KindQuote, s)
	}
}
