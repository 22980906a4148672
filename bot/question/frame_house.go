package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// frameThing: a pan's tare, a mould's volume, a machine's batch, a fridge's temperature.
func frameThing(s *sense) []reading {
	var out []reading
	for _, i := range s.names {
		t := s.thingOf(i, kb.PanName, kb.MouldName, kb.MachineName, kb.ColdName, kb.ScaleName)
		if t == nil {
			continue
		}
		r := s.reading(WantThing, "lookup")
		r.q.Thing = t
		r.used[i] = true
		r.consumes = plainCues.with(cueHowmuch, cueHowmany)
		switch t.Kind {
		case kb.PanName:
			r.consumes = r.consumes.with(cueTare, cueWeigh, cueCapacity, cuePan, cueTotal)
			r.extra = s.wants(cueTare, cueWeigh, cueCapacity)
		case kb.MouldName:
			r.consumes = r.consumes.with(cueCapacity, cueMoulds, cuePiece, cueFill, cueVerbHold, cueKeeps, cueStock, cueOnly)
			r.extra = s.wants(cueCapacity, cueHowmany, cueHowmuch, cuePiece)
		case kb.MachineName:
			r.consumes = r.consumes.with(cueCapacity, cueBatch, cueBatchsplit, cueVerbChurn, cueHowlong, cueVerbHold, cueMoulds, cueOven, cueKeeps)
			r.extra = s.wants(cueCapacity, cueBatch, cueBatchsplit, cueHowlong, cueHowmany, cueHowmuch)
			if s.bakesIn(i) && s.any(cueHowlong) && !s.any(cueBatch, cueBatchsplit, cueCapacity, cueHowmany, cueHowmuch) {
				continue // "how long in the oven" is of what is in it
			}
			if s.machineLeast() {
				r.consumes, r.extra = r.consumes.with(cueMost, cueIn, cueOnly), 0
			}
		case kb.ColdName:
			r.consumes = r.consumes.with(cueTemp, cueVerbChill, cueVerbFreeze, cueMoulds, cueCapacity)
			r.extra = s.wants(cueTemp, cueHowmany, cueHowmuch)
			if s.placeRunsAt(i) {
				r.extra = 0
				r.consumes = r.consumes.with(cueBatch, cueReading, cueVerbHold, cueKeeps, cueIn)
				for k := range s.p.spans {
					if w := s.text(k); s.span(k).kind == spanUnused && (w == "at" || w == "sit" || w == "sits" || w == "run" || w == "running") {
						r.used[k] = true
					}
				}
			}
			if s.asksSet() {
				r.extra = 0
				r.consumes = r.consumes.with(cueVerbSet, cueChange, cueTemp)
			}
		case kb.ScaleName:
			r.consumes = r.consumes.with(cueReading, cueCapacity, cueWeigh)
			r.extra = s.wants(cueCapacity, cueReading, cueWeigh)
		}
		r.q.Guessed = r.extra > 0
		if s.partial(i) && !s.any(cueOnly, cueStock) {
			r.extra += 3
		}
		if s.any(cueOnly, cueStock) && s.any(cueHowmany) && t.Kind == kb.MouldName {
			r.extra -= 2 // "how many dome 45 have we got"
		}
		r.targets = []int{i}
		if s.unit(&r); r.q.HasUnit && r.q.Unit.Dim == quantity.Time { // "how many minutes" is of no mould
			r.extra += 8
		}
		out = append(out, r)
	}
	if s.any(cueHouseService) && s.any(cueWhen, cueHowlong) && len(s.names) == 0 {
		r := s.reading(WantThing, "lookup")
		r.consumes = plainCues.with(cueHouseService, cueWhen, cueHowlong)
		for _, i := range s.clock {
			r.used[i] = true
		}
		out = append(out, r)
	}
	return out
}

// bakesIn reports whether span i names an oven that something is in.
func (s *sense) bakesIn(i int) bool {
	t := s.thingOf(i, kb.MachineName)
	return t != nil && s.precededBy(i, cueIn) && slices.Contains(name.Words(t.Text), "oven")
}

