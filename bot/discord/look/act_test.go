package look_test

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/bwmarrin/discordgo"
	"pgregory.net/rapid"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/bot/discord/look"
	"tamis/kb"
)

// pressable are the acts under the parts of a reply.
func pressable(t testing.TB, parts []look.Part) []look.Act {
	t.Helper()
	var out []look.Act
	for _, p := range parts {
		for _, row := range p.Components {
			for _, c := range row.(discordgo.ActionsRow).Components {
				id := ""
				switch c := c.(type) {
				case discordgo.Button:
					id = c.CustomID
				case discordgo.SelectMenu:
					id = c.CustomID
				}
				a, err := look.Read(key, id)
				if err != nil {
					t.Fatalf("%q: %v", id, err)
				}
				out = append(out, a)
			}
		}
	}
	return out
}

// Every button under the card, the method, a size and a time of every recipe of
// the book is answered, and from that recipe.
func TestPressed(t *testing.T) {
	a, s := demo(t)
	l := look.New(key, words(t))
	typed := map[look.Do]string{look.DoCovers: "12", look.DoFactor: "1,5", look.DoLeft: "100 g %s"}
	about := map[look.Do]string{look.DoMethod: "lookup", look.DoAllergens: "allergen", look.DoTimer: "timer"}
	pressed := 0
	n := 0
	ask := func(text string) bot.Reply {
		n++
		r, err := a.Ask(t.Context(), bot.Message{Conversation: bot.ConversationID(fmt.Sprint(n)), Author: "ida", Channel: "pastry", At: now, Text: text})
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, rec := range s.Recipes {
		texts := []string{rec.Name, "method " + rec.Name, rec.Name + " × 2.5", rec.Name + " 700 g", "allergens " + rec.Name, "how long does " + rec.Name + " take"}
		if len(rec.Lines) > 0 {
			texts = append(texts, "how much "+rec.Lines[0].Name+" in "+rec.Name+" × 3")
		}
		for _, text := range texts {
			r := ask(text)
			if r.Status != answer.StatusAnswer || r.Recipe == nil {
				continue
			}
			for _, act := range pressable(t, l.Render(&r, look.Options{Asker: asker, Asked: text})) {
				from := act.Of(s)
				if from == nil {
					t.Fatalf("%s: an act of no recipe: %+v", text, act)
				}
				in := typed[act.Do]
				if act.Do == look.DoLeft {
					in = fmt.Sprintf(in, weighed(from))
				}
				q, err := act.Question(from.Name, in)
				if err != nil {
					t.Errorf("%s: %+v: %v", text, act, err)
					continue
				}
				got := ask(q)
				pressed++
				switch {
				case got.Status == answer.StatusAsk && act.Do == look.DoTimer && got.About == "timer":
				case got.Status != answer.StatusAnswer:
					t.Errorf("under %q: %q comes to %s: %s", text, q, got.Status, got.Text)
				case got.RecipeName != from.Name:
					t.Errorf("under %q: %q is answered from %q", text, q, got.RecipeName)
				case about[act.Do] != "" && got.About != about[act.Do]:
					t.Errorf("under %q: %q is about %q", text, q, got.About)
				case act.Do == look.DoRecipe && got.Form != answer.FormCard:
					t.Errorf("under %q: %q gives no card: %s", text, q, got.Text)
				case act.Do == look.DoRecipe && act.Size == "" && got.Title != (answer.Title{Recipe: from.Name}):
					t.Errorf("under %q: %q has the title %+v", text, q, got.Title)
				case act.Do == look.DoRecipe && act.Size != "" && got.Title != r.Title && !strings.HasPrefix(act.Size, "× "):
					t.Errorf("under %q: %q has the title %+v, not %+v", text, q, got.Title, r.Title)
				}
			}
		}
	}
	if pressed < 500 {
		t.Errorf("only %d buttons pressed", pressed)
	}
}

// weighed is the first line of a recipe that has a mass of its own.
func weighed(r *kb.Recipe) string {
	for i := range r.Lines {
		if l := &r.Lines[i]; l.HasGrams {
			return l.Name
		}
	}
	return r.Lines[0].Name
}

// acts are all that a button may carry, and more than it can.
func acts() *rapid.Generator[look.Act] {
	return rapid.Custom(func(t *rapid.T) look.Act {
		a := look.Act{
			Do:       look.Do(rapid.IntRange(1, 15).Draw(t, "do")),
			Recipe:   look.Hash(rapid.Uint64().Draw(t, "recipe")),
			Revision: rapid.IntRange(0, 1<<31-1).Draw(t, "revision"),
			Size:     rapid.StringN(0, 12, 30).Draw(t, "size"),
			What:     rapid.StringN(0, 40, 80).Draw(t, "what"),
			Mark:     rapid.Uint32().Draw(t, "mark"),
		}
		if rapid.Bool().Draw(t, "asked") {
			a.Asker = fmt.Sprint(rapid.Uint64Min(1).Draw(t, "asker"))
		}
		return a
	})
}

// What a button carries comes back as it was, in 100 plain characters, and only
// with the key of its house.
func TestButton(t *testing.T) {
	other := look.NewKey([]byte("a secret of the installation"), "another house")
	fit := 0
	rapid.Check(t, func(t *rapid.T) {
		a := acts().Draw(t, "act")
		id, ok := look.Button(key, a)
		if !ok {
			if len(a.Size)+len(a.What) < 25 {
				t.Fatalf("%+v does not fit", a)
			}
			return
		}
		fit++
		if len(id) > 100 || strings.Trim(id, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_") != "" {
			t.Fatalf("%q is no custom id", id)
		}
		got, err := look.Read(key, id)
		if err != nil || !reflect.DeepEqual(got, a) {
			t.Fatalf("%+v, %v; want %+v", got, err, a)
		}
		if _, err := look.Read(other, id); !errors.Is(err, look.ErrForeign) {
			t.Fatalf("another house reads it: %v", err)
		}
		// one letter changed, anywhere
		at := rapid.IntRange(0, len(id)-1).Draw(t, "at")
		by := rapid.SampledFrom([]byte("AZaz09-_")).Draw(t, "by")
		bad := id[:at] + string(by) + id[at+1:]
		if bad != id {
			if _, err := look.Read(key, bad); !errors.Is(err, look.ErrForeign) {
				t.Fatalf("%q was read: %v", bad, err)
			}
		}
	})
	if fit == 0 {
		t.Error("nothing fitted")
	}
}

func TestRead(t *testing.T) {
	good, _ := look.Button(key, look.Act{Do: look.DoMethod, Recipe: 7, Revision: 3})
	for _, id := range []string{"", "A", good + "A", good[:len(good)-1], " " + good, good + "\n", strings.Repeat("A", 100), strings.Repeat("A", 101), "ask:yolk", good + "=", "é" + good} {
		if a, err := look.Read(key, id); !errors.Is(err, look.ErrForeign) {
			t.Errorf("%q: %+v, %v", id, a, err)
		}
	}
}

// The numbers of the acts and the bytes of a button are in messages that are
// already sent: this id was made by the first version and is read for ever.
func TestOldButton(t *testing.T) {
	const old = "AYIAAAAAAAAABwOHgIiIrMvBuAKEhoEBBcOXIDEyCGVnZyB5b2xrwfU9gcXmisg7G5PU"
	want := look.Act{Do: look.DoAmount, Recipe: 7, Revision: 3, Asker: asker, Mark: 0x204304, Size: "× 12", What: "egg yolk"}
	id, _ := look.Button(key, want)
	if got, err := look.Read(key, old); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v; made now: %s", got, err, id)
	}
}

