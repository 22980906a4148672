package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"

	"tamis/kb"
	"tamis/kb/recipe"
)

// FaultyError is a change that brings faults to the book.
type FaultyError struct{ Faults []recipe.Fault }

// Error tells the first fault and how many there are.
func (e *FaultyError) Error() string {
	s := e.Faults[0].String()
	if n := len(e.Faults) - 1; n > 0 {
		s += fmt.Sprintf(" (and %d more)", n)
	}
	return s
}

// Plan is a change that may be made: what the book would be after it.
type Plan struct {
	Before, After *kb.Snapshot
	entry         Entry
}

// Paths are the files that the change changes.
func (p *Plan) Paths() []string {
	var out []string
	for _, f := range p.entry.Files {
		out = append(out, f.Path)
	}
	return out
}

// Files are what the change writes.
func (p *Plan) Files() []FileChange { return slices.Clone(p.entry.Files) }

// plan checks a change of a book and builds the book after it. files is the
// book as it is, base its snapshot.
func (l *ledger) plan(ctx context.Context, build *builder, files tree, base *kb.Snapshot, c Change) (*Plan, error) {
	seen := map[string]bool{}
	e := edits{}
	for i := range c.Files {
		f := &c.Files[i]
		if err := checkPath(f.Path); err != nil {
			return nil, err
		}
		if seen[f.Path] {
			return nil, fmt.Errorf("%w: %s stands twice in the change", ErrPath, f.Path)
		}
		seen[f.Path] = true
		if len(f.text()) > mostBytes(f.Path) {
			return nil, fmt.Errorf("%w: %s is too large", ErrPath, f.Path)
		}
		was := files[f.Path]
		switch {
		case f.Deleted && was != nil:
			e[f.Path] = nil
		case !f.Deleted && (was == nil || was.content != f.text()):
			e[f.Path] = newBlob(f.Path, f.text())
		}
	}
	if len(e) == 0 {
		return nil, ErrNothing
	}
	on := c.Base
	if on < 0 {
		on = len(l.entries)
	}
	if on > len(l.entries) {
		return nil, fmt.Errorf("%w: %d", ErrNoRevision, on)
	}
	if by := l.touchedSince(on, c.Files); by != nil {
		return nil, fmt.Errorf("%w: commit %d", ErrOutdated, by.Seq)
	}
	revision := len(l.entries) + 1
	p := &Plan{Before: base, entry: Entry{Seq: revision, Prev: l.last().Hash, Who: c.Who, Why: c.Why, How: c.How, Files: e.changes()}}
	o := l.origins.clone()
	o.apply(&p.entry, l.tree)
	s, err := build.snapshot(ctx, state{tree: files.apply(e), revision: revision, origins: o})
	if err != nil {
		return nil, err
	}
	p.After = s
	if faults := newFaults(base, s, files, e); len(faults) > 0 {
		return p, &FaultyError{faults}
	}
	return p, nil
}

func (k *Kept) plan(ctx context.Context, c Change) (*Plan, error) {
	if err := k.ready(); err != nil {
		return nil, err
	}
	return k.led.plan(ctx, k.build, k.led.tree, k.base, c)
}

// Source returns a file of the book as the newest commit has it.
func (k *Kept) Source(path string) (string, bool) {
	k.mem.RLock()
	defer k.mem.RUnlock()
	return k.led.tree.source(path)
}

func (t tree) source(path string) (string, bool) {
	b := t[path]
	if b == nil {
		return "", false
	}
	return b.content, true
}

// Try returns what the book would be after a change, and writes nothing. Errors
// are those of [Kept.Commit]; with a [*FaultyError] the plan is returned too.
func (k *Kept) Try(ctx context.Context, house HouseID, c Change) (*Plan, error) {
	if err := k.known(house); err != nil {
		return nil, err
	}
	k.writing.Lock()
	defer k.writing.Unlock()
	return k.plan(ctx, c)
}

