package swap

import (
	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Duty is one thing that a line does in its recipe.
type Duty struct {
	What  Function
	Grams mix.Content // by the line
	Of    mix.Content // in the whole recipe
	// Share of the recipe's, in %; 0 and false if either is not exact.
	Share      quantity.Number
	KnowsShare bool
}

// Duties returns what a line does in its recipe: every function it has a part in.
//
//   - Formula: mass × per 100 g; share = the line's ÷ the recipe's.
//   - Units: g, %; GelStrength as g of gelatine of 200 Bloom, of the line and of the recipe.
//   - Range: any line of a mass above 0.
//   - Uncertainty: that of the composition; unknown values lie within bounds.
//   - Errors: [ErrLine].
//   - Source: S-702 to S-706, as [Ingredient.Per100].
func Duties(r Recipe, line int) ([]Duty, error) {
	if line < 0 || line >= len(r.Lines) {
		return nil, ErrLine
	}
	own, all := r.parts()[line:line+1], r.parts()
	var out []Duty
	for f := range Total {
		d := Duty{What: f, Grams: gramsOf(own, f)}
		if d.Grams.AtMost.IsZero() {
			continue
		}
		d.Of = gramsOf(all, f)
		if d.Grams.Exact && d.Of.Exact && d.Of.AtLeast.Sign() > 0 {
			d.Share, d.KnowsShare = d.Grams.AtLeast.Div(d.Of.AtLeast).Mul(hundred), true
		}
		out = append(out, d)
	}
	return out, nil
}

// kept are the functions that are kept by default, none of them a part of another.
var kept = []Function{Water, Fat, Sugars, Sweetness, FreezingPower, MilkSolids, Protein, GelStrength, Salt, Acid, Alcohol, Starch, Emulsifier}

// WishesFor returns what should be kept where these lines are missing: what they bring a good part of is hard, the rest is
// kept as near as may be, so that nothing new comes in unasked. The caller takes out what does not matter for the
// kind of product (freezing power of a cake).
//
//   - Formula: hard, within 10 %, where the missing mass brings 20 % of the recipe's or more, known exactly; else soft, of half the weight where it brings under 2 %.
//   - Units: none.
//   - Range: no single sugars, milk fat or total; cocoa butter where it is most of the missing fat, emulsifier where it is hard.
//   - Uncertainty: the shares are our choice.
//   - Errors: as [Find] of what is missing.
//   - Source: S-707.
func WishesFor(r Recipe, missing []Missing) ([]Wish, error) {
	gaps, err := r.deficit(missing)
	if err != nil {
		return nil, err
	}
	all := r.parts()
	var gone []part
	for i, g := range gaps {
		if !g.IsZero() {
			gone = append(gone, part{&r.Lines[i].Ingredient, g})
		}
	}
	var out []Wish
	for _, f := range append([]Function{CocoaButter}, kept...) {
		bring := gramsOf(gone, f)
		lost, of := bring.Middle(), gramsOf(all, f).Middle()
		share := zero
		if of.Sign() > 0 {
			share = lost.Div(of)
		}
		switch {
		case f == CocoaButter && (lost.IsZero() || lost.Mul(two).Less(gramsOf(gone, Fat).Middle())):
		case f == Emulsifier && share.Less(pct("20")): // hardly any ingredient states it
		case !share.Less(pct("20")) && bring.Exact:
			out = append(out, Wish{What: f, Weight: 1, Tolerance: pct("10")})
		case share.Less(pct("2")):
			out = append(out, Wish{What: f, Weight: 0.5})
		default:
			out = append(out, Wish{What: f, Weight: 1})
		}
	}
	return out, nil
}
