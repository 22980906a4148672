package larder

import (
	"fmt"

	"tamis/calc/quantity"
	"tamis/kb/name"
	"tamis/kb/recipe"
	"tamis/kb/yamldoc"
)

// weights reads density, piece, usable and part of.
func (p *parser) weights(it *Item, n yamldoc.Node) {
	p.number(n, "density", &it.Density, &it.DensityOrigin, density)
	p.number(n, "usable", &it.Usable, &it.UsableOrigin, share)
	if v := n.Get("piece"); v.Exists() {
		it.Piece = p.pieces(v)
		it.PieceOrigin = house
	}
	if v := n.Get("part of"); v.Exists() && p.faults.Map(v, "part of", "part of: {egg: 36 %}") {
		it.PartOf, it.PartOfOrigin = map[string]quantity.Number{}, house
		for k, c := range v.Entries() {
			if s, ok := value(p, c, "part of", share); ok {
				it.PartOf[name.Fold(k.Text())] = s
			}
		}
	}
	if s, ok := p.text(n.Get("pours"), "pours"); ok && n.Get("pours").Exists() {
		switch s {
		case "true", "false":
			b := s == "true"
			it.Pours = &b
		default:
			p.faults.Add(n.Get("pours"), yamldoc.CodeKind, fmt.Sprintf("pours is true or false, not “%s”.", short(s)), "pours: true")
		}
	}
}

func (p *parser) pieces(n yamldoc.Node) map[string]quantity.Number {
	grams := func(s string) (quantity.Number, error) {
		g, err := measuredAs(s, quantity.G)
		if err == nil && (g.IsZero() || quantity.Int(1_000_000).Less(g)) {
			return g, wrong(CodeRange, "the mass of one, such as 2 g", "One piece of %s g is none.", g)
		}
		return g, err
	}
	out := map[string]quantity.Number{}
	if n.Kind() != yamldoc.Map {
		if g, ok := value(p, n, "piece", grams); ok {
			out[""] = g
		}
		return out
	}
	for k, v := range n.Entries() {
		f := name.Fold(k.Text())
		if f == "" || len(k.Text()) > longestName {
			p.faults.Add(k, CodeNoName, "A piece needs its word.", "piece: {sprig: 1 g}")
			continue
		}
		if g, ok := value(p, v, "piece", grams); ok {
			out[f] = g
		}
	}
	return out
}

// allergens reads contains, may contain and suits.
func (p *parser) allergens(it *Item, n yamldoc.Node) {
	if v := n.Get("contains"); v.Exists() {
		var all bool
		it.Contains, all = p.allergenList(v, "contains")
		it.ContainsKnown = all
		it.ContainsOrigin = house
	}
	if v := n.Get("may contain"); v.Exists() {
		it.MayContain, _ = p.allergenList(v, "may contain")
	}
	if v := n.Get("suits"); v.Exists() {
		it.Suits, it.SuitsKnown = p.list(v, "suits")
	}
}

// allergenList returns the allergens it could read, and whether those were all.
// `contains:` with nothing behind it says nothing: `[]` says none.
func (p *parser) allergenList(n yamldoc.Node, key string) ([]recipe.Allergen, bool) {
	if n.Kind() == yamldoc.Text && n.Text() == "" {
		p.faults.Add(n, yamldoc.CodeKind, key+" stands empty, which may mean none or not known.", key+": [] for none, or leave the key out")
		return nil, false
	}
	names, all := p.list(n, key)
	out := make([]recipe.Allergen, 0, len(names))
	for i, s := range names {
		a, err := recipe.ParseAllergen(s)
		if err != nil {
			at := n
			if n.Kind() == yamldoc.List {
				at = n.Item(i)
			}
			p.wrong(at, key, err)
			all = false
			continue
		}
		out = append(out, a)
	}
	return out, all
}

// trade reads what the house pays and where it keeps it.
func (p *parser) trade(it *Item, n yamldoc.Node) {
	type priced struct{ money, per quantity.Quantity }
	if v, ok := value(p, n.Get("costs"), "costs", func(s string) (priced, error) {
		m, per, err := price(s)
		return priced{m, per}, err
	}); ok {
		it.Price, it.PricePer = &v.money, v.per
	}
	if v := n.Get("packs"); v.Exists() {
		names, _ := p.list(v, "packs")
		it.Packs = []quantity.Quantity{}
		for _, s := range names {
			q, err := amount(s)
			if err == nil && q.N.IsZero() {
				err = wrong(CodeRange, "a pack such as 1 kg", "A pack of nothing is none.")
			}
			if err != nil {
				p.wrong(v, "packs", err)
				continue
			}
			it.Packs = append(it.Packs, q)
		}
	}
	if s, ok := p.text(n.Get("supplier"), "supplier"); ok {
		it.Supplier = s
	}
	if v := n.Get("keeps"); v.Exists() {
		names, _ := p.list(v, "keeps")
		it.Keeps = []recipe.Keep{}
		for _, s := range names {
			k, err := recipe.ParseKeep(s)
			if err != nil {
				p.wrong(v, "keeps", err)
				continue
			}
			it.Keeps = append(it.Keeps, k)
		}
	}
}
