package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gofrs/flock"

	"tamis/kb"
	"tamis/kb/recipe"
)

// Ways a commit came about, beside those of adapters.
const (
	HowFile     = "file" // edited by hand in the folder
	HowTerminal = "terminal"
	HowChannel  = "channel"
)

// Options are the settings of a book that is kept.
type Options struct {
	// Data is the folder of the log; "": `.tamis` in the book.
	Data string
	// Now is the clock for commits that bring no time; needed.
	Now func() time.Time
	// Expect are files about to be committed: where they stand in the folder
	// already, opening leaves them to that commit.
	Expect []FileChange
}

// Kept is a book in a folder with its log of commits. One process owns it. It
// implements [Store] for one house.
type Kept struct {
	book
	disk, data disk
	now        func() time.Time
	build      *builder
	release    func() error

	writing sync.Mutex   // held by the one who changes what stands below
	mem     sync.RWMutex // held too while readers must not look
	led     *ledger
	base    *kb.Snapshot // of the log alone
	waiting edits
	behind  edits          // of the last commits, not yet in the folder
	said    []recipe.Fault // of files that wait or cannot be read
	unread  []string
	notices []string
	closed  error
	expect  []FileChange // left to a commit to come
}

var _ Store = (*Kept)(nil)

// OpenKept owns the book in dir. Without a log it first writes what is there as
// commit 1. Then it finishes what the last commit had not yet written, and
// takes over what was edited by hand.
//
//   - Errors: [ErrNoBook]; [ErrOwned]; [ErrReadOnly] where the folder cannot be
//     written; [*LogError]; ctx's.
func OpenKept(ctx context.Context, house HouseID, dir string, o Options) (*Kept, error) {
	if err := checkFolder(dir); err != nil {
		return nil, err
	}
	data := o.Data
	if data == "" {
		data = filepath.Join(dir, dataDir)
	}
	if err := os.MkdirAll(data, 0o755); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrReadOnly, err)
	}
	if err := syncFolder(filepath.Dir(filepath.Clean(data))); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrReadOnly, err)
	}
	lock := flock.New(filepath.Join(data, lockFile))
	switch ok, err := lock.TryLock(); {
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrReadOnly, err)
	case !ok:
		return nil, fmt.Errorf("%w: %s", ErrOwned, dir)
	}
	bookDisk, err := openDisk(dir)
	if err != nil {
		return nil, errors.Join(err, lock.Unlock())
	}
	logDisk, err := openDisk(data)
	if err != nil {
		return nil, errors.Join(err, bookDisk.Close(), lock.Unlock())
	}
	k, err := keep(ctx, house, bookDisk, logDisk, o)
	if err != nil {
		return nil, errors.Join(err, logDisk.Close(), bookDisk.Close(), lock.Unlock())
	}
	k.release = func() error { return errors.Join(logDisk.Close(), bookDisk.Close(), lock.Unlock()) }
	return k, nil
}

// syncFolder makes durable that a folder stands in dir.
func syncFolder(dir string) error {
	f, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// keep opens a book on two disks that nobody else writes.
func keep(ctx context.Context, house HouseID, disk, data disk, o Options) (*Kept, error) {
	k := &Kept{book: book{house: house}, disk: disk, data: data, now: o.Now, expect: o.Expect, build: newBuilder(), behind: edits{}, waiting: edits{}}
	var err error
	if k.led, err = readLedger(data); err != nil {
		return nil, err
	}
	if k.led.torn > 0 {
		if err := k.cutLog(); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrReadOnly, err)
		}
		k.led.torn = 0
		k.notices = append(k.notices, "The last line of the log was not whole and is dropped: its commit was never acknowledged.")
	}
	sc, err := scan(ctx, disk)
	if err != nil {
		return nil, err
	}
	if len(k.led.entries) == 0 {
		err = k.begin(ctx, sc)
	} else {
		err = k.resume(ctx, sc)
	}
	if err != nil {
		return nil, err
	}
	return k, nil
}

// begin writes what is there as commit 1.
func (k *Kept) begin(ctx context.Context, sc scanned) error {
	first := edits{}
	for p, b := range sc.tree {
		if len(b.content) <= mostBytes(p) {
			first[p] = b
		}
	}
	if len(first) > 0 {
		e := Entry{Seq: 1, At: k.moment(time.Time{}), Why: "the book as it was found", How: HowFile, Files: first.changes()}
		if err := k.append(&e); err != nil {
			return err
		}
		k.led.take(e)
	}
	return k.reopen(ctx, sc)
}

