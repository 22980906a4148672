package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// runsLow is the name that amount i tells what is left of across a comma, −1 if
// none: "last of the butter, 165 g", "low on flour, only 450 g".
func (s *sense) runsLow(i int) int {
	j := i - 1
	if j > 0 && s.span(j).kind == spanCue && s.span(j).cues.has(cueOnly) {
		j--
	}
	if j < 1 || s.span(j).kind != spanName || !s.precededBy(j, cueOnly) {
		return -1
	}
	return j
}

// tells reports whether amount i tells how much there is of the ingredient right
// before it, and more is asked: "red onion 1 kg, pickled onion sugar".
func (s *sense) tells(i, item int, p pick) bool {
	sp := s.span(i)
	if item != i-1 || s.l.tokens[sp.from].breaks {
		return false
	}
	if slices.ContainsFunc(s.span(item).names, func(h hit) bool { return h.cost > s.span(item).cost-costSpan || h.part }) && !s.l.ingredientAt(s.span(item)) {
		return false
	}
	for k := sp.to; ; k++ { // to the end of the clause no more than a word or two
		if k == len(s.l.tokens) || s.l.tokens[k].breaks {
			break
		}
		if k >= sp.to+2 || s.l.isName(k) || s.l.tokens[k].number {
			return false
		}
	}
	return s.any(cueYield, cueMakeable) || slices.ContainsFunc(s.names, func(j int) bool { return j > i && !slices.Contains(p.spans, j) })
}

// more reports whether number i comes on top of one before it: "+ 12 pieces",
// "and 12 more".
func (s *sense) more(i int) bool {
	sp := s.span(i)
	if f := sp.from; f > 0 {
		switch w := s.l.tokens[f-1].plain; {
		case w == "+", w == "plus":
			return true
		case w != "and" && w != "then" || f < 2:
			return false
		}
	}
	for k := sp.to; k < len(s.l.tokens) && k < sp.to+3 && !s.l.tokens[k].breaks; k++ {
		switch s.l.tokens[k].plain {
		case "more", "extra":
			return true
		}
	}
	return false
}

// oneMore reads "2 batches + 1 batch", "one batch and a half batch".
func (s *sense) oneMore(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Scale.Kind != ScaleFactor {
		return
	}
	joins := func(k int) bool {
		if k < 0 || k >= len(s.l.tokens) {
			return false
		}
		w := s.l.tokens[k].plain
		return w == "+" || w == "plus" || w == "and"
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue || !sp.cues.has(cueOnebatch) || r.used[i] {
			continue
		}
		next := i+2 < len(s.p.spans) && s.span(i+2).kind == spanFactor && r.used[i+2]
		if joins(sp.from-1) || joins(sp.to) && next {
			r.q.Targets = slices.Clone(r.q.Targets)
			r.q.Targets[0].Scale.N = r.q.Targets[0].Scale.N.Add(one)
			r.used[i] = true
		}
	}
}

// clauseTells reports whether the clause that names span i only tells what there is of
// it, and more is asked behind: "1 kg samphire from the boat, pickle liquor for it".
func (s *sense) clauseTells(i int, p pick) bool {
	for k := s.span(i).to; k < len(s.l.tokens) && k <= s.span(i).to+4; k++ {
		if s.l.tokens[k].breaks {
			return slices.ContainsFunc(s.names, func(j int) bool { return s.span(j).from >= k && !slices.Contains(p.spans, j) })
		}
		if s.l.tokens[k].number || s.l.isName(k) && !s.l.tokens[k].breaks {
			return false
		}
	}
	return false
}

// inName reports whether all words of span i stand in a recipe's name.
func (s *sense) inName(r *kb.Recipe, i int) bool {
	if r == nil || r.Makes == nil || r.Makes.Count.IsZero() {
		return false
	}
	words := name.Words(r.Name)
	sp := s.span(i)
	return !slices.ContainsFunc(s.l.tokens[sp.from:sp.to], func(t token) bool { return !slices.Contains(words, t.fold) })
}

// ofBook reports whether span i names an ingredient that some line of the book has.
func (s *sense) ofBook(i int) bool {
	it, ok := s.item(i)
	return ok && it.InBook
}

