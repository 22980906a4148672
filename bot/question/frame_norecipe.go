package question

// needRecipe are the words that ask something of a recipe.
var needRecipe = cueSet{}.with(cueKeeps, cueHowlong, cueTemp, cueMethod, cueAllergen, cueCost, cueYield, cueCard, cueUseby, cueWhere, cuePlating)

// frameNoRecipe: a question about a recipe that names none and follows none.
func frameNoRecipe(s *sense) []reading {
	oven := len(s.names) == 1 && s.bakesIn(s.names[0]) && s.any(cueHowlong)
	if len(s.names) > 0 && !oven || s.ctx != nil && len(s.ctx.Targets) > 0 || len(s.units) > 0 || len(s.allergens) > 0 || !s.cues.meets(needRecipe) || s.any(cueUses, cueHelp, cueDiet, cueMenu) {
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
