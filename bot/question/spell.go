package question

import (
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"tamis/kb/name"
)

// speller finds the words of the book and of the cues that a misspelt word may
// stand for. Words are indexed by themselves with one letter left out, so that
// a look-up costs no more in a large book.
type speller struct {
	words   []string
	isName  []bool // the word stands in a name (or is a name written in one)
	rank    []bool // the word stands in a name of a recipe or of a line
	index   map[string]int32
	deletes map[uint64]int32 // by the hash of a word with a letter left out: the last of links
	links   []link
	byFirst map[byte][]int32 // long words by first letter, for two slips
	sorted  []string         // words of names, for abbreviations
}

// link is a word with a hash, and the one before it.
type link struct{ word, prev int32 }

// without hashes w but for its bytes i to j (FNV-1a). Two that meet by chance do
// no harm: what is found is measured.
func without(w string, i, j int) uint64 {
	const offset, prime = 14695981039346656037, 1099511628211
	h := uint64(offset)
	for k := range len(w) {
		if k < i || k >= j {
			h = (h ^ uint64(w[k])) * prime
		}
	}
	return h
}

// correction is one word that a typo may stand for.
type correction struct {
	word  string
	edits int
	name  bool
}

func newSpeller(x *Lexicon) *speller {
	s := &speller{index: map[string]int32{}, deletes: make(map[uint64]int32, 1<<16), byFirst: map[byte][]int32{}}
	for _, e := range x.entries {
		inBook := e.Kind != 0 || e.Recipe != nil || e.InBook
		for _, w := range e.words {
			s.add(w, true, inBook)
		}
		if len(e.words) > 1 {
			s.add(strings.Join(e.words, ""), true, inBook)
		}
	}
	for w := range cues().english { // words of other languages are known, but nothing is put right to them
		s.add(w, false, false)
	}
	for w := range crafts().words {
		s.add(w, false, false)
	}
	// Map order must not reach the answer: near sorts what it finds.
	for i, w := range s.words {
		if s.rank[i] {
			s.sorted = append(s.sorted, w)
		}
	}
	sort.Strings(s.sorted)
	return s
}

func (s *speller) add(w string, isName, inBook bool) {
	if i, ok := s.index[w]; ok {
		s.isName[i] = s.isName[i] || isName
		s.rank[i] = s.rank[i] || inBook
		return
	}
	if utf8.RuneCountInString(w) < 3 || w[0] >= '0' && w[0] <= '9' || len(w) > 40 {
		return
	}
	i := int32(len(s.words))
	s.index[w] = i
	s.words = append(s.words, w)
	s.isName = append(s.isName, isName)
	s.rank = append(s.rank, inBook)
	s.link(without(w, 0, 0), i)
	for k := range w {
		_, n := utf8.DecodeRuneInString(w[k:])
		s.link(without(w, k, k+n), i)
	}
	if len(w) >= 6 {
		s.byFirst[w[0]] = append(s.byFirst[w[0]], i)
	}
}

func (s *speller) link(h uint64, word int32) {
	prev, ok := s.deletes[h]
	if !ok {
		prev = -1
	}
	s.deletes[h] = int32(len(s.links))
	s.links = append(s.links, link{word, prev})
}

// linked hands on the words with a hash.
func (s *speller) linked(h uint64, do func(word int32)) {
	at, ok := s.deletes[h]
	for ok && at >= 0 {
		do(s.links[at].word)
		at = s.links[at].prev
	}
}

// knows reports whether w is a word of a name or of a cue.
func (s *speller) knows(w string) bool { _, ok := s.index[w]; return ok }

// near returns the words within the given edits of a token's plain or folded
// form, nearest first, then names before cues, then by letter.
func (s *speller) near(plain, fold string, most int) []correction {
	best := map[int32]int{}
	for i, w := range [2]string{plain, fold} {
		if i == 1 && fold == plain {
			break
		}
		s.look(w, most, best)
	}
	out := make([]correction, 0, len(best))
	for i, d := range best {
		out = append(out, correction{s.words[i], d, s.isName[i]})
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		if a.edits != b.edits {
			return a.edits < b.edits
		}
		if a.name != b.name {
			return a.name
		}
		return a.word < b.word
	})
	return out
}

func (s *speller) look(w string, most int, best map[int32]int) {
	n := utf8.RuneCountInString(w)
	if n < 4 || len(w) > 40 {
		return
	}
	try := func(i int32) {
		if old, seen := best[i]; seen && old <= 1 {
			return
		}
		limit := most
		if n < 7 || utf8.RuneCountInString(s.words[i]) < 6 {
			limit = min(limit, 1)
		}
		if d, ok := name.Slips(w, s.words[i], limit); ok {
			if old, seen := best[i]; !seen || d < old {
				best[i] = d
			}
		}
	}
	s.linked(without(w, 0, 0), try)
	for k := range w {
		_, l := utf8.DecodeRuneInString(w[k:])
		s.linked(without(w, k, k+l), try)
	}
	if most > 1 && n >= 7 {
		for _, i := range s.byFirst[w[0]] {
			if d := len(s.words[i]) - len(w); d <= 2 && d >= -2 {
				try(i)
			}
		}
	}
}

// begun returns the words of the book's names that w begins, if they are few:
// "stab" for stabiliser.
func (s *speller) begun(w string, ofBook func(string) bool) []correction {
	const few = 3
	var out []correction
	for i := sort.SearchStrings(s.sorted, w); i < len(s.sorted) && strings.HasPrefix(s.sorted[i], w); i++ {
		if len(s.sorted[i]) < len(w)+3 || !ofBook(s.sorted[i]) {
			continue
		}
		if len(out) == few {
			return nil
		}
		out = append(out, correction{s.sorted[i], 1, true})
	}
	return out
}

// foodMeant reports whether a slip that may be a word of small talk is as near to a
// word of a name: "suger" is sugar, no "super".
func (l *lattice) foodMeant(i int, f correction, set cueSet) bool {
	return set.meets(cueSet{}.with(cueThanks, cueGreet)) && slices.ContainsFunc(l.fixes[i], func(o correction) bool { return o.name && o.edits <= f.edits && o.word != f.word })
}
