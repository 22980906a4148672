package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb"
	"tamis/kb/larder"
)

// gelatine is one side of an exchange: a gelatine of a strength.
type gelatine struct {
	bloom, leaf quantity.Number // 0: not known
	grade       *gel.Grade
	name, from  string
	source      string
}

// strengthOf is the gelatine that a Bloom or a grade of the question means.
func strengthOf(b quantity.Number, grade string) (g gelatine) {
	if b.Sign() > 0 {
		g.bloom, g.from = b, FromAsked
		for _, k := range gel.Grades() {
			if k.BloomLow.Cmp(b) <= 0 && b.Cmp(k.BloomHigh) <= 0 {
				g.leaf, g.grade = k.Leaf, &k
			}
		}
	}
	if k, err := gel.GradeNamed(grade); err == nil && grade != "" {
		g.grade, g.leaf, g.name = &k, k.Leaf, k.Name
		if g.bloom.IsZero() {
			g.bloom, g.from, g.source = k.Bloom, FromPractice, "S-630"
		}
	}
	return g
}

// ofItem is the gelatine that an ingredient of the larder is.
func ofItem(it *larder.Item) (g gelatine) {
	if it == nil {
		return g
	}
	g.name = it.Name
	if it.Bloom != nil {
		g.bloom = *it.Bloom
		g.from, _ = originOf(it.BloomOrigin)
	}
	if m, ok := it.Piece[""]; ok {
		g.leaf = m
	} else if m, ok := it.Piece["leaf"]; ok {
		g.leaf = m
	}
	return g
}

// gelatineLines are the lines of a recipe that are gelatine, with their mass in one batch.
func gelatineLines(r *kb.Recipe) (lines []*kb.Line, grams quantity.Number) {
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Link == nil && l.HasGrams && agentOf(l.Item, l.Name) == "gelatine" {
			lines = append(lines, l)
			grams = grams.Add(l.Grams)
		}
	}
	return lines, grams
}

// bloom: gelatine of another strength, by both rules.
func bloom(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	for len(c.Bloom) < 2 {
		c.Bloom, c.Grades = append(c.Bloom, quantity.Number{}), append(c.Grades, "")
	}
	fresh, old := strengthOf(c.Bloom[0], c.Grades[0]), strengthOf(c.Bloom[1], c.Grades[1])
	what := "gelatine"
	of := ""
	var grams quantity.Number
	if c.Topic == "recipe" {
		s, ok := b.size(a, &q.Targets[0])
		if !ok {
			return
		}
		lines, g := gelatineLines(s.recipe)
		if len(lines) == 0 {
			a.unknown("no gelatine", s.recipe.Name)
			return
		}
		what, of, grams = lines[0].Name, s.recipe.Name, g.Mul(s.factor)
		if old.bloom.IsZero() {
			old = ofItem(lines[0].Item)
		}
		a.Title = s.title
	} else {
		house := b.houseGelatine("leaf")
		if old.bloom.IsZero() {
			old = ofItem(house)
			if old.bloom.Sign() > 0 {
				a.assume("house gelatine", old.name, old.bloom.String()+" Bloom")
			}
		}
		if len(c.Amounts) > 0 {
			grams = c.Amounts[0].Q.Base()
		} else {
			leaf := old.leaf
			if leaf.IsZero() {
				leaf = ofItem(house).leaf
			}
			g, err := gel.Leaves(c.Counts[0], leaf)
			if err != nil {
				a.unknown("no leaf", old.name)
				return
			}
			grams = g
		}
	}
	if fresh.bloom.IsZero() {
		fresh = b.askedForm(a, q, old)
	}
	if fresh.bloom.IsZero() || old.bloom.IsZero() {
		a.asks("ask bloom", nil)
		return
	}
	k, err := gel.Convert(grams, old.bloom, fresh.bloom)
	switch {
	case errors.Is(err, gel.ErrBloomRange):
		a.unknown("no such bloom")
		return
	case err != nil:
		a.unknown("no gelatine", of)
		return
	}
	b.bloomFacts(a, q, k, fresh, old, what, of)
}

