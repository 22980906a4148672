package look_test

import (
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf16"

	"github.com/bwmarrin/discordgo"
	"pgregory.net/rapid"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/look"
	"tamis/bot/phrase"
	"tamis/bot/reply"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/recipe"
)

// length is counted here in UTF-16 units, of which there are never fewer than code points.
func length(s string) int { return len(utf16.Encode([]rune(s))) }

// limits holds a message against the platform's figures (its documentation,
// resources/message › Create Message, Embed Limits; components/reference › Action
// Row, Button, String Select; resources/channel › Start Thread).
func limits(t interface{ Fatalf(string, ...any) }, p look.Part, asker string) {
	most := func(what string, n, most int) {
		if n > most {
			t.Fatalf("%s: %d, at most %d: %+v", what, n, most, p)
		}
	}
	most("content", length(p.Content), 2000)
	most("thread", length(p.Thread), 100)
	for i, block := range strings.Split(p.Content, "```") {
		for line := range strings.SplitSeq(block, "\n") {
			if i%2 == 1 {
				most("columns of a table", length(line), 38)
			}
		}
	}
	most("embeds", len(p.Embeds), 10)
	most("rows", len(p.Components), 5)
	most("files", len(p.Files), 10)
	if strings.TrimSpace(p.Content) == "" && len(p.Embeds) == 0 && len(p.Files) == 0 {
		t.Fatalf("an empty message: %+v", p)
	}
	all := 0
	for _, e := range p.Embeds {
		most("card title", length(e.Title), 256)
		most("card", length(e.Description), 4096)
		if strings.TrimSpace(e.Title+e.Description) == "" {
			t.Fatalf("an empty card")
		}
		all += length(e.Title) + length(e.Description)
	}
	most("all cards", all, 6000)
	ids := map[string]bool{}
	once := func(id string) {
		most("custom id", length(id), 100)
		if id == "" || ids[id] {
			t.Fatalf("custom id %q is empty or there twice", id)
		}
		ids[id] = true
	}
	for _, row := range p.Components {
		cs := row.(discordgo.ActionsRow).Components
		most("buttons in a row", len(cs), 5)
		if len(cs) == 0 {
			t.Fatalf("an empty row")
		}
		for _, c := range cs {
			switch c := c.(type) {
			case discordgo.Button:
				once(c.CustomID)
				most("label", length(c.Label), 80)
				if strings.TrimSpace(c.Label) == "" {
					t.Fatalf("a button without a label")
				}
			case discordgo.SelectMenu:
				once(c.CustomID)
				most("menus in a row", len(cs), 1)
				most("options", len(c.Options), 25)
				most("placeholder", length(c.Placeholder), 150)
				values := map[string]bool{}
				for _, o := range c.Options {
					most("option", length(o.Label), 100)
					most("value", length(o.Value), 100)
					if o.Label == "" || o.Value == "" || values[o.Value] {
						t.Fatalf("option %q is empty or there twice", o.Value)
					}
					values[o.Value] = true
				}
				if len(c.Options) == 0 {
					t.Fatalf("a menu without options")
				}
			default:
				t.Fatalf("component %T", c)
			}
		}
	}
	m := p.Mentions
	switch {
	case m == nil || m.Parse == nil || len(m.Parse) > 0 || len(m.Roles) > 0 || m.RepliedUser:
		t.Fatalf("mentions %+v", m)
	case len(m.Users) > 1 || len(m.Users) == 1 && m.Users[0] != asker:
		t.Fatalf("mentions %v, the asker is %q", m.Users, asker)
	}
}

// read is what of a text one reads: letters and digits, in order.
func read(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return -1
	}, s)
}

// said is all that the parts after a head say.
func said(parts []look.Part) string {
	if len(parts[0].Files) > 0 {
		return string(parts[0].Files[0].Data)
	}
	if parts[0].Thread != "" {
		parts = parts[1:]
	}
	var b strings.Builder
	for _, p := range parts {
		for _, e := range p.Embeds {
			b.WriteString(e.Title + "\n" + e.Description + "\n")
		}
		b.WriteString(p.Content + "\n")
	}
	return b.String()
}

