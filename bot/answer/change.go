package answer

import (
	"slices"
	"strconv"
	"strings"

	"tamis/bot/question"
	"tamis/calc/allergen"
	"tamis/calc/cost"
	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/diff"
	"tamis/kb/recipe"
)

// Difference is what differs between two states of the book, as facts that
// carry what was: the lines, the steps, then what follows from them.
//
// follow are recipes that read differently only because of those in ds.
func Difference(was, now *Book, ds []diff.Recipe, follow ...diff.Recipe) *Answer {
	a := &Answer{Status: StatusAnswer, About: "change", Form: FormChange}
	for i := range ds {
		d := &ds[i]
		if a.Recipe == nil {
			if a.Recipe = d.Now; a.Recipe == nil {
				a.Recipe = d.Was
			}
		}
		switch {
		case d.Was == nil && d.Now != nil:
			a.note("change new recipe", d.Now.Name)
		case d.Now == nil && d.Was != nil:
			a.note("change recipe off", d.Was.Name)
			if touched := names(diff.Touched(was.Snap, d.Was)); len(touched) > 0 {
				a.add(Fact{What: "recipes", HasItems: true, Items: touched, Of: d.Was.Name, From: FromBook, How: "draw on it"})
			}
			continue
		}
		c := comparison{was: was, now: now, d: d, a: a}
		c.lines()
		c.steps()
		c.keys()
		c.follows()
	}
	var through []string
	for i := range follow {
		through = append(through, follow[i].Name())
	}
	if len(through) > 0 {
		a.note("change follows", strings.Join(through, ", "))
	}
	if len(ds) > 1 {
		a.Title = Title{Recipe: strconv.Itoa(len(ds)) + " recipes"}
	} else if a.Recipe != nil {
		a.Title = Title{Recipe: a.Recipe.Name}
	}
	return a
}

// comparison is one recipe's difference on its way into an answer.
type comparison struct {
	was, now *Book
	d        *diff.Recipe
	a        *Answer
}

func (c *comparison) lines() {
	for i := range c.d.Lines {
		l := &c.d.Lines[i]
		if !l.Amount() {
			c.a.Words = append(c.a.Words, l.Name+": "+besides(l.Now))
			continue
		}
		old, hadOld := lineFactOf(c.was, c.d.Was, l.Was)
		fresh, hasNew := lineFactOf(c.now, c.d.Now, l.Now)
		switch {
		case hasNew:
			fresh.Part = l.Part
			if hadOld {
				fresh.become(old)
			}
			c.a.add(fresh)
		case hadOld && l.Now == nil: // gone: nothing is left of it
			var zero quantity.Number
			f := old
			f.Was, f.WasShown, f.Part, f.How = old.Value, old.Shown, l.Part, "taken out"
			f.Value, f.Min, f.Max, f.Shown = &zero, nil, nil, "0"
			c.a.add(f)
		default: // to taste: no number
			text := "–"
			if l.Now != nil {
				text = l.Now.Amount.Text
			}
			c.a.Words = append(c.a.Words, l.Name+": "+text)
		}
	}
}

// become notes in f what it was before.
func (f *Fact) become(old Fact) {
	f.WasShown = old.Shown
	if old.Unit == f.Unit {
		f.Was = old.Value
	}
}

// lineFactOf is the fact of one line of one batch, in the unit it is written in.
func lineFactOf(b *Book, r *kb.Recipe, l *kb.Line) (Fact, bool) {
	if r == nil || l == nil {
		return Fact{}, false
	}
	s := sized{recipe: r, formula: r.Formula, factor: quantity.Int(1), one: true}
	for _, f := range b.lineFact(&Answer{}, &question.Question{}, &s, l) {
		if f.Value != nil {
			return f, true
		}
	}
	return Fact{}, false
}

// besides is what stands on a line beside its amount.
func besides(l *kb.Line) string {
	var out []string
	for _, s := range []string{l.Part, l.Prep, l.Note, l.As, l.On} {
		if s != "" {
			out = append(out, s)
		}
	}
	if len(out) == 0 {
		return l.Amount.Text
	}
	return strings.Join(out, ", ")
}

// steps makes facts of times and temperatures, and quotes the rest.
func (c *comparison) steps() {
	done := map[int]bool{}
	for _, s := range c.d.Steps {
		if s.Key == "to" || s.Key == "at" || s.Key == "for" || s.Key == "hold" {
			if done[s.Number] {
				continue
			}
			if done[s.Number] = true; c.stepNumbers(s) {
				continue
			}
		}
		switch {
		case s.Key == "" && s.Now == "":
			c.a.Words = append(c.a.Words, "– "+s.Was)
		case s.Key == "":
			c.a.Words = append(c.a.Words, "+ "+s.Now)
		case s.Now == "":
			c.a.Words = append(c.a.Words, s.Verb+": – "+s.Key+" "+s.Was)
		default:
			c.a.Words = append(c.a.Words, strings.TrimSpace(s.Verb+" "+strings.TrimPrefix(s.Key, "words"))+": "+s.Now)
		}
	}
}

