package answer

import (
	"errors"
	"slices"
	"strings"

	"tamis/bot/question"
	"tamis/calc/allergen"
	"tamis/calc/cost"
	"tamis/calc/quantity"
	"tamis/calc/rescue"
	"tamis/calc/scale"
	"tamis/calc/swap"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// rescueLines are the lines of a recipe at a size, each once: lines of one name
// are told apart by their part.
func (b *Book) rescueLines(s *sized) ([]rescue.Line, []*kb.Line) {
	w := &swapping{b: b, r: s.recipe}
	var out []rescue.Line
	var of []*kb.Line
	seen := map[string]bool{}
	for i := range s.recipe.Lines {
		l := &s.recipe.Lines[i]
		if !l.HasGrams || l.Grams.Sign() <= 0 {
			continue
		}
		n := l.Name
		if seen[name.Fold(n)] && l.Part != "" {
			n += " (" + l.Part + ")"
		}
		seen[name.Fold(n)] = true
		out = append(out, rescue.Line{Name: n, Wanted: l.Grams.Mul(s.factor), Lock: w.lockOf(l)})
		of = append(of, l)
	}
	return out, of
}

// poured answers what went in wrong: what to add of everything else, or to bin it.
func (b *Book) poured(a *Answer, q *question.Question) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	r := s.recipe
	lines, of := b.rescueLines(&s)
	if len(lines) == 0 {
		a.unknown("no remedy", r.Name)
		return
	}
	for i := range q.Rescue.Poured {
		p := &q.Rescue.Poured[i]
		at := slices.IndexFunc(of, func(l *kb.Line) bool {
			ls, _ := p.Item.Lines(r)
			return len(ls) > 0 && ls[0] == l
		})
		if at < 0 {
			b.foreign(a, q, &s, lines, p)
			return
		}
		grams, ok := b.pouredGrams(a, r, of[at], p, &lines[at])
		if !ok {
			return
		}
		if p.Wanted != nil { // it tells which size was being made
			if w, ok := b.gramsOf(a, r, of[at], &p.Item, *p.Wanted); ok && w.Sign() > 0 && s.one {
				k := w.Div(lines[at].Wanted)
				for n := range lines {
					lines[n].Wanted = lines[n].Wanted.Mul(k)
				}
				s.factor = s.factor.Mul(k)
			}
		}
		lines[at].Poured = lines[at].Poured.Add(grams)
	}
	if q.Rescue.AllIn {
		for i := range lines {
			if lines[i].Poured.IsZero() && !b.meantInstead(q, r, of[i]) {
				lines[i].Poured = lines[i].Wanted
			}
		}
	} else {
		a.note("rest counts")
	}
	batch, err := rescue.Rebalance(lines, b.limits(&s))
	if err != nil {
		a.unknown("no remedy", r.Name)
		return
	}
	if batch.By == "" {
		b.stillToPour(a, q, r, batch, of)
		return
	}
	for _, c := range batch.Cautions {
		if batch.Bin && c == rescue.MixWell {
			continue
		}
		a.caution("rescue " + string(c))
	}
	if batch.Bin {
		b.bin(a, &s, lines, batch)
		return
	}
	fact := func(i int, n quantity.Number, at string) {
		f, k := b.mass(a, batch.Lines[i].Name, n), batch.Factor
		if at != "" {
			k = k.Sub(quantity.Int(1))
		}
		if at == "" && !q.Rescue.AllIn {
			was := lines[i].Wanted
			f.Was, f.WasShown = &was, quantity.ShowMass(quantity.Round(was, b.scales))
		}
		f.Of, f.At, f.From, f.How = r.Name, at, FromCalculated, quantity.ShowMass(quantity.Round(lines[i].Wanted, b.scales))+" × "+short(k)
		a.add(f)
	}
	if !q.Rescue.AllIn { // what is still to add where all the rest is in as the recipe says
		for i, l := range batch.Lines {
			if more := l.Add.Sub(lines[i].Wanted); l.Name != batch.By && lines[i].Poured.IsZero() && more.Sign() > 0 {
				fact(i, more, "still to add")
			}
		}
	}
	for i, l := range batch.Lines {
		if l.Name != batch.By && l.Add.Sign() > 0 {
			fact(i, l.Add, "")
		}
	}
	k := batch.Factor
	a.add(Fact{What: "factor", Value: &k, Shown: short(k), From: FromCalculated, Of: r.Name})
	b.newTotal(a, &s, batch.Factor)
	a.note("pour all", batch.By)
	b.takeOut(a, &s, lines)
	for _, o := range batch.Over {
		f := b.mass(a, o.Name, o.Most)
		f.From, f.At = FromHouse, "holds"
		if o.Most.Sign() > 0 {
			a.add(f)
			a.note("rescue over", o.Name)
		}
	}
	a.Title = Title{Recipe: r.Name}
	askedFirst(a, q, r)
}

