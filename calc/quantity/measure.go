package quantity

import "strings"

// Measure is a house's custom for spoons, cups and the US or UK volumes.
type Measure uint8

// The customs of book-format: labelling rule, US, Australian, UK.
const (
	Metric Measure = iota
	US
	Australian
	UK
)

// MeasureNamed returns the custom of that name, in any case.
func MeasureNamed(s string) (Measure, bool) {
	for m := Metric; m <= UK; m++ {
		if strings.EqualFold(s, m.String()) {
			return m, true
		}
	}
	return Metric, false
}

// String returns the name that house.yaml writes.
func (m Measure) String() string {
	if m > UK {
		m = Metric
	}
	return [...]string{"metric", "US", "Australian", "UK"}[m]
}
