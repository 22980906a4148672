package larder

import (
	"strings"
	"testing"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

const cream = `- ingredient: cream 35 %
  also: [cream, heavy cream, whipping cream]
  per 100 g: {water: 59, fat: 35, milk fat: 35, protein: 2.1, lactose: 3.1, sugars: 3.1, ash: 0.5}
  density: 0.995 g/ml
  pours: true
  contains: [milk]                      # a comment
  costs: 5.20 EUR/kg
  packs: [1 l, 5 l]
  supplier: dairy round
  keeps: 7 days in fridge
- ingredient: gelatine leaf
  piece: 2 g
  bloom: 200
  suits: []
- ingredient: thyme
  piece: {sprig: 1 g, bunch: 30 g}
  may contain: [celery, nuts (walnut)]
  part of: {herb bunch: 36 %}
  usable: 88 %
  costs: 3.10 EUR per 500 g
  keeps: [4 days in fridge, 24 h in fridge after opening, never freeze]
- ingredient: apple syrup
  de: 42
  brix: 72
  energy: 290 kcal
`

// As in the house book's contract.
func TestParse(t *testing.T) {
	items, faults := Parse("larder.yaml", []byte(cream))
	if len(faults) != 0 {
		t.Fatalf("faults: %v", faults)
	}
	if len(items) != 4 {
		t.Fatalf("got %d entries", len(items))
	}
	c := items[0]
	if c.Name != "cream 35 %" || strings.Join(c.Also, "|") != "cream|heavy cream|whipping cream" || c.Pos.Line != 1 || !c.House {
		t.Errorf("names: %q %q %+v", c.Name, c.Also, c.Pos)
	}
	for k, want := range map[mix.Key]string{mix.Water: "59", mix.MilkFat: "35", mix.Protein: "2.1", mix.Ash: "0.5"} {
		if n, ok := c.Comp.Get(k); !ok || n.String() != want {
			t.Errorf("%s: got %s %v", k, n, ok)
		}
	}
	if _, ok := c.Comp.Get(mix.Salt); ok {
		t.Error("salt that nobody wrote is known")
	}
	if c.Density.String() != "0.995" || !*c.Pours || !c.ContainsKnown || c.Contains[0].Name != "milk" {
		t.Errorf("density, pours, contains: %+v", c)
	}
	if c.Price.String() != "5.2 EUR" || c.PricePer.String() != "1 kg" || c.Packs[1].String() != "5 l" || c.Supplier != "dairy round" {
		t.Errorf("trade: %v per %v, %v", c.Price, c.PricePer, c.Packs)
	}
	if k := c.Keeps[0]; k.Time.String() != "7 d" || k.Where != "fridge" {
		t.Errorf("keeps: %+v", k)
	}
	g := items[1]
	if n := g.Piece[""]; n.String() != "2" || g.Bloom.String() != "200" || !g.SuitsKnown || len(g.Suits) != 0 || g.ContainsKnown || g.Contains != nil {
		t.Errorf("gelatine: %+v", g)
	}
	h := items[2]
	bunch := h.Piece["bunch"]
	if bunch.String() != "30" || h.MayContain[1] != (recipe.Allergen{Name: "nuts", Kind: "walnut"}) || h.Usable.String() != "0.88" {
		t.Errorf("thyme: %+v", h)
	}
	if p := h.PartOf["herb bunch"]; p.String() != "0.36" {
		t.Errorf("part of: %v", h.PartOf)
	}
	if h.Price.String() != "3.1 EUR" || h.PricePer.String() != "500 g" {
		t.Errorf("price: %v per %v", h.Price, h.PricePer)
	}
	if k := h.Keeps[1]; k.Time.String() != "24 h" || k.Where != "fridge" || k.After != "opening" || h.Keeps[2].Time != nil {
		t.Errorf("keeps: %+v", h.Keeps)
	}
	if s := items[3]; s.DE.String() != "42" || s.Brix.String() != "72" || s.Energy.String() != "1213.36" {
		t.Errorf("syrup: %v %v %v", s.DE, s.Brix, s.Energy)
	}
}

func TestParseFaults(t *testing.T) {
	tests := []struct {
		name, in, code string
		line           int
		write          string // contained in what to write
		entries        int
	}{
		{"unknown key", "- ingredient: milk\n  contians: [milk]", "unknown key", 2, "contains", 1},
		{"unknown component", "- ingredient: milk\n  per 100 g: {watr: 3}", "unknown key", 2, "water", 1},
		{"no list", "ingredient: milk", "wrong form", 1, "- ingredient", 0},
		{"no name", "- also: [milk]", "no name", 1, "ingredient: NAME", 0},
		{"empty name", "- ingredient: '--'", "no name", 1, "ingredient: NAME", 0},
		{"twice", "- ingredient: Milk\n- ingredient: milks", "name twice", 2, "one entry", 1},
		{"ambiguous number", "- ingredient: x\n  per 100 g: {energy: 1 200 kJ}", "ambiguous number", 2, "1200", 1},
		{"thousands comma", "- ingredient: x\n  costs: 1,200 EUR/kg", "ambiguous number", 2, "1200 or 1.2", 1},
		{"allergen", "- ingredient: x\n  contains: [mlik]", "unknown allergen", 2, "milk", 1},
		{"allergens left empty", "- ingredient: x\n  contains:", "wrong form", 2, "[] for none", 1},
		{"above 100", "- ingredient: x\n  per 100 g: {water: 101}", "out of range", 2, "0 to 100", 1},
		{"negative", "- ingredient: x\n  per 100 g: {water: -1}", "number", 2, "a number", 1},
		{"unit of density", "- ingredient: x\n  density: 5 g", "wrong kind of unit", 2, "g/ml", 1},
		{"unit of energy", "- ingredient: x\n  energy: 5 g", "wrong kind of unit", 2, "kJ", 1},
		{"usable", "- ingredient: x\n  usable: 120 %", "out of range", 2, "100 %", 1},
		{"price without amount", "- ingredient: x\n  costs: 5 EUR", "price", 2, "EUR/kg", 1},
		{"price in a sign", "- ingredient: x\n  costs: 5 €/kg", "price", 2, "EUR/kg", 1},
		{"pours", "- ingredient: x\n  pours: yes", "wrong form", 2, "pours: true", 1},
		{"decimal comma in brackets", "- ingredient: x\n  per 100 g: {water: 1,2, fat: 3}", "decimal comma", 2, "quotes", 1},
		{"anchor", "- ingredient: &a x", "anchor", 1, "", 1},
		{"second document", "- ingredient: x\n---\n- ingredient: y", "second document", 2, "", 1},
		{"too large", "# " + strings.Repeat("x", recipe.MaxLarderBytes), "too large", 0, "", 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			items, faults := Parse("larder.yaml", []byte(tt.in))
			if len(items) != tt.entries {
				t.Errorf("%d entries, want %d", len(items), tt.entries)
			}
			for _, f := range faults {
				if f.Code == tt.code && f.Line == tt.line && strings.Contains(f.Write, tt.write) && f.Level == recipe.LevelFault && f.File == "larder.yaml" {
					return
				}
			}
			t.Errorf("no fault %q on line %d with %q in: %v", tt.code, tt.line, tt.write, faults)
		})
	}
}

