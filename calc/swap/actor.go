package swap

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// SkipReason is why a candidate was not looked at: a code.
type SkipReason string

// The reasons.
const (
	NotAllowed    SkipReason = "not allowed"           // the caller excluded it
	NotKnown      SkipReason = "not known"             // whether it is allowed is not known
	NoneLeft      SkipReason = "none left"             // 0 g of it
	NoComposition SkipReason = "composition not known" // of a hard wish, or at all
	LockedFast    SkipReason = "locked"                // it may not be put in, or it is a locked line of the recipe
)

// Skip is a candidate that was not looked at.
type Skip struct {
	Name   string
	Reason SkipReason
	What   []Function // of NoComposition: which are not known well enough; empty: all
}

// actor is an ingredient that may change.
type actor struct {
	in        *Ingredient
	line      int             // of the recipe; -1: a candidate
	start     quantity.Number // g in the recipe now
	most      *quantity.Number
	low, high float64 // of the change
}

// search is one question, with everything worked out once.
type search struct {
	r       Recipe
	o       Options
	gaps    []quantity.Number // missing of each line
	gap     quantity.Number   // of all
	mass    quantity.Number   // of the recipe
	wishes  []Wish
	before  [NumFunctions]mix.Content
	gone    []part // the missing masses
	actors  []actor
	skipped []Skip

	cache map[*Ingredient]*[NumFunctions]*mix.Content
	units map[Function]quantity.Number

	scale []float64 // of each wish, g; 0: it cannot be judged
	tol   []float64 // of each wish, as rows of a have it
	rho   float64   // gelatine power to a gram of water
	a     [][]float64
	b     []float64
	ridge float64
}

// newSearch checks the question and gathers who may change.
func newSearch(r Recipe, missing []Missing, cands []Candidate, keep []Wish, o Options) (*search, error) {
	gaps, err := r.deficit(missing)
	if err != nil {
		return nil, err
	}
	if len(cands) > MaxCandidates {
		return nil, fmt.Errorf("%w: %d candidates", ErrTooMany, len(cands))
	}
	if o.Most == 0 {
		o.Most = 5
	}
	if o.Changes == 0 {
		o.Changes = 3
	}
	if o.Most < 0 || o.Changes < 1 || o.Changes > 3 {
		return nil, fmt.Errorf("%w: %d answers of %d changes", ErrWish, o.Most, o.Changes)
	}
	s := &search{r: r, o: o, gaps: gaps, gap: quantity.Sum(gaps...), mass: r.Mass()}
	s.init()
	for i, g := range gaps {
		if !g.IsZero() {
			s.gone = append(s.gone, part{&r.Lines[i].Ingredient, g})
		}
	}
	if err := s.wish(keep); err != nil {
		return nil, err
	}
	if err := s.gather(cands); err != nil {
		return nil, err
	}
	s.matrix()
	return s, nil
}

// wish takes over the wishes that can be judged: what is missing brings a known amount.
func (s *search) wish(keep []Wish) error {
	seen := [NumFunctions]bool{}
	all := s.r.parts()
	for _, w := range keep {
		if w.What >= NumFunctions || w.Weight < 0 || math.IsNaN(w.Weight) || math.IsInf(w.Weight, 0) || w.Tolerance.Sign() < 0 || seen[w.What] {
			return fmt.Errorf("%w: %s, weight %v, tolerance %s", ErrWish, w.What, w.Weight, w.Tolerance)
		}
		seen[w.What] = true
		if w.Weight == 0 {
			w.Weight = 1
		}
		if w.What == Total { // always kept
			continue
		}
		s.before[w.What] = s.contentOf(all, w.What)
		s.wishes = append(s.wishes, w)
	}
	slices.SortFunc(s.wishes, func(a, b Wish) int { return cmp.Compare(a.What, b.What) })
	s.before[Water] = s.contentOf(all, Water)
	judged := 0
	for _, w := range s.wishes {
		if s.vague(s.gramsOf(s.gone, w.What), w) {
			continue
		}
		judged++
	}
	if judged == 0 {
		return fmt.Errorf("%w: of %s", ErrUnknown, s.gone[0].in.Name)
	}
	return nil
}

