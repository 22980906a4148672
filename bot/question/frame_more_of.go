package question

import (
	"slices"

	"tamis/calc/quantity"
)

// frameMoreOf goes on from what there was of an ingredient: "found more, its 300
// yolk" after "only 240 g yolk, pastry cream, milk": the same is asked of that.
func frameMoreOf(s *sense) []reading {
	if s.ctx == nil || s.ctx.Last == nil || len(s.ctx.Targets) != 1 || len(s.quant) != 1 || len(s.names) > 1 || len(s.l.tokens) > 9 || len(s.allergens)+len(s.clock) > 0 {
		return nil
	}
	last := s.ctx.Last
	was := s.ctx.Targets[0]
	if was.Recipe == nil || was.Scale.Kind != ScaleGiven || len(was.Scale.Given) != 1 || last.Want != WantAmount && last.Want != WantCard && last.Want != WantMakeable && last.Want != WantMakes || len(last.Targets) != 1 {
		return nil
	}
	given := was.Scale.Given[0]
	i := s.quant[0]
	sp := s.span(i)
	if sp.kind != spanQuantity || sp.q.Ambiguous != nil || sp.q.Hi != nil || sp.q.Q.N.Sign() <= 0 {
		return nil
	}
	if len(s.names) == 1 {
		j := s.names[0]
		it, ok := s.item(j)
		if !ok || s.next(i) != j && s.prev(i) != j {
			return nil
		}
		a, _ := it.Lines(was.Recipe)
		b, _ := given.Item.Lines(was.Recipe)
		if len(a) != 1 || len(b) != 1 || a[0] != b[0] {
			return nil
		}
	} else if !s.saysOf("found", "actually", "more", "left", "only") {
		return nil // "300" may be anything
	}
	q := sp.q.Q
	switch {
	case q.Unit.Symbol == "" && given.Q.Unit.Dim == quantity.Mass && !q.N.Less(leastGrams):
		q = quantity.Grams(q.N)
	case q.Unit.Symbol == "" && given.Q.Unit.Symbol == "":
	case q.Unit.Dim == quantity.Mass || q.Unit.Dim == quantity.Volume:
	default:
		return nil
	}
	more := s.saysOf("another", "extra", "plus") || s.saysOf("more") && s.l.tokens[min(sp.to, len(s.l.tokens)-1)].plain == "more" // "60 g more yolk" comes on top
	if more {
		if q.Unit.Dim != given.Q.Unit.Dim {
			return nil
		}
		q = quantity.Grams(q.Base().Add(given.Q.Base()))
	}
	r := s.reading(last.Want, last.About)
	for k := range s.p.spans {
		switch u := s.span(k); {
		case u.kind == spanUnused && (u.food || u.strange || s.l.tokens[u.from].number):
			return nil
		case u.kind == spanCue && !u.cues.meets(plainCues.with(cueOnly, cueExtra, cueThat, cueWhatabout, cueNo, cueNot)):
			return nil
		}
		r.used[k] = true
	}
	r.q = *last
	r.q.Say, r.q.cues, r.q.FromTalk = s.l.text, s.cues, true
	r.q.Assumed, r.q.Unused, r.q.Strange, r.q.Lost, r.q.Missing, r.q.Choices = nil, nil, nil, false, MissingNothing, nil
	r.q.Targets = slices.Clone(last.Targets)
	sc := was.Scale
	sc.Given = []Given{{Item: given.Item, Q: q, Bare: sp.q.Q.Unit.Symbol == "" && q.Unit.Symbol != ""}}
	sc.Text = s.text(i)
	r.q.Targets[0].Scale = sc
	r.extra = -s.p.cost - 2
	return []reading{r}
}
