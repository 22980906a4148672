package question_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/store"
)

var demo = sync.OnceValue(func() *kb.Snapshot {
	d, err := store.OpenDemo(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	s, err := d.Head(context.Background(), store.Home)
	if err != nil {
		panic(err)
	}
	return s
})

var lexicon = sync.OnceValue(func() *question.Lexicon { return question.NewLexicon(demo().Names()) })

func read(text string) []question.Question {
	return question.Read(lexicon(), text, nil, quantity.Metric)
}

// brief is a reading in one line: what is asked, of which recipes at which
// size, with which items.
func brief(q *question.Question) string {
	var b strings.Builder
	fmt.Fprint(&b, wants[q.Want])
	for i := range q.Targets {
		t := &q.Targets[i]
		if t.Recipe != nil {
			fmt.Fprintf(&b, " | %s", t.Recipe.Name)
		}
		switch t.Scale.Kind {
		case question.ScaleNone:
		case question.ScaleGiven:
			for _, g := range t.Scale.Given {
				fmt.Fprintf(&b, " with %s %s", g.Q, g.Item.Text)
			}
		default:
			fmt.Fprintf(&b, " %s %s", kinds[t.Scale.Kind], t.Scale.N)
			if t.Scale.All {
				b.WriteString(" all")
			}
			if t.Scale.Mould != nil {
				fmt.Fprintf(&b, " of %s", t.Scale.Mould.Text)
			}
		}
	}
	for _, it := range q.Items {
		fmt.Fprintf(&b, " + %s", it.Text)
	}
	for _, it := range q.Exclude {
		fmt.Fprintf(&b, " − %s", it.Text)
	}
	return b.String()
}

var wants = map[question.Want]string{
	question.WantAmount: "amount", question.WantCard: "card", question.WantMethod: "method", question.WantSteps: "steps", question.WantKeeps: "keeps",
	question.WantWhere: "where", question.WantMakes: "makes", question.WantMakeable: "makeable", question.WantMoulds: "moulds", question.WantBatches: "batches",
	question.WantThing: "thing", question.WantConvert: "convert", question.WantAllergens: "allergens", question.WantMenuFor: "menu", question.WantContent: "content",
	question.WantCost: "cost", question.WantUses: "uses", question.WantUsable: "usable", question.WantReading: "reading", question.WantReady: "ready",
	question.WantUseBy: "use by", question.WantLatest: "latest", question.WantUnsafe: "unsafe", question.WantChange: "change", question.WantHelp: "help",
	question.WantThanks: "thanks", question.WantTimer: "timer", question.WantDiet: "diet", question.WantEnergy: "energy",
}

var kinds = map[question.ScaleKind]string{
	question.ScaleFactor: "×", question.ScaleMass: "g", question.ScaleVolume: "ml", question.ScalePieces: "pieces", question.ScaleCovers: "covers",
	question.ScaleFor: "for", question.ScaleCount: "count", question.ScaleCells: "cells", question.ScaleMoulds: "moulds", question.ScaleSheets: "sheets",
}

// Each sentence of a cook with its cheapest reading.
func TestRead(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"how much yolk for 3x ice cream base", "amount | brown butter ice cream × 3 + yolk"},
		{"ice cream base triple yolks", "amount | brown butter ice cream × 3 + yolks"},
		{"two and a half batches crumble, walnuts?", "amount | buckwheat crumble × 2.5 + walnuts"},
		{"crumble: butter and salt", "amount | buckwheat crumble + butter + salt"},
		{"half the crumble", "card | buckwheat crumble × 0.5"},
		{"CRUMBLE X2 EVERYTHING", "card | buckwheat crumble × 2"},
		{"2.4 kg perry reduction how much perry", "amount | perry reduction g 2400 + perry"},
		{"pear and sorrel for 45, how much sorbet", "amount | pear and sorrel for 45 + sorbet"},
		{"50 covers pear and sorrel", "card | pear and sorrel pieces 50"},
		{"30 buckwheat tuile", "card | buckwheat tuile count 30"},
		{"only 180 g yolk left, ice cream base, milk?", "amount | brown butter ice cream with 180 g yolk + milk"},
		{"fill all the dome 45 with walnut dome how much cream", "amount | walnut dome sheets 1 all of dome 45 + cream"},
		{"how many walnut domes can i make with 500 g cream", "makeable | walnut dome with 500 g cream"},
		{"crumble without the salt", "card | buckwheat crumble − salt"},
		{"method for the crumble", "method | buckwheat crumble"},
		{"how long does the crumble keep", "keeps | buckwheat crumble"},
		{"what temp is the crumble baked at", "steps | buckwheat crumble"},
		{"where does the pear gel go", "where | pear gel"},
		{"how many tuiles from one batch of buckwheat tuile", "makes | buckwheat tuile"},
		{"200 ml honey in g", "convert + honey"},
		{"350F in C", "convert"},
		{"does the crumble contain nuts", "allergens | buckwheat crumble"},
		{"what can somebody eat without nuts", "menu"},
		{"which recipes use buttermilk", "uses + buttermilk"},
		{"cost of the crumble", "cost | buckwheat crumble"},
		{"fat % of the crumble", "content | buckwheat crumble"},
		{"what does the wide pan weigh empty", "thing"},
		{"how many batches in the batch freezer for 5 kg ice cream base", "batches | brown butter ice cream g 5000"},
		{"mushroom jus stood out all night, still ok?", "unsafe | mushroom jus"},
		{"how many kg pears for 3 kg peeled", "usable + pears"},
		{"thanks chef", "thanks"},
		{"what can you do", "help"},
	} {
		qs := read(c.text)
		if len(qs) == 0 {
			t.Errorf("%q: nothing was understood", c.text)
			continue
		}
		if got := brief(&qs[0]); got != c.want {
			t.Errorf("%q:\n got %s (cost %d)\nwant %s", c.text, got, qs[0].Cost, c.want)
		}
	}
}

