package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// sense is one covering of the message sorted by what its spans are; frames
// read from it and mark what they use.
type sense struct {
	l         *lattice
	p         path
	ctx       *Context
	limit     int    // readings above this cost are not wanted
	cues      cueSet // of all cue spans
	names     []int  // indexes into p.spans
	quant     []int
	units     []int
	clock     []int
	allergens []int
	slips     []Assumption // of work words, put right (workSlips)
	chosen    []pick       // of allPicks; every frame asks for them
}

func newSense(l *lattice, p path, ctx *Context) *sense {
	s := &sense{l: l, p: p, ctx: ctx}
	for i := range p.spans {
		switch sp := &p.spans[i]; sp.kind {
		case spanCue:
			s.cues = s.cues.or(sp.cues)
		case spanName:
			s.names = append(s.names, i)
		case spanQuantity, spanFactor:
			s.quant = append(s.quant, i)
		case spanUnit:
			s.units = append(s.units, i)
		case spanClock:
			s.clock = append(s.clock, i)
		case spanAllergen:
			s.allergens = append(s.allergens, i)
		}
	}
	return s
}

func (s *sense) any(cs ...cue) bool { return s.cues.meets(cueSet{}.with(cs...)) }

func (s *sense) span(i int) *span { return &s.p.spans[i] }

func (s *sense) text(i int) string {
	sp := s.span(i)
	return s.l.text[s.l.tokens[sp.from].start:s.l.tokens[sp.to-1].end]
}

// reading is a question being filled: what it has used so far.
type reading struct {
	q        Question
	used     []bool // by span
	consumes cueSet
	extra    int
	targets  []int // spans of the targets
}

func (s *sense) reading(w Want, about string) reading {
	return reading{q: Question{Want: w, About: about, Say: s.l.text, cues: s.cues}, used: make([]bool, len(s.p.spans))}
}

func (r reading) clone() reading {
	r.used = slices.Clone(r.used)
	r.q.Targets = slices.Clone(r.q.Targets)
	r.q.Items = slices.Clone(r.q.Items)
	r.q.Exclude = slices.Clone(r.q.Exclude)
	r.q.Assumed = slices.Clone(r.q.Assumed)
	r.q.Verbs = slices.Clone(r.q.Verbs)
	r.q.Content = slices.Clone(r.q.Content)
	r.targets = slices.Clone(r.targets)
	return r
}

