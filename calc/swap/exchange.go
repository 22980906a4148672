package swap

import (
	"fmt"
	"math"
	"slices"

	"tamis/calc/gel"
	"tamis/calc/quantity"
	"tamis/calc/sugar"
)

// Exchange is how much goes in for a mass, in g, not rounded.
type Exchange struct {
	Equivalence
	Of        quantity.Number // the mass it stands for
	To        quantity.Number
	Low, High quantity.Number // of To
	// With goes in with it; below 0 it comes off what the recipe has of it.
	With     quantity.Number
	WithName string
	// ByLeaf is To by leaf for leaf, of ByBloom: see [gel.Conversion].
	ByLeaf quantity.Number
}

// Apply works an exchange out for a mass and the two ingredients at hand, and what goes with them (ignored if nothing does).
//
//   - Formula: ByFactor mass × factor; ByKeep mass × keep of from ÷ keep of to, with making up the rest of its own function; BySquare as [sugar.Square];
//     ByBloom by the square root, as [gel.Convert]; ByDosage mass × middle dosage of to ÷ middle of from, gelatine first turned into 200 Bloom.
//   - Units: g; exact but for the root, to 1 mg.
//   - Range: mass 0 or more.
//   - Uncertainty: Low to High; of ByDosage the two ends of the dosages.
//   - Errors: [ErrMass]; [ErrUnknown] if a composition does not tell what is kept; [ErrNotEquivalent] if it cannot be reached: nothing of it in to, or the
//     target not between the two; gel.ErrBloom and gel.ErrBloomRange.
//   - Source: the equivalence's own.
func Apply(e Equivalence, mass quantity.Number, from, to, with Ingredient) (Exchange, error) {
	if mass.Sign() < 0 {
		return Exchange{}, fmt.Errorf("%w: %s g", ErrMass, mass)
	}
	x := Exchange{Equivalence: e, Of: mass}
	if len(e.With) > 0 {
		x.WithName = e.With[0]
		if matches(e.With, with.Name) {
			x.WithName = with.Name
		} else if e.Rule != ByFactor {
			return Exchange{}, fmt.Errorf("%w: %s goes with it, not %q", ErrNotEquivalent, e.With[0], with.Name)
		}
	}
	var err error
	switch e.Rule {
	case ByFactor:
		x.To, x.Low, x.High = mass.Mul(e.Factor), mass.Mul(e.Low), mass.Mul(e.High)
		x.With = mass.Mul(e.WithFactor)
		return x, nil
	case ByKeep:
		err = x.keep(from, to, with)
	case BySquare:
		err = x.square(from, to, with)
	case ByBloom:
		var c gel.Conversion
		c, err = gel.Convert(mass, from.Bloom, to.Bloom)
		x.To, x.ByLeaf = c.BySquareRoot, c.ByLeaf
	case ByDosage:
		return x, x.dosage(from, to)
	default:
		err = fmt.Errorf("%w: rule %q", ErrNotEquivalent, e.Rule)
	}
	if err != nil {
		return Exchange{}, err
	}
	x.Low, x.High = x.To, x.To
	return x, nil
}

// exactly is what 100 g bring, or an error.
func exactly(in Ingredient, f Function) (quantity.Number, error) {
	c := in.Per100(f)
	if !c.Exact {
		return zero, fmt.Errorf("%w: %s of %s", ErrUnknown, f, in.Name)
	}
	return c.AtLeast, nil
}

func (x *Exchange) keep(from, to, with Ingredient) error {
	have, err := exactly(from, x.Keep)
	if err != nil {
		return err
	}
	per, err := exactly(to, x.Keep)
	if err != nil {
		return err
	}
	if per.IsZero() || have.IsZero() {
		return fmt.Errorf("%w: %s of %s and %s", ErrNotEquivalent, x.Keep, from.Name, to.Name)
	}
	x.To = x.Of.Mul(have).Div(per)
	if len(x.Equivalence.With) == 0 {
		return nil
	}
	var c [3]quantity.Number
	for i, in := range []Ingredient{from, to, with} {
		if c[i], err = exactly(in, x.WithKeep); err != nil {
			return err
		}
	}
	if c[2].IsZero() {
		return fmt.Errorf("%w: no %s in %s", ErrNotEquivalent, x.WithKeep, with.Name)
	}
	x.With = x.Of.Mul(c[0]).Sub(x.To.Mul(c[1])).Div(c[2])
	return nil
}

func (x *Exchange) square(from, to, with Ingredient) error {
	var c [3]quantity.Number
	var err error
	for i, in := range []Ingredient{from, to, with} {
		if c[i], err = exactly(in, x.Keep); err != nil {
			return err
		}
	}
	if x.To, x.With, err = sugar.Square(c[1], c[2], c[0], x.Of); err != nil {
		return fmt.Errorf("%w: %s: %w", ErrNotEquivalent, x.Keep, err)
	}
	if x.To.IsZero() && !x.Of.IsZero() {
		return fmt.Errorf("%w: %s alone does it", ErrNotEquivalent, with.Name)
	}
	return nil
}

// tableBloom is the strength that the dosages of gelatine are given for.
var tableBloom = quantity.Int(200)

