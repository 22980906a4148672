package larder

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"tamis/calc/mix"
	"tamis/kb/larder/internal/refrow"
	"tamis/kb/recipe"
)

func cell(t *testing.T, tab *refrow.Tables, row, col string) float64 {
	t.Helper()
	s, err := tab.Cell(row, col)
	if err != nil {
		t.Fatal(err)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("%s %s: %v", row, col, err)
	}
	return v
}

func item(t *testing.T, name string) *Item {
	t.Helper()
	it := builtIn().find(name)
	if it == nil {
		it = New(nil).Find(name)
	}
	if it == nil {
		t.Fatalf("no %q in the larder", name)
	}
	return it
}

func per100(t *testing.T, it *Item, k mix.Key) float64 {
	t.Helper()
	n, ok := it.Comp.Get(k)
	if !ok {
		t.Fatalf("%s: %s is not known", it.Name, k)
	}
	return n.Float()
}

// madeOf says of which items of the larder the ingredients of
// allergens-ingredients.csv are made; most are one item of their own.
var madeOf = map[string][]string{
	"breadcrumbs (wheat)":                  {"breadcrumbs"},
	"wheat-based glucose syrup":            {"glucose syrup"},
	"soy sauce (with wheat)":               {"soy sauce"},
	"praline paste (hazelnut and almond)":  {"almond and hazelnut praline 50 %"},
	"dark couverture with soy lecithin":    {"dark couverture 55 %"},
	"white wine (sulphites above 10 mg/L)": {"white wine"},
	"glace cherries with sulphites":        {"glacé cherries"},
	"puff pastry with butter":              {"butter puff pastry"},
	"ladyfingers (sponge biscuits)":        {"ladyfingers"},
	"frangipane (almond, egg, butter)":     {"ground almonds", "egg", "butter", "sugar"},
	"creme patissiere":                     {"milk", "egg yolk", "sugar", "cornstarch", "butter"},
	"crepe batter (wheat, egg, milk)":      {"plain flour", "egg", "milk"},
	// Usual milk chocolate has soya lecithin; without it, what makes it up:
	"milk chocolate without lecithin": {"cocoa mass", "cocoa butter", "sugar", "whole milk powder"},
}

// Every row of allergens-ingredients.csv (Regulation (EU) No 1169/2011, annex
// II, applied ingredient by ingredient; the make-up from memory), with its traps: buckwheat, coconut, pine nut,
// glucose syrup of wheat.
func TestAllergensRowByRow(t *testing.T) {
	tab := tables(t)
	names := recipe.Allergens()
	ids := tab.IDs("allergen")
	if len(ids) != 46 {
		t.Errorf("%d rows, want 46", len(ids))
	}
	for _, id := range ids {
		ingredient := strings.TrimPrefix(id, "allergen:")
		classes, err := tab.Cell(id, "eu_classes")
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for c := range strings.FieldsSeq(classes) {
			n, err := strconv.Atoi(c)
			if err != nil {
				t.Fatalf("%s: %v", id, err)
			}
			want = append(want, names[n-1])
		}
		made := madeOf[ingredient]
		if made == nil {
			made = []string{ingredient}
		}
		var got []string
		for _, m := range made {
			it := item(t, m)
			if !it.ContainsKnown {
				t.Errorf("%s: what %s contains is not known", ingredient, m)
			}
			for _, a := range it.Contains {
				if !slices.Contains(got, a.Name) {
					got = append(got, a.Name)
				}
			}
		}
		slices.Sort(want)
		slices.Sort(got)
		if !slices.Equal(got, want) {
			t.Errorf("%s: the larder lists %v, the table %v", ingredient, got, want)
		}
	}
}

