package answer

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// placed is a step with the recipe it stands in.
type placed struct {
	step *recipe.Step
	of   *kb.Recipe
}

// stepsOf are the steps asked about: of the recipe itself, else of its parts.
func (b *Book) stepsOf(r *kb.Recipe, fits func(*recipe.Step) bool) []placed {
	var out []placed
	for i := range r.Method {
		if fits(&r.Method[i]) {
			out = append(out, placed{&r.Method[i], r})
		}
	}
	if len(out) > 0 {
		return out
	}
	seen := map[*kb.Recipe]bool{r: true}
	var walk func(r *kb.Recipe)
	walk = func(r *kb.Recipe) {
		for i := range r.Lines {
			k := r.Lines[i].Link
			if k == nil || seen[k] {
				continue
			}
			seen[k] = true
			for j := range k.Method {
				if fits(&k.Method[j]) {
					out = append(out, placed{&k.Method[j], k})
				}
			}
			walk(k)
		}
	}
	walk(r)
	return out
}

// pickSteps chooses the steps that a question means: by verb, place, oven, and
// by having what is asked for.
func (b *Book) pickSteps(r *kb.Recipe, q *question.Question, has func(*recipe.Step) bool) []placed {
	in := func(st *recipe.Step) bool {
		if q.Oven && !isOven(st) {
			return false
		}
		if q.Place != "" && !b.isPlace(st.Where, q.Place) && !(q.Place == "bath" && inBath(st)) {
			return false
		}
		if q.Thing != nil && q.Thing.Kind == kb.MachineName && !q.Oven && !inMachine(st, q.Thing) {
			return false
		}
		return has(st)
	}
	own := func(only func(*recipe.Step) bool) []placed {
		var out []placed
		for i := range r.Method {
			if only(&r.Method[i]) {
				out = append(out, placed{&r.Method[i], r})
			}
		}
		return out
	}
	if len(q.Verbs) > 1 && q.Verbs[0] == "set" && len(own(func(st *recipe.Step) bool { return verbIs(st, "set") })) == 0 {
		for _, v := range []string{"chill", "freeze", "rest"} { // it sets where it is put to stand, not over ice in the mixing
			if ps := own(func(st *recipe.Step) bool { return in(st) && st.Where != "" && verbIs(st, v) }); len(ps) > 0 {
				return ps
			}
		}
	}
	for _, v := range q.Verbs { // nearest meaning first
		if ps := own(func(st *recipe.Step) bool { return in(st) && verbIs(st, v) && b.meant(r, st, q) }); len(ps) > 0 {
			return ps
		}
	}
	if len(q.Verbs) == 0 || q.Oven || q.Place != "" {
		if ps := own(in); len(ps) > 0 {
			return ps
		}
	}
	if len(q.Verbs) > 0 {
		if q.Place != "" { // "in the freezer" says the place by its verb
			saved := q.Place
			q.Place = ""
			for _, v := range q.Verbs {
				if ps := own(func(st *recipe.Step) bool { return in(st) && verbIs(st, v) }); len(ps) > 0 {
					return ps
				}
			}
			q.Place = saved
		}
		if len(own(func(st *recipe.Step) bool { return verbIs(st, q.Verbs[0]) })) > 0 {
			return nil // "how long does the glaze reduce" is not told by how its stock simmers
		}
		if !ofItsParts(r) {
			return nil
		}
		verbs := q.Verbs
		if !r.IsPlate { // of what goes into it the very step alone: a pie that is not proofed has no crust that rests
			verbs = verbs[:1]
		}
		for _, v := range verbs {
			if ps := b.stepsOf(r, func(st *recipe.Step) bool { return in(st) && verbIs(st, v) }); len(ps) > 0 {
				return ps
			}
		}
		return nil
	}
	if !ofItsParts(r) {
		return nil
	}
	ps := b.stepsOf(r, in)
	if q.Oven { // of what goes into it only what is baked: herbs that are dried warm are in no oven of an aioli
		ps = slices.DeleteFunc(ps, func(p placed) bool {
			return p.of != r && !verbIs(p.step, "bake") && !verbIs(p.step, "roast") && !strings.Contains(name.Fold(p.step.In), "oven")
		})
	}
	return ps
}

// ofItsParts reports whether what is asked of a recipe may be told of what goes into
// it: of a plate, or of one without steps. A cream that is not baked has no baking
// time, whatever is baked in it.
func ofItsParts(r *kb.Recipe) bool { return r.IsPlate || len(r.Method) == 0 }

