package answer

import (
	"errors"
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/calc/swap"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/recipe"
)

// ingredient is an item of the larder as calc/swap takes it.
func ingredient(it *larder.Item) swap.Ingredient {
	in := swap.Ingredient{Name: it.TradeName(), Category: it.Category, Comp: it.Comp, Milk: milkOf(it), DE: it.DE}
	if it.Bloom != nil {
		in.Bloom = *it.Bloom
	}
	in.Gelatine = strings.Contains(strings.ToLower(it.TradeName()), "gelatine")
	return swap.Complete(in)
}

// candidates are what may come in: what was named, else what the house has.
func (w *swapping) candidates() []*larder.Item {
	if w.q.To != nil {
		if w.q.To.Larder == nil || w.barsTo() {
			return nil
		}
		return []*larder.Item{w.q.To.Larder}
	}
	var names []string
	known := map[string]*larder.Item{}
	for _, it := range w.b.has() {
		if it != w.item {
			names = append(names, it.TradeName())
			known[it.TradeName()] = it
		}
	}
	var out []*larder.Item
	for _, n := range swap.Substitutes(w.item.TradeName(), names) {
		if bad := w.excluded(n, known[n]); bad != "" {
			w.no = append(w.no, [2]string{n, bad})
			continue
		}
		out = append(out, known[n])
	}
	return out
}

// barsTo reports whether what was named to stand in must not come in.
func (w *swapping) barsTo() bool {
	bad := w.excluded(w.q.To.Text, w.q.To.Larder)
	if bad != "" {
		w.no = append(w.no, [2]string{w.q.To.Text, bad})
	}
	return bad != ""
}

// has are the ingredients that the house has: of its larder and on its lines,
// in order of name.
func (b *Book) has() []*larder.Item {
	var out []*larder.Item
	seen := map[*larder.Item]bool{}
	put := func(it *larder.Item) {
		if it != nil && !seen[it] {
			seen[it] = true
			out = append(out, it)
		}
	}
	for _, it := range b.Snap.Larder.Items() {
		if it.House {
			put(it)
		}
	}
	for _, r := range b.Snap.Recipes {
		for i := range r.Lines {
			put(r.Lines[i].Item)
		}
	}
	slices.SortFunc(out, func(x, y *larder.Item) int { return strings.Compare(x.Name, y.Name) })
	return out
}

// way is one exchange that is possible.
type way struct {
	e    swap.Equivalence
	x    swap.Exchange
	to   *larder.Item
	with *larder.Item
	off  *swap.Offer
	lost int
}

// notHere puts a way that needs something the house does not list behind all others.
const notHere = 100

// trade looks for exchanges that the trade knows.
func (w *swapping) trade() bool {
	if w.item == nil || !w.line.HasGrams {
		return false
	}
	var ways []way
	has := w.b.has()
	for _, to := range w.candidates() {
		if w.rawForSafe(to) {
			w.no = append(w.no, [2]string{to.Name, "raw egg"})
			continue
		}
		for _, e := range swap.Equivalents(w.item.TradeName(), to.TradeName()) {
			x, with, ok := w.apply(e, to, w.gap())
			if !ok || whipped(w.line) && slices.Contains(e.Changes, "does not whip") {
				continue
			}
			v := way{e: e, x: x, to: to, with: with}
			v.off, v.lost = w.put(x, to, with)
			if with != nil && !slices.Contains(has, with) {
				v.lost += notHere
			}
			ways = append(ways, v)
			break
		}
	}
	if len(ways) == 0 {
		return false
	}
	slices.SortStableFunc(ways, func(x, y way) int { return x.lost - y.lost })
	if here := slices.IndexFunc(ways, func(v way) bool { return v.lost >= notHere }); here > 0 {
		ways = ways[:here] // only what the house has
	} else if here == 0 {
		w.a.note("swap not here", ways[0].with.Name)
	}
	for i, v := range ways {
		if i > otherWays {
			break
		}
		w.exchange(v.e, v.x, v.to, v.with, i)
		if i > 0 {
			continue
		}
		share := w.gap().Div(w.mass)
		w.a.add(w.takenOut(share))
		if v.e.Rule == swap.ByDosage { // a gel of another kind: its strength is not that of gelatine
			v.off = nil
		}
		w.effects(v.off)
		w.changes(v.to.Name, v.to)
	}
	return true
}

