package swap

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Change is one ingredient in an answer.
type Change struct {
	Name     string
	Line     int // of the recipe; -1: it comes in new
	Was, Now quantity.Number
	// Shown is Now on the house's scales. Now differs from what is shown only by what keeps the recipe's mass exact.
	Shown quantity.Rounding
}

// Keeps says whether a function is kept.
type Keeps uint8

// What became of a function.
const (
	Kept   Keeps = iota // within the tolerance
	Off                 // outside it
	Unsure              // the composition does not say
)

// String returns a short name for logs.
func (k Keeps) String() string { return [...]string{"kept", "off", "unsure"}[k] }

// Effect is a function before and after, verified with exact numbers.
type Effect struct {
	What          Function
	Before, After mix.Content // g of the batch; GelStrength: g in 100 g of water
	Diff          mix.Content // after − before: exact where what changes is known, even if the rest is not
	// Percent of what there was; 0 and false where that is not exact or nothing.
	Percent      quantity.Number
	KnowsPercent bool
	Wished, Hard bool
	Keeps        Keeps
}

// Offer is one answer.
type Offer struct {
	Changes []Change // the missing lines first, in their order, then the others by name
	Effects []Effect // of every function that is there before or after, in order
	// Lost are the wishes that are not kept, Unsure those of which the compositions do not tell.
	Lost, Unsure []Function
	// Kept: every hard wish is known to be kept.
	Kept bool
	// Off is how far the wishes are missed: the root of their mean square, weighted, each in its own unit; in %.
	Off quantity.Number
	// InCategory: all that comes in is of the category of something missing.
	InCategory bool

	hardLost int
	itself   bool // it puts the missing ingredient in its own place
	key      string
}

// Result of a search.
type Result struct {
	Offers  []Offer // best first
	Skipped []Skip  // candidates not looked at, by name
	// Unjudged are wishes left out because the composition of what is missing does not tell them.
	Unjudged []Function
	// Proof is set where no offer keeps every hard wish and none can, whatever is changed together. It is nil
	// where an offer keeps them, where there are no hard wishes, or where more than the allowed changes might do it.
	Proof *Proof
	// TooLittle: all that may come in together does not weigh what is missing.
	TooLittle bool
}

// Find returns what may stand in for the missing lines, so that the functions in keep stay as they are.
//
// It looks at every one, two and three of the allowed candidates and the lines that may move; longer changes only where shorter ones keep
// less. Wishes for Total are met anyhow.
//
//   - Formula: least Σ weight × ((function − before) ÷ unit)², masses 0 or more and within what is left, the recipe's mass kept exactly; unit is what
//     there was, at least the function's floor. Then rounded to the scale, verified with exact numbers, and ranked: hard wishes missed, Off to the nearest
//     2 %, number of changes, Off, category, names.
//   - Units: g.
//   - Range: 60 lines, 120 candidates; each candidate once.
//   - Uncertainty: that of the compositions, told as bounds. Taste, colour and heat are in none of the functions.
//   - Errors: [ErrLocked] (a [*LockedError]) if a missing line is locked; [ErrNothing], [ErrLine], [ErrMass], [ErrTwice], [ErrWish], [ErrTooMany], [ErrUnknown].
//   - Source: S-701, S-707.
func Find(r Recipe, missing []Missing, cands []Candidate, keep []Wish, o Options) (Result, error) {
	s, err := newSearch(r, missing, cands, keep, o)
	if err != nil {
		return Result{}, err
	}
	res := Result{Skipped: s.skipped}
	for i, w := range s.wishes {
		if s.scale[i] == 0 {
			res.Unjudged = append(res.Unjudged, w.What)
		}
	}
	offers, err := s.offers()
	if err != nil {
		return Result{}, err
	}
	res.Offers = s.finish(offers)
	if len(res.Offers) == 0 || !res.Offers[0].Kept {
		res.Proof = s.prove()
	}
	res.TooLittle = s.tooLittle()
	return res, nil
}

// tooLittle reports that nothing is plenty and all together is not enough.
func (s *search) tooLittle() bool {
	rest := s.gap
	for _, a := range s.actors {
		if a.most == nil {
			return false
		}
		rest = rest.Sub(a.most.Sub(a.start))
	}
	return rest.Sign() > 0
}

// offers tries sets of one, two and three until everything is kept. All sets are scored, the best of each size solved, and the best
// of those rounded and verified.
func (s *search) offers() ([]Offer, error) {
	if len(s.actors) == 0 {
		return nil, nil
	}
	p, err := s.picker()
	if err != nil {
		return nil, err
	}
	var drafts []draft
	for n := 1; n <= s.o.Changes; n++ {
		for _, c := range p.size(n) {
			if d, ok := s.draft(c); ok {
				drafts = append(drafts, d)
			}
		}
		slices.SortStableFunc(drafts, nearer)
		if len(drafts) > 0 && drafts[0].lost == 0 && bucket(drafts[0].off) == 0 {
			break
		}
	}
	var all []Offer
	var taken []draft
	for _, d := range drafts {
		if len(all) >= s.o.Most+3 {
			break
		}
		if slices.ContainsFunc(taken, func(b draft) bool { return d.extends(b) }) {
			continue
		}
		if o, ok := s.round(d); ok && !slices.ContainsFunc(all, func(b Offer) bool { return b.key == o.key }) {
			all, taken = append(all, o), append(taken, d)
		}
	}
	slices.SortStableFunc(all, better)
	return all, nil
}

