package bot_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb/store"
)

const crumbleText = "recipe: crumble\ningredients:\n  - buckwheat flour: 200 g # dark\n  - salt: 5 g\nmethod:\n  - bake: till dark\n    at: 160 °C\n    for: 12 min\n"

// talker asks a book of its own.
type talker struct {
	t    *testing.T
	a    *bot.Asker
	kept *store.Kept
	at   time.Time

	dir   string
	waits *store.Proposals
}

func newTalker(t *testing.T, rules string) *talker {
	t.Helper()
	dir := t.TempDir()
	for p, text := range map[string]string{
		"house.yaml":           "house: Lodehavn\ntime zone: Europe/Oslo\nteam: {chef: [ida], sous chef: [bo], commis: [jonte]}\n" + rules,
		"recipes/crumble.yaml": crumbleText,
		"recipes/tart.yaml":    "recipe: tart\ningredients:\n  - crumble: 100 g\n",
	} {
		at := filepath.Join(dir, filepath.FromSlash(p))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(at, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	k := &talker{t: t, at: time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)}
	k.dir, k.waits = dir, store.OpenProposals(filepath.Join(dir, ".tamis"))
	t.Cleanup(func() { _ = k.kept.Close() })
	k.start()
	return k
}

// restart ends the program and starts it again.
func (k *talker) restart() {
	k.t.Helper()
	if err := k.kept.Close(); err != nil {
		k.t.Fatal(err)
	}
	k.start()
}

func (k *talker) start() {
	t := k.t
	t.Helper()
	dir := k.dir
	var err error
	k.kept, err = store.OpenKept(t.Context(), store.Home, dir, store.Options{Now: func() time.Time { return k.at }})
	if err != nil {
		t.Fatal(err)
	}
	if k.a, err = bot.NewAsker(store.One{Drafting: k.kept, House: store.Home}.Head); err != nil {
		t.Fatal(err)
	}
	k.a.Keep(store.One{Drafting: k.kept, House: store.Home}, "chat")
	k.a.Propose(k.waits, true)
}

func (k *talker) say(who, text string) bot.Reply {
	k.t.Helper()
	k.at = k.at.Add(time.Minute)
	r, err := k.a.Ask(k.t.Context(), bot.Message{Conversation: bot.ConversationID(who), Author: bot.AuthorID(who), At: k.at, Text: text})
	if err != nil {
		k.t.Fatal(err)
	}
	return r
}

// salt is how much salt the crumble has now.
func (k *talker) salt() string {
	s, err := k.kept.Head(k.t.Context(), store.Home)
	if err != nil {
		k.t.Fatal(err)
	}
	r, ok := s.RecipeNamed("crumble")
	if !ok {
		return "no crumble"
	}
	return r.Lines[1].Amount.Text
}

// TestRights is the matrix of who may do what: each cell is one act in a fresh book.
func TestRights(t *testing.T) {
	acts := []struct {
		name, say string
		changes   bool
	}{
		{"read", "how much salt in the crumble", false},
		{"history", "what changed in the crumble", false},
		{"amount", "set the crumble salt to 6 g", true},
		{"line", "add 3 g rye malt to the crumble", true},
		{"step", "crumble bakes at 155 from today", true},
		{"rename", "rename the crumble to dark crumble", true},
		{"take off", "take the tart off", true},
		{"new", "new recipe: walnut paste\n200 g walnut", true},
		{"whole file", "```\n" + strings.Replace(crumbleText, "5 g", "7 g", 1) + "```", true},
	}
	for _, c := range []struct {
		rules string
		may   map[string]bool // by who
	}{
		{"rules: {who may push: [chef]}\n", map[string]bool{"ida": true, "bo": false, "jonte": false, "stranger": false}},
		{"rules: {who may push: [chef, sous chef]}\n", map[string]bool{"bo": true}},
		{"", map[string]bool{"ida": false, "jonte": false}},
	} {
		for who, may := range c.may {
			var k *talker
			for _, act := range acts {
				if k == nil || may && act.changes { // what is refused leaves the book as it is
					k = newTalker(t, c.rules)
				}
				r := k.say(who, act.say)
				want := answer.StatusAsk
				switch {
				case act.name == "history":
					want = answer.StatusUnknown // nothing has changed yet
				case !act.changes:
					want = answer.StatusAnswer
				case !may:
					want = answer.StatusRefused
				}
				if r.Status != want {
					t.Errorf("%q %s, %s: %s, want %s: %s", c.rules, who, act.name, r.Status, want, r.Text)
				}
				if !act.changes {
					continue
				}
				k.say(who, "yes")
				log, _ := k.kept.Log(t.Context(), store.Home, 1)
				if written := len(log) > 0; written != may {
					t.Errorf("%q %s, %s: written %v", c.rules, who, act.name, written)
				}
			}
		}
	}
}

func TestYesAndNo(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	r := k.say("ida", "set the crumble salt to 6 g")
	if len(r.Facts) == 0 || r.Facts[0].What != "salt" || r.Facts[0].Was == nil || r.Facts[0].Was.String() != "5" || r.Facts[0].Value.String() != "6" {
		t.Errorf("the first fact is %+v", r.Facts)
	}
	if r = k.say("ida", "no"); r.Status != answer.StatusAnswer || k.salt() != "5 g" {
		t.Errorf("no: %s, %s", r.Status, k.salt())
	}
	k.say("ida", "yes")
	if k.salt() != "5 g" {
		t.Error("a yes after a no writes")
	}
	k.say("ida", "set the crumble salt to 6 g")
	k.say("jonte", "yes")
	if k.salt() != "5 g" {
		t.Error("somebody else's yes writes")
	}
	k.at = k.at.Add(2 * time.Hour)
	k.say("ida", "yes")
	if k.salt() != "5 g" {
		t.Error("a yes after two hours writes")
	}
	k.say("ida", "set the crumble salt to 6 g")
	if r = k.say("ida", "yes"); r.Status != answer.StatusAnswer || k.salt() != "6 g" || r.Revision != 2 {
		t.Errorf("yes: %s at %d, %s", r.Status, r.Revision, k.salt())
	}
	if r = k.say("ida", "how much salt in the crumble"); !strings.HasPrefix(r.Text, "6 g salt") || r.Revision != 2 {
		t.Errorf("the very next question: %s", r.Text)
	}
	source, _ := k.kept.Source("recipes/crumble.yaml")
	if want := strings.Replace(crumbleText, "5 g", "6 g", 1); source != want {
		t.Errorf("the file is\n%s", source)
	}
}

// Two offers at once: the second yes meets a book that has changed.
func TestOutdatedOffer(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef, sous chef]}\n")
	k.say("ida", "set the crumble salt to 6 g")
	k.say("bo", "set the crumble salt to 7 g")
	k.say("ida", "yes")
	if r := k.say("bo", "yes"); !strings.Contains(r.Text, "Both changed: salt. Nothing is written") || k.salt() != "6 g" {
		t.Errorf("%s: %s; salt %s", r.Status, r.Text, k.salt())
	}
}

