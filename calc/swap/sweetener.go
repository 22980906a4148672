package swap

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reftable"
)

//go:embed data/relative-sweetness.csv
var sweetnessCSV []byte

//go:embed data/sweetener-freezing-factors.csv
var freezingCSV []byte

//go:embed data/sweeteners-memory.csv
var memoryCSV []byte

//go:embed data/emulsifiers.csv
var emulsifiersCSV []byte

// sweetenerTable is what 1 g counts as, in g of sucrose.
type sweetenerTable struct {
	sweet, freeze                map[mix.Key]quantity.Number
	polyolSweet, polyolFreeze    [2]quantity.Number // least and most of those in the table
	glycerolSweet                quantity.Number
	glycerolFreeze               quantity.Number
	ethanolFreeze                quantity.Number
	saltFreeze                   quantity.Number
	milkSaltFreeze               quantity.Number
	rows, memory                 map[string]Sweetener
	names                        []string
	monosaccharide, disaccharide quantity.Number
}

// Sweetener is one row of the tables: what 100 g of it count as, in g of sucrose.
type Sweetener struct {
	Name                      string
	SweetLow, SweetHigh       quantity.Number
	Freezing                  quantity.Number
	KnowsSweet, KnowsFreezing bool
}

var polyols = []string{"xylitol", "sorbitol", "mannitol", "maltitol", "lactitol", "erythritol"}

var sweeteners = sync.OnceValue(func() *sweetenerTable {
	t, err := parseSweeteners(sweetnessCSV, freezingCSV, memoryCSV)
	if err != nil {
		panic(err)
	}
	return t
})

func parseSweeteners(sweetness, freezing, memory []byte) (*sweetenerTable, error) {
	t := &sweetenerTable{sweet: map[mix.Key]quantity.Number{}, freeze: map[mix.Key]quantity.Number{}, rows: map[string]Sweetener{}}
	if err := t.readSweetness(sweetness); err != nil {
		return nil, err
	}
	if err := t.readFactors(freezing); err != nil {
		return nil, err
	}
	if err := t.readMemory(memory); err != nil {
		return nil, err
	}
	for k, name := range map[mix.Key]string{mix.Sucrose: "sucrose", mix.Glucose: "glucose (dextrose anhydrous)", mix.Fructose: "fructose",
		mix.Lactose: "lactose", mix.Maltose: "maltose"} {
		r, ok := t.rows[name]
		if !ok || !r.KnowsSweet {
			return nil, fmt.Errorf("%w: no sweetness of %s", ErrData, name)
		}
		t.sweet[k] = r.SweetLow.Div(hundred)
		t.freeze[k] = t.disaccharide
		if k == mix.Glucose || k == mix.Fructose {
			t.freeze[k] = t.monosaccharide
		}
	}
	for i, name := range polyols {
		r, ok := t.rows[name]
		if !ok || !r.KnowsFreezing {
			return nil, fmt.Errorf("%w: no %s", ErrData, name)
		}
		low, high, f := r.SweetLow.Div(hundred), r.SweetHigh.Div(hundred), r.Freezing.Div(hundred)
		if r.KnowsSweet {
			widen(&t.polyolSweet, i == 0, low, high)
		}
		widen(&t.polyolFreeze, i == 0, f, f)
	}
	for name, to := range map[string]*quantity.Number{"glycerol": &t.glycerolFreeze, "ethanol": &t.ethanolFreeze, "sodium chloride (2 ions)": &t.saltFreeze} {
		*to = t.rows[name].Freezing.Div(hundred)
		if to.IsZero() {
			return nil, fmt.Errorf("%w: no freezing factor of %s", ErrData, name)
		}
	}
	if r := t.memory["glycerol"]; !r.KnowsSweet {
		return nil, fmt.Errorf("%w: no sweetness of glycerol", ErrData)
	} else {
		t.glycerolSweet = r.SweetLow.Div(hundred)
	}
	return t, nil
}

