package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"tamis/kb"
	"tamis/kb/recipe"
)

const (
	houseFile  = "house.yaml"
	larderFile = "larder.yaml"
	recipesDir = "recipes"
	extension  = ".yaml"

	maxBookBytes = 256 << 20 // of all recipes; a house has some hundred kilobytes
	maxWorkers   = 8
)

// Codes of what is wrong with files before anybody looks into them.
const (
	CodeUnreadable = "unreadable"
	CodeNoHouse    = "no house.yaml"
	CodeNoRecipes  = "no recipes"
	CodeBookSize   = "book too large"
)

// Load reads the book in fsys and builds its snapshot. What cannot be read is a
// fault of the snapshot; the only error is ctx's.
func Load(ctx context.Context, fsys fs.FS) (*kb.Snapshot, error) {
	sc, err := scan(ctx, fsys)
	if err != nil {
		return nil, err
	}
	return newBuilder().snapshot(ctx, state{tree: sc.tree, unread: sc.unread, faults: sc.faults})
}

// scanned is what a folder holds.
type scanned struct {
	tree   tree
	unread []string // paths, in order, that are there and cannot be read
	faults []recipe.Fault
	cut    bool // not all of the folder was looked at
}

// scan reads every file of the book in fsys; the only error is ctx's.
func scan(ctx context.Context, fsys fs.FS) (scanned, error) {
	l := &loader{fsys: fsys, most: maxBookBytes}
	sc := scanned{tree: tree{}}
	files := []*file{l.single(houseFile, recipe.MaxHouseBytes), l.single(larderFile, recipe.MaxLarderBytes)}
	found := l.readAll(ctx, l.recipes())
	for _, f := range append(files, found...) {
		switch {
		case f.missing:
		case f.err != nil:
			sc.unread = append(sc.unread, f.path)
		default:
			sc.tree[f.path] = &blob{path: f.path, content: f.data, sum: f.sum}
		}
	}
	sc.faults, sc.cut = l.faults, l.cut
	sc.unread = append(sc.unread, l.closed...)
	slices.Sort(sc.unread)
	return sc, ctx.Err()
}

// file is one file of the book with its bytes.
type file struct {
	path    string
	data    string
	sum     [sha256.Size]byte
	missing bool
	err     error
}

type loader struct {
	fsys   fs.FS
	most   int64 // bytes of all recipes
	faults []recipe.Fault
	closed []string // folders that cannot be listed
	cut    bool
}

func (l *loader) say(level recipe.Level, code, file, text, write string) {
	l.faults = append(l.faults, recipe.Fault{Level: level, Code: code, File: file, Text: text, Write: write})
}

// single reads house.yaml or larder.yaml, which may be missing.
func (l *loader) single(name string, most int64) *file {
	f := &file{path: name}
	info, err := fs.Stat(l.fsys, name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		f.missing = true
		return f
	case err == nil && !info.Mode().IsRegular():
		err = errNotPlain
	}
	if err == nil {
		err = f.read(l.fsys, most, new(bytes.Buffer))
	}
	if err != nil {
		f.err = err
		l.unreadable(name, err)
	}
	return f
}

var errNotPlain = errors.New("it is no plain file")

func (l *loader) unreadable(name string, err error) {
	l.faults = append(l.faults, unreadable(name, err))
}

func unreadable(name string, err error) recipe.Fault {
	why := err
	var at *fs.PathError
	if errors.As(err, &at) {
		why = at.Err // without the path, which stands in front already
	}
	return recipe.Fault{Level: recipe.LevelFault, Code: CodeUnreadable, File: name,
		Text: fmt.Sprintf("It cannot be read: %v.", why), Write: "a plain file inside the book's folder that may be read"}
}

// read reads no more than one byte above most: enough for the parser to say it
// is too long. The buffer is used again and again.
func (f *file) read(fsys fs.FS, most int64, b *bytes.Buffer) error {
	open, err := fsys.Open(f.path)
	if err != nil {
		return err
	}
	defer open.Close()
	b.Reset()
	if _, err := b.ReadFrom(io.LimitReader(open, most+1)); err != nil {
		return err
	}
	f.data = b.String()
	f.sum = sha256.Sum256(b.Bytes())
	return nil
}

// recipes finds the recipe files, in order of path. Links are followed to plain
// files inside the book only.
func (l *loader) recipes() []*file {
	var files []*file
	err := fs.WalkDir(l.fsys, recipesDir, func(p string, d fs.DirEntry, err error) error {
		switch {
		case p == recipesDir && errors.Is(err, fs.ErrNotExist):
			return nil
		case err != nil:
			l.unreadable(p, err)
			l.closed = append(l.closed, p)
			return nil
		case p != recipesDir && strings.HasPrefix(d.Name(), "."):
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case d.IsDir(), path.Ext(p) != extension && d.Type()&fs.ModeSymlink == 0:
			return nil
		}
		if d.Type().IsRegular() {
			files = append(files, &file{path: p})
			return nil
		}
		info, err := fs.Stat(l.fsys, p)
		switch {
		case err == nil && info.IsDir():
			l.say(recipe.LevelWarning, CodeUnreadable, p, "It is a link to a folder, and what is in there is not read.", "the folder itself in place of the link")
			return nil
		case path.Ext(p) != extension:
			return nil
		case err == nil && !info.Mode().IsRegular():
			err = errNotPlain
		}
		files = append(files, &file{path: p, err: err})
		return nil
	})
	if err != nil {
		l.unreadable(recipesDir, err)
		l.cut = true
	}
	return files
}

// readAll reads the files, several at a time, and returns those that a book has
// room for.
func (l *loader) readAll(ctx context.Context, files []*file) []*file {
	var next, size atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), maxWorkers, len(files)) {
		wg.Go(func() {
			var b bytes.Buffer
			for ctx.Err() == nil && size.Load() <= l.most { // all before the one that is too much are read
				i := int(next.Add(1)) - 1
				if i >= len(files) {
					return
				}
				if f := files[i]; f.err == nil {
					f.err = f.read(l.fsys, recipe.MaxRecipeBytes, &b)
					size.Add(f.size())
				}
			}
		})
	}
	wg.Wait()
	files = l.fitting(files)
	for _, f := range files {
		if f.err != nil {
			l.unreadable(f.path, f.err)
		}
	}
	return files
}

func (f *file) size() int64 { return int64(min(len(f.data), recipe.MaxRecipeBytes)) }

// fitting are the first files, as far as they are not too much for a book.
func (l *loader) fitting(files []*file) []*file {
	var size int64
	for i, f := range files {
		if size += f.size(); size > l.most {
			l.cut = true
			l.say(recipe.LevelFault, CodeBookSize, recipesDir, fmt.Sprintf("The recipes are more than %d MB; the rest of them is not read.", l.most>>20), "fewer recipes in one book")
			return files[:i]
		}
	}
	return files
}
