package question_test

import (
	"testing"

	"tamis/bot/question"
)

// TestWork: what is said of running work, and what is not.
func TestWork(t *testing.T) {

	for _, c := range []struct {
		text string
		want question.Want
		name string // of the first recipe
		much string
	}{
		{"domes in the freezer 22:40", question.WantStarted, "walnut dome", ""},
		{"base resting since 9 last night, 3 tubs", question.WantStarted, "brown butter ice cream", "3 tubs"},
		{"tuile in, tell me", question.WantStarted, "buckwheat tuile", ""},
		{"24 domes in the blast freezer at 22:40", question.WantStarted, "walnut dome", "24"},
		{"what's setting", question.WantRunning, "", ""},
		{"what's ready at 6", question.WantReadyList, "", ""},
		{"what can I unmould at six", question.WantReadyList, "", ""},
		{"how long left on the domes", question.WantLeft, "walnut dome", ""},
		{"stop that", question.WantStop, "", ""},
		{"it went in at 22:10", question.WantCorrect, "", ""},
		{"sorry, the domes went in at 22:10", question.WantCorrect, "walnut dome", ""},
		{"snooze 10", question.WantSnooze, "", ""},
		{"another 10 min", question.WantSnooze, "", ""},
		{"got it", question.WantTaken, "", ""},
		{"which tubs have Tuesday's cream", question.WantLots, "", ""},
		{"hand over", question.WantHandOver, "", ""},
		{"jus 57 at 15:10", question.WantLogTemp, "mushroom jus", ""},
		{"21 at 16:50", question.WantLogTemp, "", ""},
		{"domes were hard at 4 h 20", question.WantTrial, "walnut dome", ""},
		{"soup is at 65", question.WantLogTemp, "night soup", ""},
		{"its 40 now", question.WantLogTemp, "", ""},
		{"more domes in the freezer, 1 tray", question.WantStarted, "walnut dome", "1 tray"},
		{"which tubs have yesterdays base", question.WantLots, "", ""},
		{"domes hard after 5 h at 4 cm", question.WantTrial, "walnut dome", ""},
		{"the soup is 4 °C", question.WantLogTemp, "night soup", ""},
		{"domes in freezer 2240", question.WantStarted, "walnut dome", ""},
		{"domes in freezer 22.40", question.WantStarted, "walnut dome", ""},
		{"rye bread proofing since 21.50", question.WantStarted, "rye bread", ""},
		{"2 batches of domes in the freezer 1450, tray 4", question.WantStarted, "walnut dome", "2 batches, tray 4"},
		{"base restng since 9 last nite, 3 tubs", question.WantStarted, "brown butter ice cream", "3 tubs"},
		{"hw long left on the domes", question.WantLeft, "walnut dome", ""},
		{"are the domes ready yet", question.WantLeft, "walnut dome", ""},
		{"is the base ready", question.WantLeft, "brown butter ice cream", ""},
		{"how long have the domes been in", question.WantLeft, "walnut dome", ""},
		{"when did the domes go in", question.WantLeft, "walnut dome", ""},
		{"took the base out", question.WantTaken, "brown butter ice cream", ""},
		{"cancel all timers", question.WantStop, "", ""},
		{"what's ready in the morning", question.WantReadyList, "", ""},
		{"what do i tell the morning shift", question.WantHandOver, "", ""},
		{"what went in yesterday", question.WantLots, "", ""},
		{"whats on", question.WantRunning, "", ""},
		{"soup 58 now", question.WantLogTemp, "night soup", ""},
		{"soup is 55 in the bain marie", question.WantLogTemp, "night soup", ""},
		{"when is the base made", question.WantNothing, "", ""},
		{"soup holding at 61", question.WantLogTemp, "night soup", ""},
		{"soup 64 on the pass", question.WantLogTemp, "night soup", ""},
		{"temp of soup 64", question.WantLogTemp, "night soup", ""},
		{"celeriac core 88", question.WantLogTemp, "salt-baked celeriac", ""},
		{"tub 3 of base in the freezer at 15:10", question.WantStarted, "brown butter ice cream", "tub 3"},
		{"tuiles in oven 1535", question.WantStarted, "buckwheat tuile", ""},
		{"whats ready by service", question.WantReadyList, "", ""},
		{"what is due before 18", question.WantReadyList, "", ""},
		{"whats in the blast freezer", question.WantRunning, "", ""},
		{"remind again in 5", question.WantSnooze, "", ""},
		{"what temp for soup 64", question.WantNothing, "", ""},
		{"soup 58 batches now", question.WantNothing, "", ""},
		{"soup for 65 now", question.WantNothing, "", ""},
		{"domes in the freezer?", question.WantNothing, "", ""},
		{"how much yolk in the domes", question.WantNothing, "", ""},
		{"domes at 22:40 for 30", question.WantNothing, "", ""},
	} {
		qs := read(c.text)
		got := question.WantNothing
		if len(qs) > 0 && qs[0].Want >= question.WantStarted {
			got = qs[0].Want
		}
		if got != c.want {
			t.Errorf("%q: %d, want %d", c.text, got, c.want)
			continue
		}
		if c.name != "" && (len(qs[0].Work.Recipes) == 0 || qs[0].Work.Recipes[0].Name != c.name) {
			t.Errorf("%q: %v", c.text, qs[0].Work.Words)
		}
		if qs != nil && qs[0].Work.Much != c.much {
			t.Errorf("%q: much %q", c.text, qs[0].Work.Much)
		}
	}
}