// askedForm is the house's gelatine of the form asked for: powder, else its leaf.
func (b *Book) askedForm(a *Answer, q *question.Question, old gelatine) gelatine {
	form := "leaf"
	if q.Craft.Kind == "powder" {
		form = "powder"
	} else if q.Craft.Topic == "recipe" {
		return gelatine{} // another leaf: of what strength?
	}
	it := b.houseGelatine(form)
	g := ofItem(it)
	if g.bloom.Sign() > 0 {
		a.assume("house gelatine", g.name, g.bloom.String()+" Bloom")
	}
	return g
}

// houseGelatine is the gelatine of the larder in a form, the house's own first.
func (b *Book) houseGelatine(form string) *larder.Item {
	for _, n := range []string{"gelatine " + form, form + " gelatine"} {
		if it := b.Snap.Larder.Find(n); it != nil {
			return it
		}
	}
	return nil
}

func (b *Book) bloomFacts(a *Answer, q *question.Question, k gel.Conversion, fresh, old gelatine, what, of string) {
	was := k.Mass
	put := func(n quantity.Number, at string, ids ...string) Fact {
		f := b.mass(a, what, n).cite(FromCalculated, ids...)
		f.Of, f.At, f.Was = of, at, &was
		return f
	}
	root := put(k.BySquareRoot, "square-root rule", "S-631")
	root.How = k.Mass.String() + " g × √(" + k.From.String() + " ÷ " + k.To.String() + ")"
	leaf := put(k.ByLeaf, "leaf for leaf", "S-630")
	leaf.How = k.Mass.String() + " g × " + k.From.String() + " ÷ " + k.To.String()
	var leaves []Fact
	if q.Craft.State == "leaves" && fresh.leaf.Sign() > 0 {
		for _, g := range []Fact{root, leaf} {
			n, err := gel.LeafCount(*g.Value, fresh.leaf)
			if err != nil {
				continue
			}
			l := count(what, n, "leaves")
			l.Of, l.At, l.From, l.Source = of, g.At, FromCalculated, g.Source
			l.How = g.Shown + " ÷ " + fresh.leaf.String() + " g"
			leaves = append(leaves, l)
		}
	}
	a.add(leaves...)
	a.add(root, leaf)
	before := b.mass(a, what, k.Mass)
	before.Of, before.At, before.From = of, "as it was", FromBook
	if of == "" {
		before.From = FromAsked
	}
	a.add(before)
	for i, g := range []gelatine{fresh, old} {
		f := b.figure("bloom", g.bloom, quantity.Unit{Symbol: "Bloom", Dim: quantity.Count})
		f.Shown = g.bloom.String() + " Bloom"
		f.From = g.from
		f.At = [...]string{"to use", "as it was"}[i]
		if g.source != "" {
			f = f.cite(FromReference, g.source)
		}
		a.add(f)
	}
	a.note("square root holds")
	a.note("leaf rule holds")
	if fresh.from == FromPractice || old.from == FromPractice {
		a.note("grades vary")
	}
	a.bySource()
}

// soak: the water that soaked leaves bring along.
func soak(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	var grams quantity.Number
	of := ""
	switch {
	case c.Topic == "recipe":
		s, ok := b.size(a, &q.Targets[0])
		if !ok {
			return
		}
		lines, g := gelatineLines(s.recipe)
		if len(lines) == 0 {
			a.unknown("no gelatine", s.recipe.Name)
			return
		}
		grams, of, a.Title = g.Mul(s.factor), s.recipe.Name, s.title
	case len(c.Amounts) > 0:
		grams = c.Amounts[0].Q.Base()
	default:
		h := ofItem(b.houseGelatine("leaf"))
		g, err := gel.Leaves(c.Counts[0], h.leaf)
		if err != nil {
			a.unknown("no leaf", "gelatine")
			return
		}
		grams = g
		a.assume("house leaf", h.name, h.leaf.String()+" g")
	}
	w, err := gel.Soak(grams)
	if err != nil {
		a.unknown("no gelatine", of)
		return
	}
	f := b.mass(a, "water", w.Water).cite(FromPractice, practice)
	pm := w.PlusMinus
	f.PlusMinus, f.Of = &pm, of
	f.Shown += " ± " + b.shown(pm, quantity.G)
	f.How = "5 × " + grams.String() + " g"
	g := b.mass(a, "gelatine", grams)
	g.Of, g.From = of, FromCalculated
	a.add(f, g)
	a.note("common practice")
}

