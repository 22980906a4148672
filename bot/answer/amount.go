package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// amounts: how much of what.
func amounts(b *Book, a *Answer, q *question.Question, _ time.Time) {
	if q.Missing == question.MissingRecipe || len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		b.askRecipe(a, q)
		return
	}
	var sizes []sized
	for i := range q.Targets {
		s, ok := b.size(a, &q.Targets[i])
		if !ok {
			return
		}
		sizes = append(sizes, s)
	}
	items := oneName(q.Items, sizes)
	var tail []Fact
	var lacking []string
	told := map[string]bool{}
	for i := range items {
		it := &items[i]
		var each [][]Fact
		found := false
		for k := range sizes {
			if it.For > 0 && it.For != k+1 {
				continue
			}
			fs, ok := b.amountOf(a, q, &sizes[k], it)
			if ok && !toldAlready(told, fs) {
				each = append(each, fs)
			}
			found = found || ok
		}
		if !found {
			lacking = append(lacking, it.Text)
			continue
		}
		if len(each) > 1 && sizedBoth(q) {
			if sum, ok := b.sum(a, each, it); ok {
				a.add(sum)
			}
		}
		for _, fs := range each {
			bought := fs
			if q.Gross {
				bought = b.gross(a, fs, q.Net)
			}
			if ps := b.packs(q, bought); len(ps) > 0 {
				a.add(ps...)
			} else {
				fs = bought
			}
			a.add(fs...)
		}
		b.listedToo(a, q, it)
	}
	if len(a.Facts) == 0 && len(a.Notes) == 0 {
		b.lacks(a, q, lacking)
		return
	}
	for _, l := range lacking {
		a.note("not in", l, q.Targets[0].Recipe.Name)
	}
	for i := range sizes {
		tail = append(tail, sizes[i].facts...)
	}
	a.add(tail...)
	a.Title = title(sizes)
	if l := sizes[0].limit; l != "" && len(q.Targets[0].Scale.Given) > 1 {
		a.note("limited by", l)
	}
	cautionsFor(a, q)
}

// oneName leaves out what is the other half of a name: the trout of "trout, cured
// weight", where a line is the cured trout.
func oneName(items []question.Item, sizes []sized) []question.Item {
	if len(sizes) != 1 {
		return slices.Clone(items)
	}
	var out []question.Item
	for i := range items {
		half := slices.ContainsFunc(items, func(o question.Item) bool {
			if o.Text == items[i].Text {
				return false
			}
			lines, exact := o.Lines(sizes[0].recipe)
			return len(lines) == 1 && !exact && lines[0].Link != nil && items[i].Heads(lines[0].Name) && !o.Heads(lines[0].Name)
		})
		if !half {
			out = append(out, items[i])
		}
	}
	return out
}

func title(ss []sized) Title {
	t := ss[0].title
	var each []string
	same := true
	for _, s := range ss {
		each = append(each, s.title.Recipe)
		same = same && s.title.Factor == t.Factor && s.title.Size == t.Size
	}
	if !same { // "12 covers" of the one and 20 of the other
		for i, s := range ss {
			switch {
			case s.title.Size != "":
				each[i] += " · " + s.title.Size
			case s.title.Factor != "":
				each[i] += " × " + s.title.Factor
			}
		}
		t.Factor, t.Size = "", ""
	}
	t.Recipe = strings.Join(each, " + ")
	return t
}

func sizedBoth(q *question.Question) bool {
	for _, t := range q.Targets {
		if t.Scale.Kind == question.ScaleNone {
			return false
		}
	}
	return true
}

// sum adds up the first facts of several recipes.
func (b *Book) sum(a *Answer, each [][]Fact, it *question.Item) (Fact, bool) {
	var total quantity.Number
	var how []string
	for _, fs := range each {
		if len(fs) == 0 || fs[0].Value == nil || fs[0].Unit != each[0][0].Unit {
			return Fact{}, false
		}
		total = total.Add(*fs[0].Value)
		how = append(how, fs[0].Shown+" "+fs[0].Of)
	}
	if each[0][0].Unit != "g" {
		return Fact{}, false
	}
	f := b.mass(a, each[0][0].What, total)
	f.From, f.How, f.At = FromCalculated, strings.Join(how, " + "), "together"
	return f, true
}