// pouredGrams is how much of a line is in the bowl.
func (b *Book) pouredGrams(a *Answer, r *kb.Recipe, l *kb.Line, p *question.Poured, line *rescue.Line) (quantity.Number, bool) {
	if p.Factor != nil {
		return line.Wanted.Mul(*p.Factor), true
	}
	if p.Q.Unit.Symbol == "" {
		a.asks("ask poured", nil, l.Name)
		return quantity.Number{}, false
	}
	return b.gramsOf(a, r, l, &p.Item, p.Q)
}

func (b *Book) gramsOf(a *Answer, r *kb.Recipe, l *kb.Line, it *question.Item, q quantity.Quantity) (quantity.Number, bool) {
	left, ok := b.left(a, r, &question.Given{Item: *it, Q: q})
	if !ok {
		a.Notes = nil
		return quantity.Number{}, false
	}
	if left.ByCount {
		if per := l.Amount.Middle(); per.Sign() > 0 {
			return l.Grams.Mul(left.Amount).Div(per), true
		}
		return quantity.Number{}, false
	}
	return left.Amount, true
}

// newTotal is the finished mass of a rescued batch.
func (b *Book) newTotal(a *Answer, s *sized, by quantity.Number) {
	now, err := scale.Total(s.formula, s.factor.Mul(by))
	if err != nil {
		return
	}
	was, err := scale.Total(s.formula, s.factor)
	if err != nil {
		return
	}
	t := b.mass(a, "total", now)
	t.Was, t.WasShown = &was, quantity.ShowMass(quantity.Round(was, b.scales))
	t.Of, t.From, t.How = s.recipe.Name, FromCalculated, "× "+short(by)
	a.add(t)
}

// meantInstead reports whether a line is what should have gone in.
func (b *Book) meantInstead(q *question.Question, r *kb.Recipe, l *kb.Line) bool {
	return slices.ContainsFunc(q.Rescue.Poured, func(p question.Poured) bool {
		if p.Instead == nil {
			return false
		}
		ls, _ := p.Instead.Lines(r)
		return slices.Contains(ls, l)
	})
}

// stillToPour is what is missing where nothing is over.
func (b *Book) stillToPour(a *Answer, q *question.Question, r *kb.Recipe, batch rescue.Batch, of []*kb.Line) {
	for i, l := range batch.Lines {
		if l.Add.Sign() > 0 && (l.Add.Cmp(l.Now) < 0 || b.meantInstead(q, r, of[i])) {
			f := b.mass(a, l.Name, l.Add)
			f.Of, f.From, f.At = r.Name, FromCalculated, "still to add"
			a.add(f)
		}
	}
	a.Notes = nil
	if len(a.Facts) == 0 {
		a.note("poured right")
	} else {
		a.note("nothing over")
	}
	a.Title = Title{Recipe: r.Name}
}

// bin says that a batch is not worth saving, and what is lost.
func (b *Book) bin(a *Answer, s *sized, lines []rescue.Line, batch rescue.Batch) {
	k := batch.Factor
	a.add(Fact{What: "factor", Value: &k, Shown: short(k), From: FromCalculated, Of: s.recipe.Name})
	b.newTotal(a, s, k)
	a.Notes = nil
	a.note("bin it", batch.By)
	currency := b.Snap.House.Currency
	if currency == "" {
		currency = "EUR"
	}
	if c, err := cost.Of(b.costOf(s.recipe), quantity.Currency(currency)); err == nil && !c.Sum.N.IsZero() {
		m := c.Times(s.factor)
		n := m.Sum.N
		f := Fact{What: "cost", Value: &n, Unit: currency, Shown: quantity.ShowMoney(quantity.RoundMoney(n), quantity.Currency(currency)), Of: s.recipe.Name, At: "of one batch", From: FromCalculated}
		if m.AtLeast {
			f.Value, f.Min, f.Shown = nil, &n, "≥ "+f.Shown
		}
		a.add(f)
	}
	a.Title = Title{Recipe: s.recipe.Name}
}

