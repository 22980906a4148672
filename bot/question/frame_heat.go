package question

import (
	"slices"
	"sync"

	"tamis/calc/quantity"
	"tamis/kb"
)

// Heat is what a question about freezing, cooling or thawing by size gives.
type Heat struct {
	Op    string           // "freeze", "cool", "thaw", "set"; "" where only the recipe can tell
	Thick *quantity.Number // cm
	Was   *quantity.Number // cm, the size it is compared with
	Air   *quantity.Number // °C around it
	From  *quantity.Number // °C it starts at
	To    *quantity.Number // °C to reach
	Shape string           // "dome", "ball", "log"; "" is a slab
	In    string           // "ice", "blast"; "" by the place
	Told  bool             // From was logged, not said
}

var heatWords = sync.OnceValue(func() *workTable {
	t, err := readPhrases("words/heat.txt")
	if err != nil {
		panic(err) // embedded data, a test reads it too
	}
	return t
})

// same is equal for heat questions that ask the same.
func (h *Heat) same() string {
	out := "h" + h.Op + h.Shape + h.In
	for _, n := range []*quantity.Number{h.Thick, h.Was, h.Air, h.From, h.To} {
		out += ","
		if n != nil {
			out += n.String()
		}
	}
	return out
}

// frameHeat: how long something takes to freeze, cool or thaw by its thickness:
// "if I pour it 6 cm instead of 3", "how long will 4 l of jus 10 cm deep take to
// cool to 21". Without a thickness only what a depth is asked back for.
func frameHeat(s *sense) []reading {
	if len(s.l.tokens) > 26 || s.any(cueHowmuch, cueHowmany, cueCost, cueAllergen, cueRescue, cueConvert) || s.any(cueYield) && !s.saysHeat("ask") {
		return nil
	}
	h, used, ok := s.heat()
	if !ok || s.any(cueMoulds) && h.Thick == nil {
		return nil
	}
	if again := s.heatAgain(h, used); again != nil {
		return again
	}
	asked := s.saysHeat("ask") || s.saysHeat("instead") && h.Was != nil
	switch {
	case h.Thick != nil && asked && (h.Op != "" || h.Was != nil || s.saysHeat("deep")):
	case h.Thick == nil && h.Op == "cool" && s.saysHeat("ask") && (s.volume() >= 0 || slices.ContainsFunc(used, s.isAcross)): // its depth is asked back
	default:
		return nil
	}
	finish := func(r reading) reading {
		r.q.Heat = h
		for _, i := range used {
			r.used[i] = true
		}
		for i := range s.p.spans {
			if sp := s.span(i); sp.kind == spanCue || sp.kind == spanUnit || sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Volume || sp.kind == spanUnused && !sp.food && !sp.strange {
				r.used[i] = true
			}
		}
		for k := 0; k < len(s.l.tokens); k++ { // "ice bath", "deep", "blocks"
			n := 0
			for _, role := range []string{"ice", "blast", "deep", "slab", "ball", "cube", "log", "dome", "cool", "freeze", "thaw"} {
				n = max(n, s.heatAt(k, role))
			}
			for i := range s.p.spans {
				if sp := s.span(i); sp.from >= k && sp.to <= k+n && (sp.kind == spanUnused || sp.kind == spanName && len(s.recipesOf(i, 1)) == 0 || sp.kind == spanName && s.ice(sp)) {
					r.used[i] = true
				}
			}
		}
		r.q.Place = s.place()
		s.usePlace(&r)
		for _, i := range s.names { // "domes" of the shape, "tray" of the house
			if s.thingOf(i, kb.MouldName, kb.PanName, kb.MachineName) != nil && len(s.recipesOf(i, 1)) == 0 {
				r.used[i] = true
			}
		}
		r.q.Verbs = s.verbs()
		return r
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || len(p.spans) == 1 && p.spans[0] >= 0 && s.ice(s.span(p.spans[0])) {
			continue
		}
		r := finish(s.start(WantHeat, "time", p))
		r.extra -= 5
		if p.talk && s.ctx.Last != nil && h.Op == "" {
			r.q.Heat.Op = opOf(s.ctx.Last)
		}
		out = append(out, r)
	}
	if len(out) == 0 && len(s.names) == 0 {
		r := finish(s.reading(WantHeat, "time"))
		r.q.Targets, r.q.Missing = []Target{{}}, MissingRecipe
		r.extra += costNoRecipe - 5
		out = append(out, r)
	}
	return out
}

// ice reports whether a span is the ice of an ice bath.
func (s *sense) ice(sp *span) bool {
	return sp.to == sp.from+1 && s.l.tokens[sp.from].plain == "ice" && s.saysHeat("ice")
}

// saysHeat reports whether a phrase of heat.txt of that role stands in the message.
func (s *sense) saysHeat(role string) bool {
	for k := range s.l.tokens {
		if n := s.heatAt(k, role); n > 0 {
			return true
		}
	}
	return false
}

