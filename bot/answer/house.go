package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// makes: what one batch makes, in pieces and in mass.
func makes(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 1 && q.Targets[0].Scale.Kind == question.ScaleGiven && q.Per == question.PerDefault {
		makeable(b, a, q, time.Time{}) // whole ones only
		return
	}
	for i := range q.Targets {
		s, ok := b.size(a, &q.Targets[i])
		if !ok {
			return
		}
		r := s.recipe
		var pieces, total []Fact
		if n, err := scale.Pieces(s.formula, s.factor); err == nil {
			f := count("pieces", n, plural(s.formula.Word, n))
			f.Of, f.How = r.Name, s.how(makesText(r))
			pieces = append(pieces, f)
			if f.Unit != "each" {
				pieces[0].Unit, pieces[0].At = "each", f.Unit
			}
		}
		if m, err := scale.Total(s.formula, s.factor); err == nil {
			f := b.mass(a, "total", m)
			f.Of, f.How = r.Name, s.how(makesText(r))
			if !s.formula.HasStated {
				f.From, f.How = FromCalculated, "what goes in less what is lost"
			}
			if q.HasUnit && q.Unit.Dim == quantity.Mass && q.Unit.Symbol != "g" {
				if v, err := quantity.Grams(m).In(q.Unit); err == nil {
					g := b.measured("total", v)
					g.Of, g.From = r.Name, FromCalculated
					total = append(total, g)
				}
			} else if !q.HasUnit {
				total = append(total, b.asWritten(f, r)...)
			}
			if q.HasUnit && q.Unit.Dim == quantity.Volume && s.formula.Density.Sign() > 0 {
				if v, err := quantity.Of(m.Div(s.formula.Density), quantity.ML).In(q.Unit); err == nil {
					g := b.measured("total", v)
					g.Of, g.From, g.How = r.Name, FromCalculated, m.String()+" g ÷ "+s.formula.Density.String()+" g/ml"
					total = append(total, g)
				}
			}
			total = append(total, f)
			if ms := s.formula.Massless(); len(ms) > 0 && !s.formula.HasStated {
				a.note("without mass", strings.Join(ms, ", "))
			}
		} else if len(pieces) == 0 {
			b.sizeError(a, r, err)
			return
		}
		if q.Has("covers") || q.Has("portion") || strings.Contains(strings.ToLower(q.Say), "covers") {
			a.add(b.coversOf(&s)...)
		}
		switch {
		case q.Per == question.PerPiece:
			if m, err := s.formula.PieceMass(); err == nil {
				f := b.mass(a, r.Name+" piece", m)
				f.Of, f.At = r.Name, "1 "+s.formula.Word
				f.How = makesText(r)
				if r.Makes == nil || r.Makes.Each == nil {
					f.From = FromCalculated
				}
				if q.Has("howmany") && !q.Has("weigh") {
					a.add(pieces...)
					a.add(f)
				} else {
					a.add(f)
					a.add(pieces...)
				}
				break
			}
			a.add(pieces...)
			a.add(total...)
		case q.Has("howmany") && !q.Has("total") && !q.Has("weigh") && !q.HasUnit:
			a.add(pieces...)
			a.add(total...)
		case q.Has("howmuch") || q.Has("total") || q.Has("weigh") || q.HasUnit:
			a.add(total...)
			a.add(pieces...)
		default:
			a.add(pieces...)
			a.add(total...)
		}
		if len(a.Facts) == 0 {
			a.unknown("no makes", r.Name)
			return
		}
		if q.Has("factor") && len(s.facts) > 0 { // it stands among them
			a.Facts = nil
		}
		a.add(s.facts...)
		a.Title = s.title
	}
}

func makesText(r *kb.Recipe) string {
	if r.Makes == nil {
		return ""
	}
	return r.Makes.Text
}

// makeable: how much can be made from what is left.
func makeable(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	if n, err := scale.Pieces(s.formula, s.factor); err == nil {
		whole := n.Floor()
		f := count("pieces", whole, plural(s.formula.Word, whole))
		f.At, f.Unit = f.Unit, "each"
		f.Of, f.From = r.Name, FromCalculated
		a.add(f)
	}
	if m, err := scale.Total(s.formula, s.factor); err == nil {
		f := b.mass(a, "total", m)
		f.Of, f.From = r.Name, FromCalculated
		fs := append(b.asWritten(f, r), f)
		if q.Has("howmuch") || len(a.Facts) == 0 {
			a.Facts = append(fs, a.Facts...)
		} else {
			a.add(fs...)
		}
	}
	a.add(s.facts...)
	a.Title = s.title
	if len(q.Targets[0].Scale.Given) > 1 {
		a.note("limited by", s.limit)
	}
}

