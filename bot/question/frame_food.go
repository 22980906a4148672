package question

import (
	"slices"
	"strings"

	"tamis/calc/mix"
	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// takeAllergens uses up the allergens that are named.
func (s *sense) takeAllergens(r *reading) {
	for _, i := range s.allergens {
		if !r.used[i] {
			r.used[i] = true
			r.q.Allergen = append(r.q.Allergen, s.span(i).allergen)
		}
	}
}

// takeDiets uses up the diets that are named.
func (s *sense) takeDiets(r *reading) {
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.has(cueDiet) {
			continue
		}
		r.used[i] = true
		for k := sp.from; k < sp.to; k++ {
			d := diet(s.l.tokens[k].plain)
			if d == "" {
				d = diet(s.l.tokens[k].fold)
			}
			if d != "" && !slices.Contains(r.q.Diet, d) {
				r.q.Diet = append(r.q.Diet, d)
			}
		}
		if f := name.Fold(s.text(i)); f == "gelatine free" || f == "gelatin free" {
			r.q.Diet = append(r.q.Diet, "gelatine")
		}
	}
}

// diet is the word of the book for a diet that somebody names.
func diet(w string) string {
	switch w {
	case "vegetarian", "veggie", "veggies", "veggy", "veg", "veggo", "vego", "vegetarians", "vegetarien", "vegetarienne", "vegetarisch", "vegetarier", "vegetariano", "vegetariana":
		return "vegetarian"
	case "vegan", "vegans", "plant", "vegane", "vegano", "vegana", "veganer":
		return "vegan"
	case "halal", "kosher", "pescatarian":
		return w
	case "pregnant", "pregnancy", "enceinte", "schwanger", "embarazada", "incinta", "gravida":
		return "pregnancy"
	case "alcohol", "alcoholic", "alcool", "alkohol":
		return "alcohol"
	case "gelatine", "gelatin", "gelatina":
		return "gelatine"
	case "pork", "porc", "cerdo", "maiale", "porco", "schwein":
		return "pork"
	case "meat":
		return "meat"
	case "rennet", "carmine":
		return w
	}
	return ""
}

// aboutAllergens are the words that make a food's name one of an allergen.
var aboutAllergens = []cue{cueAllergen, cueContain, cueFree, cueShared, cueDiet, cueWithout, cueUses, cueMenu, cueIn, cueFor, cueNot, cueNo}

