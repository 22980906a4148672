package look_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/google/go-cmp/cmp"

	"tamis/bot"
	"tamis/bot/discord/look"
	"tamis/bot/reply"
	"tamis/kb"
	"tamis/kb/store"
)

var update = flag.Bool("update", false, "write the golden files anew")

var key = look.NewKey([]byte("a secret of the installation"), "home")

const asker = "175928847299117063"

// now is when the replies of the tests are given.
var now = time.Date(2026, 3, 14, 22, 40, 0, 0, time.FixedZone("", 3600))

func words(t testing.TB) *reply.Words {
	t.Helper()
	c, err := reply.NewCatalogue()
	if err != nil {
		t.Fatal(err)
	}
	return c.In("en")
}

// demo is an asker of the demo book.
func demo(t testing.TB) (*bot.Asker, *kb.Snapshot) {
	t.Helper()
	d, err := store.OpenDemo(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	s, err := d.Head(t.Context(), store.Home)
	if err != nil {
		t.Fatal(err)
	}
	a, err := bot.NewAsker(func(context.Context) (*kb.Snapshot, error) { return s, nil })
	if err != nil {
		t.Fatal(err)
	}
	return a, s
}

// dump is a part as one reads it in a review.
func dump(w *strings.Builder, p look.Part) {
	where := "here"
	if p.Where == look.Thread {
		where = "in the thread"
	}
	fmt.Fprintf(w, "~ %s", where)
	if p.Thread != "" {
		fmt.Fprintf(w, ", opens thread %q", p.Thread)
	}
	if p.Flags&discordgo.MessageFlagsEphemeral != 0 {
		w.WriteString(", for the asker alone")
	}
	w.WriteString("\n")
	if p.Content != "" {
		w.WriteString(p.Content + "\n")
	}
	for _, e := range p.Embeds {
		fmt.Fprintf(w, "~ card: %s\n%s\n", e.Title, e.Description)
	}
	for _, c := range p.Components {
		for _, c := range c.(discordgo.ActionsRow).Components {
			switch c := c.(type) {
			case discordgo.Button:
				a, err := look.Read(key, c.CustomID)
				fmt.Fprintf(w, "[%s] %s\n", c.Label, press(a, err))
			case discordgo.SelectMenu:
				a, err := look.Read(key, c.CustomID)
				fmt.Fprintf(w, "[%s ▾] %s\n", c.Placeholder, press(a, err))
				for _, o := range c.Options {
					fmt.Fprintf(w, "   %s\n", o.Label)
				}
			}
		}
	}
	for _, f := range p.Files {
		fmt.Fprintf(w, "~ file %s (%s)\n%s", f.Name, f.Type, f.Data)
	}
}

func press(a look.Act, err error) string {
	if err != nil {
		return err.Error()
	}
	who := "anybody"
	if a.Asker != "" {
		who = "asker"
	}
	q, err := a.Question("RECIPE", "12")
	if err != nil {
		q = err.Error()
	}
	if a.Do.Form() {
		q = "form: " + q
	}
	return fmt.Sprintf("%s · %s", who, q)
}

// asked are the questions whose replies are kept, with what they are asked for.
var asked = []struct {
	name, text string
	o          look.Options
}{
	{"amount", "how much yolk for 3x ice cream base", look.Options{}},
	{"card", "brown butter ice cream", look.Options{}},
	{"dish", "pear and sorrel for 12", look.Options{}},
	{"parts", "walnut dome for 30 pieces", look.Options{}},
	{"left", "only 180 g yolk left, how much ice cream base can I make", look.Options{}},
	{"method", "brown butter ice cream method", look.Options{}},
	{"method in a thread", "walnut dome method", look.Options{Threads: true}},
	{"allergens", "allergens in pear and sorrel", look.Options{}},
	{"time", "how long do I rest the ice cream base", look.Options{}},
	{"ready", "the parfait went into the blast freezer at 14:00, when is it ready", look.Options{}},
	{"ask back", "how much cream", look.Options{Interaction: true}},
	{"unknown", "no gelatine, what can I use in the sorbet", look.Options{Interaction: true}},
	{"pan", "wide pan reads 1900 g, perry reduction, how much still to lose", look.Options{}},
	{"temperature", "what temp for the custard", look.Options{}},
	{"convert", "200 ml cream in g", look.Options{}},
	{"help", "help", look.Options{Interaction: true}},
	{"cost", "cost of pear and sorrel", look.Options{}},
	{"rescue", "custard split", look.Options{}},
	{"swap", "no dextrose for the sorbet, what instead", look.Options{}},
	{"safety", "the custard stood at 30 degrees for 5 hours, can I use it", look.Options{Interaction: true}},
}

func TestReplies(t *testing.T) {
	a, _ := demo(t)
	l := look.New(key, words(t))
	var out strings.Builder
	for _, q := range asked {
		r, err := a.Ask(t.Context(), bot.Message{Conversation: bot.ConversationID(q.name), Author: "ida", Channel: "pastry", At: now, Text: q.text})
		if err != nil {
			t.Fatal(err)
		}
		q.o.Asker, q.o.Asked, q.o.Now = asker, q.text, now
		fmt.Fprintf(&out, "=== %s: %s\n", q.name, q.text)
		for _, p := range l.Render(&r, q.o) {
			dump(&out, p)
		}
	}
	golden(t, "replies.txt", []byte(out.String()))
}

// golden compares with a file under testdata, or writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", filepath.FromSlash(name))
	if *update {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		t.Errorf("%s: kept (-), made (+):\n%s", name, cmp.Diff(strings.Split(string(want), "\n"), strings.Split(string(got), "\n")))
	}
}

// body is a part as the client library sends it.
func body(t testing.TB, p look.Part) []byte {
	t.Helper()
	data, err := json.Marshal(p.Send())
	if err != nil {
		t.Fatal(err)
	}
	return data
}