// askRecipe asks which recipe is meant, offering those with the items.
func (b *Book) askRecipe(a *Answer, q *question.Question) {
	needed := slices.Clone(q.Items)
	if len(q.Targets) > 0 {
		for _, g := range q.Targets[0].Scale.Given { // what is left goes into it too
			needed = append(needed, g.Item)
		}
	}
	rs := b.recipesWith(needed)
	if len(needed) == 0 { // "what does it bake at": what is baked
		rs = withStep(rs, q)
	}
	if len(rs) == 0 || len(q.Strange) > 0 || q.Lost {
		a.unknown("no such recipe", strings.Join(append(slices.Clone(q.Unused), itemTexts(q.Items)...), " "))
		a.Choices = b.Lex.Nearest(q.Say, 4)
		return
	}
	if len(rs) == 1 && q.Want == question.WantAmount && len(needed) > 1 { // no other has them all
		one := *q
		one.Targets, one.Missing = slices.Clone(q.Targets), question.MissingNothing
		one.Targets[0].Recipe = rs[0]
		a.Recipe, a.Question = rs[0], &one
		a.assume("recipe part", rs[0].Name)
		amounts(b, a, &one, time.Time{})
		return
	}
	const most = 6
	choices := candidates(rs)
	a.Recipe = nil
	if len(choices) > most {
		choices = choices[:most]
	}
	a.asks("ask recipe", choices, itemTexts(q.Items)...)
}

// withStep are the recipes with a step of the verb or the oven that is asked of; all
// of them where none has.
func withStep(rs []*kb.Recipe, q *question.Question) []*kb.Recipe {
	if len(q.Verbs) == 0 && !q.Oven {
		return rs
	}
	out := slices.DeleteFunc(slices.Clone(rs), func(r *kb.Recipe) bool {
		return !slices.ContainsFunc(r.Method, func(st recipe.Step) bool { return q.Oven && isOven(&st) || len(q.Verbs) > 0 && verbIs(&st, q.Verbs[0]) })
	})
	if len(out) == 0 {
		return rs
	}
	return out
}

func itemTexts(items []question.Item) []string {
	var out []string
	for _, it := range items {
		out = append(out, it.Text)
	}
	return out
}

// lacks says that the recipe has none of the items; the nearest lines are offered.
func (b *Book) lacks(a *Answer, q *question.Question, lacking []string) {
	r := q.Targets[0].Recipe
	a.unknown("no such line", strings.Join(lacking, ", "), r.Name)
	for i := range r.Lines {
		if len(a.Choices) < 12 && !slices.Contains(a.Choices, r.Lines[i].Name) {
			a.Choices = append(a.Choices, r.Lines[i].Name)
		}
	}
}

// amountOf returns the facts of one item in one recipe: first what was asked.
func (b *Book) amountOf(a *Answer, q *question.Question, s *sized, it *question.Item) ([]Fact, bool) {
	if it.In != nil {
		if out := b.within(a, q, s, it); len(out) > 0 {
			return out, true
		}
	}
	lines, exact := it.Lines(s.recipe)
	if len(q.Parts) > 0 {
		lines = slices.DeleteFunc(slices.Clone(lines), func(l *kb.Line) bool { return !slices.Contains(q.Parts, name.Fold(l.Part)) })
		if len(lines) == 0 {
			return nil, false
		}
	}
	if len(lines) == 0 {
		out, ok := b.nested(a, q, s, it)
		if ok && len(out) > 0 && len(q.Parts) == 0 {
			if own := b.headed(a, q, s, it); s.recipe.IsPlate && saysAny(q.Say, " on ", " portion ") {
				out = append(own, out...)
			} else {
				out = append(out, own...)
			}
		}
		return out, ok
	}
	var out []Fact
	var names []string
	for _, group := range groups(lines) {
		out = append(out, b.lineFacts(a, q, s, group)...)
		names = append(names, group[0].Name)
	}
	if q.Per == question.PerBatch {
		out = append(b.batchesOf(s, lines), out...)
	}
	if !exact {
		a.assume("item part", it.Text, strings.Join(names, ", "))
	}
	if q.Has("howmany") && !q.Has("howmuch") && !q.HasUnit && len(out) > 0 && lines[0].Link == nil {
		out = append(b.pieces(out[0], it, lines[0]), out...)
	}
	if exact && len(out) > 0 && len(q.Parts) == 0 { // of a part that is named, nothing below the others
		if f, ok := b.alsoBelow(a, s, it, lines); ok {
			out = append(out, f)
		}
	}
	return append(b.stepShare(s, it, lines), out...), true
}

