package answer

import (
	"errors"
	"slices"
	"time"

	"tamis/bot/question"
	"tamis/calc/cure"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/siphon"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// siphonOf is the siphon of the house that a question means: named, else the only one.
func (b *Book) siphonOf(q *question.Question) (recipe.Machine, bool) {
	if q.Thing != nil {
		m, ok := b.Snap.Machine(q.Thing.Text)
		return m, ok && m.Holds != nil
	}
	var found []recipe.Machine
	for _, m := range b.Snap.House.Machines {
		if w := name.Words(m.Name); m.Holds != nil && (slices.Contains(w, "siphon") || slices.Contains(w, "whipper")) {
			found = append(found, m)
		}
	}
	if len(found) != 1 {
		return recipe.Machine{}, false
	}
	return found[0], true
}

// siphonFill: how a mixture goes into siphons and how many chargers it takes.
func siphonFill(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	var mass, density, size quantity.Number
	density = quantity.Int(1)
	lean := false
	amounts := q.Craft.Amounts
	bottle, ok := b.siphonOf(q)
	if ok {
		size = bottle.Holds.Base()
	}
	if q.HasQty { // "in a 1 l siphon"
		size = q.Quantity.Base()
	}
	if q.Craft.Topic == "recipe" {
		s, ok := b.size(a, &q.Targets[0])
		if !ok {
			return
		}
		if !s.recipe.HasFinished {
			a.unknown("unknown mass", s.recipe.Name, "a line has no mass")
			return
		}
		mass = s.recipe.Finished.Mul(s.factor)
		if d := s.recipe.Density; d != nil {
			density = d.Base()
		} else {
			a.assume("as water")
		}
		if fat, ok := b.recipeContent(s.recipe, mix.Fat); ok {
			lean = fat.Less(quantity.Int(10))
		}
		a.Title = s.title
	} else {
		g := &amounts[0]
		switch d, _, ok := b.itemDensity(&g.Item); {
		case ok && !g.Item.Part:
			density = d
		case g.Q.Unit.Dim == quantity.Mass:
			a.assume("as water")
		}
		mass = g.Q.Base()
		if g.Q.Unit.Dim == quantity.Volume {
			mass = mass.Mul(density)
		}
	}
	if size.IsZero() {
		a.asks("ask siphon", nil)
		return
	}
	f, err := siphon.Charge(mass, density, size, lean)
	if err != nil {
		a.unknown("no siphon")
		return
	}
	ch := count("chargers", f.Chargers, "").cite(FromPractice, practice)
	ch.At = "into each"
	n := count("siphons", f.Bottles, "").cite(FromCalculated, plain)
	n.How = b.shown(size, quantity.ML)
	each := b.figure("fill", f.Mass, quantity.G).cite(FromCalculated, plain)
	most := b.figure("most", f.Most, quantity.G).cite(FromCalculated, plain)
	each.At, most.At = "into each", "into one"
	holds := b.figure("holds", size, quantity.ML)
	holds.From = FromHouse
	if q.HasQty {
		holds.From = FromAsked
	}
	a.add(ch, n, each, most, holds)
	if !f.AllChargers.Equal(f.Chargers) {
		all := count("chargers", f.AllChargers, "").cite(FromPractice, practice)
		all.At = "in all"
		a.add(all)
	}
	if f.Bottles.Cmp(quantity.Int(1)) > 0 {
		a.note("more than one siphon")
		a.caution("siphon overfull")
	}
	for _, c := range f.Cautions {
		a.caution(string(c))
	}
	if t := q.Craft.Celsius; len(t) > 0 {
		if cs, err := siphon.Fits(f.Mass, density, size, t[0]); err == nil {
			for _, c := range cs {
				a.caution(string(c))
			}
		}
	}
	a.note("common practice")
}

// brine: salt of brines and cures, and what injecting brings.
func brine(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	c := &q.Craft
	mass := make([]quantity.Number, len(c.Amounts))
	for i := range c.Amounts {
		m, ok := b.inGrams(a, &c.Amounts[i])
		if !ok {
			return
		}
		mass[i] = m
	}
	var cautions []cure.Caution
	var err error
	switch c.Topic {
	case "make":
		var salt, water quantity.Number
		if salt, water, err = cure.Make(mass[0], c.Share[0]); err == nil {
			if isBrineOf(&c.Amounts[0]) {
				x, y := b.mass(a, "salt", salt).cite(FromCalculated, plain), b.mass(a, "water", water).cite(FromCalculated, plain)
				x.How = mass[0].String() + " g × " + c.Share[0].String() + " %"
				a.add(x, y)
			} else { // so much water: salt to it
				b.brineOnWater(a, mass[0], c.Share[0])
			}
			cautions = []cure.Caution{cure.CautionCold}
		}
	case "equilibrium":
		water := quantity.Number{}
		if len(mass) > 1 {
			water = mass[1]
		}
		var r cure.Brine
		if r, err = cure.Equilibrium(mass[0], water, c.Share[0]); err == nil {
			x := b.mass(a, "salt", r.Salt).cite(FromCalculated, "S-656")
			x.At, x.How = "of everything together", c.Share[0].String()+" % of meat, water and salt"
			y := b.mass(a, "salt", r.OfMeatAndWater).cite(FromCalculated, plain)
			y.At = "of meat and water, the salt left out"
			a.add(x, y)
			cautions = r.Cautions
		}
	case "inject":
		pump, strength := c.Share[0], c.Share[1]
		var p cure.Pumped
		m := hundred
		if len(mass) > 0 {
			m = mass[0]
		}
		if p, err = cure.Inject(m, pump, strength); err == nil {
			if len(mass) > 0 {
				a.add(b.mass(a, "brine", p.Brine).cite(FromCalculated, "S-656"), b.mass(a, "salt", p.Salt).cite(FromCalculated, "S-656"),
					b.mass(a, "meat reads", p.Reads).cite(FromCalculated, "S-656"))
			}
			x := b.figure("salt", p.OfPumped, quantity.Percent).cite(FromCalculated, "S-656")
			x.At = "of meat with the brine"
			y := b.figure("salt", p.OfGreen, quantity.Percent).cite(FromCalculated, "S-656")
			y.At = "of the meat before"
			a.add(x, y)
			cautions = p.Cautions
		}
	default:
		pump, target := c.Share[0], c.Share[1]
		var s quantity.Number
		if s, err = cure.InjectionFor(pump, target); err == nil {
			x := b.figure("brine", s, quantity.Percent).cite(FromCalculated, "S-656")
			x.At = "salt"
			a.add(x)
			if len(mass) > 0 {
				if p, e := cure.Inject(mass[0], pump, s); e == nil {
					a.add(b.mass(a, "brine", p.Brine).cite(FromCalculated, "S-656"), b.mass(a, "meat reads", p.Reads).cite(FromCalculated, "S-656"))
				}
			}
			cautions = []cure.Caution{cure.CautionCold, cure.CautionTime, cure.CautionLocalCode}
		}
	}
	switch {
	case errors.Is(err, cure.ErrReach):
		a.unknown("no reach")
		return
	case err != nil:
		a.unknown("no brine")
		return
	}
	for i := range c.Amounts {
		f := b.mass(a, nameOf(&c.Amounts[i]), mass[i])
		f.From = FromAsked
		a.add(f)
	}
	for _, k := range cautions {
		a.caution(string(k))
	}
	a.note("plain salt")
	a.bySource()
}

// isBrineOf reports whether an amount is of the finished brine, not of its water.
func isBrineOf(g *question.Given) bool { return !slices.Contains(g.Item.Names, "water") }

// brineOnWater is the salt for so much water, as a share of the brine.
func (b *Book) brineOnWater(a *Answer, water, percent quantity.Number) {
	whole := water.Mul(hundred).Div(hundred.Sub(percent))
	x := b.mass(a, "salt", whole.Sub(water)).cite(FromCalculated, plain)
	x.At = "of the brine"
	y := b.mass(a, "salt", water.Mul(percent).Div(hundred)).cite(FromCalculated, plain)
	y.At = "of the water alone"
	t := b.mass(a, "total", whole).cite(FromCalculated, plain)
	a.add(x, y, t)
}

// nitrite: curing salt is not worked out, replaced or left out.
func nitrite(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormTalk
	err := cure.Refuse(cure.Wish(q.Craft.Topic))
	a.Status = StatusRefused
	a.Why = phrase("refused curing salt")
	var n *cure.NitriteError
	if errors.As(err, &n) {
		for _, c := range n.Cautions {
			a.caution(string(c))
		}
	}
}
