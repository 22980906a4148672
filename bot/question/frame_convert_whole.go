package question

import "tamis/calc/quantity"

// wholeConversion reports whether a message is an amount of one thing, or of none,
// and the unit it is wanted in, and no more: "3 tbsp honey how many g", "12 oz in
// grams". Whatever was spoken of before, it is complete.
func (s *sense) wholeConversion(r reading) bool {
	if !r.q.HasUnit || len(r.q.Items) > 1 || len(r.q.Items) == 1 && r.q.Items[0].Larder == nil || len(s.quant) != 1 || r.q.Missing != MissingNothing {
		return false
	}
	from, to := r.q.Quantity.Unit, r.q.Unit
	if len(r.q.Items) == 0 && from.Dim != to.Dim { // that takes a density
		return false
	}
	weighed := func(u quantity.Unit) bool { return u.Dim == quantity.Mass || u.Dim == quantity.Volume }
	counted := (from.Dim == quantity.None || from.Dim == quantity.Count) && len(r.q.Items) == 1 && to.Dim == quantity.Mass // "a dozen yolks in grams"
	if !weighed(from) && !counted || !weighed(to) || from.Symbol == to.Symbol {
		return false
	}
	about := plainCues.with(cueConvert, cueHowmuch, cueHowmany, cueWeigh)
	for i := range s.p.spans {
		switch sp := s.span(i); {
		case r.used[i]:
		case sp.kind == spanUnit:
		case sp.kind == spanCue && (sp.cues.meets(about) || light(sp.cues)) && !sp.cues.has(cueFor) && !sp.cues.has(cueWith) && !sp.cues.has(cueFrom) && !sp.cues.has(cueSame):
		default:
			return false
		}
	}
	return true
}
