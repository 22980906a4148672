package reftable_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tamis/calc/reftable"
)

const sample = "# quantity: made for this test\n# source: nobody: invented\nstage,low,high\n\"soft, ball\",112,115\nthread,110,112\n"

func TestParse(t *testing.T) {
	tab, err := reftable.Parse([]byte(sample))
	if err != nil {
		t.Fatal(err)
	}
	if got := tab.Notes["source"]; got != "nobody: invented" {
		t.Errorf("source note %q", got)
	}
	low, err := tab.Floats("low")
	if err != nil || len(low) != 2 || low[0] != 112 || low[1] != 110 {
		t.Errorf("low %v, %v", low, err)
	}
	one, err := tab.Where("stage", "soft, ball")
	if err != nil || len(one.Rows) != 1 || one.Rows[0][2] != "115" {
		t.Errorf("rows %v, %v", one.Rows, err)
	}
}

func TestParseRefuses(t *testing.T) {
	for name, text := range map[string]string{
		"empty":          "",
		"only notes":     "# a: b\n",
		"ragged":         "a,b\n1\n",
		"twice":          "a,a\n1,2\n",
		"no column name": "a,\n1,2\n",
		"bad quote":      "a,b\n\"1,2\n",
		"not UTF-8":      "a,b\n\xff,2\n",
		"too long":       "a\n" + strings.Repeat("1\n", reftable.MaxBytes),
		"too many rows":  "a\n" + strings.Repeat("1\n", reftable.MaxRows+1),
	} {
		if _, err := reftable.Parse([]byte(text)); !errors.Is(err, reftable.ErrTable) {
			t.Errorf("%s: %v", name, err)
		}
	}
	tab := reftable.MustParse([]byte("a,b\n1,\nNaN,3\n"))
	if _, err := tab.Floats("a"); !errors.Is(err, reftable.ErrValue) {
		t.Errorf("NaN: %v", err)
	}
	if _, err := tab.Floats("b"); !errors.Is(err, reftable.ErrValue) {
		t.Errorf("empty cell: %v", err)
	}
	if _, err := tab.Floats("c"); !errors.Is(err, reftable.ErrColumn) {
		t.Errorf("no column: %v", err)
	}
}

// Nothing is returned beside an error, every row is as long as the columns, and
// a number is read from every cell or refused.
func FuzzParse(f *testing.F) {
	f.Add([]byte(sample))
	f.Add([]byte("# x\na\n\n1\n"))
	f.Add([]byte("a,b\r\n\"1\",\"2,3\"\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		tab, err := reftable.Parse(text)
		if err != nil {
			if tab.Cols != nil || tab.Rows != nil || tab.Notes != nil {
				t.Fatal("a table beside an error")
			}
			return
		}
		for _, row := range tab.Rows {
			if len(row) != len(tab.Cols) {
				t.Fatalf("row of %d cells under %d columns", len(row), len(tab.Cols))
			}
		}
		for _, c := range tab.Cols {
			if v, err := tab.Floats(c); err == nil && len(v) != len(tab.Rows) {
				t.Fatalf("%d numbers of %d rows", len(v), len(tab.Rows))
			}
		}
	})
}

func ExampleParse() {
	tab, err := reftable.Parse([]byte("# units: C\nstage,low\nthread,110\n"))
	fmt.Println(tab.Notes["units"], tab.Cols, tab.Rows, err)
	// Output: C [stage low] [[thread 110]] <nil>
}