// takeOut is the other way: some of what is mixed comes out, the size stays. It
// holds where all is in.
func (b *Book) takeOut(a *Answer, s *sized, lines []rescue.Line) {
	full := slices.Clone(lines)
	for i := range full {
		if full[i].Poured.IsZero() {
			full[i].Poured = full[i].Wanted
		}
	}
	t, err := rescue.TakeOut(full, quantity.Int(1), nil)
	if err != nil || t.Out.Sign() <= 0 {
		return
	}
	add := 0
	for _, l := range t.Lines {
		if l.Add.Sign() > 0 {
			add++
		}
	}
	if add > 4 { // nobody reads twice as many figures at the stove
		return
	}
	f := b.mass(a, "take out", t.Out)
	f.Of, f.From, f.At = s.recipe.Name, FromCalculated, "if all is mixed in"
	a.add(f)
	for _, l := range t.Lines {
		if l.Add.Sign() <= 0 {
			continue
		}
		g := b.mass(a, l.Name, l.Add)
		g.Of, g.From, g.At = s.recipe.Name, FromCalculated, "then add"
		a.add(g)
	}
}

// limits are what the pans and machines of the method take.
func (b *Book) limits(s *sized) []rescue.Limit {
	var out []rescue.Limit
	seen := map[string]bool{}
	for i := range s.recipe.Method {
		n := s.recipe.Method[i].In
		if n == "" || seen[n] {
			continue
		}
		seen[n] = true
		if m, ok := b.Snap.Machine(n); ok && m.Batch != nil {
			out = append(out, rescue.Limit{Name: m.Name, Kind: rescue.Machine, Most: m.Batch.Base()})
		}
		if p, ok := b.Snap.Pan(n); ok && p.Holds != nil && s.recipe.Density != nil {
			out = append(out, rescue.Limit{Name: p.Name, Kind: rescue.Pan, Most: p.Holds.Base().Mul(s.recipe.Density.Base())})
		}
	}
	return out
}

// foreign is something in the bowl that the recipe does not have.
func (b *Book) foreign(a *Answer, q *question.Question, s *sized, lines []rescue.Line, p *question.Poured) {
	it := p.Item.Larder
	var new []string
	if it != nil {
		for _, c := range it.Contains {
			if ok, _, open := b.suitsGuest(s.recipe, allergenOf(c), nil); ok || open {
				new = append(new, c.String())
			}
		}
	}
	if it == nil || !it.ContainsKnown || len(new) > 0 {
		a.refuse("foreign allergen", p.Item.Text, s.recipe.Name, strings.Join(new, ", "))
		a.caution("allergens")
		return
	}
	if p.Q.Unit.Dim != quantity.Mass {
		a.asks("ask poured", nil, p.Item.Text)
		return
	}
	h, err := rescue.Foreign(lines, p.Q.Base(), quantity.Int(1))
	if err != nil {
		a.unknown("no remedy", s.recipe.Name)
		return
	}
	sh := h.Share
	a.add(Fact{What: p.Item.Text, Value: &sh, Unit: "%", Shown: quantity.ShowShare(quantity.RoundShare(sh)), Of: s.recipe.Name, At: "of the batch", From: FromCalculated})
	k := h.Factor
	a.add(Fact{What: "factor", Value: &k, Shown: short(k), From: FromCalculated, Of: s.recipe.Name})
	t := b.mass(a, "total", h.Total)
	t.Of, t.From, t.At = s.recipe.Name, FromCalculated, "for 1 % of it"
	a.add(t)
	if h.Bin {
		a.note("bin it", p.Item.Text)
	} else {
		a.note("foreign", p.Item.Text)
	}
	if p.Instead != nil {
		a.note("still to pour", p.Instead.Text)
	}
	a.Title = Title{Recipe: s.recipe.Name}
}

