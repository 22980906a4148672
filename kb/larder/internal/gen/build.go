package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/larder/internal/refrow"
)

// A value of one item, with where it comes from and by which rule.
type value struct {
	key          string
	n            quantity.Number
	mark         string // "row", "practice", "memory", "nature", "blend"
	source, rule string
}

type built struct {
	*entry
	values []value
	byKey  map[string]int
}

func (b *built) set(v value) {
	v.n = v.n.RoundTo(quantity.Frac(1, 10000))
	if i, ok := b.byKey[v.key]; ok {
		b.values[i] = v
		return
	}
	b.byKey[v.key] = len(b.values)
	b.values = append(b.values, v)
}

func (b *built) get(key string) (quantity.Number, bool) {
	i, ok := b.byKey[key]
	if !ok {
		return quantity.Number{}, false
	}
	return b.values[i].n, true
}

func (b *built) drop(key string) {
	i, ok := b.byKey[key]
	if !ok {
		return
	}
	b.values = slices.Delete(b.values, i, i+1)
	b.byKey = map[string]int{}
	for i, v := range b.values {
		b.byKey[v.key] = i
	}
}

type builder struct {
	tables *refrow.Tables
	items  map[string]*built
}

func (bd *builder) item(name, key string) (quantity.Number, error) {
	it := bd.items[name]
	if it == nil {
		return quantity.Number{}, fmt.Errorf("no entry %q before this one", name)
	}
	n, ok := it.get(key)
	if !ok {
		return n, fmt.Errorf("%q has no %s", name, key)
	}
	return n, nil
}

func (bd *builder) build(e *entry) (*built, error) {
	b := &built{entry: e, byKey: map[string]int{}}
	steps := []func(*built) error{bd.fromRows, bd.fromSkim, bd.fromBlend, bd.fromRules, bd.stated, bd.weights, bd.strength, bd.nature, bd.difference, bd.check}
	for _, step := range steps {
		if err := step(b); err != nil {
			return nil, fmt.Errorf("%s:%d: %s: %w", e.file, e.line, e.name, err)
		}
	}
	bd.items[e.name] = b
	return b, nil
}

// columns are the rules by which a table's columns become keys.
var columns = map[string][]struct{ key, rule string }{
	"usda": {
		{"water", "water_g"}, {"fat", "fat_g"}, {"protein", "protein_g"}, {"sugars", "sugars_g"}, {"fibre", "fibre_g"}, {"ash", "ash_g"},
		{"alcohol", "alcohol_g_by_difference"}, {"energy", "energy_kcal*4.184"},
	},
	"ciqual": {
		{"water", "eau_g"}, {"fat", "lipides_g"}, {"protein", "proteines_g"}, {"sugars", "sucres_g"}, {"sucrose", "saccharose_g"},
		{"glucose", "glucose_g"}, {"fructose", "fructose_g"}, {"lactose", "lactose_g"}, {"maltose", "maltose_g"}, {"starch", "amidon_g"},
		{"fibre", "fibres_g"}, {"polyols", "polyols_g"}, {"ash", "cendres_g"}, {"alcohol", "alcool_g"}, {"salt", "sel_g"}, {"energy", "energie_kcal*4.184"},
	},
}

var sugarGroup = []string{"sugars", "sucrose", "glucose", "fructose", "lactose", "maltose"}

func (e *entry) flag(f string) bool { return slices.Contains(e.flags, f) }

// fromRows takes each key from the first row that prints a number, else from
// one that prints "under 0.5". All sugars come from one table: the first that
// tells them apart, else the first that has them.
func (bd *builder) fromRows(b *built) error {
	sugarRow := ""
	for _, pass := range []string{"saccharose_g", "sucres_g", "sugars_g"} {
		for _, r := range b.rows {
			if c, err := bd.tables.Cell(r, pass); sugarRow == "" && err == nil && c != "" {
				sugarRow = r
			}
		}
	}
	for _, r := range b.rows {
		if !bd.tables.Has(r) {
			return fmt.Errorf("no row %s", r)
		}
		prefix, _, _ := strings.Cut(r, ":")
		for _, c := range columns[prefix] {
			if slices.Contains(sugarGroup, c.key) && (r != sugarRow || b.flag("nosugars")) {
				continue
			}
			n, err := compute(bd.tables, r, c.rule, nil)
			rule := c.rule
			if errors.Is(err, errWeak) {
				if n, err = compute(bd.tables, r, "low("+c.rule+")", nil); err != nil {
					continue
				}
				rule = "low(" + c.rule + ")"
			}
			if err != nil {
				return err
			}
			if i, ok := b.byKey[c.key]; ok && (!strings.HasPrefix(b.values[i].rule, "low(") || strings.HasPrefix(rule, "low(")) {
				continue
			}
			b.set(value{c.key, n, "row", r, rule})
		}
	}
	if b.flag("starchy") {
		if err := bd.starch(b); err != nil {
			return err
		}
	}
	return bd.kinds(b)
}

