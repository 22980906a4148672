package answer_test

import (
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tamis/bot/answer"
)

// craftWords are the phrases of the craft's word file and what stands around them.
func craftWords(t *testing.T) []string {
	data, err := os.ReadFile("../question/words/en.craft.txt")
	if err != nil {
		t.Fatal(err)
	}
	out := strings.Split("how much; how long; to; by half; in the wide pan; instead of; perry reduction; walnut dome; pear gel; the curd; reduce; and; what; is; °Bx; brix; °C; %; g; kg; ml; l; min; bloom; baume; g/ml; m; for; now; reads; left", "; ")
	for _, l := range strings.Split(string(data), "\n") {
		if _, list, ok := strings.Cut(l, ":"); ok && !strings.HasPrefix(l, "#") {
			out = append(out, strings.Split(strings.TrimSpace(list), "; ")...)
		}
	}
	return out
}

// TestCraftHoldsForAnyWords: sentences of the craft's own words and any numbers
// end in an answer with facts that say where they come from, or in a clear word without a number.
func TestCraftHoldsForAnyWords(t *testing.T) {
	words := craftWords(t)
	a := demoAsker(t)
	rapid.Check(t, func(rt *rapid.T) {
		var s []string
		for range rapid.IntRange(2, 9).Draw(rt, "words") {
			if rapid.IntRange(0, 2).Draw(rt, "number") == 0 {
				s = append(s, rapid.SampledFrom([]string{"0", "0.3", "1", "2", "12", "18", "30", "60", "70", "118", "160", "200", "600", "1450", "99999", "-5", "1/3"}).Draw(rt, "n"))
			}
			s = append(s, rapid.SampledFrom(words).Draw(rt, "w"))
		}
		text := strings.Join(s, " ")
		r := ask(rt, a, "property", evening, text)
		if r.Text == "" {
			rt.Fatalf("%q: nothing said", text)
		}
		for _, f := range r.Facts {
			if r.Status != answer.StatusAnswer && f.Value != nil && f.From != answer.FromBook { // the book's own time stands beside a refusal
				rt.Fatalf("%q: %s with a number: %s %s", text, r.Status, f.What, f.Shown)
			}
			if r.Status == answer.StatusAnswer && f.From == "" {
				rt.Fatalf("%q: %s %s comes from nowhere", text, f.What, f.Shown)
			}
		}
	})
}
