package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// frameMakes: what one batch makes, weighs, or what one piece weighs.
func frameMakes(s *sense) []reading {
	if !s.any(cueYield, cueTotal, cueWeigh, cueHowmany, cueHowmuch, cuePiece, cuePortion, cueFactor) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(s.quant) > 0 && partOfOther(p) {
			continue // "40 wheels, how many choux": of the one in the other
		}
		if len(p.targets) == 2 && s.any(cueHowmuch, cueHowmany) && len(p.spans) == 2 && s.goesIn(p.spans[0], p.spans[1]) {
			continue // "how much levain in the tuile" asks of no two
		}
		for _, r := range s.sized(s.start(WantMakes, "lookup", p), p) {
			r.consumes = r.consumes.with(cueYield, cueTotal, cueWeigh, cueHowmany, cueHowmuch, cueBatch, cueOnebatch, cueCovers, cueMakeable, cueAll, cueCard)
			if s.any(cueFactor) { // "factor for 2.4 kg batter": nothing else is asked
				if !sizedAny(r.q.Targets) {
					continue
				}
				r.consumes, r.extra = r.consumes.with(cueFactor), r.extra-4
			}
			if s.any(cueWeigh, cueTotal) && s.fullBatch() && !s.any(cueCard, cueIngredients) {
				r.extra -= 4
			}
			if s.any(cueYield) && s.any(cueMoulds) && s.l.says("in", "trays") { // "what does a sponge recipe give, in trays"
				r.consumes, r.extra = r.consumes.with(cueMoulds), r.extra-1
			}
			if s.ends("of", "each") && s.any(cueHowmuch, cueHowmany) && !s.any(cueWeigh) { // "what is on it and how much of each"
				r.extra += 6
			}
			if s.any(cueWeigh) && sizedAny(r.q.Targets) && s.saysOf("weights") || s.weighsOut() { // of the lines
				r.extra += 2
			}
			if s.any(cueWeigh) && !s.any(cueTotal, cueBatch) { // "what does one tuile weigh"
				s.ofOne(&r)
			}
			if s.intoOther(r) { // "how much starter into the loaf": of it that goes in there
				r.extra += 6
			}
			if s.onePieceSaid(p.targets[0].Recipe) {
				r.q.Per = PerPiece
				r.extra--
			}
			several := s.severalOf()
			if several {
				r.consumes, r.extra = r.consumes.with(cuePiece, cuePortion), r.extra-3
			}
			if own := s.manyOwn(p.targets[0].Recipe); own >= 0 { // "how many jars is that"
				r.used[own] = true
				r.extra--
			}
			if like := s.manyLike(p.targets[0].Recipe); like >= 0 && !p.talk { // "how many biscuits does the shortbread recipe make"
				r.used[like] = true
				r.extra++
			}
			if s.any(cuePiece, cuePortion) && !several {
				if sc := r.q.Targets[0].Scale; sc.Kind != ScalePieces || !one.Less(sc.N) || s.saysOf("each", "one", "per", "single", "apiece", "every") { // "12 loaves, total weight" is of all twelve
					r.q.Per = PerPiece
				}
				r.consumes = r.consumes.with(cuePiece, cuePortion)
			}
			if !s.any(cueYield, cueTotal) {
				r.extra += 2
				if s.any(cueWeigh, cuePiece) {
					r.extra--
				}
				if s.any(cueWeigh) && s.any(cuePiece) && !s.any(cueCard, cueAll, cueIngredients) { // "weight of each"
					r.extra -= 2
				}
			}
			if !p.talk && s.ctx != nil && s.ctx.Last != nil && sizedAny(s.ctx.Targets) && !s.any(cueYield, cueTotal, cueWeigh, cuePiece, cuePortion) && s.lineOf(s.ctx.Last, p.spans[0]) {
				r.extra += 3 // "how much pastry" of the tarts just listed
			}
			s.keepSize(&r, p)
			if sizedAny(r.q.Targets) {
				r.q.About = "scale"
			}
			if s.asksVolume() && r.q.Targets[0].Scale.Kind == ScaleMass {
				r.extra += 8
			} else if u, ok := s.volumeAsked(); ok && s.saysOf("many", "much") && len(s.names) == len(p.spans) && !r.q.HasUnit { // "how many litres is the sorbet x2"
				r.q.Unit, r.q.HasUnit = u, true
				r.extra -= 2
			}
			s.unit(&r)
			for _, i := range s.names {
				if !r.used[i] && s.liesOn(r, i) {
					r.extra += 6
				}
				if it, ok := s.item(i); ok && !r.used[i] && s.itself(r, i) && !s.onLine(r, it) && !s.liesOn(r, i) {
					r.used[i] = true
				}
			}
			out = append(out, r)
		}
	}
	return out
}

