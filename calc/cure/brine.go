package cure

import (
	"errors"
	"fmt"

	"tamis/calc/quantity"
)

// Errors of this package. Test with errors.Is.
var (
	// ErrNegative: a mass is below zero.
	ErrNegative = errors.New("mass below zero")
	// ErrMeat: there is no meat, fish or vegetable to salt.
	ErrMeat = errors.New("nothing to salt")
	// ErrStrength: a strength that no brine or cure has.
	ErrStrength = errors.New("strength outside 0 to 26 %")
	// ErrWater: there is more water in it than it weighs, or no brine.
	ErrWater = errors.New("water does not fit")
	// ErrReach: the target cannot be reached with this much brine.
	ErrReach = errors.New("target not within reach")
)

// Caution is a code that bot words for a cook.
type Caution string

// Cautions of this package.
const (
	// CautionCold: it cures in the cold, covered, dated.
	CautionCold Caution = "cure cold"
	// CautionTime: salt moves slowly: how long depends on the thickness; the book says, not this.
	CautionTime Caution = "curing time from the book"
	// CautionLocalCode: preserved meat and fish are under the local code; the person in charge decides.
	CautionLocalCode Caution = "local code"
	// CautionNitrite: weighed to the book, never by eye, never changed.
	CautionNitrite Caution = "curing salt"
)

var (
	hundred = quantity.Int(100)
	zero    quantity.Number
	// saturated is about where cold brine takes no more salt: the CRC table of sodium chloride ends at 26 %.
	saturated = quantity.Int(26)
)

func cautions() []Caution { return []Caution{CautionCold, CautionTime, CautionLocalCode} }

// Brine is salt in water, or a dry cure where Water is 0. In g, exact.
type Brine struct {
	Salt, Water quantity.Number
	// OfMeatAndWater is what kitchens weigh that leave the salt itself out: % of meat and water.
	OfMeatAndWater quantity.Number
	Cautions       []Caution
}

func check(meat, water, percent quantity.Number) error {
	switch {
	case meat.Sign() <= 0:
		return fmt.Errorf("%w: %s g", ErrMeat, meat)
	case water.Sign() < 0:
		return fmt.Errorf("%w: %s g water", ErrNegative, water)
	case percent.Sign() < 0 || saturated.Less(percent):
		return fmt.Errorf("%w: %s %%", ErrStrength, percent)
	}
	return nil
}

// Equilibrium returns the salt of a brine in which everything ends at one
// strength, however long it lies. Water 0 is an equilibrium dry cure.
//
//   - Formula: salt = percent × (meat + water) ÷ (100 − percent); kitchens that leave the salt out of the whole take percent × (meat + water) ÷ 100.
//   - Units: g, % of meat, water and salt together.
//   - Range: meat > 0, 0 to 26 %. Plain salt: never curing salt with nitrite.
//   - Uncertainty: none in the masses. The meat's own salt (0.1 to 0.2 %) is on top, and bone takes none.
//   - Errors: [ErrMeat], [ErrNegative], [ErrStrength].
//   - Source: S-656 (meat and pickle as one system), S-602.
func Equilibrium(meat, water, percent quantity.Number) (Brine, error) {
	if err := check(meat, water, percent); err != nil {
		return Brine{}, err
	}
	all := meat.Add(water)
	return Brine{
		Salt:           percent.Mul(all).Div(hundred.Sub(percent)),
		Water:          water,
		OfMeatAndWater: percent.Mul(all).Div(hundred),
		Cautions:       cautions(),
	}, nil
}

// Strength is what a meat in a brine comes to. In %, exact.
type Strength struct {
	Whole quantity.Number // salt in meat and brine together
	// Meat is salt in the meat and WaterPhase salt in the water of both, if the meat's water is known.
	Meat, WaterPhase quantity.Number
	KnowsWater       bool
	Cautions         []Caution
}

