package sugar

import (
	_ "embed"
	"fmt"
	"strings"
	"sync"

	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/candy-stages.csv
var stagesCSV []byte

// Stage is one stage of cooked sugar with its temperatures in °C.
type Stage struct {
	Name      string
	Low, High quantity.Number // equal where the chart gives one temperature
}

var stages = sync.OnceValue(func() []Stage {
	t := reftable.MustParse(stagesCSV)
	name, err := t.Text("stage")
	if err != nil {
		panic(err)
	}
	low, high := t.MustFloats("C_low"), t.MustFloats("C_high")
	out := make([]Stage, len(name))
	for i := range name {
		out[i] = Stage{name[i], quantity.Int(int64(low[i])), quantity.Int(int64(high[i]))}
	}
	return out
})

// Stages returns the stages at an altitude, coolest first: a syrup is as thick
// there as at the sea when it boils lower by as much as water does.
//
//   - Formula: the chart's temperatures − (100 °C − [WaterBoils]).
//   - Units: m; °C.
//   - Range: −430 to 5500 m.
//   - Uncertainty: 2 °C; charts differ by up to 3 °C, at the thread stage by 8.
//   - Errors: [ErrRange].
//   - Source: S-620 (answers); checked against S-615.
func Stages(metres quantity.Number) ([]Stage, error) {
	w, err := WaterBoils(metres)
	if err != nil {
		return nil, err
	}
	lower := hundred.Sub(w.Value)
	out := make([]Stage, len(stages()))
	for i, s := range stages() {
		out[i] = Stage{s.Name, s.Low.Sub(lower), s.High.Sub(lower)}
	}
	return out, nil
}

// StageNamed returns one stage at an altitude by its name or a part of it: "ball" is no stage, "soft ball" and "caramel" are.
//
//   - Formula: the only stage whose name holds the text, without regard to case.
//   - Units: m; °C.
//   - Range: the stages of the chart.
//   - Uncertainty: 2 °C.
//   - Errors: [ErrStage] if none or several do; [ErrRange].
//   - Source: S-620.
func StageNamed(name string, metres quantity.Number) (Stage, error) {
	all, err := Stages(metres)
	if err != nil {
		return Stage{}, err
	}
	var found []Stage
	want := strings.ToLower(strings.TrimSpace(name))
	for _, s := range all {
		if s.Name == want {
			return s, nil
		}
		if want != "" && strings.Contains(s.Name, want) {
			found = append(found, s)
		}
	}
	if len(found) != 1 {
		return Stage{}, fmt.Errorf("%w: %.40q", ErrStage, name)
	}
	return found[0], nil
}

// StageReading is what a thermometer says of a boiling syrup.
type StageReading struct {
	In       []Stage // one stage, two where they meet, none between stages
	Below    *Stage  // the last stage passed, nil before the first
	Above    *Stage  // the next stage, nil after the last
	Cautions []Caution
}

// StageAt returns the stage of a syrup that boils at a temperature.
//
//   - Formula: look-up among [Stages].
//   - Units: °C, m.
//   - Range: any temperature; before the first stage In and Below are empty, after caramel Above is.
//   - Uncertainty: 2 °C; take the thermometer's own error in boiling water first.
//   - Errors: [ErrRange] for the altitude.
//   - Source: S-620; the caution S-601.
func StageAt(celsius, metres quantity.Number) (StageReading, error) {
	all, err := Stages(metres)
	if err != nil {
		return StageReading{}, err
	}
	out := StageReading{Cautions: []Caution{CautionHotSugar}}
	for i, s := range all {
		switch {
		case s.High.Less(celsius):
			out.Below = &all[i]
		case celsius.Less(s.Low):
			if out.Above == nil {
				out.Above = &all[i]
			}
		default:
			out.In = append(out.In, s)
		}
	}
	if last := all[len(all)-1]; last.High.Less(celsius) {
		out.Cautions = append(out.Cautions, CautionBurning)
	}
	return out, nil
}