var hostile = []string{"450 g", "× 3", "egg yolk", "@everyone", "<@1>", "**x**", "```", "`a`", "# h", "- l", "1. n", "https://example.org/x", "日本語", "👩‍🍳", "| a |", "\u202Eabc", "a\x00b", "[l](u)", "2 1/2 cups", "—", ""}

func wordsOf(n int) *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(rapid.OneOf(rapid.SampledFrom(hostile), rapid.StringMatching(`[a-z]{1,9}`)), 1, n).Draw(t, "words"), " ")
	})
}

// randomReply is a reply of any form, its lines as reply writes them.
func randomReply(t *rapid.T, w *reply.Words) *bot.Reply {
	a := &answer.Answer{
		Status: rapid.SampledFrom([]answer.Status{answer.StatusAnswer, answer.StatusAnswer, answer.StatusAsk, answer.StatusUnknown, answer.StatusRefused}).Draw(t, "status"),
		About:  rapid.SampledFrom([]string{"scale", "time", "help", "allergen", "timer", "change"}).Draw(t, "about"),
		Form: rapid.SampledFrom([]answer.Form{answer.FormAmounts, answer.FormCard, answer.FormMethod, answer.FormLines, answer.FormSets, answer.FormTalk, answer.FormConvert, answer.FormWords,
			answer.FormChange, answer.FormWork}).Draw(t, "form"),
		Choices: rapid.SliceOfN(wordsOf(20), 0, 140).Draw(t, "choices"),
		Title:   answer.Title{Recipe: wordsOf(30).Draw(t, "recipe"), Size: wordsOf(4).Draw(t, "size"), Factor: rapid.SampledFrom([]string{"", "3", "1/2"}).Draw(t, "factor")},
	}
	if rapid.Bool().Draw(t, "has words") {
		a.Words = rapid.SliceOfN(wordsOf(60), 0, 30).Draw(t, "words")
		for i := range a.Words { // some are longer than a message
			a.Words[i] = strings.TrimSpace(strings.Repeat(a.Words[i]+" ", rapid.SampledFrom([]int{1, 1, 40, 200}).Draw(t, "times")))
		}
	}
	a.Steps = rapid.IntRange(0, len(a.Words)).Draw(t, "steps")
	if a.Status == answer.StatusAsk {
		a.Ask = &answer.Phrase{Code: "ask ingredient", Args: []string{wordsOf(9).Draw(t, "ask")}}
	}
	if a.Status == answer.StatusUnknown || a.Status == answer.StatusRefused {
		a.Why = &answer.Phrase{Code: "no such recipe", Args: []string{wordsOf(9).Draw(t, "why")}}
	}
	for range rapid.IntRange(0, 80).Draw(t, "facts") {
		f := answer.Fact{What: wordsOf(6).Draw(t, "what"), Shown: wordsOf(3).Draw(t, "shown"), Of: wordsOf(3).Draw(t, "of"), At: rapid.SampledFrom([]string{"", "fridge"}).Draw(t, "at"),
			Part: rapid.SampledFrom([]string{"", "core"}).Draw(t, "part"), Group: rapid.SampledFrom([]string{"", "due"}).Draw(t, "group"), From: answer.FromBook, Unit: "g"}
		switch rapid.IntRange(0, 5).Draw(t, "kind") {
		case 0:
			f.HasItems, f.Items = true, rapid.SliceOfN(wordsOf(4), 0, 20).Draw(t, "items")
		case 1:
			at := time.Unix(rapid.Int64Range(0, 1<<33).Draw(t, "moment"), 0).UTC()
			f.Time, f.Unit, f.Shown = &at, "time", at.Format("15:04")
		}
		a.Facts = append(a.Facts, f)
	}
	for range rapid.IntRange(0, 4).Draw(t, "cautions") {
		a.Cautions = append(a.Cautions, answer.Phrase{Code: "book", Args: []string{wordsOf(12).Draw(t, "caution")}})
	}
	if rapid.Bool().Draw(t, "of a recipe") {
		rec := &kb.Recipe{Recipe: &recipe.Recipe{Name: a.Title.Recipe, IsPlate: rapid.Bool().Draw(t, "plate"), Method: make([]recipe.Step, rapid.IntRange(0, 2).Draw(t, "method"))},
			ID: kb.RecipeID(wordsOf(3).Draw(t, "id")), Revision: rapid.IntRange(0, 9).Draw(t, "revision"), Formula: &scale.Formula{}}
		a.Recipe = rec
	}
	r := &bot.Reply{Answer: a, Reply: w.Render(a)}
	if a.Recipe != nil {
		r.RecipeName, r.Revision = a.Recipe.Name, a.Recipe.Revision
	}
	if a.Status == answer.StatusAnswer && rapid.IntRange(0, 4).Draw(t, "worded") == 0 {
		r.Wording = &bot.Wording{KeptBack: phrase.ReasonNone}
		r.Text = strings.TrimSuffix(wordsOf(30).Draw(t, "wording")+"\n"+r.Tail, "\n")
	}
	return r
}

