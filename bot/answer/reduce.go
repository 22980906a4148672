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
)

// cooking is a reduction made exact: what was in the pan, what is to be left.
type cooking struct {
	of            *kb.Recipe
	start, target quantity.Number // start 0: not known
	verb, how     string
	from          string // of the target
	title         Title
	size          []Fact
}

// cookingOf is the reduction that a question means: of a recipe at its size, or given.
func (b *Book) cookingOf(a *Answer, q *question.Question) (c cooking, ok bool) {
	switch {
	case len(q.Targets) > 0 && q.Targets[0].Recipe != nil:
		s, ok := b.size(a, &q.Targets[0])
		if !ok {
			return c, false
		}
		c.of, c.title, c.size = s.recipe, s.title, s.facts
		st, _ := reductionOf(s.recipe, q)
		if st == nil {
			a.unknown("no reduction", s.recipe.Name)
			return c, false
		}
		g, ok := b.goalOf(a, &s, st)
		if !ok {
			return c, false
		}
		c.verb, c.start, c.target, c.how, c.from = st.Verb, g.start, g.end, g.how, g.from
	case len(q.Craft.Amounts) > 0:
		c.verb = "reduce"
		if c.start, ok = b.inGrams(a, &q.Craft.Amounts[0]); !ok {
			return c, false
		}
		if len(q.Craft.Amounts) > 1 {
			if c.target, ok = b.inGrams(a, &q.Craft.Amounts[1]); !ok {
				return c, false
			}
		} else if len(q.Craft.Counts) > 0 {
			c.target = c.start.Mul(q.Craft.Counts[0])
		}
	case q.HasQty && len(q.Quantities) >= 2: // from one °Bx to another
		c.verb = "reduce"
		c.start = q.Quantity.Base()
		r, err := reduce.ToBrix(c.start, q.Quantities[0].N, q.Quantities[1].N)
		if err != nil {
			a.unknown("target above start", q.Quantities[0].String(), q.Quantities[1].String())
			return c, false
		}
		c.target = r.Target
	default:
		a.asks("ask which", nil)
		return c, false
	}
	return c, true
}

// check turns a start and a goal into a reduction, or says why there is none.
func (c *cooking) check(b *Book, a *Answer) (reduce.Reduction, bool) {
	r, err := reduce.To(c.start, c.target)
	switch {
	case errors.Is(err, reduce.ErrAboveStart):
		a.unknown("target above start mass", b.shown(c.target, quantity.G), b.shown(c.start, quantity.G))
	case errors.Is(err, reduce.ErrUnknownStart):
		a.unknown("no start", c.name())
	case err != nil:
		a.unknown("no reduction", c.name())
	}
	return r, err == nil
}

func (c *cooking) name() string {
	if c.of != nil {
		return c.of.Name
	}
	return "this"
}

// evaporatedFacts are what boils off, by mass and as a share of the start.
func (b *Book) evaporatedFacts(a *Answer, c *cooking, r reduce.Reduction) []Fact {
	g, share, err := r.Evaporated()
	if err != nil {
		return nil
	}
	f := b.mass(a, "evaporated", g).cite(FromCalculated, plain)
	f.How = r.Start.String() + " g − " + r.Target.String() + " g"
	p := b.figure("evaporated", share, quantity.Percent)
	p.How = "of the start"
	if c.of != nil {
		f.Of, p.Of = c.of.Name, c.of.Name
	}
	return []Fact{f, p}
}

// evaporated: what a recipe's reduction boils off.
func evaporated(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if q.Craft.Topic == "behind" {
		leftBehind(b, a, q)
		return
	}
	c, ok := b.cookingOf(a, q)
	if !ok {
		return
	}
	r, ok := c.check(b, a)
	if !ok {
		return
	}
	ev := b.evaporatedFacts(a, &c, r)
	if c.of != nil && asksGoal(q) && !q.Has("start") && goesTo(q) {
		g := b.mass(a, c.verb+" to", c.target)
		g.How, g.Of, g.From = c.how, c.of.Name, c.from
		s := b.mass(a, "start", c.start)
		s.Of = c.of.Name
		a.add(g, s)
		a.add(ev...)
	} else {
		a.add(ev...)
		b.startAndGoal(a, &c)
	}
	a.add(c.size...)
	a.Title = c.title
}

// goesTo reports whether the words ask where a reduction ends: "how far do I reduce it".
func goesTo(q *question.Question) bool {
	words := question.Words(q.Say)
	return !slices.Contains(words, "water") && !slices.Contains(words, "off") && (!slices.Contains(words, "go") || slices.Contains(words, "down")) && !slices.Contains(words, "lose") && slices.ContainsFunc(words, func(w string) bool {
		return strings.HasPrefix(w, "reduc") || w == "down" || w == "boil" || w == "cook"
	})
}

