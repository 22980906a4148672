package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
	"tamis/kb/name"
)

// planned finds what a size stands in place of: "60 tuiles instead of 80", "36 in
// dome 45 instead of the bars". It is no size, nor anything to swap.
func (s *sense) planned() (from, to int, ok bool) {
	t := s.l.tokens
	for k := 1; k+1 < len(t); k++ {
		if t[k].plain != "instead" || t[k+1].plain != "of" { // "rather than" is put so before
			continue
		}
		if s.pouredWords() || s.any(cueRescue, cueChange) || s.saysOf("bloom", "strength", "strong") || !s.countBefore(k) {
			return 0, 0, false
		}
		end := k + 2
		for end < len(t) && !t[end].breaks && isArticle(t[end].plain) {
			end++
		}
		start := end
		for end < len(t) && !t[end].breaks && end < start+4 {
			end++
		}
		for ; end > start; end-- {
			if s.sizeWords(start, end) {
				return k, end, true
			}
		}
		return 0, 0, false
	}
	return 0, 0, false
}

// countBefore reports whether a count or a factor stands before token k.
func (s *sense) countBefore(k int) bool {
	return slices.ContainsFunc(s.quant, func(i int) bool {
		sp := s.span(i)
		d := sp.q.Q.Unit.Dim
		return sp.to <= k && (sp.kind == spanFactor || d == quantity.None || d == quantity.Count || d == quantity.Mass && s.saysOf("using", "use") && !s.wentIn()) // "using 1 kg flour instead of 700"
	})
}

// sizeWords reports whether tokens from ≤ k < to are a count, a factor, a mould or
// the word for a piece, and nothing of them is an ingredient.
func (s *sense) sizeWords(from, to int) bool {
	some := false
	for k := from; k < to; {
		i := s.spanAt(k)
		if i < 0 || s.span(i).from != k {
			return false
		}
		sp := s.span(i)
		switch {
		case sp.kind == spanFactor, sp.kind == spanQuantity && (sp.q.Q.Unit.Dim == quantity.None || sp.q.Q.Unit.Dim == quantity.Count):
			some = true
		case sp.kind == spanName && s.thingOf(i, kb.MouldName) != nil:
			some = true
		case sp.kind == spanCue && sp.cues.meets(cueSet{}.with(cueMoulds, cueCovers, cuePiece, cuePortion, cueBatch)):
			some = some || sp.cues.has(cueMoulds)
		case s.pieceOfSome(sp):
			some = true
		case sp.kind == spanCue && sp.cues.has(cueFiller), sp.kind == spanName && some && len(s.recipesOf(i, 1)) > 0 && !s.l.ingredientAt(sp):
		default:
			return false
		}
		k = sp.to
	}
	return some
}

// pieceOfSome reports whether a span is the word for a piece of a recipe that is named.
func (s *sense) pieceOfSome(sp *span) bool {
	if sp.to != sp.from+1 {
		return false
	}
	w := s.l.tokens[sp.from].fold
	for _, p := range s.picks() {
		for _, t := range p.targets {
			if t.Recipe != nil && (name.Singular(pieceWord(t.Recipe)) == w || pieceWord(t.Recipe) == w) {
				return true
			}
		}
	}
	return false
}

// coversAhead reads "party of 25", "booked 75": how many come to eat, before number i.
func (s *sense) coversAhead(i int) bool {
	sp := s.span(i)
	if i == 0 || !sp.q.Q.N.IsInt() || !one.Less(sp.q.Q.N) || s.l.tokens[sp.from].breaks {
		return false
	}
	w := s.l.tokens[sp.from-1].plain
	return w == "booked" || w == "booking" || w == "bookings" || s.span(i-1).kind == spanCue && s.span(i-1).cues.has(cueCovers)
}

// shareOfTarget reads "25 % of the shortbread, butter", "150 percent bavarois": so much
// of a batch, before a recipe that is written out.
func (s *sense) shareOfTarget(p pick, i int) bool {
	sp := s.span(i)
	if sp.q.Q.Unit.Dim != quantity.Share || sp.q.Q.N.Sign() <= 0 || p.talk || s.any(cueConvert, cueContain) {
		return false
	}
	k := sp.to
	of := k < len(s.l.tokens) && s.l.tokens[k].plain == "of"
	for k < len(s.l.tokens) && !s.l.tokens[k].breaks && (s.l.tokens[k].plain == "of" || isArticle(s.l.tokens[k].plain)) {
		k++
	}
	j := s.spanAt(min(k, len(s.l.tokens)-1))
	if j < 0 || !slices.Contains(p.spans, j) || p.targets[0].Part && !of {
		return false
	}
	return of || !sp.q.Q.N.Less(quantity.Int(50)) // "5 % brine" is how strong it is
}
