package answer

import (
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/calc/gel"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/calc/sugar"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
)

// craftHandlers answer the pan, the gel, the sugar, chocolate and cures.
var craftHandlers = map[question.Want]handler{
	question.WantEvaporated: evaporated, question.WantPanFit: panFit, question.WantReduceTo: reduceTo, question.WantStepMass: stepMass,
	question.WantAlcoholLeft: alcoholLeft, question.WantNow: readingNow,
	question.WantBoils: boils, question.WantStage: stages, question.WantSyrupScale: syrupScale, question.WantCrystal: crystal, question.WantMixBrix: mixBrix,
	question.WantBloom: bloom, question.WantSoak: soak, question.WantGelCompare: gelCompare,
	question.WantAgent: agent, question.WantDose: dose, question.WantSmallDose: smallDose, question.WantMelts: melts,
	question.WantUnmould: unmould, question.WantWeaken: weaken,
	question.WantTemper: temper, question.WantDrift: drift, question.WantSeed: seed, question.WantGanache: ganache,
	question.WantSiphon: siphonFill, question.WantBrine: brine, question.WantNitrite: nitrite,
}

// practice is the source id of what kitchens do without a source; plain is arithmetic.
const (
	practice = "S-601"
	plain    = "S-602"
)

// cite says where a fact comes from, by the ids of calc/SOURCES.md.
func (f Fact) cite(from string, ids ...string) Fact {
	var out []string
	only := true
	for _, id := range ids {
		switch id {
		case practice, plain, "":
		default:
			only = false
			if c := citation(id); !slices.Contains(out, c) {
				out = append(out, c)
			}
		}
	}
	f.From = from
	if only && slices.Contains(ids, practice) {
		f.From = FromPractice
	}
	f.Source = strings.Join(out, "; ")
	return f
}

// bySource tells in one line what the facts stand on, each as its fact has it.
func (a *Answer) bySource() {
	a.Notes = slices.DeleteFunc(a.Notes, func(n Phrase) bool { return n.Code == "by source" }) // of fewer facts
	if out := a.sources(); len(out) > 0 {
		a.note("by source", out...)
	}
	if slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.From == FromPractice }) {
		a.note("common practice")
	}
}

// sources are the sources of the facts, each once.
func (a *Answer) sources() []string {
	var out []string
	for _, f := range a.Facts {
		if f.Source != "" && !slices.Contains(out, f.Source) {
			out = append(out, f.Source)
		}
	}
	return slices.DeleteFunc(slices.Clone(out), func(s string) bool { // told within a longer one
		return slices.ContainsFunc(out, func(o string) bool { return o != s && strings.Contains(o, s) })
	})
}

// baume is the unit of a hydrometer.
var baume = quantity.Unit{Symbol: "°Bé"}

// figure makes a fact of a number in a unit, shown as its dimension is.
func (b *Book) figure(what string, n quantity.Number, u quantity.Unit) Fact {
	f := Fact{What: what, Value: &n, Unit: unitName(u), From: FromCalculated}
	f.Shown = b.shown(n, u)
	return f
}

func (b *Book) shown(n quantity.Number, u quantity.Unit) string {
	switch {
	case u == baume:
		return n.Fixed(1) + " °Bé"
	case u.Dim == quantity.Share:
		return quantity.ShowShare(quantity.RoundShare(n))
	case u.Dim == quantity.Mass:
		return quantity.ShowMass(quantity.Round(n, b.scales))
	}
	return quantity.RoundQuantity(quantity.Of(n, u), b.scales).String()
}

// estimate makes a fact of a value with its uncertainty: "106.5 °C ± 0.6".
func (b *Book) estimate(what string, e sugar.Estimate, u quantity.Unit) Fact {
	f := b.figure(what, e.Value, u)
	pm := e.PlusMinus
	if pm.Sign() > 0 {
		f.PlusMinus = &pm
		f.Shown += " ± " + pm.Fixed(precision(u))
	}
	return f
}

func precision(u quantity.Unit) int {
	if u.Dim == quantity.Density {
		return 4
	}
	return 1
}

