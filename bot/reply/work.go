package reply

import (
	"strings"
	"unicode/utf8"

	"tamis/bot/answer"
)

// work writes running work: under each heading a moment and a batch a line, the
// moments in one column.
func (w *Words) work(b *block, a *answer.Answer) {
	width := 0
	for i := range a.Facts {
		if f := &a.Facts[i]; f.Group != "" && f.Group != answer.GroupNote && f.What != "late" {
			width = max(width, min(16, utf8.RuneCountInString(f.Shown)))
		}
	}
	group := ""
	for i := range a.Facts {
		f := &a.Facts[i]
		if f.What == "more timers" {
			b.line(w.say("more timers", f.Shown))
			continue
		}
		if f.Group == "" || f.Group == answer.GroupNote {
			continue
		}
		if f.Group != group {
			group = f.Group
			b.as(KindGroup, w.heads(group, a))
		}
		if f.What == "late" {
			late := w.say("said late", f.Shown)
			b.put(Line{Kind: KindDetail, Text: strings.Repeat(" ", width+2) + late, Rest: late})
			continue
		}
		pad := strings.Repeat(" ", max(0, width-utf8.RuneCountInString(f.Shown)))
		if f.What == "temperature" && f.Of != "" { // what it is of and when, in one line
			rest := f.Of + ", " + f.At
			b.put(Line{Kind: KindRow, Text: f.Shown + pad + "  " + rest, Lead: f.Shown, Rest: rest})
			continue
		}
		if f.Of == "" {
			b.put(Line{Kind: KindRow, Text: f.Shown + pad + "  " + f.At, Lead: f.Shown, Rest: f.At, At: f.Time})
			continue
		}
		b.put(Line{Kind: KindRow, Text: f.Shown + pad + "  " + f.Of, Lead: f.Shown, Rest: f.Of, At: f.Time})
		if f.At != "" {
			b.put(Line{Kind: KindDetail, Text: strings.Repeat(" ", width+2) + f.At, Rest: f.At})
		}
	}
}

// heads is a heading of running work; what is ready by a given time says which.
func (w *Words) heads(group string, a *answer.Answer) string {
	if a.Title.Size != "" {
		if s, ok := w.find("group "+group+" at", a.Title.Size); ok {
			return s
		}
	}
	return w.say("group "+group, a.Title.Size)
}
