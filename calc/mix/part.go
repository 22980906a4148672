package mix

import (
	"fmt"

	"tamis/calc/quantity"
)

// Milk says whether the solids of a part come from milk, for milk solids-not-fat.
type Milk uint8

// What is known of a part's milk.
const (
	MilkUnknown Milk = iota // nothing; lactose still counts as milk solids
	NoMilk                  // no milk in it
	AllMilk                 // its protein, lactose and ash come from milk: milk, cream, butter, milk powder
)

// Part is one ingredient in a mixture.
type Part struct {
	Name string // for Missing
	Mass quantity.Number
	Comp Composition
	Milk Milk
	// Energy as the label states it, kJ per 100 g; nil: from the composition.
	Energy *quantity.Number
}

// kinds of wholes whose parts are keys of their own
var (
	sugarKeys = [...]Key{Sucrose, Glucose, Fructose, Lactose, Maltose}
	fatKeys   = [...]Key{MilkFat, CocoaButter}
	// topKeys share no gram with each other, but for salt and ash: tables count
	// the salt into the ash, labels give salt alone.
	topKeys = [...]Key{Water, Fat, Protein, Sugars, Starch, Fibre, Polyols, Glycerol, OtherCarbohydrate, Salt, Acid, Ash, Alcohol}
)

var hundred = quantity.Int(100)

// sumOf adds those of keys that c knows and tells whether it knows all.
func (c Composition) sumOf(keys []Key) (sum quantity.Number, all bool) {
	all = true
	for _, k := range keys {
		n, ok := c.Get(k)
		if !ok {
			all = false
			continue
		}
		if !n.IsZero() {
			sum = sum.Add(n)
		}
	}
	return sum, all
}

// floor is the least of k in 100 g: its value, else the sum of its known parts.
func (c Composition) floor(k Key) quantity.Number {
	if n, ok := c.Get(k); ok {
		return n
	}
	var s quantity.Number
	switch k {
	case Fat:
		s, _ = c.sumOf(fatKeys[:])
	case Sugars:
		s, _ = c.sumOf(sugarKeys[:])
	}
	return s
}

// Total is the sum of what c knows, each gram counted once: parts of fat and
// sugars only where the whole is not given, and of salt and ash the greater.
//
//   - Units: g per 100 g. Above 100 the values contradict each other by rounding or worse.
func (c Composition) Total() quantity.Number {
	ns := make([]quantity.Number, 0, len(topKeys))
	for _, k := range topKeys {
		if k == Salt || k == Ash {
			continue
		}
		if n := c.floor(k); !n.IsZero() {
			ns = append(ns, n)
		}
	}
	salt, ash := c.per[Salt], c.per[Ash] // unknown is kept as 0 there
	if ash.Less(salt) {
		ash = salt
	}
	return quantity.Sum(append(ns, ash)...)
}

// Bounds returns what c says of k in 100 g. A value that is not given lies between
// what its known parts come to and what the rest of the 100 g leaves. Exact is true
// where k is given, and where nothing else is possible: all five sugars are given and k is their sum;
// one key alone is 100; the known sugars come to all sugars, the known fats to all fat.
//
//   - Units: g per 100 g. Where the known values come to more than 100 the excess bounds an
//     unknown one: values that contradict each other rule nothing out. Tables that give carbohydrate by
//     difference hide acid, fibre and polyols in it, so known other carbohydrate adds to their upper bound.
func (c Composition) Bounds(k Key) Content { return c.bounds(k, c.room()) }

// room is what 100 g leave for unknown keys.
type room struct {
	g    quantity.Number
	pure bool // one key is all of it
}

func (c Composition) room() room {
	r := room{g: hundred.Sub(c.Total()).Abs()}
	if r.g.IsZero() {
		for _, k := range topKeys {
			r.pure = r.pure || c.floor(k).Equal(hundred)
		}
	}
	return r
}

