package index

import (
	"fmt"

	"github.com/blevesearch/bleve/v2"
	"github.com/blevesearch/bleve/v2/index/scorch"
)

// batchRecipes is how many recipes become one segment: small enough to hold
// little memory while building and to stop soon, large enough to search few.
const batchRecipes = 2500

// build makes the index, on disk if it can.
func (x *Index) build() (*opened, error) {
	if x.dir != "" {
		o, err := x.buildDisk()
		if err == nil || x.ctx.Err() != nil {
			return o, err
		}
		x.memoryOnly(err)
	}
	b, err := bleve.NewUsing("", bleve.NewIndexMapping(), scorch.Name, scorch.Name, nil)
	if err != nil {
		return nil, fmt.Errorf("make search index: %w", err)
	}
	if err := x.fill(b); err != nil {
		b.Close()
		return nil, err
	}
	return &opened{index: b, recipes: len(x.snap.Recipes)}, nil
}

// fill puts all recipes in, and stops early if the index is closed.
func (x *Index) fill(b bleve.Index) error {
	all := x.snap.Recipes
	for from := 0; from < len(all); from += batchRecipes {
		batch := b.NewBatch()
		for i := from; i < min(from+batchRecipes, len(all)); i++ {
			if err := x.ctx.Err(); err != nil {
				return ErrClosed
			}
			if err := batch.IndexAdvanced(x.analysers.document(i, all[i])); err != nil {
				return fmt.Errorf("index recipe %q: %w", all[i].Name, err)
			}
		}
		if err := b.Batch(batch); err != nil {
			return fmt.Errorf("make search index: %w", err)
		}
	}
	return nil
}
