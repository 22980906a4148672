package question

import (
	"slices"

	"tamis/kb/recipe"
)

// bar is a run of tokens that says what must not come in: "nut free", "without
// milk", "allergic to egg".
type bar struct {
	from, to int
	allergen recipe.Allergen
}

// bars finds what must not come in by the words alone, whatever way through the
// message was taken: an allergen that is overlooked would be let in.
func (s *sense) bars(follow bool) []bar {
	var out []bar
	word := func(k int) string {
		if k < 0 || k >= len(s.l.tokens) {
			return ""
		}
		return s.l.tokens[k].plain
	}
	for i := range s.l.tokens {
		switch word(i) {
		case "gf":
			out = s.barAs(out, i, "gluten")
		case "df":
			out = s.barAs(out, i, "dairy")
		}
		a, n, ok := s.l.allergenAt(i)
		if !ok {
			continue
		}
		b := bar{i, i + n, a}
		switch prev, next := word(i-1), word(i+n); {
		case next == "free", next == "allergy", next == "allergic", next == "intolerant", next == "intolerance":
			b.to++
		case prev == "of" && word(i-2) == "free", prev == "from" && word(i-2) == "free", prev == "to" && (word(i-2) == "allergic" || word(i-2) == "allergy" || word(i-2) == "intolerant"),
			(prev == "have" || prev == "eat" || prev == "take") && slices.Contains(swapNegatives, word(i-2)), prev == "any" && word(i-2) == "without":
			b.from -= 2
		case (prev == "have" || prev == "eat") && word(i-2) == "not" && word(i-3) == "can":
			b.from -= 3
		case prev == "without", prev == "no", prev == "not", prev == "avoid", prev == "ohne", prev == "sans", prev == "sin", prev == "senza", prev == "sem":
			if !follow && !s.namedBefore(i) {
				continue // it is what is missing
			}
			b.from--
		case (prev == "or" || prev == "and" || prev == "nor") && len(out) > 0 && out[len(out)-1].to == i-1:
			b.from--
		default:
			continue
		}
		if len(out) > 0 && out[len(out)-1].to > i { // "milk" of "milk free" twice
			continue
		}
		out = append(out, b)
	}
	return out
}

func (s *sense) barAs(out []bar, i int, word string) []bar {
	if a, ok := allergenTable()[word]; ok {
		return append(out, bar{i, i + 1, a})
	}
	return out
}

// namedBefore reports whether an ingredient is named before token i.
func (s *sense) namedBefore(i int) bool {
	return slices.ContainsFunc(s.names, func(n int) bool {
		if s.span(n).to > i-1 {
			return false
		}
		it, ok := s.item(n)
		return ok && it.Larder != nil // a recipe's name is no ingredient
	})
}

// takeBars keeps what must not come in and uses up its words.
func (s *sense) takeBars(r *reading, bars []bar) {
	for _, b := range bars {
		if !slices.Contains(r.q.Allergen, b.allergen) {
			r.q.Allergen = append(slices.Clone(r.q.Allergen), b.allergen)
		}
		for i := range s.p.spans {
			if sp := s.span(i); sp.from >= b.from && sp.to <= b.to || sp.from < b.to && sp.to > b.from && sp.kind != spanCue {
				r.used[i] = true
			}
		}
	}
}
