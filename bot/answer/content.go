package answer

import (
	"errors"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/cost"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

var hundred = quantity.Int(100)

// mixture is what was asked about, as a mixture with its label.
func (b *Book) mixture(a *Answer, q *question.Question) (m mix.Mixture, label string, ok bool) {
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		r := q.Targets[0].Recipe
		w, err := mix.Compose(b.mixOf(r), reduce.AlcoholLost)
		if err != nil {
			a.unknown("no composition", r.Name)
			return m, r.Name, false
		}
		for _, d := range w.Doubts {
			a.note("doubt", d.Recipe, d.Step)
		}
		if perMass(q) && w.Cores.Mass().Sign() > 0 {
			a.note("without its core", r.Name)
		}
		return with(w, !perMass(q)), r.Name, true
	}
	if len(q.Items) > 0 && q.Items[0].Larder != nil {
		it := q.Items[0].Larder
		m, err := mix.Part{Name: it.Name, Mass: hundred, Comp: it.Comp, Milk: milkOf(it), Energy: it.Energy}.Mixture()
		if err != nil || it.Comp.IsEmpty() {
			a.unknown("no composition", it.Name)
			return m, it.Name, false
		}
		return m, it.Name, true
	}
	a.asks("ask which", nil)
	return m, "", false
}

// perMass reports whether a share of the mix is asked for: a core set into it has
// no part in its mass. In a piece, a cover or a batch it has.
func perMass(q *question.Question) bool {
	return q.Per != question.PerPiece && q.Per != question.PerCover && q.Per != question.PerBatch
}

// with is a finished mix, its cores in it or not.
func with(w mix.Whole, cores bool) mix.Mixture {
	if cores {
		return w.WithCores()
	}
	return w.Mixture
}

// content: fat, sugars, water… of a recipe or ingredient.
func content(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Content) == 1 && q.Content[0].Key == mix.Alcohol && !q.Content[0].Sum && len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		b.alcoholOf(a, q) // what boiling leaves of it
		return
	}
	m, label, ok := b.mixture(a, q)
	if !ok {
		return
	}
	for i, c := range q.Content {
		if slices.ContainsFunc(q.Content[:i], func(o question.Content) bool { return o.Name == c.Name }) {
			continue // "sugar % … all sugars"
		}
		if c.Name == "brix" {
			b.brixOf(a, q, label)
			continue
		}
		per100 := b.contentPer100(m, c)
		if len(per100.Missing) > 0 && b.writtenShare(a, q, c.Name) {
			continue
		}
		b.contentFact(a, q, c.Name, label, per100, "%", m)
	}
	if len(a.Facts) == 0 && a.Status == StatusAnswer {
		a.unknown("no composition", label)
		return
	}
	a.Title = Title{Recipe: label}
	sourceOf(a, q)
}

// writtenShare tells a share as the book writes it, where the sum is not known: "what %
// salt on the cure" of "salt: 5 % of fillet".
func (b *Book) writtenShare(a *Answer, q *question.Question, what string) bool {
	if len(q.Targets) != 1 || q.Targets[0].Recipe == nil {
		return false
	}
	r, told := q.Targets[0].Recipe, false
	for i := range r.Lines {
		l := &r.Lines[i]
		if l.Amount.Kind != recipe.PercentOf || !slices.Contains(name.Words(l.Name), name.Singular(what)) {
			continue
		}
		lo, hi := l.Amount.Lo, l.Amount.Hi
		f := Fact{What: l.Name, Value: &lo, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(lo)), Of: r.Name, At: "of " + strings.Join(l.Amount.Of, " + "), From: FromBook, How: l.Amount.Text}
		if l.Amount.IsRange() {
			f.Value, f.Min, f.Max = nil, &lo, &hi
			f.Shown = quantity.ShowShare(quantity.RoundShare(lo)) + " to " + quantity.ShowShare(quantity.RoundShare(hi))
		}
		a.add(f)
		told = true
	}
	return told
}

func (b *Book) contentPer100(m mix.Mixture, c question.Content) mix.Content {
	switch c.Name {
	case "solids":
		return m.SolidsPer100()
	case "milk solids-not-fat":
		return m.MilkSolidsNotFatPer100()
	}
	return m.Per100(c.Key)
}