// apply works an exchange out; with is what goes in beside it, of what the
// house has if it has any of it.
func (w *swapping) apply(e swap.Equivalence, to *larder.Item, mass quantity.Number) (swap.Exchange, *larder.Item, bool) {
	var withs []*larder.Item
	has := w.b.has()
	for _, n := range e.With {
		it := w.b.Snap.Larder.Find(n)
		if it == nil {
			continue
		}
		if bad := w.excluded(n, it); bad != "" {
			continue
		}
		if slices.Contains(has, it) {
			withs = slices.Insert(withs, 0, it)
		} else {
			withs = append(withs, it)
		}
	}
	if len(e.With) == 0 {
		withs = []*larder.Item{nil}
	}
	for _, with := range withs {
		var in swap.Ingredient
		if with != nil {
			in = ingredient(with)
		}
		x, err := swap.Apply(e, mass, ingredient(w.item), ingredient(to), in)
		if err == nil && x.To.Sign() > 0 {
			return x, with, true
		}
	}
	return swap.Exchange{}, nil, false
}

// put lays an exchange into the recipe and counts what is not kept.
func (w *swapping) put(x swap.Exchange, to, with *larder.Item) (*swap.Offer, int) {
	rec, at := w.batch()
	if at < 0 {
		return nil, 0
	}
	var in swap.Ingredient
	if with != nil {
		in = ingredient(with)
	}
	o, _, err := swap.Put(rec, at, x, ingredient(to), in, w.b.scales)
	if err != nil {
		return nil, 0
	}
	wishes, err := swap.WishesFor(rec, []swap.Missing{{Line: at, Left: w.mass.Sub(w.gap())}})
	if err != nil {
		return &o, 0
	}
	hard := map[swap.Function]bool{}
	for _, v := range wishes {
		hard[v.What] = v.Tolerance.Sign() > 0
	}
	lost := 0
	for _, ef := range o.Effects {
		if hard[ef.What] && ef.KnowsPercent && ef.Percent.Abs().Cmp(quantity.Int(10)) > 0 {
			lost++
		}
	}
	return &o, lost
}

// batch is the recipe at this size as calc/swap takes it, and the place of the
// missing line in it; links are left out: they are recipes of their own.
func (w *swapping) batch() (swap.Recipe, int) {
	var rec swap.Recipe
	at := -1
	for i := range w.r.Lines {
		l := &w.r.Lines[i]
		it := l.Item
		if l == w.line {
			it = w.item
		}
		if it == nil || !l.HasGrams || l.Grams.Sign() <= 0 || len(rec.Lines) == swap.MaxLines {
			continue
		}
		if l == w.line {
			at = len(rec.Lines)
		}
		rec.Lines = append(rec.Lines, swap.Line{Ingredient: ingredient(it), Mass: l.Grams.Mul(w.factor), Lock: w.lockOf(l), Move: l != w.line && (it.Category == w.item.Category || akin(w.item, it) || it.Name == "water")})
	}
	return rec, at
}

// exchange tells an exchange; n counts the ways told before.
func (w *swapping) exchange(e swap.Equivalence, x swap.Exchange, to, with *larder.Item, n int) {
	at := ""
	if n > 0 {
		at = "another way"
	}
	from := FromCalculated
	if e.Rule == swap.ByFactor {
		from = FromPractice
	}
	f := w.b.mass(w.a, to.Name, x.To)
	f.Of, f.At, f.From, f.Source = w.r.Name, at, from, e.Source
	zero := quantity.Number{}
	if n == 0 {
		f.Was, f.WasShown = &zero, ""
	}
	if !x.Low.Equal(x.High) {
		lo, hi := x.Low, x.High
		f.Min, f.Max = &lo, &hi
		if n == 0 {
			w.a.note("swap range", w.b.mass(w.a, to.Name, lo).Shown, w.b.mass(w.a, to.Name, hi).Shown)
		}
	}
	w.a.add(f)
	if x.ByLeaf.Sign() > 0 && !x.ByLeaf.Equal(x.To) {
		l := w.b.mass(w.a, to.Name, x.ByLeaf)
		l.Of, l.At, l.From, l.Source = w.r.Name, "leaf for leaf", FromPractice, e.Source
		w.a.add(l)
	}
	if with != nil && !x.With.IsZero() {
		m := x.With
		if m.Sign() < 0 {
			m = m.Neg()
		}
		g := w.b.mass(w.a, with.Name, m)
		g.Of, g.From, g.Source = w.r.Name, FromCalculated, e.Source
		g.At = "with it"
		if x.With.Sign() < 0 {
			g.At = "less of it"
			if !slices.ContainsFunc(w.r.Lines, func(l kb.Line) bool { return l.Item == with }) {
				g.At = "more than before"
			}
		}
		if n > 0 {
			g.At += ", " + to.Name
		}
		w.a.add(g)
	}
	if n > 0 {
		return
	}
	if s := w.codes(e.Changes); s != "" {
		w.a.note("swap changes", s)
	}
	if s := w.codes(e.Method); s != "" {
		w.a.note("swap method", s)
	}
	if e.Fact != nil && w.matters(e.Fact.What) {
		w.methodFact(e)
	}
}

