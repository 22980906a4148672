package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// overFigure reads two amounts of which the second is what it should have been:
// "used 150 g … instead of 50", "got 420 g, not 300", "400 g in, recipe says 360".
func (s *sense) overFigure() bool {
	var qs []int
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity {
			continue
		}
		switch sp.q.Q.Unit.Dim {
		case quantity.Mass, quantity.Volume, quantity.None, quantity.Count:
			qs = append(qs, i)
		default:
			return false
		}
	}
	if len(qs) != 2 || s.saysSure(qs[0]) {
		return false
	}
	if j := s.next(qs[1]); j >= 0 && s.span(j).kind == spanName && !s.l.tokens[s.span(j).from].breaks && j == qs[1]+1 {
		return false // "400 g butter instead of 300 g cream"
	}
	if s.saysSure(qs[1]) {
		return s.rightBehind(qs[1]) && s.wentIn() || s.hears("should", "shouldve", "supposed", "meant", "got", "has", "had", "gave") || s.wentIn()
	}
	f := s.span(qs[1]).from
	not := f > 0 && s.l.tokens[f-1].plain == "not" || f > 1 && s.l.tokens[f-1].plain == "of" && s.l.tokens[f-2].plain == "instead"
	if !not {
		return false
	}
	_, _, deed := s.byDeed(nil)
	d := s.span(qs[0]).q.Q.Unit.Dim
	j := qs[0] + 1 // "got 400 sugar instead of 300"
	food := j < len(s.p.spans) && s.span(j).kind == spanName && s.l.ingredientAt(s.span(j)) && !s.l.recipeAt(s.span(j))
	return s.wentIn() || deed || s.hears("used", "got", "gave", "has", "had", "contains") && (d == quantity.Mass || d == quantity.Volume || food)
}

// wentIn reports whether a word says that something went in.
func (s *sense) wentIn() bool {
	return s.hears("poured", "put", "added", "dumped", "tipped", "threw", "chucked", "weighed", "went", "used", "measured", "scaled")
}

// saysSure reports whether the words before amount i give what it should be: "should
// be 360", "recipe says 150".
func (s *sense) saysSure(i int) bool {
	t := s.l.tokens
	k := s.span(i).from - 1
	word := func(k int) string {
		if k < 0 {
			return ""
		}
		return t[k].plain
	}
	for k >= 0 && slices.Contains([]string{"only", "just", "about", "around"}, word(k)) {
		k--
	}
	if s.rightBehind(i) {
		return true
	}
	switch w := word(k); w {
	case "be", "been":
		for j := k - 1; j >= max(0, k-3); j-- {
			switch word(j) {
			case "should", "shouldve", "supposed", "meant":
				return true
			case "to", "have", "of":
			default:
				return false
			}
		}
	case "says", "say", "said", "has", "is", "asks", "for", "wants":
		for j := k; j >= max(0, k-2); j-- {
			switch word(j - 1) {
			case "recipe", "book", "card", "sheet":
				return true
			}
		}
	}
	return false
}

// rightBehind reads "320 was right", "320 would have been enough" of amount i.
func (s *sense) rightBehind(i int) bool {
	t := s.l.tokens
	k := s.span(i).to
	said := false
	for ; k < len(t) && !t[k].breaks; k++ {
		switch t[k].plain {
		case "was", "is", "were", "would", "have", "been", "be", "wouldve", "the", "actually":
			said = true
			continue
		case "right", "correct", "needed", "asked", "called", "wanted", "planned":
			return said
		}
		return false
	}
	return false
}

// byDeed reads what went in from a verb that is made of its name: "salted the
// brine", "double sugared", "oversalted"; of a recipe that has it, or of any.
func (s *sense) byDeed(r *kb.Recipe) (p Poured, spans []int, ok bool) {
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.to != sp.from+1 || sp.kind == spanName && !slices.ContainsFunc(sp.names, func(h hit) bool { return h.part }) || sp.kind == spanQuantity || sp.kind == spanFactor || sp.kind == spanClock {
			continue
		}
		w := strings.TrimPrefix(s.l.tokens[sp.from].plain, "over")
		if len(w) < 6 || !strings.HasSuffix(w, "ed") {
			continue
		}
		for _, st := range stems(w)[1:] {
			it := s.larderItem(name.Fold(st))
			if it.Larder == nil {
				continue
			}
			it.Text = st
			if n := name.Fold(st); !slices.Contains(it.Names, n) {
				it.Names = append(it.Names, n)
			}
			if r != nil {
				if m, _ := it.match(r); m != exactMatch {
					continue
				}
			}
			return Poured{Item: it}, []int{i}, true
		}
	}
	return p, nil, false
}

// twiceDeed reads "double salted": so many times what should have gone in.
func (s *sense) twiceDeed() bool {
	_, spans, ok := s.byDeed(nil)
	return ok && spans[0] > 0 && s.span(spans[0]-1).kind == spanFactor && !s.l.tokens[s.span(spans[0]).from].breaks && one.Less(s.span(spans[0]-1).factor)
}

// allIn reports whether everything else is said to be in.
func (s *sense) allIn() bool {
	t := s.l.tokens
	for k := 0; k+2 < len(t); k++ { // "all else in"
		if t[k].plain == "all" && t[k+1].plain == "else" && (t[k+2].plain == "in" || t[k+2].plain == "is") {
			return true
		}
	}
	return s.hears("everything", "rest", "others") && s.hears("in", "already") || s.restRight()
}

// behindFigures reports whether span i stands in a later thought than all amounts of
// what went in, and is asked for: "…, should be 360. mustard to add?".
func (s *sense) behindFigures(i int) bool {
	if len(s.quant) == 0 || !s.overFigure() {
		return false
	}
	last := s.span(s.quant[len(s.quant)-1])
	if s.span(i).from < last.to {
		return false
	}
	for k := last.to; k <= s.span(i).from; k++ {
		if s.l.tokens[k].breaks {
			return true
		}
	}
	return s.precededBy(i, cueHowmuch)
}