// reopen builds the log's own book, then looks at the folder.
func (k *Kept) reopen(ctx context.Context, sc scanned) error {
	var err error
	if k.base, err = k.build.snapshot(ctx, state{tree: k.led.tree, revision: len(k.led.entries), origins: k.led.origins}); err != nil {
		return err
	}
	_, err = k.compare(ctx, sc)
	return err
}

// resume finishes the last commit.
func (k *Kept) resume(ctx context.Context, sc scanned) error {
	replay, _, _ := k.led.differences(sc)
	if len(replay) > 0 {
		k.behind = maps.Clone(replay)
		if err := k.writeOut(); err != nil {
			return fmt.Errorf("%w: %w", ErrReadOnly, err)
		}
		for p, b := range replay {
			if b == nil {
				delete(sc.tree, p)
			} else {
				sc.tree[p] = b
			}
		}
		k.notices = append(k.notices, fmt.Sprintf("Commit %d had not reached the folder; %d of its files are written now.", k.led.last().Seq, len(replay)))
	}
	return k.reopen(ctx, sc)
}

// compare takes over what differs in the folder, or lets it wait, and makes the
// head. It returns the commit, nil if there is none.
func (k *Kept) compare(ctx context.Context, sc scanned) (*Entry, error) {
	replay, byHand, said := k.led.differences(sc)
	for p := range replay { // the folder was whole once: this is by hand too
		if _, owed := k.behind[p]; !owed {
			byHand[p] = sc.tree[p]
		}
	}
	for p := range k.behind {
		delete(byHand, p)
	}
	for i := range k.expect {
		if f := &k.expect[i]; byHand[f.Path] != nil && byHand[f.Path].content == f.text() {
			delete(byHand, f.Path)
		}
	}
	var large []recipe.Fault
	for p, b := range byHand {
		if b != nil && len(b.content) > mostBytes(p) {
			large = append(large, recipe.Fault{Level: recipe.LevelFault, Code: CodeWaiting, File: p, Text: "It is too large for a book, so it is not taken over.", Write: "a smaller file, or several"})
			delete(byHand, p)
		}
	}
	revision := len(k.led.entries) + 1
	var next *origins
	s, err := sift(ctx, k.base, k.led.tree, byHand, func(ctx context.Context, e edits) (*kb.Snapshot, error) {
		next = k.led.origins.clone()
		next.apply(&Entry{Seq: revision, Files: e.changes()}, k.led.tree)
		return k.build.snapshot(ctx, state{tree: k.led.tree.apply(e), revision: revision, origins: next})
	})
	if err != nil {
		return nil, err
	}
	var made *Entry
	if len(s.good) > 0 {
		e := Entry{Seq: revision, Prev: k.led.last().Hash, At: k.moment(time.Time{}), Why: "edited by hand", How: HowFile, Files: s.good.changes()}
		if err := k.append(&e); err != nil {
			return nil, err
		}
		k.take(e, s.snapshot)
		made = &e
	}
	k.mem.Lock()
	k.waiting = s.waiting
	k.said = slices.Concat(said, large, sc.faults, k.led.waitingFaults(s))
	k.unread = sc.unread
	k.mem.Unlock()
	return made, k.publish(ctx)
}

// take adds a durable commit and the log's book after it.
func (k *Kept) take(e Entry, s *kb.Snapshot) {
	k.mem.Lock()
	k.led.take(e)
	k.base = s
	k.mem.Unlock()
}

// publish makes the head: the log's book, with what is said of files that wait.
func (k *Kept) publish(ctx context.Context) error {
	said := k.said
	if len(k.behind) > 0 {
		said = append(slices.Clone(said), recipe.Fault{Level: recipe.LevelWarning, Code: CodeWaiting, File: recipesDir,
			Text: fmt.Sprintf("The folder could not be written; the log has all of commit %d, and %d files are still to be written.", k.led.last().Seq, len(k.behind)), Write: "room on the disk"})
	}
	if len(said) == 0 {
		k.put(k.base)
		return nil
	}
	s, err := k.build.snapshot(ctx, state{tree: k.led.tree, revision: len(k.led.entries), origins: k.led.origins, faults: said, unread: k.unreadNew()})
	if err != nil {
		return err
	}
	k.put(s)
	return nil
}

// unreadNew are the unreadable files that no commit has.
func (k *Kept) unreadNew() []string {
	return slices.DeleteFunc(slices.Clone(k.unread), func(p string) bool { return k.led.tree[p] != nil })
}