// waterPhase is gelatine and its share of the water of a recipe, the water of soaked leaves counted.
func (b *Book) waterPhase(r *kb.Recipe) (s gel.Strength, grams, water quantity.Number, ok bool) {
	lines, g := gelatineLines(r)
	if len(lines) == 0 || !r.HasFinished {
		return s, g, water, false
	}
	w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
	if err != nil {
		return s, g, water, false
	}
	per, ok := narrow(w.Mixture.Per100(mix.Water))
	if !ok {
		return s, g, water, false
	}
	// what is lost of the mixture takes gelatine along: back to the whole of it
	before := quantity.Number{}
	for i := range r.Lines {
		if l := &r.Lines[i]; l.HasGrams && !isCore(r, i) {
			before = before.Add(l.Grams)
		}
	}
	for _, l := range r.Losses {
		before = before.Sub(l.Mass)
	}
	k, err := gel.Soak(g)
	if err != nil {
		return s, g, water, false
	}
	water = per.Mul(before).Div(hundred).Add(k.Water)
	share, err := gel.Share(g, water)
	if err != nil {
		return s, g, water, false
	}
	s.Share = share
	if it := lines[0].Item; it != nil && it.Bloom != nil {
		s.Bloom = *it.Bloom
	}
	return s, g, water, true
}

// shareFacts tells a gelatine's share of the water and what it comes from.
func (b *Book) shareFacts(a *Answer, of string, s gel.Strength, grams, water quantity.Number) {
	f := b.figure("gelatine", s.Share, quantity.Percent).cite(FromCalculated, plain)
	f.Of, f.At, f.How = of, "of the water", grams.String()+" g in "+water.Fixed(0)+" g water"
	a.add(f)
	if s.Bloom.Sign() > 0 {
		bl := b.figure("bloom", s.Bloom, quantity.Unit{Symbol: "Bloom", Dim: quantity.Count})
		bl.Shown, bl.Of, bl.From = s.Bloom.String()+" Bloom", of, b.bloomFrom(of)
		a.add(bl)
	}
}

// bloomFrom says whose word the Bloom of a recipe's gelatine is.
func (b *Book) bloomFrom(recipe string) string {
	if r, ok := b.Snap.RecipeNamed(recipe); ok {
		if lines, _ := gelatineLines(r); len(lines) > 0 {
			from, _ := originOf(lines[0].Item.BloomOrigin)
			return from
		}
	}
	return FromLarder
}

// gelCompare: gelatine in the water of a recipe; softer or firmer than the house's others.
func gelCompare(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	own, grams, water, ok := b.waterPhase(r)
	if !ok {
		if lines, _ := gelatineLines(r); len(lines) == 0 {
			a.unknown("no gelatine", r.Name)
		} else {
			a.unknown("no water phase", r.Name)
		}
		return
	}
	type side struct {
		name string
		s    gel.Strength
	}
	if len(q.Craft.Amounts) >= 2 { // a gel of the question against the recipe
		mine, ok := b.givenStrength(a, q, own)
		if !ok {
			return
		}
		b.shareFacts(a, r.Name, own, grams, water)
		b.verdict(a, "this", r.Name, mine, own)
		a.bySource()
		return
	}
	b.shareFacts(a, r.Name, own, grams, water)
	var others []side
	if len(q.Targets) > 1 {
		for _, t := range q.Targets[1:] {
			s, g, w, ok := b.waterPhase(t.Recipe)
			if !ok {
				a.unknown("no water phase", t.Recipe.Name)
				return
			}
			b.shareFacts(a, t.Recipe.Name, s, g, w)
			others = append(others, side{t.Recipe.Name, s})
		}
	} else {
		for _, o := range b.Snap.Recipes {
			if o == r {
				continue
			}
			if s, g, w, ok := b.waterPhase(o); ok && len(others) < 4 {
				b.shareFacts(a, o.Name, s, g, w)
				others = append(others, side{o.Name, s})
			}
		}
	}
	for _, o := range others {
		b.verdict(a, r.Name, o.name, own, o.s)
	}
	if len(q.Targets) == 1 {
		a.Title = Title{Recipe: r.Name}
	}
	a.note("soaked water counted")
	a.bySource()
}

