package look

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"tamis/bot"
	"tamis/bot/reply"
)

// stamp is a moment in the client's own mark-up: it is drawn in the reader's zone.
func stamp(unix int64, style string) string {
	return "<t:" + strconv.FormatInt(unix, 10) + ":" + style + ">"
}

// near is how far a moment may be for "in 6 hours" to say its day.
const near = 60 * time.Hour

// marks draw a moment that a text shows: the clock time; where the text says the
// day too, how far off it is, or the date.
func marks(at time.Time, shown string, now time.Time) (mark, off string) {
	u := at.Unix()
	switch d := at.Sub(now); {
	case len(shown) <= len("15:04"):
		return stamp(u, "t"), ""
	case !now.IsZero() && d < near && d > -near:
		return stamp(u, "t"), " (" + stamp(u, "R") + ")"
	}
	return stamp(u, "f"), ""
}

// stampSet are the moments that a reply's facts show, the longest text first.
type stampSet struct {
	now   time.Time
	marks []shownAs
}

type shownAs struct{ shown, mark string }

// stamps are the moments of a reply that a text shows without doubt: one text,
// one moment.
func stamps(r *bot.Reply, now time.Time) stampSet {
	out := stampSet{now: now}
	if r.Answer == nil {
		return out
	}
	at := map[string]time.Time{}
	doubt := map[string]bool{}
	for i := range r.Facts {
		f := &r.Facts[i]
		if f.Time == nil || f.Shown == "" {
			continue
		}
		if old, ok := at[f.Shown]; ok && !old.Equal(*f.Time) {
			doubt[f.Shown] = true
		}
		at[f.Shown] = *f.Time
	}
	for s, t := range at {
		if !doubt[s] {
			mark, off := marks(t, s, now)
			out.marks = append(out.marks, shownAs{s, mark + off})
		}
	}
	slices.SortFunc(out.marks, func(a, b shownAs) int {
		return cmp.Or(cmp.Compare(len(b.shown), len(a.shown)), strings.Compare(a.shown, b.shown))
	})
	return out
}

// escape escapes a line and puts the moments in their mark-up.
func (st stampSet) escape(s string, atStart bool) string {
	for _, m := range st.marks {
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

// lead is what a line begins with, and how far off it is.
func (st stampSet) lead(ln *reply.Line) (lead, off string) {
	if ln.At != nil {
		return marks(*ln.At, ln.Lead, st.now)
	}
	return st.escape(ln.Lead, false), ""
}

// plain is a text as it stands, a piece a line.
func (st stampSet) plain(s string) []piece {
	var out []piece
	for line := range strings.SplitSeq(s, "\n") {
		out = append(out, piece{text: bind(st.escape(line, true))})
	}
	return out
}
