package bank

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"testing"
)

// allowedTitles are the real titles that may be answered with a number or a recipe of the house, and why.
var allowedTitles = map[string]struct {
	reason string
	unit   string  // of every number in the reply; empty: no number is allowed
	lo, hi float64 // between which it lies
}{
	"How much does a cup of hazelnuts weigh?":            {"a household measure, no recipe: 115 g chopped to 135 g whole (USDA SR 28, hazelnuts)", "mass", 110, 140},
	"Converting teaspoon/tablespoon measurements to mL?": {"units alone: 5 and 15 ml", "volume", 4.9, 15.1},
	"How to make sorbet have a snowy texture?":           {"sorbet is what the house calls its sorrel sorbet; its method has been asked for", "", 0, 0},
}

// TestRealTitles asks the demo book what people really asked in a kitchen forum: none gets a number of the house that it does not hold.
func TestRealTitles(t *testing.T) {
	f, err := os.Open(filepath.Join(root, "testdata", "titles", "cooking-questions.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rd := csv.NewReader(f)
	rd.Comment = '#'
	rows, err := rd.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows = rows[1:]
	if len(rows) < 290 {
		t.Fatalf("only %d titles", len(rows))
	}
	var in []asked
	known := map[string]bool{}
	for i, row := range rows {
		known[row[1]] = true
		in = append(in, asked{Text: row[1], Who: "reader", Role: "commis", Channel: fmt.Sprint("title ", i)})
	}
	for title := range allowedTitles {
		if !known[title] {
			t.Errorf("%q is allowed and no title", title)
		}
	}
	statuses := map[string]int{}
	for i, r := range conversation(t, bookDir("demo"), in) {
		statuses[r.Status]++
		if why := ofTheHouse(in[i].Text, r); why != "" {
			t.Errorf("%q: %s %v", in[i].Text, why, r.Assumed)
		}
	}
	for _, s := range sortedKeys(statuses) {
		t.Logf("%-8s %d", s, statuses[s])
	}
}

// ofTheHouse says what a reply brings of the house for a title that asks for none of it.
func ofTheHouse(title string, r reply) string {
	if r.Status != "answer" {
		return ""
	}
	ok, listed := allowedTitles[title]
	for _, f := range r.Facts {
		if f.From == "asked" { // the reader's own number
			continue
		}
		for _, n := range f.numbers() {
			m := measured(n, f.Unit, "metric")
			if !listed || m.kind != ok.unit || m.value < ok.lo || m.value > ok.hi {
				return f.String() + " from " + f.From
			}
		}
	}
	if r.Recipe != "" && !listed {
		return "answered from " + r.Recipe
	}
	return ""
}
