package question

import "tamis/calc/quantity"

// reducedIn takes the measure in which a reduction is asked: "how many ml", "how
// much volume is left".
func (s *sense) reducedIn(r *reading) {
	if r.q.HasUnit {
		return
	}
	t := s.l.tokens
	for k := 2; k < len(t); k++ {
		if t[k].plain == "volume" && !r.q.HasUnit {
			r.q.Unit, r.q.HasUnit = r.q.Craft.Amounts[0].Q.Unit, true
		}
		if t[k-2].plain != "how" || t[k-1].plain != "many" && t[k-1].plain != "much" {
			continue
		}
		if u, ok := quantity.Metric.UnitNamed(t[k].plain); ok && u.Dim == quantity.Volume {
			r.q.Unit, r.q.HasUnit = u, true
			return
		}
	}
}
