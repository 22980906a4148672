package bank

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// certainty is how sure the program said it was of an answer.
func certainty(r reply) string {
	switch {
	case r.Status != "answer":
		return ""
	case len(r.Assumed) > 0:
		return "assumed"
	}
	return "certain"
}

// point counts what was answered at one certainty, and how much of it was wrong.
type point struct{ asked, answered, wrong map[string]int }

func newPoint() *point {
	return &point{map[string]int{}, map[string]int{}, map[string]int{}}
}

func (p *point) add(r reply, v verdict) {
	p.asked[""]++
	c := certainty(r)
	if c == "" {
		return
	}
	p.answered[c]++
	if v == wrong || v == overconfident {
		p.wrong[c]++
	}
}

func (p *point) row(name, label string, levels ...string) string {
	answered, bad := 0, 0
	for _, l := range levels {
		answered += p.answered[l]
		bad += p.wrong[l]
	}
	return fmt.Sprintf("| %s | %s | %d | %.1f %% | %d | %.2f %% |\n", name, label, p.asked[""], share(answered, p.asked[""]), bad, share(bad, answered))
}

func share(a, b int) float64 { return 100 * float64(a) / float64(max(b, 1)) }

// bounds are those of the decision that the program is asked with; "": its own.
var bounds string

// riskTable asks the bank and made-up questions again with other bounds.
func riskTable(t *testing.T) string {
	var b strings.Builder
	b.WriteString(riskHead)
	order, dirs := generatedBooks(t)
	defer func() { bounds = "" }()
	for _, at := range [][2]int{{2, 2}, {4, 2}, {6, 2}, {8, 2}, {10, 2}, {12, 2}, {14, 2}, {18, 2}, {24, 2}, {40, 2}, {14, 0}, {14, 1}, {14, 4}, {14, 8}} {
		bounds = fmt.Sprintf("%d %d", at[0], at[1])
		bank, gen := newPoint(), newPoint()
		for _, name := range testBooks {
			for _, res := range askBank(t, name, bookDir(name), bankOf(t, name)) {
				bank.add(res.r, res.verdict)
			}
		}
		for i, name := range order {
			askMade(t, name, dirs[name], makeCases(t, dirs[name], 1200/len(order), uint64(i+1)), func(_ made, _ int, r reply, v verdict, _ string) { gen.add(r, v) })
		}
		fmt.Fprintf(&b, "| %d | %d |", at[0], at[1])
		for _, p := range []*point{bank, gen} {
			answered, bad := p.answered["certain"]+p.answered["assumed"], p.wrong["certain"]+p.wrong["assumed"]
			fmt.Fprintf(&b, " %.1f %% | %d, %.2f %% |", share(answered, p.asked[""]), bad, share(bad, answered))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

const riskHead = `
## Risk and coverage

What the bounds of the decision buy (` + "`bot/question/cost.go`" + `): *below* is how dear a reading may be and still be answered, *margin* how near
another answer may come before it is asked about. The program's own are 14 and 2; the others are set by ` + "`TAMIS_BOUNDS`" + `, for measuring only.

| below | margin | bank: answered | wrong | made up: answered | wrong |
|---|---|---|---|---|---|
`

// TestCurve writes docs/understanding.md: how much is answered and how much of it is wrong, by what the program calls certain.
func TestCurve(t *testing.T) {
	if os.Getenv("TAMIS_BANK") != "curve" {
		t.Skip("TAMIS_BANK=curve writes docs/understanding.md")
	}
	bank, gen := newPoint(), newPoint()
	kinds, genKinds := map[string]*tally{}, map[string]*tally{}
	var halves [2]tally
	count := func(in map[string]*tally, kind string, v verdict) {
		if in[kind] == nil {
			in[kind] = &tally{}
		}
		in[kind].add(v)
	}
	for _, name := range testBooks {
		for _, res := range wholeBank(t, name) {
			bank.add(res.r, res.verdict)
			count(kinds, res.q.Kind, res.verdict)
			half := 0
			if res.q.held() {
				half = 1
			}
			halves[half].add(res.verdict)
		}
	}
	order, dirs := generatedBooks(t)
	for i, name := range order {
		askMade(t, name, dirs[name], makeCases(t, dirs[name], 10000/len(order), uint64(i+1)), func(c made, _ int, r reply, v verdict, _ string) {
			gen.add(r, v)
			count(genKinds, c.kind, v)
		})
	}
	var b strings.Builder
	b.WriteString(understandingHead)
	b.WriteString("| asked | answered when | questions | share answered | wrong | share wrong of the answered |\n|---|---|---|---|---|---|\n")
	b.WriteString(bank.row("bank", "certain", "certain") + bank.row("bank", "certain or assumed", "certain", "assumed"))
	b.WriteString(gen.row("made up", "certain", "certain") + gen.row("made up", "certain or assumed", "certain", "assumed"))
	b.WriteString(riskTable(t))
	fmt.Fprintf(&b, "\n## The bank\n\n%s\n| work half | %s\n| held half | %s\n", tallyHead, halves[0].row(), halves[1].row())
	for _, k := range sortedKeys(kinds) {
		fmt.Fprintf(&b, "| %s | %s\n", k, kinds[k].row())
	}
	fmt.Fprintf(&b, "\n## Made-up questions\n\n%s\n", tallyHead)
	for _, k := range sortedKeys(genKinds) {
		fmt.Fprintf(&b, "| %s | %s\n", k, genKinds[k].row())
	}
	if err := os.WriteFile(filepath.Join(root, "docs", "understanding.md"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

const tallyHead = "| kind | asked | right | wrong number | missed | overconfident |\n|---|---|---|---|---|---|"

func (t tally) row() string {
	return fmt.Sprintf("%d | %d | %d | %d | %d |", t.asked, t.right, t.wrong, t.missed, t.over)
}

const understandingHead = `# How well questions are understood

Written by ` + "`TAMIS_BANK=curve go test ./bot/bank -run TestCurve`" + `. The program is asked from outside, as a script would, and its
answers are held against sums done by a reader of the books that shares no code with it. The questions are of two kinds: a bank
written by hand over three books (` + "`testdata/bank`" + `), and questions made up by a grammar over those books, the same books with
every name made of random syllables, and books of random recipes. A made-up question counts as wrong as soon as one fact, one
digit of the text or one allergen of its reply is not so, asked for or not.

*Certain* is an answer that assumes nothing; *assumed* says what it took for granted. Everything else is a question back, an
"I don't have that", or a refusal.

## Answered against wrong

`