// frameAllergens: what a recipe or ingredient contains; whom it suits.
func frameAllergens(s *sense) []reading {
	diets := s.any(cueDiet)
	bare := s.endsContains()
	traces := s.saysOf("trace", "traces") || s.mayContainAny() // of whatever it may be
	if r := s.reading(WantUses, ""); s.among(&r) {
		return nil // "which ice creams have egg" is of all of them
	}
	if s.saysNone() && s.asksWhat() && !diets && !s.any(cueAllergen, cueContain, cueFree, cueShared) {
		return nil // "no walnut left for the crumble, what else": something is missing
	}
	if !s.any(cueAllergen, cueContain, cueFree, cueShared, cueWithout) && !diets && len(s.allergens) == 0 {
		return nil
	}
	if len(s.allergens) == 0 && !s.any(cueAllergen, cueShared) && !traces && !diets && !bare {
		return nil
	}
	var out []reading
	for _, r := range s.itemsOrRecipe(WantAllergens, "allergen") {
		r.consumes = r.consumes.with(cueAllergen, cueContain, cueFree, cueShared, cueWithout, cueNot, cueIn, cueCovers, cueOnebatch, cueIngredients, cueAll, cueNo, cueOr, cueUses)
		s.takeAllergens(&r)
		s.takeDiets(&r)
		s.namesOwnLines(&r)
		s.listedWithout(&r)
		r.q.Free = s.any(cueFree, cueWithout)
		switch {
		case len(r.q.Diet) > 0 && len(r.q.Allergen) == 0:
			r.q.Want, r.q.About = WantDiet, "diet"
		case len(r.q.Allergen) == 0 && !s.any(cueAllergen, cueShared) && !traces && (!bare || len(r.q.Items) > 0):
			continue
		}
		if len(r.q.Allergen) == 0 && len(s.saidAllergens()) > 0 && !s.saysOf("allergens") { // "what allergens" asks for all of them
			r.q.Named = s.saidAllergens() // "coeliac asking about the caramel": all that is in it, and whether gluten is
		}
		if !s.any(cueAllergen, cueContain, cueFree, cueShared, cueDiet) {
			r.extra += costGuessed
		}
		if len(r.q.Items) > 0 && len(s.p.spans) > 2 && !s.any(cueAllergen, cueContain, cueFree, cueShared, cueDiet, cueWithout) {
			continue // "honey in the rye?" asks for no allergen
		}
		if len(r.q.Items) > 0 && slices.ContainsFunc(s.names, func(i int) bool { return r.used[i] && s.selects(s.span(i).from) }) {
			continue // "which creams have egg" is of recipes
		}
		if own := s.houseOwn(r); own != nil {
			r.q.Items, r.q.Targets = nil, []Target{{Recipe: own, Part: true}}
		}
		if len(r.q.Items) > 0 && slices.ContainsFunc(s.names, func(i int) bool { return r.used[i] && s.namesDish(i) }) {
			continue
		}
		if len(r.q.Items) > 0 && s.allergenBefore(r) {
			continue // "pistachio ice cream" is one name
		}
		if len(r.q.Items) > 0 && len(r.q.Allergen) > 0 && s.isAllergen(r) && s.any(cueAllergen, cueFree, cueWithout) {
			continue // "allergic to nuts and egg"
		}
		if s.allergenOf(r) {
			continue // "allergens walnut bread" is no bread's
		}
		if len(r.q.Items) > 0 && len(r.q.Allergen) == 0 && s.isAllergen(r) && !s.allergensIn() {
			r.extra += costGuessed // "milk allergy": a guest's, not the milk's
		}
		if s.amountOnOne(&r) {
			continue
		}
		s.countsNothing(&r)
		if len(s.allergens) > 0 && !s.any(cueAllergen, cueFree, cueDiet, cueShared, cueContain) && slices.ContainsFunc(s.units, func(i int) bool { return s.span(i).unit.Dim == quantity.Mass }) {
			continue // "eggs in the soda bread, grams"
		}
		if s.any(cueHowmuch, cueHowmany) {
			if !s.any(cueAllergen, cueFree, cueDiet, cueShared) {
				continue // an amount is asked
			}
			r.extra += 6
		}
		out = append(out, r)
	}
	return out
}

// listedWithout takes a line that is left out, where the allergens of the rest are
// asked: "plate without the cream, what allergens are left". "no" alone may be a guest's.
func (s *sense) listedWithout(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || !s.any(cueAllergen) || !s.saysOf("without", "minus", "w/o", "leaving") {
		return
	}
	for _, i := range s.names {
		if r.used[i] || !s.precededBy(i, cueWithout) {
			continue
		}
		if it, ok := s.item(i); ok {
			if lines, _ := it.Lines(r.q.Targets[0].Recipe); len(lines) > 0 {
				r.used[i] = true
				r.q.Exclude = append(r.q.Exclude, it)
				r.extra -= 2
				r.consumes = r.consumes.with(cueOnly)
			}
		}
	}
}

// namesOwnLines uses up what follows "with" where it is on a line of the recipe whose
// allergens are asked: "allergens in the baba with butter".
func (s *sense) namesOwnLines(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	for _, i := range s.names {
		if r.used[i] || !s.precededBy(i, cueWith) {
			continue
		}
		if it, ok := s.item(i); ok {
			if m, _ := it.match(r.q.Targets[0].Recipe); m != noMatch {
				r.used[i] = true
			}
		}
	}
}