func (b *Book) startAndGoal(a *Answer, c *cooking) {
	from := FromBook
	if c.of == nil {
		from = FromAsked
	}
	s := b.mass(a, "start", c.start)
	g := b.mass(a, c.verb+" to", c.target)
	s.From, g.From = from, from
	g.How = c.how
	if c.of != nil {
		s.Of, g.Of, g.From = c.of.Name, c.of.Name, c.from
	}
	a.add(s, g)
}

// reduceTo: a reduction given in the question.
func reduceTo(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if b.reduceVolume(a, q) {
		return
	}
	c, ok := b.cookingOf(a, q)
	if !ok {
		return
	}
	r, ok := c.check(b, a)
	if !ok {
		return
	}
	ev := b.evaporatedFacts(a, &c, r)
	tare, pan, from, hasPan := b.tare(q, nil)
	switch {
	case q.Craft.Topic == "share":
		if b.concentrated(a, q, r); a.Status != StatusAnswer { // no figure stands beside that
			return
		}
		a.add(ev...)
	case q.Craft.Topic == "fit" && q.Thing != nil:
		b.fits(a, q.Thing.Text, &c)
		a.add(ev...)
	case hasPan && q.Craft.Topic != "evaporated":
		a.add(b.readingFacts(a, &c, tare, pan, from)...)
		a.add(ev...)
	case q.Craft.Topic == "reading" && q.Has("reading") && len(b.Snap.House.Pans) > 0:
		a.asks("ask pan", b.panChoices(q), "")
		return
	default:
		if c.of == nil && (len(q.Craft.Counts) > 0 && q.Craft.Topic != "evaporated" || q.Has("weigh") || q.Has("only") || q.Has("total")) { // "what's left"
			left := b.mass(a, "total", c.target)
			left.From, left.How = FromCalculated, c.how
			a.add(left)
		}
		a.add(ev...)
	}
	b.startAndGoal(a, &c)
	if hasPan && q.Craft.Topic != "fit" {
		b.fitsPan(a, pan, c.start)
	}
}

// panChoices are the house's pans, each with the whole question.
func (b *Book) panChoices(q *question.Question) []question.Choice {
	var out []question.Choice
	names := b.Snap.Names()
	for _, p := range b.Snap.House.Pans {
		c := question.Choice{Label: p.Name}
		for i := range names {
			if names[i].Kind == kb.PanName && sameFold(names[i].Text, p.Name) {
				q2 := *q
				q2.Thing = &names[i]
				c.Question = &q2
				break
			}
		}
		out = append(out, c)
	}
	return out
}

func (b *Book) readingFacts(a *Answer, c *cooking, tare quantity.Number, pan, from string) []Fact {
	read := b.mass(a, "pan reading", tare.Add(c.target))
	read.From, read.At = FromCalculated, pan
	read.How = tare.String() + " g + " + c.target.String() + " g"
	empty := b.mass(a, "empty", tare)
	empty.Of, empty.From = pan, from
	if c.of != nil {
		read.Of = c.of.Name
	}
	return []Fact{read, empty}
}

// concentrated: what a share of salt, sugar or gelatine becomes.
func (b *Book) concentrated(a *Answer, q *question.Question, r reduce.Reduction) {
	what := "concentration"
	for _, it := range q.Items {
		what = it.Text
		break
	}
	for _, k := range []struct{ cue, name string }{{"saltword", "salt"}, {"sugarword", "sugars"}} {
		if q.Has(k.cue) {
			what = k.name
		}
	}
	for _, sh := range q.Craft.Share {
		end, err := r.Concentrate(sh)
		if err != nil {
			a.unknown("too concentrated", sh.String()+" %")
			return
		}
		f := b.figure(what, end, quantity.Percent).cite(FromCalculated, plain)
		f.How = sh.String() + " % × " + r.Start.String() + " ÷ " + r.Target.String()
		f.At = "after"
		s := b.figure(what, sh, quantity.Percent)
		s.From, s.At = FromAsked, "before"
		a.add(f, s)
	}
	a.note("vinegar leaves")
}

