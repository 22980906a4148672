package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb"
	"tamis/kb/larder"
)

// alcoholLeft: what is left of the alcohol after reducing or cooking; never "alcohol-free".
func alcoholLeft(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	switch q.Craft.Topic {
	case "recipe":
		b.alcoholOf(a, q)
	case "pan":
		b.alcoholBoiled(a, q)
	default:
		b.alcoholKept(a, q)
	}
	if a.Status == StatusAnswer {
		a.caution("alcohol stays")
		a.bySource()
	}
}

// boilSources are what the boiling of alcohol stands on.
var boilSources = []string{"S-603", "S-604"}

// alcoholOf: of a finished recipe, with its range, against what went in.
func (b *Book) alcoholOf(a *Answer, q *question.Question) {
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	in, known := b.alcoholIn(r)
	if known && in.IsZero() && q.Want != question.WantContent {
		a.unknown("no alcohol listed", r.Name)
		return
	}
	w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
	if err != nil {
		a.unknown("no composition", r.Name)
		return
	}
	cores := q.Want != question.WantContent || !perMass(q) || !s.one
	m := with(w, cores)
	if !cores && w.Cores.Mass().Sign() > 0 {
		a.note("without its core", r.Name)
	}
	share := m.Mass().Mul(s.factor).Div(hundred)
	at := "1 batch"
	if !s.one {
		at = s.title.Size
		if at == "" {
			at = short(s.factor) + " batches"
		}
	}
	bases := []alcoholBasis{{share, quantity.G, at}, {quantity.Int(1), quantity.Percent, ""}}
	if q.Want == question.WantContent && (s.one || q.Per == question.Per100) {
		bases = bases[1:] // a share was asked for
	}
	b.alcoholFacts(a, r, m, cores, bases)
	if q.Want == question.WantContent {
		if !in.IsZero() || !known {
			a.caution("alcohol stays")
		}
	} else if known {
		st := b.figure("alcohol", in.Mul(s.factor), quantity.G)
		st.Of, st.At = r.Name, "before cooking"
		a.add(st)
	} else {
		a.note("alcohol in unknown")
	}
	a.add(s.facts...)
	a.Title = s.title
}

// alcoholBasis is what an alcohol content is told for: times a factor, in a unit.
type alcoholBasis struct {
	factor quantity.Number
	unit   quantity.Unit
	at     string
}

// alcoholFacts are a finished recipe's alcohol with its range, else its bounds.
func (b *Book) alcoholFacts(a *Answer, r *kb.Recipe, m mix.Mixture, cores bool, bases []alcoholBasis) {
	mid, lo, hi, ok := b.alcoholRange(r, cores)
	c := b.alcoholBounds(r, cores, m.Per100(mix.Alcohol))
	for _, k := range bases {
		var f Fact
		switch {
		case ok && mid.IsZero() && hi.IsZero() && !b.wet(r):
			f = b.figure("alcohol", mid, k.unit)
		case ok:
			f = b.figure("alcohol", mid.Mul(k.factor), k.unit).cite(FromCalculated, boilSources...)
			b.rangeOn(&f, lo.Mul(k.factor), hi.Mul(k.factor), k.unit)
		default:
			least, most := c.AtLeast.Mul(k.factor), c.AtMost.Mul(k.factor)
			f = b.between("alcohol", &least, &most, k.unit)
			if trace(most, k.unit) && !c.Open {
				f.under(most, k.unit)
				f.Shown = "under " + b.shown(*f.Max, k.unit)
			}
			if c.Open {
				f.Max, f.Shown = nil, "≥ "+b.shown(least, k.unit)
			}
		}
		f.Of, f.At = r.Name, k.at
		a.add(f)
	}
	switch {
	case !ok && len(c.Missing) > 0:
		a.note("missing part", "alcohol", strings.Join(few(c.Missing), ", "))
	case ok && !lo.Equal(hi):
		a.note("alcohol range")
	case ok && !b.wet(r):
		a.note("no alcohol listed", r.Name)
	}
}

// alcoholBounds widens a content by both ends of what boiling may leave.
func (b *Book) alcoholBounds(r *kb.Recipe, cores bool, c mix.Content) mix.Content {
	_, low, high := splits()
	for _, s := range []mix.Split{low, high} {
		w, err := mix.Compose(b.mixOf(r), s)
		if err != nil {
			continue
		}
		o := with(w, cores).Per100(mix.Alcohol)
		if o.AtLeast.Less(c.AtLeast) {
			c.AtLeast = o.AtLeast
		}
		if c.AtMost.Less(o.AtMost) {
			c.AtMost = o.AtMost
		}
		c.Open = c.Open || o.Open
	}
	return c
}

// wet reports whether alcohol goes into a recipe.
func (b *Book) wet(r *kb.Recipe) bool {
	in, known := b.alcoholIn(r)
	return !known || in.Sign() > 0 || b.alcoholBelow(r)
}

// alcoholBelow reports whether an ingredient with alcohol stands in a recipe or in any that it draws on.
func (b *Book) alcoholBelow(r *kb.Recipe) bool {
	items := b.itemsUnder(&question.Question{Targets: []question.Target{{Recipe: r}}})
	return slices.ContainsFunc(items, func(it *larder.Item) bool {
		n, known := it.Comp.Get(mix.Alcohol)
		return it.Category == "alcohol" || known && n.Sign() > 0
	})
}