// The exemptions and members of annex II that the table above leaves out
// (allergens-eu.csv; read).
func TestAllergenTraps(t *testing.T) {
	tests := []struct {
		item string
		want []string // as the book writes them
	}{
		{"buckwheat flour", nil}, {"buckwheat", nil}, {"coconut", nil}, {"desiccated coconut", nil}, {"pine nuts", nil}, {"chestnut", nil},
		{"soya oil", nil}, {"maltodextrin", nil}, {"dextrose", nil}, {"whisky", nil}, {"gin", nil}, // fully refined; glucose syrups; distillates
		{"ghee", []string{"milk"}}, {"lactose", []string{"milk"}}, {"whey powder", []string{"milk"}},
		{"walnut", []string{"nuts (walnut)"}}, {"macadamia", []string{"nuts (macadamia)"}}, {"brazil nut", []string{"nuts (Brazil nut)"}},
		{"oat drink", []string{"cereals containing gluten (oats)"}}, {"beer", []string{"cereals containing gluten (barley)"}},
		{"lupin flour", []string{"lupin"}}, {"celeriac", []string{"celery"}}, {"squid", []string{"molluscs"}}, {"prawns", []string{"crustaceans"}},
		{"tahini", []string{"sesame"}}, {"mustard seeds", []string{"mustard"}}, {"dried apricots", []string{"sulphites"}},
		{"fish sauce", []string{"fish"}}, {"miso", []string{"soybeans"}}, {"peanut oil", []string{"peanuts"}},
		{"egg pasta", []string{"cereals containing gluten (wheat)", "eggs"}},
	}
	for _, tt := range tests {
		it := item(t, tt.item)
		var got []string
		for _, a := range it.Contains {
			got = append(got, a.String())
		}
		if !it.ContainsKnown || !slices.Equal(got, tt.want) {
			t.Errorf("%s lists %v (known %v), want %v", tt.item, got, it.ContainsKnown, tt.want)
		}
	}
	for _, unknown := range []string{"chicken stock", "margarine", "ice cream stabiliser", "custard powder", "food colouring"} {
		if it := item(t, unknown); it.ContainsKnown {
			t.Errorf("%s: bought ones differ, but the larder says %v", unknown, it.Contains)
		}
	}
	if it := item(t, "dark chocolate 70 %"); !slices.Contains(it.MayContain, recipe.Allergen{Name: "milk"}) {
		t.Errorf("dark chocolate may contain %v", it.MayContain)
	}
}

// Egg parts: a large egg of 50 g is a yolk of 17 g and a white of 33 g (USDA
// SR28, WEIGHT; read), and lies in the EU's class M less its shell (Regulation (EC) No 589/2008 art. 4; shell 12 %: USDA refuse; read).
func TestEggs(t *testing.T) {
	tab := tables(t)
	egg, yolk, white := item(t, "egg"), item(t, "yolk"), item(t, "egg white")
	for _, size := range []string{"large", "medium", "small"} {
		g := egg.Piece[size]
		if want := cell(t, tab, "egg:US "+size, "g_from"); g.Float() != want {
			t.Errorf("%s egg: %s g, the table %v", size, g, want)
		}
	}
	e, y, w := egg.Piece[""], yolk.Piece[""], white.Piece[""]
	if !y.Add(w).Equal(e) {
		t.Errorf("yolk %s + white %s is not the egg's %s", y, w, e)
	}
	withShell := e.Float() / (cell(t, tab, "trim:01123", "yield_pct") / 100)
	if lo, hi := cell(t, tab, "egg:EU M medium", "g_from"), cell(t, tab, "egg:EU M medium", "g_below"); withShell < lo || withShell >= hi {
		t.Errorf("an egg of %.1f g with its shell is not of class M (%v to %v)", withShell, lo, hi)
	}
	if p := yolk.PartOf["egg"]; math.Abs(p.Float()-0.34) > 1e-9 {
		t.Errorf("the yolk is %s of the egg", p)
	}
	// The parts make up the whole: water within 1 g, fat within 0.6 g of 100 g.
	for k, tol := range map[mix.Key]float64{mix.Water: 1, mix.Protein: 0.5, mix.Fat: 0.6} {
		sum := 0.34*per100(t, yolk, k) + 0.66*per100(t, white, k)
		if got := per100(t, egg, k); math.Abs(got-sum) > tol {
			t.Errorf("%s of the egg %.2f, of its parts %.2f", k, got, sum)
		}
	}
}

