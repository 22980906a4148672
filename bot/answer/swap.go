package answer

import (
	"slices"
	"strings"
	"time"

	"tamis/bot/question"
	"tamis/calc/allergen"
	"tamis/calc/quantity"
	"tamis/calc/scale"
	"tamis/calc/swap"
	"tamis/kb"
	"tamis/kb/larder"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// otherWays is how many more ways than the first are told.
const otherWays = 2

// swaps: what may stand in for something that is missing. The chef's word
// first, then the exchanges of the trade, then what can be worked out.
func swaps(b *Book, a *Answer, q *question.Question, _ time.Time) {
	a.Form = FormLines
	if len(q.Targets) == 0 || q.Targets[0].Recipe == nil {
		if b.swapAlone(a, q) {
			return
		}
		b.askRecipe(a, q) // what it does there decides
		return
	}
	s, ok := b.size(a, &q.Targets[0])
	if !ok {
		return
	}
	w := &swapping{b: b, a: a, q: q, r: s.recipe, factor: s.factor}
	if !w.findLine() {
		return
	}
	if w.short() {
		a.add(s.facts...)
	}
	if a.Status != StatusAnswer {
		return
	}
	a.Title = s.title
	if w.r != s.recipe {
		a.Title = Title{Recipe: w.r.Name}
		a.note("swap in part", w.r.Name, s.recipe.Name)
	}
	switch {
	case w.chef():
	case w.locked():
	case w.trade():
	case w.pasteurised():
	case w.solved():
	default:
		w.none()
	}
	if a.Status == StatusAnswer {
		w.stillIn()
		a.caution("swap")
	}
}

// swapping is one swap being worked out.
type swapping struct {
	b      *Book
	a      *Answer
	q      *question.Question
	r      *kb.Recipe // that has the line
	factor quantity.Number
	line   *kb.Line
	at     int              // of line in r
	item   *larder.Item     // what the larder knows of it
	mass   quantity.Number  // of the line at this size
	left   *quantity.Number // of it that is there
	// no are the exchanges looked at that cannot come in, with why.
	no [][2]string
}

// findLine finds the line that is missing: the one named, or the one that what
// is there may replace.
func (w *swapping) findLine() bool {
	for _, r := range w.recipes() {
		for _, it := range w.q.Items {
			if lines, _ := it.Lines(r); len(lines) > 0 {
				return w.take(r, lines[0])
			}
		}
		if len(w.q.Items) == 0 && w.q.To != nil && w.q.To.Larder != nil {
			for i := range r.Lines {
				if l := &r.Lines[i]; l.Item != nil && l.Item != w.q.To.Larder && len(swap.Equivalents(l.Item.TradeName(), w.q.To.Larder.TradeName())) > 0 {
					return w.take(r, l)
				}
			}
		}
	}
	if len(w.q.Items) == 0 && w.q.To != nil && w.chefsLine() {
		return true
	}
	what := ""
	if len(w.q.Items) > 0 {
		what = w.q.Items[0].Text
	} else if w.q.To != nil {
		what = w.q.To.Text
	}
	if len(w.q.Items) > 0 {
		if al, ok := w.q.Items[0].Allergen(); ok { // "no nuts for the crumble": that the lines don't say "nuts" proves nothing
			q := *w.q
			q.Want, q.About, q.Items, q.To, q.Have, q.Allergen = question.WantAllergens, "allergen", nil, nil, nil, []recipe.Allergen{al}
			w.a.About = "allergen"
			allergens(w.b, w.a, &q, time.Time{})
			return false
		}
	}
	if len(w.q.Items) == 0 && w.q.To != nil {
		w.a.unknown("no swap for it", what, w.r.Name)
	} else {
		w.a.unknown("no such line", what, w.r.Name)
	}
	return false
}

// chefsLine finds the one line that the chef lets what is there stand in for: "with
// the hazelnut instead".
func (w *swapping) chefsLine() bool {
	var of *kb.Recipe
	var line *kb.Line
	for _, r := range w.recipes() {
		for i := range r.Instead {
			in := &r.Instead[i]
			if in.NotPossible || !w.meansTo(in.Name, w.b.Snap.Larder.Find(in.Name)) {
				continue
			}
			for k := range r.Lines {
				if l := &r.Lines[k]; l.Fold == name.Fold(in.Line) || l.FoldAs == name.Fold(in.Line) {
					if line != nil {
						return false // two may be meant
					}
					of, line = r, l
				}
			}
		}
	}
	return line != nil && w.take(of, line)
}

func (w *swapping) take(r *kb.Recipe, l *kb.Line) bool {
	w.r, w.line = r, l
	for i := range r.Lines {
		if &r.Lines[i] == l {
			w.at = i
		}
	}
	w.mass, w.item = l.Grams.Mul(w.factor), l.Item
	if w.item == nil {
		w.item = w.b.Snap.Larder.Find(l.Name)
	}
	return true
}

// recipes are the recipe asked about and those it draws on.
func (w *swapping) recipes() []*kb.Recipe {
	out := []*kb.Recipe{w.r}
	for i := 0; i < len(out); i++ {
		for k := range out[i].Lines {
			if l := out[i].Lines[k].Link; l != nil && !slices.Contains(out, l) {
				out = append(out, l)
			}
		}
	}
	return out
}

// short tells what can be done with less of the recipe, where some is left.
func (w *swapping) short() bool {
	if w.q.Have == nil || !w.line.HasGrams {
		return false
	}
	given := *w.q.Have
	given.Item = w.q.Items[0]
	left, ok := w.b.left(w.a, w.r, &given)
	if !ok || left.ByCount {
		return false
	}
	if left.Amount.Cmp(w.mass) >= 0 {
		f := w.b.mass(w.a, w.line.Name, w.mass)
		f.Of = w.r.Name
		w.a.add(f)
		w.a.note("enough", w.line.Name)
		return true
	}
	w.left = &left.Amount
	n := left.Amount.Div(w.line.Grams)
	f := Fact{What: "factor", Value: &n, Shown: short(n), From: FromCalculated, Of: w.r.Name, At: "with what is left"}
	w.a.add(f)
	if p, err := scale.Pieces(w.r.Formula, n); err == nil {
		whole := p.Floor()
		f := count("pieces", whole, plural(w.r.Formula.Word, whole))
		f.At, f.Unit, f.Of, f.From = "with what is left", "each", w.r.Name, FromCalculated
		w.a.add(f)
	}
	if m, err := scale.Total(w.r.Formula, n); err == nil {
		f := w.b.mass(w.a, "total", m)
		f.Of, f.From, f.At = w.r.Name, FromCalculated, "with what is left"
		w.a.add(f)
	}
	return true
}

// gap is the mass that is to be made up for.
func (w *swapping) gap() quantity.Number {
	if w.left != nil {
		return w.mass.Sub(*w.left)
	}
	return w.mass
}

// chef gives the recipe's own word.
func (w *swapping) chef() bool {
	for i := range w.r.Instead {
		in := &w.r.Instead[i]
		if !w.names(in.Line) {
			continue
		}
		if in.NotPossible {
			w.a.refuse("chef says no", w.line.Name, w.r.Name)
			w.a.Words = append(w.a.Words, in.Text)
			w.a.Facts = nil
			return true
		}
		it := w.b.Snap.Larder.Find(in.Name)
		if w.q.To != nil && !w.meansTo(in.Name, it) {
			w.a.note("chef would", in.Name)
			continue
		}
		if bad := w.excluded(in.Name, it); bad != "" {
			w.no = append(w.no, [2]string{in.Name, bad})
			continue
		}
		share := quantity.Int(1)
		if w.left != nil {
			share = w.gap().Div(w.mass)
		}
		w.a.add(w.insteadFact(in, share)...)
		if w.line.HasGrams {
			w.a.add(w.takenOut(share))
		}
		if w.q.To != nil && (w.q.Has("howmuch") || w.q.Has("howmany")) { // how much of it is asked
			w.a.add(w.besides(in.Name)...)
		}
		w.changes(in.Name, it)
		w.a.note("chef's word")
		return true
	}
	return false
}

// besides is what the recipe has of the very thing that takes the place: it still goes in.
func (w *swapping) besides(in string) []Fact {
	var out []Fact
	for i := range w.r.Lines {
		l := &w.r.Lines[i]
		if i == w.at || l.Fold != name.Fold(in) || !l.HasGrams {
			continue
		}
		f := w.b.mass(w.a, l.Name, l.Grams.Mul(w.factor))
		f.Of, f.Part, f.At = w.r.Name, l.Part, "its own line, besides"
		out = append(out, f)
	}
	return out
}

// names reports whether the chef's line is the one that is missing.
func (w *swapping) names(line string) bool {
	f := name.Fold(line)
	if f == w.line.Fold || f == w.line.FoldAs {
		return true
	}
	it := w.b.Snap.Larder.Find(line)
	return it != nil && it == w.item
}

func (w *swapping) meansTo(n string, it *larder.Item) bool {
	if words := name.Words(n); len(words) > 1 { // "lemon" for "lemon juice"
		switch last := len(words) - 1; words[last] {
		case "juice", "puree", "zest", "peel", "paste", "powder", "syrup", "seed", "seeds", "flour", "groats", "kernels":
			if name.Fold(strings.Join(words[:last], " ")) == name.Fold(w.q.To.Text) {
				return true
			}
		}
	}
	if words := name.Words(n); len(words) > 1 && words[len(words)-1] == name.Fold(w.q.To.Text) && w.b.Snap.Larder.Find(w.q.To.Text) == nil {
		return true // "groats" for "buckwheat groats", not "butter" for "walnut butter"
	}
	return w.q.To.Larder != nil && w.q.To.Larder == it || slices.Contains(w.q.To.Names, name.Fold(n))
}

// insteadFact is the chef's amount for the whole line, at this size.
func (w *swapping) insteadFact(in *recipe.Instead, share quantity.Number) []Fact {
	k := w.factor.Mul(share)
	am := in.Amount
	var out []Fact
	switch {
	case am.Kind == recipe.Parts:
		n := am.Middle().Mul(k)
		if part, ok := onePart(w.r); ok {
			out = append(out, w.b.mass(w.a, in.Name, n.Mul(part)))
			break
		}
		out = append(out, Fact{What: in.Name, Value: &n, Unit: "parts", Shown: n.Fixed(2) + " " + plural("part", n)})
	case am.Kind == recipe.PercentOf:
		share := am.Middle().Mul(k).Div(hundred)
		if base, ok := percentBase(w.r, w.line.Part, am.Of); ok {
			out = append(out, w.b.mass(w.a, in.Name, base.Mul(share)))
			break
		}
		w.a.Words = append(w.a.Words, in.Text) // no mass to take it of: the chef's words tell it
		return nil
	case am.Kind == recipe.Pieces:
		n := am.Middle().Mul(k)
		word := am.Piece
		f := Fact{What: in.Name, Value: &n, Unit: word, Shown: n.Fixed(2)}
		if word == "" || word == "each" {
			f.Unit = "each"
		} else {
			f.Shown += " " + plural(word, n)
		}
		out = append(out, f)
	case am.Unit.Dim == quantity.Mass:
		out = append(out, w.b.mass(w.a, in.Name, quantity.Of(am.Middle(), am.Unit).Base().Mul(k)))
	default:
		out = append(out, w.b.measured(in.Name, quantity.Of(am.Middle().Mul(k), am.Unit)))
	}
	for i := range out {
		out[i].Of, out[i].From = w.r.Name, FromBook
		out[i].How = "instead: " + in.Text
	}
	return out
}

// onePart is the mass of one part in a recipe that is written in parts and makes a mass.
func onePart(r *kb.Recipe) (quantity.Number, bool) {
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Amount.Kind == recipe.Parts && l.HasGrams && l.Amount.Middle().Sign() > 0 {
			return l.Grams.Div(l.Amount.Middle()), true
		}
	}
	return quantity.Number{}, false
}

