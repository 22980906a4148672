package answer

import (
	"errors"
	"math"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/foodcode"
	"tamis/calc/heat"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/reduce"
	"tamis/kb"
	"tamis/kb/recipe"
)

// heatVerbs are the steps of a recipe that a change of heat means.
var heatVerbs = map[string][]string{
	"freeze": {"freeze", "harden"}, "cool": {"chill", "cool", "refrigerate"}, "thaw": {"thaw", "defrost", "temper"}, "set": {"set", "chill", "freeze"},
}

// warming is a question about heat made exact.
type warming struct {
	r        *kb.Recipe
	step     *recipe.Step // the book's own, nil if it has none
	op       string       // "freeze", "cool", "thaw"
	thick    quantity.Number
	air      float64
	place    string
	medium   heat.Medium
	from, to float64
	material heat.Material
	water    bool // taken as water
}

// heatTime estimates how long something takes to freeze, cool or thaw by its
// thickness; the book's own time stands beside it and wins.
func heatTime(b *Book, a *Answer, q *question.Question, now time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		a.asks("ask recipe", nil)
		return
	}
	w, ok := b.warming(a, q)
	if !ok {
		return
	}
	if err := b.makeup(a, &w); err != nil {
		b.heatRefused(a, &w, err)
		return
	}
	e, err := w.estimate(cmOf(w.thick), q.Heat.Shape)
	if err != nil {
		b.heatRefused(a, &w, err)
		return
	}
	main := estimateFact(w.op, e)
	main.Of, main.At = w.r.Name, w.thick.Fixed(1)+" cm, "+w.where()
	main = main.cite(FromCalculated, w.source())
	if q.Heat.Was != nil {
		if !w.compared(a, q, e) {
			a.add(main)
		}
	} else {
		a.add(main)
	}
	b.heatBook(a, &w)
	b.heatLimit(a, &w, e)
	a.bySource()
	w.taken(a, q, e)
	a.Title = Title{Recipe: w.r.Name}
}

func cmOf(n quantity.Number) float64 { return n.Float() / 100 }

// warming finds the step, the place and the temperatures; it asks back for what
// only the cook can know.
func (b *Book) warming(a *Answer, q *question.Question) (w warming, ok bool) {
	w.r = q.Targets[0].Recipe
	op := q.Heat.Op
	if op == "" {
		switch {
		case coreStep(w.r) != nil:
			op = "freeze"
		case setStep(w.r) != nil && verbIs(setStep(w.r), "set"):
			op = "set"
		default:
			op = "cool"
		}
	}
	for _, v := range heatVerbs[op] {
		if ps := b.stepsOf(w.r, func(st *recipe.Step) bool { return verbIs(st, v) && st.For != nil }); len(ps) > 0 && ps[0].of == w.r {
			w.step = ps[0].step
			break
		}
	}
	if op == "set" && w.step == nil {
		w.step = setStep(w.r)
	}
	w.place = q.Place
	if w.place == "" && w.step != nil {
		w.place = w.step.Where
	}
	set := op == "set"
	if set { // it sets by freezing or by cooling
		op = "cool"
		if b.isFreezer(w.place) {
			op = "freeze"
		}
	}
	w.op = op
	if q.Heat.Thick == nil {
		a.asks("ask thick", nil, w.r.Name)
		return w, false
	}
	w.thick = *q.Heat.Thick
	if !b.air(a, q, &w) {
		return w, false
	}
	return w, b.fromTo(a, q, &w, set)
}

