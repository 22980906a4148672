package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// degrees takes temperatures, and bare numbers that can only be one.
func (s *sense) degrees(r *reading, ms []measured) {
	for _, m := range ms {
		switch {
		case m.dim == quantity.Temperature:
			s.take(r, m)
		case m.dim == quantity.None && m.word != "bloom" && m.word != "baume" && !m.n.Less(quantity.Int(-40)) && m.n.Cmp(quantity.Int(400)) <= 0 && len(r.q.Craft.Celsius) == 0:
			t := quantity.Of(m.n, quantity.Celsius)
			if m.n.Cmp(quantity.Int(200)) > 0 { // no sugar and no gel is that hot in °C
				t = quantity.Of(m.n, quantity.Fahrenheit)
				r.q.Assumed = append(r.q.Assumed, Assumption{"kind", []string{t.String()}})
			}
			r.q.Craft.Celsius = append(r.q.Craft.Celsius, t.Base())
			r.used[m.i] = true
		}
	}
}

// height takes metres above the sea.
func (s *sense) height(r *reading, ms []measured) {
	for _, m := range ms {
		if m.dim == quantity.Length && m.q.Unit.Symbol == "m" {
			s.take(r, m)
		}
	}
}

var sugarCues = craftCues.with(cueBrixword, cueDensity, cueVerbCook, cueReading, cueTemp, cueOven, cueThat, cueIn)

// frameBoils: the boiling point of water or of a syrup, and the °Bx of a syrup that boils at a temperature.
func frameBoils(s *sense) []reading {
	ms := s.measures()
	bx, temps := counted(ms, quantity.Brix), counted(ms, quantity.Temperature)
	boils := s.says("ask", "boils")
	finish := func(r reading) reading {
		s.height(&r, ms)
		s.takePlaces(&r)
		s.useAll(&r, "thing", "unit")
		s.use(&r, s.termsNamed("ask", "boils", "altitude", "now")...)
		r.consumes = r.consumes.or(sugarCues)
		s.unit(&r)
		return r
	}
	var out []reading
	switch {
	case s.recipeNamed("thing", "ask"):
	case boils && bx == 1 && temps == 0:
		r := s.craft(WantBoils, "convert", "point")
		s.takeDims(&r, ms, quantity.Brix)
		out = append(out, finish(r))
	case s.any(cueBrixword) && bx == 0 && (temps == 1 || boils && temps == 0 && counted(ms, quantity.None) == 1):
		r := s.craft(WantBoils, "convert", "brix")
		s.degrees(&r, ms)
		if !boils && !s.says("thing", "syrup", "sugar") {
			r.extra += 3
		}
		out = append(out, finish(r))
	case boils && s.says("thing", "water") && bx == 0 && temps == 0 && counted(ms, quantity.Mass)+counted(ms, quantity.Volume) == 0:
		r := s.craft(WantBoils, "convert", "water")
		out = append(out, finish(r))
	}
	return out
}

// takePlaces marks cold places and words for them as used.
func (s *sense) takePlaces(r *reading) {
	for _, i := range s.names {
		if s.thingOf(i, kb.ColdName) != nil {
			r.used[i] = true
		}
	}
}

// frameStage: the stages of cooked sugar by name and by temperature.
func frameStage(s *sense) []reading {
	st := s.terms("stage")
	if len(st) == 0 && !s.says("ask", "stage") || s.recipeNamed("thing", "ask") {
		return nil // a recipe of that name goes first
	}
	if len(st) > 0 && st[0].to-st[0].from == 1 && s.l.meantBy(st[0]) == "caramel" && !s.any(cueTemp) && !s.says("ask", "stage") {
		return nil
	}
	if len(st) > 0 && st[0].to-st[0].from == 1 && !s.says("ask", "stage") && s.housesOwn(st[0]) {
		return nil // the house has one of that name and says how hot
	}
	if len(st) > 0 && st[0].from > 0 && s.itemIn(st[0].from) {
		return nil // "cream in the caramle" asks of a recipe's line
	}
	ms := s.measures()
	r := s.craft(WantStage, "convert", "all")
	s.height(&r, ms)
	if len(st) > 0 {
		r.q.Craft.Topic, r.q.Craft.Kind = "stage", st[0].name
	}
	s.degrees(&r, ms)
	switch {
	case len(r.q.Craft.Celsius) > 0 && len(st) > 0:
		r.q.Craft.Topic = "is"
	case len(r.q.Craft.Celsius) > 0:
		r.q.Craft.Topic = "at"
	case len(st) == 0 && !s.says("thing", "sugar", "syrup") && !s.says("ask", "stage"):
		return nil
	}
	s.use(&r, st...)
	s.useAll(&r, "thing")
	s.use(&r, s.termsNamed("ask", "stage", "altitude", "boils", "now")...)
	r.consumes = r.consumes.or(sugarCues).with(cueAll, cueCard, cueSetready, cueHowmany)
	s.unit(&r)
	return []reading{r}
}