// asksSet reads "what is the freezer set to": of how it stands, nothing is changed.
func (s *sense) asksSet() bool {
	return s.saysOf("set") && len(s.quant) == 0 && (s.saysOf("what", "whats", "which") || s.ends("set", "to") || s.ends("set", "at"))
}

// wants is the price of guessing a frame without its words.
func (s *sense) wants(cs ...cue) int {
	if s.any(cs...) {
		return 0
	}
	return costGuessed
}

// converts reports whether a unit is asked for right behind an amount: "1.2 lb to g".
func (s *sense) converts() bool {
	t := s.l.tokens
	return slices.ContainsFunc(s.quant, func(i int) bool {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Q.Unit.Symbol == "" || sp.to+1 >= len(t) || t[sp.to].breaks {
			return false
		}
		switch t[sp.to].plain {
		case "to", "in", "into", "as":
			_, ok := quantity.Metric.UnitNamed(t[sp.to+1].plain)
			return ok
		}
		return false
	})
}

// leavesOf is the word by which number i counts the ingredient before it, where
// its weight is asked: "gelatine 7 leaf weighs".
func (s *sense) leavesOf(i int) string {
	if i == 0 || i+1 >= len(s.p.spans) || !s.any(cueWeigh) && (len(s.units) == 0 || s.span(s.units[0]).unit.Dim != quantity.Mass) || s.l.tokens[s.span(i).from].breaks {
		return ""
	}
	w, next := name.Singular(s.after(i)), s.span(i+1)
	if w != "leaf" && w != "sheet" || next.from != s.span(i).to || next.to != next.from+1 || s.span(i-1).kind != spanName {
		return ""
	}
	if it, ok := s.item(i - 1); !ok || it.Larder == nil || it.Part {
		return ""
	}
	return w
}

// cupSaid is amount i by amount j, in brackets at the end, which says how large
// one of its cups or spoons is: "2 cups sugar in g (240 ml cup)".
func (s *sense) cupSaid(i, j int, r *reading) (quantity.Quantity, bool) {
	a, b := s.span(i), s.span(j)
	n := len(s.l.tokens)
	at := s.l.tokens[b.from].start
	if b.kind != spanQuantity || b.q.Hi != nil || b.q.Q.Unit.Dim != a.q.Q.Unit.Dim || b.q.Q.Unit.Symbol == "" || b.from <= a.to || at == 0 || s.l.text[at-1] != '(' {
		return quantity.Quantity{}, false
	}
	whole := b.q.Q
	if again := b.to < n && s.l.tokens[b.to].fold == s.l.tokens[a.to-1].fold; !again && (a.q.Q.N.Equal(one) || near(a.q.Q.Base(), whole.Base())) { // "half cup honey (120 ml) in g" says it twice
		return whole, true
	}
	if b.to < n-1 {
		return whole, false
	}
	if b.to == n { // of several it may be one or all
		return whole, a.q.Q.N.Equal(one)
	}
	if s.l.tokens[b.to].fold != s.l.tokens[a.to-1].fold {
		return whole, false
	}
	if k := s.next(j); k >= 0 {
		r.used[k] = true
	}
	whole.N = whole.N.Mul(a.q.Q.N)
	return whole, true
}

// near reports whether two amounts differ by less than a spoon's two standards do.
func near(a, b quantity.Number) bool {
	return b.Mul(quantity.Frac(23, 25)).Less(a) && a.Mul(quantity.Frac(23, 25)).Less(b)
}

