package answer

import (
	"errors"
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb"
	"tamis/kb/recipe"
)

// sized is a target made exact: how many batches, and how that came about.
type sized struct {
	recipe  *kb.Recipe
	formula *scale.Formula
	factor  quantity.Number
	title   Title
	facts   []Fact // the size itself, told after what was asked
	limit   string // the limiting ingredient
	one     bool   // one batch
	sheets  quantity.Number
}

// how says how a line came about: "96 g × 3".
func (s *sized) how(base string) string {
	if s.one || base == "" {
		return base
	}
	return base + " × " + short(s.factor)
}

// short writes a factor for people: at most four decimals.
func short(n quantity.Number) string { return n.Fixed(4) }

// most batches that are taken for meant.
var tooMany = quantity.Int(1000)

// size makes a target exact. If it cannot, a says why and ok is false.
func (b *Book) size(a *Answer, t *question.Target) (s sized, ok bool) {
	r := t.Recipe
	s = sized{recipe: r, formula: r.Formula, factor: quantity.Int(1), one: true, title: Title{Recipe: r.Name}}
	sc := &t.Scale
	f := r.Formula
	var err error
	switch sc.Kind {
	case question.ScaleNone:
	case question.ScaleFactor:
		s.factor = sc.N
		if !sc.N.Equal(quantity.Int(1)) {
			s.title.Factor = short(sc.N)
		}
	case question.ScaleMass:
		s.factor, err = scale.ForMass(f, sc.N)
		s.title.Size = quantity.RoundQuantity(quantity.Grams(sc.N), nil).String()
	case question.ScaleVolume:
		var v quantity.Number
		if v, err = f.Volume(); err == nil {
			s.factor = sc.N.Div(v)
		}
		s.title.Size = quantity.Of(sc.N, quantity.ML).String()
	case question.ScaleCovers:
		s.title.Size = sizeText(sc.N, "cover")
		if f.Pieces.Sign() == 0 {
			a.asks("ask size", nil, r.Name)
			return s, false
		}
		if !r.Makes.IsCovers() {
			if b.askPlate(a, r, sc.N) {
				return s, false
			}
			a.assume("a piece a cover", r.Name)
		}
		s.factor, err = scale.ForPieces(f, sc.N)
	case question.ScaleFor, question.ScalePieces, question.ScaleCount:
		switch {
		case f.Pieces.Sign() > 0:
			s.factor, err = scale.ForPieces(f, sc.N)
			s.title.Size = sizeText(sc.N, f.Word)
		case sc.Kind == question.ScaleCount:
			s.factor = sc.N
			s.title.Factor = short(sc.N)
		default:
			a.asks("ask size", nil, r.Name)
			return s, false
		}
	case question.ScaleCells, question.ScaleMoulds, question.ScaleSheets:
		return b.sizeMoulds(a, t, s)
	case question.ScaleGiven:
		return b.sizeGiven(a, t, s)
	case question.ScaleFrame:
		return b.sizeFrame(a, t, s)
	}
	if err != nil {
		b.sizeError(a, r, err)
		return s, false
	}
	return b.checkSize(a, t, s)
}

// checkSize refuses sizes that nobody means and adds the spare.
func (b *Book) checkSize(a *Answer, t *question.Target, s sized) (sized, bool) {
	if s.factor.Sign() <= 0 {
		a.asks("ask factor", nil, t.Scale.Text, s.recipe.Name)
		return s, false
	}
	if s.factor.Cmp(tooMany) >= 0 {
		a.asks("ask much", nil, short(s.factor), s.recipe.Name)
		return s, false
	}
	if t.Scale.Spare {
		if s.formula.Spare.Sign() > 0 {
			s.factor = scale.WithSpare(s.formula, s.factor)
			sp := s.formula.Spare.Mul(quantity.Int(100))
			s.facts = append(s.facts, Fact{What: "spare", Value: &sp, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(sp)), From: FromBook, Of: s.recipe.Name})
		} else {
			a.note("no spare", s.recipe.Name)
		}
	}
	s.one = s.factor.Equal(quantity.Int(1))
	dish := s.formula.Pieces.Equal(quantity.Int(1)) && t.Scale.Kind != question.ScaleFactor // its covers say it
	if !s.one && !dish {
		n := s.factor
		from := FromCalculated
		if t.Scale.Kind == question.ScaleFactor {
			from = FromAsked
		}
		s.facts = append(s.facts, Fact{What: "factor", Value: &n, Unit: "", Shown: short(n), From: from, Of: s.recipe.Name})
	}
	if s.title.Size != "" && t.Scale.Kind != question.ScaleGiven {
		f := Fact{What: "size", Value: &t.Scale.N, Unit: "each", Shown: s.title.Size, From: FromAsked, Of: s.recipe.Name}
		if t.Scale.Need.Sign() > 0 {
			f.From, f.How = FromCalculated, t.Scale.Need.String()+" − "+t.Scale.Have.String()
			a.assume("missing pieces", t.Scale.Need.String(), t.Scale.Have.String())
		}
		switch t.Scale.Kind {
		case question.ScaleMass:
			f.Unit = "g"
		case question.ScaleVolume:
			f.Unit = "ml"
		}
		s.facts = append(s.facts, f)
	}
	if !s.one {
		for _, c := range scale.Cautions(s.formula, s.factor) {
			if concerns(a.Question, t.Recipe, c) {
				a.caution("scale " + string(c))
			}
		}
	}
	return s, true
}

