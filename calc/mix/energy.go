package mix

import "tamis/calc/quantity"

// factor is the energy of 1 g of a key.
type factor struct {
	k        Key
	kJ, kcal quantity.Number
}

// factors are the energy conversion factors; fat first, the greatest.
//
//   - Source: Regulation (EU) No 1169/2011, annex XIV. Glycerol is a polyol there
//     (annex I, 10: more than two hydroxyl groups). Erythritol (0) and salatrims
//     (25 kJ) have no key of their own: such a part states its energy.
var factors = [...]factor{
	{Fat, quantity.Int(37), quantity.Int(9)},
	{Alcohol, quantity.Int(29), quantity.Int(7)},
	{Protein, quantity.Int(17), quantity.Int(4)},
	{Sugars, quantity.Int(17), quantity.Int(4)},
	{Starch, quantity.Int(17), quantity.Int(4)},
	{OtherCarbohydrate, quantity.Int(17), quantity.Int(4)},
	{Acid, quantity.Int(13), quantity.Int(3)},
	{Polyols, quantity.Int(10), quantity.Frac(12, 5)},
	{Glycerol, quantity.Int(10), quantity.Frac(12, 5)},
	{Fibre, quantity.Int(8), quantity.Int(2)},
}

var (
	maxKJ, maxKcal         = factors[0].kJ, factors[0].kcal
	alcoholKJ, alcoholKcal = factors[1].kJ, factors[1].kcal
	kJPerKcal              = quantity.MustDecimal("4.184")
)

// Energy is an energy in both units; each is worked out with its own factors,
// so they differ by rounding of the factors.
type Energy struct{ KJ, Kcal Content }

// Energy returns the energy of the whole mixture: what its parts state, else what the
// factors of Regulation (EU) No 1169/2011, annex XIV give. A part that lacks one of fat,
// carbohydrate, polyols, protein, alcohol, fibre or acid makes it "at least".
//
//   - Units: kJ and kcal.
func (m Mixture) Energy() Energy {
	return Energy{KJ: m.content(kilojoule), Kcal: m.content(kilocalorie)}
}

// EnergyPer100 returns the energy of 100 g.
func (m Mixture) EnergyPer100() Energy {
	e := m.Energy()
	return Energy{KJ: m.per100(e.KJ), Kcal: m.per100(e.Kcal)}
}

// energy bounds the energy of 100 g of the part.
func (p Part) energy(bounds *[NumKeys]Content, r room) (kj, kc Content) {
	if p.Energy != nil {
		kcal := p.Energy.Div(kJPerKcal)
		return Content{AtLeast: *p.Energy, AtMost: *p.Energy, Exact: true}, Content{AtLeast: kcal, AtMost: kcal, Exact: true}
	}
	var perJ, perC []quantity.Number
	exact := true
	var most *factor // the greatest that an unknown gram may have
	for i := range factors {
		f := &factors[i]
		b := &bounds[f.k]
		if !b.AtLeast.IsZero() {
			perJ, perC = append(perJ, b.AtLeast.Mul(f.kJ)), append(perC, b.AtLeast.Mul(f.kcal))
		}
		if !b.Exact {
			exact = false
			if most == nil {
				most = f
			}
		}
	}
	kj.AtLeast, kc.AtLeast = quantity.Sum(perJ...), quantity.Sum(perC...)
	kj.AtMost, kc.AtMost = kj.AtLeast, kc.AtLeast
	kj.Exact, kc.Exact = exact, exact
	if !exact {
		kj.AtMost, kc.AtMost = kj.AtLeast.Add(r.g.Mul(most.kJ)), kc.AtLeast.Add(r.g.Mul(most.kcal))
	}
	return kj, kc
}