// meant reports whether a step may be what a verb asks that is a near word alone:
// what is frozen in its mould is not churned, and what nothing raises does not prove.
func (b *Book) meant(r *kb.Recipe, st *recipe.Step, q *question.Question) bool {
	if q.Verbs[0] == "proof" && verbIs(st, "rest") && !saysAny(q.Say, " rest ", " resting ", " rests ", " dough ", " bulk ") {
		return slices.ContainsFunc(r.Lines, func(l kb.Line) bool { // what rises by something
			return slices.ContainsFunc(name.Words(l.Name), func(w string) bool {
				return slices.Contains([]string{"yeast", "levain", "starter", "sourdough", "poolish", "biga", "leaven"}, w)
			})
		})
	}
	if q.Verbs[0] != "churn" || !verbIs(st, "freeze") {
		return true
	}
	_, machine := b.Snap.Machine(st.In)
	return machine || strings.Contains(name.Fold(st.Words+" "+st.In+" "+st.Where), "machine")
}

// noStep says that a recipe has no step of what is asked; the nearest are those of
// its parts that have one.
func (b *Book) noStep(a *Answer, q *question.Question, r *kb.Recipe) {
	a.unknown("no such step", r.Name)
	if len(q.Verbs) == 0 {
		return
	}
	var parts []string
	for _, p := range b.stepsOf(r, func(st *recipe.Step) bool { return verbIs(st, q.Verbs[0]) }) {
		if p.of != r && !slices.Contains(parts, p.of.Name) {
			parts = append(parts, p.of.Name)
		}
	}
	if len(parts) > 0 {
		a.Choices = parts
	}
}

// inMachine reports whether a step is done in a machine, or in one of its kind:
// "off the mixer" of any mixer. Mixing without a machine named is mixing too.
func inMachine(st *recipe.Step, m *kb.Name) bool {
	if sameFold(st.In, m.Text) || strings.HasSuffix(name.Fold(st.In), " "+m.Fold) {
		return true
	}
	if v := name.Fold(st.Verb); len(v) > 3 && strings.HasPrefix(m.Fold, v) { // what is steamed is in the steamer
		return true
	}
	return m.Fold == "mixer" && st.In == "" && (verbIs(st, "mix") || verbIs(st, "knead"))
}

// inBath reports whether a step is done in a water bath.
func inBath(st *recipe.Step) bool {
	for _, text := range []string{st.Words, st.In, st.Where} {
		if ws := name.Words(text); slices.Contains(ws, "bath") || slices.Contains(ws, "bain") {
			return true
		}
	}
	return st.At != nil && slices.Contains(name.Words(st.At.Text), "bath")
}

func verbIs(st *recipe.Step, v string) bool {
	return name.Fold(st.Verb) == name.Fold(v) || v == "hold" && st.Hold != nil
}

func isOven(st *recipe.Step) bool {
	v := name.Fold(st.Verb)
	return v == "bake" || v == "roast" || st.At != nil && st.At.Temperature != nil && st.At.Temperature.Base().Cmp(quantity.Int(60)) >= 0 && !strings.Contains(name.Fold(st.At.Text), "bath") || name.Fold(st.In) == "oven"
}

// isPlace reports whether a place of the book is the one asked about: by its
// name, or a cold place by how cold it is.
func (b *Book) isPlace(where, place string) bool {
	if where == "" {
		return false
	}
	w, p := name.Fold(where), name.Fold(place)
	if strings.Contains(" "+w+" ", " "+p+" ") {
		return true
	}
	c, ok := b.Snap.Cold(where)
	if !ok {
		return false
	}
	t := c.At.Base()
	switch p {
	case "freezer":
		return t.Cmp(quantity.Int(-10)) <= 0
	case "fridge":
		return t.Cmp(quantity.Int(-5)) > 0 && t.Cmp(quantity.Int(10)) <= 0
	}
	return false
}

// IsPlace reports whether a place of the book is the one asked about.
func (b *Book) IsPlace(where, place string) bool { return b.isPlace(where, place) }