func TestTwoPairsOfEyes(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef, sous chef], two pairs of eyes: true}\n")
	k.say("ida", "set the crumble salt to 6 g")
	if r := k.say("ida", "yes"); r.Status != answer.StatusAnswer || k.salt() != "5 g" || !strings.Contains(r.Text, "second person") {
		t.Errorf("the first yes: %s, %s", r.Text, k.salt())
	}
	k.say("ida", "yes")
	k.say("jonte", "yes")
	if k.salt() != "5 g" {
		t.Error("one's own second yes, or that of who may not, writes")
	}
	if r := k.say("bo", "yes"); r.Status != answer.StatusAnswer || k.salt() != "6 g" {
		t.Errorf("the second pair: %s, %s", r.Text, k.salt())
	}
	log, _ := k.kept.Log(t.Context(), store.Home, 1)
	if len(log) != 1 || !strings.Contains(log[0].Who, "ida") || !strings.Contains(log[0].Who, "bo") {
		t.Errorf("%+v", log)
	}
}

func TestHistoryInWords(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	for i, say := range []string{"set the crumble salt to 6 g", "crumble bakes at 155 from today", "set the crumble salt to 7 g"} {
		k.at = time.Date(2026, time.Month(3+i), 10, 12, 0, 0, 0, time.UTC)
		k.say("ida", say)
		k.say("ida", "yes")
	}
	k.at = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)
	for _, c := range []struct{ ask, want string }{
		{"who changed the salt in the crumble", "changed by: ida\nSun 10 May 2026"},
		{"what changed in the crumble since April", "7 g  salt (was 6 g)"},
		{"what changed in the crumble since April", "155 °C  bake at (was 160 °C)"},
		{"the crumble as it was on 20 March", "6 g  salt"},
		{"the crumble as it was on 20 March", "old revision 2"},
		{"the previous version of the crumble", "old revision 3"},
		{"how much salt was in the crumble in April", "6 g salt"},
		{"how much salt was in the crumble in April", "old revision 2"},
		{"what did the crumble look like in May", "old revision 3"},
		{"history of the crumble", "7 g  salt (was 5 g)"},
	} {
		if r := k.say("ida", c.ask); r.Status != answer.StatusAnswer || !strings.Contains(r.Text, c.want) {
			t.Errorf("%s: %s\n%s", c.ask, r.Status, r.Text)
		}
	}
	if r := k.say("bo", "what changed since May"); r.Status != answer.StatusAnswer || !strings.HasPrefix(r.Text, "changed: crumble") {
		t.Errorf("of the whole book: %s %s", r.Status, r.Text)
	}
	if r := k.say("ida", "the crumble as it was at Christmas"); r.Status != answer.StatusUnknown {
		t.Errorf("before the history begins: %s", r.Text)
	}
	if r := k.say("jonte", "go back to the crumble before"); r.Status != answer.StatusRefused {
		t.Errorf("who may not goes back: %s", r.Text)
	}
	if r := k.say("ida", "go back to the previous crumble"); r.Status != answer.StatusAsk || !strings.Contains(r.Text, "6 g  salt (was 7 g)") {
		t.Errorf("the way back: %s", r.Text)
	}
	if r := k.say("ida", "yes"); r.Revision != 5 || k.salt() != "6 g" {
		t.Errorf("gone back: at %d, %s", r.Revision, k.salt())
	}
}
