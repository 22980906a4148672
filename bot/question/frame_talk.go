package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// frameTalk: help, thanks, hello, never mind, yes, no: only where nothing else is said.
func frameTalk(s *sense) []reading {
	if len(s.names) > 0 || len(s.quant) > 0 || len(s.allergens) > 0 {
		return nil
	}
	var out []reading
	add := func(w Want, about string, c cue, with ...cue) {
		if !s.any(c) {
			return
		}
		r := s.reading(w, about)
		r.consumes = plainCues.with(c).with(with...)
		if (c == cueThanks || c == cueGreet) && s.saysMore(r.consumes) {
			return // "empty weight of the copper pan pls thx"
		}
		if c == cueNo || c == cueYes {
			for _, sp := range s.p.spans {
				if sp.kind != spanCue {
					return
				}
			}
		}
		out = append(out, r)
	}
	add(WantHelp, "help", cueHelp, cueMethod, cueCard, cueAll)
	if s.ctx == nil || s.ctx.Pending == nil || !s.any(cueYes) { // "ok" to what is offered is a yes
		add(WantThanks, "talk", cueThanks)
	}
	add(WantHello, "talk", cueGreet)
	if !slices.ContainsFunc(s.p.spans, func(sp span) bool { return sp.note != "" }) { // "canels" is no "cancel"
		add(WantNever, "talk", cueNever)
	}
	if s.ctx != nil && s.ctx.Pending != nil {
		add(WantYes, "change", cueYes)
	}
	add(WantNo, "talk", cueNo)
	return out
}

// saysMore reports whether a message asks something besides, or says three words
// and more that are none of courtesy.
func (s *sense) saysMore(but cueSet) bool {
	but = but.with(cueFiller, cueThanks, cueGreet, cueYes, cueNo)
	asks := cueSet{}.with(cueHowmuch, cueHowmany, cueHowlong, cueWhen, cueWhere, cueTemp, cueWeigh, cueTare, cueCost, cueAllergen, cueCapacity, cueChange)
	words := 0
	for i := range s.p.spans {
		switch sp := s.span(i); {
		case sp.kind == spanCue && sp.cues.meets(asks), sp.kind == spanUnused && (sp.food || sp.strange):
			return true
		case sp.kind == spanCue && !sp.cues.meets(but):
			words += sp.to - sp.from
		}
	}
	return words >= 3
}

// followCues mark a line that goes on from the one before.
var followCues = cueSet{}.with(cueWhatabout, cueSame, cueThat, cueAnd, cueNo, cueNot, cueWithout, cueFor)