// Leaves are made so that one leaf of any grade sets alike: mass × Bloom within
// 10 % of 420 (common practice); grades as in gelatin-bloom.csv (trade practice; read).
func TestGelatineLeaves(t *testing.T) {
	tab := tables(t)
	for grade, name := range map[string]string{"bronze": "bronze gelatine leaf", "silver": "silver gelatine leaf", "gold": "gelatine leaf", "platinum": "platinum gelatine leaf"} {
		it := item(t, name)
		g := it.Piece[""]
		note, err := tab.Cell("bloom:"+grade+" leaf", "note")
		if err != nil {
			t.Fatal(err)
		}
		if want, _ := strconv.ParseFloat(strings.TrimSuffix(note, " g"), 64); math.Abs(g.Float()-want) > 0.05 {
			t.Errorf("%s leaf: %s g, the table %s", grade, g, note)
		}
		span, _ := tab.Cell("bloom:"+grade+" leaf", "value")
		lo, hi, ok := strings.Cut(span, "-")
		if !ok {
			hi = lo
		}
		from, _ := strconv.ParseFloat(lo, 64)
		to, _ := strconv.ParseFloat(hi, 64)
		if b := it.Bloom.Float(); b < from || b > to {
			t.Errorf("%s leaf: Bloom %v, the table %s", grade, b, span)
		}
		if p := g.Mul(*it.Bloom).Float(); math.Abs(p-420) > 42 {
			t.Errorf("%s leaf: mass × Bloom is %v", grade, p)
		}
	}
}

// Creams are worked out from skimmed milk; the published creams lie within 0.8 g
// water and 0.4 g protein (USDA SR27 rows 01049 to 01053; read).
func TestCreamRule(t *testing.T) {
	tab := tables(t)
	for _, row := range []string{"usda:01049", "usda:01050", "usda:01052", "usda:01053", "usda:01077", "usda:01079", "usda:01082"} {
		f := cell(t, tab, row, "fat_g")
		share := (100 - f) / (100 - cell(t, tab, "usda:01085", "fat_g"))
		for col, tol := range map[string]float64{"water_g": 0.8, "protein_g": 0.4, "ash_g": 0.08} {
			want := cell(t, tab, row, col)
			if got := cell(t, tab, "usda:01085", col) * share; math.Abs(got-want) > tol {
				t.Errorf("%s: %s %.2f by the rule, %.2f printed", row, col, got, want)
			}
		}
	}
}

// Spirits: OIML R 22 (read) against its own definition and against other tables.
func TestAlcohol(t *testing.T) {
	tab := tables(t)
	for _, id := range tab.IDs("oiml") {
		v, m, d := cell(t, tab, id, "abv_pct"), cell(t, tab, id, "mass_pct"), cell(t, tab, id, "density_kg_m3")
		if got := v * 789.24 / d; math.Abs(got-m) > 0.006 {
			t.Errorf("%s: %v %% by mass, but v × 789.24 ÷ density is %.3f", id, m, got)
		}
	}
	// USDA SR27: alcohol by difference, its rounding about 0.1 g; "proof" is twice % vol.
	for _, tt := range []struct {
		item, row, col string
		tol            float64
	}{
		{"vodka", "usda:14037", "alcohol_g_by_difference", 0.2}, {"white rum", "usda:14050", "alcohol_g_by_difference", 0.2},
		{"white rum", "usda:14050", "water_g", 0.2}, {"gin", "usda:14037", "water_g", 0.2},
	} {
		k := mix.Alcohol
		if tt.col == "water_g" {
			k = mix.Water
		}
		if got, want := per100(t, item(t, tt.item), k), cell(t, tab, tt.row, tt.col); math.Abs(got-want) > tt.tol {
			t.Errorf("%s: %s %.2f, %s %v", tt.item, k, got, tt.row, want)
		}
	}
	// Anses Ciqual 2020 prints a vodka of 34.5 g and a whisky of 36 g: 41.3 and 43 % vol.
	// CRC Handbook, density of ethanol in water at 20 °C against mass %: within 0.1 %.
	for _, mass := range []string{"4", "10", "40", "60"} {
		id := "crc:ethanol/" + mass
		m, want := cell(t, tab, id, "mass_pct"), cell(t, tab, id, "density")
		if got := oimlDensity(t, tab, m); math.Abs(got-want) > 0.001*want {
			t.Errorf("%v %% ethanol: OIML %.4f, CRC %.4f", m, got, want)
		}
	}
	for _, it := range BuiltIn() {
		if it.Strength == nil || it.Density == nil {
			continue
		}
		// alcohol g/100 g × density ÷ 0.78924 is the strength again
		if got := per100(t, it, mix.Alcohol) * it.Density.Float() / 0.78924; math.Abs(got-it.Strength.Float()) > 0.05 {
			t.Errorf("%s: %.2f %% vol from its composition, sold as %s", it.Name, got, it.Strength)
		}
	}
}

