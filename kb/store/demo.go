package store

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
)

//go:embed demo
var demoFiles embed.FS

// demoFS is the demo book: house.yaml, larder.yaml and recipes/.
func demoFS() fs.FS {
	sub, err := fs.Sub(demoFiles, "demo")
	if err != nil {
		panic(err) // the path is a constant
	}
	return sub
}

// Demo is the book of Lodehavn, an invented house, that lies inside the program.
// It implements [Store] for one house.
type Demo struct{ Folder }

var _ Store = (*Demo)(nil)

// OpenDemo reads the demo book.
//
//   - Errors: ctx's.
func OpenDemo(ctx context.Context, house HouseID) (*Demo, error) {
	d := &Demo{Folder{book: book{house: house}, files: demoFS(), build: newBuilder()}}
	if _, err := d.Reload(ctx); err != nil {
		return nil, err
	}
	return d, nil
}

// WriteDemo writes the demo book into dir, which it makes if need be. It never
// overwrites: if a file is in the way nothing is written, and the error names
// it. If writing fails half-way, what was written is taken away again.
//
//   - Errors: [ErrInTheWay]; those of the file system.
func WriteDemo(dir string) (err error) { return writeBook(demoFS(), dir) }

func writeBook(from fs.FS, dir string) (err error) {
	var files, folders []string
	err = fs.WalkDir(from, ".", func(p string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case p == ".":
		case d.IsDir():
			folders = append(folders, p)
		default:
			files = append(files, p)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := inTheWay(dir, files, folders); err != nil {
		return err
	}
	var made []string // in order of making
	defer func() {
		if err != nil {
			for _, p := range slices.Backward(made) {
				_ = os.Remove(p) // folders go only when empty
			}
		}
	}()
	if made, err = makeFolders(dir, made); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	for _, p := range folders {
		switch err := root.Mkdir(p, 0o755); {
		case err == nil:
			made = append(made, filepath.Join(dir, filepath.FromSlash(p)))
		case !errors.Is(err, fs.ErrExist):
			return err
		}
	}
	for _, p := range files {
		data, err := fs.ReadFile(from, p)
		if err != nil {
			return err
		}
		f, err := root.OpenFile(p, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, fs.ErrExist) {
			return fmt.Errorf("%w: %s", ErrInTheWay, filepath.Join(dir, filepath.FromSlash(p)))
		} else if err != nil {
			return err
		}
		made = append(made, filepath.Join(dir, filepath.FromSlash(p)))
		_, err = f.Write(data)
		if err := errors.Join(err, f.Close()); err != nil {
			return err
		}
	}
	return nil
}

// inTheWay looks for what stands where a file is to be written, or is no folder
// where one is needed.
func inTheWay(dir string, files, folders []string) error {
	for _, p := range append([]string{"."}, folders...) {
		at := filepath.Join(dir, filepath.FromSlash(p))
		info, err := os.Stat(at)
		switch {
		case err == nil && !info.IsDir():
			return fmt.Errorf("%w: %s is no folder", ErrInTheWay, at)
		case err != nil && !errors.Is(err, fs.ErrNotExist):
			return err
		}
	}
	for _, p := range files {
		at := filepath.Join(dir, filepath.FromSlash(path.Clean(p)))
		_, err := os.Lstat(at)
		switch {
		case err == nil:
			return fmt.Errorf("%w: %s", ErrInTheWay, at)
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
	}
	return nil
}

// makeFolders makes dir and those above it, and notes the ones it made.
func makeFolders(dir string, made []string) ([]string, error) {
	var missing []string
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		if _, err := os.Stat(at); err == nil || at == filepath.Dir(at) {
			break
		} else if !errors.Is(err, fs.ErrNotExist) {
			return made, err
		}
		missing = append(missing, at)
	}
	for _, at := range slices.Backward(missing) {
		if err := os.Mkdir(at, 0o755); err != nil {
			return made, err
		}
		made = append(made, at)
	}
	return made, nil
}