func (w *swapping) methodFact(e swap.Equivalence) {
	lo, hi := e.Fact.Low, e.Fact.High
	f := Fact{What: e.Fact.What, Unit: e.Fact.Unit, From: FromPractice, Source: e.Source, Of: w.r.Name}
	if lo.Equal(hi) {
		f.Value = &lo
		f.Shown = lo.String() + " " + e.Fact.Unit
	} else {
		f.Min, f.Max = &lo, &hi
		f.Shown = lo.String() + " to " + hi.String() + " " + e.Fact.Unit
	}
	w.a.add(f)
}

// codes are those that matter to the recipe.
func (w *swapping) codes(cs []swap.Code) string {
	var out []string
	for _, c := range cs {
		if w.matters(string(c)) {
			out = append(out, string(c))
		}
	}
	return strings.Join(out, ", ")
}

// matters reports whether a remark has to do with what is done to the recipe:
// no oven for a sorbet.
func (w *swapping) matters(remark string) bool {
	has := func(words ...string) bool {
		return slices.ContainsFunc(words, func(s string) bool { return strings.Contains(remark, s) })
	}
	switch {
	case has("oven", "bake", "browns", "crumb", "rise"):
		return hasVerb(w.r, "bake", "roast", "toast", "fry", "dry")
	case has("freez"):
		return hasVerb(w.r, "churn", "freeze")
	case has("whip"):
		return !hasVerb(w.r, "boil", "cook", "bake")
	}
	return true
}

// effects tells what could not be kept: what changes by more than a twentieth
// of what there was, of what the missing line had a good part in.
func (w *swapping) effects(o *swap.Offer) {
	if o == nil {
		return
	}
	told := 0
	for _, ef := range o.Effects {
		if !ef.KnowsPercent || ef.What == swap.Total || told == 4 || !tellable(ef.What) {
			continue
		}
		p := ef.Percent.RoundTo(quantity.Int(1))
		if p.Abs().Cmp(quantity.Int(5)) < 0 {
			continue
		}
		sign := "+"
		if p.Sign() < 0 {
			sign = "−"
		}
		w.a.add(Fact{What: ef.What.String() + " change", Value: &p, Unit: "%", Shown: sign + p.Abs().String() + " %", Of: w.r.Name, From: FromCalculated})
		if ef.What == swap.GelStrength {
			if p.Sign() < 0 {
				w.a.note("sets softer")
			} else {
				w.a.note("sets firmer")
			}
		}
		told++
	}
	var unsure []string
	for _, ef := range o.Effects {
		if ef.Wished && ef.Hard && ef.Keeps == swap.Unsure {
			unsure = append(unsure, ef.What.String())
		}
	}
	if len(unsure) > 0 {
		w.a.note("swap unsure", strings.Join(unsure, ", "))
	}
}

func tellable(f swap.Function) bool {
	switch f {
	case swap.Sucrose, swap.Glucose, swap.Fructose, swap.Lactose, swap.Maltose, swap.MilkFat, swap.CocoaButter:
		return false // parts of what is told
	}
	return true
}

