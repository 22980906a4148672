package answer

import (
	"math"
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/calc/swap"
	"tamis/calc/texture"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/name"
)

// Texture is what a change of a recipe does to its texture: the contents that
// texture goes by, as they were and are, and directions. No direction is told
// that the numbers do not carry.
func Texture(was, now *Book, d diff.Recipe) *Answer {
	a := &Answer{Status: StatusAnswer, About: "history", Form: FormChange}
	if d.Was == nil || d.Now == nil {
		return a
	}
	a.Recipe, a.Title = d.Now, Title{Recipe: d.Now.Name}
	c := comparison{was: was, now: now, d: &d, a: a}
	c.gelatine()
	c.shares(mix.Fat, mix.MilkFat, mix.CocoaButter, mix.Starch, mix.Sugars, mix.Alcohol)
	c.solids()
	c.texture()
	switch {
	case isBaked(d.Now):
		a.note("texture baked")
	case len(a.Facts) == 0 && len(a.Notes) == 0:
		a.note("texture same", d.Now.Name)
	default:
		a.note("texture trial")
	}
	return a
}

// mixtures are a recipe before and after; ok is false where one cannot be worked out.
func (c *comparison) mixtures() (was, now mix.Mixture, ok bool) {
	if c.d.Was == nil || c.d.Now == nil {
		return was, now, false
	}
	x, err := mix.Compose(c.was.mixOf(c.d.Was), nil)
	if err != nil {
		return was, now, false
	}
	y, err := mix.Compose(c.now.mixOf(c.d.Now), nil)
	if err != nil {
		return was, now, false
	}
	return x.WithCores(), y.WithCores(), true
}

// shares adds the contents that read differently.
func (c *comparison) shares(keys ...mix.Key) {
	was, now, ok := c.mixtures()
	if !ok {
		return
	}
	for _, k := range keys {
		c.share(k.String(), was.Per100(k), now.Per100(k))
	}
}

func (c *comparison) solids() {
	if was, now, ok := c.mixtures(); ok {
		c.share("solids", was.SolidsPer100(), now.SolidsPer100())
	}
}

func (c *comparison) share(what string, x, y mix.Content) {
	if !known(x) || !known(y) {
		return
	}
	f, old := c.now.bounded(what, y, quantity.Int(1), "%"), c.was.bounded(what, x, quantity.Int(1), "%")
	if f.Shown == old.Shown || f.Value == nil {
		return
	}
	f.Of, f.From = c.d.Now.Name, FromCalculated
	f.become(old)
	c.a.add(f)
}

// oneBloom is the gelatine of a recipe's water, both at the Bloom of the new one.
func (c *comparison) oneBloom() (was, now quantity.Number, bloom quantity.Number, ok bool) {
	if c.d.Was == nil || c.d.Now == nil {
		return was, now, bloom, false
	}
	if u, v := usedGelatine(c.d.Was), usedGelatine(c.d.Now); u.vague || v.vague || !u.linked.sameAs(v.linked) {
		return was, now, bloom, false
	}
	y, _, _, ok := c.now.waterPhase(c.d.Now)
	if !ok {
		return was, now, bloom, false
	}
	x, _, _, ok := c.was.waterPhase(c.d.Was)
	if !ok {
		return was, now, bloom, false
	}
	was, now, bloom = x.Share, y.Share, y.Bloom
	switch {
	case x.Bloom.IsZero() != y.Bloom.IsZero():
		return was, now, bloom, false
	case !x.Bloom.Equal(y.Bloom):
		n, err := quantity.FromFloat(x.Share.Float()*math.Sqrt(x.Bloom.Div(y.Bloom).Float()), 4)
		if err != nil {
			return was, now, bloom, false
		}
		was = n
	}
	return was, now, bloom, true
}

// gelatine adds the gelatine's share of the water where it changed.
func (c *comparison) gelatine() {
	was, now, bloom, ok := c.oneBloom()
	if !ok {
		return
	}
	f := c.now.figure("gelatine", now, quantity.Percent)
	old := c.was.figure("gelatine", was, quantity.Percent)
	if f.Shown == old.Shown {
		return
	}
	f.Of, f.At, f.From, f.Part = c.d.Now.Name, "of the water", FromCalculated, "of the water"
	if bloom.Sign() > 0 {
		f.How = "both at " + bloom.String() + " Bloom"
	}
	f.become(old)
	c.a.add(f)
}