func TestParseWarnings(t *testing.T) {
	// 60 + 35 + 5 + 1.4 is under 101.5, milk fat being part of fat; 1.6 is above.
	_, faults := Parse("larder.yaml", []byte("- ingredient: x\n  per 100 g: {water: 60, fat: 35, milk fat: 35, sugars: 5, lactose: 5, ash: 1.4}"))
	if len(faults) != 0 {
		t.Errorf("got %v", faults)
	}
	_, faults = Parse("larder.yaml", []byte("- ingredient: x\n  per 100 g: {water: 60, fat: 35, milk fat: 35, sugars: 5, lactose: 5, ash: 1.6}"))
	if len(faults) != 1 || faults[0].Level != recipe.LevelWarning || faults[0].Code != CodeAbove || !strings.Contains(faults[0].Text, "101.6") {
		t.Errorf("got %v", faults)
	}
	if items, faults := Parse("larder.yaml", []byte("# nothing yet\n")); items != nil || faults != nil {
		t.Errorf("a larder of comments: %v %v", items, faults)
	}
}

func TestNumber(t *testing.T) {
	tests := []struct{ in, want, rest string }{
		{"5.20 EUR", "5.2", "EUR"}, {"1,2 kg", "1.2", "kg"}, {"1 1/2 kg", "1.5", "kg"}, {"1/2", "0.5", ""}, {"½ l", "0.5", "l"},
		{"2 ½ l", "2.5", "l"}, {"12", "12", ""}, {"3 g", "3", "g"}, {"0,25", "0.25", ""}, {"1.250 kg", "1.25", "kg"},
	}
	for _, tt := range tests {
		n, rest, err := number(tt.in)
		if err != nil || n.String() != tt.want || rest != tt.rest {
			t.Errorf("number(%q) = %s, %q, %v", tt.in, n, rest, err)
		}
	}
	for _, in := range []string{"", "x", "1,200", "1 200", "-3", "9999999999999"} {
		if n, rest, err := number(in); err == nil {
			t.Errorf("number(%q) = %s, %q, want an error", in, n, rest)
		}
	}
}