// finish adds up a reading's cost: its spans, what it left unused, corrections.
func (s *sense) finish(r reading) *Question {
	s.toldOnly(&r)
	s.byStepWords(&r)
	q := &r.q
	q.Cost = s.p.cost + r.extra
	for i := range s.p.spans {
		sp := &s.p.spans[i]
		if s.otherKind(i, r) {
			q.Cost += costBroken
			q.Lost = true
		}
		switch sp.kind {
		case spanUnused:
			if r.used[i] {
				q.Cost -= sp.cost - costSpan
				continue
			}
			if ofTime(q.Want) && s.l.tokens[sp.from].plain == "at" && i+1 < len(s.p.spans) && s.span(i+1).kind == spanClock {
				q.Cost -= sp.cost - costSpan
				continue
			}
			if q.FromTalk && mixWord(s.l.tokens[sp.from].plain) { // "total dough?"
				q.Cost -= sp.cost - costLoose
				continue
			}
			if q.FromTalk && (sp.cost == costLoose || sp.strange) && !(s.text(i) == "at" && i+1 < len(s.p.spans) && s.span(i+1).kind == spanClock && r.used[i+1]) {
				q.Cost += costTalkLoose
			}
			if i > 0 && len(r.q.Targets) == 1 && slices.Contains(r.targets, i-1) && !s.l.tokens[sp.from].breaks && mixWord(s.l.tokens[sp.from].plain) && (!r.q.Targets[0].Part || s.mixOf(i-1, r)) {
				q.Cost -= sp.cost - costSpan
				continue // "farinata batter"
			}
			if mixWord(s.l.tokens[sp.from].plain) && s.mixFor(i, r) {
				q.Cost -= sp.cost - costSpan
				continue // "the dough for the focaccia"
			}
			if mixWord(s.l.tokens[sp.from].plain) && ofTime(q.Want) && len(q.Targets) == 1 {
				q.Cost += costLoose - sp.cost // "financiers by 6, when must the batter rest"
				continue
			}
			w := s.text(i)
			if s.inStep(i, q) {
				q.Cost += costSpan - sp.cost
				continue
			}
			if s.askedOf(i, r) {
				q.Cost += costFood - costLoose
				q.Unused = append(q.Unused, w)
				q.Lost = true
			}
			if (q.Want == WantAmount || q.Want == WantCard || q.Want == WantMakes) && !sizedAny(q.Targets) && q.Missing == MissingNothing && s.sizeWord(sp.from) { // "half" that no reading took
				q.Missing, q.Choices, q.Sized = MissingSize, nil, "batches"
			}
			if sp.food || (s.l.tokens[sp.from].number || s.l.isNumberWord(sp.from)) && !s.l.labels(sp.from) {
				q.Unused = append(q.Unused, w)
				q.Lost = true
			}
			if sp.strange {
				q.Strange = append(q.Strange, w)
				if (q.Want == WantAmount || q.Want == WantCard) && !sizedAny(q.Targets) && s.l.unreadBatch(sp.from) { // "qwarter batch"
					q.Missing, q.Choices, q.Sized = MissingSize, nil, "batches"
				}
			}
		case spanCue:
			if !r.used[i] && s.sizeLost(i, q) {
				q.Missing = MissingSize
				q.Choices = nil
				q.Sized = s.text(i)
				break
			}
			if sp.to == sp.from+1 && s.l.tokens[sp.from].fold == "one" && len(q.Targets) > 0 && !sizedAny(q.Targets) && s.mouldBehind(i) {
				q.Cost += 14 // "one dome 45 of bavarois": a size, no filler
			}
			if !r.used[i] && !sp.cues.meets(r.consumes) {
				c := lightest(sp.cues)
				if c > costLoose && sp.cues.has(cueUnsafe) && !s.unsafeSaid() { // "proof overnight" says how long, not what is wrong
					c = costLoose
				}
				if s.neededFor(i) && r.used[i+1] || sp.cues.has(cueBatchsplit) && s.dividedBy() {
					c = 0
				}
				if sp.cues.has(cueNot) && len(r.targets) > 0 && s.contrast(i, r) || sp.cues.has(cueSwap) && s.insteadOfSize() {
					c = 0
				}
				if sp.to == sp.from+1 && sp.cues.meets(verbCues) && len(s.l.x.byWord[s.l.tokens[sp.from].fold]) > 0 {
					c = max(c, costLostName) // "gel" is a verb too
					if s.dishNot(i, r) {
						q.Lost = true
						q.Unused = append(q.Unused, s.text(i-1)+" "+s.text(i))
					}
				}
				q.Cost += c
			} else if sp.cues.meets(verbCues) && s.dishNot(i, r) {
				q.Cost += costLostName
				q.Lost = true
			}
		case spanName:
			if !r.used[i] && s.negated(i) {
				q.Cost++ // "no cream, just the flour"
				break
			}
			if !r.used[i] && s.inStep(i, q) {
				q.Cost++
				break
			}
			if !r.used[i] && s.saysFit(i) { // "brioche fine?", where the house has a fine scale
				q.Cost++
				break
			}
			if !r.used[i] && s.ownMould(i, r) { // "mousse for 40 in the half spheres", which it is made in
				q.Cost++
				break
			}
			if !r.used[i] && s.namesTarget(i, r) { // "terrine, how long (liver terrine)"
				q.Cost++
				break
			}
			if !r.used[i] {
				q.Cost += costLostName
				q.Lost = true
				q.Unused = append(q.Unused, s.text(i))
			}
		case spanQuantity:
			if !r.used[i] {
				q.Cost += costNumber
				q.Lost = true
				q.Unused = append(q.Unused, s.text(i))
			}
		case spanFactor:
			if !r.used[i] {
				q.Cost += costNumber
				q.Lost = true
				q.Unused = append(q.Unused, s.text(i))
			}
		case spanUnit:
			if !r.used[i] {
				q.Cost += 4
				if w := s.before(i); (w == "a" || w == "one") && (q.Want == WantCard || q.Want == WantAmount) {
					q.Cost += costNumber // "a cup of it in g"
				}
			}
		case spanAllergen:
			if !r.used[i] {
				q.Cost += costLostName
				q.Lost = true
				q.Unused = append(q.Unused, s.text(i))
			}
		case spanClock:
			if !r.used[i] && (sp.clock.HasTime || sp.clock.Weekday > 0) {
				q.Cost += 10
			}
		}
		said := r.used[i] || sp.kind == spanCue && sp.cues.meets(r.consumes)
		for k := sp.from; said && k < sp.to; k++ {
			if t := &s.l.tokens[k]; t.was != "" {
				q.Assumed = append(q.Assumed, Assumption{"read as", []string{t.was, t.plain}})
			}
		}
		if sp.note != "" && said {
			from, to, _ := strings.Cut(sp.note, " → ")
			q.Assumed = append(q.Assumed, Assumption{"read as", []string{from, to}})
		}
	}
	if len(s.l.passed) > 0 {
		q.Assumed = append(q.Assumed, Assumption{"passed over", s.l.passed})
	}
	q.Modified = s.modified(r)
	s.meansOwn(q)
	if q.Want == WantAllergens && slices.ContainsFunc(q.Strange, func(w string) bool { return len(w) > 3 }) && len(q.Allergen) > 0 { // "any sesmae or milk": all that is in it, as the unread word may be one too
		q.Named, q.Allergen = q.Allergen, nil
	}
	return q
}

