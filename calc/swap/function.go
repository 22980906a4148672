package swap

import (
	"fmt"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Function is what an ingredient does in a recipe, as far as a number says it.
type Function uint8

// The functions. All but GelStrength and Total add up over the lines, in g.
const (
	Water Function = iota
	Fat
	MilkFat
	CocoaButter
	Sucrose
	Glucose
	Fructose
	Lactose
	Maltose
	Sugars        // all five and what the table does not tell apart
	Sweetness     // g of sucrose that taste as sweet
	FreezingPower // g of sucrose that lower the freezing point as much
	MilkSolids    // milk solids-not-fat
	Protein
	GelStrength // g of gelatine of 200 Bloom in 100 g of water
	Salt
	Acid
	Alcohol // by mass
	Starch
	Emulsifier // phospholipids, mono- and diglycerides
	Total      // mass; always kept exactly
	NumFunctions
)

var functionNames = [NumFunctions]string{
	"water", "fat", "milk fat", "cocoa butter", "sucrose", "glucose", "fructose", "lactose", "maltose", "sugars", "sweetness",
	"freezing power", "milk solids-not-fat", "protein", "gel strength", "salt", "acid", "alcohol", "starch", "emulsifier", "total",
}

// String returns the function's name as facts write it.
func (f Function) String() string {
	if f >= NumFunctions {
		return fmt.Sprintf("function %d", uint8(f))
	}
	return functionNames[f]
}

// FunctionNamed returns the function with that exact name.
//
//   - Errors: none; false if there is none.
func FunctionNamed(s string) (Function, bool) {
	for f, n := range functionNames {
		if n == s {
			return Function(f), true
		}
	}
	return 0, false
}

// keyOf gives the key of a function that is a component as it is.
var keyOf = map[Function]mix.Key{
	Water: mix.Water, Fat: mix.Fat, MilkFat: mix.MilkFat, CocoaButter: mix.CocoaButter, Sucrose: mix.Sucrose, Glucose: mix.Glucose,
	Fructose: mix.Fructose, Lactose: mix.Lactose, Maltose: mix.Maltose, Sugars: mix.Sugars, Protein: mix.Protein, Salt: mix.Salt,
	Acid: mix.Acid, Alcohol: mix.Alcohol, Starch: mix.Starch,
}

// floors are the shares of the recipe's mass below which a function's change is measured against this share
// instead of against what there was: 0.1 g more salt matters where there was none, and 5 % of it does not.
var floors = [NumFunctions]quantity.Number{
	Water: pct("1"), Fat: pct("1"), MilkFat: pct("1"), CocoaButter: pct("1"), Sucrose: pct("1"), Glucose: pct("1"), Fructose: pct("1"),
	Lactose: pct("1"), Maltose: pct("1"), Sugars: pct("1"), Sweetness: pct("1"), FreezingPower: pct("1"), MilkSolids: pct("0.5"),
	Protein: pct("0.5"), GelStrength: pct("0.1"), Salt: pct("0.1"), Acid: pct("0.1"), Alcohol: pct("0.5"), Starch: pct("0.5"),
	Emulsifier: pct("0.2"), Total: pct("1"),
}

func pct(s string) quantity.Number { return quantity.MustDecimal(s).Div(hundred) }

var (
	zero    quantity.Number
	one     = quantity.Int(1)
	two     = quantity.Int(2)
	hundred = quantity.Int(100)
)

// Ingredient is what is known of one ingredient.
type Ingredient struct {
	Name     string
	Category string // as the larder has it: "sugar", "dairy"
	Comp     mix.Composition
	Milk     mix.Milk
	// Bloom of a gelatine, g; 0: none, or not known if Gelatine is set.
	Bloom    quantity.Number
	Gelatine bool
	// DE is the dextrose equivalent of a starch syrup or powder, in %; nil: none.
	DE *quantity.Number
	// Sweetness and Freezing stand in place of what the composition gives: g of sucrose that 100 g count as. nil: from the
	// composition. For polyols and trehalose, which a composition does not tell apart: see [Complete].
	Sweetness, Freezing *quantity.Number
	// Emulsifier in 100 g, g; nil: not stated, at most its fat. See [Complete].
	Emulsifier *quantity.Number
}

func known(n quantity.Number) mix.Content {
	return mix.Content{AtLeast: n, AtMost: n, Exact: true}
}

// Per100 returns what 100 g of the ingredient bring of a function.
//
//   - Formula: components as the composition has them. Sweetness: Σ sugar × its sweetness (S-702); sugars that are not told apart lie between
//     the least and the most sweet that they may be, but up to 5 % of all count like the rest; dextrins count 0. Freezing power: 1 × disaccharides + 1.9 × monosaccharides,
//     DE ÷ 100 × solids of starch syrups under DE 80 (S-703), 7.43 × alcohol, 3.72 × glycerol, and of salts the greater of 11.71 × salt
//     (S-702) and 0.395 × milk solids-not-fat (S-703: 0.0237 °C for 1 g in 100 g of water, over 0.060 °C for sucrose). Gel strength: 100 × √(Bloom ÷ 200), S-704.
//   - Units: g in 100 g; GelStrength in g of gelatine of 200 Bloom.
//   - Range: any ingredient; what is not known lies within bounds.
//   - Uncertainty: sweetness of one sugar by 3 % between two tables; it falls when cold.
//   - Errors: none; nothing is known of a function that does not exist.
//   - Source: S-702, S-703, S-704.
func (in Ingredient) Per100(f Function) mix.Content {
	if k, ok := keyOf[f]; ok {
		if n, ok := in.Comp.Get(k); ok {
			return known(n)
		}
		return in.named(in.Comp.Bounds(k))
	}
	switch f {
	case Sweetness:
		return in.named(in.sweetness())
	case FreezingPower:
		return in.named(in.freezing())
	case MilkSolids:
		return in.named(in.milkSolids())
	case GelStrength:
		return in.named(in.gelStrength())
	case Emulsifier:
		return in.named(in.emulsifier())
	case Total:
		return known(hundred)
	}
	return mix.Content{AtMost: hundred, Missing: []string{in.Name}}
}

func (in Ingredient) named(c mix.Content) mix.Content {
	if !c.Exact && c.Missing == nil {
		c.Missing = []string{in.Name}
	}
	return c
}

var sugarKeys = [...]mix.Key{mix.Sucrose, mix.Glucose, mix.Fructose, mix.Lactose, mix.Maltose}

// sugarsBy weighs the sugars; those that are not told apart lie between the least and the greatest factor they may have.
func (in Ingredient) sugarsBy(factor func(mix.Key) quantity.Number) mix.Content {
	var sum, told, least, most quantity.Number
	open := false
	for _, k := range sugarKeys {
		n, ok := in.Comp.Get(k)
		w := factor(k)
		switch {
		case !ok && !open:
			open, least, most = true, w, w
		case !ok && w.Less(least):
			least = w
		case !ok && most.Less(w):
			most = w
		case ok && !n.IsZero():
			sum, told = sum.Add(n.Mul(w)), told.Add(n)
		}
	}
	if !open {
		return in.untold(sum, told, factor)
	}
	all := in.Comp.Bounds(mix.Sugars)
	lo, hi := atLeastZero(all.AtLeast.Sub(told)), atLeastZero(all.AtMost.Sub(told))
	if hi.IsZero() {
		return known(sum)
	}
	return mix.Content{AtLeast: sum.Add(lo.Mul(least)), AtMost: sum.Add(hi.Mul(most)), Exact: all.Exact && least.Equal(most)}
}

// untold adds what the table counts among the sugars beyond the five it tells apart: up to 5 % of them are like the rest (S-707), more lies between the
// least and the greatest factor of any.
func (in Ingredient) untold(sum, told quantity.Number, factor func(mix.Key) quantity.Number) mix.Content {
	all, ok := in.Comp.Get(mix.Sugars)
	rest := all.Sub(told)
	if !ok || rest.Sign() <= 0 {
		return known(sum)
	}
	if !all.Mul(pct("5")).Less(rest) {
		return known(sum.Mul(all).Div(told))
	}
	least, most := factor(sugarKeys[0]), factor(sugarKeys[0])
	for _, k := range sugarKeys {
		if f := factor(k); f.Less(least) {
			least = f
		} else if most.Less(f) {
			most = f
		}
	}
	return mix.Content{AtLeast: sum.Add(rest.Mul(least)), AtMost: sum.Add(rest.Mul(most))}
}

func (in Ingredient) sweetness() mix.Content {
	if in.Sweetness != nil {
		return known(*in.Sweetness)
	}
	s := sweeteners()
	c := in.sugarsBy(func(k mix.Key) quantity.Number { return s.sweet[k] })
	c = plus(c, in.times(mix.Polyols, s.polyolSweet[0], s.polyolSweet[1]))
	return plus(c, in.times(mix.Glycerol, s.glycerolSweet, s.glycerolSweet))
}

func (in Ingredient) freezing() mix.Content {
	if in.Freezing != nil {
		return known(*in.Freezing)
	}
	s := sweeteners()
	var c mix.Content
	if in.DE != nil && in.DE.Less(purest) {
		c = in.starchSyrup(s)
	} else {
		c = in.sugarsBy(func(k mix.Key) quantity.Number { return s.freeze[k] })
	}
	c = plus(c, in.times(mix.Polyols, s.polyolFreeze[0], s.polyolFreeze[1]))
	c = plus(c, in.times(mix.Glycerol, s.glycerolFreeze, s.glycerolFreeze))
	c = plus(c, in.times(mix.Alcohol, s.ethanolFreeze, s.ethanolFreeze))
	return plus(c, greater(in.times(mix.Salt, s.saltFreeze, s.saltFreeze), scaled(in.milkSolids(), s.milkSaltFreeze)))
}

// purest is the DE from which a starch sugar is counted by its sugars: dextrose has 100 and is no syrup.
var purest = quantity.Int(80)

// starchSyrup counts glucose, maltose and dextrins together by the DE, other sugars each by itself.
func (in Ingredient) starchSyrup(s *sweetenerTable) mix.Content {
	de := in.DE.Div(hundred)
	c := in.times(mix.OtherCarbohydrate, de, de)
	for _, k := range sugarKeys {
		w := s.freeze[k]
		if k == mix.Glucose || k == mix.Maltose {
			w = de
		}
		c = plus(c, in.times(k, w, w))
	}
	return c
}

func (in Ingredient) times(k mix.Key, least, most quantity.Number) mix.Content {
	n, ok := in.Comp.Get(k)
	if ok && n.IsZero() {
		return known(zero)
	}
	c := known(n)
	if !ok {
		c = in.Comp.Bounds(k)
	}
	return mix.Content{AtLeast: c.AtLeast.Mul(least), AtMost: c.AtMost.Mul(most), Exact: c.Exact && (least.Equal(most) || c.AtMost.IsZero())}
}

func (in Ingredient) milkSolids() mix.Content {
	switch in.Milk {
	case mix.NoMilk:
		return known(zero)
	case mix.AllMilk:
		p, ok1 := in.Comp.Get(mix.Protein)
		l, ok2 := in.Comp.Get(mix.Lactose)
		a, ok3 := in.Comp.Get(mix.Ash)
		if ok1 && ok2 && ok3 {
			return known(quantity.Sum(p, l, a))
		}
	}
	m, err := mix.Part{Name: in.Name, Mass: hundred, Comp: in.Comp, Milk: in.Milk}.Mixture()
	if err != nil { // 100 g are not below zero
		return mix.Content{AtMost: hundred}
	}
	return m.MilkSolidsNotFat()
}

func (in Ingredient) gelStrength() mix.Content {
	switch {
	case in.Bloom.Sign() > 0:
		return known(bloomPower(in.Bloom))
	case in.Gelatine:
		return mix.Content{AtLeast: bloomPower(leastBloom), AtMost: bloomPower(mostBloom)}
	}
	return known(zero)
}

func (in Ingredient) emulsifier() mix.Content {
	if in.Emulsifier != nil {
		return known(*in.Emulsifier)
	}
	f := in.Per100(Fat)
	if f.AtMost.IsZero() {
		return known(zero)
	}
	return mix.Content{AtMost: f.AtMost}
}

// plus adds contents; who is missing is named by the caller.
func plus(a, b mix.Content) mix.Content {
	if b.Exact && b.AtMost.IsZero() {
		return a
	}
	return mix.Content{AtLeast: a.AtLeast.Add(b.AtLeast), AtMost: a.AtMost.Add(b.AtMost), Exact: a.Exact && b.Exact}
}

func greater(a, b mix.Content) mix.Content {
	c := a
	if c.AtLeast.Less(b.AtLeast) {
		c.AtLeast = b.AtLeast
	}
	if c.AtMost.Less(b.AtMost) {
		c.AtMost = b.AtMost
	}
	c.Exact = c.AtLeast.Equal(c.AtMost)
	return c
}

// scaled returns c × k; a negative k turns the bounds round.
func scaled(c mix.Content, k quantity.Number) mix.Content {
	c.AtLeast, c.AtMost = c.AtLeast.Mul(k), c.AtMost.Mul(k)
	if k.Sign() < 0 {
		c.AtLeast, c.AtMost = c.AtMost, c.AtLeast
	}
	return c
}

func atLeastZero(n quantity.Number) quantity.Number {
	if n.Sign() < 0 {
		return zero
	}
	return n
}
