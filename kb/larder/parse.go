package larder

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/yamldoc"
)

// Codes of the faults and warnings that this package adds to those of yamldoc.
const (
	CodeNoName   = "no name"
	CodeRange    = "out of range"
	CodePrice    = "price"
	CodeAbove    = "composition above 101.5 g"
	mostEntries  = 5000
	mostPerEntry = 200 // items of one list or mapping
	longestName  = 120 // characters
	mostSynonyms = 60
)

var entryKeys = []string{
	"ingredient", "also", "per 100 g", "de", "brix", "energy", "density", "piece", "bloom", "pours", "contains", "may contain",
	"suits", "usable", "part of", "costs", "packs", "supplier", "keeps",
}

// Parse reads a house's larder.yaml into the entries as written, in the file's
// order, and all its faults and warnings. A key that cannot be read is left out
// of its entry; an entry without a readable name is left out.
func Parse(file string, data []byte) ([]*Item, []recipe.Fault) {
	p := parser{file: file, names: map[string]int{}}
	root, faults := yamldoc.Read(data, yamldoc.Limits{Bytes: recipe.MaxLarderBytes})
	if !root.Exists() && len(faults) == 1 && faults[0].Code == yamldoc.CodeEmpty {
		return nil, nil // a house that knows nothing more
	}
	if root.Exists() && !root.Empty() {
		p.entries(root)
	}
	faults = append(faults, p.faults.List()...)
	slices.SortStableFunc(faults, func(a, b yamldoc.Fault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	out := make([]recipe.Fault, len(faults))
	for i, f := range faults {
		out[i] = recipe.Fault{Level: recipe.LevelFault, Code: f.Code, File: file, Line: f.Line, Column: f.Column, Text: f.Text, Write: f.Write}
		if f.Warning {
			out[i].Level = recipe.LevelWarning
		}
	}
	return p.items, out
}

type parser struct {
	file   string
	items  []*Item
	names  map[string]int // folded name to line
	faults yamldoc.Faults
}

func (p *parser) entries(root yamldoc.Node) {
	if !p.faults.Seq(root, "larder.yaml", "- ingredient: NAME") {
		return
	}
	for i, n := range root.Items() {
		if i == mostEntries {
			p.faults.Add(n, CodeRange, fmt.Sprintf("More than %d ingredients stand here.", mostEntries), "fewer entries")
			return
		}
		p.entry(n)
	}
}

func (p *parser) entry(n yamldoc.Node) {
	if !p.faults.Map(n, "An entry", "- ingredient: NAME") {
		return
	}
	p.faults.Keys(n, entryKeys)
	it := &Item{House: true, Pos: recipe.Pos{File: p.file, Line: n.Line(), Column: n.Column()}}
	text, ok := p.text(n.Get("ingredient"), "ingredient")
	if !ok || !p.isName(n, text) {
		return
	}
	it.Name = text
	if line, twice := p.names[name.Fold(text)]; twice {
		p.faults.Add(n.Get("ingredient"), recipe.CodeTwice, fmt.Sprintf("“%s” has an entry on line %d already.", short(text), line), "one entry with all it knows")
		return
	}
	p.names[name.Fold(text)] = n.Line()
	p.also(it, n.Get("also"))
	p.composition(it, n)
	p.weights(it, n)
	p.allergens(it, n)
	p.trade(it, n)
	p.items = append(p.items, it)
}

func (p *parser) isName(entry yamldoc.Node, text string) bool {
	where := entry.Get("ingredient")
	if !where.Exists() {
		where = entry
	}
	switch {
	case name.Fold(text) == "":
		p.faults.Add(where, CodeNoName, "An entry needs the ingredient's name.", "ingredient: NAME")
		return false
	case len([]rune(text)) > longestName:
		p.faults.Add(where, CodeNoName, fmt.Sprintf("The name has more than %d characters.", longestName), "a shorter name")
		return false
	}
	return true
}

// text reads the text of a key; a key that is not there gives "".
func (p *parser) text(n yamldoc.Node, key string) (string, bool) {
	if !n.Exists() {
		return "", true
	}
	s, ok := p.faults.Text(n, key)
	return strings.TrimSpace(s), ok
}

// value reads a key's text with read; faults are told at n.
func value[T any](p *parser, n yamldoc.Node, key string, read func(string) (T, error)) (T, bool) {
	var none T
	if !n.Exists() {
		return none, false
	}
	s, ok := p.text(n, key)
	if !ok {
		return none, false
	}
	v, err := read(s)
	if err != nil {
		p.wrong(n, key, err)
		return none, false
	}
	return v, true
}

func (p *parser) wrong(n yamldoc.Node, key string, err error) {
	var w *recipe.FormError
	if !errors.As(err, &w) {
		w = &recipe.FormError{Code: yamldoc.CodeKind, Text: err.Error()}
	}
	p.faults.Add(n, w.Code, key+": "+w.Text, w.Write)
}

// number sets a pointer to the number that key holds.
func (p *parser) number(n yamldoc.Node, key string, into **quantity.Number, from *Origin, read func(string) (quantity.Number, error)) {
	if v, ok := value(p, n.Get(key), key, read); ok {
		*into, *from = &v, house
	}
}

var house = Origin{From: FromHouse}

// list reads texts: a list, or one text alone.
func (p *parser) list(n yamldoc.Node, key string) ([]string, bool) {
	if !n.Exists() {
		return nil, false
	}
	out := []string{}
	if n.Kind() == yamldoc.Text {
		if s := strings.TrimSpace(n.Text()); s != "" {
			out = append(out, s)
		}
		return out, true
	}
	if !p.faults.Seq(n, key, key+": [WORDS, WORDS]") {
		return nil, false
	}
	if n.Len() > mostPerEntry {
		p.faults.Add(n, CodeRange, fmt.Sprintf("%s has more than %d items.", key, mostPerEntry), "fewer")
		return nil, false
	}
	all := true
	for _, c := range n.Items() {
		s, ok := p.faults.Text(c, key)
		if s = strings.TrimSpace(s); ok && s != "" {
			out = append(out, s)
		} else {
			all = false
		}
	}
	return out, all
}

func (p *parser) also(it *Item, n yamldoc.Node) {
	names, _ := p.list(n, "also")
	if len(names) > mostSynonyms {
		p.faults.Add(n, CodeRange, fmt.Sprintf("also has more than %d names.", mostSynonyms), "fewer")
		names = names[:mostSynonyms]
	}
	for _, s := range names {
		if name.Fold(s) == "" || len([]rune(s)) > longestName {
			p.faults.Add(n, CodeNoName, fmt.Sprintf("“%s” is no name.", short(s)), "a shorter name in letters")
			continue
		}
		it.Also = append(it.Also, s)
	}
}

func (p *parser) composition(it *Item, n yamldoc.Node) {
	c := n.Get("per 100 g")
	if c.Exists() && p.faults.Map(c, "per 100 g", "per 100 g: {water: 59, fat: 35}") {
		for k, v := range c.Entries() {
			key, ok := mix.KeyNamed(k.Text())
			if !ok {
				if !slices.Contains([]string{"de", "brix", "energy"}, k.Text()) {
					p.faults.UnknownKey(k, perKeys())
				}
				continue
			}
			if g, ok := value(p, v, key.String(), gramsPer100); ok {
				it.Comp = it.Comp.With(key, g)
				it.CompSource[key] = house
				it.CompOrigin = house
			}
		}
		if sum := it.Comp.Total(); quantity.MustDecimal("101.5").Less(sum) {
			p.faults.Warn(c, CodeAbove, fmt.Sprintf("The composition of %s sums to %s g in 100 g.", short(it.Name), sum.Fixed(1)),
				"values that sum to at most 101.5 g")
		}
	}
	for _, at := range []yamldoc.Node{c, n} {
		p.number(at, "de", &it.DE, &it.DEOrigin, within(func(s string) (quantity.Number, error) { return bare(s, "DE", "%") }, 0, 100))
		p.number(at, "brix", &it.Brix, &it.BrixOrigin, within(func(s string) (quantity.Number, error) { return bare(s, "°Bx", "Bx", "°", "%") }, 0, 100))
		p.number(at, "energy", &it.Energy, &it.EnergyOrigin, within(energy, 0, 4000))
	}
	p.number(n, "bloom", &it.Bloom, &it.BloomOrigin, within(func(s string) (quantity.Number, error) { return bare(s, "g") }, 1, 400))
}

func perKeys() []string {
	var out []string
	for k := range mix.NumKeys {
		out = append(out, k.String())
	}
	return append(out, "de", "brix", "energy")
}

func gramsPer100(s string) (quantity.Number, error) {
	return within(func(s string) (quantity.Number, error) { return bare(s, "g") }, 0, 100)(s)
}

func energy(s string) (quantity.Number, error) { return measuredAs(s, quantity.KJ) }

// within is read with its ends checked.
func within(read func(string) (quantity.Number, error), lo, hi int64) func(string) (quantity.Number, error) {
	return func(s string) (quantity.Number, error) {
		n, err := read(s)
		if err == nil && (n.Less(quantity.Int(lo)) || quantity.Int(hi).Less(n)) {
			return n, wrong(CodeRange, fmt.Sprintf("a number from %d to %d", lo, hi), "%s is not between %d and %d.", n, lo, hi)
		}
		return n, err
	}
}
