package look_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bwmarrin/discordgo"
	"github.com/google/go-cmp/cmp"

	"tamis/bot"
	"tamis/bot/discord/discordtest"
	"tamis/bot/discord/look"
	"tamis/bot/timer"
	"tamis/kb/store"
)

// kitchen is a house with its channel: what is said there is answered and laid out.
type kitchen struct {
	t      *testing.T
	a      *bot.Asker
	l      *look.Look
	kept   *store.Kept
	timers *timer.Engine
	at     time.Time
	last   []look.Part // of the last reply
	scenes []scene
}

// scene is one thing that somebody did and what appears, as docs/pictures draws it.
type scene struct {
	Name  string     `json:"name"`
	Who   string     `json:"who"`
	Says  string     `json:"says,omitempty"`
	Does  string     `json:"does,omitempty"`
	At    time.Time  `json:"at"`
	Parts []drawn    `json:"parts"`
	Form  *drawnForm `json:"form,omitempty"`
}

type drawn struct {
	Thread  string          `json:"thread,omitempty"`
	Inside  bool            `json:"inside,omitempty"`
	Message json.RawMessage `json:"message"`
	Files   []string        `json:"files,omitempty"`
}

type drawnForm struct {
	Title string          `json:"title"`
	Rows  json.RawMessage `json:"rows"`
}

// supper is a recipe that is longer than a phone shows.
const supper = `recipe: harvest supper
also: [supper for the crew]
ingredients:
  - buckwheat flour: {amount: 300 g, part: soup}
  - leek: {amount: 900 g, part: soup}
  - potato: {amount: 2 kg, part: soup}
  - butter: {amount: 200 g, part: soup}
  - whole milk: {amount: 1.5 kg, part: soup}
  - salt: {amount: 35 g, part: soup}
  - rye flour: {amount: 1.2 kg, part: bread}
  - plain flour: {amount: 800 g, part: bread}
  - water: {amount: 1.4 kg, part: bread}
  - salt: {amount: 40 g, part: bread}
  - honey: {amount: 60 g, part: bread}
  - walnut: {amount: 250 g, part: salad}
  - pear: {amount: 1 kg, part: salad}
  - sorrel: {amount: 300 g, part: salad}
  - cider vinegar: {amount: 80 g, part: salad}
  - sunflower oil: {amount: 200 g, part: salad}
  - salt: {amount: 12 g, part: salad}
  - plain flour: {amount: 600 g, part: cake}
  - butter: {amount: 500 g, part: cake}
  - brown sugar: {amount: 450 g, part: cake}
  - whole egg: {amount: 500 g, part: cake}
  - pear: {amount: 900 g, part: cake}
  - walnut: {amount: 300 g, part: cake}
  - salt: {amount: 6 g, part: cake}
cautions: [taste the soup before the salt goes in]
`

func open(t *testing.T) *kitchen {
	t.Helper()
	k := &kitchen{t: t, at: now, l: look.New(key, words(t))}
	dir := filepath.Join(t.TempDir(), "book")
	if err := store.WriteDemo(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, "recipes", "harvest-supper.yaml"), []byte(supper), 0o644); err != nil {
		t.Fatal(err)
	}
	var err error
	if k.kept, err = store.OpenKept(t.Context(), store.Home, dir, store.Options{Now: func() time.Time { return k.at }}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = k.kept.Close() })
	if k.timers, err = timer.Open(filepath.Join(t.TempDir(), "timers"), k.at, timer.Options{}); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = k.timers.Close() })
	if k.a, err = bot.NewAsker(store.One{Drafting: k.kept, House: store.Home}.Head); err != nil {
		t.Fatal(err)
	}
	k.a.Keep(store.One{Drafting: k.kept, House: store.Home}, "channel")
	k.a.Time(k.timers, string(store.Home), true)
	return k
}

func (k *kitchen) ask(who, text string, o look.Options) []look.Part {
	k.t.Helper()
	r, err := k.a.Ask(k.t.Context(), bot.Message{Conversation: bot.ConversationID(who), Author: bot.AuthorID(strings.ToLower(who)), Channel: "pastry", At: k.at, Text: text})
	if err != nil {
		k.t.Fatal(err)
	}
	o.Asker, o.Asked, o.Now = asker, text, k.at
	return k.l.Render(&r, o)
}