// TimedStep is the step of a recipe, else of its parts, that one of the verbs
// names and that has a time; without verbs the longest.
func (b *Book) TimedStep(recipeName string, verbs []string) (st *recipe.Step, of string, ok bool) {
	r, found := b.Snap.RecipeNamed(recipeName)
	if !found {
		return nil, "", false
	}
	for _, v := range verbs {
		if ps := b.stepsOf(r, func(st *recipe.Step) bool { return st.For != nil && verbIs(st, v) }); len(ps) > 0 {
			return ps[0].step, ps[0].of.Name, true
		}
	}
	for _, p := range b.stepsOf(r, func(st *recipe.Step) bool { return st.For != nil }) {
		if st == nil || longest(st.For).Less(longest(p.step.For)) {
			st, of, ok = p.step, p.of.Name, len(verbs) == 0
		}
	}
	return st, of, ok
}

func longest(sp *recipe.Span) quantity.Number {
	for _, n := range []*quantity.Number{sp.Exact, sp.Min, sp.Max, sp.Never} {
		if n != nil {
			return *n
		}
	}
	return quantity.Number{}
}

// steps: times and temperatures of the book.
func steps(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSteps
	if q.Time && q.Has("hands") {
		b.busy(a, q)
		return
	}
	if q.Time && !q.Temp && b.keptThere(q) {
		keeps(b, a, q, time.Time{})
		return
	}
	if q.Time && (q.Has("verb_out") || q.Stands) && b.outFacts(a, q.Targets[0].Recipe, q.Say) {
		return
	}
	if r := q.Targets[0].Recipe; q.Time && !q.Temp && len(q.Goal.Verbs) > 0 && len(q.Verbs) == 0 { // how long until a step may begin
		if ps, ok := b.upTo(r, q); ok {
			f := spanFact(ps[0].step.Verb, ps[0].step.For, ps[0].step.Where)
			f.Of = r.Name
			a.add(f)
			a.Title = Title{Recipe: r.Name}
			return
		}
	}
	if q.Has("stir") && !q.Temp && !q.Has("howlong") && !b.timedVerb(q) && b.stirred(a, q) {
		return
	}
	for i := range q.Targets {
		b.stepFacts(a, q, q.Targets[i].Recipe)
	}
	if len(a.Facts) == 0 && q.Temp && len(q.Verbs) > 0 && q.Verbs[0] != "pasteurise" && q.Verbs[0] != "bake" && q.Verbs[0] != "roast" && q.Verbs[0] != "freeze" && !q.Oven && !q.Core { // the verb is none of the book's: all its temperatures
		q.Verbs = nil
		b.stepFacts(a, q, q.Targets[0].Recipe)
	}
	if len(a.Facts) == 0 && a.Status == StatusAnswer && q.Time {
		b.handsOn(a, q)
	}
	if len(a.Facts) == 0 && a.Status == StatusAnswer {
		r := q.Targets[0].Recipe
		if len(a.Words) == 0 && q.Time && (q.Has("verb_out") || q.Stands) { // the book gives no time out: the code's limit of cold food
			cold := *q
			cold.Foods, cold.Targets = []string{"cold"}, nil
			a.About = "safety"
			rules(b, a, &cold, time.Time{})
			return
		}
		if len(a.Words) == 0 {
			if i := slices.IndexFunc(r.Method, func(st recipe.Step) bool { return len(q.Verbs) > 0 && verbIs(&st, q.Verbs[0]) }); i >= 0 && q.Time && !q.Temp {
				a.unknown("step has no time", r.Name, r.Method[i].Verb)
				return
			}
			b.noStep(a, q, r)
			return
		}
	}
	if len(q.Targets) > 0 {
		a.Title = Title{Recipe: q.Targets[0].Recipe.Name}
	}
	b.namedBelow(a, q)
}

// timedVerb reports whether the recipe has a step with a time of the verb that is
// said: "chill between turns".
func (b *Book) timedVerb(q *question.Question) bool {
	return len(q.Verbs) > 0 && slices.ContainsFunc(q.Targets[0].Recipe.Method, func(st recipe.Step) bool {
		return verbIs(&st, q.Verbs[0]) && st.For != nil && st.StirEvery == nil
	})
}

// handsOn tells how long a step keeps one's hands busy, where the book gives it no
// other time: "whip: 8 min".
func (b *Book) handsOn(a *Answer, q *question.Question) {
	r := q.Targets[0].Recipe
	for _, v := range q.Verbs {
		for i := range r.Method {
			st := &r.Method[i]
			if st.Hands == nil || st.For != nil || st.Hold != nil || !verbIs(st, v) || q.Place != "" || q.Oven {
				continue
			}
			f := b.measured(st.Verb, *st.Hands)
			f.Of, f.How = r.Name, "hands"
			a.add(f)
		}
		if len(a.Facts) > 0 {
			return
		}
	}
}

