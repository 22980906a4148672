package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// plainCues are words that any question may hold without meaning more.
var plainCues = cueSet{}.with(cueFiller, cueIn, cueFor, cueOf, cueWith, cueFrom, cueAnd, cueWhatabout, cueSame, cueThat, cueThanks, cueGreet, cueYes)

// start begins a reading on a pick.
func (s *sense) start(w Want, about string, p pick) reading {
	r := s.reading(w, about)
	r.q.Targets = slices.Clone(p.targets)
	r.extra = p.cost
	r.q.FromTalk = p.talk
	for _, i := range p.spans {
		r.used[i] = true
	}
	r.targets = slices.Clone(p.spans)
	r.consumes = plainCues
	if from, to, ok := s.planned(); ok {
		for i := range s.p.spans {
			r.used[i] = r.used[i] || s.span(i).from >= from && s.span(i).to <= to
		}
	}
	if s.byVerb(p) {
		r.used[p.spans[0]+1] = true
		r.extra -= costPartHead
		return r
	}
	if !p.talk && len(s.p.spans) > 1 && len(p.targets) == 1 && p.targets[0].Part && s.l.ingredientAt(s.span(p.spans[0])) && !s.onlyHere(p) && !s.makesOwn(w, p) && !s.ownPart(p) {
		switch w { // only a recipe can answer these
		case WantKeeps, WantSteps, WantAllergens, WantReading, WantReady, WantUseBy, WantLatest, WantWhere:
			r.extra++
		default:
			r.extra += costIngredient
			r.q.Guessed = w == WantMethod || w == WantCard || w == WantMakes || w == WantContent
		}
	}
	return r
}

// byVerb reports whether a part of a recipe's name has the verb behind it that its
// name begins with: "trout cure" of cured trout.
func (s *sense) byVerb(p pick) bool {
	if p.talk || len(p.spans) != 1 || len(p.targets) != 1 || !p.targets[0].Part || p.targets[0].Recipe == nil {
		return false
	}
	j := p.spans[0] + 1
	if j >= len(s.p.spans) || s.span(j).kind != spanCue || !s.span(j).cues.meets(verbCues) || s.span(j).to != s.span(j).from+1 || s.l.tokens[s.span(j).from].breaks {
		return false
	}
	own := name.Words(p.targets[0].Recipe.Name)
	w := s.l.tokens[s.span(j).from].plain
	return len(own) == 1+s.span(p.spans[0]).to-s.span(p.spans[0]).from && (own[0] == w+"d" || own[0] == w+"ed")
}

// makesOwn reports whether a pick's word, which is a food on no line of the book,
// ends one recipe's name, and something is to be made: "900 g brine" of a sweet brine.
func (s *sense) makesOwn(w Want, p pick) bool {
	if w != WantCard && w != WantAmount || len(s.names) > 1 && w == WantCard {
		return false
	}
	sp := s.span(p.spans[0])
	return s.l.endsOne(sp) && !slices.ContainsFunc(s.l.starts[sp.from], func(o span) bool {
		return o.kind == spanName && o.to == sp.to && slices.ContainsFunc(o.names, func(h hit) bool {
			e := &s.l.x.entries[h.id]
			return !h.part && (e.Kind == kb.IngredientName || e.Kind == kb.IngredientAlias) && (e.InBook || e.Item == nil || e.Item.House)
		})
	})
}

// onlyHere reports whether a pick's words end its recipe's name and are, as an
// ingredient, on no line of the book: "cherry jam" of "black cherry jam".
func (s *sense) onlyHere(p pick) bool {
	sp := s.span(p.spans[0])
	if sp.to-sp.from < 2 {
		return false
	}
	if it, ok := s.item(p.spans[0]); !ok || it.InBook {
		return false
	}
	return strings.HasSuffix(name.Fold(p.targets[0].Recipe.Name), " "+s.folded(sp))
}

// ownPart reports whether a pick's word is an ingredient's name only because the
// recipe calls a part of its lines so: "cake" of "semolina cake".
func (s *sense) ownPart(p pick) bool {
	sp := s.span(p.spans[0])
	f := s.folded(sp)
	if !slices.ContainsFunc(p.targets[0].Recipe.Lines, func(l kb.Line) bool { return l.Part != "" && name.Fold(l.Part) == f }) {
		return false
	}
	for _, o := range s.l.starts[sp.from] { // whatever way through the message was taken: "cream" is a food
		if o.kind == spanName && o.to == sp.to && slices.ContainsFunc(o.names, func(h hit) bool { return !h.part && s.l.x.entries[h.id].Item != nil }) {
			return false
		}
	}
	it, ok := s.item(p.spans[0])
	return ok && it.Larder == nil && s.l.x.linesWith(&it, 0) == 0
}