// concerns reports whether a caution about scaling has to do with what was
// asked: salt with the salt, not with the yolk.
func concerns(q *question.Question, r *kb.Recipe, c scale.Caution) bool {
	if q.Want == question.WantSwap {
		return false
	}
	class := map[scale.Caution]scale.Class{scale.CautionLeavening: scale.ClassLeavening, scale.CautionSpice: scale.ClassSpice, scale.CautionSalt: scale.ClassSalt}[c]
	if class == scale.ClassNone {
		return true
	}
	if q.Want != question.WantAmount && q.Want != question.WantEnough { // unless all of it is left out
		return len(q.Exclude) == 0 || !slices.ContainsFunc(r.Formula.Lines, func(l scale.Line) bool { return l.Class == class }) || !leavesOut(q, r, class)
	}
	for i := range q.Items {
		lines, _ := q.Items[i].Lines(r)
		for _, l := range lines {
			for k := range r.Lines {
				if &r.Lines[k] == l && r.Formula.Lines[k].Class == class {
					return true
				}
			}
		}
	}
	return false
}

// leavesOut reports whether every line of a class is left out.
func leavesOut(q *question.Question, r *kb.Recipe, class scale.Class) bool {
	for i := range r.Lines {
		if i < len(r.Formula.Lines) && r.Formula.Lines[i].Class == class && !excluded(q, &r.Lines[i]) {
			return false
		}
	}
	return true
}

func sizeText(n quantity.Number, word string) string {
	if word == "" {
		word = "piece"
	}
	return n.Fixed(2) + " " + plural(word, n)
}

// mouldOf returns the mould that a target fills: the one named, else its own.
func (b *Book) vesselOf(t *question.Target) (scale.Vessel, bool) {
	if t.Scale.Mould != nil {
		return b.vessel(t.Scale.Mould.Text)
	}
	if v := t.Recipe.Formula.Vessel; v != nil {
		return *v, true
	}
	return scale.Vessel{}, false
}

func (b *Book) vessel(mould string) (scale.Vessel, bool) {
	m, ok := b.Snap.Mould(mould)
	if !ok {
		return scale.Vessel{}, false
	}
	v := scale.Vessel{Name: m.Name, Cells: quantity.Int(int64(m.Cells))}
	if m.Volume != nil {
		v.Volume = m.Volume.Base()
	}
	return v, true
}

// sizeMoulds: so many cells or sheets of a mould.
func (b *Book) sizeMoulds(a *Answer, t *question.Target, s sized) (sized, bool) {
	sc := &t.Scale
	v, ok := b.vesselOf(t)
	if !ok {
		if f := t.Recipe.Formula; f.Pieces.Sign() > 0 && sc.Kind != question.ScaleSheets { // rings without a mould: its own pieces
			t.Scale.Kind = question.ScalePieces
			return b.size(a, t)
		}
		a.asks("ask mould", b.mouldChoices(), t.Recipe.Name)
		return s, false
	}
	if sc.Kind == question.ScaleMoulds && !b.moulds(a, t, v) {
		return s, false
	}
	if m, _ := b.Snap.Mould(v.Name); sc.Kind == question.ScaleCells && sc.Named && v.Cells.Cmp(quantity.Int(1)) > 0 && sc.N.IsInt() && sc.N.Cmp(quantity.Int(int64(m.Count))) <= 0 { // "2 dome 45": nobody fills two cells of one, or so it seems
		if !saysAny(a.Question.Say, " full ", " filled ", " whole ", " entire ") {
			b.askCells(a, t, v)
			return s, false
		}
		sc.Kind = question.ScaleSheets
		a.assume("cells a mould", v.Name, v.Cells.String())
	}
	cells := sc.N
	if sc.Kind == question.ScaleSheets {
		n := v.Cells
		if n.IsZero() {
			n = quantity.Int(1)
		}
		if sc.All {
			m, _ := b.Snap.Mould(v.Name)
			if m.Count == 0 {
				a.asks("ask sheets", nil, v.Name)
				return s, false
			}
			cells = n.Mul(quantity.Int(int64(m.Count)))
		} else {
			cells = n.Mul(sc.N)
		}
	}
	if cells.Sign() <= 0 {
		a.asks("ask factor", nil, sc.Text, t.Recipe.Name)
		return s, false
	}
	fill, err := scale.ForMoulds(t.Recipe.Formula, v, cells)
	if err != nil {
		b.sizeError(a, t.Recipe, err)
		return s, false
	}
	s.formula, s.factor, s.sheets = fill.Formula, fill.Factor, fill.Sheets
	s.title.Size = cells.Fixed(2) + " × " + v.Name
	if v.Cells.Cmp(quantity.Int(1)) > 0 { // "× dome 45" would be so many moulds
		s.title.Size = cells.Fixed(2) + " of " + v.Name
	}
	n := cells
	s.facts = append(s.facts, Fact{What: "pieces", Value: &n, Unit: "each", Shown: n.Fixed(2), From: FromAsked, Of: s.recipe.Name, How: v.Name})
	for _, c := range fill.Cautions {
		a.caution("scale " + string(c))
	}
	t2 := *t
	t2.Scale = question.Scale{Kind: question.ScaleGiven, Spare: sc.Spare}
	return b.checkSize(a, &t2, s)
}