// texture adds the directions as notes.
func (c *comparison) texture() {
	x, y, ok := c.profiles()
	if !ok || isBaked(c.d.Now) {
		return
	}
	var apart []string
	for _, ch := range texture.Compare(x, y) {
		if len(ch.Against) > 0 {
			for _, k := range append(slices.Clone(ch.Causes), ch.Against...) {
				if !slices.Contains(apart, k.String()) {
					apart = append(apart, k.String())
				}
			}
			continue
		}
		way := "less"
		if ch.Up {
			way = "more"
		}
		var by []string
		for _, k := range ch.Causes {
			by = append(by, k.String())
		}
		c.a.note("texture "+[...]string{"set", "melt", "frozen", "flow"}[ch.Trait]+" "+way, strings.Join(by, ", "))
	}
	if len(apart) > 0 {
		c.a.note("texture apart", strings.Join(apart, ", "))
	}
}

func isFrozen(r *kb.Recipe) bool { return hasStep(r, "freeze", "churn") }

// isBaked: what heat makes of it, its contents do not tell.
func isBaked(r *kb.Recipe) bool { return hasStep(r, "bake", "fry", "roast", "dry", "toast") }

func hasStep(r *kb.Recipe, verbs ...string) bool {
	for i := range r.Method {
		if slices.Contains(verbs, name.Fold(r.Method[i].Verb)) {
			return true
		}
	}
	return false
}

// profiles are the contents that texture goes by.
func (c *comparison) profiles() (was, now texture.Profile, ok bool) {
	x, y, ok := c.mixtures()
	if !ok {
		return was, now, false
	}
	was, now = profileOf(x), profileOf(y)
	was.Others, now.Others = others(c.d.Was), others(c.d.Now)
	if !isFrozen(c.d.Now) { // it says nothing of what is never frozen
		was.Known[texture.Freezing], now.Known[texture.Freezing] = false, false
	}
	if a, b, _, ok := c.oneBloom(); ok {
		was.Of[texture.Gelatine], was.Known[texture.Gelatine] = exact(a), true
		now.Of[texture.Gelatine], now.Known[texture.Gelatine] = exact(b), true
	} else if x, y := gelatineFree(c.d.Was), gelatineFree(c.d.Now); x != y {
		// gelatine comes in or goes: a direction without a share
		was.Of[texture.Gelatine], was.Known[texture.Gelatine] = exact(one(!x)), true
		now.Of[texture.Gelatine], now.Known[texture.Gelatine] = exact(one(!y)), true
	}
	return was, now, true
}

func one(yes bool) quantity.Number {
	if yes {
		return quantity.Int(1)
	}
	return quantity.Number{}
}

func gelatineFree(r *kb.Recipe) bool { return !usedGelatine(r).any }

// gelatineUse is where a recipe has gelatine.
type gelatineUse struct {
	any    bool // in it or in its parts, weighed or not
	vague  bool // some of it has no mass, or its own lines are of several strengths
	linked grams
}

// grams in 100 g.
type grams struct{ quantity.Number }

// sameAs reports whether two are alike to a twentieth.
func (g grams) sameAs(o grams) bool {
	most := quantity.Frac(21, 20)
	return g.Cmp(o.Mul(most)) <= 0 && o.Cmp(g.Mul(most)) <= 0
}

func usedGelatine(r *kb.Recipe) gelatineUse {
	var u gelatineUse
	var bloom *quantity.Number
	own := 0
	eachPart(r, quantity.Int(100), 0, func(l *kb.Line, share mix.Content, depth int) {
		if agentOf(l.Item, l.Name) != "gelatine" {
			return
		}
		u.any = true
		u.vague = u.vague || share.Open
		if depth > 0 {
			u.linked.Number = u.linked.Add(share.AtLeast)
			return
		}
		var b *quantity.Number
		if l.Item != nil {
			b = l.Item.Bloom
		}
		if own > 0 && ((b == nil) != (bloom == nil) || b != nil && !b.Equal(*bloom)) {
			u.vague = true
		}
		bloom, own = b, own+1
	})
	return u
}

func exact(n quantity.Number) mix.Content {
	return mix.Content{AtLeast: n, AtMost: n, Exact: true}
}