// rangeOn adds a range to a fact and shows it: "12 g (9 to 15)".
func (b *Book) rangeOn(f *Fact, lo, hi quantity.Number, u quantity.Unit) {
	if hi.Less(lo) {
		lo, hi = hi, lo
	}
	if lo.Equal(hi) && !trace(*f.Value, u) {
		return
	}
	f.Min, f.Max = &lo, &hi
	if trace(*f.Value, u) { // never shown as none
		f.under(hi, u)
		f.Shown = "under " + b.shown(*f.Max, u)
		return
	}
	l, h := b.shown(lo, u), b.shown(hi, u)
	if l == h {
		return
	}
	f.Shown += " (" + strings.TrimSuffix(l, unitSuffix(l)) + " to " + strings.TrimSuffix(h, unitSuffix(h)) + ")"
}

// trace tells an amount of alcohol that would be shown as none.
func trace(n quantity.Number, u quantity.Unit) bool {
	return n.Less(quantity.Frac(1, 20)) || u.Dim == quantity.Mass && n.Less(quantity.Frac(1, 10))
}

// under makes a fact say no more than that there is less than a bound, a tenth at least.
func (f *Fact) under(hi quantity.Number, u quantity.Unit) {
	if tenth := quantity.Frac(1, 10); hi.Less(tenth) {
		hi = tenth
	}
	f.Value, f.Min, f.Max = nil, nil, &hi
}

// alcoholIn is the alcohol that goes into one batch, through all its parts as
// they are when they go in.
func (b *Book) alcoholIn(r *kb.Recipe) (quantity.Number, bool) {
	var sum quantity.Number
	known := true
	for i := range r.Lines {
		l := &r.Lines[i]
		var per quantity.Number
		ok := false
		switch {
		case l.Link != nil:
			per, ok = b.recipeContent(l.Link, mix.Alcohol)
		case l.Item != nil:
			per, ok = l.Item.Comp.Get(mix.Alcohol)
		}
		if !l.HasGrams {
			continue // to taste: no mass
		}
		if !ok {
			if l.Item != nil && !l.Item.Comp.IsEmpty() {
				continue // composition known, alcohol not listed: none
			}
			known = false
			continue
		}
		sum = sum.Add(per.Mul(l.Grams).Div(hundred))
	}
	return sum, known
}

// alcoholBoiled: wine of a strength by volume reduced to a mass.
func (b *Book) alcoholBoiled(a *Answer, q *question.Question) {
	g := q.Craft.Amounts[0]
	vol := q.Craft.Share[0]
	ml := g.Q.Base()
	st, err := reduce.FromStrength(hundred, vol)
	if err != nil || vol.IsZero() {
		a.unknown("no strength", vol.String()+" %")
		return
	}
	if g.Q.Unit.Dim == quantity.Mass {
		ml = g.Q.Base().Div(st.Density)
	}
	st, err = reduce.FromStrength(ml, vol)
	if err != nil {
		a.unknown("no strength", vol.String()+" %")
		return
	}
	var goal quantity.Number
	if len(q.Craft.Amounts) > 1 {
		goal = q.Craft.Amounts[1].Q.Base()
		if q.Craft.Amounts[1].Q.Unit.Dim == quantity.Volume {
			a.assume("as water")
		}
	} else {
		goal = st.Mass.Mul(q.Craft.Counts[0])
	}
	lost := st.Mass.Sub(goal)
	if lost.Sign() < 0 {
		a.unknown("target above start mass", b.shown(goal, quantity.G), b.shown(st.Mass, quantity.G))
		return
	}
	al, err := reduce.Boil(st.Alcohol, st.Water, lost)
	if err != nil {
		code := "no strength"
		if errors.Is(err, reduce.ErrBoiledDry) {
			code = "boiled dry"
		}
		a.unknown(code, vol.String()+" %")
		return
	}
	f := b.figure("alcohol", al.Left, quantity.G).cite(FromCalculated, boilSources...)
	b.rangeOn(&f, al.Low, al.High, quantity.G)
	f.At = "left"
	p := b.figure("alcohol", al.LeftShare, quantity.Percent).cite(FromCalculated, boilSources...)
	b.rangeOn(&p, al.LowShare, al.HighShare, quantity.Percent)
	p.At = "of what went in"
	in := b.figure("alcohol", st.Alcohol, quantity.G).cite(FromCalculated, "S-606")
	in.At = "at the start"
	ev := b.mass(a, "evaporated", lost).cite(FromCalculated, plain)
	a.add(f, p, in, ev)
	a.note("alcohol range")
	a.caution("alcohol vapour burns")
}

// alcoholKept: the published share that stays after cooking.
func (b *Book) alcoholKept(a *Answer, q *question.Question) {
	method := reduce.StirredIn
	switch q.Craft.Kind {
	case "flamed":
		method = reduce.Flamed
		a.caution("alcohol vapour burns")
	case "off heat":
		method = reduce.AddedToBoiling
	case "overnight":
		method = reduce.NoHeatOvernight
	case "not stirred":
		method = reduce.BakedNotStirred
	}
	times := q.Craft.Minutes
	if len(times) == 0 {
		times = []quantity.Number{{}}
		if method == reduce.StirredIn {
			times = nil
			for _, m := range []int64{15, 30, 60, 90, 120, 150} {
				times = append(times, quantity.Int(m))
			}
		} else if method == reduce.BakedNotStirred {
			times = []quantity.Number{quantity.Int(25)}
		}
	}
	for _, t := range times {
		r, err := reduce.Retention(method, t)
		if err != nil {
			if len(times) > 1 {
				continue
			}
			a.unknown("no retention")
			return
		}
		lo, hi := r.Low, r.High
		f := b.between("alcohol", &lo, &hi, quantity.Percent).cite(FromReference, "S-607")
		f.What = "alcohol left"
		if r.To.Sign() > 0 {
			f.At = t.String() + " min"
		} else {
			f.At = string(method)
		}
		if lo.Equal(hi) {
			ten := quantity.Int(10)
			f.PlusMinus = &ten
			f.Shown += " ± 10"
		}
		a.add(f)
	}
	a.note("retention", string(method))
}
