package bot_test

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tamis/bot"
	"tamis/bot/answer"
	"tamis/kb/store"
)

// newDemo is a copy of the demo book that its chef solvei may change and its
// commis jonte may propose to.
func newDemo(t *testing.T) *talker {
	t.Helper()
	k := &talker{t: t, at: time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC), dir: filepath.Join(t.TempDir(), "book")}
	if err := store.WriteDemo(k.dir); err != nil {
		t.Fatal(err)
	}
	k.waits = store.OpenProposals(filepath.Join(k.dir, ".tamis"))
	t.Cleanup(func() { _ = k.kept.Close() })
	k.start()
	return k
}

// fresh says something in a talk of its own.
func (k *talker) fresh(who, text string) bot.Reply {
	k.t.Helper()
	r, err := k.a.Ask(k.t.Context(), bot.Message{Conversation: bot.ConversationID(who + " " + text), Author: bot.AuthorID(who), At: k.at, Text: text})
	if err != nil {
		k.t.Fatal(err)
	}
	return r
}

// TestQuestionsChangeNothing: questions, suppositions, observations and work of
// today that sound like changes are never offered as one, and never kept as a
// proposal of somebody who may only propose.
func TestQuestionsChangeNothing(t *testing.T) {
	k := newDemo(t)
	for _, say := range []string{
		"how long does the tuile bake now",
		"could I swap buckwheat flour for rye flour in the crumble?",
		"could I swap buckwheat flour for rye flour in the crumble",
		"is the yolk 110 g now?",
		"is the yolk in the ice cream base 110 g now",
		"does the tuile bake 11 min now",
		"does the tuile go 11 min now?",
		"do the domes freeze 8 h now",
		"can I bake the tuile at 155",
		"can I bake the tuile at 155 not 160?",
		"should the tuile bake at 155 not 160",
		"what if the tuile bakes 11 min",
		"what if I swap buckwheat flour for rye flour in the crumble for good",
		"what happens if I replace walnut with groats in the crumble from now on",
		"why does the tuile bake 12 min now",
		"who set the tuile to 155",
		"when did the tuile go to 11 min",
		"since when does the tuile bake 11 min",
		"did the tuile go to 11 min",
		"has the tuile changed to 11 min",
		"what would happen if the crumble gets 6 g salt from now on",
		"how much salt does the crumble get now",
		"how much butter in the crumble now",
		"how much less salt in the crumble now",
		"which flour goes in the crumble now",
		"the tuile bakes 12 min now right",
		"the tuile bakes 12 min now, no?",
		"tuile bakes 11 min now or 12",
		"tuile at 155 or 160 now",
		"do I bake the tuile at 155 or 160",
		"is it 155 not 160 for the tuile",
		"I swapped buckwheat flour for rye flour in the crumble",
		"I have no buckwheat flour, can rye go in the crumble",
		"out of buckwheat flour for the crumble, rye instead?",
		"swap buckwheat flour for rye flour in the crumble",
		"what can replace walnut in the crumble",
		"replace walnut in the crumble",
		"rye flour instead of buckwheat in the crumble tonight",
		"the tuile was in for 11 min now what",
		"the tuile has been in 11 min now",
		"the tuile goes in now",
		"the domes have been in the freezer 8 h now",
		"the domes are at -12 now",
		"the base is at 84 now",
		"the ice cream base rested 12 h",
		"ice cream base rested only 8 h",
		"if the base rests 12 h is it fine",
		"would 12 h rest do for the ice cream base",
		"can the ice cream base rest 12 h",
		"ice cream base for 12",
		"crumble 800 g",
		"the crumble makes 800 g?",
		"how many grams does the crumble make now",
		"will the crumble make 800 g now",
		"does the crumble keep 3 days",
		"does the tuile keep 3 days now",
		"who renamed the crumble",
		"is the crumble called dark crumble now",
		"what is the crumble called now",
		"was the yolk 110 g before",
		"is there still walnut in the crumble",
		"is there no more walnut in the crumble",
		"can I leave the walnut out of the crumble from now on",
		"may I add 2 g salt to the crumble",
		"do I add 2 g salt to the crumble",
		"shall I put 1 g more salt in the crumble",
		"how do I set the yield of the tuile",
		"can the tuile go 11 min from now on",
		"any reason not to bake the tuile at 155 from now on",
		"I wonder if the tuile should go 11 min from now on",
		"maybe the tuile should bake 11 min from now on",
		"timer tuile 11 min",
		"set a timer for the tuile 11 min",
		"tuile 11 min",
		"bake the tuile 11 min",
		"chill the crumble 30 min now",
		"tell me when the tuile has 11 min",
		"does chef want 210 g butter in the crumble from now on",
		"hva hvis the crumble gets 6 g salt now",
		"wie lange backt the tuile now",
		"heard the tuile bakes 11 min now",
		"someone said the tuile bakes 11 min from now on",
		"I think the tuile bakes 11 min now",
		"apparently the tuile bakes 11 min now",
		"was told the crumble gets 6 g salt from now on",
		"I guess the tuile goes 11 min now",
		"I believe the base rests 12 h now",
		"yesterday the tuile baked 11 min",
		"the tuile baked 11 min instead of 12",
		"the tuile baked at 155 not 160",
		"we baked the tuile at 155 not 160",
		"tell me the new bake time of the tuile",
		"let me know when the tuile goes 11 min",
		"show me the crumble with 210 g butter from now on",
		"calculate the crumble with 210 g butter",
		"what the crumble looks like with rye flour instead of buckwheat flour from now on",
		"in case the tuile goes 11 min now",
		"the tuile bakes 11 min now according to jonte",
		"tuile 11 min from now on or still 12",
		"check the crumble has 6 g salt now",
		"check if the crumble has 6 g salt now",
		"make sure the crumble has 6 g salt now",
		"does anybody know if the yolk is 110 g now",
		"explain why the crumble makes 800 g now",
		"compare the crumble with 210 g butter",
		"the crumble has 210 g butter today",
		"the crumble has 210 g butter now",
		"tonight the tuile bakes 11 min",
		"for tonight the tuile bakes 11 min",
		"only today the tuile bakes at 155",
		"tuile at 155 for this batch",
		"this time bake the tuile at 155 not 160",
		"just for tomorrow bake the tuile at 155 not 160",
		"for tonight swap buckwheat flour for rye flour in the crumble",
		"the tuile burns at 160 now",
		"the tuile burnt after 11 min",
		"the crumble is 20 g short of butter now",
		"the crumble lost 20 g butter",
		"I have 210 g butter now for the crumble",
		"we only have 210 g butter now",
		"there is 210 g butter in the crumble now",
		"it says 210 g butter in the crumble now",
		"the book says the tuile bakes 12 min now",
		"the card says bake the tuile at 155 not 160",
		"the label says the crumble keeps 3 days now",
		"the oven says 155 not 160 for the tuile",
		"the tuile came out at 155 not 160",
		"jonte baked the tuile at 155 instead of 160",
		"crumble was made with 210 g butter",
		"crumble for 40 now",
		"make the crumble 800 g now",
		"crumble, 3 kg now",
		"order 10 kg butter from now on",
		"butter costs how much now",
		"the price of butter now",
		"the crumble is off",
		"the crumbs are off",
		"bake the tuile 2 min longer",
		"the tuile needs 2 min longer",
		"give the tuile 2 min more",
		"the tuile wants 5 °C more today",
		"the tuile is at 150 now",
		"the tuile oven is at 150 now",
		"the tuile needs 4 min now",
		"the tuile has 4 min now",
		"the tuile is 11 min now",
		"the tuile temperature is 155 now",
		"the base reads 84 now",
		"tuile 4 min more",
		"we are 12 min in on the tuile now",
		"the crumble is cooling 20 min now",
		"bake the crumble at 150 now",
		"chill the crumble for 20 min now",
		"chill the crumble for 20 min today",
		"rest the tuile 2 h tonight",
		"use rye flour instead of buckwheat flour in the crumble today",
		"make the crumble without walnut today",
		"crumble without walnut",
		"no walnut in the crumble tonight",
		"halve the salt in the crumble",
		"double the crumble",
		"crumble with rye flour instead of buckwheat flour",
		"the crumble got 6 g salt",
		"we put 6 g salt in the crumble",
		"somebody put 6 g salt in the crumble",
		"jonte bakes the tuile 11 min now",
		"the note on the crumble",
		"what does the note on the crumble say",
		"how much walnut is out of the crumble now",
		"is the loss of the crumble 8 % now",
		"crumble loss 8 %",
		"what did the tuile bake at before",
		"what would 210 g butter do to the crumble",
		"is 155 enough for the tuile",
		"who said the tuile bakes 11 min now",
		"so the tuile bakes 11 min now?",
		"the tuile bakes 11 min now?",
		"ok so the tuile goes 11 min now right",
		"do we swap buckwheat flour for rye flour in the crumble for good",
		"could we replace walnut with groats in the crumble for good?",
		"what is the crumble without walnut from now on",
		"if the crumble no longer has walnut is it nut free",
		"the crumble no longer has walnut?",
		"has the crumble no longer walnut",
		"which recipes no longer have walnut",
		"does the crumble make 800 g from now on",
		"how would you call the crumble",
		"should we rename the crumble to dark crumble",
		"why is the crumble called dark crumble",
		"can you tell me if the tuile bakes 11 min now",
		"could you tell me how long the tuile bakes from now on",
		"please tell me whether the yolk in the base is 110 g now",
		"can you check the salt in the crumble is 6 g now",
		"can I take the crumble off?",
		"is the crumble off",
		"should we take the crumble off the menu",
		"can we put the granita back on",
		"the dome cooks to 83 right",
		"remind me in 11 min about the tuile from now on",
	} {
		if r := k.fresh("solvei", say); r.About == "change" && (r.Status == answer.StatusAsk || len(r.Facts) > 0) {
			t.Errorf("%q offers a change: %s", say, r.Text)
		}
		k.fresh("jonte", say)
		if all, err := k.waits.All(); err != nil || len(all) > 0 {
			t.Fatalf("%q is kept as a proposal: %+v, %v", say, all, err)
		}
	}
}