// meantBy is the word that a term of one word stands for, slips put right.
func (l *lattice) meantBy(t term) string {
	if _, to, ok := strings.Cut(t.note, " → "); ok {
		return to
	}
	return l.tokens[t.from].fold
}

// housesOwn reports whether a term is one recipe's name or the last word of it,
// however it is spelled, and that recipe's method has sugar heated: "caramel" where
// the house makes one. "What temperature is caramel" asks of any, unless that is the
// whole name.
func (s *sense) housesOwn(t term) bool {
	word := s.l.meantBy(t)
	own := s.l.headed(word)
	if len(own) != 1 || !slices.ContainsFunc(own[0].Method, func(st recipe.Step) bool {
		return st.To != nil && st.To.Temperature != nil && quantity.Int(100).Less(st.To.Temperature.Base())
	}) {
		return false
	}
	if slices.ContainsFunc(append([]string{own[0].Name}, own[0].Also...), func(n string) bool { return slices.Equal(name.Words(n), []string{word}) }) {
		return true
	}
	return t.from == 0 || !slices.Contains([]string{"is", "does", "a"}, s.l.tokens[t.from-1].plain)
}

// headed are the recipes with a name that ends in a word.
func (l *lattice) headed(word string) []*kb.Recipe {
	var out []*kb.Recipe
	for _, r := range l.x.recipes {
		if slices.ContainsFunc(append([]string{r.Name}, r.Also...), func(n string) bool {
			w := name.Words(n)
			return len(w) > 0 && w[len(w)-1] == word
		}) {
			out = append(out, r)
		}
	}
	return out
}

// frameSyrup: °Bx, °Bé and density into one another.
func frameSyrup(s *sense) []reading {
	ms := s.measures()
	bx, be, de := counted(ms, quantity.Brix), 0, counted(ms, quantity.Density)
	for _, m := range ms {
		if m.word == "baume" {
			be++
		}
	}
	asks := s.says("unit", "baume") || s.any(cueDensity)
	if bx+be+de != 1 || s.says("ask", "crystal") || s.recipeNamed("thing", "unit", "ask") {
		return nil
	}
	if bx == 1 && !asks || de == 1 && !s.any(cueBrixword) && !s.says("unit", "baume") {
		return nil
	}
	r := s.craft(WantSyrupScale, "convert", "brix")
	switch {
	case bx == 1 && s.says("unit", "baume"):
		r.q.Craft.Topic = "baume"
	case bx == 1 || be == 1 && s.any(cueDensity):
		r.q.Craft.Topic = "density"
	}
	for _, m := range ms {
		if m.dim == quantity.Brix || m.dim == quantity.Density || m.word == "baume" {
			s.take(&r, m)
		}
	}
	s.useAll(&r, "thing", "unit")
	r.consumes = r.consumes.or(sugarCues)
	r.extra--
	s.unitsOf(&r, quantity.Brix, quantity.Density)
	return []reading{r}
}

// frameBrixOf: "how many brix is the perry reduction".
func frameBrixOf(s *sense) []reading {
	asked := s.any(cueBrixword)
	for _, i := range s.units {
		asked = asked || s.span(i).unit.Dim == quantity.Brix
	}
	if !asked || len(s.quant) > 0 {
		return nil
	}
	var out []reading
	for _, r := range s.itemsOrRecipe(WantContent, "lookup") {
		r.q.Content = []Content{{Name: "brix", Sum: true}}
		r.consumes = r.consumes.or(sugarCues).with(cuePercent, cueReduce, cueHowmuch, cueHowmany)
		s.unitsOf(&r, quantity.Brix)
		s.use(&r, s.termsNamed("ask", "left", "reduce", "boils")...)
		out = append(out, r)
	}
	return out
}

// unitsOf marks units of the dimensions, asked for, as used.
func (s *sense) unitsOf(r *reading, dims ...quantity.Dimension) {
	for _, i := range s.units {
		if slices.Contains(dims, s.span(i).unit.Dim) {
			r.used[i] = true
		}
	}
}

