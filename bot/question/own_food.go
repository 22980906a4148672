package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
)

// ownFoods finds the house's own foods by the words that a longer name of theirs ends
// in: "gelatine leaf" of a bronze gelatine leaf.
type ownFoods map[string][]int32

// newOwnFoods indexes the entries of the house's larder, one entry a food.
func newOwnFoods(entries []entry) ownFoods {
	out := ownFoods{}
	main := map[*larder.Item]int32{}
	for id := range entries {
		if e := &entries[id]; e.Kind == kb.IngredientName && e.Item != nil && e.Item.House {
			if _, ok := main[e.Item]; !ok {
				main[e.Item] = int32(id)
			}
		}
	}
	for id := range entries {
		e := &entries[id]
		if e.Kind != kb.IngredientName && e.Kind != kb.IngredientAlias || e.Item == nil || !e.Item.House {
			continue
		}
		words := e.words
		for len(words) > 1 && words[len(words)-1] != "" && strings.Trim(words[len(words)-1], "0123456789.,%") == "" { // "cream 35 %"
			words = words[:len(words)-1]
		}
		add := func(key string) {
			if at, ok := main[e.Item]; ok && !slices.Contains(out[key], at) {
				out[key] = append(out[key], at)
			}
		}
		if len(e.words) == 2 { // "leaf gelatine" is gelatine leaf
			add(e.words[1] + " " + e.words[0])
		}
		if e.Item.Bloom != nil && len(e.words) == 1 && e.Item.Piece[""].Sign() > 0 { // what it is counted by
			add(e.words[0] + " leaf")
			add(e.words[0] + " sheet")
		}
		for k := range words {
			if k == 0 && len(words) == len(e.words) {
				continue // written out
			}
			if slices.ContainsFunc(words[:k], structural) { // "white of egg" is no egg
				break
			}
			add(strings.Join(words[k:], " "))
		}
	}
	return out
}

// ownFood marks a food of the built-in larder, that no line of the book and no entry of
// the house's has, with the house's own that end in its name. What is a house's food and
// the word it is counted by, "fennel bulb", is read as both.
func (l *lattice) ownFood() {
	own := l.x.own()
	for i := range l.starts {
		l.starts[i] = slices.DeleteFunc(l.starts[i], func(sp span) bool { return l.countedFood(&sp) })
		for k := range l.starts[i] {
			l.starts[i][k].own = l.ownOf(&l.starts[i][k], own)
		}
	}
}

// meansOwn makes what is asked of such a food, with no recipe, a question of the house's
// own where there is one; of several, which is asked back.
func (s *sense) meansOwn(q *Question) {
	switch q.Want {
	case WantConvert, WantDensity, WantCost, WantAllergens, WantDiet, WantContent, WantEnergy, WantUsable:
	default:
		return
	}
	if len(q.Targets) > 0 || q.Missing != MissingNothing {
		return
	}
	q.Items = slices.Clone(q.Items)
	for k := range q.Items {
		it := &q.Items[k]
		switch len(it.own) {
		case 0:
		case 1:
			e := &s.l.x.entries[it.own[0]]
			it.Larder, it.Recipe, it.Part = e.Item, nil, false
			it.Names = append(slices.Clone(it.Names), strings.Join(e.words, " "))
			q.Assumed = append(q.Assumed, Assumption{"item part", []string{it.Text, e.Text}})
		default:
			q.Missing = MissingItem
			for _, id := range it.own {
				e := &s.l.x.entries[id]
				one := *q
				one.Missing, one.Choices, one.Items = MissingNothing, nil, slices.Clone(q.Items)
				one.Items[k].Larder, one.Items[k].Recipe, one.Items[k].Part, one.Items[k].own = e.Item, nil, false, nil
				one.Items[k].Names = append(slices.Clone(it.Names), strings.Join(e.words, " "))
				q.Choices = append(q.Choices, Choice{Label: e.Text, Question: &one})
			}
			return
		}
	}
}

// allBuiltIn reports whether a span stands for foods of the built-in larder alone.
func (l *lattice) allBuiltIn(sp *span) bool {
	return sp.kind == spanName && len(sp.names) > 0 && sp.note == "" && !slices.ContainsFunc(sp.names, func(h hit) bool {
		e := &l.x.entries[h.id]
		return h.part || e.Kind != kb.IngredientName && e.Kind != kb.IngredientAlias || e.InBook || e.Item == nil || e.Item.House
	})
}

// ownOf are the house's own foods that a span may mean.
func (l *lattice) ownOf(sp *span, own ownFoods) []int32 {
	if !l.allBuiltIn(sp) {
		return nil
	}
	for _, byWord := range []bool{true, false} { // as said, else by the food's own name
		var ids []int32
		for _, h := range sp.names {
			e := &l.x.entries[h.id]
			key := e.Fold
			if !byWord {
				key = name.Fold(e.Item.Name)
			}
			for _, id := range own[key] {
				if o := l.x.entries[id].Item; (o.Category == "" || e.Item.Category == "" || o.Category == e.Item.Category) && !slices.Contains(ids, id) {
					ids = append(ids, id)
				}
			}
		}
		if len(ids) > 0 {
			slices.Sort(ids)
			return ids
		}
	}
	return nil
}

// countedFood reports whether a food of the built-in larder is called by the name of a
// house's food and a word that this is counted by.
func (l *lattice) countedFood(sp *span) bool {
	if sp.to-sp.from < 2 || !l.allBuiltIn(sp) {
		return false
	}
	word := l.tokens[sp.to-1].fold
	for _, t := range l.starts[sp.from] {
		if t.kind != spanName || t.to != sp.to-1 {
			continue
		}
		for _, h := range t.names {
			e := &l.x.entries[h.id]
			if h.part || e.Item == nil || !e.Item.House {
				continue
			}
			if n, ok := e.Item.Piece[word]; ok && n.Sign() > 0 {
				return true
			}
		}
	}
	return false
}
