package quantity

// RoundQuantity rounds q the way its dimension is shown.
//
//   - Metric masses: [Round], in g. oz and lb: 0.01 under 10, else 0.1.
//   - Volumes in ml, cl, dl, l: 1 ml from 10 ml up, 0.1 ml under it; in other
//     measures 0.01 under 10, else 0.1.
//   - Times: [RoundTime], in minutes. Temperatures and brix: 0.1.
//   - Lengths: 1 mm, 0.1 in. Counts: 0.01. Bare numbers: 4 significant digits.
//   - Shares: 3 significant digits. Money: the cent. Energy: 1. Density: 0.001.
//
// Only the times, temperatures, shares and money are the house's rule; the other
// steps are our choice.
func RoundQuantity(q Quantity, scales []Scale) Rounding {
	var r Rounding
	switch q.Unit.Dim {
	case Mass:
		r = Round(q.Base(), scales)
		if metric(q.Unit) {
			return r
		}
		few := r.FewDivisions
		r = rounding(q.N, coarse(q.N))
		r.FewDivisions = few
	case Volume:
		step := coarse(q.N)
		if metric(q.Unit) {
			step = Int(1)
			if q.Base().Abs().Less(Int(10)) {
				step = Frac(1, 10)
			}
			step = step.Div(q.Unit.Factor())
		}
		r = rounding(q.N, step)
	case Time:
		return RoundTime(q.Base())
	case Temperature, Brix:
		r = rounding(q.N, Frac(1, 10))
	case Length:
		step := Frac(1, 10)
		if metric(q.Unit) {
			step = step.Div(q.Unit.Factor())
		}
		r = rounding(q.N, step)
	case Count, Money:
		r = rounding(q.N, Frac(1, 100))
	case Share:
		r = RoundShare(q.N)
	case Energy:
		r = rounding(q.N, Int(1))
	case Density:
		r = rounding(q.N, Frac(1, 1000))
	default:
		r = rounding(q.N, significant(q.N, 4))
	}
	r.Unit = q.Unit
	return r
}

// metric reports that one of u is a power of ten of its base unit.
func metric(u Unit) bool {
	f := u.Factor()
	if f.Less(Int(1)) {
		f = Int(1).Div(f)
	}
	for Int(1).Less(f) {
		f = f.Div(Int(10))
	}
	return f.Equal(Int(1))
}

func coarse(n Number) Number {
	if n.Abs().Less(Int(10)) {
		return Frac(1, 100)
	}
	return Frac(1, 10)
}

// String writes what is shown, with its unit: "1110 g", "12.5 kg", "8 h 30 min",
// "5.20 EUR". Trailing zeros are dropped but for money.
func (r Rounding) String() string {
	switch {
	case r.Unit.Dim == Mass && r.Unit.Equal(G):
		return ShowMass(r)
	case r.Unit.Dim == Time:
		return ShowTime(r)
	case r.Unit.Dim == Money:
		return ShowMoney(r, r.Unit)
	}
	return Quantity{r.Shown, r.Unit}.String()
}

// ShowMass writes a rounded mass in g: up to 9999 g in g, above in kg.
func ShowMass(r Rounding) string {
	if !r.Shown.Abs().Less(Int(10000)) {
		return r.Shown.Div(Int(1000)).String() + " kg"
	}
	return r.Shown.String() + " g"
}

// ShowTime writes rounded minutes: "45 s" under 2 min, "90 min" up to 3 h, then
// hours and minutes; whole hours as such, whole days from 2 on as days.
func ShowTime(r Rounding) string {
	n := r.Shown
	sign := ""
	if n.Sign() < 0 {
		sign, n = "-", n.Neg()
	}
	minutes, whole := n.Int64()
	switch {
	case n.IsZero():
		return "0 min"
	case n.Less(Int(2)):
		return sign + n.Mul(Int(60)).String() + " s"
	case !whole:
		return sign + n.String() + " min"
	case minutes >= 2880 && minutes%1440 == 0:
		return sign + Int(minutes/1440).String() + " days"
	case minutes%60 == 0:
		return sign + Int(minutes/60).String() + " h"
	case minutes < 180:
		return sign + Int(minutes).String() + " min"
	}
	return sign + Int(minutes/60).String() + " h " + Int(minutes%60).String() + " min"
}

// ShowTemperature writes rounded degrees with their unit.
func ShowTemperature(r Rounding, u Unit) string { return Quantity{r.Shown, u}.String() }

// ShowMoney writes a rounded sum with both decimals and its currency.
func ShowMoney(r Rounding, currency Unit) string {
	s := r.Shown.rat().FloatString(2)
	if currency.Symbol == "" {
		return s
	}
	return s + " " + currency.Symbol
}

// ShowShare writes a rounded share: "12.3 %".
func ShowShare(r Rounding) string { return r.Shown.String() + " %" }