// draft is a set of actors solved in float64, not yet rounded.
type draft struct {
	choice
	z    []float64
	lost int     // hard wishes
	off  float64 // %
}

func nearer(a, b draft) int {
	return cmp.Or(
		cmp.Compare(a.lost, b.lost),
		cmp.Compare(bucket(a.off), bucket(b.off)),
		cmp.Compare(a.n, b.n),
		cmp.Compare(a.off, b.off),
		slices.Compare(a.of[:a.n], b.of[:b.n]),
	)
}

// extends reports that d changes all that b changes, and more.
func (d draft) extends(b draft) bool {
	for _, j := range b.of[:b.n] {
		if !slices.Contains(d.of[:d.n], j) {
			return false
		}
	}
	return true
}

// draft solves one set; where hard wishes are missed it leans on them, and keeps what misses fewest.
func (s *search) draft(c choice) (draft, bool) {
	best := draft{lost: math.MaxInt}
	lean := make([]float64, len(s.wishes))
	for i := range lean {
		lean[i] = 1
	}
	missed := make([]int, 0, len(s.wishes))
	for range 8 {
		z, err := s.least(c, lean)
		if err != nil {
			break
		}
		var sum, weight float64
		missed = missed[:0]
		for i, w := range s.wishes {
			if s.scale[i] == 0 {
				continue
			}
			r := -s.b[i]
			for m := range c.n {
				r += s.a[i][c.of[m]] * z[m]
			}
			sum, weight = sum+r*r, weight+w.Weight
			if w.hard() && math.Abs(r) > s.tol[i] {
				missed = append(missed, i)
			}
		}
		if len(missed) < best.lost {
			best = draft{choice: c, z: z, lost: len(missed), off: 100 * math.Sqrt(sum/weight)}
		}
		if len(missed) == 0 {
			break
		}
		for _, i := range missed {
			lean[i] *= 16
		}
	}
	return best, best.lost < math.MaxInt
}

// least solves one set with the given weights.
func (s *search) least(c choice, lean []float64) ([]float64, error) {
	p := LeastSquares{Total: s.gap.Float(), HasTotal: true, Ridge: s.ridge, B: make([]float64, 0, len(s.wishes))}
	for m := range c.n {
		a := &s.actors[c.of[m]]
		p.Lower, p.Upper = append(p.Lower, a.low), append(p.Upper, a.high)
	}
	rows := make([]float64, len(s.wishes)*c.n)
	for i := range s.wishes {
		if s.scale[i] == 0 {
			continue
		}
		k := math.Sqrt(lean[i])
		row := rows[i*c.n : (i+1)*c.n]
		for m := range c.n {
			row[m] = k * s.a[i][c.of[m]]
		}
		p.A, p.B = append(p.A, row), append(p.B, k*s.b[i])
	}
	return p.Solve()
}

// bucket is how far off to the nearest 2 %: a difference nobody tastes is none.
func bucket(off float64) int { return int(math.Round(off / 2)) }

// changed counts the ingredients that change besides the missing ones.
func (o *Offer) changed() (n int) {
	for _, c := range o.Changes {
		if c.Line < 0 || c.Was.Less(c.Now) || c.Now.Less(c.Was) {
			n++
		}
	}
	return n
}

func better(a, b Offer) int {
	yes := func(v bool) int {
		if v {
			return 0
		}
		return 1
	}
	return cmp.Or(
		cmp.Compare(a.hardLost, b.hardLost),
		cmp.Compare(bucket(a.Off.Float()), bucket(b.Off.Float())),
		cmp.Compare(a.changed(), b.changed()),
		a.Off.Cmp(b.Off),
		cmp.Compare(yes(a.itself), yes(b.itself)),
		cmp.Compare(yes(a.InCategory), yes(b.InCategory)),
		strings.Compare(a.key, b.key),
	)
}

// finish takes the best, without those that only add to a better one.
func (s *search) finish(all []Offer) []Offer {
	var out []Offer
	for _, o := range all {
		if len(out) == s.o.Most {
			break
		}
		if !slices.ContainsFunc(out, func(better Offer) bool { return o.extends(&better) }) {
			out = append(out, o)
		}
	}
	for i := range out {
		s.tell(&out[i])
	}
	return out
}

// extends reports that o changes all that b changes, and more.
func (o *Offer) extends(b *Offer) bool {
	names := map[string]bool{}
	for _, c := range o.Changes {
		names[c.Name] = true
	}
	for _, c := range b.Changes {
		if !names[c.Name] {
			return false
		}
	}
	return true
}
