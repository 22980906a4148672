package question

import (
	"slices"

	"tamis/kb/name"
	"tamis/kb/recipe"
)

// byStepWords takes the words that the book writes of a step for that step: "cabbage
// salted and in the sieve, when is that done" of "hold: salted cabbage in the sieve".
// With a verb of the book they only say what the step is done to: "leaven ferment time".
func (s *sense) byStepWords(r *reading) {
	q := &r.q
	if !ofTime(q.Want) && (q.Want != WantSteps || q.Temp) || len(q.Targets) != 1 || q.Targets[0].Recipe == nil || q.Place != "" || q.Oven || q.Thing != nil || len(q.Goal.Verbs) > 0 || q.Work.Step > 0 {
		return
	}
	rec := q.Targets[0].Recipe
	told, verb := s.stepsTold(q.Verbs, rec.Method)
	best, score, tie := -1, 0, false
	for i := range rec.Method {
		st := &rec.Method[i]
		if st.For == nil || told && name.Fold(st.Verb) != verb {
			continue
		}
		n := s.stepScore(st, rec.Name)
		switch {
		case n > score:
			best, score, tie = i, n, false
		case n == score:
			tie = true
		}
	}
	if score == 0 || tie || !told && score < 2 && !s.inWordOf(&rec.Method[max(best, 0)], rec.Name) {
		return
	}
	st := &rec.Method[best]
	if !told && !s.asksTime() {
		return
	}
	if !told {
		q.Verbs = []string{st.Verb}
	}
	r.used = slices.Clone(r.used)
	for i := range s.p.spans {
		sp := s.span(i)
		if r.used[i] || !s.spanInStep(sp, st) {
			continue
		}
		switch {
		case sp.kind == spanName || sp.kind == spanUnused:
			r.used[i] = true
		case sp.kind == spanCue && !told:
			r.used[i] = true
		}
	}
	q.Work.Step = 0
	for i := range rec.Method {
		if o := &rec.Method[i]; i != best && o.For != nil && name.Fold(o.Verb) == name.Fold(st.Verb) && ofTime(q.Want) {
			q.Work.Step = best + 1 // one of two of that verb
		}
	}
	r.extra--
}

// asksTime reports whether a moment or a length is asked.
func (s *sense) asksTime() bool {
	return s.any(cueHowlong, cueWhen, cueSetready, cueTimer, cueLatest)
}

// stepsTold is the nearest of those verbs that a step has.
func (s *sense) stepsTold(verbs []string, method []recipe.Step) (told bool, verb string) {
	for _, v := range verbs {
		if slices.ContainsFunc(method, func(st recipe.Step) bool { return name.Fold(st.Verb) == name.Fold(v) }) {
			return true, name.Fold(v)
		}
	}
	return false, ""
}

// stepScore counts the words of a message that the book writes of a step; those of
// the recipe's own name say nothing of it.
func (s *sense) stepScore(st *recipe.Step, of string) int {
	words, own := name.Words(st.Words), name.Words(of)
	n := 0
	for k := range s.l.tokens {
		if w := s.l.tokens[k].fold; sayingWord(w) && slices.Contains(words, w) && !slices.Contains(own, w) {
			n++
		}
	}
	return n
}

// inWordOf reports whether a word of the step stands behind "in", "in the": where
// the thing is, "in the muslin".
func (s *sense) inWordOf(st *recipe.Step, of string) bool {
	t := s.l.tokens
	words, own := name.Words(st.Words), name.Words(of)
	for k := 1; k < len(t); k++ {
		if !sayingWord(t[k].fold) || t[k].breaks || !slices.Contains(words, t[k].fold) || slices.Contains(own, t[k].fold) {
			continue
		}
		j := k - 1
		for j > 0 && isArticle(t[j].plain) {
			j--
		}
		switch t[j].plain {
		case "in", "into", "on", "under", "over":
			return true
		}
	}
	return false
}

// spanInStep reports whether all words of a span stand in what the book writes of a step.
func (s *sense) spanInStep(sp *span, st *recipe.Step) bool {
	words := name.Words(st.Words)
	for k := sp.from; k < sp.to; k++ {
		if !slices.Contains(words, s.l.tokens[k].fold) {
			return false
		}
	}
	return true
}

// sayingWord reports whether a word may tell one step from another.
func sayingWord(w string) bool {
	switch w {
	case "with", "until", "from", "time", "long", "over", "into", "then", "each", "side", "half", "when", "that", "once", "well", "done", "ready", "first", "again", "slowly", "cold", "warm", "room":
		return false
	}
	return len(w) > 3
}