// unit takes a unit asked for: "in grams", "how many oz".
func (s *sense) unit(r *reading) {
	for _, i := range s.units {
		if w := s.before(i); w == "a" || w == "one" {
			continue // "a cup of it in g"
		}
		if !r.used[i] && !r.q.HasUnit {
			r.q.Unit, r.q.HasUnit = s.span(i).unit, true
			r.used[i] = true
		}
	}
	if n := len(s.l.tokens) - 1; n > 0 && !r.q.HasUnit && s.l.tokens[n].plain == "f" && !s.l.tokens[n].breaks { // "mousse temp F"
		i, b := s.spanAt(n), s.spanAt(n-1)
		if i >= 0 && b >= 0 && s.span(b).kind == spanCue && s.span(b).cues.has(cueTemp) && s.span(i).kind == spanUnused {
			r.q.Unit, r.q.HasUnit = quantity.Fahrenheit, true
			r.used[i] = true
		}
	}
}

// frameAmount: how much of what.
func frameAmount(s *sense) []reading {
	var out []reading
	picks := s.picks()
	for _, p := range picks {
		for _, r := range s.sized(s.start(WantAmount, "lookup", p), p) {
			r, some := s.restItems(r)
			if !some && p.talk && s.ctx != nil && s.ctx.Last != nil && s.ctx.Last.Want == WantAmount && len(s.ctx.Items) > 0 && sizedAny(r.q.Targets) {
				r.q.Items = slices.Clone(s.ctx.Items)
				some = true
			}
			if !some {
				continue
			}
			s.inParts(&r)
			s.inStepOf(&r)
			s.bothOf(&r)
			if s.any(cueAllergen) && !s.any(cueHowmuch, cueHowmany) && !sizedAny(r.q.Targets) {
				r.extra += 6 // "what allergens in the baba with butter"
			}
			if s.allByHave(&r) {
				r.extra += 4 // "4 kg fillet, all of it": the whole list by what there is
			}
			if p.talk && s.any(cueWeigh) && !s.any(cueHowmuch, cueHowmany) && len(s.quant) == 1 && slices.Contains(s.names, s.quant[0]+1) {
				r.extra += 6 // "6 yolks weigh" stands for itself
			}
			if p.talk && s.l.says("how", "many", "grams") && len(s.quant) == 1 && slices.Contains(s.names, s.quant[0]+1) {
				r.extra += 6 // "6 yolks how many grams" too
			}
			if p.talk && s.inIt() && len(s.quant) == 0 {
				r.extra -= costLostItem // "any honey in it?" of what is spoken of, honey or not
			}
			if s.onePartOfOther(p) {
				r.extra += 6 // "gel for 40 plates, agar": so many plates, not so many batches of the gel
			}
			if s.any(cueFill) && s.saysOf("every", "all", "each") && !sizedAny(r.q.Targets) {
				r.extra += costNumber // a size that was not read
			}
			if s.leavesItem(&r) {
				r.extra += 4 // "shoulder and fat": the back fat of the recipe, no share of fat
			}
			if p.talk && s.any(cueSame) && s.ctx != nil && s.ctx.Last != nil && s.ctx.Last.Want == WantSteps {
				r.extra += 8 // "same for the soda": asks of its own oven, not for soda
			}
			if len(r.q.Targets) == 1 && r.q.Targets[0].Part && !r.q.FromTalk { // half a name for both is a guess
				for k := range r.q.Items {
					if m, _ := r.q.Items[k].match(r.q.Targets[0].Recipe); m == partMatch {
						r.q.Guessed = r.q.Guessed || !sizedAny(r.q.Targets)
						r.extra++
					}
				}
			}
			s.unit(&r)
			if u, ok := s.volumeAsked(); ok && !r.q.HasUnit && len(r.q.Items) == 1 && s.byWeight(r) { // "how many ml of milk in one batch"
				r.q.Unit, r.q.HasUnit = u, true
			}
			for _, i := range s.clock { // "it's 21:40 and they added 9"
				r.used[i] = true
				if s.span(i).clock.HasTime {
					r.extra += 2
				}
			}
			if s.any(cueOrder) && (s.any(cueHowmuch, cueHowmany) || s.ordersOne()) { // what to buy for it
				r.q.Gross = true
				r.consumes = r.consumes.with(cueOrder)
			}
			if s.any(cueUsable) {
				r.q.Gross, r.q.Net = true, s.trimmedSaid()
				r.consumes = r.consumes.with(cueUsable, cueOrder)
			}
			if !p.talk && s.ctx != nil && len(s.ctx.Targets) > 0 && s.any(cueSame) && !sizedAny(r.q.Targets) { // "same for the rye bread, salt"
				for k := range r.q.Targets {
					r.q.Targets[k].Scale = keepScale(s.ctx.Targets[0].Scale)
				}
			}
			if p.talk && s.any(cueOnebatch) && !sizedAny(r.q.Targets) {
				r.q.Targets[0].Scale = Scale{Kind: ScaleFactor, N: one}
			}
			if s.toFinish(r) { // "butter to finish the jus"
				r.consumes = r.consumes.with(cueSetready)
				r.extra -= 2
			}
			if s.finishedSize() { // "2 kg finished, salt"
				r.consumes = r.consumes.with(cueSetready)
			}
			r.consumes = r.consumes.with(cueHowmuch, cueHowmany, cueWeigh, cueTotal, cueAll, cueOnly, cueFill, cueMoulds, cueCovers, cuePortion, cuePiece,
				cueEnough, cueIngredients, cueYield, cueContain, cueCard, cueGel)
			s.rescaled(&r)
			if sizedAny(r.q.Targets) || s.any(cueHowmuch, cueHowmany) {
				r.consumes = r.consumes.with(cueMakeable)
			}
			if sizedAny(r.q.Targets) && s.saysOf("do") {
				r.consumes = r.consumes.with(cuePrep) // "8 trays to do"
			}
			if s.any(cueExtra) {
				r.consumes = r.consumes.with(cueExtra)
				for k := range r.q.Targets {
					r.q.Targets[k].Scale.Spare = true
				}
			}
			if len(r.targets) == 1 && !sizedAny(r.q.Targets) && s.oneOf(r) {
				if w := s.before(r.targets[0]); (w == "single" || w == "individual" || w == "per") && !isBatchWord(name.Singular(s.after(r.targets[0]))) {
					r.q.Targets[0].Scale = Scale{Kind: ScalePieces, N: one, Text: w}
				} else {
					r.extra += 4
				}
			}
			if !s.any(cueHowmuch, cueHowmany, cueWeigh) && !sizedAny(r.q.Targets) {
				r.extra++
				r.q.Guessed = r.q.Targets[0].Part
			}
			if len(r.q.Items) > 1 && !r.q.Lost && !slices.ContainsFunc(r.q.Items, func(it Item) bool { m, _ := it.match(r.q.Targets[0].Recipe); return m == noMatch }) {
				r.q.Guessed = false // "yolk, cream, sugar for the domes": one guess may be wrong, not all
			}
			s.keepSize(&r, p)
			if sizedAny(r.q.Targets) {
				r.q.About = "scale"
			}
			out = append(out, r)
		}
	}
	if (len(picks) == 0 || !s.namesRecipe()) && !(s.inIt() && s.ctx != nil && len(s.ctx.Targets) > 0) {
		out = append(out, s.amountWithoutRecipe()...)
	}
	return out
}