// givenStrength is the gel of the question: so much gelatine in so much of something.
func (b *Book) givenStrength(a *Answer, q *question.Question, own gel.Strength) (gel.Strength, bool) {
	var g, water quantity.Number
	for i := range q.Craft.Amounts {
		am := &q.Craft.Amounts[i]
		if agentOf(am.Item.Larder, am.Item.Text) == "gelatine" {
			g = am.Q.Base()
			continue
		}
		w, _, ok := b.waterOf(a, am)
		if !ok {
			return gel.Strength{}, false
		}
		water = water.Add(w)
	}
	k, err := gel.Soak(g)
	if err != nil || g.IsZero() {
		a.unknown("no gelatine", "this")
		return gel.Strength{}, false
	}
	water = water.Add(k.Water)
	share, err := gel.Share(g, water)
	if err != nil {
		a.unknown("no water phase", "this")
		return gel.Strength{}, false
	}
	s := gel.Strength{Share: share, Bloom: own.Bloom}
	f := b.figure("gelatine", share, quantity.Percent).cite(FromCalculated, plain)
	f.At, f.How = "of the water", g.String()+" g in "+water.Fixed(0)+" g water"
	a.add(f)
	return s, true
}

// verdict says which of two gels is softer.
func (b *Book) verdict(a *Answer, x, y string, p, o gel.Strength) {
	c, err := gel.Compare(p, o)
	if err != nil {
		a.note("bloom unknown of one")
		return
	}
	f := b.figure("strength", c.Ratio, quantity.NoUnit).cite(FromCalculated, "S-631")
	f.Unit, f.Shown = "1", "× "+c.Ratio.Fixed(2)
	f.At = x + " to " + y
	a.add(f)
	switch {
	case c.Softer:
		a.note("softer", x, y)
	case c.Firmer:
		a.note("firmer", x, y)
	default:
		a.note("alike", x, y)
	}
}

// weaken: what weakens gelatine.
func weaken(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	var raw []string
	for _, w := range gel.Weakeners() {
		if w.Code == "raw protease" {
			if q.Craft.Topic == "fruit" && w.Item != q.Craft.Fruit {
				continue
			}
			raw = append(raw, w.Item)
			f := Fact{What: "raw protease", HasItems: true, Items: []string{w.Item}}.cite(FromReference, w.SourceID)
			if i := slices.IndexFunc(a.Facts, func(o Fact) bool { return o.What == f.What && o.Source == f.Source }); i >= 0 {
				a.Facts[i].Items = append(a.Facts[i].Items, w.Item)
			} else {
				a.add(f)
			}
			continue
		}
		if q.Craft.Topic == "fruit" && w.Code != "boiling" {
			continue
		}
		f := Fact{What: w.Code, Unit: w.Unit}.cite(FromReference, w.SourceID)
		u := w.Unit
		if cut, ok := strings.CutSuffix(u, " of the water phase"); ok {
			u, f.Unit, f.At = cut, cut, "of the water"
		}
		if w.HasLow {
			n := w.Low
			f.Min, f.Shown = &n, "over "+n.String()+" "+u
		}
		if w.HasHigh {
			n := w.High
			f.Max, f.Shown = &n, "under "+n.String()+" "+u
		}
		if q.Craft.Topic == "fruit" {
			f.What = "heated through"
		}
		a.add(f)
	}
	if len(raw) > 0 {
		a.note("raw fruit", strings.Join(raw, ", "))
	}
	a.bySource()
}
