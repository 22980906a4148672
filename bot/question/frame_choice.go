package question

import (
	"slices"
	"strconv"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
)

// frameChoice: an answer to the question back, by number, ordinal or name.
func frameChoice(s *sense) []reading {
	if s.ctx == nil || s.ctx.Pending == nil || len(s.ctx.Choices) == 0 {
		return nil
	}
	n := s.ordinal()
	if n == 0 && !s.asksAnew() {
		if n = s.named(); n > 0 && s.ctx.Pending.Missing == MissingRecipe && s.ctx.Choices[n-1].Recipe != nil && !s.justChosen(s.ctx.Choices[n-1].Recipe) {
			return nil // frameNamed
		}
	}
	if n > len(s.ctx.Choices) { // "3" of "2 kg or 3 kg"
		n = 1 + slices.IndexFunc(s.ctx.Choices, func(c Choice) bool { return strings.HasPrefix(c.Label+" ", strconv.Itoa(n)+" ") })
	}
	if n < 1 {
		return nil
	}
	r := s.reading(s.ctx.Pending.Want, s.ctx.Pending.About)
	c := s.ctx.Choices[n-1]
	r.q = *s.ctx.Pending
	switch {
	case c.Text != "": // the message with one number for the other
		if c.Question = s.reread(c.Text); c.Question == nil {
			return nil
		}
	case c.Recipe != nil && r.q.Missing == MissingRecipe && s.justChosen(c.Recipe):
		if q := s.reread(r.q.Say + " " + c.Recipe.Name); q != nil && q.namesRecipe() && q.Targets[0].Recipe == c.Recipe && !q.Lost {
			c.Question, c.Recipe = q, nil
		}
	}
	r.q.Missing, r.q.Choices, r.q.Unused, r.q.Lost, r.q.Assumed, r.q.Strange = MissingNothing, nil, nil, false, nil, nil
	r.q.Targets = slices.Clone(r.q.Targets)
	r.q.Say = c.Label
	if c.Recipe != nil {
		if len(r.q.Targets) == 0 {
			r.q.Targets = []Target{{}}
		}
		r.q.Targets[0].Recipe, r.q.Targets[0].Part = c.Recipe, false
		s.besides(&r, c.Recipe)
	} else if c.Question != nil {
		r.q = *c.Question
	}
	for i := range r.used {
		r.used[i] = true
	}
	r.consumes = plainCues.with(cueNumber1, cueNo, cueNot, cueCard)
	r.extra = -s.p.cost - 2*Margin                               // an answer to the question back before anything else
	if c.Recipe != nil && len(s.quant) > 0 && s.ordinal() == 0 { // "the pie one, x2"
		for _, i := range s.quant {
			r.used[i] = false
		}
		return s.resized(r, pick{targets: r.q.Targets, talk: true})
	}
	return []reading{r}
}

// asksAnew reports whether the message names a choice but asks something
// that the pending question did not: "cost of 40 pear and sorrel".
func (s *sense) asksAnew() bool {
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind == spanCue && sp.cues.meets(askCues) && !sp.cues.meets(s.ctx.Pending.cues) && !light(sp.cues) {
			return true
		}
	}
	return false
}

// askCues are the words that begin a question of their own.
var askCues = cueSet{}.with(cueHowmuch, cueHowmany, cueHowlong, cueCost, cueAllergen, cueKeeps, cueTemp, cueMethod, cueTimer, cueUseby, cueReading)

// ordinal reads "2", "the second", "number one".
func (s *sense) ordinal() int {
	words := map[string]int{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": len(s.ctx.Choices), "former": 1, "latter": 2}
	found := 0
	for i := range s.p.spans {
		sp := s.span(i)
		switch sp.kind {
		case spanQuantity:
			n, whole := sp.q.Q.N.Int64()
			if sp.q.Q.Unit.Symbol != "" || !whole || found != 0 || s.before(i) == "x" || s.after(i) == "x" {
				return 0 // "x2" is a size
			}
			found = int(n)
		case spanCue, spanUnused:
			for k := sp.from; k < sp.to; k++ {
				if n, ok := words[s.l.tokens[k].plain]; ok && found == 0 {
					found = n
				}
			}
			if sp.kind == spanUnused && (sp.food || sp.strange) {
				return 0
			}
		case spanName:
			if found == 0 {
				return 0
			}
		default:
			return 0
		}
	}
	return found
}

// named finds the one choice whose words the message holds.
func (s *sense) named() int {
	var words []string
	for i := range s.l.tokens {
		words = append(words, s.l.tokens[i].fold)
		for _, f := range s.l.fixes[i] {
			words = append(words, f.word)
		}
	}
	var whole []*kb.Recipe // written out
	for _, i := range s.names {
		if o := s.recipesOf(i, 1); len(o) > 0 && !o[0].part {
			whole = append(whole, o[0].recipe)
		}
	}
	best, at, tie := 0, 0, false
	for k, c := range s.ctx.Choices {
		if len(whole) > 0 && c.Recipe != nil && !slices.Contains(whole, c.Recipe) && !strings.Contains(" "+strings.Join(words, " ")+" ", " "+name.Fold(c.Label)+" ") {
			continue // "pastry cream" is no coffee pastry cream
		}
		n := 0
		label := name.Words(c.Label)
		for _, w := range label {
			if slices.Contains(words, w) {
				n++
			}
		}
		if n == len(label) {
			n += 10
		}
		switch {
		case n > best:
			best, at, tie = n, k+1, false
		case n == best && n > 0:
			was := name.Words(s.ctx.Choices[at-1].Label)
			switch { // "pine" between an oat pine ice cream and a pine ice cream
			case n < 10 && len(label) < len(was) && standIn(label, was):
				at, tie = k+1, false
			case n < 10 && len(was) < len(label) && standIn(was, label):
			default:
				tie = true
			}
		}
	}
	if tie || best == 0 {
		return 0
	}
	// a whole new question is not an answer to the old one
	if len(s.l.tokens) > best%10+6 {
		return 0
	}
	return at
}

// standIn reports whether all words of a stand in b.
func standIn(a, b []string) bool {
	return !slices.ContainsFunc(a, func(w string) bool { return !slices.Contains(b, w) })
}