func TestPrice(t *testing.T) {
	tests := []struct{ in, money, per string }{
		{"5.20 EUR/kg", "5.2 EUR", "1 kg"}, {"3.10 EUR per 500 g", "3.1 EUR", "500 g"}, {"0.32 EUR each", "0.32 EUR", "1 each"},
		{"4 NOK per 12 pods", "4 NOK", "12 pods"}, {"4 NOK / l", "4 NOK", "1 l"}, {"4 NOK/bunch", "4 NOK", "1 bunch"}, {"4 NOK per bunch", "4 NOK", "1 bunch"},
	}
	for _, tt := range tests {
		m, per, err := price(tt.in)
		if err != nil || m.String() != tt.money || per.String() != tt.per {
			t.Errorf("price(%q) = %s, %s, %v", tt.in, m, per, err)
		}
	}
	for _, in := range []string{"5 EUR", "EUR/kg", "5 eur/kg", "5 EURO/kg", "5 EUR per 0 g", "5 EUR per", "5 EUR/°C"} {
		if m, per, err := price(in); err == nil {
			t.Errorf("price(%q) = %s, %s", in, m, per)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(cream))
	f.Add([]byte("- ingredient: x\n  piece: {a: 1 g}\n  costs: 1 EUR per 3\n  keeps: [1 h after]"))
	f.Add([]byte("- {ingredient: x, per 100 g: {fat: 1,2}, also: x}"))
	f.Add([]byte("- ingredient: ½\n  packs: [½, 1/2 kg]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		items, faults := Parse("larder.yaml", data)
		for _, it := range items {
			if it.Name == "" || it.Price != nil && it.PricePer.N.Sign() <= 0 || it.Contains == nil && it.ContainsKnown {
				t.Errorf("bad entry: %+v", it)
			}
			for k := range mix.NumKeys {
				if n, ok := it.Comp.Get(k); ok && (n.Sign() < 0 || quantity.Int(100).Less(n)) {
					t.Errorf("%s is %s g in 100 g", k, n)
				}
			}
		}
		for _, fa := range faults {
			if fa.Text == "" || fa.Code == "" || fa.Level == "" {
				t.Errorf("a fault without words: %+v", fa)
			}
		}
		l := New(items)
		for _, it := range items {
			if got := l.Find(it.Name); got == nil || got.Name != it.Name {
				t.Errorf("%q is not found", it.Name)
			}
		}
	})
}