// Slips are put right where nothing else is meant, and said.
func TestSlips(t *testing.T) {
	for _, c := range []struct{ text, want, note string }{
		{"how much buttr in the crumble", "amount | buckwheat crumble + buttr", "butter"},
		{"buckweat crumble salt", "amount | buckwheat crumble + salt", "buckwheat"},
		{"icecream base x2 dextrose", "amount | brown butter ice cream × 2 + dextrose", ""},
		{"perry redcution sugar", "amount | perry reduction + sugar", "reduction"},
	} {
		qs := read(c.text)
		if len(qs) == 0 {
			t.Errorf("%q: nothing was understood", c.text)
			continue
		}
		if got := brief(&qs[0]); got != c.want {
			t.Errorf("%q:\n got %s\nwant %s", c.text, got, c.want)
		}
		said := ""
		for _, a := range qs[0].Assumed {
			said += " " + strings.Join(a.Args, " ")
		}
		if !strings.Contains(said, c.note) {
			t.Errorf("%q: the correction to %q is not said: %q", c.text, c.note, said)
		}
	}
}

// A word spelt right is never taken for another: batter is not butter.
func TestNoCorrectionOfWords(t *testing.T) {
	for _, text := range []string{"how much batter in the crumble", "how much bitter in the crumble", "how much malt in the crumble", "how much plum in the pear gel"} {
		for _, q := range read(text) {
			if q.Cost > question.AnswerBelow || q.Lost {
				continue
			}
			for _, a := range q.Assumed {
				if a.Code == "read as" {
					t.Errorf("%q: %v was put right at cost %d", text, a.Args, q.Cost)
				}
			}
			for i := range q.Items {
				if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
					if lines, _ := q.Items[i].Lines(q.Targets[0].Recipe); len(lines) > 0 {
						t.Errorf("%q: %s found as %s at cost %d", text, q.Items[i].Text, lines[0].Name, q.Cost)
					}
				}
			}
		}
	}
}

// A food word before a recipe's name that is no part of it makes another recipe of it.
func TestModified(t *testing.T) {
	for _, text := range []string{"pistachio crumble sugar", "how much sugar in the coffee ice cream", "raspberry sorbet recipe"} {
		qs := read(text)
		if len(qs) == 0 {
			continue
		}
		if q := qs[0]; q.Missing == question.MissingNothing && q.Modified == "" && !q.Lost && q.Cost <= question.AnswerBelow {
			t.Errorf("%q is read as %s at cost %d", text, brief(&q), q.Cost)
		}
	}
}

func TestReadIsDeterministic(t *testing.T) {
	for _, text := range []string{"ice cream x2 sugar salt", "how much buttr", "tuile", "pear"} {
		a, b := read(text), read(text)
		if len(a) != len(b) {
			t.Fatalf("%q: %d and %d readings", text, len(a), len(b))
		}
		for i := range a {
			if x, y := brief(&a[i]), brief(&b[i]); x != y || a[i].Cost != b[i].Cost {
				t.Errorf("%q, reading %d: %s %d, then %s %d", text, i, x, a[i].Cost, y, b[i].Cost)
			}
		}
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range []string{"how much yolk for 3x ice cream base", "½ l ½ ½", "x x x 3 3 x", "1,200 g of 1,200", "no no no without without", "a\x00b\xff", "🍐🍐 pear 🍐", "and and and for for 5"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		qs := read(text)
		for i := range qs {
			if i > 0 && qs[i].Cost < qs[i-1].Cost {
				t.Fatalf("%q: reading %d is cheaper than the one before", text, i)
			}
		}
		if len(qs) > 0 { // what follows goes on from anything
			ctx := &question.Context{Last: &qs[0], Targets: qs[0].Targets, Items: qs[0].Items, Pending: &qs[0], Choices: qs[0].Choices}
			if len(qs[0].Targets) > 0 && qs[0].Targets[0].Recipe == nil {
				ctx.Targets = nil
			}
			question.Read(lexicon(), text, ctx, quantity.Metric)
			question.Read(lexicon(), "and for 5x?", ctx, quantity.Metric)
		}
	})
}
