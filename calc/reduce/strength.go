package reduce

import (
	"fmt"

	"tamis/calc/quantity"
)

// Densities at 20 °C in g/ml by the general formula of the alcoholometric
// tables: coefficients of powers of the mass fraction, kg/m³. S-606.
var oiml = [12]float64{
	998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
	306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
}

// ethanolDensity of pure ethanol at 20 °C, g/ml, as the tables define alcohol by volume.
var ethanolDensity = quantity.MustDecimal("0.78924")

func ethanolWaterDensity(w float64) float64 {
	d := 0.0
	for i := len(oiml) - 1; i >= 0; i-- {
		d = d*w + oiml[i]
	}
	return d / 1000
}

// byVolume turns a mass fraction of ethanol into a volume fraction at 20 °C.
func byVolume(w float64) float64 { return w * ethanolWaterDensity(w) / ethanolDensity.Float() }

// Strength is a measured-out drink as masses, in g.
type Strength struct {
	Mass    quantity.Number
	Alcohol quantity.Number
	Water   quantity.Number
	Density quantity.Number // g/ml at 20 °C
}

// FromStrength returns the masses in a volume of ethanol and water of a strength by volume.
//
//   - Formula: alcohol = ml × %vol ÷ 100 × 0.78924; density by the 12-term polynomial in the mass fraction that has this strength;
//     water = ml × density − alcohol.
//   - Units: ml at 20 °C, % vol, g.
//   - Range: 0 to 100 % vol, no sugar: a liqueur's density and water are its own.
//   - Uncertainty: density 0.01 kg/m³ (the table); wine, which is not only ethanol and water, about 0.5 % of its water.
//   - Errors: [ErrNegative], [ErrStrength].
//   - Source: S-606.
func FromStrength(ml, percentVol quantity.Number) (Strength, error) {
	if ml.Sign() < 0 {
		return Strength{}, fmt.Errorf("%w: %s ml", ErrNegative, ml)
	}
	if percentVol.Sign() < 0 || hundred.Less(percentVol) {
		return Strength{}, fmt.Errorf("%w: %s %% vol", ErrStrength, percentVol)
	}
	d, err := quantity.FromFloat(ethanolWaterDensity(massFraction(percentVol.Float()/100)), 5)
	if err != nil {
		return Strength{}, err
	}
	s := Strength{Mass: ml.Mul(d), Density: d, Alcohol: ml.Mul(percentVol).Div(hundred).Mul(ethanolDensity)}
	if s.Mass.Less(s.Alcohol) { // rounding of the density at 100 %
		s.Mass = s.Alcohol
	}
	s.Water = s.Mass.Sub(s.Alcohol)
	return s, nil
}

// massFraction inverts byVolume, which rises all the way.
func massFraction(v float64) float64 {
	lo, hi := 0.0, 1.0
	for range 60 {
		if mid := (lo + hi) / 2; byVolume(mid) < v {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// ToStrength returns the strength by volume, in %, of alcohol and water mixed.
//
//   - Formula: 100 × w × density(w) ÷ 0.78924 with w = alcohol ÷ (alcohol + water).
//   - Units: g; % vol at 20 °C.
//   - Range: alcohol and water alone; with sugar in it the strength by volume is lower.
//   - Uncertainty: 0.01 % vol.
//   - Errors: [ErrNegative]; [ErrStrength] if there is neither.
//   - Source: S-606.
func ToStrength(alcohol, water quantity.Number) (quantity.Number, error) {
	if alcohol.Sign() < 0 || water.Sign() < 0 {
		return quantity.Number{}, fmt.Errorf("%w: %s g alcohol, %s g water", ErrNegative, alcohol, water)
	}
	both := alcohol.Add(water)
	if both.IsZero() {
		return quantity.Number{}, fmt.Errorf("%w: nothing there", ErrStrength)
	}
	return quantity.FromFloat(100*byVolume(alcohol.Div(both).Float()), 3)
}
