package quantity_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"tamis/calc/quantity"
)

// TestIngredientLines finds, in 300 ingredient lines that people wrote, the
// amounts that other people marked by hand; testdata/ingredient-lines.csv names
// the source. A line counts if one amount is marked; its unit counts where it
// is one of measure and stands right behind.
func TestIngredientLines(t *testing.T) {
	f, err := os.Open("testdata/ingredient-lines.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checked, withUnit := 0, 0
	for _, row := range rows[1:] {
		text, amount, unit := row[2], row[3], row[4]
		amount = strings.TrimPrefix(amount, "about ")
		if amount == "" || amount == "to taste" || strings.Contains(amount+unit, "|") {
			continue
		}
		start := strings.Index(text, amount)
		end := start + len(amount)
		if _, ok := quantity.US.UnitNamed(unit); ok {
			if rest := strings.TrimLeft(text[end:], " "); strings.HasPrefix(rest, unit) {
				end = len(text) - len(rest) + len(unit)
				withUnit++
			}
		}
		checked++
		found := false
		for _, s := range quantity.Scan(text, quantity.US) {
			found = found || s.Start == start && s.End == end
		}
		if !found {
			t.Errorf("%q: %q not found: %q", text, text[start:end], toldAll(text, quantity.US))
		}
	}
	if checked < 240 || withUnit < 120 {
		t.Errorf("only %d lines checked, %d with a unit", checked, withUnit)
	}
}
