package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"tamis/kb/recipe"
)

// Quiet is how long a folder must be left alone before its hand edits are taken
// over: editors write a file in several steps. Longest bounds the wait.
const (
	Quiet   = 250 * time.Millisecond
	Longest = 3 * time.Second
)

// Follow takes over hand edits in dir, the folder that k was opened on, as they
// are made, until ctx ends. told gets every commit made so, and the faults of
// the files that wait; after gives the waits.
//
//   - Errors: those of the watch, at the start; a look through the folder that
//     fails later is told and tried again at the next edit.
func (k *Kept) Follow(ctx context.Context, dir string, after func(time.Duration) <-chan time.Time, told func(*Entry, []recipe.Fault, error)) error {
	w, err := fsnotify.NewWatcher()
	if err != nil {
		return fmt.Errorf("watch %s: %w", dir, err)
	}
	defer w.Close()
	if err := watchFolders(w, dir); err != nil {
		return fmt.Errorf("watch %s: %w", dir, err)
	}
	look := func() {
		_ = watchFolders(w, dir) // new folders; a folder that went away is told by the scan
		e, err := k.Compare(ctx)
		if ctx.Err() == nil {
			told(e, k.Waiting(), err)
		}
	}
	look() // what was edited before the watch stood
	var quiet, longest <-chan time.Time
	for {
		select {
		case <-ctx.Done():
			return nil
		case ev, open := <-w.Events:
			if !open {
				return nil
			}
			if ev.Op == fsnotify.Chmod || ours(dir, ev.Name) {
				continue
			}
			quiet = after(Quiet)
			if longest == nil {
				longest = after(Longest)
			}
			continue
		case err, open := <-w.Errors:
			if !open {
				return nil
			}
			if !errors.Is(err, fsnotify.ErrEventOverflow) {
				told(nil, nil, err)
			}
		case <-quiet:
		case <-longest:
		}
		quiet, longest = nil, nil
		look()
	}
}

// ours reports the store's own files, and those that editors hide.
func ours(dir, name string) bool {
	rel, err := filepath.Rel(dir, name)
	if err != nil || rel == "." {
		return false
	}
	for part := range strings.SplitSeq(filepath.ToSlash(rel), "/") {
		if strings.HasPrefix(part, ".") {
			return true
		}
	}
	return false
}

// watchFolders adds the book's folders; those that are watched already stay so.
func watchFolders(w *fsnotify.Watcher, dir string) error {
	if err := w.Add(dir); err != nil {
		return err
	}
	top := filepath.Join(dir, recipesDir)
	return filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil || !d.IsDir():
			return nil // what cannot be read is the scan's to say
		case p != top && strings.HasPrefix(d.Name(), "."):
			return fs.SkipDir
		}
		if err := w.Add(p); err != nil && !errors.Is(err, os.ErrNotExist) {
			return err
		}
		return nil
	})
}