// askedOf reports whether the idle word of span i is what is asked for: "how many
// grams of better in the crumble" is no question for its total.
func (s *sense) askedOf(i int, r reading) bool {
	sp := s.span(i)
	if i == 0 || i+2 >= len(s.p.spans) || sp.cost != costLoose || sp.food || s.l.tokens[sp.from].breaks || r.q.Want != WantMakes && r.q.Want != WantCard {
		return false
	}
	b, a := s.span(i-1), s.span(i+1)
	if b.kind != spanCue || !b.cues.meets(cueSet{}.with(cueHowmuch, cueOf)) || a.kind != spanCue || !a.cues.meets(cueSet{}.with(cueIn)) || s.l.tokens[a.from].breaks || !s.any(cueHowmuch, cueHowmany) {
		return false
	}
	return slices.Contains(r.targets, s.next(i+1)) || slices.Contains(r.targets, i+2)
}

// ofTime reports whether a question is about a moment of a recipe's steps.
func ofTime(w Want) bool {
	switch w {
	case WantReady, WantLatest, WantTimer, WantStarted:
		return true
	}
	return false
}

// sizeLost reports whether span i ends a size that was not read: "for several
// portions", "for NaN covers".
func (s *sense) sizeLost(i int, q *Question) bool {
	sp := s.span(i)
	if q.Want != WantAmount && q.Want != WantCard || !sp.cues.meets(cueSet{}.with(cueCovers, cuePortion, cuePiece, cueBatch)) || len(q.Targets) == 0 || q.Targets[0].Scale.Kind != ScaleNone {
		return false
	}
	switch w := s.l.tokens[sp.to-1].plain; {
	case w == "people", len(w) > 3 && w != name.Singular(w):
	default:
		return false
	}
	for k := sp.from - 1; k >= 0 && k >= sp.from-3 && !s.l.tokens[k+1].breaks; k-- {
		if w := s.l.tokens[k].plain; w == "for" || w == "x" {
			return true
		}
	}
	return false
}

// contrast reports whether the "not" of span i takes back a name that is no
// target: "quince sorbet, not cider".
func (s *sense) contrast(i int, r reading) bool {
	for j := i + 1; j < len(s.p.spans); j++ {
		switch sp := s.span(j); sp.kind {
		case spanCue:
			if s.l.tokens[sp.from].breaks || !light(sp.cues) {
				return false
			}
		case spanName:
			return !r.used[j] && s.l.recipeAt(sp)
		default:
			return false
		}
	}
	return false
}