// frameConvert: a quantity in another unit, of an ingredient where mass and volume meet.
func frameConvert(s *sense) []reading {
	if s.asksPrice() {
		return nil
	}
	out := s.bareUnit()
	for n, i := range s.quant {
		sp := s.span(i)
		word := s.leavesOf(i)
		if sp.kind != spanQuantity || sp.q.Q.Unit.Symbol == "" && word == "" && !s.countOf(i) {
			continue
		}
		r := s.reading(WantConvert, "convert")
		r.used[i] = true
		r.q.Quantity, r.q.HasQty = sp.q.Q, true
		if word != "" {
			r.q.Quantity.Unit = quantity.Pieces(word)
			r.used[i+1] = true
			r.extra -= 3
		}
		r.q.QuantityHi = sp.q.Hi
		r.consumes = plainCues.with(cueConvert, cueHowmuch, cueHowmany, cueWeigh, cueContain, cueYield, cueOven, cuePiece)
		if n := s.next(i); n >= 0 && s.span(n).kind == spanCue && s.span(n).cues.has(cuePiece) && sp.q.Q.Unit.Symbol == "" {
			r.q.Quantity.Unit = quantity.Pieces(name.Singular(s.after(i)))
		}
		if sp.q.Ambiguous != nil {
			r.q.Missing = MissingNumber
			r.q.Choices = s.numbers(i, sp.q.Ambiguous.AsDecimal, sp.q.Ambiguous.AsThousands)
		}
		if sp.q.Q.Unit.Dim == quantity.Temperature {
			r.consumes = r.consumes.with(cueTemp)
		}
		// "1 cup (240 ml) honey": the second quantity explains the first
		for _, j := range s.quant[n+1:] {
			other := s.span(j)
			if other.kind == spanQuantity && other.q.Q.Unit.Dim == sp.q.Q.Unit.Dim && other.q.Q.Unit.Symbol != "" && s.l.tokens[other.from].breaks && other.from == sp.to {
				r.used[j] = true
				r.q.Quantities = append(r.q.Quantities, other.q.Q)
			} else if whole, ok := s.cupSaid(i, j, &r); ok {
				r.used[j] = true
				r.q.Quantities = append(r.q.Quantities, whole)
			}
		}
		s.unitBehind(&r, i)
		s.unit(&r)
		s.metric(&r)
		leaf, _ := s.leavesAsked()
		if u := sp.q.Q.Unit.Symbol; !r.q.HasUnit && (u == "g" || u == "kg") && !s.any(cueConvert, cueHowmany) && (leaf == "" || !s.leafHere()) {
			r.extra += 14 // "need 2 kg, how much sugar" asks for no ounces
		}
		for _, j := range s.names {
			if it, ok := s.item(j); ok && (it.Larder != nil || it.Recipe != nil) && !it.Part {
				if it.Recipe != nil && it.Larder != nil && !it.Larder.House && s.l.recipeAt(s.span(j)) && name.Fold(it.Larder.Name) != s.folded(s.span(j)) {
					it.Larder = nil // the book's own of that very name
				}
				if len(r.q.Items) > 0 {
					if it.Larder != nil && it.Larder == r.q.Items[0].Larder { // "cream (nata)"
						r.used[j] = true
					}
					continue
				}
				r.used[j] = true
				r.q.Items = append(r.q.Items, it)
				if sp.q.Q.Unit.Symbol == "" && it.Larder != nil && !it.InBook && !it.Larder.House && s.l.headsRecipe(s.span(j)) {
					r.extra += costIngredient // "one bun" is the house's
				}
			}
		}
		if j := i + 1; len(r.q.Items) == 1 && j < len(s.p.spans) && s.span(j).kind == spanName && !r.used[j] && !s.l.tokens[s.span(j).from].breaks {
			r.extra += 8 // "200 g yolk how many eggs" is of the yolk
		}
		s.placeOf(&r)
		s.pieceSaid(&r)
		if u, ok := s.volumeAsked(); ok && !r.q.HasUnit {
			r.q.Unit, r.q.HasUnit = u, true
		}
		if !r.q.HasUnit && sp.q.Q.Unit.Dim == quantity.Mass && (s.any(cueHowmany) || s.saysOf("many")) && len(r.q.Items) > 0 && !s.namesOther(r) {
			r.q.Unit, r.q.HasUnit = quantity.Each, true // "how many yolks is 450 g"
		}
		if !r.q.HasUnit && s.any(cueHowmuch) && !s.any(cueConvert, cueWeigh) && sp.to < len(s.l.tokens) && s.l.tokens[sp.to].breaks && s.any(cueHowmuch) {
			continue // "need 3 kg, how much butter" is of a recipe
		}
		if s.any(cueWeigh) && sp.q.Q.Unit.Dim == quantity.Volume && len(r.q.Items) > 0 && !s.namesRecipe() {
			r.extra -= 3 // "300 ml cream weight", whatever was spoken of
		}
		if w, at := s.leavesAsked(); w != "" && sp.q.Q.Unit.Dim == quantity.Mass && len(r.q.Items) > 0 && (!r.q.HasUnit || r.q.Unit.Dim == quantity.Count) {
			r.q.Unit, r.q.HasUnit = quantity.Pieces(w), true
			if at >= 0 {
				r.used[at] = true
			}
		}
		if !r.q.HasUnit {
			if len(r.q.Items) == 0 && !s.any(cueConvert) {
				if sp.q.Q.Unit.Dim != quantity.Temperature && !(len(s.p.spans) == 1 && foreignUnit(sp.q.Q.Unit)) {
					continue
				}
			}
			r.extra += 3
			if sp.q.Q.Unit.Dim == quantity.Length && len(r.q.Items) > 0 || s.any(cueOnly, cueMakeable, cueEnough) {
				continue // "apple tart in a 24 cm tin", "only 300 g butter left"
			}
			if !s.any(cueConvert, cueHowmuch, cueHowmany, cueWeigh) {
				r.q.Guessed = true
				for k := range s.p.spans {
					if s.span(k).kind != spanUnused || r.used[k] {
						continue
					}
					if sp.q.Q.Unit.Symbol == quantity.Fahrenheit.Symbol && len(s.names) == 0 && !s.span(k).food {
						r.extra++ // whoever asks for no unit wants that of the house
						continue
					}
					r.extra += 4 // it speaks of something else
				}
			}
		}
		if s.ctx != nil && s.wholeConversion(r) {
			r.extra -= costFromTalk
		}
		out = append(out, r)
	}
	return out
}

