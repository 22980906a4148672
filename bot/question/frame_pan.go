package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// panOf finds the pan that the message names; "stock" alone is no stock pot.
func (s *sense) panOf() (int, *kb.Name) {
	for _, i := range s.names {
		t := s.thingOf(i, kb.PanName)
		if t == nil || s.partOfPan(i) && (s.foodWord(i) || s.inTerm(i, "thing")) {
			continue
		}
		return i, t
	}
	return -1, nil
}

// besideWhen reports whether "before" or "after" leads to the name of span i.
func (s *sense) besideWhen(i int) bool {
	k := s.span(i).from - 1
	for k >= 0 && isArticle(s.l.tokens[k].plain) {
		k--
	}
	return k >= 0 && (s.l.tokens[k].plain == "before" || s.l.tokens[k].plain == "after")
}

// partOfPan reports whether only part of a pan's name is written.
func (s *sense) partOfPan(i int) bool {
	for _, h := range s.span(i).names {
		if s.l.x.entries[h.id].Kind == kb.PanName && !h.part {
			return false
		}
	}
	return true
}

func (s *sense) foodWord(i int) bool {
	for k := s.span(i).from; k < s.span(i).to; k++ {
		if isFood(&s.l.tokens[k]) {
			return true
		}
	}
	return false
}

// strangePan is a pan that the message names and the house does not: "copper pan"; "" if none.
func (s *sense) strangePan() string {
	if at, _ := s.panOf(); at >= 0 {
		return ""
	}
	for i := 1; i < len(s.p.spans); i++ {
		sp, b := s.span(i), s.span(i-1)
		if sp.kind != spanCue || !sp.cues.has(cuePan) || b.kind != spanUnused || s.l.tokens[b.from].number || s.l.tokens[sp.from].breaks {
			continue
		}
		switch w := s.l.tokens[b.from].plain; w {
		case "empty", "clean", "same", "hot", "this", "that", "which", "what", "one", "another", "other", "new", "whole", "each", "every":
		default:
			return s.text(i-1) + " " + s.text(i)
		}
	}
	return ""
}

