package reduce

import (
	"fmt"
	"slices"

	"tamis/calc/quantity"
)

// Pan is a vessel of the house.
type Pan struct {
	Name  string
	Tare  quantity.Number // empty, g
	Holds quantity.Number // to the brim, ml; 0: not known
}

// Load is what goes into one pan of several. Masses in g, exact.
type Load struct {
	Pan     Pan
	Start   quantity.Number // to pour in
	Target  quantity.Number // what must be left of it
	Full    quantity.Number // reading once it is poured in
	Reading quantity.Number // reading when it is done
}

// TooMuchError tells how much the pans hold with their head-room.
type TooMuchError struct {
	Volume quantity.Number // of the batch, ml
	Usable quantity.Number // of all pans together, ml
}

// Error says it in English for the log; bot words it for a cook.
func (e *TooMuchError) Error() string {
	return fmt.Sprintf("%v: %s ml into %s ml", ErrTooMuch, e.Volume.Fixed(0), e.Usable.Fixed(0))
}

// Unwrap returns ErrTooMuch.
func (e *TooMuchError) Unwrap() error { return ErrTooMuch }

// HeadRoom returns the share of a pan that stays empty so that a boil cannot climb over.
//
//   - Formula: 1 ÷ 3.
//   - Range: stocks, juices, wine; cream, milk and sugar climb more.
//   - Uncertainty: the house knows its pans.
//   - Errors: none.
//   - Source: S-601.
func HeadRoom() quantity.Number { return quantity.Frac(1, 3) }

// Split spreads a reduction over as few pans as hold it, the smallest single
// one if one does, filled to the same share of each so that they finish together.
//
//   - Formula: usable = holds × (1 − head-room); volume = start ÷ density; each pan takes start × usable ÷ sum of usable.
//   - Units: density in g/ml, head-room a share.
//   - Range: density 0.5 to 2 g/ml, head-room 0 to under 1. Pans of unknown capacity are left out.
//   - Uncertainty: none in the masses, whose sum is the start exactly; wide pans finish earlier than deep ones.
//   - Errors: [ErrNoPan], [ErrDensity], [ErrShare], a [TooMuchError] (errors.Is [ErrTooMuch]), [ErrUnknownStart].
//   - Source: S-601 (head-room), S-602.
func Split(r Reduction, density, headRoom quantity.Number, pans []Pan) ([]Load, error) {
	if r.Start.Sign() <= 0 {
		return nil, fmt.Errorf("%w: %s g", ErrUnknownStart, r.Start)
	}
	if density.Less(half) || quantity.Int(2).Less(density) {
		return nil, fmt.Errorf("%w: %s", ErrDensity, density)
	}
	free := quantity.Int(1).Sub(headRoom)
	if headRoom.Sign() < 0 || free.Sign() <= 0 {
		return nil, fmt.Errorf("%w: head-room %s", ErrShare, headRoom)
	}
	known := slices.DeleteFunc(slices.Clone(pans), func(p Pan) bool { return p.Holds.Sign() <= 0 })
	if len(known) == 0 {
		return nil, ErrNoPan
	}
	slices.SortStableFunc(known, func(a, b Pan) int { return b.Holds.Cmp(a.Holds) }) // largest first
	volume := r.Start.Div(density)
	chosen, usable := choose(known, volume, free)
	if chosen == nil {
		return nil, &TooMuchError{Volume: volume, Usable: usable}
	}
	loads := make([]Load, len(chosen))
	for i, p := range chosen {
		share := p.Holds.Mul(free).Div(usable)
		l := Load{Pan: p, Start: r.Start.Mul(share), Target: r.Target.Mul(share)}
		l.Full, l.Reading = p.Tare.Add(l.Start), p.Tare.Add(l.Target)
		loads[i] = l
	}
	return loads, nil
}

// choose picks the pans and returns what they hold together; nil if all together hold too little.
func choose(largestFirst []Pan, volume, free quantity.Number) ([]Pan, quantity.Number) {
	for _, p := range slices.Backward(largestFirst) {
		if u := p.Holds.Mul(free); !u.Less(volume) {
			return []Pan{p}, u
		}
	}
	var sum quantity.Number
	for i, p := range largestFirst {
		sum = sum.Add(p.Holds.Mul(free))
		if !sum.Less(volume) {
			return largestFirst[:i+1], sum
		}
	}
	return nil, sum
}