func profileOf(m mix.Mixture) (p texture.Profile) {
	put := func(k texture.Cause, c mix.Content) { p.Of[k], p.Known[k] = c, !c.Open }
	water := m.Per100(mix.Water)
	inWater := func(k texture.Cause, c mix.Content) {
		if c.Open || water.Open || water.AtLeast.Sign() <= 0 {
			return
		}
		put(k, mix.Content{AtLeast: c.AtLeast.Mul(hundred).Div(water.AtMost), AtMost: c.AtMost.Mul(hundred).Div(water.AtLeast)})
	}
	milk, cocoa := m.Per100(mix.MilkFat), m.Per100(mix.CocoaButter)
	put(texture.CocoaButter, cocoa)
	put(texture.HardFat, mix.Content{AtLeast: milk.AtLeast.Add(cocoa.AtLeast), AtMost: milk.AtMost.Add(cocoa.AtMost), Open: milk.Open || cocoa.Open})
	put(texture.Solids, m.SolidsPer100())
	inWater(texture.Starch, m.Per100(mix.Starch))
	inWater(texture.Alcohol, m.Per100(mix.Alcohol))
	inWater(texture.Freezing, swap.Ingredient{Comp: m.Composition()}.Per100(swap.FreezingPower))
	return p
}

// others are what acts on the texture of a recipe, with its parts, beside the contents that are weighed: gelling agents and
// thickeners, egg, other hard fats, and what nobody knows, which may be any of them.
func others(r *kb.Recipe) map[string]texture.Other {
	out := map[string]texture.Other{}
	eachPart(r, quantity.Int(100), 0, func(l *kb.Line, share mix.Content, _ int) {
		o := otherOf(l)
		if !o.Sets && !o.Fat {
			return
		}
		key := l.Fold
		if l.Item != nil {
			key = l.Item.Name
		}
		have := out[key].Of
		o.Of = mix.Content{AtLeast: have.AtLeast.Add(share.AtLeast), AtMost: have.AtMost.Add(share.AtMost), Open: have.Open || share.Open}
		out[key] = o
	})
	return out
}

// eachPart goes over the ingredients of a recipe and of its parts with their share of so many g; open where it is in no mass.
func eachPart(r *kb.Recipe, of quantity.Number, depth int, do func(l *kb.Line, share mix.Content, depth int)) {
	var total quantity.Number
	for i := range r.Lines {
		if r.Lines[i].HasGrams {
			total = total.Add(r.Lines[i].Grams)
		}
	}
	for i := range r.Lines {
		l := &r.Lines[i]
		share := mix.Content{Open: true}
		if l.HasGrams && total.Sign() > 0 {
			share = exact(l.Grams.Mul(of).Div(total))
		}
		switch {
		case l.Link == nil:
			do(l, share, depth)
		case depth < 8:
			eachPart(l.Link, share.AtLeast, depth+1, do)
		}
	}
}

// otherOf is how an ingredient acts that its contents do not show.
func otherOf(l *kb.Line) texture.Other {
	agent := agentOf(l.Item, l.Name)
	if agent == "gelatine" {
		return texture.Other{}
	}
	if l.Item == nil {
		return texture.Other{Sets: true, Fat: true}
	}
	o := texture.Other{Sets: agent != "" || l.Item.Bloom != nil || slices.Contains([]string{"gelling", "thickener", "egg"}, l.Item.Category)}
	if n, ok := l.Item.Comp.Get(mix.Starch); ok && n.Cmp(quantity.Int(50)) > 0 { // it is weighed as starch
		o.Sets = false
	}
	names := append([]string{l.Name, l.Item.Name}, l.Item.Also...)
	o.Fat = slices.ContainsFunc(names, func(n string) bool {
		return slices.ContainsFunc(name.Words(n), func(w string) bool { return slices.Contains(hardFats, w) })
	})
	if l.Item.Category == "fat" && !slices.ContainsFunc(names, func(n string) bool { return slices.Contains(name.Words(n), "oil") }) {
		o.Fat = true
	}
	return o
}

// hardFats are words of fats that are solid in a fridge and neither milk fat nor cocoa butter, or are sold under a name of either
// kind (S-738).
var hardFats = []string{"coconut", "palm", "margarine", "shortening", "suet", "tallow", "dripping", "lard"}
