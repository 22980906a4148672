package index

import (
	"context"
	"fmt"
	"slices"
	"strconv"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/search/query"
	api "github.com/blevesearch/bleve_index_api"
)

// maxHits is the most that one search returns.
const maxHits = 100

// find runs the searches for a text from the strictest on until one finds
// something: every word that names know; every ingredient, if several are named;
// any word that names know; every word, wherever it stands.
func (x *opened) find(ctx context.Context, parts, runs []part, n int) ([]place, error) {
	var known, named []part
	rare, anywhere := false, true
	for _, p := range parts {
		if len(p.names) > 0 {
			known = append(known, p)
			if p.ingredient && !p.guessed {
				named = append(named, p)
			}
		}
		if len(p.names)+len(p.more) == 0 {
			anywhere = false
		}
		rare = rare || p.rare
	}
	raise := slices.Clip(append(raising(parts), runs...))
	var tries []query.Query
	switch {
	case len(known) > 0:
		tries = append(tries, both(every(known, nameTerms), raise))
		if len(named) > 1 && len(named) < len(known) {
			tries = append(tries, both(every(named, nameTerms), append(raise, known...)))
		}
		if len(known) > 1 {
			tries = append(tries, both(some(known, nameTerms), raise))
		}
	case anywhere && rare:
		tries = append(tries, every(parts, allTerms))
	}
	for _, q := range tries {
		found, err := x.run(ctx, q, n)
		if err != nil || len(found) > 0 {
			return found, err
		}
	}
	return nil, nil
}

// place is a recipe's place in the snapshot with its score.
type place struct {
	at    int
	score float64
	id    api.IndexInternalID
}

func (x *opened) run(ctx context.Context, q query.Query, n int) ([]place, error) {
	req := bleve.NewSearchRequestOptions(q, n, 0, false)
	req.SortBy([]string{"-_score", "_id"})
	res, err := x.index.SearchInContext(ctx, req)
	if err != nil {
		return nil, err
	}
	out := make([]place, 0, len(res.Hits))
	for _, h := range res.Hits {
		at, err := strconv.Atoi(h.ID)
		if err != nil || at < 0 || at >= x.recipes {
			return nil, fmt.Errorf("search index holds %q, which is no recipe of the book", h.ID)
		}
		out = append(out, place{at, h.Score, h.IndexInternalID})
	}
	return out, nil
}

func nameTerms(p part) []term { return p.names }
func allTerms(p part) []term  { return append(slices.Clone(p.names), p.more...) }

// raising returns what makes a hit better without being asked for.
func raising(parts []part) []part {
	var out []part
	for _, p := range parts {
		if len(p.more) > 0 {
			out = append(out, part{names: p.more})
		}
	}
	return out
}

func both(must query.Query, should []part) query.Query {
	if len(should) == 0 {
		return must
	}
	return query.NewBooleanQuery([]query.Query{must}, []query.Query{some(should, nameTerms)}, nil)
}

func every(parts []part, of func(part) []term) query.Query {
	qs := make([]query.Query, len(parts))
	for i, p := range parts {
		qs[i] = anyTerm(of(p))
	}
	if len(qs) == 1 {
		return qs[0]
	}
	return query.NewConjunctionQuery(qs)
}

func some(parts []part, of func(part) []term) query.Query {
	qs := make([]query.Query, len(parts))
	for i, p := range parts {
		qs[i] = anyTerm(of(p))
	}
	return anyOf(qs)
}

func anyTerm(ts []term) query.Query {
	qs := make([]query.Query, len(ts))
	for i, t := range ts {
		q := query.NewTermQuery(t.text) // a term, never the query language
		q.SetField(t.field)
		q.SetBoost(t.boost)
		qs[i] = q
	}
	return anyOf(qs)
}

// anyOf keeps disjunctions short: a long one adds its scores up in the order in
// which recipes happen to lie.
func anyOf(qs []query.Query) query.Query {
	const most = 8
	for len(qs) > most {
		var up []query.Query
		for c := range slices.Chunk(qs, most) {
			up = append(up, anyOf(slices.Clone(c)))
		}
		qs = up
	}
	if len(qs) == 1 {
		return qs[0]
	}
	return query.NewDisjunctionQuery(qs)
}