// air finds what is around it: said, named, the step's, else the house's own.
func (b *Book) air(a *Answer, q *question.Question, w *warming) bool {
	if q.Heat.In == "ice" || q.Heat.In == "" && q.Heat.Air == nil && q.Place == "" && w.op == "cool" && overIce(w.step) {
		w.medium, w.air, w.place = heat.IceWater, 0, "ice water"
		if w.op == "freeze" {
			w.op = "cool"
		}
		return true
	}
	kind := "fridge"
	if w.op == "freeze" {
		kind = "freezer"
	}
	blast := q.Heat.In == "blast" || strings.Contains(w.place, "blast")
	c, ok := b.Snap.Cold(w.place)
	if blast && !strings.Contains(w.place, "blast") {
		for _, x := range b.Snap.House.Cold {
			if strings.Contains(x.Name, "blast") {
				c, ok, w.place = x, true, x.Name
				break
			}
		}
	}
	if !ok && (w.place == "" || w.place == "fridge" || w.place == "freezer" || b.isFreezer(w.place) != (kind == "freezer")) {
		for _, x := range b.Snap.House.Cold { // the first of the house
			if b.isPlace(x.Name, kind) && strings.Contains(x.Name, "blast") == blast {
				c, ok = x, true
				break
			}
		}
	}
	switch {
	case q.Heat.Air != nil:
		w.air = q.Heat.Air.Float()
		if w.place == "" || !ok || math.Abs(c.At.Base().Float()-w.air) > 5 {
			w.place = ""
		}
	case ok:
		w.air, w.place = c.At.Base().Float(), c.Name
	default:
		a.asks("ask air", nil, w.r.Name)
		return false
	}
	if blast {
		w.medium = heat.MovingAir
	}
	return true
}

// overIce reports whether the book's own step cools in ice water.
func overIce(st *recipe.Step) bool {
	return st != nil && st.Where == "" && (strings.Contains(st.Words, "ice bath") || strings.Contains(st.Words, "over ice") || strings.Contains(st.Words, "ice water"))
}

// fromTo finds the temperatures between which it goes.
func (b *Book) fromTo(a *Answer, q *question.Question, w *warming, set bool) bool {
	h := &q.Heat
	switch w.op {
	case "freeze":
		w.from, w.to = 20, -10
		if w.step != nil && w.step.UntilCore != nil {
			if c := w.step.UntilCore.Base().Float(); c > w.air+1 && c < -5 {
				w.to = c
			}
		}
		if w.air > -12 {
			w.to = w.air + 2
		}
	case "thaw":
		w.from, w.to = -18, 0
	default:
		w.to = max(5, w.air+5)
		if w.step != nil && w.step.To != nil && w.step.To.Temperature != nil {
			if t := w.step.To.Temperature.Base().Float(); t > w.air {
				w.to = t
			}
		}
		from, ok := b.hotFrom()
		switch {
		case h.From != nil:
		case set:
			from = 40
		case !ok:
			a.asks("ask from", nil, w.r.Name)
			return false
		}
		w.from = from
	}
	if h.From != nil {
		w.from = h.From.Float()
	}
	if h.To != nil && w.op != "thaw" {
		w.to = h.To.Float()
	}
	if w.op == "cool" && h.Told && w.from <= w.to {
		a.unknown("heat there", w.r.Name, decimal(w.from).Fixed(1)+" °C", decimal(w.to).Fixed(1)+" °C")
		return false
	}
	return true
}

// hotFrom is where the house's code begins to count the cooling, else its limit
// of hot holding.
func (b *Book) hotFrom() (float64, bool) {
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	if err != nil {
		return 0, false
	}
	if l, ok := row(c, foodcode.Cool, nil); ok {
		return l.From, true
	}
	l, ok := row(c, foodcode.HotHold, nil)
	return l.C, ok
}

// makeup works out what it is like to heat. A liquid of which too little is
// known is taken as water where nothing freezes, never where something does.
func (b *Book) makeup(a *Answer, w *warming) error {
	comp, err := mix.Compose(b.mixOf(w.r), reduce.AlcoholLost)
	var m mix.Mixture
	if err == nil {
		m = comp.WithCores()
		err = heat.Fit(m)
	} else {
		err = heat.ErrComposition
	}
	if err == nil {
		var k heat.Makeup
		if k, err = heat.Known(m); err == nil {
			var fp float64
			if fp, err = heat.FreezingPoint(m); err == nil {
				cold := min(w.to, w.air, fp-1)
				w.material, err = k.Material(fp, max(w.from, 0), max(cold, -40))
				return err
			}
		}
	}
	if errors.Is(err, heat.ErrComposition) && w.op == "cool" {
		w.water = true
		w.material, err = heat.Makeup{Water: 1}.Material(-0.01, max(w.from, 0), -1)
	}
	return err
}

