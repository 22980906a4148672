package kb

import (
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// formula makes the recipe's numbers for calc/scale; the lines' amounts are known.
func (b *builder) formula(e *entry, rec *Recipe) {
	r := e.r
	f := &scale.Formula{Name: r.Name, Spare: r.Spare.N.Div(hundred), Lines: make([]scale.Line, len(e.lines))}
	f.LossShare, f.LossMass = loss(r)
	if f.LossShare.Sign() < 0 || f.LossMass.Sign() < 0 || !f.LossShare.Less(one) {
		e.fault(r.Pos, codeLoss, "A loss of "+r.Loss.String()+" leaves nothing.", "loss: a share from 0 % to under 100 %, or a mass")
		return
	}
	if d := r.Density; d != nil {
		f.Density = d.Base()
	}
	if r.Overrun != nil {
		f.Overrun = r.Overrun.N.Div(hundred)
	}
	b.makes(r.Makes, f)
	for i := range e.lines {
		b.formulaLine(e, i, &f.Lines[i])
		if l := &e.lines[i]; l.written().Kind == recipe.Parts && !l.HasGrams {
			f.Unknown = "its amounts are parts and makes states no mass"
		}
	}
	b.steps(e, f, rec)
	if !e.out {
		e.checkFine(f)
	}
	rec.Formula = f
}

func (b *builder) makes(m *recipe.Makes, f *scale.Formula) {
	if m == nil {
		return
	}
	if m.Mass != nil {
		f.Stated, f.HasStated = m.Mass.Base(), true
	}
	f.Pieces, f.Word = m.Count, m.Piece
	switch {
	case len(m.Frame) >= 2:
		var height quantity.Number
		if len(m.Frame) > 2 {
			height = m.Frame[2]
		}
		v := scale.Box(m.Piece, m.Frame[0], m.Frame[1], height)
		f.Vessel, f.Layer = &v, true
	case m.Fill:
		if f.Word == "" {
			f.Word = m.Mould
		}
		f.Vessel = b.vessel(m)
	}
	words := strings.Fields(b.word(f.Word).fold)
	f.Layer = f.Layer || slices.ContainsFunc(layers, func(w string) bool { return slices.Contains(words, w) })
}

// layers are the words for what is filled in a layer.
var layers = []string{"frame", "ring", "sheet", "tin", "tray"}

// vessel is the mould that makes fills, its core's volume shared out over all cells.
func (b *builder) vessel(m *recipe.Makes) *scale.Vessel {
	v := &scale.Vessel{Name: m.Mould}
	mould := b.house.mould(b.word(m.Mould).fold)
	if mould == nil {
		return v
	}
	v.Name, v.Cells = mould.Name, quantity.Int(int64(mould.Cells))
	if mould.Volume != nil {
		v.Volume = mould.Volume.Base()
	}
	if core := b.house.mould(b.word(m.Core).fold); core != nil && core.Volume != nil && m.Core != "" && m.Count.Sign() > 0 {
		v.Core = core.Volume.Base().Mul(m.CoreCount).Div(m.Count)
	}
	return v
}

// formulaLine fills in line i of the recipe's formula.
func (b *builder) formulaLine(e *entry, i int, s *scale.Line) {
	l, t := &e.lines[i], &e.terms[i]
	s.Name, s.Part, s.Core = l.Name, l.Part, i == e.core
	if l.HasGrams {
		s.Mass, s.HasMass = l.Grams, true
		s.Lo, s.Hi = t.ends()
	}
	if a := l.written(); a.Kind == recipe.Pieces {
		s.Count, s.CountLo, s.CountHi = middle(a), a.Lo, a.Hi
		if w := b.word(a.Piece).fold; w != "each" && w != "piece" {
			s.Word = w
		}
	}
	if l.Link != nil {
		s.Link, s.ByPieces = l.Link.Formula, t.byPieces
		return
	}
	s.Key = b.spelling(l)
	if l.Item != nil {
		s.Class = classes[l.Item.Category]
	}
}

var classes = map[string]scale.Class{"leavening": scale.ClassLeavening, "spice": scale.ClassSpice, "salt": scale.ClassSalt}

// checkFine puts out a recipe whose numbers would grow without bound when added up.
func (e *entry) checkFine(f *scale.Formula) {
	var all []quantity.Number
	for i := range f.Steps {
		if !f.Steps[i].IsInt() {
			all = append(all, f.Steps[i])
		}
	}
	for i := range f.Lines {
		if !f.Lines[i].Mass.IsInt() {
			all = append(all, f.Lines[i].Mass)
		}
	}
	if len(all) <= 16 {
		return // few fractions add up to little, however fine
	}
	if _, ok := sumOf(all); !ok {
		e.fault(e.r.Pos, codeFine, "The amounts are fractions too fine to add up.", "decimals")
	}
}

// findCore finds the line in pieces that is the core of `makes: fill … around …`:
// a recipe that fills the core's mould, else one with as many pieces.
func (b *builder) findCore(e *entry) {
	e.core = -1
	m := e.r.Makes
	if m == nil || m.Core == "" {
		return
	}
	mould := b.word(m.Core).fold
	fits := func(l *Line) bool {
		return l.Link != nil && l.Link.Makes != nil && l.Link.Makes.Fill && b.word(l.Link.Makes.Mould).fold == mould
	}
	same := func(l *Line) bool { return l.Amount.Middle().Equal(m.CoreCount) }
	for _, is := range []func(*Line) bool{
		fits,
		func(l *Line) bool { return l.Link != nil && same(l) },
		same,
	} {
		for i := range e.lines {
			if l := &e.lines[i]; l.Amount.Kind == recipe.Pieces && is(l) {
				e.core = i
				return
			}
		}
	}
	e.fault(e.r.Pos, codeCore, "Makes has a core in "+quote(m.Core)+", but no line is the core.",
		"- NAME OF THE CORE: "+m.CoreCount.String()+" pieces, among the ingredients")
}

// steps notes what leaves the pan: from − to, where both are masses or can be.
func (b *builder) steps(e *entry, f *scale.Formula, rec *Recipe) {
	lose := func(s *recipe.Step, p pan, mass quantity.Number) {
		f.Steps = append(f.Steps, mass)
		rec.Losses = append(rec.Losses, StepLoss{Step: s, Start: p.mass, Mass: mass, Pan: p.lines})
	}
	for i := range e.r.Method {
		s := &e.r.Method[i]
		if s.To == nil || s.To.Mass == nil && !s.To.Half && s.To.Brix == nil {
			continue
		}
		p := b.pan(e, s, len(f.Steps) == 0)
		if !p.known {
			if s.To.Brix != nil {
				f.Unknown = "reduced to " + s.To.Text + ", from a mass that the book does not say"
				continue
			}
			e.fault(s.Pos, codeFrom, "The step goes to "+quote(s.To.Text)+" and does not say from what mass.",
				"from: the mass before, or of: the lines in the pan, each with a mass")
			continue
		}
		switch {
		case s.To.Mass != nil:
			lose(s, p, p.mass.Sub(s.To.Mass.Base()))
		case s.To.Half:
			lose(s, p, p.mass.Div(two))
		case !p.hasBrix || s.To.Brix.N.Sign() <= 0:
			f.Unknown = "reduced to " + s.To.Text + ", from a start of unknown °Bx"
		default:
			lose(s, p, p.mass.Sub(p.mass.Mul(p.brix).Div(s.To.Brix.N)))
		}
	}
}

// pan is what is in the pan when a step begins.
type pan struct {
	mass    quantity.Number
	known   bool
	brix    quantity.Number
	hasBrix bool
	lines   []int // of the recipe; none: not known which
}

// pan works out what a step starts from: its `from:`, else the mass of its `of:`
// lines. Without `of:` it is the one line of that mass, or all lines together
// if nothing has left them yet.
func (b *builder) pan(e *entry, s *recipe.Step, first bool) pan {
	var p pan
	lines, whole := b.ofLines(e, s)
	if len(lines) > 0 && whole {
		p.mass, p.brix, p.known, p.hasBrix = b.blend(e, s, lines)
		p.lines = lines
	}
	if s.From == nil {
		return p
	}
	p.mass, p.known = s.From.Base(), true
	if len(s.Of) > 0 {
		return p
	}
	for i := range e.lines {
		if l := &e.lines[i]; i != e.core && l.HasGrams && l.Grams.Equal(p.mass) {
			if p.lines != nil { // two lines of that mass: either
				p.lines, p.hasBrix = nil, false
				return p
			}
			p.lines = []int{i}
			_, p.brix, _, p.hasBrix = b.blend(e, s, p.lines)
		}
	}
	if p.lines != nil || !first {
		return p
	}
	all := e.notCore()
	if mass, brix, known, hasBrix := b.blend(e, s, all); known && mass.Equal(p.mass) {
		p.lines, p.brix, p.hasBrix = all, brix, hasBrix
	}
	return p
}

func (e *entry) notCore() []int {
	var all []int
	for i := range e.lines {
		if i != e.core {
			all = append(all, i)
		}
	}
	return all
}

// ofLines finds the lines that a step's `of:` names; whole: all of them were found.
func (b *builder) ofLines(e *entry, s *recipe.Step) (lines []int, whole bool) {
	whole = true
	for _, of := range s.Of {
		w := b.word(of)
		found := false
		for i := range e.lines {
			l := &e.lines[i]
			is := b.word(l.Name).fold == w.fold || l.Item != nil && l.Item == w.item || l.Link != nil && slices.Contains(b.called(w.fold), l.Link.Recipe)
			if is {
				found = true
				if !slices.Contains(lines, i) {
					lines = append(lines, i)
				}
			}
		}
		whole = whole && found
	}
	slices.Sort(lines)
	return lines, whole
}

// called returns the recipes with that name or alias.
func (b *builder) called(fold string) []*recipe.Recipe {
	var rs []*recipe.Recipe
	for _, e := range b.exact[fold] {
		rs = append(rs, e.r)
	}
	for _, e := range b.alias[fold] {
		rs = append(rs, e.r)
	}
	return rs
}

// blend returns the mass and °Bx of lines in a step, as far as its `uses:` takes them.
func (b *builder) blend(e *entry, s *recipe.Step, lines []int) (mass, brix quantity.Number, known, hasBrix bool) {
	var masses, solids []quantity.Number
	known, hasBrix = true, true
	for _, i := range lines {
		l := &e.lines[i]
		if !l.HasGrams {
			if l.Amount.Kind == recipe.ToTaste || l.Amount.Kind == recipe.Pinch {
				continue
			}
			return mass, brix, false, false
		}
		grams := l.Grams
		for _, u := range s.Uses {
			if b.word(u.Name).fold != b.word(l.Name).fold {
				continue
			}
			if u.Mass != nil {
				grams = u.Mass.Base()
			} else {
				grams = grams.Mul(u.Share)
			}
		}
		masses = append(masses, grams)
		if bx, ok := brixOf(l.Item); ok {
			solids = append(solids, grams.Mul(bx))
		} else {
			hasBrix = false
		}
	}
	mass, ok := sumOf(masses)
	if !ok || mass.Sign() <= 0 {
		return mass, brix, false, false
	}
	if hasBrix {
		sum, ok := sumOf(solids)
		brix, hasBrix = sum.Div(mass), ok
	}
	return mass, brix, true, hasBrix
}

// brixOf returns an ingredient's °Bx: as stated, or of what is all water and sugars.
func brixOf(it *larder.Item) (quantity.Number, bool) {
	if it == nil {
		return quantity.Number{}, false
	}
	if it.Brix != nil {
		return *it.Brix, true
	}
	water, hasWater := it.Comp.Get(mix.Water)
	sugars, hasSugars := it.Comp.Get(mix.Sugars)
	switch {
	case hasWater && water.Equal(hundred):
		return quantity.Number{}, true
	case hasSugars && sugars.Equal(hundred):
		return hundred, true
	case hasWater && hasSugars && water.Add(sugars).Equal(hundred):
		return sugars, true
	}
	return quantity.Number{}, false
}