// percentBase is the mass that a percentage of lines goes by, in one batch: of those
// in the same part, else in the whole recipe.
func percentBase(r *kb.Recipe, part string, of []string) (quantity.Number, bool) {
	for _, only := range []bool{true, false} {
		var sum quantity.Number
		found := false
		for i := range r.Lines {
			l := &r.Lines[i]
			switch {
			case only && name.Fold(l.Part) != name.Fold(part):
			case len(of) == 1 && of[0] == "liquids" && l.IsLiquid && l.Amount.Kind != recipe.PercentOf,
				slices.ContainsFunc(of, func(n string) bool { return name.Fold(n) == l.Fold }):
				if !l.HasGrams {
					return sum, false
				}
				sum, found = sum.Add(l.Grams), true
			}
		}
		if found {
			return sum, true
		}
	}
	return quantity.Number{}, false
}

// takenOut is the missing line as it stands after the swap.
func (w *swapping) takenOut(share quantity.Number) Fact {
	was := w.mass
	now := was.Sub(was.Mul(share))
	f := w.b.mass(w.a, w.line.Name, now)
	f.Was, f.WasShown = &was, quantity.ShowMass(quantity.Round(was, w.b.scales))
	f.Of, f.From = w.r.Name, FromBook
	return f
}

// refuse ends an answer in a refusal.
func (a *Answer) refuse(code string, args ...string) {
	a.Status, a.Why = StatusRefused, phrase(code, args...)
}