func (k *kitchen) show(s scene, parts []look.Part) {
	k.t.Helper()
	s.At = k.at
	for _, p := range parts {
		limits(k.t, p, asker)
		d := drawn{Thread: p.Thread, Inside: p.Where == look.Thread, Message: body(k.t, p)}
		for _, f := range p.Files {
			d.Files = append(d.Files, f.Name)
		}
		s.Parts = append(s.Parts, d)
	}
	k.last, k.scenes = parts, append(k.scenes, s)
}

// says is somebody writing in the channel.
func (k *kitchen) says(name, who, text string, o look.Options) {
	k.t.Helper()
	k.at = k.at.Add(time.Minute)
	k.show(scene{Name: name, Who: who, Says: text}, k.ask(who, text, o))
}

// find is the custom id of what has a label under the last reply.
func (k *kitchen) find(label string) string {
	k.t.Helper()
	for _, p := range k.last {
		for _, row := range p.Components {
			for _, c := range row.(discordgo.ActionsRow).Components {
				switch c := c.(type) {
				case discordgo.Button:
					if c.Label == label {
						return c.CustomID
					}
				case discordgo.SelectMenu:
					if c.Placeholder == label {
						return c.CustomID
					}
				}
			}
		}
	}
	k.t.Fatalf("nothing under the last reply says %q: %q", label, k.last[0].Content)
	return ""
}

// presses is somebody pressing what has a label, typing into its form or picking
// in its menu; it goes the way an adapter goes.
func (k *kitchen) presses(name, who, label, typed string, o look.Options) {
	k.t.Helper()
	k.at = k.at.Add(time.Minute)
	act, err := look.Read(key, k.find(label))
	if err != nil {
		k.t.Fatal(err)
	}
	s, err := store.One{Drafting: k.kept, House: store.Home}.Head(k.t.Context())
	if err != nil {
		k.t.Fatal(err)
	}
	called := ""
	if r := act.Of(s); r != nil {
		called = r.Name
	}
	sc := scene{Name: name, Who: who, Does: "presses " + label}
	if act.Do.Form() {
		m := k.l.Modal(act, called)
		rows, err := json.Marshal(m.Components)
		if err != nil {
			k.t.Fatal(err)
		}
		sc.Form = &drawnForm{m.Title, rows}
		sc.Does += ", types " + typed
		if a, err := look.Read(key, m.CustomID); err != nil || a != act {
			k.t.Errorf("the form carries %+v, %v; its button %+v", a, err, act)
		}
	} else if typed != "" {
		sc.Does = "picks " + typed
	}
	o.Pressed = &act
	q, err := act.Question(called, typed)
	if err != nil {
		k.show(sc, k.l.Refusal(err, o))
		return
	}
	k.show(sc, k.ask(who, q, o))
}

// notice is what comes due by a moment.
func (k *kitchen) notice(name string, at time.Time) {
	k.t.Helper()
	k.at = at
	if err := k.timers.Tick(k.t.Context(), at, speaker{k, name}); err != nil {
		k.t.Fatal(err)
	}
}

type speaker struct {
	k    *kitchen
	name string
}

func (s speaker) Speak(ctx context.Context, n timer.Notice) error {
	r, err := s.k.a.Notice(ctx, n, s.k.at)
	if err != nil {
		return err
	}
	s.k.show(scene{Name: s.name, Who: "tamis"}, s.k.l.Render(&r, look.Options{Asker: asker, Mention: true, Now: s.k.at}))
	return nil
}

