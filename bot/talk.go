package bot

import (
	"slices"
	"sync"
	"time"

	"tamis/bot/answer"
	"tamis/bot/question"
	"tamis/kb"
)

// remember is how long a conversation is kept from its last line.
const remember = 30 * time.Minute

// mostTalks is how many conversations are kept; the oldest go first.
const mostTalks = 10000

// talks keeps what was said, by conversation.
type talks struct {
	mu sync.Mutex
	m  map[ConversationID]*talk
}

type talk struct {
	at  time.Time
	ctx question.Context
}

func newTalks() *talks { return &talks{m: map[ConversationID]*talk{}} }

// get returns what was said before at, or nil.
func (t *talks) get(id ConversationID, at time.Time) *question.Context {
	t.mu.Lock()
	defer t.mu.Unlock()
	k := t.m[id]
	if k == nil || at.Sub(k.at) > remember || k.at.Sub(at) > remember {
		return nil
	}
	ctx := k.ctx
	return &ctx
}

// put notes what a line came to.
func (t *talks) put(id ConversationID, at time.Time, before *question.Context, a *answer.Answer) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if len(t.m) >= mostTalks {
		t.drop(at)
	}
	t.m[id] = &talk{at, next(before, a, at)}
}

// freshen lets a talk go on from a newer book.
func (t *talks) freshen(id ConversationID, s *kb.Snapshot) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if x := t.m[id]; x != nil {
		x.ctx = *x.ctx.Fresh(s)
	}
}

// drop forgets what is over, and if that is not enough the oldest.
func (t *talks) drop(now time.Time) {
	var oldest ConversationID
	var first time.Time
	for id, k := range t.m {
		if now.Sub(k.at) > remember {
			delete(t.m, id)
			continue
		}
		if oldest == "" || k.at.Before(first) || k.at.Equal(first) && id < oldest {
			oldest, first = id, k.at
		}
	}
	if len(t.m) >= mostTalks {
		delete(t.m, oldest)
	}
}

// next is the context after an answer: each new line replaces what it names;
// unknown and refused clear nothing.
func next(before *question.Context, a *answer.Answer, at time.Time) question.Context {
	var ctx question.Context
	if before != nil {
		ctx = *before
	}
	q := a.Question
	if q == nil {
		return turnTo(ctx, a.Spoken)
	}
	if q.Want == question.WantNever {
		ctx.Last, ctx.Pending, ctx.Choices = nil, nil, nil
		return ctx
	}
	switch {
	case a.Status == answer.StatusAnswer, a.Status == answer.StatusAsk:
	case a.Status == answer.StatusUnknown && a.Why != nil && a.Why.Code == "no such line" && len(q.Targets) == 1 && q.Targets[0].Recipe != nil && !q.Targets[0].Part && !q.FromTalk:
		ctx.Last, ctx.Targets = q, keptSize(ctx.Targets, q.Targets) // the recipe is there, and what comes next is of it
		return ctx
	case len(q.Targets) == 1 && !q.Targets[0].Part && !q.FromTalk:
		return turnTo(ctx, q.Targets[0].Recipe)
	default:
		return ctx
	}
	ctx.Choices, ctx.Pending = nil, nil
	if a.Status == answer.StatusAsk {
		ctx.Pending, ctx.Choices = q, a.Pending
	}
	switch q.Want {
	case question.WantHelp, question.WantThanks, question.WantHello:
		return ctx
	}
	ctx.Last = q
	switch q.Want { // what a pan was told to read belongs to this reduction
	case question.WantReading, question.WantReduceTo, question.WantBrixTarget:
		told := ctx.Readings
		if !q.SamePan(ctx.Pan) {
			told = nil
		}
		ctx.Pan, ctx.Readings = q, told
		if q.Want == question.WantReading && len(q.Targets) > 0 && q.HasQty {
			ctx.Readings = append(slices.Clone(told), q.Weighings(at)...)
		}
	case question.WantNow:
		ctx.Pan, ctx.Readings = q, q.Weighings(at)
	}
	if len(q.Targets) > 0 && q.Targets[0].Recipe != nil {
		ctx.Targets = keptSize(ctx.Targets, q.Targets)
	}
	if len(q.Items) > 0 {
		ctx.Items = q.Items
	}
	return ctx
}

// turnTo lets a talk go on with a recipe that was named without an answer: what
// comes next is never told of the one before it.
func turnTo(ctx question.Context, r *kb.Recipe) question.Context {
	if r == nil || len(ctx.Targets) == 1 && ctx.Targets[0].Recipe == r {
		return ctx
	}
	ctx.Targets, ctx.Last, ctx.Items = []question.Target{{Recipe: r}}, nil, nil
	ctx.Pending, ctx.Choices = nil, nil
	return ctx
}

// keptSize are the new targets with the size said before where they are the
// same recipes and name none.
func keptSize(before, now []question.Target) []question.Target {
	if len(before) != len(now) {
		return now
	}
	out := slices.Clone(now)
	for i := range out {
		if out[i].Recipe == before[i].Recipe && out[i].Scale.Kind == question.ScaleNone {
			out[i].Scale = before[i].Scale
		}
	}
	return out
}