// moulds: how many cells or sheets a batch fills.
func moulds(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	t := &q.Targets[0]
	s, ok := b.size(a, t)
	if !ok {
		return
	}
	v, known := b.vesselOf(t)
	if q.Thing != nil {
		v, known = b.vessel(q.Thing.Text)
	}
	if own, ok := b.pieceVessel(t.Recipe); ok && (q.Thing == nil && !known || q.Thing != nil && sameFold(own.Name, v.Name)) {
		b.piecesIn(a, t.Recipe, s, own)
		return
	}
	if !known {
		makes(b, a, q, time.Time{})
		for i := range a.Facts { // by the word asked for
			if f := &a.Facts[i]; f.What == "pieces" && f.At != "" && slices.ContainsFunc(question.Words(q.Say), func(w string) bool { return name.Singular(w) == name.Singular(f.At) }) {
				f.What = f.At
			}
		}
		return
	}
	f := t.Recipe.Formula
	cells := quantity.Int(1)
	one, err := scale.ForMoulds(f, v, cells)
	if err != nil {
		b.sizeError(a, t.Recipe, err)
		return
	}
	n := s.factor.Div(one.Factor)
	whole := n.Floor()
	p := count("pieces", whole, "")
	p.Of, p.From, p.At = t.Recipe.Name, FromCalculated, v.Name
	sheets := v.Sheets(whole)
	sh := count("moulds", sheets, "")
	sh.Of, sh.From, sh.At = t.Recipe.Name, FromCalculated, v.Name
	if (q.Has("howmany") || !q.Has("fill")) && v.Cells.Cmp(quantity.Int(1)) > 0 && !strings.Contains(strings.ToLower(q.Say), "cell") {
		a.add(sh, p)
	} else {
		a.add(p, sh)
	}
	a.add(s.facts...)
	a.Title = s.title
}

// batches: how many equal batches of a machine.
func batches(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	m, ok := b.machineFor(s.recipe, q.Thing)
	switch {
	case !ok && q.Targets[0].Scale.Kind == question.ScaleNone:
		a.unknown("no machine", s.recipe.Name)
		return
	case !ok, q.Per == question.PerBatch && q.Targets[0].Scale.Kind != question.ScaleNone: // of the recipe itself
		n := count("batches", s.factor.Ceil(), "")
		n.From, n.Of = FromCalculated, s.recipe.Name
		a.add(n)
		a.add(s.facts...)
		a.Title = s.title
		return
	}
	if m.Batch == nil {
		a.unknown("no batch size", m.Name)
		return
	}
	total, err := scale.Total(s.formula, s.factor)
	if err != nil {
		b.sizeError(a, s.recipe, err)
		return
	}
	least := quantity.Number{}
	if m.AtLeast != nil {
		least = m.AtLeast.Base()
	}
	split, err := scale.Batches(total, least, m.Batch.Base())
	if err != nil {
		a.unknown("no split", s.recipe.Name, m.Name)
		return
	}
	n := count("batches", split.N, "")
	n.From, n.Of, n.At = FromCalculated, s.recipe.Name, m.Name
	each := b.mass(a, "batch", split.Each)
	each.From, each.Of, each.At = FromCalculated, s.recipe.Name, m.Name
	t := b.mass(a, "total", total)
	t.From, t.Of = FromCalculated, s.recipe.Name
	a.add(n, each, t)
	if m.Takes != nil {
		a.add(spanFact("takes", m.Takes, m.Name))
	}
	a.add(s.facts...)
	a.Title = s.title
}

// machineFor is the machine named, else the one of the recipe's method with a batch size.
func (b *Book) machineFor(r *kb.Recipe, t *kb.Name) (recipe.Machine, bool) {
	if t != nil {
		return b.Snap.Machine(t.Text)
	}
	for i := range r.Method {
		if m, ok := b.Snap.Machine(r.Method[i].In); ok && m.Batch != nil {
			return m, true
		}
	}
	return recipe.Machine{}, false
}