// corrected answers a reading against what it should be.
func (b *Book) corrected(a *Answer, q *question.Question) {
	a.Form = FormLines
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	m, err := scale.Total(s.formula, s.factor)
	if err != nil {
		b.sizeError(a, s.recipe, err)
		return
	}
	have, want := *q.Rescue.Have, *q.Rescue.Want
	with, what := quantity.Number{}, "water"
	if want.Cmp(have) > 0 {
		with, what = hundred, "sugar"
		if q.Rescue.Unit.Dim != quantity.Brix {
			a.unknown("no correction", s.recipe.Name)
			return
		}
	}
	c, err := rescue.Correct(rescue.Reading{Mass: m, Have: have, Want: want}, with)
	if err != nil {
		if errors.Is(err, rescue.ErrMass) {
			a.unknown("no correction", s.recipe.Name)
			return
		}
		a.unknown("no remedy", s.recipe.Name)
		return
	}
	f := b.mass(a, what, c.Add)
	f.Of, f.From, f.At = s.recipe.Name, FromCalculated, "to add"
	a.add(f)
	t := b.mass(a, "total", c.Total)
	t.Was, t.WasShown = &m, quantity.ShowMass(quantity.Round(m, b.scales))
	t.Of, t.From = s.recipe.Name, FromCalculated
	a.add(t)
	if c.Bin {
		a.note("bin it", what)
	}
	a.note("correct reading")
	a.Title = s.title
}

// forgot answers an ingredient that was left out.
func (b *Book) forgot(a *Answer, q *question.Question) {
	a.Form = FormLines
	r := q.Targets[0].Recipe
	lines, _ := q.Items[0].Lines(r)
	if len(lines) == 0 {
		a.unknown("no such line", q.Items[0].Text, r.Name)
		return
	}
	l := lines[0]
	w := &swapping{b: b, r: r}
	kind := forgottenKind(w, l)
	state := q.Rescue.State
	if state == "in jars" && l.Item != nil && kind != string(swap.PreserveAcid) && kind != string(swap.PreserveSugar) { // what stands in jars keeps by these
		switch {
		case sour(l.Item):
			kind = string(swap.PreserveAcid)
		case l.Item.Category == "sugar":
			kind = string(swap.PreserveSugar)
		}
	}
	if state == "" {
		a.asks("ask state", nil, l.Name, r.Name)
		return
	}
	f, err := rescue.ForgotToAdd(kind, state)
	if err != nil {
		a.unknown("no forgotten", l.Name, r.Name)
		return
	}
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	if f.Verdict == rescue.Refuse {
		a.refuse("forgot unsafe", l.Name, r.Name)
		return
	}
	if l.HasGrams && f.Verdict != rescue.StartAgain && f.Verdict != rescue.ServeWith {
		all := l.Grams.Mul(s.factor)
		grams, ok := b.shortOf(a, q, r, l, all)
		if !ok {
			return
		}
		g := b.mass(a, l.Name, grams)
		g.Of, g.How, g.At = r.Name, s.how(l.Amount.Text), "to add"
		a.add(g)
	}
	if f.Fact != nil {
		lo, hi := f.Fact.Low, f.Fact.High
		x := Fact{What: f.Fact.What, Unit: f.Fact.Unit, Of: r.Name, From: FromPractice, Source: f.Fact.Source}
		if lo.Equal(hi) {
			x.Value, x.Shown = &lo, lo.String()+" "+x.Unit
		} else {
			x.Min, x.Max, x.Shown = &lo, &hi, lo.String()+" to "+hi.String()+" "+x.Unit
		}
		a.add(x)
		if f.Verdict == rescue.WarmAgain && f.Fact.Unit == "°C" {
			for _, h := range rescue.Warming(lo, sensitiveIn(r)...) {
				a.note("warming hurts", h.What, h.How)
			}
		}
	}
	a.note("verdict "+string(f.Verdict), l.Name)
	if len(f.How) > 0 {
		a.note("swap method", strings.Join(f.How, "; "))
	}
	a.Title = s.title
	cautionsFor(a, q)
}

