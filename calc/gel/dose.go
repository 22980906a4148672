package gel

import (
	"fmt"

	"tamis/calc/quantity"
)

// Divisions is how many steps of the scale a dose must be to be weighed honestly:
// half a step is then 2.5 % of it.
const Divisions = 20

// Premix is an agent rubbed into a carrier (sugar), to be weighed instead of it. In g, exact.
type Premix struct {
	Parts   quantity.Number // of the premix to one of agent: 10 is 1:9
	Agent   quantity.Number // to weigh once for the premix
	Carrier quantity.Number // to weigh once for the premix
	Weigh   quantity.Number // premix for the dose
	Brings  quantity.Number // carrier that comes with the dose, to take off the recipe's sugar
}

// Dose is a dose against a scale.
type Dose struct {
	Steps   quantity.Number // dose ÷ step
	Small   bool            // under Divisions
	Premix  *Premix         // nil if not small
	Batches quantity.Number // smallest whole number of batches whose dose is honest; 1 if not small
	Grams   quantity.Number // the dose of those batches
}

// Weigh says whether a scale can weigh a dose, and what else to do if it cannot.
//
//   - Formula: small if dose < 20 steps. Premix 1:9 (1:99, 1:999 if that is still small): weigh parts × dose; made from 20 steps of
//     agent, which is more than the dose. Smallest batch: the dose × ⌈20 steps ÷ dose⌉.
//   - Units: g.
//   - Range: dose above 0, step above 0; no premix thinner than 1:999.
//   - Uncertainty: half a step in 20 is 2.5 %; rub the premix well.
//   - Errors: [ErrNegative] if dose is not above 0; [ErrScale].
//   - Source: S-601 (20 divisions, 1:9), S-602.
func Weigh(dose, step quantity.Number) (Dose, error) {
	if dose.Sign() <= 0 {
		return Dose{}, fmt.Errorf("%w: dose %s g", ErrNegative, dose)
	}
	if step.Sign() <= 0 {
		return Dose{}, fmt.Errorf("%w: %s g", ErrScale, step)
	}
	least := step.Mul(quantity.Int(Divisions))
	d := Dose{Steps: dose.Div(step), Batches: one, Grams: dose}
	if !dose.Less(least) {
		return d, nil
	}
	d.Small = true
	d.Batches = least.Div(dose).Ceil()
	d.Grams = dose.Mul(d.Batches)
	for _, parts := range []int64{10, 100, 1000} {
		p := quantity.Int(parts)
		if weigh := dose.Mul(p); !weigh.Less(least) {
			agent := least // dose < least, so this is enough for one dose
			d.Premix = &Premix{Parts: p, Agent: agent, Carrier: agent.Mul(p.Sub(one)), Weigh: weigh, Brings: weigh.Sub(dose)}
			break
		}
	}
	return d, nil
}
