package swap

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
)

// round brings a solution back to exact masses on the house's scales. The largest of the changed masses takes up what
// rounding leaves over, so that the recipe's mass is kept exactly.
func (s *search) round(d draft) (Offer, bool) {
	c, z := d.choice, d.z
	now := make([]quantity.Number, c.n)
	big := 0
	for m := range c.n {
		a := &s.actors[c.of[m]]
		exact, err := quantity.FromFloat(z[m], 6)
		if err != nil {
			return Offer{}, false
		}
		mass := a.start.Add(exact)
		if mass.Sign() < 0 {
			mass = zero
		}
		now[m] = quantity.Round(mass, s.o.Scales).Shown
		if a.most != nil && a.most.Less(now[m]) {
			now[m] = *a.most
		}
		if now[big].Less(now[m]) {
			big = m
		}
	}
	rest := s.gap
	for m := range c.n {
		rest = rest.Sub(now[m].Sub(s.actors[c.of[m]].start))
	}
	now[big] = now[big].Add(rest)
	if a := &s.actors[c.of[big]]; now[big].Sign() < 0 || a.most != nil && a.most.Less(now[big]) {
		return Offer{}, false
	}
	return s.build(c, now)
}

// build lays an offer down and verifies the wishes.
func (s *search) build(c choice, now []quantity.Number) (Offer, bool) {
	o := Offer{InCategory: true}
	for i, g := range s.gaps {
		if l := &s.r.Lines[i]; !g.IsZero() {
			left := l.Mass.Sub(g)
			o.Changes = append(o.Changes, Change{Name: l.Name, Line: i, Was: l.Mass, Now: left, Shown: quantity.Round(left, s.o.Scales)})
		}
	}
	missing := len(o.Changes)
	var names []string
	for m := range c.n {
		a := &s.actors[c.of[m]]
		if now[m].Equal(a.start) {
			continue
		}
		o.Changes = append(o.Changes, Change{Name: a.in.Name, Line: a.line, Was: a.start, Now: now[m], Shown: quantity.Round(now[m], s.o.Scales)})
		names = append(names, a.in.Name)
		o.itself = o.itself || slices.ContainsFunc(s.gone, func(p part) bool { return p.in.Name == a.in.Name })
		if a.line < 0 && !slices.ContainsFunc(s.gone, func(p part) bool { return p.in.Category == a.in.Category }) {
			o.InCategory = false
		}
	}
	if len(o.Changes) == missing {
		return Offer{}, false
	}
	slices.SortStableFunc(o.Changes[missing:], func(a, b Change) int { return cmp.Or(strings.Compare(a.Name, b.Name), cmp.Compare(a.Line, b.Line)) })
	slices.Sort(names)
	o.key = strings.Join(names, "\n")
	o.Kept = true
	var sum, weight float64
	diff := s.diffs(&o)
	for i, w := range s.wishes {
		e := s.effect(w.What, diff)
		judge(&e, w, s.unit(w.What))
		switch e.Keeps {
		case Off:
			o.Lost = append(o.Lost, w.What)
		case Unsure:
			o.Unsure = append(o.Unsure, w.What)
		}
		if e.Keeps != Kept && w.hard() && s.scale[i] > 0 {
			o.hardLost++
			o.Kept = false
		}
		if s.scale[i] > 0 {
			off := middle(e.Diff).Float() / s.unit(w.What).Float()
			sum, weight = sum+w.Weight*off*off, weight+w.Weight
		}
	}
	off, err := quantity.FromFloat(100*math.Sqrt(sum/math.Max(weight, 1e-300)), 2)
	if err != nil {
		return Offer{}, false
	}
	o.Off = off
	return o, true
}

// diffs is what an offer adds (above 0) and takes away (below), of each ingredient.
func (s *search) diffs(o *Offer) []part {
	var out []part
	for _, c := range o.Changes {
		in := s.named(c)
		out = append(out, part{in, c.Now.Sub(c.Was)})
	}
	return out
}

func (s *search) named(c Change) *Ingredient {
	if c.Line >= 0 {
		return &s.r.Lines[c.Line].Ingredient
	}
	for i := range s.actors {
		if a := &s.actors[i]; a.line < 0 && a.in.Name == c.Name {
			return a.in
		}
	}
	return &Ingredient{Name: c.Name}
}