// frameFollow: half a thought that goes on from the last question; what it
// names replaces what was said.
func frameFollow(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil {
		return nil
	}
	last := s.ctx.Last
	if last.IsWork() || last.Want == WantStarted || last.Want == WantTimer {
		return nil // what was kept or set is not kept or set again
	}
	if s.l.says("how", "many", "grams") && len(s.quant) == 1 && slices.Contains(s.names, s.quant[0]+1) && len(s.names) == 1 {
		return nil // "6 yolks how many grams" is complete
	}
	if last.Want != WantSwap && s.saysNone() && s.asksWhat() {
		return nil // "no butter for the choux, what can i take"
	}
	if last.Want == WantSwap && s.asksInRecipe() {
		return nil // "egg in the curd?" is no answer to what may stand in
	}
	for i := range s.p.spans { // a question with a word of its own stands alone
		sp := s.span(i)
		if sp.kind == spanCue && s.backToSize(i) {
			continue
		}
		if sp.kind != spanCue || sp.cues.meets(followCues) || sp.cues.meets(plainCues) || sp.cues.meets(sizeCues) {
			continue
		}
		if sp.cues.has(cueSwap) && s.insteadOfSize() || sp.cues.meets(cueSet{}.with(cueCovers, cuePiece, cuePortion, cueMoulds, cueHowmuch, cueHowmany, cueConvert, cueOnly, cueFree, cueContain, cueMakeable, cueAll, cueExtra, cueHalf)) {
			continue
		}
		return nil
	}
	marked := s.any(cueWhatabout, cueSame, cueThat, cueAnd, cueNo) || len(s.p.spans) <= 3
	base := func() reading {
		r := s.reading(last.Want, last.About)
		q := *last
		q.Assumed, q.Unused, q.Strange, q.Lost, q.Missing, q.Choices, q.Also = nil, nil, nil, false, MissingNothing, nil, nil
		q.Targets, q.Items, q.Exclude = slices.Clone(last.Targets), slices.Clone(last.Items), slices.Clone(last.Exclude)
		q.Say, q.cues = s.l.text, last.cues.or(s.cues)
		if len(s.units) > 0 { // another than the last
			q.HasUnit = false
		}
		if s.l.tokens[0].plain == "back" && sizedAny(last.Targets) {
			q.cues = last.cues // "back to 26": the size, not what the book was
		}
		if last.Want == WantUseBy && s.any(cueUseby) {
			q.Clock = nil // a label of its own: when the other was made says nothing of it
		}
		q.FromTalk = true
		if said := s.saidAllergens(); len(said) > 0 && q.About == "allergen" {
			q.Allergen = said // what was asked before never narrows this
		}
		r.q = q
		r.consumes = plainCues.or(followCues).or(sizeCues).with(cueCovers, cuePiece, cuePortion, cueMoulds, cueHowmuch, cueHowmany, cueConvert, cueFree, cueContain)
		if s.backToSize(0) {
			r.consumes = r.consumes.or(s.span(0).cues)
			r.extra = -6
		} else if !marked {
			r.extra = costFromTalk
		}
		if at, pan := s.panOf(); at >= 0 && last.Want == WantReading { // "in the wide pan"
			r.q.Thing, r.used[at] = pan, true
		}
		return r
	}
	var out []reading
	own := -1 // "per loaf"
	if len(last.Targets) == 1 {
		own = s.perOwn(last.Targets[0].Recipe)
	}
	if per := s.per(); (per != PerDefault && len(s.names) == 0 || own >= 0 && len(s.p.spans) <= 3) && (last.Want == WantCost || last.Want == WantContent || last.Want == WantEnergy) && len(s.quant) == 0 { // "and per cover"
		r := base()
		r.q.Per = per
		if own >= 0 {
			r.q.Per, r.used[own] = PerPiece, true
			if own > 0 && s.span(own-1).kind == spanUnused { // "per"
				r.used[own-1] = true
			}
		}
		r.consumes = r.consumes.with(cueCost)
		r.extra--
		out = append(out, r)
	}
	if last.Want == WantSwap {
		r := base()
		r.extra = -1 // it goes on from what was just asked
		if s.any(cueWithout, cueFree) {
			r.extra = -8
		}
		r.consumes = r.consumes.with(cueSwap, cueWithout, cueNot, cueOnly, cueContain, cueAllergen, cueFree, cueMakeable, cueStock, cueNo)
		r = s.swapFollow(r)
		if slices.Contains(r.used, true) {
			out = append(out, r)
			if s.any(cueWithout, cueNot, cueFree, cueNo, cueAllergen) {
				return out // what is barred is never taken for something else
			}
		}
	}
	if last.Want == WantUses && len(s.names) == 1 && len(s.quant) == 0 && (s.any(cueWhatabout, cueAnd, cueSame) || len(s.p.spans) == 1) { // "and walnut?"
		if it, ok := s.item(s.names[0]); ok {
			r := base()
			r.q.Items, r.q.Exclude, r.q.Allergen = []Item{it}, nil, nil
			r.used[s.names[0]] = true
			r.extra--
			out = append(out, r)
		}
	}
	// another recipe, the rest as before
	for _, p := range append(s.picks(), s.oneLike(last)...) {
		if p.talk || last.Want == WantUses { // which recipes have it is of none of them
			continue
		}
		r := base()
		r.extra += p.cost
		if s.after(p.spans[0]) == "one" && last.namesRecipe() && !sameHead(p.targets[0].Recipe, last.Targets[0].Recipe) && !s.oneHas(p.spans[0]) {
			r.extra += 6 // "the brown butter one" is an ice cream after an ice cream
		}
		if n := len(p.spans); n > 1 && !s.any(cueWhatabout, cueSame) && s.joins(p.spans[0], p.spans[n-1]) {
			r.extra += 3 // "milk dough in the knots" asks of its own
		}
		line := s.lineOf(last, p.spans[0])
		if last.namesRecipe() && p.targets[0].Part && !line && sharesWord(p.targets[0].Recipe.Name, last.Targets[0].Recipe.Name) {
			r.extra -= costPart // "the walnut one": of the same kind as the last
		}
		for _, i := range p.spans {
			r.used[i] = true
		}
		r.targets = slices.Clone(p.spans)
		old := r.q.Targets
		r.q.Targets = slices.Clone(p.targets)
		for k := range r.q.Targets {
			if len(old) > 0 {
				r.q.Targets[k].Scale = keepScale(old[0].Scale)
			}
		}
		if last.Want == WantAmount && last.Missing == MissingNothing {
			for k := range r.q.Items { // the items must fit the new recipe too
				_, c := r.q.Items[k].match(r.q.Targets[0].Recipe)
				r.extra += min(c, 4)
			}
		}
		if !marked {
			r.extra++
		}
		switch {
		case !line || s.any(cueSame):
		case last.Want == WantAmount:
			r.extra += 3 // "what about the sponge": of the same plate
		case last.Want == WantCard && len(s.quant) == 0 && sizedAny(last.Targets) && !s.any(cueCard, cueIngredients):
			r.extra += 6 // "and the crumble was?" of the plates just listed
		case last.Want == WantCard && s.any(cueOnly):
			r.extra += 6 // "just the gel"
		}
		for _, rr := range s.resized(r, p) {
			if last.Want == WantAmount && len(s.names) > len(p.spans) { // "the cinnamon one, sugar"
				rr = s.otherItems(rr, last)
			}
			out = append(out, rr)
		}
	}
	// another size, other ingredients, another unit of the same recipes
	if len(last.Targets) > 0 && last.Targets[0].Recipe != nil || last.Missing == MissingRecipe {
		r := base()
		p := pick{targets: r.q.Targets, talk: true}
		if last.Missing != MissingRecipe {
			for _, rr := range s.resized(r, p) {
				if last.unsized() && slices.ContainsFunc(s.quant, func(i int) bool { return rr.used[i] }) {
					continue
				}
				rr := s.otherItems(rr, last)
				switch {
				case s.inRecipe():
					rr.extra += 8
				case s.sizesRecipe() && !s.any(cueWhatabout, cueSame):
					rr.extra += 3
				}
				s.unit(&rr)
				if slices.Contains(rr.used, true) {
					if sizedAny(rr.q.Targets) && rr.q.About == "lookup" && rr.q.Want == WantAmount {
						rr.q.About = "scale"
					}
					out = append(out, rr)
				}
			}
		}
		if last.Want == WantCard && s.any(cueOnly) { // "just the gel" of the list
			r := base()
			r.q.Want, r.q.Items, r.q.Exclude = WantAmount, nil, nil
			r.consumes = r.consumes.with(cueOnly)
			if r, some := s.restItems(r); some {
				r.extra -= 2
				out = append(out, r)
			}
		}
	} else if len(s.units) > 0 || last.Want == WantConvert {
		r := base()
		s.unit(&r)
		if last.Want == WantConvert {
			for _, i := range s.quant {
				if sp := s.span(i); sp.kind == spanQuantity && sp.q.Ambiguous == nil {
					r.q.Quantity, r.q.QuantityHi = sp.q.Q, sp.q.Hi
					if sp.q.Q.Unit.Symbol == "" {
						r.q.Quantity = quantity.Of(sp.q.Q.N, last.Quantity.Unit)
						if sp.q.Hi != nil {
							hi := quantity.Of(sp.q.Hi.N, last.Quantity.Unit)
							r.q.QuantityHi = &hi
						}
					}
					r.used[i] = true
					break
				}
			}
			for _, i := range s.names {
				if it, ok := s.item(i); ok {
					r.q.Items = []Item{it}
					r.used[i] = true
					break
				}
			}
		}
		if slices.Contains(r.used, true) {
			out = append(out, r)
		}
	}
	if len(s.allergens) > 0 && (last.Want == WantAllergens || last.Want == WantMenuFor) {
		r := base()
		r.q.Allergen = nil
		s.takeAllergens(&r)
		r.extra++
		if i := s.allergens[0]; s.after(i) == "one" { // "the barley one"
			r.extra += 6
		}
		out = append(out, r)
	}
	return out
}

