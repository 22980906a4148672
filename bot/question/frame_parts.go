package question

import (
	"slices"
	"strings"

	"tamis/calc/quantity"
	"tamis/kb"
)

// linked returns the recipe that span i names, where it goes into r.
func (s *sense) linked(i int, r *kb.Recipe) (*kb.Recipe, int) {
	for _, o := range s.recipesOf(i, 24) {
		if r != nil && slices.ContainsFunc(r.Lines, func(l kb.Line) bool { return l.Link == o.recipe }) {
			return o.recipe, o.cost
		}
	}
	return nil, 0
}

// frameBatchesOf: how many batches of a part so many of a dish take: "how many
// batches of choux for 50 wheels".
func frameBatchesOf(s *sense) []reading {
	if !s.any(cueBatchsplit) && !(s.any(cueHowmany) && s.any(cueBatch)) || len(s.quant) == 0 {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || p.talk {
			continue
		}
		for _, r := range s.sized(s.start(WantAmount, "scale", p), p) {
			if !sizedAny(r.q.Targets) {
				continue
			}
			for _, i := range s.names {
				part, cost := s.linked(i, r.q.Targets[0].Recipe)
				it, ok := s.item(i)
				if r.used[i] || part == nil || !ok || s.manyOfIt(i) {
					continue
				}
				c := r.clone()
				it.Recipe = part
				c.q.Items, c.q.Per = []Item{it}, PerBatch
				c.used[i] = true
				c.extra += cost - 3 // a part and what it goes into are both named
				c.consumes = c.consumes.with(cueBatchsplit, cueHowmany, cueBatch, cueEnough, cueMakeable)
				out = append(out, c)
			}
		}
	}
	return out
}

// batchFactor reports whether a size is written in batches: "from one batch of".
func (s *sense) batchFactor() bool {
	return slices.ContainsFunc(s.quant, func(i int) bool {
		sp := s.span(i)
		return sp.kind == spanFactor && strings.HasPrefix(s.l.tokens[sp.to-1].plain, "batch")
	})
}

// frameFromBatch: how many of a dish some batches of a part make: "how many
// tartlets from one batch of curd".
func frameFromBatch(s *sense) []reading {
	if !s.any(cueHowmany, cueMakeable) || !s.any(cueOnebatch, cueBatch) && !s.batchFactor() && !strings.Contains(s.l.folded(), " batch ") {
		return nil
	}
	batches := one
	for _, i := range s.quant {
		if s.span(i).kind != spanFactor || len(s.quant) > 1 {
			return nil
		}
		batches = s.span(i).factor
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 || p.talk {
			continue
		}
		for _, i := range s.names {
			part, cost := s.linked(i, p.targets[0].Recipe)
			it, ok := s.item(i)
			if part == nil || !ok || slices.Contains(p.spans, i) || !part.HasFinished || s.manyOfIt(i) {
				continue
			}
			r := s.start(WantMakeable, "scale", p)
			it.Recipe = part
			r.q.Targets[0].Scale = Scale{Kind: ScaleGiven, Given: []Given{{Item: it, Q: quantity.Grams(part.Finished.Mul(batches))}}, Text: s.text(i)}
			r.used[i] = true
			for _, j := range s.quant {
				r.used[j] = true
			}
			r.extra += cost - 3
			r.consumes = r.consumes.with(cueHowmany, cueMakeable, cueOnebatch, cueBatch, cueYield, cueFill, cueEnough, cuePiece, cueCovers, cuePortion)
			out = append(out, r)
		}
	}
	return out
}

// manyOfIt reads "how many cores for one batch of domes": it asks of span i, which
// goes into the other.
func (s *sense) manyOfIt(i int) bool {
	return i > 0 && s.span(i-1).kind == spanCue && s.span(i-1).cues.has(cueHowmany) && slices.Contains([]string{"for", "in", "into", "per", "do", "go", "does"}, s.after(i))
}

// manyFilled reads "one mix fills how many core 25".
func (s *sense) manyFilled() bool {
	return s.any(cueFill, cueYield, cueMakeable) && slices.ContainsFunc(s.names, func(i int) bool {
		return i > 0 && s.thingOf(i, kb.MouldName) != nil && s.span(i-1).kind == spanCue && s.span(i-1).cues.has(cueHowmany)
	})
}

// ordersOne reads "apricots to order for 3x jam", "order apricots for": one thing
// of a recipe to order, no list.
func (s *sense) ordersOne() bool {
	t := s.l.tokens
	return slices.ContainsFunc(s.names, func(i int) bool {
		sp := s.span(i)
		if sp.from > 0 && !t[sp.from].breaks && t[sp.from-1].plain == "order" {
			return true
		}
		return sp.to+1 < len(t) && !t[sp.to].breaks && t[sp.to].plain == "to" && t[sp.to+1].plain == "order"
	})
}