// piece is the shape that is reckoned with: a dome as a puck as wide as it is
// and half as high.
func piece(m float64, shape string) heat.Piece {
	switch shape {
	case "ball":
		return heat.SphereOf(m)
	case "cube":
		return heat.BrickOf(m, m, m)
	case "log":
		return heat.CylinderOf(m)
	case "dome":
		return heat.FiniteCylinderOf(m, m/2)
	}
	return heat.SlabOf(m)
}

func (w *warming) estimate(m float64, shape string) (heat.Estimate, error) {
	switch w.op {
	case "freeze":
		return heat.FreezeIn(piece(m, shape), w.material, w.medium, w.air, w.from, w.to)
	case "thaw":
		return heat.ThawIn(piece(m, shape), w.material, w.medium, w.air, w.from)
	}
	return heat.CoolDepth(m, w.material, w.medium, w.air, w.from, w.to)
}

func (w *warming) source() string {
	switch w.op {
	case "freeze":
		return "S-804"
	case "thaw":
		return "S-807"
	}
	return "S-808"
}

func (w *warming) where() string {
	at := decimal(w.air).Fixed(1) + " °C"
	if w.place == "" {
		return "at " + at
	}
	return w.place
}

// estimateFact is an estimate with its range, shown no finer than it can be known.
func estimateFact(what string, e heat.Estimate) Fact {
	v, lo, hi, pm := exactOf(e.Minutes), exactOf(e.Min), exactOf(e.Max), exactOf(e.PlusMinus())
	return Fact{What: what, Value: &v, Min: &lo, Max: &hi, PlusMinus: &pm, Unit: "min", Shown: roughly(e.Minutes) + " (" + roughly(e.Min) + " to " + roughly(e.Max) + ")"}
}

// exactOf is a float as a number, to the thousandth.
func exactOf(v float64) quantity.Number { return quantity.Frac(int64(math.Round(v*1000)), 1000) }

// roughly is a time of an estimate, to 5 min, a quarter, half or whole hour.
func roughly(minutes float64) string {
	step := 5.0
	switch {
	case minutes >= 4320:
		step = 1440
	case minutes >= 600:
		step = 60
	case minutes >= 300:
		step = 30
	case minutes >= 90:
		step = 15
	case minutes < 20:
		step = 1
	}
	n := quantity.Int(int64(max(1, math.Round(minutes/step)) * step))
	return quantity.ShowTime(quantity.RoundTime(n))
}

// compared tells the time at another size from the book's own, false where the
// book has none.
func (w *warming) compared(a *Answer, q *question.Question, e heat.Estimate) bool {
	was, err := w.estimate(cmOf(*q.Heat.Was), q.Heat.Shape)
	if err != nil || was.Minutes <= 0 {
		return false
	}
	ratio := e.Minutes / was.Minutes
	r := cmOf(w.thick) / cmOf(*q.Heat.Was)
	lo, hi := min(r, r*r, ratio), max(r, r*r, ratio)
	n, l, h := exactOf(ratio), exactOf(lo), exactOf(hi)
	times := Fact{What: "times as long", Value: &n, Min: &l, Max: &h, Unit: "×", Shown: n.Fixed(1) + " × (" + l.Fixed(1) + " to " + h.Fixed(1) + ")", Of: w.r.Name,
		At: w.thick.Fixed(1) + " cm, not " + q.Heat.Was.Fixed(1)}
	times = times.cite(FromCalculated, w.source())
	book := bookMinutes(w.step)
	if book == 0 {
		a.add(times)
		return false
	}
	f := estimateFact(w.op, heat.Estimate{Minutes: book * ratio, Min: book * lo, Max: book * hi})
	f.Of, f.At, f.How = w.r.Name, w.thick.Fixed(1)+" cm, "+w.where(), w.step.For.Text+" × "+n.Fixed(1)
	f = f.cite(FromCalculated, w.source())
	a.add(f, times)
	return true
}

