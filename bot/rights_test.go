package bot_test

import (
	"context"
	"strings"
	"sync"
	"testing"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb/recipe"
	"tamis/kb/store"
)

// TestMay is the whole matrix: every role and every act under each kind of rules.
// A column is read, propose, push, approve, settings.
func TestMay(t *testing.T) {
	acts := []bot.Act{bot.Read, bot.Propose, bot.Push, bot.Approve, bot.Settings}
	roles := []bot.Role{bot.Owner, "chef", "sous chef", "pastry chef", bot.Commis, "guest"}
	for _, c := range []struct {
		name, rules string
		want        [6]string // by role
	}{
		{"nothing stated", "{}", [6]string{"RPWAS", "R----", "R----", "R----", "R----", "R----"}},
		{"one list", "{who may push: [chef, sous chef]}", [6]string{"RPWAS", "RPWAS", "RPWAS", "RP---", "RP---", "RP---"}},
		{"approvers apart", "{who may push: [chef, pastry chef], who may approve: [chef]}", [6]string{"RPWAS", "RPWAS", "RP---", "RPW--", "RP---", "RP---"}},
		{"approvers who do not push", "{who may push: [pastry chef], who may approve: [chef]}", [6]string{"RPWAS", "RP-AS", "RP---", "RPW--", "RP---", "RP---"}},
		{"settings apart", "{who may push: [chef, sous chef], who may change settings: [chef]}", [6]string{"RPWAS", "RPWAS", "RPWA-", "RP---", "RP---", "RP---"}},
		{"settings nobody's", "{who may push: [chef], who may change settings: []}", [6]string{"RPWAS", "RPWA-", "RP---", "RP---", "RP---", "RP---"}},
		{"few propose", "{who may push: [chef], who may propose: [pastry chef]}", [6]string{"RPWAS", "RPWAS", "R----", "RP---", "R----", "R----"}},
		{"nobody proposes", "{who may push: [chef], who may propose: []}", [6]string{"RPWAS", "RPWAS", "R----", "R----", "R----", "R----"}},
		{"few read", "{who may push: [chef], who may read: [commis]}", [6]string{"RPWAS", "RPWAS", "-----", "-----", "RP---", "-----"}},
	} {
		h, faults := recipe.ParseHouse("house.yaml", []byte("house: Lodehavn\nrules: "+c.rules+"\n"))
		if len(faults) > 0 {
			t.Fatalf("%s: %v", c.name, faults)
		}
		for i, role := range roles {
			got := ""
			for k, act := range acts {
				if bot.May(&h.Rules, role, act) {
					got += "RPWAS"[k : k+1]
				} else {
					got += "-"
				}
			}
			if got != c.want[i] {
				t.Errorf("%s: %s may %s, want %s", c.name, role, got, c.want[i])
			}
		}
	}
}

// TestActs tries each act by message as each role: what May says is what happens.
func TestActs(t *testing.T) {
	const rules = "rules: {who may read: [commis, waiter], who may push: [sous chef], who may approve: [chef], who may change settings: [chef], who may propose: [commis]}\n"
	house := "house: Lodehavn\nteam: {chef: [ida, jonte]}\n" + rules
	h, _ := recipe.ParseHouse("house.yaml", []byte(house))
	for _, role := range []bot.Role{bot.Owner, "chef", "sous chef", "waiter", bot.Commis, "guest"} {
		for act, try := range map[bot.Act]func(k *talker) bool{
			bot.Read: func(k *talker) bool { return k.as(role, "how much salt in the crumble").Status == answer.StatusAnswer },
			bot.Propose: func(k *talker) bool {
				k.as(role, "set the crumble salt to 6 g")
				if all, err := k.waits.All(); err != nil || len(all) > 1 {
					t.Fatal(all, err)
				} else if len(all) == 1 {
					return true
				}
				return k.as(role, "yes").Status == answer.StatusAnswer && k.salt() == "6 g" // who may write it need not propose it
			},
			bot.Push: func(k *talker) bool {
				k.as(role, "set the crumble salt to 6 g")
				k.as(role, "yes")
				return k.salt() == "6 g"
			},
			bot.Approve: func(k *talker) bool {
				k.role("jonte", bot.Commis, "set the crumble salt to 6 g")
				k.as(role, "show proposal 1")
				k.as(role, "yes")
				return k.salt() == "6 g"
			},
			bot.Settings: func(k *talker) bool {
				f := store.FileChange{Path: "house.yaml", Content: house + "altitude: 12 m\n"}
				k.as(role, "```\n"+f.Content+"```")
				k.as(role, "yes")
				s, _ := k.kept.Head(t.Context(), store.Home)
				return s.House.Altitude != nil
			},
		} {
			if want, got := bot.May(&h.Rules, role, act), try(newTalker(t, rules)); got != want {
				t.Errorf("%s, act %d: %v, want %v", role, act, got, want)
			}
		}
	}
}