// oimlDensity reads the density in g/ml at a mass % between the table's rows.
func oimlDensity(t *testing.T, tab *refrow.Tables, mass float64) float64 {
	ids := tab.IDs("oiml")
	for i := 1; i < len(ids); i++ {
		m0, m1 := cell(t, tab, ids[i-1], "mass_pct"), cell(t, tab, ids[i], "mass_pct")
		if mass <= m1 {
			d0, d1 := cell(t, tab, ids[i-1], "density_kg_m3"), cell(t, tab, ids[i], "density_kg_m3")
			return (d0 + (d1-d0)*(mass-m0)/(m1-m0)) / 1000
		}
	}
	t.Fatalf("%v %% is above the table", mass)
	return 0
}

// Liquids by household measures (USDA SR28, WEIGHT; read) against densities of other
// tables: sucrose solutions (after Plato; read), acetic acid (CRC; read), oils by each other.
func TestDensities(t *testing.T) {
	tab := tables(t)
	checked := 0
	for _, it := range BuiltIn() {
		if it.Brix == nil || it.Density == nil || it.Pours == nil || it.DensityOrigin.From != FromTable {
			continue
		}
		bx := it.Brix.Float()
		id := fmt.Sprintf("brix:%d", int(math.Round(bx/2))*2)
		if !tab.Has(id) {
			continue
		}
		want := cell(t, tab, id, "density_kg_m3") / 1000
		if got := it.Density.Float(); math.Abs(got-want) > 0.03*want {
			t.Errorf("%s of %v °Bx: %.3f g/ml, sucrose of that strength %.3f", it.Name, bx, got, want)
		}
		checked++
	}
	if checked < 8 {
		t.Errorf("only %d juices were checked", checked)
	}
	if got, want := item(t, "vinegar").Density.Float(), 1.0052; math.Abs(got-want) > 0.01 { // 5 % acetic acid, CRC, from memory
		t.Errorf("vinegar: %v g/ml", got)
	}
	for _, it := range BuiltIn() {
		if it.Category == "fat" && it.Density != nil && strings.Contains(it.Name, "oil") {
			if d := it.Density.Float(); d < 0.90 || d > 0.935 {
				t.Errorf("%s: %.3f g/ml is no oil's density", it.Name, d)
			}
		}
	}
	// One food in cups, spoons and fluid ounces: within 4 %, liquids only.
	for _, ndb := range []string{"01049", "01053", "02048", "02053", "04034", "04044", "04055", "09152", "14209", "14355"} {
		var ds []float64
		for _, id := range tab.IDs("measure") {
			if strings.HasPrefix(id, "measure:"+ndb+"/") {
				ds = append(ds, cell(t, tab, id, "implied_g_per_ml"))
			}
		}
		if len(ds) > 1 && (slices.Max(ds)-slices.Min(ds))/slices.Min(ds) > 0.04 {
			t.Errorf("%s: its measures give %v g/ml", ndb, ds)
		}
	}
}