// contentFact adds a content for 100 g, and for what else was asked: a piece, a cover, a batch.
func (b *Book) contentFact(a *Answer, q *question.Question, what, label string, c mix.Content, unit string, m mix.Mixture) {
	if len(c.Missing) > 0 && c.AtLeast.IsZero() && !c.Exact {
		if _, narrow := c.PlusMinus(); !narrow || c.Open {
			a.note("not known of", what, strings.Join(few(c.Missing), ", "))
			return
		}
	}
	var basis []struct {
		mass quantity.Number
		at   string
	}
	add := func(mass quantity.Number, at string) {
		basis = append(basis, struct {
			mass quantity.Number
			at   string
		}{mass, at})
	}
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil && q.Per != question.Per100 {
		s, ok := b.size(a, &q.Targets[0])
		if !ok {
			return
		}
		switch {
		case q.Per == question.PerPiece || q.Per == question.PerCover:
			if n := s.formula.Pieces; n.Sign() > 0 {
				add(m.Mass().Div(n), "1 "+s.formula.Word)
			}
		case q.Per == question.PerBatch || !s.one:
			at := s.title.Size
			if at == "" {
				at = short(s.factor) + " × " + label
			}
			add(m.Mass().Mul(s.factor), at)
		}
	}
	for _, x := range basis {
		share := x.mass.Div(hundred)
		f := b.bounded(what, c, share, "g")
		if unit != "%" {
			f = b.bounded(what, c, share, unit)
		}
		f.Of, f.At, f.From = label, x.at, FromCalculated
		f.ends()
		a.add(f)
	}
	at := ""
	if unit != "%" {
		at = "100 g"
	}
	f := b.bounded(what, c, quantity.Int(1), unit)
	f.Of, f.From, f.At = label, FromCalculated, at
	f.ends()
	a.add(f)
	if !c.Exact && len(c.Missing) > 0 {
		a.note("missing part", what, strings.Join(few(c.Missing), ", "))
	}
}

func few(s []string) []string {
	if len(s) > 4 {
		return append(slices.Clone(s[:4]), "…")
	}
	return s
}

// bounded makes a fact of a content times k: exact, narrow (± ), or at least.
func (b *Book) bounded(what string, c mix.Content, k quantity.Number, unit string) Fact {
	show := func(n quantity.Number) string {
		switch unit {
		case "%":
			return quantity.ShowShare(quantity.RoundShare(n))
		case "g":
			return quantity.ShowMass(quantity.Round(n, nil))
		}
		return n.RoundTo(quantity.Int(1)).String() + " " + unit
	}
	f := Fact{What: what, Unit: unit}
	if c.Exact {
		v := c.AtLeast.Mul(k)
		f.Value, f.Shown = &v, show(v)
		return f
	}
	if pm, ok := c.PlusMinus(); ok && !c.Open {
		v, d := c.Middle().Mul(k), pm.Mul(k)
		if d.Cmp(v.Abs().Mul(quantity.Frac(1, 20))) <= 0 || d.Cmp(quantity.Frac(1, 10).Mul(k)) <= 0 {
			f.Value, f.PlusMinus, f.Shown = &v, &d, show(v)
			return f
		}
	}
	v := c.AtLeast.Mul(k)
	f.Min = &v
	f.Shown = "≥ " + show(v)
	return f
}

// ends tells an estimate by its two ends, either of which may be true: what is not
// known is as likely to have none of it.
func (f *Fact) ends() {
	if f.Value == nil || f.PlusMinus == nil {
		return
	}
	lo, hi := f.Value.Sub(*f.PlusMinus), f.Value.Add(*f.PlusMinus)
	show := func(n quantity.Number) string { return quantity.ShowShare(quantity.RoundShare(n)) }
	if f.Unit == "g" {
		show = func(n quantity.Number) string { return quantity.ShowMass(quantity.Round(n, nil)) }
	} else if f.Unit != "%" {
		return
	}
	f.Value, f.PlusMinus, f.Min, f.Max = nil, nil, &lo, &hi
	if l := show(lo); l != show(hi) {
		f.Shown = strings.TrimSuffix(l, unitSuffix(l)) + " to " + show(hi)
	}
}

func (b *Book) brixOf(a *Answer, q *question.Question, label string) {
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		b.recipeBrix(a, q.Targets[0].Recipe)
		return
	}
	var it *larder.Item
	if len(q.Items) > 0 {
		it = q.Items[0].Larder
	}
	if it == nil || it.Brix == nil {
		a.note("no brix", label)
		return
	}
	f := b.measured("brix", quantity.Of(*it.Brix, quantity.BrixDegree))
	f.Of = label
	f.From, f.Source = originOf(it.BrixOrigin)
	a.add(f)
}

// sourceOf names where an ingredient's composition comes from.
func sourceOf(a *Answer, q *question.Question) {
	if len(q.Items) == 0 || q.Items[0].Larder == nil {
		return
	}
	it := q.Items[0].Larder
	for i := range a.Facts {
		f := &a.Facts[i]
		if k, ok := mix.KeyNamed(f.What); ok {
			f.From, f.Source = originOf(it.CompSource[k])
		}
	}
}