func (x *Exchange) dosage(from, to Ingredient) error {
	d, err := x.doses()
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNotEquivalent, err)
	}
	mass := x.Of
	if from.Gelatine {
		c, err := gel.Convert(mass, from.Bloom, tableBloom)
		if err != nil {
			return err
		}
		mass = c.BySquareRoot
	}
	root := one
	if to.Gelatine {
		c, err := gel.Convert(hundred, tableBloom, to.Bloom)
		if err != nil {
			return err
		}
		root = c.BySquareRoot.Div(hundred)
	}
	mass = mass.Mul(root)
	low, high := mass.Mul(d[1].Low).Div(d[0].Low), mass.Mul(d[1].High).Div(d[0].High)
	if high.Less(low) {
		low, high = high, low
	}
	x.Low, x.High = low, high
	x.To = mass.Mul(d[1].Low.Add(d[1].High)).Div(d[0].Low.Add(d[0].High))
	return nil
}

// Put puts an exchange into a recipe for a line, or the part of it that is missing, and tells every function before and after. Unlike [Find]
// it follows the trade's rule: the mass of the recipe may change. What must come off is taken off the line of that name.
//
//   - Units: g, rounded to the scales.
//   - Range: one line; x.Of is at most its mass.
//   - Uncertainty: that of the exchange and the compositions.
//   - Errors: [ErrLocked], [ErrLine], [ErrMass]. The last result is what could not be taken off because the recipe has too little of it, in g.
//   - Source: S-602 and the exchange's own.
func Put(r Recipe, line int, x Exchange, to, with Ingredient, scales []quantity.Scale) (Offer, quantity.Number, error) {
	if line < 0 || line >= len(r.Lines) {
		return Offer{}, zero, fmt.Errorf("%w: %d", ErrLine, line)
	}
	l := &r.Lines[line]
	if l.Lock != Unlocked {
		return Offer{}, zero, &LockedError{l.Name, l.Lock}
	}
	if x.Of.Sign() <= 0 || l.Mass.Less(x.Of) || x.To.Sign() < 0 {
		return Offer{}, zero, fmt.Errorf("%w: %s g of %s g %s", ErrMass, x.Of, l.Mass, l.Name)
	}
	var left quantity.Number
	o := Offer{Kept: true, InCategory: l.Category == to.Category}
	rest := l.Mass.Sub(x.Of)
	o.Changes = append(o.Changes, Change{Name: l.Name, Line: line, Was: l.Mass, Now: rest, Shown: quantity.Round(rest, scales)})
	fresh := map[string]Ingredient{}
	add := func(in Ingredient, mass quantity.Number) {
		at := slices.IndexFunc(r.Lines, func(o Line) bool { return o.Name == in.Name && o.Lock == Unlocked })
		c := Change{Name: in.Name, Line: at}
		if at == line { // the same in its own place
			c.Line, at = -1, -1
		}
		if at >= 0 {
			c.Was = r.Lines[at].Mass
		} else {
			fresh[in.Name] = in
		}
		now := c.Was.Add(mass)
		if now.Sign() < 0 {
			left, now = now.Neg(), zero
		}
		c.Shown = quantity.Round(now, scales)
		c.Now = c.Shown.Shown
		o.Changes = append(o.Changes, c)
	}
	add(to, x.To)
	if !x.With.IsZero() {
		add(with, x.With)
	}
	s := &search{r: r, mass: r.Mass()}
	s.init()
	for name := range fresh {
		in := fresh[name]
		s.actors = append(s.actors, actor{in: &in, line: -1})
	}
	s.tell(&o)
	for _, e := range o.Effects {
		switch e.Keeps {
		case Off:
			o.Lost = append(o.Lost, e.What)
		case Unsure:
			o.Unsure = append(o.Unsure, e.What)
		}
	}
	o.Kept = len(o.Lost) == 0
	o.Off = offOf(o.Effects, s)
	return o, left, nil
}

// offOf is how far all functions are off together, in %.
func offOf(effects []Effect, s *search) quantity.Number {
	var sum, n float64
	for _, e := range effects {
		if e.What == Total || e.Diff.Open {
			continue
		}
		off := middle(e.Diff).Float() / s.unit(e.What).Float()
		sum, n = sum+off*off, n+1
	}
	off, err := quantity.FromFloat(100*math.Sqrt(sum/math.Max(n, 1)), 2)
	if err != nil {
		return zero
	}
	return off
}

// Shortage is what to do where only part of a line is there.
type Shortage struct {
	Factor quantity.Number   // make this much of the recipe: left ÷ what it asks for
	Lines  []quantity.Number // each line × Factor, g, exact
	Total  quantity.Number   // g
	Rest   quantity.Number   // what is missing of the line, to swap, g
	// Lock is why the rest may not be swapped; "" if it may: then [Find] with Missing{line, left}.
	Lock Lock
}

// Short returns both ways out where only part of a line is there: less of the recipe, or a swap of the rest.
//
//   - Formula: factor = left ÷ mass of the line; each line × factor.
//   - Units: g.
//   - Range: left from 0 to less than the line.
//   - Uncertainty: none.
//   - Errors: [ErrLine]; [ErrMass] if nothing is short or left is below 0.
//   - Source: S-602.
func Short(r Recipe, line int, left quantity.Number) (Shortage, error) {
	if line < 0 || line >= len(r.Lines) {
		return Shortage{}, fmt.Errorf("%w: %d", ErrLine, line)
	}
	l := &r.Lines[line]
	if left.Sign() < 0 || !left.Less(l.Mass) {
		return Shortage{}, fmt.Errorf("%w: %s g left of %s g %s", ErrMass, left, l.Mass, l.Name)
	}
	s := Shortage{Factor: left.Div(l.Mass), Rest: l.Mass.Sub(left), Lock: l.Lock}
	for _, l := range r.Lines {
		s.Lines = append(s.Lines, l.Mass.Mul(s.Factor))
	}
	s.Total = quantity.Sum(s.Lines...)
	return s, nil
}
