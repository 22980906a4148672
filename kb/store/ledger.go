package store

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"strconv"
	"strings"
)

// ledger is the log of commits with what it comes to.
type ledger struct {
	entries []Entry
	blobs   [][]*blob // of each entry's files; nil where deleted
	size    int       // of the log's whole lines, in bytes
	torn    int       // bytes behind them
	written int       // the newest commit that is known to have reached the folder
	tree    tree      // after the last commit
	before  tree      // before it
	origins *origins
}

func newLedger() *ledger { return &ledger{tree: tree{}, before: tree{}, origins: newOrigins()} }

// readLedger reads the log in a data folder; a missing one is empty.
//
//   - Errors: [*LogError]; those of the file system.
func readLedger(data fs.FS) (*ledger, error) {
	l := newLedger()
	raw, err := fs.ReadFile(data, logFile)
	if errors.Is(err, fs.ErrNotExist) {
		return l, nil
	} else if err != nil {
		return nil, fmt.Errorf("the log of commits cannot be read: %w", err)
	}
	entries, good, err := readLog(raw)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		l.take(e)
	}
	l.size, l.torn = good, len(raw)-good
	// missing or torn it is a lower number, and then the last commit is written again
	if mark, err := fs.ReadFile(data, writtenFile); err == nil {
		l.written, _ = strconv.Atoi(strings.TrimSpace(string(mark)))
	}
	return l, nil
}

// take adds the next commit.
func (l *ledger) take(e Entry) {
	l.origins.apply(&e, l.tree)
	bs := make([]*blob, len(e.Files))
	next := maps.Clone(l.tree)
	for i := range e.Files {
		f := &e.Files[i]
		if f.Deleted {
			delete(next, f.Path)
			continue
		}
		bs[i] = newBlob(f.Path, f.text())
		next[f.Path] = bs[i]
	}
	l.before, l.tree = l.tree, next
	l.entries = append(l.entries, e)
	l.blobs = append(l.blobs, bs)
}

// at returns the files and origins after commit n.
func (l *ledger) at(n int) (tree, *origins) {
	t, o := tree{}, newOrigins()
	for i := range l.entries[:n] {
		e := &l.entries[i]
		o.apply(e, t)
		for k, b := range l.blobs[i] {
			if b == nil {
				delete(t, e.Files[k].Path)
			} else {
				t[e.Files[k].Path] = b
			}
		}
	}
	return t, o
}

// last is the newest commit; the zero Entry if there is none.
func (l *ledger) last() Entry {
	if len(l.entries) == 0 {
		return Entry{}
	}
	return l.entries[len(l.entries)-1]
}

// touchedSince reports the first commit after base that touched one of the files.
func (l *ledger) touchedSince(base int, files []FileChange) *Entry {
	for i := base; i < len(l.entries); i++ {
		for _, f := range l.entries[i].Files {
			for _, g := range files {
				if f.Path == g.Path {
					return &l.entries[i]
				}
			}
		}
	}
	return nil
}