// thing: what the house says of its pans, moulds, machines, cold places, scales, service.
func thing(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	h := b.Snap.House
	if q.Thing == nil {
		if len(h.Service) == 0 {
			a.unknown("no service")
			return
		}
		var items []string
		for _, c := range h.Service {
			items = append(items, clockText(c))
		}
		a.add(Fact{What: "service", HasItems: true, Items: items, From: FromHouse})
		a.Form = FormSets
		return
	}
	put := func(what string, v *quantity.Quantity) {
		if v == nil {
			return
		}
		f := b.measured(what, *v)
		if v.Unit.Dim == quantity.Mass {
			f = b.mass(a, what, v.Base())
		}
		f.Of, f.From = q.Thing.Text, FromHouse
		a.add(f)
	}
	number := func(what string, n int) {
		if n == 0 {
			return
		}
		v := quantity.Int(int64(n))
		a.add(Fact{What: what, Value: &v, Unit: "each", Shown: v.String(), Of: q.Thing.Text, From: FromHouse})
	}
	switch q.Thing.Kind {
	case kb.PanName:
		p, _ := b.Snap.Pan(q.Thing.Text)
		if (q.Has("capacity") || q.HasUnit && q.Unit.Dim == quantity.Volume) && !q.Has("tare") && !q.Has("weigh") {
			put("holds", p.Holds)
			put("empty", &p.Empty)
		} else {
			put("empty", &p.Empty)
			put("holds", p.Holds)
		}
	case kb.MouldName:
		m, _ := b.Snap.Mould(q.Thing.Text)
		if q.Has("only") || q.Has("stock") || saysAny(q.Say, " own ", " owns ") {
			number("moulds", m.Count)
			number("cells", m.Cells)
			put("volume", m.Volume)
			break
		}
		if q.Has("howmany") || saysAny(q.Say, " cells ", " cell ") {
			number("cells", m.Cells)
			put("volume", m.Volume)
		} else {
			put("volume", m.Volume)
			number("cells", m.Cells)
		}
		number("moulds", m.Count)
	case kb.MachineName:
		m, _ := b.Snap.Machine(q.Thing.Text)
		if saysAny(q.Say, " minimum ", " min ", " at least ", " smallest ", " least ", " too little ") {
			put("at least", m.AtLeast)
			put("batch", m.Batch)
		} else {
			put("batch", m.Batch)
			put("at least", m.AtLeast)
		}
		put("holds", m.Holds)
		if m.Takes != nil {
			a.add(spanFact("takes", m.Takes, ""))
		}
		if m.Trays.Sign() > 0 {
			t := m.Trays
			a.add(Fact{What: "trays", Value: &t, Unit: "each", Shown: t.String(), Of: q.Thing.Text, From: FromHouse})
		}
	case kb.ColdName:
		c, _ := b.Snap.Cold(q.Thing.Text)
		put("temperature", &c.At)
		if c.Trays.Sign() > 0 {
			t := c.Trays
			a.add(Fact{What: "trays", Value: &t, Unit: "each", Shown: t.String(), Of: q.Thing.Text, From: FromHouse})
		}
	case kb.ScaleName:
		for _, s := range h.Scales {
			if sameFold(s.Name, q.Thing.Text) {
				put("reads", &s.Reads)
				a.Cautions = nil // what it reads to is no dose
				put("up to", &s.UpTo)
			}
		}
	}
	if len(a.Facts) == 0 {
		a.unknown("nothing of thing", q.Thing.Text)
	}
	thingAskedFirst(a, q)
	a.Title = Title{Recipe: q.Thing.Text}
}

func clockText(c recipe.Clock) string {
	two := func(n int) string {
		s := quantity.Int(int64(n)).String()
		if n < 10 {
			return "0" + s
		}
		return s
	}
	return two(int(c)/60) + ":" + two(int(c)%60)
}

