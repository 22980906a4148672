package rescue

import (
	"fmt"

	"tamis/calc/quantity"
	"tamis/calc/swap"
)

// Line is one ingredient as it was to be weighed and as it is in the bowl.
type Line struct {
	Name   string
	Wanted quantity.Number // g, of the batch that was to be made
	Poured quantity.Number // g that are in; 0: none yet
	// Lock: food safety rests on it (curing salt, acid of a preserve); "" if not.
	Lock swap.Lock
}

// LimitKind is what a limit is of: a code.
type LimitKind string

// Kinds of limits.
const (
	Pan     LimitKind = "pan"
	Machine LimitKind = "machine"
	Mould   LimitKind = "mould"
)

// Limit is what a pan, machine or mould of the house takes.
type Limit struct {
	Name string
	Kind LimitKind
	Most quantity.Number // g; 0: no upper limit
	// Least a machine works with, g; 0: none.
	Least quantity.Number
}

// Over is a limit that the new batch breaks.
type Over struct {
	Limit
	By      quantity.Number // g over Most; below 0: g under Least
	Batches quantity.Number // in so many goes; 0 under Least
}

// BinFactor is the factor from which a batch is not worth the rest of the larder. Our choice: S-721.
const BinFactor = 10

// Caution is a code that bot words.
type Caution string

// Cautions of a rescue.
const (
	// SafetyLine: something is out in a recipe with a line that food safety rests on. Until it is right nothing is used; the person in charge decides.
	SafetyLine Caution = "safety line"
	// MixWell: a small mass was far over; it must be spread through the whole.
	MixWell Caution = "mix well"
)

// Add is what one line still needs.
type Add struct {
	Name string
	Add  quantity.Number // g; 0 for the line that sets the factor
	Now  quantity.Number // g in the end
}

// Batch is a rescued batch.
type Batch struct {
	// Factor of the batch that was to be made; 1 if nothing is over.
	Factor quantity.Number
	By     string // the line most over, which sets it, of two the first by name; "" if nothing is over
	Lines  []Add  // in the recipe's order
	Total  quantity.Number
	Was    quantity.Number // g that were to be made
	ToAdd  quantity.Number // g in all
	Poured quantity.Number // g in the bowl now
	Over   []Over          // limits that Total breaks, in the order given
	// Bin: the factor is BinFactor or more. What is lost is Poured; its cost is the caller's.
	Bin      bool
	Cautions []Caution
}

func check(lines []Line) (wanted, poured quantity.Number, err error) {
	if len(lines) == 0 {
		return zero, zero, fmt.Errorf("%w: nothing in the recipe", ErrNoLine)
	}
	seen := map[string]bool{}
	for _, l := range lines {
		if seen[l.Name] {
			return zero, zero, fmt.Errorf("%w: %s", ErrTwice, l.Name)
		}
		seen[l.Name] = true
		if l.Wanted.Sign() < 0 || l.Poured.Sign() < 0 {
			return zero, zero, fmt.Errorf("%w: %s, %s g of %s g", ErrMass, l.Name, l.Poured, l.Wanted)
		}
		if l.Wanted.IsZero() && l.Poured.Sign() > 0 {
			return zero, zero, fmt.Errorf("%w: %s g %s", ErrForeign, l.Poured, l.Name)
		}
		wanted, poured = wanted.Add(l.Wanted), poured.Add(l.Poured)
	}
	if wanted.IsZero() {
		return zero, zero, fmt.Errorf("%w: the recipe weighs nothing", ErrMass)
	}
	return wanted, poured, nil
}

// worst is the factor that the line most over sets, and which it is; 1 and "" if none is over.
func worst(lines []Line) (quantity.Number, string) {
	factor, by := one, ""
	for _, l := range lines {
		if l.Wanted.IsZero() {
			continue
		}
		switch f := l.Poured.Div(l.Wanted); {
		case factor.Less(f):
			factor, by = f, l.Name
		case by != "" && f.Equal(factor) && l.Name < by: // whatever the order of the lines
			by = l.Name
		}
	}
	return factor, by
}

// Rebalance returns what to add of everything else so that the recipe's ratios are right again: the line most over sets the factor. Where nothing is
// over it is what is still to pour.
//
//   - Formula: factor = greatest of poured ÷ wanted, at least 1; add = factor × wanted − poured; total = factor × what was to be made.
//   - Units: g, exact.
//   - Range: masses 0 or more; a line is there once.
//   - Uncertainty: that of what was poured. Water that has boiled off since is not in it.
//   - Errors: [ErrNoLine], [ErrTwice], [ErrMass]; [ErrForeign] for what the recipe does not have: see [Foreign].
//   - Source: S-602; when to bin S-721.
func Rebalance(lines []Line, limits []Limit) (Batch, error) {
	wanted, poured, err := check(lines)
	if err != nil {
		return Batch{}, err
	}
	b := Batch{Was: wanted, Poured: poured}
	b.Factor, b.By = worst(lines)
	b.fill(lines)
	if err := b.limit(limits); err != nil {
		return Batch{}, err
	}
	return b, nil
}

// fill works the lines out from the factor.
func (b *Batch) fill(lines []Line) {
	b.Total = b.Was.Mul(b.Factor)
	b.ToAdd = b.Total.Sub(b.Poured)
	b.Bin = !b.Factor.Less(quantity.Int(BinFactor))
	safety := false
	for _, l := range lines {
		now := l.Wanted.Mul(b.Factor)
		b.Lines = append(b.Lines, Add{l.Name, now.Sub(l.Poured), now})
		safety = safety || l.Lock != swap.Unlocked && (b.By != "" || !l.Poured.IsZero() && !l.Poured.Equal(l.Wanted))
	}
	if safety {
		b.Cautions = append(b.Cautions, SafetyLine)
	}
	if small, ok := find(lines, b.By); ok && small.Wanted.Mul(quantity.Int(20)).Less(b.Was) {
		b.Cautions = append(b.Cautions, MixWell)
	}
}