// panFit: whether a recipe's reduction fits a pan, else how it is spread.
func panFit(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	c := cooking{of: s.recipe, title: s.title, size: s.facts, verb: "reduce"}
	st, _ := reductionOf(s.recipe, q)
	switch {
	case st != nil && st.From != nil:
		c.start = st.From.Base().Mul(s.factor)
		c.target = c.start
		if d, ok := s.recipe.TakesDown(st); ok {
			c.target = d.End.Mul(s.factor)
		}
	default:
		for i := range s.recipe.Lines {
			if l := &s.recipe.Lines[i]; l.HasGrams && !isCore(s.recipe, i) {
				c.start = c.start.Add(l.Grams.Mul(s.factor))
			}
		}
		c.target = c.start
	}
	if c.start.Sign() <= 0 {
		a.unknown("no start", s.recipe.Name)
		return
	}
	pan := ""
	if q.Thing != nil {
		pan = q.Thing.Text
	}
	b.fits(a, pan, &c)
	if a.Status == StatusAnswer {
		if !slices.ContainsFunc(a.Facts, func(f Fact) bool { return f.What == "start" }) {
			st := b.mass(a, "start", c.start)
			st.Of, st.From = s.recipe.Name, FromCalculated
			a.add(st)
		}
		a.add(s.facts...)
		a.Title = s.title
	}
}

// fits says whether a start fits a pan with its head-room; if not, over which pans it goes.
func (b *Book) fits(a *Answer, pan string, c *cooking) {
	head := reduce.HeadRoom()
	usable := func(ml quantity.Number) quantity.Number { return ml.Mul(quantity.Int(1).Sub(head)) }
	a.assume("as water")
	if pan != "" {
		p, ok := b.Snap.Pan(pan)
		if !ok || p.Holds == nil {
			a.unknown("no capacity", pan)
			return
		}
		u := b.figure("usable", usable(p.Holds.Base()), quantity.ML).cite(FromCalculated, practice)
		u.Of, u.How = p.Name, p.Holds.String()+" less a third"
		h := b.measured("holds", *p.Holds)
		h.Of, h.From = p.Name, FromHouse
		a.add(u, h)
		if c.start.Cmp(usable(p.Holds.Base())) <= 0 {
			a.note("fits", p.Name)
			return
		}
		a.note("does not fit", p.Name)
	}
	var pans []reduce.Pan
	for _, p := range b.Snap.House.Pans {
		k := reduce.Pan{Name: p.Name, Tare: p.Empty.Base()}
		if p.Holds != nil {
			k.Holds = p.Holds.Base()
		}
		pans = append(pans, k)
	}
	loads, err := reduce.Split(reduce.Reduction{Start: c.start, Target: c.target}, quantity.Int(1), head, pans)
	var tooMuch *reduce.TooMuchError
	switch {
	case errors.As(err, &tooMuch):
		f := b.figure("usable", tooMuch.Usable, quantity.ML).cite(FromCalculated, practice)
		f.At = "all pans"
		a.add(f)
		a.note("more than the pans hold")
		return
	case err != nil:
		if pan == "" {
			a.unknown("no capacity", "pans")
		}
		return
	}
	for _, l := range loads {
		s := b.mass(a, "start", l.Start).cite(FromCalculated, plain)
		s.At = l.Pan.Name
		a.add(s)
		if c.target.Less(c.start) {
			r := b.mass(a, "pan reading", l.Reading).cite(FromCalculated, plain)
			r.At = l.Pan.Name
			a.add(r)
		}
	}
}

// splits are how much of what boils off is alcohol: the middle and both ends of its range.
func splits() (middle, low, high mix.Split) {
	of := func(end func(reduce.Alcohol) quantity.Number) mix.Split {
		return func(pan mix.Mixture, lost quantity.Number) (quantity.Number, bool) {
			al, okA := narrow(pan.Grams(mix.Alcohol))
			w, okW := narrow(pan.Grams(mix.Water))
			if !okA || !okW {
				return quantity.Number{}, false
			}
			r, err := reduce.Boil(al, w, lost)
			if err != nil {
				return quantity.Number{}, false
			}
			return r.Start.Sub(end(r)), true
		}
	}
	return reduce.AlcoholLost, of(func(r reduce.Alcohol) quantity.Number { return r.Low }), of(func(r reduce.Alcohol) quantity.Number { return r.High })
}

// alcoholRange is the alcohol in 100 g of a recipe: the middle and the range
// that sugar, fat and the boil leave open; ok is false where it is not known.
func (b *Book) alcoholRange(r *kb.Recipe, cores bool) (middle, low, high quantity.Number, ok bool) {
	m, lo, hi := splits()
	var out [3]quantity.Number
	for i, s := range []mix.Split{m, lo, hi} {
		w, err := mix.Compose(b.mixOf(r), s)
		if err != nil {
			return middle, low, high, false
		}
		n, ok := narrow(with(w, cores).Per100(mix.Alcohol))
		if !ok {
			return middle, low, high, false
		}
		out[i] = n
	}
	return out[0], out[1], out[2], true
}
