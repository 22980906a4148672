package scale

import (
	"slices"

	"tamis/calc/quantity"
)

// maxWays is how many contributions are listed way by way. A book's dishes stay
// far below; beyond it the ways through shared parts double with every level.
const maxWays = 4096

// Leaves returns the total of each plain ingredient through all links, in order
// of first use. Core lines count: they are bought and eaten.
//
//   - Units: masses in g, counts in pieces, nothing rounded.
//   - Range: factor 0 or more.
//   - Errors: [ErrRange]; [ErrDepth]. Unknown amounts are told by each [Leaf].
func Leaves(f *Formula, factor quantity.Number) ([]Leaf, error) {
	r, err := RollUp(Batch{f, factor})
	if err != nil {
		return nil, err
	}
	return r.Leaves(), nil
}

// Of returns the total of one ingredient, or of one linked formula, through all
// links. The name is that of a line, of its key or of the linked formula, letter for letter.
//
//   - Units: g and pieces, nothing rounded.
//   - Range: factor 0 or more.
//   - Errors: [ErrNotUsed]; [ErrRange]; [ErrDepth].
func Of(f *Formula, factor quantity.Number, name string) (Leaf, error) {
	r, err := RollUp(Batch{f, factor})
	if err != nil {
		return Leaf{}, err
	}
	return r.Of(name)
}

// Leaves is the function [Leaves] of all batches rolled up.
func (r *Roll) Leaves() []Leaf {
	return r.gather(func(l *Line) bool { return l.Link == nil }, true)
}

// Of is the function [Of] of all batches rolled up.
//
//   - Errors: [ErrNotUsed].
func (r *Roll) Of(name string) (Leaf, error) {
	found := r.gather(func(l *Line) bool { return l.is(name) }, false)
	if len(found) == 0 {
		return Leaf{}, &NotUsedError{name}
	}
	return found[0], nil
}

// gather sums the lines that keep wants: by ingredient, or all into one.
func (r *Roll) gather(keep func(*Line) bool, byName bool) []Leaf {
	g := &gathering{r: r, keep: keep, index: map[string]int{}, byName: byName}
	for _, f := range r.order {
		if r.ready[f] {
			continue
		}
		for i := range f.Lines {
			if l := &f.Lines[i]; keep(l) {
				g.add(l, r.made[f])
			}
		}
	}
	if g.ways() <= maxWays {
		for _, b := range r.roots {
			g.expand(b.Formula, b.Factor, nil)
		}
	} else {
		g.merge()
	}
	return g.leaves
}

type gathering struct {
	r      *Roll
	keep   func(*Line) bool
	byName bool
	leaves []Leaf
	index  map[string]int
}

func (g *gathering) at(l *Line) *Leaf {
	name := ""
	if g.byName {
		name = l.Ingredient()
	}
	i, ok := g.index[name]
	if !ok {
		i = len(g.leaves)
		g.index[name] = i
		g.leaves = append(g.leaves, Leaf{Name: l.Ingredient(), Link: l.Link})
	}
	return &g.leaves[i]
}

func (g *gathering) add(l *Line, t *made) {
	leaf := g.at(l)
	if leaf.Link == nil {
		leaf.Link = l.Link
	}
	if leaf.Err == nil {
		leaf.Err = t.err
	}
	s := g.r.m.scaled(l, t.batches)
	if s.HasMass && (t.err == nil || t.batches.Sign() > 0) {
		leaf.HasMass = true
		leaf.Mass, leaf.Lo, leaf.Hi = leaf.Mass.Add(s.Mass), leaf.Lo.Add(s.Lo), leaf.Hi.Add(s.Hi)
	} else if !s.HasMass {
		leaf.Massless = true
	}
	if l.Count.IsZero() {
		leaf.Uncounted = true
		return
	}
	i := slices.IndexFunc(leaf.Counts, func(c Count) bool { return c.Word == l.Word })
	if i < 0 {
		i = len(leaf.Counts)
		leaf.Counts = append(leaf.Counts, Count{Word: l.Word})
	}
	leaf.Counts[i].N = leaf.Counts[i].N.Add(s.Count)
}

func (g *gathering) contribute(l *Line, factor quantity.Number, way []string, merged bool) {
	s := g.r.m.scaled(l, factor)
	leaf := g.at(l)
	leaf.From = append(leaf.From, Contribution{Way: way, Part: l.Part, Mass: s.Mass, HasMass: s.HasMass, Count: s.Count, Merged: merged})
}

// ways counts the visits that expand would make, and stops counting past maxWays.
func (g *gathering) ways() int {
	count := map[*Formula]int{}
	var visit func(f *Formula) int
	visit = func(f *Formula) int {
		if n, ok := count[f]; ok {
			return n
		}
		n := 1
		if !g.r.ready[f] {
			n += len(f.Lines)
			for i := range f.Lines {
				if link := f.Lines[i].Link; link != nil && n <= maxWays {
					n += visit(link)
				}
			}
		}
		n = min(n, maxWays+1)
		count[f] = n
		return n
	}
	sum := 0
	for _, b := range g.r.roots {
		sum = min(sum+visit(b.Formula), maxWays+1)
	}
	return sum
}

// expand lists the contributions way by way, and leaves out what draws an unknown amount.
func (g *gathering) expand(f *Formula, factor quantity.Number, way []string) {
	if g.r.ready[f] {
		return
	}
	way = append(slices.Clip(way), f.Name)
	for i := range f.Lines {
		l := &f.Lines[i]
		if g.keep(l) {
			g.contribute(l, factor, way, false)
		}
		if l.Link == nil {
			continue
		}
		if per, err := g.r.draw(l); err == nil {
			g.expand(l.Link, factor.Mul(per), way)
		}
	}
}

// merge lists one contribution a line, all ways to it in one.
func (g *gathering) merge() {
	for _, f := range g.r.order {
		if g.r.ready[f] {
			continue
		}
		var way []string
		for h := f; h != nil; h = g.r.made[h].way {
			way = append(way, h.Name)
		}
		slices.Reverse(way)
		for i := range f.Lines {
			if l := &f.Lines[i]; g.keep(l) {
				g.contribute(l, g.r.made[f].batches, way, true)
			}
		}
	}
}
