package question

import "tamis/calc/quantity"

// needRecipe are the words that ask something of a recipe.
var needRecipe = cueSet{}.with(cueKeeps, cueHowlong, cueTemp, cueMethod, cueAllergen, cueCost, cueYield, cueCard, cueUseby, cueWhere, cuePlating)

// frameNoRecipe: a question about a recipe that names none and follows none.
func frameNoRecipe(s *sense) []reading {
	oven := len(s.names) == 1 && s.bakesIn(s.names[0]) && s.any(cueHowlong)
	if len(s.names) > 0 && !oven || s.ctx != nil && len(s.ctx.Targets) > 0 || len(s.units) > 0 || len(s.allergens) > 0 || !s.cues.meets(needRecipe) && !(s.cues.meets(verbCues) && (s.ends("at") || s.ends("to")) && len(s.quant) == 0) || s.any(cueUses, cueHelp, cueDiet, cueMenu) {
		return nil
	}
	for _, i := range s.quant {
		if s.span(i).kind != spanFactor {
			return nil
		}
	}
	loose := 0
	for i := range s.p.spans {
		if s.span(i).kind == spanUnused {
			loose++
		}
	}
	if loose > 1 || len(s.l.tokens) > 8 {
		return nil
	}
	r := s.reading(WantCard, "lookup")
	r.q.Targets = []Target{{}}
	r.q.Missing = MissingRecipe
	r.q.Verbs, r.q.Oven = s.verbs(), s.any(cueOven)
	r.consumes = plainCues.or(needRecipe).or(sizeCues).or(verbCues).with(cueHowmuch, cueHowmany, cueOven, cueWhen, cueAll, cueContain)
	if oven { // "how long in the combi oven"
		r.used[s.names[0]] = true
	}
	for _, i := range s.quant {
		r.q.Targets[0].Scale = Scale{Kind: ScaleFactor, N: s.span(i).factor}
		r.used[i] = true
	}
	r.extra = costNoRecipe
	return []reading{r}
}

// amountWithoutRecipe: "x2 how much sugar": the recipe is asked back.
func (s *sense) amountWithoutRecipe() []reading {
	bare := !s.any(cueHowmuch, cueHowmany, cueWeigh) && len(s.quant) == 0
	if bare && (len(s.l.tokens) > 4 || s.ctx != nil && len(s.ctx.Targets) > 0 && s.any(cueAnd, cueWhatabout)) { // "and gelatine?" is of what is spoken of
		return nil
	}
	for _, i := range s.names { // "in the jus": a recipe is named, if not which
		if w := s.before(i); len(s.recipesOf(i, 1)) > 0 && !s.l.ingredientAt(s.span(i)) && (w == "the" || w == "in" || w == "for" || w == "of") {
			return nil
		}
	}
	r := s.reading(WantAmount, "lookup")
	if bare {
		r.extra++
	}
	if s.any(cueWeigh) && !s.any(cueHowmuch, cueHowmany) && s.saysOf("one", "a", "each", "single") {
		r.extra += 8 // "what does one berry weigh" is no recipe's
	}
	r.consumes = plainCues.or(sizeCues).with(cueHowmuch, cueHowmany, cueWeigh, cueTotal, cueOnly, cueCovers, cuePiece)
	if len(s.quant) > 0 && !s.any(cueSwap, cueRescue) {
		r.consumes = r.consumes.with(cueExtra, cueThat)
	}
	r.q.Targets = []Target{{}}
	left := -1
	for _, i := range s.quant {
		sp := s.span(i)
		switch {
		case sp.kind == spanFactor:
			r.q.Targets[0].Scale = Scale{Kind: ScaleFactor, N: sp.factor}
		case (s.precededBy(i, cueFor) || s.ofThem(i) || s.before(i) == "need" || s.before(i) == "needs" || i == 0 && sp.to < len(s.l.tokens) && s.l.tokens[sp.to].breaks) && sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.None:
			r.q.Targets[0].Scale = Scale{Kind: ScaleFor, N: sp.q.Q.N}
		case sp.kind == spanQuantity && sp.q.Q.Unit.Dim == quantity.Mass && sp.q.Ambiguous == nil && sp.to < len(s.l.tokens) && (s.l.tokens[sp.to].breaks || s.l.tokens[sp.to].plain == "how"): // "need 3 kg, how much butter"
			r.q.Targets[0].Scale = Scale{Kind: ScaleMass, N: sp.q.Q.Base()}
		case sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.Mass || sp.q.Q.Unit.Dim == quantity.Volume) && sp.q.Ambiguous == nil && sp.q.Hi == nil && len(s.quant) == 1: // "600 g cream left, how much sugar"
			j := s.next(i)
			if j < 0 || j != i+1 && !(j == i+2 && s.after(i) == "of") || s.span(j).kind != spanName {
				continue
			}
			it, ok := s.item(j)
			if !ok || !s.any(cueOnly) && (it.Part || len(s.names) < 2 || s.l.x.linesWith(&it, 1) != 1) { // "900 g char fillet, salt": one recipe has it
				continue
			}
			r.q.Targets[0].Scale = Scale{Kind: ScaleGiven, Given: []Given{{Item: it, Q: sp.q.Q}}, Only: true, Text: s.text(i)}
			r.used[j], left = true, j
		default:
			continue
		}
		r.used[i] = true
		r.q.About = "scale"
	}
	r, some := s.restItems(r)
	if !some {
		return nil
	}
	for _, i := range s.names {
		if i != left && s.l.recipeAt(s.span(i)) { // a recipe may be named after all
			r.extra += 3
		}
	}
	if s.any(cueYield) && s.any(cueBatch, cueOnebatch) && s.any(cueHowmany) {
		r.extra += 6 // "how many creams does one batch give" counts them
	}
	for i := range r.q.Items {
		if !r.q.Items[i].InBook && s.l.x.linesWith(&r.q.Items[i], 0) == 0 {
			r.extra += 2 // no line of the book has it by that name
		}
		if r.q.Items[i].Part {
			r.extra++
		}
	}
	s.unit(&r)
	r.q.Missing = MissingRecipe
	r.extra += costNoRecipe
	return []reading{r}
}
