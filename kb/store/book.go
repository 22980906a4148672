package store

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"

	"tamis/kb"
)

// book is the one book of a store: its head and who waits for the next.
type book struct {
	house HouseID
	head  atomic.Pointer[kb.Snapshot]

	mu       sync.Mutex
	watchers map[chan *kb.Snapshot]bool
}

func (b *book) known(house HouseID) error {
	if house != b.house {
		return fmt.Errorf("%w: %q", ErrNoHouse, house)
	}
	return nil
}

// Head implements [Store].
func (b *book) Head(_ context.Context, house HouseID) (*kb.Snapshot, error) {
	if err := b.known(house); err != nil {
		return nil, err
	}
	return b.head.Load(), nil
}

// Commit implements [Store]; it always fails with [ErrReadOnly].
func (b *book) Commit(_ context.Context, house HouseID, _ Change) (Entry, error) {
	if err := b.known(house); err != nil {
		return Entry{}, err
	}
	return Entry{}, fmt.Errorf("commit to %q: %w", house, ErrReadOnly)
}

// Watch implements [Store].
func (b *book) Watch(ctx context.Context, house HouseID) (<-chan *kb.Snapshot, error) {
	if err := b.known(house); err != nil {
		return nil, err
	}
	c := make(chan *kb.Snapshot, 1)
	b.mu.Lock()
	if b.watchers == nil {
		b.watchers = map[chan *kb.Snapshot]bool{}
	}
	b.watchers[c] = true
	b.mu.Unlock()
	context.AfterFunc(ctx, func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		delete(b.watchers, c)
		close(c)
	})
	return c, nil
}

// put makes s the head. If its bytes are those of the head before, nothing changes.
func (b *book) put(s *kb.Snapshot) *kb.Snapshot {
	b.mu.Lock()
	defer b.mu.Unlock()
	old := b.head.Load()
	if old != nil && old.Fingerprint() == s.Fingerprint() {
		return old
	}
	b.head.Store(s)
	for c := range b.watchers {
		select {
		case <-c: // the reader has not seen the last one
		default:
		}
		c <- s
	}
	return s
}
