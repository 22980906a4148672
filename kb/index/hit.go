package index

import (
	"slices"
	"strings"

	api "github.com/blevesearch/bleve_index_api"

	"tamis/kb"
)

// Hit is a recipe that holds words of the text.
type Hit struct {
	Recipe *kb.Recipe
	Score  float64 // compares hits of one search, nothing else
	// Matched and Missing are the words of the text that the recipe holds and
	// that it does not, as they were written; words that are one name are one entry.
	Matched []string
	Missing []string
	// Corrected are those matched that were read as another word.
	Corrected []Correction
}

// Correction is a word that was read as another: mistyped, or cut short.
type Correction struct{ From, To string }

// explain says of each place which parts of the text its recipe holds.
func (x *Index) explain(look *lookup, places []place, parts []part) []Hit {
	hits := make([]Hit, len(places))
	for i, p := range places {
		hits[i] = Hit{Recipe: x.snap.Recipes[p.at], Score: p.score}
	}
	for _, p := range parts {
		written := make([]string, len(p.words))
		for i, w := range p.words {
			written[i] = w.written
		}
		said := strings.Join(written, " ")
		as := make([]*term, len(places)) // what the part is there
		for _, t := range allTerms(p) {
			for i, is := range look.holding(t, places) {
				if is && as[i] == nil {
					as[i] = &t
				}
			}
		}
		for i := range hits {
			if as[i] == nil {
				hits[i].Missing = append(hits[i].Missing, said)
				continue
			}
			hits[i].Matched = append(hits[i].Matched, said)
			if p.guessed {
				hits[i].Corrected = append(hits[i].Corrected, Correction{From: said, To: x.analysers.complete(hits[i].Recipe, *as[i])})
			}
		}
	}
	return hits
}

// holding tells which of the places have the term.
func (l *lookup) holding(t term, places []place) []bool {
	out := make([]bool, len(places))
	if l.err != nil {
		return out
	}
	r, err := l.reader.TermFieldReader(l.ctx, []byte(t.text), t.field, false, false, false)
	if err != nil {
		l.err = err
		return out
	}
	defer r.Close()
	order := make([]int, len(places)) // as they lie in the index
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return places[a].id.Compare(places[b].id) })
	var at *api.TermFieldDoc
	for _, i := range order {
		if at == nil || at.ID.Compare(places[i].id) < 0 {
			if at, l.err = r.Advance(places[i].id, nil); at == nil || l.err != nil {
				return out
			}
		}
		out[i] = at.ID.Equals(places[i].id)
	}
	return out
}

// complete returns the recipe's word that the term is or begins.
func (a *analysers) complete(r *kb.Recipe, t term) string {
	if t.field != fieldPrefix {
		return t.text
	}
	var words []string
	for _, v := range a.values(entryOf(r)) {
		if v.field != fieldTitle && v.field != fieldAlias && v.field != fieldIngredient {
			continue
		}
		for _, k := range v.by.Analyze([]byte(v.text)) {
			if w := string(k.Term); strings.HasPrefix(w, t.text) && !strings.Contains(w, " ") {
				words = append(words, w)
			}
		}
	}
	if len(words) == 0 {
		return t.text
	}
	return slices.Min(words)
}
