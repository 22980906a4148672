package timer

import (
	"container/heap"
	"slices"
	"strconv"
	"time"
)

// queue orders timers by what is to be said of them next.
type queue struct {
	h  moments
	at map[ID]*moment
}

type moment struct {
	id    ID
	at    time.Time
	index int
}

// set puts a timer in its place.
func (q *queue) set(t *Timer) {
	if q.at == nil {
		q.at = map[ID]*moment{}
	}
	at, _, ok := t.plan()
	m := q.at[t.ID]
	switch {
	case !ok:
		q.drop(t.ID)
	case m == nil:
		m = &moment{id: t.ID, at: at}
		q.at[t.ID] = m
		heap.Push(&q.h, m)
	default:
		m.at = at
		heap.Fix(&q.h, m.index)
	}
}

func (q *queue) drop(id ID) {
	if m := q.at[id]; m != nil {
		heap.Remove(&q.h, m.index)
		delete(q.at, id)
	}
}

func (q *queue) first() (time.Time, bool) {
	if len(q.h) == 0 {
		return time.Time{}, false
	}
	return q.h[0].at, true
}

// upTo are the timers of which something is due at now.
func (q *queue) upTo(now time.Time) []ID {
	var out []ID
	var walk func(i int)
	walk = func(i int) {
		if i >= len(q.h) || q.h[i].at.After(now) {
			return
		}
		out = append(out, q.h[i].id)
		walk(2*i + 1)
		walk(2*i + 2)
	}
	walk(0)
	slices.Sort(out)
	return out
}

// moments is a heap, the soonest first.
type moments []*moment

func (h moments) Len() int           { return len(h) }
func (h moments) Less(i, j int) bool { return h[i].at.Before(h[j].at) }
func (h moments) Swap(i, j int) {
	h[i], h[j] = h[j], h[i]
	h[i].index, h[j].index = i, j
}
func (h *moments) Push(x any) {
	m := x.(*moment)
	m.index = len(*h)
	*h = append(*h, m)
}
func (h *moments) Pop() any {
	old := *h
	m := old[len(old)-1]
	*h = old[:len(old)-1]
	return m
}

// noticeID is short enough for a channel's own field against doubles (25 characters).
func noticeID(born string, n uint64) string {
	return "t" + born + "-" + strconv.FormatUint(n, 36)
}
