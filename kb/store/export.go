package store

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"tamis/kb"
)

// historyFile is the log in an export.
const historyFile = "history.jsonl"

// Export writes the book as the head has it into dir, with all commits in
// history.jsonl. It overwrites nothing.
//
//   - Errors: [ErrInTheWay]; those of the file system.
func (f *Folder) Export(dir string) error {
	now := f.last.Load()
	out := map[string][]byte{}
	for p, b := range now.tree {
		out[p] = []byte(b.content)
	}
	var log bytes.Buffer
	for i := range now.led.entries {
		line, err := now.led.entries[i].line()
		if err != nil {
			return err
		}
		log.Write(line)
	}
	if log.Len() > 0 {
		out[historyFile] = log.Bytes()
	}
	paths := slices.Sorted(maps.Keys(out))
	for _, p := range paths {
		at := filepath.Join(dir, filepath.FromSlash(p))
		if _, err := os.Lstat(at); err == nil {
			return fmt.Errorf("%w: %s", ErrInTheWay, at)
		} else if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, p := range paths {
		at := filepath.Join(dir, filepath.FromSlash(p))
		if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
			return err
		}
		f, err := os.OpenFile(at, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return err
		}
		_, err = f.Write(out[p])
		if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
			return err
		}
	}
	return nil
}

// Once finds the recipe whose file fits in some commit, the latest one first.
func Once(log []Entry, fits func(content string) bool) (kb.RecipeID, bool) {
	led := newLedger()
	for _, e := range log {
		led.take(e)
	}
	for i := len(log) - 1; i >= 0; i-- {
		for k, b := range led.blobs[i] {
			if b == nil || !isRecipe(log[i].Files[k].Path) || !fits(b.content) {
				continue
			}
			_, o := led.at(i + 1)
			id, _ := o.of(log[i].Files[k].Path)
			return id, true
		}
	}
	return "", false
}