// pieces is how many of a thing a mass is, where the larder knows what one weighs:
// "how many eggs" of a line in grams.
func (b *Book) pieces(f Fact, it *question.Item, l *kb.Line) []Fact {
	m, ok := b.pieceMass(it, l, "")
	if !ok || m.Sign() <= 0 || f.Unit != "g" || f.Value == nil {
		return nil
	}
	n := f.Value.Div(m)
	c := Fact{What: f.What, Value: &n, Unit: "each", Shown: n.Fixed(1), Of: f.Of, Part: f.Part, At: f.At, From: FromCalculated, How: f.Shown + " ÷ " + m.String() + " g"}
	return []Fact{c}
}

// batchesOf is how many batches of its own a linked recipe must be made for so much of it.
func (b *Book) batchesOf(s *sized, lines []*kb.Line) []Fact {
	var grams quantity.Number
	part := lines[0].Link
	for _, l := range lines {
		if l.Link != part || !l.HasGrams {
			return nil
		}
		grams = grams.Add(l.Grams.Mul(s.factor))
	}
	if part == nil || !part.HasFinished || part.Finished.Sign() <= 0 {
		return nil
	}
	n := grams.Div(part.Finished)
	f := count("batches", n.Ceil(), "")
	f.Of, f.From, f.How = part.Name, FromCalculated, grams.String()+" g ÷ "+part.Finished.String()+" g"
	return []Fact{f}
}

// groups puts lines of one ingredient together, in order.
func groups(lines []*kb.Line) [][]*kb.Line {
	var out [][]*kb.Line
next:
	for _, l := range lines {
		for i := range out {
			o := out[i][0]
			if o.Link == l.Link && (o.Link != nil || sameFold(o.Name, l.Name) || o.Item != nil && o.Item == l.Item) {
				out[i] = append(out[i], l)
				continue next
			}
		}
		out = append(out, []*kb.Line{l})
	}
	return out
}

// lineFacts are the facts of one ingredient's lines: their sum, then each with its part.
func (b *Book) lineFacts(a *Answer, q *question.Question, s *sized, lines []*kb.Line) []Fact {
	var each [][]Fact
	for _, l := range lines {
		fs := b.lineFact(a, q, s, l)
		if len(fs) == 0 {
			continue
		}
		for i := range fs {
			fs[i].Part = l.Part
		}
		each = append(each, fs)
	}
	if len(each) == 0 {
		return nil
	}
	if len(each) == 1 {
		return each[0]
	}
	var out []Fact
	var total quantity.Number
	unit := each[0][0].Unit
	for _, fs := range each {
		if fs[0].Value == nil || fs[0].Unit != unit {
			unit = ""
			break
		}
		total = total.Add(*fs[0].Value)
	}
	switch {
	case unit == "g":
		f := b.mass(a, lines[0].Name, total)
		f.Of, f.At, f.How = s.recipe.Name, "in all parts", s.how("")
		out = append(out, f)
	case unit != "":
		f := each[0][0]
		f.Value, f.Part, f.At = &total, "", "in all parts"
		f.Min, f.Max = nil, nil
		f.Shown = total.Fixed(2) + strings.TrimPrefix(strings.TrimLeft(f.Shown, "0123456789."), "")
		out = append(out, f)
	default: // some weighed, some counted: by mass
		var g quantity.Number
		for _, l := range lines {
			if !l.HasGrams {
				g = quantity.Number{}
				break
			}
			g = g.Add(l.Grams.Mul(s.factor))
		}
		if g.Sign() > 0 {
			f := b.mass(a, lines[0].Name, g)
			f.Of, f.At, f.From = s.recipe.Name, "in all parts", FromCalculated
			out = append(out, f)
		}
	}
	for _, fs := range each {
		out = append(out, fs...)
	}
	return out
}

