package bot_test

import (
	"context"
	"encoding/json"
	"strings"
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb"
	"tamis/kb/store"
)

var demo = sync.OnceValue(func() *kb.Snapshot {
	d, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	s, err := d.Head(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	return s
})

func asker(t interface{ Fatal(...any) }) *bot.Asker {
	k, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return demo(), nil })
	if err != nil {
		t.Fatal(err)
	}
	return k
}

var evening = time.Date(2026, 3, 14, 22, 40, 0, 0, time.UTC)

// talk says lines in one conversation, a minute apart, and returns the last reply.
func talk(t interface{ Fatal(...any) }, k *bot.Asker, who string, lines ...string) bot.Reply {
	var r bot.Reply
	var err error
	for i, line := range lines {
		r, err = k.Ask(context.Background(), bot.Message{Conversation: bot.ConversationID(who), At: evening.Add(time.Duration(i) * time.Minute), Text: line, Role: bot.Commis})
		if err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func first(r bot.Reply) string {
	if r.Status != answer.StatusAnswer || len(r.Facts) == 0 {
		return string(r.Status)
	}
	return r.Facts[0].Shown + " " + r.Facts[0].What
}

// A conversation goes on from the line before: each new line replaces what it names.
func TestConversation(t *testing.T) {
	for _, c := range []struct {
		lines []string
		want  string
	}{
		{[]string{"how much yolk for 3x ice cream base", "and for 5x?"}, "750 g egg yolk"},
		{[]string{"how much yolk for 3x ice cream base", "what about the sugar"}, "558 g caster sugar"},
		{[]string{"how much yolk for 3x ice cream base", "no, the walnut one"}, "450 g egg yolk"},
		{[]string{"how much sugar for 3x ice cream base", "same for the crumble"}, "510 g brown sugar"},
		{[]string{"how much yolk for 2x ice cream base", "in ounces"}, "10.6 oz egg yolk"},
		{[]string{"pear and sorrel for 40, sorbet?", "and for 60"}, "1320 g sorrel sorbet"},
		{[]string{"ice cream x2 yolk", "2"}, "300 g egg yolk"},
		{[]string{"ice cream x2 yolk", "the first one"}, "300 g egg yolk"},
		{[]string{"x2 how much buckwheat groats", "risotto"}, "1200 g buckwheat groats"},
		{[]string{"how much yolk for 3x ice cream base", "how long does the crumble keep", "crumble salt"}, "4 g salt"},
		{[]string{"how much yolk for 3x ice cream base", "how much yuzu", "and the sugar?"}, "558 g caster sugar"},
		{[]string{"how much yolk for 3x ice cream base", "never mind", "how much sugar"}, "558 g caster sugar"},
	} {
		if got := first(talk(t, asker(t), "ida", c.lines...)); got != c.want {
			t.Errorf("%q: got %q, want %q", c.lines, got, c.want)
		}
	}
}

// Two people in one channel are kept apart, and half an hour ends a talk.
func TestTalksAreKeptApart(t *testing.T) {
	k := asker(t)
	talk(t, k, "ida", "how much yolk for 3x ice cream base")
	talk(t, k, "jon", "crumble x2 butter")
	if got := first(talk(t, k, "ida", "and for 5x?")); got != "750 g egg yolk" {
		t.Errorf("ida got %q", got)
	}
	if got := first(talk(t, k, "jon", "and for 5x?")); got != "1100 g butter" {
		t.Errorf("jon got %q", got)
	}
	r, err := k.Ask(context.Background(), bot.Message{Conversation: "ida", At: evening.Add(31 * time.Minute), Text: "and for 7x?", Role: bot.Commis})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status == answer.StatusAnswer {
		t.Errorf("after half an hour: %s", r.Text)
	}
}

// What is not there is not answered with a number, what is unclear is asked.
func TestHonesty(t *testing.T) {
	for _, c := range []struct {
		text string
		want answer.Status
	}{
		{"how much yuzu in the yuzu curd", answer.StatusUnknown},
		{"how much saffron in the crumble", answer.StatusUnknown},
		{"pistachio ice cream sugar", answer.StatusUnknown},
		{"how much sugar", answer.StatusAsk},
		{"ice cream", answer.StatusAsk},
		{"1,200 g ice cream base how much milk", answer.StatusAsk},
		{"crumble x0", answer.StatusAsk},
		{"crumble x -2", answer.StatusAsk},
		{"10000 x crumble", answer.StatusAsk},
		{"200 ml in g", answer.StatusAsk},
		{"how much yolk in the ice cream base for 45 or so of 12", answer.StatusAsk},
		{"mushroom jus stood out all night, boil it and use it?", answer.StatusRefused},
	} {
		r := talk(t, asker(t), "ida", c.text)
		if r.Status != c.want {
			t.Errorf("%q: %s, want %s:\n%s", c.text, r.Status, c.want, r.Text)
		}
		if c.want == answer.StatusUnknown && len(r.Facts) > 0 {
			t.Errorf("%q: facts in an unknown: %v", c.text, r.Facts)
		}
	}
}

// Understanding does not hang on case, accents, punctuation or doubled spaces.
func TestIndifference(t *testing.T) {
	k := asker(t)
	texts := []string{"how much yolk for 3x ice cream base", "how long does the crumble keep", "puree de celeri", "potato purée x2 butter", "does the crumble contain nuts", "method for the pear gel", "pear and sorrel for 40, sorbet?", "what temp is the tuile baked at"}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(texts).Draw(t, "text")
		other := text
		if rapid.Bool().Draw(t, "upper") {
			other = strings.ToUpper(other)
		}
		if rapid.Bool().Draw(t, "spaces") {
			other = "  " + strings.ReplaceAll(other, " ", "   ") + " "
		}
		if rapid.Bool().Draw(t, "plain") {
			other = strings.NewReplacer("é", "e", "É", "E").Replace(other)
		}
		other += rapid.SampledFrom([]string{"", "?", "!!", " 🙏", " ...", "??"}).Draw(t, "end")
		a, b := talk(t, k, "a"+text, text), talk(t, k, "b"+other, other)
		x, err := json.Marshal(a.Facts)
		if err != nil {
			t.Fatal(err)
		}
		y, err := json.Marshal(b.Facts)
		if err != nil {
			t.Fatal(err)
		}
		if string(x) != string(y) || a.Status != b.Status {
			t.Fatalf("%q:\n%s\n%q:\n%s", text, x, other, y)
		}
	})
}