// Compare looks through the folder for what was edited by hand and takes it
// over. It returns the commit, nil if nothing was.
func (k *Kept) Compare(ctx context.Context) (*Entry, error) {
	k.writing.Lock()
	defer k.writing.Unlock()
	if err := k.ready(); err != nil {
		return nil, err
	}
	sc, err := scan(ctx, k.disk)
	if err != nil {
		return nil, err
	}
	return k.compare(ctx, sc)
}

// Notices returns what there is to say about the opening and writing of the
// book, and forgets it.
func (k *Kept) Notices() []string {
	k.mem.Lock()
	defer k.mem.Unlock()
	out := k.notices
	k.notices = nil
	return out
}

// Waiting returns the faults of files that are not in the book for now.
func (k *Kept) Waiting() []recipe.Fault {
	k.mem.RLock()
	defer k.mem.RUnlock()
	return slices.Clone(k.said)
}

// Close lets go of the book.
func (k *Kept) Close() error {
	k.writing.Lock()
	defer k.writing.Unlock()
	if errors.Is(k.closed, ErrClosed) {
		return nil
	}
	k.closed = ErrClosed
	if k.release == nil {
		return nil
	}
	return k.release()
}

func (k *Kept) ready() error { return k.closed }

// moment is when a commit is made. A clock that went back is said; the order
// of commits does not depend on it.
func (k *Kept) moment(at time.Time) time.Time {
	if at.IsZero() {
		at = k.now()
	}
	at = at.Round(0).Truncate(time.Second)
	if last := k.led.last(); at.Before(last.At) {
		k.mem.Lock()
		k.notices = append(k.notices, fmt.Sprintf("The clock says %s, which is before commit %d at %s. Look at the clock of this machine.",
			at.Format(time.RFC3339), last.Seq, last.At.Format(time.RFC3339)))
		k.mem.Unlock()
	}
	return at
}

// At implements [Store].
func (k *Kept) At(ctx context.Context, house HouseID, revision int) (*kb.Snapshot, error) {
	if err := k.known(house); err != nil {
		return nil, err
	}
	if head := k.head.Load(); head.Revision == revision {
		return head, nil
	}
	k.mem.RLock()
	led := k.led.frozen()
	k.mem.RUnlock()
	return led.snapshot(ctx, k.build, revision)
}

// frozen is l as it is now.
func (l *ledger) frozen() *ledger {
	return &ledger{entries: slices.Clip(l.entries), blobs: slices.Clip(l.blobs)}
}

// snapshot is the book after a commit.
func (l *ledger) snapshot(ctx context.Context, b *builder, revision int) (*kb.Snapshot, error) {
	if revision < 1 || revision > len(l.entries) {
		return nil, fmt.Errorf("%w: %d", ErrNoRevision, revision)
	}
	t, o := l.at(revision)
	return b.snapshot(ctx, state{tree: t, revision: revision, origins: o})
}

// Log implements [Store].
func (k *Kept) Log(_ context.Context, house HouseID, after int) ([]Entry, error) {
	if err := k.known(house); err != nil {
		return nil, err
	}
	k.mem.RLock()
	defer k.mem.RUnlock()
	return slices.Clone(k.led.entries[min(max(after, 0), len(k.led.entries)):]), nil
}

// checkFolder says why dir is no book.
func checkFolder(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%w at %s: the folder does not exist", ErrNoBook, dir)
	case err == nil && !info.IsDir():
		return fmt.Errorf("%w at %s: it is no folder", ErrNoBook, dir)
	case err != nil:
		return fmt.Errorf("%w at %s: %w", ErrNoBook, dir, err)
	}
	return nil
}

func mostBytes(p string) int {
	switch p {
	case houseFile:
		return recipe.MaxHouseBytes
	case larderFile:
		return recipe.MaxLarderBytes
	}
	return recipe.MaxRecipeBytes
}

// checkPath says why a path is no file of a book.
func checkPath(p string) error {
	switch {
	case p == houseFile, p == larderFile:
		return nil
	case !fs.ValidPath(p), strings.Contains(p, `\`), !filepath.IsLocal(filepath.FromSlash(p)), !isRecipe(p), strings.ContainsFunc(p, func(r rune) bool { return r < ' ' }):
		return fmt.Errorf("%w: %q; write house.yaml, larder.yaml or recipes/NAME.yaml", ErrPath, p)
	}
	return nil
}