func (s *search) init() {
	s.cache = map[*Ingredient]*[NumFunctions]*mix.Content{}
	s.units = map[Function]quantity.Number{}
}

// per100 is [Ingredient.Per100], worked out once.
func (s *search) per100(in *Ingredient, f Function) mix.Content {
	row := s.cache[in]
	if row == nil {
		row = new([NumFunctions]*mix.Content)
		s.cache[in] = row
	}
	if row[f] == nil {
		c := in.Per100(f)
		row[f] = &c
	}
	return *row[f]
}

func (s *search) gramsOf(parts []part, f Function) mix.Content {
	return sumOf(parts, func(in *Ingredient) mix.Content { return s.per100(in, f) })
}

// contentOf is a function of all parts together, as facts tell it.
func (s *search) contentOf(parts []part, f Function) mix.Content {
	c := s.gramsOf(parts, f)
	if f == GelStrength && !(c.Exact && c.AtMost.IsZero()) {
		return perWater(c, s.gramsOf(parts, Water))
	}
	return c
}

// unit is what a function's change is measured against, in g of it (or g in 100 g of water).
func (s *search) unit(f Function) quantity.Number {
	if u, ok := s.units[f]; ok {
		return u
	}
	unit := floors[f].Mul(s.mass)
	if f == GelStrength {
		unit = floors[f].Mul(hundred)
	}
	if m := middle(s.before[f]); unit.Less(m) {
		unit = m
	}
	s.units[f] = unit
	return unit
}

// middle of a content, cheaply where it is exact.
func middle(c mix.Content) quantity.Number {
	if c.Exact {
		return c.AtLeast
	}
	return c.Middle()
}

// vague reports that an amount is known less well than a hard wish asks; of a soft one, by more than half of what is there.
func (s *search) vague(c mix.Content, w Wish) bool {
	if c.Exact {
		return false
	}
	pm, ok := c.PlusMinus()
	limit := s.unit(w.What).Mul(w.tolerance())
	if !w.hard() {
		limit = s.unit(w.What).Div(two)
	}
	if w.What == GelStrength { // from g in 100 g of water to g
		limit = limit.Mul(s.gelWater()).Div(hundred)
	}
	return !ok || limit.Less(pm)
}

// gelWater is the water that a gel's strength is shared out on; the whole mass where there is none.
func (s *search) gelWater() quantity.Number {
	if w := middle(s.before[Water]); w.Sign() > 0 {
		return w
	}
	return s.mass
}

// gather sorts the candidates out and adds the lines that may move, all in order of their names.
func (s *search) gather(cands []Candidate) error {
	lines := map[string][]int{}
	for i := range s.r.Lines {
		l := &s.r.Lines[i]
		lines[l.Name] = append(lines[l.Name], i)
		if l.Move && l.Lock == Unlocked && s.gaps[i].IsZero() && len(s.doubts(&l.Ingredient)) == 0 && l.Mass.Sign() > 0 {
			s.actors = append(s.actors, newActor(&l.Ingredient, i, l.Mass, l.Left))
		}
	}
	sorted := slices.Clone(cands)
	slices.SortStableFunc(sorted, func(a, b Candidate) int { return cmp.Compare(a.Name, b.Name) })
	for i := range sorted {
		c := &sorted[i]
		if i > 0 && sorted[i-1].Name == c.Name {
			return fmt.Errorf("%w: %s", ErrTwice, c.Name)
		}
		if c.Left != nil && c.Left.Sign() < 0 {
			return fmt.Errorf("%w: %s g %s left", ErrMass, *c.Left, c.Name)
		}
		skip, twin := s.judge(c, lines[c.Name])
		switch {
		case skip.Reason != "":
			s.skipped = append(s.skipped, skip)
		case twin >= 0: // it is in the recipe already: that line may move
			if !slices.ContainsFunc(s.actors, func(a actor) bool { return a.line == twin }) {
				l := &s.r.Lines[twin]
				s.actors = append(s.actors, newActor(&l.Ingredient, twin, l.Mass, c.Left))
			}
		default:
			s.actors = append(s.actors, newActor(&c.Ingredient, -1, zero, c.Left))
		}
	}
	slices.SortStableFunc(s.actors, func(a, b actor) int { return cmp.Compare(a.in.Name, b.in.Name) })
	return nil
}