// What the book says anyway, and what somebody says who may not write, is work and no change.
func TestWorkIsNoChange(t *testing.T) {
	k := newDemo(t)
	for _, c := range []struct{ who, say string }{
		{"solvei", "the crumble chills 30 min"}, {"solvei", "the tuile bakes 12 min"}, {"solvei", "ice cream base rests 10 h"},
		{"jonte", "ice cream base rests 12 h"}, {"jonte", "the tuile bakes 11 min"}, {"solvei", "the tuile bakes 2 min more"},
	} {
		r := k.fresh(c.who, c.say)
		if all, err := k.waits.All(); r.About == "change" || err != nil || len(all) > 0 {
			t.Errorf("%s: %s: %s %s, %d wait, %v", c.who, c.say, r.About, r.Text, len(all), err)
		}
	}
}

// A figure held against a step is answered with the book's.
func TestStepAsked(t *testing.T) {
	k := newDemo(t)
	for _, c := range []struct{ say, word string }{
		{"does the tuile bake 11 min now", "12 min  bake"},
		{"so the tuile bakes 11 min now?", "12 min  bake"},
		{"does the tuile go 11 min now?", "12 min  bake"},
		{"can the ice cream base rest 12 h", "10 h to 24 h"},
	} {
		if r := k.fresh("jonte", c.say); r.Status != answer.StatusAnswer || !strings.Contains(r.Text, c.word) {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
		}
	}
}

