package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// atTemp takes a number that is the temperature of a step of the recipe for that
// step, where it is asked how long: "how long is 84 held", "tuile at 165 how long".
func (s *sense) atTemp(r *reading) {
	if !r.q.Time || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil || sp.q.Words {
			continue
		}
		if u := sp.q.Q.Unit; u.Dim != quantity.Temperature && u.Symbol != "" {
			continue
		}
		var verbs []string
		for k := range r.q.Targets[0].Recipe.Method {
			st := &r.q.Targets[0].Recipe.Method[k]
			if (st.For != nil || st.Hold != nil) && slices.ContainsFunc(tempsOf(st), func(q quantity.Quantity) bool { return sameTemp(q, sp.q.Q) }) {
				verbs = append(verbs, st.Verb)
			}
		}
		if len(verbs) == 0 {
			continue
		}
		r.used[i] = true
		if s.cues.meets(verbCues) || len(r.q.Verbs) > 0 || slices.ContainsFunc(verbs, func(v string) bool { return v != verbs[0] }) {
			continue
		}
		r.q.Verbs = verbs[:1]
		r.consumes = r.consumes.with(cueKeeps)
	}
}

// sameStep lets a bare "how long" after "oven?", a bare "temp" after "proof?" be of
// the step just asked about; "time" after "temp?" is of what has one.
func (s *sense) sameStep(r *reading, p pick) {
	if !p.talk || r.q.Time == r.q.Temp || r.q.Core || len(r.q.Verbs) > 0 || r.q.Oven || r.q.Place != "" || r.q.Thing != nil || s.ctx == nil || s.ctx.Last == nil || len(s.names)+len(s.quant) > 0 {
		return
	}
	if last := s.ctx.Last; last.Want == WantSteps && last.Temp != last.Time && last.Temp == r.q.Time && !last.Core {
		r.q.Verbs, r.q.Oven = slices.Clone(last.Verbs), last.Oven
		if r.q.Time && len(last.Verbs) == 0 && !last.Oven && last.Place == "" && len(last.Heated) == 0 {
			r.q.Temp = true
		}
	}
}

// tempsOf are the temperatures that a step names.
func tempsOf(st *recipe.Step) []quantity.Quantity {
	var out []quantity.Quantity
	if st.To != nil && st.To.Temperature != nil {
		out = append(out, *st.To.Temperature)
	}
	if st.At != nil && st.At.Temperature != nil {
		out = append(out, *st.At.Temperature)
	}
	if st.UntilCore != nil {
		out = append(out, *st.UntilCore)
	}
	return out
}

// sameTemp reports whether a temperature of the book is the one said; a bare number
// is in the book's own unit.
func sameTemp(book, said quantity.Quantity) bool {
	if said.Unit.Symbol == "" {
		return book.N.Equal(said.N)
	}
	q, err := book.In(said.Unit)
	return err == nil && q.N.Equal(said.N)
}

// mustStay reads "curd needs how long in the fridge", "how long must it be in the
// fridge": of the step there, not of how long it keeps.
func (s *sense) mustStay(r *reading) {
	if r.q.Place == "" || !r.q.Time || r.q.Stands || s.any(cueKeeps) || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	if !s.saysOf("need", "needs", "must", "needed", "least", "minimum") || s.saysOf("may", "max", "maximum", "longest") {
		return
	}
	cold := slices.ContainsFunc(r.q.Targets[0].Recipe.Method, func(st recipe.Step) bool {
		return st.For != nil && hasWord(name.Fold(st.Where), r.q.Place)
	})
	if cold {
		r.q.Goal.Done = true
	}
}

// frameStepOf reads the time or temperature of a step by what goes into it, where one
// recipe of the book has that ingredient and a step that names it: "how long are the
// trout fillets frozen first".
func frameStepOf(s *sense) []reading {
	if !s.any(cueHowlong, cueTemp) || !s.cues.meets(verbCues) || len(s.names) != 1 || len(s.quant)+len(s.clock)+len(s.allergens) > 0 || s.any(cueKeeps, cueUnsafe, cueHowmuch, cueHowmany) {
		return nil
	}
	i := s.names[0]
	it, ok := s.item(i)
	if !ok || it.Part || !it.InBook || s.l.recipeAt(s.span(i)) {
		return nil
	}
	words := name.Words(s.folded(s.span(i)))
	last := words[len(words)-1]
	verbs := s.verbs()
	var found *kb.Recipe
	for _, rec := range s.l.x.withAll([]Item{it}) {
		if lines, exact := it.Matches(rec); len(lines) == 0 || !exact {
			continue
		}
		if !slices.ContainsFunc(rec.Method, func(st recipe.Step) bool {
			return slices.Contains(verbs, name.Fold(st.Verb)) && slices.Contains(name.Words(st.Words), last)
		}) {
			continue
		}
		if found != nil {
			return nil // of which of them is not said
		}
		found = rec
	}
	if found == nil {
		return nil
	}
	r := s.reading(WantSteps, "time")
	r.q.Targets = []Target{{Recipe: found, Part: true}}
	r.used[i] = true
	r.q.Verbs, r.q.Temp = verbs, s.any(cueTemp)
	r.q.Time = s.any(cueHowlong)
	r.consumes = plainCues.or(verbCues).with(cueHowlong, cueTemp, cueNumber1, cueStart)
	r.extra = costPartHead
	return []reading{r}
}
