package answer

import (
	"slices"
	"strings"
	"sync"

	"tamis/calc/allergen"
	"tamis/calc/cost"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// foods are the trees of what recipes are made of, each built when first asked
// and then shared.
type foods struct {
	mu    *sync.Mutex
	mix   map[any]*mix.Node
	lists map[any]*allergen.Node
	goods map[*larder.Item]*cost.Good
	costs map[*kb.Recipe]*cost.Recipe
}

func newFoods() foods {
	return foods{mu: &sync.Mutex{}, mix: map[any]*mix.Node{}, lists: map[any]*allergen.Node{}, goods: map[*larder.Item]*cost.Good{}, costs: map[*kb.Recipe]*cost.Recipe{}}
}

// lineKey is what a line is of: the recipe, the larder's item, else its name.
func lineKey(l *kb.Line) any {
	switch {
	case l.Link != nil:
		return l.Link
	case l.Item != nil:
		return l.Item
	}
	return name.Fold(l.Name)
}

// mixOf returns the tree of a recipe's composition.
func (b *Book) mixOf(r *kb.Recipe) *mix.Node {
	b.foods.mu.Lock()
	defer b.foods.mu.Unlock()
	return b.mixRecipe(r)
}

func (b *Book) mixRecipe(r *kb.Recipe) *mix.Node {
	if n, ok := b.foods.mix[r]; ok {
		return n
	}
	n := &mix.Node{Name: r.Name, NoMass: r.Formula.Unknown, LossShare: r.Formula.LossShare, LossMass: r.Formula.LossMass}
	if r.Formula.HasStated {
		n.Finished, n.HasFinished = r.Formula.Stated, true
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		m := mix.Line{Mass: l.Grams, HasMass: l.HasGrams, Core: isCore(r, i)}
		if l.Link != nil {
			m.Of = b.mixRecipe(l.Link)
			if byPieces(r, l) && l.Link.Formula.Pieces.Sign() > 0 {
				m.Batches = r.Formula.Lines[i].Count.Div(l.Link.Formula.Pieces)
			}
		} else {
			m.Of = b.mixItem(l)
		}
		n.Lines = append(n.Lines, m)
	}
	for _, s := range r.Losses {
		loss := mix.Loss{Step: s.Step.Verb, Mass: s.Mass}
		switch name.Fold(s.Step.Verb) {
		case "strain", "trim", "drain":
			loss.Kind = mix.LeftBehind
		}
		for _, i := range s.Pan {
			loss.Pan = append(loss.Pan, mix.InPan{Line: i})
		}
		n.Losses = append(n.Losses, loss)
	}
	b.foods.mix[r] = n
	return n
}

func (b *Book) mixItem(l *kb.Line) *mix.Node {
	k := lineKey(l)
	if n, ok := b.foods.mix[k]; ok {
		return n
	}
	n := &mix.Node{Name: l.Name}
	if l.Item != nil {
		n = itemNode(l.Item)
	}
	b.foods.mix[k] = n
	return n
}

func itemNode(it *larder.Item) *mix.Node {
	return &mix.Node{Name: it.Name, Comp: it.Comp, Energy: it.Energy, Milk: milkOf(it)}
}

// milkOf says whether an ingredient's solids come from milk.
func milkOf(it *larder.Item) mix.Milk {
	if it.Category == "dairy" {
		return mix.AllMilk
	}
	if it.ContainsKnown && !slices.ContainsFunc(it.Contains, func(a recipe.Allergen) bool { return a.Name == allergen.Milk }) {
		return mix.NoMilk
	}
	return mix.MilkUnknown
}

// listOf returns the tree of what a recipe lists of allergens and diets.
func (b *Book) listOf(r *kb.Recipe) *allergen.Node {
	b.foods.mu.Lock()
	defer b.foods.mu.Unlock()
	return b.listRecipe(r)
}

func (b *Book) listRecipe(r *kb.Recipe) *allergen.Node {
	if n, ok := b.foods.lists[r]; ok {
		return n
	}
	n := &allergen.Node{Name: r.Name, Shared: plainAllergens(r.SharedWith), Suits: r.Suits, SuitsStated: r.SuitsStated || len(r.Suits) > 0}
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Link != nil {
			n.Children = append(n.Children, b.listRecipe(l.Link))
			continue
		}
		k := lineKey(l)
		c, ok := b.foods.lists[k]
		if !ok {
			c = &allergen.Node{Name: l.Name}
			if l.Item != nil {
				c = itemList(l.Item)
			}
			b.foods.lists[k] = c
		}
		n.Children = append(n.Children, c)
	}
	b.foods.lists[r] = n
	return n
}

