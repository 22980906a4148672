package store

import (
	"context"

	"tamis/kb"
)

// Drafting is a store that can also show its files and try a change out.
type Drafting interface {
	Store
	// Source is the bytes of a file of the newest book.
	Source(path string) (string, bool)
	// Try says what the book would be after a change, and writes nothing.
	Try(ctx context.Context, house HouseID, c Change) (*Plan, error)
}

// One is the book of one house of a store: the same methods without the house.
type One struct {
	Drafting
	House HouseID
}

// Head is [Store.Head] of the house.
func (o One) Head(ctx context.Context) (*kb.Snapshot, error) { return o.Drafting.Head(ctx, o.House) }

// At is [Store.At] of the house.
func (o One) At(ctx context.Context, revision int) (*kb.Snapshot, error) {
	return o.Drafting.At(ctx, o.House, revision)
}

// Log is all commits of the house, oldest first.
func (o One) Log(ctx context.Context) ([]Entry, error) { return o.Drafting.Log(ctx, o.House, 0) }

// Try is [Drafting.Try] of the house.
func (o One) Try(ctx context.Context, c Change) (*Plan, error) {
	return o.Drafting.Try(ctx, o.House, c)
}

// Commit is [Store.Commit] of the house.
func (o One) Commit(ctx context.Context, c Change) (Entry, error) {
	return o.Drafting.Commit(ctx, o.House, c)
}
