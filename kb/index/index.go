package index

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"strings"
	"sync"

	"github.com/blevesearch/bleve/v2"

	"tamis/kb"
)

// ErrClosed: the index was closed before or while it was asked.
var ErrClosed = errors.New("the search index is closed")

// Index finds the recipes of one snapshot. All methods may be called from many
// goroutines; Close it when the next snapshot's has taken its place.
type Index struct {
	snap      *kb.Snapshot
	analysers *analysers
	known     func(word string) bool
	dir       string // "": in memory only
	readOnly  bool
	log       *slog.Logger

	begin sync.Once
	stop  context.CancelFunc
	ctx   context.Context // ends when the index is closed
	ready chan struct{}   // closed once opened or err is set

	mu     sync.RWMutex // searches read, Close writes
	opened *opened
	err    error
	closed bool
}

// opened is an index that answers.
type opened struct {
	index   bleve.Index
	recipes int
	onDisk  bool
}

// Option changes how an index works.
type Option func(*Index)

// Known says which folded words are spelt right though no recipe has them, such
// as a lexicon's: they are never read as another word. The larder's names are
// known without it.
func Known(known func(word string) bool) Option {
	return func(x *Index) { x.known = known }
}

// ReadOnly opens what is on disk and never writes there.
func ReadOnly() Option {
	return func(x *Index) { x.readOnly = true }
}

// New returns the index of a snapshot, held in memory. It returns at once and
// builds nothing before the first [Index.Search] or [Index.Start].
func New(snap *kb.Snapshot, options ...Option) *Index {
	x := &Index{snap: snap, log: slog.New(slog.DiscardHandler), ready: make(chan struct{})}
	x.ctx, x.stop = context.WithCancel(context.Background())
	for _, o := range options {
		o(x)
	}
	x.analysers = newAnalysers(func(w string) bool { return snap.Larder.Find(w) != nil })
	return x
}

// Open returns the index of a snapshot, kept on disk in dir; with dir "" it is
// [New]. The folder is the index's own: nothing else may lie in it.
//
//   - An index of these very bytes in dir is opened. Otherwise one is built in
//     the background and takes the old one's place in dir; searches wait for it.
//   - Where the disk cannot serve (held by another process, not to be written to,
//     full) the index is in memory, and log says why. Nobody's lock is waited for.
//   - A snapshot without a fingerprint is never kept on disk.
//   - Errors: ctx's, if it has ended.
func Open(ctx context.Context, snap *kb.Snapshot, dir string, log *slog.Logger, options ...Option) (*Index, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	x := New(snap, options...)
	if log != nil {
		x.log = log
	}
	if dir == "" || snap.Fingerprint() == "" {
		return x, nil
	}
	x.dir = dir
	found, err := x.openDisk()
	switch {
	case found != nil:
		x.begin.Do(func() { x.done(found, nil) })
	case errors.Is(err, errHeld):
		x.memoryOnly(err)
	case x.readOnly:
		x.memoryOnly(err)
	default:
		x.Start()
	}
	return x, nil
}

// memoryOnly gives the disk up.
func (x *Index) memoryOnly(why error) {
	x.log.Info("search index in memory", "folder", x.dir, "why", why)
	x.dir = ""
}

// Start builds the index in the background, if that has not begun yet.
func (x *Index) Start() {
	x.begin.Do(func() { go func() { x.done(x.build()) }() })
}

// done hands over what was built, or drops it if the index was closed meanwhile.
func (x *Index) done(o *opened, err error) {
	x.mu.Lock()
	defer x.mu.Unlock()
	defer close(x.ready)
	if x.closed && o != nil {
		o.index.Close()
		o = nil
	}
	if x.closed {
		err = ErrClosed
	}
	x.opened, x.err = o, err
}

// Close frees what the index holds. It waits for running searches and for the
// step of a build that cannot be broken off.
func (x *Index) Close() error {
	x.mu.Lock()
	if x.closed {
		x.mu.Unlock()
		return nil
	}
	x.closed = true
	o := x.opened
	x.opened = nil
	x.mu.Unlock()
	x.stop()
	x.begin.Do(func() { x.done(nil, nil) }) // never begun
	<-x.ready
	if o != nil {
		return o.index.Close()
	}
	return nil
}

// OnDisk reports whether the index answers from disk; false before it is built.
func (x *Index) OnDisk() bool {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.opened != nil && x.opened.onDisk
}

// Search returns up to n recipes for a text, best first, equal ones in order of name.
//
//   - If recipes hold all words that the book's names know, only those; else
//     those that hold all of several ingredients named; else any of the words. A word that no
//     name knows asks nothing of a recipe: see [Hit].Missing.
//   - Where no name knows any word, the recipes that have all of them in section,
//     method or notes.
//   - A word of 5 letters or more that neither book nor larder knows is read with
//     one letter wrong, but never its first; one of 4 or more as the beginning of a
//     word. Both show in [Hit].Corrected. Numbers are never corrected.
//   - The text is words, never a query language; 4 KiB and 32 words of it are read.
//   - Errors: ctx's if it ends before the index is built or the search is done;
//     [ErrClosed].
func (x *Index) Search(ctx context.Context, text string, n int) ([]Hit, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	words := wordsOf(text)
	if n <= 0 || len(words) == 0 {
		return nil, nil
	}
	x.Start()
	select {
	case <-x.ready:
	case <-ctx.Done():
		return nil, fmt.Errorf("the search index is being built: %w", ctx.Err())
	}
	x.mu.RLock()
	defer x.mu.RUnlock()
	if x.closed {
		return nil, ErrClosed
	}
	if x.err != nil {
		return nil, x.err
	}
	return x.search(ctx, words, min(n, maxHits))
}

func (x *Index) search(ctx context.Context, words []word, n int) ([]Hit, error) {
	under, err := x.opened.index.Advanced()
	if err != nil {
		return nil, err
	}
	reader, err := under.Reader()
	if err != nil {
		return nil, err
	}
	defer reader.Close()
	look := &lookup{ctx: ctx, reader: reader, recipes: x.opened.recipes, known: x.isKnown, item: x.item}
	parts := look.parts(words)
	runs := look.runs(words)
	if look.err != nil {
		return nil, look.err
	}
	places, err := x.opened.find(ctx, parts, runs, n)
	if err != nil {
		return nil, err
	}
	hits := x.explain(look, places, parts)
	return hits, look.err
}

func (x *Index) isKnown(w string) bool {
	return x.known != nil && x.known(w) || x.snap.Larder.Find(w) != nil
}

// item returns the folded name of the larder's item that text names, or "".
func (x *Index) item(text string) string {
	it := x.snap.Larder.Find(text)
	if it == nil {
		return ""
	}
	ws := wordsOf(it.Name)
	parts := make([]string, len(ws))
	for i, w := range ws {
		parts[i] = w.folded
	}
	return strings.Join(parts, " ")
}