// A question about what would be a change when it is said is none when it is asked.
func TestAskedIsNotSaid(t *testing.T) {
	k := newDemo(t)
	asking := []func(s string) string{
		func(s string) string { return s + "?" },
		func(s string) string { return "should it be that " + s },
		func(s string) string { return "what if " + s },
		func(s string) string { return "I wonder if " + s },
		func(s string) string { return "is it true that " + s },
		func(s string) string { return s + ", right" },
		func(s string) string { return "who says " + s },
		func(s string) string { return "maybe " + s },
	}
	for i, c := range plainChanges {
		for j, ask := range asking {
			if strings.HasSuffix(c.say, "?") { // a deed that is asked for politely
				continue
			}
			if (i+j)%4 != 0 && !strings.Contains(c.say, "swap") { // each form with every fourth change
				continue
			}
			if r := k.fresh("solvei", ask(c.say)); r.About == "change" && (r.Status == answer.StatusAsk || len(r.Facts) > 0) {
				t.Errorf("%q offers a change: %s", ask(c.say), r.Text)
			}
		}
	}
}

// plainChanges are changes as a chef says them, and what the difference shows.
var plainChanges = []struct{ say, what, was, now string }{
	{"the tuile goes 11 min now", "bake", "12 min", "11 min"},
	{"tuile bakes 11 min from now on", "bake", "12 min", "11 min"},
	{"bake the tuile at 155 not 160", "bake at", "160 °C", "155 °C"},
	{"tuile 155 instead of 160 from now on", "bake at", "160 °C", "155 °C"},
	{"the tuile oven goes down to 155", "bake at", "160 °C", "155 °C"},
	{"drop the tuile oven to 155 for good", "bake at", "160 °C", "155 °C"},
	{"new bake time for the tuile: 11 min", "bake", "12 min", "11 min"},
	{"bake time of the tuile is now 11 min", "bake", "12 min", "11 min"},
	{"tuile bake time 11 min from today", "bake", "12 min", "11 min"},
	{"tuile: 11 min from now on", "bake", "12 min", "11 min"},
	{"tuile bakes from 12 min to 11 min from now on", "bake", "12 min", "11 min"},
	{"as of tomorrow the tuile bakes 11 min", "bake", "12 min", "11 min"},
	{"the crumble chills 45 min from now on", "chill", "at least 30 min", "at least 45 min"},
	{"the domes freeze 8 h now", "freeze", "at least 6 h", "at least 8 h"},
	{"ice cream base rests 12 h", "rest", "10 h to 24 h, never over 48 h", "12 h, never over 2 days"},
	{"the domes thaw 40 min now", "thaw", "35 min to 50 min, never over 75 min", "40 min, never over 75 min"},
	{"ice cream base: cook to 84 °C from now on", "cook to", "83 °C", "84 °C"},
	{"boil the pear gel 3 min from now on", "boil", "2 min", "3 min"},
	{"apple tart bakes 5 min longer from now on", "bake", "42 min", "47 min"},
	{"bake the apple tart 5 min less from now on", "bake", "42 min", "37 min"},
	{"bake the tuile 5 °C hotter from now on", "bake at", "160 °C", "165 °C"},
	{"the tuile bakes 5 degrees cooler from now on", "bake at", "160 °C", "155 °C"},
	{"raise the tuile oven by 5 °C for good", "bake at", "160 °C", "165 °C"},
	{"the domes freeze 1 h longer from now on", "freeze", "at least 6 h", "at least 7 h"},
	{"correct the tuile time to 11 min", "bake", "12 min", "11 min"},
	{"salt in the crumble from 4 g to 5 g", "salt", "4 g", "5 g"},
	{"salt in the crumble up 2 g", "salt", "4 g", "6 g"},
	{"half the sugar in the sorbet from now on", "caster sugar", "170 g", "85 g"},
	{"no salt in the crumble from now on", "salt", "4 g", "0"},
	{"pear gel: agar 1 % from now on", "agar", "6.9 g", "7.3 g"},
	{"the tuile makes 70 now", "total", "320 g", "350 g"},
	{"crumble butter down to 210 g", "butter", "220 g", "210 g"},
	{"crumble butter now 210 g", "butter", "220 g", "210 g"},
	{"butter in the crumble: 210 g from now on", "butter", "220 g", "210 g"},
	{"from now on 210 g butter in the crumble", "butter", "220 g", "210 g"},
	{"we use 210 g butter in the crumble from today", "butter", "220 g", "210 g"},
	{"could you set the butter in the crumble to 210 g?", "butter", "220 g", "210 g"},
	{"up the salt in the crumble to 5 g", "salt", "4 g", "5 g"},
	{"less salt in the crumble, 3 g now", "salt", "4 g", "3 g"},
	{"cut the sugar in the crumble by 10%", "brown sugar", "170 g", "153 g"},
	{"halve the salt in the crumble from now on", "salt", "4 g", "2 g"},
	{"double the salt in the crumble for good", "salt", "4 g", "8 g"},
	{"the yolk in the ice cream base goes up by 10 g", "egg yolk", "150 g", "160 g"},
	{"the crumble no longer has walnut", "walnut", "130 g", "0"},
	{"crumble without walnut from now on", "walnut", "130 g", "0"},
	{"the crumble also gets 3 g cinnamon from now on", "cinnamon", "", "3 g"},
	{"the crumble makes 800 g now", "total", "780 g", "800 g"},
	{"swap buckwheat flour for rye flour in the crumble for good", "rye flour", "", "200 g"},
	{"replace walnut with buckwheat groats in the crumble from now on", "buckwheat groats", "", "110 g"},
	{"swap the walnut in the crumble for 90 g buckwheat groats for good", "buckwheat groats", "", "90 g"},
	{"use rye flour instead of buckwheat flour in the crumble from now on", "rye flour", "", "200 g"},
	{"substitute rye flour for buckwheat flour in the crumble for good", "rye flour", "", "200 g"},
	{"make the crumble with rye flour instead of buckwheat flour from now on", "rye flour", "", "200 g"},
	{"in the crumble, rye flour replaces plain flour from now on", "rye flour", "", "120 g"},
}

