package kb

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// Where a line's grams come from, as Line.MassFrom says it.
const (
	fromBook       = "book"
	fromHouse      = "house"
	fromLarder     = "larder"
	fromCalculated = "calculated"
)

// term is a line's mass as parts × (one part) + grams: in a recipe of parts the
// size of a part is known last.
type term struct {
	parts, grams quantity.Number
	isRange      bool
	lo, hi       quantity.Number // what the ends of a range are of the middle
	byPieces     bool            // of a linked recipe, not a mass of it
	known        bool
	from, source string
	done, doing  bool
}

// stretch notes the range of a.
func (t *term) stretch(a *recipe.Amount) {
	if a.Lo == a.Hi { // one number twice, the usual case: spares comparing fractions
		return
	}
	if mid := a.Middle(); a.IsRange() && !mid.IsZero() {
		t.isRange, t.lo, t.hi = true, a.Lo.Div(mid), a.Hi.Div(mid)
	}
}

func middle(a *recipe.Amount) quantity.Number {
	if a.Lo == a.Hi {
		return a.Lo
	}
	return a.Middle()
}

// ends returns the grams at the ends of the range.
func (t *term) ends() (lo, hi quantity.Number) {
	if !t.isRange {
		return t.grams, t.grams
	}
	return t.grams.Mul(t.lo), t.grams.Mul(t.hi)
}

var (
	one     = quantity.Int(1)
	two     = quantity.Int(2)
	hundred = quantity.Int(100)
)

// amounts gives every line of e its grams where they can be known.
func (b *builder) amounts(e *entry) {
	terms := make([]term, len(e.lines))
	e.terms = terms
	hasParts, hasPercent := false, false
	for i := range e.lines {
		l := &e.lines[i]
		if t := e.links[i]; t != nil {
			l.Link = t.rec
		}
		l.IsLiquid = b.isLiquid(l)
		kind := l.written().Kind
		hasParts = hasParts || kind == recipe.Parts
		hasPercent = hasPercent || kind == recipe.PercentOf
	}
	b.findCore(e)
	for i := range e.lines {
		l := &e.lines[i]
		if a := l.written(); a.Kind != recipe.PercentOf {
			terms[i] = b.term(e, l, a)
			terms[i].done = true
		}
	}
	if hasPercent && !e.out {
		b.percents(e)
	}
	if hasParts && !e.out {
		e.sizeParts(terms)
	}
	for i := range terms {
		if t, l := &terms[i], &e.lines[i]; t.known {
			l.Grams, l.HasGrams, l.MassFrom, l.MassSource = t.grams, true, t.from, t.source
		}
	}
}

// written returns the amount that a line counts as: of `to taste` its start.
func (l *Line) written() *recipe.Amount {
	if a := &l.Amount; a.Kind != recipe.ToTaste || a.Start == nil {
		return a
	}
	return l.Amount.Start
}

// isLiquid says whether a line counts among `liquids`.
func (b *builder) isLiquid(l *Line) bool {
	a := l.written()
	return a.Kind == recipe.Measured && a.Unit.Dim == quantity.Volume || b.pours(l)
}

// pours says whether the larder or the linked recipe says so.
func (b *builder) pours(l *Line) bool {
	if l.Link != nil {
		if p := l.Link.Pours; p != nil {
			return *p
		}
		it := b.word(l.Link.Name).item
		if it == nil {
			it = b.word(l.Name).item
		}
		return it != nil && it.Pours != nil && *it.Pours
	}
	return l.Item != nil && l.Item.Pours != nil && *l.Item.Pours
}

// term works out an amount that stands by itself.
func (b *builder) term(e *entry, l *Line, a *recipe.Amount) term {
	var t term
	mid := middle(a)
	t.stretch(a)
	switch a.Kind {
	case recipe.Measured:
		n := mid.Mul(a.Unit.Factor())
		if a.Unit.Dim == quantity.Mass {
			t.grams, t.known, t.from = n, true, fromBook
			break
		}
		if d, from, source, ok := b.density(l); ok && a.Unit.Dim == quantity.Volume {
			t.grams, t.known, t.from, t.source = n.Mul(d), true, from, source
		}
	case recipe.Pieces:
		b.pieces(e, l, a, mid, &t)
	case recipe.Parts:
		t.parts, t.from = mid, fromCalculated
	}
	return t
}

// density returns g/ml of a line: a linked recipe's as it is poured (with its
// overrun), else the ingredient's.
func (b *builder) density(l *Line) (n quantity.Number, from, source string, ok bool) {
	it := l.Item
	if l.Link != nil {
		if d, ok := aerated(l.Link.Recipe); ok {
			return d, fromBook, l.Link.Name, true
		}
		it = b.word(l.Link.Name).item
	}
	if it == nil || it.Density == nil || it.Density.Sign() <= 0 {
		return n, "", "", false
	}
	from, source = origin(it.DensityOrigin)
	return *it.Density, from, source, true
}