// asksInRecipe reports whether something is asked of a recipe written out behind
// "in": a question of its own, whatever was spoken of.
func (s *sense) asksInRecipe() bool {
	return !s.any(cueSwap, cueWith, cueWithout) && slices.ContainsFunc(s.names, func(i int) bool {
		o := s.recipesOf(i, 1)
		return len(o) > 0 && !o[0].part && s.precededBy(i, cueIn) && slices.ContainsFunc(s.p.spans[:i], func(sp span) bool { return sp.kind == spanName || sp.kind == spanAllergen })
	})
}

// backToSize reports whether span i is the "back to" of "back to 26", after a size.
func (s *sense) backToSize(i int) bool {
	return i == 0 && s.l.tokens[0].plain == "back" && len(s.quant) == 1 && len(s.names) == 0 && s.ctx != nil && sizedAny(s.ctx.Targets)
}

// inRecipe reports whether an ingredient is asked for in a recipe written out:
// "gelatine in the pastry cream" is of no other.
func (s *sense) inRecipe() bool {
	for x, i := range s.names {
		for _, j := range s.names[x+1:] {
			if o := s.recipesOf(j, 1); len(o) > 0 && !o[0].part && s.joins(i, j) {
				return true
			}
		}
	}
	return false
}

// sizesRecipe reports whether a size stands before a recipe written out: a thought
// of its own, "half a batch pastry cream, starch".
func (s *sense) sizesRecipe() bool {
	return len(s.names) > 1 && slices.ContainsFunc(s.quant, func(i int) bool {
		j := s.next(i)
		if j < 0 || s.span(j).kind != spanName {
			return false
		}
		o := s.recipesOf(j, 1)
		return len(o) > 0 && !o[0].part
	})
}