// ComesTo returns the strength that meat in a brine comes to in the end.
//
//   - Formula: whole = 100 × salt ÷ (meat + brine). Salt sits in the water: phase = 100 × salt ÷ (water of both + salt); meat = salt × meat's
//     water ÷ (water of both) ÷ meat, in %.
//   - Units: g; meatWater is the g of water in the meat, 0 if not known.
//   - Range: meat > 0, brine up to 26 % salt.
//   - Uncertainty: the true end lies between Whole and Meat: juices leave, proteins hold water. It is never quite reached.
//   - Errors: [ErrMeat], [ErrNegative], [ErrStrength]; [ErrWater] if the meat holds more water than it weighs, or there is no brine.
//   - Source: S-656 (whole), S-602 (water phase).
func ComesTo(meat, meatWater, salt, water quantity.Number) (Strength, error) {
	if salt.Sign() < 0 || meatWater.Sign() < 0 {
		return Strength{}, fmt.Errorf("%w: %s g salt, %s g water in the meat", ErrNegative, salt, meatWater)
	}
	if err := check(meat, water, zero); err != nil {
		return Strength{}, err
	}
	brine := salt.Add(water)
	if brine.IsZero() || meat.Less(meatWater) {
		return Strength{}, fmt.Errorf("%w: %s g in %s g meat, %s g brine", ErrWater, meatWater, meat, brine)
	}
	if water.Sign() > 0 && saturated.Less(salt.Div(brine).Mul(hundred)) {
		return Strength{}, fmt.Errorf("%w: %s g salt in %s g water", ErrStrength, salt, water)
	}
	s := Strength{Whole: salt.Div(meat.Add(brine)).Mul(hundred), Cautions: cautions()}
	if both := meatWater.Add(water); meatWater.Sign() > 0 {
		s.KnowsWater = true
		s.WaterPhase = salt.Div(both.Add(salt)).Mul(hundred)
		s.Meat = salt.Mul(meatWater).Div(both).Div(meat).Mul(hundred)
	}
	return s, nil
}

// Make returns the salt and water of a brine of a strength.
//
//   - Formula: salt = total × percent ÷ 100, water the rest.
//   - Units: g, %.
//   - Range: 0 to 26 %.
//   - Uncertainty: none.
//   - Errors: [ErrNegative], [ErrStrength].
//   - Source: S-602.
func Make(total, percent quantity.Number) (salt, water quantity.Number, err error) {
	if total.Sign() < 0 {
		return zero, zero, fmt.Errorf("%w: %s g", ErrNegative, total)
	}
	if percent.Sign() < 0 || saturated.Less(percent) {
		return zero, zero, fmt.Errorf("%w: %s %%", ErrStrength, percent)
	}
	salt = total.Mul(percent).Div(hundred)
	return salt, total.Sub(salt), nil
}

// Pumped is a meat with brine injected. In g and %, exact.
type Pumped struct {
	Brine    quantity.Number // to inject
	Reads    quantity.Number // what the meat must weigh afterwards
	Salt     quantity.Number // that goes in
	OfGreen  quantity.Number // % of the meat before
	OfPumped quantity.Number // % of the meat with the brine
	Cautions []Caution
}

// Inject returns what pumping a brine into meat brings.
//
//   - Formula: brine = meat × pump ÷ 100; salt = brine × strength ÷ 100; of the green weight and of meat and brine.
//   - Units: g; pump in % of the meat before, strength in % of the brine.
//   - Range: meat > 0, pump 0 to 100, strength 0 to 26 %.
//   - Uncertainty: brine drips out: weigh the meat after resting and take what it gained.
//   - Errors: [ErrMeat], [ErrStrength], [ErrReach] for a pump outside 0 to 100 %.
//   - Source: S-656; checked against S-657.
func Inject(meat, pump, strength quantity.Number) (Pumped, error) {
	if err := check(meat, zero, strength); err != nil {
		return Pumped{}, err
	}
	if pump.Sign() < 0 || hundred.Less(pump) {
		return Pumped{}, fmt.Errorf("%w: pump of %s %%", ErrReach, pump)
	}
	p := Pumped{Brine: meat.Mul(pump).Div(hundred), Cautions: cautions()}
	p.Salt = p.Brine.Mul(strength).Div(hundred)
	p.Reads = meat.Add(p.Brine)
	p.OfGreen, p.OfPumped = p.Salt.Div(meat).Mul(hundred), p.Salt.Div(p.Reads).Mul(hundred)
	return p, nil
}

// InjectionFor returns the strength of the brine that brings pumped meat to a share of salt.
//
//   - Formula: strength = target × (100 + pump) ÷ pump.
//   - Units: %, target of the meat with the brine.
//   - Range: pump above 0 to 100; the brine at most 26 %.
//   - Uncertainty: as [Inject].
//   - Errors: [ErrReach] if the brine would have to be stronger or the pump is outside its range; [ErrStrength].
//   - Source: S-656, S-602.
func InjectionFor(pump, target quantity.Number) (quantity.Number, error) {
	if target.Sign() < 0 || saturated.Less(target) {
		return zero, fmt.Errorf("%w: %s %%", ErrStrength, target)
	}
	if pump.Sign() <= 0 || hundred.Less(pump) {
		return zero, fmt.Errorf("%w: pump of %s %%", ErrReach, pump)
	}
	s := target.Mul(hundred.Add(pump)).Div(pump)
	if saturated.Less(s) {
		return zero, fmt.Errorf("%w: a brine of %s %%", ErrReach, s.Fixed(1))
	}
	return s, nil
}