// TestPlainChanges: each is offered as the one difference that it says.
func TestPlainChanges(t *testing.T) {
	k := newDemo(t)
	for _, c := range plainChanges {
		r := k.fresh("solvei", c.say)
		i := -1
		if r.Status == answer.StatusAsk {
			i = slices.IndexFunc(r.Facts, func(f answer.Fact) bool { return f.What == c.what && f.Shown == c.now && f.WasShown == c.was })
		}
		if i < 0 {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
			for _, f := range r.Facts {
				t.Logf("  %q %q was %q", f.What, f.Shown, f.WasShown)
			}
		}
	}
}

// What is in words alone: notes, names, yields and how long it keeps.
func TestPlainWords(t *testing.T) {
	k := newDemo(t)
	for _, c := range []struct{ say, word string }{
		{"add a note to the crumble: toast the walnuts first", "notes: Toast the walnuts first."},
		{"put a note on the tuile that the mat must be dry", "notes: The mat must be dry."},
		{"note on the ice cream base: is it grainy? blend it", "notes: Serve at -14 °C. One batch is one churn. Is it grainy? blend it."},
		{"the crumble is also called nut crumble", "also: crumble, nut crumble"},
		{"let's call the sorbet green sorbet from now on", "recipe: green sorbet"},
		{"rye crumbs are off the menu", "rye crumbs is taken off"},
		{"the crumble is called dark crumble from now on", "recipe: dark crumble"},
		{"set the yield of the tuile to 60 pieces", "makes: 60 pieces of 5 g"},
		{"loss of the crumble is 8 % now", "loss: 8 %"},
		{"the tuile keeps 3 days in dry store now", "keeps: 3 days in dry store"},
		{"the crumble keeps 6 weeks in freezer from now on", "keeps: 8 days in dry store, 6 weeks in freezer"},
		{"add a pinch of nutmeg to the crumble", "nutmeg: a pinch"},
	} {
		if r := k.fresh("solvei", c.say); r.Status != answer.StatusAsk || !strings.Contains(r.Text, c.word) {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
		}
	}
}