// unitBehind takes the unit right behind an amount: "… 1.5 kg to lb".
func (s *sense) unitBehind(r *reading, i int) {
	for _, j := range s.units {
		if b := s.before(j); s.span(j).from == s.span(i).to+1 && (b == "to" || b == "in" || b == "into" || b == "as") {
			r.q.Unit, r.q.HasUnit = s.span(j).unit, true
			r.used[j] = true
		}
	}
}

// metric takes "metric" for the unit of the house.
func (s *sense) metric(r *reading) {
	if r.q.HasUnit || !foreignUnit(r.q.Quantity.Unit) && r.q.Quantity.Unit.Symbol != quantity.Fahrenheit.Symbol {
		return
	}
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind != spanUnused || s.l.tokens[sp.from].plain != "metric" {
			continue
		}
		switch r.q.Quantity.Unit.Dim {
		case quantity.Mass:
			r.q.Unit = quantity.G
		case quantity.Volume:
			r.q.Unit = quantity.ML
		case quantity.Temperature:
			r.q.Unit = quantity.Celsius
		default:
			return
		}
		r.q.HasUnit, r.used[i] = true, true
	}
}

// placeOf passes over the place that a temperature is of: "minus 4 F freezer what is in C".
func (s *sense) placeOf(r *reading) {
	if r.q.Quantity.Unit.Dim != quantity.Temperature || !r.q.HasUnit {
		return
	}
	r.consumes = r.consumes.with(cueVerbFreeze, cueVerbChill, cueTemp)
	if s.saysOf("american", "us", "english", "british", "french", "german", "european", "imported", "imperial") { // "… the combi is american": why it is asked
		for j := range s.p.spans {
			if sp := s.span(j); sp.kind == spanUnused && !s.l.tokens[sp.from].number {
				r.used[j] = true
			}
		}
	}
	for _, j := range s.names {
		if s.thingOf(j, kb.ColdName, kb.MachineName) != nil {
			r.used[j] = true
		}
	}
}

// foreignUnit reports whether a unit by itself asks to be converted: "16 oz".
func foreignUnit(u quantity.Unit) bool {
	switch u.Symbol {
	case "oz", "lb", "fl oz", "cup", "cups", "pint", "pints", "quart", "quarts", "gallon", "gallons", "tbsp", "tsp":
		return true
	}
	return false
}

