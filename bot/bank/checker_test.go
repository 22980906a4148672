package bank

import (
	"encoding/json"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"
)

// TestReader holds the independent reader against sums done by hand from the files.
func TestReader(t *testing.T) {
	cases := []struct{ book, recipe, line, grams string }{
		{"fjordkro", "tuile batter", "", "579.18"},                                                          // (150+150+150+140+1) × 0.98
		{"fjordkro", "parsley sauce", "", "1208.0865"},                                                      // (1040+100+90+15 ml × 1.03) × 0.97
		{"fjordkro", "house loaf no. 2", "salt", "105"},                                                     // 2.1 % of 4000+1000
		{"fjordkro", "pickle base", "white vinegar", "1200"},                                                // 6 of 15 parts of 3 kg
		{"fjordkro", "rémoulade", "mild curry blend", "3"},                                                  // 1 1/2 × 5 ml × 0.4
		{"fjordkro", "seeded rye", "salt", "30"},                                                            // 2.5 % of 900+300
		{"tidewater", "tea syrup", "", "1791.168789"},                                                       // 28.349523 + 946.353 + 907.18474 − 0.2 lb
		{"tidewater", "tidewater spice 7", "paprika", "80.998637"},                                          // 10 oz × 4/14
		{"tidewater", "crab cake plate", "crab cake", "226.796185"},                                         // 2 × 4 oz
		{"kornhuset", "wienerbrødsdej", "", "2246.16"},                                                      // a variant: (1000+460+120+36+20+50+500+100+6) × 0.98
		{"kornhuset", "pain au chocolat", "chocolate stick", "308"},                                         // 56 × 5.5
		{"kornhuset", "æblekompot", "", "1892.385"},                                                         // (2000+200+60+150+1.5 − 500) × 0.99
		{"kornhuset", "frangipane", "crème d'amande", "666.666666"}, {"demo", "pear gel", "agar", "6.8875"}, // 0.95 % of 700+25
	}
	for _, c := range cases {
		b := openBook(t, bookDir(c.book))
		r := b.recipe(c.recipe)
		if r == nil {
			t.Fatalf("%s has no %s", c.book, c.recipe)
		}
		got, ok := b.finished(r)
		for _, l := range r.lines {
			if l.name == c.line {
				got, ok = b.grams(r, l)
			}
		}
		diff := new(big.Rat)
		if ok {
			diff.Abs(minus(got, rat(c.grams)))
		}
		if !ok || diff.Cmp(rat("0.00001")) > 0 {
			t.Errorf("%s, %s, %s: %v, by hand %s g", c.book, c.recipe, c.line, got, c.grams)
		}
	}
}

// TestWhy works the sums out again that stand in the bank as reasons, and looks that each question is whole.
func TestWhy(t *testing.T) {
	total := 0
	seen := map[string]bool{}
	for _, name := range testBooks {
		for _, q := range bankOf(t, name) {
			total++
			if q.Text == "" || q.Why == "" || len(q.Expect.Status) == 0 || q.Kind == "" || seen[q.ID] {
				t.Errorf("%s is not whole", q.ID)
			}
			seen[q.ID] = true
			for _, n := range q.Names {
				if n.Typed != "" && !strings.Contains(q.Text, n.Typed) {
					t.Errorf("%s: %q is not in %q", q.ID, n.Typed, q.Text)
				}
			}
			for i, w := range q.Expect.Facts {
				if w.Unit == "time" {
					continue
				}
				sums := strings.Split(q.Why, "; ")
				_, reason, _ := strings.Cut(sums[i], ": ")
				left, _, _ := strings.Cut(reason, " = ")
				got, rest, err := expression(left)
				n, _ := w.number()
				if err != nil || rest != "" || !(measure{"count", n}).near(measure{"count", float(got)}, 1e-8) {
					t.Errorf("%s: %q is not %s (%v)", q.ID, left, w.Value, err)
				}
			}
		}
	}
	if total < 400 {
		t.Errorf("%d questions, 400 are wanted", total)
	}
}

// expression works out sums, products and brackets exactly.
func expression(s string) (*big.Rat, string, error) {
	v, rest, err := product(s)
	for err == nil && rest != "" && (rest[0] == '+' || rest[0] == '-') {
		op := rest[0]
		var w *big.Rat
		if w, rest, err = product(rest[1:]); err == nil && op == '+' {
			v = sum(v, w)
		} else if err == nil {
			v = minus(v, w)
		}
	}
	return v, rest, err
}

func product(s string) (*big.Rat, string, error) {
	v, rest, err := factor(s)
	for err == nil && rest != "" && (rest[0] == '*' || rest[0] == '/') {
		op := rest[0]
		var w *big.Rat
		if w, rest, err = factor(rest[1:]); err == nil && op == '*' {
			v = mul(v, w)
		} else if err == nil {
			v = quo(v, w)
		}
	}
	return v, rest, err
}

