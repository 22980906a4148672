package question

// frameBook: what the book holds, or a section of it: "which recipes do we have",
// "what sauces are there". What names an ingredient or a recipe asks of that.
func frameBook(s *sense) []reading {
	if len(s.quant)+len(s.units)+len(s.clock)+len(s.allergens) > 0 || !s.any(cueUses, cueCard, cueAll, cueIngredients, cueHowmany) && !s.asksWhat() && !s.saysOf("which") {
		return nil
	}
	r := s.reading(WantUses, "lookup")
	kind := s.among(&r)
	if !kind && !s.saysOf("recipes", "dishes", "book", "cookbook") {
		return nil
	}
	for _, i := range s.names {
		if !r.used[i] {
			return nil
		}
	}
	if !kind && s.saysOf("dishes") && !s.saysOf("recipes") {
		for _, rec := range s.l.x.recipes {
			if rec.Makes.IsCovers() {
				r.q.Among = append(r.q.Among, rec)
			}
		}
		r.q.AmongText = "dishes"
	}
	r.q.Whole = true
	r.consumes = plainCues.with(cueUses, cueCard, cueAll, cueIngredients, cueHowmany, cueContain, cueStock, cueOnly, cueOnebatch)
	for i := range s.p.spans { // the words of the question itself
		sp := s.span(i)
		switch {
		case sp.kind == spanCue && !sp.cues.meets(r.consumes):
			return nil
		case sp.kind == spanUnused && sp.food && !r.used[i]:
			return nil
		case sp.kind == spanUnused && bookWord(s.l.tokens[sp.from].plain):
			r.used[i] = true
		}
	}
	if kind && !s.any(cueUses, cueCard, cueAll) && !s.saysOf("have", "got", "there", "know", "do") {
		return nil
	}
	return []reading{r}
}

// bookWord reports whether a word stands in a question for the book's list.
func bookWord(w string) bool {
	switch w {
	case "book", "cookbook", "recipes", "dishes", "list", "have", "got", "there", "know", "hold":
		return true
	}
	return false
}