// countOf reports whether number i counts an ingredient that is to be weighed: "12 eggs in oz".
func (s *sense) countOf(i int) bool {
	j := s.nextBut(i, cuePiece)
	if j < 0 || s.span(j).kind != spanName || (len(s.units) == 0 || s.span(s.units[0]).unit.Dim != quantity.Mass) && !s.any(cueWeigh) {
		return false
	}
	it, ok := s.item(j)
	return ok && it.Larder != nil
}

// bareUnit: "pint of cream in ml", "cup of almond flour grams": one of it.
func (s *sense) bareUnit() []reading {
	if len(s.units) == 1 && len(s.quant) == 0 && s.any(cueWeigh) && s.span(s.units[0]).unit.Dim == quantity.Volume { // "a cup of hazelnuts weighs?"
		r := s.reading(WantConvert, "convert")
		r.consumes = plainCues.with(cueConvert, cueHowmuch, cueHowmany, cueWeigh)
		r.q.Quantity, r.q.HasQty = quantity.Of(one, s.span(s.units[0]).unit), true
		r.q.Unit, r.q.HasUnit = quantity.G, true
		r.used[s.units[0]] = true
		for _, j := range s.names {
			if it, ok := s.item(j); ok && !it.Part {
				r.used[j] = true
				r.q.Items = append(r.q.Items, it)
				return []reading{r}
			}
		}
		return nil
	}
	if len(s.units) != 2 || len(s.quant) > 1 {
		return nil
	}
	a, b := s.units[0], s.units[1]
	n := one
	if len(s.quant) == 1 { // "oz to g 12"
		i := s.quant[0]
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Q.Unit.Symbol != "" || sp.q.Ambiguous != nil || sp.q.Hi != nil || i != b+1 || i != len(s.p.spans)-1 || s.before(b) != "to" && s.before(b) != "in" && s.before(b) != "into" || s.before(a) == "in" || s.before(a) == "many" {
			return nil
		}
		n = sp.q.Q.N
	}
	if s.before(a) == "in" || s.before(a) == "many" {
		a, b = b, a // "how many ml in a pint"
	}
	r := s.reading(WantConvert, "convert")
	r.consumes = plainCues.with(cueConvert, cueHowmuch, cueHowmany, cueWeigh, cueContain, cueYield)
	r.q.Quantity, r.q.HasQty = quantity.Of(n, s.span(a).unit), true
	r.q.Unit, r.q.HasUnit = s.span(b).unit, true
	r.used[a], r.used[b] = true, true
	for _, i := range s.quant {
		r.used[i] = true
	}
	for _, j := range s.names {
		if it, ok := s.item(j); ok && !it.Part {
			r.used[j] = true
			r.q.Items = append(r.q.Items, it)
			break
		}
	}
	return []reading{r}
}

// airIn reads "density once churned", "whipped", "with its overrun": with the air in it.
func (s *sense) airIn() bool {
	return s.saysOf("churned", "whipped", "aerated", "frozen", "overrun", "finished", "churn") && !s.saysOf("before", "unchurned", "unwhipped", "not", "without", "liquid", "unfrozen")
}