// excluded says why an ingredient may not come in: what was asked to be left
// out is listed, may be in it, or is not known.
func (w *swapping) excluded(what string, it *larder.Item) string {
	if len(w.q.Allergen) == 0 && len(w.q.Diet) == 0 && len(w.q.Exclude) == 0 {
		return ""
	}
	for _, x := range w.q.Exclude {
		if x.Larder != nil && x.Larder == it || slices.Contains(x.Names, name.Fold(what)) {
			return what
		}
	}
	if r, ok := w.b.Snap.RecipeNamed(what); ok {
		var list []allergen.Allergen
		for _, x := range w.q.Allergen {
			list = append(list, allergen.Allergen{Name: x.Name, Kind: x.Kind})
		}
		if ok, _, open := w.b.suitsGuest(r, list, w.q.Diet); !ok || open {
			return allergenText(w.q)
		}
		return ""
	}
	if it == nil || !it.ContainsKnown && len(w.q.Allergen) > 0 {
		return "unknown"
	}
	for _, x := range w.q.Allergen {
		for _, c := range append(slices.Clone(it.Contains), it.MayContain...) {
			if c.Name == x.Name && (x.Kind == "" || c.Kind == "" || c.Kind == x.Kind) {
				return c.String()
			}
		}
	}
	for _, d := range w.q.Diet {
		if !slices.Contains(it.Suits, d) {
			return d
		}
	}
	return ""
}

