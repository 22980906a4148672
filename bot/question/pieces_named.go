package question

import (
	"slices"

	"tamis/kb"
	"tamis/kb/name"
)

// vesselWords are the words by which a cook may call what a recipe is filled into,
// without its number: "dome" of "dome 45".
func vesselWords(r *kb.Recipe) []string {
	if r == nil || r.Makes == nil || !r.Makes.Fill {
		return nil
	}
	return slices.DeleteFunc(name.Words(r.Makes.Mould), func(w string) bool { return len(w) < 4 || isMouldWord(w) || w[0] >= '0' && w[0] <= '9' })
}

// filled finds, for each such word, the names of the recipes that are filled so.
func (x *Lexicon) filled() map[string][]int32 {
	out := map[string][]int32{}
	for id := range x.entries {
		if e := &x.entries[id]; e.Kind == kb.RecipeName {
			for _, w := range vesselWords(e.Recipe) {
				out[w] = append(out[w], int32(id))
			}
		}
	}
	return out
}

// addVessels lets a word for a filled mould stand for the one recipe that is filled
// so: "thaw the domes", and adds nothing to a recipe's name that it follows: "the
// chestnut mousse domes", "ice cream base".
func (l *lattice) addVessels() {
	for k := range l.tokens {
		t := &l.tokens[k]
		if k > 0 && !t.breaks && (t.plain == "base" || len(l.x.fills[t.fold]) > 0) && l.recipeEnds(k, func(r *kb.Recipe) bool {
			return t.plain == "base" || slices.Contains(vesselWords(r), t.fold)
		}) {
			l.add(span{kind: spanCue, from: k, to: k + 1, cost: costSpan, cues: cueSet{}.with(cueFiller)})
			continue
		}
		if ids := l.x.fills[t.fold]; len(ids) == 1 && t.plain != t.fold {
			l.add(span{kind: spanName, from: k, to: k + 1, cost: costSpan + costPart, names: []hit{{ids[0], costPart, true}}})
		}
	}
}

// addBatches reads "one pistachio recipe", "2 crumble batches": so many batches of
// what stands between.
func (l *lattice) addBatches() {
	for k := 2; k < len(l.tokens); k++ {
		if l.tokens[k].breaks || !isBatchWord(l.tokens[k].fold) || l.tokens[k].fold == "size" {
			continue
		}
		for i := max(1, k-4); i < k; i++ {
			named := slices.ContainsFunc(l.starts[i], func(s span) bool {
				return s.kind == spanName && s.to == k && slices.ContainsFunc(s.names, func(h hit) bool { return l.x.entries[h.id].Recipe != nil })
			})
			if !named || l.tokens[i].breaks {
				continue
			}
			for n := range l.starts[i-1] {
				if s := &l.starts[i-1][n]; s.kind == spanQuantity && s.to == i && s.q.Q.Unit.Symbol == "" && s.q.Hi == nil && s.q.Ambiguous == nil && s.q.Q.N.Sign() > 0 {
					f := span{kind: spanFactor, from: i - 1, to: i, cost: costSpan, factor: s.q.Q.N}
					s.cost += costCutShort
					l.add(f)
					break
				}
			}
		}
	}
}

// recipeEnds reports whether the name of a recipe that fits ends right before token k.
func (l *lattice) recipeEnds(k int, fits func(*kb.Recipe) bool) bool {
	for i := max(0, k-6); i < k; i++ {
		for _, s := range l.starts[i] {
			if s.kind == spanName && s.to == k && slices.ContainsFunc(s.names, func(h hit) bool {
				r := l.x.entries[h.id].Recipe
				return r != nil && fits(r)
			}) {
				return true
			}
		}
	}
	return false
}