// heatAt is how many tokens from k on a phrase of that role covers.
func (s *sense) heatAt(k int, role string) int {
	words := make([]string, 0, 4)
	for _, t := range s.l.tokens[k:min(len(s.l.tokens), k+4)] {
		words = append(words, t.plain)
	}
	n, _ := heatWords().longest(words, []workRole{workRole(role)})
	return n
}

// volume is the span of a volume or mass of the food, −1 if there is none.
func (s *sense) volume() int {
	for _, i := range s.quant {
		if sp := s.span(i); sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.Volume || sp.q.Q.Unit.Dim == quantity.Mass) {
			return i
		}
	}
	return -1
}

// heat reads sizes, temperatures, shape and what is to happen; false where a
// number has no place in it.
func (s *sense) heat() (h Heat, used []int, ok bool) {
	for _, role := range []string{"thaw", "freeze", "cool", "set"} {
		if s.saysHeat(role) {
			h.Op = role
			break
		}
	}
	for _, shape := range []string{"dome", "ball", "cube", "log"} {
		if s.saysHeat(shape) {
			h.Shape = shape
			break
		}
	}
	switch {
	case s.saysHeat("ice"):
		h.In = "ice"
	case s.saysHeat("blast"):
		h.In = "blast"
	}
	if h.In != "" && h.Op == "freeze" && s.saysOf("chill", "chills", "cool", "chiller") && !s.saysOf("freeze", "frozen", "freezing", "freezes") {
		h.Op = "cool"
	}
	one := func(n quantity.Number) *quantity.Number { return &n }
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil {
			return h, nil, false
		}
		n, dim := sp.q.Q.N, sp.q.Q.Unit.Dim
		before := s.before(i)
		switch {
		case dim == quantity.Length && s.isIn(i) && before == "at" && h.Air == nil: // "at -30 in the freezer"
			h.Air = one(n)
		case dim == quantity.Length && s.isIn(i) && before == "from":
			h.From = one(n)
		case dim == quantity.Length && s.isIn(i): // "to 5 in the fridge"
			h.To = one(n)
		case dim == quantity.Length && s.isAcross(i):
		case dim == quantity.Length:
			n = sp.q.Q.Base()
			switch {
			case h.Thick == nil:
				h.Thick = one(n)
			case h.Was == nil:
				h.Was = one(n)
			default:
				return h, nil, false
			}
		case dim == quantity.Volume || dim == quantity.Mass:
			if s.volume() != i {
				return h, nil, false
			}
		case dim == quantity.Temperature || dim == quantity.None && (before == "at" || before == "to" || before == "from" || before == "-" || n.Sign() < 0):
			c := n
			if dim == quantity.Temperature {
				q, err := sp.q.Q.In(quantity.Celsius)
				if err != nil {
					return h, nil, false
				}
				c = q.N
			} else if h.Thick != nil && before == "from" && s.sizeBefore(sp.from-1) && s.after(i) != "to" && h.Was == nil {
				h.Was = one(n.Mul(s.lengthUnit()))
				break
			}
			switch {
			case before == "to" || before == "reach" || before == "until" || before == "till" || before == "til" || s.shortlyAfter(i, "core", "centre", "center", "middle"):
				h.To = one(c)
			case before == "from" || s.after(i) == "to" || s.shortlyAfter(i, "start", "starts", "starting", "started"):
				h.From = one(c)
			case h.Air == nil:
				h.Air = one(c)
			default:
				return h, nil, false
			}
		case dim == quantity.None && h.Thick != nil && h.Was == nil && s.saysHeat("instead"): // "6 cm instead of 3"
			h.Was = one(n.Mul(s.lengthUnit()))
		case dim == quantity.None && h.Thick == nil && s.lengthAfter(i): // "6 instead of 3 cm"
			h.Thick = one(n.Mul(s.lengthUnit()))
		default:
			return h, nil, false
		}
		used = append(used, i)
	}
	if h.Op == "" && h.Thick != nil && h.Was == nil && h.To != nil { // "2 cm deep, how long til 5 degrees"
		h.Op = "cool"
		if h.To.Sign() < 0 {
			h.Op = "freeze"
		}
	}
	if h.Thick != nil && h.Was != nil && s.saysOf("from", "was", "normally") && s.firstIsOld() { // "from 3 cm to 6"
		h.Thick, h.Was = h.Was, h.Thick
	}
	return h, used, true
}

// isIn reports whether what reads as inches is a number before "in the".
func (s *sense) isIn(i int) bool {
	sp := s.span(i)
	if !sp.q.Q.Unit.Equal(quantity.Inch) || s.l.tokens[sp.to-1].plain != "in" {
		return false
	}
	switch s.after(i) {
	case "the", "a", "an", "our", "my":
		return true
	}
	return false
}