// solved lets the other lines make good what is missing.
func (w *swapping) solved() bool {
	if w.item == nil || !w.line.HasGrams || w.q.To == nil && (!numbersSay(w.item) || whipped(w.line)) {
		return false
	}
	rec, at := w.batch()
	if at < 0 {
		return false
	}
	missing := []swap.Missing{{Line: at, Left: w.mass.Sub(w.gap())}}
	wishes, err := swap.WishesFor(rec, missing)
	if err != nil {
		return false
	}
	for i := range rec.Lines { // what must not come in is not raised either
		if it := w.b.Snap.Larder.Find(rec.Lines[i].Name); i != at && rec.Lines[i].Move && (it == nil || w.excluded(it.Name, it) != "") {
			rec.Lines[i].Move = false
		}
	}
	var cands []swap.Candidate
	for _, it := range w.mayComeIn(rec) {
		cands = append(cands, swap.Candidate{Ingredient: ingredient(it), Allowed: true})
	}
	if w.q.To != nil { // it comes in, and only what is left to it is made good
		for i := range rec.Lines {
			rec.Lines[i].Move = false
		}
	}
	res, err := swap.Find(rec, missing, cands, wishes, swap.Options{Scales: w.b.scales, Most: 1})
	if err != nil || len(res.Offers) == 0 {
		var locked *swap.LockedError
		if errors.As(err, &locked) {
			w.a.refuse("swap locked "+string(locked.Reason), locked.Line, w.r.Name)
			w.a.Facts = nil
			return true
		}
		return false
	}
	o := &res.Offers[0]
	if !o.Kept && !(w.q.To != nil && w.q.To.Larder.Category == w.item.Category) {
		if res.Proof != nil && len(res.Proof.Blocks) > 0 {
			var out []string
			for _, f := range res.Proof.Blocks {
				out = append(out, f.String())
			}
			w.no = append(w.no, [2]string{strings.Join(out, ", "), "not kept"})
			w.a.note("swap blocked", strings.Join(out, ", "))
		}
		return false
	}
	if w.q.To == nil && !honest(o, at) {
		return false
	}
	w.offer(rec, o)
	return true
}

// honest reports whether an offer still is the recipe: no other line is halved,
// and nothing that counts changes by more than a quarter.
func honest(o *swap.Offer, at int) bool {
	for _, c := range o.Changes {
		if c.Line >= 0 && c.Line != at && c.Now.Cmp(c.Was.Div(quantity.Int(2))) < 0 {
			return false
		}
	}
	for _, e := range o.Effects {
		if tellable(e.What) && e.KnowsPercent && e.Percent.Abs().Cmp(quantity.Int(25)) > 0 {
			return false
		}
	}
	return true
}

// mayComeIn are the candidates of a search: what was named, else what the house
// has of the same category and what does the same.
func (w *swapping) mayComeIn(rec swap.Recipe) []*larder.Item {
	if w.q.To != nil {
		if w.q.To.Larder == nil || w.rawForSafe(w.q.To.Larder) || w.barsTo() {
			return nil
		}
		return []*larder.Item{w.q.To.Larder}
	}
	inRecipe := map[string]bool{}
	for _, l := range rec.Lines {
		inRecipe[l.Name] = true
	}

	var same, other []*larder.Item
	for _, it := range w.b.has() {
		if it == w.item || inRecipe[it.TradeName()] || it.Comp.IsEmpty() || w.rawForSafe(it) || soured(it) != soured(w.item) {
			continue
		}
		if it.Category != w.item.Category && !akin(w.item, it) {
			continue
		}
		if bad := w.excluded(it.Name, it); bad != "" {
			w.no = append(w.no, [2]string{it.Name, bad})
			continue
		}
		switch {
		case it.Category == w.item.Category:
			same = append(same, it)
		default:
			other = append(other, it)
		}
	}
	same = append(same, other...)
	if len(same) > 40 {
		same = same[:40]
	}
	return same
}

// whipped reports whether a line goes in as foam.
func whipped(l *kb.Line) bool { return strings.Contains(strings.ToLower(l.Prep), "whip") }

// numbersSay reports whether what an ingredient is for lies in its numbers:
// nobody takes mushroom for sorrel because both are water.
func numbersSay(it *larder.Item) bool {
	switch it.Category {
	case "dairy", "sugar", "fat", "starch", "flour":
		return !strings.Contains(strings.ToLower(it.TradeName()), "malt") // its enzymes are in no number
	}
	return false
}

// soured reports whether milk was soured or made into cheese: its numbers are
// those of milk, its taste is not.
func soured(it *larder.Item) bool {
	n := strings.ToLower(it.TradeName())
	for _, w := range []string{"cheese", "yoghurt", "yogurt", "buttermilk", "sour", "fraîche", "kefir", "quark", "ricotta", "mascarpone", "skyr", "whey", "parmesan"} {
		if strings.Contains(n, w) {
			return true
		}
	}
	return false
}

// akin reports whether an item of another category may make good the numbers
// of what is missing: butter and milk powder for cream, but no cod for sugar.
func akin(out, in *larder.Item) bool {
	switch out.Category {
	case "dairy":
		return in.Category == "fat" && strings.Contains(strings.ToLower(in.Name), "butter") || in.Name == "water"
	case "fat":
		return in.Category == "dairy"
	}
	return false
}

