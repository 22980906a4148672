package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// reading: what the pan must read when it is done, and what is still to lose.
func reading(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 {
		b.bareReading(a, q)
		return
	}
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	st, which := reductionOf(r, q)
	if st == nil {
		a.unknown("no reduction", r.Name)
		return
	}
	if q.Craft.Kind != "" && q.Thing == nil && len(q.Quantities) == 0 {
		a.unknown("no such pan", q.Craft.Kind)
		for _, p := range b.Snap.House.Pans {
			a.Choices = append(a.Choices, p.Name)
		}
		return
	}
	tare, panName, from, ok := b.tare(q, st)
	was, _ := r.TakesDown(st)
	startMass := was.Start.Mul(s.factor)
	knowsStart := startMass.Sign() > 0
	startFact := func() Fact {
		f := b.mass(a, "start", startMass)
		f.Of = r.Name
		if st.From != nil {
			f.How = s.how(st.From.String())
		}
		return f
	}
	if asksStart(q) && knowsStart { // nor here
		a.add(startFact())
		if ok {
			f := b.mass(a, "pan reading", tare.Add(startMass))
			f.Of, f.From, f.At, f.How = r.Name, FromCalculated, panName, tare.String()+" g + "+startMass.String()+" g"
			e := b.mass(a, "empty", tare)
			e.Of, e.From = panName, from
			a.add(f, e)
		}
		a.add(s.facts...)
		a.Title = s.title
		return
	}
	if knowsStart && !ok && q.Has("start") && !q.HasQty && !q.Has("reading") {
		a.add(startFact())
		a.add(s.facts...)
		a.Title = s.title
		return
	}
	if knowsStart && ok && q.Has("start") && !q.HasQty && !asksEnd(q) {
		if st.In != "" && q.Thing == nil && len(q.Quantities) == 0 {
			a.assume("pan", panName)
		}
		f := b.mass(a, "pan reading", tare.Add(startMass))
		f.Of, f.From, f.At, f.How = r.Name, FromCalculated, panName, tare.String()+" g + "+startMass.String()+" g"
		e := b.mass(a, "empty", tare)
		e.Of, e.From = panName, from
		a.add(f, startFact(), e)
		a.add(s.facts...)
		a.Title = s.title
		return
	}
	g, known := b.goalOf(a, &s, st)
	if !known {
		return
	}
	target, how, goalFrom := g.end, g.how, g.from
	if q.DownTo != nil {
		book := target
		if target = q.DownTo.Base(); !target.Equal(book) {
			how, goalFrom = "", FromAsked
			a.assume("goal told", b.shown(target, quantity.G), b.shown(book, quantity.G))
		}
	}
	goalFirst := !q.HasQty && asksGoal(q)
	if !ok && goalFirst { // the pan is not asked for
		goal := b.mass(a, st.Verb+" to", target)
		goal.Of, goal.How, goal.From = r.Name, how, goalFrom
		a.add(goal)
		a.add(s.facts...)
		a.Title = s.title
		return
	}
	if !ok {
		a.asks("ask pan", b.panChoices(q), r.Name)
		return
	}
	if st.In != "" && q.Thing == nil && len(q.Quantities) == 0 {
		a.assume("pan", panName)
	}
	full := tare.Add(target)
	read := b.mass(a, "pan reading", full)
	read.Of, read.From, read.At = r.Name, FromCalculated, panName
	read.How = tare.String() + " g + " + target.String() + " g"
	goal := b.mass(a, st.Verb+" to", target)
	goal.Of, goal.How, goal.From = r.Name, how, goalFrom
	if which { // one of several
		goal.At = st.Words
	}
	empty := b.mass(a, "empty", tare)
	empty.Of, empty.From = panName, from
	if q.HasQty {
		now := q.Quantity.Base()
		if q.Net { // told without the pan
			now = now.Add(tare)
		}
		switch {
		case now.Cmp(tare) <= 0:
			a.unknown("below tare", q.Quantity.String(), panName)
			return
		case now.Cmp(full) < 0:
			under := b.mass(a, "under", full.Sub(now))
			under.Of, under.From = r.Name, FromCalculated
			a.note("gone too far", under.Shown)
			a.add(under)
		}
		lose := now.Sub(full)
		if lose.Sign() < 0 {
			lose = quantity.Number{}
		}
		f := b.mass(a, "still to lose", lose)
		f.Of, f.From = r.Name, FromCalculated
		f.How = now.String() + " g − " + tare.String() + " g − " + target.String() + " g"
		asked := b.mass(a, "reading now", now)
		asked.From = FromAsked
		if q.Net {
			asked.From, asked.How = FromCalculated, q.Quantity.String()+" + "+tare.String()+" g"
		}
		if asksEnd(q) { // "weighed 5 kg at the start, what at the end"
			a.Facts = append([]Fact{read, f}, a.Facts...)
			a.add(goal, empty, asked)
		} else {
			a.Facts = append([]Fact{f}, a.Facts...)
			a.add(read, goal, empty, asked)
		}
	} else if goalFirst {
		a.add(goal, read, empty)
	} else if q.Has("tare") && !q.Has("reading") { // "what does the pan for it weigh empty"
		a.add(empty, read, goal)
	} else {
		a.add(read, goal, empty)
	}
	a.add(s.facts...)
	a.Title = s.title
	if knowsStart && !st.To.Half {
		b.fitsPan(a, panName, startMass)
	}
}

