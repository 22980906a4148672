package kb

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

const (
	fewAtOnce = 64 // entries that one goroutine finishes faster alone
	mostHelp  = 8  // goroutines
	handful   = 32 // entries taken at a time
)

// finishAll resolves the entries, each after all it draws on; those that draw on
// none of each other at the same time.
func (b *builder) finishAll(ctx context.Context) {
	order := b.order()
	if len(order) < fewAtOnce {
		b.finishSome(ctx, order)
		return
	}
	for _, level := range levels(order) {
		b.finishLevel(ctx, level)
	}
}

func (b *builder) finishSome(ctx context.Context, es []*entry) {
	for i, e := range es {
		if i%handful == 0 && ctx.Err() != nil {
			return
		}
		b.finish(e)
		e.done = true
	}
}

// levels parts entries in order so that each draws on earlier levels only. Those
// of one circle may share a level: they are out and don't look at each other.
func levels(order []*entry) [][]*entry {
	var out [][]*entry
	for _, e := range order {
		e.level = 0
		for _, t := range e.links {
			if t != nil && !t.done && !e.circles(t) {
				e.level = max(e.level, t.level+1)
			}
		}
		for len(out) <= e.level {
			out = append(out, nil)
		}
		out[e.level] = append(out[e.level], e)
	}
	return out
}

func (b *builder) finishLevel(ctx context.Context, es []*entry) {
	workers := min(runtime.GOMAXPROCS(0), mostHelp)
	if len(es) < fewAtOnce || workers < 2 {
		b.finishSome(ctx, es)
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		w := &builder{house: b.house, larder: b.larder, entries: b.entries, exact: b.exact, alias: b.alias, spellings: b.spellings,
			words: map[string]*word{}, spelt: map[string]string{}, root: b}
		wg.Go(func() {
			for ctx.Err() == nil {
				from := int(next.Add(handful)) - handful
				if from >= len(es) {
					return
				}
				w.finishSome(ctx, es[from:min(from+handful, len(es))])
			}
		})
	}
	wg.Wait()
}