// frameDensity: g/ml of an ingredient, or what a piece of it weighs.
func frameDensity(s *sense) []reading {
	var out []reading
	overrun := strings.Contains(s.l.folded(), "overrun")
	if s.any(cueDensity) || overrun {
		for _, p := range s.picks() {
			r := s.start(WantDensity, "lookup", p)
			r.consumes = r.consumes.with(cueDensity, cueHowmuch, cueWeigh)
			switch {
			case overrun && !s.saysOf("with"):
				r.q.Content = []Content{{Name: "overrun"}}
				r.consumes = r.consumes.with(cueBalance)
			case s.airIn():
				r.q.Content = []Content{{Name: "aerated"}}
				r.consumes = r.consumes.or(verbCues).with(cueBalance)
			}
			out = append(out, r)
		}
	}
	if s.saysOf("loss", "losses") {
		for _, p := range s.picksOfOne() {
			if p.targets[0].Recipe.Loss.N.Sign() <= 0 {
				continue
			}
			r := s.start(WantDensity, "lookup", p)
			r.q.Content = []Content{{Name: "loss"}}
			r.consumes = r.consumes.or(verbCues).with(cueHowmuch, cuePercent, cueWeigh, cueLose, cueIn)
			for i := range s.p.spans {
				if w := s.l.tokens[s.span(i).from].plain; w == "loss" || w == "losses" {
					r.used[i] = true
				}
			}
			r.extra -= 3
			out = append(out, r)
		}
	}
	for _, i := range s.names {
		it, ok := s.item(i)
		if !ok || it.Larder == nil || !it.InBook && !it.Larder.House && s.l.headsRecipe(s.span(i)) {
			continue
		}
		if it.Larder.Bloom != nil && strings.Contains(s.l.folded(), "bloom") && len(s.quant) == 0 {
			r := s.reading(WantDensity, "lookup")
			r.used[i] = true
			r.q.Items, r.q.Content = []Item{it}, []Content{{Name: "bloom"}}
			r.consumes = plainCues.with(cueGel, cueHowmuch, cueWeigh, cuePiece, cueContain)
			r.extra = -2
			out = append(out, r)
		}
		if s.any(cueDensity) {
			r := s.reading(WantDensity, "lookup")
			r.used[i] = true
			r.q.Items = []Item{it}
			r.consumes = plainCues.with(cueDensity, cueHowmuch, cueWeigh)
			out = append(out, r)
		}
		if s.any(cueWeigh, cuePiece) && len(s.quant) <= 1 && len(s.units) == 0 {
			r := s.reading(WantDensity, "lookup")
			r.q.Per = PerPiece
			r.used[i] = true
			r.q.Items = []Item{it}
			r.consumes = plainCues.with(cueWeigh, cuePiece, cueHowmuch, cueOnebatch)
			for _, j := range s.quant {
				if sp := s.span(j); sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.None || sp.q.Q.Unit.Dim == quantity.Count) && s.next(j) == i {
					r.q.Quantity, r.q.HasQty = sp.q.Q, true
					r.used[j] = true
				}
			}
			r.extra = 1
			if _, any := it.Larder.Piece[""]; !any && !s.any(cueWeigh) && !slices.ContainsFunc(s.l.tokens, func(t token) bool { _, ok := it.Larder.Piece[t.fold]; return ok }) {
				r.extra += 8 // "salt for the loaf"
			}
			s.pieceSaid(&r)
			s.unit(&r)
			out = append(out, r)
		}
	}
	return out
}

// frameUsable: peeled or trimmed against bought.
func frameUsable(s *sense) []reading {
	if !s.any(cueUsable) {
		return nil
	}
	var out []reading
	for _, i := range s.names {
		it, ok := s.item(i)
		if !ok || it.Larder == nil {
			continue
		}
		r := s.reading(WantUsable, "lookup")
		r.consumes = plainCues.with(cueUsable, cueHowmuch, cueHowmany, cueWeigh, cueYield, cueOrder, cuePercent)
		r.used[i] = true
		r.q.Items = []Item{it}
		for _, j := range s.quant {
			if sp := s.span(j); sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Mass && !r.q.HasQty {
				r.q.Quantity, r.q.HasQty = sp.q.Q, true
				r.used[j] = true
			}
		}
		s.unit(&r)
		out = append(out, r)
	}
	return out
}

// itemsOrRecipe are the names that a question about one thing may mean: recipes, then an ingredient.
func (s *sense) itemsOrRecipe(w Want, about string) []reading {
	var out []reading
	for _, p := range s.picks() {
		out = append(out, s.start(w, about, p))
	}
	for _, i := range s.names {
		if s.saysDish(i) {
			continue // "the pear dish" is no pear
		}
		if it, ok := s.item(i); ok && it.Larder != nil {
			if !it.InBook && !it.Larder.House && s.l.headsRecipe(s.span(i)) {
				continue // the house's own bun is meant, not any bun
			}
			r := s.reading(w, about)
			r.consumes = plainCues
			r.used[i] = true
			r.q.Items = []Item{it}
			if slices.ContainsFunc(s.recipesOf(i, 1), func(o option) bool { return !o.part }) {
				continue // a recipe of that very name is meant
			}
			r.extra = 1
			out = append(out, r)
		}
	}
	return out
}