func factor(s string) (*big.Rat, string, error) {
	switch {
	case strings.HasPrefix(s, "("):
		v, rest, err := expression(s[1:])
		if err != nil || !strings.HasPrefix(rest, ")") {
			return nil, rest, fmt.Errorf("bracket in %q: %w", s, err)
		}
		return v, rest[1:], nil
	case strings.HasPrefix(s, "-"):
		v, rest, err := factor(s[1:])
		if err != nil {
			return nil, rest, err
		}
		return new(big.Rat).Neg(v), rest, nil
	}
	i := 0
	for i < len(s) && (digit(s[i]) || s[i] == '.') {
		i++
	}
	v, ok := new(big.Rat).SetString(s[:i])
	if !ok {
		return nil, s, fmt.Errorf("no number at %q", s)
	}
	return v, s[i:], nil
}

// perfect is the reply that a question is after.
func perfect(q question) reply {
	r := reply{Status: q.Expect.Status[0], Choices: q.Expect.Choices, Text: strings.Join(q.Expect.Says, " ")}
	for _, w := range q.Expect.Facts {
		what := w.What
		if i := strings.IndexByte(what, '|'); i >= 0 {
			what = what[:i]
		}
		r.Facts = append(r.Facts, fact{What: strings.NewReplacer("^", "", "$", "", "s?", "").Replace(what), Value: w.Value, Unit: w.Unit})
	}
	if e := q.Expect.Items; e != nil {
		what := e.What
		if what == "" {
			what = "contains"
		}
		r.Facts = append(r.Facts, fact{What: what, Items: append(append([]string{}, e.Contains...), e.Names...)})
	}
	if q.Expect.Caution != "" {
		r.Cautions = []caution{{Code: q.Expect.Caution}}
	}
	return r
}

// TestJudge: a perfect reply is right, and each way to spoil it is seen.
func TestJudge(t *testing.T) {
	for _, name := range testBooks {
		b := openBook(t, bookDir(name))
		for _, q := range bankOf(t, name) {
			if v, why := judge(q, perfect(q), b.spoons); v != right {
				t.Errorf("%s: perfect is %s: %s", q.ID, v, why)
			}
			if v, _ := judge(q, reply{Status: "error"}, b.spoons); v != missed {
				t.Errorf("%s: an error is %s", q.ID, v)
			}
			if q.Expect.Status[0] != "answer" {
				if v, _ := judge(q, reply{Status: "answer", Facts: []fact{{What: "sugar", Value: []byte("123"), Unit: "g"}}}, b.spoons); v != overconfident {
					t.Errorf("%s: an eager answer is %s", q.ID, v)
				}
			}
			for i, w := range q.Expect.Facts {
				n, ok := w.number()
				if !ok {
					continue
				}
				bad := perfect(q)
				bad.Facts[i].Value, _ = json.Marshal(n*1.5 + 3)
				if v, _ := judge(q, bad, b.spoons); v != wrong {
					t.Errorf("%s: %s × 1.5 is %s", q.ID, w.What, v)
				}
				bad = perfect(q)
				other := bad.Facts[i]
				other.Value, _ = json.Marshal(n*3 + 7)
				bad.Facts = append([]fact{other}, bad.Facts...)
				if v, _ := judge(q, bad, b.spoons); v != wrong {
					t.Errorf("%s: a wrong %s before the right one is %s", q.ID, w.What, v)
				}
			}
		}
	}
}

// TestWeigh spoils right replies to made-up questions in every way that counts as a wrong number.
func TestWeigh(t *testing.T) {
	spoiled := map[string]int{}
	dir := bookDir("fjordkro")
	names := openBook(t, dir).names()
	askMade(t, "fjordkro", dir, makeCases(t, dir, 300, 99), func(c made, at int, r reply, v verdict, why string) {
		tr := c.truth[at]
		if v != right || r.Status != "answer" {
			return
		}
		check := func(how string, bad reply) {
			t.Helper()
			spoiled[how]++
			if v, _ := tr.weigh(bad, names); v != wrong {
				t.Errorf("%s: %q is %s", how, c.lines[at], v)
			}
		}
		for i, f := range r.Facts {
			n, ok := f.number()
			if !ok || n == 0 {
				continue
			}
			bad := r
			bad.Facts = slices.Clone(r.Facts)
			bad.Facts[i].Value, _ = json.Marshal(n * 1.07)
			check("a value 7 % off", bad)
			bad.Facts = append(slices.Clone(r.Facts), fact{What: f.What, Value: []byte("777.7"), Unit: f.Unit, Of: f.Of, From: f.From})
			check("one fact more", bad)
			break
		}
		bad := r
		bad.Text += "\n4711 g butter"
		check("a number in the text", bad)
		if tr.lists != nil {
			bad := r
			bad.Facts = append(slices.Clone(r.Facts), fact{What: "contains", Items: []string{"lupin"}})
			check("an allergen too many", bad)
		}
	})
	for _, how := range []string{"a value 7 % off", "one fact more", "a number in the text", "an allergen too many"} {
		if spoiled[how] < 5 {
			t.Errorf("%s: tried %d times", how, spoiled[how])
		}
	}
}