// asksStart reports whether it is asked what goes into the pan, not what the pan
// reads then.
func asksStart(q *question.Question) bool {
	said := q.Has("start") || slices.ContainsFunc(question.Words(q.Say), func(w string) bool { return w == "start" || w == "starts" || w == "starting" })
	return said && !q.HasQty && q.Thing == nil && !q.Has("reading") && !q.Has("tare") && (!q.Has("pan") || q.Net) && len(q.Quantities) == 0
}

// asksEnd reports whether it is asked what the pan reads when it is done, beside what
// it reads before: "what's it got to weigh at the end".
func asksEnd(q *question.Question) bool {
	if q.Has("lose") {
		return false
	}
	return q.AtEnd()
}

// asksGoal reports whether it is asked to what a reduction is taken, not what the
// pan reads then.
func asksGoal(q *question.Question) bool {
	if q.Thing != nil || q.Has("reading") || q.Has("tare") || q.Has("pan") || len(q.Quantities) > 0 {
		return false
	}
	say := " " + strings.Join(question.Words(q.Say), " ") + " "
	return slices.ContainsFunc([]string{" to what ", " to which ", " to how much ", " how far ", " down to ", " what weight ", " target weight ", " weight after ", " final weight ", " end weight ", " finished weight ", " reduced weight ",
		" stop at ", " stops at ", " stop it at ", " stop reducing at ", " reduce to ", " reduced to ", " reducing to ", " to where ", " is left of ", " left when "}, func(w string) bool { return strings.Contains(say, w) })
}

// reductionOf is the step that a question about a pan means: of several the one
// that names what the words name and no other does, else the one in the pan that is
// named, else the last. It is kept in the question, for what is asked next.
func reductionOf(r *kb.Recipe, q *question.Question) (*recipe.Step, bool) {
	all := reductions(r)
	if len(all) == 0 {
		return nil, false
	}
	st := &r.Method[all[len(all)-1]]
	if len(all) == 1 {
		return st, false
	}
	if n := q.Step - 1; n >= 0 && slices.Contains(all, n) {
		return &r.Method[n], true
	}
	said := withoutName(question.Words(q.Say), r)
	var named, inPan []int
	for _, i := range all {
		words := name.Words(r.Method[i].Words)
		for _, o := range r.Method[i].Of {
			words = append(words, name.Words(o)...)
		}
		if slices.ContainsFunc(said, func(w string) bool {
			return len(w) > 3 && slices.Contains(words, name.Singular(w))
		}) {
			named = append(named, i)
		}
		if q.Thing != nil && name.Fold(r.Method[i].In) == name.Fold(q.Thing.Text) {
			inPan = append(inPan, i)
		}
	}
	for _, found := range [][]int{named, inPan} {
		if len(found) == 1 {
			q.Step = found[0] + 1
			return &r.Method[found[0]], true
		}
	}
	return st, false
}

// withoutName leaves the name of a recipe out of the words said: "wine jus" names no wine.
func withoutName(said []string, r *kb.Recipe) []string {
	for _, n := range append([]string{r.Name}, r.Also...) {
		words := name.Words(n)
		for i := 0; len(words) > 1 && i+len(words) <= len(said); i++ {
			if slices.EqualFunc(said[i:i+len(words)], words, func(a, b string) bool { return name.Singular(a) == b }) {
				return append(slices.Clone(said[:i]), said[i+len(words):]...)
			}
		}
	}
	return said
}

// reductions are the steps that take the pan down to a mass by boiling water away;
// what is strained off leaves the pan otherwise.
func reductions(r *kb.Recipe) []int {
	var out []int
	for i := range r.Method {
		t := r.Method[i].To
		if t == nil || t.Mass == nil && !t.Half && t.Brix == nil {
			continue
		}
		switch name.Fold(r.Method[i].Verb) {
		case "strain", "trim", "drain":
		default:
			out = append(out, i)
		}
	}
	return out
}

