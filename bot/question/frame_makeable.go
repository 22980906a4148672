package question

import "slices"

// frameMakeable: how much can be made from what is left.
func frameMakeable(s *sense) []reading {
	if !s.any(cueMakeable, cueOnly, cueEnough, cueYield, cueHowmany) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		for _, r := range s.sized(s.start(WantMakeable, "scale", p), p) {
			if len(r.q.Targets) != 1 || r.q.Targets[0].Scale.Kind != ScaleGiven {
				continue
			}
			r.consumes = r.consumes.with(cueMakeable, cueOnly, cueEnough, cueHowmany, cueHowmuch, cueYield, cueCovers, cuePiece, cuePortion, cueBatch)
			if s.any(cueUsable) {
				r.consumes = r.consumes.with(cueUsable)
				if !s.trimmedSaid() { // "peeled" is as the book's amounts are, "unpeeled" is not
					g := slices.Clone(r.q.Targets[0].Scale.Given)
					for k := range g {
						g[k].Gross = true
					}
					r.q.Targets[0].Scale.Given = g
				}
			}
			if s.outOfAmount() {
				r.consumes = r.consumes.with(cueSwap)
			}
			if !s.any(cueMakeable, cueEnough, cueYield) && !s.outOfAmount() {
				r.extra++
			}
			out = append(out, r)
		}
	}
	return out
}

// outOfAmount reads "how many mousses out of 650 g chocolate": what an amount makes,
// and nothing that is missing.
func (s *sense) outOfAmount() bool {
	return s.any(cueHowmany, cueMakeable, cueYield) && slices.ContainsFunc(s.quant, func(i int) bool {
		sp := s.span(i)
		return sp.kind == spanQuantity && sp.q.Q.Unit.Symbol != "" && sp.from > 1 && !s.l.tokens[sp.from].breaks && s.l.tokens[sp.from-1].plain == "of" && s.l.tokens[sp.from-2].plain == "out"
	})
}
