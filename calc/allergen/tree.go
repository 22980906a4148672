package allergen

import (
	"errors"
	"fmt"
	"slices"
)

// ErrCircle: a recipe is an ingredient of itself.
var ErrCircle = errors.New("recipe within itself")

// Node is a recipe with its Children, or an ingredient without. Amounts do not matter:
// to taste and plate lines count like any other. A node may stand under several others.
type Node struct {
	Name string

	// Of an ingredient: what it contains. Known false: nothing is stated of it.
	Contains []Allergen
	Known    bool
	// MayContain as the label or the house says.
	MayContain []Allergen

	// Shared is what else is made with the same equipment (`made with shared`), and for what.
	Shared []Allergen

	// Suits are the diets stated; SuitsStated true though there may be none.
	Suits       []string
	SuitsStated bool

	Children []*Node
}

// Way leads from the asked dish down to what lists an allergen: names below the
// dish, last the ingredient, or the recipe whose equipment is shared.
type Way struct {
	Path   []string
	Shared bool // through shared equipment
}

// Found is one allergen and the ways to it.
type Found struct {
	Allergen
	Ways []Way
	// More tells that there are more ways than are listed.
	More bool
}

// maxWays limits the ways kept for one allergen: a hostile book may have very many.
const maxWays = 24

// Report is what a tree lists.
type Report struct {
	// Contains and MayContain in the order of the annex, each allergen and kind once. What is in Contains is not
	// repeated in MayContain.
	Contains, MayContain []Found
	// NotKnown are the ways to ingredients of unknown content, each ingredient once.
	NotKnown []Way
}

// Roll returns what the tree lists at all levels.
//
//   - Errors: [ErrCircle].
func Roll(n *Node) (Report, error) {
	r := roller{done: map[*Node]*Report{}}
	p, err := r.roll(n)
	if err != nil {
		return Report{}, err
	}
	out := Report{Contains: clone(p.Contains), NotKnown: slices.Clone(p.NotKnown)}
	for _, f := range clone(p.MayContain) {
		if !slices.ContainsFunc(out.Contains, func(g Found) bool { return g.Allergen == f.Allergen }) {
			out.MayContain = append(out.MayContain, f)
		}
	}
	return out, nil
}

func clone(fs []Found) []Found {
	fs = slices.Clone(fs)
	for i := range fs {
		fs[i].Ways = slices.Clone(fs[i].Ways)
	}
	return fs
}

// NotListed returns the names of the list that no line of the tree names, not even as
// may contain. It does not mean that they are not in it: see NotKnown.
func (r Report) NotListed(l List) []string {
	var names []string
	for _, name := range l.Names() {
		if !r.lists(l, name) {
			names = append(names, name)
		}
	}
	return names
}

func (r Report) lists(l List, name string) bool {
	for _, fs := range [][]Found{r.Contains, r.MayContain} {
		for _, f := range fs {
			if l == EU && f.Name == name {
				return true
			}
			if l == US && usClass(f.Allergen) == name {
				return true
			}
		}
	}
	return false
}

// usClass is the bare name among the nine, "" outside. Cereals of no stated kind may be wheat.
func usClass(a Allergen) string {
	if a.Name == Gluten {
		if _, inside := US.Name(a); inside {
			return "wheat"
		}
		return ""
	}
	if no := classNo(a.Name); no > 0 {
		return eu[no-1].US
	}
	return ""
}

type roller struct{ done map[*Node]*Report }

func (r *roller) roll(n *Node) (*Report, error) {
	if p, ok := r.done[n]; ok {
		if p == nil {
			return nil, fmt.Errorf("%w: %s", ErrCircle, n.Name)
		}
		return p, nil
	}
	r.done[n] = nil
	p := &Report{}
	// its own word: the way to it is its name, set by whoever holds it
	for _, a := range n.Contains {
		p.Contains = add(p.Contains, a, Way{})
	}
	for _, a := range n.MayContain {
		p.MayContain = add(p.MayContain, a, Way{})
	}
	for _, a := range n.Shared {
		p.MayContain = add(p.MayContain, a, Way{Shared: true})
	}
	if len(n.Children) == 0 && !n.Known {
		p.NotKnown = []Way{{}}
	}
	for _, c := range n.Children {
		q, err := r.roll(c)
		if err != nil {
			return nil, err
		}
		p.Contains = under(p.Contains, c.Name, q.Contains)
		p.MayContain = under(p.MayContain, c.Name, q.MayContain)
		for _, w := range q.NotKnown {
			p.NotKnown = addUnknown(p.NotKnown, w.below(c.Name))
		}
	}
	byAnnex := func(f, g Found) int { return compare(f.Allergen, g.Allergen) }
	slices.SortFunc(p.Contains, byAnnex)
	slices.SortFunc(p.MayContain, byAnnex)
	r.done[n] = p
	return p, nil
}

// below returns the way seen from one level higher.
func (w Way) below(name string) Way {
	return Way{Path: append([]string{name}, w.Path...), Shared: w.Shared}
}

func under(fs []Found, name string, below []Found) []Found {
	for _, f := range below {
		for _, w := range f.Ways {
			fs = add(fs, f.Allergen, w.below(name))
		}
		if f.More {
			fs[slices.IndexFunc(fs, func(g Found) bool { return g.Allergen == f.Allergen })].More = true
		}
	}
	return fs
}

func add(fs []Found, a Allergen, w Way) []Found {
	i := slices.IndexFunc(fs, func(f Found) bool { return f.Allergen == a })
	if i < 0 {
		return append(fs, Found{Allergen: a, Ways: []Way{w}})
	}
	f := &fs[i]
	switch {
	case slices.ContainsFunc(f.Ways, func(v Way) bool { return v.Shared == w.Shared && slices.Equal(v.Path, w.Path) }):
	case len(f.Ways) == maxWays:
		f.More = true
	default:
		f.Ways = append(f.Ways, w)
	}
	return fs
}

// addUnknown keeps the first way to each ingredient of unknown content.
func addUnknown(ws []Way, w Way) []Way {
	if slices.ContainsFunc(ws, func(v Way) bool { return v.last() == w.last() }) {
		return ws
	}
	return append(ws, w)
}

func (w Way) last() string {
	if len(w.Path) == 0 {
		return ""
	}
	return w.Path[len(w.Path)-1]
}