// namesOther reports whether the message names something that the reading has no use for.
func (s *sense) namesOther(r reading) bool {
	for _, i := range s.names {
		if r.used[i] {
			continue
		}
		it, ok := s.item(i)
		if ok && len(r.q.Items) > 0 && strings.HasSuffix(name.Fold(r.q.Items[0].Text), " "+s.folded(s.span(i))) {
			r.used[i] = true // "400 g egg white is how many whites"
			continue
		}
		if !ok || len(r.q.Items) == 0 || it.Larder != nil && it.Larder != r.q.Items[0].Larder || it.Larder == nil && (len(s.recipesOf(i, 1)) > 0 || r.q.Items[0].Recipe != nil) {
			return true
		}
		r.used[i] = true // "330 g egg white how many whites", "24 g gelatine is how many leaves"
	}
	return false
}

// partial reports whether only a part of a name was written at span i.
func (s *sense) partial(i int) bool {
	for _, h := range s.span(i).names {
		if !h.part {
			return false
		}
	}
	return true
}

// folded is the whole message, folded.
func (l *lattice) folded() string {
	var w []string
	for i := range l.tokens {
		w = append(w, l.tokens[i].fold)
	}
	return strings.Join(w, " ")
}

// leavesAsked finds "leaves" or "sheets" as the unit asked for; at is its span
// where it is one by itself.
func (s *sense) leavesAsked() (word string, at int) {
	for k := range s.l.tokens {
		switch w := s.l.tokens[k].plain; w {
		case "leaves", "sheets":
			for i := range s.p.spans {
				if sp := s.span(i); sp.from == k && sp.to == k+1 {
					return "leaf", i
				}
			}
			return "leaf", -1
		}
	}
	return "", -1
}

// trimmedSaid reports whether the weight that is asked for is the one after
// peeling or trimming, which a recipe writes: "the potato, peeled".
func (s *sense) trimmedSaid() bool {
	if s.any(cueOrder, cueNot, cueWithout, cueNo) {
		return false
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.has(cueUsable) {
			continue
		}
		first, last := s.l.tokens[sp.from].plain, s.l.tokens[sp.to-1].plain
		switch w := s.before(i); {
		case w == "before" || w == "be" || w == "get" || w == "not":
			return false // "before they are peeled"
		case first == "after", sp.to == sp.from+1 && slices.Contains([]string{"peeled", "trimmed", "cleaned", "picked", "usable"}, last):
		default:
			return false
		}
	}
	return !s.hears("before", "unpeeled", "whole", "raw")
}

// finishedSize reports whether "finished" says of an amount what it is of, and
// does not ask whether something is: "2 kg finished", "finished, 2 kg".
func (s *sense) finishedSize() bool {
	if s.any(cueWhen, cueWent, cueTimer, cueHowlong, cueLatest) || len(s.clock) > 0 || s.opensYesNo() {
		return false
	}
	for _, i := range s.quant {
		sp := s.span(i)
		if d := sp.q.Q.Unit.Dim; sp.kind != spanQuantity || sp.q.Ambiguous != nil || d != quantity.Mass && d != quantity.Volume {
			continue
		}
		for _, k := range []int{i - 1, i + 1} {
			if k < 0 || k >= len(s.p.spans) || s.span(k).kind != spanCue || !s.span(k).cues.has(cueSetready) || s.l.tokens[max(sp.from, s.span(k).from)].breaks && k > i {
				continue
			}
			switch s.l.tokens[s.span(k).from].plain {
			case "finished", "ready", "done":
				return true
			}
		}
		if k := sp.to; k+2 < len(s.l.tokens) && s.l.tokens[k].plain == "of" && s.l.tokens[k+2].plain == "finished" { // "583 g of it finished"
			return true
		}
	}
	return false
}
