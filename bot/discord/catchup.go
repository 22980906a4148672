package discord

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"
)

// missedFor is how long ago a message may have been said that is still answered.
const missedFor = 10 * time.Minute

// catchUpAll is catchUp, there and wherever an answer may not have gone out.
func (a *Adapter) catchUpAll(channels []string, now time.Time) {
	open, err := a.mem.open()
	if err != nil {
		a.log.Error("the answers that were begun could not be read", "err", err)
	}
	for c := range open {
		if !slices.Contains(channels, c) {
			channels = append(channels, c)
		}
	}
	slices.Sort(channels)
	a.catchUp(channels, open, now)
}

// catchUp looks for what was missed in channels: messages that address the bot
// and have no answer, and of the answers of open those that have not gone out. What
// happens there meanwhile waits, so that the channel stays in order.
func (a *Adapter) catchUp(channels []string, open map[string][]uint64, now time.Time) {
	var mine []string
	a.mu.Lock()
	for _, c := range channels {
		if q := a.looks[c]; q != nil { // one that has not begun will see it all
			for _, id := range open[c] {
				if !slices.Contains(q.open, id) {
					q.open = append(q.open, id)
				}
			}
			continue
		}
		a.looks[c] = &lookAt{slices.Clone(open[c]), now}
		mine = append(mine, c)
	}
	a.mu.Unlock()
	if len(mine) == 0 {
		return
	}
	for _, c := range mine {
		a.lanes.hold(c)
	}
	a.aside.Go(func() {
		var looking sync.WaitGroup
		for _, c := range mine {
			a.looking <- struct{}{}
			looking.Go(func() {
				defer func() { <-a.looking }()
				defer a.lanes.release(c)
				a.mu.Lock()
				q := a.looks[c]
				delete(a.looks, c)
				a.mu.Unlock()
				a.lookBack(a.work, c, q.open, q.now)
			})
		}
		looking.Wait()
	})
}

// lookAt is what a channel is to be looked back in for: answers that may not be out,
// and what was missed before a moment.
type lookAt struct {
	open []uint64
	now  time.Time
}

// mostLooking is how many channels are looked back in at once, of all servers: what
// is asked meanwhile needs its share of the requests.
const mostLooking = 8

// mostPages bounds what is read of one channel: a thousand messages.
const mostPages = 10

// mostLook is how long a channel may be held up by looking back.
const mostLook = 10 * time.Second

func (a *Adapter) lookBack(ctx context.Context, channel string, open []uint64, now time.Time) {
	ctx, cancel := context.WithTimeout(ctx, mostLook)
	defer cancel()
	after := idAt(now.Add(-missedFor))
	var missed []message
	replied := map[string]string{}
	at, err := a.placeOf(ctx, channel)
	for range mostPages {
		var page []message
		if err == nil {
			err = a.rest.Do(ctx, http.MethodGet, "/channels/"+channel+"/messages?limit=100&after="+strconv.FormatUint(after, 10), nil, &page)
		}
		if err != nil && len(page) == 0 {
			if a.work.Err() == nil && !final(err) && a.o.Now().Sub(now) < missedFor {
				a.log.Warn("what was missed in a channel could not be read; it is tried again", "channel", channel, "err", err)
				a.aside.Go(func() {
					if pause(a.work, a.o.LookAgain) {
						a.lookBack(a.work, channel, open, now)
					}
				})
			}
			break
		}
		for _, m := range page {
			after = max(after, number(m.ID))
			if m.Author != nil && m.Author.ID == a.me {
				if m.Reference != nil {
					replied[m.Reference.Message] = m.ID
				}
				continue
			}
			missed = append(missed, m)
		}
		if len(page) < 100 {
			break
		}
	}
	for ref, id := range replied {
		n := number(ref)
		if r, ok := a.mem.get(n); !ok || len(r.Parts) == 1 {
			r.Channel, r.Replies = channel, []string{id}
			a.mem.sent(n, r)
		}
	}
	slices.SortFunc(missed, func(x, y message) int {
		if number(x.ID) < number(y.ID) {
			return -1
		}
		return 1
	})
	found := map[uint64]bool{}
	for _, m := range missed {
		m.Channel = channel
		m.Guild = at.guild // which messages don't tell here
		found[number(m.ID)] = true
		a.heard(m, true)
	}
	for _, id := range open { // its question may be older than what was read
		if r, ok := a.mem.get(id); ok && len(r.Parts) > 0 && !found[id] {
			if now.Sub(made(id)) > missedFor {
				if err := a.mem.forget(id); err != nil {
					a.log.Warn("an old answer could not be dropped", "err", err)
				}
				continue
			}
			a.lanes.add(channel, item{id: id, run: func(ctx context.Context) { a.resend(ctx, id) }})
		}
	}
}

// placeOf is what is known of a channel; the platform is asked where its server has
// not been told of yet: what is said there would pass for a direct talk.
func (a *Adapter) placeOf(ctx context.Context, channel string) (place, error) {
	a.mu.Lock()
	p := a.places[channel]
	a.mu.Unlock()
	if p != nil {
		return *p, nil
	}
	var c channelEvent
	if err := a.rest.Do(ctx, http.MethodGet, "/channels/"+channel, nil, &c); err != nil {
		return place{}, err
	}
	p = &place{c.Guild, c.Parent, c.Type}
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.places[channel] == nil {
		a.places[channel] = p
	}
	return *p, nil
}

// active are the channels where something was answered a moment ago.
func (a *Adapter) active() []string {
	a.mu.Lock()
	defer a.mu.Unlock()
	var out []string
	now := a.o.Now()
	for c, at := range a.lively {
		if now.Sub(at) > missedFor {
			delete(a.lively, c)
			continue
		}
		out = append(out, c)
	}
	slices.Sort(out)
	return out
}

func (a *Adapter) touch(channel string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.lively[channel] = a.o.Now()
}