// inIt reports whether "in it", "in that" stands in the message.
func (s *sense) inIt() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		if s.l.tokens[k-1].plain == "in" && slices.Contains([]string{"it", "that", "this", "them", "those"}, s.l.tokens[k].plain) && (k+1 == len(s.l.tokens) || s.l.tokens[k+1].breaks) {
			return true
		}
	}
	return false
}

// keepSize goes on with the size of the talk where the message gives none: what
// was asked of three batches is asked of them still.
func (s *sense) keepSize(r *reading, p pick) {
	if !p.talk && s.ctx != nil && len(s.ctx.Targets) == 1 && len(p.targets) == 1 && p.targets[0].Recipe == s.ctx.Targets[0].Recipe && s.saysOf("that") && s.any(cueHowmany) && !sizedAny(r.q.Targets) { // "how many bars does that make"
		r.q.Targets[0].Scale = s.ctx.Targets[0].Scale
		r.extra -= 3
		return
	}
	if !p.talk || sizedAny(r.q.Targets) || s.any(cueOnebatch) || s.saysOneBatch() {
		return
	}
	for k := range r.q.Targets {
		r.q.Targets[k].Scale = s.ctx.Targets[k].Scale
	}
}

// sizedOn is sized, going on with the size of the talk where the message gives none.
func (s *sense) sizedOn(r reading, p pick) []reading {
	out := s.sized(r, p)
	for i := range out {
		s.keepSize(&out[i], p)
	}
	return out
}