// Whatever a reply holds, no limit is broken, nobody but its asker is rung, and all
// that it says is said, in its order.
func TestLimits(t *testing.T) {
	w := words(t)
	l := look.New(key, w)
	var threads, files, cards, worded int
	rapid.Check(t, func(t *rapid.T) {
		r := randomReply(t, w)
		o := look.Options{
			Asker: rapid.SampledFrom([]string{"", asker, "not an id", "0"}).Draw(t, "asker"), Asked: wordsOf(12).Draw(t, "asked"), Mention: rapid.Bool().Draw(t, "mention"),
			Interaction: rapid.Bool().Draw(t, "interaction"), Threads: rapid.Bool().Draw(t, "threads"), NoCards: rapid.Bool().Draw(t, "no cards"), NoFiles: rapid.Bool().Draw(t, "no files"),
		}
		if r.Recipe != nil && rapid.Bool().Draw(t, "pressed") {
			o.Pressed = &look.Act{Do: look.DoMethod, Recipe: look.HashOf(r.Recipe.ID), Revision: 3}
		}
		parts := l.Render(r, o)
		if len(parts) == 0 {
			t.Fatalf("no message")
		}
		for _, p := range parts {
			limits(t, p, o.Asker)
			if len(p.Embeds) > 0 && o.NoCards || len(p.Files) > 0 && o.NoFiles || (p.Thread != "" || p.Where == look.Thread) && !o.Threads {
				t.Fatalf("what must not be: %+v", p)
			}
			if len(p.Embeds) > 0 {
				cards++
			}
			if strings.Contains(strings.ReplaceAll(p.Content, "\u200B", ""), "@everyone") && !strings.Contains(p.Content, "@\u200Beveryone") {
				t.Fatalf("a mention of everybody: %q", p.Content)
			}
		}
		if parts[0].Thread != "" {
			threads++
		}
		if len(parts[0].Files) > 0 {
			files++
		}
		if r.Wording != nil {
			worded++
		}
		checkSaid(t, r, parts)
	})
	t.Logf("threads %d, files %d, cards %d, worded %d", threads, files, cards, worded)
}

// Where a long reply goes.
func TestLong(t *testing.T) {
	l := look.New(key, words(t))
	method := func(steps, long int) *bot.Reply {
		a := &answer.Answer{Status: answer.StatusAnswer, About: "lookup", Form: answer.FormMethod, Title: answer.Title{Recipe: "harvest supper"}, Steps: steps,
			Cautions: []answer.Phrase{{Code: "book", Args: []string{"hot sugar"}}}}
		for range steps {
			a.Words = append(a.Words, "stir: "+strings.TrimSpace(strings.Repeat("slowly ", long)))
		}
		return &bot.Reply{Answer: a, Reply: words(t).Render(a)}
	}
	for _, tt := range []struct {
		name                 string
		r                    *bot.Reply
		o                    look.Options
		here, inside, files  int
		opens, cautionIsHere bool
	}{
		{"short", method(10, 5), look.Options{Threads: true}, 1, 0, 0, false, true},
		{"many lines", method(30, 5), look.Options{Threads: true}, 1, 1, 0, true, true},
		{"many lines, no thread", method(30, 5), look.Options{}, 1, 0, 0, false, true},
		{"two messages' worth", method(12, 40), look.Options{Threads: true}, 1, 2, 0, true, true},
		{"two messages' worth, no thread", method(12, 40), look.Options{}, 2, 0, 0, false, false},
		{"a file's worth", method(60, 40), look.Options{Threads: true}, 1, 0, 1, false, true},
		{"a file's worth, no files", method(60, 40), look.Options{Threads: true, NoFiles: true}, 1, 10, 0, true, true},
		{"a file's worth, too big", method(60, 40), look.Options{FileLimit: 1000}, 10, 0, 0, false, false},
	} {
		parts := l.Render(tt.r, tt.o)
		var here, inside, files int
		for _, p := range parts {
			limits(t, p, "")
			files += len(p.Files)
			if p.Where == look.Thread {
				inside++
			} else {
				here++
			}
		}
		if here != tt.here || inside != tt.inside || files != tt.files || (parts[0].Thread != "") != tt.opens || strings.Contains(parts[0].Content, "hot sugar") != tt.cautionIsHere {
			t.Errorf("%s: %d here, %d in the thread %q, %d files, first: %q", tt.name, here, inside, parts[0].Thread, files, parts[0].Content)
		}
		if got := read(said(parts)); !strings.Contains(got, read(tt.r.Text)) {
			t.Errorf("%s: something is lost", tt.name)
		}
	}
}