// Usable shares: the larder's are the USDA's where it has the item; a kitchen
// textbook (Bakery and Business Math, ch. 25; read) lies within 5 points, but for those named.
func TestTrimYields(t *testing.T) {
	tab := tables(t)
	spread := map[string]string{
		"Cauliflower":     "39 % (USDA, without leaf stalks) against 45 %",
		"Strawberries":    "94 % (USDA) against 87 %",
		"Beets with tops": "67 % (USDA, part tops) against 49 %",
		"Carrots no tops": "89 % (USDA) against 82 %",
	}
	for text, name := range map[string]string{
		"Apricots": "apricot", "Asparagus": "asparagus", "Bananas": "banana", "Blackberries": "blackberries", "Broccoli": "broccoli",
		"Cabbage green": "cabbage", "Carrots no tops": "carrot", "Cauliflower": "cauliflower", "Strawberries": "strawberries", "Beets with tops": "beetroot",
	} {
		it := item(t, name)
		want := cell(t, tab, "trimtext:"+text, "yield_pct") / 100
		far := math.Abs(it.Usable.Float()-want) > 0.0501
		if _, known := spread[text]; far != known {
			t.Errorf("%s: usable %s, the textbook %v; a known spread: %v", name, it.Usable, want, known)
		}
	}
	for _, it := range BuiltIn() {
		if it.Usable != nil && it.UsableOrigin.From == FromTable && it.UsableOrigin.Source == "" {
			t.Errorf("%s: usable without a row", it.Name)
		}
	}
}

// Dextrose as kitchens buy it: one water a molecule, 18.015 of 198.17 (IUPAC molar masses, from memory).
func TestDextrose(t *testing.T) {
	d := item(t, "dextrose")
	if w := per100(t, d, mix.Water); math.Abs(w-100*18.015/198.17) > 0.02 {
		t.Errorf("water of dextrose: %v", w)
	}
	if sum := per100(t, d, mix.Water) + per100(t, d, mix.Glucose); math.Abs(sum-100) > 0.001 {
		t.Errorf("dextrose sums to %v", sum)
	}
}

// DE is the reducing power of the dry matter, glucose 100: at least what its
// glucose and half its maltose come to (definition; Kearsley & Dziedzic, Handbook of Starch Hydrolysis Products, 1995, from memory).
func TestDextroseEquivalents(t *testing.T) {
	n := 0
	for _, it := range BuiltIn() {
		if it.DE == nil {
			continue
		}
		n++
		dry := 100 - per100(t, it, mix.Water)
		least := (100*per100(t, it, mix.Glucose) + 52*per100(t, it, mix.Maltose)) / dry
		if de := it.DE.Float(); de < least-1 || de > 100 {
			t.Errorf("%s: DE %v, its glucose and maltose alone give %.1f", it.Name, de, least)
		}
	}
	if n < 9 {
		t.Errorf("%d items with a DE", n)
	}
}

// Milk fat and cocoa butter never exceed fat, kinds of sugar hardly the sugars.
func TestPartsOfWholes(t *testing.T) {
	for _, it := range BuiltIn() {
		for whole, parts := range map[mix.Key][]mix.Key{
			mix.Fat:    {mix.MilkFat, mix.CocoaButter},
			mix.Sugars: {mix.Sucrose, mix.Glucose, mix.Fructose, mix.Lactose, mix.Maltose},
		} {
			w, ok := it.Comp.Get(whole)
			if !ok {
				continue
			}
			sum := 0.0
			for _, p := range parts {
				if n, ok := it.Comp.Get(p); ok {
					sum += n.Float()
				}
			}
			if sum > 1.02*w.Float()+0.3 {
				t.Errorf("%s: %s %s, its kinds %.2f", it.Name, whole, w, sum)
			}
		}
	}
}

func TestCoverage(t *testing.T) {
	r := Coverage()
	t.Logf("\n%s", r)
	sum := 0
	for _, c := range r.Counts {
		if c.From == "" || c.Values == 0 || (c.From == FromTable) != (c.Table != "") {
			t.Errorf("%+v", c)
		}
		sum += c.Values
	}
	if sum != r.Values || r.Items != len(BuiltIn()) {
		t.Errorf("%d counted, %d values", sum, r.Values)
	}
}
