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

// cards: a whole recipe at a size.
func cards(b *Book, a *Answer, q *question.Question, _ time.Time) {
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		b.askRecipe(a, q)
		return
	}
	a.Form = FormCard
	var sizes []sized
	var tail []Fact
	for i := range q.Targets {
		s, ok := b.size(a, &q.Targets[i])
		if !ok {
			return
		}
		sizes = append(sizes, s)
		b.card(a, q, &s)
		tail = append(tail, s.facts...)
	}
	a.add(tail...)
	a.Title = title(sizes)
	if l := sizes[0].limit; l != "" {
		a.note("limited by", l)
	}
	if q.Targets[0].Scale.Kind == question.ScaleNone && !strings.EqualFold(q.About, "card") {
		q.About = "card"
	}
	cautionsFor(a, q)
}

// card adds one recipe's lines and its total.
func (b *Book) card(a *Answer, q *question.Question, s *sized) {
	r := s.recipe
	var shown quantity.Number // the sum of what is shown
	sum := true               // every line is shown as a mass
	for i := range r.Lines {
		l := &r.Lines[i]
		if excluded(q, l) || len(q.Parts) > 0 && !slices.Contains(q.Parts, name.Fold(l.Part)) {
			sum = false
			continue
		}
		var f Fact
		am := written(&l.Amount)
		fs := b.lineFact(a, &question.Question{HasUnit: q.HasUnit && q.Unit.Dim == quantity.Mass, Unit: q.Unit}, s, l)
		switch {
		case len(fs) == 0:
			f = Fact{What: l.Name, HasItems: true, Items: []string{l.Amount.Text}, Shown: l.Amount.Text, Of: r.Name, From: FromBook}
		default:
			f = fs[0]
			if am.Kind == recipe.Pieces && len(fs) > 1 && l.Link == nil { // "5 leaves (10 g)"
				g := fs[len(fs)-1]
				f.Shown += " (" + g.Shown + ")"
			}
		}
		f.Part = l.Part
		a.add(f)
		if am.Kind == recipe.Pieces && l.Link == nil && len(fs) > 1 {
			g := fs[len(fs)-1]
			g.Part, g.At = l.Part, "by mass"
			a.add(g)
		}
		if isCore(r, i) {
			continue
		}
		if !l.HasGrams || am.Kind == recipe.Pieces && l.Link != nil || f.Unit != "g" && am.Kind != recipe.Pieces {
			sum = false
			continue
		}
		if _, oz := b.bookUnit(r); oz {
			sum = false
		}
		shown = shown.Add(quantity.Round(l.Grams.Mul(s.factor), b.scales).Shown)
	}
	if len(q.Exclude) > 0 || len(q.Parts) > 0 {
		return
	}
	f := s.formula
	switch {
	case sum && len(f.Steps) == 0 && f.LossShare.IsZero() && f.LossMass.IsZero() && !f.HasStated && shown.Sign() > 0:
		t := Fact{What: "total", Value: &shown, Unit: "g", Shown: quantity.ShowMass(quantity.Round(shown, nil)), Of: r.Name, From: FromCalculated, How: "sum of the lines"}
		a.add(t)
	default:
		if m, err := scale.Total(f, s.factor); err == nil {
			t := b.mass(a, "total", m)
			t.Of, t.From, t.How = r.Name, FromCalculated, "finished"
			if f.HasStated {
				t.From, t.How = FromBook, s.how(r.Makes.Text)
			}
			if ms := f.Massless(); len(ms) > 0 && !f.HasStated {
				a.note("without mass", strings.Join(ms, ", "))
			}
			a.add(b.asWritten(t, r)...)
			a.add(t)
		}
	}
	if n, err := scale.Pieces(f, s.factor); err == nil && s.sheets.IsZero() {
		p := count("pieces", n, plural(f.Word, n))
		p.Of, p.From = r.Name, FromBook
		if !s.one {
			p.From = FromCalculated
		}
		a.add(p)
	}
}