// bookMinutes is the least time of a step, else its longest; 0 if it has none.
func bookMinutes(st *recipe.Step) float64 {
	if st == nil || st.For == nil {
		return 0
	}
	for _, n := range []*quantity.Number{st.For.Exact, st.For.Min, st.For.Max} {
		if n != nil {
			return n.Float()
		}
	}
	return 0
}

// heatBook adds the book's own time, which wins.
func (b *Book) heatBook(a *Answer, w *warming) {
	if w.step == nil || w.step.For == nil {
		return
	}
	f := spanFact(w.step.Verb, w.step.For, w.step.Where)
	f.Of = w.r.Name
	if w.step.Where == "" {
		f.At = "the book"
	}
	a.add(f)
	a.note("heat book first")
}

// taken says what was taken for granted, and how far the estimate may be off.
func (w *warming) taken(a *Answer, q *question.Question, e heat.Estimate) {
	from, to, air := decimal(w.from), decimal(w.to), decimal(w.air)
	put := func(what string, n quantity.Number, from string) {
		a.add(Fact{What: what, Value: &n, Unit: "°C", Shown: n.Fixed(1) + " °C", From: from, Group: GroupNote})
	}
	asked := func(p *quantity.Number) string {
		if p != nil {
			return FromAsked
		}
		return FromPractice
	}
	house := FromPractice
	if w.place != "" && w.medium != heat.IceWater {
		house = FromHouse
	}
	put("from", from, asked(q.Heat.From))
	put("to", to, asked(q.Heat.To))
	if q.Heat.Air != nil {
		house = FromAsked
	}
	put("temperature", air, house)
	if q.Heat.Told {
		a.note("heat told", from.Fixed(1)+" °C")
	}
	medium := [...]string{heat.StillAir: "still air", heat.MovingAir: "moving air", heat.IceWater: "ice water"}[w.medium]
	if w.op == "thaw" {
		a.note("heat thaw", from.Fixed(1)+" °C", medium, air.Fixed(1)+" °C")
	} else {
		a.note("heat from to", from.Fixed(1)+" °C", to.Fixed(1)+" °C", medium, air.Fixed(1)+" °C")
	}
	switch {
	case w.op == "cool":
		a.note("heat depth")
	case q.Heat.Shape == "dome":
		a.note("heat dome")
	}
	if w.water {
		a.assume("taken as water")
	}
	for _, d := range e.Doubts {
		a.note("heat doubt " + doubtCode[d])
	}
	if w.op == "cool" && e.Max > 4*e.Min {
		a.note("heat stir")
	}
	off := exactOf(heat.KitchenFactor)
	a.add(Fact{What: "may be off by", Value: &off, Unit: "×", Shown: off.Fixed(1), From: FromPractice, Group: GroupNote})
	a.note("heat estimate", off.Fixed(1))
}

// doubtCode names the doubts in the catalogue.
var doubtCode = map[heat.Doubt]string{heat.DoubtAir: "air", heat.DoubtFinal: "final", heat.DoubtBiot: "biot", heat.DoubtStart: "start"}

// heatLimit holds a cooling against the house's code.
func (b *Book) heatLimit(a *Answer, w *warming, e heat.Estimate) {
	if w.op != "cool" {
		return
	}
	c, err := foodcode.Named(b.Snap.House.FoodCode)
	falls, none := c.Limits(foodcode.Cool)
	if err != nil || none != nil {
		a.caution("heat no limit")
		return
	}
	for _, l := range falls {
		if l.From == 0 || w.from < l.From || w.to < l.C {
			continue
		}
		f := ruleFacts(l)[0]
		a.add(f)
		if w.from > l.From { // the code counts from there
			part := *w
			part.from = l.From
			if p, err := part.estimate(cmOf(w.thick), ""); err == nil {
				e = p
			}
		}
		switch {
		case e.Minutes > l.Time.Minutes():
			a.caution("heat too slow", fall(l), f.Shown)
		case e.Max > l.Time.Minutes():
			a.caution("heat may be slow", fall(l), f.Shown)
		}
		a.caution("code first")
		return
	}
}