func widen(r *[2]quantity.Number, first bool, low, high quantity.Number) {
	if first || low.Less(r[0]) {
		r[0] = low
	}
	if first || r[1].Less(high) {
		r[1] = high
	}
}

func (t *sweetenerTable) readSweetness(text []byte) error {
	tab, err := reftable.Parse(text)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrData, err)
	}
	for _, r := range tab.Rows { // sweetener, sweetness a, sweetness b, molar mass, freezing factor
		if len(r) != 5 {
			return fmt.Errorf("%w: %q", ErrData, r)
		}
		sweet := r[1] // one table for the sugars, the other for what it lacks
		if sweet == "" {
			sweet = r[2]
		}
		row, err := readSweetener(r[0], sweet, r[4])
		if err != nil {
			return err
		}
		t.rows[r[0]] = row
		t.names = append(t.names, r[0])
	}
	return nil
}

func readSweetener(name, sweet, freeze string) (Sweetener, error) {
	row := Sweetener{Name: name}
	var err error
	if sweet != "" {
		low, high, isRange := strings.Cut(sweet, "-")
		if !isRange {
			high = low
		}
		if row.SweetLow, err = quantity.Decimal(low); err == nil {
			row.SweetHigh, err = quantity.Decimal(high)
		}
		if err != nil || row.SweetHigh.Less(row.SweetLow) {
			return Sweetener{}, fmt.Errorf("%w: sweetness %q of %s", ErrData, sweet, name)
		}
		row.KnowsSweet = true
	}
	if freeze != "" {
		f, err := quantity.Decimal(freeze)
		if err != nil {
			return Sweetener{}, fmt.Errorf("%w: freezing factor %q of %s", ErrData, freeze, name)
		}
		row.Freezing, row.KnowsFreezing = f.Mul(hundred), true
	}
	return row, nil
}

// readMemory reads what the published tables lack: name, sweetness, freezing factor.
func (t *sweetenerTable) readMemory(text []byte) error {
	tab, err := reftable.Parse(text)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrData, err)
	}
	t.memory = map[string]Sweetener{}
	for _, r := range tab.Rows {
		if len(r) != 3 {
			return fmt.Errorf("%w: %q", ErrData, r)
		}
		if t.memory[r[0]], err = readSweetener(r[0], r[1], r[2]); err != nil {
			return err
		}
	}
	return nil
}

// sucroseSlope is what 1 g of sucrose in 100 g of water takes off the freezing point, °C, at the strength of frozen desserts (S-703).
var sucroseSlope = quantity.MustDecimal("0.060")

func (t *sweetenerTable) readFactors(text []byte) error {
	tab, err := reftable.Parse(text)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrData, err)
	}
	want := map[string]*quantity.Number{
		"sucrose, lactose or maltose added":                 &t.disaccharide,
		"dextrose, fructose, other monosaccharides":         &t.monosaccharide,
		"salts of NMS and WS, C per (g solids/100 g water)": &t.milkSaltFreeze,
	}
	found := 0
	for _, r := range tab.Rows {
		to, ok := want[r[0]]
		if !ok {
			continue
		}
		n, err := quantity.Decimal(r[1])
		if err != nil {
			return fmt.Errorf("%w: factor %q of %s", ErrData, r[1], r[0])
		}
		*to = n
		found++
	}
	if found != len(want) {
		return fmt.Errorf("%w: %d of %d freezing factors", ErrData, found, len(want))
	}
	// the table gives °C for 1 g in 100 g of water
	t.milkSaltFreeze = t.milkSaltFreeze.Div(sucroseSlope)
	return nil
}

// SweetenerNamed returns one sweetener of the published tables, for the sweetness and freezing power of an ingredient whose
// composition does not tell which polyol it holds.
//
//   - Units: g of sucrose that 100 g count as.
//   - Range: exact names of the table: "xylitol", "sorbitol", "invert sugar (solids)".
//   - Uncertainty: SweetLow to SweetHigh is the spread of the source.
//   - Errors: none; false if the table lacks it.
//   - Source: S-702.
func SweetenerNamed(name string) (Sweetener, bool) {
	r, ok := sweeteners().rows[name]
	return r, ok
}