// onePiece reads "salt for one loaf", "per bun": the size of one piece, where the
// recipe makes several and its own name doesn't hold the word.
func (s *sense) onePiece(r *reading) {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Scale.Kind != ScaleNone || r.q.Want != WantAmount && (r.q.Want != WantCard || s.any(cueWeigh, cueHowmuch, cueTotal)) {
		return
	}
	rec := r.q.Targets[0].Recipe
	w := pieceWord(rec)
	if w == "" || rec.Makes.IsCovers() || !one.Less(rec.Makes.Count) {
		return
	}
	if w == "piece" { // "per bun" of the buns that the name ends in
		words := name.Words(rec.Name)
		w = words[len(words)-1]
	}
	words := strings.Fields(w) // "dome 45"
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanCue && sp.kind != spanName && sp.kind != spanUnused || !s.l.endsIn(sp, words) || sp.to-sp.from > len(words)+1 {
			continue
		}
		before := s.before(i)
		if isBatchWord(name.Singular(s.after(i))) {
			continue // "a loaf batch"
		}
		if sp.to-sp.from > len(words) && !(slices.Contains(r.targets, i) && (before == "single" || before == "individual")) { // "a single custard pie"
			before = s.l.tokens[sp.from].plain
		}
		if s.fillsEvery(r, i) {
			continue
		}
		target := slices.Contains(r.targets, i)
		if target && r.q.Targets[0].Part && r.q.Want == WantCard && len(s.names) == 1 {
			r.extra += costLostName // "per slice" alone goes on from something
			return
		}
		switch before {
		case "per", "each", "every", "single", "individual", "pro", "par", "por":
		case "one", "1":
			if target || sp.kind == spanName {
				continue // "one walnut dome" may be a batch
			}
		default:
			continue
		}
		r.q.Targets = slices.Clone(r.q.Targets)
		r.q.Targets[0].Scale = Scale{Kind: ScalePieces, N: one, Text: before + " " + s.l.text[s.l.tokens[sp.to-len(words)].start:s.l.tokens[sp.to-1].end]}
		r.used[i] = true
		return
	}
}

// endsIn reports whether a span ends in those words.
func (l *lattice) endsIn(sp *span, words []string) bool {
	k := sp.to - len(words)
	if k < sp.from {
		return false
	}
	for i, w := range words {
		if l.tokens[k+i].fold != w {
			return false
		}
	}
	return true
}

// has reports whether somebody has the number i of something: "we've 30 yolks".
func (s *sense) has(i int) bool {
	k := s.span(i).from - 1
	if k < 0 || s.l.tokens[k+1].breaks {
		return false
	}
	switch s.l.tokens[k].plain {
	case "weve", "ive", "got", "have", "has":
		return true
	}
	return false
}

// fillsEvery reports whether "every" or "each" before a mould means all of them:
// "fill every dome 45 with it", "parfait in every dome 45", not "how much in every dome".
func (s *sense) fillsEvery(r *reading, i int) bool {
	sp := s.span(i)
	if s.thingOf(i, kb.MouldName) == nil || s.before(i) != "every" && s.before(i) != "each" {
		return false
	}
	if s.any(cueFill) {
		return true
	}
	switch s.after(i) {
	case "we", "weve", "i", "ive", "that":
		return s.before(i) == "every" && s.saysOf("have", "got", "weve", "ive", "own")
	}
	in := s.spanAt(sp.from - 2)
	return s.before(i) == "every" && in > 0 && s.l.tokens[sp.from-2].plain == "in" && slices.Contains(r.targets, in-1)
}

// ofThat reads "half that", "twice that", "half what we did": of the size spoken of last.
func (s *sense) ofThat(p pick, i int) (Scale, bool) {
	if !p.talk || s.ctx == nil || len(s.ctx.Targets) != 1 {
		return Scale{}, false
	}
	w := s.after(i)
	if t := s.span(i).to; w == "of" && t+1 < len(s.l.tokens) {
		w = s.l.tokens[t+1].plain
	}
	last := s.ctx.Targets[0].Scale
	switch {
	case w != "that" && w != "what", last.Kind == ScaleNone, last.All:
		return Scale{}, false
	case last.Kind == ScaleGiven: // half of what there is
		last.Given = slices.Clone(last.Given)
		for k := range last.Given {
			last.Given[k].Q.N = last.Given[k].Q.N.Mul(s.span(i).factor)
		}
		return last, true
	}
	last.N = last.N.Mul(s.span(i).factor)
	last.Spare = false
	return last, true
}

// ofAnother reports whether factor i multiplies a word behind it that is neither
// of the book nor of a size: "double portion of stress".
func (s *sense) ofAnother(i int) bool {
	sp := s.span(i)
	k := sp.to
	if k >= len(s.l.tokens) || s.l.tokens[k].breaks {
		return false
	}
	t := &s.l.tokens[k]
	switch t.plain {
	case "sized", "sizes", "sizing", "scaled", "big", "large", "long", "normal", "usual", "original":
		return false
	}
	return len(t.plain) > 2 && isEnglish(t) && !isCue(t) && !cues().words[t.fold] && !cues().words[t.plain] && !isBatchWord(t.fold) && !isFood(t) &&
		len(s.l.x.byWord[t.fold]) == 0 && !s.l.isName(k) && !s.l.isUnit(k) && s.span(i+1).kind == spanUnused
}

