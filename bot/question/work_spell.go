package question

import (
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"tamis/kb/name"
)

// thumbs are words that people write short.
var thumbs = map[string]string{
	"u": "you", "r": "are", "ur": "your", "y": "why",
	"hw": "how", "lng": "long", "wen": "when", "wat": "what", "wot": "what", "wats": "whats", "wots": "whats", "nite": "night", "tonite": "tonight",
}

// workList are the words of work.txt by themselves, in order.
var workList = sync.OnceValue(func() []string {
	var out []string
	for _, list := range workWords().phrases {
		for _, p := range list {
			for _, w := range p.words {
				if utf8.RuneCountInString(w) >= 4 {
					out = append(out, w)
				}
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
})

// workSlips is the message with the slips in its work words put right: "redy",
// "settng". A word of the book, a food word and a word of the language stay as
// they are; so does one that is as near to a name of the book.
func (s *sense) workSlips() *sense {
	return s.putRight(workList(), func(w string) bool { return len(workWords().phrases[w]) > 0 })
}

// putRight is the message with slips of the words of a list put right; known
// are words that stay as they are.
func (s *sense) putRight(list []string, known func(string) bool) *sense {
	var fixed *sense
	put := func(k int, w string) {
		if fixed == nil {
			l := *s.l
			l.tokens = slices.Clone(s.l.tokens)
			fixed = &sense{l: &l, p: s.p, ctx: s.ctx, limit: s.limit, cues: s.cues, names: s.names, quant: s.quant, units: s.units, clock: s.clock, allergens: s.allergens}
		}
		t := &fixed.l.tokens[k]
		t.plain, t.fold = w, name.Singular(w)
	}
	for i := range s.p.spans {
		sp := s.span(i)
		if sp.kind != spanUnused && sp.kind != spanCue {
			continue
		}
		for k := sp.from; k < sp.to; k++ {
			if w := thumbs[s.l.tokens[k].plain]; w != "" {
				put(k, w)
			}
		}
		if sp.to != sp.from+1 {
			continue
		}
		at := slipAt{sp.from, len(list)} // every covering asks the same
		w, seen := s.l.slips[at]
		if !seen {
			w, _ = s.l.slipOf(sp.from, list, known)
			if s.l.slips == nil {
				s.l.slips = map[slipAt]string{}
			}
			s.l.slips[at] = w
		}
		if w == "" || s.saysOf(w) || fixed != nil && fixed.saysOf(w) {
			continue // "left on the lett": the word is said already
		}
		put(sp.from, w)
		if sp.note == "" { // a corrected cue says it by itself
			fixed.slips = append(fixed.slips, Assumption{"read as", []string{s.l.tokens[sp.from].plain, w}})
		}
	}
	if fixed == nil {
		return s
	}
	return fixed
}

// slipAt is a token looked up in a list of words, which its length tells apart.
type slipAt struct{ token, list int }

// slipOf is the one word of a sorted list that token k is a slip of.
func (l *lattice) slipOf(k int, list []string, known func(string) bool) (string, bool) {
	t := &l.tokens[k]
	n := utf8.RuneCountInString(t.plain)
	if t.number || n < 3 || isFood(t) || isEnglish(t) || isForeignCue(t) || known(t.plain) || slices.Contains(list, t.plain) || l.x.spell().isNameWord(t) || l.isName(k) || l.isUnit(k) {
		return "", false
	}
	most := 1
	if n >= 7 {
		most = 2
	}
	best, word, same := most+1, "", false
	for _, w := range list {
		d, ok := name.Slips(t.plain, w, most)
		m := utf8.RuneCountInString(w)
		if strings.HasSuffix(t.plain, "tion") && strings.HasSuffix(w, "ing") {
			continue // "hydration" is a share, nothing that runs
		}
		if !ok || n < 4 && m != n+1 || d > 1 && m < 7 || w[0] != t.plain[0] {
			continue
		}
		switch {
		case d < best:
			best, word, same = d, w, false
		case d == best && name.Singular(w) != name.Singular(word):
			same = true
		}
	}
	if word == "" || same {
		return "", false
	}
	for _, f := range l.fixes[k] { // as near to a name: that is meant first
		if f.name && f.word != word && f.word != name.Singular(word) && f.edits <= best && utf8.RuneCountInString(f.word) >= 4 {
			return "", false
		}
	}
	return word, true
}

// isForeignCue reports whether a word asks something in another language.
func isForeignCue(t *token) bool {
	n := cues().root.next[t.fold]
	return n != nil && !n.set.empty() && n.lang != "en"
}

// isNameWord reports whether a token is a word of some name of the book or larder.
func (s *speller) isNameWord(t *token) bool {
	for _, w := range [2]string{t.plain, t.fold} {
		if i, ok := s.index[w]; ok && s.isName[i] {
			return true
		}
	}
	return false
}
