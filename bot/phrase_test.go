package bot_test

import (
	"os"
	"strings"
	"testing"

	"tamis/bot/phrase"
	"tamis/bot/reply"
)

// No name of the book and no food word of any list may stand beside a slot.
func TestNoFoodInWording(t *testing.T) {
	k := asker(t)
	b, err := k.Book(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	data, err := os.ReadFile("question/words/food.txt")
	if err != nil {
		t.Fatal(err)
	}
	names := strings.Fields(string(data))
	for _, r := range b.Snap.Recipes {
		names = append(append(names, r.Name), r.Also...)
	}
	if len(names) < 6000 {
		t.Fatalf("only %d names", len(names))
	}
	two := &reply.Template{Language: "en", Slots: []reply.Slot{{Text: "450 g egg yolk"}, {Text: "ice cream × 3"}}}
	if _, err := phrase.Verify(two, "You need [[1]] for [[2]].", b.Lex); err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if _, err := phrase.Verify(two, phrase.Draft("You need [[1]] "+n+" for [[2]]."), b.Lex); err == nil {
			t.Errorf("%q was accepted", n)
		}
	}
}