// effect works out one function before and after.
func (s *search) effect(f Function, diff []part) Effect {
	e := Effect{What: f, Before: s.before[f]}
	if f != GelStrength {
		e.Diff = s.gramsOf(diff, f)
		e.After = s.shifted(e.Before, e.Diff, diff, f)
	} else {
		after := s.after(diff)
		e.After = s.contentOf(after, f)
		e.Diff = mix.Content{
			AtLeast: e.After.AtLeast.Sub(e.Before.AtMost), AtMost: e.After.AtMost.Sub(e.Before.AtLeast),
			Exact: e.Before.Exact && e.After.Exact, Open: e.Before.Open || e.After.Open,
		}
		if !e.Diff.Exact {
			e.Diff.Missing = e.After.Missing
		}
	}
	if e.Before.Exact && e.Diff.Exact && floors[f].Mul(s.mass).Less(e.Before.AtLeast) || f == GelStrength && e.Diff.Exact && e.Before.AtLeast.Sign() > 0 {
		e.Percent, e.KnowsPercent = e.Diff.AtLeast.Div(e.Before.AtLeast).Mul(hundred), true
	}
	return e
}

// shifted is what was there with the changes in it: what does not change keeps its bounds, known or not.
func (s *search) shifted(before, by mix.Content, diff []part, f Function) mix.Content {
	if by.Exact {
		after := before
		after.AtLeast = before.AtLeast.Add(by.AtLeast)
		if after.AtMost = after.AtLeast; !before.Exact {
			after.AtMost = before.AtMost.Add(by.AtLeast)
		}
		return after
	}
	lo, hi := before.AtLeast, before.AtMost
	for _, p := range diff {
		c := s.per100(p.in, f)
		k := p.mass.Div(hundred)
		lo, hi = lo.Add(c.AtLeast.Mul(k)), hi.Add(c.AtMost.Mul(k))
	}
	after := mix.Content{AtLeast: lo, AtMost: hi, Exact: true}
	for _, p := range s.after(diff) {
		if !p.mass.IsZero() && !s.per100(p.in, f).Exact {
			after.Exact = false
			after.Missing = append(after.Missing, p.in.Name)
		}
	}
	return after
}

// after is the recipe with the changes in it: each ingredient once, so that what is unknown of it is counted once.
func (s *search) after(diff []part) []part {
	out := s.r.parts()
	for _, d := range diff {
		at := slices.IndexFunc(out, func(p part) bool { return p.in == d.in })
		if at < 0 {
			out = append(out, d)
			continue
		}
		out[at].mass = out[at].mass.Add(d.mass)
	}
	return out
}

// judge says whether a wish is kept.
func judge(e *Effect, w Wish, unit quantity.Number) {
	e.Wished, e.Hard = true, w.hard()
	if e.Diff.Exact && e.Diff.AtLeast.IsZero() {
		return
	}
	limit := unit.Mul(w.tolerance())
	within := func(n quantity.Number) bool { return !limit.Less(n.Abs()) }
	lo := within(e.Diff.AtLeast)
	hi := lo
	if !e.Diff.Exact {
		hi = within(e.Diff.AtMost)
	}
	switch {
	case e.Diff.Open:
		e.Keeps = Unsure
	case lo && hi:
		e.Keeps = Kept
	case !lo && !hi && e.Diff.AtLeast.Sign() == e.Diff.AtMost.Sign():
		e.Keeps = Off
	default:
		e.Keeps = Unsure
	}
}

// tell works out every function of an offer.
func (s *search) tell(o *Offer) {
	diff := s.diffs(o)
	all := s.r.parts()
	for f := range Total {
		at := slices.IndexFunc(s.wishes, func(w Wish) bool { return w.What == f })
		if _, ok := s.units[f]; !ok {
			s.before[f] = s.contentOf(all, f)
		}
		e := s.effect(f, diff)
		if at < 0 {
			judge(&e, Wish{What: f}, s.unit(f))
			e.Wished = false
		} else {
			judge(&e, s.wishes[at], s.unit(f))
		}
		if e.Before.AtMost.IsZero() && e.After.AtMost.IsZero() && !e.Before.Open && !e.After.Open {
			continue
		}
		o.Effects = append(o.Effects, e)
	}
	was := s.mass
	now := was
	for _, p := range diff {
		now = now.Add(p.mass)
	}
	o.Effects = append(o.Effects, Effect{What: Total, Before: known(was), After: known(now), Diff: known(now.Sub(was)), KnowsPercent: was.Sign() > 0,
		Percent: percentOf(now.Sub(was), was)})
}

func percentOf(n, of quantity.Number) quantity.Number {
	if of.IsZero() {
		return zero
	}
	return n.Div(of).Mul(hundred)
}