// bareReading: tare and target given without a recipe.
func (b *Book) bareReading(a *Answer, q *question.Question) {
	tare, panName, from, ok := b.tare(q, &recipe.Step{})
	if !ok {
		a.asks("ask pan", nil, "")
		return
	}
	target := q.Quantity.Base()
	if q.Net {
		if target.Cmp(tare) <= 0 {
			a.unknown("below tare", q.Quantity.String(), panName)
			return
		}
		f := b.mass(a, "total", target.Sub(tare))
		f.From, f.At, f.How = FromCalculated, panName, target.String()+" g − "+tare.String()+" g"
		empty := b.mass(a, "empty", tare)
		empty.From, empty.Of = from, panName
		now := b.mass(a, "reading now", target)
		now.From = FromAsked
		a.add(f, empty, now)
		return
	}
	f := b.mass(a, "pan reading", tare.Add(target))
	f.From, f.At, f.How = FromCalculated, panName, tare.String()+" g + "+target.String()+" g"
	empty := b.mass(a, "empty", tare)
	empty.From, empty.Of = from, panName
	goal := b.mass(a, "target", target)
	goal.From = FromAsked
	a.add(f, empty, goal)
}

// tare finds the empty weight: given in the question, of the pan named, else of the step's pan.
func (b *Book) tare(q *question.Question, st *recipe.Step) (quantity.Number, string, string, bool) {
	if len(q.Quantities) > 0 {
		return q.Quantities[0].Base(), "pan", FromAsked, true
	}
	n := ""
	if st != nil {
		n = st.In
	}
	if q.Thing != nil {
		n = q.Thing.Text
	}
	p, ok := b.Snap.Pan(n)
	return p.Empty.Base(), p.Name, FromHouse, ok && n != ""
}

// fitsPan says when the start does not fit the pan with some head-room.
func (b *Book) fitsPan(a *Answer, panName string, start quantity.Number) {
	p, ok := b.Snap.Pan(panName)
	if !ok || p.Holds == nil {
		return
	}
	if start.Cmp(p.Holds.Base().Mul(quantity.Int(1).Sub(reduce.HeadRoom()))) > 0 {
		a.note("two pans", panName)
	}
}

// brixTarget: mass × °Bx stays while water leaves.
func brixTarget(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if q.Craft.Topic == "at" {
		b.brixAt(a, q)
		return
	}
	d := slices.Clone(q.Quantities)
	m := q.Quantity.Base()
	from, to := d[0].N, d[1].N
	if to.Sign() <= 0 || from.Sign() <= 0 || to.Cmp(quantity.Int(100)) > 0 {
		a.asks("ask brix", nil)
		return
	}
	wanted := q.Craft.Topic == "wanted" // the mass is what there is to be at the end
	if wanted {
		m = m.Mul(to).Div(from)
	}
	end := m.Mul(from).Div(to)
	if end.Cmp(m) > 0 {
		a.unknown("target above start", d[0].String(), d[1].String())
		return
	}
	if q.Thing != nil {
		if p, ok := b.Snap.Pan(q.Thing.Text); ok {
			c := cooking{start: m, target: end}
			a.add(b.readingFacts(a, &c, p.Empty.Base(), p.Name, FromHouse)...)
			b.fitsPan(a, p.Name, m)
		}
	}
	f := b.mass(a, "total", end)
	f.From, f.How = FromCalculated, q.Quantity.String()+" × "+from.String()+" ÷ "+to.String()
	lose := b.mass(a, "to lose", m.Sub(end))
	lose.From = FromCalculated
	start := b.mass(a, "start", m)
	start.From = FromAsked
	if wanted {
		start.From, start.How = FromCalculated, q.Quantity.String()+" × "+to.String()+" ÷ "+from.String()
		f.From, f.How = FromAsked, ""
	}
	x, y := b.measured("brix", d[0]), b.measured("brix", d[1])
	x.From, y.From, x.At, y.At = FromAsked, FromAsked, "start", "end"
	if q.Has("lose") && !q.Has("weigh") && !q.Has("total") {
		f, lose = lose, f
	}
	if wanted {
		a.add(start, lose, f, x, y)
		return
	}
	a.add(f, lose, start, x, y)
}

// brixAt is the degree of what is left when water alone has gone.
func (b *Book) brixAt(a *Answer, q *question.Question) {
	m, end, from := q.Quantity.Base(), q.DownTo.Base(), q.Quantities[0].N
	if m.Sign() <= 0 || end.Sign() <= 0 || from.Sign() <= 0 {
		a.asks("ask brix", nil)
		return
	}
	to := m.Mul(from).Div(end)
	if to.Cmp(quantity.Int(100)) > 0 {
		a.unknown("more than sugar", q.DownTo.String(), q.Quantity.String(), q.Quantities[0].String())
		return
	}
	f := b.measured("brix", quantity.Of(to, quantity.BrixDegree))
	f.At, f.From, f.How = "end", FromCalculated, q.Quantities[0].String()+" × "+q.Quantity.String()+" ÷ "+q.DownTo.String()
	x := b.measured("brix", q.Quantities[0])
	x.At, x.From = "start", FromAsked
	start, left, lost := b.mass(a, "start", m), b.mass(a, "total", end), b.mass(a, "evaporated", m.Sub(end))
	start.From, left.From, lost.From = FromAsked, FromAsked, FromCalculated
	a.add(f, x, start, left, lost)
}
