package answer

import (
	"slices"
	"strings"

	"time"

	"tamis/bot/question"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// Book is one snapshot made ready for answering. It never changes; several
// goroutines may ask it at once.
type Book struct {
	Snap   *kb.Snapshot
	Lex    *question.Lexicon
	Zone   *time.Location
	scales []quantity.Scale

	foods foods
}

// NewBook prepares a snapshot.
func NewBook(s *kb.Snapshot) *Book {
	b := ForDifference(s)
	b.Lex = question.NewLexicon(s.Names())
	return b
}

// Next prepares the snapshot that follows on b's, sharing what stayed the same;
// b may be nil.
func (b *Book) Next(s *kb.Snapshot) *Book {
	if b == nil || b.Lex == nil || !s.SameNames(b.Snap) {
		return NewBook(s)
	}
	next := ForDifference(s)
	next.Lex = b.Lex.With(s.Names())
	return next
}

// ForDifference prepares a snapshot for [Difference] alone: it knows no words.
func ForDifference(s *kb.Snapshot) *Book {
	b := &Book{Snap: s, Zone: time.UTC}
	if z, err := time.LoadLocation(s.House.Zone); err == nil && s.House.Zone != "" {
		b.Zone = z
	}
	for _, sc := range s.House.Scales {
		b.scales = append(b.scales, quantity.Scale{Name: sc.Name, Reads: sc.Reads.Base(), UpTo: sc.UpTo.Base()})
	}
	b.foods = newFoods()
	return b
}

// Answer works out one reading; at is when it was asked.
func (b *Book) Answer(q *question.Question, at time.Time) *Answer {
	a := &Answer{Status: StatusAnswer, About: q.About, Question: q, Form: FormAmounts}
	for _, s := range q.Assumed {
		a.assume(s.Code, s.Args...)
	}
	if len(q.Targets) > 0 {
		a.Recipe = q.Targets[0].Recipe
	}
	if q.Missing == question.MissingNumber {
		return a.asks("ask number", q.Choices)
	}
	if q.Missing == question.MissingItem && len(q.Choices) > 0 {
		return a.asks("ask which", q.Choices)
	}
	if q.Missing == question.MissingSize {
		return a.asks("ask how many", nil, q.Sized)
	}
	f, ok := handlers[q.Want]
	if !ok && q.About == "reduce" && len(q.Targets) == 0 && !q.HasQty { // "what do i reduce it to"
		return a.asks("ask recipe", nil)
	}
	if !ok {
		return a.unknown("unbuilt", q.About)
	}
	f(b, a, q, at.In(b.Zone))
	b.inAsked(a, q)
	inKilos(a, q)
	if a.About == "reduce" && a.Status == StatusAnswer {
		b.panUnits(a, q)
	}
	if a.Status == StatusAnswer && len(q.Targets) == 1 && a.Recipe != nil {
		if q.Targets[0].Part {
			a.assume("recipe part", q.Targets[0].Recipe.Name)
		}
		b.season(a, at)
	}
	if q.Also != nil && a.Status == StatusAnswer {
		second := *q.Also
		second.Targets = slices.Clone(q.Targets) // of the recipe chosen since, if it was asked back
		a = b.also(a, b.Answer(&second, at))
	}
	return a
}

// also adds the second answer to the first; where it is none, it says why.
func (b *Book) also(a, more *Answer) *Answer {
	switch more.Status {
	case StatusAnswer:
	case StatusUnknown:
		a.Notes = append(a.Notes, *more.Why)
		return a
	default: // asked back, or refused: that comes first
		return more
	}
	for _, f := range more.Facts {
		if f.What != "factor" && f.What != "size" && !slices.ContainsFunc(a.Facts, func(g Fact) bool { return g.What == f.What && g.Shown == f.Shown && g.Of == f.Of && g.At == f.At }) {
			a.add(f)
		}
	}
	a.Words = append(a.Words, more.Words...)
	a.Notes, a.Cautions, a.Assumed = joined(a.Notes, more.Notes), joined(a.Cautions, more.Cautions), joined(a.Assumed, more.Assumed)
	a.Form = FormLines
	return a
}

// joined is both lists, each phrase once.
func joined(a, b []Phrase) []Phrase {
	for _, p := range b {
		if !slices.ContainsFunc(a, func(o Phrase) bool { return o.Code == p.Code && slices.Equal(o.Args, p.Args) }) {
			a = append(a, p)
		}
	}
	return a
}

type handler func(b *Book, a *Answer, q *question.Question, at time.Time)

var handlers map[question.Want]handler

func init() {
	handlers = map[question.Want]handler{
		question.WantAmount: amounts, question.WantCard: cards, question.WantMethod: method, question.WantSteps: steps,
		question.WantKeeps: keeps, question.WantKeepsMost: keepsMost, question.WantWhere: where, question.WantMakes: makes, question.WantMakeable: makeable,
		question.WantMoulds: moulds, question.WantEnough: enough, question.WantShareOf: shareOf, question.WantBatches: batches, question.WantThing: thing, question.WantConvert: convert,
		question.WantDensity: density, question.WantUses: uses, question.WantUsable: usable,
		question.WantAllergens: allergens, question.WantDiet: diets, question.WantMenuFor: menuFor, question.WantContent: content,
		question.WantEnergy: energy, question.WantCost: costs,
		question.WantReading: reading, question.WantBrixTarget: brixTarget,
		question.WantReady: ready, question.WantTimer: ready, question.WantStarted: ready, question.WantUseBy: useBy, question.WantLatest: latest,
		question.WantHelp: talk("help"), question.WantThanks: talk("thanks"), question.WantHello: talk("hello"), question.WantNever: talk("never mind"), question.WantNo: talk("never mind"),
		question.WantRescue: rescues, question.WantSwap: swaps,
		question.WantUnsafe: unsafe, question.WantCaution: hazards, question.WantGuest: guests, question.WantLimit: rules, question.WantHeat: heatTime,
	}
	for w, h := range craftHandlers {
		handlers[w] = complete(h)
	}
}

func talk(code string) handler {
	return func(_ *Book, a *Answer, _ *question.Question, _ time.Time) {
		a.Form = FormTalk
		a.note(code)
	}
}

// mass makes a fact of a mass in g, shown as the house's scales show it.
func (b *Book) mass(a *Answer, what string, g quantity.Number) Fact {
	r := quantity.Round(g, b.scales)
	if r.UnderHalfStep {
		a.note("under half a step", what, r.Scale)
	} else if r.FewDivisions {
		a.caution("small dose", what)
	}
	return Fact{What: what, Value: &g, Unit: "g", Shown: quantity.ShowMass(r), From: FromBook}
}

// measured makes a fact of any quantity, in its own unit.
func (b *Book) measured(what string, q quantity.Quantity) Fact {
	n := q.N
	return Fact{What: what, Value: &n, Unit: unitName(q.Unit), Shown: quantity.RoundQuantity(q, b.scales).String(), From: FromBook}
}

// unitName is the unit as answers write it.
func unitName(u quantity.Unit) string {
	if u.Dim == quantity.Count && (u.Symbol == "" || u.Symbol == "piece" || u.Symbol == "pieces") {
		return "each"
	}
	return u.Symbol
}

// count makes a fact of a number of pieces.
func count(what string, n quantity.Number, word string) Fact {
	switch word {
	case "each", "piece", "pieces":
		word = ""
	}
	u := "each"
	if word != "" {
		u = word
	}
	f := Fact{What: what, Value: &n, Unit: u, Shown: n.Fixed(2), From: FromBook}
	if word != "" {
		f.Shown += " " + word
	}
	return f
}

// plural is the piece word as the book writes it for several.
func plural(word string, n quantity.Number) string {
	if word == "" || word == "each" || n.Equal(quantity.Int(1)) && !strings.HasSuffix(word, "s") {
		return word
	}
	switch {
	case strings.HasSuffix(word, "s"):
		return word
	case word == "leaf":
		return "leaves"
	case word == "loaf":
		return "loaves"
	case word == "half":
		return "halves"
	case strings.HasSuffix(word, "ch"), strings.HasSuffix(word, "sh"), strings.HasSuffix(word, "x"):
		return word + "es"
	case strings.HasSuffix(word, "y") && len(word) > 2 && !strings.ContainsRune("aeiou", rune(word[len(word)-2])):
		return word[:len(word)-1] + "ies"
	case word[len(word)-1] >= '0' && word[len(word)-1] <= '9':
		if w := name.Words(word); slices.ContainsFunc(w, func(x string) bool { return slices.Contains([]string{"tin", "ring", "frame", "tray", "sheet"}, x) }) {
			return word
		}
		// of a mould so big, as the book writes it: "24 dome 45" would be so many moulds
		return "of " + word
	}
	return word + "s"
}

// candidates are recipes as choices, in order of name.
func candidates(rs []*kb.Recipe) []question.Choice {
	rs = slices.Clone(rs)
	slices.SortFunc(rs, func(x, y *kb.Recipe) int { return strings.Compare(x.Name, y.Name) })
	out := make([]question.Choice, 0, len(rs))
	for _, r := range rs {
		out = append(out, question.Choice{Label: r.Name, Recipe: r})
	}
	return out
}

// recipesWith returns the recipes in which all items stand on a line, else in a linked recipe.
func (b *Book) recipesWith(items []question.Item) []*kb.Recipe {
	var direct, nested []*kb.Recipe
	for _, r := range b.Snap.Recipes {
		d, n := true, true
		for i := range items {
			lines, _ := items[i].Matches(r)
			if len(lines) == 0 {
				d = false
				if !items[i].Nested(r) {
					n = false
					break
				}
			}
		}
		switch {
		case d:
			direct = append(direct, r)
		case n:
			nested = append(nested, r)
		}
	}
	if len(direct) > 0 {
		return direct
	}
	return nested
}

// season adds the caution for a recipe out of its season.
func (b *Book) season(a *Answer, at time.Time) {
	s := a.Recipe.Season
	if s == nil {
		return
	}
	now := int(at.Month())*100 + at.Day()
	from, to := s.FromMonth*100+s.FromDay, s.ToMonth*100+s.ToDay
	in := now >= from && now <= to
	if from > to { // over new year
		in = now >= from || now <= to
	}
	if !in {
		a.caution("out of season", s.Text)
	}
}

// cautionsOf adds the recipe's own cautions.
func cautionsOf(a *Answer, r *kb.Recipe) {
	for _, c := range r.Cautions {
		a.caution("book", c)
	}
}

// sameFold reports whether two names fold alike.
func sameFold(x, y string) bool { return name.Fold(x) == name.Fold(y) }

// written is the form an amount counts by: its start where it is to taste.
func written(a *recipe.Amount) *recipe.Amount {
	if a.Kind == recipe.ToTaste && a.Start != nil {
		return a.Start
	}
	return a
}
