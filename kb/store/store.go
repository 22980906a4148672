package store

import (
	"context"
	"errors"
	"time"

	"tamis/kb"
)

// HouseID says whose book: compared, never shown.
type HouseID string

// Home is the house of a program that keeps one book.
const Home HouseID = "home"

// Errors of this package. Test with errors.Is.
var (
	// ErrNoBook: there is no book where one was looked for.
	ErrNoBook = errors.New("no book")
	// ErrNoHouse: the store keeps no book of that house.
	ErrNoHouse = errors.New("no such house")
	// ErrNoRevision: the book never had that revision.
	ErrNoRevision = errors.New("no such revision")
	// ErrReadOnly: the store takes no commits.
	ErrReadOnly = errors.New("the book is read-only")
	// ErrOwned: another process writes the book.
	ErrOwned = errors.New("another tamis keeps this book")
	// ErrOutdated: the book has changed since the base of a change.
	ErrOutdated = errors.New("the book has changed since")
	// ErrNothing: a change changes nothing.
	ErrNothing = errors.New("nothing is changed")
	// ErrPath: a change of what is no file of a book.
	ErrPath = errors.New("no file of a book")
	// ErrEdited: a file has been edited by hand and is not taken over yet.
	ErrEdited = errors.New("the file has been edited by hand and waits")
	// ErrClosed: the store is closed.
	ErrClosed = errors.New("the book is closed")
	// ErrInTheWay: a file would have to be overwritten.
	ErrInTheWay = errors.New("a file is in the way")
)

// Store keeps the books of houses. All methods may be called from many
// goroutines, and fail with [ErrNoHouse] for a house that the store does not keep.
type Store interface {
	// Head returns the newest snapshot that answers, without reading files: it never waits.
	Head(ctx context.Context, house HouseID) (*kb.Snapshot, error)
	// At returns the book as it was at a revision. Errors: [ErrNoRevision].
	At(ctx context.Context, house HouseID, revision int) (*kb.Snapshot, error)
	// Commit writes a revision and returns its line of the log once it is
	// durable. Errors: [ErrReadOnly], [ErrOutdated], [ErrNothing], [ErrPath],
	// [ErrEdited], [*FaultyError]; after any of them nothing is written.
	Commit(ctx context.Context, house HouseID, c Change) (Entry, error)
	// Log returns the commits after a revision, oldest first; 0: all of them.
	Log(ctx context.Context, house HouseID, after int) ([]Entry, error)
	// Watch returns a channel that gets every new head, the latest one only if
	// the reader is slow, and closes when ctx ends. A book that nobody changes sends nothing.
	Watch(ctx context.Context, house HouseID) (<-chan *kb.Snapshot, error)
}

// Change is what somebody wants to write.
type Change struct {
	Base  int // the revision it was made on; -1: the newest
	Who   string
	At    time.Time
	Why   string
	How   string // "terminal", "file"…
	Files []FileChange
}

// FileChange is the new content of one file of the book.
type FileChange struct {
	Path    string `json:"path"` // in the book, with slashes
	Content string `json:"content,omitempty"`
	Bytes   []byte `json:"bytes,omitempty"` // in place of Content where the file is no text
	Deleted bool   `json:"deleted,omitempty"`
}

// Entry is one commit: a line of the log.
type Entry struct {
	Seq   int          `json:"seq"`  // the book's revision, from 1
	Prev  string       `json:"prev"` // hash of the entry before
	Who   string       `json:"who"`
	At    time.Time    `json:"at"`
	Why   string       `json:"why"`
	How   string       `json:"how"`
	Files []FileChange `json:"files"`
	Hash  string       `json:"hash"`
}