// lineFact are the facts of one line: in the unit asked for or written, then by mass.
func (b *Book) lineFact(a *Answer, q *question.Question, s *sized, l *kb.Line) []Fact {
	am := written(&l.Amount)
	k := s.factor
	grams := l.Grams.Mul(k)
	var byMass, byCount []Fact
	if l.HasGrams {
		f := b.mass(a, l.Name, grams)
		f.Of = s.recipe.Name
		switch {
		case am.Kind == recipe.Measured && am.Unit.Dim == quantity.Mass:
			f.How = s.how(l.Amount.Text)
			if am.IsRange() {
				lo := quantity.Of(am.Lo, am.Unit).Base().Mul(k)
				hi := quantity.Of(am.Hi, am.Unit).Base().Mul(k)
				f.Min, f.Max = &lo, &hi
				f.Shown = quantity.ShowMass(quantity.Round(lo, b.scales)) + " to " + quantity.ShowMass(quantity.Round(hi, b.scales))
			}
			if imperial(am.Unit) {
				w := b.measured(l.Name, quantity.Of(am.Middle().Mul(k), am.Unit))
				w.Of, w.How = s.recipe.Name, s.how(l.Amount.Text)
				byMass = append(byMass, w)
				break
			}
		case am.Kind == recipe.Measured:
			f.From, f.How = l.MassFrom, s.how(l.Amount.Text)+" × density"
		case am.Kind == recipe.PercentOf:
			f.From, f.How = FromCalculated, s.how(l.Amount.Text)
		case am.Kind == recipe.Parts:
			f.From, f.How = FromCalculated, s.how(l.Amount.Text)
		default:
			f.From, f.How = l.MassFrom, s.how(l.Amount.Text)
		}
		if f.From == "" {
			f.From = FromBook
		}
		if len(byMass) == 0 && am.Kind != recipe.Pieces && !(am.Kind == recipe.Measured && am.Unit.Dim != quantity.Mass) {
			byMass = b.asWritten(f, s.recipe)
		}
		byMass = append(byMass, f)
	}
	switch am.Kind {
	case recipe.Pieces:
		n := am.Middle().Mul(k)
		f := count(l.Name, n, plural(am.Piece, n))
		f.Of, f.How = s.recipe.Name, s.how(l.Amount.Text)
		if am.IsRange() {
			lo, hi := am.Lo.Mul(k), am.Hi.Mul(k)
			f.Min, f.Max = &lo, &hi
			f.Shown = lo.Fixed(2) + " to " + hi.Fixed(2)
			if am.Piece != "" {
				f.Shown += " " + plural(am.Piece, hi)
			}
		}
		if !n.IsInt() && l.HasGrams && l.Link == nil {
			each := l.Grams.Div(am.Middle())
			if w, err := scale.WholePieces(n, each); err == nil && w.HasMass {
				a.note("weigh the pieces", f.Shown, quantity.ShowMass(quantity.Round(w.Mass, b.scales)))
			}
		}
		byCount = append(byCount, f)
	case recipe.Measured:
		if am.Unit.Dim == quantity.Volume {
			f := b.measured(l.Name, quantity.Of(am.Middle().Mul(k), am.Unit))
			v := quantity.Of(am.Middle().Mul(k), am.Unit).Base()
			if metricVolume(am.Unit) {
				f.Value, f.Unit = &v, "ml"
				f.Shown = volumeShown(v)
			}
			f.Of, f.How = s.recipe.Name, s.how(l.Amount.Text)
			byCount = append(byCount, f)
		}
	case recipe.ToTaste, recipe.Pinch:
		a.note("to taste", l.Name, l.Amount.Text)
		return nil
	}
	if l.Amount.Kind == recipe.ToTaste {
		a.note("to taste start", l.Name)
	}
	if q.HasUnit {
		if f, ok := b.inUnit(a, q.Unit, l, am, k); ok {
			f.Of = s.recipe.Name
			rest := append(byMass, byCount...)
			rest = slices.DeleteFunc(rest, func(r Fact) bool { return r.Unit == f.Unit })
			return append([]Fact{f}, rest...)
		}
		if q.Unit.Dim == quantity.Mass && q.Unit.Symbol == "g" && len(byMass) > 0 {
			return append(byMass, byCount...)
		}
		a.note("not in unit", l.Name, q.Unit.Symbol)
	}
	return append(byCount, byMass...)
}