// askCells asks whether a number is of cells or of what holds them.
func (b *Book) askCells(a *Answer, t *question.Target, v scale.Vessel) {
	choice := func(label string, kind question.ScaleKind) question.Choice {
		q := *a.Question
		q.Targets = slices.Clone(q.Targets)
		for i := range q.Targets {
			if q.Targets[i].Recipe == t.Recipe {
				q.Targets[i].Scale.Kind, q.Targets[i].Scale.Named = kind, false
			}
		}
		return question.Choice{Label: label, Question: &q}
	}
	n := t.Scale.N.Fixed(2)
	a.asks("ask cells", []question.Choice{
		choice(n+" × "+v.Name, question.ScaleCells),
		choice(n+" × "+v.Cells.String()+" "+v.Name, question.ScaleSheets),
	}, v.Cells.String(), v.Name)
}

// moulds settles whether "3 moulds" are cells or what holds them: of no more than
// the house has those are meant, of as many as one holds the cells, between it is asked.
func (b *Book) moulds(a *Answer, t *question.Target, v scale.Vessel) bool {
	m, _ := b.Snap.Mould(v.Name)
	sc := &t.Scale
	switch {
	case !quantity.Int(1).Less(v.Cells):
		sc.Kind = question.ScaleSheets
	case sc.N.Cmp(quantity.Int(int64(m.Count))) <= 0, m.Count == 0 && sc.N.Less(v.Cells):
		sc.Kind = question.ScaleSheets
		a.assume("cells a mould", v.Name, v.Cells.String())
	case !sc.N.Less(v.Cells):
		sc.Kind = question.ScaleCells
	default:
		b.askCells(a, t, v)
		return false
	}
	return true
}

func (b *Book) mouldChoices() []question.Choice {
	var out []question.Choice
	for _, m := range b.Snap.House.Moulds {
		out = append(out, question.Choice{Label: m.Name})
	}
	return out
}

// sizeGiven: what is left of one or more ingredients.
func (b *Book) sizeGiven(a *Answer, t *question.Target, s sized) (sized, bool) {
	var left []scale.Left
	for i := range t.Scale.Given {
		g := &t.Scale.Given[i]
		l, ok := b.left(a, t.Recipe, g)
		if !ok {
			return s, false
		}
		left = append(left, l)
	}
	lim, err := scale.FromLeft(t.Recipe.Formula, left...)
	if err != nil {
		var nu *scale.NotUsedError
		if errors.As(err, &nu) {
			a.unknown("no such line", nu.Ingredient, t.Recipe.Name)
			return s, false
		}
		b.sizeError(a, t.Recipe, err)
		return s, false
	}
	s.factor, s.limit = lim.Factor, lim.Name
	for i := range t.Scale.Given {
		g := &t.Scale.Given[i]
		n := g.Q.N
		if g.Q.Unit.Dim == quantity.Mass {
			n = g.Q.Base()
		}
		f := b.measured(left[i].Name, g.Q)
		if g.Bare {
			a.assume("read as", g.Q.N.String(), f.Shown)
		}
		f.From, f.At = FromAsked, "given"
		if g.Q.Unit.Dim == quantity.Mass {
			f.Value, f.Unit = &n, "g"
		}
		s.facts = append(s.facts, f)
	}
	var parts []string
	for _, f := range s.facts {
		parts = append(parts, f.Shown+" "+f.What)
	}
	s.title.Size = strings.Join(parts, ", ")
	return b.checkSize(a, t, s)
}

