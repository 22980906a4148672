package question

// frameShare: what part an ingredient is of all that goes in, "gelatine percent
// in the jelly". Of what a recipe is made of, sugars and salt, asks frameContent.
func frameShare(s *sense) []reading {
	if !s.any(cuePercent) || s.says("ask", "share") && s.says("agent", "gelatine") && !s.saysOf("percent", "percentage", "pct") || len(s.quant) > 0 || s.any(cueHowmuch, cueHowmany) && !s.howManyPercent() || s.any(cueSwap, cueRescue, cueCost) {
		return nil
	}
	var out []reading
	for _, p := range s.picks() {
		if len(p.targets) != 1 {
			continue
		}
		r := s.start(WantShareOf, "lookup", p)
		r.consumes = r.consumes.with(cuePercent, cueGel, cueContain, cueHowmuch, cueHowmany)
		base := s.shareBase(&r)
		for _, i := range s.names {
			it, ok := s.item(i)
			if r.used[i] || !ok || len(r.q.Items) > 0 || i == base {
				continue
			}
			m, cost := it.match(p.targets[0].Recipe)
			if _, content := contentNames[s.folded(s.span(i))]; content || m == noMatch {
				continue
			}
			r.used[i] = true
			r.extra += cost
			r.q.Items = append(r.q.Items, it)
		}
		if len(r.q.Items) == 0 {
			continue
		}
		if base >= 0 {
			it, _ := s.item(base)
			if m, cost := it.match(p.targets[0].Recipe); m == noMatch {
				continue
			} else {
				r.extra += cost
			}
			r.used[base] = true
			r.q.Items = append(r.q.Items, it)
			r.extra -= 3
		}
		r.extra -= 2 // a line of the recipe is named: no general rule is asked for
		out = append(out, r)
	}
	return out
}

// howManyPercent reads "how many %", "how much percent".
func (s *sense) howManyPercent() bool {
	t := s.l.tokens
	for k := 0; k+1 < len(t); k++ {
		if w, next := t[k].plain, t[k+1].plain; (w == "many" || w == "much") && (next == "%" || next == "percent" || next == "pct") {
			return true
		}
	}
	return false
}