func (b *Batch) limit(limits []Limit) error {
	for _, l := range limits {
		if l.Most.Sign() < 0 || l.Least.Sign() < 0 {
			return fmt.Errorf("%w: %s takes %s to %s g", ErrMass, l.Name, l.Least, l.Most)
		}
		if b.Total.Less(l.Least) {
			b.Over = append(b.Over, Over{Limit: l, By: b.Total.Sub(l.Least)})
		}
		if l.Most.IsZero() || !l.Most.Less(b.Total) {
			continue
		}
		b.Over = append(b.Over, Over{Limit: l, By: b.Total.Sub(l.Most), Batches: b.Total.Div(l.Most).Ceil()})
	}
	return nil
}

func find(lines []Line, name string) (Line, bool) {
	for _, l := range lines {
		if l.Name == name {
			return l, true
		}
	}
	return Line{}, false
}

// Pour returns the lines with grams more of one of them in the bowl: also of a wrong one, where it is in the recipe.
//
//   - Units: g.
//   - Range: grams 0 or more.
//   - Errors: [ErrForeign] if the recipe has no such line; [ErrMass].
func Pour(lines []Line, name string, grams quantity.Number) ([]Line, error) {
	if grams.Sign() < 0 {
		return nil, fmt.Errorf("%w: %s g %s", ErrMass, grams, name)
	}
	out := append([]Line(nil), lines...)
	for i := range out {
		if out[i].Name == name {
			out[i].Poured = out[i].Poured.Add(grams)
			return out, nil
		}
	}
	return nil, fmt.Errorf("%w: %s", ErrForeign, name)
}

// TakenOut is a batch rescued by taking some of the mixture out.
type TakenOut struct {
	Out   quantity.Number // g of the mixture to take out
	Keep  quantity.Number // g of it that stay
	Share quantity.Number // of the mixture that stays, 0 to 1
	Batch
}

// TakeOut returns how much of the mixture to take out, and what to add to the rest, to end at a batch of the wanted size. It holds where all that is in the bowl is
// mixed; what lies on top is lifted off and weighed again.
//
//   - Formula: what stays = size ÷ factor of what is in, so that the line most over is right; add = size × wanted − what stayed of it.
//   - Units: g, exact; size in batches: 1 is the batch that was to be made.
//   - Range: size from above 0 to the factor of [Rebalance], which takes nothing out.
//   - Uncertainty: that of what was poured and of how well it is mixed.
//   - Errors: as [Rebalance]; [ErrNotOver] if nothing is over; [ErrMass] for another size.
//   - Source: S-602; when to bin S-721: by the factor of what was poured.
func TakeOut(lines []Line, size quantity.Number, limits []Limit) (TakenOut, error) {
	wanted, poured, err := check(lines)
	if err != nil {
		return TakenOut{}, err
	}
	factor, by := worst(lines)
	if by == "" {
		return TakenOut{}, ErrNotOver
	}
	if size.Sign() <= 0 || factor.Less(size) {
		return TakenOut{}, fmt.Errorf("%w: a batch of %s, at most %s", ErrMass, size, factor)
	}
	t := TakenOut{Share: size.Div(factor)}
	t.Keep = poured.Mul(t.Share)
	t.Out = poured.Sub(t.Keep)
	stayed := append([]Line(nil), lines...)
	for i := range stayed {
		stayed[i].Poured = stayed[i].Poured.Mul(t.Share)
	}
	t.Batch = Batch{Factor: size, By: by, Was: wanted, Poured: t.Keep}
	t.fill(stayed)
	t.Bin = !factor.Less(quantity.Int(BinFactor))
	return t, t.limit(limits)
}

// Hidden is something poured in that the recipe does not have.
type Hidden struct {
	Share  quantity.Number // of what would be the whole batch as it was to be, in %
	Factor quantity.Number // of the recipe, so that its share is at most what was asked; at least 1
	Total  quantity.Number // g then, with it
	Bin    bool
}

// Foreign returns how large a batch would have to be for something that does not belong to be at most a share of it. Whether it may be in the food at all
// (allergens, what is not food) is asked before: then there is no such share, and it is binned.
//
//   - Formula: factor = grams × (1 − most) ÷ (most × what was to be made), at least 1, most as a share.
//   - Units: g; most in %.
//   - Range: most above 0 to 100.
//   - Uncertainty: none; how much is tasted is the cook's.
//   - Errors: [ErrNoLine], [ErrTwice], [ErrMass].
//   - Source: S-602; when to bin S-721.
func Foreign(lines []Line, grams, most quantity.Number) (Hidden, error) {
	wanted, _, err := check(lines)
	if err != nil {
		return Hidden{}, err
	}
	if grams.Sign() <= 0 || most.Sign() <= 0 || hundred.Less(most) {
		return Hidden{}, fmt.Errorf("%w: %s g, at most %s %%", ErrMass, grams, most)
	}
	h := Hidden{Share: grams.Div(wanted.Add(grams)).Mul(hundred), Factor: grams.Mul(hundred.Sub(most)).Div(most.Mul(wanted))}
	if h.Factor.Less(one) {
		h.Factor = one
	}
	h.Total = wanted.Mul(h.Factor).Add(grams)
	h.Bin = !h.Factor.Less(quantity.Int(BinFactor))
	return h, nil
}

var (
	zero    quantity.Number
	one     = quantity.Int(1)
	hundred = quantity.Int(100)
)