// between makes a fact of a range; an end may be open.
func (b *Book) between(what string, lo, hi *quantity.Number, u quantity.Unit) Fact {
	if lo != nil && hi != nil && lo.Equal(*hi) {
		return b.figure(what, *lo, u)
	}
	f := Fact{What: what, Min: lo, Max: hi, Unit: unitName(u), From: FromCalculated}
	if lo != nil && hi != nil {
		l, h := b.shown(*lo, u), b.shown(*hi, u)
		if suffix := unitSuffix(h); strings.HasSuffix(l, suffix) {
			l = strings.TrimSuffix(l, suffix)
		}
		f.Shown = l + " to " + h
	}
	return f
}

// unitSuffix is what stands behind the figures: " °C".
func unitSuffix(s string) string {
	if i := strings.IndexByte(s, ' '); i >= 0 {
		return s[i:]
	}
	return ""
}

// degreesIn turns a temperature fact into the unit asked for, or that of a house that writes °F.
func (b *Book) degreesIn(q *question.Question, f Fact) Fact {
	to := quantity.Celsius
	if q.HasUnit && q.Unit.Dim == quantity.Temperature {
		to = q.Unit
	} else if b.fahrenheit() {
		to = quantity.Fahrenheit
	}
	if to.Equal(quantity.Celsius) || f.Unit != quantity.Celsius.Symbol {
		return f
	}
	turn := func(n *quantity.Number) *quantity.Number {
		if n == nil {
			return nil
		}
		t, err := quantity.Of(*n, quantity.Celsius).In(to)
		if err != nil {
			return n
		}
		return &t.N
	}
	g := f
	g.Value, g.Min, g.Max, g.Unit = turn(f.Value), turn(f.Min), turn(f.Max), to.Symbol
	if f.PlusMinus != nil {
		pm := f.PlusMinus.Div(to.Factor())
		g.PlusMinus = &pm
	}
	switch {
	case g.Value != nil:
		g.Shown = b.shown(*g.Value, to)
		if g.PlusMinus != nil {
			g.Shown += " ± " + g.PlusMinus.Fixed(1)
		}
	case g.Min != nil && g.Max != nil:
		g.Shown = b.between("", g.Min, g.Max, to).Shown
	default:
		g.Shown = ""
	}
	return g
}

// showDegrees writes a temperature in the unit asked for or of the house.
func (b *Book) showDegrees(q *question.Question, t quantity.Number) string {
	return b.degreesIn(q, b.figure("", t, quantity.Celsius)).Shown
}

// fahrenheit reports whether the house writes its cold places in °F.
func (b *Book) fahrenheit() bool {
	c := b.Snap.House.Cold
	return len(c) > 0 && c[0].At.Unit.Equal(quantity.Fahrenheit)
}

// altitude is the height of the message, else of the house, in m, and whose it is.
func (b *Book) altitude(q *question.Question) (m quantity.Number, from string) {
	if len(q.Craft.Metres) > 0 {
		return q.Craft.Metres[0], FromAsked
	}
	if h := b.Snap.House.Altitude; h != nil {
		return h.Base().Div(quantity.Int(100)), FromHouse
	}
	return m, ""
}

// altitudeFact tells the height that a temperature holds for, where it matters.
func (b *Book) altitudeFact(a *Answer, m quantity.Number, from string) {
	if from == "" {
		a.assume("at sea level")
		return
	}
	if from == FromHouse && m.Less(hundred) {
		return // nothing that a thermometer shows
	}
	f := b.figure("altitude", m, quantity.Unit{Symbol: "m", Dim: quantity.Count})
	f.Shown = m.Fixed(0) + " m"
	f.From = from
	a.add(f)
	if from == FromHouse {
		a.assume("house altitude", f.Shown)
	}
}

// placeTemp is the temperature given, else that of the cold place named.
func (b *Book) placeTemp(q *question.Question) (c quantity.Number, label string, ok bool) {
	if len(q.Craft.Celsius) > 0 {
		return q.Craft.Celsius[0], "", true
	}
	want := q.Place
	for _, p := range b.Snap.House.Cold {
		if want != "" && (sameFold(p.Name, want) || slices.Contains(name.Words(p.Name), name.Fold(want))) {
			return p.At.Base(), p.Name, true
		}
	}
	for _, p := range b.Snap.House.Cold { // "fridge" where the house has another word for it
		t := p.At.Base()
		if want == "fridge" && t.Sign() > 0 && t.Less(quantity.Int(10)) || want == "freezer" && t.Less(quantity.Int(-10)) {
			return t, p.Name, true
		}
	}
	return c, "", false
}