// countsNothing uses up the bare numbers of a question for allergens: a table, a
// seat, how many guests or plates, "4" for "for". What is in a dish is in any number of it.
func (s *sense) countsNothing(r *reading) {
	if len(r.q.Targets) == 0 && r.q.Want != WantMenuFor {
		return
	}
	plain := s.any(cueAllergen, cueFree, cueDiet, cueShared)
	for _, i := range s.quant {
		sp := s.span(i)
		n := s.next(i)
		covers := n >= 0 && s.span(n).kind == spanCue && s.span(n).cues.has(cueCovers)
		switch {
		case r.used[i]:
		case sp.kind == spanFactor, sp.q.Q.Unit.Symbol == "":
			seat := slices.Contains([]string{"t", "tb", "tbl", "table", "tables", "s", "seat", "seats", "pos", "room", "rm"}, s.before(i))
			if !plain && !covers && !seat {
				if !s.any(cueContain) {
					continue // "hazelnut pesto for 10" asks for no allergen
				}
				r.extra++
			}
			r.used[i] = true
		case sp.q.Q.Unit.Dim == quantity.Time: // "a 10 year old"
			r.used[i] = r.used[i] || strings.HasPrefix(s.after(i), "old")
		}
	}
}

// endsContains reads "cherry cake contains?": what the label says.
func (s *sense) endsContains() bool {
	n := len(s.l.tokens)
	return n > 1 && (s.ends("contains") || s.ends("contain")) && len(s.quant) == 0 && !s.any(cueIngredients, cueHowmuch, cueUses) && !s.saysOf("what", "whats", "which")
}

// namesDish reports whether span i begins the name of a dish that the book has not:
// "allergens of the lobster roll".
func (s *sense) namesDish(i int) bool {
	if !s.any(cueAllergen, cueContain) || i+1 >= len(s.p.spans) {
		return false
	}
	next := s.span(i + 1)
	if next.kind != spanUnused || s.l.tokens[next.from].breaks || s.l.tokens[next.from].number || len(s.l.tokens[next.from].plain) < 3 {
		return false
	}
	switch s.before(i) {
	case "the", "of", "in", "our", "a":
		return true
	}
	w := s.before(i)
	return w == "" && s.l.tokens[len(s.l.tokens)-1].fold == "allergen"
}

// houseOwn is the one recipe that the last word of an item names, where the item is
// one of the larder that no line of the book has: "the basil pesto" of a house that
// makes its own pesto is that one, whatever is in a bought one.
func (s *sense) houseOwn(r reading) *kb.Recipe {
	if len(r.q.Items) != 1 || len(r.q.Targets) > 0 {
		return nil
	}
	it := &r.q.Items[0]
	if it.Recipe != nil || it.InBook || it.Larder == nil || it.Larder.House {
		return nil
	}
	words := name.Words(it.Text)
	if len(words) < 2 {
		return nil
	}
	var own *kb.Recipe
	for _, id := range s.l.x.byWord[words[len(words)-1]] {
		e := &s.l.x.entries[id]
		if e.Recipe == nil || e.Kind != kb.RecipeName && e.Kind != kb.RecipeAlias || len(e.words) > 1 {
			continue
		}
		if own != nil && own != e.Recipe {
			return nil
		}
		own = e.Recipe
	}
	return own
}

// allergenBefore reports whether the name used follows an allergen's and no word asks for allergens.
func (s *sense) allergenBefore(r reading) bool {
	return !s.any(aboutAllergens...) && slices.ContainsFunc(s.names, func(i int) bool {
		return r.used[i] && i > 0 && s.span(i-1).kind == spanAllergen && !s.l.tokens[s.span(i).from].breaks
	})
}

// isAllergen reports whether the one name used is a word for an allergen.
func (s *sense) isAllergen(r reading) bool {
	for _, i := range s.names {
		if r.used[i] {
			_, ok := allergenTable()[s.folded(s.span(i))]
			return ok
		}
	}
	return false
}

// allergensIn reports whether "allergens in" leads to a food that is an allergen itself.
func (s *sense) allergensIn() bool {
	if !s.any(cueAllergen) || s.any(cueFree, cueWithout, cueUses, cueMenu, cueDiet) {
		return false
	}
	for k := 2; k < len(s.l.tokens); k++ {
		if s.l.tokens[k-1].plain == "in" && s.l.tokens[k-2].fold == "allergen" && k+1 == len(s.l.tokens) {
			_, ok := allergenTable()[s.l.tokens[k].fold]
			return ok
		}
	}
	return false
}

