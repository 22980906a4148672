package question

import (
	"slices"

	"tamis/calc/quantity"
	"tamis/kb"
)

// panReading reads "now its on 3600" after a pan was spoken of: a weight of it, of no
// timer.
func (s *sense) panReading() bool {
	if s.ctx == nil || s.ctx.Last == nil || len(s.quant) != 1 {
		return false
	}
	switch s.ctx.Last.Want {
	case WantReading, WantNow, WantReduceTo, WantBrixTarget:
	default:
		return false
	}
	sp := s.span(s.quant[0])
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil {
		return false
	}
	if q := sp.q.Q; q.Unit.Dim != quantity.Mass && (q.Unit.Symbol != "" || q.N.Cmp(quantity.Int(100)) <= 0) {
		return false
	}
	for i := range s.l.tokens {
		if i >= sp.from && i < sp.to {
			continue
		}
		if !slices.Contains(panReadingWords, s.l.tokens[i].plain) {
			return false
		}
	}
	return true
}

// panReadingWords are all that is said beside a weight read off the scale.
var panReadingWords = []string{"and", "now", "its", "it", "is", "on", "at", "the", "a", "scale", "scales", "pan", "pot", "says", "reads", "shows", "showing", "reading", "weighs", "down", "to", "still", "just", "currently", "then", "we", "were", "are", "im", "i", "am", "with", "there", "okay", "ok", "so"}

// inPanSaid uses up what is said to be in the pan: "rondeau with the stock in it", of a
// line of the recipe.
func (s *sense) inPanSaid(r *reading) {
	rec := r.q.Targets[0].Recipe
	if rec == nil || len(r.q.Targets) != 1 {
		return
	}
	for _, i := range s.names {
		if r.used[i] || slices.Contains(r.targets, i) || s.thingOf(i, kb.PanName) != nil && !s.partOfPan(i) {
			continue
		}
		to := s.span(i).to
		in := s.precededBy(i, cueWith) || to+1 < len(s.l.tokens) && s.l.tokens[to].plain == "in" && slices.Contains([]string{"it", "there", "the"}, s.l.tokens[to+1].plain)
		it, ok := s.item(i)
		if !in || !ok {
			continue
		}
		if m, _ := it.match(rec); m != noMatch {
			r.used[i] = true
			r.extra -= s.span(i).cost - costSpan
		}
	}
}