// offer tells what was worked out: every line that changes, before and after.
func (w *swapping) offer(rec swap.Recipe, o *swap.Offer) {
	for _, in := range [2]bool{true, false} { // what comes in first
		for _, c := range o.Changes {
			if (c.Line < 0 || c.Now.Cmp(c.Was) > 0) != in {
				continue
			}
			was, now := c.Was, c.Now
			f := w.b.mass(w.a, w.house(c.Name), now)
			f.Was, f.WasShown = &was, quantity.ShowMass(quantity.Round(was, w.b.scales))
			if c.Line < 0 {
				f.WasShown = ""
			}
			f.Of, f.From = w.r.Name, FromCalculated
			w.a.add(f)
		}
	}
	w.effects(o)
	for _, c := range o.Changes {
		if c.Line < 0 {
			if it := w.b.Snap.Larder.Find(c.Name); it != nil {
				w.changes(it.Name, it)
			}
		}
	}
	w.a.note("swap worked out")
}

// house is what the house calls a thing that tables know by another name.
func (w *swapping) house(trade string) string {
	if it := w.b.Snap.Larder.Find(trade); it != nil {
		return it.Name
	}
	return trade
}

// lockOf is why a line of the recipe is never swapped.
func (w *swapping) lockOf(l *kb.Line) swap.Lock {
	if l.Item == nil {
		return swap.Unlocked
	}
	n := strings.ToLower(l.Item.Name)
	switch {
	case strings.Contains(n, "curing salt"), strings.Contains(n, "nitrite"), strings.Contains(n, "nitrate"), strings.Contains(n, "saltpetre"):
		return swap.CuringSalt
	case strings.Contains(n, "salt") && ferments(w.r):
		return swap.FermentSalt
	case preserves(w.r) && sour(l.Item):
		return swap.PreserveAcid
	case preserves(w.r) && l.Item.Category == "sugar" && sugarKeeps(w.r):
		return swap.PreserveSugar
	}
	return swap.Unlocked
}

// rawForSafe reports whether an egg that is not pasteurised would come into a
// dish that stays raw.
func (w *swapping) rawForSafe(to *larder.Item) bool {
	if w.item == nil {
		return false
	}
	from, n := strings.ToLower(w.item.Name), strings.ToLower(to.Name)
	pasteurised := func(s string) bool { return strings.Contains(s, "pasteuri") }
	egg := func(s string) bool { return strings.Contains(s, "egg") }
	return egg(n) && !pasteurised(n) && egg(from) && pasteurised(from) && !cooked(w.r)
}

func ferments(r *kb.Recipe) bool {
	return hasVerb(r, "ferment", "sour") || strings.Contains(strings.ToLower(r.Name), "ferment")
}

// preserves reports whether a recipe keeps by its acid or sugar.
func preserves(r *kb.Recipe) bool {
	if hasVerb(r, "pickle", "preserve", "bottle", "jar", "can") {
		return true
	}
	for _, w := range []string{"pickl", "preserve", "jam", "marmalade", "chutney", "confiture", "relish"} {
		if strings.Contains(strings.ToLower(r.Name), w) {
			return true
		}
	}
	return false
}

func sugarKeeps(r *kb.Recipe) bool {
	for _, w := range []string{"jam", "marmalade", "preserve", "chutney", "confiture"} {
		if strings.Contains(strings.ToLower(r.Name), w) {
			return true
		}
	}
	return false
}

func sour(it *larder.Item) bool {
	n := strings.ToLower(it.Name)
	return strings.Contains(n, "vinegar") || strings.Contains(n, "citric") || strings.Contains(n, "lemon juice") || strings.Contains(n, "lactic")
}

func hasVerb(r *kb.Recipe, verbs ...string) bool {
	return slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return slices.Contains(verbs, s.Verb) })
}

// cooked reports whether a step takes the recipe to where egg is safe.
func cooked(r *kb.Recipe) bool {
	return slices.ContainsFunc(r.Method, func(s recipe.Step) bool { return cooks(&s) })
}

// cooks reports whether a step takes what is in it to where egg is cooked.
func cooks(s *recipe.Step) bool {
	if s.Verb == "cook" && s.To != nil && s.To.Temperature != nil && s.To.Temperature.Base().Cmp(quantity.Int(70)) >= 0 {
		return true
	}
	return slices.Contains([]string{"bake", "roast", "fry"}, s.Verb) // a syrup that boils does not cook the whites it goes over
}