// opens reports whether span i begins a thought: first, after a break, or after
// "and", "in", "for".
func (s *sense) opens(i int) bool {
	switch s.before(i) {
	case "", "and", "in", "for", "the", "of":
		return true
	}
	return false
}

// joint finds the recipes that two parts of names mean together: "tuiles (sesame)".
func (s *sense) joint() []pick {
	var out []pick
	for x, i := range s.names {
		for _, j := range s.names[x+1:] {
			a, b := s.recipesOf(i, 24), s.recipesOf(j, 24)
			if len(a) == 0 || len(b) == 0 || !a[0].part || !b[0].part || s.negated(i) || s.negated(j) {
				continue
			}
			for _, o := range a {
				if k := slices.IndexFunc(b, func(p option) bool { return p.recipe == o.recipe }); k >= 0 {
					out = append(out, pick{targets: []Target{{Recipe: o.recipe, Part: true}}, spans: []int{i, j}, cost: o.cost + b[k].cost - min(costPartHead, b[k].cost) + 1})
				}
			}
		}
	}
	if len(out) > 4 {
		return nil
	}
	return out
}

// negated reports whether the name of span i is one that is not meant: "no
// cream", "not the walnut one", or one that a later "no, …" takes back.
func (s *sense) negated(i int) bool {
	for j := i - 1; j >= 0; j-- {
		sp := s.span(j)
		if sp.kind != spanCue || s.l.tokens[s.span(j+1).from].breaks {
			break
		}
		if sp.cues.has(cueNot) || sp.cues.has(cueWithout) {
			return true
		}
		if !light(sp.cues) && !sp.cues.has(cueFor) && !sp.cues.has(cueIn) {
			break
		}
	}
	if t := s.span(i).to; t+1 < len(s.l.tokens) { // "fish soup no i mean fish stock"
		switch s.l.tokens[t].plain + " " + s.l.tokens[t+1].plain {
		case "no i", "i mean", "i meant", "no wait", "no sorry", "sorry i", "wait no", "no actually", "oops no", "oops i":
			return t+2 < len(s.l.tokens)
		}
	}
	for k := s.span(i).to; k < len(s.l.tokens)-1; k++ { // "kombu.. no, pickled shallots", "salted caramel, wait, miso caramel"
		t := &s.l.tokens[k]
		if !t.breaks {
			continue
		}
		next := &s.l.tokens[k+1]
		switch t.plain {
		case "wait", "sorry", "actually", "scratch":
			return true
		case "no":
			if next.breaks || next.plain == "wait" || next.plain == "sorry" {
				return true
			}
		}
	}
	return false
}

func lightest(set cueSet) int {
	w := 1 << 20
	set.each(func(c cue) {
		v, ok := cueWeights[c]
		if !ok {
			v = cueWeight
		}
		w = min(w, v)
	})
	return w
}

// option is one recipe that a span may mean, with the cost over the span's own.
type option struct {
	recipe *kb.Recipe
	cost   int
	part   bool
}

// recipesOf returns the recipes that span i may mean, cheapest first, at most n.
func (s *sense) recipesOf(i, n int) []option {
	sp := s.span(i)
	base := sp.cost - costSpan
	var out []option
	for _, h := range sp.names {
		e := &s.l.x.entries[h.id]
		if e.Recipe == nil || (e.Kind != kb.RecipeName && e.Kind != kb.RecipeAlias) {
			continue
		}
		k := slices.IndexFunc(out, func(o option) bool { return o.recipe == e.Recipe })
		if k < 0 {
			out = append(out, option{e.Recipe, h.cost - base, h.part})
		} else if c := h.cost - base; c < out[k].cost {
			out[k].cost, out[k].part = c, h.part
		}
	}
	slices.SortStableFunc(out, func(a, b option) int { return a.cost - b.cost })
	return out[:min(n, len(out))]
}

// thingOf returns the pan, mould, machine, cold place or scale that span i
// names; of a part of a name only where no other has it too.
func (s *sense) thingOf(i int, kinds ...kb.NameKind) *kb.Name {
	var part *kb.Name
	for _, h := range s.span(i).names {
		e := &s.l.x.entries[h.id]
		if !slices.Contains(kinds, e.Kind) {
			continue
		}
		if !h.part {
			return &e.Name
		}
		if part != nil {
			return nil
		}
		part = &e.Name
	}
	return part
}