func (k *talker) as(role bot.Role, text string) bot.Reply {
	return k.role("as "+string(role), role, text)
}

func (k *talker) role(who string, role bot.Role, text string) bot.Reply {
	k.t.Helper()
	k.at = k.at.Add(60e9)
	r, err := k.a.Ask(k.t.Context(), bot.Message{Conversation: bot.ConversationID(who), Author: bot.AuthorID(who), Role: role, Channel: "pastry", At: k.at, Text: text})
	if err != nil {
		k.t.Fatal(err)
	}
	return r
}

// A right that is taken away while an offer is open is looked at when the yes comes.
func TestRightsAtTheYes(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef, sous chef]}\n")
	k.say("bo", "set the crumble salt to 6 g")
	house, _ := k.kept.Source("house.yaml")
	if _, err := k.kept.Commit(t.Context(), store.Home, store.Change{Base: -1, Who: "ida", Files: []store.FileChange{
		{Path: "house.yaml", Content: strings.Replace(house, ", sous chef]", "]", 1)}}}); err != nil {
		t.Fatal(err)
	}
	if r := k.say("bo", "yes"); r.Status != answer.StatusRefused || k.salt() != "5 g" {
		t.Errorf("%s: %s; %s", r.Status, r.Text, k.salt())
	}
}

func TestProposal(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef], changes told in: \"#kitchen\"}\n")
	said := &heard{}
	k.a.Tell(said)
	r := k.say("jonte", "set the crumble salt to 6 g")
	if r.Status != answer.StatusRefused || !strings.Contains(r.Text, "Kept as a proposal for chef.") || k.salt() != "5 g" {
		t.Fatalf("%s: %s", r.Status, r.Text)
	}
	if r = k.say("jonte", "yes"); k.salt() != "5 g" || r.Status == answer.StatusAnswer {
		t.Errorf("the author's yes: %s %s", r.Status, r.Text)
	}
	if r = k.say("jonte", "show proposal 1"); r.Status != answer.StatusAnswer || !strings.Contains(r.Text, "6 g  salt (was 5 g)") {
		t.Errorf("the author looks: %s %s", r.Status, r.Text)
	}
	if r = k.say("bo", "show proposal 1"); r.Status != answer.StatusUnknown {
		t.Errorf("who may neither: %s", r.Text)
	}
	if r = k.say("ida", "how much salt in the crumble"); !strings.Contains(r.Text, "waits for your yes") {
		t.Errorf("who may is told: %s", r.Text)
	}
	if r = k.say("ida", "how much salt in the crumble"); strings.Contains(r.Text, "waits for your yes") {
		t.Errorf("told once: %s", r.Text)
	}
	k.restart()
	k.a.Tell(said)
	r = k.say("ida", "what is waiting?")
	if r.Status != answer.StatusAsk || !strings.Contains(r.Text, "Proposal 1 by jonte") || len(r.Facts) == 0 || r.Facts[0].Was == nil || r.Facts[0].Was.String() != "5" {
		t.Fatalf("after a restart: %s %s", r.Status, r.Text)
	}
	if r = k.say("ida", "yes"); k.salt() != "6 g" || r.Revision != 2 {
		t.Fatalf("the yes: %s %s", r.Status, r.Text)
	}
	log, _ := k.kept.Log(t.Context(), store.Home, 1)
	if len(log) != 1 || log[0].Who != "jonte, agreed by ida" {
		t.Errorf("%+v", log)
	}
	if r = k.say("jonte", "how much salt in the crumble"); !strings.HasPrefix(r.Text, "6 g salt") || !strings.Contains(r.Text, "ida said yes") {
		t.Errorf("the author is told: %s", r.Text)
	}
	if r = k.say("ida", "what is waiting"); !strings.Contains(r.Text, "No change waits") {
		t.Errorf("settled: %s", r.Text)
	}
	k.a.Said()
	if s := said.all(); len(s) != 2 || !strings.HasPrefix(s[0], "#kitchen: Proposal 1 by jonte") || !strings.HasPrefix(s[1], "#kitchen: Changed: crumble, by jonte, agreed by ida. set the crumble salt to 6 g\nsalt 5 g → 6 g") {
		t.Errorf("told in the channel: %q", s)
	}
}