// left turns what a cook has of an item into what the formula counts.
func (b *Book) left(a *Answer, r *kb.Recipe, g *question.Given) (scale.Left, bool) {
	lines, _ := g.Item.Lines(r)
	leafName := ""
	var line *kb.Line
	if len(lines) > 0 {
		line = lines[0]
		leafName = ingredientOf(r, line)
	} else if l := b.leaf(r, &g.Item); l != nil {
		leafName = l.Name
	}
	if leafName == "" {
		a.unknown("no such line", g.Item.Text, r.Name)
		return scale.Left{}, false
	}
	out := scale.Left{Name: leafName}
	switch g.Q.Unit.Dim {
	case quantity.Mass:
		out.Amount = g.Q.Base()
	case quantity.Volume:
		d, _, ok := b.densityOf(&g.Item, line)
		if !ok {
			a.unknown("no density", g.Item.Text)
			return out, false
		}
		out.Amount = g.Q.Base().Mul(d)
	default:
		// pieces: by count where the line is counted, else by their mass
		if line != nil && line.Amount.Kind == recipe.Pieces && line.Link == nil {
			out.Amount, out.ByCount = g.Q.N, true
			return out, true
		}
		if line != nil && line.Link != nil && byPieces(r, line) {
			out.Amount, out.ByCount = g.Q.N, true
			return out, true
		}
		m, ok := b.pieceMass(&g.Item, line, g.Q.Unit.Symbol)
		if !ok {
			a.unknown("no piece", g.Item.Text)
			return out, false
		}
		out.Amount = g.Q.N.Mul(m)
	}
	if g.Gross {
		it := g.Item.Larder
		if line != nil && line.Item != nil {
			it = line.Item
		}
		if it == nil || it.Usable == nil || it.Usable.Sign() <= 0 {
			a.unknown("no usable", leafName)
			return out, false
		}
		out.Amount = out.Amount.Mul(*it.Usable)
	}
	return out, true
}

// sizeError words what keeps a size from being worked out.
func (b *Book) sizeError(a *Answer, r *kb.Recipe, err error) {
	var um *scale.UnknownMassError
	switch {
	case errors.As(err, &um):
		a.unknown("unknown mass", um.Formula, um.Reason)
	case errors.Is(err, scale.ErrNoPieces):
		a.unknown("no pieces", r.Name)
	case errors.Is(err, scale.ErrNoDensity), errors.Is(err, scale.ErrNoVolume):
		a.unknown("no fill", r.Name)
	case errors.Is(err, scale.ErrCore):
		a.unknown("core too big", r.Name)
	case errors.Is(err, scale.ErrNoAmount), errors.Is(err, scale.ErrOpen):
		a.unknown("no amount", r.Name)
	default:
		a.asks("ask factor", nil, "", r.Name)
	}
}

// sizeFrame: a frame of other sides than the recipe's own; filled as high as its
// own where no height is said.
func (b *Book) sizeFrame(a *Answer, t *question.Target, s sized) (sized, bool) {
	r, sc := t.Recipe, &t.Scale
	own := r.Formula.Vessel
	if own == nil || r.Formula.Pieces.Sign() <= 0 {
		a.asks("ask size", nil, r.Name)
		return s, false
	}
	height := own.Height
	if len(sc.Sides) > 2 {
		height = sc.Sides[2]
	}
	ratio, _, err := scale.Resize(*own, scale.Box("", sc.Sides[0], sc.Sides[1], height))
	if err != nil {
		b.sizeError(a, r, err)
		return s, false
	}
	s.factor = ratio.Mul(sc.N).Div(r.Formula.Pieces)
	s, ok := b.checkSize(a, t, s)
	s.title.Size = sc.Sides[0].Fixed(1) + " × " + sc.Sides[1].Fixed(1) + " × " + height.Fixed(1) + " cm"
	if layer := "scale " + string(scale.CautionLayer); ok && !height.Equal(own.Height) {
		a.caution(layer)
	} else { // less of it in a smaller frame is as thick
		a.Cautions = slices.DeleteFunc(a.Cautions, func(c Phrase) bool { return c.Code == layer })
	}
	for i, n := range []quantity.Number{sc.Sides[0], sc.Sides[1], height} {
		from := FromAsked
		if i == 2 && len(sc.Sides) < 3 {
			from = FromBook
		}
		s.facts = append(s.facts, Fact{What: [...]string{"length", "width", "height"}[i], Value: &n, Unit: "cm", Shown: n.Fixed(1) + " cm", From: from, Of: r.Name})
	}
	return s, ok
}