func isCore(r *kb.Recipe, i int) bool { return i < len(r.Formula.Lines) && r.Formula.Lines[i].Core }

func excluded(q *question.Question, l *kb.Line) bool {
	for i := range q.Exclude {
		it := &q.Exclude[i]
		if it.Means(l.Name, l.Item, l.Link) || l.Part != "" && it.Means(l.Part, nil, nil) {
			return true
		}
	}
	return false
}

// method: the steps as the book writes them.
func method(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormMethod
	r := q.Targets[0].Recipe
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	if len(r.Method) == 0 {
		if r.IsPlate {
			b.plating(a, &s)
			return
		}
		a.unknown("no method", r.Name)
		return
	}
	first, last, ok := b.stepsAsked(a, q, r)
	if !ok {
		return
	}
	if a.Steps = len(r.Method); last-first < a.Steps {
		a.Steps = 0 // one step is not numbered
	}
	for i := first; i < last; i++ {
		st := &r.Method[i]
		a.Words = append(a.Words, stepText(st))
		if st.To != nil && st.To.Mass != nil && !s.one {
			f := b.mass(a, st.Verb+" to", st.To.Mass.Base().Mul(s.factor))
			f.Of, f.How = r.Name, s.how(st.To.Text)
			a.add(f)
		}
	}
	if a.Steps == len(r.Method) {
		for _, f := range r.If {
			a.Words = append(a.Words, "if "+f.Fault+": "+f.Words)
		}
	}
	a.Title = s.title
	a.add(s.facts...)
	cautionsFor(a, q)
}

// stepsAsked are the steps that are asked for, from first up to last: all, one
// by its number, or the one after another.
func (b *Book) stepsAsked(a *Answer, q *question.Question, r *kb.Recipe) (first, last int, ok bool) {
	n := len(r.Method)
	switch {
	case q.Step < 0:
		return n - 1, n, true
	case q.Step > n:
		a.unknown("no such step", r.Name)
		return 0, 0, false
	case q.Step > 0:
		return q.Step - 1, q.Step, true
	case q.Next && len(q.Verbs) > 0:
		for _, v := range q.Verbs {
			for i := range r.Method {
				if r.Method[i].Verb != v {
					continue
				}
				if i+1 == n {
					a.unknown("was last step", v, r.Name)
					return 0, 0, false
				}
				q.Step = i + 2 // goes on from there
				return i + 1, i + 2, true
			}
		}
	}
	return 0, n, true
}

// plating lists a plate in its order.
func (b *Book) plating(a *Answer, s *sized) {
	a.Form = FormCard
	a.Title = s.title
	b.card(a, a.Question, s)
}

// stepText is a step as the book writes it, on one line.
func stepText(s *recipe.Step) string {
	var p []string
	put := func(label, text string) {
		if text != "" {
			p = append(p, label+text)
		}
	}
	head := s.Verb
	if s.Words != "" {
		head += ": " + s.Words
	}
	if s.From != nil {
		put("from ", s.From.String())
	}
	if s.To != nil {
		put("to ", s.To.Text)
	}
	if s.At != nil {
		put("at ", s.At.Text)
	}
	put("in ", s.In)
	put("", s.Where)
	if s.For != nil {
		put("for ", s.For.Text)
	}
	if s.Hold != nil {
		put("hold ", s.Hold.Text)
	}
	if s.UntilCore != nil {
		put("until core ", s.UntilCore.String())
	} else {
		put("until ", s.Until)
	}
	if s.StirEvery != nil {
		put("stir every ", s.StirEvery.String())
	}
	put("with ", s.With)
	put("speed ", s.Speed)
	put("humidity ", s.Humidity)
	put("careful: ", s.Caution)
	if len(p) == 0 {
		return head
	}
	return head + " · " + strings.Join(p, " · ")
}