// Every number of a reply's text is a fact, quoted from the book, or in a name.
func TestNumbersAreFacts(t *testing.T) {
	k := asker(t)
	for _, text := range []string{"how much yolk for 3x ice cream base", "pear and sorrel for 45", "walnut dome x2", "only 300 g cream left, walnut dome, yolk?", "rye tuile temp and time", "fill all the dome 45 with walnut dome, milk?", "cost of the crumble", "5 kg rye bread flour"} {
		r := talk(t, k, text, text)
		known := text
		for _, f := range r.Facts {
			data, err := json.Marshal(f)
			if err != nil {
				t.Fatal(err)
			}
			known += " " + string(data)
		}
		known += strings.Join(r.Words, " ")
		for _, w := range strings.FieldsFunc(r.Text, func(c rune) bool { return (c < '0' || c > '9') && c != '.' }) {
			if w = strings.Trim(w, "."); w != "" && !strings.Contains(known, w) {
				t.Errorf("%q: %s is in no fact:\n%s", text, w, r.Text)
			}
		}
	}
}

func FuzzAsk(f *testing.F) {
	for _, s := range []string{"how much yolk for 3x ice cream base", "and for 5x?", "yes", "1", "x", "½", "-", "1,200 g", "\x00", "for for for", "without without"} {
		f.Add(s, "and for 2")
	}
	k := asker(f)
	f.Fuzz(func(t *testing.T, a, b string) {
		for _, text := range []string{a, b, a} {
			r, err := k.Ask(context.Background(), bot.Message{Conversation: "fuzz", At: evening, Text: text, Role: bot.Commis})
			if err != nil {
				t.Fatal(err)
			}
			if r.Status == answer.StatusUnknown && len(r.Facts) > 0 {
				t.Fatalf("%q: facts in an unknown", text)
			}
			if _, err := json.Marshal(r.Facts); err != nil {
				t.Fatalf("%q: %v", text, err)
			}
		}
	})
}