// stirred answers how often something is stirred: by the step that says it, else
// by the words of the book; true where nothing else is to be told.
func (b *Book) stirred(a *Answer, q *question.Question) bool {
	r := q.Targets[0].Recipe
	if len(b.stepsOf(r, func(st *recipe.Step) bool { return st.StirEvery != nil })) > 0 {
		return false
	}
	ps := b.stepsOf(r, func(st *recipe.Step) bool {
		return slices.ContainsFunc(name.Words(st.Words), func(w string) bool {
			return strings.HasPrefix(w, "stir") || strings.HasPrefix(w, "turn") || strings.HasPrefix(w, "whisk") || strings.HasPrefix(w, "bast")
		})
	})
	for _, p := range ps {
		a.Words = append(a.Words, p.step.Verb+": "+p.step.Words)
	}
	if len(ps) == 0 {
		a.unknown("no stir", r.Name)
		return true
	}
	a.Title = Title{Recipe: ps[0].of.Name}
	return true
}

func (b *Book) stepFacts(a *Answer, q *question.Question, r *kb.Recipe) {
	var out []Fact
	if q.Temp {
		early := notYet(r, q)
		temps := func(st *recipe.Step) []Fact {
			if early != nil && !early[st] {
				return nil
			}
			return b.tempFacts(a, q, st)
		}
		ps := b.pickSteps(r, q, func(st *recipe.Step) bool { return len(temps(st)) > 0 && q.Heats(st) })
		if len(ps) == 0 && len(q.Heated) > 0 { // another verb than the book's, or each word of another step
			ask := *q
			ask.Verbs = nil
			if ps = b.pickSteps(r, &ask, func(st *recipe.Step) bool { return len(temps(st)) > 0 && q.Heats(st) }); len(ps) == 0 {
				ps = b.pickSteps(r, q, func(st *recipe.Step) bool { return len(temps(st)) > 0 })
			}
		}
		for _, p := range ps {
			for _, f := range temps(p.step) {
				f.Of = p.of.Name
				out = append(out, f)
			}
		}
	}
	if q.Time {
		has := func(st *recipe.Step) bool { return len(b.timeFacts(st, q)) > 0 }
		if q.Temp && len(out) > 0 && len(q.Verbs) == 0 && !q.Oven { // "temp and time": of the steps with a temperature
			hot := func(st *recipe.Step) bool { return len(b.timeFacts(st, q)) > 0 && len(b.tempFacts(a, q, st)) > 0 }
			if len(b.pickSteps(r, q, hot)) > 0 {
				has = hot
			}
		}
		if stirs := func(st *recipe.Step) bool { return st.StirEvery != nil }; q.Has("stir") && !q.Has("howlong") && len(b.pickSteps(r, q, stirs)) > 0 { // "stir every?": no other time
			has = stirs
		}
		for _, p := range b.pickSteps(r, q, has) {
			for _, f := range b.timeFacts(p.step, q) {
				f.Of = p.of.Name
				out = append(out, f)
			}
			if p.step.Until != "" && !q.Temp {
				a.Words = append(a.Words, p.step.Verb+" until "+p.step.Until)
			}
		}
	}
	a.add(out...)
	if len(out) == 0 { // words may say it: "until firm"
		for _, p := range b.pickSteps(r, q, func(st *recipe.Step) bool { return st.Until != "" || st.UntilCore != nil }) {
			if p.step.Until != "" {
				a.Words = append(a.Words, p.step.Verb+" until "+p.step.Until)
			} else if q.Time || q.Temp {
				c := b.measured("core", *p.step.UntilCore)
				c.Of = p.of.Name
				a.add(c)
			}
		}
	}
}

// notYet are the steps before the one that a food goes in at, where it is asked of
// what comes before; nil where none of them has a temperature.
func notYet(r *kb.Recipe, q *question.Question) map[*recipe.Step]bool {
	if len(q.Before) == 0 {
		return nil
	}
	out, hot := map[*recipe.Step]bool{}, false
	for i := range r.Method {
		st := &r.Method[i]
		if slices.ContainsFunc(q.Before, func(w string) bool { return question.Names(st, w) }) {
			if hot {
				return out
			}
			return nil
		}
		out[st] = true
		hot = hot || st.To != nil && st.To.Temperature != nil || st.At != nil && st.At.Temperature != nil
	}
	return nil
}

