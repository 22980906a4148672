package scale

import (
	"errors"
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

var (
	// ErrNotUsed: the formula uses no such ingredient, at no depth. See [NotUsedError].
	ErrNotUsed = errors.New("not used")
	// ErrOpen: a line draws on a formula in an amount that nobody wrote ("to taste").
	ErrOpen = errors.New("drawn in no written amount")
)

// NotUsedError names what a formula does not use. It is an [ErrNotUsed].
type NotUsedError struct{ Ingredient string }

// Error implements error.
func (e *NotUsedError) Error() string { return e.Ingredient + ": " + ErrNotUsed.Error() }

// Unwrap makes errors.Is(err, ErrNotUsed) true.
func (e *NotUsedError) Unwrap() error { return ErrNotUsed }

// Batch is so many batches of a formula.
type Batch struct {
	Formula *Formula
	Factor  quantity.Number
}

// Cover is N covers of a dish.
type Cover struct {
	Formula *Formula
	N       quantity.Number
}

// Leaf is the total amount of one ingredient or linked formula through all links.
type Leaf struct {
	Name string
	Link *Formula // the formula that makes it; nil: a plain ingredient
	// Mass in g, and its ends where its own lines write ranges (a link drawn in a
	// range counts as its middle). HasMass false: no line has one.
	Mass, Lo, Hi quantity.Number
	HasMass      bool
	// Counts of the lines that are counted, one a piece word, in order of first use.
	Counts []Count
	// Massless: a line of it is in no mass, so Mass is the rest of it.
	Massless bool
	// Uncounted: a line of it is not counted, so Counts are the rest of it.
	Uncounted bool
	// Err is set if a link on a way to it draws an unknown number of batches, so
	// that the amounts are only what is known: [ErrUnknownMass], [ErrNegative], [ErrNoPieces], [ErrOpen].
	Err error
	// From are the lines it comes from; their amounts sum to the above.
	From []Contribution
}

// Count is a number of pieces of one word.
type Count struct {
	Word string
	N    quantity.Number
}

// Contribution is what one line brings by one way.
type Contribution struct {
	// Way names the formulas from the one asked for to the one that holds the line.
	Way     []string
	Part    string
	Mass    quantity.Number // g
	HasMass bool
	Count   quantity.Number // pieces; 0: not counted
	// Merged: the formula that holds the line is reached by more ways than can be
	// listed; Way is the first of them and the amounts are those of all.
	Merged bool
}

// Need is how much of one formula is needed, summed over all that draw on it.
type Need struct {
	Formula *Formula
	Batches quantity.Number // exact, may be a fraction
	Whole   quantity.Number // batches rounded up; what they need below is not
	Mass    quantity.Number // g of finished mass
	HasMass bool
	Pieces  quantity.Number // 0: it makes no pieces
	// Err is set if some draw on it cannot be known; the amounts are the rest.
	Err error
	// From are the formulas that draw on it, in order of first use.
	From []Draw
}

// Draw is what the lines of one formula draw from another.
type Draw struct {
	Formula *Formula // that draws
	Batches quantity.Number
}

// Roll is one or several batches rolled up through all their links. It does not
// change once made.
type Roll struct {
	m     *masses
	roots []Batch
	order []*Formula // in order of first use
	made  map[*Formula]*made
	ready map[*Formula]bool // taken from stock: not rolled up further
}

// made is how much of a formula is needed.
type made struct {
	batches quantity.Number
	err     error
	linked  bool // drawn by a line, not only asked for
	from    []Draw
	mass    quantity.Number // drawn by mass, known even where batches are not
	noMass  bool            // something else than a mass was drawn
	way     *Formula        // the formula that first drew it; nil: asked for
}

// RollUp sums what the batches need at every level, each formula once however
// many draw on it.
//
//   - Range: factors 0 or more.
//   - Errors: [ErrRange]; [ErrDepth]. A link of unknown mass is no error here: what
//     hangs on it carries an Err.
func RollUp(batches ...Batch) (*Roll, error) { return rollUp(batches, nil) }

func rollUp(batches []Batch, ready map[*Formula]bool) (*Roll, error) {
	r := &Roll{m: newMasses(), roots: batches, made: map[*Formula]*made{}, ready: ready}
	o := &ordering{r: r, height: map[*Formula]int{}}
	for _, b := range batches {
		if b.Factor.Sign() < 0 {
			return nil, fmt.Errorf("%s × %s: %w", b.Formula.Name, b.Factor, ErrRange)
		}
		if _, err := o.visit(b.Formula, nil, 0); err != nil {
			return nil, err
		}
	}
	for _, b := range batches {
		t := r.made[b.Formula]
		t.batches = t.batches.Add(b.Factor)
	}
	for _, f := range r.order {
		r.m.finished(f, 0) // now, so that a roll only reads afterwards; what fails is told where it is needed
	}
	// Whoever draws comes before what it draws on, so each total is whole when it is passed on.
	slices.Reverse(o.after)
	for _, f := range o.after {
		r.passOn(f)
	}
	return r, nil
}

// ordering finds which formulas are reached, in order of first use and sorted.
type ordering struct {
	r      *Roll
	height map[*Formula]int // 0: being visited
	after  []*Formula       // each after all it draws on
}

func (o *ordering) visit(f, by *Formula, depth int) (int, error) {
	if h, seen := o.height[f]; seen && h > 0 {
		return h, nil
	} else if seen || depth > maxDepth {
		return 0, fmt.Errorf("%s: %w", f.Name, ErrDepth)
	}
	o.height[f] = 0
	o.r.order = append(o.r.order, f)
	o.r.made[f] = &made{way: by}
	height := 1
	if !o.r.ready[f] {
		for i := range f.Lines {
			link := f.Lines[i].Link
			if link == nil {
				continue
			}
			h, err := o.visit(link, f, depth+1)
			if err != nil {
				return 0, err
			}
			height = max(height, h+1)
		}
	}
	if height > maxDepth+1 {
		return 0, fmt.Errorf("%s: %w", f.Name, ErrDepth)
	}
	o.height[f] = height
	o.after = append(o.after, f)
	return height, nil
}

// passOn adds what f draws to the formulas it draws on.
func (r *Roll) passOn(f *Formula) {
	if r.ready[f] {
		return
	}
	t := r.made[f]
	for i := range f.Lines {
		l := &f.Lines[i]
		if l.Link == nil {
			continue
		}
		d := r.made[l.Link]
		d.linked = true
		if t.err != nil && d.err == nil {
			d.err = t.err
		}
		if !l.ByPieces && l.HasMass {
			d.mass = d.mass.Add(l.Mass.Mul(t.batches))
		} else {
			d.noMass = true
		}
		per, err := r.draw(l)
		if err != nil {
			if d.err == nil {
				d.err = err
			}
			continue
		}
		n := per.Mul(t.batches)
		d.batches = d.batches.Add(n)
		if k := len(d.from) - 1; k >= 0 && d.from[k].Formula == f {
			d.from[k].Batches = d.from[k].Batches.Add(n)
		} else {
			d.from = append(d.from, Draw{f, n})
		}
	}
}

// draw returns how many batches of its link a line draws in one batch of its own formula.
func (r *Roll) draw(l *Line) (quantity.Number, error) {
	if l.ByPieces {
		if l.Link.Pieces.Sign() <= 0 {
			return quantity.Number{}, fmt.Errorf("%s: %w", l.Link.Name, ErrNoPieces)
		}
		return l.Count.Div(l.Link.Pieces), nil
	}
	if !l.HasMass {
		return quantity.Number{}, fmt.Errorf("%s: %w", l.Link.Name, ErrOpen)
	}
	mass, err := r.m.finished(l.Link, 0)
	if err != nil {
		return quantity.Number{}, err
	}
	return l.Mass.Div(mass), nil
}

// Needs returns the formulas that are drawn on, in order of first use.
//
//   - Units: masses in g, counts in pieces.
func (r *Roll) Needs() []Need {
	return r.needs(func(t *made) bool { return t.linked })
}

// All returns the formulas asked for and those drawn on, in order of first use.
//
//   - Units: masses in g, counts in pieces.
func (r *Roll) All() []Need {
	return r.needs(func(*made) bool { return true })
}

func (r *Roll) needs(keep func(*made) bool) []Need {
	needs := make([]Need, 0, len(r.order))
	for _, f := range r.order {
		t := r.made[f]
		if !keep(t) {
			continue
		}
		n := Need{Formula: f, Batches: t.batches, Whole: t.batches.Ceil(), Pieces: f.Pieces.Mul(t.batches), Err: t.err, From: r.sorted(t.from)}
		if mass, err := r.m.finished(f, 0); err == nil {
			n.Mass, n.HasMass = mass.Mul(t.batches), true
		} else if t.linked && !t.noMass && !r.isRoot(f) {
			n.Mass, n.HasMass = t.mass, true
		}
		needs = append(needs, n)
	}
	return needs
}

func (r *Roll) isRoot(f *Formula) bool {
	return slices.ContainsFunc(r.roots, func(b Batch) bool { return b.Formula == f })
}

// sorted returns draws in order of first use, not of the sort that summed them.
func (r *Roll) sorted(from []Draw) []Draw {
	if len(from) < 2 {
		return from
	}
	sorted := make([]Draw, 0, len(from))
	for _, f := range r.order {
		for _, d := range from {
			if d.Formula == f {
				sorted = append(sorted, d)
			}
		}
	}
	return sorted
}

// Needs returns what factor batches need of every linked formula at every level,
// each formula once, in order of first use.
//
//   - Units: masses in g, counts in pieces.
//   - Range: factor 0 or more.
//   - Errors: [ErrRange]; [ErrDepth].
func Needs(f *Formula, factor quantity.Number) ([]Need, error) {
	r, err := RollUp(Batch{f, factor})
	if err != nil {
		return nil, err
	}
	return r.Needs(), nil
}

// ForCovers returns what covers of one or several dishes need: the dishes and
// every formula they draw on, a shared one once with its sum, in order of first use.
//
//   - Units: N in covers (the dish's pieces); masses in g.
//   - Range: N 0 or more.
//   - Errors: [ErrRange]; [ErrNoPieces] of a dish; [ErrDepth].
func ForCovers(covers []Cover) ([]Need, error) {
	r, err := RollUpCovers(covers)
	if err != nil {
		return nil, err
	}
	return r.All(), nil
}

// RollUpCovers is [RollUp] of covers of one or several dishes.
//
//   - Units, range and errors: those of [ForCovers].
func RollUpCovers(covers []Cover) (*Roll, error) {
	batches := make([]Batch, len(covers))
	for i, c := range covers {
		factor, err := ForPieces(c.Formula, c.N)
		if err != nil {
			return nil, err
		}
		batches[i] = Batch{c.Formula, factor}
	}
	return RollUp(batches...)
}
