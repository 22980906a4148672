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
			b.line(w.heads(group, a))
		}
		if f.What == "late" {
			b.line(strings.Repeat(" ", width+2) + w.say("said late", f.Shown))
			continue
		}
		pad := strings.Repeat(" ", max(0, width-utf8.RuneCountInString(f.Shown)))
		if f.Of == "" {
			b.line(f.Shown + pad + "  " + f.At)
			continue
		}
		b.line(f.Shown + pad + "  " + f.Of)
		if f.At != "" {
			b.line(strings.Repeat(" ", width+2) + f.At)
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
