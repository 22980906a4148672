package look_test

import (
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"
	"pgregory.net/rapid"

	"tamis/bot"
	"tamis/bot/discord/look"
)

// A form keeps the platform's figures (interactions/receiving-and-responding ›
// Modal; components/reference › Text Input), whatever the recipe is called.
func TestModal(t *testing.T) {
	l := look.New(key, words(t))
	rapid.Check(t, func(t *rapid.T) {
		a := look.Act{Do: rapid.SampledFrom([]look.Do{look.DoCovers, look.DoFactor, look.DoLeft}).Draw(t, "do"), Recipe: look.Hash(rapid.Uint64Min(1).Draw(t, "recipe")), What: rapid.StringMatching(`[a-z]{0,20}`).Draw(t, "what")}
		m := l.Modal(a, wordsOf(30).Draw(t, "name"))
		if m == nil {
			t.Fatalf("no form for %+v", a)
		}
		if n := length(m.Title); n < 1 || n > 45 || strings.TrimSpace(m.Title) == "" || strings.Contains(m.Title, "\n") {
			t.Fatalf("title %q", m.Title)
		}
		if got, err := look.Read(key, m.CustomID); err != nil || got != a {
			t.Fatalf("the form carries %+v, %v", got, err)
		}
		in := m.Components[0].(discordgo.ActionsRow).Components[0].(discordgo.TextInput)
		if len(m.Components) != 1 || length(in.Label) > 45 || in.Label == "" || length(in.Placeholder) > 100 || in.MaxLength > 4000 || in.MinLength < 0 || in.CustomID == "" || len(in.CustomID) > 100 {
			t.Fatalf("%+v", in)
		}
		if look.Typed(map[string]string{in.CustomID: "12"}) != "12" {
			t.Fatal("what is typed is not found again")
		}
	})
	if m := l.Modal(look.Act{Do: look.DoMethod}, "x"); m != nil {
		t.Errorf("a form for what has none: %+v", m)
	}
}

func TestRefusal(t *testing.T) {
	l := look.New(key, words(t))
	said := map[string]bool{}
	for _, err := range []error{look.ErrForeign, look.ErrNewer, look.ErrNotYours, look.ErrGone, look.ErrOver, look.ErrTyped} {
		parts := l.Refusal(err, look.Options{Asker: asker, Mention: true})
		limits(t, parts[0], asker)
		if len(parts) != 1 || parts[0].Flags&discordgo.MessageFlagsEphemeral == 0 || strings.Contains(parts[0].Content, "button ") || strings.Contains(parts[0].Content, "<@") || said[parts[0].Content] {
			t.Errorf("%v: %+v", err, parts)
		}
		said[parts[0].Content] = true
	}
}

// A press under an old message is answered from today's recipe, and says so.
func TestChanged(t *testing.T) {
	k := open(t)
	k.says("", "Jonte", "bay custard", look.Options{})
	k.presses("", "Jonte", "×2", "", look.Options{})
	if strings.Contains(k.last[0].Content, "has changed") {
		t.Errorf("nothing has changed: %s", k.last[0].Content)
	}
	k.says("", "Oona", "bay custard", look.Options{})
	old := k.last
	k.says("", "Solvei", "yolk in the bay custard is now 140 g", look.Options{})
	k.presses("", "Solvei", "Yes, write it", "", look.Options{})
	k.last = old
	k.presses("", "Oona", "×2", "", look.Options{})
	got := k.last[0].Content
	if !strings.Contains(got, "280 g  egg yolk") || !strings.Contains(got, "⚠️ The recipe has changed since that button was made: revision 1 then, 2 now.") {
		t.Errorf("pressed:\n%s", got)
	}
}

// Words of the bot's own are escaped as a book's are.
func TestText(t *testing.T) {
	l := look.New(key, words(t))
	for _, text := range []string{"", "plain", "**x** @everyone", strings.Repeat("long words ", 500), strings.Repeat("x", 9000)} {
		for _, p := range l.Text(text, look.Options{}) {
			limits(t, p, "")
			if strings.Contains(p.Content, "**") && !strings.Contains(p.Content, `\*`) || strings.Contains(p.Content, "@everyone") {
				t.Errorf("%q", p.Content)
			}
		}
	}
}

// Files go with the reply, as many and as big as the platform takes.
func TestFiles(t *testing.T) {
	l := look.New(key, words(t))
	a, _ := demo(t)
	r, err := a.Ask(t.Context(), bot.Message{Conversation: "c", At: now, Text: "bay custard"})
	if err != nil {
		t.Fatal(err)
	}
	var files []look.File
	for range 12 {
		files = append(files, look.File{Name: "../sheet of the day.pdf", Type: "application/pdf", Data: make([]byte, 10)})
	}
	files = append(files, look.File{Name: "big.pdf", Data: make([]byte, 2000)})
	p := l.Render(&r, look.Options{Files: files, FileLimit: 1000})[0]
	limits(t, p, "")
	if len(p.Files) != 10 || p.Files[0].Name != "..-sheet-of-the-day.pdf" || strings.Count(p.Content, "Left out") != 3 || !strings.Contains(p.Content, "big.pdf") {
		t.Errorf("%d files, the first %q; %s", len(p.Files), p.Files[0].Name, p.Content)
	}
	p = l.Render(&r, look.Options{Files: files[:1], NoFiles: true})[0]
	if len(p.Files) != 0 || !strings.Contains(p.Content, "Left out") {
		t.Errorf("attached where nothing may be: %+v", p)
	}
	s := p.Send()
	if s.AllowedMentions == nil || s.AllowedMentions.Parse == nil {
		t.Error("without allowed mentions everybody could be rung")
	}
}

func BenchmarkRender(b *testing.B) {
	l := look.New(key, words(b))
	a, _ := demo(b)
	r, err := a.Ask(b.Context(), bot.Message{Conversation: "c", At: now, Text: "walnut dome for 30"})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		l.Render(&r, look.Options{Asker: asker, Asked: "walnut dome for 30", Now: now, Threads: true})
	}
}
