package kb

import (
	"fmt"
	"slices"
	"strings"

	"tamis/kb/recipe"
)

// The states of an entry while variants are applied.
const (
	variantTodo uint8 = iota
	variantDoing
	variantDone
)

// applyVariant gives a variant the lines and keys of its base, which gets its own
// first; below are the variants that wait for it.
func (b *builder) applyVariant(e *entry, below []*entry) {
	if e.variant == variantDone {
		return
	}
	if e.r.BasedOn == "" {
		e.variant = variantDone
		return
	}
	e.variant = variantDoing
	defer func() { e.variant = variantDone }()
	base := b.base(e)
	e.base = base
	if base == nil || e.out {
		return
	}
	below = append(below, e)
	if base.variant == variantDoing {
		circleOfVariants(below[slices.Index(below, base):])
		return
	}
	b.applyVariant(base, below)
	e.bases = base.bases + 1
	switch {
	case e.out: // found in a circle meanwhile
		return
	case e.bases > maxVariants && !base.outItself():
		e.fault(e.r.Pos, codeDeep, fmt.Sprintf("More than %d variants stand on each other.", maxVariants), "based on: the first of them")
		return
	}
	if base.outItself() {
		e.root = base.why()
		e.fault(e.r.Pos, codeOut, "It is based on "+quote(base.r.Name)+", which is out ("+e.root+").", "correct "+base.file.Path+" first")
		return
	}
	full, faults := recipe.ApplyChange(base.r, e.r)
	for _, f := range faults {
		if f.Level == recipe.LevelWarning {
			e.warns = append(e.warns, f)
			continue
		}
		if f.Recipe == "" {
			f.Recipe = e.r.Name
		}
		e.faults = append(e.faults, f)
		e.out = true
	}
	if full != nil && !e.out {
		e.r = full
	}
}

// outItself reports whether e is out before links are looked at. A variant takes
// over lines that lead to what is out, and tells of those itself.
func (e *entry) outItself() bool {
	if e.done {
		return e.early
	}
	return e.out
}

// base finds the recipe that e is based on, by name or by an alias that no other recipe has.
func (b *builder) base(e *entry) *entry {
	fold := b.word(e.r.BasedOn).fold
	e.asks = append(e.asks, fold)
	found := b.exact[fold]
	if len(found) == 0 {
		found = b.alias[fold]
	}
	switch {
	case fold == "" || len(found) == 0:
		write := "based on: the name of a recipe of the book"
		e.asksNear = true
		if near := b.nearestRecipes(fold); len(near) > 0 {
			write = "based on: " + strings.Join(near, ", or ")
		}
		e.fault(e.r.Pos, codeNoBase, "It is based on "+quote(e.r.BasedOn)+", and no recipe of the book has that name.", write)
		return nil
	case len(found) > 1 && len(b.exact[fold]) == 0:
		e.fault(e.r.Pos, codeSharedAlias, "It is based on "+quote(e.r.BasedOn)+", and more than one recipe is called that: "+list(entryNames(found))+".",
			"based on: "+found[0].r.Name)
		return nil
	}
	return found[0]
}

func circleOfVariants(circle []*entry) {
	text := "Circle of variants: " + path(circle) + "."
	if len(circle) == 1 {
		text = quote(circle[0].r.Name) + " is based on itself."
	}
	for _, e := range circle {
		e.fault(e.r.Pos, codeVariants, text, "based on: a recipe that does not stand on this one")
	}
}

// path writes a circle of recipes from name to name and back to the first.
func path(circle []*entry) string {
	var names []string
	for i, e := range circle {
		if i == maxCircleShown {
			names = append(names, "…")
			break
		}
		names = append(names, clip(e.r.Name))
	}
	return strings.Join(append(names, clip(circle[0].r.Name)), " → ")
}

func entryNames(es []*entry) []string {
	var names []string
	for _, e := range es {
		names = append(names, e.r.Name)
	}
	return names
}