func allergenText(q *question.Question) string {
	var out []string
	for _, x := range q.Allergen {
		out = append(out, x.String())
	}
	return strings.Join(append(out, q.Diet...), ", ")
}

// changes tells the allergens and diets that come and go.
func (w *swapping) changes(what string, in *larder.Item) {
	if in == nil {
		if r, ok := w.b.Snap.RecipeNamed(what); ok {
			w.a.note("swap recipe allergens", r.Name)
			return
		}
		w.a.note("swap contents unknown", what)
		return
	}
	if !in.ContainsKnown {
		w.a.note("swap contents unknown", what)
	}
	out := w.item
	var brings, leaves []string
	for _, c := range in.Contains {
		if out == nil || !slices.Contains(out.Contains, c) {
			brings = append(brings, c.String())
		}
	}
	if out != nil && w.left == nil { // what is left of it goes in all the same
		for _, c := range out.Contains {
			if !slices.Contains(in.Contains, c) && !w.elsewhere(c) && in.ContainsKnown {
				leaves = append(leaves, c.String())
			}
		}
	}
	if len(brings) > 0 {
		w.a.add(Fact{What: "brings in", HasItems: true, Items: brings, Of: w.r.Name, From: FromLarder, How: in.Name})
		w.a.note("swap brings", strings.Join(brings, ", "))
		w.a.caution("allergens")
	}
	if len(leaves) > 0 {
		w.a.add(Fact{What: "leaves out", HasItems: true, Items: leaves, Of: w.r.Name, From: FromLarder, How: w.line.Name})
		w.a.note("swap leaves", strings.Join(leaves, ", "))
	}
	for _, d := range w.r.Suits {
		if in.SuitsKnown && !slices.Contains(in.Suits, d) {
			w.a.note("swap loses diet", d)
		}
	}
}

