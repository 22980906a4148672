package kb

import (
	"cmp"
	"slices"
	"strings"

	"tamis/kb/recipe"
)

// told is one fault or warning and the file that it came about with.
type told struct {
	*recipe.Fault
	by *entry // nil: of no recipe
}

// tolds are in order of place, then of who tells them.
type tolds []told

func (t told) compare(o told) int {
	a, b := t.Fault, o.Fault
	return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column),
		cmp.Compare(a.Code, b.Code), cmp.Compare(a.Text, b.Text), strings.Compare(t.from(), o.from()))
}

func (t told) from() string {
	if t.by == nil {
		return ""
	}
	return t.by.file.Path
}

// tell adds what there is to say of the entries and of the book.
func (b *builder) tell(entries []*entry, ofBook []recipe.Fault) {
	var faults, warns tolds
	add := func(fs []recipe.Fault, by *entry) {
		for i := range fs {
			if f := &fs[i]; f.Level == recipe.LevelWarning {
				warns = append(warns, told{f, by})
			} else {
				faults = append(faults, told{f, by})
			}
		}
	}
	add(slices.Clone(ofBook), nil)
	for _, e := range entries {
		add(e.faults, e)
		add(e.warns, e)
	}
	slices.SortStableFunc(faults, told.compare)
	slices.SortStableFunc(warns, told.compare)
	b.faults, b.warns = merge(b.faults, faults, told.compare), merge(b.warns, warns, told.compare)
}

// once are the faults, those with a place once each: what a variant inherits from
// its base stands in one place of one file.
func (ts tolds) once() []recipe.Fault {
	var out []recipe.Fault
	for i, t := range ts {
		if i > 0 && t.Line != 0 {
			if o := ts[i-1]; o.File == t.File && o.Line == t.Line && o.Column == t.Column && o.Code == t.Code && o.Text == t.Text {
				continue
			}
		}
		out = append(out, *t.Fault)
	}
	return slices.Clip(out)
}

// merge joins two sorted lists into a new one; of equals those of a come first.
func merge[T any](a, b []T, compare func(x, y T) int) []T {
	if len(a) == 0 {
		return b
	}
	out := make([]T, 0, len(a)+len(b))
	for _, y := range b {
		n, _ := slices.BinarySearchFunc(a, y, func(x, y T) int {
			if compare(x, y) <= 0 {
				return -1
			}
			return 1
		})
		out = append(append(out, a[:n]...), y)
		a = a[n:]
	}
	return append(out, a...)
}
