package chocolate

import (
	"errors"
	"fmt"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrUnknown: fat or water of the mixture is not known, or it has no mass.
	ErrUnknown = errors.New("fat or water not known")
	// ErrNegative: a mass is below zero.
	ErrNegative = errors.New("mass below zero")
	// ErrKind: no temper curve for that chocolate.
	ErrKind = errors.New("unknown kind of chocolate")
)

// Texture is what a ganache of chocolate and cream becomes when it is cold. Codes that bot words.
type Texture uint8

// Textures, firm to thin.
const (
	Firm Texture = iota // to cut and dip
	Roll                // to roll as truffles
	Pipe
	Pour // glaze, sauce
)

// String returns a short name for logs.
func (t Texture) String() string { return [...]string{"firm", "roll", "pipe", "pour"}[t] }

// Effect is what a share does to a ganache. Codes that bot words.
type Effect string

// Effects on a ganache.
const (
	EffectSplits    Effect = "splits easily"       // much fat to little water
	EffectKeepsLess Effect = "keeps less"          // much water
	EffectSoft      Effect = "stays soft"          // little fat that sets
	EffectNoCocoa   Effect = "no cocoa butter"     // nothing that sets it: not a ganache
	EffectNotKnown  Effect = "fats not told apart" // cocoa butter or milk fat not known
)

var (
	hundred = quantity.Int(100)
	// Limits, S-653: the guide's water; and of kitchens, S-601.
	mostWater    = quantity.Int(20)                                                           // % of all, for keeping
	mostPerWater = quantity.Frac(5, 2)                                                        // g fat to 1 g water
	leastCocoa   = quantity.Int(12)                                                           // % of all, for setting
	textures     = [...]quantity.Number{quantity.Int(18), quantity.Int(24), quantity.Int(28)} // % water
)

// Ganache is what a mixture is made of and what that does. Shares in % of all, exact.
type Ganache struct {
	Fat, Water           quantity.Number
	Sugars               quantity.Number
	KnowsSugars          bool
	CocoaButter, MilkFat quantity.Number
	KnowsFats            bool
	FatPerWater          quantity.Number // g fat to 1 g water
	WaterToBind          quantity.Number // g of water that bring a splitting one back under the limit; 0 if it is under it
	Texture              Texture
	Effects              []Effect
}

// Weigh returns fat and water of a ganache and what they do.
//
//   - Formula: shares = 100 × g ÷ mass. Splits easily above 2.5 g fat to 1 g water; keeps less above 20 % water; stays soft under 12 %
//     cocoa butter. Texture by water: to 18 % firm, to 24 roll, to 28 pipe, above pour. Water to bind = fat ÷ 2.5 − water.
//   - Units: g, %.
//   - Range: chocolate with cream, milk, butter, purée; fat and water known and above 0.
//   - Uncertainty: 3 points of water between textures: cocoa and the working move them.
//   - Errors: [ErrUnknown].
//   - Source: S-653 (20 % water), S-601 (the other limits), S-602.
func Weigh(m mix.Mixture) (Ganache, error) {
	fat, water := m.Grams(mix.Fat), m.Grams(mix.Water)
	if !fat.Exact || !water.Exact || m.Mass().Sign() <= 0 || water.AtLeast.Sign() <= 0 || fat.AtLeast.Sign() <= 0 {
		return Ganache{}, fmt.Errorf("%w: fat %s g, water %s g of %s g", ErrUnknown, fat, water, m.Mass())
	}
	share := func(n quantity.Number) quantity.Number { return n.Div(m.Mass()).Mul(hundred) }
	out := Ganache{Fat: share(fat.AtLeast), Water: share(water.AtLeast), FatPerWater: fat.AtLeast.Div(water.AtLeast)}
	if s := m.Grams(mix.Sugars); s.Exact {
		out.Sugars, out.KnowsSugars = share(s.AtLeast), true
	}
	cocoa, milk := m.Grams(mix.CocoaButter), m.Grams(mix.MilkFat)
	if cocoa.Exact && milk.Exact {
		out.CocoaButter, out.MilkFat, out.KnowsFats = share(cocoa.AtLeast), share(milk.AtLeast), true
	}
	for out.Texture < Pour && textures[out.Texture].Less(out.Water) {
		out.Texture++
	}
	out.judge(fat.AtLeast, water.AtLeast)
	return out, nil
}

func (g *Ganache) judge(fat, water quantity.Number) {
	if mostPerWater.Less(g.FatPerWater) {
		g.Effects = append(g.Effects, EffectSplits)
		g.WaterToBind = fat.Div(mostPerWater).Sub(water)
	}
	if mostWater.Less(g.Water) {
		g.Effects = append(g.Effects, EffectKeepsLess)
	}
	switch {
	case !g.KnowsFats:
		g.Effects = append(g.Effects, EffectNotKnown)
	case g.CocoaButter.IsZero():
		g.Effects = append(g.Effects, EffectNoCocoa)
	case g.CocoaButter.Less(leastCocoa):
		g.Effects = append(g.Effects, EffectSoft)
	}
}
