package question_test

import (
	"slices"
	"testing"

	"tamis/bot/question"
)

// TestSafety: what asks whether a hazard is all right, and what asks the book.
func TestSafety(t *testing.T) {
	for _, c := range []struct {
		text string
		want []string // hazards; none: another question
	}{
		{"is raw egg ok in the mayonnaise", []string{"raw egg"}},
		{"can i vacuum pack the garlic oil", []string{"infused oil", "vacuum"}},
		{"is it safe to taste the raw dough", []string{"raw flour"}},
		{"is the sabayon safe", []string{"sabayon"}},
		{"sousvide egg 63 how long", []string{"sous vide"}},
		{"raw egg mousse for kids", []string{"raw egg"}},
		{"can we sous vide the cod", []string{"sous vide"}},
		{"dry ice in a drink ok?", []string{"dry ice"}},
		{"liquid nitrogen at the table", []string{"liquid nitrogen"}},
		{"can kids eat the raw dough", []string{"raw flour"}},
		{"can a child have the sabayon, there is spirit in it", []string{"sabayon", "alcohol"}},
		{"can i keep the sorrel oil at room temp", []string{"infused oil"}}, // by what is in it
		{"can i keep the buckwheat tuile at room temp", nil},
		{"how much dry ice", nil},
		{"how long does the sorrel oil keep", nil},
		{"how much egg white in the meringue", nil},
		{"can I unmould the domes", nil},
		{"keep the domes in the freezer", nil},
	} {
		var got []string
		if qs := read(c.text); len(qs) > 0 && qs[0].Want == question.WantCaution {
			got = qs[0].Foods
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: %v, want %v", c.text, got, c.want)
		}
	}
}

// TestGuest: who a dish is asked for, and whether its egg is raw.
func TestGuest(t *testing.T) {
	for _, c := range []struct {
		text, recipe string
		who          []string
	}{
		{"can a pregnant guest have the parfait, is the yolk raw?", "brown butter parfait", []string{"pregnancy"}},
		{"can kids have the parfait", "brown butter parfait", []string{"child"}},
		{"can a 5 year old have the walnut dome", "walnut dome", []string{"child"}},
		{"is the yolk in the parfait raw", "brown butter parfait", []string{"egg"}},
		{"guest doesnt drink, can they have the jus", "mushroom jus", []string{"dry"}},
		{"is there alcohol in the brown butter ice cream for a kid", "brown butter ice cream", []string{"child", "drink"}},
		{"pregnent woman, parfait ok?", "brown butter parfait", []string{"pregnancy"}},
		{"elderly lady asks for the pear and sorrel, ok?", "pear and sorrel", []string{"old"}},
		{"what can a pregnant guest eat", "", nil},
		{"parfait for 12 kids, how much yolk", "", nil},
		{"how much yolk in the parfait", "", nil},
		{"is the parfait vegan", "", nil},
		{"how long does the parfait keep for the kids", "", nil},
	} {
		name, who := "", []string(nil)
		if qs := read(c.text); len(qs) > 0 && qs[0].Want == question.WantGuest {
			who, name = qs[0].Foods, qs[0].Targets[0].Recipe.Name
		}
		if !slices.Equal(who, c.who) || name != c.recipe {
			t.Errorf("%q: %v of %q", c.text, who, name)
		}
	}
}

// TestLimitAsked: what asks the food code, and what asks the book.
func TestLimitAsked(t *testing.T) {
	for _, c := range []struct{ text, topic string }{
		{"what temp for hot holding", "hot"},
		{"hot holding temp?", "hot"},
		{"how hot must i reheat the custard", "reheat"},
		{"can I reheat it twice", "reheat"},
		{"cooling rule", "cool"},
		{"how fast must the custard cool", "cool"},
		{"whats the legal limit for the fridge", "cold"},
		{"date marking", "date"},
		{"what temp to pasteurise yolks", "pasteurise"},
		{"what temp for fried eggs by the code", "egg"},
		{"how long does the custard cool", ""},
		{"what temp is the fridge", ""},
		{"how long does the cream set", ""},
		{"keep the domes in the freezer", ""},
		{"custard 57 at 15:10", ""},
		{"how much sugar for the custard by the book", ""},
	} {
		got := ""
		if qs := read(c.text); len(qs) > 0 && qs[0].Want == question.WantLimit {
			got = qs[0].Foods[0]
		}
		if got != c.topic {
			t.Errorf("%q: topic %q, want %q", c.text, got, c.topic)
		}
	}
}