// play is a day in the channel.
func play(t *testing.T) *kitchen {
	k := open(t)
	k.says("amount", "Jonte", "how much yolk for 3x ice cream base", look.Options{})
	k.presses("times", "Jonte", "×2", "", look.Options{Interaction: true})
	k.says("card", "Jonte", "walnut dome for 30 pieces", look.Options{})
	k.presses("covers", "Jonte", "For how many…", "48", look.Options{Interaction: true})
	k.says("dish", "Leili", "pear and sorrel for 12", look.Options{})
	k.says("method", "Jonte", "brown butter ice cream method", look.Options{})
	k.says("allergens", "Leili", "allergens in pear and sorrel", look.Options{})
	k.says("time", "Jonte", "how long do I rest the ice cream base", look.Options{})
	k.presses("timer", "Jonte", "Start timer: rest", "", look.Options{Interaction: true})
	k.says("ask back", "Oona", "how much cream", look.Options{Interaction: true})
	k.presses("picked", "Oona", "Choose", "bay custard", look.Options{Interaction: true})
	k.says("unknown", "Jonte", "how much saffron in the custard", look.Options{Interaction: true})
	k.says("pan", "Jonte", "wide pan reads 1900 g, perry reduction, how much still to lose", look.Options{})
	k.says("change", "Solvei", "yolk in the bay custard is now 140 g", look.Options{})
	k.presses("written", "Solvei", "Yes, write it", "", look.Options{Interaction: true})
	k.says("long", "Jonte", "recipe harvest supper", look.Options{Threads: true})
	k.says("night", "Jonte", "domes in the freezer 22:40, 2 trays", look.Options{})
	k.says("ready", "Jonte", "what's ready at 6", look.Options{})
	k.notice("due", time.Date(2026, 3, 15, 4, 41, 0, 0, now.Location()))
	return k
}

const scenesFile = "../../../docs/pictures/replies.json"

// The day that docs/replies.md shows is the day that is played here.
func TestScenes(t *testing.T) {
	k := play(t)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(k.scenes); err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.MkdirAll(filepath.Dir(scenesFile), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(scenesFile, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(scenesFile)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); diff != "" {
		t.Errorf("what is drawn (-) is not what is sent (+):\n%s", diff)
	}
}

// The page shows every scene, with what was typed.
func TestPage(t *testing.T) {
	page, err := os.ReadFile("../../../docs/replies.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range play(t).scenes {
		file := "pictures/" + strings.ReplaceAll(s.Name, " ", "-") + ".png"
		if !strings.Contains(string(page), "("+file+")") {
			t.Errorf("docs/replies.md does not show %s", file)
		}
		if s.Says != "" && !strings.Contains(string(page), " "+s.Says+"`\n") {
			t.Errorf("docs/replies.md does not say what was typed: %s", s.Says)
		}
		picture, err := os.Stat(filepath.Join("../../../docs", filepath.FromSlash(file)))
		if err != nil {
			t.Error(err)
		} else if picture.Size() > 300<<10 {
			t.Errorf("%s has %d kB", file, picture.Size()>>10)
		}
	}
}

// Every message of the day is one that the platform's specification takes.
func TestSpecification(t *testing.T) {
	k := play(t)
	srv := discordtest.Start(t)
	ch := srv.Guild("Lodehavn").Channel("pastry")
	sent := 0
	for _, s := range k.scenes {
		for _, d := range s.Parts {
			var m map[string]any
			if err := json.Unmarshal(d.Message, &m); err != nil {
				t.Fatal(err)
			}
			if f, ok := m["flags"].(float64); ok { // which only the answer to an interaction may carry
				m["flags"] = int(f) &^ int(discordgo.MessageFlagsEphemeral)
			}
			data, err := json.Marshal(m)
			if err != nil {
				t.Fatal(err)
			}
			req, err := http.NewRequestWithContext(t.Context(), http.MethodPost, srv.API()+"/channels/"+ch.ID+"/messages", bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			req.Header.Set("Authorization", "Bot "+srv.Token())
			req.Header.Set("Content-Type", "application/json")
			req.Header.Set("User-Agent", "DiscordBot (https://example.org, 1)")
			res, err := http.DefaultClient.Do(req)
			if err != nil {
				t.Fatal(err)
			}
			said, err := io.ReadAll(res.Body)
			_ = res.Body.Close()
			if err != nil || res.StatusCode != http.StatusOK {
				t.Errorf("%s: %s %s, %v\n%s", s.Name, res.Status, said, err, data)
			}
			sent++
		}
	}
	if sent < 15 {
		t.Errorf("only %d messages sent", sent)
	}
}
