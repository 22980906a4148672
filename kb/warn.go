package kb

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/kb/recipe"
)

// mostOff is how far lines and makes may be apart before it is told.
var mostOff = quantity.Frac(15, 100)

// warnings tells what is odd about a good recipe.
func (b *builder) warnings(e *entry) {
	b.unknownNames(e)
	b.massOff(e)
	for i := range e.r.Method {
		b.panTooSmall(e, &e.r.Method[i])
	}
}

func (b *builder) unknownNames(e *entry) {
	for i := range e.lines {
		l := &e.lines[i]
		if l.Link != nil {
			if l.written().Kind == recipe.Measured && !l.HasGrams {
				e.warn(l.Pos, codeDensity, quote(l.Name)+" is measured by volume, but its recipe states no density: what it weighs is not known.",
					"a mass here, or density: in "+clip(l.Link.Name))
			}
			continue
		}
		if l.Item != nil || slices.ContainsFunc(e.lines[:i], func(o Line) bool { return o.Link == nil && o.Name == l.Name }) {
			continue
		}
		write := "its name as in the larder, or an entry for it in larder.yaml"
		e.asksNear = true
		if near := b.nearestNames().find(b.word(l.Name).fold, false); len(near) > 0 {
			write = strings.Join(near, ", or ") + ", if that is meant; else an entry for it in larder.yaml"
		}
		e.warn(l.Pos, codeUnknown, quote(l.Name)+" is neither in the larder nor a recipe of the book.", write)
	}
}

// massOff compares what the lines come to with what makes says, by mass or by
// the volume it fills.
func (b *builder) massOff(e *entry) {
	f := e.rec.Formula
	volume, filled := b.fillVolume(e.r.Makes)
	density, dense := aerated(e.r)
	if f.Unknown != "" || !f.HasStated && e.rec.HasFinished && !(filled && dense) {
		return
	}
	sum, missing := e.goesIn(f)
	worked := sum.Sub(quantity.Sum(f.Steps...)).Mul(one.Sub(f.LossShare)).Sub(f.LossMass)
	if worked.Sign() <= 0 && !missing && !sum.IsZero() {
		e.warn(e.r.Pos, codeMakes, "Its lines weigh "+grams(sum)+", and its steps and loss take all of it away.", "from: and to: as they are, or makes: with the finished mass")
		return
	}
	stated, what := f.Stated, "Makes says"
	if !f.HasStated {
		if !filled || !dense {
			return
		}
		stated, what = volume.Mul(density), "Makes fills"
	}
	off := worked.Sub(stated)
	if off.Abs().Cmp(stated.Mul(mostOff)) <= 0 || missing && off.Sign() < 0 {
		return
	}
	e.warn(e.r.Pos, codeMakes, what+" "+grams(stated)+", but the lines, less steps and loss, come to "+grams(worked)+".",
		"makes: the true mass, or loss:, or from: and to: of the step where it goes")
}

// goesIn adds up what goes into one batch; missing: a line that weighs something is in no mass.
func (e *entry) goesIn(f *scale.Formula) (sum quantity.Number, missing bool) {
	for i := range f.Lines {
		switch l := &f.Lines[i]; {
		case l.Core:
		case l.HasMass:
			sum = sum.Add(l.Mass)
		case e.lines[i].Amount.Kind != recipe.ToTaste && e.lines[i].Amount.Kind != recipe.Pinch:
			missing = true
		}
	}
	return sum, missing
}

// fillVolume returns the ml that makes fills: moulds less their cores, or frames.
func (b *builder) fillVolume(m *recipe.Makes) (quantity.Number, bool) {
	var none quantity.Number
	if m == nil {
		return none, false
	}
	if len(m.Frame) == 3 {
		return m.Frame[0].Mul(m.Frame[1]).Mul(m.Frame[2]).Mul(m.Count), true
	}
	if !m.Fill {
		return none, false
	}
	of := func(mould string, count quantity.Number) (quantity.Number, bool) {
		c := b.house.mould(b.word(mould).fold)
		if c == nil || c.Volume == nil {
			return none, false
		}
		return c.Volume.Base().Mul(count), true
	}
	volume, ok := of(m.Mould, m.Count)
	if ok && m.Core != "" {
		core, known := of(m.Core, m.CoreCount)
		volume, ok = volume.Sub(core), known
	}
	return volume, ok && volume.Sign() > 0
}

// panTooSmall tells when what a step puts into a pan is surely more than it holds.
func (b *builder) panTooSmall(e *entry, s *recipe.Step) {
	if s.In == "" {
		return
	}
	pan := b.house.pan(b.word(s.In).fold)
	if pan == nil || pan.Holds == nil {
		return
	}
	p := b.pan(e, s, false)
	lines := p.lines
	if lines == nil {
		lines = e.notCore()
	}
	if pan.Holds.Unit.Dim == quantity.Mass {
		if p.known && pan.Holds.Base().Less(p.mass) {
			e.tooMuch(s, grams(p.mass), pan)
		}
		return
	}
	if volume := b.volume(e, p, lines); pan.Holds.Base().Less(volume) {
		q, err := quantity.Of(volume, quantity.ML).In(pan.Holds.Unit)
		if err != nil {
			q = quantity.Of(volume, quantity.ML)
		}
		e.tooMuch(s, q.N.Fixed(2)+" "+q.Unit.Symbol, pan)
	}
}

func (e *entry) tooMuch(s *recipe.Step, much string, pan *recipe.Pan) {
	e.warn(s.Pos, codePan, "At least "+much+" go into the "+clip(pan.Name)+", which holds "+pan.Holds.String()+".", "in: a larger pan, or a smaller batch")
}

// volume returns ml of what is in the pan, by the recipe's density; without one
// a lower bound, the lines that pour: densities of dry goods are of heaps, and
// what pours fills their gaps. 0 where nothing is known.
func (b *builder) volume(e *entry, p pan, lines []int) quantity.Number {
	var mass, volume quantity.Number
	whole := true
	for _, i := range lines {
		l := &e.lines[i]
		mass = mass.Add(l.Grams)
		d, _, _, ok := b.density(l)
		if !ok || !l.HasGrams || !b.pours(l) {
			whole = false
			continue
		}
		volume = volume.Add(l.Grams.Div(d))
	}
	if d := e.r.Density; d != nil && d.Base().Sign() > 0 {
		if p.known {
			mass = p.mass
		}
		return mass.Div(d.Base())
	}
	if p.known && p.mass.Less(mass) {
		if !whole {
			return quantity.Number{}
		}
		return volume.Mul(p.mass).Div(mass)
	}
	return volume
}

// grams writes a mass for people.
func grams(n quantity.Number) string { return n.Fixed(0) + " g" }