// framePan: what the pan must read, what is still to lose from a reading.
func framePan(s *sense) []reading {
	at, pan := s.panSaid()
	now := at >= 0 && s.says("ask", "now")                                                                                   // "im at 1500"
	inPan := at >= 0 && s.precededBy(at, cueIn) && !s.cues.meets(verbCues) && !s.any(cueHowlong, cueTemp, cueWhen, cueWhere) // "perry reduction in the wide pan"
	if s.begins("scale", "rescale") && s.any(cueRescale) && !s.saysOf("says", "say", "reads", "read", "shows", "show", "at", "now", "on") && at < 0 && !s.any(cuePan, cueLose, cueTare, cueReduce) {
		return nil // "scale the gravy to 2.4 kg"
	}
	tare := s.tareTold(at)
	says := s.panSays(at)
	if !now && !inPan && !says && tare < 0 && !s.takesWhat() && !s.startWeight() && !s.any(cueReduce, cueLose, cueReading, cueTare) && !((s.any(cuePan) || at >= 0) && s.any(cueWeigh, cueTotal, cueStart)) && !(s.any(cueStart) && s.saysOf("weight", "reducing")) {
		return nil
	}
	if s.any(cueOven) && at < 0 && !s.any(cuePan, cueReduce, cueLose, cueTare) {
		return nil // "oven shows 180"
	}
	starts := s.startWeight()
	var out []reading
	strange := s.strangePan()
	if r, ok := s.bareReading(at, pan); ok {
		out = append(out, r)
	}
	for _, p := range s.picks() {
		if at >= 0 && slices.Contains(p.spans, at) {
			continue
		}
		r := s.start(WantReading, "reduce", p)
		if at >= 0 {
			r.q.Thing = pan
			r.used[at] = true
		} else if s.written(kb.PanName) != nil {
			r.extra += 3
		}
		r.q.Craft.Kind = strange
		if says && !s.any(cueReading, cueReduce) {
			r.extra -= 3
		} else if inPan && !s.any(cueReduce, cueLose, cueReading, cueTare, cueWeigh, cueTotal, cueStart) {
			r.extra += 3
		}
		r.consumes = r.consumes.with(cueReduce, cueLose, cueReading, cueTare, cuePan, cueWeigh, cueHowmuch, cueSetready, cueTotal, cueIn, cueVerbCook, cueHalf, cueOnly, cueWhen, cueOnebatch, cueCapacity, cueStart)
		if s.any(cueLose) && !s.any(cueReading, cueTare) && !s.saysOf("far") && !slices.ContainsFunc(s.quant, func(i int) bool { return s.span(i).kind != spanFactor }) {
			r.extra += 2 // all that boils off: frameEvaporated
		}
		for _, i := range s.names { // "how much more water must go"
			if s.any(cueLose) && s.folded(s.span(i)) == "water" && !slices.Contains(p.spans, i) {
				r.used[i] = true
			}
		}
		s.useSteps(&r)
		s.inPanSaid(&r)
		for _, i := range s.names { // "before the cream goes in"
			if !r.used[i] && !slices.Contains(p.spans, i) && s.besideWhen(i) && s.namesLineOf(p) {
				r.used[i] = true
			}
		}
		if starts {
			r.consumes = r.consumes.with(cueStart, cueLatest, cueWhen)
			r.extra -= 2
		}
		if s.any(cueWithoutpan) { // a weight told without that of the pan
			r.q.Net = true
			r.consumes = r.consumes.with(cueNet, cueWithoutpan)
		}
		// "pan 930 g" gives a tare; "reads 1450" a reading
		masses := []int{}
		for _, i := range s.quant {
			sp := s.span(i)
			if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
				continue
			}
			switch {
			case sp.q.Q.Unit.Dim == quantity.Mass:
				masses = append(masses, i)
			case sp.q.Q.Unit.Symbol == "" && sp.q.Q.N.Cmp(quantity.Int(100)) > 0:
				masses = append(masses, i)
			}
		}
		take := func(i int) quantity.Quantity {
			r.used[i] = true
			q := s.span(i).q.Q
			if q.Unit.Symbol == "" {
				q = quantity.Grams(q.N)
			}
			return q
		}
		if g := s.goalTold(masses); g >= 0 && g != tare && (pan != nil || tare >= 0 || s.any(cueReading, cueLose) || s.any(cueReduce) && reducedInPan(p.targets)) {
			goal := take(g)
			r.q.DownTo = &goal
		}
		if tare >= 0 && slices.Contains(masses, tare) {
			r.q.Quantities = append(r.q.Quantities, take(tare))
		}
		for _, i := range masses {
			if r.used[i] {
				continue
			}
			if s.before(i) == "for" {
				continue // "gravy for 2 kg, pan reading" is a size
			}
			if s.precededBy(i, cueReading) || s.precededBy(i, cueWeigh) || s.precededBy(i, cuePan) && s.before(i) == "at" && s.any(cueLose) || len(masses) == 1 && (now || s.any(cueReading, cueLose)) && !s.precededBy(i, cueTare) {
				if !r.q.HasQty {
					r.q.Quantity, r.q.HasQty = take(i), true
				}
			}
		}
		for _, i := range masses {
			if !r.used[i] && pan == nil && len(r.q.Quantities) == 0 && (s.precededBy(i, cuePan) || s.precededBy(i, cueTare)) && !s.withPan(i) {
				r.q.Quantities = append(r.q.Quantities, take(i)) // the tare
			}
		}
		if len(p.targets) > 1 {
			r.extra += 4
		}
		if p.talk {
			for k := range r.q.Targets {
				r.q.Targets[k].Scale = s.ctx.Targets[k].Scale
			}
			out = append(out, s.resized(r, p)...)
			continue
		}
		out = append(out, s.sized(r, p)...)
	}
	return out
}

// tareTold is the amount that tells what a pan weighs empty, where the pan is
// none of the house's: "pan 930", "the pot weighs 930 g", "in a 930 g pan"; -1 if none.
func (s *sense) tareTold(at int) int {
	if at >= 0 || s.any(cueLose, cueOven) || s.hears("now", "currently", "already") {
		return -1
	}
	before := -1
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil || s.precededBy(i, cueReading) || s.after(i) == "with" || slices.Contains([]string{"says", "say", "saying"}, s.before(i)) {
			continue
		}
		if u := sp.q.Q.Unit; u.Dim != quantity.Mass && (u.Symbol != "" || sp.q.Q.N.Cmp(quantity.Int(100)) <= 0) {
			continue
		}
		k := s.prev(i)
		if k >= 0 && s.span(k).kind == spanCue && s.span(k).cues.has(cueWeigh) {
			k = s.prev(k)
		}
		if k >= 0 && (s.span(k).kind == spanCue && (s.span(k).cues.has(cueTare) || s.span(k).cues.has(cuePan)) || s.thingOf(k, kb.PanName) != nil) {
			return i
		}
		if n := i + 1; sp.q.Q.Unit.Dim == quantity.Mass && n < len(s.p.spans) && s.span(n).kind == spanCue && s.span(n).cues.has(cuePan) && !s.l.tokens[s.span(n).from].breaks {
			before = i
		}
	}
	return before
}

