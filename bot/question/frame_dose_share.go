package question

import (
	"slices"

	"tamis/calc/quantity"
)

// dosePercent reads a share of an agent and what it is of, "agar at 1.2 % for 750 g
// liquid": a plain sum, whatever is right for it.
func (s *sense) dosePercent(ms []measured, agents []term) (reading, bool) {
	if s.saysOf("ok", "okay", "right", "fine", "enough", "correct", "too", "strong", "good", "instead", "set", "sets") || s.recipeNamed("agent", "use", "ask", "thing", "form") {
		return reading{}, false
	}
	var share, of *measured
	for k := range ms {
		switch m := &ms[k]; {
		case m.hi != nil:
			return reading{}, false
		case m.dim == quantity.Share && share == nil:
			share = m
		case (m.dim == quantity.Mass || m.dim == quantity.Volume) && of == nil && (m.ofAt < 0 || !s.inTerm(m.ofAt, "agent")):
			of = m
		default:
			return reading{}, false
		}
	}
	if share == nil || of == nil || share.n.Sign() <= 0 || share.n.Cmp(quantity.Int(20)) > 0 {
		return reading{}, false
	}
	r := s.craft(WantDose, "gel", "percent")
	s.take(&r, *share)
	s.take(&r, *of)
	return r, true
}

// shareBase is the line that a share is of, "agar percent in the gel, of the juice";
// −1 where none is said. Of the water is of all the water in it, not of a line.
func (s *sense) shareBase(r *reading) int {
	base, items := -1, 0
	for _, i := range s.names {
		if r.used[i] {
			continue
		}
		_, ok := s.item(i)
		f := s.span(i).from
		for f > 0 && isArticle(s.l.tokens[f-1].plain) {
			f--
		}
		if ok && s.folded(s.span(i)) != "water" && f > 0 && slices.Contains([]string{"of", "on", "per"}, s.l.tokens[f-1].plain) {
			base = i
		}
		if ok {
			items++
		}
	}
	if items < 2 && base >= 0 && slices.Contains([]string{"dose", "amount", "share", "percentage", "percent", "%", "proportion", "quantity", "level"}, s.beforeOf(base)) {
		return -1 // "dose of agar in %": it is what is asked
	}
	return base
}

// beforeOf is the word before the "of" that leads to a name.
func (s *sense) beforeOf(i int) string {
	f := s.span(i).from
	for f > 0 && isArticle(s.l.tokens[f-1].plain) {
		f--
	}
	if f < 2 {
		return ""
	}
	return s.l.tokens[f-2].plain
}