// forgottenKind is what a line counts as when it was forgotten.
func forgottenKind(w *swapping, l *kb.Line) string {
	if lock := w.lockOf(l); lock != "" {
		return string(lock)
	}
	n := name.Fold(l.Name)
	for _, k := range []string{"gelatine", "agar", "pectin", "salt", "yeast", "milk powder"} {
		if strings.Contains(n, k) {
			return k
		}
	}
	if strings.Contains(n, "gum") || strings.Contains(n, "stabilis") || strings.Contains(n, "xanthan") {
		return "stabiliser"
	}
	if l.Item == nil {
		return ""
	}
	switch l.Item.Category {
	case "sugar", "egg", "acid", "starch", "fat", "alcohol", "leavening", "salt":
		return l.Item.Category
	case "dairy":
		if strings.Contains(n, "butter") || strings.Contains(n, "cream") {
			return "fat"
		}
	case "herb", "spice":
		return "aroma"
	case "thickener":
		return "stabiliser"
	}
	if strings.Contains(n, "seed") {
		return "seed"
	}
	return ""
}

// sensitiveIn is what of a recipe suffers when it is warmed again.
func sensitiveIn(r *kb.Recipe) []string {
	var out []string
	put := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for i := range r.Lines {
		n := strings.ToLower(r.Lines[i].Name + " " + r.Lines[i].Prep)
		switch {
		case strings.Contains(n, "whipped"):
			put("whipped cream")
		case strings.Contains(n, "yolk"):
			put("custard")
		case strings.Contains(n, "chocolate"):
			put("ganache")
		}
		if r.Lines[i].Item != nil && r.Lines[i].Item.Category == "herb" {
			put("fresh herbs")
		}
	}
	for _, s := range r.Method {
		if s.Verb == "fold" && strings.Contains(s.Words, "cream") {
			put("whipped cream")
		}
	}
	return out
}

// faulty answers from what is known of a fault of such a product.
func (b *Book) faulty(a *Answer, q *question.Question) bool {
	r := q.Targets[0].Recipe
	fault := faultNamed(withoutNames(q.Say, r))
	if fault == "" {
		return false
	}
	var found []rescue.Fault
	for _, near := range append([]string{fault}, nearFaults[fault]...) {
		for _, kind := range kindsOf(r, near) {
			fs, err := rescue.Faults(near, kind)
			if err == nil && len(fs) > 0 && len(found) == 0 && (kind != rescue.Any || near == fault) {
				found = fs
			}
		}
	}
	if len(found) == 0 {
		return false
	}
	f := found[0]
	a.Form = FormLines
	for _, x := range f.Facts {
		g := Fact{What: x.What, Unit: x.Unit, Of: r.Name, From: FromPractice, Source: x.Source}
		lo, hi := x.Low, x.High
		switch {
		case x.HasLow && x.HasHigh && lo.Equal(hi):
			g.Value, g.Shown = &lo, lo.String()+" "+x.Unit
		case x.HasLow && x.HasHigh:
			g.Min, g.Max, g.Shown = &lo, &hi, lo.String()+" to "+hi.String()+" "+x.Unit
		case x.HasHigh:
			g.Max, g.Shown = &hi, "≤ "+hi.String()+" "+x.Unit
		case x.HasLow:
			g.Min, g.Shown = &lo, "≥ "+lo.String()+" "+x.Unit
		default:
			continue
		}
		a.add(g)
	}
	a.note("fault remedy", f.Remedy)
	a.note("fault cause", f.Cause)
	a.note("fault test", f.Test)
	a.note("fault bin", f.Bin)
	for _, c := range f.Cautions {
		a.caution("fault " + c)
	}
	a.note("fault practice")
	a.Title = Title{Recipe: r.Name}
	return true
}

// nearFaults are other words for what happens to some products: a custard that
// splits has curdled.
var nearFaults = map[string][]string{"split": {"curdled", "grainy"}, "curdled": {"split", "grainy"}, "grainy": {"curdled", "sandy"}, "too thin": {"not set"}, "not set": {"too thin"},
	"burnt": {"scorched"}, "scorched": {"burnt"}, "sandy": {"grainy"}, "dense": {"did not rise"}, "sunk": {"collapsed"}, "collapsed": {"sunk"}}

// withoutNames takes a recipe's own names out of what was said: a burnt
// meringue that collapsed is not burnt.
func withoutNames(say string, r *kb.Recipe) string {
	text := " " + name.Fold(say) + " "
	for _, n := range append([]string{r.Name}, r.Also...) {
		text = strings.Replace(text, " "+name.Fold(n)+" ", " ", 1)
	}
	return text
}