// allergenOf reports whether an allergen right before what a reading is of makes
// another food of it, where all its allergens are asked: "allergens walnut bread".
func (s *sense) allergenOf(r reading) bool {
	if !s.saysOf("allergens", "allergen") || s.any(cueContain, cueFree, cueWithout) || len(r.q.Targets) > 0 && !r.q.Targets[0].Part {
		return false
	}
	return slices.ContainsFunc(s.allergens, func(i int) bool {
		j := i + 1
		return j < len(s.p.spans) && s.span(j).kind == spanName && (r.used[j] || slices.Contains(r.targets, j)) && !s.l.tokens[s.span(j).from].breaks
	})
}

// frameMenuFor: what somebody can eat over the whole book.
func frameMenuFor(s *sense) []reading {
	barred := slices.ContainsFunc(s.allergens, s.barred)
	if !s.any(cueFree, cueDiet, cueUses, cueAllergen, cueMenu) && !barred {
		return nil
	}
	r := s.reading(WantMenuFor, "allergen")
	r.consumes = plainCues.with(cueFree, cueUses, cueWithout, cueContain, cueAllergen, cueCovers, cueNot, cueOr, cueNo, cueCard, cueAll, cuePlating, cueMenu)
	kind := s.among(&r)
	s.takeAllergens(&r)
	s.takeDiets(&r)
	if len(r.q.Allergen) == 0 && len(r.q.Diet) == 0 {
		return nil
	}
	if len(r.q.Allergen) == 0 {
		r.q.About = "diet"
	}
	r.q.Whole = !kind && s.saysOf("recipe", "recipes", "ones", "components")
	if slices.ContainsFunc(s.allergens, func(i int) bool {
		w := s.after(i)
		return (w == "plate" || w == "dish" || w == "dessert") && !s.any(cueFree, cueWithout, cueUses)
	}) {
		return nil // "almond plate" is a dish's name
	}
	if slices.ContainsFunc(s.allergens, s.namesDish) {
		return nil
	}
	if slices.ContainsFunc(s.allergens, s.wished) {
		return nil // "anything with walnut and no egg"
	}
	if s.allergensIn() && !kind {
		return nil // "allergens in tahini": of what it is
	}
	if barred {
		s.useBacks(&r)
	}
	if !barred && !s.any(cueFree, cueWithout, cueDiet, cueAllergen, cueNot, cueNo, cueCovers) {
		return nil // "which recipes use walnut" asks for them, not for the others
	}
	if !kind && !s.any(cueUses, cueMenu) && !s.any(cueFree, cueWithout) {
		r.extra += 5
	}
	s.countsNothing(&r)
	r.q.Free = true
	if !kind && s.ofSpoken() {
		r.extra += 12
	}
	if last := s.lastAsked(); last != nil && !s.any(cueUses, cueMenu, cueFree, cueAllergen, cueDiet) {
		switch last.Want {
		case WantMenuFor, WantUses: // "and no egg": of the same ones
			if !kind && !r.q.Whole {
				r.q.Among, r.q.AmongText, r.q.Whole = last.Among, last.AmongText, last.Whole
			}
			if last.Free && s.saysOf("and", "nor") {
				for _, a := range last.Allergen {
					if !slices.Contains(r.q.Allergen, a) {
						r.q.Allergen = append(r.q.Allergen, a)
					}
				}
			}
		case WantCard, WantAmount: // "same without the walnut": of that list
			r.extra += 6
		}
	}
	if !kind && len(s.names) == 0 && s.ofNothing() { // "is it vegetarian": of what?
		r.q.Want, r.q.Missing = WantAllergens, MissingRecipe
		if len(r.q.Allergen) == 0 {
			r.q.Want = WantDiet
		}
		return []reading{r}
	}
	if s.ctx != nil && s.ctx.Last != nil && s.ctx.Last.Want == WantSwap && !s.any(cueUses, cueMenu) {
		r.extra += 6 // "and without milk": of what is to stand in
	}
	return []reading{r}
}

// lastAsked is the question before this one, nil if there was none.
func (s *sense) lastAsked() *Question {
	if s.ctx == nil {
		return nil
	}
	return s.ctx.Last
}

