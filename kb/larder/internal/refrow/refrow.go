// Package refrow finds rows of the published tables in a folder by their id:
// "usda:01145" and a column flow in, the cell as printed flows out. The
// generator of the built-in larder and its tests read the tables through it.
package refrow

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"tamis/calc/reftable"
)

// ErrRow: no table has that row, or the row has no such column.
var ErrRow = errors.New("no such row of a published table")

// sources are the tables: the prefix of their ids, the file, and the columns that make the id.
var sources = []struct {
	prefix, file string
	id           []string
}{
	{"usda", "usda-sr.csv", []string{"ndb_no"}},
	{"ciqual", "ciqual-ingredients.csv", []string{"code"}},
	{"measure", "household-measures-usda.csv", []string{"ndb_no", "measure"}},
	{"trim", "trim-yield-usda.csv", []string{"ndb_no"}},
	{"trimtext", "trim-yield-textbook.csv", []string{"item"}},
	{"oiml", "alcohol-strength-oiml.csv", []string{"abv_pct"}},
	{"crc", "solutions-crc.csv", []string{"solute", "mass_pct"}},
	{"brix", "sucrose-density-brix.csv", []string{"brix"}},
	{"egg", "egg-sizes.csv", []string{"class"}},
	{"bloom", "gelatin-bloom.csv", []string{"item"}},
	{"allergen", "allergens-ingredients.csv", []string{"ingredient"}},
	{"sweet", "relative-sweetness.csv", []string{"sweetener"}},
	{"annex", "allergens-eu.csv", []string{"no"}},
}

// Tables are the rows of all tables by id.
type Tables struct {
	rows  map[string]map[string]string
	order []string
}

// Open reads the tables in dir.
func Open(dir string) (*Tables, error) {
	t := &Tables{rows: map[string]map[string]string{}}
	for _, s := range sources {
		data, err := os.ReadFile(filepath.Join(dir, s.file))
		if err != nil {
			return nil, err
		}
		tab, err := reftable.Parse(data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", s.file, err)
		}
		for _, r := range tab.Rows {
			row := map[string]string{}
			for i, c := range tab.Cols {
				row[c] = strings.TrimSpace(r[i])
			}
			var id []string
			for _, c := range s.id {
				id = append(id, row[c])
			}
			t.add(s.prefix+":"+strings.Join(id, "/"), row)
			t.weights(s.prefix+":"+strings.Join(id, "/"), row["household_weights"])
		}
	}
	return t, nil
}

func (t *Tables) add(id string, row map[string]string) {
	if _, ok := t.rows[id]; !ok {
		t.rows[id] = row
		t.order = append(t.order, id)
	}
}

// weights makes a row of each household weight: "1 large = 50 g" of usda:01123
// is usda:01123/1 large, with the columns amount and grams.
func (t *Tables) weights(id, cell string) {
	for w := range strings.SplitSeq(cell, ";") {
		what, grams, ok := strings.Cut(strings.TrimSpace(w), " = ")
		if !ok {
			continue
		}
		amount, _, _ := strings.Cut(what, " ")
		t.add(id+"/"+what, map[string]string{"amount": amount, "grams": strings.TrimSuffix(grams, " g")})
	}
}

// Cell returns the cell as printed.
//
//   - Errors: [ErrRow].
func (t *Tables) Cell(id, column string) (string, error) {
	row, ok := t.rows[id]
	if !ok {
		return "", fmt.Errorf("%w: %s", ErrRow, id)
	}
	c, ok := row[column]
	if !ok {
		return "", fmt.Errorf("%w: %s has no %s", ErrRow, id, column)
	}
	return c, nil
}

// Has reports whether a table has that row.
func (t *Tables) Has(id string) bool { return t.rows[id] != nil }

// IDs returns the ids with that prefix in the tables' order.
func (t *Tables) IDs(prefix string) []string {
	var out []string
	for _, id := range t.order {
		if strings.HasPrefix(id, prefix+":") {
			out = append(out, id)
		}
	}
	return out
}
