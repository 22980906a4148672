package quantity

// Scale is a scale of the house.
type Scale struct {
	Name  string
	Reads Number // its division in g
	UpTo  Number // its greatest load in g
}

// Rounding is a number before and after it was rounded, and why so.
type Rounding struct {
	Exact, Shown  Number
	Unit          Unit   // of both and of Step
	Step          Number // what Shown is a multiple of; 0 if it was not rounded
	Scale         string // the scale's name, where a scale decided
	UnderHalfStep bool   // there is some, but less than half a step
	FewDivisions  bool   // there is some, but under 20 divisions of the scale
}

// fewDivisions is the number of divisions under which a scale cannot weigh well.
const fewDivisions = 20

func rounding(exact, step Number) Rounding {
	return Rounding{
		Exact: exact, Shown: exact.RoundTo(step), Step: step,
		UnderHalfStep: !exact.IsZero() && exact.Abs().Mul(Int(2)).Less(step),
	}
}

// Round rounds a mass in g to the finest of the scales that holds it; above
// every range to the step of the scale with the widest one.
//
//   - Without scales: 1 g from 10 g up, 0.1 g under it; our choice.
//   - Scales without a division are passed over.
//   - Halves go away from 0.
//   - Source of the 20 divisions: common practice of our house, no handbook.
func Round(exact Number, scales []Scale) Rounding {
	var finest, widest *Scale
	for i := range scales {
		s := &scales[i]
		if s.Reads.Sign() <= 0 {
			continue
		}
		if exact.Abs().Cmp(s.UpTo) <= 0 && (finest == nil || s.Reads.Less(finest.Reads)) {
			finest = s
		}
		if widest == nil || widest.UpTo.Less(s.UpTo) {
			widest = s
		}
	}
	step, name := Int(1), ""
	switch {
	case finest != nil:
		step, name = finest.Reads, finest.Name
	case widest != nil:
		step, name = widest.Reads, widest.Name
	case exact.Abs().Less(Int(10)):
		step = Frac(1, 10)
	}
	r := rounding(exact, step)
	r.Unit, r.Scale = G, name
	r.FewDivisions = !exact.IsZero() && exact.Abs().Less(step.Mul(Int(fewDivisions)))
	return r
}

// RoundTime rounds minutes to whole minutes, under 2 min to whole seconds.
func RoundTime(minutes Number) Rounding {
	step := Int(1)
	if minutes.Abs().Less(Int(2)) {
		step = Frac(1, 60)
	}
	return rounding(minutes, step).in(Minute)
}

// RoundTemperature rounds to 0.1 of a degree.
func RoundTemperature(degrees Number) Rounding { return rounding(degrees, Frac(1, 10)).in(Celsius) }

// RoundMoney rounds to the cent.
func RoundMoney(amount Number) Rounding { return rounding(amount, Frac(1, 100)).in(Base(Money)) }

// RoundShare rounds to 3 significant digits.
func RoundShare(share Number) Rounding { return rounding(share, significant(share, 3)).in(Percent) }

func (r Rounding) in(u Unit) Rounding {
	r.Unit = u
	return r
}

// significant returns the step that leaves n the given significant digits.
func significant(n Number, figures int) Number {
	step := Int(1)
	if n.IsZero() {
		return step
	}
	low := Int(1)
	for i := 1; i < figures; i++ {
		low = low.Mul(Int(10))
	}
	high := low.Mul(Int(10))
	a := n.Abs()
	for !a.Div(step).Less(high) {
		step = step.Mul(Int(10))
	}
	for a.Div(step).Less(low) {
		step = step.Div(Int(10))
	}
	return step
}