// saysOneBatch reports whether "one batch", "per batch" stands in the message.
func (s *sense) saysOneBatch() bool {
	for k := 1; k < len(s.l.tokens); k++ {
		if !isBatchWord(s.l.tokens[k].fold) {
			continue
		}
		switch s.l.tokens[k-1].plain {
		case "one", "a", "per", "each", "every", "single", "1":
			return true
		}
	}
	return false
}

// oneOf reports whether one piece of what a recipe makes is meant: "one walnut
// dome", "a single tuile", but not "one batch".
func (s *sense) oneOf(r reading) bool {
	if p := r.q.Targets[0].Recipe; p == nil || pieceWord(p) == "" {
		return false
	}
	switch s.before(r.targets[0]) {
	case "one", "1", "per":
		return true
	case "single", "individual", "baked", "finished", "cooked", "frozen":
		f := s.span(r.targets[0]).from
		return f > 1 && slices.Contains([]string{"one", "a", "each", "per", "1"}, s.l.tokens[f-2].plain)
	}
	return false
}

// namesRecipe reports whether some name is a recipe written out.
func (s *sense) namesRecipe() bool {
	for _, i := range s.names {
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part {
			return true
		}
	}
	return false
}

func sizedAny(ts []Target) bool {
	return slices.ContainsFunc(ts, func(t Target) bool { return t.Scale.Kind != ScaleNone })
}

// frameCard: a whole recipe at a size.
func frameCard(s *sense) []reading {
	var out []reading
	if len(s.names) == 0 && (s.ctx == nil || len(s.ctx.Targets) == 0) {
		for _, i := range s.quant { // "half batch" of what?
			if sp := s.span(i); sp.kind == spanFactor {
				r := s.reading(WantCard, "scale")
				r.q.Targets = []Target{{Scale: Scale{Kind: ScaleFactor, N: sp.factor}}}
				r.q.Missing = MissingRecipe
				r.used[i] = true
				r.consumes = plainCues.or(sizeCues).with(cueCard, cueAll)
				r.extra = costNoRecipe
				out = append(out, r)
			}
		}
	}
	if r, ok := s.sizeAlone(); ok {
		out = append(out, r)
	}
	for _, p := range s.picks() {
		if p.talk && !s.any(cueCard, cueAll, cueIngredients) {
			continue
		}
		for _, r := range s.sized(s.start(WantCard, "card", p), p) {
			r.consumes = r.consumes.with(cueCard, cueAll, cueIngredients, cueTotal, cueWeigh, cueCovers, cuePortion, cuePiece, cueFill, cueMoulds, cueOnly, cueMakeable, cueEnough)
			s.rescaled(&r)
			if s.onePartOfOther(p) {
				r.extra += 6 // "eclair 60 choux?": of the one in the other
			}
			if s.saysOf("cores") && s.any(cueCore) && s.lineWord(p, "core") {
				r.extra += 6 // "cores for 60 parfaits" asks for these
			}
			if s.saysNone() { // what is missing more often than what is left out
				r.extra += 4
			}
			if s.any(cueWeigh) && !s.any(cueCard, cueAll, cueIngredients) { // "what do 40 domes weigh"
				r.extra += 2
			}
			r = s.excluded(r)
			s.onlyParts(&r)
			if s.any(cueHowmuch, cueHowmany) {
				r.extra++
				if sizedAny(r.q.Targets) && r.q.Targets[0].Scale.Kind == ScaleGiven {
					r.extra += 2
				}
				if sizedAny(r.q.Targets) {
					r.consumes = r.consumes.with(cueHowmuch)
				}
			}
			if !s.any(cueCard, cueAll, cueIngredients) && !sizedAny(r.q.Targets) {
				r.extra += 2
				if !p.talk && s.ctx != nil && s.ctx.Last != nil && sizedAny(s.ctx.Targets) && s.lineOf(s.ctx.Last, p.spans[0]) {
					r.extra += 3 // "sponge", of the plates spoken of
				}
				r.q.Guessed = true
				if s.ctx != nil && s.ctx.Last != nil && s.any(cueSame, cueWhatabout) { // it goes on from the last line
					r.extra += 4
				}
			}
			if s.any(cueMakeable) && s.saysOf("many", "much") && r.q.Targets[0].Scale.Kind == ScaleGiven && !s.any(cueCard, cueAll, cueIngredients) {
				r.extra += 2
			}
			if s.any(cueTotal) && sizedAny(r.q.Targets) && !s.any(cueCard, cueAll, cueIngredients) {
				r.extra += 2 // the sum is asked for, not the list
			}
			if s.any(cueExtra) {
				r.consumes = r.consumes.with(cueExtra)
				for k := range r.q.Targets {
					r.q.Targets[k].Scale.Spare = true
				}
			}
			s.keepSize(&r, p)
			if sizedAny(r.q.Targets) {
				r.q.About = "scale"
			}
			if s.asksVolume() && r.q.Targets[0].Scale.Kind == ScaleMass {
				r.extra += 8 // "how many litres is 4 kg of it"
			}
			s.unit(&r)
			out = append(out, r)
		}
	}
	return out
}