// What cannot be made of the words is asked for or refused, never guessed.
func TestPlainDoubts(t *testing.T) {
	k := newDemo(t)
	for _, c := range []struct{ say, word string }{
		{"bake the tuile at 155 not 165", "The book has 160 °C there, not 165 °C. Nothing is written."},
		{"salt in the crumble from 3 g to 5 g", "The book has 4 g there, not 3 g."},
		{"the domes thaw 5 min longer from now on", "say what it is to be"},
		{"sugar in the sorbet minus 25 % from now on", "caster sugar is 170 g: say what it is to be"},
		{"the crumble makes 900 from now on", "The unit is missing"},
		{"the domes thaw 90 min from now on", "that limit is passed"},
		{"replace 100 g walnut with 90 g buckwheat groats in the crumble for good", "The book has 130 g there, not 100 g"},
		{"change the brown sugar in the crumble to caster sugar for good", "How much caster sugar in place of brown sugar 170 g? Say the amount."},
		{"swap the gelatine in the domes for agar for good", "The book says of gelatine leaf: not possible."},
		{"replace cream with whole milk in the ice cream base for good", "both stand in brown butter ice cream"},
		{"the oven of the tuile is now 150", "say it with “from now on”"},
		{"should we rename the crumble to dark crumble", "I take that as a question"},
	} {
		if r := k.fresh("solvei", c.say); r.Status != answer.StatusUnknown || !strings.Contains(r.Text, c.word) {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
		}
	}
}

// TestPlainBytes: a swap, a note and a yield change their own bytes of the file and no other.
func TestPlainBytes(t *testing.T) {
	k := newDemo(t)
	for _, c := range []struct{ say, file, old, new string }{
		{"replace walnut with buckwheat groats in the crumble from now on", "recipes/pastry/buckwheat-crumble.yaml", "walnut: {amount: 130 g, prep", "buckwheat groats: {amount: 110 g, prep"},
		{"the crumble keeps 6 weeks in freezer from now on", "recipes/pastry/buckwheat-crumble.yaml", "8 weeks in freezer", "6 weeks in freezer"},
		{"ice cream base rests 12 h from now on", "recipes/pastry/brown-butter-ice-cream.yaml", "for: 10 h to 24 h, never over 48 h", "for: 12 h, never over 48 h"},
	} {
		before, _ := k.kept.Source(c.file)
		k.say("solvei", c.say)
		k.say("solvei", "yes")
		after, _ := k.kept.Source(c.file)
		if want := strings.Replace(before, c.old, c.new, 1); after != want || after == before {
			t.Errorf("%s:\n%s", c.say, after)
		}
	}
}