// starch counts what carbohydrate by difference is neither fibre nor sugars as starch.
func (bd *builder) starch(b *built) error {
	if _, ok := b.get("starch"); ok {
		return nil
	}
	for _, r := range b.rows {
		rule := "carbohydrate_g-fibre_g"
		if strings.HasPrefix(r, "ciqual:") {
			rule = "glucides_g"
		}
		if s, ok := b.get("sugars"); ok {
			rule = fmt.Sprintf("max(0,%s-%s)", rule, s)
		}
		if n, err := compute(bd.tables, r, rule, nil); err == nil {
			b.set(value{"starch", n, "row", r, rule})
			return nil
		}
	}
	return errors.New("starchy, but no row has its carbohydrate")
}

// kinds splits plain dairy's sugars and fat and chocolate's fat, which have one kind.
func (bd *builder) kinds(b *built) error {
	copyOf := func(key, of string) {
		if i, ok := b.byKey[of]; ok {
			if _, stated := b.byKey[key]; !stated {
				v := b.values[i]
				v.key = key
				b.set(v)
			}
		}
	}
	if b.category == "dairy" && !b.flag("mixed") {
		copyOf("milk fat", "fat")
		if v, ok := b.get("lactose"); !ok || v.IsZero() {
			b.drop("lactose")
			copyOf("lactose", "sugars")
		}
	}
	if b.flag("cocoa") {
		copyOf("cocoa butter", "fat")
	}
	return nil
}

// fromSkim makes milk and cream of a stated fat: skimmed milk with its fat put up to it.
func (bd *builder) fromSkim(b *built) error {
	if b.milk == "" {
		return nil
	}
	f, err := quantity.Decimal(b.milk)
	if err != nil {
		return err
	}
	b.set(value{"fat", f, "practice", "", ""})
	b.set(value{"milk fat", f, "practice", "", ""})
	for _, c := range []struct{ key, row, col, fat string }{
		{"water", "usda:01085", "water_g", "fat_g"}, {"protein", "usda:01085", "protein_g", "fat_g"}, {"sugars", "usda:01085", "sugars_g", "fat_g"},
		{"lactose", "usda:01085", "sugars_g", "fat_g"}, {"ash", "usda:01085", "ash_g", "fat_g"}, {"salt", "ciqual:19051", "sel_g", "lipides_g"},
	} {
		if err := bd.setRule(b, c.key, c.row, fmt.Sprintf("%s*(100-%s)/(100-%s)", c.col, b.milk, c.fat)); err != nil {
			return err
		}
	}
	return nil
}

// fromBlend makes a blend of entries above: keys that all of them have.
func (bd *builder) fromBlend(b *built) error {
	if b.blend == "" {
		return nil
	}
	type share struct{ n, name string }
	var parts []share
	for p := range strings.SplitSeq(b.blend, " + ") {
		n, name, ok := strings.Cut(strings.TrimSpace(p), " ")
		if !ok || bd.items[name] == nil {
			return fmt.Errorf("no entry %q above", name)
		}
		parts = append(parts, share{n, name})
	}
	for k := range mix.NumKeys {
		var terms []string
		for _, p := range parts {
			terms = append(terms, fmt.Sprintf("%s*[%s|%s]/100", p.n, p.name, k))
		}
		r := strings.Join(terms, "+")
		n, err := compute(bd.tables, "", r, bd.item)
		if err != nil {
			continue // one of them does not know
		}
		b.set(value{k.String(), n, "blend", b.blend, r})
	}
	return nil
}