// sizeAlone reads "for 40 please": of which recipe is asked.
func (s *sense) sizeAlone() (reading, bool) {
	if len(s.names) > 0 || len(s.quant) != 1 || s.ctx != nil && len(s.ctx.Targets) > 0 {
		return reading{}, false
	}
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Q.Unit.Symbol != "" || sp.q.Q.N.Sign() <= 0 || !s.precededBy(i, cueFor) && s.before(i) != "for" && s.before(i) != "need" && !s.ofThem(i) && !(i+1 < len(s.p.spans) && s.span(i+1).kind == spanCue && s.span(i+1).cues.has(cueCovers)) {
		return reading{}, false
	}
	r := s.reading(WantCard, "scale")
	r.q.Targets = []Target{{Scale: Scale{Kind: ScaleFor, N: sp.q.Q.N}}}
	r.q.Missing = MissingRecipe
	r.used[i] = true
	r.consumes = plainCues.or(sizeCues).with(cueCovers, cuePortion)
	r.extra = costNoRecipe
	return r, true
}

// rescaled uses up the words of "scale it up to 3 kg", which elsewhere mean a
// change, a reduction or a scale.
func (s *sense) rescaled(r *reading) {
	if (s.any(cueRescale) || len(s.quant) > 0 && s.resizesIt(s.quant[len(s.quant)-1])) && sizedAny(r.q.Targets) {
		r.consumes = r.consumes.with(cueRescale, cueChange, cueReduce, cueReading)
	}
}

// excluded takes the names after "without" as left out.
func (s *sense) excluded(r reading) reading {
	r = r.clone()
	without := false
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind == spanCue {
			if sp.cues.has(cueWithout) || sp.cues.has(cueNot) {
				without = true
				continue
			}
			if !light(sp.cues) && !sp.cues.has(cueAnd) && !sp.cues.has(cueOr) && !andWord(s.l.tokens[sp.from].plain) {
				without = false
			}
		}
		without = without && sp.kind != spanFactor
		if sp.kind != spanName || r.used[i] || !without {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		cost := costLostItem
		for _, t := range r.q.Targets {
			if m, c := it.match(t.Recipe); m != noMatch {
				cost = min(cost, c)
			}
		}
		r.used[i] = true
		r.extra += cost
		r.q.Exclude = append(r.q.Exclude, it)
		r.consumes = r.consumes.with(cueWithout, cueNot)
	}
	return r
}

// frameParts: what is in it, names only.
func frameParts(s *sense) []reading {
	if !s.any(cueIngredients) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(s.quant) > 0 {
			continue
		}
		r := s.start(WantCard, "card", p)
		r.consumes = r.consumes.with(cueIngredients, cueAll, cueCard, cueHowmuch, cueHowmany)
		out = append(out, r)
	}
	return out
}

// dropTimes uses up a time unit asked for: "in days", "how many days".
func (s *sense) dropTimes(r *reading) {
	for _, i := range s.units {
		if s.span(i).unit.Dim == quantity.Time {
			r.used[i] = true
			r.q.Unit, r.q.HasUnit = s.span(i).unit, true
		}
	}
}