// elsewhere reports whether another line of the recipe lists an allergen.
func (w *swapping) elsewhere(c recipe.Allergen) bool {
	for i := range w.r.Lines {
		l := &w.r.Lines[i]
		if i == w.at {
			continue
		}
		if l.Link != nil {
			if ok, _, open := w.b.suitsGuest(l.Link, []allergen.Allergen{{Name: c.Name, Kind: c.Kind}}, nil); !ok || open {
				return true
			}
			continue
		}
		if l.Item == nil || !l.Item.ContainsKnown || slices.Contains(l.Item.Contains, c) {
			return true
		}
	}
	return false
}

// locked refuses where food safety rests on the line.
func (w *swapping) locked() bool {
	lock := w.lockOf(w.line)
	if lock == swap.Unlocked {
		return false
	}
	w.a.refuse("swap locked "+string(lock), w.line.Name, w.r.Name)
	w.a.Facts = nil
	return true
}

// barred is what may not come in, as it was asked.
func (w *swapping) barred() string {
	out := allergenText(w.q)
	for i := range w.q.Exclude {
		if t := w.q.Exclude[i].Text; !strings.Contains(out, t) {
			out = strings.TrimPrefix(out+", "+t, ", ")
		}
	}
	if out == "" {
		out = w.no[0][1]
	}
	return out
}

// pasteurised refuses another egg in a dish that stays raw.
func (w *swapping) pasteurised() bool {
	if w.item == nil || w.item.Category != "egg" || !strings.Contains(strings.ToLower(w.item.Name), "pasteuri") || cooked(w.r) {
		return false
	}
	w.a.refuse("swap locked pasteurised egg", w.line.Name, w.r.Name)
	w.a.Facts = nil
	return true
}

// stillIn tells the lines that hold what must not come in.
func (w *swapping) stillIn() {
	for _, x := range w.q.Allergen {
		var lines []string
		for i := range w.r.Lines {
			l := &w.r.Lines[i]
			if i == w.at && w.left == nil {
				continue
			}
			switch {
			case l.Link != nil:
				if ok, _, open := w.b.suitsGuest(l.Link, []allergen.Allergen{{Name: x.Name, Kind: x.Kind}}, nil); !ok || open {
					lines = append(lines, l.Name)
				}
			case excludes(l.Item, x):
				lines = append(lines, l.Name)
			}
		}
		if len(lines) > 0 {
			w.a.note("swap still in", x.String(), strings.Join(lines, ", "))
			w.a.caution("allergens")
		}
	}
}

// excludes reports whether an item holds, may hold or may not be known to hold an allergen.
func excludes(it *larder.Item, x recipe.Allergen) bool {
	return it == nil || !it.ContainsKnown || slices.ContainsFunc(append(slices.Clone(it.Contains), it.MayContain...), func(c recipe.Allergen) bool {
		return c.Name == x.Name && (x.Kind == "" || c.Kind == "" || c.Kind == x.Kind)
	})
}

// elsewhereSold are up to three things that the trade takes in its place and
// the house does not list.
func (w *swapping) elsewhereSold() []string {
	var names []string
	has := w.b.has()
	for _, it := range w.b.Snap.Larder.Items() {
		if !slices.Contains(has, it) && w.excluded(it.Name, it) == "" && !w.rawForSafe(it) {
			names = append(names, it.TradeName())
		}
	}
	out := swap.Substitutes(w.item.TradeName(), names)
	return out[:min(3, len(out))]
}

// none says that there is no honest swap, and why.
func (w *swapping) none() {
	if w.left != nil && len(w.a.Facts) > 0 { // less of the recipe is an answer
		w.a.note("no swap rest", w.line.Name)
		return
	}
	if w.q.To == nil && w.item != nil {
		if others := w.elsewhereSold(); len(others) > 0 {
			defer w.a.note("swap trade takes", strings.Join(others, ", "))
		}
	}
	switch {
	case len(w.no) > 0:
		w.a.unknown("no swap excluded", w.line.Name, w.r.Name, w.barred())
	case w.q.To != nil:
		w.a.unknown("no swap between", w.line.Name, w.q.To.Text)
	case w.line.Link != nil:
		w.a.unknown("no swap recipe", w.line.Name)
	default:
		w.a.unknown("no swap", w.line.Name, w.r.Name)
	}
}