// bounds does it with the room already known.
func (c Composition) bounds(k Key, r room) Content {
	if n, ok := c.Get(k); ok {
		return Content{AtLeast: n, AtMost: n, Exact: true}
	}
	var lo, hi quantity.Number
	exact := r.pure
	switch k {
	case Sugars:
		s, all := c.sumOf(sugarKeys[:])
		if all {
			return Content{AtLeast: s, AtMost: s, Exact: true}
		}
		lo, hi = s, s.Add(r.g)
	case Fat:
		lo = c.floor(Fat)
		hi = lo.Add(r.g)
	case Sucrose, Glucose, Fructose, Lactose, Maltose:
		hi, exact = c.within(Sugars, sugarKeys[:], r)
	case MilkFat, CocoaButter:
		hi, exact = c.within(Fat, fatKeys[:], r)
	case Salt, Ash: // one may lie in the other
		hi = r.g.Add(c.per[Salt]).Add(c.per[Ash])
	case Acid, Fibre, Polyols, Glycerol, Starch:
		hi = r.g.Add(c.per[OtherCarbohydrate])
	default:
		hi = r.g
	}
	return Content{AtLeast: lo, AtMost: hi, Exact: exact && lo.Equal(hi)}
}

// within bounds a part of a whole, and tells whether the bounds can be trusted to meet.
func (c Composition) within(whole Key, parts []Key, r room) (most quantity.Number, exact bool) {
	w, ok := c.Get(whole)
	if !ok {
		return r.g, r.pure
	}
	s, _ := c.sumOf(parts)
	return w.Sub(s).Abs(), true
}

// Mixture returns the part as a mixture. A part of no mass is nothing at all; for
// what has no stated mass there is [Part.ToTaste].
//
//   - Errors: [ErrMass] if the mass is negative.
func (p Part) Mixture() (Mixture, error) {
	if p.Mass.Sign() < 0 {
		return Mixture{}, fmt.Errorf("%w: %s, %s g", ErrMass, p.Name, p.Mass)
	}
	if p.Mass.IsZero() {
		return Mixture{}, nil
	}
	return p.hundred().Scale(p.Mass.Div(hundred))
}

// ToTaste returns the part as something of no stated mass: it adds none, and
// whatever it may bring has no upper bound any more.
func (p Part) ToTaste() Mixture { return p.hundred().toTaste(p.Name) }

// hundred is 100 g of the part.
func (p Part) hundred() Mixture {
	m := Mixture{mass: hundred}
	room := p.Comp.room()
	var bounds [NumKeys]Content
	for k := range NumKeys {
		bounds[k] = p.Comp.bounds(k, room)
		m.set(component(k), bounds[k])
	}
	m.set(solids, p.solids(&bounds))
	m.set(milkSolids, p.milkSolids(&bounds))
	kj, kc := p.energy(&bounds, room)
	m.set(kilojoule, kj)
	m.set(kilocalorie, kc)
	if m.unknown != 0 {
		m.doubts = []doubt{{p.Name, m.unknown}}
	}
	return m
}

// set lays a content down in a mixture under construction.
func (m *Mixture) set(k component, c Content) {
	m.of[k].lo = c.AtLeast
	if !c.Exact {
		m.of[k].gap = c.AtMost.Sub(c.AtLeast)
		m.unknown |= only(k)
	}
}

// solids of 100 g: all but water and alcohol.
func (p Part) solids(b *[NumKeys]Content) Content {
	w, a := b[Water], b[Alcohol]
	hi := atLeastZero(hundred.Sub(w.AtLeast).Sub(a.AtLeast))
	if w.Exact && a.Exact {
		return Content{AtLeast: hi, AtMost: hi, Exact: true}
	}
	lo := atLeastZero(p.Comp.Total().Sub(w.AtLeast).Sub(a.AtLeast))
	if hi.Less(lo) {
		lo = hi
	}
	return Content{AtLeast: lo, AtMost: hi}
}

// milkSolids of 100 g: protein, lactose and ash, where they come from milk.
func (p Part) milkSolids(b *[NumKeys]Content) Content {
	if p.Milk == NoMilk {
		return Content{Exact: true}
	}
	pr, la, as := b[Protein], b[Lactose], b[Ash]
	c := Content{
		AtLeast: la.AtLeast,
		AtMost:  quantity.Sum(pr.AtMost, la.AtMost, as.AtMost),
	}
	if p.Milk == AllMilk {
		c.AtLeast = quantity.Sum(pr.AtLeast, la.AtLeast, as.AtLeast)
		c.Exact = pr.Exact && la.Exact && as.Exact
	}
	if c.AtMost.IsZero() { // none of the three is in it
		c.Exact = true
	}
	return c
}