// contents are the components that a question may ask for, by their cue.
var contents = []struct {
	cue     cue
	content Content
}{
	{cueFatword, Content{Name: "fat", Key: mix.Fat}},
	{cueSugarword, Content{Name: "sugars", Key: mix.Sugars}},
	{cueSaltword, Content{Name: "salt", Key: mix.Salt}},
	{cueWaterword, Content{Name: "water", Key: mix.Water}},
	{cueProteinword, Content{Name: "protein", Key: mix.Protein}},
	{cueAlcoholword, Content{Name: "alcohol", Key: mix.Alcohol}},
	{cueLactoseword, Content{Name: "lactose", Key: mix.Lactose}},
	{cueStarchword, Content{Name: "starch", Key: mix.Starch}},
	{cueSolidsword, Content{Name: "solids", Sum: true}},
	{cueMsnfword, Content{Name: "milk solids-not-fat", Sum: true}},
	{cueBrixword, Content{Name: "brix", Sum: true}},
}

// contentNames are ingredients' names that are a component where a share is asked.
var contentNames = map[string]Content{
	"sugar": {Name: "sugars", Key: mix.Sugars}, "salt": {Name: "salt", Key: mix.Salt}, "water": {Name: "water", Key: mix.Water},
	"fat": {Name: "fat", Key: mix.Fat}, "alcohol": {Name: "alcohol", Key: mix.Alcohol}, "starch": {Name: "starch", Key: mix.Starch},
	"protein": {Name: "protein", Key: mix.Protein}, "sucrose": {Name: "sucrose", Key: mix.Sucrose}, "glucose": {Name: "glucose", Key: mix.Glucose},
	"fructose": {Name: "fructose", Key: mix.Fructose}, "lactose": {Name: "lactose", Key: mix.Lactose}, "cocoa butter": {Name: "cocoa butter", Key: mix.CocoaButter},
	"milk fat": {Name: "milk fat", Key: mix.MilkFat}, "fibre": {Name: "fibre", Key: mix.Fibre},
}

// unitOfCost reads the unit of "the kilo price" as the size that is priced.
func (s *sense) unitOfCost(r *reading) {
	if len(r.q.Targets) != 1 || sizedAny(r.q.Targets) {
		return
	}
	for _, i := range s.units {
		kind := ScaleMass
		u := s.span(i).unit
		switch u.Dim {
		case quantity.Mass:
		case quantity.Volume:
			kind = ScaleVolume
		default:
			continue
		}
		r.q.Targets[0].Scale = Scale{Kind: kind, N: u.Factor(), Text: s.text(i)}
		r.used[i] = true
		return
	}
}

// ofOne reads "a dome", where domes are what the recipe makes, as one of them;
// also "per dome", and "ganache, cost of one truffle" of a truffle ganache.
func (s *sense) ofOne(r *reading) {
	if len(r.q.Targets) != 1 || len(r.targets) == 0 {
		return
	}
	t := &r.q.Targets[0]
	if t.Scale.Kind != ScaleNone && (t.Scale.Kind == ScaleFactor || !t.Scale.N.Equal(one)) {
		return
	}
	said := slices.Clone(r.targets)
	for _, i := range s.names {
		if !slices.Contains(said, i) && s.namesTarget(i, *r) {
			said = append(said, i)
		}
	}
	if m := t.Recipe.Makes; (s.ends("of", "one") || s.ends("for", "one") || s.ends("per", "one")) && m != nil && !m.Count.IsZero() { // "tuile, cost of one"
		r.q.Per = PerPiece
		return
	}
	if i := s.perOwn(t.Recipe); i >= 0 && r.q.Per == PerDefault {
		r.q.Per, r.used[i] = PerPiece, true
		t.Scale = Scale{}
		return
	}
	for _, i := range said {
		if isBatchWord(name.Singular(s.after(i))) {
			continue // "one pistachio recipe"
		}
		switch w := s.before(i); w {
		case "one", "single", "1", "ein", "eine", "un", "une", "una", "uno", "um", "uma", "a", "an", "each", "per":
			if r.q.Per != PerDefault && !(r.q.Per == PerBatch && w == "one") { // "in one dome" is no batch
				continue
			}
			if m := t.Recipe.Makes; m != nil && !m.Count.IsZero() {
				r.q.Per = PerPiece
				t.Scale = Scale{}
			}
		}
	}
}