// checkSaid looks for every word of the reply's text, in order, in what is said.
// Moments are drawn by the client, so that of them only the rest is looked for.
func checkSaid(t *rapid.T, r *bot.Reply, parts []look.Part) {
	got := said(parts)
	if slices.ContainsFunc(r.Facts, func(f answer.Fact) bool { return f.Time != nil }) || r.Status == answer.StatusAsk && r.Form == answer.FormChange {
		return
	}
	rest := read(got)
	for line := range strings.SplitSeq(r.Text, "\n") {
		for _, w := range strings.Fields(line) {
			w = read(strings.NewReplacer("\x00", "", "\u202E", "").Replace(w))
			i := strings.Index(rest, w)
			if i < 0 {
				t.Fatalf("%q of %q is missing or out of order in\n%s\nof\n%s", w, line, got, r.Text)
			}
			rest = rest[i+len(w):]
		}
	}
}

// A row of a table keeps its name under its beginning.
func TestTable(t *testing.T) {
	l := look.New(key, words(t))
	row := func(shown, what string) answer.Fact {
		return answer.Fact{What: what, Shown: shown, Unit: "g", From: answer.FromBook}
	}
	for _, tt := range []struct {
		name  string
		facts []answer.Fact
		want  string
	}{
		{"plain", []answer.Fact{row("1150 g", "whole milk"), row("50 g", "salt")}, "**pear gel**\n```\n1150 g  whole milk\n  50 g  salt\n```"},
		{"a wide number moves its own name", []answer.Fact{row("3 leaves (6 g)", "gelatine"), row("50 g", "salt")}, "**pear gel**\n```\n3 leaves (6 g)  gelatine\n50 g  salt\n```"},
		{"a name that would wrap", []answer.Fact{row("1150 g", "brown butter of the house, cold"), row("50 g", "salt")},
			"card: pear gel\n**1150 g** brown butter of the house, cold\n**50 g** salt"},
		{"a name that wraps", []answer.Fact{row("1150 g", "brown butter of the house"), row("50 g", "salt")}, "**pear gel**\n```\n1150 g  brown butter of the\n        house\n  50 g  salt\n```"},
		{"a wide number and a name", []answer.Fact{row("3.5 leaves (6 g)", "gelatine leaf"), row("350 g", "cream 35 %")},
			"**pear gel**\n```\n3.5 leaves (6 g)\n       gelatine leaf\n350 g  cream 35 %\n```"},
		{"what no code block holds", []answer.Fact{row("50 g", "`salt`")}, "card: pear gel\n**50 g** \\`salt\\`"},
	} {
		a := &answer.Answer{Status: answer.StatusAnswer, About: "lookup", Form: answer.FormCard, Title: answer.Title{Recipe: "pear gel"}, Facts: tt.facts}
		p := l.Render(&bot.Reply{Answer: a, Reply: words(t).Render(a)}, look.Options{})[0]
		got := p.Content
		for _, e := range p.Embeds {
			got += "card: " + e.Title + "\n" + e.Description
		}
		if got != tt.want {
			t.Errorf("%s:\n%s\nwant\n%s", tt.name, got, tt.want)
		}
	}
}
