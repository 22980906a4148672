package main

import (
	"fmt"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/name"
)

// US household measures in ml, as the comment of household-measures-usda.csv says.
var measures = []struct{ word, ml string }{
	{"fl oz", "29.574"}, {"cup", "236.588"}, {"tablespoon", "14.787"}, {"tbsp", "14.787"}, {"tsp", "4.929"}, {"quart", "946.353"}, {"liter", "1000"},
}

// ruleFor returns the rule that turns a row into what key wants.
func ruleFor(key, row string) (string, error) {
	prefix, rest, _ := strings.Cut(row, ":")
	switch {
	case key == "density" && prefix == "measure":
		return "implied_g_per_ml", nil
	case key == "density" && (prefix == "brix" || prefix == "oiml"):
		return "density_kg_m3/1000", nil
	case key == "density" && prefix == "crc":
		return "density", nil
	case key == "density" && prefix == "usda":
		ml, first := "", len(rest) // of "1 cup (8 fl oz)" the cup
		for _, m := range measures {
			if i := strings.Index(rest, m.word); i >= 0 && i < first {
				ml, first = m.ml, i
			}
		}
		if ml != "" {
			return "grams/(amount*" + ml + ")", nil
		}
	case key == "usable" && (prefix == "trim" || prefix == "trimtext"):
		return "yield_pct/100", nil
	case key == "usable" && prefix == "usda":
		return "(100-refuse_pct)/100", nil
	case strings.HasPrefix(key, "piece") && (prefix == "usda" || prefix == "measure"):
		return "grams/amount", nil
	case strings.HasPrefix(key, "piece") && prefix == "egg":
		return "g_from", nil
	}
	return "", fmt.Errorf("no rule for %s from %s", key, row)
}

// sourced sets key from "ROW", "VALUE cp", "VALUE mem" or "RULE @ ROW".
func (bd *builder) sourced(b *built, key, text string) error {
	if r, row, ok := strings.Cut(text, "@"); ok {
		row = strings.TrimSpace(row)
		n, err := compute(bd.tables, row, strings.TrimSpace(r), bd.item)
		if err != nil {
			return err
		}
		b.set(value{key, n, "row", row, strings.TrimSpace(r)})
		return nil
	}
	for suffix, mark := range map[string]string{" cp": "practice", " mem": "memory"} {
		if v, ok := strings.CutSuffix(text, suffix); ok {
			n, err := quantity.Decimal(strings.TrimSpace(v))
			if err != nil {
				return err
			}
			b.set(value{key, n, mark, "", ""})
			return nil
		}
	}
	r, err := ruleFor(key, text)
	if err != nil {
		return err
	}
	n, err := compute(bd.tables, text, r, nil)
	if err != nil {
		return err
	}
	b.set(value{key, n, "row", text, r})
	return nil
}

func (bd *builder) weights(b *built) error {
	if b.density != "" {
		if err := bd.sourced(b, "density", b.density); err != nil {
			return err
		}
	}
	if b.usable != "" {
		if err := bd.sourced(b, "usable", b.usable); err != nil {
			return err
		}
	}
	for _, g := range []struct {
		prefix string
		list   []string
	}{{"piece", b.pieces}, {"part of", b.wholes}} {
		for _, p := range g.list {
			word, from, ok := strings.Cut(p, "=")
			if !ok {
				return fmt.Errorf("want WORD=SOURCE in %q", p)
			}
			word = name.Fold(word)
			if word == "any" {
				word = ""
			}
			if err := bd.sourced(b, strings.TrimSpace(g.prefix+" "+word), strings.TrimSpace(from)); err != nil {
				return err
			}
		}
	}
	return nil
}

// strength sets alcohol, and where nothing else is stated density and water,
// from the alcohol by volume through the alcoholometric tables.
func (bd *builder) strength(b *built) error {
	if b.abv == "" {
		return nil
	}
	v, err := quantity.Decimal(b.abv)
	if err != nil {
		return err
	}
	b.set(value{"strength", v, "practice", "", ""})
	// The table has every second % vol: in between it is read straight.
	lo := v.Div(quantity.Int(2)).Floor().Mul(quantity.Int(2))
	up := v.Sub(lo).Div(quantity.Int(2))
	cell := func(col string) (row, rule string) {
		if up.IsZero() {
			return "oiml:" + lo.String(), col
		}
		hi := lo.Add(quantity.Int(2))
		return "oiml:" + lo.String(), fmt.Sprintf("%s*%s+[oiml:%s %s]*%s", col, quantity.Int(1).Sub(up), hi, col, up)
	}
	if d, ok := b.get("density"); ok {
		row, r := cell("ethanol_g_per_L")
		rule := fmt.Sprintf("(%s)/(10*%s)", r, d)
		if err := bd.setRule(b, "alcohol", row, rule); err != nil {
			return err
		}
	} else {
		row, r := cell("mass_pct")
		if err := bd.setRule(b, "alcohol", row, r); err != nil {
			return err
		}
		row, r = cell("density_kg_m3")
		if err := bd.setRule(b, "density", row, "("+r+")/1000"); err != nil {
			return err
		}
		if _, ok := b.get("water"); !ok {
			row, r = cell("mass_pct")
			return bd.setRule(b, "water", row, "100-("+r+")")
		}
	}
	return nil
}

func (bd *builder) setRule(b *built, key, row, rule string) error {
	n, err := compute(bd.tables, row, rule, bd.item)
	if err != nil {
		return err
	}
	b.set(value{key, n, "row", row, rule})
	return nil
}
