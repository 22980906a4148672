package main

import (
	"errors"
	"fmt"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/larder/internal/refrow"
)

// A rule says how a value comes from cells of published rows: numbers, columns
// of the row, cells of other rows as [usda:01085 water_g], + - * / ( ),
// max(a, b), and low(column), which is 0 where the table prints "traces" or
// "< 0.5" or less. Every other cell must be a number.

var errWeak = errors.New("below what the table can tell")

type eval struct {
	tables *refrow.Tables
	row    string
	items  func(name, key string) (quantity.Number, error)
	in     string
}

func compute(tables *refrow.Tables, row, rule string, items func(name, key string) (quantity.Number, error)) (quantity.Number, error) {
	e := &eval{tables: tables, row: row, items: items, in: rule}
	n, err := e.sum()
	if err == nil && strings.TrimSpace(e.in) != "" {
		err = fmt.Errorf("%q is left", e.in)
	}
	if err != nil {
		return n, fmt.Errorf("rule %q of %s: %w", rule, row, err)
	}
	return n, nil
}

func (e *eval) take(c string) bool {
	s := strings.TrimLeft(e.in, " ")
	if strings.HasPrefix(s, c) {
		e.in = s[len(c):]
		return true
	}
	return false
}

func (e *eval) sum() (quantity.Number, error) {
	n, err := e.product()
	for err == nil {
		var m quantity.Number
		switch {
		case e.take("+"):
			m, err = e.product()
			n = n.Add(m)
		case e.take("-"):
			m, err = e.product()
			n = n.Sub(m)
		default:
			return n, nil
		}
	}
	return n, err
}

func (e *eval) product() (quantity.Number, error) {
	n, err := e.atom()
	for err == nil {
		var m quantity.Number
		switch {
		case e.take("*"):
			m, err = e.atom()
			n = n.Mul(m)
		case e.take("/"):
			if m, err = e.atom(); err == nil {
				if m.IsZero() {
					return n, errors.New("division by 0")
				}
				n = n.Div(m)
			}
		default:
			return n, nil
		}
	}
	return n, err
}

func (e *eval) atom() (quantity.Number, error) {
	none := quantity.Number{}
	switch {
	case e.take("("):
		n, err := e.sum()
		if err == nil && !e.take(")") {
			err = errors.New("a bracket is open")
		}
		return n, err
	case e.take("max("):
		a, err := e.sum()
		if err != nil || !e.take(",") {
			return none, errors.Join(err, errors.New("max wants two"))
		}
		b, err := e.sum()
		if err != nil || !e.take(")") {
			return none, errors.Join(err, errors.New("max wants two"))
		}
		if a.Less(b) {
			return b, nil
		}
		return a, nil
	case e.take("low("):
		end := strings.IndexByte(e.in, ')')
		if end < 0 {
			return none, errors.New("a bracket is open")
		}
		col := e.in[:end]
		e.in = e.in[end+1:]
		cell, err := e.tables.Cell(e.row, col)
		if err != nil {
			return none, err
		}
		if !isLow(cell) {
			return none, fmt.Errorf("%q is not low", cell)
		}
		return none, nil
	case e.take("["):
		end := strings.IndexByte(e.in, ']')
		if end < 0 {
			return none, errors.New("a bracket is open")
		}
		ref := e.in[:end]
		e.in = e.in[end+1:]
		if name, key, ok := strings.Cut(ref, "|"); ok {
			return e.items(name, key)
		}
		at := strings.LastIndexByte(ref, ' ')
		if at < 0 {
			return none, fmt.Errorf("%q is no row and column", ref)
		}
		return e.cell(ref[:at], ref[at+1:])
	}
	s := strings.TrimLeft(e.in, " ")
	i := strings.IndexFunc(s, func(r rune) bool {
		return !(r == '.' || r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z')
	})
	if i < 0 {
		i = len(s)
	}
	word := s[:i]
	e.in = s[i:]
	if word == "" {
		return none, fmt.Errorf("nothing to read at %q", s)
	}
	if word[0] >= '0' && word[0] <= '9' {
		return quantity.Decimal(word)
	}
	return e.cell(e.row, word)
}

func (e *eval) cell(row, col string) (quantity.Number, error) {
	c, err := e.tables.Cell(row, col)
	if err != nil {
		return quantity.Number{}, err
	}
	if c == "" || c == "traces" || strings.HasPrefix(c, "<") {
		return quantity.Number{}, errWeak
	}
	return quantity.Decimal(plain(c))
}

// plain puts the 0 before a bare decimal point.
func plain(s string) string {
	if strings.HasPrefix(s, ".") {
		return "0" + s
	}
	return s
}

// isLow reports whether a cell says "under 0.5 or less".
func isLow(cell string) bool {
	if cell == "traces" {
		return true
	}
	s, ok := strings.CutPrefix(cell, "<")
	if !ok {
		return false
	}
	n, err := quantity.Decimal(strings.TrimSpace(s))
	return err == nil && !quantity.Frac(1, 2).Less(n)
}
