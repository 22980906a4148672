package kb

import (
	"cmp"
	"fmt"
	"slices"

	"tamis/kb/recipe"
)

const maxCircleShown = 8 // names in the text of a circle

// link finds the recipes that e's lines draw on and the ingredients of the
// other lines.
func (b *builder) link(e *entry) {
	e.lines = make([]Line, len(e.r.Lines))
	e.links = make([]*entry, len(e.r.Lines))
	e.keys = make([]string, len(e.r.Lines))
	for i := range e.r.Method {
		for _, of := range e.r.Method[i].Of {
			e.asks = append(e.asks, b.word(of).fold)
		}
	}
	for i := range e.r.Lines {
		l := &e.r.Lines[i]
		e.lines[i].Line = *l
		w := b.word(l.Name)
		e.lines[i].Fold = w.fold
		if l.As != "" {
			e.lines[i].FoldAs = b.word(l.As).fold
		}
		if !l.Bought {
			e.links[i] = b.target(e, l, w)
		}
		if e.links[i] == nil {
			e.lines[i].Item = w.item
			e.keys[i] = b.key(w)
			b.spell(l.Name, w)
		}
	}
}

// target returns the recipe that line l of e names, or nil: its name first, else
// an alias that one recipe alone has. A recipe never links to itself.
func (b *builder) target(e *entry, l *recipe.Line, w *word) *entry {
	if w.fold == "" || w.fold == e.fold {
		return nil
	}
	if named := b.exact[w.fold]; len(named) > 0 {
		return named[0] // of two with one name both are out
	}
	called := b.alias[w.fold]
	switch {
	case len(called) == 0 || len(called) == 1 && called[0] == e:
		return nil
	case len(called) > 1:
		names := byName(entryNames(called), func(s string) string { return s })
		e.fault(l.Pos, codeSharedAlias, "More than one recipe is called "+quote(l.Name)+": "+list(names)+".",
			"the recipe's own name, or bought "+clip(l.Name)+" for the plain ingredient")
		return nil
	}
	if w.item != nil {
		e.warn(l.Pos, codeAliasLink, quote(l.Name)+" is an ingredient, but here it is another name of the recipe "+quote(called[0].r.Name)+" and draws on that.",
			clip(called[0].r.Name)+" to say so, or bought "+clip(l.Name)+" for the ingredient")
	}
	return called[0]
}

// outLinks puts e out if a recipe that it draws on is out.
func (b *builder) outLinks(e *entry) {
	for i, t := range e.links {
		if t == nil || t.rec != nil {
			e.depth = max(e.depth, depthOver(t))
			continue
		}
		if slices.Contains(e.links[:i], t) || e.circles(t) {
			continue
		}
		why := t.why()
		if !e.out {
			e.root = why
		}
		e.fault(e.lines[i].Pos, codeOut, "It draws on "+quote(t.r.Name)+", which is out ("+why+").",
			"correct that first, or bought "+clip(e.lines[i].Name)+" if it is bought in")
	}
	if e.depth > maxDepth && !e.out {
		e.fault(e.r.Pos, codeDeep, fmt.Sprintf("Recipes are nested more than %d deep below it.", maxDepth), "fewer recipes in recipes")
	}
}

func depthOver(t *entry) int {
	if t == nil {
		return 0
	}
	return t.depth + 1
}

// circles reports whether e and t are in one circle, which is told already.
func (e *entry) circles(t *entry) bool { return e.knot != nil && e.knot == t.knot }

// order returns the entries so that each comes after all it draws on, and puts
// out those whose links form a circle. Strongly connected components by Tarjan
// (SIAM J. Comput. 1 (1972) 146, from memory), without recursion: a book may be deep.
func (b *builder) order() []*entry {
	var (
		out   = make([]*entry, 0, len(b.todo))
		stack []*entry
		calls []call
		n     int
	)
	visit := func(e *entry) {
		n++
		e.seen, e.low, e.open = n, n, true
		stack = append(stack, e)
		calls = append(calls, call{e: e})
	}
	for _, start := range b.todo {
		if start.seen != 0 {
			continue
		}
		visit(start)
		for len(calls) > 0 {
			c := &calls[len(calls)-1]
			e := c.e
			if c.next < len(e.links) {
				t := e.links[c.next]
				c.next++
				switch {
				case t == nil, t.done:
				case t.seen == 0:
					visit(t)
				case t.open:
					e.low = min(e.low, t.seen)
				}
				continue
			}
			calls = calls[:len(calls)-1]
			if len(calls) > 0 {
				over := calls[len(calls)-1].e
				over.low = min(over.low, e.low)
			}
			if e.low != e.seen {
				continue
			}
			at := len(stack) - 1
			for stack[at] != e {
				at--
			}
			knot := slices.Clone(stack[at:])
			stack = stack[:at]
			for _, k := range knot {
				k.open = false
			}
			if len(knot) > 1 {
				untie(knot)
			}
			out = append(out, knot...)
		}
	}
	return out
}

type call struct {
	e    *entry
	next int // of its links
}

// untie names, for each recipe of a knot of links, a shortest circle through it.
func untie(knot []*entry) {
	slices.SortFunc(knot, func(a, c *entry) int { return cmp.Compare(a.file.Path, c.file.Path) })
	for _, e := range knot {
		e.knot = knot[0]
	}
	var common []*entry
	for i, e := range knot {
		circle := common
		if i < maxKnot {
			circle = shortestCircle(e)
			common = circle
		}
		for j, t := range e.links {
			if t != nil && e.circles(t) && (i >= maxKnot || t == circle[1%len(circle)]) {
				e.fault(e.lines[j].Pos, codeCircle, "Circle of links: "+path(circle)+".",
					"bought "+clip(e.lines[j].Name)+" if it is bought in, or take the line out")
				break
			}
		}
	}
}

const maxKnot = 64 // recipes of one knot that get a circle of their own named

// shortestCircle finds a shortest way from e back to e inside its knot.
func shortestCircle(e *entry) []*entry {
	from := map[*entry]*entry{}
	queue := []*entry{e}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, t := range at.links {
			if t == nil || !e.circles(t) {
				continue
			}
			if t == e {
				circle := []*entry{at}
				for at != e {
					at = from[at]
					circle = append(circle, at)
				}
				slices.Reverse(circle)
				return circle
			}
			if _, ok := from[t]; !ok {
				from[t] = at
				queue = append(queue, t)
			}
		}
	}
	return []*entry{e} // not reached: e is in a knot
}