// Commit implements [Store].
func (k *Kept) Commit(ctx context.Context, house HouseID, c Change) (Entry, error) {
	if err := k.known(house); err != nil {
		return Entry{}, err
	}
	k.writing.Lock()
	defer k.writing.Unlock()
	p, err := k.plan(ctx, c)
	if err != nil {
		return Entry{}, err
	}
	if len(k.behind) > 0 {
		if err := k.writeOut(); err != nil {
			return Entry{}, fmt.Errorf("%w: the commits before are not all in the folder: %w", ErrReadOnly, err)
		}
	}
	if err := k.untouched(p.entry.Files); err != nil {
		return Entry{}, err
	}
	p.entry.At = k.moment(c.At)
	if err := k.append(&p.entry); err != nil {
		return Entry{}, err
	}
	k.take(p.entry, p.After)
	k.expect = nil
	for _, f := range p.entry.Files {
		k.behind[f.Path] = k.led.tree[f.Path]
	}
	k.forget(p.entry.Files)
	if err := k.writeOut(); err != nil {
		k.mem.Lock()
		k.notices = append(k.notices, fmt.Sprintf("Commit %d is kept, but the folder could not be written: %v.", p.entry.Seq, err))
		k.mem.Unlock()
	}
	// the commit is durable: an ended ctx must not keep it from the readers
	if err := k.publish(context.WithoutCancel(ctx)); err != nil {
		return Entry{}, err
	}
	return p.entry, nil
}

// forget drops what was said of files that a commit has now.
func (k *Kept) forget(files []FileChange) {
	k.mem.Lock()
	defer k.mem.Unlock()
	for _, f := range files {
		delete(k.waiting, f.Path)
		k.said = slices.DeleteFunc(slices.Clone(k.said), func(s recipe.Fault) bool { return s.File == f.Path })
	}
}

// untouched checks that nobody edited the files by hand since the folder was
// last looked through: a commit never writes over what it does not know. A file
// that holds already what is to be written is fine.
func (k *Kept) untouched(files []FileChange) error {
	for i := range files {
		f := &files[i]
		data, err := fs.ReadFile(k.disk, f.Path)
		gone := errors.Is(err, fs.ErrNotExist)
		was := k.led.tree[f.Path]
		switch {
		case err != nil && !gone:
			return fmt.Errorf("%s: %w", f.Path, err)
		case gone && (was == nil || f.Deleted):
		case !gone && was != nil && was.content == string(data):
		case !gone && !f.Deleted && f.text() == string(data):
		default:
			return fmt.Errorf("%w: %s", ErrEdited, f.Path)
		}
	}
	return nil
}

// writeOut brings the folder to the log.
func (k *Kept) writeOut() error {
	for _, p := range slices.Sorted(maps.Keys(k.behind)) {
		var err error
		if b := k.behind[p]; b == nil {
			err = removeFile(k.disk, p)
		} else {
			err = writeWhole(k.disk, p, b.content)
		}
		if err != nil {
			return err
		}
		delete(k.behind, p)
	}
	k.mark()
	return nil
}

// mark notes that the last commit is in the folder. That the note itself is
// durable matters to nobody.
func (k *Kept) mark() {
	seq := len(k.led.entries)
	f, err := k.data.OpenFile(writtenFile, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return
	}
	_, err = fmt.Fprintf(f, "%d\n", seq)
	if errors.Join(err, f.Close()) == nil {
		k.led.written = seq
	}
}

// append writes the next line of the log; when it returns without an error the
// commit is durable, with one it is not there.
func (k *Kept) append(e *Entry) (err error) {
	if err := e.seal(); err != nil {
		return err
	}
	line, err := e.line()
	if err != nil {
		return err
	}
	size := int64(k.led.size)
	switch info, err := fs.Stat(k.data, logFile); {
	case err == nil && info.Size() != size:
		return fmt.Errorf("%w: somebody else has changed the log of commits", ErrReadOnly)
	case err != nil && (size > 0 || !errors.Is(err, fs.ErrNotExist)):
		return fmt.Errorf("%w: the log of commits: %w", ErrReadOnly, err)
	}
	f, err := k.data.OpenFile(logFile, os.O_WRONLY|os.O_CREATE|os.O_APPEND)
	if err != nil {
		return fmt.Errorf("%w: the log of commits: %w", ErrReadOnly, err)
	}
	_, err = f.Write(line)
	if err == nil {
		err = f.Sync()
	}
	if err = errors.Join(err, f.Close()); err == nil && size == 0 {
		err = k.data.SyncDir(".")
	}
	if err == nil {
		k.led.size += len(line)
		return nil
	}
	if undo := k.cutLog(); undo != nil { // whether the line is there is not known
		k.closed = fmt.Errorf("%w: the log of commits could not be written (%w); open the book again", ErrReadOnly, undo)
		return k.closed
	}
	return fmt.Errorf("the commit is not kept: %w", err)
}

// cutLog drops what stands behind the last whole line.
func (k *Kept) cutLog() error {
	f, err := k.data.OpenFile(logFile, os.O_WRONLY)
	if err != nil {
		return err
	}
	err = f.Truncate(int64(k.led.size))
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}