// reducedInPan reports whether the book says in which pan a recipe is reduced.
func reducedInPan(ts []Target) bool {
	return len(ts) == 1 && ts[0].Recipe != nil && slices.ContainsFunc(ts[0].Recipe.Method, func(m recipe.Step) bool {
		return m.To != nil && (m.To.Mass != nil || m.To.Brix != nil) && m.In != ""
	})
}

// goalTold is which of the weights is what a reduction is to come down to: "to
// 380", "380 g left"; -1 if none.
func (s *sense) goalTold(masses []int) int {
	for _, i := range masses {
		f := s.span(i).from
		switch {
		case s.after(i) == "left" && !s.any(cueLose, cueReading, cueWeigh):
			return i
		case s.before(i) != "to" || s.any(cueRescale):
		case s.any(cueReduce) || f > 1 && slices.Contains([]string{"down", "take", "taken", "go", "cook", "boil"}, s.l.tokens[f-2].plain):
			return i
		}
	}
	return -1
}

// useSteps uses up the words for what is in the pan: of several reductions of a
// recipe they say which is meant.
func (s *sense) useSteps(r *reading) {
	rec := r.q.Targets[0].Recipe
	if rec == nil {
		return
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if r.used[i] || sp.kind != spanName && sp.kind != spanUnused || sp.kind == spanUnused && !sp.food || slices.Contains(r.targets, i) {
			continue
		}
		words := strings.Fields(s.folded(sp))
		if slices.ContainsFunc(rec.Method, func(m recipe.Step) bool {
			if !takesDown(&m) {
				return false
			}
			in := name.Words(m.Words)
			for _, o := range m.Of {
				in = append(in, name.Words(o)...)
			}
			return !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(in, w) })
		}) {
			r.used[i] = true
		}
	}
}

// bareReading: a pan and a target without a recipe: "empty pan 1420 g, 600 g left in it".
func (s *sense) bareReading(at int, pan *kb.Name) (reading, bool) {
	r := s.reading(WantReading, "reduce")
	r.consumes = plainCues.with(cueReduce, cueLose, cueReading, cueTare, cuePan, cueWeigh, cueHowmuch, cueSetready, cueTotal, cueOnly, cueWhen)
	if at >= 0 {
		r.q.Thing = pan
		r.used[at] = true
	}
	if s.any(cueNet) || s.saysOf("inside", "content", "contents") && s.asksWhat() { // "… with the pan (1100 g), whats inside"
		r.q.Net = true
		r.consumes = r.consumes.with(cueNet, cueWithoutpan, cueIngredients, cueIn, cueCapacity, cuePercent)
	}
	for _, i := range s.quant {
		q, ok := s.panGrams(i)
		if !ok {
			continue
		}
		if pan == nil && len(r.q.Quantities) == 0 && (s.precededBy(i, cuePan) || s.precededBy(i, cueTare)) && !s.withPan(i) {
			r.q.Quantities = append(r.q.Quantities, q) // the tare
			r.used[i] = true
			continue
		}
		if !r.q.HasQty {
			r.q.Quantity, r.q.HasQty = q, true
			r.used[i] = true
			r.q.Net = r.q.Net || pan == nil && slices.Contains([]string{"reads", "says", "shows", "reading"}, s.before(i)) // it is read off the scale, no target
			if s.before(i) == "target" || s.before(i) == "goal" {
				r.used[i-1] = true
			}
		}
	}
	return r, r.q.HasQty && (pan != nil || len(r.q.Quantities) > 0) && !s.any(cueLose)
}

// endsAt reads "3 kg juice to 60 brix, what weight do i end on".
func (s *sense) endsAt(deg int) bool {
	return s.before(deg) == "to" && s.any(cueWeigh, cueTotal, cueYield) && s.saysOf("end", "left", "weight", "remains", "remain")
}