func TestMay(t *testing.T) {
	for _, tt := range []struct {
		asker, who string
		want       bool
	}{{"", "", true}, {"", "5", true}, {"5", "5", true}, {"5", "6", false}, {"5", "", false}, {"55", "5", false}} {
		if got := (look.Act{Asker: tt.asker}).May(tt.who); got != tt.want {
			t.Errorf("of %q, pressed by %q: %v", tt.asker, tt.who, got)
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, a := range []look.Act{{Do: look.DoReady}, {Do: look.DoAmount, Recipe: 1, Size: "× 3", What: "egg yolk"}, {Do: look.DoChoose, Asker: asker, What: "how much cream", Mark: 9}} {
		id, _ := look.Button(key, a)
		f.Add(id)
	}
	f.Add("")
	f.Fuzz(func(t *testing.T, id string) {
		a, err := look.Read(key, id)
		if err != nil {
			if a != (look.Act{}) || !errors.Is(err, look.ErrForeign) && !errors.Is(err, look.ErrNewer) {
				t.Fatalf("%+v, %v", a, err)
			}
			return
		}
		again, ok := look.Button(key, a)
		if !ok || again != id {
			t.Fatalf("%q is read and written as %q", id, again)
		}
	})
}

// What was typed into a form becomes a question, or is refused.
func TestQuestion(t *testing.T) {
	for _, tt := range []struct {
		act   look.Act
		typed string
		want  string
	}{
		{look.Act{Do: look.DoCovers}, " 12 ", "bay custard for 12"},
		{look.Act{Do: look.DoCovers, What: "egg yolk"}, "12", "how much egg yolk in bay custard for 12"},
		{look.Act{Do: look.DoCovers}, "twelve", ""},
		{look.Act{Do: look.DoCovers}, "0", ""},
		{look.Act{Do: look.DoCovers}, "-3", ""},
		{look.Act{Do: look.DoCovers}, "12; drop the book", ""},
		{look.Act{Do: look.DoFactor}, "1.5", "bay custard × 1.5"},
		{look.Act{Do: look.DoFactor}, "x3", "bay custard × 3"},
		{look.Act{Do: look.DoFactor}, "1 1/2", "bay custard × 1 1/2"},
		{look.Act{Do: look.DoFactor}, "1/0", ""},
		{look.Act{Do: look.DoFactor}, "0.0", ""},
		{look.Act{Do: look.DoFactor}, "", ""},
		{look.Act{Do: look.DoFactor}, "1e9", ""},
		{look.Act{Do: look.DoLeft}, "180 g  egg yolk", "180 g egg yolk left, how much bay custard"},
		{look.Act{Do: look.DoLeft}, "some yolk", ""},
		{look.Act{Do: look.DoChoose}, "bay\ncustard", "bay custard"},
		{look.Act{Do: look.DoMethod}, "", "method bay custard"},
		{look.Act{Do: look.DoTimer, What: "rest"}, "", "start a timer for rest of bay custard"},
		{look.Act{}, "", ""},
	} {
		got, err := tt.act.Question("bay custard", tt.typed)
		if got != tt.want || (err == nil) != (tt.want != "") {
			t.Errorf("%+v, %q: %q, %v; want %q", tt.act, tt.typed, got, err, tt.want)
		}
	}
}