func (bd *builder) fromRules(b *built) error {
	for _, r := range b.rules {
		n, err := compute(bd.tables, r.row, r.rule, bd.item)
		if err != nil {
			return err
		}
		b.set(value{r.key, n, "row", r.row, r.rule})
	}
	return nil
}

func (bd *builder) stated(b *built) error {
	for i, ps := range [][]pair{b.memory, b.common} {
		mark := []string{"memory", "practice"}[i]
		for _, p := range ps {
			n, err := quantity.Decimal(p.value)
			if err != nil {
				return err
			}
			key := p.key
			if key == "kcal" {
				key, n = "energy", n.Mul(quantity.MustDecimal("4.184"))
			}
			b.set(value{key, n, mark, "", ""})
		}
	}
	return nil
}

// nature sets the zeros that follow from what the thing is.
func (bd *builder) nature(b *built) error {
	zero := func(keys ...string) {
		for _, k := range keys {
			if _, ok := b.get(k); !ok && !slices.Contains(b.unknown, k) {
				b.set(value{k, quantity.Number{}, "nature", "", ""})
			}
		}
	}
	zero(b.zero...)
	zero(natureZeros(b.category)...)
	if b.category == "dairy" && !b.flag("mixed") {
		zero("sucrose", "glucose", "fructose", "maltose")
	}
	if n, ok := b.get("fat"); ok && n.IsZero() {
		zero("milk fat", "cocoa butter")
	}
	if n, ok := b.get("sugars"); ok && n.IsZero() {
		zero(sugarGroup...)
	}
	for _, k := range b.unknown {
		b.drop(k)
	}
	return nil
}

// difference sets other carbohydrate to what the row's carbohydrate holds beyond
// the parts that are known. A table's carbohydrate by difference holds the acids,
// so it is only done where starch is known.
func (bd *builder) difference(b *built) error {
	if _, ok := b.get("other carbohydrate"); ok || len(b.rows) == 0 || b.flag("nodiff") || slices.Contains(b.unknown, "other carbohydrate") {
		return nil
	}
	if b.category == "fruit" || b.category == "herb" {
		if _, ok := b.get("starch"); !ok && !slices.Contains(b.unknown, "starch") {
			b.set(value{"starch", quantity.Number{}, "memory", "", ""})
		}
	}
	known := func(keys ...string) (string, bool) {
		out := ""
		for _, k := range keys {
			n, ok := b.get(k)
			if !ok {
				return "", false
			}
			if !n.IsZero() {
				out += "-" + n.String()
			}
		}
		return out, true
	}
	r := b.rows[0]
	var rule string
	if strings.HasPrefix(r, "usda:") {
		parts, ok := known("fibre", "sugars", "starch", "polyols")
		if !ok {
			return nil
		}
		if ac, ok := b.get("acid"); ok && !ac.IsZero() {
			parts += "-" + ac.String()
		}
		rule = "max(0,carbohydrate_g" + parts + ")"
	} else {
		parts, ok := known("sugars", "starch", "polyols")
		if !ok {
			return nil
		}
		rule = "max(0,glucides_g" + parts + ")"
	}
	n, err := compute(bd.tables, r, rule, nil)
	if err != nil {
		return nil
	}
	b.set(value{"other carbohydrate", n, "row", r, rule})
	return nil
}

func (bd *builder) check(b *built) error {
	var c mix.Composition
	for _, v := range b.values {
		if k, ok := mix.KeyNamed(v.key); ok {
			if v.n.Sign() < 0 || quantity.Int(100).Less(v.n) {
				return fmt.Errorf("%s is %s", v.key, v.n)
			}
			c = c.With(k, v.n)
		}
	}
	if t := c.Total(); quantity.MustDecimal("101.5").Less(t) {
		return fmt.Errorf("sums to %s g", t)
	}
	kinds := func(whole string, parts ...string) error {
		w, ok := b.get(whole)
		sum := quantity.Number{}
		for _, p := range parts {
			n, _ := b.get(p)
			sum = sum.Add(n)
		}
		if ok && w.Mul(quantity.MustDecimal("1.02")).Add(quantity.MustDecimal("0.3")).Less(sum) {
			return fmt.Errorf("%s %s, but its kinds sum to %s", whole, w, sum)
		}
		return nil
	}
	return errors.Join(kinds("sugars", sugarGroup[1:]...), kinds("fat", "milk fat", "cocoa butter"))
}