// traysFor reads "trays for the sponge x3": what is to be counted stands first,
// without a number.
func (s *sense) traysFor() bool {
	t := s.l.tokens
	k := 0
	for k < len(t) && (t[k].plain == "the" || t[k].plain == "no" || t[k].plain == "of" || t[k].plain == "number") {
		k++
	}
	if k+4 < len(t) && t[k+1].plain == "of" { // "trays of dome 45 for 30 domes"
		for j := k + 3; j < min(len(t), k+6); j++ {
			if t[j].plain == "for" && slices.ContainsFunc(s.l.starts[k+2], func(sp span) bool {
				return sp.kind == spanName && sp.to == j && slices.ContainsFunc(sp.names, func(h hit) bool { return s.l.x.entries[h.id].Kind == kb.MouldName })
			}) {
				return slices.Contains([]string{"trays", "tins", "moulds", "molds", "sheets", "frames", "rings", "mats"}, t[k].plain)
			}
		}
	}
	if k+2 > len(t) || t[k+1].plain != "for" {
		return false
	}
	switch t[k].plain {
	case "trays", "tins", "moulds", "molds", "sheets", "frames", "rings", "mats":
		return true
	}
	return false
}

// intoOther reports whether the one recipe named is said to go into something else.
func (s *sense) intoOther(r reading) bool {
	if len(r.targets) != 1 || r.targets[0] < 0 {
		return false
	}
	w := s.after(r.targets[0])
	return (w == "into" || w == "inside") && s.span(r.targets[0]).to+1 < len(s.l.tokens)
}

// toFinish reports whether an ingredient asked for stands right before "to finish":
// that is what it is for, no end of a step.
func (s *sense) toFinish(r reading) bool {
	if s.any(cueWhen, cueHowlong, cueWent, cueLatest) || len(s.clock) > 0 {
		return false
	}
	for k := 1; k+1 < len(s.l.tokens); k++ {
		w := s.l.tokens[k+1].plain
		if (s.l.tokens[k].plain != "to" || w != "finish" && w != "mount") && (s.l.tokens[k].plain != "for" || w != "finishing" && w != "mounting") || s.l.tokens[k].breaks {
			continue
		}
		if j := s.spanAt(k - 1); j >= 0 && s.span(j).kind == spanName && !slices.Contains(r.targets, j) {
			return true
		}
	}
	return false
}

// mouldsAsked reads "70 bars, moulds?", "50 parfaits moulds needed": how many is asked
// by the word alone, at the end and with no number or name of its own.
func (s *sense) mouldsAsked() bool {
	t := s.l.tokens
	k := len(t) - 1
	for k > 0 && slices.Contains([]string{"needed", "need", "required", "pls", "please", "then", "chef"}, t[k].plain) {
		k--
	}
	if k < 1 || len(s.quant) == 0 {
		return false
	}
	switch t[k].plain {
	case "trays", "tins", "moulds", "molds", "sheets", "frames", "mats":
	default:
		return false
	}
	if t[k].breaks {
		return true
	}
	i := s.prev(s.spanAt(k))
	return i >= 0 && s.span(i).kind == spanName && s.l.recipeAt(s.span(i)) && len(s.recipesOf(i, 1)) > 0 && s.thingOf(i, kb.MouldName) == nil
}

// mouldNeeded reads "ring 60 moulds needed for 48 tarts", "how many ring 60 for 48
// tarts": a mould by its name stands first and what it is for behind it.
func (s *sense) mouldNeeded() bool {
	if len(s.quant) == 0 {
		return false
	}
	for i := 1; i < len(s.p.spans); i++ { // "48 tarts, how many ring 60 do i need"
		if b := s.span(i - 1); b.kind == spanCue && b.cues.has(cueHowmany) && s.span(i).kind == spanName && s.thingOf(i, kb.MouldName) != nil && s.quant[0] < i && s.span(s.quant[0]).kind == spanQuantity && s.span(s.quant[0]).q.Q.Unit.Symbol == "" {
			return true
		}
	}
	many, mould, word := false, -1, false
	for i := range s.p.spans {
		sp := s.span(i)
		switch {
		case sp.kind == spanCue && sp.cues.has(cueHowmany) && mould < 0:
			many = true
		case sp.kind == spanName && mould < 0 && s.thingOf(i, kb.MouldName) != nil:
			mould = i
		case mould < 0 && sp.kind == spanCue && light(sp.cues):
		case mould < 0:
			return false
		case sp.kind == spanCue && sp.cues.has(cueMoulds):
			word = true
		case sp.kind == spanCue && (sp.cues.has(cueFor) || s.l.tokens[sp.to-1].plain == "for"):
			return many || word
		case sp.kind == spanCue && light(sp.cues), sp.kind == spanUnused:
		default:
			return false
		}
	}
	return false
}