// tempFacts are the temperatures of a step.
func (b *Book) tempFacts(a *Answer, q *question.Question, st *recipe.Step) []Fact {
	var out []Fact
	put := func(what string, t quantity.Quantity, hi *quantity.Quantity, text string) {
		var fs []Fact
		f := b.measured(what, t)
		f.How, f.At = text, st.Where
		if hi != nil {
			lo, h := t.N, hi.N
			f.Value, f.Min, f.Max = nil, &lo, &h
			f.Shown = ""
		}
		fs = append(fs, f)
		want := quantity.Celsius
		if q.HasUnit && q.Unit.Dim == quantity.Temperature {
			want = q.Unit
		}
		if other, err := t.In(want); err == nil && !want.Equal(t.Unit) {
			g := b.measured(what, other)
			g.From, g.How = FromCalculated, text
			if hi != nil {
				h, _ := hi.In(want)
				lo := other.N
				g.Value, g.Min, g.Max, g.Shown = nil, &lo, &h.N, ""
			}
			if q.HasUnit {
				fs = append([]Fact{g}, fs...)
			} else {
				fs = append(fs, g)
			}
		}
		out = append(out, fs...)
	}
	if q.Core && !q.Oven {
		if st.UntilCore != nil {
			put("core", *st.UntilCore, nil, "until core")
		}
		return out
	}
	if st.To != nil && st.To.Temperature != nil && !q.Oven {
		put(st.Verb+" to", *st.To.Temperature, st.To.TempHi, st.To.Text)
	}
	if st.At != nil && st.At.Temperature != nil {
		put(st.Verb+" at", *st.At.Temperature, st.At.Hi, st.At.Text)
	}
	if st.UntilCore != nil && !q.Oven {
		put("core", *st.UntilCore, nil, "until core")
	}
	return out
}

// timeFacts are the times of a step.
func (b *Book) timeFacts(st *recipe.Step, q *question.Question) []Fact {
	var out []Fact
	at := st.Where
	if at == "" && st.At != nil {
		at = st.At.Text
	}
	if st.StirEvery != nil && q.Has("stir") { // asked for
		n := st.StirEvery.Base()
		out = append(out, Fact{What: "stir every", Value: &n, Unit: "min", Shown: quantity.ShowTime(quantity.RoundTime(n)), From: FromBook})
	}
	held := len(q.Verbs) > 0 && q.Verbs[0] == "hold" && st.Hold != nil // asked for that alone
	if st.For != nil && !held {
		out = append(out, spanFact(st.Verb, st.For, at))
	}
	if st.Hold != nil {
		out = append(out, spanFact("hold", st.Hold, ""))
	}
	return out
}

// spanFact makes a fact of a time of the book, in minutes.
func spanFact(what string, s *recipe.Span, at string) Fact {
	f := Fact{What: what, Unit: "min", At: at, From: FromBook, How: s.Text, Min: s.Min, Max: s.Max, Never: s.Never, Value: s.Exact}
	if s.Exact != nil {
		f.Shown = quantity.ShowTime(quantity.RoundTime(*s.Exact))
	}
	return f
}

// keeps: how long it keeps, a fact a place.
func keeps(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	for i := range q.Targets {
		r := q.Targets[i].Recipe
		for _, k := range r.Keeps {
			if k.Time == nil {
				a.Words = append(a.Words, k.Text)
				continue
			}
			if q.Place != "" && k.Where != "" && !b.isPlace(k.Where, q.Place) || q.Thawed && k.After == "" {
				continue
			}
			f := b.keepFact(r, k)
			if q.HasUnit && q.Unit.Dim == quantity.Time {
				if v, err := k.Time.In(q.Unit); err == nil {
					u := b.measured("keeps", v)
					f.Value, f.Unit = u.Value, u.Unit
				}
			}
			a.add(f)
		}
	}
	if words := question.Words(q.Say); slices.ContainsFunc(words, func(w string) bool { return w == "open" || w == "opened" || w == "opening" }) { // "once its opened"
		slices.SortStableFunc(a.Facts, func(x, y Fact) int {
			return cmp.Compare(strings.Index(y.At, "opening"), strings.Index(x.At, "opening"))
		})
	}
	if q.Thawed && len(a.Facts) == 0 && len(q.Targets[0].Recipe.Keeps) > 0 {
		a.Words = nil
		a.unknown("no keeps thawed", q.Targets[0].Recipe.Name)
		return
	}
	if len(a.Facts) == 0 && len(a.Words) == 0 {
		if q.Place != "" && len(q.Targets[0].Recipe.Keeps) > 0 {
			a.unknown("no keeps there", q.Targets[0].Recipe.Name, q.Place)
			return
		}
		a.unknown("no keeps", q.Targets[0].Recipe.Name)
		return
	}
	a.Title = Title{Recipe: q.Targets[0].Recipe.Name}
	a.caution("keeps")
}

