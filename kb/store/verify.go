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
	"time"
)

// Report is what a look through log and folder finds.
type Report struct {
	Commits  int
	Files    int // that the log has now
	LogBytes int
	// Problems: history and files do not agree, each in one line.
	Problems []string
	// Notes are odd, and nothing is lost by them.
	Notes []string
}

// Verify reads the log of the book in dir line by line, checks every hash, and
// compares the folder with the last commit; data as in [Options]. It writes nothing.
//
//   - Errors: [ErrNoBook]; ctx's. What is wrong with the book is in the report.
func Verify(ctx context.Context, dir, data string) (Report, error) {
	var r Report
	if err := checkFolder(dir); err != nil {
		return r, err
	}
	if data == "" {
		data = filepath.Join(dir, dataDir)
	}
	led, err := verifyLog(data, &r)
	if err != nil {
		return r, err
	}
	if led == nil {
		return r, nil
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return r, fmt.Errorf("%w at %s: %w", ErrNoBook, dir, err)
	}
	defer root.Close()
	sc, err := scan(ctx, root.FS())
	if err != nil {
		return r, err
	}
	r.compare(led, sc)
	return r, nil
}

// verifyLog reads the log; nil if nothing more can be said.
func verifyLog(data string, r *Report) (*ledger, error) {
	root, err := os.OpenRoot(data)
	if errors.Is(err, fs.ErrNotExist) {
		r.Notes = append(r.Notes, "The book has no log of commits yet: it is at revision 0.")
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	defer root.Close()
	led, err := readLedger(root.FS())
	var bad *LogError
	switch {
	case errors.As(err, &bad):
		r.Problems = append(r.Problems, "Line "+fmt.Sprint(bad.Line)+" of "+filepath.Join(data, logFile)+" is damaged: "+bad.Why+". The commits before it are whole.")
		return nil, nil
	case err != nil:
		return nil, err
	}
	if len(led.entries) == 0 {
		r.Notes = append(r.Notes, "The book has no log of commits yet: it is at revision 0.")
		return nil, nil
	}
	r.Commits, r.Files, r.LogBytes = len(led.entries), len(led.tree), led.size
	if led.torn > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d bytes behind the last commit are of one that was never acknowledged; the next push drops them.", led.torn))
	}
	for i := 1; i < len(led.entries); i++ {
		if e, before := led.entries[i], led.entries[i-1]; e.At.Before(before.At) {
			r.Notes = append(r.Notes, fmt.Sprintf("Commit %d is dated %s, before commit %d: a clock had gone back. Their order is right.", e.Seq, e.At.Format(time.RFC3339), before.Seq))
		}
	}
	return led, nil
}

// compare holds the folder against the last commit.
func (r *Report) compare(led *ledger, sc scanned) {
	replay, byHand, _ := led.differences(sc)
	for _, p := range slices.Sorted(maps.Keys(replay)) {
		r.Problems = append(r.Problems, fmt.Sprintf("%s is not yet as commit %d has it; the next push writes it.", p, led.last().Seq))
	}
	for _, p := range slices.Sorted(maps.Keys(byHand)) {
		switch {
		case byHand[p] == nil:
			r.Problems = append(r.Problems, p+" is gone from the folder; no commit took it out.")
		case led.tree[p] == nil:
			r.Problems = append(r.Problems, p+" is in the folder and in no commit.")
		default:
			r.Problems = append(r.Problems, p+" differs from the last commit.")
		}
	}
	for _, p := range sc.unread {
		r.Problems = append(r.Problems, p+" cannot be read.")
	}
}
