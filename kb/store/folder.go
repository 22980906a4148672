package store

import (
	"context"
	"fmt"
	"os"

	"tamis/kb"
)

// Folder is a book in a folder of files, for reading: nothing in the folder is
// written. It implements [Store] for one house.
type Folder struct {
	book
	dir string
}

var _ Store = (*Folder)(nil)

// OpenFolder reads the book in dir. Faults of the book are in its snapshot.
//
//   - Errors: [ErrNoBook] with the path if dir is no folder or cannot be opened; ctx's.
func OpenFolder(ctx context.Context, house HouseID, dir string) (*Folder, error) {
	f := &Folder{book: book{house: house}, dir: dir}
	if _, err := f.Reload(ctx); err != nil {
		return nil, err
	}
	return f, nil
}

// Reload reads the folder again. If its bytes have changed, the new snapshot is
// the head and goes to the watchers; on an error the head stays.
func (f *Folder) Reload(ctx context.Context) (*kb.Snapshot, error) {
	info, err := os.Stat(f.dir)
	switch {
	case os.IsNotExist(err):
		return nil, fmt.Errorf("%w at %s: the folder does not exist", ErrNoBook, f.dir)
	case err == nil && !info.IsDir():
		return nil, fmt.Errorf("%w at %s: it is no folder", ErrNoBook, f.dir)
	case err != nil:
		return nil, fmt.Errorf("%w at %s: %w", ErrNoBook, f.dir, err)
	}
	root, err := os.OpenRoot(f.dir) // keeps links from leading out of the folder
	if err != nil {
		return nil, fmt.Errorf("%w at %s: %w", ErrNoBook, f.dir, err)
	}
	defer root.Close()
	s, err := Load(ctx, root.FS())
	if err != nil {
		return nil, err
	}
	return f.put(s), nil
}