// saidAllergens are the allergens that the words name, whatever way through the
// message was taken; the words of a recipe's name are none.
func (s *sense) saidAllergens() []recipe.Allergen {
	var out []recipe.Allergen
	for k := range s.l.tokens {
		a, _, ok := s.l.allergenAt(k)
		if !ok || slices.Contains(out, a) || slices.ContainsFunc(s.names, func(i int) bool {
			return s.span(i).from <= k && k < s.span(i).to && s.l.recipeAt(s.span(i))
		}) {
			continue
		}
		out = append(out, a)
	}
	return out
}

// per is what the message asks a figure for: a cover, a piece, a batch.
func (s *sense) per() Per {
	switch {
	case s.any(cuePortion):
		return PerCover
	case s.any(cuePiece):
		return PerPiece
	case s.any(cueBatch, cueOnebatch):
		return PerBatch
	}
	return PerDefault
}

// namesRecipe reports whether the question is about a recipe that is known.
func (q *Question) namesRecipe() bool { return len(q.Targets) > 0 && q.Targets[0].Recipe != nil }

// oneLike are the recipes that "the brown butter one" means after one of the
// same kind: those words in the name, and the last word of the last recipe's.
func (s *sense) oneLike(last *Question) []pick {
	if !last.namesRecipe() {
		return nil
	}
	var out []pick
	for _, i := range s.names {
		if s.after(i) != "one" {
			continue
		}
		typed := name.Words(s.text(i))
		for _, r := range s.l.x.recipes {
			words := name.Words(r.Name)
			has := func(w string) bool { return slices.Contains(words, w) }
			if len(words) > len(typed) && r != last.Targets[0].Recipe && sameHead(r, last.Targets[0].Recipe) && !slices.ContainsFunc(typed, func(w string) bool { return !has(w) }) {
				out = append(out, pick{targets: []Target{{Recipe: r}}, spans: []int{i}, cost: 1})
			}
		}
		if opts := s.recipesOf(i, 2); len(out) == 0 && s.oneHas(i) && opts[0].recipe != last.Targets[0].Recipe { // "the laminated one", one alone
			out = append(out, pick{targets: []Target{{Recipe: opts[0].recipe}}, spans: []int{i}, cost: 1})
		}
	}
	return out
}

// oneHas reports whether one recipe alone has the words of span i in its names, and
// no ingredient is called so.
func (s *sense) oneHas(i int) bool {
	return len(s.recipesOf(i, 2)) == 1 && !s.l.ingredientAt(s.span(i))
}

// sameHead reports whether two recipes' names end in the same word.
func sameHead(a, b *kb.Recipe) bool {
	x, y := name.Words(a.Name), name.Words(b.Name)
	return len(x) > 0 && len(y) > 0 && x[len(x)-1] == y[len(y)-1]
}