// fullBatch reads "a full batch", "the whole mix": of one, not of its list.
func (s *sense) fullBatch() bool {
	t := s.l.tokens
	for k := 1; k < len(t); k++ {
		if isBatchWord(t[k].fold) && slices.Contains([]string{"full", "whole", "entire", "complete"}, t[k-1].plain) {
			return true
		}
	}
	return false
}

// manyOwn is the span that asks for the number of what a recipe makes by its own
// word, "how many jars"; -1 if none.
func (s *sense) manyOwn(r *kb.Recipe) int {
	w := name.Singular(pieceWord(r))
	if w == "" || !s.any(cueHowmany) || len(s.quant) > 0 {
		return -1
	}
	for i := 1; i < len(s.p.spans); i++ {
		if sp, b := s.span(i), s.span(i-1); sp.to == sp.from+1 && s.l.tokens[sp.from].fold == w && b.kind == spanCue && b.cues.has(cueHowmany) {
			return i
		}
	}
	return -1
}

// manyLike is the span of some other word for what a recipe makes: "how many biscuits
// does the shortbread recipe make"; -1 if none.
func (s *sense) manyLike(r *kb.Recipe) int {
	if pieceWord(r) == "" || !s.any(cueYield) || len(s.quant) > 0 || len(s.names) != 1 {
		return -1
	}
	for i := 1; i+1 < len(s.p.spans); i++ {
		if sp, b := s.span(i), s.span(i-1); sp.kind == spanUnused && sp.food && !sp.strange && b.kind == spanCue && b.cues.has(cueHowmany) && slices.Contains([]string{"does", "do", "from", "will"}, s.after(i)) {
			return i
		}
	}
	return -1
}

// onePieceSaid reads "weight of one slice of the terrine", by the recipe's own word for a piece.
func (s *sense) onePieceSaid(r *kb.Recipe) bool {
	w := pieceWord(r)
	if w == "" || !s.any(cueWeigh, cueHowmuch) {
		return false
	}
	for k := 1; k < len(s.l.tokens); k++ {
		if t := &s.l.tokens[k]; (t.fold != w || t.plain != w) && !(w == "piece" && s.any(cueWeigh) && isSlice(t.plain)) {
			continue
		}
		switch s.l.tokens[k-1].plain {
		case "one", "a", "1", "each", "per", "single", "every":
			return true
		}
	}
	return false
}

// severalOf reads "scoops from one batch": how many there are, not what one weighs.
func (s *sense) severalOf() bool {
	if !s.any(cueOnebatch, cueBatch) && !s.saysOneBatch() || s.any(cueWeigh, cueHowmuch) {
		return false
	}
	for i := range s.p.spans {
		if sp := s.span(i); sp.kind == spanCue && sp.cues.meets(cueSet{}.with(cuePiece, cuePortion)) {
			w := s.l.tokens[sp.to-1]
			return w.plain != w.fold && (s.after(i) == "from" || s.after(i) == "in" || s.after(i) == "per" || s.after(i) == "of" || s.after(i) == "out")
		}
	}
	return false
}

// weighsOut reads "24 domes, weigh out pls": what goes on the scale, line by line.
func (s *sense) weighsOut() bool {
	t := s.l.tokens
	for k := 0; k+1 < len(t); k++ {
		if t[k].plain == "weigh" && (t[k+1].plain == "out" || t[k+1].plain == "up") {
			return !s.saysOf("does", "will", "should", "would") && (k+2 == len(t) || t[k+2].plain != "at")
		}
	}
	return false
}

// goesIn reports whether span b is what span a would stand in: "levain in the tuile".
func (s *sense) goesIn(a, b int) bool {
	if a > b {
		return false
	}
	k := s.span(b).from - 1
	if k >= 0 && isArticle(s.l.tokens[k].plain) {
		k--
	}
	return k == s.span(a).to && (s.l.tokens[k].plain == "in" || s.l.tokens[k].plain == "into" || s.l.tokens[k].plain == "inside")
}

// volumeAsked reads the unit of "how many litres", "how much in ml".
func (s *sense) volumeAsked() (quantity.Unit, bool) {
	t := s.l.tokens
	for k := 1; k < len(t); k++ {
		if w := t[k-1].plain; w != "many" && w != "much" && w != "in" {
			continue
		}
		if u, ok := quantity.Metric.UnitNamed(t[k].plain); ok && u.Dim == quantity.Volume {
			return u, true
		}
	}
	return quantity.Unit{}, false
}

func (s *sense) asksVolume() bool {
	_, ok := s.volumeAsked()
	return ok
}

// isSlice reports whether a word may stand for one piece of what is made in pieces.
func isSlice(w string) bool {
	switch w {
	case "slice", "wedge", "square", "portion", "serving", "cut":
		return true
	}
	return false
}