// energy: kJ and kcal by the published factors.
func energy(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	m, label, ok := b.mixture(a, q)
	if !ok {
		return
	}
	e := m.EnergyPer100()
	first, second := "kcal", "kJ"
	if q.HasUnit && q.Unit.Symbol == "kJ" || strings.Contains(strings.ToLower(q.Say), "kj") {
		first, second = "kJ", "kcal"
	}
	for _, u := range []string{first, second} {
		c := e.KJ
		if u == "kcal" {
			c = e.Kcal
		}
		b.contentFact(a, q, "energy", label, c, u, m)
	}
	if len(a.Facts) == 0 && a.Status == StatusAnswer {
		a.unknown("no composition", label)
		return
	}
	a.Title = Title{Recipe: label}
}

// costs: of a batch, a piece, a cover, or an ingredient's price.
func costs(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		b.price(a, q)
		return
	}
	currency := b.Snap.House.Currency
	if currency == "" {
		currency = "EUR"
	}
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	batch, err := cost.Of(b.costOf(r), quantity.Currency(currency))
	if err != nil {
		if errors.Is(err, cost.ErrCurrency) {
			a.unknown("other currency", r.Name)
			return
		}
		a.unknown("no cost", r.Name)
		return
	}
	if batch.Sum.N.IsZero() && len(batch.Missing) > 0 {
		a.unknown("no prices", r.Name)
		return
	}
	money := func(what string, m cost.Money, at string) Fact {
		n := m.Sum.N
		f := Fact{What: what, Value: &n, Unit: currency, Shown: quantity.ShowMoney(quantity.RoundMoney(n), quantity.Currency(currency)), Of: r.Name, At: at, From: FromCalculated, How: "larder prices"}
		if m.AtLeast {
			f.Value, f.Min = nil, &n
			f.Shown = "≥ " + f.Shown
		}
		return f
	}
	at := "1 batch"
	if s.title.Size != "" {
		at = s.title.Size
	} else if !s.one {
		at = short(s.factor) + " batches"
	}
	total := money("cost", batch.Times(s.factor), at)
	var piece []Fact
	if p, err := batch.PerPiece(); err == nil {
		what := "cost per piece"
		if r.Makes.IsCovers() || q.Per == question.PerCover {
			what = "cost per portion"
		}
		piece = append(piece, money(what, p, "1 "+s.formula.Word))
	}
	if q.Per == question.PerPiece || q.Per == question.PerCover {
		a.add(piece...)
		a.add(total)
	} else {
		a.add(total)
		a.add(piece...)
	}
	var missing []string
	for _, m := range batch.Missing {
		if n := len(m.Way); n > 0 && !slices.Contains(missing, m.Way[n-1]) {
			missing = append(missing, m.Way[n-1])
		}
	}
	if len(missing) > 0 {
		a.add(Fact{What: "not known", HasItems: true, Items: missing, Of: r.Name, From: FromHouse})
		a.note("no price for", strings.Join(few(missing), ", "))
	}
	a.add(s.facts...)
	a.Title = s.title
}

// price of an ingredient as the house buys it.
func (b *Book) price(a *Answer, q *question.Question) {
	if len(q.Items) == 0 || q.Items[0].Larder == nil {
		a.asks("ask which", nil)
		return
	}
	it := q.Items[0].Larder
	if it.Price == nil {
		a.unknown("no price", it.Name)
		return
	}
	n := it.Price.N
	f := Fact{What: "cost", Value: &n, Unit: it.Price.Unit.Symbol, Shown: quantity.ShowMoney(quantity.RoundMoney(n), it.Price.Unit), Of: it.Name, From: FromHouse, At: "per " + perText(it.PricePer)}
	if q.HasQty && q.Quantity.String() != it.PricePer.String() {
		g := cost.Good{Name: it.Name, Price: &cost.Price{Money: *it.Price, Per: it.PricePer}, Density: it.Density}
		if m, ok := it.Piece[""]; ok {
			g.PieceMass = &m
		}
		if m, err := g.Cost(q.Quantity); err == nil {
			n, at := m.N, q.Quantity.String()
			if q.Quantity.Unit.Dim == quantity.Count {
				at = q.Quantity.N.String()
			}
			a.add(Fact{What: "cost", Value: &n, Unit: f.Unit, Shown: quantity.ShowMoney(quantity.RoundMoney(n), it.Price.Unit), Of: it.Name, From: FromCalculated, At: at, How: "as bought"})
		}
	}
	a.add(f)
	a.Title = Title{Recipe: it.Name}
}

func perText(q quantity.Quantity) string {
	if q.N.Equal(quantity.Int(1)) {
		return q.Unit.Symbol
	}
	return q.String()
}
