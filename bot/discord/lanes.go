package discord

import (
	"context"
	"slices"
	"sync"
	"time"
)

// item is one thing to be done in a channel; they are done in order of their ids.
type item struct {
	id  uint64
	ask *asked // nil: no question that an edit could still change
	new *asked // the new words of a question; later ones take their place; nil: none
	run func(ctx context.Context)
}

// mostWaiting is how many things may wait in one channel.
const mostWaiting = 1000

// lanes do what happens in one channel in order, and channels beside one another.
type lanes struct {
	mu      sync.Mutex
	ctx     context.Context
	lanes   map[string]*lane
	running int
	closed  bool
}

type lane struct {
	items   []item
	running bool
	held    int
}

func newLanes(ctx context.Context) *lanes { return &lanes{ctx: ctx, lanes: map[string]*lane{}} }

func (l *lanes) of(channel string) *lane {
	x := l.lanes[channel]
	if x == nil {
		x = &lane{}
		l.lanes[channel] = x
	}
	return x
}

// add puts an item into the channel's lane; false: too many wait there.
func (l *lanes) add(channel string, it item) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.closed {
		return false
	}
	x := l.of(channel)
	if len(x.items) >= mostWaiting {
		return false
	}
	at := len(x.items)
	for at > 0 && x.items[at-1].id > it.id {
		at--
	}
	x.items = slices.Insert(x.items, at, it)
	l.start(channel, x)
	return true
}

func (l *lanes) start(channel string, x *lane) {
	if x.running || x.held > 0 {
		return
	}
	if len(x.items) == 0 {
		delete(l.lanes, channel)
		return
	}
	x.running = true
	l.running++
	go l.work(channel, x)
}

func (l *lanes) work(channel string, x *lane) {
	for {
		l.mu.Lock()
		if len(x.items) == 0 || x.held > 0 || l.ctx.Err() != nil {
			x.running = false
			l.running--
			if len(x.items) == 0 && x.held == 0 {
				delete(l.lanes, channel)
			}
			l.mu.Unlock()
			return
		}
		it := x.items[0]
		x.items = slices.Delete(x.items, 0, 1)
		l.mu.Unlock()
		it.run(l.ctx)
	}
}

// hold keeps a channel's items back until release: those missed come first.
func (l *lanes) hold(channel string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.of(channel).held++
}

func (l *lanes) release(channel string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	x := l.of(channel)
	x.held--
	l.start(channel, x)
}

// waiting gives the question of an id that has not been begun, to change it.
func (l *lanes) waiting(channel, id string, change func(q *asked) (drop bool)) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	x := l.lanes[channel]
	if x == nil {
		return false
	}
	for i, it := range x.items {
		if it.ask != nil && it.ask.m.ID == id {
			if change(it.ask) {
				x.items = slices.Delete(x.items, i, i+1)
			}
			return true
		}
	}
	return false
}

// renew gives an edit that has not been begun the newest words.
func (l *lanes) renew(channel string, q *asked) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	x := l.lanes[channel]
	if x == nil {
		return false
	}
	for _, it := range x.items {
		if it.new != nil && it.new.m.ID == q.m.ID {
			it.new.m = q.m
			return true
		}
	}
	return false
}

// drain waits until nothing is left to do.
func (l *lanes) drain(most time.Duration) bool {
	for end := time.Now().Add(most); ; time.Sleep(2 * time.Millisecond) {
		l.mu.Lock()
		idle := l.running == 0 && len(l.lanes) == 0
		l.mu.Unlock()
		if idle || l.ctx.Err() != nil || time.Now().After(end) {
			return idle
		}
	}
}

// close waits for what runs, after the context has ended, and takes nothing more.
func (l *lanes) close() {
	l.mu.Lock()
	l.closed = true
	l.mu.Unlock()
	for {
		l.mu.Lock()
		n := l.running
		l.mu.Unlock()
		if n == 0 {
			return
		}
		time.Sleep(time.Millisecond)
	}
}