// perOwn is the span of "per jar", "one loaf", where a recipe makes jars or loaves;
// -1 if none.
func (s *sense) perOwn(r *kb.Recipe) int {
	w := pieceWord(r)
	if w == "" {
		return -1
	}
	return slices.IndexFunc(s.p.spans, func(sp span) bool {
		if sp.to != sp.from+1 || sp.from == 0 || s.l.tokens[sp.from].breaks || s.l.tokens[sp.from].fold != name.Singular(w) {
			return false
		}
		switch s.l.tokens[sp.from-1].plain {
		case "per", "one", "each", "single", "1", "pro", "par", "por":
			return true
		}
		return false
	})
}

// frameContent: fat, sugars, energy… of a recipe or ingredient.
func frameContent(s *sense) []reading {
	share := s.any(cuePercent, cuePer100)
	for _, i := range s.quant {
		if s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.Share {
			share = true
		}
	}
	var found []Content
	var spans []int
	for _, c := range contents {
		if s.any(c.cue) {
			found = append(found, c.content)
		}
	}
	if share || s.any(cuePortion) {
		for _, i := range s.names {
			if c, ok := contentNames[s.folded(s.span(i))]; ok {
				found = append(found, c)
				spans = append(spans, i)
			}
		}
		for _, i := range s.allergens {
			if c, ok := contentNames[s.folded(s.span(i))]; ok {
				found = append(found, c)
				spans = append(spans, i)
			}
		}
	}
	energy := s.any(cueEnergy)
	if len(found) == 0 && !energy {
		return nil
	}
	w, about := WantContent, "balance"
	if energy && len(found) == 0 {
		w, about = WantEnergy, "lookup"
	}
	var out []reading
	for _, base := range s.itemsOrRecipe(w, about) {
		if slices.ContainsFunc(spans, func(i int) bool { return base.used[i] }) {
			continue
		}
		if len(base.q.Items) > 0 {
			base.q.About = "lookup"
		}
		p := pick{targets: base.q.Targets}
		for _, r := range s.sized(base, p) {
			for _, c := range contents {
				r.consumes = r.consumes.with(c.cue)
			}
			r.consumes = r.consumes.with(cuePercent, cuePer100, cuePortion, cuePiece, cueHowmuch, cueHowmany, cueEnergy, cueTotal, cueContain, cueBatch, cueOnebatch, cueCovers, cueSolidsword)
			r.q.Content = found
			for _, i := range spans {
				r.used[i] = true
			}
			for _, i := range s.quant { // "per 100 g"
				if sp := s.span(i); !r.used[i] && sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Mass && sp.q.Q.Base().Equal(quantity.Int(100)) && (s.before(i) == "per" || s.before(i) == "in" || s.before(i) == "pro" || s.before(i) == "pour") {
					r.used[i] = true
					r.q.Per = Per100
					if len(r.q.Targets) == 1 {
						r.q.Targets[0].Scale = Scale{}
					}
				}
			}
			if s.saysOf("above", "over", "more", "under", "below", "less", "exceed", "exceeds", "least") { // "is it above 10 percent fat"
				for _, i := range s.quant {
					r.used[i] = r.used[i] || s.span(i).kind == spanQuantity && s.span(i).q.Q.Unit.Dim == quantity.Share
				}
				r.consumes = r.consumes.with(cueExtra, cueLose, cueThan)
			}
			if s.any(cuePer100) {
				r.q.Per = Per100
			} else if per := s.per(); per != PerDefault {
				r.q.Per = per
			} else if sizedAny(r.q.Targets) {
				r.q.Per = PerBatch
			}
			if !share && !energy && r.q.Per == PerDefault && !s.any(cueHowmuch) {
				if len(r.q.Targets) == 1 && !r.q.Targets[0].Part { // "fat in the ice cream base"
					r.extra++
				} else {
					r.q.Guessed = true
					r.extra += 9
				}
			}
			s.ofOne(&r)
			if share && r.q.Per == PerDefault {
				r.q.Per = Per100
			}
			s.unit(&r)
			out = append(out, r)
		}
	}
	return out
}