// panGrams is the mass that amount i is, without a unit too where a pan and nothing of
// the book is spoken of: "pan 930, target 180, reading?".
func (s *sense) panGrams(i int) (quantity.Quantity, bool) {
	sp := s.span(i)
	switch q := sp.q.Q; {
	case sp.kind != spanQuantity || sp.q.Ambiguous != nil:
	case q.Unit.Dim == quantity.Mass:
		return q, true
	case q.Unit.Symbol == "" && q.N.Cmp(quantity.Int(50)) > 0 && len(s.quant) == 2 && len(s.names) == 0 && s.any(cuePan, cueTare) && s.any(cueReading, cueTare, cueWeigh):
		return quantity.Grams(q.N), true
	}
	return quantity.Quantity{}, false
}

// frameBrix: a mass of something at one sugar content taken to another.
func frameBrix(s *sense) []reading {
	var degrees []quantity.Quantity
	var at2 []int // their spans
	mass := -1
	bare := 0
	r := s.reading(WantBrixTarget, "reduce")
	r.consumes = plainCues.with(cueReduce, cueBrixword, cueWeigh, cueHowmuch, cueLose, cueYield, cueTotal, cueConvert, cuePan, cueReading)
	if at, pan := s.panOf(); at >= 0 {
		r.q.Thing = pan
		r.used[at] = true
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
			continue
		}
		switch sp.q.Q.Unit.Dim {
		case quantity.Brix:
			degrees, at2 = append(degrees, sp.q.Q), append(at2, i)
			if sp.q.Hi != nil { // "20 to 60 brix"
				degrees, at2 = append(degrees, *sp.q.Hi), append(at2, i)
			}
			r.used[i] = true
		case quantity.Mass:
			if !r.q.HasQty {
				r.q.Quantity, r.q.HasQty = sp.q.Q, true
				r.used[i], mass = true, i
			}
		case quantity.None: // "from 12 to 48 brix", "30 brix, target 65"
			if sp.q.Words && s.l.isName(sp.from) {
				continue // a fruit, whose name is a number in another language
			}
			if n := sp.q.Q.N; n.Sign() > 0 && n.Cmp(quantity.Int(100)) <= 0 {
				degrees, at2 = append(degrees, quantity.Of(n, quantity.BrixDegree)), append(at2, i)
				r.used[i] = true
				bare++
			}
		}
	}
	if it, brix := s.brixKnown(); len(degrees) == 1 && brix != nil && mass >= 0 && (s.any(cueReduce, cueLose) || s.boilsUp() || s.endsAt(at2[0])) { // "1.2 kg juice reduced to 52 brix", of a juice of known °Bx
		degrees, at2 = append([]quantity.Quantity{*brix}, degrees...), append([]int{mass}, at2...)
		r.q.Assumed = append(r.q.Assumed, Assumption{"brix of", []string{it.Larder.Name, brix.String()}})
	}
	if s.boilsUp() {
		r.consumes = r.consumes.with(cueVerbCook, cueChange, cueOnly, cueStart, cueOven)
		s.use(&r, s.termsNamed("ask", "add", "boils", "boil", "evaporated", "left")...)
		s.use(&r, s.termsNamed("thing", "syrup")...)
	}
	if len(degrees) == 2 && mass >= 0 {
		if degrees[1].N.Less(degrees[0].N) && s.startsAt(at2[1]) { // "60 brix, starting from 15"
			slices.Reverse(degrees)
			slices.Reverse(at2)
		}
		if s.wantsEnd(mass, at2[0], at2[1]) {
			r.q.Craft.Topic = "wanted"
			r.consumes = r.consumes.with(cueStart, cueLatest, cueFrom)
			for i := range s.p.spans {
				if w := s.text(i); s.span(i).kind == spanUnused && (w == "starting" || w == "wanted" || w == "out") {
					r.used[i] = true
				}
			}
		}
	}
	if len(degrees) != 2 || bare > 1 || !r.q.HasQty || degrees[0].N.Less(degrees[1].N) && s.addsSugar() {
		return nil
	}
	r.q.Quantities = degrees
	for _, i := range s.names {
		if it, ok := s.item(i); ok && !r.used[i] {
			r.q.Items = append(r.q.Items, it)
			r.used[i] = true
		}
	}
	for i := range s.p.spans { // whatever it is: sugar is sugar
		if _, ok := s.foreign(i); ok {
			r.used[i] = true
		}
	}
	r.extra = -2
	return []reading{r}
}