// Sweeteners returns the names that [SweetenerNamed] knows, in the order of the table.
//
//   - Errors: none.
//   - Source: S-702.
func Sweeteners() []string { return slices.Clone(sweeteners().names) }

// Complete fills in what a composition cannot tell and the tables know by name: sweetness and freezing power of polyols and of trehalose, emulsifier. What is stated
// already stays.
//
//   - Formula: share of polyols (of sugars, for trehalose) × the middle of the sweetness of the tables; the same × the molar freezing factor.
//   - Units: g in 100 g.
//   - Range: larder names that begin with the sweetener's: "sorbitol", "maltitol syrup".
//   - Uncertainty: half the spread of the table: xylitol 85 to 120.
//   - Errors: none; others come back as they are.
//   - Source: S-702; trehalose and isomalt S-705; emulsifier S-706.
func Complete(in Ingredient) Ingredient {
	if e, ok := EmulsifierIn(in.Name); ok && in.Emulsifier == nil {
		in.Emulsifier = &e
	}
	word, _, _ := strings.Cut(in.Name, " ")
	key := mix.Polyols
	if word == "trehalose" {
		key = mix.Sugars
	}
	s := sweeteners()
	row, ok := s.memory[word]
	if !ok && slices.Contains(polyols, word) {
		row, ok = s.rows[word]
	}
	share, known := in.Comp.Get(key)
	if !ok || !known || share.IsZero() || !row.KnowsSweet || !row.KnowsFreezing {
		return in
	}
	share = share.Div(hundred)
	if in.Sweetness == nil {
		n := row.SweetLow.Add(row.SweetHigh).Div(two).Mul(share)
		in.Sweetness = &n
	}
	if in.Freezing == nil {
		n := row.Freezing.Mul(share)
		in.Freezing = &n
	}
	return in
}

var (
	leastBloom = quantity.Int(30)
	mostBloom  = quantity.Int(300)
)

// bloomPower is what 100 g of a gelatine come to in g of 200 Bloom.
func bloomPower(bloom quantity.Number) quantity.Number {
	n, err := quantity.FromFloat(100*math.Sqrt(bloom.Float()/200), 6)
	if err != nil { // a Bloom above 0 has a root
		return zero
	}
	return n
}

type emulsifier struct {
	name, source string
	share        quantity.Number
}

var emulsifiers = sync.OnceValue(func() []emulsifier {
	out, err := parseEmulsifiers(emulsifiersCSV)
	if err != nil {
		panic(err)
	}
	return out
})

func parseEmulsifiers(text []byte) ([]emulsifier, error) {
	tab, err := reftable.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrData, err)
	}
	var out []emulsifier
	for _, r := range tab.Rows {
		if len(r) != 3 {
			return nil, fmt.Errorf("%w: %q", ErrData, r)
		}
		n, err := quantity.Decimal(r[1])
		if err != nil || n.Sign() < 0 || hundred.Less(n) {
			return nil, fmt.Errorf("%w: emulsifier %q of %s", ErrData, r[1], r[0])
		}
		out = append(out, emulsifier{r[0], r[2], n})
	}
	return out, nil
}

// EmulsifierIn returns the emulsifier in 100 g of an ingredient by its larder name.
//
//   - Units: g in 100 g: phospholipids of egg, milk and soya; mono- and diglycerides as they are.
//   - Range: the rows of the data file, exact names.
//   - Uncertainty: 20 % of it.
//   - Errors: none; false if the file lacks it.
//   - Source: S-706.
func EmulsifierIn(name string) (quantity.Number, bool) {
	for _, e := range emulsifiers() {
		if e.name == name {
			return e.share, true
		}
	}
	return zero, false
}
