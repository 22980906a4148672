package larder

import (
	"slices"

	"tamis/calc/mix"
)

// overlay returns a new item: the house's entry h over the built-in b, which
// may be nil. Names stay the house's.
//
// An entry that states water, fat, sugars or brix brings its whole composition,
// and with it what is only true of the built-in one (energy, DE, brix, strength).
// Otherwise the built-in composition holds and stated keys replace their own.
func overlay(h, b *Item) *Item {
	it := *h
	it.House = true
	it.Also = slices.Clip(slices.Clone(h.Also))
	if b == nil {
		return &it
	}
	it.Under = b.Name
	if !bringsComposition(h) {
		layComposition(&it, h, b)
	}
	if h.Bloom == nil {
		it.Bloom, it.BloomOrigin = b.Bloom, b.BloomOrigin
	}
	if h.Density == nil {
		it.Density, it.DensityOrigin = b.Density, b.DensityOrigin
	}
	if h.Piece == nil {
		it.Piece, it.PieceOrigin = b.Piece, b.PieceOrigin
	}
	if h.Pours == nil {
		it.Pours = b.Pours
	}
	layAllergens(&it, h, b)
	if !h.SuitsKnown {
		it.Suits, it.SuitsKnown = b.Suits, b.SuitsKnown
	}
	if h.Usable == nil {
		it.Usable, it.UsableOrigin = b.Usable, b.UsableOrigin
	}
	if h.PartOf == nil {
		it.PartOf, it.PartOfOrigin = b.PartOf, b.PartOfOrigin
	}
	if h.Price == nil {
		it.Price, it.PricePer = b.Price, b.PricePer
	}
	if h.Packs == nil {
		it.Packs = b.Packs
	}
	if h.Supplier == "" {
		it.Supplier = b.Supplier
	}
	if h.Keeps == nil {
		it.Keeps = b.Keeps
	}
	if h.Category == "" {
		it.Category = b.Category
	}
	if h.Cautions == nil {
		it.Cautions = b.Cautions
	}
	if h.AnimalWay == "" && !h.SuitsKnown {
		it.AnimalWay = b.AnimalWay
	}
	return &it
}

func bringsComposition(h *Item) bool {
	if h.Brix != nil {
		return true
	}
	for _, k := range []mix.Key{mix.Water, mix.Fat, mix.Sugars} {
		if _, known := h.Comp.Get(k); known {
			return true
		}
	}
	return false
}

// layComposition starts from the built-in composition and puts in what h states.
func layComposition(it, h, b *Item) {
	it.Comp, it.CompSource, it.CompOrigin = b.Comp, b.CompSource, b.CompOrigin
	for k := range mix.NumKeys {
		if n, known := h.Comp.Get(k); known {
			it.Comp = it.Comp.With(k, n)
			it.CompSource[k] = h.CompSource[k]
		}
	}
	if h.DE == nil {
		it.DE, it.DEOrigin = b.DE, b.DEOrigin
	}
	it.Brix, it.BrixOrigin = b.Brix, b.BrixOrigin
	if h.Energy == nil {
		it.Energy, it.EnergyOrigin = b.Energy, b.EnergyOrigin
	}
	it.Strength, it.StrengthOrigin = b.Strength, b.StrengthOrigin
	if _, known := h.Comp.Get(mix.Alcohol); known {
		it.Strength, it.StrengthOrigin = nil, Origin{}
	}
}

// layAllergens keeps the house's word where it has one. A `contains` that was
// read only in part never hides what the built-in item contains.
func layAllergens(it, h, b *Item) {
	switch {
	case h.ContainsKnown:
	case h.Contains != nil:
		it.Contains = slices.Clone(h.Contains)
		for _, a := range b.Contains {
			if !slices.Contains(it.Contains, a) {
				it.Contains = append(it.Contains, a)
			}
		}
	default:
		it.Contains, it.ContainsKnown, it.ContainsOrigin = b.Contains, b.ContainsKnown, b.ContainsOrigin
	}
	if h.MayContain == nil {
		it.MayContain = b.MayContain
	}
}