// isOut returns the name of a faulty recipe that span i writes out.
func (s *sense) isOut(i int) string {
	for _, h := range s.span(i).names {
		if e := &s.l.x.entries[h.id]; e.Kind == kb.OutName && !h.part {
			return e.Text
		}
	}
	return ""
}

// item returns span i as an ingredient or part; ok is false if it can be none.
func (s *sense) item(i int) (Item, bool) {
	sp := s.span(i)
	it := Item{Text: s.text(i), Part: true, own: sp.own}
	some := false
	for _, h := range sp.names {
		e := &s.l.x.entries[h.id]
		switch e.Kind {
		case kb.RecipeName, kb.RecipeAlias:
			if it.Recipe == nil && (!h.part || it.Larder == nil) {
				it.Recipe = e.Recipe
			}
		case kb.IngredientName, kb.IngredientAlias:
			some = true
			if h.part {
				break
			}
			if it.Larder == nil || (e.Item != nil && e.Item.House && !it.Larder.House) {
				it.Larder = e.Item
			}
		default:
			continue
		}
		it.Part = it.Part && h.part
		it.InBook = it.InBook || e.InBook && !h.part
		n := strings.Join(e.words, " ")
		if !h.part && !slices.Contains(it.Names, n) {
			it.Names = append(it.Names, n)
		}
	}
	written := s.folded(sp)
	if strings.Contains(written+" ", "gelatin ") { // the same thing, whoever spells it
		other := strings.TrimSpace(strings.ReplaceAll(written+" ", "gelatin ", "gelatine "))
		it.Names = append(it.Names, other)
		if h := s.houseItem(other); h != nil && (it.Larder == nil || !it.Larder.House) {
			it.Larder, it.Part = h, false
		}
	}
	if !slices.Contains(it.Names, written) {
		it.Names = append(it.Names, written)
	}
	return it, some || it.Larder != nil || it.Recipe != nil || len(it.Names) > 1
}

// folded is the span's words, folded and corrected.
func (s *sense) folded(sp *span) string {
	var w []string
	for k := sp.from; k < sp.to; k++ {
		w = append(w, s.l.tokens[k].fold)
	}
	out := strings.Join(w, " ")
	for _, fix := range strings.Split(sp.note, ", ") {
		if from, to, ok := strings.Cut(fix, " → "); ok {
			out = strings.Replace(out, name.Singular(from), to, 1)
		}
	}
	return out
}

// foreign returns an unused food word as an item that the book lacks.
func (s *sense) foreign(i int) (Item, bool) {
	sp := s.span(i)
	if sp.kind != spanUnused || !sp.food {
		return Item{}, false
	}
	return Item{Text: s.text(i), Names: []string{s.folded(sp)}, Foreign: true}, true
}

// pick is one way to say which recipes a message is about.
type pick struct {
	targets []Target
	spans   []int // used by the targets; −1 from talk
	cost    int
	talk    bool
}

// picks returns the ways to choose the recipes: each name that may be one, the
// recipe of the talk where none is named, several names together.
func (s *sense) picks() []pick {
	if s.chosen == nil {
		s.chosen = s.allPicks()
	}
	out := make([]pick, 0, len(s.chosen))
	for _, p := range s.chosen {
		if s.p.cost+p.cost <= s.limit {
			out = append(out, p)
		}
	}
	return out
}

