package scale

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// ErrNoAmount: an ingredient is used, but not in an amount of the kind asked for
// (grams of something counted, pieces of something weighed, "to taste").
var ErrNoAmount = errors.New("no such amount is written")

// Left is what is left of one ingredient.
type Left struct {
	Name    string          // of a line, of its key or of a linked formula
	Amount  quantity.Number // g, or pieces
	ByCount bool            // Amount is pieces
	Word    string          // of the pieces; "": whichever word the lines have
}

// Limit is how far what is left goes.
type Limit struct {
	Factor quantity.Number
	Name   string // the limiting one; of two that limit alike the first named
	Rest   []Left // what then remains of each, in the order given
}

// FromLeft returns the largest factor that what is left allows, and which
// ingredient limits it. Each is summed over all lines, parts and links. A linked
// formula that is left is taken as made: nothing goes into it any more, so what is left of
// its ingredients serves the rest.
//
//   - Units: g or pieces as each [Left] says.
//   - Range: amounts 0 or more, at least one.
//   - Errors: [ErrNotUsed] with the name; [ErrNoAmount]; [ErrRange]; [ErrDepth]; what
//     keeps an amount from being known ([ErrUnknownMass], [ErrNoPieces], [ErrOpen]).
func FromLeft(f *Formula, left ...Left) (Limit, error) {
	if len(left) == 0 {
		return Limit{}, fmt.Errorf("nothing is left: %w", ErrRange)
	}
	all, err := RollUp(Batch{f, one})
	if err != nil {
		return Limit{}, err
	}
	ready := map[*Formula]bool{}
	for _, l := range left {
		if l.Amount.Sign() < 0 {
			return Limit{}, fmt.Errorf("%s of %s left: %w", l.Amount, l.Name, ErrRange)
		}
		all.markReady(l.Name, ready)
	}
	roll, err := rollUp([]Batch{{f, one}}, ready)
	if err != nil {
		return Limit{}, err
	}
	var limit Limit
	needs := make([]quantity.Number, len(left))
	for i, l := range left {
		if !all.uses(l.Name) {
			return Limit{}, &NotUsedError{l.Name}
		}
		if !roll.uses(l.Name) {
			continue // all of it is in what is taken as made
		}
		if needs[i], err = roll.need(l); err != nil {
			return Limit{}, err
		}
		if factor := l.Amount.Div(needs[i]); limit.Name == "" || factor.Less(limit.Factor) {
			limit.Factor, limit.Name = factor, l.Name
		}
	}
	for i, l := range left {
		l.Amount = l.Amount.Sub(needs[i].Mul(limit.Factor))
		limit.Rest = append(limit.Rest, l)
	}
	return limit, nil
}

// lines calls do with each line that is rolled up and of that ingredient, and
// how much of its formula is made.
func (r *Roll) lines(name string, do func(*Line, *made)) {
	for _, f := range r.order {
		if r.ready[f] {
			continue
		}
		for i := range f.Lines {
			if l := &f.Lines[i]; l.is(name) {
				do(l, r.made[f])
			}
		}
	}
}

func (r *Roll) uses(name string) (found bool) {
	r.lines(name, func(*Line, *made) { found = true })
	return found
}

func (r *Roll) markReady(name string, ready map[*Formula]bool) {
	r.lines(name, func(l *Line, _ *made) {
		if l.Link != nil {
			ready[l.Link] = true
		}
	})
}

// need returns how much of an ingredient is needed, in grams or pieces as asked; above 0.
func (r *Roll) need(left Left) (quantity.Number, error) {
	var sum quantity.Number
	var failed error
	word, worded := left.Word, left.Word != ""
	r.lines(left.Name, func(l *Line, t *made) {
		n, err := r.amount(l, t, left.ByCount)
		if err == nil && left.ByCount && l.Link == nil && !l.Count.IsZero() {
			if worded && l.Word != word {
				err = fmt.Errorf("%s, counted as %q and %q: %w", l.Name, word, l.Word, ErrNoAmount)
			}
			word, worded = l.Word, true
		}
		if err != nil && failed == nil {
			failed = err
		}
		sum = sum.Add(n)
	})
	if failed == nil && sum.Sign() <= 0 {
		failed = fmt.Errorf("%s: %w", left.Name, ErrNoAmount)
	}
	return sum, failed
}

// amount returns what one line needs in grams or pieces; 0 for a line that gives neither.
func (r *Roll) amount(l *Line, t *made, byCount bool) (quantity.Number, error) {
	if t.err != nil {
		return quantity.Number{}, t.err
	}
	if byCount && l.Link != nil {
		per, err := r.draw(l)
		if err == nil && l.Link.Pieces.Sign() <= 0 {
			err = fmt.Errorf("%s: %w", l.Link.Name, ErrNoPieces)
		}
		return per.Mul(t.batches).Mul(l.Link.Pieces), err
	}
	if byCount {
		if l.Count.IsZero() && l.HasMass {
			return quantity.Number{}, fmt.Errorf("%s is weighed: %w", l.Name, ErrNoAmount)
		}
		return l.Count.Mul(t.batches), nil
	}
	mass, has, err := r.m.line(l, 0)
	if err == nil && !has && !l.Count.IsZero() {
		err = fmt.Errorf("%s is counted: %w", l.Name, ErrNoAmount)
	}
	return mass.Mul(t.batches), err
}
