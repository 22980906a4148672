package look

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"tamis/bot"
	"tamis/bot/reply"
)

// stamp is a moment in the client's own mark-up: it is drawn in the reader's zone.
func stamp(unix int64, style string) string {
	return "<t:" + strconv.FormatInt(unix, 10) + ":" + style + ">"
}

// styleOf is the style that shows as much as a text does: a clock time, or the
// day with it.
func styleOf(shown string) string {
	if len(shown) <= len("15:04") {
		return "t"
	}
	return "f"
}

// stampSet are the moments that a reply's facts show, the longest text first.
type stampSet []struct{ shown, mark string }

// stamps are the moments of a reply that a text shows without doubt: one text,
// one moment.
func stamps(r *bot.Reply) stampSet {
	if r.Answer == nil {
		return nil
	}
	at := map[string]int64{}
	doubt := map[string]bool{}
	for i := range r.Facts {
		f := &r.Facts[i]
		if f.Time == nil || f.Shown == "" {
			continue
		}
		u := f.Time.Unix()
		if old, ok := at[f.Shown]; ok && old != u {
			doubt[f.Shown] = true
		}
		at[f.Shown] = u
	}
	var out stampSet
	for s, u := range at {
		if !doubt[s] {
			out = append(out, struct{ shown, mark string }{s, stamp(u, styleOf(s))})
		}
	}
	slices.SortFunc(out, func(a, b struct{ shown, mark string }) int {
		return cmp.Or(cmp.Compare(len(b.shown), len(a.shown)), strings.Compare(a.shown, b.shown))
	})
	return out
}

// escape escapes a line and puts the moments in their mark-up.
func (st stampSet) escape(s string, atStart bool) string {
	for _, m := range st {
		from := 0
		for {
			i := strings.Index(s[from:], m.shown)
			if i < 0 {
				break
			}
			i += from
			end := i + len(m.shown)
			before, _ := utf8.DecodeLastRuneInString(s[:i])
			after, _ := utf8.DecodeRuneInString(s[end:])
			if word(before) || word(after) || after == ':' && end+1 < len(s) && unicode.IsDigit(rune(s[end+1])) {
				from = end
				continue
			}
			head := ""
			if i > 0 {
				head = st.escape(s[:i], atStart)
			}
			return head + m.mark + st.escape(s[end:], false)
		}
	}
	return escape(s, atStart)
}

func word(r rune) bool {
	return r != utf8.RuneError && (unicode.IsLetter(r) || unicode.IsDigit(r))
}

// lead is what a line begins with.
func (st stampSet) lead(ln *reply.Line) string {
	if ln.At != nil {
		return stamp(ln.At.Unix(), styleOf(ln.Lead))
	}
	return st.escape(ln.Lead, false)
}

// plain is a text as it stands, a piece a line.
func (st stampSet) plain(s string) []piece {
	var out []piece
	for line := range strings.SplitSeq(s, "\n") {
		out = append(out, piece{text: bind(st.escape(line, true))})
	}
	return out
}
