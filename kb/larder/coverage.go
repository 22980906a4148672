package larder

import (
	"fmt"
	"slices"
	"strings"

	"tamis/calc/mix"
)

// Report counts the values of the built-in larder by where they come from.
type Report struct {
	Items       int
	Composition int // items of which the water is known
	Density     int // items with a density
	Piece       int // items with the mass of a piece
	Names       int // names and synonyms, each once an item
	Values      int
	Counts      []Count // in a fixed order
}

// Count is how many values come from one place.
type Count struct {
	From   string // as in [Origin]
	Table  string // prefix of the row ids: "usda", "ciqual"…; "" where no table is behind it
	Values int
}

// Coverage counts the built-in larder. The house's own values are not in it.
func Coverage() Report {
	var r Report
	for _, it := range BuiltIn() {
		r.Items++
		if _, ok := it.Comp.Get(mix.Water); ok {
			r.Composition++
		}
		if it.Density != nil {
			r.Density++
		}
		if it.Piece != nil {
			r.Piece++
		}
	}
	r.Names = len(builtIn().byName)
	counts := map[Count]int{}
	for f := range rows(valuesTSV, 6) {
		n := 1 + strings.Count(f[1], ";")
		c := Count{From: marks[f[3]]}
		if f[3] == "row" {
			c.Table, _, _ = strings.Cut(f[4], ":")
		}
		counts[c] += n
		r.Values += n
	}
	for c, n := range counts {
		c.Values = n
		r.Counts = append(r.Counts, c)
	}
	order := []string{FromTable, FromNature, FromPractice, FromMemory}
	slices.SortFunc(r.Counts, func(a, b Count) int {
		if d := slices.Index(order, a.From) - slices.Index(order, b.From); d != 0 {
			return d
		}
		return strings.Compare(a.Table, b.Table)
	})
	return r
}

var tableNames = map[string]string{
	"usda": "USDA National Nutrient Database, releases 27 and 28", "measure": "USDA household measures, release 28",
	"trim": "USDA refuse, release 28", "trimtext": "Bakery and Business Math, ch. 25", "ciqual": "Anses Ciqual 2020",
	"oiml": "OIML R 22 (1975)", "crc": "CRC Handbook, 102nd ed., section 5", "brix": "sucrose densities after Plato",
	"egg": "Regulation (EC) No 589/2008", "sweet": "molar masses", "bloom": "leaf gelatine grades",
}

// String writes the report as a table of Markdown.
func (r Report) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d ingredients, %d with a composition, %d with a density, %d with the mass of a piece; %d names.\n\n",
		r.Items, r.Composition, r.Density, r.Piece, r.Names)
	b.WriteString("| values | from | table |\n|---:|---|---|\n")
	for _, c := range r.Counts {
		from, table := c.From, tableNames[c.Table]
		if from == FromTable {
			from = "a published row"
		}
		fmt.Fprintf(&b, "| %d | %s | %s |\n", c.Values, from, table)
	}
	fmt.Fprintf(&b, "| %d | in all | |\n", r.Values)
	return b.String()
}