// place is the cold place that the message names, by its kind.
func (s *sense) place() string {
	for _, i := range s.names {
		if t := s.thingOf(i, kb.ColdName); t != nil && !s.depthWord(i) {
			return t.Text
		}
	}
	for i := range s.p.spans {
		if s.span(i).kind != spanCue {
			continue
		}
		for k := s.span(i).from; k < s.span(i).to; k++ {
			switch s.l.tokens[k].fold {
			case "fridge", "freezer":
				return s.l.tokens[k].fold
			}
		}
	}
	for k := range s.l.tokens { // "cold proof"
		if s.l.tokens[k].plain == "cold" && s.cues.meets(cueSet{}.with(cueVerbProof, cueVerbRest, cueVerbInfuse)) {
			return "fridge"
		}
	}
	return ""
}

// keptIn is the place that is said, or the freezer of "frozen on 1 may, use by".
func (s *sense) keptIn() string {
	place := s.place()
	if place == "" && s.saysOf("frozen") && !s.any(cueVerbThaw) && !s.saysOf("thawed", "defrosted") {
		return "freezer"
	}
	return place
}

func (s *sense) usePlace(r *reading) {
	for _, i := range s.names {
		if s.thingOf(i, kb.ColdName) != nil {
			r.used[i] = true
		}
	}
}

// frameWhere: where it is kept or goes.
func frameWhere(s *sense) []reading {
	if !s.any(cueWhere, cueVessel) || s.saysOf("days", "weeks", "months") && !s.saysOf("where", "which") { // "days for it in the dry store"
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		r := s.start(WantWhere, "lookup", p)
		r.consumes = r.consumes.or(verbCues).with(cueWhere, cueKeeps, cueVessel, cuePan, cueMoulds, cueReduce)
		r.q.Verbs = s.verbs()
		out = append(out, r)
	}
	return out
}

// partOfOther reports whether one of several recipes goes into another of them.
func partOfOther(p pick) bool {
	for _, a := range p.targets {
		for _, b := range p.targets {
			if a.Recipe != nil && b.Recipe != nil && slices.ContainsFunc(b.Recipe.Lines, func(l kb.Line) bool { return l.Link == a.Recipe }) {
				return true
			}
		}
	}
	return false
}

// frameMoulds: how many moulds or trays a batch fills.
func frameMoulds(s *sense) []reading {
	need := s.mouldNeeded() || s.manyFilled()
	many := s.any(cueHowmany) || s.traysFor() || s.mouldsAsked() || need
	if !s.any(cueMoulds) && !need || !many && !s.any(cueFill) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		for _, r := range s.sized(s.start(WantMoulds, "scale", p), p) {
			r.consumes = r.consumes.with(cueMoulds, cueHowmany, cueFill, cueYield, cueEnough, cueMakeable, cueOnly)
			if s.mouldsAsked() || need {
				r.consumes = r.consumes.with(cueLatest)
			}
			s.keepSize(&r, p)
			for _, i := range s.names {
				if t := s.mouldFor(i, r.q.Targets[0].Recipe); t != nil && !r.used[i] {
					r.q.Thing = t
					r.used[i] = true
				}
			}
			switch {
			case !many:
				r.extra += 3
			case !s.any(cueHowmany):
				r.extra -= 4 // "trays for the sponge x3" is no card
			}
			out = append(out, r)
		}
	}
	return out
}

// frameBatches: how many batches of a machine.
func frameBatches(s *sense) []reading {
	var machine *kb.Name
	at := -1
	for _, i := range s.names {
		if t := s.thingOf(i, kb.MachineName); t != nil {
			machine, at = t, i
		}
	}
	if s.dividedBy() || !s.any(cueBatchsplit) && machine == nil && !(s.any(cueHowmany) && s.any(cueBatch)) {
		return nil
	}
	if !s.any(cueBatchsplit, cueHowmany, cueBatch) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if at >= 0 && slices.Contains(p.spans, at) {
			continue
		}
		for _, r := range s.sized(s.start(WantBatches, "scale", p), p) {
			r.consumes = r.consumes.with(cueBatchsplit, cueHowmany, cueBatch, cueVerbChurn, cueFill, cueCapacity, cueMakeable)
			if machine == nil && s.saysOf("batch", "batches", "mix", "mixes") && !s.any(cueVerbChurn) && !s.saysOf("split", "divide", "divided", "equal", "load", "loads", "round", "rounds", "go", "machine") {
				r.q.Per = PerBatch // of the recipe, not of what the machine holds
			}
			s.keepSize(&r, p)
			if at >= 0 {
				r.q.Thing = machine
				r.used[at] = true
			} else {
				r.extra++
			}
			out = append(out, r)
		}
	}
	return out
}