// judge says why a candidate is skipped, or which line of the recipe it is; -1: none.
func (s *search) judge(c *Candidate, lines []int) (Skip, int) {
	skip := Skip{Name: c.Name}
	switch {
	case !c.Allowed:
		skip.Reason = NotAllowed
	case c.Unknown:
		skip.Reason = NotKnown
	case c.Lock != Unlocked:
		skip.Reason = LockedFast
	case c.Left != nil && c.Left.IsZero():
		skip.Reason = NoneLeft
	}
	if skip.Reason != "" {
		return skip, -1
	}
	twin := -1
	for _, i := range lines {
		if s.r.Lines[i].Lock != Unlocked {
			skip.Reason = LockedFast
			return skip, -1
		}
		if s.gaps[i].IsZero() && twin < 0 {
			twin = i
		}
	}
	if c.Comp.IsEmpty() {
		skip.Reason = NoComposition
	} else if skip.What = s.doubts(&c.Ingredient); len(skip.What) > 0 {
		skip.Reason = NoComposition
	}
	return skip, twin
}

// doubts are the hard wishes that an ingredient's composition does not let judge, put in for all that is missing.
func (s *search) doubts(in *Ingredient) []Function {
	var out []Function
	for _, w := range s.wishes {
		if !w.hard() {
			continue
		}
		v := s.per100(in, w.What)
		if !v.Exact && s.vague(scaled(v, s.gap.Div(hundred)), w) {
			out = append(out, w.What)
		}
	}
	return out
}

func newActor(in *Ingredient, line int, start quantity.Number, most *quantity.Number) actor {
	a := actor{in: in, line: line, start: start, most: most, low: -start.Float(), high: math.Inf(1)}
	if most != nil {
		if most.Less(start) { // less there than the recipe asks: it may only fall
			a.high, a.most = 0, &start
		} else {
			a.high = most.Sub(start).Float()
		}
	}
	return a
}

// matrix sets up the least squares: rows are wishes in their own unit, columns actors, what is asked for is what is missing.
func (s *search) matrix() {
	if w := s.before[Water]; w.AtLeast.Sign() > 0 {
		if g := s.before[GelStrength]; g.AtLeast.Sign() > 0 && !g.Open {
			s.rho = g.Middle().Float() / 100
		}
	}
	perGram := func(in *Ingredient, f Function) float64 {
		c := s.per100(in, f)
		if !c.Exact && f != Emulsifier {
			return c.Middle().Float() / 100
		}
		return c.AtLeast.Float() / 100
	}
	value := func(in *Ingredient, f Function) float64 {
		v := perGram(in, f)
		if f == GelStrength && s.rho > 0 {
			v -= s.rho * perGram(in, Water)
		}
		return v
	}
	for _, w := range s.wishes {
		if s.vague(s.gramsOf(s.gone, w.What), w) {
			s.scale = append(s.scale, 0)
			s.a = append(s.a, make([]float64, len(s.actors)))
			s.b, s.tol = append(s.b, 0), append(s.tol, 0)
			continue
		}
		unit := s.unit(w.What).Float()
		if w.What == GelStrength {
			unit *= s.gelWater().Float() / 100
		}
		k := math.Sqrt(w.Weight) / unit
		row := make([]float64, len(s.actors))
		for j := range s.actors {
			row[j] = k * value(s.actors[j].in, w.What)
		}
		var want float64
		for _, p := range s.gone {
			want += k * p.mass.Float() * value(p.in, w.What)
		}
		s.scale, s.a, s.b = append(s.scale, unit), append(s.a, row), append(s.b, want)
		s.tol = append(s.tol, math.Sqrt(w.Weight)*w.tolerance().Float())
	}
	r := 1e-4 / math.Max(s.mass.Float(), 1e-9)
	s.ridge = r * r
}
