package bot_test

import (
	"strings"
	"testing"
	"time"

	"tamis/bot/answer"
)

// TestLookedBack asks of the past in words that name present things too.
func TestLookedBack(t *testing.T) {
	k := newDemo(t)
	k.at = time.Date(2026, 1, 10, 12, 0, 0, 0, time.UTC)
	for _, say := range []string{"set the yolk in the ice cream base to 110 g", "set the butter in the crumble to 210 g"} {
		k.say("solvei", say)
		k.say("solvei", "yes")
	}
	k.at = time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)
	k.say("solvei", "set the salt in the crumble to 3 g")
	k.say("solvei", "yes")
	k.say("mirek", "salt in the walnut dome is now 3 g")
	k.say("mirek", "yes")
	for _, c := range []struct {
		say    string
		status answer.Status
		words  []string
	}{
		{"who changed the yolk", answer.StatusAnswer, []string{"brown butter ice cream", "changed by: solvei", "110 g  egg yolk (was 150 g)"}},
		{"who changed the salt", answer.StatusUnknown, []string{"Of which recipe?", "buckwheat crumble", "walnut dome"}},
		{"who changed the salt in the domes", answer.StatusAnswer, []string{"changed by: mirek"}},
		{"when did the crumble last change", answer.StatusAnswer, []string{"10 Mar 2026", "3 g  salt (was 4 g)"}},
		{"when was the butter in the crumble changed", answer.StatusAnswer, []string{"10 Jan 2026", "210 g  butter (was 220 g)"}},
		{"what is different in the crumble from last month", answer.StatusAnswer, []string{"3 g  salt (was 4 g)", "Revision 2 compared with revision 3."}},
		{"what was the crumble before", answer.StatusAnswer, []string{"210 g  butter", "4 g  salt", "This is the old revision 2"}},
		{"how much salt was in the crumble before", answer.StatusAnswer, []string{"4 g salt", "This is the old revision 2"}},
		{"how much salt in the crumble", answer.StatusAnswer, []string{"3 g salt"}},
	} {
		r := k.fresh("jonte", c.say)
		if r.Status != c.status {
			t.Errorf("%s: %s %s", c.say, r.Status, r.Text)
		}
		for _, w := range c.words {
			if !strings.Contains(r.Text, w) {
				t.Errorf("%s: no %q in\n%s", c.say, w, r.Text)
			}
		}
	}
}