// keepFact is how long a recipe keeps in one place.
func (b *Book) keepFact(r *kb.Recipe, k recipe.Keep) Fact {
	f := b.measured("keeps", *k.Time)
	f.Shown = keepShown(*k.Time)
	f.Of, f.At, f.How = r.Name, strings.TrimSpace(k.Where+after(k.After)), k.Text
	return f
}

func after(s string) string {
	if s == "" {
		return ""
	}
	return " after " + s
}

func keepShown(q quantity.Quantity) string {
	n := q.N.Fixed(2)
	switch q.Unit.Symbol {
	case "d":
		if n == "1" {
			return "1 day"
		}
		return n + " days"
	case "weeks", "week":
		if n == "1" {
			return "1 week"
		}
		return n + " weeks"
	}
	return n + " " + q.Unit.Symbol
}

// where: the places of a recipe.
func where(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormSets
	r := q.Targets[0].Recipe
	var kept, steps, in []string
	if q.Has("vessel") {
		for i := range r.Method {
			if st := &r.Method[i]; st.In != "" {
				in = append(in, st.Verb+": "+st.In)
			}
		}
		if len(in) == 0 {
			a.unknown("no vessel", r.Name)
			return
		}
		a.add(Fact{What: "in", HasItems: true, Items: in, Of: r.Name, From: FromBook})
		a.Title = Title{Recipe: r.Name}
		return
	}
	for _, k := range r.Keeps {
		if k.Where != "" && !slices.Contains(kept, k.Where) {
			kept = append(kept, k.Where)
		}
	}
	for i := range r.Method {
		st := &r.Method[i]
		if st.Where == "" || len(q.Verbs) > 0 && !slices.ContainsFunc(q.Verbs, func(v string) bool { return verbIs(st, v) }) {
			continue
		}
		s := st.Verb + ": " + st.Where
		if !slices.Contains(steps, s) {
			steps = append(steps, s)
		}
	}
	if len(q.Verbs) == 0 || len(steps) == 0 {
		if len(kept) > 0 {
			a.add(Fact{What: "where", HasItems: true, Items: kept, Of: r.Name, From: FromBook, How: "keeps"})
		}
	}
	if len(steps) > 0 {
		a.add(Fact{What: "where in the method", HasItems: true, Items: steps, Of: r.Name, From: FromBook})
	}
	if len(a.Facts) == 0 {
		a.unknown("no place", r.Name)
		return
	}
	a.Title = Title{Recipe: r.Name}
}

// outFacts: how long a part may stand out before service, from the plates it is on.
func (b *Book) outFacts(a *Answer, r *kb.Recipe, say string) bool {
	said := name.Words(say)
	put := func(dish *kb.Recipe, only *kb.Recipe) {
		for i := range dish.Lines {
			l := &dish.Lines[i]
			if l.Out == nil || only != nil && l.Link != only {
				continue
			}
			f := spanFact("out", l.Out, l.Name)
			f.Of = dish.Name
			if only == nil && slices.ContainsFunc(strings.Fields(l.Fold), func(w string) bool { return slices.Contains(said, w) && !strings.Contains(name.Fold(dish.Name), w) }) {
				a.Facts = append([]Fact{f}, a.Facts...)
				continue
			}
			a.add(f)
		}
	}
	if r.IsPlate {
		put(r, nil)
	} else {
		var on []*kb.Recipe
		for _, dish := range b.Snap.UsedIn(r) {
			n := len(a.Facts)
			if put(dish, r); len(a.Facts) > n {
				on = append(on, dish)
			}
		}
		if len(on) == 1 { // the line is the dish's
			a.Recipe = on[0]
		}
	}
	a.Title = Title{Recipe: r.Name}
	return len(a.Facts) > 0
}