// frameCrystal: will a syrup crystallise at a temperature.
func frameCrystal(s *sense) []reading {
	if !s.says("ask", "crystal") {
		return nil
	}
	ms := s.measures()
	finish := func(r reading) reading {
		s.takeDims(&r, ms, quantity.Brix, quantity.Temperature)
		r.q.Place = s.place()
		s.usePlace(&r)
		s.useAll(&r, "thing")
		s.use(&r, s.termsNamed("ask", "crystal", "now", "left", "make")...)
		r.consumes = r.consumes.or(sugarCues).or(verbCues).with(cueKeeps, cueWhere, cueRescue, cueStir)
		return r
	}
	var out []reading
	if counted(ms, quantity.Brix) == 1 {
		out = append(out, finish(s.craft(WantCrystal, "safety", "brix")))
		out[0].q.About = "convert"
	} else if s.says("thing", "sugar", "syrup", "water") && counted(ms, quantity.Temperature) == 1 && !s.recipeNamed("thing", "ask") {
		out = append(out, finish(s.craft(WantCrystal, "convert", "limit")))
	}
	for _, p := range s.picks() {
		out = append(out, finish(s.craftOf(WantCrystal, "convert", "recipe", p)))
	}
	return out
}

// frameMixBrix: what to add to bring a mass from one °Bx to another, syrups poured together, syrup from nothing.
func frameMixBrix(s *sense) []reading {
	ms := s.measures()
	bx := s.brixes(ms)
	masses := 0
	for _, m := range ms {
		if m.dim == quantity.Mass || m.dim == quantity.Volume {
			masses++
		}
	}
	if out := s.ratioSyrup(ms); out != nil {
		return out
	}
	if len(bx) == 0 && !s.any(cueBrixword) || s.recipeNamed("thing", "ask") {
		return nil
	}
	reduces := s.any(cueReduce, cueLose) || s.says("ask", "evaporated")
	topic := ""
	switch {
	case len(bx) == 2 && masses == 1 && !reduces:
		up := bx[0].Less(bx[1])
		switch {
		case up && !s.boilsUp() && (s.says("ask", "add") || s.says("thing", "sugar")):
			topic = "sugar"
		case !up && (s.says("ask", "dilute") || s.says("thing", "water") || s.says("ask", "add")):
			topic = "water"
		default:
			return nil
		}
	case len(bx) == 2 && masses == 1 && !bx[0].Less(bx[1]) && s.says("ask", "dilute") && s.says("thing", "water"):
		topic = "water"
	case len(bx) == 2 && masses == 2 && !reduces:
		topic = "blend"
	case len(bx) == 3 && masses == 1 && !reduces:
		topic = "square"
	case len(bx) == 1 && masses == 1 && !reduces && (s.says("thing", "syrup") || s.says("ask", "make")) && (s.any(cueHowmuch) || s.says("thing", "sugar")):
		topic = "make"
	case len(bx) == 0 && masses >= 2 && s.any(cueBrixword) && !reduces:
		topic = "what"
	default:
		return nil
	}
	r := s.craft(WantMixBrix, "balance", topic)
	if topic == "square" {
		bx = s.goalLast(ms, bx)
	}
	r.q.Craft.Brix = bx
	for _, m := range ms {
		if m.dim == quantity.Brix || m.dim == quantity.None && (s.isBrix(ms, m) || len(bx) > counted(ms, quantity.Brix)) {
			r.used[m.i] = true
			continue
		}
		if m.dim == quantity.Mass || m.dim == quantity.Volume {
			s.take(&r, m)
		}
	}
	if topic == "what" && slices.ContainsFunc(r.q.Craft.Amounts, func(g Given) bool { return len(g.Item.Names) == 0 }) {
		return nil
	}
	s.useAll(&r, "thing")
	s.use(&r, s.termsNamed("ask", "add", "dilute", "mix", "make", "boils")...)
	s.takeFoods(&r)
	r.consumes = r.consumes.or(sugarCues).with(cueSwap, cueTotal, cueYield, cueReduce, cueChange, cueExtra, cueMakeable, cueSugarword, cueLose, cueFrom)
	r.extra -= 4
	return []reading{r}
}

