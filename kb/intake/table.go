package intake

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

// columns are the headings that a table may have, and what they mean.
var columns = map[string]string{
	"recipe": "recipe", "title": "recipe", "dish": "recipe", "ingredient": "ingredient", "item": "ingredient", "name": "ingredient",
	"amount": "amount", "quantity": "amount", "qty": "amount", "unit": "unit", "part": "part", "section": "part", "note": "note", "notes": "note", "prep": "note",
}

// ReadCSV reads a table with a heading row: an ingredient column is needed;
// recipe, amount, unit, part and note may stand beside it. Commas, semicolons
// and tabs part cells. Rows without a recipe's name belong to the one above.
//
//   - Errors: [ErrNoRecipe] with the line.
func ReadCSV(text string) ([]Draft, error) {
	if len(text) > MaxBytes {
		return nil, fmt.Errorf("%w: it is too long", ErrNoRecipe)
	}
	text = strings.TrimPrefix(text, "\uFEFF")
	head, _, _ := strings.Cut(text, "\n")
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord, r.LazyQuotes, r.TrimLeadingSpace = -1, true, true
	for _, c := range []rune{';', '\t'} {
		if strings.Count(head, string(c)) > strings.Count(head, string(r.Comma)) {
			r.Comma = c
		}
	}
	var at map[string]int
	var unknown []string
	var out []Draft
	for n := 0; n <= most; n++ {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrNoRecipe, err)
		}
		if at == nil {
			at = map[string]int{}
			for i, h := range row {
				if c, ok := columns[strings.ToLower(strings.TrimSpace(h))]; !ok {
					unknown = append(unknown, h)
				} else if _, twice := at[c]; !twice {
					at[c] = i
				}
			}
			if _, ok := at["ingredient"]; !ok {
				return nil, fmt.Errorf("%w: the first row has no column named ingredient", ErrNoRecipe)
			}
			continue
		}
		cell := func(c string) string {
			if i, ok := at[c]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		if name := cell("recipe"); len(out) == 0 || name != "" && name != out[len(out)-1].Name {
			d := Draft{Name: name}
			for _, u := range unknown {
				d.Doubts = append(d.Doubts, "column "+u+" is not read")
			}
			out = append(out, d)
		}
		if cell("ingredient") == "" {
			continue
		}
		l := ReadLine(strings.TrimSpace(cell("amount") + " " + cell("unit") + " " + cell("ingredient")))
		l.Part = cell("part")
		if note := cell("note"); note != "" {
			l.Note = strings.TrimPrefix(l.Note+", "+note, ", ")
		}
		d := &out[len(out)-1]
		d.Lines = append(d.Lines, l)
	}
	if len(out) == 0 {
		return nil, ErrNoRecipe
	}
	return out, nil
}
