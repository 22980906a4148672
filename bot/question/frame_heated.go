package question

import (
	"slices"
	"strings"
	"sync"

	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// IsHeated reports whether a step with a temperature is of what a word calls:
// by its own words, or by what that is made from ("syrup" of sugar).
func IsHeated(st *recipe.Step, word string) bool {
	if (st.To == nil || st.To.Temperature == nil) && (st.At == nil || st.At.Temperature == nil) && st.UntilCore == nil {
		return false
	}
	has := func(w string) bool {
		w = name.Fold(w)
		in := func(text string) bool { return mayHold(text, w) && slices.Contains(name.Words(text), w) }
		return in(st.Words) || slices.ContainsFunc(st.Of, in) || slices.ContainsFunc(st.Uses, func(u recipe.Use) bool { return in(u.Name) })
	}
	if has(word) {
		return true
	}
	for _, of := range []string{"sugar", "yolk"} {
		n, _ := heatWords().longest([]string{word}, []workRole{workRole("made of " + of)})
		if n == 1 && (has(of) || of == "yolk" && has("all")) {
			return true
		}
	}
	return false
}

// mayHold reports whether a text may hold a folded word: without folding it, for
// there are many.
func mayHold(text, w string) bool {
	for i := range len(text) {
		c := text[i]
		if c >= 0x80 {
			return true
		}
		if c|0x20 == w[0] && i+len(w) <= len(text) && strings.EqualFold(text[i:i+len(w)], w) {
			return true
		}
	}
	return false
}

// heatedIn are the recipes with a step with a temperature that all the words fit.
func (l *lattice) heatedIn(words []string) []*kb.Recipe {
	key := strings.Join(words, " ")
	if found, ok := l.heated[key]; ok { // every covering asks the same
		return found
	}
	var found []*kb.Recipe
	for _, r := range l.x.recipes {
		for i := range r.Method {
			if !slices.ContainsFunc(words, func(w string) bool { return !IsHeated(&r.Method[i], w) }) {
				found = append(found, r)
				break
			}
		}
	}
	if l.heated == nil {
		l.heated = map[string][]*kb.Recipe{}
	}
	l.heated[key] = found
	return found
}

func heats(r *kb.Recipe, word string) bool {
	for i := range r.Method {
		if IsHeated(&r.Method[i], word) {
			return true
		}
	}
	return false
}

// takeHeated uses up the words for what is heated inside a recipe: "the sugar for
// the meringue" of a mousse.
func (s *sense) takeHeated(r *reading) {
	if !r.q.Temp || r.q.Core || len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil {
		return
	}
	if i := s.beforeFood(); i >= 0 && !r.used[i] {
		r.used[i] = true
		r.q.Before = []string{s.l.tokens[s.span(i).to-1].fold}
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanUnused && sp.kind != spanName || r.used[i] || sp.to != sp.from+1 || s.l.tokens[sp.from].number || len(s.l.tokens[sp.from].plain) < 4 {
			continue
		}
		w := s.heatedWord(sp.from)
		if heats(r.q.Targets[0].Recipe, w) {
			r.used[i] = true
			r.q.Heated = append(r.q.Heated, w)
			if w != s.l.tokens[sp.from].fold {
				r.extra += costFix1
				r.q.Assumed = append(r.q.Assumed, Assumption{"read as", []string{s.l.tokens[sp.from].plain, w}})
			}
		}
	}
}

// beforeFood is the span of the food that is not in yet: "before the cream goes in",
// −1 where none is said.
func (s *sense) beforeFood() int {
	for k := range s.l.tokens {
		if s.l.tokens[k].plain != "before" || k+1 == len(s.l.tokens) || s.l.tokens[k+1].breaks {
			continue
		}
		j := k + 1
		for j+1 < len(s.l.tokens) && !s.l.tokens[j+1].breaks && slices.Contains([]string{"the", "our", "adding", "add", "i", "we", "you"}, s.l.tokens[j].plain) {
			j++
		}
		if i := s.spanAt(j); i >= 0 && (s.span(i).kind == spanName || s.span(i).kind == spanUnused && s.span(i).food) {
			return i
		}
	}
	return -1
}

// Names reports whether a step speaks of a food by that word.
func Names(st *recipe.Step, word string) bool {
	in := func(text string) bool { return mayHold(text, word) && slices.Contains(name.Words(text), word) }
	return in(st.Words) || slices.ContainsFunc(st.Of, in) || slices.ContainsFunc(st.Uses, func(u recipe.Use) bool { return in(u.Name) })
}

// heatedList are the words for what something becomes by heat, sorted.
var heatedList = sync.OnceValue(func() []string {
	var out []string
	for w := range heatWords().phrases {
		if n, _ := heatWords().longest([]string{w}, []workRole{"made of sugar", "made of yolk"}); n == 1 && len(w) > 4 {
			out = append(out, w)
		}
	}
	slices.Sort(out)
	return out
})

// heatedWord is token k, or the word for what is heated that it is a slip of.
func (s *sense) heatedWord(k int) string {
	if w, ok := s.l.slipOf(k, heatedList(), func(string) bool { return false }); ok {
		return w
	}
	return s.l.tokens[k].fold
}

// asksTo reads "what do I boil the sugar to", "to what temp".
func (s *sense) asksTo() bool {
	heated := s.any(cueVerbCook, cueVerbBake, cueVerbChill, cueVerbFreeze, cueVerbThaw, cueVerbWhip, cueVerbHold) || s.hears("warm", "warmed", "heat", "melt", "melted")
	if !s.saysOf("what") && !(heated && s.ends("to") && s.hears("heated", "warmed", "cooked", "cooled", "chilled", "baked")) || !heated && !s.cues.meets(verbCues) {
		return false
	}
	for k := range s.l.tokens {
		if s.l.tokens[k].plain != "to" || k == 0 {
			continue
		}
		if k+1 == len(s.l.tokens) || s.l.tokens[k+1].breaks {
			return true
		}
		switch s.l.tokens[k+1].plain {
		case "for", "in", "of", "when", "with":
			return true
		case "what": // "warm the cream to what"
			if heated && k > 1 && (k+2 == len(s.l.tokens) || s.l.tokens[k+2].breaks || slices.Contains([]string{"for", "before", "then", "and", "when"}, s.l.tokens[k+2].plain)) {
				return true
			}
		}
	}
	return false
}

// frameHeated: how hot something gets that is no recipe but a part of one: "how hot
// the syrup for the meringue".
func frameHeated(s *sense) []reading {
	if !s.any(cueTemp) && !s.asksTo() || len(s.quant) > 0 || len(s.l.tokens) > 16 {
		return nil
	}
	var words []string
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanUnused && sp.kind != spanName {
			continue
		}
		if sp.kind == spanName && slices.ContainsFunc(s.recipesOf(i, 2), func(o option) bool { return !o.part || !s.l.ingredientAt(sp) }) {
			return nil // frameSteps: of that recipe
		}
		for k := sp.from; k < sp.to; k++ {
			t := &s.l.tokens[k]
			if sp.kind == spanName || sp.food || len(heatWords().phrases[t.plain]) > 0 && s.madeOf(k) {
				words = append(words, t.fold)
			}
		}
	}
	if len(words) == 0 || len(words) > 3 || !slices.ContainsFunc(words, func(w string) bool { return len(w) > 3 }) {
		return nil
	}
	var out []reading
	found := s.l.heatedIn(words)
	if s.ctx != nil && len(s.ctx.Targets) == 1 && slices.Contains(found, s.ctx.Targets[0].Recipe) {
		found = []*kb.Recipe{s.ctx.Targets[0].Recipe} // of what is spoken of
	}
	if len(found) > 4 {
		return nil
	}
	for _, r := range found {
		one := s.reading(WantSteps, "lookup")
		one.q.Targets, one.q.Temp, one.q.Heated = []Target{{Recipe: r}}, true, words
		one.q.Verbs = s.verbs()
		one.consumes = plainCues.or(verbCues).with(cueTemp, cueOnebatch, cueHowmuch)
		for i := range s.p.spans {
			if sp := s.span(i); sp.kind == spanName || sp.kind == spanUnused && (sp.food || s.madeOf(sp.from)) {
				one.used[i] = true
			}
		}
		one.extra = 2
		if s.ctx != nil && len(s.ctx.Targets) == 1 && s.ctx.Targets[0].Recipe == r { // it is spoken of
			one.extra -= Margin + 1
		}
		out = append(out, one)
	}
	return out
}

// madeOf reports whether token k is a word for what something becomes by heat.
func (s *sense) madeOf(k int) bool {
	w := []string{s.l.tokens[k].plain}
	n, _ := heatWords().longest(w, []workRole{"made of sugar", "made of yolk"})
	return n == 1
}

// bookHeats reports whether a step of the book with a temperature says all words
// of the phrase of that role: then its own figure is asked for.
func (s *sense) bookHeats(role string) bool {
	from, to := s.safetySpan(role)
	var words []string
	for k := from; k < to; k++ {
		words = append(words, s.l.tokens[k].fold)
	}
	return len(words) > 0 && len(s.l.heatedIn(words)) > 0
}

// Heats reports whether the words of what is heated fit a step, all of them.
func (q *Question) Heats(st *recipe.Step) bool {
	return !slices.ContainsFunc(q.Heated, func(w string) bool { return !IsHeated(st, w) })
}

func heatedKey(words []string) string { return strings.Join(words, " ") }