// byPieces reports whether a line draws pieces of its link.
func byPieces(r *kb.Recipe, l *kb.Line) bool {
	for i := range r.Lines {
		if &r.Lines[i] == l && i < len(r.Formula.Lines) {
			return r.Formula.Lines[i].ByPieces
		}
	}
	return false
}

// recipeOf returns the recipe whose formula f is.
func (b *Book) recipeOf(f *scale.Formula) *kb.Recipe {
	for _, r := range b.Snap.RecipesNamed(f.Name) {
		if r.Formula == f {
			return r
		}
	}
	return nil
}

// densityOf returns the density of an item or line in g/ml, and its origin.
func (b *Book) densityOf(it *question.Item, l *kb.Line) (quantity.Number, string, bool) {
	if l != nil && l.Link != nil {
		if d := l.Link.Density; d != nil {
			return d.Base(), "", true
		}
		return quantity.Number{}, "", false
	}
	item := itemOf(it, l)
	if item == nil || item.Density == nil || item.Density.Sign() <= 0 {
		return quantity.Number{}, "", false
	}
	return *item.Density, item.DensityOrigin.Source, true
}

// cautionsFor adds the recipes' own cautions where the answer is about making them.
func cautionsFor(a *Answer, q *question.Question) {
	if q.Want == question.WantCard || q.Want == question.WantMethod {
		for i := range q.Targets {
			cautionsOf(a, q.Targets[i].Recipe)
		}
	}
}

// gross puts before an amount what to buy for it, untrimmed; behind it if net.
func (b *Book) gross(a *Answer, fs []Fact, net bool) []Fact {
	for _, f := range fs {
		item := b.Snap.Larder.Find(f.What)
		if f.Unit != "g" || f.Value == nil || item == nil {
			continue
		}
		if item.Usable == nil || item.Usable.Sign() <= 0 {
			a.note("no usable", f.What)
			return fs
		}
		g := b.mass(a, f.What, f.Value.Div(*item.Usable))
		g.Of, g.From, g.At = f.Of, FromCalculated, "to buy"
		pct := item.Usable.Mul(quantity.Int(100))
		u := Fact{What: "usable", Value: &pct, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(pct)), Of: f.What}
		u.From, u.Source = originOf(item.UsableOrigin)
		g.How = f.Shown + " ÷ " + u.Shown
		if net { // asked peeled: as the recipe has it
			return append(fs, g, u)
		}
		return append([]Fact{g, u}, fs...)
	}
	return fs
}

// listedToo adds what the recipe lists of an allergen where "celery?" may ask
// for that as much as for the amount.
func (b *Book) listedToo(a *Answer, q *question.Question, it *question.Item) {
	x, ok := it.Allergen()
	if !ok || q.Has("howmuch") || q.Has("howmany") || q.Has("weigh") || sizedAny(q) || len(q.Items) > 1 || len(q.Targets) != 1 || a.Status != StatusAnswer {
		return
	}
	q2 := *q
	q2.Allergen = []recipe.Allergen{x}
	q2.Items = nil
	form, title, about := a.Form, a.Title, a.About
	allergens(b, a, &q2, time.Time{})
	a.Form, a.Title, a.About = form, title, about
}

func sizedAny(q *question.Question) bool {
	for _, t := range q.Targets {
		if t.Scale.Kind != question.ScaleNone {
			return true
		}
	}
	return false
}