// ratioSyrup: "2 litres of 1:1 syrup", "what brix is a 2:1 syrup": sugar to water by mass.
func (s *sense) ratioSyrup(ms []measured) []reading {
	if !s.says("thing", "syrup") || len(ms) > 1 || s.recipeNamed("thing", "ask") {
		return nil
	}
	for k := range s.l.tokens {
		x, y, ok := strings.Cut(s.l.tokens[k].plain, ":")
		a, errA := quantity.Decimal(x)
		w, errW := quantity.Decimal(y)
		if !ok || errA != nil || errW != nil || a.Sign() <= 0 || w.Sign() <= 0 || a.Add(w).Cmp(quantity.Int(10)) > 0 {
			continue
		}
		r := s.craft(WantMixBrix, "balance", "ratio")
		r.q.Craft.Brix = []quantity.Number{a.Mul(quantity.Int(100)).Div(a.Add(w))}
		r.q.Craft.Use = s.l.tokens[k].plain
		if i := s.spanAt(k); i >= 0 {
			r.used[i] = true
		}
		s.takeDims(&r, ms, quantity.Mass, quantity.Volume)
		if len(r.q.Craft.Amounts) > 0 {
			r.q.Craft.Topic = "make"
		}
		s.useAll(&r, "thing")
		s.use(&r, s.termsNamed("ask", "make", "mix")...)
		r.consumes = r.consumes.or(sugarCues).with(cueMethod, cueYield, cueTotal)
		for _, i := range s.units {
			r.used[i] = true
		}
		for _, i := range s.clock { // "1:1" is no time of day
			r.used[i] = true
		}
		r.extra -= 4
		return []reading{r}
	}
	return nil
}

// goalLast puts the °Bx that is wanted behind the two that are there: "1 kg at 30 from 60 and 20 brix".
func (s *sense) goalLast(ms []measured, bx []quantity.Number) []quantity.Number {
	k := -1
	n := 0
	for _, m := range ms {
		if m.dim != quantity.Brix && !(m.dim == quantity.None && s.isBrix(ms, m)) {
			continue
		}
		if w := s.before(m.i); k < 0 && (w == "at" || w == "to" || w == "of" || w == "into") {
			k = n
		}
		n++
	}
	if k < 0 {
		return bx
	}
	out := slices.Delete(slices.Clone(bx), k, k+1)
	return append(out, bx[k])
}

// addsSugar tells "how much sugar" from "how far to reduce".
func (s *sense) addsSugar() bool {
	if s.any(cueReduce, cueLose) || s.says("ask", "evaporated") || s.boilsUp() {
		return false
	}
	for _, t := range s.termsNamed("thing", "sugar") {
		for i := range s.p.spans {
			if sp := s.span(i); sp.kind == spanCue && sp.cues.has(cueHowmuch) && sp.to <= t.from && t.from-sp.to < 3 {
				return true
			}
		}
	}
	return s.says("ask", "add") && s.says("thing", "sugar")
}

// brixes are the °Bx of the message; "60 and 20 brix" are two, so are "12 brix, i want 22".
func (s *sense) brixes(ms []measured) []quantity.Number {
	var out []quantity.Number
	for _, m := range ms { // "from 20 to 60 brix", written as a range
		if m.dim == quantity.Brix && m.hi != nil && counted(ms, quantity.Brix) == 1 {
			return []quantity.Number{m.n, *m.hi}
		}
	}
	if counted(ms, quantity.Brix) == 1 && counted(ms, quantity.None) == 1 {
		for _, m := range ms {
			if m.dim == quantity.Brix || m.dim == quantity.None && m.of == nil && m.n.Sign() > 0 && m.n.Cmp(quantity.Int(100)) <= 0 {
				out = append(out, m.n)
			}
		}
		return out
	}
	for _, m := range ms {
		if m.dim == quantity.Brix || m.dim == quantity.None && s.isBrix(ms, m) {
			out = append(out, m.n)
		}
	}
	return out
}

// isBrix tells a bare number that shares the unit of the °Bx after it: "60 and 20 brix".
func (s *sense) isBrix(ms []measured, m measured) bool {
	end := s.span(m.i).to
	for _, o := range ms {
		if o.dim != quantity.Brix || s.span(o.i).from <= end {
			continue
		}
		gap := s.l.tokens[end:s.span(o.i).from]
		var w []string
		for _, t := range gap {
			w = append(w, t.plain)
		}
		switch strings.Join(w, " ") {
		case "and", "to", "with", "or", "and a":
			return true
		}
	}
	return false
}

// itemIn reports whether an ingredient stands before "in" and token k: "cream in the caramel".
func (s *sense) itemIn(k int) bool {
	t := s.l.tokens
	j := k - 1
	for j > 0 && (isArticle(t[j].plain) || t[j].plain == "in" || t[j].plain == "into" || t[j].plain == "for") {
		j--
	}
	if j < 0 || j == k-1 || t[j+1].breaks || s.any(cueTemp, cueReading) || len(s.quant) > 0 {
		return false
	}
	i := s.spanAt(j)
	return i >= 0 && s.span(i).kind == spanName && s.l.ingredientAt(s.span(i)) && s.folded(s.span(i)) != "sugar"
}