// convert: a quantity in another unit.
func convert(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormConvert
	in := q.Quantity
	if len(q.Quantities) > 0 { // "1 cup (240 ml)": the bracket says how much that is
		in = q.Quantities[0]
	}
	asked := b.measured("asked", q.Quantity)
	asked.From, asked.Shown = FromAsked, q.Quantity.String()
	var it *question.Item
	what := ""
	if len(q.Items) > 0 {
		it = &q.Items[0]
		what = it.Text
		if it.Larder != nil {
			what = it.Larder.Name
		} else if it.Recipe != nil {
			what = it.Recipe.Name
		}
	}
	to := q.Unit
	if !q.HasUnit {
		to = otherUnit(in.Unit, it != nil)
		a.assume("unit", to.Symbol)
	}
	out, how, src, code := b.turn(in, to, it)
	if code != "" {
		if code == "ask ingredient" {
			if len(q.Strange) > 0 { // "1 cup of moondust": something is named
				a.unknown("no such recipe", strings.Join(q.Strange, " "))
				return
			}
			a.asks("ask ingredient", nil, q.Quantity.String(), to.Symbol)
			return
		}
		a.unknown(code, what)
		return
	}
	if what == "" {
		what = to.Dim.String()
	}
	f := b.measured(what, out)
	f.Unit = unitName(out.Unit)
	if to.Dim == quantity.Count {
		f.Shown = out.N.Fixed(1)
		if f.Unit != "each" {
			f.Unit = plural(f.Unit, out.N)
			f.Shown += " " + f.Unit
		}
	}
	if to.Dim == quantity.Time { // in the unit that was asked for, not as a clock would tell it
		f.Shown = out.N.Fixed(2) + " " + to.Symbol
	}
	if to.Symbol == "g" || to.Symbol == "kg" {
		f.Shown = quantity.ShowMass(quantity.Round(out.Base(), b.scales))
		if to.Symbol == "kg" {
			f.Shown = quantity.Of(quantity.Round(out.Base(), b.scales).Shown.Div(quantity.Int(1000)), quantity.KG).String()
		}
	}
	f.From, f.How, f.Source = FromCalculated, how, src
	a.add(f)
	if q.QuantityHi != nil {
		if hi, _, _, code := b.turn(*q.QuantityHi, to, it); code == "" {
			lo, h := out.N, hi.N
			a.Facts[0].Value, a.Facts[0].Min, a.Facts[0].Max = nil, &lo, &h
			a.Facts[0].Shown = ""
		}
	}
	a.add(asked)
}

// otherUnit is the unit that somebody wants who names none.
func otherUnit(u quantity.Unit, food bool) quantity.Unit {
	switch u.Dim {
	case quantity.Temperature:
		if u.Symbol == "°F" {
			return quantity.Celsius
		}
		return quantity.Fahrenheit
	case quantity.Volume:
		if food {
			return quantity.G
		}
		return quantity.ML
	case quantity.Mass:
		if imperial(u) {
			return quantity.G
		}
		return quantity.OZ
	}
	return quantity.G
}

// turn converts q to a unit; mass and volume meet through the item's density,
// counts through its piece.
func (b *Book) turn(q quantity.Quantity, to quantity.Unit, it *question.Item) (out quantity.Quantity, how, src, code string) {
	if q.Unit.Dim == to.Dim {
		out, err := q.In(to)
		if err != nil {
			return out, "", "", "no conversion"
		}
		return out, q.String(), "", ""
	}
	if to.Dim == quantity.Count && q.Unit.Dim == quantity.Mass {
		if it == nil {
			return out, "", "", "ask ingredient"
		}
		m, ok := b.pieceMass(it, nil, "")
		if !ok || m.Sign() <= 0 {
			return out, "", "", "no piece"
		}
		return quantity.Of(q.Base().Div(m), to), q.String() + " ÷ " + m.String() + " g", "", ""
	}
	mass := func(d quantity.Dimension) bool { return d == quantity.Mass }
	volume := func(d quantity.Dimension) bool { return d == quantity.Volume }
	switch {
	case mass(q.Unit.Dim) && volume(to.Dim), volume(q.Unit.Dim) && mass(to.Dim):
		if it == nil {
			return out, "", "", "ask ingredient"
		}
		d, src, ok := b.itemDensity(it)
		if !ok {
			return out, "", "", "no density"
		}
		var base quantity.Number
		if mass(to.Dim) {
			base = q.Base().Mul(d)
			how = q.String() + " × " + d.String() + " g/ml"
		} else {
			base = q.Base().Div(d)
			how = q.String() + " ÷ " + d.String() + " g/ml"
		}
		out, err := quantity.Of(base, quantity.Base(to.Dim)).In(to)
		if err != nil {
			return out, "", "", "no conversion"
		}
		return out, how, src, ""
	case q.Unit.Dim == quantity.Count || q.Unit.Dim == quantity.None:
		if it == nil {
			return out, "", "", "ask ingredient"
		}
		m, ok := b.pieceMass(it, nil, q.Unit.Symbol)
		if !ok {
			return out, "", "", "no piece"
		}
		g := quantity.Grams(q.N.Mul(m))
		if to.Dim == quantity.Volume {
			return b.turn(g, to, it)
		}
		out, err := g.In(to)
		if err != nil {
			return out, "", "", "no conversion"
		}
		return out, q.N.String() + " × " + m.String() + " g", "", ""
	}
	return out, "", "", "no conversion"
}

