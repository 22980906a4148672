package question

import "slices"

// goneUse reads "nibs finished, use sesame": one thing that is gone and, behind it,
// another that is to be used.
func (s *sense) goneUse() bool {
	gone := false
	for k, i := range s.names {
		if missing, to, barred := s.swapRole(i, k == 0); gone && to && !barred {
			return slices.Contains([]string{"use", "using", "take", "with"}, s.leadOf(i))
		} else if missing && !to && !barred && (!s.l.recipeAt(s.span(i)) || s.l.ingredientAt(s.span(i))) {
			switch s.after(i) {
			case "finished", "gone", "out", "ran", "run", "86d", "is", "are":
				gone = true
			}
		}
	}
	return false
}

// leadOf is the word before a name and its article.
func (s *sense) leadOf(i int) string {
	k := s.span(i).from - 1
	for k >= 0 && slices.Contains(swapArticles, s.l.tokens[k].plain) {
		k--
	}
	if k < 0 {
		return ""
	}
	return s.l.tokens[k].plain
}

// nameOf reports whether a name says once more which recipe is spoken of: "tuile
// nibs finished, 30 tuiles".
func (s *sense) nameOf(i int, r *reading) bool {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || s.l.ingredientAt(s.span(i)) {
		return false
	}
	o := s.recipesOf(i, 2)
	return len(o) == 1 && o[0].recipe == r.q.Targets[0].Recipe
}
