package question

import (
	"slices"

	"tamis/calc/quantity"
)

// frameCheck: whether a number is the book's, "its 400 g sugar right?", "is it
// 82 or 84 °C for the curd": the book's own is told, and the number is no size.
func frameCheck(s *sense) []reading {
	choice := s.any(cueOr) && len(s.quant) == 2 && (s.saysOf("is", "was", "its") || s.alternatives())
	if len(s.quant) == 0 || !choice && !(s.endsAsking() && (s.saysOf("its", "is", "was", "has", "takes", "gets", "thats") || s.figureLast()) || s.heatAsked()) || s.any(cueHowmuch, cueHowmany, cueChange, cueMakeable, cueOnly, cueReading) {
		return nil
	}
	dim := quantity.None
	for _, i := range s.quant {
		sp := s.span(i)
		if sp.kind != spanQuantity || sp.q.Ambiguous != nil {
			return nil
		}
		if sp.q.Q.Unit.Symbol != "" {
			dim = sp.q.Q.Unit.Dim
		}
	}
	if dim == quantity.None && s.any(cueMoulds, cuePiece, cuePortion, cueCovers, cueBatch) {
		return nil // "2 or 3 trays" is a size
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 {
			continue
		}
		r := s.start(WantAmount, "lookup", p)
		r.consumes = r.consumes.with(cueOr, cueYes, cueNo, cueNot, cueTemp, cueOven, cueHowlong, cueThan)
		for _, i := range s.quant {
			r.used[i] = true
		}
		for i := range s.p.spans { // "right", "correct", "is it"
			if sp := s.span(i); sp.kind == spanUnused && !sp.food && sp.cost == costLoose {
				r.used[i] = true
			}
		}
		r, items := s.restItems(r)
		if choice && !p.talk && len(p.spans) > 0 && p.spans[0] >= 0 && s.next(s.quant[1]) == p.spans[0] { // "3 or 4 crumbles": which of them
			a, b := s.span(s.quant[0]), s.span(s.quant[1])
			r.q.Missing = MissingNumber
			first := s.text(s.quant[0])
			if a.q.Q.Unit.Symbol == "" { // "2 or 3 kg"
				first += unitSuffix(b.q.Q.Unit)
			}
			r.q.Choices = s.between(s.l.tokens[a.from].start, s.l.tokens[b.to-1].end, first, s.text(s.quant[1]))
			if !items {
				r.q.Want, r.q.About = WantCard, "card"
			}
			out = append(out, r)
			continue
		}
		r.extra -= 3 // it says so: no size is asked for
		steps := dim == quantity.Temperature || dim == quantity.Time || dim == quantity.None && (choice && !items || s.any(cueCore, cueTemp, cueOven) || s.heatAsked())
		switch {
		case items && !steps:
		case !items && steps:
			r.q.Want, r.q.Verbs = WantSteps, s.verbs()
			r.consumes = r.consumes.or(verbCues)
			r.q.Temp, r.q.Time = dim != quantity.Time, dim == quantity.Time
			r.q.Core, r.q.Oven = s.any(cueCore), s.any(cueOven)
			r.consumes = r.consumes.with(cueCore)
			if dim == quantity.None && !r.q.Core && !s.heatAsked() {
				r.q.Guessed = true
				r.extra += 3
			}
		default:
			continue
		}
		out = append(out, r)
	}
	return out
}

// between are the choices between two words for what stands in the bytes from to
// to: the message is read again with each.
func (s *sense) between(from, to int, words ...string) []Choice {
	var out []Choice
	for _, w := range words {
		out = append(out, Choice{Label: w, Text: s.l.text[:from] + w + s.l.text[to:]})
	}
	return out
}

// alternatives reports whether the two figures stand on both sides of an "or":
// "60 or 70 g almonds in the pastry".
func (s *sense) alternatives() bool {
	a, b := s.span(s.quant[0]), s.span(s.quant[1])
	return b.from-a.to == 1 && s.l.tokens[a.to].plain == "or"
}

// heatAsked reads "is it ok to bake the flapjack on 160": a heat, not so many.
func (s *sense) heatAsked() bool {
	if len(s.quant) != 1 || !s.any(cueVerbBake, cueVerbCook) || !s.saysOf("ok", "okay", "right", "fine", "correct", "enough", "too") {
		return false
	}
	sp, w := s.span(s.quant[0]), s.before(s.quant[0])
	return sp.kind == spanQuantity && (w == "on" || w == "at") && (sp.q.Q.Unit.Symbol == "" && quantity.Int(39).Less(sp.q.Q.N) || sp.q.Q.Unit.Dim == quantity.Temperature)
}

// figureLast reports whether the one figure comes after all names, with nothing
// that makes it a size: "curd sugar 280 right?".
func (s *sense) figureLast() bool {
	if len(s.quant) != 1 || len(s.names) == 0 {
		return false
	}
	i := s.quant[0]
	return i > s.names[len(s.names)-1] && s.span(i).kind == spanQuantity && !slices.Contains([]string{"for", "x", "times", "to", "makes", "feeds"}, s.before(i))
}

// endsAsking reports whether the message ends by asking for a yes: "…, right?".
func (s *sense) endsAsking() bool {
	return slices.ContainsFunc([]string{"right", "correct", "innit", "yeah", "ja", "true", "stimmt"}, func(w string) bool { return s.ends(w) }) ||
		s.ends("isnt", "it") || s.ends("is", "that", "right") || s.ends("no", "?")
}