func itemList(it *larder.Item) *allergen.Node {
	return &allergen.Node{Name: it.Name, Contains: plainAllergens(it.Contains), Known: it.ContainsKnown, MayContain: plainAllergens(it.MayContain),
		Suits: it.Suits, SuitsStated: it.SuitsKnown}
}

func plainAllergens(as []recipe.Allergen) []allergen.Allergen {
	var out []allergen.Allergen
	for _, a := range as {
		out = append(out, allergen.Allergen{Name: a.Name, Kind: a.Kind})
	}
	return out
}

// costOf returns the tree of a recipe's cost.
func (b *Book) costOf(r *kb.Recipe) *cost.Recipe {
	b.foods.mu.Lock()
	defer b.foods.mu.Unlock()
	return b.costRecipe(r)
}

func (b *Book) costRecipe(r *kb.Recipe) *cost.Recipe {
	if n, ok := b.foods.costs[r]; ok {
		return n
	}
	n := &cost.Recipe{Name: r.Name, Finished: r.Finished, HasFinished: r.HasFinished, Pieces: r.Formula.Pieces}
	for i := range r.Lines {
		l := &r.Lines[i]
		c := cost.Line{}
		am := written(&l.Amount)
		switch {
		case l.Link != nil:
			c.Of = b.costRecipe(l.Link)
			if byPieces(r, l) {
				c.Amount, c.HasAmount = quantity.Of(r.Formula.Lines[i].Count, quantity.Each), true
			} else if l.HasGrams {
				c.Amount, c.HasAmount = quantity.Grams(l.Grams), true
			}
		default:
			c.Good = b.good(l)
			switch {
			case am.Kind == recipe.Pieces:
				c.Amount, c.HasAmount = quantity.Of(am.Middle(), quantity.Each), true
				if l.HasGrams {
					c.Mass, c.HasMass = l.Grams, true
				}
			case am.Kind == recipe.Measured && am.Unit.Dim == quantity.Volume:
				c.Amount, c.HasAmount = quantity.Of(am.Middle(), am.Unit), true
			case l.HasGrams:
				c.Amount, c.HasAmount = quantity.Grams(l.Grams), true
			}
		}
		n.Lines = append(n.Lines, c)
	}
	b.foods.costs[r] = n
	return n
}

func (b *Book) good(l *kb.Line) *cost.Good {
	if l.Item == nil {
		return &cost.Good{Name: l.Name}
	}
	if g, ok := b.foods.goods[l.Item]; ok {
		return g
	}
	it := l.Item
	g := &cost.Good{Name: it.Name, Usable: it.Usable, Density: it.Density}
	if it.Price != nil {
		g.Price = &cost.Price{Money: *it.Price, Per: it.PricePer}
	}
	if m, ok := it.Piece[""]; ok {
		g.PieceMass = &m
	}
	if g.Price == nil { // a part of something that has a price: yolk of egg
		for _, whole := range sortedKeys(it.PartOf) {
			w := b.Snap.Larder.Find(whole)
			if w == nil || w.Price == nil {
				continue
			}
			share := it.PartOf[whole]
			if w.Usable != nil {
				share = share.Mul(*w.Usable)
			}
			g.Price, g.Usable = &cost.Price{Money: *w.Price, Per: w.PricePer}, &share
			if g.Price.Per.Unit.Dim == quantity.Count { // an egg's price is for one piece
				if m, ok := w.Piece[""]; ok {
					g.Price = &cost.Price{Money: *w.Price, Per: quantity.Grams(w.PricePer.N.Mul(m))}
				}
			}
			break
		}
	}
	b.foods.goods[it] = g
	return g
}

func sortedKeys(m map[string]quantity.Number) []string {
	var ks []string
	for k := range m {
		ks = append(ks, k)
	}
	slices.Sort(ks)
	return ks
}

// wayText is a way to an ingredient: "brown butter → butter".
func wayText(path []string) string { return strings.Join(path, " → ") }