// depthWord reports whether a span is "deep" behind a size, where the house has a
// deep freezer: "12 cm deep".
func (s *sense) depthWord(i int) bool {
	sp := s.span(i)
	return i > 0 && sp.to == sp.from+1 && s.heatAt(sp.from, "deep") == 1 && s.span(i-1).kind == spanQuantity && s.span(i-1).q.Q.Unit.Dim == quantity.Length
}

// shortlyAfter reports whether one of these words stands before span i, two words between them at most: "core is at -10", "starting at 10".
func (s *sense) shortlyAfter(i int, words ...string) bool {
	for k := s.span(i).from - 1; k >= max(0, s.span(i).from-3); k-- {
		if s.l.tokens[k+1].breaks {
			return false
		}
		if slices.Contains(words, s.l.tokens[k].plain) {
			return true
		}
	}
	return false
}

// sizeBefore reports whether a length ends before token k, "deep" or "thick" aside: "6 cm deep from 3" is of sizes, "6 cm thick in the
// freezer from 10" of temperatures.
func (s *sense) sizeBefore(k int) bool {
	for k > 0 && (s.heatAt(k-1, "deep") == 1) {
		k--
	}
	for _, i := range s.quant {
		if sp := s.span(i); sp.kind == spanQuantity && sp.to == k && sp.q.Q.Unit.Dim == quantity.Length {
			return true
		}
	}
	return false
}

// isAcross reports whether a length is how wide a pot is, not how deep it stands.
func (s *sense) isAcross(i int) bool {
	switch s.after(i) {
	case "pot", "pan", "saucepan", "rondeau", "wide", "across", "diameter", "bowl", "casserole":
		return s.saysHeat("cool")
	}
	return false
}

// firstIsOld reports whether the first size of the message is the old one.
func (s *sense) firstIsOld() bool {
	for _, i := range s.quant {
		if s.span(i).q.Q.Unit.Dim == quantity.Length || s.span(i).q.Q.Unit.Dim == quantity.None {
			switch s.before(i) {
			case "from", "was", "normally":
				return true
			}
			return false
		}
	}
	return false
}

// lengthUnit is the unit of the first length of the message, in cm.
func (s *sense) lengthUnit() quantity.Number {
	for _, i := range s.quant {
		if u := s.span(i).q.Q.Unit; s.span(i).kind == spanQuantity && u.Dim == quantity.Length {
			return u.Factor()
		}
	}
	return quantity.Int(1)
}

// lengthAfter reports whether a length follows span i.
func (s *sense) lengthAfter(i int) bool {
	for _, k := range s.quant {
		if k > i && s.span(k).kind == spanQuantity && s.span(k).q.Q.Unit.Dim == quantity.Length {
			return s.saysHeat("instead")
		}
	}
	return false
}

// heatAgain goes on from a question that asked for a depth or a temperature
// back, or replaces what a short line names: "10 cm", "and in the blast freezer".
func (s *sense) heatAgain(h Heat, used []int) []reading {
	if s.ctx == nil || len(s.l.tokens) > 8 {
		return nil
	}
	before := s.ctx.Pending
	if before == nil || before.Want != WantHeat {
		before = s.ctx.Last
	}
	if before == nil || before.Want != WantHeat || before.Missing == MissingRecipe {
		return nil
	}
	for _, i := range s.names {
		if s.thingOf(i, kb.ColdName) == nil {
			return nil // another recipe
		}
	}
	r := s.reading(WantHeat, "time")
	r.q = *before
	r.q.Assumed, r.q.Unused, r.q.Strange, r.q.Lost, r.q.Choices = nil, nil, nil, false, nil
	r.q.Say, r.q.FromTalk = s.l.text, true
	n := &r.q.Heat
	some := false
	put := func(to **quantity.Number, v *quantity.Number) {
		if v != nil {
			*to, some = v, true
		}
	}
	put(&n.Thick, h.Thick)
	put(&n.Was, h.Was)
	put(&n.From, h.From)
	put(&n.To, h.To)
	put(&n.Air, h.Air)
	if h.Air != nil && n.From == nil && before == s.ctx.Pending && n.Thick != nil { // "85 °C", asked from what
		n.From, n.Air = h.Air, before.Heat.Air
	}
	if h.In != "" {
		n.In, some = h.In, true
		n.Air = nil
	}
	if p := s.place(); p != "" && p != before.Place {
		r.q.Place, some = p, true
		n.Air = nil
		if h.In == "" {
			n.In = ""
		}
	}
	if h.Op != "" && h.Op != n.Op {
		n.Op, some = h.Op, true
	}
	if !some {
		return nil
	}
	for i := range r.used {
		r.used[i] = true
	}
	r.extra = -s.p.cost - 2*Margin
	return []reading{r}
}

// opOf is what the last question was about: a step that freezes, cools or thaws.
func opOf(last *Question) string {
	for _, v := range last.Verbs {
		switch v {
		case "freeze", "harden":
			return "freeze"
		case "chill", "cool", "refrigerate":
			return "cool"
		case "set":
			return "set"
		case "thaw", "defrost":
			return "thaw"
		}
	}
	return ""
}
