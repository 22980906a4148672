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
		{"can we sous vide the cod", []string{"sous vide"}},
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