// heard is what was said in channels.
type heard struct {
	mu sync.Mutex
	s  []string
}

func (h *heard) Say(_ context.Context, channel, text, _ string) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.s = append(h.s, channel+": "+text)
	return nil
}

func (h *heard) all() []string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.s
}

func TestProposalTurnedDown(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	k.say("jonte", "set the crumble salt to 6 g")
	k.say("jonte", "take the tart off")
	r := k.say("ida", "what is waiting")
	if r.Status != answer.StatusAnswer || !strings.Contains(r.Text, "1  proposal (jonte, Sat 14 Mar 13:01: set the crumble salt to 6 g)\n2  proposal (jonte") {
		t.Errorf("two wait: %s %s", r.Status, r.Text)
	}
	k.say("ida", "show proposal 1")
	if r = k.say("ida", "no"); !strings.Contains(r.Text, "Proposal 1 is closed") || k.salt() != "5 g" {
		t.Errorf("no: %s", r.Text)
	}
	if r = k.say("jonte", "how much salt in the crumble"); !strings.Contains(r.Text, "turned down by ida") {
		t.Errorf("told: %s", r.Text)
	}
	if r = k.say("jonte", "withdraw proposal 2"); !strings.Contains(r.Text, "Proposal 2 is closed") {
		t.Errorf("withdrawn: %s", r.Text)
	}
	if all, err := k.waits.All(); err != nil || len(all) != 0 {
		t.Error(all, err)
	}
}

// On an outdated base the two changes are put together where they do not touch.
func TestProposalOnOutdatedBase(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	k.say("jonte", "set the crumble salt to 6 g")
	k.say("ida", "crumble bakes at 155 from today")
	k.say("ida", "yes")
	r := k.say("ida", "show proposal 1")
	if r.Status != answer.StatusAsk || !strings.Contains(r.Text, "Changed since then\n155 °C  bake at (was 160 °C)") || !strings.Contains(r.Text, "Your change\n6 g  salt (was 5 g)") {
		t.Fatalf("%s: %s", r.Status, r.Text)
	}
	k.say("ida", "yes")
	if source, _ := k.kept.Source("recipes/crumble.yaml"); !strings.Contains(source, "salt: 6 g") || !strings.Contains(source, "at: 155 °C") || !strings.Contains(source, "# dark") {
		t.Errorf("%s", source)
	}
	k.say("jonte", "set the crumble salt to 7 g")
	k.say("ida", "set the crumble salt to 8 g")
	k.say("ida", "yes")
	if r = k.say("ida", "show proposal 2"); r.Status != answer.StatusAnswer || !strings.Contains(r.Text, "Both changed: salt") || !strings.Contains(r.Text, "8 g  salt (was 6 g)") || !strings.Contains(r.Text, "7 g  salt (was 6 g)") {
		t.Errorf("%s: %s", r.Status, r.Text)
	}
	if k.say("ida", "yes"); k.salt() != "8 g" {
		t.Errorf("written over: %s", k.salt())
	}
}

// Who is half-way through a talk about a recipe is told once that it has changed.
func TestTalkIsToldOfAChange(t *testing.T) {
	k := newTalker(t, "rules: {who may push: [chef]}\n")
	k.say("jonte", "how much salt in the crumble")
	k.say("ida", "set the crumble salt to 6 g")
	k.say("ida", "yes")
	if r := k.say("jonte", "and for 2x"); !strings.HasPrefix(r.Text, "12 g salt") || !strings.Contains(r.Text, "Changed since we spoke of it: crumble, by ida.") {
		t.Errorf("%s", r.Text)
	}
	if r := k.say("jonte", "and for 3x"); !strings.HasPrefix(r.Text, "18 g salt") || strings.Contains(r.Text, "Changed since") {
		t.Errorf("%s", r.Text)
	}
}