// faultNamed is the fault that the words of a message mean, "" if none.
func faultNamed(say string) string {
	words := name.Words(say)
	has := func(w string) bool { return slices.Contains(words, w) }
	text := " " + strings.Join(words, " ") + " "
	for _, f := range rescue.FaultNames() {
		if strings.Contains(text, " "+name.Fold(f)+" ") {
			return f
		}
	}
	for _, s := range [...]struct {
		fault string
		any   []string
	}{
		{"curdled", []string{"curdling", "curdle", "scrambled"}}, {"grainy", []string{"grain", "gritty", "graining"}}, {"split", []string{"splitting", "separated", "broke", "broken", "separating"}},
		{"weeping", []string{"weep", "watery", "leaking", "syneresi"}}, {"lumpy", []string{"lump"}}, {"scorched", []string{"scorch", "caught"}}, {"burnt", []string{"burned", "burn"}},
		{"seized", []string{"seize", "seizing"}}, {"collapsed", []string{"collapse", "collapsing", "fell", "fallen", "deflated"}}, {"overwhipped", []string{"overwhip", "buttery"}},
		{"icy", []string{"crystal", "ice"}}, {"crystallised", []string{"crystallized", "crystallise", "candied"}}, {"cracked", []string{"crack", "cracking"}}, {"sunk", []string{"sank", "sunken"}},
		{"tough", []string{"chewy", "hard"}}, {"too thin", []string{"runny", "liquid", "thin", "loose"}}, {"too thick", []string{"thick", "stiff", "gluey"}},
	} {
		if slices.ContainsFunc(s.any, has) {
			return s.fault
		}
	}
	if has("set") && (has("not") || has("wont") || has("didnt") || has("isnt") || has("hasnt") || has("never") || has("doesnt")) {
		return "not set"
	}
	for _, t := range []string{"salt", "salty", "sour", "sweet", "bitter"} {
		if has("too") && has(t) {
			return "too " + map[string]string{"salt": "salty"}[t] + strings.TrimPrefix(t, "salt")
		}
	}
	return ""
}

// kindsOf are the kinds of product that a recipe may be of, by the words of its
// names, then by what is done with it, then everything's.
func kindsOf(r *kb.Recipe, fault string) []string {
	var out []string
	put := func(k string) {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	kinds := rescue.FaultKinds(fault)
	for _, n := range append([]string{r.Name}, r.Also...) {
		words := name.Words(n)
		for _, k := range kinds {
			kw := name.Words(k)
			if len(kw) > 0 && !slices.ContainsFunc(kw, func(w string) bool { return !slices.Contains(words, w) }) {
				put(k)
			}
		}
	}
	for _, by := range [...]struct {
		is   bool
		kind []string
	}{
		{hasVerb(r, "churn"), []string{"ice cream", "sorbet", "ice cream base"}},
		{lineLike(r, "yolk") && hasVerb(r, "cook") && fault == "grainy", []string{"custard"}}, // egg before chocolate that is not in it
		{lineLike(r, "gelatine"), []string{"set cream", "gelatine gel", "bavarois", "mousse", "panna cotta"}},
		{lineLike(r, "agar"), []string{"fluid gel", "agar gel"}},
		{lineLike(r, "chocolate"), []string{"ganache", "chocolate"}},
		{lineLike(r, "yolk") && (lineLike(r, "flour") || lineLike(r, "starch")) && hasVerb(r, "boil"), []string{"pastry cream", "custard"}},
		{lineLike(r, "yolk") && hasVerb(r, "cook"), []string{"custard", "ice cream base"}},
		{hasVerb(r, "reduce"), []string{"jus", "syrup", "sauce"}},
		{lineLike(r, "yeast"), []string{"bread", "brioche"}},
		{lineLike(r, "flour") && hasVerb(r, "bake"), []string{"biscuit", "short pastry", "cake", "sponge"}},
	} {
		if by.is {
			for _, k := range by.kind {
				if slices.Contains(kinds, k) {
					put(k)
				}
			}
		}
	}
	put(rescue.Any)
	return out
}

func lineLike(r *kb.Recipe, word string) bool {
	return slices.ContainsFunc(r.Lines, func(l kb.Line) bool { return strings.Contains(l.Fold, word) })
}

func allergenOf(c recipe.Allergen) []allergen.Allergen {
	return []allergen.Allergen{{Name: c.Name, Kind: c.Kind}}
}
