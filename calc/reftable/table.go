package reftable

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Limits of a data file.
const (
	MaxBytes = 1 << 20
	MaxRows  = 10_000
)

// Errors of this package. Test with errors.Is.
var (
	// ErrTable: the text is no table of this form.
	ErrTable = errors.New("not a data table")
	// ErrColumn: the table has no column of that name.
	ErrColumn = errors.New("no such column")
	// ErrValue: a cell that must hold a finite number does not.
	ErrValue = errors.New("not a number in a data table")
)

// Table is one data file. It is built once and not changed while in use.
type Table struct {
	Notes map[string]string // header comments: "source", "status", "units"…
	Cols  []string          // names of the columns, in order
	Rows  [][]string        // every row has len(Cols) cells
}

// Parse reads a data file: comment lines `# key: text`, one line of column
// names, then rows of comma-separated cells.
//
//   - Range: at most [MaxBytes] bytes of UTF-8 and [MaxRows] rows; names of columns neither empty nor twice.
//   - Errors: [ErrTable].
func Parse(text []byte) (Table, error) {
	if len(text) > MaxBytes {
		return Table{}, fmt.Errorf("%w: longer than %d bytes", ErrTable, MaxBytes)
	}
	if !utf8.Valid(text) {
		return Table{}, fmt.Errorf("%w: not UTF-8", ErrTable)
	}
	r := csv.NewReader(bytes.NewReader(text))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		return Table{}, fmt.Errorf("%w: %w", ErrTable, err)
	}
	if len(all) == 0 {
		return Table{}, fmt.Errorf("%w: no line of column names", ErrTable)
	}
	if len(all)-1 > MaxRows {
		return Table{}, fmt.Errorf("%w: more than %d rows", ErrTable, MaxRows)
	}
	t := Table{Notes: notes(string(text)), Cols: all[0], Rows: all[1:]}
	seen := map[string]bool{}
	for _, c := range t.Cols {
		if c == "" || seen[c] {
			return Table{}, fmt.Errorf("%w: column name %q empty or twice", ErrTable, c)
		}
		seen[c] = true
	}
	return t, nil
}

// MustParse is Parse for embedded files, which tests have read; it panics on a bad one.
func MustParse(text []byte) Table {
	t, err := Parse(text)
	if err != nil {
		panic(err)
	}
	return t
}

// notes collects the `# key: text` lines above the column names.
func notes(text string) map[string]string {
	out := map[string]string{}
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" {
			continue
		}
		rest, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		if k, v, ok := strings.Cut(rest, ":"); ok {
			out[strings.TrimSpace(k)] = strings.TrimSpace(v)
		}
	}
	return out
}

// Col returns the place of a column.
//
//   - Range: any name.
//   - Errors: [ErrColumn].
func (t Table) Col(name string) (int, error) {
	for i, c := range t.Cols {
		if c == name {
			return i, nil
		}
	}
	return 0, fmt.Errorf("%w: %q", ErrColumn, name)
}

// Text returns the cells of a column as written.
//
//   - Range: any column of the table.
//   - Errors: [ErrColumn].
func (t Table) Text(name string) ([]string, error) {
	i, err := t.Col(name)
	if err != nil {
		return nil, err
	}
	out := make([]string, len(t.Rows))
	for r, row := range t.Rows {
		out[r] = row[i]
	}
	return out, nil
}

// Floats returns the numbers of a column.
//
//   - Range: finite numbers; an empty cell is an error.
//   - Errors: [ErrColumn], [ErrValue].
func (t Table) Floats(name string) ([]float64, error) {
	cells, err := t.Text(name)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(cells))
	for r, c := range cells {
		v, err := strconv.ParseFloat(strings.TrimSpace(c), 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("%w: column %q, row %d: %q", ErrValue, name, r+1, c)
		}
		out[r] = v
	}
	return out, nil
}

// MustFloats is Floats for embedded files; it panics on a bad one.
func (t Table) MustFloats(name string) []float64 {
	v, err := t.Floats(name)
	if err != nil {
		panic(err)
	}
	return v
}

// Where returns the table of the rows whose cell in a column is exactly value.
//
//   - Range: any column; no row left is a table without rows.
//   - Errors: [ErrColumn].
func (t Table) Where(name, value string) (Table, error) {
	i, err := t.Col(name)
	if err != nil {
		return Table{}, err
	}
	out := Table{Notes: t.Notes, Cols: t.Cols}
	for _, row := range t.Rows {
		if row[i] == value {
			out.Rows = append(out.Rows, row)
		}
	}
	return out, nil
}