func (b *Book) itemDensity(it *question.Item) (quantity.Number, string, bool) {
	if it.Larder != nil && it.Larder.Density != nil && it.Larder.Density.Sign() > 0 {
		return *it.Larder.Density, it.Larder.DensityOrigin.Source, true
	}
	if it.Recipe != nil && it.Recipe.Density != nil && it.Recipe.Density.Base().Sign() > 0 {
		return it.Recipe.Density.Base(), "", true
	}
	return quantity.Number{}, "", false
}

// density of an ingredient, or the mass of its piece.
func density(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Items) == 0 && len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		b.recipeDensity(a, q)
		return
	}
	it := q.Items[0].Larder
	if len(q.Content) > 0 && q.Content[0].Name == "bloom" {
		n := *it.Bloom
		f := Fact{What: "bloom", Value: &n, Unit: "", Shown: n.String(), Of: it.Name}
		f.From, f.Source = originOf(it.BloomOrigin)
		a.add(f)
		a.Title = Title{Recipe: it.Name}
		return
	}
	if q.Per == question.PerPiece {
		n := quantity.Int(1)
		if q.HasQty {
			n = q.Quantity.N
		}
		m, ok := b.pieceMass(&q.Items[0], nil, q.Quantity.Unit.Symbol)
		if !ok {
			a.unknown("no piece", it.Name)
			return
		}
		f := b.mass(a, it.Name, m.Mul(n))
		f.From, f.Source = originOf(it.PieceOrigin)
		f.How = n.String() + " × " + m.String() + " g"
		a.add(f)
		return
	}
	if it.Density == nil {
		a.unknown("no density", it.Name)
		return
	}
	f := b.measured("density", quantity.Of(*it.Density, quantity.GPerML))
	f.Of = it.Name
	f.From, f.Source = originOf(it.DensityOrigin)
	a.add(f)
	a.Title = Title{Recipe: it.Name}
}

// originOf is an origin as a fact says it.
func originOf(o larder.Origin) (from, source string) {
	switch o.From {
	case larder.FromHouse:
		return FromHouse, ""
	case larder.FromPractice:
		return FromPractice, ""
	case "":
		return FromLarder, ""
	}
	return FromLarder, o.Source
}

// usable: what is left after trimming, or what to buy for a trimmed mass.
func usable(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	it := q.Items[0].Larder
	if it.Usable == nil || it.Usable.Sign() <= 0 {
		a.unknown("no usable", it.Name)
		return
	}
	pct := it.Usable.Mul(quantity.Int(100))
	u := Fact{What: "usable", Value: &pct, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(pct)), Of: it.Name}
	u.From, u.Source = originOf(it.UsableOrigin)
	if !q.HasQty {
		a.add(u)
		a.Title = Title{Recipe: it.Name}
		return
	}
	m := q.Quantity.Base()
	var f Fact
	if boughtGiven(q) {
		f = b.mass(a, it.Name, m.Mul(*it.Usable))
		f.How, f.At = q.Quantity.String()+" × "+u.Shown, "trimmed"
	} else {
		f = b.mass(a, it.Name, m.Div(*it.Usable))
		f.How, f.At = q.Quantity.String()+" ÷ "+u.Shown, "to buy"
	}
	f.From = FromCalculated
	asked := b.measured("asked", q.Quantity)
	asked.From, asked.Shown = FromAsked, q.Quantity.String()
	a.add(f, u, asked)
	a.Title = Title{Recipe: it.Name}
}

// boughtGiven: the mass in the question is the bought one ("from 3 kg of pears").
func boughtGiven(q *question.Question) bool {
	s := strings.ToLower(q.Say)
	for _, w := range []string{"from ", "out of ", "do i get", "left of", "yield of", "unpeeled", "raw"} {
		if strings.Contains(s, w) {
			return true
		}
	}
	return false
}

func itemOf(it *question.Item, l *kb.Line) *larder.Item {
	if l != nil && l.Item != nil {
		return l.Item
	}
	if it != nil {
		return it.Larder
	}
	return nil
}
