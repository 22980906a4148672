package question

import (
	"slices"
	"strings"

	"tamis/kb"
	"tamis/kb/name"
	"tamis/kb/recipe"
)

// frameInstead reads a missing line for which the book itself says what takes its
// place: "no almonds today, granola x3", "gin is out, cured trout", and what is
// asked of that very thing: "granola x2 no honey, maple how much".
func frameInstead(s *sense) []reading {
	if s.insteadOfSize() || s.chooses() || s.doubtsIn() || s.any(cueSame, cueChange, cueCost, cueHowlong, cueHistory, cueUnsafe) || s.hears("poured", "went", "dumped", "tipped", "mistake", "accidentally") {
		return nil
	}
	var out []reading
	for _, p := range s.picksOfOne() {
		rec := p.targets[0].Recipe
		for k := range rec.Instead {
			in := &rec.Instead[k]
			line := lineOfInstead(rec, in)
			if line == nil {
				continue
			}
			gone, sure := s.goneLine(p, line, in)
			to, full := s.saidInstead(p, in, gone)
			switch {
			case gone >= 0 && (len(to) > 0 || sure):
			case gone < 0 && len(to) > 0 && s.any(cueHowmuch, cueHowmany) && (full || !s.wordOfLine(rec, to)) && !s.lineNamed(rec, p, to):
			default:
				continue
			}
			base := s.start(WantSwap, "swap", p)
			it := Item{Text: line.Name, Names: []string{line.Fold}, Larder: line.Item, InBook: true}
			if gone >= 0 {
				if said, ok := s.item(gone); ok {
					it = said
				}
				base.used[gone] = true
			}
			base.q.Items = []Item{it}
			if len(to) > 0 {
				base.q.To = &Item{Text: in.Name, Names: []string{name.Fold(in.Name)}}
			}
			for _, i := range to {
				base.used[i] = true
				for _, j := range s.names { // said once more: "with agar not gelatine, how much agar"
					said, ok := s.item(j)
					base.used[j] = base.used[j] || s.folded(s.span(j)) == s.folded(s.span(i)) || s.before(j) == "not" && ok && said.Means(line.Name, line.Item, line.Link)
				}
				base.consumes = base.consumes.with(cueNot)
			}
			for _, r := range s.sizedOn(base, p) {
				s.swapWords(&r)
				r.consumes = r.consumes.with(cueUses, cueSetready, cueVerbOut, cueWeigh)
				r.extra -= 3
				if r.q.Targets[0].Part && p.cost > 0 { // the line, and the chef's word on it, say which is meant
					r.extra -= min(p.cost, costPartHead)
				}
				out = append(out, r)
			}
		}
	}
	return out
}

// lineOfInstead is the line of a recipe that the chef's word is about.
func lineOfInstead(r *kb.Recipe, in *recipe.Instead) *kb.Line {
	f := name.Fold(in.Line)
	for i := range r.Lines {
		if l := &r.Lines[i]; l.Fold == f || l.FoldAs == f {
			return l
		}
	}
	return nil
}

// goneLine finds the span that says that a line is not there; sure is whether it
// asks for nothing but what comes in its place.
func (s *sense) goneLine(p pick, line *kb.Line, in *recipe.Instead) (at int, sure bool) {
	for _, i := range s.names {
		if slices.Contains(p.spans, i) {
			continue
		}
		it, ok := s.item(i)
		if !ok || !it.Means(line.Name, line.Item, line.Link) || slices.Contains(it.Names, name.Fold(in.Name)) {
			continue
		}
		missing, to, _ := s.swapRole(i, true)
		if !missing || to {
			continue
		}
		after := s.after(i)
		behind := after != "" && slices.Contains([]string{"is", "are", "was", "all", "ran", "run", "finished", "gone", "out", "missing", "86d"}, after)
		lead := true // nothing but "no", "we have no", "out of" before it
		for k := range s.span(i).from {
			switch s.l.tokens[k].plain {
			case "no", "out", "of", "without", "we", "i", "have", "havent", "dont", "got", "any", "theres", "there", "is", "missing", "the", "ran", "run", "all", "are", "were", "im", "weve", "ive", "more", "sorry", "ok", "so":
			default:
				lead = false
			}
		}
		if s.before(i) == "without" {
			lead = false // a list without it, perhaps
		}
		ends := s.l.tokens[len(s.l.tokens)-1].plain
		return i, behind || lead || s.any(cueSwap) || s.asksWhat() || ends == "with" || s.saysOf("today", "tonight", "delivered", "stock")
	}
	return -1, false
}

// saidInstead finds the spans that name what the chef lets come in, in full or by
// its first words; full is whether all of its name is said.
func (s *sense) saidInstead(p pick, in *recipe.Instead, gone int) (at []int, full bool) {
	if in.NotPossible {
		return nil, false
	}
	words := name.Words(in.Name)
	if len(words) == 0 {
		return nil, false
	}
	own := strings.Join(words, " ")
	for i := range s.p.spans {
		sp := s.span(i)
		if i == gone || slices.Contains(p.spans, i) || sp.kind == spanQuantity || sp.kind == spanFactor {
			continue
		}
		if sp.kind == spanName && slices.ContainsFunc(sp.names, func(h hit) bool { return !h.part && s.l.x.entries[h.id].Fold == own }) { // with a slip, perhaps
			return []int{i}, true
		}
		n, spans := 0, []int{}
		for j := i; j < len(s.p.spans) && n < len(words) && j != gone && !slices.Contains(p.spans, j); j++ {
			sp := s.span(j)
			k := sp.from
			for ; k < sp.to && n < len(words) && s.l.tokens[k].fold == words[n] && (n == 0 || !s.l.tokens[k].breaks); k++ {
				n++
			}
			if k < sp.to {
				n -= k - sp.from
				break
			}
			spans = append(spans, j)
		}
		if n > 0 && len(spans) > 0 && n > len(at) {
			at, full = spans, n == len(words)
		}
	}
	return at, full
}

// wordOfLine reports whether the spans are, by themselves, a line of the recipe or
// an ingredient of the book: "egg" of "egg white powder".
func (s *sense) wordOfLine(r *kb.Recipe, spans []int) bool {
	for _, i := range spans {
		if s.span(i).kind != spanName {
			continue
		}
		if it, ok := s.item(i); ok {
			if m, _ := it.match(r); m != noMatch || it.InBook {
				return true
			}
		}
	}
	return false
}

// lineNamed reports whether some name besides is on a line of the recipe, or what is
// named is a line itself: an amount of that is asked for, no exchange.
func (s *sense) lineNamed(r *kb.Recipe, p pick, to []int) bool {
	for _, i := range s.names {
		if slices.Contains(p.spans, i) {
			continue
		}
		it, ok := s.item(i)
		if !ok {
			continue
		}
		if m, _ := it.match(r); slices.Contains(to, i) && m == exactMatch || !slices.Contains(to, i) && m != noMatch {
			return true
		}
	}
	return false
}
