package larder

import (
	_ "embed" // the data files
	"fmt"
	"iter"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/recipe"
)

//go:generate go run ./internal/gen

// The data files are tables with tabs, in order of name. They were checked when they
// were written and are again by the tests, so a bad one is a bug and panics.
var (
	//go:embed data/items.tsv
	itemsTSV string
	//go:embed data/values.tsv
	valuesTSV string
	//go:embed data/names.tsv
	namesTSV string
	//go:embed data/index.tsv
	indexTSV string
)

// decode reads the items and the index. Values and the names in other languages
// are read when an item is first asked for: opening the larder stays cheap.
func decode() *builtin {
	n := strings.Count(itemsTSV, "\n")
	b := &builtin{all: make([]*Item, 0, n), lazy: make([]lazy, n), byName: make(map[string]int32, 12*n), titles: make(map[string]int32, n)}
	store := make([]Item, n)
	for f := range rows(itemsTSV, 10) {
		it := &store[len(b.all)]
		decodeItem(it, f)
		b.all = append(b.all, it)
	}
	blocks(valuesTSV, b.all, func(i int, block string) { b.lazy[i].values = block })
	blocks(namesTSV, b.all, func(i int, block string) { b.lazy[i].names = block })
	var at int32
	for f := range rows(indexTSV, 2) {
		first, _, _ := strings.Cut(f[1], ";")
		b.titles[first] = at
		for s := range strings.SplitSeq(f[1], ";") {
			b.byName[s] = at
		}
		at++
	}
	return b
}

// blocks cuts a table into the lines of each item; it is in the order of all.
func blocks(tsv string, all []*Item, take func(i int, block string)) {
	rest := tsv
	for strings.HasPrefix(rest, "#") {
		_, rest, _ = strings.Cut(rest, "\n")
	}
	for i, it := range all {
		end := 0
		for strings.HasPrefix(rest[end:], it.Name) && strings.HasPrefix(rest[end+len(it.Name):], "\t") {
			end += strings.IndexByte(rest[end:], '\n') + 1
		}
		take(i, rest[:end])
		rest = rest[end:]
	}
	if rest != "" {
		panic(fmt.Sprintf("larder data: nobody's line %.80q", rest))
	}
}

// complete reads what decode left out.
func complete(it *Item, values, names string) {
	for f := range rows(values, 6) {
		decodeValue(it, f)
	}
	for f := range rows(names, 3) {
		for s := range strings.SplitSeq(f[2], ";") {
			it.Also = append(it.Also, s)
		}
	}
	it.CompOrigin = it.CompSource[mix.Water]
	for k := mix.Water; it.CompOrigin.From == "" && k < mix.NumKeys; k++ {
		it.CompOrigin = it.CompSource[k]
	}
}

// rows ranges over the lines of a table without its comments; the slice is used again.
func rows(tsv string, columns int) iter.Seq[[]string] {
	return func(yield func([]string) bool) {
		f := make([]string, columns)
		for line := range strings.Lines(tsv) {
			if strings.HasPrefix(line, "#") {
				continue
			}
			rest, ok := strings.TrimSuffix(line, "\n"), true
			for i := range columns {
				if !ok {
					panic(fmt.Sprintf("larder data: %d columns in %q", i, line))
				}
				f[i], rest, ok = strings.Cut(rest, "\t")
			}
			if ok {
				panic(fmt.Sprintf("larder data: more than %d columns in %q", columns, line))
			}
			if !yield(f) {
				return
			}
		}
	}
}

func words(s string) []string {
	if s == "" {
		return nil
	}
	return strings.Split(s, ";")
}

var pours = true

func decodeItem(it *Item, f []string) {
	it.Name, it.Category, it.Cautions, it.AnimalWay = f[0], f[1], words(f[8]), f[9]
	it.Also = words(f[2])
	if f[3] == "yes" {
		it.Pours = &pours
	}
	if f[4] != "?" {
		it.Contains, it.ContainsKnown = allergenWords(f[4]), true
		it.ContainsOrigin = Origin{From: FromNature}
		if f[6] != "" {
			it.ContainsOrigin = Origin{From: FromTable, Source: f[6]}
		}
	}
	if f[5] != "" {
		it.MayContain = allergenWords(f[5])
	}
	if f[7] != "?" {
		it.Suits, it.SuitsKnown = []string{}, true
		if f[7] != "-" {
			it.Suits = words(f[7])
		}
	}
}

func allergenWords(s string) []recipe.Allergen {
	out := []recipe.Allergen{}
	if s == "-" {
		return out
	}
	for w := range strings.SplitSeq(s, ";") {
		a, err := recipe.ParseAllergen(w)
		if err != nil {
			panic(fmt.Sprintf("larder data: %v", err))
		}
		out = append(out, a)
	}
	return out
}

var marks = map[string]string{
	"row": FromTable, "practice": FromPractice, "memory": FromMemory, "nature": FromNature, "blend": FromPractice,
}

func decodeValue(it *Item, f []string) {
	n := decimal(f[2])
	from, ok := marks[f[3]]
	if !ok {
		panic(fmt.Sprintf("larder data: mark %q of %s", f[3], f[0]))
	}
	o := Origin{From: from, Source: f[4]}
	for key := range strings.SplitSeq(f[1], ";") {
		if k, ok := mix.KeyNamed(key); ok {
			it.Comp = it.Comp.With(k, n)
			it.CompSource[k] = o
			continue
		}
		v := n
		switch kind, word, _ := strings.Cut(key, " "); {
		case key == "energy":
			it.Energy, it.EnergyOrigin = &v, o
		case key == "density":
			it.Density, it.DensityOrigin = &v, o
		case key == "usable":
			it.Usable, it.UsableOrigin = &v, o
		case key == "de":
			it.DE, it.DEOrigin = &v, o
		case key == "brix":
			it.Brix, it.BrixOrigin = &v, o
		case key == "bloom":
			it.Bloom, it.BloomOrigin = &v, o
		case key == "strength":
			it.Strength, it.StrengthOrigin = &v, o
		case kind == "piece":
			if it.Piece == nil {
				it.Piece, it.PieceOrigin = map[string]quantity.Number{}, o
			}
			it.Piece[word] = v
		case kind == "part":
			if it.PartOf == nil {
				it.PartOf, it.PartOfOrigin = map[string]quantity.Number{}, o
			}
			it.PartOf[strings.TrimPrefix(word, "of ")] = v
		default:
			panic(fmt.Sprintf("larder data: key %q of %s", key, f[0]))
		}
	}
}

// decimal reads a plain decimal of at most four places.
func decimal(s string) quantity.Number {
	var n, scale int64 = 0, 1
	point := false
	for i := range len(s) {
		switch c := s[i]; {
		case c == '.' && !point:
			point = true
		case c >= '0' && c <= '9':
			n = n*10 + int64(c-'0')
			if point {
				scale *= 10
			}
		default:
			panic(fmt.Sprintf("larder data: number %q", s))
		}
	}
	if n == 0 {
		return quantity.Number{}
	}
	return quantity.Frac(n, scale)
}
