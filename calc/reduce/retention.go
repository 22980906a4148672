package reduce

import (
	_ "embed"
	"fmt"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/alcohol-retention-usda.csv
var retentionCSV []byte

// Method is a way of cooking of the retention table, in its words.
type Method string

// The methods of the table.
const (
	AddedToBoiling  Method = "added to boiling liquid and removed from heat"
	Flamed          Method = "flamed"
	NoHeatOvernight Method = "no heat, stored overnight"
	BakedNotStirred Method = "baked, not stirred into the mixture"
	StirredIn       Method = "baked or simmered, stirred in"
)

// Retained is the published share of the added alcohol that stays, in %.
type Retained struct {
	Method    Method
	From, To  quantity.Number // minutes of the rows it stands on; equal if the time is a row, both 0 if the method has no time
	Low, High quantity.Number // % left; equal if the time is a row
	Cautions  []Caution
}

type retentionRow struct {
	method  Method
	minutes quantity.Number // −1: the method has no time
	percent quantity.Number
}

var retentionRows = sync.OnceValue(func() []retentionRow {
	t := reftable.MustParse(retentionCSV)
	rows := make([]retentionRow, len(t.Rows))
	for i, r := range t.Rows {
		rows[i] = retentionRow{Method(r[0]), quantity.Int(-1), quantity.MustDecimal(r[2])}
		if r[1] != "" {
			rows[i].minutes = quantity.MustDecimal(r[1])
		}
	}
	return rows
})

// Retention returns what the published factors say is left after cooking by a
// method. Between two rows both are returned; nothing is interpolated.
//
//   - Formula: table look-up.
//   - Units: minutes; % of the alcohol added.
//   - Range: the rows of the table. Time is not looked at where the method has none.
//   - Uncertainty: 10 points: six cooked dishes stand behind the table, and the pan's width changes it.
//   - Errors: [ErrNotPublished] for another method, or a time before the first or after the last row.
//   - Source: S-607.
func Retention(m Method, minutes quantity.Number) (Retained, error) {
	out := Retained{Method: m, Cautions: []Caution{CautionAlcoholStays}}
	var before, after *retentionRow
	for _, r := range retentionRows() {
		switch {
		case r.method != m:
		case r.minutes.Sign() < 0:
			out.Low, out.High = r.percent, r.percent
			return out, nil
		case !minutes.Less(r.minutes):
			before = &r
			if minutes.Equal(r.minutes) {
				after = &r
			}
		case after == nil:
			after = &r
		}
	}
	if before == nil || after == nil {
		return Retained{}, fmt.Errorf("%w: %s, %s min", ErrNotPublished, m, minutes)
	}
	out.From, out.To = before.minutes, after.minutes
	out.Low, out.High = after.percent, before.percent
	return out, nil
}