// heatRefused says why no estimate is made; the book's own time stands.
func (b *Book) heatRefused(a *Answer, w *warming, err error) {
	var rich *heat.RichError
	switch {
	case errors.As(err, &rich):
		code := "heat rich"
		if rich.NotEnough {
			code = "heat dry"
		}
		a.Status, a.Form = StatusRefused, FormTalk
		v, l := decimal(rich.Per100), decimal(rich.Limit)
		a.Why = phrase(code, w.r.Name, rich.What, v.Fixed(1)+" g", l.Fixed(1)+" g")
		has := Fact{What: rich.What, Min: &v, Unit: "%", Shown: v.Fixed(1) + " g", Of: w.r.Name, At: "in 100 g", From: FromCalculated}
		made := Fact{What: "limit", Max: &l, Unit: "%", Shown: l.Fixed(1) + " g", At: rich.What + " for an estimate", From: FromReference, Source: citation("S-806")}
		if rich.NotEnough {
			has.Min, has.Max, made.Min, made.Max = nil, &v, &l, nil
		}
		a.Facts = []Fact{has, made}
	case errors.Is(err, heat.ErrComposition):
		a.unknown("heat composition", w.r.Name)
	case errors.Is(err, heat.ErrNever):
		a.unknown("heat never", w.where(), decimal(w.air).Fixed(1)+" °C", decimal(w.to).Fixed(1)+" °C")
	case errors.Is(err, heat.ErrSize):
		a.unknown("heat size", w.thick.Fixed(1)+" cm")
	default:
		a.unknown("heat range")
	}
	if w.step != nil && w.step.For != nil {
		f := spanFact(w.step.Verb, w.step.For, w.step.Where)
		f.Of = w.r.Name
		if a.Status == StatusRefused {
			a.Facts = append([]Fact{f}, a.Facts...)
		} else {
			a.Words = []string{strings.TrimSpace(w.step.Verb + " " + w.step.For.Text)}
		}
		a.note("heat book says", w.step.Verb, strings.TrimSpace(w.step.For.Text+" "+inBrackets(w.step.Where)))
	}
	if rich != nil {
		a.note("heat log trials")
	}
}

// HeatTrial is how long a step took in this house.
type HeatTrial struct {
	Verb, Where    string
	Minutes, Thick float64 // Thick in cm; 0: as the size that is compared with
}

// FromTrials answers a question about heat from the house's own trials alone;
// false where they are too few or of another place or size.
func (b *Book) FromTrials(q *question.Question, trials []HeatTrial) (*Answer, bool) {
	a := &Answer{Status: StatusAnswer, About: q.About, Question: q, Form: FormLines, Recipe: q.Targets[0].Recipe}
	w, ok := b.warming(a, q)
	if !ok {
		return nil, false
	}
	verb := w.op
	if w.step != nil {
		verb = w.step.Verb
	}
	var own []heat.Trial
	for _, t := range trials {
		if t.Verb != verb || t.Where != w.place && (q.Place != "" || q.Heat.Air != nil) {
			continue
		}
		if t.Thick == 0 && q.Heat.Was != nil {
			t.Thick = q.Heat.Was.Float()
		}
		if t.Thick > 0 {
			own = append(own, heat.Trial{Thickness: t.Thick / 100, Minutes: t.Minutes})
		}
	}
	e, err := heat.Fitted(own, cmOf(w.thick))
	if err != nil {
		return nil, false
	}
	f := estimateFact(verb, e)
	f.Of, f.At = w.r.Name, w.thick.Fixed(1)+" cm, "+w.where()
	f = f.cite(FromHouse, "S-802")
	n := quantity.Int(int64(len(own)))
	a.add(f, Fact{What: "trials", Value: &n, Unit: "each", Shown: n.String(), Of: w.r.Name, From: FromHouse, Group: GroupNote})
	b.heatBook(a, &w)
	a.bySource()
	a.note("heat fitted", n.String())
	a.Title = Title{Recipe: w.r.Name}
	return a, true
}

func inBrackets(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}