// stepNumbers adds the times and temperatures of a step that changed; false if it has none.
func (c *comparison) stepNumbers(s diff.Step) bool {
	if c.d.Now == nil || s.Number > len(c.d.Now.Method) {
		return false
	}
	st := &c.d.Now.Method[s.Number-1]
	var old []Fact
	if c.d.Was != nil {
		for i := range c.d.Was.Method {
			if w := &c.d.Was.Method[i]; sameFold(w.Verb, st.Verb) {
				old = append(old, numbersOf(c.was, w)...)
			}
		}
	}
	added := false
	for _, f := range numbersOf(c.now, st) {
		f.Of = c.d.Now.Name
		i := slices.IndexFunc(old, func(o Fact) bool { return o.What == f.What && o.Unit == f.Unit })
		if i >= 0 {
			if sameNumber(old[i].Value, f.Value) && sameNumber(old[i].Min, f.Min) && sameNumber(old[i].Max, f.Max) && sameNumber(old[i].Never, f.Never) {
				continue
			}
			f.Was, f.WasShown = old[i].Value, old[i].How
		}
		c.a.add(f)
		added = true
	}
	return added
}

func numbersOf(b *Book, st *recipe.Step) []Fact {
	var out []Fact
	for _, f := range append(b.tempFacts(&Answer{}, &question.Question{}, st), b.timeFacts(st, &question.Question{})...) {
		if f.From != FromCalculated { // the other scale of temperature
			out = append(out, f)
		}
	}
	return out
}

func sameNumber(x, y *quantity.Number) bool {
	return x == nil && y == nil || x != nil && y != nil && x.Equal(*y)
}

// keys quotes what the recipe says of itself.
func (c *comparison) keys() {
	for _, k := range c.d.Keys {
		text := k.Now
		if text == "" {
			text = strings.TrimSpace("– " + k.Was)
		}
		c.a.Words = append(c.a.Words, k.Key+": "+text)
	}
}

// follows adds what the change does to the whole: mass, allergens, cost,
// composition, and the recipes that draw on it.
func (c *comparison) follows() {
	r, old := c.d.Now, c.d.Was
	if old == nil {
		if r.HasFinished {
			f := c.now.mass(&Answer{}, "total", r.Finished)
			f.Of, f.From = r.Name, FromCalculated
			c.a.add(f)
		}
		c.allergens(nil, allergensOf(c.now, r))
		return
	}
	if r.HasFinished && (!old.HasFinished || !old.Finished.Equal(r.Finished)) {
		f := c.now.mass(&Answer{}, "total", r.Finished)
		f.Of, f.From = r.Name, FromCalculated
		if old.HasFinished {
			was := c.was.mass(&Answer{}, "total", old.Finished)
			f.become(was)
		}
		c.a.add(f)
	}
	c.allergens(allergensOf(c.was, old), allergensOf(c.now, r))
	c.cost()
	c.contents()
	if touched := names(diff.Touched(c.now.Snap, r)); len(touched) > 0 {
		c.a.add(Fact{What: "recipes", HasItems: true, Items: touched, Of: r.Name, From: FromBook, How: "draw on it"})
	}
}

func names(rs []*kb.Recipe) []string {
	var out []string
	for _, r := range rs {
		out = append(out, r.Name)
	}
	return out
}

// allergensOf are the allergens that a recipe lists, in order.
func allergensOf(b *Book, r *kb.Recipe) []string {
	rep, err := allergen.Roll(b.listOf(r))
	if err != nil {
		return nil
	}
	var out []string
	for _, f := range rep.Contains {
		out = append(out, b.allergenName(b.allergenList(), f.Allergen))
	}
	return out
}

// allergens says what is gained and lost, and then the whole set.
func (c *comparison) allergens(was, now []string) {
	lacking := func(all, of []string) []string {
		return slices.DeleteFunc(slices.Clone(of), func(s string) bool { return slices.Contains(all, s) })
	}
	gained, lost := lacking(was, now), lacking(now, was)
	if len(gained)+len(lost) == 0 {
		return
	}
	c.a.add(Fact{What: "contains", HasItems: true, Items: now, Of: c.d.Now.Name, From: FromBook})
	if len(gained) > 0 && c.d.Was != nil {
		c.a.note("allergens gained", strings.Join(gained, ", "))
	}
	if len(lost) > 0 {
		c.a.note("allergens lost", strings.Join(lost, ", "))
	}
	c.a.caution("allergens")
}

func (c *comparison) cost() {
	currency := c.now.Snap.House.Currency
	if currency == "" {
		currency = "EUR"
	}
	unit := quantity.Currency(currency)
	now, err := cost.Of(c.now.costOf(c.d.Now), unit)
	if err != nil || now.Sum.N.IsZero() {
		return
	}
	was, err := cost.Of(c.was.costOf(c.d.Was), unit)
	if err != nil || was.AtLeast != now.AtLeast || was.Sum.N.Equal(now.Sum.N) {
		return
	}
	show := func(n quantity.Number) string { return quantity.ShowMoney(quantity.RoundMoney(n), unit) }
	n := now.Sum.N
	f := Fact{What: "cost", Unit: currency, Value: &n, Shown: show(n), Of: c.d.Now.Name, At: "1 batch", From: FromCalculated, How: "larder prices"}
	if old := was.Sum.N; now.AtLeast {
		f.Value, f.Min, f.Shown, f.WasShown = nil, &n, "≥ "+show(n), "≥ "+show(old)
	} else {
		f.Was, f.WasShown = &old, show(old)
	}
	if f.Shown != f.WasShown {
		c.a.add(f)
	}
}

// contents adds the shares of the whole that changed as shown.
func (c *comparison) contents() {
	c.gelatine()
	c.shares(mix.Fat, mix.Sugars, mix.Salt, mix.Alcohol)
	c.texture()
}

// known reports whether a content is exact, or known within a twentieth.
func known(c mix.Content) bool {
	if c.Exact {
		return true
	}
	pm, ok := c.PlusMinus()
	return ok && !c.Open && pm.Cmp(c.Middle().Abs().Mul(quantity.Frac(1, 20))) <= 0
}
