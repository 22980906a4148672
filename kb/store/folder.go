package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync/atomic"

	"tamis/kb"
	"tamis/kb/recipe"
)

// Folder is a book in a folder of files, for reading: nothing in the folder is
// written, and no lock is waited for. Where it has a log, revisions come from
// it; what the last commit has not written yet is taken from the log, and good
// hand edits answer before any commit has them. It implements [Store] for one house.
type Folder struct {
	book
	dir, data string
	files     fs.FS // in place of dir, with no log
	build     *builder
	last      atomic.Pointer[seen]
}

// seen is what the last look at folder and log found.
type seen struct {
	led  *ledger
	tree tree // that the head answers from
	base *kb.Snapshot
	// edited: the head has hand edits that no commit has.
	edited bool
}

var _ Store = (*Folder)(nil)

// OpenFolder reads the book in dir, with its log in `.tamis`. Faults of the book
// are in its snapshot.
//
//   - Errors: [ErrNoBook] with the path if dir is no folder or cannot be opened; ctx's.
func OpenFolder(ctx context.Context, house HouseID, dir string) (*Folder, error) {
	return OpenFolderAt(ctx, house, dir, Places{})
}

// Places are the folders beside a book's own.
type Places struct {
	Data string // of the log; "": `.tamis` in the book
	// Cache is a folder for what was read of large books, so that they are read
	// faster the next time; it may be missing or not to be written to. "": none.
	Cache string
}

// OpenFolderAt is OpenFolder with the log in another folder, or a cache.
func OpenFolderAt(ctx context.Context, house HouseID, dir string, at Places) (*Folder, error) {
	if at.Data == "" {
		at.Data = filepath.Join(dir, dataDir)
	}
	f := &Folder{book: book{house: house}, dir: dir, data: at.Data, build: newBuilder()}
	f.build.cache = newCache(at.Cache, dir)
	if _, err := f.Reload(ctx); err != nil {
		return nil, err
	}
	return f, nil
}

// SaveCache writes what was read of the book for the next time, where it is
// large and the cache does not hold just that. It may take a while, so call it
// when the answer is out; an error costs nobody anything but time.
func (f *Folder) SaveCache() error {
	now := f.last.Load()
	return f.build.cache.save(now.tree, now.base.House.Spoons)
}

// Reload reads the folder again. If its bytes have changed, the new snapshot is
// the head and goes to the watchers; on an error the head stays.
func (f *Folder) Reload(ctx context.Context) (*kb.Snapshot, error) {
	if f.files != nil {
		sc, err := scan(ctx, f.files)
		if err != nil {
			return nil, err
		}
		return f.look(ctx, newLedger(), sc, nil)
	}
	if err := checkFolder(f.dir); err != nil {
		return nil, err
	}
	f.build.cache.begin()
	led, said := f.readLog()
	root, err := os.OpenRoot(f.dir) // keeps links from leading out of the folder
	if err != nil {
		return nil, fmt.Errorf("%w at %s: %w", ErrNoBook, f.dir, err)
	}
	defer root.Close()
	sc, err := scan(ctx, root.FS())
	if err != nil {
		return nil, err
	}
	return f.look(ctx, led, sc, said)
}

// look makes the head of what was read.
func (f *Folder) look(ctx context.Context, led *ledger, sc scanned, said []recipe.Fault) (*kb.Snapshot, error) {
	now, err := f.read(ctx, led, sc, said)
	if err != nil {
		return nil, err
	}
	now.base = f.put(now.base)
	f.last.Store(now)
	return now.base, nil
}

// readLog reads the log; one that cannot be read is said, and the folder is the
// book at revision 0.
func (f *Folder) readLog() (*ledger, []recipe.Fault) {
	root, err := os.OpenRoot(f.data)
	if errors.Is(err, fs.ErrNotExist) {
		return newLedger(), nil
	}
	var led *ledger
	if err == nil {
		defer root.Close()
		led, err = readLedger(root.FS())
	}
	if err != nil {
		return newLedger(), []recipe.Fault{{Level: recipe.LevelFault, Code: CodeLog, File: dataDir + "/" + logFile,
			Text: "There is no history for now: " + err.Error() + ". The files of the folder answer.", Write: "tamis book verify, and the log from a copy"}}
	}
	return led, nil
}

// read makes the head of what log and folder say.
func (f *Folder) read(ctx context.Context, led *ledger, sc scanned, said []recipe.Fault) (*seen, error) {
	edited := false
	made := func(st state) (*seen, error) {
		s, err := f.build.snapshot(ctx, st)
		return &seen{led: led, tree: st.tree, base: s, edited: edited}, err
	}
	st := state{tree: sc.tree, unread: sc.unread, faults: slices.Concat(said, sc.faults)}
	if len(led.entries) == 0 {
		return made(st)
	}
	_, byHand, lost := led.differences(sc)
	st = state{tree: led.tree, revision: len(led.entries), origins: led.origins}
	if len(byHand) > 0 {
		base, err := f.build.snapshot(ctx, st)
		if err != nil {
			return nil, err
		}
		sifted, err := sift(ctx, base, led.tree, byHand, func(ctx context.Context, e edits) (*kb.Snapshot, error) {
			return f.build.snapshot(ctx, state{tree: led.tree.apply(e), revision: st.revision, origins: st.origins})
		})
		if err != nil {
			return nil, err
		}
		st.tree, edited = led.tree.apply(sifted.good), len(sifted.good) > 0
		lost = append(lost, led.waitingFaults(sifted)...)
	}
	st.faults = slices.Concat(said, lost, sc.faults)
	st.unread = slices.DeleteFunc(slices.Clone(sc.unread), func(p string) bool { return led.tree[p] != nil })
	return made(st)
}

// Try returns what the book would be after a change, and writes nothing. Errors
// are those of [Kept.Commit]; with a [*FaultyError] the plan is returned too.
func (f *Folder) Try(ctx context.Context, house HouseID, c Change) (*Plan, error) {
	if err := f.known(house); err != nil {
		return nil, err
	}
	now := f.last.Load()
	return now.led.plan(ctx, f.build, now.tree, now.base, c)
}

// Source returns a file of the book as the head has it.
func (f *Folder) Source(path string) (string, bool) { return f.last.Load().tree.source(path) }

// At implements [Store]; of the newest revision without the hand edits that the head has.
func (f *Folder) At(ctx context.Context, house HouseID, revision int) (*kb.Snapshot, error) {
	if err := f.known(house); err != nil {
		return nil, err
	}
	now := f.last.Load()
	if s := f.head.Load(); s.Revision == revision && !now.edited {
		return s, nil
	}
	return now.led.snapshot(ctx, f.build, revision)
}

// Log implements [Store].
func (f *Folder) Log(_ context.Context, house HouseID, after int) ([]Entry, error) {
	if err := f.known(house); err != nil {
		return nil, err
	}
	entries := f.last.Load().led.entries
	return slices.Clone(entries[min(max(after, 0), len(entries)):]), nil
}
