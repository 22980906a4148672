package question_test

import (
	"fmt"
	"strings"
	"testing"

	"tamis/bot/question"
)

// said is what a reading tells, one temperature after another.
func said(q *question.Question) string {
	var out []string
	for _, t := range q.Work.Told {
		s := t.Place
		if t.Of > 0 && t.Of <= len(q.Targets) {
			s = q.Targets[t.Of-1].Recipe.Name
		}
		s += " " + t.Celsius.String()
		if c := t.Clock; c != nil && c.HasTime {
			s += fmt.Sprintf(" at %d:%02d", c.Hour, c.Min)
		}
		if t.Label {
			s += " or its number"
		}
		out = append(out, strings.TrimSpace(s))
	}
	return strings.Join(out, "; ")
}

// TestTold: temperatures of cold places, and several in one message.
func TestTold(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"walk-in 3.5 at 7:15", "walk-in 3.5 at 7:15"},
		{"at 7:15 walk-in 3.5", "walk-in 3.5 at 7:15"},
		{"blast freezer -28", "blast freezer -28"},
		{"freezer minus 19", "freezer -19"},
		{"fridge 2 reads 8 C", "fridge 2 8"},
		{"fridge 2 8.5", "fridge 2 8.5"},
		{"fridge 4", "fridge 4 or its number"},
		{"the freezer is at -17", "freezer -17"},
		{"fridge at 4", "fridge 4"},
		{"fridge at 4 at 7", "fridge 4 at 7:00"},
		{"at 7 fridge at 4", "fridge 4 at 7:00"},
		{"pastry fridge 4.5 at 7", "pastry fridge 4.5 at 7:00"},
		{"bar fridge 3.8", "bar fridge 3.8"},
		{"walk-in 38 F", "walk-in 10/3"},
		{"frige 5.2", "fridge 5.2"},
		{"walk-in 3.5, fridge 2 4.1 and freezer -19 at 7:15", "walk-in 3.5 at 7:15; fridge 2 4.1 at 7:15; freezer -19 at 7:15"},
		{"fridge 3.5 at 7, 4 at 12", "fridge 3.5 at 7:00; fridge 4 at 12:00"},
		{"jus 57 at 15:10 and 21 at 16:50", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"jus 57 at 15:10, 21 at 16:50", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"jus at 15:10 57, at 16:50 21", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"57 at 15:10 and 21 at 16:50", "57 at 15:10; 21 at 16:50"},
		{"jus 57 1510 and 21 1650", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"jus 70 at 15:10, soup 65 at 15:12", "mushroom jus 70 at 15:10; night soup 65 at 15:12"},
		{"jus 57 at 15:10 n 21 at 16:50", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"jus: 57 @ 15:10 / 21 @ 16:50", "mushroom jus 57 at 15:10; mushroom jus 21 at 16:50"},
		{"fridge 1: 3.2, fridge 2: 4.1 & freezer: -20", "fridge 1 3.2; fridge 2 4.1; freezer -20"},
		{"the walk in is too warm, 11 degrees", "walk in 11"},
		{"freezer at -12, what now?", "freezer -12"},
		{"temp in walk-in 4.5", "walk-in 4.5"},
		{"jus 57 and 21 at 16:50", "mushroom jus 57; mushroom jus 21 at 16:50"},
		{"is the walk-in at 4?", ""},
		{"fridge temp", ""},
		{"what temp is the fridge", ""},
		{"jus in the fridge at 7:15", ""},
		{"2 trays of domes in the freezer at 22:20", ""},
		{"how much yolk for 3 domes and 4 tuiles", ""},
		{"jus 57 at 15:10 and 200 g salt", ""},
	} {
		got := ""
		if qs := read(c.text); len(qs) > 0 && qs[0].Want == question.WantLogTemp {
			got = said(&qs[0])
		}
		if got != c.want {
			t.Errorf("%q: %q, want %q", c.text, got, c.want)
		}
	}
}

// TestTemps: what asks for temperatures told, and where a thing should be by now.
func TestTemps(t *testing.T) {
	for _, c := range []struct {
		text  string
		want  question.Want
		place string
		kinds string
	}{
		{"show the fridge temps today", question.WantTempLog, "", "fridge"},
		{"freezer temps yesterday", question.WantTempLog, "", "freezer"},
		{"what did the walk-in read this morning", question.WantTempLog, "walk-in", ""},
		{"what were the fridges this morning", question.WantTempLog, "", "fridge"},
		{"last fridge temp", question.WantTempLog, "", "fridge"},
		{"show me the temperature log", question.WantTempLog, "", ""},
		{"pastry fridge log", question.WantTempLog, "pastry fridge", ""},
		{"jus log today", question.WantTempLog, "", ""},
		{"what temp should it be now", question.WantShould, "", ""},
		{"where should the jus be by now", question.WantShould, "", ""},
		{"by when must it be cold", question.WantShould, "", ""},
		{"is it on track", question.WantShould, "", ""},
		{"fridge temp", question.WantNothing, "", ""},
		{"what temp should the oven be for the tuile", question.WantNothing, "", ""},
	} {
		got := question.Question{}
		if qs := read(c.text); len(qs) > 0 && (qs[0].Want == question.WantTempLog || qs[0].Want == question.WantShould) {
			got = qs[0]
		}
		if got.Want != c.want || got.Place != c.place || strings.Join(got.Foods, ",") != c.kinds {
			t.Errorf("%q: %d of %q %v", c.text, got.Want, got.Place, got.Foods)
		}
	}
}

// TestWorkSlips: slips in the words of running work are put right; a word of the
// book or a food word never is.
func TestWorkSlips(t *testing.T) {
	for _, c := range []struct {
		text string
		want question.Want
		from string // what was read as another word
	}{
		{"whats redy at 6", question.WantReadyList, "redy"},
		{"what's settng", question.WantRunning, "settng"},
		{"wht is restng", question.WantRunning, "wht"},
		{"how long lft on the domes", question.WantLeft, "lft"},
		{"domes in the frezer 22:40", question.WantStarted, "frezer"},
		{"cancl the domes", question.WantStop, "cancl"},
		{"snoooze 10", question.WantSnooze, "snoooze"},
		{"stopp the domes", question.WantNothing, ""}, // a word of another language
		{"handovr", question.WantHandOver, "handovr"},
		{"domes in freezer 2240", question.WantStarted, ""},
		{"doms in freezer 2240", question.WantStarted, "doms"},
		{"what is rest", question.WantNothing, ""},
		{"how long left on the lett", question.WantNothing, ""},
	} {
		got, from := question.WantNothing, ""
		if qs := read(c.text); len(qs) > 0 && qs[0].IsWork() {
			got = qs[0].Want
			for _, a := range qs[0].Assumed {
				if a.Code == "read as" && (from == "" || a.Args[0] == c.from) {
					from = a.Args[0]
				}
			}
		}
		if got != c.want || from != c.from {
			t.Errorf("%q: %d, %q read as another", c.text, got, from)
		}
	}
}
