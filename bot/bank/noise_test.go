package bank

import (
	"slices"
	"strings"
	"testing"
)

// noises are what a busy team writes around a question that says nothing of it.
var noises = []struct {
	name string
	with func(string) string
}{
	{"courtesy", func(q string) string { return "hey chef, " + q + " pls thx" }},
	{"capitals", strings.ToUpper},
	{"pictures", func(q string) string { return q + " 🙏🏽🙏🏽" }},
	{"the day", func(q string) string { return "bit slammed here. " + q }},
}

// TestNoise: what says nothing of the question changes nothing of the answer.
func TestNoise(t *testing.T) {
	for _, name := range testBooks {
		before := wholeBank(t, name)
		for _, n := range noises {
			var in []asked
			for _, res := range before {
				a := res.q.line()
				a.Channel = n.name + " " + a.Channel
				a.Text = n.with(a.Text)
				in = append(in, a)
			}
			same := 0
			for i, r := range conversation(t, bookDir(name), in) {
				was := before[i]
				if was.verdict != right || strings.Contains(in[i].Text, "\n") {
					continue
				}
				if r.Status == was.r.Status && r.Recipe == was.r.Recipe && key(r.Facts) == key(was.r.Facts) && slices.Equal(r.Choices, was.r.Choices) {
					same++
					continue
				}
				t.Errorf("%s, %s: %q: %s %q %s, was %s %q %s", name, n.name, in[i].Text, r.Status, r.Recipe, key(r.Facts), was.r.Status, was.r.Recipe, key(was.r.Facts))
			}
			t.Logf("%-12s %-10s %d the same of %d", name, n.name, same, len(before))
			if same < 100 {
				t.Errorf("%s, %s: only %d cases", name, n.name, same)
			}
		}
	}
}
