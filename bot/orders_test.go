package bot_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tamis/bot/answer"
)

const ordersLarder = "# ours\n- ingredient: pear puree\n  brix: 10   # of the spring\n- ingredient: butter\n  costs: 9.80 EUR/kg\n"

// newOrders is a book of a crumble, a set cream whose name is a verb, and a larder.
func newOrders(t *testing.T) *talker {
	k := newTalker(t, "currency: EUR\nrules: {who may push: [chef]}\n")
	if err := k.kept.Close(); err != nil {
		t.Fatal(err)
	}
	for p, text := range map[string]string{"recipes/cream.yaml": creamText, "larder.yaml": ordersLarder} {
		if err := os.WriteFile(filepath.Join(k.dir, filepath.FromSlash(p)), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	k.start()
	return k
}

// TestOrders: each order, agreed to, changes this and no other byte of the book.
func TestOrders(t *testing.T) {
	for _, c := range []struct{ say, file, old, new string }{
		{"salt in the crumble is now 6 g", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"the salt in the crumble is 6 g from today", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"From today the salt in the crumble is 6 g.", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"set the salt in the crumble to 6 g", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"please change the salt to 6 g in the crumble", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"the crumble gets 6 g salt from now on", "recipes/crumble.yaml", "salt: 5 g", "salt: 6 g"},
		{"the crumble needs 2 g more salt", "recipes/crumble.yaml", "salt: 5 g", "salt: 7 g"},
		{"2 g less salt in the crumble", "recipes/crumble.yaml", "salt: 5 g", "salt: 3 g"},
		{"add 2 g salt to the crumble", "recipes/crumble.yaml", "salt: 5 g", "salt: 7 g"},
		{"take 1 g of salt out of the crumble", "recipes/crumble.yaml", "salt: 5 g", "salt: 4 g"},
		{"set the flour in the crumble to 180 g", "recipes/crumble.yaml", "200 g #", "180 g #"},
		{"remove the salt from the crumble", "recipes/crumble.yaml", "  - salt: 5 g\n", ""},
		{"add 12 g rye malt to the crumble", "recipes/crumble.yaml", "salt: 5 g\n", "salt: 5 g\n  - rye malt: 12 g\n"},
		{"crumble bakes at 155 from today", "recipes/crumble.yaml", "at: 160 °C", "at: 155 °C"},
		{"bake the crumble at 155 °C from now on", "recipes/crumble.yaml", "at: 160 °C", "at: 155 °C"},
		{"crumble bakes for 11 min from today", "recipes/crumble.yaml", "for: 12 min", "for: 11 min"},
		{"set the gelatine in the set cream to 5 g", "recipes/cream.yaml", "gelatine leaf: 6 g", "gelatine leaf: 5 g"},
		{"set pear puree to 11 brix", "larder.yaml", "brix: 10 ", "brix: 11 "},
		{"the pear puree is at 11.5 °Bx today", "larder.yaml", "brix: 10 ", "brix: 11.5 "},
		{"butter costs 10.40 EUR/kg now", "larder.yaml", "9.80 EUR/kg", "10.40 EUR/kg"},
		{"the price of butter is now 10,40 € per kg", "larder.yaml", "9.80 EUR/kg", "10.40 EUR/kg"},
		{"set the bloom of gelatine leaf to 220", "larder.yaml", "9.80 EUR/kg\n", "9.80 EUR/kg\n- ingredient: gelatine leaf\n  bloom: 220\n"},
	} {
		k := newOrders(t)
		before, _ := k.kept.Source(c.file)
		r := k.say("ida", c.say)
		if r.Status != answer.StatusAsk || len(r.Facts) == 0 {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
			continue
		}
		k.say("ida", "yes")
		after, _ := k.kept.Source(c.file)
		if want := strings.Replace(before, c.old, c.new, 1); after != want || after == before {
			t.Errorf("%s:\n%s", c.say, after)
		}
	}
}

// Several lines are one commit; a line that is no order stops all of it.
func TestOrdersTogether(t *testing.T) {
	k := newOrders(t)
	if r := k.say("ida", "salt in the crumble is now 6 g\nsomething with the set cream 155"); r.Status != answer.StatusUnknown || !strings.Contains(r.Text, "something with the set cream 155") {
		t.Errorf("half of it: %s %s", r.Status, r.Text)
	}
	r := k.say("ida", "salt in the crumble is now 6 g\nadd 3 g rye malt to the crumble\nsugar in the set cream is now 40 g\nset pear puree to 11 brix")
	if r.Status != answer.StatusAsk {
		t.Fatalf("%s %s", r.Status, r.Text)
	}
	k.say("ida", "yes")
	log, err := k.kept.Log(t.Context(), "home", 2)
	if err != nil || len(log) != 1 || len(log[0].Files) != 3 {
		t.Fatalf("%+v %v", log, err)
	}
	crumble, _ := k.kept.Source("recipes/crumble.yaml")
	if !strings.Contains(crumble, "salt: 6 g\n  - rye malt: 3 g") {
		t.Errorf("%s", crumble)
	}
}

// What is asked, or done to one batch, is no order.
func TestNoOrders(t *testing.T) {
	for _, say := range []string{
		"is the salt in the crumble 6 g?", "how much salt is in the crumble now", "the salt in the crumble is 6 g", "crumble without the salt",
		"put the crumble in the freezer", "leave the salt out of the crumble", "the crumble is in the oven now", "salt", "", "new recipe",
		"put 30 salt instead of 5 in the crumble", "put 8 g salt in the crumble by mistake",
	} {
		k := newOrders(t)
		r := k.say("ida", say)
		k.say("ida", "yes")
		if log, _ := k.kept.Log(t.Context(), "home", 2); len(log) > 0 {
			t.Errorf("%q writes: %s", say, r.Text)
		}
	}
}

func FuzzOrders(f *testing.F) {
	for _, s := range []string{"salt in the crumble is now 6 g", "set pear puree to 11 brix\nadd 2 g salt to the crumble", "rename the crumble to x", "```\nhouse: x\n```", "call the crumble \"\"", "butter costs 1 € per kg now"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		k := newOrders(t)
		before, _ := k.kept.Head(t.Context(), "home")
		r := k.say("ida", text)
		if r.Text == "" {
			t.Error("no reply")
		}
		if now, _ := k.kept.Head(t.Context(), "home"); now != before {
			t.Error("written without a yes")
		}
	})
}