// aerated returns density / (1 + overrun).
func aerated(r *recipe.Recipe) (quantity.Number, bool) {
	if r.Density == nil || r.Density.Base().Sign() <= 0 {
		return quantity.Number{}, false
	}
	d := r.Density.Base()
	if r.Overrun != nil {
		if grown := one.Add(r.Overrun.N.Div(hundred)); grown.Sign() > 0 {
			d = d.Div(grown)
		}
	}
	return d, true
}

// origin writes a larder origin as MassFrom and MassSource.
func origin(o larder.Origin) (from, source string) {
	if o.From == fromHouse {
		return fromHouse, o.Source
	}
	if o.Source == "" && o.From != fromLarder {
		return fromLarder, o.From
	}
	return fromLarder, o.Source
}

// pieces weighs a count: by the mass in its brackets, the pieces that a linked
// recipe makes, or what the house or the larder knows of a piece.
func (b *builder) pieces(e *entry, l *Line, a *recipe.Amount, count quantity.Number, t *term) {
	if a.Mass != nil && a.Mass.Unit.Dim == quantity.Mass {
		t.grams, t.known, t.from = a.Mass.Base(), true, fromBook
		if a.Each {
			t.grams = t.grams.Mul(count)
		}
	}
	if l.Link != nil {
		t.byPieces = isPieceOf(b, l.Link.Recipe, a.Piece)
		switch {
		case t.known:
		case !t.byPieces:
			e.fault(l.Pos, codePieces, wrongPiece(l, a), "- "+clip(l.Name)+": "+clip(a.Text)+" (25 g each), with the true mass")
		case l.Link.HasFinished:
			t.grams, t.known, t.from = l.Link.Finished.Mul(count).Div(l.Link.Makes.Count), true, fromCalculated
		}
		return
	}
	if t.known || l.Item == nil {
		return
	}
	each, ok := l.Item.Piece[b.word(a.Piece).fold]
	if !ok {
		each, ok = l.Item.Piece[""]
	}
	if ok {
		t.grams, t.known = each.Mul(count), true
		t.from, t.source = origin(l.Item.PieceOrigin)
	}
}

// isPieceOf reports whether word means a piece that r makes: each, piece, the
// word in its makes, or of a fill its mould's name or a word of it.
func isPieceOf(b *builder, r *recipe.Recipe, word string) bool {
	m := r.Makes
	if m == nil || m.Count.Sign() <= 0 {
		return false
	}
	w := b.word(word).fold
	switch w {
	case "", "each", "piece", b.word(m.Piece).fold:
		return true
	}
	return m.Fill && (w == "cell" || w == b.word(m.Mould).fold || slices.Contains(strings.Fields(b.word(m.Mould).fold), w))
}

func wrongPiece(l *Line, a *recipe.Amount) string {
	m := l.Link.Makes
	if m == nil || m.Count.Sign() <= 0 {
		return quote(l.Link.Name) + " makes no pieces, so " + quote(a.Text) + " of it has no mass."
	}
	return quote(l.Link.Name) + " makes " + quote(m.Text) + ", so " + quote(a.Text) + " of it has no mass."
}

// sizeParts fixes the mass of one part: makes ÷ (1 − loss) ÷ the sum of parts; what
// is counted beside them takes nothing off. Without a mass in makes the lines keep none.
func (e *entry) sizeParts(terms []term) {
	m := e.r.Makes
	if m == nil || m.Mass == nil {
		return
	}
	share, lost := loss(e.r)
	if !share.Less(one) {
		return // told with the formula
	}
	all := m.Mass.Base().Add(lost).Div(one.Sub(share))
	var parts []quantity.Number
	for i := range terms {
		if i != e.core {
			parts = append(parts, terms[i].parts)
		}
	}
	sum, ok := sumOf(parts)
	switch {
	case !ok:
		e.fault(e.r.Pos, codeFine, "The parts are fractions too fine to add up.", "decimals")
		return
	case sum.Sign() <= 0:
		return
	}
	part := all.Div(sum)
	for i := range terms {
		if t := &terms[i]; !t.parts.IsZero() {
			t.grams, t.known = t.grams.Add(t.parts.Mul(part)), true
		}
	}
}

// loss returns a recipe's loss as a share and in g.
func loss(r *recipe.Recipe) (share, grams quantity.Number) {
	if r.Loss.Unit.Dim == quantity.Mass {
		return quantity.Number{}, r.Loss.Base()
	}
	return r.Loss.N.Div(hundred), quantity.Number{}
}

// sumOf adds numbers up; false: they are fractions so different that the sum
// would grow without bound, which no kitchen writes.
func sumOf(ns []quantity.Number) (quantity.Number, bool) {
	var sum quantity.Number
	for i, n := range ns {
		sum = sum.Add(n)
		if (i%16 == 15 || i == len(ns)-1) && sum.Rat().Denom().BitLen() > maxBits {
			return sum, false
		}
	}
	return sum, true
}