// sharesWord reports whether two names have a word in common.
func sharesWord(a, b string) bool {
	words := name.Words(b)
	return slices.ContainsFunc(name.Words(a), func(w string) bool { return len(w) > 2 && slices.Contains(words, w) })
}

// lineOf reports whether span i names a line of the last question's recipe.
func (s *sense) lineOf(last *Question, i int) bool {
	it, ok := s.item(i)
	if !ok {
		return false
	}
	for _, t := range last.Targets {
		if t.Recipe == nil {
			continue
		}
		if lines, _ := it.Lines(t.Recipe); len(lines) > 0 {
			return true
		}
	}
	return false
}

// keepScale is the size that goes over to another recipe.
func keepScale(sc Scale) Scale {
	if sc.Kind == ScaleGiven || sc.Mould != nil {
		return Scale{}
	}
	return sc
}

// resized replaces the size where the message gives one.
func (s *sense) resized(r reading, p pick) []reading {
	if len(s.quant) == 0 {
		return []reading{r}
	}
	old := make([]Scale, len(r.q.Targets))
	for k := range r.q.Targets {
		old[k] = r.q.Targets[k].Scale
		r.q.Targets[k].Scale = Scale{}
	}
	out := s.sized(r, p)
	for i := range out {
		for k := range out[i].q.Targets {
			if out[i].q.Targets[k].Scale.Kind == ScaleNone {
				out[i].q.Targets[k].Scale = old[k]
			}
		}
	}
	return out
}

// otherItems replaces the ingredients where the message names some, and leaves
// out what it excludes.
func (s *sense) otherItems(r reading, last *Question) reading {
	r = r.clone()
	had := r.q.Items
	r.q.Items = nil
	r, some := s.restItems(r)
	if !some {
		r.q.Items = had
	} else if r.q.Want != WantAmount {
		if c, ok := contentNames[name.Fold(r.q.Items[0].Text)]; ok && r.q.Want == WantContent {
			r.q.Content, r.q.Items = []Content{c}, had
			return r
		}
		switch r.q.Want {
		case WantCard, WantMakes, WantMakeable, WantNothing:
			r.q.Want, r.q.About = WantAmount, "lookup"
		default:
			r.extra += 8
		}
	}
	return r
}

// outRecipe returns the faulty recipe that the message names, if any.
func (s *sense) outRecipe() string {
	for _, i := range s.names {
		if n := s.isOut(i); n != "" {
			return n
		}
	}
	return ""
}

// frameUnbuilt understands kinds of questions that cannot be answered yet, so
// that they are not taken for others.
func frameUnbuilt(s *sense) []reading {
	kinds := []struct {
		cue   cue
		about string
	}{
		{cueRescue, "rescue"}, {cueHistory, "history"}, {cuePlan, "plan"}, {cuePrep, "prep"}, {cueOrder, "order"},
		{cueStock, "stock"}, {cueBalance, "balance"}, {cueTimer, "timer"}, {cueGel, "gel"}, {cueReduce, "reduce"}, {cueReading, "reduce"},
	}
	var out []reading
	for _, k := range kinds {
		if !s.any(k.cue) {
			continue
		}
		r := s.reading(WantUnbuilt, k.about)
		r.consumes = plainCues.or(sizeCues).with(k.cue, cueHowmuch, cueHowmany, cueWhen, cueHowlong, cueWith, cueWithout, cueNot, cueOnly)
		for i := range s.p.spans {
			if sp := s.span(i); sp.kind != spanCue && sp.kind != spanUnused {
				r.used[i] = true
			}
			if sp := s.span(i); sp.kind == spanName {
				for _, o := range s.recipesOf(i, 1) {
					r.q.Targets = append(r.q.Targets, Target{Recipe: o.recipe})
				}
			}
		}
		r.extra = 4
		if k.cue == cueRescue || k.cue == cueGel || k.cue == cueReduce || k.cue == cueReading || k.cue == cueStock {
			r.extra = 11
		}
		if k.cue == cuePrep && s.saysOf("do") && len(s.quant) > 0 && len(s.names) > 0 {
			r.extra = 14 // "8 trays to do, how much flour"
		}
		out = append(out, r)
	}
	return out
}

// unsized reports whether no size changes what was asked: what was poured sets a
// rescue's own, and lists of recipes have none.
func (q *Question) unsized() bool {
	return q.Want == WantRescue || q.Want == WantUses || q.Want == WantMenuFor
}
