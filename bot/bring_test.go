package bot_test

import (
	"errors"
	"strings"
	"testing"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// TestWayOf is what becomes of a change of each role, of a recipe and of the
// settings, with one pair of eyes and with two.
func TestWayOf(t *testing.T) {
	rules := recipe.Rules{WhoMayPush: []string{"chef"}, WhoMayApprove: []string{"chef", "sous chef"}, WhoMaySettings: []string{"owner's office"}, WhoMayPropose: []string{"commis"}}
	two := rules
	two.TwoPairsOfEyes = true
	nobody := recipe.Rules{}
	dish := &store.Change{Files: []store.FileChange{{Path: "recipes/crumble.yaml"}}}
	settings := &store.Change{Files: []store.FileChange{{Path: "recipes/crumble.yaml"}, {Path: "house.yaml"}}}
	for _, c := range []struct {
		rules  *recipe.Rules
		role   bot.Role
		change *store.Change
		want   bot.Way
	}{
		{&rules, bot.Owner, dish, bot.Written}, {&rules, bot.Owner, settings, bot.Written},
		{&rules, "chef", dish, bot.Written}, {&rules, "chef", settings, bot.Proposed},
		{&rules, "sous chef", dish, bot.Proposed}, {&rules, "owner's office", settings, bot.Written},
		{&rules, "commis", dish, bot.Proposed}, {&rules, "commis", settings, bot.Proposed},
		{&rules, "porter", dish, bot.Refused}, {&rules, "porter", settings, bot.Refused},
		{&two, bot.Owner, dish, bot.Written}, {&two, "chef", dish, bot.SecondYes}, {&two, "commis", dish, bot.Proposed}, {&two, "porter", dish, bot.Refused},
		{&nobody, "chef", dish, bot.Refused}, {&nobody, "chef", settings, bot.Refused}, {&nobody, bot.Owner, settings, bot.Written},
	} {
		if got := bot.WayOf(c.rules, c.role, c.change); got != c.want {
			t.Errorf("%s of %d files, two pairs %v: way %d, want %d", c.role, len(c.change.Files), c.rules.TwoPairsOfEyes, got, c.want)
		}
	}
}

// TestHold keeps what may be proposed, once, and nothing else.
func TestHold(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef], who may approve: [chef, sous chef], who may propose: [commis]}\n")
	saltier := store.Change{Base: -1, Why: "saltier", Files: []store.FileChange{{Path: "recipes/crumble.yaml", Content: "recipe: crumble\ningredients:\n  - buckwheat flour: 200 g\n  - salt: 7 g\n"}}}
	hold := func(who string, c store.Change) bot.Reply {
		t.Helper()
		r, err := k.a.Hold(t.Context(), bot.Message{Author: bot.AuthorID(who), At: k.at}, c)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	same := store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/crumble.yaml", Content: crumbleText}}}
	faulty := store.Change{Base: -1, Files: []store.FileChange{{Path: "recipes/x.yaml", Content: "recipe: x\ningredients:\n  - salt\n"}}}
	for _, c := range []struct {
		who    string
		change store.Change
		want   answer.Status
		kept   int
	}{
		{"per", saltier, answer.StatusRefused, 0}, // in no role: a commis would be in the team
		{"jonte", same, answer.StatusAnswer, 0},
		{"jonte", faulty, answer.StatusUnknown, 0},
		{"jonte", saltier, answer.StatusAnswer, 1},
		{"jonte", saltier, answer.StatusAnswer, 1},
		{"bo", saltier, answer.StatusAnswer, 2},
	} {
		if c.who == "per" {
			r, err := k.a.Hold(t.Context(), bot.Message{Author: "per", Role: "porter", At: k.at}, c.change)
			if err != nil || r.Status != c.want {
				t.Errorf("porter: %s %v", r.Text, err)
			}
		} else if r := hold(c.who, c.change); r.Status != c.want {
			t.Errorf("%s: %s %s", c.who, r.Status, r.Text)
		}
		if all, err := k.waits.All(); err != nil || len(all) != c.kept {
			t.Errorf("%s: %d wait, want %d, %v", c.who, len(all), c.kept, err)
		}
	}
	if k.salt() != "5 g" {
		t.Errorf("written: %s", k.salt())
	}
	k.say("bo", "show proposal 1")
	if k.say("bo", "yes"); k.salt() != "7 g" {
		t.Errorf("not written: %s", k.salt())
	}
}

// TestWriteIsTold: files that a program pushes are told in the house's channel as
// a change from the talk is; what is not written is not.
func TestWriteIsTold(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef], changes told in: pastry}\n")
	h := &heard{}
	k.a.Tell(h)
	c := store.Change{Base: -1, Who: "ida", At: k.at, Why: "saltier", How: store.HowTerminal, Files: []store.FileChange{{Path: "recipes/crumble.yaml", Content: strings.Replace(crumbleText, "salt: 5 g", "salt: 7 g", 1)}}}
	m := bot.Message{Author: "ida", Channel: "terminal", At: k.at}
	if e, err := k.a.Write(t.Context(), m, c); err != nil || e.Seq != 2 {
		t.Fatal(e.Seq, err)
	}
	if _, err := k.a.Write(t.Context(), m, c); !errors.Is(err, store.ErrNothing) {
		t.Errorf("again: %v", err)
	}
	k.a.Said()
	if len(h.s) != 1 || !strings.HasPrefix(h.s[0], "pastry: ") || !strings.Contains(h.s[0], "saltier") || !strings.Contains(h.s[0], "salt 5 g → 7 g") {
		t.Errorf("told: %q", h.s)
	}
}