// inGrams is an amount of an item as a mass; assumed says by what density where none is known.
func (b *Book) inGrams(a *Answer, g *question.Given) (quantity.Number, bool) {
	if g.Q.Unit.Dim == quantity.Mass {
		return g.Q.Base(), true
	}
	if d, _, ok := b.itemDensity(&g.Item); ok && !g.Item.Part {
		return g.Q.Base().Mul(d), true
	}
	if g.Item.Larder != nil && !g.Item.Part && g.Item.Recipe == nil {
		a.unknown("no density", g.Item.Text)
		return quantity.Number{}, false
	}
	a.assume("as water")
	return g.Q.Base(), true
}

// waterOf is the water in an amount of an item, in g; of something that the
// book and the larder do not know, all of it, which is assumed.
func (b *Book) waterOf(a *Answer, g *question.Given) (water, mass quantity.Number, ok bool) {
	mass, ok = b.inGrams(a, g)
	if !ok {
		return
	}
	if slices.Contains(g.Item.Names, "water") {
		return mass, mass, true
	}
	if g.Item.Recipe != nil && !g.Item.Part {
		if c, ok := b.recipeContent(g.Item.Recipe, mix.Water); ok {
			return c.Mul(mass).Div(hundred), mass, true
		}
	}
	if it := g.Item.Larder; it != nil && !g.Item.Part {
		if w, known := it.Comp.Get(mix.Water); known && w.Sign() > 0 {
			return w.Mul(mass).Div(hundred), mass, true
		}
	}
	a.assume("all water", nameOf(g))
	return mass, mass, true
}

func nameOf(g *question.Given) string {
	if g.Item.Text != "" {
		return g.Item.Text
	}
	return g.Q.String()
}

// recipeContent is the g of a component in 100 g of a recipe, where it is known well.
func (b *Book) recipeContent(r *kb.Recipe, k mix.Key) (quantity.Number, bool) {
	w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
	if err != nil {
		return quantity.Number{}, false
	}
	return narrow(w.Mixture.Per100(k))
}

// narrow is the middle of a content that is known to a tenth.
func narrow(c mix.Content) (quantity.Number, bool) {
	if c.Exact {
		return c.AtLeast, true
	}
	pm, ok := c.PlusMinus()
	if !ok || c.Open || pm.Cmp(c.Middle().Abs().Mul(quantity.Frac(1, 10))) > 0 {
		return quantity.Number{}, false
	}
	return c.Middle(), true
}

// agentOf is the gelling agent that an ingredient is, as calc/gel names it; "" if it is none.
func agentOf(it *larder.Item, line string) string {
	names := []string{line}
	if it != nil {
		names = append(names, it.Name)
		names = append(names, it.Also...)
	}
	for _, n := range names {
		w := name.Words(n)
		for _, k := range gel.Agents() {
			if k == "gelatine" && (slices.Contains(w, "gelatine") || slices.Contains(w, "gelatin")) {
				return k
			}
			if containsAll(w, agentWords(k)) && !(k == "xanthan" && slices.Contains(w, "locust")) {
				return k
			}
		}
	}
	return ""
}

// agentWords are the words that tell an agent.
func agentWords(k string) []string {
	switch k {
	case "hm pectin":
		return []string{"high", "methoxyl", "pectin"}
	case "lm pectin":
		return []string{"low", "methoxyl", "pectin"}
	case "egg white", "egg yolk", "whole egg", "custard", "wheat flour", "xanthan with locust bean gum":
		return []string{"\x00"} // no gelling agent by name
	}
	return name.Words(k)
}

func containsAll(have, want []string) bool {
	for _, w := range want {
		if !slices.Contains(have, w) {
			return false
		}
	}
	return len(want) > 0
}

// finest is the step of the finest scale that holds a mass, in g.
func (b *Book) finest(g quantity.Number) (quantity.Scale, bool) {
	var best quantity.Scale
	found := false
	for _, s := range b.scales {
		if s.Reads.Sign() > 0 && s.UpTo.Cmp(g) >= 0 && (!found || s.Reads.Less(best.Reads)) {
			best, found = s, true
		}
	}
	return best, found
}

// BySource says once where the published figures of the facts stand.
func (a *Answer) BySource() { a.bySource() }