// mouldFor is the mould that span i names; where several share the word, the one
// that the recipe is filled into: "how many dome moulds".
func (s *sense) mouldFor(i int, r *kb.Recipe) *kb.Name {
	if t := s.thingOf(i, kb.MouldName); t != nil {
		return t
	}
	if i < 0 || r == nil || r.Makes == nil || r.Makes.Mould == "" {
		return nil
	}
	own := name.Fold(r.Makes.Mould)
	var found *kb.Name
	for _, h := range s.span(i).names {
		e := &s.l.x.entries[h.id]
		if e.Kind != kb.MouldName {
			return nil
		}
		if e.Fold == own {
			found = &e.Name
		}
	}
	return found
}

// ownMould reports whether span i names the very mould that a recipe's pieces are
// made in: it says nothing new.
func (s *sense) ownMould(i int, r reading) bool {
	if len(r.q.Targets) != 1 || r.q.Targets[0].Recipe == nil || r.q.Targets[0].Recipe.Makes == nil {
		return false
	}
	rec := r.q.Targets[0].Recipe
	t := s.mouldFor(i, rec)
	return t != nil && name.Fold(t.Text) == name.Fold(rec.Makes.Mould) && slices.Contains([]ScaleKind{ScaleNone, ScaleFactor, ScalePieces, ScaleFor, ScaleCount, ScaleCells}, r.q.Targets[0].Scale.Kind)
}

// batchesSaid reports whether batches are spoken of behind number i, with no count
// of their own: "3 sorbets, full batches".
func (s *sense) batchesSaid(i int) bool {
	if len(s.quant) != 1 || s.any(cueBatchsplit) {
		return false
	}
	t := s.l.tokens
	for k := s.span(i).to + 1; k < len(t); k++ {
		if !isBatchWord(t[k].fold) || t[k].plain == "size" || t[k].plain == t[k].fold && !t[k].breaks {
			continue // one batch is what something is of
		}
		for j := k - 1; j > s.span(i).to && !t[j+1].breaks; j-- {
			switch t[j].plain {
			case "full", "whole", "complete", "entire", "as", "in", "mean", "meant", "is", "its", "are", "theyre", "thats", "i", "so":
				continue
			case "many", "per", "each", "every", "a", "one", "the", "of", "not":
				return false
			}
			break
		}
		return true
	}
	return false
}

// cutsBatch reads "cut the veal stock down to 1.5 kg": the one recipe that is named
// stands before the weight, so it is of the batch and changes no line.
func (s *sense) cutsBatch(i int) bool {
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Q.Unit.Dim != quantity.Mass && sp.q.Q.Unit.Dim != quantity.Volume {
		return false
	}
	recipes, last := 0, -1
	for _, j := range s.names {
		if o := s.recipesOf(j, 1); len(o) > 0 && !o[0].part {
			recipes++
		}
		if j < i {
			last = j
		}
	}
	if recipes != 1 || last < 0 {
		return false
	}
	o := s.recipesOf(last, 1)
	return len(o) > 0 && !o[0].part
}

// mouldBehind reports whether a mould of the house is named right behind span i.
func (s *sense) mouldBehind(i int) bool {
	return i+1 < len(s.p.spans) && s.span(i+1).kind == spanName && s.span(i+1).from == s.span(i).to && s.thingOf(i+1, kb.MouldName) != nil
}

// isSoMuch is the name of which amount i is told: "starter is 510 g", "kohlrabi weighed
// 2.4 kg"; −1 if none.
func (s *sense) isSoMuch(i int) int {
	k := s.span(i).from - 1
	if k < 1 || s.l.tokens[k+1].breaks || s.l.tokens[k].breaks {
		return -1
	}
	switch s.l.tokens[k].plain {
	case "is", "are", "weighs", "weighed", "weigh", "was", "were":
	default:
		return -1
	}
	j := s.spanAt(k - 1)
	if j < 0 || s.span(j).kind != spanName || s.span(j).to != k {
		return -1
	}
	return j
}

// resizesIt reads "drop it to 45" after a size: of what is spoken of, a count without a unit.
func (s *sense) resizesIt(i int) bool {
	sp := s.span(i)
	if s.ctx == nil || len(s.ctx.Targets) == 0 || !sizedAny(s.ctx.Targets) || len(s.names) > 0 || sp.kind != spanQuantity || sp.q.Q.Unit.Symbol != "" {
		return false
	}
	return s.saysOf("it", "that", "them", "this") && s.before(i) == "to"
}
