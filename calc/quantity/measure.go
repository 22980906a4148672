package quantity

// Measure is a house's custom for spoons, cups and the US or UK volumes.
type Measure uint8

// The customs of book-format: labelling rule, US, Australian, UK.
const (
	Metric Measure = iota
	US
	Australian
	UK
)

// String returns the name that house.yaml writes.
func (m Measure) String() string {
	return [...]string{"metric", "US", "Australian", "UK"}[m]
}