// frameCost: of a batch, piece, cover, or an ingredient's price.
func frameCost(s *sense) []reading {
	price := s.asksPrice()
	if !s.any(cueCost) && !price {
		return nil
	}
	var out []reading
	for _, base := range s.itemsOrRecipe(WantCost, "cost") {
		p := pick{targets: base.q.Targets, spans: base.targets, talk: base.q.FromTalk}
		for _, r := range s.sized(base, p) {
			r.consumes = r.consumes.with(cueCost, cuePortion, cuePiece, cueBatch, cueOnebatch, cueCovers, cueHowmuch, cueTotal, cuePercent)
			r.q.Per = s.per()
			if price {
				s.usePriceUnit(&r)
				r.extra -= 2
			}
			if r.q.Per == PerCover && !s.hasCovers(r) {
				r.extra += 10 // only what makes covers costs so much a cover
			}
			if r.q.FromTalk && slices.ContainsFunc(s.names, func(i int) bool { return s.l.ingredientAt(s.span(i)) }) {
				r.extra += 6 // "price of hazelnuts per kilo" is of what is bought
			}
			if r.q.FromTalk && r.q.Per == PerDefault && s.ctx != nil && len(s.ctx.Targets) == len(r.q.Targets) && !sizedAny(r.q.Targets) && !s.any(cueOnebatch) && !s.saysOneBatch() {
				r.q.Targets = slices.Clone(r.q.Targets)
				for k := range r.q.Targets { // what was asked of so many costs so much
					if r.q.Targets[k].Recipe == s.ctx.Targets[k].Recipe {
						r.q.Targets[k].Scale = s.ctx.Targets[k].Scale
					}
				}
			}
			s.unitOfCost(&r)
			s.ofOne(&r)
			s.amountOfCost(&r)
			if s.any(cueBatch) && !s.any(cuePiece, cuePortion) { // "cost of one mix"
				r.q.Per = PerBatch
			}
			out = append(out, r)
		}
	}
	return out
}

// hasCovers reports false of an ingredient whose word is in the name of what makes covers.
func (s *sense) hasCovers(r reading) bool {
	if len(r.q.Items) == 0 {
		return true
	}
	covers := func(r *kb.Recipe) bool { return r != nil && (r.Makes.IsCovers() || pieceWord(r) != "") } // a piece is a portion of its own
	for _, i := range s.names {                                                                         // whatever way through the message was taken
		for _, sp := range s.l.starts[s.span(i).from] {
			if slices.ContainsFunc(sp.names, func(h hit) bool { return covers(s.l.x.entries[h.id].Recipe) }) {
				return false
			}
		}
	}
	return true
}

// ofSpoken reports whether one recipe is spoken of and the message says no more than
// what it may be free of: "is it gluten free", "dairy free?".
func (s *sense) ofSpoken() bool {
	if s.ctx == nil || s.ctx.Last == nil || len(s.ctx.Targets) != 1 || s.ctx.Targets[0].Recipe == nil || s.ctx.Last.Want == WantMenuFor || s.ctx.Last.Want == WantUses || s.any(cueUses, cueMenu, cueCovers) {
		return false
	}
	return (len(s.l.tokens) <= 4 || s.saysOf("it", "its", "this", "that")) && !s.asksWhat() &&
		!s.saysOf("what", "whats", "which", "who", "else", "anything", "something", "everything", "nothing", "any", "all", "dishes", "recipes", "options", "list", "guest", "guests", "table")
}

// ofNothing reports whether "it" is asked about where nothing was spoken of.
func (s *sense) ofNothing() bool {
	if s.ctx != nil && (s.ctx.Last != nil || len(s.ctx.Targets) > 0) || s.any(cueUses, cueMenu) || len(s.l.tokens) < 3 || len(s.l.tokens) > 6 {
		return false
	}
	switch s.l.tokens[0].plain {
	case "is", "are", "was", "does", "can", "would":
	default:
		return false
	}
	return slices.Contains([]string{"it", "this", "that", "they", "these", "those"}, s.l.tokens[1].plain) && !s.saysOf("what", "anything", "something", "all", "guest", "guests", "table")
}
