package question

import "tamis/calc/quantity"

// frameEnough: "1.5 kg cream, is that enough for 40 domes": what is needed,
// beside what is there.
func frameEnough(s *sense) []reading {
	if !s.any(cueEnough, cueMakeable) || s.any(cueHowmany) {
		return nil
	}
	var out []reading
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
			continue
		}
		switch sp.q.Q.Unit.Dim {
		case quantity.Mass, quantity.Volume, quantity.Count:
		default:
			continue
		}
		for _, p := range s.picks() {
			base := s.start(WantEnough, "scale", p)
			base.used[i] = true
			for _, r := range s.sized(base, p) {
				r, some := s.restItems(r)
				if !some || len(r.q.Items) != 1 || len(r.q.Targets) != 1 || len(r.q.Exclude) > 0 {
					continue
				}
				if !sizedAny(r.q.Targets) {
					if !s.any(cueEnough) {
						continue
					}
					r.extra++
				}
				if (s.any(cueHowmuch) || s.saysOf("many")) && !s.any(cueEnough) {
					r.extra += 3 // "how much of it can i make" from all that is there
				}
				r.q.Have = &Given{Item: r.q.Items[0], Q: sp.q.Q}
				r.consumes = r.consumes.with(cueEnough, cueMakeable, cueOnly, cueHowmuch, cueContain, cueCovers, cuePortion, cuePiece, cueFill, cueMoulds, cueBatch, cueTotal, cueThat)
				out = append(out, r)
			}
		}
	}
	return out
}
