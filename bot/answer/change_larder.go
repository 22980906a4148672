package answer

import (
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb/diff"
	"tamis/kb/larder"
	"tamis/kb/name"
)

// LarderDifference adds what the larder knows otherwise now, with what was, and
// the recipes that hold it. It returns the names of what it told.
func LarderDifference(a *Answer, was, now *Book) (told []string) {
	before := map[string]*larder.Item{}
	for _, it := range was.Snap.Larder.Items() {
		before[name.Fold(it.Name)] = it
	}
	touched := map[string]bool{}
	for _, it := range now.Snap.Larder.Items() {
		old := before[name.Fold(it.Name)]
		n := len(a.Facts)
		itemDifference(a, old, it)
		if len(a.Facts) == n {
			continue
		}
		told = append(told, it.Name)
		if old != nil {
			lost := false
			for k := range mix.NumKeys {
				_, had := old.Comp.Get(k)
				_, has := it.Comp.Get(k)
				lost = lost || had && !has
			}
			if lost {
				a.note("larder contents lost", it.Name)
			}
		}
		for _, r := range now.Snap.UsesOf(it.Name) {
			touched[r.Name] = true
			for _, t := range diff.Touched(now.Snap, r) {
				touched[t.Name] = true
			}
		}
	}
	if a.Recipe == nil && len(told) > 0 {
		a.Title.Recipe = strings.Join(told[:min(len(told), 3)], ", ")
	}
	var names []string
	for n := range touched {
		names = append(names, n)
	}
	slices.Sort(names)
	if len(names) > 0 {
		a.add(Fact{What: "recipes", HasItems: true, Items: names, From: FromBook, How: "draw on it"})
	}
	follows(a, was, now, names)
	return told
}

// follows adds what the changed larder does to the recipes that hold it: their
// allergens and their cost.
func follows(a *Answer, was, now *Book, names []string) {
	for _, n := range names[:min(len(names), 12)] {
		r, ok := now.Snap.RecipeNamed(n)
		if !ok {
			continue
		}
		old, ok := was.Snap.Recipe(r.ID)
		if !ok {
			continue
		}
		c := comparison{was: was, now: now, d: &diff.Recipe{Was: old, Now: r}, a: a}
		c.allergens(allergensOf(was, old), allergensOf(now, r))
		c.cost()
	}
}

func itemDifference(a *Answer, was, now *larder.Item) {
	put := func(what, unit string, x, y *quantity.Number, show func(quantity.Number) string) {
		if y == nil || x != nil && x.Equal(*y) {
			return
		}
		n := *y
		f := Fact{What: what, Unit: unit, Value: &n, Shown: show(n), Of: now.Name, From: FromHouse}
		if x != nil {
			o := *x
			f.Was, f.WasShown = &o, show(o)
		}
		a.add(f)
	}
	if was == nil {
		was = &larder.Item{}
	}
	as := func(unit string) func(quantity.Number) string {
		return func(n quantity.Number) string { return n.String() + " " + unit }
	}
	put("brix", "°Bx", was.Brix, now.Brix, as("°Bx"))
	put("bloom", "Bloom", was.Bloom, now.Bloom, as("Bloom"))
	put("density", "g/ml", was.Density, now.Density, as("g/ml"))
	if now.Usable != nil {
		x, y := percent(was.Usable), percent(now.Usable)
		put("usable", "%", x, y, as("%"))
	}
	if w, is := pieceOf(now); is {
		var x *quantity.Number
		if o, was := pieceOf(was); was {
			x = &o
		}
		put("piece", "g", x, &w, as("g"))
	}
	if now.Price != nil {
		y := now.Price.N
		unit := now.Price.Unit.Symbol
		var x *quantity.Number
		if was.Price != nil && was.Price.Unit.Symbol == unit && was.PricePer.String() == now.PricePer.String() {
			x = &was.Price.N
		}
		put("costs", unit, x, &y, func(n quantity.Number) string {
			return quantity.ShowMoney(quantity.RoundMoney(n), now.Price.Unit) + " per " + strings.TrimPrefix(now.PricePer.String(), "1 ")
		})
	}
	if !now.House {
		return
	}
	for k := range mix.NumKeys {
		y, ok := now.Comp.Get(k)
		if !ok {
			continue
		}
		var x *quantity.Number
		if o, had := was.Comp.Get(k); had {
			x = &o
		}
		if x == nil && !slices.Contains([]mix.Key{mix.Water, mix.Fat, mix.Sugars, mix.Salt, mix.Alcohol, mix.Starch, mix.Protein}, k) {
			continue
		}
		put(k.String(), "%", x, &y, as("%"))
	}
}

func percent(share *quantity.Number) *quantity.Number {
	if share == nil {
		return nil
	}
	n := share.Mul(hundred)
	return &n
}

func pieceOf(it *larder.Item) (quantity.Number, bool) {
	n, ok := it.Piece[""]
	return n, ok
}

// FileLines quotes lines of a file of settings that went and came, but for those
// of ingredients told as facts.
func FileLines(a *Answer, file string, gone, come, told []string) {
	if len(told) > 0 {
		return
	}
	const most = 12
	quote := func(mark string, lines []string) {
		for i, l := range lines {
			if i == most {
				a.Words = append(a.Words, mark+" …")
				return
			}
			if l = strings.TrimSpace(l); l != "" {
				a.Words = append(a.Words, mark+" "+l)
			}
		}
	}
	if a.Title.Recipe != file {
		a.Words = append(a.Words, file+":")
	}
	quote("–", gone)
	quote("+", come)
}