// allPicks are those whatever they cost.
func (s *sense) allPicks() []pick {
	const most = 24
	var out []pick
	var sure []int // spans that are recipes written out
	for _, i := range s.names {
		if s.negated(i) {
			continue
		}
		opts := s.recipesOf(i, most)
		dish := s.saysDish(i)
		shared := s.sharedName(i)
		for _, o := range opts {
			if o.part && s.ctx != nil && len(s.ctx.Targets) > 0 && mixWord(s.text(i)) {
				o.cost += costPassedOver // "total dough?" of what was talked of
			}
			if dish && o.part && !o.recipe.Makes.IsCovers() {
				o.cost += 2
			}
			t := Target{Recipe: o.recipe, Part: o.part}
			if slices.Contains(shared, o.recipe) {
				t.Shared = shared
			}
			out = append(out, pick{targets: []Target{t}, spans: []int{i}, cost: o.cost})
		}
		if len(opts) > 0 && (!opts[0].part || opts[0].cost <= costPartHead && (len(opts) == 1 || opts[1].cost > opts[0].cost) && !s.l.ingredientAt(s.span(i)) && s.opens(i)) {
			sure = append(sure, i)
		}
	}
	if s.l.long() {
		slices.SortStableFunc(out, func(a, b pick) int { return a.cost - b.cost })
		out = out[:min(len(out), longPicks)]
		sure = sure[:min(len(sure), longPicks)]
	} else {
		out = append(out, s.joint()...)
	}
	if len(sure) > 1 {
		p := pick{}
		for _, i := range sure {
			o := s.recipesOf(i, 1)[0]
			if slices.ContainsFunc(p.targets, func(t Target) bool { return t.Recipe == o.recipe }) {
				continue
			}
			p.targets = append(p.targets, Target{Recipe: o.recipe, Part: o.part})
			p.spans = append(p.spans, i)
			p.cost += o.cost + 1
		}
		if len(p.targets) > 1 {
			out = append(out, p)
		}
	}
	if s.ctx != nil && len(s.ctx.Targets) > 0 {
		p := pick{targets: slices.Clone(s.ctx.Targets), cost: costFromTalk, talk: true}
		for i := range p.targets {
			p.targets[i].Scale = Scale{}
		}
		if s.any(cueWhatabout, cueSame, cueThat) || len(s.l.tokens) <= 4 {
			p.cost = 1
		}
		out = append(out, p)
	}
	written := -1 // a recipe written out is meant before a part of another's name
	for _, i := range s.names {
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part && !s.negated(i) {
			written = i
		}
	}
	if written >= 0 {
		for k := range out {
			if out[k].talk && s.inRecipe() {
				out[k].cost += 8
			} else if out[k].talk && len(s.names) > 1 && !s.any(cueWhatabout, cueSame, cueThat) {
				out[k].cost += 2
			}
			if len(out[k].targets) == 1 && out[k].targets[0].Part && !out[k].talk {
				if part, _ := s.linked(written, out[k].targets[0].Recipe); part != nil && out[k].cost <= costPartEnd {
					continue // "9 rye loaves: soaker": it goes into that
				}
				out[k].cost += costPassedOver
			}
		}
	}
	return out
}

// saysDish reports whether "dish", "dessert" or "plate" follows span i.
func (s *sense) saysDish(i int) bool {
	switch s.after(i) {
	case "dish", "dessert", "plate", "pudding":
		return true
	}
	return false
}

// before returns the plain word that stands before span i, "" at a break or the start.
func (s *sense) before(i int) string {
	f := s.span(i).from
	if f == 0 || s.l.tokens[f].breaks {
		return ""
	}
	return s.l.tokens[f-1].plain
}

// after returns the plain word that stands after span i.
func (s *sense) after(i int) string {
	t := s.span(i).to
	if t >= len(s.l.tokens) || s.l.tokens[t].breaks {
		return ""
	}
	return s.l.tokens[t].plain
}

// next returns the index of the span after i that says something, skipping
// fillers; −1 at the end or where a break comes first.
func (s *sense) next(i int) int {
	for j := i + 1; j < len(s.p.spans); j++ {
		if s.l.tokens[s.span(j).from].breaks {
			return -1
		}
		if sp := s.span(j); sp.kind == spanCue && light(sp.cues) {
			continue
		}
		return j
	}
	return -1
}

// prev is next in the other direction.
func (s *sense) prev(i int) int {
	for j := i - 1; j >= 0; j-- {
		if s.l.tokens[s.span(j+1).from].breaks {
			return -1
		}
		if sp := s.span(j); sp.kind == spanCue && light(sp.cues) {
			continue
		}
		return j
	}
	return -1
}

func light(c cueSet) bool {
	return c == (cueSet{}).with(cueFiller) || c.has(cueOf) || c.has(cueFiller)
}

var one = quantity.Int(1)
