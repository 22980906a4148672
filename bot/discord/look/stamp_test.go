package look

import (
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
)

func TestMarks(t *testing.T) {
	now := time.Unix(1773500000, 0)
	for _, tt := range []struct {
		name        string
		at          time.Time
		shown       string
		now         time.Time
		mark, right string
	}{
		{"today", now.Add(time.Hour), "04:40", now, "<t:1773503600:t>", ""},
		{"tomorrow", now.Add(24 * time.Hour), "04:40 Sun", now, "<t:1773586400:t>", " (<t:1773586400:R>)"},
		{"yesterday", now.Add(-24 * time.Hour), "04:40 Fri 13 Mar", now, "<t:1773413600:t>", " (<t:1773413600:R>)"},
		{"next week", now.Add(7 * 24 * time.Hour), "04:40 Sat 21 Mar", now, "<t:1774104800:f>", ""},
		{"no clock", now.Add(24 * time.Hour), "04:40 Sun", time.Time{}, "<t:1773586400:f>", ""},
	} {
		if mark, off := marks(tt.at, tt.shown, tt.now); mark != tt.mark || off != tt.right {
			t.Errorf("%s: %q, %q; want %q, %q", tt.name, mark, off, tt.mark, tt.right)
		}
	}
}

// A moment is put in the client's mark-up where a text shows it as a word of its own.
func TestStamps(t *testing.T) {
	at := func(unix int64, shown string) answer.Fact {
		m := time.Unix(unix, 0)
		return answer.Fact{What: "ready at", Time: &m, Unit: "time", Shown: shown}
	}
	for _, tt := range []struct {
		name, in, want string
		facts          []answer.Fact
	}{
		{"in words", "in since 14:00, *now*", `in since <t:7:t>, \*now\*`, []answer.Fact{at(7, "14:00")}},
		{"twice", "14:00 or 14:00", "<t:7:t> or <t:7:t>", []answer.Fact{at(7, "14:00")}},
		{"part of another", "214:00 14:001 14:00:30", "214:00 14:001 14:00:30", []answer.Fact{at(7, "14:00")}},
		{"the longer one", "14:00 Sun and 14:00", "<t:8:f> and <t:7:t>", []answer.Fact{at(7, "14:00"), at(8, "14:00 Sun")}},
		{"in doubt", "at 14:00", "at 14:00", []answer.Fact{at(7, "14:00"), at(8, "14:00")}},
		{"a heading's sign", "# 14:00", `\# <t:7:t>`, []answer.Fact{at(7, "14:00")}},
		{"none", "- 14:00", `\- 14:00`, nil},
	} {
		st := stamps(&bot.Reply{Answer: &answer.Answer{Facts: tt.facts}}, time.Time{})
		if got := st.escape(tt.in, true); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}
